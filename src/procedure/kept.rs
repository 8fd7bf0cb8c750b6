//! What an empty line keeps at a question that was opened again.

use super::ask::{Refusal, Said, StepKind};
use super::definition::{Field, Step};
use super::facts::Facts;
use super::session::Session;
use super::state::{Answer, Kept};
use super::typed::{Odd, Read};
use crate::record::{Chosen, Slot, Value};

impl Session {
    /// What stood at a question before it was opened again, or stands in an earlier round where it is asked anew; whether
    /// or not it can be kept.
    fn stood(&self, slot: &Slot, step: &Step) -> Option<Kept<'_>> {
        if let Some(reason) = self.state.left_out.get(slot) {
            return Some(Kept::LeftOut(reason));
        }
        let before = self.state.earlier.get(slot).or_else(|| {
            let field = step.fills.filter(|_| step.again && slot.round > 1)?;
            let round = self.state.standing(field, slot.round - 1);
            self.state.answer(field, round, slot.item.as_deref(), slot.point)
        });
        before.map(Kept::Answer)
    }

    /// What an empty line keeps: nothing where a caution or a guarding look is passed again, and nothing that could not
    /// be answered any more.
    pub(super) fn kept(&self, slot: &Slot, step: &Step) -> Option<Kept<'_>> {
        if step.kind == StepKind::Caution || step.guard.is_some() {
            return None;
        }
        let stood = self.stood(slot, step)?;
        let fits = match &stood {
            Kept::LeftOut(_) => step.skip,
            Kept::Answer(before) => match &before.value {
                // a change by hand that is being made is what stands there now
                Value::Chosen(chosen) => {
                    self.choosing.draft.is_none()
                        && (!chosen.reason.is_empty()
                            || self.choosing.faults_of(&self.facts(), &chosen.sides).is_empty())
                }
                _ => self.read(slot, step, &before.text).is_ok(),
            },
        };
        fits.then_some(stood)
    }

    /// Reads the answer that stood there as it was; one that looks odd now and was not insisted on is asked about.
    pub(super) fn keep(
        &mut self,
        slot: &Slot,
        step: &Step,
        before: &Answer,
    ) -> Result<(Read, bool), Refusal> {
        let as_before = |odd| Read {
            text: before.text.clone(),
            value: before.value.clone(),
            odd,
        };
        if matches!(before.value, Value::Chosen(_)) {
            return Ok((as_before(None), false));
        }
        match self.read(slot, step, &before.text)?.odd {
            Some(words) if !before.insisted => {
                self.odd = Some(Odd {
                    slot: slot.clone(),
                    text: before.text.clone(),
                    meant: None,
                });
                Err(Refusal { words, sure: true })
            }
            odd => {
                let insisted = odd.is_some();
                Ok((as_before(odd), insisted))
            }
        }
    }

    /// What stood there, as it is told behind a prompt.
    pub(super) fn before_words(&self, slot: &Slot, step: &Step) -> String {
        let Some(stood) = self.stood(slot, step).filter(|_| step.kind != StepKind::Caution) else {
            return String::new();
        };
        let before = match stood {
            Kept::LeftOut(reason) => format!("left out, {reason}"),
            Kept::Answer(before) => match &before.value {
                Value::Chosen(chosen) => chosen.how.clone(),
                _ => before.text.clone(),
            },
        };
        match self.kept(slot, step) {
            Some(_) => format!(" (before: {before}; Enter keeps it)"),
            None => format!(" (before: {before})"),
        }
    }

    /// The word among those that may be chosen, or the text, that an empty line keeps.
    pub(super) fn kept_word(&self, slot: &Slot, step: &Step) -> Option<String> {
        self.kept(slot, step).map(|kept| match kept {
            Kept::LeftOut(reason) => reason.to_string(),
            Kept::Answer(before) => match &before.value {
                Value::Word { word, .. } => word.clone(),
                _ => before.text.clone(),
            },
        })
    }

    /// A change of the choice by hand, where the text is one.
    pub(super) fn change_by_hand(&mut self, text: &str) -> Result<Option<Vec<Said>>, Refusal> {
        let before = self.chosen_before().cloned();
        let facts = Facts {
            job: &self.job,
            state: &self.state,
            known: &self.known,
            until: u32::MAX,
        };
        self.choosing.change(&facts, before.as_ref(), text)
    }

    /// The choice that stood at its question before it was opened again.
    pub(super) fn chosen_before(&self) -> Option<&Chosen> {
        let round = self.round();
        self.state.earlier.iter().find_map(|(slot, before)| {
            let (_, step) = self.job.procedure.step(&slot.step)?;
            match &before.value {
                Value::Chosen(chosen) if slot.round == round && step.fills == Some(Field::Choice) => {
                    Some(chosen)
                }
                _ => None,
            }
        })
    }
}
