//! A table of the drive days, written for other programs.

use super::days::{AllDays, all_days};
use super::export::many;
use super::failure::Failure;
use super::histories::warn_of;
use super::load::look;
use super::output::{Over, lay_down, told, write_out};
use crate::history::ExportFormat;
use crate::history::driven::DriveTable;
use std::path::PathBuf;

/// A table of the drive days, as it is asked for.
pub(crate) struct DriveExport {
    /// The table.
    pub table: DriveTable,
    /// Its name.
    pub name: &'static str,
    /// How it is written.
    pub format: ExportFormat,
    /// A file instead of the standard output.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Writes a table of the drive days for other programs.
pub(crate) fn export_days(asked: &DriveExport) -> Result<(), Failure> {
    let shelf = look(asked.book.as_ref())?;
    let AllDays { days, mut unread } = all_days(&shelf)?;
    let (mut text, mut rows) = (asked.table.head(asked.format)?, 0);
    for opened in &days {
        let (lines, count) = asked.table.lines(&opened.day, asked.format)?;
        text.push_str(&lines);
        rows += count;
        let problems = opened.problems.iter().chain(&opened.newer);
        unread.extend(problems.map(|why| (opened.day.name.clone(), why.clone())));
    }
    match &asked.out {
        None => write_out(&text, false)?,
        Some(path) => {
            let laid = lay_down(path, text.as_bytes(), Over::Nothing.or(asked.replace))?;
            laid.say(&format!(
                "{}: {} from {}, in {}\n",
                asked.name,
                many(rows, "row"),
                many(days.len(), "day"),
                told(path)
            ))?;
        }
    }
    warn_of(&unread)
}
