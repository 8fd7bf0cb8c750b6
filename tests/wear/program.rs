//! The program from outside, on the invented history of the demonstration.

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;
use tempfile::TempDir;

fn program(at: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_shimwright"))
        .args(arguments)
        .current_dir(at)
        .env_remove("SHIMWRIGHT_BOOK")
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The history, played once for all tests.
pub fn played() -> &'static TempDir {
    static PLAYED: OnceLock<TempDir> = OnceLock::new();
    PLAYED.get_or_init(|| {
        let at = TempDir::new().unwrap();
        let done = program(at.path(), &["demo", "--history"]);
        assert_eq!(done.status.code(), Some(0), "{}", err(&done));
        at
    })
}

/// A copy of the played book that may be spoilt.
fn copied() -> TempDir {
    let copy = TempDir::new().unwrap();
    let book = copy.path().join("book");
    for build in fs::read_dir(played().path().join("output/demo-book")).unwrap() {
        let build = build.unwrap().path();
        if !build.is_dir() {
            continue;
        }
        let to = book.join(build.file_name().unwrap());
        fs::create_dir_all(&to).unwrap();
        for file in fs::read_dir(&build).unwrap() {
            let file: PathBuf = file.unwrap().path();
            fs::copy(&file, to.join(file.file_name().unwrap())).unwrap();
        }
    }
    copy
}

fn wear(at: &Path, more: &[&str]) -> Output {
    let mut arguments = vec!["wear"];
    arguments.extend(more);
    program(at, &arguments)
}

const BOOK: [&str; 3] = ["moor-rear", "--book", "output/demo-book"];

fn json(output: &Output) -> Value {
    assert_eq!(output.status.code(), Some(0), "{}", err(output));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn the_invented_wear_comes_back_from_the_book() {
    let report = json(&wear(played().path(), &[&BOOK[..], &["--json"]].concat()));
    assert_eq!(report["builds"].as_array().unwrap().len(), 4);
    let plates = report["plates"].as_array().unwrap();
    assert_eq!(plates.len(), 20);
    // the head of the history says 9 and 1 micrometres each 1000 km, and more for two of them
    for plate in plates {
        let rate = plate["mean_mm"]["loss_per_distance"].as_f64().unwrap() * 1e6;
        let name = plate["name"].as_str().unwrap();
        let about = match name {
            "G4" | "G7" => 12.0..15.5,
            _ if name.starts_with('G') => 7.5..9.6,
            _ => 0.4..1.8,
        };
        assert!(about.contains(&rate), "{name}: {rate}");
    }
    let first = |name: &str| {
        plates.iter().find(|plate| plate["name"] == name).unwrap()["least_mm"]["meets"]["at"]
            .as_f64()
            .unwrap()
    };
    assert!(first("G4") < first("G1") && first("G1") < first("C1"));
}

#[test]
fn the_words_are_at_most_eighty_columns_wide_and_say_what_comes_first() {
    let done = wear(played().path(), &BOOK);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let text = out(&done);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for fact in [
        "4 finished builds, 4910 km",
        "First to come",
        "The breakaway from build to build",
        "left pack",
    ] {
        assert!(text.contains(fact), "{fact} is missing in:\n{text}");
    }
}

#[test]
fn every_line_of_csv_has_its_thirteen_cells() {
    let done = wear(played().path(), &[&BOOK[..], &["--csv"]].concat());
    let text = out(&done);
    let lines: Vec<&str> = text.lines().collect();
    // twenty plates four times, two lines each, at least
    assert!(lines.len() > 160, "{}", lines.len());
    for line in &lines {
        assert_eq!(line.split(',').count(), 13, "{line}");
    }
    assert!(
        lines.contains(
            &"breakaway,,,moor-rear-0002,moor-rear,2024-03-09T09:00:00Z,0,1450,km,found,86,1.72,N·m"
        ),
        "{text}"
    );
}

#[test]
fn a_unit_is_named_by_its_file_too() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-units/moor-rear.toml");
    let done = wear(
        played().path(),
        &[file.to_str().unwrap(), "--book", "output/demo-book"],
    );
    assert_eq!(out(&done), out(&wear(played().path(), &BOOK)));
}

#[test]
fn an_unknown_unit_and_an_empty_book_are_said() {
    for arguments in [
        ["fell-front", "--book", "output/demo-book"],
        ["moor-rear", "--book", "no-such-book"],
    ] {
        let done = wear(played().path(), &arguments);
        assert_eq!(done.status.code(), Some(8), "{}", err(&done));
        assert!(
            err(&done).contains("there is no build of a unit"),
            "{}",
            err(&done)
        );
    }
}

#[test]
fn a_damaged_build_is_told_and_the_others_count() {
    let copy = copied();
    let journal = copy.path().join("book/moor-rear-0002/journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(&journal, text.replacen("grey paste", "grey dust", 1)).unwrap();
    fs::write(copy.path().join("book/moor-rear-0003/unit.toml"), "nothing = [").unwrap();
    let report = json(&wear(copy.path(), &["moor-rear", "--book", "book", "--json"]));
    assert_eq!(report["builds"].as_array().unwrap().len(), 2);
    let told = report["told"].to_string();
    assert!(
        told.contains("moor-rear-0002 is damaged") && told.contains("moor-rear-0003 is damaged"),
        "{told}"
    );
    let words = out(&wear(copy.path(), &["moor-rear", "--book", "book"]));
    assert!(words.contains("not said from fewer than three builds"), "{words}");
}

#[test]
fn a_history_that_is_there_is_left_as_it_is() {
    let done = program(played().path(), &["demo", "--history"]);
    assert!(out(&done).contains("is there already"), "{}", out(&done));
}
