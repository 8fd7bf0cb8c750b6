//! One step, one wording: what several procedures ask has the same words, and a safety sentence stands in one place.

use shimwright::procedure::{Procedure, STOCK};
use shimwright::workshop::{Safety, with_library_steps};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use toml::{Table, Value};

fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.to_string_lossy().ends_with(ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn library(file: &str) -> Table {
    let path = format!("{}/procedures/library/{file}", env!("CARGO_MANIFEST_DIR"));
    fs::read_to_string(path).unwrap().parse().unwrap()
}

#[test]
fn equal_ids_have_equal_words_in_all_stock_procedures() {
    let mut known: BTreeMap<String, (String, Value)> = BTreeMap::new();
    let mut shared = 0;
    for one in STOCK.iter() {
        let table: Table = one.text.parse().unwrap();
        for stage in table["stage"].as_array().unwrap() {
            for step in stage["step"].as_array().unwrap() {
                let id = step["id"].as_str().unwrap();
                let mut said = step.as_table().unwrap().clone();
                // when a step is asked and with what is the procedure's business, and what a caution covers is less at the most
                for key in [
                    "only", "skip", "again", "later", "ways", "shows", "points", "needs", "hazards",
                    "covers", "tools",
                ] {
                    said.remove(key);
                }
                let said = Value::Table(said);
                match known.get(id) {
                    Some((other, before)) => {
                        assert_eq!(*before, said, "{id} of {other} and of {}", one.id);
                        shared += 1;
                    }
                    None => {
                        known.insert(id.to_string(), (one.id.to_string(), said));
                    }
                }
            }
        }
    }
    assert!(shared > 100, "{shared}");
}

#[test]
fn every_caution_and_whatever_two_procedures_ask_comes_out_of_the_library() {
    let mut written: BTreeMap<String, &str> = BTreeMap::new();
    for one in STOCK.iter() {
        let table: Table = one.own.parse().unwrap();
        for stage in table["stage"].as_array().unwrap() {
            for step in stage["step"].as_array().unwrap() {
                let Some(id) = step.get("id").and_then(Value::as_str) else {
                    continue;
                };
                assert_ne!(step["kind"].as_str(), Some("caution"), "{id} of {}", one.id);
                let other = written.insert(id.to_string(), one.id);
                assert_eq!(other, None, "{id} is written out in {} as well", one.id);
            }
        }
    }
    let steps = library("steps.toml");
    for step in steps["step"].as_array().unwrap() {
        let id = step["id"].as_str().unwrap();
        assert!(
            !written.contains_key(id),
            "{id} is written out in {}",
            written[id]
        );
        let says = step["kind"].as_str() == Some("caution");
        assert_eq!(says, step.get("says").is_some(), "{id}");
        let used = STOCK
            .iter()
            .filter(|one| one.own.contains(&format!("use = \"{id}\"\n")))
            .count();
        assert!(used > usize::from(!says), "{id} is used {used} times");
    }
}

/// A text in small letters, without the signs that end lines and strings, so that it is found however it is broken.
fn plain(text: &str) -> String {
    let letters: String = text
        .chars()
        .map(|c| if c.is_alphanumeric() || c == '\'' { c } else { ' ' })
        .collect();
    letters
        .to_lowercase()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// What would be a second version of a safety sentence, whatever stands round it.
const TELLTALES: [&str; 16] = [
    "qualified person come",
    "rated stands under",
    "the jack only lifts",
    "push the car firmly",
    "one driven wheel on the ground",
    "drives the car off its stands",
    "out until the car is down",
    "transmission jack or a hoist",
    "clamped bolted to a plate",
    "until the last thread is out",
    "out of the line of the cover",
    "on threads that have hold",
    "come before the figures here",
    "lengthen it with a pipe",
    "rock the car on its stands",
    "no naked flame no spark",
];

#[test]
fn a_safety_sentence_stands_in_one_place() {
    let mut texts: Vec<(String, String)> = Vec::new();
    for path in [files("src", ".rs"), files("procedures", ".toml")].concat() {
        let source = fs::read_to_string(&path).unwrap();
        let name = path.to_string_lossy().into_owned();
        // what a reader of the code is told of it is no sentence of ours, nor is a test's
        let code = source.split("#[cfg(test)]").next().unwrap();
        let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
        texts.push((
            name,
            plain(&lines.collect::<Vec<_>>().join("\n").replace("\\n\\", " ")),
        ));
    }
    let all = |words: &str| -> Vec<(&str, usize)> {
        let counted = texts
            .iter()
            .map(|(name, text)| (name.as_str(), text.matches(words).count()));
        counted.filter(|(_, count)| *count > 0).collect()
    };
    let sentences = library("sentences.toml");
    let mut told = 0;
    for sentence in sentences["sentence"].as_array().unwrap() {
        for part in sentence["words"].as_str().unwrap().split(". ") {
            let found = all(&plain(part));
            assert!(
                matches!(found[..], [(name, 1)] if name.ends_with("sentences.toml")),
                "{part}: {found:?}"
            );
            told += 1;
        }
    }
    assert!(told >= 20, "{told}");
    for words in TELLTALES {
        let found = all(words);
        assert!(
            matches!(found[..], [(name, 1)] if name.ends_with("sentences.toml")),
            "{words}: {found:?}"
        );
    }
    for step in library("steps.toml")["step"].as_array().unwrap() {
        if step["kind"].as_str() == Some("caution") {
            let found = all(&plain(step["why"].as_str().unwrap()));
            assert!(
                matches!(found[..], [(name, 1)] if name.ends_with("steps.toml")),
                "{found:?}"
            );
        }
    }
    for (safety, id) in Safety::ALL {
        let words = sentences["sentence"].as_array().unwrap();
        let words = words.iter().find(|one| one["id"].as_str() == Some(id)).unwrap();
        assert_eq!(plain(safety.words()), plain(words["words"].as_str().unwrap()));
    }
}

/// A procedure of a shop's own that takes every step but one from the library.
const OWN: &str = r#"# ours
format = "shimwright procedure 1"
id = "ours"
title = "Ours"
purpose = "A look at the rings."

[[stage]]
title = "Look"

[[stage.step]]
use = "who" # the same as everywhere

[[stage.step]]
use = "caution-solvent"

[[stage.step]]
use = "clean"
only = ["spring-loaded"]
tools = ["rag"]

[[stage.step]]
id = "ours"
kind = "look"
answer = "yes-no"
words = "Are they ours?"
why = "Those of others go back to them."
"#;

#[test]
fn a_shops_own_procedure_is_the_same_taken_and_written_out() {
    let full = with_library_steps(OWN);
    assert!(full.starts_with("# ours\n") && !full.contains("use ="), "{full}");
    assert!(
        full.contains("id = \"who\" # the same as everywhere\nkind = \"decide\"\n"),
        "{full}"
    );
    let read = Procedure::read("ours.toml", OWN).unwrap();
    assert_eq!(Procedure::read("ours.toml", &full), Ok(read.clone()));
    assert_eq!(Procedure::read_kept("ours.toml", &full), Ok(read.clone()));
    let (_, clean) = read.step("clean").unwrap();
    assert_eq!(
        (clean.tools.len(), clean.only.len(), clean.hazards.len()),
        (1, 1, 1)
    );
    // a build keeps no procedure that says only where its words are
    let kept = Procedure::read_kept("ours.toml", OWN).unwrap_err().to_string();
    assert!(kept.contains("\"use\" is not known in [stage.step]"), "{kept}");
}

#[test]
fn a_step_that_the_library_does_not_have_is_told_with_the_nearest_and_its_line() {
    let text = Procedure::read("ours.toml", &OWN.replace("\"clean\"", "\"claen\""))
        .unwrap_err()
        .to_string();
    assert!(
        text.starts_with("ours.toml, line 17, at stage.step.use\n    use = \"claen\"\n"),
        "{text}"
    );
    assert!(
        text.contains("did you mean \"clean\"?\n  rule: unknown-word"),
        "{text}"
    );
}
