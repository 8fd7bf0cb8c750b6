//! The gears between the rings: what play they have, how thick their washers are, and that they are in.

use super::plain::{far_from_expected, no_formula, nothing_expected};
use crate::procedure::ask::{Feedback, Tone};
use crate::procedure::definition::{BACKLASH, Each};
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::figures::capital;
use crate::procedure::row::{
    Against, Beside, Expected, From, Here, InPractice, OnForm, OnSheet, Reads, Row, Times, Timing, rows,
};
use crate::quantity::Length;
use crate::record::Value;
use crate::record::phrase::Phrase;
use crate::workshop::gears::Span;

/// More play than this is a slip of the finger, or no gear.
const MUCH_PLAY: i64 = 2_000;

rows! { Gears:
    /// End float of the side gears and backlash, in the unit as received.
    FOUND_PLAY = Row {
        word: "found-play",
        each: Some(Each::Play),
        rests_on: &[],
        asked: Timing::ONCE,
        prompt: |here| capital(here.item_said()),
        beside: play_limits,
        why: no_formula,
        reads: Reads::Length { from: From::Zero, expected: nothing_expected, odd: much_play },
        after: |here, value| against_limits(here, value),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// The same at the dry build.
    DRY_PLAY = Row {
        word: "dry-play",
        each: Some(Each::Play),
        rests_on: &[],
        asked: Timing::EACH_ROUND,
        prompt: |here| capital(here.item_said()),
        beside: play_limits,
        why: no_formula,
        reads: Reads::Length { from: From::Zero, expected: nothing_expected, odd: much_play },
        after: |here, value| against_limits(here, value),
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
    /// Thickness of the thrust washers, one after the other.
    WASHER_THICKNESS = Row {
        word: "washer-thickness",
        each: None,
        rests_on: &[&[Field::MICROMETER]],
        asked: Timing {
            times: Times::Like(|derived| derived.job.unit.gears.as_ref().map_or(0, |gears| gears.washers)),
            ..Timing::ONCE
        },
        prompt: |here| {
            let of = here.derived.job.unit.gears.as_ref().map_or(0, |gears| gears.washers);
            here.fill(Phrase::WasherOf, &[&here.point().to_string(), &of.to_string()])
        },
        beside: |here| {
            let least = here.derived.least_washer();
            Beside::limits(least.map(|least| format!("at least {}", least.show(here.units()))))
        },
        why: no_formula,
        reads: Reads::Length {
            from: From::AboveZero,
            expected: |here| {
                let least = here.derived.least_washer()?;
                Some(Expected { length: least, share: 0.5, what: format!("the least of {least}") })
            },
            odd: far_from_expected,
        },
        after: |here, value| match value {
            Value::Length(nm) => here.derived.thin_washer(Length::from_nm(*nm)).into_iter().map(|words| Feedback::new(Tone::Bad, words)).collect(),
            _ => Vec::new(),
        },
        against: Against::NOTHING,
        form: OnForm::BOX,
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// What a play must lie between, where the unit file says.
fn play_limits(here: &Here<'_>) -> Beside {
    let units = here.units();
    let span = here.derived.span_of_play(here.item());
    Beside::limits(span.and_then(|span| match (span.least, span.most) {
        (Some(least), Some(most)) => Some(format!("{} to {}", least.show(units), most.show(units))),
        (Some(least), None) => Some(format!("at least {}", least.show(units))),
        (None, Some(most)) => Some(format!("at most {}", most.show(units))),
        (None, None) => None,
    }))
}

fn much_play(here: &Here<'_>, length: Length, _: Option<&Expected>) -> Option<String> {
    (length > Length::from_um(MUCH_PLAY)).then(|| format!("{} is much play", length.show(here.units())))
}

fn against_limits(here: &Here<'_>, value: &Value) -> Vec<Feedback> {
    let Value::Length(nm) = value else {
        return Vec::new();
    };
    let wrong = here.derived.wrong_play(here.item(), Length::from_nm(*nm));
    wrong
        .into_iter()
        .map(|words| Feedback::new(Tone::Bad, words))
        .collect()
}

impl Derived<'_> {
    /// The limits of a play; nothing where the unit file has none.
    fn span_of_play(&self, item: &str) -> Option<Span> {
        let gears = self.job.unit.gears.as_ref()?;
        Some(if item == BACKLASH {
            gears.backlash
        } else {
            gears.end_float
        })
    }

    /// What is wrong with a play, where something is.
    pub(in crate::procedure) fn wrong_play(&self, item: &str, read: Length) -> Option<String> {
        let units = self.state.units;
        let span = self.span_of_play(item)?;
        let told =
            |what: &str, limit: Length| format!("{item} {}: {what} {}", read.show(units), limit.show(units));
        match (span.least, span.most) {
            (Some(least), _) if read < least => Some(told("below the least of", least)),
            (_, Some(most)) if read > most => Some(told("above the most of", most)),
            _ => None,
        }
    }

    fn least_washer(&self) -> Option<Length> {
        self.job.unit.gears.as_ref()?.washer_least
    }

    /// What is wrong with a washer that the micrometer shows as thick as that, where something is.
    pub(in crate::procedure) fn thin_washer(&self, shown: Length) -> Option<String> {
        let zero = self.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
        let (units, least, thick) = (self.state.units, self.least_washer()?, shown - zero);
        (thick < least).then(|| {
            format!(
                "a thrust washer of {} is below the least of {}",
                thick.show(units),
                least.show(units)
            )
        })
    }
}
