//! The table under "What survives and what is reported" in `DEVELOPERS.md`: each row is what a test found.
//!
//! A test that finds something else than its row says fails with the row as it should be. With `SHIMWRIGHT_FILL=1` the
//! tests write their rows instead.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

const HEADING: &str = "## What survives and what is reported";

/// Every row that a test fills, in the order of the table.
const ROWS: [&str; 20] = [
    "ended while a build is begun",
    "ended while answers are written",
    "ended while a torn line is set aside",
    "ended at the last answer, the drawer and the sheet",
    "ended while that is made up for",
    "ended while `sheet` writes",
    "ended while old papers are imported",
    "a disk that is full, broken or read-only while a build is begun",
    "the same while answers are written",
    "the same at the last answer, the drawer and the sheet",
    "a disk that fills up inside a line",
    "a last line that is torn",
    "a last line that lacks its newline",
    "a line that was changed",
    "a clock that was set back",
    "two programs on one build",
    "a second journal, left by sync",
    "a record of a newer program",
    "names that differ by capitals only",
    "links in the place of a build or its files",
];

fn file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")
}

/// The lines of the table, and where they stand in the text.
fn lines_of(text: &str) -> (usize, Vec<String>) {
    let lines: Vec<&str> = text.lines().collect();
    let heading = lines.iter().position(|line| *line == HEADING).unwrap();
    let start = heading
        + lines[heading..]
            .iter()
            .position(|line| line.starts_with("|---"))
            .unwrap()
        + 1;
    let rows = lines[start..].iter().take_while(|line| line.starts_with('|'));
    (start, rows.map(|line| line.to_string()).collect())
}

fn what_of(line: &str) -> &str {
    line.trim_matches('|').split('|').next().unwrap().trim()
}

/// Holds what a test found against its row, or writes the row.
pub fn found(what: &str, left: &str, said: &str) {
    static FILE: Mutex<()> = Mutex::new(());
    let _one_at_a_time = FILE.lock().unwrap_or_else(PoisonError::into_inner);
    assert!(ROWS.contains(&what), "{what:?} is no row of the table");
    let row = format!("| {what} | {left} | {said} |");
    let text = fs::read_to_string(file()).unwrap();
    let (start, rows) = lines_of(&text);
    let at = rows.iter().position(|line| what_of(line) == what);
    if at.is_some_and(|at| rows[at] == row) {
        return;
    }
    if std::env::var_os("SHIMWRIGHT_FILL").is_none() {
        panic!(
            "DEVELOPERS.md has another row for this:\n{}\nfound:\n{row}",
            at.map_or("none", |at| rows[at].as_str())
        );
    }
    let mut new: Vec<String> = rows
        .iter()
        .filter(|line| what_of(line) != what)
        .cloned()
        .collect();
    new.push(row);
    new.sort_by_key(|line| ROWS.iter().position(|name| *name == what_of(line)));
    let lines: Vec<&str> = text.lines().collect();
    let mut all: Vec<&str> = lines[..start].to_vec();
    all.extend(new.iter().map(String::as_str));
    all.extend(&lines[start + rows.len()..]);
    fs::write(file(), all.join("\n") + "\n").unwrap();
}

#[test]
fn the_table_has_the_row_of_every_test_and_no_other() {
    if std::env::var_os("SHIMWRIGHT_FILL").is_some() {
        return;
    }
    let (_, rows) = lines_of(&fs::read_to_string(file()).unwrap());
    let names: Vec<&str> = rows.iter().map(|line| what_of(line)).collect();
    assert_eq!(names, ROWS);
}
