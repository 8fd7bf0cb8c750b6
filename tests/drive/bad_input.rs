//! What people get wrong about a day: each is told, and nothing is taken that can not be.

use crate::made::{A, DAY, head, of_run, run, shop, whole};
use crate::place::{Place, unit_file};
use std::fs;

fn refused(place: &Place, line: &str, with: &str, why: &str) {
    let answers = whole("2026-05-30", &[run(A, "72.1 72.2 72.3")]);
    let spoilt = answers.replace(&format!("{line}\n"), &format!("{with}\n"));
    assert_ne!(answers, spoilt);
    place.driven(&spoilt, &["--new"]).fails(4, &[why]);
}

#[test]
fn times_that_are_none_are_refused() {
    let place = shop();
    for (times, why) in [
        ("1:72.3", "is no time of a lap"),
        ("72,345,100", "is no time of a lap"),
        ("72.1 fast", "\"fast\" is no time of a lap"),
        ("72.1 72.2 72.3 12.0", "12.000 among laps of about 1:12.200"),
    ] {
        let answers = whole("2026-05-30", &[run(A, times)]);
        place.driven(&answers, &["--new"]).fails(4, &[why]);
    }
    for (times, milliseconds) in [
        ("1:12.345", 72_345),
        ("72,345", 72_345),
        ("72.345 s", 72_345),
        ("0:01:12,3", 72_300),
    ] {
        let ran = place.driven(&whole("2026-05-30", &[run(A, times)]), &["--new", "--json"]);
        let day = ran.json();
        assert_eq!(day["runs"][0]["laps"][0]["time_ms"], milliseconds, "{times}");
    }
}

#[test]
fn a_day_before_the_build_was_made_is_asked_again_and_told() {
    let place = shop();
    let answers = whole("2026-04-01", &[run(A, "72.1 72.2 72.3")]);
    place.driven(&answers, &[]).fails(
        4,
        &["moor-rear-0001 was made on 2026-05-09, and this day is of 2026-04-01"],
    );
    let sure = answers.replace(
        "run-build/1 = moor-rear-0001",
        "run-build/1 = moor-rear-0001 sure",
    );
    let ran = place.driven(&sure, &["--new"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let day = place.json(&["days", "moor-day-0002"]);
    assert!(
        day["odd"][0]
            .as_str()
            .unwrap()
            .contains("confirmed though it looked odd"),
        "{day}"
    );
}

#[test]
fn a_run_with_a_build_that_was_never_finished_is_asked_again_and_told() {
    let place = shop();
    let unit = unit_file("moor-rear");
    let text: String = crate::place::answers_of("moor-rear")
        .lines()
        .take_while(|line| !line.starts_with("refitted") && !line.starts_with("sign"))
        .map(|line| format!("{line}\n"))
        .collect();
    let ran = place.answered(
        &unit,
        &(text + "sign-built = !pause\n"),
        &["--new", "--as-listed"],
    );
    assert!([4, 7].contains(&ran.code), "{}{}", ran.out, ran.err);
    let answers = whole("2026-05-30", &[run("moor-rear-0003", "72.1 72.2 72.3")]);
    place
        .driven(&answers, &[])
        .fails(4, &["moor-rear-0003 is not finished"]);
    let sure = answers.replace(
        "run-build/1 = moor-rear-0003",
        "run-build/1 = moor-rear-0003 sure",
    );
    assert_eq!(place.driven(&sure, &["--new"]).code, 0);
    let day = place.json(&["days", "moor-day-0002"]);
    assert!(
        day["odd"]
            .to_string()
            .contains("moor-rear-0003 was never finished"),
        "{day}"
    );
}

#[test]
fn what_can_not_be_is_refused() {
    let place = shop();
    let refused = |line, with, why| refused(&place, line, with, why);
    refused(
        "run-build/1 = moor-rear-0001",
        "run-build/1 = other-0001",
        "is none of these: moor-rear-000",
    );
    refused(
        "run-tyres/1 = soft",
        "run-tyres/1 = hard",
        "none of the sets: soft",
    );
    refused("driven-on = 2026-05-30", "driven-on = 2026-02-30", "is no day");
    refused(
        "driven-on = 2026-05-30",
        "driven-on = 2031-05-30",
        "is after today",
    );
    refused("struck/1 = none", "struck/1 = 2", "why does lap 2 not count?");
    refused(
        "struck/1 = none",
        "struck/1 = 9 spin",
        "the number of a lap, 1 to 3",
    );
    refused(
        "feel-entry/1 = unsaid",
        "feel-entry/1 = fine",
        "is none of these: much-less",
    );
    refused("tyre-sets = soft", "tyre-sets = soft soft", "soft is named twice");
    refused("air = 18", "air = 18 km", "temperature");
    refused("road = 31", "road = 310", "no temperature that one drives at");
}

#[test]
fn one_setting_under_two_names_is_told() {
    let place = shop();
    let unit = unit_file("moor-rear");
    let settle = [
        "settle",
        "moor-car.toml",
        "--use",
        "hillclimb",
        "--unit",
        unit.to_str().unwrap(),
        "--date",
        "2026-05-01",
    ];
    assert_eq!(
        place.run(&[&settle[..], &["--write", "mild.toml"]].concat()).code,
        0
    );
    fs::copy(place.path("mild.toml"), place.path("soft.toml")).unwrap();
    let twice = ["--setting", "mild.toml", "--setting", "soft.toml"];
    place
        .driven(&head("2026-05-30"), &twice)
        .fails(3, &["soft.toml is the same setting as mild, under two names"]);
    // once, and by its digest
    let answers = whole("2026-05-30", &[run("mild", "72.1 72.2"), run(A, "72.0")]);
    let ran = place.driven(&answers, &["--setting", "mild.toml"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let day = place.json(&["days", DAY]);
    assert_eq!(day["runs"][0]["called"], "mild");
    assert_eq!(day["runs"][0]["setting"]["setting"].as_str().unwrap().len(), 64);
    assert!(place.book().join(DAY).join("setting-mild.toml").exists());
}

#[test]
fn ten_thousand_laps_are_taken_and_more_than_a_day_has_are_not() {
    let place = shop();
    let line = vec!["72.345"; 250].join(" ");
    let mut many = run(A, "72.1");
    many.times = vec![line; 40];
    let mut text = head("2026-05-30") + &of_run(1, &many);
    text.push_str("run/2 = end\nremarks = none\n");
    let ran = place.driven(&text, &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(place.json(&["days"])["days"][0]["laps"], 10_000);
}

#[test]
fn two_days_that_claim_one_build_on_two_cars_are_told() {
    let place = shop();
    assert_eq!(place.driven(&whole("2026-05-30", &[run(A, "72.1")]), &[]).code, 0);
    let car = fs::read_to_string(place.path("moor-car.toml")).unwrap();
    place.write("other-car.toml", car.replace("name = \"Moor", "name = \"Another"));
    let words = [
        "day",
        "other-car.toml",
        "--answers",
        "day.answers",
        "--at",
        "2026-06-01T18:00:00Z",
    ];
    let ran = place.run(&words);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let ran = place.run(&["days"]);
    assert!(
        ran.err
            .contains("moor-rear-0001 is said to have been in two cars"),
        "{}",
        ran.err
    );
}
