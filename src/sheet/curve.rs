//! Curves drawn in the terminal with braille dots: a value over throttle, and torque at one wheel against torque at the
//! other.

use unicode_width::UnicodeWidthStr;

/// The bits of a cell's dots, by column and row.
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// Of how many dots of a thin line one is drawn.
const THIN: usize = 4;

/// Places from 0 to 1, to the right and up.
type Places = [(f64, f64)];

/// Cells of two dots across and four down.
struct Canvas {
    columns: usize,
    bits: Vec<Vec<u32>>,
    marks: Vec<(usize, usize, char)>,
}

impl Canvas {
    fn new(columns: usize, rows: usize) -> Canvas {
        Canvas {
            columns,
            bits: vec![vec![0; columns]; rows],
            marks: Vec::new(),
        }
    }

    /// The nearest dot, from the upper left corner; past the edges where the place is.
    fn dot(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (across, down) = ((2 * self.columns - 1) as f64, (4 * self.bits.len() - 1) as f64);
        ((x * across).round(), ((1.0 - y) * down).round())
    }

    /// The cell of a place between the edges.
    fn cell(&self, place: (f64, f64)) -> (usize, usize) {
        let (x, y) = self.dot(place);
        (x as usize / 2, y as usize / 4)
    }

    /// A line from place to place, of which one dot in `every` is drawn. What lies past the edges is left out.
    fn line(&mut self, places: &Places, every: usize) {
        const MOST_DOTS: f64 = 4000.0;
        let mut nth = 0;
        for pair in places.windows(2) {
            let (from, to) = (self.dot(pair[0]), self.dot(pair[1]));
            let long = (to.0 - from.0).abs().max((to.1 - from.1).abs()).min(MOST_DOTS);
            for step in 0..=long as usize {
                let part = if long > 0.0 { step as f64 / long } else { 0.0 };
                let at = (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1));
                if nth % every == 0 {
                    self.light(at.0.round(), at.1.round());
                }
                // the last dot of a piece is the first of the next
                nth += usize::from(step < long as usize);
            }
        }
    }

    fn light(&mut self, x: f64, y: f64) {
        if x < 0.0 || y < 0.0 {
            return;
        }
        let (x, y) = (x as usize, y as usize);
        if let Some(cell) = self.bits.get_mut(y / 4).and_then(|row| row.get_mut(x / 2)) {
            *cell |= DOTS[x % 2][y % 4];
        }
    }

    fn mark(&mut self, place: (f64, f64), sign: char) {
        let (x, y) = self.dot(place);
        if x >= 0.0 && y >= 0.0 {
            let (x, y) = self.cell(place);
            self.marks.push((x, y, sign));
        }
    }

    fn lines(&self) -> Vec<String> {
        let cell = |bits: &u32| match *bits {
            0 => ' ',
            bits => char::from_u32(0x2800 + bits).unwrap_or(' '),
        };
        let mut lines: Vec<Vec<char>> = self
            .bits
            .iter()
            .map(|row| row.iter().map(cell).collect())
            .collect();
        for (x, y, sign) in &self.marks {
            if let Some(place) = lines.get_mut(*y).and_then(|line| line.get_mut(*x)) {
                *place = *sign;
            }
        }
        lines
            .into_iter()
            .map(|line| line.into_iter().collect::<String>().trim_end().to_string())
            .collect()
    }
}

/// A curve over 0 to 1 whose height is held between 0 and 1, another one thinly beside it, and marks, as lines that are
/// at most 68 columns wide. Points stand in rising order of the first number.
///
/// ```
/// let drawn = shimwright::sheet::curve(&[(0.0, 0.0), (1.0, 1.0)], &[], &[(0.5, 0.5)]);
/// assert_eq!(drawn.lines().count(), 10);
/// assert!(drawn.starts_with("100 % │") && drawn.contains('o'));
/// ```
pub fn curve(points: &Places, thin: &Places, marks: &Places) -> String {
    framed(points, thin, marks, ["100 %", "0 %"], ["0 %", "100 %"])
}

