//! The form of a job, to be filled in by hand.

use super::arguments::Beside;
use super::as_left::{kept, last_left};
use super::clock::Clock;
use super::failure::Failure;
use super::font::{given_font, printed};
use super::load::{Sources, book_dir};
use super::output::{Over, lay_down, told};
use crate::book::Shelf;
use crate::procedure::form;
use crate::quantity::Units;
use crate::record::form::Form;
use crate::sheet::{Paper, form_pages, form_pdf};
use std::path::{Path, PathBuf};

/// The form of a job's sources.
pub(crate) fn form_of(sources: &Sources, units: Units) -> Result<Form, Failure> {
    let [unit, _, _, procedure] = sources.digests();
    Ok(form(sources.job()?, units, [&procedure, &unit]))
}

/// A form, as it is asked for.
pub(crate) struct Blank {
    /// The name of a stock procedure, or the path of a TOML file.
    pub procedure: String,
    /// The unit's TOML file.
    pub unit: String,
    /// Another drawer or other instruments than the unit file names.
    pub beside: Beside,
    /// The language of the stock procedure, where it is not English.
    pub language: Option<String>,
    /// The units of measure of the form.
    pub units: Units,
    /// The paper.
    pub paper: Paper,
    /// The font for what the built-in typeface lacks, by its path.
    pub font: Option<PathBuf>,
    /// Where to write it; by default UNIT-PROCEDURE.pdf in this folder.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over, whatever it is.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Prints a procedure as a form to fill in by hand.
pub(crate) fn blank(asked: &Blank) -> Result<(), Failure> {
    let font = given_font(asked.font.as_ref())?;
    let (procedure, unit) = (&asked.procedure, &asked.unit);
    let mut sources = Sources::gather(
        procedure,
        Path::new(unit),
        asked.beside.drawer.as_deref(),
        asked.beside.instruments.as_deref(),
        None,
        asked.language.as_deref(),
    )?;
    // it is typed in by a job that starts from what was left
    let job = sources.job()?;
    if !job.copies_paper() {
        let shelf = Shelf::look(&book_dir(asked.book.as_ref())?)?;
        sources.found = last_left(&shelf, &job.unit.id, &Clock::Now.time())?
            .as_ref()
            .map(kept);
    }
    let form = form_of(&sources, asked.units)?;
    let out = asked
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("{}-{}.pdf", form.unit_id, form.procedure.id)));
    let paper = asked.paper;
    let bytes = printed(font.as_ref(), || form_pdf(&form, paper))?;
    let laid = lay_down(&out, &bytes, Over::Own.or(asked.replace))?;
    let pages = form_pages(&form, paper).len();
    laid.say(&format!(
        "{}: {pages} pages, {} boxes\nTo type it in: shimwright work {procedure} {unit} --from-paper --at TIME\n",
        told(&out),
        form.count()
    ))?;
    Ok(())
}
