//! Arguments of `labels`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering, PaperWord};
use crate::app;
use crate::sheet::LabelStock;
use clap::Args;
use std::path::PathBuf;

/// Print labels of a build: for the unit, and for the bags of plates that are not in it
#[derive(Args)]
pub(super) struct Labels {
    /// The build's name in the book
    pub build: String,
    /// For a roll that is 62 mm wide, a page a label, instead of a sheet to be cut
    #[arg(long, conflicts_with = "paper")]
    pub roll: bool,
    /// Paper size of the sheet
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    /// Where to write them, - for the standard output; by default BUILD-labels.pdf in this folder
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there; older labels of the same build are written over without it
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
}

/// Prints the labels.
pub(super) fn labels(arguments: &Labels) -> Result<Exit, Failure> {
    app::labels(&app::Labels {
        build: arguments.build.clone(),
        stock: match arguments.roll {
            true => LabelStock::Roll,
            false => LabelStock::Sheet(arguments.paper.into()),
        },
        font: arguments.lettering.font.clone(),
        out: arguments.out.clone(),
        replace: arguments.replace,
        book: arguments.book.dir.clone(),
    })?;
    Ok(Exit::Done)
}
