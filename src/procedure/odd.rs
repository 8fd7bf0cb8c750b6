//! What is odd about an answer, or can not be, beside what else is known.

use super::ask::Refusal;
use super::definition::Field;
use super::session::Session;
use super::typed::{is_near, no};
use crate::quantity::Length;
use crate::record::{Side, Slot, Value};

impl Session {
    /// What a length that looks odd was likely meant to be: a slip of the decimal sign or of the unit, as it would be
    /// typed.
    pub(super) fn meant_length(&self, slot: &Slot, field: Field, length: Length) -> Option<String> {
        let (expected, share, _) = self.expected_length(slot, field)?;
        let slips = [0.1, 10.0, 0.01, 100.0, 0.001, 1000.0, 25.4, 1.0 / 25.4];
        if is_near(length.mm(), expected, share) {
            return None;
        }
        slips
            .iter()
            .map(|factor| length.mm() * factor)
            .find(|mm| is_near(*mm, expected, share))
            .and_then(|mm| Length::from_mm(mm).ok())
            .map(|meant| meant.show(self.state.units))
    }

    /// A plate that is thicker than it was when new: no wear does that.
    pub(super) fn thicker_than_new(&self, slot: &Slot, field: Field, length: Length) -> Option<String> {
        let plates = [Field::PlateThickness, Field::SpareThickness, Field::Remeasured];
        if !plates.contains(&field) {
            return None;
        }
        let (new, ..) = self.expected_length(slot, field)?;
        let zero = self.facts().micrometer().map_or(Length::ZERO, |(_, zero)| zero);
        // a new plate may be over its nominal by as much as it may be uneven
        let room = self.job.unit.limits.spread.max(Length::from_um(20));
        (length - zero - new > room).then(|| {
            let units = self.state.units;
            format!(
                "{} is thicker than the {} of a new plate: a burr, dirt, a tab, or another plate",
                length.show(units),
                new.show(units)
            )
        })
    }

    /// What the unit's file says of its oil and this answer does not: a modifier changes the friction of the faces.
    pub(super) fn odd_oil(&self, text: &str) -> Option<String> {
        let words = |text: &str| -> Vec<String> {
            let parts = text.split(|c: char| !c.is_alphanumeric());
            parts
                .filter(|word| !word.is_empty())
                .map(str::to_lowercase)
                .collect()
        };
        let oil = &self.job.unit.oil.as_ref()?.kind;
        let typed = words(text);
        let missing = words(oil).iter().any(|word| !typed.contains(word));
        missing.then(|| format!("the unit file has {oil}, and \"{text}\" does not say all of that"))
    }

    /// Refuses plates that were found in the pack of the other side, too.
    pub(super) fn not_in_the_other_pack(&self, slot: &Slot, names: &[String]) -> Result<(), Refusal> {
        let other = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() != Some(side.word()));
        let found = other
            .and_then(|side| self.state.answer(Field::FoundOrder, 1, Some(side.word()), None))
            .map(|answer| &answer.value);
        let (Some(other), Some(Value::Names(there))) = (other, found) else {
            return Ok(());
        };
        match names.iter().find(|name| there.contains(name)) {
            None => Ok(()),
            Some(name) => no(format!(
                "plate {name} is in the {other} pack already, as that was given: one of the two is wrong; !back opens the other"
            )),
        }
    }
}
