//! The press: at which height springs were pressed, and what it read.

use super::gauges::{instruments, overdue, used_out_of_date};
use super::plain::{answer, coil_of, no_words_are, nothing_beside, nothing_said, one_of, reading};
use crate::mechanics::Side;
use crate::procedure::ask::{Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::field::{Field, Subject};
use crate::procedure::rounding::in_steps;
use crate::procedure::row::{
    Against, Beside, Expected, From, Here, InPractice, OnForm, OnSheet, Reads, Row, Times, Timing, rows,
};
use crate::quantity::{Force, Length};
use crate::record::phrase::Phrase;
use crate::workshop::Measures;

rows! { Press:
    /// Which press reads the springs, where one does.
    PRESS = Row {
        word: "press",
        each: None,
        rests_on: &[],
        asked: Timing {
            at_all: |derived, _| derived.presses().next().is_some(),
            ..Timing::ONCE
        },
        prompt: answer,
        beside: nothing_beside,
        why: press_formula,
        reads: Reads::Word {
            fixed: &[],
            ways: |here| instruments(here, |measures| matches!(measures, Measures::Force(_))),
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
    /// The height to which the press brings each spring.
    PRESS_HEIGHT = Row {
        word: "spring-force-height",
        each: None,
        rests_on: &[&[Field::PRESS], &[Field::SPRING_HEIGHT, Field::SPRING_FREE]],
        asked: Timing {
            at_all: |derived, _| derived.asks_of_a_press(),
            ..Timing::ONCE
        },
        prompt: reading,
        beside: heights_for_the_window,
        why: press_formula,
        reads: Reads::Length { from: From::UnderLoad, expected: height_for_the_target, odd: far_from_built },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// What a spring presses with there: a stack of discs as a whole, coils one by one.
    SPRING_FORCE = Row {
        word: "spring-force",
        each: Some(Each::Spring),
        rests_on: &[&[Field::PRESS_HEIGHT]],
        asked: Timing {
            at_all: |derived, _| derived.asks_of_a_press(),
            times: Times::Like(|derived| derived.forces_a_place()),
            ..Timing::ONCE
        },
        prompt: |here| match here.derived.job.unit.coils_a_stack() {
            0 => one_of(here, Phrase::Spring),
            coils => coil_of(here, coils),
        },
        beside: forces_by_law,
        why: press_formula,
        reads: Reads::Force { odd: unlike_these_springs },
        after: |here, _| read_against_law(here),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

fn press_formula(here: &Here<'_>) -> Vec<String> {
    let mut lines = vec![
        "F built in = F read · F by law at the built height / F by law at the height in the press"
            .to_string(),
        "u² = u_cal² + (step/√12)² + (rate · u_height)²".to_string(),
    ];
    lines.extend(here.derived.presses().map(|(id, press)| {
        format!(
            "{id}: ± {:.1} % of what it reads, heights ± {}",
            100.0 * press.relative.value(),
            press.height.show(here.units())
        )
    }));
    lines
}

/// The height of one stack at which it gives the target by its law.
fn built_height(here: &Here<'_>) -> Option<Length> {
    let derived = &here.derived;
    let chain = derived.chains().first().copied()?;
    let window = derived.window(chain).ok()?;
    Some(derived.spring_height(window.target))
}

fn height_for_the_target(here: &Here<'_>) -> Option<Expected> {
    let height = built_height(here)?;
    Some(Expected {
        length: height,
        share: 0.1,
        what: format!("the {} at which it should be built in", height.show(here.units())),
    })
}

/// The law is sure near the height that it was read at only.
fn far_from_built(here: &Here<'_>, length: Length, expected: Option<&Expected>) -> Option<String> {
    super::plain::far_from_expected(here, length, expected)
        .map(|words| format!("{words}: read there, the law has to bridge the rest"))
}

fn heights_for_the_window(here: &Here<'_>) -> Beside {
    let units = here.units();
    Beside::limits(built_height(here).map(|height| {
        format!(
            "press to the height that it will be built in at, for the target by its law: {}",
            in_steps(height).show(units)
        )
    }))
}

/// Between what a reading lies by law and tolerance: of a whole stack, or of one coil.
fn by_law(here: &Here<'_>) -> Option<[Force; 2]> {
    let derived = &here.derived;
    let spring = derived.job.unit.spring.as_ref()?;
    let chain = match derived.job.unit.is_through() {
        true => None,
        false => here.side(),
    };
    let law = derived
        .stack_by_law(chain)?
        .force_at_height(derived.height_in_the_press()?)
        .ok()?;
    let one = law.newtons() / f64::from(derived.forces_a_place());
    let [least, most] = spring
        .tolerance
        .times()
        .map(|times| Force::from_newtons(times * one).ok());
    Some([least?, most?])
}

fn forces_by_law(here: &Here<'_>) -> Beside {
    let units = here.units();
    Beside::limits(by_law(here).map(|[least, most]| {
        format!(
            "by its law and its tolerance {} to {}",
            least.show(units),
            most.show(units)
        )
    }))
}

fn unlike_these_springs(here: &Here<'_>, force: Force) -> Option<String> {
    let units = here.units();
    let press = here.derived.press();
    if let Some(most) = press
        .and_then(|press| press.reads_most)
        .filter(|most| force > *most)
    {
        return Some(format!(
            "{} is more than the {} that this press reads",
            force.show(units),
            most.show(units)
        ));
    }
    let [least, most] = by_law(here)?;
    // a spring that has settled, or a height a little off, is no other spring
    let slack = 0.1 * most.newtons();
    let near = least.newtons() - slack..=most.newtons() + slack;
    (!near.contains(&force.newtons())).then(|| {
        format!(
            "{} is far from the {} to {} that these springs give there: another unit of force, another height, or another \
             spring?",
            force.show(units),
            least.show(units),
            most.show(units)
        )
    })
}

/// What all readings together say against the law, once they are all there.
fn read_against_law(here: &Here<'_>) -> Vec<Feedback> {
    let derived = &here.derived;
    let Some(spring) = derived.job.unit.spring.as_ref() else {
        return Vec::new();
    };
    let chain = match derived.job.unit.is_through() {
        true => None,
        false => here.side().or(Some(Side::Left)),
    };
    let told = (|| {
        let read = derived.read_force(chain)?;
        let law = derived.stack_by_law(chain)?.force_at_height(read.height).ok()?;
        let times = read.force.newtons() / law.newtons();
        let [least, most] = spring.tolerance.times();
        let tone = match (least..=most).contains(&times) {
            true => Tone::Good,
            false => Tone::Doubt,
        };
        let percent = 100.0 * (times - 1.0).abs();
        let beside = match times < 1.0 {
            _ if percent < 0.5 => "As by its law".to_string(),
            true => format!("{percent:.0} % less than by its law"),
            false => format!("{percent:.0} % more than by its law"),
        };
        let words = format!("{beside}; from here on what the press has read counts");
        Some(Feedback::new(tone, words))
    })();
    told.into_iter().collect()
}
