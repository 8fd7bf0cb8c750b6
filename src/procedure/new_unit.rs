//! A new unit by questions: what a unit file needs, asked one by one, checked by the reader of unit files itself.

use super::ask::{AnswerOption, Ask, Expects, Feedback, Refusal, Reply, StepKind, Tone, Why};
use super::manual_choice::with_their_units;
use super::new_unit_keys::{Walk, walk};
use super::new_unit_question::{Given, NONE, Question, Value, Wants};
use super::typed::{Odd, no, parsed, plain_text, surely};
use crate::document::Faults;
use crate::mechanics::SpringPlace;
use crate::quantity::{
    Angle, Dimension, Force, Length, Quantity, RampAngle, Ratio, SpringRate, Torque, Units, Volume, parse,
};
use crate::record::Slot;
use crate::workshop::{Aim, Depth, Unit, unit_text};
use std::collections::{BTreeMap, HashSet};

/// The questions of a new unit's file, and the answers so far. It knows no files: what was answered is a text, and the
/// reader of unit files says whether it is good.
///
/// Each answer is put into the file as far as it goes, and the file is read: what the reader finds wrong that was not
/// wrong before is the refusal. So there is one source of limits.
#[derive(Clone, Default, PartialEq, Debug)]
pub struct NewUnit {
    units: Units,
    answers: Vec<(Slot, Given)>,
    notes: Vec<(Slot, String)>,
    /// The answers that were opened again: each is kept by an empty line.
    earlier: BTreeMap<Slot, String>,
    odd: Option<Odd>,
}

impl NewUnit {
    /// Begins with nothing answered; bare numbers are read in `units`.
    pub fn new(units: Units) -> NewUnit {
        NewUnit {
            units,
            ..NewUnit::default()
        }
    }

