//! The correction of an answer after the end.

use super::ask::Refusal;
use super::session::Session;
use super::typed::{Odd, SURE, no, plain_text};
use crate::record::{Entry, Slot, Value};
use std::rc::Rc;

/// What a correction takes the place of: which entry, what was typed, and the value of an answer.
struct Before<'a> {
    number: usize,
    text: String,
    value: Option<&'a Value>,
}

/// A correction of a finished build, as it was typed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Correction<'a> {
    /// The question, by the name that answers files use, such as `plate-thickness/G3/1`.
    pub question: &'a str,
    /// Its round; the last one where it was answered, if none is given.
    pub round: Option<u32>,
    /// The right answer.
    pub text: &'a str,
    /// Why.
    pub reason: &'a str,
    /// Who corrects.
    pub by: &'a str,
    /// Whether an odd value is meant.
    pub sure: bool,
}

impl Session {
    /// The entry that corrects an answer of a finished build. The answer is read as it would be if its question were
    /// asked again; everything that follows from it is then worked out from the right one. What the wrong one had led
    /// to at the bench (a choice, a verdict that was taken) stays as it was done: what would have been asked besides
    /// becomes an open point. A question that was skipped gets its answer so.
    ///
    /// # Errors
    ///
    /// A build that is not finished, a question that was neither answered nor skipped, an answer that only stands for
    /// something done (a caution, a choice of plates), the same answer again, and whatever the question itself
    /// refuses.
    pub fn correct(&self, correction: &Correction<'_>, at: &str) -> Result<Entry, Refusal> {
        if !self.is_finished() {
            return no("the build is not finished; go on with it, and !back opens an answer again");
        }
        let reason = plain_text(correction.reason)?;
        let by = plain_text(correction.by)?;
        let Some((slot, before)) = self.settled_slot(correction) else {
            return no(format!(
                "there is no answer to \"{}\" in this build{}",
                correction.question,
                self.alike(correction.question)
            ));
        };
        if let Some(value) = before.value {
            is_corrected_on_paper(value)?;
        }
        let Some((_, step)) = self.job.procedure.step(&slot.step) else {
            return no("the procedure has no such step");
        };
        let mut again = Session::empty(Rc::clone(&self.job));
        again.state = self.state.clone();
        again.state.finished = None;
        let opened = Entry::Reopened {
            at: at.to_string(),
            by: by.clone(),
            slot: slot.clone(),
        };
        again.state.apply(&opened);
        let mut answer = correction.text;
        if correction.sure {
            again.odd = Some(Odd {
                slot: slot.clone(),
                text: correction.text.trim().to_string(),
                meant: None,
            });
            answer = SURE;
        }
        let taken = again.take_answer(&slot, step, answer, at.to_string())?;
        let Some(Entry::Answered {
            text,
            value,
            insisted,
            ..
        }) = taken.entries.into_iter().next()
        else {
            return no("that is no answer to this question");
        };
        is_corrected_on_paper(&value)?;
        if before.value == Some(&value) {
            return no(format!("it is {} already", before.text));
        }
        Ok(Entry::Corrected {
            at: at.to_string(),
            by,
            slot,
            line: before.number,
            was: before.text,
            text,
            value,
            insisted,
            reason,
        })
    }

    /// The question in its last round where it was answered or skipped.
    fn settled_slot(&self, correction: &Correction<'_>) -> Option<(Slot, Before<'_>)> {
        let is_meant = |slot: &Slot| {
            let name = correction.question.trim();
            (slot.to_string() == name || slot.in_words().eq_ignore_ascii_case(name))
                && correction.round.is_none_or(|round| slot.round == round)
        };
        let answered = self.state.answers.iter().map(|(slot, answer)| {
            let before = Before {
                number: answer.number,
                text: answer.text.clone(),
                value: Some(&answer.value),
            };
            (slot, before)
        });
        let skipped = self.state.skipped.iter().map(|(slot, skipped)| {
            let before = Before {
                number: skipped.number,
                text: format!("skipped ({})", skipped.reason),
                value: None,
            };
            (slot, before)
        });
        let (slot, before) = answered
            .chain(skipped)
            .filter(|(slot, _)| is_meant(slot))
            .max_by_key(|(slot, _)| slot.round)?;
        Some((slot.clone(), before))
    }

    /// Names of answered and skipped questions that begin as the one that was not found.
    fn alike(&self, question: &str) -> String {
        let step = question.split(['/', ' ']).next().unwrap_or("");
        let mut names: Vec<String> = self
            .state
            .answers
            .keys()
            .chain(self.state.skipped.keys())
            .filter(|slot| !step.is_empty() && slot.step.starts_with(step))
            .map(ToString::to_string)
            .collect();
        names.dedup();
        if names.is_empty() {
            return String::new();
        }
        let more = if names.len() > 6 { ", ..." } else { "" };
        names.truncate(6);
        format!("; there are {}{more}", names.join(", "))
    }
}

/// Refuses a value that stands for something done at the bench.
fn is_corrected_on_paper(value: &Value) -> Result<(), Refusal> {
    match value {
        Value::Done => no("that answer only says that something was done; a note can not be made of it"),
        Value::Chosen(_) | Value::Names(_) => no(
            "which plates and shims were laid in is not corrected on paper: open the unit and begin a new build",
        ),
        _ => Ok(()),
    }
}
