//! The steps that procedures share, and the safety sentences: each stands once, in `procedures/library/`.

use super::language::{Language, StepWords};
use std::sync::OnceLock;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Key, Table, Value};

const SENTENCES: &str = include_str!("../../procedures/library/sentences.toml");
const STEPS: &str = include_str!("../../procedures/library/steps.toml");

/// The keys of a step in the order in which they are written.
const ORDER: [&str; 21] = [
    "id",
    "kind",
    "fills",
    "answer",
    "guard",
    "before_buried",
    "each",
    "shows",
    "points",
    "only",
    "skip",
    "again",
    "later",
    "ways",
    "first",
    "needs",
    "hazards",
    "covers",
    "torque",
    "words",
    "why",
];

/// A safety sentence that is said outside of a procedure, too.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Safety {
    /// Whose word comes first.
    First,
    /// What a car stands on.
    Ground,
    /// The push before anybody goes under.
    Shake,
    /// No engine in gear with one driven wheel on the ground.
    Running,
    /// A cover under spring force comes off.
    Cover,
    /// Whose figures count for a bolt.
    Figures,
}

impl Safety {
    /// Each with its id in the library.
    pub const ALL: [(Safety, &'static str); 6] = [
        (Safety::First, "first"),
        (Safety::Ground, "ground"),
        (Safety::Shake, "shake"),
        (Safety::Running, "running"),
        (Safety::Cover, "cover"),
        (Safety::Figures, "figures"),
    ];

    /// The words of every safety sentence, those of the cautions and those that stand alone.
    pub fn sentences() -> Vec<&'static str> {
        sentences().iter().map(|(_, words)| words.said.as_str()).collect()
    }

    /// The id of every safety sentence.
    pub fn ids() -> Vec<&'static str> {
        sentences().iter().map(|(id, _)| id.as_str()).collect()
    }

    /// Its words, as the cautions of the procedures have them.
    ///
    /// ```
    /// use shimwright::workshop::Safety;
    /// assert!(Safety::Running.words().starts_with("Never run the engine in gear"));
    /// ```
    pub fn words(self) -> &'static str {
        let all = sentences();
        let id = Safety::ALL
            .iter()
            .find(|(one, _)| *one == self)
            .map_or("", |(_, id)| id);
        all.iter()
            .find(|(known, _)| known == id)
            .map_or("", |(_, words)| &words.said)
    }
}

/// A sentence of the library.
struct Words {
    /// On one line.
    said: String,
    /// With the line breaks that it is written with.
    written: String,
}

/// Every sentence with its id. That both files can be read is held by tests.
fn sentences() -> &'static [(String, Words)] {
    static READ: OnceLock<Vec<(String, Words)>> = OnceLock::new();
    READ.get_or_init(|| {
        let read = |table: &Table| {
            let written = table.get("words")?.as_str()?.trim().to_string();
            let said = written.split_whitespace().collect::<Vec<_>>().join(" ");
            Some((table.get("id")?.as_str()?.to_string(), Words { said, written }))
        };
        listed(SENTENCES, "sentence").iter().filter_map(read).collect()
    })
}

/// Every step with its id, the words of the cautions put together.
fn steps() -> &'static [(String, Table)] {
    static READ: OnceLock<Vec<(String, Table)>> = OnceLock::new();
    READ.get_or_init(|| {
        let read = |mut table: Table| {
            if let Some(says) = table.get("says") {
                let words = put_together(says.as_array()?, &english_sentence)?;
                table.insert("words", Item::Value(written(&words)));
            }
            Some((table.get("id")?.as_str()?.to_string(), table))
        };
        listed(STEPS, "step").into_iter().filter_map(read).collect()
    })
}

/// The tables of a list in a file of the library.
fn listed(source: &str, list: &str) -> Vec<Table> {
    let document: DocumentMut = source.parse().unwrap_or_default();
    let tables = document.get(list).and_then(Item::as_array_of_tables);
    tables.into_iter().flatten().cloned().collect()
}

