//! Several questions that one line answers: the places of one thing by as many numbers, the parts of a pack by how many
//! lie in it, the stages of a group of bolts by what each came to. Each becomes an entry of its own, as if it had been
//! asked alone.

use super::ask::{Ask, Expects, Feedback, Refusal, Tone};
use super::definition::{Each, Step};
use super::plan::Planned;
use super::row::{Reads, Times, Work};
use super::session::{Accepted, Session};
use super::typed::{SURE, no};
use crate::quantity::{Torque, UnitRow, Units, parse_bare, unit_named};
use crate::record::phrase::{Phrase, Spoken};
use crate::record::{Entry, Slot};

/// What one line may answer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum By {
    /// The one question, and no other.
    Itself,
    /// A number a place.
    Numbers,
    /// How many parts lie in the pack.
    Count,
    /// What each stage came to.
    Stages,
    /// That each thing is as it is listed.
    Same,
}

/// Open questions that follow each other, of which the first is the one that stands open.
pub(super) struct Run {
    by: By,
    slots: Vec<Slot>,
    /// How many of them are of the first one's thing.
    of_thing: usize,
}

/// The word that says that an order is as it is listed.
const SAME: &str = "same";

fn by(step: &Step) -> By {
    let Some(row) = step.fills.map(|field| field.row()) else {
        return By::Itself;
    };
    let in_stages = matches!(row.asked.times, Times::Stages(_));
    match &row.reads {
        Reads::Length { .. } | Reads::Torque { .. } | Reads::Force { .. } => By::Numbers,
        Reads::Done { .. } if row.asked.work == Some(Work::LaysIn) && row.each == Some(Each::Part) => {
            By::Count
        }
        Reads::Done { .. } if row.asked.work == Some(Work::Tightens) && in_stages => By::Stages,
        Reads::Order { .. } => By::Same,
        Reads::Done { .. }
        | Reads::Text { .. }
        | Reads::Optional { .. }
        | Reads::Name { .. }
        | Reads::Word { .. }
        | Reads::Choice { .. }
        | Reads::Distance { .. }
        | Reads::Volume { .. }
        | Reads::Temperature { .. } => By::Itself,
    }
}

/// Whether a line may go from one thing to the next, where it has all of them: what one too many would shift is kept apart,
/// and so is what is read after the unit was held another way.
fn crosses(step: &Step) -> bool {
    match step.each {
        None | Some(Each::Side | Each::Opened | Each::Chain | Each::Spring | Each::Play) => true,
        Some(
            Each::Plate
            | Each::Spare
            | Each::Doubtful
            | Each::StillDoubtful
            | Each::Layer
            | Each::Part
            | Each::Bolts
            | Each::Way,
        ) => false,
    }
}

/// The thing that a question is about: a pack of the parts, a place of the readings, a group of the bolts.
fn thing(by: By, slot: &Slot) -> Option<&str> {
    let item = slot.item.as_deref()?;
    match by {
        By::Count => item.split('/').next(),
        _ => Some(item),
    }
}

/// The numbers on a line, each with its unit, and whether the last is said to be meant; nothing where it is no such line.
fn numbers(text: &str) -> Option<(Vec<String>, bool)> {
    let mut tokens: Vec<&str> = text.split_whitespace().collect();
    let sure = tokens.last().is_some_and(|last| last.eq_ignore_ascii_case(SURE));
    tokens.truncate(tokens.len() - usize::from(sure));
    let (mut found, mut at) = (Vec::new(), 0);
    while let Some(first) = tokens.get(at) {
        let bare = first.trim_start_matches(['+', '-']);
        if !bare.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
            return None;
        }
        // "35 lbf ft" is one unit of two words
        let words = [2, 1].into_iter().find(|count| {
            let unit = tokens.get(at + 1..=at + count);
            unit.is_some_and(|unit| unit_named(&unit.join(" ")).is_some())
        });
        let next = at + 1 + words.unwrap_or(0);
        found.push(tokens.get(at..next)?.join(" "));
        at = next;
    }
    Some((found, sure))
}

