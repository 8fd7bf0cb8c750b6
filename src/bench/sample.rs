//! A question to try the front-ends with; plate, readings and limits are invented.

use crate::procedure::{Ask, Expects, Rail, RailRow, StepKind, Table, Why};
use crate::record::Slot;
use crate::record::phrase::Spoken;

/// Reading 2 of plate G3, with everything on the screen that a question can have at once.
pub(super) fn plate() -> Ask {
    Ask {
        slot: Slot {
            round: 1,
            step: "plate-thickness".into(),
            item: Some("G3".into()),
            point: Some(2),
        },
        number: 41,
        of: 148,
        stage: "Measure".into(),
        kind: StepKind::Measure,
        words: vec![
            "Wipe the plate dry and measure its thickness at three places a third of a turn apart, on the \
             friction face and clear of the tabs."
                .into(),
            "Read the micrometer square on; do not screw it up by hand.".into(),
        ],
        tools: vec![
            "micrometer M1 (0 to 25 mm, due 2031-03-01)".into(),
            "clean cloth".into(),
        ],
        limits: vec![
            "at least 1.90 mm; new 2.00 mm".into(),
            "spread over the plate at most 0.03 mm".into(),
        ],
        table: Some(Table {
            head: vec![
                "Plate".into(),
                "Reading 1".into(),
                "Reading 2".into(),
                "Reading 3".into(),
            ],
            rows: vec![
                vec!["G1".into(), "1.98 mm".into(), "1.98 mm".into(), "1.97 mm".into()],
                vec!["G2".into(), "1.96 mm".into(), "1.96 mm".into(), "1.97 mm".into()],
                vec!["G3".into(), "1.98 mm".into(), String::new(), String::new()],
            ],
        }),
        drawing: vec![],
        prompt: "Plate G3, reading 2 of 3".into(),
        expects: Expects::Quantity {
            unit: "mm",
            example: "1.98".into(),
        },
        before: None,
        guarded: false,
        why: Why {
            reason: "A plate wears where it slips most.".into(),
            formula: vec!["wear = new - worn".into(), "0.02 mm = 2.00 mm - 1.98 mm".into()],
        },
        may_skip: false,
        later: false,
        again: false,
        alone: false,
        practice: false,
        rail: None,
        terms: Vec::new(),
        spoken: Spoken::default(),
    }
}

/// The same plate, another reading.
pub(super) fn reading(point: u32) -> Ask {
    let mut ask = plate();
    ask.slot.point = Some(point);
    ask
}

/// The same place with another thing wanted.
pub(super) fn wanting(expects: Expects) -> Ask {
    Ask { expects, ..plate() }
}

/// A rail with so many plates a side, of which the first is being measured.
pub(super) fn rail(plates: usize) -> Rail {
    let row = |side: &'static str, n: usize| RailRow {
        side,
        name: format!("{}{n}", side[..1].to_uppercase()),
        readings: vec![Some("1.981".into()), Some("1.982".into()), None],
        flatness: Some("0.02".into()),
        look: Some("glazed".into()),
        came_to: "outside".into(),
        missing: true,
    };
    let of = |side| (1..=plates).map(move |n| row(side, n));
    Rail {
        rows: of("left").chain(of("right")).collect(),
        hand: 0,
        next: "L1, reading 3".into(),
        takes_reading: true,
        points: 3,
        flatness: true,
        looks: vec!["good".into(), "glazed".into()],
        limits: "mic-1, +0.002 mm taken off. Least: gear 1.900.".into(),
        missing: "readings of L1".into(),
        changed: vec![0],
        by_rows: true,
    }
}
