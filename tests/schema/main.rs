//! The schemas that the tool writes, held against the readers that they come from, by a validator from outside.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod edits;
mod files;
mod patterns;
#[path = "../support/started.rs"]
mod started;

use jsonschema::Validator;
use serde_json::Value;
use shimwright::procedure::{judged_elsewhere, shape_elsewhere};
use shimwright::report::to_json;
use shimwright::workshop::FileKind;
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The schema of a kind, as it is printed.
fn schema(kind: FileKind) -> Value {
    let text = to_json(&kind.schema(&kind.shape(shape_elsewhere))).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// A validator for each kind of file.
fn validators() -> HashMap<FileKind, Validator> {
    FileKind::ALL
        .iter()
        .map(|(kind, word)| {
            let validator = jsonschema::draft202012::new(&schema(*kind));
            (*kind, validator.unwrap_or_else(|error| panic!("{word}: {error}")))
        })
        .collect()
}

/// A TOML file as an editor sees it.
fn as_json(source: &str) -> Option<Value> {
    let table: toml::Table = source.parse().ok()?;
    Some(serde_json::to_value(table).unwrap())
}

fn in_folder(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    files.sort();
    files
}

/// Every file that comes with the program: its kind, its name, its text.
fn stock() -> Vec<(FileKind, String, String)> {
    [
        "procedures",
        "procedures/uses",
        "procedures/language",
        "demo-units",
    ]
    .into_iter()
    .flat_map(in_folder)
    .map(|path| {
        let source = fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        (FileKind::of(&name, &source).unwrap(), name, source)
    })
    .collect()
}

/// The rule of each fault that the reader finds.
fn rules(kind: FileKind, source: &str) -> Vec<&'static str> {
    kind.faults("x.toml", source, judged_elsewhere)
        .iter()
        .map(|fault| fault.rule)
        .collect()
}
