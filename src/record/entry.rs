use crate::quantity::Units;
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

/// One entry of a build's journal. The build is what its entries add up to.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Entry {
    /// The build was begun.
    Begun {
        /// When, as RFC 3339 text.
        at: String,
        /// The version of the program.
        program: String,
        /// Digest of the unit file.
        unit: String,
        /// Digest of the procedure file.
        procedure: String,
        /// Digest of the drawer's file.
        drawer: String,
        /// Digest of the instruments' file.
        instruments: String,
        /// Digest of the setting's file, where the build aims at one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        setting: Option<String>,
        /// How bare numbers were read and values shown.
        units: UnitsName,
        /// What made the unit up, where this is practice and no record of a real one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        practice: Option<MadeFrom>,
    },
    /// A question was answered.
    Answered {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which question.
        slot: Slot,
        /// As it was typed.
        text: String,
        /// What it was taken for.
        value: Value,
        /// Whether it was asked again because it looked odd, and given again.
        #[serde(default, skip_serializing_if = "is_false")]
        insisted: bool,
    },
    /// A question was left out.
    Skipped {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which question.
        slot: Slot,
        /// Why.
        reason: String,
    },
    /// A note was made at a question.
    Noted {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// At which question.
        slot: Slot,
        /// The words.
        text: String,
    },
    /// The last answer was opened again.
    Reopened {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which question.
        slot: Slot,
    },
    /// The last question was answered.
    Finished {
        /// When.
        at: String,
    },
    /// An answer of a finished build was corrected; what was written down before stays where it is.
    Corrected {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which question.
        slot: Slot,
        /// The line of the journal that has the answer which is corrected, counted from 1.
        line: usize,
        /// That answer, as it was typed.
        was: String,
        /// The right one, as it was typed.
        text: String,
        /// What it was taken for.
        value: Value,
        /// Whether it looked odd and was meant all the same.
        #[serde(default, skip_serializing_if = "is_false")]
        insisted: bool,
        /// Why.
        reason: String,
    },
    /// The record up to here was signed. Name and time stand in the statement that was signed, so that no byte of this
    /// entry goes unchecked.
    Sealed {
        /// Which seal, from 1.
        seal: u32,
        /// Digest of the statement's file.
        statement: String,
        /// Digest of the signature's file.
        signature: String,
    },
}

fn is_false(flag: &bool) -> bool {
    !*flag
}

/// What a unit for practice was drawn from. The same two numbers make the same unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadeFrom {
    /// How hard it is, 1 to 4.
    pub level: u32,
    /// Which of the units of that level.
    pub seed: u64,
}

/// What an answer was taken for, in one fixed unit of measure each.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Value {
    /// It is done, or acknowledged.
    #[serde(rename = "done")]
    Done,
    /// Yes or no.
    #[serde(rename = "yes")]
    Yes(bool),
    /// Words.
    #[serde(rename = "text")]
    Text(String),
    /// One of the words that were offered; with a reason where one was wanted.
    #[serde(rename = "word")]
    Word {
        /// The word.
        word: String,
        /// The reason.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        reason: String,
    },
    /// A length in whole nanometres.
    #[serde(rename = "length_nanometres")]
    Length(i64),
    /// A torque in newton metres.
    #[serde(rename = "torque_newton_metres")]
    Torque(f64),
    /// A distance driven in kilometres.
    #[serde(rename = "distance_kilometres")]
    Distance(f64),
    /// A running time in hours.
    #[serde(rename = "running_hours")]
    Running(f64),
    /// An amount of oil in litres.
    #[serde(rename = "volume_litres")]
    Volume(f64),
    /// Names in order.
    #[serde(rename = "names")]
    Names(Vec<String>),
    /// Plates and shims.
    #[serde(rename = "chosen")]
    Chosen(Chosen),
}

/// The plates and shims that were chosen.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Chosen {
    /// Left, then right.
    pub sides: [ChosenSide; 2],
    /// How it came about: `proposal 1`, or the changes made by hand.
    pub how: String,
    /// Why it was taken although something spoke against it; empty where nothing did.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
}

