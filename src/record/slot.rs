//! The name of a question.

use serde::{Deserialize, Serialize};
use std::fmt;

/// The name of a question. Two questions of one build never share one.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slot {
    /// The round, from 1; a failed proof starts another.
    pub round: u32,
    /// The step's id.
    pub step: String,
    /// Which plate, side, bolt group.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// Which reading of several, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<u32>,
}

impl fmt::Display for Slot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.step)?;
        if let Some(item) = &self.item {
            write!(f, "/{item}")?;
        }
        if let Some(point) = self.point {
            write!(f, "/{point}")?;
        }
        Ok(())
    }
}

impl Slot {
    /// The question in words for people, its round left out; [`Display`](fmt::Display) is the name that is typed.
    ///
    /// ```
    /// use shimwright::record::Slot;
    /// let slot = |step: &str, item: &str, point| Slot { round: 1, step: step.into(), item: Some(item.into()), point };
    /// assert_eq!(slot("plate-thickness", "C1", Some(2)).in_words(), "plate thickness C1, no. 2");
    /// assert_eq!(slot("breakaway", "drive-still", None).in_words(), "breakaway drive still");
    /// ```
    pub fn in_words(&self) -> String {
        let mut words = self.step.replace('-', " ");
        if let Some(item) = &self.item {
            // a name of a part is left as it is
            let is_word = item.chars().all(|c| c.is_lowercase() || c == '-');
            let item = if is_word {
                item.replace('-', " ")
            } else {
                item.clone()
            };
            words.push_str(&format!(" {item}"));
        }
        if let Some(point) = self.point {
            words.push_str(&format!(", no. {point}"));
        }
        words
    }
}
