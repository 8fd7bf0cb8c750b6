//! Text to value: what every quantity that may be written can do.

use super::error::QuantityError;
use super::number::{Number, split_number};
use super::units::{Dimension, UnitRow, unit_named};
use std::fmt;

/// A quantity that can be read from text.
pub trait Quantity: Sized + Copy + fmt::Display + fmt::Debug {
    /// What it measures.
    const DIMENSION: Dimension;
    /// The value of `number` in `unit`, which is a unit of [`Self::DIMENSION`].
    ///
    /// # Errors
    ///
    /// [`QuantityError`]: a value that is out of what this measure can be.
    fn from_written(number: &Number, unit: &UnitRow) -> Result<Self, QuantityError>;
    /// Reads a whole text. A bare number takes `bare`, where that is given.
    ///
    /// # Errors
    ///
    /// [`QuantityError`]: an empty text, a number that is none or has two meanings, no unit, an unknown unit, a unit
    /// of another kind, a value out of range.
    fn read(text: &str, bare: Option<&str>) -> Result<(Self, String), QuantityError> {
        let wanted = Self::DIMENSION.article_name();
        let units = || Self::DIMENSION.units().join(", ");
        if text.trim().is_empty() {
            return Err(QuantityError::Empty { wanted });
        }
        let (number, unit_text) = split_number(text)?;
        let unit_text = if unit_text.is_empty() {
            bare.unwrap_or("").to_string()
        } else {
            unit_text
        };
        if unit_text.is_empty() {
            return Err(QuantityError::NoUnit {
                text: text.trim().to_string(),
                wanted,
                units: units(),
            });
        }
        let row = unit_named(&unit_text).ok_or_else(|| QuantityError::UnknownUnit {
            unit: unit_text.clone(),
            wanted,
            units: units(),
        })?;
        if row.dimension() != Self::DIMENSION {
            return Err(QuantityError::WrongDimension {
                text: text.trim().to_string(),
                is: row.dimension().article_name(),
                wanted,
                units: units(),
            });
        }
        Ok((
            Self::from_written(&number, row)?,
            format!("{} {}", number.text(), row.symbol()),
        ))
    }
}

/// Reads a quantity with its unit.
///
/// Accepts a decimal point or comma, any usual spelling of the unit, with or without a space. Refuses a missing unit,
/// a unit of another kind (by name), `1,234`, NaN and infinity.
///
/// ```
/// use shimwright::quantity::{parse, Length, Torque, QuantityError};
/// assert_eq!(parse::<Length>("1,98mm")?, parse::<Length>("1.98 mm")?);
/// assert_eq!(parse::<Torque>("12 N.m")?.newton_metres(), 12.0);
/// assert!(matches!(parse::<Length>("12 N.m"), Err(QuantityError::WrongDimension { .. })));
/// assert!(matches!(parse::<Length>("1,234 mm"), Err(QuantityError::AmbiguousComma { .. })));
/// # Ok::<(), QuantityError>(())
/// ```
///
/// # Errors
///
/// [`QuantityError`]: an empty text, a number that is none or has two meanings, no unit, an unknown unit, a unit of
/// another kind, a value out of range.
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityError> {
    Q::read(text, None).map(|(quantity, _)| quantity)
}

/// Reads a quantity; a bare number takes the unit `bare`, which the prompt shows.
///
/// ```
/// use shimwright::quantity::{parse_bare, Length};
/// assert_eq!(parse_bare::<Length>("1.98", "mm")?.value().nm(), 1_980_000);
/// assert_eq!(parse_bare::<Length>("78 thou", "mm")?.text(), "78 thou");
/// # Ok::<(), shimwright::quantity::QuantityError>(())
/// ```
///
/// # Errors
///
/// [`QuantityError`]: as [`parse`], but for the missing unit.
pub fn parse_bare<Q: Quantity>(text: &str, bare: &str) -> Result<Written<Q>, QuantityError> {
    Q::read(text, Some(bare)).map(|(value, text)| Written { value, text })
}

/// A quantity together with the text that it was read from, so that `1.980 mm` stays `1.980 mm`.
#[derive(Clone, PartialEq, Debug)]
pub struct Written<Q> {
    value: Q,
    text: String,
}

impl<Q: Quantity> Written<Q> {
    /// Reads a quantity with its unit; see [`parse`].
    ///
    /// # Errors
    ///
    /// [`QuantityError`]: as [`parse`].
    pub fn read(text: &str) -> Result<Written<Q>, QuantityError> {
        Q::read(text, None).map(|(value, text)| Written { value, text })
    }

    /// A value that was not typed, written as it is shown.
    pub fn of(value: Q) -> Written<Q> {
        Written {
            value,
            text: value.to_string(),
        }
    }