/// One side of a choice.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChosenSide {
    /// Names of the plates, from the case wall to the ring.
    pub plates: Vec<String>,
    /// Shim thicknesses in whole nanometres.
    pub shims_nanometres: Vec<i64>,
}

/// A system of units by name.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum UnitsName {
    /// Millimetres and newton metres.
    Metric,
    /// Inches and pound-force feet.
    Inch,
}

impl From<Units> for UnitsName {
    fn from(units: Units) -> UnitsName {
        match units {
            Units::Metric => UnitsName::Metric,
            Units::Inch => UnitsName::Inch,
        }
    }
}

impl From<UnitsName> for Units {
    fn from(name: UnitsName) -> Units {
        match name {
            UnitsName::Metric => Units::Metric,
            UnitsName::Inch => Units::Inch,
        }
    }
}

/// An entry that is not one of this version, or could not be written.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("the entry can not be read: {0}")]
pub struct EntryError(String);

impl Entry {
    /// The files that a build begins with, by name, each with its digest; nothing for any other entry.
    pub fn kept(&self) -> Vec<(&'static str, &str)> {
        match self {
            Entry::Begun {
                unit,
                drawer,
                instruments,
                procedure,
                setting,
                ..
            } => {
                let always = [
                    ("unit.toml", unit),
                    ("drawer.toml", drawer),
                    ("instruments.toml", instruments),
                    ("procedure.toml", procedure),
                ];
                let setting = setting.iter().map(|digest| ("setting.toml", digest));
                always
                    .into_iter()
                    .chain(setting)
                    .map(|(name, digest)| (name, digest.as_str()))
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// When it was written, as RFC 3339 text; nothing for a seal, whose time stands in its statement.
    pub fn at(&self) -> &str {
        match self {
            Entry::Begun { at, .. }
            | Entry::Answered { at, .. }
            | Entry::Skipped { at, .. }
            | Entry::Noted { at, .. }
            | Entry::Reopened { at, .. }
            | Entry::Corrected { at, .. }
            | Entry::Finished { at } => at,
            Entry::Sealed { .. } => "",
        }
    }

    /// The entry as one line of JSON.
    pub fn to_json(&self) -> Result<String, EntryError> {
        serde_json::to_string(self).map_err(|error| EntryError(error.to_string()))
    }

    /// Reads an entry from JSON.
    pub fn from_json(text: &str) -> Result<Entry, EntryError> {
        serde_json::from_str(text).map_err(|error| EntryError(error.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn slot() -> Slot {
        Slot {
            round: 1,
            step: "plate-thickness".into(),
            item: Some("G1".into()),
            point: Some(2),
        }
    }

    #[test]
    fn an_entry_says_its_unit_in_the_key() {
        let entry = Entry::Answered {
            at: "2026-05-01T10:00:00+02:00".into(),
            by: "A".into(),
            slot: slot(),
            text: "1.98".into(),
            value: Value::Length(1_980_000),
            insisted: false,
        };
        assert_eq!(
            entry.to_json().unwrap(),
            r#"{"kind":"answered","at":"2026-05-01T10:00:00+02:00","by":"A","slot":{"round":1,"step":"plate-thickness","item":"G1","point":2},"text":"1.98","value":{"length_nanometres":1980000}}"#
        );
    }

    #[test]
    fn an_unknown_entry_is_an_error() {
        assert!(Entry::from_json(r#"{"kind":"painted","at":"x"}"#).is_err());
        assert!(Entry::from_json(r#"{"kind":"finished","at":"x","colour":"red"}"#).is_err());
    }

    proptest! {
        #[test]
        fn torque_comes_back_to_the_last_bit(value in proptest::num::f64::NORMAL, text in ".*") {
            let entry = Entry::Answered {
                at: "t".into(), by: text.clone(), slot: slot(), text, value: Value::Torque(value), insisted: true,
            };
            prop_assert_eq!(Entry::from_json(&entry.to_json().unwrap()).unwrap(), entry);
        }
    }
}
