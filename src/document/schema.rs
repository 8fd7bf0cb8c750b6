//! The shape of a kind of file, found by running its reader over drafts and writing down what it asks for.

use super::key_query::{Kind, Recorder};
use super::reader::Document;
use super::section::Section;
use crate::quantity::{Dimension, sample};
use std::collections::{BTreeMap, BTreeSet};
use toml::{Table, Value};

/// What a draft has at a key that a reader may branch at.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Choice {
    /// It is not there.
    Absent,
    /// It is there.
    Present,
    /// It is this word.
    Word(String),
}

/// What follows for a key from a choice.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Effect {
    pub path: String,
    /// What it is then asked for, and whether it must be there; `None` where it has no place.
    pub state: Option<(Kind, bool)>,
}

/// What follows from choices at one key.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Condition {
    pub path: String,
    pub choices: Vec<Choice>,
    pub effects: Vec<Effect>,
}

/// The shape of a kind of file: what its reader asks for.
#[derive(Clone, Default, Debug)]
pub struct Shape {
    /// Every key, with each thing that it is asked for and whether it must be there wherever its table is.
    pub(super) keys: Vec<(String, Vec<Kind>, bool)>,
    pub(super) conditions: Vec<Condition>,
    pub(super) one_of: Vec<(String, Vec<&'static str>)>,
    pub(super) one_of_each: Vec<(String, &'static str, Vec<&'static str>)>,
}

type Choices = BTreeMap<String, Choice>;

/// The table that a path is in, and its last key.
pub(super) fn parted(path: &str) -> (&str, &str) {
    path.rsplit_once('.').unwrap_or(("", path))
}

impl Shape {
    /// The shape of what `read` reads: it is run over drafts, which get what it asks for, until it asks for nothing new; then
    /// again with each word, and with and without each table that need not be there.
    pub fn of<T>(read: impl Fn(&Section<'_>) -> Option<T>) -> Shape {
        let mut explorer = Explorer {
            read: &|top: &Section<'_>| {
                // what a draft is read for does not count
                let _made = read(top);
            },
            seen: BTreeSet::new(),
            runs: Vec::new(),
            conditions: Vec::new(),
        };
        explorer.explore(&Choices::new());
        explorer.shape()
    }

    /// The path of every key, in the order in which they are read.
    pub fn paths(&self) -> Vec<&str> {
        self.keys.iter().map(|(path, ..)| path.as_str()).collect()
    }
}

struct Explorer<'r> {
    read: &'r dyn Fn(&Section<'_>),
    /// Keys whose choices were gone through.
    seen: BTreeSet<String>,
    runs: Vec<Recorder>,
    conditions: Vec<Condition>,
}

impl Explorer<'_> {
    fn run(&self, choices: &Choices) -> Recorder {
        let mut draft = Table::new();
        loop {
            let recorder = Document::recorded(&draft.to_string(), self.read);
            let before = draft.clone();
            for asked in &recorder.asked {
                let choice = choices.get(&asked.path);
                let may_lack = !asked.needed && matches!(asked.kind, Kind::Word(_));
                if choice == Some(&Choice::Absent) || may_lack && choice.is_none() {
                    continue;
                }
                let value = match choice {
                    Some(Choice::Word(word)) => Value::String(word.clone()),
                    _ => drafted(&asked.kind),
                };
                put(&mut draft, &asked.path, value);
            }
            if draft == before {
                return recorder;
            }
        }
    }

    /// Goes through the choices that a draft has which others have not led to.
    fn explore(&mut self, choices: &Choices) {
        let base = self.run(choices);
        let mut open = Vec::new();
        for asked in &base.asked {
            let alternatives = alternatives(&base, &asked.path);
            if alternatives.len() > 1 && self.seen.insert(asked.path.clone()) {
                open.push((asked.path.clone(), alternatives));
            }
        }
        self.runs.push(base);
        for (path, alternatives) in open {
            let mut found = Vec::new();
            for choice in alternatives {
                let mut choices = choices.clone();
                choices.insert(path.clone(), choice.clone());
                found.push((choice, self.run(&choices)));
                self.explore(&choices);
            }
            self.conditions.extend(conditions(&path, &found));
        }
    }

    fn shape(self) -> Shape {
        let mut shape = Shape::default();
        for run in &self.runs {
            for asked in &run.asked {
                match shape.keys.iter_mut().find(|(path, ..)| *path == asked.path) {
                    None => {
                        let needed = self.runs.iter().all(|run| {
                            !is_read(run, parted(&asked.path).0)
                                || run.of(&asked.path).is_some_and(|asked| asked.needed)
                        });
                        shape
                            .keys
                            .push((asked.path.clone(), vec![asked.kind.clone()], needed));
                    }
                    Some((_, kinds, _)) if !kinds.contains(&asked.kind) => kinds.push(asked.kind.clone()),
                    Some(_) => {}
                }
            }
            for each in &run.one_of_each {
                if !shape.one_of_each.contains(each) {
                    shape.one_of_each.push(each.clone());
                }
            }
            for one in &run.one_of {
                if !shape.one_of.contains(one) {
                    shape.one_of.push(one.clone());
                }
            }
        }
        shape.conditions = independent(&self.conditions);
        shape
    }
}

