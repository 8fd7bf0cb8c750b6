//! The proof: how the unit is held and turned, what drags, what the wrench reads, and what to do then.

use super::plain::{
    answer, far_above_the_window, no_formula, no_words_are, nothing_beside, nothing_said, reading,
};
use crate::mechanics::{Held, SpringPlace};
use crate::metrology::Verdict;
use crate::procedure::ask::{AnswerOption, Feedback, Table, Tone};
use crate::procedure::definition::Each;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::capital;
use crate::procedure::job::Job;
use crate::procedure::proof::{NEARLY_WEDGED, ProofReading};
use crate::procedure::reading_mode::{ReadingMode, held_named, held_words};
use crate::procedure::row::{
    Against, Beside, Ends, FormLimits, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Sight,
    Timing, rows,
};
use crate::quantity::{Dimension, Length, Temperature, Torque, significant};
use crate::record::phrase::Phrase;
use crate::record::{Slot, Value};

/// What a breakaway is made of.
pub(super) const BREAKAWAY_FORMULA: &str = "M_pack = n · μ · F · r;  one output held: M = (M_left + M_right + D)/2;  case held: \
                                            M = M_left + M_right, and more where the ramps press too";

impl Job {
    /// Whether a question asks for a reading of the proof.
    pub(in crate::procedure) fn reads_breakaway(&self, slot: &Slot) -> bool {
        self.fills(slot) == Some(Field::BREAKAWAY)
    }
}

