//! The micrometer and the depth gauge, and what they show on their standards.

use super::plain::{answer, no_words_are, nothing_beside, nothing_said, reading, unlike};
use crate::mechanics::Side;
use crate::metrology::{Instrument, reading_uncertainty};
use crate::procedure::ask::{AnswerOption, Feedback, Tone};
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::signed;
use crate::procedure::measured::{as_instrument, gauge_of};
use crate::procedure::row::{
    Against, Beside, Expected, From, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Timing, rows,
};
use crate::quantity::{Length, Units, significant};
use crate::record::{Slot, Value};
use crate::workshop::{Gauge, Measures};

rows! { Gauges:
    /// Which micrometer measures the plates.
    MICROMETER = Row {
        word: "micrometer",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: |here| gauges_formula(here, thickness),
        reads: Reads::Word {
            fixed: &[],
            ways: |here| instruments(here, |measures| thickness(measures).is_some()),
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
        practice: InPractice::NOTHING,
    };
    /// What the micrometer shows on its standard, less the standard.
    MICROMETER_ZERO = Row {
        word: "micrometer-zero",
        each: None,
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: |here| standards(here, Field::MICROMETER, thickness),
        why: |here| {
            let mut lines = zero_error(here, Field::MICROMETER);
            lines.extend(zero_formula(&here.derived));
            lines
        },
        reads: Reads::Length {
            from: From::Below,
            expected: |here| standard(here, Field::MICROMETER),
            odd: unlike,
        },
        after: |here, _| told_zero(here, here.derived.micrometer()),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::MicrometerStandard), sees: None },
    };
    /// Which gauge measures depths and gaps.
    DEPTH_GAUGE = Row {
        word: "depth-gauge",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: |here| gauges_formula(here, depth),
        reads: Reads::Word {
            fixed: &[],
            ways: |here| instruments(here, |measures| depth(measures).is_some()),
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
        practice: InPractice::NOTHING,
    };
    /// What the depth gauge shows on its standard, less the standard.
    DEPTH_GAUGE_ZERO = Row {
        word: "depth-gauge-zero",
        each: None,
        rests_on: &[&[Field::DEPTH_GAUGE]],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: |here| standards(here, Field::DEPTH_GAUGE, depth),
        why: |here| {
            let mut lines = zero_error(here, Field::DEPTH_GAUGE);
            lines.extend(depth_zero_formula(&here.derived));
            lines
        },
        reads: Reads::Length {
            from: From::Below,
            expected: |here| standard(here, Field::DEPTH_GAUGE),
            odd: unlike,
        },
        after: |here, _| told_zero(here, here.derived.depth_gauge()),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::DepthGaugeStandard), sees: None },
    };
}

fn thickness(measures: &Measures) -> Option<&Gauge> {
    match measures {
        Measures::Thickness(gauge) => Some(gauge),
        Measures::Depth(_) | Measures::Torque { .. } | Measures::Force(_) => None,
    }
}

fn depth(measures: &Measures) -> Option<&Gauge> {
    match measures {
        Measures::Depth(gauge) => Some(gauge),
        Measures::Thickness(_) | Measures::Torque { .. } | Measures::Force(_) => None,
    }
}

/// The instruments of a kind, each with its certificate.
pub(super) fn instruments(here: &Here<'_>, wanted: fn(&Measures) -> bool) -> Vec<AnswerOption> {
    let today = here.derived.today();
    let instruments = here.derived.job.instruments.iter();
    instruments
        .filter(|one| wanted(&one.measures))
        .map(|one| {
            let state = if one.due.as_str() < today.as_str() {
                "OUT OF DATE since"
            } else {
                "calibrated to"
            };
            let measures = measures_words(&one.measures, here.units());
            AnswerOption::new(&one.id, format!("{measures}, {state} {}", one.due))
        })
        .collect()
}

/// What an instrument does, in a few words.
fn measures_words(measures: &Measures, units: Units) -> String {
    match measures {
        Measures::Thickness(gauge) | Measures::Depth(gauge) => format!(
            "reads to {}, ± {} by its certificate",
            gauge.resolution.show(units),
            gauge.calibration.show(units)
        ),
        Measures::Force(press) => {
            let most = press
                .reads_most
                .map(|most| format!(", up to {}", most.show(units)));
            format!(
                "reads to {}{}, ± {:.1} % by its certificate, heights ± {}",
                press.resolution.show(units),
                most.unwrap_or_default(),
                press.relative.value() * 100.0,
                press.height.show(units)
            )
        }
        Measures::Torque {
            relative,
            length,
            reads,
        } => {
            let range = match reads {
                [Some(least), Some(most)] => format!(", reads {} to {}", least.show(units), most.show(units)),
                [None, Some(most)] => format!(", reads up to {}", most.show(units)),
                [Some(least), None] => format!(", reads from {}", least.show(units)),
                [None, None] => String::new(),
            };
            format!(
                "± {:.1} % by its certificate, {} long{range}",
                relative.value() * 100.0,
                length.show(units)
            )
        }
    }
}

