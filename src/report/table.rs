//! Tables as plain data: columns with their units of measure, and cells.

use std::borrow::Cow;

/// What stands between two things that no line is broken between, such as a number and its unit.
pub const FIRM: char = '\u{a0}';

/// Ties a number to the unit of measure behind it, with [`FIRM`] for the space.
///
/// ```
/// use shimwright::report::glued;
/// assert_eq!(glued("a gap of 1.03 mm in all"), "a gap of 1.03\u{a0}mm in all");
/// ```
pub fn glued(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut chars = words.chars().peekable();
    let mut last = ' ';
    while let Some(c) = chars.next() {
        let unit_follows = chars
            .peek()
            .is_some_and(|next| next.is_alphabetic() || *next == '°' || *next == '%');
        out.push(match c == ' ' && last.is_ascii_digit() && unit_follows {
            true => FIRM,
            false => c,
        });
        last = c;
    }
    out
}

/// What stands where there is nothing.
pub const NOTHING: &str = "–";

/// What a column of a table holds, and so how it is set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Holds {
    /// Words: set to the left and broken between words.
    Words,
    /// Numbers: set to the right and not broken.
    Figures,
    /// Lists of numbers: set to the left and not broken while there is any other way.
    Lists,
}

/// A column of a table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Column {
    /// What stands over it; empty where the cells say it themselves.
    pub head: String,
    /// The unit of measure of its numbers; empty where they have none or each has its own.
    pub unit: &'static str,
    /// What it holds.
    pub holds: Holds,
}

impl Column {
    /// A column of words.
    pub fn words(head: impl Into<String>) -> Column {
        Column::new(head, Holds::Words)
    }

    /// A column of numbers.
    pub fn figures(head: impl Into<String>) -> Column {
        Column::new(head, Holds::Figures)
    }

    /// A column of lists of numbers.
    pub fn lists(head: impl Into<String>) -> Column {
        Column::new(head, Holds::Lists)
    }

    fn new(head: impl Into<String>, holds: Holds) -> Column {
        Column {
            head: head.into(),
            unit: "",
            holds,
        }
    }

    /// The same with a unit of measure.
    pub fn of_unit(self, unit: &'static str) -> Column {
        Column { unit, ..self }
    }

    /// Head and unit of measure as they stand over the column.
    ///
    /// ```
    /// use shimwright::report::Column;
    /// assert_eq!(Column::figures("Mean").of_unit("mm").title(), "Mean, mm");
    /// assert_eq!(Column::figures("").of_unit("mm").title(), "mm");
    /// ```
    pub fn title(&self) -> Cow<'_, str> {
        match (self.head.as_str(), self.unit) {
            (head, "") => head.into(),
            ("", unit) => unit.into(),
            (head, unit) => format!("{head}, {unit}").into(),
        }
    }
}

/// What a cell says.
#[derive(Clone, PartialEq, Debug)]
enum Content {
    Words(String),
    Number {
        value: f64,
        decimals: usize,
        signed: bool,
    },
}

/// A cell of a table.
///
/// ```
/// use shimwright::report::Cell;
/// assert_eq!(Cell::from("inside").text(), "inside");
/// assert_eq!(Cell::number(1.98, 3).text(), "1.980");
/// assert_eq!(Cell::change(0.5, 1).text(), "+0.5");
/// // nothing is less than no number
/// assert_eq!(Cell::number(-0.01, 1).text(), "0.0");
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct Cell {
    content: Content,
    /// Whether it must not be missed.
    pub strong: bool,
}

impl Cell {
    /// A number in the unit of measure of its column, with so many decimals.
    pub fn number(value: f64, decimals: usize) -> Cell {
        Cell::of(Content::Number {
            value,
            decimals,
            signed: false,
        })
    }

    /// A change: a number with its sign, rises too.
    pub fn change(value: f64, decimals: usize) -> Cell {
        Cell::of(Content::Number {
            value,
            decimals,
            signed: true,
        })
    }

    /// A number, or nothing.
    pub fn maybe(value: Option<f64>, decimals: usize) -> Cell {
        value.map_or_else(Cell::default, |value| Cell::number(value, decimals))
    }

    /// Words that must not be missed if `strong`.
    pub fn strong_if(strong: bool, words: impl Into<String>) -> Cell {
        Cell {
            strong,
            ..Cell::from(words)
        }
    }

    fn of(content: Content) -> Cell {
        Cell {
            content,
            strong: false,
        }
    }

    /// The number, if it is one.
    pub fn value(&self) -> Option<f64> {
        match self.content {
            Content::Words(_) => None,
            Content::Number { value, .. } => Some(value),
        }
    }

    /// What stands in the table.
    pub fn text(&self) -> Cow<'_, str> {
        match &self.content {
            Content::Words(words) => words.into(),
            Content::Number {
                value,
                decimals,
                signed,
            } => {
                let text = number(*value, *decimals);
                match *signed && !text.starts_with('-') {
                    true => format!("+{text}").into(),
                    false => text.into(),
                }
            }
        }
    }
}

impl Default for Cell {
    /// A cell with nothing in it.
    fn default() -> Cell {
        Cell::from(NOTHING)
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(words: T) -> Cell {
        Cell::of(Content::Words(words.into()))
    }
}

/// A number with so many decimals; what is rounded to nothing has no sign.
///
/// ```
/// use shimwright::report::number;
/// assert_eq!([number(-2.26, 1), number(-0.04, 1)], ["-2.3", "0.0"]);
/// ```
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(nothing) if nothing.chars().all(|c| "0.".contains(c)) => nothing.to_string(),
        _ => text,
    }
}

/// A table: columns, and rows of as many cells.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table without rows.
    pub fn new(columns: impl IntoIterator<Item = Column>) -> Table {
        Table {
            columns: columns.into_iter().collect(),
            rows: Vec::new(),
        }
    }

    /// A table of words under these heads.
    ///
    /// ```
    /// use shimwright::report::Table;
    /// let table = Table::of_words(["plate", "mean"], [["A1", "1.980 mm"], ["A2", "1.975 mm"]]);
    /// assert_eq!((table.columns.len(), table.rows.len()), (2, 2));
    /// ```
    pub fn of_words<Row>(
        heads: impl IntoIterator<Item = impl Into<String>>,
        rows: impl IntoIterator<Item = Row>,
    ) -> Table
    where
        Row: IntoIterator<Item: Into<String>>,
    {
        Table {
            columns: heads.into_iter().map(Column::words).collect(),
            rows: rows
                .into_iter()
                .map(|row| row.into_iter().map(Cell::from).collect())
                .collect(),
        }
    }

    /// The same with one more row.
    pub fn row(mut self, cells: impl IntoIterator<Item = impl Into<Cell>>) -> Table {
        self.rows.push(cells.into_iter().map(Into::into).collect());
        self
    }
}
