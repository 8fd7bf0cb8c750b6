use super::definition::{Field, Procedure};
use crate::quantity::{Length, Torque, Units};
use crate::record::{Chosen, Entry, Slot, Value};
use std::collections::BTreeMap;

/// An answer as it stands.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Answer {
    pub at: String,
    pub by: String,
    pub text: String,
    pub value: Value,
    pub insisted: bool,
    /// The line of the journal that it stands in, from 1.
    pub line: usize,
}

/// Something that was written at a question: a note, the reason of a skip, an answer that was corrected later.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Written {
    pub kind: &'static str,
    pub slot: Slot,
    pub text: String,
    pub by: String,
    pub at: String,
}

/// What all entries so far add up to.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct State {
    pub started: String,
    pub program: String,
    pub procedure_digest: String,
    pub units: Units,
    pub answers: BTreeMap<Slot, Answer>,
    pub skipped: BTreeMap<Slot, (String, String, String)>,
    /// Answered and skipped questions in the order in which that was done: what `back` goes along.
    pub trail: Vec<Slot>,
    /// Answers that were opened again: offered when the question comes again.
    pub earlier: BTreeMap<Slot, Answer>,
    pub written: Vec<Written>,
    pub finished: Option<String>,
    /// How many entries there have been.
    pub lines: usize,
    /// How many there have been up to the last that is not a seal's own: the lines of the record.
    pub record: usize,
    /// How many seals there are.
    pub seals: u32,
    fields: BTreeMap<Field, String>,
}

impl State {
    pub fn new(procedure: &Procedure) -> State {
        State {
            started: String::new(),
            program: String::new(),
            procedure_digest: String::new(),
            units: Units::Metric,
            answers: BTreeMap::new(),
            skipped: BTreeMap::new(),
            trail: Vec::new(),
            earlier: BTreeMap::new(),
            written: Vec::new(),
            finished: None,
            lines: 0,
            record: 0,
            seals: 0,
            // the steps that fill a field for some units only share one id here: only one of them is ever asked
            fields: procedure
                .steps()
                .filter_map(|(_, step)| step.fills.map(|field| (field, step.id.clone())))
                .collect(),
        }
    }

    /// Takes one entry in. The fold of all entries is the state.
    pub fn apply(&mut self, entry: &Entry) {
        self.lines += 1;
        if !matches!(entry, Entry::Sealed { .. }) {
            self.record = self.lines;
        }
        match entry {
            Entry::Begun {
                at,
                program,
                procedure,
                units,
                ..
            } => {
                self.started.clone_from(at);
                self.program.clone_from(program);
                self.procedure_digest.clone_from(procedure);
                self.units = (*units).into();
            }
            Entry::Answered {
                at,
                by,
                slot,
                text,
                value,
                insisted,
            } => {
                if let Some(before) = self.earlier.remove(slot)
                    && before.value != *value
                {
                    self.written.push(Written {
                        kind: "corrected",
                        slot: slot.clone(),
                        text: format!("was {}, now {}", before.text, text),
                        by: by.clone(),
                        at: at.clone(),
                    });
                }
                self.trail.push(slot.clone());
                self.answers.insert(
                    slot.clone(),
                    Answer {
                        at: at.clone(),
                        by: by.clone(),
                        text: text.clone(),
                        value: value.clone(),
                        insisted: *insisted,
                        line: self.lines,
                    },
                );
            }
            Entry::Skipped { at, by, slot, reason } => {
                self.trail.push(slot.clone());
                self.skipped
                    .insert(slot.clone(), (reason.clone(), by.clone(), at.clone()));
            }
            Entry::Noted { at, by, slot, text } => self.written.push(Written {
                kind: "note",
                slot: slot.clone(),
                text: text.clone(),
                by: by.clone(),
                at: at.clone(),
            }),
            Entry::Reopened { slot, .. } => {
                self.trail.retain(|known| known != slot);
                self.skipped.remove(slot);
                if let Some(answer) = self.answers.remove(slot) {
                    self.earlier.insert(slot.clone(), answer);
                }
            }
            Entry::Finished { at } => self.finished = Some(at.clone()),
            Entry::Corrected {
                at,
                by,
                slot,
                was,
                text,
                value,
                insisted,
                reason,
                ..
            } => {
                self.written.push(Written {
                    kind: if self.seals > 0 {
                        "corrected after signing"
                    } else {
                        "corrected when finished"
                    },
                    slot: slot.clone(),
                    text: format!("was {was}, now {text}: {reason}"),
                    by: by.clone(),
                    at: at.clone(),
                });
                self.answers.insert(
                    slot.clone(),
                    Answer {
                        at: at.clone(),
                        by: by.clone(),
                        text: text.clone(),
                        value: value.clone(),
                        insisted: *insisted,
                        line: self.lines,
                    },
                );
            }
            Entry::Sealed { .. } => self.seals += 1,
        }
    }

    /// Whether a question needs no answer any more.
    pub fn is_settled(&self, slot: &Slot) -> bool {
        self.answers.contains_key(slot) || self.skipped.contains_key(slot)
    }

    /// The answer to a field's question.
    pub fn answer(
        &self,
        field: Field,
        round: u32,
        item: Option<&str>,
        point: Option<u32>,
    ) -> Option<&Answer> {
        let step = self.fields.get(&field)?;
        self.answers.get(&Slot {
            round,
            step: step.clone(),
            item: item.map(str::to_string),
            point,
        })
    }

    /// All answers to a field's question of one item, point by point.
    pub fn points(&self, field: Field, round: u32, item: Option<&str>) -> Vec<&Answer> {
        let Some(step) = self.fields.get(&field) else {
            return Vec::new();
        };
        let from = Slot {
            round,
            step: step.clone(),
            item: item.map(str::to_string),
            point: None,
        };
        self.answers
            .range(from.clone()..)
            .take_while(|(slot, _)| slot.round == round && slot.step == from.step && slot.item == from.item)
            .map(|(_, answer)| answer)
            .collect()
    }

    /// All lengths that were given for one item.
    pub fn lengths(&self, field: Field, round: u32, item: Option<&str>) -> Vec<Length> {
        self.points(field, round, item)
            .iter()
            .filter_map(|answer| match answer.value {
                Value::Length(nm) => Some(Length::from_nm(nm)),
                _ => None,
            })
            .collect()
    }

    /// A torque that was given.
    pub fn torque(&self, field: Field, round: u32, item: Option<&str>, point: Option<u32>) -> Option<Torque> {
        match self.answer(field, round, item, point)?.value {
            Value::Torque(newton_metres) => Torque::from_newton_metres(newton_metres).ok(),
            _ => None,
        }
    }

    /// A word that was chosen, with its reason.
    pub fn word(&self, field: Field, round: u32, item: Option<&str>) -> Option<(&str, &str)> {
        match &self.answer(field, round, item, None)?.value {
            Value::Word { word, reason } => Some((word, reason)),
            _ => None,
        }
    }

    /// Words that were given.
    pub fn text(&self, field: Field) -> Option<&str> {
        match &self.answer(field, 1, None, None)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The choice of a round.
    pub fn chosen(&self, round: u32) -> Option<&Chosen> {
        match &self.answer(Field::Choice, round, None, None)?.value {
            Value::Chosen(chosen) => Some(chosen),
            _ => None,
        }
    }

    /// Who does the work, as far as it is known.
    pub fn by(&self) -> &str {
        self.text(Field::BuiltBy).unwrap_or("")
    }
}
