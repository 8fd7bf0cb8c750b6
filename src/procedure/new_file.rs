//! A file by questions: what a unit's or a car's file needs, asked one by one, checked by the reader of such files itself.

use super::ask::{AnswerOption, Ask, Expects, Feedback, Refusal, Reply, StepKind, Tone, Why};
use super::new_car_keys;
use super::new_closed_keys;
use super::new_file_question::{Given, Question, Wants};
use super::new_file_reads::{NOT_KNOWN, read};
use super::new_file_walk::Walk;
use super::new_unit_keys;
use super::typed::{Odd, no, plain_text, surely};
use crate::mechanics::{Direction, LockModel, SpringPlace, ramp};
use crate::quantity::{Dimension, Length, Units};
use crate::record::Slot;
use crate::record::phrase::Spoken;
use crate::workshop::new_text::{FileLine, FileValue, file_text};
use crate::workshop::{Aim, Car, Depth, FileKind, Unit, UnitFile};
use std::collections::{BTreeMap, HashSet};

/// What is described by questions.
#[derive(Clone, Copy, Default, PartialEq, Eq, Debug)]
pub enum Described {
    /// A unit with all its parts.
    #[default]
    Unit,
    /// A unit that nobody has opened, by a dozen figures.
    ClosedUnit,
    /// A car.
    Car,
}

impl Described {
    /// The kind of its file.
    pub fn file_kind(self) -> FileKind {
        match self {
            Described::Unit | Described::ClosedUnit => FileKind::Unit,
            Described::Car => FileKind::Car,
        }
    }

    /// What is said of the file in its first line.
    fn head(self) -> &'static str {
        match self {
            Described::Unit => {
                "A unit of this shop. All figures come from the maker's manual and from what was measured; comments say which."
            }
            Described::ClosedUnit => {
                "A closed unit, as far as it is known from outside. What nobody knew is an estimate, and stands in \"guessed\"."
            }
            Described::Car => {
                "A car of this shop. What nobody knew is an estimate, and stands in \"guessed\"."
            }
        }
    }
}

/// The questions of a new file, and the answers so far. It knows no files: what was answered is a text, and the reader of
/// such files says whether it is good.
///
/// Each answer is put into the file as far as it goes, and the file is read: what the reader finds wrong that was not
/// wrong before is the refusal. So there is one source of limits.
#[derive(Clone, Default, PartialEq, Debug)]
pub struct NewFile {
    described: Described,
    units: Units,
    answers: Vec<(Slot, Given)>,
    notes: Vec<(Slot, String)>,
    /// The answers that were opened again: each is kept by an empty line.
    earlier: BTreeMap<Slot, String>,
    odd: Option<Odd>,
}

/// Questions that came later: answers and drafts of before lack them, and then they count as answered with no.
const LATER: [&str; 1] = ["case.metal_known"];

fn is_later(slot: &Slot) -> bool {
    LATER.contains(&slot.step.as_str())
}

impl NewFile {
    /// Begins with nothing answered; bare numbers are read in `units`.
    pub fn new(described: Described, units: Units) -> NewFile {
        NewFile {
            described,
            units,
            ..NewFile::default()
        }
    }

