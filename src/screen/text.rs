//! Paragraphs as lines.

use crate::quantity::visible;
use crate::report::{FIRM, glued};
use unicode_width::UnicodeWidthStr;

/// Narrower than this nothing is laid out.
pub(super) const NARROWEST: usize = 20;

/// A paragraph of plain text in lines that are at most `width` columns wide (but at least 20), each with its newline.
/// Control characters are made visible.
///
/// ```
/// let words = "a pack that wears lets its spring out";
/// assert_eq!(shimwright::screen::filled(words, 24), "a pack that wears lets\nits spring out\n");
/// ```
pub fn filled(words: &str, width: usize) -> String {
    hanging("", words, width)
}

/// The same behind `first`, with the lines after the first set in below its end.
///
/// ```
/// use shimwright::screen::hanging;
/// assert_eq!(hanging("- ", "a pack that wears lets its spring out", 24), "- a pack that wears lets\n  its spring out\n");
/// ```
pub fn hanging(first: &str, words: &str, width: usize) -> String {
    wrapped(words, first, &" ".repeat(first.width()), width)
}

/// The same behind `first`, with the lines after the first behind `rest`. A line never ends between a number and its unit of
/// measure, nor inside a word that has room.
///
/// ```
/// let words = "the gap is 1.03 mm, wanted is 1 mm";
/// assert_eq!(shimwright::screen::wrapped(words, "", "  ", 20), "the gap is 1.03 mm,\n  wanted is 1 mm\n");
/// assert_eq!(shimwright::screen::wrapped(words, "", "  ", 33), "the gap is 1.03 mm, wanted is\n  1 mm\n");
/// ```
pub fn wrapped(words: &str, first: &str, rest: &str, width: usize) -> String {
    // the other algorithm would rather let a line stick out than leave a very short one
    let options = textwrap::Options::new(width.max(NARROWEST))
        .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .initial_indent(first)
        .subsequent_indent(rest);
    let mut out = textwrap::fill(&glued(&visible(words)), options).replace(FIRM, " ");
    out.push('\n');
    out
}

/// What is told on the error stream, each line of it broken at `width` (20 at least) and set in below its own beginning. What
/// stands between backquotes is a command to be copied, and stays in one piece, even where it sticks out.
///
/// ```
/// let words = "error: it is not there\n  `shimwright builds` lists what is there";
/// assert_eq!(
///     shimwright::screen::broken(words, 24),
///     "error: it is not there\n  `shimwright builds`\n  lists what is there"
/// );
/// ```
pub fn broken(words: &str, width: usize) -> String {
    let line = |line: &str| {
        let text = line.trim_start_matches(' ');
        let indent = " ".repeat(line.len() - text.len());
        let options = textwrap::Options::new(width.max(NARROWEST))
            .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit)
            .word_splitter(textwrap::WordSplitter::NoHyphenation)
            .break_words(false)
            .initial_indent(&indent)
            .subsequent_indent(&indent);
        let pieces: Vec<String> = text
            .split('`')
            .enumerate()
            .map(|(place, piece)| match place % 2 {
                0 => glued(piece),
                _ => piece.replace(' ', &FIRM.to_string()),
            })
            .collect();
        textwrap::fill(&pieces.join("`"), options).replace(FIRM, " ")
    };
    words.split('\n').map(line).collect::<Vec<_>>().join("\n")
}

/// How many columns a line takes.
///
/// ```
/// assert_eq!([shimwright::screen::columns("1.98 mm"), shimwright::screen::columns("漢字")], [7, 4]);
/// ```
pub fn columns(line: &str) -> usize {
    line.width()
}

/// Cuts a line with `…` where it is too wide.
pub(super) fn cut(line: &str, width: usize) -> String {
    if line.width() <= width {
        return line.to_string();
    }
    let mut out = String::new();
    for c in line.chars() {
        let mut next = out.clone();
        next.push(c);
        if next.width() + 1 > width {
            break;
        }
        out = next;
    }
    out.push('…');
    out
}
