//! Each plate of the unit and each spare: its look, its thickness, how far it is out of flat.

use super::plain::{
    far_from_expected, far_from_the_others, least_of, no_formula, no_words_are, nothing_beside,
    nothing_expected, nothing_said, plate, plate_reading,
};
use crate::metrology::Verdict;
use crate::procedure::ask::{AnswerOption, Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::feedback::tone_of;
use crate::procedure::field::{Field, Subject};
use crate::procedure::looks::{LOOKS, words_of};
use crate::procedure::row::{
    Against, Beside, Expected, FormLimits, From, Here, InPractice, Measurand, OnForm, OnRail, OnSheet, Reads,
    Row, Sight, Timing, rows,
};
use crate::quantity::Length;
use crate::record::RemarkKind;
use crate::record::phrase::Phrase;

rows! { Plates:
    /// How a plate looks.
    PLATE_LOOK = Row {
        word: "plate-look",
        each: Some(Each::Plate),
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: plate,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Word {
            fixed: &words_of(LOOKS),
            ways: |_| looks(),
            refused: no_words_are,
            reason: no_words_are,
        },
        after: |here, _| rejected_by_its_look(here),
        against: Against {
            // what was seen of a plate goes against nothing
            kind: RemarkKind::Note,
            ..Against::NOTHING
        },
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: Some(OnRail::Look),
        practice: InPractice { takes: None, sees: Some(Sight::Plate) },
    };
    /// Thickness of a plate.
    PLATE_THICKNESS = Row {
        word: "plate-thickness",
        each: Some(Each::Plate),
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing::EACH_ROUND,
        prompt: plate_reading,
        beside: |here| Beside::limits([thickness_limits(here)]),
        why: thickness_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: a_new_plate,
            odd: odd_thickness,
        },
        after: |here, _| judged(here, false),
        against: Against::NOTHING,
        form: OnForm::Boxes { limits: FormLimits::Bare, caption: |_, _| String::new() },
        sheet: OnSheet::InTables,
        on_rail: Some(OnRail::Reading),
        practice: InPractice { takes: Some(Measurand::PlateThickness), sees: None },
    };
    /// How far a plate is out of flat.
    PLATE_FLATNESS = Row {
        word: "plate-flatness",
        each: Some(Each::Plate),
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: plate,
        beside: flatness_limit,
        why: flatness_formula,
        reads: Reads::Length {
            from: From::Leaf,
            expected: nothing_expected,
            odd: odd_flatness,
        },
        after: |here, _| flat_or_not(here),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: Some(OnRail::Flatness),
        practice: InPractice { takes: Some(Measurand::PlateBow), sees: None },
    };
    /// Thickness of a spare plate.
    SPARE_THICKNESS = Row {
        word: "spare-thickness",
        each: Some(Each::Spare),
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing::EACH_ROUND,
        prompt: plate_reading,
        beside: |here| Beside::limits([thickness_limits(here)]),
        why: thickness_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: a_new_plate,
            odd: odd_thickness,
        },
        after: |here, _| judged(here, false),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::PlateThickness), sees: None },
    };
    /// How far a spare plate is out of flat.
    SPARE_FLATNESS = Row {
        word: "spare-flatness",
        each: Some(Each::Spare),
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: plate,
        beside: flatness_limit,
        why: flatness_formula,
        reads: Reads::Length {
            from: From::Leaf,
            expected: nothing_expected,
            odd: odd_flatness,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::PlateBow), sees: None },
    };
}

fn looks() -> Vec<AnswerOption> {
    LOOKS
        .iter()
        .map(|(word, words, rejects)| {
            let rejects = if *rejects { " (rejects it)" } else { "" };
            AnswerOption::new(word, format!("{words}{rejects}"))
        })
        .collect()
}

fn rejected_by_its_look(here: &Here<'_>) -> Vec<Feedback> {
    let item = here.item();
    if !here.derived.look_rejects(item) {
        return Vec::new();
    }
    let words =
        format!("{item} is rejected; it is still measured, for what the unit was left with last time");
    vec![Feedback::new(Tone::Bad, words)]
}

pub(super) fn thickness_limits(here: &Here<'_>) -> String {
    let (derived, units) = (&here.derived, here.units());
    format!(
        "at least {}; spread at most {}",
        least_of(derived, here.item()).show(units),
        derived.job.unit.limits.spread.show(units)
    )
}

