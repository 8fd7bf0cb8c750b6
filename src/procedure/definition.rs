//! What a procedure is made of.

use super::ask::StepKind;
use super::field::Field;
use crate::choice::First;
use crate::quantity::{Dimension, Torque};
use crate::record::phrase::Spoken;

/// A procedure: stages of steps, read from a TOML file.
#[derive(Clone, PartialEq, Debug)]
pub struct Procedure {
    /// Its id, such as `full-rebuild`.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it is for, in a sentence or two.
    pub purpose: String,
    /// What its sheet is called, such as `build sheet`.
    pub sheet: String,
    /// The language that it is written in, such as `en` or `pt-br`, and whether that is an unreviewed translation.
    pub spoken: Spoken,
    /// Whether it is of a drive day of a car, and of no unit on the bench.
    pub drive_day: bool,
    /// What a unit must be for this procedure to make sense on it.
    pub only: Vec<Condition>,
    /// Its stages in order.
    pub stages: Vec<Stage>,
}

/// A stage: steps that belong together.
#[derive(Clone, PartialEq, Debug)]
pub struct Stage {
    /// Its title.
    pub title: String,
    /// Its steps in order.
    pub steps: Vec<Step>,
}

/// A step.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// Its id, unique in the procedure.
    pub id: String,
    /// What kind of step it is.
    pub kind: StepKind,
    /// What to do, one paragraph an element.
    pub words: Vec<String>,
    /// Why.
    pub why: String,
    /// With what.
    pub tools: Vec<String>,
    /// What the answer fills in.
    pub fills: Option<Field>,
    /// What must have been filled in before.
    pub needs: Vec<Field>,
    /// Asked once for each of these.
    pub each: Option<Each>,
    /// How many readings are taken.
    pub points: u32,
    /// Asked only where all of these hold for the unit.
    pub only: Vec<Condition>,
    /// Asked anew in each round that opens the unit again, with the answer of before as a proposal.
    pub again: bool,
    /// Whether the step came after version 0.1.0: an answers file of before does not have it.
    pub later: bool,
    /// The only words that the answer may be, where the field knows more; empty for all of them.
    pub ways: Vec<String>,
    /// Whether it may be skipped with a reason.
    pub skip: bool,
    /// How it is answered, where it fills nothing in.
    pub answer: Plain,
    /// Whether the answer guards a life or the build, and how.
    pub guard: Option<Guard>,
    /// What of the unit is shown with the question.
    pub shows: Option<Shows>,
    /// A look at each of these parts as soon as it lies in the case, before the next one covers it.
    pub before_buried: Option<Buried>,
    /// What can hurt in this step.
    pub hazards: Vec<Hazard>,
    /// What this caution covers.
    pub covers: Vec<Hazard>,
    /// What comes first among the proposals of a choice; absent in what was written before proposals could be put in another
    /// order than by fewest shims.
    pub first: Option<First>,
    /// A torque that a tighten step gives itself, where it is not one of the unit's bolt groups.
    pub torque: Option<Torque>,
    /// Words for the five steps of what is felt, of a drive day.
    pub scale: Vec<String>,
}

/// How a step that fills nothing in is answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Plain {
    /// It is done.
    Done,
    /// Yes or no; a no is an open point.
    YesNo,
    /// Words.
    Text,
}

/// Parts that nobody sees again once the next one is laid in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Buried {
    /// The pressure rings.
    Rings,
    /// The preload springs.
    Springs,
}

impl Buried {
    /// For each of what such a look is asked.
    pub(super) fn each(self) -> Each {
        match self {
            Buried::Rings => Each::Side,
            Buried::Springs => Each::Spring,
        }
    }
}

/// How an answer guards a life or the build: there is no default, and it is typed in full.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Guard {
    /// What is not as it should be becomes an open point.
    Typed,
    /// A no stops the way: it is put right, and looked at again until it is a yes.
    Stops,
}

/// What of the unit a question shows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shows {
    /// The ramps that the rings must have, drive and coast.
    Ramps,
    /// The shims that should lie in the pack of this side as it was last closed.
    Shims,
}

/// What a unit must be for a step to be asked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Condition {
    /// The unit has preload springs.
    SpringLoaded,
    /// The unit is set to a clearance.
    Clearance,
    /// One depth spans both packs.
    Through,
    /// Each pack has its own depth.
    PerSide,
    /// Some of its bolts are never used twice.
    NewBolts,
    /// The unit file says what its gears may have of play.
    Gears,
    /// Its springs are coils, several in a place.
    Coils,
}

/// What can hurt.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Hazard {
    /// The car is lifted or stands on stands.
    Lifting,
    /// Bolts are brought to a torque.
    Torque,
    /// A spring pushes against the cover.
    Spring,
    /// Hot oil, hot parts.
    Heat,
    /// Cleaning fluid.
    Solvent,
    /// A heavy part.
    Weight,
    /// Driven wheels or shafts that turn.
    Running,
}

