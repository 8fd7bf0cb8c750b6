//! What warmth does to gap and preload of a unit as it was built: a case of another metal than its parts opens or closes on them.

use super::derived::Derived;
use super::field::Field;
use super::rounding::in_steps;
use crate::mechanics::chain::thermal_change;
use crate::mechanics::{Expansion, Side, TemperatureChange};
use crate::quantity::{Length, Temperature};
use crate::record::warm::{Proved, Warm};
use crate::workshop::Depth;
use crate::workshop::shown_friction::{differ, oil_of};

/// What stands where nobody said what the case is made of.
pub(super) const METAL_UNKNOWN: &str =
    "all at 20 °C, case and parts growing alike ([case] metal is not said)";

impl Derived<'_> {
    /// How warm the oil was in a round of proof; `None` where nobody said.
    pub fn oil_at(&self, round: u32) -> Option<Temperature> {
        self.state.temperature(Field::OIL_TEMPERATURE, round)
    }

    /// How warm it was in the proofs that the friction is known by, in words.
    pub fn oil_of_proofs(&self) -> Option<String> {
        let [coldest, warmest] = oil_of(&self.job.last.as_ref()?.proofs)?;
        let shown = |temperature: Temperature| temperature.show(self.state.units);
        Some(match coldest == warmest {
            true => format!("earlier proofs: oil at {}", shown(coldest)),
            false => format!("earlier proofs: oil at {} to {}", shown(coldest), shown(warmest)),
        })
    }

    /// That friction can not be held against earlier proofs without a second thought: their oil was colder or warmer by far.
    pub fn oil_apart(&self, round: u32) -> Option<String> {
        let now = self.oil_at(round)?;
        let [coldest, warmest] = oil_of(&self.job.last.as_ref()?.proofs)?;
        let units = self.state.units;
        (differ([now, warmest]) || differ([coldest, now])).then(|| {
            format!(
                "oil at {}, in earlier proofs at {} to {}: that alone changes friction",
                now.show(units),
                coldest.show(units),
                warmest.show(units)
            )
        })
    }

    /// Gap or preload at 20 °C and warm; `None` where the file does not say what the case is made of, or nothing was built.
    pub fn warm(&self, round: u32) -> Option<Warm> {
        let unit = &self.job.unit;
        let metal = unit.metal?;
        let at = unit.warm;
        let closings = self.closings(round)?;
        let opened = |at: Temperature| -> Option<[Length; 2]> {
            let change = TemperatureChange::between(Temperature::from_celsius(20.0).ok()?, at).ok()?;
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
            Some([
                closings[0] + opens(Side::Left)?,
                closings[1] + opens(Side::Right)?,
            ])
        };
        let warm = opened(at)?;
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
        let proved = self.oil_at(round).and_then(|at| {
            let closings = opened(at)?;
            let chains = self.chains();
            let places = chains.iter().map(|chain| chain.map_or(0, Side::index));
            Some(Proved {
                at,
                closings: places.map(|n| in_steps(closings[n])).collect(),
                force: self
                    .forces(closings)
                    .ok()
                    .filter(|_| sprung)
                    .map(|forces| forces[0]),
                breakaway: self.expected(sides, closings).filter(|_| sprung),
            })
        });
        Some(Warm {
            metal: metal.to_string(),
            at,
            closings: rows.collect(),
            force: force.flatten(),
            breakaway: breakaway.flatten(),
            proved,
        })
    }
}
