//! The fold: what has been answered so far.

use super::all_line::{OfAll, stands_for};
use super::field::Field;
use crate::quantity::{Force, Length, Temperature, Torque, Units, seconds_of};
use crate::record::log_head::{Head, Headed};
use crate::record::{Chosen, Entry, GeneratedFrom, MODEL, RemarkKind, Slot, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What is typed for nothing where there was something before: an empty line would keep it.
pub(super) const NONE: [&str; 2] = ["none", "-"];

/// An answer as it stands.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Answer {
    /// Which entry it was, from 1.
    pub number: usize,
    pub at: String,
    pub by: String,
    pub text: String,
    pub value: Value,
    pub insisted: bool,
}

/// What stood at a question before it was opened again.
pub(super) enum Kept<'s> {
    /// It was answered.
    Answer(&'s Answer),
    /// It was left out, for this reason.
    LeftOut(&'s str),
}

/// A question that was left out.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Skipped {
    /// Which entry it was, from 1.
    pub number: usize,
    pub reason: String,
    pub by: String,
    pub at: String,
}

/// Something that was written at a question: a note, the reason of a skip, an answer that was corrected later.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Written {
    /// At which entry, from 1.
    pub number: usize,
    pub kind: RemarkKind,
    pub slot: Slot,
    pub text: String,
    pub by: String,
    pub at: String,
}

/// An entry that is dated before the one before it.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct SetBack {
    /// Which entry, from 1.
    pub number: usize,
    /// Its time.
    pub at: String,
    /// The time of the entry before it.
    pub before: String,
}

impl SetBack {
    /// What a person is told about it.
    pub fn words(&self) -> String {
        format!(
            "entry {} is dated {}, before the {} of the one before it; entries stand in the order in which they were \
             written",
            self.number, self.at, self.before
        )
    }
}

/// What all entries so far add up to.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct State {
    pub started: String,
    pub program: String,
    pub procedure_digest: String,
    pub setting_digest: Option<String>,
    pub units: Units,
    pub practice: Option<GeneratedFrom>,
    pub answers: BTreeMap<Slot, Answer>,
    pub skipped: BTreeMap<Slot, Skipped>,
    /// Answered and skipped questions in the order in which that was done: what `back` goes along.
    pub trail: Vec<Slot>,
    /// Answers that were opened again: offered when the question comes again.
    pub earlier: BTreeMap<Slot, Answer>,
    /// The reasons of questions that were left out and opened again: offered likewise.
    pub left_out: BTreeMap<Slot, String>,
    /// Looks and flatnesses of plates that were given by a line for all, and stand so still.
    pub by_one_line: BTreeSet<Slot>,
    /// What was answered once more after it had been opened again.
    pub again: BTreeSet<Slot>,
    pub written: Vec<Written>,
    pub finished: Option<String>,
    /// By which edition of the mechanics it was finished.
    pub model: Option<u32>,
    /// Where the book's log stood when it was finished.
    pub log: Option<Head>,
    /// How many entries there have been up to the last that is not a seal's own: the lines of the record.
    pub record: usize,
    /// How many seals there are.
    pub seals: u32,
    /// Why the build was put away.
    pub voided: Option<String>,
    /// What it waits for.
    pub waiting: Vec<String>,
    /// The hints that were asked for in practice: of which fault, and how far.
    pub hints: Vec<(u32, u32)>,
    /// Entries whose time lies before that of the entry before them: a clock was set back.
    pub set_back: Vec<SetBack>,
    /// Who took over, with a note of their own.
    at_work: Option<String>,
    /// How many entries there are, and when the last one was written.
    entries: usize,
    last_at: String,
    fields: BTreeMap<Field, String>,
}

impl State {
    /// Nothing is answered yet; `fields` says which step fills each field for the unit.
    pub fn new(fields: BTreeMap<Field, String>) -> State {
        State {
            started: String::new(),
            program: String::new(),
            procedure_digest: String::new(),
            setting_digest: None,
            units: Units::Metric,
            practice: None,
            answers: BTreeMap::new(),
            skipped: BTreeMap::new(),
            trail: Vec::new(),
            earlier: BTreeMap::new(),
            left_out: BTreeMap::new(),
            again: BTreeSet::new(),
            by_one_line: BTreeSet::new(),
            written: Vec::new(),
            finished: None,
            model: None,
            log: None,
            record: 0,
            seals: 0,
            voided: None,
            waiting: Vec::new(),
            hints: Vec::new(),
            set_back: Vec::new(),
            at_work: None,
            entries: 0,
            last_at: String::new(),
            fields,
        }
    }

