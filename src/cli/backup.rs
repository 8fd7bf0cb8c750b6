//! The arguments of `backup` and `restore`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app::backup::{BackUp, back_up, restore as unpacked};
use clap::Args;
use std::path::PathBuf;

/// Write the whole book into one file, and read it back
#[derive(Args)]
pub(super) struct Backup {
    /// Where to write it, outside the book and best on another disk
    pub file: PathBuf,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Take a backup out into a new folder, or try whether all of it comes back
#[derive(Args)]
pub(super) struct Restore {
    /// The backup, or the PDF of a sheet that has its record in it
    pub file: PathBuf,
    /// The folder to make for the book; what is there already is left as it is
    #[arg(required_unless_present = "try_it", conflicts_with = "try_it")]
    pub folder: Option<PathBuf>,
    /// Only try: take it out among the temporary files, go through every build, print one sheet, and keep nothing
    #[arg(id = "try_it", long = "try")]
    pub try_it: bool,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Writes the whole book into one file.
pub(super) fn backup(asked: &Backup) -> Result<Exit, Failure> {
    let whole = back_up(&BackUp {
        file: asked.file.clone(),
        replace: asked.replace,
        book: asked.book.dir.clone(),
        json: asked.json,
    })?;
    Ok(if whole { Exit::Done } else { Exit::NotProven })
}

/// Takes a backup out.
pub(super) fn restore(asked: &Restore) -> Result<Exit, Failure> {
    let all_back = unpacked(&crate::app::backup::Restore {
        file: asked.file.clone(),
        folder: asked.folder.clone(),
        json: asked.json,
    })?;
    Ok(if all_back { Exit::Done } else { Exit::BadBook })
}
