//! What a row holds: everything that the engine knows of a question that fills something in.

use super::ask::{AnswerOption, Feedback, Refusal, Table};
use super::choosing::Choosing;
use super::definition::{Each, Step};
use super::derived::Derived;
use super::field::Field;
use super::typed::Read;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::{Distance, Duration, Force, Length, Temperature, Torque, Units, Volume};
use crate::record::form::OpenRows;
use crate::record::phrase::{Phrase, Spoken};
use crate::record::{RemarkKind, Slot, Value};

/// One question. There is no default for any of it: a new question says all of this or does not compile.
pub(super) struct Row {
    /// The word for it in procedure files.
    pub word: &'static str,
    /// For each of what it is asked.
    pub each: Option<Each>,
    /// What must have been filled in for it to make sense, whatever its step says it needs: one of each list.
    pub rests_on: &'static [&'static [Field]],
    /// When it is asked, how often, and for how long an answer holds.
    pub asked: Timing,
    /// The words right before the answer.
    pub prompt: fn(&Here<'_>) -> String,
    /// Limits, tables and drawings that stand beside it.
    pub beside: fn(&Here<'_>) -> Beside,
    /// The formula with its numbers, one a line; nothing where it rests on none.
    pub why: fn(&Here<'_>) -> Vec<String>,
    /// How an answer is read, what is refused and what is odd.
    pub reads: Reads,
    /// What is said once it is answered.
    pub after: fn(&Here<'_>, &Value) -> Vec<Feedback>,
    /// What an answer leaves open, and how one that went against something is told.
    pub against: Against,
    /// What a form has for it.
    pub form: OnForm,
    /// Where the sheet has it.
    pub sheet: OnSheet,
    /// What of a plate it asks for, where it can stand in a row with others of the same plate.
    pub on_rail: Option<OnRail>,
    /// What a made-up unit has for it.
    pub practice: InPractice,
}

/// What a row of the rail has of a plate.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum OnRail {
    /// One of its readings.
    Reading,
    /// How far it is out of flat.
    Flatness,
    /// How it looks.
    Look,
}

/// A question in its place, with all that a row may ask for.
pub(super) struct Here<'a> {
    pub derived: Derived<'a>,
    pub slot: &'a Slot,
    pub step: &'a Step,
    pub choosing: &'a Choosing,
    pub beyond: &'a dyn Beyond,
}

/// What only the plan of the whole build knows.
pub(super) trait Beyond {
    /// The last round that has been begun.
    fn round(&self) -> u32;

    /// Everything that is still open, and one page of what the unit was left with.
    fn review(&self) -> (Vec<String>, Table);
}

impl Here<'_> {
    /// The units in which bare numbers are read and shown.
    pub fn units(&self) -> Units {
        self.derived.state.units
    }

    /// The name of what it is asked for; empty where it is asked once.
    pub fn item(&self) -> &str {
        self.slot.item.as_deref().unwrap_or("")
    }

    /// A phrase in the language of the procedure.
    pub fn say(&self, phrase: Phrase) -> String {
        self.spoken().say(phrase).to_string()
    }

    /// A phrase in the language of the procedure, with what is put into it.
    pub fn fill(&self, phrase: Phrase, values: &[&str]) -> String {
        self.spoken().fill(phrase, values)
    }

    /// The name of what it is asked for; a side in the language of the procedure.
    pub fn item_said(&self) -> &str {
        self.spoken().answer(self.item())
    }

    /// A verdict in the language of the procedure.
    pub fn verdict_said(&self, verdict: Verdict) -> &'static str {
        self.spoken().verdict(verdict)
    }

    pub(super) fn spoken(&self) -> &Spoken {
        &self.derived.job.procedure.spoken
    }

    /// The side that it is asked for.
    pub fn side(&self) -> Option<Side> {
        let item = self.slot.item.as_deref();
        Side::BOTH.into_iter().find(|side| item == Some(side.word()))
    }

    /// Which reading it is, from 1.
    pub fn point(&self) -> u32 {
        self.slot.point.unwrap_or(1)
    }

    /// Whether no further reading of the same thing comes.
    pub fn is_last_point(&self) -> bool {
        self.slot.point.is_none_or(|point| point == self.step.points)
    }
}

