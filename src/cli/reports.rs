//! `sheet` and `builds`: a build on paper, and the list of the book.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering, PaperWord, Speaking, UnitsWord};
use crate::app::output::{text_of, write_out};
use crate::app::{Beside, Blank, Print, blank, each_shelved, left_alone, print, there};
use crate::book::Shelf;
use crate::history::Shelved;
use crate::quantity::visible;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(crate) struct Sheet {
    /// The build's name in the book
    #[arg(required_unless_present = "blank")]
    pub build: Option<String>,
    /// Instead of a build: the procedure as a form for this unit, to fill in by hand
    #[arg(long, num_args = 2, value_names = ["PROCEDURE", "UNIT"], conflicts_with_all = ["build", "json"])]
    pub blank: Option<Vec<String>>,
    #[command(flatten)]
    pub speaking: Speaking,
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
    #[command(flatten)]
    pub lettering: Lettering,
    /// Where to write it, - for the standard output; by default BUILD.pdf, or UNIT-PROCEDURE.pdf for a form, in this folder;
    /// FILE.svg is a picture of the first page of a build's sheet
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Put the record into the PDF: journal, files and seals, for `check FILE.pdf` and `restore FILE.pdf`. Whoever gets the file
    /// gets every reading, name and remark
    #[arg(long, conflicts_with_all = ["html", "blank"])]
    pub with_record: bool,
    /// Instead: write a build's sheet as a page of HTML, for a phone; - for the standard output
    #[arg(long, value_name = "FILE", conflicts_with_all = ["out", "blank"])]
    pub html: Option<PathBuf>,
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

/// Prints the sheet of a build, or a procedure as a form.
pub(super) fn sheet(arguments: &Sheet) -> Result<Exit, Failure> {
    let (out, book) = (arguments.out.clone(), arguments.book.dir.clone());
    let (paper, replace) = (arguments.paper.into(), arguments.replace);
    match arguments.blank.as_deref() {
        Some([procedure, unit]) => blank(&Blank {
            procedure: procedure.clone(),
            unit: unit.clone(),
            beside: Beside {
                drawer: arguments.drawer.clone(),
                instruments: arguments.instruments.clone(),
            },
            language: arguments.speaking.code(),
            units: arguments.units.into(),
            paper,
            font: arguments.lettering.font.clone(),
            out,
            replace,
            book,
        })?,
        _ => print(&Print {
            build: arguments.build.clone().unwrap_or_default(),
            paper,
            font: arguments.lettering.font.clone(),
            out,
            html: arguments.html.clone(),
            with_record: arguments.with_record,
            replace,
            book,
            json: arguments.json,
        })?,
    }
    Ok(Exit::Done)
}

/// Lists what is in the book.
pub(super) fn builds(arguments: &Builds) -> Result<Exit, Failure> {
    let dir = there(arguments.book.dir.as_ref())?;
    let shelf = Shelf::look(&dir)?;
    let contents = shelf.contents()?;
    let listed = each_shelved(&shelf, &contents.named())?;
    let text = match listed.is_empty() && !arguments.json {
        true if !dir.is_dir() => format!(
            "No builds yet in {}: it is not there, and the first build begins it. Another book is named with --book.\n",
            visible(&dir.display().to_string())
        ),
        true => format!("No builds yet in {}.\n", visible(&dir.display().to_string())),
        false => text_of(&Shelved::report(&listed), arguments.json)?,
    };
    write_out(&text, false)?;
    if arguments.json {
        return Ok(Exit::Done);
    }
    for foreign in contents.nameless() {
        write_out(&left_alone(foreign), true)?;
    }
    Ok(Exit::Done)
}
