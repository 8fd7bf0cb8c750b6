//! The rail: the plates as they lie, with what is known of each, where their looks, thicknesses and flatnesses are asked
//! together. It is a second view of questions that the plan has one by one.

use super::ask::{Rail, RailRow};
use super::definition::Step;
use super::looks::{LOOKS, plate_goes};
use super::plan::Planned;
use super::row::OnRail;
use super::session::Session;
use super::state::Answer;
use crate::mechanics::{Keying, Side};
use crate::metrology::Verdict;
use crate::quantity::{Dimension, Length};
use crate::record::phrase::{Phrase, Spoken};
use crate::record::{Slot, Value};

/// Why readings are left out of a plate that goes to the scrap.
pub(super) const REJECTED: &str = "rejected by its looks";

/// The steps that stand together on the rail, and its plates in their order.
pub(super) struct Lying {
    steps: Vec<Step>,
    pub plates: Vec<(Option<Side>, String)>,
}

impl Lying {
    /// The step that asks for this, where it stands on the rail.
    pub fn step(&self, what: OnRail) -> Option<&Step> {
        let asks = |step: &&Step| step.fills.and_then(|field| field.row().on_rail) == Some(what);
        self.steps.iter().find(asks)
    }

    /// The place of a plate among the others.
    pub fn place(&self, plate: &str) -> Option<usize> {
        self.plates.iter().position(|(_, known)| known == plate)
    }

    /// The name of the plate at a place.
    pub fn name(&self, at: usize) -> Option<&str> {
        self.plates.get(at).map(|(_, name)| name.as_str())
    }

    /// How many readings each plate has.
    pub fn points(&self) -> u32 {
        self.step(OnRail::Reading).map_or(0, |step| step.points)
    }

    /// The questions of a plate: its readings, its flatness, its look.
    pub fn slots(&self, plate: &str) -> Vec<Slot> {
        let reading = self.step(OnRail::Reading).into_iter();
        let others = [OnRail::Flatness, OnRail::Look].into_iter();
        reading
            .flat_map(|step| (1..=step.points).map(move |point| slot_of(step, plate, point)))
            .chain(others.filter_map(|what| Some(slot_of(self.step(what)?, plate, 1))))
            .collect()
    }
}

/// The question of a step about a plate, at one point.
pub(super) fn slot_of(step: &Step, plate: &str, point: u32) -> Slot {
    Slot {
        round: 1,
        step: step.id.clone(),
        item: Some(plate.to_string()),
        point: (step.points > 1).then_some(point),
    }
}

impl Session {
    /// Whether plates are asked for a row at a time, in the order in which they lie; else one question at a time.
    pub fn by_rows(&mut self, rows: bool) {
        self.in_hand.by_rows = rows;
    }

    /// The rail that a question belongs to: the steps that stand together with its own.
    pub(super) fn lying(&self, slot: &Slot) -> Option<Lying> {
        let steps: Vec<&Step> = self
            .job
            .procedure
            .steps()
            .map(|(_, step)| step)
            .filter(|step| self.job.asks_step(step))
            .collect();
        let on_rail = |step: &&&Step| step.fills.is_some_and(|field| field.row().on_rail.is_some());
        let at = steps.iter().position(|step| step.id == slot.step)?;
        let before = steps[..at].iter().rev().take_while(on_rail).count();
        let after = steps[at..].iter().take_while(on_rail).count();
        let together = &steps[at - before..at + after];
        // a single step has nothing to stand in a row with
        if after == 0 || together.len() < 2 {
            return None;
        }
        let mut plates: Vec<(Option<Side>, String)> = Vec::new();
        let found = self.derived().found();
        let lay = Side::BOTH.into_iter().flat_map(|side| {
            let pack = found[side.index()].plates.iter();
            pack.map(move |name| (Some(side), name))
        });
        let unit = &self.job.unit;
        for (side, name) in lay.chain(unit.plates.iter().map(|plate| (None, &plate.name))) {
            if unit.plate(name).is_some() && plates.iter().all(|(_, known)| known != name) {
                plates.push((side, name.clone()));
            }
        }
        Some(Lying {
            steps: together.iter().map(|step| (*step).clone()).collect(),
            plates,
        })
    }

