//! The walk along the questions of a file that is made by questions: what is answered goes into its lines, what is open is
//! asked next.

use super::new_file_question::{Given, Question, Value, Wants};
use crate::mechanics::Keying;
use crate::mechanics::pack::active_faces;
use crate::quantity::Dimension;
use crate::record::Slot;
use crate::workshop::FileKind;
use crate::workshop::new_text::{FileLine, FileValue};

/// A figure that may be anything.
pub(super) const ANY: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];

/// A walk along the answers up to the first question that is open.
pub(super) struct Walk<'a> {
    answers: &'a [(Slot, Given)],
    notes: &'a [(Slot, String)],
    /// Notes that have no line yet: a key that is left out has none.
    pub notes_left: Vec<String>,
    /// Whether to go on where nothing is answered, to count the questions.
    ghost: bool,
    /// The kind of file that is made.
    kind: FileKind,
    pub stage: &'static str,
    pub lines: Vec<FileLine>,
    pub next: Option<Question>,
    /// How many questions were met.
    pub asked: usize,
    /// The keys whose values are estimates.
    pub guessed: Vec<String>,
}

/// A place in the file: table, key, and which of several tables.
#[derive(Clone, Copy)]
pub(super) struct Key<'k>(pub &'static str, pub &'static str, pub &'k str);

