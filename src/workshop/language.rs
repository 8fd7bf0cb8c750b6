//! Languages beside English: what guards people, in the words of another language, by the ids of the English.

use crate::document::{Document, Faults, Letters, Section, Spelling};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The languages that the program carries, as text.
const STOCK: [(&str, &str); 2] = [
    ("de", include_str!("../../procedures/language/de.toml")),
    ("es", include_str!("../../procedures/language/es.toml")),
];

/// The hazards that words can give away, by their words in procedure files.
const TOLD_BY_WORDS: [&str; 3] = ["lifting", "torque", "spring"];

/// A language by its letters.
static LETTERS: Spelling = Spelling {
    name: "language",
    says: "write it by its letters, small: de, es, pt-br",
    rule: "sense",
    letters: Letters::Id,
    length: 2..=35,
    example: "de",
};

/// A language: translations of what guards people. What it does not have stays English.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Language {
    /// Its letters, as RFC 5646 has them, small, such as `de`.
    pub code: String,
    /// Its name in itself.
    pub name: String,
    /// Its name in English.
    pub in_english: String,
    /// Who signed the translation off, and when; nothing where no practitioner has.
    pub reviewed: Option<(String, String)>,
    endings: Vec<String>,
    telltales: Vec<(&'static str, Vec<String>)>,
    sentences: BTreeMap<String, String>,
    steps: BTreeMap<String, StepWords>,
    texts: BTreeMap<String, String>,
    phrases: BTreeMap<String, String>,
    answers: Vec<TypedWord>,
    controls: Vec<TypedWord>,
    words: BTreeMap<String, ToldWord>,
    mixed: BTreeMap<String, String>,
    held_to: BTreeMap<(String, String), HeldTo>,
}

/// A word that is typed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TypedWord {
    /// The English word, which is written down.
    pub word: String,
    /// The word in this language.
    pub said: String,
    /// How else it may be typed, such as without its accents.
    pub also: Vec<String>,
    /// What it does; empty for the word of an answer.
    pub does: String,
}

impl TypedWord {
    /// Whether a text is this word, in whatever case.
    fn is(&self, text: &str) -> bool {
        let text = text.to_lowercase();
        self.said == text || self.also.contains(&text)
    }
}

/// A word of the trade.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ToldWord {
    /// The word in this language.
    pub said: String,
    /// What else it is called.
    pub also: Vec<String>,
    /// What it means.
    pub says: String,
    /// Phrases in which it means another thing.
    pub not_in: Vec<String>,
}

/// The words of a step.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepWords {
    /// What to do; nothing for a caution, whose words are put together of sentences.
    pub words: Option<String>,
    /// Why.
    pub why: String,
    /// What the places of a scale mean, where it has one.
    pub scale: Vec<String>,
}

/// What a translation was held to when it was last written down: the first digits of the digests of the English and of the words
/// themselves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HeldTo {
    /// Of the English.
    pub english: String,
    /// Of the translation.
    pub own: String,
}

/// What a file has under an id, each once.
fn by_id(
    top: &Section<'_>,
    list: &'static str,
    key: &'static str,
    read: impl Fn(&Section<'_>) -> Option<String>,
) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for section in top.sections(list) {
        let id = section.text(key);
        let words = read(&section);
        section.finish();
        if let (Some(id), Some(words)) = (id, words)
            && found.insert(id.clone(), words).is_some()
        {
            section.fault_at(key, format!("\"{id}\" is told twice"));
        }
    }
    found
}

