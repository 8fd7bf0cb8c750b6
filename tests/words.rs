//! The words of the trade: they agree with the formulas, are found, and are told at a prompt.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used)]

#[path = "support/fed.rs"]
mod fed;
#[path = "support/started.rs"]
mod started;

use fed::fed;
use serde_json::Value;
use shimwright::procedure::read_stock;
use shimwright::workshop::Glossary;
use std::fs;
use std::path::Path;
use std::process::{Output, Stdio};

fn run(arguments: &[&str]) -> Output {
    started::program()
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn out(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

/// The documentation of all formulas as one text without spaces.
fn docs(folder: &Path, into: &mut String) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            docs(&path, into);
            continue;
        }
        for line in fs::read_to_string(&path).unwrap().lines() {
            if let Some(words) = line.trim_start().strip_prefix("///") {
                into.extend(words.chars().filter(|c| !c.is_whitespace()));
            }
        }
    }
}

#[test]
fn every_formula_of_a_word_stands_in_the_documentation_of_the_formulas() {
    let mut text = String::new();
    for module in ["mechanics", "metrology"] {
        docs(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(module),
            &mut text,
        );
    }
    let mut seen = 0;
    for word in Glossary::stock().words() {
        for formula in &word.formula {
            let bare: String = formula.chars().filter(|c| !c.is_whitespace()).collect();
            assert!(text.contains(&bare), "{}: {formula}", word.term);
            seen += 1;
        }
    }
    assert!(seen > 15, "{seen}");
}

#[test]
fn the_words_that_people_mix_up_are_set_against_each_other() {
    let mixed = |a: &str, b: &str| {
        Glossary::stock().mixed().iter().any(|mixed| {
            [a, b]
                .iter()
                .all(|term| mixed.terms.iter().any(|known| known == term))
        })
    };
    for (a, b) in [
        ("ring-face datum", "shaft-axis datum"),
        ("static torque", "turning torque"),
        ("clearance", "preload"),
        ("case held", "output held"),
        ("friction plate", "case plate"),
        ("face", "plate"),
        ("one-way", "two-way"),
        ("one-and-a-half-way", "two-way"),
        ("run-in", "even pressure"),
        ("spread", "flatness"),
        ("uncertainty", "tolerance"),
        ("proof load", "yield"),
    ] {
        assert!(mixed(a, b), "{a} and {b}");
    }
}

#[test]
fn a_word_is_told_in_lines_of_eighty_columns() {
    let told = out(&["words", "case", "held"]);
    assert!(told.starts_with("case held\n"), "{told}");
    assert!(told.contains("Mixed up: case held and output held."), "{told}");
    assert!(
        told.contains("    two packs alike: 2 (c F0 + d)/(1 − S)\n"),
        "{told}"
    );
    for arguments in [
        vec!["words"],
        vec!["words", "plate"],
        vec!["words", "disc spring"],
    ] {
        let told = out(&arguments);
        let widest = told.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 80, "{widest}: {told}");
    }
    let all = out(&["words"]);
    for word in Glossary::stock().words() {
        assert!(all.replace('\n', " ").contains(&word.term), "{}", word.term);
    }
}

#[test]
fn a_part_lists_several_and_a_slip_gives_the_nearest() {
    let several = out(&["words", "datum"]);
    assert!(
        several.contains("ring-face datum: ") && several.contains("shaft-axis datum: "),
        "{several}"
    );
    let near = run(&["words", "brekaway"]);
    assert_eq!(near.status.code(), Some(8));
    let near = String::from_utf8(near.stdout).unwrap();
    assert!(
        near.contains("the nearest is:") && near.contains("\nbreakaway (also"),
        "{near}"
    );
    let hostile = run(&["words", "\u{1b}[31mred"]);
    assert!(!String::from_utf8(hostile.stdout).unwrap().contains('\u{1b}'));
}

#[test]
fn json_has_the_same_words() {
    let one: Value = serde_json::from_str(&out(&["words", "preload", "--json"])).unwrap();
    assert_eq!(one["words"].as_array().unwrap().len(), 1);
    assert_eq!(one["words"][0]["term"], "preload");
    assert_eq!(one["words"][0]["formula"][0], "ΔT0 = (c_s + c_f) F0");
    assert!(one["words"][0]["mixed_up"].as_array().unwrap().len() >= 2);
    let all: Value = serde_json::from_str(&out(&["words", "--json"])).unwrap();
    assert_eq!(
        all["words"].as_array().unwrap().len(),
        Glossary::stock().words().len()
    );
}

#[test]
fn a_word_is_told_at_a_prompt_and_the_why_names_the_words_of_a_question() {
    let place = tempfile::TempDir::new().unwrap();
    let mut command = started::program();
    command
        .args([
            "practise",
            "--level",
            "1",
            "--seed",
            "1",
            "--start-at",
            "begin",
            "--plain",
        ])
        .env("SHIMWRIGHT_BOOK", place.path().join("book"));
    let typed = "A. Prentice\nyes\nyes\n!words warped\n!words\n!why\n30\n!skip no idea\n!why\n";
    let output = fed(&mut command, typed);
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("flatness (also: warped"), "{text}");
    assert!(text.contains("!words wants the word behind it"), "{text}");
    let whys: Vec<&str> = text.split("Why this is asked").collect();
    assert!(whys[1].contains("by the unit file: 4 and 4 faces"), "{text}");
    assert!(whys[2].contains("Words: case"), "{text}");
}

#[test]
fn a_word_is_told_only_where_it_is_meant() {
    let tagged = |procedure: &str, step: &str, term: &str| {
        let procedure = read_stock(procedure).unwrap().unwrap();
        let words = procedure.step(step).unwrap().1.words.join(" ");
        Glossary::stock().terms_in(&words).contains(&term)
    };
    // it is bolted to a plate of the bench
    assert!(!tagged("bench-rebuild", "caution-weight", "plate"));
    // the plate of the pack is laid on the surface plate
    assert!(tagged("full-rebuild", "plate-flatness", "plate"));
    for text in [
        "Lay it on the surface plate.",
        "A stepped ramp catches: it spreads late.",
        "With a flat plate\nand a clamp.",
    ] {
        let terms = Glossary::stock().terms_in(text);
        assert!(
            !terms.contains(&"plate") && !terms.contains(&"spread"),
            "{text}: {terms:?}"
        );
    }
    assert_eq!(
        Glossary::stock().terms_in("A plate, its spread and the surface plate."),
        ["plate", "spread"]
    );
}
