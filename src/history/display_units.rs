//! The units of measure in which the years are told.

use super::measure::Measure;
use super::remedies::FAR;
use super::wear::Along;
use crate::quantity::{Dimension, Units, unit_named};
use crate::report::number;

/// In which units of measure values are shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DisplayUnits {
    /// Of lengths, forces and torques, and of distances.
    pub units: Units,
    /// What distances are counted in.
    pub along: Along,
}

/// Micrometres in a millimetre: lengths are told to machines in these, whatever they are reckoned in.
pub(super) const MICROMETRES: f64 = 1e3;

impl DisplayUnits {
    fn value(dimension: Dimension, units: Units, si: f64) -> f64 {
        unit_named(dimension.usual_unit(units)).map_or(si, |row| row.from_si(si))
    }

    /// Newton metres.
    pub fn torque(self, newton_metres: f64) -> f64 {
        DisplayUnits::value(Dimension::Torque, self.units, newton_metres)
    }

    /// Newtons.
    pub fn force(self, newtons: f64) -> f64 {
        DisplayUnits::value(Dimension::Force, self.units, newtons)
    }

    /// Millimetres.
    pub fn length(self, mm: f64) -> f64 {
        DisplayUnits::value(Dimension::Length, self.units, mm / 1e3)
    }

    /// Millimetres, where they are few.
    pub fn small(self, mm: f64) -> f64 {
        unit_named(self.small_symbol()).map_or(mm, |row| row.from_si(mm / 1e3))
    }

    /// The unit of measure of lengths that are few.
    pub fn small_symbol(self) -> &'static str {
        match self.units {
            Units::Metric => "µm",
            Units::Inch => "thou",
        }
    }

    pub(super) fn symbol(self, dimension: Dimension) -> &'static str {
        dimension.usual_unit(self.units)
    }

    /// The unit of measure of distances.
    pub fn distance_symbol(self) -> &'static str {
        match self.along {
            Along::Kilometres => self.symbol(Dimension::Distance),
            Along::Hours => self.along.symbol(),
        }
    }

    /// A distance of the unit's own counting.
    pub fn distance(self, along: f64) -> f64 {
        match self.along {
            Along::Kilometres => DisplayUnits::value(Dimension::Distance, self.units, along * 1e3),
            Along::Hours => along,
        }
    }

    /// A distance that was written down, without its symbol: hours are few, and their tenths count where there are any.
    pub fn far(self, along: f64) -> String {
        let shown = self.distance(along);
        let tenths = self.along == Along::Hours && (shown - shown.round()).abs() > 0.05;
        number(shown, usize::from(tenths))
    }

    /// How much of its own counting is in one of the unit of measure that is shown.
    pub(super) fn one(self) -> f64 {
        1.0 / self.distance(1.0)
    }

    /// A value in the unit of measure that is shown, with that unit and the decimals that it has.
    pub(super) fn of(self, measure: Measure, value: f64) -> (f64, &'static str, usize) {
        match (measure, self.units) {
            (Measure::Torque, _) => (self.torque(value), self.symbol(Dimension::Torque), 1),
            (Measure::Force, Units::Metric) => (value, "N", 0),
            (Measure::Force, Units::Inch) => (self.force(value), "lbf", 1),
            (Measure::Length, _) => (self.length(value), self.symbol(Dimension::Length), self.fine()),
            (Measure::Friction, _) => (value, "", 3),
        }
    }

    /// Decimals of a length.
    pub(super) fn fine(self) -> usize {
        match self.units {
            Units::Metric => 3,
            Units::Inch => 4,
        }
    }

    /// A distance to two digits: a band is no surer.
    pub fn rough(self, along: f64) -> String {
        self.two_digits(along, f64::round)
    }

    /// The same, and never more than it is: for the least that is left.
    ///
    /// ```
    /// use shimwright::quantity::Units;
    /// use shimwright::history::{Along, DisplayUnits};
    /// let shown = DisplayUnits { units: Units::Metric, along: Along::Kilometres };
    /// assert_eq!([shown.rough(5860.0), shown.rough_at_most(5860.0)], ["5900", "5800"]);
    /// ```
    pub fn rough_at_most(self, along: f64) -> String {
        self.two_digits(along, f64::floor)
    }

    fn two_digits(self, along: f64, whole: fn(f64) -> f64) -> String {
        let shown = self.distance(along);
        let tenths = shown.abs() < 10.0 && self.along == Along::Hours;
        if tenths {
            return format!("{:.1}", whole(shown * 10.0) / 10.0);
        }
        let step = 10_f64.powf((shown.abs().max(1.0).log10().floor() - 1.0).max(0.0));
        format!("{:.0}", whole(shown / step) * step)
    }

    /// The middle, and its band where there is one; nothing past what was seen by far.
    pub(super) fn band(self, at: Option<f64>, from: f64, to: Option<f64>, seen: f64) -> String {
        let far = FAR * seen;
        if from > far {
            return format!("over {}", self.rough(far));
        }
        let Some(at) = at else {
            return if from > 0.0 {
                format!("not before {}", self.rough(from))
            } else {
                "can not be told".to_string()
            };
        };
        let (at, from) = (at.max(0.0), from.max(0.0));
        if to.is_some_and(|to| to <= from) {
            return format!("{} (no band)", self.rough(at));
        }
        if at > far {
            return format!("over {} (not before {})", self.rough(far), self.rough(from));
        }
        let to = match to {
            Some(to) if to <= far => self.rough(to.max(0.0)),
            _ => format!("over {}", self.rough(far)),
        };
        format!("{} ({} to {to})", self.rough(at), self.rough(from))
    }
}
