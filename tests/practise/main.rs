//! Practice: made-up units that a careful mechanic finds the faults of, and a careless one does not.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod diagnosis;
mod drill_runs;
mod drill_words;
mod drills;
mod effects;
mod half_jobs;
mod keeps;
mod masters;
mod mechanic;
mod program;
#[path = "../support/shapes.rs"]
mod shapes;
#[path = "../support/started.rs"]
mod started;
mod sweep;
