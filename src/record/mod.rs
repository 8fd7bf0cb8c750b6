//! What happened: the entries of a journal, the build that they come to, the statement that is signed, and its check.
//!
//! An [`Entry`] is what one line of a journal says; [`Lines`] reads a journal as far as it is known here. `procedure` folds
//! entries into a [`Build`], plain data that `sheet` lays out, and `build_report` is the same for machines. A [`Statement`] is
//! what a person signs of a build; [`SealCheck`] holds seals, files and paper against the record, each finding with how sure it
//! is; [`PaperText`] is what the code on a sheet says. A [`Form`](form::Form) is a procedure as boxes to be filled in by hand.
//!
//! A drive day is a record of another kind, and what it comes to is a [`Day`](driven::Day).
//!
//! The [`log`] of a book has a line for each thing that happens to a build, and papers and seals know how far it was.
//!
//! Every format with a number stands in `formats`, with what each version added.
//!
//! A new stored field: its line in `entry`
//! (absent means as before), and a test with a line that lacks it. A new row of the sheet: its field in `build`.

pub mod book_check;
mod build;
mod build_report;
pub mod diagnosis;
pub mod drilled;
pub mod driven;
mod entry;
mod finding;
pub mod form;
pub mod formats;
pub mod interval;
mod lines;
pub mod lock_bands;
pub mod log;
pub mod log_check;
pub mod log_head;
pub mod log_missing;
pub mod log_rotations;
mod log_settled;
mod off_paper;
mod paper_text;
pub mod phrase;
pub mod practised;
mod procedure_report;
pub mod rotation;
mod rules;
mod seal_check;
mod selection;
mod slot;
mod small_code;
mod statement;
pub mod warm;

pub use build::{
    BoltLine, BreakawayLine, Build, CautionLine, Copied, Curve, Disposition, Figure, Followed, FoundAndLeft,
    GapLine, Glance, Layer, LayerKind, OnPaper, Pack, PlateLine, Preload, ProofRound, Remark, RemarkKind,
    Role, SettingOutcome, SettingOutcomeRow, Signature, Simulated, SinceLast,
};
pub use entry::{Chosen, ChosenSide, Entry, EntryError, GeneratedFrom, MODEL, UnitsName, Value};
pub use finding::{Certainty, Finding, SealLine};
pub use interval::Interval;
pub use lines::Lines;
pub use off_paper::OffPaper;
pub use paper_text::{PaperError, PaperText};
pub use procedure_report::{ProcedureTold, StageTold, StepTold};
pub use rules::Rules;
pub use seal_check::{SealCheck, Stored};
pub use selection::{MissingPart, Selected, SelectedSide, Selection};
pub use slot::Slot;
pub use small_code::SmallCode;
pub use statement::{SignError, Statement, StatementError, seal_files, seal_number};
