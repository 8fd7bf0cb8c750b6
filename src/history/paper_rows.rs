//! Records that were taken in from old papers, out again as they came in: cell by cell what was typed, with the unit of measure that it was taken in.

use super::account::Account;
use super::export::{CellKind, ColumnWords, ExportFormat};
use super::measure::stored;
use super::paper_records::{OF_THE_DAY, PAPER_COLUMNS, PaperRecord};
use crate::record::{Entry, Slot};
use crate::report::ReportError;
use serde_json::Value;
use std::collections::BTreeMap;

/// The name of the table.
pub const PAPERS: &str = "papers";

/// What is read off a gauge or a counter: in a spreadsheet where the comma is the decimal sign it is written so.
const READINGS: [&str; 4] = ["distance", "found_breakaway", "left_breakaway", "thickness"];

type Row = BTreeMap<&'static str, String>;

/// The columns of the table, which are those that are taken in.
pub fn paper_columns() -> Vec<ColumnWords> {
    let all = PAPER_COLUMNS.iter();
    all.map(|(name, means)| ColumnWords {
        name,
        kind: CellKind::Text,
        means,
    })
    .collect()
}

/// The head of the table; empty for JSON Lines.
///
/// # Errors
///
/// It can not be written.
pub fn paper_head(format: ExportFormat) -> Result<String, ReportError> {
    format.head(&paper_columns())
}

/// The rows of a record by its entries, and how many there are; none of one that was not taken in from a table. What was corrected since is
/// as it was corrected.
///
/// # Errors
///
/// They can not be written.
pub fn paper_lines(
    account: &Account,
    entries: &[Entry],
    format: ExportFormat,
) -> Result<(String, usize), ReportError> {
    let columns = paper_columns();
    let mut rows = rows(entries);
    // what was held is no answer: it is held to the unit's file when a breakaway is taken in
    if let Some(first) = rows
        .first_mut()
        .filter(|row| row.keys().any(|column| column.ends_with("_breakaway")))
    {
        first.insert("held", stored(account.breakaway.held).to_string());
    }
    let mut out = String::new();
    for row in &rows {
        let cells = columns.iter().map(|column| match row.get(column.name) {
            Some(text) if format == ExportFormat::Spreadsheet && READINGS.contains(&column.name) => {
                Value::from(with_comma(text))
            }
            Some(text) => Value::from(text.as_str()),
            None => Value::Null,
        });
        out.push_str(&format.row(&columns, cells)?);
    }
    Ok((out, rows.len()))
}

/// A reading with its decimal point as a comma; the point of a unit of measure stays.
fn with_comma(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let between = before.is_ascii_digit() && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if c == '.' && between { ',' } else { c });
        before = c;
    }
    out
}

fn rows(entries: &[Entry]) -> Vec<Row> {
    let taken_in = |entry: &Entry| match entry {
        Entry::Noted { text, .. } => PaperRecord::came_from(text).is_some(),
        _ => false,
    };
    let Some(Entry::Begun { at, .. }) = entries.first() else {
        return Vec::new();
    };
    if !entries.iter().any(taken_in) {
        return Vec::new();
    }
    let day = at.strip_suffix("T00:00:00Z").unwrap_or(at);
    // whatever looked odd was meant, or it would not have been taken
    let new = || Row::from([("day", day.to_string()), ("sure", "yes".to_string())]);
    let (mut first, mut notes) = (new(), Vec::new());
    let mut plates: Vec<(String, Row)> = Vec::new();
    for entry in entries.iter().filter(|entry| !taken_in(entry)) {
        match entry {
            Entry::Answered { slot, text, .. } | Entry::Corrected { slot, text, .. } => {
                let Some((column, plate)) = column(slot) else {
                    continue;
                };
                let row = match plate {
                    Some(plate) => of_plate(&mut plates, plate, new),
                    None => &mut first,
                };
                row.insert(column, text.clone());
            }
            Entry::Noted { slot, text, .. } => {
                let plate = slot.item.as_deref().filter(|_| slot.step == "plate-look");
                let row = match plate {
                    Some(plate) => of_plate(&mut plates, plate, new),
                    None => &mut first,
                };
                if !row.contains_key("remark") {
                    row.insert("remark", text.clone());
                    continue;
                }
                let mut more = new();
                more.insert("remark", text.clone());
                more.extend(plate.map(|plate| ("plate", plate.to_string())));
                notes.push(more);
            }
            _ => {}
        }
    }
    let plates = plates.into_iter().map(|(_, row)| row);
    std::iter::once(first).chain(plates).chain(notes).collect()
}

/// The column of a question, and of which plate it is.
fn column(slot: &Slot) -> Option<(&'static str, Option<&str>)> {
    let item = slot.item.as_deref();
    match slot.step.as_str() {
        "plate-thickness" => Some(("thickness", Some(item?))),
        "plate-look" => Some(("looks", Some(item?))),
        step => {
            let (column, _) = OF_THE_DAY.iter().find(|(_, known)| *known == step)?;
            Some((column, None))
        }
    }
}

fn of_plate<'r>(plates: &'r mut Vec<(String, Row)>, plate: &str, new: impl Fn() -> Row) -> &'r mut Row {
    let at = plates
        .iter()
        .position(|(name, _)| name == plate)
        .unwrap_or_else(|| {
            let mut row = new();
            row.insert("plate", plate.to_string());
            plates.push((plate.to_string(), row));
            plates.len() - 1
        });
    &mut plates[at].1
}
