//! The builds of a book as tables for other programs: CSV and JSON Lines, with documented columns.

use super::account::{
    Account, GapAccount, InstrumentAccount, PackAccount, PlateAccount, SpringAccount, UncertainLength,
};
use super::measure::{Word, chain_word, place_word, sprung_words, stored};
use super::own_answers::OwnAnswer;
use crate::quantity::{Force, Length, Torque};
use crate::report::ReportError;
use serde_json::{Map, Value};

/// What a cell holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CellKind {
    /// Words; empty where nothing is known.
    Text,
    /// A number with a point, in the unit of measure that stands in the column's name.
    Number,
    /// A whole number.
    Whole,
    /// true or false.
    Truth,
}

impl CellKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Text => "text",
            Number => "number",
            Whole => "whole number",
            Truth => "true or false",
        }
    }
}

/// A column: its name, what it holds, what it means, and how it is got.
struct Column<T> {
    name: &'static str,
    kind: CellKind,
    means: &'static str,
    /// Of a build, and of the thing of it that the row is about.
    get: fn(&Account, &T) -> Value,
}

const fn col<T>(
    name: &'static str,
    kind: CellKind,
    means: &'static str,
    get: fn(&Account, &T) -> Value,
) -> Column<T> {
    Column {
        name,
        kind,
        means,
        get,
    }
}

/// A table of the book.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ExportTable {
    /// A row a build.
    Builds,
    /// A row a plate of a build, spare plates of the drawer too.
    Plates,
    /// A row a pack of a build.
    Packs,
    /// A row a gap, or room for the springs, of a build.
    Closings,
    /// A row a spring of a build.
    Springs,
    /// A row an instrument that was used.
    Instruments,
    /// A row an answer in words at a step of the procedure's own.
    Answers,
}

use CellKind::{Number, Text, Truth, Whole};

fn text(text: &str) -> Value {
    if text.is_empty() {
        Value::Null
    } else {
        Value::from(text)
    }
}

fn list(names: &[String]) -> Value {
    text(&names.join(" "))
}

fn um(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |length| Value::from(length.um()))
}

fn lengths(lengths: &[Length]) -> Value {
    let each: Vec<String> = lengths.iter().map(|length| length.um().to_string()).collect();
    list(&each)
}

fn nm(torque: Option<Torque>) -> Value {
    torque.map_or(Value::Null, |torque| Value::from(torque.newton_metres()))
}

fn newtons(force: Option<Force>) -> Value {
    force.map_or(Value::Null, |force| Value::from(force.newtons()))
}

fn value(doubted: &Option<UncertainLength>) -> Value {
    um(doubted.as_ref().map(|one| one.value))
}

fn doubt(doubted: &Option<UncertainLength>) -> Value {
    um(doubted.as_ref().map(|one| one.uncertainty))
}

fn whole<N: Into<Value>>(number: Option<N>) -> Value {
    number.map_or(Value::Null, Into::into)
}

