//! The moving axle held against a second way: two wheels with inertia, pressed together by packs that stick and slip, run
//! until they stand still; with loads, tyres and ramps written down anew. `SHIMWRIGHT_CASES=1000 cargo test --test mechanics
//! two_wheels` is the long run.

use crate::draws::Draws;
use shimwright::mechanics::moving_axle::balance;
use shimwright::mechanics::{
    Axle, AxleBalance, AxleMoment, AxleTurns, Direction, LockModel, LockSetup, MechanicsError, SpringPlace,
};
use shimwright::quantity::{Datum, Force, Length, Mass, RampAngle, Ratio, Torque, Velocity};

/// An axle, its moment and its unit in plain SI numbers.
#[derive(Clone, Copy, Debug)]
struct Case {
    mass: f64,
    axle_mass: f64,
    front: bool,
    track: f64,
    wheelbase: f64,
    height: f64,
    roll_share: f64,
    radius: f64,
    share: f64,
    speed: f64,
    cornering: f64,
    grip: [f64; 2],
    slide: f64,
    downforce: f64,
    torque: f64,
    faces: u32,
    friction: f64,
    friction_radius: f64,
    pin_radius: f64,
    ring_degrees: f64,
    ramp_friction: f64,
    preload: f64,
    behind: bool,
}

/// The axle of a hillclimb car, invented, with the unit that it is tried with.
const CAR: Case = Case {
    mass: 1250.0,
    axle_mass: 600.0,
    front: false,
    track: 1.5,
    wheelbase: 2.6,
    height: 0.48,
    roll_share: 0.45,
    radius: 0.31,
    share: 1.0,
    speed: 14.0,
    cornering: 0.44,
    grip: [1.1, 1.1],
    slide: 0.1,
    downforce: 0.0,
    torque: 1200.0,
    faces: 8,
    friction: 0.1,
    friction_radius: 0.040,
    pin_radius: 0.031,
    ring_degrees: 45.0,
    ramp_friction: 0.06,
    preload: 300.0,
    behind: true,
};

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

fn metres(value: f64) -> Length {
    Length::from_nm((value * 1e9).round() as i64)
}

impl Case {
    fn moment(&self) -> AxleMoment {
        AxleMoment {
            mass: Mass::from_kilograms(self.mass).unwrap(),
            axle_mass: Mass::from_kilograms(self.axle_mass).unwrap(),
            axle: if self.front { Axle::Front } else { Axle::Rear },
            track: metres(self.track),
            wheelbase: metres(self.wheelbase),
            height: metres(self.height),
            roll_share: ratio(self.roll_share),
            tyre_radius: metres(self.radius),
            drive_share: ratio(self.share),
            speed: Velocity::from_km_per_hour(self.speed * 3.6).unwrap(),
            cornering: ratio(self.cornering),
            grip: self.grip.map(ratio),
            slide_slip: ratio(self.slide),
            downforce: Force::from_newtons(self.downforce).unwrap(),
            torque: Torque::from_newton_metres(self.torque).unwrap(),
        }
    }

    fn lock(&self) -> LockModel {
        let ramp = RampAngle::new(self.ring_degrees, Datum::RingFace).unwrap();
        LockModel::new(LockSetup {
            faces: [self.faces; 2],
            friction: ratio(self.friction),
            friction_radius: metres(self.friction_radius),
            pin_radius: metres(self.pin_radius),
            drive: ramp,
            coast: ramp,
            ramp_friction: ratio(self.ramp_friction),
            preload: [Force::from_newtons(self.preload).unwrap(); 2],
            spring_place: if self.behind {
                SpringPlace::BehindPack
            } else {
                SpringPlace::BetweenRings
            },
            gear_thrust: None,
            tab_friction: None,
        })
        .unwrap()
    }

    fn balance(&self) -> Result<AxleBalance, MechanicsError> {
        balance(&self.moment(), &self.lock())
    }

    /// What the packs hold, by the balance of one ring: half the case's torque at the pins, both packs.
    fn holds(&self, torque: f64) -> f64 {
        let (sine, cosine) = self.ring_degrees.to_radians().sin_cos();
        let gain = ((cosine - self.ramp_friction * sine) / (sine + self.ramp_friction * cosine)).max(0.0);
        let ring = torque.abs() / 2.0 / self.pin_radius * gain;
        let force = if self.behind {
            self.preload.max(ring)
        } else {
            self.preload + ring
        };
        2.0 * f64::from(self.faces) * self.friction * self.friction_radius * force
    }

