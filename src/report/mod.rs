//! TODOHEAD

mod json;

pub(crate) use json::um;
pub use json::{Report, ReportError, Summary, to_json};
