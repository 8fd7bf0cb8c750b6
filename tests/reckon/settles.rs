//! `shimwright settle` as a person or a script calls it.

use serde_json::Value;
use std::io::Write;
use std::process::Output;
use tempfile::NamedTempFile;
use unicode_width::UnicodeWidthStr;

const USES: [&str; 7] = [
    "gravel-stage",
    "tarmac-stage",
    "snow-and-ice",
    "hillclimb",
    "slalom",
    "circuit",
    "drift",
];
const CARS: [&str; 3] = ["tarn", "moor", "shoal"];
const UNITS: [&str; 3] = ["fell-front", "moor-rear", "shoal-rear"];

fn demo(name: &str) -> String {
    format!("{}/demo-units/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

fn settle(car: &str, wanted: &str, unit: &str, more: &[&str]) -> Output {
    crate::started::program()
        .args(["settle", car, "--use", wanted, "--unit", unit])
        // nobody's book has a word in it
        .env("SHIMWRIGHT_BOOK", "no-such-book")
        .args(more)
        .output()
        .unwrap()
}

fn done(output: Output) -> String {
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), errors.as_str()), (Some(0), ""));
    String::from_utf8(output.stdout).unwrap()
}

fn refused(output: Output) -> (i32, String) {
    assert!(output.stdout.is_empty());
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

fn json(car: &str, wanted: &str, unit: &str, more: &[&str]) -> Value {
    let more = [more, &["--json"]].concat();
    serde_json::from_str(&done(settle(&demo(car), wanted, &demo(unit), &more))).unwrap()
}

fn file(text: &str) -> NamedTempFile {
    let mut file = NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    file
}

#[test]
fn every_demo_settles_for_every_use_within_eighty_columns() {
    for (car, unit) in CARS.iter().zip(UNITS) {
        for wanted in USES {
            // pairs of steps take their time
            let complaint: &[&str] = match wanted {
                "gravel-stage" => &["--complaint", "does nothing", "--complaint", "snaps on lift"],
                _ => &[],
            };
            let text = done(settle(
                &demo(&format!("{car}-car")),
                wanted,
                &demo(unit),
                complaint,
            ));
            for line in text.lines() {
                assert!(line.width() <= 80, "{}: {line}", line.width());
            }
            assert!(text.contains("common practice, no source"));
        }
    }
}

#[test]
fn proposals_are_few_rise_and_beat_or_are_the_unit_as_it_is() {
    let report = json("moor-car", "hillclimb", "moor-rear", &[]);
    let off = |rated: &Value| rated["worst_share"].as_f64().unwrap();
    let proposals = report["proposals"].as_array().unwrap();
    assert!((1..=3).contains(&proposals.len()));
    let all: Vec<f64> = proposals.iter().map(|one| off(&one["rated"])).collect();
    assert!(all.windows(2).all(|pair| pair[0] <= pair[1] + 1e-3), "{all:?}");
    assert!(all[0] <= off(&report["now"]) + 1e-9);
}

/// Torque at the wheels and what the preload holds, against the car's and the unit's files, reckoned here.
#[test]
fn the_report_agrees_with_what_is_worked_out_here() {
    let report = json("moor-car", "hillclimb", "moor-rear", &[]);
    // the second gear and the final drive turn the drag of 55 N·m into this; losses brake as well
    let drag = 55.0 * 2.05 * 3.90;
    for moment in report["moments"].as_array().unwrap() {
        assert!(
            (moment["shut_at_wheels_nm"].as_f64().unwrap() + drag).abs() < 1e-6,
            "{moment}"
        );
    }
    // plates worn evenly rub at the mean radius of (98 + 62)/4 mm: 2 · 10 faces · 0.1 · 0.040 m · 1150 N
    let held = |then: &Value| then["preload_nm"].as_f64().unwrap();
    let steps = report["steps"].as_array().unwrap();
    let nine = steps
        .iter()
        .find(|step| step["changes"][0]["faces"] == 9)
        .unwrap();
    assert!(
        (held(&nine["then"]) - 2.0 * 9.0 * 0.1 * 0.040 * 1150.0).abs() < 1e-6,
        "{nine}"
    );
    let oil = steps
        .iter()
        .find(|step| step["changes"][0]["plate_friction"].is_f64())
        .unwrap();
    let friction = oil["changes"][0]["plate_friction"].as_f64().unwrap();
    assert!(
        (held(&oil["then"]) - 2.0 * 10.0 * friction * 0.040 * 1150.0).abs() < 1e-6,
        "{oil}"
    );
}

/// The figure of a measure in a row of steps, or as things are.
fn figure(row: &Value, measure: &str) -> Option<f64> {
    row["then"][measure].as_f64()
}

#[test]
fn a_complaint_puts_the_steps_that_help_first_and_only_those_count_as_help() {
    for words in [
        "pushes on entry",
        "pushes on power",
        "inside wheel spins",
        "snaps on lift",
        "chatters when turning slowly",
        "does nothing",
        "rear steps out on power",
        "runs hot",
    ] {
        let report = json("moor-car", "snow-and-ice", "moor-rear", &["--complaint", words]);
        let said = &report["complaints"][0];
        assert_eq!(said["complaint"], words);
        let (measure, rises) = (
            said["measure"].as_str().unwrap(),
            said["should_rise"].as_bool().unwrap(),
        );
        let mut seen = (i64::MIN, 0);
        for step in report["steps"].as_array().unwrap() {
            let (helps, harms) = (step["helps"].as_i64().unwrap(), step["harms"].as_i64().unwrap());
            // harm falls last, help first
            assert!((harms, -helps) >= seen, "{words}: {step}");
            seen = (harms, -helps);
            let (Some(now), Some(then)) = (said["now"].as_f64(), figure(step, measure)) else {
                continue;
            };
            if helps > 0 {
                assert_eq!(then > now, rises, "{words}: {step}");
            }
        }
    }
    let entry = json(
        "moor-car",
        "hillclimb",
        "moor-rear",
        &["--complaint", "understeer on entry"],
    );
    assert_eq!(entry["complaints"][0]["complaint"], "pushes on entry");
    let helping = |key: &str| {
        let steps = entry["steps"].as_array().unwrap().iter();
        steps
            .filter(|step| step["helps"] == 1)
            .any(|step| step["changes"][0].get(key).is_some())
    };
    // the coast ramp that spreads less acts on it, the drive ramp does not
    assert!(helping("coast_deg_from_ring_face") && !helping("drive_deg_from_ring_face"));
    // two steps together move it further than the best by itself, and change two different things
    let pair = &entry["two_steps"][0];
    let best = &entry["steps"][0];
    assert!(
        figure(pair, "shut_against_nm") < figure(best, "shut_against_nm"),
        "{pair} {best}"
    );
    let changes = pair["changes"].as_array().unwrap();
    assert!(changes.len() == 2 && changes[0] != changes[1]);
}

#[test]
fn wishes_that_speak_against_each_other_and_what_no_figure_shows_are_said() {
    let told = |complaints: &[&str]| {
        let more: Vec<&str> = complaints
            .iter()
            .flat_map(|words| ["--complaint", words])
            .collect();
        done(settle(&demo("moor-car"), "hillclimb", &demo("moor-rear"), &more)).replace('\n', " ")
    };
    let both = told(&["snaps on lift", "pushes on entry"]);
    assert!(
        both.contains("snaps on lift and pushes on entry want one figure to go both ways"),
        "{both}"
    );
    let clunks = told(&["it clunks"]);
    assert!(clunks.contains("no figure of the lock stands for it"), "{clunks}");
    let spins = told(&["spins one wheel"]);
    assert!(spins.contains("is at its end in this use with 100 %"), "{spins}");
}

#[test]
fn complaints_are_listed_and_those_of_the_other_axle_are_refused() {
    let (car, unit) = (demo("moor-car"), demo("moor-rear"));
    let listed = done(settle(&car, "drift", &unit, &["--complaint", "list"]));
    for words in [
        "entry",
        "middle",
        "power",
        "lift",
        "slow",
        "noise",
        "heat",
        "tugs at the wheel",
        "torque steers",
    ] {
        assert!(listed.contains(words), "{words}: {listed}");
    }
    let (code, words) = refused(settle(&car, "drift", &unit, &["--complaint", "torque steer"]));
    assert_eq!(code, 2);
    assert!(words.contains("is said of a driven front axle"), "{words}");
    let (code, words) = refused(settle(&car, "drift", &unit, &["--complaint", "understeers"]));
    assert_eq!(code, 2);
    assert!(
        words.contains("may be any of these") && words.contains("pushes on lift"),
        "{words}"
    );
    let front = json(
        "tarn-car",
        "slalom",
        "fell-front",
        &["--complaint", "torque steer"],
    );
    assert_eq!(front["complaints"][0]["measure"], "front_shafts_apart_nm");
}

#[test]
fn more_preload_is_not_offered_to_a_unit_without_a_spring() {
    let unit = std::fs::read_to_string(demo("fell-front")).unwrap();
    let faces = "faces = [2, 4, 5, 6]";
    assert!(unit.contains(faces));
    let offered = file(&unit.replace(faces, "preload = [\"500 N\"]\nfaces = [4, 5.5]"));
    let path = offered.path().display().to_string();
    let (code, words) = refused(settle(&demo("tarn-car"), "slalom", &path, &[]));
    assert_eq!(code, 3);
    assert!(
        words.contains("a unit without [spring] has no preload to offer"),
        "{words}"
    );
    assert!(
        words.contains("faces holds 5.50, but each must be a whole number from 0 to 400"),
        "{words}"
    );
}

#[test]
fn bad_input_is_refused_with_its_code() {
    let (car, unit) = (demo("moor-car"), demo("moor-rear"));
    let (code, words) = refused(settle(&car, "gravle", &unit, &[]));
    assert_eq!(code, 3);
    assert!(
        words.contains("there is no stock use \"gravle\"") && words.contains("gravel-stage"),
        "{words}"
    );
    let (code, words) = refused(settle(&car, "drift", &unit, &["--complaint", "blue paint"]));
    assert_eq!(code, 2);
    assert!(words.contains("known are, entry: pushes on entry"), "{words}");
    let (code, _) = refused(settle("no-such-car.toml", "drift", &unit, &[]));
    assert_eq!(code, 3);
    let text = std::fs::read_to_string(&car).unwrap();
    for (old, new, says) in [
        (
            "mass = \"1080 kg\"",
            "mass = \"0 kg\"",
            "it must be more than 0 kg",
        ),
        (
            "rear_weight = \"560 kg\"",
            "rear_weight = \"500 kg\"",
            "add up to 1020.0 kg",
        ),
        ("settle_in = 2 ", "settle_in = 7 ", "gear 7 is missing"),
    ] {
        let bent = file(&text.replace(old, new));
        let (code, words) = refused(settle(&bent.path().display().to_string(), "drift", &unit, &[]));
        assert_eq!(code, 3);
        assert!(words.contains(says), "{words}");
    }
    let wanted = std::fs::read_to_string(format!(
        "{}/procedures/uses/drift.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    for (old, new, says) in [
        (
            "inside_grip = 0.85",
            "inside_grip = -0.6",
            "inside_grip is -0.600",
        ),
        ("one_from = 0.5", "one_from = 1.5", "one_from is 1.50"),
    ] {
        let bent = file(&wanted.replace(old, new));
        let (code, words) = refused(settle(&car, &bent.path().display().to_string(), &unit, &[]));
        assert_eq!(code, 3);
        assert!(words.contains(says), "{words}");
    }
}

#[test]
fn another_proposal_is_looked_at_closely_when_it_is_taken() {
    let report = json("moor-car", "hillclimb", "moor-rear", &["--take", "2"]);
    assert_eq!(report["taken"], 2);
    let text = done(settle(
        &demo("moor-car"),
        "hillclimb",
        &demo("moor-rear"),
        &["--take", "2"],
    ));
    assert!(
        text.contains("proposal 2") && text.contains("TORQUE AT THE WHEELS"),
        "{text}"
    );
    let (code, words) = refused(settle(
        &demo("moor-car"),
        "hillclimb",
        &demo("moor-rear"),
        &["--take", "4"],
    ));
    assert_eq!(code, 2);
    assert!(words.contains("4"), "{words}");
}

#[test]
fn what_to_fit_is_the_first_thing_that_is_told() {
    for (car, unit) in CARS.iter().zip(UNITS) {
        let text = done(settle(
            &demo(&format!("{car}-car")),
            "gravel-stage",
            &demo(unit),
            &[],
        ));
        assert!(
            text.starts_with("Fit ") || text.starts_with("Leave it as it is"),
            "{text}"
        );
        for words in ["one-way", "one-and-a-half-way", "two-way"] {
            // one class, in full, before the first empty line
            if text
                .split("\n\n")
                .next()
                .unwrap()
                .replace('\n', " ")
                .contains(&format!("a {words}"))
            {
                assert!(text.contains("Not in it: suspension"), "{text}");
            }
        }
        assert!(
            text.replace('\n', " ")
                .contains("share of the engine's torque at that speed, and not the pedal")
        );
    }
}

/// Figures of the trade: S from the ramp and the plates by the formula of a plate clutch, and the bias ratio that follows.
#[test]
fn the_trades_lock_and_bias_ratio_stand_beside_the_ramps() {
    let text = done(settle(&demo("moor-car"), "hillclimb", &demo("moor-rear"), &[]));
    let now = text.lines().find(|line| line.starts_with("now ")).unwrap();
    let percent: Vec<f64> = now
        .match_indices('%')
        .filter_map(|(at, _)| now[..at].split_whitespace().last()?.parse().ok())
        .collect();
    let bias: f64 = now.split_whitespace().nth(10).unwrap().parse().unwrap();
    // both are rounded
    assert!(
        ((bias - 1.0) / (bias + 1.0) - percent[0] / 100.0).abs() < 0.01,
        "{now}"
    );
}

#[test]
fn the_pictures_are_written_as_svg_each_by_itself() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().display().to_string();
    let asked = || {
        settle(
            &demo("tarn-car"),
            "slalom",
            &demo("fell-front"),
            &["--svg", &path],
        )
    };
    let text = done(asked());
    for (name, words) in [
        ("lock-over-throttle.svg", "Throttle, %"),
        ("torque-at-the-wheels.svg", "Torque at the left wheel, N·m"),
    ] {
        assert!(text.contains(name), "{text}");
        let svg = std::fs::read_to_string(folder.path().join(name)).unwrap();
        assert!(
            svg.starts_with("<svg xmlns=") && svg.trim_end().ends_with("</svg>"),
            "{svg}"
        );
        assert!(svg.contains(words) && svg.contains("<polyline"), "{svg}");
        assert_eq!(svg.matches("<svg").count(), 1);
    }
    // the same bytes once more are no loss, others are not written over
    done(asked());
    std::fs::write(folder.path().join("lock-over-throttle.svg"), "mine").unwrap();
    let (code, words) = refused(asked());
    assert!(code == 1 && words.contains("is there already"), "{words}");
}

#[test]
fn a_settings_sheet_is_written_and_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sheet.pdf").display().to_string();
    let asked = |more: &[&str]| {
        let more = [&["--sheet", &path, "--date", "2026-05-08"], more].concat();
        settle(&demo("tarn-car"), "slalom", &demo("fell-front"), &more)
    };
    assert!(done(asked(&["--paper", "letter"])).contains("The settings sheet:"));
    let first = std::fs::read(&path).unwrap();
    assert!(first.starts_with(b"%PDF"));
    let (code, words) = refused(asked(&[]));
    assert_eq!(code, 1);
    assert!(
        words.contains("is there already") && words.contains("--replace"),
        "{words}"
    );
    assert_eq!(std::fs::read(&path).unwrap(), first);
    done(asked(&["--replace"]));
    assert_ne!(std::fs::read(&path).unwrap(), first);
}

