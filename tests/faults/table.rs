//! The table `found.csv`: each row is what a test found.
//!
//! A test that finds something else than its row says fails with the row as it should be. With `SHIMWRIGHT_FILL=1` the
//! tests write their rows instead.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// What stands over the columns: what happened, what is left, what is said.
const HEAD: [&str; 3] = ["what", "left", "said"];

/// Every row that a test fills, in the order of the table.
const ROWS: [&str; 26] = [
    "ended while a build is begun",
    "ended while answers are written",
    "ended while a torn line is set aside",
    "ended at the last answer, the drawer and the sheet",
    "ended while that is made up for",
    "ended while `sheet` writes",
    "ended while old papers are imported",
    "ended while `backup` writes",
    "ended while `restore` unpacks",
    "ended while `sign` writes",
    "ended while `correct` writes",
    "ended while `adopt` writes",
    "ended while a key is rotated",
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
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults/found.csv")
}

/// The rows of the table; none where there is no file yet.
fn rows() -> Vec<[String; 3]> {
    let text = fs::read_to_string(file()).unwrap_or_default();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader
        .records()
        .map(|row| [0, 1, 2].map(|at| row.as_ref().unwrap()[at].to_string()))
        .collect()
}

/// Holds what a test found against its row, or writes the row.
pub fn found(what: &str, left: &str, said: &str) {
    static FILE: Mutex<()> = Mutex::new(());
    let _one_at_a_time = FILE.lock().unwrap_or_else(PoisonError::into_inner);
    assert!(ROWS.contains(&what), "{what:?} is no row of the table");
    let row = [what, left, said].map(str::to_string);
    let mut rows = rows();
    let known = rows.iter().find(|known| known[0] == what);
    if known == Some(&row) {
        return;
    }
    if std::env::var_os("SHIMWRIGHT_FILL").is_none() {
        panic!("tests/faults/found.csv has another row for this:\n{known:?}\nfound:\n{row:?}");
    }
    rows.retain(|known| known[0] != what);
    rows.push(row);
    rows.sort_by_key(|known| ROWS.iter().position(|name| *name == known[0]));
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEAD).unwrap();
    for row in &rows {
        writer.write_record(row).unwrap();
    }
    fs::write(file(), writer.into_inner().unwrap()).unwrap();
}

#[test]
fn the_table_has_the_row_of_every_test_and_no_other() {
    if std::env::var_os("SHIMWRIGHT_FILL").is_some() {
        return;
    }
    let names: Vec<String> = rows().into_iter().map(|[what, ..]| what).collect();
    assert_eq!(names, ROWS);
}
