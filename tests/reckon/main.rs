//! `shimwright reckon` as a person or a script calls it, and every reader of text against random bytes.

// also beside the tests a failure is meant to end the test
#![allow(clippy::unwrap_used)]

mod answers;
mod drawing;
mod program;
mod random_builds;
mod random_text;
mod references;
mod refusals;
mod settles;
