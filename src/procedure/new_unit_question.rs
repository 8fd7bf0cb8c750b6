//! A question of a new unit's file: what it wants, and what its answer was taken for.

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
}

/// What a question of a unit's file wants.
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
}

/// A question of a unit's file.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Question {
    pub slot: Slot,
    pub stage: &'static str,
    pub wants: Wants,
    pub words: &'static str,
    pub why: &'static str,
    pub example: &'static str,
    pub optional: bool,
}
