//! The small code at the top of a sheet: which build, how many lines of its journal, and the beginning of their digest.

use super::build::Build;
use super::formats::SMALL_CODE;
use super::paper_text::PaperError;

/// The first word of the text.
const SMALL: &str = "SHIMSMALL1";
/// How many digits of the digest it holds.
const DIGITS: usize = 16;

/// What the small code on a sheet says. It finds the build and shows whether the paper is of its record; the figures stand
/// in the large code of [`PaperText`](super::PaperText).
///
/// ```
/// use shimwright::record::{OffPaper, SmallCode};
/// let text = "SHIMSMALL1 B:MOOR-REAR-0001 N:214 S:07DD92586D04E82D";
/// let read = SmallCode::read(text)?;
/// assert_eq!((read.build.as_str(), read.lines), ("moor-rear-0001", 214));
/// assert_eq!(read.to_text(), text);
/// assert_eq!(OffPaper::read(text)?, OffPaper::Small(read));
/// assert!(SmallCode::read("SHIMSMALL1 B:MOOR-REAR-0001 N:214 S:07DD").is_err());
/// # Ok::<(), shimwright::record::PaperError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SmallCode {
    /// The build's name in the book.
    pub build: String,
    /// How many lines of the journal the digest is of.
    pub lines: usize,
    /// The first 16 digits of the digest, as lower-case hexadecimal.
    pub digits: String,
}

impl SmallCode {
    /// The code for the sheet of a build; nothing while it is not finished.
    pub fn of(build: &Build) -> Option<SmallCode> {
        build.finished.as_ref()?;
        Some(SmallCode {
            build: build.id.clone(),
            lines: build.on_paper.lines,
            digits: build.digest.get(..DIGITS)?.to_ascii_lowercase(),
        })
    }

    /// The text of the code.
    pub fn to_text(&self) -> String {
        let (build, digits) = (self.build.to_ascii_uppercase(), self.digits.to_ascii_uppercase());
        format!("{SMALL} B:{build} N:{} S:{digits}", self.lines)
    }

    /// Reads the text of a small code, in capitals or not. What stands behind it is left to programs that know it.
    ///
    /// # Errors
    ///
    /// [`PaperError::Newer`], [`PaperError::Part`], [`PaperError::Neither`].
    pub fn read(text: &str) -> Result<SmallCode, PaperError> {
        let text = text.to_ascii_uppercase();
        let mut words = text.split_whitespace();
        let first = words.next().unwrap_or("");
        let mut next = |key: &str, part| {
            let word = words.next().and_then(|word| word.strip_prefix(key));
            word.map(str::to_ascii_lowercase).ok_or(PaperError::Part { part })
        };
        if SMALL_CODE.is_newer(first) {
            return Err(PaperError::Newer {
                found: first.to_string(),
                build: next("B:", "B: (the build)").ok(),
            });
        }
        if first != SMALL {
            return Err(PaperError::Neither);
        }
        let build = next("B:", "B: (the build)")?;
        let lines = next("N:", "N: (the lines)")?
            .parse()
            .map_err(|_| PaperError::Part {
                part: "N: (the lines)",
            })?;
        let digits = next("S:", "S: (the digest)")?;
        if digits.len() != DIGITS || !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
            return Err(PaperError::Part {
                part: "S: (the digest)",
            });
        }
        Ok(SmallCode { build, lines, digits })
    }
}
