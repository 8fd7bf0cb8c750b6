//! Old paper records of a unit as a table: read into what was written down on each day.

use super::export::{FORMULA, csv_line};
use super::paper_signs::{Signs, between, delimiter};
use crate::quantity::visible;
use serde_json::{Map, Value};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::io::Read;

/// The columns, and what they mean; the first two must be there.
pub const PAPER_COLUMNS: [(&str, &str); 16] = [
    (
        "day",
        "the day of the work as 2019-04-12; a time behind it, as 2019-04-12T14:00:00Z, tells two of one day apart",
    ),
    ("by", "who did it"),
    ("car", "the car that the unit came out of"),
    ("reason", "why it was opened"),
    (
        "distance",
        "how far the car had gone since the unit was last built",
    ),
    (
        "rebuilt",
        "yes or no: whether it was put together anew then; distances count from there",
    ),
    (
        "micrometer",
        "the name of an instrument in the instruments file that is like the one of then",
    ),
    ("wrench", "the same for the torque wrench"),
    ("found_breakaway", "breakaway as received, turning steadily"),
    ("left_breakaway", "breakaway as left, turning steadily"),
    (
        "held",
        "case or output: what was held for the breakaway; with an output held the wrench reads half of what it reads with the case held, or less",
    ),
    ("plate", "the name of a plate in the unit's file, a row each"),
    (
        "thickness",
        "its thickness, once a day: the least, where the paper has several; wear then takes the least for the mean",
    ),
    (
        "looks",
        "how it looked: good, glazed, burnt, torn or cracked, with words behind it where the paper has them; the last three reject it",
    ),
    (
        "remark",
        "what else the paper says, such as a preload: a note, of the plate where its row has one",
    ),
    ("sure", "yes: what looks odd in this row stands so on the paper"),
];
/// The columns that are said once a day, with the question that they answer.
pub(super) const OF_THE_DAY: [(&str, &str); 10] = [
    ("by", "who"),
    ("car", "car"),
    ("reason", "reason"),
    ("distance", "distance"),
    ("rebuilt", "rebuilt"),
    ("micrometer", "micrometer"),
    ("wrench", "wrench"),
    ("found_breakaway", "found-breakaway"),
    ("left_breakaway", "left-breakaway"),
    ("held", "held"),
];
/// What is put behind the file to see that its last row ends: a quotation mark that is not closed takes it in.
const END: &str = "\n\0\n";
/// The most rows that are read.
const MOST_ROWS: usize = 100_000;
/// The most characters that are shown of a column that is none.
const MOST_OF_A_NAME: usize = 40;
/// The most characters of a cell.
const MOST_CHARACTERS: usize = 2_000;

/// Why a row is not taken.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct RowFault {
    /// The line of the file, from 1.
    pub line: u64,
    /// The column; empty where it is about the whole row.
    pub column: String,
    /// What is wrong, and what to write.
    pub words: String,
}

impl RowFault {
    /// A fault of a cell.
    pub fn new(line: u64, column: &str, words: impl Into<String>) -> RowFault {
        RowFault {
            line,
            column: column.to_string(),
            words: words.into(),
        }
    }
}

impl fmt::Display for RowFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = visible(&self.words);
        match self.column.as_str() {
            "" => write!(f, "line {}: {words}", self.line),
            column => write!(f, "line {}, {column}: {words}", self.line),
        }
    }
}

/// A text that is written in a cell, and where.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cell {
    /// As it was typed; the decimal comma of a file with semicolons is a point.
    pub text: String,
    /// The line of the file.
    pub line: u64,
    /// The column.
    pub column: &'static str,
    /// Whether what looks odd is meant.
    pub sure: bool,
}

/// What was written down on one day.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PaperRecord {
    /// The day, or the day and the time, as it stands in the file.
    pub day: String,
    /// Its rows: the first and the last line.
    pub lines: (u64, u64),
    /// Answers by the name of their question, such as `plate-thickness/G1`.
    pub answers: BTreeMap<String, Cell>,
    /// What else the paper says: the plate that it says it of, where it is of one, and the words.
    pub remarks: Vec<(Option<String>, Cell)>,
}