/// A sentence of the library by its id, with its line breaks.
fn english_sentence(id: &str) -> Option<&'static str> {
    let known = sentences().iter().find(|(known, _)| known == id);
    known.map(|(_, words)| words.written.as_str())
}

/// A paragraph an element, each of sentences by their ids.
fn put_together<'s>(says: &Array, sentence: &dyn Fn(&str) -> Option<&'s str>) -> Option<String> {
    let paragraphs = says.iter().map(|ids| {
        let sentences: Option<Vec<&str>> = ids.as_str()?.split(' ').map(sentence).collect();
        Some(sentences?.join("\n"))
    });
    Some(paragraphs.collect::<Option<Vec<_>>>()?.join("\n\n"))
}

/// The step of an id.
fn step_of(id: &str) -> Option<&'static Table> {
    let known = steps().iter().find(|(known, _)| known == id);
    known.map(|(_, table)| table)
}

/// A text over several lines, as a person writes it. Words of the library have nothing that must be escaped.
fn written(words: &str) -> Value {
    let text = format!("\"\"\"\n{words}\"\"\"");
    text.parse().unwrap_or_else(|_| Value::from(words))
}

/// The steps of the library as TOML, `[[step]]` each, with the sentences of the cautions put in.
pub fn library_steps() -> String {
    listed_steps(None)
}

fn listed_steps(language: Option<&Language>) -> String {
    let mut tables = ArrayOfTables::new();
    for (_, table) in steps() {
        let mut table = table.clone();
        if let Some(language) = language {
            translate(&mut table, "", language);
        }
        table.remove("says");
        tables.push(table);
    }
    let mut document = DocumentMut::new();
    document.insert("step", Item::ArrayOfTables(tables));
    document.to_string()
}

/// The text of a procedure in which every step that is taken out of the library by `use` stands in full, so that it says all by
/// itself: comments, order and line ends stay. A text without `use` is given back as it is, and so is what can not be read:
/// its reader tells what is wrong with it.
///
/// ```
/// use shimwright::workshop::with_library_steps;
/// let own = "[[stage]]\ntitle = \"S\"\n\n[[stage.step]]\nuse = \"car\" # of the visitor\nskip = true\n";
/// let full = with_library_steps(own);
/// assert!(full.contains("\nid = \"car\" # of the visitor\nkind = \"look\"\nfills = \"car\"\nskip = true\nwords = \""));
/// assert!(!full.contains("use ="));
/// ```
pub fn with_library_steps(source: &str) -> String {
    let Ok(mut document) = source.parse::<DocumentMut>() else {
        return source.to_string();
    };
    let code = document.get("language").and_then(Item::as_str).unwrap_or("en");
    let (language, is_english) = (Language::of(code), code.split('-').next() == Some("en"));
    if !take_steps(&mut document, language, is_english) {
        return source.to_string();
    }
    let text = document.to_string();
    match source.contains("\r\n") {
        true => text.replace("\r\n", "\n").replace('\n', "\r\n"),
        false => text,
    }
}

impl Language {
    /// As [`library_steps`], in this language.
    pub fn library_steps(&self) -> String {
        listed_steps(Some(self))
    }

    /// The text of a procedure of the program's own in this language: its titles, its tools, and every step, those of the
    /// library written out, with the language and that nobody has signed the translation off. What the language has no words for
    /// stays English, and is found by `lint`.
    ///
    /// ```
    /// use shimwright::workshop::language::Language;
    /// let own = "title = \"Full rebuild\"\n[[stage]]\ntitle = \"Identify\"\n[[stage.step]]\nuse = \"car\"\n";
    /// let german = Language::of("de").unwrap().written_out(own);
    /// assert!(german.contains("language = \"de\"\nunreviewed = true\n"));
    /// assert!(german.contains("Aus welchem Wagen"));
    /// ```
    pub fn written_out(&self, own: &str) -> String {
        let language = self;
        let Ok(mut document) = own.parse::<DocumentMut>() else {
            return own.to_string();
        };
        document.insert("language", Item::Value(Value::from(language.code.as_str())));
        if !language.is_reviewed() {
            document.insert("unreviewed", Item::Value(Value::from(true)));
        }
        // the steps of a drive day are no steps of a rebuild, though some have the same id
        let day = document.get("drive_day").and_then(Item::as_bool) == Some(true);
        let of = if day { OF_A_DAY } else { "" };
        for key in ["title", "purpose"] {
            retitle(document.as_table_mut(), key, language);
        }
        for stage in tables(document.get_mut("stage")) {
            retitle(stage, "title", language);
            for step in tables(stage.get_mut("step")) {
                if !step.contains_key("use") {
                    translate(step, of, language);
                    say_hazards(step);
                } else if step.contains_key("tools") {
                    translate_tools(step, language);
                }
            }
        }
        take_steps(&mut document, Some(language), false);
        document.to_string()
    }
}

