//! Seals through the program as it is shipped: signed, checked, altered, countersigned; and against `ssh-keygen`.
//!
//! Units, readings and people are invented; the keys are made for the tests.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

mod altered;
mod attached;
mod book_life;
mod damaged;
#[path = "../hostile/drawing.rs"]
mod drawing;
#[path = "../support/fed.rs"]
mod fed;
mod keys;
mod newer;
mod paper;
mod photos;
#[path = "../place/mod.rs"]
mod place;
mod rotation;
mod rules;
mod sealed;
#[path = "../sheet_builds/full.rs"]
mod sheet_builds;
mod sheets;
mod signing;
#[path = "../support/skipped.rs"]
mod skipped;
mod ssh;
#[path = "../support/started.rs"]
mod started;
#[path = "../support/table.rs"]
mod table;
mod tokens;
mod two_machines;
