//! `reckon car`: what each wheel of a car gets at one moment, with up to three units.

use super::read::{optional, quantity};
use crate::app::read_text;
use crate::cli::coupling::OtherUnits;
use crate::cli::failure::Failure;
use crate::mechanics::whole_car::{CarBalance, CarMoment, WheelState, WholeCar};
use crate::quantity::{Force, Quantity, Ratio, Torque, Velocity, significant};
use crate::report::{Report, Section, Summary, Table};
use crate::tuning::state;
use crate::workshop::{Car, Safety};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct MovingCar {
    /// The car's TOML file
    #[arg(value_name = "CAR")]
    car: PathBuf,
    #[command(flatten)]
    units: OtherUnits,
    /// Speed of the car, such as 11m/s or 40km/h
    #[arg(long, allow_hyphen_values = true, value_name = "SPEED")]
    speed: String,
    /// Cornering, as a multiple of gravity
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    cornering: String,
    /// Grip of the tyres inside the bend as a whole
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    inside_grip: String,
    /// Grip of the tyres outside
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    outside_grip: String,
    /// Grip of the front tyre inside, where it is another
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    front_inside_grip: Option<String>,
    /// Grip of the front tyre outside, where it is another
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    front_outside_grip: Option<String>,
    /// Slip from which on a tyre slides fully, such as 0.1
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "NUMBER",
        default_value = "0.1"
    )]
    slide_slip: String,
    /// Force of the air on the front axle
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE", default_value = "0 N")]
    front_downforce: String,
    /// Force of the air on the rear axle
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE", default_value = "0 N")]
    rear_downforce: String,
    /// Torque that the brake of each front wheel holds
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "TORQUE",
        default_value = "0 N·m"
    )]
    front_brake: String,
    /// Torque that the brake of each rear wheel holds
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "TORQUE",
        default_value = "0 N·m"
    )]
    rear_brake: String,
    /// Torque asked for at all driven wheels together; below 0 with the throttle shut
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    torque: String,
}

/// Reads an argument and forgets how it was written.
fn read<Q: Quantity + Copy>(name: &'static str, text: &str) -> Result<Q, Failure> {
    quantity::<Q>(name, text).map(|written| written.value())
}

impl MovingCar {
    pub fn report(&self) -> Result<Report, Failure> {
        let text = read_text(&self.car)?;
        let car = Car::read(&text.name, &text.text)?;
        let train = self.units.of(&car)?.train(&car)?;
        let torque: Torque = read("--torque", &self.torque)?;
        let found = WholeCar::new(&car.body()?, &self.moment()?)?.at(&train, torque)?;
        Ok(Report::of(Summary::told("reckon car", state(None, &found)))
            .with(said(&car, &found))
            .with(Section::new().table(wheels(&found)))
            .with(Section::new().words(format!(
                "Brush tyre, loads of the whole car, units by their packs; not in it: suspension, transients, tyre temperature, grip that \
                 falls past its peak, roll centres, forces along steered wheels. A computed figure, not a measured one. {}",
                Safety::First.words()
            ))))
    }

    fn moment(&self) -> Result<CarMoment, Failure> {
        let inside: Ratio = read("--inside-grip", &self.inside_grip)?;
        let outside: Ratio = read("--outside-grip", &self.outside_grip)?;
        let other = |name, text: &Option<String>, grip: Ratio| -> Result<Ratio, Failure> {
            Ok(optional::<Ratio>(name, text.as_ref())?.map_or(grip, |written| written.value()))
        };
        Ok(CarMoment {
            speed: read::<Velocity>("--speed", &self.speed)?,
            cornering: read("--cornering", &self.cornering)?,
            grip: [
                [
                    other("--front-inside-grip", &self.front_inside_grip, inside)?,
                    other("--front-outside-grip", &self.front_outside_grip, outside)?,
                ],
                [inside, outside],
            ],
            slide_slip: read("--slide-slip", &self.slide_slip)?,
            downforce: [
                read::<Force>("--front-downforce", &self.front_downforce)?,
                read::<Force>("--rear-downforce", &self.rear_downforce)?,
            ],
            brakes: [
                read::<Torque>("--front-brake", &self.front_brake)?,
                read::<Torque>("--rear-brake", &self.rear_brake)?,
            ],
        })
    }
}

/// What happens, in sentences.
fn said(car: &Car, found: &CarBalance) -> Section {
    let mut section = Section::new().words(format!(
        "{}: {} of {} go through, {} g ahead.",
        car.name,
        found.through,
        found.asked,
        significant(found.ahead.value(), 3)
    ));
    for (name, part) in ["front", "rear"].into_iter().zip(&found.axles) {
        if let Some(turns) = part.turns {
            let most = part
                .capacity
                .map_or_else(|| "without end".to_string(), |capacity| capacity.to_string());
            section = section.words(format!(
                "The {name} unit: {turns}; {} at its case, {} held of {most}.",
                part.torque, part.held
            ));
        }
        if part.runs_wide() {
            section = section.words(format!(
                "The {name} axle runs wide at this torque: it has lost so much load that its tyres can not hold the bend."
            ));
        }
    }
    if let Some(centre) = found.centre {
        section = section.words(format!(
            "The centre: {}; it moves {} to the {} against the split of its gears.",
            centre.turns,
            Torque::from_newton_metres(centre.moved.newton_metres().abs()).unwrap_or(centre.moved),
            if centre.moved.newton_metres() < 0.0 {
                "front"
            } else {
                "rear"
            }
        ));
    }
    let worth = found.front_grip.map_or_else(String::new, |share| {
        format!(", worth {:.1} % of the front tyres' grip", 100.0 * share.value())
    });
    let yaw = found.yaw.newton_metres();
    section = section.words(match yaw {
        _ if yaw.abs() < 0.05 => "No moment about the upright axis.".to_string(),
        _ if yaw > 0.0 => format!("{yaw:.0} N·m turn the car in{worth}."),
        _ => format!("{:.0} N·m against the turn{worth}.", -yaw),
    });
    if let Some(tug) = found.tug {
        section = section.words(format!("Tug at the steering axes: {tug}."));
    }
    if found.second {
        section = section.words(
            "A second answer is real as well: a stab of the throttle carries the car over to it. What is told is come to from no torque.",
        );
    }
    section
}

fn wheels(found: &CarBalance) -> Table {
    let mut rows = Vec::new();
    for (axle, part) in ["front", "rear"].into_iter().zip(&found.axles) {
        for (side, wheel) in ["inside", "outside"].into_iter().zip(&part.wheels) {
            let slip = wheel.slip.map_or_else(
                || "-".to_string(),
                |slip| format!("{:.1} %", 100.0 * slip.value()),
            );
            let does = match wheel.state {
                WheelState::Past => "past sliding, held by its partner".to_string(),
                other => other.to_string(),
            };
            rows.push([
                format!("{axle} {side}"),
                wheel.torque.to_string(),
                wheel.load.to_string(),
                slip,
                does,
            ]);
        }
    }
    Table::of_words(["wheel", "torque", "load", "slip", "does"], rows)
}
