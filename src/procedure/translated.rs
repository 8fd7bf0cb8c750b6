//! What a language must have words for: every safety sentence, every step, title and tool of the stock procedures, every
//! phrase. What is missing is a fault of its file.

use super::ask::StepKind;
use super::definition::Procedure;
use super::library::library;
use super::stock::STOCK;
use crate::document::{Document, Faults, Section};
use crate::record::phrase::{ANSWERS, CONTROLS, Phrase};
use crate::workshop::Safety;
use crate::workshop::language::Language;
use std::collections::BTreeSet;

/// Everything that a language must have words for: the list in its file, and the id there.
pub fn wanted_of_a_language() -> BTreeSet<(&'static str, String)> {
    let mut wanted = BTreeSet::new();
    let mut want = |list: &'static str, id: &str| {
        wanted.insert((list, id.to_string()));
    };
    Safety::ids().into_iter().for_each(|id| want("sentence", id));
    Phrase::ALL.iter().for_each(|phrase| want("phrase", phrase.id()));
    ANSWERS.iter().for_each(|word| want("answer", word));
    CONTROLS.iter().for_each(|word| want("control", word));
    for step in library() {
        want("step", &step.id);
        step.tools.iter().for_each(|tool| want("text", tool));
    }
    // that they can be read is held by a test
    let read = |one: &super::stock::Stock| Procedure::read(one.id, &one.text).ok();
    for procedure in STOCK.iter().filter_map(read) {
        want("text", &procedure.title);
        want("text", &procedure.purpose);
        for (stage, step) in procedure.steps() {
            want("text", &stage.title);
            want("step", &step.id);
            step.tools.iter().for_each(|tool| want("text", tool));
        }
    }
    wanted
}

/// Whether a step is a caution, whose words are put together of sentences.
fn is_caution(id: &str) -> bool {
    library()
        .iter()
        .any(|step| step.id == id && step.kind == StepKind::Caution)
}

/// Reads a language and holds it to all that it must have words for.
pub(super) fn judge_language(file: &str, source: &str) -> Result<(), Faults> {
    // first what can not be read at all
    Language::read(file, source)?;
    Document::read(file, source, |top| {
        complete(top, &Language::read_top(top)?);
        Some(())
    })
}

/// Tells what has no words, and words for what is not there.
fn complete(top: &Section<'_>, language: &Language) {
    let wanted = wanted_of_a_language();
    let told: BTreeSet<(&str, String)> = language.told().map(|(list, id)| (list, id.to_string())).collect();
    for (list, id) in wanted.difference(&told) {
        let said = format!("the {list} \"{id}\" has no words in {}", language.in_english);
        top.fault_by("untranslated", top.span(), said);
    }
    for (list, id) in told.difference(&wanted) {
        let said = format!("there is no {list} \"{id}\" to have words for");
        top.fault_by("sense", top.span(), said);
    }
    for (_, id) in told.iter().filter(|(list, _)| *list == "step") {
        let has_words = language.step(id).is_some_and(|step| step.words.is_some());
        let said = match (is_caution(id), has_words) {
            (true, true) => "a caution is put together of sentences and has no words of its own",
            (false, false) => "a step wants words",
            _ => continue,
        };
        top.fault_by("untranslated", top.span(), format!("the step \"{id}\": {said}"));
    }
    for phrase in Phrase::ALL {
        let places = |words: &str| words.matches("{}").count();
        let said = language.phrase(phrase.id());
        if said.is_some_and(|said| places(said) != places(phrase.english())) {
            let said = format!(
                "the phrase \"{}\" has another number of {{}} than the English",
                phrase.id()
            );
            top.fault_by("sense", top.span(), said);
        }
    }
}
