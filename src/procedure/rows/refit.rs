//! What is filled in before the unit goes back into the car.

use super::plain::{answer, no_formula, no_words_are, nothing_beside, nothing_said, reading};
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{Against, Beside, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows};
use crate::record::phrase::Phrase;

rows! { Refit:
    /// The oil that was filled in.
    OIL = Row {
        word: "oil",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: oil_of_the_unit_file,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: another_oil },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// How much oil.
    OIL_AMOUNT = Row {
        word: "oil-amount",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: oil_of_the_unit_file,
        why: no_formula,
        reads: Reads::Volume {
            odd: |here, volume| {
                let usual = here.derived.job.unit.oil.as_ref().map_or(1.5, |oil| oil.amount.litres());
                (!(0.5..=2.0).contains(&(volume.litres() / usual)))
                    .then(|| format!("{volume} is far from the usual {usual:.2} l"))
            },
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// When the unit is to be looked at next.
    NEXT_LOOK = Row {
        word: "next-look",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| here.say(Phrase::NextLookDue),
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::WithOil { label: "Next look due" },
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// What the unit's file says of its oil.
pub(super) fn oil_of_the_unit_file(here: &Here<'_>) -> Beside {
    let oil = here.derived.job.unit.oil.iter();
    Beside::limits(oil.map(|oil| format!("unit file: {}, {}", oil.kind, oil.amount)))
}

/// What the unit's file says of its oil and this answer does not: a modifier changes the friction of the faces.
fn another_oil(here: &Here<'_>, text: &str) -> Option<String> {
    let words = |text: &str| -> Vec<String> {
        let parts = text.split(|c: char| !c.is_alphanumeric());
        parts
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect()
    };
    let oil = &here.derived.job.unit.oil.as_ref()?.kind;
    let typed = words(text);
    let missing = words(oil).iter().any(|word| !typed.contains(word));
    missing.then(|| format!("the unit file has {oil}, and \"{text}\" does not say all of that"))
}
