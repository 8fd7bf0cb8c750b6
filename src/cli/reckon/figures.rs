//! `reckon judge` and what is reckoned from columns of readings.

use super::answer::Answer;
use super::read::{optional, quantity};
use crate::app::read_text;
use crate::cli::failure::Failure;
use crate::document::read_columns;
use crate::metrology::{Line, StandardUncertainty, Summary, judge_length};
use crate::quantity::{Length, Ratio, Written, significant};
use crate::report::Figures;
use clap::{ArgGroup, Args};
use std::path::PathBuf;

#[derive(Args)]
#[command(group(ArgGroup::new("limit").required(true).multiple(true).args(["least", "most"])))]
pub(super) struct Judge {
    /// What was measured
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    value: String,
    /// Its standard uncertainty
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    uncertainty: String,
    /// The least that is allowed
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    least: Option<String>,
    /// The most that is allowed
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    most: Option<String>,
    /// How sure a verdict must be
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "NUMBER",
        default_value = "0.95"
    )]
    confidence: String,
}

impl Judge {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let value = quantity::<Length>("--value", &self.value)?;
        let u = quantity::<Length>("--uncertainty", &self.uncertainty)?;
        let least = optional::<Length>("--least", self.least.as_ref())?;
        let most = optional::<Length>("--most", self.most.as_ref())?;
        let confidence = quantity::<Ratio>("--confidence", &self.confidence)?;
        let standard = StandardUncertainty::from_um(u.value().um())?;
        let (inside, verdict) = judge_length(
            value.value(),
            standard,
            least.as_ref().map(Written::value),
            most.as_ref().map(Written::value),
            confidence.value().value(),
        )?;
        let figures = Figures::new()
            .number("probability_inside", inside)
            .text("verdict", verdict.to_string());
        let below = |limit: &Written<Length>| format!("Φ(({limit} − {value})/{u})");
        let (symbols, numbers) = match (&least, &most) {
            _ if u.value() == Length::ZERO => ("p = 1 within the limits, else 0", "u = 0".to_string()),
            (Some(least), Some(most)) => (
                "p = Φ((most − y)/u) − Φ((least − y)/u)",
                format!("p = {} − {}", below(most), below(least)),
            ),
            (Some(least), None) => ("p = 1 − Φ((least − y)/u)", format!("p = 1 − {}", below(least))),
            (None, most) => (
                "p = Φ((most − y)/u)",
                format!("p = {}", most.as_ref().map(below).unwrap_or_default()),
            ),
        };
        Ok(Answer::for_work("Judge", figures)
            .line("verdict", verdict.to_string())
            .line("probability", format!("{} that it lies inside", significant(inside, 6)))
            .line("value", format!("{value}, standard uncertainty {u}"))
            .formula(symbols, numbers)
            .limits(format!(
                "inside when p ≥ {confidence}, outside when 1 − p ≥ {confidence}, else too close to call (JCGM 106)"
            ))
            .mind(["the uncertainty is the standard one; a certificate's expanded one is mostly twice as much"]))
    }
}

#[derive(Args)]
pub(super) struct Readings {
    /// The file
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

impl Readings {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let text = read_text(&self.file)?;
        let [values] = read_columns(&text.name, &text.text, ["value"])?;
        let summary = Summary::of(&values).map_err(|why| Failure::Data { file: text.name, why })?;
        let figures = Figures::new()
            .count("count", summary.count)
            .number("mean", summary.mean)
            .number("sd", summary.sd)
            .number("standard_error", summary.standard_error)
            .number("lag1", summary.lag1);
        let shown = |value: Option<f64>| value.map_or("none".to_string(), |value| significant(value, 6));
        Ok(Answer::of_numbers("Readings", figures)
            .line("count", summary.count.to_string())
            .line("mean", significant(summary.mean, 10))
            .line("sd", format!("{} of one reading", shown(summary.sd)))
            .line(
                "standard error",
                format!("{} of the mean", shown(summary.standard_error)),
            )
            .line("lag 1", shown(summary.lag1))
            .formula(
                "sd² = Σ(x − mean)²/(n − 1), standard error = sd/√n",
                format!("standard error = {}/√{}", shown(summary.sd), summary.count),
            )
            .limits("sd from two readings on; in the unit of the file")
            .mind(["lag 1 far from 0: the readings drift or come in pairs"]))
    }
}

#[derive(Args)]
pub(super) struct LineOf {
    /// The file
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

impl LineOf {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let text = read_text(&self.file)?;
        let [x, y] = read_columns(&text.name, &text.text, ["x", "y"])?;
        let line = Line::fit(&x, &y).map_err(|why| Failure::Data { file: text.name, why })?;
        let figures = Figures::new()
            .number("slope", line.slope)
            .number("intercept", line.intercept)
            .number("slope_se", line.slope_se)
            .number("intercept_se", line.intercept_se)
            .number("residual_sd", line.residual_sd)
            .number("r_squared", line.r_squared);
        let with = |value: f64, error: f64| {
            format!(
                "{}, standard error {}",
                significant(value, 8),
                significant(error, 4)
            )
        };
        Ok(Answer::of_numbers("Line", figures)
            .line("slope", with(line.slope, line.slope_se))
            .line("intercept", with(line.intercept, line.intercept_se))
            .line(
                "scatter",
                format!("{} about the line", significant(line.residual_sd, 6)),
            )
            .line("r²", significant(line.r_squared, 6))
            .line("points", x.len().to_string())
            .formula(
                "y = intercept + slope·x, by ordinary least squares",
                format!(
                    "y = {} + {} · x",
                    significant(line.intercept, 8),
                    significant(line.slope, 8)
                ),
            )
            .limits("three points or more, not all at one x; x is taken to be exact")
            .mind(["outside the points the line is a guess"]))
    }
}
