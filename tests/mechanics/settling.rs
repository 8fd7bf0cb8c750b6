use crate::reference::{mm, newton_metres, newtons, ratio};
use proptest::prelude::*;
use shimwright::mechanics::Direction::{Coast, Drive};
use shimwright::mechanics::tune::{Change, Complaint, Measure, Near, Options, Target, TargetPoint, Trial};
use shimwright::mechanics::{
    Axle, CarSetup, DrivenAxle, LockModel, LockSetup, MechanicsError, RampFor, SpringPlace, Surface,
};
use shimwright::quantity::{Datum, Mass, RampAngle};

fn ramp(degrees: f64) -> RampAngle {
    RampAngle::new(degrees, Datum::RingFace).unwrap()
}

fn unit() -> LockSetup {
    LockSetup {
        faces: [8; 2],
        friction: ratio(0.1),
        friction_radius: mm(40.0),
        pin_radius: mm(31.0),
        drive: ramp(60.0),
        coast: ramp(70.0),
        ramp_friction: ratio(0.06),
        preload: [newtons(1000.0); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    }
}

fn axle(low: f64, high: f64) -> DrivenAxle {
    let car = CarSetup {
        mass: Mass::from_kilograms(1100.0).unwrap(),
        axle_mass: Mass::from_kilograms(560.0).unwrap(),
        axle: Axle::Rear,
        track: mm(1450.0),
        wheelbase: mm(2450.0),
        height: mm(480.0),
        roll_share: ratio(0.45),
        tyre_radius: mm(300.0),
        drive_share: ratio(1.0),
        full_torque: newton_metres(1500.0),
        coast_torque: newton_metres(250.0),
    };
    let surface = Surface {
        low_grip: ratio(low),
        high_grip: ratio(high),
        cornering: ratio(0.4),
    };
    DrivenAxle::new(car, surface).unwrap()
}

fn target(points: &[(f64, f64)], coast: f64) -> Target {
    Target {
        drive: points
            .iter()
            .map(|(throttle, share)| TargetPoint {
                throttle: ratio(*throttle),
                share: ratio(*share),
            })
            .collect(),
        coast: ratio(coast),
    }
}

fn trial() -> Trial {
    Trial::new(axle(0.3, 0.6), target(&[(0.3, 0.4), (1.0, 0.9)], 0.2)).unwrap()
}

fn offered() -> Options {
    let mut ramps = Vec::new();
    for drive in [30.0, 40.0, 50.0, 60.0, 70.0, 80.0] {
        for coast in [40.0, 60.0, 80.0] {
            ramps.push([ramp(drive), ramp(coast)]);
        }
    }
    Options {
        ramps,
        faces: vec![4, 6, 8, 10, 12],
        preload: [200.0, 600.0, 1000.0].map(newtons).to_vec(),
    }
}

/// Every combination by plain loops, each with its distance by its own sum.
fn by_hand(trial: &Trial) -> Vec<f64> {
    let mut all = Vec::new();
    let options = offered();
    let own = [unit().drive, unit().coast];
    let ramps: Vec<[RampAngle; 2]> = options
        .ramps
        .iter()
        .copied()
        .filter(|pair| *pair != own)
        .chain([own])
        .collect();
    for [drive, coast] in ramps {
        for faces in &options.faces {
            for preload in &options.preload {
                let model = LockModel::new(LockSetup {
                    drive,
                    coast,
                    faces: [*faces; 2],
                    preload: [*preload; 2],
                    ..unit()
                })
                .unwrap();
                let mut sum = 0.0;
                for (throttle, wanted) in [(0.3, 0.4), (1.0, 0.9)] {
                    let share = trial
                        .axle()
                        .share_at(&model, Drive, ratio(throttle))
                        .unwrap()
                        .unwrap();
                    sum += (share.value().min(1.0) - wanted) * (share.value().min(1.0) - wanted);
                }
                let share = trial.axle().share_at(&model, Coast, ratio(0.0)).unwrap().unwrap();
                sum += (share.value().min(1.0) - 0.2) * (share.value().min(1.0) - 0.2);
                all.push((sum / 3.0).sqrt());
            }
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

#[test]
fn the_best_are_those_that_plain_loops_find() {
    let trial = trial();
    let best = trial.best(&unit(), &offered(), 1000).unwrap();
    let expected = by_hand(&trial);
    assert_eq!(best.len(), expected.len());
    for (proposal, expected) in best.iter().zip(&expected) {
        // the order does not tell distances apart that differ by less than a millionth
        assert!((proposal.distance.value() - expected).abs() < 1e-6);
        // and each is said to do what it does alone
        let model = LockModel::new(proposal.setup.clone()).unwrap();
        assert_eq!(proposal.effect, trial.effect(&model).unwrap());
    }
    assert_eq!(trial.best(&unit(), &offered(), 10).unwrap(), best[..10]);
}

#[test]
fn what_the_unit_has_is_always_tried_and_wins_a_tie() {
    let trial = trial();
    let alone = trial.best(&unit(), &Options::default(), 10).unwrap();
    assert_eq!((alone.len(), alone[0].changes), (1, 0));
    assert_eq!(alone[0].setup, unit());
    // below the preload's floor no coast ramp matters, so two of them tie and the unit's own comes first
    let strong = LockSetup {
        preload: [newtons(3000.0); 2],
        ..unit()
    };
    let floor = Options {
        ramps: vec![[ramp(60.0), ramp(85.0)]],
        ..Options::default()
    };
    let tied = trial.best(&strong, &floor, 10).unwrap();
    assert!((tied[0].distance.value() - tied[1].distance.value()).abs() < 1e-9);
    assert_eq!((tied[0].changes, tied[1].changes), (0, 1));
}

#[test]
fn the_exact_ramps_meet_their_points() {
    let trial = trial();
    let (drive, coast) = trial.exact(&unit()).unwrap();
    for (point, asked) in trial.target().drive.iter().zip(&drive) {
        let RampFor::Ramp(ramp) = asked else {
            panic!("{asked:?}")
        };
        let model = LockModel::new(LockSetup {
            drive: *ramp,
            ..unit()
        })
        .unwrap();
        let share = trial
            .axle()
            .share_at(&model, Drive, point.throttle)
            .unwrap()
            .unwrap();
        assert!((share.value() - point.share.value()).abs() < 1e-6);
    }
    match coast {
        RampFor::Ramp(ramp) => {
            let model = LockModel::new(LockSetup {
                coast: ramp,
                ..unit()
            })
            .unwrap();
            let share = trial.axle().share_at(&model, Coast, ratio(0.0)).unwrap().unwrap();
            assert!((share.value() - 0.2).abs() < 1e-6);
        }
        RampFor::HeldWithout => {
            let model = LockModel::new(LockSetup {
                coast: RampAngle::NONE,
                ..unit()
            })
            .unwrap();
            let share = trial.axle().share_at(&model, Coast, ratio(0.0)).unwrap().unwrap();
            assert!(share.value() >= 0.2);
        }
        RampFor::OutOfReach => panic!("20 % on coast is within reach"),
    }
}

fn near() -> Near {
    Near {
        faces: vec![0, 2, 4, 6, 7, 8, 9, 10],
        drive: vec![ramp(50.0), ramp(40.0), ramp(60.0)],
        coast: Vec::new(),
        worn: Some(newtons(700.0)),
    }
}

#[test]
fn steps_go_to_the_next_of_what_there_is() {
    let steps = trial().steps(&unit(), &near()).unwrap();
    let changes: Vec<Change> = steps.iter().map(|step| step.change).collect();
    // 16 faces at 0.1 and 40 mm: 10 N·m are 156.25 N
    let expected = [
        Change::Faces(7),
        Change::Faces(9),
        Change::Drive(ramp(50.0)),
        Change::Coast(ramp(65.0)),
        Change::Coast(ramp(75.0)),
        Change::Preload(newtons(843.75)),
        Change::Preload(newtons(1156.25)),
        Change::Worn(newtons(700.0)),
    ];
    assert_eq!(changes[..8], expected);
    let at_rest = trial()
        .effect(&LockModel::new(unit()).unwrap())
        .unwrap()
        .preload
        .newton_metres();
    let more = steps[6].effect.preload.newton_metres();
    assert!((more - at_rest - 10.0).abs() < 1e-9);
    let [Change::Friction(less), Change::Friction(slippery)] = [changes[8], changes[9]] else {
        panic!("{changes:?}")
    };
    assert!((less.value() - 0.08).abs() < 1e-12 && (slippery.value() - 0.12).abs() < 1e-12);
}

/// *Common practice, no source*: which way a step moves what a driver complains of.
#[test]
fn steps_act_on_complaints_the_way_the_trade_says() {
    let trial = Trial::new(axle(0.1, 0.8), target(&[(1.0, 0.9)], 0.2)).unwrap();
    let setup = LockSetup {
        preload: [newtons(300.0); 2],
        ..unit()
    };
    let before = trial.effect(&LockModel::new(setup.clone()).unwrap()).unwrap();
    let steps = trial.steps(&setup, &near()).unwrap();
    let moved = |change: &dyn Fn(Change) -> bool, measure: Measure| {
        let step = steps.iter().find(|step| change(step.change)).unwrap();
        step.effect.value(measure) - before.value(measure)
    };
    let coast_up = |change| matches!(change, Change::Coast(one) if one.degrees_from_ring_face() > 70.0);
    let fewer = |change| change == Change::Faces(7);
    let strong = |change| matches!(change, Change::Drive(one) if one.degrees_from_ring_face() < 60.0);
    assert!(moved(&coast_up, Measure::CoastMoment) < 0.0);
    assert!(moved(&fewer, Measure::DriveMoment) < 0.0);
    assert!(moved(&fewer, Measure::Preload) < 0.0);
    assert!(moved(&strong, Measure::Usable) > 0.0);
    assert!(moved(&strong, Measure::DriveShare) > 0.0);
    // a coast ramp does nothing on power, a drive ramp nothing on coast
    assert!(moved(&coast_up, Measure::DriveMoment).abs() < 1e-9);
    assert!(moved(&strong, Measure::CoastMoment).abs() < 1e-9);
    let (measure, up) = Complaint::SnapsOnLift.measure();
    assert_eq!((measure, up), (Measure::CoastMoment, true));
}

#[test]
fn a_target_out_of_range_is_refused_by_name() {
    let named = |wanted: Target| match Trial::new(axle(0.3, 0.6), wanted) {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    assert_eq!(named(target(&[], 0.2)), "the number of target points");
    assert_eq!(named(target(&[(0.5, 1.1)], 0.2)), "the wanted lock share");
    assert_eq!(named(target(&[(1.5, 0.5)], 0.2)), "the throttle");
    assert_eq!(named(target(&[(0.5, 0.5)], -0.2)), "the wanted share on coast");
    let many = Options {
        faces: (0..1000).collect(),
        preload: (0..1000).map(|n| newtons(f64::from(n))).collect(),
        ..Options::default()
    };
    assert!(matches!(
        trial().best(&unit(), &many, 10),
        Err(MechanicsError::OutOfRange {
            what: "the number of combinations",
            ..
        })
    ));
}

#[test]
fn on_even_grip_without_cornering_nothing_counts() {
    let flat = DrivenAxle::new(
        *axle(0.6, 0.6).car(),
        Surface {
            low_grip: ratio(0.6),
            high_grip: ratio(0.6),
            cornering: ratio(0.0),
        },
    )
    .unwrap();
    let trial = Trial::new(flat, target(&[(1.0, 0.9)], 0.2)).unwrap();
    let best = trial.best(&unit(), &offered(), 3).unwrap();
    assert_eq!(best[0].setup, unit());
    assert_eq!((best[0].effect.drive[0], best[0].effect.coast), (None, None));
}

proptest! {
    #[test]
    fn the_ranking_rises_and_does_not_know_the_order_of_the_offer(low in 0.05..0.9_f64, high in 0.3..1.0_f64,
        first in 0.0..1.0_f64, last in 0.0..1.0_f64, coast in 0.0..1.0_f64) {
        let trial = Trial::new(axle(low * high, high), target(&[(0.4, first), (1.0, last)], coast)).unwrap();
        let mut turned = offered();
        turned.ramps.reverse();
        turned.faces.reverse();
        turned.preload.reverse();
        let (one, other) = (trial.best(&unit(), &offered(), 400).unwrap(), trial.best(&unit(), &turned, 400).unwrap());
        for (a, b) in one.iter().zip(&other) {
            prop_assert!((a.distance.value() - b.distance.value()).abs() < 1e-6);
            prop_assert_eq!(a.changes, b.changes);
        }
        prop_assert!(one.windows(2).all(|pair| pair[0].distance.value() <= pair[1].distance.value() + 1e-6));
    }
}

#[test]
fn newton_metres_at_the_tyres_cap_the_moment() {
    // a unit that could hold far more than the tyres react resists the turn by what they react, not by what it could
    let strong = LockSetup {
        faces: [20; 2],
        preload: [newtons(50_000.0); 2],
        ..unit()
    };
    let trial = trial();
    let effect = trial.effect(&LockModel::new(strong).unwrap()).unwrap();
    let both = trial.full().reaction.low.newton_metres() + trial.full().reaction.high.newton_metres();
    let expected = newton_metres(both / 0.3 * 1.45 / 2.0);
    assert!((effect.yaw[0].newton_metres() - expected.newton_metres()).abs() < 1e-6);
}

/// Two wheels with the same load on the same grip: there is nothing to hold, and no lock is needed.
#[test]
fn two_wheels_alike_need_no_lock() {
    let mut level = *axle(0.6, 0.6).car();
    level.full_torque = newton_metres(4000.0);
    let alike = DrivenAxle::new(
        level,
        Surface {
            low_grip: ratio(0.6),
            high_grip: ratio(0.6),
            cornering: ratio(0.0),
        },
    )
    .unwrap();
    let trial = Trial::new(alike, target(&[(0.3, 0.4), (1.0, 0.9)], 0.2)).unwrap();
    assert!(trial.full().capped);
    for faces in [0, 8] {
        let model = LockModel::new(LockSetup {
            faces: [faces; 2],
            ..unit()
        })
        .unwrap();
        let effect = trial.effect(&model).unwrap();
        assert!(effect.drive.iter().all(Option::is_none) && effect.coast.is_none());
        // open or locked, all of the grip is used
        assert!((effect.grip_used.unwrap().value() - 1.0).abs() < 1e-9);
        assert!(trial.distance(&effect).unwrap().value().abs() < 1e-12);
    }
    let (drive, coast) = trial.exact(&unit()).unwrap();
    for asked in drive.iter().chain([&coast]) {
        assert_eq!(*asked, RampFor::HeldWithout);
    }
}

#[test]
fn the_grip_that_is_used_rises_from_open_to_locked() {
    let trial = trial();
    let used = |faces: u32| {
        let setup = LockSetup {
            faces: [faces; 2],
            preload: [newtons(0.0); 2],
            drive: ramp(30.0),
            ..unit()
        };
        let effect = trial.effect(&LockModel::new(setup).unwrap()).unwrap();
        effect.grip_used.unwrap().value()
    };
    let full = trial.full().reaction;
    let (low, high) = (full.low.newton_metres(), full.high.newton_metres());
    // open: twice what the low side reacts; solid: all of it
    assert!((used(0) - 2.0 * low / (low + high)).abs() < 1e-12);
    assert!((used(16) - 1.0).abs() < 1e-12);
    let shares: Vec<f64> = (0..=16).map(used).collect();
    assert!(shares.windows(2).all(|pair| pair[0] <= pair[1] + 1e-12));
}

#[test]
fn a_step_says_from_which_throttle_it_locks() {
    let trial = trial();
    for step in trial.steps(&unit(), &near()).unwrap() {
        let mut setup = unit();
        if let Change::Faces(faces) = step.change {
            setup.faces = [faces; 2];
            let model = LockModel::new(setup).unwrap();
            assert_eq!(step.locks_at, trial.axle().locks_at(&model).unwrap());
        }
    }
}

proptest! {
    /// The edge in the plane of the two wheels: its sum is the torque at the case, its difference what the packs hold.
    #[test]
    fn the_edge_adds_up_to_the_case_and_differs_by_what_is_held(faces in 0_u32..14, degrees in 20.0..85.0_f64,
        preload in 0.0..3000.0_f64, most in 10.0..3000.0_f64) {
        let setup = LockSetup {
            faces: [faces; 2], drive: ramp(degrees), preload: [newtons(preload); 2], ..unit()
        };
        let model = LockModel::new(setup).unwrap();
        for direction in [Drive, Coast] {
            let edge = model.edge(direction, newton_metres(most), 11).unwrap();
            for (n, (more, less)) in edge.into_iter().enumerate() {
                let torque = most * n as f64 / 10.0;
                let (more, less) = (more.newton_metres(), less.newton_metres());
                prop_assert!((more + less - torque).abs() <= 1e-9 * (1.0 + torque));
                let held = model.torque_difference(direction, newton_metres(torque)).unwrap().newton_metres();
                prop_assert!((more - less - held).abs() <= 1e-9 * (1.0 + held));
            }
        }
    }
}
