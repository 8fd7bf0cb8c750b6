//! What holds where nothing else is said: units of measure, paper, key, who is who, language, screen,
//! font.

use crate::document::{Document, Fault, Faults, Section, too_much};
use crate::report::{self, Report, Summary, Table};
use serde_json::{Value, json};
use std::fmt;
use toml_edit::{DocumentMut, value};

const FORMAT: &str = "shimwright defaults 1";

/// Something that has a default.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DefaultKey {
    /// How bare numbers are read and values shown.
    Units,
    /// The size of paper.
    Paper,
    /// The private key to sign with.
    Key,
    /// The file of who is who that seals are held against.
    Signers,
    /// The language of what guards people.
    Language,
    /// How questions stand on a terminal.
    Screen,
    /// The font for what the built-in typeface of the sheets lacks.
    Font,
}

impl DefaultKey {
    /// Every key with its word.
    pub const ALL: [(DefaultKey, &'static str); 7] = [
        (DefaultKey::Units, "units"),
        (DefaultKey::Paper, "paper"),
        (DefaultKey::Key, "key"),
        (DefaultKey::Signers, "signers"),
        (DefaultKey::Language, "language"),
        (DefaultKey::Screen, "screen"),
        (DefaultKey::Font, "font"),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        let mut all = DefaultKey::ALL.iter();
        all.find(|(key, _)| *key == self).map_or("", |(_, word)| word)
    }

    /// What it may be, what holds where nobody says anything first; nothing where it is any text.
    pub fn values(self) -> &'static [&'static str] {
        match self {
            DefaultKey::Units => &["metric", "inch"],
            DefaultKey::Paper => &["a4", "letter"],
            DefaultKey::Key | DefaultKey::Signers | DefaultKey::Font => &[],
            DefaultKey::Language => &["en", "de", "es"],
            DefaultKey::Screen => &["menus", "lines"],
        }
    }

    /// The variable of the environment that says it, too.
    pub fn variable(self) -> &'static str {
        match self {
            DefaultKey::Units => "SHIMWRIGHT_UNITS",
            DefaultKey::Paper => "SHIMWRIGHT_PAPER",
            DefaultKey::Key => "SHIMWRIGHT_KEY",
            DefaultKey::Signers => "SHIMWRIGHT_SIGNERS",
            DefaultKey::Language => "SHIMWRIGHT_LANGUAGE",
            DefaultKey::Screen => "SHIMWRIGHT_SCREEN",
            DefaultKey::Font => "SHIMWRIGHT_FONT",
        }
    }

    /// Whether it names a file of one person's, and so has no place in a book that several share.
    pub fn is_private(self) -> bool {
        matches!(self, DefaultKey::Key | DefaultKey::Signers)
    }

    /// The key of a word.
    pub fn named(word: &str) -> Option<DefaultKey> {
        let mut all = DefaultKey::ALL.iter();
        all.find(|(_, known)| *known == word).map(|(key, _)| *key)
    }

    /// What is wrong with a value, in words; nothing where it may be one.
    ///
    /// ```
    /// use shimwright::workshop::defaults::DefaultKey;
    /// assert_eq!(DefaultKey::Paper.refuses("letter"), None);
    /// assert!(DefaultKey::Paper.refuses("a5").unwrap().contains("a4, letter"));
    /// ```
    pub fn refuses(self, text: &str) -> Option<String> {
        match self.values() {
            [] if text.trim().is_empty() => Some(format!("{} is empty", self.word())),
            [] => None,
            values if values.contains(&text) => None,
            values => Some(format!(
                "\"{text}\" is none of what {} may be: {}",
                self.word(),
                values.join(", ")
            )),
        }
    }
}

/// Who says what holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum SaidBy {
    /// A variable of the environment.
    Variable(&'static str),
    /// A file, by its path.
    File(String),
    /// The program itself.
    Program,
}

impl fmt::Display for SaidBy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SaidBy::Variable(name) => write!(f, "the environment, {name}"),
            SaidBy::File(path) => f.write_str(path),
            SaidBy::Program => f.write_str("the program itself"),
        }
    }
}

/// What holds for a key where no option says otherwise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Holds {
    /// The key.
    pub key: DefaultKey,
    /// The value; `None` where there is none.
    pub value: Option<String>,
    /// Who says so.
    pub by: SaidBy,
}

