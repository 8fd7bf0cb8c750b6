//! Drive days from outside: written down by questions, gone on with, put right; what they say of two settings.
//!
//! Cars, drivers, units and times are invented.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod bad_input;
mod compared;
mod files;
mod made;
#[path = "../support/made_font.rs"]
mod made_font;
#[path = "../place/mod.rs"]
mod place;
mod season;
#[path = "../support/started.rs"]
mod started;
mod written;
