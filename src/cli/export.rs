//! `export`: its arguments, and what its columns are.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app::export as exported;
use crate::app::output::{width, write_out};
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
    /// A JSON object a line
    Jsonl,
}

#[derive(Args)]
pub(super) struct Export {
    /// The table
    #[arg(value_parser = PossibleValuesParser::new(ExportTable::ALL.map(|(_, name)| name)))]
    pub table: String,
    /// How the table is written
    #[arg(long, value_enum, default_value = "csv")]
    pub format: FormatWord,
    /// Say what the columns of the table are, and nothing else
    #[arg(long)]
    pub columns: bool,
    /// Only this unit, by its id in the book
    #[arg(long, value_name = "ID")]
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
    let named = ExportTable::ALL
        .into_iter()
        .find(|(_, name)| *name == asked.table);
    let (wanted, name) = named.unwrap_or(ExportTable::ALL[0]);
    if asked.columns {
        let rows: Vec<Vec<String>> = wanted
            .columns()
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
        FormatWord::Jsonl => ExportFormat::JsonLines,
    };
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
