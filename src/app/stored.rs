//! A build as it lies in the book: its journal as lines, and the files beside it that belong to the record.

use super::failure::Failure;
use crate::book::{BuildId, Problem, Reading, Shelf, is_private_key};
use crate::record::{Lines, Stored};
use crate::seal::Digest;
use crate::sheet::RecordFiles;

/// A build's sheet, which is printed from the record and is no part of it.
pub(crate) const SHEET: &str = "sheet.pdf";
/// The name of the note that version 0.1.0 kept in a build's folder. Whoever copies a folder copies it too, so it is
/// told and not followed.
pub(crate) const OLD_NOTE: &str = "to-close";

/// The name of the journal among the files of a record.
const JOURNAL: &str = "journal.jsonl";

/// The files of a record, to be put into a sheet, and the names of those that are not, since they hold a private key.
pub(crate) fn record_files(shelf: &Shelf, id: &BuildId) -> Result<(RecordFiles, Vec<String>), Failure> {
    let Stored { journal, files, .. } = stored(shelf, id)?;
    let (keys, mut files): (RecordFiles, RecordFiles) =
        files.into_iter().partition(|(_, bytes)| is_private_key(bytes));
    files.insert(JOURNAL.to_string(), journal);
    Ok((files, keys.into_keys().collect()))
}

/// The lines of a journal with all that is wrong with it, and all that a newer program wrote.
pub(crate) fn lines_of(reading: &Reading) -> Lines {
    let mut lines = Lines::read(&reading.entries, &reading.versions);
    for problem in reading.problems.iter().rev() {
        let told = match problem {
            Problem::Newer { .. } => &mut lines.newer,
            _ => &mut lines.problems,
        };
        told.insert(0, problem.to_string());
    }
    lines
}

/// The digest of the first lines of a journal.
pub(crate) fn first_lines(reading: &Reading, count: usize) -> Option<String> {
    let end = reading.ends.get(count.checked_sub(1)?)?;
    Some(Digest::of(reading.bytes.get(..*end)?).to_string())
}

/// A build as it lies in the book.
pub(crate) fn stored(shelf: &Shelf, id: &BuildId) -> Result<Stored, Failure> {
    let reading = shelf.read(id)?;
    let mut stored = Stored {
        build: id.to_string(),
        lines: lines_of(&reading),
        journal: reading.bytes,
        ends: reading.ends,
        files: Default::default(),
        uncovered: Vec::new(),
    };
    let (files, others) = shelf.beside(id)?;
    for name in files.into_iter().filter(|name| name != SHEET && name != OLD_NOTE) {
        let bytes = shelf.file(id, &name)?;
        stored.files.insert(name, bytes);
    }
    stored.uncovered = others;
    Ok(stored)
}