const BUILDS: &[Column<()>] = &[
    col(
        "finished",
        Text,
        "when it was finished, RFC 3339; nothing while it is not",
        |a, _| text(a.finished.as_deref().unwrap_or("")),
    ),
    col("unit_name", Text, "the unit's name", |a, _| text(&a.unit_name)),
    col("car", Text, "the car", |a, _| text(&a.car)),
    col("reason", Text, "why the unit was opened", |a, _| text(&a.reason)),
    col("job_number", Text, "the shop's number of the job", |a, _| {
        text(&a.job_number)
    }),
    col("customer", Text, "for whom it was done", |a, _| text(&a.customer)),
    col(
        "promised",
        Text,
        "by which day it was promised, as 2027-03-31",
        |a, _| text(&a.promised),
    ),
    col("by", Text, "who did the work", |a, _| text(&a.by)),
    col("checked_by", Text, "who signed as the second person", |a, _| {
        text(&a.checked_by)
    }),
    col("procedure", Text, "the procedure's id", |a, _| text(&a.procedure)),
    col(
        "copied",
        Truth,
        "whether it is a copy of an old paper, so that nothing was measured with this program",
        |a, _| Value::from(a.copied),
    ),
    col(
        "round",
        Whole,
        "the round of the figures as left, from 1",
        |a, _| Value::from(a.round),
    ),
    col(
        "built",
        Truth,
        "whether it put the unit together anew, so that distances count from it",
        |a, _| Value::from(a.is_built()),
    ),
    col(
        "distance_km",
        Number,
        "how far the car went since the unit was last built",
        |a, _| whole(a.distance.map(|distance| distance.kilometres())),
    ),
    col(
        "running_h",
        Number,
        "how long the unit ran since it was last built",
        |a, _| whole(a.running.map(|running| running.hours())),
    ),
    col("open_points", Text, "what is still open, in words", |a, _| {
        text(&a.open.join("; "))
    }),
    col(
        "problems",
        Text,
        "what is wrong with the record: its figures end where it can be trusted",
        |a, _| text(&a.not_whole()),
    ),
    col(
        "preload_least_n",
        Number,
        "the force on each pack that is wanted, least",
        |a, _| newtons(a.preload_wanted.map(|wanted| wanted[0])),
    ),
    col("preload_most_n", Number, "the same, most", |a, _| {
        newtons(a.preload_wanted.map(|wanted| wanted[2]))
    }),
    col(
        "preload_u_n",
        Number,
        "standard uncertainty of the preload as left, by what was measured: what the force of the springs is in doubt by, several \
         times as much, stays with the unit, is not in it, and stands on the sheet",
        |a, _| newtons(a.preload_uncertainty),
    ),
    col(
        "held",
        Text,
        "case or output: the way of holding that the breakaway is meant in",
        |a, _| text(stored(a.breakaway.held)),
    ),
    col(
        "breakaway_found_nm",
        Number,
        "breakaway as received, turning",
        |a, _| nm(a.breakaway.found),
    ),
    col(
        "breakaway_left_nm",
        Number,
        "breakaway as left, turning",
        |a, _| nm(a.breakaway.left),
    ),
    col(
        "breakaway_left_u_nm",
        Number,
        "its standard uncertainty",
        |a, _| nm(a.breakaway.left_uncertainty),
    ),
    col(
        "breakaway_still_nm",
        Number,
        "breakaway as left, at first movement",
        |a, _| nm(a.breakaway.left_still),
    ),
    col(
        "breakaway_least_nm",
        Number,
        "the least that is wanted",
        |a, _| nm(a.breakaway.least),
    ),
    col("breakaway_most_nm", Number, "the most", |a, _| {
        nm(a.breakaway.most)
    }),
    col(
        "breakaway_verdict",
        Text,
        "inside, too close to call, outside",
        |a, _| text(stored(a.breakaway.verdict)),
    ),
    col(
        "friction",
        Number,
        "the friction that the plates showed while turning",
        |a, _| whole(a.breakaway.friction.map(|friction| friction.value())),
    ),
    col("oil", Text, "the oil that went in", |a, _| text(&a.oil)),
    col("oil_l", Number, "how much of it, in litres", |a, _| {
        whole(a.oil_amount.map(|amount| amount.litres()))
    }),
    col("digest", Text, "the digest of the record, SHA-256", |a, _| {
        text(&a.digest)
    }),
];

const PLATES: &[Column<PlateAccount>] = &[
    col(
        "plate",
        Text,
        "its name in the unit's or the drawer's file",
        |_, p| text(&p.name),
    ),
    col("part", Text, "what it is called across units", |_, p| {
        text(&p.part)
    }),
    col("keyed", Text, "gear or case", |_, p| text(p.keyed.stored())),
    col("spare", Truth, "whether it came out of the drawer", |_, p| {
        Value::from(p.spare)
    }),
    col("nominal_um", Number, "thickness as new, by its file", |_, p| {
        um(p.nominal)
    }),
    col("limit_um", Number, "the least that its unit allows it", |_, p| {
        um(p.limit)
    }),
    col("side_found", Text, "left or right, as found", |_, p| {
        text(stored(p.side_found))
    }),
    col(
        "place_found",
        Whole,
        "its place there, from 1 at the case wall",
        |_, p| whole(p.place_found),
    ),
    col(
        "side_left",
        Text,
        "left or right, as left; nothing where it was left out",
        |_, p| text(stored(p.side_left)),
    ),
    col("place_left", Whole, "its place there", |_, p| whole(p.place_left)),
    col("mean_um", Number, "mean thickness as found", |_, p| {
        value(&p.mean)
    }),
    col("mean_u_um", Number, "its standard uncertainty", |_, p| {
        doubt(&p.mean)
    }),
    col("least_um", Number, "the least reading", |_, p| um(p.least)),
    col(
        "spread_um",
        Number,
        "the greatest reading less the least",
        |_, p| um(p.spread),
    ),
    col("flatness_um", Number, "out of flat", |_, p| um(p.flatness)),
    col("look", Text, "how it looked", |_, p| text(&p.look)),
    col("verdict", Text, "inside, too close to call, outside", |_, p| {
        text(stored(p.verdict))
    }),
    col("rejected", Truth, "whether it was thrown out", |_, p| {
        Value::from(p.rejected)
    }),
    col("why", Text, "why it was thrown out or doubted", |_, p| {
        text(&p.why)
    }),
];

