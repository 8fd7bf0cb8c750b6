//! A build that waits for parts, parts that come and are not there, and a build that is put away.

use crate::fed::fed;
use crate::place::{Place, answers_of, demo_file, unit_file};
use serde_json::Value;
use std::fs;

const BUILD: &str = "moor-rear-0001";
/// A plate that comes a day later.
const SG4: &str = "\n[[spare]]\nname = \"SG4\"\nkeyed = \"gear\"\nthickness = \"2.00 mm\"\n";

/// A build whose answers end right before the spares are measured.
fn begun() -> Place {
    let place = Place::new();
    let answers = answers_of("moor-rear");
    let until = answers
        .find("\nspare-thickness")
        .expect("the demonstration measures spares");
    let ran = place.answered(&unit_file("moor-rear"), &answers[..until + 1], &[]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    place
}

fn kinds(place: &Place) -> Vec<String> {
    let kind = |entry: &Value| entry["kind"].as_str().unwrap().to_string();
    place.entries(BUILD).iter().map(kind).collect()
}

fn plates(place: &Place) -> Vec<String> {
    let record = place
        .run(&["sheet", BUILD, "--out", "one.pdf", "--replace", "--json"])
        .json();
    let names = record["plates"].as_array().unwrap().iter();
    names
        .map(|plate| plate["name"].as_str().unwrap().to_string())
        .collect()
}

#[test]
fn a_build_waits_for_parts_and_goes_on_with_those_that_came() {
    let place = begun();
    let ran = place.run(&[
        "parts",
        BUILD,
        "--wait-for",
        "one friction plate of 2.00 mm",
        "--wait-for",
        "oil",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [&["parts", BUILD][..], &["builds"], &["fleet"], &[]] {
        let told = place
            .run(words)
            .out
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(
            told.contains("one friction") && told.contains("waits"),
            "{words:?}: {told}"
        );
    }
    assert_eq!(kinds(&place).last().unwrap(), "waiting");
    // what came is taken in from the drawer's file, once
    let drawer = fs::read_to_string(demo_file("moor-drawer.toml")).unwrap() + SG4;
    place.write("came.toml", drawer.replacen("count = 6", "count = 8", 1));
    assert!(!plates(&place).contains(&"SG4".to_string()));
    let ran = place.run(&["parts", BUILD, "--take-in", "came.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("1 spare plates, 1 sizes of shims"),
        "{}",
        ran.out
    );
    assert!(plates(&place).contains(&"SG4".to_string()));
    let added = place.entries(BUILD).pop().unwrap();
    assert_eq!(added["kind"], "part-added");
    let rows = added["rows"].as_str().unwrap();
    assert!(
        rows.contains("SG4") && rows.contains("count = 2") && !rows.contains("SG1"),
        "{rows}"
    );
    let again = place.run(&["parts", BUILD, "--take-in", "came.toml"]);
    assert!(
        again.out.contains("nothing that the build does not know of"),
        "{}",
        again.out
    );
    assert_eq!(place.entries(BUILD).pop().unwrap(), added);
    // what comes in is read as the file is
    let came = fs::read(place.path("came.toml")).unwrap();
    let output = fed(&mut place.program(&["parts", BUILD, "--take-in", "-"]), &came);
    assert!(String::from_utf8_lossy(&output.stdout).contains("nothing that the build does not know of"));
    // it waits no longer
    place.run(&["parts", BUILD, "--here"]);
    assert!(place.run(&["parts", BUILD]).out.contains("waits for nothing"));
    // and the questions that were left out come: the new plate is measured
    let answers = answers_of("moor-rear");
    let rest = &answers[answers.find("\nspare-thickness").unwrap()..];
    let first = rest
        .lines()
        .find(|line| line.starts_with("spare-thickness/SG1/1"))
        .unwrap();
    let more: String = (1..=3)
        .map(|n| first.replace("SG1/1", &format!("SG4/{n}")) + "\n")
        .collect();
    // up to the laying in: with one plate more the choice is another one
    let until = rest.find("\nlaid-in").unwrap() + 1;
    let file = place.write("rest.answers", format!("{more}{}", &rest[..until]));
    let mut command = place.work(&unit_file("moor-rear"), &["--answers", file.to_str().unwrap()]);
    let output = command.output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(4), "{told}");
    assert!(told.contains("\"laid-in/"), "{told}");
    let answered = place.entries(BUILD).into_iter().any(|entry| {
        entry["kind"] == "answered"
            && entry["slot"]["step"] == "spare-thickness"
            && entry["slot"]["item"] == "SG4"
    });
    assert!(answered && kinds(&place).iter().any(|kind| kind == "answered"));
}

#[test]
fn what_another_job_has_taken_out_of_the_drawer_is_told_where_a_job_goes_on() {
    let place = begun();
    let drawer = fs::read_to_string(demo_file("moor-drawer.toml")).unwrap();
    let none = place.write("none.answers", "");
    let told_with = |drawer: String| {
        let drawer = place.write("drawer.toml", drawer);
        let unit = unit_file("moor-rear");
        let files = [unit.to_str().unwrap(), "--drawer", drawer.to_str().unwrap()];
        let answers = [
            "--answers",
            none.to_str().unwrap(),
            "--at",
            "2026-05-09T10:00:00Z",
        ];
        let all = [&["work", "full-rebuild"][..], &files, &answers].concat();
        let ran = place.program(&all).output().unwrap();
        let told = String::from_utf8_lossy(&ran.stderr).into_owned();
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let fewer = told_with(drawer.replacen("count = 6", "count = 4", 1));
    assert!(
        fewer.contains("the drawer has no longer what this build knows of: 2 of the shims of"),
        "{fewer}"
    );
    assert!(fewer.contains("--strike PART"), "{fewer}");
    let renamed = told_with(drawer.replacen("\"SG1\"", "\"SG9\"", 1));
    assert!(renamed.contains("knows of: SG1."), "{renamed}");
    // as it was, and with other words in it, nothing is told
    for drawer in [drawer.clone(), format!("# checked on Monday\n{drawer}")] {
        let told = told_with(drawer);
        assert!(
            !told.contains("no longer") && !told.contains("changed since"),
            "{told}"
        );
    }
}

#[test]
fn a_part_that_nobody_finds_needs_no_reading() {
    let place = begun();
    let strike = |part: &str| {
        place.run(&[
            "parts",
            BUILD,
            "--strike",
            part,
            "--reason",
            "only three are there",
        ])
    };
    for (part, words) in [
        ("SG9", "is no spare plate of the drawer"),
        ("0.33 mm", "no such shim"),
    ] {
        strike(part).fails(4, &[words, "nothing was written"]);
    }
    for part in ["sg3", "0.40 mm", "0.40 mm"] {
        assert_eq!(strike(part).code, 0, "{part}");
    }
    strike("0.40 mm").fails(4, &["no such shim"]);
    assert!(!plates(&place).contains(&"SG3".to_string()));
    let struck = kinds(&place).iter().filter(|kind| *kind == "part-struck").count();
    assert_eq!(struck, 3);
    place
        .run(&["parts", BUILD, "--strike", "SG1"])
        .fails(2, &["--reason"]);
}

#[test]
fn a_build_that_is_put_away_is_kept_and_counts_for_nothing() {
    let place = begun();
    let ran = place.run(&[
        "void",
        BUILD,
        "--reason",
        "the wrong unit",
        "--by",
        "B. Second (invented)",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(place.run(&["builds"]).out.contains("voided"));
    // nothing more is said of it, and the next job begins a build of its own
    for words in [
        &["void", BUILD, "--reason", "again"][..],
        &["parts", BUILD, "--wait-for", "oil"],
    ] {
        place.run(words).fails(4, &["was voided", "nothing was written"]);
    }
    let ran = place.demo("moor-rear", &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(place.journal_file("moor-rear-0002").exists());
    // a build that is finished is put right, not away
    place
        .run(&["void", "moor-rear-0002", "--reason", "no"])
        .fails(4, &["the build is finished", "shimwright correct"]);
}
