//! TODOHEAD

mod account;
mod between;
mod brief;
mod export;
mod fading;
mod fleet;
mod imported;
mod known;
mod outlook;
mod paper_order;
mod paper_records;
mod paper_signs;
mod remedies;
mod shelved;
mod shown;
mod tracks;
mod wear;
mod wear_pictures;
mod wear_report;
mod wear_shown;

pub use account::{
    Account, BreakawayAccount, ClosingAccount, Doubted, InstrumentAccount, PackAccount, Parts, PlateAccount,
    SpringAccount,
};
pub use between::{Between, Change, Judged, Unlike, gone_between};
pub use brief::UnitBrief;
pub use export::{CellKind, ColumnWords, ExportFormat, ExportTable};
pub use fading::{Fading, Stretch};
pub use fleet::{Due, DueWhat, Fleet, FleetState, FleetUnit, Forecast, Overdue, UsedInstrument};
pub use imported::{Imported, ImportedDay};
pub use outlook::Outlook;
pub use paper_order::{odd_among, or_sure};
pub use paper_records::{Cell, PAPER_COLUMNS, PaperRecord, PaperRecords, RowFault};
pub use remedies::{Banded, ByTrend, FAR, Lasts, Reckoned, Remedies, Remedy, Stands, Swap, What};
pub use shelved::{Shelved, shelf_summary};
pub use shown::Shown;
pub use tracks::{Gone, Here, Notice, Sighting, Track, Tracks, WearBuild};
pub use wear::{Along, First, PackWear, PlateWear, UnitWear};
pub use wear_pictures::PlatePicture;
pub use wear_shown::{Grid, Trace, WearShown};
