//! Words of the trade in plain words.

use super::language::{Language, filled};
use crate::document::{Document, Faults, Section, nearest};
use crate::report::Summary;
use serde_json::{Value, json};
use std::sync::OnceLock;

/// The words that the program carries, as text.
const STOCK: &str = include_str!("../../procedures/words.toml");

/// Words of the trade in plain words.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Glossary {
    words: Vec<Word>,
    mixed: Vec<Mixed>,
    /// Where it is not English.
    language: Option<&'static Language>,
}

/// A word.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Word {
    /// The word itself.
    pub term: String,
    /// What else it is called.
    pub also: Vec<String>,
    /// What it means.
    pub says: String,
    /// Its formulas, one an element.
    pub formula: Vec<String>,
    /// Phrases in which it means another thing.
    pub not_in: Vec<String>,
}

/// Words that people mix up.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mixed {
    /// The words.
    pub terms: Vec<String>,
    /// How they differ.
    pub says: String,
}

impl Mixed {
    /// Its id in the files of languages: its words.
    pub fn id(&self) -> String {
        self.terms.join(" / ")
    }
}

/// What was found for a word that was looked up.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Found<'a> {
    /// The word.
    One(&'a Word),
    /// Several words have it in them.
    Several(Vec<&'a Word>),
    /// None has; this one is spelt most like it, where one is near.
    Near(Option<&'a Word>),
}

fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Glossary {
    /// What stands round the words of a glossary: its id in the files of languages, and the English; `{}` stands for what is put in.
    pub const ROUND_WORDS: [(&str, &str); 9] = [
        ("also-called", "{} (also: {})"),
        ("mixed-up", "Mixed up: {}. {}"),
        ("and", "and"),
        ("words-in-it", "Words in it: {}."),
        ("several-have", "Several words have \"{}\" in them:"),
        ("nearest-is", "No word is called \"{}\"; the nearest is:"),
        ("none-has", "No word is called \"{}\", and none has it in it."),
        (
            "how-many-words",
            "{} words. {} tells one; a part of it is enough.",
        ),
        ("often-mixed", "Mixed up with each other:"),
    ];

    /// Reads words from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Glossary, Faults> {
        Document::read(file, source, Glossary::read_top)
    }

    /// Reads them from the top of their document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<Glossary> {
        top.format("shimwright words 1");
        let mut words: Vec<Word> = Vec::new();
        for section in top.sections("word") {
            let term = section.text("term");
            let also = section.texts("also").into_iter().map(|(name, _)| name).collect();
            let says = section.text("says").map(|text| flowing(&text));
            let formula = section
                .texts("formula")
                .into_iter()
                .map(|(line, _)| line)
                .collect();
            let not_in = section
                .texts("not_in")
                .into_iter()
                .map(|(phrase, _)| phrase)
                .collect();
            section.finish();
            if let (Some(term), Some(says)) = (term, says) {
                if words.iter().any(|known| known.term == term) {
                    section.fault_at("term", format!("\"{term}\" is told twice"));
                }
                words.push(Word {
                    term,
                    also,
                    says,
                    formula,
                    not_in,
                });
            }
        }
        let mut mixed = Vec::new();
        for section in top.sections("mixed") {
            let terms = section.texts("terms");
            for (term, span) in &terms {
                if !words.iter().any(|known| known.term == *term) {
                    section.fault(span.clone(), format!("no [[word]] has the term \"{term}\""));
                }
            }
            let says = section.text("says").map(|text| flowing(&text));
            section.finish();
            if let Some(says) = says {
                mixed.push(Mixed {
                    terms: terms.into_iter().map(|(term, _)| term).collect(),
                    says,
                });
            }
        }
        top.finish();
        words.sort_by_key(|word| word.term.to_lowercase());
        Some(Glossary {
            words,
            mixed,
            language: None,
        })
    }

    /// The words that the program carries.
    ///
    /// ```
    /// use shimwright::workshop::{Found, Glossary};
    /// let Found::One(word) = Glossary::stock().find("Gap") else { panic!() };
    /// assert_eq!(word.term, "clearance");
    /// ```
    pub fn stock() -> &'static Glossary {
        static WORDS: OnceLock<Glossary> = OnceLock::new();
        // that they can be read is held by a test
        WORDS.get_or_init(|| Glossary::read("words.toml", STOCK).unwrap_or_default())
    }

    /// The words in a language that the program carries; in English where it does not.
    pub fn in_language(code: &str) -> &'static Glossary {
        static WORDS: OnceLock<Vec<(String, Glossary)>> = OnceLock::new();
        let known = WORDS.get_or_init(|| {
            let told = |language: &'static Language| (language.code.clone(), Glossary::told_in(language));
            Language::stock().iter().map(told).collect()
        });
        let wanted = Language::of(code);
        let found = wanted.and_then(|language| known.iter().find(|(code, _)| *code == language.code));
        found.map_or_else(Glossary::stock, |(_, glossary)| glossary)
    }

    /// The stock words in a language. What it has no words for stays English, and is found by `lint`; a word is also found by its
    /// English names, and formulas are the same.
    fn told_in(language: &'static Language) -> Glossary {
        let stock = Glossary::stock();
        let mut words: Vec<Word> = Vec::new();
        for word in &stock.words {
            words.push(match language.word(&word.term) {
                Some(told) => Word {
                    term: told.said.clone(),
                    also: told
                        .also
                        .iter()
                        .chain([&word.term])
                        .chain(&word.also)
                        .cloned()
                        .collect(),
                    says: told.says.clone(),
                    formula: word.formula.clone(),
                    not_in: told.not_in.clone(),
                },
                None => word.clone(),
            });
        }
        let said = |term: &String| language.word(term).map_or(term.clone(), |told| told.said.clone());
        let mixed = stock.mixed.iter().map(|mixed| Mixed {
            terms: mixed.terms.iter().map(said).collect(),
            says: language
                .mixed(&mixed.id())
                .map_or_else(|| mixed.says.clone(), str::to_string),
        });
        words.sort_by_key(|word| word.term.to_lowercase());
        Glossary {
            words,
            mixed: mixed.collect(),
            language: Some(language),
        }
    }

    /// What stands round words, by its id, with what is put into it.
    pub fn fill(&self, id: &str, values: &[&str]) -> String {
        let english = Glossary::ROUND_WORDS.iter().find(|(known, _)| *known == id);
        let told = self.language.and_then(|language| language.phrase(id));
        let pattern = told.or(english.map(|(_, english)| *english)).unwrap_or("");
        filled(pattern, values)
    }

    /// The language, where it is not English.
    pub fn language(&self) -> Option<&'static Language> {
        self.language
    }

    /// Every word, by the alphabet.
    pub fn words(&self) -> &[Word] {
        &self.words
    }

    /// Those that people mix up.
    pub fn mixed(&self) -> &[Mixed] {
        &self.mixed
    }

    /// Looks a word up: by its name or another name, else by a part of one, else by what the words say.
    pub fn find(&self, text: &str) -> Found<'_> {
        let wanted = flowing(&text.to_lowercase());
        let names = |word: &Word| -> Vec<String> {
            std::iter::once(&word.term)
                .chain(&word.also)
                .map(|name| name.to_lowercase())
                .collect()
        };
        let is_name = |word: &&Word| names(word).contains(&wanted);
        if let Some(word) = self.words.iter().find(is_name) {
            return Found::One(word);
        }
        let all = |fits: &dyn Fn(&Word) -> bool| -> Vec<&Word> {
            self.words
                .iter()
                .filter(|word| !wanted.is_empty() && fits(word))
                .collect()
        };
        let mut found = all(&|word| names(word).iter().any(|name| name.contains(&wanted)));
        if found.is_empty() {
            found = all(&|word| word.says.to_lowercase().contains(&wanted));
        }
        match found.as_slice() {
            [] => {
                let known: Vec<String> = self.words.iter().flat_map(names).collect();
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                let near = nearest(&wanted, &known);
                Found::Near(near.and_then(|near| {
                    self.words
                        .iter()
                        .find(|word| names(word).iter().any(|name| name == near))
                }))
            }
            [one] => Found::One(one),
            _ => Found::Several(found),
        }
    }

    /// The words of the glossary that a text uses, in the order in which they come; not those of a phrase in which the word
    /// means another thing.
    ///
    /// ```
    /// use shimwright::workshop::Glossary;
    /// assert_eq!(Glossary::stock().terms_in("A plate is laid on the surface plate."), ["plate"]);
    /// assert!(Glossary::stock().terms_in("It is bolted to a plate.").is_empty());
    /// ```
    pub fn terms_in(&self, text: &str) -> Vec<&str> {
        let text = flowing(&text.to_lowercase());
        let mut spans: Vec<(usize, usize, Option<&str>)> = Vec::new();
        for word in &self.words {
            let names = std::iter::once(&word.term)
                .chain(&word.also)
                .map(|name| (name, Some(word.term.as_str())));
            for (name, told) in names.chain(word.not_in.iter().map(|phrase| (phrase, None))) {
                let name = name.to_lowercase();
                for (start, _) in text.match_indices(&name) {
                    if let Some(end) = whole_word(&text, start, start + name.len(), &self.endings()) {
                        spans.push((start, end, told));
                    }
                }
            }
        }
        // of two that overlap the one that begins first, and of these the longer one
        spans.sort_by_key(|(start, end, _)| (*start, std::cmp::Reverse(*end)));
        let (mut past, mut terms) = (0, Vec::new());
        for (start, end, term) in spans {
            if start >= past {
                past = end;
                terms.extend(term.filter(|term| !terms.contains(term)));
            }
        }
        terms
    }

    /// Everything about a word as lines of text; an empty line parts the paragraphs.
    pub fn tell(&self, word: &Word) -> Vec<String> {
        let mut lines = vec![match word.also.as_slice() {
            [] => word.term.clone(),
            also => self.fill("also-called", &[&word.term, &also.join(", ")]),
        }];
        lines.push(word.says.clone());
        lines.extend(word.formula.iter().map(|formula| format!("    {formula}")));
        for mixed in self.mixed_with(word) {
            lines.push(String::new());
            let terms = mixed.terms.join(&format!(" {} ", self.fill("and", &[])));
            lines.push(self.fill("mixed-up", &[&terms, &mixed.says]));
        }
        let mentioned = self.mentioned(word);
        if !mentioned.is_empty() {
            lines.push(String::new());
            lines.push(self.fill("words-in-it", &[&mentioned.join(", ")]));
        }
        lines
    }

    /// What a word that was looked up is told with.
    pub fn answer(&self, text: &str) -> Vec<String> {
        match self.find(text) {
            Found::One(word) => self.tell(word),
            Found::Several(words) => {
                let mut lines = vec![self.fill("several-have", &[text.trim()])];
                lines.extend(
                    words
                        .iter()
                        .map(|word| format!("{}: {}", word.term, first_sentence(&word.says))),
                );
                lines
            }
            Found::Near(Some(word)) => {
                let mut lines = vec![self.fill("nearest-is", &[text.trim()])];
                lines.push(String::new());
                lines.extend(self.tell(word));
                lines
            }
            Found::Near(None) => vec![self.fill("none-has", &[text.trim()])],
        }
    }

    /// How a word may end in a sentence.
    fn endings(&self) -> Vec<&str> {
        match self.language {
            Some(language) => language.endings(),
            None => vec!["es", "s"],
        }
    }

    fn mixed_with<'a>(&'a self, word: &'a Word) -> impl Iterator<Item = &'a Mixed> {
        self.mixed.iter().filter(|mixed| mixed.terms.contains(&word.term))
    }

    /// Other words that a word's text uses.
    fn mentioned(&self, word: &Word) -> Vec<&str> {
        let mut terms = self.terms_in(&word.says);
        terms.retain(|term| *term != word.term);
        terms
    }

    /// Words for `--json`.
    pub fn summary<'a>(&self, words: impl IntoIterator<Item = &'a Word>) -> Summary {
        let words: Vec<Value> = words
            .into_iter()
            .map(|word| {
                let mixed: Vec<Value> = self
                    .mixed_with(word)
                    .map(|mixed| json!({"terms": mixed.terms, "says": mixed.says}))
                    .collect();
                json!({
                    "term": word.term, "also": word.also, "says": word.says, "formula": word.formula,
                    "mixed_up": mixed, "mentions": self.mentioned(word),
                })
            })
            .collect();
        let mut told = json!({ "words": words });
        if let Some(language) = self.language {
            told["language"] = json!(language.code);
            told["unreviewed"] = json!(!language.is_reviewed());
        }
        Summary::told("words", told)
    }
}

