//! A shape as a JSON Schema (draft 2020-12), for editors.

use super::faults::MOST_OF_A_TEXT;
use super::key_query::Kind;
use super::schema::{Choice, Condition, Effect, Shape, parted};
use crate::quantity::{Dimension, Edge, patterns};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

type Object = Map<String, Value>;

impl Shape {
    /// The shape as a JSON Schema. `word` is the kind of file, `title` what it is; `says` gives what a key means by its path.
    ///
    /// What it can not say: that parts of a file fit each other, that a name is there once, the order of things.
    pub fn schema(&self, word: &str, title: &str, says: &dyn Fn(&str) -> Option<&'static str>) -> Value {
        let mut printer = Printer {
            shape: self,
            says,
            defs: BTreeMap::new(),
        };
        let mut schema = printer.table("");
        schema.insert(
            "$schema".into(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        schema.insert("$id".into(), json!(format!("urn:shimwright:schema:{word}:1")));
        schema.insert("title".into(), json!(title));
        schema.insert("$defs".into(), json!(printer.defs));
        Value::Object(schema)
    }
}

struct Printer<'s> {
    shape: &'s Shape,
    says: &'s dyn Fn(&str) -> Option<&'static str>,
    /// Quantities with their limits, which are used again and again.
    defs: BTreeMap<String, Value>,
}

impl Printer<'_> {
    /// The schema of a table with all that is in it.
    fn table(&mut self, table: &str) -> Object {
        let (mut properties, mut required) = (Object::new(), Vec::new());
        for (path, kinds, needed) in &self.shape.keys {
            let (above, key) = parted(path);
            if above != table {
                continue;
            }
            let mut schema = match kinds.as_slice() {
                [kind] => self.kind(path, kind),
                kinds => {
                    let any: Vec<Object> = kinds.iter().map(|kind| self.kind(path, kind)).collect();
                    Object::from_iter([("anyOf".to_string(), json!(any))])
                }
            };
            let words = [
                (self.says)(path).map(str::to_string),
                kinds.first().and_then(told),
            ];
            let words: Vec<String> = words.into_iter().flatten().collect();
            schema.insert("description".into(), json!(words.join("; ")));
            properties.insert(key.to_string(), Value::Object(schema));
            if *needed {
                required.push(key.to_string());
            }
        }
        let mut all: Vec<Value> = Vec::new();
        let here = |path: &str| parted(path).0 == table;
        for condition in self.shape.conditions.iter().filter(|one| here(&one.path)) {
            all.extend(self.condition(table, condition));
        }
        for (_, keys) in self.shape.one_of.iter().filter(|(path, _)| path == table) {
            let one: Vec<Value> = keys.iter().map(|key| json!({"required": [key]})).collect();
            all.push(json!({"oneOf": one}));
        }
        let lists = self.shape.one_of_each.iter().filter(|(path, ..)| here(path));
        for (path, key, words) in lists {
            let list = parted(path).1;
            // a list that is missing lacks them too
            all.push(json!({"required": [list]}));
            for word in words {
                let has = json!({"properties": {*key: {"const": word}}, "required": [key]});
                all.push(json!({"properties": {list: {"contains": has}}}));
            }
        }
        let mut schema = Object::from_iter([
            ("type".to_string(), json!("object")),
            ("additionalProperties".to_string(), json!(false)),
            ("properties".to_string(), Value::Object(properties)),
        ]);
        if !required.is_empty() {
            schema.insert("required".into(), json!(required));
        }
        if !all.is_empty() {
            schema.insert("allOf".into(), Value::Array(all));
        }
        schema
    }

