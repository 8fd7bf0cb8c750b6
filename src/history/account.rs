//! What one build says of its unit, in figures.

use super::doubts::Doubt;
use super::measure::{InstrumentRole, chain, maybe_word, place, sprung, word};
use super::own_answers::OwnAnswer;
use crate::mechanics::{Held, Keying, Side};
use crate::metrology::Verdict;
use crate::quantity::{Distance, Duration, Force, Length, Ratio, Torque, Volume};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeSet;

/// What one build says about its unit, in figures: what `wear`, `between` and a list of units rest on.
///
/// It follows from the build's entries and is never the record itself: one that was kept may be thrown away and made
/// again. As JSON it is one object, each key with its unit of measure in its name: lengths in micrometres, forces in
/// newtons, torques in newton metres. What was not asked, not answered or can not be worked out is `null`.
///
/// ```
/// use shimwright::quantity::Distance;
/// use shimwright::history::Account;
/// let account = Account { build: "moor-rear-0001".into(), distance: Distance::from_kilometres(1840.0).ok(), ..Account::default() };
/// let line = account.to_json()?;
/// assert!(line.contains("\"distance_km\":1840.0"));
/// assert_eq!(Account::from_json(&line)?, account);
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Account {
    /// The build's name in the book.
    pub build: String,
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub unit_name: String,
    /// The car as it was typed, else as the unit file has it; empty where neither says.
    pub car: String,
    /// Why the unit was opened; empty where it was not asked.
    pub reason: String,
    /// The shop's number of the job; empty where none was given.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub job_number: String,
    /// For whom it was done; empty where that was not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub customer: String,
    /// By which day it was promised, as `2027-03-31`; empty where that was not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub promised: String,
    /// Who did the work; empty while not said.
    pub by: String,
    /// Who signed as the second person; empty while nobody has.
    pub checked_by: String,
    /// The procedure's id.
    pub procedure: String,
    /// The procedure's title.
    pub procedure_title: String,
    /// Whether it is a copy of an old paper: nothing was measured then with this program.
    pub copied: bool,
    /// When it was begun, as RFC 3339 text.
    pub begun: String,
    /// When it was finished; `None` while it is not.
    pub finished: Option<String>,
    /// How many questions have an answer.
    pub answered: usize,
    /// The round that the figures as left are of, from 1.
    pub round: u32,
    /// What is still open, in words.
    pub open: Vec<String>,
    /// What is wrong with the journal, in words; filled in by who reads it.
    pub problems: Vec<String>,
    /// What a newer program wrote of it, in words; filled in by who reads it. The figures are what can be read here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub newer: Vec<String>,
    /// Why it was put away; `None` where it was not, and counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voided: Option<String>,
    /// What it waits for, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waiting: Vec<String>,
    /// The digest of the journal, as hex.
    pub digest: String,
    /// How far the car went since the unit was last built.
    #[serde(rename = "distance_km")]
    pub distance: Option<Distance>,
    /// How long the unit ran since it was last built, where the procedure asks for it.
    #[serde(rename = "running_h")]
    pub running: Option<Duration>,
    /// Whether one depth spans both packs.
    pub through: bool,
    /// Left, then right.
    pub packs: Vec<PackAccount>,
    /// Gap, or room for the springs, of each chain.
    pub closings: Vec<GapAccount>,
    /// The springs.
    pub springs: Vec<SpringAccount>,
    /// The force on each pack that the unit file wants: least, target, most; `None` for a unit that is set to a gap.
    #[serde(rename = "preload_wanted_n")]
    pub preload_wanted: Option<[Force; 3]>,
    /// The gap that the unit file wants: least, target, most; `None` for a unit with preload.
    #[serde(rename = "gap_wanted_um", deserialize_with = "written")]
    pub gap_wanted: Option<[Length; 3]>,
    /// Standard uncertainty of the preload as left.
    #[serde(rename = "preload_uncertainty_n")]
    pub preload_uncertainty: Option<Force>,
    /// Standard uncertainty of the preload as found.
    #[serde(rename = "preload_found_uncertainty_n")]
    pub preload_found_uncertainty: Option<Force>,
    /// The sources of the doubt of the preload as left.
    #[serde(rename = "preload_doubts_n", default, skip_serializing_if = "Vec::is_empty")]
    pub preload_doubts: Vec<Doubt>,
    /// The same as found.
    #[serde(
        rename = "preload_found_doubts_n",
        default,
        skip_serializing_if = "Vec::is_empty"
    )]
    pub preload_found_doubts: Vec<Doubt>,
    /// Every plate of the unit and its drawer.
    pub plates: Vec<PlateAccount>,
    /// The breakaway.
    pub breakaway: BreakawayAccount,
    /// The instruments that were used.
    pub instruments: Vec<InstrumentAccount>,
    /// The oil that went in; empty while not said.
    pub oil: String,
    /// How much of it.
    #[serde(rename = "oil_l")]
    pub oil_amount: Option<Volume>,
    /// The oil as received, in words; empty where it was not asked.
    pub oil_found: String,
    /// What was answered in words at steps of the procedure that fill in nothing that is known here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<OwnAnswer>,
    /// When the unit is to be looked at next, in words; empty where it was not asked.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub next_look: String,
}

