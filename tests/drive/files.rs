//! Days in and out as files: a TOML file, a table of laps with heads of its own, tables for other programs, the page.

use crate::made::{A, B, DAY, run, shop, whole};
use crate::made_font::made;
use crate::place::Place;
use std::fs;

const HEAD: &str = "format = \"shimwright day 1\"\n[day]\nwho = \"A. Driver (invented)\"\ndriven_on = \"2026-05-30\"\n\
                    event = \"Test (invented)\"\nair = \"18 °C\"\n[[tyres]]\nname = \"soft\"\ndistance = \"120 km\"\n";

fn imported(place: &Place, file: &str, more: &[&str]) -> crate::place::Ran {
    place.write("day.toml", file);
    place.run(
        &[
            &[
                "day",
                "moor-car.toml",
                "--import",
                "day.toml",
                "--at",
                "2026-06-01",
            ][..],
            more,
        ]
        .concat(),
    )
}

fn runs() -> String {
    format!(
        "[[run]]\nsetting = \"{A}\"\ntimes = [\"1:12.345\", \"72,41\", \"80.0 s\"]\nstruck = [\"3 traffic\"]\n\
         feel = {{ entry = \"more\", straight = \"right\" }}\n[[run]]\nsetting = \"{B}\"\ndistance = \"12 km\"\ntimes = [\"71.9\"]\n"
    )
}

