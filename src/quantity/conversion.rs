//! From one unit of measure to another.

use super::error::QuantityError;
use super::number::{Number, split_number};
use super::units::{Dimension, ROWS, unit_named};

/// Converts a written quantity to another unit of the same kind.
///
/// ```
/// let (value, unit) = shimwright::quantity::convert("35 lbf·ft", "N·m")?;
/// assert!((value - 47.453_628_191_6).abs() < 1e-9 && unit == "N·m");
/// # Ok::<(), shimwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
///
/// The text is no quantity, the unit is unknown, or it measures something else.
pub fn convert(text: &str, to: &str) -> Result<(f64, &'static str), QuantityError> {
    let (number, unit_text) = split_number(text)?;
    let find = |name: &str| {
        unit_named(name).ok_or_else(|| QuantityError::UnknownUnit {
            unit: name.to_string(),
            wanted: "a quantity",
            units: ROWS.iter().map(|row| row.symbol()).collect::<Vec<_>>().join(", "),
        })
    };
    let target = find(to)?;
    if unit_text.is_empty() {
        return Err(QuantityError::NoUnit {
            text: text.trim().to_string(),
            wanted: target.dimension().article_name(),
            units: target.dimension().units().join(", "),
        });
    }
    let unit = find(&unit_text)?;
    // "m" may be meant as a distance driven and "km" as a length: the two kinds convert into each other
    let kind = |d: Dimension| {
        if d == Dimension::Distance {
            Dimension::Length
        } else {
            d
        }
    };
    if kind(unit.dimension()) != kind(target.dimension()) {
        return Err(QuantityError::WrongDimension {
            text: text.trim().to_string(),
            is: unit.dimension().article_name(),
            wanted: target.dimension().article_name(),
            units: target.dimension().units().join(", "),
        });
    }
    Ok((
        target.from_si(unit.to_si(Number::value(&number))),
        target.symbol(),
    ))
}
