//! Two settings compared by what was driven with them: times, drift and feel, over one day or several.

use crate::metrology::drawn::{DrawnDay, DrawnP, OrderPlan, drawn_p};
use crate::metrology::{OrderScheme, Run, RunComparison, compare_runs, rank_sum_of_days, runs_to_show};
use crate::record::driven::{Day, DayRun, DrawnOrder, Driven, Phase};

/// How sure an interval is.
pub const CONFIDENCE: f64 = 0.95;
/// The difference in seconds that is worth having, where nobody says another (*common practice, no source*).
pub const WORTH_HAVING: f64 = 0.2;
/// From which p on two settings are told apart.
const TOLD_APART: f64 = 0.05;
/// The seed of a permutation that is sampled.
const SEED: u64 = 1;
/// The fewest words of one setting that can be told from as many of another over five phases.
const PHASES: f64 = 5.0;

/// Two of what was driven that are one setting: the same file, or the same build whatever was corrected in it later.
pub fn is_same_setting(one: &Driven, other: &Driven) -> bool {
    match (one, other) {
        (Driven::Record(one), Driven::Record(other)) => one.build == other.build,
        (one, other) => one == other,
    }
}

/// The median of some steps, between two of them where it lies there; nothing where there are none.
pub fn median_step(answers: &[i8]) -> Option<f64> {
    let mut answers = answers.to_vec();
    answers.sort_unstable();
    let (low, high) = (
        answers.get(answers.len().checked_sub(1)? / 2)?,
        answers.get(answers.len() / 2)?,
    );
    Some((f64::from(*low) + f64::from(*high)) / 2.0)
}

/// A run that was compared.
#[derive(Clone, PartialEq, Debug)]
pub struct ComparedRun {
    /// Which of the days, from 0.
    pub day: usize,
    /// Its number that day.
    pub number: usize,
    /// Whether it had the second setting.
    pub second: bool,
    /// The median of its laps in seconds.
    pub seconds: f64,
    /// Its time on the line of the drift for the setting that it had, in seconds.
    pub on_line: f64,
}

/// What was felt of two settings in one phase.
#[derive(Clone, PartialEq, Debug)]
pub struct FeltApart {
    /// The phase.
    pub phase: Phase,
    /// The answers for either setting, -2 far too little lock, 2 far too much.
    pub answers: [Vec<i8>; 2],
    /// The exact p that both are alike; `None` where one has no answer.
    pub p: Option<f64>,
}

impl FeltApart {
    /// The median answer of one setting, between two steps where it lies there.
    pub fn median(&self, which: usize) -> Option<f64> {
        median_step(self.answers.get(which)?)
    }

    /// Whether it was felt apart: p small enough for one of five phases.
    pub fn is_told_apart(&self) -> bool {
        self.p.is_some_and(|p| p <= TOLD_APART / PHASES)
    }
}

/// What can be said of two settings.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Winner {
    /// The first is faster.
    First,
    /// The second is faster.
    Second,
    /// They can not be told apart.
    None,
}

/// Two settings compared.
#[derive(Clone, PartialEq, Debug)]
pub struct SettingsCompared {
    /// What the two are called.
    pub called: [String; 2],
    /// The days that have both, by name.
    pub days: Vec<String>,
    /// The runs that were compared, in their order.
    pub runs: Vec<ComparedRun>,
    /// What the times come to, or why they come to nothing.
    pub times: Result<RunComparison, String>,
    /// The permutation over the orders that could have been drawn, or why there is none.
    pub drawn: Result<DrawnP, String>,
    /// How many runs in one balanced order would show [`SettingsCompared::worth`]; `None` where no number that can be driven
    /// would.
    pub needed: Option<usize>,
    /// The difference in seconds that is worth having.
    pub worth: f64,
    /// What was felt, phase by phase.
    pub felt: Vec<FeltApart>,
    /// Runs and days that are left out, and what is to be known before the figures are used, in words.
    pub told: Vec<String>,
}

