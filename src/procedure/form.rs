//! A procedure as a form to fill in by hand.

use super::ask::{AnswerOption, Ask, Expects, StepKind};
use super::definition::{Each, Kind, Step};
use super::field::Field;
use super::job::Job;
use super::plan::Planned;
use super::row::{FormLimits, OnForm};
use super::session::Session;
use crate::quantity::Units;
use crate::record::form::{Fill, Form, FormBox, FormColumn, FormPart, FormRow, FormStage, FormTable};
use crate::record::phrase::Phrase;
use crate::record::{Entry, Slot};

/// The procedure as a form for one unit: every step whose conditions hold for it, with its words and limits, and a
/// numbered box for each question that is asked when nothing unexpected comes up. What can not be known before
/// (plates to measure again, the choice, a dry build that does not agree) gets room with one number for all of it.
///
/// `digests` are those of the procedure's and of the unit's file.
pub fn form(job: Job, units: Units, digests: [&str; 2]) -> Form {
    let [procedure, unit] = digests.map(str::to_string);
    let begun = Entry::Begun {
        at: String::new(),
        program: String::new(),
        unit: unit.clone(),
        procedure: procedure.clone(),
        drawer: String::new(),
        instruments: String::new(),
        units: units.into(),
        setting: None,
        found: None,
        practice: None,
        id: None,
    };
    let (session, _) = Session::start(job, begun);
    let plan = session.plan();
    let job = session.job();
    let mut writer = Writer {
        session: &session,
        plan: &plan,
        number: 0,
    };
    let mut stages = Vec::new();
    for stage in &job.procedure.stages {
        let steps: Vec<&Step> = stage
            .steps
            .iter()
            .filter(|step| session.job.asks_step(step))
            .collect();
        let mut parts = Vec::new();
        let mut from = 0;
        while from < steps.len() {
            let together = steps[from..]
                .iter()
                .take_while(|step| shares(steps[from], step))
                .count()
                .max(1);
            parts.extend(writer.part(stage, &steps[from..from + together]));
            from += together;
        }
        if !parts.is_empty() {
            stages.push(FormStage {
                title: stage.title.clone(),
                parts,
            });
        }
    }
    let mut form = Form {
        procedure: job.followed(procedure),
        unit_id: job.unit.id.clone(),
        unit_name: job.unit.name.clone(),
        unit_digest: unit,
        stages,
    };
    in_order(&mut form, &plan);
    form
}

/// A step's id as words: `plate-thickness` is `plate thickness`.
pub fn short_name(step: &str) -> String {
    step.replace('-', " ")
}

/// Whether two steps stand in one table: readings of the same things.
fn shares(first: &Step, other: &Step) -> bool {
    let reads = |step: &Step| matches!(step.fills.map(Field::kind), Some(Kind::Quantity(_)));
    let known = |each: Each| match each {
        Each::Plate
        | Each::Spare
        | Each::Side
        | Each::Opened
        | Each::Chain
        | Each::Spring
        | Each::Bolts
        | Each::Way
        | Each::Play => true,
        Each::Doubtful | Each::StillDoubtful | Each::Layer | Each::Part => false,
    };
    std::ptr::eq(first, other)
        || first.each == other.each && first.each.is_some_and(known) && reads(first) && reads(other)
}

/// Numbers the boxes in the order in which they are asked; steps that are not planned keep their place between the
/// others.
fn in_order(form: &mut Form, plan: &[Planned<'_>]) {
    let mut order: Vec<(usize, u32)> = Vec::new();
    let place = |slot: &Slot| plan.iter().position(|planned| planned.slot == *slot);
    let mut last = 0;
    for part in form.parts() {
        for one in part.fill.boxes() {
            last = place(&one.slot).unwrap_or(last);
            order.push((last, one.number));
        }
    }
    order.sort_unstable();
    let new = |number: u32| {
        order
            .iter()
            .position(|(_, old)| *old == number)
            .map_or(number, |n| n as u32 + 1)
    };
    for part in form.stages.iter_mut().flat_map(|stage| &mut stage.parts) {
        for one in part.fill.boxes_mut() {
            one.number = new(one.number);
        }
    }
}

struct Writer<'s> {
    session: &'s Session,
    plan: &'s [Planned<'s>],
    number: u32,
}

