use super::measure::{Face, advance};
use std::borrow::Cow;
use std::fmt::Write;

/// Whether a character can hide, move or reverse what stands beside it.
fn treacherous(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e01ef}')
}

fn shown(text: &str, passes: impl Fn(char) -> bool) -> Cow<'_, str> {
    if text.chars().all(&passes) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if passes(c) {
            out.push(c);
        } else {
            // writing to a string does not fail
            let _ = write!(out, "[U+{:04X}]", u32::from(c));
        }
    }
    Cow::Owned(out)
}

/// The text with every character that the sheet's fonts lack, every control character and every mark of writing
/// direction shown as its code point.
///
/// ```
/// use shimwright::sheet::on_paper;
/// assert_eq!(on_paper("Jörg, 0.12 µm ≤ Δ"), "Jörg, 0.12 µm ≤ Δ");
/// assert_eq!(on_paper("a漢\tb\u{202e}"), "a[U+6F22][U+0009]b[U+202E]");
/// ```
pub fn on_paper(text: &str) -> Cow<'_, str> {
    shown(text, |c| !treacherous(c) && advance(Face::Regular, c).is_some())
}

/// The text with every control character and every mark of writing direction shown as its code point. Letters of
/// any script pass: a terminal has its own fonts.
///
/// ```
/// use shimwright::sheet::on_screen;
/// assert_eq!(on_screen("漢 \u{1b}[2J"), "漢 [U+001B][2J");
/// ```
pub fn on_screen(text: &str) -> Cow<'_, str> {
    shown(text, |c| !treacherous(c))
}