impl SettingsCompared {
    /// Compares two settings by the days that have both.
    pub fn of(days: &[&Day], settings: [&Driven; 2], called: [&str; 2], worth: f64) -> SettingsCompared {
        let which = |run: &DayRun| {
            let driven = run.setting.as_ref()?;
            settings
                .iter()
                .position(|setting| is_same_setting(setting, driven))
        };
        let mut told = Vec::new();
        let mut both = Vec::new();
        for day in days {
            let has = |wanted: usize| day.runs.iter().any(|run| which(run) == Some(wanted));
            match (has(0), has(1)) {
                (true, true) => both.push(*day),
                (false, false) => {}
                _ => told.push(format!(
                    "{} has only one of the two and counts for nothing here",
                    day.name
                )),
            }
        }
        let mut runs = Vec::new();
        for (at, day) in both.iter().enumerate() {
            if day.finished.is_none() {
                told.push(format!("{} is not finished", day.name));
            }
            told.extend(day.odd.iter().map(|odd| format!("{}: {odd}", day.name)));
            for run in &day.runs {
                let Some(second) = which(run).map(|which| which == 1) else {
                    continue;
                };
                match run.median_seconds() {
                    Some(seconds) => runs.push(ComparedRun {
                        day: at,
                        number: run.number,
                        second,
                        seconds,
                        on_line: seconds,
                    }),
                    None => told.push(format!("{}, run {}: no lap counts", day.name, run.number)),
                }
            }
        }
        told.extend(confounded(&both, &which));
        let times = times_of(&both, &mut runs);
        let drawn = permuted(&both, settings, &runs);
        let needed = times
            .as_ref()
            .ok()
            .and_then(|times| runs_to_show(times.scatter, worth, CONFIDENCE).ok().flatten());
        SettingsCompared {
            called: called.map(str::to_string),
            days: both.iter().map(|day| day.name.clone()).collect(),
            felt: Phase::ALL
                .iter()
                .map(|(phase, _)| felt_in(&both, *phase, &which))
                .collect(),
            runs,
            times,
            drawn,
            needed,
            worth,
            told,
        }
    }

    /// Which is faster, where that can be told: the interval lies on one side of none, and where an order was drawn that could
    /// tell, its permutation says so too.
    pub fn winner(&self) -> Winner {
        let Ok(times) = &self.times else {
            return Winner::None;
        };
        let against = self
            .drawn
            .as_ref()
            .is_ok_and(|drawn| drawn.least <= TOLD_APART && drawn.p > TOLD_APART);
        match times.interval {
            _ if against => Winner::None,
            (low, _) if low > 0.0 => Winner::First,
            (_, high) if high < 0.0 => Winner::Second,
            _ => Winner::None,
        }
    }

    /// How many runs of each setting were compared.
    pub fn counts(&self) -> [usize; 2] {
        let second = self.runs.iter().filter(|run| run.second).count();
        [self.runs.len() - second, second]
    }
}

/// What the times come to; each run gets its place on the line of the drift.
fn times_of(days: &[&Day], runs: &mut [ComparedRun]) -> Result<RunComparison, String> {
    if days.is_empty() {
        return Err("no day has both settings: what differs between days is not told from what differs between settings".to_string());
    }
    let plain: Vec<Run> = runs
        .iter()
        .map(|run| Run {
            day: u32::try_from(run.day).unwrap_or(u32::MAX),
            second: run.second,
            seconds: run.seconds,
        })
        .collect();
    let found = compare_runs(&plain, CONFIDENCE).map_err(|error| error.to_string())?;
    for (at, day) in runs.chunk_by_mut(|one, next| one.day == next.day).enumerate() {
        let of_second = |run: &ComparedRun| found.difference * f64::from(u8::from(run.second));
        let count = day.len() as f64;
        let mean = day.iter().map(|run| run.seconds - of_second(run)).sum::<f64>() / count;
        let drift = found.drift.get(at).copied().flatten().unwrap_or(0.0);
        for (place, run) in day.iter_mut().enumerate() {
            run.on_line = mean + of_second(run) + drift * (place as f64 - (count - 1.0) / 2.0);
        }
    }
    Ok(found)
}

