//! From a car and what it is used for to the settings of the lock, ranked, before the unit is opened.
//!
//! [`Settled`] puts unit, car and use to the search of `mechanics::settle` and keeps the best; [`Settled::pick`] looks at one
//! of them closely, with what is drawn of it (`drawn`); `proposed` makes the setting that the rebuild aims at,
//! and `told` tells it.
//!
//! A new formula goes into `mechanics`; what a driver says, and what acts on it, stands in [`COMPLAINTS`].

mod drawn;
mod proposed;
mod settled;
mod told;

pub use drawn::{Drawn, Pictures};
pub use settled::{COMPLAINTS, Picked, Settled, complaint_words};
