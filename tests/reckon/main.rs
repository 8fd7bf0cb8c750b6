//! `shimwright reckon` as a person or a script calls it.

// also beside the tests a failure is meant to end the test
#![allow(clippy::unwrap_used)]

mod answers;
mod cars;
mod program;
mod references;
mod refusals;
mod settles;
#[path = "../support/started.rs"]
mod started;
