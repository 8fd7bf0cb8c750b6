//! Kinds of measured values, and words of types as they are stored.

use crate::mechanics::{Held, Keying, Side};
use crate::metrology::Verdict;
use serde::de::Error as DeError;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::Value;
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
/// use shimwright::history::{BuiltValue, Wearing};
/// let [plate, torque] = [Wearing::Plate("G2".into()), Wearing::Value(BuiltValue::Breakaway)];
/// assert_eq!([plate.to_string(), torque.to_string()], ["plate G2", "the breakaway"]);
/// assert_eq!([plate.short(), torque.short()], ["G2", "breakaway"]);
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Wearing {
    /// A plate, by its name.
    Plate(String),
    /// What a build sets.
    Value(BuiltValue),
}

/// What a build sets and use changes.
///
/// ```
/// use shimwright::history::BuiltValue;
/// use shimwright::mechanics::Side;
/// assert_eq!(BuiltValue::Preload(Some(Side::Left)).to_string(), "preload left");
/// assert_eq!(BuiltValue::Gap(None).to_string(), "gap");
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BuiltValue {
    /// The breakaway torque.
    Breakaway,
    /// The friction that the plates show.
    Friction,
    /// The force on one pack; `None` where one depth spans both.
    Preload(Option<Side>),
    /// The gap of one pack; `None` for the one of a through unit.
    Gap(Option<Side>),
    /// The room for the springs, likewise.
    Room(Option<Side>),
}

impl BuiltValue {
    /// Every one.
    const ALL: [BuiltValue; 11] = {
        let (left, right) = (Some(Side::Left), Some(Side::Right));
        use BuiltValue::{Breakaway, Friction, Gap, Preload, Room};
        [
            Breakaway,
            Friction,
            Preload(None),
            Preload(left),
            Preload(right),
            Gap(None),
            Gap(left),
            Gap(right),
            Room(None),
            Room(left),
            Room(right),
        ]
    };
}

impl fmt::Display for BuiltValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (what, side) = match self {
            BuiltValue::Breakaway => ("breakaway", None),
            BuiltValue::Friction => ("friction", None),
            BuiltValue::Preload(side) => ("preload", *side),
            BuiltValue::Gap(side) => ("gap", *side),
            BuiltValue::Room(side) => ("room", *side),
        };
        match side {
            Some(side) => write!(f, "{what} {side}"),
            None => f.write_str(what),
        }
    }
}

/// What an instrument is used for in a build.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub enum InstrumentRole {
    /// It reads thicknesses.
    #[default]
    Micrometer,
    /// It reads depths and heights.
    DepthGauge,
    /// It reads breakaway and tightens bolts.
    TorqueWrench,
    /// It reads the force of springs.
    Press,
}

impl fmt::Display for InstrumentRole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.stored())
    }
}

/// What stands before the name of a plate, and before what a build sets.
const PLATE: &str = "plate ";
const VALUE: &str = "the ";

impl Wearing {
    /// Its name alone, for a column whose head or place says the rest.
    pub fn short(&self) -> String {
        match self {
            Wearing::Plate(name) => name.clone(),
            Wearing::Value(what) => what.to_string(),
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
            (None, Some(what)) => BuiltValue::ALL
                .into_iter()
                .find(|value| value.to_string() == what)
                .map(Wearing::Value)
                .ok_or_else(|| DeError::custom("no value that a build sets")),
            (None, None) => Err(DeError::custom("neither a plate nor a value that wears")),
        }
    }
}

/// What JSON has for words that need not be there.
pub(super) fn said(text: &str) -> Value {
    match text {
        "" => Value::Null,
        text => Value::from(text),
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

impl Word for InstrumentRole {
    const ALL: &'static [InstrumentRole] = &[
        InstrumentRole::Micrometer,
        InstrumentRole::DepthGauge,
        InstrumentRole::TorqueWrench,
        InstrumentRole::Press,
    ];

    fn stored(self) -> &'static str {
        match self {
            InstrumentRole::Micrometer => "micrometer",
            InstrumentRole::DepthGauge => "depth gauge",
            InstrumentRole::TorqueWrench => "torque wrench",
            InstrumentRole::Press => "press",
        }
    }
}

/// The one chain of a through unit.
const THROUGH: &str = "through";
/// The place of the springs between the rings.
const MIDDLE: &str = "middle";

/// The word of a chain of lengths: `through` for the one of a through unit.
pub(super) fn chain_word(chain: Option<Side>) -> &'static str {
    chain.map_or(THROUGH, Side::word)
}

/// The word of a spring's place: `middle` for one between the rings.
pub(super) fn place_word(place: Option<Side>) -> &'static str {
    place.map_or(MIDDLE, Side::word)
}

/// A chain as its word, for `#[serde(with = "chain")]`.
pub(super) mod chain {
    use super::{Deserializer, Serializer, Side, THROUGH, chain_word, side_or};

    pub fn serialize<S: Serializer>(value: &Option<Side>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(chain_word(*value))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Side>, D::Error> {
        side_or(THROUGH, deserializer)
    }
}

/// A spring's place as its word, for `#[serde(with = "place")]`.
pub(super) mod place {
    use super::{Deserializer, MIDDLE, Serializer, Side, place_word, side_or};

    pub fn serialize<S: Serializer>(value: &Option<Side>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(place_word(*value))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Side>, D::Error> {
        side_or(MIDDLE, deserializer)
    }
}

fn side_or<'de, D: Deserializer<'de>>(neither: &str, deserializer: D) -> Result<Option<Side>, D::Error> {
    match String::deserialize(deserializer)? {
        word if word == neither => Ok(None),
        word => maybe_word::named(&word).map(Some),
    }
}

/// Whether a chain has springs in it, as its words, for `#[serde(with = "sprung")]`.
pub(super) mod sprung {
    use super::{DeError, Deserialize, Deserializer, Serializer, sprung_words};

    pub fn serialize<S: Serializer>(value: &bool, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(sprung_words(*value))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<bool, D::Error> {
        let words = String::deserialize(deserializer)?;
        let known = [false, true]
            .into_iter()
            .find(|sprung| sprung_words(*sprung) == words);
        known.ok_or_else(|| D::Error::custom("neither a gap nor a room for springs"))
    }
}

/// What is left between parts: a gap, or the room for springs.
pub(super) fn sprung_words(sprung: bool) -> &'static str {
    if sprung { "room for springs" } else { "gap" }
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
            (
                Wearing::Value(BuiltValue::Preload(Some(Side::Left))),
                r#""the preload left""#,
            ),
        ] {
            assert_eq!(serde_json::to_string(&what).unwrap(), words);
            assert_eq!(serde_json::from_str::<Wearing>(words).unwrap(), what);
        }
        assert!(serde_json::from_str::<Wearing>(r#""G2""#).is_err());
        assert!(serde_json::from_str::<Wearing>(r#""the G2""#).is_err());
    }
}
