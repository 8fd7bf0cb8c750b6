//! Runs the program.

use serde_json::{Map, Value};
use std::process::Output;
use unicode_width::UnicodeWidthStr;

fn reckon(arguments: &[&str]) -> Output {
    crate::started::program()
        .arg("reckon")
        .args(arguments)
        .output()
        .unwrap()
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).unwrap()
}

/// What a person is shown: at most 80 columns wide.
pub fn table(arguments: &[&str]) -> String {
    let output = reckon(arguments);
    let shown = text(output.stdout);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{arguments:?}: {}",
        text(output.stderr)
    );
    assert!(output.stderr.is_empty());
    for line in shown.lines() {
        assert!(line.width() <= 80, "{} columns: {line}", line.width());
    }
    shown
}

/// The JSON object without its `format`, whose keys must be just these; a person's table is made as well.
pub fn json(arguments: &[&str], keys: &[&str]) -> Map<String, Value> {
    table(arguments);
    let output = reckon(&[arguments, &["--json"]].concat());
    let shown = text(output.stdout);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{arguments:?}: {}",
        text(output.stderr)
    );
    assert!(output.stderr.is_empty());
    let Value::Object(mut object) = serde_json::from_str(&shown).unwrap() else {
        panic!("no object: {shown}")
    };
    let format = object.remove("format");
    let told = format!("shimwright told 1: reckon {}", arguments[0]);
    assert_eq!(format, Some(Value::from(told)), "{arguments:?}");
    let mut wanted = keys.to_vec();
    wanted.sort_unstable();
    let mut have: Vec<&str> = object.keys().map(String::as_str).collect();
    have.sort_unstable();
    assert_eq!(have, wanted, "{arguments:?}");
    object
}

/// A number of a JSON object.
pub fn number(object: &Map<String, Value>, key: &str) -> f64 {
    object[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key}: {}", object[key]))
}

/// The words of a refusal with this exit code. Nothing goes to the standard output.
pub fn refused(arguments: &[&str], code: i32) -> String {
    let output = reckon(arguments);
    let words = text(output.stderr);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {words}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    assert!(words.starts_with("error: "), "{words}");
    words
}

/// The words of a command line; what stands in double quotes is one word.
pub fn words(line: &str) -> Vec<&str> {
    line.split('"')
        .enumerate()
        .flat_map(|(i, piece)| {
            if i % 2 == 1 {
                vec![piece]
            } else {
                piece.split_whitespace().collect()
            }
        })
        .collect()
}

/// Within half of the last digit that is written.
#[track_caller]
pub fn near(value: f64, wanted: f64, within: f64) {
    assert!(
        (value - wanted).abs() <= within,
        "{value} is not {wanted} ± {within}"
    );
}
