//! Reading of arguments, so that a refusal names the argument and what was wanted.

use crate::cli::failure::Failure;
use crate::mechanics::MechanicsError;
use crate::quantity::{Quantity, Written};
use std::str::FromStr;

/// A quantity with its unit, and the text that it was read from.
pub(super) fn quantity<Q: Quantity>(name: &'static str, text: &str) -> Result<Written<Q>, Failure> {
    Written::read(text).map_err(|why| Failure::Argument { name, why })
}

/// A quantity that may be left out.
pub(super) fn optional<Q: Quantity>(
    name: &'static str,
    text: Option<&String>,
) -> Result<Option<Written<Q>>, Failure> {
    text.map(|text| quantity(name, text)).transpose()
}

/// A limit against slips of typing; a formula with a narrower one checks it by itself.
const MOST: i64 = 1000;

/// A whole number of things.
pub(super) fn count(name: &'static str, text: &str) -> Result<u32, Failure> {
    let not_whole = || Failure::NotWhole {
        name,
        text: text.trim().to_string(),
    };
    let digits = text.trim();
    let unsigned = digits.strip_prefix(['-', '+']).unwrap_or(digits);
    if unsigned.is_empty() || !unsigned.chars().all(|c| c.is_ascii_digit()) {
        return Err(not_whole());
    }
    let out = || MechanicsError::OutOfRange {
        what: name,
        value: digits.to_string(),
        limits: format!("at least 0 and at most {MOST}"),
    };
    let number: i64 = digits.parse().map_err(|_| out())?;
    u32::try_from(number)
        .ok()
        .filter(|_| number <= MOST)
        .ok_or_else(|| out().into())
}

/// The size or the class of a bolt.
pub(super) fn bolt<T: FromStr<Err = MechanicsError>>(name: &'static str, text: &str) -> Result<T, Failure> {
    text.parse().map_err(|why| Failure::Bolt { name, why })
}
