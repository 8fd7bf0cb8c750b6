//! What is written down: unit, drawer, instruments, readings, the build. Reading and writing of TOML and JSON lives
//! only here.

mod build;
mod build_report;
mod entry;
mod examined;
mod finding;
mod form;
mod formats;
mod lines;
mod paper_text;
mod practised;
mod procedure_told;
mod selection;
mod statement;

pub use build::{
    Asked, AskedRow, BoltLine, BreakawayLine, Build, CautionLine, ClosingLine, Copied, Curve, Figure,
    Followed, FoundAndLeft, Layer, LayerKind, OnPaper, Pack, PlateLine, Preload, ProofRound, Remark,
    Signature, Simulated, SinceLast,
};
pub use entry::{Chosen, ChosenSide, Entry, EntryError, MODEL, MadeFrom, Slot, UnitsName, Value};
pub use examined::{Examined, Stored};
pub use finding::{Certainty, Finding, SealLine};
pub use form::{Fill, Form, FormBox, FormColumn, FormPart, FormRow, FormStage, FormTable, OpenRows};
pub use formats::{
    ACCOUNT, ANSWERS_AS_JSON, CLOSING, ENTRY_KINDS, FORMATS, Format, INDEX, JOURNAL_LINE, PAPER_CODE, SEAL,
};
pub use lines::Lines;
pub use paper_text::{OffPaper, PaperError, PaperText};
pub use practised::Practised;
pub use procedure_told::{ProcedureTold, StageTold, StepTold};
pub use selection::{MissingPart, Selected, SelectedSide, Selection};
pub use statement::{NAMESPACE, SignError, Statement, StatementError, check_name, seal_files, seal_number};
