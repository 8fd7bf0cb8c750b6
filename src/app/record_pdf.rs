//! A record that lies in the PDF of its sheet: read out of it, and checked. The file is foreign input.

use super::book_log::read_logs;
use super::check::{Check, Checked, by_lists_of};
use super::failure::Failure;
use super::load::{known_build, look, name_of};
use super::print::told_from;
use super::quiet::quietly;
use super::seals::signers;
use super::sheet_check::finding;
use super::stored::stored;
use crate::book::{BookError, BuildId, STANDARD, Shelf, backup_of, read_there, restore, temporary_folder};
use crate::quantity::visible;
use crate::record::{Certainty, Finding, Stored};
use crate::sheet::{Attached, AttachedError, HeldSheet, attached, held_sheet};
use std::path::Path;

/// The most bytes of a PDF that is read.
const MOST: u64 = 64 << 20;

/// Whether a name is that of a PDF, which no build has.
pub(crate) fn is_pdf(name: &Path) -> bool {
    let ending = name.extension();
    name != Path::new(STANDARD) && ending.is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"))
}

/// A record that was read out of a PDF.
struct Taken {
    id: BuildId,
    record: Attached,
    bytes: Vec<u8>,
}

fn taken(path: &Path) -> Result<Taken, Failure> {
    let failed = |why| Failure::Attached {
        path: path.to_path_buf(),
        why,
    };
    let bytes = read_there(path, MOST).map_err(|fault| match fault {
        BookError::TooLarge { .. } => failed(AttachedError::TooLarge),
        fault => Failure::File(fault),
    })?;
    let record = quietly(|| attached(&bytes))
        .unwrap_or(Err(AttachedError::Damaged))
        .map_err(failed)?;
    let name = record.build.parse();
    let id = name.map_err(|_| failed(AttachedError::Name(record.build.clone())))?;
    Ok(Taken { id, record, bytes })
}

/// The record in a PDF as a backup of one build, to be unpacked as any is.
pub(crate) fn as_backup(path: &Path) -> Result<impl AsRef<Path>, Failure> {
    let Taken { id, record, .. } = taken(path)?;
    backup_of(&id, &record.files).map_err(Failure::File)
}

/// Checks the record in a PDF as one that lies in a book: its lines, its files, its seals against the signers of one's own
/// book; that the pages are what it gives; and whether the book has the same record.
pub(crate) fn check_pdf(asked: &Check, path: &Path) -> Result<Checked, Failure> {
    if asked.paper.is_some() || asked.photo.is_some() {
        return Err(Failure::PdfWithPaper(path.to_path_buf()));
    }
    let Taken { id, record, bytes } = taken(path)?;
    let scratch = temporary_folder().map_err(Failure::Written)?;
    let folder = scratch.path().join("book");
    let packed = backup_of(&id, &record.files).map_err(Failure::File)?;
    restore(packed.path(), &folder, |_, _| {}).map_err(Failure::File)?;
    let shelf = Shelf::look(&folder)?;
    let book = look(asked.book.as_ref())?;
    let (_, signers) = signers(asked.signers.as_deref(), &book)?;
    let inside = stored(&shelf, &id)?;
    let logs = read_logs(&book)?;
    let mut examined = by_lists_of(&book, &signers, &logs, &inside, asked)?;
    if examined.verdict() != Certainty::Broken {
        let name = visible(&name_of(path)).into_owned();
        examined.sheet = Some(match told_from(&shelf, &id, true) {
            Ok(told) => {
                let (lines, _) = inside.record();
                let states = [(told.build, inside.first_lines(lines))];
                let held = quietly(|| held_sheet(&bytes, &states, Some(&record.files), asked.font.as_ref()));
                let held = held.unwrap_or(Ok(HeldSheet::NotRead))?;
                finding(&name, held, |_| "the record in it".to_string())
            }
            Err(fault) => {
                let words = format!("{name}: it can not be printed anew: {fault}");
                Finding::new(Certainty::Open, words)
            }
        });
    }
    match known_build(&book, id.as_str()) {
        Err(Failure::NoBuild(_)) => {
            examined.findings.extend(logs.judge_record_of_missing(&inside));
            examined.removed = logs.removed(id.as_str());
        }
        _ => {
            if let Ok(own) = stored(&book, &id) {
                examined.findings.push(beside_own(&inside, &own));
            }
        }
    }
    Ok(Checked {
        examined,
        aside: String::new(),
    })
}

/// What the record of that name in one's own book is to the one in the file.
fn beside_own(inside: &Stored, own: &Stored) -> Finding {
    let (here, there) = (&inside.journal, &own.journal);
    let lines = |journal: &[u8]| journal.iter().filter(|byte| **byte == b'\n').count();
    let apart = lines(here).abs_diff(lines(there));
    let name = &inside.build;
    let (certainty, words) = if here == there {
        (Certainty::Note, format!("the book has the same record of {name}"))
    } else if there.starts_with(here) {
        let words = format!("the record of {name} in the book goes on from it, by {apart} lines");
        (Certainty::Note, words)
    } else if here.starts_with(there) {
        let words = format!("it goes on from the record of {name} in the book, by {apart} lines");
        (Certainty::Open, words)
    } else {
        let words = format!("the book has another record of the name {name}");
        (Certainty::Open, words)
    };
    Finding::new(certainty, words)
}
