//! The text of the code on a sheet, and what is read off a paper.

use super::build::{Build, OnPaper};
use super::finding::{Certainty, Finding};
use super::formats::PAPER_CODE;
use super::log_head::Head;
use crate::seal::Digest;

/// What the first word of the text begins with; a number follows, and another one stands for another form.
pub(super) const FORMAT: &str = "SHIMWRIGHT";
/// The first word of a text without the place of the book's log, and of one with it.
const FORMS: [&str; 2] = ["SHIMWRIGHT1", "SHIMWRIGHT2"];
/// The most characters of a unit's name.
const MOST_OF_A_NAME: usize = 24;
/// The least and the most digits of a digest that are read out.
pub(super) const DIGITS: std::ops::RangeInclusive<usize> = 16..=64;

/// What the code on the sheet says: the build, the record that it was printed from, and the figures that matter.
///
/// It is plain text of capitals, digits and `:.-/+`, which a QR code packs most closely (ISO/IEC 18004,
/// alphanumeric mode), in words of a key, a colon and a value:
///
/// ```text
/// SHIMWRIGHT1 B:MOOR-REAR-0001 U:MOOR+REAR D:2026-05-09 N:214 S:<SHA-256 of the first 214 lines of the journal>
/// DRIVE:60.0RING COAST:60.0RING FACES:6/6 ROOM:6.105MM FORCE:1043N BREAK:43.2NM STILL:44.1NM TURN:38.0NM HELD:CASE
/// ```
///
/// Where the build was finished in a book with a log, the first word is `SHIMWRIGHT2`, and behind the digest stands how far the
/// log was then, `L:K7.40.` with 16 digits of the line's digest (`-` for the machine without a mark).
///
/// The digest is that of [`Stored::record`](super::Stored::record): it is the same before and after signing. Angles
/// are counted from the ring's face; `ROOM` is the room for the springs, `GAP` the gap of a unit without (`L` and `R`
/// behind them where each side has its own); `FORCE` is on each pack; `BREAK` is reckoned from it, `STILL` and `TURN`
/// are what was read.
///
/// ```
/// use shimwright::record::PaperText;
/// let digits = "0".repeat(64);
/// let text = format!("SHIMWRIGHT1 B:MOOR-REAR-0001 U:MOOR+REAR D:2026-05-09 N:214 S:{digits} FORCE:1043N");
/// let read = PaperText::read(&text)?;
/// assert_eq!(read.build, "moor-rear-0001");
/// assert_eq!(read.to_text(), text);
/// # Ok::<(), shimwright::record::PaperError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PaperText {
    /// The build's name in the book.
    pub build: String,
    /// The unit's name in capitals, with `+` for what is neither a letter of A to Z nor a digit.
    pub unit: String,
    /// The day on which it was finished.
    pub date: String,
    /// How many lines of the journal the digest is of.
    pub lines: usize,
    /// The digest.
    pub digest: Digest,
    /// Where the book's log stood when the build was finished.
    pub log: Option<Head>,
    /// The figures, by their keys.
    pub figures: Vec<(String, String)>,
}

/// Why a text is not one that a sheet carries.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PaperError {
    /// Neither the text of a code nor a digest.
    #[error(
        "that is neither the text of a sheet's code, which begins with {FORMAT}, nor {} to {} digits of its digest (0-9 and a-f)",
        DIGITS.start(),
        DIGITS.end()
    )]
    Neither,
    /// A text of another form.
    #[error("the text is of another form, {found}; only {} are read here", FORMS.join(" and "))]
    OtherForm {
        /// Its first word.
        found: String,
    },
    /// The text of a sheet that a newer program printed.
    #[error("a newer program printed that sheet ({found}), so it can not be judged here; take that program")]
    Newer {
        /// Its first word.
        found: String,
        /// The build that it says it is of, where it says so as texts of this form do.
        build: Option<String>,
    },
    /// A text with a part that can not be read.
    #[error("the text of the code is not whole: {part}")]
    Part {
        /// Which part.
        part: &'static str,
    },
}

impl PaperText {
    /// The text for a record: nothing while it is not finished.
    pub fn new(
        build: &str,
        unit: &str,
        finished: Option<&str>,
        digest: Digest,
        on_paper: &OnPaper,
    ) -> Option<PaperText> {
        Some(PaperText {
            build: build.to_string(),
            unit: capitals(unit),
            date: finished?.chars().take(10).collect(),
            lines: on_paper.lines,
            digest,
            log: on_paper.log.clone(),
            figures: on_paper.figures.clone(),
        })
    }

