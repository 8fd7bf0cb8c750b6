//! Books of many builds: made, read, listed.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used, clippy::expect_used)]
// a test that is skipped says so
#![allow(clippy::print_stdout)]

#[path = "../books/mod.rs"]
mod books;
#[path = "../support/made.rs"]
mod made;
#[path = "../support/skipped.rs"]
mod skipped;
#[path = "../support/started.rs"]
mod started;

mod backup;
mod due_days;
mod fleet;
mod generated;
mod kept;
mod program;
mod wear;

use shimwright::book::Shelf;
use shimwright::procedure::Session;
use shimwright::record::Entry;
use std::fs;
use std::path::Path;

/// A session at the end of a build that was written: what the program makes of it.
fn opened(book: &Path, build: &str) -> Session {
    let folder = book.join(build);
    let unit = fs::read_to_string(folder.join("unit.toml")).unwrap();
    let entries: Vec<Entry> = Shelf::look(book)
        .unwrap()
        .read(&build.parse().unwrap())
        .unwrap()
        .entries
        .iter()
        .map(|text| Entry::from_json(text).unwrap())
        .collect();
    Session::resume(books::job(&unit), &entries)
}
