//! An answer that looks odd is only taken when it is confirmed.

use super::ask::Refusal;
use super::definition::{Field, Kind, Step};
use super::session::Session;
use super::typed::{Read, SURE, no, surely};
use crate::quantity::Length;
use crate::record::{Slot, Value};

impl Session {
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
            |text| self.read(slot, step, text),
            |read| {
                let words = read.odd.clone()?;
                let meant = self.meant(slot, step, &read.value);
                Some(match meant {
                    Some(meant) => (format!("{words}: did you mean {meant}?"), Some(meant)),
                    None => (words, None),
                })
            },
        );
        self.odd = open;
        taken
    }

    /// What was likely meant by a value that looks odd, as it would be typed.
    fn meant(&self, slot: &Slot, step: &Step, value: &Value) -> Option<String> {
        match value {
            Value::Length(nm) => self.facts().meant_length(slot, step.fills?, Length::from_nm(*nm)),
            _ => None,
        }
    }
}
