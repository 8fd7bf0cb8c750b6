//! `reckon bolt` and `reckon wrench`: tightening torques, and what a wrench is set to.

use super::answer::Answer;
use super::read;
use crate::cli::failure::Failure;
use crate::mechanics::bolt::{load_from_torque, question_torque};
use crate::mechanics::wrench::{setting_for, true_torque};
use crate::mechanics::{BoltSize, PropertyClass};
use crate::quantity::{Angle, Length, Ratio, Torque, significant};
use crate::report::Figures;
use clap::{ArgGroup, Args};

#[derive(Args)]
#[command(group(ArgGroup::new("known").required(true).args(["reading", "wanted"])))]
pub(super) struct Wrench {
    /// What the wrench reads, for the torque at the bolt
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    reading: Option<String>,
    /// The torque wanted at the bolt, for the setting
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    wanted: Option<String>,
    /// From the wrench's drive to the mark on the grip where the hand pulls
    #[arg(long, allow_hyphen_values = true)]
    length: String,
    /// From the wrench's drive to the bolt
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    extension: String,
    /// Angle of the extension: 0 in line with the wrench, 90 square to it
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "ANGLE",
        default_value = "0 deg"
    )]
    bend: String,
}

impl Wrench {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let reading = read::optional::<Torque>("--reading", self.reading.as_ref())?;
        let wanted = read::optional::<Torque>("--wanted", self.wanted.as_ref())?;
        let length = read::quantity::<Length>("--length", &self.length)?;
        let extension = read::quantity::<Length>("--extension", &self.extension)?;
        let bend = read::quantity::<Angle>("--bend", &self.bend)?;
        let arm = format!("({length} + {extension} · cos {bend})");
        let answer = if let Some(reading) = reading {
            let at_bolt = true_torque(reading.value(), length.value(), extension.value(), bend.value())?;
            Answer::for_work(
                "Wrench",
                Figures::new().number("true_nm", at_bolt.newton_metres()),
            )
            .line("at the bolt", format!("{at_bolt:.2} when it reads {reading}"))
            .formula(
                "M = M_read · (L + E·cos φ)/L",
                format!("M = {reading} · {arm}/{length}"),
            )
        } else {
            let wanted = match wanted {
                Some(wanted) => wanted,
                // the arguments hold one of the two; none at all reads as an empty torque
                None => read::quantity::<Torque>("--wanted", "")?,
            };
            let set = setting_for(wanted.value(), length.value(), extension.value(), bend.value())?;
            Answer::for_work("Wrench", Figures::new().number("set_nm", set.newton_metres()))
                .line("set", format!("{set:.2} for {wanted} at the bolt"))
                .formula(
                    "M_set = M · L/(L + E·cos φ)",
                    format!("M_set = {wanted} · {length}/{arm}"),
                )
        };
        Ok(answer
            .limits("angle 0° to 180°; the bolt must lie ahead of the hand")
            .mind(["the hand must pull at the mark on the grip, square to the wrench"]))
    }
}

#[derive(Args)]
pub(super) struct Bolt {
    /// Thread, such as M10 or M10x1.25
    #[arg(long, allow_hyphen_values = true)]
    size: String,
    /// Property class as marked on the head, such as 10.9
    #[arg(long, allow_hyphen_values = true)]
    class: String,
    /// Torque that the bolt is tightened to
    #[arg(long, allow_hyphen_values = true)]
    torque: String,
    /// Friction in the thread and under the head
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "NUMBER",
        default_value = "0.12"
    )]
    friction: String,
}

impl Bolt {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let size: BoltSize = read::bolt("--size", &self.size)?;
        let class: PropertyClass = read::bolt("--class", &self.class)?;
        let torque = read::quantity::<Torque>("--torque", &self.torque)?;
        let friction = read::quantity::<Ratio>("--friction", &self.friction)?;
        let load = load_from_torque(torque.value(), size, class, friction.value())?;
        let question = question_torque(torque.value(), size, class, friction.value())?;
        let share = load.share_of_proof.value();
        let figures = Figures::new()
            .number("tension_n", load.tension.newtons())
            .number("proof_n", load.proof_load.newtons())
            .number("proof_share", share)
            .number("stress_area_mm2", size.stress_area().mm2());
        let doubt = question.map(|question| {
            // the text is number and unit
            let (number, unit) = torque.text().split_once(' ').unwrap_or((torque.text(), ""));
            let fits = question.units_that_fit(unit);
            let meant = if fits.is_empty() {
                String::new()
            } else {
                format!("; was {number} {} meant?", fits.join(" or "))
            };
            format!(
                "{torque} is {} of {size} {class}: a question, not a verdict{meant}",
                question.doubt
            )
        });
        let mu = &friction;
        Ok(Answer::for_work("Bolt", figures)
            .line("tension", format!("{} at {torque}", load.tension))
            .line("proof load", format!("{} of {size} {class}", load.proof_load))
            .line("share of proof", significant(share, 3))
            .line("stress area", size.stress_area().to_string())
            .formula(
                "F = M/(P/2π + μ·d2/(2 cos 30°) + μ·D_km/2)",
                format!(
                    "F = {torque}/({}/2π + {mu} · {}/(2 cos 30°) + {mu} · {}/2)",
                    size.pitch(),
                    size.pitch_diameter(),
                    load.bearing_diameter
                ),
            )
            .limits(
                "friction 0 to 1; bearing face of 1.3 d (common practice, no source); expect 20 % to 90 % of the proof \
                 load; good to some 30 %",
            )
            .mind(doubt)
            .mind(["the maker's torque governs"]))
    }
}