const PACKS: &[Column<PackAccount>] = &[
    col("side", Text, "left or right", |_, p| text(p.side.word())),
    col(
        "plates_found",
        Text,
        "plates as found from the case wall on, a space between them",
        |_, p| list(&p.plates_found),
    ),
    col("plates_left", Text, "the same as left", |_, p| {
        list(p.plates_left.as_deref().unwrap_or_default())
    }),
    col(
        "shims_found_um",
        Text,
        "shims as found, a space between them",
        |_, p| lengths(&p.shims_found),
    ),
    col("shims_left_um", Text, "shims as left", |_, p| {
        lengths(p.shims_left.as_deref().unwrap_or_default())
    }),
    col("faces_found", Whole, "how many faces rubbed", |_, p| {
        Value::from(p.faces_found)
    }),
    col("faces_left", Whole, "how many faces rub as left", |_, p| {
        whole(p.faces_left)
    }),
    col(
        "preload_found_n",
        Number,
        "spring force on the pack as found",
        |_, p| newtons(p.preload_found),
    ),
    col("preload_left_n", Number, "spring force as left", |_, p| {
        newtons(p.preload_left)
    }),
];

const CLOSINGS: &[Column<GapAccount>] = &[
    col("chain", Text, "left, right, or through", |_, c| {
        text(chain_word(c.chain))
    }),
    col("what", Text, "gap, or room for springs", |_, c| {
        text(sprung_words(c.sprung))
    }),
    col("found_um", Number, "as found", |_, c| value(&c.found)),
    col("found_u_um", Number, "its standard uncertainty", |_, c| {
        doubt(&c.found)
    }),
    col("left_um", Number, "as left", |_, c| value(&c.left)),
    col("left_u_um", Number, "its standard uncertainty", |_, c| {
        doubt(&c.left)
    }),
    col(
        "measured",
        Truth,
        "whether the one as left was measured at the dry build",
        |_, c| Value::from(c.measured),
    ),
    col("verdict", Text, "inside, too close to call, outside", |_, c| {
        text(stored(c.verdict))
    }),
];

const SPRINGS: &[Column<SpringAccount>] = &[
    col("place", Text, "left, right, or middle", |_, s| {
        text(place_word(s.place))
    }),
    col(
        "look_found",
        Text,
        "how it looked when the unit was opened: good, turned, pitted, cracked or broken",
        |_, s| s.looks.first().map_or(Value::Null, |look| text(look)),
    ),
    col(
        "another",
        Truth,
        "whether another was put in its place",
        |_, s| Value::from(s.another),
    ),
    col(
        "height_um",
        Number,
        "free height, of the one that was put in where there is one",
        |_, s| value(&s.height),
    ),
    col("height_u_um", Number, "its standard uncertainty", |_, s| {
        doubt(&s.height)
    }),
    col(
        "least_um",
        Number,
        "the least free height that the unit's file allows",
        |_, s| um(s.least),
    ),
];

const INSTRUMENTS: &[Column<InstrumentAccount>] = &[
    col(
        "role",
        Text,
        "micrometer, depth gauge, torque wrench, press",
        |_, i| text(&i.role.to_string()),
    ),
    col("instrument", Text, "its name", |_, i| text(&i.id)),
    col("due", Text, "the last day of its calibration", |_, i| {
        text(&i.due)
    }),
    col("overdue", Text, "why it was used out of date", |_, i| {
        text(&i.overdue)
    }),
    col(
        "zero_u_um",
        Number,
        "what the check of its zero leaves in doubt",
        |_, i| um(i.zero),
    ),
];

