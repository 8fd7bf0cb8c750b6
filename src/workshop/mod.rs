//! What the files describe: unit, drawer, instruments, car, use, readings, setting, glossary, and what the last build left.
//!
//! Each file has a type with a reader (`read` takes a name and a text, never a path) on top of `document`. The order of
//! reading this floor: [`Unit`] in `unit`, filled by `unit_file` and its `offer`; what lies around it ([`Drawer`],
//! [`Instrument`] in `drawer`); what it is to become ([`Setting`] and [`Rework`] in `setting`, [`Car`], [`Use`]). Texts that go
//! back into files are written by `new_text`, `drawer_edit`, `setting`, `step_library` and `last_left`, with the comments of a
//! person kept.
//! [`Language`](language::Language) holds what guards people in other languages, by the ids of the English, and `step_library` writes it out.
//! [`FileKind`] tells the files apart and says for each which reader, title and schema it has.
//!
//! A new key of the unit: its field in `unit`, its line with limits in `unit_file`, its meaning in `key_words`; the schema
//! follows. A new kind of file: a file here, a row of [`FileKind`].

mod car;
pub mod car_layout;
mod closed_unit;
pub mod defaults;
mod drawer;
mod drawer_edit;
mod file_kind;
pub mod gears;
mod glossary;
mod guide;
mod key_words;
pub mod language;
mod last_left;
pub mod left_discs;
pub mod left_proofs;
pub mod moment;
pub mod new_text;
mod offer;
mod readings;
mod setting;
pub mod shown_friction;
mod step_library;
pub mod tolerance;
mod unit;
mod unit_file;
mod use_file;

pub use car::{Car, CarFigure, OperatingPoint};
pub use closed_unit::{ClosedUnit, UnitFigure, UnitFile};
pub use drawer::{Drawer, DrawerPart, Gauge, Instrument, Measures, Press, read_instruments};
pub use drawer_edit::{LessUsed, rows_beyond, take_from_drawer};
pub use file_kind::{FileKind, Linted, lint_summary};
pub use glossary::{Found, Glossary, Mixed, Word};
pub use guide::Chapter;
pub use last_left::{LastLeft, LeftPack, ListedOtherwise};
pub use readings::{PlateReadings, Readings};
pub(crate) use setting::ramp_words;
pub use setting::{Differs, Origin, Origins, Rework, Setting, SettingError, SettingPoint, SettingSpring};
pub use step_library::{OF_A_DAY, Safety, library_steps, with_library_steps};
pub use unit::{
    Aim, Bolts, CaseMetal, Cover, Depth, Friction, Limits, MOST_PLATES, Oil, PackPlan, Plate, Proof, Ramp,
    Spring, SpringKind, Unit,
};
pub use use_file::{STOCK_USES, Use};