rows! { Proof:
    /// How the unit is held for the proof.
    HELD = Row {
        word: "held",
        each: None,
        rests_on: &[],
        asked: Timing::ONCE,
        prompt: answer,
        beside: |here| {
            let (derived, proof) = (&here.derived, &here.derived.job.unit.proof);
            let bench = derived.bench_of(here.beyond.round());
            let window = derived.window_words(proof, Some(proof.held), None, bench.as_ref());
            Beside::limits(std::iter::once(window).chain(near_to_wedging(here)))
        },
        why: |here| {
            let wedging = here.derived.bench_of(here.slot.round).map(|_| {
                "S = n μ r (k/r_pin + gear thrust) of the pack that is not turned; with the case held M grows as 1/(1 − S), and \
                 from S = 1 it wedges"
                    .to_string()
            });
            std::iter::once(BREAKAWAY_FORMULA.to_string()).chain(wedging).collect()
        },
        reads: Reads::Word {
            fixed: &["case", "output"],
            ways: ways_of_holding,
            refused: can_not_be_held,
            reason: no_words_are,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Held) },
    };
    /// The output that the wrench turns.
    TURNED = Row {
        word: "turned",
        each: None,
        rests_on: &[],
        asked: Timing {
            // with packs alike either output reads the same
            at_all: |derived, round| derived.packs_differ(round),
            ..Timing::ONCE
        },
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Word {
            fixed: &["left", "right"],
            ways: |_| vec![
                AnswerOption::new("right", "the wrench turns the right output"),
                AnswerOption::new("left", "the wrench turns the left output"),
            ],
            refused: no_words_are,
            reason: no_words_are,
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Held) },
    };
    /// With one output held the drag of all that turns with the case, with the case held that of each output.
    DRAG = Row {
        word: "drag",
        each: None,
        rests_on: &[],
        asked: Timing::ONCE,
        prompt: reading,
        beside: |here| Beside::limits([what_drags(here)]),
        why: drag_formula,
        reads: Reads::Torque { odd: far_above_the_window },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::Drag), sees: Some(Sight::Held) },
    };
    /// What turns the whole axle with both wheels free: the drag of all that turns with the case.
    DRIVELINE_DRAG = Row {
        word: "driveline-drag",
        each: None,
        rests_on: &[&[Field::HELD]],
        asked: Timing::ONCE,
        prompt: reading,
        beside: nothing_beside,
        why: |_| {
            vec![
                "M = (M_left + M_right)/2 + D/2: with one wheel held the case turns half as fast as the wheel"
                    .to_string(),
            ]
        },
        reads: Reads::Torque { odd: far_above_the_window },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// How warm the oil is that the packs rub in while they are proved.
    OIL_TEMPERATURE = Row {
        word: "oil-temperature",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| here.say(Phrase::Oil),
        beside: |here| Beside::limits(here.derived.oil_of_proofs()),
        why: |_| {
            vec![
                "ΔL = L · α · (T − 20 °C) of case and of parts: gap and preload are told at this temperature, too, where the unit                  file says what the case is made of"
                    .to_string(),
            ]
        },
        reads: Reads::Temperature { odd: no_bench_is_so_warm },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// A breakaway reading.
    BREAKAWAY = Row {
        word: "breakaway",
        each: Some(Each::Way),
        rests_on: &[&[Field::HELD]],
        asked: Timing::EACH_ROUND,
        prompt: |here| {
            let way = way_of(here).map(|way| way.words(here.derived.turned_said()));
            here.fill(
                Phrase::PositionOf,
                &[
                    &capital(way.as_deref().unwrap_or(here.item())),
                    &here.point().to_string(),
                    &here.step.points.to_string(),
                ],
            )
        },
        beside: what_it_should_read,
        why: |here| {
            std::iter::once(BREAKAWAY_FORMULA.to_string())
                .chain(expected_as_chosen(here))
                .collect()
        },
        reads: Reads::Torque {
            odd: |here, torque| {
                let derived = &here.derived;
                derived
                    .out_of_range(torque)
                    .or_else(|| derived.odd_breakaway(here.slot.round, here.item(), torque))
                    .or_else(|| far_above_the_window(here, torque))
            },
        },
        after: with_the_extension,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::Breakaway), sees: Some(Sight::Held) },
    };
    /// What to do after the proof.
    PROOF_DECISION = Row {
        word: "proof-decision",
        each: None,
        rests_on: &[&[Field::BREAKAWAY]],
        asked: Timing {
            ends: Some(Ends { word: "again", opens: true }),
            ..Timing::EACH_ROUND
        },
        prompt: answer,
        beside: what_it_came_to,
        why: friction_formula,
        reads: Reads::Word {
            fixed: &["accept", "again"],
            ways: ways_on,
            refused: no_words_are,
            reason: |here, word| (word == "accept").then(|| outside_its_window(here)).flatten(),
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::Boxes { limits: FormLimits::AtTheBench, caption: |_, _| String::new() },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

pub(super) fn ways_of_holding(_: &Here<'_>) -> Vec<AnswerOption> {
    vec![
        AnswerOption::new(
            "output",
            "one output held, the other turned, case free (as in the car); the surer way",
        ),
        AnswerOption::new(
            "case",
            "case held, one output turned, the other free: the ramps work, too",
        ),
    ]
}

/// Why the unit can not be held so for the proof, where that is so.
fn can_not_be_held(here: &Here<'_>, word: &str) -> Option<String> {
    let derived = &here.derived;
    let (share, sense) = derived.wedging(&derived.bench_of(here.slot.round)?)?;
    (held_named(word) == Some(Held::Case) && share.value() >= 1.0).then(|| {
        format!(
            "with the case held these packs wedge: what turns one output comes through the other one's pack and the pins, and \
             turned {sense} the {} ramp presses for {:.2} of what the wrench pulls; from 1 on nothing slips and only the \
             wrench or a spline gives. Hold one output instead and leave the case free: type output",
            sense.ramp(),
            share.value()
        )
    })
}

/// What speaks against holding the case.
fn near_to_wedging(here: &Here<'_>) -> Option<String> {
    here.derived.bench_of(here.slot.round)?;
    wedges_by_file(here)
}

/// The same by the unit's file, before anything was measured.
pub(super) fn wedges_by_file(here: &Here<'_>) -> Option<String> {
    let derived = &here.derived;
    let (share, sense) = derived
        .wedging(&derived.listed_bench()?)
        .filter(|(share, _)| share.value() >= NEARLY_WEDGED)?;
    let ramp = sense.ramp();
    Some(if share.value() >= 1.0 {
        format!(
            "with the case held these packs wedge (share {:.2} on the {ramp} ramp): hold one output",
            share.value()
        )
    } else {
        format!(
            "with the case held these packs are near to wedging (share {:.2} on the {ramp} ramp, from 1 on they do): one output \
             held is the surer way",
            share.value()
        )
    })
}

/// What the drag is in the way in which the unit is held.
fn what_drags(here: &Here<'_>) -> String {
    match here.derived.held() {
        Some(Held::Case) => "case held: what one output drags of itself, seal and bearing, its gear out or its pack slack; \
             what turns with the case stands still and counts nothing"
            .to_string(),
        Some(Held::Output) | None => {
            "one output held: what turns an output when nothing is held and all turns together; half of it is in each reading"
                .to_string()
        }
    }
}

fn drag_formula(here: &Here<'_>) -> Vec<String> {
    let unit = &here.derived.job.unit;
    let held = here.derived.held().unwrap_or(unit.proof.held);
    let between = unit.spring.as_ref().map(|spring| spring.place) == Some(SpringPlace::BetweenRings);
    let (formula, each) = match (held, between) {
        (Held::Case, false) => ("M = M_left + M_right + 2 d, d of each output", "2 N·m"),
        (Held::Case, true) => (
            "M = (M_left + M_right + 2 d)/(1 − S), d of each output",
            "2/(1 − S) N·m",
        ),
        (Held::Output, false) => (
            "M = (M_left + M_right + D)/2, D of all that turns with the case",
            "0.5 N·m",
        ),
        (Held::Output, true) => (
            "M = (M_left + M_right + (1 + S) D)/2, D of all that turns with the case",
            "(1 + S)/2 N·m",
        ),
    };
    vec![
        format!("{formula}  ({})", held_words(held)),
        format!("each 1 N·m of it is {each} of the reading"),
    ]
}

/// A proof is read cold, or warm from driving: anything else is more likely a slip (*common practice, no source*).
fn no_bench_is_so_warm(_: &Here<'_>, temperature: Temperature) -> Option<String> {
    (!(-10.0..=120.0).contains(&temperature.celsius()))
        .then(|| format!("{temperature} is neither a workshop's temperature nor that of oil after driving"))
}

fn way_of(here: &Here<'_>) -> Option<ReadingMode> {
    ReadingMode::named(here.slot.item.as_deref()?)
}

/// What a reading should be, and where to stop pulling.
fn what_it_should_read(here: &Here<'_>) -> Beside {
    let (derived, units, round) = (&here.derived, here.units(), here.slot.round);
    let proof = &derived.job.unit.proof;
    let bench = derived.bench_of(here.beyond.round());
    let drag = derived.drag();
    let mut limits = vec![derived.window_words(proof, derived.held(), drag, bench.as_ref())];
    if derived.bench_of(round).is_none() {
        return Beside::limits(limits);
    }
    let held = derived.held().unwrap_or(proof.held);
    if let Some(way) = way_of(here) {
        if let Some(expected) = derived.should_show(round, held, way)
            && expected.newton_metres() > 1.0
        {
            limits.push(format!(
                "expected about {} on the wrench, {}",
                derived.on_the_wrench(expected).show(units),
                held_words(held)
            ));
        }
        limits.extend(derived.should_read_between(round, held).filter(|_| !way.still));
        if held == Held::Case {
            limits.push(match derived.stop_at(round, way) {
                Some(stop) => format!("stop pulling at {}: then it is wedged", stop.show(units)),
                None => format!(
                    "do NOT pull: held so these packs wedge on the {} ramp; go back and hold one output",
                    way.ramp
                ),
            });
        }
    }
    if derived.extension() > Length::ZERO {
        limits.push("give what the wrench shows; the extension is taken into account".to_string());
    }
    Beside::limits(limits)
}

/// What the packs as they were chosen should read, by the friction that is known of them.
pub(super) fn expected_as_chosen(here: &Here<'_>) -> Option<String> {
    let (derived, units, round) = (&here.derived, here.units(), here.slot.round);
    let bench = derived.bench_of(round)?;
    derived.state.chosen(round)?;
    let expected = derived.expected_of(&bench)?;
    let unit = &derived.job.unit;
    Some(format!(
        "left {} faces, {}; right {} faces, {}; μ turning {}; r {}: {} {}",
        bench.setup.faces[0],
        bench.setup.preload[0],
        bench.setup.faces[1],
        bench.setup.preload[1],
        derived.friction_in_words(),
        unit.friction.radius.show(units),
        expected.show(units),
        held_words(unit.proof.held),
    ))
}

fn with_the_extension(here: &Here<'_>, value: &Value) -> Vec<Feedback> {
    let derived = &here.derived;
    let read = match value {
        Value::Torque(read) if derived.extension() > Length::ZERO => Torque::from_newton_metres(*read).ok(),
        _ => None,
    };
    let said = read.map(|read| {
        let units = here.units();
        let words = format!(
            "{} on the wrench is {} with its extension",
            read.show(units),
            derived.corrected(read).show(units)
        );
        Feedback::new(Tone::Plain, words)
    });
    said.into_iter().collect()
}

/// Why a proof is only accepted with a reason, where that is so.
fn outside_its_window(here: &Here<'_>) -> Option<String> {
    let verdict = here
        .derived
        .proof(here.slot.round)
        .and_then(|proof| proof.verdict);
    let stands = match verdict {
        Some(Verdict::Inside) => return None,
        Some(Verdict::TooCloseToCall) => "too close to call against".to_string(),
        Some(Verdict::Outside) => Verdict::Outside.to_string(),
        None => "not read against".to_string(),
    };
    Some(format!(
        "the proof is {stands} its window; accepting it wants a reason"
    ))
}

fn ways_on(here: &Here<'_>) -> Vec<AnswerOption> {
    let accept = match outside_its_window(here) {
        Some(_) => "leave it so all the same; a reason is wanted",
        None => "leave it so",
    };
    let again = if here.derived.job.asks(Field::CHOICE) {
        "open it and go back to the choice"
    } else {
        "read the whole proof once more; this one stays on record"
    };
    vec![
        AnswerOption::new("accept", accept),
        AnswerOption::new("again", again),
    ]
}

fn what_it_came_to(here: &Here<'_>) -> Beside {
    let (derived, units, round) = (&here.derived, here.units(), here.slot.round);
    let Some(proof) = derived.proof(round) else {
        return Beside::default();
    };
    let window = &derived.job.unit.proof;
    let mut limits = Vec::new();
    if let (Some(mean), Some(u), Some(verdict)) = (proof.by_file, proof.uncertainty, proof.verdict) {
        let u2 = Torque::from_newton_metres(2.0 * u.newton_metres()).unwrap_or(u);
        limits.push(format!(
            "turning, {}: {} ± {}; window {} to {}: {}{}",
            held_words(window.held),
            mean.show(units),
            u2.show(units),
            window.least.show(units),
            window.most.show(units),
            here.verdict_said(verdict).to_uppercase(),
            proof.probability.map_or(String::new(), |p| format!(
                " (P inside {:.0} %)",
                (100.0 * p).floor()
            ))
        ));
        limits.extend(
            derived
                .proof_doubt_words(&proof)
                .map(|words| format!("where that comes from: {words}")),
        );
    }
    if proof.verdict == Some(Verdict::TooCloseToCall) {
        limits.push("to read it once more before it is decided, go back".to_string());
    }
    if let Some(mu) = derived.shown_friction(round) {
        limits.push(format!(
            "friction that these plates show: {} turning (unit file {})",
            significant(mu.value(), 2),
            derived.job.unit.friction.turning.value()
        ));
    }
    limits.extend(derived.beside_what_it_should(round).map(|should| should.words));
    let slips = derived.slips(round);
    let then = if slips.is_empty() { "" } else { "only then: " };
    limits.extend(slips);
    let advice = derived.advice(round).into_iter();
    limits.extend(advice.enumerate().map(|(n, words)| match n {
        0 => format!("{then}{words}"),
        _ => words,
    }));
    let as_read = |reading: &ProofReading| {
        reading
            .reckoned
            .is_some_and(|reckoned| reckoned.show(units) == reading.read.show(units))
    };
    if proof.readings.iter().any(|reading| reading.reckoned.is_none()) {
        limits.push(format!(
            "the table has each reading as it was read, the extension taken into account: what it would be with {} can not be told",
            held_words(window.held)
        ));
    } else if !proof.readings.iter().all(as_read) {
        limits.push(format!(
            "the table has each reading as it would be read with {}, extension and drag taken into account",
            held_words(window.held)
        ));
    }
    // without its unit, which stands in the head
    let number = |shown: String| shown.split(' ').next().unwrap_or("").to_string();
    let row = |way: ReadingMode| {
        let readings = proof.readings.iter().filter(|reading| reading.way == way);
        let shown = readings
            .take(3)
            .map(|reading| number(reading.reckoned.unwrap_or(reading.corrected).show(units)));
        let mut row: Vec<String> = std::iter::once(way.brief()).chain(shown).collect();
        row.resize(4, String::new());
        row
    };
    Beside {
        limits,
        table: Some(Table {
            head: ["", "1st", "2nd", "3rd"]
                .map(|nth| match nth {
                    "" => String::new(),
                    nth => format!("{nth}, {}", Dimension::Torque.usual_unit(units)),
                })
                .to_vec(),
            rows: ReadingMode::ALL.iter().map(|(way, _)| row(*way)).collect(),
        }),
        drawing: Vec::new(),
    }
}

/// The friction that the proof shows, by what it follows from.
fn friction_formula(here: &Here<'_>) -> Vec<String> {
    let round = here.slot.round;
    let derived = here.derived.at(round);
    let (unit, units) = (&derived.job.unit, here.units());
    let numbers = (|| {
        let proof = derived.proof(round)?;
        let still = derived.by_first_movement(proof.held);
        let (read, word) = match still {
            true => (
                proof.readings.iter().find(|reading| reading.way.still)?.corrected,
                "first movement",
            ),
            false => (proof.turning?, "turning, mean"),
        };
        let chosen = derived.state.chosen(round)?;
        let forces = derived.forces(derived.closings(round)?).ok()?;
        let mu = derived.shown_friction(round)?;
        Some(format!(
            "{} {word}, drag {:.1} N·m, {} and {} faces under {} and {}, r {}: {} turning",
            read.show(units),
            derived.drag()?.newton_metres(),
            derived.faces(&chosen.sides[0]),
            derived.faces(&chosen.sides[1]),
            forces[0],
            forces[1],
            unit.friction.radius.show(units),
            significant(mu.value(), 2)
        ))
    })();
    let without =
        || "F = 0 N in a unit that is set to a gap: what is read is drag, and shows no friction".to_string();
    let sprung = unit.spring.is_some();
    let formula = match here.derived.held().unwrap_or(unit.proof.held) {
        Held::Output => "μ with which M_left + M_right = 2 M − D, M_pack = n μ F r_f",
        Held::Case if here.derived.by_first_movement(Held::Case) => {
            "μ = M/(2 n r_f F0 + M S/μ) for two packs alike, of first movement; after it the ring hangs on its ramp"
        }
        Held::Case => "μ with which M_left + M_right = M − 2 d, M_pack = n μ F r_f",
    };
    std::iter::once(formula.to_string())
        .chain(numbers.or_else(|| (!sprung).then(without)))
        .collect()
}
