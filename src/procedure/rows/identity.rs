//! Who works, on which car, why, and how far it went.

use super::plain::{answer, name, no_formula, no_words_are, nothing_beside, nothing_said, reading};
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{Against, Beside, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows};

rows! { Identity:
    /// Who does the work.
    BUILT_BY = Row {
        word: "built-by",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: name,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Name { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The car.
    CAR = Row {
        word: "car",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Text { odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Why the unit is opened.
    REASON = Row {
        word: "reason",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: what_the_setting_changes,
        why: no_formula,
        reads: Reads::Text { odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Distance since the last build.
    DISTANCE = Row {
        word: "distance",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: reading,
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Distance {
            odd: |distance| {
                (distance.kilometres() > 20_000.0)
                    .then(|| format!("{distance} is far for a competition car between two builds"))
            },
            odd_running: |running| {
                (running.hours() > 400.0)
                    .then(|| format!("{running} is long for a competition car between two builds"))
            },
        },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

fn what_the_setting_changes(here: &Here<'_>) -> Beside {
    let rework = here.derived.job.rework.iter();
    Beside::limits(
        rework
            .flat_map(|rework| &rework.differs)
            .map(|row| format!("by the setting: {} {} (now {})", row.what, row.asked, row.fitted)),
    )
}
