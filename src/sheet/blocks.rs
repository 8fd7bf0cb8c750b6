//! What a sheet is made of, before anything has a place.

use super::code::Symbol;
use crate::history::driven::{ComparedRun, FeltApart};
use crate::history::{PlatePicture, Trace};
use crate::quantity::{Torque, Units};
use crate::record::{Curve, Pack};
use crate::report::{Cell, Table};
use crate::tuning::Pictures;

/// A whole sheet.
pub(super) struct Document {
    /// The build's name.
    pub id: String,
    /// The title for the file and for the tops of the pages.
    pub title: String,
    /// What the sheet is called, such as `build sheet`.
    pub sheet: String,
    /// The unit's name.
    pub unit: String,
    /// The line below it: procedure and dates.
    pub under: String,
    /// The first groups of the digest.
    pub digest: String,
    /// Whether the build is finished.
    pub finished: bool,
    /// The small code, which stands on every page.
    pub code: Option<Symbol>,
    /// What is read in ten seconds, on top.
    pub glance: Option<Glance>,
    /// The sections in order.
    pub sections: Vec<Section>,
}

/// A box that is read in ten seconds.
pub(super) struct Glance {
    /// A label and a text each.
    pub cells: Vec<(String, String)>,
    /// What is open.
    pub open: String,
    /// A code beside them.
    pub code: Option<Symbol>,
}

/// A part of the sheet under a head.
pub(super) struct Section {
    pub head: String,
    pub blocks: Vec<Block>,
}

/// A thing in a section.
pub(super) enum Block {
    /// Labels and texts, two columns of them.
    Pairs(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A table whose second half stands beside its first where that saves height.
    Halves(Table),
    /// A paragraph.
    Text(Style, String),
    /// The packs in order.
    Packs(Vec<Pack>, Units),
    /// The lock curve.
    Curve(Box<Curve>, Units),
    /// Lock over throttle, and torque from wheel to wheel.
    Settling(Box<Pictures>, Units),
    /// Thickness, and breakaway or gap, over distance.
    Wear(Box<WearPictures>),
    /// Times over the order of the runs, and what was felt.
    Runs(Box<RunsPictures>),
    /// Breakaway readings over the window.
    Strip(Strip),
    /// A line for a signature.
    Sign(SignLine),
    /// Blocks with a code beside them.
    Beside(Symbol, Vec<Block>),
}

/// How a paragraph looks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// Plain.
    Plain,
    /// Smaller and grey: how to read what stands above.
    Small,
    /// An item of a list.
    Item,
    /// A caution, with a bar beside it.
    Caution,
    /// What must not be missed, in a frame.
    Framed,
    /// A digest.
    Digest,
}

/// The second half of a table beside its first, as a table of twice the columns.
pub(super) fn halved(table: &Table) -> Table {
    let (first, second) = table.rows.split_at(table.rows.len().div_ceil(2));
    let empty = vec![Cell::from(""); table.columns.len()];
    let row = |(n, left): (usize, &Vec<Cell>)| {
        let right = second.get(n).unwrap_or(&empty);
        left.iter().chain(right).cloned().collect()
    };
    Table {
        columns: table.columns.iter().chain(&table.columns).cloned().collect(),
        rows: first.iter().enumerate().map(row).collect(),
    }
}

/// Breakaway readings over their windows.
pub(super) struct Strip {
    pub units: Units,
    pub rows: Vec<StripRow>,
}

/// The readings of one round in one direction.
pub(super) struct StripRow {
    pub label: String,
    pub window: (Torque, Torque),
    /// First movement or not, and the torque.
    pub points: Vec<(bool, Torque)>,
}

/// A line to sign on.
pub(super) struct SignLine {
    pub role: String,
    pub name: String,
    pub at: String,
}

/// What is drawn of runs.
pub(super) struct RunsPictures {
    pub runs: Vec<ComparedRun>,
    pub felt: Vec<FeltApart>,
}

/// What is drawn of wear, side by side.
#[derive(Clone)]
pub(super) struct WearPictures {
    pub packs: Vec<PlatePicture>,
    pub traces: Vec<Trace>,
}
