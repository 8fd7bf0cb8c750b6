//! The parts of the chain beside the plates: springs, rings, case, and a pack that is pressed together.

use super::plain::{
    coil_of, far_from_expected, no_formula, no_words_are, nothing_beside, nothing_said, one_of, reading_of,
    unlike,
};
use crate::mechanics::Side;
use crate::procedure::ask::{AnswerOption, Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::expanded;
use crate::procedure::looks::{SPRING_LOOKS, TURNED, spring_goes, words_of};
use crate::procedure::row::{
    Against, Beside, Expected, From, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Sight, Times,
    Timing, rows,
};
use crate::quantity::{Force, Length};
use crate::record::Value;
use crate::record::phrase::Phrase;
use crate::workshop::{Aim, Cover, Depth, SpringKind, ramp_words};

rows! { Parts:
    /// How a spring looks.
    SPRING_LOOK = Row {
        word: "spring-look",
        each: Some(Each::Spring),
        rests_on: &[],
        asked: Timing {
            too_late_after: Some((
                Field::SPRING_HEIGHT,
                "a spring is looked at before its height is measured: another one may take its place",
            )),
            times: Times::UntilRight(|derived, item| {
                let looks = derived.spring_looks(item);
                let open = looks.last().is_none_or(|look| spring_goes(look));
                looks.len() as u32 + u32::from(open)
            }),
            ..Timing::EACH_ROUND
        },
        prompt: |here| {
            let spring = one_of(here, Phrase::Spring);
            match here.slot.point {
                Some(look) => here.fill(Phrase::LookAt, &[&spring, &look.to_string()]),
                None => spring,
            }
        },
        beside: where_springs_fail,
        why: no_formula,
        reads: Reads::Word {
            fixed: &words_of(SPRING_LOOKS),
            ways: spring_looks,
            refused: no_words_are,
            reason: no_words_are,
        },
        after: |_, value| after_spring_look(value),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Spring) },
    };
    /// Free height of a spring.
    SPRING_HEIGHT = Row {
        word: "spring-height",
        each: Some(Each::Spring),
        rests_on: &[&[Field::DEPTH_GAUGE]],
        asked: Timing {
            // where each coil is measured there is no height for all of them
            at_all: |derived, _| !derived.job.asks(Field::SPRING_FREE) || derived.springs().into_iter().any(|item| derived.coils_left_out(item.map(Side::word))),
            ..Timing::EACH_ROUND
        },
        prompt: |here| one_of(here, Phrase::Spring),
        beside: spring_limits,
        why: spring_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: |here| {
                let free = here.derived.job.unit.spring.as_ref()?.stack.free_height();
                Some(Expected { length: free, share: 0.15, what: format!("the {free} of a new spring") })
            },
            odd: unlike,
        },
        after: after_spring_height,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::SpringHeight), sees: Some(Sight::Spring) },
    };
    /// Thickness of the discs that lie in a place, where the unit's file wants it.
    SPRING_THICKNESS = Row {
        word: "spring-thickness",
        each: Some(Each::Spring),
        rests_on: &[&[Field::MICROMETER], &[Field::SPRING_HEIGHT]],
        asked: Timing {
            at_all: |derived, _| derived.asks_of_thickness(),
            ..Timing::ONCE
        },
        prompt: |here| one_of(here, Phrase::Discs),
        beside: listed_thickness,
        why: disc_formula,
        reads: Reads::Length {
            from: From::OfDiscs,
            expected: |here| {
                let thickness = here.derived.job.unit.spring.as_ref()?.stack.thickness()?;
                Some(Expected { length: thickness, share: 0.05, what: format!("the {} of the unit file", thickness.show(here.units())) })
            },
            odd: far_from_expected,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Free height of each coil that lies in a place, one after the other.
    SPRING_FREE = Row {
        word: "spring-free",
        each: Some(Each::Spring),
        rests_on: &[&[Field::DEPTH_GAUGE]],
        asked: Timing {
            times: Times::Like(|derived| derived.job.unit.coils_a_stack()),
            ..Timing::ONCE
        },
        prompt: |here| {
            coil_of(here, here.derived.job.unit.coils_a_stack())
        },
        beside: spring_limits,
        why: spring_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: |here| {
                let free = here.derived.job.unit.spring.as_ref()?.stack.free_height();
                Some(Expected { length: free, share: 0.15, what: format!("the {free} of a new spring") })
            },
            odd: unlike,
        },
        after: after_spring_height,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::SpringHeight), sees: Some(Sight::Spring) },
    };
    /// Height of a pressure ring.
    RING_HEIGHT = Row {
        word: "ring-height",
        each: Some(Each::Side),
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing::EACH_ROUND,
        prompt: |here| reading_of(here, Phrase::Ring),
        beside: rings_of_the_setting,
        why: listed_chain,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: |here| {
                let ring = *here.derived.job.unit.rings.get(here.side()?.index())?;
                Some(Expected { length: ring, share: 0.1, what: format!("the {ring} of the unit file") })
            },
            odd: unlike,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::RingHeight), sees: None },
    };
    /// Depth of the case.
    CASE_DEPTH = Row {
        word: "case-depth",
        each: Some(Each::Chain),
        rests_on: &[&[Field::DEPTH_GAUGE]],
        asked: Timing::EACH_ROUND,
        prompt: |here| reading_of(here, Phrase::Depth),
        beside: depth_faces,
        why: listed_chain,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: |here| {
                let depth = listed_depth(here)?;
                Some(Expected { length: depth, share: 0.05, what: format!("the {depth} of the unit file") })
            },
            odd: unlike,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::CaseDepth), sees: None },
    };
    /// Height of a pack of plates, pressed together.
    PRESSED_HEIGHT = Row {
        word: "pressed-height",
        each: Some(Each::Side),
        rests_on: &[&[Field::DEPTH_GAUGE]],
        asked: Timing::EACH_ROUND,
        prompt: |here| reading_of(here, Phrase::Pack),
        beside: nothing_beside,
        why: pressed_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: pack_of_its_plates,
            odd: unlike,
        },
        after: |here, _| against_its_plates(here),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::PressedPack), sees: None },
    };
}

