//! What the items of a page belong to, for whoever has it read out: heads, paragraphs, tables by their cells, figures.

use std::sync::Arc;

/// What a part of a sheet is to a reader (ISO 32000-2, 14.8.4).
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Role {
    /// The name of the whole.
    Title,
    /// The head of a section.
    Head,
    /// A paragraph, or words that stand alone.
    Paragraph,
    /// A table of rows.
    Table,
    /// A row of a table.
    Row,
    /// The head of a column.
    ColumnHead,
    /// The head of a row: the label of what follows it.
    RowHead,
    /// A cell of a row.
    Cell,
    /// A drawing, with words that say what it shows.
    Figure(String),
}

/// A part of a sheet. Parts are told apart by being made apart: each has its place where the first item of it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tag(Arc<Part>);

#[derive(PartialEq, Eq, Debug)]
struct Part {
    role: Role,
    within: Option<Tag>,
}

impl Tag {
    /// A part that stands by itself.
    pub(super) fn of(role: Role) -> Tag {
        Tag(Arc::new(Part { role, within: None }))
    }

    /// A part of this one.
    pub(super) fn part(&self, role: Role) -> Tag {
        Tag(Arc::new(Part {
            role,
            within: Some(self.clone()),
        }))
    }

    /// What it is.
    pub fn role(&self) -> &Role {
        &self.0.role
    }

    /// What it is a part of.
    pub fn within(&self) -> Option<&Tag> {
        self.0.within.as_ref()
    }

    /// What tells it from every other while it lives.
    pub(super) fn key(&self) -> usize {
        Arc::as_ptr(&self.0) as usize
    }
}