/// One side's pack as found and as left.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PackAccount {
    /// Which one.
    #[serde(with = "word")]
    pub side: Side,
    /// Names of the plates as found, from the case wall to the ring.
    pub plates_found: Vec<String>,
    /// The same as left; `None` while nothing is chosen.
    pub plates_left: Option<Vec<String>>,
    /// Shims as the unit file has them.
    #[serde(rename = "shims_found_um")]
    pub shims_found: Vec<Length>,
    /// Shims as left.
    #[serde(rename = "shims_left_um")]
    pub shims_left: Option<Vec<Length>>,
    /// How many faces rubbed.
    pub faces_found: u32,
    /// How many faces rub as left.
    pub faces_left: Option<u32>,
    /// The spring force on the pack as found.
    #[serde(rename = "preload_found_n")]
    pub preload_found: Option<Force>,
    /// The spring force as left.
    #[serde(rename = "preload_left_n")]
    pub preload_left: Option<Force>,
}

impl Default for PackAccount {
    /// A left pack of which nothing is known.
    fn default() -> PackAccount {
        PackAccount {
            side: Side::Left,
            plates_found: Vec::new(),
            plates_left: None,
            shims_found: Vec::new(),
            shims_left: None,
            faces_found: 0,
            faces_left: None,
            preload_found: None,
            preload_left: None,
        }
    }
}

/// A length with what it is uncertain by.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UncertainLength {
    /// The value.
    #[serde(rename = "value_um")]
    pub value: Length,
    /// Its combined standard uncertainty.
    #[serde(rename = "uncertainty_um")]
    pub uncertainty: Length,
    /// Of that, what all readings of one instrument share, with its sign: it falls out of a difference of two values
    /// by the same instrument. Instrument and standard uncertainty.
    #[serde(rename = "shared_um")]
    pub shared: Vec<(String, Length)>,
    /// Standard uncertainty by the zeros of the instruments, which are read anew for each build and so stay in a difference; it is not in
    /// [`uncertainty`](UncertainLength::uncertainty).
    #[serde(rename = "zeros_um", default, skip_serializing_if = "is_nothing")]
    pub zeros: Length,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands in a reference")]
fn is_nothing(length: &Length) -> bool {
    *length == Length::ZERO
}

impl UncertainLength {
    /// Its standard uncertainty with that of the zeros, in millimetres.
    pub(super) fn with_zeros(&self) -> f64 {
        self.uncertainty.mm().hypot(self.zeros.mm())
    }

    /// Its standard uncertainty without what it shares with other readings of the same instrument, and with that of the
    /// instrument's zero, which was set anew for each build.
    pub(super) fn own(&self, zero: Option<Length>) -> Length {
        let own = self.own_mm().hypot(zero.map_or(0.0, Length::mm));
        Length::from_mm(own).unwrap_or(self.uncertainty)
    }

    /// The same without the zero, in millimetres and not rounded: what is put together again comes back whole.
    pub(super) fn own_mm(&self) -> f64 {
        let square = |one: Length| one.mm() * one.mm();
        let shared: f64 = self.shared.iter().map(|(_, u)| square(*u)).sum();
        (square(self.uncertainty) - shared).max(0.0).sqrt()
    }
}

/// The gap, or the room for the springs, of one chain.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GapAccount {
    /// Whose it is; `None` for the one chain of a through unit.
    #[serde(with = "chain")]
    pub chain: Option<Side>,
    /// Whether springs stand in it: then it is the room for them, else a gap.
    #[serde(rename = "what", with = "sprung")]
    pub sprung: bool,
    /// With the plates and shims as found.
    pub found: Option<UncertainLength>,
    /// As left: measured at the dry build, else as the parts add up.
    pub left: Option<UncertainLength>,
    /// Whether the one as left was measured.
    pub measured: bool,
    /// The verdict on it; `None` where there is none.
    #[serde(with = "maybe_word")]
    pub verdict: Option<Verdict>,
}

