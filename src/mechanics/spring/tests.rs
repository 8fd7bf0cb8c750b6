//! Springs held against published values.

use super::*;
use crate::mechanics::MechanicsError;
use crate::quantity::{Force, Pressure, Ratio, SpringRate};
use proptest::prelude::*;
use std::fmt;

fn um(um: i64) -> Length {
    Length::from_um(um)
}

fn b50() -> DiscSpring {
    DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None).unwrap()
}

/// Tall for its thickness: h0/t = 2.2, with a peak.
fn tall() -> DiscSpring {
    DiscSpring::new(um(100_000), um(60_000), um(1_500), um(4_800), None).unwrap()
}

fn named(result: Result<impl fmt::Debug, MechanicsError>) -> &'static str {
    match result {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    }
}

#[test]
fn sizes_that_make_no_spring_are_refused_by_name() {
    let new = |outside, inside, thickness, height, reduced: Option<i64>| {
        DiscSpring::new(
            um(outside),
            um(inside),
            um(thickness),
            um(height),
            reduced.map(um),
        )
    };
    assert_eq!(
        named(new(50_000, 0, 2_000, 3_400, None)),
        "the inside diameter of the disc spring"
    );
    assert_eq!(
        named(new(50_000, -1, 2_000, 3_400, None)),
        "the inside diameter of the disc spring"
    );
    let diameters = "outside over inside diameter of the disc spring";
    assert_eq!(named(new(25_400, 50_000, 2_000, 3_400, None)), diameters);
    assert_eq!(named(new(50_000, 50_000, 2_000, 3_400, None)), diameters);
    assert_eq!(
        named(new(50_000, 25_400, 0, 3_400, None)),
        "the thickness of the disc spring"
    );
    assert_eq!(
        named(new(50_000, 25_400, 20_000, 23_400, None)),
        "the thickness of the disc spring"
    );
    assert_eq!(
        named(new(50_000, 25_400, 2_000, 2_000, None)),
        "the free height of the disc spring"
    );
    assert_eq!(
        named(new(50_000, 25_400, 2_000, 34_000, None)),
        "the free height of the disc spring"
    );
    let reduced = "the reduced thickness of the disc spring";
    assert_eq!(named(new(50_000, 25_400, 2_000, 3_400, Some(2_001))), reduced);
    assert_eq!(named(new(50_000, 25_400, 2_000, 3_400, Some(200))), reduced);
    let pascals = |mpa| Pressure::from_megapascals(mpa).unwrap();
    let ratio = |value| Ratio::new(value).unwrap();
    assert_eq!(
        named(b50().with_material(pascals(0.0), ratio(0.3))),
        "the modulus of elasticity"
    );
    assert_eq!(
        named(b50().with_material(pascals(2e5), ratio(0.6))),
        "Poisson's ratio"
    );
    assert_eq!(
        named(SpringStack::discs(b50(), 0, 1)),
        "the number of disc springs in parallel"
    );
    assert_eq!(
        named(SpringStack::discs(b50(), 1, 201)),
        "the number of packets in series"
    );
    let rate = |n| SpringRate::from_newtons_per_mm(n).unwrap();
    assert_eq!(
        named(CoilSpring::new(um(0), um(0), rate(1.0))),
        "the free height of the coil spring"
    );
    assert_eq!(
        named(CoilSpring::new(um(20), um(20), rate(1.0))),
        "the solid height of the coil spring"
    );
    assert_eq!(
        named(CoilSpring::new(um(20), um(10), rate(0.0))),
        "the rate of the coil spring"
    );
    let coil = CoilSpring::new(um(20), um(10), rate(1.0)).unwrap();
    assert_eq!(named(SpringStack::coils(coil, 0)), "the number of coil springs");
}

#[test]
fn travel_past_flat_is_refused_with_its_limits() {
    let refused = b50().force_at(um(1_500)).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "travel is 1.500 mm but must be at least 0.000 mm and at most 1.400 mm"
    );
    assert_eq!(named(b50().rate_at(um(-1))), "travel");
    assert!(b50().force_at(um(1_400)).is_ok());
    let stack = SpringStack::discs(b50(), 2, 1).unwrap();
    assert_eq!(
        stack.force_at_height(um(3_999)),
        Err(MechanicsError::PastSolid {
            height: um(3_999),
            solid_height: um(4_000)
        })
    );
    assert_eq!(
        stack.rate_at_height(um(3_999)).unwrap_err(),
        stack.force_at_height(um(3_999)).unwrap_err()
    );
    assert_eq!(named(stack.loss_for_wear(um(5_000), um(-1))), "wear");
}