const ANSWERS: &[Column<OwnAnswer>] = &[
    col("procedure", Text, "the procedure's id", |a, _| text(&a.procedure)),
    col("question", Text, "the step, as the procedure names it", |_, o| {
        text(&o.question)
    }),
    col("asked", Text, "what was asked", |_, o| text(&o.asked)),
    col("answer", Text, "what was answered", |_, o| text(&o.answer)),
    col("by", Text, "who said it", |_, o| text(&o.by)),
    col("at", Text, "when, RFC 3339", |_, o| text(&o.at)),
];

/// A column as it is told to a person.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ColumnWords {
    /// Its name; the unit of measure stands in it.
    pub name: &'static str,
    /// What it holds.
    pub kind: CellKind,
    /// What it means.
    pub means: &'static str,
}

/// The columns that every table begins with.
const FIRST: &[Column<()>] = &[
    col("build", Text, "the build's name in the book", |a, _| {
        text(&a.build)
    }),
    col("unit", Text, "the unit's id", |a, _| text(&a.unit)),
    col("begun", Text, "when the build was begun, RFC 3339", |a, _| {
        text(&a.begun)
    }),
];

/// A form of writing a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ExportFormat {
    /// Comma-separated values with a head (RFC 4180): what is not known is an empty cell. A text that begins with a sign
    /// which a spreadsheet would take for a formula (= + - @, a tab) has an apostrophe before it.
    Csv,
    /// The same for a spreadsheet where the comma is the decimal sign: semicolons between the cells, numbers with a comma, lines
    /// that end in CR LF, and a byte order mark at the head, by which the letters are known.
    Spreadsheet,
    /// A JSON object a line: what is not known is null.
    JsonLines,
}

impl ExportFormat {
    /// The head of a table; empty for JSON Lines.
    pub(super) fn head(self, columns: &[ColumnWords]) -> Result<String, ReportError> {
        let names = || columns.iter().map(|column| column.name.to_string());
        match self {
            ExportFormat::Csv => csv_line(names()),
            ExportFormat::Spreadsheet => Ok(format!("\u{feff}{}", spreadsheet_line(names())?)),
            ExportFormat::JsonLines => Ok(String::new()),
        }
    }

    /// A row of a table.
    pub(super) fn row(
        self,
        columns: &[ColumnWords],
        row: impl Iterator<Item = Value>,
    ) -> Result<String, ReportError> {
        match self {
            ExportFormat::Csv => csv_line(row.map(|cell| csv_cell(&cell))),
            ExportFormat::Spreadsheet => spreadsheet_line(row.map(|cell| match &cell {
                Value::Number(number) => number.to_string().replace('.', ","),
                other => csv_cell(other),
            })),
            ExportFormat::JsonLines => {
                let names = columns.iter().map(|column| column.name.to_string());
                let object: Map<String, Value> = names.zip(row).collect();
                Ok(format!("{}\n", Value::from(object)))
            }
        }
    }
}

