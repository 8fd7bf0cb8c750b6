//! Figures as a tyre's sidewall and an engine's data have them: the size of a tyre, and power at a speed.

use super::error::{MechanicsError, above, within};
use crate::quantity::{Length, Power, Ratio, Torque};
use std::fmt;

/// Millimetres in an inch, exact by definition.
const INCH: f64 = 25.4;
/// How far a loaded radial tyre rolls in a turn, as a share of its free diameter: *common practice, no source*.
const ROLLS: f64 = 3.05;

/// A tyre's size as it stands on the sidewall: 205/55 R16.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TyreSize {
    width: u32,
    height_percent: u32,
    rim: u32,
}

impl TyreSize {
    /// Reads a size such as `205/55 R16`, `195/50R15 82V`, `P185/60 HR 14` or `225/45-17`; what stands behind the rim is left alone.
    ///
    /// Source: the form of ISO 4000-1: nominal width in mm, height as a share of it in per cent, rim in inches.
    ///
    /// # Errors
    ///
    /// A text of another form; a width outside 100 to 400 mm, a height outside 20 to 100 %, a rim outside 8 to 26 inches.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::mechanics::rated::TyreSize;
    /// assert_eq!(TyreSize::read("P205/55ZR16 91W")?.to_string(), "205/55 R16");
    /// assert!(TyreSize::read("205/55").is_err() && TyreSize::read("55/205 R16").is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn read(text: &str) -> Result<TyreSize, MechanicsError> {
        let unknown = || MechanicsError::TyreUnknown {
            text: text.trim().to_string(),
        };
        let rest = text.trim().trim_start_matches(|c: char| c.is_ascii_alphabetic());
        let (width, rest) = rest.split_once('/').ok_or_else(unknown)?;
        let number = |digits: &str| digits.trim().parse::<u32>().map_err(|_| unknown());
        let rest = rest.trim_start();
        let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
        let (height, rest) = rest.split_at(digits(rest));
        let (width, height_percent) = (number(width)?, number(height)?);
        // a letter of speed may stand before the R of a radial tyre
        let made = |c: char| c.is_whitespace() || c == '-' || c.is_ascii_alphabetic();
        let between = rest.find(|c| !made(c)).unwrap_or(rest.len());
        if !rest[..between].contains(['R', 'r', '-']) {
            return Err(unknown());
        }
        let rest = &rest[between..];
        let (rim, behind) = rest.split_at(digits(rest));
        if behind.starts_with(|c: char| !c.is_whitespace() && !c.is_ascii_alphabetic()) {
            return Err(unknown());
        }
        Ok(TyreSize {
            width: within("the width of a tyre in mm", width, 100..=400)?,
            height_percent: within(
                "the height of a tyre in per cent of its width",
                height_percent,
                20..=100,
            )?,
            rim: within("the rim of a tyre in inches", number(rim)?, 8..=26)?,
        })
    }
}

impl fmt::Display for TyreSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}/{} R{}", self.width, self.height_percent, self.rim))
    }
}

/// The rolling radius of a loaded radial tyre of a size: how far it rolls in a turn, over 2 π.
///
/// ```text
/// r = 3.05/(2 π) · (25.4 mm · rim + 2 · width · height/100)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | r | the result | mm |
/// | rim | `size` | inches |
/// | width | `size` | mm |
/// | height | `size` | per cent |
///
/// Source: the free diameter follows from the size; that a turn is 3.05 of it is *common practice, no source*. A tyre for
/// competition may differ by several per cent: a measured turn on the ground is better.
///
/// # Errors
///
/// None that a size that was read can have.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::rated::{TyreSize, rolling_radius};
/// // 406.4 mm and twice 112.75 mm are 631.9 mm
/// let radius = rolling_radius(TyreSize::read("205/55 R16")?)?;
/// assert!((radius.mm() - 631.9 * 3.05 / std::f64::consts::TAU).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn rolling_radius(size: TyreSize) -> Result<Length, MechanicsError> {
    let TyreSize {
        width,
        height_percent,
        rim,
    } = size;
    let free = INCH * f64::from(rim) + 2.0 * f64::from(width) * f64::from(height_percent) / 100.0;
    Ok(Length::from_mm(ROLLS / std::f64::consts::TAU * free)?)
}

/// The torque of an engine that gives a power at a speed.
///
/// ```text
/// T = P/(2 π n/60)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | T | the result | N·m |
/// | P | `power` | W, 0 and above |
/// | n | `rpm` | turns in a minute, above 0 |
///
/// Source: power is torque times angular speed.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::rated::torque_of_power;
/// use shimwright::quantity::{Power, Ratio};
/// let torque = torque_of_power(Power::from_kilowatts(100.0)?, Ratio::new(6000.0)?)?;
/// assert!((torque.newton_metres() - 159.154_943_1).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn torque_of_power(power: Power, rpm: Ratio) -> Result<Torque, MechanicsError> {
    let power = within("the power of the engine", power, Power::from_kilowatts(0.0)?..)?;
    let rpm = within("the speed of the engine", rpm, above(Ratio::new(0.0)?))?;
    Ok(Torque::from_newton_metres(
        1000.0 * power.kilowatts() / (std::f64::consts::TAU * rpm.value() / 60.0),
    )?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_of_other_forms_and_impossible_ones_are_refused() {
        for (text, says) in [
            ("", "is no size of a tyre"),
            ("205", "is no size of a tyre"),
            ("205/55", "is no size of a tyre"),
            ("205/55 16", "is no size of a tyre"),
            ("205/R16", "is no size of a tyre"),
            ("205/55 R", "is no size of a tyre"),
            ("205/55 R16.5", "is no size of a tyre"),
            ("-205/55 R16", "is no size of a tyre"),
            ("99999999999/55 R16", "is no size of a tyre"),
            ("205/55 Ж16", "is no size of a tyre"),
            ("55/205 R16", "width of a tyre in mm is 55"),
            ("205/555 R16", "height of a tyre in per cent of its width is 555"),
            ("205/55 R61", "rim of a tyre in inches is 61"),
        ] {
            let words = TyreSize::read(text).unwrap_err().to_string();
            assert!(words.contains(says), "{text}: {words}");
        }
        for text in [
            "205/55R16",
            "205/55 r16",
            " 205 / 55 R\u{a0}16 ",
            "205/55-16",
            "LT205/55ZR16",
        ] {
            assert_eq!(TyreSize::read(text).unwrap().to_string(), "205/55 R16", "{text}");
        }
    }
}
