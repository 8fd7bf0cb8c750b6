//! An option's word means one thing, whatever the command; the words that it had before are taken and not shown.

use crate::place::Place;
use crate::{BUILD, arguments, shop};
use std::collections::{BTreeMap, BTreeSet};

/// Options whose values are told by other words in some commands, though what they are is the same.
const TOLD_OTHERWISE: [(&str, &[&str]); 0] = [];

#[test]
fn an_option_takes_the_same_whatever_the_command() {
    let mut takes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for [command, option, value] in arguments() {
        // what reckon takes are the signs of its formulas
        if option.starts_with("--") && !command.starts_with("reckon") {
            takes.entry(option).or_default().insert(value);
        }
    }
    assert!(takes["--unit"].contains("FILE") && takes.len() > 40, "{takes:?}");
    for (option, values) in takes {
        let known = TOLD_OTHERWISE.iter().find(|(known, _)| *known == option);
        let known: BTreeSet<String> = known
            .map(|(_, values)| values.iter().map(ToString::to_string).collect())
            .unwrap_or_default();
        assert!(values.len() == 1 || values == known, "{option}: {values:?}");
    }
}

#[test]
fn the_words_of_before_are_taken_and_not_shown() {
    let place = shop(true);
    let code = "5e03 7fb9 6aea d1a1";
    for (now, before) in [
        (&["fleet", "--unit-id", "moor-rear", "--json"][..], "--unit"),
        (&["fleet", "--car-words", "moor", "--json"], "--car"),
        (&["export", "plates", "--unit-id", "moor-rear"], "--unit"),
        (&["check", BUILD, "--code", code], "--paper"),
        (&["schema", "unit", "--into", "-"], "--out"),
    ] {
        let at = now.iter().position(|word| word.starts_with("--")).unwrap();
        let mut then = now.to_vec();
        then[at] = before;
        let (now_ran, then_ran) = (place.run(now), place.run(&then));
        assert_ne!(now_ran.code, 2, "{now:?}: {}", now_ran.err);
        assert_eq!(
            (now_ran.code, &now_ran.out, &now_ran.err),
            (then_ran.code, &then_ran.out, &then_ran.err),
            "{then:?}"
        );
        let help = place.run(&[now[0], "--help"]).out;
        let shows = |word: &str| help.contains(&format!("{word} <"));
        assert!(shows(now[at]) && !shows(before), "{help}");
    }
    // these write: each is tried where nothing is there yet
    for word in ["--into", "--out"] {
        let place = Place::new();
        std::fs::create_dir(place.path("pages")).unwrap();
        assert_eq!(place.run(&["man", word, "pages"]).code, 0, "{word}");
        assert!(place.path("pages/shimwright-work.1").exists(), "{word}");
    }
    for words in [
        &["day", "moor-car.toml"][..],
        &["plan", "moor-car.toml", BUILD, BUILD],
    ] {
        let refused = |option: &str| place.run(&[words, &[option, "no-such-unit"]].concat());
        let (now, then) = (refused("--unit-id"), refused("--unit"));
        assert_eq!((now.code, now.err), (then.code, then.err), "{words:?}");
    }
}

#[test]
fn colours_are_there_where_they_are_asked_for_and_nowhere_else() {
    let place = shop(false);
    let coloured = |more: &[&str], no_color: &str| {
        let words = ["new-car", "car.toml", "--plain"];
        let mut program = place.program(&[&words[..], more].concat());
        let ran = program.env("NO_COLOR", no_color).output().unwrap();
        [ran.stdout, ran.stderr].concat().contains(&0x1b)
    };
    for (more, no_color, wanted) in [
        (&[][..], "", false),
        (&["--color", "auto"], "", false),
        (&["--color", "always"], "", true),
        // what is typed comes before what stands around
        (&["--color=always"], "1", true),
        (&["--colour", "never"], "", false),
        (&["--color", "always", "--help"], "1", true),
        (&["--color", "never", "--help"], "", false),
    ] {
        assert_eq!(coloured(more, no_color), wanted, "{more:?} {no_color:?}");
    }
    let before = place.run(&["--color", "always", "new-car", "car.toml", "--plain"]);
    assert!(before.out.contains('\u{1b}') || before.err.contains('\u{1b}'));
    place
        .run(&["builds", "--color", "sometimes"])
        .fails(2, &["--color", "auto, always, never"]);
}
