//! The dry build: what the packs really leave of the chain, and what to do where that is not as predicted.

use super::plain::{answer, no_words_are, nothing_said, reading_of, unlike};
use crate::procedure::ask::{Said, Tone, Way};
use crate::procedure::definition::Each;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::expanded;
use crate::procedure::row::{
    Against, Asked, Beside, Ends, Expected, From, Here, InPractice, Measurand, OnForm, OnSheet, Reads, Row,
    rows,
};

rows! { DryBuild:
    /// Gap, or installed height of the springs, at the dry build.
    DRY_CLOSING = Row {
        word: "dry-closing",
        each: Some(Each::Chain),
        rests_on: &[&[Field::CHOICE], &[Field::DEPTH_GAUGE]],
        asked: Asked::EACH_ROUND,
        prompt: |here| {
            let what = match (&here.facts.job.unit.spring, here.facts.stacks_a_chain()) {
                (None, _) => "Gap",
                (Some(_), 2) => "Room for both springs",
                (Some(_), _) => "Room for the springs",
            };
            reading_of(here, what)
        },
        beside: predicted,
        why: predicted_chain,
        reads: Reads::Length {
            from: From::Zero,
            expected: |here| {
                let chosen = here.facts.state.chosen(here.slot.round)?;
                let length = here.facts.closing(&chosen.sides, here.side())?.value;
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
        asked: Asked {
            ends: Some(Ends { word: "choose", opens: false }),
            at_all: |facts, round| !facts.dry_disagreements(round).is_empty(),
            ..Asked::EACH_ROUND
        },
        prompt: answer,
        beside: |here| Beside {
            limits: vec!["to measure again instead, go back".to_string()],
            table: Some(here.facts.dry_table(here.slot.round)),
            drawing: Vec::new(),
        },
        why: disagreement,
        reads: Reads::Word {
            fixed: &["choose", "accept"],
            ways: |_| vec![
                Way::new("choose", "back to the choice, with this build kept on record"),
                Way::new("accept", "go on all the same; a reason is wanted"),
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
    let (facts, units) = (&here.facts, here.units());
    let chosen = facts.state.chosen(here.slot.round);
    let predicted = chosen.and_then(|chosen| facts.closing(&chosen.sides, here.side()));
    Beside::limits(predicted.map(|predicted| {
        format!(
            "predicted {} ± {}",
            predicted.value.show(units),
            expanded(&predicted).show(units)
        )
    }))
}

fn predicted_chain(here: &Here<'_>) -> Vec<String> {
    let chosen = here.facts.state.chosen(here.slot.round);
    chosen.map_or_else(Vec::new, |chosen| {
        here.facts.chain_formula(&chosen.sides, here.side())
    })
}

fn disagreement(here: &Here<'_>) -> Vec<String> {
    let (facts, units, round) = (&here.facts, here.units(), here.slot.round);
    let mut lines = vec!["they agree when |predicted − measured| ≤ 2 u(predicted − measured)".to_string()];
    for chain in facts.dry_disagreements(round) {
        if let Some(chosen) = facts.state.chosen(round) {
            lines.extend(facts.chain_formula(&chosen.sides, chain));
        }
        if let Some((agreement, _, _)) = facts.dry_agreement(round, chain) {
            lines.push(format!(
                "|{}| against {}",
                agreement.difference.show(units),
                agreement.joint.show(units)
            ));
        }
    }
    lines
}

fn against_the_prediction(here: &Here<'_>) -> Vec<Said> {
    let (facts, units, round) = (&here.facts, here.units(), here.slot.round);
    if !here.is_last_point() {
        return Vec::new();
    }
    let Some((agreement, predicted, measured)) = facts.dry_agreement(round, here.side()) else {
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
    let mut said = vec![Said::new(tone, words)];
    said.extend(facts.tell_spread(round));
    said
}