fn spring_looks(here: &Here<'_>) -> Vec<AnswerOption> {
    let kind = here.derived.job.unit.spring.as_ref().map(|spring| spring.kind);
    let discs = matches!(kind, Some(SpringKind::Discs { .. }));
    SPRING_LOOKS
        .iter()
        // a coil has no wrong way round
        .filter(|(word, ..)| discs || *word != TURNED)
        .map(|(word, words, _)| match (*word, discs) {
            ("good", false) => AnswerOption::new(word, "whole, even, upright, no turn rubbed bright"),
            _ => AnswerOption::new(word, *words),
        })
        .collect()
}

/// What is looked for in a spring of the kind that lies in this unit.
fn where_springs_fail(here: &Here<'_>) -> Beside {
    let spring = here.derived.job.unit.spring.iter();
    Beside::limits(spring.map(|spring| match spring.kind {
        SpringKind::Discs { parallel, series, .. } => format!(
            "disc springs; they lie right as {}; cracks begin at the inner edge",
            arrangement(parallel, series)
        ),
        SpringKind::Coils { count, .. } => format!(
            "coil springs, {count} side by side: cracks begin on the inside of a turn; see for turns that touch, a coil that leans, \
             ends worn hollow"
        ),
    }))
}

/// How the discs of a stack lie when they lie right.
fn arrangement(parallel: u32, series: u32) -> String {
    match (parallel, series) {
        (1, 1) => "one disc alone".to_string(),
        (_, 1) => format!("{parallel} discs, one in the other, all the same way round"),
        (1, _) => format!("{series} discs, each against the next, as in a closed shell"),
        _ => format!(
            "{series} packets, each against the next, of {parallel} discs one in the other and the same way round"
        ),
    }
}

/// From which face to which the depth is read, in the layout of the unit.
fn depth_faces(here: &Here<'_>) -> Beside {
    let wall = match here.derived.job.unit.cover() {
        Cover::Left => "right",
        Cover::Right | Cover::Both => "left",
    };
    Beside::limits([match here.side() {
        None => format!(
            "cover off, case empty: from the face that the cover sits on down to the {wall} wall, over the room of both packs"
        ),
        Some(side) => format!(
            "case empty: on the {side}, from the face that the {side} pack is closed by to the {side} wall; the room of this pack only"
        ),
    }])
}

