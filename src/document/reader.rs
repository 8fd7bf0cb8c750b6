//! A TOML text from its first line to its faults.

use super::faults::{Fault, Faults, NEWER_FORMAT, too_much};
use super::key_query::Recorder;
use super::section::Section;
use std::cell::RefCell;
use std::rc::Rc;
use toml::de::DeTable;

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
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line; a text that is no TOML or too long.
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
                // what is newer is not held to the rules of an older form
                if faults.iter().any(|fault| fault.rule == NEWER_FORMAT) {
                    faults.retain(|fault| fault.rule == NEWER_FORMAT);
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
    fn all_faults_are_told_at_once_with_line_and_key() {
        let faults = one("nmae = \"A\"\nthickness = \"-2 mm\"\ncount = -1\n").unwrap_err();
        let text = faults.to_string();
        assert_eq!(faults.faults.len(), 4, "{text}");
        assert!(
            text.contains(
                "part.toml, line 1, at nmae\n    nmae = \"A\"\n  \"nmae\" is not known in the top of the file; did you mean \"name\"?\n  rule: unknown-key"
            ),
            "{text}"
        );
        assert!(
            text.contains(
                "part.toml, line 2, at thickness\n    thickness = \"-2 mm\"\n  thickness is -2.000 mm, but it must be more than 0 mm"
            ),
            "{text}"
        );
        assert!(
            text.contains(
                "part.toml, line 3, at count\n    count = -1\n  \"count\" is -1, but a whole number from 1 to 99 is wanted"
            ),
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
        assert!(
            faults.to_string().contains("part.toml, line 1, column "),
            "{faults}"
        );
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
