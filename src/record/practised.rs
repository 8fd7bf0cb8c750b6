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

/// What is known of one kind of fault.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct KindProgress {
    /// The kind.
    pub kind: FaultKind,
    /// In how many finished runs it was hidden.
    pub met: usize,
    /// In how many of them it was named with its part.
    pub found: usize,
    /// How long the runs took in which it was, as their median, in minutes.
    pub minutes: Option<i64>,
    /// Whether it was found the last time.
    pub last_found: Option<bool>,
}

/// What is known of one topic of the drills.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrillProgress {
    /// The drill.
    pub drill: String,
    /// What its cards were about.
    pub topic: String,
    /// How many cards were answered.
    pub answered: usize,
    /// How many of them right.
    pub right: usize,
    /// How long a card took, as the median, in seconds.
    pub seconds: Option<i64>,
}

/// How far somebody has come. Nobody is held against anybody.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Progress {
    /// Whose; empty where it is all that the book has.
    pub by: String,
    /// Finished runs.
    pub runs: usize,
    /// The scores of those that asked for a diagnosis, oldest first.
    pub scores: Vec<u32>,
    /// Every kind of fault.
    pub kinds: Vec<KindProgress>,
    /// Every topic that was drilled.
    pub drills: Vec<DrillProgress>,
    /// What to practise next, as a command, and why.
    pub next: (String, String),
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

    /// Several runs and how far they show somebody to have come, and where several practised each of them beside the others, for
    /// `--json`.
    pub fn summary_of(runs: &[Practised], progress: &Progress, each: &[Progress]) -> Summary {
        Summary::told(
            "practised",
            json!({
                "practice": true,
                "runs": runs.iter().map(Practised::json).collect::<Vec<_>>(),
                "progress": progress.json(),
                "apprentices": each.iter().map(Progress::json).collect::<Vec<_>>(),
            }),
        )
    }
}

impl Progress {
    fn json(&self) -> Value {
        let kinds = self.kinds.iter().map(|one| {
            json!({
                "kind": one.kind.word(), "met": one.met, "found": one.found, "missed": one.met - one.found,
                "median_run_minutes": one.minutes,
            })
        });
        let drills = self.drills.iter().map(|one| {
            json!({
                "drill": one.drill, "topic": one.topic, "cards": one.answered, "right": one.right,
                "median_card_seconds": one.seconds,
            })
        });
        json!({
            "by": self.by, "finished_runs": self.runs, "scores_percent": self.scores,
            "kinds": kinds.collect::<Vec<_>>(), "drills": drills.collect::<Vec<_>>(),
            "next": self.next.0, "next_because": self.next.1,
        })
    }
}
