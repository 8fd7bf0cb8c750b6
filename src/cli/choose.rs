//! `choose`: plates and shims from readings in a file.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Beside, UnitsWord};
use crate::app::output::{text_of, write_out};
use crate::app::{Sources, read_text};
use crate::mechanics::Side;
use crate::procedure::{Preferences, Session, first_named};
use crate::quantity::{Length, Units, parse};
use crate::workshop::Readings;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Choose {
    /// The unit's TOML file
    pub unit: PathBuf,
    /// The readings of plates, rings, depth and springs, as a TOML file
    #[arg(long, value_name = "FILE")]
    pub readings: PathBuf,
    #[command(flatten)]
    pub beside: Beside,
    /// What comes first
    #[arg(long, value_parser = ["fewest", "closest", "surest", "reuse", "least-change"], default_value = "least-change")]
    pub first: String,
    /// A plate that must go in on a side, as G1=left; may be given several times
    #[arg(long, value_name = "PLATE=SIDE")]
    pub keep: Vec<String>,
    /// No plate may change the side that it ran on
    #[arg(long)]
    pub keep_in_place: bool,
    /// A shim thickness or a plate that is not to be used; may be given several times
    #[arg(long, value_name = "SHIM OR PLATE")]
    pub without: Vec<String>,
    /// Draw the windows in by the guard band of the unit's confidence
    #[arg(long)]
    pub guard: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Chooses plates and shims from readings in a file.
pub(super) fn choose(arguments: &Choose) -> Result<Exit, Failure> {
    let sources = Sources::gather(
        "full-rebuild",
        &arguments.unit,
        arguments.beside.drawer.as_deref(),
        arguments.beside.instruments.as_deref(),
        None,
        None,
    )?;
    let job = sources.job()?;
    let text = read_text(&arguments.readings)?;
    let readings = Readings::read(&text.name, &text.text, &job.unit, |name| {
        job.drawer.spares.iter().any(|spare| spare.name == name)
    })?;
    let wish = wish(arguments)?;
    let units: Units = arguments.units.into();
    let mut session = Session::of_readings(job, &readings, units.into()).map_err(Failure::Choice)?;
    if let Some(fault) = session.wish_fault(&wish) {
        return Err(Failure::Choice(fault));
    }
    session.wish_for(wish);
    let selection = session.selection().map_err(Failure::Choice)?;
    write_out(&text_of(&selection.report(units), arguments.json)?, false)?;
    Ok(if selection.choices.is_empty() {
        Exit::NothingFits
    } else {
        Exit::Done
    })
}

fn wish(arguments: &Choose) -> Result<Preferences, Failure> {
    let first = first_named(&arguments.first).ok_or_else(|| Failure::Choice(arguments.first.clone()))?;
    let mut wish = Preferences {
        guarded: arguments.guard,
        keep_in_place: arguments.keep_in_place,
        ..Preferences::putting_first(first)
    };
    for keep in &arguments.keep {
        let side = keep.split_once('=').and_then(|(plate, side)| {
            let side = Side::BOTH
                .into_iter()
                .find(|one| !side.is_empty() && one.word().starts_with(&side.to_lowercase()))?;
            Some((plate.to_string(), side))
        });
        match side {
            Some(kept) => wish.keep.push(kept),
            None => {
                return Err(Failure::Keep(keep.clone()));
            }
        }
    }
    for without in &arguments.without {
        match parse::<Length>(without) {
            Ok(shim) => wish.without_shims.push(shim),
            Err(_) => wish.without_plates.push(without.clone()),
        }
    }
    Ok(wish)
}
