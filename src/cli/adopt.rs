//! The arguments of `adopt`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use clap::Args;

/// Take into the book what came into it past this program: copied builds, changed line ends, a log that stopped
#[derive(Args)]
pub(super) struct Adopt {
    #[command(flatten)]
    pub book: Book,
}

/// Takes into the book what came into it past this program.
pub(super) fn adopt(arguments: &Adopt) -> Result<Exit, Failure> {
    Ok(match app::adopt(arguments.book.dir.as_ref())? {
        true => Exit::Done,
        false => Exit::NotProven,
    })
}