fn after_spring_look(value: &Value) -> Vec<Feedback> {
    match value {
        Value::Word { word, .. } if word == TURNED => vec![Feedback::new(
            Tone::Doubt,
            "lay its discs as the unit file says, and look at it again",
        )],
        Value::Word { word, .. } if spring_goes(word) => vec![Feedback::new(
            Tone::Bad,
            "this spring does not go back in: take a new one of the same kind, which is looked at next",
        )],
        _ => Vec::new(),
    }
}

fn spring_limits(here: &Here<'_>) -> Beside {
    let units = here.units();
    let spring = here.derived.job.unit.spring.iter();
    Beside::limits(spring.map(|spring| {
        let least = spring
            .least_height
            .map(|least| format!(", at least {}", least.show(units)));
        let of_what = match spring.kind {
            SpringKind::Discs { .. } => "the stack, all its discs together",
            SpringKind::Coils { count: 1, .. } => "the coil, standing alone",
            SpringKind::Coils { .. } => "the coils, each standing alone: their mean",
        };
        format!(
            "{of_what}: new {}{}",
            spring.stack.free_height().show(units),
            least.unwrap_or_default()
        )
    }))
}

/// What a spring that has settled costs at the height for the target.
fn spring_formula(here: &Here<'_>) -> Vec<String> {
    let unit = &here.derived.job.unit;
    let (Some(spring), Aim::Preload { target, .. }) = (&unit.spring, unit.aim) else {
        return Vec::new();
    };
    let units = here.units();
    let Some(height) = spring.stack.heights_for_force(target).first().copied() else {
        return Vec::new();
    };
    let mut lines =
        vec!["F at the installed height follows from the travel: free height − installed height".to_string()];
    let settled = Length::from_um(100);
    // a spring that is lower by so much travels less by so much
    if let Ok(lost) = spring.stack.loss_for_wear(height, settled) {
        lines.push(format!(
            "{} − {} = {} for {target}; {} lower and the same room: about {lost} less",
            spring.stack.free_height().show(units),
            height.show(units),
            (spring.stack.free_height() - height).show(units),
            settled.show(units)
        ));
    }
    lines
}

fn listed_thickness(here: &Here<'_>) -> Beside {
    let (derived, units) = (&here.derived, here.units());
    let listed = derived.job.unit.spring.as_ref();
    let listed = listed.and_then(|spring| spring.stack.thickness());
    let before = derived.discs_known_before(here.side()).map(|(thickness, build)| {
        format!(
            "measured for {build}: {}, which goes on to count where this is left out",
            thickness.show(units)
        )
    });
    Beside::limits(
        listed
            .map(|thickness| format!("listed {}", thickness.show(units)))
            .into_iter()
            .chain(before),
    )
}

/// How the force hangs on the thickness, at the height for the target.
fn disc_formula(here: &Here<'_>) -> Vec<String> {
    let (derived, units) = (&here.derived, here.units());
    let mut lines = super::plates::thickness_formula(here);
    lines.push(
        "F by height and thickness as measured; what is left is 3 % standard, within DIN EN 16983"
            .to_string(),
    );
    let chain = derived.chains().first().copied();
    let gained = chain.and_then(|chain| {
        let stack = derived.stack_by_law(chain)?;
        let height = derived.spring_height(derived.window(chain).ok()?.target);
        let rate = stack.thickness_rate_at(height).ok()?;
        let gained = Force::from_newtons(rate.newtons_per_mm() * 0.01).ok()?;
        Some(format!(
            "at {} each 0.01 mm of thickness gives {} more",
            height.show(units),
            gained.show(units)
        ))
    });
    lines.extend(gained);
    lines
}

fn after_spring_height(here: &Here<'_>, value: &Value) -> Vec<Feedback> {
    match (here.derived.job.unit.least_spring_height(), value) {
        (Some(least), Value::Length(nm)) if Length::from_nm(*nm) < least => vec![Feedback::new(
            Tone::Bad,
            format!(
                "below the least of {}: this spring has settled and wants to be replaced",
                least.show(here.units())
            ),
        )],
        _ => Vec::new(),
    }
}

