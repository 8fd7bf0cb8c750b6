//! What became of a table of old records, for machines.

use super::paper_records::RowFault;
use crate::report::Summary;
use serde_json::{Value, json};

/// What became of a table of old records.
///
/// As JSON it is one object: `file`; `unit` and `unit_name`, its id and its name; `written`, whether anything was put into the book; `days` in order of
/// time, each with its `day` as it stands in the file, `lines` (its first and its last), `fits` (whether it is without
/// fault), `build`, the name that it has in the book now, or `null`, and `there`, whether it was in the book before;
/// `faults`, each with `line`, `column` (`null` where
/// it is about the row, or the file) and `words`.
///
/// ```
/// use shimwright::history::{Imported, ImportedDay};
/// use shimwright::report::to_json;
/// let day = ImportedDay { day: "2019-04-12".into(), lines: (2, 3), fits: true,
///     build: Some("moor-rear-0001".into()), there: false };
/// let imported = Imported { file: "old.csv".into(), unit: "moor-rear".into(), unit_name: "Moor rear".into(), days: vec![day], faults: vec![] };
/// let json = to_json(&imported.summary())?;
/// assert!(json.contains("\"written\": true") && json.contains("\"build\": \"moor-rear-0001\""));
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Imported {
    /// The file.
    pub file: String,
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub unit_name: String,
    /// Its days in order of time.
    pub days: Vec<ImportedDay>,
    /// What was not taken and why, in order of the lines.
    pub faults: Vec<RowFault>,
}

/// A day of a table of old records.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ImportedDay {
    /// As it stands in the file.
    pub day: String,
    /// Its rows: the first and the last line.
    pub lines: (u64, u64),
    /// Whether it is without fault.
    pub fits: bool,
    /// Its name in the book; `None` where it is not there.
    pub build: Option<String>,
    /// Whether it was there before.
    pub there: bool,
}

impl Imported {
    /// The whole of it, for machines.
    pub fn summary(&self) -> Summary {
        let days: Vec<Value> = self
            .days
            .iter()
            .map(|one| {
                json!({
                    "day": one.day, "lines": [one.lines.0, one.lines.1], "fits": one.fits, "build": one.build,
                    "there": one.there,
                })
            })
            .collect();
        let faults: Vec<Value> = self
            .faults
            .iter()
            .map(|fault| {
                let column = (!fault.column.is_empty()).then_some(&fault.column);
                json!({"line": fault.line, "column": column, "words": fault.words})
            })
            .collect();
        Summary::told(
            "import",
            json!({
                "file": self.file,
                "unit": self.unit,
                "unit_name": self.unit_name,
                "written": self.days.iter().any(|one| one.build.is_some() && !one.there),
                "days": days,
                "faults": faults,
            }),
        )
    }
}
