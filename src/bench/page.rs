//! Text laid out to a width: paragraphs, tables, drawings.

use crate::procedure::Table;
use crate::quantity::visible;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

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
            let part = visible(part);
            let glued = glue(&part);
            let first = if at == 0 { "" } else { indent };
            let options = textwrap::Options::new(self.width)
                .initial_indent(first)
                .subsequent_indent(indent)
                .word_splitter(textwrap::WordSplitter::NoHyphenation);
            for line in textwrap::wrap(&glued, options) {
                self.line(&line.replace('\u{A0}', " "), paint);
            }
        }
    }

    /// A line whose spaces mean something: it is cut at the width and goes on below.
    pub(super) fn drawn(&mut self, line: &str) {
        let shown = visible(line);
        let mut part = String::new();
        let mut used = 0;
        for c in shown.trim_end().chars() {
            let wide = c.width().unwrap_or(0);
            if used + wide > self.width {
                self.line(&part, None);
                part.clear();
                used = 0;
            }
            part.push(c);
            used += wide;
        }
        self.line(&part, None);
    }

    pub(super) fn table(&mut self, table: &Table) {
        let rows: Vec<Vec<String>> = std::iter::once(&table.head)
            .chain(&table.rows)
            .map(|row| row.iter().map(|cell| visible(cell).into_owned()).collect())
            .collect();
        let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns)
            .map(|at| {
                rows.iter()
                    .filter_map(|row| row.get(at))
                    .map(|cell| cell.width())
                    .max()
                    .unwrap_or(0)
            })
            .collect();
        if widths.iter().sum::<usize>() + 2 * columns.saturating_sub(1) <= self.width {
            for (at, row) in rows.iter().enumerate() {
                let line: Vec<String> = row
                    .iter()
                    .zip(&widths)
                    .map(|(cell, width)| format!("{cell}{}", " ".repeat(width - cell.width())))
                    .collect();
                self.line(line.join("  ").trim_end(), (at == 0).then_some(Paint::Head));
            }
            return;
        }
        // too wide: a row becomes a paragraph, each cell with the head of its column
        let head = rows.first().cloned().unwrap_or_default();
        for row in rows.iter().skip(1) {
            let cells: Vec<String> = row
                .iter()
                .enumerate()
                .map(|(at, cell)| match head.get(at).map(String::as_str) {
                    None | Some("") => cell.clone(),
                    Some(head) => format!("{head}: {cell}"),
                })
                // a cell stays in one piece, unless it alone is wider than the screen
                .map(|cell| {
                    if cell.width() + 3 < self.width {
                        cell.replace(' ', "\u{A0}")
                    } else {
                        cell
                    }
                })
                .collect();
            self.paragraph(&cells.join("; "), "  ", None);
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

/// Ties a number to the unit behind it, so that a line never ends between `24.03` and `mm`.
fn glue(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut chars = words.chars().peekable();
    let mut last = ' ';
    while let Some(c) = chars.next() {
        let unit_follows = chars
            .peek()
            .is_some_and(|next| next.is_alphabetic() || *next == '°' || *next == '%');
        out.push(if c == ' ' && last.is_ascii_digit() && unit_follows {
            '\u{A0}'
        } else {
            c
        });
        last = c;
    }
    out
}
