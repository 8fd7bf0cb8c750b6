//! `shimwright choose` from readings in a file, through the program.
#![allow(clippy::unwrap_used)]

#[path = "support/started.rs"]
mod started;

use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::process::Output;
use tempfile::TempDir;

/// A folder with a copy of the demonstration's files.
struct Place(TempDir);

impl Place {
    fn new() -> Place {
        let place = Place(TempDir::new().unwrap());
        let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-units");
        for name in [
            "moor-rear.toml",
            "moor-drawer.toml",
            "instruments.toml",
            "moor-rear-readings.toml",
        ] {
            fs::copy(demo.join(name), place.path(name)).unwrap();
        }
        place
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Changes a file of the place.
    fn change(&self, name: &str, change: impl Fn(String) -> String) {
        let text = fs::read_to_string(self.path(name)).unwrap();
        let changed = change(text.clone());
        assert_ne!(text, changed, "nothing was changed in {name}");
        fs::write(self.path(name), changed).unwrap();
    }

    fn choose(&self, more: &[&str]) -> Output {
        started::program()
            .args([
                "choose",
                "moor-rear.toml",
                "--readings",
                "moor-rear-readings.toml",
            ])
            .args(more)
            .current_dir(self.0.path())
            .output()
            .unwrap()
    }

    fn json(&self, more: &[&str]) -> Value {
        let output = self.choose(&[&["--json"], more].concat());
        serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&output.stderr)))
    }

    fn fails(&self, code: i32, fact: &str) {
        let output = self.choose(&[]);
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(code), "{err}");
        assert!(err.contains(fact) && !err.contains("panicked"), "{fact}: {err}");
    }
}

