//! Breakaway: what is refused, when the packs wedge, and the balances that a reading keeps.

use super::*;
use crate::mechanics::SpringPlace;
use crate::quantity::{Datum, Length, RampAngle};
use proptest::prelude::*;

fn nm(value: f64) -> Torque {
    Torque::from_newton_metres(value).unwrap()
}

fn newtons(value: f64) -> Force {
    Force::from_newtons(value).unwrap()
}

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

fn bench(held: Held, spring_place: SpringPlace) -> Bench {
    Bench {
        setup: LockSetup {
            faces: [8, 8],
            friction: ratio(0.12),
            friction_radius: Length::from_um(40_000),
            pin_radius: Length::from_um(30_000),
            drive: RampAngle::new(60.0, Datum::RingFace).unwrap(),
            coast: RampAngle::new(70.0, Datum::RingFace).unwrap(),
            ramp_friction: ratio(0.06),
            preload: [newtons(1000.0); 2],
            spring_place,
            gear_thrust: None,
            tab_friction: None,
        },
        turning: ratio(0.1),
        holding: Holding {
            held,
            turned: Turned::Right,
            sense: Sense::Backwards,
        },
    }
}

#[test]
fn senseless_inputs_are_refused_by_name() {
    let named = |result: Result<f64, MechanicsError>| match result {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    let with = |change: fn(&mut Bench), reading: f64, drag: f64| {
        let mut unit = bench(Held::Case, SpringPlace::BehindPack);
        change(&mut unit);
        unit.friction(nm(reading), nm(drag)).map(Ratio::value)
    };
    assert_eq!(named(with(|_| (), 80.0, -1.0)), "the drag");
    assert_eq!(
        named(with(|_| (), 10.0, 6.0)),
        "the reading, which the drag alone gives,"
    );
    assert_eq!(
        named(with(|unit| unit.setup.friction_radius = Length::ZERO, 80.0, 1.0)),
        "the friction radius"
    );
    assert_eq!(
        named(with(|unit| unit.setup.preload[1] = newtons(-1.0), 80.0, 1.0)),
        "the force through the pack"
    );
    assert_eq!(
        named(with(|unit| unit.setup.preload = [newtons(0.0); 2], 80.0, 1.0)),
        "the force on all faces"
    );
    let no_ramp = |unit: &mut Bench| unit.setup.drive = RampAngle::NONE;
    assert_eq!(named(with(no_ramp, 1e4, 1.0)), "friction of the plates");
    let unit = bench(Held::Output, SpringPlace::BehindPack);
    let mut fast = unit.clone();
    fast.turning = ratio(1.5);
    let read = fast.turning(nm(0.0)).map(|shown| shown.reading.newton_metres());
    assert_eq!(named(read), "friction of the plates while turning");
}

#[test]
fn the_case_held_wedges_from_a_share_of_one_wherever_the_spring_sits() {
    for place in [SpringPlace::BehindPack, SpringPlace::BetweenRings] {
        let mut unit = bench(Held::Case, place);
        unit.setup.drive = RampAngle::new(40.0, Datum::RingFace).unwrap();
        assert!(unit.share().unwrap().value() > 1.0);
        for read in [unit.first_movement(nm(0.0)), unit.turning(nm(0.0))] {
            assert!(matches!(read, Err(MechanicsError::Wedges { .. })), "{place}");
        }
        let output = unit.read(Holding {
            held: Held::Output,
            ..unit.holding
        });
        assert!((output.first_movement(nm(0.0)).unwrap().reading.newton_metres() - 38.4).abs() < 1e-9);
    }
    // just 1, and no friction at the ramp: 0.1 · 8 · 50 mm on pins at 40 mm, 45 degrees
    let mut unit = bench(Held::Case, SpringPlace::BehindPack);
    unit.setup.friction = ratio(0.1);
    unit.setup.friction_radius = Length::from_um(50_000);
    unit.setup.pin_radius = Length::from_um(40_000);
    unit.setup.drive = RampAngle::new(45.0, Datum::RingFace).unwrap();
    unit.setup.ramp_friction = ratio(0.0);
    unit.setup.faces = [9, 3];
    unit.holding.turned = Turned::Right;
    assert!(unit.first_movement(nm(0.0)).is_err(), "nine faces free");
    unit.holding.turned = Turned::Left;
    assert!(unit.first_movement(nm(0.0)).is_ok(), "three faces free");
}

#[test]
fn a_ring_hangs_on_after_first_movement_as_long_as_its_ramp_does() {
    let none = nm(0.0);
    // k_release/k is 1.32 at 60 degrees with 0.06: 0.12/0.10 hangs on, 0.12/0.08 lets go
    let unit = bench(Held::Case, SpringPlace::BetweenRings);
    let still = unit.first_movement(none).unwrap();
    let hangs = unit.turning(none).unwrap();
    let share = hangs.reading.newton_metres() / still.reading.newton_metres();
    assert!((share - 0.10 / 0.12).abs() < 1e-12);
    assert_eq!(hangs.forces, still.forces);
    let mut slippery = unit.clone();
    slippery.turning = ratio(0.08);
    let let_go = slippery.turning(none).unwrap();
    // 2 c F0/(1 − S_release)
    let c = 8.0 * 0.08 * 0.04;
    let release = crate::mechanics::ramp::release_gain(unit.setup.drive, ratio(0.06))
        .unwrap()
        .value();
    let expected = 2.0 * c * 1000.0 / (1.0 - c * release / 0.03);
    assert!((let_go.reading.newton_metres() - expected).abs() < 1e-9);
    // behind the pack nothing has been lifted
    let behind = bench(Held::Case, SpringPlace::BehindPack).turning(none).unwrap();
    assert!((behind.reading.newton_metres() - 64.0).abs() < 1e-9);
}

#[test]
fn a_reading_of_no_expectation_looks_like_nothing() {
    assert!(!looks_like(nm(0.0), nm(0.0), nm(0.0)));
    assert!(!looks_like(nm(10.0), nm(0.0), nm(0.0)));
    assert!(!looks_like(nm(-20.0), nm(10.0), nm(10.0)));
}

#[test]
fn of_two_frictions_that_give_one_reading_the_least_is_told() {
    let mut unit = bench(Held::Output, SpringPlace::BetweenRings);
    unit.setup.faces = [9, 3];
    unit.setup.preload = [newtons(387.23), newtons(1537.28)];
    unit.setup.drive = RampAngle::new(38.486, Datum::RingFace).unwrap();
    let read = |unit: &mut Bench, mu: f64| {
        unit.setup.friction = ratio(mu);
        unit.first_movement(nm(10.687)).unwrap().reading
    };
    // with more friction the packs wedge, and with more still the other pack leads and less is read
    let (first, other) = (read(&mut unit, 0.1926), read(&mut unit, 0.266));
    assert!(
        (first.newton_metres() - other.newton_metres()).abs() < 0.5,
        "{first} {other}"
    );
    unit.setup.friction = ratio(0.23);
    assert!(unit.first_movement(nm(10.687)).is_err());
    let back = unit.friction(first, nm(10.687)).unwrap().value();
    assert!((back - 0.1926).abs() < 1e-9, "{back}");
}

proptest! {
    #[test]
    fn friction_comes_back_from_its_reading(
        faces in (1_u32..14, 1_u32..14), forces in (1.0..5e3_f64, 1.0..5e3_f64), mu in 0.01..0.5_f64,
        drag in 0.0..20.0_f64, case in any::<bool>(), behind in any::<bool>(), degrees in 30.0..=90.0_f64, left in any::<bool>(),
    ) {
        let held = if case { Held::Case } else { Held::Output };
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        let mut unit = bench(held, place);
        unit.setup.faces = [faces.0, faces.1];
        unit.setup.preload = [newtons(forces.0), newtons(forces.1)];
        unit.setup.friction = ratio(mu);
        unit.setup.drive = RampAngle::new(degrees, Datum::RingFace).unwrap();
        unit.holding.turned = if left { Turned::Left } else { Turned::Right };
        let Ok(read) = unit.first_movement(nm(drag)) else {
            return Ok(());
        };
        let back = unit.friction(read.reading, nm(drag)).unwrap().value();
        // a drag far above the packs' torque leaves few digits, and so does a reading that hardly depends on the friction
        let digits = 1e-13 * (1.0 + read.reading.newton_metres() / read.packs[0].newton_metres().min(read.packs[1].newton_metres()));
        let same = (back - mu).abs() <= 1e-9 * mu + digits;
        // packs that differ may read the same with less friction; then it is that
        unit.setup.friction = ratio(back);
        let less = back < mu && unit.first_movement(nm(drag)).is_ok_and(|again| {
            let (again, read) = (again.reading.newton_metres(), read.reading.newton_metres());
            (again - read).abs() <= 1e-6 * read
        });
        prop_assert!(same || less, "{} {}", back, mu);
    }

    #[test]
    fn turning_never_reads_more_than_first_movement(
        faces in (1_u32..14, 1_u32..14), degrees in 40.0..=90.0_f64, slower in 0.5..=1.0_f64, behind in any::<bool>(),
        drag in 0.0..5.0_f64, case in any::<bool>(),
    ) {
        let held = if case { Held::Case } else { Held::Output };
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        let mut unit = bench(held, place);
        unit.setup.faces = [faces.0, faces.1];
        unit.setup.drive = RampAngle::new(degrees, Datum::RingFace).unwrap();
        unit.turning = ratio(0.12 * slower);
        if let (Ok(first), Ok(turning)) = (unit.first_movement(nm(drag)), unit.turning(nm(drag))) {
            prop_assert!(turning.reading.newton_metres() <= first.reading.newton_metres() * (1.0 + 1e-12));
        }
    }
}
