//! What an answer of a drive day is taken for, how it is refused, and what is odd about it.

use super::answers::{Answers, run_of, written};
use super::questions::Wants;
use super::words::{END, NEXT, NONE, UNSAID, in_english};
use crate::procedure::ask::Refusal;
use crate::procedure::typed::{Read, no, parsed, plain_text};
use crate::quantity::{Distance, LapTime, Temperature, is_day};
use crate::record::driven::{Driven, FELT};
use crate::record::{Slot, Value};

/// The most laps of a day.
const MOST_LAPS: usize = 20_000;
/// The most sets of tyres.
const MOST_SETS: usize = 20;
/// The most characters of the name of a set.
const LONG: usize = 40;
/// By which factor a lap may differ from the others before it is asked again (*common practice, no source*).
const APART: f64 = 2.0;

/// An answer to a question of a day.
pub(super) struct Reading<'a> {
    pub answers: &'a Answers,
    pub slot: &'a Slot,
}

fn word(word: &str) -> Result<Read, Refusal> {
    Read::plain(
        word,
        Value::Word {
            word: word.to_string(),
            reason: String::new(),
        },
    )
}

/// A word of a few, or its beginning where only one begins so.
fn one_of(text: &str, words: &[&str]) -> Result<Read, Refusal> {
    let lower = text.to_lowercase();
    if let Some(known) = words.iter().find(|known| **known == lower) {
        return word(known);
    }
    let mut begins = words
        .iter()
        .filter(|known| !lower.is_empty() && known.starts_with(&lower));
    match (begins.next(), begins.next()) {
        (Some(known), None) => word(known),
        _ => no(format!("\"{text}\" is none of these: {}", words.join(", "))),
    }
}

