//! Budgets held against what is shared and what is not.

use super::*;
use proptest::prelude::*;

fn instrument(id: &str) -> Instrument {
    Instrument {
        id: id.to_string(),
        resolution: Length::from_um(1),
        calibration: Length::from_um(1),
        repeatability: Length::from_um(2),
        zero: Length::ZERO,
    }
}

fn named<'a>(budget: &'a Budget, name: &str) -> &'a Component {
    budget.components.iter().find(|c| c.name == name).unwrap()
}

#[test]
fn ten_plates_carry_the_calibration_ten_times_and_the_pressed_pack_once() {
    let plate = reading_uncertainty(&instrument("mic 1"), 3).unwrap();
    let pack = stack(&vec![(plate.clone(), 1); 10]);
    assert!((named(&pack, "calibration").standard - 10.0).abs() < 1e-12);
    assert!((named(&pack, "repeatability").standard - 2.0 * (10.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    assert!((named(&pack, "resolution").standard - (10.0_f64 / 12.0).sqrt()).abs() < 1e-12);
    assert!((named(&plate, "calibration").standard - 1.0).abs() < 1e-12);
}

#[test]
fn a_zero_that_was_read_once_counts_with_every_part_and_with_its_sign() {
    // JCGM 100:2008, 5.2.2: what one reading of the zero is off by is in all that is read with it
    let with_zero = |id: &str| Instrument {
        zero: Length::from_um(2),
        ..instrument(id)
    };
    let plate = reading_uncertainty(&with_zero("mic 1"), 1).unwrap();
    let depth = reading_uncertainty(&with_zero("depth 1"), 1).unwrap();
    let mut parts = vec![(depth.clone(), 1)];
    parts.extend(vec![(plate.clone(), -1); 10]);
    let gap = stack(&parts);
    let zeros: Vec<f64> = gap
        .components
        .iter()
        .filter(|c| c.name == "zero")
        .map(|c| c.standard)
        .collect();
    assert_eq!(zeros, [2.0, -20.0]);
    // with one gauge for all, the one depth takes one part off
    let mut parts = vec![(plate.clone(), 1)];
    parts.extend(vec![(plate, -1); 10]);
    assert!((named(&stack(&parts), "zero").standard + 18.0).abs() < 1e-12);
    assert!(
        (gap.without_zeros().combined().um() - {
            let own = 11.0 * (1.0 / 12.0 + 4.0);
            let shared: f64 = 1.0 + 100.0;
            (own + shared).sqrt()
        })
        .abs()
            < 1e-9
    );
}

#[test]
fn two_instruments_share_nothing() {
    let a = reading_uncertainty(&instrument("mic 1"), 1).unwrap();
    let b = reading_uncertainty(&instrument("mic 2"), 1).unwrap();
    let both = stack(&[(a.clone(), 1), (b, 1)]);
    assert!((both.combined().um() - a.combined().um() * 2_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_difference_by_one_instrument_loses_its_calibration() {
    let a = reading_uncertainty(&instrument("mic 1"), 1).unwrap();
    let difference = stack(&[(a.clone(), 1), (a, -1)]);
    assert!(named(&difference, "calibration").standard.abs() < 1e-15);
    assert!((named(&difference, "repeatability").standard - 8_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_chain_of_stacks_is_the_stack_of_all_its_parts() {
    let (a, b) = (
        reading_uncertainty(&instrument("mic 1"), 1).unwrap(),
        reading_uncertainty(&instrument("gauge"), 2).unwrap(),
    );
    let plates = stack(&[(a.clone(), 1), (a.clone(), 1)]);
    let nested = stack(&[(b.clone(), 1), (plates, -1)]).combined().um();
    let flat = stack(&[(b, 1), (a.clone(), -1), (a, -1)]).combined().um();
    assert!((nested - flat).abs() < 1e-12);
}

#[test]
fn a_pressed_reading_by_the_same_instrument_cancels_one_calibration() {
    let plate = reading_uncertainty(&instrument("mic 1"), 3).unwrap();
    let sum = stack(&vec![(plate.clone(), 1); 5]);
    let with = |id| reading_uncertainty(&instrument(id), 3).unwrap();
    let own = 6.0 * (1.0 / 12.0 + 4.0 / 3.0);
    for (id, calibration) in [("mic 1", 16.0_f64), ("mic 2", 26.0)] {
        let agreement = compare(Length::from_um(9_900), &sum, Length::from_um(9_898), &with(id)).unwrap();
        let joint: f64 = 2.0 * (own + calibration).sqrt();
        assert!((agreement.joint.um() - joint).abs() <= 0.0005, "{id}");
        assert!(agreement.agrees);
    }
}

#[test]
fn a_difference_just_above_the_joint_uncertainty_does_not_agree() {
    let u = Budget::new(vec![Component::own("repeatability", 5.0).unwrap()]);
    let at = |nm| {
        compare(Length::from_nm(nm), &u, Length::ZERO, &Budget::default())
            .unwrap()
            .agrees
    };
    assert!(at(10_000) && at(-10_000));
    assert!(!at(10_001) && !at(-10_001));
}

#[test]
fn no_reading_and_negative_figures_are_refused() {
    assert_eq!(
        reading_uncertainty(&instrument("mic 1"), 0),
        Err(MetrologyError::TooFew {
            what: "readings",
            have: 0,
            need: 1
        })
    );
    let bad = Instrument {
        resolution: Length::from_um(-1),
        ..instrument("mic 1")
    };
    assert_eq!(
        reading_uncertainty(&bad, 1),
        Err(MetrologyError::NegativeLength {
            what: "the resolution",
            value: Length::from_um(-1)
        })
    );
    assert!(matches!(
        Component::within("flatness", Length::from_um(-1)),
        Err(MetrologyError::NegativeLength { .. })
    ));
    assert_eq!(
        Component::repeated("repeatability", &[Length::ZERO]),
        Err(MetrologyError::TooFew {
            what: "readings",
            have: 1,
            need: 2
        })
    );
}

#[test]
fn nan_and_infinity_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(matches!(
            StandardUncertainty::from_um(bad),
            Err(MetrologyError::NotFinite { .. })
        ));
        assert!(matches!(
            Budget::default().expanded(bad),
            Err(MetrologyError::NotFinite { .. })
        ));
        assert!(matches!(
            coverage_factor(bad, 5.0),
            Err(MetrologyError::CoverageOutOfRange { .. })
        ));
        assert!(matches!(
            welch_satterthwaite(&[(bad, 5.0)]),
            Err(MetrologyError::NotFinite { .. })
        ));
    }
    assert!(matches!(
        coverage_factor(0.95, f64::NAN),
        Err(MetrologyError::DegreesOfFreedom { .. })
    ));
    assert_eq!(
        coverage_factor(0.95, 0.5),
        Err(MetrologyError::DegreesOfFreedom { dof: 0.5 })
    );
    assert_eq!(
        coverage_factor(1.0, 5.0),
        Err(MetrologyError::CoverageOutOfRange { probability: 1.0 })
    );
    assert_eq!(
        welch_satterthwaite(&[(-1.0, 5.0)]),
        Err(MetrologyError::Negative {
            what: "a standard uncertainty",
            value: -1.0
        })
    );
}

#[test]
fn nan_put_in_by_hand_is_refused_downstream() {
    let bad = Component {
        standard: f64::NAN,
        ..Component::own("repeatability", 1.0).unwrap()
    };
    let budget = Budget {
        components: vec![bad],
    };
    assert!(matches!(
        budget.expanded(2.0),
        Err(MetrologyError::NotFinite { .. })
    ));
    assert!(matches!(
        budget.degrees_of_freedom(),
        Err(MetrologyError::NotFinite { .. })
    ));
    let verdict =
        crate::metrology::judge_length(Length::ZERO, budget.combined(), Some(Length::ZERO), None, 0.95);
    assert!(matches!(verdict, Err(MetrologyError::NotFinite { .. })));
}

proptest! {
    #[test]
    fn a_stack_adds_what_is_shared_and_squares_what_is_not(
        parts in prop::collection::vec((0.0_f64..50.0, 0.0_f64..50.0, -5_i64..=5), 1..12),
    ) {
        let budgets: Vec<(Budget, i64)> = parts.iter().map(|&(own, shared, c)| (Budget::new(vec![
            Component::own("repeatability", own).unwrap(),
            Component::shared("calibration", "mic 1", shared).unwrap(),
        ]), c)).collect();
        let linear: f64 = parts.iter().map(|&(_, shared, c)| shared * c as f64).sum();
        let quadrature: f64 = parts.iter().map(|&(own, _, c)| (own * c as f64).powi(2)).sum();
        let want = (linear * linear + quadrature).sqrt();
        prop_assert!((stack(&budgets).combined().um() - want).abs() < 1e-9);
    }

    #[test]
    fn joining_by_name_leaves_the_degrees_of_freedom(
        parts in prop::collection::vec((0.1_f64..50.0, 1.0_f64..100.0), 2..8),
    ) {
        let budgets: Vec<(Budget, i64)> = parts.iter().map(|&(u, dof)| (Budget { components: vec![
            Component { dof, ..Component::own("repeatability", u).unwrap() },
        ] }, 1)).collect();
        let (joined, direct) = (stack(&budgets).degrees_of_freedom().unwrap(), welch_satterthwaite(&parts).unwrap());
        prop_assert!((joined / direct - 1.0).abs() < 1e-9, "{joined} {direct}");
        let least = parts.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        prop_assert!(direct >= least - 1e-9);
    }

    #[test]
    fn more_degrees_of_freedom_never_widen_the_interval(p in 0.5_f64..0.999, dof in 1.0_f64..3000.0, more in 1.0_f64..500.0) {
        prop_assert!(coverage_factor(p, dof + more).unwrap() <= coverage_factor(p, dof).unwrap() + 1e-8);
    }
}
