//! `export`: its arguments, and what its columns are.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app::drive_export::{DriveExport, export_days};
use crate::app::export as exported;
use crate::app::output::{width, write_out};
use crate::app::paper_export::{PaperExport, export_papers};
use crate::history::driven::DriveTable;
use crate::history::paper_rows::{PAPERS, paper_columns};
use crate::history::{ExportFormat, ExportTable};
use crate::report::Table;
use crate::screen::table;
use clap::builder::PossibleValuesParser;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What the export is written as.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum FormatWord {
    /// Comma-separated values with a head
    Csv,
    /// Semicolons between the cells and a comma as the decimal sign, for a spreadsheet of a country that writes so
    Spreadsheet,
    /// A JSON object a line
    Jsonl,
}

#[derive(Args)]
pub(super) struct Export {
    /// The table
    #[arg(value_parser = PossibleValuesParser::new(ExportTable::ALL.map(|(_, name)| name).into_iter().chain(DriveTable::ALL.map(|(_, name)| name)).chain([PAPERS])))]
    pub table: String,
    /// How the table is written
    #[arg(long, value_enum, default_value = "csv")]
    pub format: FormatWord,
    /// Say what the columns of the table are, and nothing else
    #[arg(long)]
    pub columns: bool,
    /// Only this unit, by its id in the book
    #[arg(
        long = "unit-id",
        alias = "unit",
        value_name = "ID",
        required_if_eq("table", PAPERS)
    )]
    pub unit: Option<String>,
    /// Write to this file instead of the standard output
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "out")]
    pub replace: bool,
    /// Read every journal again instead of what was kept of it
    #[arg(long)]
    pub afresh: bool,
    #[command(flatten)]
    pub book: Book,
}

/// Writes a table of all builds for other programs.
pub(super) fn export(asked: &Export) -> Result<Exit, Failure> {
    let is_papers = asked.table == PAPERS;
    let named = ExportTable::ALL
        .into_iter()
        .find(|(_, name)| *name == asked.table);
    let (wanted, name) = named.unwrap_or(ExportTable::ALL[0]);
    let of_days = DriveTable::ALL.into_iter().find(|(_, name)| *name == asked.table);
    if asked.columns {
        let columns = match of_days {
            _ if is_papers => paper_columns(),
            Some((table, _)) => table.columns(),
            None => wanted.columns(),
        };
        let rows: Vec<Vec<String>> = columns
            .iter()
            .map(|column| vec![column.name.into(), column.kind.word().into(), column.means.into()])
            .collect();
        write_out(
            &table(&Table::of_words(["column", "holds", "means"], rows), width()),
            false,
        )?;
        return Ok(Exit::Done);
    }
    let format = match asked.format {
        FormatWord::Csv => ExportFormat::Csv,
        FormatWord::Spreadsheet => ExportFormat::Spreadsheet,
        FormatWord::Jsonl => ExportFormat::JsonLines,
    };
    if let (true, Some(unit)) = (is_papers, &asked.unit) {
        export_papers(&PaperExport {
            unit: unit.clone(),
            format,
            out: asked.out.clone(),
            replace: asked.replace,
            book: asked.book.dir.clone(),
        })?;
        return Ok(Exit::Done);
    }
    if let Some((table, name)) = of_days {
        export_days(&DriveExport {
            table,
            name,
            format,
            out: asked.out.clone(),
            replace: asked.replace,
            book: asked.book.dir.clone(),
        })?;
        return Ok(Exit::Done);
    }
    exported(&crate::app::Export {
        table: wanted,
        name,
        format,
        unit: asked.unit.clone(),
        out: asked.out.clone(),
        replace: asked.replace,
        afresh: asked.afresh,
        book: asked.book.dir.clone(),
    })?;
    Ok(Exit::Done)
}