/// The words of a list that are typed, each once.
fn typed_words(top: &Section<'_>, list: &'static str, does: bool) -> Vec<TypedWord> {
    let mut found: Vec<TypedWord> = Vec::new();
    for section in top.sections(list) {
        let (word, said) = (section.text("word"), section.text("said"));
        let also = section.texts("also").into_iter().map(|(text, _)| text).collect();
        let does = match does {
            true => section.text("does"),
            false => Some(String::new()),
        };
        section.finish();
        let (Some(word), Some(said), Some(does)) = (word, said, does) else {
            continue;
        };
        let one = TypedWord {
            word,
            said,
            also,
            does,
        };
        let spelt: Vec<&String> = one.also.iter().chain([&one.said]).collect();
        if found
            .iter()
            .any(|known| known.word == one.word || spelt.iter().any(|text| known.is(text)))
        {
            section.fault_at("said", format!("\"{}\" is told twice", one.said));
        }
        found.push(one);
    }
    found
}

/// The words of the trade, each once.
fn told_words(top: &Section<'_>) -> BTreeMap<String, ToldWord> {
    let mut found = BTreeMap::new();
    for section in top.sections("word") {
        let list = |key: &'static str| section.texts(key).into_iter().map(|(text, _)| text).collect();
        let (term, said) = (section.text("term"), section.text("said"));
        let (also, not_in) = (list("also"), list("not_in"));
        let says = section.text("says").map(|text| flowing(&text));
        section.finish();
        let (Some(term), Some(said), Some(says)) = (term, said, says) else {
            continue;
        };
        let word = ToldWord {
            said,
            also,
            says,
            not_in,
        };
        if found.insert(term.clone(), word).is_some() {
            section.fault_at("term", format!("\"{term}\" is told twice"));
        }
    }
    found
}

/// What translations were held to: a row each, as `step clamp 1a2b3c4d 5e6f7a8b`; the list, the id, the English and the words.
fn held_rows(top: &Section<'_>) -> BTreeMap<(String, String), HeldTo> {
    let mut found = BTreeMap::new();
    for (row, span) in top.texts("held_to") {
        let digits = |text: &str| text.len() == 8 && text.bytes().all(|b| b.is_ascii_hexdigit());
        let parts = row.split_once(' ').and_then(|(list, rest)| {
            let (rest, own) = rest.rsplit_once(' ')?;
            let (id, english) = rest.rsplit_once(' ')?;
            (digits(english) && digits(own)).then(|| {
                let held = HeldTo {
                    english: english.to_string(),
                    own: own.to_string(),
                };
                ((list.to_string(), id.to_string()), held)
            })
        });
        let Some((key, held)) = parts else {
            top.fault(span, "a row is a list, an id, and eight digits of two digests");
            continue;
        };
        if found.insert(key, held).is_some() {
            top.fault(span, format!("\"{row}\" is held to something twice"));
        }
    }
    found
}

/// A text with what is put in the places of its `{}`, one after the other.
pub fn filled(pattern: &str, values: &[&str]) -> String {
    let mut parts = pattern.split("{}");
    let mut said = parts.next().unwrap_or("").to_string();
    for (n, part) in parts.enumerate() {
        said.push_str(values.get(n).copied().unwrap_or(""));
        said.push_str(part);
    }
    said
}

fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn trimmed(text: String) -> String {
    text.trim().to_string()
}