/// An instrument is taken out of date with a reason only. What is in date now says nothing of an old paper's day.
pub(super) fn overdue(here: &Here<'_>, word: &str) -> Option<String> {
    let job = here.derived.job;
    if job.copies_paper() {
        return None;
    }
    let instrument = job.instruments.iter().find(|one| one.id == word)?;
    (instrument.due.as_str() < here.derived.today().as_str()).then(|| {
        format!(
            "{word} was due for calibration on {}: take another, or say why it is used all the same",
            instrument.due
        )
    })
}

pub(super) fn used_out_of_date(_: &Slot, value: &Value, _: u32) -> Option<String> {
    match value {
        Value::Word { word, reason } if !reason.is_empty() => {
            Some(format!("{word} was used out of date: {reason}"))
        }
        _ => None,
    }
}

/// What one reading of each instrument of a kind is worth.
fn gauges_formula(here: &Here<'_>, of_kind: fn(&Measures) -> Option<&Gauge>) -> Vec<String> {
    let units = here.units();
    let mut lines = vec!["u² = (step/√12)² + s² + u_cal² + u_zero²  for one reading".to_string()];
    for one in &here.derived.job.instruments {
        let Some(gauge) = of_kind(&one.measures) else {
            continue;
        };
        let instrument = as_instrument(&one.id, gauge);
        if let Ok(budget) = reading_uncertainty(&instrument, 1) {
            lines.push(format!(
                "{}: step {}, s {}, u_cal {}, u_zero {}: u = {} µm",
                one.id,
                gauge.resolution.bare(units),
                gauge.repeatability.bare(units),
                instrument.calibration.show(units),
                instrument.zero.show(units),
                significant(budget.combined().um(), 2)
            ));
        }
    }
    lines
}

/// The gauge that was taken for a field.
fn taken<'a>(here: &Here<'a>, by: Field) -> Option<(&'a str, &'a Gauge)> {
    let (id, _) = here.derived.state.word(by, 1, None)?;
    let instrument = here.derived.job.instruments.iter().find(|one| one.id == id)?;
    Some((id, gauge_of(&instrument.measures)?))
}

fn standard(here: &Here<'_>, by: Field) -> Option<Expected> {
    let standard = taken(here, by)?.1.standard;
    Some(Expected {
        length: standard,
        share: 0.002,
        what: format!("its standard of {standard}"),
    })
}

/// The standard of the gauge that was taken, or of all of its kind: on a form it is not known yet which one it will be.
fn standards(here: &Here<'_>, by: Field, of_kind: fn(&Measures) -> Option<&Gauge>) -> Beside {
    let told =
        |id: &str, gauge: &Gauge| format!("the standard of {id} is {}", gauge.standard.show(here.units()));
    match taken(here, by) {
        Some((id, gauge)) => Beside::limits([told(id, gauge)]),
        None => {
            let instruments = here.derived.job.instruments.iter();
            Beside::limits(instruments.filter_map(|one| Some(told(&one.id, of_kind(&one.measures)?))))
        }
    }
}

fn zero_error(here: &Here<'_>, by: Field) -> Vec<String> {
    let known = taken(here, by).map(|_| "zero error = shown − standard".to_string());
    known.into_iter().collect()
}

/// How often a zero error counts in one chain.
fn zero_formula(derived: &Derived<'_>) -> Vec<String> {
    let (unit, units) = (&derived.job.unit, derived.state.units);
    let links = |side: Side| unit.packs[side.index()].order.len() + 1;
    let count = if unit.is_through() {
        links(Side::Left) + links(Side::Right)
    } else {
        links(Side::Left)
    };
    let one = Length::from_um(10);
    vec![format!(
        "{count} plates and rings are in one chain: {} that is not taken off makes {}",
        one.show(units),
        (one * count as i64).show(units)
    )]
}

/// What a zero error of the depth gauge leaves in one chain: it is on the depth, and on each spring's height, from
/// which the wanted room follows.
fn depth_zero_formula(derived: &Derived<'_>) -> Vec<String> {
    let units = derived.state.units;
    let stacks = match derived.job.unit.spring {
        Some(_) => derived.stacks_a_chain(),
        None => 0,
    };
    let one = Length::from_um(10);
    vec![
        "room − wanted room = zero error · (N − 1), with N spring stacks in the chain".to_string(),
        format!(
            "{} that is not taken off: · ({stacks} − 1) = {}",
            one.show(units),
            (one * (stacks - 1)).show(units)
        ),
    ]
}

fn told_zero(here: &Here<'_>, gauge: Option<(Instrument, Length)>) -> Vec<Feedback> {
    let said = gauge.map(|(_, zero)| {
        let words = match zero == Length::ZERO {
            true => "no zero error; its readings stand as they are".to_string(),
            false => format!(
                "zero error {}; it is taken off every reading",
                signed(zero, here.units())
            ),
        };
        Feedback::new(Tone::Plain, words)
    });
    said.into_iter().collect()
}
