//! The arguments of `adopt`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use clap::{ArgGroup, Args};

/// Take into the book what came into it past this program: copied builds, changed line ends, a log that stopped
#[derive(Args)]
#[command(group = ArgGroup::new("said").args(["removed", "settled"]))]
pub(super) struct Adopt {
    /// Instead: say in the log that this build, or the statement rotation-….txt of a key, was taken away on purpose
    #[arg(long, value_name = "BUILD", requires = "by", requires = "reason")]
    pub removed: Option<String>,
    /// Instead: say in the log that of what two machines wrote to this build that which is here counts, or of a log-….jsonl that it
    /// was gone on with in two places
    #[arg(
        long,
        value_name = "BUILD",
        requires = "by",
        requires = "reason",
        conflicts_with = "removed"
    )]
    pub settled: Option<String>,
    /// Who says so
    #[arg(long, value_name = "NAME", requires = "said")]
    pub by: Option<String>,
    /// Why
    #[arg(long, value_name = "WORDS", requires = "said")]
    pub reason: Option<String>,
    #[command(flatten)]
    pub book: Book,
}

/// Takes into the book what came into it past this program.
pub(super) fn adopt(arguments: &Adopt) -> Result<Exit, Failure> {
    let book = arguments.book.dir.as_ref();
    if let (Some(by), Some(reason)) = (&arguments.by, &arguments.reason) {
        if let Some(build) = &arguments.removed {
            app::adopt::removed(book, build, by, reason)?;
        }
        if let Some(of) = &arguments.settled {
            app::adopt::settled(book, of, by, reason)?;
        }
        return Ok(Exit::Done);
    }
    Ok(match app::adopt(book)? {
        true => Exit::Done,
        false => Exit::NotProven,
    })
}
