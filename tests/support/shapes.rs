//! What is said to machines, held to the schema that the program has for it: no key is missing, and none is unknown.

use crate::started::program;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::{Mutex, OnceLock};

/// The program's schema of an output, as the program prints it.
pub fn printed(name: &str) -> Value {
    static KNOWN: OnceLock<Mutex<BTreeMap<String, Value>>> = OnceLock::new();
    let mut known = KNOWN.get_or_init(Mutex::default).lock().unwrap();
    if let Some(schema) = known.get(name) {
        return schema.clone();
    }
    let ran = program().args(["schema", "--output", name]).output().unwrap();
    let err = String::from_utf8(ran.stderr).unwrap();
    assert!(ran.status.success(), "{name} has no schema: {err}");
    let schema: Value = serde_json::from_slice(&ran.stdout).unwrap();
    known.insert(name.to_string(), schema.clone());
    schema
}

/// The same schema for this version alone: an object has no keys but those that it names.
fn closed(schema: &mut Value) {
    match schema {
        Value::Object(keys) => {
            if keys.contains_key("properties") {
                keys.insert("additionalProperties".to_string(), json!(false));
            }
            keys.values_mut().for_each(closed);
        }
        Value::Array(all) => all.iter_mut().for_each(closed),
        _ => {}
    }
}

/// What is not as the schema of its own `format` has it, each with where it stands.
pub fn faults(said: &Value) -> Vec<String> {
    let name = said["format"].as_str().unwrap().split_once(": ").unwrap().1;
    let mut schema = printed(name);
    closed(&mut schema);
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    validator
        .iter_errors(said)
        .map(|error| format!("{name} {}: {error}", error.instance_path()))
        .collect()
}
