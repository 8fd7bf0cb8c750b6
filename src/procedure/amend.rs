//! An earlier answer put right while the build is open, by its name: what rests on it lapses and is asked again.

use super::ask::{Feedback, Refusal, Tone};
use super::definition::{Each, Kind, Step};
use super::feedback::tone_of;
use super::field::Field;
use super::plan::round_of;
use super::rail::slot_of;
use super::row::OnRail;
use super::session::{Accepted, Session};
use super::typed::no;
use crate::document::nearest;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::Length;
use crate::record::phrase::Spoken;
use crate::record::{Entry, Slot, Value};
use std::rc::Rc;

/// What the choice is made from.
#[derive(PartialEq)]
struct Rests {
    /// Each plate: its thickness, and whether it is thrown out.
    plates: Vec<(Option<Length>, bool)>,
    lengths: Vec<Option<Length>>,
    windows: Vec<Option<[Length; 3]>>,
}

impl Session {
    /// What `!fix` leads to: nothing behind it lists the names; `NAME VALUE` puts an answer right; where that changes a
    /// verdict or lets answers lapse, `yes` and the reason stand behind the value.
    pub(super) fn amend(&self, text: &str, at: &str) -> Result<Accepted, Refusal> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(self.names());
        }
        let (slot, rest) = self.named(text)?;
        let (value, yes) = split_yes(rest, &self.job.procedure.spoken);
        if value.is_empty() {
            return no(format!(
                "{slot}: the right value stands behind it: !fix {slot} VALUE"
            ));
        }
        let Some((_, step)) = self.job.procedure.step(&slot.step) else {
            return no("the procedure has no such step");
        };
        match step.fills.map(Field::kind) {
            Some(Kind::Name) => {
                return no(format!(
                    "{slot} is no value that is typed over: !who NAME says who works from here on"
                ));
            }
            None | Some(Kind::Done | Kind::Order | Kind::Choice) => {
                return no(format!(
                    "{slot} is no value that is typed over; !back opens it again"
                ));
            }
            Some(_) => {}
        }
        let by = self.state.by().to_string();
        let mut after = self.tried(&slot, &by, at);
        let taken = after.take_answer(&slot, step, value, at.to_string())?;
        let Some(answered @ Entry::Answered { .. }) = taken.entries.into_iter().next() else {
            return no("that is no answer to this question");
        };
        after.apply(std::slice::from_ref(&answered));
        let Entry::Answered {
            text,
            value,
            insisted,
            ..
        } = answered
        else {
            return no("that is no answer to this question");
        };
        let before = self.state.answers.get(&slot);
        if let Some(before) = before.filter(|before| value == before.value) {
            return no(format!("{slot} is {} already", before.text));
        }
        let turned = self.turned(&after);
        let lapsed = self.lapsed(&after, &slot, step, &turned);
        let reason = yes.unwrap_or("").trim();
        if yes.is_none() && !(turned.is_empty() && lapsed.is_empty())
            || reason.is_empty() && !turned.is_empty()
        {
            return no(what_it_does(&slot, &text, &turned, &lapsed));
        }
        let was = match before {
            Some(before) => before.text.clone(),
            None => "left out".to_string(),
        };
        let said = Feedback::new(Tone::Plain, format!("{slot}: was {was}, now {text}"));
        let told = turned
            .iter()
            .filter(|(plate, ..)| after.derived().may_tell(plate));
        let verdicts = told.map(|(plate, _, now)| {
            let words = format!("{plate}: {}", after.derived().plate_words(plate, false));
            Feedback::new(now.map_or(Tone::Plain, tone_of), words)
        });
        let mut said: Vec<Feedback> = std::iter::once(said).chain(verdicts).collect();
        if !lapsed.is_empty() {
            said.push(Feedback::new(
                Tone::Doubt,
                format!("asked again: {}", steps_of(&lapsed)),
            ));
        }
        let at = at.to_string();
        let mut entries = match before {
            Some(before) => vec![Entry::Amended {
                at: at.clone(),
                by: by.clone(),
                slot: slot.clone(),
                line: before.number,
                was: before.text.clone(),
                text,
                value,
                insisted,
                lapsed,
            }],
            // what was left out has no answer to put right: it is opened again by itself, with what rests on it, and answered
            None => {
                let open = |slot: Slot| Entry::Reopened {
                    at: at.clone(),
                    by: by.clone(),
                    slot,
                };
                let mut entries: Vec<Entry> = lapsed.into_iter().map(open).collect();
                entries.push(open(slot.clone()));
                entries.push(Entry::Answered {
                    at: at.clone(),
                    by: by.clone(),
                    slot: slot.clone(),
                    text,
                    value,
                    insisted,
                });
                entries
            }
        };
        if !reason.is_empty() {
            let text = format!("put right, because {reason}");
            entries.push(Entry::Noted { at, by, slot, text });
        }
        Ok(Accepted {
            entries,
            said,
            told: true,
            refused: None,
        })
    }

    /// The session with a question opened again.
    fn tried(&self, slot: &Slot, by: &str, at: &str) -> Session {
        let mut tried = Session::empty(Rc::clone(&self.job));
        tried.state = self.state.clone();
        tried.apply(&[Entry::Reopened {
            at: at.to_string(),
            by: by.to_string(),
            slot: slot.clone(),
        }]);
        tried
    }

    /// Every answer that can be put right, and every question that was left out, by step.
    fn names(&self) -> Accepted {
        let mut said = vec![Feedback::new(
            Tone::Plain,
            "!fix NAME VALUE puts one of these right; G3/1, G8 flat and G8 look do for plates",
        )];
        let mut last: Option<(&str, Vec<String>)> = None;
        let mut tell = |done: Option<(&str, Vec<String>)>| {
            let line = |(step, names): (&str, Vec<String>)| {
                let line = format!("{step}: {}", names.join(" "));
                Feedback::new(Tone::Plain, line.trim_end_matches(": "))
            };
            said.extend(done.map(line));
        };
        let mut slots: Vec<&Slot> = self
            .state
            .answers
            .keys()
            .chain(self.state.skipped.keys())
            .collect();
        slots.sort();
        for slot in slots {
            let name = slot.to_string();
            let name = name
                .strip_prefix(&slot.step)
                .unwrap_or(&name)
                .trim_start_matches('/')
                .to_string();
            match &mut last {
                Some((step, names)) if *step == slot.step => names.push(name),
                _ => tell(last.replace((slot.step.as_str(), vec![name]))),
            }
        }
        tell(last);
        Accepted {
            said,
            told: true,
            ..Accepted::default()
        }
    }

    /// The answered question that a text begins with, in its last round, and the rest of the text.
    fn named<'t>(&self, text: &'t str) -> Result<(Slot, &'t str), Refusal> {
        let lower = text.to_lowercase();
        let begins = |name: &str| {
            let name = name.to_lowercase();
            let rest = lower.strip_prefix(&name)?;
            (rest.is_empty() || rest.starts_with(char::is_whitespace)).then(|| rest.trim_start().len())
        };
        let settled = || self.state.answers.keys().chain(self.state.skipped.keys());
        let whole = settled()
            .filter_map(|slot| {
                let named = begins(&slot.to_string()).or_else(|| begins(&slot.in_words()));
                Some((slot, named?))
            })
            .min_by_key(|(slot, rest)| (*rest, u32::MAX - slot.round));
        let found = whole
            .map(|(slot, rest)| (slot.clone(), rest))
            .or_else(|| self.of_a_plate(text));
        if let Some((slot, rest)) = found {
            return Ok((slot, text.get(text.len() - rest..).unwrap_or("").trim()));
        }
        let name = text.split_whitespace().next().unwrap_or("");
        let known: Vec<String> = settled().map(ToString::to_string).collect();
        let known: Vec<&str> = known.iter().map(String::as_str).collect();
        let meant = nearest(name, &known).map_or(String::new(), |meant| format!(": did you mean {meant}?"));
        no(format!(
            "there is no answer to \"{name}\" yet{meant} (!fix alone lists the names)"
        ))
    }

    /// What a row of the rail would call it: `G3/1`, `G8 flat`, `G8 look`.
    fn of_a_plate(&self, text: &str) -> Option<(Slot, usize)> {
        let (name, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let (plate, point) = match name.rsplit_once('/') {
            Some((plate, point)) => (plate, Some(point.parse::<u32>().ok()?)),
            None => (name, None),
        };
        let plates = &self.job.unit.plates;
        let plate = &plates
            .iter()
            .find(|known| known.name.eq_ignore_ascii_case(plate))?
            .name;
        let rest = rest.trim_start();
        let (word, behind) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
        let (what, rest) = match point {
            Some(_) => (OnRail::Reading, rest),
            None if word.to_lowercase().starts_with("flat") => (OnRail::Flatness, behind),
            None if word.eq_ignore_ascii_case("look") => (OnRail::Look, behind),
            None => return None,
        };
        let asks = |step: &&Step| step.fills.and_then(|field| field.row().on_rail) == Some(what);
        let step = self.job.procedure.steps().map(|(_, step)| step).find(asks)?;
        let slot = slot_of(step, plate, point.unwrap_or(1));
        self.state
            .is_settled(&slot)
            .then(|| (slot, rest.trim_start().len()))
    }

    /// The plates whose verdict is another one afterwards.
    fn turned(&self, after: &Session) -> Vec<(String, Option<Verdict>, Option<Verdict>)> {
        let (now, then) = (after.derived(), self.derived());
        self.derived()
            .all_plates()
            .into_iter()
            .map(|name| {
                (
                    name.to_string(),
                    then.plate(name, false).verdict,
                    now.plate(name, false).verdict,
                )
            })
            .filter(|(_, before, after)| before != after)
            .collect()
    }

    /// What the choice is made from, as it stands.
    fn rests(&self) -> Rests {
        let derived = self.derived();
        let plates = derived.all_plates().into_iter().map(|name| {
            let plate = derived.plate(name, true);
            (plate.measured.map(|measured| measured.value), plate.rejected)
        });
        let rings = Side::BOTH.map(|side| derived.ring(side));
        let packs = Side::BOTH.map(|side| derived.whole_pack(side));
        let depths = derived.chains().into_iter().map(|chain| derived.depth(chain));
        let lengths = rings.into_iter().chain(packs).chain(depths);
        let windows = derived.chains().into_iter().map(|chain| {
            let window = derived.window(chain).ok()?;
            Some([window.least, window.target, window.most])
        });
        Rests {
            plates: plates.collect(),
            lengths: lengths
                .map(|known| known.map(|measured| measured.value))
                .collect(),
            windows: windows.collect(),
        }
    }

    /// The answers that rest on one that is put right.
    fn lapsed(
        &self,
        after: &Session,
        slot: &Slot,
        step: &Step,
        turned: &[(String, Option<Verdict>, Option<Verdict>)],
    ) -> Vec<Slot> {
        let plan = self.plan();
        let round = round_of(&plan);
        let mut lapsed: Vec<Slot> = Vec::new();
        // a second measurement and a verdict by hand stand only on the first
        for known in self.state.answers.keys() {
            let each = self.job.fills(known).and_then(Field::each);
            let of_verdict = matches!(each, Some(Each::Doubtful | Each::StillDoubtful));
            if of_verdict
                && known != slot
                && turned
                    .iter()
                    .any(|(plate, ..)| known.item.as_ref() == Some(plate))
            {
                lapsed.push(known.clone());
            }
        }
        let choice = plan.iter().position(|planned| {
            planned.slot.round == round && planned.step.fills.map(Field::kind) == Some(Kind::Choice)
        });
        let place = plan.iter().position(|planned| planned.slot == *slot);
        let from = match (choice, place) {
            // what is given after the choice changes what was decided on it, and what was set by it
            (choice, Some(place)) if choice.is_none_or(|choice| place >= choice) => place + 1,
            (Some(choice), _) if self.rests() != after.rests() => choice,
            _ => return lapsed,
        };
        let later_only = choice.is_none_or(|choice| from > choice);
        let rests_on_it = |other: &Step| {
            let ends = other.fills.is_some_and(|field| field.row().asked.ends.is_some());
            ends || step.fills.is_some_and(|field| other.needs.contains(&field))
        };
        let more = plan
            .get(from..)
            .unwrap_or(&[])
            .iter()
            .filter(|planned| self.state.is_settled(&planned.slot) && planned.slot.step != slot.step)
            .filter(|planned| !later_only || rests_on_it(planned.step))
            .map(|planned| planned.slot.clone());
        lapsed.extend(more.collect::<Vec<_>>());
        lapsed
    }

    /// All readings so far, thing by thing.
    pub(super) fn so_far(&self) -> Accepted {
        let mut rows: Vec<(String, String)> = Vec::new();
        for (slot, answer) in &self.state.answers {
            let is_told = match &answer.value {
                Value::Length(_)
                | Value::Torque(_)
                | Value::Force(_)
                | Value::Distance(_)
                | Value::Running(_)
                | Value::Volume(_)
                | Value::Temperature(_) => true,
                // what was looked at and is not as it should be, whoever looked
                Value::Yes(found_so) => !found_so,
                Value::Word { word, .. } => {
                    let field = self.job.fills(slot);
                    let looks = [Field::PLATE_LOOK, Field::SPRING_LOOK];
                    word != "good" && looks.map(Some).contains(&field)
                }
                _ => false,
            };
            if !is_told {
                continue;
            }
            let whole = Slot {
                point: None,
                ..slot.clone()
            };
            let round = if slot.round > 1 {
                format!(" (round {})", slot.round)
            } else {
                String::new()
            };
            let name = format!("{}{round}", whole.in_words());
            match rows.last_mut() {
                Some((known, texts)) if *known == name => texts.push_str(&format!("  {}", answer.text)),
                _ => rows.push((name, answer.text.clone())),
            }
        }
        let wide = rows
            .iter()
            .map(|(name, _)| name.chars().count())
            .max()
            .unwrap_or(0);
        let mut said: Vec<Feedback> = rows
            .iter()
            .map(|(name, texts)| Feedback::new(Tone::Plain, format!("{name:<wide$}  {texts}")))
            .collect();
        if said.is_empty() {
            said.push(Feedback::new(Tone::Plain, "nothing has been measured yet"));
        }
        Accepted {
            said,
            told: true,
            ..Accepted::default()
        }
    }
}

