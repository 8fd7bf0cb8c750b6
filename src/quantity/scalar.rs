//! Finite quantities of one dimension each.

use super::digits::significant;
use super::error::QuantityError;
use super::number::{Number, split_number};
use super::parse::Quantity;
use super::units::{Dimension, UnitRow, Units, unit_named};
use std::fmt;

/// A number that is NaN, infinite, or past what the type can hold.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error("the number is not finite")]
pub struct NotFinite;

macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident, $uom:ty, $unit:path, $from:ident, $get:ident, $symbol:literal, $decimals:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
        pub struct $name($uom);

        impl $name {
            #[doc = concat!("From a number in ", $symbol, "; refuses NaN and infinity.")]
            ///
            /// # Errors
            ///
            /// [`NotFinite`]: NaN or infinity.
            pub fn $from(value: f64) -> Result<$name, NotFinite> {
                if value.is_finite() { Ok($name(<$uom>::new::<$unit>(value))) } else { Err(NotFinite) }
            }

            #[doc = concat!("The number in ", $symbol, ".")]
            pub fn $get(self) -> f64 {
                self.0.get::<$unit>()
            }

            /// The `uom` quantity inside, for formulas that check their dimensions.
            pub fn si(self) -> $uom {
                self.0
            }

            /// From a `uom` quantity; refuses NaN and infinity.
            ///
            /// # Errors
            ///
            /// [`NotFinite`]: NaN or infinity.
            pub fn from_si(value: $uom) -> Result<$name, NotFinite> {
                if value.value.is_finite() { Ok($name(value)) } else { Err(NotFinite) }
            }

            /// For people: in the usual unit of a system of units.
            pub fn show(self, units: Units) -> String {
                match unit_named(Self::DIMENSION.usual_unit(units)) {
                    Some(row) => format!("{:.*} {}", $decimals, row.from_si(self.0.value), row.symbol()),
                    None => self.to_string(),
                }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let decimals = f.precision().unwrap_or($decimals);
                let text = format!("{:.*} {}", decimals, self.$get(), $symbol);
                // padding only: a precision in the format string was for the number
                let width = f.width().unwrap_or(0);
                write!(f, "{text:>width$}")
            }
        }

        impl Quantity for $name {
            const DIMENSION: Dimension = Dimension::$name;

            fn from_written(number: &Number, unit: &UnitRow) -> Result<$name, QuantityError> {
                // the coherent SI value, by this project's exact factors and not by uom's rounded ones
                let mut si = <$uom>::new::<$unit>(0.0);
                si.value = unit.to_si(number.value());
                $name::from_si(si).map_err(|NotFinite| QuantityError::NotANumber { text: number.text().to_string() })
            }
        }
    };
}

scalar!(
    /// A force.
    Force, uom::si::f64::Force, uom::si::force::newton, from_newtons, newtons, "N", 0
);
scalar!(
    /// A torque. It is not an energy, though both are newtons times metres: `uom` keeps the two kinds apart.
    ///
    /// ```compile_fail
    /// use shimwright::quantity::Torque;
    /// let _ = Torque::from_newton_metres(1.0).unwrap().si() + uom::si::f64::Energy::new::<uom::si::energy::joule>(1.0);
    /// ```
    Torque, uom::si::f64::Torque, uom::si::torque::newton_meter, from_newton_metres, newton_metres, "N·m", 1
);
scalar!(
    /// A pressure or a modulus of elasticity.
    Pressure, uom::si::f64::Pressure, uom::si::pressure::megapascal, from_megapascals, megapascals, "MPa", 0
);
scalar!(
    /// A plain angle, such as that of a bent wrench extension. A ramp angle is a [`super::RampAngle`].
    Angle, uom::si::f64::Angle, uom::si::angle::degree, from_degrees, degrees, "°", 1
);
scalar!(
    /// A mass.
    Mass, uom::si::f64::Mass, uom::si::mass::kilogram, from_kilograms, kilograms, "kg", 1
);
scalar!(
    /// How far a car has gone. Parts are measured in exact [`super::Length`]s.
    Distance, uom::si::f64::Length, uom::si::length::kilometer, from_kilometres, kilometres, "km", 0
);
scalar!(
    /// A span of time.
    Duration, uom::si::f64::Time, uom::si::time::hour, from_hours, hours, "h", 1
);
scalar!(
    /// The force that a spring gains per length of travel.
    SpringRate, uom::si::f64::SurfaceTension, uom::si::surface_tension::kilonewton_per_meter, from_newtons_per_mm, newtons_per_mm, "N/mm", 0
);
scalar!(
    /// A temperature (not a difference of temperatures).
    Temperature, uom::si::f64::ThermodynamicTemperature, uom::si::thermodynamic_temperature::degree_celsius, from_celsius, celsius, "°C", 0
);
scalar!(
    /// An amount of oil.
    Volume, uom::si::f64::Volume, uom::si::volume::liter, from_litres, litres, "l", 2
);
scalar!(
    /// A power.
    Power, uom::si::f64::Power, uom::si::power::kilowatt, from_kilowatts, kilowatts, "kW", 1
);
scalar!(
    /// A speed over the ground.
    Velocity, uom::si::f64::Velocity, uom::si::velocity::kilometer_per_hour, from_km_per_hour, km_per_hour, "km/h", 1
);

/// A plain finite number, such as a coefficient of friction.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct Ratio(f64);

impl Ratio {
    /// A finite number; refuses NaN and infinity.
    ///
    /// # Errors
    ///
    /// [`NotFinite`]: NaN or infinity.
    pub fn new(value: f64) -> Result<Ratio, NotFinite> {
        if value.is_finite() {
            Ok(Ratio(value))
        } else {
            Err(NotFinite)
        }
    }

    /// The number.
    pub fn value(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&significant(self.0, 3))
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
