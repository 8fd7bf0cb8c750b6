//! The arguments of `new-unit` and `new-car`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Asking;
use crate::app;
use crate::procedure::Described;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct NewUnit {
    /// The file to write; by default the unit's id with .toml, in this folder. One that is there is never written over; -
    /// is the standard output, with --answers
    pub file: Option<PathBuf>,
    /// Describe a unit that nobody has opened, by a dozen figures, for settle
    #[arg(long)]
    pub closed: bool,
    #[command(flatten)]
    pub asking: Asking,
}

/// Asks for what a unit's file needs, and writes it.
pub(super) fn new_unit(arguments: &NewUnit) -> Result<Exit, Failure> {
    let ended = app::new_file(&app::New {
        described: match arguments.closed {
            true => Described::ClosedUnit,
            false => Described::Unit,
        },
        file: arguments.file.clone(),
        asking: arguments.asking.for_job(),
    })?;
    Ok(ended.into())
}

#[derive(Args)]
pub(super) struct NewCar {
    /// The file to write; by default the car's name with .toml, in this folder. One that is there is never written over; -
    /// is the standard output, with --answers
    pub file: Option<PathBuf>,
    #[command(flatten)]
    pub asking: Asking,
}

/// Asks for what a car's file needs, and writes it.
pub(super) fn new_car(arguments: &NewCar) -> Result<Exit, Failure> {
    let ended = app::new_file(&app::New {
        described: Described::Car,
        file: arguments.file.clone(),
        asking: arguments.asking.for_job(),
    })?;
    Ok(ended.into())
}
