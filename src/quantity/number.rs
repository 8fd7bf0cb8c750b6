//! A number as it was typed, parted from the unit behind it.

use super::error::QuantityError;

/// A number as it was typed: its digits are kept, so the step of the reading is known and sums are exact.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Number {
    text: String,
    digits: i128,
    decimals: u32,
}

impl Number {
    /// The digits as one whole number, with the sign: 1980 for `1.980`.
    pub fn digits(&self) -> i128 {
        self.digits
    }

    /// How many digits stand behind the decimal sign: 3 for `1.980`.
    pub fn decimals(&self) -> u32 {
        self.decimals
    }

    /// The nearest binary number.
    pub fn value(&self) -> f64 {
        // the standard library's reading is correctly rounded, which digits / 10^decimals need not be
        self.text.parse().unwrap_or(f64::NAN)
    }

    /// The nearest binary number to a hundredth of it: 0.95 for `95`.
    pub fn hundredth(&self) -> f64 {
        // one decimal step further, so that it is rounded once
        let text = format!("{}e-{}", self.digits, self.decimals + 2);
        text.parse().unwrap_or(f64::NAN)
    }

    /// The number with a decimal point, as in `-0.078`.
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Most digits that a number may have: as many as tell any binary number from the next, so that what a program prints is
/// read. Any reading has fewer, and sums stay far inside the number types.
const MOST_DIGITS: usize = 17;

/// Splits `text` into its number and what follows it.
pub(super) fn split_number(text: &str) -> Result<(Number, String), QuantityError> {
    let trimmed = text.trim();
    let not_a_number = || QuantityError::NotANumber {
        text: trimmed.to_string(),
    };
    let (sign, unsigned) = match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => ("-", rest),
        None => ("", trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    let unsigned = unsigned.trim_start();
    let end = unsigned
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .unwrap_or(unsigned.len());
    let (body, unit) = unsigned.split_at(end);
    // "35." is 35; "1.2.3", "1,2,3" and "1,234.5" are no numbers here
    let marks = body.matches(['.', ',']).count();
    if marks > 1 {
        return Err(not_a_number());
    }
    let (whole, fraction) = body.split_once(['.', ',']).unwrap_or((body, ""));
    // a zero in front is no digit of the number: ".5" is written down as "0.5" and must be read back
    let count = whole.trim_start_matches('0').len() + fraction.len();
    if whole.len() + fraction.len() == 0 {
        return Err(not_a_number());
    }
    if count > MOST_DIGITS {
        return Err(QuantityError::TooManyDigits {
            text: trimmed.to_string(),
            most: MOST_DIGITS,
        });
    }
    if body.contains(',') && fraction.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
    {
        let unit = unit.trim();
        let with = |number: String| {
            if unit.is_empty() {
                number
            } else {
                format!("{number} {unit}")
            }
        };
        return Err(QuantityError::AmbiguousComma {
            text: trimmed.to_string(),
            decimal: with(format!("{sign}{whole}.{fraction}")),
            thousands: with(format!("{sign}{whole}{fraction}")),
        });
    }
    let digits: i128 = format!("{sign}{whole}{fraction}")
        .parse()
        .map_err(|_| not_a_number())?;
    let whole = if whole.is_empty() { "0" } else { whole };
    let text = if fraction.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{fraction}")
    };
    Ok((
        Number {
            text,
            digits,
            decimals: fraction.len() as u32,
        },
        unit.trim().to_string(),
    ))
}