/// A title or a purpose in another language.
fn retitle(table: &mut Table, key: &str, language: &Language) {
    let words = table
        .get(key)
        .and_then(Item::as_str)
        .and_then(|of| language.text(of));
    if let Some(words) = words {
        let words = words.to_string();
        table.insert(key, Item::Value(Value::from(words)));
    }
}

/// What stands before the id of a step of a drive day in the files of languages.
pub const OF_A_DAY: &str = "drive-day/";

/// The words of a step in another language, as far as it has them.
fn translate(step: &mut Table, of: &str, language: &Language) {
    let id = step.get("id").and_then(Item::as_str).unwrap_or("");
    let Some(StepWords { words, why, scale }) = language.step(&format!("{of}{id}")) else {
        return;
    };
    let sentence = |id: &str| language.sentence(id);
    let said = step.get("says").and_then(Item::as_array);
    let together = said.and_then(|says| put_together(says, &sentence));
    if let Some(words) = together.as_ref().or(words.as_ref()) {
        step.insert("words", Item::Value(written(words)));
    }
    step.insert("why", Item::Value(written(why)));
    if !scale.is_empty() {
        let scale: Array = scale.iter().map(String::as_str).collect();
        step.insert("scale", Item::Value(Value::Array(scale)));
    }
    translate_tools(step, language);
}

fn translate_tools(step: &mut Table, language: &Language) {
    let tools = step.get_mut("tools").and_then(Item::as_array_mut);
    for tool in tools.into_iter().flat_map(Array::iter_mut) {
        let words = tool.as_str().and_then(|of| language.text(of));
        if let Some(words) = words {
            *tool = Value::from(words);
        }
    }
}

/// Says of a step of which English words would tell that nothing in it can hurt that it is so.
fn say_hazards(step: &mut Table) {
    let does = step.get("kind").and_then(Item::as_str) == Some("do");
    if does && !step.contains_key("hazards") {
        step.insert("hazards", Item::Value(Value::Array(Array::new())));
    }
}

/// Writes out the steps that are taken out of the library, in the language of the document; whether there were any.
fn take_steps(document: &mut DocumentMut, language: Option<&Language>, is_english: bool) -> bool {
    let mut taken = false;
    for stage in tables(document.get_mut("stage")) {
        for step in tables(stage.get_mut("step")) {
            let id = step.get("use").and_then(Item::as_str);
            if let Some(base) = id.and_then(step_of) {
                let mut base = base.clone();
                if let Some(language) = language {
                    translate(&mut base, "", language);
                }
                base.remove("says");
                fill(step, &base);
                if !is_english {
                    say_hazards(step);
                }
                taken = true;
            }
        }
    }
    if taken && language.is_some_and(|language| !language.is_reviewed()) {
        document.insert("unreviewed", Item::Value(Value::from(true)));
    }
    taken
}

/// The tables of a list, also where it is written on one line.
fn tables(item: Option<&mut Item>) -> impl Iterator<Item = &mut Table> {
    let list = item.and_then(|item| {
        if item.is_value() {
            *item = std::mem::take(item)
                .into_array_of_tables()
                .map_or_else(|other| other, Item::ArrayOfTables);
        }
        item.as_array_of_tables_mut()
    });
    list.into_iter().flat_map(ArrayOfTables::iter_mut)
}

