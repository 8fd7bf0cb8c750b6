//! The exact choice of plates and shims, with its alternatives.
//!
//! Every plate has been measured; the unit has a room that plates and shims must fill until the right closing (gap or
//! installed spring height) is left. [`choose`] finds the best split of plates and shims over the two sides and the
//! next best ones, or says by how much nothing fits and what to get. [`evaluate`] weighs a pick made by hand.
//!
//! The answer is exact and does not depend on the order of the input, on chance or on time. All thicknesses are put on
//! their greatest common step (1 µm for a micrometer screw, 2 540 nm for one in 0.0001 in). Plates of one keying are cut
//! into clusters of near thickness, so that plates of several nominals cost no more than those of one: what a number of
//! plates left and right from a cluster can make is kept as bits of a plane, left height against the height of both
//! sides; what the clusters make together is kept for each neighbourhood of heights and built when it is looked at. One
//! look then tells whether friction plates, case plates and shims make any height of a whole region. A problem that
//! would not fit in memory is refused with its size before it is begun: thicknesses to the nanometre, which no workshop
//! measures, are the usual reason, and whole micrometres the cure.
//!
//! What counts as *another* choice: other thicknesses on a side. Two plates of the same keying and thickness are the
//! same to the unit, so changing one for the other is not another choice; nor is changing the two sides over where
//! they are alike (same room, window, needs, and no plate fixed to a side).
//!
//! The order of the choices is by [`First`], and where all of that is equal by a fixed order: fewest shims on the
//! left, lowest shims on the left, on the right, lowest plates on the left, on the right, thickest shims on the left,
//! on the right, fewest new friction plates, fewest that change side where that counts, lowest friction plates on both
//! sides, on the left, and last, from the thickest friction plate and then the thickest case plate down, the choice that
//! has more of that thickness on the left, then on the right. Of plates with the same thickness used ones go in before
//! new ones, by name, left first; where it counts which plates change side, those that ran on a side before all others.
//!
//! A new wish for the order is a [`First`], weighed in `ranking` (and held against the slow search of `tests/choice`); a new
//! condition is a field of [`Request`], checked in `check` and built into `problem`.

mod check;
mod choose;
mod classes;
mod clusters;
mod error;
mod evaluate;
mod groups;
mod miss;
mod naming;
mod pair_sweep;
mod pairs;
mod planes;
mod problem;
mod ranking;
mod request;
mod shims;
mod stacks;
mod sweep;
mod twins;

pub use choose::choose;
pub use error::ChoiceError;
pub use evaluate::{Fault, evaluate};
pub use miss::STANDARD_SHIMS;
pub use request::{
    Candidate, Choice, First, Layout, Miss, Need, Order, Outcome, Request, ShimSize, SideChoice, Window,
};
pub use twins::twins;
