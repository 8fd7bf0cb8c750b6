//! `reckon lock` and `reckon ramp`: what ramps and packs hold.

use super::answer::Answer;
use super::pack::FRICTION_LIMITS;
use super::read::{count, optional, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::pack::friction_radius_across;
use crate::mechanics::prediction::{FrictionDoubt, Prediction, TabsDoubt};
use crate::mechanics::ramp::{class, gain, release_gain};
use crate::mechanics::{
    Bench, Direction, GearThrust, Held, Holding, LockModel, LockSetup, MechanicsError, PressurePattern,
    Sense, SpringPlace, Turned,
};
use crate::procedure::lock_band;
use crate::quantity::{Angle, Force, Length, RampAngle, Ratio, Torque, Units, Written, significant};
use crate::record::Interval;
use crate::record::lock_bands::{LockBand, LockBands};
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
    /// Standard uncertainty of that friction; a tenth of it where it is not given (common practice, no source)
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    friction_doubt: Option<String>,
    /// Friction of the plates at first movement, for what is held before they break loose
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    still: Option<String>,
    /// Radius at which the plates' friction acts, taken as sure; `reckon pack` gives it
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "LENGTH",
        required_unless_present = "outer",
        conflicts_with = "outer"
    )]
    radius: Option<String>,
    /// Outer diameter of the rubbing face, instead of the radius: so it counts how the plates may press, and what tabs and splines
    /// hold back
    #[arg(long, allow_hyphen_values = true, value_name = "DIAMETER", requires = "inner")]
    outer: Option<String>,
    /// Inner diameter of the rubbing face
    #[arg(long, allow_hyphen_values = true, value_name = "DIAMETER", requires = "outer")]
    inner: Option<String>,
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
    /// Pitch radius of the side gears at the middle of their teeth, where their thrust presses on the packs
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH", requires_all = ["pressure_angle", "pitch_angle"])]
    gear_radius: Option<String>,
    /// Pressure angle of the side gears' teeth, such as 22.5deg
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "ANGLE",
        requires = "gear_radius"
    )]
    pressure_angle: Option<String>,
    /// Half the angle of the side gear's pitch cone, such as 60deg
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "ANGLE",
        requires = "gear_radius"
    )]
    pitch_angle: Option<String>,
    /// Tell what is held up to this torque at the case, too
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    torque: Option<String>,
}

