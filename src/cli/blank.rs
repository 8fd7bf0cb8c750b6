use super::as_left::{kept, last_left};
use super::clock::Clock;
use super::exit::Exit;
use super::failure::Failure;
use super::load::{Sources, book_dir};
use super::output::{Over, lay_down, told};
use super::reports::Sheet;
use crate::book::Shelf;
use crate::procedure::form;
use crate::quantity::Units;
use crate::record::Form;
use crate::sheet::{form_pages, form_pdf};
use std::path::{Path, PathBuf};

/// The form of a job's sources.
pub(super) fn form_of(sources: &Sources, units: Units) -> Result<Form, Failure> {
    let [unit, _, _, procedure] = sources.digests();
    Ok(form(sources.job()?, units, [&procedure, &unit]))
}

/// Prints a procedure as a form to fill in by hand.
pub(super) fn blank(arguments: &Sheet) -> Result<Exit, Failure> {
    let [procedure, unit] = arguments.blank.as_deref().unwrap_or_default() else {
        return Err(Failure::Unit(
            "a form wants a procedure and a unit file".to_string(),
        ));
    };
    let mut sources = Sources::gather(
        procedure,
        Path::new(unit),
        arguments.drawer.as_deref(),
        arguments.instruments.as_deref(),
        None,
    )?;
    // it is typed in by a job that starts from what was left
    let job = sources.job()?;
    if !job.copies_paper() {
        let shelf = Shelf::look(&book_dir(arguments.book.dir.as_ref())?)?;
        sources.found = last_left(&shelf, &job.unit.id, &Clock::Now.time())?
            .as_ref()
            .map(kept);
    }
    let form = form_of(&sources, arguments.units.into())?;
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("{}-{}.pdf", form.unit_id, form.procedure.id)));
    let paper = arguments.paper.into();
    let laid = lay_down(&out, &form_pdf(&form, paper)?, Over::Own.or(arguments.replace))?;
    let pages = form_pages(&form, paper).len();
    laid.say(&format!(
        "{}: {pages} pages, {} boxes\nTo type it in: shimwright work {procedure} {unit} --from-paper --at TIME\n",
        told(&out),
        form.count()
    ))?;
    Ok(Exit::Done)
}
