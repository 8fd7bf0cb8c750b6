//! What every command says to machines: `unit` and `procedure` are ids, `unit_name` and `procedure_title` the words for them,
//! and lengths are in micrometres.

use crate::commands::commands_in;
use crate::place::{AT, Place, demo_file};
use crate::shapes::{faults, printed};
use crate::{paper, shop};
use serde_json::Value;
use shimwright::procedure::{Procedure, STOCK};
use shimwright::record::formats::ANSWERS_AS_JSON;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// Every command that has `--json`, with what is typed behind it, and the keys of these that it must have somewhere.
const SAID: &[(&str, &str, &[&str])] = &[
    (
        "work",
        "bench-check moor-rear.toml --answers check.answers",
        &["unit", "unit_name", "procedure", "procedure_title"],
    ),
    (
        "choose",
        "moor-rear.toml --readings moor-rear-readings.toml",
        &["thickness_um"],
    ),
    (
        "settle",
        "moor-car.toml --use hillclimb --unit moor-rear.toml --date 2026-05-09",
        &["unit", "unit_name"],
    ),
    ("lint", "moor-rear.toml", &[]),
    ("procedures", "", &["procedure", "procedure_title"]),
    ("procedures", "bench-check", &["procedure", "procedure_title"]),
    (
        "sheet",
        "moor-rear-0001 --out again.pdf",
        &["unit", "unit_name", "procedure", "procedure_title", "mean_um"],
    ),
    (
        "show",
        "moor-rear-0001",
        &["unit", "unit_name", "procedure", "procedure_title", "mean_um"],
    ),
    (
        "builds",
        "",
        &["unit", "unit_name", "procedure", "procedure_title"],
    ),
    (
        "day",
        "moor-car.toml --answers day.answers",
        &["setting", "distance_km"],
    ),
    ("days", "", &[]),
    ("days", "moor-day-0001", &["setting"]),
    ("runs", "moor-rear-0001 moor-rear-0002", &[]),
    (
        "plan",
        "moor-car.toml moor-rear-0001 moor-rear-0002 --runs 8",
        &[],
    ),
    ("fleet", "", &["unit", "unit_name", "least_um"]),
    ("fleet", "--open", &[]),
    ("drawers", "moor-rear.toml", &["thickness_um"]),
    ("drawers", "", &["thickness_um"]),
    ("defaults", "", &[]),
    ("check", "moor-rear-0001", &[]),
    ("check", "--all", &[]),
    ("check", "--all --sheets", &[]),
    ("backup", "book.backup", &[]),
    ("restore", "book.backup --try", &[]),
    ("wear", "moor-rear", &["unit", "unit_name", "mean_um", "measure"]),
    ("wear", "fell-front", &["unit", "unit_name", "measure"]),
    (
        "between",
        "moor-rear-0001 moor-rear-0002",
        &["plates_um", "measure"],
    ),
    (
        "import",
        "old.csv --unit moor-rear.toml --check",
        &["unit", "unit_name"],
    ),
    ("guide", "", &[]),
    ("guide", "wear", &[]),
    ("words", "plate", &[]),
    ("practise", "--past", &[]),
    (
        "reckon spring",
        "--outside 50mm --inside 25.4mm --thickness 1.25mm --height 3.4mm --travel 1mm",
        &["peak_travel_um"],
    ),
    (
        "reckon pack",
        "--faces 8 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
        &["radius_um"],
    ),
    ("reckon ramp", "--angle 45_deg_from_ring_face", &[]),
    (
        "reckon lock",
        "--faces 8 --friction 0.1 --radius 40mm --pin-radius 31mm --drive 60_deg_from_ring_face --coast no_ramp",
        &[],
    ),
    (
        "reckon axle",
        "--mass 1250kg --axle-mass 600kg --axle rear --track 1500mm --wheelbase 2600mm --height 480mm --roll-share 0.45 \
         --tyre-radius 310mm --speed 50km/h --cornering 0.44 --grip-inside 1.1 --grip-outside 1.1 --slide-slip 0.1 --torque \
         800N.m --faces 8 --friction 0.1 --radius 40mm --pin-radius 31mm --drive 45_deg_from_ring_face --coast no_ramp",
        &[],
    ),
    (
        "reckon car",
        "moor-car.toml --rear moor-rear.toml --speed 50km/h --cornering 0.4 --inside-grip 0.9 --outside-grip 1.1 --torque \
         1500N.m",
        &[],
    ),
    (
        "reckon breakaway",
        "--held output --reading 45N.m --faces-left 8 --faces-right 8 --radius 40mm --force-left 1000N --force-right 1000N",
        &[],
    ),
    (
        "reckon risk",
        "--mean 1.98mm --spread 0.02mm --uncertainty 0.004mm --least 1.95mm",
        &[],
    ),
    ("reckon combine", "--source 2.9um --source 2.3um", &["u_um"]),
    (
        "reckon wrench",
        "--reading 100N.m --length 400mm --extension 50mm",
        &[],
    ),
    ("reckon bolt", "--size M10x1.25 --class 10.9 --torque 55N.m", &[]),
    (
        "reckon judge",
        "--value 1.98mm --uncertainty 0.004mm --least 1.95mm",
        &[],
    ),
    ("reckon runs", "runs.txt", &[]),
    ("reckon order", "--runs 8 --seed 7", &[]),
    ("reckon readings", "readings.txt", &[]),
    ("reckon line", "line.txt", &[]),
    ("reckon convert", "1in --to mm", &["measure"]),
];

