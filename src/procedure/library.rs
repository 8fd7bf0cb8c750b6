//! Steps that a procedure takes out of the library, by `use`.

use super::ask::StepKind;
use super::check::check_conditions;
use super::definition::{CONDITIONS, HAZARDS, Hazard, SHOWS, Step};
use super::field::Field;
use super::step_file::{read_first, read_step, read_ways};
use crate::document::{Document, Section};
use crate::workshop::language::Language;
use crate::workshop::library_steps;
use std::sync::OnceLock;

/// What a step of the library says itself: said otherwise it would be another step.
const SAID: [&str; 11] = [
    "id",
    "kind",
    "words",
    "why",
    "fills",
    "answer",
    "guard",
    "before_buried",
    "each",
    "torque",
    "scale",
];

/// When it is asked and with what, which is the procedure's business.
const WHEN: [&str; 12] = [
    "only", "skip", "again", "later", "ways", "shows", "points", "first", "needs", "hazards", "covers",
    "tools",
];

/// The steps of the library; that they can be read is held by a test.
pub(super) fn library() -> &'static [Step] {
    static STEPS: OnceLock<Vec<Step>> = OnceLock::new();
    STEPS.get_or_init(|| read_all(&library_steps()))
}

/// The steps of the library in a language; in English where the language is not carried.
fn library_in(language: &str) -> &'static [Step] {
    static STEPS: OnceLock<Vec<(String, Vec<Step>)>> = OnceLock::new();
    let known = STEPS.get_or_init(|| {
        let read = |language: &Language| (language.code.clone(), read_all(&language.library_steps()));
        Language::stock().iter().map(read).collect()
    });
    let wanted = Language::of(language);
    let found = wanted.and_then(|language| known.iter().find(|(code, _)| *code == language.code));
    found.map_or_else(library, |(_, steps)| steps)
}

fn read_all(source: &str) -> Vec<Step> {
    Document::read("steps.toml", source, |top| {
        let read = |section: Section<'_>| {
            let step = read_step(&section, true);
            section.finish();
            step
        };
        top.sections("step").into_iter().map(read).collect()
    })
    .unwrap_or_default()
}

/// Reads a step that is written out, or takes one out of the library in a language.
pub(super) fn read_or_take(section: &Section<'_>, language: &str) -> Option<Step> {
    let known: Vec<(&'static Step, &str)> = library_in(language)
        .iter()
        .map(|step| (step, step.id.as_str()))
        .collect();
    let base = section.word_maybe("use", &known);
    if !section.has("use") {
        return read_step(section, true);
    }
    let Some(base) = base else {
        section.may_have(&SAID);
        section.may_have(&WHEN);
        return None;
    };
    for key in SAID {
        let said = format!(
            "\"{key}\" of \"{}\" stands in the library; a step that is to be another one has an id of its own in the place of \
             \"use\"",
            base.id
        );
        section.not_here(key, "library-step", said);
    }
    let mut step = base.clone();
    // what is there is taken even where it is empty
    let only = section.words("only", CONDITIONS);
    if section.has("only") {
        check_conditions(section, &only);
        step.only = only;
    }
    step.points = section.count_maybe("points", 1..13).unwrap_or(step.points);
    step.again = section.flag_maybe("again").unwrap_or(step.again);
    step.later = section.flag_maybe("later").unwrap_or(step.later);
    step.skip = section.flag_maybe("skip").unwrap_or(step.skip);
    step.shows = section.word_maybe("shows", SHOWS).or(step.shows);
    let ways = read_ways(section, step.fills);
    if section.has("ways") {
        step.ways = ways;
    }
    step.first = read_first(section, step.fills).or(step.first);
    let needs = section.words("needs", &Field::words());
    if section.has("needs") {
        step.needs = needs;
    }
    let tools = section.texts("tools");
    if section.has("tools") {
        step.tools = tools.into_iter().map(|(tool, _)| tool).collect();
    }
    for hazard in section.words("hazards", HAZARDS) {
        if !step.hazards.contains(&hazard) {
            step.hazards.push(hazard);
        }
    }
    let covers = section.words("covers", HAZARDS);
    if section.has("covers") {
        check_covers(section, base, &covers);
        step.covers = covers;
    }
    Some(step)
}

/// Refuses what a caution of the library is to cover here and its words do not.
fn check_covers(section: &Section<'_>, base: &Step, covers: &[Hazard]) {
    let span = section.span_of("covers");
    if base.kind != StepKind::Caution {
        section.fault_by("covers-without-caution", span, "only a caution covers a hazard");
    } else if let Some(more) = covers.iter().find(|hazard| !base.covers.contains(hazard)) {
        let said = format!("the words of \"{}\" say nothing of \"{}\"", base.id, more.word());
        section.fault_by("covers-more", span, said);
    }
}

#[cfg(test)]
mod tests {
    use super::super::definition::Procedure;
    use super::super::stock::STOCK;
    use super::*;
    use crate::workshop::Safety;

    #[test]
    fn every_step_of_the_library_can_be_read_and_is_there_once() {
        let listed = library_steps().matches("[[step]]").count();
        assert!(listed > 50);
        assert_eq!(library().len(), listed);
        for (at, step) in library().iter().enumerate() {
            assert!(
                library()[..at].iter().all(|other| other.id != step.id),
                "{}",
                step.id
            );
        }
        for (safety, id) in Safety::ALL {
            assert!(!safety.words().is_empty(), "{id}");
        }
    }

    #[test]
    fn what_is_written_out_is_what_was_taken() {
        for (id, own, full) in STOCK.iter().map(|one| (one.id, one.own, &one.text)) {
            assert!(own.contains("use = ") && !full.contains("use = "), "{id}");
            let taken = Procedure::read(id, own).unwrap_or_else(|faults| panic!("{faults}"));
            assert_eq!(Procedure::read(id, full).as_ref(), Ok(&taken), "{id}");
            assert_eq!(Procedure::read_kept(id, full).as_ref(), Ok(&taken), "{id}");
        }
    }
}
