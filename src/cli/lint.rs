//! `lint`: the faults of files, for a person and for machines.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::write_out;
use crate::app::{name_of, read_text};
use crate::document::{Fault, Faults};
use crate::procedure::Procedure;
use crate::quantity::visible;
use crate::report::to_json;
use crate::workshop::{Drawer, FileKind, Linted, Readings, Unit, lint_summary};
use clap::Args;
use std::path::{Path, PathBuf};

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
    let measured = asked.unit.as_deref().map(Measured::read).transpose()?;
    let linted: Vec<Linted> = asked
        .files
        .iter()
        .map(|path| linted(path, measured.as_ref()))
        .collect();
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
        if readings && measured.is_none() {
            let words =
                "readings were looked at without their unit: no plate was looked up; --unit FILE does that\n";
            write_out(words, false)?;
        }
    }
    Ok(if count == 0 { Exit::Done } else { Exit::BadFile })
}

/// What readings are held to: a unit, and the spare plates of its drawer.
struct Measured {
    unit: Unit,
    drawer: Drawer,
}

impl Measured {
    fn read(path: &Path) -> Result<Measured, Failure> {
        let text = read_text(path)?;
        let unit = Unit::read(&text.name, &text.text)?;
        let drawer = match &unit.drawer {
            None => Drawer::default(),
            Some(name) => {
                let text = read_text(&path.parent().unwrap_or(Path::new("")).join(name))?;
                Drawer::read(&text.name, &text.text)?
            }
        };
        Ok(Measured { unit, drawer })
    }

    fn faults(&self, file: &str, source: &str) -> Vec<Fault> {
        let is_spare = |name: &str| self.drawer.spares.iter().any(|spare| spare.name == name);
        Readings::read(file, source, &self.unit, is_spare).map_or_else(|faults| faults.faults, |_| Vec::new())
    }
}

fn linted(path: &Path, measured: Option<&Measured>) -> Linted {
    let file = name_of(path);
    let one = |rule, message: String, source: String| Faults {
        file: file.clone(),
        source,
        faults: vec![Fault {
            rule,
            span: 0..0,
            message,
        }],
    };
    let text = match read_text(path) {
        Ok(text) => text.text,
        Err(failure) => {
            return Linted {
                kind: None,
                faults: Some(one(
                    "unreadable",
                    visible(&failure.to_string()).into_owned(),
                    String::new(),
                )),
                file,
            };
        }
    };
    match FileKind::of(&file, &text) {
        Err(faults) => Linted {
            kind: None,
            faults: Some(faults),
            file,
        },
        Ok(kind) => {
            let faults = match measured {
                Some(measured) if kind == FileKind::Readings => measured.faults(&file, &text),
                _ => kind.faults(&file, &text, |name, text| Procedure::read(name, text).map(|_| ())),
            };
            Linted {
                kind: Some(kind),
                faults: (!faults.is_empty()).then(|| Faults {
                    file: file.clone(),
                    source: text,
                    faults,
                }),
                file,
            }
        }
    }
}