impl Language {
    /// Reads a language from TOML text; gives every fault at once. What is missing is for who knows the English to say.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Language, Faults> {
        Document::read(file, source, Language::read_top)
    }

    /// Reads it from the top of its document.
    pub fn read_top(top: &Section<'_>) -> Option<Language> {
        top.format("shimwright language 1");
        let code = top.spelt("language", &LETTERS);
        let name = top.text("name");
        let in_english = top.text("in_english");
        let reviewed = match (top.text_maybe("reviewed_by"), top.text_maybe("reviewed_at")) {
            (Some(by), Some(at)) => Some((by, at)),
            (None, None) => None,
            _ => {
                top.fault(
                    top.span(),
                    "who signed a translation off and when stand together: reviewed_by and reviewed_at",
                );
                None
            }
        };
        let (mut endings, mut telltales) = (Vec::new(), Vec::new());
        if let Some(section) = top.section("telltales") {
            let list = |key: &'static str| -> Vec<String> {
                let texts = section.texts(key).into_iter();
                texts.map(|(text, _)| text.to_lowercase()).collect()
            };
            endings = list("endings");
            for hazard in TOLD_BY_WORDS {
                let words = list(hazard);
                if words.is_empty() {
                    let said = format!("words that give \"{hazard}\" away are wanted");
                    section.fault_by("untranslated", section.span(), said);
                }
                telltales.push((hazard, words));
            }
            section.finish();
        }
        let sentences = by_id(top, "sentence", "id", |section| {
            section.text("words").map(trimmed)
        });
        let texts = by_id(top, "text", "of", |section| section.text("words").map(trimmed));
        let phrases = by_id(top, "phrase", "id", |section| section.text("words").map(trimmed));
        let mut steps = BTreeMap::new();
        for section in top.sections("step") {
            let id = section.text("id");
            let words = section.text_maybe("words").map(trimmed);
            let why = section.text("why").map(trimmed);
            let scale = section.texts("scale").into_iter().map(|(text, _)| text).collect();
            section.finish();
            if let (Some(id), Some(why)) = (id, why)
                && steps
                    .insert(id.clone(), StepWords { words, why, scale })
                    .is_some()
            {
                section.fault_at("id", format!("\"{id}\" is told twice"));
            }
        }
        let answers = typed_words(top, "answer", false);
        let controls = typed_words(top, "control", true);
        let words = told_words(top);
        let mixed = by_id(top, "mixed", "of", |section| {
            section.text("says").map(|text| flowing(&text))
        });
        let held_to = held_rows(top);
        top.finish();
        Some(Language {
            code: code?,
            name: name?,
            in_english: in_english?,
            reviewed,
            endings,
            telltales,
            sentences,
            steps,
            texts,
            phrases,
            answers,
            controls,
            words,
            mixed,
            held_to,
        })
    }

    /// Every language that the program carries; that all of them can be read is held by a test.
    pub fn stock() -> &'static [Language] {
        static READ: OnceLock<Vec<Language>> = OnceLock::new();
        READ.get_or_init(|| {
            let read = |(file, source): &(&str, &str)| Language::read(file, source).ok();
            STOCK.iter().filter_map(read).collect()
        })
    }

    /// The texts of the languages that the program carries, each with its letters.
    pub fn texts_of_stock() -> &'static [(&'static str, &'static str)] {
        &STOCK
    }

    /// The language of some letters, whatever country they name; nothing for English and for one that is not carried.
    ///
    /// ```
    /// use shimwright::workshop::language::Language;
    /// assert_eq!(Language::of("de-at").unwrap().in_english, "German");
    /// assert!(Language::of("en").is_none());
    /// ```
    pub fn of(code: &str) -> Option<&'static Language> {
        let first = code.split('-').next().unwrap_or(code);
        Language::stock().iter().find(|language| language.code == first)
    }

    /// Whether a practitioner has signed it off.
    pub fn is_reviewed(&self) -> bool {
        self.reviewed.is_some()
    }

    /// A safety sentence by its id.
    pub fn sentence(&self, id: &str) -> Option<&str> {
        self.sentences.get(id).map(String::as_str)
    }

    /// A step's words by its id.
    pub fn step(&self, id: &str) -> Option<&StepWords> {
        self.steps.get(id)
    }

    /// A title, a purpose or a tool, by the English of it.
    pub fn text(&self, of: &str) -> Option<&str> {
        self.texts.get(of).map(String::as_str)
    }

    /// What stands round a question, by its id.
    pub fn phrase(&self, id: &str) -> Option<&str> {
        self.phrases.get(id).map(String::as_str)
    }

    /// The word for the English word of an answer or of a verdict.
    pub fn answer(&self, word: &str) -> Option<&str> {
        let known = self.answers.iter().find(|known| known.word == word);
        known.map(|known| known.said.as_str())
    }

    /// The English word of an answer that was typed in this language.
    pub fn answer_in_english(&self, typed: &str) -> Option<&str> {
        let known = self.answers.iter().find(|known| known.is(typed));
        known.map(|known| known.word.as_str())
    }

    /// A control word, by the English one.
    pub fn control(&self, word: &str) -> Option<&TypedWord> {
        self.controls.iter().find(|known| known.word == word)
    }

    /// The English control word for one that was typed in this language.
    pub fn control_in_english(&self, typed: &str) -> Option<&str> {
        let known = self.controls.iter().find(|known| known.is(typed));
        known.map(|known| known.word.as_str())
    }

    /// A word of the trade by its English one.
    pub fn word(&self, term: &str) -> Option<&ToldWord> {
        self.words.get(term)
    }

    /// How words differ that are mixed up, by the English words with ` / ` between.
    pub fn mixed(&self, of: &str) -> Option<&str> {
        self.mixed.get(of).map(String::as_str)
    }

    /// How its words may end in a sentence, the longest first.
    pub fn endings(&self) -> Vec<&str> {
        let mut endings: Vec<&str> = self.endings.iter().map(String::as_str).collect();
        endings.sort_by_key(|ending| std::cmp::Reverse(ending.len()));
        endings
    }

    /// What a translation was last held to, by its list and id; nothing where nobody wrote that down.
    pub fn held_to(&self, list: &str, id: &str) -> Option<&HeldTo> {
        self.held_to.get(&(list.to_string(), id.to_string()))
    }

    /// Every list and id for which it is written down what the translation was held to.
    pub fn held(&self) -> impl Iterator<Item = (&str, &str)> {
        self.held_to.keys().map(|(list, id)| (list.as_str(), id.as_str()))
    }

    /// All words that it has for an id of a list, as one text.
    pub fn own_words(&self, list: &str, id: &str) -> Option<String> {
        match list {
            "sentence" => self.sentence(id).map(str::to_string),
            "phrase" => self.phrase(id).map(str::to_string),
            "mixed" => self.mixed(id).map(str::to_string),
            "step" => self.step(id).map(|step| {
                let words = step.words.as_deref().unwrap_or("");
                [
                    &[words, &step.why],
                    &step.scale.iter().map(String::as_str).collect::<Vec<_>>()[..],
                ]
                .concat()
                .join("\n")
            }),
            "word" => self.word(id).map(|word| word.says.clone()),
            _ => None,
        }
    }

    /// Everything that it has words for: the list in its file, and the id there.
    pub fn told(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let sentences = self.sentences.keys().map(|id| ("sentence", id.as_str()));
        let steps = self.steps.keys().map(|id| ("step", id.as_str()));
        let texts = self.texts.keys().map(|of| ("text", of.as_str()));
        let phrases = self.phrases.keys().map(|id| ("phrase", id.as_str()));
        let answers = self.answers.iter().map(|known| ("answer", known.word.as_str()));
        let controls = self.controls.iter().map(|known| ("control", known.word.as_str()));
        let words = self.words.keys().map(|term| ("word", term.as_str()));
        let mixed = self.mixed.keys().map(|of| ("mixed", of.as_str()));
        let typed = answers.chain(controls).chain(words).chain(mixed);
        sentences.chain(steps).chain(texts).chain(phrases).chain(typed)
    }

    /// The hazards that some words give away in this language, by their words in procedure files.
    pub fn hazards_in(&self, words: &str) -> Vec<&'static str> {
        let words = words.to_lowercase();
        let gives_away = |telltale: &String| {
            words.match_indices(telltale.as_str()).any(|(at, found)| {
                let before = words[..at].chars().next_back();
                let ending: String = words[at + found.len()..]
                    .chars()
                    .take_while(|c| c.is_alphabetic())
                    .collect();
                let ends = ending.is_empty() || self.endings.contains(&ending);
                ends && !before.is_some_and(char::is_alphabetic)
            })
        };
        let told = self.telltales.iter();
        told.filter(|(_, telltales)| telltales.iter().any(gives_away))
            .map(|(hazard, _)| *hazard)
            .collect()
    }
}
