//! No procedure with a lifting or torque step, or another hazard, can be loaded without its cautions.

use proptest::prelude::*;
use shimwright::procedure::{Procedure, STOCK, stock};
use std::collections::BTreeSet;
use toml::{Table, Value};

/// The text before the first step of each stage, and the steps, as blocks of text.
fn blocks(source: &str) -> (String, Vec<String>) {
    let (head, rest) = source.split_once("[[stage.step]]").unwrap();
    let mut steps = Vec::new();
    for piece in rest.split("[[stage.step]]") {
        // a stage's head stands behind the last step of the stage before it
        let step = piece.split("[[stage]]").next().unwrap();
        steps.push(format!("[[stage.step]]{}\n", step.trim_end()));
    }
    (head.to_string(), steps)
}

fn joined(head: &str, steps: &[String]) -> String {
    format!("{head}{}", steps.join("\n"))
}

fn words(step: &Table, key: &str) -> Vec<String> {
    let list = step.get(key).and_then(Value::as_array);
    list.into_iter()
        .flatten()
        .map(|word| word.as_str().unwrap().to_string())
        .collect()
}

/// A second way to the same answer: hazards that no caution before their step covers, by the plain text of the file.
fn uncovered(source: &str) -> BTreeSet<(String, String)> {
    let table: Table = source.parse().unwrap();
    let all = words(&table, "only");
    let mut covered: Vec<(String, Vec<String>)> = Vec::new();
    let mut bare = BTreeSet::new();
    for stage in table["stage"].as_array().unwrap() {
        for step in stage["step"].as_array().unwrap() {
            let step = step.as_table().unwrap();
            let only = words(step, "only");
            if step["kind"].as_str() == Some("caution") {
                covered.extend(
                    words(step, "covers")
                        .into_iter()
                        .map(|hazard| (hazard, only.clone())),
                );
                continue;
            }
            let mut hazards = words(step, "hazards");
            if step["kind"].as_str() == Some("tighten") {
                hazards.push("torque".into());
            }
            let said = step["words"].as_str().unwrap().to_lowercase();
            if said.contains("on stands") || words(step, "tools").iter().any(|tool| tool == "jack") {
                hazards.push("lifting".into());
            }
            for hazard in hazards {
                let mut met = [only.clone(), all.clone()].concat();
                if hazard == "spring" {
                    // only a unit with springs has that hazard
                    met.push("spring-loaded".into());
                }
                let is_covered = covered.iter().any(|(known, conditions)| {
                    *known == hazard && conditions.iter().all(|condition| met.contains(condition))
                });
                if !is_covered {
                    bare.insert((step["id"].as_str().unwrap().to_string(), hazard));
                }
            }
        }
    }
    bare
}

fn missing(source: &str) -> BTreeSet<(String, String)> {
    let Err(faults) = Procedure::read("x.toml", source) else {
        return BTreeSet::new();
    };
    faults
        .faults
        .iter()
        .filter(|fault| fault.rule == "missing-caution")
        .map(|fault| {
            let mut quoted = fault.message.split('"').skip(1).step_by(2);
            (
                quoted.next().unwrap().to_string(),
                quoted.next().unwrap().to_string(),
            )
        })
        .collect()
}

#[test]
fn a_stock_procedure_without_one_of_its_cautions_is_refused() {
    let mut taken_out = 0;
    for (id, source) in STOCK.iter().map(|one| (one.id, one.text.as_str())) {
        let (head, steps) = blocks(source);
        assert!(
            Procedure::read(id, &joined(&head, &steps)).is_ok(),
            "{id} in one stage"
        );
        let cautions = steps
            .iter()
            .filter(|step| step.contains("kind = \"caution\""))
            .count();
        // only where nothing is done can nobody be hurt: an old record is typed in
        let hazards = steps.iter().filter(|step| step.contains("hazards = ")).count();
        assert_eq!(
            (cautions == 0, hazards == 0),
            (id == "paper-record", id == "paper-record"),
            "{id}"
        );
        for n in 0..steps.len() {
            if !steps[n].contains("kind = \"caution\"") {
                continue;
            }
            let mut without = steps.clone();
            without.remove(n);
            let source = joined(&head, &without);
            let text = Procedure::read(id, &source).unwrap_err().to_string();
            assert!(
                text.contains("needs a caution step before it"),
                "{id} without\n{}\n{text}",
                steps[n]
            );
            // what an old record was begun with is held to its cautions as well, but for what words alone give away
            assert!(Procedure::read_kept(id, &source).is_err(), "{id}");
            taken_out += 1;
        }
    }
    assert!(taken_out >= 16, "{taken_out}");
}

