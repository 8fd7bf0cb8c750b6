//! The words that a drive day takes for an answer, in the language in which it is asked: what is typed in it is taken for the
//! English word, which is written down.

use super::questions::Wants;
use crate::record::phrase::{Phrase, Spoken};

pub(super) const NEXT: &str = "next";
pub(super) const END: &str = "end";
pub(super) const NONE: &str = "none";
pub(super) const UNSAID: &str = "unsaid";

/// What may be answered, by its English word.
const KIND: &[(&str, Phrase)] = &[("test", Phrase::WordTest), ("event", Phrase::WordEvent)];
const GOES_ON: &[(&str, Phrase)] = &[(NEXT, Phrase::WordNext), (END, Phrase::WordEnd)];
const OVER: &[(&str, Phrase)] = &[(END, Phrase::WordEnd)];
const NOTHING: &[(&str, Phrase)] = &[(NONE, Phrase::WordNone)];
const FEEL: &[(&str, Phrase)] = &[
    ("much-less", Phrase::WordMuchLess),
    ("less", Phrase::WordLess),
    ("right", Phrase::WordRight),
    ("more", Phrase::WordMore),
    ("much-more", Phrase::WordMuchMore),
    (UNSAID, Phrase::WordUnsaid),
];

/// The words of a question.
fn words(wants: Wants) -> &'static [(&'static str, Phrase)] {
    match wants {
        Wants::Kind => KIND,
        Wants::Next => GOES_ON,
        Wants::Times => OVER,
        Wants::Felt(_) => FEEL,
        Wants::Maybe
        | Wants::AsBefore
        | Wants::Temperature
        | Wants::Age
        | Wants::Distance
        | Wants::Sets
        | Wants::Struck => NOTHING,
        Wants::Name | Wants::Text | Wants::Date | Wants::Setting | Wants::Set => &[],
    }
}

/// An answer as it is said in the language; whatever is none of the words of the question stays.
pub(super) fn said(spoken: &Spoken, wants: Wants, word: &str) -> String {
    let mut all = words(wants).iter();
    let known = all.find(|(english, _)| *english == word);
    known.map_or(word, |(_, phrase)| spoken.say(*phrase)).to_string()
}

/// The English word for one that was typed in the language, or for its beginning where only one begins so.
pub(super) fn in_english<'t>(spoken: &Spoken, wants: Wants, typed: &'t str) -> &'t str {
    let all = words(wants);
    let lower = typed.to_lowercase();
    if lower.is_empty() || all.iter().any(|(english, _)| english.starts_with(&lower)) {
        return typed;
    }
    if let Some((english, _)) = all.iter().find(|(_, phrase)| spoken.say(*phrase) == lower) {
        return english;
    }
    // what a person writes down may begin as a word does
    if all.len() < 2 {
        return typed;
    }
    let mut begin = all
        .iter()
        .filter(|(_, phrase)| spoken.say(*phrase).starts_with(&lower));
    match (begin.next(), begin.next()) {
        (Some((english, _)), None) => english,
        _ => typed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::driven::{FELT, Phase};

    const ALL: [&[(&str, Phrase)]; 5] = [KIND, GOES_ON, OVER, NOTHING, FEEL];

    #[test]
    fn every_word_is_taken_in_each_language_and_in_english() {
        for language in ["en", "de", "es"] {
            let spoken = Spoken {
                language: language.to_string(),
                unreviewed: true,
            };
            let wants = [
                Wants::Kind,
                Wants::Next,
                Wants::Times,
                Wants::Maybe,
                Wants::Felt(Phase::Entry),
            ];
            for (wants, words) in wants.into_iter().zip(ALL) {
                for (english, phrase) in words {
                    assert_eq!(*english, phrase.english());
                    let said = said(&spoken, wants, english);
                    assert_eq!(in_english(&spoken, wants, &said), *english, "{language}: {said}");
                    assert_eq!(
                        in_english(&spoken, wants, &said.to_uppercase()).to_lowercase(),
                        *english
                    );
                    assert_eq!(in_english(&spoken, wants, english), *english);
                }
            }
            assert_eq!(said(&spoken, Wants::Maybe, "dry"), "dry");
        }
        assert!(
            FELT.iter()
                .all(|word| FEEL.iter().any(|(known, _)| known == word))
        );
    }

    #[test]
    fn a_side_is_no_feel_and_what_is_written_down_is_no_word() {
        let german = Spoken {
            language: "de".to_string(),
            unreviewed: true,
        };
        assert_eq!(in_english(&german, Wants::Felt(Phase::Lift), "rechts"), "rechts");
        assert_eq!(in_english(&german, Wants::Felt(Phase::Lift), "pas"), "right");
        assert_eq!(in_english(&german, Wants::Maybe, "kei"), "kei");
        assert_eq!(in_english(&german, Wants::Text, "keine"), "keine");
    }
}
