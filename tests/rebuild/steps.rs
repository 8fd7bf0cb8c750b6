//! The number of a step and of all steps, as it stands above each question: steady from the first to the last.

use crate::bench::DEMOS;
use crate::engine::{entries, job};
use shimwright::procedure::Session;
use std::collections::BTreeMap;

/// Number, of how many, step and round of each question of a demo, in the order in which they are asked.
fn asked(demo: &str) -> Vec<(usize, usize, String, u32)> {
    let entries = entries(demo);
    let mut session = Session::resume(job(demo), &entries[..1]);
    let mut all = Vec::new();
    for entry in &entries[1..] {
        if let Some(ask) = session.ask() {
            all.push((ask.number, ask.of, ask.slot.step, ask.slot.round));
        }
        session.apply(std::slice::from_ref(entry));
    }
    all
}

#[test]
fn the_steps_are_counted_once_for_all_and_the_count_stays_whatever_is_answered() {
    for demo in DEMOS {
        let all = asked(demo);
        let of = all[0].1;
        assert!(all.iter().all(|(_, known, ..)| *known == of), "{demo}: {all:?}");
        // each step has one number, in every round
        let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
        let mut first: Vec<(usize, &str)> = Vec::new();
        for (number, _, step, _) in &all {
            if numbers.insert(step, *number).is_none_or(|known| {
                assert_eq!(known, *number, "{demo}: {step}");
                false
            }) {
                first.push((*number, step));
            }
        }
        assert_eq!((first[0].0, first.last().unwrap().0), (1, of), "{demo}");
        assert!(
            (1..=of).all(|n| first.iter().any(|(number, _)| *number == n)),
            "{demo}: {first:?}"
        );
        let laid = ["laid-in", "ring-way", "spring-way"];
        let first_laid = first
            .iter()
            .map(|(_, step)| *step)
            .find(|step| laid.contains(step))
            .unwrap_or("");
        // what an answer brings up counts for the step before it; what is laid in is one step, in the order of hands
        for two in first.windows(2) {
            let [(before, _), (number, step)] = [two[0], two[1]];
            let by_answer = ["remeasure", "fate", "dry-decision"].contains(&step);
            let with_parts = laid.contains(&step) && step != first_laid;
            assert_eq!(
                number,
                before + usize::from(!by_answer && !with_parts),
                "{demo}: {two:?}"
            );
        }
        // and so no number is less than one before it, in a round
        for two in all.windows(2) {
            let is_back = two[1].3 == two[0].3 && two[1].0 < two[0].0;
            assert!(!is_back, "{demo}: {two:?}");
        }
    }
}
