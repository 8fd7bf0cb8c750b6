//! What an apprentice says of a made-up unit before the program does: a suspicion, a verdict on each plate, a diagnosis.

use super::found::window_as_found;
use super::plain::{answer, no_formula, no_words_are, nothing_said, plate};
use super::plates::thickness_limits;
use crate::metrology::Verdict;
use crate::procedure::ask::{AnswerOption, Feedback, Tone};
use crate::procedure::definition::Each;
use crate::procedure::derived::Derived;
use crate::procedure::feedback::tone_of;
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{
    Against, Beside, Here, InPractice, OnForm, OnSheet, Reads, Row, Sight, Times, Timing, rows,
};
use crate::record::Value;
use crate::record::diagnosis::{Diagnosis, FaultKind, LINE, NO_MORE, Sign, suspected};

rows! { Learning:
    /// What is suspected before the unit is opened.
    SUSPICION = Row {
        word: "suspicion",
        each: None,
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: what_may_be_suspected,
        why: no_formula,
        reads: Reads::Text { refused: |_, text| suspected(text).err(), odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Complaint) },
    };
    /// The apprentice's own verdict on a plate, before the program's.
    OWN_VERDICT = Row {
        word: "own-verdict",
        each: Some(Each::Plate),
        rests_on: &[&[Field::PLATE_THICKNESS]],
        asked: Timing {
            at_all: |derived, _| derived.asks_own_verdict(),
            ..Timing::EACH_ROUND
        },
        prompt: plate,
        beside: readings_of_the_plate,
        why: no_formula,
        reads: Reads::Word {
            fixed: &["inside", "outside", "close"],
            ways: |_| vec![
                AnswerOption::new("inside", "it goes back in"),
                AnswerOption::new("outside", "it is finished"),
                AnswerOption::new("close", "too close to call: it is measured again"),
            ],
            refused: no_words_are,
            reason: no_words_are,
        },
        after: held_against_the_program,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice { takes: None, sees: Some(Sight::Plate) },
    };
    /// What was wrong with the unit: a line for each fault.
    DIAGNOSIS = Row {
        word: "diagnosis",
        each: None,
        rests_on: &[],
        asked: Timing {
            times: Times::UntilRight(|derived, _| {
                let said = derived.state.texts(Field::DIAGNOSIS);
                let closed = said.last().is_some_and(|line| line.eq_ignore_ascii_case(NO_MORE));
                said.len() as u32 + u32::from(!closed)
            }),
            ..Timing::EACH_ROUND
        },
        prompt: |here| match here.slot.point {
            Some(line) => format!("Fault {line}, or {NO_MORE}"),
            None => format!("Fault 1, or {NO_MORE}"),
        },
        beside: |_| Beside::limits([
            LINE.to_string(),
            format!("FAULT: {}", kinds().join(", ")),
            format!("SIGN, where it showed: {}", Sign::ALL.map(|(_, word)| word).join(", ")),
        ]),
        why: no_formula,
        reads: Reads::Text { refused: no_diagnosis, odd: no_words_are },
        after: nothing_said,
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// The words for faults with what each means, and what the wrench read as received where that is known.
fn what_may_be_suspected(here: &Here<'_>) -> Beside {
    let each: Vec<String> = FaultKind::all()
        .map(|kind| format!("{} ({})", kind.word(), kind.words()))
        .collect();
    let mut limits = vec![format!("words: {}; or nothing", each.join(", "))];
    if let Some(read) = here.derived.state.torque(Field::FOUND_BREAKAWAY, 1, None, None) {
        let read = read.show(here.units());
        limits.push(format!("as received the wrench read {read}"));
        limits.extend(window_as_found(here).limits);
    }
    Beside::limits(limits)
}

fn kinds() -> Vec<&'static str> {
    FaultKind::all().map(FaultKind::word).collect()
}

/// Why a line is no diagnosis, or says again what was said before.
fn no_diagnosis(here: &Here<'_>, text: &str) -> Option<String> {
    let plates: Vec<&str> = here
        .derived
        .job
        .unit
        .plates
        .iter()
        .map(|plate| plate.name.as_str())
        .collect();
    let line = match Diagnosis::read(text, &plates) {
        Ok(line) => line?,
        Err(why) => return Some(why),
    };
    let said = here.derived.state.texts(Field::DIAGNOSIS);
    let again = said
        .iter()
        .filter_map(|said| Diagnosis::read(said, &plates).ok().flatten())
        .any(|said| (said.kind, &said.parts) == (line.kind, &line.parts));
    again.then(|| "that was said before".to_string())
}

fn readings_of_the_plate(here: &Here<'_>) -> Beside {
    let facts = here.derived.plate(here.item(), false);
    let readings = here
        .derived
        .state
        .lengths(Field::PLATE_THICKNESS, 1, Some(here.item()));
    let units = here.units();
    let read: Vec<String> = readings.iter().map(|reading| reading.show(units)).collect();
    let flat = match facts.flatness {
        Some(flatness) => format!("; out of flat {}", flatness.show(units)),
        None => String::new(),
    };
    let look = facts.look.map_or(String::new(), |look| format!("; {look}"));
    let zero = here.derived.micrometer().map_or(String::new(), |(gauge, zero)| {
        format!("zero error of {}: {}", gauge.id, zero.show(units))
    });
    let flatness = here.derived.job.unit.limits.flatness.show(units);
    Beside::limits([
        format!("read: {}{flat}{look}", read.join(", ")),
        zero,
        format!("{}; out of flat at most {flatness}", thickness_limits(here)),
    ])
}

fn held_against_the_program(here: &Here<'_>, value: &Value) -> Vec<Feedback> {
    let (derived, item) = (&here.derived, here.item());
    let verdict = derived.plate(item, false).verdict;
    let Value::Word { word, .. } = value else {
        return Vec::new();
    };
    let words = format!("You say {word}. {item}: {}", derived.plate_words(item, false));
    vec![Feedback::new(verdict.map_or(Tone::Plain, tone_of), words)]
}

impl Derived<'_> {
    /// Whether the apprentice says a verdict on each plate before the program says its own.
    pub(in crate::procedure) fn asks_own_verdict(&self) -> bool {
        let level = self.state.practice.map_or(0, |made| made.level);
        level >= 2 && self.job.asks(Field::OWN_VERDICT)
    }

    /// The apprentice's own verdict on a plate.
    pub(in crate::procedure) fn own_verdict(&self, plate: &str) -> Option<Verdict> {
        let (word, _) = self.state.word(Field::OWN_VERDICT, 1, Some(plate))?;
        Some(match word {
            "inside" => Verdict::Inside,
            "outside" => Verdict::Outside,
            _ => Verdict::TooCloseToCall,
        })
    }

    /// Whether the program may say what it makes of a plate: in practice not before the apprentice has, with a verdict of their
    /// own or, at the first level, with the diagnosis.
    pub(in crate::procedure) fn may_tell(&self, plate: &str) -> bool {
        let practised = self.state.practice.is_some() && self.job.asks(Field::DIAGNOSIS);
        if practised && !self.asks_own_verdict() {
            // where no verdict is asked for, the diagnosis is the first word on it
            let said = self.state.texts(Field::DIAGNOSIS);
            return said.last().is_some_and(|line| line.eq_ignore_ascii_case(NO_MORE));
        }
        !self.asks_own_verdict()
            || self.job.unit.plate(plate).is_none()
            || self.own_verdict(plate).is_some()
            || self.state.left_out_own_verdict(plate)
    }
}
