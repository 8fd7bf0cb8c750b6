//! Books of many builds: made, read, listed.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used)]

#[path = "../books/mod.rs"]
mod books;

mod fleet;
mod generated;
mod program;