    fn walked(&self, ghost: bool) -> Walk<'_> {
        let mut walked = Walk::new(&self.answers, &self.notes, ghost);
        // it stops at the first question that is open
        let _open = walk(&mut walked);
        walked
    }

    /// The next question; `None` when the file is whole.
    pub fn ask(&self) -> Option<Ask> {
        let question = self.walked(false).next?;
        let unit = |dimension: Dimension| dimension.usual_unit(self.units);
        let expects = match &question.wants {
            Wants::Word(words) => Expects::OneOf(
                words
                    .iter()
                    .map(|(key, words)| AnswerOption {
                        key: (*key).to_string(),
                        words: (*words).to_string(),
                    })
                    .collect(),
            ),
            Wants::YesNo => Expects::YesNo,
            Wants::Quantity(dimension, _)
                if !matches!(dimension, Dimension::Ratio | Dimension::RampAngle) =>
            {
                // the examples are metric, and say so where a bare number is not
                let metric = dimension.usual_unit(Units::Metric);
                let example = match question.example {
                    example if example.is_empty() || unit(*dimension) == metric => example.to_string(),
                    example => format!("{example} {metric}"),
                };
                Expects::Quantity {
                    unit: unit(*dimension),
                    example,
                }
            }
            _ => Expects::Text { optional: false },
        };
        let mut limits = Vec::new();
        let mut prompt = question.slot.item.clone().map_or_else(
            || super::form::short_name(&question.slot.step.replace(['.', '_'], " ")),
            |item| format!("{} {item}", question.slot.step.replace(['.', '_'], " ")),
        );
        if !matches!(expects, Expects::Quantity { .. }) && !question.example.is_empty() {
            let example = match question.wants {
                Wants::Lengths if self.units == Units::Inch => {
                    let each = question.example.split(' ').map(|one| format!("{one} mm"));
                    each.collect::<Vec<_>>().join(" ")
                }
                _ => question.example.to_string(),
            };
            limits.push(format!("such as {example}"));
        }
        match question.wants {
            Wants::Lengths => limits.push(format!("bare numbers are {}", unit(Dimension::Length))),
            Wants::Torques => limits.push(format!("bare numbers are {}", unit(Dimension::Torque))),
            Wants::Forces => limits.push(format!("bare numbers are {}", unit(Dimension::Force))),
            _ => {}
        }
        if question.optional {
            limits.push("none leaves it out of the file".to_string());
        }
        let before = self.earlier.get(&question.slot).cloned();
        if let Some(typed) = &before {
            prompt.push_str(&format!(" (before: {typed}; Enter keeps it)"));
        }
        Some(Ask {
            slot: question.slot,
            number: self.answers.len() + 1,
            of: self.walked(true).asked,
            stage: question.stage.to_string(),
            kind: StepKind::Look,
            words: vec![question.words.to_string()],
            tools: Vec::new(),
            limits,
            table: None,
            drawing: Vec::new(),
            prompt,
            expects,
            before,
            guarded: false,
            why: Why {
                reason: question.why.to_string(),
                formula: Vec::new(),
            },
            may_skip: false,
            later: false,
            again: false,
            practice: false,
            rail: None,
            terms: Vec::new(),
        })
    }

    /// Takes a reply in, and gives what is to be said after it.
    ///
    /// # Errors
    ///
    /// [`Refusal`]: what is wrong with the reply; the question stands.
    pub fn answer(&mut self, reply: &Reply) -> Result<Vec<Feedback>, Refusal> {
        let Some(question) = self.walked(false).next else {
            return no("there is no open question");
        };
        match reply {
            Reply::Why | Reply::Pause | Reply::Take | Reply::Look | Reply::Words(_) => Ok(Vec::new()),
            Reply::Row(_) | Reply::ByRows(_) => no("no plates are measured here"),
            Reply::Show | Reply::Fix(_) | Reply::Who(_) | Reply::BackBy(_) => {
                no("that is for builds; !back goes one question back")
            }
            Reply::Skip(_) => no("nothing is skipped here; where a key may be left out, none does it"),
            Reply::Note(text) => {
                self.notes.push((question.slot, plain_text(text)?));
                Ok(said(Tone::Plain, "written as a comment above this key"))
            }
            Reply::Back => {
                let Some((slot, given)) = self.answers.pop() else {
                    return no("there is nothing to go back to");
                };
                self.earlier.insert(slot, given.typed);
                Ok(Vec::new())
            }
            Reply::Answer(text) => self.take(question, text),
        }
    }

    fn take(&mut self, question: Question, text: &str) -> Result<Vec<Feedback>, Refusal> {
        let text = text.trim();
        let text = match self.earlier.get(&question.slot) {
            Some(typed) if text.is_empty() || text == KEPT => typed.clone(),
            _ => text.to_string(),
        };
        let mut open = self.odd.take();
        let taken = surely(
            &mut open,
            &question.slot,
            &text,
            |text| {
                let (value, odd) = read(&question, text, self.units)?;
                let mut after = self.clone();
                let typed = text.to_string();
                after
                    .answers
                    .push((question.slot.clone(), Given { typed, value }));
                match after.new_fault(self) {
                    Some(fault) => no(fault),
                    None => Ok((after, odd)),
                }
            },
            |(_, odd)| odd.clone().map(|words| (words, None)),
        );
        self.odd = open;
        let ((mut after, _), _) = taken?;
        after.earlier.remove(&question.slot);
        *self = after;
        Ok(if self.ask().is_none() {
            self.last_words()
        } else {
            Vec::new()
        })
    }

    /// What the reader of unit files finds wrong now that it did not before; what is only missing yet is not wrong.
    fn new_fault(&self, before: &NewUnit) -> Option<String> {
        let faults = |unit: &NewUnit| match Unit::read("unit", &unit.text()) {
            Ok(_) => Vec::new(),
            Err(faults) => faults.faults,
        };
        let known: HashSet<String> = faults(before).into_iter().map(|fault| fault.message).collect();
        let whole = self.walked(false).next.is_none();
        faults(self)
            .into_iter()
            .filter(|fault| whole || fault.rule != "missing-key")
            .map(|fault| fault.message)
            .find(|fault| !known.contains(fault))
    }

    /// The file as far as it is answered.
    pub fn text(&self) -> String {
        let walked = self.walked(false);
        unit_text(&walked.lines, &walked.notes_left)
    }

    /// The unit, read back from the text by the reader of unit files.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn unit(&self, file: &str) -> Result<Unit, Faults> {
        Unit::read(file, &self.text())
    }

    /// The id, once it is answered.
    pub fn id(&self) -> Option<&str> {
        self.answers.first().map(|(_, given)| given.typed.as_str())
    }

    /// Questions and answers so far, as they were typed and in their order: given again to a new one they lead here.
    pub fn given(&self) -> Vec<(Slot, Reply)> {
        let mut all = Vec::new();
        for (slot, given) in &self.answers {
            let notes = self.notes.iter().filter(|(at, _)| at == slot);
            all.extend(notes.map(|(at, text)| (at.clone(), Reply::Note(text.clone()))));
            all.push((slot.clone(), Reply::Answer(given.typed.clone())));
        }
        all
    }

    /// How the parts add up as new: a slip in a depth or a height shows here.
    fn last_words(&self) -> Vec<Feedback> {
        let Ok(unit) = self.unit("unit") else {
            return Vec::new();
        };
        let side = |n: usize| -> Length {
            let plates = unit.packs[n].order.iter().filter_map(|name| unit.plate(name));
            unit.rings[n]
                + plates.map(|plate| plate.nominal).sum::<Length>()
                + unit.packs[n].shims.iter().copied().sum::<Length>()
        };
        let chains: Vec<(&str, Length, i64)> = match unit.depth {
            Depth::Through(depth) => {
                let springs = unit.spring.as_ref().map_or(1, |spring| match spring.place {
                    SpringPlace::BehindPack => 2,
                    SpringPlace::BetweenRings => 1,
                });
                vec![("", depth - side(0) - side(1), springs)]
            }
            Depth::PerSide([left, right]) => {
                vec![("left: ", left - side(0), 1), ("right: ", right - side(1), 1)]
            }
        };
        let mut said = Vec::new();
        for (which, rest, springs) in chains {
            let each = Length::from_nm(rest.nm() / springs);
            let (words, good) = match (&unit.spring, unit.aim) {
                (Some(spring), Aim::Preload { least, most, .. }) => {
                    let force = spring.stack.force_at_height(each).ok();
                    let good = force.is_some_and(|force| least <= force && force <= most);
                    let gives = force.map_or("which it can not have".to_string(), |force| {
                        format!("which gives {force}")
                    });
                    (
                        format!(
                            "{which}with new plates and these shims a spring is left {}, {gives}; wanted {least} to {most}",
                            each.show(self.units)
                        ),
                        good,
                    )
                }
                (_, Aim::Gap { least, most, .. }) => (
                    format!(
                        "{which}with new plates and these shims the gap is {}; wanted {} to {}",
                        each.show(self.units),
                        least.show(self.units),
                        most.show(self.units)
                    ),
                    least <= each && each <= most,
                ),
                _ => continue,
            };
            let more = if good {
                ""
            } else {
                ". If that is not what is meant, look at depth, rings, thicknesses and shims"
            };
            said.push(Feedback {
                tone: if good { Tone::Good } else { Tone::Doubt },
                words: format!("{words}{more}"),
            });
        }
        said
    }
}

