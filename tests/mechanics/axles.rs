//! The driven axle held against published examples of drive and load, and what a lock holds of the difference between its tyres.

use crate::reference::{each_check, mm, newton_metres, newtons, ratio};
use proptest::prelude::*;
use shimwright::mechanics::Direction::Drive;
use shimwright::mechanics::axle::{case_torque, lock_share};
use shimwright::mechanics::moving_axle::balance;
use shimwright::mechanics::{
    Axle, AxleBalance, AxleMoment, AxleTurns, LockModel, LockSetup, MechanicsError, Reaction, SpringPlace,
};
use shimwright::quantity::{Datum, Mass, RampAngle, Velocity};

/// What a foot is, exact by definition.
const FOOT_MM: f64 = 304.8;
const GRAVITY: f64 = 9.806_65;

fn kg(value: f64) -> Mass {
    Mass::from_kilograms(value).unwrap()
}

fn ramp(degrees: f64) -> RampAngle {
    RampAngle::new(degrees, Datum::RingFace).unwrap()
}

fn unit(faces: u32, drive: f64, preload: f64, spring_place: SpringPlace) -> LockSetup {
    LockSetup {
        faces: [faces; 2],
        friction: ratio(0.1),
        friction_radius: mm(40.0),
        pin_radius: mm(31.0),
        drive: ramp(drive),
        coast: ramp(drive),
        ramp_friction: ratio(0.06),
        preload: [newtons(preload); 2],
        spring_place,
        gear_thrust: None,
        tab_friction: None,
    }
}

fn model(setup: LockSetup) -> LockModel {
    LockModel::new(setup).unwrap()
}

/// A rear-driven car straight on, with all grip on both sides and a shaft through its axle.
fn straight_on() -> AxleMoment {
    AxleMoment {
        mass: kg(1200.0),
        axle_mass: kg(620.0),
        axle: Axle::Rear,
        track: mm(1450.0),
        wheelbase: mm(2500.0),
        height: mm(480.0),
        roll_share: ratio(1.0),
        tyre_radius: mm(300.0),
        drive_share: ratio(1.0),
        speed: Velocity::from_km_per_hour(100.0).unwrap(),
        cornering: ratio(0.0),
        grip: [ratio(3.0); 2],
        slide_slip: ratio(0.1),
        downforce: newtons(0.0),
        torque: newton_metres(0.0),
    }
}

/// What comes of a moment with a unit that locks the share 1.
fn of(moment: AxleMoment) -> AxleBalance {
    balance(&moment, &of_share(1.0)).unwrap()
}

fn on_the_axle(found: &AxleBalance) -> f64 {
    found.loads.inside.newtons() + found.loads.outside.newtons()
}

