//! Kinds of measured values, and words of types as they are stored.

use crate::mechanics::{Held, Keying, Side};
use crate::metrology::Verdict;
use serde::de::Error as DeError;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// What a value measures, and so what it is reckoned in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Measure {
    /// A torque, in newton metres.
    Torque,
    /// A force, in newtons.
    Force,
    /// A length, in millimetres.
    Length,
    /// A friction, which has no unit of measure.
    Friction,
}

impl Measure {
    /// The unit of measure in which machines are told it, and how many of it are one of those that it is reckoned in.
    pub(super) fn for_machines(self) -> (&'static str, f64) {
        match self {
            Measure::Torque => ("N·m", 1.0),
            Measure::Force => ("N", 1.0),
            Measure::Length => ("µm", 1e3),
            Measure::Friction => ("", 1.0),
        }
    }
}

/// Something that wears towards a limit.
///
/// ```
/// use shimwright::history::Wearing;
/// let [plate, torque] = [Wearing::Plate("G2".into()), Wearing::Value("breakaway".into())];
/// assert_eq!([plate.to_string(), torque.to_string()], ["plate G2", "the breakaway"]);
/// assert_eq!([plate.short(), torque.short()], ["G2", "breakaway"]);
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Wearing {
    /// A plate, by its name.
    Plate(String),
    /// What a build sets: `breakaway`, `preload left`, `gap`.
    Value(String),
}

/// What stands before the name of a plate, and before what a build sets.
const PLATE: &str = "plate ";
const VALUE: &str = "the ";

impl Wearing {
    /// Its name alone, for a column whose head or place says the rest.
    pub fn short(&self) -> &str {
        match self {
            Wearing::Plate(name) => name,
            Wearing::Value(what) => what,
        }
    }
}

impl fmt::Display for Wearing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Wearing::Plate(name) => write!(f, "{PLATE}{name}"),
            Wearing::Value(what) => write!(f, "{VALUE}{what}"),
        }
    }
}

impl Serialize for Wearing {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Wearing {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Wearing, D::Error> {
        let stored = String::deserialize(deserializer)?;
        match (stored.strip_prefix(PLATE), stored.strip_prefix(VALUE)) {
            (Some(name), _) => Ok(Wearing::Plate(name.to_string())),
            (None, Some(what)) => Ok(Wearing::Value(what.to_string())),
            (None, None) => Err(DeError::custom("neither a plate nor a value that wears")),
        }
    }
}

/// A type whose values are stored as words.
pub(super) trait Word: Copy + 'static {
    /// Every value.
    const ALL: &'static [Self];

    /// How it is stored.
    fn stored(self) -> &'static str;
}

impl Word for Verdict {
    const ALL: &'static [Verdict] = &[Verdict::Inside, Verdict::TooCloseToCall, Verdict::Outside];

    fn stored(self) -> &'static str {
        match self {
            Verdict::Inside => "inside",
            Verdict::TooCloseToCall => "too close to call",
            Verdict::Outside => "outside",
        }
    }
}

impl Word for Keying {
    const ALL: &'static [Keying] = &[Keying::Gear, Keying::Case];

    fn stored(self) -> &'static str {
        match self {
            Keying::Gear => "gear",
            Keying::Case => "case",
        }
    }
}

impl Word for Held {
    const ALL: &'static [Held] = &[Held::Case, Held::Output];

    fn stored(self) -> &'static str {
        match self {
            Held::Case => "case",
            Held::Output => "output",
        }
    }
}

impl Word for Side {
    const ALL: &'static [Side] = &Side::BOTH;

    fn stored(self) -> &'static str {
        self.word()
    }
}

/// The stored word of what may be absent: empty where it is.
pub(super) fn stored<T: Word>(value: Option<T>) -> &'static str {
    value.map_or("", T::stored)
}

/// A value as its word, for `#[serde(with = "word")]`.
pub(super) mod word {
    use super::{Deserialize, Deserializer, Serializer, Word, maybe_word};

    pub fn serialize<T: Word, S: Serializer>(value: &T, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(value.stored())
    }

    pub fn deserialize<'de, T: Word, D: Deserializer<'de>>(deserializer: D) -> Result<T, D::Error> {
        maybe_word::named(&String::deserialize(deserializer)?)
    }
}

/// A value that may be absent as its word, empty where it is, for `#[serde(with = "maybe_word")]`.
pub(super) mod maybe_word {
    use super::{Deserialize, Deserializer, Serializer, Word, stored};

    pub(super) fn named<T: Word, E: super::DeError>(word: &str) -> Result<T, E> {
        let found = T::ALL.iter().find(|one| one.stored() == word);
        found
            .copied()
            .ok_or_else(|| E::custom(format_args!("no word that is known: {word}")))
    }

    pub fn serialize<T: Word, S: Serializer>(value: &Option<T>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(stored(*value))
    }

    pub fn deserialize<'de, T: Word, D: Deserializer<'de>>(deserializer: D) -> Result<Option<T>, D::Error> {
        match String::deserialize(deserializer)?.as_str() {
            "" => Ok(None),
            word => named(word).map(Some),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::history::{Account, BreakawayAccount, PlateAccount};

    #[test]
    fn the_words_that_are_kept_are_those_that_always_were() {
        let account = Account {
            plates: vec![PlateAccount {
                keyed: Keying::Case,
                side_found: Some(Side::Right),
                verdict: Some(Verdict::TooCloseToCall),
                ..PlateAccount::default()
            }],
            breakaway: BreakawayAccount {
                held: Some(Held::Output),
                ..BreakawayAccount::default()
            },
            ..Account::default()
        };
        let line = account.to_json().unwrap();
        for kept in [
            r#""keyed":"case""#,
            r#""side_found":"right""#,
            r#""side_left":"""#,
            r#""verdict":"too close to call""#,
            r#""held":"output","proved":"""#,
        ] {
            assert!(line.contains(kept), "{kept} is missing in {line}");
        }
        assert_eq!(Account::from_json(&line).unwrap(), account);
        let other = line.replace(r#""keyed":"case""#, r#""keyed":"wall""#);
        let error = Account::from_json(&other).unwrap_err().to_string();
        assert!(error.contains("no word that is known: wall"), "{error}");
    }

    #[test]
    fn what_wears_is_kept_by_its_words() {
        for (what, words) in [
            (Wearing::Plate("the G2".into()), r#""plate the G2""#),
            (Wearing::Value("preload left".into()), r#""the preload left""#),
        ] {
            assert_eq!(serde_json::to_string(&what).unwrap(), words);
            assert_eq!(serde_json::from_str::<Wearing>(words).unwrap(), what);
        }
        assert!(serde_json::from_str::<Wearing>(r#""G2""#).is_err());
    }
}