#[test]
fn a_force_past_any_number_is_refused() {
    let big = |size: i64| um(size * 1_000_000);
    let huge = DiscSpring::new(big(50_000), big(25_400), big(2_000), big(3_400), None).unwrap();
    let hard = Pressure::from_megapascals(1e302).unwrap();
    let huge = huge.with_material(hard, Ratio::new(0.3).unwrap()).unwrap();
    assert!(matches!(huge.flat_force(), Err(MechanicsError::NotFinite(_))));
}

#[test]
fn the_peak_appears_at_the_root_of_two() {
    let of =
        |height| DiscSpring::new(um(100_000), um(60_000), um(1_000), Length::from_nm(height), None).unwrap();
    // h0/t just below and just above 1.414213562
    assert_eq!(of(2_414_213).peak_travel(), None);
    assert!(of(2_414_300).peak_travel().is_some());
}

#[test]
fn past_the_peak_more_travel_gives_less_force() {
    let stack = SpringStack::discs(tall(), 1, 2).unwrap();
    let peak = stack.peak_height().unwrap();
    assert!(stack.solid_height() < peak && peak < stack.free_height());
    let at = |h| stack.force_at_height(h).unwrap();
    assert!(at(peak) > at(peak - um(500)) && at(peak) > at(peak + um(500)));
    assert!(stack.rate_at_height(peak - um(500)).unwrap().newtons_per_mm() < 0.0);
    assert!(stack.rate_at_height(peak + um(500)).unwrap().newtons_per_mm() > 0.0);
    let heights = stack.heights_for_force(at(peak - um(500)));
    assert_eq!(heights.len(), 2);
    assert!(heights[0] > peak && heights[1] == peak - um(500));
    assert!(
        stack
            .heights_for_force(Force::from_newtons(at(peak).newtons() * 1.001).unwrap())
            .is_empty()
    );
    assert!(
        stack
            .heights_for_force(Force::from_newtons(-1.0).unwrap())
            .is_empty()
    );
    assert_eq!(
        stack.heights_for_force(Force::from_newtons(0.0).unwrap()),
        [stack.free_height()]
    );
    let flat = stack.heights_for_force(at(stack.solid_height()));
    assert_eq!((flat.len(), flat[1]), (2, stack.solid_height()));
    let less = Force::from_newtons(at(stack.solid_height()).newtons() * 0.999).unwrap();
    assert_eq!(stack.heights_for_force(less).len(), 1);
    // on the way back up to the peak a worn pack presses harder
    assert!(stack.loss_for_wear(peak - um(500), um(400)).unwrap().newtons() < 0.0);
}

#[test]
fn every_trap_is_told() {
    let stack = SpringStack::discs(tall(), 1, 1).unwrap();
    let (free_height, solid_height) = (um(4_800), um(1_500));
    let peak_height = stack.peak_height().unwrap();
    let last = SpringTrap::PastThreeQuarters {
        height: um(4_800 - 2_475),
    };
    assert_eq!(
        stack.traps_at_height(free_height),
        [SpringTrap::Loose { free_height }]
    );
    assert_eq!(stack.traps_at_height(um(4_500)), []);
    assert_eq!(stack.traps_at_height(peak_height), []);
    assert_eq!(
        stack.traps_at_height(peak_height - um(1)),
        [SpringTrap::FallingBranch { peak_height }]
    );
    let SpringTrap::PastThreeQuarters { height } = last else {
        panic!("{last}")
    };
    let falling = SpringTrap::FallingBranch { peak_height };
    assert_eq!(stack.traps_at_height(height), [falling]);
    assert_eq!(stack.traps_at_height(height - um(1)), [falling, last]);
    assert_eq!(
        stack.traps_at_height(solid_height),
        [SpringTrap::FallingBranch { peak_height }, last]
    );
    assert_eq!(
        stack.traps_at_height(um(1_499)),
        [SpringTrap::PastSolid { solid_height }]
    );
    assert!(
        SpringTrap::FallingBranch { peak_height }
            .to_string()
            .contains("more shim now gives less preload")
    );
    let rate = SpringRate::from_newtons_per_mm(10.0).unwrap();
    let coils = SpringStack::coils(CoilSpring::new(um(20_000), um(12_000), rate).unwrap(), 6).unwrap();
    assert_eq!(coils.traps_at_height(um(12_000)), []);
    assert_eq!(coils.peak_height(), None);
    assert!((coils.rate_at_height(um(15_000)).unwrap().newtons_per_mm() - 60.0).abs() < 1e-12);
    assert!(coils.rate_at_height(um(20_001)).unwrap().newtons_per_mm().abs() <= 0.0);
}