    /// What follows from one key; nothing where all of it is said at the keys themselves.
    fn condition(&mut self, table: &str, condition: &Condition) -> Option<Value> {
        let mut is = when(condition);
        if condition.choices.contains(&Choice::Absent) {
            // where another key leaves no place for this one, nothing follows from its absence
            let no_place = |other: &&Condition| {
                other
                    .effects
                    .iter()
                    .any(|effect| effect.path == condition.path && effect.state.is_none())
            };
            let mut all = vec![is.clone()];
            let others = self.shape.conditions.iter().filter(no_place);
            all.extend(others.map(|other| json!({"not": when(other)})));
            if all.len() > 1 {
                is = json!({"allOf": all});
            }
        }
        let then: Vec<Value> = condition
            .effects
            .iter()
            .filter_map(|effect| self.effect(table, effect))
            .collect();
        match then.as_slice() {
            [] => None,
            [one] => Some(json!({"if": is, "then": one})),
            _ => Some(json!({"if": is, "then": {"allOf": then}})),
        }
    }

    /// What follows for one key, as seen from the table; nothing where it is said at the key itself.
    fn effect(&mut self, table: &str, effect: &Effect) -> Option<Value> {
        let (above, key) = parted(&effect.path);
        let known = self.shape.keys.iter().find(|(path, ..)| *path == effect.path)?;
        let mut schema = match &effect.state {
            None => json!({"properties": {key: false}}),
            Some((kind, needed)) => {
                let mut schema = Object::new();
                if *needed && !known.2 {
                    schema.insert("required".into(), json!([key]));
                }
                // a table is described where its keys are
                if known.1.len() > 1 {
                    let kind = self.kind(&effect.path, kind);
                    schema.insert("properties".into(), json!({ key: kind }));
                }
                if schema.is_empty() {
                    return None;
                }
                Value::Object(schema)
            }
        };
        // down from the table to the key's own
        let mut at = above;
        while at != table && !at.is_empty() {
            let (up, name) = parted(at);
            let is_list = self
                .shape
                .keys
                .iter()
                .any(|(path, kinds, _)| path == at && matches!(kinds.first(), Some(Kind::Tables(_))));
            if is_list {
                schema = json!({"items": schema});
            }
            schema = json!({"properties": {name: schema}});
            at = up;
        }
        Some(schema)
    }

    /// The schema of what a key is asked for.
    fn kind(&mut self, path: &str, kind: &Kind) -> Object {
        let schema = match kind {
            Kind::Only(only) => json!({"const": only}),
            Kind::Text { blank: true } => json!({"type": "string", "maxLength": MOST_OF_A_TEXT}),
            Kind::Text { blank: false } => {
                json!({"type": "string", "maxLength": MOST_OF_A_TEXT, "pattern": r"\S"})
            }
            Kind::Spelt(spelling) => json!({"type": "string", "pattern": spelling.pattern()}),
            Kind::Like(pattern, _) => json!({"type": "string", "pattern": pattern}),
            Kind::Word(words) => json!({"enum": words}),
            Kind::Quantity(dimension, limits) => self.quantity(*dimension, *limits),
            Kind::Quantities(dimension, limits, count) => {
                let items = self.quantity(*dimension, *limits);
                let mut schema = json!({"type": "array", "items": items, "minItems": count.start()});
                if *count.end() != usize::MAX {
                    schema["maxItems"] = json!(count.end());
                }
                schema
            }
            Kind::Numbers(limits) => json!({"type": "array", "items": number(limits)}),
            Kind::Count(limits) => whole(limits),
            Kind::Counts(limits) => json!({"type": "array", "items": whole(limits)}),
            Kind::Flag => json!({"type": "boolean"}),
            Kind::True => json!({"const": true}),
            Kind::Texts(Some(words)) => json!({"type": "array", "items": {"enum": words}}),
            Kind::Texts(None) => {
                json!({"type": "array", "items": {"type": "string", "maxLength": MOST_OF_A_TEXT}})
            }
            Kind::Table => Value::Object(self.table(path)),
            Kind::Tables(count) => {
                let mut schema =
                    json!({"type": "array", "items": self.table(path), "minItems": count.start()});
                if *count.end() != usize::MAX {
                    schema["maxItems"] = json!(count.end());
                }
                schema
            }
        };
        match schema {
            Value::Object(schema) => schema,
            _ => Object::new(),
        }
    }

