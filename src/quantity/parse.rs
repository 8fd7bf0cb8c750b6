use super::scalar::{NotFinite, Ratio};
use super::units::{Dimension, UnitRow, unit_named};
use std::fmt;

/// Why a text is not the quantity that was wanted. The message says what is wrong and what to write.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum QuantityError {
    /// Nothing was written.
    #[error("nothing was written; {wanted} is wanted here")]
    Empty {
        /// What was wanted.
        wanted: &'static str,
    },
    /// The text does not start with a number, or the number is not finite.
    #[error("\"{text}\" does not start with a plain number")]
    NotANumber {
        /// The text.
        text: String,
    },
    /// More digits than any reading has.
    #[error("\"{text}\" has more digits than are read here; at most {most} of them: round it")]
    TooManyDigits {
        /// The text.
        text: String,
        /// How many may be written.
        most: usize,
    },
    /// `1,234` is a decimal in one country and a thousand in another.
    #[error("\"{text}\" can be read as {decimal} or as {thousands}; write one of these")]
    AmbiguousComma {
        /// The text.
        text: String,
        /// The reading with a decimal comma.
        decimal: String,
        /// The reading with a thousands comma.
        thousands: String,
    },
    /// A number without a unit where none may be assumed.
    #[error("\"{text}\" has no unit; {wanted} is wanted here, in {units}")]
    NoUnit {
        /// The text.
        text: String,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// A quantity of another kind.
    #[error("\"{text}\" is {is}, but {wanted} is wanted here, in {units}")]
    WrongDimension {
        /// The text.
        text: String,
        /// What it is.
        is: &'static str,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// A unit that is not known.
    #[error("\"{unit}\" is not a unit known here; {wanted} is written in {units}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// More than the type can hold.
    #[error("\"{text}\" is too large; at most {most}")]
    TooLarge {
        /// The text.
        text: String,
        /// The limit.
        most: String,
    },
    /// A ramp angle without the datum that it is counted from.
    #[error(
        "\"{text}\" does not say what the angle is counted from; the trade uses both, and the two add up to 90°: \
         write \"{degrees} deg from ring face\" or \"{degrees} deg from shaft axis\""
    )]
    NoDatum {
        /// The text.
        text: String,
        /// The number.
        degrees: String,
    },
    /// A ramp angle outside 0 to 90°.
    #[error(
        "a ramp angle of {text} is out of range; it must be more than 0° and at most 90° from the ring face"
    )]
    RampAngleOutOfRange {
        /// The text.
        text: String,
    },
}

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

/// A quantity that can be read from text.
pub trait Quantity: Sized + Copy + fmt::Display + fmt::Debug {
    /// What it measures.
    const DIMENSION: Dimension;
    /// The value of `number` in `unit`, which is a unit of [`Self::DIMENSION`].
    fn from_written(number: &Number, unit: &UnitRow) -> Result<Self, QuantityError>;
    /// Reads a whole text. A bare number takes `bare`, where that is given.
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

impl Quantity for Ratio {
    const DIMENSION: Dimension = Dimension::Ratio;

    fn from_written(number: &Number, _: &UnitRow) -> Result<Ratio, QuantityError> {
        Ratio::new(number.value()).map_err(|NotFinite| QuantityError::NotANumber {
            text: number.text().to_string(),
        })
    }

    fn read(text: &str, _: Option<&str>) -> Result<(Ratio, String), QuantityError> {
        let wanted = Self::DIMENSION.article_name();
        if text.trim().is_empty() {
            return Err(QuantityError::Empty { wanted });
        }
        let (number, rest) = split_number(text)?;
        let value = match rest.as_str() {
            "" => number.value(),
            "%" => number.hundredth(),
            other => {
                let units = "no unit, or %".to_string();
                return Err(match unit_named(other) {
                    Some(row) => QuantityError::WrongDimension {
                        text: text.trim().to_string(),
                        is: row.dimension().article_name(),
                        wanted,
                        units,
                    },
                    None => QuantityError::UnknownUnit {
                        unit: other.to_string(),
                        wanted,
                        units,
                    },
                });
            }
        };
        let ratio = Ratio::new(value).map_err(|NotFinite| QuantityError::NotANumber {
            text: text.to_string(),
        })?;
        Ok((ratio, format!("{}{rest}", number.text())))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Force, Length, RampAngle, Torque};

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
