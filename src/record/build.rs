//! A build as its sheet shows it, as plain data.

use super::finding::SealLine;
use super::interval::{Interval, ShouldRead};
use super::lock_bands::LockBands;
use super::log_head::Head;
use super::phrase::Spoken;
use super::warm::Warm;
use crate::mechanics::{Direction, RampClass, Side};
use crate::metrology::Verdict;
use crate::quantity::{Force, Length, RampAngle, Ratio, SpringRate, Temperature, Torque, Units, significant};
use std::fmt;

/// One build as it stands: all that the sheet shows, and nothing that it would have to compute.
#[derive(Clone, PartialEq, Debug)]
pub struct Build {
    /// The name in the book, such as `moor-rear-0003`.
    pub id: String,
    /// Which procedure was followed.
    pub procedure: Followed,
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub unit_name: String,
    /// Where it was copied from, where it is of an old paper: nothing was measured then with this program.
    pub copied: Option<Copied>,
    /// What is read off the top of the sheet in ten seconds, where the unit was built.
    pub glance: Option<Glance>,
    /// Short facts for the head of the sheet: car, who, why, distance. A label and a text each.
    pub identity: Vec<(String, String)>,
    /// When it was begun, as RFC 3339 text.
    pub started: String,
    /// When it was finished; `None` while it is not.
    pub finished: Option<String>,
    /// The units of measure that the sheet is printed in.
    pub units: Units,
    /// The setting: class, angles with datum, faces, spring. A label and a text each.
    pub setting: Vec<(String, String)>,
    /// What a setting asked for and what was reached, where the build aimed at one.
    pub asked: Option<SettingOutcome>,
    /// What was found beside what was left.
    pub found_and_left: Vec<FoundAndLeft>,
    /// What changed since the last build of the unit, handed in by who has the book.
    pub since: Option<SinceLast>,
    /// Every plate.
    pub plates: Vec<PlateLine>,
    /// The packs as they were built, left then right; empty while there is no choice.
    pub packs: Vec<Pack>,
    /// Gap or installed spring height, predicted and measured.
    pub closings: Vec<GapLine>,
    /// What warmth does to gap and preload; `None` where that is not told.
    pub warm: Option<Warm>,
    /// What is said instead of it; else empty.
    pub not_warm: String,
    /// What the springs give, where the unit has them.
    pub preload: Option<Preload>,
    /// The lock curve.
    pub curve: Option<Curve>,
    /// The proofs, one a round.
    pub proofs: Vec<ProofRound>,
    /// The bolts.
    pub bolts: Vec<BoltLine>,
    /// Oil and running in: a label and a text each.
    pub oil: Vec<(String, String)>,
    /// Other checks that were made: what, and the answer.
    pub checks: Vec<(String, String)>,
    /// Notes, skips, overrides, corrected answers and rounds that were given up.
    pub remarks: Vec<Remark>,
    /// Cautions with who acknowledged them and when.
    pub cautions: Vec<CautionLine>,
    /// Who signed.
    pub signatures: Vec<Signature>,
    /// What is still open, in words.
    pub open: Vec<String>,
    /// The digest of the record, as hex.
    pub digest: String,
    /// What ties the paper to the record.
    pub on_paper: OnPaper,
}

/// What the top of a sheet says at a glance, besides what the build has of its own: preload, proof, days, open points.
#[derive(Clone, PartialEq, Debug)]
pub struct Glance {
    /// The ramps on drive and on coast.
    pub ramps: [RampAngle; 2],
    /// How many faces rub, left and right.
    pub faces: [u32; 2],
    /// The shims, left and right.
    pub shims: [Vec<Length>; 2],
    /// How the unit is held for what its last proof is told as, which is the way of its file.
    pub held: Option<String>,
    /// The oil that was filled in.
    pub oil: Option<String>,
    /// How far, or how long, it had run since the build before.
    pub distance: Option<String>,
    /// When it is to be looked at next.
    pub next_look: Option<String>,
}

/// Where a build was copied from that is of an old paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Copied {
    /// From a table: its file, lines and the day on which that was done, in words.
    From(String),
    /// It was typed in question by question.
    ByHand,
}

impl Copied {
    /// The same in a sentence.
    ///
    /// ```
    /// use shimwright::record::Copied;
    /// let copied = Copied::From("old.csv, line 2, on 2026-11-28".into());
    /// assert!(copied.words().starts_with("This is a copy of an old paper, taken from old.csv, line 2, on 2026-11-28."));
    /// ```
    pub fn words(&self) -> String {
        let how = match self {
            Copied::From(from) => format!("taken from {from}"),
            Copied::ByHand => "typed in by hand".to_string(),
        };
        format!("This is a copy of an old paper, {how}. Nothing on it was measured with this program.")
    }
}