/// The word that keeps an earlier answer in answers files from when no empty line did.
const KEPT: &str = "same";

fn said(tone: Tone, words: &str) -> Vec<Feedback> {
    vec![Feedback {
        tone,
        words: words.to_string(),
    }]
}

type Accepted = (Value, Option<String>);

fn read(question: &Question, text: &str, units: Units) -> Result<Accepted, Refusal> {
    if question.optional && text.eq_ignore_ascii_case("none") {
        return Ok((Value::None, None));
    }
    let plain = |value| Ok((value, None));
    match &question.wants {
        Wants::Text => plain(Value::Text(plain_text(text)?)),
        Wants::Word(words) => match words.iter().find(|(key, _)| key.eq_ignore_ascii_case(text)) {
            Some((key, _)) => plain(Value::Text((*key).to_string())),
            None => {
                let keys: Vec<&str> = words.iter().map(|(key, _)| *key).collect();
                no(format!("\"{text}\" is none of these: {}", keys.join(", ")))
            }
        },
        Wants::YesNo => match text.to_lowercase().as_str() {
            "y" | "yes" => plain(Value::Yes(true)),
            "n" | "no" => plain(Value::Yes(false)),
            _ => no("yes or no is wanted"),
        },
        Wants::Count => match text.parse::<u32>() {
            Ok(count) => plain(Value::Number(count.to_string())),
            Err(_) => no(format!("\"{text}\" is no whole number")),
        },
        Wants::Names | Wants::Marks(_) => {
            let names = text.split(|c: char| c.is_whitespace() || c == ',');
            let names: Vec<String> = names
                .filter(|name| !name.is_empty())
                .map(str::to_string)
                .collect();
            if names.is_empty() {
                return no("names are wanted, with spaces between");
            }
            if let Some((_, name)) = names
                .iter()
                .enumerate()
                .find(|(n, name)| *name != NONE && names[..*n].contains(name))
            {
                return no(format!("{name} is named twice"));
            }
            if let Wants::Marks(count) = question.wants
                && names.len() != count
            {
                let marks = names.len();
                return no(format!(
                    "{marks} marks for {count} plates; one for each is wanted, {NONE} for one without"
                ));
            }
            plain(Value::Texts(names))
        }
        Wants::Lengths if text.eq_ignore_ascii_case("none") => plain(Value::Texts(Vec::new())),
        Wants::Lengths => plain(Value::Texts(list::<Length>(text, units)?)),
        Wants::Torques => plain(Value::Texts(list::<Torque>(text, units)?)),
        Wants::Forces => plain(Value::Texts(list::<Force>(text, units)?)),
        Wants::Counts => {
            let words = text.split(|c: char| c.is_whitespace() || c == ',');
            let counts: Result<Vec<String>, Refusal> = words
                .filter(|word| !word.is_empty())
                .map(|word| match word.parse::<u32>() {
                    Ok(count) => Ok(count.to_string()),
                    Err(_) => no(format!("\"{word}\" is no whole number")),
                })
                .collect();
            plain(Value::Numbers(counts?))
        }
        Wants::Quantity(dimension, usual) => quantity(*dimension, *usual, text, units),
    }
}