#[test]
fn two_units_are_settled_together_and_a_place_without_a_unit_is_refused() {
    let (car, front) = (demo("shoal-car"), demo("fell-front"));
    // fewer to try
    let text = std::fs::read_to_string(demo("shoal-rear")).unwrap();
    let fewer = file(&text.replace("preload = [\"900 N\", \"1000 N\", \"1100 N\"]\n", ""));
    assert!(text.len() > std::fs::metadata(fewer.path()).unwrap().len() as usize);
    let rear = fewer.path().display().to_string();
    let both = ["--front", &front, "--together", "front"];
    let text = done(settle(&car, "tarmac-stage", &rear, &both));
    assert!(text.contains("TWO UNITS TOGETHER, in the rear and in the front:"));
    assert!(text.lines().all(|line| line.width() <= 80));
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("Fit in the rear ") && words.contains("; in the front "));
    let told = |more: &[&str]| -> Value {
        let more = [more, &["--json"]].concat();
        serde_json::from_str(&done(settle(&car, "tarmac-stage", &rear, &more))).unwrap()
    };
    let value = told(&both);
    let together = &value["together"];
    let tried = together["compared"].as_u64().unwrap();
    assert!(words.contains(&format!("Tried were {tried} pairs")), "{tried}");
    let worst = |pair: &Value| pair["worst_share"].as_f64().unwrap();
    let best = &together["pairs"][0];
    for one in together["one_alone"].as_array().unwrap() {
        assert!(worst(best) <= worst(&one["pair"]) + 1e-3);
    }
    assert_eq!(best["units"][0]["unit_in"], "rear");
    assert_eq!(best["units"][1]["unit_in"], "front");
    assert_eq!(together["now"]["units"][0]["setting"], value["now"]["setting"]);
    let alone = told(&["--front", &front]);
    assert_eq!(alone["together"], Value::Null);
    // what is told of the unit by itself is not changed by it
    assert_eq!(alone["proposals"], value["proposals"]);
    for (car, more, says) in [
        (
            "shoal-car",
            ["--front", &front, "--together", "rear"],
            "where the unit itself sits",
        ),
        (
            "shoal-car",
            ["--front", "solid", "--together", "front"],
            "--front is needed",
        ),
        (
            "shoal-car",
            ["--front", &front, "--together", "centre"],
            "--centre is needed",
        ),
        (
            "moor-car",
            ["--front", &front, "--together", "front"],
            "drives one axle alone",
        ),
        (
            "shoal-car",
            ["--front", &front, "--together", "left"],
            "front, centre, rear",
        ),
    ] {
        let (_, words) = refused(settle(&demo(car), "tarmac-stage", &rear, &more));
        assert!(words.contains(says), "{words}");
    }
}