    /// Loads, and what each tyre has left along, at a drive force of the axle.
    fn tyres(&self, drive: f64) -> ([f64; 2], [f64; 2]) {
        let g = 9.80665;
        let along = drive / self.share * self.height / self.wheelbase;
        let whole = self.axle_mass * g + self.downforce + if self.front { -along } else { along };
        let whole = whole.max(0.0).min(self.mass * g + self.downforce);
        let moved = self.mass * self.cornering * g * self.height / self.track * self.roll_share;
        let inside = (whole / 2.0 - moved).max(0.0);
        let loads = [inside, whole - inside];
        let grips = [self.grip[0] * loads[0], self.grip[1] * loads[1]];
        let used = self.axle_mass * g * self.cornering / (grips[0] + grips[1]).max(1e-9);
        let left = (1.0 - used.min(1.0).powi(2)).sqrt();
        (loads, grips.map(|grip| grip * left))
    }
}

/// What the wheels come to when they stand.
struct Stood {
    wheels: [f64; 2],
    loads: [f64; 2],
    /// How fast the inside wheel turns against the outside one, in rad/s.
    apart: f64,
    /// Whether each tyre slides fully.
    slides: [bool; 2],
}

/// Two wheels of a little inertia each, the torque raised in a second. The engine gives the case no more than what goes
/// through, and a little that fades away: what it would give besides spins it up itself.
fn run_until_they_stand(case: &Case) -> Stood {
    let g = 9.80665;
    let turn = case.track / 2.0 * case.cornering * g / case.speed.powi(2);
    let paths = [case.speed * (1.0 - turn), case.speed * (1.0 + turn)];
    let mut speeds = paths.map(|path| path / case.radius);
    let (inertia, step) = (0.005, 5e-4);
    let mut through = 0.0_f64;
    let mut wheels = [0.0; 2];
    let mut slips = [0.0; 2];
    let mut loads = [0.0; 2];
    let mut time = 0.0;
    while time < 8.0 {
        time += step;
        let (now, left) = case.tyres(through / case.radius);
        loads = now;
        let mut effective = [0.0; 2];
        for i in 0..2 {
            slips[i] = speeds[i] * case.radius / paths[i] - 1.0;
            let x = (slips[i].abs() / case.slide).min(1.0);
            wheels[i] = case.radius * left[i] * (1.0 - (1.0 - x).powi(3)) * slips[i].signum();
            let slope = case.radius * left[i] * 3.0 * (1.0 - x).powi(2) / case.slide * case.radius / paths[i];
            effective[i] = inertia + step * slope;
        }
        let road = wheels[0] + wheels[1];
        let fades = if time < 1.0 {
            1.0
        } else {
            (-(time - 1.0) / 0.5).exp()
        };
        let ahead = case.torque.abs() * (3e-3 * fades + 1e-5);
        let asked = case.torque * time.min(1.0);
        let given = asked.abs().min((road * case.torque.signum()).max(0.0) + ahead) * case.torque.signum();
        // the packs take what it needs to turn both alike after this step, if they can hold as much
        let gains = [step / effective[0], step / effective[1]];
        let free = speeds[0] - speeds[1] + gains[0] * (given / 2.0 - wheels[0])
            - gains[1] * (given / 2.0 - wheels[1]);
        let needed = free / (0.5 * (gains[0] + gains[1]));
        let most = case.holds(through);
        let difference = needed.clamp(-most, most);
        speeds[0] += gains[0] * ((given - difference) / 2.0 - wheels[0]);
        speeds[1] += gains[1] * ((given + difference) / 2.0 - wheels[1]);
        through += (road - through) * (step / 0.004);
    }
    Stood {
        wheels,
        loads,
        apart: speeds[0] - speeds[1],
        slides: slips.map(|slip: f64| slip.abs() >= case.slide),
    }
}

