//! The entries of a journal, one a line.

use super::driven::{DrawnOrder, DrivenBuild};
use super::log_head::Headed;
use super::slot::Slot;
use crate::quantity::Units;
use crate::workshop::DrawerPart;
use serde::{Deserialize, Serialize};

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
        /// Digest of what the last build left, where the job starts from it and not from the unit file.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        found: Option<String>,
        /// How bare numbers were read and values shown.
        units: UnitsName,
        /// What made the unit up, where this is practice and no record of a real one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        practice: Option<GeneratedFrom>,
        /// What tells it from every other build, 16 hexadecimal digits; older programs gave none.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
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
        /// Whether it was asked again because it looked odd, and confirmed.
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
        /// By which edition of the mechanics its figures were reckoned then: [`MODEL`] of that day; 1 where it is not said.
        #[serde(default = "first_model", skip_serializing_if = "is_first_model")]
        model: u32,
        /// Where the book's log stood just before; nothing where the book had none.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        log: Option<Headed>,
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
    /// Parts came into the drawer after the build was begun.
    PartAdded {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// The parts as they stand in a drawer's file: `[[shim]]` and `[[spare]]` without the line of its format.
        rows: String,
    },
    /// A part that is listed in the drawer is not there: nobody has to measure it.
    PartStruck {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which.
        part: DrawerPart,
        /// Why.
        reason: String,
    },
    /// An earlier answer of a build that is not finished was put right. What rests on it lapses: which answers these are
    /// stands here, so that no later rule changes an old record.
    Amended {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Which question.
        slot: Slot,
        /// The line of the journal that has the answer which is put right, counted from 1.
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
        /// The questions whose answers lapse and are asked again.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        lapsed: Vec<Slot>,
    },
    /// The build waits for parts.
    Waiting {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// What it waits for, in words, as the list is from now on; none: it waits no longer.
        parts: Vec<String>,
    },
    /// The build was put away: it is kept, and counts for nothing.
    Voided {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
    /// In practice a hint was asked for, which has its price.
    Hinted {
        /// When.
        at: String,
        /// By whom.
        by: String,
        /// At which question.
        slot: Slot,
        /// Of which of the hidden faults, from 1.
        fault: u32,
        /// Which rung of the ladder, from 1.
        rung: u32,
    },
    /// A drive day was begun: the folder is no build.
    DayBegun {
        /// When, as RFC 3339 text.
        at: String,
        /// The version of the program.
        program: String,
        /// What tells it from every other day: 16 hexadecimal digits.
        id: String,
        /// Digest of the car's file.
        car: String,
        /// Digest of the procedure file.
        procedure: String,
        /// How bare numbers were read and values shown.
        units: UnitsName,
    },
}

/// The edition of the mechanics by which figures are reckoned. 1 forgot that with the case held the ramps work, and took the
/// whole of a drag off a reading that has half of it; 2 did not count by how much springs, zeros and radii may be off, so its
/// intervals are narrower, and its values are those of 3; 3 did not know what room and free height share that one gauge has read, nor
/// what discs lose that lie in each other, and its values are those of 4.
pub const MODEL: u32 = 4;

fn first_model() -> u32 {
    1
}

fn is_first_model(model: &u32) -> bool {
    *model == first_model()
}

fn is_false(flag: &bool) -> bool {
    !*flag
}

/// What a unit for practice was drawn from. The same numbers make the same unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GeneratedFrom {
    /// How hard it is, 1 to 4.
    pub level: u32,
    /// Which of the units of that level.
    pub seed: u64,
    /// By which edition of the draw: 1, where it is not said, knew fourteen kinds of faults and asked for no diagnosis; 2 has a
    /// complaint, a diagnosis, and all kinds of [`FaultKind`](super::diagnosis::FaultKind).
    #[serde(default = "first_model", skip_serializing_if = "is_first_model")]
    pub edition: u32,
}

impl GeneratedFrom {
    /// The newest edition of the draw.
    pub const EDITION: u32 = 2;

    /// A unit of a level and a seed by the newest edition of the draw.
    pub fn newest(level: u32, seed: u64) -> GeneratedFrom {
        GeneratedFrom {
            level,
            seed,
            edition: GeneratedFrom::EDITION,
        }
    }