#[test]
fn flats_of_full_thickness_change_nothing() {
    let flats = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), Some(um(2_000))).unwrap();
    for travel in [0, 300, 700, 1_050, 1_400] {
        let (a, b) = (
            flats.force_at(um(travel)).unwrap(),
            b50().force_at(um(travel)).unwrap(),
        );
        assert!((a.newtons() - b.newtons()).abs() <= 1e-12 * b.newtons());
    }
}

#[test]
fn the_accessors_give_back_what_was_put_in() {
    let spring = DiscSpring::new(um(125_000), um(64_000), um(8_000), um(10_600), Some(um(7_500))).unwrap();
    assert_eq!((spring.outside(), spring.inside()), (um(125_000), um(64_000)));
    assert_eq!(
        (spring.thickness(), spring.free_height()),
        (um(8_000), um(10_600))
    );
    assert_eq!(spring.reduced_thickness(), Some(um(7_500)));
    assert_eq!(
        (spring.cone_height(), spring.table_travel()),
        (um(3_100), um(1_950))
    );
}

prop_compose! {
    fn any_spring()(inside in 15_000_i64..80_000, delta in 1.3..2.5_f64, part in 0.03..0.12_f64, slope in 0.3..2.6_f64,
        flats in prop::option::of(0.93..1.0_f64)) -> DiscSpring {
        let outside = inside as f64 * delta;
        let thickness = outside * part * 0.5;
        let whole = |um: f64| Length::from_um(um as i64);
        let slope = slope.min(0.9 * (outside - inside as f64) / 2.0 / thickness);
        DiscSpring::new(whole(outside), um(inside), whole(thickness), whole(thickness * (1.0 + slope)),
            flats.map(|q| whole(thickness * q))).unwrap()
    }
}

