//! What is found in files before anything is begun with them.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod corpus;
mod language;
mod library;
mod safety;
#[path = "../support/started.rs"]
mod started;