#[test]
fn worked_examples_of_drive_and_load_come_out() {
    each_check("drivetrain.toml", |check| match check.id.as_str() {
        "tractive_effort_metric" => {
            let all = ratio(check.input("efficiency"));
            let engine = newton_metres(check.input("T_motor_Nm"));
            let torque =
                case_torque(engine, ratio(check.input("total_ratio")), ratio(1.0), all, all).unwrap();
            check.expect("F_N", torque.newton_metres() / (check.input("r_mm") / 1e3));
        }
        "tractive_effort_imperial" => {
            // pounds-force and inches all the way: the ratio does not know the unit
            let engine = newton_metres(check.input("T_motor_lbf_in"));
            let one = ratio(1.0);
            let torque = case_torque(engine, ratio(check.input("total_ratio")), one, one, one).unwrap();
            check.expect("F_lbf", torque.newton_metres() / check.input("r_in"));
        }
        "gears_from_teeth" => {
            let of = |teeth: Vec<f64>| teeth[1] / teeth[0];
            let (gear, last) = (
                of(check.input_list("gear_teeth")),
                of(check.input_list("final_teeth")),
            );
            let (engine, one) = (newton_metres(check.input("T_engine_Nm")), ratio(1.0));
            let torque = case_torque(engine, ratio(gear), ratio(last), one, one).unwrap();
            let multiplied = torque.newton_metres() / check.input("T_engine_Nm");
            check.expect("ratio", multiplied);
            check.expect("F_N", torque.newton_metres() / check.input("r_m"));
            let wheel = check.input("rpm") / multiplied / 60.0 * 2.0 * std::f64::consts::PI;
            check.expect("v_km_per_h", wheel * check.input("r_m") * 3.6);
        }
        "max_acceleration_rwd" => {
            // The source takes g as 9.81 m/s²: as a share of gravity the answer is the same, forces are scaled.
            let (mass, g) = (check.input("m_kg"), check.input("g"));
            let found = of(AxleMoment {
                mass: kg(mass),
                axle_mass: kg(mass / 2.0),
                wheelbase: mm(check.input("wheelbase_m") * 1e3),
                height: mm(check.input("h_cg_m") * 1e3),
                grip: [ratio(check.input("mu")); 2],
                torque: newton_metres(1e5),
                ..straight_on()
            });
            assert_eq!(found.turns, AxleTurns::BothSpin);
            let force = found.case_torque.newton_metres() / 0.3 * g / GRAVITY;
            check.expect("F_N", force);
            check.expect("a_m_per_s2", found.ahead.value() * g);
            check.expect("rear_axle_N", on_the_axle(&found) * g / GRAVITY);
        }
        "braking_load_transfer_mu01" => {
            let mass = 1000.0;
            let front = check.input("cg_ahead_of_rear_axle_ft") / check.input("wheelbase_ft");
            let mu = check.input("mu");
            let from = check.input("v_mph") * 5280.0 / 3600.0;
            let stop = |share: f64| from * from / (2.0 * share * check.input("g_ft_s2"));
            let slowed = |axle: Axle, share: f64, newton: f64| {
                let part = if axle == Axle::Front { front } else { 1.0 - front };
                of(AxleMoment {
                    mass: kg(mass),
                    axle_mass: kg(mass * part),
                    axle,
                    wheelbase: mm(check.input("wheelbase_ft") * FOOT_MM),
                    height: mm(check.input("h_cg_ft") * FOOT_MM),
                    drive_share: ratio(share),
                    grip: [ratio(mu); 2],
                    torque: newton_metres(-newton * 0.3),
                    ..straight_on()
                })
            };
            // one axle braking at its limit is that axle on coast with more torque than its tyres take
            let alone = |axle| -slowed(axle, 1.0, 1e5).ahead.value();
            check.expect("s_rear_ft", stop(alone(Axle::Rear)));
            check.expect("s_front_ft", stop(alone(Axle::Front)));
            check.expect("s_all_ft", stop(mu));
            // all four at the limit: the loads follow from the car's slowing, whatever each axle gives of it
            let share = 0.3;
            let all = |axle| slowed(axle, share, share * mu * mass * GRAVITY);
            let [front, rear] = [Axle::Front, Axle::Rear].map(all);
            check.expect("N_front_over_rear", on_the_axle(&front) / on_the_axle(&rear));
        }
        "lateral_transfer_two_axles" => {
            let cornering = |mass: &str, track: &str| {
                of(AxleMoment {
                    mass: kg(check.input(mass)),
                    axle_mass: kg(check.input(mass)),
                    track: mm(check.input(track)),
                    height: mm(check.input("h_cg_mm")),
                    cornering: ratio(check.input("lateral_g")),
                    ..straight_on()
                })
                .loads
            };
            let front = cornering("m_front_kg", "track_front_mm");
            let rear = cornering("m_rear_kg", "track_rear_mm");
            let gained = |outside: f64, inside: f64| (outside - inside) / 2.0 / GRAVITY;
            check.expect(
                "dW_front_kg",
                gained(front.outside.newtons(), front.inside.newtons()),
            );
            check.expect(
                "dW_rear_kg",
                gained(rear.outside.newtons(), rear.inside.newtons()),
            );
            check.expect("inner_rear_kg", rear.inside.newtons() / GRAVITY);
            check.expect("outer_rear_kg", rear.outside.newtons() / GRAVITY);
        }
        "lateral_transfer_axle" => {
            let mass = check.input("axle_kg");
            let loads = of(AxleMoment {
                mass: kg(mass),
                axle_mass: kg(mass),
                track: mm(check.input("track_mm")),
                height: mm(check.input("h_mm")),
                cornering: ratio(check.input("lateral_g")),
                ..straight_on()
            })
            .loads;
            check.expect("dW_kg", loads.outside.newtons() / GRAVITY - mass / 2.0);
        }
        other => panic!("no test for {other}"),
    });
}

/// A unit without preload whose ramps lock the share S: ten faces at the radius of the pins under 45°, so S = 10 μ.
fn of_share(share: f64) -> LockModel {
    model(LockSetup {
        friction: ratio(share / 10.0),
        friction_radius: mm(50.0),
        pin_radius: mm(50.0),
        ramp_friction: ratio(0.0),
        ..unit(10, 45.0, 0.0, SpringPlace::BehindPack)
    })
}

#[test]
fn the_axle_on_two_surfaces_uses_the_published_torque() {
    each_check("split_friction.toml", |check| {
        // the mass whose weight is the load, so low that none of it moves
        let mass = 2.0 * check.input("N_per_wheel_N") / GRAVITY;
        let used = |share: f64| {
            let moment = AxleMoment {
                mass: kg(mass),
                axle_mass: kg(mass),
                height: mm(0.0),
                tyre_radius: mm(check.input("r_m") * 1e3),
                grip: [ratio(check.input("mu_lo")), ratio(check.input("mu_hi"))],
                torque: newton_metres(2000.0),
                ..straight_on()
            };
            balance(&moment, &of_share(share)).unwrap()
        };
        let bias = check.input("TBR");
        let locked = used(1.0);
        check.expect("T_lo_Nm", locked.wheels[0].newton_metres());
        check.expect("T_hi_max_Nm", locked.wheels[1].newton_metres());
        check.expect("axle_open_Nm", used(0.0).case_torque.newton_metres());
        let limited = used((bias - 1.0) / (bias + 1.0));
        check.expect("axle_limited_Nm", limited.case_torque.newton_metres());
        check.expect("axle_locked_Nm", locked.case_torque.newton_metres());
    });
}

