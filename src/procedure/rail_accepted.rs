//! What a line of the rail leads to. Each item is taken or not by itself, as a single answer would be; what it led to
//! stands for the items after it.

use super::all_line::{OfAll, note_of};
use super::ask::{Feedback, Refusal, Tone};
use super::feedback::tone_of;
use super::looks::{IN_FULL, LOOKS, plate_goes};
use super::rail::{Lying, REJECTED, slot_of};
use super::rail_line::{Item, Line, What, Words, read};
use super::row::OnRail;
use super::session::{Accepted, Session};
use super::state::Kept;
use super::typed::{MOST_CHARACTERS, Odd, SURE, no};
use crate::metrology::Verdict;
use crate::record::phrase::Phrase;
use crate::record::{Entry, Slot};
use std::rc::Rc;

/// What has come of a line so far.
struct Came<'a> {
    lying: &'a Lying,
    at: &'a str,
    /// The session with what was taken of the line.
    after: Session,
    entries: Vec<Entry>,
    refused: Vec<Refusal>,
    /// What is to be said besides the verdicts.
    said: Vec<Feedback>,
    odd: Vec<Odd>,
    /// The plates that something was taken for.
    changed: Vec<String>,
}

impl Session {
    /// What a line of the rail leads to; `open` is the question that stands open.
    pub(super) fn take_row(&mut self, open: &Slot, line: &str, at: &str) -> Result<Accepted, Refusal> {
        if line.chars().count() > MOST_CHARACTERS {
            return no(format!("that is too long; at most {MOST_CHARACTERS} characters"));
        }
        let Some(lying) = self.lying(open) else {
            return no("no rows of plates are asked for here");
        };
        let hand = match open.item.as_deref().filter(|_| !self.in_hand.by_rows) {
            Some(name) => lying.place(name),
            None => self.plate_in_hand(&lying),
        };
        let Some(hand) = hand else {
            return no("no plate is in the hand");
        };
        let plates: Vec<&str> = lying.plates.iter().map(|(_, name)| name.as_str()).collect();
        let looks: Vec<&str> = match lying.step(OnRail::Look) {
            Some(_) => LOOKS.iter().map(|(word, ..)| *word).collect(),
            None => Vec::new(),
        };
        let words = Words {
            plates: &plates,
            looks: &looks,
            in_full: IN_FULL,
        };
        let read = match read(line, &words) {
            Ok(read) => read,
            Err(fault) => return no(fault),
        };
        let odd = std::mem::take(&mut self.in_hand.odd);
        let mut came = Came {
            lying: &lying,
            at,
            after: self.twin(),
            entries: Vec::new(),
            refused: Vec::new(),
            said: Vec::new(),
            odd: Vec::new(),
            changed: Vec::new(),
        };
        let mut last = hand;
        let place_of = |slot: &Slot| lying.place(slot.item.as_deref()?);
        match read {
            Line::Next => {
                if !came.keep(hand) {
                    return Ok(self.on_to_the_next(&lying, hand));
                }
            }
            Line::Sure | Line::Yes if odd.is_empty() => {
                return no("there is nothing to be sure of yet: sure stands behind what is meant");
            }
            Line::Sure => {
                for odd in odd {
                    last = place_of(&odd.slot).unwrap_or(last);
                    came.put(odd.slot, &format!("{} {SURE}", odd.text));
                }
            }
            Line::Yes => {
                for odd in odd {
                    last = place_of(&odd.slot).unwrap_or(last);
                    match &odd.meant {
                        Some(meant) => came.put(odd.slot, meant),
                        None => {
                            let words = format!(
                                "{} has no other value to say yes to",
                                self.place_words(&odd.slot, &lying)
                            );
                            came.odd.push(odd);
                            came.refused.push(Refusal {
                                words,
                                sure: true,
                                suggests: false,
                            });
                        }
                    }
                }
            }
            Line::Row { plate, point, items } => {
                last = plate.and_then(|name| lying.place(&name)).unwrap_or(hand);
                came.row(plates.get(last).copied().unwrap_or(""), point, &items);
            }
            Line::All(items) => came.all(&items),
        }
        came.tell_verdicts();
        let Came {
            after,
            mut entries,
            refused,
            said,
            odd,
            changed,
            ..
        } = came;
        let next = if after.lacks(&lying, last, true) || after.was_opened(&lying, last) {
            Some(last)
        } else {
            after.plate_after(&lying, last)
        };
        if !entries.is_empty() && after.ask().is_none() {
            entries.push(Entry::finished(at.to_string()));
        }
        self.in_hand.plate = next.and_then(|at| lying.name(at)).map(str::to_string);
        self.in_hand.changed = changed;
        self.in_hand.odd = odd;
        let refused = joined(refused);
        match refused {
            Some(refusal) if entries.is_empty() && said.is_empty() => Err(refusal),
            refused => Ok(Accepted {
                entries,
                said,
                told: true,
                refused,
            }),
        }
    }

