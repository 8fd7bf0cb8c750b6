//! The lines of a journal, read as far as they are known here.

use super::entry::{Entry, EntryError};
use super::formats::JOURNAL_LINE;

/// The lines of a journal, read as far as they are known.
///
/// ```
/// use shimwright::record::Lines;
/// let texts = [r#"{"kind":"finished","at":"x"}"#, r#"{"kind":"weighed","at":"x"}"#].map(String::from);
/// let lines = Lines::read(&texts, &[1, 1]);
/// assert_eq!((lines.entries.len(), lines.beyond.len()), (1, 1));
/// assert_eq!(lines.newer, ["line 2: the kind or word \"weighed\" is not known here"]);
/// ```
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Lines {
    /// The entries, up to the first that is not known: what a build comes to is the fold of these.
    pub entries: Vec<Entry>,
    /// The lines from there on, where a newer program wrote; `None` for one that is not known.
    pub beyond: Vec<Option<Entry>>,
    /// What shows that a newer program wrote, in words; nothing where none did.
    pub newer: Vec<String>,
    /// What is wrong, in words; the lines end there.
    pub problems: Vec<String>,
}

impl Lines {
    /// Reads the texts of a journal's entries; `versions` are those of their lines. What stands in a line of a version that
    /// is not known is not read, because it may mean something else there.
    pub fn read(texts: &[String], versions: &[u32]) -> Lines {
        let mut lines = Lines::default();
        for (n, (text, version)) in texts.iter().zip(versions).enumerate() {
            let line = n + 1;
            let entry = match Entry::from_json(text) {
                Ok(entry) if *version == entry.line_version() => Some(entry),
                // what is known through and through was not written by a newer program; and of a line that names a seal
                // nothing else says whether it is as it was written
                Ok(entry) if *version <= JOURNAL_LINE.newest() || matches!(entry, Entry::Sealed { .. }) => {
                    lines.problems.push(format!(
                        "line {line} is not as it was written: its version is {version}, and that of its entry is {}",
                        entry.line_version()
                    ));
                    break;
                }
                Ok(_) => None,
                Err(error @ EntryError::Newer { .. }) => {
                    lines.newer.push(format!("line {line}: {error}"));
                    None
                }
                Err(_) if *version > JOURNAL_LINE.newest() => None,
                Err(error) => {
                    lines.problems.push(format!("line {line}: {error}"));
                    break;
                }
            };
            match entry {
                Some(entry) if lines.beyond.is_empty() => lines.entries.push(entry),
                other => lines.beyond.push(other),
            }
        }
        lines
    }

    /// All lines, those that are not known too.
    pub fn all(&self) -> impl DoubleEndedIterator<Item = Option<&Entry>> + ExactSizeIterator + '_ {
        let (known, all) = (self.entries.len(), self.entries.len() + self.beyond.len());
        (0..all).map(move |n| match n.checked_sub(known) {
            None => self.entries.get(n),
            Some(beyond) => self.beyond.get(beyond).and_then(Option::as_ref),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_a_version_above_the_known_is_not_taken_at_its_word() {
        let text = r#"{"kind":"finished","at":"x"}"#.to_string();
        let above = JOURNAL_LINE.newest() + 1;
        let lines = Lines::read(&[text.clone(), text.clone(), text], &[1, above, 1]);
        assert_eq!((lines.entries.len(), lines.problems.len()), (1, 0));
        assert!(matches!(lines.beyond[..], [None, Some(Entry::Finished { .. })]));
        let known: Vec<bool> = lines.all().map(|line| line.is_some()).collect();
        assert_eq!(known, [true, false, true]);
    }

    #[test]
    fn the_version_of_a_line_can_not_be_changed_unseen() {
        let sealed = r#"{"kind":"sealed","seal":1,"statement":"a","signature":"b"}"#;
        let finished = r#"{"kind":"finished","at":"x"}"#;
        let voided = r#"{"kind":"voided","at":"x","by":"A","reason":"r"}"#;
        for (text, right, wrong) in [
            (sealed, 1, &[2, 3, 9][..]),
            (finished, 1, &[2]),
            (voided, 2, &[1]),
        ] {
            let text = [text.to_string()];
            assert_eq!(Lines::read(&text, &[right]).entries.len(), 1);
            for version in wrong {
                let lines = Lines::read(&text, &[*version]);
                assert_eq!((lines.all().len(), lines.problems.len()), (0, 1), "{text:?}");
            }
        }
    }
}
