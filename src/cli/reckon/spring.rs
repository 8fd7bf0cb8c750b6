//! `reckon spring`: the force of springs.

use super::answer::Answer;
use super::read::{count, optional, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::spring::delivered_force;
use crate::mechanics::{DiscSpring, SpringStack};
use crate::quantity::{Length, significant};
use crate::report::Figures;
use clap::Args;

#[derive(Args)]
pub(super) struct Spring {
    /// Outside diameter of a disc
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    outside: String,
    /// Inside diameter of a disc
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    inside: String,
    /// Thickness of a disc
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    thickness: String,
    /// Free height of a disc
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    height: String,
    /// How far the stack is pressed from free
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    travel: String,
    /// Reduced thickness of a disc with contact flats
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    reduced: Option<String>,
    /// Discs the same way round in each packet
    #[arg(long, allow_hyphen_values = true, value_name = "N", default_value = "1")]
    parallel: String,
    /// Packets one against the next
    #[arg(long, allow_hyphen_values = true, value_name = "N", default_value = "1")]
    series: String,
}

impl Spring {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let outside = quantity::<Length>("--outside", &self.outside)?;
        let inside = quantity::<Length>("--inside", &self.inside)?;
        let thickness = quantity::<Length>("--thickness", &self.thickness)?;
        let height = quantity::<Length>("--height", &self.height)?;
        let travel = quantity::<Length>("--travel", &self.travel)?;
        let reduced = optional::<Length>("--reduced", self.reduced.as_ref())?;
        let parallel = count("--parallel", &self.parallel)?;
        let series = count("--series", &self.series)?;
        let spring = DiscSpring::new(
            outside.value(),
            inside.value(),
            thickness.value(),
            height.value(),
            reduced.as_ref().map(|reduced| reduced.value()),
        )?;
        let stack = SpringStack::discs(spring, parallel, series)?;
        let at = stack.height_after(travel.value())?;
        let force = stack.force_at_height(at)?;
        let flat = stack.force_at_height(stack.solid_height())?;
        let rate = stack.rate_at_height(at)?;
        let peak = stack.peak_travel();
        let delivered = delivered_force(thickness.value()).ok();
        let bounds = delivered.map(|[less, more]| {
            [
                force.newtons() * (1.0 - less.value()),
                force.newtons() * (1.0 + more.value()),
            ]
        });
        let figures = Figures::new()
            .number("force_n", force.newtons())
            .number("flat_force_n", flat.newtons())
            .number("rate_n_per_mm", rate.newtons_per_mm())
            .number("peak_travel_um", peak.map(Length::um))
            .number("force_least_n", bounds.map(|[least, _]| least))
            .number("force_most_n", bounds.map(|[_, most]| most));
        let as_delivered = match (delivered, bounds) {
            (Some([less, more]), Some([least, most])) => format!(
                "{least:.0} to {most:.0} N: a maker may deliver {} % less and {} % more (DIN EN 16983, at 0.75 h0)",
                significant(100.0 * less.value(), 2),
                significant(100.0 * more.value(), 2)
            ),
            _ => "not known: over 16 mm the tables say nothing".to_string(),
        };
        let discs = match (parallel, series) {
            (1, 1) => String::new(),
            (n, 1) => format!("; {n} discs in parallel, F times {n}"),
            (n, i) => format!("; {i} packets of {n}, F times {n} at s/{i}"),
        };
        let worked = match &reduced {
            Some(reduced) => format!("t' = {reduced} for t, K4 = {}", significant(spring.k4(), 5)),
            None => format!("t = {thickness}, K4 = 1"),
        };
        let peak = match peak {
            Some(peak) => format!("at {peak} of travel; past it more travel gives less force"),
            None => "none before flat: force rises all the way".to_string(),
        };
        Ok(Answer::for_work("Disc spring", figures)
            .line("force", format!("{force:.1} at {travel} of travel"))
            .line("flat", format!("{flat:.1} at {} of travel", stack.full_travel()))
            .line("as delivered", as_delivered)
            .line("rate", format!("{rate:.1}"))
            .line("greatest force", peak)
            .line("height", format!("{at} now, {} free", stack.free_height()))
            .formula(
                "F = 4E/(1−ν²) · t⁴/(K1·De²) · K4² · s/t · (K4²·(h0/t − s/t)·(h0/t − s/2t) + 1)",
                format!(
                    "E = 206 GPa, ν = 0.3, {worked}, De = {outside}, h0 = {}, K1 = {}, s = {travel}{discs}",
                    spring.cone_height(),
                    significant(spring.k1(), 5)
                ),
            )
            .limits("no friction between discs")
            .mind(stack.traps_at_height(at).iter().map(ToString::to_string)))
    }
}
