//! Procedures and the engine: a pure state machine whose state is the fold of its entries.
//!
//! A [`Procedure`] is stages of steps, read by `from_file` and held to what it must keep to by `check`; a [`Job`] is one with
//! the unit, drawer and instruments that it is done on. A [`Session`] asks ([`Session::ask`] gives an [`Ask`]), takes what was
//! typed for a value ([`Session::answer`] gives entries, or a [`Refusal`]), and takes entries in ([`Session::apply`]). It writes
//! nothing and reads no clock: the time comes in with the answer, and opening a build again is the same fold over the same
//! entries.
//!
//! In the order of reading: `definition`, `field` with `row` and `rows` (all that is known of a question stands in one row),
//! `state` (what has been answered), `derived` (what follows, worked out anew whenever it is wanted), `plan` and `question` (what
//! is asked next), `answer` and `reads` (what is made of what was typed), and `whole` with `build`, `summary`, `account` and
//! `on_paper` (what it all comes to, for the sheet, the years and the code).
//!
//! A new question: its name in `field` and its row in `rows`, in the file of its subject. A new stock procedure: its file in
//! `procedures/`, and a row of `stock`.

mod account;
mod all_line;
mod amend;
mod answer;
mod ask;
mod at_work;
mod build;
mod build_words;
mod check;
mod choice_table;
mod choosing;
mod correct;
mod day;
mod definition;
mod derived;
mod feedback;
mod field;
mod figures;
mod form;
mod from_file;
mod glance;
mod in_hand;
mod job;
mod judged_plate;
mod laying;
mod left;
mod library;
mod lock_bands;
mod looks;
mod manual_choice;
mod measured;
mod new_car_keys;
mod new_closed_keys;
mod new_file;
mod new_file_question;
mod new_file_reads;
mod new_file_walk;
mod new_unit_keys;
mod on_paper;
mod one_line;
mod optional;
mod picture;
mod plan;
mod press;
mod proof;
mod question;
mod rail;
mod rail_accepted;
mod rail_line;
mod reached;
mod read_elsewhere;
mod reading_mode;
mod reads;
mod request;
mod review;
mod rounding;
mod row;
mod rows;
mod section;
mod select;
mod session;
mod shown;
mod slips;
mod spoken_answer;
mod spread;
mod state;
mod step_file;
mod stock;
mod summary;
mod tightening;
mod translated;
mod typed;
mod waiting;
mod warm;
mod whole;

pub use ask::{
    AnswerOption, Ask, Expects, Feedback, Rail, RailRow, Refusal, Reply, StepKind, Table, Tone, Why,
};
pub use correct::Correction;
pub use day::{DayJob, DaySession, Drivable};
pub use definition::{Buried, Condition, Each, Guard, Hazard, Kind, Plain, Procedure, Stage, Step};
pub use field::Field;
pub use form::{form, short_name};
pub use job::Job;
pub use lock_bands::lock_band;
pub use looks::LOOKS as PLATE_LOOKS;
pub use new_file::{Described, NewFile};
pub use optional::LEFT_EMPTY;
pub use read_elsewhere::{judged_elsewhere, shape_elsewhere};
pub use reading_mode::way_of_reading;
pub use request::Preferences;
pub use row::{Measurand, Sight};
pub use select::first_named;
pub use session::{Accepted, Session};
pub use stock::{
    DRIVE_DAY, STOCK, Stock, drive_day_in, practice_rebuild, practice_rebuild_in, read_stock, stock, stock_in,
};
pub use translated::held_rows;
pub use typed::SURE;