/// What a step is asked once for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Each {
    /// Every plate in the unit.
    Plate,
    /// Every spare plate in the drawer.
    Spare,
    /// Left and right.
    Side,
    /// Left and right, as the packs come out of the case.
    Opened,
    /// Every chain: left and right for a per-side unit, once for a through unit.
    Chain,
    /// Every spring.
    Spring,
    /// Every plate whose verdict is too close to call.
    Doubtful,
    /// Every plate whose verdict stays so after a second measurement.
    StillDoubtful,
    /// Every layer of both packs.
    Layer,
    /// Every part that is laid into the case, in the order in which a hand can do it.
    Part,
    /// Every bolt group.
    Bolts,
    /// Both directions, first movement and steady turning.
    Way,
    /// End float of each side gear, and the backlash between gears and pinions.
    Play,
}

/// The backlash between side gears and pinions, as one of [`PLAYS`].
pub(super) const BACKLASH: &str = "backlash";
/// What is asked of the play of the gears.
pub(super) const PLAYS: [&str; 3] = ["left end float", "right end float", BACKLASH];

/// What the answer to a field is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Words.
    Text,
    /// A quantity.
    Quantity(Dimension),
    /// One of some words that the engine knows.
    Word,
    /// An order of plates.
    Order,
    /// The choice of plates and shims.
    Choice,
    /// That it is done.
    Done,
    /// A name to sign with.
    Name,
}

pub(super) const CONDITIONS: &[(Condition, &str)] = &[
    (Condition::SpringLoaded, "spring-loaded"),
    (Condition::Clearance, "clearance"),
    (Condition::Through, "through"),
    (Condition::PerSide, "per-side"),
    (Condition::NewBolts, "new-bolts"),
    (Condition::Gears, "gears"),
    (Condition::Coils, "coils"),
];

/// The words for what may come first among proposals.
pub(super) const FIRST: &[(First, &str)] = &[
    (First::Fewest, "fewest"),
    (First::Closest, "closest"),
    (First::Surest, "surest"),
    (First::Reuse, "reuse"),
    (First::LeastChange, "least-change"),
];

impl Condition {
    /// The word for it in procedure files.
    pub fn word(self) -> &'static str {
        word_of(self, CONDITIONS)
    }
}

impl Guard {
    /// The word for it in procedure files.
    pub fn word(self) -> &'static str {
        word_of(self, GUARDS)
    }
}

impl Hazard {
    /// The word for it in procedure files.
    pub fn word(self) -> &'static str {
        word_of(self, HAZARDS)
    }
}

impl Each {
    /// What a step is asked once for, in a word.
    pub fn word(self) -> &'static str {
        match self {
            Each::Doubtful | Each::StillDoubtful => "plate too close to call",
            Each::Layer => "layer of both packs",
            Each::Part => "part that is laid in",
            Each::Way => "ramp that works, first movement and turning",
            Each::Chain => "depth of the case",
            Each::Play => "play of the gears",
            Each::Opened => Each::Side.word(),
            Each::Plate | Each::Spare | Each::Side | Each::Spring | Each::Bolts => word_of(self, EACH),
        }
    }
}

fn word_of<T: Copy + PartialEq>(value: T, words: &[(T, &'static str)]) -> &'static str {
    words
        .iter()
        .find(|(known, _)| *known == value)
        .map_or("", |(_, word)| *word)
}

pub(super) const HAZARDS: &[(Hazard, &str)] = &[
    (Hazard::Lifting, "lifting"),
    (Hazard::Torque, "torque"),
    (Hazard::Spring, "spring"),
    (Hazard::Heat, "heat"),
    (Hazard::Solvent, "solvent"),
    (Hazard::Weight, "weight"),
    (Hazard::Running, "running"),
];

pub(super) const EACH: &[(Each, &str)] = &[
    (Each::Plate, "plate"),
    (Each::Spare, "spare"),
    (Each::Side, "side"),
    (Each::Chain, "chain"),
    (Each::Spring, "spring"),
    (Each::Bolts, "bolts"),
];

pub(super) const PLAIN: &[(Plain, &str)] = &[
    (Plain::Done, "done"),
    (Plain::YesNo, "yes-no"),
    (Plain::Text, "text"),
];

pub(super) const BURIED: &[(Buried, &str)] = &[(Buried::Rings, "rings"), (Buried::Springs, "springs")];

pub(super) const GUARDS: &[(Guard, &str)] = &[(Guard::Typed, "typed"), (Guard::Stops, "stops")];

pub(super) const SHOWS: &[(Shows, &str)] = &[(Shows::Ramps, "ramps"), (Shows::Shims, "shims")];

impl Procedure {
    /// Every step with its stage, in order.
    pub fn steps(&self) -> impl Iterator<Item = (&Stage, &Step)> {
        self.stages
            .iter()
            .flat_map(|stage| stage.steps.iter().map(move |step| (stage, step)))
    }

    /// The step of an id.
    pub fn step(&self, id: &str) -> Option<(&Stage, &Step)> {
        self.steps().find(|(_, step)| step.id == id)
    }
}
