//! Drive days as tables for other programs: runs, laps, what was felt.

use crate::history::export::{CellKind, ColumnWords, ExportFormat};
use crate::record::driven::{Day, DayRun, Driven, Phase};
use crate::report::ReportError;
use serde_json::{Value, json};

/// A table of the drive days.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DriveTable {
    /// A row a run.
    Runs,
    /// A row a lap.
    Laps,
    /// A row a phase of a run of which something was said.
    Feel,
}

use CellKind::{Number, Text, Whole};

/// The columns that every table begins with.
const FIRST: [(&str, CellKind, &str); 6] = [
    ("day", Text, "the drive day's name"),
    ("driven_on", Text, "the day on which it was driven"),
    ("car", Text, "the car"),
    ("run", Whole, "the number of the run that day"),
    (
        "setting",
        Text,
        "what was in the car: a build's name, or the word for a setting's file",
    ),
    (
        "setting_digest",
        Text,
        "the digest of that record as it was, or of that file, SHA-256",
    ),
];

const RUNS: [(&str, CellKind, &str); 9] = [
    ("tyres", Text, "the set of tyres"),
    ("pressures", Text, "pressures, as they were written"),
    ("changed", Text, "what else was changed before it"),
    ("distance_km", Number, "how far it was; nothing where nobody said"),
    ("laps", Whole, "how many laps there are"),
    ("laps_struck", Whole, "how many of them do not count"),
    ("median_s", Number, "the median of those that count"),
    ("best_s", Number, "the shortest of those that count"),
    ("remark", Text, "remarks"),
];

const LAPS: [(&str, CellKind, &str); 3] = [
    ("lap", Whole, "the number of the lap in its run"),
    ("time_ms", Whole, "its time in thousandths of a second"),
    ("struck", Text, "why it does not count; nothing where it does"),
];

const FEEL: [(&str, CellKind, &str); 2] = [
    ("phase", Text, "entry, middle, power, lift, straight"),
    (
        "step",
        Whole,
        "-2 far too little lock, 0 as it should be, 2 far too much",
    ),
];

fn text(text: &str) -> Value {
    match text {
        "" => Value::Null,
        text => Value::from(text),
    }
}

impl DriveTable {
    /// Every table with its name.
    pub const ALL: [(DriveTable, &'static str); 3] = [
        (DriveTable::Runs, "runs"),
        (DriveTable::Laps, "laps"),
        (DriveTable::Feel, "feel"),
    ];

    /// Its columns in their order.
    pub fn columns(self) -> Vec<ColumnWords> {
        let own: &[(&'static str, CellKind, &'static str)] = match self {
            DriveTable::Runs => &RUNS,
            DriveTable::Laps => &LAPS,
            DriveTable::Feel => &FEEL,
        };
        let all = FIRST.iter().chain(own);
        all.map(|(name, kind, means)| ColumnWords {
            name,
            kind: *kind,
            means,
        })
        .collect()
    }

    /// The head of the table; empty for JSON Lines.
    ///
    /// # Errors
    ///
    /// It can not be written.
    pub fn head(self, format: ExportFormat) -> Result<String, ReportError> {
        format.head(&self.columns())
    }

    fn rows(self, run: &DayRun) -> Vec<Vec<Value>> {
        match self {
            DriveTable::Runs => {
                let struck = run.laps.iter().filter(|lap| lap.struck.is_some()).count();
                let best = run.counted().first().map(|best| f64::from(*best) / 1000.0);
                vec![vec![
                    text(&run.tyres),
                    text(&run.pressures),
                    text(&run.changed),
                    json!(run.kilometres),
                    json!(run.laps.len()),
                    json!(struck),
                    json!(run.median_seconds()),
                    json!(best),
                    text(&run.remark),
                ]]
            }
            DriveTable::Laps => {
                let laps = run.laps.iter().enumerate();
                laps.map(|(at, lap)| vec![json!(at + 1), json!(lap.milliseconds), json!(lap.struck)])
                    .collect()
            }
            DriveTable::Feel => Phase::ALL
                .iter()
                .filter_map(|(phase, word)| Some(vec![json!(word), json!(run.felt[phase.index()]?)]))
                .collect(),
        }
    }

    /// The rows of one day, and how many there are.
    ///
    /// # Errors
    ///
    /// They can not be written.
    pub fn lines(self, day: &Day, format: ExportFormat) -> Result<(String, usize), ReportError> {
        let columns = self.columns();
        let (mut out, mut count) = (String::new(), 0);
        for run in &day.runs {
            let digest = match &run.setting {
                Some(Driven::Record(build)) => build.digest.as_str(),
                Some(Driven::Setting(digest)) => digest,
                None => "",
            };
            let first = [
                text(&day.name),
                text(&day.driven_on),
                text(&day.car),
                json!(run.number),
                text(&run.called),
                text(digest),
            ];
            for row in self.rows(run) {
                out.push_str(&format.row(&columns, first.iter().cloned().chain(row))?);
                count += 1;
            }
        }
        Ok((out, count))
    }
}
