//! A table of all builds, written for other programs.

use super::failure::Failure;
use super::histories::{Wanted, each_unit, warn_of};
use super::load::look;
use super::output::{Over, lay_down, told, write_out};
use crate::history::{ExportFormat, ExportTable};
use crate::report::ReportError;
use std::path::PathBuf;

/// A table of all builds, as it is asked for.
pub(crate) struct Export {
    /// The table.
    pub table: ExportTable,
    /// Its name.
    pub name: &'static str,
    /// How it is written.
    pub format: ExportFormat,
    /// Only this unit, by its id in the book.
    pub unit: Option<String>,
    /// A file instead of the standard output.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over.
    pub replace: bool,
    /// Every journal is read again instead of what was kept of it.
    pub afresh: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// So many of something, in words.
pub(crate) fn many(count: usize, one: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        count => format!("{count} {one}s"),
    }
}

/// Writes a table of all builds for other programs.
pub(crate) fn export(asked: &Export) -> Result<(), Failure> {
    let (wanted, name, format) = (asked.table, asked.name, asked.format);
    let shelf = look(asked.book.as_ref())?;
    let read = Wanted {
        unit: asked.unit.as_deref(),
        afresh: asked.afresh,
        ..Wanted::default()
    };
    let mut text = wanted.head(format)?;
    let (mut builds, mut rows) = (0, 0);
    let mut damaged = Vec::new();
    let each = each_unit(&shelf, read, |history| {
        let (mut lines, mut rows) = (String::new(), 0);
        let mut told = Vec::new();
        for account in &history.accounts {
            lines.push_str(&wanted.lines(account, format)?);
            rows += wanted.count(account);
            if !account.is_whole() {
                told.push((account.build.clone(), account.not_whole()));
            }
        }
        Ok::<_, ReportError>((history.accounts.len(), rows, lines, told))
    })?;
    for unit in each {
        let (count, of_unit, lines, told) = unit?;
        builds += count;
        rows += of_unit;
        text.push_str(&lines);
        damaged.extend(told);
    }
    if let (Some(unit), 0) = (&asked.unit, builds) {
        return Err(Failure::NoUnit(unit.clone()));
    }
    match &asked.out {
        None => write_out(&text, false)?,
        Some(path) => {
            let laid = lay_down(path, text.as_bytes(), Over::Nothing.or(asked.replace))?;
            let path = told(path);
            let (rows, builds) = (many(rows, "row"), many(builds, "build"));
            laid.say(&format!("{name}: {rows} from {builds}, in {path}\n"))?;
        }
    }
    warn_of(&damaged)
}
