//! Readers of the kinds of file that the workshop knows by name alone.

use super::definition::Procedure;
use super::translated::judge_language;
use crate::document::{Faults, Shape};
use crate::history::driven::DayFile;
use crate::workshop::FileKind;

/// Reads a drive day's file, a language with all that it must have words for, or else a procedure.
///
/// ```
/// use shimwright::{procedure::judged_elsewhere, workshop::FileKind};
/// assert!(judged_elsewhere(FileKind::Day, "day.toml", "format = \"shimwright day 1\"\n[run]\n").is_err());
/// ```
///
/// # Errors
///
/// Every fault of it.
pub fn judged_elsewhere(kind: FileKind, file: &str, source: &str) -> Result<(), Faults> {
    match kind {
        FileKind::Day => DayFile::read(file, source).map(|_| ()),
        FileKind::Language => judge_language(file, source),
        _ => Procedure::read(file, source).map(|_| ()),
    }
}

/// What the reader of drive days asks for, or else that of procedures.
pub fn shape_elsewhere(kind: FileKind) -> Shape {
    match kind {
        FileKind::Day => DayFile::shape(),
        _ => Procedure::shape(),
    }
}