/// All records of a file, in the order of their first rows, and the rows that can not be taken.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PaperRecords {
    /// What was written down day by day.
    pub records: Vec<PaperRecord>,
    /// Rows that are no part of a record.
    pub faults: Vec<RowFault>,
}

impl PaperRecords {
    /// Reads a table with a head: commas, semicolons or tabs between the cells, quotation marks round cells that hold one
    /// of these (RFC 4180). Rows of one day are one record; what is said once a day may stand in any of its rows.
    ///
    /// JSON Lines are taken as well: an object a row, its keys the columns.
    ///
    /// Where semicolons stand between the cells, the comma of a reading is its decimal sign, unless another reading of the
    /// file has a point there. A distance with three digits behind its sign stays refused: nobody writes down metres, and
    /// it may be thousands.
    ///
    /// ```
    /// use shimwright::history::PaperRecords;
    /// let text = "day;by;plate;thickness\n2019-04-12;A. Fitter;G1;1,985\n2019-04-12;;G2;1,97\n";
    /// let read = PaperRecords::read(text).unwrap();
    /// assert_eq!(read.records[0].answers["plate-thickness/G1"].text, "1.985");
    /// assert_eq!(PaperRecords::read("day,bye\n").unwrap_err().column, "bye");
    /// ```
    ///
    /// # Errors
    ///
    /// No head, a column that is not known or lacking, twice the same, too many rows; with the line and what is
    /// wanted. A fault of a row is no error but stands among the faults.
    pub fn read(text: &str) -> Result<PaperRecords, RowFault> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if !text.trim_start().starts_with('{') {
            return PaperRecords::read_table(text, true);
        }
        // the table that is made of them has a head above its rows
        let up = |line: &mut u64| *line = line.saturating_sub(1).max(1);
        let mut read = PaperRecords::read_table(&as_table(text)?, false).map_err(|mut fault| {
            up(&mut fault.line);
            fault
        })?;
        for record in &mut read.records {
            up(&mut record.lines.0);
            up(&mut record.lines.1);
            let said = record.answers.values_mut();
            for cell in said.chain(record.remarks.iter_mut().map(|(_, cell)| cell)) {
                up(&mut cell.line);
            }
        }
        read.faults.iter_mut().for_each(|fault| up(&mut fault.line));
        Ok(read)
    }

    /// A table with a head; an apostrophe that guards a cell from spreadsheets is no part of what it says.
    fn read_table(text: &str, guarded: bool) -> Result<PaperRecords, RowFault> {
        // lines that end as on machines of long ago, where nothing else ends one
        let text = &match text.contains('\r') && !text.contains('\n') {
            true => Cow::Owned(text.replace('\r', "\n")),
            false => Cow::Borrowed(text),
        };
        let delimiter = delimiter(text);
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .delimiter(delimiter)
            .from_reader(text.as_bytes().chain(END.as_bytes()));
        let is_end = |row: &csv::StringRecord| row.len() == 1 && row.get(0) == Some(END.trim());
        let mut rows = reader.records();
        let head = match rows.next() {
            Some(Ok(head)) if head.iter().any(|cell| !cell.is_empty()) && !is_end(&head) => head,
            Some(Err(error)) => return Err(RowFault::new(1, "", error.to_string())),
            _ => {
                return Err(RowFault::new(
                    1,
                    "",
                    "there is nothing in it; a head with the names of the columns is wanted",
                ));
            }
        };
        let mut rows: Vec<_> = rows.take(MOST_ROWS + 2).collect();
        if rows.len() > MOST_ROWS + 1 {
            let words = format!("more than {MOST_ROWS} rows: take them in several files");
            return Err(RowFault::new(MOST_ROWS as u64 + 2, "", words));
        }
        if rows.pop_if(|row| row.as_ref().is_ok_and(is_end)).is_none() {
            let last = rows.last().and_then(|row| row.as_ref().ok());
            let line = last
                .and_then(csv::StringRecord::position)
                .map_or(1, csv::Position::line);
            let words =
                "a quotation mark is opened in this row and never closed: what stands behind it is lost";
            return Err(RowFault::new(line, "", words));
        }
        let columns = columns(&head)?;
        let mut read = PaperRecords::default();
        let mut at: BTreeMap<String, usize> = BTreeMap::new();
        let signs = Signs::of(delimiter, &columns, rows.iter().flatten());
        for (n, row) in rows.into_iter().enumerate() {
            let row = match row {
                Ok(row) => row,
                Err(error) => {
                    read.faults
                        .push(RowFault::new(n as u64 + 2, "", error.to_string()));
                    continue;
                }
            };
            let line = line_of(text, &row);
            if row.iter().all(str::is_empty) {
                continue;
            }
            if row.len() > columns.len() {
                let words = format!(
                    "{} cells under {} columns; a cell that has a {} in it stands in quotation marks",
                    row.len(),
                    columns.len(),
                    between(delimiter)
                );
                read.faults.push(RowFault::new(line, "", words));
                continue;
            }
            let cell = |name: &str| {
                let n = columns.iter().position(|column| *column == name)?;
                let text = row.get(n).filter(|text| !text.is_empty())?;
                let bare = text
                    .strip_prefix('\'')
                    .filter(|bare| guarded && bare.starts_with(FORMULA));
                Some(bare.unwrap_or(text))
            };
            if let Some(long) = row.iter().position(|text| text.chars().count() > MOST_CHARACTERS) {
                let words = format!("more than {MOST_CHARACTERS} characters");
                read.faults.push(RowFault::new(line, columns[long], words));
                continue;
            }
            let steers = |text: &str| text.contains(|c: char| c.is_control() && !c.is_whitespace());
            if let Some(odd) = row.iter().position(steers) {
                let words = "there is a character in it that is no sign of any script";
                read.faults.push(RowFault::new(line, columns[odd], words));
                continue;
            }
            let Some(day) = cell("day") else {
                read.faults.push(RowFault::new(
                    line,
                    "day",
                    "it is empty; a row has the day of the work",
                ));
                continue;
            };
            let n = *at.entry(day.to_string()).or_insert_with(|| {
                read.records.push(PaperRecord {
                    day: day.to_string(),
                    lines: (line, line),
                    answers: BTreeMap::new(),
                    remarks: Vec::new(),
                });
                read.records.len() - 1
            });
            read.records[n].lines.1 = line;
            let faults = read.records[n].take(line, &cell, signs);
            read.faults.extend(faults);
        }
        if read.records.is_empty() && read.faults.is_empty() {
            return Err(RowFault::new(1, "", "there is no row under the head"));
        }
        Ok(read)
    }
}