#[test]
fn a_day_comes_in_by_a_file_as_it_would_by_questions() {
    let place = shop();
    let ran = imported(&place, &(HEAD.to_string() + &runs()), &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let day = place.json(&["days", DAY]);
    assert_eq!(
        (
            &day["runs"][0]["laps"][2]["struck"],
            &day["runs"][0]["felt"]["entry"]
        ),
        (&"traffic".into(), &1.into())
    );
    assert_eq!(
        (&day["runs"][1]["distance_km"], &day["air_celsius"]),
        (&12.0.into(), &18.0.into())
    );
    assert!(day["finished"].is_string());
    assert_eq!(place.run(&["check", DAY]).code, 12);
    // out again
    let laps = place.run(&["export", "laps"]).out;
    assert_eq!(laps.lines().count(), 5);
    assert!(
        laps.contains("moor-day-0001,2026-05-30,") && laps.contains(",3,80000,traffic"),
        "{laps}"
    );
    let feel = place.run(&["export", "feel", "--format", "jsonl"]).out;
    assert!(
        feel.lines().count() == 2 && feel.contains("\"phase\":\"entry\",") && feel.contains("\"step\":1"),
        "{feel}"
    );
    let told = place.run(&["export", "runs", "--columns"]).out;
    let csv = place.run(&["export", "runs"]).out;
    for column in csv.lines().next().unwrap().split(',') {
        assert!(told.contains(column), "{column}");
    }
}

#[test]
fn what_is_wrong_in_a_file_is_told_and_nothing_is_begun() {
    let place = shop();
    let good = HEAD.to_string() + &runs();
    for (spoilt, code, why) in [
        (good.replace("1:12.345", "1:72.345"), 3, "is no time of a lap"),
        (
            good.replace("entry = \"more\"", "entry = \"fine\""),
            3,
            "much-less",
        ),
        (good.replace("event =", "evnt ="), 3, "did you mean \"event\""),
        (
            good.replace(B, "moor-rear-0009"),
            4,
            "run-build/2: \"moor-rear-0009\" is none of these",
        ),
        (
            good.replace("3 traffic", "9 traffic"),
            4,
            "the number of a lap, 1 to 3",
        ),
        (
            good.replace("\"71.9\"", "\"12.0\""),
            4,
            "is it the time of a lap?; --sure",
        ),
        (
            good.replace("shimwright day 1", "shimwright day 2"),
            3,
            "a newer program",
        ),
    ] {
        imported(&place, &spoilt, &[]).fails(code, &[why]);
    }
    assert!(!place.book().join(DAY).exists());
    let odd = imported(&place, &good.replace("\"71.9\"", "\"12.0\""), &["--sure"]);
    assert_eq!(odd.code, 0, "{}", odd.err);
}

#[test]
fn a_table_of_laps_has_any_heads_which_the_file_says_once() {
    let place = shop();
    let columns = "[laps]\nrun = \"Stint\"\ntime = \"Lap Time\"\nsetting = \"Car\"\nstruck = \"Note\"\n";
    let table = |sign: &str| {
        let rows = [
            ["Stint", "Driver", "Lap Time", "Car", "Note"],
            ["1", "X", "1:12.345", A, ""],
            ["1", "X", "1:13.345", A, "traffic"],
            ["2", "X", "71.9", B, ""],
        ];
        rows.map(|row| row.join(sign)).join("\n") + "\n"
    };
    for sign in [",", ";", "\t"] {
        place.write("laps.csv", table(sign));
        let ran = imported(&place, &(HEAD.to_string() + columns), &["--laps", "laps.csv"]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    }
    let day = place.json(&["days", "moor-day-0003"]);
    assert_eq!(
        (&day["runs"][0]["laps"][1]["struck"], &day["runs"][1]["called"]),
        (&"traffic".into(), &B.into())
    );
    place.write("laps.csv", table(",").replace("Lap Time", "Zeit"));
    let refused = |file: String, why: &str| imported(&place, &file, &["--laps", "laps.csv"]).fails(4, &[why]);
    refused(
        HEAD.to_string() + columns,
        "has no column \"Lap Time\"; it has Stint, Driver, Zeit, Car, Note",
    );
    refused(
        HEAD.to_string() + &runs(),
        "does not say which columns the table has",
    );
    place.write(
        "laps.csv",
        table(",").replace("1:13.345,moor-rear-0001", "1:13.345,moor-rear-0002"),
    );
    refused(HEAD.to_string() + columns, "a run has one");
    place.write("laps.csv", table(",").replace("71.9", "fast"));
    refused(
        HEAD.to_string() + columns,
        "line 4 of the table: \"fast\" is no time",
    );
}

#[test]
fn the_page_is_one_and_says_what_the_screen_says() {
    let place = shop();
    let times = ["70.0", "69.1", "69.2", "70.31", "69.42", "70.5", "70.6", "69.7"];
    let runs: Vec<_> = times
        .iter()
        .enumerate()
        .map(|(at, times)| {
            let mut run = run(if [0, 3, 5, 6].contains(&at) { A } else { B }, times);
            run.felt = ["more", "right", "less", "much-more", "unsaid"];
            run
        })
        .collect();
    assert_eq!(place.driven(&whole("2026-05-30", &runs), &[]).code, 0);
    for paper in ["a4", "letter"] {
        let ran = place.run(&["runs", A, B, "--sheet", "runs.pdf", "--paper", paper, "--replace"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let pdf = fs::read(place.path("runs.pdf")).unwrap();
        assert!(pdf.starts_with(b"%PDF"));
    }
    let printed = fs::read(place.path("runs.pdf")).unwrap();
    place.write("shop.ttf", made(&[('漢', 'H')]));
    for words in [
        &["runs", A, B, "--sheet", "runs.pdf", "--paper", "letter"][..],
        &["days", DAY, "--sheet", "to-fill-in.pdf"],
    ] {
        let with = |font| place.run(&[words, &["--replace", "--font", font]].concat());
        with("no-such.ttf").fails(3, &["no-such.ttf is not there"]);
        with("moor-car.toml").fails(3, &["no TrueType or OpenType font"]);
        let ran = with("shop.ttf");
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    // no sign of it was needed
    assert_eq!(fs::read(place.path("runs.pdf")).unwrap(), printed);
    let ran = place.run(&["runs", A, B, "--sheet", "runs.svg"]);
    assert!(ran.out.contains("The runs sheet: runs.svg"), "{}", ran.out);
    let svg = fs::read_to_string(place.path("runs.svg")).unwrap();
    for words in [
        "moor-rear-0002 is faster than moor-rear-0001 by",
        "page 1 of 1",
        "run, in the order driven",
        "entry",
    ] {
        assert!(svg.contains(words), "{words}");
    }
}
