//! A table as lines, whose rows become paragraphs where they do not fit.

use super::text::{NARROWEST, wrapped};
use crate::quantity::visible;
use crate::report::{FIRM, Holds, Table};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, TableStyle, Width};
use unicode_width::UnicodeWidthStr;

/// A line under the head, and no other.
const LOOK: TableStyle = TableStyle::new().header_separator(LineStyle::none().fill('─').junction('─'));

/// The widest that is laid out: past this a line is not found again on the way back.
const WIDEST: usize = 400;

/// A word is broken only if it is longer than this: a path, a digest.
const LONG_WORD: usize = 16;

/// A number is broken only if it is longer than this: one with its band and words besides.
const LONG_FIGURE: usize = 20;

/// A table in lines.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Laid {
    /// The heads of the columns; none where rows became paragraphs.
    pub head: Vec<String>,
    /// The line below them; empty where there are none.
    pub rule: String,
    /// The rows.
    pub rows: Vec<String>,
}

/// A table as lines that are at most `width` columns wide (but at least 20), each with its newline. Where its columns do
/// not fit, each row is a paragraph. Control characters are made visible.
///
/// ```
/// use shimwright::{report::Table, screen::table};
/// let plates = Table::of_words(["plate", "kind", "verdict"], [["A1", "friction plate", "too close to call"]]);
/// let text = table(&plates, 80);
/// assert_eq!(text.lines().next(), Some("plate  kind            verdict"));
/// assert_eq!(table(&plates, 24), "plate: A1;\n  kind: friction plate;\n  verdict: too close to\n  call\n");
/// ```
pub fn table(table: &Table, width: usize) -> String {
    let Laid { head, rule, rows } = laid(table, width);
    let rule = (!head.is_empty()).then_some(rule);
    let mut out = String::new();
    for line in head.into_iter().chain(rule).chain(rows) {
        out.push_str(&line);
        out.push('\n');
    }
    out
}

/// The same, head and rows by themselves.
pub fn laid(table: &Table, width: usize) -> Laid {
    let width = width.clamp(NARROWEST, WIDEST);
    let text = Text::of(table);
    let least: Vec<usize> = (0..text.heads.len()).map(|at| text.least(at)).collect();
    if least.iter().sum::<usize>() + between(least.len()) <= width {
        text.in_columns(&least, width)
    } else {
        Laid {
            head: Vec::new(),
            rule: String::new(),
            rows: text.in_paragraphs(width),
        }
    }
}

/// What stands between and behind so many columns: two spaces between two of them, and one at the end.
fn between(columns: usize) -> usize {
    (2 * columns).saturating_sub(1)
}

/// What stands in a table, made visible.
struct Text {
    heads: Vec<String>,
    holds: Vec<Holds>,
    rows: Vec<Vec<String>>,
}

impl Text {
    fn of(table: &Table) -> Text {
        let shown = |words: &str| visible(words).into_owned();
        // a row of more cells than there are columns is shown whole
        let count = table.rows.iter().map(Vec::len).max().unwrap_or(0);
        let mut heads: Vec<String> = table
            .columns
            .iter()
            .map(|column| shown(&column.title()))
            .collect();
        let mut holds: Vec<Holds> = table.columns.iter().map(|column| column.holds).collect();
        heads.resize(count.max(heads.len()), String::new());
        holds.resize(heads.len(), Holds::Words);
        let rows = table.rows.iter().map(|row| {
            let mut cells: Vec<String> = row.iter().map(|cell| shown(&cell.text())).collect();
            cells.resize(heads.len(), String::new());
            cells
        });
        Text {
            rows: rows.collect(),
            heads,
            holds,
        }
    }

    fn cells(&self, at: usize) -> impl Iterator<Item = &String> {
        self.rows.iter().filter_map(move |row| row.get(at))
    }

