//! Taking into the book what came into it past this program: builds that no log knows, folders that were copied, line ends that
//! another program changed, a log that can not be gone on with. Each is told for what it is, and nothing is thrown away.

use super::book_log::{BookLog, read_logs};
use super::clock::Clock;
use super::failure::Failure;
use super::load::{known_build, there};
use super::output::{width, write_out};
use super::rotation_files::{RotationFiles, rotation_files};
use super::stored::lines_of;
use crate::book::{BuildId, Problem, Reading, Shelf, with_own_ends, write_whole};
use crate::quantity::{hides, visible};
use crate::record::rotation::Rotation;
use crate::record::{Entry, Statement, seal_files};
use crate::screen::filled;
use crate::seal::Digest;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Takes into the book what came into it past this program, and tells each thing; `true` where nothing is left to be done by
/// hand.
pub(crate) fn adopt(book: Option<&PathBuf>) -> Result<bool, Failure> {
    let shelf = Shelf::open(&there(book)?)?;
    let at = Clock::Now.time();
    let mut told = Told::default();
    // a log that is only begun now takes in what is there, and says so
    let has_log = !shelf.log_files()?.is_empty() || shelf.list()?.is_empty();
    for name in shelf.log_files()? {
        if shelf.put_back_log_ends(&name)? {
            told.did(&format!("{name}: its line ends are as they were written again"))?;
        }
    }
    put_logs_in_place(&shelf, &mut told)?;
    for id in shelf.contents()?.named() {
        if let Err(failure) = put_ends_back(&shelf, &id, &mut told) {
            told.left(&format!("{id}: {failure}"))?;
        }
    }
    for path in shelf.contents()?.nameless().cloned().collect::<Vec<_>>() {
        copy_of_a_build(&shelf, &path, &mut told)?;
    }
    let mut log = BookLog::afresh(&shelf);
    for one in rotation_files(&shelf)? {
        put_rotation_ends_back(&shelf, &one, &mut log, &at, &mut told)?;
    }
    for id in shelf.list()? {
        match log.adopt(&id, &at) {
            Ok(Some(words)) => told.did(&words)?,
            Ok(None) => {}
            Err(failure) => told.left(&format!("{id}: {failure}"))?,
        }
    }
    for file in log.rotations(None, true, &at)? {
        told.did(&format!("{file}: taken into the log as it is"))?;
    }
    if !told.any && has_log {
        told.did("nothing came into the book past this program")?;
    }
    Ok(!told.left)
}

/// Gives the two files of a rotation the line ends that they were written with, where another program changed just these.
fn put_rotation_ends_back(
    shelf: &Shelf,
    one: &RotationFiles,
    log: &mut BookLog<'_>,
    at: &str,
    told: &mut Told,
) -> Result<(), Failure> {
    let Some(known) = log.rotation(&one.file, at)? else {
        return Ok(());
    };
    for (name, bytes, digest) in [
        (&one.file, &one.text, &known.statement),
        (&one.signature_file, &one.signature, &known.signature),
    ] {
        let own = bytes.as_deref().and_then(with_own_ends);
        if let Some(own) = own.filter(|own| Digest::of(own).to_string() == *digest) {
            write_whole(&shelf.dir().join(name), &own)?;
            told.did(&format!("{name}: its line ends are as they were written again"))?;
        }
    }
    Ok(())
}

/// Says in the log that a build, which is not there any more, was taken away on purpose: who says so, and why. The same of the
/// statement of a rotation.
pub(crate) fn removed(book: Option<&PathBuf>, build: &str, by: &str, reason: &str) -> Result<(), Failure> {
    let shelf = Shelf::open(&there(book)?)?;
    let said = who_and_why(by, reason)?;
    let at = Clock::Now.time();
    let is_rotation = Rotation::file_of(build) == Some(build);
    if is_rotation && shelf.dir().join(build).exists() {
        return Err(Failure::NotSaid(format!(
            "{build} is there; take it and its signature out of the book first"
        )));
    }
    if let Ok(id) = build.parse::<BuildId>()
        && shelf.folder(&id).exists()
    {
        return Err(Failure::NotSaid(format!(
            "{build} is there; what is not to count is put away with `shimwright void`, or its folder taken out first"
        )));
    }
    let mut log = BookLog::of(&shelf);
    match is_rotation {
        true => log.rotation_removed(build, said, &at)?,
        false => log.removed(build, said, &at)?,
    }
    let (by, reason) = said;
    let words = format!("The log says from now on that {build} was taken away on purpose: {by}: {reason}");
    write_out(&filled(&visible(&words), width()), false)
}

/// Says in the log that of what two machines wrote to a build that which is here counts, or that one machine's log was gone on
/// with in two places and both count: who says so, and why.
pub(crate) fn settled(book: Option<&PathBuf>, of: &str, by: &str, reason: &str) -> Result<(), Failure> {
    let shelf = Shelf::open(&there(book)?)?;
    let said = who_and_why(by, reason)?;
    let at = Clock::Now.time();
    let is_log = shelf.log_files()?.iter().any(|name| name == of);
    let what = if is_log {
        BookLog::afresh(&shelf).fork_settled(of, said, &at)?;
        format!("it is known that the log {of} was gone on with in two places, and that both count")
    } else {
        let id = known_build(&shelf, of)?;
        BookLog::of(&shelf).settled(&id, said, &at)?;
        format!("{id} counts as it is here")
    };
    let (by, reason) = said;
    let words = format!("The log says from now on that {what}: {by}: {reason}");
    write_out(&filled(&visible(&words), width()), false)
}