fn drawn(draws: &mut Draws) -> Case {
    let mass = draws.between(700.0, 1500.0);
    let even = draws.even() < 0.4;
    let outside = draws.between(0.25, 1.4);
    let coasts = draws.even() < 0.3;
    Case {
        mass,
        axle_mass: mass * draws.between(0.38, 0.62),
        front: draws.even() < 0.5,
        track: draws.between(1.25, 1.65),
        wheelbase: draws.between(2.1, 2.8),
        height: draws.between(0.35, 0.6),
        roll_share: draws.between(0.3, 0.7),
        radius: draws.between(0.27, 0.34),
        share: if draws.even() < 0.6 { 1.0 } else { 0.5 },
        speed: draws.between(6.0, 40.0),
        cornering: outside * draws.between(0.0, 0.9),
        grip: [
            if even {
                outside
            } else {
                outside * draws.between(0.3, 1.0)
            },
            outside,
        ],
        slide: draws.between(0.05, 0.2),
        downforce: if draws.even() < 0.2 { 800.0 } else { 0.0 },
        torque: if coasts {
            -draws.between(50.0, 900.0)
        } else {
            draws.between(100.0, 2200.0)
        },
        faces: [4, 6, 8, 10, 12][(draws.even() * 5.0) as usize],
        friction: draws.between(0.06, 0.14),
        friction_radius: draws.between(0.035, 0.055),
        pin_radius: draws.between(0.028, 0.042),
        ring_degrees: draws.between(35.0, 85.0),
        ramp_friction: draws.between(0.0, 0.1),
        preload: if draws.even() < 0.2 {
            0.0
        } else {
            draws.between(100.0, 2500.0)
        },
        behind: draws.even() < 0.5,
    }
}

fn cases() -> usize {
    let wanted = std::env::var("SHIMWRIGHT_CASES").ok();
    wanted.and_then(|text| text.parse().ok()).unwrap_or(100)
}

#[test]
fn two_wheels_run_until_they_stand_come_to_the_same() {
    let mut draws = Draws(20_261_130);
    let mut seen = std::collections::BTreeMap::new();
    let (mut tried, mut refused) = (0, 0);
    while tried < cases() {
        let case = drawn(&mut draws);
        let found = match case.balance() {
            Ok(found) => found,
            Err(MechanicsError::TooFast { .. } | MechanicsError::OutOfRange { .. }) => {
                refused += 1;
                continue;
            }
            Err(other) => panic!("{other} for {case:?}"),
        };
        tried += 1;
        let stood = run_until_they_stand(&case);
        let scale = case.torque.abs();
        let near = |what: &str, ours: f64, theirs: f64, scale: f64| {
            assert!(
                (ours - theirs).abs() <= 1e-3 * scale,
                "{what}: {ours} here, {theirs} of the wheels; {found:?} {case:?}"
            );
        };
        let wheels = found.wheels.map(Torque::newton_metres);
        for (ours, theirs) in wheels.into_iter().zip(stood.wheels) {
            near("a wheel's torque", ours, theirs, scale);
        }
        near(
            "the torque at the case",
            found.case_torque.newton_metres(),
            stood.wheels[0] + stood.wheels[1],
            scale,
        );
        let loads = [found.loads.inside.newtons(), found.loads.outside.newtons()];
        for (ours, theirs) in loads.into_iter().zip(stood.loads) {
            near("a load", ours, theirs, loads[0] + loads[1]);
        }
        let g = 9.80665;
        let ahead = (stood.wheels[0] + stood.wheels[1]) / case.radius / case.share / case.mass / g;
        near("the push ahead", found.ahead.value(), ahead, 0.1 + ahead.abs());
        let yaw = (stood.wheels[1] - stood.wheels[0]) / case.radius * case.track / 2.0;
        near(
            "the yaw moment",
            found.yaw.newton_metres(),
            yaw,
            scale / case.radius * case.track / 2.0,
        );
        // the state by what the wheels do, where it does not stand on an edge
        let apart = stood.apart / (case.speed / case.radius);
        let edge = (found.held.newton_metres() - found.capacity.newton_metres()).abs() <= 1e-3 * scale;
        let full = found.case_torque.newton_metres().abs() >= scale * (1.0 - 1e-3);
        match found.turns {
            AxleTurns::AsOne => assert!(edge || apart.abs() < 1e-6, "{apart} {found:?} {case:?}"),
            AxleTurns::InsideFaster => assert!(apart > 0.0 || edge && apart > -1e-6, "{found:?} {case:?}"),
            AxleTurns::OutsideFaster => assert!(apart < 0.0 || edge && apart < 1e-6, "{found:?} {case:?}"),
            AxleTurns::InsideSpins => assert!(full || stood.slides[0], "{found:?} {case:?}"),
            AxleTurns::OutsideSpins => assert!(full || stood.slides[1], "{found:?} {case:?}"),
            AxleTurns::BothSpin => assert!(full || stood.slides == [true; 2], "{found:?} {case:?}"),
        }
        *seen.entry(found.turns.to_string()).or_insert(0) += 1;
    }
    println!("{tried} moments, {refused} refused besides: {seen:?}");
    assert!(seen.len() >= 5, "{seen:?}");
}

