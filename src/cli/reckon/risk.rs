//! `reckon risk`: how often a decision is wrong.

use super::answer::Answer;
use super::read::{optional, quantity};
use crate::cli::failure::Failure;
use crate::metrology::{Limits, coverage_factor, risk, welch_satterthwaite};
use crate::quantity::{Length, Ratio, significant};
use crate::report::Figures;
use clap::{ArgGroup, Args};

#[derive(Args)]
#[command(group(ArgGroup::new("limit").required(true).multiple(true).args(["least", "most"])))]
pub(super) struct Risk {
    /// Mean of the parts as they come
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    mean: String,
    /// Standard deviation of the parts
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    spread: String,
    /// Standard uncertainty of one measurement
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    uncertainty: String,
    /// The least that is allowed
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    least: Option<String>,
    /// The most that is allowed
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    most: Option<String>,
    /// How far inside the limits a reading must lie to be accepted
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "LENGTH",
        default_value = "0 mm"
    )]
    guard: String,
}

impl Risk {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let mean = quantity::<Length>("--mean", &self.mean)?;
        let spread = quantity::<Length>("--spread", &self.spread)?;
        let uncertainty = quantity::<Length>("--uncertainty", &self.uncertainty)?;
        let least = optional::<Length>("--least", self.least.as_ref())?;
        let most = optional::<Length>("--most", self.most.as_ref())?;
        let guard = quantity::<Length>("--guard", &self.guard)?;
        let um = |length: Option<Length>| length.map(Length::um);
        let (low, high) = (
            least.as_ref().map(|least| least.value()),
            most.as_ref().map(|most| most.value()),
        );
        let limits = Limits::new(um(low), um(high))?;
        let accepted = Limits::new(
            um(low.map(|least| least + guard.value())),
            um(high.map(|most| most - guard.value())),
        )?;
        let found = risk(
            mean.value().um(),
            spread.value().um(),
            uncertainty.value().um(),
            &limits,
            &accepted,
        )?;
        let figures = Figures::new()
            .number("conforming", found.conforming)
            .number("consumers_risk", found.consumer)
            .number("producers_risk", found.producer);
        let share = |part: f64| format!("{} %", significant(100.0 * part, 3));
        Ok(Answer::for_work("Risk", figures)
            .line(
                "within the limits",
                format!("{} of all parts", share(found.conforming)),
            )
            .line(
                "false accept",
                format!(
                    "{} of all parts are accepted and should not be (consumer's risk)",
                    share(found.consumer)
                ),
            )
            .line(
                "false reject",
                format!(
                    "{} of all parts are rejected and need not be (producer's risk)",
                    share(found.producer)
                ),
            )
            .formula(
                "R_C = ∫ outside g(η)·P(accepted | η) dη, R_P = ∫ inside g(η)·(1 − P(accepted | η)) dη",
                format!(
                    "g normal about {mean}, standard deviation {spread}; u = {uncertainty}; guard {guard}"
                ),
            )
            .limits("parts and readings spread normally (JCGM 106, 9.5)")
            .mind(["a guard band makes fewer false accepts and more false rejects"]))
    }
}

#[derive(Args)]
pub(super) struct Combine {
    /// One source: its standard uncertainty, and behind a semicolon its degrees of freedom where they are few, such as
    /// "2.9um" or "3.2um; 4"
    #[arg(long, allow_hyphen_values = true, value_name = "SOURCE", required = true)]
    source: Vec<String>,
    /// How much of what may be the interval is to hold
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "NUMBER",
        default_value = "0.95"
    )]
    confidence: String,
}

impl Combine {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let confidence = quantity::<Ratio>("--confidence", &self.confidence)?;
        let mut parts = Vec::new();
        for source in &self.source {
            let (u, freedom) = match source.split_once(';') {
                Some((u, freedom)) => (u, quantity::<Ratio>("--source", freedom)?.value().value()),
                None => (source.as_str(), f64::INFINITY),
            };
            parts.push((quantity::<Length>("--source", u)?.value().um(), freedom));
        }
        let freedom = welch_satterthwaite(&parts)?;
        let combined = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
        let k = coverage_factor(confidence.value().value(), freedom)?;
        let figures = Figures::new()
            .number("u_um", combined)
            .number("degrees_of_freedom", freedom.is_finite().then_some(freedom))
            .number("coverage_factor", k)
            .number("expanded_um", k * combined);
        let squares: Vec<String> = parts
            .iter()
            .map(|(u, _)| format!("{}²", significant(*u, 4)))
            .collect();
        Ok(Answer::of_numbers("Combined", figures)
            .line("standard", format!("u = {} µm", significant(combined, 4)))
            .line(
                "degrees of freedom",
                if freedom.is_finite() {
                    significant(freedom, 4)
                } else {
                    "without end".to_string()
                },
            )
            .line(
                "expanded",
                format!("± {} µm holds {confidence}, k = {}", significant(k * combined, 4), significant(k, 4)),
            )
            .formula(
                "u² = Σ uᵢ²; ν = u⁴/Σ(uᵢ⁴/νᵢ); k = t((1 + p)/2; ν)",
                format!("u = √({}) µm", squares.join(" + ")),
            )
            .limits("sources that have nothing to do with each other; ν by Welch and Satterthwaite, not rounded down (JCGM 100, G.4)")
            .mind(["what readings of one instrument share adds up straight, not in squares: add it first"]))
    }
}
