//! What is wrong in a file: each fault with its place, and all of them as text.

use crate::quantity::{visible, visible_lines};
use std::fmt;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The rule of a file that a newer program made.
pub(super) const NEWER_FORMAT: &str = "newer-format";

/// One thing that is wrong in a file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// The rule that is broken, in a word or two such as `missing-key`.
    pub rule: &'static str,
    /// Where, in bytes of the source.
    pub span: Range<usize>,
    /// What is wrong and what is wanted.
    pub message: String,
}

/// All that is wrong in one file, in the order of its lines.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Faults {
    /// The file's name as it was given.
    pub file: String,
    /// The whole source.
    pub source: String,
    /// At least one fault.
    pub faults: Vec<Fault>,
}

impl Faults {
    /// Whether all that is wrong is that a newer program made the file.
    pub fn is_newer(&self) -> bool {
        self.faults.iter().all(|fault| fault.rule == NEWER_FORMAT)
    }

    /// Line and column, from 1, of a fault; columns count characters.
    pub fn place(&self, fault: &Fault) -> (usize, usize) {
        let before = &self.source[..self.source.floor_char_boundary(fault.span.start)];
        let line = before.matches('\n').count() + 1;
        let column = before
            .rsplit('\n')
            .next()
            .map_or(0, |piece| piece.chars().count())
            + 1;
        (line, column)
    }

    /// The first `most` faults, each with its file, line and key, the line itself, the words and the rule's name; then how many
    /// there are besides. Where a fault is at no key, as in a file that is no TOML, the column stands instead. What would drive
    /// a terminal is made harmless, and what nobody reads to its end is shortened.
    ///
    /// ```
    /// use shimwright::document::Document;
    /// let faults = Document::read("part.toml", "[case]\ndepth = 67\n", |top| {
    ///     let case = top.section("case")?;
    ///     case.text("depth")
    /// }).unwrap_err();
    /// assert_eq!(
    ///     faults.shown(20),
    ///     "part.toml, line 2, at case.depth\n    depth = 67\n  \
    ///      \"depth\" is a bare whole number, but a text in quotes is wanted\n  rule: wrong-kind"
    /// );
    /// ```
    pub fn shown(&self, most: usize) -> String {
        let file = visible(&self.file);
        // what has more parts than are read is not looked through here either
        let table = too_much(&self.source)
            .is_none()
            .then(|| DeTable::parse(&self.source).ok())
            .flatten();
        let keys = table.as_ref().map(|table| Keys::of(table.get_ref()));
        let mut pieces = Vec::new();
        for fault in self.faults.iter().take(most) {
            let (line, column) = self.place(fault);
            let text = self.source.lines().nth(line - 1).unwrap_or("");
            let at = match keys.as_ref().and_then(|keys| keys.at(fault)) {
                _ if self.source.is_empty() => String::new(),
                Some(key) => format!(", line {line}, at {}", shortened(&visible(&key), MOST_OF_A_LINE)),
                None if fault.span == (0..0) => format!(", line {line}"),
                None => format!(", line {line}, column {column}"),
            };
            let mut piece = format!("{file}{at}");
            if !text.trim().is_empty() {
                let short: String = text.trim_end().chars().take(MOST_OF_A_LINE).collect();
                piece.push_str(&format!("\n    {}", visible(&short)));
            }
            let words = shortened(&visible_lines(&fault.message), MOST_OF_A_MESSAGE).replace('\n', "\n  ");
            pieces.push(format!("{piece}\n  {words}\n  rule: {}", fault.rule));
        }
        if self.faults.len() > most {
            pieces.push(format!("and {} more faults in {file}", self.faults.len() - most));
        }
        pieces.join("\n")
    }
}

/// The most faults that are written out.
const MOST_WRITTEN: usize = 100;
/// The most characters of a message that are shown.
const MOST_OF_A_MESSAGE: usize = 1_000;
/// The most characters of a line that are shown, and of a key.
const MOST_OF_A_LINE: usize = 160;