/// What ties a printed sheet to its record.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct OnPaper {
    /// How many lines of the journal the digest is of.
    pub lines: usize,
    /// Where the book's log stood when the build was finished; nothing where the book had none.
    pub log: Option<Head>,
    /// The figures that matter, by the keys of the code on the sheet.
    pub figures: Vec<(String, String)>,
    /// The seals that hold.
    pub seals: Vec<SealLine>,
}

/// What changed since the last build of the unit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SinceLast {
    /// That build's name.
    pub build: String,
    /// A label and a text each.
    pub lines: Vec<(String, String)>,
}

/// The procedure that a build followed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Followed {
    /// The language in which its questions were put.
    pub spoken: Spoken,
    /// Its id, such as `full-rebuild`.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The digest of its file, as hex.
    pub digest: String,
    /// What its sheet is called, such as `build sheet`.
    pub sheet: String,
    /// Whether plates and shims are chosen in it, so that a unit is built.
    pub builds: bool,
}

/// What a setting asked for, and what was reached.
#[derive(Clone, PartialEq, Debug)]
pub struct SettingOutcome {
    /// Where it comes from: a label and a text each.
    pub from: Vec<(String, String)>,
    /// What was asked for and reached.
    pub rows: Vec<SettingOutcomeRow>,
}

/// One thing that a setting asked for.
#[derive(Clone, PartialEq, Debug)]
pub struct SettingOutcomeRow {
    /// The key for machines, with the unit of measure in it.
    pub key: String,
    /// What, in words.
    pub what: String,
    /// As asked for.
    pub asked: Figure,
    /// As reached; `None` while it is not known.
    pub reached: Option<Figure>,
}

/// A figure of a setting.
#[derive(Clone, PartialEq, Debug)]
pub enum Figure {
    /// A ramp.
    Ramp(RampAngle),
    /// A count.
    Count(u32),
    /// A force.
    Force(Force),
    /// A torque.
    Torque(Torque),
    /// A share.
    Share(Ratio),
    /// Words.
    Words(String),
}

impl Figure {
    /// The figure as it is shown.
    pub fn show(&self, units: Units) -> String {
        match self {
            Figure::Ramp(ramp) if ramp.degrees_from_ring_face() >= 90.0 => "no ramp".to_string(),
            Figure::Ramp(ramp) => format!("{}° from the {}", significant(ramp.degrees(), 3), ramp.datum()),
            Figure::Count(count) => count.to_string(),
            Figure::Force(force) => force.show(units),
            Figure::Torque(torque) => torque.show(units),
            Figure::Share(share) => format!("{:.0} %", share.value() * 100.0),
            Figure::Words(words) => words.clone(),
        }
    }
}

/// A thing as found and as left.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FoundAndLeft {
    /// What.
    pub what: String,
    /// As found.
    pub found: Option<String>,
    /// As left.
    pub left: Option<String>,
}

/// A plate with what was measured on it and what became of it.
#[derive(Clone, PartialEq, Debug)]
pub struct PlateLine {
    /// The plate's name.
    pub name: String,
    /// `friction plate` or `case plate`.
    pub kind: String,
    /// Whether it came out of the drawer.
    pub spare: bool,
    /// The readings, zero error taken off.
    pub readings: Vec<Length>,
    /// Their mean.
    pub mean: Option<Length>,
    /// The standard uncertainty of the mean.
    pub uncertainty: Option<Length>,
    /// The least reading.
    pub least: Option<Length>,
    /// The greatest less the least, where there are several.
    pub spread: Option<Length>,
    /// Out of flat.
    pub flatness: Option<Length>,
    /// The verdict on it; `None` while not measured.
    pub verdict: Option<Verdict>,
    /// Why it was thrown out or doubted; empty where there is nothing to say.
    pub reason: String,
    /// What became of it.
    pub disposition: Disposition,
    /// How it looked: `good`, `glazed`, `burnt`; empty where it was not asked.
    pub look: String,
}

impl PlateLine {
    /// Whether it was rejected.
    pub fn is_rejected(&self) -> bool {
        self.disposition == Disposition::Rejected
    }
}

/// What became of a plate.
///
/// ```
/// use shimwright::mechanics::Side;
/// use shimwright::record::Disposition;
/// assert_eq!(Disposition::Fitted(Side::Left, 3).to_string(), "left 3");
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Disposition {
    /// It lies in a pack, at this place from the case wall, from 1.
    Fitted(Side, usize),
    /// It is good, and lies in no pack.
    Kept,
    /// It was thrown out.
    Rejected,
    /// Nobody measured it.
    NotMeasured,
}

impl fmt::Display for Disposition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Disposition::Fitted(side, place) => write!(f, "{side} {place}"),
            Disposition::Kept => f.write_str("kept"),
            Disposition::Rejected => f.write_str("rejected"),
            Disposition::NotMeasured => f.write_str("not measured"),
        }
    }
}

