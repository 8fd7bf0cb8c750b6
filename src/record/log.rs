//! What a line of the book's log says, and a log as it was read.

use super::entry::{Entry, EntryError};
use super::formats::LOG_LINE;
use super::log_head::Head;
use crate::seal::Digest;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What happened to a build that the log has a line for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Happened {
    /// It was there before the log knew of it.
    Adopted,
    /// It was begun.
    Begun,
    /// It was finished.
    Finished,
    /// A seal was put to it.
    Sealed,
    /// An answer of it was corrected.
    Corrected,
    /// It was put away.
    Voided,
    /// It was taken out of a table of old records, whole.
    Imported,
    /// It is a drive day, and was begun or finished.
    Day,
    /// It was taken away, and somebody said that this was meant.
    Removed,
    /// It was gone on with on two machines, and somebody said which of the two counts.
    Settled,
}

/// A build as a line of the log has it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoggedBuild {
    /// When, as the entry of the journal says it, as RFC 3339 text.
    pub at: String,
    /// The name in the book.
    pub build: String,
    /// What tells the build from every other, 16 hexadecimal digits; an older program gave none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// How many lines its journal had.
    pub lines: usize,
    /// The digest of these lines.
    pub journal: String,
    /// The last lines of the other machines' logs that were there, by their marks: number and digest.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub seen: BTreeMap<String, (usize, String)>,
    /// Whether the power went before this line, and it was made up for.
    #[serde(default, skip_serializing_if = "is_false")]
    pub late: bool,
    /// Who says that it was taken away on purpose, or that this state of it counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// That a build was taken away on purpose.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Removed {
    /// When it was said, as RFC 3339 text.
    pub at: String,
    /// Who said it.
    pub by: String,
    /// Why it was.
    pub reason: String,
}

impl Removed {
    /// What a line of the log says of it.
    pub(super) fn of(line: &LoggedBuild) -> Removed {
        let said = |words: &Option<String>| words.clone().unwrap_or_default();
        Removed {
            at: line.at.clone(),
            by: said(&line.by),
            reason: said(&line.reason),
        }
    }

    /// For machines.
    pub(super) fn to_json(&self) -> Value {
        json!({"at": self.at, "by": self.by, "reason": self.reason})
    }
}

/// A rotation of a key as a line of the log has it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoggedRotation {
    /// When, as its statement says it; of one that was taken away when that was said. As RFC 3339 text.
    pub at: String,
    /// Whose keys both are.
    pub name: String,
    /// The file of its statement.
    pub file: String,
    /// The digest of that.
    pub statement: String,
    /// The digest of its signature's file.
    pub signature: String,
    /// The last lines of the other machines' logs that were there, by their marks: number and digest.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub seen: BTreeMap<String, (usize, String)>,
    /// Whether the power went before this line, and it was made up for.
    #[serde(default, skip_serializing_if = "is_false")]
    pub late: bool,
    /// Who says that it was taken away on purpose.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Why it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// That one machine's log was gone on with in two places, and that somebody knows of it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoggedFork {
    /// When it was said, as RFC 3339 text.
    pub at: String,
    /// The mark of the machine.
    pub mark: String,
    /// The last line of each of the two: number and digest.
    pub ends: [(usize, String); 2],
    /// The last lines of the other machines' logs that were there, by their marks: number and digest.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub seen: BTreeMap<String, (usize, String)>,
    /// Who says so.
    pub by: String,
    /// How it came to be.
    pub reason: String,
}

fn is_false(flag: &bool) -> bool {
    !*flag
}

/// A line of a machine's log of a book.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum LogLine {
    /// The log was begun.
    Opened {
        /// When, as RFC 3339 text.
        at: String,
        /// The book: 32 hexadecimal digits, the same in the logs of all its machines.
        book: String,
        /// The mark of the machine; nothing for the one that began the book.
        mark: String,
        /// By what the machine knows its own log: 16 hexadecimal digits.
        machine: String,
    },
    /// The build was there before.
    Adopted(LoggedBuild),
    /// The build was begun.
    Begun(LoggedBuild),
    /// The build was finished.
    Finished(LoggedBuild),
    /// The build was sealed.
    Sealed(LoggedBuild),
    /// The build was corrected.
    Corrected(LoggedBuild),
    /// The build was put away.
    Voided(LoggedBuild),
    /// The build was taken out of a table.
    Imported(LoggedBuild),
    /// A drive day was begun or finished.
    Day(LoggedBuild),
    /// The build was taken away on purpose.
    Removed(LoggedBuild),
    /// A key took the place of another.
    Rotated(LoggedRotation),
    /// The statement of a rotation was taken away on purpose.
    RotationRemoved(LoggedRotation),
    /// Of what two machines wrote to a build this counts.
    Settled(LoggedBuild),
    /// A log was gone on with in two places, and both count.
    ForkSettled(LoggedFork),
}

