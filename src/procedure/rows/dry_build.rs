//! The dry build: what the packs really leave of the chain, and what to do where that is not as predicted.

use super::plain::{answer, no_words_are, nothing_said, reading_of, unlike};
use crate::procedure::ask::{AnswerOption, Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::expanded;
use crate::procedure::row::{
    Against, Beside, Ends, Expected, From, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row, Timing,
    rows,
};
use crate::record::phrase::Phrase;

rows! { DryBuild:
    /// Gap, or installed height of the springs, at the dry build.
    DRY_CLOSING = Row {
        word: "dry-closing",
        each: Some(Each::Chain),
        rests_on: &[&[Field::CHOICE], &[Field::DEPTH_GAUGE]],
        asked: Timing::EACH_ROUND,
        prompt: |here| {
            let what = match (&here.derived.job.unit.spring, here.derived.stacks_a_chain()) {
                (None, _) => Phrase::Gap,
                (Some(_), 2) => Phrase::RoomForBoth,
                (Some(_), _) => Phrase::RoomForSprings,
            };
            reading_of(here, what)
        },
        beside: predicted,
        why: predicted_chain,
        reads: Reads::Length {
            from: From::Zero,
            expected: |here| {
                let chosen = here.derived.state.chosen(here.slot.round)?;
                let length = here.derived.closing(&chosen.sides, here.side())?.value;
                Some(Expected { length, share: 0.5, what: format!("the predicted {length}") })
            },
            odd: unlike,
        },
        after: |here, _| against_the_prediction(here),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: Some(Measurand::Room), sees: None },
    };
    /// What to do where the dry build differs from the prediction.
    DRY_DECISION = Row {
        word: "dry-decision",
        each: None,
        rests_on: &[&[Field::DRY_CLOSING]],
        asked: Timing {
            ends: Some(Ends { word: "choose", opens: false }),
            at_all: |derived, round| !derived.dry_disagreements(round).is_empty(),
            ..Timing::EACH_ROUND
        },
        prompt: answer,
        beside: |here| Beside {
            limits: vec![here.say(Phrase::OrMeasureAgain)],
            table: Some(here.derived.dry_table(here.slot.round)),
            drawing: Vec::new(),
        },
        why: disagreement,
        reads: Reads::Word {
            fixed: &["choose", "accept"],
            ways: |_| vec![
                AnswerOption::new("choose", "back to the choice, with this build kept on record"),
                AnswerOption::new("accept", "go on all the same; a reason is wanted"),
            ],
            refused: no_words_are,
            reason: |_, word| {
                (word == "accept").then(|| "going on against the dry build wants a reason".to_string())
            },
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

fn predicted(here: &Here<'_>) -> Beside {
    let (derived, units) = (&here.derived, here.units());
    let chosen = derived.state.chosen(here.slot.round);
    let predicted = chosen.and_then(|chosen| derived.closing(&chosen.sides, here.side()));
    let predicted = predicted.map(|predicted| {
        format!(
            "predicted {} ± {}",
            predicted.value.show(units),
            expanded(&predicted).show(units)
        )
    });
    Beside::limits(std::iter::once(room_faces(here)).chain(predicted))
}

/// From where to where what is left is read, in the layout of the unit.
fn room_faces(here: &Here<'_>) -> String {
    let unit = &here.derived.job.unit;
    match (&unit.spring, here.side()) {
        (None, _) => "the pack pressed to its wall by hand: the thickest leaf that goes in between the last part and what closes it, or by \
                      depth the one face less the other"
            .to_string(),
        (Some(_), None) => "both packs, rings and shims in, no spring: from the face that the cover sits on down to the last part"
            .to_string(),
        (Some(_), Some(side)) => format!(
            "pack, ring and shims of the {side} in, no spring: from the plane that the depth was read from down to the last part"
        ),
    }
}

fn predicted_chain(here: &Here<'_>) -> Vec<String> {
    let chosen = here.derived.state.chosen(here.slot.round);
    chosen.map_or_else(Vec::new, |chosen| {
        here.derived.chain_formula(&chosen.sides, here.side())
    })
}

fn disagreement(here: &Here<'_>) -> Vec<String> {
    let (derived, units, round) = (&here.derived, here.units(), here.slot.round);
    let mut lines = vec!["they agree when |predicted − measured| ≤ 2 u(predicted − measured)".to_string()];
    for chain in derived.dry_disagreements(round) {
        if let Some(chosen) = derived.state.chosen(round) {
            lines.extend(derived.chain_formula(&chosen.sides, chain));
        }
        if let Some((agreement, _, _)) = derived.dry_agreement(round, chain) {
            lines.push(format!(
                "|{}| against {}",
                agreement.difference.show(units),
                agreement.joint.show(units)
            ));
        }
    }
    lines
}

fn against_the_prediction(here: &Here<'_>) -> Vec<Feedback> {
    let (derived, units, round) = (&here.derived, here.units(), here.slot.round);
    if !here.is_last_point() {
        return Vec::new();
    }
    let Some((agreement, predicted, measured)) = derived.dry_agreement(round, here.side()) else {
        return Vec::new();
    };
    let tone = if agreement.agrees { Tone::Good } else { Tone::Bad };
    let words = format!(
        "measured {}, predicted {}: difference {}, may differ by {}",
        measured.value.show(units),
        predicted.value.show(units),
        agreement.difference.show(units),
        agreement.joint.show(units)
    );
    let mut said = vec![Feedback::new(tone, words)];
    said.extend(derived.tell_spread(round));
    said
}
