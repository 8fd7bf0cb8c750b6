//! Widths of text from the fonts' own tables, and the breaking of lines.

use super::given_font::{FontSource, GivenFont};
use super::writing::stands_alone;
use crate::quantity::{hides, visible_where};
use crate::report::FIRM;
use printpdf::ParsedFont;
use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Millimetres in a typographic point.
pub(super) const POINT: f64 = 25.4 / 72.0;

/// How far a letter with an accent may reach above the baseline, in sizes.
pub(super) const ASCENT: f64 = 0.93;

/// How far a letter may reach below the baseline, in sizes.
pub(super) const DESCENT: f64 = 0.24;

/// A typeface of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Face {
    /// For text and numbers.
    Regular,
    /// For heads and what must not be missed.
    Bold,
    /// For digests.
    Mono,
}

impl Face {
    /// All faces.
    pub const ALL: [Face; 3] = [Face::Regular, Face::Bold, Face::Mono];

    pub(super) fn source(self) -> FontSource<'static> {
        let bytes: &[u8] = match self {
            Face::Regular => include_bytes!("fonts/DejaVuSansCondensed.subset.ttf"),
            Face::Bold => include_bytes!("fonts/DejaVuSansCondensed-Bold.subset.ttf"),
            Face::Mono => include_bytes!("fonts/DejaVuSansMono.subset.ttf"),
        };
        FontSource { bytes, face: 0 }
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Face::Regular => "DejaVuSansCondensed",
            Face::Bold => "DejaVuSansCondensed-Bold",
            Face::Mono => "DejaVuSansMono",
        }
    }
}

/// What a job printed with: a font that was handed in, and the signs that could not be printed.
#[derive(Clone, Default, PartialEq, Eq, Debug)]
pub struct FontUse {
    /// Whether anything is set in the font that was handed in.
    pub is_used: bool,
    /// Signs that neither the built-in faces nor that font have: they stand as their code points.
    pub lacking: BTreeSet<char>,
    /// Signs of writing that joins, stacks or runs from right to left, which no font is asked for: they stand as their code
    /// points too.
    pub joined: BTreeSet<char>,
}

/// What is printed with at the moment.
#[derive(Default)]
struct Printing {
    font: Option<GivenFont>,
    with: FontUse,
}

thread_local! {
    /// The font of the job that this thread is in. Widths are asked for wherever something is laid out, so it stands beside
    /// the built-in faces and is handed through nothing; [`with_font`] alone sets it, and only while its job lasts.
    static PRINTING: RefCell<Printing> = RefCell::default();
}

/// Does a job that prints with a font for what the built-in faces lack; without one those signs stand as their code points.
/// What the job gives depends on nothing but what it is given and the font.
pub fn with_font<T>(font: Option<&GivenFont>, job: impl FnOnce() -> T) -> (T, FontUse) {
    /// Puts back what was there, also where the job panics.
    struct Back(Option<Printing>);
    impl Back {
        fn put(&mut self) -> Option<Printing> {
            let before = self.0.take()?;
            Some(PRINTING.with(|printing| printing.replace(before)))
        }
    }
    impl Drop for Back {
        fn drop(&mut self) {
            self.put();
        }
    }
    let now = Printing {
        font: font.cloned(),
        with: FontUse::default(),
    };
    let mut back = Back(Some(PRINTING.with(|printing| printing.replace(now))));
    let done = job();
    let used = back.put().map(|printing| printing.with).unwrap_or_default();
    (done, used)
}

/// The font that was handed in, where anything is set in it so far.
pub(super) fn font_in_use() -> Option<GivenFont> {
    PRINTING.with_borrow(|printing| printing.font.clone().filter(|_| printing.with.is_used))
}

/// Text in pieces that are each set in one font: in the face, or, where that is `true`, in the one that was handed in.
pub(super) fn in_fonts(text: &str, face: Face) -> Vec<(bool, &str)> {
    let mut pieces: Vec<(bool, &str)> = Vec::new();
    let mut from = 0;
    for (at, c) in text.char_indices() {
        let given = built_in(face, c).is_none();
        let upto = at + c.len_utf8();
        match pieces.last_mut() {
            Some((of, piece)) if *of == given => *piece = &text[from..upto],
            _ => {
                from = at;
                pieces.push((given, &text[at..upto]));
            }
        }
    }
    pieces
}

