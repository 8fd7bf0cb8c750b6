//! What it costs to rank everything that a unit offers on the moments of a use, and to solve a whole car.
//!
//! Units, cars and uses are invented. Asked for: 2000 settings on 5 moments with 11 throttles each ranked, with bands for the
//! three best, in less than 1 s; one state of a whole car with three units in less than 1 ms.
#![allow(clippy::unwrap_used)]

use divan::Bencher;
use divan::counter::ItemsCount;
use shimwright::mechanics::whole_car::{CarBody, CarMoment, Centre, Coupling, Drivetrain, WholeCar};
use shimwright::mechanics::{LockModel, LockSetup, SpringPlace};
use shimwright::quantity::{Datum, Force, Length, Mass, RampAngle, Ratio, Torque, Velocity};
use shimwright::tuning::{Others, Settled};
use shimwright::workshop::{Car, Unit, UnitFile, Use};

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

fn unit(drive: f64, coast: f64) -> Coupling {
    let lock = LockModel::new(LockSetup {
        faces: [8; 2],
        friction: ratio(0.1),
        friction_radius: mm(40),
        pin_radius: mm(31),
        drive: ramp(drive),
        coast: ramp(coast),
        ramp_friction: ratio(0.06),
        preload: [Force::from_newtons(300.0).unwrap(); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    });
    Coupling::Plates(Box::new(lock.unwrap()))
}

fn rally_car() -> WholeCar {
    let body = CarBody {
        mass: Mass::from_kilograms(1350.0).unwrap(),
        front_mass: Mass::from_kilograms(756.0).unwrap(),
        tracks: [mm(1550); 2],
        wheelbase: mm(2550),
        height: mm(500),
        front_roll_share: ratio(0.5),
        tyre_radius: mm(320),
        kingpin_offset: None,
    };
    let moment = CarMoment {
        speed: Velocity::from_km_per_hour(39.6).unwrap(),
        cornering: ratio(0.3),
        grip: [[ratio(0.35), ratio(0.65)], [ratio(0.65); 2]],
        slide_slip: ratio(0.15),
        downforce: [Force::from_newtons(0.0).unwrap(); 2],
        brakes: [torque(0.0); 2],
    };
    WholeCar::new(&body, &moment).unwrap()
}

/// One state of a car with a front, a centre and a rear unit: one where all goes through and one where wheels spin.
#[divan::bench(args = [900.0, 2000.0])]
fn whole_car(bencher: Bencher<'_, '_>, asked: f64) {
    let car = rally_car();
    let train = Drivetrain::Both {
        front: unit(75.0, 85.0),
        centre: Centre {
            coupling: unit(70.0, 85.0),
            front_share: ratio(0.5),
            ratio: ratio(3.9),
        },
        rear: unit(60.0, 75.0),
    };
    bencher.bench(|| car.at(&train, torque(asked)).unwrap());
}

/// The unit of the demo with 6 × 6 ramps, 11 counts of faces and 5 preloads on offer beside its own.
fn offered() -> UnitFile {
    let source = include_str!("../../demo-units/moor-rear.toml");
    let mut unit = Unit::read("unit.toml", source).unwrap();
    unit.offer.ramps = Vec::new();
    for drive in [30.0, 40.0, 50.0, 60.0, 70.0, 80.0] {
        for coast in [40.0, 50.0, 60.0, 70.0, 80.0, 85.0] {
            unit.offer.ramps.push([ramp(drive), ramp(coast)]);
        }
    }
    unit.offer.faces = (1..=11).collect();
    unit.offer.preload = [400.0, 600.0, 800.0, 1000.0, 1150.0]
        .map(|newtons| Force::from_newtons(newtons).unwrap())
        .to_vec();
    UnitFile::Opened(Box::new(unit))
}

const MOMENTS: [&str; 5] = [
    "speed = \"40 km/h\"\ncornering = 0.3\ninside_grip = 0.5\noutside_grip = 0.65\nputs_down = 0.95\n",
    "speed = \"90 km/h\"\ncornering = 0.35\ninside_grip = 0.6\noutside_grip = 0.65\nputs_down = 0.95\n",
    "speed = \"60 km/h\"\ncornering = 0.1\ninside_grip = 0.3\noutside_grip = 0.65\nputs_down = 0.85\n",
    "speed = \"60 km/h\"\ncornering = 0.2\ninside_grip = 0.6\noutside_grip = 0.65\none_from = 0.6\n",
    "speed = \"50 km/h\"\ncornering = 0.4\ninside_grip = 0.65\noutside_grip = 0.65\nagainst_at_most_front_grip = 0.06\n",
];

/// 1980 settings on five moments with eleven throttles each, with the bands of the three best.
#[divan::bench]
fn ranked_with_bands(bencher: Bencher<'_, '_>) {
    let car = Car::read("car.toml", include_str!("../../demo-units/moor-car.toml")).unwrap();
    let moments: String = MOMENTS
        .iter()
        .enumerate()
        .map(|(n, moment)| format!("[[moment]]\nname = \"{n}\"\nslide_slip = 0.15\n{moment}"))
        .collect();
    let text = format!("format = \"shimwright use 2\"\nname = \"X\"\nwords = \"w\"\n{moments}");
    let wanted = Use::read("use.toml", &text).unwrap();
    let (unit, others) = (offered(), Others::of(&car));
    bencher
        .counter(ItemsCount::new(1980_usize))
        .bench(|| Settled::new(&car, &wanted, &unit, &others).unwrap());
}
