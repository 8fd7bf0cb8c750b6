use super::ask::StepKind;
use crate::quantity::{Dimension, Torque};

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
    /// The language that it is written in, such as `en` or `pt-br`.
    pub language: String,
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
    /// A torque that a tighten step gives itself, where it is not one of the unit's bolt groups.
    pub torque: Option<Torque>,
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
    /// Every chain: left and right for a per-side unit, once for a through unit.
    Chain,
    /// Every spring.
    Spring,
    /// Every plate whose verdict is too close to call.
    Doubtful,
    /// Every layer of both packs.
    Layer,
    /// Every part that is laid into the case, in the order in which a hand can do it.
    Part,
    /// Every bolt group.
    Bolts,
    /// Both directions, first movement and steady turning.
    Way,
}

macro_rules! fields {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $each:expr, $answer:expr;)*) => {
        /// A quantity of the record that a step can fill in.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
        pub enum Field { $($(#[$doc])* $name,)* }

        impl Field {
            /// Every field with its word in procedure files.
            pub const ALL: &[(Field, &str)] = &[$((Field::$name, $word),)*];

            /// For each of what it is asked.
            pub fn each(self) -> Option<Each> {
                match self { $(Field::$name => $each,)* }
            }

            /// What an answer is.
            pub fn kind(self) -> Kind {
                match self { $(Field::$name => $answer,)* }
            }
        }
    };
}

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

fields! {
    /// Who does the work.
    BuiltBy = "built-by", None, Kind::Name;
    /// The car.
    Car = "car", None, Kind::Text;
    /// Why the unit is opened.
    Reason = "reason", None, Kind::Text;
    /// Distance since the last build.
    Distance = "distance", None, Kind::Quantity(Dimension::Distance);
    /// How the unit is held for the breakaway as received.
    FoundHeld = "found-held", None, Kind::Word;
    /// Breakaway as received.
    FoundBreakaway = "found-breakaway", None, Kind::Quantity(Dimension::Torque);
    /// Oil as received.
    FoundOil = "found-oil", None, Kind::Text;
    /// Debris as received.
    FoundDebris = "found-debris", None, Kind::Text;
    /// Noise and play as received.
    FoundNoise = "found-noise", None, Kind::Text;
    /// Whether the unit was put together anew, by an old record that is typed in.
    Rebuilt = "rebuilt", None, Kind::Word;
    /// The breakaway as left, by such a record.
    LeftBreakaway = "left-breakaway", None, Kind::Quantity(Dimension::Torque);
    /// The order of a pack as found.
    FoundOrder = "found-order", Some(Each::Side), Kind::Order;
    /// Which micrometer measures the plates.
    Micrometer = "micrometer", None, Kind::Word;
    /// What the micrometer shows on its standard, less the standard.
    MicrometerZero = "micrometer-zero", None, Kind::Quantity(Dimension::Length);
    /// Which gauge measures depths and gaps.
    DepthGauge = "depth-gauge", None, Kind::Word;
    /// What the depth gauge shows on its standard, less the standard.
    DepthGaugeZero = "depth-gauge-zero", None, Kind::Quantity(Dimension::Length);
    /// How a plate looks.
    PlateLook = "plate-look", Some(Each::Plate), Kind::Word;
    /// Thickness of a plate.
    PlateThickness = "plate-thickness", Some(Each::Plate), Kind::Quantity(Dimension::Length);
    /// How far a plate is out of flat.
    PlateFlatness = "plate-flatness", Some(Each::Plate), Kind::Quantity(Dimension::Length);
    /// Thickness of a spare plate.
    SpareThickness = "spare-thickness", Some(Each::Spare), Kind::Quantity(Dimension::Length);
    /// How far a spare plate is out of flat.
    SpareFlatness = "spare-flatness", Some(Each::Spare), Kind::Quantity(Dimension::Length);
    /// How a spring looks.
    SpringLook = "spring-look", Some(Each::Spring), Kind::Word;
    /// Free height of a spring.
    SpringHeight = "spring-height", Some(Each::Spring), Kind::Quantity(Dimension::Length);
    /// Height of a pressure ring.
    RingHeight = "ring-height", Some(Each::Side), Kind::Quantity(Dimension::Length);
    /// Depth of the case.
    CaseDepth = "case-depth", Some(Each::Chain), Kind::Quantity(Dimension::Length);
    /// Height of a pack of plates, pressed together.
    PressedHeight = "pressed-height", Some(Each::Side), Kind::Quantity(Dimension::Length);
    /// Thickness of a doubtful plate, measured again.
    Remeasured = "remeasured", Some(Each::Doubtful), Kind::Quantity(Dimension::Length);
    /// What becomes of a plate that stays too close to call.
    Fate = "fate", Some(Each::Doubtful), Kind::Word;
    /// The choice of plates and shims.
    Choice = "choice", None, Kind::Choice;
    /// Gap, or installed height of the springs, at the dry build.
    DryClosing = "dry-closing", Some(Each::Chain), Kind::Quantity(Dimension::Length);
    /// What to do where the dry build differs from the prediction.
    DryDecision = "dry-decision", None, Kind::Word;
    /// A layer of a pack is in: shims and plates only, as procedures of version 0.1.0 have it.
    LayerIn = "layer-in", Some(Each::Layer), Kind::Done;
    /// A part is in: shims, springs, plates and rings, in the order in which a hand can lay them in.
    LaidIn = "laid-in", Some(Each::Part), Kind::Done;
    /// Which torque wrench tightens and proves.
    Wrench = "wrench", None, Kind::Word;
    /// Length of an extension in line with the wrench; 0 where there is none.
    WrenchExtension = "wrench-extension", None, Kind::Quantity(Dimension::Length);
    /// A bolt group is brought to a stage.
    Tightened = "tightened", Some(Each::Bolts), Kind::Done;
    /// How the unit is held for the proof.
    Held = "held", None, Kind::Word;
    /// The output that the wrench turns.
    Turned = "turned", None, Kind::Word;
    /// With one output held the drag of all that turns with the case, with the case held that of each output.
    Drag = "drag", None, Kind::Quantity(Dimension::Torque);
    /// What turns the whole axle with both wheels free: the drag of all that turns with the case.
    DrivelineDrag = "driveline-drag", None, Kind::Quantity(Dimension::Torque);
    /// A breakaway reading.
    Breakaway = "breakaway", Some(Each::Way), Kind::Quantity(Dimension::Torque);
    /// What to do after the proof.
    ProofDecision = "proof-decision", None, Kind::Word;
    /// The oil that was filled in.
    Oil = "oil", None, Kind::Text;
    /// How much oil.
    OilAmount = "oil-amount", None, Kind::Quantity(Dimension::Volume);
    /// Who built it, under the review.
    SignedBuilt = "signed-built", None, Kind::Name;
    /// Who checked it.
    SignedChecked = "signed-checked", None, Kind::Name;
}

impl Field {
    /// The word for it in procedure files.
    pub fn word(self) -> &'static str {
        Field::ALL
            .iter()
            .find(|(field, _)| *field == self)
            .map_or("", |(_, word)| word)
    }
}

impl Field {
    /// The words that answer it, where these are always the same.
    pub(super) fn fixed_words(self) -> &'static [&'static str] {
        match self {
            Field::PlateLook => &["good", "glazed", "burnt", "torn", "cracked"],
            Field::SpringLook => &["good", "turned", "pitted", "cracked", "broken"],
            Field::Fate => &["keep", "reject"],
            Field::DryDecision => &["choose", "accept"],
            Field::Held | Field::FoundHeld => &["case", "output"],
            Field::Turned => &["left", "right"],
            Field::Rebuilt => &["yes", "no"],
            Field::ProofDecision => &["accept", "again"],
            _ => &[],
        }
    }
}

pub(super) const CONDITIONS: &[(Condition, &str)] = &[
    (Condition::SpringLoaded, "spring-loaded"),
    (Condition::Clearance, "clearance"),
    (Condition::Through, "through"),
    (Condition::PerSide, "per-side"),
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
            Each::Doubtful => "plate too close to call",
            Each::Layer => "layer of both packs",
            Each::Part => "part that is laid in",
            Each::Way => "ramp that works, first movement and turning",
            Each::Chain => "depth of the case",
            _ => word_of(self, EACH),
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
