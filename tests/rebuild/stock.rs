//! What an open build has chosen out of a drawer is what its end takes out of the drawer's file.

use crate::bench::{AT, Place, answers_of, demo_file};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;

/// How many of each part a drawer's file lists, by a reader of its own: what stands under `[[shim]]` and `[[spare]]`.
fn listed(text: &str) -> BTreeMap<(String, i64), i64> {
    let mut counts = BTreeMap::new();
    for block in text.split("[[").skip(1) {
        let value = |key: &str| {
            let line = block
                .lines()
                .find_map(|line| line.strip_prefix(&format!("{key} = ")))?;
            Some(line.trim_matches('"').to_string())
        };
        let thickness = value("thickness").unwrap();
        let mm: f64 = thickness.strip_suffix(" mm").unwrap().parse().unwrap();
        let um = (mm * 1000.0).round() as i64;
        let (part, count) = match value("keyed").as_deref() {
            None => ("shim", value("count").unwrap().parse().unwrap()),
            Some("gear") => ("friction plate", 1),
            Some(_) => ("case plate", 1),
        };
        *counts.entry((part.to_string(), um)).or_insert(0) += count;
    }
    counts
}

/// One figure of each part that is not 0.
fn figure(stock: &Value, key: &str) -> BTreeMap<(String, i64), i64> {
    let rows = stock["parts"].as_array().unwrap().iter();
    rows.map(|row| {
        let part = row["part"].as_str().unwrap().to_string();
        let um = row["thickness_um"].as_f64().unwrap().round() as i64;
        ((part, um), row[key].as_i64().unwrap())
    })
    .filter(|(_, count)| *count != 0)
    .collect()
}

#[test]
fn what_is_reserved_is_what_the_end_takes_out() {
    let place = Place::new();
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        place.write(name, fs::read(demo_file(name)).unwrap());
    }
    fs::create_dir(place.book()).unwrap();
    let drawer = || listed(&fs::read_to_string(place.path("moor-drawer.toml")).unwrap());
    let stock = || place.run(&["drawers", "moor-rear.toml", "--json"]).json();
    let answers = answers_of("moor-rear");
    // right behind the choice, and behind what was measured of the shims that it takes
    let cut = answers.find("\ndry-build = ").unwrap() + 1;
    place.write("first.answers", &answers[..cut]);
    place.write("rest.answers", &answers[cut..]);
    let work = |file: &str| {
        place.run(&[
            "work",
            "full-rebuild",
            "moor-rear.toml",
            "--at",
            AT,
            "--answers",
            file,
        ])
    };
    let before = drawer();
    let there: BTreeMap<(String, i64), i64> = before.clone().into_iter().filter(|(_, n)| *n != 0).collect();
    assert_eq!(figure(&stock(), "there"), there);
    assert_eq!(figure(&stock(), "reserved"), BTreeMap::new());
    assert_eq!(work("first.answers").code, 4);
    let open = stock();
    let reserved = figure(&open, "reserved");
    assert!(!reserved.is_empty());
    assert_eq!(figure(&open, "there"), there, "nothing has been taken out yet");
    let by = open["parts"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["reserved"] != 0);
    assert!(
        by.clone()
            .all(|row| row["by"] == serde_json::json!(["moor-rear-0001"]))
    );
    let table = place.run(&["drawers", "moor-rear.toml", "--csv"]).out;
    assert_eq!(table.lines().count(), 1 + open["parts"].as_array().unwrap().len());
    assert_eq!(work("rest.answers").code, 0);
    let after = drawer();
    let taken: BTreeMap<(String, i64), i64> = before
        .into_iter()
        .map(|(part, count)| (part.clone(), count - after.get(&part).copied().unwrap_or(0)))
        .filter(|(_, count)| *count != 0)
        .collect();
    assert_eq!(reserved, taken);
    let now = stock();
    assert_eq!(figure(&now, "reserved"), BTreeMap::new());
    // by the record alone it is the same drawer
    let by_record = place.run(&["drawers", "--json"]).json();
    assert_eq!(figure(&by_record, "there"), figure(&now, "there"));
}
