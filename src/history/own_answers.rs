//! Answers in words at steps of a procedure's own, which no table of figures has a place for.

use serde::{Deserialize, Serialize};

/// An answer in words at a step of a procedure's own.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnAnswer {
    /// The question: its step, with the round where that is not the first.
    pub question: String,
    /// What was asked.
    pub asked: String,
    /// What was answered.
    pub answer: String,
    /// Who said it.
    pub by: String,
    /// When, as RFC 3339 text.
    pub at: String,
}
