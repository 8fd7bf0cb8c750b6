//! Practice: a made-up unit with hidden faults, which answers to measurement as a real one does.
//!
//! [`GeneratedUnit`] is drawn from a seed and a level. It has two faces: the files that the apprentice is given (unit, drawer,
//! instruments), and the truth behind them, which he never sees but for what an instrument shows ([`GeneratedUnit::take`]) and
//! what there is to be seen ([`GeneratedUnit::look`]). The work itself is a [`Session`](crate::procedure::Session) like any
//! other. What his answers came to is held against the truth at the end ([`GeneratedUnit::outcome`]).
//!
//! How much a fault shows (that a burnt face holds seven tenths, that a warped plate makes the breakaway come and go by
//! an eighth) is made up for teaching: *common practice, no source*. What follows from it goes through
//! [`mechanics`](crate::mechanics).
//!
//! [`drills`] are cards of half a minute, without a unit behind them.
//!
//! A new fault: its row in `fault`, how it is drawn in `sampled`, what it does to the truth in `truth`, and why it matters in
//! `consequences`.

mod complaint;
mod consequences;
mod debriefed;
mod diagnosed;
pub mod drills;
mod effects;
mod fault;
mod files;
mod generated;
mod given;
mod indication;
mod outcome;
mod progress;
mod sampled;
mod truth;

pub use debriefed::{Debrief, Decoy, FaultTold, Group, Hint};
pub use diagnosed::{Judged, Score};
pub use effects::{Effect, TrueFigures, WithAndWithout};
pub use fault::Fault;
pub use generated::{GeneratedUnit, LEVELS, MakeError};
pub use given::{CAREFUL_HAND, StartAt};
pub use outcome::{Line, Outcome};
pub use progress::{practised_by, progress};