proptest! {
    #[test]
    fn force_is_the_integral_of_rate(spring in any_spring(), part in 0.0..1.0_f64) {
        let end = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
        let steps = 60;
        // Simpson's rule is exact for the rate, which is a parabola in s
        let at = |i: i64| spring.shape().rate(end.mm() * i as f64 / f64::from(steps));
        let inner: f64 = (1..i64::from(steps)).map(|i| at(i) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
        let integral = (at(0) + inner + at(i64::from(steps))) * end.mm() / f64::from(steps) / 3.0;
        let force = spring.force_at(end).unwrap().newtons();
        let scale = spring.shape().factor;
        prop_assert!((integral - force).abs() <= 1e-9 * (force.abs() + scale), "{integral} {force}");
    }

    #[test]
    fn force_rises_up_to_the_peak_and_falls_after_it(spring in any_spring(), a in 0.0..1.0_f64, b in 0.0..1.0_f64) {
        let whole = |part: f64| Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
        let (low, high) = (whole(a.min(b)), whole(a.max(b)));
        let (at_low, at_high) = (spring.force_at(low).unwrap(), spring.force_at(high).unwrap());
        let same = 1e-9 * spring.shape().factor;
        let change = at_high.newtons() - at_low.newtons();
        match spring.peak_travel() {
            Some(peak) if low >= peak => prop_assert!(change <= same),
            Some(peak) if high > peak => {
                let most = spring.force_at(peak).unwrap().newtons() + same;
                prop_assert!(at_low.newtons() <= most && at_high.newtons() <= most);
            }
            _ => prop_assert!(change >= -same),
        }
        prop_assert!(at_low.newtons() >= 0.0);
    }

    #[test]
    fn twice_the_size_presses_four_times(spring in any_spring(), part in 0.0..1.0_f64) {
        let twice = DiscSpring::new(spring.outside() * 2, spring.inside() * 2, spring.thickness() * 2, spring.free_height() * 2,
            spring.reduced_thickness().map(|t| t * 2)).unwrap();
        let travel = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
        let (one, other) = (spring.force_at(travel).unwrap(), twice.force_at(travel * 2).unwrap());
        prop_assert!((other.newtons() - 4.0 * one.newtons()).abs() <= 1e-9 * other.newtons().abs());
    }

    #[test]
    fn heights_found_for_a_force_give_that_force(
        spring in any_spring(), parallel in 1_u32..4, series in 1_u32..5, part in 0.0..1.0_f64,
    ) {
        let stack = SpringStack::discs(spring, parallel, series).unwrap();
        let room = (stack.free_height() - stack.solid_height()).nm() as f64;
        let height = stack.solid_height() + Length::from_nm((room * part) as i64);
        let force = stack.force_at_height(height).unwrap();
        let heights = stack.heights_for_force(force);
        prop_assert!(!heights.is_empty() && heights.len() <= 2);
        // one nanometre of height changes the force by no more than the steepest rate, that of the free spring
        let steepest = f64::from(parallel) / f64::from(series) * spring.shape().rate(0.0) * 1e-6;
        for found in &heights {
            let back = stack.force_at_height(*found).unwrap().newtons();
            prop_assert!((back - force.newtons()).abs() <= steepest + 1e-9 * force.newtons(), "{back} {force}");
        }
        // one of them is where we came from, as far as the slope there tells heights apart
        let slope = stack.rate_at_height(height).unwrap().newtons_per_mm().abs();
        if slope > 1e-2 * steepest * 1e6 {
            prop_assert!(heights.iter().any(|h| h.apart(height).nm() <= 2), "{heights:?} {height}");
        }
        prop_assert!(heights.windows(2).all(|pair| pair[0] > pair[1]));
    }

    #[test]
    fn packets_multiply_force_and_stacks_multiply_travel(
        spring in any_spring(), parallel in 1_u32..4, series in 1_u32..5, part in 0.0..1.0_f64,
    ) {
        let travel = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
        let stack = SpringStack::discs(spring, parallel, series).unwrap();
        let height = stack.free_height() - travel * i64::from(series);
        let one = spring.force_at(travel).unwrap().newtons();
        let all = stack.force_at_height(height).unwrap().newtons();
        prop_assert!((all - f64::from(parallel) * one).abs() <= 1e-9 * all.abs());
        let rate = spring.rate_at(travel).unwrap().newtons_per_mm() * f64::from(parallel) / f64::from(series);
        let found = stack.rate_at_height(height).unwrap().newtons_per_mm();
        // at free the stack has its first rate as well
        prop_assert!((found - rate).abs() <= 1e-9 * (rate.abs() + spring.shape().rate(0.0)));
    }
}

#[test]
fn travel_and_height_of_a_stack_are_two_sides_of_one_thing() {
    let stack = SpringStack::discs(tall(), 2, 3).unwrap();
    assert_eq!(stack.full_travel(), um(9_900));
    assert_eq!(stack.height_after(stack.full_travel()), Ok(stack.solid_height()));
    assert_eq!(stack.height_after(Length::ZERO), Ok(stack.free_height()));
    let peak = stack.peak_travel().unwrap();
    assert_eq!(stack.height_after(peak).ok(), stack.peak_height());
    assert_eq!(
        SpringStack::discs(b50(), 1, 1).unwrap().peak_travel(),
        None,
        "the force of this one rises all the way"
    );
    assert_eq!(named(stack.height_after(-um(1))), "travel");
    assert_eq!(named(stack.height_after(um(9_901))), "travel");
}

#[test]
fn contact_flats_raise_k4_above_one() {
    assert!((b50().k4() - 1.0).abs() < f64::EPSILON);
    // DIN 2093, 125 x 64 x 8 with t' = 7.5 mm: a125_group3_f75 in tests/references/disc_springs.toml, from memory
    let flats = DiscSpring::new(um(125_000), um(64_000), um(8_000), um(10_600), Some(um(7_500))).unwrap();
    assert!((flats.k4() - 1.0834).abs() < 0.0005);
}
