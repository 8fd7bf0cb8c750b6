//! Columns of readings: text of a simple table, with its faults at their lines.

use super::faults::{Fault, Faults};
use std::ops::Range;

/// Reads `N` columns of numbers, with the place of every fault.
///
/// One row a line; what lies between numbers is a comma, a semicolon or white space, and between semicolons a comma
/// may be the decimal sign. Empty lines and lines that start with `#` count for nothing. The first line that is left
/// may name the columns, in words that do not start like a number; where it names just `names`, in whatever order, the
/// columns are taken by their names.
///
/// ```
/// use shimwright::document::read_columns;
/// let [x, y] = read_columns("wear.csv", "# runs, mm\nx,y\n0, 2.000\n1; 1,991\n", ["x", "y"])?;
/// assert_eq!((x, y), (vec![0.0, 1.0], vec![2.0, 1.991]));
/// let fault = read_columns("wear.csv", "1.98\n1.9a\n", ["value"]).unwrap_err();
/// assert!(fault.to_string().starts_with("wear.csv, line 2, column 1\n"));
/// # Ok::<(), shimwright::document::Faults>(())
/// ```
///
/// # Errors
///
/// A row of more or fewer numbers; what is no finite number; no row at all.
pub fn read_columns<const N: usize>(
    file: &str,
    source: &str,
    names: [&str; N],
) -> Result<[Vec<f64>; N], Faults> {
    let mut columns: [Vec<f64>; N] = std::array::from_fn(|_| Vec::new());
    // where in a row the number of each column stands
    let mut places: [usize; N] = std::array::from_fn(|i| i);
    let mut faults = Vec::new();
    let mut first = true;
    let text = source.strip_prefix('\u{feff}').unwrap_or(source);
    let mut end = source.len() - text.len();
    for line in text.split_inclusive('\n') {
        let start = end;
        end += line.len();
        if line.trim().is_empty() || line.trim_start().starts_with('#') {
            continue;
        }
        let (cells, decimal_comma) = cells(line);
        let at = |cell: &Range<usize>| start + cell.start..start + cell.end;
        let read = |cell: &Range<usize>| number(&line[cell.clone()], decimal_comma);
        if std::mem::take(&mut first) && cells.iter().all(|cell| is_name(&line[cell.clone()])) {
            let place = |name: &str| {
                cells
                    .iter()
                    .position(|cell| line[cell.clone()].eq_ignore_ascii_case(name))
            };
            let named = names.map(place);
            if cells.len() == N && named.iter().all(Option::is_some) {
                places = named.map(Option::unwrap_or_default);
            }
            continue;
        }
        if cells.len() != N {
            faults.push(Fault {
                rule: "sense",
                span: start..start + line.trim_end().len(),
                message: wrong_count(cells.len(), &names),
            });
            continue;
        }
        for (column, &place) in columns.iter_mut().zip(&places) {
            match read(&cells[place]) {
                Some(value) => column.push(value),
                None => faults.push(Fault {
                    rule: "sense",
                    span: at(&cells[place]),
                    message: format!("\"{}\" is no number", &line[cells[place].clone()]),
                }),
            }
        }
    }
    if faults.is_empty() && columns.iter().any(Vec::is_empty) {
        faults.push(Fault {
            rule: "sense",
            span: 0..0,
            message: "there is no number in the file".to_string(),
        });
    }
    if faults.is_empty() {
        return Ok(columns);
    }
    Err(Faults {
        file: file.to_string(),
        source: source.to_string(),
        faults,
    })
}

fn wrong_count(have: usize, names: &[&str]) -> String {
    let wanted = match names.len() {
        1 => "one number a line is wanted".to_string(),
        n => format!("{n} numbers a line are wanted: {}", names.join(", ")),
    };
    let found = match have {
        1 => "there is one value here".to_string(),
        n => format!("there are {n} values here"),
    };
    // 1,98 is two numbers unless a semicolon shows that the comma is a decimal sign
    format!("{found}, but {wanted}; a decimal is written with a point")
}

