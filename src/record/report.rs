use super::build::{Build, Copied, Figure, LayerKind};
use super::history::Account;
use crate::quantity::{Length, Torque, hides};
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Map, Value, json};

/// What a build comes to, for machines: one object, the unit of measure in each key's name.
#[derive(Clone, PartialEq, Debug)]
pub struct Summary(pub(super) Value);

/// A report could not be written.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0}")]
pub struct ReportError(String);

impl ReportError {
    pub(super) fn of(error: impl std::fmt::Display) -> ReportError {
        ReportError(error.to_string())
    }
}

/// The report as JSON text with a newline at its end.
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

pub(super) fn um(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |length| json!(length.um()))
}

fn newton_metres(torque: Option<Torque>) -> Value {
    torque.map_or(Value::Null, |torque| json!(torque.newton_metres()))
}

fn figure(figure: &Figure) -> Value {
    match figure {
        Figure::Ramp(ramp) => json!(ramp.degrees_from_ring_face()),
        Figure::Count(count) => json!(count),
        Figure::Force(force) => json!(force.newtons()),
        Figure::Torque(torque) => json!(torque.newton_metres()),
        Figure::Share(share) => json!(share.value()),
        Figure::Words(words) => json!(words),
    }
}

impl Build {
    /// The figures that matter, for `--json`.
    pub fn summary(&self) -> Summary {
        let plates: Vec<Value> = self
            .plates
            .iter()
            .map(|plate| {
                json!({
                    "name": plate.name, "kind": plate.kind, "mean_um": um(plate.mean),
                    "uncertainty_um": um(plate.uncertainty), "least_um": um(plate.least),
                    "spread_um": um(plate.spread), "flatness_um": um(plate.flatness),
                    "verdict": plate.verdict, "fate": plate.fate, "look": plate.look, "reason": plate.reason,
                })
            })
            .collect();
        let closings: Vec<Value> = self
            .closings
            .iter()
            .map(|line| {
                json!({
                    "what": line.what, "predicted_um": um(line.predicted), "measured_um": um(line.measured),
                    "uncertainty_um": um(line.uncertainty),
                    "sources_um": line.sources.iter().map(|(name, u)| json!({"source": name, "standard_um": u.um()})).collect::<Vec<_>>(),
                    "least_um": um(line.least), "target_um": um(line.target),
                    "most_um": um(line.most), "verdict": line.verdict,
                })
            })
            .collect();
        let mut packs = Map::new();
        for pack in &self.packs {
            let layers: Vec<Value> = pack
                .layers
                .iter()
                .filter(|layer| layer.kind != LayerKind::Gap)
                .map(|layer| {
                    json!({"kind": layer.kind.word(), "name": layer.name, "thickness_um": layer.thickness.um()})
                })
                .collect();
            packs.insert(
                pack.side.clone(),
                json!({"active_faces": pack.active_faces, "layers": layers}),
            );
        }
        let proofs: Vec<Value> = self
            .proofs
            .iter()
            .map(|proof| {
                json!({
                    "round": proof.round, "breakaway_nm": newton_metres(proof.turning),
                    "first_movement_nm": newton_metres(proof.still), "least_nm": proof.window.0.newton_metres(),
                    "most_nm": proof.window.1.newton_metres(), "verdict": proof.verdict,
                    "friction": proof.friction.map(|mu| mu.value()),
                })
            })
            .collect();
        Summary(json!({
            "build": self.id,
            "unit": self.unit,
            "unit_name": self.unit_name,
            "procedure": self.procedure.id,
            "procedure_title": self.procedure.title,
            "procedure_digest": self.procedure.digest,
            "copied": self.copied.as_ref().map(Copied::words),
            "begun": self.started,
            "finished": self.finished,
            "plates": plates,
            "packs": packs,
            "closings": closings,
            "preload_force_n": self.preload.as_ref().map(|preload| preload.force.newtons()),
            "preload_interval_n": self.preload.as_ref().and_then(|p| p.simulated.map(|s| [s.low.newtons(), s.high.newtons()])),
            "preload_inside": self.preload.as_ref().and_then(|p| p.simulated.map(|s| s.inside)),
            "breakaway_expected_nm": self.preload.as_ref().and_then(|p| p.breakaway.map(|breakaway| breakaway.newton_metres())),
            "breakaway_interval_nm": self.preload.as_ref().and_then(|p| {
                p.breakaway_simulated.map(|s| [s.low.newton_metres(), s.high.newton_metres()])
            }),
            "breakaway_inside": self.preload.as_ref().and_then(|p| p.breakaway_simulated.map(|s| s.inside)),
            "preload_uncertainty_n": self.preload.as_ref().and_then(|p| p.uncertainty.map(|u| u.newtons())),
            "drive_share": self.curve.as_ref().map(|curve| curve.drive_share.value()),
            "coast_share": self.curve.as_ref().map(|curve| curve.coast_share.value()),
            "class": self.curve.as_ref().map(|curve| curve.class.clone()),
            "setting": self.asked.as_ref().map(|asked| {
                let rows: Map<String, Value> = asked.rows.iter().map(|row| {
                    (row.key.clone(), json!({
                        "asked": figure(&row.asked), "reached": row.reached.as_ref().map(figure),
                    }))
                }).collect();
                let from: Map<String, Value> =
                    asked.from.iter().map(|(label, text)| (label.to_lowercase(), json!(text))).collect();
                json!({ "from": from, "figures": rows })
            }),
            "proofs": proofs,
            "open_points": self.open,
            "signatures": self.signatures.iter().map(|s| json!({"role": s.role, "name": s.name, "at": s.at})).collect::<Vec<_>>(),
            "digest": self.digest,
        }))
    }
}

