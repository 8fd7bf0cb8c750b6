//! The answers of a drive day as they stand: what its questions, its readers and its sum ask of them.

use super::questions::{DRAWN, DRIVEN_ON, SETS, SETTING, STRUCK, TIMES, TYRES};
use crate::procedure::definition::Procedure;
use crate::procedure::state::State;
use crate::quantity::LapTime;
use crate::record::driven::{DrawnOrder, Driven};
use crate::record::{Slot, Value};
use std::rc::Rc;

/// The most runs of a day.
pub(super) const MOST_RUNS: usize = 500;

/// What may have been in the car.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Drivable {
    /// What is typed: a build's name, or the word for a setting's file.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// What is written down.
    pub driven: Driven,
    /// The day on which it was made, such as 2026-05-01, where that is known.
    pub made: Option<String>,
    /// Whether it is finished.
    pub finished: bool,
}

/// What a drive day starts from.
#[derive(Clone, PartialEq, Debug)]
pub struct DayJob {
    /// Its procedure.
    pub procedure: Procedure,
    /// The name of the car.
    pub car: String,
    /// What may have been in it, the likeliest first.
    pub settings: Vec<Drivable>,
    /// The day on which it is written down, such as 2026-05-01.
    pub today: String,
}

impl DayJob {
    /// What a setting is called.
    pub fn called(&self, driven: &Driven) -> String {
        match self.settings.iter().find(|setting| setting.driven == *driven) {
            Some(setting) => setting.key.clone(),
            None => match driven {
                Driven::Record(build) => build.build.clone(),
                Driven::Setting(digest) => format!("setting {}", digest.get(..8).unwrap_or(digest)),
            },
        }
    }
}

/// What a day started from, and what has been answered.
#[derive(Clone, Debug)]
pub(super) struct Answers {
    pub job: Rc<DayJob>,
    pub state: State,
}

pub(super) fn slot(step: &str, item: Option<String>, point: Option<u32>) -> Slot {
    Slot {
        round: 1,
        step: step.to_string(),
        item,
        point,
    }
}

/// Which run a question is of.
pub(super) fn run_of(slot: &Slot) -> usize {
    slot.item
        .as_deref()
        .and_then(|item| item.parse().ok())
        .unwrap_or(0)
}

/// A time as people write it.
pub(super) fn written(milliseconds: u32) -> String {
    LapTime::from_milliseconds(milliseconds).map_or_else(String::new, |lap| lap.to_string())
}

impl Answers {
    pub(super) fn value(&self, step: &str, item: Option<&str>, point: Option<u32>) -> Option<&Value> {
        let slot = slot(step, item.map(str::to_string), point);
        self.state.answers.get(&slot).map(|answer| &answer.value)
    }

    /// The sets of tyres by their names.
    pub(super) fn sets(&self) -> &[String] {
        match self.value(SETS, None, None) {
            Some(Value::Names(names)) => names,
            _ => &[],
        }
    }

    /// The order that was drawn before the day.
    pub fn drawn(&self) -> Option<&DrawnOrder> {
        match self.value(DRAWN, None, None) {
            Some(Value::Drawn(order)) => Some(order),
            _ => None,
        }
    }

    /// The times of a run so far.
    pub(super) fn laps(&self, run: usize) -> Vec<u32> {
        let item = run.to_string();
        let mut laps = Vec::new();
        for point in 1.. {
            match self.value(TIMES, Some(&item), Some(point)) {
                Some(Value::Times(times)) => laps.extend(times),
                _ => return laps,
            }
        }
        laps
    }

    /// All laps of all runs so far.
    pub(super) fn all_laps(&self) -> Vec<u32> {
        let answers = self.state.answers.values();
        let times = answers.filter_map(|answer| match &answer.value {
            Value::Times(times) => Some(times),
            _ => None,
        });
        times.flatten().copied().collect()
    }

    /// Why a lap does not count, where it does not.
    pub(super) fn struck(&self, run: usize, lap: usize) -> Option<String> {
        let item = run.to_string();
        let by_line = match self.value(STRUCK, Some(&item), None) {
            Some(Value::Text(line)) => line
                .split_once(char::is_whitespace)
                .filter(|(number, _)| number.parse() == Ok(lap))
                .map(|(_, reason)| reason.to_string()),
            _ => None,
        };
        match self.value(STRUCK, Some(&item), u32::try_from(lap).ok()) {
            Some(Value::Text(reason)) => Some(reason.clone()),
            _ => by_line,
        }
    }

    /// The day on which it is driven.
    pub(super) fn driven_on(&self) -> &str {
        match self.value(DRIVEN_ON, None, None) {
            Some(Value::Text(day)) => day,
            _ => &self.job.today,
        }
    }

    /// What is in the car in a run, and the set of tyres.
    pub(super) fn of_run(&self, run: usize) -> (Option<Driven>, String) {
        let item = run.to_string();
        let driven = match self.value(SETTING, Some(&item), None) {
            Some(Value::Record(build)) => Some(Driven::Record(build.clone())),
            Some(Value::Setting(digest)) => Some(Driven::Setting(digest.clone())),
            _ => None,
        };
        let tyres = match self.value(TYRES, Some(&item), None) {
            Some(Value::Text(set)) => set.clone(),
            _ => String::new(),
        };
        (driven, tyres)
    }
}