impl Holds {
    /// What holds for some keys, a row each.
    ///
    /// ```
    /// use shimwright::workshop::defaults::{DefaultKey, Holds, SaidBy};
    /// let one = Holds { key: DefaultKey::Paper, value: Some("a4".into()), by: SaidBy::Program };
    /// assert!(Holds::report(&[one]).to_json()?.contains("\"by\": \"program\""));
    /// # Ok::<(), shimwright::report::ReportError>(())
    /// ```
    pub fn report(all: &[Holds]) -> Report {
        let objects: Vec<Value> = all
            .iter()
            .map(|one| {
                let (by, file) = match &one.by {
                    SaidBy::Variable(_) => ("environment", None),
                    SaidBy::File(path) => ("file", Some(path)),
                    SaidBy::Program => ("program", None),
                };
                json!({
                    "key": one.key.word(), "value": one.value, "by": by, "file": file,
                    "variable": one.key.variable(), "values": one.key.values(),
                })
            })
            .collect();
        let rows = all.iter().map(|one| {
            [
                one.key.word().to_string(),
                one.value.clone().unwrap_or_else(|| "-".to_string()),
                one.by.to_string(),
                match one.key.values() {
                    [] => "any file".to_string(),
                    values => values.join(", "),
                },
            ]
        });
        let table = Table::of_words(["default", "holds", "said by", "may be"], rows);
        let order = "An option comes first, then the environment, then your own file, then the book's.";
        Report::of(Summary::told("defaults", json!({ "defaults": objects })))
            .with(report::Section::new().table(table))
            .with(report::Section::new().words(order))
    }
}

/// A file of defaults.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Defaults {
    said: Vec<(DefaultKey, String)>,
}

impl Defaults {
    /// Reads the defaults from TOML text; gives every fault at once. In a book, which several people share, what names a file of one
    /// person's has no place.
    ///
    /// ```
    /// use shimwright::workshop::defaults::{DefaultKey, Defaults};
    /// let text = "format = \"shimwright defaults 1\"\nunits = \"inch\"\n";
    /// assert_eq!(Defaults::read("defaults.toml", text, true)?.of(DefaultKey::Units), Some("inch"));
    /// assert!(Defaults::read("defaults.toml", &format!("{text}key = \"bench-key\"\n"), true).is_err());
    /// # Ok::<(), shimwright::document::Faults>(())
    /// ```
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str, in_book: bool) -> Result<Defaults, Faults> {
        Document::read(file, source, |top| {
            if in_book {
                let said = "whose key it is concerns one person: `shimwright defaults set key FILE --for-me`";
                top.not_here("key", "private-default", said);
                let said = "a book has its own file of who is who, allowed_signers: \
                            `shimwright defaults set signers FILE --for-me` is for who goes by another";
                top.not_here("signers", "private-default", said);
            }
            Defaults::read_top(top)
        })
    }

    /// Reads them from the top of their document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<Defaults> {
        top.format(FORMAT);
        let mut said = Vec::new();
        for (key, word) in DefaultKey::ALL {
            let words: Vec<(&str, &str)> = key.values().iter().map(|value| (*value, *value)).collect();
            let found = match words.is_empty() {
                true => top.text_maybe(word),
                false => top.word_maybe(word, &words).map(str::to_string),
            };
            said.extend(found.map(|text| (key, text)));
        }
        top.finish();
        Some(Defaults { said })
    }

    /// What it says of a key.
    pub fn of(&self, key: DefaultKey) -> Option<&str> {
        let mut said = self.said.iter();
        said.find(|(known, _)| *known == key)
            .map(|(_, text)| text.as_str())
    }
}

/// The text of a file of defaults with another value of a key, or without any: order and comments stay.
///
/// ```
/// use shimwright::workshop::defaults::{DefaultKey, with_default};
/// let text = with_default("d.toml", "", DefaultKey::Units, Some("inch"))?;
/// assert_eq!(text, "format = \"shimwright defaults 1\"\nunits = \"inch\"\n");
/// assert_eq!(with_default("d.toml", &text, DefaultKey::Units, None)?, "format = \"shimwright defaults 1\"\n");
/// # Ok::<(), shimwright::document::Faults>(())
/// ```
///
/// # Errors
///
/// [`Faults`]: a text that is no TOML.
pub fn with_default(file: &str, source: &str, key: DefaultKey, text: Option<&str>) -> Result<String, Faults> {
    let faulty = |fault| Faults {
        file: file.to_string(),
        source: source.to_string(),
        faults: vec![fault],
    };
    if let Some(fault) = too_much(source) {
        return Err(faulty(fault));
    }
    let mut document: DocumentMut = source.parse().map_err(|error: toml_edit::TomlError| {
        faulty(Fault {
            rule: "sense",
            span: error.span().unwrap_or(0..0),
            message: error.message().to_string(),
        })
    })?;
    if !document.contains_key("format") {
        document.insert("format", value(FORMAT));
    }
    match text {
        Some(text) => {
            document.insert(key.word(), value(text));
        }
        None => {
            document.remove(key.word());
        }
    }
    Ok(document.to_string())
}
