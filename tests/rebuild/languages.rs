//! The stock procedures in other languages: the same record whatever is typed, cautions in the words of the language on screen
//! and on the form, marked as unreviewed; every letter is in the fonts of the pages.

use crate::bench::{AT, demo_file};
use crate::engine::job;
use crate::procedures::{WALKED, answers, started};
use shimwright::bench::screen;
use shimwright::procedure::{Ask, Job, Procedure, Reply, Session, StepKind, form, stock_in};
use shimwright::quantity::Units;
use shimwright::record::phrase::ANSWERS;
use shimwright::record::{Entry, UnitsName};
use shimwright::sheet::{Paper, form_pages, on_paper};
use shimwright::workshop::language::Language;
use std::collections::BTreeSet;
use std::fs;

fn job_in(unit: &str, procedure: &str, language: &Language) -> Job {
    let text = stock_in(procedure, language).unwrap();
    Job {
        procedure: Procedure::read(procedure, &text).unwrap(),
        ..job(unit)
    }
}

fn started_in(unit: &str, procedure: &str, language: &Language) -> Session {
    let begun = Entry::Begun {
        id: None,
        at: AT.into(),
        program: "0".into(),
        unit: String::new(),
        procedure: "0123456789abcdef".repeat(4),
        drawer: String::new(),
        instruments: String::new(),
        units: UnitsName::Metric,
        practice: None,
        setting: None,
        found: None,
    };
    let (mut session, _) = Session::start(job_in(unit, procedure, language), begun);
    session.put_fewest_first();
    session
}

/// An answer as somebody types it who speaks the language: its word for the English one, with the reason behind it as it is.
fn said(answer: &str, language: &Language) -> String {
    let (word, reason) = answer.split_once(' ').unwrap_or((answer, ""));
    match language.answer(word) {
        Some(said) => format!("{said} {reason}").trim().to_string(),
        None => answer.to_string(),
    }
}

/// Words on one line, however they were broken.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A caution as it stands on the screen, at four widths.
fn caution_on_screen(ask: &Ask, language: &Language) {
    let head = language.phrase("caution").unwrap();
    for width in [40, 60, 80, 120] {
        let text = screen(ask, width, false);
        assert!(text.lines().all(|line| line.chars().count() <= width), "{text}");
        let shown = flowing(&text);
        assert!(shown.contains(&format!("{head}: {}", ask.words[0])), "{shown}");
        let mark = format!(
            "{} · unreviewed translation",
            language.phrase("unreviewed").unwrap()
        );
        assert!(shown.contains(&mark), "{shown}");
        assert!(shown.contains(language.answer("yes").unwrap()), "{shown}");
        assert!(
            !shown.contains("CAUTION") && !shown.contains("type yes"),
            "{shown}"
        );
    }
}

/// Goes through the answers of a demo unit twice, in English and in another language: the same entries each time. How many
/// cautions came up.
fn walked_in(unit: &str, procedure: &str, text: &str, language: &Language) -> BTreeSet<String> {
    let (mut english, mut other) = (started(unit, procedure), started_in(unit, procedure, language));
    let mut cautions = BTreeSet::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let (slot, answer) = line.split_once(" = ").unwrap();
        let ask = other.ask().unwrap();
        assert_eq!(
            ask.slot.to_string(),
            slot,
            "{unit} {procedure} in {}",
            language.code
        );
        // what stands right before the answer is none of the English
        let prompt = &ask.prompt;
        let english_prompts = [
            "Plate ",
            "Reading",
            "Answer",
            "Ring,",
            "Depth",
            "Pack",
            "Spring",
            "This step",
            "Read and",
        ];
        assert!(
            !english_prompts.iter().any(|words| prompt.starts_with(words)) && !prompt.contains(", reading"),
            "{slot} in {}: {prompt}",
            language.code
        );
        if ask.kind == StepKind::Caution {
            caution_on_screen(&ask, language);
            cautions.insert(ask.slot.step.clone());
            assert!(other.answer(&Reply::Answer(String::new()), AT).is_err());
        }
        let [one, two] = match answer.strip_prefix("!skip ") {
            Some(reason) => [Reply::Skip(reason.into()), Reply::Skip(reason.into())],
            None => [
                Reply::Answer(answer.into()),
                Reply::Answer(said(answer, language)),
            ],
        };
        let name = format!("{unit} {procedure} in {}, {line}", language.code);
        let wanted = english.answer(&one, AT).unwrap();
        let taken = other
            .answer(&two, AT)
            .unwrap_or_else(|refusal| panic!("{name}: {}", refusal.words));
        assert_eq!(taken.entries, wanted.entries, "{name}");
        if one != two {
            // the English word is taken as well
            let again = other.answer(&one, AT);
            let again = again.unwrap_or_else(|refusal| panic!("{name}: {}", refusal.words));
            assert_eq!(again.entries, wanted.entries, "{name}");
        }
        english.apply(&wanted.entries);
        other.apply(&wanted.entries);
    }
    assert!(other.is_finished());
    cautions
}

