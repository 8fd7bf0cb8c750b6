//! Plates that are too close to call: measured again, and what becomes of those that stay so.

use super::plain::{no_words_are, nothing_said, plate, plate_reading};
use super::plates::{a_new_plate, judged, odd_thickness, thickness_formula, thickness_limits};
use crate::procedure::ask::AnswerOption;
use crate::procedure::definition::{Each, Step};
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{
    Against, Beside, From, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Timing, rows,
};
use crate::quantity::Dimension;
use crate::record::Value;
use crate::record::form::OpenRows;

/// Rows for plates that are measured again; more than that is another sheet.
const AGAIN: usize = 4;

rows! { Doubtful:
    /// Thickness of a doubtful plate, measured again.
    REMEASURED = Row {
        word: "remeasured",
        each: Some(Each::Doubtful),
        rests_on: &[&[Field::PLATE_THICKNESS]],
        asked: Timing::EACH_ROUND,
        prompt: plate_reading,
        beside: |here| {
            let so_far = format!("so far: {}", here.derived.plate_words(here.item(), false));
            Beside::limits([thickness_limits(here), so_far])
        },
        why: thickness_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: a_new_plate,
            odd: odd_thickness,
        },
        after: |here, _| judged(here, true),
        against: Against::NOTHING,
        form: OnForm::Room { rows: room_for_readings, limits: |_| Vec::new() },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::PlateThickness), sees: None },
    };
    /// What becomes of a plate that stays too close to call.
    FATE = Row {
        word: "fate",
        each: Some(Each::StillDoubtful),
        rests_on: &[&[Field::PLATE_THICKNESS]],
        asked: Timing::EACH_ROUND,
        prompt: plate,
        beside: |here| Beside::limits([here.derived.plate_words(here.item(), true)]),
        why: fate_formula,
        reads: Reads::Word {
            fixed: &["keep", "reject"],
            ways: |_| vec![
                AnswerOption::new("keep", "use it; a reason is wanted"),
                AnswerOption::new("reject", "throw it out; a reason is wanted"),
            ],
            refused: no_words_are,
            reason: |_, word| Some(format!("to {word} a plate that is too close to call wants a reason")),
        },
        after: nothing_said,
        against: Against {
            open: |slot, value, _| match value {
                Value::Word { word, reason } if word == "keep" => Some(format!(
                    "plate {} was kept though too close to call: {reason}",
                    slot.item.as_deref().unwrap_or("")
                )),
                _ => None,
            },
            ..Against::NOTHING
        },
        form: OnForm::Room {
            rows: |_, _| OpenRows {
                heads: ["plate", "keep or reject", "because"].map(str::to_string).to_vec(),
                labels: vec![String::new(); AGAIN],
            },
            limits: |_| vec!["only plates that stay too close to call".to_string()],
        },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

fn room_for_readings(derived: &Derived<'_>, step: &Step) -> OpenRows {
    let unit = Dimension::Length.usual_unit(derived.state.units);
    let mut heads = vec!["plate".to_string()];
    heads.extend((1..=step.points).map(|point| format!("{point}, {unit}")));
    OpenRows {
        heads,
        labels: vec![String::new(); AGAIN],
    }
}

fn fate_formula(here: &Here<'_>) -> Vec<String> {
    let plate = here.derived.plate(here.item(), true);
    let limits = &here.derived.job.unit.limits;
    let (Some(figures), Some(p)) = (plate.figures, plate.probability) else {
        return Vec::new();
    };
    vec![
        "P(least ≥ limit) = Φ((least − limit)/u)".to_string(),
        format!(
            "least {}: P = {:.0} %; inside from {:.0} %, outside under {:.0} %",
            figures.least.show(here.units()),
            100.0 * p,
            100.0 * limits.confidence,
            100.0 * (1.0 - limits.confidence)
        ),
    ]
}
