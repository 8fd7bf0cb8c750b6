//! Lengths, exact in nanometres.

use super::error::QuantityError;
use super::number::Number;
use super::parse::Quantity;
use super::scalar::NotFinite;
use super::units::{Dimension, UnitRow, Units};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};
use uom::si::length::meter;

/// A length in whole nanometres: exact under addition, exact for micrometres and for 0.0001 in.
///
/// Arithmetic saturates at the ends of the 64-bit range, some nine million kilometres; a length read from text is at
/// most 100 m.
///
/// ```
/// use shimwright::quantity::{parse, Length};
/// let plate: Length = parse("1.98 mm")?;
/// let shim: Length = parse("0.0001 in")?;
/// assert_eq!((plate + shim).nm(), 1_982_540);
/// assert_eq!(plate.to_string(), "1.980 mm");
/// # Ok::<(), shimwright::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);
    /// The largest length that text may name: 100 m.
    pub const MOST: Length = Length(100_000_000_000);

    /// From whole nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// From whole micrometres.
    pub const fn from_um(um: i64) -> Length {
        Length(um.saturating_mul(1_000))
    }

    /// From millimetres, rounded to the nearest nanometre. Refuses NaN, infinity, and more than [`Length::MOST`].
    ///
    /// # Errors
    ///
    /// [`NotFinite`]: NaN, infinity, or more than [`Length::MOST`].
    pub fn from_mm(mm: f64) -> Result<Length, NotFinite> {
        let nm = (mm * 1e6).round();
        if nm.abs() <= Length::MOST.0 as f64 {
            Ok(Length(nm as i64))
        } else {
            Err(NotFinite)
        }
    }

    /// From metres, rounded to the nearest nanometre. Refuses NaN, infinity, and more than [`Length::MOST`].
    ///
    /// # Errors
    ///
    /// [`NotFinite`]: NaN, infinity, or more than [`Length::MOST`].
    pub fn from_metres(m: f64) -> Result<Length, NotFinite> {
        Length::from_mm(m * 1e3)
    }

    /// Whole nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Micrometres, with a fraction where there is one.
    pub fn um(self) -> f64 {
        self.0 as f64 / 1e3
    }

    /// Millimetres.
    pub fn mm(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Metres.
    pub fn metres(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// The same as a `uom` length, for formulas.
    pub fn si(self) -> uom::si::f64::Length {
        uom::si::f64::Length::new::<meter>(self.metres())
    }

    /// The size without the sign.
    pub const fn abs(self) -> Length {
        Length(self.0.saturating_abs())
    }

    /// The difference in size between two lengths.
    pub const fn apart(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0).saturating_abs())
    }

    /// For people: three decimals of a millimetre, or four of an inch; one more where a reading is finer.
    ///
    /// ```
    /// use shimwright::quantity::{Length, Units};
    /// assert_eq!(Length::from_um(1980).show(Units::Metric), "1.980 mm");
    /// assert_eq!(Length::from_um(2540).show(Units::Inch), "0.1000 in");
    /// ```
    pub fn show(self, units: Units) -> String {
        let unit = match units {
            Units::Metric => "mm",
            Units::Inch => "in",
        };
        format!("{} {unit}", self.bare(units))
    }

    /// The same without its unit, for tables that name it once, and for sums.
    ///
    /// ```
    /// use shimwright::quantity::{Length, Units};
    ///
    /// assert_eq!(Length::from_um(1_980).bare(Units::Metric), "1.980");
    /// assert_eq!(Length::from_um(1_980).bare(Units::Inch), "0.07795");
    /// ```
    pub fn bare(self, units: Units) -> String {
        match units {
            Units::Metric if self.0 % 1_000 == 0 => format!("{:.3}", self.mm()),
            Units::Metric => format!("{:.4}", self.mm()),
            Units::Inch if self.0 % 2_540 == 0 => format!("{:.4}", self.mm() / 25.4),
            Units::Inch => format!("{:.5}", self.mm() / 25.4),
        }
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.show(Units::Metric))
    }
}

impl Quantity for Length {
    const DIMENSION: Dimension = Dimension::Length;

    fn from_written(number: &Number, unit: &UnitRow) -> Result<Length, QuantityError> {
        // exact: digits × nanometres per unit / 10^decimals, in whole numbers
        let scaled = number.digits() * i128::from(unit.nanometres());
        let divisor = 10_i128.pow(number.decimals());
        let half = if scaled < 0 { -divisor / 2 } else { divisor / 2 };
        let nm = (scaled + half) / divisor;
        i64::try_from(nm)
            .ok()
            .filter(|nm| nm.abs() <= Length::MOST.0)
            .map(Length)
            .ok_or_else(|| QuantityError::TooLarge {
                text: number.text().to_string(),
                most: Length::MOST.to_string(),
            })
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        *self = *self + other;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(self.0.saturating_neg())
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0.saturating_mul(times))
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}
