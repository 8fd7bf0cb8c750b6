//! The years: what the builds of a unit say together.
//!
//! One build in figures is an [`Account`]; everything here is worked out of accounts, and nothing of it is stored but them
//! and what a list needs of a unit ([`UnitBrief`]), which the index keeps. In the order of reading: `tracks` follows plates
//! from build to build and says how far the unit had run at each; `outlook` puts a line through a value with its band;
//! `wear` and `fading` are both for plates, gaps, preload, friction and breakaway; `remedies` says what to do about it.
//! `comparison` compares two builds, `fleet` tells of all units what is due, `export` writes tables for other programs.
//! `wear_tables`, `wear_pictures` and `wear_report` tell wear to a person, to a picture and to machines, in the units of measure
//! of [`DisplayUnits`]. Old papers come in through `paper_records` and are held against what is there by `paper_order`.
//!
//! A new figure of a build: a field of [`Account`] (and the number of its format, where it changes what is known already),
//! filled in by `procedure`, then a row of `wear`, `comparison` and `export` where it has one.

mod account;
mod brief;
mod comparison;
mod comparison_report;
mod display_units;
pub mod doubts;
pub mod drawers;
pub mod driven;
pub mod due_days;
mod export;
mod fading;
mod fleet;
mod fleet_report;
mod imported;
pub mod joint_doubts;
mod known;
mod measure;
mod outlook;
pub mod own_answers;
mod paper_order;
mod paper_records;
pub mod paper_rows;
mod paper_signs;
pub mod remedies;
mod shelved;
mod tracks;
mod wear;
mod wear_pictures;
mod wear_report;
mod wear_summary;
mod wear_tables;

pub use account::{
    Account, BreakawayAccount, GapAccount, InstrumentAccount, PackAccount, Parts, PlateAccount,
    SpringAccount, UncertainLength,
};
pub use brief::UnitBrief;
pub use comparison::{Change, Comparison, Judged, Lost, Unlike};
pub use display_units::DisplayUnits;
pub use export::{CellKind, ColumnWords, ExportFormat, ExportTable};
pub use fading::{Fading, Stretch};
pub use fleet::{Due, DueWhat, Fleet, FleetState, FleetUnit, Forecast, Overdue, UsedInstrument};
pub use imported::{Imported, ImportedDay};
pub use measure::{BuiltValue, InstrumentRole, Measure, Wearing};
pub use outlook::Outlook;
pub use paper_order::{odd_among, or_sure};
pub use paper_records::{Cell, PAPER_COLUMNS, PaperRecord, PaperRecords, RowFault};
pub use shelved::Shelved;
pub use tracks::{Gone, Here, Notice, Sighting, Track, Tracks, WearBuild};
pub use wear::{Along, First, PackWear, PlateWear, UnitWear};
pub use wear_pictures::PlatePicture;
pub use wear_tables::{Trace, WearTables};
