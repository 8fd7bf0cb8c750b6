//! A planned question in words: those of its step, and what its row has beside them.

use super::ask::{Ask, Expects, StepKind, Table, Why};
use super::definition::{Guard, Hazard, Plain, Shows, Step};
use super::field::Field;
use super::figures::capital;
use super::plan::{Planned, round_of};
use super::row::{Beside, Beyond, Here, Reads};
use super::session::Session;
use crate::quantity::{Dimension, Units};
use crate::record::Slot;
use crate::record::phrase::{Phrase, Spoken};
use crate::workshop::ramp_words;

/// What stands over every question and at the top of every page of practice.
pub(super) const PRACTICE: &str = "PRACTICE, no real unit";

/// How a change of the choice by hand may look.
const BY_HAND: [&str; 8] = [
    "swap A B",
    "shims left 0.10 0.15",
    "plates left A B",
    "first fewest",
    "keep A left",
    "without 0.30",
    "with 0.30",
    "more",
];

impl Beyond for Session {
    fn round(&self) -> u32 {
        round_of(&self.plan())
    }

    fn review(&self) -> (Vec<String>, Table) {
        let whole = self.whole();
        (whole.open_points(), whole.review_table())
    }
}

impl Session {
    /// A question in its place.
    pub(super) fn here<'a>(&'a self, slot: &'a Slot, step: &'a Step) -> Here<'a> {
        Here {
            derived: self.derived(),
            slot,
            step,
            choosing: &self.choosing,
            beyond: self,
        }
    }

    /// Puts a planned question into words.
    pub(super) fn question(&self, planned: &Planned<'_>, number: usize, of: usize) -> Ask {
        let Planned { slot, stage, step } = planned;
        let here = self.here(slot, step);
        let row = step.fills.map(|field| field.row());
        let mut limits = match step.torque {
            Some(torque) => here.derived.own_torque_limits(torque),
            None => Vec::new(),
        };
        let (mut beside, formula) = match row {
            Some(row) => ((row.beside)(&here), (row.why)(&here)),
            None if step.covers.contains(&Hazard::Spring) => {
                let (words, formula) = here.derived.cover_force(slot).unzip();
                (
                    Beside::limits(words),
                    formula.map_or_else(Vec::new, |lines| lines.to_vec()),
                )
            }
            None => (Beside::default(), Vec::new()),
        };
        limits.append(&mut beside.limits);
        if step.fills.is_some_and(Field::offers_people) {
            limits.extend(self.people_offered());
        }
        match step.shows {
            Some(Shows::Ramps) => {
                let ramp = &self.job.unit.ramp;
                limits.push(format!(
                    "drive ramp {}; coast ramp {}",
                    ramp_words(ramp.drive),
                    ramp_words(ramp.coast)
                ));
            }
            Some(Shows::Shims) => limits.extend(here.derived.shims_listed(slot)),
            None => {}
        }
        let spoken = &self.job.procedure.spoken;
        let prompt = row.map_or_else(|| plain_prompt(&here, spoken), |row| (row.prompt)(&here));
        let mut ask = Ask {
            slot: slot.clone(),
            number,
            of,
            stage: match self.state.practice {
                Some(_) => format!("{PRACTICE} · {}", stage.title),
                None => stage.title.clone(),
            },
            kind: step.kind,
            words: step.words.clone(),
            tools: step.tools.clone(),
            limits,
            table: beside.table,
            drawing: beside.drawing,
            prompt: prompt + &self.before_words(slot, step),
            expects: expects(&here),
            before: self.kept_word(slot, step),
            guarded: step.guard.is_some(),
            why: Why {
                reason: step.why.clone(),
                formula,
            },
            may_skip: step.skip,
            later: step.later,
            again: step.again && slot.round > 1,
            alone: false,
            practice: self.state.practice.is_some(),
            rail: None,
            terms: Vec::new(),
            spoken: self.job.procedure.spoken.clone(),
        };
        self.in_its_language(step, &mut ask);
        ask
    }
}