/// The orders that a day's could have been, as far as these two settings go, from what was written down before it.
fn plan_of(drawn: &DrawnOrder) -> Option<OrderPlan> {
    let scheme = match drawn.from.as_str() {
        "balanced" => OrderScheme::Balanced,
        // of three settings each pair is in blocks
        "blocks" | "mirrored" => OrderScheme::Blocks,
        _ => return None,
    };
    let runs = match drawn.settings.len() {
        3 => drawn.order.len() / 3 * 2,
        _ => drawn.order.len(),
    };
    Some(OrderPlan {
        scheme,
        runs,
        most_changes: drawn.changes,
    })
}

/// The permutation over the orders that could have been drawn; for days of which each was driven as it was drawn.
fn permuted(days: &[&Day], settings: [&Driven; 2], runs: &[ComparedRun]) -> Result<DrawnP, String> {
    let mut drawn_days = Vec::new();
    for (at, day) in days.iter().enumerate() {
        let not = |why: &str| Err(format!("{}: {why}, so there is no exact p", day.name));
        let Some(drawn) = &day.drawn else {
            return not("its order was not drawn");
        };
        let (Some(plan), true) = (plan_of(drawn), is_as_drawn(drawn)) else {
            return not("its order is not the one that its seed draws");
        };
        let place = |driven: &Driven| {
            settings
                .iter()
                .position(|setting| is_same_setting(setting, driven))
        };
        let wanted: Vec<bool> = drawn
            .order
            .iter()
            .filter_map(|which| place(drawn.settings.get(*which)?))
            .map(|which| which == 1)
            .collect();
        let of_day: Vec<&ComparedRun> = runs.iter().filter(|run| run.day == at).collect();
        let driven: Vec<bool> = of_day.iter().map(|run| run.second).collect();
        if driven != wanted {
            return not("it was not driven as it was drawn");
        }
        drawn_days.push(DrawnDay {
            plan,
            seconds: of_day.iter().map(|run| run.seconds).collect(),
            driven,
        });
    }
    match drawn_p(&drawn_days, SEED) {
        Ok(Some(found)) => Ok(found),
        Ok(None) => {
            Err("an order was driven that could not have been drawn, so there is no exact p".to_string())
        }
        Err(error) => Err(error.to_string()),
    }
}

/// Whether an order is the one that its seed draws.
fn is_as_drawn(drawn: &DrawnOrder) -> bool {
    let again = super::plan::order_of(drawn);
    again.is_ok_and(|again| again == drawn.order)
}

/// What goes with the setting on every day, so that the times do not tell one from the other.
fn confounded(days: &[&Day], which: &dyn Fn(&DayRun) -> Option<usize>) -> Vec<String> {
    let mut tyres: [Vec<&str>; 2] = Default::default();
    let mut changed: [usize; 2] = [0, 0];
    for day in days {
        for run in &day.runs {
            if let Some(which) = which(run) {
                tyres[which].push(&run.tyres);
                changed[which] += usize::from(!run.changed.is_empty());
            }
        }
    }
    let mut told = Vec::new();
    let apart = tyres[0].iter().all(|set| !tyres[1].contains(set));
    if apart && tyres.iter().all(|sets| sets.iter().any(|set| !set.is_empty())) {
        told.push(
            "each setting had tyres of its own: the times do not tell which of the two made the difference"
                .to_string(),
        );
    }
    if changed != [0, 0] {
        told.push("something else was changed between these runs: see `shimwright days`".to_string());
    }
    told
}

