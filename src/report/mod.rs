//! How any result is told, as plain data: words, tables with units of measure, pictures, warnings; and one object for
//! machines, the unit of measure in each key's name.
//!
//! A floor that works something out makes one [`Report`] of it: sections of parts for people, and a [`Summary`] for
//! machines, or [`Figures`] where that is one flat answer. `screen` shows the sections on a terminal, `sheet` sets them on
//! paper, and only here is JSON written, with nothing in it that hides or steers. What a report is about is not known here.
//!
//! A new word, column or key is added where the result is made; a new kind of part in `parts`, with how `screen` and `sheet`
//! show it.

mod json;
mod parts;
mod picture;
mod shapes;
mod table;

pub(crate) use json::um;
pub use json::{Figures, ReportError, Summary, to_json};
pub use parts::{Part, Report, Section};
pub use picture::{Curve, Layer, Layers, Picture, Places, Plane};
pub use shapes::Shapes;
pub use table::{Cell, Column, FIRM, Holds, NOTHING, Table, glued, number};
