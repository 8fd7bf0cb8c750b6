use super::exit::Exit;
use super::failure::Failure;
use super::histories::{Wanted, each_unit};
use super::load::look;
use super::options::Book;
use super::output::{Over, lay_down, told, write_out};
use crate::history::{ExportFormat, ExportTable};
use crate::sheet::table;
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
        write_out(&table(&["column", "holds", "means"], &rows, 80), false)?;
        write_out("\n", false)?;
        return Ok(Exit::Done);
    }
    let format = match asked.format {
        FormatWord::Csv => ExportFormat::Csv,
        FormatWord::Jsonl => ExportFormat::JsonLines,
    };
    let shelf = look(&asked.book)?;
    let read = Wanted {
        unit: asked.unit.as_deref(),
        afresh: asked.afresh,
        ..Wanted::default()
    };
    let json = |error: crate::report::ReportError| Failure::Json(error.to_string());
    let mut text = wanted.head(format).map_err(json)?;
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
        Ok((history.accounts.len(), rows, lines, told))
    })?;
    for unit in each {
        let (count, of_unit, lines, told) = unit.map_err(json)?;
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
            let many = |count: usize, one: &str| match count {
                1 => format!("1 {one}"),
                count => format!("{count} {one}s"),
            };
            let (rows, builds) = (many(rows, "row"), many(builds, "build"));
            laid.say(&format!("{name}: {rows} from {builds}, in {path}\n"))?;
        }
    }
    super::histories::warn_of(&damaged)?;
    Ok(Exit::Done)
}