/// A spring.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpringAccount {
    /// Behind which pack; `None` for one between the rings.
    #[serde(with = "place")]
    pub place: Option<Side>,
    /// How it looked, look by look: of one that could not stay, the next look is at what was put in its place. Empty
    /// where nobody looked.
    pub looks: Vec<String>,
    /// Whether another spring was put in its place; the free height is of that one.
    pub another: bool,
    /// Its free height.
    pub height: Option<UncertainLength>,
    /// The least free height that the unit file allows.
    #[serde(rename = "least_um")]
    pub least: Option<Length>,
}

impl SpringAccount {
    /// How it looked, and what was done before the next look.
    ///
    /// ```
    /// use shimwright::history::SpringAccount;
    /// let looks = ["cracked", "turned", "good"].map(str::to_string).to_vec();
    /// let spring = SpringAccount { looks, ..SpringAccount::default() };
    /// assert_eq!(spring.seen(), "cracked, another put in: turned, put the right way round: good");
    /// ```
    pub fn seen(&self) -> String {
        let mut words = String::new();
        for (n, look) in self.looks.iter().enumerate() {
            words += look;
            if n + 1 < self.looks.len() {
                words += match look.as_str() {
                    "turned" => ", put the right way round: ",
                    _ => ", another put in: ",
                };
            }
        }
        words
    }
}

/// A plate as it was found, and what became of it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlateAccount {
    /// Its name in the unit's or the drawer's file.
    pub name: String,
    /// What it is called across units: the `part` of its file, else the unit's id, a slash and its name.
    pub part: String,
    /// What it is keyed to.
    #[serde(with = "word")]
    pub keyed: Keying,
    /// Whether it came out of the drawer.
    pub spare: bool,
    /// Its thickness as new, by its file.
    #[serde(rename = "nominal_um")]
    pub nominal: Option<Length>,
    /// The side that it was found in; `None` for a spare.
    #[serde(with = "maybe_word")]
    pub side_found: Option<Side>,
    /// Its place there, from 1 at the case wall.
    pub place_found: Option<u32>,
    /// The side that it was left in; `None` where it was left out.
    #[serde(with = "maybe_word")]
    pub side_left: Option<Side>,
    /// Its place there.
    pub place_left: Option<u32>,
    /// Mean thickness as found.
    pub mean: Option<UncertainLength>,
    /// The least reading.
    #[serde(rename = "least_um")]
    pub least: Option<Length>,
    /// The greatest reading less the least, where there are several.
    #[serde(rename = "spread_um")]
    pub spread: Option<Length>,
    /// Out of flat.
    #[serde(rename = "flatness_um")]
    pub flatness: Option<Length>,
    /// The least thickness that the unit file allows it.
    #[serde(rename = "limit_um")]
    pub limit: Option<Length>,
    /// How it looked: `good`, `glazed`, `burnt`; empty where it was not asked.
    pub look: String,
    /// The verdict on it; `None` while not measured.
    #[serde(with = "maybe_word")]
    pub verdict: Option<Verdict>,
    /// Whether it was thrown out.
    pub rejected: bool,
    /// Why it was thrown out or doubted.
    pub why: String,
}

impl Default for PlateAccount {
    /// A friction plate without a name, of which nothing is known.
    fn default() -> PlateAccount {
        PlateAccount {
            name: String::new(),
            part: String::new(),
            keyed: Keying::Gear,
            spare: false,
            nominal: None,
            side_found: None,
            place_found: None,
            side_left: None,
            place_left: None,
            mean: None,
            least: None,
            spread: None,
            flatness: None,
            limit: None,
            look: String::new(),
            verdict: None,
            rejected: false,
            why: String::new(),
        }
    }
}