#[test]
fn what_is_typed_in_a_language_is_written_down_as_in_english_and_every_caution_is_shown_in_it() {
    let full = fs::read_to_string(demo_file("moor-rear.answers")).unwrap();
    let on_moor = WALKED.iter().filter(|(unit, _)| *unit == "moor-rear");
    assert_eq!(Language::stock().len(), 2);
    for language in Language::stock() {
        let mut cautions = walked_in("moor-rear", "full-rebuild", &full, language);
        for (unit, procedure) in on_moor.clone() {
            cautions.extend(walked_in(unit, procedure, &answers(unit, procedure), language));
        }
        assert!(cautions.len() >= 7, "{cautions:?}");
    }
}

#[test]
fn words_that_a_person_writes_stay_as_they_were_typed() {
    let german = Language::of("de").unwrap();
    let mut session = started_in("moor-rear", "bench-check", german);
    let name = session.answer(&Reply::Answer("Gut".into()), AT).unwrap();
    assert!(matches!(&name.entries[0], Entry::Answered { text, .. } if text == "Gut"));
}

#[test]
fn the_form_of_every_stock_procedure_has_its_cautions_in_the_language_and_says_that_nobody_reviewed_them() {
    for language in Language::stock() {
        for one in shimwright::procedure::STOCK.iter() {
            let job = job_in("moor-rear", one.id, language);
            let mut cautions: Vec<String> = Vec::new();
            for (_, step) in job
                .procedure
                .steps()
                .filter(|(_, step)| step.kind == StepKind::Caution)
            {
                cautions.extend(step.words.iter().map(|words| flowing(words)));
            }
            let form = form(job, Units::Metric, ["ab", "cd"]);
            let pages: Vec<String> = form_pages(&form, Paper::A4)
                .iter()
                .map(|page| page.text())
                .collect();
            let mark = format!(
                "{} · unreviewed translation",
                language.phrase("unreviewed").unwrap()
            );
            for page in &pages {
                assert!(flowing(page).contains(&mark), "{page}");
            }
            let all = flowing(&pages.join("\n"));
            let first = language.sentence("first").unwrap();
            assert!(all.contains(&flowing(first)), "{} in {}", one.id, language.code);
            // a line of a caution may stand beside its box: each word in its order is what counts
            for words in cautions {
                let mut rest = all.as_str();
                for word in words.split(' ') {
                    let at = rest
                        .find(word)
                        .unwrap_or_else(|| panic!("{word} of {words} in {}", one.id));
                    rest = &rest[at + word.len()..];
                }
            }
            for english in ["CAUTION", "May be left", "initials beside"] {
                assert!(
                    !all.contains(english),
                    "{english} on {} in {}",
                    one.id,
                    language.code
                );
            }
        }
    }
}

#[test]
fn no_word_of_an_answer_is_another_one_in_english() {
    for language in Language::stock() {
        for word in ANSWERS {
            let said = language.answer(word).unwrap();
            assert_eq!(language.answer_in_english(&said.to_uppercase()), Some(word));
            // what is another answer in English would be taken for the wrong one
            assert!(said == word || !ANSWERS.contains(&said), "{said}");
        }
    }
}

#[test]
fn every_letter_of_a_language_is_in_the_fonts_of_the_pages() {
    for (code, source) in Language::texts_of_stock() {
        let letters: BTreeSet<char> = source
            .chars()
            .filter(|c| c.is_alphanumeric() || "¿¡«»".contains(*c))
            .collect();
        for wanted in match *code {
            "de" => "äöüßÄÖÜ",
            _ => "áéíóúñ¿",
        }
        .chars()
        {
            assert!(
                letters.contains(&wanted) || wanted.is_uppercase(),
                "{code}: {wanted}"
            );
        }
        let text: String = letters.iter().collect();
        assert_eq!(on_paper(&text), text, "{code}");
    }
}