pub(super) fn thickness_formula(here: &Here<'_>) -> Vec<String> {
    let (derived, units) = (&here.derived, here.units());
    let Some((instrument, zero)) = derived.micrometer() else {
        return Vec::new();
    };
    vec![
        "thickness = reading − zero error;  u² = (step/√12)² + s² + u_cal²".to_string(),
        format!(
            "zero error {}; step {}, s {}, u_cal {}",
            zero.show(units),
            instrument.resolution.show(units),
            instrument.repeatability.show(units),
            instrument.calibration.show(units)
        ),
        format!(
            "inside when P(least ≥ {}) ≥ {:.2}",
            least_of(derived, here.item()).show(units),
            derived.job.unit.limits.confidence
        ),
    ]
}

pub(super) fn a_new_plate(here: &Here<'_>) -> Option<Expected> {
    let (job, name) = (here.derived.job, here.slot.item.as_deref()?);
    let spare = || job.drawer.spares.iter().find(|plate| plate.name == name);
    let plate = job.unit.plate(name).or_else(spare)?;
    Some(Expected {
        length: plate.nominal,
        share: 0.25,
        what: format!("the {} of a new plate {name}", plate.nominal),
    })
}

pub(super) fn odd_thickness(here: &Here<'_>, length: Length, expected: Option<&Expected>) -> Option<String> {
    far_from_expected(here, length, expected)
        .or_else(|| thicker_than_new(here, length, expected?.length))
        .or_else(|| far_from_the_others(here, length))
}

/// A plate that is thicker than it was when new: no wear does that.
fn thicker_than_new(here: &Here<'_>, length: Length, new: Length) -> Option<String> {
    let (derived, units) = (&here.derived, here.units());
    let zero = derived.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
    // a new plate may be over its nominal by as much as it may be uneven
    let room = derived.job.unit.limits.spread.max(Length::from_um(20));
    (length - zero - new > room).then(|| {
        format!(
            "{} is thicker than the {} of a new plate: a burr, dirt, a tab, or another plate",
            length.show(units),
            new.show(units)
        )
    })
}

/// What the readings of a plate come to so far; with those of a second measurement where `again`.
pub(super) fn judged(here: &Here<'_>, again: bool) -> Vec<Feedback> {
    let (derived, item) = (&here.derived, here.item());
    if !derived.may_tell(item) {
        return Vec::new();
    }
    let plate = derived.plate(item, again);
    if here.is_last_point() {
        let tone = plate.verdict.map_or(Tone::Plain, tone_of);
        return vec![Feedback::new(
            tone,
            format!("{item}: {}", derived.plate_words(item, again)),
        )];
    }
    let why = if plate.reason.is_empty() {
        String::new()
    } else {
        format!("; {}", plate.reason)
    };
    let so_far = plate.verdict.map(|verdict| {
        let so_far = here.fill(Phrase::SoFar, &[here.verdict_said(verdict)]);
        Feedback::new(tone_of(verdict), format!("{item}: {so_far}{why}"))
    });
    so_far.into_iter().collect()
}

fn flatness_limit(here: &Here<'_>) -> Beside {
    let most = here.derived.job.unit.limits.flatness;
    Beside::limits([format!("at most {}", most.show(here.units()))])
}

fn flatness_formula(here: &Here<'_>) -> Vec<String> {
    let most = here.derived.job.unit.limits.flatness.show(here.units());
    vec![
        "a feeler goes under or it does not: the limit is held as it stands".to_string(),
        format!("inside when the feeler ≤ {most}"),
    ]
}

fn odd_flatness(here: &Here<'_>, length: Length, _: Option<&Expected>) -> Option<String> {
    (length > Length::from_um(1_000)).then(|| format!("{} out of flat is much", length.show(here.units())))
}

fn flat_or_not(here: &Here<'_>) -> Vec<Feedback> {
    let (item, units) = (here.item(), here.units());
    if !here.derived.may_tell(item) {
        return Vec::new();
    }
    let most = here.derived.job.unit.limits.flatness;
    let said = here.derived.plate(item, false).flatness.map(|flatness| {
        let held = if flatness > most {
            Verdict::Outside
        } else {
            Verdict::Inside
        };
        let words = format!(
            "{item}: out of flat by {}, at most {}: {held}",
            flatness.show(units),
            most.show(units)
        );
        Feedback::new(tone_of(held), words)
    });
    said.into_iter().collect()
}