/// From which part of the throttle on the axle turns as one, in steps of 2 %; `None` where it never does.
fn one_from(case: &Case) -> Option<u32> {
    (1..=50).map(|n| 2 * n).find(|percent| {
        let part = Case {
            torque: case.torque * f64::from(*percent) / 100.0,
            ..*case
        };
        part.balance().unwrap().turns == AxleTurns::AsOne
    })
}

/// Values that an independent solution of the same balance gave, in another language (steps of 2 % of the throttle, whole
/// degrees).
#[test]
fn an_independent_solution_gave_the_same_throttles_and_ramps() {
    for (degrees, wanted) in [
        (45.0, [Some(92), Some(46), Some(24)]),
        (60.0, [None, Some(66), Some(34)]),
        (70.0, [None, Some(82), Some(42)]),
    ] {
        let found = [600.0, 1200.0, 2400.0].map(|torque| {
            one_from(&Case {
                torque,
                ring_degrees: degrees,
                ..CAR
            })
        });
        assert_eq!(found, wanted, "{degrees} degrees");
    }
    let mildest = |inside: f64| {
        mildest_that_puts_down(&Case {
            torque: 4000.0,
            grip: [0.6 * inside, 0.6],
            cornering: 0.24,
            slide: 0.15,
            ..CAR
        })
    };
    assert_eq!([1.0, 0.75, 0.5].map(mildest), [Some(81), Some(73), Some(64)]);
}

/// Five axles that differ as cars do, all invented.
fn five_cars() -> [Case; 5] {
    [
        CAR,
        Case {
            mass: 980.0,
            axle_mass: 610.0,
            front: true,
            wheelbase: 2.4,
            torque: 1500.0,
            ..CAR
        },
        Case {
            mass: 1350.0,
            axle_mass: 700.0,
            share: 0.5,
            radius: 0.32,
            torque: 2000.0,
            ..CAR
        },
        Case {
            mass: 750.0,
            axle_mass: 430.0,
            track: 1.35,
            wheelbase: 2.2,
            height: 0.38,
            torque: 900.0,
            ..CAR
        },
        Case {
            mass: 1500.0,
            axle_mass: 760.0,
            height: 0.55,
            radius: 0.335,
            torque: 2600.0,
            ..CAR
        },
    ]
}

// facts of the trade, common practice, no source

#[test]
fn the_same_unit_behaves_differently_in_each_car() {
    let found: std::collections::BTreeSet<Option<u32>> = five_cars().iter().map(one_from).collect();
    assert!(found.len() >= 4, "{found:?}");
}

#[test]
fn less_power_needs_rings_that_spread_more_to_turn_as_one_at_the_same_throttle() {
    let mildest = |case: &Case, power: f64| {
        (20..=89).rev().find(|degrees| {
            let tried = Case {
                torque: case.torque * power,
                ring_degrees: f64::from(*degrees),
                ..*case
            };
            tried.balance().unwrap().turns == AxleTurns::AsOne
        })
    };
    for case in five_cars() {
        // below what the tyres take: past that it is grip that is short and not torque
        let (full, weak) = (mildest(&case, 0.5), mildest(&case, 0.25));
        assert!(weak < full, "{weak:?} {full:?} {case:?}");
    }
}

/// The mildest ramp, in whole degrees, that puts down 95 % of what both tyres could.
fn mildest_that_puts_down(case: &Case) -> Option<u32> {
    let with = |degrees: u32, faces: u32| {
        let tried = Case {
            ring_degrees: f64::from(degrees),
            faces,
            ..*case
        };
        tried.balance().unwrap().case_torque.newton_metres()
    };
    let both = with(20, 100);
    (20..=89)
        .rev()
        .find(|degrees| with(*degrees, case.faces) >= 0.95 * both)
}