/// The end of the table of widths: no character of the fonts but U+FFFD lies past it.
const TABLE: usize = 0x2800;

/// Widths in thousandths of the size by code point.
struct Widths([Option<u16>; TABLE]);

fn widths(face: Face) -> Box<Widths> {
    let mut table = Box::new(Widths([None; TABLE]));
    let Some(font) = ParsedFont::from_bytes(face.source().bytes, 0, &mut Vec::new()) else {
        return table;
    };
    for (&code, gid) in &font.codepoint_to_glyph {
        let width = font.glyph_widths.get(gid).copied().unwrap_or(0);
        if let Some(slot) = table.0.get_mut(code as usize).filter(|_| *gid != 0) {
            // cut to whole thousandths, as the widths in the PDF are
            *slot = Some((u32::from(width) * 1000 / u32::from(font.units_per_em.max(1))) as u16);
        }
    }
    table
}

static REGULAR: LazyLock<Box<Widths>> = LazyLock::new(|| widths(Face::Regular));
static BOLD: LazyLock<Box<Widths>> = LazyLock::new(|| widths(Face::Bold));
static MONO: LazyLock<Box<Widths>> = LazyLock::new(|| widths(Face::Mono));

/// The width of a character in thousandths of the size; `None` where neither the face nor a font that was handed in has it.
pub(super) fn advance(face: Face, c: char) -> Option<u16> {
    built_in(face, c).or_else(|| PRINTING.with_borrow(|printing| printing.font.as_ref()?.advance(c)))
}

/// Whether a character can be printed, which is noted either way.
fn is_drawn(face: Face, c: char) -> bool {
    if built_in(face, c).is_some() {
        return true;
    }
    PRINTING.with_borrow_mut(|printing| {
        let has = printing
            .font
            .as_ref()
            .is_some_and(|font| font.advance(c).is_some());
        match (has, hides(c)) {
            (_, true) => {}
            (true, false) => printing.with.is_used = true,
            (false, false) if stands_alone(c) => {
                printing.with.lacking.insert(c);
            }
            (false, false) => {
                printing.with.joined.insert(c);
            }
        }
        has
    })
}

/// The width of a character in thousandths of the size; `None` where the face does not have it.
fn built_in(face: Face, c: char) -> Option<u16> {
    let table = match face {
        Face::Regular => &REGULAR,
        Face::Bold => &BOLD,
        Face::Mono => &MONO,
    };
    table.0.get(c as usize).copied().flatten()
}

/// The width of text that has been made visible, in millimetres, at a size in points.
pub(super) fn width(text: &str, face: Face, size: f64) -> f64 {
    let thousandths: u64 = text
        .chars()
        .map(|c| u64::from(advance(face, c).unwrap_or(600)))
        .sum();
    thousandths as f64 / 1000.0 * size * POINT
}

/// Breaks text into lines no wider than `room` millimetres: at spaces, and inside a word only where it is wider than
/// a whole line. What is shown is [`in_face`] of the text. There is at least one line.
pub(super) fn wrap(text: &str, face: Face, size: f64, room: f64) -> Vec<String> {
    let text = in_face(text, face);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0.0;
    let space = width(" ", face, size);
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let wide = width(word, face, size);
        let before = if line.is_empty() { 0.0 } else { space };
        if used + before + wide <= room {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            used += before + wide;
            continue;
        }
        if !line.is_empty() && wide <= room {
            lines.push(std::mem::take(&mut line));
            line.push_str(word);
            used = wide;
            continue;
        }
        // wider than a line: fill what is left of this one, then break anywhere
        if !line.is_empty() {
            if used + space + 8.0 * space < room {
                line.push(' ');
                used += space;
            } else {
                lines.push(std::mem::take(&mut line));
                used = 0.0;
            }
        }
        for c in word.chars() {
            let wide = width(c.encode_utf8(&mut [0; 4]), face, size);
            if used + wide > room && !line.trim_end().is_empty() {
                lines.push(std::mem::take(&mut line).trim_end().to_string());
                used = 0.0;
            }
            line.push(c);
            used += wide;
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    for line in &mut lines {
        if line.contains(FIRM) {
            *line = line.replace(FIRM, " ");
        }
    }
    lines
}

/// The text as the sheet shows it: every character that its fonts lack comes out as its code point, as do those that
/// [`visible`](crate::quantity::visible) shows so.
///
/// ```
/// use shimwright::sheet::on_paper;
/// assert_eq!(on_paper("Jörg, 0.12 µm ≤ Δ"), "Jörg, 0.12 µm ≤ Δ");
/// assert_eq!(on_paper("a漢\tb\u{202e}"), "a[U+6F22][U+0009]b[U+202E]");
/// ```
pub fn on_paper(text: &str) -> Cow<'_, str> {
    in_face(text, Face::Regular)
}

