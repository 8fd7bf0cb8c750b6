//! The arguments of `import`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Beside, Book, UnitsWord};
use crate::app;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Import {
    /// The table of old records, a CSV file with a head
    #[arg(required_unless_present = "columns", requires = "unit")]
    pub file: Option<PathBuf>,
    /// The unit's TOML file
    #[arg(long, value_name = "FILE")]
    pub unit: Option<PathBuf>,
    /// Say which columns there are, and nothing else
    #[arg(long)]
    pub columns: bool,
    /// Only say what would be taken and what not
    #[arg(long)]
    pub check: bool,
    /// Take the days that are without fault, though others are not
    #[arg(long)]
    pub partly: bool,
    /// How bare numbers are read
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub beside: Beside,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object: days with their builds, faults with line and column
    #[arg(long, conflicts_with = "columns")]
    pub json: bool,
}

/// Takes old paper records of a unit into the book.
pub(super) fn import(asked: &Import) -> Result<Exit, Failure> {
    let (Some(file), Some(unit), false) = (&asked.file, &asked.unit, asked.columns) else {
        app::columns()?;
        return Ok(Exit::Done);
    };
    let without_fault = app::import(&app::Import {
        file: file.clone(),
        unit: unit.clone(),
        check: asked.check,
        partly: asked.partly,
        units: asked.units.into(),
        beside: asked.beside.for_job(),
        book: asked.book.dir.clone(),
        json: asked.json,
    })?;
    Ok(if without_fault { Exit::Done } else { Exit::BadFile })
}
