//! A run of practice for machines.

use super::diagnosis::FaultKind;
use super::entry::GeneratedFrom;
use crate::quantity::Torque;
use crate::report::Summary;
use serde_json::{Value, json};

/// A run of practice as a list or a report for machines shows it.
#[derive(Clone, PartialEq, Debug)]
pub struct Practised {
    /// Its name.
    pub build: String,
    /// What the unit was made from.
    pub made: GeneratedFrom,
    /// When it was begun.
    pub begun: String,
    /// When it was finished; `None` while it is not, and then nothing is told of the faults.
    pub finished: Option<String>,
    /// Who practised.
    pub by: String,
    /// What it came to, 0 to 100; nothing of a run that asked for no diagnosis.
    pub score: Option<u32>,
    /// The kinds of faults that it had, and whether they were found.
    pub kinds: Vec<(FaultKind, bool)>,
    /// The faults that were found, each with why it matters.
    pub found: Vec<(String, String)>,
    /// Those that were missed.
    pub missed: Vec<(String, String)>,
    /// What was held to be wrong and was not.
    pub accused: Vec<(String, String)>,
    /// Readings that can not have been shown.
    pub misread: Vec<(String, String)>,
    /// The torque of the proof, and its verdict.
    pub proof: Option<(Torque, String)>,
    /// The digest of its journal.
    pub digest: String,
}

impl Practised {
    fn json(&self) -> Value {
        let lines = |lines: &[(String, String)]| -> Vec<Value> {
            lines
                .iter()
                .map(|(what, why)| json!({"what": what, "why": why}))
                .collect()
        };
        json!({
            "practice": true,
            "run": self.build, "level": self.made.level, "seed": self.made.seed,
            "begun": self.begun, "finished": self.finished,
            "by": self.by, "score_percent": self.score,
            "kinds": self.kinds.iter().map(|(kind, found)| json!({"kind": kind.word(), "found": found})).collect::<Vec<_>>(),
            "found": lines(&self.found), "missed": lines(&self.missed),
            "wrongly_accused": lines(&self.accused), "misread": lines(&self.misread),
            "breakaway_nm": self.proof.as_ref().map(|(torque, _)| torque.newton_metres()),
            "verdict": self.proof.as_ref().map(|(_, verdict)| verdict),
            "digest": self.digest,
        })
    }

    /// One run, for `--json`.
    pub fn summary(&self) -> Summary {
        Summary::told("practice", self.json())
    }

    /// Several runs, for `--json`.
    pub fn summary_of(runs: &[Practised]) -> Summary {
        Summary::told(
            "practised",
            json!({ "practice": true, "runs": runs.iter().map(Practised::json).collect::<Vec<_>>() }),
        )
    }
}
