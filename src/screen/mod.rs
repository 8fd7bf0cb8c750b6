//! A report as lines at a width: plain text for a terminal or a pipe, without colour.
//!
//! [`lines`] shows a whole [`Report`](crate::report::Report): its sections one below the other with an empty line between them. The parts can be
//! had by themselves: [`filled`] and [`hanging`] paragraphs, a [`table`], whose rows become paragraphs where they do not
//! fit, and drawings. Nothing is worked out here but places. Control characters are made visible, so that no text that a
//! person typed moves the cursor.
//!
//! A new kind of part is shown in `report`; what a table looks like is for `table`.

mod picture;
mod report;
mod table;
mod text;

pub use picture::drawn;
pub use report::lines;
pub use table::{Laid, laid, table};
pub use text::{broken, columns, filled, hanging, wrapped};
