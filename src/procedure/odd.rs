//! What is odd about an answer, or can not be, beside what else is known.

use super::ask::Refusal;
use super::definition::Field;
use super::facts::Facts;
use super::typed::{is_near, no};
use crate::mechanics::Side;
use crate::quantity::Length;
use crate::record::{Slot, Value};

impl Facts<'_> {
    /// What a length is likely to be, with how far it may be off before it is asked again.
    pub(super) fn expected_length(&self, slot: &Slot, field: Field) -> Option<(Length, f64, String)> {
        let facts = self;
        let unit = &self.job.unit;
        let item = slot.item.as_deref();
        let side = Side::BOTH.into_iter().find(|side| item == Some(side.word()));
        match field {
            Field::PlateThickness | Field::SpareThickness | Field::Remeasured => {
                let name = item?;
                let plate = unit
                    .plate(name)
                    .or_else(|| self.job.drawer.spares.iter().find(|plate| plate.name == name))?;
                Some((
                    plate.nominal,
                    0.25,
                    format!("the {} of a new plate {name}", plate.nominal),
                ))
            }
            Field::SpringHeight => {
                let free = unit.spring.as_ref()?.stack.free_height();
                Some((free, 0.15, format!("the {free} of a new spring")))
            }
            Field::RingHeight => {
                let ring = *unit.rings.get(side?.index())?;
                Some((ring, 0.1, format!("the {ring} of the unit file")))
            }
            Field::CaseDepth => {
                let depth = match (unit.depth, side) {
                    (crate::workshop::Depth::Through(depth), _) => depth,
                    (crate::workshop::Depth::PerSide(depths), Some(side)) => *depths.get(side.index())?,
                    _ => return None,
                };
                Some((depth, 0.05, format!("the {depth} of the unit file")))
            }
            Field::PressedHeight if facts.packs_are_whole() => {
                let names = &facts.found()[side?.index()].plates;
                let new: Length = names
                    .iter()
                    .filter_map(|name| unit.plate(name))
                    .map(|plate| plate.nominal)
                    .sum();
                Some((new, 0.1, format!("the {new} that its plates add up to when new")))
            }
            Field::PressedHeight => {
                let names = &facts.found()[side?.index()].plates;
                let sum: Option<Length> = names
                    .iter()
                    .map(|name| facts.plate(name, false).measured.map(|one| one.value))
                    .sum();
                Some((sum?, 0.1, format!("the {} that its plates add up to", sum?)))
            }
            Field::MicrometerZero | Field::DepthGaugeZero => {
                let field = if field == Field::MicrometerZero {
                    Field::Micrometer
                } else {
                    Field::DepthGauge
                };
                let (id, _) = self.state.word(field, 1, None)?;
                let instrument = self.job.instruments.iter().find(|one| one.id == id)?;
                let standard = super::measured::gauge_of(&instrument.measures)?.standard;
                Some((standard, 0.002, format!("its standard of {standard}")))
            }
            Field::DryClosing => {
                let chosen = self.state.chosen(slot.round)?;
                let predicted = facts.closing(&chosen.sides, side)?.value;
                Some((predicted, 0.5, format!("the predicted {predicted}")))
            }
            _ => None,
        }
    }

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
        let zero = self.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
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