/// The prompt of a step that fills nothing in.
fn plain_prompt(here: &Here<'_>, spoken: &Spoken) -> String {
    let Here { slot, step, .. } = here;
    if step.kind == StepKind::Caution {
        return spoken.say(Phrase::ReadUnderstood).to_string();
    }
    let named = step.each.is_some() && !here.item().is_empty();
    if named || step.guard == Some(Guard::Stops) {
        let what = if named {
            capital(here.item_said())
        } else {
            spoken.say(Phrase::Answer).to_string()
        };
        return match slot.point {
            Some(look) => spoken.fill(Phrase::LookAt, &[&what, &look.to_string()]),
            None => what,
        };
    }
    match step.answer {
        Plain::Done => spoken.say(Phrase::ThisStep).to_string(),
        Plain::YesNo | Plain::Text => spoken.say(Phrase::Answer).to_string(),
    }
}

/// What is wanted for an answer.
fn expects(here: &Here<'_>) -> Expects {
    let step = here.step;
    let Some(field) = step.fills else {
        return match (step.kind, step.answer) {
            (StepKind::Caution, _) => Expects::Acknowledge,
            (_, Plain::Done) => Expects::Done,
            (_, Plain::YesNo) => Expects::YesNo,
            (_, Plain::Text) => Expects::Text { optional: false },
        };
    };
    match &field.row().reads {
        Reads::Text { .. } | Reads::Name { .. } => Expects::Text { optional: false },
        Reads::Optional { .. } => Expects::Text { optional: true },
        Reads::Done { .. } => Expects::Done,
        Reads::Length { .. } => quantity(here, Dimension::Length, &["1.98"], &[".078", "1.98 mm"]),
        Reads::Torque { .. } => quantity(here, Dimension::Torque, &["45", "33 lbf·ft"], &["33", "45 N·m"]),
        Reads::Force { .. } => quantity(
            here,
            Dimension::Force,
            &["1150, 117 kgf", "258 lbf"],
            &["258", "1150 N"],
        ),
        Reads::Distance { .. } => {
            let hours = |way: &str| here.spoken().fill(Phrase::OrHours, &[way, "14 h"]);
            quantity(
                here,
                Dimension::Distance,
                &[&hours("850 km")],
                &[&hours("530 mi")],
            )
        }
        Reads::Temperature { .. } => quantity(here, Dimension::Temperature, &["18"], &["64", "18 °C"]),
        Reads::Volume { .. } => quantity(here, Dimension::Volume, &["1.1 l"], &["1.2 US qt", "1.1 l"]),
        Reads::Order { .. } => {
            let plates = here.derived.job.unit.plates.iter();
            Expects::Names(plates.map(|plate| plate.name.clone()).collect())
        }
        Reads::Word { ways, reason, .. } => {
            let ways = here.held_to(ways(here));
            let lines: Vec<String> = ways
                .iter()
                .filter(|way| reason(here, &way.key).is_some())
                .map(|way| format!("{} {}", way.key, here.spoken().say(Phrase::BecauseOfThis)))
                .collect();
            if lines.is_empty() {
                Expects::OneOf(ways)
            } else {
                Expects::OneOfOrLine { ways, lines }
            }
        }
        Reads::Choice { ways, .. } => Expects::OneOfOrLine {
            ways: ways(here),
            lines: BY_HAND.map(str::to_string).to_vec(),
        },
    }
}

/// A quantity, with one example or two for each system of units.
fn quantity(here: &Here<'_>, dimension: Dimension, metric: &[&str], inch: &[&str]) -> Expects {
    let examples = match here.units() {
        Units::Metric => metric,
        Units::Inch => inch,
    };
    let example = examples.iter().map(|example| example.to_string());
    Expects::Quantity {
        unit: dimension.usual_unit(here.units()),
        example: example
            .reduce(|one, other| here.spoken().fill(Phrase::OrElse, &[&one, &other]))
            .unwrap_or_default(),
    }
}
