//! Laying in and closing: every part as it goes in, the wrench, the bolts.

use super::gauges::{instruments, overdue, used_out_of_date};
use super::plain::{
    answer, no_formula, no_words_are, nothing_beside, nothing_expected, nothing_said, reading,
};
use super::refit::oil_of_the_unit_file;
use crate::procedure::definition::Each;
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::capital;
use crate::procedure::row::{
    Against, Beside, FormLimits, From, Here, InPractice, OnForm, OnSheet, Reads, Row, Sight, Times, Timing,
    Work, rows,
};
use crate::quantity::{Length, significant};
use crate::record::form::OpenRows;
use crate::record::phrase::Phrase;
use crate::workshop::{Cover, Measures};

rows! { Assembly:
    /// A layer of a pack is in: shims and plates only, as procedures of version 0.1.0 have it.
    LAYER_IN = Row {
        word: "layer-in",
        each: Some(Each::Layer),
        rests_on: &[&[Field::CHOICE]],
        asked: Timing::EACH_ROUND,
        prompt: |here| here.derived.layer_prompt(here.slot),
        beside: |here| Beside {
            limits: Vec::new(),
            table: None,
            drawing: here
                .derived
                .state
                .chosen(here.slot.round)
                .map_or_else(Vec::new, |chosen| here.derived.draw(chosen)),
        },
        why: no_formula,
        reads: Reads::Done { odd: |_| None },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::Room {
            rows: |_, _| ticks_elsewhere(),
            limits: |derived| vec![derived.job.procedure.spoken.say(Phrase::TickInChoice).to_string()],
        },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// A part is in: shims, springs, plates and rings, in the order in which a hand can lay them in.
    LAID_IN = Row {
        word: "laid-in",
        each: Some(Each::Part),
        rests_on: &[&[Field::CHOICE]],
        asked: Timing {
            work: Some(Work::LaysIn),
            ..Timing::EACH_ROUND
        },
        prompt: |here| here.derived.part_prompt(here.slot),
        beside: |here| Beside {
            limits: Vec::new(),
            table: None,
            drawing: here.derived.laying_picture(here.slot),
        },
        why: no_formula,
        reads: Reads::Done { odd: |_| None },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::Room { rows: |_, _| ticks_elsewhere(), limits: order_of_laying_in },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// In which oil the friction plates were soaked, how long and since when.
    SOAKED = Row {
        word: "soaked",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| here.say(Phrase::OilAndMinutes),
        beside: oil_of_the_unit_file,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: soaked_without_time },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::WithOil { label: "Plates soaked" },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Which torque wrench tightens and proves.
    WRENCH = Row {
        word: "wrench",
        each: None,
        rests_on: &[],
        asked: Timing::ONCE,
        prompt: answer,
        beside: nothing_beside,
        why: wrench_formula,
        reads: Reads::Word {
            fixed: &[],
            ways: |here| instruments(here, |measures| matches!(measures, Measures::Torque { .. })),
            refused: no_words_are,
            reason: overdue,
        },
        after: nothing_said,
        against: Against {
            open: used_out_of_date,
            ..Against::NOTHING
        },
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Wrench) },
    };
    /// Length of an extension in line with the wrench; 0 where there is none.
    WRENCH_EXTENSION = Row {
        word: "wrench-extension",
        each: None,
        rests_on: &[&[Field::WRENCH]],
        asked: Timing::ONCE,
        prompt: reading,
        beside: nothing_beside,
        why: extension_formula,
        reads: Reads::Length {
            from: From::Zero,
            expected: nothing_expected,
            odd: |here, length, _| {
                (length > Length::from_um(1_000_000))
                    .then(|| format!("an extension of {} is long", length.show(here.units())))
            },
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Wrench) },
    };
    /// A bolt group is brought to a stage.
    TIGHTENED = Row {
        word: "tightened",
        each: Some(Each::Bolts),
        rests_on: &[],
        asked: Timing {
            work: Some(Work::Tightens),
            times: Times::Stages(|derived, item| {
                let mut groups = derived.job.unit.bolts.iter();
                let group = groups.find(|bolts| Some(bolts.name.as_str()) == item);
                group.map_or(1, |bolts| bolts.stages.len() as u32 + u32::from(bolts.angle.is_some()))
            }),
            ..Timing::EACH_ROUND
        },
        prompt: |here| {
            let stage = here.derived.stage_words(here.slot).unwrap_or_default();
            here.fill(Phrase::StageOf, &[&capital(here.item()), &here.point().to_string(), &stage])
        },
        beside: |here| Beside::limits(here.derived.bolt_limits(here.slot)),
        why: |here| here.derived.bolt_formula(here.slot),
        reads: Reads::Done {
            odd: |here| here.derived.doubted_torque(here.derived.bolts(here.slot)?, here.slot),
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::Boxes {
            limits: FormLimits::Named,
            caption: |derived, slot| derived.stage_words(slot).unwrap_or_default(),
        },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// A soak of which nobody says how long it was.
fn soaked_without_time(_: &Here<'_>, text: &str) -> Option<String> {
    let mut words = text.split_whitespace();
    // a grade such as 75W-140 is no time
    let time =
        words.any(|word| word.chars().all(|c| c.is_ascii_digit() || c == ':') || word.ends_with("min"));
    (!time).then(|| "it does not say how many minutes, or since when".to_string())
}

/// What is laid in is ticked in the table of the choice.
fn ticks_elsewhere() -> OpenRows {
    OpenRows {
        heads: Vec::new(),
        labels: Vec::new(),
    }
}

fn order_of_laying_in(derived: &Derived<'_>) -> Vec<String> {
    let unit = &derived.job.unit;
    let [first, last] = unit.laid_in();
    let order = match unit.cover() {
        Cover::Both => "each pack from its wall to its ring".to_string(),
        Cover::Left | Cover::Right => {
            format!("{first} from the wall to the ring, then {last} from the ring outwards")
        }
    };
    vec![format!("tick each in the table of the choice: {order}")]
}

/// What the wrench's certificate makes of the middle of the window.
fn wrench_formula(here: &Here<'_>) -> Vec<String> {
    let job = here.derived.job;
    let proof = &job.unit.proof;
    let middle = (proof.least.newton_metres() + proof.most.newton_metres()) / 2.0;
    let mut lines = vec!["u = U/2 · M, with U the certificate's share of the reading (k = 2)".to_string()];
    for one in &job.instruments {
        if let Measures::Torque { relative, .. } = one.measures {
            lines.push(format!(
                "{}: U = {:.1} %; at {middle:.0} N·m u = {} N·m",
                one.id,
                100.0 * relative.value(),
                significant(relative.value() / 2.0 * middle, 2)
            ));
        }
    }
    lines
}

fn extension_formula(here: &Here<'_>) -> Vec<String> {
    let Some((_, length)) = here.derived.wrench() else {
        return Vec::new();
    };
    vec![
        "M_true = M_read · (L + E)/L".to_string(),
        format!(
            "L = {0}; with E = 100.000 mm the bolt gets {1:.3} times what is read",
            length.show(here.units()),
            (length.mm() + 100.0) / length.mm()
        ),
    ]
}
