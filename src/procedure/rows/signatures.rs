//! Who signs: the builder gave answers, the second person gave none.

use super::plain::{name, no_formula, no_words_are, nothing_said};
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{
    Against, Beside, FormLimits, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows,
};

rows! { Signatures:
    /// Who built it, under the review.
    SIGNED_BUILT = Row {
        word: "signed-built",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: name,
        beside: review,
        why: no_formula,
        reads: Reads::Name { refused: no_words_are, odd: odd_builder, offered: false },
        after: nothing_said,
        against: Against {
            insisted: |name| format!("{name} signs for the work and gave no answer in it"),
            ..Against::NOTHING
        },
        form: OnForm::Boxes { limits: FormLimits::AtTheBench, caption: |_, _| String::new() },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Who checked it.
    SIGNED_CHECKED = Row {
        word: "signed-checked",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: name,
        beside: review,
        why: no_formula,
        reads: Reads::Name { refused: second_person, odd: no_words_are, offered: false },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::Boxes { limits: FormLimits::AtTheBench, caption: |_, _| String::new() },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

fn review(here: &Here<'_>) -> Beside {
    let (open, table) = here.beyond.review();
    let limits = if open.is_empty() {
        vec!["no open points".to_string()]
    } else {
        open.iter().map(|point| format!("OPEN: {point}")).collect()
    };
    Beside {
        limits,
        table: (!table.rows.is_empty()).then_some(table),
        drawing: Vec::new(),
    }
}

/// A name as it is compared: capitals, spaces and signs make nobody another person.
fn compared(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// The names that stand under answers, the builder's signature among them.
fn hands<'a>(derived: &Derived<'a>) -> Vec<&'a str> {
    let state = derived.state;
    let answers = state.answers.values().map(|answer| answer.by.as_str());
    let skipped = state.skipped.values().map(|skipped| skipped.by.as_str());
    let mut hands: Vec<&str> = answers.chain(skipped).filter(|by| !by.is_empty()).collect();
    hands.sort_unstable();
    hands.dedup();
    hands
}

fn hand_of<'a>(derived: &Derived<'a>, name: &str) -> Option<&'a str> {
    let name = compared(name);
    hands(derived).into_iter().find(|hand| compared(hand) == name)
}

/// Why somebody can not sign as the second person: they did the work.
fn second_person(here: &Here<'_>, name: &str) -> Option<String> {
    let hand = hand_of(&here.derived, name)?;
    Some(format!(
        "{hand} did the work or signed for it: a second person is somebody else; with nobody else there, leave it out with \
         the reason"
    ))
}

/// Why it is odd that this person signs for the work. Who copies an old paper did not do it.
fn odd_builder(here: &Here<'_>, name: &str) -> Option<String> {
    let derived = &here.derived;
    let hands = hands(derived);
    if derived.job.copies_paper() || hand_of(derived, name).is_some() || hands.is_empty() {
        return None;
    }
    Some(format!(
        "{name} gave no answer in this build; {} did",
        hands.join(" and ")
    ))
}
