//! shimwright walks a workshop through the rebuild of a plate-type limited-slip differential, does the arithmetic
//! unit-safe, keeps the record and prints the build sheet.
//!
//! The modules are floors: each imports only from those listed above it. `DEVELOPERS.md` has the table, and a test
//! holds the code to it.

pub mod quantity;

pub mod metrology;

pub mod mechanics;

pub mod choice;

pub mod seal;

pub mod report;

pub mod screen;

pub mod document;

pub mod workshop;

pub mod tuning;

pub mod record;

pub mod history;

pub mod procedure;

pub mod practice;

pub mod sheet;

pub mod book;

pub mod bench;

pub mod app;

pub mod cli;
