//! What a reader asks of a file, written down while it asks.

use crate::quantity::{Dimension, is_day};
use std::ops::{Range, RangeInclusive};

/// What a key is asked for.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Kind {
    /// Just this text.
    Only(String),
    /// Words; `blank` where they may be none.
    Text { blank: bool },
    /// A text that is spelt by a rule.
    Spelt(&'static Spelling),
    /// A text that this pattern covers, with an example of it.
    Like(String, &'static str),
    /// One of some words.
    Word(Vec<String>),
    /// A quantity, with its limits in words.
    Quantity(Dimension, Option<&'static str>),
    /// So many quantities, each within limits.
    Quantities(Dimension, Option<&'static str>, RangeInclusive<usize>),
    /// Plain numbers, each within limits.
    Numbers(&'static str),
    /// A whole number.
    Count(Range<u32>),
    /// Whole numbers.
    Counts(Range<u32>),
    /// True or false.
    Flag,
    /// True, where it is there.
    True,
    /// Texts; one of some words each, where there are such.
    Texts(Option<Vec<String>>),
    /// A table.
    Table,
    /// So many tables.
    Tables(RangeInclusive<usize>),
}

/// A key with what it is asked for.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct KeyQuery {
    /// Its path from the top, with dots.
    pub path: String,
    pub kind: Kind,
    /// Whether the file is refused without it.
    pub needed: bool,
}

/// What was asked, in the order of asking.
#[derive(Clone, Default, Debug)]
pub(super) struct Recorder {
    pub asked: Vec<KeyQuery>,
    /// The tables that were there and were read.
    pub tables: Vec<String>,
    /// The keys of which was asked whether they are there.
    pub looked_for: Vec<String>,
    /// Tables with keys of which just one is to be there.
    pub one_of: Vec<(String, Vec<&'static str>)>,
    /// Lists of tables, a key in them, and words of which each must be at it in one of them.
    pub one_of_each: Vec<(String, &'static str, Vec<&'static str>)>,
}

impl Recorder {
    /// Writes down what a key is asked for; what is asked of the same key later is more exact.
    pub fn note(&mut self, path: String, kind: Kind) {
        match self.asked.iter_mut().find(|asked| asked.path == path) {
            Some(asked) => asked.kind = kind,
            None => self.asked.push(KeyQuery {
                path,
                kind,
                needed: false,
            }),
        }
    }

    /// Writes down that a key that was asked for must be there.
    pub fn need(&mut self, path: &str) {
        if let Some(asked) = self.asked.iter_mut().find(|asked| asked.path == path) {
            asked.needed = true;
        }
    }

    /// What was asked of a path.
    pub fn of(&self, path: &str) -> Option<&KeyQuery> {
        self.asked.iter().find(|asked| asked.path == path)
    }
}

/// What letters a text has.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Letters {
    /// Small letters, digits and dashes.
    Id,
    /// Hexadecimal digits.
    Hex,
    /// All that can be told apart on a plate: no space, no comma, no slash.
    Name,
    /// The figures of a day, as `2026-05-01`.
    Day,
}

/// How a text must be spelt.
#[derive(PartialEq, Debug)]
pub(crate) struct Spelling {
    /// What it is, in a word.
    pub name: &'static str,
    /// What is wanted, for who spelt it otherwise.
    pub says: &'static str,
    /// The rule that is broken then.
    pub rule: &'static str,
    pub letters: Letters,
    /// How many letters.
    pub length: RangeInclusive<usize>,
    /// One that is spelt so.
    pub example: &'static str,
}

/// A day.
pub(crate) static DAY: Spelling = Spelling {
    name: "day",
    says: "write it as 2026-05-01",
    rule: "sense",
    letters: Letters::Day,
    length: 10..=10,
    example: "2026-05-01",
};

impl Spelling {
    /// Whether a text is spelt so.
    ///
    /// ```text
    /// 2026-05-01 is a day, 2026-5-1 and 2026-13-01 are none
    /// ```
    pub fn fits(&self, text: &str) -> bool {
        let fits = |c: char| match self.letters {
            Letters::Id => c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-',
            Letters::Hex => c.is_ascii_hexdigit(),
            Letters::Name => !(c.is_whitespace() || c.is_control() || c == ',' || c == '/'),
            Letters::Day => c.is_ascii_digit() || c == '-',
        };
        self.length.contains(&text.chars().count())
            && text.chars().all(fits)
            && (self.letters != Letters::Day || is_day(text))
    }

    /// The same as a regular expression.
    pub fn pattern(&self) -> String {
        let letters = match self.letters {
            Letters::Id => "[a-z0-9-]",
            Letters::Hex => "[0-9a-fA-F]",
            Letters::Name => r"[^\s\x00-\x1f\x7f-\x9f,/]",
            Letters::Day => return "^[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])$".to_string(),
        };
        match (self.length.start(), self.length.end()) {
            (least, &usize::MAX) => format!("^{letters}{{{least},}}$"),
            (least, most) => format!("^{letters}{{{least},{most}}}$"),
        }
    }
}
