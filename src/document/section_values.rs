//! Texts, quantities, numbers and lists of them out of a section.

use super::faults::{MOST_OF_A_TEXT, NEWER_FORMAT};
use super::format::newer;
use super::key_query::{Kind, Spelling};
use super::nearest::nearest;
use super::section::{Section, kind_of};
use crate::quantity::{Quantity, Ratio, parse, visible, within};
use std::fmt::Display;
use std::ops::{Range, RangeInclusive};
use std::str::FromStr;
use toml::Spanned;
use toml::de::{DeArray, DeValue};

impl<'d> Section<'d> {
    /// The format of the file; another one is refused.
    pub fn format(&self, wanted: &str) {
        let format = self.required("format", "a text in quotes", self.words_of_text("format"));
        self.note("format", || Kind::Only(wanted.to_string()));
        match format {
            Some(format) if format == wanted => {}
            Some(format) if newer(&format, wanted) => self.newer_format(&format),
            Some(_) => self.fault_by(
                "unknown-format",
                self.span_of("format"),
                format!("this format is not known here; \"{wanted}\" is wanted"),
            ),
            None => {}
        }
    }

    /// The format of the file where several are read, the newest last: which of them.
    pub fn format_of<T: Copy>(&self, known: &[(T, &str)]) -> Option<T> {
        let format = self.required("format", "a text in quotes", self.words_of_text("format"));
        self.note("format", || Kind::Word(known_words(known)));
        let format = format?;
        if let Some((found, _)) = known.iter().find(|(_, word)| *word == format) {
            return Some(*found);
        }
        match known.last() {
            Some((_, newest)) if newer(&format, newest) => self.newer_format(&format),
            _ => {
                let known: Vec<String> = known.iter().map(|(_, word)| format!("\"{word}\"")).collect();
                self.fault_by(
                    "unknown-format",
                    self.span_of("format"),
                    format!("this format is not known here; {} is wanted", known.join(" or ")),
                );
            }
        }
        None
    }

    /// Says that a newer program made the file.
    pub(crate) fn newer_format(&self, found: &str) {
        self.fault_by(
            NEWER_FORMAT,
            self.span_of("format"),
            format!(
                "a newer program made this file, of the format \"{}\", which is not known here; take that program",
                visible(found)
            ),
        );
    }

    /// A text that need not be there.
    pub fn text_maybe(&self, key: &'static str) -> Option<String> {
        let text = self.words_of_text(key);
        self.note(key, || Kind::Text { blank: true });
        text
    }

