//! The faults of files: which kind each is, and what its reader finds.

use super::failure::Failure;
use super::load::{name_of, read_text};
use crate::document::{Fault, Faults};
use crate::procedure::judged_elsewhere;
use crate::quantity::visible;
use crate::workshop::{Drawer, FileKind, Linted, Readings, Unit};
use std::path::{Path, PathBuf};

/// What each file is, and its faults; files of readings are held to the unit of a file, where that is given.
pub(crate) fn linted(files: &[PathBuf], unit: Option<&Path>) -> Result<Vec<Linted>, Failure> {
    let measured = unit.map(Measured::read).transpose()?;
    Ok(files
        .iter()
        .map(|path| one_linted(path, measured.as_ref()))
        .collect())
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

/// What one file is, and its faults.
fn one_linted(path: &Path, measured: Option<&Measured>) -> Linted {
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
                _ => kind.faults(&file, &text, judged_elsewhere),
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
