//! Results as JSON: one object, the unit of measure in each key's name.

use crate::quantity::{Length, hides};
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Value, json};

/// What a result comes to, for machines: one object, the unit of measure in each key's name. Its key `format` says what is told.
#[derive(Clone, PartialEq, Debug)]
pub struct Summary(pub(crate) Value);

/// The version of what is told: a key keeps its meaning, and others may come without another number.
pub(super) const TOLD: &str = "shimwright told 1: ";

impl Summary {
    /// What is told, such as `fleet`, in a key `format` beside the others.
    pub(crate) fn told(what: &str, mut object: Value) -> Summary {
        if let Some(keys) = object.as_object_mut() {
            keys.insert("format".to_string(), json!(format!("{TOLD}{what}")));
        }
        Summary(object)
    }
}

/// A report could not be written.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0}")]
pub struct ReportError(String);

impl ReportError {
    pub(crate) fn of(error: impl std::fmt::Display) -> ReportError {
        ReportError(error.to_string())
    }
}

/// The report as JSON text with a newline at its end.
///
/// # Errors
///
/// [`ReportError`]: a number that JSON can not hold.
pub fn to_json(summary: &Summary) -> Result<String, ReportError> {
    serde_json::to_string_pretty(&summary.0)
        .map(|text| escaped(&text) + "\n")
        .map_err(ReportError::of)
}

/// JSON text with every character that hides or steers written as its number (RFC 8259, section 7): the same value, and
/// harmless on a terminal. Outside its strings JSON has none but line ends.
fn escaped(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        if c != '\n' && hides(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                out.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            out.push(c);
        }
    }
    out
}

pub(crate) fn um(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |length| json!(length.um()))
}

/// The answer to one calculation, for machines: one flat object whose keys keep their order.
///
/// ```
/// use shimwright::report::Figures;
/// let report = Figures::new().number("gain", 1.0).number("release_gain", None).text("class", "two-way");
/// assert_eq!(report.to_json()?, "{\n  \"gain\": 1.0,\n  \"release_gain\": null,\n  \"class\": \"two-way\"\n}\n");
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Figures(Vec<(&'static str, Field)>);

#[derive(Clone, PartialEq, Debug)]
enum Field {
    Number(Option<f64>),
    Count(usize),
    Flag(bool),
    Text(String),
}

impl Figures {
    /// An answer without any key.
    pub fn new() -> Figures {
        Figures::default()
    }

    /// Adds a number with all its digits; `None` where there is none.
    pub fn number(self, key: &'static str, value: impl Into<Option<f64>>) -> Figures {
        self.with(key, Field::Number(value.into()))
    }

    /// Adds a whole number.
    pub fn count(self, key: &'static str, count: usize) -> Figures {
        self.with(key, Field::Count(count))
    }

    /// Adds a yes or no.
    pub fn flag(self, key: &'static str, flag: bool) -> Figures {
        self.with(key, Field::Flag(flag))
    }

    /// Adds words.
    pub fn text(self, key: &'static str, text: impl Into<String>) -> Figures {
        self.with(key, Field::Text(text.into()))
    }

    /// The same with what is told, such as `reckon spring`, in a first key `format`.
    pub fn told(mut self, what: &str) -> Figures {
        self.0.insert(0, ("format", Field::Text(format!("{TOLD}{what}"))));
        self
    }

    fn with(mut self, key: &'static str, field: Field) -> Figures {
        self.0.push((key, field));
        self
    }

    /// The answer as JSON text with a newline at its end.
    ///
    /// # Errors
    ///
    /// A number that is not finite, which JSON has not.
    pub fn to_json(&self) -> Result<String, ReportError> {
        for (key, field) in &self.0 {
            if let Field::Number(Some(value)) = field
                && !value.is_finite()
            {
                return Err(ReportError(format!("{key} is past what a number can hold")));
            }
        }
        serde_json::to_string_pretty(self)
            .map(|text| escaped(&text) + "\n")
            .map_err(ReportError::of)
    }
}

impl Serialize for Figures {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (key, field) in &self.0 {
            match field {
                Field::Number(value) => map.serialize_entry(key, value)?,
                Field::Count(count) => map.serialize_entry(key, count)?,
                Field::Flag(flag) => map.serialize_entry(key, flag)?,
                Field::Text(text) => map.serialize_entry(key, text)?,
            }
        }
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_json_has_not_is_refused() {
        let error = Figures::new()
            .number("slope", f64::INFINITY)
            .to_json()
            .unwrap_err();
        assert_eq!(error.to_string(), "slope is past what a number can hold");
    }
}