    /// The text for the sheet of a build.
    pub fn of(build: &Build) -> Option<PaperText> {
        let digest = build.digest.parse().ok()?;
        let finished = build.finished.as_deref();
        PaperText::new(&build.id, &build.unit_name, finished, digest, &build.on_paper)
    }

    /// The text of the code.
    pub fn to_text(&self) -> String {
        let mut text = format!(
            "{} B:{} U:{} D:{} N:{} S:{}",
            FORMS[usize::from(self.log.is_some())],
            self.build.to_ascii_uppercase(),
            self.unit,
            self.date,
            self.lines,
            self.digest.to_string().to_ascii_uppercase()
        );
        if let Some(log) = &self.log {
            text.push_str(&format!(" L:{}", log.in_code()));
        }
        for (key, value) in &self.figures {
            text.push_str(&format!(" {key}:{value}"));
        }
        text
    }

    /// Reads the text of a code, in capitals or not. Figures with keys that are not known are kept as they are.
    ///
    /// # Errors
    ///
    /// [`PaperError::Newer`], [`PaperError::OtherForm`], [`PaperError::Part`], [`PaperError::Neither`].
    pub fn read(text: &str) -> Result<PaperText, PaperError> {
        let text = text.to_ascii_uppercase();
        let mut words = text.split_whitespace();
        let first = words.next().unwrap_or("");
        if PAPER_CODE.is_newer(first) {
            let build = words.find_map(|word| word.strip_prefix("B:"));
            return Err(PaperError::Newer {
                found: first.to_string(),
                build: build.map(str::to_ascii_lowercase),
            });
        }
        if !FORMS.contains(&first) {
            return Err(match first.strip_prefix(FORMAT) {
                Some(_) => PaperError::OtherForm {
                    found: first.escape_debug().take(40).collect(),
                },
                None => PaperError::Neither,
            });
        }
        let mut pairs = Vec::new();
        for word in words {
            let pair = word.split_once(':').ok_or(PaperError::Part {
                part: "a word without its key",
            })?;
            // of two values for one key, only one would be held against the record
            if pairs.iter().any(|(key, _)| *key == pair.0) {
                return Err(PaperError::Part {
                    part: "a key that stands there twice",
                });
            }
            pairs.push(pair);
        }
        let mut next = |key: &str, part: &'static str| match pairs.first() {
            Some((found, value)) if *found == key => {
                let value = value.to_string();
                pairs.remove(0);
                Ok(value)
            }
            _ => Err(PaperError::Part { part }),
        };
        let build = next("B", "B: (the build)")?.to_ascii_lowercase();
        let unit = next("U", "U: (the unit)")?;
        let date = next("D", "D: (the day)")?;
        let lines = next("N", "N: (the lines)")?;
        let digest = next("S", "S: (the digest)")?.to_ascii_lowercase();
        let log = match first == FORMS[1] {
            true => Some(next("L", "L: (the book's log)").and_then(|text| {
                Head::read_code(&text).ok_or(PaperError::Part {
                    part: "L: (the book's log)",
                })
            })?),
            false => None,
        };
        Ok(PaperText {
            build,
            unit,
            date,
            lines: lines.parse().map_err(|_| PaperError::Part {
                part: "N: (the lines)",
            })?,
            digest: digest.parse().map_err(|_| PaperError::Part {
                part: "S: (the digest)",
            })?,
            log,
            figures: pairs
                .into_iter()
                .map(|(key, value)| (key.to_string(), value.to_string()))
                .collect(),
        })
    }

    /// The figures on a sheet that agree with the record within one in the last place only.
    pub fn near<'a>(&self, record: &'a PaperText) -> Vec<&'a str> {
        let figures = record.figures.iter();
        let near = figures.filter(|(key, value)| {
            let paper = self.figures.iter().find(|(known, _)| known == key);
            paper.is_some_and(|(_, paper)| paper != value && is_near(key, paper, value))
        });
        near.map(|(key, _)| key.as_str()).collect()
    }

    /// Holds the text on a sheet against that of the record which it says it was printed from.
    ///
    /// `as_then` says whether the record's figures are reckoned as they were when it was finished; where they are not, what
    /// was reckoned is no proof of anything, and is told where it differs.
    pub fn against(&self, record: &PaperText, as_then: bool) -> Vec<Finding> {
        let mut found = Vec::new();
        let mut otherwise = Vec::new();
        let mut differs = |what: &str, paper: &str, record: &str| {
            let words = format!("paper: {what} is {paper} on the paper, but {record} in the record");
            found.push(Finding::new(Certainty::Broken, words));
        };
        if self.build != record.build {
            differs("the build", &self.build, &record.build);
        }
        if self.unit != record.unit {
            differs("the unit", &self.unit, &record.unit);
        }
        if self.date != record.date {
            differs("the day", &self.date, &record.date);
        }
        if self.log.as_ref().map(Head::in_code) != record.log.as_ref().map(Head::in_code) {
            let shown = |log: &Option<Head>| log.as_ref().map_or("not there".to_string(), Head::in_code);
            differs("the book's line", &shown(&self.log), &shown(&record.log));
        }
        let mut told = |key: &str, paper: &str, record: &str| {
            let aside = !as_then && is_reckoned(key);
            if aside {
                otherwise.push(format!(
                    "{key} {paper} on the paper, {record} by today's mechanics"
                ));
            }
            aside
        };
        for (key, value) in &record.figures {
            match self.figures.iter().find(|(known, _)| known == key) {
                Some((_, paper)) if paper == value || is_near(key, paper, value) => {}
                Some((_, paper)) if told(key, paper, value) => {}
                None if told(key, "not there", value) => {}
                Some((_, paper)) => differs(key, paper, value),
                None => differs(key, "not there", value),
            }
        }
        for (key, paper) in &self.figures {
            let known = record.figures.iter().any(|(known, _)| known == key);
            if !known && !told(key, paper, "not there") {
                differs(key, paper, "not there");
            }
        }
        if !otherwise.is_empty() {
            let words = format!(
                "paper: reckoned otherwise since: {}; what was typed, and the digest, is what counts",
                otherwise.join("; ")
            );
            found.push(Finding::new(Certainty::Note, words));
        }
        found
    }
}

