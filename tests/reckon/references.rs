//! Published tables through the program.

use crate::program::{json, near, number};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::io::Write;
use tempfile::NamedTempFile;

fn read(file: &str) -> String {
    std::fs::read_to_string(format!("{}/tests/references/{file}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// The rows of a table by column.
fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let text = read(file);
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let head: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines
        .map(|line| {
            head.iter()
                .map(ToString::to_string)
                .zip(line.split(',').map(ToString::to_string))
                .collect()
        })
        .collect()
}

#[test]
fn disc_springs_have_the_forces_of_the_range_table() {
    let rows = rows("disc_springs.csv");
    for id in ["A50", "B40", "A90"] {
        let row = rows.iter().find(|row| row["id"] == id).unwrap();
        let mm = |column: &str| format!("{}mm", row[column]);
        // tables go up to three quarters of the cone
        let travel = format!("{:.4}mm", row["h0_mm"].parse::<f64>().unwrap() * 0.75);
        let arguments = [
            "spring",
            "--outside",
            &mm("De_mm"),
            "--inside",
            &mm("Di_mm"),
            "--thickness",
            &mm("t_mm"),
            "--height",
            &mm("l0_mm"),
            "--travel",
            &travel,
        ];
        let keys = [
            "force_n",
            "flat_force_n",
            "rate_n_per_mm",
            "peak_travel_um",
            "force_least_n",
            "force_most_n",
        ];
        let spring = json(&arguments, &keys);
        let printed: f64 = row["F75_N_range_table"].parse().unwrap();
        // the table has whole pounds-force
        near(number(&spring, "force_n"), printed, 4.448_221_615_260_5 / 2.0);
    }
}

#[test]
fn bolts_have_the_proof_loads_and_tensions_of_the_tables() {
    let keys = ["tension_n", "proof_n", "proof_share", "stress_area_mm2"];
    let bolt = |size: &str, class: &str, torque: &str, friction: &str| {
        json(
            &[
                "bolt",
                "--size",
                size,
                "--class",
                class,
                "--torque",
                torque,
                "--friction",
                friction,
            ],
            &keys,
        )
    };
    let mut held = 0;
    for row in rows("bolt_loads.csv")
        .iter()
        .filter(|row| !row["proof_load_N"].is_empty())
    {
        let answer = bolt(&row["thread"], &row["class"], "20N.m", "0.12");
        let printed: f64 = row["proof_load_N"].parse().unwrap();
        // the table has the area to three figures, and its loads are computed from that
        let half_area = if row["As_mm2"].contains('.') { 0.05 } else { 0.5 };
        let stress: f64 = row["Sp_MPa"].parse().unwrap();
        near(
            number(&answer, "stress_area_mm2"),
            row["As_mm2"].parse().unwrap(),
            half_area,
        );
        near(number(&answer, "proof_n"), printed, 50.0 + half_area * stress);
        near(
            number(&answer, "proof_share") * number(&answer, "proof_n"),
            number(&answer, "tension_n"),
            1e-6,
        );
        held += 1;
    }
    assert_eq!(held, 10);
    for row in rows("bolt_torques.csv") {
        let answer = bolt(
            &row["thread"],
            &row["class"],
            &format!("{}N.m", row["torque_Nm"]),
            &row["friction"],
        );
        let printed = row["tension_kN"].parse::<f64>().unwrap() * 1e3;
        // the table's bearing faces are those of the heads of each size, from 1.25 d to 1.3 d, and not 1.3 d throughout
        near(number(&answer, "tension_n"), printed, printed * 0.03);
    }
}

/// A file with a heading, as a person keeps one.
fn data_file(rows: impl Iterator<Item = String>, heading: &str) -> NamedTempFile {
    let mut file = NamedTempFile::with_suffix(".csv").unwrap();
    writeln!(file, "# a copy of the reference data\n\n{heading}").unwrap();
    for row in rows {
        writeln!(file, "{row}").unwrap();
    }
    file
}

/// The certified values and the data of a set: `nist_strd.toml`.
fn sets() -> Vec<(String, toml::Table, String)> {
    let table: toml::Table = read("nist_strd.toml").parse().unwrap();
    table["check"]
        .as_array()
        .unwrap()
        .iter()
        .map(|check| {
            (
                check["id"].as_str().unwrap().to_string(),
                check["expected"].as_table().unwrap().clone(),
                check["inputs"]["file"].as_str().unwrap().to_string(),
            )
        })
        .collect()
}

fn certified(expected: &toml::Table, key: &str) -> f64 {
    let value = &expected[key];
    value
        .as_float()
        .or_else(|| value.as_integer().map(|whole| whole as f64))
        .unwrap()
}

/// Nine digits and more.
fn digits(object: &Map<String, Value>, key: &str, wanted: f64, relative: f64) {
    near(number(object, key), wanted, wanted.abs() * relative);
}

#[test]
fn readings_have_the_certified_figures() {
    let keys = ["count", "mean", "sd", "standard_error", "lag1"];
    let mut held = 0;
    for (id, expected, file) in sets() {
        if !expected.contains_key("r1") {
            continue;
        }
        let source = read(&file);
        let copy = data_file(source.lines().skip(1).map(String::from), "reading");
        let answer = json(&["readings", copy.path().to_str().unwrap()], &keys);
        assert_eq!(answer["count"], source.lines().count() - 1, "{id}");
        // the decimals of NumAcc3 and NumAcc4 are not exact in binary, which costs them digits
        let relative = match id.as_str() {
            "strd_numacc3" => 1e-9,
            "strd_numacc4" => 1e-8,
            _ => 1e-11,
        };
        digits(&answer, "mean", certified(&expected, "mean"), 1e-12);
        digits(&answer, "sd", certified(&expected, "sd"), relative);
        near(number(&answer, "lag1"), certified(&expected, "r1"), relative);
        let error = number(&answer, "sd") / (number(&answer, "count")).sqrt();
        digits(&answer, "standard_error", error, 1e-14);
        held += 1;
    }
    assert_eq!(held, 8);
}

#[test]
fn the_line_has_the_certified_figures_whichever_way_round_the_columns_stand() {
    let keys = [
        "slope",
        "intercept",
        "slope_se",
        "intercept_se",
        "residual_sd",
        "r_squared",
    ];
    let (_, expected, file) = sets().into_iter().find(|set| set.0 == "strd_norris").unwrap();
    let source = read(&file);
    let turned = |mark: &str| {
        let mark = mark.to_string();
        let rows = source.lines().skip(1).map(move |row| {
            let (y, x) = row.split_once(',').unwrap();
            format!("{x}{mark}{y}")
        });
        data_file(rows, "x,y")
    };
    let semicolon = turned(" ; ");
    let space = turned("  ");
    let as_it_is = format!("{}/tests/references/{file}", env!("CARGO_MANIFEST_DIR"));
    for path in [
        semicolon.path().to_str().unwrap(),
        space.path().to_str().unwrap(),
        &as_it_is,
    ] {
        let answer = json(&["line", path], &keys);
        for (key, name) in [
            ("slope", "B1"),
            ("intercept", "B0"),
            ("slope_se", "se_B1"),
            ("intercept_se", "se_B0"),
            ("residual_sd", "residual_sd"),
            ("r_squared", "R2"),
        ] {
            digits(&answer, key, certified(&expected, name), 1e-9);
        }
    }
}
