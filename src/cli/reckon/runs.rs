//! `reckon runs`: settings compared by driving.

use super::answer::Answer;
use super::read::{count, quantity};
use crate::app::read_text;
use crate::cli::failure::Failure;
use crate::document::read_columns;
use crate::metrology::drawn::OrderPlan;
use crate::metrology::{
    OrderScheme, Run, changes, compare_runs, exact_p, least_p, orders, orders_of_days, runs_to_show,
};
use crate::quantity::{Ratio, significant};
use crate::report::Figures;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Clone, Copy, ValueEnum)]
enum How {
    /// From all orders that a steady drift falls out of
    Balanced,
    /// In blocks of four, each A-B-B-A or B-A-A-B
    Blocks,
    /// It was not drawn: no exact p
    Not,
}

impl How {
    fn drawn(self) -> Option<OrderScheme> {
        match self {
            How::Balanced => Some(OrderScheme::Balanced),
            How::Blocks => Some(OrderScheme::Blocks),
            How::Not => None,
        }
    }
}

#[derive(Args)]
pub(super) struct Runs {
    /// The file: a row a run in the order driven, with day, setting (1 or 2) and seconds
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// How the order of each day was drawn before it was driven
    #[arg(long, value_enum, default_value = "not")]
    drawn: How,
    /// How sure the interval is to be
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "NUMBER",
        default_value = "0.95"
    )]
    confidence: String,
    /// The difference in seconds that is worth having
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "SECONDS",
        default_value = "0.2"
    )]
    show: String,
}

impl Runs {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let confidence = quantity::<Ratio>("--confidence", &self.confidence)?;
        let show = quantity::<Ratio>("--show", &self.show)?;
        let text = read_text(&self.file)?;
        let [days, settings, seconds] = read_columns(&text.name, &text.text, ["day", "setting", "seconds"])?;
        let failed = |why| Failure::Data {
            file: text.name.clone(),
            why,
        };
        let runs: Vec<Run> = days
            .into_iter()
            .zip(settings)
            .zip(seconds)
            .map(|((day, setting), seconds)| Run::of(day, setting, seconds))
            .collect::<Result<_, _>>()
            .map_err(failed)?;
        let found = compare_runs(&runs, confidence.value().value()).map_err(failed)?;
        let p = self.exact(&runs)?;
        let needed = runs_to_show(found.scatter, show.value().value(), confidence.value().value())?;
        let (low, high) = found.interval;
        let figures = Figures::new()
            .number("difference_s", found.difference)
            .number("interval_low_s", low)
            .number("interval_high_s", high)
            .count("freedom", found.freedom)
            .number("scatter_s", found.scatter)
            .number("p", p.map(|(p, _)| p))
            .number("least_p", p.map(|(_, least)| least))
            .number("runs_to_show", needed.map(|runs| runs as f64));
        let verdict = if low > 0.0 {
            "setting 2 is slower"
        } else if high < 0.0 {
            "setting 2 is faster"
        } else {
            "not told apart"
        };
        let drift: Vec<String> = found
            .drift
            .iter()
            .flatten()
            .map(|drift| format!("{drift:+.3}"))
            .collect();
        let more = match needed {
            Some(needed) if needed > runs.len() => {
                format!("{needed} runs in one balanced order would show {show} s")
            }
            Some(_) => format!("a difference of {show} s would have been seen"),
            None => format!("no number of runs that can be driven would show {show} s"),
        };
        Ok(Answer::of_numbers("Runs", figures)
            .line("verdict", verdict)
            .line(
                "difference",
                format!(
                    "{:+.3} s, setting 2 less setting 1, drift taken out",
                    found.difference
                ),
            )
            .line(
                "interval",
                format!(
                    "{low:+.3} to {high:+.3} s at {confidence}, {} degrees of freedom",
                    found.freedom
                ),
            )
            .line(
                "drift",
                format!("{} s from run to run, day by day", drift.join(", ")),
            )
            .line("scatter", format!("{:.3} s of one run", found.scatter))
            .line(
                "exact p",
                p.map_or_else(
                    || "none: there is one only for an order that was drawn (--drawn)".to_string(),
                    |(p, least)| format!("{} (at the least {})", significant(p, 3), significant(least, 3)),
                ),
            )
            .line("more", more)
            .formula(
                "t = a_day + b_day·order + d·(setting 2), by least squares",
                format!("{} runs", runs.len()),
            )
            .limits("a run counts once, by the median of its laps; a day has its own line")
            .mind(["tyres, fuel and weather that change with the setting look like the setting"]))
    }

    /// The exact p over all that could have been drawn on all days together, and the least that it could be.
    fn exact(&self, runs: &[Run]) -> Result<Option<(f64, f64)>, Failure> {
        let Some(drawn) = self.drawn.drawn() else {
            return Ok(None);
        };
        let days: Vec<usize> = runs
            .chunk_by(|one, next| one.day == next.day)
            .map(<[Run]>::len)
            .collect();
        let from = orders_of_days(drawn, &days)?;
        let seconds: Vec<f64> = runs.iter().map(|run| run.seconds).collect();
        let driven: Vec<bool> = runs.iter().map(|run| run.second).collect();
        let p = exact_p(&seconds, &driven, &from)?;
        Ok(p.map(|p| (p, least_p(&from))))
    }
}

#[derive(Args)]
pub(super) struct Order {
    /// How many runs there are to be, both settings together: a multiple of 4 up to 24
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    runs: String,
    /// A number that the draw follows from: the same one gives the same order
    #[arg(long, value_name = "N")]
    seed: u64,
    /// How it is drawn
    #[arg(long, value_enum, default_value = "balanced")]
    drawn: Draws,
    /// Draw from the orders that change parts the fewest times
    #[arg(long)]
    fewest_changes: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Draws {
    /// From all orders that a steady drift falls out of
    Balanced,
    /// In blocks of four, each A-B-B-A or B-A-A-B
    Blocks,
}

impl Order {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let runs = count("--runs", &self.runs)? as usize;
        let drawn = match self.drawn {
            Draws::Balanced => OrderScheme::Balanced,
            Draws::Blocks => OrderScheme::Blocks,
        };
        // as many runs as can be listed
        let all = orders(drawn, runs)?;
        let plan = OrderPlan {
            scheme: drawn,
            runs,
            most_changes: match self.fewest_changes {
                true => all.iter().map(|order| changes(order)).min(),
                false => None,
            },
        };
        let order = plan.draw(self.seed)?;
        let from = plan.orders()?.unwrap_or(all);
        let words: Vec<&str> = order
            .iter()
            .map(|second| if *second { "2" } else { "1" })
            .collect();
        let least = least_p(&from);
        let figures = Figures::new()
            .text("order", words.join(" "))
            .count("orders", from.len())
            .count("changes", changes(&order))
            .number("least_p", least);
        Ok(Answer::of_numbers("Order", figures)
            .line("order", words.join(" "))
            .line("drawn from", format!("{} orders, seed {}", from.len(), self.seed))
            .line("changes", format!("{} of the setting", changes(&order)))
            .line(
                "least p",
                format!("{} however clear the day is", significant(least, 3)),
            )
            .limits("a multiple of 4 runs up to 24; a steady drift falls out of the difference")
            .mind([
                "write the order down before the first run, and drive it",
                "fewer orders to draw from make fewer changes of parts and a greater p",
            ]))
    }
}