impl ExportTable {
    /// Every table with its name.
    pub const ALL: [(ExportTable, &'static str); 7] = [
        (ExportTable::Builds, "builds"),
        (ExportTable::Plates, "plates"),
        (ExportTable::Packs, "packs"),
        (ExportTable::Closings, "closings"),
        (ExportTable::Springs, "springs"),
        (ExportTable::Instruments, "instruments"),
        (ExportTable::Answers, "answers"),
    ];

    /// Its columns in their order.
    pub fn columns(self) -> Vec<ColumnWords> {
        fn of<T>(columns: &[Column<T>]) -> impl Iterator<Item = ColumnWords> {
            columns.iter().map(|column| ColumnWords {
                name: column.name,
                kind: column.kind,
                means: column.means,
            })
        }
        let first = of(FIRST);
        match self {
            ExportTable::Builds => first.chain(of(BUILDS)).collect(),
            ExportTable::Plates => first.chain(of(PLATES)).collect(),
            ExportTable::Packs => first.chain(of(PACKS)).collect(),
            ExportTable::Closings => first.chain(of(CLOSINGS)).collect(),
            ExportTable::Springs => first.chain(of(SPRINGS)).collect(),
            ExportTable::Instruments => first.chain(of(INSTRUMENTS)).collect(),
            ExportTable::Answers => first.chain(of(ANSWERS)).collect(),
        }
    }

    /// How many rows one build has in it.
    pub fn count(self, account: &Account) -> usize {
        match self {
            ExportTable::Builds => 1,
            ExportTable::Plates => account.plates.len(),
            ExportTable::Packs => account.packs.len(),
            ExportTable::Closings => account.closings.len(),
            ExportTable::Springs => account.springs.len(),
            ExportTable::Instruments => account.instruments.len(),
            ExportTable::Answers => account.answers.len(),
        }
    }

    fn rows(self, account: &Account) -> Vec<Vec<Value>> {
        fn of<T>(account: &Account, things: &[T], columns: &[Column<T>]) -> Vec<Vec<Value>> {
            let row = |thing: &T| {
                let first = FIRST.iter().map(|column| (column.get)(account, &()));
                first
                    .chain(columns.iter().map(|column| (column.get)(account, thing)))
                    .collect()
            };
            things.iter().map(row).collect()
        }
        match self {
            ExportTable::Builds => of(account, &[()], BUILDS),
            ExportTable::Plates => of(account, &account.plates, PLATES),
            ExportTable::Packs => of(account, &account.packs, PACKS),
            ExportTable::Closings => of(account, &account.closings, CLOSINGS),
            ExportTable::Springs => of(account, &account.springs, SPRINGS),
            ExportTable::Instruments => of(account, &account.instruments, INSTRUMENTS),
            ExportTable::Answers => of(account, &account.answers, ANSWERS),
        }
    }

    /// The head of the table; empty for JSON Lines.
    ///
    /// # Errors
    ///
    /// It can not be written.
    pub fn head(self, format: ExportFormat) -> Result<String, ReportError> {
        format.head(&self.columns())
    }

    /// The rows of one build.
    ///
    /// ```
    /// use shimwright::history::{Account, ExportFormat, ExportTable};
    /// let build = Account { build: "moor-rear-0001".into(), car: "=SUM(A1)".into(), ..Account::default() };
    /// let line = ExportTable::Builds.lines(&build, ExportFormat::Csv)?;
    /// assert!(line.starts_with("moor-rear-0001,") && line.contains(",'=SUM(A1),"));
    /// let line = ExportTable::Builds.lines(&build, ExportFormat::JsonLines)?;
    /// assert!(line.contains("\"car\":\"=SUM(A1)\"") && line.contains("\"distance_km\":null"));
    /// # Ok::<(), shimwright::report::ReportError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// They can not be written.
    pub fn lines(self, account: &Account, format: ExportFormat) -> Result<String, ReportError> {
        let columns = self.columns();
        let mut out = String::new();
        for row in self.rows(account) {
            out.push_str(&format.row(&columns, row.into_iter())?);
        }
        Ok(out)
    }
}

pub(super) fn csv_cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => guarded(text),
        other => other.to_string(),
    }
}

/// What a spreadsheet takes for the beginning of a formula.
pub(super) const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A text for a cell: a spreadsheet that opens the file would work out what begins as a formula does.
pub(super) fn guarded(text: &str) -> String {
    match text.starts_with(FORMULA) {
        true => format!("'{text}"),
        false => text.to_string(),
    }
}

/// A line of CSV (RFC 4180).
pub(super) fn csv_line(cells: impl Iterator<Item = String>) -> Result<String, ReportError> {
    written(&mut csv::WriterBuilder::new(), cells)
}

/// A line for a spreadsheet where the comma is the decimal sign.
fn spreadsheet_line(cells: impl Iterator<Item = String>) -> Result<String, ReportError> {
    let mut with = csv::WriterBuilder::new();
    with.delimiter(b';').terminator(csv::Terminator::CRLF);
    written(&mut with, cells)
}

fn written(
    with: &mut csv::WriterBuilder,
    cells: impl Iterator<Item = String>,
) -> Result<String, ReportError> {
    let mut writer = with.from_writer(Vec::new());
    writer.write_record(cells).map_err(ReportError::of)?;
    let bytes = writer.into_inner().map_err(ReportError::of)?;
    String::from_utf8(bytes).map_err(ReportError::of)
}