    /// Takes one entry in. The fold of all entries is the state.
    pub fn apply(&mut self, entry: &Entry) {
        self.entries += 1;
        let number = self.entries;
        if let (Some(now), Some(before)) = (seconds_of(entry.at()), seconds_of(&self.last_at))
            && now < before
        {
            self.set_back.push(SetBack {
                number,
                at: entry.at().to_string(),
                before: self.last_at.clone(),
            });
        }
        if !matches!(entry, Entry::Sealed { .. }) {
            entry.at().clone_into(&mut self.last_at);
            self.record = number;
        }
        match entry {
            Entry::Begun {
                at,
                program,
                procedure,
                setting,
                units,
                practice,
                ..
            } => {
                self.started.clone_from(at);
                self.program.clone_from(program);
                self.procedure_digest.clone_from(procedure);
                self.setting_digest.clone_from(setting);
                self.units = (*units).into();
                self.practice = *practice;
            }
            Entry::Answered {
                at,
                by,
                slot,
                text,
                value,
                ..
            } => {
                self.left_out.remove(slot);
                let before = self.earlier.remove(slot);
                if before.is_some() {
                    self.again.insert(slot.clone());
                }
                if let Some(before) = before
                    && before.value != *value
                {
                    self.written.push(Written {
                        number,
                        kind: RemarkKind::Corrected,
                        slot: slot.clone(),
                        text: format!("was {}, now {}", before.text, text),
                        by: by.clone(),
                        at: at.clone(),
                    });
                }
                self.trail.push(slot.clone());
            }
            Entry::Skipped { at, by, slot, reason } => {
                self.trail.push(slot.clone());
                self.left_out.remove(slot);
                self.skipped.insert(
                    slot.clone(),
                    Skipped {
                        number,
                        reason: reason.clone(),
                        by: by.clone(),
                        at: at.clone(),
                    },
                );
            }
            Entry::Noted { at, by, slot, text } => {
                // whoever writes a note in another name has taken over
                if !by.is_empty() && by != self.by() {
                    self.at_work = Some(by.clone());
                }
                let one_line = self.of_a_line_for_all(number, text);
                // a line for all is about its plates, wherever it was typed
                let mut plates: Vec<&str> = one_line.iter().filter_map(|slot| slot.item.as_deref()).collect();
                plates.dedup();
                let (slot, text) = match one_line.first() {
                    Some(first) => (first.clone(), format!("{text} ({})", plates.join(" "))),
                    None => (slot.clone(), text.clone()),
                };
                self.by_one_line.extend(one_line);
                self.written.push(Written {
                    number,
                    kind: RemarkKind::Note,
                    slot,
                    text,
                    by: by.clone(),
                    at: at.clone(),
                });
            }
            Entry::Reopened { slot, .. } => self.reopen(slot),
            Entry::Amended {
                at,
                by,
                slot,
                was,
                text,
                lapsed,
                ..
            } => {
                self.written.push(Written {
                    number,
                    kind: RemarkKind::Corrected,
                    slot: slot.clone(),
                    text: format!("was {was}, now {text}"),
                    by: by.clone(),
                    at: at.clone(),
                });
                for slot in lapsed {
                    self.reopen(slot);
                }
            }
            Entry::Waiting { parts, .. } => self.waiting.clone_from(parts),
            Entry::Hinted { fault, rung, .. } => self.hints.push((*fault, *rung)),
            Entry::Voided { by, reason, .. } => self.voided = Some(format!("{reason} ({by})")),
            // the drawer is the session's, and a day is no build
            Entry::PartAdded { .. } | Entry::PartStruck { .. } | Entry::DayBegun { .. } => {}
            Entry::Finished { at, model, log } => {
                self.finished = Some(at.clone());
                self.log = log.as_ref().map(Headed::head);
                self.model = Some(*model);
            }
            Entry::Corrected {
                at,
                by,
                slot,
                was,
                text,
                reason,
                ..
            } => {
                // one that was skipped has its answer now
                self.skipped.remove(slot);
                self.written.push(Written {
                    number,
                    kind: if self.seals > 0 {
                        RemarkKind::CorrectedAfterSigning
                    } else {
                        RemarkKind::CorrectedWhenFinished
                    },
                    slot: slot.clone(),
                    text: format!("was {was}, now {text}: {reason}"),
                    by: by.clone(),
                    at: at.clone(),
                });
            }
            Entry::Sealed { .. } => self.seals += 1,
        }
        if let Entry::Answered {
            at,
            by,
            slot,
            text,
            value,
            insisted,
        }
        | Entry::Corrected {
            at,
            by,
            slot,
            text,
            value,
            insisted,
            ..
        }
        | Entry::Amended {
            at,
            by,
            slot,
            text,
            value,
            insisted,
            ..
        } = entry
        {
            let answer = Answer {
                number,
                at: at.clone(),
                by: by.clone(),
                text: text.clone(),
                value: value.clone(),
                insisted: *insisted,
            };
            self.by_one_line.remove(slot);
            self.answers.insert(slot.clone(), answer);
        }
    }

