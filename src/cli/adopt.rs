//! The arguments of `adopt`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use clap::Args;

/// Take into the book what came into it past this program: copied builds, changed line ends, a log that stopped
#[derive(Args)]
pub(super) struct Adopt {
    /// Instead: say in the log that this build, or the statement rotation-….txt of a key, was taken away on purpose
    #[arg(long, value_name = "BUILD", requires = "by", requires = "reason")]
    pub removed: Option<String>,
    /// Who says so
    #[arg(long, value_name = "NAME", requires = "removed")]
    pub by: Option<String>,
    /// Why it was taken away
    #[arg(long, value_name = "WORDS", requires = "removed")]
    pub reason: Option<String>,
    #[command(flatten)]
    pub book: Book,
}

/// Takes into the book what came into it past this program.
pub(super) fn adopt(arguments: &Adopt) -> Result<Exit, Failure> {
    if let (Some(build), Some(by), Some(reason)) = (&arguments.removed, &arguments.by, &arguments.reason) {
        app::adopt::removed(arguments.book.dir.as_ref(), build, by, reason)?;
        return Ok(Exit::Done);
    }
    Ok(match app::adopt(arguments.book.dir.as_ref())? {
        true => Exit::Done,
        false => Exit::NotProven,
    })
}