/// The conditions without what only seems to follow from them: a key that had no place because of what the draft had at a third
/// one, and has a place where that one is another word.
fn independent(conditions: &[Condition]) -> Vec<Condition> {
    let no_place = |condition: &Condition, path: &str| {
        let effects = condition.effects.iter();
        effects
            .filter(|effect| effect.path == path)
            .any(|effect| effect.state.is_none())
    };
    let gives_place = |condition: &Condition, path: &str| {
        !condition.choices.contains(&Choice::Absent)
            && condition
                .effects
                .iter()
                .any(|effect| effect.path == path && effect.state.is_some())
    };
    let mut kept = conditions.to_vec();
    for condition in &mut kept {
        let path = condition.path.clone();
        let held: Vec<&str> = conditions
            .iter()
            .filter(|other| {
                other.path != path && !no_place(condition, &other.path) && !no_place(other, &path)
            })
            .flat_map(|other| {
                other
                    .effects
                    .iter()
                    .filter(|effect| gives_place(other, &effect.path))
            })
            .map(|effect| effect.path.as_str())
            .collect();
        condition
            .effects
            .retain(|effect| effect.state.is_some() || !held.contains(&effect.path.as_str()));
    }
    kept.retain(|condition| !condition.effects.is_empty());
    kept
}

fn is_read(run: &Recorder, table: &str) -> bool {
    table.is_empty() || run.tables.iter().any(|known| known == table)
}

/// What there may be at a key that a reader may branch at; one at most for a key where it does not.
fn alternatives(run: &Recorder, path: &str) -> Vec<Choice> {
    let Some(asked) = run.of(path) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    match &asked.kind {
        Kind::Word(words) => all.extend(words.iter().cloned().map(Choice::Word)),
        Kind::Table => all.push(Choice::Present),
        _ if run.looked_for.iter().any(|known| known == path) => all.push(Choice::Present),
        _ => return all,
    }
    if !asked.needed || run.looked_for.iter().any(|known| known == path) {
        all.push(Choice::Absent);
    }
    all
}

/// In what the runs differ that only differ by what they have at `path`.
fn conditions(path: &str, found: &[(Choice, Recorder)]) -> Vec<Condition> {
    let below = format!("{path}.");
    let paths: BTreeSet<&str> = found
        .iter()
        .flat_map(|(_, run)| run.asked.iter().map(|asked| asked.path.as_str()))
        .filter(|other| *other != path && !other.starts_with(&below))
        .collect();
    let mut conditions: Vec<Condition> = Vec::new();
    let mut effects: Vec<Vec<Effect>> = vec![Vec::new(); found.len()];
    for other in paths {
        let states: Vec<Option<Option<(Kind, bool)>>> = found
            .iter()
            .map(|(_, run)| {
                is_read(run, parted(other).0)
                    .then(|| run.of(other).map(|asked| (asked.kind.clone(), asked.needed)))
            })
            .collect();
        let known: Vec<&Option<(Kind, bool)>> = states.iter().flatten().collect();
        if known.windows(2).all(|pair| pair[0] == pair[1]) {
            continue;
        }
        for (effects, state) in effects.iter_mut().zip(states) {
            effects.extend(state.map(|state| Effect {
                path: other.to_string(),
                state,
            }));
        }
    }
    for ((choice, _), effects) in found.iter().zip(effects) {
        if effects.is_empty() {
            continue;
        }
        match conditions.iter_mut().find(|known| known.effects == effects) {
            Some(known) => known.choices.push(choice.clone()),
            None => conditions.push(Condition {
                path: path.to_string(),
                choices: vec![choice.clone()],
                effects,
            }),
        }
    }
    conditions
}

/// Puts a value into a draft, unless there is one.
fn put(draft: &mut Table, path: &str, value: Value) {
    let (table, key) = parted(path);
    let mut at = Some(draft);
    for name in table.split('.').filter(|name| !name.is_empty()) {
        at = at.and_then(|table| match table.get_mut(name) {
            Some(Value::Table(table)) => Some(table),
            Some(Value::Array(items)) => items.first_mut().and_then(Value::as_table_mut),
            _ => None,
        });
    }
    if let Some(table) = at
        && !table.contains_key(key)
    {
        table.insert(key.to_string(), value);
    }
}

/// Something that a key of this kind may be.
fn drafted(kind: &Kind) -> Value {
    let text = |text: &str| Value::String(text.to_string());
    let quantity = |dimension: Dimension, limits: Option<&str>| match (dimension, limits) {
        (Dimension::RampAngle, _) => "45 deg from ring face".to_string(),
        (dimension, limits) => sample(dimension, limits.unwrap_or("at least 1")).unwrap_or_default(),
    };
    let number = |limits: &str| {
        let number = sample(Dimension::Ratio, limits).and_then(|text| text.parse().ok());
        Value::Float(number.unwrap_or(1.0))
    };
    match kind {
        Kind::Only(only) => text(only),
        Kind::Text { .. } => text("x"),
        Kind::Spelt(spelling) => text(spelling.example),
        Kind::Like(_, example) => text(example),
        Kind::Word(words) => text(words.first().map_or("", String::as_str)),
        Kind::Quantity(dimension, limits) => text(&quantity(*dimension, *limits)),
        Kind::Quantities(dimension, limits, _) => Value::Array(vec![text(&quantity(*dimension, *limits))]),
        Kind::Numbers(limits) => Value::Array(vec![number(limits)]),
        Kind::Count(limits) => Value::Integer(i64::from(limits.start)),
        Kind::Counts(limits) => Value::Array(vec![Value::Integer(i64::from(limits.start))]),
        Kind::Flag | Kind::True => Value::Boolean(true),
        Kind::Texts(words) => {
            let word = words.as_ref().and_then(|words| words.first());
            Value::Array(vec![text(word.map_or("x", String::as_str))])
        }
        Kind::Table => Value::Table(Table::new()),
        Kind::Tables(_) => Value::Array(vec![Value::Table(Table::new())]),
    }
}