    /// The plate in hand: the one that a line left there, else the one after the last that was given something.
    pub(super) fn plate_in_hand(&self, lying: &Lying) -> Option<usize> {
        let chosen = self.in_hand.plate.as_deref().and_then(|name| lying.place(name));
        if let Some(at) = chosen.filter(|at| self.lacks(lying, *at, false)) {
            return Some(at);
        }
        let last = self.state.trail.last().filter(|slot| {
            let mut steps = lying.steps.iter();
            steps.any(|step| step.id == slot.step)
        });
        let last = chosen.or_else(|| last.and_then(|slot| lying.place(slot.item.as_deref()?)));
        self.plate_after(lying, last.unwrap_or(0))
    }

    /// From a plate on, itself first: the first that lacks a reading, else the first that lacks anything.
    pub(super) fn plate_after(&self, lying: &Lying, from: usize) -> Option<usize> {
        let count = lying.plates.len();
        let around = || (0..count).map(move |n| (from + n) % count);
        around()
            .find(|at| self.lacks(lying, *at, true))
            .or_else(|| around().find(|at| self.lacks(lying, *at, false)))
    }

    /// Whether something of a plate has no answer yet; a reading, where only they count.
    pub(super) fn lacks(&self, lying: &Lying, at: usize, readings: bool) -> bool {
        let Some(name) = lying.name(at) else {
            return false;
        };
        let reading = lying.step(OnRail::Reading).map(|step| step.id.as_str());
        lying
            .slots(name)
            .iter()
            .filter(|slot| !readings || Some(slot.step.as_str()) == reading)
            .any(|slot| !self.state.is_settled(slot))
    }

