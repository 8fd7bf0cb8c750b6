//! Answers files of version 0.1.0 go on meaning what they meant: those of its demonstrations, as they were then, are run
//! through the procedures of today.

use crate::bench::{AT, Place, demo_file};
use std::fs;
use std::path::{Path, PathBuf};

const UNITS: [&str; 3] = ["moor-rear", "fell-front", "shoal-rear"];

fn old(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/old-answers")
        .join(format!("{name}.answers"))
}

/// The unit and the procedure of an answers file, by its name.
fn job(name: &str) -> (&'static str, &str) {
    let unit = UNITS.into_iter().find(|unit| name.starts_with(unit)).unwrap();
    match name[unit.len()..].strip_prefix('-') {
        Some(procedure) => (unit, procedure),
        None => (unit, "full-rebuild"),
    }
}

fn run(place: &Place, name: &str, answers: &Path) -> crate::bench::Ran {
    let (unit, procedure) = job(name);
    let unit = demo_file(&format!("{unit}.toml"));
    let mut command = place.program(&["work", procedure, unit.to_str().unwrap(), "--at", AT, "--json"]);
    command
        .args(place.own_drawer(&unit))
        .args(["--answers", answers.to_str().unwrap()]);
    command.output().unwrap().into()
}

#[test]
fn every_answers_file_of_the_first_version_runs_to_its_end_as_it_stands() {
    let mut names: Vec<String> = fs::read_dir(old("x").parent().unwrap())
        .unwrap()
        .map(|file| {
            file.unwrap()
                .path()
                .file_stem()
                .unwrap()
                .to_str()
                .unwrap()
                .to_string()
        })
        .collect();
    names.sort();
    assert_eq!(names.len(), 20, "{names:?}");
    for name in &names {
        let place = Place::new();
        let ran = run(&place, name, &old(name));
        assert_eq!(ran.code, 0, "{name}: {}", ran.err);
        assert_eq!(ran.json()["finished"], AT, "{name}");
    }
}

#[test]
fn a_question_that_came_later_is_left_out_with_its_reason_and_every_part_is_laid_in() {
    let place = Place::new();
    run(&place, "moor-rear", &old("moor-rear"));
    let entries = place.entries("moor-rear-0001");
    let skipped = |step: &str| {
        entries
            .iter()
            .find(|entry| entry["kind"] == "skipped" && entry["slot"]["step"] == step)
            .map(|entry| entry["reason"].as_str().unwrap().to_string())
    };
    for step in ["found-held", "photos"] {
        assert_eq!(
            skipped(step).as_deref(),
            Some("not in the answers file"),
            "{step}"
        );
    }
    // 22 lines of before for shims and plates; the springs, the rings and the gears had none
    let laid: Vec<&str> = entries
        .iter()
        .filter(|entry| entry["slot"]["step"] == "laid-in")
        .map(|entry| entry["slot"]["item"].as_str().unwrap())
        .collect();
    assert_eq!(laid.len(), 27, "{laid:?}");
    let looks = |step: &str| {
        entries
            .iter()
            .filter(|entry| entry["slot"]["step"] == step)
            .count()
    };
    assert_eq!((looks("ring-way"), looks("spring-way")), (2, 2));
}

#[test]
fn what_was_asked_once_counts_for_each_round_that_asks_it_anew() {
    let place = Place::new();
    run(&place, "fell-front", &old("fell-front"));
    let entries = place.entries("fell-front-0001");
    for step in [
        "caution-torque",
        "wrench",
        "wrench-extension",
        "held",
        "drag",
        "open",
    ] {
        let rounds: Vec<u64> = entries
            .iter()
            .filter(|entry| entry["kind"] == "answered" && entry["slot"]["step"] == step)
            .map(|entry| entry["slot"]["round"].as_u64().unwrap())
            .collect();
        assert_eq!(rounds, [1, 2], "{step}");
    }
}

/// A caution, a look at a ring or a reading is never made up: the run stops at the question.
#[test]
fn what_guards_or_is_measured_is_never_made_up() {
    for (line, asked) in [
        ("ring-way = yes", "ring-way/left"),
        ("caution-torque = yes", "caution-torque"),
        ("drag = 0", "drag"),
        ("open = done", "open"),
    ] {
        let place = Place::new();
        let text = fs::read_to_string(old("moor-rear")).unwrap();
        let without = text.replacen(&format!("{line}\n"), "", 1);
        assert_ne!(without, text);
        let file = place.write("without.answers", without);
        run(&place, "moor-rear", &file).fails(4, &[asked]);
    }
}
