//! `show`: a build on the screen.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use clap::Args;

/// Show a build on the screen as its sheet has it; nothing is written
#[derive(Args)]
pub(super) struct Show {
    /// The build's name in the book
    pub build: String,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Shows a build on the screen.
pub(super) fn show(asked: &Show) -> Result<Exit, Failure> {
    app::show(&asked.build, asked.book.dir.as_ref(), asked.json)?;
    Ok(Exit::Done)
}
