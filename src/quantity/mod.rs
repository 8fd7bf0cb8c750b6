//! Typed values: exact lengths, finite physical quantities, ramp angles with their datum, and the reading and
//! writing of text such as `"1.98 mm"`.
//!
//! A length that is summed or chosen is a whole number of nanometres ([`Length`]), so 0.0001 in is 2 540 nm and
//! nothing is lost in a stack. Everything that goes into a formula is a newtype over a `uom` quantity that is
//! finite by construction, so a torque can not be handed where a force is wanted, and NaN can not enter.
//!
//! A new unit of measure is a row of `units`, with its exact factor; a new quantity is a line of `scalar`. Whatever is read
//! from a person goes through [`parse`], and whatever hides or steers through [`visible`].

mod angle;
mod calendar;
mod conversion;
mod digits;
mod error;
mod lap_time;
mod length;
mod limits;
mod number;
mod parse;
mod pattern;
mod scalar;
mod units;
mod visible;

pub use angle::{Datum, RampAngle};
pub use calendar::{is_day, minute, seconds_of, utc};
pub use conversion::convert;
pub use digits::significant;
pub use error::QuantityError;
pub use lap_time::{LapTime, NoLapTime};
pub use length::Length;
pub use limits::{sample, within};
pub use number::Number;
pub use parse::{Quantity, Written, parse, parse_bare};
pub use pattern::{Edge, patterns};
pub use scalar::{
    Angle, Distance, Duration, Force, Mass, NotFinite, Power, Pressure, Ratio, SpringRate, Temperature,
    Torque, Velocity, Volume,
};
pub use units::{Dimension, UnitRow, Units, unit_named};
pub use visible::{hides, visible, visible_lines, visible_where};
