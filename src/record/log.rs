//! What a line of the book's log says, the head of it that papers and seals know, and a log as it was read.

use super::entry::{Entry, EntryError};
use super::formats::LOG_LINE;
use crate::seal::Digest;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// What stands for the mark of the machine that has none, where a word is wanted.
const NO_MARK: &str = "-";
/// How many digits of a line's digest stand on a paper.
const ON_PAPER: usize = 16;

/// A line of a machine's log, as a paper, a seal or another machine's log knows it: whoever has a line knows that all lines
/// before it were there.
///
/// ```
/// use shimwright::record::log::Head;
/// let head = Head { mark: "k7".into(), line: 40, tip: "9c1e".repeat(16) };
/// assert_eq!(head.to_string(), "book line 40 of k7, 9c1e 9c1e 9c1e 9c1e");
/// assert_eq!(head.in_code(), "K7.40.9C1E9C1E9C1E9C1E");
/// assert_eq!(Head::read_code("K7.40.9C1E9C1E9C1E9C1E").map(|read| read.line), Some(40));
/// assert_eq!(Head::read(&head.to_text()), Some(head));
/// ```
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// The machine's mark, a letter and a digit; nothing for the machine that began the book.
    pub mark: String,
    /// Which line, counted from 1.
    pub line: usize,
    /// The digest of the line, in lower-case hexadecimal: all 64 digits, or the first 16 where a paper says it.
    pub tip: String,
}

impl Head {
    /// As it stands in the statement of a seal: mark, line, digest.
    pub fn to_text(&self) -> String {
        format!("{} {} {}", marked(&self.mark), self.line, self.tip)
    }

    /// Reads what [`Head::to_text`] writes.
    pub fn read(text: &str) -> Option<Head> {
        let mut words = text.split(' ');
        let (mark, line, tip) = (words.next()?, words.next()?, words.next()?);
        let digest: Digest = tip.parse().ok()?;
        words
            .next()
            .is_none()
            .then(|| Head::of(mark, line, digest.to_string()))?
    }

    /// As it stands in the code of a sheet: in capitals, with the first 16 digits.
    pub fn in_code(&self) -> String {
        let text = format!("{}.{}.{}", marked(&self.mark), self.line, self.digits());
        text.to_ascii_uppercase()
    }

    /// Reads what [`Head::in_code`] writes.
    pub fn read_code(text: &str) -> Option<Head> {
        let text = text.to_ascii_lowercase();
        let (mark, rest) = text.split_once('.')?;
        let (line, digits) = rest.split_once('.')?;
        let is_digits = digits.len() == ON_PAPER && digits.bytes().all(|digit| digit.is_ascii_hexdigit());
        is_digits.then(|| Head::of(mark, line, digits.to_string()))?
    }

    /// The digits of the digest that stand on a paper.
    pub fn digits(&self) -> &str {
        self.tip.get(..ON_PAPER).unwrap_or(&self.tip)
    }

    fn of(mark: &str, line: &str, tip: String) -> Option<Head> {
        let number: usize = line.parse().ok()?;
        (is_mark(mark) && number > 0 && number.to_string() == line).then(|| Head {
            mark: if mark == NO_MARK { "" } else { mark }.to_string(),
            line: number,
            tip,
        })
    }
}

impl fmt::Display for Head {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = self.digits().as_bytes().chunks(4);
        let groups: Vec<_> = digits.map(String::from_utf8_lossy).collect();
        match &self.mark[..] {
            "" => write!(f, "book line {}", self.line)?,
            mark => write!(f, "book line {} of {mark}", self.line)?,
        }
        write!(f, ", {}", groups.join(" "))
    }
}

/// The mark of a machine as a word.
fn marked(mark: &str) -> &str {
    if mark.is_empty() { NO_MARK } else { mark }
}

/// Whether a word is a mark: a letter and a digit, or the word for none.
fn is_mark(word: &str) -> bool {
    matches!(word.as_bytes(), [b'a'..=b'z', b'0'..=b'9']) || word == NO_MARK
}

/// Where a book's log stood when a build was finished, as the entry that finishes it says.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Headed {
    /// The book: 32 hexadecimal digits.
    pub book: String,
    /// The machine's mark.
    pub mark: String,
    /// Which line was the last.
    pub line: usize,
    /// The digest of that line.
    pub tip: String,
}

impl Headed {
    /// The head alone.
    pub fn head(&self) -> Head {
        Head {
            mark: self.mark.clone(),
            line: self.line,
            tip: self.tip.clone(),
        }
    }
}

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
        }
    }

    /// The build that it is about, and what happened to it.
    pub fn happened(&self) -> Option<(Happened, &LoggedBuild)> {
        Some(match self {
            LogLine::Opened { .. } => return None,
            LogLine::Adopted(build) => (Happened::Adopted, build),
            LogLine::Begun(build) => (Happened::Begun, build),
            LogLine::Finished(build) => (Happened::Finished, build),
            LogLine::Sealed(build) => (Happened::Sealed, build),
            LogLine::Corrected(build) => (Happened::Corrected, build),
            LogLine::Voided(build) => (Happened::Voided, build),
            LogLine::Imported(build) => (Happened::Imported, build),
            LogLine::Day(build) => (Happened::Day, build),
        })
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
        serde_json::from_str(text).map_err(|error| EntryError::of(&error))
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
                Ok(known) if *version == LOG_LINE.newest() => {
                    if matches!(known, LogLine::Opened { .. }) != (n == 0) {
                        read.problems.push(format!(
                            "line {line}: the log is begun by its first line, and by no other"
                        ));
                        break;
                    }
                    read.lines.push(known);
                }
                Ok(_) if *version < LOG_LINE.newest() => {
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
        if read.lines.is_empty() && read.problems.is_empty() && read.newer.is_empty() {
            read.problems.push("it has no line".to_string());
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