/// The text as it stands on a sheet without any font but the built-in ones.
pub(super) fn in_built_in(text: &str) -> String {
    visible_where(text, |c| built_in(Face::Regular, c).is_some()).into_owned()
}

/// [`on_paper`] for one face: the one for digests has some letters less.
pub(super) fn in_face(text: &str, face: Face) -> Cow<'_, str> {
    visible_where(text, |c| is_drawn(face, c))
}

/// The widest piece of the text that is not broken at a space.
pub(super) fn widest_word(text: &str, face: Face, size: f64) -> f64 {
    in_face(text, face)
        .split(' ')
        .map(|word| width(word, face, size))
        .fold(0.0, f64::max)
}

/// The text cut with `…` where it is wider than `room`.
pub(super) fn fit(text: &str, face: Face, size: f64, room: f64) -> String {
    let text = in_face(text, face).replace(FIRM, " ");
    if width(&text, face, size) <= room {
        return text;
    }
    let mut cut = String::new();
    let mut used = width("…", face, size);
    for c in text.chars() {
        used += width(c.encode_utf8(&mut [0; 4]), face, size);
        if used > room {
            break;
        }
        cut.push(c);
    }
    cut.truncate(cut.trim_end().len());
    cut.push('…');
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_faces_have_what_the_trade_writes() {
        for face in Face::ALL {
            for c in "µ×·°±≤≥ΩéßłčμΔθ←→↑↓✓✗☐☑⌀½Жя–…½".chars() {
                assert!(advance(face, c).is_some(), "{face:?} lacks {c}");
            }
        }
    }

    #[test]
    fn the_bold_face_has_all_that_the_regular_one_has() {
        for c in (0..TABLE as u32).filter_map(char::from_u32) {
            let (regular, bold) = (advance(Face::Regular, c), advance(Face::Bold, c));
            assert_eq!(regular.is_some(), bold.is_some(), "{c:?}");
        }
    }

    #[test]
    fn a_letter_that_only_the_face_for_digests_lacks_is_shown_as_its_code_point_there() {
        assert_eq!(wrap("GRÖẞE", Face::Regular, 9.0, 80.0), ["GRÖẞE"]);
        assert_eq!(wrap("GRÖẞE", Face::Mono, 9.0, 80.0), ["GRÖ[U+1E9E]E"]);
    }

    #[test]
    fn digits_are_equally_wide() {
        for face in Face::ALL {
            let zero = advance(face, '0');
            assert!(zero.is_some() && ('1'..='9').all(|c| advance(face, c) == zero));
        }
    }

    #[test]
    fn a_word_wider_than_a_line_is_broken_and_nothing_is_lost() {
        let long = "x".repeat(200);
        let lines = wrap(&format!("before {long} after"), Face::Regular, 9.0, 40.0);
        assert!(lines.iter().all(|l| width(l, Face::Regular, 9.0) <= 40.0));
        assert_eq!(lines.concat().matches('x').count(), 200);
        assert!(lines[0].starts_with("before x") && lines[lines.len() - 1].ends_with("after"));
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let lines = wrap("about 24.03\u{a0}mm", Face::Regular, 9.0, 17.0);
        assert_eq!(lines, ["about", "24.03 mm"]);
    }

    #[test]
    fn text_that_is_cut_says_so() {
        assert_eq!(fit("short", Face::Regular, 9.0, 40.0), "short");
        let cut = fit(&"long ".repeat(40), Face::Regular, 9.0, 40.0);
        assert!(cut.ends_with('…') && width(&cut, Face::Regular, 9.0) <= 40.0);
    }
}
