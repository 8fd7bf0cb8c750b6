//! Two settings compared, as it is told.

use super::compared::{CONFIDENCE, SettingsCompared, Winner};
use super::day_report::{felt_sign, time};
use super::pictures;
use crate::report::{Cell, Column, NOTHING, Report, Section, Summary, Table};
use serde_json::{Value, json};

/// The two by a letter each.
pub(crate) const LETTERS: [&str; 2] = ["A", "B"];

/// A median of steps as a sign: between two steps where it lies there.
fn median_sign(median: Option<f64>) -> String {
    let Some(median) = median else {
        return NOTHING.to_string();
    };
    let (low, high) = (median.floor() as i8, median.ceil() as i8);
    match low == high {
        true => felt_sign(Some(low)).to_string(),
        false => format!("{} to {}", felt_sign(Some(low)), felt_sign(Some(high))),
    }
}

impl SettingsCompared {
    /// What can be told in one sentence: never a winner where there is none.
    pub fn verdict(&self) -> String {
        let [first, second] = &self.called;
        let Ok(times) = &self.times else {
            return "Nothing can be told of the times.".to_string();
        };
        let (low, high) = times.interval;
        let (size, least, most) = match times.difference < 0.0 {
            true => (-times.difference, -high, -low),
            false => (times.difference, low, high),
        };
        match self.winner() {
            Winner::First => {
                format!("{first} is faster than {second} by {size:.2} s ({least:.2} to {most:.2} s) a lap.")
            }
            Winner::Second => {
                format!("{second} is faster than {first} by {size:.2} s ({least:.2} to {most:.2} s) a lap.")
            }
            Winner::None => format!("{first} and {second} can not be told apart by their times."),
        }
    }

    /// In which phases the two were felt apart, in words.
    pub fn felt_words(&self) -> String {
        let apart = self.felt.iter().filter(|felt| felt.is_told_apart());
        let phases: Vec<&str> = apart.map(|felt| felt.phase.word()).collect();
        match phases.is_empty() {
            true => "In no phase were they felt apart.".to_string(),
            false => format!("Felt apart: {}.", phases.join(", ")),
        }
    }

    /// What more would have to be driven.
    fn more_words(&self) -> String {
        let (Ok(_), driven) = (&self.times, self.runs.len()) else {
            return "Drive at least four runs, both settings in turn, on one day: `shimwright plan` draws an order.".to_string();
        };
        let worth = self.worth;
        match self.needed {
            Some(needed) if needed > driven => format!(
                "{} more runs of each, {needed} in all in one balanced order, would show a difference of {worth} s.",
                (needed - driven).div_ceil(2)
            ),
            Some(_) => format!("As many runs as these in a balanced order show a difference of {worth} s."),
            None => {
                format!("No number of runs that can be driven would show {worth} s: a run scatters too much.")
            }
        }
    }

    fn p_words(&self) -> String {
        match &self.drawn {
            Ok(drawn) => {
                let how = match drawn.sampled {
                    true => format!(
                        "{} orders sampled from those that could have been drawn (seed 1), not exact",
                        drawn.orders
                    ),
                    false => format!(
                        "exact over the {} orders that could have been drawn",
                        drawn.orders
                    ),
                };
                format!(
                    "p {:.3}, {how}; the least that it could be is {:.3}.",
                    drawn.p, drawn.least
                )
            }
            Err(why) => format!("{why}."),
        }
    }

    /// The comparison in words, tables and pictures.
    pub fn report(&self) -> Report {
        let [first, second] = &self.called;
        let mut head = Section::under(format!("A {first}, B {second}")).words(self.verdict());
        if let Err(why) = &self.times {
            head = head.words(format!("{why}."));
        }
        for told in &self.told {
            head = head.warning(told.clone());
        }
        let mut report = Report::of(Summary::told("runs", self.object())).with(head);
        if let Ok(times) = &self.times {
            let (low, high) = times.interval;
            let [of_first, of_second] = self.counts();
            let mut section = Section::under("Times")
                .words(format!(
                    "B less A: {:+.3} s a lap, {low:+.3} to {high:+.3} s with {:.0} % confidence; {of_first} runs of A, {of_second} \
                     of B on {}, a line of drift taken out of each day. A run scatters by {:.3} s. The run is the unit, by the \
                     median of its laps.",
                    times.difference,
                    CONFIDENCE * 100.0,
                    match self.days.len() {
                        1 => "one day".to_string(),
                        days => format!("{days} days"),
                    },
                    times.scatter
                ))
                .words(self.p_words());
            section = section.words(self.more_words());
            report = report.with(section);
            if let Some(picture) = pictures::times(self) {
                let drift: Vec<String> = times
                    .drift
                    .iter()
                    .zip(&self.days)
                    .map(|(drift, day)| match drift {
                        Some(drift) => format!("{day} {drift:+.3} s a run"),
                        None => format!("{day} not known"),
                    })
                    .collect();
                let drawn = Section::under("Medians over the order of the runs")
                    .picture(picture)
                    .words(format!(
                        "· is where drift and setting put the run. Drift: {}.",
                        drift.join(", ")
                    ));
                report = report.with(drawn);
            }
        } else {
            report = report.with(Section::new().words(self.more_words()));
        }
        report.with(self.felt_section()).with(self.runs_section())
    }