/// What ends as a length in millimetres does and is none.
const NO_LENGTHS: [&str; 1] = ["rate_n_per_mm"];

/// A book of two rebuilds and a check of one unit, and a rebuild of another.
fn book() -> Place {
    let place = shop();
    for name in [
        "moor-rear-readings.toml",
        "moor-car.toml",
        "fell-front.toml",
        "fell-drawer.toml",
    ] {
        if let Ok(text) = fs::read(demo_file(name)) {
            place.write(name, text);
        }
    }
    place.write(
        "check.answers",
        fs::read(demo_file("moor-rear-bench-check.answers")).unwrap(),
    );
    let run = |n: usize| {
        format!(
            "run/{n} = next\nrun-build/{n} = moor-rear-000{n}\nrun-pressures/{n} = none\nrun-changed/{n} = none\nrun-km/{n} = 12\n\
             times/{n}/1 = 72.3\ntimes/{n}/2 = end\nstruck/{n} = none\nfeel-entry/{n} = right\nfeel-middle/{n} = right\n\
             feel-power/{n} = right\nfeel-lift/{n} = right\nfeel-straight/{n} = right\nrun-remark/{n} = none\n"
        )
    };
    place.write(
        "day.answers",
        format!(
            "who = A\ndriven-on = 2026-05-09\nevent = Test (invented)\nday-kind = test\nsurface = none\nweather = none\n\
             air = none\nroad = none\ntyre-sets = none\n{}{}run/3 = end\nremarks = none\n",
            run(1),
            run(2)
        ),
    );
    place.write("old.csv", paper());
    place.write("readings.txt", "1.981\n1.983\n1.982\n");
    place.write(
        "runs.txt",
        "1,1,70.0\n1,2,69.1\n1,2,69.2\n1,1,70.3\n1,2,69.4\n1,1,70.5\n1,1,70.6\n1,2,69.7\n",
    );
    place.write("line.txt", "0,2.00\n1,1.99\n2,1.98\n");
    for demo in ["moor-rear", "moor-rear", "fell-front"] {
        let ran = place.demo(demo, &["--new", "--as-listed"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    place
}

/// Every key with its value, however deep it lies.
fn keys(value: &Value, into: &mut Vec<(String, Value)>) {
    match value {
        Value::Object(object) => {
            for (key, value) in object {
                into.push((key.clone(), value.clone()));
                keys(value, into);
            }
        }
        Value::Array(list) => list.iter().for_each(|value| keys(value, into)),
        _ => {}
    }
}

/// The commands whose help lists `--json`, with those below them.
fn with_json(place: &Place) -> BTreeSet<String> {
    fn below(place: &Place, path: &str, into: &mut BTreeSet<String>) {
        let mut words: Vec<&str> = path.split(' ').filter(|word| !word.is_empty()).collect();
        words.push("--help");
        let help = place.run(&words).out;
        let commands = commands_in(&help);
        for command in commands {
            below(place, format!("{path} {command}").trim(), into);
        }
        // what stands before commands with it is theirs
        let is_below = |other: &String| other.starts_with(&format!("{path} ")) || path.is_empty();
        let listed = help.lines().any(|line| line.trim_start().starts_with("--json"));
        if listed && !into.iter().any(is_below) {
            into.insert(path.to_string());
        }
    }
    let mut all = BTreeSet::new();
    below(place, "", &mut all);
    all
}

#[test]
fn names_and_lengths_are_the_same_in_whatever_is_said_to_machines() {
    let place = book();
    let listed: BTreeSet<String> = SAID.iter().map(|(command, ..)| (*command).to_string()).collect();
    assert_eq!(
        listed,
        with_json(&place),
        "left the list above, right what the program has"
    );
    let titles: BTreeMap<String, String> = STOCK
        .iter()
        .map(|one| {
            (
                one.id.to_string(),
                Procedure::read(one.id, &one.text).unwrap().title,
            )
        })
        .collect();
    let mut met = BTreeSet::new();
    for (command, typed, wanted) in SAID {
        // a value with spaces in it is one word
        let typed: Vec<String> = typed.split(' ').map(|word| word.replace('_', " ")).collect();
        let mut words: Vec<&str> = command.split(' ').collect();
        words.extend(typed.iter().map(String::as_str).filter(|word| !word.is_empty()));
        words.push("--json");
        if ["work", "day"].contains(command) {
            words.extend(["--at", AT]);
        }
        let ran = place.run(&words);
        assert!([0, 12].contains(&ran.code), "{words:?}: {}", ran.err);
        let said: Value = serde_json::from_str(&ran.out).unwrap();
        let format = said["format"].as_str().unwrap_or_default();
        let (number, what) = format.split_once(": ").unwrap_or_default();
        assert_eq!(
            ANSWERS_AS_JSON.number_in(number),
            Some(ANSWERS_AS_JSON.newest()),
            "{words:?}: {format}"
        );
        assert!(!what.is_empty() && what != "error", "{words:?}: {format}");
        assert_eq!(faults(&said), [""; 0], "{words:?}");
        met.insert(what.to_string());
        let mut all = Vec::new();
        keys(&said, &mut all);
        for (key, value) in &all {
            let text = value.as_str();
            assert!(
                !key.ends_with("_mm") || NO_LENGTHS.contains(&key.as_str()),
                "{words:?}: {key} is in millimetres"
            );
            match key.as_str() {
                // a plate that was thrown out is in no unit
                "unit" => assert!(
                    value.is_null() || ["moor-rear", "fell-front"].contains(&text.unwrap()),
                    "{words:?}: {value}"
                ),
                "unit_name" => assert!(
                    ["Moor rear", "Fell front"].contains(&text.unwrap()),
                    "{words:?}: {value}"
                ),
                "procedure" => assert!(titles.contains_key(text.unwrap()), "{words:?}: {value}"),
                "procedure_title" => {
                    assert!(
                        titles.values().any(|title| Some(title.as_str()) == text),
                        "{words:?}: {value}"
                    );
                }
                // a quantity that was asked for in millimetres is told in them
                "measure" => assert!(
                    *command == "reckon convert" || text != Some("mm"),
                    "{words:?}: {value}"
                ),
                _ => {}
            }
        }
        for key in *wanted {
            assert!(
                all.iter().any(|(name, _)| name == key),
                "{words:?} has no {key}: {said}"
            );
        }
    }
    // and nothing is described that is not said
    met.extend(OF_PRACTICE.map(str::to_string));
    met.insert("error".to_string());
    let listed = place.run(&["schema"]).out;
    let (_, outputs) = listed.split_once("said with --json").unwrap();
    for name in &met {
        assert!(outputs.contains(&format!("\n{name} ")), "{name}: {outputs}");
    }
    assert_eq!(
        outputs
            .lines()
            .skip(2)
            .take_while(|line| !line.is_empty())
            .count(),
        met.len()
    );
}

/// What only a person at the end of a run of practice is told: tests/practise/program.rs holds these.
const OF_PRACTICE: [&str; 2] = ["drill", "practice"];

#[test]
fn every_output_has_a_schema_that_says_no_more_than_there_is() {
    let listed = Place::new().run(&["schema"]).out;
    let (_, outputs) = listed.split_once("said with --json").unwrap();
    let names: BTreeSet<&str> = outputs
        .lines()
        .skip(2)
        .take_while(|line| !line.is_empty())
        .map(|line| line.split("  ").next().unwrap().trim())
        .collect();
    assert!(names.len() > 40, "{listed}");
    for name in names {
        let schema = printed(name);
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(
            schema["properties"]["format"]["const"],
            format!("shimwright told 1: {name}")
        );
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        // something else under its name is refused, and so is a key that is left out
        assert!(
            !validator.is_valid(&serde_json::json!({ "format": "shimwright told 1: no such thing" })),
            "{name}"
        );
        assert!(schema["properties"].as_object().unwrap().len() > 1, "{name}");
        // what a key of a schema names is there
        let (text, defined) = (schema.to_string(), &schema["$defs"]);
        for part in text.split("#/$defs/").skip(1) {
            let shape = part.split('"').next().unwrap();
            assert!(
                defined[shape]["properties"]
                    .as_object()
                    .is_some_and(|keys| !keys.is_empty()),
                "{name}: {shape}"
            );
        }
    }
}

#[test]
fn what_is_refused_is_one_object_too_where_one_is_wanted() {
    let place = shop();
    for (words, code) in [
        (vec!["show", "nobody-0001"], 5),
        (vec!["wear", "nobody"], 5),
        (vec!["fleet", "--no-such-option"], 2),
        (vec!["reckon", "convert", "100lbf.ft", "--to", "mm"], 2),
        (vec!["reckon", "ramp", "--angle", "0 deg from ring face"], 9),
        (vec!["no-such-command"], 2),
    ] {
        let plain = place.run(&words);
        let words: Vec<&str> = words.into_iter().chain(["--json"]).collect();
        let ran = place.run(&words);
        assert_eq!((ran.code, plain.code), (code, code), "{words:?}: {}", ran.err);
        assert_eq!((plain.out.as_str(), &plain.err), ("", &ran.err), "{words:?}");
        let said: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(said["format"], "shimwright told 1: error", "{said}");
        assert_eq!(said["exit"], code, "{said}");
        assert_eq!(faults(&said), [""; 0], "{words:?}");
        for key in ["error", "next"] {
            let told = said[key].as_str().unwrap();
            let line = told.lines().next().unwrap();
            assert!(ran.err.contains(line), "{words:?}: {told} is not in {}", ran.err);
        }
    }
}

#[test]
fn the_columns_of_tables_keep_to_it_too() {
    let place = book();
    let help = place.run(&["export", "--help"]).out;
    let tables = ["builds", "plates", "packs", "closings", "springs", "instruments"];
    for table in tables {
        assert!(help.contains(table), "{table}: {help}");
        let text = place.run(&["export", table]).out;
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        let head = rows.headers().unwrap().clone();
        assert!(head.iter().all(|column| !column.ends_with("_mm")), "{head:?}");
        let unit = head.iter().position(|column| column == "unit").unwrap();
        let mut count = 0;
        for row in rows.records().map(Result::unwrap) {
            assert!(["moor-rear", "fell-front"].contains(&&row[unit]), "{row:?}");
            count += 1;
        }
        assert!(count > 0, "{table}");
    }
    for unit in ["moor-rear", "fell-front"] {
        let text = place.run(&["wear", unit, "--csv"]).out;
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        let head = rows.headers().unwrap().clone();
        let of = |name: &str| head.iter().position(|column| column == name).unwrap();
        let (named, measure) = (of("unit"), of("measure"));
        for row in rows.records().map(Result::unwrap) {
            assert_eq!(&row[named], unit, "{row:?}");
            assert!(["µm", "N·m", "N", ""].contains(&&row[measure]), "{row:?}");
        }
    }
}

/// Steps start from what was last driven: what the last finished build left, and not what the unit's file lists.
#[test]
fn steps_start_from_the_lock_as_the_last_build_left_it() {
    let place = book();
    let settle = |more: &[&str]| {
        let words = [
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            "moor-rear.toml",
        ];
        let ran = place.run(&[&words, more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let said: Value = serde_json::from_str(&settle(&["--json"])).unwrap();
    let from = &said["steps_from"];
    assert_eq!(&said["driven"]["setting"], from);
    // the springs were left within the window of the unit's file, and not just at its target
    let force = from["preload_n"].as_f64().unwrap();
    assert!(
        (1000.0..=1300.0).contains(&force) && (force - 1150.0).abs() > 0.5,
        "{force}"
    );
    assert_eq!(said["now"]["setting"]["preload_n"], 1150.0);
    assert_eq!(
        (from["faces_left"].as_u64(), from["faces_right"].as_u64()),
        (Some(10), Some(10))
    );
    // it holds as much more or less as its springs press more or less
    let held = |row: &Value| row["then"]["preload_nm"].as_f64().unwrap();
    let nine = said["steps"]
        .as_array()
        .unwrap()
        .iter()
        .find(|step| step["changes"][0]["faces"] == 9);
    assert!((held(nine.unwrap()) - 18.0 * 0.1 * 0.040 * force).abs() < 1e-6);
    let text = settle(&[]);
    assert!(text.contains("left it on"), "{text}");
    // a book without a build of it, and none at all, leave it as its file has it
    for empty in ["no-book-here", "empty-book"] {
        if empty == "empty-book" {
            fs::create_dir(place.path(empty)).unwrap();
        }
        let path = place.path(empty).display().to_string();
        let said: Value = serde_json::from_str(&settle(&["--json", "--book", &path])).unwrap();
        assert_eq!(
            (&said["driven"], &said["steps_from"]["preload_n"]),
            (&Value::Null, &Value::from(1150.0))
        );
    }
}
