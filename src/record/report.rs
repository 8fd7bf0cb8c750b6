use super::build::{Build, LayerKind};
use crate::quantity::{Length, Torque};
use serde_json::{Map, Value, json};

/// What a build comes to, for machines: one object, the unit of measure in each key's name.
#[derive(Clone, PartialEq, Debug)]
pub struct Summary(Value);

/// A report could not be written.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0}")]
pub struct ReportError(String);

/// The report as JSON text with a newline at its end.
pub fn to_json(summary: &Summary) -> Result<String, ReportError> {
    serde_json::to_string_pretty(&summary.0)
        .map(|text| text + "\n")
        .map_err(|error| ReportError(error.to_string()))
}

fn um(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |length| json!(length.um()))
}

fn newton_metres(torque: Option<Torque>) -> Value {
    torque.map_or(Value::Null, |torque| json!(torque.newton_metres()))
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
                    "verdict": plate.verdict, "fate": plate.fate, "reason": plate.reason,
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
            "unit": self.unit_name,
            "procedure": self.procedure.id,
            "procedure_digest": self.procedure.digest,
            "begun": self.started,
            "finished": self.finished,
            "plates": plates,
            "packs": packs,
            "closings": closings,
            "preload_force_n": self.preload.as_ref().map(|preload| preload.force.newtons()),
            "preload_interval_n": self.preload.as_ref().and_then(|p| p.simulated.map(|s| [s.low.newtons(), s.high.newtons()])),
            "preload_inside": self.preload.as_ref().and_then(|p| p.simulated.map(|s| s.inside)),
            "breakaway_expected_nm": self.preload.as_ref().map(|p| p.breakaway.newton_metres()),
            "breakaway_interval_nm": self.preload.as_ref().and_then(|p| {
                p.breakaway_simulated.map(|s| [s.low.newton_metres(), s.high.newton_metres()])
            }),
            "breakaway_inside": self.preload.as_ref().and_then(|p| p.breakaway_simulated.map(|s| s.inside)),
            "preload_uncertainty_n": self.preload.as_ref().and_then(|p| p.uncertainty.map(|u| u.newtons())),
            "drive_share": self.curve.as_ref().map(|curve| curve.drive_share.value()),
            "coast_share": self.curve.as_ref().map(|curve| curve.coast_share.value()),
            "class": self.curve.as_ref().map(|curve| curve.class.clone()),
            "proofs": proofs,
            "open_points": self.open,
            "signatures": self.signatures.iter().map(|s| json!({"role": s.role, "name": s.name, "at": s.at})).collect::<Vec<_>>(),
            "digest": self.digest,
        }))
    }
}

/// What is in the book, for machines: each build with its state.
pub fn shelf_summary<'b>(builds: impl Iterator<Item = (&'b Build, &'b str)>) -> Summary {
    let builds: Vec<Value> = builds
        .map(|(build, state)| {
            json!({
                "build": build.id, "unit": build.unit_name, "procedure": build.procedure.id, "begun": build.started,
                "finished": build.finished, "state": state, "digest": build.digest,
            })
        })
        .collect();
    Summary(json!({ "builds": builds }))
}

/// What the choice of plates and shims came to.
#[derive(Clone, PartialEq, Debug)]
pub struct Selection {
    /// The best first; empty where nothing fits.
    pub choices: Vec<Selected>,
    /// What comes nearest where nothing fits.
    pub nearest: Option<Selected>,
    /// By how much the nearest is out.
    pub short_by: Option<Length>,
    /// What to get, one of which would make it fit.
    pub missing: Vec<MissingPart>,
    /// Plates that were measured and thrown out, with the reason.
    pub rejected: Vec<(String, String)>,
    /// The best, or the nearest, drawn in lines of text.
    pub drawing: Vec<String>,
}

/// One way to fill the unit.
#[derive(Clone, PartialEq, Debug)]
pub struct Selected {
    /// Left, then right.
    pub sides: [SelectedSide; 2],
    /// Gap, or room for the springs, left and right; both the same in a through unit.
    pub closings: [Length; 2],
    /// Shims on both sides.
    pub shims: u32,
    /// The larger distance of a closing from its target.
    pub worst: Length,
    /// How far the sides are apart.
    pub difference: Length,
    /// New parts among the plates.
    pub new_parts: u32,
    /// Probability that every closing truly lies in its window.
    pub probability: f64,
}

/// One side of it, from the case wall.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SelectedSide {
    /// Shims at the wall.
    pub shims: Vec<Length>,
    /// Plates by name with their measured thickness, in order.
    pub plates: Vec<(String, Length)>,
    /// How many faces rub.
    pub active_faces: u32,
}

/// A part to get.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct MissingPart {
    /// `shim`, or what kind of plate.
    pub what: String,
    /// Its thickness.
    pub thickness: Length,
    /// How many.
    pub count: u32,
    /// Whether it is a standard size.
    pub standard: bool,
}

impl Selected {
    fn object(&self) -> Map<String, Value> {
        let side = |side: &SelectedSide| -> Value {
            let shims = side.shims.iter().map(|shim| json!({"shim_um": shim.um()}));
            let plates = side
                .plates
                .iter()
                .map(|(name, t)| json!({"plate": name, "thickness_um": t.um()}));
            shims.chain(plates).collect()
        };
        let mut object = Map::new();
        object.insert("shims".to_string(), json!(self.shims));
        object.insert("worst_um".to_string(), json!(self.worst.um()));
        object.insert("difference_um".to_string(), json!(self.difference.um()));
        object.insert("closing_left_um".to_string(), json!(self.closings[0].um()));
        object.insert("closing_right_um".to_string(), json!(self.closings[1].um()));
        object.insert("new_parts".to_string(), json!(self.new_parts));
        object.insert("probability_inside".to_string(), json!(self.probability));
        object.insert("faces_left".to_string(), json!(self.sides[0].active_faces));
        object.insert("faces_right".to_string(), json!(self.sides[1].active_faces));
        object.insert("left".to_string(), side(&self.sides[0]));
        object.insert("right".to_string(), side(&self.sides[1]));
        object
    }
}

impl Selection {
    /// The selection for machines: the best choice, or the nearest miss, at the top; the others below `alternatives`.
    pub fn summary(&self) -> Summary {
        let mut object = Map::new();
        object.insert("admissible".to_string(), json!(!self.choices.is_empty()));
        let best = self.choices.first().or(self.nearest.as_ref());
        object.extend(best.map(Selected::object).unwrap_or_default());
        let others: Vec<Value> = self
            .choices
            .iter()
            .skip(1)
            .map(|choice| Value::Object(choice.object()))
            .collect();
        object.insert("alternatives".to_string(), Value::Array(others));
        object.insert("short_by_um".to_string(), um(self.short_by));
        let missing: Vec<Value> = self
            .missing
            .iter()
            .map(|part| {
                json!({
                    "what": part.what, "thickness_um": part.thickness.um(), "count": part.count,
                    "standard_size": part.standard,
                })
            })
            .collect();
        object.insert("missing".to_string(), Value::Array(missing));
        let rejected: Vec<Value> = self
            .rejected
            .iter()
            .map(|(plate, reason)| json!({"plate": plate, "reason": reason}))
            .collect();
        object.insert("rejected".to_string(), Value::Array(rejected));
        Summary(Value::Object(object))
    }
}