impl Reading<'_> {
    pub fn of(&self, wants: Wants, text: &str) -> Result<Read, Refusal> {
        let text = in_english(&self.answers.job.procedure.spoken, wants, text);
        let says_none = text.is_empty() || text.eq_ignore_ascii_case(NONE);
        let units = self.answers.state.units;
        match wants {
            Wants::Name | Wants::Text => plain(text),
            Wants::Maybe
            | Wants::AsBefore
            | Wants::Temperature
            | Wants::Age
            | Wants::Distance
            | Wants::Struck
                if says_none =>
            {
                word(NONE)
            }
            Wants::Maybe | Wants::AsBefore => plain(text),
            Wants::Date => self.date(text),
            Wants::Kind => one_of(text, &["test", "event"]),
            Wants::Next => one_of(text, &[NEXT, END]),
            Wants::Felt(_) => {
                let words: Vec<&str> = FELT.into_iter().chain([UNSAID]).collect();
                one_of(text, &words)
            }
            Wants::Temperature => {
                let (value, text) = parsed::<Temperature>(text, units)?;
                let celsius = value.celsius();
                Ok(Read {
                    odd: (!(-40.0..=70.0).contains(&celsius))
                        .then(|| format!("{text} is no temperature that one drives at")),
                    value: Value::Temperature(celsius),
                    text,
                })
            }
            Wants::Age | Wants::Distance => {
                let (value, text) = parsed::<Distance>(text, units)?;
                let kilometres = value.kilometres();
                if kilometres < 0.0 {
                    return no("a distance is 0 or more");
                }
                let most = if wants == Wants::Age { 20_000.0 } else { 2_000.0 };
                Ok(Read {
                    odd: (kilometres > most).then(|| format!("{text} is far for that")),
                    value: Value::Distance(kilometres),
                    text,
                })
            }
            Wants::Sets => self.sets(text),
            Wants::Set => {
                let sets = self.answers.sets();
                match sets.iter().find(|set| set.eq_ignore_ascii_case(text)) {
                    Some(set) => Read::plain(set, Value::Text(set.clone())),
                    None => no(format!("\"{text}\" is none of the sets: {}", sets.join(", "))),
                }
            }
            Wants::Setting => self.setting(text),
            Wants::Times => self.times(text),
            Wants::Struck => self.struck(text),
        }
    }

    fn date(&self, text: &str) -> Result<Read, Refusal> {
        let years = text.get(..4).and_then(|year| year.parse::<u32>().ok());
        if !is_day(text) || !years.is_some_and(|year| (1950..2200).contains(&year)) {
            return no(format!("\"{text}\" is no day; write it as 2026-05-01"));
        }
        let today = &self.answers.job.today;
        Ok(Read {
            text: text.to_string(),
            value: Value::Text(text.to_string()),
            odd: (text > today.as_str()).then(|| format!("{text} is after today, {today}")),
        })
    }

    fn sets(&self, text: &str) -> Result<Read, Refusal> {
        if text.eq_ignore_ascii_case(NONE) || text.is_empty() {
            return Read::plain(NONE, Value::Names(Vec::new()));
        }
        let names: Vec<String> = text
            .split(|c: char| c.is_whitespace() || c == ',')
            .filter(|name| !name.is_empty())
            .map(str::to_string)
            .collect();
        for (at, name) in names.iter().enumerate() {
            if names[..at].iter().any(|known| known.eq_ignore_ascii_case(name)) {
                return no(format!("{name} is named twice"));
            }
            if name.chars().count() > LONG || name.contains(['/', '=', '"', '#', '!']) {
                return no(format!(
                    "\"{name}\": a name of letters and digits is wanted, at most {LONG} of them"
                ));
            }
        }
        if names.is_empty() || names.len() > MOST_SETS {
            return no(format!("1 to {MOST_SETS} names are wanted, or none"));
        }
        Read::plain(text, Value::Names(names))
    }

    fn setting(&self, text: &str) -> Result<Read, Refusal> {
        let known = &self.answers.job.settings;
        let Some(setting) = known
            .iter()
            .find(|setting| setting.key.eq_ignore_ascii_case(text))
        else {
            let keys: Vec<&str> = known.iter().map(|setting| setting.key.as_str()).collect();
            return match keys.is_empty() {
                true => no(
                    "there is no finished build and no setting to choose from: pause, and give one with --setting FILE",
                ),
                false => no(format!(
                    "\"{text}\" is none of these: {}; another: pause, and give it with --setting FILE",
                    keys.join(", ")
                )),
            };
        };
        let driven_on = self.answers.driven_on();
        let odd = match &setting.made {
            _ if !setting.finished => Some(format!(
                "{} is not finished: nobody knows yet what is in the unit",
                setting.key
            )),
            Some(made) if made.as_str() > driven_on => Some(format!(
                "{} was made on {made}, and this day is of {driven_on}",
                setting.key
            )),
            _ => None,
        };
        Ok(Read {
            text: setting.key.clone(),
            value: match &setting.driven {
                Driven::Record(build) => Value::Record(build.clone()),
                Driven::Setting(digest) => Value::Setting(digest.clone()),
            },
            odd,
        })
    }

    fn times(&self, text: &str) -> Result<Read, Refusal> {
        if text.is_empty() && self.slot.point == Some(1) {
            return no("times are wanted; none where no lap was timed");
        }
        if text.is_empty() || [END, NONE].iter().any(|end| text.eq_ignore_ascii_case(end)) {
            return word(END);
        }
        let laps = match LapTime::parse_line(text) {
            Ok(laps) if laps.is_empty() => return no("times are wanted, as 1:12.345"),
            Ok(laps) => laps,
            Err(error) => return no(error.to_string()),
        };
        let known = self.answers.all_laps();
        if known.len() + laps.len() > MOST_LAPS {
            return no(format!("a day has {MOST_LAPS} laps at the most"));
        }
        let times: Vec<u32> = laps.iter().map(|lap| lap.milliseconds()).collect();
        // what was driven before says what a lap takes; of the first few this line has to say it itself
        let mut all = match known.len() {
            0..3 => [known.as_slice(), times.as_slice()].concat(),
            _ => known,
        };
        all.sort_unstable();
        let middle = all.get(all.len() / 2).copied().filter(|_| all.len() > 2);
        let odd = middle.and_then(|middle| {
            let apart = |lap: &&u32| {
                let ratio = f64::from(**lap) / f64::from(middle);
                !(1.0 / APART..=APART).contains(&ratio)
            };
            let odd = times.iter().find(apart)?;
            Some(format!(
                "{} among laps of about {}: is it the time of a lap?",
                written(*odd),
                written(middle)
            ))
        });
        Ok(Read {
            text: text.to_string(),
            value: Value::Times(times),
            odd,
        })
    }

    fn struck(&self, text: &str) -> Result<Read, Refusal> {
        let run = run_of(self.slot);
        let count = self.answers.laps(run).len();
        let (lap, reason) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let lap: usize = match lap.parse() {
            Ok(lap) if (1..=count).contains(&lap) => lap,
            _ => {
                return no(format!(
                    "the number of a lap, 1 to {count}, and why it does not count: 3 traffic"
                ));
            }
        };
        if reason.trim().is_empty() {
            return no(format!(
                "why does lap {lap} not count? A lap is struck for what happened in it: {lap} traffic"
            ));
        }
        if self.answers.struck(run, lap).is_some() {
            return no(format!("lap {lap} is struck already"));
        }
        let reason = plain_text(reason)?;
        plain(&format!("{lap} {reason}"))
    }
}

fn plain(text: &str) -> Result<Read, Refusal> {
    let text = plain_text(text)?;
    Read::plain(&text, Value::Text(text.clone()))
}
