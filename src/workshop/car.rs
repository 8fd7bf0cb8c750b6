//! A car's file, as far as the lock in it is settled by it.

use super::car_layout::{AtWheels, Engine, Layout, Place, read_layout};
use crate::document::{Document, Faults, Section};
use crate::mechanics::axle::case_torque;
use crate::mechanics::whole_car::CarBody;
use crate::mechanics::{Axle, MechanicsError};
use crate::quantity::{Length, Mass, Ratio, Torque, Velocity};

/// A car as its file describes it, for settling what its unit needs.
#[derive(Clone, PartialEq, Debug)]
pub struct Car {
    /// Its name.
    pub name: String,
    /// Where the unit sits.
    pub place: Place,
    /// Whether both axles are driven; else only that of the unit is.
    pub both_driven: bool,
    /// Share of the drive that goes to the front.
    pub front_share: Ratio,
    /// The axle that the unit sits in.
    pub axle: Axle,
    /// Share of the drive that goes to that axle.
    pub drive_share: Ratio,
    /// Mass with driver, as it runs.
    pub mass: Mass,
    /// Mass on the front and on the rear axle.
    pub axle_mass: [Mass; 2],
    /// Track at the unit's axle.
    pub track: Length,
    /// Distance between the axles.
    pub wheelbase: Length,
    /// Height of the centre of mass.
    pub height: Length,
    /// Share of the roll stiffness at the unit's axle.
    pub roll_share: Ratio,
    /// Radius of the rolling tyre.
    pub tyre_radius: Length,
    /// The engine's torque at full throttle: at the speed that is settled for, where the file gives it by speed.
    pub engine: Torque,
    /// Torque that turns the engine over with the throttle closed.
    pub drag: Torque,
    /// The gear that is settled for, from 1, and the speed of the engine in it.
    pub at: OperatingPoint,
    /// Ratio of the gear that is settled for.
    pub gear: Ratio,
    /// Ratio of the final drive.
    pub final_drive: Ratio,
    /// Efficiency from engine to case.
    pub efficiency: Ratio,
    /// Ratios of all gears, from the first.
    pub ratios: Vec<Ratio>,
    /// The engine's torque at full throttle over its speed.
    pub full: Engine,
    /// What else is known of the whole car.
    pub layout: Layout,
    /// The figures that nobody knew when the file was written: estimates.
    pub guessed: Vec<CarFigure>,
}

/// A figure of a car's file that may be an estimate.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CarFigure {
    /// What the centre gives to the rear.
    RearShare,
    /// Mass of the car.
    Mass,
    /// How it lies on the axles.
    Weights,
    /// Track at the unit's axle.
    Track,
    /// Distance between the axles.
    Wheelbase,
    /// Height of the centre of mass.
    Height,
    /// Share of the roll stiffness.
    RollShare,
    /// Radius of the rolling tyre.
    TyreRadius,
    /// Torque of the engine.
    Engine,
    /// Its drag.
    Drag,
    /// Ratios of the gears.
    Ratios,
    /// Ratio of the final drive.
    FinalDrive,
    /// Efficiency from engine to case.
    Efficiency,
}

impl CarFigure {
    /// Every figure with the word for it in `guessed`, which is the key that it stands at.
    pub const ALL: [(CarFigure, &'static str); 13] = [
        (CarFigure::RearShare, "rear_share"),
        (CarFigure::Mass, "mass"),
        (CarFigure::Weights, "front_weight"),
        (CarFigure::Track, "track"),
        (CarFigure::Wheelbase, "wheelbase"),
        (CarFigure::Height, "height"),
        (CarFigure::RollShare, "roll_share"),
        (CarFigure::TyreRadius, "tyre_radius"),
        (CarFigure::Engine, "engine.torque"),
        (CarFigure::Drag, "engine.drag"),
        (CarFigure::Ratios, "gears.ratios"),
        (CarFigure::FinalDrive, "gears.final"),
        (CarFigure::Efficiency, "gears.efficiency"),
    ];

    /// The key that it stands at.
    pub fn key(self) -> &'static str {
        let found = CarFigure::ALL.iter().find(|(figure, _)| *figure == self);
        found.map_or("", |(_, key)| key)
    }

