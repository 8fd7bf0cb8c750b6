//! What stands round a question, on a form and on a sheet, in the language in which the question is put.

use crate::workshop::language::Language;

/// The language in which a procedure is written, and whether it is a translation that nobody has signed off.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spoken {
    /// Its letters, such as `en` or `de`.
    pub language: String,
    /// Whether it is a translation that no practitioner has signed off.
    pub unreviewed: bool,
}

impl Default for Spoken {
    fn default() -> Spoken {
        Spoken {
            language: "en".to_string(),
            unreviewed: false,
        }
    }
}

impl Spoken {
    /// A phrase in this language; in English where the language is not carried.
    ///
    /// ```
    /// use shimwright::record::phrase::{Phrase, Spoken};
    /// assert_eq!(Spoken::default().say(Phrase::Caution), "CAUTION");
    /// ```
    pub fn say(&self, phrase: Phrase) -> &'static str {
        let translated = Language::of(&self.language).and_then(|language| language.phrase(phrase.id()));
        translated.unwrap_or_else(|| phrase.english())
    }

    /// A phrase with what is put in the places of its `{}`, one after the other.
    ///
    /// ```
    /// use shimwright::record::phrase::{Phrase, Spoken};
    /// assert_eq!(Spoken::default().fill(Phrase::StepOf, &["3", "98"]), "Step 3 of 98");
    /// ```
    pub fn fill(&self, phrase: Phrase, values: &[&str]) -> String {
        let mut parts = self.say(phrase).split("{}");
        let mut said = parts.next().unwrap_or("").to_string();
        for (n, part) in parts.enumerate() {
            said.push_str(values.get(n).copied().unwrap_or(""));
            said.push_str(part);
        }
        said
    }

    /// The word for the English word of an answer or of a verdict; the English one where there is none.
    pub fn answer<'w>(&self, word: &'w str) -> &'w str {
        let translated = Language::of(&self.language).and_then(|language| language.answer(word));
        translated.unwrap_or(word)
    }

    /// The English word of an answer that was typed; nothing where it is none of this language.
    pub fn answer_in_english(&self, typed: &str) -> Option<&'static str> {
        Language::of(&self.language)?.answer_in_english(typed)
    }

    /// A control word with what it does, by the English ones; without the exclamation mark.
    pub fn control<'w>(&self, word: &'w str, does: &'w str) -> (&'w str, &'w str) {
        let translated = Language::of(&self.language).and_then(|language| language.control(word));
        translated.map_or((word, does), |known| (&known.said, &known.does))
    }

    /// The English control word for one that was typed, without the exclamation mark.
    pub fn control_in_english<'w>(&self, typed: &'w str) -> &'w str {
        let translated = Language::of(&self.language).and_then(|language| language.control_in_english(typed));
        translated.unwrap_or(typed)
    }

    /// What marks a translation that nobody has signed off, in its language and in English.
    pub fn mark(&self) -> Option<String> {
        self.unreviewed.then(|| {
            let english = Phrase::Unreviewed.english();
            match self.say(Phrase::Unreviewed) {
                said if said == english => english.to_string(),
                said => format!("{said} · {english}"),
            }
        })
    }

    /// What a sheet says of the language in which its questions were put; nothing where it was English.
    pub fn on_paper(&self) -> Option<String> {
        let language = Language::of(&self.language)?;
        let mark = self.mark().map(|mark| format!(", {mark}")).unwrap_or_default();
        Some(format!(
            "cautions and steps were put in {}{mark}",
            language.in_english
        ))
    }

    /// What is told before the first question, and under a form's title: what is translated, by whom it was not signed off, and
    /// that all else is English.
    pub fn opening(&self) -> Option<String> {
        let language = Language::of(&self.language)?;
        let english = match self.unreviewed {
            true => format!(
                "Cautions, steps and their reasons are in {}, an unreviewed translation: nobody of the trade has signed it off. \
                 Where it is not clear, the English counts.",
                language.in_english
            ),
            false => format!(
                "Cautions, steps and their reasons are in {}.",
                language.in_english
            ),
        };
        let rest = "Whatever is worked out and told besides is in English.";
        let own = match self.unreviewed {
            true => format!("{} ", self.say(Phrase::OpeningUnreviewed)),
            false => String::new(),
        };
        Some(format!(
            "{own}{} / {english} {rest}",
            self.say(Phrase::OpeningRest)
        ))
    }
}

/// The English words of answers and of verdicts that a language has words for.
pub const ANSWERS: [&str; 28] = [
    "yes", "no", "done", "sure", "same", "case", "output", "left", "right", "choose", "accept", "again",
    "keep", "reject", "good", "glazed", "burnt", "torn", "cracked", "turned", "pitted", "broken", "all",
    "flat", "under", "inside", "outside", "close",
];

