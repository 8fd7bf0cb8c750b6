//! Some invented years of the demonstration's unit, played into a book of their own.

use super::book_log::BookLog;
use super::clock::Clock;
use super::day;
use super::day::DaySources;
use super::demo_files::{ANSWERS, CAR, DRAWER, INSTRUMENTS, MILDER, UNIT, text};
use super::failure::Failure;
use super::load::Sources;
use super::output::write_out;
use super::work::{begin, go_on};
use crate::bench::{BenchError, Front};
use crate::book::Shelf;
use crate::history::driven::order_of;
use crate::procedure::{Ask, Expects, Feedback, Refusal, Reply, SURE};
use crate::quantity::Units;
use crate::record::driven::{DrawnOrder, Driven};
use std::collections::HashMap;
use std::path::Path;

/// The invented history of the demonstration's unit, as it lies in `demo-units/`.
const HISTORY: &str = include_str!("../../demo-units/moor-rear.history");
const FILE: &str = "moor-rear.history";
/// The invented season of its car, likewise.
const SEASON: &str = include_str!("../../demo-units/moor-rear.season");
const SEASON_FILE: &str = "moor-rear.season";
const BOOK: &str = "output/demo-book";
/// What the setting is called that is driven beside the last build.
const SETTING: &str = "moor-milder";

/// Plays some invented years of the demonstration's unit into a book of its own.
pub(crate) fn history() -> Result<(), Failure> {
    let folder = Path::new(BOOK);
    if folder.exists() {
        write_out(
            &format!("{BOOK} is there already and is left as it is; remove it to have it made again.\n"),
            false,
        )?;
    } else {
        play(folder)?;
    }
    write_out(
        &format!(
            "Look at it with: shimwright wear moor-rear --book {BOOK}\n                 shimwright builds --book {BOOK}\n                 \
             shimwright days --book {BOOK}\n                 shimwright runs moor-rear-0004 moor-milder --book {BOOK}\n"
        ),
        false,
    )?;
    Ok(())
}

fn play(folder: &Path) -> Result<(), Failure> {
    let shelf = Shelf::open(folder)?;
    let mut unit = UNIT.to_string();
    write_out(
        "Builds of an invented unit; readings and answers come from a file.\n",
        false,
    )?;
    // an invented book has none, so that it comes out the same on every machine
    let mut log = BookLog::none(&shelf);
    for (at, section) in sections(HISTORY) {
        let sources = Sources {
            unit: text("moor-rear.toml", &unit),
            // without its spares: the plates stay, so that they can be seen to wear
            drawer: text(
                "moor-drawer.toml",
                DRAWER.split("[[spare]]").next().unwrap_or_default(),
            ),
            instruments: text("instruments.toml", INSTRUMENTS),
            procedure: text(
                "full-rebuild (stock)",
                crate::procedure::stock("full-rebuild").unwrap_or_default(),
            ),
            setting: None,
            found: None,
        };
        let clock = Clock::new(Some(at))?;
        let (mut journal, mut session) = begin(&mut log, &sources, Units::Metric, &clock, None)?;
        let mut answers = ByName {
            file: FILE,
            once: false,
            answers: ANSWERS.lines().chain(section).filter_map(answer).collect(),
            odd: false,
        };
        go_on(&mut answers, &mut session, &mut journal, &clock, &mut log)?;
        let account = session.account(journal.id().as_str(), "");
        write_out(&format!("{}  {at}\n", account.build), false)?;
        // what a person does to the unit's file after a build: what is in it now, and in which order
        for pack in &account.packs {
            let listed = |texts: Vec<String>| {
                let quoted: Vec<String> = texts.iter().map(|text| format!("\"{text}\"")).collect();
                format!("[{}]", quoted.join(", "))
            };
            let shims = pack.shims_left.iter().flatten().map(ToString::to_string);
            unit = with_line(&unit, pack.side.word(), "shims", &listed(shims.collect()));
            let order = pack.plates_left.clone().unwrap_or_default();
            unit = with_line(&unit, pack.side.word(), "order", &listed(order));
        }
    }
    season(&shelf)
}