    /// A reference to a quantity within limits.
    fn quantity(&mut self, dimension: Dimension, limits: Option<&'static str>) -> Value {
        let words = match limits {
            Some(limits) => format!("{}, {limits}", dimension.article_name()),
            None => dimension.article_name().to_string(),
        };
        let mut name: String = words
            .trim_start_matches("a ")
            .trim_start_matches("an ")
            .chars()
            .map(|c| {
                if c.is_ascii_alphanumeric() || c == '.' {
                    c
                } else {
                    '-'
                }
            })
            .collect();
        while name.contains("--") {
            name = name.replace("--", "-");
        }
        let name = name.trim_end_matches('-').to_string();
        let edges = limits.and_then(Edge::all).unwrap_or_default();
        self.defs.entry(name.clone()).or_insert_with(|| {
            let patterns: Vec<Value> = patterns(dimension, &edges)
                .iter()
                .map(|pattern| json!({ "pattern": pattern }))
                .collect();
            let text = json!({"type": "string", "allOf": patterns});
            match (dimension, limits) {
                // a plain number needs no quotes
                (Dimension::Ratio, limits) => json!({"anyOf": [number(limits.unwrap_or("")), text]}),
                _ => text,
            }
        });
        json!({"$ref": format!("#/$defs/{name}")})
    }
}

/// What a kind is, in words, where the schema does not say it readably.
fn told(kind: &Kind) -> Option<String> {
    let quantity = |dimension: &Dimension, limits: &Option<&str>| {
        let limits = limits.map_or(String::new(), |limits| format!(", {limits}"));
        match dimension {
            Dimension::Ratio => format!("a plain number{limits}"),
            _ => format!(
                "{} in quotes with its unit ({}){limits}",
                dimension.article_name(),
                dimension.units().join(", ")
            ),
        }
    };
    match kind {
        Kind::Quantity(dimension, limits) => Some(quantity(dimension, limits)),
        Kind::Quantities(dimension, limits, _) => {
            Some(format!("a list, each {}", quantity(dimension, limits)))
        }
        Kind::Numbers(limits) => Some(format!("a list of plain numbers, each {limits}")),
        Kind::Spelt(spelling) => Some(spelling.says.to_string()),
        Kind::Like(_, example) => Some(format!("such as {example}")),
        _ => None,
    }
}

fn whole(limits: &std::ops::Range<u32>) -> Value {
    json!({"type": "integer", "minimum": limits.start, "maximum": limits.end.saturating_sub(1)})
}

/// A plain number within limits.
fn number(limits: &str) -> Value {
    let mut schema = json!({"type": "number"});
    for edge in Edge::all(limits).unwrap_or_default() {
        let key = match (edge.least, edge.outside) {
            (true, false) => "minimum",
            (true, true) => "exclusiveMinimum",
            (false, false) => "maximum",
            (false, true) => "exclusiveMaximum",
        };
        schema[key] = json!(edge.si);
    }
    schema
}

/// Where the choices of a condition are met.
fn when(condition: &Condition) -> Value {
    let key = parted(&condition.path).1;
    let words: Vec<&str> = condition
        .choices
        .iter()
        .filter_map(|choice| match choice {
            Choice::Word(word) => Some(word.as_str()),
            _ => None,
        })
        .collect();
    match (words.is_empty(), condition.choices.contains(&Choice::Absent)) {
        (true, true) => json!({"not": {"required": [key]}}),
        (true, false) => json!({"required": [key]}),
        (false, true) => json!({"properties": {key: {"enum": words}}}),
        (false, false) => json!({"properties": {key: {"enum": words}}, "required": [key]}),
    }
}