/// One side's pack in order from the case wall.
#[derive(Clone, PartialEq, Debug)]
pub struct Pack {
    /// Which one.
    pub side: Side,
    /// From the case wall to the pressure ring.
    pub layers: Vec<Layer>,
    /// How many faces rub.
    pub active_faces: u32,
}

/// One thing in a pack.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// Its name; empty for a shim.
    pub name: String,
    /// Its thickness, or the installed height of a spring.
    pub thickness: Length,
}

/// What a layer of a pack is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum LayerKind {
    /// A shim.
    Shim,
    /// A spring at its installed height.
    Spring,
    /// A plate keyed to the side gear.
    GearPlate,
    /// A plate keyed to the case.
    CasePlate,
    /// The pressure ring.
    Ring,
    /// A gap that is left open.
    Gap,
    /// All plates of a pack, pressed together and measured as one.
    Pressed,
}

impl LayerKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            LayerKind::Shim => "shim",
            LayerKind::Spring => "spring",
            LayerKind::GearPlate => "friction plate",
            LayerKind::CasePlate => "case plate",
            LayerKind::Ring => "pressure ring",
            LayerKind::Gap => "gap",
            LayerKind::Pressed => "plates, pressed",
        }
    }
}

/// A gap or an installed height: what was wanted, predicted, measured.
#[derive(Clone, PartialEq, Debug)]
pub struct GapLine {
    /// `left gap`, `installed spring height`.
    pub what: String,
    /// As the chosen parts add up.
    pub predicted: Option<Length>,
    /// The standard uncertainty of that.
    pub uncertainty: Option<Length>,
    /// Its sources by name, each a standard uncertainty.
    pub sources: Vec<(String, Length)>,
    /// As measured at the dry build.
    pub measured: Option<Length>,
    /// The least wanted.
    pub least: Option<Length>,
    /// The target.
    pub target: Option<Length>,
    /// The most wanted.
    pub most: Option<Length>,
    /// The verdict on the measured value, or on the predicted one before it.
    pub verdict: Option<Verdict>,
}

/// What the springs give at the installed height.
#[derive(Clone, PartialEq, Debug)]
pub struct Preload {
    /// The installed height of one spring stack.
    pub height: Length,
    /// The force on each pack.
    pub force: Force,
    /// The standard uncertainty of what was measured for it, by propagation; the springs themselves may be off by more.
    pub uncertainty: Option<Force>,
    /// Its 95 % interval by propagation; `None` in a record of an edition that did not know how far springs may be off.
    pub interval: Option<Interval<Force>>,
    /// By simulation: the 95 % interval and how likely it is inside the window.
    pub simulated: Option<Simulated<Force>>,
    /// The rate there, per height lost.
    pub rate: SpringRate,
    /// Breakaway that this force gives by the method of the proof, with the friction of the unit file; `None` where the packs
    /// wedge so.
    pub breakaway: Option<Torque>,
    /// Its standard uncertainty by propagation, the doubt about the friction with it.
    pub breakaway_uncertainty: Option<Torque>,
    /// Its 95 % interval by propagation, likewise.
    pub breakaway_interval: Option<Interval<Torque>>,
    /// The same by simulation.
    pub breakaway_simulated: Option<Simulated<Torque>>,
    /// What the intervals take for granted, in words.
    pub assumed: Vec<String>,
    /// What each tenth of a millimetre of wear on a pack costs: force on the pack, and breakaway.
    pub loss_by_wear: Option<(Force, Torque)>,
    /// Traps met, in words.
    pub traps: Vec<String>,
}

/// What a simulation says of a quantity.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Simulated<Q> {
    /// The lower end of the 95 % interval.
    pub low: Q,
    /// The upper end.
    pub high: Q,
    /// The share of draws inside the window.
    pub inside: f64,
    /// How many draws there were.
    pub draws: usize,
}

/// The torque difference that the unit holds, over the torque at the case.
#[derive(Clone, PartialEq, Debug)]
pub struct Curve {
    /// Case torque, difference on drive, difference on coast.
    pub points: Vec<(Torque, Torque, Torque)>,
    /// The locking share on drive; of unequal packs the one of the side that locks less.
    pub drive_share: Ratio,
    /// The locking share on coast, likewise.
    pub coast_share: Ratio,
    /// Between what it lies; `None` in a record of an edition that knew no intervals.
    pub bands: Option<LockBands>,
    /// What is not counted in it, in words; empty where nothing is known to be missing.
    pub not_counted: String,
    /// Where the packs differ: the shares with the left, and with the right wheel as the slower one, on drive and on coast, in
    /// words; else empty.
    pub uneven: String,
    /// By its ramps.
    pub class: RampClass,
}