/// A value, and what stands behind the `yes` after it.
fn split_yes<'t>(text: &'t str, spoken: &Spoken) -> (&'t str, Option<&'t str>) {
    for (at, _) in text.match_indices(char::is_whitespace) {
        let (value, behind) = text.split_at(at);
        let (word, reason) = match behind.trim_start().split_once(char::is_whitespace) {
            Some((word, reason)) => (word, reason),
            None => (behind.trim_start(), ""),
        };
        if word.eq_ignore_ascii_case("yes") || spoken.answer_in_english(word) == Some("yes") {
            return (value.trim(), Some(reason));
        }
    }
    (text.trim(), None)
}

/// The steps of some questions, each once.
fn steps_of(slots: &[Slot]) -> String {
    let mut steps: Vec<String> = slots
        .iter()
        .map(|slot| match &slot.item {
            Some(item) if slots.len() < 8 => format!("{}/{item}", slot.step),
            _ => slot.step.clone(),
        })
        .collect();
    steps.dedup();
    steps.join(", ")
}

/// What putting an answer right does, before it is done.
fn what_it_does(
    slot: &Slot,
    text: &str,
    turned: &[(String, Option<Verdict>, Option<Verdict>)],
    lapsed: &[Slot],
) -> String {
    let word =
        |verdict: &Option<Verdict>| verdict.map_or("no verdict".to_string(), |verdict| verdict.to_string());
    let mut parts: Vec<String> = turned
        .iter()
        .map(|(plate, before, after)| format!("{plate} goes from {} to {}", word(before), word(after)))
        .collect();
    if !lapsed.is_empty() {
        parts.push(format!("these lapse and are asked again: {}", steps_of(lapsed)));
    }
    let reason = if turned.is_empty() { "" } else { " REASON" };
    format!(
        "{}. If it is meant: !fix {slot} {text} yes{reason}",
        parts.join("; ")
    )
}