/// The English control words that a language has words for, without the exclamation mark.
pub const CONTROLS: [&str; 16] = [
    "back", "fix", "show", "who", "picture", "why", "words", "note", "skip", "one", "rows", "pause", "take",
    "look", "hint", "help",
];

macro_rules! phrases {
    ($($name:ident, $id:literal, $english:literal, $says:literal;)*) => {
        /// What stands round a question.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum Phrase {
            $(#[doc = $says] $name,)*
        }

        impl Phrase {
            /// Every phrase.
            pub const ALL: &'static [Phrase] = &[$(Phrase::$name,)*];

            /// Its id in the files of languages.
            pub fn id(self) -> &'static str {
                match self { $(Phrase::$name => $id,)* }
            }

            /// Its English; `{}` stands for what is put in.
            pub fn english(self) -> &'static str {
                match self { $(Phrase::$name => $english,)* }
            }
        }
    };
}

phrases! {
    Unreviewed, "unreviewed", "unreviewed translation", "The mark of a translation that nobody has signed off.";
    OpeningUnreviewed, "opening-unreviewed",
        "Cautions, steps and reasons are an unreviewed translation: nobody of the trade has signed it off. Where it is not clear, the English counts.",
        "What is told of an unreviewed translation before the first question.";
    OpeningRest, "opening-rest", "Whatever is worked out and told besides is in English.", "What is not translated.";
    StepOf, "step-of", "Step {} of {}", "Which step of how many.";
    Round, "round", "round {}", "Which round.";
    Caution, "caution", "CAUTION", "What stands before a caution.";
    With, "with", "With: {}", "With what it is done.";
    OnRail, "on-rail", "plate by plate as they lie on the rail", "Behind the stage where a row a plate is asked.";
    Mind, "mind", "Mind: {}", "A limit.";
    ReadUnderstood, "read-understood", "Read and understood", "The prompt of a caution.";
    ThisStep, "this-step", "This step", "The prompt of what is done.";
    Answer, "answer", "Answer", "The prompt of a plain question.";
    TypeYes, "type-yes", "type {} when this is so", "What is typed under a caution.";
    NotByEnter, "not-by-enter", "type yes: a caution is not passed with Enter", "Why an Enter is not taken.";
    EnterWhenDone, "enter-when-done", "Enter when done", "How what is done is told.";
    InFull, "in-full", "{} or {}, in full", "Yes or no where it guards something.";
    YesOrNo, "yes-or-no", "{} or {}", "Yes or no.";
    MayBeEmpty, "may-be-empty", "may be left empty", "Nothing is an answer.";
    SuchAs, "such-as", "{}, such as {}", "A unit of measure with an example.";
    OneInFull, "one-in-full", "one of these, in full", "One of some words, typed in full.";
    OneOfThese, "one-of-these", "one of these", "One of some words.";
    OneOrLine, "one-or-line", "one of these, or a line", "One of some words, or a line.";
    NamesInOrder, "names-in-order", "names in order, with spaces between", "Several names.";
    OrALine, "or-a-line", "or a line such as: {}", "How a line may look.";
    Names, "names", "Names: {}", "The names that there are.";
    WhyAsked, "why-asked", "Why this is asked", "Over the reason.";
    Missing, "missing", "Missing: {}", "What is missing of a row of plates.";
    NothingMissing, "nothing-missing", "Nothing is missing", "Nothing is.";
    HelpHint, "help-hint", "({} shows what else can be typed)", "How more is found.";
    Instead, "instead", "What instead of an answer?", "Over the list of control words.";
    HowToFill, "how-to-fill",
        "To fill in by hand at the bench: a tick, a word or a reading as it is read in each numbered box, and your initials beside each stage. For a box that stays empty write its number and the reason under the notes. To type it in: shimwright work {} UNIT.toml --from-paper --at DATE, in the order of the numbers. If the unit is opened again after the proof, go on with another copy.",
        "How a form is filled in.";
    Begun, "begun", "begun: date and time", "A box of a form.";
    Ended, "ended", "ended: date and time", "A box of a form.";
    Initials, "initials", "initials", "Beside a stage of a form.";
    ReadInitials, "read-initials", "read: initials", "In the box of a caution on a form.";
    MayBeLeftOut, "may-be-left-out", "may be left empty, with a reason", "Under a step of a form.";
    Because, "because", "because, where a reason is wanted", "In a box of a form.";
    Name, "name", "name", "In a box of a form.";
    Signature, "signature", "signature", "In a box of a form.";
    Date, "date", "date", "In a box of a form.";
    NotesHead, "notes-head", "Notes, and the boxes that were left empty with the reason", "At the end of a form.";
    RailHint, "rail-hint", "NAME readings flat 0.02 look; all good flat 0.02; Enter: next plate; !one",
        "What may be typed besides a reading where a row a plate is asked.";
    GoOn, "go-on", "go on with this question", "Out of that list.";
}
