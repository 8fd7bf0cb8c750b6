//! What guards people, in every language: nothing is missing, nothing but words is another, and no caution can be taken out.

use shimwright::procedure::{
    DRIVE_DAY, Procedure, STOCK, Step, drive_day_in, held_rows, judged_elsewhere, practice_rebuild,
    practice_rebuild_in, stock_in,
};
use shimwright::workshop::language::Language;
use shimwright::workshop::{FileKind, with_library_steps};
use std::collections::BTreeSet;

fn faults_of(source: &str) -> Vec<String> {
    let faults = FileKind::Language.faults("x.toml", source, judged_elsewhere);
    faults
        .into_iter()
        .map(|fault| format!("{}: {}", fault.rule, fault.message))
        .collect()
}

/// A list's table with an id cut out of a language's file.
fn without(source: &str, list: &str, key: &str, id: &str) -> String {
    let mut table: toml::Table = source.parse().unwrap();
    let items = table[list].as_array_mut().unwrap();
    let before = items.len();
    items.retain(|item| item[key].as_str() != Some(id));
    assert_eq!(items.len() + 1, before, "{list} {id}");
    toml::to_string(&table).unwrap()
}

/// A procedure without its words: all that may be another in another language.
fn bare(mut procedure: Procedure) -> Procedure {
    procedure.spoken = shimwright::record::phrase::Spoken::default();
    procedure.title = String::new();
    procedure.purpose = String::new();
    for stage in &mut procedure.stages {
        stage.title = String::new();
        for step in &mut stage.steps {
            step.words = vec![String::new(); step.words.len()];
            step.why = String::new();
            step.tools = vec![String::new(); step.tools.len()];
        }
    }
    procedure
}

fn steps(procedure: &Procedure) -> impl Iterator<Item = &Step> {
    procedure.stages.iter().flat_map(|stage| &stage.steps)
}

#[test]
fn a_stock_procedure_in_another_language_is_the_same_but_for_its_words() {
    for language in Language::stock() {
        for one in STOCK.iter() {
            let text = stock_in(one.id, language).unwrap();
            let name = format!("{} in {}", one.id, language.code);
            let english = Procedure::read(one.id, &one.text).unwrap();
            let other = Procedure::read(&name, &text).unwrap_or_else(|faults| panic!("{faults}"));
            assert_eq!(Procedure::read_kept(&name, &text).as_ref(), Ok(&other), "{name}");
            assert_eq!(
                (other.spoken.language.as_str(), other.spoken.unreviewed),
                (language.code.as_str(), true)
            );
            assert_eq!(bare(english.clone()), bare(other.clone()), "{name}");
            for (english, other) in steps(&english).zip(steps(&other)) {
                assert_ne!(english.words, other.words, "{name}: {}", english.id);
                assert_ne!(english.why, other.why, "{name}: {}", english.id);
            }
        }
    }
}

#[test]
fn what_is_missing_in_a_language_is_found() {
    // one that can not be read would not be there to be tried
    assert_eq!(Language::stock().len(), Language::texts_of_stock().len());
    for (code, source) in Language::texts_of_stock() {
        assert_eq!(faults_of(source), Vec::<String>::new(), "{code}");
        for (list, key, id) in [
            ("sentence", "id", "running"),
            ("step", "id", "caution-lifting"),
            ("step", "id", "clamp"),
            ("phrase", "id", "caution"),
            ("text", "of", "jack"),
            ("word", "term", "preload"),
            ("mixed", "of", "face / plate"),
            ("step", "id", "drive-day/who"),
            ("step", "id", "diagnosis"),
        ] {
            let faults = faults_of(&without(source, list, key, id));
            let said = format!("untranslated: the {list} \"{id}\" has no words in ");
            assert!(
                faults.len() == 1 && faults[0].starts_with(&said),
                "{code}: {faults:?}"
            );
        }
        let more = format!("{source}\n[[sentence]]\nid = \"runing\"\nwords = \"w\"\n");
        assert_eq!(
            faults_of(&more),
            ["sense: there is no sentence \"runing\" to have words for"]
        );
    }
}