fn um(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

/// The sum of everything on a side, in micrometres.
fn height(side: &Value) -> f64 {
    let layers = side.as_array().unwrap().iter();
    layers
        .map(|layer| {
            layer["shim_um"]
                .as_f64()
                .or(layer["thickness_um"].as_f64())
                .unwrap()
        })
        .sum()
}

fn plates(side: &Value) -> Vec<&str> {
    side.as_array()
        .unwrap()
        .iter()
        .filter_map(|layer| layer["plate"].as_str())
        .collect()
}

fn mean_um(readings: &[f64]) -> f64 {
    (readings.iter().sum::<f64>() / readings.len() as f64 * 1e3).round()
}

#[test]
fn the_best_choice_closes_the_chain_of_its_own_parts() {
    let place = Place::new();
    let best = place.json(&[]);
    let depth = mean_um(&[67.10, 67.11, 67.10]);
    let rings = 2.0 * mean_um(&[10.998, 10.999]);
    let left_over = depth - rings - height(&best["left"]) - height(&best["right"]);
    assert!(
        (left_over - um(&best, "closing_left_um")).abs() < 1e-6,
        "{left_over}"
    );
    assert_eq!(best["closing_left_um"], best["closing_right_um"]);
    let apart = (height(&best["left"]) - height(&best["right"])).abs();
    assert!((apart - um(&best, "difference_um")).abs() < 1e-6);
    assert_eq!(best["admissible"], true);
    assert_eq!(best["missing"].as_array().unwrap().len(), 0);
    assert_eq!(best["alternatives"].as_array().unwrap().len(), 9);
    // the worn plate is measured, and can not be chosen
    assert!(
        best["rejected"]
            .as_array()
            .unwrap()
            .iter()
            .any(|plate| plate["plate"] == "G4")
    );
    assert!(!plates(&best["left"]).contains(&"G4") && !plates(&best["right"]).contains(&"G4"));
    assert_eq!(
        (best["faces_left"].as_u64(), best["faces_right"].as_u64()),
        (Some(10), Some(10))
    );
}

#[test]
fn alternatives_come_in_the_order_that_was_asked_for() {
    let place = Place::new();
    let key = |choice: &Value, first: &str| -> Vec<f64> {
        let (shims, worst) = (um(choice, "shims"), um(choice, "worst_um"));
        let rest = [um(choice, "difference_um"), um(choice, "new_parts")];
        match first {
            "fewest" => vec![shims, worst, rest[0], rest[1]],
            "closest" => vec![worst, shims, rest[0], rest[1]],
            "reuse" => vec![rest[1], shims, worst, rest[0]],
            // in steps of 0.1 %
            _ => vec![
                -(um(choice, "probability_inside") * 1e3).floor(),
                shims,
                worst,
                rest[0],
            ],
        }
    };
    for first in ["fewest", "closest", "surest", "reuse"] {
        let best = place.json(&["--first", first]);
        let mut all = vec![key(&best, first)];
        all.extend(
            best["alternatives"]
                .as_array()
                .unwrap()
                .iter()
                .map(|choice| key(choice, first)),
        );
        assert!(all.windows(2).all(|pair| pair[0] <= pair[1]), "{first}: {all:?}");
    }
}

#[test]
fn the_order_of_the_files_does_not_change_the_choice() {
    let place = Place::new();
    let best = place.json(&[]);
    place.change("moor-rear-readings.toml", |text| {
        let (head, plates) = text.split_once("[[plate]]").unwrap();
        let mut plates: Vec<&str> = plates.split("[[plate]]").collect();
        plates.reverse();
        format!("{head}[[plate]]{}", plates.join("[[plate]]"))
    });
    place.change("moor-drawer.toml", |text| {
        let (head, parts) = text.split_once("[[shim]]").unwrap();
        let (shims, spares) = parts.split_once("[[spare]]").unwrap();
        let mut shims: Vec<&str> = shims.split("[[shim]]").collect();
        shims.reverse();
        format!("{head}[[shim]]{}\n[[spare]]{spares}", shims.join("\n[[shim]]"))
    });
    assert_eq!(place.json(&[]), best);
}

#[test]
fn a_plate_that_is_kept_stays_on_its_side_and_what_is_left_out_is_not_used() {
    let place = Place::new();
    let best = place.json(&["--keep", "G1=right", "--without", "0.50mm", "--without", "SG1"]);
    assert!(plates(&best["right"]).contains(&"G1"));
    let both = [&best["left"], &best["right"]];
    for side in both {
        assert!(!plates(side).contains(&"SG1"));
        assert!(
            side.as_array()
                .unwrap()
                .iter()
                .all(|layer| layer["shim_um"] != 500.0)
        );
    }
    let output = place.choose(&["--keep", "G1"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn where_nothing_fits_the_part_that_is_named_makes_it_fit() {
    let place = Place::new();
    place.change("moor-drawer.toml", |text| {
        let (head, rest) = text.split_once("[[shim]]").unwrap();
        let spares = rest.split_once("[[spare]]").unwrap().1;
        format!("{head}[[spare]]{spares}")
    });
    place.change("moor-rear.toml", |text| {
        text.replace("shims = [\"0.30 mm\"]", "shims = []")
    });
    let none = place.json(&[]);
    assert_eq!(none["admissible"], false);
    assert!(um(&none, "short_by_um") > 0.0);
    assert_eq!(place.choose(&[]).status.code(), Some(10));
    let missing = none["missing"].as_array().unwrap();
    let shim = missing.iter().find(|part| part["what"] == "shim").unwrap();
    assert_eq!(shim["standard_size"], true);
    place.change("moor-drawer.toml", |text| {
        let (thickness, count) = (um(shim, "thickness_um"), shim["count"].as_u64().unwrap());
        format!("{text}\n[[shim]]\nthickness = \"{thickness} µm\"\ncount = {count}\n")
    });
    assert_eq!(place.json(&[])["admissible"], true);
}

#[test]
fn bad_input_is_told_by_its_fault() {
    let readings = "moor-rear-readings.toml";
    let cut_plates = |text: String, keep: usize| {
        let mut pieces: Vec<&str> = text.split("[[plate]]").collect();
        pieces.truncate(keep + 1);
        pieces.join("[[plate]]")
    };
    type Change<'c> = Box<dyn Fn(String) -> String + 'c>;
    let cases: Vec<(&str, Change<'_>, &str)> = vec![
        (readings, Box::new(|text| cut_plates(text, 0)), "no plates"),
        (readings, Box::new(|text| cut_plates(text, 12)), "friction plate"),
        (
            readings,
            Box::new(|text| text.replace("\"C2\"", "\"C1\"")),
            "plate C1 is listed twice",
        ),
        (
            readings,
            Box::new(|text| text.replacen("1.994 mm", "0 mm", 1)),
            "must be more than 0 mm",
        ),
        (
            readings,
            Box::new(|text| text.replacen("1.994 mm", "-1 mm", 1)),
            "must be more than 0 mm",
        ),
        (
            readings,
            Box::new(|text| text.replace("\"C2\"", "\"X2\"")),
            "is called X2",
        ),
        (readings, Box::new(|text| text.replace("mic-2", "mic-9")), "mic-9"),
        (
            "moor-drawer.toml",
            Box::new(|text| text.replacen("count = 6", "count = -1", 1)),
            "-1",
        ),
        (
            "moor-drawer.toml",
            Box::new(|text| text.replacen("0.15 mm", "0.10 mm", 1)),
            "0.100 mm is listed twice",
        ),
        (
            "moor-rear.toml",
            Box::new(|text| text.replace("preload_target = \"1150 N\"", "preload_target = \"1350 N\"")),
            "upside down",
        ),
    ];
    for (name, change, fact) in cases {
        let place = Place::new();
        place.change(name, change);
        place.fails(3, fact);
    }
}

#[test]
fn a_window_that_nothing_can_meet_is_a_miss_and_not_a_fault() {
    let place = Place::new();
    place.change("moor-rear.toml", |text| {
        text.replace("depth = \"67.10 mm\"", "depth = \"71.10 mm\"")
    });
    place.change("moor-rear-readings.toml", |text| text.replace("\"67.1", "\"71.1"));
    let none = place.json(&[]);
    assert_eq!(none["admissible"], false);
    assert!(um(&none, "short_by_um") > 300.0);
}

#[test]
fn the_doubt_of_a_closing_has_its_parts() {
    let doubt = &Place::new().json(&[])["closing_doubt"];
    let u = um(doubt, "expanded_um") / 2.0;
    // 20 plates and 2 rings by one micrometer with a certificate of ± 2 µm (k = 2); its zero, and that of the depth gauge, are one reading
    // each: a half of the step either way, and the repeatability
    let zero = |step: f64, repeats: f64| (step / 12.0_f64.sqrt()).hypot(repeats);
    let by_hand = [
        ("zero of mic-2", 22.0 * zero(1.0, 1.0)),
        ("calibration of mic-2", 22.0),
        ("zero of depth-1", zero(10.0, 8.0)),
    ];
    let parts = doubt["parts"].as_array().unwrap();
    assert_eq!(parts.len(), 3);
    for (part, (source, standard)) in parts.iter().zip(by_hand) {
        assert_eq!(part["source"], source);
        // a zero is kept to the nanometre: half of one, 22 times
        assert!((um(part, "share").sqrt() * u - standard).abs() < 0.011, "{part}");
    }
    let half = f64::sqrt(u * u - 0.75 * by_hand[0].1.powi(2));
    assert_eq!(doubt["narrower"]["by"], "zero of mic-2 half as much");
    assert!((um(&doubt["narrower"], "expanded_um") - 2.0 * half).abs() < 0.022);
}