/// The places of the cells of a line, and whether a comma in one is its decimal sign.
fn cells(line: &str) -> (Vec<Range<usize>>, bool) {
    let trimmed = |range: Range<usize>| {
        let text = &line[range.clone()];
        let start = range.start + (text.len() - text.trim_start().len());
        start..start + text.trim().len()
    };
    let split = |mark: char| {
        let mut cells = Vec::new();
        let mut start = 0;
        for piece in line.split(mark) {
            cells.push(trimmed(start..start + piece.len()));
            start += piece.len() + mark.len_utf8();
        }
        // a mark at the end of the line opens no cell
        if cells.len() > 1 && cells.last().is_some_and(Range::is_empty) {
            cells.pop();
        }
        cells
    };
    if line.contains(';') {
        return (split(';'), true);
    }
    if line.contains(',') {
        return (split(','), false);
    }
    let mut cells = Vec::new();
    let mut start = None;
    for (at, c) in line.char_indices().chain([(line.len(), ' ')]) {
        match (start, c.is_whitespace()) {
            (None, false) => start = Some(at),
            (Some(from), true) => {
                cells.push(from..at);
                start = None;
            }
            _ => {}
        }
    }
    (cells, false)
}

/// Whether a cell of the first line names a column; a number with a slip in it does not.
fn is_name(text: &str) -> bool {
    !text.is_empty() && !text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-'))
}

/// A finite decimal number, with an exponent or without.
fn number(text: &str, decimal_comma: bool) -> Option<f64> {
    // the standard library also reads words such as "inf"
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | 'e' | 'E');
    let text = if decimal_comma {
        text.replacen(',', ".", 1)
    } else {
        text.to_string()
    };
    if !text.chars().all(plain) {
        return None;
    }
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(source: &str) -> Vec<(usize, String)> {
        let faults = read_columns("a.csv", source, ["x", "y"]).unwrap_err();
        let lines = faults
            .faults
            .iter()
            .map(|f| (faults.place(f).0, f.message.clone()));
        lines.collect()
    }

    #[test]
    fn every_usual_way_to_part_two_numbers_is_read() {
        for source in [
            "1,2",
            "1;2",
            "1 2",
            "1\t2\n",
            " 1 , 2 \r\n",
            "1;2;\n",
            "\u{feff}1,2",
            "x,y\n1e0,2.0",
        ] {
            let [x, y] = read_columns("a.csv", source, ["x", "y"]).unwrap();
            assert_eq!((x, y), (vec![1.0], vec![2.0]), "{source}");
        }
    }

    #[test]
    fn columns_are_taken_by_their_names_where_the_first_line_has_them() {
        let [x, y] = read_columns("a.csv", "Y,X\n1,2\n", ["x", "y"]).unwrap();
        assert_eq!((x, y), (vec![2.0], vec![1.0]));
        let [x, y] = read_columns("a.csv", "runs;wear\n1;2,5\n", ["x", "y"]).unwrap();
        assert_eq!((x, y), (vec![1.0], vec![2.5]));
    }

    #[test]
    fn every_fault_is_told_with_its_line() {
        let told = faults("x,y\n1,2\n3\n4,five\nnan,inf\n6,1e999\n7,,8\n");
        let lines: Vec<usize> = told.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [3, 4, 5, 5, 6, 7]);
        assert_eq!(
            told[0].1,
            "there is one value here, but 2 numbers a line are wanted: x, y; a decimal is written with a point"
        );
        assert_eq!(told[1].1, "\"five\" is no number");
        assert_eq!(
            faults("# nothing\n\n"),
            [(1, "there is no number in the file".to_string())]
        );
        assert_eq!(faults("x,y\n").len(), 1);
    }

    #[test]
    fn only_the_first_line_may_be_words() {
        assert_eq!(faults("x,y\n1,2\nx,y\n").len(), 2);
        assert_eq!(faults("1.9a,-2x\n").len(), 2);
        assert_eq!(faults("1,b\n"), [(1, "\"b\" is no number".to_string())]);
    }
}
