//! A step as its table in a procedure file says it.

use super::ask::StepKind;
use super::check::check_conditions;
use super::definition::{
    BURIED, CONDITIONS, EACH, FIRST, GUARDS, Guard, HAZARDS, Kind, PLAIN, Plain, SHOWS, Step,
};
use super::field::Field;
use crate::choice::First;
use crate::document::{Letters, Section, Spelling};
use crate::quantity::Torque;

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

/// Reads a step that is written out; `strict` as for [`Procedure::read`](super::Procedure::read).
pub(super) fn read_step(section: &Section<'_>, strict: bool) -> Option<Step> {
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
    let first = read_first(section, fills);
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
    let scale = section.texts("scale").into_iter().map(|(step, _)| step).collect();
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
        first,
        torque,
        scale,
    })
}

/// What comes first among proposals, which only a choice has.
pub(super) fn read_first(section: &Section<'_>, fills: Option<Field>) -> Option<First> {
    if fills.map(Field::kind) == Some(Kind::Choice) {
        return section.word_maybe("first", FIRST);
    }
    section.not_here(
        "first",
        "sense",
        "only a choice has proposals that can be put in an order",
    );
    None
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
pub(super) fn read_ways(section: &Section<'_>, fills: Option<Field>) -> Vec<String> {
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