    /// How wide a column is at the least: its numbers are not broken, nor its words but the longest.
    fn least(&self, at: usize) -> usize {
        let longest_word = |words: &String| {
            let words = words.split(' ').map(UnicodeWidthStr::width);
            words.max().unwrap_or(0).min(LONG_WORD)
        };
        let of_cell = |cell: &String| match self.holds[at] {
            Holds::Figures if cell.width() <= LONG_FIGURE => cell.width(),
            Holds::Figures => longest_word(cell),
            Holds::Words | Holds::Lists => longest_word(cell),
        };
        let head = longest_word(&self.heads[at]);
        self.cells(at).map(of_cell).max().unwrap_or(0).max(head)
    }

    /// How wide a column is if nothing in it is broken.
    fn most(&self, at: usize) -> usize {
        let head = self.heads[at].width();
        self.cells(at)
            .map(|cell| cell.width())
            .max()
            .unwrap_or(0)
            .max(head)
    }

    /// How wide each column is: all that it has where there is room for that; else the widest are cut down to one width,
    /// but none below its least.
    fn widths(&self, least: &[usize], room: usize) -> Vec<usize> {
        let most: Vec<usize> = (0..least.len()).map(|at| self.most(at)).collect();
        let capped = |cap: usize| -> Vec<usize> {
            let columns = most.iter().zip(least);
            columns.map(|(most, least)| *most.min(&cap).max(least)).collect()
        };
        let fits = |cap: &usize| capped(*cap).iter().sum::<usize>() <= room;
        let widest = most.iter().copied().max().unwrap_or(0);
        let cap = (0..=widest.min(room)).rev().find(fits).unwrap_or(0);
        let mut widths = capped(cap);
        let mut over = room.saturating_sub(widths.iter().sum());
        for (wide, most) in widths.iter_mut().zip(&most) {
            if over > 0 && *wide < *most {
                (*wide, over) = (*wide + 1, over - 1);
            }
        }
        widths
    }

    fn in_columns(self, least: &[usize], width: usize) -> Laid {
        let widths = self.widths(least, width.saturating_sub(between(least.len())));
        let mut table = comfy_table::Table::new();
        table
            .load_style(LOOK)
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_width(width as u16)
            .force_no_tty();
        table.set_header(self.heads);
        for row in self.rows {
            table.add_row(row);
        }
        for ((column, holds), wide) in table.column_iter_mut().zip(self.holds).zip(widths) {
            column.set_padding((0, 1));
            column.set_constraint(ColumnConstraint::Absolute(Width::Fixed((wide + 1) as u16)));
            if holds == Holds::Figures {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        let mut head: Vec<String> = table
            .trim_fmt()
            .lines()
            .map(|line| line.replace(FIRM, " "))
            .collect();
        let is_rule = |line: &String| !line.is_empty() && line.chars().all(|c| c == '─');
        let at = head.iter().position(is_rule).unwrap_or(head.len());
        let mut below = head.split_off(at).into_iter();
        Laid {
            head,
            rule: below.next().unwrap_or_default(),
            rows: below.collect(),
        }
    }

    /// Each row as one paragraph, each cell with the head of its column.
    fn in_paragraphs(&self, width: usize) -> Vec<String> {
        let firm = |words: &str| words.replace(' ', &FIRM.to_string());
        let labelled = |(head, cell): (&String, &String)| {
            let label = match head.as_str() {
                "" => String::new(),
                head => format!("{}: ", firm(head)),
            };
            // a cell stays in one piece and with its label, unless they are wider than the screen
            match label.width() + cell.width() + 3 < width {
                true => firm(&format!("{label}{cell}")),
                false => format!("{label}{cell}"),
            }
        };
        let mut lines = Vec::new();
        for row in &self.rows {
            let cells: Vec<String> = self
                .heads
                .iter()
                .zip(row)
                .filter(|(_, cell)| !cell.is_empty())
                .map(labelled)
                .collect();
            let paragraph = wrapped(&cells.join("; "), "", "  ", width);
            lines.extend(paragraph.lines().map(str::to_string));
        }
        lines
    }
}
