//! The options of `wear` and `between`, from outside.

use crate::place::{Place, answers_of, demo_file, unit_file};
use crate::program::played;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// A place with the invented history as its book.
fn moor() -> Place {
    let place = Place::new();
    copy(&played().path().join("output/demo-book"), &place.book());
    place
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap().path();
        let there = to.join(entry.file_name().unwrap());
        if entry.is_dir() {
            copy(&entry, &there);
        } else {
            fs::copy(&entry, &there).unwrap();
        }
    }
}

/// The answers of a demo with other lines; a line without an answer is left out.
fn changed(demo: &str, change: impl Fn(&str, &str) -> Option<String>) -> String {
    let lines = answers_of(demo);
    let lines = lines.lines().filter_map(|line| match line.split_once(" = ") {
        Some((slot, answer)) if !line.starts_with('#') => Some(format!("{slot} = {}", change(slot, answer)?)),
        _ => Some(line.to_string()),
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

fn play(place: &Place, procedure: &str, unit: &str, year: usize, answers: &str) {
    let unit = unit_file(unit);
    let file = place.write("some.answers", answers);
    let at = format!("{year}-05-01T10:00:00Z");
    let mut command = place.program(&["work", procedure, unit.to_str().unwrap(), "--at", &at]);
    command.args(place.own_drawer(&unit));
    // each year's answers are written for the unit as its file lists it
    let done = command
        .args(["--as-listed", "--answers", file.to_str().unwrap()])
        .output()
        .unwrap();
    assert_eq!(
        done.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
}

/// Plates that lose 6 µm in 10 h, looked at four times, the hours typed where a distance is asked for.
fn counted_in_hours() -> Place {
    let place = Place::new();
    for n in 0..4 {
        let answers = changed("moor-rear-inspect-plates", |slot, answer| match slot {
            "distance" => Some(format!("{}.5 h", 10 * (n + 1))),
            _ if slot.starts_with("remeasure/") || slot.starts_with("fate/") => None,
            _ if slot.starts_with("plate-thickness/G") => {
                let mm: f64 = answer.parse().unwrap();
                Some(format!("{:.3}", mm + 0.04 - 0.006 * n as f64))
            }
            _ => Some(answer.to_string()),
        });
        play(&place, "inspect-plates", "moor-rear", 2020 + n, &answers);
    }
    place
}

/// A unit that is set to a gap, re-shimmed three times.
fn gapped() -> Place {
    let place = Place::new();
    for n in 0..3 {
        let answers = changed("fell-front-reshim", |slot, answer| match slot {
            "distance" => Some(format!("{} km", 600 + 40 * n)),
            _ => Some(answer.to_string()),
        });
        play(&place, "reshim", "fell-front", 2020 + n, &answers);
    }
    place
}

fn text_of(pdf: &Path) -> (usize, String) {
    let file = lopdf::Document::load(pdf).unwrap();
    let pages: Vec<u32> = file.get_pages().into_keys().collect();
    (pages.len(), file.extract_text(&pages).unwrap())
}

#[test]
fn a_unit_counted_in_hours_wears_by_the_hour() {
    let place = counted_in_hours();
    let report = place.run(&["wear", "moor-rear", "--json"]).json();
    assert_eq!(report["distances_in"], "h");
    let plates = report["plates"].as_array().unwrap();
    for plate in plates.iter().filter(|plate| plate["keyed"] == "gear") {
        let rate = plate["mean_um"]["loss_per_distance"].as_f64().unwrap();
        assert!((rate - 0.6).abs() < 0.02, "{}: {rate}", plate["name"]);
    }
    let words = place.run(&["wear", "moor-rear"]);
    assert_eq!(words.code, 0);
    for fact in [
        "30 h between them",
        " 10.5 ",
        " 40.5 ",
        "µm in 10 h",
        "h to the limit",
    ] {
        assert!(words.out.contains(fact), "{fact} is missing in:\n{}", words.out);
    }
    // miles are no hours
    let inch = place.run(&["wear", "moor-rear", "--units", "inch"]);
    assert!(
        inch.out.contains("thou in 10 h") && !inch.out.contains(" mi "),
        "{}",
        inch.out
    );
    let entries = place.entries("moor-rear-0001");
    let answered = entries
        .iter()
        .find(|entry| entry["slot"]["step"] == "distance")
        .unwrap();
    assert_eq!(answered["value"]["running_hours"], 10.5);
    place
        .run(&["wear", "moor-rear", "--after", "500 km"])
        .fails(2, &["--after", "but a time is wanted"]);
    let then = place
        .run(&["wear", "moor-rear", "--after", "2.5 h", "--json"])
        .json();
    assert_eq!(then["remedies"]["after"], 2.5);
    // one more look that counts its distance in km after all: it is told and set against nothing
    let answers = changed("moor-rear-inspect-plates", |slot, answer| {
        Some(if slot == "distance" { "900 km" } else { answer }.to_string())
    });
    play(&place, "inspect-plates", "moor-rear", 2025, &answers);
    let told = place.run(&["wear", "moor-rear", "--json"]).json()["told"].to_string();
    assert!(told.contains("counts in hours"), "{told}");
}

#[test]
fn hours_that_can_not_be_are_refused_where_they_are_asked_for() {
    for (answer, fact) in [
        ("-3 h", "at least 0 h"),
        ("900 h", "is long"),
        ("2000000 h", "at most 1000000 h"),
        ("99999999 km", "at most 1000000 km"),
        ("12 kg", "a distance driven is wanted"),
    ] {
        let place = Place::new();
        let answers = changed("moor-rear-inspect-plates", |slot, known| {
            Some(if slot == "distance" { answer } else { known }.to_string())
        });
        let file = place.write("some.answers", answers);
        let unit = unit_file("moor-rear");
        let mut command = place.program(&["work", "inspect-plates", unit.to_str().unwrap()]);
        command.args(place.own_drawer(&unit));
        let done: crate::place::Ran = command
            .args(["--answers", file.to_str().unwrap()])
            .output()
            .unwrap()
            .into();
        done.fails(4, &[fact]);
    }
}

#[test]
fn remedies_are_reckoned_for_the_distance_that_is_asked_for() {
    let place = moor();
    let of = |more: &[&str]| {
        place
            .run(&[&["wear", "moor-rear", "--json"], more].concat())
            .json()["remedies"]
            .clone()
    };
    let now = of(&["--after", "0 km"]);
    let later = of(&["--after", "1200 km"]);
    assert_eq!(later["after"], 1200.0);
    assert_eq!(later["reckoned_for"], "asked");
    let preload = |report: &Value, n: usize| report["list"][n]["preload_n"][0].as_f64().unwrap();
    // as the last build left it, and 1200 km of both packs later
    assert!((preload(&now, 0) - 1059.8).abs() < 0.1, "{now}");
    assert!(preload(&later, 0) < preload(&now, 0) - 50.0);
    assert_eq!(later["list"][1]["what"]["kind"], "shims");
    assert!((1000.0..=1300.0).contains(&preload(&later, 1)));
    // in miles it is the same distance
    let miles = of(&["--after", "745.6454 mi"]);
    assert!((miles["after"].as_f64().unwrap() - 1200.0).abs() < 1e-3);
    let words = place.run(&["wear", "moor-rear", "--after", "1200 km"]);
    assert!(
        words
            .out
            .contains("1200 km after the last build; by the trends themselves"),
        "{}",
        words.out
    );
    for line in words.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn another_drawer_gives_other_shims_and_plates() {
    let place = moor();
    let of = |more: &[&str]| {
        let more = [&["wear", "moor-rear", "--after", "1200 km", "--json"], more].concat();
        place.run(&more).json()["remedies"].clone()
    };
    // the history was played without spares
    let kept = of(&[]);
    let kind = |report: &Value, kind: &str| {
        let list = report["list"].as_array().unwrap();
        list.iter()
            .find(|one| one["what"]["kind"] == kind)
            .cloned()
            .unwrap()
    };
    assert_eq!(kind(&kept, "plates")["what"]["swaps"][0]["spare"], Value::Null);
    let other = of(&["--drawer", demo_file("moor-drawer.toml").to_str().unwrap()]);
    assert_eq!(kind(&other, "plates")["what"]["swaps"][0]["spare"], "SG1");
    let empty = place.write("empty.toml", "format = \"shimwright drawer 1\"\n");
    let none = of(&["--drawer", empty.to_str().unwrap()]);
    assert_ne!(
        kind(&none, "shims")["what"]["shims_um"],
        kind(&kept, "shims")["what"]["shims_um"]
    );
    place
        .run(&["wear", "moor-rear", "--drawer", "no-such.toml"])
        .fails(3, &["no-such.toml"]);
}

#[test]
fn a_distance_that_can_not_be_is_refused() {
    let place = moor();
    let cases: [(&str, i32, &str); 7] = [
        ("--after=5 N·m", 2, "but a distance driven is wanted"),
        ("--after=20 h", 2, "is a time"),
        ("--after=500", 2, "has no unit"),
        ("--after=NaN km", 2, "--after"),
        ("--after=", 2, "--after"),
        ("--after=-5 km", 9, "at least 0 km"),
        ("--after=2000000 km", 9, "at most 1000000 km"),
    ];
    for (after, code, fact) in cases {
        place
            .run(&["wear", "moor-rear", after])
            .fails(code, &["--after", fact]);
    }
}

#[test]
fn an_unknown_unit_and_one_that_was_never_finished_are_said() {
    let place = moor();
    place
        .run(&["wear", "no-such", "--after", "5 km"])
        .fails(8, &["there is no build of a unit \"no-such\""]);
    let place = Place::new();
    let begun = place.answered(&unit_file("moor-rear"), "who = A. Fitter (invented)\n", &[]);
    assert_ne!(begun.code, 0);
    place
        .run(&["wear", "moor-rear", "--sheet", "wear.pdf"])
        .fails(8, &["is finished and whole"]);
    assert!(!place.path("wear.pdf").exists());
}

#[test]
fn the_sheet_is_one_page_of_the_same_bytes_and_never_says_that_a_unit_is_safe() {
    let place = moor();
    for (paper, units) in [
        ("a4", "metric"),
        ("letter", "metric"),
        ("a4", "inch"),
        ("letter", "inch"),
    ] {
        let write = |name: &str| {
            let done = place.run(&[
                "wear",
                "moor-rear",
                "--sheet",
                name,
                "--paper",
                paper,
                "--units",
                units,
            ]);
            assert_eq!(done.code, 0, "{}", done.err);
            assert!(
                done.out.contains(&format!("The wear sheet: {name}")),
                "{}",
                done.out
            );
            fs::read(place.path(name)).unwrap()
        };
        let first = write(&format!("{paper}-{units}.pdf"));
        assert_eq!(first, write(&format!("{paper}-{units}-again.pdf")));
        let (pages, text) = text_of(&place.path(&format!("{paper}-{units}.pdf")));
        assert_eq!(pages, 1);
        for fact in [
            "WEAR SHEET",
            "Moor rear",
            "G4",
            "more plates",
            "What to do about it",
            "The vehicle maker's manual, local rules and a qualified person come first.",
            "does not say that the unit is safe",
        ] {
            assert!(text.contains(fact), "{fact} is missing in:\n{text}");
        }
    }
}

#[test]
fn the_sheet_of_few_builds_of_a_gap_and_of_long_names_is_one_page_too() {
    let few = Place::new();
    assert_eq!(few.demo("moor-rear", &[]).code, 0);
    let gap = gapped();
    let long = counted_in_hours();
    for n in 1..=4 {
        let file = long.book().join(format!("moor-rear-000{n}/unit.toml"));
        assert!(file.exists());
    }
    for (place, unit, facts) in [
        (&few, "moor-rear", ["too few (1)", "fewer than three builds"]),
        (&gap, "fell-front", ["Gap left (mm)", "No plate was measured"]),
        (
            &long,
            "moor-rear",
            ["h to the limit", "remedies can not be reckoned"],
        ),
    ] {
        for paper in ["a4", "letter"] {
            let name = format!("{paper}.pdf");
            let done = place.run(&["wear", unit, "--sheet", &name, "--paper", paper]);
            assert_eq!(done.code, 0, "{}", done.err);
            let (pages, text) = text_of(&place.path(&name));
            assert_eq!(pages, 1);
            for fact in facts {
                assert!(text.contains(fact), "{fact} is missing in:\n{text}");
            }
        }
    }
}

#[test]
fn a_sheet_is_written_over_nothing_and_nowhere_else() {
    let place = moor();
    let there = place.write("there.pdf", "mine");
    place
        .run(&["wear", "moor-rear", "--sheet", "there.pdf"])
        .fails(1, &["is there already", "--replace"]);
    assert_eq!(fs::read(&there).unwrap(), b"mine");
    let done = place.run(&["wear", "moor-rear", "--sheet", "there.pdf", "--replace"]);
    assert_eq!(done.code, 0, "{}", done.err);
    assert!(fs::read(&there).unwrap().starts_with(b"%PDF"));
    place
        .run(&["wear", "moor-rear", "--sheet", "no-such/folder/wear.pdf"])
        .fails(1, &["no-such/folder"]);
    place
        .run(&["wear", "moor-rear", "--sheet", "new.pdf", "--csv"])
        .fails(2, &["--sheet <FILE> and --csv do not go together"]);
    assert!(!place.path("new.pdf").exists());
}

#[test]
fn a_unit_that_is_set_to_a_gap_has_the_trend_of_its_gap() {
    let place = gapped();
    let report = place.run(&["wear", "fell-front", "--json"]).json();
    let gaps = report["gaps"].as_array().unwrap();
    assert_eq!(gaps.len(), 2);
    for (gap, left) in gaps.iter().zip([215.0, 225.0]) {
        assert!((gap["now"].as_f64().unwrap() - left).abs() < 1e-9);
        assert_eq!(gap["most"], 300.0);
        assert_eq!(gap["least"], Value::Null);
        // found and left in each build are the same: what it grows by stands in its stretches
        let stretch = &gap["stretches"][0];
        let grown = stretch["found"].as_f64().unwrap() - stretch["left"].as_f64().unwrap();
        let rate = gap["outlook"]["loss_per_distance"].as_f64().unwrap();
        let far = [640.0_f64, 680.0];
        let wanted = grown * far.iter().sum::<f64>() / far.iter().map(|far| far * far).sum::<f64>();
        assert!((rate - wanted).abs() < 1e-9, "{rate} {wanted}");
    }
    let words = place.run(&["wear", "fell-front", "--after", "300 km"]);
    for fact in [
        "gap left, mm",
        "km to the most",
        "shims +",
        "springs are not in it",
    ] {
        assert!(words.out.contains(fact), "{fact} is missing in:\n{}", words.out);
    }
    for line in words.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let csv = place.run(&["wear", "fell-front", "--csv"]);
    assert!(
        csv.out
            .contains("gap,left,,fell-front-0003,fell-front,2022-05-01T10:00:00Z,0,1320,km,left,215,"),
        "{}",
        csv.out
    );
}

#[test]
fn both_commands_show_inches_and_pounds_where_that_is_asked_for() {
    let place = moor();
    let metric = place.run(&["wear", "moor-rear", "--json"]).json();
    let inch = place
        .run(&["wear", "moor-rear", "--json", "--units", "inch"])
        .json();
    // what is for machines has its unit of measure in each key
    assert_eq!(metric, inch);
    let words = place.run(&["wear", "moor-rear", "--units", "inch"]);
    assert_eq!(words.code, 0, "{}", words.err);
    // 83.5 N·m and 1059.8 N as left; G4 71 µm down to 1.927 mm; 4910 km
    for fact in [
        "breakaway, lbf·ft 61.6",
        "preload, lbf 238.3",
        "3051 mi between them",
        "G4 0.0759 2.8",
    ] {
        let squeezed: Vec<&str> = words.out.split_whitespace().collect();
        assert!(
            squeezed.join(" ").contains(fact),
            "{fact} is missing in:\n{}",
            words.out
        );
    }
    for metric in [" km", "N·m", " mm", "µm"] {
        assert!(!words.out.contains(metric), "{metric} stands in:\n{}", words.out);
    }
    let between = place.run(&["between", "moor-rear-0003", "moor-rear-0004", "--units", "inch"]);
    assert_eq!(between.code, 0, "{}", between.err);
    for fact in [
        "1143 mi after",
        "Breakaway as left,",
        "lbf·ft",
        "Preload as left, lbf",
    ] {
        assert!(
            between.out.contains(fact),
            "{fact} is missing in:\n{}",
            between.out
        );
    }
    for metric in [" km", "N·m", " mm", "µm"] {
        assert!(
            !between.out.contains(metric),
            "{metric} stands in:\n{}",
            between.out
        );
    }
    for line in between.out.lines().chain(words.out.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let both = |units: &str| -> PathBuf {
        let path = place.path(units);
        let done = place.run(&[
            "between",
            "moor-rear-0003",
            "moor-rear-0004",
            "--json",
            "--units",
            units,
        ]);
        fs::write(&path, done.out).unwrap();
        path
    };
    assert_eq!(fs::read(both("metric")).unwrap(), fs::read(both("inch")).unwrap());
}

#[test]
fn of_two_limits_that_may_be_met_already_the_likelier_one_is_named() {
    let place = moor();
    for after in ["805 km", "1000 km"] {
        let report = place
            .run(&["wear", "moor-rear", "--after", after, "--json"])
            .json();
        let remedies = report["remedies"]["list"].as_array().unwrap();
        let of = |kind: &str| {
            let one = remedies.iter().find(|one| one["what"]["kind"] == kind).unwrap();
            one["holds"].clone()
        };
        // both may be met from the first on; new oil does nothing for the preload
        let (nothing, oil) = (of("nothing"), of("oil"));
        assert_eq!(nothing["what"], "preload", "{report}");
        assert_eq!(nothing["from"], 0.0);
        assert_eq!(nothing, oil);
    }
}

#[test]
fn the_wear_that_settle_counts_in_its_bands_is_that_of_the_trends() {
    let place = moor();
    let demo = |name: &str| format!("{}/demo-units/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let (car, unit) = (demo("moor-car"), demo("moor-rear"));
    let line = ["settle", &car, "--use", "hillclimb", "--unit", &unit, "--json"];
    let settled = place.run(&[&line[..], &["--after", "1500 km"]].concat()).json();
    let without = place.run(&line).json();
    assert_eq!(settled["now"], without["now"]);
    let wear = |report: &Value| -> Option<Value> {
        let mut all = report["guesses"].as_array().unwrap().iter();
        all.find(|one| one["guess"] == "wear over the distance").cloned()
    };
    assert_eq!(wear(&without), None);
    let share = wear(&settled).unwrap()["least_share"].as_f64().unwrap();
    let left = |after: &str| {
        let report = place
            .run(&["wear", "moor-rear", "--after", after, "--json"])
            .json();
        report["remedies"]["list"][0]["preload_n"][0].as_f64().unwrap()
    };
    // the file's unit has 1150 N on each pack
    let lost = left("0 km") - left("1500 km");
    assert!(
        lost > 50.0 && (-share * 1150.0 - lost).abs() < 0.05 * lost,
        "{share} {lost}"
    );
    let nowhere = [&line[..], &["--after", "1500 km", "--book", "no-such-book"]].concat();
    place
        .run(&nowhere)
        .fails(5, &["there is no book in no-such-book"]);
}