    /// Takes the plate of a question into the hand, where it is one of the rail.
    pub(super) fn take_in_hand(&mut self, slot: &Slot) {
        if self.lying(slot).is_some() {
            self.in_hand.plate.clone_from(&slot.item);
            self.in_hand.changed.clear();
        }
    }

    /// The same session once more, to try what an entry leads to.
    pub(super) fn twin(&self) -> Session {
        let mut twin = Session::empty(Rc::clone(&self.job));
        twin.state = self.state.clone();
        twin
    }

    /// Puts the next plate with something missing into the hand; nothing is written.
    fn on_to_the_next(&mut self, lying: &Lying, hand: usize) -> Accepted {
        let count = lying.plates.len();
        let next = (1..=count)
            .map(|n| (hand + n) % count)
            .find(|at| self.lacks(lying, *at, false))
            .and_then(|at| lying.name(at));
        let words = match next {
            Some(name) if lying.name(hand) == Some(name) => {
                format!("{name} is the only one with something missing")
            }
            Some(name) => format!("on to {name}; nothing was taken"),
            None => "nothing is missing".to_string(),
        };
        self.in_hand.plate = next.map(str::to_string);
        self.in_hand.changed.clear();
        Accepted {
            said: vec![Feedback::new(Tone::Plain, words)],
            told: true,
            ..Accepted::default()
        }
    }
}

