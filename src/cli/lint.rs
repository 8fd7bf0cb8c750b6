//! `lint`: the faults of files, for a person and for machines.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::linted;
use crate::app::output::write_out;
use crate::report::to_json;
use crate::workshop::{FileKind, lint_summary};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Lint {
    /// TOML files: procedures, units, drawers, instruments, cars, uses, readings, settings, words
    #[arg(required = true)]
    pub files: Vec<PathBuf>,
    /// Hold files of readings to this unit and its drawer: layout, springs, the plates' names
    #[arg(long, value_name = "FILE")]
    pub unit: Option<PathBuf>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// The most faults that are shown of one file.
const MOST_SHOWN: usize = 1_000;

/// Finds every fault of some files, and begins nothing.
pub(super) fn lint(asked: &Lint) -> Result<Exit, Failure> {
    let linted = linted(&asked.files, asked.unit.as_deref())?;
    let faults = linted.iter().filter_map(|one| one.faults.as_ref());
    let count: usize = faults.clone().map(|faults| faults.faults.len()).sum();
    if asked.json {
        let text = to_json(&lint_summary(&linted))?;
        write_out(&text, false)?;
    } else {
        for faults in faults {
            write_out(&format!("{}\n\n", faults.shown(MOST_SHOWN)), false)?;
        }
        let bad = linted.iter().filter(|one| one.faults.is_some()).count();
        let of = match linted.len() {
            1 => "1 file".to_string(),
            n => format!("{n} files"),
        };
        let words = match (count, bad) {
            (0, _) => format!("{of}, no fault\n"),
            (1, _) => format!("{of}, 1 fault\n"),
            (_, 1) => format!("{of}, {count} faults, all in one\n"),
            _ => format!("{of}, {count} faults in {bad} of them\n"),
        };
        write_out(&words, false)?;
        let readings = linted.iter().any(|one| one.kind == Some(FileKind::Readings));
        if readings && asked.unit.is_none() {
            let words =
                "readings were looked at without their unit: no plate was looked up; --unit FILE does that\n";
            write_out(words, false)?;
        }
    }
    Ok(if count == 0 { Exit::Done } else { Exit::BadFile })
}