/// One round of proof at the bench.
#[derive(Clone, PartialEq, Debug)]
pub struct ProofRound {
    /// The round, from 1.
    pub round: u32,
    /// How the unit was held, in words.
    pub method: String,
    /// By how much its mean may be off and by what, in words; empty where that is not known.
    pub doubt: String,
    /// How warm the oil was; `None` where nobody said.
    pub oil_at: Option<Temperature>,
    /// The readings.
    pub readings: Vec<BreakawayLine>,
    /// The mean of first movement.
    pub still: Option<Torque>,
    /// The mean of steady turning.
    pub turning: Option<Torque>,
    /// The window.
    pub window: (Torque, Torque),
    /// The verdict; `None` while there is none.
    pub verdict: Option<Verdict>,
    /// The friction that the plates show.
    pub friction: Option<Ratio>,
    /// What it should have read, of a unit that was not opened; `None` where that is not known.
    pub should_read: Option<ShouldRead>,
    /// What would bring it in.
    pub advice: Vec<String>,
}

/// One breakaway reading.
#[derive(Clone, PartialEq, Debug)]
pub struct BreakawayLine {
    /// Which position, from 1.
    pub position: u32,
    /// Which ramp worked.
    pub ramp: Direction,
    /// Whether it is first movement, else steady turning.
    pub first_movement: bool,
    /// What the wrench showed.
    pub read: Torque,
    /// As it stands against the window: extension, drag and way of holding taken into account; `None` where the packs wedge in
    /// the one or the other way, and nothing can be read so.
    pub reckoned: Option<Torque>,
}

/// A bolt group as it was tightened.
#[derive(Clone, PartialEq, Debug)]
pub struct BoltLine {
    /// The group.
    pub group: String,
    /// Size, class and count in words.
    pub what: String,
    /// The stages in words, such as `40 N·m`, `75 N·m`, `90°`.
    pub stages: Vec<String>,
    /// What the wrench was set to at the last torque stage, where an extension was on it.
    pub setting: Option<Torque>,
    /// The wrench.
    pub wrench: String,
    /// Who did it and when; empty while it is not done.
    pub by: String,
}

/// Something that the reader of the sheet must know.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remark {
    /// What it is.
    pub kind: RemarkKind,
    /// Where: the step in words.
    pub place: String,
    /// The words.
    pub text: String,
    /// Who.
    pub by: String,
    /// When, as RFC 3339 text.
    pub at: String,
}

/// What a remark on the sheet is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RemarkKind {
    /// A note at a question.
    Note,
    /// A question that was left out, with its reason.
    Skipped,
    /// An answer that goes against what the program says.
    Override,
    /// A look that stopped the way, was put right, and looked at again.
    PutRight,
    /// A choice that was made anew after the dry build.
    ChosenAgain,
    /// A clock that was set back.
    Clock,
    /// Another answer, while the build went on.
    Corrected,
    /// Another answer, once it was finished.
    CorrectedWhenFinished,
    /// Another answer, once somebody had signed.
    CorrectedAfterSigning,
}

impl RemarkKind {
    /// The word for it on the sheet.
    pub fn word(self) -> &'static str {
        match self {
            RemarkKind::Note => "note",
            RemarkKind::Skipped => "skipped",
            RemarkKind::Override => "override",
            RemarkKind::PutRight => "put right",
            RemarkKind::ChosenAgain => "chosen again",
            RemarkKind::Clock => "clock",
            RemarkKind::Corrected => "corrected",
            RemarkKind::CorrectedWhenFinished => "corrected when finished",
            RemarkKind::CorrectedAfterSigning => "corrected after signing",
        }
    }
}

/// A caution that was acknowledged.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CautionLine {
    /// The words, one paragraph an element.
    pub words: Vec<String>,
    /// Who acknowledged it; empty while nobody has.
    pub by: String,
    /// When, as RFC 3339 text.
    pub at: String,
}

/// A name under the sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Signature {
    /// What it is signed as.
    pub role: Role,
    /// The name.
    pub name: String,
    /// When, as RFC 3339 text.
    pub at: String,
}

/// What a name under the sheet was signed as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Role {
    /// Who put the unit together.
    BuiltBy,
    /// Who did a job that builds nothing.
    DoneBy,
    /// Who looked it over.
    CheckedBy,
    /// The name that stands on an old paper.
    NameOnPaper,
    /// Who copied an old paper, or a book, by hand.
    CopiedBy,
    /// Who held the copy against the paper.
    ComparedBy,
}

impl Role {
    /// The words before the name.
    pub fn words(self) -> &'static str {
        match self {
            Role::BuiltBy => "built by",
            Role::DoneBy => "done by",
            Role::CheckedBy => "checked by",
            Role::NameOnPaper => "name on the paper",
            Role::CopiedBy => "copied by",
            Role::ComparedBy => "compared with the paper by",
        }
    }
}
