//! What the top of a sheet says in ten seconds.

use super::field::Field;
use super::reading_mode::held_words;
use super::whole::Whole;
use crate::mechanics::Side;
use crate::quantity::Length;
use crate::record::Glance;

impl Whole<'_> {
    /// Of a unit that was built: nothing before the choice, and nothing where none is made.
    pub(super) fn glance(&self, round: u32) -> Option<Glance> {
        let unit = &self.job.unit;
        let sides = &self.state.chosen(round)?.sides;
        let held = self
            .derived
            .proof(round)
            .map(|proof| held_words(proof.held).to_string());
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
