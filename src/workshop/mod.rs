//! TODOHEAD

mod car;
mod drawer;
mod drawer_edit;
mod file_kind;
mod glossary;
mod key_words;
mod last_left;
mod offer;
mod readings;
mod setting;
mod unit;
mod unit_file;
mod unit_text;
mod use_file;
pub use car::{Car, SettledAt};
pub use drawer::{Drawer, DrawerPart, Gauge, Instrument, Measures, read_instruments};
pub use drawer_edit::{LessUsed, take_from_drawer};
pub use file_kind::{FileKind, Linted, lint_summary};
pub use glossary::{Found, Glossary, Mixed, Word};
pub use last_left::{LastLeft, LeftPack, ListedOtherwise};
pub use readings::{PlateReadings, Readings};
pub(crate) use setting::ramp_words;
pub use setting::{Differs, Origin, Origins, Rework, Setting, SettingError, SettingPoint, SettingSpring};
pub use unit::{
    Aim, Bolts, Cover, Depth, Friction, Limits, MOST_PLATES, Oil, PackPlan, Plate, Proof, Ramp, Spring,
    SpringKind, Unit,
};
pub use unit_text::{DRAWER_STARTER, INSTRUMENTS_STARTER, UnitLine, UnitValue, unit_text};
pub use use_file::{STOCK_USES, Use};
