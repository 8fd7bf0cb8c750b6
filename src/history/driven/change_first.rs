//! What to change first, by what was felt on the last day.

use super::compared::is_same_setting;
use crate::record::driven::{Day, Driven, Phase};

/// What was felt in a phase with the setting that was driven last.
#[derive(Clone, PartialEq, Debug)]
pub struct FeltLast {
    /// The phase.
    pub phase: Phase,
    /// How many runs said too much lock, and how many too little.
    pub more: usize,
    /// How many said too little.
    pub less: usize,
    /// How many said anything.
    pub said: usize,
}

impl FeltLast {
    /// Whether more than half of what was said wants less lock (`true`) or more (`false`); nothing where neither does.
    pub fn wants_less(&self) -> Option<bool> {
        let most = |count: usize| 2 * count > self.said;
        match (most(self.more), most(self.less)) {
            (true, _) => Some(true),
            (_, true) => Some(false),
            _ => None,
        }
    }

    /// The complaint of `settle` that this is; nothing where it has none for it.
    pub fn complaint(&self) -> Option<&'static str> {
        match (self.phase, self.wants_less()?) {
            (Phase::Entry | Phase::Middle, true) => Some("pushes on entry"),
            (Phase::Power, true) => Some("pushes on power"),
            (Phase::Power, false) => Some("inside wheel spins"),
            (Phase::Entry | Phase::Lift, false) => Some("snaps on lift"),
            (Phase::Middle, false) => Some("does nothing"),
            _ => None,
        }
    }

    /// What is to be done about it, in words.
    pub fn words(&self) -> Option<String> {
        let less = self.wants_less()?;
        let (count, what, part) = match less {
            true => (self.more, "too much lock", "less"),
            false => (self.less, "too little lock", "more"),
        };
        // common practice, no source: which part of the unit speaks in which phase
        let part_of = match self.phase {
            Phase::Entry | Phase::Lift => "lock on coast",
            Phase::Middle => "preload",
            Phase::Power => "lock on drive",
            Phase::Straight => "lock and preload together",
        };
        let how = match self.complaint() {
            Some(complaint) => format!("; what acts on it: shimwright settle … --complaint \"{complaint}\""),
            None => String::new(),
        };
        Some(format!(
            "{}: {what} in {count} of {} runs, so {part} {part_of} (common practice, no source){how}",
            self.phase.word(),
            self.said
        ))
    }
}

/// What was felt with the setting that was driven last, by the last day of these that has one, the most often felt first.
pub fn felt_last(days: &[&Day]) -> Option<(Driven, Vec<FeltLast>)> {
    let day = days
        .iter()
        .rev()
        .find(|day| day.runs.iter().any(|run| run.setting.is_some()))?;
    let last = day.runs.iter().rev().find_map(|run| run.setting.clone())?;
    let runs: Vec<_> = day
        .runs
        .iter()
        .filter(|run| {
            run.setting
                .as_ref()
                .is_some_and(|setting| is_same_setting(setting, &last))
        })
        .collect();
    let mut felt: Vec<FeltLast> = Phase::ALL
        .iter()
        .map(|(phase, _)| {
            let answers: Vec<i8> = runs.iter().filter_map(|run| run.felt[phase.index()]).collect();
            FeltLast {
                phase: *phase,
                more: answers.iter().filter(|answer| **answer > 0).count(),
                less: answers.iter().filter(|answer| **answer < 0).count(),
                said: answers.len(),
            }
        })
        .collect();
    felt.sort_by_key(|felt| std::cmp::Reverse(felt.more.max(felt.less)));
    Some((last, felt))
}
