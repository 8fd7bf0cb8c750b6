//! What stands round a question, on a form and on a sheet, in the language in which the question is put.

use crate::metrology::Verdict;
use crate::workshop::language::{Language, filled};

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
        filled(self.say(phrase), values)
    }

    /// The word for the English word of an answer or of a verdict; the English one where there is none.
    pub fn answer<'w>(&self, word: &'w str) -> &'w str {
        let translated = Language::of(&self.language).and_then(|language| language.answer(word));
        translated.unwrap_or(word)
    }

    /// What the word of an answer means; as it stands where a language has no words for it.
    pub fn meaning<'w>(&self, english: &'w str) -> &'w str {
        let known = MEANINGS.contains(&english);
        let language = Language::of(&self.language).filter(|_| known);
        language
            .and_then(|language| language.text(english))
            .unwrap_or(english)
    }

    /// The word for a verdict.
    pub fn verdict(&self, verdict: Verdict) -> &'static str {
        match verdict {
            Verdict::Inside => self.answer("inside"),
            Verdict::TooCloseToCall => self.say(Phrase::TooClose),
            Verdict::Outside => self.answer("outside"),
        }
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

    /// A control word with its exclamation mark, and what stands behind it in capitals, by the English ones.
    ///
    /// ```
    /// use shimwright::record::phrase::Spoken;
    /// let german = Spoken { language: "de".into(), unreviewed: true };
    /// assert_eq!(Spoken::default().control_line("!words TERM"), "!words TERM");
    /// assert_eq!(german.control_line("!words TERM"), "!wörter WORT");
    /// ```
    pub fn control_line(&self, english: &str) -> String {
        let mut words = english.split(' ');
        let control = words.next().unwrap_or("").trim_start_matches('!');
        let said = format!("!{}", self.control(control, "").0);
        words.fold(said, |line, behind| {
            let here = Phrase::BEHIND.iter().find(|phrase| phrase.english() == behind);
            format!("{line} {}", here.map_or(behind, |phrase| self.say(*phrase)))
        })
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
        let rest = Phrase::OpeningRest.english();
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

/// What the words of answers mean, beside them on screen and form, in English; a language has words for each.
pub const MEANINGS: [&str; 30] = [
    "even, no damage",
    "shiny, hard face",
    "blue or brown from heat (rejects it)",
    "a tab or spline torn, bent or stepped (rejects it)",
    "a crack anywhere (rejects it)",
    "whole, even, every disc the right way round",
    "whole, even, upright, no turn rubbed bright",
    "a disc the other way round (lay it right)",
    "pits of rust (take a new one)",
    "a crack anywhere (take a new one)",
    "in pieces (take a new one)",
    "case held, one output turned, the other free: the ramps work, too",
    "one output held, the other turned, case free (as in the car); the surer way",
    "the wrench turns the right output",
    "the wrench turns the left output",
    "leave it so all the same; a reason is wanted",
    "leave it so",
    "open it and go back to the choice",
    "read the whole proof once more; this one stays on record",
    "back to the choice, with this build kept on record",
    "go on all the same; a reason is wanted",
    "distances count from then",
    "it was looked at or measured, and closed as it was",
    "it goes back in",
    "it is finished",
    "too close to call: it is measured again",
    "use it; a reason is wanted",
    "throw it out; a reason is wanted",
    "take that proposal; look 2 draws one",
    "take the change by hand",
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

            /// What stands behind control words.
            pub const BEHIND: &'static [Phrase] = &[
                Phrase::BehindName,
                Phrase::BehindValue,
                Phrase::BehindTerm,
                Phrase::BehindText,
                Phrase::BehindReason,
            ];

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
    OpeningRest, "opening-rest", "What is worked out, limits, tables, refusals, sheets and other commands are in English, and so are the words of the record.", "What is not translated.";
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
    Reading, "reading", "Reading", "The prompt of a quantity of which there is one.";
    SignedName, "signed-name", "Name", "The prompt of a name.";
    Plate, "plate", "Plate {}", "The prompt of what is asked of a plate once.";
    PlateReading, "plate-reading", "Plate {}, reading {} of {}", "The prompt of one of several readings on a plate.";
    ReadingOf, "reading-of", "{}, reading {} of {}", "The prompt of one of several readings.";
    LookAt, "look-at", "{}, look {}", "The prompt of a look that is had again.";
    PositionOf, "position-of", "{}, position {} of {}", "The prompt of a torque that is read in several positions.";
    StageOf, "stage-of", "{}, stage {}: {}", "The prompt of a stage of tightening.";
    WasherOf, "washer-of", "Washer {} of {}", "The prompt of a thrust washer.";
    CoilOf, "coil-of", "Coil {} of {}", "The prompt of a coil spring.";
    Spring, "spring", "Spring", "The prompt of a spring.";
    Discs, "discs", "Discs", "The prompt of the discs of a spring.";
    Ring, "ring", "Ring", "The prompt of a pressure ring.";
    Depth, "depth", "Depth", "The prompt of a depth of the case.";
    Pack, "pack", "Pack", "The prompt of a pack.";
    ShimsTogether, "shims-together", "Shims together", "The prompt of shims that are measured together.";
    Gap, "gap", "Gap", "The prompt of the gap of the dry build.";
    RoomForBoth, "room-for-both", "Room for both springs", "The prompt of the room for both springs.";
    RoomForSprings, "room-for-springs", "Room for the springs", "The prompt of the room for the springs.";
    Oil, "oil", "Oil", "The prompt of the temperature of the oil.";
    OilAndMinutes, "oil-and-minutes", "Oil, minutes, since when", "The prompt of how plates were soaked.";
    PhotoNumbers, "photo-numbers", "Photo numbers", "The prompt of the numbers of photographs.";
    JobNumber, "job-number", "Job number", "The prompt of the shop's number of a job.";
    Customer, "customer", "Customer", "The prompt of whom it is done for.";
    PromisedDay, "promised-day", "Promised day", "The prompt of the day that it is promised for.";
    NextLookDue, "next-look-due", "Next look due", "The prompt of when the unit is to be looked at again.";
    Before, "before", "before: {}", "Behind a prompt: what stood there.";
    BeforeKept, "before-kept", "before: {}; Enter keeps it", "Behind a prompt: what stood there, and stays.";
    EnterTakes, "enter-takes", "Enter: {}", "Behind a prompt: what an empty line stands for.";
    LeftOut, "left-out", "left out, {}", "What stood there where a question was left out.";
    TooClose, "too-close", "too close to call", "A verdict.";
    SoFar, "so-far", "so far {}", "A verdict while readings are missing.";
    NotTaken, "not-taken", "Not taken: {}", "Before why an answer was not taken.";
    YesIfSo, "yes-if-so", "Type {} if so.", "How what is suggested is taken.";
    SureIfSo, "sure-if-so", "If it is right as it stands, type {}.", "How what looks odd is taken.";
    NoReason, "no-reason", "No reason is written down for this step.", "Where a step has no reason.";
    WordsOfIt, "words-of-it", "Words: {} ({} tells one)", "The words of the trade in a question.";
    NotFinished, "not-finished", "{} is not finished. Go on with it?", "Whether a job that was begun is gone on with.";
    EnterIs, "enter-is", "{} or {}; Enter is {}", "What a plain question takes.";
    YesOrNoWanted, "yes-or-no-wanted", "{} or {} is wanted here.", "Why the answer to a plain question was not taken.";
    StopHere, "stop-here", "Esc  stop here", "What Esc does at a plain question.";
    Paused, "paused", "Paused. Every answer given so far is kept: run it again to go on from here.", "What is told when the work stops for now.";
    NextPlate, "next-plate", "Enter  the next plate", "What Enter does on the rail.";
    WhichWord, "which-word", "Which word", "The prompt of a word of the trade that is looked up.";
    Note, "note", "Note", "The prompt of a note.";
    WhyLeftOut, "why-left-out", "Reason for leaving it out", "The prompt of why a question is left out.";
    FewWords, "few-words", "write a few words, or press Esc", "What such a prompt wants.";
    NotAfterAll, "not-after-all", "Esc  not after all", "What Esc does at such a prompt.";
    EscGoesOn, "esc-goes-on", "Esc  go on with this question", "What Esc does in the list of control words.";
    PlaceLook, "place-look", "{}, look", "A place of the rail: the looks of a plate.";
    PlaceFlat, "place-flat", "{}, flat", "A place of the rail: the flatness of a plate.";
    PlaceReading, "place-reading", "{}, reading {}", "A place of the rail: a reading of a plate.";
    OneReading, "one-reading", "{}, reading", "A place of the rail: the only reading of a plate.";
    ReadingsOf, "readings-of", "readings of {}", "What is missing on the rail: some readings.";
    SoManyPlates, "so-many-plates", "{} plates", "What is missing on the rail: more plates than are named.";
    OpenedAgain, "opened-again", "opened again, Enter keeps: {}", "What stands open on the rail although it was answered.";
    FlatOf, "flat-of", "flat of {}", "What is missing on the rail: flatnesses.";
    LookOf, "look-of", "look of {}", "What is missing on the rail: looks.";
    DayDate, "day-date", "Day, as 2026-05-01", "Of a drive day: day, as 2026-05-01.";
    EventAndPlace, "event-and-place", "Event and place", "Of a drive day: event and place.";
    KindOfDay, "kind-of-day", "Kind", "Of a drive day: kind.";
    Surface, "surface", "Surface", "Of a drive day: surface.";
    Weather, "weather", "Weather", "Of a drive day: weather.";
    Air, "air", "Air", "Of a drive day: air.";
    Road, "road", "Road", "Of a drive day: road.";
    SetsOfTyres, "sets-of-tyres", "Sets of tyres", "Of a drive day: sets of tyres.";
    RunBefore, "run-before", "Run before today", "Of a drive day: run before today.";
    RunPrompt, "run-prompt", "Run", "Of a drive day: run.";
    SettingPrompt, "setting-prompt", "Setting", "Of a drive day: setting.";
    Tyres, "tyres", "Tyres", "Of a drive day: tyres.";
    Pressures, "pressures", "Pressures", "Of a drive day: pressures.";
    Changed, "changed", "Changed", "Of a drive day: changed.";
    Distance, "distance", "Distance", "Of a drive day: distance.";
    Times, "times", "Times", "Of a drive day: times.";
    LapStruck, "lap-struck", "Lap that does not count, and why", "Of a drive day: lap that does not count, and why.";
    FeelEntry, "feel-entry", "Entry", "Of a drive day: entry.";
    FeelMiddle, "feel-middle", "Middle", "Of a drive day: middle.";
    FeelPower, "feel-power", "Power", "Of a drive day: power.";
    FeelLift, "feel-lift", "Lift", "Of a drive day: lift.";
    FeelStraight, "feel-straight", "Straight", "Of a drive day: straight.";
    RunRemark, "run-remark", "Remark", "Of a drive day: remark.";
    DayRemarks, "day-remarks", "Remarks", "Of a drive day: remarks.";
    OfRun, "of-run", "{}, run {}", "Of a drive day: which run.";
    ATest, "a-test", "driven to find something out", "Of a drive day: driven to find something out.";
    AnEvent, "an-event", "driven to win", "Of a drive day: driven to win.";
    AnotherRun, "another-run", "another run", "Of a drive day: another run.";
    RunSheet, "run-sheet", "Run sheet", "The name of the form of a drive day.";
    RunSheetHow, "run-sheet-how",
        "A line of two a run, as it is driven. Feel, by phase: -- far too little lock, - too little, 0 as it should be, + too much, ++ far too much; typed in as much-less, less, right, more, much-more, or unsaid. Times of laps or stages as 1:12.345; struck: the number of a lap that does not count, and why.{} To type it in: shimwright day CAR.toml --at DATE asks in the order of the boxes; or a file of lines KEY = VALUE by the keys in the boxes, with --answers FILE.",
        "How the form of a drive day is filled in.";
    WordTest, "word-test", "test", "Of a drive day, typed: a test.";
    WordEvent, "word-event", "event", "Of a drive day, typed: an event.";
    WordNext, "word-next", "next", "Of a drive day, typed: another run.";
    WordEnd, "word-end", "end", "Of a drive day, typed: that was all.";
    WordNone, "word-none", "none", "Of a drive day, typed: nothing.";
    WordUnsaid, "word-unsaid", "unsaid", "Of a drive day, typed: nothing to say of a feel.";
    WordMuchLess, "word-much-less", "much-less", "Of a drive day, typed: far too little lock.";
    WordLess, "word-less", "less", "Of a drive day, typed: too little lock.";
    WordRight, "word-right", "right", "Of a drive day, typed: as it should be.";
    WordMore, "word-more", "more", "Of a drive day, typed: too much lock.";
    WordMuchMore, "word-much-more", "much-more", "Of a drive day, typed: far too much lock.";
    NothingToSay, "nothing-to-say", "nothing to say of it", "Of a drive day: nothing to say of a feel.";
    WholeWord, "whole-word", "type the whole word: this look is not passed with Enter", "Why an Enter is not taken at a look that guards.";
    NothingTyped, "nothing-typed", "nothing has been typed yet", "Why an empty line is not taken.";
    ThreeInOne, "three-in-one", "one line may have all three: 2026-031; NAME; 2027-03-31", "Beside the number of a job: how a line has its customer and day as well.";
    ThreeLeftOut, "three-left-out", "Enter alone leaves all three out, - one of them", "Beside the number of a job: how nothing is said.";
    DayAs, "day-as", "a day as 2027-03-31", "Beside a day that is asked for.";
    OrMeasureAgain, "or-measure-again", "to measure again instead, go back", "Beside the choice between two figures that do not agree.";
    TickInChoice, "tick-in-choice", "one after the other: tick each in the table of the choice", "On a form, beside what is laid in.";
    WhenInitialled, "when-initialled", "{} when it is initialled", "What a caution's box on a form is typed in as.";
    WhenTicked, "when-ticked", "x when ticked", "What a ticked box of a form is typed in as.";
    SameOrNames, "same-or-names", "{}, or names", "What a box with names in order takes.";
    EmptyWhy, "empty-why", "empty: why? (Enter: back to the box)", "The prompt of why a box is empty.";
    BoxNotTicked, "box-not-ticked", "not ticked, and it can not be left out: x when it was done, or {}", "Why an empty tick is not taken.";
    BoxEmpty, "box-empty", "empty, and it can not be left out: what stands on the form, or {}", "Why an empty box is not taken.";
    CautionGiven, "caution-given", "CAUTION (given, read it all the same): {}", "Before a caution of a stage that was done for somebody.";
    CoverForce, "cover-force", "{} N of spring force ({} kgf, the weight of {} kg)", "A force on a cover as a hand can picture it.";
    CoverCloses, "cover-closes", "the cover closes against {}", "Under the caution before a cover goes on.";
    CoverUnder, "cover-under", "the cover is under {}", "Under the caution before a cover comes off.";
    CoverLeft, "cover-left", "the cover is under {} as {} left it, less by what has worn since", "The same by what the last build left.";
    CoverUpTo, "cover-up-to", "the cover may be under up to {}, the most that these springs give pressed flat: what is really in there is not known", "The same where nobody knows.";
    ReadIt, "read-it", "read it, and type the whole word {} when it is so", "Why a caution is not passed.";
    LookAndType, "look-and-type", "look, and type the whole word {} or {}", "Why a look that guards is not passed.";
    CardsInEnglish, "cards-in-english", "The cards of drills are in English only.", "What is told of drills in another language.";
    ByNumber, "by-number", "by number: {}", "Beside who works: whose names a number stands for.";
    AndThen, "and-then", "{} and {}", "Two things, one after the other.";
    OrThings, "or-things", ", or {} on a line", "Behind a prompt: what else one line may answer, two things by name.";
    OrAllOnLine, "or-all-on-line", ", or all {} on a line", "The same, so many.";
    OrAll, "or-all", ", or all {}", "The same, so many of one thing.";
    OrAllOf, "or-all-of", ", or all {}, or all {} of {}", "The same, so many of one thing or of several.";
    OrFor, "or-for", ", or {} for {}", "The same, one word for each of several things.";
    AsLeft, "as-left", "as {} left it", "By what it is known what lies in a unit: by its last build.";
    ComesFirst, "comes-first", "this pack lies under the cover and comes out first, outermost first: that is from the wall to the ring", "From which end a pack comes out that lies under the cover.";
    ComesLast, "comes-last", "this pack comes out from the ring to the wall: give it the other way round, from the wall", "The same of the other.";
    OnlyThen, "only-then", "only where it comes to that; else this box stays empty", "On a form, of a question that is not always asked.";
    ByUnitFile, "by-unit-file", "by the unit file", "The same, by its file.";
    FromWall, "from-wall", "{}, from the wall: {}", "The order that a pack should have.";
    NoneListed, "none-listed", "none", "No shims lie in a pack.";
    OrElse, "or-else", "{} or {}", "An example, or another in another unit of measure.";
    OrHours, "or-hours", "{}, or {} where hours are counted", "An example of a distance, or of hours.";
    BecauseOfThis, "because-of-this", "BECAUSE OF THIS", "What stands for a reason in the example of a line.";
    BehindName, "behind-name", "NAME", "What stands for a name behind a control word.";
    BehindValue, "behind-value", "VALUE", "What stands for an answer behind a control word.";
    BehindTerm, "behind-term", "TERM", "What stands for a word of the trade behind a control word.";
    BehindText, "behind-text", "TEXT", "What stands for words behind a control word.";
    BehindReason, "behind-reason", "REASON", "What stands for a reason behind a control word.";
    GoOnKey, "go-on-key", "answer", "The word for going on with a question in the list of control words.";
    AsBeforeWay, "as-before-way", "(as before)", "In a list: what stood there and is none of its ways.";
    DayIsOver, "day-is-over", "the day is over", "Of a drive day: the day is over.";
}
