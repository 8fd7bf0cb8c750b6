//! What was gone on with in two places, a build by two machines or the log of one, and what somebody said of that: which of the
//! two counts, or that it is known.

use super::finding::{Certainty, Finding};
use super::log::{Happened, LogFile, LogLine, LoggedBuild, LoggedFork};
use super::log_head::Head;
use super::seal_check::Stored;
use crate::quantity::minute;

/// A file that went on otherwise than the log of its machine that counts.
#[derive(Clone, Debug)]
struct Fork {
    /// The log that counts, by its place among the logs.
    log: usize,
    other: LogFile,
    is_settled: bool,
}

/// The lines of the logs that say of a build as it is here that it counts.
pub(super) struct Settlements<'a> {
    lines: Vec<(&'a LogFile, usize, &'a LoggedBuild)>,
}

impl<'a> Settlements<'a> {
    /// Those whose state of the journal is that of the build as it is here.
    pub(super) fn of(
        events: impl Iterator<Item = (&'a LogFile, usize, Happened, &'a LoggedBuild)>,
        stored: &Stored,
    ) -> Settlements<'a> {
        let is_here = |of: &LoggedBuild| {
            let digest = stored.digest_of(of.lines);
            digest.is_some_and(|digest| digest.to_string() == of.journal)
        };
        let lines = events
            .filter(|(_, _, happened, of)| *happened == Happened::Settled && is_here(of))
            .map(|(log, line, _, of)| (log, line, of))
            .collect();
        Settlements { lines }
    }

    /// What was said of a line of a log that has another state, by somebody who knew that line.
    pub(super) fn settled(&self, log: &LogFile, line: usize) -> Option<Finding> {
        let (mark, ..) = log.opened()?;
        let knew = |(by, at, of): &&(&LogFile, usize, &LoggedBuild)| match by.file == log.file {
            true => line < *at,
            false => of.seen.get(mark).is_some_and(|(seen, _)| line <= *seen),
        };
        let (by, at, of) = self.lines.iter().rfind(knew)?;
        let said = |words: &Option<String>| words.clone().unwrap_or_default();
        let words = format!(
            "it was gone on with on two machines, and that is settled: what is here counts, {}, {}: {} (line {at} of {})",
            said(&of.by),
            minute(&of.at),
            said(&of.reason),
            by.file
        );
        Some(Finding::new(Certainty::Note, words))
    }
}

/// Files that were gone on with otherwise than the log of their machine that counts.
#[derive(Clone, Debug, Default)]
pub(super) struct Forks(Vec<Fork>);

impl Forks {
    /// Takes in a file that went on otherwise than the log at a place among the logs.
    pub(super) fn add(&mut self, log: usize, other: LogFile) {
        self.0.push(Fork {
            log,
            other,
            is_settled: false,
        });
    }

    /// The two files of one machine that were gone on with in two places, where a file is one of them.
    pub(super) fn pair<'a>(&'a self, logs: &'a [LogFile], file: &str) -> Option<[&'a str; 2]> {
        let mut pairs = self.0.iter().filter_map(|fork| {
            let log = logs.get(fork.log)?;
            Some([log.file.as_str(), fork.other.file.as_str()])
        });
        pairs.find(|pair| pair.contains(&file))
    }

    /// The mark of a machine whose log went on in two places, and the last line of each, where a file is one of them and nobody
    /// has said that this is known.
    pub(super) fn unsettled(&self, logs: &[LogFile], file: &str) -> Option<(String, [(usize, String); 2])> {
        let open = self.0.iter().filter(|fork| !fork.is_settled);
        let mut pairs = open.filter_map(|fork| Some((logs.get(fork.log)?, &fork.other)));
        let (log, other) = pairs.find(|(log, other)| log.file == file || other.file == file)?;
        let (one, two) = (log.head()?, other.head()?);
        Some((one.mark, [(one.line, one.tip), (two.line, two.tip)]))
    }

    /// Whether a line of a log stands in a file that went on otherwise than the log that counts, and this is settled.
    pub(super) fn settled_have(&self, head: &Head) -> bool {
        let settled = self.0.iter().filter(|fork| fork.is_settled);
        settled.map(|fork| &fork.other).any(|other| has(other, head))
    }

    /// What is to be said of them, and of the lines of the logs by which they are settled.
    pub(super) fn judge(&mut self, logs: &[LogFile]) -> Vec<Finding> {
        let lines: Vec<(String, &LoggedFork)> = logs
            .iter()
            .flat_map(|log| {
                let numbered = log.lines.iter().enumerate();
                numbered.filter_map(|(at, line)| match line {
                    LogLine::ForkSettled(of) => Some((format!("line {} of {}", at + 1, log.file), of)),
                    _ => None,
                })
            })
            .collect();
        let mut found = Vec::new();
        for fork in &mut self.0 {
            let Some(log) = logs.get(fork.log) else {
                continue;
            };
            let ends = [log.head(), fork.other.head()].map(|head| head.map(|head| (head.line, head.tip)));
            let is_this = |of: &LoggedFork| {
                let said = of.ends.clone().map(Some);
                said == ends || said == [ends[1].clone(), ends[0].clone()]
            };
            let mark = log.opened().map(|(mark, ..)| mark);
            let settled = lines
                .iter()
                .find(|(_, of)| mark == Some(of.mark.as_str()) && is_this(of));
            fork.is_settled = settled.is_some();
            let shared = (1..=log.count().min(fork.other.count()))
                .take_while(|line| log.tip(*line) == fork.other.tip(*line))
                .count();
            let both = format!(
                "{} and {} are logs of one machine that was gone on with in two places: their first {shared} lines are the same, and \
                 then each has others",
                log.file, fork.other.file
            );
            found.push(match settled {
                Some((line, of)) => Finding::new(
                    Certainty::Note,
                    format!(
                        "{both}; that is settled, {}, {}: {} ({line})",
                        of.by,
                        minute(&of.at),
                        of.reason
                    ),
                ),
                None => Finding::new(
                    Certainty::Broken,
                    format!(
                        "{both} (forked); `shimwright adopt` takes in the builds of both, and goes on in a log of its own; `shimwright adopt \
                         --settled {}` says in that one that this is known",
                        log.file
                    ),
                ),
            });
        }
        for (line, of) in &lines {
            let files = || logs.iter().chain(self.0.iter().map(|fork| &fork.other));
            let lost = of.ends.iter().any(|(at, tip)| {
                let end = Head {
                    mark: of.mark.clone(),
                    line: *at,
                    tip: tip.clone(),
                };
                !files().any(|file| has(file, &end))
            });
            if lost {
                let words = format!(
                    "{line} says that a log was gone on with in two places, and not both are here as they were then: get the other \
                     back from a backup"
                );
                found.push(Finding::new(Certainty::Broken, words));
            }
        }
        found
    }
}

/// Whether a file is of the machine that a line is of, and has that line.
fn has(file: &LogFile, head: &Head) -> bool {
    let is_of = file.opened().is_some_and(|(mark, ..)| mark == head.mark);
    let tip = file.tip(head.line);
    is_of && tip.is_some_and(|tip| tip.to_string().starts_with(&head.tip))
}
