//! How it is told what steps change of what drivers say.

use super::said::{COMPLAINTS, Complaint, Measure};
use super::step_table::{StepRow, StepTable};
use crate::mechanics::Axle;
use crate::mechanics::tune::Change;
use crate::quantity::RampAngle;
use crate::report::{Section, Table};
use crate::workshop::car_layout::Place;
use serde_json::{Value, json};

/// The datum stands in the head of the table.
pub(super) fn degrees(ramp: RampAngle) -> String {
    let face = ramp.degrees_from_ring_face();
    if face >= 90.0 {
        "none".to_string()
    } else {
        format!("{face:.1}°")
    }
}

/// A step in a few words.
pub(super) fn change_words(change: &Change) -> String {
    match change {
        Change::Faces(faces) => format!("{faces} faces a pack"),
        Change::Drive(ramp) => format!("drive {}", degrees(*ramp)),
        Change::Coast(ramp) => format!("coast {}", degrees(*ramp)),
        Change::Preload(force) => format!("reshim to {force}"),
        Change::Worn(force) => format!("worn, {force} left"),
        Change::Friction(friction) => format!("oil, friction {:.3}", friction.value()),
    }
}

fn change_json(change: &Change) -> Value {
    match change {
        Change::Faces(faces) => json!({ "faces": faces }),
        Change::Drive(ramp) => json!({ "drive_deg_from_ring_face": ramp.degrees_from_ring_face() }),
        Change::Coast(ramp) => json!({ "coast_deg_from_ring_face": ramp.degrees_from_ring_face() }),
        Change::Preload(force) => json!({ "preload_n": force.newtons() }),
        Change::Worn(force) => json!({ "worn_preload_n": force.newtons() }),
        Change::Friction(friction) => json!({ "plate_friction": friction.value() }),
    }
}

impl Measure {
    /// The head of its column.
    fn head(self) -> &'static str {
        match self {
            Measure::ShutAgainst => "shut",
            Measure::LightAgainst => "light",
            Measure::PowerAgainst => "power",
            Measure::TurnsIn => "in",
            Measure::Tug => "tug",
            Measure::PutsDown => "down",
            Measure::OneFrom => "one",
            Measure::Held => "held",
            Measure::Heat => "heat",
        }
    }

    /// What it is.
    fn words(self) -> &'static str {
        match self {
            Measure::ShutAgainst => "N·m against the turn, throttle shut",
            Measure::LightAgainst => "N·m against the turn, to a third of the throttle",
            Measure::PowerAgainst => "N·m against the turn, above a third of the throttle",
            Measure::TurnsIn => "N·m that turn it in, throttle open",
            Measure::Tug => "N·m between the front shafts, throttle open",
            Measure::PutsDown => "% put down of what both tyres could",
            Measure::OneFrom => "% throttle from which it turns as one",
            Measure::Held => "N·m between the wheels by the preload",
            Measure::Heat => "W into a face, steadily",
        }
    }

    /// Its key for machines.
    fn key(self) -> &'static str {
        match self {
            Measure::ShutAgainst => "shut_against_nm",
            Measure::LightAgainst => "light_against_nm",
            Measure::PowerAgainst => "power_against_nm",
            Measure::TurnsIn => "turns_in_nm",
            Measure::Tug => "front_shafts_apart_nm",
            Measure::PutsDown => "puts_down_share",
            Measure::OneFrom => "one_from_throttle",
            Measure::Held => "preload_nm",
            Measure::Heat => "heat_a_face_w",
        }
    }

    fn shown(self, value: f64) -> String {
        match self {
            Measure::OneFrom if value > 1.0 => "never".to_string(),
            Measure::PutsDown | Measure::OneFrom => format!("{:.0} %", 100.0 * value),
            _ => format!("{value:.0}"),
        }
    }

    /// By how much it changes; `=` where nobody feels it.
    fn changed(self, now: f64, then: f64) -> String {
        let by = then - now;
        if by.abs() < self.small() {
            return "=".to_string();
        }
        match self {
            // a change from never is none
            Measure::OneFrom => format!("to {}", self.shown(then)),
            Measure::PutsDown => format!("{:+.0} %", 100.0 * by),
            _ => format!("{by:+.0}"),
        }
        .replace('-', "−")
    }
}

/// What is said of an axle.
fn said_here(place: Place) -> impl Iterator<Item = &'static Complaint> {
    let axle = match place {
        Place::Front => Some(Axle::Front),
        Place::Rear => Some(Axle::Rear),
        Place::Centre => None,
    };
    COMPLAINTS
        .iter()
        .filter(move |one| one.axle.is_none() || axle.is_none() || one.axle == axle)
}

/// What stands in which column, and who should look at it.
fn columns(table: &StepTable, place: Place) -> Table {
    let rows = table.measures.iter().map(|(measure, _)| {
        let of = |rises: bool| {
            let said = said_here(place).filter(|one| one.measure == Some(*measure) && one.rises == rises);
            said.map(|one| one.words).collect::<Vec<_>>().join(", ")
        };
        [
            measure.head().to_string(),
            measure.words().to_string(),
            of(false),
            of(true),
        ]
    });
    Table::of_words(["", "what it is", "less of it, if it", "more of it, if it"], rows)
}

impl StepTable {
    fn row(&self, row: &StepRow) -> Vec<String> {
        let mark = match row.helps() {
            _ if self.wishes.is_empty() => "",
            [0, 0] => "",
            [_, 0] => "+",
            [0, _] => "−",
            _ => "+−",
        };
        let words: Vec<String> = row.changes.iter().map(change_words).collect();
        let mut cells = vec![mark.to_string(), words.join(", ")];
        cells.extend(
            self.measures
                .iter()
                .zip(&row.values)
                .map(|((measure, now), then)| match (now, then) {
                    (Some(now), Some(then)) => measure.changed(*now, *then),
                    _ => "-".to_string(),
                }),
        );
        cells
    }

