//! Text laid out to a width: paragraphs, tables, drawings.

use crate::procedure::Table;
use crate::report::{self, Picture};
use crate::screen::{drawn, laid, wrapped};

/// Narrower than this and a word no longer fits; text is laid out as if the screen were so wide.
const NARROWEST: usize = 20;

/// How a stretch of text is meant; the words say it too.
#[derive(Clone, Copy)]
pub(super) enum Paint {
    Head,
    Good,
    Doubt,
    Bad,
}

impl Paint {
    /// The parameters of Select Graphic Rendition, ECMA-48 (5th edition), 8.3.117.
    fn sgr(self) -> &'static str {
        match self {
            Paint::Head => "1",
            Paint::Good => "32",
            Paint::Doubt => "33",
            Paint::Bad => "1;31",
        }
    }
}

/// Lines of text of one width, one below the other.
pub(super) struct Page {
    pub(super) width: usize,
    colour: bool,
    text: String,
}

impl Page {
    pub(super) fn new(width: usize, colour: bool) -> Page {
        Page {
            width: width.max(NARROWEST),
            colour,
            text: String::new(),
        }
    }

    /// One paragraph; its own line breaks are kept, lines after the first are set in by `indent`.
    pub(super) fn paragraph(&mut self, words: &str, indent: &str, paint: Option<Paint>) {
        for (at, part) in words.lines().enumerate() {
            let first = if at == 0 { "" } else { indent };
            for line in wrapped(part, first, indent, self.width).lines() {
                self.line(line, paint);
            }
        }
    }

    /// Lines whose spaces mean something.
    pub(super) fn drawn(&mut self, lines: &[String]) {
        self.text
            .push_str(&drawn(&Picture::Signs(lines.to_vec()), self.width));
    }

    pub(super) fn table(&mut self, table: &Table) {
        let laid = laid(&report::Table::of_words(&table.head, &table.rows), self.width);
        for line in laid.head {
            self.line(&line, Some(Paint::Head));
        }
        for line in laid.rows {
            self.line(&line, None);
        }
    }

    /// An empty line, but never two in a row.
    pub(super) fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    pub(super) fn text(self) -> String {
        self.text
    }

    fn line(&mut self, line: &str, paint: Option<Paint>) {
        match paint.filter(|_| self.colour && !line.is_empty()) {
            Some(paint) => self
                .text
                .push_str(&format!("\x1b[{}m{line}\x1b[0m\n", paint.sgr())),
            None => {
                self.text.push_str(line);
                self.text.push('\n');
            }
        }
    }
}

/// Text for a prompt that draws it behind `taken` columns: folded between words, further lines set in by `indent`.
pub(super) fn folded(words: &str, width: usize, taken: usize, indent: usize) -> String {
    let mut page = Page::new(width, false);
    let words = format!("{}{words}", "\u{A0}".repeat(taken));
    page.paragraph(&words, &" ".repeat(indent), None);
    page.text.trim_end().chars().skip(taken).collect()
}