/// How the note of a build begins and ends that was taken from a table.
const TAKEN: (&str, &str) = ("taken from ", "; nothing was measured with this program");

impl PaperRecord {
    /// The note that says where a build comes from that was taken from a table, and when.
    pub fn note(&self, file: &str, on: &str) -> String {
        let lines = match self.lines {
            (first, last) if first == last => format!("line {first}"),
            (first, last) => format!("lines {first} to {last}"),
        };
        format!("{}{file}, {lines}, on {on}{}", TAKEN.0, TAKEN.1)
    }

    /// Where a build comes from, by a note of it; nothing where the note is another.
    ///
    /// ```
    /// use shimwright::history::PaperRecords;
    /// let read = PaperRecords::read("day,by\n2019-04-12,A. Fitter\n").unwrap();
    /// let note = read.records[0].note("old.csv", "2026-11-28");
    /// let from = shimwright::history::PaperRecord::came_from(&note);
    /// assert_eq!(from, Some("old.csv, line 2, on 2026-11-28"));
    /// ```
    pub fn came_from(note: &str) -> Option<&str> {
        note.strip_prefix(TAKEN.0)?.strip_suffix(TAKEN.1)
    }

    /// Takes what a row says; gives what can not be taken.
    fn take<'r>(&mut self, line: u64, cell: &dyn Fn(&str) -> Option<&'r str>, signs: Signs) -> Vec<RowFault> {
        let mut faults = Vec::new();
        let sure = match cell("sure") {
            None => false,
            Some(text) if text.eq_ignore_ascii_case("no") => false,
            Some(text) if text.eq_ignore_ascii_case("yes") => true,
            Some(_) => {
                faults.push(RowFault::new(line, "sure", "yes or nothing is wanted"));
                false
            }
        };
        let mut put = |slot: String, column: &'static str, text: &str| {
            let text = match signs.read(column, text) {
                Ok(text) => text,
                Err(words) => return faults.push(RowFault::new(line, column, words)),
            };
            let new = Cell {
                text,
                line,
                column,
                sure,
            };
            match self.answers.get(&slot) {
                Some(old) if column == "thickness" => {
                    let words = format!(
                        "line {} has this plate as {} for this day already; a record takes one thickness a plate, the \
                         least where the paper has several",
                        old.line, old.text
                    );
                    faults.push(RowFault::new(line, column, words));
                }
                Some(old) if old.text == new.text => {}
                Some(old) => faults.push(RowFault::new(
                    line,
                    column,
                    format!("line {} has it as {} for this day already", old.line, old.text),
                )),
                None => drop(self.answers.insert(slot, new)),
            }
        };
        for (column, slot) in OF_THE_DAY {
            if let Some(text) = cell(column) {
                put(slot.to_string(), column, text);
            }
        }
        let of_a_plate = [("thickness", "plate-thickness"), ("looks", "plate-look")];
        let said = || {
            of_a_plate
                .iter()
                .filter_map(|(column, step)| Some((*column, *step, cell(column)?)))
        };
        if let Some(plate) = cell("plate") {
            for (column, step, text) in said() {
                put(format!("{step}/{plate}"), column, text);
            }
        } else if said().next().is_some() {
            faults.push(RowFault::new(line, "plate", "which plate is it?"));
        }
        if let Some(text) = cell("remark") {
            let cell_of = Cell {
                text: text.to_string(),
                line,
                column: "remark",
                sure,
            };
            self.remarks.push((cell("plate").map(str::to_string), cell_of));
        }
        if let Some(plate) = cell("plate")
            && ["thickness", "looks", "remark"]
                .iter()
                .all(|column| cell(column).is_none())
        {
            let words =
                format!("nothing is said of plate {plate} in this row: no thickness, no looks, no remark");
            faults.push(RowFault::new(line, "plate", words));
        }
        faults
    }
}

