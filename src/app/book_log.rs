//! The book's log as jobs keep it: this machine's own is found or begun, and a line written for each thing that happens to a
//! build, after the entry of the journal that says it. A line that the power kept from being written is made up for.

use super::chance::drawn_number;
use super::failure::Failure;
use super::load::machine_file;
use super::output::{width, write_out};
use super::rotation_files::{RotationFiles, rotation_files};
use super::stored::{first_lines, lines_of, stored};
use crate::book::{
    BookError, BuildId, Journal, Log, NamedAfter, Problem, Reading, Shelf, make_folder, read_input, write_new,
};
use crate::quantity::visible;
use crate::record::Entry;
use crate::record::formats::MACHINE;
use crate::record::log::{Happened, LogFile, LogLine, LoggedBuild, LoggedFork, LoggedRotation, logged};
use crate::record::log_check::{Logs, copy_words};
use crate::record::log_head::{Head, Headed};
use crate::screen::filled;
use crate::seal::Digest;
use std::collections::BTreeMap;

/// The most bytes of the file by which a machine knows its logs.
const MOST_MACHINE: u64 = 1 << 10;
/// How many digits a book, a machine and a build are told by.
const BOOK_DIGITS: usize = 32;
const DIGITS: usize = 16;

/// The log of a book, as a job writes in it.
pub(crate) struct BookLog<'s> {
    shelf: &'s Shelf,
    state: State,
}

enum State {
    /// None is kept: practice, the demonstration, or a log that can not be written to, which was told.
    No,
    /// It is looked for when it is first wanted.
    NotYet,
    /// The same, and one that can not be gone on with is followed by a new one.
    Afresh,
    /// It is open.
    Kept(Box<Kept>),
}

/// A log that is open.
struct Kept {
    log: Log,
    machine: Digest,
    book: String,
    mark: String,
    /// What the logs of all machines said when it was opened, and what was written since.
    written: BTreeMap<String, Vec<(Happened, usize)>>,
    logs: Logs,
    /// The last lines of the others.
    seen: BTreeMap<String, (usize, String)>,
    /// Names that were given before, of each unit that with the highest number.
    used: Vec<BuildId>,
}

