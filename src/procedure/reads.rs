//! How what was typed is read, by what kind of answer it is.

use super::ask::{AnswerOption, Refusal, StepKind};
use super::definition::{Plain, Step};
use super::row::{From, Here, Reads};
use super::state::Answer;
use super::typed::{Read, SURE, is_near, no, parsed, plain_text, side_said};
use crate::mechanics::Side;
use crate::quantity::{
    Distance, Duration, Force, Length, Quantity, QuantityError, Temperature, Torque, Units, Volume, parse,
    parse_bare,
};
use crate::record::Value;
use crate::record::phrase::{Phrase, Spoken};

/// The most kilometres, or hours, between two builds: what is more is no slip that `sure` could mean.
const FARTHEST: f64 = 1e6;

/// Between what oil that is in use can be, in degrees Celsius: below it does not flow, above it burns (*common practice, no source*).
const OIL: std::ops::RangeInclusive<f64> = -60.0..=250.0;

impl Here<'_> {
    /// What a text comes to as the answer to this question. A comma that may be a decimal sign or part thousands is read as
    /// what can be here, where only one of both can.
    pub fn read(&self, text: &str) -> Result<Read, Refusal> {
        let Some(both) = self.both_readings(text) else {
            return self.read_as_it_stands(text);
        };
        let can_be = |reading: &String| {
            let read = self.read_as_it_stands(reading).ok()?;
            read.odd.is_none().then_some(read)
        };
        match both.each_ref().map(can_be) {
            [Some(one), None] | [None, Some(one)] => Ok(one),
            _ => self.read_as_it_stands(text),
        }
    }

    /// With a decimal comma, and with one that parts thousands; none where the text can be read in one way only.
    fn both_readings(&self, text: &str) -> Option<[String; 2]> {
        fn both<Q: Quantity>(text: &str, units: Units) -> Option<[String; 2]> {
            match parse_bare::<Q>(text, Q::DIMENSION.usual_unit(units)) {
                Err(QuantityError::AmbiguousComma {
                    decimal, thousands, ..
                }) => Some([decimal, thousands]),
                _ => None,
            }
        }
        let units = self.units();
        match self.step.fills?.row().reads {
            Reads::Length { .. } => both::<Length>(text, units),
            Reads::Torque { .. } => both::<Torque>(text, units),
            Reads::Force { .. } => both::<Force>(text, units),
            Reads::Distance { .. } => both::<Distance>(text, units),
            Reads::Volume { .. } => both::<Volume>(text, units),
            Reads::Temperature { .. } => both::<Temperature>(text, units),
            Reads::Text { .. }
            | Reads::Optional { .. }
            | Reads::Name { .. }
            | Reads::Done { .. }
            | Reads::Word { .. }
            | Reads::Order { .. }
            | Reads::Choice { .. } => None,
        }
    }

    fn read_as_it_stands(&self, text: &str) -> Result<Read, Refusal> {
        let Some(field) = self.step.fills else {
            return read_plain(self.step, text, self.spoken());
        };
        let units = self.units();
        match &field.row().reads {
            Reads::Text { refused, odd } => {
                let text = plain_text(text)?;
                if let Some(why) = refused(self, &text) {
                    return no(why);
                }
                let odd = odd(self, &text);
                let value = Value::Text(text.clone());
                Ok(Read { text, value, odd })
            }
            Reads::Name { refused, odd, .. } => {
                let text = plain_text(text)?;
                if !text.chars().any(char::is_alphabetic) {
                    return no(format!("\"{text}\" is no name, and nobody here has that number"));
                }
                if let Some(why) = refused(self, &text) {
                    return no(why);
                }
                let odd = odd(self, &text);
                let value = Value::Text(text.clone());
                Ok(Read { text, value, odd })
            }
            Reads::Done { odd } => {
                let read = read_done(text)?;
                let odd = odd(self);
                Ok(Read { odd, ..read })
            }
            Reads::Word {
                ways,
                refused,
                reason,
                ..
            } => self.read_word(&self.held_to(ways(self)), *refused, *reason, text),
            Reads::Order { read } | Reads::Choice { read, .. } | Reads::Optional { read, .. } => {
                read(self, text)
            }
            Reads::Length { from, expected, odd } => {
                // a leaf that does not go in: what is there is less, and counts for as much
                let leaf = text
                    .split_once(char::is_whitespace)
                    .filter(|(word, _)| *from == From::Leaf && word.eq_ignore_ascii_case("under"));
                let (length, text) = parsed::<Length>(leaf.map_or(text, |(_, leaf)| leaf), units)?;
                let text = if leaf.is_some() {
                    format!("under {text}")
                } else {
                    text
                };
                if length < Length::ZERO && *from != From::Below {
                    return no(format!(
                        "{} is less than nothing; a part or a gap can not be",
                        length.show(units)
                    ));
                }
                if length == Length::ZERO && *from == From::AboveZero {
                    return no("0 is no measure of a part");
                }
                if *from == From::UnderLoad
                    && let Some(why) = self.derived.no_height_under_load(length)
                {
                    return no(why);
                }
                if *from == From::OfDiscs
                    && let Some(why) = self.derived.no_thickness_of_discs(length)
                {
                    return no(why);
                }
                let odd = odd(self, length, expected(self).as_ref());
                let value = Value::Length(length.nm());
                Ok(Read { text, value, odd })
            }
            Reads::Torque { odd } => {
                let (torque, text) = parsed::<Torque>(text, units)?;
                if torque.newton_metres() < 0.0 {
                    return no("a torque is read without its sign here; at least 0 N·m is wanted");
                }
                let odd = odd(self, torque);
                let value = Value::Torque(torque.newton_metres());
                Ok(Read { text, value, odd })
            }
            Reads::Force { odd } => {
                let (force, text) = parsed::<Force>(text, units)?;
                if force.newtons() <= 0.0 {
                    return no("a spring under load presses with more than 0 N");
                }
                let odd = odd(self, force);
                let value = Value::Force(force.newtons());
                Ok(Read { text, value, odd })
            }
            Reads::Distance { odd, odd_running } => {
                // what has no road counts its hours instead
                if let Ok(hours) = parse::<Duration>(text) {
                    return read_running(hours, *odd_running, text);
                }
                let (distance, text) = parsed::<Distance>(text, units)?;
                let km = distance.kilometres();
                if km < 0.0 {
                    return no("a distance driven is at least 0 km");
                }
                if km > FARTHEST {
                    return no(format!("a distance driven is at most {FARTHEST} km"));
                }
                let odd = odd(distance);
                let value = Value::Distance(km);
                Ok(Read { text, value, odd })
            }
            Reads::Volume { odd } => {
                let (volume, text) = parsed::<Volume>(text, units)?;
                if volume.litres() <= 0.0 {
                    return no("more than 0 l of oil is wanted");
                }
                let odd = odd(self, volume);
                let value = Value::Volume(volume.litres());
                Ok(Read { text, value, odd })
            }
            Reads::Temperature { odd } => {
                let (temperature, text) = parsed::<Temperature>(text, units)?;
                if !OIL.contains(&temperature.celsius()) {
                    let [least, most] = [OIL.start(), OIL.end()];
                    return no(format!(
                        "oil is between {least} °C and {most} °C; {text} is no temperature of it"
                    ));
                }
                let odd = odd(self, temperature);
                let value = Value::Temperature(temperature.celsius());
                Ok(Read { text, value, odd })
            }
        }
    }

    /// Whether what was answered before may stand again as it is.
    pub fn may_keep(&self, before: &Answer) -> bool {
        let read_again = || self.read(&before.text).is_ok();
        match self.step.fills.map(|field| &field.row().reads) {
            // a change by hand that is being made is what stands there now
            Some(Reads::Choice { .. }) => match &before.value {
                Value::Chosen(chosen) => {
                    let faults = || self.choosing.faults_of(&self.derived, &chosen.sides);
                    self.choosing.draft(&self.derived).is_none()
                        && (!chosen.reason.is_empty() || faults().is_empty())
                }
                _ => read_again(),
            },
            None
            | Some(
                Reads::Text { .. }
                | Reads::Optional { .. }
                | Reads::Name { .. }
                | Reads::Done { .. }
                | Reads::Word { .. }
                | Reads::Order { .. }
                | Reads::Length { .. }
                | Reads::Torque { .. }
                | Reads::Force { .. }
                | Reads::Distance { .. }
                | Reads::Volume { .. }
                | Reads::Temperature { .. },
            ) => read_again(),
        }
    }

    /// Those of some words that the step is held to.
    pub fn held_to(&self, mut ways: Vec<AnswerOption>) -> Vec<AnswerOption> {
        if !self.step.ways.is_empty() {
            ways.retain(|way| self.step.ways.contains(&way.key));
        }
        ways
    }

    fn read_word(
        &self,
        ways: &[AnswerOption],
        refused: fn(&Here<'_>, &str) -> Option<String>,
        reason_wanted: fn(&Here<'_>, &str) -> Option<String>,
        text: &str,
    ) -> Result<Read, Refusal> {
        let (typed, reason) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let keys: Vec<&str> = ways.iter().map(|way| way.key.as_str()).collect();
        let found = match self.step.guard {
            // a look that guards something is typed in full
            Some(_) => keys
                .iter()
                .find(|key| key.eq_ignore_ascii_case(typed))
                .map(ToString::to_string),
            // a side as a person says it: l, the left one
            None if keys
                .iter()
                .all(|key| Side::BOTH.iter().any(|side| side.word() == *key)) =>
            {
                side_said(text).map(|side| side.word().to_string())
            }
            None => unique_start(typed, &keys),
        };
        let sided = found.is_some() && side_said(text).is_some();
        let reason = if sided { "" } else { reason };
        let Some(word) = found else {
            return no(format!("\"{typed}\" is none of these: {}", keys.join(", ")));
        };
        if let Some(why) = refused(self, &word) {
            return no(why);
        }
        // the word that confirms what is odd is no reason
        let reason = match reason.trim() {
            word if word.eq_ignore_ascii_case(SURE) => String::new(),
            words => words.to_string(),
        };
        // two answers on a line that takes one are no answer with a reason
        let is_key = |word: &str| keys.iter().any(|key| key.eq_ignore_ascii_case(word));
        if !reason.is_empty() && reason.split_whitespace().all(is_key) {
            let count = 1 + reason.split_whitespace().count();
            return no(format!(
                "one answer is wanted here, and {count} stand on the line: {word} {reason}"
            ));
        }
        if reason.is_empty()
            && let Some(why) = reason_wanted(self, &word)
        {
            let because = self.spoken().say(Phrase::BecauseOfThis);
            return no(format!("{why}; write it like this: {word} {because}"));
        }
        let text = if reason.is_empty() {
            word.clone()
        } else {
            format!("{word} {reason}")
        };
        Read::plain(&text, Value::Word { word, reason })
    }

    /// What a length that looks odd was likely meant to be: a slip of the decimal sign or of the unit, as it would be
    /// typed.
    pub fn meant(&self, value: &Value) -> Option<String> {
        let (Reads::Length { expected, .. }, Value::Length(nm)) = (&self.step.fills?.row().reads, value)
        else {
            return None;
        };
        let (length, expected) = (Length::from_nm(*nm), expected(self)?);
        let slips = [0.1, 10.0, 0.01, 100.0, 0.001, 1000.0, 25.4, 1.0 / 25.4];
        if is_near(length.mm(), expected.length, expected.share) {
            return None;
        }
        slips
            .iter()
            .map(|factor| length.mm() * factor)
            .find(|mm| is_near(*mm, expected.length, expected.share))
            .and_then(|mm| Length::from_mm(mm).ok())
            .map(|meant| meant.show(self.units()))
    }
}

/// Hours run where a distance was asked for.
fn read_running(running: Duration, odd: fn(Duration) -> Option<String>, text: &str) -> Result<Read, Refusal> {
    let hours = running.hours();
    if hours < 0.0 {
        return no("a running time is at least 0 h");
    }
    if hours > FARTHEST {
        return no(format!("a running time is at most {FARTHEST} h"));
    }
    Ok(Read {
        text: text.trim().to_string(),
        value: Value::Running(hours),
        odd: odd(running),
    })
}

/// The word that starts with what was typed, where there is only one.
fn unique_start(typed: &str, keys: &[&str]) -> Option<String> {
    let typed = typed.to_lowercase();
    if typed.is_empty() {
        return None;
    }
    if let Some(exact) = keys.iter().find(|key| key.to_lowercase() == typed) {
        return Some((*exact).to_string());
    }
    let mut starting = keys.iter().filter(|key| key.to_lowercase().starts_with(&typed));
    match (starting.next(), starting.next()) {
        (Some(only), None) => Some((*only).to_string()),
        _ => None,
    }
}

fn read_done(text: &str) -> Result<Read, Refusal> {
    if ["", "done", "d", "y", "yes", "ok"].contains(&text.to_lowercase().as_str()) {
        Read::plain("done", Value::Done)
    } else {
        no("Enter or done is wanted when it is done; a note is made by !note")
    }
}

/// The answer to a step that fills nothing in.
fn read_plain(step: &Step, text: &str, spoken: &Spoken) -> Result<Read, Refusal> {
    if step.kind == StepKind::Caution {
        // a bare Enter, or a measuring instrument that sends one, must not acknowledge a caution
        return if text.eq_ignore_ascii_case("yes") {
            Read::plain("yes", Value::Done)
        } else {
            no(spoken.fill(Phrase::ReadIt, &[spoken.answer("yes")]))
        };
    }
    match step.answer {
        Plain::Done => read_done(text),
        Plain::Text => {
            let text = plain_text(text)?;
            Read::plain(&text, Value::Text(text.clone()))
        }
        Plain::YesNo => match (text.to_lowercase().as_str(), step.guard) {
            ("y", None) | ("yes", _) => Read::plain("yes", Value::Yes(true)),
            ("n", None) | ("no", _) => Read::plain("no", Value::Yes(false)),
            (_, None) => no("yes or no is wanted"),
            (_, Some(_)) => {
                let words = ["yes", "no"].map(|word| spoken.answer(word));
                no(spoken.fill(Phrase::LookAndType, &words))
            }
        },
    }
}