    /// What it is called where it is told.
    pub fn words(self) -> &'static str {
        match self {
            CarFigure::RearShare => "share of the drive at the rear",
            CarFigure::Mass => "mass of the car",
            CarFigure::Weights => "weights on the axles",
            CarFigure::Track => "track",
            CarFigure::Wheelbase => "wheelbase",
            CarFigure::Height => "height of the centre of mass",
            CarFigure::RollShare => "share of the roll stiffness",
            CarFigure::TyreRadius => "radius of the tyre",
            CarFigure::Engine => "torque of the engine",
            CarFigure::Drag => "drag of the engine",
            CarFigure::Ratios => "ratios of the gears",
            CarFigure::FinalDrive => "ratio of the final drive",
            CarFigure::Efficiency => "efficiency",
        }
    }
}

/// The gear and the speed that a car is settled for.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OperatingPoint {
    /// The gear, from 1.
    pub gear: u32,
    /// Revolutions of the engine in a minute; `None` where the file gives one torque without a speed.
    pub rpm: Option<u32>,
    /// The speed on the road that follows, without slip.
    pub kilometres_an_hour: Option<f64>,
}

/// How far the axles' weights may be off the mass of the car, as a share of it: what corner scales differ by.
const WEIGHTS_APART: f64 = 0.01;

const HEAVY: &str = "more than 0 kg and at most 10000 kg";
const STEPS_DOWN: &str = "more than 0 and at most 30";

/// Where the unit sits, and what of the drive goes where.
struct Drive {
    place: Place,
    both: bool,
    front_share: Ratio,
}

impl Drive {
    /// The axle that stands for it: that of the unit, the front one for the centre.
    fn axle(&self) -> Axle {
        match self.place {
            Place::Front | Place::Centre => Axle::Front,
            Place::Rear => Axle::Rear,
        }
    }
}

fn read_drive(top: &Section<'_>) -> Option<Drive> {
    let driven = top.word(
        "driven",
        &[
            (Some(Axle::Front), "front"),
            (Some(Axle::Rear), "rear"),
            (None, "both"),
        ],
    );
    let Some(driven) = driven else {
        // which of these belong there is not known without it
        top.may_have(&["unit_in", "rear_share"]);
        return None;
    };
    match driven {
        Some(axle) => {
            let axles = [(Axle::Front, "front"), (Axle::Rear, "rear")];
            let in_axle = top.word_maybe("unit_in", &axles);
            if in_axle.is_some_and(|other| other != axle) {
                top.fault_at("unit_in", "this axle is not driven");
            }
            let shared = "only one axle is driven, so nothing is shared";
            top.not_here("rear_share", "sense", shared);
            let (place, front) = match axle {
                Axle::Front => (Place::Front, 1.0),
                Axle::Rear => (Place::Rear, 0.0),
            };
            Some(Drive {
                place,
                both: false,
                front_share: Ratio::new(front).ok()?,
            })
        }
        None => {
            let place = top.word("unit_in", Place::WORDS);
            let rear = top.quantity_where("rear_share", "more than 0 and less than 1");
            Some(Drive {
                place: place?,
                both: true,
                front_share: Ratio::new(1.0 - Ratio::value(rear?)).ok()?,
            })
        }
    }
}

/// Torque and drag.
fn read_engine(section: &Section<'_>) -> Option<(Engine, Torque)> {
    let limits = "more than 0 N·m and at most 5000 N·m";
    let one = section.quantity_maybe_where("torque", limits);
    let mut points: Vec<(u32, Torque)> = Vec::new();
    for point in section.sections("point") {
        let speed = point.count("rpm", 1..30_001);
        let torque = point.quantity_where("torque", limits);
        point.finish();
        if let (Some(speed), Some(torque)) = (speed, torque) {
            if points.last().is_some_and(|(before, _)| speed <= *before) {
                point.fault_at("rpm", "the points must rise in rpm");
            }
            points.push((speed, torque));
        }
    }
    let drag = section.quantity_where("drag", "at least 0 N·m and at most 1000 N·m");
    section.finish();
    let wanted = "either \"torque\" or [[engine.point]] tables with rpm and torque are wanted in [engine]";
    if !section.one_of(&["torque", "point"], wanted) {
        return None;
    }
    let engine = match one {
        Some(torque) => Engine::One(torque),
        None if points.is_empty() => return None,
        None => Engine::Points(points),
    };
    Some((engine, drag?))
}