/// The file of a language with other rows of what its translations were held to.
fn with_rows(source: &str, rows: &[String]) -> String {
    let list: String = rows
        .iter()
        .map(|row| format!("    {},\n", toml::Value::from(row.as_str())))
        .collect();
    let rows = format!("held_to = [\n{list}]\n");
    match source.find("\nheld_to = [") {
        Some(at) => {
            let end = source[at..].find("\n]\n").unwrap() + at + 3;
            format!("{}\n{rows}{}", &source[..at], &source[end..])
        }
        None => {
            let at = source.find("\n# Words of answers").unwrap();
            format!(
                "{}\n# What each was last held to: the first digits of the digests of the English and of the words here. Written by\n\
                 # `SHIMWRIGHT_FILL=1 cargo test --test lint every_translation_is_held_to_its_english`.\n{rows}{}",
                &source[..at],
                &source[at..]
            )
        }
    }
}

#[test]
fn every_translation_is_held_to_its_english() {
    for (code, source) in Language::texts_of_stock() {
        let rows = held_rows(&Language::read(code, source).unwrap());
        assert!(rows.len() > 300, "{}", rows.len());
        let filled = with_rows(source, &rows);
        if std::env::var_os("SHIMWRIGHT_FILL").is_some() {
            let file = format!("{}/procedures/language/{code}.toml", env!("CARGO_MANIFEST_DIR"));
            std::fs::write(file, filled).unwrap();
            continue;
        }
        assert!(
            filled == *source,
            "{code}: a row is missing or older than its words"
        );
    }
}

#[test]
fn a_translation_that_is_older_than_its_english_is_found() {
    for (code, source) in Language::texts_of_stock() {
        let language = Language::read(code, source).unwrap();
        let rows = held_rows(&language);
        let at = rows
            .iter()
            .position(|row| row.starts_with("step clamp "))
            .unwrap();
        let held = language.held_to("step", "clamp").unwrap();
        // what the row would say had the English been another when the words were written
        let mut older = rows.clone();
        older[at] = format!("step clamp 00000000 {}", held.own);
        let faults = faults_of(&with_rows(source, &older));
        assert_eq!(
            faults,
            ["outdated: the English of the step \"clamp\" was changed after its words were written"],
            "{code}"
        );
        // the rows that are made anew leave it so, until the words are changed or the row is taken out
        let stale = Language::read(code, &with_rows(source, &older)).unwrap();
        assert_eq!(held_rows(&stale)[at], older[at]);
        let mut gone = older.clone();
        gone.remove(at);
        let without = with_rows(source, &gone);
        assert_eq!(
            faults_of(&without),
            ["outdated: the step \"clamp\" has no row in held_to"]
        );
        assert_eq!(held_rows(&Language::read(code, &without).unwrap()), rows);
        // words that were changed are held to the English anew
        let mut other = rows.clone();
        other[at] = format!("step clamp {} 00000000", held.english);
        let faults = faults_of(&with_rows(source, &other));
        assert!(
            faults.len() == 1 && faults[0].contains("were changed after they were held to the English"),
            "{code}: {faults:?}"
        );
        assert_eq!(
            held_rows(&Language::read(code, &with_rows(source, &other)).unwrap()),
            rows
        );
        // a file of before has no rows
        let none = with_rows(source, &[]);
        assert_eq!(faults_of(&none), Vec::<String>::new(), "{code}");
    }
}