impl LogLine {
    /// The line for what happened to a build.
    pub fn of(happened: Happened, build: LoggedBuild) -> LogLine {
        match happened {
            Happened::Adopted => LogLine::Adopted(build),
            Happened::Begun => LogLine::Begun(build),
            Happened::Finished => LogLine::Finished(build),
            Happened::Sealed => LogLine::Sealed(build),
            Happened::Corrected => LogLine::Corrected(build),
            Happened::Voided => LogLine::Voided(build),
            Happened::Imported => LogLine::Imported(build),
            Happened::Day => LogLine::Day(build),
            Happened::Removed => LogLine::Removed(build),
            Happened::Settled => LogLine::Settled(build),
        }
    }

    /// The build that it is about, and what happened to it.
    pub fn happened(&self) -> Option<(Happened, &LoggedBuild)> {
        Some(match self {
            LogLine::Opened { .. }
            | LogLine::Rotated(_)
            | LogLine::RotationRemoved(_)
            | LogLine::ForkSettled(_) => return None,
            LogLine::Adopted(build) => (Happened::Adopted, build),
            LogLine::Begun(build) => (Happened::Begun, build),
            LogLine::Finished(build) => (Happened::Finished, build),
            LogLine::Sealed(build) => (Happened::Sealed, build),
            LogLine::Corrected(build) => (Happened::Corrected, build),
            LogLine::Voided(build) => (Happened::Voided, build),
            LogLine::Imported(build) => (Happened::Imported, build),
            LogLine::Day(build) => (Happened::Day, build),
            LogLine::Removed(build) => (Happened::Removed, build),
            LogLine::Settled(build) => (Happened::Settled, build),
        })
    }

    /// The last lines of the other machines' logs that were there when it was written.
    pub fn seen(&self) -> Option<&BTreeMap<String, (usize, String)>> {
        match self {
            LogLine::Rotated(rotation) | LogLine::RotationRemoved(rotation) => Some(&rotation.seen),
            LogLine::ForkSettled(fork) => Some(&fork.seen),
            other => other.happened().map(|(_, build)| &build.seen),
        }
    }

    /// The lowest version of a line whose readers understand it.
    pub fn line_version(&self) -> u32 {
        match self {
            LogLine::Removed(_) => 2,
            LogLine::Rotated(_) | LogLine::RotationRemoved(_) => 3,
            LogLine::Settled(_) | LogLine::ForkSettled(_) => 4,
            _ => 1,
        }
    }

    /// The line as one line of JSON.
    ///
    /// # Errors
    ///
    /// [`EntryError`]: what JSON can not hold.
    pub fn to_json(&self) -> Result<String, EntryError> {
        serde_json::to_string(self).map_err(|error| EntryError::Unreadable(error.to_string()))
    }

    /// Reads a line from JSON.
    ///
    /// # Errors
    ///
    /// [`EntryError::Newer`] for a kind or a field that is not known here; [`EntryError::Unreadable`].
    pub fn from_json(text: &str) -> Result<LogLine, EntryError> {
        let read: LogLine = serde_json::from_str(text).map_err(|error| EntryError::of(&error))?;
        let (is_said, by, reason) = match &read {
            LogLine::Rotated(of) => (false, &of.by, &of.reason),
            LogLine::RotationRemoved(of) => (true, &of.by, &of.reason),
            other => match other.happened() {
                Some((happened, of)) => (
                    matches!(happened, Happened::Removed | Happened::Settled),
                    &of.by,
                    &of.reason,
                ),
                None => return Ok(read),
            },
        };
        match (is_said, by, reason) {
            (true, Some(_), Some(_)) | (false, None, None) => Ok(read),
            _ => Err(EntryError::Unreadable(
                "who says why is of what was taken away or settled, and of that alone".to_string(),
            )),
        }
    }
}

