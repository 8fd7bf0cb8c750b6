//! What a build starts from, and what that says of which steps its unit is asked.

use super::definition::{Condition, Procedure, Step};
use super::field::Field;
use crate::choice::First;
use crate::record::{Followed, Slot};
use crate::workshop::{Aim, Drawer, Instrument, LastLeft, Rework, Unit};
use std::collections::BTreeMap;

/// What a build starts from, and what does not change while it goes on.
#[derive(Clone, PartialEq, Debug)]
pub struct Job {
    /// The unit.
    pub unit: Unit,
    /// The drawer.
    pub drawer: Drawer,
    /// The instruments.
    pub instruments: Vec<Instrument>,
    /// The procedure.
    pub procedure: Procedure,
    /// What the unit is rebuilt to, where a setting was given; [`Job::unit`] is then as it is to become.
    pub rework: Option<Rework>,
    /// What the last build left in the unit, where the book knows; [`Job::unit`] and [`Job::drawer`] then start from it.
    pub last: Option<LastLeft>,
}

impl Job {
    /// Whether the unit meets a condition.
    pub fn meets(&self, condition: Condition) -> bool {
        match condition {
            Condition::SpringLoaded => self.unit.spring.is_some(),
            Condition::Clearance => matches!(self.unit.aim, Aim::Gap { .. }),
            Condition::Through => self.unit.is_through(),
            Condition::PerSide => !self.unit.is_through(),
            Condition::Gears => self.unit.gears.is_some(),
            Condition::Coils => self.unit.coils_a_stack() > 1,
            Condition::NewBolts => self.unit.bolts.iter().any(|bolts| bolts.new),
        }
    }

    /// The conditions of the procedure that the unit does not meet: a procedure for sprung units is none for another.
    pub fn unmet(&self) -> Vec<Condition> {
        let only = self.procedure.only.iter();
        only.filter(|condition| !self.meets(**condition))
            .copied()
            .collect()
    }

    /// The procedure as a sheet names it; `digest` is that of its file.
    pub(super) fn followed(&self, digest: String) -> Followed {
        Followed {
            spoken: self.procedure.spoken.clone(),
            id: self.procedure.id.clone(),
            title: self.procedure.title.clone(),
            digest,
            sheet: self.procedure.sheet.clone(),
            builds: self.asks(Field::CHOICE),
        }
    }

    /// Whether the procedure types in an old paper, and nothing is done by it.
    pub fn copies_paper(&self) -> bool {
        self.asks(Field::REBUILT)
    }

    /// Whether a step that this unit is asked fills a field in.
    pub(super) fn asks(&self, field: Field) -> bool {
        self.step_that_fills(field).is_some()
    }

    /// Whether this unit is asked a step.
    pub(super) fn asks_step(&self, step: &Step) -> bool {
        step.only.iter().all(|condition| self.meets(*condition))
    }

    /// The step that fills a field in for this unit: other steps may do so for other units. An old procedure may ask two
    /// of one unit; then the last of them counts, as it did.
    pub(super) fn step_that_fills(&self, field: Field) -> Option<&Step> {
        let steps = self.procedure.steps().map(|(_, step)| step);
        steps
            .filter(|step| step.fills == Some(field) && self.asks_step(step))
            .last()
    }

    /// What comes first among the proposals: what the procedure says; one that says nothing was written when it was fewest
    /// shims.
    pub(super) fn first(&self) -> First {
        let said = self.step_that_fills(Field::CHOICE).and_then(|step| step.first);
        said.unwrap_or(First::Fewest)
    }

    /// What the answer to a question fills in.
    pub(super) fn fills(&self, slot: &Slot) -> Option<Field> {
        self.procedure.step(&slot.step)?.1.fills
    }

    /// Whether it is no answer to a question to say nothing, and nothing that is left open.
    pub(super) fn is_optional(&self, slot: &Slot) -> bool {
        self.fills(slot)
            .is_some_and(|field| field.left_out_with().is_some())
    }

    /// Which step of all fills a field in first, whether or not this unit is asked it.
    pub(super) fn place_of(&self, field: Field) -> Option<usize> {
        let mut steps = self.procedure.steps();
        steps.position(|(_, step)| step.fills == Some(field))
    }

    /// The ids of the steps that fill the fields in for this unit.
    pub(super) fn fields(&self) -> BTreeMap<Field, String> {
        let steps = self.procedure.steps().map(|(_, step)| step);
        let asked = steps.filter(|step| self.asks_step(step));
        asked
            .filter_map(|step| Some((step.fills?, step.id.clone())))
            .collect()
    }
}
