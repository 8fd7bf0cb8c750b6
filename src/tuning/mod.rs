//! From a car and what it is used for to the settings of the lock, ranked, before the unit is opened.
//!
//! [`Tuned`] puts unit, car and use to the search of `mechanics::tune` and keeps the best; [`Tuned::pick`] looks at one
//! of them closely, with what is drawn of it (`curves`); `proposed` makes the setting that the rebuild aims at,
//! and `tuned_report` tells it.
//!
//! A new formula goes into `mechanics`; what a driver says, and what acts on it, stands in [`COMPLAINTS`].

mod curves;
mod proposed;
mod tuned;
mod tuned_report;

pub use curves::{Curves, Pictures};
pub use tuned::{COMPLAINTS, Picked, Tuned, complaint_words};
