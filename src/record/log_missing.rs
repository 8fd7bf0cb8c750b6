//! What the logs of a book say of a build that is not there: whether that was meant, and what of a paper can still be held
//! against them.

use super::finding::{Certainty, Finding};
use super::log::{Happened, LogFile, LoggedBuild, Removed};
use super::log_check::Logs;
use super::off_paper::OffPaper;
use super::seal_check::Stored;
use crate::quantity::minute;

impl Logs {
    /// What the logs say of a build that is not there; nothing where they do not know it.
    pub fn judge_missing(&self, build: &str) -> Option<Finding> {
        if let Some((log, line, of)) = self.removal(build) {
            let Removed { at, by, reason } = Removed::of(of);
            let words = format!(
                "it was taken away, and that was meant: {by}, {}: {reason} (line {line} of {})",
                minute(&at),
                log.file
            );
            return Some(Finding::new(Certainty::Note, words));
        }
        let (log, line, _, of) = self.events(build).last()?;
        let words = format!(
            "it was taken away: line {line} of {} has it, with {} lines of its journal, {}",
            log.file,
            of.lines,
            minute(&of.at)
        );
        Some(Finding::new(Certainty::Broken, words))
    }

    /// The line that says that a build was taken away on purpose, where its log says nothing of the build after it.
    pub fn removal(&self, build: &str) -> Option<(&LogFile, usize, &LoggedBuild)> {
        let later = |log: &LogFile, line: usize| {
            self.events(build)
                .any(|(other, at, ..)| other.file == log.file && at > line)
        };
        self.events(build)
            .find(|(log, line, happened, _)| *happened == Happened::Removed && !later(log, *line))
            .map(|(log, line, _, of)| (log, line, of))
    }

    /// Who said that a build was taken away on purpose, when and why, where somebody did.
    pub fn removed(&self, build: &str) -> Option<Removed> {
        self.removal(build).map(|(.., of)| Removed::of(of))
    }

    /// What can be said of a paper whose build the logs know and that is not there: nothing is left but the digests of its
    /// record that stand in the logs.
    pub fn judge_paper_of_missing(&self, build: &str, paper: &OffPaper) -> Vec<Finding> {
        let on_purpose = self.removal(build).is_some();
        let mut found = vec![if on_purpose {
            let words = format!(
                "paper: it is of {build}, which was taken away on purpose: no record is here that its figures could be held \
                 against, only its own words; a backup of before, or a sheet with its record in it, still has one"
            );
            Finding::new(Certainty::Open, words)
        } else {
            let words = format!("paper: it is of {build}, which is not in the book");
            Finding::new(Certainty::Broken, words)
        }];
        let lines = match paper {
            OffPaper::Code(code) => Some(code.lines),
            OffPaper::Small(code) => Some(code.lines),
            OffPaper::Digits(_) => None,
        };
        let digits = digits_of(paper);
        let agrees = |of: &LoggedBuild| of.journal.starts_with(&digits);
        let states = || {
            self.events(build)
                .filter(|(.., of)| lines.is_none_or(|lines| lines == of.lines))
        };
        // one that agrees says most; of the others, which contradict only where they are of as many lines, the first
        let state = states()
            .find(|(.., of)| agrees(of))
            .or_else(|| states().next().filter(|_| lines.is_some()));
        let (certainty, words) = match state {
            Some((log, line, _, of)) if agrees(of) => (
                Certainty::Holds,
                format!(
                    "paper: its digest is that of lines 1 to {} of the record, as line {line} of {} has it",
                    of.lines, log.file
                ),
            ),
            Some((log, line, _, of)) => (
                Certainty::Broken,
                format!(
                    "paper: line {line} of {} has another digest of lines 1 to {} of the record",
                    log.file, of.lines
                ),
            ),
            None => (
                Certainty::Open,
                "paper: the log has no digest of the state of the record that it was printed from"
                    .to_string(),
            ),
        };
        found.push(Finding::new(certainty, words));
        found
    }

    /// What the logs say of a record that comes from elsewhere, where they know a build of its name that is not there.
    pub fn judge_record_of_missing(&self, stored: &Stored) -> Option<Finding> {
        let build = &stored.build;
        let gone = self.judge_missing(build)?;
        let agrees = |of: &LoggedBuild| {
            let digest = stored.digest_of(of.lines);
            digest.is_some_and(|digest| digest.to_string() == of.journal)
        };
        let is_other = |of: &LoggedBuild| stored.digest_of(of.lines).is_some() && !agrees(of);
        let newest = self
            .events(build)
            .filter(|(_, _, happened, of)| *happened != Happened::Removed && agrees(of))
            .max_by_key(|(.., of)| of.lines);
        let words = match newest {
            Some((log, line, _, of)) if !self.events(build).any(|(.., of)| is_other(of)) => {
                let most = self.events(build).map(|(.., of)| of.lines).max();
                let more = match most.unwrap_or(0).saturating_sub(stored.ends.len()) {
                    0 => String::new(),
                    more => format!("; {more} more lines came to it later"),
                };
                format!(
                    "the book has no {build}: {}. This is its record: lines 1 to {} are those that line {line} of {} has{more}",
                    gone.words, of.lines, log.file
                )
            }
            _ => {
                let words = format!(
                    "the book's log has another record of the name {build}: {}",
                    gone.words
                );
                return Some(Finding::new(Certainty::Open, words));
            }
        };
        let certainty = match self.removal(build) {
            Some(_) => Certainty::Note,
            None => Certainty::Open,
        };
        Some(Finding::new(certainty, words))
    }

    /// The build that had a digest which begins with some digits, as far as the logs know digests of it.
    pub fn with_digest(&self, digits: &str) -> Option<&str> {
        let mut events = self.each().iter().flat_map(LogFile::events);
        let of = events.find(|(.., of)| of.journal.starts_with(digits));
        of.map(|(.., of)| of.build.as_str())
    }
}

/// The digits of the digest on a paper, from its beginning.
fn digits_of(paper: &OffPaper) -> String {
    match paper {
        OffPaper::Code(code) => code.digest.to_string(),
        OffPaper::Small(code) => code.digits.clone(),
        OffPaper::Digits(digits) => digits.clone(),
    }
}
