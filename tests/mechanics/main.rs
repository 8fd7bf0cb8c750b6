//! The formulas held against published values in `tests/references/` and against second, independent ways to the same
//! number.

// clippy lets tests unwrap, but not the helpers beside them
#![allow(clippy::unwrap_used)]

mod axles;
mod balance;
mod bolts;
mod clutches;
#[path = "../draws/mod.rs"]
mod draws;
mod moving_axles;
mod ramps;
mod reference;
mod settling;
mod springs;
mod warm;
mod wear;
