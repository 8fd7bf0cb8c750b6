//! What a phone or a person reads off a sheet: the one or the other code, or digits of the digest.

use super::formats::SMALL_CODE;
use super::paper_text::{DIGITS, FORMAT, PaperError, PaperText};
use super::small_code::SmallCode;

/// The most characters of a text that is read.
const MOST_CHARACTERS: usize = 1_000;

/// What is read off a sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum OffPaper {
    /// The text of the code.
    Code(PaperText),
    /// The text of the small code.
    Small(SmallCode),
    /// Digits of the digest, from its beginning, as lower-case hexadecimal.
    Digits(String),
}

impl OffPaper {
    /// Reads what a phone or a person reads off a sheet.
    ///
    /// # Errors
    ///
    /// [`PaperError`]: a text that is neither code of a sheet, or one that is not whole.
    pub fn read(text: &str) -> Result<OffPaper, PaperError> {
        let text = text.trim();
        if text.len() > MOST_CHARACTERS {
            return Err(PaperError::Neither);
        }
        if text
            .get(..FORMAT.len())
            .is_some_and(|head| head.eq_ignore_ascii_case(FORMAT))
        {
            return PaperText::read(text).map(OffPaper::Code);
        }
        if SMALL_CODE.number_in(&first_word(text)).is_some() {
            return SmallCode::read(text).map(OffPaper::Small);
        }
        let mut digits = String::new();
        for c in text.chars() {
            match c {
                c if c.is_ascii_hexdigit() => digits.push(c.to_ascii_lowercase()),
                c if c.is_whitespace() || "-,.".contains(c) => {}
                _ => return Err(PaperError::Neither),
            }
        }
        if DIGITS.contains(&digits.len()) {
            Ok(OffPaper::Digits(digits))
        } else {
            Err(PaperError::Neither)
        }
    }
}

fn first_word(text: &str) -> String {
    text.split_whitespace().next().unwrap_or("").to_ascii_uppercase()
}
