//! `between`: two builds side by side, in words.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, UnitsWord};
use crate::app::output::{text_of, write_out};
use crate::app::{compared, look};
use clap::Args;

#[derive(Args)]
pub(super) struct BetweenArguments {
    /// The earlier build's name in the book
    pub before: String,
    /// The later build's name
    pub after: String,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Sets two builds side by side.
pub(super) fn between(asked: &BetweenArguments) -> Result<Exit, Failure> {
    let shelf = look(asked.book.dir.as_ref())?;
    let units = asked.units.of_words(asked.json);
    let between = compared(&shelf, &asked.before, &asked.after, units)?;
    let report = between.report(asked.units.into());
    write_out(&text_of(&report, asked.json)?, false)?;
    Ok(Exit::Done)
}
