//! Why nothing was chosen.

use crate::mechanics::{Keying, Side};
use crate::quantity::Length;

/// Why a request can not be answered.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum ChoiceError {
    /// Neither side needs a plate.
    #[error("no plates are needed on either side: there is nothing to choose")]
    NothingNeeded,
    /// There are fewer plates than the unit takes.
    #[error("{needed} {keying}s are needed but there are only {have}: {} short", needed - have)]
    TooFew {
        /// Which plates.
        keying: Keying,
        /// How many the unit takes on both sides.
        needed: usize,
        /// How many there are.
        have: usize,
    },
    /// Where every plate keeps to its side there are fewer than the unit takes.
    #[error(
        "where every plate keeps to its side, {needed} {keying}s more are needed but only {have} ran on no side"
    )]
    TooFewInPlace {
        /// Which plates.
        keying: Keying,
        /// How many the sides lack beside those that ran there.
        needed: usize,
        /// How many may go in on either side.
        have: usize,
    },
    /// More plates are fixed to a side than it takes.
    #[error("{fixed} {keying}s are fixed to the {side} side but it takes {needed}")]
    TooManyFixed {
        /// Which plates.
        keying: Keying,
        /// The side.
        side: Side,
        /// How many are fixed to it.
        fixed: usize,
        /// How many it takes.
        needed: usize,
    },
    /// The window's ends or its target are in the wrong order.
    #[error("the window goes from {least} by {target} to {most} but must rise")]
    WindowUpsideDown {
        /// The least closing.
        least: Length,
        /// The target.
        target: Length,
        /// The greatest closing.
        most: Length,
    },
    /// Two plates have the same name.
    #[error("two plates are named {name:?} but each needs its own name")]
    DuplicateName {
        /// The name.
        name: String,
    },
    /// A thickness that no part has.
    #[error(
        "the thickness of {what} is {thickness} but must be above 0 and at most {}",
        Length::MOST
    )]
    Thickness {
        /// The plate or shim.
        what: String,
        /// Its thickness.
        thickness: Length,
    },
    /// A length of the request that is out of reach.
    #[error("{what} is {length} but must be from {least} to {}", Length::MOST)]
    OutOfRange {
        /// Which length.
        what: &'static str,
        /// Its value.
        length: Length,
        /// The least that it may be.
        least: Length,
    },
    /// The uncertainty is negative or not a number.
    #[error("the uncertainty is {0} µm but must be 0 or more and finite")]
    Uncertainty(f64),
    /// More shims are required than allowed.
    #[error("at least {least} shims a side are required but at most {most} are allowed")]
    ShimLimits {
        /// The required number.
        least: u32,
        /// The allowed number.
        most: u32,
    },
    /// The drawer has fewer shims than both sides must have.
    #[error("at least {needed} shims are required on both sides but the drawer has {have}")]
    TooFewShims {
        /// The required number.
        needed: u64,
        /// The number in the drawer.
        have: u64,
    },
    /// The problem would not fit in the memory that it may have.
    #[error("{what} would take {needed} points on a common step of {step} but at most {most} are allowed")]
    TooLarge {
        /// Which part of the problem.
        what: &'static str,
        /// The points that it would take.
        needed: u64,
        /// The points that are allowed.
        most: u64,
        /// The greatest common step of the thicknesses.
        step: Length,
    },
    /// A pick names a plate that is not among the candidates of its keying.
    #[error("there is no {keying} named {name:?} to choose from")]
    UnknownPlate {
        /// The list that it stands in.
        keying: Keying,
        /// Its name.
        name: String,
    },
}
