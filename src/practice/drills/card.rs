//! A card, and how an answer to it is judged.

use crate::procedure::{AnswerOption, Ask, Expects, StepKind, Why};
use crate::quantity::{Force, Length, Quantity, QuantityError, Torque, parse_bare};
use crate::record::Slot;
use crate::record::phrase::Spoken;

use super::drill::Drill;

/// One card of a drill.
#[derive(Clone, PartialEq, Debug)]
pub struct Card {
    /// What it drills, in one word, such as `burnt`.
    pub topic: &'static str,
    /// What is told, a paragraph an element.
    pub words: Vec<String>,
    /// What is drawn, in lines of text.
    pub drawing: Vec<String>,
    /// The question.
    pub prompt: String,
    /// What is wanted, and what is right.
    pub wanted: Wanted,
    /// Why that is right, with the numbers put in, a line an element.
    pub reason: Vec<String>,
    /// Wrong answers that are often given, each with how one comes to it: the value as [`Wanted::Number`] has it.
    pub slips: Vec<(f64, String)>,
}

/// What a card wants.
#[derive(Clone, PartialEq, Debug)]
pub enum Wanted {
    /// One of some words.
    One {
        /// All that may be typed.
        options: Vec<AnswerOption>,
        /// The right one.
        right: String,
    },
    /// A number.
    Number {
        /// Of what.
        kind: Kind,
        /// The unit of a bare number; empty for a count.
        unit: &'static str,
        /// What is right, in `mm`, `N·m`, `N` or pieces.
        right: f64,
        /// How far from it is right too.
        near: f64,
        /// What is right as it is told.
        shown: String,
        /// A number that could be typed, to show how it is written.
        example: &'static str,
    },
}

/// What a number is of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Millimetres.
    Length,
    /// Newton metres.
    Torque,
    /// Newtons.
    Force,
    /// Pieces.
    Count,
}

/// What an answer came to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Judged {
    /// Whether it is right.
    pub right: bool,
    /// The answer as it was taken.
    pub answered: String,
    /// The verdict, with what is right.
    pub verdict: String,
    /// Why, a line an element.
    pub reason: Vec<String>,
}

/// Rounding of what is worked out, not of what is measured.
const HAIR: f64 = 1e-9;

impl Card {
    /// All that is told and drawn before the answer.
    pub fn text(&self) -> String {
        let mut text = self.words.join("\n");
        for line in self.drawing.iter().chain([&self.prompt]) {
            text.push('\n');
            text.push_str(line);
        }
        text
    }

    /// Whether the number that is wanted stands in the card.
    pub(super) fn gives_itself_away(&self) -> bool {
        let Wanted::Number { right, near, .. } = &self.wanted else {
            return false;
        };
        let text = self.text();
        let numbers = text.split(|c: char| !(c.is_ascii_digit() || c == '.'));
        let mut numbers = numbers.filter_map(|number| number.trim_matches('.').parse::<f64>().ok());
        numbers.any(|number| (number - right.abs()).abs() <= near + HAIR)
    }

    /// The card as a question; `number` counts from 1.
    pub fn ask(&self, drill: Drill, number: usize, of: usize) -> Ask {
        let expects = match &self.wanted {
            Wanted::One { options, .. } => Expects::OneOf(options.clone()),
            Wanted::Number {
                kind: Kind::Count, ..
            } => Expects::Line {
                wanted: "a whole number".to_string(),
            },
            Wanted::Number { unit, example, .. } => Expects::Quantity {
                unit,
                example: (*example).to_string(),
            },
        };
        Ask {
            slot: Slot {
                round: 1,
                step: drill.word().to_string(),
                item: Some(number.to_string()),
                point: None,
            },
            number,
            of,
            stage: format!("PRACTICE · Drill: {}", drill.word()),
            kind: StepKind::Look,
            words: self.words.clone(),
            tools: Vec::new(),
            limits: Vec::new(),
            table: None,
            drawing: self.drawing.clone(),
            prompt: self.prompt.clone(),
            expects,
            before: None,
            guarded: false,
            why: Why {
                reason: drill.why().to_string(),
                formula: Vec::new(),
            },
            may_skip: false,
            later: false,
            again: false,
            alone: true,
            practice: false,
            rail: None,
            terms: Vec::new(),
            spoken: Spoken::default(),
        }
    }

    /// What is right, as it is told.
    pub fn right(&self) -> &str {
        match &self.wanted {
            Wanted::One { right, .. } => right,
            Wanted::Number { shown, .. } => shown,
        }
    }

