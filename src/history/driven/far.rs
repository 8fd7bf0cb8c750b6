//! How far a build was driven, by the drive days.

use crate::quantity::{Distance, Units};
use crate::record::driven::{Day, DayRun, Driven};

/// How far and how long a build was driven at least: by the runs of which somebody wrote it down.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct DrivenFar {
    /// In kilometres.
    pub kilometres: f64,
    /// In hours, by the times of all laps.
    pub hours: f64,
    /// The days, by name and by the day on which they were driven.
    pub days: Vec<(String, String)>,
}

fn has(run: &DayRun, wanted: impl Fn(&str) -> bool) -> bool {
    matches!(&run.setting, Some(Driven::Record(driven)) if wanted(&driven.build))
}

impl DrivenFar {
    /// Of a build, by its name in the book.
    pub fn of(days: &[&Day], build: &str) -> DrivenFar {
        DrivenFar::of_builds(days, |name| name == build)
    }

    /// Of a unit by its id, over all of its builds. What was driven as the file of a setting is not among them.
    ///
    /// ```
    /// use shimwright::history::driven::DrivenFar;
    /// use shimwright::record::driven::{Day, DayRun, Driven, DrivenBuild};
    /// let driven = DrivenBuild { build: "moor-rear-0004".into(), lines: 1, digest: String::new() };
    /// let run = DayRun { setting: Some(Driven::Record(driven)), kilometres: Some(9.6), ..DayRun::default() };
    /// let day = Day { runs: vec![run], ..Day::default() };
    /// let far = |unit| DrivenFar::of_unit(&[&day], unit).days.len();
    /// assert_eq!((far("moor-rear"), far("moor")), (1, 0));
    /// ```
    pub fn of_unit(days: &[&Day], unit: &str) -> DrivenFar {
        DrivenFar::of_builds(days, |name| {
            name.rsplit_once('-').is_some_and(|(front, _)| front == unit)
        })
    }

    fn of_builds(days: &[&Day], wanted: impl Fn(&str) -> bool) -> DrivenFar {
        let mut far = DrivenFar::default();
        for day in days {
            let runs: Vec<&DayRun> = day.runs.iter().filter(|run| has(run, &wanted)).collect();
            if runs.is_empty() {
                continue;
            }
            far.kilometres += runs.iter().filter_map(|run| run.kilometres).sum::<f64>();
            let laps = runs.iter().flat_map(|run| &run.laps);
            far.hours += laps
                .map(|lap| f64::from(lap.milliseconds) / 3_600_000.0)
                .sum::<f64>();
            far.days.push((day.name.clone(), day.driven_on.clone()));
        }
        far
    }

    /// It in a few words, such as "at least 96 km from 2 days"; nothing where it was not driven on any day.
    pub fn short(&self, units: Units) -> Option<String> {
        let distance = Distance::from_kilometres(self.kilometres).ok()?;
        let days = match self.days.len() {
            0 => return None,
            1 => "1 day".to_string(),
            days => format!("{days} days"),
        };
        Some(format!("at least {} from {days}", distance.show(units)))
    }

    /// What is told of it; nothing where it was not driven on any day. It is a bound from below, and no odometer.
    pub fn words(&self, build: &str, units: Units) -> Option<String> {
        if self.days.is_empty() {
            return None;
        }
        let distance = Distance::from_kilometres(self.kilometres).ok()?;
        let days: Vec<String> = self
            .days
            .iter()
            .map(|(name, on)| format!("{name} ({on})"))
            .collect();
        Some(format!(
            "{build} was driven at least {} and {:.1} h on {} {}: {}; the odometer counts what was driven besides",
            distance.show(units),
            self.hours,
            days.len(),
            if days.len() == 1 {
                "drive day"
            } else {
                "drive days"
            },
            days.join(", ")
        ))
    }
}

/// Two days of different cars that claim one build, in words; nothing where none do.
pub fn claimed_twice(days: &[&Day]) -> Vec<String> {
    let mut told = Vec::new();
    let mut known: Vec<(&str, &Day)> = Vec::new();
    for day in days {
        let mut builds: Vec<&str> = Vec::new();
        for run in &day.runs {
            if let Some(Driven::Record(driven)) = &run.setting
                && !builds.contains(&driven.build.as_str())
            {
                builds.push(&driven.build);
            }
        }
        for build in builds {
            match known
                .iter()
                .find(|(other, first)| *other == build && first.car != day.car)
            {
                Some((_, first)) => told.push(format!(
                    "{build} is said to have been in two cars: in {} on {}, in {} on {}",
                    first.car, first.name, day.car, day.name
                )),
                None => known.push((build, day)),
            }
        }
    }
    told
}
