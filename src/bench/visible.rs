use std::borrow::Cow;

/// Makes characters that could steer a terminal, or turn the order of the words round, readable instead.
///
/// Control characters (escape among them), line and paragraph separators, bidirectional marks and characters of no
/// width that hide in a word come out as their number, `<U+001B>`. Everything else stays as it is.
///
/// ```
/// use shimwright::bench::visible;
/// assert_eq!(visible("plate \u{1b}[31mG3"), "plate <U+001B>[31mG3");
/// assert_eq!(visible("Größe 1,98 mm"), "Größe 1,98 mm");
/// ```
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.contains(hidden) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if hidden(c) {
            out.push_str(&format!("<U+{:04X}>", u32::from(c)));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// The bidirectional marks are those with the property Bidi_Control of the Unicode character database.
fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
        || matches!(
            c,
            '\u{200B}' | '\u{2028}' | '\u{2029}' | '\u{2060}' | '\u{FEFF}' | '\u{E0000}'..='\u{E007F}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_bidirectional_control_is_shown() {
        // Unicode 14.0 Character Database, property Bidi_Control: the whole list, as Perl 5's copy of it gives it
        let marks =
            "\u{61C}\u{200E}\u{200F}\u{202A}\u{202B}\u{202C}\u{202D}\u{202E}\u{2066}\u{2067}\u{2068}\u{2069}";
        assert_eq!(marks.chars().count(), 12);
        for mark in marks.chars() {
            assert_eq!(visible(&mark.to_string()), format!("<U+{:04X}>", u32::from(mark)));
        }
    }

    #[test]
    fn control_characters_of_both_sets_and_delete_are_shown() {
        assert_eq!(
            visible("a\u{7}b\u{7f}c\u{9b}d\n"),
            "a<U+0007>b<U+007F>c<U+009B>d<U+000A>"
        );
    }

    proptest! {
        #[test]
        fn nothing_that_steers_a_terminal_gets_through(text in any::<String>()) {
            prop_assert!(!visible(&text).contains(char::is_control));
        }

        #[test]
        fn plain_words_stay_as_they_are(text in "[ -~äöüßéµ°·×≤≥–]*") {
            let shown = visible(&text);
            prop_assert_eq!(shown, text.as_str());
        }
    }
}
