//! One random fault in a file that comes with the program: what its reader refuses for what stands at a key, its schema
//! refuses; what its reader takes, its schema takes.

use super::{as_json, rules, stock, validators};
use jsonschema::Validator;
use proptest::prelude::*;
use shimwright::workshop::FileKind;
use std::collections::HashMap;
use std::sync::OnceLock;
use toml::{Table, Value};

/// Rules of what stands at a key, which a schema says as well.
const SAID: [&str; 9] = [
    "unknown-key",
    "missing-key",
    "wrong-kind",
    "out-of-limits",
    "not-a-quantity",
    "unknown-word",
    "empty",
    "unknown-format",
    "newer-format",
];

fn known() -> &'static HashMap<FileKind, Validator> {
    static ALL: OnceLock<HashMap<FileKind, Validator>> = OnceLock::new();
    ALL.get_or_init(validators)
}

/// The path of every value in a document, lists' parts and tables too.
fn places(value: &Value, path: &mut Vec<String>, all: &mut Vec<Vec<String>>) {
    let mut below = |key: String, value: &Value| {
        path.push(key);
        all.push(path.clone());
        places(value, path, all);
        path.pop();
    };
    match value {
        Value::Table(table) => table.iter().for_each(|(key, value)| below(key.clone(), value)),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .for_each(|(n, value)| below(n.to_string(), value)),
        _ => {}
    }
}

fn at<'v>(value: &'v mut Value, path: &[String]) -> &'v mut Value {
    path.iter().fold(value, |value, key| match value {
        Value::Table(table) => table.get_mut(key).unwrap(),
        Value::Array(items) => &mut items[key.parse::<usize>().unwrap()],
        _ => unreachable!(),
    })
}

/// What is done to a value.
#[derive(Clone, Debug)]
enum Edit {
    /// Another value stands there.
    Set(Value),
    /// It is taken out.
    Out,
    /// A key is put in beside it.
    Beside(String, Value),
    /// The number in front of a quantity is another one.
    Number(String),
    /// A quantity's unit is another one.
    Unit(&'static str),
}

fn values() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::String(String::new())),
        Just(Value::String("x".into())),
        Just(Value::String("12 parsec".into())),
        Just(Value::String("3 mm".into())),
        Just(Value::String("30 N·m".into())),
        Just(Value::String("40 deg from ring face".into())),
        Just(Value::String("7 %".into())),
        (-3_i64..20_000).prop_map(Value::Integer),
        // a float without a fraction is a whole number to a schema, and none to TOML
        (-3_i32..400).prop_map(|n| Value::Float(f64::from(n) + 0.25)),
        any::<bool>().prop_map(Value::Boolean),
        Just(Value::Array(vec![])),
        Just(Value::Array(vec![Value::String("4 mm".into())])),
        Just(Value::Array(vec![Value::Integer(4)])),
        Just(Value::Table(Table::new())),
        Just(Value::Array(vec![Value::Table(Table::new())])),
    ]
}

fn edits() -> impl Strategy<Value = Edit> {
    let key = prop_oneof![
        "[a-z_]{1,9}",
        Just("depth".to_string()),
        Just("answer".to_string()),
        Just("torque".to_string()),
        Just("part".to_string()),
        Just("faces".to_string()),
        Just("rear_share".to_string()),
    ];
    let number = prop_oneof![
        Just("0".to_string()),
        Just("-1".to_string()),
        (0_u32..200_000, 0_usize..5)
            .prop_map(|(n, decimals)| format!("{:.decimals$}", f64::from(n) / 1000.0)),
        (0_u32..100_000).prop_map(|n| n.to_string()),
    ];
    let unit = proptest::sample::select(vec![
        "mm", "µm", "cm", "m", "in", "thou", "N", "kN", "N·m", "lbf·ft", "kgf·m", "deg", "kg", "lb", "l",
        "N/mm", "",
    ]);
    prop_oneof![
        3 => values().prop_map(Edit::Set),
        2 => Just(Edit::Out),
        1 => (key, values()).prop_map(|(key, value)| Edit::Beside(key, value)),
        4 => number.prop_map(Edit::Number),
        1 => unit.prop_map(Edit::Unit),
    ]
}

/// The document with the edit, or nothing where it changes nothing.
fn edited(source: &str, which: usize, edit: &Edit) -> Option<String> {
    let mut document = Value::Table(source.parse().unwrap());
    let mut all = Vec::new();
    places(&document, &mut Vec::new(), &mut all);
    let path = &all[which % all.len()];
    let (key, above) = path.split_last().unwrap();
    match edit {
        Edit::Out => match at(&mut document, above) {
            Value::Table(table) => drop(table.remove(key)),
            Value::Array(items) => drop(items.remove(key.parse().unwrap())),
            _ => return None,
        },
        Edit::Beside(name, value) => match at(&mut document, above) {
            Value::Table(table) if !table.contains_key(name) => {
                drop(table.insert(name.clone(), value.clone()))
            }
            _ => return None,
        },
        Edit::Set(value) => *at(&mut document, path) = value.clone(),
        Edit::Number(number) => {
            let value = at(&mut document, path);
            match value {
                Value::String(text) => {
                    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
                    if rest.len() == text.len() {
                        return None;
                    }
                    *text = format!("{number}{rest}");
                }
                Value::Float(_) => *value = number.parse::<f64>().ok().map(Value::Float)?,
                // a float without a fraction is a whole number to a schema, and none to TOML
                Value::Integer(_) => {
                    let number: f64 = number.parse().ok()?;
                    *value = match number.fract().abs() < f64::EPSILON {
                        true => Value::Integer(number as i64),
                        false => Value::Float(number),
                    }
                }
                _ => return None,
            }
        }
        Edit::Unit(unit) => match at(&mut document, path) {
            Value::String(text) if text.starts_with(|c: char| c.is_ascii_digit()) => {
                let number: String = text
                    .chars()
                    .take_while(|c| c.is_ascii_digit() || *c == '.')
                    .collect();
                *text = format!("{number} {unit}");
            }
            _ => return None,
        },
    }
    let Value::Table(table) = document else {
        return None;
    };
    Some(table.to_string())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]

    #[test]
    fn reader_and_schema_agree_on_one_edit(file in any::<usize>(), which in any::<usize>(), edit in edits()) {
        static FILES: OnceLock<Vec<(FileKind, String, String)>> = OnceLock::new();
        let files = FILES.get_or_init(stock);
        let (kind, name, source) = &files[file % files.len()];
        let Some(changed) = edited(source, which, &edit) else { return Ok(()) };
        let rules = rules(*kind, &changed);
        let valid = known()[kind].is_valid(&as_json(&changed).unwrap());
        if rules.is_empty() {
            prop_assert!(valid, "{name}: taken by the reader, refused by the schema\n{changed}");
        } else if rules.iter().any(|rule| SAID.contains(rule)) {
            prop_assert!(!valid, "{name}: {rules:?}, but taken by the schema\n{changed}");
        }
    }
}