    /// Whether its fault is to be named in a diagnosis.
    pub fn has_diagnosis(self) -> bool {
        self.edition >= 2
    }
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
    /// A force in newtons.
    #[serde(rename = "force_newtons")]
    Force(f64),
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
    /// A build that was driven.
    #[serde(rename = "record")]
    Record(DrivenBuild),
    /// A setting's file that was driven, by its digest.
    #[serde(rename = "setting")]
    Setting(String),
    /// Times of laps in whole milliseconds.
    #[serde(rename = "times_ms")]
    Times(Vec<u32>),
    /// A temperature in degrees Celsius.
    #[serde(rename = "temperature_celsius")]
    Temperature(f64),
    /// An order of runs that was drawn.
    #[serde(rename = "order_drawn")]
    Drawn(DrawnOrder),
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

/// An entry that can not be read.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EntryError {
    /// It has a word or a field that is not known here: a newer program wrote it.
    #[error("{what} \"{name}\" is not known here")]
    Newer {
        /// `the kind or word`, `the field`.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// It is none, or could not be written.
    #[error("the entry can not be read: {0}")]
    Unreadable(String),
}

impl EntryError {
    /// Whether a newer program wrote it.
    pub fn is_newer(&self) -> bool {
        matches!(self, EntryError::Newer { .. })
    }

    /// What the reader of JSON found. A name that is one letter off a known one is no newer name, but that one spoilt:
    /// no two names are so alike, and a fault of the disk makes such.
    pub(super) fn of(error: &serde_json::Error) -> EntryError {
        let message = error.to_string();
        let what = [
            ("unknown variant `", "the kind or word"),
            ("unknown field `", "the field"),
        ];
        let found = what.iter().find_map(|(begins, what)| {
            let (name, known) = message.strip_prefix(begins)?.split_once("`, ")?;
            Some((*what, name, known))
        });
        match found {
            Some((what, name, known))
                if !known
                    .split('`')
                    .skip(1)
                    .step_by(2)
                    .any(|known| is_spoilt(name, known)) =>
            {
                EntryError::Newer {
                    what,
                    name: name.to_string(),
                }
            }
            _ => EntryError::Unreadable(message),
        }
    }
}

/// Whether a name is another with one byte changed.
fn is_spoilt(name: &str, known: &str) -> bool {
    let differs = name.bytes().zip(known.bytes()).filter(|(a, b)| a != b).count();
    name.len() == known.len() && differs == 1
}

impl Entry {
    /// The entry that finishes a record at a time, by today's edition of the mechanics. Where the book's log stood is put in by
    /// whoever writes it down.
    pub fn finished(at: String) -> Entry {
        Entry::Finished {
            at,
            model: MODEL,
            log: None,
        }
    }

    /// What tells a build or a drive day from every other, where its first entry says it.
    pub fn id(&self) -> Option<&str> {
        match self {
            Entry::Begun { id, .. } => id.as_deref(),
            Entry::DayBegun { id, .. } => Some(id),
            _ => None,
        }
    }

    /// The files that a build begins with, by name, each with its digest; nothing for any other entry.
    pub fn kept(&self) -> Vec<(&'static str, &str)> {
        match self {
            Entry::Begun {
                unit,
                drawer,
                instruments,
                procedure,
                setting,
                found,
                ..
            } => {
                let always = [
                    ("unit.toml", unit),
                    ("drawer.toml", drawer),
                    ("instruments.toml", instruments),
                    ("procedure.toml", procedure),
                ];
                let setting = setting.iter().map(|digest| ("setting.toml", digest));
                let found = found.iter().map(|digest| ("found.toml", digest));
                always
                    .into_iter()
                    .chain(setting)
                    .chain(found)
                    .map(|(name, digest)| (name, digest.as_str()))
                    .collect()
            }
            Entry::DayBegun { car, procedure, .. } => {
                vec![("car.toml", car.as_str()), ("procedure.toml", procedure.as_str())]
            }
            _ => Vec::new(),
        }
    }

    /// The number that its line has in the journal: the lowest whose readers understand it.
    pub fn line_version(&self) -> u32 {
        match self {
            Entry::Begun { .. }
            | Entry::Answered { .. }
            | Entry::Skipped { .. }
            | Entry::Noted { .. }
            | Entry::Reopened { .. }
            | Entry::Finished { .. }
            | Entry::Corrected { .. }
            | Entry::Sealed { .. } => 1,
            Entry::PartAdded { .. }
            | Entry::PartStruck { .. }
            | Entry::Amended { .. }
            | Entry::Waiting { .. }
            | Entry::Voided { .. }
            | Entry::DayBegun { .. } => 2,
            Entry::Hinted { .. } => 3,
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
            | Entry::PartAdded { at, .. }
            | Entry::PartStruck { at, .. }
            | Entry::Amended { at, .. }
            | Entry::Hinted { at, .. }
            | Entry::Waiting { at, .. }
            | Entry::Voided { at, .. }
            | Entry::DayBegun { at, .. }
            | Entry::Finished { at, .. } => at,
            Entry::Sealed { .. } => "",
        }
    }

