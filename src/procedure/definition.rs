use super::ask::StepKind;
use super::check::{Check, check_conditions};
use crate::quantity::{Dimension, Torque};
use crate::record::{Document, Faults, Section};

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
    /// The only words that the answer may be, where the field knows more; empty for all of them.
    pub ways: Vec<String>,
    /// Whether it may be skipped with a reason.
    pub skip: bool,
    /// How it is answered, where it fills nothing in.
    pub answer: Plain,
    /// What of the unit is shown with the question.
    pub shows: Option<Shows>,
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

/// What of the unit a question shows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shows {
    /// The ramps that the rings must have, drive and coast.
    Ramps,
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
    /// A layer of a pack is in.
    LayerIn = "layer-in", Some(Each::Layer), Kind::Done;
    /// Which torque wrench tightens and proves.
    Wrench = "wrench", None, Kind::Word;
    /// Length of an extension in line with the wrench; 0 where there is none.
    WrenchExtension = "wrench-extension", None, Kind::Quantity(Dimension::Length);
    /// A bolt group is brought to a stage.
    Tightened = "tightened", Some(Each::Bolts), Kind::Done;
    /// How the unit is held for the proof.
    Held = "held", None, Kind::Word;
    /// The drag of all that turns with the case.
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
            Field::Fate => &["keep", "reject"],
            Field::DryDecision => &["choose", "accept"],
            Field::Held => &["case", "output"],
            Field::Rebuilt => &["yes", "no"],
            Field::ProofDecision => &["accept", "again"],
            _ => &[],
        }
    }
}

