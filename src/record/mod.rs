//! What is written down: unit, drawer, instruments, readings, the build. Reading and writing of TOML and JSON lives
//! only here.

mod between;
mod brief;
mod build;
mod build_report;
mod car;
mod drawer;
mod drawer_edit;
mod drawn;
mod entry;
mod examined;
mod export;
mod fading;
mod file_kind;
mod finding;
mod fleet;
mod form;
mod formats;
mod history;
mod imported;
mod key_words;
mod known;
mod last_left;
mod lines;
mod offer;
mod outlook;
mod paper_order;
mod paper_records;
mod paper_signs;
mod paper_text;
mod practised;
mod procedure_told;
mod proposed;
mod readings;
mod remedies;
mod selection;
mod setting;
mod settled;
mod shelved;
mod shown;
mod statement;
mod tracks;
mod unit;
mod unit_file;
mod unit_text;
mod use_file;
mod wear;
mod wear_pictures;
mod wear_report;
mod wear_shown;
mod words;

pub use between::{Between, Change, Judged, Unlike, gone_between};
pub use brief::UnitBrief;
pub use build::{
    Asked, AskedRow, BoltLine, BreakawayLine, Build, CautionLine, ClosingLine, Copied, Curve, Figure,
    Followed, FoundAndLeft, Layer, LayerKind, OnPaper, Pack, PlateLine, Preload, ProofRound, Remark,
    Signature, Simulated, SinceLast,
};
pub use car::{Car, SettledAt};
pub use drawer::{Drawer, DrawerPart, Gauge, Instrument, Measures, read_instruments};
pub use drawer_edit::{LessUsed, take_from_drawer};
pub use drawn::{Drawn, Pictures};
pub use entry::{Chosen, ChosenSide, Entry, EntryError, MODEL, MadeFrom, Slot, UnitsName, Value};
pub use examined::{Examined, Stored};
pub use export::{CellKind, ColumnWords, ExportFormat, ExportTable};
pub use fading::{Fading, Stretch};
pub use file_kind::{FileKind, Linted, lint_summary};
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
pub use last_left::{LastLeft, LeftPack, ListedOtherwise};
pub use lines::Lines;
pub use outlook::Outlook;
pub use paper_order::{odd_among, or_sure};
pub use paper_records::{Cell, PAPER_COLUMNS, PaperRecord, PaperRecords, RowFault};
pub use paper_text::{OffPaper, PaperError, PaperText};
pub use practised::Practised;
pub use procedure_told::{ProcedureTold, StageTold, StepTold};
pub use readings::{PlateReadings, Readings};
pub use remedies::{Banded, ByTrend, FAR, Lasts, Reckoned, Remedies, Remedy, Stands, Swap, What};
pub use selection::{MissingPart, Selected, SelectedSide, Selection};
pub(crate) use setting::ramp_words;
pub use setting::{Differs, Origin, Origins, Rework, Setting, SettingError, SettingPoint, SettingSpring};
pub use settled::{COMPLAINTS, Picked, Settled, complaint_words};
pub use shelved::{Shelved, shelf_summary};
pub use shown::Shown;
pub use statement::{NAMESPACE, SignError, Statement, StatementError, check_name, seal_files, seal_number};
pub use tracks::{Gone, Here, Notice, Sighting, Track, Tracks, WearBuild};
pub use unit::{
    Aim, Bolts, Cover, Depth, Friction, Limits, MOST_PLATES, Oil, PackPlan, Plate, Proof, Ramp, Spring,
    SpringKind, Unit,
};
pub use unit_text::{DRAWER_STARTER, INSTRUMENTS_STARTER, UnitLine, UnitValue, unit_text};
pub use use_file::{STOCK_USES, Use};
pub use wear::{Along, First, PackWear, PlateWear, UnitWear};
pub use wear_pictures::PlatePicture;
pub use wear_shown::{Grid, Trace, WearShown};
pub use words::{Found, Glossary, Mixed, Word};
