//! A drive day: what was driven, with which setting, how long each lap took and how it felt.

use serde::{Deserialize, Serialize};

/// A build as it was when it was driven: by its lines and their digest, so that a later correction does not orphan it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrivenBuild {
    /// The build's name in the book.
    pub build: String,
    /// How many lines its record had.
    pub lines: usize,
    /// The digest of these lines, as hex.
    pub digest: String,
}

/// What was in the car: a build of the book, or the file of a setting by its digest.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Driven {
    /// A build.
    Record(DrivenBuild),
    /// The digest of a setting's file, as hex.
    Setting(String),
}

/// An order of runs that was drawn before the day, with all that is needed to draw it again.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrawnOrder {
    /// From which orders: `balanced`, `blocks`, or `mirrored` for three settings.
    pub from: String,
    /// Only from those with so many changes of the setting at the most, where that was wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub changes: Option<usize>,
    /// The seed.
    pub seed: u64,
    /// The settings.
    pub settings: Vec<Driven>,
    /// Which of the settings each run has, from 0.
    pub order: Vec<usize>,
}

/// A part of a bend, in which a lock is felt in its own way.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Phase {
    /// Into the bend, on the brakes or just off them.
    Entry,
    /// In the middle, neither braked nor driven hard.
    Middle,
    /// Out of it under power.
    Power,
    /// The throttle shut at once in the bend.
    Lift,
    /// Straight ahead.
    Straight,
}

impl Phase {
    /// All of them in the order of a bend, each with its word.
    pub const ALL: [(Phase, &'static str); 5] = [
        (Phase::Entry, "entry"),
        (Phase::Middle, "middle"),
        (Phase::Power, "power"),
        (Phase::Lift, "lift"),
        (Phase::Straight, "straight"),
    ];

    /// Its place among [`Phase::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        Phase::ALL[self.index()].1
    }
}

/// The five steps of what is felt, from too little lock to too much, as they are stored.
pub const FELT: [&str; 5] = ["much-less", "less", "right", "more", "much-more"];

/// The step of a word, -2 to 2; nothing for another word.
///
/// ```
/// use shimwright::record::driven::felt_step;
/// assert_eq!((felt_step("much-less"), felt_step("right"), felt_step("unsaid")), (Some(-2), Some(0), None));
/// ```
pub fn felt_step(word: &str) -> Option<i8> {
    FELT.iter()
        .zip(-2..)
        .find(|(known, _)| **known == word)
        .map(|(_, step)| step)
}

/// A lap.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lap {
    /// Its time in whole milliseconds.
    pub milliseconds: u32,
    /// Why it does not count, where it does not.
    pub struck: Option<String>,
}

/// A run: laps with one setting, one after another.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct DayRun {
    /// Its number, from 1.
    pub number: usize,
    /// What was in the car; nothing while it is not said.
    pub setting: Option<Driven>,
    /// What that is called: a build's name, or the word for a setting's file.
    pub called: String,
    /// The set of tyres.
    pub tyres: String,
    /// Pressures, as they were typed.
    pub pressures: String,
    /// What was changed before it, besides the setting.
    pub changed: String,
    /// How far it went, in kilometres, where somebody said.
    pub kilometres: Option<f64>,
    /// The laps.
    pub laps: Vec<Lap>,
    /// What was felt in each phase, -2 to 2.
    pub felt: [Option<i8>; 5],
    /// Remarks.
    pub remark: String,
}

impl DayRun {
    /// The times of the laps that count, in milliseconds, from the shortest.
    pub fn counted(&self) -> Vec<u32> {
        let counts = self.laps.iter().filter(|lap| lap.struck.is_none());
        let mut times: Vec<u32> = counts.map(|lap| lap.milliseconds).collect();
        times.sort_unstable();
        times
    }

