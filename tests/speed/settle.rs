//! What it costs to hold everything that a unit offers against a target.
//!
//! The unit, the car and the target are invented. Asked for: all combinations of 6 drive and 6 coast ramps, 12 counts of
//! faces and 5 preloads, 2160 in all, over 50 throttle points, in less than 50 ms.
#![allow(clippy::unwrap_used)]

use divan::Bencher;
use divan::counter::ItemsCount;
use shimwright::mechanics::tune::{Near, Options, Target, TargetPoint, Trial};
use shimwright::mechanics::{Axle, CarSetup, DrivenAxle, LockModel, LockSetup, SpringPlace, Surface};
use shimwright::quantity::{Datum, Force, Length, Mass, RampAngle, Ratio, Torque};

fn main() {
    divan::main();
}

fn mm(value: i64) -> Length {
    Length::from_um(1000 * value)
}

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

fn torque(value: f64) -> Torque {
    Torque::from_newton_metres(value).unwrap()
}

fn ramp(degrees: f64) -> RampAngle {
    RampAngle::new(degrees, Datum::RingFace).unwrap()
}

fn unit() -> LockSetup {
    LockSetup {
        faces: [8; 2],
        friction: ratio(0.1),
        friction_radius: mm(40),
        pin_radius: mm(31),
        drive: ramp(60.0),
        coast: ramp(70.0),
        ramp_friction: ratio(0.06),
        preload: [Force::from_newtons(1000.0).unwrap(); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    }
}

fn axle() -> DrivenAxle {
    let car = CarSetup {
        mass: Mass::from_kilograms(1100.0).unwrap(),
        axle_mass: Mass::from_kilograms(560.0).unwrap(),
        axle: Axle::Rear,
        track: mm(1450),
        wheelbase: mm(2450),
        height: mm(480),
        roll_share: ratio(0.45),
        tyre_radius: mm(300),
        drive_share: ratio(1.0),
        full_torque: torque(1500.0),
        coast_torque: torque(250.0),
    };
    let surface = Surface {
        low_grip: ratio(0.3),
        high_grip: ratio(0.6),
        cornering: ratio(0.4),
    };
    DrivenAxle::new(car, surface).unwrap()
}

fn target() -> Target {
    Target {
        drive: (1..=50)
            .map(|n| TargetPoint {
                throttle: ratio(f64::from(n) / 50.0),
                share: ratio(0.2 + 0.7 * f64::from(n) / 50.0),
            })
            .collect(),
        coast: ratio(0.2),
    }
}

/// 6 × 6 ramps, 12 counts of faces, 5 preloads; the unit's own are among them.
fn offered() -> Options {
    let mut ramps = Vec::new();
    for drive in [30.0, 40.0, 50.0, 60.0, 70.0, 80.0] {
        for coast in [40.0, 50.0, 60.0, 70.0, 80.0, 85.0] {
            ramps.push([ramp(drive), ramp(coast)]);
        }
    }
    Options {
        ramps,
        faces: (1..=12).collect(),
        preload: [400.0, 600.0, 800.0, 1000.0, 1200.0]
            .map(|newtons| Force::from_newtons(newtons).unwrap())
            .to_vec(),
    }
}

/// Everything that is offered over fifty throttle points, the ten best of it.
#[divan::bench]
fn all_combinations(bencher: Bencher<'_, '_>) {
    let offered = offered();
    let count = offered.ramps.len() * offered.faces.len() * offered.preload.len();
    assert_eq!(count, 2160);
    bencher.counter(ItemsCount::new(count)).bench(|| {
        let trial = Trial::new(axle(), target()).unwrap();
        trial.best(&unit(), &offered, 10).unwrap()
    });
}

/// The exact ramps for each of the fifty points, and one step of each thing.
#[divan::bench]
fn exact_and_steps(bencher: Bencher<'_, '_>) {
    let trial = Trial::new(axle(), target()).unwrap();
    let near = Near {
        faces: (1..=12).collect(),
        drive: vec![ramp(50.0), ramp(70.0)],
        coast: Vec::new(),
        worn: Some(Force::from_newtons(700.0).unwrap()),
    };
    bencher.bench(|| {
        (
            trial.exact(&unit()).unwrap(),
            trial.steps(&unit(), &near).unwrap(),
        )
    });
}

/// The throttle at which a unit locks.
#[divan::bench]
fn locks_at(bencher: Bencher<'_, '_>) {
    let (axle, model) = (axle(), LockModel::new(unit()).unwrap());
    bencher.bench(|| axle.locks_at(&model).unwrap());
}
