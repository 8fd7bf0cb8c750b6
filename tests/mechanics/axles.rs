use crate::reference::{each_check, mm, newton_metres, newtons, ratio};
use proptest::prelude::*;
use shimwright::mechanics::Direction::{Coast, Drive};
use shimwright::mechanics::axle::{
    case_torque, lock_share, ramp_for, transfer_across, transfer_along, tyre_torque, usable_torque,
    wheel_loads, yaw_moment,
};
use shimwright::mechanics::{
    Axle, CarSetup, DrivenAxle, LockModel, LockSetup, MechanicsError, RampFor, Reaction, SpringPlace, Surface,
};
use shimwright::quantity::{Datum, Force, Mass, RampAngle};

/// What a foot, a pound-force and a mile are, exact by definition.
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

fn car() -> CarSetup {
    CarSetup {
        mass: kg(1200.0),
        axle_mass: kg(620.0),
        axle: Axle::Rear,
        track: mm(1450.0),
        wheelbase: mm(2500.0),
        height: mm(480.0),
        roll_share: ratio(0.45),
        tyre_radius: mm(300.0),
        drive_share: ratio(1.0),
        full_torque: newton_metres(1800.0),
        coast_torque: newton_metres(300.0),
    }
}

fn surface(low: f64, high: f64, cornering: f64) -> Surface {
    Surface {
        low_grip: ratio(low),
        high_grip: ratio(high),
        cornering: ratio(cornering),
    }
}

fn axle(car: CarSetup, surface: Surface) -> DrivenAxle {
    DrivenAxle::new(car, surface).unwrap()
}

/// A car whose axle has all grip on both sides, with more torque than the tyres take.
fn pulled(mass: f64, axle_mass: f64, place: Axle, wheelbase: f64, height: f64, grip: f64) -> DrivenAxle {
    let setup = CarSetup {
        mass: kg(mass),
        axle_mass: kg(axle_mass),
        axle: place,
        wheelbase: mm(wheelbase),
        height: mm(height),
        full_torque: newton_metres(1e5),
        coast_torque: newton_metres(1e5),
        ..car()
    };
    axle(setup, surface(grip, grip, 0.0))
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
            let car = pulled(
                mass,
                mass / 2.0,
                Axle::Rear,
                check.input("wheelbase_m") * 1e3,
                check.input("h_cg_m") * 1e3,
                check.input("mu"),
            );
            let state = car.at(Drive, ratio(1.0)).unwrap();
            assert!(state.capped);
            let force = state.case_torque.newton_metres() / car.car().tyre_radius.metres() * g / GRAVITY;
            check.expect("F_N", force);
            check.expect("a_m_per_s2", force / mass);
            let load = state.loads.inside.newtons() + state.loads.outside.newtons();
            check.expect("rear_axle_N", load * g / GRAVITY);
        }
        "braking_load_transfer_mu01" => {
            let (base, height) = (
                check.input("wheelbase_ft") * FOOT_MM,
                check.input("h_cg_ft") * FOOT_MM,
            );
            let (mass, front) = (
                1000.0,
                check.input("cg_ahead_of_rear_axle_ft") / check.input("wheelbase_ft"),
            );
            let mu = check.input("mu");
            let from = check.input("v_mph") * 5280.0 / 3600.0;
            let stop = |share: f64| from * from / (2.0 * share * check.input("g_ft_s2"));
            // one axle braking at its limit is that axle on coast with more torque than its tyres take
            let share = |place, part: f64| {
                let car = pulled(mass, mass * part, place, base, height, mu);
                let torque = car.at(Coast, ratio(0.0)).unwrap().case_torque.newton_metres();
                torque / car.car().tyre_radius.metres() / (mass * GRAVITY)
            };
            check.expect("s_rear_ft", stop(share(Axle::Rear, 1.0 - front)));
            check.expect("s_front_ft", stop(share(Axle::Front, front)));
            check.expect("s_all_ft", stop(mu));
            let moved = transfer_along(kg(mass), ratio(mu), mm(height), mm(base))
                .unwrap()
                .newtons();
            let weight = mass * GRAVITY;
            check.expect(
                "N_front_over_rear",
                (weight * front + moved) / (weight * (1.0 - front) - moved),
            );
        }
        "lateral_transfer_two_axles" => {
            let gained = |mass: &str, track: &str| {
                transfer_across(
                    kg(check.input(mass)),
                    ratio(check.input("lateral_g")),
                    mm(check.input("h_cg_mm")),
                    mm(check.input(track)),
                    ratio(1.0),
                )
                .unwrap()
            };
            let (front, rear) = (
                gained("m_front_kg", "track_front_mm"),
                gained("m_rear_kg", "track_rear_mm"),
            );
            check.expect("dW_front_kg", front.newtons() / GRAVITY);
            check.expect("dW_rear_kg", rear.newtons() / GRAVITY);
            let loads = wheel_loads(newtons(check.input("m_rear_kg") * GRAVITY), rear).unwrap();
            check.expect("inner_rear_kg", loads.inside.newtons() / GRAVITY);
            check.expect("outer_rear_kg", loads.outside.newtons() / GRAVITY);
        }
        "lateral_transfer_axle" => {
            let gained = transfer_across(
                kg(check.input("axle_kg")),
                ratio(check.input("lateral_g")),
                mm(check.input("h_mm")),
                mm(check.input("track_mm")),
                ratio(1.0),
            )
            .unwrap();
            check.expect("dW_kg", gained.newtons() / GRAVITY);
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
        let load = newtons(check.input("N_per_wheel_N"));
        let wheel = mm(check.input("r_m") * 1e3);
        let reaction = Reaction {
            low: tyre_torque(load, ratio(check.input("mu_lo")), wheel).unwrap(),
            high: tyre_torque(load, ratio(check.input("mu_hi")), wheel).unwrap(),
        };
        check.expect("T_lo_Nm", reaction.low.newton_metres());
        check.expect("T_hi_max_Nm", reaction.high.newton_metres());
        let bias = check.input("TBR");
        let used = |share| {
            usable_torque(&of_share(share), Drive, reaction)
                .unwrap()
                .newton_metres()
        };
        check.expect("axle_open_Nm", used(0.0));
        check.expect("axle_limited_Nm", used((bias - 1.0) / (bias + 1.0)));
        check.expect("axle_locked_Nm", used(1.0));
    });
}

