//! Reading TOML with every fault at its place, and the schema that follows from the reading.
//!
//! [`Document::read`] hands the top of a text to a reader as a [`Section`]; the reader asks it for its keys one by one and
//! goes on after each fault. What comes back is the value, or [`Faults`] with all that is wrong: file, line, the line
//! itself and what was wanted. While it is asked, a section writes down what for; [`Shape`] runs the same reader over
//! drafts and so knows what a file may hold, which `schema_json` writes as a JSON Schema. Nobody keeps a second list.
//!
//! What a key *means* is not known here; that is a matter of `workshop` and `procedure`.
//!
//! A new kind of value that a key may have (a spelling, a range, a list) goes into `section_values`, with what it writes down into `key_query`; a new rule that
//! holds for every file (a limit on its size, the first line) into `reader` or `faults`; lists of readings that are not TOML
//! are read in `columns`.

mod columns;
mod faults;
mod format;
mod key_query;
mod nearest;
mod quoted;
mod reader;
mod schema;
mod schema_json;
mod section;
mod section_values;

pub use columns::read_columns;
pub(crate) use faults::too_much;
pub use faults::{Fault, Faults, MOST_OF_A_TEXT, MOST_PARTS};
pub(crate) use format::newer;
pub(crate) use key_query::{DAY, Letters, Spelling};
pub use nearest::nearest;
pub(crate) use quoted::quoted;
pub use reader::Document;
pub use schema::Shape;
pub use section::Section;