/// A build as the list of the book shows it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shelved {
    /// Its name.
    pub build: String,
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub unit_name: String,
    /// The procedure's id.
    pub procedure: String,
    /// The procedure's title.
    pub procedure_title: String,
    /// When it was begun.
    pub begun: String,
    /// When it was finished.
    pub finished: Option<String>,
    /// `finished`, `open, 12 answered` with what it waits for, `voided`, `newer` (a newer program made it), `damaged`.
    pub state: String,
    /// The digest of its journal.
    pub digest: String,
}

impl Shelved {
    /// What a list says of a build, by its account: one with a problem and without a digest is one that could not be
    /// read.
    ///
    /// ```
    /// use shimwright::record::{Account, Shelved};
    /// let account = Account { build: "moor-rear-0001".into(), digest: "ba78".into(), answered: 12, ..Account::default() };
    /// assert_eq!(Shelved::of(&account).state, "open, 12 answered");
    /// ```
    pub fn of(account: &Account) -> Shelved {
        let state = if account.digest.is_empty() && !account.problems.is_empty() {
            return Shelved::unread(&account.build, &account.problems.join("; "));
        } else if !account.problems.is_empty() {
            "damaged".to_string()
        } else if !account.newer.is_empty() {
            "newer".to_string()
        } else if account.voided.is_some() {
            "voided".to_string()
        } else if account.finished.is_some() {
            "finished".to_string()
        } else if account.waiting.is_empty() {
            format!("open, {} answered", account.answered)
        } else {
            format!(
                "open, {} answered, waits for {}",
                account.answered,
                account.waiting.join(", ")
            )
        };
        Shelved {
            build: account.build.clone(),
            unit: account.unit.clone(),
            unit_name: account.unit_name.clone(),
            procedure: account.procedure.clone(),
            procedure_title: account.procedure_title.clone(),
            begun: account.begun.clone(),
            finished: account.finished.clone(),
            state,
            digest: account.digest.clone(),
        }
    }

    /// What a list says of a build that can not be read.
    pub fn unread(build: &str, why: &str) -> Shelved {
        Shelved {
            build: build.to_string(),
            unit: String::new(),
            unit_name: String::new(),
            procedure: String::new(),
            procedure_title: String::new(),
            begun: String::new(),
            finished: None,
            state: format!("not readable: {why}"),
            digest: String::new(),
        }
    }
}

/// What is in the book, for machines.
pub fn shelf_summary(builds: &[Shelved]) -> Summary {
    let builds: Vec<Value> = builds
        .iter()
        .map(|one| {
            json!({
                "build": one.build, "unit": one.unit, "unit_name": one.unit_name, "procedure": one.procedure,
                "procedure_title": one.procedure_title, "begun": one.begun,
                "finished": one.finished, "state": one.state, "digest": one.digest,
            })
        })
        .collect();
    Summary(json!({ "builds": builds }))
}

/// The answer to one calculation, for machines: one flat object whose keys keep their order.
///
/// ```
/// use shimwright::record::Report;
/// let report = Report::new().number("gain", 1.0).number("release_gain", None).text("class", "two-way");
/// assert_eq!(report.to_json()?, "{\n  \"gain\": 1.0,\n  \"release_gain\": null,\n  \"class\": \"two-way\"\n}\n");
/// # Ok::<(), shimwright::record::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Report(Vec<(&'static str, Field)>);

#[derive(Clone, PartialEq, Debug)]
enum Field {
    Number(Option<f64>),
    Count(usize),
    Flag(bool),
    Text(String),
}

impl Report {
    /// A report without any key.
    pub fn new() -> Report {
        Report::default()
    }

    /// Adds a number with all its digits; `None` where there is none.
    pub fn number(self, key: &'static str, value: impl Into<Option<f64>>) -> Report {
        self.with(key, Field::Number(value.into()))
    }

    /// Adds a whole number.
    pub fn count(self, key: &'static str, count: usize) -> Report {
        self.with(key, Field::Count(count))
    }

    /// Adds a yes or no.
    pub fn flag(self, key: &'static str, flag: bool) -> Report {
        self.with(key, Field::Flag(flag))
    }

    /// Adds words.
    pub fn text(self, key: &'static str, text: impl Into<String>) -> Report {
        self.with(key, Field::Text(text.into()))
    }

    fn with(mut self, key: &'static str, field: Field) -> Report {
        self.0.push((key, field));
        self
    }

    /// The report as JSON text with a newline at its end. Errors: a number that is not finite, which JSON has not.
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

impl Serialize for Report {
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
        let error = Report::new()
            .number("slope", f64::INFINITY)
            .to_json()
            .unwrap_err();
        assert_eq!(error.to_string(), "slope is past what a number can hold");
    }
}
