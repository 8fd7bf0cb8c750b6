//! Reading of the files in `tests/references/`.

use shimwright::quantity::{Force, Length, Ratio, Torque};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use toml::{Table, Value};

fn read(name: &str) -> String {
    let path = format!("{}/tests/references/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// One row of a table, by column.
pub struct Row(BTreeMap<String, String>);

impl Row {
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The number in a column, `None` where the cell is empty.
    pub fn number(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{column}: {text}")))
    }

    pub fn mm(&self, column: &str) -> Length {
        mm(self.number(column).unwrap())
    }
}

/// The rows of a table; lines that start with # are comments.
pub fn rows(name: &str) -> Vec<Row> {
    let text = read(name);
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), header.len(), "{name}: {line}");
            Row(header
                .iter()
                .zip(cells)
                .map(|(h, c)| (h.to_string(), c.to_string()))
                .collect())
        })
        .collect()
}

/// One check of a file: inputs, expected values with their tolerances, and which of these a test has looked at.
pub struct Check {
    pub id: String,
    inputs: Table,
    expected: Table,
    tolerance: Table,
    seen: RefCell<BTreeSet<String>>,
}

impl Check {
    /// An input as a number.
    pub fn input(&self, key: &str) -> f64 {
        number(&self.inputs, key, &self.id)
    }

    pub fn input_list(&self, key: &str) -> Vec<f64> {
        list(&self.inputs, key, &self.id)
    }

    pub fn input_text(&self, key: &str) -> &str {
        self.inputs[key].as_str().unwrap()
    }

    /// An input in millimetres.
    pub fn mm(&self, key: &str) -> Length {
        mm(self.input(key))
    }

    /// An expected value, for a test that compares in its own way.
    pub fn expected(&self, key: &str) -> f64 {
        self.seen.borrow_mut().insert(key.to_string());
        number(&self.expected, key, &self.id)
    }

    pub fn expected_list(&self, key: &str) -> Vec<f64> {
        self.seen.borrow_mut().insert(key.to_string());
        list(&self.expected, key, &self.id)
    }

    /// Holds that an expected value is `true`.
    pub fn expected_truth(&self, key: &str) {
        self.seen.borrow_mut().insert(key.to_string());
        assert_eq!(self.expected[key].as_bool(), Some(true), "{}: {key}", self.id);
    }

    pub fn tolerance(&self, key: &str) -> f64 {
        let tolerance = if self.tolerance.contains_key(key) {
            key
        } else {
            "abs"
        };
        number(&self.tolerance, tolerance, &self.id)
    }

    /// Holds `value` against the expected value of `key`.
    pub fn expect(&self, key: &str, value: f64) {
        let (expected, tolerance) = (self.expected(key), self.tolerance(key));
        assert!(
            (value - expected).abs() <= tolerance,
            "{}: {key} is {value} but must be {expected} ± {tolerance}",
            self.id
        );
    }

    pub fn expect_list(&self, key: &str, values: &[f64]) {
        let (expected, tolerance) = (self.expected_list(key), self.tolerance(key));
        assert_eq!(expected.len(), values.len(), "{}: {key}", self.id);
        for (value, expected) in values.iter().zip(expected) {
            assert!(
                (value - expected).abs() <= tolerance,
                "{}: {key} is {value} but must be {expected}",
                self.id
            );
        }
    }
}

/// Runs `test` on every check of a file; it must look at every expected value.
pub fn each_check(name: &str, test: impl Fn(&Check)) {
    let file: Table = read(name).parse().unwrap();
    let checks = file["check"].as_array().unwrap();
    assert!(!checks.is_empty());
    for check in checks {
        let table = |key: &str| check[key].as_table().unwrap().clone();
        let check = Check {
            id: check["id"].as_str().unwrap().to_string(),
            inputs: table("inputs"),
            expected: table("expected"),
            tolerance: table("tolerance"),
            seen: RefCell::default(),
        };
        test(&check);
        for key in check.expected.keys() {
            assert!(
                check.seen.borrow().contains(key),
                "{}: nothing was held against {key}",
                check.id
            );
        }
    }
}

fn number(table: &Table, key: &str, id: &str) -> f64 {
    let value = table.get(key).unwrap_or_else(|| panic!("{id}: no {key}"));
    as_number(value).unwrap_or_else(|| panic!("{id}: {key} is no number"))
}

fn list(table: &Table, key: &str, id: &str) -> Vec<f64> {
    let value = table.get(key).unwrap_or_else(|| panic!("{id}: no {key}"));
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|value| as_number(value).unwrap())
        .collect()
}

fn as_number(value: &Value) -> Option<f64> {
    value
        .as_float()
        .or_else(|| value.as_integer().map(|whole| whole as f64))
}

pub fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

pub fn newtons(value: f64) -> Force {
    Force::from_newtons(value).unwrap()
}

pub fn newton_metres(value: f64) -> Torque {
    Torque::from_newton_metres(value).unwrap()
}

pub fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}
