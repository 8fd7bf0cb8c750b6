//! Why each question is asked: its reason, and the formula with numbers where there is one.

use crate::bench::DEMOS;
use crate::engine::{entries, job};
use shimwright::procedure::{Field, Kind, Procedure, STOCK, Session};

/// Fields whose questions rest on a formula.
fn has_formula(field: Field) -> bool {
    match field {
        // how far it went, what was filled in: nothing is worked out
        Field::Distance | Field::OilAmount => false,
        Field::FoundOrder
        | Field::Micrometer
        | Field::DepthGauge
        | Field::Wrench
        | Field::Fate
        | Field::Choice
        | Field::DryDecision
        | Field::Held
        | Field::Tightened
        | Field::ProofDecision => true,
        _ => matches!(field.kind(), Kind::Quantity(_)),
    }
}

#[test]
fn every_step_of_every_stock_procedure_has_its_reason() {
    for (id, source) in STOCK {
        for (_, step) in Procedure::read(id, source).unwrap().steps() {
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
                let turned = field == Field::Tightened && ask.prompt.contains("a further");
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