/// When a question is asked, how often, and for how long an answer holds.
pub(super) struct Timing {
    /// Whether it is asked at all in a round.
    pub at_all: fn(&Derived<'_>, u32) -> bool,
    /// How often it is asked of one thing.
    pub times: Times,
    /// For how long an answer holds.
    pub holds: Holds,
    /// Which answer ends a round and begins the next one.
    pub ends: Option<Ends>,
    /// The field after which it is asked too late, and why.
    pub too_late_after: Option<(Field, &'static str)>,
    /// Work at the unit that cautions come before or after.
    pub work: Option<Work>,
}

impl Timing {
    /// In each round, as often as its step says.
    pub const EACH_ROUND: Timing = Timing {
        at_all: |_, _| true,
        times: Times::Points,
        holds: Holds::Round,
        ends: None,
        too_late_after: None,
        work: None,
    };

    /// Once for all rounds, where its step does not say otherwise.
    pub const ONCE: Timing = Timing {
        holds: Holds::Build,
        ..Timing::EACH_ROUND
    };
}

/// Work at the unit that cautions come before or after.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Work {
    /// The parts go into the case.
    LaysIn,
    /// The cover is drawn down to a torque that the unit file gives.
    Tightens,
}

/// For how long an answer holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Holds {
    /// For its round: the next one asks again.
    Round,
    /// For the build, where its step does not say otherwise.
    Build,
}

/// An answer that ends a round.
pub(super) struct Ends {
    /// The word that does.
    pub word: &'static str,
    /// Whether the unit was closed and is opened again by it.
    pub opens: bool,
}

