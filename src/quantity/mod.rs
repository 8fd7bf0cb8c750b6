//! Typed values: exact lengths, finite physical quantities, ramp angles with their datum, and the reading and
//! writing of text such as `"1.98 mm"`.
//!
//! A length that is summed or chosen is a whole number of nanometres ([`Length`]), so 0.0001 in is 2 540 nm and
//! nothing is lost in a stack. Everything that goes into a formula is a newtype over a `uom` quantity that is
//! finite by construction, so a torque can not be handed where a force is wanted, and NaN can not enter.

mod angle;
mod calendar;
mod length;
mod limits;
mod parse;
mod pattern;
mod scalar;
mod units;
mod visible;

pub use angle::{Datum, RampAngle};
pub use calendar::{is_day, seconds_of, utc};
pub use length::Length;
pub use limits::{sample, within};
pub use parse::{Number, Quantity, QuantityError, Written, parse, parse_bare};
pub use pattern::{Edge, patterns};
pub use scalar::{
    Angle, Distance, Duration, Force, Mass, NotFinite, Power, Pressure, Ratio, SpringRate, Temperature,
    Torque, Velocity, Volume,
};
pub use units::{Dimension, UnitRow, Units, convert, unit_named};
pub use visible::{hides, visible, visible_lines, visible_where};

/// Writes `value` with `digits` significant digits, never in exponent form; it rounds first, so 9.996 with three
/// digits is `10.0`.
///
/// ```
/// assert_eq!(shimwright::quantity::significant(9.996, 3), "10.0");
/// assert_eq!(shimwright::quantity::significant(0.012345, 2), "0.012");
/// ```
pub fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return format!("{value}");
    }
    let rounded = format!("{:.*e}", digits.saturating_sub(1), value);
    let exponent: i64 = rounded
        .split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0);
    let decimals = (digits as i64 - 1 - exponent).clamp(0, 12) as usize;
    let text = format!("{value:.decimals$}");
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        text.trim_start_matches('-').to_string()
    } else {
        text
    }
}