impl<'s> BookLog<'s> {
    /// The log of a book, opened when it is first wanted.
    pub fn of(shelf: &'s Shelf) -> BookLog<'s> {
        BookLog {
            shelf,
            state: State::NotYet,
        }
    }

    /// No log: for practice and the demonstration.
    pub fn none(shelf: &'s Shelf) -> BookLog<'s> {
        BookLog {
            shelf,
            state: State::No,
        }
    }

    /// The log of a book, where one that can not be gone on with is followed by a new one.
    pub fn afresh(shelf: &'s Shelf) -> BookLog<'s> {
        BookLog {
            shelf,
            state: State::Afresh,
        }
    }

    /// The book.
    pub fn shelf(&self) -> &'s Shelf {
        self.shelf
    }

    /// After what a new build or day is named: so that no other machine gives its name, and none is given twice.
    pub fn named<'a>(&'a mut self, words: &'a str, at: &str) -> Result<NamedAfter<'a>, Failure> {
        Ok(match self.kept(at)? {
            Some(kept) => NamedAfter {
                words,
                mark: &kept.mark,
                used: &kept.used,
            },
            None => NamedAfter::words(words),
        })
    }

    /// Gives the entry that begins a build what tells it from every other.
    pub fn mark_begun(&mut self, entry: &mut Entry) -> Result<(), Failure> {
        let text = entry.to_json()?;
        let at = entry.at().to_string();
        let Some(kept) = self.kept(&at)? else {
            return Ok(());
        };
        if let Entry::Begun { id, .. } = entry {
            let (_, tip) = kept.log.head()?;
            let parts = [kept.machine.to_string(), tip.to_string(), text];
            *id = Some(digits(&parts, DIGITS));
        }
        Ok(())
    }

    /// Writes entries into a journal: one that finishes it says where the log stands, and the log gets its lines after.
    pub fn append(&mut self, journal: &mut Journal, entries: &mut [Entry]) -> Result<(), Failure> {
        for entry in entries.iter_mut() {
            self.put_head(entry)?;
        }
        let texts: Vec<(u32, String)> = entries
            .iter()
            .map(|entry| Ok((entry.line_version(), entry.to_json()?)))
            .collect::<Result<_, Failure>>()?;
        journal.append_all(&texts)?;
        match entries
            .iter()
            .find(|entry| !logged(std::slice::from_ref(*entry)).is_empty())
        {
            Some(entry) => self.write(journal.id(), false, entry.at()),
            None => Ok(()),
        }
    }

    /// Puts into the entry that finishes a record where the log stands.
    pub fn put_head(&mut self, entry: &mut Entry) -> Result<(), Failure> {
        if let Entry::Finished { at, log, .. } = entry {
            *log = match self.kept(at)? {
                Some(kept) => {
                    let (line, tip) = kept.log.head()?;
                    Some(Headed {
                        book: kept.book.clone(),
                        mark: kept.mark.clone(),
                        line,
                        tip: tip.to_string(),
                    })
                }
                None => None,
            };
        }
        Ok(())
    }

    /// Where the log stands, for a seal.
    pub fn head(&mut self, at: &str) -> Result<Option<Head>, Failure> {
        let mut entry = Entry::finished(at.to_string());
        self.put_head(&mut entry)?;
        Ok(match entry {
            Entry::Finished { log: Some(log), .. } => Some(log.head()),
            _ => None,
        })
    }

    /// Writes the lines that the log lacks of a build; `late` where they are made up for. `at` is for what has no time of its
    /// own.
    pub fn write(&mut self, id: &BuildId, late: bool, at: &str) -> Result<(), Failure> {
        let shelf = self.shelf;
        let Some(kept) = self.kept(at)? else {
            return Ok(());
        };
        let reading = shelf.read(id)?;
        kept.write(&reading, id, late, at)
    }

    /// Writes that a build was taken out of a table.
    pub fn imported(&mut self, id: &BuildId, late: bool, at: &str) -> Result<(), Failure> {
        let shelf = self.shelf;
        let Some(kept) = self.kept(at)? else {
            return Ok(());
        };
        let reading = shelf.read(id)?;
        let lines = reading.ends.len();
        if kept.covers(id.as_str(), Happened::Finished, lines) {
            return Ok(());
        }
        kept.line(&reading, id, Happened::Imported, lines, late, at)
    }

    /// Writes that a build, which the log knows and which is not there, was taken away on purpose.
    pub fn removed(&mut self, build: &str, (by, reason): (&str, &str), at: &str) -> Result<(), Failure> {
        let Some(kept) = self.kept(at)? else {
            return Err(Failure::Log(NO_LOG.to_string()));
        };
        let Some((_, _, _, last)) = kept.logs.events(build).last() else {
            return Err(Failure::NoBuild(build.to_string()));
        };
        if kept.logs.removal(build).is_some() {
            return Err(said_already(build));
        }
        let line = LogLine::Removed(LoggedBuild {
            at: at.to_string(),
            seen: kept.seen.clone(),
            late: false,
            by: Some(by.to_string()),
            reason: Some(reason.to_string()),
            ..last.clone()
        });
        Ok(kept.log.append(line.line_version(), &line.to_json()?)?)
    }

    /// What the logs say against the journal of a build, in words. Whoever went on with it would write over what is not here.
    pub fn against(&mut self, id: &BuildId, at: &str) -> Result<Option<String>, Failure> {
        let shelf = self.shelf;
        let Some(kept) = self.kept(at)? else {
            return Ok(None);
        };
        Ok(kept.logs.against(&stored(shelf, id)?))
    }

    /// Writes that of what two machines wrote to a build that which is here counts.
    pub fn settled(&mut self, id: &BuildId, (by, reason): (&str, &str), at: &str) -> Result<(), Failure> {
        let shelf = self.shelf;
        let Some(kept) = self.kept(at)? else {
            return Err(Failure::Log(NO_LOG.to_string()));
        };
        let reading = shelf.read(id)?;
        if !kept.logs.two_went_on(&stored(shelf, id)?) {
            return Err(Failure::NotSaid(format!(
                "the logs do not say that two machines went on with {id}, or that is settled: `shimwright check {id}` says what they say"
            )));
        }
        let line = LogLine::Settled(LoggedBuild {
            by: Some(by.to_string()),
            reason: Some(reason.to_string()),
            ..logged_build(&reading, id, reading.ends.len(), at, &kept.seen, false)
        });
        Ok(kept.log.append(line.line_version(), &line.to_json()?)?)
    }

    /// Writes that one machine's log was gone on with in two places, which is known, and that both count.
    pub fn fork_settled(&mut self, file: &str, (by, reason): (&str, &str), at: &str) -> Result<(), Failure> {
        let Some(kept) = self.kept(at)? else {
            return Err(Failure::Log(NO_LOG.to_string()));
        };
        let Some((mark, ends)) = kept.logs.unsettled_fork(file) else {
            return Err(Failure::NotSaid(format!(
                "{file} is no log of this book that was gone on with in two places, or that is settled"
            )));
        };
        let line = LogLine::ForkSettled(LoggedFork {
            at: at.to_string(),
            mark,
            ends,
            seen: kept.seen.clone(),
            by: by.to_string(),
            reason: reason.to_string(),
        });
        Ok(kept.log.append(line.line_version(), &line.to_json()?)?)
    }

    /// Writes the lines that the log lacks of the rotations in the book, of one file or of all; `late` where they are made up
    /// for. The files that it has lines of now.
    pub fn rotations(&mut self, of: Option<&str>, late: bool, at: &str) -> Result<Vec<String>, Failure> {
        let shelf = self.shelf;
        match self.kept(at)? {
            Some(kept) => kept.rotations(&rotation_files(shelf)?, of, late),
            None => Ok(Vec::new()),
        }
    }

    /// Writes that the statement of a rotation, which the log knows and which is not there, was taken away on purpose.
    pub fn rotation_removed(
        &mut self,
        file: &str,
        (by, reason): (&str, &str),
        at: &str,
    ) -> Result<(), Failure> {
        let Some(kept) = self.kept(at)? else {
            return Err(Failure::Log(NO_LOG.to_string()));
        };
        let Some(last) = kept.logs.rotation(file) else {
            return Err(match kept.logs.is_rotation_removed(file) {
                true => said_already(file),
                false => Failure::Log(format!("the log has no line of {file}")),
            });
        };
        let line = LogLine::RotationRemoved(LoggedRotation {
            at: at.to_string(),
            seen: kept.seen.clone(),
            late: false,
            by: Some(by.to_string()),
            reason: Some(reason.to_string()),
            ..last.clone()
        });
        Ok(kept.log.append(line.line_version(), &line.to_json()?)?)
    }

    /// The rotation of a file as the log has it.
    pub fn rotation(&mut self, file: &str, at: &str) -> Result<Option<LoggedRotation>, Failure> {
        Ok(self.kept(at)?.and_then(|kept| kept.logs.rotation(file).cloned()))
    }

    /// Takes a build into the log that it does not know, or lacks lines of; what was done, in words.
    pub fn adopt(&mut self, id: &BuildId, at: &str) -> Result<Option<String>, Failure> {
        let shelf = self.shelf;
        let Some(kept) = self.kept(at)? else {
            return Ok(None);
        };
        let reading = shelf.read(id)?;
        if reading.entries.is_empty() {
            return Ok(None);
        }
        let count = |kept: &Kept| kept.written.get(id.as_str()).map_or(0, Vec::len);
        let before = count(kept);
        if kept.logs.events(id.as_str()).next().is_none() {
            let first = reading
                .entries
                .first()
                .and_then(|text| Entry::from_json(text).ok());
            let name = first
                .as_ref()
                .and_then(Entry::id)
                .and_then(|id| kept.logs.known_as(id));
            if let Some(name) = name {
                return Err(Failure::Log(copy_words(name)));
            }
            kept.line(&reading, id, Happened::Adopted, reading.ends.len(), false, at)?;
            return Ok(Some(format!("{id}: taken into the log as it is")));
        }
        kept.write(&reading, id, true, at)?;
        Ok((count(kept) > before).then(|| format!("{id}: the lines that the log lacked are made up for")))
    }

    /// Opens this machine's log, or begins it.
    fn kept(&mut self, at: &str) -> Result<Option<&mut Kept>, Failure> {
        if matches!(self.state, State::Afresh) {
            self.state = State::Kept(Box::new(Kept::open(self.shelf, at, true)?));
        }
        if matches!(self.state, State::NotYet) {
            self.state = match Kept::open(self.shelf, at, false) {
                Ok(kept) => State::Kept(Box::new(kept)),
                // what the disk refuses now it may take another time, and a build without its line would look like an old one
                Err(Failure::Book(fault))
                    if !matches!(fault, BookError::Altered { .. } | BookError::Newer { .. }) =>
                {
                    return Err(fault.into());
                }
                Err(failure) => {
                    let words = format!(
                        "warning: the book's log is not written: {}. What was asked for is kept all the same; `shimwright adopt` \
                         takes it into the log",
                        visible(&failure.to_string())
                    );
                    write_out(&filled(&words, width()), true)?;
                    State::No
                }
            };
        }
        Ok(match &mut self.state {
            State::Kept(kept) => Some(kept),
            State::No | State::NotYet | State::Afresh => None,
        })
    }
}

impl Kept {
    fn open(shelf: &Shelf, at: &str, afresh: bool) -> Result<Kept, Failure> {
        let machine = machine()?;
        let logs = read_logs(shelf)?;
        let mut own = logs.each().iter().filter(|log| is_own(log, &machine));
        let own = own
            .clone()
            .find(|log| in_the_way(&logs, log).is_none())
            .or(own.next());
        let own = match own.and_then(|log| in_the_way(&logs, log)) {
            Some(words) if !afresh => return Err(Failure::Log(words)),
            Some(_) => None,
            None => own,
        };
        let (log, book, mark) = match own.and_then(|log| Some((log, log.opened()?))) {
            Some((log, (mark, book, _))) if Log::name_of(mark) == log.file => {
                (Log::open(shelf, &log.file)?, book.to_string(), mark.to_string())
            }
            Some((log, _)) => {
                return Err(Failure::Log(format!(
                    "{} is this machine's log under another name",
                    log.file
                )));
            }
            None => begin(shelf, &logs, &machine, (at, afresh))?,
        };
        for repair in log.repairs() {
            write_out(&format!("{}\n", visible(&repair.to_string())), true)?;
        }
        let mut kept = Kept {
            log,
            machine,
            book,
            written: BTreeMap::new(),
            seen: logs
                .each()
                .iter()
                .filter_map(|log| log.head())
                .filter(|head| head.mark != mark)
                .map(|head| (head.mark, (head.line, head.tip)))
                .collect(),
            used: Vec::new(),
            mark,
            logs,
        };
        for id in kept.logs.builds().filter_map(|build| build.parse().ok()) {
            put_highest(&mut kept.used, id);
        }
        if own_is_new(&kept) {
            kept.rotations(&rotation_files(shelf)?, None, true)?;
            kept.logs = read_logs(shelf)?;
        }
        Ok(kept)
    }

    fn covers(&self, build: &str, happened: Happened, line: usize) -> bool {
        self.logs.covers(build, happened, line)
            || self
                .written
                .get(build)
                .into_iter()
                .flatten()
                .any(|(said, lines)| match said {
                    Happened::Adopted | Happened::Imported => *lines >= line,
                    said => *said == happened && *lines == line,
                })
    }

    fn write(&mut self, reading: &Reading, id: &BuildId, late: bool, at: &str) -> Result<(), Failure> {
        let lines = lines_of(reading);
        let is_known =
            self.logs.events(id.as_str()).next().is_some() || self.written.contains_key(id.as_str());
        let first = lines.entries.first();
        if !is_known && first.is_some_and(|first| first.id().is_none()) {
            // an older program began it
            return self.line(reading, id, Happened::Adopted, reading.ends.len(), false, at);
        }
        for (happened, line) in logged(&lines.entries) {
            if !self.covers(id.as_str(), happened, line) {
                let said = lines.entries.get(line - 1).map_or("", Entry::at);
                let at = if said.is_empty() { at } else { said };
                self.line(reading, id, happened, line, late, at)?;
            }
        }
        Ok(())
    }

    fn rotations(
        &mut self,
        there: &[RotationFiles],
        of: Option<&str>,
        late: bool,
    ) -> Result<Vec<String>, Failure> {
        let mut written = Vec::new();
        for one in there.iter().filter(|one| of.is_none_or(|of| of == one.file)) {
            let Some((mut line, statement)) = one.logged(late) else {
                continue;
            };
            if self.logs.covers_rotation(&one.file, statement) {
                continue;
            }
            line.seen = self.seen.clone();
            let line = LogLine::Rotated(line);
            self.log.append(line.line_version(), &line.to_json()?)?;
            written.push(one.file.clone());
        }
        Ok(written)
    }

    fn line(
        &mut self,
        reading: &Reading,
        id: &BuildId,
        happened: Happened,
        lines: usize,
        late: bool,
        at: &str,
    ) -> Result<(), Failure> {
        let of = logged_build(reading, id, lines, at, &self.seen, late);
        let line = LogLine::of(happened, of);
        self.log.append(line.line_version(), &line.to_json()?)?;
        self.written
            .entry(id.to_string())
            .or_default()
            .push((happened, lines));
        put_highest(&mut self.used, id.clone());
        Ok(())
    }
}

/// What is said where a log can not be kept.
const NO_LOG: &str = "the book has no log that can be written to";

/// That it was said before that something was taken away.
fn said_already(what: &str) -> Failure {
    Failure::Log(format!("that {what} was taken away on purpose is said already"))
}

/// Keeps the name with the highest number of each unit.
fn put_highest(used: &mut Vec<BuildId>, id: BuildId) {
    match used.iter_mut().find(|known| known.slug() == id.slug()) {
        Some(known) if known.number() < id.number() => *known = id,
        Some(_) => {}
        None => used.push(id),
    }
}

/// Whether the log was begun just now.
fn own_is_new(kept: &Kept) -> bool {
    !kept
        .logs
        .each()
        .iter()
        .any(|log| log.opened().is_some_and(|(mark, ..)| mark == kept.mark))
}

/// What a line of the log says of a build.
fn logged_build(
    reading: &Reading,
    id: &BuildId,
    lines: usize,
    at: &str,
    seen: &BTreeMap<String, (usize, String)>,
    late: bool,
) -> LoggedBuild {
    let first = reading
        .entries
        .first()
        .and_then(|text| Entry::from_json(text).ok());
    LoggedBuild {
        at: at.to_string(),
        build: id.to_string(),
        id: first.as_ref().and_then(Entry::id).map(str::to_string),
        lines,
        journal: first_lines(reading, lines).unwrap_or_default(),
        seen: seen.clone(),
        late,
        by: None,
        reason: None,
    }
}

/// All logs of a book, as they are.
pub(crate) fn read_logs(shelf: &Shelf) -> Result<Logs, Failure> {
    let mut files = Vec::new();
    for name in shelf.log_files()? {
        let read = match shelf.read_log(&name) {
            Ok(reading) => {
                let mut read = LogFile::read(
                    &name,
                    reading.bytes,
                    reading.ends,
                    &reading.entries,
                    &reading.versions,
                );
                for problem in &reading.problems {
                    match problem {
                        Problem::Newer { .. } => read.newer.push(problem.to_string()),
                        // the next that is written sets it right
                        Problem::Torn { .. } | Problem::Unfinished { .. } => {}
                        _ => read.problems.push(problem.to_string()),
                    }
                }
                read
            }
            Err(fault @ (BookError::Missing { .. } | BookError::Io { .. })) => return Err(fault.into()),
            Err(fault) => {
                let mut read = LogFile::read(&name, Vec::new(), Vec::new(), &[], &[]);
                read.problems = vec![fault.to_string()];
                read
            }
        };
        files.push(read);
    }
    Ok(Logs::of(files))
}

/// Begins the log of this machine in a book, with a line for each build that no log knows.
fn begin(
    shelf: &Shelf,
    logs: &Logs,
    machine: &Digest,
    (at, afresh): (&str, bool),
) -> Result<(Log, String, String), Failure> {
    let known = logs.each().iter().find_map(LogFile::opened);
    let builds = shelf.list()?;
    let mut before = Vec::new();
    for id in &builds {
        if logs.events(id.as_str()).next().is_none()
            && let Ok(reading) = shelf.read(id)
            && !reading.entries.is_empty()
        {
            before.push(logged_build(
                &reading,
                id,
                reading.ends.len(),
                at,
                &BTreeMap::new(),
                false,
            ));
        }
    }
    let (book, mark) = match known {
        Some((_, book, _)) => (book.to_string(), free_mark(shelf, machine, &builds)?),
        None => {
            let mut parts = vec![machine.to_string(), at.to_string()];
            parts.extend(before.iter().map(|of| of.journal.clone()));
            let mark = match shelf.log_files()?.first() {
                None => String::new(),
                Some(file) if !afresh => return Err(Failure::Log(format!("{file} can not be read"))),
                Some(_) => free_mark(shelf, machine, &builds)?,
            };
            (digits(&parts, BOOK_DIGITS), mark)
        }
    };
    let opened = LogLine::Opened {
        at: at.to_string(),
        machine: known_as(machine, &book),
        book: book.clone(),
        mark: mark.clone(),
    };
    let count = before.len();
    let adopted = before.into_iter().map(|of| LogLine::of(Happened::Adopted, of));
    let lines: Vec<String> = std::iter::once(opened)
        .chain(adopted)
        .map(|line| line.to_json())
        .collect::<Result<_, _>>()?;
    let log = Log::make(shelf, &mark, &lines)?;
    if count > 0 {
        let builds = match count {
            1 => "the 1 build that is there is taken into it as it is".to_string(),
            count => format!("the {count} builds that are there are taken into it as they are"),
        };
        let words = format!(
            "note: the book has a log from now on, {}, and {builds}; what was taken away before can not be found by it",
            Log::name_of(&mark)
        );
        write_out(&filled(&words, width()), true)?;
    } else if !mark.is_empty() {
        let words = format!(
            "note: another machine began this book, so this one has a log of its own, {}, and the names of its builds have {mark} \
             in them",
            Log::name_of(&mark)
        );
        write_out(&filled(&words, width()), true)?;
    }
    Ok((log, book, mark))
}

/// The first mark of this machine that no other has in the book, and with which no name of a build ends by chance.
fn free_mark(shelf: &Shelf, machine: &Digest, builds: &[BuildId]) -> Result<String, Failure> {
    let taken = shelf.marks()?;
    for n in 0..1000_u32 {
        let drawn = digits(&[machine.to_string(), format!("mark {n}")], 8);
        let drawn = u32::from_str_radix(&drawn, 16).unwrap_or(0);
        let letter = char::from(b'a' + (drawn % 26) as u8);
        // read off a paper, these three are a figure
        if matches!(letter, 'i' | 'l' | 'o') {
            continue;
        }
        let mark = format!("{letter}{}", drawn / 26 % 10);
        if !taken.contains(&mark) && !builds.iter().any(|id| id.has_mark(&mark)) {
            return Ok(mark);
        }
    }
    Err(Failure::Log("no mark is left for this machine".to_string()))
}

/// By what this machine knows its own log of a book.
fn known_as(machine: &Digest, book: &str) -> String {
    digits(&[machine.to_string(), book.to_string()], DIGITS)
}

/// Whether a log is this machine's own.
pub(crate) fn is_own(log: &LogFile, machine: &Digest) -> bool {
    log.opened()
        .is_some_and(|(_, book, own)| own == known_as(machine, book))
}

/// What keeps a machine from writing in its log, in words.
fn in_the_way(logs: &Logs, own: &LogFile) -> Option<String> {
    let damage = own.problems.first().or(own.newer.first());
    match (damage, logs.forked(&own.file)) {
        (Some(words), _) => Some(format!("{}: {words}", own.file)),
        (None, Some([one, other])) => Some(format!("{one} and {other} were both gone on with")),
        (None, None) => None,
    }
}

/// The first digits of the digest of some texts.
fn digits(parts: &[String], count: usize) -> String {
    let lines: String = parts.iter().map(|part| format!("{part}\n")).collect();
    Digest::of(lines.as_bytes())
        .to_string()
        .chars()
        .take(count)
        .collect()
}

/// What tells this machine, and this user, from every other: random digits in a file of the user's own, made when it is first
/// wanted. It is no secret.
pub(crate) fn machine() -> Result<Digest, Failure> {
    let path = machine_file()?;
    let head = MACHINE.shows.replace('N', &MACHINE.newest().to_string());
    for _ in 0..2 {
        match read_input(&path, MOST_MACHINE) {
            Ok(text) => {
                let read = text.strip_prefix(&head).map(str::trim).map(str::parse);
                return match read {
                    Some(Ok(digest)) => Ok(digest),
                    _ => Err(Failure::Log(format!(
                        "{} is not what this program wrote there; take it away, and this machine has a new mark",
                        path.display()
                    ))),
                };
            }
            Err(BookError::Missing { .. }) => {
                let drawn: Vec<String> = (0..4).map(|_| drawn_number().to_string()).collect();
                if let Some(folder) = path.parent() {
                    make_folder(folder)?;
                }
                let drawn = Digest::of(drawn.concat().as_bytes());
                match write_new(&path, format!("{head}\n{drawn}\n").as_bytes()) {
                    Ok(()) | Err(BookError::Exists { .. }) => {}
                    Err(fault) => return Err(Failure::File(fault)),
                }
            }
            Err(fault) => return Err(Failure::File(fault)),
        }
    }
    Err(Failure::NoHome)
}
