//! A form to fill in by hand, as plain data.

use super::build::Followed;
use super::slot::Slot;

/// A procedure as a form for one unit, to be filled in by hand and typed in later: plain data, nothing has a place yet.
#[derive(Clone, PartialEq, Debug)]
pub struct Form {
    /// The procedure.
    pub procedure: Followed,
    /// The unit's id.
    pub unit_id: String,
    /// The unit's name.
    pub unit_name: String,
    /// The digest of the unit's file, as hex.
    pub unit_digest: String,
    /// The stages that have something to ask of this unit.
    pub stages: Vec<FormStage>,
}

/// A stage of a form.
#[derive(Clone, PartialEq, Debug)]
pub struct FormStage {
    /// Its title.
    pub title: String,
    /// Its parts in the order in which they are filled in.
    pub parts: Vec<FormPart>,
}

/// A step of the procedure, or several that share a table.
#[derive(Clone, PartialEq, Debug)]
pub struct FormPart {
    /// A short name, such as `plate thickness`.
    pub name: String,
    /// What to do, one paragraph an element.
    pub words: Vec<String>,
    /// With what.
    pub tools: Vec<String>,
    /// The limits that all its boxes share, one a line.
    pub limits: Vec<String>,
    /// Whether it may be left empty, for a reason.
    pub may_skip: bool,
    /// What there is to fill in.
    pub fill: Fill,
}

/// What there is to fill in.
#[derive(Clone, PartialEq, Debug)]
pub enum Fill {
    /// Initials under a caution.
    Caution(FormBox),
    /// A tick when it is done.
    Tick(FormBox),
    /// Yes or no.
    YesNo(FormBox),
    /// A line of words.
    Words(FormBox),
    /// A value.
    Value(FormBox),
    /// One of some words, each with what it means, and whether one of them wants a reason.
    OneOf(FormBox, Vec<(String, String)>, bool),
    /// A box in each column of each row.
    Table(FormTable),
    /// Rows whose items are only known at the bench; all of one step bear its number.
    Open(FormBox, OpenRows),
    /// A name, a signature and a date.
    Sign(FormBox),
}

/// One box of a form.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FormBox {
    /// The number that is printed in it and asked for when the form is typed in; from 1, in the order of asking.
    pub number: u32,
    /// The question that it answers.
    pub slot: Slot,
    /// The unit of measure of what is written into it; empty where it is no measure.
    pub unit: String,
    /// What is printed in it beside its number, such as the torque of a stage.
    pub caption: String,
}

/// A table of boxes.
#[derive(Clone, PartialEq, Debug)]
pub struct FormTable {
    /// The columns.
    pub columns: Vec<FormColumn>,
    /// The rows.
    pub rows: Vec<FormRow>,
}

/// A column of a table of boxes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FormColumn {
    /// The step that it belongs to, by its short name; neighbours of one step stand under one head.
    pub step: String,
    /// The unit of measure; empty where what is written is no measure.
    pub unit: String,
    /// Which reading of several; 0 where there is one.
    pub point: u32,
}

/// A row of a table of boxes.
#[derive(Clone, PartialEq, Debug)]
pub struct FormRow {
    /// The plate, side, spring or bolt group.
    pub label: String,
    /// Limits that not all rows share.
    pub limits: Vec<String>,
    /// A box for each column.
    pub boxes: Vec<FormBox>,
}

/// Rows that are named at the bench.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OpenRows {
    /// The heads of the columns.
    pub heads: Vec<String>,
    /// The labels of the rows, often empty; none where the rows stand in another part.
    pub labels: Vec<String>,
}

impl Fill {
    /// Every box, in the order in which a row is read.
    pub fn boxes(&self) -> Vec<&FormBox> {
        match self {
            Fill::Caution(one)
            | Fill::Tick(one)
            | Fill::YesNo(one)
            | Fill::Words(one)
            | Fill::Value(one)
            | Fill::OneOf(one, ..)
            | Fill::Open(one, _)
            | Fill::Sign(one) => vec![one],
            Fill::Table(table) => table.rows.iter().flat_map(|row| &row.boxes).collect(),
        }
    }

    /// As [`Fill::boxes`], to number them.
    pub fn boxes_mut(&mut self) -> Vec<&mut FormBox> {
        match self {
            Fill::Caution(one)
            | Fill::Tick(one)
            | Fill::YesNo(one)
            | Fill::Words(one)
            | Fill::Value(one)
            | Fill::OneOf(one, ..)
            | Fill::Open(one, _)
            | Fill::Sign(one) => vec![one],
            Fill::Table(table) => table.rows.iter_mut().flat_map(|row| &mut row.boxes).collect(),
        }
    }
}

impl Form {
    /// Every part, in order.
    pub fn parts(&self) -> impl Iterator<Item = &FormPart> {
        self.stages.iter().flat_map(|stage| &stage.parts)
    }

    /// How many boxes have a number.
    pub fn count(&self) -> usize {
        self.parts().map(|part| part.fill.boxes().len()).sum()
    }

    /// The number of the box that a question's answer stands in. A question that only came up at the bench, such as a
    /// plate that was measured again, has the number of its step; so has one of a further round, whose boxes are those
    /// of the first round on another copy of the form. `None` for a step that is not on the form.
    pub fn number(&self, slot: &Slot) -> Option<u32> {
        let boxes = || self.parts().flat_map(|part| part.fill.boxes());
        let same = |one: &&FormBox| {
            one.slot.step == slot.step && one.slot.item == slot.item && one.slot.point == slot.point
        };
        boxes()
            .find(same)
            .or_else(|| boxes().find(|one| one.slot.step == slot.step))
            .map(|one| one.number)
    }
}