/// Who says something in the log, and why, where both can be read there.
fn who_and_why<'a>(by: &'a str, reason: &'a str) -> Result<(&'a str, &'a str), Failure> {
    Statement::check_name(by)?;
    let reason = reason.trim();
    if reason.is_empty() || reason.contains(hides) || reason.chars().any(char::is_control) {
        return Err(Failure::NotSaid(
            "a reason is words that can be seen, on one line".to_string(),
        ));
    }
    Ok((by, reason))
}

/// What was told, and whether something is left.
#[derive(Default)]
struct Told {
    any: bool,
    left: bool,
}

impl Told {
    fn did(&mut self, words: &str) -> Result<(), Failure> {
        self.any = true;
        write_out(&filled(&visible(words), width()), false)
    }

    fn left(&mut self, words: &str) -> Result<(), Failure> {
        self.any = true;
        self.left = true;
        write_out(&filled(&format!("left: {}", visible(words)), width()), true)
    }
}

/// Lays the longer of two copies of a log, which goes on from the shorter, in the place of the log.
fn put_logs_in_place(shelf: &Shelf, told: &mut Told) -> Result<(), Failure> {
    for log in read_logs(shelf)?.each() {
        let Some((mark, ..)) = log.opened() else { continue };
        if let Some(name) = shelf.put_log_in_place(mark, &log.file)? {
            told.did(&format!(
                "{name} is now what {} was, which goes on from it",
                log.file
            ))?;
        }
    }
    Ok(())
}

/// Gives the files of a build the line ends that they were written with, where another program changed just these.
fn put_ends_back(shelf: &Shelf, id: &BuildId, told: &mut Told) -> Result<(), Failure> {
    let journal = shelf.put_back_ends(id)?;
    let reading = shelf.read(id)?;
    let wanted = wanted(shelf, id, &reading);
    let (files, _) = shelf.beside(id)?;
    let mut changed = Vec::new();
    for name in files {
        let bytes = shelf.file(id, &name)?;
        if wanted.contains(&Digest::of(&bytes).to_string()) {
            continue;
        }
        if let Some(own) = with_own_ends(&bytes)
            && wanted.contains(&Digest::of(&own).to_string())
        {
            shelf.resume(id)?.put(&name, &own)?;
            changed.push(name);
        }
    }
    for problem in &reading.problems {
        if let Problem::Second(second) = problem {
            told.left(&format!("{second}; {}", second.what_to_do()))?;
        }
    }
    if journal || !changed.is_empty() {
        told.did(&format!(
            "{id}: the line ends of {} files are as they were written again",
            changed.len() + usize::from(journal)
        ))?;
    }
    Ok(())
}

/// The digests that the files of a build should have, as far as its journal and its seals say.
fn wanted(shelf: &Shelf, id: &BuildId, reading: &Reading) -> BTreeSet<String> {
    let lines = lines_of(reading);
    let mut wanted = BTreeSet::new();
    for entry in &lines.entries {
        wanted.extend(entry.kept().into_iter().map(|(_, digest)| digest.to_string()));
        if let Entry::Sealed {
            seal,
            statement,
            signature,
        } = entry
        {
            wanted.extend([statement.clone(), signature.clone()]);
            let text = shelf.file(id, &seal_files(*seal).0).unwrap_or_default();
            let text = with_own_ends(&text).unwrap_or(text);
            let read = std::str::from_utf8(&text)
                .ok()
                .and_then(|text| Statement::read(text).ok());
            let files = read.into_iter().flat_map(|statement| statement.files);
            wanted.extend(files.map(|(_, digest)| digest.to_string()));
        }
    }
    wanted
}

/// Tells of a folder beside the builds that is a copy of one, as programs that keep folders alike leave it where two machines
/// wrote, and takes it in where it holds what the build does not.
fn copy_of_a_build(shelf: &Shelf, path: &Path, told: &mut Told) -> Result<(), Failure> {
    let name = path
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let Ok(copy) = shelf.read_beside(path) else {
        return Ok(());
    };
    let of = shelf
        .list()?
        .into_iter()
        .rfind(|id| name.to_lowercase().starts_with(id.as_str()));
    let Some(id) = of else {
        return told.left(&format!(
            "{name} has a journal, and its name is none of a build: give it one, such as moor-rear-0001"
        ));
    };
    let own = shelf.read(&id)?;
    if own.bytes.starts_with(&copy.bytes) {
        let what = if own.bytes == copy.bytes {
            "the same as"
        } else {
            "an older state of"
        };
        return told.did(&format!(
            "{name} is {what} {id}, and holds nothing more; it may be taken away"
        ));
    }
    if copy.bytes.starts_with(&own.bytes) && copy.problems.is_empty() {
        let aside = shelf.swap(&id, path)?;
        return told.did(&format!(
            "{id} is now what {name} was, which goes on from it; what it was before is in {}",
            aside.display()
        ));
    }
    let first = |reading: &Reading| reading.entries.first().cloned();
    if first(&own) == first(&copy) {
        return told.left(&format!(
            "{name} and {id} are one build that was gone on with in two places: look at both, and take the one that does not count \
             out of the book; `shimwright check {id}` says then what is left to do"
        ));
    }
    let new = shelf.take_in(path, &id)?;
    told.did(&format!(
        "{name} is another build than {id}, and is now {new}; what its papers and seals say is its old name"
    ))
}