/// What was felt in one phase.
fn felt_in(days: &[&Day], phase: Phase, which: &dyn Fn(&DayRun) -> Option<usize>) -> FeltApart {
    let mut answers: [Vec<i8>; 2] = Default::default();
    let mut by_day = Vec::new();
    for day in days {
        let mut of_day: [Vec<i64>; 2] = Default::default();
        for run in &day.runs {
            if let (Some(which), Some(step)) = (which(run), run.felt[phase.index()]) {
                answers[which].push(step);
                of_day[which].push(i64::from(step));
            }
        }
        let [first, second] = of_day;
        by_day.push((first, second));
    }
    FeltApart {
        phase,
        answers,
        p: rank_sum_of_days(&by_day).ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::driven::{DrivenBuild, Lap};

    fn setting(name: &str) -> Driven {
        Driven::Record(DrivenBuild {
            build: name.to_string(),
            lines: 3,
            digest: "ab".to_string(),
        })
    }

    fn day(name: &str, runs: &[(&str, f64, i8)]) -> Day {
        let runs = runs
            .iter()
            .enumerate()
            .map(|(at, (build, seconds, felt))| DayRun {
                number: at + 1,
                setting: Some(setting(build)),
                called: (*build).to_string(),
                laps: vec![Lap {
                    milliseconds: (seconds * 1000.0).round() as u32,
                    struck: None,
                }],
                felt: [Some(*felt); 5],
                ..DayRun::default()
            });
        Day {
            name: name.to_string(),
            finished: Some("then".to_string()),
            runs: runs.collect(),
            ..Day::default()
        }
    }

    fn compared(days: &[&Day]) -> SettingsCompared {
        SettingsCompared::of(days, [&setting("a"), &setting("b")], ["a", "b"], WORTH_HAVING)
    }

    #[test]
    fn a_difference_beyond_drift_is_found_and_its_line_goes_through_the_runs() {
        let day = day(
            "d",
            &[
                ("a", 70.0, 0),
                ("b", 69.1, 0),
                ("b", 69.2, 1),
                ("a", 70.31, 0),
                ("b", 69.42, 1),
                ("a", 70.5, 0),
            ],
        );
        let found = compared(&[&day]);
        let times = found.times.as_ref().unwrap();
        assert!((times.difference + 1.0).abs() < 0.02 && (times.drift[0].unwrap() - 0.1).abs() < 0.01);
        assert_eq!((found.winner(), found.counts()), (Winner::Second, [3, 3]));
        assert!(
            found
                .runs
                .iter()
                .all(|run| (run.on_line - run.seconds).abs() < 0.02)
        );
        assert!(found.drawn.unwrap_err().contains("was not drawn"));
    }

    #[test]
    fn one_run_of_each_tells_nothing() {
        let day = day("d", &[("a", 70.0, 0), ("b", 65.0, 0)]);
        let found = compared(&[&day]);
        assert_eq!((found.winner(), found.needed), (Winner::None, None));
        assert!(found.times.unwrap_err().contains("runs"));
    }

    #[test]
    fn a_day_with_one_of_the_two_counts_for_nothing_and_is_told() {
        let one = day("d", &[("a", 70.0, 0), ("a", 69.0, 0)]);
        let found = compared(&[&one]);
        assert!(
            found.days.is_empty() && found.told[0].contains("only one of the two"),
            "{:?}",
            found.told
        );
        assert!(found.times.unwrap_err().contains("no day has both"));
    }

    #[test]
    fn words_are_compared_by_ranks_within_their_day() {
        let runs: Vec<(&str, f64, i8)> = (0..8)
            .map(|n| {
                if n % 2 == 0 {
                    ("a", 70.0, -1)
                } else {
                    ("b", 70.0, 2)
                }
            })
            .collect();
        let found = compared(&[&day("d", &runs)]);
        let felt = &found.felt[0];
        // 2 of the 70 ways to part eight answers into two of four
        assert!((felt.p.unwrap() - 2.0 / 70.0).abs() < 1e-12 && !felt.is_told_apart());
        assert_eq!((felt.median(0), felt.median(1)), (Some(-1.0), Some(2.0)));
        let twice = compared(&[&day("d", &runs), &day("e", &runs)]);
        assert!(twice.felt[0].is_told_apart());
    }
}