#[test]
fn every_step_that_lifts_or_torques_in_a_stock_procedure_stands_behind_its_caution() {
    for (id, source) in STOCK.iter().map(|one| (one.id, one.text.as_str())) {
        assert_eq!(uncovered(source), BTreeSet::new(), "{id}");
        let procedure = Procedure::read(id, source).unwrap();
        let words = format!("{}{source}", procedure.title).to_lowercase();
        for promise in ["is safe.", "are safe.", "it is safe to", "safe to drive"] {
            let said = words.matches(promise).count();
            let denied = words
                .matches(&format!("nobody can say from a sheet, that the unit {promise}"))
                .count();
            assert_eq!(said, denied, "{id} says {promise:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Steps in any order: what is refused for want of a caution is exactly what has none before it.
    #[test]
    fn in_any_order_of_steps_each_hazard_without_its_caution_is_found(
        which in 0_usize..STOCK.len(), keys in prop::collection::vec(any::<u32>(), 64), left_out in any::<u64>(),
    ) {
        let source = STOCK[which].text.as_str();
        let (head, steps) = blocks(source);
        let mut order: Vec<(u32, String)> = keys.iter().copied().cycle().zip(steps).collect();
        order.sort();
        let kept: Vec<String> = order
            .into_iter()
            .enumerate()
            .filter(|(n, (_, step))| !(step.contains("kind = \"caution\"") && left_out >> (n % 64) & 3 == 0))
            .map(|(_, (_, step))| step)
            .collect();
        let source = joined(&head, &kept);
        let bare = uncovered(&source);
        let told = missing(&source);
        prop_assert!(bare.is_subset(&told), "{bare:?} but told {told:?}");
        if bare.is_empty() && told.is_empty() {
            return Ok(());
        }
        prop_assert!(Procedure::read("x.toml", &source).is_err());
    }
}

#[test]
fn a_step_is_known_by_its_words_and_tools_even_where_it_names_no_hazard() {
    let with = |words: &str, tools: &str| {
        format!(
            "format = \"shimwright procedure 1\"\nid = \"x\"\ntitle = \"X\"\npurpose = \"P\"\n[[stage]]\ntitle = \"S\"\n\
             [[stage.step]]\nid = \"s\"\nkind = \"do\"\nwords = \"{words}\"\nwhy = \"w\"\ntools = [{tools}]\n"
        )
    };
    for (words, tools, hazard) in [
        ("Jack the car up.", "", "lifting"),
        ("It is jacked up at the sill.", "", "lifting"),
        ("Put it up.", "\"jack\"", "lifting"),
        ("Put it up.", "\"rated axle stands\"", "lifting"),
        ("With the car on its stands.", "", "lifting"),
        ("Tighten the bolts.", "", "torque"),
        ("Bring them to torque.", "", "torque"),
        ("Slacken the cover.", "", "spring"),
    ] {
        let told = missing(&with(words, tools));
        assert_eq!(
            told,
            BTreeSet::from([("s".to_string(), hazard.to_string())]),
            "{words} {tools}"
        );
    }
    for words in [
        "Take your jacket off.",
        "Look at the hijacker.",
        "The number understands itself.",
    ] {
        assert!(Procedure::read("x.toml", &with(words, "")).is_ok(), "{words}");
    }
}

#[test]
fn a_torque_of_the_procedures_own_wants_its_caution_in_any_kind_of_step() {
    let source = stock("bench-check").unwrap().replace(
        "id = \"turns\"\nkind = \"look\"",
        "id = \"own\"\nkind = \"tighten\"\ntorque = \"20 N·m\"\nwords = \"w\"\nwhy = \"w\"\n\n[[stage.step]]\nid = \"turns\"\nkind = \"look\"",
    );
    assert!(Procedure::read("x.toml", &source).is_ok());
    let bare = source.replace("covers = [\"weight\", \"torque\"]", "covers = [\"weight\"]");
    assert!(missing(&bare).contains(&("own".to_string(), "torque".to_string())));
}

#[test]
fn in_a_language_that_is_not_carried_every_do_step_says_its_hazards_and_no_english_word_is_looked_for() {
    let foreign = |language: &str, hazards: &str| {
        format!(
            "format = \"shimwright procedure 1\"\nid = \"x\"\ntitle = \"X\"\npurpose = \"P\"\n{language}[[stage]]\ntitle = \"S\"\n\
             [[stage.step]]\nid = \"heben\"\nkind = \"do\"\n{hazards}\
             words = \"Wagen anheben, auf Böcke stellen und darunter arbeiten. Die Jacke ist kein jack.\"\nwhy = \"w\"\n"
        )
    };
    let rules = |language: &str, hazards: &str| -> Vec<&str> {
        match Procedure::read("x.toml", &foreign(language, hazards)) {
            Ok(_) => Vec::new(),
            Err(faults) => faults.faults.iter().map(|fault| fault.rule).collect(),
        }
    };
    let dutch = "language = \"nl\"\n";
    assert_eq!(rules(dutch, ""), ["hazards-unsaid"]);
    assert_eq!(rules(dutch, "hazards = []\n"), Vec::<&str>::new());
    assert_eq!(rules(dutch, "hazards = [\"lifting\"]\n"), ["missing-caution"]);
    // English as before: its words are looked for, whatever is said
    for english in ["", "language = \"en\"\n", "language = \"en-gb\"\n"] {
        assert_eq!(rules(english, ""), ["missing-caution"], "{english}");
        assert_eq!(rules(english, "hazards = []\n"), ["missing-caution"], "{english}");
    }
    assert_eq!(
        Procedure::read("x.toml", &foreign(dutch, "hazards = []\n"))
            .unwrap()
            .spoken
            .language,
        "nl"
    );
    // a build that was begun without the key goes on as it was
    let source = foreign("", "").replace("Die Jacke ist kein jack.", "");
    assert_eq!(
        Procedure::read_kept("x.toml", &source).unwrap().spoken.language,
        "en"
    );
}
