//! The arguments of `sign`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Signing};
use crate::app;
use crate::app::Clock;
use crate::app::output::write_out;
use clap::Args;
use std::path::PathBuf;

/// Sign a finished build with your key; another person's key countersigns it.
#[derive(Args)]
pub(super) struct Sign {
    /// The build's name in the book
    pub build: String,
    #[command(flatten)]
    pub signing: Signing,
    /// Who is who, instead of the file allowed_signers in the book
    #[arg(long, value_name = "FILE")]
    pub signers: Option<PathBuf>,
    #[command(flatten)]
    pub book: Book,
}

/// Signs a finished build.
pub(super) fn sign(arguments: &Sign) -> Result<Exit, Failure> {
    write_out(&text(arguments, &Clock::Now)?, false)?;
    Ok(Exit::Done)
}

/// Signs a finished build at a time, which is the clock's wherever a person signs, and gives what is said of it.
pub(super) fn text(arguments: &Sign, clock: &Clock) -> Result<String, Failure> {
    let asked = app::Sign {
        build: arguments.build.clone(),
        signing: arguments.signing.for_job(),
        signers: arguments.signers.clone(),
        book: arguments.book.dir.clone(),
    };
    Ok(app::sign(&asked, clock)?)
}
