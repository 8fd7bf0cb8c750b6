//! The cards that were answered in drills, a line each.

use super::entry::EntryError;
use super::formats::DRILLED;
use crate::report::Summary;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// One line of the file that keeps what was drilled.
///
/// ```
/// use shimwright::record::drilled::Drilled;
/// let line = r#"{"format":"shimwright drilled 1","kind":"dealt","at":"2026-05-01T10:00:00Z","drill":"zero","seed":3,"of":10}"#;
/// let Some(Ok(dealt)) = Drilled::from_line(line) else { panic!() };
/// assert_eq!(dealt.line().unwrap(), line);
/// // what a newer program wrote is no damage
/// assert!(Drilled::from_line(&line.replace("drilled 1", "drilled 9")).is_none());
/// ```
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Drilled {
    /// A run of cards was dealt.
    Dealt {
        /// When, as RFC 3339 text.
        at: String,
        /// Who practises, where that was said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        by: Option<String>,
        /// The name of the drill.
        drill: String,
        /// Which of its runs.
        seed: u64,
        /// How many cards it has.
        of: u32,
    },
    /// A card was answered.
    Answered {
        /// When, as RFC 3339 text.
        at: String,
        /// Who practises, where that was said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        by: Option<String>,
        /// The name of the drill.
        drill: String,
        /// Which of its runs.
        seed: u64,
        /// Which card of the run, from 1.
        card: u32,
        /// What it drilled, in a word or two.
        topic: String,
        /// What was typed.
        answered: String,
        /// Whether that was right.
        right: bool,
        /// How long it took, in whole seconds.
        seconds: u64,
    },
}

/// A line with its format in front.
#[derive(Serialize, Deserialize)]
struct Framed<T> {
    format: String,
    #[serde(flatten)]
    line: T,
}

#[derive(Deserialize)]
struct FormatOnly {
    format: String,
}

impl Drilled {
    /// As a line of its file, without the line's end.
    ///
    /// # Errors
    ///
    /// [`EntryError::Unreadable`]: what JSON can not hold.
    pub fn line(&self) -> Result<String, EntryError> {
        let framed = Framed {
            format: DRILLED.shows.replace('N', &DRILLED.newest().to_string()),
            line: self,
        };
        serde_json::to_string(&framed).map_err(|error| EntryError::Unreadable(error.to_string()))
    }

    /// A line of its file; `None` where a newer program wrote it.
    ///
    /// # Errors
    ///
    /// [`EntryError::Unreadable`]: a line that is none.
    pub fn from_line(text: &str) -> Option<Result<Drilled, EntryError>> {
        if let Ok(FormatOnly { format }) = serde_json::from_str(text)
            && DRILLED.is_newer(&format)
        {
            return None;
        }
        let read = serde_json::from_str::<Framed<Drilled>>(text);
        Some(
            read.map(|framed| framed.line)
                .map_err(|error| EntryError::Unreadable(error.to_string())),
        )
    }
}

/// A run of a drill as it is reported to machines.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrillRun {
    /// The name of the drill.
    pub drill: String,
    /// Which of its runs.
    pub seed: u64,
    /// How many cards it has.
    pub of: u32,
    /// Who practises, where that was said.
    pub by: Option<String>,
    /// The cards that were answered, each with what was right.
    pub answered: Vec<(Drilled, String)>,
}

impl DrillRun {
    /// How many answers were right, and how long all of them took, in seconds.
    pub fn counted(&self) -> (usize, u64) {
        let mut counted = (0, 0);
        for (line, _) in &self.answered {
            if let Drilled::Answered { right, seconds, .. } = line {
                counted.0 += usize::from(*right);
                counted.1 += seconds;
            }
        }
        counted
    }

    /// The run, for `--json`.
    pub fn summary(&self) -> Summary {
        let cards: Vec<Value> = self
            .answered
            .iter()
            .filter_map(|(line, is)| match line {
                Drilled::Answered {
                    card,
                    topic,
                    answered,
                    right,
                    seconds,
                    ..
                } => Some(json!({
                    "card": card, "topic": topic, "answered": answered, "is": is, "right": right, "seconds": seconds,
                })),
                Drilled::Dealt { .. } => None,
            })
            .collect();
        let (right, seconds) = self.counted();
        let run = json!({
            "practice": true, "drill": self.drill, "seed": self.seed, "by": self.by, "of": self.of,
            "right": right, "seconds": seconds, "cards": cards,
        });
        Summary::told("drill", run)
    }
}
