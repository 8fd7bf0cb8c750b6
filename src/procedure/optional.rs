//! Questions that need no answer: what Enter alone leaves out, and what one line says of several of them.

use super::ask::Refusal;
use super::definition::Step;
use super::field::Field;
use super::session::Session;
use super::typed::no;
use crate::record::{Entry, Slot};

/// Why a question is left out that Enter alone leaves out.
pub const LEFT_EMPTY: &str = "left empty";
/// What parts the answers to several questions on one line.
const BETWEEN: char = ';';

impl Session {
    /// What a line leads to at a question that needs no answer and begins a group of such: Enter alone leaves all of the group
    /// out, and a line with semicolons has the answers to several. Nothing where it is answered as any other question is.
    pub(super) fn optional(
        &self,
        slot: &Slot,
        step: &Step,
        text: &str,
        at: &str,
    ) -> Result<Option<Vec<Entry>>, Refusal> {
        let Some(with) = step.fills.and_then(Field::left_out_with) else {
            return Ok(None);
        };
        let is_empty = text.trim().is_empty();
        let goes_on = is_empty && self.kept(slot, step).is_some();
        if goes_on || !is_empty && (with.is_empty() || !text.contains(BETWEEN)) {
            return Ok(None);
        }
        let plan = self.plan();
        let behind = plan.iter().skip_while(|planned| planned.slot != *slot);
        let group = behind.filter(|planned| {
            let goes_with = planned.step.fills.is_some_and(|field| with.contains(&field));
            planned.slot == *slot || goes_with && !self.state.is_settled(&planned.slot)
        });
        let group: Vec<(&Slot, &Step)> = group.map(|planned| (&planned.slot, planned.step)).collect();
        let parts: Vec<&str> = match is_empty {
            true => vec![""; group.len()],
            false => text.split(BETWEEN).map(str::trim).collect(),
        };
        if parts.len() > group.len() {
            let names: Vec<&str> = group.iter().map(|(slot, _)| slot.step.as_str()).collect();
            return no(format!(
                "{} answers stand on that line, and these are asked: {}",
                parts.len(),
                names.join(", ")
            ));
        }
        let mut entries = Vec::new();
        for ((slot, step), part) in group.into_iter().zip(parts) {
            entries.push(self.entry_of(slot, step, part, at)?);
        }
        Ok(Some(entries))
    }

    fn entry_of(&self, slot: &Slot, step: &Step, part: &str, at: &str) -> Result<Entry, Refusal> {
        let (at, by, slot) = (at.to_string(), self.state.by().to_string(), slot.clone());
        if part.is_empty() {
            let reason = LEFT_EMPTY.to_string();
            return Ok(Entry::Skipped { at, by, slot, reason });
        }
        let read = match self.here(&slot, step).read(part) {
            Ok(read) => read,
            Err(refusal) => return no(format!("{}: {}", slot.step, refusal.words)),
        };
        // it is said to be meant where it is asked alone
        if let Some(odd) = read.odd {
            return no(format!(
                "{}: {odd}; leave it off the line, and it is asked next",
                slot.step
            ));
        }
        Ok(Entry::Answered {
            at,
            by,
            slot,
            text: read.text,
            value: read.value,
            insisted: false,
        })
    }
}
