//! Why each question is asked: its reason, and the formula with numbers where there is one.

use crate::bench::DEMOS;
use crate::engine::{entries, job};
use shimwright::procedure::{Field, Kind, Procedure, STOCK, Session};

/// Fields whose questions rest on a formula.
fn has_formula(field: Field) -> bool {
    // how far it went, what was filled in, what is read and held against a limit as it is: nothing is worked out
    let without = [
        Field::DISTANCE,
        Field::OIL_AMOUNT,
        Field::FOUND_PLAY,
        Field::DRY_PLAY,
        Field::WASHER_THICKNESS,
    ];
    let worked_out = [
        Field::FOUND_ORDER,
        Field::MICROMETER,
        Field::DEPTH_GAUGE,
        Field::WRENCH,
        Field::FATE,
        Field::CHOICE,
        Field::DRY_DECISION,
        Field::HELD,
        Field::TIGHTENED,
        Field::PROOF_DECISION,
    ];
    worked_out.contains(&field) || matches!(field.kind(), Kind::Quantity(_)) && !without.contains(&field)
}

#[test]
fn every_step_of_every_stock_procedure_has_its_reason() {
    for one in STOCK.iter() {
        let id = one.id;
        for (_, step) in Procedure::read(id, &one.text).unwrap().steps() {
            let sentence = step.why.ends_with('.') && step.why.split(' ').count() >= 4;
            assert!(sentence, "{id}, {}: {:?}", step.id, step.why);
        }
    }
}

#[test]
fn every_question_that_rests_on_a_formula_shows_it_with_numbers() {
    for demo in DEMOS {
        let mut session = Session::resume(job(demo), &[]);
        for entry in entries(demo) {
            if let Some(ask) = session.ask()
                && let Some((_, step)) = session.job().procedure.step(&ask.slot.step)
                && let Some(field) = step.fills
                && has_formula(field)
            {
                let formula = &ask.why.formula;
                let is_formula = |line: &String| line.contains(['=', '≤', '≥']);
                // the number of a round or a unit is not what is meant: a figure with decimals, a count, a share
                let has_number = |line: &String| line.contains(|c: char| c.is_ascii_digit());
                // an angle stage is turned, not reckoned
                let turned = field == Field::TIGHTENED && ask.prompt.contains("a further");
                assert!(
                    turned || (formula.iter().any(is_formula) && formula.iter().any(has_number)),
                    "{demo}, {}: {formula:#?}",
                    ask.slot
                );
            }
            session.apply(&[entry]);
        }
    }
}