/// The line that a row begins on, from 1. The reader takes the empty lines before a row for a part of it.
fn line_of(text: &str, row: &csv::StringRecord) -> u64 {
    let Some(position) = row.position() else {
        return 0;
    };
    let rest = usize::try_from(position.byte())
        .ok()
        .and_then(|byte| text.get(byte..));
    let empty = rest
        .unwrap_or("")
        .chars()
        .take_while(|c| ['\r', '\n'].contains(c));
    position.line() + empty.filter(|c| *c == '\n').count() as u64
}

/// JSON Lines as a table: its columns in the order in which keys come, a line a line.
fn as_table(text: &str) -> Result<String, RowFault> {
    let mut columns: Vec<String> = Vec::new();
    let mut rows: Vec<Map<String, Value>> = Vec::new();
    for (n, line) in text.lines().enumerate() {
        if line.trim().is_empty() {
            rows.push(Map::new());
            continue;
        }
        let row: Map<String, Value> = serde_json::from_str(line)
            .map_err(|error| RowFault::new(n as u64 + 1, "", format!("it is no JSON object: {error}")))?;
        for key in row
            .keys()
            .filter(|key| !columns.contains(key))
            .collect::<Vec<_>>()
        {
            columns.push(key.clone());
        }
        rows.push(row);
    }
    let written = |cells: Vec<String>| {
        csv_line(cells.into_iter()).map_err(|error| RowFault::new(1, "", error.to_string()))
    };
    let mut table = written(columns.clone())?;
    for (n, row) in rows.iter().enumerate() {
        let cells: Result<Vec<String>, RowFault> = columns
            .iter()
            .map(|column| match row.get(column) {
                None | Some(Value::Null) => Ok(String::new()),
                Some(Value::String(text)) => Ok(text.clone()),
                Some(Value::Number(number)) => Ok(number.to_string()),
                Some(Value::Bool(yes)) => Ok(if *yes { "yes" } else { "no" }.to_string()),
                Some(_) => Err(RowFault::new(
                    n as u64 + 1,
                    column,
                    "a text or a number is wanted",
                )),
            })
            .collect();
        table.push_str(&written(cells?)?);
    }
    Ok(table)
}