/// What is asked for a key: words, an example. Where to find it is what [`FileKind::says`] tells, and is the comment too.
pub(super) type Said = [&'static str; 2];
/// What is asked that is no key: words, where to find it, an example.
pub(super) type Said3 = [&'static str; 3];

impl<'a> Walk<'a> {
    pub fn new(
        answers: &'a [(Slot, Given)],
        notes: &'a [(Slot, String)],
        ghost: bool,
        kind: FileKind,
    ) -> Walk<'a> {
        Walk {
            answers,
            notes,
            notes_left: Vec::new(),
            ghost,
            kind,
            stage: "",
            lines: Vec::new(),
            next: None,
            asked: 0,
            guessed: Vec::new(),
        }
    }

    pub fn slot(Key(table, key, item): Key<'_>) -> Slot {
        let table = table.trim_matches(['[', ']']);
        let step = if table.is_empty() {
            key.to_string()
        } else {
            format!("{table}.{key}")
        };
        Slot {
            round: 1,
            step,
            item: (!item.is_empty()).then(|| item.to_string()),
            point: None,
        }
    }

    pub fn words_of(&self, key: Key<'_>) -> &'static str {
        self.kind.says(&Walk::slot(key).step).unwrap_or("")
    }

    /// Asks one thing; gives its answer, or nothing where it is open.
    pub fn ask(&mut self, key: Key<'_>, wants: Wants, said: Said3, optional: bool) -> Option<Value> {
        self.asked_for(key, wants, said, optional, None)
    }

    /// Asks for what nobody may know: `not known` takes the estimate, and the key is noted as guessed.
    pub fn ask_or_guess(&mut self, key: Key<'_>, wants: Wants, said: Said3, guess: Value) -> Option<Value> {
        self.asked_for(key, wants, said, false, Some(guess))
    }

    /// Takes the estimate of what was said before to be not known, and notes the key as guessed.
    pub fn guess(&mut self, key: Key<'_>, guess: &str) {
        self.guessed.push(Walk::slot(key).step);
        self.write(key, FileValue::Text(guess.to_string()));
    }

    fn asked_for(
        &mut self,
        key: Key<'_>,
        wants: Wants,
        [words, why, example]: Said3,
        optional: bool,
        guess: Option<Value>,
    ) -> Option<Value> {
        let slot = Walk::slot(key);
        self.asked += 1;
        if let Some((_, given)) = self.answers.iter().find(|(known, _)| *known == slot) {
            let notes = self.notes.iter().filter(|(at, _)| *at == slot);
            self.notes_left.extend(notes.map(|(_, text)| text.clone()));
            return Some(match &given.value {
                Value::NotKnown => {
                    self.guessed.push(slot.step);
                    guess.unwrap_or(Value::None)
                }
                known => known.clone(),
            });
        }
        if self.ghost {
            return Some(match &wants {
                _ if guess.is_some() => guess.unwrap_or(Value::None),
                _ if optional => Value::None,
                Wants::YesNo => Value::Yes(false),
                Wants::Names | Wants::Marks(_) => Value::Texts(vec!["?".to_string()]),
                Wants::Lengths | Wants::Torques | Wants::Forces | Wants::Counts => Value::Texts(Vec::new()),
                Wants::Word(words) => Value::Text(words.first().map_or("", |(key, _)| *key).to_string()),
                _ => Value::Text(String::new()),
            });
        }
        self.next = Some(Question {
            slot,
            stage: self.stage,
            wants,
            words,
            why,
            example,
            optional,
            guess,
        });
        None
    }

    /// Asks for a key and writes it.
    pub fn key(
        &mut self,
        key: Key<'_>,
        wants: Wants,
        [words, example]: Said,
        optional: bool,
    ) -> Option<Value> {
        let value = self.ask(key, wants, [words, self.words_of(key), example], optional)?;
        let written = match &value {
            Value::Text(text) => FileValue::Text(text.clone()),
            Value::Number(text) => FileValue::Bare(text.clone()),
            Value::Texts(texts) => FileValue::Texts(texts.clone()),
            Value::Numbers(numbers) => FileValue::Bare(format!("[{}]", numbers.join(", "))),
            Value::Yes(yes) => FileValue::Bare(yes.to_string()),
            // these are no value of one key
            Value::None | Value::NotKnown | Value::Points(_) | Value::Pairs(_) => return Some(value),
        };
        self.write(key, written);
        Some(value)
    }

    pub fn write(&mut self, key: Key<'_>, value: FileValue) {
        let Key(table, name, item) = key;
        let comment = self.words_of(key);
        self.lines.push(FileLine {
            table,
            item: item.to_string(),
            key: name,
            value,
            comment: if self.lines.iter().any(|line| line.comment == comment) {
                ""
            } else {
                comment
            },
            notes: std::mem::take(&mut self.notes_left),
        });
    }

    pub fn word(
        &mut self,
        key: Key<'_>,
        words: &'static [(&'static str, &'static str)],
        said: Said,
    ) -> Option<String> {
        match self.key(key, Wants::Word(words), said, false)? {
            Value::Text(text) => Some(text),
            _ => Some(String::new()),
        }
    }

    pub fn yes(&mut self, key: Key<'_>, said: Said3) -> Option<bool> {
        Some(self.ask(key, Wants::YesNo, said, false)? == Value::Yes(true))
    }

    pub fn names(&mut self, key: Key<'_>, said: Said3) -> Option<Vec<String>> {
        self.texts(key, Wants::Names, said)
    }

    pub fn marks(&mut self, key: Key<'_>, count: usize, said: Said3) -> Option<Vec<String>> {
        self.texts(key, Wants::Marks(count), said)
    }

    pub fn texts(&mut self, key: Key<'_>, wants: Wants, said: Said3) -> Option<Vec<String>> {
        match self.ask(key, wants, said, false)? {
            Value::Texts(names) => Some(names),
            _ => Some(Vec::new()),
        }
    }

    pub fn text(&mut self, key: Key<'_>, said: Said, optional: bool) -> Option<()> {
        self.key(key, Wants::Text, said, optional).map(|_| ())
    }

    /// Whether the answer counts fewer faces than the order has: with the wall where it may be one, whatever shims come.
    pub fn has_fewer_faces(&self, order: &[String], faces: &Value) -> bool {
        let Value::Number(faces) = faces else {
            return false;
        };
        let written = |table: &str, item: &str, key: &str| {
            let mut lines = self.lines.iter();
            lines
                .find(|line| line.table == table && line.item == item && line.key == key)
                .map(|line| &line.value)
        };
        let text = |word: &str| FileValue::Text(word.to_string());
        let keys: Vec<Keying> = order
            .iter()
            .filter_map(|name| {
                let keyed = written("[plate]", name, "keyed")?;
                Some(if *keyed == text("gear") {
                    Keying::Gear
                } else {
                    Keying::Case
                })
            })
            .collect();
        let wall = written("friction", "", "wall_is_face").is_some()
            && written("spring", "", "place") != Some(&text("behind the pack"));
        faces
            .parse()
            .is_ok_and(|faces: u32| faces < active_faces(&keys, wall))
    }

    pub fn count(&mut self, key: Key<'_>, said: Said, optional: bool) -> Option<()> {
        self.key(key, Wants::Count, said, optional).map(|_| ())
    }

    pub fn length(&mut self, key: Key<'_>, usual: [f64; 2], said: Said) -> Option<()> {
        self.quantity(key, Dimension::Length, usual, said, false)
    }

    pub fn quantity(
        &mut self,
        key: Key<'_>,
        dimension: Dimension,
        usual: [f64; 2],
        said: Said,
        optional: bool,
    ) -> Option<()> {
        self.key(key, Wants::Quantity(dimension, usual), said, optional)
            .map(|_| ())
    }

    /// Asks for a figure that may be unknown, and writes it; gives it as it stands in the file.
    pub fn figure(
        &mut self,
        key: Key<'_>,
        dimension: Dimension,
        usual: [f64; 2],
        [words, example]: Said,
        guess: &str,
    ) -> Option<String> {
        let guess = match dimension {
            Dimension::Ratio => Value::Number(guess.to_string()),
            _ => Value::Text(guess.to_string()),
        };
        let said = [words, self.words_of(key), example];
        let value = self.ask_or_guess(key, Wants::Quantity(dimension, usual), said, guess)?;
        let text = value.words();
        self.write(
            key,
            match value {
                Value::Number(_) => FileValue::Bare(text.clone()),
                _ => FileValue::Text(text.clone()),
            },
        );
        Some(text)
    }
}
