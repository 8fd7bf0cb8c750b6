//! What the pictures of wear show: figures only, nothing has a place yet.

use super::outlook::Outlook;
use super::remedies::FAR;
use super::wear::PlateWear;
use super::wear_tables::WearTables;
use crate::mechanics::Side;
use crate::mechanics::wear::{CONFIDENCE, Meets};
use crate::quantity::Dimension;

/// How many points a line and its band are drawn through.
const STEPS: u32 = 24;

/// The least readings of a pack's plates over distance, that of the plate which is first at its limit with its line.
#[derive(Clone, PartialEq, Debug)]
pub struct PlatePicture {
    /// Which pack, and which plate the line is of.
    pub title: String,
    /// What is read upwards.
    pub measure: &'static str,
    /// What is read to the right: the distance from the last build, what was before it below 0.
    pub along: &'static str,
    /// Readings of the other plates of its keying.
    pub others: Vec<(f64, f64)>,
    /// Its own readings.
    pub own: Vec<(f64, f64)>,
    /// Distance, line, and the low and the high edge of its band; empty where there are too few readings.
    pub line: Vec<[f64; 4]>,
    /// The least that it may have.
    pub limit: Option<f64>,
}

impl WearTables<'_> {
    /// The picture of one pack; `None` where none of its plates was measured twice.
    pub fn picture(&self, side: Side) -> Option<PlatePicture> {
        let shown = self.shown;
        let first = self
            .inside(side)
            .filter(|plate| plate.track.last_run().len() > 1)
            .min_by(|a, b| a.sooner(b))?;
        let readings = |plate: &PlateWear| -> Vec<(f64, f64)> {
            let here = plate.track.here();
            let of_run = plate.track.last_run().iter();
            of_run
                .map(|one| {
                    (
                        shown.distance(one.gone.at - here.at),
                        shown.length(one.least.mm()),
                    )
                })
                .collect()
        };
        let others = self
            .inside(side)
            .filter(|plate| plate.track.name != first.track.name && plate.track.keyed == first.track.keyed)
            .flat_map(readings)
            .collect();
        Some(PlatePicture {
            title: format!("{side} pack, {}", first.track.name),
            measure: Dimension::Length.usual_unit(shown.units),
            along: shown.distance_symbol(),
            others,
            own: readings(first),
            line: self.line(first),
            limit: first.track.limit.map(|limit| shown.length(limit.mm())),
        })
    }

    /// The line through the least readings of a plate, from the first of them to a little past its limit.
    fn line(&self, plate: &PlateWear) -> Vec<[f64; 4]> {
        let Outlook::Told { line, meets, .. } = plate.least else {
            return Vec::new();
        };
        let here = plate.track.here().at;
        let from = plate.track.last_run().first().map_or(here, |one| one.gone.at);
        let seen = here - from;
        let met = match meets {
            Some(Meets::Within { to, .. }) => to,
            Some(Meets::NotBefore { from, .. }) => 1.2 * from,
            _ => 0.0,
        };
        let far = here + met.clamp(0.2 * seen, FAR * seen);
        let at = |n: u32| from + (far - from) * f64::from(n) / f64::from(STEPS);
        (0..=STEPS)
            .filter_map(|n| {
                let x = at(n);
                let (low, high) = line.mean_interval(x, CONFIDENCE).ok()?;
                let [y, low, high] = [line.at(x).ok()?, low, high].map(|mm| self.shown.length(mm));
                Some([self.shown.distance(x - here), y, low, high])
            })
            .collect()
    }
}

impl WearTables<'_> {
    /// The plates that are in the unit, those first that may be at their limits first.
    pub fn soonest(&self) -> Vec<&PlateWear<'_>> {
        let mut plates: Vec<&PlateWear> = Side::BOTH
            .into_iter()
            .flat_map(|side| self.inside(side))
            .collect();
        plates.sort_by(|a, b| a.sooner(b));
        plates
    }
}
