//! The statistics held against published values: every row of the data files is read, and a row that no test knows
//! fails. Sources stand in the files beside the values.

// also beside the tests a failure is meant to end the test
#![allow(clippy::unwrap_used)]

mod conformance;
mod lines;
mod reference;
mod runs;
mod strd;
mod truncated;
