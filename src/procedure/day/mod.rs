//! A drive day by questions: a pure state machine over the entries of its journal, as a session of a build is.
//!
//! `answers` has what was answered, `questions` what may be asked, a row a question, and holds a procedure to it; `reads` takes what was typed for a value;
//! `session` walks the steps of the procedure, day, runs and end, and `whole` sums up what was answered.
//!
//! A new question of a day: its row in `questions`, its step in the procedure, and what it fills in in `whole`.

mod answers;
mod questions;
mod reads;
mod session;
mod whole;
mod words;

pub use answers::{DayJob, Drivable};
pub(super) use questions::{check_day, check_day_step};
pub use session::DaySession;
