//! NIST Statistical Reference Datasets.

use crate::reference::{Check, checks, path};
use shimwright::metrology::{Line, Summary};

/// The columns of a data file by their names in the first line.
pub fn column(file: &str, name: &str) -> Vec<f64> {
    let text = std::fs::read_to_string(path(file)).unwrap();
    let mut lines = text.lines();
    let place = lines
        .next()
        .unwrap()
        .split(',')
        .position(|head| head == name)
        .unwrap();
    lines
        .map(|line| line.split(',').nth(place).unwrap().parse().unwrap())
        .collect()
}

fn univariate(check: &Check) {
    let values = column(check.text("file"), "y");
    assert_eq!(values.len(), check.input("n") as usize);
    let summary = Summary::of(&values).unwrap();
    let computed = [
        ("mean", summary.mean),
        ("sd", summary.sd.unwrap()),
        ("r1", summary.lag1.unwrap()),
    ];
    check.hold(&computed);
    let standard_error = summary.sd.unwrap() / (values.len() as f64).sqrt();
    assert!((summary.standard_error.unwrap() / standard_error - 1.0).abs() < 1e-15);
}

#[test]
fn every_set_reaches_its_certified_digits() {
    for check in checks("nist_strd.toml") {
        let (x, y) = match check.id.as_str() {
            "strd_norris" | "strd_noint1" | "strd_noint2" => {
                let file = check.text("file");
                (column(file, "x"), column(file, "y"))
            }
            "strd_lew" | "strd_mavro" | "strd_michelso" | "strd_lottery" | "strd_numacc1"
            | "strd_numacc2" | "strd_numacc3" | "strd_numacc4" => {
                univariate(&check);
                continue;
            }
            other => panic!("{other} is not known to this test"),
        };
        assert_eq!(x.len(), check.input("n") as usize);
        if check.id == "strd_norris" {
            let line = Line::fit(&x, &y).unwrap();
            let dof = line.dof as f64;
            let residual = line.residual_sd.powi(2) * dof;
            let regression = (line.slope * line.residual_sd / line.slope_se).powi(2);
            check.hold(&[
                ("B0", line.intercept),
                ("se_B0", line.intercept_se),
                ("B1", line.slope),
                ("se_B1", line.slope_se),
                ("residual_sd", line.residual_sd),
                ("R2", line.r_squared),
                ("SS_residual", residual),
                ("SS_regression", regression),
                ("F", (line.slope / line.slope_se).powi(2)),
                ("dof_residual", dof),
            ]);
        } else {
            let line = Line::through_origin(&x, &y).unwrap();
            check.hold(&[
                ("B1", line.slope),
                ("se_B1", line.slope_se),
                ("residual_sd", line.residual_sd),
                ("R2", line.r_squared),
                ("dof_residual", line.dof as f64),
            ]);
            assert!(line.intercept.abs() < 1e-15 && line.intercept_se.abs() < 1e-15);
        }
    }
}

/// A number as whole 2⁻⁴⁰ths: exact for every value of NumAcc3 and NumAcc4 as the machine holds it.
fn whole(value: f64) -> i128 {
    let scaled = value * (1_u64 << 40) as f64;
    assert!(
        (scaled.fract()).abs() < f64::MIN_POSITIVE,
        "{value} is finer than that"
    );
    scaled as i128
}

#[test]
fn the_digits_lost_on_numacc_are_those_of_the_binary_data() {
    // the standard deviation of the numbers as they are held, by whole-number arithmetic: there the program is good to
    // the last digit, so what separates it from the certified 0.1 is the conversion of the decimals
    for file in ["nist_numacc3.csv", "nist_numacc4.csv"] {
        let values = column(file, "y");
        let n = values.len() as i128;
        let shift = whole(values[0]);
        let offs: Vec<i128> = values.iter().map(|&value| whole(value) - shift).collect();
        let (sum, squares) = (
            offs.iter().sum::<i128>(),
            offs.iter().map(|off| off * off).sum::<i128>(),
        );
        let variance = (n * squares - sum * sum) as f64 / (n * (n - 1)) as f64;
        let exact = variance.sqrt() / (1_u64 << 40) as f64;
        let sd = Summary::of(&values).unwrap().sd.unwrap();
        assert!((sd / exact - 1.0).abs() < 1e-14, "{file}: {sd} {exact}");
        assert!(
            (exact / 0.1 - 1.0).abs() > 1e-12,
            "{file}: the data were exact after all"
        );
    }
}
