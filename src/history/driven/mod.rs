//! Drive days: what one says, and what several say of two settings.
//!
//! A [`Day`](crate::record::driven::Day) is what `procedure` makes of a day's entries. [`DayReport`] tells one, and the list of
//! all.

mod day_report;

pub use day_report::{DayReport, ListedDay};
