//! Reads the check files.

use std::path::PathBuf;
use toml::{Table, Value};

pub fn path(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/references")
        .join(file)
}

/// One published check.
pub struct Check {
    pub id: String,
    inputs: Table,
    expected: Table,
    tolerance: Table,
}

/// All checks of a file.
pub fn checks(file: &str) -> Vec<Check> {
    let text = std::fs::read_to_string(path(file)).unwrap();
    let table: Table = text.parse().unwrap();
    let part = |row: &Value, key: &str| row.get(key).unwrap().as_table().unwrap().clone();
    let rows = table["check"].as_array().unwrap();
    rows.iter()
        .map(|row| {
            assert!(!row["source"].as_str().unwrap().is_empty() && row.get("verified").is_some());
            Check {
                id: row["id"].as_str().unwrap().to_string(),
                inputs: part(row, "inputs"),
                expected: part(row, "expected"),
                tolerance: part(row, "tolerance"),
            }
        })
        .collect()
}

fn number(value: &Value) -> f64 {
    match value {
        Value::Integer(whole) => *whole as f64,
        other => other.as_float().unwrap(),
    }
}

impl Check {
    pub fn input(&self, key: &str) -> f64 {
        number(&self.inputs[key])
    }

    pub fn inputs(&self, key: &str) -> Vec<f64> {
        self.inputs[key].as_array().unwrap().iter().map(number).collect()
    }

    pub fn text(&self, key: &str) -> &str {
        self.inputs[key].as_str().unwrap()
    }

    pub fn words(&self, key: &str) -> Vec<&str> {
        let list = self.expected[key].as_array().unwrap();
        list.iter().map(|word| word.as_str().unwrap()).collect()
    }

    /// Holds computed values against all expected ones; a key left out on either side fails.
    pub fn hold(&self, computed: &[(&str, f64)]) {
        let exact: Vec<(&str, f64, f64)> = computed.iter().map(|&(key, value)| (key, value, 0.0)).collect();
        self.hold_drawn(&exact);
    }

    /// The same for simulated values: each with its own standard error, four of which are allowed on top.
    pub fn hold_drawn(&self, computed: &[(&str, f64, f64)]) {
        let mut keys: Vec<&str> = computed.iter().map(|(key, ..)| *key).collect();
        let mut wanted: Vec<&str> = self.expected.keys().map(String::as_str).collect();
        keys.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(keys, wanted, "{}: not the published keys", self.id);
        for &(key, value, error) in computed {
            self.near(key, value, number(&self.expected[key]), error);
        }
    }

    /// Holds a computed list against the expected one.
    pub fn hold_list(&self, key: &str, computed: &[f64]) {
        let wanted = self.expected[key].as_array().unwrap();
        assert_eq!(wanted.len(), computed.len(), "{}: {key}", self.id);
        for (&value, want) in computed.iter().zip(wanted) {
            self.near(key, value, number(want), 0.0);
        }
    }

    fn near(&self, key: &str, value: f64, want: f64, error: f64) {
        let given = |name: &str| self.tolerance.get(name).map(number);
        let allowed = given(key)
            .or_else(|| given(&format!("{key}_abs")))
            .or_else(|| given("abs"))
            .or_else(|| given(&format!("{key}_rel")).map(|relative| relative * want.abs()))
            .unwrap_or(0.0);
        let off = (value - want).abs();
        assert!(
            off <= allowed + 4.0 * error,
            "{}: {key} is {value} with standard error {error:e}, published {want} within {allowed:e}",
            self.id
        );
    }
}