fn list<Q: Quantity>(text: &str, units: Units) -> Result<Vec<String>, Refusal> {
    let words: Vec<&str> = text.split_whitespace().collect();
    with_their_units(&words)
        .iter()
        .map(|one| parsed::<Q>(one, units).map(|(_, written)| written))
        .collect()
}

/// A quantity with its unit, and what makes it odd. Its limits are the reader's.
fn quantity(dimension: Dimension, usual: [f64; 2], text: &str, units: Units) -> Result<Accepted, Refusal> {
    let (written, size) = match dimension {
        Dimension::Length => parsed::<Length>(text, units).map(|(v, written)| (written, v.mm()))?,
        Dimension::Force => parsed::<Force>(text, units).map(|(v, written)| (written, v.newtons()))?,
        Dimension::Torque => {
            parsed::<Torque>(text, units).map(|(v, written)| (written, v.newton_metres()))?
        }
        Dimension::Volume => parsed::<Volume>(text, units).map(|(v, written)| (written, v.litres()))?,
        Dimension::Angle => parsed::<Angle>(text, units).map(|(v, written)| (written, v.degrees()))?,
        Dimension::SpringRate => {
            parsed::<SpringRate>(text, units).map(|(v, written)| (written, v.newtons_per_mm()))?
        }
        Dimension::RampAngle => match parse::<RampAngle>(text) {
            Ok(angle) => (text.to_string(), angle.degrees_from_ring_face()),
            Err(error) => return no(error.to_string()),
        },
        _ => match parse::<Ratio>(text) {
            // a plain number stands bare in the file
            Ok(ratio) => {
                let words = odd(ratio.value(), usual, &ratio.value().to_string());
                return Ok((Value::Number(format!("{:?}", ratio.value())), words));
            }
            Err(error) => return no(error.to_string()),
        },
    };
    let words = odd(size, usual, &written);
    Ok((Value::Text(written), words))
}

fn odd(size: f64, [least, most]: [f64; 2], written: &str) -> Option<String> {
    (!(least..=most).contains(&size)).then(|| {
        let way = if size < least { "less" } else { "more" };
        format!("{written} is {way} than such a unit usually has: is the unit of measure right?")
    })
}
