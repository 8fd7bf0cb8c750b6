//! What is left to do when the last question has been answered: the drawer is counted down, the sheet laid into the build's
//! folder, and the person told. A note in the book is written before the entry that finishes the build and taken away when
//! all is done, so that a program that is ended in between is made up for, and no drawer is counted down twice. It lies in
//! the book and not in the build's folder, so that no copy of the folder brings it back; and it says to which lines of the
//! journal it belongs.

use super::book_log::BookLog;
use super::failure::Failure;
use super::font::printed;
use super::load::{Sources, Text, read_text, to_write};
use super::output::write_out;
use super::seals::summed_up;
use super::stored::{OLD_NOTE, SHEET, first_lines, lines_of};
use crate::bench::Front;
use crate::book::{BookError, BuildId, Journal, Reading, Shelf, sweep_beside, write_whole};
use crate::procedure::Session;
use crate::quantity::visible;
use crate::record::Entry;
use crate::record::formats::CLOSING;
use crate::seal::Digest;
use crate::sheet::{GivenFont, Paper, pdf};
use crate::workshop::{LessUsed, take_from_drawer};
use std::path::{Path, PathBuf, absolute};

/// What the note says.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
struct ToClose {
    /// The drawer's file, where there is one.
    drawer: Option<PathBuf>,
    /// How many lines the journal had, and their digest.
    lines: (usize, String),
    /// The digests of the drawer's file before and after, and what is taken out of it, once that is known.
    known: Option<[String; 3]>,
}

impl ToClose {
    fn text(&self) -> String {
        let (count, digest) = &self.lines;
        let head = CLOSING.shows.replace('N', &CLOSING.newest().to_string());
        let mut text = format!("{head}\nlines {count} {digest}\n");
        if let Some([before, after, taken]) = &self.known {
            text.push_str(&format!("before {before}\nafter {after}\ntaken {taken}\n"));
        }
        if let Some(path) = &self.drawer {
            text.push_str(&format!("drawer {}\n", path.display()));
        }
        text
    }

    /// The path comes last, so that it may hold any character, line ends too. Nothing for a text that is no such note.
    fn read(text: &str) -> Option<ToClose> {
        let (head, rest) = text.split_once('\n')?;
        CLOSING
            .number_in(head)
            .filter(|number| *number == CLOSING.newest())?;
        let (lines, rest) = rest.strip_prefix("lines ")?.split_once('\n')?;
        let (count, digest) = lines.split_once(' ')?;
        let (known, rest) = match rest.strip_prefix("before ") {
            None => (None, rest),
            Some(rest) => {
                let (before, rest) = rest.split_once("\nafter ")?;
                let (after, rest) = rest.split_once("\ntaken ")?;
                let (taken, rest) = rest.split_once('\n')?;
                (Some([before, after, taken].map(str::to_string)), rest)
            }
        };
        let drawer = match rest {
            "" => None,
            rest => Some(PathBuf::from(rest.strip_prefix("drawer ")?.strip_suffix('\n')?)),
        };
        Some(ToClose {
            drawer,
            lines: (count.parse().ok()?, digest.to_string()),
            known,
        })
    }

    /// Whether a journal is the one that it was written for: the lines of then, those that finish the build, and the
    /// naming of seals.
    fn is_of(&self, reading: &Reading) -> bool {
        let (count, digest) = &self.lines;
        let since = lines_of(reading);
        let since = since.all().skip(*count);
        let mut since: Vec<Option<&Entry>> = since
            .filter(|entry| !matches!(entry, Some(Entry::Sealed { .. })))
            .collect();
        let ends = matches!(since.pop(), Some(Some(Entry::Finished { .. })));
        // the last answer, or none where the power went before the entry that finishes the build
        let is_last = match since[..] {
            [] => true,
            [entry] => matches!(entry, Some(Entry::Answered { .. } | Entry::Skipped { .. })),
            _ => false,
        };
        first_lines(reading, *count).as_ref() == Some(digest) && ends && is_last
    }
}

/// A path from the root, so that it is the same one whatever folder the next program is run in.
fn whole_path(path: &Path) -> PathBuf {
    absolute(path).unwrap_or_else(|_| path.to_path_buf())
}

