//! A choice from a file for machines.

use super::interval::{Interval, parts_json};
use crate::quantity::{Length, Units};
use crate::report::{Cell, Column, Picture, Report, Section, Summary, Table, um};
use serde_json::{Map, Value, json};

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
    /// By how much a closing may be off either way (k = 2), with where that comes from; `None` where it is not known.
    pub doubt: Option<Interval<Length>>,
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
    /// Plates that lie elsewhere in the best choice, with where they lie here: `G1→right`.
    pub unlike_first: Vec<String>,
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
    fn row(&self, n: usize, units: Units) -> Vec<Cell> {
        let bare = |length: Length| {
            let text = length.show(units);
            text.split(' ').next().unwrap_or("").to_string()
        };
        let shims = |side: &SelectedSide| {
            let shims: Vec<String> = side.shims.iter().map(|shim| bare(*shim)).collect();
            match shims.is_empty() {
                true => "none".to_string(),
                false => shims.join(" + "),
            }
        };
        let [left, right] = self.closings;
        vec![
            (n + 1).to_string().into(),
            shims(&self.sides[0]).into(),
            shims(&self.sides[1]).into(),
            match left == right {
                true => left.show(units),
                false => format!("{} / {}", bare(left), right.show(units)),
            }
            .into(),
            bare(self.worst).into(),
            bare(self.difference).into(),
            self.new_parts.to_string().into(),
            format!("{:.0} %", (self.probability * 100.0).floor()).into(),
            self.unlike_first.join(" ").into(),
        ]
    }

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
        object.insert("unlike_first".to_string(), json!(self.unlike_first));
        object.insert("faces_left".to_string(), json!(self.sides[0].active_faces));
        object.insert("faces_right".to_string(), json!(self.sides[1].active_faces));
        object.insert("left".to_string(), side(&self.sides[0]));
        object.insert("right".to_string(), side(&self.sides[1]));
        object
    }
}

impl Selection {
    /// The choices, the best first, or what is lacking; the best or the nearest drawn; what was thrown out.
    pub fn report(&self, units: Units) -> Report {
        let mut what = Section::new();
        if self.choices.is_empty() {
            what = what.words("NOTHING FITS with these plates and shims.");
            if let Some(short) = self.short_by {
                what = what.words(format!("The nearest is out by {}.", short.show(units)));
            }
            for (n, part) in self.missing.iter().enumerate() {
                // each of them is enough by itself
                let or = if n == 0 { "It would fit" } else { "or it would fit" };
                let standard = if part.standard { " (a standard size)" } else { "" };
                what = what.words(format!(
                    "{or} with {} more {} of {}{standard}.",
                    part.count,
                    part.what,
                    part.thickness.show(units)
                ));
            }
        }
        let mut rest = Section::new();
        if let Some(doubt) = self.doubt.as_ref().filter(|doubt| !doubt.parts.is_empty()) {
            let narrowed = doubt.narrowed_by(Length::mm, &|mm| Some(Length::from_mm(mm).ok()?.show(units)));
            rest = rest.words(format!(
                "A closing is known to ± {} (k = 2), by {}{}.",
                doubt.high.show(units),
                doubt.from_what(),
                narrowed.map_or_else(String::new, |words| format!(" ({words})"))
            ));
        }
        if !self.drawing.is_empty() {
            rest = rest
                .words("The packs, | where two layers rub and . where they do not:")
                .picture(Picture::Signs(self.drawing.clone()));
        }
        for (plate, reason) in &self.rejected {
            rest = rest.words(format!("{plate} is rejected: {reason}"));
        }
        Report::of(self.summary())
            .with(what.table(self.table(units)))
            .with(rest)
    }

    fn table(&self, units: Units) -> Table {
        let mut table = Table::new([
            Column::figures(""),
            Column::words("shims left"),
            Column::words("shims right"),
            Column::words("closing"),
            Column::figures("off target"),
            Column::figures("sides differ"),
            Column::figures("new"),
            Column::figures("inside"),
            Column::words("unlike 1"),
        ]);
        let choices = self.choices.iter().enumerate();
        table.rows = choices.map(|(n, choice)| choice.row(n, units)).collect();
        table
    }

    /// The selection for machines: the best choice, or the nearest miss, at the top; the others below `alternatives`.
    fn summary(&self) -> Summary {
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
        let doubt = self.doubt.as_ref().map(|doubt| {
            let narrower = doubt.narrower.as_ref();
            json!({
                "expanded_um": doubt.high.um(), "parts": parts_json(&doubt.parts),
                "narrower": narrower.map(|(by, _, high)| json!({"by": by, "expanded_um": high.um()})),
            })
        });
        object.insert("closing_doubt".to_string(), json!(doubt));
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
        Summary::told("choose", Value::Object(object))
    }
}
