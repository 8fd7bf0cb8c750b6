//! `reckon axle`: what each wheel gets at one moment.

use super::answer::Answer;
use super::lock::Place;
use super::read::{count, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::moving_axle::balance;
use crate::mechanics::{Axle, AxleBalance, AxleMoment, AxleTurns, LockModel, LockSetup};
use crate::quantity::{Force, Length, Quantity, RampAngle, Ratio, Torque, Velocity, Written, significant};
use crate::report::Figures;
use clap::{Args, ValueEnum};

#[derive(Args)]
pub(super) struct MovingAxle {
    /// Mass of the car, such as 1250kg
    #[arg(long, allow_hyphen_values = true, value_name = "MASS")]
    mass: String,
    /// Mass that rests on this axle
    #[arg(long, allow_hyphen_values = true, value_name = "MASS")]
    axle_mass: String,
    /// Which axle it is
    #[arg(long, value_enum)]
    axle: Which,
    /// Distance between its wheels
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    track: String,
    /// Distance between the axles
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    wheelbase: String,
    /// Height of the centre of mass
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    height: String,
    /// Share of the roll stiffness that this axle has, such as 0.45
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    roll_share: String,
    /// Radius of the rolling tyre
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    tyre_radius: String,
    /// Share of the drive that goes to this axle
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER", default_value = "1")]
    drive_share: String,
    /// Speed of the car, such as 14m/s or 50km/h
    #[arg(long, allow_hyphen_values = true, value_name = "SPEED")]
    speed: String,
    /// Cornering, as a multiple of gravity
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    cornering: String,
    /// Grip of the inside tyre as a whole
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    grip_inside: String,
    /// Grip of the outside tyre as a whole
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    grip_outside: String,
    /// Slip from which on a tyre slides fully, such as 0.1
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    slide_slip: String,
    /// Force of the air on this axle
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE", default_value = "0 N")]
    downforce: String,
    /// Torque asked for at the case; below 0 with the throttle shut
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    torque: String,
    /// Faces that rub, in each pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces: String,
    /// Friction of the plates as they slip, such as 0.1
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    friction: String,
    /// Radius at which the plates' friction acts; `reckon pack` gives it
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    radius: String,
    /// Radius at which the pins meet the ramps
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    pin_radius: String,
    /// The ramp that works on drive, such as "45 deg from ring face"
    #[arg(long, allow_hyphen_values = true, value_name = "ANGLE")]
    drive: String,
    /// The ramp that works on coast, such as "30 deg from shaft axis" or "no ramp"
    #[arg(long, allow_hyphen_values = true, value_name = "ANGLE")]
    coast: String,
    /// Friction between pin and ramp
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER", default_value = "0")]
    ramp_friction: String,
    /// Force of the preload spring on each pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE", default_value = "0 N")]
    preload_force: String,
    /// Where the preload spring sits
    #[arg(long, value_enum, default_value = "behind")]
    spring_place: Place,
}

#[derive(Clone, Copy, ValueEnum)]
enum Which {
    /// It loses load under drive
    Front,
    /// It gains load under drive
    Rear,
}

/// Reads an argument and forgets how it was written.
fn read<Q: Quantity + Copy>(name: &'static str, text: &str) -> Result<Q, Failure> {
    quantity::<Q>(name, text).map(|written: Written<Q>| written.value())
}

impl MovingAxle {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let moment = self.moment()?;
        let lock = self.lock()?;
        let found = balance(&moment, &lock)?;
        let shut = moment.torque.newton_metres() < 0.0;
        let [inside, outside] = found.wheels;
        let figures = Figures::new()
            .text("state", found.turns.to_string())
            .number("case_nm", found.case_torque.newton_metres())
            .number("inside_nm", inside.newton_metres())
            .number("outside_nm", outside.newton_metres())
            .number("held_nm", found.held.newton_metres())
            .number("capacity_nm", found.capacity.newton_metres())
            .number("slip_inside", found.slip[0].map(Ratio::value))
            .number("slip_outside", found.slip[1].map(Ratio::value))
            .number("load_inside_n", found.loads.inside.newtons())
            .number("load_outside_n", found.loads.outside.newtons())
            .number("ahead_g", found.ahead.value())
            .number("yaw_nm", found.yaw.newton_metres());
        let slip = |slip: Option<Ratio>| match slip {
            Some(slip) => format!("{:.1} %", 100.0 * slip.value()),
            None if shut => "slides".to_string(),
            None => "spins".to_string(),
        };
        Ok(Answer::for_work("Axle", figures)
            .line("state", says(found.turns, shut))
            .line(
                "through the case",
                format!("{} of {} asked for", found.case_torque, moment.torque),
            )
            .line("at the wheels", format!("inside {inside}, outside {outside}"))
            .line(
                "held by the packs",
                format!("{} of {} that they can hold", found.held, found.capacity),
            )
            .line(
                "slip",
                format!("inside {}, outside {}", slip(found.slip[0]), slip(found.slip[1])),
            )
            .line(
                "loads",
                format!("inside {}, outside {}", found.loads.inside, found.loads.outside),
            )
            .line("push ahead", format!("{} g", significant(found.ahead.value(), 3)))
            .line("yaw moment", yaw(&found))
            .formula(
                "brush tyre F = P·(1 − (1 − |κ|/κ_s)³), P = μ·N·√(1 − u²); D = R·(F_out − F_in), at most C(T)",
                format!(
                    "C = {} at {} through the case",
                    found.capacity, found.case_torque
                ),
            )
            .limits("a smooth, steady moment; no suspension, no heat in the tyres, grip that does not fall past its peak")
            .mind(self.minds(&moment, &found)))
    }

    fn moment(&self) -> Result<AxleMoment, Failure> {
        Ok(AxleMoment {
            mass: read("--mass", &self.mass)?,
            axle_mass: read("--axle-mass", &self.axle_mass)?,
            axle: match self.axle {
                Which::Front => Axle::Front,
                Which::Rear => Axle::Rear,
            },
            track: read("--track", &self.track)?,
            wheelbase: read("--wheelbase", &self.wheelbase)?,
            height: read("--height", &self.height)?,
            roll_share: read("--roll-share", &self.roll_share)?,
            tyre_radius: read("--tyre-radius", &self.tyre_radius)?,
            drive_share: read("--drive-share", &self.drive_share)?,
            speed: read::<Velocity>("--speed", &self.speed)?,
            cornering: read("--cornering", &self.cornering)?,
            grip: [
                read("--grip-inside", &self.grip_inside)?,
                read("--grip-outside", &self.grip_outside)?,
            ],
            slide_slip: read("--slide-slip", &self.slide_slip)?,
            downforce: read::<Force>("--downforce", &self.downforce)?,
            torque: read::<Torque>("--torque", &self.torque)?,
        })
    }

    fn lock(&self) -> Result<LockModel, Failure> {
        Ok(LockModel::new(LockSetup {
            faces: [count("--faces", &self.faces)?; 2],
            friction: read::<Ratio>("--friction", &self.friction)?,
            friction_radius: read::<Length>("--radius", &self.radius)?,
            pin_radius: read::<Length>("--pin-radius", &self.pin_radius)?,
            drive: read::<RampAngle>("--drive", &self.drive)?,
            coast: read::<RampAngle>("--coast", &self.coast)?,
            ramp_friction: read::<Ratio>("--ramp-friction", &self.ramp_friction)?,
            preload: [read::<Force>("--preload-force", &self.preload_force)?; 2],
            spring_place: self.spring_place.of_the_spring(),
            gear_thrust: None,
            tab_friction: None,
        })?)
    }

    fn minds(&self, moment: &AxleMoment, found: &AxleBalance) -> Vec<String> {
        let mut minds = Vec::new();
        if found.second {
            minds.push(
                "a second answer exists: a stab of the throttle leans the car on its inside wheel, and all of the torque goes through"
                    .to_string(),
            );
        }
        if moment.axle == Axle::Front {
            minds.push(
                "the pull along steered wheels, which turns the car in, is the same for every unit and not in the yaw moment"
                    .to_string(),
            );
        }
        minds.push(
            "side-gear thrust is not counted: the real lock is higher where gears thrust on the packs"
                .to_string(),
        );
        minds
    }
}

/// The state as a driver would say it.
fn says(turns: AxleTurns, shut: bool) -> String {
    let gives_up = if shut { "slides" } else { "spins" };
    match turns {
        AxleTurns::AsOne => "the axle turns as one".to_string(),
        AxleTurns::OutsideFaster => "the packs slip, outside wheel faster".to_string(),
        AxleTurns::InsideFaster => "the packs slip, inside wheel faster, both tyres grip".to_string(),
        AxleTurns::InsideSpins => format!("the inside wheel {gives_up}"),
        AxleTurns::OutsideSpins => format!("the outside wheel {gives_up}"),
        AxleTurns::BothSpin if shut => "both wheels slide".to_string(),
        AxleTurns::BothSpin => "both wheels spin".to_string(),
    }
}

fn yaw(found: &AxleBalance) -> String {
    let size = found.yaw.newton_metres();
    let way = if size.abs() < 0.05 {
        return "none: both wheels get the same".to_string();
    } else if size > 0.0 {
        "turns the car in"
    } else {
        "against the turn"
    };
    let worth = found.front_grip.map_or(String::new(), |share| {
        format!(", worth {:.1} % of the front tyres' grip", 100.0 * share.value())
    });
    format!("{size:.0} N·m, {way}{worth}")
}