impl Came<'_> {
    fn refuse(&mut self, words: impl Into<String>) {
        self.refused.push(Refusal {
            words: words.into(),
            sure: false,
            suggests: false,
        });
    }

    fn write(&mut self, entry: Entry) {
        self.after.apply(std::slice::from_ref(&entry));
        self.entries.push(entry);
    }

    /// Takes an answer to one question, over one that stands there.
    fn put(&mut self, slot: Slot, text: &str) {
        let place = self.after.place_words(&slot, self.lying);
        let Some((_, step)) = self.after.job.procedure.step(&slot.step) else {
            return self.refuse(format!("{place}: the procedure does not ask for it"));
        };
        let step = step.clone();
        let stands = self.after.state.answers.get(&slot).cloned();
        let stood = stands
            .clone()
            .or_else(|| self.after.state.earlier.get(&slot).cloned());
        if let Some(stood) = &stands
            && let Ok(read) = self.after.here(&slot, &step).read(text)
            && read.value == stood.value
        {
            return self.said.push(Feedback::new(
                Tone::Plain,
                format!("{place} is {} already", stood.text),
            ));
        }
        // read as if it stood open: the one that it replaces is no neighbour of its own
        let by = self.after.state.by().to_string();
        let at = self.at.to_string();
        let opened = self.after.state.is_settled(&slot).then(|| Entry::Reopened {
            at: at.clone(),
            by: by.clone(),
            slot: slot.clone(),
        });
        let mut tried = self.after.twin();
        tried.apply(opened.as_slice());
        match tried.read_surely(&slot, &step, text) {
            Err(refusal) => {
                self.odd.extend(tried.odd.take());
                self.refused.push(Refusal {
                    words: format!("{place}: {}", refusal.words),
                    sure: refusal.sure,
                    suggests: refusal.suggests,
                });
            }
            Ok((read, insisted)) => {
                if let Some(stood) = stood.filter(|stood| stood.value != read.value) {
                    let words = format!("{place}: was {}, now {}", stood.text, read.text);
                    self.said.push(Feedback::new(Tone::Plain, words));
                }
                if let Some(name) = slot.item.as_ref().filter(|name| !self.changed.contains(name)) {
                    self.changed.push(name.clone());
                }
                opened.into_iter().for_each(|entry| self.write(entry));
                self.write(Entry::Answered {
                    at,
                    by,
                    slot,
                    text: read.text,
                    value: read.value,
                    insisted,
                });
            }
        }
    }

    /// Keeps what stood at the places of a plate that were opened again; whether there are any.
    fn keep(&mut self, hand: usize) -> bool {
        let Some(plate) = self.lying.name(hand) else {
            return false;
        };
        let (mut any, mut stay) = (false, Vec::new());
        // the look is kept first: what was left out for it stays out only where it still throws the plate out
        let mut slots = self.lying.slots(plate);
        if self.lying.step(OnRail::Look).is_some() {
            slots.rotate_right(1);
        }
        for slot in slots {
            let Some((_, step)) = self.after.job.procedure.step(&slot.step) else {
                continue;
            };
            let step = step.clone();
            if self.after.state.is_settled(&slot) {
                continue;
            }
            let left_out = self.after.state.left_out.get(&slot).map(String::as_str);
            let before = match self.after.kept(&slot, &step) {
                _ if left_out == Some(REJECTED) && self.after.derived().look_rejects(plate) => {
                    Kept::LeftOut(REJECTED)
                }
                Some(Kept::LeftOut(REJECTED)) | None => continue,
                Some(kept) => kept,
            };
            any = true;
            let (at, by) = (self.at.to_string(), self.after.state.by().to_string());
            let before = match before {
                Kept::Answer(before) => before.clone(),
                Kept::LeftOut(reason) => {
                    let reason = reason.to_string();
                    self.write(Entry::Skipped { at, by, slot, reason });
                    continue;
                }
            };
            let mut tried = self.after.twin();
            match tried.keep(&slot, &step, &before) {
                Ok((read, insisted)) => {
                    stay.push(read.text.clone());
                    self.write(Entry::Answered {
                        at,
                        by,
                        slot,
                        text: read.text,
                        value: read.value,
                        insisted,
                    });
                }
                Err(refusal) => {
                    self.odd.extend(tried.odd.take());
                    self.refused.push(Refusal {
                        words: format!("{}: {}", self.after.place_words(&slot, self.lying), refusal.words),
                        ..refusal
                    });
                }
            }
        }
        if !stay.is_empty() {
            self.said.push(Feedback::new(
                Tone::Plain,
                format!("{plate} stays {}", stay.join(", ")),
            ));
            self.changed.push(plate.to_string());
        }
        any
    }

    /// The question of a plate that an item answers, where it has only one.
    fn single(&mut self, what: OnRail, plate: &str) -> Option<Slot> {
        let slot = self.lying.step(what).map(|step| slot_of(step, plate, 1));
        if slot.is_none() {
            let what = match what {
                OnRail::Flatness => "flatness",
                OnRail::Look => "looks",
                OnRail::Reading => "thickness",
            };
            self.refuse(format!("{plate}: {what} is not asked for in these rows"));
        }
        slot
    }

    /// Takes a row.
    fn row(&mut self, plate: &str, point: Option<u32>, items: &[Item]) {
        let lying = self.lying;
        let points = lying.points();
        if let Some(point) = point.filter(|point| !(1..=points).contains(point)) {
            return self.refuse(format!("{plate} has readings 1 to {points}, and none {point}"));
        }
        if items.is_empty() {
            // a name alone takes the plate into the hand
            return self
                .said
                .push(Feedback::new(Tone::Plain, format!("{plate} is in the hand")));
        }
        let mut at_point = point;
        // a whole row over a part of one is the row anew
        let stands = |n: u32| {
            lying.step(OnRail::Reading).is_some_and(|step| {
                let slot = slot_of(step, plate, n);
                self.after.state.answers.contains_key(&slot)
            })
        };
        let standing = (1..=points).filter(|n| stands(*n)).count();
        let typed = items
            .iter()
            .filter(|item| matches!(item.what, What::Reading(_)))
            .count();
        let all = points as usize;
        let mut anew =
            (point.is_none() && typed == all && (1..all).contains(&standing)).then_some(1..=points);
        let before = self.entries.len();
        let refused_before = self.refused.len();
        for item in items {
            let text = |text: &str| match item.sure {
                true => format!("{text} {SURE}"),
                false => text.to_string(),
            };
            match &item.what {
                What::Unknown(why) => self.refuse(format!("{plate}: {why}")),
                What::Look(word) => {
                    if let Some(slot) = self.single(OnRail::Look, plate) {
                        self.put(slot, word);
                    }
                }
                What::Flat(length) => {
                    if let Some(slot) = self.single(OnRail::Flatness, plate) {
                        self.put(slot, &text(length));
                    }
                }
                What::Reading(reading) => {
                    let Some(step) = lying.step(OnRail::Reading) else {
                        self.refuse(format!(
                            "{plate}: {reading}: thickness is not asked for in these rows"
                        ));
                        continue;
                    };
                    let empty = |n: &u32| {
                        let slot = slot_of(step, plate, *n);
                        !self.after.state.answers.contains_key(&slot)
                            && self.odd.iter().all(|odd| odd.slot != slot)
                    };
                    let free = match (point, &mut anew) {
                        (Some(_), _) => at_point.take(),
                        (None, Some(places)) => places.next(),
                        (None, None) => (1..=points).find(empty),
                    };
                    match free {
                        Some(n) => self.put(slot_of(step, plate, n), &text(reading)),
                        None if point.is_some() => {
                            self.refuse(format!("{plate}: {reading} is one too many for one place"));
                        }
                        None => self.refuse(format!(
                            "{plate} has its {points}; {plate}/{points} {reading} puts one anew"
                        )),
                    }
                }
            }
        }
        if self.refused.len() > refused_before {
            self.tell_taken(before);
        }
        self.leave_out(plate, items);
    }

    /// Says what was taken of a line of which not all was.
    fn tell_taken(&mut self, from: usize) {
        let taken: Vec<String> = self.entries[from..]
            .iter()
            .filter_map(|entry| match entry {
                Entry::Answered { slot, text, .. } => {
                    Some(format!("{} {text}", self.after.place_words(slot, self.lying)))
                }
                _ => None,
            })
            .collect();
        if !taken.is_empty() {
            let words = format!("taken of this line: {}", taken.join("; "));
            self.said.push(Feedback::new(Tone::Plain, words));
        }
    }

    /// A plate that its look throws out need not be measured; one that was left out for that and stays is open again.
    fn leave_out(&mut self, plate: &str, items: &[Item]) {
        let by = self.after.state.by().to_string();
        let measured = |slot: &Slot| {
            self.lying
                .step(OnRail::Look)
                .is_none_or(|step| step.id != slot.step)
        };
        let slots: Vec<Slot> = self.lying.slots(plate).into_iter().filter(measured).collect();
        if self.after.derived().look_rejects(plate) {
            let none = slots
                .iter()
                .all(|slot| !self.after.state.answers.contains_key(slot));
            let only_looks = items.iter().all(|item| matches!(item.what, What::Look(_)));
            if !none || !only_looks {
                return;
            }
            let open: Vec<Slot> = slots
                .into_iter()
                .filter(|slot| !self.after.state.is_settled(slot))
                .collect();
            if open.is_empty() {
                return;
            }
            for slot in open {
                let (at, by, reason) = (self.at.to_string(), by.clone(), REJECTED.to_string());
                self.write(Entry::Skipped { at, by, slot, reason });
            }
            let words = format!(
                "{plate} is rejected and need not be measured; a reading typed behind its name is taken all the same"
            );
            self.said.push(Feedback::new(Tone::Plain, words));
            return;
        }
        for slot in slots {
            let left_out = self
                .after
                .state
                .skipped
                .get(&slot)
                .is_some_and(|skipped| skipped.reason == REJECTED);
            if left_out {
                let (at, by) = (self.at.to_string(), by.clone());
                self.write(Entry::Reopened { at, by, slot });
            }
        }
    }

    /// Takes a line for all plates that have their readings: what is empty there is filled.
    fn all(&mut self, items: &[Item]) {
        let lying = self.lying;
        let mut wanted: Vec<(OnRail, String)> = Vec::new();
        for item in items {
            match &item.what {
                What::Look(word) if plate_goes(word) => {
                    self.refuse(format!(
                        "all {word}: a look that throws a plate out is given plate by plate"
                    ));
                }
                What::Look(word) => wanted.push((OnRail::Look, word.clone())),
                What::Flat(length) if item.sure => {
                    wanted.push((OnRail::Flatness, format!("{length} {SURE}")))
                }
                What::Flat(length) => wanted.push((OnRail::Flatness, length.clone())),
                What::Reading(reading) => {
                    self.refuse(format!(
                        "all {reading}: no two plates share a reading; it stands behind a name"
                    ));
                }
                What::Unknown(why) => self.refuse(format!("all: {why}")),
            }
        }
        if wanted.is_empty() {
            if self.refused.is_empty() {
                self.refuse("all of what? It is written all good flat 0.02");
            }
            return;
        }
        let measured = |plate: &&str| {
            let Some(step) = lying.step(OnRail::Reading) else {
                return true;
            };
            (1..=step.points).all(|n| self.after.state.is_settled(&slot_of(step, plate, n)))
        };
        let plates: Vec<&str> = lying.plates.iter().map(|(_, name)| name.as_str()).collect();
        let (have, lack): (Vec<&str>, Vec<&str>) = plates.iter().partition(|plate| measured(plate));
        let mut opened: Vec<&str> = Vec::new();
        let before = self.entries.len();
        for (what, text) in &wanted {
            let Some(step) = lying.step(*what) else {
                self.single(*what, "all");
                continue;
            };
            for plate in &have {
                let slot = slot_of(step, plate, 1);
                if self.after.state.is_settled(&slot) {
                    continue;
                }
                // the first fault stands for all: the same text is refused for the same reason; what was opened
                // again is no empty place
                if self.after.state.earlier.contains_key(&slot) {
                    opened.push(*plate);
                } else if self.refused.is_empty() {
                    self.put(slot, text);
                }
            }
        }
        let flatness = lying.step(OnRail::Flatness).map(|step| step.id.as_str());
        let of_all = self.entries.iter().skip(before).filter_map(|entry| match entry {
            Entry::Answered { slot, text, .. } => Some(OfAll {
                step: &slot.step,
                flatness: Some(slot.step.as_str()) == flatness,
                text,
            }),
            _ => None,
        });
        let words = note_of(&of_all.collect::<Vec<_>>());
        if !words.is_empty() {
            self.said.push(Feedback::new(Tone::Plain, words.clone()));
            // how many were not looked at one by one stays with the record
            if let Some(slot) = have
                .first()
                .and_then(|plate| Some(slot_of(lying.step(wanted.first()?.0)?, plate, 1)))
            {
                let (at, by) = (self.at.to_string(), self.after.state.by().to_string());
                self.write(Entry::Noted {
                    at,
                    by,
                    slot,
                    text: words,
                });
            }
        } else if self.refused.is_empty() && lack.is_empty() {
            self.said
                .push(Feedback::new(Tone::Plain, "nothing was empty; nothing was taken"));
        }
        if !opened.is_empty() {
            opened.dedup();
            self.refuse(format!(
                "{}: opened again, which all leaves alone: Enter with the plate in hand keeps what stood there",
                opened.join(" ")
            ));
        }
        if !lack.is_empty() {
            let words = match lack.len() {
                1 => format!("{} has not been in the hand", lack.join(" ")),
                n => format!("{n} plates have not been in the hand"),
            };
            self.refuse(format!("{words}: all fills only those that have their readings"));
        }
    }

    /// The verdict on each plate that is complete now; one line for several that are inside.
    fn tell_verdicts(&mut self) {
        let derived = self.after.derived();
        let spoken = &derived.job.procedure.spoken;
        let mut told = Vec::new();
        let mut inside: Vec<&str> = Vec::new();
        for name in &self.changed {
            let plate = derived.plate(name, false);
            let Some(verdict) = plate.verdict.filter(|_| derived.may_tell(name)) else {
                continue;
            };
            let whole = self
                .lying
                .place(name)
                .is_some_and(|at| !self.after.lacks(self.lying, at, true));
            // an outlier is told at once: the plate is still in the hand
            if !whole && verdict == Verdict::Inside {
                continue;
            }
            if verdict == Verdict::Inside && self.changed.len() > 1 {
                inside.push(name);
                continue;
            }
            let said = spoken.verdict(verdict);
            let words = match plate.measured {
                Some(_) if whole => format!("{name}: {}", derived.plate_words(name, false)),
                Some(_) => format!(
                    "{name}: {}; {}",
                    spoken.fill(Phrase::SoFar, &[said]),
                    plate.reason
                ),
                None => format!("{name}: {said}; {}", plate.reason),
            };
            told.push(Feedback::new(tone_of(verdict), words));
        }
        if !inside.is_empty() {
            told.push(Feedback::new(
                Tone::Good,
                format!("{}: {}", spoken.verdict(Verdict::Inside), inside.join(" ")),
            ));
        }
        told.append(&mut self.said);
        self.said = told;
    }
}

/// All faults of a line in one; `sure` lifts it where it lifts one of them.
fn joined(refused: Vec<Refusal>) -> Option<Refusal> {
    let sure = refused.iter().any(|refusal| refusal.sure);
    let suggests = refused.iter().any(|refusal| refusal.suggests);
    let words: Vec<String> = refused.into_iter().map(|refusal| refusal.words).collect();
    (!words.is_empty()).then(|| Refusal {
        words: words.join("; "),
        sure,
        suggests,
    })
}