    fn table(&self) -> Table {
        let mut head = vec![String::new(), String::new()];
        head.extend(
            self.measures
                .iter()
                .map(|(measure, _)| measure.head().to_string()),
        );
        let mut first = vec![String::new(), "as it is there".to_string()];
        first.extend(
            self.measures
                .iter()
                .map(|(measure, now)| now.map_or_else(|| "-".to_string(), |now| measure.shown(now))),
        );
        let rows = self.steps.iter().chain(&self.pairs).map(|row| self.row(row));
        Table::of_words(head, [first].into_iter().chain(rows))
    }

    /// What steps change, as sections. `start` is what they start from, in a few words.
    pub(super) fn sections(&self, place: Place, start: &str) -> Vec<Section> {
        let mut section = Section::under(format!(
            "WHAT ONE STEP CHANGES, from {start}. Ramps are counted from the ring's face; = where nobody would feel it."
        ))
        .table(self.table());
        if !self.wishes.is_empty() {
            section = section.words(
                "+ all that it moves of what was said goes the right way, − the wrong way, +− some of it.",
            );
            if !self.pairs.is_empty() {
                section = section
                    .words("The last rows are two steps together, where that helps more than any one.");
            }
        }
        let mut sections = vec![section];
        sections.push(
            Section::under(
                "WHAT DRIVERS SAY, by the column that stands for it (common practice, no source):",
            )
            .table(columns(self, place)),
        );
        if !self.wishes.is_empty() {
            sections.push(self.wished());
        }
        sections
    }

    /// Which step, or which two, help most with what was said; `None` where nothing was said, or nothing helps without harm.
    pub(super) fn most_helpful(&self) -> Option<String> {
        let mut rows = self.pairs.first().into_iter().chain(&self.steps);
        let row = rows.find(|row| row.helps()[0] > 0 && row.helps()[1] == 0)?;
        let steps: Vec<String> = row.changes.iter().map(change_words).collect();
        let moved = self
            .wishes
            .iter()
            .zip(&row.moved)
            .filter(|(_, moved)| **moved > 0.0);
        let helped: Vec<&str> = moved.map(|(wish, _)| wish.complaint.words).collect();
        Some(format!(
            "Of what was said, {} is what helps most, with: {}.",
            steps.join(" and "),
            helped.join(", ")
        ))
    }

    /// What was said, and what speaks against all of it at once.
    fn wished(&self) -> Section {
        let mut section = Section::under("WHAT WAS SAID:");
        for wish in &self.wishes {
            let Complaint {
                words,
                phase,
                measure,
                rises,
                else_too,
                ..
            } = wish.complaint;
            let way = if rises { "rise" } else { "fall" };
            let figure = match (measure, wish.now) {
                (None, _) => "no figure of the lock stands for it".to_string(),
                (Some(measure), None) => {
                    format!(
                        "no moment of this use shows the figure that stands for it ({})",
                        measure.words()
                    )
                }
                (Some(measure), Some(now)) if !wish.can_move() => format!(
                    "\"{}\" should {way}, and is at its end in this use with {}: the model does not show it here",
                    measure.head(),
                    measure.shown(now)
                ),
                (Some(measure), Some(now)) => {
                    format!(
                        "\"{}\" should {way}; it is {}",
                        measure.head(),
                        measure.shown(now)
                    )
                }
            };
            section = section.words(format!(
                "{words} ({}): {figure}. The same may come from: {else_too} (common practice, no source).",
                phase.word()
            ));
        }
        for [one, other] in &self.opposed {
            section = section.words(format!(
                "{} and {} want one figure to go both ways: no lock gives both. Choose the one that costs more time, and look \
                 elsewhere for the other.",
                one.words, other.words
            ));
        }
        let seen = self.wishes.iter().filter(|wish| wish.can_move()).count();
        if seen > 0 && self.opposed.is_empty() && !self.helps_all() {
            section = section.words(if seen == 1 {
                "No step of this unit, and no two of them, move it that way in this car: look elsewhere first."
            } else {
                "No step of this unit, and no two of them, move all of it the right way: each that helps one costs another."
            });
        }
        section
    }

    /// The same for machines.
    pub(super) fn json(&self) -> [Value; 3] {
        let row = |row: &StepRow| {
            let values: serde_json::Map<String, Value> = self
                .measures
                .iter()
                .zip(&row.values)
                .map(|((measure, _), value)| (measure.key().to_string(), self.value(*measure, *value)))
                .collect();
            json!({
                "changes": row.changes.iter().map(change_json).collect::<Vec<_>>(), "then": values,
                "helps": row.helps()[0], "harms": row.helps()[1],
            })
        };
        let wishes = self.wishes.iter().map(|wish| {
            json!({
                "complaint": wish.complaint.words, "phase": wish.complaint.phase.word(),
                "measure": wish.complaint.measure.map(Measure::key), "should_rise": wish.complaint.rises,
                "now": wish.complaint.measure.map(|measure| self.value(measure, wish.now)),
            })
        });
        [
            Value::Array(self.steps.iter().map(row).collect()),
            Value::Array(self.pairs.iter().map(row).collect()),
            Value::Array(wishes.collect()),
        ]
    }

    /// A figure; none where it is never, or nothing shows it.
    fn value(&self, measure: Measure, value: Option<f64>) -> Value {
        match value {
            Some(value) if measure == Measure::OneFrom && value > 1.0 => Value::Null,
            other => json!(other),
        }
    }
}
