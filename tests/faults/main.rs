//! What is left when the program is ended, or refused by the system, at any call that writes; and what a book that was
//! spoilt from outside leads to. What each test finds is a row of `found.csv`: see `table`.
//!
//! The program is ended by `strace`, which sends it the signal that no program can hear at the call that is wanted. Every
//! call of each way is tried. The readings and answers are the demonstration's and are invented.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]
// a test that is skipped says so
#![allow(clippy::print_stdout)]

mod backups;
mod closing;
mod denied;
mod ended;
mod imported;
mod kit;
mod seals;
#[path = "../support/skipped.rs"]
mod skipped;
mod spoilt;
#[path = "../support/started.rs"]
mod started;
mod table;
mod trace;
mod weak;
