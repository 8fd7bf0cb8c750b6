//! `reckon lock` and `reckon ramp`: what ramps and packs hold.

use super::answer::Answer;
use super::pack::FRICTION_LIMITS;
use super::read::{count, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::ramp::{class, gain, release_gain};
use crate::mechanics::{Direction, LockModel, LockSetup, MechanicsError, SpringPlace};
use crate::quantity::{Force, Length, RampAngle, Ratio, significant};
use crate::report::Figures;
use clap::{Args, ValueEnum};

#[derive(Args)]
pub(super) struct Ramp {
    /// The ramp, such as "45 deg from ring face"
    #[arg(long, allow_hyphen_values = true)]
    angle: String,
    /// Friction between pin and ramp
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER", default_value = "0")]
    friction: String,
}

impl Ramp {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let angle = quantity::<RampAngle>("--angle", &self.angle)?;
        let friction = quantity::<Ratio>("--friction", &self.friction)?;
        let loading = gain(angle.value(), friction.value())?;
        let (release, words) = match release_gain(angle.value(), friction.value()) {
            Ok(release) => (Some(release.value()), significant(release.value(), 5)),
            Err(stuck @ MechanicsError::SelfLocking { .. }) => (None, format!("none: {stuck}")),
            Err(other) => return Err(other.into()),
        };
        let figures = Figures::new()
            .number("gain", loading.value())
            .number("release_gain", release)
            .number("angle_from_shaft_deg", angle.value().degrees_from_shaft_axis());
        let face = significant(angle.value().degrees_from_ring_face(), 5);
        let spreads = (loading.value() <= 0.0).then_some("this ramp does not spread the rings");
        Ok(Answer::for_work("Ramp", figures)
            .line(
                "gain",
                format!(
                    "{} axial force per tangential force, load rising",
                    significant(loading.value(), 5)
                ),
            )
            .line("on release", words)
            .line(
                "angle",
                format!(
                    "{face}° from the ring face = {}° from the shaft axis",
                    significant(angle.value().degrees_from_shaft_axis(), 5)
                ),
            )
            .formula(
                "k = (cos θ − μ sin θ)/(sin θ + μ cos θ), θ from the ring face; on release with −μ",
                format!(
                    "k = (cos {face}° − {friction} · sin {face}°)/(sin {face}° + {friction} · cos {face}°)"
                ),
            )
            .limits("friction 0 to 1; the gain is never below 0")
            .mind(spreads))
    }
}

#[derive(Args)]
pub(super) struct Lock {
    /// Faces that rub, in each pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces: String,
    /// Friction of the plates, such as 0.1
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
    /// Force of the preload spring on each pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE", default_value = "0 N")]
    preload_force: String,
    /// Where the preload spring sits
    #[arg(long, value_enum, default_value = "behind")]
    spring_place: Place,
    /// Friction between pin and ramp
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER", default_value = "0")]
    ramp_friction: String,
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum Place {
    /// Between case wall and pack: the ramps add nothing until they pass the spring
    Behind,
    /// Between the pressure rings: the ramps add from the start
    Between,
}

impl Place {
    pub fn of_the_spring(self) -> SpringPlace {
        match self {
            Place::Behind => SpringPlace::BehindPack,
            Place::Between => SpringPlace::BetweenRings,
        }
    }
}

impl Lock {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let faces = count("--faces", &self.faces)?;
        let friction = quantity::<Ratio>("--friction", &self.friction)?;
        let radius = quantity::<Length>("--radius", &self.radius)?;
        let pin_radius = quantity::<Length>("--pin-radius", &self.pin_radius)?;
        let drive = quantity::<RampAngle>("--drive", &self.drive)?;
        let coast = quantity::<RampAngle>("--coast", &self.coast)?;
        let preload = quantity::<Force>("--preload-force", &self.preload_force)?;
        let ramp_friction = quantity::<Ratio>("--ramp-friction", &self.ramp_friction)?;
        let spring_place = self.spring_place.of_the_spring();
        let model = LockModel::new(LockSetup {
            faces: [faces; 2],
            friction: friction.value(),
            friction_radius: radius.value(),
            pin_radius: pin_radius.value(),
            drive: drive.value(),
            coast: coast.value(),
            ramp_friction: ramp_friction.value(),
            preload: [preload.value(); 2],
            spring_place,
            gear_thrust: None,
            tab_friction: None,
        })?;
        let share = |direction| model.share(direction).value();
        let bias = model.bias_ratio(Direction::Drive);
        let class = class(drive.value(), coast.value()).to_string();
        let figures = Figures::new()
            .number("drive_share", share(Direction::Drive))
            .number("coast_share", share(Direction::Coast))
            .number("bias_ratio", bias.map(Ratio::value))
            .text("class", class.as_str());
        let says = |direction| {
            let at = match model.locked_up_to(direction) {
                Some(torque) if torque.newton_metres() > 0.0 => {
                    format!("; the axle turns as one up to {torque} at the case")
                }
                Some(_) => String::new(),
                None => "; locked: the axle turns as one at any torque".to_string(),
            };
            format!("{}{at}", significant(share(direction), 4))
        };
        let corner = model
            .corner(Direction::Drive)
            .map(|corner| format!("on drive the ramps add nothing until {corner} at the case"));
        let k = gain(drive.value(), ramp_friction.value())?;
        Ok(Answer::for_work("Lock", figures)
            .line("share on drive", says(Direction::Drive))
            .line("share on coast", says(Direction::Coast))
            .line(
                "bias ratio",
                bias.map_or_else(
                    || "none: locked on drive, one wheel can take all of the torque".to_string(),
                    |bias| format!("{} on drive, slow wheel over fast", significant(bias.value(), 4)),
                ),
            )
            .line("class", class)
            .line(
                "preload",
                format!(
                    "{} of difference held without load, spring {spring_place}",
                    model.preload_torque()
                ),
            )
            .formula(
                "S = n·μ·r_f·k/r_p for two packs alike; bias ratio (1 + S)/(1 − S)",
                format!(
                    "S = {faces} · {friction} · {radius} · {}/{pin_radius} on drive",
                    significant(k.value(), 5)
                ),
            )
            .limits(FRICTION_LIMITS)
            .mind(corner))
    }
}