impl Writer<'_> {
    fn part(&mut self, stage: &super::definition::Stage, steps: &[&Step]) -> Option<FormPart> {
        let first = steps.first()?;
        let mine: Vec<&Planned<'_>> = self
            .plan
            .iter()
            .filter(|planned| steps.iter().any(|step| step.id == planned.slot.step))
            .collect();
        let derived = self.session.derived();
        let on_form = first.fills.map(|field| &field.row().form);
        // what nobody can know before the bench
        let open = match on_form {
            Some(OnForm::Room { rows, limits }) => Some((rows(&derived, first), limits(&derived))),
            Some(OnForm::Boxes { .. }) | None => None,
        };
        let slot = Slot {
            round: 1,
            step: first.id.clone(),
            item: None,
            point: None,
        };
        let alone = Planned {
            slot: slot.clone(),
            stage,
            step: first,
        };
        let ask = self
            .session
            .question(mine.first().copied().unwrap_or(&alone), 0, 0);
        let mut words = ask.words.clone();
        // what is not asked of this unit has no box, and so nothing to say
        let asked = |step: &&&Step| mine.iter().any(|planned| planned.slot.step == step.id);
        for step in steps[1..].iter().filter(asked) {
            words.extend(step.words.iter().cloned());
        }
        let mut tools = ask.tools.clone();
        for tool in steps[1..].iter().filter(asked).flat_map(|step| &step.tools) {
            if !tools.contains(tool) {
                tools.push(tool.clone());
            }
        }
        let mut limits = ask.limits.clone();
        let fill = match open {
            Some((rows, of_room)) => {
                limits = of_room;
                Fill::Open(self.one(slot, &ask), rows)
            }
            None if mine.is_empty() && first.each.is_none() => {
                // a question that only comes when something does not agree
                limits = vec![ask.spoken.say(Phrase::OnlyThen).to_string()];
                self.single(slot, &ask)
            }
            None if mine.is_empty() => return None,
            None if first.each.is_none() && mine.len() == 1 => {
                if limits_of(first) == FormLimits::AtTheBench {
                    limits = Vec::new();
                }
                self.single(mine.first()?.slot.clone(), &ask)
            }
            None => {
                let (table, shared) = self.table(steps, &mine);
                limits = shared;
                Fill::Table(table)
            }
        };
        Some(FormPart {
            name: steps
                .iter()
                .map(|step| short_name(&step.id))
                .collect::<Vec<_>>()
                .join(", "),
            words,
            tools,
            limits,
            may_skip: steps.iter().all(|step| step.skip),
            fill,
        })
    }

    fn one(&mut self, slot: Slot, ask: &Ask) -> FormBox {
        self.number += 1;
        FormBox {
            number: self.number,
            slot,
            unit: match &ask.expects {
                Expects::Quantity { unit, .. } => (*unit).to_string(),
                _ => String::new(),
            },
            caption: String::new(),
        }
    }

    fn single(&mut self, slot: Slot, ask: &Ask) -> Fill {
        let one = self.one(slot, ask);
        let words_of = |ways: &[AnswerOption]| {
            ways.iter()
                .map(|way| (way.key.clone(), way.words.clone()))
                .collect::<Vec<_>>()
        };
        match &ask.expects {
            _ if ask.kind == StepKind::Sign => Fill::Sign(one),
            Expects::Acknowledge => Fill::Caution(one),
            Expects::Done => Fill::Tick(one),
            Expects::YesNo => Fill::YesNo(one),
            Expects::Quantity { .. } => Fill::Value(one),
            // of what there is none to name, whatever is written
            Expects::OneOf(ways) if ways.is_empty() => Fill::Words(one),
            Expects::OneOf(ways) => Fill::OneOf(one, words_of(ways), false),
            Expects::OneOfOrLine { ways, .. } => Fill::OneOf(one, words_of(ways), true),
            Expects::Text { .. } | Expects::Line { .. } | Expects::Names(_) => Fill::Words(one),
        }
    }

    /// A table of the steps' items by their points, and the limits that hold for every row.
    fn table(&mut self, steps: &[&Step], mine: &[&Planned<'_>]) -> (FormTable, Vec<String>) {
        let mut columns: Vec<(FormColumn, &str, Option<u32>)> = Vec::new();
        let mut rows: Vec<(Option<String>, FormRow)> = Vec::new();
        for planned in mine {
            if !rows.iter().any(|(item, _)| *item == planned.slot.item) {
                let spoken = &self.session.job().procedure.spoken;
                let item = planned.slot.item.as_deref();
                let row = FormRow {
                    label: item
                        .map(|item| short_name(spoken.answer(item)))
                        .unwrap_or_default(),
                    limits: Vec::new(),
                    boxes: Vec::new(),
                };
                rows.push((planned.slot.item.clone(), row));
            }
        }
        for planned in mine {
            let ask = self.session.question(planned, 0, 0);
            let (step, point) = (planned.slot.step.as_str(), planned.slot.point);
            let mut one = self.one(planned.slot.clone(), &ask);
            if let Some(OnForm::Boxes { caption, .. }) = planned.step.fills.map(|field| &field.row().form) {
                one.caption = caption(&self.session.derived(), &planned.slot);
            }
            if !columns
                .iter()
                .any(|(_, known, at)| *known == step && *at == point)
            {
                let column = FormColumn {
                    step: short_name(step),
                    unit: one.unit.clone(),
                    point: point.unwrap_or(0),
                };
                columns.push((column, step, point));
            }
            let Some((_, row)) = rows.iter_mut().find(|(item, _)| *item == planned.slot.item) else {
                continue;
            };
            row.boxes.push(one);
            for limit in ask.limits {
                let limit = if steps.len() > 1 && limits_of(planned.step) != FormLimits::Bare {
                    format!("{}: {limit}", short_name(step))
                } else {
                    limit
                };
                if !row.limits.contains(&limit) {
                    row.limits.push(limit);
                }
            }
        }
        let mut rows: Vec<FormRow> = rows.into_iter().map(|(_, row)| row).collect();
        // what every row says is said once; for a single row that is all of it
        let shared: Vec<String> = rows.first().map_or(Vec::new(), |first| {
            first
                .limits
                .iter()
                .filter(|limit| rows.iter().all(|row| row.limits.contains(limit)))
                .cloned()
                .collect()
        });
        let mut shared = shared;
        for row in &mut rows {
            row.limits.retain(|limit| !shared.contains(limit));
        }
        // the words that a box may hold
        if let Some(planned) = mine.first()
            && let Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. } =
                self.session.question(planned, 0, 0).expects
        {
            let one = |way: &AnswerOption| format!("{}: {}", way.key, way.words);
            shared.push(ways.iter().map(one).collect::<Vec<_>>().join("; "));
        }
        let columns = columns.into_iter().map(|(column, ..)| column).collect();
        (FormTable { columns, rows }, shared)
    }
}

/// How the limits of a step stand in its boxes.
fn limits_of(step: &Step) -> FormLimits {
    match step.fills.map(|field| &field.row().form) {
        Some(OnForm::Boxes { limits, .. }) => *limits,
        Some(OnForm::Room { .. }) | None => FormLimits::Named,
    }
}
