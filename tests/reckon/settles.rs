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
            let complaint = ["--complaint", "does nothing", "--complaint", "snaps on lift"];
            let text = done(settle(
                &demo(&format!("{car}-car")),
                wanted,
                &demo(unit),
                &complaint,
            ));
            for line in text.lines() {
                assert!(line.width() <= 80, "{}: {line}", line.width());
            }
            assert!(text.contains("common practice, no source"));
        }
    }
}

#[test]
fn the_ten_best_rise_and_beat_or_are_the_unit_as_it_is() {
    let report = json("moor-car", "hillclimb", "moor-rear", &[]);
    let best = report["best"].as_array().unwrap();
    assert_eq!(best.len(), 10);
    let off: Vec<f64> = best
        .iter()
        .map(|one| one["off_target_share"].as_f64().unwrap())
        .collect();
    assert!(off.windows(2).all(|pair| pair[0] <= pair[1] + 1e-6));
    assert!(off[0] <= report["now"]["off_target_share"].as_f64().unwrap());
}

/// The figures of the report against the car's file, reckoned here: torque at the case through the gears, loads of the
/// tyres at the torque that they cap.
#[test]
fn the_report_agrees_with_the_balances_worked_out_here() {
    let report = json("moor-car", "hillclimb", "moor-rear", &[]);
    let coast = report["coast_case_torque_nm"].as_f64().unwrap();
    assert!((coast - 55.0 * 2.05 * 3.90).abs() < 1e-6);
    let full = &report["full_throttle"];
    assert_eq!(full["capped_by_tyres"], Value::Bool(true));
    // with both tyres at their limit and N the load of the axle: F = μm N + (μhi − μlo) ΔN, N = N0 + F h/L
    let g = 9.806_65;
    let (low, high) = (0.75, 1.1);
    let across = 1080.0 * g * 0.6 * 0.450 / 1.480 * 0.40;
    let mean = (low + high) / 2.0;
    let force = (mean * 560.0 * g + (high - low) * across) / (1.0 - mean * 0.450 / 2.460);
    let torque = full["case_torque_nm"].as_f64().unwrap();
    assert!(
        (torque - force * 0.305).abs() < 1e-6 * torque,
        "{torque} {}",
        force * 0.305
    );
    let load = 560.0 * g + force * 0.450 / 2.460;
    let inside = full["inside_load_n"].as_f64().unwrap();
    assert!((inside - (load / 2.0 - across)).abs() < 1e-6 * load);
}

#[test]
fn a_complaint_is_answered_with_steps_that_move_it_the_right_way() {
    for words in [
        "pushes on entry",
        "pushes on power",
        "inside wheel spins",
        "snaps on lift",
        "chatters when turning slowly",
        "does nothing",
    ] {
        let report = json("moor-car", "snow-and-ice", "moor-rear", &["--complaint", words]);
        let answer = &report["complaints"][0];
        assert_eq!(answer["complaint"], words);
        let now = answer["now"].as_f64().unwrap();
        for step in answer["helps"].as_array().unwrap() {
            let then = step["then"].as_f64().unwrap();
            assert_eq!(
                then > now,
                answer["should_rise"].as_bool().unwrap(),
                "{words}: {step}"
            );
        }
    }
    let entry = json(
        "moor-car",
        "hillclimb",
        "moor-rear",
        &["--complaint", "pushes on entry"],
    );
    let helps = entry["complaints"][0]["helps"].as_array().unwrap();
    // the coast ramp that spreads less acts on it, the drive ramp does not
    assert!(
        helps
            .iter()
            .any(|step| step["change"].get("coast_deg_from_ring_face").is_some())
    );
    assert!(
        helps
            .iter()
            .all(|step| step["change"].get("drive_deg_from_ring_face").is_none())
    );
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
    let (code, words) = refused(settle(&car, "drift", &unit, &["--complaint", "pushes on entri"]));
    assert_eq!(code, 2);
    assert!(words.contains("did you mean \"pushes on entry\"?"), "{words}");
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
        ("low_grip = 0.6", "low_grip = -0.6", "low_grip is -0.600"),
        (
            "low_grip = 0.6",
            "low_grip = 0.95",
            "more than the 0.900 of the high side",
        ),
    ] {
        let bent = file(&wanted.replace(old, new));
        let (code, words) = refused(settle(&car, &bent.path().display().to_string(), &unit, &[]));
        assert_eq!(code, 3);
        assert!(words.contains(says), "{words}");
    }
}

#[test]
fn the_unit_as_it_is_is_told_by_its_own_figures() {
    let report = json("moor-car", "hillclimb", "moor-rear", &[]);
    // what locks the whole axle at full throttle says from which throttle on
    let now = &report["now"];
    assert!(now["effect"]["drive_lock_shares"][1].as_f64().unwrap() > 1.0);
    assert!(now["locks_at_throttle"].as_f64().unwrap() < 1.0);
    for one in report["best"].as_array().unwrap() {
        let effect = &one["effect"];
        let used = effect["usable_case_torque_nm"].as_f64().unwrap();
        let full = &report["full_throttle"];
        let both = full["low_side_nm"].as_f64().unwrap() + full["high_side_nm"].as_f64().unwrap();
        assert!((effect["grip_used_share"].as_f64().unwrap() - used / both).abs() < 1e-9);
    }
    assert_eq!(
        (report["gear"].as_u64(), report["engine_rpm"].as_u64()),
        (Some(2), Some(5600))
    );
    for step in report["steps"].as_array().unwrap() {
        assert!(step.get("locks_at_throttle").is_some() && step["effect"]["coast_yaw_moment_nm"].is_f64());
    }
}

#[test]
fn another_proposal_is_looked_at_closely_when_it_is_taken() {
    let report = json("moor-car", "hillclimb", "moor-rear", &["--take", "3"]);
    assert_eq!(report["taken"], 3);
    let third = &report["best"][2];
    let last = report["curve"].as_array().unwrap().last().unwrap()["lock_share"]
        .as_f64()
        .unwrap();
    assert!((last - third["effect"]["drive_lock_shares"][1].as_f64().unwrap()).abs() < 1e-9);
    let unit = demo("moor-rear");
    let text = done(settle(&demo("moor-car"), "hillclimb", &unit, &["--take", "3"]));
    assert!(
        text.contains("from proposal 3") && text.contains("TORQUE AT THE WHEELS"),
        "{text}"
    );
}

#[test]
fn an_even_surface_is_told_to_need_no_lock() {
    let text = std::fs::read_to_string(format!(
        "{}/procedures/uses/circuit.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let even = file(
        &text
            .replace("low_grip = 0.9", "low_grip = 1.2")
            .replace("cornering = 0.9", "cornering = 0"),
    );
    let path = even.path().display().to_string();
    let words = done(settle(&demo("moor-car"), &path, &demo("moor-rear"), &[]));
    assert!(words.contains("the lock that is needed is 0"), "{words}");
    assert!(words.contains("none: both tyres can react the same"), "{words}");
    assert!(!words.contains("preload holds as much"), "{words}");
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