/// Puts a step of the library into the table that takes it.
fn fill(step: &mut Table, base: &Table) {
    let mut own: Vec<(Key, Item)> = Vec::new();
    let names: Vec<String> = step.iter().map(|(name, _)| name.to_string()).collect();
    for name in names {
        own.extend(step.remove_entry(&name));
    }
    let rest = base
        .iter()
        .map(|(name, _)| name)
        .filter(|name| !ORDER.contains(name));
    for name in ORDER.into_iter().chain(rest) {
        let called = if name == "id" { "use" } else { name };
        let mine = own.iter().position(|(key, _)| key.get() == called);
        let theirs = base.get(name);
        match (mine.map(|at| own.remove(at)), theirs) {
            // comments beside the key stay where they were
            (Some((key, item)), _) if name == "id" => {
                let key = Key::new("id").with_leaf_decor(key.leaf_decor().clone());
                step.insert_formatted(&key, item);
            }
            (Some((key, mut item)), theirs) => {
                if name == "hazards" {
                    joined(&mut item, theirs);
                }
                step.insert_formatted(&key, item);
            }
            (None, Some(theirs)) => {
                step.insert(name, theirs.clone());
            }
            (None, None) => {}
        }
    }
    for (key, item) in own {
        step.insert_formatted(&key, item);
    }
}

/// What can hurt in a step of the library, and besides.
fn joined(own: &mut Item, theirs: Option<&Item>) {
    let (Some(own), Some(theirs)) = (own.as_array_mut(), theirs.and_then(Item::as_array)) else {
        return;
    };
    let besides: Vec<String> = own.iter().filter_map(Value::as_str).map(str::to_string).collect();
    let words = theirs.iter().filter_map(Value::as_str).map(str::to_string);
    let words: Vec<String> = words.filter(|word| !besides.contains(word)).collect();
    for (at, word) in words.into_iter().enumerate() {
        own.insert(at, word);
    }
    own.fmt();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_of_the_library_can_be_read() {
        assert_eq!(sentences().len(), SENTENCES.matches("[[sentence]]").count());
        assert_eq!(steps().len(), STEPS.matches("[[step]]").count());
    }

    const STEP: &str = "[[stage]]\ntitle = \"S\"\n[[stage.step]]\nuse = \"clean\"\n";

    #[test]
    fn what_stands_beside_use_takes_the_place_of_what_the_library_says_and_hazards_come_besides() {
        let own = format!(
            "{STEP}hazards = [\"heat\"] # steam\nskip = true\ntools = [\"rag\"]\n\n# the next\n[[stage]]\n"
        );
        let full = with_library_steps(&own);
        assert!(full.contains(
            "id = \"clean\"\nkind = \"do\"\nskip = true\nhazards = [\"solvent\", \"heat\"] # steam\nwords = "
        ));
        assert!(
            full.contains("\ntools = [\"rag\"]\n\n# the next\n[[stage]]\n"),
            "{full}"
        );
    }

    #[test]
    fn steps_on_one_line_and_other_line_ends_are_filled_in_as_well() {
        let line = "stage = [{ title = \"S\", step = [{ use = \"car\" }] }]\n";
        let full: DocumentMut = with_library_steps(line).parse().unwrap();
        assert_eq!(full["stage"][0]["step"][0]["fills"].as_str(), Some("car"));
        let full = with_library_steps(&STEP.replace('\n', "\r\n"));
        assert!(full.contains("\r\nid = \"clean\"\r\n"));
        assert_eq!(full.matches('\n').count(), full.matches("\r\n").count());
    }

    #[test]
    fn what_can_not_be_filled_in_is_left_to_its_reader() {
        for own in [
            "no toml",
            "use = \"car\"\n",
            &STEP.replace("clean", "claen"),
            "stage = 3\n",
        ] {
            assert_eq!(with_library_steps(own), own);
        }
    }
}
