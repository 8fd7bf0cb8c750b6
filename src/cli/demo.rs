//! The arguments of `demo`.

use super::exit::Exit;
use super::failure::Failure;
use crate::app;
use crate::app::output::Over;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Demo {
    /// Play four builds of the unit, years apart, into a book under output, for wear and between to look at
    #[arg(long, conflicts_with_all = ["replace", "files"])]
    pub history: bool,
    /// Write the invented files of the demonstration into this folder, for commands to be tried on: unit, drawer,
    /// instruments, car, readings, answers
    #[arg(long, value_name = "DIR")]
    pub files: Option<PathBuf>,
    /// Write over a file that is there; the demonstration's own sheet is written over without it
    #[arg(long)]
    pub replace: bool,
}

/// Does a whole rebuild of an invented unit with scripted answers, or some invented years of it.
pub(super) fn demo(arguments: &Demo) -> Result<Exit, Failure> {
    match &arguments.files {
        _ if arguments.history => app::history()?,
        Some(folder) => app::files(folder, Over::Nothing.or(arguments.replace))?,
        None => app::demo(arguments.replace)?,
    }
    Ok(Exit::Done)
}
