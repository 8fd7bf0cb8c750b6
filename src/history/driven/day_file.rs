//! A drive day as a file: what it says as answers by the names of their questions, and times out of a table of laps.

use crate::document::{Document, Faults, Section, Shape};
use crate::quantity::LapTime;
use crate::record::driven::{FELT, Phase};
use std::collections::BTreeMap;

/// The first line of such a file.
const FORMAT: &str = "shimwright day 1";
/// The most runs, and the most rows of a table of laps.
const MOST_RUNS: usize = 500;
const MOST_LAPS: usize = 20_000;
/// How many times stand in one answer.
const A_LINE: usize = 100;

/// Which columns a table of laps has, by their heads.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LapColumns {
    /// The column that tells runs apart.
    pub run: String,
    /// The column with the times.
    pub time: String,
    /// The column with the setting, where the file has no runs of its own.
    pub setting: Option<String>,
    /// The column with why a lap does not count.
    pub struck: Option<String>,
}

/// A run as the file has it.
#[derive(Clone, PartialEq, Debug, Default)]
struct FileRun {
    setting: String,
    answers: Vec<(&'static str, String)>,
    times: Vec<String>,
    struck: Vec<String>,
}

/// A drive day as a file has it.
#[derive(Clone, PartialEq, Debug)]
pub struct DayFile {
    day: Vec<(&'static str, String)>,
    tyres: Vec<(String, String)>,
    runs: Vec<FileRun>,
    /// The heads of its table of laps, where it has one.
    pub columns: Option<LapColumns>,
}

/// A table of laps that can not be read.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0}")]
pub struct LapsError(String);

/// The keys of `[day]` with the questions that they answer.
const DAY_KEYS: [(&str, &str); 9] = [
    ("who", "who"),
    ("driven_on", "driven-on"),
    ("event", "event"),
    ("kind", "day-kind"),
    ("surface", "surface"),
    ("weather", "weather"),
    ("air", "air"),
    ("road", "road"),
    ("remarks", "remarks"),
];

/// The keys of `[[run]]` with the questions that they answer.
const RUN_KEYS: [(&str, &str); 5] = [
    ("tyres", "run-tyres"),
    ("pressures", "run-pressures"),
    ("changed", "run-changed"),
    ("distance", "run-km"),
    ("remark", "run-remark"),
];

fn read_run(section: &Section<'_>) -> FileRun {
    let mut run = FileRun {
        setting: section.text("setting").unwrap_or_default(),
        ..FileRun::default()
    };
    for (key, question) in RUN_KEYS {
        run.answers
            .extend(section.text_maybe(key).map(|text| (question, text)));
    }
    for (time, span) in section.texts("times") {
        if let Err(error) = LapTime::parse(&time) {
            section.fault_by("sense", span, error.to_string());
        }
        run.times.push(time);
    }
    run.struck = section
        .texts("struck")
        .into_iter()
        .map(|(text, _)| text)
        .collect();
    if let Some(feel) = section.section_maybe("feel") {
        let steps: Vec<(&str, &str)> = FELT.iter().map(|word| (*word, *word)).collect();
        for (phase, word) in Phase::ALL {
            if let Some(step) = feel.word_maybe(word, &steps) {
                run.answers.push((feel_question(phase), step.to_string()));
            }
        }
        feel.finish();
    }
    section.finish();
    run
}

/// The question for a phase.
fn feel_question(phase: Phase) -> &'static str {
    match phase {
        Phase::Entry => "feel-entry",
        Phase::Middle => "feel-middle",
        Phase::Power => "feel-power",
        Phase::Lift => "feel-lift",
        Phase::Straight => "feel-straight",
    }
}

impl DayFile {
    /// Reads a day's file; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<DayFile, Faults> {
        Document::read(file, source, DayFile::read_top)
    }

    /// What the reader of such files asks for.
    pub fn shape() -> Shape {
        Shape::of(DayFile::read_top)
    }

    fn read_top(top: &Section<'_>) -> Option<DayFile> {
        top.format(FORMAT);
        let mut day = Vec::new();
        if let Some(section) = top.section("day") {
            for (key, question) in DAY_KEYS {
                let text = match key {
                    "who" | "driven_on" | "event" => section.text(key),
                    _ => section.text_maybe(key),
                };
                day.extend(text.map(|text| (question, text)));
            }
            section.finish();
        }
        let mut tyres = Vec::new();
        for section in top.sections("tyres") {
            let name = section.text("name");
            let far = section.text_maybe("distance");
            section.finish();
            tyres.extend(name.map(|name| (name, far.unwrap_or_else(|| "none".to_string()))));
        }
        let runs = top
            .sections_up_to("run", MOST_RUNS)
            .iter()
            .map(read_run)
            .collect();
        let columns = top.section_maybe("laps").map(|section| {
            let columns = LapColumns {
                run: section.text("run").unwrap_or_default(),
                time: section.text("time").unwrap_or_default(),
                setting: section.text_maybe("setting"),
                struck: section.text_maybe("struck"),
            };
            section.finish();
            columns
        });
        top.finish();
        Some(DayFile {
            day,
            tyres,
            runs,
            columns,
        })
    }