fn columns(head: &csv::StringRecord) -> Result<Vec<&'static str>, RowFault> {
    let names = PAPER_COLUMNS.map(|(name, _)| name);
    let mut columns = Vec::new();
    for cell in head {
        let wanted = cell.to_lowercase().replace([' ', '-'], "_");
        let Some(name) = names.into_iter().find(|name| *name == wanted) else {
            let near = crate::document::nearest(&wanted, &names)
                .map_or(String::new(), |near| format!("; did you mean {near}?"));
            let parted = match head.len() {
                1 => "; commas, semicolons or tabs stand between the cells",
                _ => "",
            };
            let column: String = cell.chars().take(MOST_OF_A_NAME).collect();
            return Err(RowFault::new(
                1,
                &column,
                format!("there is no such column{near}{parted}"),
            ));
        };
        if columns.contains(&name) {
            return Err(RowFault::new(1, name, "the column stands there twice"));
        }
        columns.push(name);
    }
    for name in ["day", "by"] {
        if !columns.contains(&name) {
            return Err(RowFault::new(1, name, "this column is wanted and is not there"));
        }
    }
    Ok(columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answers(text: &str) -> Vec<(String, String)> {
        let read = PaperRecords::read(text).unwrap();
        assert_eq!(read.faults, [], "{text}");
        let cells = read.records.iter().flat_map(|record| &record.answers);
        cells
            .map(|(slot, cell)| (slot.clone(), cell.text.clone()))
            .collect()
    }

    #[test]
    fn commas_semicolons_and_tabs_quotes_and_line_ends_say_the_same() {
        let right = answers("day,by,plate,thickness\n2019-04-12,Ann,G1,1.98\n");
        for text in [
            "day;by;plate;thickness\r\n2019-04-12;Ann;G1;1.98\r\n",
            "\u{feff}Day\tBy\tPlate\tThickness\n2019-04-12\tAnn\tG1\t1.98",
            "\"day\",\"by\",\"plate\",\"thickness\"\n\"2019-04-12\",\"Ann\", G1 ,\"1.98\"\n\n,,,\n",
        ] {
            assert_eq!(answers(text), right, "{text:?}");
        }
        // a comma inside quotation marks, and a line's end
        let said = answers("day,by,reason\n2019-04-12,\"Ann, B.\",\"two\nlines\"\n");
        assert!(
            said.contains(&("reason".to_string(), "two\nlines".to_string())),
            "{said:?}"
        );
        assert!(
            said.contains(&("who".to_string(), "Ann, B.".to_string())),
            "{said:?}"
        );
    }

    #[test]
    fn a_decimal_comma_is_one_where_semicolons_part_the_cells_and_never_a_guess() {
        let file = |sign: &str, cells: &str| {
            let head = ["day", "by", "distance", "found_breakaway", "plate", "thickness"].join(sign);
            PaperRecords::read(&format!("{head}\n2019-04-12{sign}Ann{sign}{cells}\n")).unwrap()
        };
        let told = |read: &PaperRecords| -> Vec<String> {
            let answers = read.records[0].answers.iter();
            answers
                .filter(|(slot, _)| *slot != "who")
                .map(|(_, cell)| cell.text.clone())
                .collect()
        };
        let right = ["1500,5 km", "88,5 N.m", "1,998 mm"];
        let read = file(";", &[right[0], right[1], "G1", right[2]].join(";"));
        assert_eq!(told(&read), ["1500.5 km", "88.5 N.m", "1.998 mm"]);
        // a comma in quotation marks in a file of commas says nothing, and is refused where it is taken for a value
        let read = file(",", "1500,88,G1,\"1,998\"");
        assert_eq!(told(&read), ["1500", "88", "1,998"]);
        // as little where another reading of the file has a point
        let read = file(";", "1500;88.5;G1;1,998");
        assert_eq!(told(&read), ["1500", "88.5", "1,998"]);
        for (cells, words) in [
            ("1500;88;G1;1.998,5", "has a point and a comma"),
            ("1500;1.088,5;G1;1,99", "has a point and a comma"),
            ("1.500 km;88,5;G1;1,99", "can be read as 1500 or as 1.5;"),
            ("1,500 km;88,5;G1;1,99", "can be read as 1500 or as 1,5;"),
            ("1,000 km;88,5;G1;1,99", "can be read as 1000 or as 1;"),
        ] {
            let faults = file(";", cells).faults;
            assert!(
                faults.len() == 1 && faults[0].words.contains(words),
                "{cells}: {faults:?}"
            );
        }
    }

    #[test]
    fn a_head_that_does_not_fit_is_refused_with_the_nearest_name() {
        for (text, line) in [
            ("", "line 1: there is nothing in it"),
            ("\n\n", "line 1: there is nothing in it"),
            ("day\n", "line 1, by: this column is wanted"),
            ("day,by\n", "line 1: there is no row under the head"),
            (
                "day by\n",
                "line 1, day by: there is no such column; commas, semicolons or tabs stand between",
            ),
            (
                "day,\"by\nd,Ann\n",
                "line 1: a quotation mark is opened in this row and never closed",
            ),
            (
                "day,by,reason\nd,Ann,\ne,Ann,\"worn\nf,Ann,\n",
                "line 3: a quotation mark is opened in this row and never closed",
            ),
            (
                "day,by,thicknes\n",
                "line 1, thicknes: there is no such column; did you mean thickness?",
            ),
            ("day,by,by\n", "line 1, by: the column stands there twice"),
        ] {
            let fault = PaperRecords::read(text).unwrap_err().to_string();
            assert!(fault.starts_with(line), "{text:?}: {fault}");
        }
        // each by the line that an editor shows, whatever stands before it
        for (text, line) in [
            ("day,by\n\n\n,Ann\n", 4),
            ("day,by\r\n\r\n,Ann\r\n", 3),
            ("\u{feff}day,by\rd,\"Ann,\rB.\"\r,Ann\r", 4),
            ("\n\nday,by\nd,Ann\n\n,Ann", 6),
        ] {
            let read = PaperRecords::read(text).unwrap();
            let lines: Vec<u64> = read.faults.iter().map(|fault| fault.line).collect();
            assert_eq!(lines, [line], "{text:?}");
        }
        // a mark inside a cell is one of the cell
        let said = answers("day,by,reason\n\n2019-04-12,Ann,a 12\" wheel");
        assert!(
            said.contains(&("reason".to_string(), "a 12\" wheel".to_string())),
            "{said:?}"
        );
    }

    #[test]
    fn each_row_that_is_not_taken_says_its_line_and_why() {
        let text = "day,by,car,plate,thickness,sure\n,Ann,,G1,1.9,\nd,Ann,one,G1,1.9,\nd,Ann,other,G2,1.8,\nd,,,G1,1.9,\nd,,,G3,,\nd,,,,1.7,\nd,,,G4,1.6,maybe\nd,,,,,,,\n";
        let read = PaperRecords::read(text).unwrap();
        let told: Vec<String> = read.faults.iter().map(ToString::to_string).collect();
        let begins = [
            "line 2, day: it is empty",
            "line 4, car: line 3 has it as one",
            "line 5, thickness: line 3 has this plate as 1.9",
            "line 6, plate: nothing is said of plate G3",
            "line 7, plate: which plate",
            "line 8, sure: yes or nothing",
            "line 9: 8 cells under 6 columns; a cell that has a comma in it stands in quotation marks",
        ];
        assert_eq!(told.len(), begins.len(), "{told:#?}");
        for (told, begin) in told.iter().zip(begins) {
            assert!(told.starts_with(begin), "{told}");
        }
    }
}
