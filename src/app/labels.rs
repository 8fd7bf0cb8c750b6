//! Labels of a build that lies in the book.

use super::failure::Failure;
use super::font::{given_font, printed};
use super::load::{known_build, look, open_build};
use super::output::{Over, lay_down, told};
use super::seals::summed_up;
use crate::sheet::{LabelStock, labels_pdf};
use std::path::PathBuf;

/// Labels, as they are asked for.
pub(crate) struct Labels {
    /// The build's name in the book.
    pub build: String,
    /// What they are printed on.
    pub stock: LabelStock,
    /// The font for what the built-in typeface lacks, by its path.
    pub font: Option<PathBuf>,
    /// Where to write them; by default BUILD-labels.pdf in this folder.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over, whatever it is.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Prints the labels of a build: of its unit, and of the bags with the plates that are not in it.
pub(crate) fn labels(asked: &Labels) -> Result<(), Failure> {
    let font = given_font(asked.font.as_ref())?;
    let shelf = look(asked.book.as_ref())?;
    let id = known_build(&shelf, &asked.build)?;
    let opened = open_build(&shelf, &id)?;
    let mut build = summed_up(&shelf, &id, &opened.session)?;
    if !opened.problems.is_empty() || !opened.newer.is_empty() {
        // what can not be trusted to the end is not labelled as finished
        build.finished = None;
    }
    let out = asked
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("{id}-labels.pdf")));
    let bytes = printed(font.as_ref(), || labels_pdf(&build, asked.stock))?;
    let laid = lay_down(&out, &bytes, Over::Own.or(asked.replace))?;
    laid.say(&format!("{}: {} bytes\n", told(&out), bytes.len()))
}
