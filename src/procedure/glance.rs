//! What the top of a sheet says in ten seconds.

use super::field::Field;
use super::whole::Whole;
use crate::mechanics::{Held, Side};
use crate::quantity::Length;
use crate::record::Glance;

impl Whole<'_> {
    /// Of a unit that was built: nothing before the choice, and nothing where none is made.
    pub(super) fn glance(&self, round: u32) -> Option<Glance> {
        let unit = &self.job.unit;
        let sides = &self.state.chosen(round)?.sides;
        // what was read is told as it would be read in the way of the file, whatever way it was read in
        let held = self.derived.proof(round).map(|_| match unit.proof.held {
            Held::Case => "case held".to_string(),
            Held::Output => "output held".to_string(),
        });
        Some(Glance {
            ramps: [unit.ramp.drive, unit.ramp.coast],
            faces: Side::BOTH.map(|side| self.derived.faces(&sides[side.index()])),
            shims: Side::BOTH.map(|side| {
                let shims = &sides[side.index()].shims_nanometres;
                shims.iter().map(|nm| Length::from_nm(*nm)).collect()
            }),
            held,
            oil: self.state.text(Field::OIL).map(str::to_string),
            distance: self.distance(),
            next_look: self.state.text(Field::NEXT_LOOK).map(str::to_string),
        })
    }
}