    /// The open question: the first of the plan, or where rows are asked for the next place of the plate in hand.
    pub(super) fn open_in<'a, 'p>(&self, plan: &'a [Planned<'p>]) -> Option<(usize, &'a Planned<'p>)> {
        let open = |planned: &&Planned<'_>| !self.state.is_settled(&planned.slot);
        let at = plan.iter().position(|planned| open(&planned))?;
        let first = plan.get(at)?;
        let in_hand = || {
            let lying = self.lying(&first.slot)?;
            let slots = lying.slots(lying.name(self.plate_in_hand(&lying)?)?);
            let slot = slots.into_iter().find(|slot| !self.state.is_settled(slot))?;
            plan.iter().find(|planned| planned.slot == slot)
        };
        let planned = match self.in_hand.by_rows {
            true => in_hand().or_else(|| self.buried_next(plan.get(at..)?)),
            false => None,
        };
        Some((at, planned.unwrap_or(first)))
    }

    /// The rail as a front-end shows it, where the open question stands on one.
    pub(super) fn rail(&self, slot: &Slot) -> Option<Rail> {
        let lying = self.lying(slot)?;
        let units = self.state.units;
        let hand = match slot.item.as_deref().filter(|_| !self.in_hand.by_rows) {
            Some(name) => lying.place(name)?,
            None => self.plate_in_hand(&lying)?,
        };
        let derived = self.derived();
        let bare = |answer: &Answer| match answer.value {
            Value::Length(nm) => Some(Length::from_nm(nm).bare(units)),
            _ => None,
        };
        // what was opened again stays in sight until it is kept or typed anew
        let length = |slot: &Slot| match self.state.answers.get(slot) {
            Some(answer) => bare(answer),
            None if self.state.is_settled(slot) => None,
            None => Some(format!("{}?", bare(self.state.earlier.get(slot)?)?)),
        };
        let [reading, flat, look] =
            [OnRail::Reading, OnRail::Flatness, OnRail::Look].map(|what| lying.step(what));
        let rows: Vec<RailRow> = lying
            .plates
            .iter()
            .enumerate()
            .map(|(at, (side, name))| {
                let spoken = &self.job.procedure.spoken;
                let known = derived.plate(name, false);
                let readings: Vec<Option<String>> = (1..=lying.points())
                    .map(|point| length(&slot_of(reading?, name, point)))
                    .collect();
                let whole = !self.lacks(&lying, at, true);
                let missing = self.lacks(&lying, at, false);
                let look_known = known.look.filter(|_| look.is_some());
                let look_slot = look.map(|step| slot_of(step, name, 1));
                let look_before = look_slot
                    .filter(|slot| !self.state.is_settled(slot))
                    .and_then(|slot| self.state.earlier.get(&slot));
                RailRow {
                    came_to: match look_before.map(|answer| &answer.value) {
                        Some(Value::Word { word, .. }) => format!("{}?", spoken.answer(word)),
                        _ => came_to(
                            known.verdict.filter(|_| whole && derived.may_tell(name)),
                            look_known.as_deref(),
                            missing,
                            spoken,
                        ),
                    },
                    side: side.map_or("", Side::word),
                    name: name.clone(),
                    flatness: flat.and_then(|step| length(&slot_of(step, name, 1))),
                    look: look_known,
                    missing,
                    readings,
                }
            })
            .collect();
        Some(Rail {
            hand,
            next: self.place_words(slot, &lying) + &self.stood_words(slot, &lying),
            takes_reading: reading.is_some_and(|step| step.id == slot.step),
            points: lying.points(),
            flatness: flat.is_some(),
            looks: look.map_or_else(Vec::new, |_| {
                LOOKS.iter().map(|(word, ..)| (*word).to_string()).collect()
            }),
            limits: self.rail_limits(&lying),
            missing: missing_words(&rows, hand, &lying, &self.job.procedure.spoken),
            changed: (0..rows.len())
                .filter(|at| self.in_hand.changed.contains(&rows[*at].name))
                .collect(),
            by_rows: self.in_hand.by_rows,
            rows,
        })
    }

    /// What stood at a place before it was opened again.
    fn stood_words(&self, slot: &Slot, lying: &Lying) -> String {
        let Some((_, step)) = self.job.procedure.step(&slot.step) else {
            return String::new();
        };
        if self.state.left_out.get(slot).map(String::as_str) != Some(REJECTED) {
            return self.before_words(slot, step);
        }
        let look = lying
            .step(OnRail::Look)
            .and_then(|step| Some(slot_of(step, slot.item.as_deref()?, 1)));
        match look.and_then(|look| Some(&self.state.earlier.get(&look)?.value)) {
            Some(Value::Word { word, .. }) if plate_goes(word) => {
                let spoken = &self.job.procedure.spoken;
                let before = spoken.fill(Phrase::LeftOut, &[REJECTED]);
                format!(" ({})", spoken.fill(Phrase::BeforeKept, &[&before]))
            }
            _ => String::new(),
        }
    }

    /// Whether something of a plate was opened again and is not settled yet.
    pub(super) fn was_opened(&self, lying: &Lying, at: usize) -> bool {
        let Some(name) = lying.name(at) else {
            return false;
        };
        lying
            .slots(name)
            .iter()
            .any(|slot| !self.state.is_settled(slot) && self.state.earlier.contains_key(slot))
    }

    fn rail_limits(&self, lying: &Lying) -> String {
        let (derived, units) = (self.derived(), self.state.units);
        let limits = &self.job.unit.limits;
        let mut parts = vec![Dimension::Length.usual_unit(units).to_string()];
        if lying.points() > 0 {
            if let Some((instrument, zero)) = derived.micrometer() {
                let sign = if zero >= Length::ZERO { "+" } else { "" };
                parts.push(format!("{} zero {sign}{}", instrument.id, zero.bare(units)));
            }
            let has = |keying| self.job.unit.plates.iter().any(|plate| plate.keyed == keying);
            let least: Vec<String> = [
                (Keying::Gear, "gear", limits.gear_least),
                (Keying::Case, "case", limits.case_least),
            ]
            .iter()
            .filter(|(keying, ..)| has(*keying))
            .map(|(_, word, least)| format!("{word} {}", least.bare(units)))
            .collect();
            parts.push(format!("least {}", least.join(", ")));
            if lying.points() > 1 {
                parts.push(format!("spread {}", limits.spread.bare(units)));
            }
        }
        if lying.step(OnRail::Flatness).is_some() {
            parts.push(format!("flat {}", limits.flatness.bare(units)));
        }
        parts.join("; ")
    }
}

