use super::exit::Exit;
use super::failure::Failure;
use super::histories::each_shelved;
use super::load::{known_build, left_alone, look, open_build, there};
use super::options::{Book, PaperWord, UnitsWord};
use super::output::{Over, lay_down, told, write_out};
use super::seals::summed_up;
use crate::book::Shelf;
use crate::history::shelf_summary;
use crate::quantity::visible;
use crate::record::Build;
use crate::report::to_json;
use crate::sheet::{pdf, table};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Sheet {
    /// The build's name in the book
    #[arg(required_unless_present = "blank")]
    pub build: Option<String>,
    /// Instead of a build: the procedure as a form for this unit, to fill in by hand
    #[arg(long, num_args = 2, value_names = ["PROCEDURE", "UNIT"], conflicts_with_all = ["build", "json"])]
    pub blank: Option<Vec<String>>,
    /// The units of measure of a form
    #[arg(long, value_enum, default_value = "metric", conflicts_with = "build")]
    pub units: UnitsWord,
    /// The drawer of a form, instead of the one that the unit file names
    #[arg(long, value_name = "FILE", conflicts_with = "build")]
    pub drawer: Option<PathBuf>,
    /// The instruments of a form, instead of those that the unit file names
    #[arg(long, value_name = "FILE", conflicts_with = "build")]
    pub instruments: Option<PathBuf>,
    /// Paper size
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// Where to write it, - for the standard output; by default BUILD.pdf, or UNIT-PROCEDURE.pdf for a form, in this folder
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there; an older sheet of the same build, or form, is written over without it
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(super) struct Builds {
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// A build as one JSON object.
pub(super) fn build_json(build: &Build) -> Result<String, Failure> {
    to_json(&build.summary()).map_err(|error| Failure::Json(error.to_string()))
}

/// Prints the sheet of a build.
pub(super) fn sheet(arguments: &Sheet) -> Result<Exit, Failure> {
    let shelf = look(&arguments.book)?;
    let named = arguments.build.as_deref().unwrap_or_default();
    let id = known_build(&shelf, named)?;
    let opened = open_build(&shelf, &id)?;
    let mut build = summed_up(&shelf, &id, &opened.session)?;
    let newer = opened
        .newer
        .iter()
        .map(|words| format!("a newer program made it: {words}"));
    let not_whole: Vec<String> = opened.problems.iter().cloned().chain(newer).collect();
    if !not_whole.is_empty() {
        // what can not be trusted to the end is not printed as finished
        build.finished = None;
        build.open.splice(
            0..0,
            not_whole.iter().map(|problem| format!("JOURNAL: {problem}")),
        );
    }
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("{id}.pdf")));
    let bytes = pdf(&build, arguments.paper.into())?;
    let laid = lay_down(&out, &bytes, Over::Own.or(arguments.replace))?;
    if arguments.json {
        laid.say(&build_json(&build)?)?;
    } else {
        let state = if build.finished.is_some() {
            "finished"
        } else {
            "UNFINISHED"
        };
        laid.say(&format!("{}: {} bytes, {state}\n", told(&out), bytes.len()))?;
        if let Some(otherwise) = opened.session.reckoned_otherwise() {
            laid.say(&format!("Reckoned {otherwise}.\n"))?;
        }
        for problem in &not_whole {
            write_out(&format!("warning: {}\n", visible(problem)), true)?;
        }
    }
    Ok(Exit::Done)
}

/// Lists what is in the book.
pub(super) fn builds(arguments: &Builds) -> Result<Exit, Failure> {
    let dir = there(&arguments.book)?;
    let shelf = Shelf::look(&dir)?;
    let contents = shelf.contents()?;
    let listed = each_shelved(&shelf, &contents.named())?;
    if arguments.json {
        let text = to_json(&shelf_summary(&listed)).map_err(|error| Failure::Json(error.to_string()))?;
        write_out(&text, false)?;
        return Ok(Exit::Done);
    }
    let rows: Vec<Vec<String>> = listed
        .into_iter()
        .map(|one| {
            let day = one.begun.chars().take(10).collect();
            vec![one.build, one.unit_name, one.procedure_title, day, one.state]
        })
        .collect();
    if rows.is_empty() {
        write_out(
            &format!("No builds yet in {}.\n", visible(&dir.display().to_string())),
            false,
        )?;
    } else {
        let head = ["build", "unit", "procedure", "begun", "state"];
        write_out(&format!("{}\n", table(&head, &rows, 80)), false)?;
    }
    for foreign in contents.nameless() {
        write_out(&left_alone(foreign), true)?;
    }
    Ok(Exit::Done)
}