#[test]
fn one_wheel_on_a_worse_patch_needs_more_lock_to_put_all_torque_down() {
    for case in five_cars() {
        let with = |inside: f64| Case {
            grip: [0.6 * inside, 0.6],
            cornering: 0.2,
            torque: 4000.0,
            ..case
        };
        let (even, worse) = (
            mildest_that_puts_down(&with(1.0)),
            mildest_that_puts_down(&with(0.5)),
        );
        assert!(worse < even, "{worse:?} {even:?} {case:?}");
    }
}

#[test]
fn more_faces_hold_more_and_turn_as_one_sooner() {
    for case in five_cars() {
        let from = |faces| one_from(&Case { faces, ..case }).unwrap_or(200);
        assert!(from(12) < from(6), "{case:?}");
        let holds = |faces| Case { faces, ..case }.lock().share(Direction::Drive).value();
        assert!(holds(12) > holds(6));
    }
}

#[test]
fn worn_plates_and_weak_springs_turn_as_one_later() {
    for case in five_cars().map(|case| Case {
        behind: false,
        ..case
    }) {
        let strong = one_from(&Case {
            preload: 2500.0,
            ..case
        });
        let weak = one_from(&Case {
            preload: 300.0,
            ..case
        });
        assert!(
            weak.unwrap_or(200) > strong.unwrap_or(200),
            "{weak:?} {strong:?} {case:?}"
        );
        let worn = one_from(&Case {
            friction: 0.08,
            ..case
        });
        assert!(worn.unwrap_or(200) > one_from(&case).unwrap_or(200), "{case:?}");
    }
}

#[test]
fn a_locked_axle_pushes_at_part_throttle_and_turns_in_where_the_inside_would_spin() {
    for case in five_cars() {
        let spool = |torque| Case {
            faces: 200,
            ring_degrees: 20.0,
            torque,
            ..case
        };
        let part = spool(case.torque * 0.1).balance().unwrap();
        let both = spool(20_000.0).balance().unwrap();
        assert!(part.yaw.newton_metres() < 0.0, "{part:?}");
        assert!(both.yaw.newton_metres() > 0.0, "{both:?}");
    }
}

#[test]
fn a_bend_that_can_not_be_driven_is_refused_with_by_how_much() {
    let fast = Case {
        cornering: 1.4,
        ..CAR
    };
    let refused = fast.balance().unwrap_err();
    let MechanicsError::TooFast { wanted, has } = refused else {
        panic!("{refused:?}");
    };
    // 600 kg at 1.4 g against 1.1 times the weight on the axle: 600 kg · 9.80665 m/s² = 5883.99 N
    assert!((wanted.newtons() - 8237.586).abs() < 1e-6 && (has.newtons() - 6472.389).abs() < 1e-6);
}

#[test]
fn senseless_cars_are_refused_by_name() {
    let named = |case: Case| match case.balance() {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    let heavy = Case {
        axle_mass: 1300.0,
        ..CAR
    };
    assert_eq!(named(heavy), "the mass on the axle");
    assert_eq!(named(Case { speed: 0.0, ..CAR }), "the speed");
    assert_eq!(
        named(Case { height: 1.6, ..CAR }),
        "the height of the centre of mass"
    );
    assert_eq!(
        named(Case {
            grip: [1.1, 4.0],
            ..CAR
        }),
        "the grip of the outside tyre"
    );
    assert_eq!(named(Case { slide: 0.0, ..CAR }), "the slip of full sliding");
    assert_eq!(named(Case { share: 0.0, ..CAR }), "the share of the axle");
    let tight = Case { speed: 1.5, ..CAR };
    assert_eq!(named(tight), "half the track over the radius of the bend");
}

#[test]
fn a_second_answer_is_told_where_a_stab_of_the_throttle_would_carry_over() {
    // the inside wheel hangs in the air until the car leans back on it: steep ramps, a high car, little preload
    let hangs = Case {
        mass: 1100.0,
        axle_mass: 420.0,
        height: 0.75,
        wheelbase: 2.1,
        roll_share: 0.7,
        track: 1.3,
        cornering: 0.48,
        grip: [1.1, 1.1],
        torque: 900.0,
        ring_degrees: 50.0,
        faces: 8,
        preload: 20.0,
        ..CAR
    };
    let found = hangs.balance().unwrap();
    assert_eq!(found.turns, AxleTurns::InsideSpins, "{found:?}");
    assert!(found.second, "{found:?}");
    let stood = run_until_they_stand(&hangs);
    assert!((stood.wheels[0] + stood.wheels[1] - found.case_torque.newton_metres()).abs() < 2.0);
}
