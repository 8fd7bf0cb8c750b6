//! A question as a front-end gets it.

use crate::record::Slot;
use crate::record::phrase::Spoken;

/// One question: everything that a front-end needs to put it to a person.
#[derive(Clone, PartialEq, Debug)]
pub struct Ask {
    /// Where the answer goes.
    pub slot: Slot,
    /// Which step of the procedure this is, counted from 1 among those that are known to come before anything is answered; one step
    /// may ask of many plates, and one that comes up by an answer counts for the step before it.
    pub number: usize,
    /// How many there are: the same from the first question to the last.
    pub of: usize,
    /// The title of the stage, such as `Measure`.
    pub stage: String,
    /// What kind of step it is.
    pub kind: StepKind,
    /// What to do, one paragraph an element.
    pub words: Vec<String>,
    /// With what.
    pub tools: Vec<String>,
    /// The limits that the answer will be held against, one a line.
    pub limits: Vec<String>,
    /// A table to look at before answering.
    pub table: Option<Table>,
    /// A drawing in lines of text, such as the pack in its order.
    pub drawing: Vec<String>,
    /// The words right before the answer: `Plate G3, reading 2 of 3`.
    pub prompt: String,
    /// What is wanted.
    pub expects: Expects,
    /// What stood here before the question was opened again, where an empty line keeps it: the word of the way, or the
    /// text.
    pub before: Option<String>,
    /// Whether the answer guards a life or the build: it is typed in full, by hand, and there is no default.
    pub guarded: bool,
    /// Why it is asked.
    pub why: Why,
    /// Whether the question may be skipped with a reason.
    pub may_skip: bool,
    /// Whether the question came after version 0.1.0, so that an answers file from before does not have it.
    pub later: bool,
    /// Whether it has been asked in an earlier round, too, and is asked anew because the unit is opened again.
    pub again: bool,
    /// Whether it is put whole even where the one before had the same words or drawing, as a card of a drill is.
    pub alone: bool,
    /// Whether this is practice on a unit that does not exist.
    pub practice: bool,
    /// The plates as they lie, where it is one of the questions that a row a plate answers.
    pub rail: Option<Rail>,
    /// Words of the trade that it uses and that can be looked up; the engine leaves this to who puts the question.
    pub terms: Vec<String>,
    /// The language in which it is put.
    pub spoken: Spoken,
}

/// What kind of step a question belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum StepKind {
    /// Something that can hurt: the way stops until it is acknowledged.
    Caution,
    /// Something to do.
    Do,
    /// Something to look at.
    Look,
    /// Something to measure.
    Measure,
    /// Something to decide.
    Decide,
    /// Bolts to tighten.
    Tighten,
    /// The proof at the bench.
    Prove,
    /// A name to sign with.
    Sign,
}

impl StepKind {
    /// Every kind with the word for it in files and on screens.
    pub const ALL: [(StepKind, &'static str); 8] = [
        (StepKind::Caution, "caution"),
        (StepKind::Do, "do"),
        (StepKind::Look, "look"),
        (StepKind::Measure, "measure"),
        (StepKind::Decide, "decide"),
        (StepKind::Tighten, "tighten"),
        (StepKind::Prove, "prove"),
        (StepKind::Sign, "sign"),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        StepKind::ALL
            .iter()
            .find(|(kind, _)| *kind == self)
            .map_or("", |(_, word)| word)
    }
}

/// What a question wants for an answer.
#[derive(Clone, PartialEq, Debug)]
pub enum Expects {
    /// The typed word `yes`: a caution is acknowledged on purpose, never by a bare Enter.
    Acknowledge,
    /// That it is done; Enter is enough.
    Done,
    /// Yes or no.
    YesNo,
    /// Words; may be left empty where `optional`.
    Text {
        /// Whether nothing is an answer.
        optional: bool,
    },
    /// A quantity; a bare number takes `unit`.
    Quantity {
        /// The unit of a bare number.
        unit: &'static str,
        /// A value that fits, to show how it is written.
        example: String,
    },
    /// A line that answers several questions at once, typed in full: how many parts lie in a pack, what each stage of a
    /// group of bolts came to.
    Line {
        /// What is to be typed.
        wanted: String,
    },
    /// One of some words.
    OneOf(Vec<AnswerOption>),
    /// One of some words, or a line that starts with one of some verbs, such as `swap A1 A4`.
    OneOfOrLine {
        /// The words that stand for themselves.
        ways: Vec<AnswerOption>,
        /// How a line may look, one a line.
        lines: Vec<String>,
    },
    /// Several names, in order, with spaces or commas between them.
    Names(Vec<String>),
}

/// One of the answers that may be chosen.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct AnswerOption {
    /// What is typed.
    pub key: String,
    /// What it means.
    pub words: String,
}