    /// Judges an answer as it was typed.
    ///
    /// # Errors
    ///
    /// In words, what is wanted: an answer that can not be taken is neither right nor wrong.
    pub fn judge(&self, typed: &str) -> Result<Judged, String> {
        let typed = typed.trim();
        let (right, slip) = match &self.wanted {
            Wanted::One { options, right } => {
                let Some(key) = key_of(options, typed) else {
                    let keys: Vec<&str> = options.iter().map(|option| option.key.as_str()).collect();
                    return Err(format!("one of these is wanted: {}", keys.join(", ")));
                };
                (key == right, None)
            }
            Wanted::Number {
                kind,
                unit,
                right,
                near,
                ..
            } => {
                // nothing at all is an answer, too, and mostly a wrong one
                let can_be = |value: f64| value == 0.0 || (right / FAR..=right * FAR).contains(&value);
                let value = value(*kind, unit, typed, can_be)?;
                if *kind != Kind::Count && !can_be(value) {
                    return Err(format!("{typed} is far from anything that it can be; look again"));
                }
                let places = fineness(*near);
                if *kind == Kind::Length && decimals(typed) < places {
                    let finest = 0.1_f64.powi(places as i32);
                    return Err(format!(
                        "it is wanted to {finest:.places$} {unit}, with all its decimals"
                    ));
                }
                let is = |wanted: f64| (value - wanted).abs() <= near + HAIR;
                let slip = self.slips.iter().find(|(wrong, _)| is(*wrong));
                (is(*right), slip.map(|(_, words)| words))
            }
        };
        let is = self.right();
        let verdict = match (right, slip) {
            (true, _) => format!("Right: {is}."),
            (false, Some(slip)) => format!("Wrong: it is {is}. {slip}"),
            (false, None) => format!("Wrong: it is {is}."),
        };
        Ok(Judged {
            right,
            answered: typed.to_string(),
            verdict,
            reason: self.reason.clone(),
        })
    }
}

/// How many times more or less than what is right is a slip of typing and no answer.
const FAR: f64 = 20.0;

/// The key that is meant: as it stands, with a decimal comma or its unit, two names with a space between.
fn key_of<'a>(options: &'a [AnswerOption], typed: &str) -> Option<&'a str> {
    let word = typed.to_lowercase();
    let joined = word.split_whitespace().collect::<Vec<_>>().join("-");
    let of = |text: &str| read::<Length>(text, "mm", Length::mm, |_| true).ok();
    let length = of(typed);
    let means = |option: &&AnswerOption| {
        option.key == word
            || option.key == joined
            || (length.is_some() && option.key.parse::<f64>().is_ok() && length == of(&option.key))
    };
    options.iter().find(means).map(|option| option.key.as_str())
}

/// How many decimals a number is typed with.
fn decimals(typed: &str) -> usize {
    let behind = typed.split_once(['.', ',']).map_or("", |(_, behind)| behind);
    behind.chars().take_while(char::is_ascii_digit).count()
}

/// With how many decimals of a millimetre a length has to be typed that is right within so much.
fn fineness(near_mm: f64) -> usize {
    (1..=3)
        .find(|places| 0.5 * 0.1_f64.powi(*places) <= 1.3 * near_mm)
        .unwrap_or(3) as usize
}

/// Reads a quantity. A comma that may be a decimal sign or part thousands is read as what can be here, where only one of both
/// can.
fn read<Q: Quantity>(
    typed: &str,
    unit: &str,
    of: impl Fn(Q) -> f64,
    can_be: impl Fn(f64) -> bool,
) -> Result<Q, String> {
    let worth = |text: &str| parse_bare::<Q>(text, unit).map(|written| written.value());
    let both = match worth(typed) {
        Err(QuantityError::AmbiguousComma {
            decimal, thousands, ..
        }) => [decimal, thousands],
        read => return read.map_err(|error| error.to_string()),
    };
    let fitting = both
        .each_ref()
        .map(|text| worth(text).ok().filter(|value| can_be(of(*value))));
    match fitting {
        [Some(one), None] | [None, Some(one)] => Ok(one),
        _ => worth(typed).map_err(|error| error.to_string()),
    }
}

fn value(kind: Kind, unit: &str, typed: &str, can_be: impl Fn(f64) -> bool) -> Result<f64, String> {
    fn of_unit<Q: Quantity>(
        typed: &str,
        unit: &str,
        of: impl Fn(Q) -> f64,
        can_be: impl Fn(f64) -> bool,
    ) -> Result<f64, String> {
        let value = of(read(typed, unit, &of, can_be)?);
        // the unit that is asked for, however it is spelled: who types the card's own one has converted nothing
        let number = |c: char| c.is_ascii_digit() || ".,+-\u{2212}' /".contains(c);
        let typed_unit = typed.trim_start_matches(number);
        let one = |unit_of_it: &str| read(&format!("1 {unit_of_it}"), unit, &of, |_| true).map(&of);
        match typed_unit.is_empty() || one(typed_unit)?.total_cmp(&one(unit)?).is_eq() {
            true => Ok(value),
            false => Err(format!("it is wanted in {unit}")),
        }
    }
    match kind {
        Kind::Length => of_unit(typed, unit, Length::mm, can_be),
        Kind::Torque => of_unit(typed, unit, Torque::newton_metres, can_be),
        Kind::Force => of_unit(typed, unit, Force::newtons, can_be),
        Kind::Count => {
            let count = typed.replace(',', ".").parse::<f64>().ok();
            let whole = count.filter(|count| *count >= 0.0 && count.fract().abs() < HAIR);
            whole.ok_or_else(|| "a whole number is wanted".to_string())
        }
    }
}
