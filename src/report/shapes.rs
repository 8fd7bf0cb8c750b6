//! What an object for machines may hold, as a schema (JSON Schema, draft 2020-12): from a text with a line a key.

use super::json::{Summary, TOLD};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// The shapes of all outputs, from a text: a section an output, `[name] what it is`, a line a key, what lies in it indented below
/// it. A section `[=name]` is a shape that lines name.
///
/// ```
/// use shimwright::report::{Shapes, to_json};
/// let shapes = Shapes::of("[pack] a pack\nside text\nlayers[] =layer\n\n[=layer]\nthickness_um number, null\n");
/// assert_eq!(shapes.outputs().collect::<Vec<_>>(), [("pack", "a pack")]);
/// let schema = to_json(&shapes.schema("pack").unwrap())?;
/// assert!(schema.contains("\"const\": \"shimwright told 1: pack\"") && schema.contains("#/$defs/layer"));
/// assert_eq!(shapes.schema("nothing"), None);
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
pub struct Shapes<'t> {
    sections: Vec<Section<'t>>,
}

struct Section<'t> {
    name: &'t str,
    what: &'t str,
    lines: Vec<&'t str>,
}

/// What stands before the name of a shape.
const SHAPE: char = '=';

/// What ends a line whose value may be nothing.
const NULL: &str = ", null";

/// What the ends of keys say of their unit of measure, the longer first.
const MEASURES: [(&str, &str); 22] = [
    ("_n_per_mm", "in newtons per millimetre"),
    ("_km_per_h", "in kilometres per hour"),
    ("_deg_from_ring_face", "in degrees from the ring face"),
    ("_deg_from_shaft_axis", "in degrees from the axis of the shaft"),
    ("_angle_from_shaft_deg", "in degrees from the shaft"),
    ("_celsius", "in degrees Celsius"),
    ("_percent", "in per cent"),
    ("_minutes", "in minutes"),
    ("_seconds", "in seconds"),
    ("_bytes", "in bytes"),
    ("_share", "a share, 1 for the whole"),
    ("_rpm", "in turns a minute"),
    ("_mm2", "in square millimetres"),
    ("_um", "in micrometres"),
    ("_nm", "in newton metres"),
    ("_km", "in kilometres"),
    ("_ms", "in milliseconds"),
    ("_n", "in newtons"),
    ("_h", "in hours"),
    ("_s", "in seconds"),
    ("_g", "in standard gravities"),
    ("_w", "in watts"),
];

fn indent(line: &str) -> usize {
    line.len() - line.trim_start().len()
}

impl<'t> Shapes<'t> {
    /// Those of a text; lines that begin with `#` are for its readers.
    pub fn of(text: &'t str) -> Shapes<'t> {
        let mut sections: Vec<Section<'t>> = Vec::new();
        for line in text.lines() {
            if line.trim().is_empty() || line.starts_with('#') {
                continue;
            }
            let head = line.strip_prefix('[').and_then(|rest| rest.split_once(']'));
            match (head, sections.last_mut()) {
                (Some((name, what)), _) => sections.push(Section {
                    name,
                    what: what.trim(),
                    lines: Vec::new(),
                }),
                (None, Some(section)) => section.lines.push(line),
                (None, None) => {}
            }
        }
        Shapes { sections }
    }

    /// Every output with what it is, in the order of the text.
    pub fn outputs(&self) -> impl Iterator<Item = (&'t str, &'t str)> {
        let outputs = self.sections.iter().filter(|one| !one.name.starts_with(SHAPE));
        outputs.map(|one| (one.name, one.what))
    }

    fn section(&self, name: &str) -> Option<&Section<'t>> {
        self.sections.iter().find(|one| one.name == name)
    }

