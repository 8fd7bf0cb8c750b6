//! The arguments of `as-left`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use clap::Args;
use std::path::PathBuf;

/// Say in what a unit's file differs from what the last build left, and write it anew.
#[derive(Args)]
pub(super) struct AsLeft {
    /// The unit's TOML file; it is never written over but by --out and --replace
    pub unit: PathBuf,
    /// Write the file as it would be, with its comments, to this one
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
}

/// Says in what a unit's file differs from what was left, and writes it anew where that was asked for.
pub(super) fn as_left(arguments: &AsLeft) -> Result<Exit, Failure> {
    app::as_left(&app::AsLeft {
        unit: arguments.unit.clone(),
        out: arguments.out.clone(),
        replace: arguments.replace,
        book: arguments.book.dir.clone(),
    })?;
    Ok(Exit::Done)
}
