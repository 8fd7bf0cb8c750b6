//! The plan: every question that has to be answered, as far as the answers so far show.

use super::ask::StepKind;
use super::definition::{Buried, Each, Guard, PLAYS, Stage, Step};
use super::field::Field;
use super::laying::Layer;
use super::reading_mode::ReadingMode;
use super::row::{Holds, Times};
use super::session::Session;
use crate::mechanics::Side;
use crate::record::Slot;
use std::collections::BTreeSet;
use std::rc::Rc;

/// A question in its place.
pub(super) struct Planned<'p> {
    pub slot: Slot,
    pub stage: &'p Stage,
    pub step: &'p Step,
}

/// Whether a step is of what is laid in, which a hand does in the order of the parts.
fn is_laid(step: &Step) -> bool {
    matches!(step.each, Some(Each::Part | Each::Layer)) || step.before_buried.is_some()
}

/// The last round that a plan comes to.
pub(super) fn round_of(plan: &[Planned<'_>]) -> u32 {
    plan.iter().map(|planned| planned.slot.round).max().unwrap_or(1)
}

impl Session {
    /// Which of the steps a question belongs to, and how many there are: those that are known to come before anything is answered, each
    /// once, however often it is asked. What comes up by an answer counts for the step before it, so that the number of all stays.
    pub(super) fn steps_to(&self, planned: &Planned<'_>) -> (usize, usize) {
        let counted = self.counted.get_or_init(|| self.steps_known_at_first());
        // parts are laid in one step after another in the order of hands, which is not that of the file: they have one number
        let stage = |step: &Step| {
            let mut stages = self.job.procedure.steps();
            let of = stages.find(|(_, one)| one.id == step.id);
            of.map(|(stage, _)| stage.title.as_str())
        };
        let own = match is_laid(planned.step) {
            true => {
                let mine = stage(planned.step);
                let laid = self.job.procedure.steps().map(|(_, step)| step);
                let mut laid = laid.filter(|step| is_laid(step) && counted.contains(&step.id));
                laid.find(|step| stage(step) == mine).unwrap_or(planned.step)
            }
            false => planned.step,
        };
        let own = own.id.as_str();
        let until = self.job.procedure.steps().map(|(_, step)| step.id.as_str());
        let mut number = 0;
        for id in until {
            number += usize::from(counted.iter().any(|known| known == id));
            if id == own {
                break;
            }
        }
        (number.max(1), counted.len())
    }

    pub(super) fn steps_known_at_first(&self) -> Vec<String> {
        let first = Session::empty(Rc::clone(&self.job));
        let planned: BTreeSet<&str> = first.plan().iter().map(|one| one.step.id.as_str()).collect();
        // which parts there are to lay in only a choice tells, but that they are laid in is known
        let laid = |step: &Step| is_laid(step) && self.job.asks_step(step);
        let mut counted: Vec<(&str, &Step)> = Vec::new();
        for (stage, step) in self.job.procedure.steps() {
            let stage = stage.title.as_str();
            let is_one_with = |(of, known): &(&str, &Step)| *of == stage && is_laid(known);
            if is_laid(step) && counted.iter().any(is_one_with) {
                continue;
            }
            if planned.contains(step.id.as_str()) || laid(step) {
                counted.push((stage, step));
            }
        }
        counted.into_iter().map(|(_, step)| step.id.clone()).collect()
    }

    /// Every question that has to be answered, as far as the answers so far show.
    pub(super) fn plan(&self) -> Vec<Planned<'_>> {
        let steps: Vec<(&Stage, &Step)> = self
            .job
            .procedure
            .steps()
            .filter(|(_, step)| self.job.asks_step(step))
            .collect();
        let at = |field: Field| steps.iter().position(|(_, step)| step.fills == Some(field));
        let mut plan = Vec::new();
        // where nothing is chosen, another round reads the proof again
        let (first, last) = match (
            at(Field::CHOICE).or(at(Field::BREAKAWAY)),
            at(Field::PROOF_DECISION).or(at(Field::DRY_DECISION)),
        ) {
            (Some(first), Some(last)) if first <= last => (first, last + 1),
            _ => (steps.len(), steps.len()),
        };
        for (stage, step) in &steps[..first] {
            self.expand(stage, step, 1, &mut plan);
        }
        let mut round = 1;
        let mut asked_once = Vec::new();
        // each pass is a round; without a choice there is nothing that comes again, and the one pass is empty
        let mut opened = false;
        loop {
            let mut again = false;
            // the way into a unit that was closed, with its cautions
            for (stage, step) in steps[..first].iter().filter(|(_, step)| opened && step.again) {
                self.expand(stage, step, round, &mut plan);
            }
            for (stage, step) in &steps[first..last] {
                if is_asked_once(step) {
                    // a first round that ended at its dry build has not come as far as these
                    if !asked_once.contains(&step.id.as_str()) {
                        asked_once.push(step.id.as_str());
                        self.expand(stage, step, 1, &mut plan);
                    }
                    continue;
                }
                self.expand(stage, step, round, &mut plan);
                let ends = step
                    .fills
                    .and_then(|field| Some((field, field.row().asked.ends.as_ref()?)));
                if let Some((_, ends)) = ends.filter(|(field, ends)| self.word_is(*field, round, ends.word)) {
                    again = true;
                    opened = ends.opens;
                    break;
                }
            }
            if !again {
                break;
            }
            round += 1;
        }
        for (stage, step) in &steps[last..] {
            self.expand(stage, step, 1, &mut plan);
        }
        plan
    }

    fn word_is(&self, field: Field, round: u32, wanted: &str) -> bool {
        self.state
            .word(field, round, None)
            .is_some_and(|(word, _)| word == wanted)
    }

    fn expand<'p>(&'p self, stage: &'p Stage, step: &'p Step, round: u32, plan: &mut Vec<Planned<'p>>) {
        if self.derived().comes_with_the_parts(step, round) {
            return;
        }
        let derived = self.derived();
        let row = step.fills.map(|field| field.row());
        let names = |names: Vec<&str>| names.into_iter().map(|name| Some(name.to_string())).collect();
        let sides = |sides: Vec<Option<Side>>| -> Vec<Option<String>> {
            sides
                .into_iter()
                .map(|side| side.map(|side| side.word().to_string()))
                .collect()
        };
        let items: Vec<Option<String>> = match step.each {
            None => vec![None],
            Some(Each::Plate) => names(
                self.job
                    .unit
                    .plates
                    .iter()
                    .map(|plate| plate.name.as_str())
                    .collect(),
            ),
            Some(Each::Spare) => names(
                self.job
                    .drawer
                    .spares
                    .iter()
                    .map(|plate| plate.name.as_str())
                    .collect(),
            ),
            Some(Each::Opened) => sides(self.job.unit.opened().map(Some).to_vec()),
            Some(Each::Side) => sides(Side::BOTH.map(Some).to_vec()),
            Some(Each::Chain) => sides(derived.chains()),
            Some(Each::Spring) => sides(derived.springs()),
            Some(Each::Doubtful) => names(derived.measured_again()),
            Some(Each::StillDoubtful) => names(derived.doubtful(true)),
            Some(Each::Layer) => derived
                .layers(round)
                .into_iter()
                .map(|layer| Some(layer.item))
                .collect(),
            Some(Each::Part) => return self.plan_laying(stage, step, round, plan),
            Some(Each::Bolts) => self
                .job
                .unit
                .bolts
                .iter()
                .map(|bolts| Some(bolts.name.clone()))
                .collect(),
            Some(Each::Play) => names(PLAYS.to_vec()),
            Some(Each::Way) => ReadingMode::ALL
                .iter()
                .map(|(_, item)| Some(item.to_string()))
                .collect(),
        };
        if row.is_some_and(|row| !(row.asked.at_all)(&derived, round)) {
            return;
        }
        let slot = |item: &Option<String>, point: Option<u32>| Slot {
            round,
            step: step.id.clone(),
            item: item.clone(),
            point,
        };
        for item in items {
            let thing = item.as_deref();
            let times = row.map(|row| &row.asked.times);
            let (points, numbered_from) = match times {
                Some(Times::Points) => (step.points, if step.points > 1 { 1 } else { 2 }),
                Some(Times::Stages(count)) => (count(&derived, thing), 1),
                Some(Times::Like(count)) if self.state.skipped.contains_key(&slot(&item, Some(1))) => {
                    (count(&derived).min(1), 1)
                }
                Some(Times::Like(count)) => (count(&derived), 1),
                Some(Times::UntilRight(count)) => (count(&derived, thing), 2),
                None if step.guard == Some(Guard::Stops) => (derived.looks_at(step, round, thing), 2),
                None => (step.points, if step.points > 1 { 1 } else { 2 }),
            };
            for point in 1..=points {
                plan.push(Planned {
                    slot: slot(&item, (point >= numbered_from).then_some(point)),
                    stage,
                    step,
                });
            }
        }
    }

    /// The questions of the laying in: each part, and right after it the looks that come before it is buried.
    pub(super) fn plan_laying<'p>(
        &'p self,
        stage: &'p Stage,
        step: &'p Step,
        round: u32,
        plan: &mut Vec<Planned<'p>>,
    ) {
        let derived = self.derived();
        let looks: Vec<(&Stage, &Step, Buried)> = self
            .job
            .procedure
            .steps()
            .filter(|(_, step)| self.job.asks_step(step))
            .filter_map(|(stage, step)| Some((stage, step, step.before_buried?)))
            .collect();
        let slot = |step: &Step, item: Option<String>, point: Option<u32>| Slot {
            round,
            step: step.id.clone(),
            item,
            point,
        };
        for part in derived.parts(round) {
            plan.push(Planned {
                slot: slot(step, Some(part.item), None),
                stage,
                step,
            });
            for (stage, look, buried) in &looks {
                let mine = match part.what {
                    Layer::Ring(_) => *buried == Buried::Rings,
                    Layer::Spring => *buried == Buried::Springs,
                    _ => false,
                };
                let item = part.side.map(|side| side.word().to_string());
                let looks = if mine {
                    derived.looks_at(look, round, item.as_deref())
                } else {
                    0
                };
                for n in 1..=looks {
                    plan.push(Planned {
                        slot: slot(look, item.clone(), (n > 1).then_some(n)),
                        stage,
                        step: look,
                    });
                }
            }
        }
    }
}

/// Questions whose answer holds for every round, where their step does not say otherwise.
fn is_asked_once(step: &Step) -> bool {
    let once = match step.fills {
        Some(field) => field.row().asked.holds == Holds::Build,
        None => step.kind == StepKind::Caution,
    };
    once && !step.again
}
