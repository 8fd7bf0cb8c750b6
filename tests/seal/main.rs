//! Seals through the program as it is shipped: signed, checked, altered, countersigned; and against `ssh-keygen`.
//!
//! Units, readings and people are invented; the keys are made for the tests.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

mod altered;
#[allow(dead_code)] // the other tests stand on it too
#[path = "../rebuild/bench.rs"]
mod bench;
mod keys;
mod paper;
mod sealed;
#[allow(dead_code)] // and so do the tests of the sheet
#[path = "../sheet_builds/mod.rs"]
mod sheet_builds;
mod ssh;