/// One curve with marks between other ends: `high` and `low` beside the axis (at most 12 characters), `ends` below it.
///
/// ```
/// let drawn = shimwright::sheet::labelled(&[(0.0, 1.0), (1.0, 0.0)], &[], ["2.00 mm", "1.90 mm"], ["0 km", "5000 km"]);
/// assert!(drawn.starts_with("2.00 mm │") && drawn.ends_with("5000 km"));
/// ```
pub fn labelled(points: &Places, marks: &Places, beside: [&str; 2], ends: [&str; 2]) -> String {
    framed(points, &[], marks, beside, ends)
}

fn framed(
    points: &Places,
    thin: &Places,
    marks: &Places,
    [high, low]: [&str; 2],
    [from, to]: [&str; 2],
) -> String {
    const COLUMNS: usize = 60;
    const ROWS: usize = 8;
    let beside = UnicodeWidthStr::width(high).max(UnicodeWidthStr::width(low));
    let mut canvas = Canvas::new(COLUMNS, ROWS);
    let held = |points: &Places| -> Vec<(f64, f64)> {
        points
            .iter()
            .map(|(x, y)| (x.clamp(0.0, 1.0), y.clamp(0.0, 1.0)))
            .collect()
    };
    canvas.line(&held(thin), THIN);
    canvas.line(&held(points), 1);
    for place in held(marks) {
        canvas.mark(place, 'o');
    }
    let label = |n| match n {
        0 => high,
        n if n == ROWS - 1 => low,
        _ => "",
    };
    let mut lines: Vec<String> = canvas
        .lines()
        .into_iter()
        .enumerate()
        .map(|(n, line)| format!("{:>beside$} │{line}", label(n)))
        .collect();
    lines.push(format!("{:beside$} └{}", "", "─".repeat(COLUMNS)));
    let room = COLUMNS.saturating_sub(UnicodeWidthStr::width(from));
    lines.push(format!("{:beside$}  {from}{to:>room$}", ""));
    lines.join("\n")
}

/// What a plane shows.
pub struct Plane<'a> {
    /// The least and the greatest value along both edges; the least is below 0.
    pub range: (f64, f64),
    /// Lines.
    pub lines: &'a [Vec<(f64, f64)>],
    /// Lines that are drawn thinly.
    pub thin: &'a [Vec<(f64, f64)>],
    /// Marks with their signs.
    pub marks: &'a [((f64, f64), char)],
    /// The unit of measure of both edges.
    pub unit: &'a str,
}

/// A square plane with both axes through 0, as lines that are at most 60 columns wide.
///
/// ```
/// use shimwright::sheet::{Plane, plane};
/// let line = vec![vec![(-50.0, -50.0), (100.0, 100.0)]];
/// let drawn = plane(&Plane { range: (-50.0, 100.0), lines: &line, thin: &[], marks: &[((0.0, 100.0), 'x')], unit: "N·m" });
/// assert!(drawn.contains('x') && drawn.contains("100 N·m"));
/// ```
pub fn plane(plane: &Plane<'_>) -> String {
    const COLUMNS: usize = 44;
    const ROWS: usize = 20;
    let (least, most) = plane.range;
    let place = |value: f64| (value - least) / (most - least).max(f64::MIN_POSITIVE);
    let places = |line: &Vec<(f64, f64)>| -> Vec<(f64, f64)> {
        line.iter().map(|(x, y)| (place(*x), place(*y))).collect()
    };
    let mut canvas = Canvas::new(COLUMNS, ROWS);
    for line in plane.thin {
        canvas.line(&places(line), THIN);
    }
    for line in plane.lines {
        canvas.line(&places(line), 1);
    }
    for ((x, y), sign) in plane.marks {
        canvas.mark((place(*x), place(*y)), *sign);
    }
    let ends = [most, 0.0, least].map(|value| format!("{value:.0}"));
    let wide = ends.iter().map(|end| end.chars().count()).max().unwrap_or(0);
    let zero = canvas.cell((place(0.0), place(0.0)));
    let mut lines: Vec<String> = canvas
        .lines()
        .into_iter()
        .enumerate()
        .map(|(n, line)| {
            let line = with_axes(&line, n, zero, COLUMNS);
            let label = match n {
                0 => &ends[0],
                n if n == ROWS - 1 => &ends[2],
                n if n == zero.1 => &ends[1],
                _ => "",
            };
            format!("{label:>wide$} │{line}")
        })
        .collect();
    lines.push(format!("{:wide$} └{}", "", "─".repeat(COLUMNS)));
    let mut foot = vec![' '; COLUMNS + 8];
    let last = format!("{} {}", ends[0], plane.unit);
    for (at, words) in [
        (0, ends[2].as_str()),
        (zero.0, ends[1].as_str()),
        (COLUMNS.saturating_sub(ends[0].chars().count()), last.as_str()),
    ] {
        for (place, sign) in foot.iter_mut().skip(at).zip(words.chars()) {
            *place = sign;
        }
    }
    let foot: String = foot.into_iter().collect();
    lines.push(format!("{:wide$}  {}", "", foot.trim_end()));
    lines.join("\n")
}

