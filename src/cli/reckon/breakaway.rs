use super::answer::Answer;
use super::pack::FRICTION_LIMITS;
use super::read::{count, optional, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::Held;
use crate::mechanics::breakaway::{friction, reading};
use crate::mechanics::pack::pack_torque;
use crate::quantity::{Force, Length, Ratio, Torque, significant};
use crate::record::Report;
use clap::{ArgGroup, Args, ValueEnum};

#[derive(Args)]
#[command(group(ArgGroup::new("known").required(true).args(["friction", "reading"])))]
pub(super) struct Breakaway {
    /// Faces that rub in the left pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces_left: String,
    /// Faces that rub in the right pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces_right: String,
    /// Friction of the plates, for the reading
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    friction: Option<String>,
    /// What the wrench read, for the friction
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    reading: Option<String>,
    /// Radius at which the plates' friction acts; `reckon pack` gives it
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    radius: String,
    /// Force through the left pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE")]
    force_left: String,
    /// Force through the right pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE")]
    force_right: String,
    /// What is held still while one output is turned
    #[arg(long, value_enum)]
    held: HeldWord,
    /// What else turns along, as the same wrench reads it
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "TORQUE",
        default_value = "0 N.m"
    )]
    drag: String,
}

#[derive(Clone, Copy, ValueEnum)]
enum HeldWord {
    /// The case is held, the other output is free
    Case,
    /// The other output is held, the case is free: on the car, one wheel held
    Output,
}

impl Breakaway {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let faces = [
            count("--faces-left", &self.faces_left)?,
            count("--faces-right", &self.faces_right)?,
        ];
        let known = optional::<Ratio>("--friction", self.friction.as_ref())?;
        let read = optional::<Torque>("--reading", self.reading.as_ref())?;
        let radius = quantity::<Length>("--radius", &self.radius)?;
        let left = quantity::<Force>("--force-left", &self.force_left)?;
        let right = quantity::<Force>("--force-right", &self.force_right)?;
        let drag = quantity::<Torque>("--drag", &self.drag)?;
        let (held, part, sum) = match self.held {
            HeldWord::Case => (Held::Case, "1", "(M_L + M_R) + drag"),
            HeldWord::Output => (Held::Output, "1/2", "(M_L + M_R)/2 + drag"),
        };
        let [n_left, n_right] = faces;
        let answer = if let Some(read) = read {
            let forces = [left.value(), right.value()];
            let mu = friction(held, read.value(), drag.value(), faces, radius.value(), forces)?;
            Answer::for_work("Breakaway", Report::new().number("friction", mu.value()))
                .line("friction", significant(mu.value(), 4))
                .line("held", held.to_string())
                .formula(
                    format!("μ = (M − drag)/({part} · r_f · (n_L·F_L + n_R·F_R))"),
                    format!(
                        "μ = ({read} − {drag})/({part} · {radius} · ({n_left} · {left} + {n_right} · {right}))"
                    ),
                )
        } else {
            let known = match known {
                Some(known) => known,
                // the arguments hold one of the two; none at all reads as an empty friction
                None => quantity::<Ratio>("--friction", "")?,
            };
            let pack = |faces, force| pack_torque(faces, known.value(), force, radius.value());
            let torques = [pack(n_left, left.value())?, pack(n_right, right.value())?];
            let reads = reading(held, torques[0], torques[1], drag.value())?;
            Answer::for_work(
                "Breakaway",
                Report::new().number("reading_nm", reads.newton_metres()),
            )
            .line("the wrench reads", format!("{reads:.2}"))
            .line("left pack", format!("{:.2}", torques[0]))
            .line("right pack", format!("{:.2}", torques[1]))
            .line("held", held.to_string())
            .formula(
                format!("M = {sum}, M_L = n_L·μ·F_L·r_f, M_R likewise"),
                format!(
                    "M_L = {n_left} · {known} · {left} · {radius}, M_R = {n_right} · {known} · {right} · {radius}, \
                     drag {drag}"
                ),
            )
        };
        Ok(answer.limits(FRICTION_LIMITS).mind([
            "the first movement shows static friction, slow steady turning shows kinetic friction",
            "the other way of holding reads twice or half of this, drag aside",
        ]))
    }
}