#[test]
fn the_drive_day_and_practice_are_the_same_but_for_their_words() {
    for language in Language::stock() {
        for (english, other) in [
            (DRIVE_DAY.to_string(), drive_day_in(language)),
            (practice_rebuild(), practice_rebuild_in(language)),
        ] {
            let read = |text: &str| Procedure::read("x", text).unwrap_or_else(|faults| panic!("{faults}"));
            let (english, other) = (read(&english), read(&other));
            for (one, two) in steps(&english).zip(steps(&other)) {
                assert_ne!(one.words, two.words, "{} in {}", one.id, language.code);
                assert_eq!(one.scale.len(), two.scale.len());
                assert!(one.scale.iter().zip(&two.scale).all(|(one, two)| one != two));
            }
            assert!(other.spoken.unreviewed);
            let mut other = bare(other);
            for (one, two) in english.stages.iter().zip(&mut other.stages) {
                for (one, two) in one.steps.iter().zip(&mut two.steps) {
                    two.scale.clone_from(&one.scale);
                }
            }
            assert_eq!(bare(english), other, "{}", language.code);
        }
    }
}

/// The numbers in a text, and the words of commands and of answers, which no language changes.
fn fixed(text: &str) -> BTreeSet<String> {
    let words = text.split(|c: char| !(c.is_alphanumeric() || c == '-'));
    let kept = [
        "full-rebuild",
        "inspect-plates",
        "refit-and-run-in",
        "on-car-check",
        "bench-check",
        "--new",
        "--as-listed",
        "--at",
    ];
    words
        .filter(|word| kept.contains(word) || word.chars().all(|c| c.is_ascii_digit()) && !word.is_empty())
        .map(str::to_string)
        .collect()
}

#[test]
fn numbers_and_names_of_commands_are_the_same_in_every_language() {
    for language in Language::stock() {
        for one in STOCK.iter() {
            let english = Procedure::read(one.id, &one.text).unwrap();
            let other = Procedure::read(one.id, &stock_in(one.id, language).unwrap()).unwrap();
            assert_eq!(fixed(&english.purpose), fixed(&other.purpose), "{}", one.id);
            for (english, other) in steps(&english).zip(steps(&other)) {
                let said = |step: &Step| fixed(&format!("{} {}", step.words.join(" "), step.why));
                assert_eq!(said(english), said(other), "{} in {}", english.id, language.code);
            }
        }
    }
}

#[test]
fn no_caution_can_be_taken_out_of_a_stock_procedure_in_any_language() {
    let mut taken_out = 0;
    for language in Language::stock() {
        for one in STOCK.iter() {
            let text = stock_in(one.id, language).unwrap();
            let mut table: toml::Table = text.parse().unwrap();
            let stages = table["stage"].as_array().unwrap().clone();
            for (at, stage) in stages.iter().enumerate() {
                for (n, step) in stage["step"].as_array().unwrap().iter().enumerate() {
                    if step["kind"].as_str() != Some("caution") {
                        continue;
                    }
                    table["stage"].as_array_mut().unwrap()[at]["step"]
                        .as_array_mut()
                        .unwrap()
                        .remove(n);
                    let told = Procedure::read(one.id, &toml::to_string(&table).unwrap())
                        .unwrap_err()
                        .to_string();
                    assert!(told.contains("needs a caution step before it"), "{told}");
                    table["stage"] = toml::Value::Array(stages.clone());
                    taken_out += 1;
                }
            }
        }
    }
    assert!(taken_out >= 16 * Language::stock().len(), "{taken_out}");
}

/// A procedure of one step, which says that nothing in it can hurt.
fn one_step(language: &str, words: &str, tools: &str) -> String {
    format!(
        "format = \"shimwright procedure 1\"\nid = \"x\"\ntitle = \"X\"\npurpose = \"P\"\nlanguage = \"{language}\"\n[[stage]]\n\
         title = \"S\"\n[[stage.step]]\nid = \"s\"\nkind = \"do\"\nhazards = []\nwords = \"{words}\"\nwhy = \"w\"\ntools = [{tools}]\n"
    )
}