/// What `[gears]` says.
struct Gears {
    ratios: Vec<Ratio>,
    number: u32,
    gear: Ratio,
    final_drive: Ratio,
    efficiency: Ratio,
    torque: Torque,
    rpm: Option<u32>,
}

/// The gear that is settled for, and what the engine gives in it.
fn read_gears(section: &Section<'_>, engine: Option<&Engine>) -> Option<Gears> {
    let ratios = section.numbers("ratios", STEPS_DOWN);
    section.needed("ratios", "a list such as [3.1, 2.0, 1.5]");
    let settle_in = section.count("settle_in", 1..21);
    let at = section.count_maybe("settle_at", 1..30_001);
    let torque = engine.and_then(|engine| {
        let torque = engine.at(at);
        if torque.is_none() {
            section.fault_at(
                "settle_at",
                match (engine, at) {
                    (Engine::Points(points), Some(at)) => format!(
                        "settle_at is {at} rpm, but the points of the engine go from {} to {} rpm",
                        points.first().map_or(0, |point| point.0),
                        points.last().map_or(0, |point| point.0)
                    ),
                    _ => "settle_at wants the torque by [[engine.point]] tables; one torque has no speed"
                        .to_string(),
                },
            );
        }
        torque
    });
    let final_drive = section.quantity_where("final", STEPS_DOWN);
    let efficiency = section.quantity_where("efficiency", "more than 0 and at most 1");
    section.finish();
    let (ratios, number) = (ratios?, settle_in?);
    let gear = ratios.get(number as usize - 1).copied();
    if gear.is_none() {
        section.fault_at(
            "settle_in",
            format!("gear {number} is missing: there are {} ratios", ratios.len()),
        );
    }
    let (torque, rpm) = torque?;
    Some(Gears {
        ratios,
        number,
        gear: gear?,
        final_drive: final_drive?,
        efficiency: efficiency?,
        torque,
        rpm,
    })
}