fn first_sentence(text: &str) -> &str {
    text.split_inclusive(". ").next().unwrap_or(text).trim_end()
}

/// The end of a word that stands by itself in a text, with the ending of its plural; `None` where it is part of another.
fn whole_word(text: &str, start: usize, end: usize, endings: &[&str]) -> Option<usize> {
    let is_part = |c: char| c.is_alphanumeric() || c == '-';
    if text[..start].chars().next_back().is_some_and(is_part) {
        return None;
    }
    let end = endings
        .iter()
        .find(|plural| {
            let rest = text[end..].strip_prefix(**plural);
            rest.is_some_and(|rest| !rest.chars().next().is_some_and(is_part))
        })
        .map_or(end, |plural| end + plural.len());
    (!text[end..].chars().next().is_some_and(is_part)).then_some(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stock_words_are_without_fault() {
        let words = Glossary::read("words.toml", STOCK).unwrap_or_else(|faults| panic!("{faults}"));
        assert!(words.words.len() > 50, "{}", words.words.len());
        let mut names: Vec<String> = words
            .words
            .iter()
            .flat_map(|word| std::iter::once(&word.term).chain(&word.also))
            .map(|name| name.to_lowercase())
            .collect();
        names.sort();
        let twice: Vec<_> = names.windows(2).filter(|pair| pair[0] == pair[1]).collect();
        assert!(twice.is_empty(), "{twice:?}");
    }

    #[test]
    fn a_word_is_found_by_any_of_its_names_a_part_of_one_and_a_slip() {
        let words = Glossary::stock();
        let one = |text: &str| match words.find(text) {
            Found::One(word) => word.term.as_str(),
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(one("preload"), "preload");
        assert_eq!(one(" Warped "), "flatness");
        assert_eq!(one("guard"), "guard band");
        let Found::Several(several) = words.find("datum") else {
            panic!()
        };
        assert_eq!(several.len(), 2);
        let Found::Near(Some(near)) = words.find("prelaod") else {
            panic!()
        };
        assert_eq!(near.term, "preload");
        assert_eq!(words.find("zzzzzzzz"), Found::Near(None));
        assert!(matches!(words.find(""), Found::Near(_)));
    }

    #[test]
    fn the_words_of_a_text_are_whole_words_and_the_longest_of_them() {
        let words = Glossary::stock();
        assert_eq!(
            words.terms_in("Lay the friction plates in; the preloads are set by shims, not by platelets."),
            ["friction plate", "preload", "shim"]
        );
        assert_eq!(words.terms_in("surfaces and pre-loads"), Vec::<&str>::new());
    }

    #[test]
    fn a_word_is_told_with_what_it_is_mixed_up_with() {
        let words = Glossary::stock();
        let told = words.answer("ring-face datum").join("\n");
        assert!(
            told.contains("Mixed up: ring-face datum and shaft-axis datum."),
            "{told}"
        );
        assert!(told.contains("add up to 90°"), "{told}");
        assert!(told.contains("Words in it: "), "{told}");
    }
}