/// Why numbers can not be taken of which some have a unit and some have none, where the bare ones would be read in another: whoever
/// writes a unit behind the last may mean it for all.
pub(super) fn unlike_units(given: &[String], units: Units) -> Option<String> {
    let unit_of = |one: &String| {
        let unit = one
            .trim_start_matches(|c: char| !c.is_alphabetic() && c != '"' && c != '°')
            .trim();
        (!unit.is_empty()).then(|| unit.to_string())
    };
    let bare = given.iter().find(|one| unit_of(one).is_none())?;
    let (with, unit) = given.iter().find_map(|one| {
        let row = unit_named(&unit_of(one)?)?;
        let usual = row.dimension().usual_unit(units);
        (unit_named(usual).map(UnitRow::symbol) != Some(row.symbol())).then_some((one, usual))
    })?;
    Some(format!(
        "{with} has a unit and {bare} has none, which would be {unit}: write the unit behind each, or behind none; nothing was taken"
    ))
}

impl Session {
    /// What one line may answer from an open question on.
    pub(super) fn run(&self, plan: &[Planned<'_>], first: &Planned<'_>) -> Run {
        let by = by(first.step);
        let crosses = by == By::Same || by == By::Numbers && crosses(first.step);
        let from = plan.iter().position(|planned| planned.slot == first.slot);
        let following = plan.get(from.unwrap_or(plan.len())..).unwrap_or(&[]).iter();
        // a look between the parts of a pack that has been passed parts them no more
        let passed = |planned: &&Planned<'_>| {
            by == By::Count && planned.step.before_buried.is_some() && self.state.is_settled(&planned.slot)
        };
        let slots: Vec<Slot> = following
            .filter(|planned| !passed(planned))
            .map(|planned| &planned.slot)
            .take_while(|slot| slot.step == first.slot.step && slot.round == first.slot.round)
            .take_while(|slot| !self.state.is_settled(slot))
            .take_while(|slot| crosses || thing(by, slot) == thing(by, &first.slot))
            .take(if by == By::Itself { 1 } else { usize::MAX })
            .cloned()
            .collect();
        let mine = slots.iter();
        let of_thing = mine
            .take_while(|slot| thing(by, slot) == thing(by, &first.slot))
            .count();
        Run { by, slots, of_thing }
    }