/// Notes down, before the entry that finishes a build, what is still to be done after it.
pub(crate) fn note(shelf: &Shelf, journal: &Journal, drawer: &Text) -> Result<(), Failure> {
    let reading = shelf.read(journal.id())?;
    let count = reading.ends.len();
    let note = ToClose {
        drawer: drawer.path.as_deref().map(whole_path),
        lines: (count, first_lines(&reading, count).unwrap_or_default()),
        known: None,
    };
    Ok(shelf.put_to_do(journal.id(), note.text().as_bytes())?)
}

/// What is noted of a build; nothing where nothing is, or where the note is none of this program.
fn noted(shelf: &Shelf, id: &BuildId) -> Result<Option<ToClose>, Failure> {
    let bytes = shelf.to_do(id)?;
    Ok(bytes.and_then(|bytes| ToClose::read(&String::from_utf8_lossy(&bytes))))
}

/// What `check` says of the closing of a build; nothing where it is done.
pub(crate) fn still_to_do(shelf: &Shelf, id: &BuildId) -> Result<Option<String>, Failure> {
    if shelf.file(id, OLD_NOTE).is_ok() {
        return Ok(Some(format!("{OLD_NOTE}: {NOT_FOLLOWED}")));
    }
    Ok(noted(shelf, id)?.map(|note| {
        let drawer = note.drawer.map_or(String::new(), |path| {
            format!(" counts down the drawer {},", path.display())
        });
        format!("its closing was cut short: the next `work` on this unit{drawer} lays in the sheet and tells of it")
    }))
}

const NOT_FOLLOWED: &str = "a note of an older program or of a copied folder; nothing follows it. See whether the drawer \
                            was counted down, and remove it";

/// What the sheet of a finished build is printed on, and with.
#[derive(Clone, Copy)]
pub(crate) struct PrintedOn<'a> {
    pub paper: Paper,
    /// A font that was handed in, for what the built-in typeface lacks.
    pub font: Option<&'a GivenFont>,
}

/// Does what is left to do for a finished build, and says what was taken out of the drawer's file. [`told`] ends it.
pub(crate) fn finish(
    shelf: &Shelf,
    journal: &Journal,
    session: &Session,
    on: PrintedOn<'_>,
) -> Result<String, Failure> {
    let Some(note) = noted(shelf, journal.id())? else {
        return Ok(String::new());
    };
    let words = match &note.drawer {
        // one after the other: of two that read the same drawer at once, one count would be lost
        Some(path) => shelf.alone(|| empty_drawer(path, &note, shelf, journal, session))??,
        None => String::new(),
    };
    let build = summed_up(shelf, journal.id(), session)?;
    journal.put(SHEET, &printed(on.font, || pdf(&build, on.paper))?)?;
    Ok(words)
}

/// Takes the note away, when the person has been told what the build came to.
pub(crate) fn told(shelf: &Shelf, id: &BuildId) -> Result<(), Failure> {
    Ok(shelf.done(id)?)
}

/// Takes what a finished build used out of the drawer's file, and says so.
fn empty_drawer(
    path: &Path,
    note: &ToClose,
    shelf: &Shelf,
    journal: &Journal,
    session: &Session,
) -> Result<String, Failure> {
    let (shims, spares) = session.used_from_drawer();
    if shims.is_empty() && spares.is_empty() {
        return Ok(String::new());
    }
    let names: Vec<String> = shims
        .iter()
        .map(ToString::to_string)
        .chain(spares.iter().cloned())
        .collect();
    let names = names.join(", ");
    // what a program that was killed here left beside the drawer
    sweep_beside(path);
    // the file may have changed while the work went on: what is in it now counts
    let now = read_text(path)?;
    let digest = |text: &str| Digest::of(text.as_bytes()).to_string();
    let taken_out = |taken: &str| match taken {
        "" => String::new(),
        taken => format!("Taken out of {}: {taken}\n", now.name),
    };
    if let Some([before, after, taken]) = &note.known {
        let is = digest(&now.text);
        if is == *after {
            return Ok(taken_out(taken));
        }
        if is != *before {
            return Ok(format!(
                "NOT KNOWN whether these were taken out of {} before the program was ended, for the file was changed \
                 since; look at it: {names}\n",
                now.name
            ));
        }
    }
    let LessUsed { text, taken, missing } = take_from_drawer(&now.name, &now.text, &shims, &spares)?;
    let taken = taken.join(", ");
    let known = ToClose {
        known: Some([digest(&now.text), digest(&text), taken.clone()]),
        ..note.clone()
    };
    shelf.put_to_do(journal.id(), known.text().as_bytes())?;
    write_whole(path, text.as_bytes())?;
    let mut words = taken_out(&taken);
    for missing in &missing {
        words.push_str(&format!("It was not in the drawer's file any more: {missing}\n"));
    }
    Ok(words)
}