/// Whether a figure follows from others by the mechanics of the day, and was neither typed nor read off a file.
fn is_reckoned(key: &str) -> bool {
    ["ROOM", "GAP"].iter().any(|chain| key.starts_with(chain))
        || ["FACES", "FORCE", "BREAK", "STILL", "TURN"].contains(&key)
}

/// What is reckoned in a way that another processor may round otherwise. Everything else was typed, or is a sum of what
/// was typed.
const RECKONED: [&str; 1] = ["BREAK"];

/// Whether two figures that are reckoned are near enough: the same unit with one between the last decimals, which is where
/// another processor may round the other way.
fn is_near(key: &str, paper: &str, record: &str) -> bool {
    if !RECKONED.contains(&key) {
        return false;
    }
    let parts = |text: &str| -> Option<(i64, usize, String)> {
        let end = text
            .find(|c: char| !(c.is_ascii_digit() || c == '.'))
            .unwrap_or(text.len());
        let (number, unit) = text.split_at(end);
        let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
        if number.matches('.').count() > 1 {
            return None;
        }
        let digits: i64 = number.replace('.', "").parse().ok()?;
        Some((digits, decimals, unit.to_string()))
    };
    match (parts(paper), parts(record)) {
        (Some(paper), Some(record)) => {
            paper.1 > 0 && paper.1 == record.1 && paper.2 == record.2 && (paper.0 - record.0).abs() <= 1
        }
        _ => false,
    }
}

