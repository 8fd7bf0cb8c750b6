//! The plan: every question that has to be answered, as far as the answers so far show.

use super::ask::StepKind;
use super::definition::{Buried, Each, Field, Guard, Stage, Step};
use super::laying::Layer;
use super::looks::spring_goes;
use super::session::Session;
use super::way::Way;
use crate::mechanics::Side;
use crate::record::Slot;

/// A question in its place.
pub(super) struct Planned<'p> {
    pub slot: Slot,
    pub stage: &'p Stage,
    pub step: &'p Step,
}

/// The last round that a plan comes to.
pub(super) fn round_of(plan: &[Planned<'_>]) -> u32 {
    plan.iter().map(|planned| planned.slot.round).max().unwrap_or(1)
}

impl Session {
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
            at(Field::Choice).or(at(Field::Breakaway)),
            at(Field::ProofDecision).or(at(Field::DryDecision)),
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
                again = match step.fills {
                    Some(Field::DryDecision) => self.word_is(Field::DryDecision, round, "choose"),
                    Some(Field::ProofDecision) => self.word_is(Field::ProofDecision, round, "again"),
                    _ => false,
                };
                if again {
                    opened = step.fills == Some(Field::ProofDecision);
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

    /// The last round that has been begun.
    pub(super) fn round(&self) -> u32 {
        round_of(&self.plan())
    }

    fn expand<'p>(&'p self, stage: &'p Stage, step: &'p Step, round: u32, plan: &mut Vec<Planned<'p>>) {
        if self.facts().comes_with_the_parts(step, round) {
            return;
        }
        let facts = self.facts();
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
            // what lies under the cover comes out first
            Some(Each::Side) if step.fills == Some(Field::FoundOrder) => {
                sides(self.job.unit.opened().map(Some).to_vec())
            }
            Some(Each::Side) => sides(Side::BOTH.map(Some).to_vec()),
            Some(Each::Chain) => sides(facts.chains()),
            Some(Each::Spring) => sides(facts.springs()),
            Some(Each::Doubtful) => names(facts.doubtful(step.fills == Some(Field::Fate))),
            Some(Each::Layer) => facts
                .layers(round)
                .into_iter()
                .map(|(item, _)| Some(item))
                .collect(),
            Some(Each::Part) => return self.plan_laying(stage, step, round, plan),
            Some(Each::Bolts) => self
                .job
                .unit
                .bolts
                .iter()
                .map(|bolts| Some(bolts.name.clone()))
                .collect(),
            Some(Each::Way) => Way::ALL.iter().map(|(_, item)| Some(item.to_string())).collect(),
        };
        // with packs alike either output reads the same
        if step.fills == Some(Field::Turned) && !facts.packs_differ(round) {
            return;
        }
        if step.fills == Some(Field::DryDecision) && facts.dry_disagreements(round).is_empty() {
            return;
        }
        for item in items {
            let points = match (step.fills, &item) {
                (Some(Field::Tightened), Some(name)) => self
                    .job
                    .unit
                    .bolts
                    .iter()
                    .find(|bolts| bolts.name == *name)
                    .map_or(1, |bolts| {
                        bolts.stages.len() as u32 + u32::from(bolts.angle.is_some())
                    }),
                (Some(Field::SpringLook), item) => {
                    let looks = facts.spring_looks(item.as_deref());
                    let open = looks.last().is_none_or(|look| spring_goes(look));
                    looks.len() as u32 + u32::from(open)
                }
                (None, item) if step.guard == Some(Guard::Stops) => {
                    facts.looks_at(step, round, item.as_deref())
                }
                _ => step.points,
            };
            for point in 1..=points {
                let numbered = match step.fills {
                    Some(Field::Tightened) => true,
                    // whether there is a second look is not known at the first
                    Some(Field::SpringLook) => point > 1,
                    None if step.guard == Some(Guard::Stops) => point > 1,
                    _ => points > 1,
                };
                plan.push(Planned {
                    slot: Slot {
                        round,
                        step: step.id.clone(),
                        item: item.clone(),
                        point: numbered.then_some(point),
                    },
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
        let facts = self.facts();
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
        for part in facts.parts(round) {
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
                    facts.looks_at(look, round, item.as_deref())
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
    let once = step.kind == StepKind::Caution
        || matches!(
            step.fills,
            Some(
                Field::Wrench
                    | Field::WrenchExtension
                    | Field::Held
                    | Field::Turned
                    | Field::Drag
                    | Field::DrivelineDrag
            )
        );
    once && !step.again
}
