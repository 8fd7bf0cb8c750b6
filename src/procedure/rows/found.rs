//! What the unit was found with: breakaway, oil and order as received, and what an old paper says of it.

use super::plain::{
    answer, far_above_the_window, no_formula, no_words_are, nothing_beside, nothing_said, reading, reading_of,
};
use super::proof::{BREAKAWAY_FORMULA, expected_as_chosen, ways_of_holding, wedges_by_file};
use crate::document::nearest;
use crate::mechanics::Side;
use crate::procedure::ask::{AnswerOption, Refusal};
use crate::procedure::definition::Each;
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::proof::listed;
use crate::procedure::reading_mode::held_words;
use crate::procedure::row::{
    Against, Beside, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Sight, Timing, rows,
};
use crate::procedure::typed::{Read, no};
use crate::record::Value;
use crate::record::phrase::Phrase;
use crate::workshop::Aim;

rows! { Found:
    /// How the unit is held for the breakaway as received.
    FOUND_HELD = Row {
        word: "found-held",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: |here| Beside::limits(wedges_by_file(here)),
        why: no_formula,
        reads: Reads::Word {
            fixed: &["case", "output"],
            ways: ways_of_holding,
            refused: no_words_are,
            reason: no_words_are,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Breakaway as received.
    FOUND_BREAKAWAY = Row {
        word: "found-breakaway",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: window_as_found,
        why: |here| {
            let mut lines = vec![BREAKAWAY_FORMULA.to_string()];
            lines.extend(listed_breakaway(&here.derived));
            lines
        },
        reads: Reads::Torque { odd: far_above_the_window },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::BreakawayFound), sees: Some(Sight::Held) },
    };
    /// Oil as received.
    FOUND_OIL = Row {
        word: "found-oil",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::AsFound { label: "oil", left: Some(Field::OIL) },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Debris as received.
    FOUND_DEBRIS = Row {
        word: "found-debris",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::AsFound { label: "drain plug", left: None },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Noise and play as received.
    FOUND_NOISE = Row {
        word: "found-noise",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::AsFound { label: "noise and play", left: None },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The numbers of the photos of what came out.
    PHOTOS = Row {
        word: "photos",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| here.say(Phrase::PhotoNumbers),
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::AsFound { label: "photos", left: None },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Whether the unit was put together anew, by an old record that is typed in.
    REBUILT = Row {
        word: "rebuilt",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Word {
            fixed: &["yes", "no"],
            ways: |_| vec![
                AnswerOption::new("yes", "distances count from then"),
                AnswerOption::new("no", "it was looked at or measured, and closed as it was"),
            ],
            refused: no_words_are,
            reason: no_words_are,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The breakaway as left, by such a record.
    LEFT_BREAKAWAY = Row {
        word: "left-breakaway",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: |here| {
            let (derived, proof) = (&here.derived, &here.derived.job.unit.proof);
            let bench = derived.bench_of(here.beyond.round());
            Beside::limits([derived.window_words(proof, Some(proof.held), None, bench.as_ref())])
        },
        why: |here| {
            let mut lines = vec![BREAKAWAY_FORMULA.to_string()];
            lines.extend(expected_as_chosen(here));
            lines
        },
        reads: Reads::Torque { odd: far_above_the_window },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The order of a pack as found.
    FOUND_ORDER = Row {
        word: "found-order",
        // what lies under the cover comes out first
        each: Some(Each::Opened),
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| reading_of(here, Phrase::Pack),
        beside: |here| Beside::limits(here.side().into_iter().flat_map(|side| here.derived.order_listed(side))),
        why: faces_formula,
        reads: Reads::Order { read: read_order },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Order) },
    };
}

/// As received it is still what it was before a setting changed it.
pub(super) fn window_as_found(here: &Here<'_>) -> Beside {
    let derived = &here.derived;
    let (proof, bench) = match &derived.job.rework {
        Some(rework) => (&rework.before.proof, listed(&rework.before)),
        None => (&derived.job.unit.proof, derived.listed_bench()),
    };
    Beside::limits([derived.window_words(proof, derived.found_held(), None, bench.as_ref())])
}

/// What the unit should show by its file: listed faces, target, friction.
fn listed_breakaway(derived: &Derived<'_>) -> Option<String> {
    let unit = &derived.job.unit;
    let Aim::Preload { target, .. } = unit.aim else {
        return None;
    };
    let read = derived.expected_of(&derived.listed_bench()?)?;
    Some(format!(
        "by the unit file: {} and {} faces, {target}; μ turning {}; r {}: {} {}",
        unit.packs[0].faces,
        unit.packs[1].faces,
        derived.friction_in_words(),
        unit.friction.radius.show(derived.state.units),
        read.show(derived.state.units),
        held_words(unit.proof.held)
    ))
}

/// The faces of the order that the unit file lists.
fn faces_formula(here: &Here<'_>) -> Vec<String> {
    let derived = &here.derived;
    let unit = &derived.job.unit;
    let Some(plan) = here.side().and_then(|side| unit.packs.get(side.index())) else {
        return Vec::new();
    };
    let keys: Vec<_> = plan.order.iter().filter_map(|name| derived.keyed(name)).collect();
    vec![
        "faces = neighbours that are keyed to different parts, the ring counted as the last".to_string(),
        format!(
            "{} plates in the listed order: {} faces; without a dead one there would be no two of a kind side by side",
            keys.len(),
            unit.faces_of(&keys, !plan.shims.is_empty())
        ),
    ]
}

fn read_order(here: &Here<'_>, text: &str) -> Result<Read, Refusal> {
    let unit = &here.derived.job.unit;
    let Some(plan) = here.side().and_then(|side| unit.packs.get(side.index())) else {
        return no("no side is asked for");
    };
    // typed on purpose, with the order in sight; an Enter too many is no look
    if text.is_empty() {
        return no("the order is wanted, or same where it is just so");
    }
    if text.eq_ignore_ascii_case("same") {
        not_in_the_other_pack(here, &plan.order)?;
        return Read::plain("same", Value::Names(plan.order.clone()));
    }
    let names: Vec<String> = text
        .split(|c: char| c.is_whitespace() || c == ',')
        .filter(|name| !name.is_empty())
        .map(|name| here.derived.called(name))
        .collect();
    let mut seen: Vec<&String> = Vec::new();
    for name in &names {
        if unit.plate(name).is_none() {
            let known: Vec<&str> = unit.plates.iter().map(|plate| plate.name.as_str()).collect();
            let meant =
                nearest(name, &known).map_or(String::new(), |meant| format!("; did you mean {meant}?"));
            return no(format!("no plate of this unit is called {name}{meant}"));
        }
        if seen.contains(&name) {
            return no(format!("plate {name} is named twice"));
        }
        seen.push(name);
    }
    not_in_the_other_pack(here, &names)?;
    let odd = (names.len() != plan.order.len()).then(|| {
        format!(
            "{} plates were named, but {} should lie on this side",
            names.len(),
            plan.order.len()
        )
    });
    Ok(Read {
        text: names.join(" "),
        value: Value::Names(names),
        odd,
    })
}

/// Refuses plates that were found in the pack of the other side, too.
fn not_in_the_other_pack(here: &Here<'_>, names: &[String]) -> Result<(), Refusal> {
    let other = Side::BOTH
        .into_iter()
        .find(|side| here.slot.item.as_deref() != Some(side.word()));
    let state = here.derived.state;
    let found = other
        .and_then(|side| state.answer(Field::FOUND_ORDER, 1, Some(side.word()), None))
        .map(|answer| &answer.value);
    let (Some(other), Some(Value::Names(there))) = (other, found) else {
        return Ok(());
    };
    match names.iter().find(|name| there.contains(name)) {
        None => Ok(()),
        Some(name) => no(format!(
            "plate {name} is in the {other} pack already, as that was given: one of the two is wrong; !back opens the other"
        )),
    }
}