/// The breakaway as found and as left, as it would be read in the way of holding that the unit file names.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BreakawayAccount {
    /// The way of holding that all figures here are meant in; `None` where nothing is known of it.
    #[serde(with = "maybe_word")]
    pub held: Option<Held>,
    /// How the unit really was held for the proof; `None` while it was not proved.
    #[serde(with = "maybe_word")]
    pub proved: Option<Held>,
    /// As received, turning steadily.
    #[serde(rename = "found_nm")]
    pub found: Option<Torque>,
    /// Its standard uncertainty, by the wrench.
    #[serde(rename = "found_uncertainty_nm")]
    pub found_uncertainty: Option<Torque>,
    /// The sources of that.
    #[serde(rename = "found_doubts_nm", default, skip_serializing_if = "Vec::is_empty")]
    pub found_doubts: Vec<Doubt>,
    /// As left, at first movement.
    #[serde(rename = "left_still_nm")]
    pub left_still: Option<Torque>,
    /// As left, turning steadily.
    #[serde(rename = "left_nm")]
    pub left: Option<Torque>,
    /// Its standard uncertainty.
    #[serde(rename = "left_uncertainty_nm")]
    pub left_uncertainty: Option<Torque>,
    /// The sources of that.
    #[serde(rename = "left_doubts_nm", default, skip_serializing_if = "Vec::is_empty")]
    pub left_doubts: Vec<Doubt>,
    /// What the unit as left should show, by the friction of the unit file.
    #[serde(rename = "expected_nm")]
    pub expected: Option<Torque>,
    /// What the unit as found should have shown, by the friction of the unit file.
    #[serde(rename = "expected_found_nm")]
    pub expected_found: Option<Torque>,
    /// The least that is wanted.
    #[serde(rename = "least_nm")]
    pub least: Option<Torque>,
    /// The most.
    #[serde(rename = "most_nm")]
    pub most: Option<Torque>,
    /// The verdict on it; `None` while there is no proof.
    #[serde(with = "maybe_word")]
    pub verdict: Option<Verdict>,
    /// The friction that the plates showed while turning, back-solved from the proof.
    pub friction: Option<Ratio>,
    /// The friction of the unit file, turning.
    pub friction_file: Option<Ratio>,
}

impl BreakawayAccount {
    /// The friction that the plates showed as received, turning; `None` where it can not be told.
    pub fn friction_found(&self) -> Option<f64> {
        let share = self.found?.newton_metres() / self.expected_found?.newton_metres();
        Some(share * self.friction_file?.value()).filter(|found| found.is_finite())
    }
}

/// An instrument that was used.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentAccount {
    /// What it was used for.
    #[serde(with = "word")]
    pub role: InstrumentRole,
    /// Its name.
    pub id: String,
    /// The last day of its calibration, as `2027-03-31`.
    pub due: String,
    /// Why it was used out of date; empty where it was not.
    pub overdue: String,
    /// The doubt that the check of its zero leaves in all readings of this build; `None` for a wrench.
    #[serde(rename = "zero_uncertainty_um")]
    pub zero: Option<Length>,
}

impl Account {
    /// Whether the record can be trusted and read to its end.
    pub fn is_whole(&self) -> bool {
        self.problems.is_empty() && self.newer.is_empty()
    }

    /// Whether it says anything of its unit: it is whole and was not voided.
    pub fn counts(&self) -> bool {
        self.is_whole() && self.voided.is_none()
    }

    /// Why it is not whole, in words; empty where it is.
    pub fn not_whole(&self) -> String {
        let newer = self
            .newer
            .iter()
            .map(|words| format!("a newer program made it: {words}"));
        let all: Vec<String> = self.problems.iter().cloned().chain(newer).collect();
        all.join("; ")
    }

    /// The account as one line of JSON, without a newline.
    ///
    /// # Errors
    ///
    /// It can not be written.
    pub fn to_json(&self) -> Result<String, crate::report::ReportError> {
        serde_json::to_string(self).map_err(crate::report::ReportError::of)
    }

    /// Reads an account from a line of JSON.
    ///
    /// # Errors
    ///
    /// A line that is none, such as one of another version.
    pub fn from_json(line: &str) -> Result<Account, crate::report::ReportError> {
        serde_json::from_str(line).map_err(crate::report::ReportError::of)
    }

    /// Whether a line, as [`Account::to_json`] writes it, says nothing of any plate: that of a build that could not be read.
    pub fn is_unread(line: &str) -> bool {
        line.contains("\"plates\":[]")
    }

    /// Whether the build put the unit together anew, so that distances count from it.
    pub fn is_built(&self) -> bool {
        self.packs.iter().any(|pack| pack.plates_left.is_some())
    }

    /// A plate by its name in the files of this build.
    pub fn plate(&self, name: &str) -> Option<&PlateAccount> {
        self.plates.iter().find(|plate| plate.name == name)
    }