    fn words_of_text(&self, key: &'static str) -> Option<String> {
        let value = self.value(key, || Kind::Text { blank: true })?;
        match value.get_ref() {
            DeValue::String(text) => self.short_enough(key, text, value.span()),
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!("\"{key}\" is {}, but a text in quotes is wanted", kind_of(other)),
                );
                None
            }
        }
    }

    fn short_enough(&self, key: &str, text: &str, span: Range<usize>) -> Option<String> {
        let count = text.chars().count();
        if count > MOST_OF_A_TEXT {
            self.fault(
                span,
                format!("\"{key}\" has {count} characters; at most {MOST_OF_A_TEXT} are taken"),
            );
            return None;
        }
        Some(text.to_string())
    }

    /// A text that must be there and must say something.
    pub fn text(&self, key: &'static str) -> Option<String> {
        let found = self.words_of_text(key);
        self.note(key, || Kind::Text { blank: false });
        let text = self.required(key, "a text in quotes", found)?;
        if text.trim().is_empty() {
            self.fault_by("empty", self.span_of(key), format!("\"{key}\" is empty"));
            return None;
        }
        Some(text)
    }

    /// A text that is spelt by a rule and need not be there.
    pub(crate) fn spelt_maybe(&self, key: &'static str, spelling: &'static Spelling) -> Option<String> {
        let text = self.words_of_text(key);
        self.note(key, || Kind::Spelt(spelling));
        let text = text?;
        if spelling.fits(&text) {
            return Some(text);
        }
        self.fault_by(
            spelling.rule,
            self.span_of(key),
            format!("\"{text}\" is no {}; {}", spelling.name, spelling.says),
        );
        None
    }

    /// A text that is spelt by a rule.
    pub(crate) fn spelt(&self, key: &'static str, spelling: &'static Spelling) -> Option<String> {
        let found = self.spelt_maybe(key, spelling);
        self.required(key, "a text in quotes", found)
    }

    /// A text that its type reads: `pattern` covers what that takes, `example` is one.
    pub(crate) fn read_as<T: FromStr<Err: Display>>(
        &self,
        key: &'static str,
        pattern: fn() -> String,
        example: &'static str,
    ) -> Option<T> {
        let text = self.text(key);
        self.note(key, || Kind::Like(pattern(), example));
        text?
            .parse()
            .map_err(|error: T::Err| self.fault_at(key, error.to_string()))
            .ok()
    }

    /// A quantity as text, such as `"1.98 mm"`, that need not be there.
    pub fn quantity_maybe<Q: Quantity>(&self, key: &'static str) -> Option<Q> {
        self.limited(key, None)
    }

    fn limited<Q: Quantity>(&self, key: &'static str, limits: Option<&'static str>) -> Option<Q> {
        let value = self.value(key, || Kind::Quantity(Q::DIMENSION, limits))?;
        match value.get_ref() {
            DeValue::String(text) => match parse::<Q>(text) {
                Ok(quantity) => Some(quantity),
                Err(error) => {
                    self.fault_by("not-a-quantity", value.span(), format!("{key}: {error}"));
                    None
                }
            },
            DeValue::Integer(number) if Q::DIMENSION == crate::quantity::Dimension::Ratio => {
                self.number_text(key, value, number.as_str())
            }
            DeValue::Float(number) if Q::DIMENSION == crate::quantity::Dimension::Ratio => {
                self.number_text(key, value, number.as_str())
            }
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!(
                        "\"{key}\" is {}, but {} in quotes with its unit is wanted, in {}",
                        kind_of(other),
                        Q::DIMENSION.article_name(),
                        Q::DIMENSION.units().join(", ")
                    ),
                );
                None
            }
        }
    }

    fn number_text<Q: Quantity>(&self, key: &str, value: &Spanned<DeValue<'_>>, text: &str) -> Option<Q> {
        match parse::<Q>(text) {
            Ok(quantity) => Some(quantity),
            Err(error) => {
                self.fault_by("not-a-quantity", value.span(), format!("{key}: {error}"));
                None
            }
        }
    }

    /// A quantity that must be there.
    pub fn quantity<Q: Quantity>(&self, key: &'static str) -> Option<Q> {
        self.there(key, self.quantity_maybe(key))
    }

    fn there<Q: Quantity>(&self, key: &'static str, found: Option<Q>) -> Option<Q> {
        let wanted = format!("{} in quotes with its unit", Q::DIMENSION.article_name());
        self.required(key, &wanted, found)
    }

    /// A quantity that must be there and within `limits`, as [`within`] reads them.
    pub fn quantity_where<Q: Quantity + PartialOrd>(
        &self,
        key: &'static str,
        limits: &'static str,
    ) -> Option<Q> {
        self.there(key, self.quantity_maybe_where(key, limits))
    }

    /// As [`Section::quantity_where`], for a quantity that need not be there.
    pub fn quantity_maybe_where<Q: Quantity + PartialOrd>(
        &self,
        key: &'static str,
        limits: &'static str,
    ) -> Option<Q> {
        let quantity = self.limited::<Q>(key, Some(limits))?;
        if within(quantity, limits) == Some(true) {
            return Some(quantity);
        }
        self.fault_by(
            "out-of-limits",
            self.span_of(key),
            format!("{key} is {quantity}, but it must be {limits}"),
        );
        None
    }

    /// A list of quantities as text; `None` where the key is missing or one of them is at fault.
    pub fn quantities<Q: Quantity>(&self, key: &'static str) -> Option<Vec<Q>> {
        self.listed(key, None, 0..=usize::MAX)
    }

    /// As [`Section::quantities`], so many of them and each within `limits`.
    pub fn quantities_where<Q: Quantity + PartialOrd>(
        &self,
        key: &'static str,
        limits: &'static str,
        count: RangeInclusive<usize>,
    ) -> Option<Vec<Q>> {
        let all = self.listed::<Q>(key, Some(limits), count.clone())?;
        if !count.contains(&all.len()) {
            let so_many = match (count.start(), count.end()) {
                (least, &usize::MAX) => format!("at least {least}"),
                (least, most) => format!("{least} to {most}"),
            };
            self.fault_at(key, format!("{key} holds {}; {so_many} are wanted", all.len()));
            return None;
        }
        let bad = all
            .iter()
            .find(|one| within(**one, limits) != Some(true))
            .copied();
        self.all_good(key, all, bad.as_ref(), limits)
    }

    fn listed<Q: Quantity>(
        &self,
        key: &'static str,
        limits: Option<&'static str>,
        count: RangeInclusive<usize>,
    ) -> Option<Vec<Q>> {
        let texts = self.list_of_texts(key, || Kind::Quantities(Q::DIMENSION, limits, count))?;
        let mut all = Vec::new();
        let count = texts.len();
        for (text, span) in texts {
            match parse::<Q>(&text) {
                Ok(quantity) => all.push(quantity),
                Err(error) => self.fault_by("not-a-quantity", span, format!("{key}: {error}")),
            }
        }
        (all.len() == count).then_some(all)
    }

    /// A whole number within limits that need not be there.
    pub fn count_maybe(&self, key: &'static str, limits: Range<u32>) -> Option<u32> {
        let value = self.value(key, || Kind::Count(limits.clone()))?;
        let wanted = format!(
            "a whole number from {} to {}",
            limits.start,
            limits.end.saturating_sub(1)
        );
        match value.get_ref() {
            DeValue::Integer(number) => {
                let whole = i128::from_str_radix(&number.as_str().replace('_', ""), number.radix()).ok();
                match whole
                    .and_then(|n| u32::try_from(n).ok())
                    .filter(|n| limits.contains(n))
                {
                    Some(n) => Some(n),
                    None => {
                        self.fault_by(
                            "out-of-limits",
                            value.span(),
                            format!("\"{key}\" is {number}, but {wanted} is wanted"),
                        );
                        None
                    }
                }
            }
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!("\"{key}\" is {}, but {wanted} is wanted", kind_of(other)),
                );
                None
            }
        }
    }

    /// A whole number that must be there.
    pub fn count(&self, key: &'static str, limits: Range<u32>) -> Option<u32> {
        self.required(key, "a whole number", self.count_maybe(key, limits))
    }

    /// True or false that need not be there.
    pub fn flag_maybe(&self, key: &'static str) -> Option<bool> {
        let value = self.value(key, || Kind::Flag)?;
        match value.get_ref() {
            DeValue::Boolean(flag) => Some(*flag),
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!("\"{key}\" is {}, but true or false is wanted", kind_of(other)),
                );
                None
            }
        }
    }

    /// One of some words that need not be there.
    pub fn word_maybe<T: Copy>(&self, key: &'static str, words: &[(T, &str)]) -> Option<T> {
        let text = self.words_of_text(key);
        self.note(key, || Kind::Word(known_words(words)));
        let text = text?;
        let found = words
            .iter()
            .find(|(_, word)| *word == text)
            .map(|(value, _)| *value);
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
            let near = nearest(&text, &known)
                .map(|word| format!("; did you mean \"{word}\"?"))
                .unwrap_or_default();
            self.fault_by(
                "unknown-word",
                self.span_of(key),
                format!(
                    "\"{key}\" is \"{text}\", but one of these is wanted: {}{near}",
                    known.join(", ")
                ),
            );
        }
        found
    }

    /// One of some words that must be there.
    pub fn word<T: Copy>(&self, key: &'static str, words: &[(T, &str)]) -> Option<T> {
        let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        self.required(
            key,
            &format!("one of {}", known.join(", ")),
            self.word_maybe(key, words),
        )
    }

    /// A list of anything; `None` where the key is missing, or is no list of `what`.
    fn list_of(&self, key: &'static str, what: &str, kind: impl FnOnce() -> Kind) -> Option<&'d DeArray<'d>> {
        let value = self.value(key, kind)?;
        match value.get_ref() {
            DeValue::Array(items) => Some(items),
            other => {
                self.fault_by(
                    "wrong-kind",
                    value.span(),
                    format!(
                        "\"{key}\" is {}, but a list of {what} in square brackets is wanted",
                        kind_of(other)
                    ),
                );
                None
            }
        }
    }

    fn list_of_texts(
        &self,
        key: &'static str,
        kind: impl FnOnce() -> Kind,
    ) -> Option<Vec<(String, Range<usize>)>> {
        let items = self.list_of(key, "texts", kind)?;
        let mut texts = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::String(text) => {
                    if let Some(text) = self.short_enough(key, text, item.span()) {
                        texts.push((text, item.span()));
                    }
                }
                other => self.fault_by(
                    "wrong-kind",
                    item.span(),
                    format!(
                        "\"{key}\" holds {}, but texts in quotes are wanted",
                        kind_of(other)
                    ),
                ),
            }
        }
        (texts.len() == items.len()).then_some(texts)
    }

    /// A list of plain numbers, each within `limits`; `None` where the key is missing or one of them is at fault.
    pub fn numbers(&self, key: &'static str, limits: &'static str) -> Option<Vec<Ratio>> {
        let numbers = self.list_of_numbers(key, || Kind::Numbers(limits))?;
        let bad = numbers.iter().find(|one| within(**one, limits) != Some(true));
        let bad = bad.copied();
        self.all_good(key, numbers, bad.as_ref(), limits)
    }

    /// A list of whole numbers, each within `limits`; `None` where the key is missing or one of them is at fault.
    pub fn counts(&self, key: &'static str, limits: Range<u32>) -> Option<Vec<u32>> {
        let numbers = self.list_of_numbers(key, || Kind::Counts(limits.clone()))?;
        let whole = |number: &Ratio| {
            limits
                .clone()
                .find(|n| f64::from(*n).total_cmp(&number.value()).is_eq())
        };
        let counts: Vec<u32> = numbers.iter().filter_map(whole).collect();
        let bad = numbers.iter().find(|number| whole(number).is_none());
        let wanted = format!(
            "a whole number from {} to {}",
            limits.start,
            limits.end.saturating_sub(1)
        );
        self.all_good(key, counts, bad, &wanted)
    }

    /// What was made of a list, or a fault for the first that is out of its limits.
    fn all_good<T>(&self, key: &str, made: T, bad: Option<&impl Display>, limits: &str) -> Option<T> {
        let Some(bad) = bad else { return Some(made) };
        self.fault_by(
            "out-of-limits",
            self.span_of(key),
            format!("{key} holds {bad}, but each must be {limits}"),
        );
        None
    }

    fn list_of_numbers(&self, key: &'static str, kind: impl FnOnce() -> Kind) -> Option<Vec<Ratio>> {
        let items = self.list_of(key, "numbers", kind)?;
        let mut numbers = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Integer(number) => {
                    numbers.extend(self.number_text::<Ratio>(key, item, number.as_str()))
                }
                DeValue::Float(number) => {
                    numbers.extend(self.number_text::<Ratio>(key, item, number.as_str()))
                }
                other => self.fault_by(
                    "wrong-kind",
                    item.span(),
                    format!("\"{key}\" holds {}, but plain numbers are wanted", kind_of(other)),
                ),
            }
        }
        (numbers.len() == items.len()).then_some(numbers)
    }

    /// A list of texts, each with its place; empty where the key is missing.
    pub fn texts(&self, key: &'static str) -> Vec<(String, Range<usize>)> {
        self.list_of_texts(key, || Kind::Texts(None)).unwrap_or_default()
    }

    /// A list of some words; empty where the key is missing.
    pub fn words<T: Copy>(&self, key: &'static str, words: &[(T, &str)]) -> Vec<T> {
        let texts = self.list_of_texts(key, || Kind::Texts(Some(known_words(words))));
        let mut found = Vec::new();
        for (text, span) in texts.unwrap_or_default() {
            match words.iter().find(|(_, word)| *word == text) {
                Some((value, _)) => found.push(*value),
                None => {
                    let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
                    let near = nearest(&text, &known)
                        .map(|word| format!("; did you mean \"{word}\"?"))
                        .unwrap_or_else(|| format!("; known are {}", known.join(", ")));
                    self.fault_by(
                        "unknown-word",
                        span,
                        format!("\"{text}\" is not known in \"{key}\"{near}"),
                    );
                }
            }
        }
        found
    }
}

fn known_words<T>(words: &[(T, &str)]) -> Vec<String> {
    words.iter().map(|(_, word)| (*word).to_string()).collect()
}
