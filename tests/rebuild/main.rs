//! Whole rebuilds through the program as it is shipped: scripted, by lines and on a terminal; cut short, gone back on,
//! and fed with what it must refuse.
//!
//! The units, readings and answers are invented. What is checked against them is arithmetic that the tests do again by
//! themselves, and what the program does with files, pipes and terminals.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod accounts;
mod amend;
mod bench;
mod by_hand;
mod cuts;
mod demos;
mod discs;
mod engine;
#[path = "../support/fed.rs"]
mod fed;
mod fronts;
mod held;
mod keeps;
mod languages;
mod last;
mod laying;
mod older;
mod order;
mod orders;
mod pause;
#[path = "../place/mod.rs"]
mod place;
mod press;
mod procedures;
mod rail;
mod refused;
mod replies;
mod reports;
mod rows;
mod said;
mod settings;
mod shop;
mod shown;
mod slips;
mod springs;
#[path = "../support/started.rs"]
mod started;
mod steps;
mod stock;
mod waiting;
mod whys;
mod wrench_scale;
