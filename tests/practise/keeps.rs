//! What of a run of practice is kept and told: cautions that were given, readings as they were shown.

use crate::mechanic::{Habits, begun, work};
use crate::program::{Place, err, out};
use serde_json::Value;
use shimwright::practice::{CAREFUL_HAND, GeneratedUnit};
use shimwright::procedure::{Session, StepKind};
use shimwright::record::{GeneratedFrom, Slot};
use std::fs;
use std::process::Output;

/// A run of level 1, seed 1051, that goes on with these lines.
fn typed(place: &Place, lines: &str, more: &[&str]) -> Output {
    fs::write(place.path("typed"), lines).unwrap();
    crate::started::program()
        .args([
            "practise",
            "--level",
            "1",
            "--seed",
            "1051",
            "--by",
            "A. Prentice",
            "--plain",
        ])
        .args(more)
        .env("SHIMWRIGHT_BOOK", place.path("book"))
        .env("NO_COLOR", "1")
        .stdin(fs::File::open(place.path("typed")).unwrap())
        .output()
        .unwrap()
}

/// The answered entries of the run's journal.
fn entries(place: &Place) -> Vec<Value> {
    let run = place.path("practice/practice-level-1-seed-1051-0001/journal.jsonl");
    let journal = fs::read_to_string(run).unwrap();
    let all = journal
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["entry"].clone());
    all.filter(|line| line["kind"] == "answered").collect()
}

/// Words without their lines.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_caution_that_is_given_is_put_on_the_screen_as_given_and_kept_as_given() {
    let place = Place::new();
    let ran = typed(&place, "yes\nnothing\n!pause\n", &["--start-at", "choose"]);
    let screen = flowing(&out(&ran));
    let made = GeneratedUnit::new(GeneratedFrom::newest(1, 1051)).unwrap();
    let cautions: Vec<_> = made
        .job()
        .procedure
        .steps()
        .filter(|(_, step)| step.kind == StepKind::Caution)
        .map(|(_, step)| step)
        .collect();
    let mut given = 0;
    for entry in entries(&place) {
        let id = entry["slot"]["step"].as_str().unwrap();
        let Some(step) = cautions.iter().find(|step| step.id == id) else {
            continue;
        };
        let told = format!(
            "CAUTION (given, read it all the same): {}",
            flowing(&step.words.join(" "))
        );
        if entry["by"] == CAREFUL_HAND {
            assert!(screen.contains(&told), "{told}\nis not in\n{screen}");
            given += 1;
        } else {
            assert!(!screen.contains(&told), "{told}");
        }
    }
    assert!(given >= 2, "{given}");
    assert_eq!(screen.matches("CAUTION (given,").count(), given);
}

#[test]
fn readings_that_were_taken_for_an_apprentice_are_told_by_show() {
    let place = Place::new();
    let ran = typed(&place, "yes\nnothing\n!show\n!pause\n", &["--start-at", "choose"]);
    let screen = flowing(&out(&ran));
    let (_, shown) = screen.split_once("GIVEN: ").unwrap();
    let mut readings = 0;
    for entry in entries(&place).iter().filter(|entry| entry["by"] == CAREFUL_HAND) {
        if entry["slot"]["step"] != "plate-thickness" {
            continue;
        }
        let text = entry["text"].as_str().unwrap();
        let mm: f64 = text.trim_end_matches(" mm").parse().unwrap();
        assert!(shown.contains(&format!("{mm:.3}")), "{text}: {shown}");
        readings += 1;
    }
    assert!(readings >= 20, "{readings}");
}

#[test]
fn what_an_instrument_showed_stays_in_the_record_letter_by_letter() {
    let made = GeneratedUnit::new(GeneratedFrom::newest(1, 1040)).unwrap();
    let answers = work(&made, Habits::COPYING).answers;
    let shown = "micrometer-zero = 24.970\n";
    assert!(answers.contains(shown), "{answers}");
    // typed with its unit, as it is shown, and left overnight right after it
    let answers = answers.replace(shown, "micrometer-zero = 24.970 mm\n");
    let (before, after) = answers.split_once("depth-gauge = ").unwrap();
    let place = Place::new();
    let left = place.practise(made.made(), &format!("{before}depth-gauge = !pause\n"), &[]);
    assert_eq!(left.status.code(), Some(7), "{}", err(&left));
    let journal = || {
        let run = place.path("practice/practice-level-1-seed-1040-0001/journal.jsonl");
        fs::read_to_string(run).unwrap()
    };
    let half = journal();
    let rest = format!("format = shimwright answers 2\ndepth-gauge = {after}");
    let done = place.practise(made.made(), &rest, &[]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let whole = journal();
    assert!(whole.starts_with(&half));
    let kept: Vec<Value> = whole
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["entry"].clone())
        .collect();
    let of = |step: &str| -> Vec<&Value> {
        let all = kept.iter().filter(|one| one["kind"] == "answered");
        all.filter(|one| one["slot"]["step"] == step).collect()
    };
    let zero = of("micrometer-zero");
    assert_eq!(zero.len(), 1);
    assert_eq!(
        (
            zero[0]["text"].as_str(),
            zero[0]["value"]["length_nanometres"].as_i64()
        ),
        (Some("24.970 mm"), Some(24_970_000))
    );
    // readings stay raw as well: each is one that the micrometer shows on that plate, zero and all
    let session = Session::start(made.job().clone(), begun(made.made())).0;
    let mut readings = 0;
    for entry in of("plate-thickness") {
        let slot: Slot = serde_json::from_value(entry["slot"].clone()).unwrap();
        let shown: Vec<String> = (1..4)
            .filter_map(|attempt| made.reading(&session, &slot, attempt))
            .collect();
        let text = entry["text"].as_str().unwrap();
        assert!(
            shown.iter().any(|shown| shown.contains(text)),
            "{slot} {text}: {shown:?}"
        );
        readings += 1;
    }
    assert!(readings >= 20, "{readings}");
    // and the debrief says it as it was typed
    assert!(
        flowing(&out(&done)).contains("The micrometer shows 24.970 mm. Answered: 24.970 mm."),
        "{}",
        out(&done)
    );
}

#[test]
fn to_take_or_to_look_answers_nothing_and_is_no_line_of_the_record() {
    let place = Place::new();
    let count = |lines: &str| {
        let ran = typed(&place, lines, &["--start-at", "begin"]);
        assert_eq!(ran.status.code(), Some(7), "{}", err(&ran));
        let run = place.path("practice/practice-level-1-seed-1051-0001/journal.jsonl");
        fs::read_to_string(run).unwrap()
    };
    let before = count("!pause\n");
    assert_eq!(count("yes\n!take\n!look\n!look\n!take\n!pause\n"), before);
}