    fn felt_section(&self) -> Section {
        let mut section = Section::under("Feel");
        let Some(picture) = pictures::felt(&self.felt) else {
            return Section::new();
        };
        section = section.picture(picture);
        let table = Table::new([
            Column::words("phase"),
            Column::words("A, median"),
            Column::words("B, median"),
            Column::figures("p"),
            Column::words(""),
        ]);
        let table = self.felt.iter().fold(table, |table, felt| {
            table.row([
                Cell::from(felt.phase.word()),
                Cell::from(median_sign(felt.median(0))),
                Cell::from(median_sign(felt.median(1))),
                felt.p.map_or_else(|| Cell::from(NOTHING), |p| Cell::number(p, 3)),
                Cell::from(match (felt.is_told_apart(), felt.p) {
                    (true, _) => "told apart",
                    (false, Some(_)) => "not told apart",
                    (false, None) => "not said of both",
                }),
            ])
        });
        section.table(table).words(
            "Exact rank sum tests within each day; with five phases, p of 0.01 tells apart. -- far too little lock, ++ far too much.",
        )
    }

    /// Every run that was compared.
    fn runs_section(&self) -> Section {
        let table = Table::new([
            Column::words("day"),
            Column::figures("run"),
            Column::words("setting"),
            Column::figures("median"),
            Column::figures("off the line").of_unit("s"),
        ]);
        let table = self.runs.iter().fold(table, |table, run| {
            table.row([
                Cell::from(self.days.get(run.day).map_or("", String::as_str)),
                Cell::from(run.number.to_string()),
                Cell::from(LETTERS[usize::from(run.second)]),
                Cell::from(time(Some(run.seconds))),
                Cell::change(run.seconds - run.on_line, 3),
            ])
        });
        Section::under("Runs").table(table)
    }

    fn object(&self) -> Value {
        let times = self.times.as_ref().ok();
        let drawn = self.drawn.as_ref().ok();
        let felt: Vec<Value> = self
            .felt
            .iter()
            .map(|felt| {
                json!({
                    "phase": felt.phase.word(), "answers": felt.answers, "medians": [felt.median(0), felt.median(1)],
                    "p": felt.p, "told_apart": felt.is_told_apart(),
                })
            })
            .collect();
        let runs: Vec<Value> = self
            .runs
            .iter()
            .map(|run| {
                json!({
                    "day": self.days.get(run.day), "run": run.number, "setting": self.called[usize::from(run.second)],
                    "median_s": run.seconds, "on_line_s": run.on_line,
                })
            })
            .collect();
        json!({
            "settings": self.called, "days": self.days,
            "faster": match self.winner() {
                Winner::First => Some(&self.called[0]),
                Winner::Second => Some(&self.called[1]),
                Winner::None => None,
            },
            "difference_s": times.map(|times| times.difference),
            "interval_low_s": times.map(|times| times.interval.0), "interval_high_s": times.map(|times| times.interval.1),
            "freedom": times.map(|times| times.freedom), "scatter_s": times.map(|times| times.scatter),
            "drift_s_per_run": times.map(|times| times.drift.clone()),
            "nothing_because": self.times.as_ref().err(),
            "p": drawn.map(|drawn| drawn.p), "least_p": drawn.map(|drawn| drawn.least),
            "orders": drawn.map(|drawn| drawn.orders), "sampled": drawn.map(|drawn| drawn.sampled),
            "no_p_because": self.drawn.as_ref().err(),
            "runs_to_show": self.needed, "worth_having_s": self.worth, "felt": felt, "runs": runs, "told": self.told,
        })
    }
}