    /// The value.
    pub fn value(&self) -> Q {
        self.value
    }

    /// Number and unit, the digits as they were typed.
    pub fn text(&self) -> &str {
        &self.text
    }
}

impl<Q> fmt::Display for Written<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Force, Length, RampAngle, Ratio, Torque};

    #[test]
    fn the_ways_a_mechanic_writes_a_length_agree() {
        for text in [
            "1.98 mm",
            "1,98 mm",
            "1.98mm",
            " 1.980 mm ",
            "1980 µm",
            "1980 um",
            "0.198 cm",
            "+1.98 mm",
        ] {
            assert_eq!(parse::<Length>(text).map(Length::nm), Ok(1_980_000), "{text}");
        }
        for text in [".078 in", "0.078\"", "78 thou", "78 mil", "0,078 in"] {
            assert_eq!(parse::<Length>(text).map(Length::nm), Ok(1_981_200), "{text}");
        }
    }

    #[test]
    fn the_ways_a_mechanic_writes_a_torque_agree() {
        for text in [
            "35 lbf·ft",
            "35 lbf.ft",
            "35 ft-lb",
            "35 lb-ft",
            "35 ft·lbf",
            "35 lbf ft",
            "35 FT-LBS",
        ] {
            let torque = parse::<Torque>(text).unwrap().newton_metres();
            assert!((torque - 47.453_628_191_594).abs() < 1e-9, "{text}: {torque}");
        }
        assert!((parse::<Torque>("3.6 kgf·m").unwrap().newton_metres() - 35.303_94).abs() < 1e-12);
    }

    #[test]
    fn a_comma_with_three_digits_behind_it_is_refused_unless_it_can_only_be_a_decimal() {
        assert_eq!(
            parse::<Length>("1,234 mm"),
            Err(QuantityError::AmbiguousComma {
                text: "1,234 mm".into(),
                decimal: "1.234 mm".into(),
                thousands: "1234 mm".into()
            })
        );
        assert_eq!(parse::<Length>("0,150 mm").map(Length::nm), Ok(150_000));
        assert_eq!(parse::<Length>("1,2345 mm").map(Length::nm), Ok(1_234_500));
    }

    #[test]
    fn a_quantity_of_another_kind_is_refused_by_name() {
        let error = parse::<Length>("12 N·m").unwrap_err().to_string();
        assert!(
            error.contains("is a torque, but a length is wanted here"),
            "{error}"
        );
        assert!(matches!(
            parse::<Force>("12 lb"),
            Err(QuantityError::WrongDimension { is: "a mass", .. })
        ));
        assert!(matches!(
            parse::<Ratio>("12 mm"),
            Err(QuantityError::WrongDimension { .. })
        ));
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in [
            "",
            "  ",
            "mm",
            "NaN mm",
            "inf mm",
            "1.2.3 mm",
            "1,234.5 mm",
            "--1 mm",
            "1e3 mm",
            "999999999999999999 mm",
            "-",
            ".",
        ] {
            assert!(parse::<Length>(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_number_keeps_its_digits() {
        assert_eq!(parse_bare::<Length>("1.980", "mm").unwrap().text(), "1.980 mm");
        assert!(parse_bare::<Length>("1,980 0", "mm").is_err());
        assert_eq!(Written::<Length>::read(".0780 in").unwrap().text(), "0.0780 in");
        // seventeen digits are the most, and stay seventeen when they are written down
        let long = Written::<Length>::read(".99999999999997823 in").unwrap();
        assert_eq!(Written::<Length>::read(long.text()), Ok(long));
    }

    #[test]
    fn a_number_that_is_too_long_is_told_so() {
        let angle = parse::<RampAngle>("7.256184568237869 deg from ring face").unwrap();
        assert!((angle.degrees_from_ring_face() - 7.256_184_568_237_869).abs() < 1e-15);
        let error = parse::<Length>("1.234567890123456789 mm").unwrap_err();
        assert_eq!(
            error.to_string(),
            "\"1.234567890123456789 mm\" has more digits than are read here; at most 17 of them: round it"
        );
    }

    #[test]
    fn a_percentage_is_the_nearest_number_to_what_is_written() {
        for percent in 0..=1000 {
            let [whole, tenth] = [percent / 10, percent % 10];
            let read = parse::<Ratio>(&format!("{whole}.{tenth}%")).unwrap().value();
            let wanted: f64 = format!("{}e-3", percent).parse().unwrap();
            assert!(read.to_bits() == wanted.to_bits(), "{whole}.{tenth}%: {read}");
        }
        assert_eq!(parse::<Ratio>("95%").unwrap().to_string(), "0.950");
    }
}