    /// The instrument that was used for something.
    pub fn instrument(&self, role: InstrumentRole) -> Option<&InstrumentAccount> {
        self.instruments.iter().find(|one| one.role == role)
    }
}

/// The parts by which plates are known across units: those of some builds that have a part of their own.
///
/// ```
/// use shimwright::history::{Account, Parts, PlateAccount};
/// let with = |part: &str| Account {
///     plates: vec![PlateAccount { part: part.into(), ..PlateAccount::default() }],
///     ..Account::default()
/// };
/// let parts = Parts::of(&[with("P-17"), with("moor/G1")]);
/// assert!(parts.are_in(&with("P-17").to_json()?) && !parts.are_in(&with("moor/G1").to_json()?));
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Parts(BTreeSet<String>);

impl Parts {
    /// The parts of all plates of these builds. A plate without one can not have been elsewhere.
    pub fn of(accounts: &[Account]) -> Parts {
        let plates = accounts.iter().flat_map(|account| &account.plates);
        let parts = plates.map(|plate| &plate.part).filter(|part| !part.contains('/'));
        Parts(parts.map(|part| start_in_quotes(part)).collect())
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether one of them is among others.
    pub fn meet(&self, others: &Parts) -> bool {
        !self.0.is_disjoint(&others.0)
    }

    /// Whether a line, as [`Account::to_json`] writes it, has a plate of one of them. The line is not read for it; a part
    /// with a quotation mark in it stands for all that begin alike.
    pub fn are_in(&self, line: &str) -> bool {
        self.follow(line, "\"part\":\"")
    }

    /// Whether the text of a unit's or a drawer's file names one of them.
    pub fn are_named_in(&self, file: &str) -> bool {
        self.follow(file, "\"")
    }

    fn follow(&self, text: &str, before: &str) -> bool {
        text.split(before).skip(1).any(|rest| {
            let part = rest.split_once('"').map_or(rest, |(part, _)| part);
            self.0.contains(part)
        })
    }
}

/// A text as JSON writes it, up to the first quotation mark inside it.
fn start_in_quotes(text: &str) -> String {
    let quoted = serde_json::Value::from(text).to_string();
    let inside = &quoted[1..];
    inside.split('"').next().unwrap_or_default().to_string()
}

/// Reads what may be nothing but has to be there: a line that an index kept from before the field came is refused, and the
/// build itself is read.
fn written<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<[Length; 3]>, D::Error> {
    Option::deserialize(deserializer)
}

/// A quantity is written as a plain number; its unit of measure stands in the key.
macro_rules! as_number {
    ($($name:ident: $from:path, $get:ident;)*) => {$(
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.$get())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<$name, D::Error> {
                $from(f64::deserialize(deserializer)?).map_err(D::Error::custom)
            }
        }
    )*};
}

fn from_um(um: f64) -> Result<Length, crate::quantity::NotFinite> {
    Length::from_mm(um / 1e3)
}

as_number! {
    Length: from_um, um;
    Force: Force::from_newtons, newtons;
    Torque: Torque::from_newton_metres, newton_metres;
    Ratio: Ratio::new, value;
    Distance: Distance::from_kilometres, kilometres;
    Duration: Duration::from_hours, hours;
    Volume: Volume::from_litres, litres;
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_figure_comes_back_as_it_was_written(nm in -99_999_999_999_i64..99_999_999_999, x in -1e6_f64..1e6, share in 0.0_f64..1.0) {
            let account = Account {
                plates: vec![PlateAccount { least: Some(Length::from_nm(nm)), ..PlateAccount::default() }],
                breakaway: BreakawayAccount { friction: Ratio::new(share).ok(), ..BreakawayAccount::default() },
                preload_uncertainty: Force::from_newtons(x).ok(),
                ..Account::default()
            };
            let back = Account::from_json(&account.to_json().unwrap()).unwrap();
            prop_assert_eq!(back, account);
        }
    }

    #[test]
    fn a_line_of_another_version_is_refused() {
        let line = Account::default().to_json().unwrap();
        assert!(Account::from_json(&line.replacen("\"unit\"", "\"axle\"", 1)).is_err());
        assert!(line.contains("\"gap_wanted_um\":null,"));
        assert!(Account::from_json(&line.replacen("\"gap_wanted_um\":null,", "", 1)).is_err());
        assert!(Account::from_json("").is_err());
    }
}
