//! How a unit wears: generated histories whose truth is known, plates that travel, and the program from outside.
//!
//! All units, plates and readings are invented; what is checked is that the truth which they were made from comes back.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod between;
#[path = "../draws/mod.rs"]
mod draws;
mod histories;
#[path = "../support/made.rs"]
mod made;
#[path = "../draws/normal.rs"]
mod normal;
mod options;
mod pages;
mod parts;
#[path = "../place/mod.rs"]
mod place;
mod program;
mod remedies;
#[path = "../support/started.rs"]
mod started;
mod trends;
mod truth;