    /// The entry as one line of JSON.
    ///
    /// # Errors
    ///
    /// [`EntryError`]: what JSON can not hold.
    pub fn to_json(&self) -> Result<String, EntryError> {
        serde_json::to_string(self).map_err(|error| EntryError::Unreadable(error.to_string()))
    }

    /// Reads an entry from JSON.
    ///
    /// # Errors
    ///
    /// [`EntryError::Newer`] for a kind, a word or a field that is not known here; [`EntryError::Unreadable`].
    pub fn from_json(text: &str) -> Result<Entry, EntryError> {
        serde_json::from_str(text).map_err(|error| EntryError::of(&error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::formats::ENTRY_KINDS;
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
    fn what_is_not_known_is_newer_and_what_is_one_letter_off_is_spoilt() {
        for newer in [
            r#"{"kind":"painted","at":"x"}"#,
            r#"{"kind":"finished","at":"x","colour":"red"}"#,
            r#"{"kind":"noted","at":"x","by":"A","slot":{"round":1,"step":"a","hand":"left"},"text":"b"}"#,
            r#"{"kind":"answered","at":"x","by":"A","slot":{"round":1,"step":"a"},"text":"b","value":{"mass_grams":3}}"#,
            r#"{"kind":"begun","at":"x","program":"9","unit":"","procedure":"","drawer":"","instruments":"","units":"cubits"}"#,
        ] {
            let error = Entry::from_json(newer).unwrap_err();
            assert!(error.is_newer(), "{newer}: {error}");
        }
        for spoilt in [
            r#"{"kind":"finithed","at":"x"}"#,
            r#"{"kind":"finished","au":"x"}"#,
            r#"{"kind":"se`led","seal":1}"#,
            r#"{"kind":"sealed","st`tement":"x"}"#,
            r#"{"kind":"finished","at":3}"#,
            r#"{"kind":"finished"}"#,
            r#"{"kjnd":"finished","at":"x"}"#,
            r#"{"kind":"finished","at":"x""#,
            "",
        ] {
            let error = Entry::from_json(spoilt).unwrap_err();
            assert!(!error.is_newer(), "{spoilt}: {error}");
        }
    }

    #[test]
    fn each_kind_comes_back_with_the_line_that_the_table_has_for_it() {
        let (at, by) = ("2026-05-01T10:00:00Z".to_string(), "A".to_string());
        let text = String::new;
        let entries = [
            Entry::Begun {
                at: at.clone(),
                program: text(),
                unit: text(),
                procedure: text(),
                drawer: text(),
                instruments: text(),
                setting: None,
                found: None,
                units: UnitsName::Metric,
                practice: None,
                id: None,
            },
            Entry::Answered {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
                text: text(),
                value: Value::Done,
                insisted: false,
            },
            Entry::Skipped {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
                reason: text(),
            },
            Entry::Noted {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
                text: text(),
            },
            Entry::Reopened {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
            },
            Entry::Finished {
                at: at.clone(),
                model: MODEL,
                log: None,
            },
            Entry::Corrected {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
                line: 3,
                was: text(),
                text: text(),
                value: Value::Done,
                insisted: false,
                reason: text(),
            },
            Entry::Sealed {
                seal: 1,
                statement: text(),
                signature: text(),
            },
            Entry::PartAdded {
                at: at.clone(),
                by: by.clone(),
                rows: "[[shim]]\n".into(),
            },
            Entry::PartStruck {
                at: at.clone(),
                by: by.clone(),
                part: DrawerPart::Shim(250_000),
                reason: text(),
            },
            Entry::Amended {
                at: at.clone(),
                by: by.clone(),
                slot: slot(),
                line: 3,
                was: text(),
                text: text(),
                value: Value::Length(1),
                insisted: true,
                lapsed: vec![slot()],
            },
            Entry::Waiting {
                at: at.clone(),
                by: by.clone(),
                parts: vec!["G4".into()],
            },
            Entry::Voided {
                at: at.clone(),
                by: by.clone(),
                reason: text(),
            },
            Entry::DayBegun {
                at: at.clone(),
                program: text(),
                id: text(),
                car: text(),
                procedure: text(),
                units: UnitsName::Inch,
            },
            Entry::Hinted {
                at,
                by,
                slot: slot(),
                fault: 1,
                rung: 2,
            },
        ];
        for (entry, (kind, line)) in entries.iter().zip(ENTRY_KINDS) {
            let text = entry.to_json().unwrap();
            assert!(text.starts_with(&format!("{{\"kind\":\"{kind}\"")), "{text}");
            assert_eq!(entry.line_version(), line, "{kind}");
            assert_eq!(&Entry::from_json(&text).unwrap(), entry);
        }
        assert_eq!(entries.len(), ENTRY_KINDS.len());
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