impl Car {
    /// Reads a car from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Car, Faults> {
        Document::read(file, source, Car::read_top)
    }

    /// Reads it from the top of its document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<Car> {
        top.format("shimwright car 1");
        let name = top.text("name");
        let guessed = top.words("guessed", &CarFigure::ALL);
        let drive = read_drive(top);
        let mass: Option<Mass> = top.quantity_where("mass", HEAVY);
        let front: Option<Mass> = top.quantity_where("front_weight", HEAVY);
        let rear: Option<Mass> = top.quantity_where("rear_weight", HEAVY);
        if let (Some(mass), Some(front), Some(rear)) = (mass, front, rear) {
            let sum = front.kilograms() + rear.kilograms();
            if (sum - mass.kilograms()).abs() > WEIGHTS_APART * mass.kilograms() {
                top.fault_at(
                        "mass",
                        format!("the weights on the axles, {front} and {rear}, add up to {sum:.1} kg and not to the mass of {mass}"),
                    );
            }
        }
        let track = top.quantity_where("track", "at least 0.5 m and at most 3 m");
        let wheelbase = top.quantity_where("wheelbase", "at least 1 m and at most 6 m");
        let height = top.quantity_where("height", "at least 0.1 m and at most 2 m");
        let roll_share = top.quantity_where("roll_share", "at least 0 and at most 1");
        let tyre_radius: Option<Length> = top.quantity_where("tyre_radius", "at least 0.1 m and at most 1 m");
        let engine = top.section("engine").and_then(|section| read_engine(&section));
        let gears = top
            .section("gears")
            .and_then(|section| read_gears(&section, engine.as_ref().map(|(engine, _)| engine)));
        let layout = read_layout(top);
        top.finish();
        let (drive, (full, drag)) = (drive?, engine?);
        let axle = drive.axle();
        let (gears, tyre_radius) = (gears?, tyre_radius?);
        let wheel_rpm = |rpm: u32| f64::from(rpm) / gears.gear.value() / gears.final_drive.value();
        let round = std::f64::consts::TAU * tyre_radius.metres();
        Some(Car {
            name: name?,
            place: drive.place,
            both_driven: drive.both,
            front_share: drive.front_share,
            axle,
            drive_share: match axle {
                Axle::Front => drive.front_share,
                Axle::Rear => Ratio::new(1.0 - drive.front_share.value()).ok()?,
            },
            mass: mass?,
            axle_mass: [front?, rear?],
            track: track?,
            wheelbase: wheelbase?,
            height: height?,
            roll_share: roll_share?,
            tyre_radius,
            engine: gears.torque,
            drag,
            at: OperatingPoint {
                gear: gears.number,
                rpm: gears.rpm,
                // metres in a minute to kilometres in an hour
                kilometres_an_hour: gears.rpm.map(|rpm| wheel_rpm(rpm) * round * 60.0 / 1000.0),
            },
            gear: gears.gear,
            final_drive: gears.final_drive,
            efficiency: gears.efficiency,
            guessed,
            ratios: gears.ratios,
            full,
            layout,
        })
    }

    /// The whole car, for the balance of all its wheels. The track and the roll stiffness of the file are those of the unit's
    /// axle, of a unit in the centre those of the front.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn body(&self) -> Result<CarBody, MechanicsError> {
        let other = self.layout.other_track.unwrap_or(self.track);
        let rest = Ratio::new(1.0 - self.roll_share.value())?;
        let (tracks, front_roll_share) = match self.axle {
            Axle::Front => ([self.track, other], self.roll_share),
            Axle::Rear => ([other, self.track], rest),
        };
        Ok(CarBody {
            mass: self.mass,
            front_mass: Mass::from_kilograms(self.mass.kilograms() * self.front_weight())?,
            tracks,
            wheelbase: self.wheelbase,
            height: self.height,
            front_roll_share,
            tyre_radius: self.tyre_radius,
            kingpin_offset: self.layout.kingpin_offset,
        })
    }

    /// What of the weight lies on the front axle: the weights of both need not add up to the mass to the last kilogram.
    fn front_weight(&self) -> f64 {
        let [front, rear] = self.axle_mass.map(Mass::kilograms);
        front / (front + rear)
    }

    /// What is at the wheels in a gear at a speed; without a gear in the one that the car is settled in. `None` where the car
    /// has no such gear.
    pub fn at_wheels(&self, gear: Option<u32>, speed: Velocity) -> Option<AtWheels> {
        let gear = gear.unwrap_or(self.at.gear);
        let ratio = self.ratios.get(gear.checked_sub(1)? as usize)?;
        let down = ratio.value() * self.final_drive.value();
        let round = std::f64::consts::TAU * self.tyre_radius.metres();
        // kilometres in an hour to turns in a minute
        let rpm = speed.km_per_hour() * 1000.0 / 60.0 / round * down;
        let (torque, within) = self.full.near(rpm)?;
        let full = torque.newton_metres() * down * self.efficiency.value();
        Some(AtWheels {
            gear,
            rpm,
            within,
            full: Torque::from_newton_metres(full).ok()?,
            drag: Torque::from_newton_metres(self.drag.newton_metres() * down).ok()?,
        })
    }

    /// Torque at the case of this axle at full throttle, in the gear that is settled in.
    ///
    /// # Errors
    ///
    /// A number past its range.
    pub fn full_torque(&self) -> Result<Torque, MechanicsError> {
        case_torque(
            self.engine,
            self.gear,
            self.final_drive,
            self.drive_share,
            self.efficiency,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CARS: [&str; 3] = [
        include_str!("../../demo-units/tarn-car.toml"),
        include_str!("../../demo-units/moor-car.toml"),
        include_str!("../../demo-units/shoal-car.toml"),
    ];

    fn faults(old: &str, new: &str) -> String {
        let [_, _, both] = CARS;
        assert!(both.contains(old), "{old}");
        Car::read("car.toml", &both.replace(old, new))
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn the_invented_cars_are_without_fault() {
        for source in CARS {
            assert!(source.starts_with("# INVENTED DATA."));
            let car = Car::read("car.toml", source).unwrap_or_else(|faults| panic!("{faults}"));
            assert!(car.full_torque().unwrap() > car.drag);
        }
        let [slalom, hill, gravel] = CARS.map(|source| Car::read("car.toml", source).unwrap());
        assert_eq!(
            (slalom.axle, hill.axle, gravel.axle),
            (Axle::Front, Axle::Rear, Axle::Rear)
        );
        // 5600 rpm lie between 5000 and 7000: 345 − 0.3 · 35; and 400 · 2.15 · 4.10 · 0.60 · 0.85 at the rear case
        assert!((hill.engine.newton_metres() - 334.5).abs() < 1e-9);
        // 5600/(2.05 · 3.90) turns of a wheel of 0.305 m a minute
        let speed = 5600.0 / (2.05 * 3.90) * 2.0 * std::f64::consts::PI * 0.305 * 0.06;
        assert_eq!((hill.at.gear, hill.at.rpm), (2, Some(5600)));
        assert!((hill.at.kilometres_an_hour.unwrap() - speed).abs() < 1e-9);
        assert_eq!((gravel.at.rpm, gravel.at.kilometres_an_hour), (None, None));
        let torque = gravel.full_torque().unwrap().newton_metres();
        assert!((torque - 1798.26).abs() < 1e-6, "{torque}");
    }

    #[test]
    fn bad_cars_are_refused_with_the_reason() {
        for (old, new, says) in [
            (
                "mass = \"1310 kg\"",
                "mass = \"0 kg\"",
                "mass is 0.0 kg, but it must be more than 0 kg",
            ),
            (
                "mass = \"1310 kg\"",
                "mass = \"1400 kg\"",
                "the weights on the axles, 720.0 kg and 590.0 kg, add up to 1310.0 kg and not to the mass of 1400.0 kg",
            ),
            (
                "settle_in = 2",
                "settle_in = 6",
                "gear 6 is missing: there are 5 ratios",
            ),
            (
                "ratios = [3.10, 2.15, 1.62, 1.27, 1.02]",
                "",
                "\"ratios\" is missing in [gears]",
            ),
            (
                "ratios = [3.10,",
                "ratios = [0,",
                "ratios holds 0.00, but each must be more than 0",
            ),
            (
                "ratios = [3.10,",
                "ratios = [\"3.10\",",
                "plain numbers are wanted",
            ),
            (
                "unit_in = \"rear\"",
                "",
                "\"unit_in\" is missing in the top of the file: one of front, centre, rear is wanted",
            ),
            (
                "driven = \"both\"",
                "driven = \"front\"",
                "this axle is not driven",
            ),
            (
                "rear_share = 0.60",
                "rear_share = 1",
                "rear_share is 1.00, but it must be more than 0 and less than 1",
            ),
            (
                "settle_in = 2",
                "settle_in = 2\nsettle_at = 4000",
                "settle_at wants the torque by [[engine.point]] tables",
            ),
            (
                "torque = \"400 N·m\"",
                "",
                "either \"torque\" or [[engine.point]] tables",
            ),
            (
                "efficiency = 0.85",
                "efficiency = 1.2",
                "efficiency is 1.20, but it must be",
            ),
        ] {
            let text = faults(old, new);
            assert!(text.contains(says), "{new}: {text}");
        }
    }

    #[test]
    fn an_engine_speed_outside_the_points_is_refused_with_its_limits() {
        let [_, hill, _] = CARS;
        for rpm in ["2999", "7001"] {
            let text = hill.replace("settle_at = 5600", &format!("settle_at = {rpm}"));
            let words = Car::read("car.toml", &text).unwrap_err().to_string();
            let says =
                format!("settle_at is {rpm} rpm, but the points of the engine go from 3000 to 7000 rpm");
            assert!(words.contains(&says), "{words}");
        }
        // without a speed the greatest of the points counts
        let text = hill.replace("settle_at = 5600", "");
        let car = Car::read("car.toml", &text).unwrap();
        assert!((car.engine.newton_metres() - 345.0).abs() < 1e-9);
        assert_eq!(car.at.rpm, Some(5000));
    }

    #[test]
    fn all_faults_of_a_car_are_told_at_once() {
        let [_, hill, _] = CARS;
        let bent = hill
            .replace("mass = \"1080 kg\"", "mass = \"0 kg\"")
            .replace("rpm = 5000", "rpm = 2000")
            .replace("settle_in = 2 ", "settle_in = 9 ")
            .replace("track = \"1480 mm\"", "track = 1480");
        let faults = Car::read("car.toml", &bent).unwrap_err();
        assert_eq!(faults.faults.len(), 4, "{faults}");
        assert!(
            faults.to_string().contains("the points must rise in rpm"),
            "{faults}"
        );
    }
}
