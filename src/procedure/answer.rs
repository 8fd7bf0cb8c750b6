//! Answers: what one leads to, what an empty line keeps of the one before, and what is said afterwards.

use super::ask::{Feedback, Refusal, StepKind, Tone};
use super::definition::{Guard, Kind, Step};
use super::derived::Derived;
use super::field::Field;
use super::optional::LEFT_EMPTY;
use super::plan::round_of;
use super::session::{Accepted, Session};
use super::state::{Answer, Kept};
use super::typed::{MOST_CHARACTERS, Odd, Read, SURE, no, surely};
use crate::record::phrase::Phrase;
use crate::record::{Entry, Slot, Value};

impl Session {
    pub(super) fn take_answer(
        &mut self,
        slot: &Slot,
        step: &Step,
        text: &str,
        at: String,
    ) -> Result<Accepted, Refusal> {
        let text = match text.trim() {
            word if self.yes_keeps(slot, step, word) => "",
            text => text,
        };
        let before = match self.kept(slot, step) {
            Some(Kept::Answer(before)) if text.is_empty() => Some(before.clone()),
            _ => None,
        };
        if text.chars().count() > MOST_CHARACTERS {
            return no(format!("that is too long; at most {MOST_CHARACTERS} characters"));
        }
        if step.fills.map(Field::kind) == Some(Kind::Choice)
            && let Some(said) = self.change_by_hand(text)?
        {
            return Ok(Accepted {
                said,
                ..Accepted::default()
            });
        }
        let (read, insisted) = match before {
            Some(before) => self.keep(slot, step, &before)?,
            None => self.read_surely(slot, step, text)?,
        };
        // the name that is just being given is already the one who gives it
        let signs = step.fills.map(Field::kind) == Some(Kind::Name);
        let by = match &read.value {
            Value::Text(name) if signs => name.clone(),
            _ => self.state.by().to_string(),
        };
        let mut taken = Accepted {
            entries: vec![Entry::Answered {
                at,
                by,
                slot: slot.clone(),
                text: read.text,
                value: read.value,
                insisted,
            }],
            ..Accepted::default()
        };
        self.finish_with(&mut taken);
        Ok(taken)
    }

    /// Reads an answer as [`surely`] does.
    pub(super) fn read_surely(
        &mut self,
        slot: &Slot,
        step: &Step,
        text: &str,
    ) -> Result<(Read, bool), Refusal> {
        let mut open = self.odd.take();
        let words = matches!(step.fills.map(Field::kind), Some(Kind::Text | Kind::Name));
        if open.as_ref().is_none_or(|odd| odd.slot != *slot)
            && step.fills.is_some()
            && !words
            && text.eq_ignore_ascii_case(SURE)
        {
            return no("there is nothing to be sure of yet: give the answer first, or write sure behind it");
        }
        let taken = surely(
            &mut open,
            slot,
            text,
            |text| self.here(slot, step).read(text),
            |read| {
                let words = read.odd.clone()?;
                let meant = self.here(slot, step).meant(&read.value);
                Some(match meant {
                    Some(meant) => (format!("{words}: did you mean {meant}?"), Some(meant)),
                    None => (words, None),
                })
            },
        );
        self.odd = open;
        taken
    }

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
            Kept::Answer(before) => self.here(slot, step).may_keep(before),
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
        match self.here(slot, step).read(&before.text)?.odd {
            Some(words) if !before.insisted => {
                self.odd = Some(Odd {
                    slot: slot.clone(),
                    text: before.text.clone(),
                    meant: None,
                });
                Err(Refusal {
                    words,
                    sure: true,
                    suggests: false,
                })
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
        let spoken = &self.job.procedure.spoken;
        let before = match stood {
            Kept::LeftOut(reason) if reason == LEFT_EMPTY => reason.to_string(),
            Kept::LeftOut(reason) => spoken.fill(Phrase::LeftOut, &[reason]),
            Kept::Answer(before) => match &before.value {
                Value::Chosen(chosen) => chosen.how.clone(),
                _ => before.text.clone(),
            },
        };
        match self.kept(slot, step) {
            Some(_) => format!(" ({})", spoken.fill(Phrase::BeforeKept, &[&before])),
            None => format!(" ({})", spoken.fill(Phrase::Before, &[&before])),
        }
    }

    /// Whether a `yes` says that what stood there stays: where it is no answer itself, and confirms nothing that looked odd.
    fn yes_keeps(&self, slot: &Slot, step: &Step, word: &str) -> bool {
        let is_yes = ["y", "yes"].iter().any(|yes| word.eq_ignore_ascii_case(yes));
        let open = self.odd.as_ref().is_some_and(|odd| odd.slot == *slot);
        is_yes && !open && self.here(slot, step).read(word).is_err() && self.kept(slot, step).is_some()
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
    pub(super) fn change_by_hand(&mut self, text: &str) -> Result<Option<Vec<Feedback>>, Refusal> {
        let before = self.derived().chosen_before(round_of(&self.plan())).cloned();
        let derived = Derived {
            job: &self.job,
            state: &self.state,
            known: &self.known,
            until: u32::MAX,
        };
        self.choosing.change(&derived, before.as_ref(), text)
    }

    /// What is to be said about an entry that has been taken in.
    pub(super) fn remark(&self, entry: &Entry) -> Vec<Feedback> {
        let Entry::Answered { slot, value, .. } = entry else {
            return Vec::new();
        };
        let Some((_, step)) = self.job.procedure.step(&slot.step) else {
            return Vec::new();
        };
        match (step.fills, value) {
            (Some(field), _) => (field.row().after)(&self.here(slot, step), value),
            (None, Value::Yes(false)) if step.guard == Some(Guard::Stops) => vec![Feedback::new(
                Tone::Bad,
                "the way stops here: put it right and look again; only a yes goes on",
            )],
            (None, Value::Yes(false)) => vec![Feedback::new(Tone::Doubt, "noted as an open point")],
            (None, _) => Vec::new(),
        }
    }
}