/// A finished build whose closing was cut short and has been made up for.
pub(crate) struct CaughtUp {
    pub journal: Journal,
    pub session: Session,
    /// What was taken out of the drawer's file.
    pub drawer: String,
}

/// Makes up for finished builds whose closing was cut short; what can not be done is told and left. A drawer that is not
/// the one of this job is written to only where the person says so.
pub(crate) fn catch_up(
    log: &mut BookLog<'_>,
    own: &Text,
    on: PrintedOn<'_>,
    front: &mut dyn Front,
) -> Result<Vec<CaughtUp>, Failure> {
    let (mut done, shelf) = (Vec::new(), log.shelf());
    let own = own.path.as_deref().map(whole_path);
    for id in shelf.list()? {
        if !matches!(shelf.file(&id, OLD_NOTE), Err(BookError::Missing { .. })) {
            write_out(&format!("warning: {id}: {OLD_NOTE} is {NOT_FOLLOWED}\n"), true)?;
        }
        match catch_up_one(log, &id, own.as_deref(), on, front) {
            Ok(None) => {}
            Ok(Some(caught_up)) => {
                write_out(
                    &format!(
                        "{id} was finished when the program was ended; what was still to be done is done now\n"
                    ),
                    true,
                )?;
                done.push(caught_up);
            }
            // it is being closed just now
            Err(Failure::Book(BookError::Held { .. })) => {}
            Err(failure) => write_out(
                &format!(
                    "warning: the drawer and the sheet of {id} are still to be done: {}\n  to leave them so, remove \
                     .to-do/{id} from the book\n",
                    visible(&failure.to_string())
                ),
                true,
            )?,
        }
    }
    Ok(done)
}

fn catch_up_one(
    log: &mut BookLog<'_>,
    id: &BuildId,
    own: Option<&Path>,
    on: PrintedOn<'_>,
    front: &mut dyn Front,
) -> Result<Option<CaughtUp>, Failure> {
    let shelf = log.shelf();
    let Some(note) = noted(shelf, id)? else {
        return Ok(None);
    };
    let journal = to_write(shelf, id)?;
    let reading = shelf.read(id)?;
    let entries = lines_of(&reading).entries;
    let kept = Sources::kept(shelf, id)?;
    if let Some(changed) = kept.changed_since(&entries).first() {
        return Err(Failure::Snapshot(format!("{id}/{changed}")));
    }
    let session = Session::resume(kept.job()?, &entries);
    if !session.is_finished() {
        return Ok(None);
    }
    if !note.is_of(&reading) {
        return Err(Failure::NotNoted(id.to_string()));
    }
    let (shims, spares) = session.used_from_drawer();
    if let Some(path) = &note.drawer
        && own != Some(path)
        && !(shims.is_empty() && spares.is_empty())
    {
        let question = format!(
            "{id} was finished, and its parts are still to be taken out of {}. Do that now?",
            visible(&path.display().to_string())
        );
        if !front.confirm(&question, false)? {
            return Err(Failure::OtherDrawer(path.clone()));
        }
    }
    log.write(id, true, session.finished().unwrap_or_default())?;
    let drawer = finish(shelf, &journal, &session, on)?;
    Ok(Some(CaughtUp {
        journal,
        session,
        drawer,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_reads_back_whatever_the_path() {
        for drawer in [None, Some("/a/drawer.toml"), Some("/a b\nc/before x")] {
            for known in [None, Some(["1", "2", ""]), Some(["1", "2", "0.250 mm, SG1"])] {
                let note = ToClose {
                    drawer: drawer.map(PathBuf::from),
                    lines: (214, "9c1e".to_string()),
                    known: known.map(|known| known.map(str::to_string)),
                };
                assert_eq!(ToClose::read(&note.text()), Some(note));
            }
        }
        for none in ["", "before ", "drawer /a\n", "shimwright to-do 2\nlines 1 a\n"] {
            assert_eq!(ToClose::read(none), None, "{none}");
        }
    }
}