/// The most that oiled steel rubs on steel in tabs and splines (*common practice, no source*).
const OILED_STEEL: f64 = 0.15;
/// Up to here a lock is looked at where nobody says how far.
const USUAL_TORQUE: f64 = 1000.0;
/// Every so manieth point of a lock over the torque is told: four of twelve.
const ROWS_APART: usize = 3;

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
        let still = optional::<Ratio>("--still", self.still.as_ref())?;
        let faced = self.faced()?;
        let radius = faced.radius;
        let pin_radius = quantity::<Length>("--pin-radius", &self.pin_radius)?;
        let drive = quantity::<RampAngle>("--drive", &self.drive)?;
        let coast = quantity::<RampAngle>("--coast", &self.coast)?;
        let preload = quantity::<Force>("--preload-force", &self.preload_force)?;
        let ramp_friction = quantity::<Ratio>("--ramp-friction", &self.ramp_friction)?;
        let spring_place = self.spring_place.of_the_spring();
        let gears = self.gears()?;
        let setup = LockSetup {
            faces: [faces; 2],
            friction: friction.value(),
            friction_radius: radius,
            pin_radius: pin_radius.value(),
            drive: drive.value(),
            coast: coast.value(),
            ramp_friction: ramp_friction.value(),
            preload: [preload.value(); 2],
            spring_place,
            gear_thrust: gears,
            tab_friction: None,
        };
        let model = LockModel::new(setup.clone())?;
        let share = |direction| model.share(direction).value();
        let bias = model.bias_ratio(Direction::Drive);
        let class = class(drive.value(), coast.value()).to_string();
        let at_rest = LockSetup {
            friction: still.as_ref().map_or(friction.value(), Written::value),
            ..setup.clone()
        };
        let bands = self.bands(at_rest, friction.value(), &faced)?;
        let mut figures = Figures::new()
            .number("drive_share", share(Direction::Drive))
            .number("coast_share", share(Direction::Coast))
            .number("bias_ratio", bias.map(Ratio::value))
            .text("class", class.as_str());
        figures = banded(figures, "drive", bands.as_ref().map(|bands| &bands.drive));
        figures = banded(figures, "coast", bands.as_ref().map(|bands| &bands.coast));
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
        let mut answer = Answer::for_work("Lock", figures)
            .line("share on drive", says(Direction::Drive))
            .line("share on coast", says(Direction::Coast));
        if let Some(bands) = &bands {
            answer = answer
                .line("95 % on drive", bands.drive.words())
                .line("95 % on coast", bands.coast.words());
        }
        answer = answer
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
            );
        answer = match gears {
            None => answer.formula(
                "S = n·μ·r_f·k/r_p for two packs alike; bias ratio (1 + S)/(1 − S)",
                format!(
                    "S = {faces} · {friction} · {radius} · {}/{pin_radius} on drive",
                    significant(k.value(), 5)
                ),
            ),
            Some(gears) => answer.formula(
                "S = n·μ·r_f·(k/r_p + tan α sin δ/r_g) for two packs alike; bias ratio (1 + S)/(1 − S)",
                format!(
                    "S = {faces} · {friction} · {radius} · ({}/{pin_radius} + tan {} sin {}/{}) on drive",
                    significant(k.value(), 5),
                    gears.pressure_angle,
                    gears.pitch_angle,
                    gears.gear_radius
                ),
            ),
        };
        answer = answer
            .limits(FRICTION_LIMITS)
            .mind(corner)
            .mind(self.minds(gears.is_some(), bands.is_some()));
        let table = bands.filter(|_| self.torque.is_some());
        Ok(match table {
            Some(bands) => answer.table(bands.table(Units::Metric, ROWS_APART)),
            None => answer,
        })
    }

    /// What of the figures counts, and what is missing.
    fn minds(&self, thrust: bool, banded: bool) -> Vec<&'static str> {
        let mut minds = Vec::new();
        if !thrust {
            minds.push(
                "side-gear thrust not counted: the real lock is higher where gears thrust on the packs; --gear-radius, \
                 --pressure-angle and --pitch-angle count it",
            );
        }
        if banded && self.outer.is_none() {
            minds.push(
                "the radius is taken as sure, and what tabs and splines hold back is not counted; --outer and --inner count both",
            );
        }
        if banded && self.still.is_none() {
            minds.push("what is held before the plates break loose is not told without --still");
        }
        minds.push(
            "as the torque falls no more is held than at the torque from which it fell: rings, tabs and splines stay where they are",
        );
        minds
    }

    /// Where the faces rub.
    fn faced(&self) -> Result<Faced, Failure> {
        let outer = optional::<Length>("--outer", self.outer.as_ref())?;
        let inner = optional::<Length>("--inner", self.inner.as_ref())?;
        match (outer, inner, &self.radius) {
            (Some(outer), Some(inner), _) => {
                let radius = |pattern| friction_radius_across(outer.value(), inner.value(), pattern);
                let (run_in, even) = (radius(PressurePattern::RunIn)?, radius(PressurePattern::Even)?);
                Ok(Faced {
                    radius: run_in,
                    between: Some([1.0, even.mm() / run_in.mm()]),
                    tabs: Some(TabsDoubt {
                        inside: Length::from_nm(inner.value().nm() / 2),
                        outside: Length::from_nm(outer.value().nm() / 2),
                        most: Ratio::new(OILED_STEEL).map_err(MechanicsError::from)?,
                    }),
                })
            }
            (_, _, radius) => Ok(Faced {
                radius: quantity::<Length>("--radius", radius.as_deref().unwrap_or_default())?.value(),
                between: None,
                tabs: None,
            }),
        }
    }

    fn gears(&self) -> Result<Option<GearThrust>, Failure> {
        let radius = optional::<Length>("--gear-radius", self.gear_radius.as_ref())?;
        let pressure = optional::<Angle>("--pressure-angle", self.pressure_angle.as_ref())?;
        let pitch = optional::<Angle>("--pitch-angle", self.pitch_angle.as_ref())?;
        Ok(radius
            .zip(pressure)
            .zip(pitch)
            .map(|((radius, pressure), pitch)| GearThrust {
                gear_radius: radius.value(),
                pressure_angle: pressure.value(),
                pitch_angle: pitch.value(),
            }))
    }

    /// Between what the lock lies; `None` where nothing rubs, or where that can not be told.
    fn bands(&self, at_rest: LockSetup, turning: Ratio, faced: &Faced) -> Result<Option<LockBands>, Failure> {
        let doubt = optional::<Ratio>("--friction-doubt", self.friction_doubt.as_ref())?;
        let doubt = match doubt {
            Some(doubt) => doubt.value(),
            None => Ratio::new(0.1 * turning.value()).map_err(MechanicsError::from)?,
        };
        if !(0.0..=1.0).contains(&doubt.value()) {
            return Err(MechanicsError::OutOfRange {
                what: "--friction-doubt",
                value: doubt.value().to_string(),
                limits: "at least 0 and at most 1".to_string(),
            }
            .into());
        }
        let up_to = optional::<Torque>("--torque", self.torque.as_ref())?;
        let up_to = match up_to {
            Some(up_to) => up_to.value(),
            None => Torque::from_newton_metres(USUAL_TORQUE).map_err(MechanicsError::from)?,
        };
        // a torque that is none is refused as it is anywhere
        LockModel::new(at_rest.clone())?.torque_difference(Direction::Drive, up_to)?;
        if turning.value() <= 0.0 {
            return Ok(None);
        }
        let unit = Prediction {
            bench: Bench {
                setup: at_rest,
                turning,
                holding: Holding {
                    held: Held::Output,
                    turned: Turned::Right,
                    sense: Sense::Forwards,
                },
            },
            stacks: Vec::new(),
            springs: None,
            radius: faced.between,
            friction: FrictionDoubt::Trade(turning, doubt),
            tabs: faced.tabs,
        };
        let of = |direction| lock_band(&unit, direction, up_to).ok();
        let both = of(Direction::Drive).zip(of(Direction::Coast));
        Ok(both.map(|(drive, coast)| LockBands { drive, coast }))
    }
}