/// What a plate came to, in one word.
fn came_to(verdict: Option<Verdict>, look: Option<&str>, missing: bool, spoken: &Spoken) -> String {
    let word = match (verdict, look) {
        (_, Some(look)) if plate_goes(look) => look,
        (Some(Verdict::Outside), _) => "outside",
        (Some(Verdict::TooCloseToCall), _) => "close",
        (Some(Verdict::Inside) | None, Some(look)) if look != "good" => look,
        // how it looks, or how flat it is, is still wanted
        (Some(Verdict::Inside), _) if missing => return format!("({})", spoken.answer("inside")),
        (Some(Verdict::Inside), _) => "inside",
        (None, look) => look.unwrap_or(""),
    };
    spoken.answer(word).to_string()
}

impl Session {
    /// A place of the rail in words: `G4, reading 2`, `G4, flat`, `G4, look`.
    pub(super) fn place_words(&self, slot: &Slot, lying: &Lying) -> String {
        let spoken = &self.job.procedure.spoken;
        let name = slot.item.as_deref().unwrap_or("");
        let is = |what: OnRail| lying.step(what).is_some_and(|step| step.id == slot.step);
        match slot.point {
            _ if is(OnRail::Look) => spoken.fill(Phrase::PlaceLook, &[name]),
            _ if is(OnRail::Flatness) => spoken.fill(Phrase::PlaceFlat, &[name]),
            Some(point) => spoken.fill(Phrase::PlaceReading, &[name, &point.to_string()]),
            None => spoken.fill(Phrase::OneReading, &[name]),
        }
    }
}

fn missing_words(rows: &[RailRow], hand: usize, lying: &Lying, spoken: &Spoken) -> String {
    let hand = rows.get(hand);
    let mut parts = Vec::new();
    let some_of = |names: &[&str]| match names.len() {
        0 => None,
        1..=4 => Some(names.join(" ")),
        more => Some(spoken.fill(Phrase::SoManyPlates, &[&more.to_string()])),
    };
    let named = |names: &[&str], what: Phrase| Some(spoken.fill(what, &[&some_of(names)?]));
    let (opened, rows): (Vec<&RailRow>, Vec<&RailRow>) = rows.iter().partition(|row| is_opened(row));
    let opened: Vec<&str> = opened.iter().map(|row| row.name.as_str()).collect();
    parts.extend(named(&opened, Phrase::OpenedAgain));
    let no_reading = |row: &&&RailRow| row.missing && row.readings.iter().all(Option::is_none);
    let some = |row: &&&RailRow| !no_reading(row) && row.readings.iter().any(Option::is_none);
    let half: Vec<&str> = rows
        .iter()
        .filter(|row| row.missing)
        .filter(some)
        .map(|row| row.name.as_str())
        .collect();
    if !half.is_empty() {
        parts.push(spoken.fill(Phrase::ReadingsOf, &[&half.join(" ")]));
    }
    let untouched: Vec<&str> = rows
        .iter()
        .filter(|row| lying.points() > 0 && no_reading(row))
        .map(|row| row.name.as_str())
        .collect();
    parts.extend(some_of(&untouched));
    let lacking = |has: fn(&RailRow) -> bool| -> Vec<&str> {
        rows.iter()
            .filter(|row| row.missing && !has(row))
            .filter(|row| lying.points() == 0 || !no_reading(row))
            .map(|row| row.name.as_str())
            .collect()
    };
    if lying.step(OnRail::Flatness).is_some() {
        parts.extend(named(&lacking(|row| row.flatness.is_some()), Phrase::FlatOf));
    }
    if lying.step(OnRail::Look).is_some() {
        parts.extend(named(&lacking(|row| row.look.is_some()), Phrase::LookOf));
    }
    if parts.is_empty()
        && let Some(hand) = hand.filter(|row| row.missing)
    {
        return hand.name.clone();
    }
    parts.join("; ")
}

/// Whether something of a plate was opened again and is not settled yet.
fn is_opened(row: &RailRow) -> bool {
    let texts = row.readings.iter().flatten().chain(&row.flatness);
    texts.chain([&row.came_to]).any(|text| text.ends_with('?'))
}
