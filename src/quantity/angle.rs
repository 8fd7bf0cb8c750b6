//! Ramp angles with the datum that they are measured from.

use super::error::QuantityError;
use super::number::{Number, split_number};
use super::parse::Quantity;
use super::units::{Dimension, UnitRow, unit_named};
use std::fmt;

/// What a ramp angle is counted from. The trade has no agreed datum; the two add up to 90°.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Datum {
    /// From the face of the pressure ring: a small number locks harder.
    RingFace,
    /// From the axis of the shaft: a large number locks harder.
    ShaftAxis,
}

impl fmt::Display for Datum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Datum::RingFace => "ring face",
            Datum::ShaftAxis => "shaft axis",
        })
    }
}

/// The angle of a ramp together with the datum that it is counted from.
///
/// More than 0° and at most 90° from the ring face; at 90° the ramp does not spread the rings.
///
/// ```
/// use shimwright::quantity::{parse, QuantityError, RampAngle};
/// let ramp: RampAngle = parse("30 deg from shaft axis")?;
/// assert_eq!(ramp.degrees_from_ring_face(), 60.0);
/// assert!(matches!(parse::<RampAngle>("45 deg"), Err(QuantityError::NoDatum { .. })));
/// # Ok::<(), QuantityError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RampAngle {
    degrees: f64,
    datum: Datum,
}

impl RampAngle {
    /// A ramp that does not spread the rings.
    pub const NONE: RampAngle = RampAngle {
        degrees: 90.0,
        datum: Datum::RingFace,
    };

    /// An angle counted from a datum. Refused when it is not more than 0° and at most 90° from the ring face.
    ///
    /// # Errors
    ///
    /// [`QuantityError`]: NaN, infinity, or an angle outside of these limits.
    pub fn new(degrees: f64, datum: Datum) -> Result<RampAngle, QuantityError> {
        let ramp = RampAngle { degrees, datum };
        let face = ramp.degrees_from_ring_face();
        if face > 0.0 && face <= 90.0 {
            Ok(ramp)
        } else {
            Err(QuantityError::RampAngleOutOfRange {
                text: format!("{degrees}° from the {datum}"),
            })
        }
    }

    /// The number as it was given, in degrees from [`RampAngle::datum`].
    pub fn degrees(self) -> f64 {
        self.degrees
    }

    /// The datum as it was given.
    pub fn datum(self) -> Datum {
        self.datum
    }

    /// Degrees from the ring's face.
    pub fn degrees_from_ring_face(self) -> f64 {
        match self.datum {
            Datum::RingFace => self.degrees,
            Datum::ShaftAxis => 90.0 - self.degrees,
        }
    }

    /// Degrees from the shaft's axis.
    pub fn degrees_from_shaft_axis(self) -> f64 {
        90.0 - self.degrees_from_ring_face()
    }

    /// Radians from the ring's face, as the formulas want it.
    pub fn radians_from_ring_face(self) -> f64 {
        self.degrees_from_ring_face().to_radians()
    }
}

impl fmt::Display for RampAngle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} deg from {}", self.degrees, self.datum))
    }
}

impl Quantity for RampAngle {
    const DIMENSION: Dimension = Dimension::RampAngle;

    fn from_written(number: &Number, _: &UnitRow) -> Result<RampAngle, QuantityError> {
        Err(QuantityError::NoDatum {
            text: number.text().to_string(),
            degrees: number.text().to_string(),
        })
    }

    fn read(text: &str, _: Option<&str>) -> Result<(RampAngle, String), QuantityError> {
        let wanted = Self::DIMENSION.article_name();
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Err(QuantityError::Empty { wanted });
        }
        if trimmed.eq_ignore_ascii_case("no ramp") {
            return Ok((RampAngle::NONE, "no ramp".to_string()));
        }
        let (number, rest) = split_number(trimmed)?;
        let (unit, datum_words) = match rest.split_once(char::is_whitespace) {
            Some((first, more)) if unit_named(first).is_some() => (first, more),
            _ if unit_named(&rest).is_some() => (rest.as_str(), ""),
            _ => ("deg", rest.as_str()),
        };
        let row = unit_named(unit)
            .filter(|row| row.dimension() == Dimension::Angle)
            .ok_or_else(|| QuantityError::WrongDimension {
                text: trimmed.to_string(),
                is: unit_named(unit).map_or("no angle", |row| row.dimension().article_name()),
                wanted,
                units: Self::DIMENSION.units().join(", "),
            })?;
        let words: Vec<String> = datum_words
            .split_whitespace()
            .map(|word| word.to_lowercase().trim_end_matches("'s").to_string())
            .filter(|word| word != "from" && word != "the")
            .collect();
        let datum = match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
            ["ring", "face"] | ["face"] | ["ring"] => Datum::RingFace,
            ["shaft", "axis"] | ["axis"] | ["shaft"] => Datum::ShaftAxis,
            [] => {
                return Err(QuantityError::NoDatum {
                    text: trimmed.to_string(),
                    degrees: number.text().to_string(),
                });
            }
            _ => {
                return Err(QuantityError::UnknownUnit {
                    unit: rest.clone(),
                    wanted,
                    units: Self::DIMENSION.units().join(", "),
                });
            }
        };
        let degrees = if row.symbol() == "deg" {
            number.value()
        } else {
            number.value().to_degrees()
        };
        let ramp = RampAngle::new(degrees, datum)?;
        Ok((ramp, format!("{} {} from {datum}", number.text(), row.symbol())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse;

    #[test]
    fn the_two_datums_add_up_to_a_right_angle() {
        let face: RampAngle = parse("40 deg from ring face").unwrap();
        let shaft: RampAngle = parse("50° from the shaft's axis").unwrap();
        assert!((face.degrees_from_ring_face() - shaft.degrees_from_ring_face()).abs() < 1e-12);
        assert!((face.degrees_from_shaft_axis() - 50.0).abs() < 1e-12);
    }

    #[test]
    fn a_bare_ramp_angle_is_refused_with_the_reason() {
        let message = parse::<RampAngle>("45 deg").unwrap_err().to_string();
        assert!(
            message.contains("does not say what the angle is counted from"),
            "{message}"
        );
        assert!(matches!(
            parse::<RampAngle>("45"),
            Err(QuantityError::NoDatum { .. })
        ));
    }

    #[test]
    fn a_ramp_angle_stays_within_a_right_angle() {
        assert!(matches!(
            parse::<RampAngle>("0 deg from ring face"),
            Err(QuantityError::RampAngleOutOfRange { .. })
        ));
        assert!(matches!(
            parse::<RampAngle>("95 deg from ring face"),
            Err(QuantityError::RampAngleOutOfRange { .. })
        ));
        assert!(matches!(
            parse::<RampAngle>("90 deg from shaft axis"),
            Err(QuantityError::RampAngleOutOfRange { .. })
        ));
        assert!(parse::<RampAngle>("45 mm from ring face").is_err());
        assert!(parse::<RampAngle>("45 deg from the moon").is_err());
    }
}