/// A line with the axes through a cell in it, where nothing else is.
fn with_axes(line: &str, n: usize, (x, y): (usize, usize), columns: usize) -> String {
    let mut cells: Vec<char> = line.chars().collect();
    cells.resize(columns, ' ');
    for (at, cell) in cells.iter_mut().enumerate().filter(|(_, cell)| **cell == ' ') {
        *cell = match (at == x, n == y) {
            (true, true) => '┼',
            (true, false) => '│',
            (false, true) => '─',
            (false, false) => ' ',
        };
    }
    cells.into_iter().collect::<String>().trim_end().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Height, in dots from the top, of the dots of each column.
    fn dots(drawn: &str) -> Vec<Vec<usize>> {
        let mut columns = vec![Vec::new(); 120];
        for (n, line) in drawn.lines().take(8).enumerate() {
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
        let columns = dots(&curve(&[(0.0, 0.0), (1.0, 1.0)], &[], &[]));
        assert_eq!(columns.first().unwrap(), &[31]);
        assert_eq!(columns.last().unwrap(), &[0]);
        assert!(columns.windows(2).all(|pair| pair[1][0] <= pair[0][0]));
        assert!(columns.iter().all(|dots| dots.len() == 1));
    }

    #[test]
    fn a_step_is_drawn_through_and_what_is_past_the_top_stays_at_it() {
        let columns = dots(&curve(
            &[(0.0, 0.0), (0.5, 0.0), (0.5, 3.0), (1.0, 3.0)],
            &[],
            &[],
        ));
        // a dot for each column, and the rest of the height in one of them
        let all: usize = columns.iter().map(Vec::len).sum();
        assert_eq!(all, 120 + 31);
        assert!(columns.iter().any(|column| column.len() == 32));
        assert_eq!(columns.last().unwrap(), &[0]);
    }

    #[test]
    fn a_thin_line_has_one_dot_in_four() {
        let all: usize = dots(&curve(&[], &[(0.0, 0.5), (1.0, 0.5)], &[]))
            .iter()
            .map(Vec::len)
            .sum();
        assert_eq!(all, 30);
    }

    #[test]
    fn no_points_draw_nothing_but_the_frame() {
        assert!(dots(&curve(&[], &[], &[])).iter().all(Vec::is_empty));
        assert!(!curve(&[], &[], &[]).contains('o'));
        assert!(
            curve(&[], &[], &[(1.0, 1.0)])
                .lines()
                .next()
                .unwrap()
                .ends_with('o')
        );
    }

    #[test]
    fn what_lies_past_the_edges_of_a_plane_is_left_out() {
        let far = vec![
            vec![(-900.0, -900.0), (900.0, 900.0)],
            vec![(500.0, 500.0), (900.0, 500.0)],
        ];
        let drawn = plane(&Plane {
            range: (-100.0, 100.0),
            lines: &far,
            thin: &[],
            marks: &[((400.0, 0.0), 'x'), ((0.0, 0.0), '+')],
            unit: "N·m",
        });
        assert!(!drawn.contains('x') && drawn.contains('+'));
        assert!(drawn.lines().all(|line| line.chars().count() <= 60), "{drawn}");
        // the diagonal goes from corner to corner
        let lines: Vec<&str> = drawn.lines().collect();
        assert!(
            lines[0].chars().count() > 40 && lines[19].chars().count() < 40,
            "{drawn}"
        );
    }
}
