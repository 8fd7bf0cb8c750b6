//! Answers in the language in which a question is put: its words are shown in it, and what is typed in it is taken for the
//! English word, which is written down.

use super::ask::{Ask, Expects, Reply, StepKind};
use super::definition::{Kind, Plain, Step};
use super::field::Field;
use super::session::Session;
use super::typed::SURE;

/// What a person says of what looked odd, whatever is asked.
const ALWAYS: [&str; 2] = ["yes", SURE];

impl Session {
    /// Puts the words that may be chosen into the language of the procedure.
    pub(super) fn in_its_language(&self, step: &Step, ask: &mut Ask) {
        let fixed = step.fills.map_or(&[][..], Field::fixed_words);
        let spoken = &self.job.procedure.spoken;
        let said = |word: &str| match fixed.contains(&word) {
            true => spoken.answer(word).to_string(),
            false => word.to_string(),
        };
        if let Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. } = &mut ask.expects {
            for way in ways {
                way.key = said(&way.key);
                way.words = spoken.meaning(&way.words).to_string();
            }
        }
        if let Expects::OneOfOrLine { lines, .. } = &mut ask.expects {
            for line in lines {
                if let Some((word, rest)) = line.split_once(' ') {
                    *line = format!("{} {rest}", said(word));
                }
            }
        }
        ask.before = ask.before.take().map(|before| said(&before));
    }

    /// A reply with the English words for those that were typed in the language of the procedure. Words that a person writes
    /// down stay as they are.
    pub(super) fn in_english(&self, step: &Step, reply: &Reply) -> Reply {
        match reply {
            Reply::Answer(text) => Reply::Answer(self.answer_in_english(step, text)),
            Reply::Row(line) => Reply::Row(self.each_in_english(line)),
            other => other.clone(),
        }
    }

    fn answer_in_english(&self, step: &Step, text: &str) -> String {
        let spoken = &self.job.procedure.spoken;
        let kind = step.fills.map(Field::kind);
        let plain_words =
            step.fills.is_none() && step.answer == Plain::Text && step.kind != StepKind::Caution;
        if matches!(kind, Some(Kind::Text | Kind::Name | Kind::Choice)) || plain_words {
            return text.to_string();
        }
        let whole = text.trim();
        let english = |typed: &str| {
            let fixed = step.fills.map_or(&[][..], Field::fixed_words);
            let meant = spoken.answer_in_english(typed)?;
            let known = kind != Some(Kind::Word) || fixed.contains(&meant) || ALWAYS.contains(&meant);
            known.then_some(meant)
        };
        if let Some(word) = english(whole) {
            return word.to_string();
        }
        let Some((typed, reason)) = whole.split_once(char::is_whitespace) else {
            return text.to_string();
        };
        // several on a line, one for each of several things
        let each: Option<Vec<&str>> = whole.split_whitespace().map(english).collect();
        if let Some(each) = each {
            return each.join(" ");
        }
        // a reason stands behind
        if kind == Some(Kind::Word)
            && let Some(word) = english(typed)
        {
            return format!("{word} {}", reason.trim());
        }
        if matches!(kind, Some(Kind::Quantity(_))) {
            return self.each_in_english(text);
        }
        text.to_string()
    }

    /// A line of which each word may be one of an answer; a plate's name is none.
    fn each_in_english(&self, line: &str) -> String {
        let spoken = &self.job.procedure.spoken;
        let is_plate = |word: &str| {
            self.job
                .unit
                .plates
                .iter()
                .any(|plate| plate.name.eq_ignore_ascii_case(word))
        };
        let meant = |word: &str| spoken.answer_in_english(word).filter(|_| !is_plate(word));
        if !line.split_whitespace().any(|word| meant(word).is_some()) {
            return line.to_string();
        }
        let words: Vec<String> = line
            .split_whitespace()
            .map(|word| meant(word).map_or_else(|| word.to_string(), str::to_string))
            .collect();
        words.join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::looks::{LOOKS, SPRING_LOOKS};
    use crate::record::phrase::{ANSWERS, MEANINGS};

    #[test]
    fn a_language_has_words_for_what_each_look_means() {
        for (word, words, goes) in LOOKS {
            let told = format!("{words}{}", if goes { " (rejects it)" } else { "" });
            assert!(MEANINGS.contains(&told.as_str()), "{word}: {told}");
        }
        for (word, words, _) in SPRING_LOOKS {
            assert!(MEANINGS.contains(&words), "{word}: {words}");
        }
    }

    #[test]
    fn a_language_has_words_for_all_that_may_be_answered() {
        for (field, word) in Field::words() {
            for answer in field.fixed_words() {
                assert!(ANSWERS.contains(answer), "{answer} of {word}");
            }
        }
    }
}
