//! Pieces of pages in the order in which they are laid, and the air between them.

use super::page::Item;

/// A piece of a page that is not broken. Its items are placed from its upper left corner.
#[derive(Clone)]
pub(super) struct Piece {
    /// Space above it, left out at the top of a page.
    pub before: f64,
    pub height: f64,
    pub items: Vec<Item>,
    /// Whether it stays on one page with the piece that follows.
    pub glue: bool,
    /// The head of its table, to be repeated above it where it begins a page.
    pub head: Option<usize>,
}

impl Piece {
    pub fn new(before: f64, height: f64, items: Vec<Item>) -> Piece {
        Piece {
            before,
            height,
            items,
            glue: false,
            head: None,
        }
    }

    pub fn glued(mut self) -> Piece {
        self.glue = true;
        self
    }

    pub fn under(mut self, head: usize) -> Piece {
        self.head = Some(head);
        self
    }

    pub fn whole(&self) -> f64 {
        self.before + self.height
    }
}

/// How much air there is, in millimetres.
#[derive(Clone, Copy)]
pub(super) struct Spacing {
    /// Above and below the text of a row.
    pub row: f64,
    /// Above the head of a section.
    pub section: f64,
    /// Height of the lock curve.
    pub curve: f64,
    /// Height of the pictures of a setting.
    pub settling: f64,
    /// Height of the pictures of wear.
    pub wear: f64,
    /// Size of type against the usual, in tables, pairs and paragraphs.
    type_scale: f64,
}

/// The smallest type of a sheet, in points.
const SMALLEST: f64 = 8.0;

impl Spacing {
    /// A size of type, made smaller where room is short, but never too small to be read.
    pub fn size(&self, usual: f64) -> f64 {
        (usual * self.type_scale).max(SMALLEST)
    }
}

pub(super) const ROOMY: Spacing = Spacing {
    row: 0.45,
    section: 3.8,
    curve: 34.0,
    settling: 86.0,
    wear: 52.0,
    type_scale: 1.0,
};
pub(super) const TIGHT: Spacing = Spacing {
    row: 0.14,
    section: 2.4,
    curve: 27.0,
    settling: 65.0,
    wear: 44.0,
    type_scale: 1.0,
};
pub(super) const TIGHTEST: Spacing = Spacing {
    type_scale: 0.92,
    curve: 21.0,
    settling: 60.0,
    wear: 40.0,
    ..TIGHT
};

pub(super) const DENSEST: Spacing = Spacing {
    type_scale: 0.88,
    row: 0.06,
    section: 1.8,
    curve: 20.0,
    settling: 56.0,
    wear: 38.0,
};

/// Pieces in order, for pages of a certain width.
pub(super) struct Flow {
    /// Width in millimetres.
    pub room: f64,
    /// Air.
    pub spacing: Spacing,
    pub sections: Vec<Vec<Piece>>,
    pub heads: Vec<Piece>,
}

impl Flow {
    pub fn new(room: f64, spacing: Spacing) -> Flow {
        Flow {
            room,
            spacing,
            sections: Vec::new(),
            heads: Vec::new(),
        }
    }

    /// Adds a piece to the section that is being built.
    pub fn push(&mut self, piece: Piece) {
        match self.sections.last_mut() {
            Some(section) => section.push(piece),
            None => self.sections.push(vec![piece]),
        }
    }

    /// Adds the head of a table and returns its number for [`Piece::under`].
    pub fn push_table_head(&mut self, head: Piece) -> usize {
        self.heads.push(head.clone());
        self.push(head);
        self.heads.len() - 1
    }

    /// Keeps the last piece on one page with the next.
    pub fn keep(&mut self) {
        if let Some(piece) = self.sections.last_mut().and_then(|section| section.last_mut()) {
            piece.glue = true;
        }
    }
}
