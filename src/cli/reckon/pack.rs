//! `reckon pack`: the torque of a pack of plates.

use super::answer::Answer;
use super::read::{count, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::PressurePattern;
use crate::mechanics::pack::{friction_radius_across, pack_torque};
use crate::quantity::{Force, Length, Ratio};
use crate::report::Figures;
use clap::{Args, ValueEnum};

/// What friction plates in oil do; a reading at the bench says more.
pub(super) const FRICTION_LIMITS: &str =
    "friction 0 to 1; in oil about 0.06 to 0.15 (common practice, no source)";

#[derive(Args)]
pub(super) struct Pack {
    /// Faces that rub in this pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces: String,
    /// Friction of the plates, such as 0.1
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    friction: String,
    /// Force through the pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE")]
    force: String,
    /// Outer diameter of the rubbing face
    #[arg(long, allow_hyphen_values = true, value_name = "DIAMETER")]
    outer: String,
    /// Inner diameter of the rubbing face
    #[arg(long, allow_hyphen_values = true, value_name = "DIAMETER")]
    inner: String,
    /// How the pressure lies on the faces
    #[arg(long, value_enum, default_value = "run-in")]
    pressure: Pressure,
}

#[derive(Clone, Copy, ValueEnum)]
enum Pressure {
    /// New, flat plates: the same pressure everywhere
    Even,
    /// Run-in plates: worn evenly, so the pressure falls with the radius
    RunIn,
}

impl Pack {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let faces = count("--faces", &self.faces)?;
        let friction = quantity::<Ratio>("--friction", &self.friction)?;
        let force = quantity::<Force>("--force", &self.force)?;
        let outer = quantity::<Length>("--outer", &self.outer)?;
        let inner = quantity::<Length>("--inner", &self.inner)?;
        let (pattern, radius_by) = match self.pressure {
            Pressure::Even => (PressurePattern::Even, "r_f = (D³ − d³)/(D² − d²)/3"),
            Pressure::RunIn => (PressurePattern::RunIn, "r_f = (D + d)/4"),
        };
        let radius = friction_radius_across(outer.value(), inner.value(), pattern)?;
        let torque = pack_torque(faces, friction.value(), force.value(), radius)?;
        let figures = Figures::new()
            .number("torque_nm", torque.newton_metres())
            .number("radius_um", radius.um());
        Ok(Answer::for_work("Pack", figures)
            .line("torque", format!("{torque:.2}"))
            .line("friction radius", format!("{radius}, {pattern}"))
            .line("outer diameter", outer.text())
            .line("inner diameter", inner.text())
            .formula(
                format!("M = n·μ·F·r_f, {radius_by}"),
                format!("M = {faces} · {friction} · {force} · {radius}"),
            )
            .limits(FRICTION_LIMITS))
    }
}