impl AnswerOption {
    pub(super) fn new(key: &str, words: impl Into<String>) -> AnswerOption {
        AnswerOption {
            key: key.to_string(),
            words: words.into(),
        }
    }
}

/// The reason for a question, for the apprentice.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Why {
    /// Plain words.
    pub reason: String,
    /// The formula, and the formula with the numbers put in, one a line.
    pub formula: Vec<String>,
}

/// A small table as plain text.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Table {
    /// The heads of the columns.
    pub head: Vec<String>,
    /// The rows.
    pub rows: Vec<Vec<String>>,
}

/// What comes back from a person.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reply {
    /// The answer as it was typed.
    Answer(String),
    /// A row of the rail as it was typed.
    Row(String),
    /// Ask for plates a row at a time, or one question at a time.
    ByRows(bool),
    /// Open the last answer again.
    Back,
    /// Open so many of the last answers again.
    BackBy(u32),
    /// Show all readings so far.
    Show,
    /// Put an earlier answer right, by its name; nothing lists the names.
    Fix(String),
    /// Somebody else works from here on.
    Who(String),
    /// Show the unit in section, with the part marked that is asked for.
    Picture,
    /// Say why this is asked.
    Why,
    /// A note for the record.
    Note(String),
    /// Stop here and go on another time.
    Pause,
    /// Leave the question out, for a reason.
    Skip(String),
    /// What the instrument shows on the part that is asked for; in practice only.
    Take,
    /// What is to be seen there; in practice only.
    Look,
    /// The next rung of the ladder of hints; in practice only.
    Hint,
    /// What a word of the trade means.
    Words(String),
}

/// Something to tell a person after an answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Feedback {
    /// How it is meant.
    pub tone: Tone,
    /// The words.
    pub words: String,
}

impl Feedback {
    pub(super) fn new(tone: Tone, words: impl Into<String>) -> Feedback {
        Feedback {
            tone,
            words: words.into(),
        }
    }
}

/// How something is meant; front-ends may colour it, and the words say it too.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Tone {
    /// As it should be.
    Good,
    /// Neither.
    Plain,
    /// Look at it again.
    Doubt,
    /// Outside a limit, or refused.
    Bad,
    /// A line of a drawing, which stands as it is.
    Drawn,
}

/// Why an answer was not taken. It is no error: the same question is asked again.
#[derive(Clone, PartialEq, Debug)]
pub struct Refusal {
    /// What was wrong, and what to write.
    pub words: String,
    /// Whether the answer is odd but possible: then `sure` after it takes it as it stands.
    pub sure: bool,
    /// Whether an odd answer comes with what was likely meant, which `yes` takes.
    pub suggests: bool,
}

/// The plates as they lie, for a front-end that takes a row a plate.
#[derive(Clone, PartialEq, Debug)]
pub struct Rail {
    /// A row a plate, left then right, as they were found.
    pub rows: Vec<RailRow>,
    /// The row of the plate in hand.
    pub hand: usize,
    /// The place of the plate in hand that a bare reading goes to, such as `C5, reading 3`.
    pub next: String,
    /// Whether that place is a reading: a bare number fills it.
    pub takes_reading: bool,
    /// How many readings each plate has; 0 where the thickness is not asked here.
    pub points: u32,
    /// Whether flatness is asked here.
    pub flatness: bool,
    /// The words that a look may be; none where looks are not asked here.
    pub looks: Vec<String>,
    /// Instrument and limits, in one sentence or two.
    pub limits: String,
    /// What is missing, in words; empty where nothing is.
    pub missing: String,
    /// The rows that the last line changed.
    pub changed: Vec<usize>,
    /// Whether a row is wanted; else the questions are put one at a time.
    pub by_rows: bool,
}

/// What is known of one plate.
#[derive(Clone, PartialEq, Debug)]
pub struct RailRow {
    /// The side on which it lay, in a word; empty where nobody knows.
    pub side: &'static str,
    /// Its name.
    pub name: String,
    /// Its readings as they were given, without their unit.
    pub readings: Vec<Option<String>>,
    /// How far it is out of flat.
    pub flatness: Option<String>,
    /// How it looks.
    pub look: Option<String>,
    /// What it came to so far, in one word.
    pub came_to: String,
    /// Whether something of it is still wanted.
    pub missing: bool,
}
