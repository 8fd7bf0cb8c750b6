//! TODOHEAD

mod asked;
mod columns;
mod document;
mod faults;
mod format;
mod nearest;
mod quoted;
mod schema;
mod schema_json;
mod section;
mod section_values;

pub(crate) use asked::{DAY, Letters, Spelling};
pub use columns::read_columns;
pub use document::Document;
pub(crate) use faults::too_much;
pub use faults::{Fault, Faults, MOST_OF_A_TEXT, MOST_PARTS};
pub(crate) use format::newer;
pub use nearest::nearest;
pub(crate) use quoted::quoted;
pub use schema::Shape;
pub use section::Section;