/// The lines of a journal that the log has a line for, each with its number, counted from 1.
pub fn logged(entries: &[Entry]) -> Vec<(Happened, usize)> {
    let is_day = matches!(entries.first(), Some(Entry::DayBegun { .. }));
    let of = |entry: &Entry| match entry {
        Entry::DayBegun { .. } => Some(Happened::Day),
        Entry::Finished { .. } if is_day => Some(Happened::Day),
        Entry::Begun { .. } => Some(Happened::Begun),
        Entry::Finished { .. } => Some(Happened::Finished),
        Entry::Sealed { .. } => Some(Happened::Sealed),
        Entry::Corrected { .. } => Some(Happened::Corrected),
        Entry::Voided { .. } => Some(Happened::Voided),
        _ => None,
    };
    let all = entries.iter().enumerate();
    all.filter_map(|(at, entry)| Some((of(entry)?, at + 1))).collect()
}

/// A file of a log as it was read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LogFile {
    /// Its name in the book.
    pub file: String,
    /// The bytes.
    pub bytes: Vec<u8>,
    /// Where each line that can be trusted ends in them.
    pub ends: Vec<usize>,
    /// The lines that are known here, in order.
    pub lines: Vec<LogLine>,
    /// What is wrong with it, in words; the lines end there.
    pub problems: Vec<String>,
    /// What shows that a newer program wrote in it, in words.
    pub newer: Vec<String>,
}

impl LogFile {
    /// Reads the entries of a log, as a reader of journals found them in its bytes, with the versions of their lines.
    pub fn read(
        file: &str,
        bytes: Vec<u8>,
        ends: Vec<usize>,
        entries: &[String],
        versions: &[u32],
    ) -> LogFile {
        let mut read = LogFile {
            file: file.to_string(),
            bytes,
            ends,
            lines: Vec::new(),
            problems: Vec::new(),
            newer: Vec::new(),
        };
        for (n, (text, version)) in entries.iter().zip(versions).enumerate() {
            let line = n + 1;
            match LogLine::from_json(text) {
                Ok(known) if *version == known.line_version() => {
                    if matches!(known, LogLine::Opened { .. }) != (n == 0) {
                        read.problems.push(format!(
                            "line {line}: the log is begun by its first line, and by no other"
                        ));
                        break;
                    }
                    read.lines.push(known);
                }
                Ok(_) if *version <= LOG_LINE.newest() => {
                    read.problems
                        .push(format!("line {line}: its version is not that of what it says"));
                    break;
                }
                Ok(_) => {
                    read.newer.push(format!("line {line} is of version {version}"));
                    break;
                }
                Err(error) if error.is_newer() => {
                    read.newer.push(format!("line {line}: {error}"));
                    break;
                }
                Err(error) => {
                    read.problems.push(format!("line {line}: {error}"));
                    break;
                }
            }
        }
        read
    }

    /// Mark, book and machine, where its first line can be read.
    pub fn opened(&self) -> Option<(&str, &str, &str)> {
        match self.lines.first() {
            Some(LogLine::Opened {
                mark, book, machine, ..
            }) => Some((mark, book, machine)),
            _ => None,
        }
    }

    /// How many lines hang together.
    pub fn count(&self) -> usize {
        self.ends.len()
    }

    /// The digest of a line without its newline, counted from 1.
    pub fn tip(&self, line: usize) -> Option<Digest> {
        let end = *self.ends.get(line.checked_sub(1)?)?;
        let from = line
            .checked_sub(2)
            .map_or(Some(0), |before| self.ends.get(before).copied())?;
        let bytes = self.bytes.get(from..end)?;
        Some(Digest::of(bytes.strip_suffix(b"\n").unwrap_or(bytes)))
    }

    /// The last line as others know it.
    pub fn head(&self) -> Option<Head> {
        let (mark, ..) = self.opened()?;
        let line = self.count();
        Some(Head {
            mark: mark.to_string(),
            line,
            tip: self.tip(line)?.to_string(),
        })
    }

    /// Every line about a build, with its number.
    pub fn events(&self) -> impl Iterator<Item = (usize, Happened, &LoggedBuild)> {
        let numbered = self.lines.iter().enumerate();
        numbered.filter_map(|(at, line)| line.happened().map(|(happened, build)| (at + 1, happened, build)))
    }
}