/// How often a question is asked of one thing.
pub(super) enum Times {
    /// As its step says: a reading a point.
    Points,
    /// Always numbered: once for each of what a thing has.
    Stages(fn(&Derived<'_>, Option<&str>) -> u32),
    /// Always numbered: once for each of like parts. Whoever leaves the first out is not asked of the others.
    Like(fn(&Derived<'_>) -> u32),
    /// Again and again until it is right: that there is a second time is not known at the first, which has no number.
    UntilRight(fn(&Derived<'_>, Option<&str>) -> u32),
}

/// What stands beside a question.
#[derive(Default)]
pub(super) struct Beside {
    pub limits: Vec<String>,
    pub table: Option<Table>,
    pub drawing: Vec<String>,
}

impl Beside {
    /// Limits only.
    pub fn limits(limits: impl IntoIterator<Item = String>) -> Beside {
        Beside {
            limits: limits.into_iter().collect(),
            ..Beside::default()
        }
    }
}

/// What a length is likely to be.
pub(super) struct Expected {
    pub length: Length,
    /// How far it may be off, as a share, before it is asked again.
    pub share: f64,
    /// By what it is known.
    pub what: String,
}

/// The least that a length can be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum From {
    /// It has a sign.
    Below,
    /// A gap that may be shut.
    Zero,
    /// The same, by leaves: `under 0.02` says that the leaf of 0.02 does not go in.
    Leaf,
    /// A part.
    AboveZero,
    /// The height of a spring under load: below free, not past solid.
    UnderLoad,
    /// The thickness of discs: less than their free height, and less than they are wide.
    OfDiscs,
}

/// How an answer is read.
pub(super) enum Reads {
    /// Words.
    Text {
        refused: fn(&Here<'_>, &str) -> Option<String>,
        odd: fn(&Here<'_>, &str) -> Option<String>,
    },
    /// Words that Enter alone leaves out.
    Optional {
        read: fn(&Here<'_>, &str) -> Result<Read, Refusal>,
        /// What the same Enter leaves out besides.
        with: &'static [Field],
    },
    /// A name to sign with; who gives it is who answers.
    Name {
        refused: fn(&Here<'_>, &str) -> Option<String>,
        odd: fn(&Here<'_>, &str) -> Option<String>,
        /// Whether names of people who worked before are offered; what is signed by is never filled in.
        offered: bool,
    },
    /// That it is done.
    Done { odd: fn(&Here<'_>) -> Option<String> },
    /// One of some words.
    Word {
        /// All of them, where these are always the same.
        fixed: &'static [&'static str],
        /// Those that may be chosen here.
        ways: fn(&Here<'_>) -> Vec<AnswerOption>,
        /// Why a word can not be, where that is so.
        refused: fn(&Here<'_>, &str) -> Option<String>,
        /// Why a word is only taken with a reason, where that is so.
        reason: fn(&Here<'_>, &str) -> Option<String>,
    },
    /// An order of plates.
    Order {
        read: fn(&Here<'_>, &str) -> Result<Read, Refusal>,
    },
    /// The choice of plates and shims.
    Choice {
        ways: fn(&Here<'_>) -> Vec<AnswerOption>,
        read: fn(&Here<'_>, &str) -> Result<Read, Refusal>,
    },
    Length {
        from: From,
        expected: fn(&Here<'_>) -> Option<Expected>,
        odd: fn(&Here<'_>, Length, Option<&Expected>) -> Option<String>,
    },
    Torque {
        odd: fn(&Here<'_>, Torque) -> Option<String>,
    },
    /// What a spring presses with.
    Force {
        odd: fn(&Here<'_>, Force) -> Option<String>,
    },
    /// A distance driven, or the hours of what has no road.
    Distance {
        odd: fn(Distance) -> Option<String>,
        odd_running: fn(Duration) -> Option<String>,
    },
    Volume {
        odd: fn(&Here<'_>, Volume) -> Option<String>,
    },
    /// Of the oil, or of what it is in.
    Temperature {
        odd: fn(&Here<'_>, Temperature) -> Option<String>,
    },
}

/// What an answer leaves open, and how one that went against something is told on the sheet.
pub(super) struct Against {
    /// What it leaves open; the last round comes with it.
    pub open: fn(&Slot, &Value, u32) -> Option<String>,
    /// What kind of remark a word with a reason is.
    pub kind: RemarkKind,
    /// What is told of an answer that looked odd and was confirmed.
    pub insisted: fn(&str) -> String,
}

impl Against {
    /// It leaves nothing open, and what was confirmed or has a reason goes against the program.
    pub const NOTHING: Against = Against {
        open: |_, _, _| None,
        kind: RemarkKind::Override,
        insisted: |text| format!("{text}, confirmed though it looked odd"),
    };
}

/// What a form has for a question.
pub(super) enum OnForm {
    /// A box, or one in a table of boxes.
    Boxes {
        limits: FormLimits,
        /// What stands in the box beside its number.
        caption: fn(&Derived<'_>, &Slot) -> String,
    },
    /// Room with one number for all of it: what nobody can know before the bench.
    Room {
        rows: fn(&Derived<'_>, &Step) -> OpenRows,
        limits: fn(&Derived<'_>) -> Vec<String>,
    },
}

impl OnForm {
    /// A box without more ado.
    pub const BOX: OnForm = OnForm::Boxes {
        limits: FormLimits::Named,
        caption: |_, _| String::new(),
    };
}

/// How the limits of a question stand on a form.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum FormLimits {
    /// With its name, where it shares a table with others.
    Named,
    /// Without: it is what the table is about.
    Bare,
    /// Not at all, in a box of its own: they are only known at the bench.
    AtTheBench,
}

/// Where the sheet has an answer.
pub(super) enum OnSheet {
    /// In tables that are made of several answers.
    InTables,
    /// In a line of its own in the table of found and left.
    AsFound {
        label: &'static str,
        /// What was left instead.
        left: Option<Field>,
    },
    /// In a line of its own beside the oil.
    WithOil { label: &'static str },
}

/// What a made-up unit has for a question.
pub(super) struct InPractice {
    /// What an instrument is put to.
    pub takes: Option<Measurand>,
    /// What there is to see.
    pub sees: Option<Sight>,
}

impl InPractice {
    /// Nothing is measured, and nothing is to be seen that the question does not say.
    pub const NOTHING: InPractice = InPractice {
        takes: None,
        sees: None,
    };
}

/// What an instrument is put to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Measurand {
    /// The micrometer's standard.
    MicrometerStandard,
    /// The depth gauge's standard.
    DepthGaugeStandard,
    /// A plate, with the micrometer.
    PlateThickness,
    /// A plate, with a feeler.
    PlateBow,
    /// A pressure ring, with the micrometer.
    RingHeight,
    /// The case, with the depth gauge.
    CaseDepth,
    /// A spring, with the depth gauge.
    SpringHeight,
    /// A pack that is pressed together, with the depth gauge.
    PressedPack,
    /// What a pack leaves of its chain, with the depth gauge.
    Room,
    /// The breakaway as received, with the wrench.
    BreakawayFound,
    /// The breakaway of what was chosen, with the wrench.
    Breakaway,
    /// What drags beside the packs, with the wrench.
    Drag,
}

/// What there is to see at a question.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sight {
    /// A plate in the hand.
    Plate,
    /// A spring in the hand.
    Spring,
    /// The order in which the plates of a pack lie.
    Order,
    /// The unit as it is held, and the wrench on it.
    Held,
    /// The wrench.
    Wrench,
    /// What the driver says.
    Complaint,
}

/// Puts the rows of a subject into a list, and gives each its name.
macro_rules! rows {
    ($subject:ident: $($(#[$doc:meta])* $name:ident = $row:expr;)+) => {
        rows!(@name $subject, 0; $($(#[$doc])* $name;)+);

        /// The rows of this file in their order.
        pub(super) static ROWS: &[(Field, Row)] = &[$((Field::$name, $row)),+];
    };
    (@name $subject:ident, $place:expr; $(#[$doc:meta])* $name:ident; $($rest:tt)*) => {
        impl Field {
            $(#[$doc])*
            pub const $name: Field = Field::of(Subject::$subject, $place);
        }
        rows!(@name $subject, $place + 1; $($rest)*);
    };
    (@name $subject:ident, $place:expr;) => {};
}

pub(super) use rows;