#[test]
fn bad_gears_and_tyres_are_refused_by_name() {
    let upside_down = Reaction {
        low: newton_metres(2.0),
        high: newton_metres(1.0),
    };
    let unit = model(unit(8, 45.0, 1000.0, SpringPlace::BehindPack));
    let named = |refused| match refused {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    assert_eq!(
        named(lock_share(&unit, Drive, newton_metres(100.0), upside_down).map(drop)),
        "the torque that the high side can react"
    );
    let good = [100.0, 2.0, 4.0, 0.5, 0.9];
    for (n, bad, what) in [
        (0, -1.0, "the torque of the engine"),
        (1, 0.0, "the ratio of the gear"),
        (2, 0.0, "the ratio of the final drive"),
        (3, 0.0, "the share of the axle"),
        (3, 1.1, "the share of the axle"),
        (4, 0.0, "the efficiency"),
        (4, 1.1, "the efficiency"),
    ] {
        let mut given = good;
        given[n] = bad;
        let [engine, gear, last, share, efficiency] = given;
        let torque = case_torque(
            newton_metres(engine),
            ratio(gear),
            ratio(last),
            ratio(share),
            ratio(efficiency),
        );
        assert_eq!(named(torque.map(drop)), what);
    }
}

#[test]
fn tyres_that_react_the_same_leave_nothing_to_hold() {
    let same = Reaction {
        low: newton_metres(400.0),
        high: newton_metres(400.0),
    };
    let unit = model(unit(8, 45.0, 1000.0, SpringPlace::BehindPack));
    assert_eq!(
        lock_share(&unit, Drive, newton_metres(300.0), same).unwrap(),
        None
    );
}

prop_compose! {
    fn any_unit()(faces in 1_u32..14, other in 0_u32..14, degrees in 20.0..85.0_f64, mu in 0.05..0.15_f64,
        preload in 0.0..3000.0_f64, more in 0.0..1000.0_f64, behind in any::<bool>()) -> LockSetup {
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        LockSetup {
            faces: [faces, other],
            friction: ratio(mu),
            preload: [newtons(preload), newtons(preload + more)],
            ..unit(faces, degrees, preload, place)
        }
    }
}

fn pair() -> impl Strategy<Value = Reaction> {
    (0.0..800.0_f64, 0.0..2500.0_f64).prop_map(|(low, more)| Reaction {
        low: newton_metres(low),
        high: newton_metres(low + more),
    })
}

proptest! {
    /// Power in at the case and out at the wheels: what is missing is what the packs rub, ΔT times half the difference
    /// of the speeds.
    #[test]
    fn what_is_missing_at_the_wheels_is_what_the_packs_rub(setup in any_unit(), torque in 1.0..3000.0_f64,
        slow in 1.0..50.0_f64, apart in 0.0..20.0_f64) {
        let model = model(setup);
        let (at_slow, at_fast) = model.split(Drive, newton_metres(torque)).unwrap();
        let difference = at_slow.newton_metres() - at_fast.newton_metres();
        let fast = slow + apart;
        let power_in = torque * (slow + fast) / 2.0;
        let power_out = at_slow.newton_metres() * slow + at_fast.newton_metres() * fast;
        prop_assert!((power_in - power_out - difference * apart / 2.0).abs() <= 1e-9 * (1.0 + power_in));
    }

    /// Closed form: the ring presses with k T/(2 r), k = cot(θ + arctan μ), and the spring with it or instead of it.
    #[test]
    fn the_share_that_is_held_is_the_closed_form(faces in 4_u32..14, preload in 0.0..2000.0_f64, behind in any::<bool>(),
        torque in 100.0..2500.0_f64, tyres in pair(), degrees in 20.0..80.0_f64) {
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        let unit = model(unit(faces, degrees, preload, place));
        let ring = torque / (2.0 * 0.031) / (degrees.to_radians() + 0.06_f64.atan()).tan();
        let press = if behind { ring.max(preload) } else { ring + preload };
        let between = tyres.high.newton_metres() - tyres.low.newton_metres();
        prop_assume!(between > 1.0);
        let held = 2.0 * f64::from(faces) * 0.1 * 0.040 * press;
        let share = lock_share(&unit, Drive, newton_metres(torque), tyres).unwrap().unwrap().value();
        prop_assert!((share - held / between).abs() <= 1e-9 * share);
    }
}