    /// The answers right before a note that a line for all led to, where it is the note of one.
    fn of_a_line_for_all(&self, number: usize, note: &str) -> Vec<Slot> {
        let steps = [(Field::PLATE_LOOK, false), (Field::PLATE_FLATNESS, true)]
            .map(|(field, flatness)| (self.fields.get(&field), flatness));
        let mut known: Vec<(usize, &Slot, OfAll<'_>)> = Vec::new();
        for (slot, answer) in &self.answers {
            let asked = steps.iter().find(|(step, _)| *step == Some(&slot.step));
            known.extend(asked.map(|(_, flatness)| {
                let of_all = OfAll {
                    step: &slot.step,
                    flatness: *flatness,
                    text: &answer.text,
                };
                (answer.number, slot, of_all)
            }));
        }
        known.sort_by_key(|(of, ..)| *of);
        let here = known.iter().rev().zip((0..number).rev());
        let count = here.take_while(|((of, ..), wanted)| of == wanted).count();
        let run = known.get(known.len() - count..).unwrap_or(&[]);
        let answers: Vec<OfAll<'_>> = run.iter().map(|(.., of_all)| *of_all).collect();
        let mine = stands_for(note, &answers);
        let run = run.get(run.len() - mine..).unwrap_or(&[]);
        run.iter().map(|(_, slot, _)| (*slot).clone()).collect()
    }

    fn reopen(&mut self, slot: &Slot) {
        self.by_one_line.remove(slot);
        self.trail.retain(|known| known != slot);
        if let Some(skipped) = self.skipped.remove(slot) {
            self.left_out.insert(slot.clone(), skipped.reason);
        }
        if let Some(answer) = self.answers.remove(slot) {
            self.earlier.insert(slot.clone(), answer);
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

    /// The round whose answer to a field's question stands at a round: its own, else that of the last one before it. What is
    /// asked anew whenever the unit is opened again has an answer a round; where it never had one, 1.
    pub fn standing(&self, field: Field, until: u32) -> u32 {
        let last = self.answers.keys().next_back().map_or(1, |slot| slot.round);
        (2..=until.min(last))
            .rev()
            .find(|round| self.answer(field, *round, None, None).is_some())
            .unwrap_or(1)
    }

    /// A word as it stands last.
    pub fn last_word(&self, field: Field) -> Option<(&str, &str)> {
        self.word(field, self.standing(field, u32::MAX), None)
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

    /// Every answer of the first round to a field's question, item by item.
    pub fn all_answers(&self, field: Field) -> impl Iterator<Item = (&Slot, &Answer)> {
        let step = self.fields.get(&field);
        let answers = self.answers.iter();
        answers.filter(move |(slot, _)| slot.round == 1 && Some(&slot.step) == step)
    }

    /// Whether each look of a step at one item found it as it should be, in their order. The first has no number: that
    /// there is a second one shows only when it is answered.
    pub fn looks(&self, step: &str, round: u32, item: Option<&str>) -> Vec<bool> {
        let slot = |point| Slot {
            round,
            step: step.to_string(),
            item: item.map(str::to_string),
            point,
        };
        std::iter::once(None)
            .chain((2..).map(Some))
            .map_while(|point| match self.answers.get(&slot(point))?.value {
                Value::Yes(good) => Some(good),
                _ => None,
            })
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

    /// All forces that were given for one item.
    pub fn forces(&self, field: Field, round: u32, item: Option<&str>) -> Vec<Force> {
        self.points(field, round, item)
            .iter()
            .filter_map(|answer| match answer.value {
                Value::Force(newtons) => Force::from_newtons(newtons).ok(),
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

    /// A temperature.
    pub fn temperature(&self, field: Field, round: u32) -> Option<Temperature> {
        match self.answer(field, round, None, None)?.value {
            Value::Temperature(celsius) => Temperature::from_celsius(celsius).ok(),
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

    /// Whether an old paper that was typed in says that the unit was put together anew.
    pub fn is_rebuilt(&self) -> bool {
        let rebuilt = self.word(Field::REBUILT, 1, None);
        rebuilt.is_some_and(|(word, _)| word == "yes")
    }

    /// Words that were given line by line.
    pub fn texts(&self, field: Field) -> Vec<&str> {
        let points = self.points(field, 1, None);
        let texts = points.into_iter().filter_map(|answer| match &answer.value {
            Value::Text(text) => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    /// Whether the apprentice's own verdict on a plate was left out.
    pub fn left_out_own_verdict(&self, plate: &str) -> bool {
        self.fields.get(&Field::OWN_VERDICT).is_some_and(|step| {
            self.skipped.contains_key(&Slot {
                round: 1,
                step: step.clone(),
                item: Some(plate.to_string()),
                point: None,
            })
        })
    }

    /// Words that were given.
    pub fn text(&self, field: Field) -> Option<&str> {
        match &self.answer(field, 1, None, None)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Words that were given where there need not be any; nothing where what was typed says that there are none.
    pub fn said(&self, field: Field) -> Option<&str> {
        self.text(field)
            .filter(|text| !NONE.iter().any(|none| text.eq_ignore_ascii_case(none)))
    }

    /// The choice of a round.
    pub fn chosen(&self, round: u32) -> Option<&Chosen> {
        match &self.answer(Field::CHOICE, round, None, None)?.value {
            Value::Chosen(chosen) => Some(chosen),
            _ => None,
        }
    }

    /// The last round that has a choice; 1 where none has.
    pub fn last_round(&self) -> u32 {
        let chosen =
            |(slot, answer): (&Slot, &Answer)| matches!(answer.value, Value::Chosen(_)).then_some(slot.round);
        self.answers.iter().filter_map(chosen).max().unwrap_or(1)
    }

    /// The edition of the mechanics by which it is reckoned: that of a finished record, else today's.
    fn edition(&self) -> u32 {
        self.model.unwrap_or(MODEL)
    }

    /// Whether its intervals count by how much springs, zeros and radii may be off: not in a record that was finished before they
    /// did, which keeps its figures.
    pub fn counts_doubts(&self) -> bool {
        self.edition() >= 3
    }

    /// Whether its intervals count what one gauge leaves in room and free height alike, and what nested discs rub: not in a record
    /// that was finished before they did.
    pub fn counts_shared_and_nested(&self) -> bool {
        self.edition() >= 4
    }

    /// Whether its figures are reckoned as they were when it was finished; `true` while it is not. What edition 1 reckoned
    /// otherwise is reckoned right now; what 2 left out of its intervals stays out of them.
    pub fn is_reckoned_as_then(&self) -> bool {
        self.edition() >= 2
    }

    /// What is said of a record whose figures are reckoned otherwise than when it was finished.
    pub fn reckoned_otherwise(&self) -> Option<&'static str> {
        (!self.is_reckoned_as_then()).then_some(
            "by today's mechanics; the record was finished with an earlier edition, so figures may differ from those of then",
        )
    }

    /// How many entries there are.
    pub fn entries(&self) -> usize {
        self.entries
    }

    /// When the last entry was written.
    pub fn last_at(&self) -> &str {
        &self.last_at
    }

    /// Who does the work, as far as it is known.
    pub fn by(&self) -> &str {
        match &self.at_work {
            Some(name) => name,
            None => self.text(Field::BUILT_BY).unwrap_or(""),
        }
    }
}