const CONDITIONS: &[(Condition, &str)] = &[
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
            Each::Way => "way round, first movement and turning",
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

const HAZARDS: &[(Hazard, &str)] = &[
    (Hazard::Lifting, "lifting"),
    (Hazard::Torque, "torque"),
    (Hazard::Spring, "spring"),
    (Hazard::Heat, "heat"),
    (Hazard::Solvent, "solvent"),
    (Hazard::Weight, "weight"),
    (Hazard::Running, "running"),
];

const EACH: &[(Each, &str)] = &[
    (Each::Plate, "plate"),
    (Each::Spare, "spare"),
    (Each::Side, "side"),
    (Each::Chain, "chain"),
    (Each::Spring, "spring"),
    (Each::Bolts, "bolts"),
];

const PLAIN: &[(Plain, &str)] = &[
    (Plain::Done, "done"),
    (Plain::YesNo, "yes-no"),
    (Plain::Text, "text"),
];

const SHOWS: &[(Shows, &str)] = &[(Shows::Ramps, "ramps")];

/// The most steps that a procedure may have.
const MOST_STEPS: usize = 500;

impl Procedure {
    /// Reads a procedure from TOML text and checks it; gives every fault at once.
    pub fn read(file: &str, source: &str) -> Result<Procedure, Faults> {
        Procedure::read_by(file, source, true)
    }

    /// Reads a procedure that a build in the book was begun with: rules that came later do not close an old record.
    pub fn read_kept(file: &str, source: &str) -> Result<Procedure, Faults> {
        Procedure::read_by(file, source, false)
    }

    fn read_by(file: &str, source: &str, strict: bool) -> Result<Procedure, Faults> {
        Document::read(file, source, |top| {
            let format = top.text("format");
            if format.as_deref().is_some_and(|format| format != FORMAT) {
                top.fault_by(
                    "unknown-format",
                    top.span_of("format"),
                    format!("this file's format is not known here; \"{FORMAT}\" is wanted"),
                );
            }
            let id = top.text("id");
            let title = top.text("title");
            let purpose = top.text("purpose");
            let sheet = top.text_maybe("sheet");
            let only = words_of(top, "only", CONDITIONS);
            check_conditions(top, &only);
            let mut check = Check::new(strict, &only);
            let mut stages = Vec::new();
            for stage in top.sections("stage") {
                let title = stage.text("title");
                let mut steps = Vec::new();
                for section in stage.sections("step") {
                    let step = read_step(&section);
                    section.finish();
                    if let Some(step) = step {
                        check.step(&section, &step);
                        steps.push(step);
                    }
                }
                stage.finish();
                if steps.is_empty() && !stage.has("step") {
                    stage.fault_by(
                        "empty-stage",
                        stage.span(),
                        "a stage needs at least one [[stage.step]]",
                    );
                }
                if let Some(title) = title {
                    stages.push(Stage { title, steps });
                }
            }
            if stages.is_empty() && !top.has("stage") {
                top.fault_by(
                    "missing-key",
                    0..0,
                    "a procedure needs at least one [[stage]] with a [[stage.step]]",
                );
            }
            if check.steps > MOST_STEPS {
                top.fault_by(
                    "too-many-steps",
                    0..0,
                    format!("{} steps are too many; at most {MOST_STEPS}", check.steps),
                );
            }
            top.finish();
            Some(Procedure {
                id: id?,
                title: title?,
                purpose: purpose?,
                sheet: sheet.unwrap_or_else(|| "build sheet".to_string()),
                only,
                stages,
            })
        })
    }

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

/// The first line of a procedure file.
const FORMAT: &str = "shimwright procedure 1";

fn paragraphs(text: &str) -> Vec<String> {
    text.split("\n\n")
        .map(|paragraph| paragraph.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|paragraph| !paragraph.is_empty())
        .collect()
}

fn read_step(section: &Section<'_>) -> Option<Step> {
    let id = section.text("id");
    if let Some(id) = &id
        && !id
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
    {
        section.fault_by(
            "not-an-id",
            section.span_of("id"),
            format!("\"{id}\" is no id: small letters, digits and - only"),
        );
    }
    let kind = section.word("kind", &StepKind::ALL);
    let words = section.text("words");
    let why = section.text("why");
    let tools = section.texts("tools").into_iter().map(|(tool, _)| tool).collect();
    let fills = section.word_maybe("fills", Field::ALL);
    let needs = words_of(section, "needs", Field::ALL);
    let each = section.word_maybe("each", EACH);
    let points = section.count_maybe("points", 1..13).unwrap_or(1);
    let only = words_of(section, "only", CONDITIONS);
    check_conditions(section, &only);
    let ways = read_ways(section, fills);
    let skip = section.flag_maybe("skip").unwrap_or(false);
    let answer = section.word_maybe("answer", PLAIN);
    let shows = section.word_maybe("shows", SHOWS);
    let hazards = words_of(section, "hazards", HAZARDS);
    let covers = words_of(section, "covers", HAZARDS);
    let torque = section.quantity_maybe_where::<Torque>("torque", "more than nothing", |torque| {
        torque.newton_metres() > 0.0
    });
    if fills.is_some() && answer.is_some() {
        section.fault_by(
            "answered-twice",
            section.span_of("answer"),
            "a step that fills something in is answered by that; leave \"answer\" out",
        );
    }
    if let (Some(fills), Some(_)) = (fills, each) {
        section.fault_by(
            "each-twice",
            section.span_of("each"),
            format!("\"{}\" already says for each of what it is asked", fills.word()),
        );
    }
    Some(Step {
        id: id?,
        kind: kind?,
        words: paragraphs(&words?),
        why: paragraphs(&why?).join(" "),
        tools,
        fills,
        needs,
        each: fills.map_or(each, Field::each),
        points,
        only,
        ways,
        skip,
        answer: answer.unwrap_or(Plain::Done),
        shows,
        hazards,
        covers,
        torque,
    })
}

/// The words that an answer is held to, each of which its field must know.
fn read_ways(section: &Section<'_>, fills: Option<Field>) -> Vec<String> {
    let ways = section.texts("ways");
    let known = fills.map_or(&[][..], Field::fixed_words);
    if known.is_empty() && section.has("ways") {
        section.fault_at(
            "ways",
            "only a question that is answered by fixed words can be held to some of them",
        );
        return Vec::new();
    }
    for (way, span) in &ways {
        if !known.contains(&way.as_str()) {
            section.fault_by(
                "unknown-word",
                span.clone(),
                format!("\"{way}\" is no answer here; known are {}", known.join(", ")),
            );
        }
    }
    ways.into_iter().map(|(way, _)| way).collect()
}

fn words_of<T: Copy>(section: &Section<'_>, key: &'static str, words: &[(T, &str)]) -> Vec<T> {
    let mut found = Vec::new();
    for (text, span) in section.texts(key) {
        match words.iter().find(|(_, word)| *word == text) {
            Some((value, _)) => found.push(*value),
            None => {
                let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
                let near = crate::record::nearest(&text, &known)
                    .map(|word| format!("; did you mean \"{word}\"?"))
                    .unwrap_or_else(|| format!("; known are {}", known.join(", ")));
                section.fault_by(
                    "unknown-word",
                    span,
                    format!("\"{text}\" is not known in \"{key}\"{near}"),
                );
            }
        }
    }
    found
}