#[test]
fn bad_cars_and_surfaces_are_refused_by_name() {
    let named = |car: CarSetup, surface: Surface| match DrivenAxle::new(car, surface) {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    let good = surface(0.3, 0.9, 0.5);
    let cases = [
        (
            CarSetup {
                mass: kg(0.0),
                ..car()
            },
            "the mass of the car",
        ),
        (
            CarSetup {
                axle_mass: kg(1201.0),
                ..car()
            },
            "the mass on the axle",
        ),
        (
            CarSetup {
                track: mm(0.0),
                ..car()
            },
            "the track",
        ),
        (
            CarSetup {
                wheelbase: mm(-1.0),
                ..car()
            },
            "the wheelbase",
        ),
        (
            CarSetup {
                height: mm(-1.0),
                ..car()
            },
            "the height of the centre of mass",
        ),
        (
            CarSetup {
                roll_share: ratio(1.1),
                ..car()
            },
            "the share of roll stiffness",
        ),
        (
            CarSetup {
                tyre_radius: mm(0.0),
                ..car()
            },
            "the radius of the tyre",
        ),
        (
            CarSetup {
                drive_share: ratio(0.0),
                ..car()
            },
            "the share of the axle",
        ),
        (
            CarSetup {
                full_torque: newton_metres(-1.0),
                ..car()
            },
            "the torque at full throttle",
        ),
        (
            CarSetup {
                coast_torque: newton_metres(-1.0),
                ..car()
            },
            "the torque on coast",
        ),
    ];
    for (car, what) in cases {
        assert_eq!(named(car, good), what);
    }
    assert_eq!(named(car(), surface(-0.1, 0.9, 0.5)), "the low-side grip");
    assert_eq!(named(car(), surface(1.0, 0.9, 0.5)), "the low-side grip");
    assert_eq!(named(car(), surface(0.1, 3.1, 0.5)), "the high-side grip");
    assert_eq!(named(car(), surface(0.1, 0.9, -0.5)), "the cornering");
    let axle = axle(car(), good);
    for throttle in [-0.1, 1.1] {
        let refused = axle.at(Drive, ratio(throttle)).unwrap_err();
        assert!(matches!(
            refused,
            MechanicsError::OutOfRange {
                what: "the throttle",
                ..
            }
        ));
    }
    let upside_down = Reaction {
        low: newton_metres(2.0),
        high: newton_metres(1.0),
    };
    let unit = model(unit(8, 45.0, 1000.0, SpringPlace::BehindPack));
    assert!(matches!(
        usable_torque(&unit, Drive, upside_down),
        Err(MechanicsError::OutOfRange {
            what: "the torque that the high side can react",
            ..
        })
    ));
    let no_gear = case_torque(
        newton_metres(100.0),
        ratio(0.0),
        ratio(4.0),
        ratio(1.0),
        ratio(0.9),
    );
    assert!(matches!(
        no_gear,
        Err(MechanicsError::OutOfRange {
            what: "the ratio of the gear",
            ..
        })
    ));
}

#[test]
fn tyres_that_react_the_same_leave_nothing_to_hold() {
    let flat = axle(car(), surface(0.9, 0.9, 0.0));
    let state = flat.at(Drive, ratio(0.7)).unwrap();
    assert_eq!(state.reaction.low, state.reaction.high);
    let open = model(LockSetup {
        faces: [0; 2],
        ..unit(0, 45.0, 0.0, SpringPlace::BehindPack)
    });
    // an open unit uses all of it, and the lock that is needed is nothing
    let used = usable_torque(&open, Drive, state.reaction)
        .unwrap()
        .newton_metres();
    let both = 2.0 * state.reaction.low.newton_metres();
    assert!((used - both).abs() < 1e-9 * both);
    assert_eq!(flat.share_at(&open, Drive, ratio(0.7)).unwrap(), None);
    assert_eq!(flat.locks_at(&open).unwrap(), Some(ratio(0.0)));
    let asked = ramp_for(open.setup(), Drive, state.case_torque, state.reaction, ratio(1.0)).unwrap();
    assert_eq!(asked, RampFor::HeldWithout);
}

#[test]
fn a_ramp_out_of_reach_is_said() {
    let weak = unit(2, 45.0, 0.0, SpringPlace::BehindPack);
    let tyres = Reaction {
        low: newton_metres(10.0),
        high: newton_metres(5000.0),
    };
    let asked = ramp_for(&weak, Drive, newton_metres(50.0), tyres, ratio(1.0)).unwrap();
    assert_eq!(asked, RampFor::OutOfReach);
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

prop_compose! {
    fn any_axle()(mass in 700.0..1800.0_f64, part in 0.35..0.65_f64, rear in any::<bool>(), height in 350.0..650.0_f64,
        roll in 0.2..0.8_f64, split in 0.3..1.0_f64, torque in 0.0..6000.0_f64, coast in 0.0..800.0_f64,
        high in 0.05..1.3_f64, low in 0.0..1.0_f64, cornering in 0.0..1.2_f64) -> DrivenAxle {
        let setup = CarSetup {
            mass: kg(mass), axle_mass: kg(mass * part), axle: if rear { Axle::Rear } else { Axle::Front },
            height: mm(height), roll_share: ratio(roll), drive_share: ratio(split),
            full_torque: newton_metres(torque), coast_torque: newton_metres(coast), ..car()
        };
        axle(setup, surface(high * low, high, cornering))
    }
}

fn pair() -> impl Strategy<Value = Reaction> {
    (0.0..800.0_f64, 0.0..2500.0_f64).prop_map(|(low, more)| Reaction {
        low: newton_metres(low),
        high: newton_metres(low + more),
    })
}

proptest! {
    /// The closed form against halving an interval of the split that the model gives, from the top: the greatest torque.
    #[test]
    fn usable_torque_is_the_greatest_that_spares_the_low_side(setup in any_unit(), tyres in pair()) {
        let model = model(setup);
        let used = usable_torque(&model, Drive, tyres).unwrap().newton_metres();
        let (low, high) = (tyres.low.newton_metres(), tyres.high.newton_metres());
        let fast = |torque: f64| {
            let held = model.torque_difference(Drive, newton_metres(torque)).unwrap().newton_metres();
            (torque - held) / 2.0
        };
        prop_assert!(used <= low + high + 1e-9);
        prop_assert!(fast(used) <= low + 1e-9 * (1.0 + used));
        // nothing above it will do, up to the cap
        for part in 1..=50 {
            let torque = used + (low + high - used) * f64::from(part) / 50.0;
            if torque > used * (1.0 + 1e-9) + 1e-6 {
                prop_assert!(fast(torque) > low);
            }
        }
    }

    /// With equal packs, the two formulas of the documentation.
    #[test]
    fn equal_packs_keep_to_the_two_formulas(faces in 1_u32..14, degrees in 20.0..85.0_f64, preload in 0.0..3000.0_f64,
        behind in any::<bool>(), tyres in pair()) {
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        let model = model(unit(faces, degrees, preload, place));
        let (s, at_rest) = (model.share(Drive).value(), model.preload_torque().newton_metres());
        let (c, cap) = (2.0 * tyres.low.newton_metres(), tyres.low.newton_metres() + tyres.high.newton_metres());
        let by_ramp = |force: f64| if s < 1.0 { force / (1.0 - s) } else { f64::INFINITY };
        let torque = if behind { (c + at_rest).max(by_ramp(c)) } else { by_ramp(c + at_rest) };
        let used = usable_torque(&model, Drive, tyres).unwrap().newton_metres();
        prop_assert!((used - torque.min(cap)).abs() <= 1e-9 * (1.0 + cap));
    }

    #[test]
    fn loads_and_torques_balance(axle in any_axle(), throttle in 0.0..=1.0_f64) {
        for direction in [Drive, Coast] {
            let state = axle.at(direction, ratio(throttle)).unwrap();
            let (inside, outside) = (state.loads.inside.newtons(), state.loads.outside.newtons());
            let weight = axle.car().mass.kilograms() * GRAVITY;
            prop_assert!(inside >= 0.0 && outside >= inside && inside + outside <= weight * (1.0 + 1e-12));
            // the torque never passes what the tyres react, nor what the engine gives; and it is one of the two
            let torque = state.case_torque.newton_metres();
            let both = state.reaction.low.newton_metres() + state.reaction.high.newton_metres();
            let asked = match direction {
                Drive => throttle * axle.car().full_torque.newton_metres(),
                Coast => axle.car().coast_torque.newton_metres(),
            };
            prop_assert!(torque <= both + 1e-6 && torque <= asked + 1e-9);
            if state.capped {
                prop_assert!((torque - both).abs() <= 1e-6 * (1.0 + both), "{torque} {both}");
            } else {
                prop_assert!((torque - asked).abs() <= 1e-9 * (1.0 + asked));
            }
            // moments about the other axle's contact line: static load, and the force at the height
            let car = axle.car();
            let force = torque / car.tyre_radius.metres() / car.drive_share.value();
            let forward = if direction == Drive { force } else { -force };
            let at_rear = if car.axle == Axle::Rear { forward } else { -forward };
            let load = car.axle_mass.kilograms() * GRAVITY + at_rear * car.height.metres() / car.wheelbase.metres();
            prop_assert!((inside + outside - load.clamp(0.0, weight)).abs() <= 1e-6 * weight);
        }
    }

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

    /// Closed form: the packs must press with D/(Σ n μ r_f), of which a spring between the rings gives its part; the
    /// ramp's gain is then k, and θ = arccot k − arctan μ.
    #[test]
    fn the_ramp_for_a_share_is_the_closed_form(faces in 4_u32..14, preload in 0.0..2000.0_f64, behind in any::<bool>(),
        torque in 100.0..2500.0_f64, tyres in pair(), wanted in 0.05..1.0_f64) {
        let place = if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings };
        let setup = unit(faces, 90.0, preload, place);
        let lever = 2.0 * f64::from(faces) * 0.1 * 0.040;
        let press = wanted * (tyres.high.newton_metres() - tyres.low.newton_metres()) / lever;
        let by_ramp = if behind { press } else { press - preload };
        let k = by_ramp * 2.0 * 0.031 / torque;
        let theta = (1.0 / k).atan().to_degrees() - 0.06_f64.atan().to_degrees();
        match ramp_for(&setup, Drive, newton_metres(torque), tyres, ratio(wanted)).unwrap() {
            RampFor::Ramp(ramp) => {
                prop_assert!((ramp.degrees_from_ring_face() - theta).abs() < 1e-6);
                let share = lock_share(&model(LockSetup { drive: ramp, ..setup }), Drive, newton_metres(torque), tyres);
                prop_assert!((share.unwrap().unwrap().value() - wanted).abs() < 1e-6);
            }
            RampFor::HeldWithout => prop_assert!(press <= preload * (1.0 + 1e-12)),
            RampFor::OutOfReach => prop_assert!(theta < 0.06_f64.atan().to_degrees() + 1e-6),
        }
    }

    #[test]
    fn the_throttle_at_which_it_locks_is_a_crossing(setup in any_unit(), axle in any_axle()) {
        let model = model(setup);
        let share = |throttle: f64| {
            axle.share_at(&model, Drive, ratio(throttle)).unwrap().map_or(f64::INFINITY, |share| share.value())
        };
        match axle.locks_at(&model).unwrap() {
            None => for step in 0..=100 { prop_assert!(share(f64::from(step) / 100.0) < 1.0); },
            Some(throttle) => {
                let throttle = throttle.value();
                prop_assert!(share(throttle) >= 1.0);
                if throttle > 0.0 {
                    prop_assert!(share((throttle - 1e-9).max(0.0)) < 1.0 + 1e-9);
                    prop_assert!(share(0.0) < 1.0);
                }
            }
        }
    }

    /// The moment from the two drive forces, each at half the track.
    #[test]
    fn the_yaw_moment_is_that_of_the_two_forces(low in 0.0..500.0_f64, more in 0.0..500.0_f64) {
        let (radius, half) = (0.3, 0.725);
        let forces = (low / radius, (low + more) / radius);
        let moment = yaw_moment(newton_metres(more), mm(300.0), mm(1450.0)).unwrap().newton_metres();
        prop_assert!((moment - (forces.1 - forces.0) * half).abs() <= 1e-9 * (1.0 + moment));
    }
}

/// Facts of the trade, *common practice, no source*, each over a grid of cars.
mod trade {
    use super::*;

    /// Rear- and front-driven cars of some masses, heights, powers.
    fn cars() -> Vec<CarSetup> {
        let mut cars = Vec::new();
        for mass in [800.0, 1100.0, 1500.0] {
            for height in [420.0, 560.0] {
                for torque in [900.0, 1600.0, 3000.0] {
                    for (place, part) in [(Axle::Rear, 0.5), (Axle::Front, 0.6)] {
                        cars.push(CarSetup {
                            mass: kg(mass),
                            axle_mass: kg(mass * part),
                            axle: place,
                            height: mm(height),
                            full_torque: newton_metres(torque),
                            ..car()
                        });
                    }
                }
            }
        }
        cars
    }

    /// The angle that holds `wanted` at a throttle: 90° where none is needed, 0° where none is enough.
    fn angle(axle: &DrivenAxle, throttle: f64, wanted: f64) -> f64 {
        let state = axle.at(Drive, ratio(throttle)).unwrap();
        let setup = unit(12, 90.0, 500.0, SpringPlace::BehindPack);
        match ramp_for(&setup, Drive, state.case_torque, state.reaction, ratio(wanted)).unwrap() {
            RampFor::Ramp(ramp) => ramp.degrees_from_ring_face(),
            RampFor::HeldWithout => 90.0,
            RampFor::OutOfReach => 0.0,
        }
    }

    #[test]
    fn more_power_wants_an_angle_that_spreads_less() {
        let mut strictly = 0;
        for car in cars() {
            for grip in [(0.25, 0.6), (0.6, 1.0)] {
                let with = |times: f64| {
                    let full = newton_metres(car.full_torque.newton_metres() * times);
                    let axle = axle(
                        CarSetup {
                            full_torque: full,
                            ..car
                        },
                        surface(grip.0, grip.1, 0.5),
                    );
                    angle(&axle, 0.5, 0.6)
                };
                let (less, more) = (with(1.0), with(1.5));
                assert!(more >= less - 1e-6, "{car:?} {less} {more}");
                strictly += usize::from(more > less + 0.1);
            }
        }
        assert!(strictly >= 20, "{strictly}");
    }

    #[test]
    fn less_grip_on_one_side_wants_one_that_spreads_more() {
        let mut strictly = 0;
        for car in cars() {
            for high in [0.5, 0.9] {
                let at = |low: f64| angle(&axle(car, surface(low * high, high, 0.4)), 0.6, 0.7);
                let (even, uneven) = (at(0.8), at(0.3));
                assert!(uneven <= even + 1e-6, "{car:?} {even} {uneven}");
                strictly += usize::from(uneven < even - 0.1);
            }
        }
        assert!(strictly >= 20, "{strictly}");
    }

    #[test]
    fn a_drift_car_with_strong_ramps_is_locked_by_half_throttle() {
        for car in cars().into_iter().filter(|car| car.axle == Axle::Rear) {
            // the power to spin both wheels, on tarmac, cornering hard
            let strong = CarSetup {
                full_torque: newton_metres(3.0 * car.mass.kilograms()),
                ..car
            };
            let axle = axle(strong, surface(0.5, 0.8, 0.6));
            let tight = model(unit(16, 30.0, 1500.0, SpringPlace::BehindPack));
            let locked = axle.locks_at(&tight).unwrap().unwrap().value();
            assert!(locked <= 0.5, "{strong:?} {locked}");
            let mild = model(unit(6, 70.0, 200.0, SpringPlace::BehindPack));
            assert!(
                axle.locks_at(&mild)
                    .unwrap()
                    .is_none_or(|throttle| throttle.value() > 0.5)
            );
        }
    }

    #[test]
    fn a_front_driven_slalom_car_with_mild_ramps_is_never_fully_locked() {
        for car in cars().into_iter().filter(|car| car.axle == Axle::Front) {
            let axle = axle(car, surface(0.3, 0.6, 0.8));
            let mild = model(unit(6, 65.0, 300.0, SpringPlace::BehindPack));
            assert_eq!(axle.locks_at(&mild).unwrap(), None, "{car:?}");
            let shares: Vec<f64> = (0..=20)
                .map(|step| {
                    axle.share_at(&mild, Drive, ratio(f64::from(step) / 20.0))
                        .unwrap()
                        .unwrap()
                        .value()
                })
                .collect();
            assert!(shares.iter().all(|share| *share < 1.0));
        }
    }

    #[test]
    fn a_rally_lock_rises_with_the_throttle_to_nearly_locked() {
        for car in cars().into_iter().filter(|car| car.axle == Axle::Rear) {
            let axle = axle(car, surface(0.35, 0.55, 0.3));
            // the angle that is nearly locked at full throttle
            let degrees = angle(&axle, 1.0, 0.95);
            let unit = model(unit(12, degrees, 500.0, SpringPlace::BehindPack));
            let share = |throttle: f64| {
                axle.share_at(&unit, Drive, ratio(throttle))
                    .unwrap()
                    .unwrap()
                    .value()
            };
            let state = axle.at(Drive, ratio(1.0)).unwrap();
            assert!((share(1.0) - 0.95).abs() < 1e-6, "{car:?} {state:?} {degrees}");
            // over the throttle that the tyres take, not the part past it that only spins them
            let taken = state.case_torque.newton_metres() / car.full_torque.newton_metres();
            assert!(share(0.2 * taken) < 0.75 * share(1.0), "{car:?}");
            // it rises from the corner of the spring until the tyres cap the torque
            let corner = unit.corner(Drive).unwrap().newton_metres() / car.full_torque.newton_metres();
            let mut before = 0.0;
            for step in 0..=50 {
                let throttle = f64::from(step) / 50.0;
                if throttle >= corner {
                    assert!(share(throttle) >= before - 1e-6, "{car:?} {throttle}");
                    before = share(throttle);
                }
            }
        }
    }

    #[test]
    fn more_faces_lock_more_and_worn_plates_less() {
        for car in cars() {
            let axle = axle(car, surface(0.3, 0.7, 0.5));
            for throttle in [0.1, 0.5, 1.0] {
                let share = |faces, preload: f64| {
                    let unit = model(unit(faces, 50.0, preload, SpringPlace::BehindPack));
                    axle.share_at(&unit, Drive, ratio(throttle))
                        .unwrap()
                        .unwrap()
                        .value()
                };
                assert!(share(10, 1000.0) > share(8, 1000.0));
                assert!(share(8, 1000.0) >= share(8, 700.0));
            }
            // a worn pack has lost preload, which is felt where the preload rules
            let at_rest = |preload: f64| {
                let unit = model(unit(8, 50.0, preload, SpringPlace::BehindPack));
                axle.share_at(&unit, Drive, ratio(0.0)).unwrap().unwrap().value()
            };
            assert!(at_rest(700.0) < at_rest(1000.0));
        }
    }
}

#[test]
fn a_solid_axle_uses_what_both_tyres_react() {
    let tyres = Reaction {
        low: newton_metres(50.0),
        high: newton_metres(900.0),
    };
    for preload in [0.0, 2000.0] {
        for place in [SpringPlace::BehindPack, SpringPlace::BetweenRings] {
            let solid = model(unit(20, 20.0, preload, place));
            assert!(solid.share(Drive).value() > 1.0);
            let used = usable_torque(&solid, Drive, tyres).unwrap().newton_metres();
            assert!((used - 950.0).abs() < 1e-9);
        }
    }
    let lifted = wheel_loads(newtons(4000.0), newtons(3000.0)).unwrap();
    assert_eq!(
        (lifted.inside, lifted.outside),
        (Force::from_newtons(0.0).unwrap(), newtons(4000.0))
    );
}
