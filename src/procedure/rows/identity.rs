//! Who works, on which car, why, and how far it went.

use super::plain::{answer, name, no_formula, no_words_are, nothing_beside, nothing_said, reading};
use crate::procedure::ask::Refusal;
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{Against, Beside, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows};
use crate::procedure::state::NONE;
use crate::procedure::typed::{Read, no, plain_text};
use crate::quantity::is_day;
use crate::record::Value;
use crate::record::phrase::Phrase;

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
        reads: Reads::Name { refused: no_words_are, odd: no_words_are, offered: true },
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
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
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
        reads: Reads::Text { refused: no_words_are, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The number that a shop gave the job.
    JOB_NUMBER = Row {
        word: "job-number",
        each: None,
        rests_on: &[],
        asked: OF_A_REAL_JOB,
        prompt: |here| here.say(Phrase::JobNumber),
        beside: |here| Beside::limits([here.say(Phrase::ThreeInOne), here.say(Phrase::ThreeLeftOut)]),
        why: no_formula,
        reads: Reads::Optional { read: read_words, with: &[Field::CUSTOMER, Field::PROMISED] },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// For whom it is done.
    CUSTOMER = Row {
        word: "customer",
        each: None,
        rests_on: &[],
        asked: OF_A_REAL_JOB,
        prompt: |here| here.say(Phrase::Customer),
        beside: nothing_beside,
        why: no_formula,
        reads: Reads::Optional { read: read_customer, with: &[] },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// By which day it is promised.
    PROMISED = Row {
        word: "promised",
        each: None,
        rests_on: &[],
        asked: OF_A_REAL_JOB,
        prompt: |here| here.say(Phrase::PromisedDay),
        beside: |here| Beside::limits([here.say(Phrase::DayAs)]),
        why: no_formula,
        reads: Reads::Optional { read: read_day, with: &[] },
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

/// Once for a job; a unit that is made up has no customer.
const OF_A_REAL_JOB: Timing = Timing {
    at_all: |derived, _| derived.state.practice.is_none(),
    ..Timing::ONCE
};

fn read_words(_: &Here<'_>, text: &str) -> Result<Read, Refusal> {
    let text = plain_text(text)?;
    Read::plain(&text, Value::Text(text.clone()))
}

/// A name, and not the line that has number, customer and day: it belongs to the question of before.
fn read_customer(here: &Here<'_>, text: &str) -> Result<Read, Refusal> {
    if text.matches(';').count() == 2 {
        return no(
            "here the name alone is wanted; a line with number, customer and day is taken at the number of the job",
        );
    }
    read_words(here, text)
}

/// A day, or a word for none.
fn read_day(here: &Here<'_>, text: &str) -> Result<Read, Refusal> {
    let text = plain_text(text)?;
    let none = NONE.iter().any(|none| text.eq_ignore_ascii_case(none));
    if !none && !is_day(&text) {
        return no(format!("\"{text}\" is no day; it is written as 2027-03-31"));
    }
    let begun: String = here.derived.state.started.chars().take(10).collect();
    let odd = (!none && text < begun).then(|| format!("{text} is before {begun}, when this was begun"));
    Ok(Read {
        value: Value::Text(text.clone()),
        text,
        odd,
    })
}

fn what_the_setting_changes(here: &Here<'_>) -> Beside {
    let rework = here.derived.job.rework.iter();
    Beside::limits(
        rework
            .flat_map(|rework| &rework.differs)
            .map(|row| format!("by the setting: {} {} (now {})", row.what, row.asked, row.fitted)),
    )
}