/// A name in the characters of the code.
fn capitals(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        let c = c.to_ascii_uppercase();
        if c.is_ascii_uppercase() || c.is_ascii_digit() || "-.".contains(c) {
            out.push(c);
        } else if !out.ends_with('+') {
            out.push('+');
        }
        if out.len() == MOST_OF_A_NAME {
            break;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::off_paper::OffPaper;
    use super::*;
    use proptest::prelude::*;

    fn text() -> PaperText {
        PaperText {
            build: "moor-rear-0001".into(),
            unit: capitals("Moor «rear» 2"),
            date: "2026-05-09".into(),
            lines: 214,
            digest: Digest::of(b"invented"),
            log: None,
            figures: [("FORCE", "1043N"), ("BREAK", "43.2NM"), ("FACES", "8/8")]
                .map(|(key, value)| (key.to_string(), value.to_string()))
                .into(),
        }
    }

    #[test]
    fn the_text_packs_closely_and_is_read_in_any_case() {
        let written = text().to_text();
        let close = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || " :.-/+".contains(c);
        assert!(written.chars().all(close), "{written}");
        assert_eq!(PaperText::read(&written.to_ascii_lowercase()), Ok(text()));
        assert_eq!(
            OffPaper::read(&format!(" {written}\n")),
            Ok(OffPaper::Code(text()))
        );
        assert_eq!(capitals(&"é".repeat(50)), "+");
        assert_eq!(capitals("n".repeat(50).as_str()).len(), 24);
    }

    #[test]
    fn digits_are_read_as_they_are_spoken() {
        let groups = Digest::of(b"invented").groups();
        let digits = groups.replace(' ', "");
        assert_eq!(
            OffPaper::read(&groups.to_uppercase()),
            Ok(OffPaper::Digits(digits.clone()))
        );
        assert_eq!(
            OffPaper::read(&groups[..19]),
            Ok(OffPaper::Digits(digits[..16].into()))
        );
        for wrong in ["", "ffff", &groups[..18], "the sheet", &format!("{digits}0")] {
            assert_eq!(OffPaper::read(wrong), Err(PaperError::Neither), "{wrong}");
        }
    }

    #[test]
    fn what_is_missing_in_a_text_is_named() {
        let whole = text().to_text();
        for key in ["B:", "U:", "D:", "N:", "S:"] {
            let broken = whole.replacen(key, "X:", 1);
            let error = PaperText::read(&broken).unwrap_err();
            assert!(error.to_string().contains(key), "{key}: {error}");
        }
        let newer = whole.replace("WRIGHT1", "WRIGHT3");
        assert!(matches!(PaperText::read(&newer), Err(PaperError::Newer { .. })));
        // the second form has the place of the log, the first has none
        let bare = whole.replace("WRIGHT1", "WRIGHT2");
        assert_eq!(
            PaperText::read(&bare).unwrap_err().to_string(),
            "the text of the code is not whole: L: (the book's log)"
        );
        for log in ["K7.40.9C1E9C1E9C1E9C1E", "-.1.00000000000000FF"] {
            let with_log = bare.replace(" FORCE", &format!(" L:{log} FORCE"));
            let read = PaperText::read(&with_log).unwrap();
            assert_eq!(read.to_text(), with_log);
            assert_eq!(read.log.unwrap().in_code(), log);
        }
        for log in [
            "K.40.9C1E9C1E9C1E9C1E",
            "K7.0.9C1E9C1E9C1E9C1E",
            "K7.40.9C1E",
            "K7.040.9C1E9C1E9C1E9C1E",
        ] {
            assert!(
                PaperText::read(&bare.replace(" FORCE", &format!(" L:{log} FORCE"))).is_err(),
                "{log}"
            );
        }
    }

    #[test]
    fn each_figure_that_differs_is_named() {
        assert!(text().against(&text(), true).is_empty());
        let mut other = text();
        other.figures[0].1 = "1053N".into();
        other.figures[1].1 = "43.3NM".into(); // one in the last decimal
        other.figures.pop();
        other.figures.push(("GAP".into(), "0.100MM".into()));
        other.date = "2026-05-10".into();
        let words: Vec<String> = other
            .against(&text(), true)
            .into_iter()
            .map(|one| one.words)
            .collect();
        assert_eq!(words.len(), 4, "{words:?}");
        assert_eq!(
            words[1],
            "paper: FORCE is 1053N on the paper, but 1043N in the record"
        );
        for (key, paper, record, near) in [
            ("BREAK", "43.2NM", "43.3NM", true),
            ("BREAK", "43.2NM", "43.4NM", false),
            ("BREAK", "43.2NM", "43.2MM", false),
            ("STILL", "43.2NM", "43.3NM", false),
            ("TURN", "43.2NM", "43.3NM", false),
            ("DRIVE", "45.0RING", "45.1RING", false),
            ("ROOM", "0.215MM", "0.216MM", false),
            ("FORCE", "1043N", "1044N", false),
        ] {
            assert_eq!(is_near(key, paper, record), near, "{key} {paper} {record}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic(text in "(SHIMWRIGHT1 )?[A-Z0-9: .\u{a0}é]{0,60}|\\PC{0,60}") {
            let _ = OffPaper::read(&text);
        }

        #[test]
        fn a_text_comes_back(unit in ".*", lines in any::<usize>(), value in "[A-Z0-9./]{1,9}") {
            let mut written = text();
            written.unit = capitals(&unit);
            written.lines = lines;
            written.figures.push(("KEY".into(), value));
            prop_assert_eq!(PaperText::read(&written.to_text()), Ok(written));
        }
    }
}
