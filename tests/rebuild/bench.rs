//! What the tests stand on: finished demonstrations, the raw answers and the record.

pub use crate::place::*;
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::OnceLock;

pub const DEMOS: [&str; 3] = ["moor-rear", "fell-front", "shoal-rear"];

/// The lines of an answers file that hold an answer, each with its line end; the first `done` of them are left out.
pub fn answers_after(demo: &str, done: usize) -> String {
    answers_of(demo)
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(done)
        .map(|line| format!("{line}\n"))
        .collect()
}

/// A demo that was run to its end by its answers file, once for all tests.
pub struct Finished {
    pub place: Place,
    pub record: Value,
    pub entries: Vec<Value>,
}

pub fn finished(demo: &str) -> &'static Finished {
    static RUNS: [OnceLock<Finished>; 3] = [const { OnceLock::new() }; 3];
    let n = DEMOS.iter().position(|name| *name == demo).unwrap();
    RUNS[n].get_or_init(|| {
        let place = Place::new();
        let record = place.demo(demo, &["--json"]).json();
        let entries = place.entries(&format!("{demo}-0001"));
        Finished {
            place,
            record,
            entries,
        }
    })
}

/// The last answer to each question of an answers file, by the question's name; corrections and rounds overwrite.
pub fn raw_answers(text: &str) -> BTreeMap<String, String> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split_once(" = "))
        .filter(|(_, answer)| !answer.starts_with('!'))
        .map(|(slot, answer)| (slot.to_string(), answer.to_string()))
        .collect()
}

/// Millimetres of a reading, by the exact inch of 25.4 mm.
pub fn millimetres(text: &str) -> f64 {
    let (number, factor) = if let Some(number) = text.strip_suffix(" in") {
        (number, 25.4)
    } else if let Some(number) = text.strip_suffix(" thou") {
        (number, 0.0254)
    } else {
        (text, 1.0)
    };
    number.replace(',', ".").parse::<f64>().unwrap() * factor
}

/// Mean in millimetres of `step/item/1`, `step/item/2` and so on.
pub fn mean(raw: &BTreeMap<String, String>, steps: &[&str]) -> f64 {
    let readings: Vec<f64> = steps
        .iter()
        .flat_map(|step| {
            (1..).map_while(move |n| raw.get(&format!("{step}/{n}")).map(|text| millimetres(text)))
        })
        .collect();
    assert!(!readings.is_empty(), "{steps:?}");
    readings.iter().sum::<f64>() / readings.len() as f64
}
