//! What commands write where a person wants it, and what they read: one rule for all of them.
//!
//! The lists are held against the commands' own options, so that a new one can not be left out. Units, readings and people
//! are invented.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used)]

mod defaults;
#[path = "../support/fed.rs"]
mod fed;
mod handed_in;
mod laid_down;
#[path = "../support/made_font.rs"]
mod made_font;
mod options;
#[path = "../place/mod.rs"]
mod place;
#[path = "../support/started.rs"]
mod started;

use place::{Place, demo_file};
use std::collections::BTreeSet;
use std::fs;

const BUILD: &str = "moor-rear-0001";

/// A place with the demonstration's files and, with `built`, a finished build of its unit in the book.
fn shop(built: bool) -> Place {
    let place = Place::new();
    let names = [
        "moor-rear.toml",
        "moor-drawer.toml",
        "instruments.toml",
        "moor-car.toml",
        "moor-rear-readings.toml",
        "moor-rear.answers",
    ];
    for name in names {
        place.write(name, fs::read(demo_file(name)).unwrap());
    }
    if built {
        let ran = place.demo("moor-rear", &[]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    place
}

/// What takes a value, of every command, by the manual page: command, option or the name of its place, name of the value.
fn arguments() -> Vec<[String; 3]> {
    let page = Place::new().run(&["man"]).out;
    let page = page.replace("\\-", "-");
    let plain = ["\\fB", "\\fI", "\\fR"]
        .iter()
        .fold(page, |page, font| page.replace(font, ""));
    let (mut all, mut command) = (Vec::new(), String::new());
    let mut lines = plain.lines();
    while let Some(line) = lines.next() {
        if line.starts_with(".SH ") {
            command.clear();
        }
        if let Some(name) = line.strip_prefix(".SS ") {
            command = name.to_string();
        }
        if line != ".TP" || command.is_empty() {
            continue;
        }
        let written = lines.next().unwrap();
        let (option, value) = match written.split_once(' ') {
            Some((option, value)) if option.starts_with("--") => (option, value),
            _ if written.starts_with("--") => continue,
            _ => (written, written),
        };
        all.push([command.clone(), option.to_string(), value.to_string()]);
    }
    assert!(all.len() > 80, "{all:?}");
    all
}

/// What is handed in to a build that is open, which those of the list are not: tests/rebuild/waiting.rs holds it.
const TO_OPEN_BUILDS: [(&str, &str); 1] = [("parts", "--take-in")];

/// A font for pages of days that were driven, which this book has none of: tests/drive/compared.rs holds it.
const FOR_DRIVEN_DAYS: [(&str, &str); 2] = [("runs", "--font"), ("days", "--font")];

/// What is made and never written over, not even when somebody says so: tests/shelf/backup.rs holds it.
const TO_NEW_FOLDERS: [(&str, &str); 1] = [("restore", "FOLDER")];

/// The names of values that are no paths. A new one is to be put here, or what takes it into one of the lists.
const NO_PATHS: [&str; 36] = [
    "WHEN",
    "LANGUAGE",
    "STAGE",
    "KEY",
    "VALUE",
    "COMMAND",
    "PART",
    "SETTING",
    "OTHER",
    "TOPIC",
    "1..4",
    "ID",
    "UNITS",
    "TIME",
    "NAME",
    "FIRST",
    "PLATE=SIDE",
    "SHIM OR PLATE",
    "WORDS",
    "N",
    "PAPER",
    "PLACE",
    "DAY",
    "KIND",
    "BUILD",
    "STATE",
    "QUESTION",
    "ANSWER",
    "NUMBER",
    "DISTANCE",
    "BEFORE",
    "AFTER",
    "TABLE",
    "FORMAT",
    "TERM",
    "SHELL",
];

#[test]
fn every_path_that_a_command_takes_is_in_one_of_the_lists() {
    let outputs = laid_down::OUTPUTS.iter().map(|row| (row.command, row.argument));
    let inputs = handed_in::INPUTS.iter().map(|row| (row.0, row.1));
    let columns = handed_in::COLUMNS.iter().map(|row| (row.0, row.1));
    let listed: BTreeSet<(&str, &str)> = outputs
        .chain(inputs)
        .chain(columns)
        .chain(TO_OPEN_BUILDS)
        .chain(TO_NEW_FOLDERS)
        .chain(FOR_DRIVEN_DAYS)
        .collect();
    let all = arguments();
    let mut missing = Vec::new();
    for [command, option, value] in &all {
        // where records are kept is no file and has tests of its own; what is calculated with has no other paths
        let word = option == "--book"
            || NO_PATHS.contains(&value.as_str())
            || (command.starts_with("reckon ") && !["FILE", "DIR"].contains(&value.as_str()));
        if !word && !listed.contains(&(command.as_str(), option.as_str())) {
            missing.push(format!("{command} {option} {value}"));
        }
    }
    assert!(missing.is_empty(), "in none of the lists: {missing:?}");
    for (command, option) in listed {
        let there = all.iter().any(|[at, name, _]| at == command && name == option);
        assert!(there, "{command} {option} is in a list, but there is none");
    }
}
