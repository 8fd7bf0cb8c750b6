//! The lock curve: what it refuses, where it starts and ends, and the balances that it keeps.

use super::*;
use crate::mechanics::setup::{GearThrust, SpringPlace, TabFriction};
use crate::quantity::{Angle, Datum, Length, RampAngle};
use Direction::{Coast, Drive};
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

fn setup() -> LockSetup {
    LockSetup {
        faces: [6, 6],
        friction: ratio(0.1),
        friction_radius: Length::from_um(50_000),
        pin_radius: Length::from_um(40_000),
        drive: RampAngle::new(45.0, Datum::RingFace).unwrap(),
        coast: RampAngle::new(30.0, Datum::ShaftAxis).unwrap(),
        ramp_friction: ratio(0.05),
        preload: [newtons(1500.0); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    }
}

fn held(model: &LockModel, direction: Direction, torque: f64) -> f64 {
    model
        .torque_difference(direction, nm(torque))
        .unwrap()
        .newton_metres()
}

#[test]
fn a_field_out_of_range_is_refused_by_name() {
    let named = |change: fn(&mut LockSetup)| {
        let mut setup = setup();
        change(&mut setup);
        match LockModel::new(setup) {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(named(|s| s.faces = [6, 1001]), "the number of faces");
    assert_eq!(named(|s| s.friction = ratio(-0.1)), "friction of the plates");
    assert_eq!(named(|s| s.friction_radius = Length::ZERO), "the friction radius");
    assert_eq!(named(|s| s.pin_radius = Length::ZERO), "the radius of the pins");
    assert_eq!(named(|s| s.ramp_friction = ratio(1.5)), "friction at the ramp");
    assert_eq!(
        named(|s| s.preload = [newtons(1.0), newtons(-1.0)]),
        "the force through the pack"
    );
    let tabs = |friction, radius| TabFriction {
        friction: ratio(friction),
        radius: Length::from_um(radius),
    };
    let with_tabs = |tabs| {
        LockModel::new(LockSetup {
            tab_friction: Some(tabs),
            ..setup()
        })
    };
    assert!(matches!(
        with_tabs(tabs(-0.1, 50_000)),
        Err(MechanicsError::OutOfRange {
            what: "friction of the ring's tabs",
            ..
        })
    ));
    assert!(matches!(
        with_tabs(tabs(0.1, 0)),
        Err(MechanicsError::OutOfRange {
            what: "the radius of the ring's tabs",
            ..
        })
    ));
    let model = LockModel::new(setup()).unwrap();
    let torque = "the torque at the case";
    assert!(
        matches!(model.pack_forces(Drive, nm(-1.0)), Err(MechanicsError::OutOfRange { what, .. }) if what == torque)
    );
    assert!(
        matches!(model.split(Drive, nm(-1.0)), Err(MechanicsError::OutOfRange { what, .. }) if what == torque)
    );
    assert!(matches!(
        model.curve(Drive, nm(100.0), 1),
        Err(MechanicsError::OutOfRange {
            what: "the number of points",
            ..
        })
    ));
    assert!(matches!(
        model.torque_difference(Drive, nm(f64::MAX)),
        Err(MechanicsError::NotFinite(_))
    ));
}

#[test]
fn a_share_of_one_is_a_solid_axle_and_has_no_bias_ratio() {
    let model = LockModel::new(LockSetup {
        faces: [20, 20],
        ..setup()
    })
    .unwrap();
    assert!(model.share(Drive).value() > 1.0);
    assert_eq!((model.bias_ratio(Drive), model.locked_up_to(Drive)), (None, None));
    let (slow, fast) = model.split(Drive, nm(500.0)).unwrap();
    assert_eq!((slow, fast), (nm(500.0), nm(0.0)));
}

#[test]
fn a_ramp_that_does_not_spread_leaves_the_preload_alone() {
    let model = LockModel::new(LockSetup {
        coast: RampAngle::NONE,
        ..setup()
    })
    .unwrap();
    // 12 faces at 0.1 and 50 mm under 1500 N
    for torque in [0.0, 10.0, 1000.0] {
        assert!((held(&model, Coast, torque) - 90.0).abs() < 1e-9);
    }
    assert_eq!((model.corner(Coast), model.share(Coast)), (None, ratio(0.0)));
    assert_eq!(model.bias_ratio(Coast), Some(ratio(1.0)));
    assert!((model.locked_up_to(Coast).unwrap().newton_metres() - 90.0).abs() < 1e-9);
}

/// From the rule S = (S_s + S_f)/(2 + S_s − S_f) by hand: S_x is n · 0.1 · 40 mm · 0.8868/31 mm = 0.11443 n.
#[test]
fn unequal_packs_lock_differently_to_left_and_right() {
    let shares = |faces: [u32; 2]| {
        let model = LockModel::new(LockSetup {
            faces,
            friction_radius: Length::from_um(40_000),
            pin_radius: Length::from_um(31_000),
            ramp_friction: ratio(0.06),
            ..setup()
        })
        .unwrap();
        (
            model.shares(Drive).map(|share| share.unwrap().value()),
            model.share(Drive).value(),
        )
    };
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 5e-4, "{found} {wanted}");
    let ([left_slower, right_slower], lesser) = shares([8, 6]);
    near(left_slower, 0.719);
    near(right_slower, 0.904);
    near(lesser, 0.719);
    let ([left_slower, _], _) = shares([8, 10]);
    near(left_slower, 1.163);
    // the faster wheel's pack alone decides from where on it is solid
    let model = LockModel::new(LockSetup {
        faces: [40, 6],
        friction_radius: Length::from_um(40_000),
        pin_radius: Length::from_um(31_000),
        ramp_friction: ratio(0.06),
        ..setup()
    })
    .unwrap();
    assert!(model.share(Drive).value() < 1.0 && model.locked_up_to(Drive).is_some());
    assert!(model.shares(Drive)[1].is_none_or(|share| share.value() > 1.0));
}

#[test]
fn tabs_take_from_the_ramp_and_never_below_nothing() {
    let tabs = |friction| {
        Some(TabFriction {
            friction: ratio(friction),
            radius: Length::from_um(60_000),
        })
    };
    let plain = LockModel::new(setup()).unwrap();
    let held_back = LockModel::new(LockSetup {
        tab_friction: tabs(0.1),
        ..setup()
    })
    .unwrap();
    // S falls by Σ n μ r_f · μ_tab/(2 r_tab) = 12 · 0.1 · 0.05 · 0.1/0.12
    let fall = plain.share(Drive).value() - held_back.share(Drive).value();
    assert!((fall - 0.05).abs() < 1e-12);
    let stuck = LockModel::new(LockSetup {
        tab_friction: tabs(1.0),
        coast: RampAngle::NONE,
        ..setup()
    })
    .unwrap();
    assert_eq!(stuck.share(Coast), ratio(0.0));
}

#[test]
fn gear_thrust_adds_its_own_share() {
    let degrees = |value| Angle::from_degrees(value).unwrap();
    let thrust = GearThrust {
        gear_radius: Length::from_um(30_000),
        pressure_angle: degrees(22.5),
        pitch_angle: degrees(60.0),
    };
    let plain = LockModel::new(setup()).unwrap();
    let with = LockModel::new(LockSetup {
        gear_thrust: Some(thrust),
        ..setup()
    })
    .unwrap();
    // n μ r_f tan α sin δ / r_g
    let expected = 6.0 * 0.1 * 0.05 * 22.5_f64.to_radians().tan() * 60.0_f64.to_radians().sin() / 0.03;
    assert!((with.share(Drive).value() - plain.share(Drive).value() - expected).abs() < 1e-12);
}

#[test]
fn the_curve_starts_at_the_preload_and_ends_at_the_last_torque() {
    let model = LockModel::new(setup()).unwrap();
    let curve = model.curve(Drive, nm(900.0), 10).unwrap();
    assert_eq!(curve.len(), 10);
    assert_eq!(curve[0], (nm(0.0), model.preload_torque()));
    assert_eq!(
        curve[9],
        (nm(900.0), model.torque_difference(Drive, nm(900.0)).unwrap())
    );
    assert!(
        curve
            .windows(2)
            .all(|pair| pair[0].0 < pair[1].0 && pair[0].1 <= pair[1].1)
    );
}

prop_compose! {
    /// Packs alike.
    fn any_setup()(setup in any_uneven()) -> LockSetup {
        LockSetup { faces: [setup.faces[0]; 2], preload: [setup.preload[0]; 2], ..setup }
    }
}

prop_compose! {
    fn any_uneven()(
        faces in (0_u32..14, 0_u32..14), mu in 0.02..0.2_f64, ramps in (20.0..=90.0_f64, 20.0..=90.0_f64),
        ramp_friction in 0.0..0.2_f64, preload in (0.0..4000.0_f64, 0.0..4000.0_f64), behind in any::<bool>(),
        tabs in prop::option::of(0.0..0.2_f64), gears in any::<bool>(),
    ) -> LockSetup {
        let degrees = |value| Angle::from_degrees(value).unwrap();
        LockSetup {
            faces: [faces.0, faces.1],
            friction: ratio(mu),
            drive: RampAngle::new(ramps.0, Datum::RingFace).unwrap(),
            coast: RampAngle::new(ramps.1, Datum::RingFace).unwrap(),
            ramp_friction: ratio(ramp_friction),
            preload: [newtons(preload.0), newtons(preload.1)],
            spring_place: if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings },
            tab_friction: tabs.map(|mu| TabFriction { friction: ratio(mu), radius: Length::from_um(60_000) }),
            gear_thrust: gears.then(|| GearThrust {
                gear_radius: Length::from_um(30_000), pressure_angle: degrees(20.0), pitch_angle: degrees(55.0),
            }),
            ..setup()
        }
    }
}

proptest! {
    #[test]
    fn left_and_right_may_be_swapped(setup in any_uneven(), torque in 0.0..3000.0_f64) {
        let mut mirrored = setup.clone();
        mirrored.faces.reverse();
        mirrored.preload.reverse();
        let (model, mirror) = (LockModel::new(setup).unwrap(), LockModel::new(mirrored).unwrap());
        for direction in [Drive, Coast] {
            let (a, b) = (held(&model, direction, torque), held(&mirror, direction, torque));
            prop_assert!((a - b).abs() <= 1e-9 * (1.0 + a));
            prop_assert_eq!(model.corner(direction), mirror.corner(direction));
            // no torque may make a side slip, and then neither that of the mirror
            let (Ok(ours), Ok([left, right])) =
                (model.pack_forces(direction, nm(torque)), mirror.pack_forces(direction, nm(torque)))
            else {
                continue;
            };
            // the balance adds the left side first, so the last bit of a force may differ
            let theirs = [right, left].map(|[left, right]| [right, left]);
            for (one, other) in ours.into_iter().flatten().zip(theirs.into_iter().flatten()) {
                let off = (one.newtons() - other.newtons()).abs();
                prop_assert!(off <= 1e-12 * one.newtons().max(1.0), "{one} {other}");
            }
        }
    }

    #[test]
    fn more_of_anything_that_locks_never_locks_less(setup in any_setup(), torque in 0.0..3000.0_f64, more in 1.0..500.0_f64) {
        let model = LockModel::new(setup.clone()).unwrap();
        let before = held(&model, Drive, torque);
        let slack = 1e-9 * (1.0 + before);
        prop_assert!(held(&model, Drive, torque + more) >= before - slack);
        let changed = |change: &dyn Fn(&mut LockSetup)| {
            let mut setup = setup.clone();
            change(&mut setup);
            held(&LockModel::new(setup).unwrap(), Drive, torque)
        };
        prop_assert!(changed(&|s| s.faces = s.faces.map(|faces| faces + 1)) >= before - slack);
        let pressed = |force: Force| newtons(force.newtons() + more);
        prop_assert!(changed(&|s| s.preload = s.preload.map(pressed)) >= before - slack);
        prop_assert!(changed(&|s| s.friction = ratio(s.friction.value() + 0.05)) >= before - slack);
        // an angle that spreads less, and more friction at the ramp, never lock more
        let flatter = |s: &mut LockSetup| {
            let degrees = (s.drive.degrees_from_ring_face() + more / 50.0).min(90.0);
            s.drive = RampAngle::new(degrees, Datum::RingFace).unwrap();
        };
        prop_assert!(changed(&flatter) <= before + slack);
        prop_assert!(changed(&|s| s.ramp_friction = ratio(s.ramp_friction.value() + 0.05)) <= before + slack);
        // the same spring between the rings locks at least as much as behind the pack, at most twice as much
        let behind = changed(&|s| s.spring_place = SpringPlace::BehindPack);
        let between = changed(&|s| s.spring_place = SpringPlace::BetweenRings);
        prop_assert!(between >= behind - slack && between <= 2.0 * behind + slack);
    }

    #[test]
    fn the_split_adds_up_and_keeps_to_the_torque(setup in any_setup(), torque in 0.0..3000.0_f64) {
        let model = LockModel::new(setup).unwrap();
        for direction in [Drive, Coast] {
            let (slow, fast) = model.split(direction, nm(torque)).unwrap();
            let (slow, fast) = (slow.newton_metres(), fast.newton_metres());
            prop_assert!((slow + fast - torque).abs() <= 1e-9 * (1.0 + torque));
            prop_assert!(fast >= 0.0 && slow >= fast && slow <= torque);
            prop_assert!(slow - fast <= held(&model, direction, torque) + 1e-9 * (1.0 + torque));
        }
    }

    /// The case: T into it, M_s out of it to the slower wheel, M_f back from the faster one, the rest through the pins.
    #[test]
    fn unequal_packs_slip_where_the_case_is_balanced(setup in any_uneven(), torque in 0.0..3000.0_f64) {
        let model = LockModel::new(setup).unwrap();
        let pins = Pins::of(model.setup()).unwrap();
        let both = model.torque_differences(Drive, nm(torque)).unwrap();
        for slower in [0, 1] {
            let Some(load) = pins.slipping(Drive, torque, slower) else {
                prop_assert!(both[slower].newton_metres() >= WITHOUT_END);
                continue;
            };
            let (slow, fast) = (pins.torque(slower, load), pins.torque(1 - slower, load));
            let carried = torque - slow + fast;
            let slack = 1e-9 * (1.0 + torque + slow + fast);
            prop_assert!((carried.abs() - 2.0 * load.torque).abs() <= slack);
            // pushed the other way, the other ramp works
            let ramp = if carried >= -slack { Drive } else { Coast };
            prop_assert!(carried.abs() <= slack || (load.q - pins.ramp(ramp).rising).abs() < 1e-12);
            prop_assert!((both[slower].newton_metres() - slow - fast).abs() <= slack);
            prop_assert!(model.torque_difference(Drive, nm(torque)).unwrap() <= both[slower]);
        }
        // where one wheel hangs free the case-held reading is that same balance
        if let Some(end) = model.locked_up_to(Drive).filter(|_| pins.share(0, Drive).max(pins.share(1, Drive)) < 0.99) {
            let end = end.newton_metres();
            prop_assert!((held(&model, Drive, end) - end).abs() <= 1e-6 * (1.0 + end));
        }
    }

    #[test]
    fn the_end_of_lock_is_where_the_curve_meets_the_torque(setup in any_setup()) {
        let model = LockModel::new(setup).unwrap();
        for direction in [Drive, Coast] {
            match model.locked_up_to(direction) {
                Some(end) => {
                    let end = end.newton_metres();
                    prop_assert!((held(&model, direction, end) - end).abs() <= 1e-9 * (1.0 + end));
                    let past = end * 1.01 + 1.0;
                    prop_assert!(held(&model, direction, past) < past);
                    prop_assert!(held(&model, direction, 0.99 * end) >= 0.99 * end * (1.0 - 1e-12));
                }
                None => {
                    prop_assert!(model.share(direction).value() >= 1.0);
                    for torque in [0.0, 1.0, 50.0, 5000.0] {
                        prop_assert!(held(&model, direction, torque) >= torque * (1.0 - 1e-12));
                    }
                }
            }
        }
    }

    #[test]
    fn the_corner_is_where_the_ramps_begin_to_add(setup in any_setup()) {
        let model = LockModel::new(setup).unwrap();
        if let Some(corner) = model.corner(Drive) {
            let floor = model.preload_torque().newton_metres();
            let corner = corner.newton_metres();
            prop_assert!((held(&model, Drive, 0.999 * corner) - floor).abs() <= 1e-9 * (1.0 + floor));
            let [forces, _] = model.pack_forces(Drive, nm(corner * 1.001)).unwrap();
            prop_assert!(forces[0] > model.setup().preload[0] || forces[1] > model.setup().preload[1]);
        }
    }

    #[test]
    fn a_unit_of_twice_the_size_holds_the_same_share(setup in any_setup()) {
        let mut twice = setup.clone();
        twice.friction_radius = setup.friction_radius * 2;
        twice.pin_radius = setup.pin_radius * 2;
        twice.tab_friction = setup.tab_friction.map(|tabs| TabFriction { radius: tabs.radius * 2, ..tabs });
        twice.gear_thrust = setup.gear_thrust.map(|gears| GearThrust { gear_radius: gears.gear_radius * 2, ..gears });
        let (one, other) = (LockModel::new(setup).unwrap(), LockModel::new(twice).unwrap());
        prop_assert!((one.share(Drive).value() - other.share(Drive).value()).abs() <= 1e-9);
        let (a, b) = (one.preload_torque().newton_metres(), other.preload_torque().newton_metres());
        prop_assert!((2.0 * a - b).abs() <= 1e-9 * (1.0 + b));
    }

    #[test]
    fn without_preload_split_and_bias_ratio_agree(setup in any_setup(), torque in 1.0..3000.0_f64) {
        let model = LockModel::new(LockSetup { preload: [newtons(0.0); 2], ..setup }).unwrap();
        let (slow, fast) = model.split(Drive, nm(torque)).unwrap();
        let share = (slow.newton_metres() - fast.newton_metres()) / torque;
        prop_assert!((share - model.share(Drive).value().min(1.0)).abs() <= 1e-9);
        if let Some(bias) = model.bias_ratio(Drive) {
            prop_assert!((slow.newton_metres() / fast.newton_metres() - bias.value()).abs() <= 1e-6 * bias.value());
        }
    }
}
