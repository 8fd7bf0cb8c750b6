//! Files that the schemas take, and those that they refuse.

use super::{as_json, in_folder, rules, schema, stock, validators};
use shimwright::procedure::shape_elsewhere;
use shimwright::workshop::FileKind;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

#[test]
fn each_schema_is_one_by_its_own_schema_and_names_no_host() {
    for (kind, word) in FileKind::ALL {
        let schema = schema(kind);
        jsonschema::meta::validate(&schema).unwrap_or_else(|error| panic!("{word}: {error}"));
        assert_eq!(schema["$id"], format!("urn:shimwright:schema:{word}:1"));
        let format = &schema["properties"]["format"];
        if kind == FileKind::Use {
            // the one kind of which two are read
            let both = serde_json::json!(["shimwright use 1", "shimwright use 2"]);
            assert_eq!(format["enum"], both);
        } else {
            assert_eq!(format["const"], format!("shimwright {word} 1"));
        }
        assert!(schema["title"].as_str().is_some_and(|title| !title.is_empty()));
    }
}

#[test]
fn every_key_has_words_and_every_word_has_its_key() {
    for (kind, word) in FileKind::ALL {
        let shape = kind.shape(shape_elsewhere);
        let asked: BTreeSet<String> = shape.paths().iter().map(|path| (*path).to_string()).collect();
        let told: BTreeSet<String> = kind.keys_told().into_iter().collect();
        assert_eq!(
            asked, told,
            "{word}: left what its reader asks for, right what is told"
        );
    }
}

#[test]
fn every_file_that_comes_with_the_program_is_taken() {
    let validators = validators();
    let files = stock();
    let kinds: BTreeSet<&str> = files.iter().map(|(kind, ..)| kind.word()).collect();
    // a drive day's file and one of defaults are written by people and come with none of them
    assert_eq!(kinds.len(), FileKind::ALL.len() - 2, "{kinds:?}");
    for (kind, name, source) in files {
        let json = as_json(&source).unwrap();
        let told: Vec<String> = validators[&kind]
            .iter_errors(&json)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert_eq!(told, Vec::<String>::new(), "{name}");
    }
}

/// The faults of `tests/lint/corpus` that a schema does not say, each with the reason.
fn unsaid() -> BTreeMap<String, String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/schema/unsaid.csv");
    fs::read_to_string(path)
        .unwrap()
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| {
            let (file, reason) = line.split_once(',').unwrap();
            (file.trim().to_string(), reason.trim().to_string())
        })
        .collect()
}

#[test]
fn every_faulty_file_is_refused_but_for_those_whose_fault_a_schema_does_not_say() {
    let validators = validators();
    let mut taken = BTreeSet::new();
    for path in in_folder("tests/lint/corpus") {
        let source = fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let word = name.split('-').next().unwrap();
        let (kind, _) = FileKind::ALL.iter().find(|(_, known)| *known == word).unwrap();
        // what is no TOML has no schema to be held to
        let Some(json) = as_json(&source) else {
            assert!(name.contains("syntax"), "{name}");
            continue;
        };
        if validators[kind].is_valid(&json) {
            taken.insert(name);
        }
    }
    let unsaid = unsaid();
    assert!(unsaid.values().all(|reason| reason.len() > 10));
    let listed: BTreeSet<String> = unsaid.into_keys().collect();
    assert_eq!(
        taken, listed,
        "left what the schemas take, right the rows of unsaid.csv"
    );
}

#[test]
fn what_hangs_on_another_key_is_said() {
    let validators = validators();
    for (kind, name, old, new) in [
        // a unit with springs has no gap to aim at
        (
            FileKind::Unit,
            "moor-rear.toml",
            "preload_least = \"",
            "gap_least = \"0.1 mm\"\npreload_least = \"",
        ),
        // one depth for a through unit
        (
            FileKind::Unit,
            "moor-rear.toml",
            "layout = \"through\"",
            "layout = \"per-side\"",
        ),
        // a coil spring has no discs
        (
            FileKind::Unit,
            "moor-rear.toml",
            "kind = \"disc\"",
            "kind = \"coil\"",
        ),
        // a wrench has no resolution
        (
            FileKind::Instruments,
            "instruments.toml",
            "measures = \"torque\"",
            "measures = \"depth\"",
        ),
        // both axles are driven, so the share is wanted
        (
            FileKind::Car,
            "moor-car.toml",
            "driven = \"rear\"",
            "driven = \"both\"",
        ),
    ] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("demo-units")
            .join(name);
        let source = fs::read_to_string(path).unwrap();
        let changed = source.replacen(old, new, 1);
        assert_ne!(source, changed, "{name}: {old}");
        assert!(!rules(kind, &changed).is_empty(), "{name}: {new}");
        assert!(
            !validators[&kind].is_valid(&as_json(&changed).unwrap()),
            "{name}: {new}"
        );
    }
}

fn run(arguments: &[&str]) -> (i32, String) {
    let output = crate::started::program()
        .arg("schema")
        .args(arguments)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
    )
}

#[test]
fn the_command_lists_prints_and_writes_them() {
    let (code, text) = run(&[]);
    assert_eq!(code, 0);
    for (kind, word) in FileKind::ALL {
        assert!(text.contains(&format!("shimwright {word} 1")), "{text}");
        let (code, text) = run(&[word]);
        assert_eq!(code, 0);
        assert_eq!(
            serde_json::from_str::<serde_json::Value>(&text).unwrap(),
            schema(kind)
        );
    }
    assert_eq!(run(&["gearbox"]).0, 2);
    let folder = tempfile::tempdir().unwrap();
    let (code, text) = run(&["--out", folder.path().to_str().unwrap()]);
    assert_eq!((code, text.lines().count()), (0, FileKind::ALL.len()));
    for (kind, word) in FileKind::ALL {
        let text = fs::read_to_string(folder.path().join(format!("{word}.schema.json"))).unwrap();
        assert_eq!(
            serde_json::from_str::<serde_json::Value>(&text).unwrap(),
            schema(kind)
        );
    }
    let (code, _) = run(&["unit", "--out", folder.path().join("nowhere").to_str().unwrap()]);
    assert_eq!(code, 1);
}

#[test]
fn a_file_may_name_its_schema_in_its_first_line() {
    for (kind, name, source) in stock() {
        let told = format!("#:schema ./{}.schema.json\n{source}", kind.word());
        assert_eq!(rules(kind, &told), Vec::<&str>::new(), "{name}");
    }
}
