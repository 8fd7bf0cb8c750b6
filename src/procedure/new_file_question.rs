//! A question of a file that is made by questions: what it wants, and what its answer was taken for.

use crate::quantity::Dimension;
use crate::record::Slot;

/// What stands for a plate without a mark.
pub(super) const NONE: &str = "-";

/// An answer: as it was typed, and what it was taken for.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Given {
    pub typed: String,
    pub value: Value,
}

/// What an answer was taken for.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Value {
    Text(String),
    Number(String),
    Texts(Vec<String>),
    Numbers(Vec<String>),
    Yes(bool),
    /// An optional key that is left out.
    None,
    /// Torques of an engine, each with the revolutions in a minute at which it gives them, rising; a single one may have none.
    Points(Vec<(String, Option<u32>)>),
    /// Pairs of ramps, drive and coast, as they stand in a file.
    Pairs(Vec<[String; 2]>),
    /// Nobody knows: the question's estimate stands in.
    NotKnown,
}

/// What a question wants.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Wants {
    Text,
    Word(&'static [(&'static str, &'static str)]),
    YesNo,
    Count,
    Names,
    /// So many names, with [`NONE`] where there is none.
    Marks(usize),
    /// A quantity, and between what it usually is, in mm, N, N·m, N/mm, litres or bare (*common practice, no source*).
    Quantity(Dimension, [f64; 2]),
    Lengths,
    Torques,
    Forces,
    Counts,
    /// Ratios of gears, falling.
    Ratios,
    /// A weight on an axle, or its share of the car's.
    AxleWeight,
    /// The radius of a tyre, or its size as on the sidewall.
    Tyre,
    /// Pairs of ramps, with the datum once behind them.
    RampPairs,
    /// Torque, torque at speeds, power at speeds.
    Engine,
}

/// A question.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Question {
    pub slot: Slot,
    pub stage: &'static str,
    pub wants: Wants,
    pub words: &'static str,
    pub why: &'static str,
    pub example: &'static str,
    pub optional: bool,
    /// What is taken where nobody knows; `None` where somebody has to.
    pub guess: Option<Value>,
}

impl Value {
    /// In words, as an estimate is told before it is taken.
    pub fn words(&self) -> String {
        match self {
            Value::Text(text) | Value::Number(text) => text.clone(),
            Value::Texts(texts) | Value::Numbers(texts) => texts.join(" "),
            Value::Yes(yes) => if *yes { "yes" } else { "no" }.to_string(),
            Value::Points(points) => {
                let torques: Vec<&str> = points.iter().map(|(torque, _)| torque.as_str()).collect();
                torques.join(", ")
            }
            Value::Pairs(pairs) => {
                let pairs: Vec<String> = pairs.iter().map(|pair| pair.join("/")).collect();
                pairs.join(" ")
            }
            Value::None | Value::NotKnown => "nothing".to_string(),
        }
    }
}
