//! Text that can not hide or steer.

use std::borrow::Cow;
use std::fmt::Write;

/// Makes characters that could steer a terminal, turn the order of the words round or hide in a word readable
/// instead: each comes out as its code point in brackets, `[U+001B]`. Everything else stays as it is.
///
/// These are the control characters (escape, tab and line end among them), line and paragraph separators, the marks of
/// writing direction, and the characters that are drawn as nothing (Unicode's Default_Ignorable_Code_Point: soft
/// hyphen, zero-width space and joiners, variation selectors, tags). Every floor shows what a file or a person wrote
/// through this, on screen, on paper and in errors.
///
/// ```
/// use shimwright::quantity::visible;
/// assert_eq!(visible("plate \u{1b}[31mG3"), "plate [U+001B][31mG3");
/// assert_eq!(visible("Größe 1,98 mm"), "Größe 1,98 mm");
/// ```
pub fn visible(text: &str) -> Cow<'_, str> {
    visible_where(text, |_| true)
}

/// [`visible`], and shows every character that can not be `drawn` as its code point as well: a sheet's font lacks some.
///
/// ```
/// use shimwright::quantity::visible_where;
/// assert_eq!(visible_where("a漢\tb", |c| c.is_ascii()), "a[U+6F22][U+0009]b");
/// ```
pub fn visible_where(text: &str, drawn: impl Fn(char) -> bool) -> Cow<'_, str> {
    let passes = |c: char| !hides(c) && drawn(c);
    if text.chars().all(passes) {
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

/// [`visible`] for words of several lines: the line ends stay, all else that hides is shown.
///
/// ```
/// assert_eq!(shimwright::quantity::visible_lines("a\tb\nc"), "a[U+0009]b\nc");
/// ```
pub fn visible_lines(text: &str) -> String {
    text.split('\n')
        .map(|line| visible(line.strip_suffix('\r').unwrap_or(line)))
        .collect::<Vec<_>>()
        .join("\n")
}

/// Whether a character acts on what stands beside it and is itself not seen: what [`visible`] shows.
///
/// ```
/// assert!(shimwright::quantity::hides('\u{202e}') && !shimwright::quantity::hides('é'));
/// ```
pub fn hides(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn exactly_the_characters_that_unicode_says_are_not_seen_are_shown() {
        let table = include_str!("../../tests/references/hidden_characters.csv");
        let ranges: Vec<(u32, u32)> = table
            .lines()
            .filter(|line| !line.starts_with('#'))
            .skip(1)
            .map(|line| {
                let (first, last) = line.split_once(',').unwrap();
                let number = |text| u32::from_str_radix(text, 16).unwrap();
                (number(first), number(last))
            })
            .collect();
        for c in '\0'..=char::MAX {
            let number = u32::from(c);
            let listed = ranges
                .iter()
                .any(|(first, last)| (*first..=*last).contains(&number));
            let shown = visible(c.encode_utf8(&mut [0; 4])).into_owned();
            if listed {
                assert_eq!(shown, format!("[U+{number:04X}]"));
            } else {
                assert_eq!(shown, c.to_string());
            }
        }
    }

    #[test]
    fn line_ends_of_either_kind_part_lines_and_a_bare_return_is_shown() {
        assert_eq!(visible_lines("a\r\nb\rc\n\u{202e}"), "a\nb[U+000D]c\n[U+202E]");
    }

    proptest! {
        #[test]
        fn nothing_that_steers_a_terminal_gets_through(text in any::<String>()) {
            let shown = visible(&text);
            prop_assert!(!shown.contains(hides));
            prop_assert_eq!(visible(&shown), shown.as_ref());
        }

        #[test]
        fn plain_words_stay_as_they_are(text in "[ -~äöüßéµ°·×≤≥–漢字]*") {
            let shown = visible(&text);
            prop_assert_eq!(shown, text.as_str());
        }
    }
}