fn rings_of_the_setting(here: &Here<'_>) -> Beside {
    let rework = here.derived.job.rework.iter();
    Beside::limits(rework.map(|rework| {
        format!(
            "by the setting, the rings that go in: drive {}, coast {}",
            ramp_words(rework.setting.drive),
            ramp_words(rework.setting.coast)
        )
    }))
}

/// The depth of the unit file that a question is about.
fn listed_depth(here: &Here<'_>) -> Option<Length> {
    match (here.derived.job.unit.depth, here.side()) {
        (Depth::Through(depth), _) => Some(depth),
        (Depth::PerSide(depths), Some(side)) => depths.get(side.index()).copied(),
        (Depth::PerSide(_), None) => None,
    }
}

/// The chain with the figures of the unit file.
fn listed_chain(here: &Here<'_>) -> Vec<String> {
    let (unit, units) = (&here.derived.job.unit, here.units());
    let chain = match unit.depth {
        Depth::Through(_) => None,
        Depth::PerSide(_) => here.side(),
    };
    let Some(depth) = listed_depth(here) else {
        return Vec::new();
    };
    let sides: Vec<Side> = Side::BOTH
        .into_iter()
        .filter(|side| chain.is_none_or(|one| one == *side))
        .collect();
    let rings: Length = sides.iter().map(|side| unit.rings[side.index()]).sum();
    let packs = || sides.iter().map(|side| &unit.packs[side.index()]);
    let plates: Length = packs()
        .flat_map(|pack| &pack.order)
        .filter_map(|name| unit.plate(name))
        .map(|plate| plate.nominal)
        .sum();
    let shims: Length = packs().flat_map(|pack| &pack.shims).copied().sum();
    vec![
        "what is left = depth − rings − Σ plates − Σ shims".to_string(),
        format!(
            "by the unit file: {} − {} − {} − {} = {}",
            depth.bare(units),
            rings.bare(units),
            plates.bare(units),
            shims.bare(units),
            (depth - rings - plates - shims).show(units)
        ),
    ]
}

fn pressed_formula(here: &Here<'_>) -> Vec<String> {
    let (derived, units) = (&here.derived, here.units());
    let mut lines = vec![
        "sum of N plates: u_cal counts N times, the rest √N times".to_string(),
        "pack pressed together: u_cal counts once".to_string(),
    ];
    if let (Some(side), Some((micrometer, _)), Some((gauge, _))) =
        (here.side(), derived.micrometer(), derived.depth_gauge())
    {
        let count = derived.found()[side.index()].plates.len() as i64;
        lines.push(format!(
            "N = {count}: {} of calibration in the sum, {} in the pack pressed together",
            (micrometer.calibration * count).show(units),
            gauge.calibration.show(units)
        ));
    }
    lines
}

fn pack_of_its_plates(here: &Here<'_>) -> Option<Expected> {
    let derived = &here.derived;
    let names = &derived.found()[here.side()?.index()].plates;
    let (length, what) = if derived.packs_are_whole() {
        let new: Length = names
            .iter()
            .filter_map(|name| derived.job.unit.plate(name))
            .map(|plate| plate.nominal)
            .sum();
        (new, format!("the {new} that its plates add up to when new"))
    } else {
        let sum: Option<Length> = names
            .iter()
            .map(|name| derived.plate(name, false).measured.map(|one| one.value))
            .sum();
        (sum?, format!("the {} that its plates add up to", sum?))
    };
    Some(Expected {
        length,
        share: 0.1,
        what,
    })
}

fn against_its_plates(here: &Here<'_>) -> Vec<Feedback> {
    let (derived, units) = (&here.derived, here.units());
    let Some((agreement, sum, pressed)) = here.side().and_then(|side| derived.pressed(side)) else {
        return Vec::new();
    };
    let figures = format!(
        "plates add up to {} ± {}, pressed {} ± {}: difference {}, may differ by {}",
        sum.value.show(units),
        expanded(&sum).show(units),
        pressed.value.show(units),
        expanded(&pressed).show(units),
        agreement.difference.show(units),
        agreement.joint.show(units)
    );
    vec![if agreement.agrees {
        Feedback::new(Tone::Good, format!("{figures}. They agree."))
    } else {
        Feedback::new(
            Tone::Bad,
            format!("{figures}. They do NOT agree: a misread plate, dirt or a burr. Go back and find it."),
        )
    }]
}