    /// Where a pack is laid in as a whole, the next look at what it would bury: the parts are counted when all have passed.
    pub(super) fn buried_next<'a, 'p>(&self, open: &'a [Planned<'p>]) -> Option<&'a Planned<'p>> {
        let first = open.first()?;
        let side = thing(By::Count, &first.slot).filter(|_| by(first.step) == By::Count)?;
        let of_pack = |planned: &&Planned<'_>| {
            let is_part =
                planned.slot.step == first.slot.step && thing(By::Count, &planned.slot) == Some(side);
            let is_look = planned.step.before_buried.is_some() && planned.slot.item.as_deref() == Some(side);
            planned.slot.round == first.slot.round && (is_part || is_look)
        };
        let mut pack = open.iter().take_while(of_pack);
        pack.find(|planned| planned.step.before_buried.is_some() && !self.state.is_settled(&planned.slot))
    }

    /// The part that a look is at: the last one that is laid in before it.
    fn looked_at(&self, plan: &[Planned<'_>], look: &Planned<'_>) -> Option<Slot> {
        let at = plan.iter().position(|planned| planned.slot == look.slot)?;
        let before = plan.get(..at)?.iter().rev();
        let mut parts = before.filter(|planned| by(planned.step) == By::Count);
        parts.next().map(|part| part.slot.clone())
    }

    /// Puts the pack beside a look that comes before its parts are counted.
    pub(super) fn tell_look(&self, ask: &mut Ask, plan: &[Planned<'_>], look: &Planned<'_>) {
        if look.step.before_buried.is_none() {
            return;
        }
        let Some(part) = self
            .looked_at(plan, look)
            .filter(|part| !self.state.is_settled(part))
        else {
            return;
        };
        ask.drawing = self.derived().laying_picture(&part);
        ask.words
            .insert(0, "Lay in as far as the part in brackets, and look.".to_string());
    }

    /// Where rows are asked for, all open places of the thing in hand: of a plate on the rail its readings, flatness and look.
    /// Else only the open question.
    pub fn open_places(&self) -> Vec<Slot> {
        let plan = self.plan();
        let Some((_, planned)) = self.open_in(&plan) else {
            return Vec::new();
        };
        if !self.in_hand.by_rows {
            return vec![planned.slot.clone()];
        }
        if let Some(lying) = self.lying(&planned.slot)
            && let Some(plate) = self.plate_in_hand(&lying).and_then(|at| lying.name(at))
        {
            let mut slots = lying.slots(plate);
            slots.retain(|slot| !self.state.is_settled(slot));
            return slots;
        }
        let run = self.run(&plan, planned);
        let mine = if run.by == By::Numbers { run.of_thing } else { 1 };
        run.slots.into_iter().take(mine).collect()
    }

    /// Puts what one line may answer into the question.
    pub(super) fn tell_run(&self, ask: &mut Ask, run: &Run) {
        let count = run.slots.len();
        let line = |wanted: &str| Expects::Line {
            wanted: wanted.to_string(),
        };
        match run.by {
            _ if count < 2 => {}
            By::Itself => {}
            By::Numbers => {
                let spoken = &self.job.procedure.spoken;
                let things = run.things_in(spoken);
                ask.prompt.push_str(&match (run.of_thing, run.slots.len()) {
                    (1, 2) => spoken.fill(Phrase::OrThings, &[&things]),
                    (1, all) => spoken.fill(Phrase::OrAllOnLine, &[&all.to_string()]),
                    (mine, all) if mine == all || run.things().len() > 2 => {
                        spoken.fill(Phrase::OrAll, &[&mine.to_string()])
                    }
                    (mine, all) => {
                        spoken.fill(Phrase::OrAllOf, &[&mine.to_string(), &all.to_string(), &things])
                    }
                });
            }
            By::Count => {
                ask.prompt = self.derived().pack_prompt(&run.slots);
                ask.words =
                    vec!["Lay the pack in as it is drawn, and count the parts that lie in it.".to_string()];
                ask.drawing = self.derived().whole_pack_picture(&ask.slot);
                ask.expects = line("a number, or !one");
                ask.before = None;
            }
            By::Same => {
                let step = self.job.procedure.step(&ask.slot.step);
                let row = step.and_then(|(_, step)| Some((step, step.fills?.row())));
                let Some((step, row)) = row else {
                    return;
                };
                let each = |slot: &Slot| {
                    let item = self
                        .job
                        .procedure
                        .spoken
                        .answer(slot.item.as_deref().unwrap_or_default())
                        .to_string();
                    let listed = (row.beside)(&self.here(slot, step)).limits.into_iter();
                    listed.map(move |limit| format!("{item}: {limit}"))
                };
                ask.limits = run.slots.iter().flat_map(each).collect();
                let spoken = &self.job.procedure.spoken;
                let same = vec![spoken.answer(SAME); count].join(" ");
                let things = run.things_in(spoken);
                ask.prompt
                    .push_str(&spoken.fill(Phrase::OrFor, &[&same, &things]));
            }
            By::Stages => {
                let derived = self.derived();
                ask.prompt = derived.stages_prompt(&run.slots);
                ask.limits = derived.stages_limits(&run.slots);
                ask.words.push(
                    "All its stages here: each on every bolt of the group before the next.".to_string(),
                );
                ask.expects = line("what each came to, or !one");
                ask.before = None;
            }
        }
    }

    /// What a line leads to, where it may answer more than the open question.
    pub(super) fn take_line(
        &mut self,
        run: &Run,
        slot: &Slot,
        step: &Step,
        text: &str,
        at: String,
    ) -> Result<Accepted, Refusal> {
        let text = text.trim();
        let several = run.slots.len() > 1;
        let rows = self.in_hand.by_rows;
        match run.by {
            By::Count if several && (rows || text.parse::<usize>().is_ok()) => {
                if text.parse() != Ok(self.derived().lying_after(run.slots.last())) {
                    return no(
                        "that is not how many parts lie in it then: take them out as far as it is needed, and count again",
                    );
                }
                let done = vec!["done".to_string(); run.slots.len()];
                self.take_each(&run.slots, step, &done, at)
            }
            By::Stages if several => match numbers(text) {
                Some((figures, sure)) if !figures.is_empty() => {
                    self.take_stages(run, step, &figures, sure, at)
                }
                _ if rows => no("what each stage came to is wanted, one behind the other as it stands above"),
                _ => self.take_answer(slot, step, text, at),
            },
            By::Same if several => {
                let words: Vec<&str> = text.split_whitespace().collect();
                if words.len() != run.slots.len() || words.iter().any(|word| !word.eq_ignore_ascii_case(SAME))
                {
                    return self.take_answer(slot, step, text, at);
                }
                let same = vec![SAME.to_string(); words.len()];
                self.take_each(&run.slots, step, &same, at)
            }
            By::Numbers if several => match numbers(text) {
                Some((mut given, sure)) if given.len() > 1 => {
                    let (mine, all) = (run.of_thing, run.slots.len());
                    if given.len() > mine && given.len() != all {
                        let whole = if all > mine {
                            format!(", and {all} of all that are asked here")
                        } else {
                            String::new()
                        };
                        return no(format!(
                            "{} numbers; {mine} of this {} open{whole}: nothing was taken",
                            given.len(),
                            if mine == 1 { "is" } else { "are" }
                        ));
                    }
                    if let Some(refused) = unlike_units(&given, self.state.units) {
                        return no(refused);
                    }
                    if sure && let Some(last) = given.last_mut() {
                        last.push_str(&format!(" {SURE}"));
                    }
                    self.take_each(&run.slots, step, &given, at)
                }
                _ => self.take_answer(slot, step, text, at),
            },
            By::Numbers => {
                let given = numbers(text).map_or(0, |(given, _)| given.len());
                self.take_answer(slot, step, text, at)
                    .map_err(|refusal| match given {
                        0 | 1 => refusal,
                        _ => Refusal {
                            words: format!("one reading is wanted here, and {given} stand on the line"),
                            sure: false,
                            suggests: false,
                        },
                    })
            }
            _ => self.take_answer(slot, step, text, at),
        }
    }

    /// Takes the stages that were typed, as far as each is what it should have come to.
    fn take_stages(
        &mut self,
        run: &Run,
        step: &Step,
        figures: &[String],
        sure: bool,
        at: String,
    ) -> Result<Accepted, Refusal> {
        if figures.len() > run.slots.len() {
            return no(format!(
                "{} figures for {} stages: nothing was taken",
                figures.len(),
                run.slots.len()
            ));
        }
        let wrong = run.slots.iter().zip(figures).find_map(|(slot, figure)| {
            let wanted = self.derived().stage_words(slot)?;
            (!self.is_stage(slot, figure)).then(|| (slot.point.unwrap_or(1), figure, wanted))
        });
        if let Some((stage, figure, wanted)) = wrong {
            return no(format!(
                "stage {stage} is {wanted}, and {figure} was typed: nothing was taken"
            ));
        }
        let mut done = vec!["done".to_string(); figures.len()];
        if sure && let Some(last) = done.last_mut() {
            last.push_str(&format!(" {SURE}"));
        }
        self.take_each(&run.slots, step, &done, at)
    }

    /// Whether a figure is that of a stage, as it is shown.
    fn is_stage(&self, slot: &Slot, figure: &str) -> bool {
        let units = self.state.units;
        let usual = crate::quantity::Dimension::Torque.usual_unit(units);
        match self.derived().stage(slot) {
            Some(Ok(torque)) => parse_bare::<Torque>(figure, usual)
                .is_ok_and(|typed| typed.value().show(units) == torque.show(units)),
            Some(Err(angle)) => {
                let bare = figure.trim_end_matches(|c: char| !c.is_ascii_digit()).trim();
                bare == format!("{:.0}", angle.degrees())
            }
            None => false,
        }
    }

    /// Takes answer after answer, each as if it had been asked alone; the first that is not taken stops it.
    fn take_each(
        &mut self,
        slots: &[Slot],
        step: &Step,
        texts: &[String],
        at: String,
    ) -> Result<Accepted, Refusal> {
        let mut after = self.twin();
        let mut taken = Accepted {
            told: true,
            ..Accepted::default()
        };
        // of one thing only the last is told, which has what came before it in it, unless something was not well
        let mut told: Vec<(Option<String>, Vec<Feedback>)> = Vec::new();
        for (n, (slot, text)) in slots.iter().zip(texts).enumerate() {
            let one = match after.take_answer(slot, step, text, at.clone()) {
                Ok(one) => one,
                Err(refusal) => {
                    self.in_hand.odd_behind = after.odd.take();
                    let rest = texts.get(n + 1..).unwrap_or(&[]).join(" ");
                    let mut words = format!("{}: {}", place(slot), refusal.words);
                    if !rest.is_empty() {
                        words.push_str(&format!("; not taken after it: {rest}"));
                    }
                    let refusal = Refusal { words, ..refusal };
                    if taken.entries.is_empty() {
                        self.odd = self.in_hand.odd_behind.take();
                        return Err(refusal);
                    }
                    let before = slots.iter().zip(texts).take(n);
                    let before: Vec<String> = before
                        .map(|(slot, text)| format!("{} {text}", place(slot)))
                        .collect();
                    let words = format!("{}; taken before it: {}", refusal.words, before.join(", "));
                    taken.refused = Some(Refusal { words, ..refusal });
                    break;
                }
            };
            let said = after.apply(&one.entries);
            let well = |said: &Feedback| matches!(said.tone, Tone::Good | Tone::Plain);
            match told.last_mut() {
                Some((item, before))
                    if *item == slot.item && slot.item.is_some() && before.iter().all(well) =>
                {
                    *before = said;
                }
                Some((_, before)) if *before == said => {}
                _ => told.push((slot.item.clone(), said)),
            }
            taken.entries.extend(one.entries);
        }
        taken.said = told.into_iter().flat_map(|(_, said)| said).collect();
        let closed = taken
            .entries
            .iter()
            .any(|entry| matches!(entry, Entry::Finished { .. }));
        if !closed && after.ask().is_none() {
            taken.entries.push(Entry::finished(at));
        }
        Ok(taken)
    }
}

impl Run {
    /// The things that its questions are about, each once.
    fn things(&self) -> Vec<&str> {
        let mut things: Vec<&str> = Vec::new();
        for slot in &self.slots {
            match thing(self.by, slot) {
                Some(thing) if !things.contains(&thing) => things.push(thing),
                _ => {}
            }
        }
        things
    }

    /// The same in a sentence.
    fn things_in(&self, spoken: &Spoken) -> String {
        let things = self
            .things()
            .into_iter()
            .map(|thing| spoken.answer(thing).to_string());
        things
            .reduce(|before, thing| spoken.fill(Phrase::AndThen, &[&before, &thing]))
            .unwrap_or_default()
    }
}

/// The place of a question among those of its step.
fn place(slot: &Slot) -> String {
    match (&slot.item, slot.point) {
        (Some(item), Some(point)) => format!("{item}, {point}"),
        (Some(item), None) => item.clone(),
        (None, Some(point)) => format!("reading {point}"),
        (None, None) => "this".to_string(),
    }
}
