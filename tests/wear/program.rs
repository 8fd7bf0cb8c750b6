//! The program from outside, on the invented history of the demonstration.

use crate::place::demo_file;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::OnceLock;
use tempfile::TempDir;

fn program(at: &Path, arguments: &[&str]) -> Output {
    crate::started::program()
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
        let rate = plate["mean_um"]["loss_per_distance"].as_f64().unwrap() * 1e3;
        let name = plate["name"].as_str().unwrap();
        let about = match name {
            "G4" | "G7" => 12.0..15.5,
            _ if name.starts_with('G') => 7.5..9.6,
            _ => 0.4..1.8,
        };
        assert!(about.contains(&rate), "{name}: {rate}");
    }
    let first = |name: &str| {
        plates.iter().find(|plate| plate["name"] == name).unwrap()["least_um"]["meets"]["at"]
            .as_f64()
            .unwrap()
    };
    assert!(first("G4") < first("G1") && first("G1") < first("C1"));
    let bands = plates.iter().map(|plate| &plate["mean_um"]);
    let bands = bands.chain([&report["preload"][0]["outlook"], &report["breakaway"]["outlook"]]);
    for band in bands {
        is_told_by_its_parts(band);
    }
}

/// One to three parts, the largest first, that together are no more than the whole.
fn is_told_by_its_parts(of: &Value) {
    let parts = of["parts"].as_array().unwrap();
    let shares: Vec<f64> = parts.iter().map(|part| part["share"].as_f64().unwrap()).collect();
    assert!((1..=3).contains(&shares.len()), "{of}");
    assert!(shares.is_sorted_by(|one, other| one >= other), "{of}");
    let sum: f64 = shares.iter().sum();
    assert!(
        shares.iter().all(|share| *share > 0.0) && sum <= 1.0 + 1e-9,
        "{of}"
    );
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
    let unit = "there is no build of a unit";
    for (arguments, code, words) in [
        (["fell-front", "--book", "output/demo-book"], 8, unit),
        (["moor-rear", "--book", "output"], 8, unit),
        (["moor-rear", "--book", "no-such-book"], 5, "there is no book in"),
    ] {
        let done = wear(played().path(), &arguments);
        assert_eq!(done.status.code(), Some(code), "{}", err(&done));
        assert!(err(&done).contains(words), "{}", err(&done));
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

#[test]
fn builds_that_are_no_neighbours_have_all_that_was_driven_between_them() {
    let gone = |before: &str, after: &str| {
        let arguments = ["between", before, after, "--book", "output/demo-book"];
        let words = out(&program(played().path(), &arguments));
        let json = json(&program(played().path(), &[&arguments[..], &["--json"]].concat()));
        (
            words.lines().next().unwrap().to_string(),
            json["distance_km"].as_f64(),
        )
    };
    // 1450, 1620 and 1840 km, by the lines `distance = ` of demo-units/moor-rear.history
    let (words, km) = gone("moor-rear-0001", "moor-rear-0004");
    assert_eq!(km, Some(4910.0));
    assert_eq!(words, "moor-rear-0001 and moor-rear-0004, 4910 km after.");
    let (words, km) = gone("moor-rear-0004", "moor-rear-0003");
    assert_eq!(km, Some(-1840.0));
    assert_eq!(words, "moor-rear-0004 and moor-rear-0003, 1840 km before.");
}

#[test]
fn two_builds_stand_side_by_side_within_eighty_columns() {
    let book = ["--book", "output/demo-book"];
    let done = program(
        played().path(),
        &[&["between", "moor-rear-0003", "moor-rear-0004"][..], &book].concat(),
    );
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let text = out(&done);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for fact in [
        "1840 km after",
        "Breakaway as left",
        "changed",
        "within what can be told",
        "Plates as found",
        "Where the ± comes from: breakaway as",
    ] {
        assert!(text.contains(fact), "{fact} is missing in:\n{text}");
    }
    let report = json(&program(
        played().path(),
        &[
            &["between", "moor-rear-0003", "moor-rear-0004", "--json"][..],
            &book,
        ]
        .concat(),
    ));
    let left = report["changes"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["what"] == "Breakaway as left")
        .unwrap();
    // 92.5 and 83.5 N·m, by a wrench of 4 % with k = 2
    assert_eq!(left["judged"], "changed");
    assert!((left["difference"].as_f64().unwrap() + 9.0).abs() < 1e-9);
    is_told_by_its_parts(left);
    // each friction plate lost 14 to 27 micrometres in 1840 km: all of it can be told
    let plates = report["plates_um"].as_array().unwrap();
    let gear: Vec<_> = plates
        .iter()
        .filter(|one| one["what"].as_str().unwrap().ends_with(", gear"))
        .collect();
    assert_eq!(gear.len(), 10);
    assert!(gear.iter().all(|one| one["judged"] == "changed"), "{gear:?}");
}

#[test]
fn a_build_that_is_not_there_is_said_in_between() {
    for builds in [
        ["moor-rear-0001", "moor-rear-0009"],
        ["../moor", "moor-rear-0001"],
    ] {
        let done = program(
            played().path(),
            &["between", builds[0], builds[1], "--book", "output/demo-book"],
        );
        assert_eq!(done.status.code(), Some(8), "{}", err(&done));
    }
}

#[test]
fn the_sheet_says_what_changed_since_the_last_build_and_has_no_more_pages_of_a4_for_it() {
    let at = copied();
    let sheet = |paper: &str| {
        let done = program(
            at.path(),
            &[
                "sheet",
                "moor-rear-0004",
                "--book",
                "book",
                "--paper",
                paper,
                "--out",
                "sheet.pdf",
            ],
        );
        assert_eq!(done.status.code(), Some(0), "{}", err(&done));
        let file = lopdf::Document::load(at.path().join("sheet.pdf")).unwrap();
        let pages: Vec<u32> = file.get_pages().into_keys().collect();
        (pages.len(), file.extract_text(&pages).unwrap())
    };
    let with = ["a4", "letter"].map(sheet);
    assert!(with[0].1.contains("Since moor-rear-0003"), "{}", with[0].1);
    for n in 1..4 {
        fs::remove_dir_all(at.path().join(format!("book/moor-rear-000{n}"))).unwrap();
    }
    let without = ["a4", "letter"].map(sheet);
    assert!(!without[0].1.contains("Since moor-rear"));
    // on A4 it takes the room of no page; the shorter letter paper is full without it
    assert_eq!((with[0].0, without[0].0), (3, 3));
    assert!(with[1].0 <= without[1].0 + 1 && with[1].0 <= 4);
}

#[test]
fn a_check_without_a_distance_never_promises_more_and_its_distance_can_be_put_in_later() {
    let at = copied();
    let answers = fs::read_to_string(demo_file("moor-rear-bench-check.answers")).unwrap();
    let asked = answers
        .lines()
        .find(|line| line.starts_with("distance = "))
        .unwrap();
    let answers = answers.replace(asked, "distance = !skip nobody wrote it down");
    fs::write(at.path().join("check.answers"), answers).unwrap();
    let report = || json(&wear(at.path(), &["moor-rear", "--book", "book", "--json"]));
    let before = report();
    assert!(before["first"]["used_at_least"].is_null(), "{}", before["first"]);
    let unit = demo_file("moor-rear.toml");
    let mut work = vec!["work", "bench-check", unit.to_str().unwrap(), "--book", "book"];
    work.extend(["--answers", "check.answers", "--at", "2026-09-01T10:00:00Z"]);
    let done = program(at.path(), &work);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let after = report();
    for key in ["what", "earliest"] {
        assert_eq!(after["first"][key], before["first"][key], "{}", after["first"]);
    }
    assert_eq!(after["first"]["known_to"], "moor-rear-0004");
    assert_eq!(after["first"]["used_at_least"], 0.0);
    let words = out(&wear(at.path(), &["moor-rear", "--book", "book"])).replace('\n', " ");
    assert!(
        words.contains("after moor-rear-0004, of which at least 0 are used up; since when is unknown"),
        "{words}"
    );
    let fleet = out(&program(at.path(), &["fleet", "--book", "book"]));
    assert!(fleet.contains("sooner") && fleet.contains("not known"), "{fleet}");
    let mut correct = vec![
        "correct",
        "moor-rear-0005",
        "distance",
        "300 km",
        "--book",
        "book",
    ];
    correct.extend([
        "--reason",
        "it stands in the car's book",
        "--by",
        "Tom Bench (invented)",
    ]);
    let done = program(at.path(), &correct);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let known = report();
    assert!(known["first"]["used_at_least"].is_null(), "{}", known["first"]);
    assert_eq!(known["builds"][4]["distance"], 300.0);
    let preload = |report: &Value| report["preload"][0]["outlook"]["meets"]["from"].as_f64().unwrap();
    assert!((preload(&known) - (preload(&before) - 300.0)).abs() < 1e-6);
    assert!((preload(&after) - preload(&before)).abs() < 1e-6);
}
