//! The shims of each side, measured together: those that were found there, and those that go in.

use super::plain::{nothing_said, reading_of};
use crate::mechanics::Side;
use crate::procedure::ask::{Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::expanded;
use crate::procedure::measured::OTHER_SHIMS;
use crate::procedure::row::{
    Against, Beside, Expected, FormLimits, From, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows,
};
use crate::quantity::{Length, Units};
use crate::record::phrase::Phrase;

rows! { Shims:
    /// The shims that lay on a side, measured together.
    SHIMS_FOUND = Row {
        word: "shims-found",
        each: Some(Each::Side),
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing::ONCE,
        prompt: |here| reading_of(here, Phrase::ShimsTogether),
        beside: |here| Beside::limits(here.derived.shims_listed(here.slot)),
        why: |here| summed("the list", &here.side().map_or(Vec::new(), |side| here.derived.job.unit.packs[side.index()].shims.clone()), here.units()),
        reads: Reads::Length {
            from: From::Zero,
            expected: |here| {
                let shims = &here.derived.job.unit.packs[here.side()?.index()].shims;
                Some(marked(&here.derived, shims.iter().copied().sum(), "by the list"))
            },
            odd: other_shims,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The shims that were chosen for a side, measured together.
    SHIMS_IN = Row {
        word: "shims-in",
        each: Some(Each::Side),
        rests_on: &[&[Field::CHOICE], &[Field::MICROMETER]],
        asked: Timing::EACH_ROUND,
        prompt: |here| reading_of(here, Phrase::ShimsTogether),
        beside: |here| {
            let units = here.units();
            let shims = chosen(here).map(|shims| match &shims[..] {
                [] => "chosen: none".to_string(),
                shims => {
                    let shown: Vec<String> = shims.iter().map(|shim| shim.show(units)).collect();
                    format!("chosen: {}", shown.join(" + "))
                }
            });
            Beside::limits(shims)
        },
        why: |here| summed("the choice", &chosen(here).unwrap_or_default(), here.units()),
        reads: Reads::Length {
            from: From::Zero,
            expected: |here| Some(marked(&here.derived, chosen(here)?.into_iter().sum(), "as chosen")),
            odd: other_shims,
        },
        after: |here, _| reckoned_anew(here),
        against: Against::NOTHING,
        form: OnForm::Boxes {
            limits: FormLimits::AtTheBench,
            caption: |_, _| String::new(),
        },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// What the micrometer is likely to show of shims that are marked with a thickness.
fn marked(derived: &Derived<'_>, marks: Length, by: &str) -> Expected {
    let zero = derived.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
    Expected {
        length: if marks == Length::ZERO {
            marks
        } else {
            marks + zero
        },
        share: 0.0,
        what: format!("the {} {by}", marks.show(derived.state.units)),
    }
}

/// What the marks of shims add up to.
fn summed(by: &str, shims: &[Length], units: Units) -> Vec<String> {
    let marks: Vec<String> = shims.iter().map(|shim| shim.show(units)).collect();
    let sum: Length = shims.iter().copied().sum();
    vec![match shims.len() {
        0 => format!("by {by}: none = {}", sum.show(units)),
        _ => format!("by {by}: {} = {}", marks.join(" + "), sum.show(units)),
    }]
}

/// Shims that are not what their marks say, or other ones.
fn other_shims(here: &Here<'_>, length: Length, expected: Option<&Expected>) -> Option<String> {
    let expected = expected?;
    (length.apart(expected.length) > OTHER_SHIMS)
        .then(|| format!("{} is not {}", length.show(here.units()), expected.what))
}

/// The shims that were chosen for the side that a question is about.
fn chosen(here: &Here<'_>) -> Option<Vec<Length>> {
    let chosen = here.derived.state.chosen(here.slot.round)?;
    let shims = &chosen.sides[here.side()?.index()].shims_nanometres;
    Some(shims.iter().map(|nm| Length::from_nm(*nm)).collect())
}

/// What the prediction comes to with the shims as they were measured, once both sides are.
fn reckoned_anew(here: &Here<'_>) -> Vec<Feedback> {
    let (derived, units) = (&here.derived, here.units());
    if here.side() != Some(Side::Right) {
        return Vec::new();
    }
    let Some(chosen) = derived.state.chosen(here.slot.round) else {
        return Vec::new();
    };
    let chains = derived.chains().into_iter();
    let told = chains.filter_map(|chain| {
        let by_marks = derived.closing_by_marks(&chosen.sides, chain)?;
        let now = derived.closing(&chosen.sides, chain)?;
        let side = chain.map_or(String::new(), |side| format!("{side}: "));
        let moved = now.value.apart(by_marks.value);
        let figures = format!(
            "{side}with the shims as measured {} is left, {} from {} by their marks",
            now.value.show(units),
            moved.show(units),
            by_marks.value.show(units)
        );
        Some(if moved > expanded(&now) {
            Feedback::new(
                Tone::Doubt,
                format!("{figures}: more than its ± {}", expanded(&now).show(units)),
            )
        } else {
            Feedback::new(
                Tone::Good,
                format!("{figures}: within its ± {}", expanded(&now).show(units)),
            )
        })
    });
    told.collect()
}
