//! A card, and how an answer to it is judged.

use crate::procedure::{AnswerOption, Ask, Expects, StepKind, Why};
use crate::quantity::{Force, Length, Quantity, Torque, parse_bare};
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
                let word = typed.to_lowercase();
                if !options.iter().any(|option| option.key == word) {
                    let keys: Vec<&str> = options.iter().map(|option| option.key.as_str()).collect();
                    return Err(format!("one of these is wanted: {}", keys.join(", ")));
                }
                (word == *right, None)
            }
            Wanted::Number {
                kind,
                unit,
                right,
                near,
                ..
            } => {
                let value = value(*kind, unit, typed)?;
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

fn value(kind: Kind, unit: &str, typed: &str) -> Result<f64, String> {
    fn read<Q: Quantity>(typed: &str, unit: &str, of: impl Fn(Q) -> f64) -> Result<f64, String> {
        let worth = |text: &str| {
            parse_bare::<Q>(text, unit)
                .map(|written| of(written.value()))
                .map_err(|error| error.to_string())
        };
        let value = worth(typed)?;
        // the unit that is asked for, however it is spelled: who types the card's own one has converted nothing
        let number = |c: char| c.is_ascii_digit() || ".,+-\u{2212}' /".contains(c);
        let typed_unit = typed.trim_start_matches(number);
        match typed_unit.is_empty() || worth(&format!("1 {typed_unit}"))?.total_cmp(&worth("1")?).is_eq() {
            true => Ok(value),
            false => Err(format!("it is wanted in {unit}")),
        }
    }
    match kind {
        Kind::Length => read(typed, unit, Length::mm),
        Kind::Torque => read(typed, unit, Torque::newton_metres),
        Kind::Force => read(typed, unit, Force::newtons),
        Kind::Count => typed
            .parse::<u32>()
            .map(f64::from)
            .map_err(|_| "a whole number is wanted".to_string()),
    }
}
