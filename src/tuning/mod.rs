//! From a car and what it is used for to the settings of the lock, ranked, before the unit is opened.
//!
//! [`Course`] puts a car on the moments of a use (`course`) and says what a unit does there (`rated`); [`Settled`] ranks all
//! that the unit offers (`ranking`), with what is in doubt of it (`bands`), and keeps what can be told apart. `proposed` makes
//! the setting that the rebuild aims at, `curves` what is drawn, `settled_json` and `settled_report` tell it; what a driver
//! says stands in `said`, what drivers felt of settings that were driven in `felt`, a unit beside itself in other cars and
//! over a season in `beside`, two units of a car in `together` and `together_report`, what steps change of it in
//! `step_table` and `step_report`.
//!
//! A new want: a variant of `workshop::moment::Want`, its key there, and what it is held against in `course` and `rated`. A
//! new guess: a row in `bands`. A new formula goes into `mechanics`.

mod bands;
mod beside;
mod course;
mod curves;
mod felt;
mod proposed;
mod ranking;
mod rated;
mod said;
mod settled;
mod settled_json;
mod settled_report;
mod step_report;
mod step_table;
mod together;
mod together_report;

pub use bands::{Band, Doubt, Doubts, Guess, MomentBands, Moves, Reach, Worn};
pub use beside::Beside;
pub use course::{Course, CourseError, Others, Shown, Stage, Tried};
pub use curves::{Curves, Pictures};
pub use felt::{Agreement, FeltSetting};
pub use ranking::{Ranked, Ranking};
pub use rated::{Found, Met, MomentResult, Rated};
pub use said::{Complaint, Measure, NotSaid, Phase, by_phase, complaints_listed};
pub use settled::{Cost, Proposal, Settled, differs};
pub use settled_json::state;
pub use settled_report::{Driven, Telling};
pub use step_table::{StepRow, StepTable, Wish};
pub use together::{Pair, Together};
