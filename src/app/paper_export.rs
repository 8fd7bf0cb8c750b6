//! The old papers of a unit, out again as `import` takes them.

use super::export::many;
use super::failure::Failure;
use super::histories::{Wanted, each_unit};
use super::load::look;
use super::output::{Over, lay_down, told, write_out};
use crate::history::ExportFormat;
use crate::history::paper_rows::{PAPERS, paper_head, paper_lines};
use crate::record::Entry;
use std::path::PathBuf;

/// The papers of a unit, as they are asked for.
pub(crate) struct PaperExport {
    /// The unit, by its id in the book: a table that is taken in is of one.
    pub unit: String,
    /// How they are written.
    pub format: ExportFormat,
    /// A file instead of the standard output.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Writes the papers that were taken in of a unit.
pub(crate) fn export_papers(asked: &PaperExport) -> Result<(), Failure> {
    let shelf = look(asked.book.as_ref())?;
    let wanted = Wanted {
        unit: Some(&asked.unit),
        ..Wanted::default()
    };
    let accounts: Vec<_> = each_unit(&shelf, wanted, |history| history.accounts)?
        .into_iter()
        .flatten()
        .collect();
    if accounts.is_empty() {
        return Err(Failure::NoUnit(asked.unit.clone()));
    }
    let (mut text, mut rows, mut papers) = (paper_head(asked.format)?, 0, 0);
    for account in accounts.iter().filter(|account| account.copied) {
        let journal = shelf.read(&account.build.parse()?)?;
        let entries: Result<Vec<Entry>, _> = journal
            .entries
            .iter()
            .map(|text| Entry::from_json(text))
            .collect();
        let (lines, count) = paper_lines(account, &entries?, asked.format)?;
        text.push_str(&lines);
        rows += count;
        papers += usize::from(count > 0);
    }
    match &asked.out {
        None => write_out(&text, false),
        Some(path) => {
            let laid = lay_down(path, text.as_bytes(), Over::Nothing.or(asked.replace))?;
            let (path, rows, papers) = (told(path), many(rows, "row"), many(papers, "paper"));
            laid.say(&format!("{PAPERS}: {rows} from {papers}, in {path}\n"))
        }
    }
}
