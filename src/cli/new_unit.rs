//! The arguments of `new-unit`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Asking;
use crate::app;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct New {
    /// The file to write; by default the unit's id with .toml, in this folder. One that is there is never written over; -
    /// is the standard output, with --answers
    pub file: Option<PathBuf>,
    #[command(flatten)]
    pub asking: Asking,
}

/// Asks for what a unit's file needs, and writes it.
pub(super) fn new_unit(arguments: &New) -> Result<Exit, Failure> {
    let ended = app::new_unit(&app::New {
        file: arguments.file.clone(),
        asking: arguments.asking.for_job(),
    })?;
    Ok(ended.into())
}
