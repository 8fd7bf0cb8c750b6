//! Between what a lock lies, as plain data: slipping, breaking loose and letting go.

use super::interval::Interval;
use crate::quantity::{Dimension, Ratio, Torque, Units, unit_named};
use crate::report::{NOTHING, Table};

/// Between what the lock of a unit lies, on drive and on coast.
#[derive(Clone, PartialEq, Debug)]
pub struct LockBands {
    /// On drive.
    pub drive: LockBand,
    /// On coast.
    pub coast: LockBand,
}

/// Between what the lock lies in one direction, at 95 %.
#[derive(Clone, PartialEq, Debug)]
pub struct LockBand {
    /// The share while the packs slip and the torque rises.
    pub slipping: Interval<Ratio>,
    /// The same without the thrust of the side gears; `None` where that is not reckoned with.
    pub without_thrust: Option<Interval<Ratio>>,
    /// The share up to which packs that do not slip yet hold; `None` where no friction at first movement is known.
    pub at_rest: Option<Interval<Ratio>>,
    /// The share while the packs slip and the torque falls; `None` where the rings do not let go by themselves.
    pub unloading: Option<Interval<Ratio>>,
    /// What is held over the torque at the case.
    pub over_torque: Vec<LockAt>,
}

/// The difference of torques that is held at one torque at the case: the ends of its 95 % intervals.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LockAt {
    /// The torque at the case.
    pub case: Torque,
    /// While the packs slip and the torque rises.
    pub slipping: [Torque; 2],
    /// Before they break loose.
    pub at_rest: Option<[Torque; 2]>,
    /// While they slip and the torque falls.
    pub unloading: Option<[Torque; 2]>,
}

impl LockBand {
    /// The shares in words: slipping with where it comes from, without side-gear thrust, breaking loose, letting go.
    pub fn words(&self) -> String {
        let mut words = format!(
            "slipping {}; by {}",
            between(&self.slipping),
            self.slipping.from_what()
        );
        if let Some(without) = &self.without_thrust {
            words.push_str(&format!("; without side-gear thrust {}", between(without)));
        }
        if let Some(at_rest) = &self.at_rest {
            words.push_str(&format!("; breaking loose {}", between(at_rest)));
        }
        words.push_str(&match &self.unloading {
            Some(unloading) => format!("; as the torque falls {}", between(unloading)),
            None => "; as the torque falls the rings do not let go by themselves".to_string(),
        });
        words
    }
}

/// The ends of an interval of shares.
fn between(interval: &Interval<Ratio>) -> String {
    format!("{:.2} to {:.2}", interval.low.value(), interval.high.value())
}

impl LockBands {
    /// Whether drive and coast are the same.
    fn is_alike(&self) -> bool {
        self.drive == self.coast
    }

    /// The shares of both directions in words.
    pub fn words(&self) -> String {
        match self.is_alike() {
            true => format!("On drive and on coast: {}.", self.drive.words()),
            false => format!(
                "On drive: {}. On coast: {}.",
                self.drive.words(),
                self.coast.words()
            ),
        }
    }

    /// What is held over the torque at the case, in a table; every `step`th of its points.
    pub fn table(&self, units: Units, step: usize) -> Table {
        let unit = Dimension::Torque.usual_unit(units);
        let value = |torque: Torque| unit_named(unit).map_or(0.0, |row| row.from_si(torque.newton_metres()));
        let bands = match self.is_alike() {
            true => vec![(&self.drive, "on drive and coast")],
            false => vec![(&self.drive, "on drive"), (&self.coast, "on coast")],
        };
        let mut heads = vec![format!("at the case, {unit}")];
        for (_, direction) in &bands {
            heads.push(format!("{direction}, slipping, {unit}"));
            heads.extend(["breaking loose", "torque falling"].map(|state| format!("{state}, {unit}")));
        }
        let ends = |[low, high]: [Torque; 2]| format!("{:.0} to {:.0}", value(low), value(high));
        let cells = |at: &LockAt| {
            let maybe = |of: Option<[Torque; 2]>| of.map_or(NOTHING.to_string(), ends);
            [ends(at.slipping), maybe(at.at_rest), maybe(at.unloading)]
        };
        let count = self.drive.over_torque.len();
        let rows = (step..count).step_by(step.max(1)).map(|n| {
            let points: Vec<&LockAt> = bands
                .iter()
                .filter_map(|(band, _)| band.over_torque.get(n))
                .collect();
            let case = points
                .first()
                .map_or(String::new(), |at| format!("{:.0}", value(at.case)));
            let cells = points.into_iter().flat_map(cells);
            std::iter::once(case).chain(cells).collect::<Vec<String>>()
        });
        Table::of_words(heads, rows)
    }
}
