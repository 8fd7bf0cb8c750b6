//! Elements and their words, escaped: what was typed is text wherever it stands.

use crate::quantity::{unit_named, visible};

/// Words as they stand between elements and in attributes: nothing in them hides, steers or begins an element.
pub(super) fn escaped(words: &str) -> String {
    super::super::svg::escaped(&visible(words))
}

/// No run of letters is longer without a place where it may be broken, or it would widen a column past its paper.
const LONGEST: usize = 24;

/// [`escaped`], with places where a long word may be broken, and none between a number and its unit.
fn breakable(words: &str) -> String {
    let (mut out, mut run) = (String::new(), 0);
    let (shown, mut before) = (visible(words), ' ');
    for (at, c) in shown.char_indices() {
        run = if c.is_whitespace() { 0 } else { run + 1 };
        let parts = c == ' ' && before.is_ascii_digit() && begins_with_unit(&shown[at + 1..]);
        before = c;
        if parts {
            out.push('\u{a0}');
            continue;
        }
        if run > LONGEST {
            out.push_str("<wbr/>");
            run = 1;
        }
        out.push_str(&super::super::svg::escaped(c.encode_utf8(&mut [0; 4])));
    }
    out
}

/// Whether the first word is a unit of measure.
fn begins_with_unit(text: &str) -> bool {
    let end = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ')' | ':');
    let word = text.split(end).next().unwrap_or("");
    unit_named(word.trim_end_matches('.')).is_some()
}

/// What stands on the page so far.
#[derive(Default)]
pub(super) struct Markup {
    text: String,
}

impl Markup {
    /// The text.
    pub fn into_text(self) -> String {
        self.text
    }

    /// Adds what is marked up already.
    pub fn push(&mut self, markup: &str) {
        self.text.push_str(markup);
    }

    /// An element with words in it, and its attributes as they are written.
    pub fn words(&mut self, name: &str, attributes: &str, words: &str) {
        self.open(name, attributes);
        self.push(&breakable(words));
        self.close(name);
    }

    /// Begins an element, with its attributes as they are written.
    pub fn open(&mut self, name: &str, attributes: &str) {
        let space = if attributes.is_empty() { "" } else { " " };
        self.push(&format!("<{name}{space}{attributes}>"));
    }

    /// Ends an element. Whatever is no part of a line ends one.
    pub fn close(&mut self, name: &str) {
        self.push(&format!("</{name}>"));
        if !matches!(name, "td" | "th" | "dt" | "dd" | "strong" | "span") {
            self.push("\n");
        }
    }
}
