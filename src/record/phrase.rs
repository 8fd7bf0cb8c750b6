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
}
