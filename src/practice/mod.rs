//! Practice: a made-up unit with hidden faults, which answers to measurement as a real one does.
//!
//! [`MadeUp`] is drawn from a seed and a level. It has two faces: the files that the apprentice is given (unit, drawer,
//! instruments), and the truth behind them, which he never sees but for what an instrument shows ([`MadeUp::take`]) and
//! what there is to be seen ([`MadeUp::look`]). The work itself is a [`Session`](crate::procedure::Session) like any
//! other. What his answers came to is held against the truth at the end ([`MadeUp::outcome`]).
//!
//! How much a fault shows (that a burnt face holds seven tenths, that a warped plate makes the breakaway come and go by
//! an eighth) is made up for teaching: *common practice, no source*. What follows from it goes through
//! [`mechanics`](crate::mechanics).
//!
//! A new fault: its row in `fault`, how it is drawn in `drawn`, what it does to the truth in `truth`, and why it matters in
//! `matters`.

mod drawn;
mod fault;
mod files;
mod made;
mod matters;
mod outcome;
mod shown;
mod truth;

pub use fault::Fault;
pub use made::{LEVELS, MadeUp, MakeError, PROCEDURE};
pub use outcome::{Line, Outcome};
