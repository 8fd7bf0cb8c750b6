//! `shimwright reckon car`, and `settle` with several cars and other units: rows of the tables that an independent solution of the
//! whole car gave, read from files as a person has them.

use serde_json::Value;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// The invented car of the tables: front-driven, 1150 kg, or with both axles driven, 1350 kg.
fn car(driven: &str, mass: u32, front: f64) -> String {
    let rear = f64::from(mass) - front;
    format!(
        "format = \"shimwright car 1\"\nname = \"Table car (invented)\"\n{driven}\nmass = \"{mass} kg\"\nfront_weight = \"{front} kg\"\n\
         rear_weight = \"{rear} kg\"\ntrack = \"1550 mm\"\nwheelbase = \"2550 mm\"\nheight = \"500 mm\"\nroll_share = 0.5\n\
         tyre_radius = \"320 mm\"\nkingpin_offset = \"20 mm\"\n[engine]\ntorque = \"250 N·m\"\ndrag = \"40 N·m\"\n[gears]\n\
         ratios = [3.0, 2.0]\nsettle_in = 2\nfinal = 3.9\nefficiency = 0.9\n"
    )
}

/// The unit of the tables as one that nobody has opened: 8 faces, 0.10 at 40 mm, pins at 31 mm, 0.06 on the ramps, 300 N.
fn unit(drive: &str, coast: &str) -> String {
    format!(
        "format = \"shimwright unit 1\"\nid = \"table-unit\"\nname = \"Table unit (invented)\"\nclosed = true\n[ramp]\n\
         drive = \"{drive}\"\ncoast = \"{coast}\"\npin_radius = \"31 mm\"\nfriction = 0.06\n[friction]\nturning = 0.1\n\
         outside = \"98 mm\"\ninside = \"62 mm\"\n[faces]\nleft = 8\nright = 8\n[preload]\nforce = \"300 N\"\n\
         place = \"behind the pack\"\n"
    )
}

fn run(place: &Path, line: &[&str]) -> Value {
    let output = crate::started::program()
        .args(line)
        .arg("--json")
        .env("SHIMWRIGHT_BOOK", "no-such-book")
        .current_dir(place)
        .output()
        .unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), errors.as_str()), (Some(0), ""));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn shop() -> TempDir {
    let place = TempDir::new().unwrap();
    let lay = |name: &str, text: String| fs::write(place.path().join(name), text).unwrap();
    lay("front.toml", car("driven = \"front\"", 1150, 713.0));
    let both = "driven = \"both\"\nunit_in = \"rear\"\nrear_share = 0.5";
    lay("both.toml", car(both, 1350, 756.0));
    lay("75.toml", unit("75 deg from ring face", "no ramp"));
    lay("70.toml", unit("70 deg from ring face", "no ramp"));
    lay("60.toml", unit("60 deg from ring face", "no ramp"));
    lay(
        "60-60.toml",
        unit("60 deg from ring face", "60 deg from ring face"),
    );
    place
}

/// As far as the tables are rounded.
fn rounds(found: &Value, wanted: f64, half: f64) {
    let found = found.as_f64().unwrap();
    assert!(
        (found - wanted).abs() <= half,
        "{found} where the table has {wanted}"
    );
}

#[test]
fn rows_of_the_tables_come_out_of_files() {
    let place = shop();
    let shut = [
        "reckon",
        "car",
        "front.toml",
        "--speed",
        "13m/s",
        "--cornering",
        "0.6",
        "--inside-grip",
        "1.1",
        "--outside-grip",
        "1.1",
        "--torque",
        "-700N.m",
        "--front",
    ];
    for (front, yaw, held) in [
        ("open", 0.0, 0.0),
        ("60-60.toml", -875.0, 361.0),
        ("solid", -3411.0, 1408.0),
    ] {
        let found = run(place.path(), &[&shut[..], &[front]].concat());
        rounds(&found["yaw_nm"], yaw, 0.5);
        rounds(&found["front"]["held_nm"], held, 0.5);
        // the tug is the difference of the forces at the offset: R and 20 mm
        rounds(
            &found["tug_nm"],
            -found["front"]["held_nm"].as_f64().unwrap() / 0.32 * 0.02,
            1e-6,
        );
    }
    let hairpin = [
        "reckon",
        "car",
        "both.toml",
        "--speed",
        "11m/s",
        "--cornering",
        "0.3",
        "--inside-grip",
        "0.65",
        "--outside-grip",
        "0.65",
        "--front-inside-grip",
        "0.35",
        "--slide-slip",
        "0.15",
        "--torque",
        "1200N.m",
        "--front",
        "75.toml",
        "--rear",
        "60.toml",
        "--centre",
        "70.toml",
    ];
    let found = run(place.path(), &hairpin);
    assert_eq!(found["centre"]["turns"], "one");
    rounds(&found["front"]["case_nm"], 458.0, 0.5);
    rounds(&found["rear"]["case_nm"], 742.0, 0.5);
}

#[test]
fn one_unit_is_settled_beside_itself_in_several_cars() {
    let place = shop();
    let settled = [
        "settle",
        "both.toml",
        "--use",
        "gravel-stage",
        "--unit",
        "60-60.toml",
        "--front",
        "75.toml",
        "--centre",
        "solid",
        "--car",
        "front.toml",
    ];
    let found = run(place.path(), &settled);
    let cars = found["cars"].as_array().unwrap();
    assert_eq!(cars.len(), 2);
    assert_ne!(cars[0]["moments"], cars[1]["moments"]);
    assert!(cars.iter().all(|car| car["refused"].is_null()));
    assert_eq!(found["season"], Value::Array(Vec::new()));
}
