use crate::quantity::{Quantity, Ratio, parse};
use std::cell::RefCell;
use std::fmt;
use std::ops::Range;
use std::rc::Rc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One thing that is wrong in a file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// The rule that is broken, in a word or two such as `missing-key`.
    pub rule: &'static str,
    /// Where, in bytes of the source.
    pub span: Range<usize>,
    /// What is wrong and what is wanted.
    pub message: String,
}

/// All that is wrong in one file, in the order of its lines.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Faults {
    /// The file's name as it was given.
    pub file: String,
    /// The whole source.
    pub source: String,
    /// At least one fault.
    pub faults: Vec<Fault>,
}

impl Faults {
    /// Line and column, from 1, of a fault; columns count characters.
    pub fn place(&self, fault: &Fault) -> (usize, usize) {
        let before = &self.source[..self.source.floor_char_boundary(fault.span.start)];
        let line = before.matches('\n').count() + 1;
        let column = before
            .rsplit('\n')
            .next()
            .map_or(0, |piece| piece.chars().count())
            + 1;
        (line, column)
    }
}

/// The most faults that are written out.
const MOST_WRITTEN: usize = 100;

impl fmt::Display for Faults {
    /// The first hundred faults, and how many there are besides.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (n, fault) in self.faults.iter().take(MOST_WRITTEN).enumerate() {
            let (line, column) = self.place(fault);
            let text = self.source.lines().nth(line - 1).unwrap_or("");
            if n > 0 {
                writeln!(f)?;
            }
            write!(f, "{}:{line}:{column}: {}\n    {text}", self.file, fault.message)?;
        }
        if self.faults.len() > MOST_WRITTEN {
            write!(
                f,
                "\nand {} more in {}",
                self.faults.len() - MOST_WRITTEN,
                self.file
            )?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Reads a TOML document key by key and gathers every fault, so that a person can mend a file in one go.
///
/// Each section remembers which keys were asked for: [`Section::finish`] refuses the others, with the nearest known
/// one.
pub struct Document {
    file: String,
    source: String,
    faults: Rc<RefCell<Vec<Fault>>>,
}

impl Document {
    /// Reads `source` by `read`, which gets the top of the document. Gives what it made, or all faults at once.
    pub fn read<T>(
        file: &str,
        source: &str,
        read: impl FnOnce(&Section<'_>) -> Option<T>,
    ) -> Result<T, Faults> {
        let document = Document {
            file: file.to_string(),
            source: source.to_string(),
            faults: Rc::default(),
        };
        if let Some(fault) = too_much(source) {
            return Err(Faults {
                file: document.file,
                source: document.source,
                faults: vec![fault],
            });
        }
        let (table, errors) = DeTable::parse_recoverable(source);
        for error in &errors {
            let end = source.len();
            document.faults.borrow_mut().push(Fault {
                rule: "syntax",
                span: error.span().unwrap_or(end..end),
                message: error.message().to_string(),
            });
        }
        // keys of a broken file are not judged: half a file would give faults that are not there
        let made = if errors.is_empty() {
            let top = Section {
                table: table.get_ref(),
                span: 0..0,
                name: String::new(),
                known: RefCell::default(),
                faults: Rc::clone(&document.faults),
            };
            read(&top)
        } else {
            None
        };
        let mut faults = document.faults.take();
        match made {
            Some(made) if faults.is_empty() => Ok(made),
            _ => {
                if faults.is_empty() {
                    faults.push(Fault {
                        rule: "unreadable",
                        span: 0..0,
                        message: "the file could not be read".to_string(),
                    });
                }
                faults.sort_by_key(|fault| (fault.span.start, fault.span.end));
                faults.dedup();
                Err(Faults {
                    file: document.file,
                    source: document.source,
                    faults,
                })
            }
        }
    }
}

/// The most keys, tables and parts of lists that a file may have together: a unit with all of its plates has some hundred, and the
/// time to read them grows faster than their number.
pub const MOST_PARTS: usize = 10_000;
/// The most characters that a text in a file may have.
pub const MOST_OF_A_TEXT: usize = 2_000;

/// The fault of a file that has more parts than are read. What opens one is counted wherever it stands: a file that has
/// so many in its texts alone is none of ours either.
pub(super) fn too_much(source: &str) -> Option<Fault> {
    let opens = |(_, byte): &(usize, u8)| matches!(byte, b'=' | b'[' | b'{' | b',');
    let (at, _) = source.bytes().enumerate().filter(opens).nth(MOST_PARTS)?;
    Some(Fault {
        rule: "too-large",
        span: at..at,
        message: format!(
            "the file has too many keys, tables and parts of lists: at most {MOST_PARTS} are read, and it goes on"
        ),
    })
}

/// A table of a document.
pub struct Section<'d> {
    table: &'d DeTable<'d>,
    span: Range<usize>,
    name: String,
    known: RefCell<Vec<&'static str>>,
    faults: Rc<RefCell<Vec<Fault>>>,
}

impl<'d> Section<'d> {
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

    fn value(&self, key: &'static str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.known.borrow_mut().push(key);
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

    fn required<T>(&self, key: &'static str, wanted: &str, found: Option<T>) -> Option<T> {
        if found.is_none() && !self.has(key) {
            self.fault_by(
                "missing-key",
                self.span(),
                format!("\"{key}\" is missing in {}: {wanted} is wanted", self.place()),
            );
        }
        found
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.table.iter().any(|(name, _)| name.get_ref() == key)
    }

    /// A text that need not be there.
    pub fn text_maybe(&self, key: &'static str) -> Option<String> {
        let value = self.value(key)?;
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
        let text = self.required(key, "a text in quotes", self.text_maybe(key))?;
        if text.trim().is_empty() {
            self.fault_by("empty", self.span_of(key), format!("\"{key}\" is empty"));
            return None;
        }
        Some(text)
    }

    /// A quantity as text, such as `"1.98 mm"`, that need not be there.
    pub fn quantity_maybe<Q: Quantity>(&self, key: &'static str) -> Option<Q> {
        let value = self.value(key)?;
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
        let wanted = format!("{} in quotes with its unit", Q::DIMENSION.article_name());
        self.required(key, &wanted, self.quantity_maybe(key))
    }

    /// A quantity that must be there and must satisfy `fits`; else the fault says `limits`.
    pub fn quantity_where<Q: Quantity>(
        &self,
        key: &'static str,
        limits: &str,
        fits: impl Fn(Q) -> bool,
    ) -> Option<Q> {
        let quantity = self.quantity::<Q>(key)?;
        self.fitting(key, quantity, limits, fits)
    }

    /// As [`Section::quantity_where`], for a quantity that need not be there.
    pub fn quantity_maybe_where<Q: Quantity>(
        &self,
        key: &'static str,
        limits: &str,
        fits: impl Fn(Q) -> bool,
    ) -> Option<Q> {
        let quantity = self.quantity_maybe::<Q>(key)?;
        self.fitting(key, quantity, limits, fits)
    }

    fn fitting<Q: Quantity>(
        &self,
        key: &str,
        quantity: Q,
        limits: &str,
        fits: impl Fn(Q) -> bool,
    ) -> Option<Q> {
        if fits(quantity) {
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
        let texts = self.list_of_texts(key)?;
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
        let value = self.value(key)?;
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
        let value = self.value(key)?;
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
        let text = self.text_maybe(key)?;
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

    fn list_of_texts(&self, key: &'static str) -> Option<Vec<(String, Range<usize>)>> {
        let value = self.value(key)?;
        let DeValue::Array(items) = value.get_ref() else {
            self.fault_by(
                "wrong-kind",
                value.span(),
                format!(
                    "\"{key}\" is {}, but a list of texts in square brackets is wanted",
                    kind_of(value.get_ref())
                ),
            );
            return None;
        };
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

    /// A list of plain numbers; `None` where the key is missing or one of them is at fault.
    pub fn numbers(&self, key: &'static str) -> Option<Vec<Ratio>> {
        let value = self.value(key)?;
        let DeValue::Array(items) = value.get_ref() else {
            self.fault_by(
                "wrong-kind",
                value.span(),
                format!(
                    "\"{key}\" is {}, but a list of numbers in square brackets is wanted",
                    kind_of(value.get_ref())
                ),
            );
            return None;
        };
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
        self.list_of_texts(key).unwrap_or_default()
    }

    /// A table below this one that need not be there.
    pub fn section_maybe(&self, key: &'static str) -> Option<Section<'d>> {
        let value = self.value(key)?;
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
        let Some(value) = self.value(key) else {
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
        Section {
            table,
            span,
            name: if self.name.is_empty() {
                key.to_string()
            } else {
                format!("{}.{key}", self.name)
            },
            known: RefCell::default(),
            faults: Rc::clone(&self.faults),
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

fn kind_of(value: &DeValue<'_>) -> &'static str {
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

/// The known word that is fewest letters away from `text`, where that is near enough to be a slip.
///
/// ```
/// use shimwright::record::nearest;
/// assert_eq!(nearest("thickess", &["thickness", "name"]), Some("thickness"));
/// assert_eq!(nearest("colour", &["thickness", "name"]), None);
/// ```
pub fn nearest<'k>(text: &str, known: &[&'k str]) -> Option<&'k str> {
    let text: Vec<char> = text.to_lowercase().chars().take(64).collect();
    known
        .iter()
        .map(|word| {
            (
                distance(&text, &word.to_lowercase().chars().collect::<Vec<_>>()),
                *word,
            )
        })
        .filter(|(distance, word)| *distance <= 1 + word.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// Letters to change, add or drop to come from one word to the other.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.iter().enumerate() {
        let mut diagonal = i;
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
        for (j, cb) in b.iter().enumerate() {
            let keep = diagonal + usize::from(ca != cb);
            diagonal = row[j + 1];
            row[j + 1] = keep.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn one(source: &str) -> Result<(String, Length, u32), Faults> {
        Document::read("part.toml", source, |top| {
            let name = top.text("name");
            let thickness =
                top.quantity_where::<Length>("thickness", "more than nothing", |t| t > Length::ZERO);
            let count = top.count("count", 1..100);
            top.finish();
            Some((name?, thickness?, count?))
        })
    }

    #[test]
    fn a_good_document_is_read() {
        let (name, thickness, count) = one("name = \"A\"\nthickness = \"1.98 mm\"\ncount = 3\n").unwrap();
        assert_eq!((name.as_str(), thickness, count), ("A", Length::from_um(1980), 3));
    }

    #[test]
    fn all_faults_are_told_at_once_with_line_and_column() {
        let faults = one("nmae = \"A\"\nthickness = \"-2 mm\"\ncount = -1\n").unwrap_err();
        let text = faults.to_string();
        assert_eq!(faults.faults.len(), 4, "{text}");
        assert!(
            text.contains(
                "part.toml:1:1: \"nmae\" is not known in the top of the file; did you mean \"name\"?"
            ),
            "{text}"
        );
        assert!(text.contains("part.toml:2:13: thickness is -2.000 mm, but it must be more than nothing\n    thickness = \"-2 mm\""), "{text}");
        assert!(
            text.contains("part.toml:3:9: \"count\" is -1, but a whole number from 1 to 99 is wanted"),
            "{text}"
        );
        assert!(text.contains("\"name\" is missing"), "{text}");
    }

    #[test]
    fn a_bare_number_is_refused_where_a_unit_is_wanted() {
        let text = one("name = \"A\"\nthickness = 1.98\ncount = 3\n")
            .unwrap_err()
            .to_string();
        assert!(
            text.contains(
                "\"thickness\" is a bare number, but a length in quotes with its unit is wanted, in mm"
            ),
            "{text}"
        );
    }

    #[test]
    fn several_syntax_faults_are_told_at_once() {
        let faults = one("name = \"A\nthickness = \ncount = 3 3\n").unwrap_err();
        assert!(faults.faults.len() >= 2, "{faults}");
    }

    #[test]
    fn not_a_number_is_refused() {
        let text = one("name = \"A\"\nthickness = \"nan mm\"\ncount = nan\n")
            .unwrap_err()
            .to_string();
        assert!(
            text.contains("\"nan mm\" does not start with a plain number"),
            "{text}"
        );
        assert!(
            text.contains("\"count\" is a bare number, but a whole number"),
            "{text}"
        );
    }
}
