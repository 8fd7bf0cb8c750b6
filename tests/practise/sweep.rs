//! Many units: found by the careful, missed by the careless.

use crate::mechanic::{Habits, work};
use shimwright::practice::{Fault, GeneratedUnit};
use shimwright::record::GeneratedFrom;

/// How many seeds of each level are worked; `SHIMWRIGHT_SEEDS=500` works the five hundred that count.
pub fn seeds() -> u64 {
    std::env::var("SHIMWRIGHT_SEEDS").map_or(25, |count| count.parse().unwrap())
}

fn made(level: u32, seed: u64) -> GeneratedUnit {
    GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap()
}

/// Finds every fault, accuses nothing, misreads nothing, and proves it inside its window.
fn careful(level: u32) {
    let mut again = 0;
    for seed in 1..=seeds() {
        let made = made(level, seed);
        let run = work(&made, Habits::default());
        let outcome = &run.outcome;
        assert!(outcome.is_clean() && run.proved, "{outcome:#?}");
        assert!(outcome.score.as_ref().unwrap().percent >= 90, "{outcome:#?}");
        assert_eq!(outcome.found.len(), made.faults().len());
        again += u64::from(run.again > 0);
    }
    // an honest dry build seldom disagrees: the joint uncertainty has a coverage factor of two
    assert!(again * 10 <= seeds(), "{again} of {}", seeds());
}

#[test]
fn a_careful_mechanic_solves_every_unit_of_level_1() {
    careful(1);
}

#[test]
fn a_careful_mechanic_solves_every_unit_of_level_2() {
    careful(2);
}

#[test]
fn a_careful_mechanic_solves_every_unit_of_level_3() {
    careful(3);
}

#[test]
fn a_careful_mechanic_solves_every_unit_of_level_4() {
    careful(4);
}

#[test]
fn a_careless_mechanic_misses_every_fault() {
    for level in 1..=4 {
        for seed in 1..=seeds() / 2 {
            let made = made(level, seed);
            let outcome = work(&made, Habits::CARELESS).outcome;
            assert_eq!(outcome.found, [], "level {level}, seed {seed}");
            assert_eq!(outcome.missed.len(), made.faults().len());
            // nobody measured these plates
            assert!(!outcome.misread.is_empty());
        }
    }
}

/// The one thing that somebody leaves out who misses this fault.
fn habit(fault: &Fault) -> Habits {
    let mut habits = Habits::default();
    match fault {
        Fault::Warped { .. } => habits.feeler = true,
        Fault::Thin { .. } => habits.nominal = true,
        Fault::Tapered { .. } => habits.one_point = true,
        Fault::Spoilt { .. } => habits.looks = true,
        Fault::Swapped { .. } | Fault::DeadFace { .. } => habits.order = true,
        Fault::MicrometerZero { .. } | Fault::DepthGaugeZero { .. } => habits.zero = true,
        Fault::SpringCracked { .. } | Fault::SpringUpsideDown { .. } | Fault::SteppedRamp => {
            habits.inspection = true;
        }
        Fault::WrenchScale => habits.scale = true,
        Fault::OtherMethod => habits.held = true,
        Fault::Extension { .. } => habits.extension = true,
        Fault::PinFlat | Fault::RingWedged { .. } | Fault::TabsStick { .. } | Fault::WasherMissing => {
            habits.inspection = true;
        }
        Fault::OtherMaker { .. } => habits.nominal = true,
        Fault::ShimDoubled { .. }
        | Fault::WrenchOverdue { .. }
        | Fault::Drag { .. }
        | Fault::WrongOil
        | Fault::NoModifier => habits.round_about = true,
    }
    habits
}

#[test]
fn each_carelessness_misses_its_own_faults_and_no_other() {
    let mut seen = std::collections::BTreeSet::new();
    for level in [2, 4] {
        for seed in 1..=seeds() / 2 {
            let made = made(level, seed);
            let n = seed as usize % made.faults().len();
            let wanted = habit(&made.faults()[n]);
            let outcome = work(&made, wanted).outcome;
            // a plate that is not measured at all is not read in one place either
            let goes_with = |fault: &Fault| {
                habit(fault) == wanted || (wanted.nominal && matches!(fault, Fault::Tapered { .. }))
            };
            let missed = made.faults().iter().filter(|fault| goes_with(fault)).count();
            assert_eq!(outcome.missed.len(), missed, "{wanted:?}: {outcome:#?}");
            assert_eq!(
                outcome.found.len(),
                made.faults().len() - missed,
                "{wanted:?}: {outcome:#?}"
            );
            seen.insert(format!("{wanted:?}"));
        }
    }
    assert!(seen.len() >= 8, "{seen:?}");
}

#[test]
fn every_fault_is_drawn_and_none_twice_on_one_plate() {
    let mut sorts = std::collections::BTreeMap::new();
    for level in 1..=4 {
        for seed in 1..=200 {
            let made = made(level, seed);
            let wanted = if level == 4 {
                4..=5
            } else {
                level as usize..=level as usize
            };
            assert!(
                wanted.contains(&made.faults().len()),
                "level {level}, seed {seed}"
            );
            for fault in made.faults() {
                let name = format!("{fault:?}");
                let sort = name.split(' ').next().unwrap().to_string();
                let first = sorts.entry(sort).or_insert(level);
                *first = level.min(*first);
            }
        }
    }
    let from: Vec<(String, u32)> = sorts.into_iter().collect();
    assert_eq!(
        from,
        [
            ("DeadFace", 1),
            ("DepthGaugeZero", 3),
            ("Drag", 3),
            ("Extension", 3),
            ("MicrometerZero", 1),
            ("NoModifier", 2),
            ("OtherMaker", 2),
            ("OtherMethod", 3),
            ("PinFlat", 2),
            ("RingWedged", 3),
            ("ShimDoubled", 1),
            ("Spoilt", 1),
            ("SpringCracked", 2),
            ("SpringUpsideDown", 2),
            ("SteppedRamp", 3),
            ("Swapped", 2),
            ("TabsStick", 2),
            ("Tapered", 2),
            ("Thin", 1),
            ("Warped", 1),
            ("WasherMissing", 2),
            ("WrenchOverdue", 3),
            ("WrenchScale", 2),
            ("WrongOil", 1)
        ]
        .map(|(name, level)| (name.to_string(), level))
    );
}