#[test]
fn a_step_is_known_by_its_words_and_tools_in_each_language() {
    for (language, words, tools, hazard) in [
        ("de", "Den Wagen anheben.", "", "lifting"),
        ("de", "Es kommt hoch.", "\"Wagenheber\"", "lifting"),
        ("de", "Wagen aufbocken.", "", "lifting"),
        ("de-at", "Auf Unterstellböcken.", "", "lifting"),
        ("de", "Die Schrauben anziehen.", "", "torque"),
        ("de", "Den Deckel lösen.", "", "spring"),
        ("es", "Levantar el coche.", "", "lifting"),
        ("es", "Se sube.", "\"gato\"", "lifting"),
        ("es-mx", "Sobre caballetes.", "", "lifting"),
        ("es", "Hay que apretarlos.", "", "torque"),
        ("es", "Aflojar la tapa.", "", "spring"),
    ] {
        let told = Procedure::read("x.toml", &one_step(language, words, tools));
        let faults = told.unwrap_err().faults;
        assert_eq!(faults.len(), 1, "{words} {faults:?}");
        let covers = format!("covers = [\"{hazard}\"]");
        assert!(faults[0].message.contains(&covers), "{words}: {faults:?}");
    }
    for (language, words) in [
        ("de", "Die Jacke ist kein jack."),
        ("de", "Die Oberfläche ansehen."),
        ("es", "Mirar los zapatos y la tapa."),
        ("nl", "Den Wagen anheben."),
    ] {
        assert!(
            Procedure::read("x.toml", &one_step(language, words, "")).is_ok(),
            "{words}"
        );
    }
    // nothing is left to words, though: what can hurt is said
    let unsaid = one_step("de", "Die Oberfläche ansehen.", "").replace("hazards = []\n", "");
    let told = Procedure::read("x.toml", &unsaid).unwrap_err();
    assert_eq!(told.faults[0].rule, "hazards-unsaid");
    // what a build was begun with before is not closed by words that came later
    assert!(Procedure::read_kept("x.toml", &one_step("de", "Den Wagen anheben.", "")).is_ok());
}

#[test]
fn what_a_shop_takes_from_the_library_is_in_the_language_of_its_procedure_and_unreviewed() {
    let own = "format = \"shimwright procedure 1\"\nid = \"x\"\ntitle = \"X\"\npurpose = \"P\"\nlanguage = \"de\"\n[[stage]]\n\
               title = \"S\"\n[[stage.step]]\nuse = \"caution-solvent\"\n[[stage.step]]\nuse = \"mark\"\n";
    let taken = Procedure::read("x.toml", own).unwrap();
    assert!(taken.stages[0].steps[0].words[0].starts_with("Reinigungsmittel: Handschuhe"));
    assert!(taken.spoken.unreviewed);
    let full = with_library_steps(own);
    assert_eq!(Procedure::read("x.toml", &full).as_ref(), Ok(&taken));
    assert_eq!(Procedure::read_kept("x.toml", &full).as_ref(), Ok(&taken));
    // a language that is not carried: the words are English, and nothing says that they are a translation
    let dutch = Procedure::read("x.toml", &own.replace("\"de\"", "\"nl\"")).unwrap();
    assert!(dutch.stages[0].steps[0].words[0].starts_with("Cleaning fluid"));
    assert!(!dutch.spoken.unreviewed);
}

#[test]
fn a_translation_that_was_signed_off_is_not_marked() {
    let (_, source) = Language::texts_of_stock()[0];
    let signed = source.replacen(
        "\nname = ",
        "\nreviewed_by = \"A. Second (invented)\"\nreviewed_at = \"2031-02-03\"\nname = ",
        1,
    );
    let language = Language::read("x.toml", &signed).unwrap();
    let text = language.written_out(STOCK[0].own);
    assert!(text.contains("language = \"de\"\n") && !text.contains("unreviewed"));
    let half = signed.replace("reviewed_at = \"2031-02-03\"\n", "");
    assert!(
        Language::read("x.toml", &half)
            .unwrap_err()
            .to_string()
            .contains("stand together")
    );
}
