//! What is written down: unit, drawer, instruments, readings, the build. Reading and writing of TOML and JSON lives
//! only here.

mod between;
mod brief;
mod build;
mod build_report;
mod entry;
mod examined;
mod export;
mod fading;
mod finding;
mod fleet;
mod form;
mod formats;
mod history;
mod imported;
mod known;
mod lines;
mod outlook;
mod paper_order;
mod paper_records;
mod paper_signs;
mod paper_text;
mod practised;
mod procedure_told;
mod remedies;
mod selection;
mod shelved;
mod shown;
mod statement;
mod tracks;
mod wear;
mod wear_pictures;
mod wear_report;
mod wear_shown;

pub use between::{Between, Change, Judged, Unlike, gone_between};
pub use brief::UnitBrief;
pub use build::{
    Asked, AskedRow, BoltLine, BreakawayLine, Build, CautionLine, ClosingLine, Copied, Curve, Figure,
    Followed, FoundAndLeft, Layer, LayerKind, OnPaper, Pack, PlateLine, Preload, ProofRound, Remark,
    Signature, Simulated, SinceLast,
};
pub use entry::{Chosen, ChosenSide, Entry, EntryError, MODEL, MadeFrom, Slot, UnitsName, Value};
pub use examined::{Examined, Stored};
pub use export::{CellKind, ColumnWords, ExportFormat, ExportTable};
pub use fading::{Fading, Stretch};
pub use finding::{Certainty, Finding, SealLine};
pub use fleet::{Due, DueWhat, Fleet, FleetState, FleetUnit, Forecast, Overdue, UsedInstrument};
pub use form::{Fill, Form, FormBox, FormColumn, FormPart, FormRow, FormStage, FormTable, OpenRows};
pub use formats::{
    ACCOUNT, ANSWERS_AS_JSON, CLOSING, ENTRY_KINDS, FORMATS, Format, INDEX, JOURNAL_LINE, PAPER_CODE, SEAL,
};
pub use history::{
    Account, BreakawayAccount, ClosingAccount, Doubted, InstrumentAccount, PackAccount, Parts, PlateAccount,
    SpringAccount,
};
pub use imported::{Imported, ImportedDay};
pub use lines::Lines;
pub use outlook::Outlook;
pub use paper_order::{odd_among, or_sure};
pub use paper_records::{Cell, PAPER_COLUMNS, PaperRecord, PaperRecords, RowFault};
pub use paper_text::{OffPaper, PaperError, PaperText};
pub use practised::Practised;
pub use procedure_told::{ProcedureTold, StageTold, StepTold};
pub use remedies::{Banded, ByTrend, FAR, Lasts, Reckoned, Remedies, Remedy, Stands, Swap, What};
pub use selection::{MissingPart, Selected, SelectedSide, Selection};
pub use shelved::{Shelved, shelf_summary};
pub use shown::Shown;
pub use statement::{NAMESPACE, SignError, Statement, StatementError, check_name, seal_files, seal_number};
pub use tracks::{Gone, Here, Notice, Sighting, Track, Tracks, WearBuild};
pub use wear::{Along, First, PackWear, PlateWear, UnitWear};
pub use wear_pictures::PlatePicture;
pub use wear_shown::{Grid, Trace, WearShown};
