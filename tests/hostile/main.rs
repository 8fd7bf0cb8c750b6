//! Input that means harm, or is only broken: random and spoilt text for every reader, files that would fill the memory
//! or the stack, and characters that would steer a terminal or turn words round.
//!
//! `SHIMWRIGHT_CASES=100000 cargo test --test hostile random` is the long run; see `drawing`.

// also beside the tests a failure is meant to end the test
#![allow(clippy::unwrap_used)]

mod bombs;
mod corpus;
mod drawing;
#[path = "../support/fed.rs"]
mod fed;
mod good;
mod marks;
mod random_builds;
mod random_text;
mod readers;
mod seals;
#[path = "../support/started.rs"]
mod started;
mod typed;