    /// The schema of an output: what it holds now, while later versions may add keys to it. `None` where there is none of that
    /// name.
    pub fn schema(&self, name: &str) -> Option<Summary> {
        let section = self.section(name).filter(|one| !one.name.starts_with(SHAPE))?;
        // an output that is a shape, and nothing besides
        let lines = match &section.lines[..] {
            [one] if one.starts_with(SHAPE) => &self.section(one)?.lines,
            lines => lines,
        };
        let mut met = BTreeSet::new();
        let mut object = object(lines, &mut met);
        let format = format!("{TOLD}{name}");
        if let Some(keys) = object["properties"].as_object_mut() {
            keys.insert("format".to_string(), json!({ "const": format }));
        }
        if let Some(required) = object["required"].as_array_mut() {
            required.insert(0, json!("format"));
        }
        let mut shapes = Map::new();
        while let Some(next) = met.iter().find(|shape| !shapes.contains_key(**shape)).copied() {
            let lines = self.section(&format!("{SHAPE}{next}")).map(|one| &one.lines[..]);
            shapes.insert(
                next.to_string(),
                self::object(lines.unwrap_or_default(), &mut met),
            );
        }
        let keys = object.as_object_mut()?;
        keys.insert(
            "$schema".to_string(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        keys.insert("title".to_string(), json!(section.what));
        if !shapes.is_empty() {
            keys.insert("$defs".to_string(), Value::Object(shapes));
        }
        Some(Summary(object))
    }
}

/// An object of these lines, and the shapes that they name.
fn object<'t>(lines: &[&'t str], met: &mut BTreeSet<&'t str>) -> Value {
    let depth = lines.first().map_or(0, |line| indent(line));
    let (mut keys, mut required) = (Map::new(), Vec::new());
    let mut any = None;
    for (n, line) in lines.iter().enumerate().filter(|(_, line)| indent(line) == depth) {
        let below = &lines[n + 1..];
        let end = below.iter().position(|line| indent(line) <= depth);
        let (marked, holds) = line.trim().split_once(' ').unwrap_or((line.trim(), ""));
        let bare = marked.trim_end_matches("[]");
        let lists = (marked.len() - bare.len()) / 2;
        let value = value(holds, lists, &below[..end.unwrap_or(below.len())], met);
        if bare == "*" {
            any = Some(value);
            continue;
        }
        let key = bare.trim_end_matches('?');
        if key == bare {
            required.push(json!(key));
        }
        keys.insert(key.to_string(), described(key, value));
    }
    let mut object = json!({ "type": "object" });
    match any {
        Some(any) => object["additionalProperties"] = any,
        None => {
            object["properties"] = Value::Object(keys);
            object["required"] = Value::Array(required);
        }
    }
    object
}

fn value<'t>(holds: &'t str, lists: usize, below: &[&'t str], met: &mut BTreeSet<&'t str>) -> Value {
    let (kind, or_null) = holds
        .strip_suffix(NULL)
        .map_or((holds, false), |kind| (kind, true));
    let one = match kind.strip_prefix(SHAPE) {
        Some(shape) => {
            met.insert(shape);
            json!({ "$ref": format!("#/$defs/{shape}") })
        }
        None if kind == "object" => object(below, met),
        None => {
            let mut types: Vec<&str> = kind.split('|').map(json_type).collect();
            if or_null && lists == 0 {
                types.push("null");
            }
            match types[..] {
                [one] => json!({ "type": one }),
                _ => json!({ "type": types }),
            }
        }
    };
    let whole = (0..lists).fold(one, |items, _| json!({ "type": "array", "items": items }));
    match or_null && whole["type"].as_array().is_none() {
        true => json!({ "anyOf": [whole, { "type": "null" }] }),
        false => whole,
    }
}

fn json_type(word: &str) -> &str {
    match word {
        "text" => "string",
        "count" => "integer",
        "flag" => "boolean",
        other => other,
    }
}

/// With its unit of measure in words, where the key ends in one.
fn described(key: &str, mut value: Value) -> Value {
    let whole = format!("_{key}");
    if let Some((_, words)) = MEASURES.iter().find(|(end, _)| whole.ends_with(end)) {
        value["description"] = json!(words);
    }
    value
}