    fn walked(&self, ghost: bool) -> Walk<'_> {
        let mut walked = Walk::new(&self.answers, &self.notes, ghost, self.described.file_kind());
        // it stops at the first question that is open
        let _open = match self.described {
            Described::Unit => new_unit_keys::walk(&mut walked),
            Described::ClosedUnit => new_closed_keys::walk(&mut walked),
            Described::Car => new_car_keys::walk(&mut walked),
        };
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
                if question.guess.is_none()
                    && !matches!(dimension, Dimension::Ratio | Dimension::RampAngle) =>
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
            // what is chosen among words needs no example: it is said what it means
            limits.push(match question.wants {
                Wants::Word(_) | Wants::YesNo => example,
                _ => format!("such as {example}"),
            });
        }
        match question.wants {
            Wants::Lengths => limits.push(format!("bare numbers are {}", unit(Dimension::Length))),
            Wants::Torques => limits.push(format!("bare numbers are {}", unit(Dimension::Torque))),
            Wants::Forces => limits.push(format!("bare numbers are {}", unit(Dimension::Force))),
            Wants::AxleWeight => limits.push(format!("bare numbers are {}", unit(Dimension::Mass))),
            Wants::Tyre => limits.push(format!("bare numbers are {}", unit(Dimension::Length))),
            Wants::Engine => limits.push(format!("bare torques are {}", unit(Dimension::Torque))),
            Wants::Quantity(dimension, _) if question.guess.is_some() && dimension != Dimension::Ratio => {
                limits.push(format!("bare numbers are {}", unit(dimension)));
            }
            _ => {}
        }
        if question.optional {
            limits.push("none leaves it out of the file".to_string());
        }
        if let Some(guess) = &question.guess {
            limits.push(format!(
                "{NOT_KNOWN} takes {}, and marks it as a guess",
                guess.words()
            ));
        }
        let later = is_later(&question.slot);
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
            may_skip: later,
            later,
            again: false,
            alone: false,
            practice: false,
            rail: None,
            terms: Vec::new(),
            spoken: Spoken::default(),
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
            Reply::Why | Reply::Pause | Reply::Take | Reply::Look | Reply::Hint | Reply::Words(_) => {
                Ok(Vec::new())
            }
            Reply::Row(_) | Reply::ByRows(_) => no("no plates are measured here"),
            Reply::Show | Reply::Picture | Reply::Fix(_) | Reply::Who(_) | Reply::BackBy(_) => {
                no("that is for builds; !back goes one question back")
            }
            Reply::Skip(_) if is_later(&question.slot) => self.take(question, "no"),
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

    /// What the reader of such files finds wrong now that it did not before; what is only missing yet is not wrong.
    fn new_fault(&self, before: &NewFile) -> Option<String> {
        let kind = self.described.file_kind();
        let faults = |file: &NewFile| kind.faults(kind.word(), &file.text(), |_, _, _| Ok(()));
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
        let Walk {
            mut lines,
            guessed,
            notes_left,
            ..
        } = self.walked(false);
        if !guessed.is_empty() {
            let tables = lines.iter().position(|line| !line.table.is_empty());
            let guessed = FileLine {
                table: "",
                item: String::new(),
                key: "guessed",
                value: FileValue::Texts(guessed),
                comment: self.described.file_kind().says("guessed").unwrap_or(""),
                notes: Vec::new(),
            };
            lines.insert(tables.unwrap_or(lines.len()), guessed);
        }
        file_text(
            self.described.head(),
            self.described.file_kind(),
            &lines,
            &notes_left,
        )
    }

    /// What it is called: the id of a unit, and of a car its name in small letters, digits and dashes; once it is answered.
    pub fn name(&self) -> Option<String> {
        let (_, given) = self.answers.first()?;
        let small = |c: char| {
            if c.is_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        };
        let dashed: String = given.typed.chars().map(small).collect();
        let words: Vec<&str> = dashed.split('-').filter(|word| !word.is_empty()).collect();
        match self.described {
            Described::Unit | Described::ClosedUnit => Some(given.typed.clone()),
            Described::Car if words.is_empty() => Some("car".to_string()),
            Described::Car => Some(words.join("-").chars().take(MOST_OF_A_NAME).collect()),
        }
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

    /// What the figures come to: a slip shows here.
    fn last_words(&self) -> Vec<Feedback> {
        let (text, kind) = (self.text(), self.described.file_kind().word());
        match self.described {
            Described::Unit => Unit::read(kind, &text).map_or_else(
                |_| Vec::new(),
                |unit| {
                    let wedges = super::proof::window_that_wedges(&unit);
                    let wedges = wedges.map(|words| Feedback::new(Tone::Doubt, words));
                    self.parts_add_up(&unit).into_iter().chain(wedges).collect()
                },
            ),
            Described::ClosedUnit => {
                UnitFile::read(kind, &text).map_or_else(|_| Vec::new(), |unit| holds(&unit))
            }
            Described::Car => Car::read(kind, &text).map_or_else(|_| Vec::new(), |car| comes_to(&car)),
        }
    }

    /// How the parts add up as new: a slip in a depth or a height shows here.
    fn parts_add_up(&self, unit: &Unit) -> Vec<Feedback> {
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
                _ if rest < Length::ZERO => (
                    format!(
                        "{which}rings, plates and shims as new are {} more than the depth: the case does not close on them",
                        (Length::ZERO - rest).show(self.units)
                    ),
                    false,
                ),
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

/// The most letters that a file's name has of a car's.
const MOST_OF_A_NAME: usize = 40;

/// What the engine comes to at the case, and what is guessed of the car.
fn comes_to(car: &Car) -> Vec<Feedback> {
    let mut words = Vec::new();
    if let Ok(torque) = car.full_torque() {
        let speed = car
            .at
            .kilometres_an_hour
            .map_or_else(String::new, |speed| format!(", at {speed:.0} km/h"));
        words.push((
            Tone::Plain,
            format!(
                "in gear {}{speed} the engine gives {torque} at the case at full throttle",
                car.at.gear
            ),
        ));
    }
    words.extend(guesses(car.guessed.iter().map(|figure| figure.words())));
    feedback(words)
}

/// What a closed unit locks, and what is guessed of it.
fn holds(unit: &UnitFile) -> Vec<Feedback> {
    let mut words = Vec::new();
    let class = unit
        .lock_setup()
        .map(|setup| ramp::class(setup.drive, setup.coast));
    let model = unit.lock_setup().and_then(LockModel::new);
    if let (Ok(class), Ok(model)) = (class, model) {
        let percent = |direction| 100.0 * model.share(direction).value();
        words.push((
            Tone::Plain,
            format!(
                "{class}: its ramps lock {:.0} % on drive and {:.0} % on coast, its preload holds {} between the wheels",
                percent(Direction::Drive),
                percent(Direction::Coast),
                model.preload_torque()
            ),
        ));
    }
    words.extend(guesses(unit.guessed().iter().map(|figure| figure.words())));
    feedback(words)
}

fn guesses<'w>(words: impl Iterator<Item = &'w str>) -> Option<(Tone, String)> {
    let words: Vec<&str> = words.collect();
    (!words.is_empty()).then(|| {
        let words = format!(
            "guessed, and told as that wherever it counts: {}",
            words.join(", ")
        );
        (Tone::Doubt, words)
    })
}

fn feedback(words: Vec<(Tone, String)>) -> Vec<Feedback> {
    let words = words.into_iter();
    words.map(|(tone, words)| Feedback { tone, words }).collect()
}

/// The word that keeps an earlier answer in answers files from when no empty line did.
const KEPT: &str = "same";

fn said(tone: Tone, words: &str) -> Vec<Feedback> {
    vec![Feedback {
        tone,
        words: words.to_string(),
    }]
}
