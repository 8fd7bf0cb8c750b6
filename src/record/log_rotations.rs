//! What the logs of a book say of the rotations of its keys: which were laid down, and which are not there any more as they were.

use super::finding::{Certainty, Finding};
use super::log::{LogFile, LogLine, LoggedRotation};
use super::log_check::Logs;
use crate::quantity::minute;
use crate::seal::Digest;

/// A rotation as it lies in a book.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RotationThere {
    /// The file of its statement.
    pub file: String,
    /// Whether that is there, if only as one that can not be read.
    pub is_there: bool,
    /// Its digest, where it can be read.
    pub statement: Option<Digest>,
    /// Whether its signature lies beside it.
    pub is_signed: bool,
    /// Whether it is a statement that the old key signed.
    pub holds: bool,
}

/// A line of a log about a rotation.
struct Line<'a> {
    log: &'a LogFile,
    number: usize,
    is_removal: bool,
    of: &'a LoggedRotation,
}

impl Line<'_> {
    fn says(&self, statement: Digest) -> bool {
        self.of.statement == statement.to_string()
    }

    /// The line as it is named in words.
    fn named(&self) -> String {
        format!("line {} of {}", self.number, self.log.file)
    }
}

impl Logs {
    /// Whether the logs have a line of a rotation with this statement, and none after it that it was taken away.
    pub fn covers_rotation(&self, file: &str, statement: Digest) -> bool {
        let lines = self.rotation_lines();
        lines
            .iter()
            .any(|line| line.of.file == file && !line.is_removal && line.says(statement))
    }

    /// The rotation of a file as the logs have it, where they say last that it was laid down.
    pub fn rotation(&self, file: &str) -> Option<&LoggedRotation> {
        let lines = self.rotation_lines();
        let line = lines
            .into_iter()
            .find(|line| line.of.file == file && !line.is_removal)?;
        Some(line.of)
    }

    /// Whether the logs say that a rotation was taken away on purpose.
    pub fn is_rotation_removed(&self, file: &str) -> bool {
        let lines = self.rotation_lines();
        lines.iter().any(|line| line.of.file == file && line.is_removal)
    }

    /// Holds the rotations that lie in a book against its logs.
    pub fn judge_rotations(&self, there: &[RotationThere]) -> Vec<Finding> {
        let lines = self.rotation_lines();
        let mut files: Vec<&str> = lines.iter().map(|line| line.of.file.as_str()).collect();
        files.extend(there.iter().map(|one| one.file.as_str()));
        files.sort_unstable();
        files.dedup();
        let of_file = |file: &str| {
            let said: Vec<&Line<'_>> = lines.iter().filter(|line| line.of.file == file).collect();
            let lies = there.iter().find(|one| one.file == file);
            match lies {
                Some(one) if one.is_there => self.judge_there(one, one.statement?, &said),
                _ => judge_not_there(file, &said),
            }
        };
        files.into_iter().filter_map(of_file).collect()
    }

    fn judge_there(&self, one: &RotationThere, statement: Digest, said: &[&Line<'_>]) -> Option<Finding> {
        let file = &one.file;
        let laid = || said.iter().filter(|line| !line.is_removal);
        let removal = said.iter().find(|line| line.is_removal && line.says(statement));
        let (certainty, words) = if let Some(line) = removal {
            (
                Certainty::Open,
                format!(
                    "{file}: {} says that it was taken away on purpose, and it is here: it was put back",
                    line.named()
                ),
            )
        } else if let Some(line) = laid().find(|line| line.says(statement)) {
            if one.is_signed {
                return None;
            }
            (
                Certainty::Broken,
                format!(
                    "{file}: its signature was taken away, which it had by {}",
                    line.named()
                ),
            )
        } else if let Some(line) = laid().next() {
            (
                Certainty::Broken,
                format!(
                    "{file}: it is not the statement that {} has, a key of {}, {}: get that back from a backup",
                    line.named(),
                    line.of.name,
                    minute(&line.of.at)
                ),
            )
        } else if one.holds && !self.each().is_empty() {
            (
                Certainty::Open,
                format!(
                    "{file}: the log has no line of it: the power went, an older program laid it down, or it was copied here; \
                     `shimwright adopt` takes it into the log"
                ),
            )
        } else {
            return None;
        };
        Some(Finding::new(certainty, words))
    }

    /// The last line of each log about each rotation, in their order.
    fn rotation_lines(&self) -> Vec<Line<'_>> {
        let mut last: Vec<Line<'_>> = Vec::new();
        for log in self.each() {
            for (n, line) in log.lines.iter().enumerate() {
                let (is_removal, of) = match line {
                    LogLine::Rotated(of) => (false, of),
                    LogLine::RotationRemoved(of) => (true, of),
                    _ => continue,
                };
                last.retain(|line| line.log.file != log.file || line.of.file != of.file);
                let number = n + 1;
                last.push(Line {
                    log,
                    number,
                    is_removal,
                    of,
                });
            }
        }
        last
    }
}

fn judge_not_there(file: &str, said: &[&Line<'_>]) -> Option<Finding> {
    if let Some(line) = said.iter().find(|line| line.is_removal) {
        let said = |words: &Option<String>| words.clone().unwrap_or_default();
        let words = format!(
            "{file}: it was taken away, and that was meant: {}, {}: {} ({})",
            said(&line.of.by),
            minute(&line.of.at),
            said(&line.of.reason),
            line.named()
        );
        return Some(Finding::new(Certainty::Note, words));
    }
    let line = said.first()?;
    let words = format!(
        "{file}: it was taken away: {} has it, a key of {} that took the place of another, {}; get it back from a backup",
        line.named(),
        line.of.name,
        minute(&line.of.at)
    );
    Some(Finding::new(Certainty::Broken, words))
}