    /// The median of the laps that count, in seconds; nothing where none does.
    ///
    /// ```
    /// use shimwright::record::driven::{DayRun, Lap};
    /// let laps = [72_000, 71_000, 90_000, 72_500].map(|milliseconds| Lap { milliseconds, struck: None });
    /// let run = DayRun { laps: laps.to_vec(), ..DayRun::default() };
    /// assert_eq!(run.median_seconds(), Some(72.25));
    /// ```
    pub fn median_seconds(&self) -> Option<f64> {
        let times = self.counted();
        let (low, high) = (
            times.get(times.len().checked_sub(1)? / 2)?,
            times.get(times.len() / 2)?,
        );
        Some((f64::from(*low) + f64::from(*high)) / 2000.0)
    }
}

/// A set of tyres.
#[derive(Clone, PartialEq, Debug)]
pub struct TyreSet {
    /// What it is called that day.
    pub name: String,
    /// How far it had run when the day began, in kilometres, where somebody said.
    pub kilometres: Option<f64>,
}

/// A drive day as far as it is answered.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Day {
    /// Its name in the book.
    pub name: String,
    /// The name of the car.
    pub car: String,
    /// When its record was begun, as RFC 3339 text.
    pub begun: String,
    /// When its record was finished.
    pub finished: Option<String>,
    /// The day on which it was driven, such as 2026-05-01; empty while not said.
    pub driven_on: String,
    /// Who wrote it down.
    pub by: String,
    /// What it was.
    pub event: String,
    /// `test` or `event`.
    pub kind: String,
    /// The surface.
    pub surface: String,
    /// The weather.
    pub weather: String,
    /// The temperature of the air in °C.
    pub air: Option<f64>,
    /// The temperature of the road in °C.
    pub road: Option<f64>,
    /// The sets of tyres.
    pub tyres: Vec<TyreSet>,
    /// The order of the runs, where it was drawn.
    pub drawn: Option<DrawnOrder>,
    /// The runs in their order.
    pub runs: Vec<DayRun>,
    /// Remarks on the whole day.
    pub remarks: String,
    /// What is odd about it and was meant, and what is to be known before it is used, in words.
    pub odd: Vec<String>,
    /// For each phase the words of the five steps, as the procedure of the day has them.
    pub scales: [Vec<String>; 5],
}

impl Day {
    /// How far was driven, in kilometres, by the runs of which somebody said it; and how many runs that is.
    pub fn kilometres(&self) -> (f64, usize) {
        let said = self.runs.iter().filter_map(|run| run.kilometres);
        said.fold((0.0, 0), |(sum, count), far| (sum + far, count + 1))
    }

    /// How long was driven, in hours, by all laps with a time.
    pub fn hours(&self) -> f64 {
        let laps = self.runs.iter().flat_map(|run| &run.laps);
        // none are 0 h, where an empty sum is -0
        laps.map(|lap| f64::from(lap.milliseconds) / 3_600_000.0)
            .fold(0.0, |sum, hours| sum + hours)
    }

    /// How many runs and laps there are, in words.
    ///
    /// ```
    /// use shimwright::record::driven::{Day, DayRun};
    /// let day = Day { runs: vec![DayRun::default()], ..Day::default() };
    /// assert_eq!((day.count_words(), day.hours().is_sign_negative()), ("1 run, 0 laps".to_string(), false));
    /// ```
    pub fn count_words(&self) -> String {
        let many = |count: usize, one: &str| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {one}s"),
        };
        format!("{}, {}", many(self.runs.len(), "run"), many(self.laps(), "lap"))
    }

    /// How many laps there are.
    pub fn laps(&self) -> usize {
        self.runs.iter().map(|run| run.laps.len()).sum()
    }

    /// What was driven, each once, with what it is called, in the order in which it was first driven.
    pub fn settings(&self) -> Vec<(Driven, &str)> {
        let mut known: Vec<(Driven, &str)> = Vec::new();
        for run in &self.runs {
            if let Some(setting) = &run.setting
                && !known.iter().any(|(driven, _)| driven == setting)
            {
                known.push((setting.clone(), &run.called));
            }
        }
        known
    }
}
