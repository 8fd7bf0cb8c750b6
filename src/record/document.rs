use super::asked::Recorder;
use super::section::Section;
use std::cell::RefCell;
use std::fmt;
use std::ops::Range;
use std::rc::Rc;
use toml::de::DeTable;

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
}

/// The most faults that are written out.
const MOST_WRITTEN: usize = 100;

impl fmt::Display for Faults {
    /// The first hundred faults, and how many there are besides.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (n, fault) in self.faults.iter().take(MOST_WRITTEN).enumerate() {
            let (line, column) = self.place(fault);
            let text = self.source.lines().nth(line - 1).unwrap_or("");
            if n > 0 {
                writeln!(f)?;
            }
            write!(f, "{}:{line}:{column}: {}\n    {text}", self.file, fault.message)?;
        }
        if self.faults.len() > MOST_WRITTEN {
            write!(
                f,
                "\nand {} more in {}",
                self.faults.len() - MOST_WRITTEN,
                self.file
            )?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Reads a TOML document key by key and gathers every fault, so that a person can mend a file in one go.
///
/// Each section remembers which keys were asked for: [`Section::finish`] refuses the others, with the nearest known
/// one.
pub struct Document {
    file: String,
    source: String,
    faults: Rc<RefCell<Vec<Fault>>>,
}

impl Document {
    /// Reads `source` by `read`, which gets the top of the document. Gives what it made, or all faults at once.
    pub fn read<T>(
        file: &str,
        source: &str,
        read: impl FnOnce(&Section<'_>) -> Option<T>,
    ) -> Result<T, Faults> {
        let document = Document {
            file: file.to_string(),
            source: source.to_string(),
            faults: Rc::default(),
        };
        if let Some(fault) = too_much(source) {
            return Err(Faults {
                file: document.file,
                source: document.source,
                faults: vec![fault],
            });
        }
        let (table, errors) = DeTable::parse_recoverable(source);
        for error in &errors {
            let end = source.len();
            document.faults.borrow_mut().push(Fault {
                rule: "syntax",
                span: error.span().unwrap_or(end..end),
                message: error.message().to_string(),
            });
        }
        // keys of a broken file are not judged: half a file would give faults that are not there
        let made = if errors.is_empty() {
            read(&Section::top(table.get_ref(), Rc::clone(&document.faults), None))
        } else {
            None
        };
        let mut faults = document.faults.take();
        match made {
            Some(made) if faults.is_empty() => Ok(made),
            _ => {
                if faults.is_empty() {
                    faults.push(Fault {
                        rule: "unreadable",
                        span: 0..0,
                        message: "the file could not be read".to_string(),
                    });
                }
                faults.sort_by_key(|fault| (fault.span.start, fault.span.end));
                faults.dedup();
                Err(Faults {
                    file: document.file,
                    source: document.source,
                    faults,
                })
            }
        }
    }
}

impl Document {
    /// What `read` asks of a document, whatever it finds wrong in it. Nothing where `source` is no TOML.
    pub(super) fn recorded(source: &str, read: &dyn Fn(&Section<'_>)) -> Recorder {
        let recorder = Rc::new(RefCell::new(Recorder::default()));
        if let Ok(table) = DeTable::parse(source) {
            read(&Section::top(
                table.get_ref(),
                Rc::default(),
                Some(Rc::clone(&recorder)),
            ));
        }
        recorder.take()
    }
}

/// The most keys, tables and parts of lists that a file may have together: a unit with all of its plates has some hundred, and the
/// time to read them grows faster than their number.
pub const MOST_PARTS: usize = 10_000;
/// The most characters that a text in a file may have.
pub const MOST_OF_A_TEXT: usize = 2_000;

/// The fault of a file that has more parts than are read. What opens one is counted wherever it stands: a file that has
/// so many in its texts alone is none of ours either.
pub(super) fn too_much(source: &str) -> Option<Fault> {
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

/// The known word that is fewest letters away from `text`, where that is near enough to be a slip.
///
/// ```
/// use shimwright::record::nearest;
/// assert_eq!(nearest("thickess", &["thickness", "name"]), Some("thickness"));
/// assert_eq!(nearest("colour", &["thickness", "name"]), None);
/// ```
pub fn nearest<'k>(text: &str, known: &[&'k str]) -> Option<&'k str> {
    let text: Vec<char> = text.to_lowercase().chars().take(64).collect();
    known
        .iter()
        .map(|word| {
            (
                distance(&text, &word.to_lowercase().chars().collect::<Vec<_>>()),
                *word,
            )
        })
        .filter(|(distance, word)| *distance <= 1 + word.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// Letters to change, add or drop to come from one word to the other.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.iter().enumerate() {
        let mut diagonal = i;
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
        for (j, cb) in b.iter().enumerate() {
            let keep = diagonal + usize::from(ca != cb);
            diagonal = row[j + 1];
            row[j + 1] = keep.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn one(source: &str) -> Result<(String, Length, u32), Faults> {
        Document::read("part.toml", source, |top| {
            let name = top.text("name");
            let thickness = top.quantity_where::<Length>("thickness", "more than 0 mm");
            let count = top.count("count", 1..100);
            top.finish();
            Some((name?, thickness?, count?))
        })
    }

    #[test]
    fn a_good_document_is_read() {
        let (name, thickness, count) = one("name = \"A\"\nthickness = \"1.98 mm\"\ncount = 3\n").unwrap();
        assert_eq!((name.as_str(), thickness, count), ("A", Length::from_um(1980), 3));
    }

    #[test]
    fn all_faults_are_told_at_once_with_line_and_column() {
        let faults = one("nmae = \"A\"\nthickness = \"-2 mm\"\ncount = -1\n").unwrap_err();
        let text = faults.to_string();
        assert_eq!(faults.faults.len(), 4, "{text}");
        assert!(
            text.contains(
                "part.toml:1:1: \"nmae\" is not known in the top of the file; did you mean \"name\"?"
            ),
            "{text}"
        );
        assert!(text.contains("part.toml:2:13: thickness is -2.000 mm, but it must be more than 0 mm\n    thickness = \"-2 mm\""), "{text}");
        assert!(
            text.contains("part.toml:3:9: \"count\" is -1, but a whole number from 1 to 99 is wanted"),
            "{text}"
        );
        assert!(text.contains("\"name\" is missing"), "{text}");
    }

    #[test]
    fn a_bare_number_is_refused_where_a_unit_is_wanted() {
        let text = one("name = \"A\"\nthickness = 1.98\ncount = 3\n")
            .unwrap_err()
            .to_string();
        assert!(
            text.contains(
                "\"thickness\" is a bare number, but a length in quotes with its unit is wanted, in mm"
            ),
            "{text}"
        );
    }

    #[test]
    fn several_syntax_faults_are_told_at_once() {
        let faults = one("name = \"A\nthickness = \ncount = 3 3\n").unwrap_err();
        assert!(faults.faults.len() >= 2, "{faults}");
    }

    #[test]
    fn not_a_number_is_refused() {
        let text = one("name = \"A\"\nthickness = \"nan mm\"\ncount = nan\n")
            .unwrap_err()
            .to_string();
        assert!(
            text.contains("\"nan mm\" does not start with a plain number"),
            "{text}"
        );
        assert!(
            text.contains("\"count\" is a bare number, but a whole number"),
            "{text}"
        );
    }
}
