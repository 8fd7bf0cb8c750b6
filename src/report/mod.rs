//! How a result is told to machines: one object, the unit of measure in each key's name.
//!
//! A floor that works something out makes a [`Summary`] of it, or a [`Report`] where it is one flat answer; only here is it
//! written as JSON, with nothing in it that hides or steers ([`to_json`]). A new key is added where the result is made.

mod json;

pub(crate) use json::um;
pub use json::{Report, ReportError, Summary, to_json};
