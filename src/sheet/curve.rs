//! A curve drawn in the terminal with braille dots.

use unicode_width::UnicodeWidthStr;

/// Cells across and down; a cell has two dots across and four down.
const COLUMNS: usize = 60;
const ROWS: usize = 8;

/// The bits of a cell's dots, by column and row.
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// A curve over 0 to 1 whose height is held between 0 and 1, with marks, as lines that are at most 68 columns wide. Points
/// stand in rising order of the first number.
///
/// ```
/// let drawn = shimwright::sheet::curve(&[(0.0, 0.0), (1.0, 1.0)], &[(0.5, 0.5)]);
/// assert_eq!(drawn.lines().count(), 10);
/// assert!(drawn.starts_with("100 % │") && drawn.contains('o'));
/// ```
pub fn curve(points: &[(f64, f64)], marks: &[(f64, f64)]) -> String {
    labelled(points, marks, ["100 %", "0 %"], ["0 %", "100 %"])
}

/// The same between other ends: `high` and `low` beside the axis (at most 12 characters), `ends` below it.
///
/// ```
/// let drawn = shimwright::sheet::labelled(&[(0.0, 1.0), (1.0, 0.0)], &[], ["2.00 mm", "1.90 mm"], ["0 km", "5000 km"]);
/// assert!(drawn.starts_with("2.00 mm │") && drawn.ends_with("5000 km"));
/// ```
pub fn labelled(
    points: &[(f64, f64)],
    marks: &[(f64, f64)],
    [high, low]: [&str; 2],
    ends: [&str; 2],
) -> String {
    let beside = UnicodeWidthStr::width(high).max(UnicodeWidthStr::width(low));
    let mut cells = vec![[0_u32; COLUMNS]; ROWS];
    let (across, down) = (2 * COLUMNS, 4 * ROWS);
    let place = |part: f64, dots: usize| (part.clamp(0.0, 1.0) * (dots - 1) as f64).round() as usize;
    let mut before: Option<usize> = None;
    for column in 0..across {
        let Some(height) = height_at(points, column as f64 / (across - 1) as f64) else {
            before = None;
            continue;
        };
        let dot = place(1.0 - height, down);
        // from the dot before, so that a steep curve does not fall apart
        let from = before.map_or(dot, |before| {
            if before < dot {
                before + 1
            } else {
                before.saturating_sub(1)
            }
        });
        let (top, bottom) = if before == Some(dot) {
            (dot, dot)
        } else {
            (dot.min(from), dot.max(from))
        };
        for row in top..=bottom {
            if let Some(cell) = cells.get_mut(row / 4).and_then(|cells| cells.get_mut(column / 2)) {
                *cell |= DOTS[column % 2][row % 4];
            }
        }
        before = Some(dot);
    }
    let mut lines = Vec::new();
    for (n, row) in cells.iter().enumerate() {
        let mut line: Vec<char> = row
            .iter()
            .map(|bits| {
                if *bits == 0 {
                    ' '
                } else {
                    char::from_u32(0x2800 + bits).unwrap_or(' ')
                }
            })
            .collect();
        for (x, y) in marks {
            if place(1.0 - y, down) / 4 == n
                && let Some(cell) = line.get_mut(place(*x, across) / 2)
            {
                *cell = 'o';
            }
        }
        let label = match n {
            0 => high,
            _ if n == ROWS - 1 => low,
            _ => "",
        };
        let line: String = line.into_iter().collect();
        lines.push(format!("{label:>beside$} │{}", line.trim_end()));
    }
    lines.push(format!("{:beside$} └{}", "", "─".repeat(COLUMNS)));
    let [from, to] = ends;
    let room = COLUMNS.saturating_sub(UnicodeWidthStr::width(from));
    lines.push(format!("{:beside$}  {from}{to:>room$}", ""));
    lines.join("\n")
}

/// The height between the two points that stand about `x`; `None` outside them.
fn height_at(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let pair = points.windows(2).find(|pair| pair[0].0 <= x && x <= pair[1].0)?;
    let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
    let part = if x1 > x0 { (x - x0) / (x1 - x0) } else { 0.0 };
    Some(y0.clamp(0.0, 1.0) + part * (y1.clamp(0.0, 1.0) - y0.clamp(0.0, 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Height, in dots from the top, of the dots of each column.
    fn dots(drawn: &str) -> Vec<Vec<usize>> {
        let mut columns = vec![Vec::new(); 2 * COLUMNS];
        for (n, line) in drawn.lines().take(ROWS).enumerate() {
            for (at, cell) in line.chars().skip(7).enumerate() {
                let bits = (cell as u32).saturating_sub(0x2800);
                for (side, rows) in DOTS.iter().enumerate() {
                    let lit = rows.iter().enumerate().filter(|(_, bit)| bits & **bit != 0);
                    columns[2 * at + side].extend(lit.map(|(row, _)| 4 * n + row));
                }
            }
        }
        columns
    }

    #[test]
    fn a_straight_line_rises_a_dot_at_a_time() {
        let columns = dots(&curve(&[(0.0, 0.0), (1.0, 1.0)], &[]));
        assert_eq!(columns.first().unwrap(), &[4 * ROWS - 1]);
        assert_eq!(columns.last().unwrap(), &[0]);
        assert!(columns.windows(2).all(|pair| pair[1][0] <= pair[0][0]));
        assert!(columns.iter().all(|dots| dots.len() == 1));
    }

    #[test]
    fn a_step_is_drawn_through_and_what_is_past_the_top_stays_at_it() {
        let columns = dots(&curve(&[(0.0, 0.0), (0.5, 0.0), (0.5, 3.0), (1.0, 3.0)], &[]));
        let all: usize = columns.iter().map(Vec::len).sum();
        assert_eq!(all, 2 * COLUMNS + 4 * ROWS - 2);
        assert_eq!(columns.last().unwrap(), &[0]);
    }

    #[test]
    fn no_points_draw_nothing_but_the_frame() {
        assert!(dots(&curve(&[], &[])).iter().all(Vec::is_empty));
        assert!(!curve(&[], &[]).contains('o'));
        assert!(curve(&[], &[(1.0, 1.0)]).lines().next().unwrap().ends_with('o'));
    }
}
