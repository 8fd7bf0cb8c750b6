//! A line of the book's log as papers, seals and other logs know it.

use crate::seal::Digest;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What stands for the mark of the machine that has none, where a word is wanted.
const NO_MARK: &str = "-";
/// How many digits of a line's digest stand on a paper.
const ON_PAPER: usize = 16;

/// A line of a machine's log, as a paper, a seal or another machine's log knows it: whoever has a line knows that all lines
/// before it were there.
///
/// ```
/// use shimwright::record::log_head::Head;
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
