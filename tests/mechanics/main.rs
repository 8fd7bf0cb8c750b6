//! The formulas held against published values in `tests/references/` and against second, independent ways to the same
//! number.

// clippy lets tests unwrap, but not the helpers beside them
#![allow(clippy::unwrap_used)]

mod axles;
mod balance;
mod bolts;
mod clutches;
mod coverage;
#[path = "../draws/mod.rs"]
mod draws;
mod moving_axles;
#[path = "../draws/normal.rs"]
mod normal;
mod ramps;
mod reference;
mod settling;
mod springs;
#[path = "../support/table.rs"]
mod table;
mod thrust;
mod warm;
mod wear;
mod whole_cars;
