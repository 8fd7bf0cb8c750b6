//! A procedure as its file says it, read and checked.

use super::ask::StepKind;
use super::check::{Check, check_conditions};
use super::definition::{
    BURIED, CONDITIONS, EACH, GUARDS, Guard, HAZARDS, PLAIN, Plain, Procedure, SHOWS, Stage, Step,
};
use super::field::Field;
use crate::document::{Document, Faults, Letters, Section, Shape, Spelling};
use crate::quantity::Torque;

/// The most steps that a procedure may have.
const MOST_STEPS: usize = 500;

/// A language by its letters, as RFC 5646 has them, small.
static LANGUAGE: Spelling = Spelling {
    name: "language",
    says: "write it by its letters, small: en, de, pt-br",
    rule: "sense",
    letters: Letters::Id,
    length: 2..=35,
    example: "de",
};

/// Whether the words that give a hazard away can be looked for.
fn is_english(language: &str) -> bool {
    language == "en" || language.starts_with("en-")
}

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
        Document::read(file, source, |top| Procedure::read_top(top, strict))
    }

    /// What the reader of procedures asks for.
    pub fn shape() -> Shape {
        Shape::of(|top| Procedure::read_top(top, true))
    }

    /// Reads it from the top of its document; `strict` as for [`Procedure::read`].
    fn read_top(top: &Section<'_>, strict: bool) -> Option<Procedure> {
        top.format(FORMAT);
        let id = top.text("id");
        let title = top.text("title");
        let purpose = top.text("purpose");
        let sheet = top.text_maybe("sheet");
        let language = top
            .spelt_maybe("language", &LANGUAGE)
            .unwrap_or_else(|| "en".to_string());
        let only = top.words("only", CONDITIONS);
        check_conditions(top, &only);
        let mut check = Check::new(strict, &only, is_english(&language));
        let mut stages = Vec::new();
        let wanted = "a procedure needs at least one [[stage]] with a [[stage.step]]";
        for stage in top.sections_some("stage", "missing-key", wanted) {
            let title = stage.text("title");
            let mut steps = Vec::new();
            let wanted = "a stage needs at least one [[stage.step]]";
            for section in stage.sections_some("step", "empty-stage", wanted) {
                let step = read_step(&section, strict);
                section.finish();
                if let Some(step) = step {
                    check.step(&section, &step);
                    steps.push(step);
                }
            }
            stage.finish();
            if let Some(title) = title {
                stages.push(Stage { title, steps });
            }
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
            language,
            only,
            stages,
        })
    }
}

/// The first line of a procedure file.
const FORMAT: &str = "shimwright procedure 1";

/// The id of a step.
static STEP_ID: Spelling = Spelling {
    name: "id",
    says: "small letters, digits and - only",
    rule: "not-an-id",
    letters: Letters::Id,
    length: 1..=usize::MAX,
    example: "step",
};

fn paragraphs(text: &str) -> Vec<String> {
    text.split("\n\n")
        .map(|paragraph| paragraph.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|paragraph| !paragraph.is_empty())
        .collect()
}

fn read_step(section: &Section<'_>, strict: bool) -> Option<Step> {
    let id = section.spelt("id", &STEP_ID);
    let kind = section.word("kind", &StepKind::ALL);
    let words = section.text("words");
    let why = section.text("why");
    let tools = section.texts("tools").into_iter().map(|(tool, _)| tool).collect();
    let fills = section.word_maybe("fills", &Field::words());
    let needs = section.words("needs", &Field::words());
    // a field says itself for each of what it is asked, and how it is answered
    let before_buried = match fills {
        None => section.word_maybe("before_buried", BURIED),
        Some(_) => {
            let said = "a look at what is about to be buried fills nothing in";
            section.not_here("before_buried", "sense", said);
            None
        }
    };
    let each = match (fills, before_buried) {
        (None, None) => section.word_maybe("each", EACH),
        (None, Some(buried)) => {
            let said = "\"before_buried\" already says for each of what it is asked";
            section.not_here("each", "each-twice", said);
            Some(buried.each())
        }
        (Some(fills), _) => {
            let said = format!("\"{}\" already says for each of what it is asked", fills.word());
            section.not_here("each", "each-twice", said);
            fills.each()
        }
    };
    let points = section.count_maybe("points", 1..13).unwrap_or(1);
    let only = section.words("only", CONDITIONS);
    check_conditions(section, &only);
    let again = section.flag_maybe("again").unwrap_or(false);
    let later = section.flag_maybe("later").unwrap_or(false);
    let ways = read_ways(section, fills);
    let skip = section.flag_maybe("skip").unwrap_or(false);
    let answer = match fills {
        None => section.word_maybe("answer", PLAIN),
        Some(_) => {
            let said = "a step that fills something in is answered by that; leave \"answer\" out";
            section.not_here("answer", "answered-twice", said);
            None
        }
    };
    let guard = read_guard(section, fills);
    let shows = section.word_maybe("shows", SHOWS);
    let hazards = section.words("hazards", HAZARDS);
    let covers = match kind {
        None | Some(StepKind::Caution) => section.words("covers", HAZARDS),
        Some(_) => {
            // what a build was begun with may have it where it says nothing
            let says = strict || !section.words("covers", HAZARDS).is_empty();
            if says {
                section.not_here(
                    "covers",
                    "covers-without-caution",
                    "only a caution covers a hazard",
                );
            }
            Vec::new()
        }
    };
    let torque = section.quantity_maybe_where::<Torque>("torque", "more than 0 N·m");
    Some(Step {
        id: id?,
        kind: kind?,
        words: paragraphs(&words?),
        why: paragraphs(&why?).join(" "),
        tools,
        fills,
        needs,
        each,
        points,
        only,
        again,
        later,
        ways,
        skip,
        answer: answer.unwrap_or(Plain::Done),
        guard,
        shows,
        before_buried,
        hazards,
        covers,
        torque,
    })
}

/// How the answer guards something: only one that is one of fixed words can be held to be typed in full.
fn read_guard(section: &Section<'_>, fills: Option<Field>) -> Option<Guard> {
    match fills {
        None => section.word_maybe("guard", GUARDS),
        Some(field) if !field.fixed_words().is_empty() => section.word_maybe("guard", &GUARDS[..1]),
        Some(_) => {
            let said = "only a look that is answered with yes or no, or by fixed words, can guard something";
            section.not_here("guard", "guard-without-look", said);
            None
        }
    }
}

/// The words that an answer is held to, each of which its field must know.
fn read_ways(section: &Section<'_>, fills: Option<Field>) -> Vec<String> {
    let known: Vec<(&str, &str)> = fills
        .map_or(&[][..], Field::fixed_words)
        .iter()
        .map(|word| (*word, *word))
        .collect();
    if known.is_empty() {
        let said = "only a question that is answered by fixed words can be held to some of them";
        section.not_here("ways", "sense", said);
        return Vec::new();
    }
    section
        .words("ways", &known)
        .into_iter()
        .map(str::to_string)
        .collect()
}
