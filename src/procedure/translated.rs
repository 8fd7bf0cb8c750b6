//! What a language must have words for: every safety sentence, every step, title and tool of the program's own procedures, every
//! phrase and word of the trade. What is missing is a fault of its file, and so is what is older than a change of its English.

use super::ask::StepKind;
use super::definition::{Procedure, Step};
use super::library::library;
use super::stock::{DRIVE_DAY, STOCK, practice_rebuild};
use crate::document::{Document, Faults, Section};
use crate::record::phrase::{ANSWERS, CONTROLS, MEANINGS, Phrase};
use crate::seal::Digest;
use crate::workshop::language::{HeldTo, Language};
use crate::workshop::{Glossary, OF_A_DAY, Safety};
use std::collections::{BTreeMap, BTreeSet};

/// How many digits of a digest tell that a text is another.
const DIGITS: usize = 8;

/// Everything that a language must have words for: the list in its file, and the id there, with the English; for a step the words
/// of the step, or none where it is a caution, and why.
fn wanted() -> BTreeMap<(&'static str, String), String> {
    let mut wanted = BTreeMap::new();
    let mut want = |list: &'static str, id: &str, english: &str| {
        wanted.insert((list, id.to_string()), english.to_string());
    };
    for (id, words) in Safety::ids().into_iter().zip(Safety::sentences()) {
        want("sentence", id, words);
    }
    for phrase in Phrase::ALL {
        want("phrase", phrase.id(), phrase.english());
    }
    for (id, english) in Glossary::ROUND_WORDS {
        want("phrase", id, english);
    }
    ANSWERS.iter().for_each(|word| want("answer", word, word));
    MEANINGS.iter().for_each(|words| want("text", words, words));
    CONTROLS.iter().for_each(|word| want("control", word, word));
    for word in Glossary::stock().words() {
        want("word", &word.term, &word.says);
    }
    for mixed in Glossary::stock().mixed() {
        want("mixed", &mixed.id(), &mixed.says);
    }
    let of_step = |step: &Step| {
        let words = match step.kind {
            StepKind::Caution => String::new(),
            _ => step.words.join("\n"),
        };
        [&[words, step.why.clone()], &step.scale[..]].concat().join("\n")
    };
    for step in library() {
        want("step", &step.id, &of_step(step));
        step.tools.iter().for_each(|tool| want("text", tool, tool));
    }
    // that they can be read is held by a test
    let texts = STOCK.iter().map(|one| (one.id, one.text.clone()));
    let others = [
        ("practice-rebuild", practice_rebuild()),
        ("drive-day", DRIVE_DAY.to_string()),
    ];
    for procedure in texts
        .chain(others)
        .filter_map(|(id, text)| Procedure::read(id, &text).ok())
    {
        let of = if procedure.drive_day { OF_A_DAY } else { "" };
        want("text", &procedure.title, &procedure.title);
        want("text", &procedure.purpose, &procedure.purpose);
        for (stage, step) in procedure.steps() {
            want("text", &stage.title, &stage.title);
            want("step", &format!("{of}{}", step.id), &of_step(step));
            step.tools.iter().for_each(|tool| want("text", tool, tool));
        }
    }
    wanted
}

/// Whether the id of a list is the English itself, so that no change of it goes by unseen.
fn is_its_english(list: &str) -> bool {
    matches!(list, "text" | "answer" | "control")
}

fn short(text: &str) -> String {
    let flowing: Vec<&str> = text.split_whitespace().collect();
    let digest = Digest::of(flowing.join(" ").as_bytes()).to_string();
    digest.chars().take(DIGITS).collect()
}

/// The rows `held_to` that the file of a language should have, given those that it has: a row is taken anew where it is missing or
/// where the translation was changed since it was written down. One whose English alone was changed stays: whoever changes the
/// translation, or takes the row out, says that it has been looked at.
pub fn held_rows(language: &Language) -> Vec<String> {
    let mut rows = Vec::new();
    for ((list, id), english) in wanted() {
        let Some(own) = language.own_words(list, &id).filter(|_| !is_its_english(list)) else {
            continue;
        };
        let now = HeldTo {
            english: short(&english),
            own: short(&own),
        };
        let held = match language.held_to(list, &id) {
            Some(held) if held.own == now.own => held,
            _ => &now,
        };
        rows.push(format!("{list} {id} {} {}", held.english, held.own));
    }
    rows
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

/// Tells what has no words, words for what is not there, and words that are older than their English.
fn complete(top: &Section<'_>, language: &Language) {
    let english = wanted();
    let wanted: BTreeSet<(&str, String)> = english.keys().cloned().collect();
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
    for ((_, id), english) in english.iter().filter(|((list, _), _)| *list == "phrase") {
        let places = |words: &str| words.matches("{}").count();
        let said = language.phrase(id);
        if said.is_some_and(|said| places(said) != places(english)) {
            let said = format!("the phrase \"{id}\" has another number of {{}} than the English");
            top.fault_by("sense", top.span(), said);
        }
    }
    // a file of before has no rows at all
    if language.held().next().is_some() {
        held_to_english(top, language, &english);
    }
}

/// Tells what the rows of a file say of words that were changed since.
fn held_to_english(
    top: &Section<'_>,
    language: &Language,
    english: &BTreeMap<(&'static str, String), String>,
) {
    let span = || top.span_of("held_to");
    for ((list, id), english) in english {
        let Some(own) = language.own_words(list, id).filter(|_| !is_its_english(list)) else {
            continue;
        };
        let said = match language.held_to(list, id) {
            None => format!("the {list} \"{id}\" has no row in held_to"),
            Some(held) if held.english != short(english) => {
                format!("the English of the {list} \"{id}\" was changed after its words were written")
            }
            Some(held) if held.own != short(&own) => {
                format!("the words of the {list} \"{id}\" were changed after they were held to the English")
            }
            Some(_) => continue,
        };
        top.fault_by("outdated", span(), said);
    }
    let is_wanted = |list: &str, id: &str| english.keys().any(|(a, b)| *a == list && b == id);
    for (list, id) in language.held() {
        if !is_wanted(list, id) {
            let said = format!("there is no {list} \"{id}\" that could be held to its English");
            top.fault_by("sense", span(), said);
        }
    }
}
