//! What warmth does to gap and preload of a unit as it was built: a case of another metal than its parts opens or closes on them.

use super::derived::Derived;
use super::rounding::in_steps;
use crate::mechanics::chain::thermal_change;
use crate::mechanics::{Expansion, Side, TemperatureChange};
use crate::quantity::{Length, Temperature};
use crate::record::warm::Warm;
use crate::workshop::Depth;

/// What stands where nobody said what the case is made of.
pub(super) const METAL_UNKNOWN: &str =
    "all at 20 °C, case and parts growing alike ([case] metal is not said)";

impl Derived<'_> {
    /// Gap or preload at 20 °C and warm; `None` where the file does not say what the case is made of, or nothing was built.
    pub fn warm(&self, round: u32) -> Option<Warm> {
        let unit = &self.job.unit;
        let metal = unit.metal?;
        let at = unit.warm;
        let change = TemperatureChange::between(Temperature::from_celsius(20.0).ok()?, at).ok()?;
        let closings = self.closings(round)?;
        let opens = |side: Side| -> Option<Length> {
            let depth = match unit.depth {
                Depth::Through(depth) => depth,
                Depth::PerSide(depths) => depths[side.index()],
            };
            let closing = closings[side.index()];
            // a gap is empty; springs fill their room and grow with it
            let filled = if unit.spring.is_some() {
                depth
            } else {
                depth - closing
            };
            thermal_change(depth, metal.expansion(), &[(filled, Expansion::STEEL)], change).ok()
        };
        let warm = [
            closings[0] + opens(Side::Left)?,
            closings[1] + opens(Side::Right)?,
        ];
        let rows = self.chains().into_iter().map(|chain| {
            let n = chain.map_or(0, Side::index);
            let what = match (chain, unit.spring.is_some()) {
                (Some(side), true) => format!("{side} room for springs"),
                (Some(side), false) => format!("{side} gap"),
                (None, true) => "room for springs".to_string(),
                (None, false) => "gap".to_string(),
            };
            (what, in_steps(closings[n]), in_steps(warm[n]))
        });
        let sprung = unit.spring.is_some();
        let force = sprung.then(|| Some([self.forces(closings).ok()?[0], self.forces(warm).ok()?[0]]));
        let sides = &self.state.chosen(round)?.sides;
        let breakaway = sprung.then(|| Some([self.expected(sides, closings)?, self.expected(sides, warm)?]));
        Some(Warm {
            metal: metal.to_string(),
            at,
            closings: rows.collect(),
            force: force.flatten(),
            breakaway: breakaway.flatten(),
        })
    }
}