/// A text with its middle left out where it is longer than anyone reads: a key of a file can be as long as the file.
fn shortened(text: &str, most: usize) -> String {
    let count = text.chars().count();
    if count <= most {
        return text.to_string();
    }
    let half = most / 2;
    let head: String = text.chars().take(half).collect();
    let tail: String = text.chars().skip(count - half).collect();
    format!("{head} […] {tail}")
}

/// Every key of a document: where it or its value stands, its name, and the table that it lies in by its place in the list. Names
/// are put together only where one is told: a table's can be as long as the file.
struct Keys<'t>(Vec<(Range<usize>, &'t str, Option<usize>)>);

impl<'t> Keys<'t> {
    fn of(table: &'t DeTable<'t>) -> Keys<'t> {
        let mut keys = Keys(Vec::new());
        keys.table(table, None);
        keys
    }

    fn table(&mut self, table: &'t DeTable<'t>, above: Option<usize>) {
        for (name, value) in table.iter() {
            let at = self.0.len();
            self.0.push((name.span(), name.get_ref(), above));
            self.0.push((value.span(), name.get_ref(), above));
            self.value(value.get_ref(), at);
        }
    }

    fn value(&mut self, value: &'t DeValue<'t>, at: usize) {
        match value {
            DeValue::Table(table) => self.table(table, Some(at)),
            DeValue::Array(list) => {
                for part in list.iter() {
                    // the head of a table in a list stands for the list's key
                    let (_, name, above) = self.0[at];
                    self.0.push((part.span(), name, above));
                    self.value(part.get_ref(), at);
                }
            }
            _ => {}
        }
    }

    /// The key that a fault is at, with the tables above it: the innermost that its place lies in.
    fn at(&self, fault: &Fault) -> Option<String> {
        let holds = |span: &Range<usize>| span.contains(&fault.span.start) && !fault.span.is_empty();
        let (_, name, above) = self
            .0
            .iter()
            .filter(|(span, ..)| holds(span))
            .min_by_key(|(span, ..)| span.len())?;
        let mut names = vec![*name];
        let mut above = *above;
        while let Some((_, name, further)) = above.and_then(|at| self.0.get(at)) {
            names.push(name);
            above = *further;
        }
        names.reverse();
        Some(names.join("."))
    }
}

impl fmt::Display for Faults {
    /// The first hundred faults, and how many there are besides.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.shown(MOST_WRITTEN))
    }
}

impl std::error::Error for Faults {}

/// The most keys, tables and parts of lists that a file may have together: a unit with all of its plates has some hundred, and the
/// time to read them grows faster than their number.
pub const MOST_PARTS: usize = 10_000;
/// The most characters that a text in a file may have.
pub const MOST_OF_A_TEXT: usize = 2_000;

/// The fault of a file that has more parts than are read. What opens one is counted wherever it stands: a file that has
/// so many in its texts alone is none of ours either.
pub(crate) fn too_much(source: &str) -> Option<Fault> {
    let opens = |(_, byte): &(usize, u8)| matches!(byte, b'=' | b'[' | b'{' | b',');
    let (at, _) = source.bytes().enumerate().filter(opens).nth(MOST_PARTS)?;
    Some(Fault {
        rule: "too-large",
        span: at..at,
        message: format!(
            "the file has too many keys, tables and parts of lists: at most {MOST_PARTS} are read, and it goes on"
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_is_the_innermost_with_the_tables_above_it() {
        let source = "[[pack]]\n[pack.left]\norder = [\n  \"G1\",\n  { name = \"C1\" },\n]\n";
        for (text, key) in [
            ("pack]]", "pack"),
            ("order", "pack.left.order"),
            ("\"G1", "pack.left.order"),
            ("\"C1", "pack.left.order.name"),
        ] {
            let start = source.find(text).unwrap();
            let fault = Fault {
                rule: "sense",
                span: start..start + 1,
                message: "wrong".into(),
            };
            let table = DeTable::parse(source).unwrap();
            assert_eq!(
                Keys::of(table.get_ref()).at(&fault).as_deref(),
                Some(key),
                "{text}"
            );
        }
    }
}