/// Plays the drive days of the unit's car.
fn season(shelf: &Shelf) -> Result<(), Failure> {
    write_out(
        "Drive days of an invented car; times and words come from a file.\n",
        false,
    )?;
    let mut log = BookLog::none(shelf);
    for (head, section) in sections(SEASON) {
        let (at, drawn) = head.split_once("] ").unwrap_or((head, ""));
        let clock = Clock::new(Some(at))?;
        let sources = DaySources::of_texts(
            shelf,
            (text("moor-car.toml", CAR), "moor"),
            Some("moor-rear"),
            vec![(SETTING.to_string(), text("moor-milder.toml", MILDER))],
            None,
            &clock,
        )?;
        let last = sources.job.settings.iter().find(|setting| setting.key != SETTING);
        let drawn = drawn
            .split_once(' ')
            .and_then(|(runs, seed)| Some((runs.parse().ok()?, seed.parse().ok()?)));
        let drawn = match (drawn, last) {
            (Some((runs, seed)), Some(last)) => {
                let settings = [last, &sources.job.settings[0]].map(|setting| setting.driven.clone());
                Some(balanced(settings.to_vec(), runs, seed)?.entry(&sources.job, at, ""))
            }
            _ => None,
        };
        let (mut journal, mut session) = sources.begin(&mut log, Units::Metric, &clock, drawn.as_slice())?;
        let mut answers = ByName {
            file: SEASON_FILE,
            once: true,
            answers: section.into_iter().filter_map(answer).collect(),
            odd: false,
        };
        day::ask_all(&mut answers, &mut session, &mut journal, &clock, &mut log)?;
        write_out(&format!("{}  {at}\n", journal.id()), false)?;
    }
    Ok(())
}

/// An order of two settings, drawn by a seed.
fn balanced(settings: Vec<Driven>, runs: usize, seed: u64) -> Result<DrawnOrder, Failure> {
    let mut drawn = DrawnOrder {
        from: "balanced".to_string(),
        changes: None,
        seed,
        settings,
        order: vec![0; runs],
    };
    drawn.order = order_of(&drawn)?;
    Ok(drawn)
}

/// The sections of a history: a time in square brackets, and the lines below it.
fn sections(text: &str) -> Vec<(&str, Vec<&str>)> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        // what stands behind the bracket belongs to the head
        match line
            .strip_prefix('[')
            .map(|line| line.strip_suffix(']').unwrap_or(line))
        {
            Some(at) => all.push((at, Vec::new())),
            None => {
                if let Some((_, lines)) = all.last_mut() {
                    lines.push(line);
                }
            }
        }
    }
    all
}

fn answer(line: &str) -> Option<(String, String)> {
    let (slot, answer) = line.split_once(" = ").filter(|_| !line.starts_with('#'))?;
    Some((slot.to_string(), answer.to_string()))
}

/// The unit's file with another line in one pack.
fn with_line(unit: &str, side: &str, key: &str, value: &str) -> String {
    let (head, start) = (format!("[pack.{side}]"), format!("{key} = "));
    let mut inside = false;
    let lines: Vec<String> = unit
        .lines()
        .map(|line| {
            if line.starts_with('[') {
                inside = line == head;
            }
            if inside && line.starts_with(&start) {
                format!("{start}{value}")
            } else {
                line.to_string()
            }
        })
        .collect();
    lines.join("\n") + "\n"
}

/// Answers by the name of their question, in whatever order they are asked. What is only to be done, is done.
struct ByName {
    /// The file that they come from.
    file: &'static str,
    answers: HashMap<String, String>,
    /// Each is given once, and Enter after it.
    once: bool,
    /// What only looks odd is meant.
    odd: bool,
}

impl Front for ByName {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        if std::mem::take(&mut self.odd) {
            return Ok(Reply::Answer(SURE.to_string()));
        }
        let slot = ask.slot.to_string();
        let known = match self.once {
            true => self.answers.remove(&slot),
            false => self.answers.get(&slot).cloned(),
        };
        match known {
            Some(text) => Ok(match text.strip_prefix("!skip ") {
                Some(reason) => Reply::Skip(reason.to_string()),
                None => Reply::Answer(text),
            }),
            None if ask.expects == Expects::Done || ask.before.is_some() => Ok(Reply::Answer(String::new())),
            None => Err(BenchError::TooShort {
                name: self.file.to_string(),
                wanted: Box::new(ask.slot.clone()),
                after: 0,
            }),
        }
    }

    fn say(&mut self, _: &[Feedback]) -> Result<(), BenchError> {
        Ok(())
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        self.odd = refusal.sure;
        if refusal.sure {
            return Ok(());
        }
        Err(BenchError::Io(std::io::Error::other(format!(
            "{}: {}",
            self.file, refusal.words
        ))))
    }

    fn why(&mut self, _: &Ask) -> Result<(), BenchError> {
        Ok(())
    }

    fn confirm(&mut self, _: &str, default: bool) -> Result<bool, BenchError> {
        Ok(default)
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        Ok(())
    }
}
