//! One table of a document, asked for its keys one by one.

use super::faults::Fault;
use super::key_query::{Kind, Recorder};
use super::nearest::nearest;
use std::cell::RefCell;
use std::ops::{Range, RangeInclusive};
use std::rc::Rc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A table of a document.
pub struct Section<'d> {
    table: &'d DeTable<'d>,
    span: Range<usize>,
    name: String,
    known: RefCell<Vec<&'static str>>,
    faults: Rc<RefCell<Vec<Fault>>>,
    recorder: Option<Rc<RefCell<Recorder>>>,
}

impl<'d> Section<'d> {
    /// The top of a document.
    pub(super) fn top(
        table: &'d DeTable<'d>,
        faults: Rc<RefCell<Vec<Fault>>>,
        recorder: Option<Rc<RefCell<Recorder>>>,
    ) -> Section<'d> {
        Section {
            table,
            span: 0..0,
            name: String::new(),
            known: RefCell::default(),
            faults,
            recorder,
        }
    }

    fn path(&self, key: &str) -> String {
        match self.name.as_str() {
            "" => key.to_string(),
            name => format!("{name}.{key}"),
        }
    }

    /// Writes down what a key is asked for, where that is wanted.
    pub(super) fn note(&self, key: &str, kind: impl FnOnce() -> Kind) {
        if let Some(recorder) = &self.recorder {
            recorder.borrow_mut().note(self.path(key), kind());
        }
    }

    fn note_need(&self, key: &str) {
        if let Some(recorder) = &self.recorder {
            recorder.borrow_mut().need(&self.path(key));
        }
    }

    /// Adds a fault at a place of the file.
    pub fn fault(&self, span: Range<usize>, message: impl Into<String>) {
        self.fault_by("sense", span, message);
    }

    /// Adds a fault against a rule that has a name.
    pub fn fault_by(&self, rule: &'static str, span: Range<usize>, message: impl Into<String>) {
        self.faults.borrow_mut().push(Fault {
            rule,
            span,
            message: message.into(),
        });
    }

    /// Adds a fault at the value of `key`, or at the section's head where the key is missing.
    pub fn fault_at(&self, key: &str, message: impl Into<String>) {
        self.fault(self.span_of(key), message);
    }

    /// Where the section begins.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Where the value of `key` stands; the section's head where it is missing.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.table
            .iter()
            .find(|(name, _)| name.get_ref() == key)
            .map_or(self.span(), |(_, value)| value.span())
    }

    pub(super) fn value(
        &self,
        key: &'static str,
        kind: impl FnOnce() -> Kind,
    ) -> Option<&'d Spanned<DeValue<'d>>> {
        self.known.borrow_mut().push(key);
        self.note(key, kind);
        self.table
            .iter()
            .find(|(name, _)| name.get_ref() == key)
            .map(|(_, value)| value)
    }

    fn place(&self) -> String {
        if self.name.is_empty() {
            "the top of the file".to_string()
        } else {
            format!("[{}]", self.name)
        }
    }

    pub(super) fn required<T>(&self, key: &'static str, wanted: &str, found: Option<T>) -> Option<T> {
        self.note_need(key);
        if found.is_none() && !self.is_there(key) {
            self.fault_by(
                "missing-key",
                self.span(),
                format!("\"{key}\" is missing in {}: {wanted} is wanted", self.place()),
            );
        }
        found
    }

    pub(super) fn is_there(&self, key: &str) -> bool {
        self.table.iter().any(|(name, _)| name.get_ref() == key)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        if let Some(recorder) = &self.recorder {
            recorder.borrow_mut().looked_for.push(self.path(key));
        }
        self.is_there(key)
    }

    /// Whether a key that is true or not there is there; anything else than true is at fault.
    pub fn is_marked(&self, key: &'static str) -> bool {
        let there = self.has(key);
        if let Some(value) = self.value(key, || Kind::True)
            && !matches!(value.get_ref(), DeValue::Boolean(true))
        {
            let message = format!("\"{key}\" is true or it is left out");
            self.fault_by("wrong-kind", value.span(), message);
        }
        there
    }

    /// Refuses a section without a key that was asked for; `wanted` says what is wanted.
    pub fn needed(&self, key: &str, wanted: &str) {
        self.note_need(key);
        if !self.is_there(key) {
            let message = format!("\"{key}\" is missing in {}: {wanted} is wanted", self.place());
            self.fault_by("missing-key", self.span(), message);
        }
    }

    /// Keys that are no unknown ones, where another key's fault leaves open what they are.
    pub fn may_have(&self, keys: &[&'static str]) {
        self.known.borrow_mut().extend(keys);
    }

    /// Refuses a key that is known, but has no place beside others that are there.
    pub fn not_here(&self, key: &'static str, rule: &'static str, message: impl Into<String>) {
        self.known.borrow_mut().push(key);
        if self.is_there(key) {
            self.fault_by(rule, self.span_of(key), message);
        }
    }

    /// Refuses a section that has none or several of these keys; `wanted` says what is wanted. Whether it has just one.
    pub fn one_of(&self, keys: &[&'static str], wanted: &str) -> bool {
        if let Some(recorder) = &self.recorder {
            let one_of = (self.name.clone(), keys.to_vec());
            recorder.borrow_mut().one_of.push(one_of);
        }
        let just_one = keys.iter().filter(|key| self.is_there(key)).count() == 1;
        if !just_one {
            self.fault(self.span(), wanted);
        }
        just_one
    }

    /// Refuses a list of tables in which no table has one of these words at `key`.
    pub fn one_of_each(&self, list: &'static str, key: &'static str, words: &[&'static str]) {
        if let Some(recorder) = &self.recorder {
            let each = (self.path(list), key, words.to_vec());
            recorder.borrow_mut().one_of_each.push(each);
        }
        let found = self.table.iter().find(|(name, _)| name.get_ref() == list);
        let has = |item: &Spanned<DeValue<'_>>, word: &str| match item.get_ref() {
            DeValue::Table(table) => table.iter().any(|(name, value)| {
                name.get_ref() == key && matches!(value.get_ref(), DeValue::String(text) if text == word)
            }),
            _ => false,
        };
        for word in words {
            let there = found.is_some_and(|(_, value)| match value.get_ref() {
                DeValue::Array(items) => items.iter().any(|item| has(item, word)),
                _ => false,
            });
            if !there {
                let message = format!("an [[{list}]] with {key} = \"{word}\" is wanted");
                self.fault(self.span(), message);
            }
        }
    }

    /// A table below this one that need not be there.
    pub fn section_maybe(&self, key: &'static str) -> Option<Section<'d>> {
        let value = self.value(key, || Kind::Table)?;
        match value.get_ref() {
            DeValue::Table(table) => Some(self.below(key, table, value.span())),
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!("\"{key}\" is {}, but a table [{key}] is wanted", kind_of(other)),
                );
                None
            }
        }
    }

    /// A table below this one that must be there.
    pub fn section(&self, key: &'static str) -> Option<Section<'d>> {
        self.required(key, &format!("a table [{key}]"), self.section_maybe(key))
    }

    /// A list of tables, `[[key]]`; empty where the key is missing.
    pub fn sections(&self, key: &'static str) -> Vec<Section<'d>> {
        self.tables(key, 0..=usize::MAX)
    }

    /// As [`Section::sections`]; more than `most` are refused.
    pub fn sections_up_to(&self, key: &'static str, most: usize) -> Vec<Section<'d>> {
        self.not_more(key, most, self.tables(key, 0..=most))
    }

    /// As [`Section::sections`], for tables of which one at least must be there; `rule` and `wanted` say so else.
    pub fn sections_some(&self, key: &'static str, rule: &'static str, wanted: &str) -> Vec<Section<'d>> {
        let sections = self.tables(key, 1..=usize::MAX);
        self.not_none(key, rule, wanted);
        sections
    }

    /// As [`Section::sections_some`]; more than `most` are refused.
    pub fn sections_between(&self, key: &'static str, most: usize, wanted: &str) -> Vec<Section<'d>> {
        let sections = self.tables(key, 1..=most);
        self.not_none(key, "sense", wanted);
        self.not_more(key, most, sections)
    }

    fn not_more(&self, key: &'static str, most: usize, sections: Vec<Section<'d>>) -> Vec<Section<'d>> {
        if sections.len() <= most {
            return sections;
        }
        let count = sections.len();
        self.fault_at(key, format!("{count} {key}s are too many; at most {most}"));
        Vec::new()
    }

    fn not_none(&self, key: &'static str, rule: &'static str, wanted: &str) {
        self.note_need(key);
        let found = self.table.iter().find(|(name, _)| name.get_ref() == key);
        let none = found
            .is_none_or(|(_, value)| matches!(value.get_ref(), DeValue::Array(items) if items.is_empty()));
        if none {
            self.fault_by(rule, self.span(), wanted);
        }
    }

    fn tables(&self, key: &'static str, count: RangeInclusive<usize>) -> Vec<Section<'d>> {
        let Some(value) = self.value(key, || Kind::Tables(count)) else {
            return Vec::new();
        };
        let DeValue::Array(items) = value.get_ref() else {
            self.fault_by(
                "wrong-kind",
                value.span(),
                format!(
                    "\"{key}\" is {}, but tables [[{key}]] are wanted",
                    kind_of(value.get_ref())
                ),
            );
            return Vec::new();
        };
        let mut sections = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(table) => sections.push(self.below(key, table, item.span())),
                other => self.fault_by(
                    "wrong-kind",
                    item.span(),
                    format!(
                        "\"{key}\" holds {}, but tables [[{key}]] are wanted",
                        kind_of(other)
                    ),
                ),
            }
        }
        sections
    }

    fn below(&self, key: &str, table: &'d DeTable<'d>, span: Range<usize>) -> Section<'d> {
        if let Some(recorder) = &self.recorder {
            recorder.borrow_mut().tables.push(self.path(key));
        }
        Section {
            table,
            span,
            name: self.path(key),
            known: RefCell::default(),
            faults: Rc::clone(&self.faults),
            recorder: self.recorder.clone(),
        }
    }

    /// Refuses the keys that nobody asked for.
    pub fn finish(&self) {
        let known = self.known.borrow();
        for (name, _) in self.table.iter() {
            let key: &str = name.get_ref();
            if !known.contains(&key) {
                let near = nearest(key, &known)
                    .map(|near| format!("; did you mean \"{near}\"?"))
                    .unwrap_or_else(|| format!("; known here: {}", known.join(", ")));
                self.fault_by(
                    "unknown-key",
                    name.span(),
                    format!("\"{key}\" is not known in {}{near}", self.place()),
                );
            }
        }
    }
}

pub(super) fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a bare whole number",
        DeValue::Float(_) => "a bare number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