    /// Takes the times out of a table with a head and a row a lap: runs are numbered in the order in which they first stand
    /// there.
    ///
    /// # Errors
    ///
    /// No columns in the file; a column that the table lacks; a row without a time; as many runs as the file has not.
    pub fn with_laps(mut self, table: &str) -> Result<DayFile, LapsError> {
        let wrong = |words: String| LapsError(words);
        let Some(columns) = &self.columns else {
            return Err(wrong(
                "the day's file does not say which columns the table has: [laps] with run = \"HEAD\" and time = \"HEAD\"".to_string(),
            ));
        };
        let table = table.strip_prefix('\u{FEFF}').unwrap_or(table);
        let first = table.lines().next().unwrap_or_default();
        // a table of a country with decimal commas is parted by semicolons
        let parted = [b';', b'\t', b',']
            .into_iter()
            .max_by_key(|sign| first.bytes().filter(|byte| byte == sign).count());
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(parted.unwrap_or(b','))
            .flexible(true)
            .from_reader(table.as_bytes());
        let heads = reader
            .headers()
            .map_err(|error| wrong(error.to_string()))?
            .clone();
        let place = |head: &str| {
            let found = heads
                .iter()
                .position(|known| known.trim().eq_ignore_ascii_case(head.trim()));
            found.ok_or_else(|| {
                let known: Vec<&str> = heads.iter().map(str::trim).collect();
                wrong(format!(
                    "the table has no column \"{head}\"; it has {}",
                    known.join(", ")
                ))
            })
        };
        let (run_at, time_at) = (place(&columns.run)?, place(&columns.time)?);
        let setting_at = columns.setting.as_deref().map(place).transpose()?;
        let struck_at = columns.struck.as_deref().map(place).transpose()?;
        let mut found: Vec<(String, FileRun)> = Vec::new();
        for (at, row) in reader.records().enumerate() {
            let row = row.map_err(|error| wrong(error.to_string()))?;
            let cell = |at: usize| row.get(at).unwrap_or("").trim().to_string();
            let line = at + 2;
            if at >= MOST_LAPS {
                return Err(wrong(format!(
                    "more than {MOST_LAPS} laps are too many for a day"
                )));
            }
            let (name, time) = (cell(run_at), cell(time_at));
            if name.is_empty() && time.is_empty() {
                continue;
            }
            LapTime::parse(&time).map_err(|error| wrong(format!("line {line} of the table: {error}")))?;
            let place = match found.iter().position(|(known, _)| *known == name) {
                Some(place) => place,
                None => {
                    found.push((name.clone(), FileRun::default()));
                    found.len() - 1
                }
            };
            let run = &mut found[place].1;
            run.times.push(time);
            if let Some(setting) = setting_at.map(cell).filter(|setting| !setting.is_empty()) {
                if !run.setting.is_empty() && run.setting != setting {
                    return Err(wrong(format!(
                        "line {line} of the table: run {name} has the settings {} and {setting}; a run has one",
                        run.setting
                    )));
                }
                run.setting = setting;
            }
            if let Some(reason) = struck_at.map(cell).filter(|reason| !reason.is_empty()) {
                run.struck.push(format!("{} {reason}", run.times.len()));
            }
        }
        if self.runs.is_empty() {
            self.runs = found.into_iter().map(|(_, run)| run).collect();
            return Ok(self);
        }
        if self.runs.len() != found.len() {
            return Err(wrong(format!(
                "the table has {} runs, and the day's file {}",
                found.len(),
                self.runs.len()
            )));
        }
        for (run, (_, laps)) in self.runs.iter_mut().zip(found) {
            run.times.extend(laps.times);
            run.struck.extend(laps.struck);
        }
        Ok(self)
    }

    /// Its answers, by the names of their questions; a question that is asked until nothing more is said has several.
    pub fn answers(&self) -> BTreeMap<String, Vec<String>> {
        let mut answers: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut put = |slot: String, text: &str| answers.entry(slot).or_default().push(text.to_string());
        for (question, text) in &self.day {
            put((*question).to_string(), text);
        }
        if !self.tyres.is_empty() {
            let names: Vec<&str> = self.tyres.iter().map(|(name, _)| name.as_str()).collect();
            put("tyre-sets".to_string(), &names.join(" "));
        }
        for (name, far) in &self.tyres {
            put(format!("tyre-age/{name}"), far);
        }
        for (at, run) in self.runs.iter().enumerate() {
            let number = at + 1;
            put(format!("run/{number}"), "next");
            put(format!("run-build/{number}"), &run.setting);
            for (question, text) in &run.answers {
                put(format!("{question}/{number}"), text);
            }
            if run.times.is_empty() {
                put(format!("times/{number}/1"), "none");
            }
            for (line, times) in run.times.chunks(A_LINE).enumerate() {
                put(format!("times/{number}/{}", line + 1), &times.join(" "));
            }
            for struck in &run.struck {
                put(format!("struck/{number}"), struck);
            }
        }
        put(format!("run/{}", self.runs.len() + 1), "end");
        answers
    }
}