/// Where faces rub.
struct Faced {
    radius: Length,
    /// Ends of the band of the radius, as shares of it; `None` where it is taken as sure.
    between: Option<[f64; 2]>,
    tabs: Option<TabsDoubt>,
}

/// The band of one direction for machines.
fn banded(figures: Figures, direction: &'static str, band: Option<&LockBand>) -> Figures {
    let keys = match direction {
        "drive" => [
            "drive_share_low",
            "drive_share_high",
            "drive_from",
            "drive_share_without_thrust_low",
            "drive_share_without_thrust_high",
            "drive_share_at_rest_low",
            "drive_share_at_rest_high",
            "drive_share_unloading_low",
            "drive_share_unloading_high",
        ],
        _ => [
            "coast_share_low",
            "coast_share_high",
            "coast_from",
            "coast_share_without_thrust_low",
            "coast_share_without_thrust_high",
            "coast_share_at_rest_low",
            "coast_share_at_rest_high",
            "coast_share_unloading_low",
            "coast_share_unloading_high",
        ],
    };
    let ends = |figures: Figures, [low, high]: [&'static str; 2], of: Option<&Interval<Ratio>>| {
        figures
            .number(low, of.map(|of| of.low.value()))
            .number(high, of.map(|of| of.high.value()))
    };
    let figures = ends(figures, [keys[0], keys[1]], band.map(|band| &band.slipping));
    let figures = figures.text(
        keys[2],
        band.map_or(String::new(), |band| band.slipping.from_what()),
    );
    let figures = ends(
        figures,
        [keys[3], keys[4]],
        band.and_then(|band| band.without_thrust.as_ref()),
    );
    let figures = ends(
        figures,
        [keys[5], keys[6]],
        band.and_then(|band| band.at_rest.as_ref()),
    );
    ends(
        figures,
        [keys[7], keys[8]],
        band.and_then(|band| band.unloading.as_ref()),
    )
}
