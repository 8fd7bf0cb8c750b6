//! Pictures drawn with signs: curves and lines in braille dots, layers a line each.

use super::text::{NARROWEST, cut};
use crate::quantity::visible;
use crate::report::{Curve, Layers, Picture, Plane};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The bits of a cell's dots, by column and row.
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// Of how many dots of a thin line one is drawn.
const THIN: usize = 4;

/// The same of an upright.
const UPRIGHT: usize = 2;

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

/// A picture as lines that are at most `width` columns wide (but at least 20), each with its newline.
///
/// ```
/// use shimwright::report::{Curve, Picture, Plane};
/// use shimwright::screen::drawn;
/// let curve = Curve {
///     line: vec![(0.0, 0.0), (1.0, 1.0)],
///     marks: vec![(0.5, 0.5)],
///     beside: ["100 %", "0 %"].map(String::from),
///     below: ["0 km", "500 km"].map(String::from),
///     ..Curve::default()
/// };
/// let text = drawn(&Picture::Curve(curve), 80);
/// assert_eq!(text.lines().count(), 10);
/// assert!(text.starts_with("100 % │") && text.contains('o') && text.ends_with("500 km\n"));
///
/// let lines = vec![vec![(-50.0, -50.0), (100.0, 100.0)]];
/// let marks = vec![((0.0, 100.0), 'x')];
/// let plane = Plane { range: (-50.0, 100.0), lines, marks, unit: "N·m", ..Plane::default() };
/// let text = drawn(&Picture::Plane(plane), 80);
/// assert!(text.contains('x') && text.contains("100 N·m"));
/// ```
pub fn drawn(picture: &Picture, width: usize) -> String {
    let width = width.max(NARROWEST);
    let lines = match picture {
        Picture::Signs(lines) => lines.iter().flat_map(|line| of_signs(line, width)).collect(),
        Picture::Layers(layers) => of_layers(layers, width),
        Picture::Curve(curve) => of_curve(curve, width),
        Picture::Plane(plane) => of_plane(plane, width),
    };
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

/// A line whose spaces mean something: where it is too wide it goes on below, from a space on if there is one near the end.
fn of_signs(line: &str, width: usize) -> Vec<String> {
    let shown = visible(line);
    let (mut lines, mut part) = (Vec::new(), String::new());
    for c in shown.trim_end().chars() {
        if part.width() + c.width().unwrap_or(0) > width {
            let space = part.rfind(' ').filter(|at| 2 * at > part.len());
            let rest = space.map_or(String::new(), |at| part.split_off(at + 1));
            lines.push(std::mem::replace(&mut part, rest));
        }
        part.push(c);
    }
    lines.push(part);
    lines
}

/// A line a layer; how thick they are stands below each other, not at the far edge of a wide terminal.
fn of_layers(layers: &Layers, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = layers
        .above
        .iter()
        .map(|line| cut(&visible(line), width))
        .collect();
    for (n, layer) in layers.layers.iter().enumerate() {
        let size = visible(&layer.size);
        let left = cut(
            &format!("  {} {:>3}  {}", layer.signs, n + 1, visible(&layer.words)),
            width.saturating_sub(size.width() + 2),
        );
        let column = width.min(60).saturating_sub(size.width());
        let gap = column.saturating_sub(left.width()).max(2);
        lines.push(format!("{left}{}{size}", " ".repeat(gap)));
    }
    lines
}

fn of_curve(curve: &Curve, width: usize) -> Vec<String> {
    const ROWS: usize = 8;
    let ([high, low], [from, to]) = (&curve.beside, &curve.below);
    let [half_up, half_on] = &curve.middles;
    let beside = high.width().max(low.width()).max(half_up.width());
    let columns = 60.min(width.saturating_sub(beside + 2)).max(1);
    let mut canvas = Canvas::new(columns, ROWS);
    let held = |points: &Places| -> Vec<(f64, f64)> {
        points
            .iter()
            .map(|(x, y)| (x.clamp(0.0, 1.0), y.clamp(0.0, 1.0)))
            .collect()
    };
    for at in &curve.uprights {
        let at = at.clamp(0.0, 1.0);
        canvas.line(&[(at, 0.0), (at, 1.0)], UPRIGHT);
    }
    canvas.line(&held(&curve.thin), THIN);
    canvas.line(&held(&curve.line), 1);
    for place in held(&curve.marks) {
        canvas.mark(place, 'o');
    }
    let label = |n| match n {
        0 => high,
        n if n == ROWS - 1 => low,
        n if n == ROWS / 2 => half_up,
        _ => "",
    };
    let mut lines: Vec<String> = canvas
        .lines()
        .into_iter()
        .enumerate()
        .map(|(n, line)| format!("{:>beside$} │{line}", label(n)))
        .collect();
    lines.push(format!("{:beside$} └{}", "", "─".repeat(columns)));
    // the middle one where there is room between the two at the ends
    let before = (columns / 2).saturating_sub(from.width() + half_on.width() / 2);
    let after = columns.saturating_sub(from.width() + before + half_on.width() + to.width());
    let middle = match before > 0 && after > 0 {
        true => format!("{:before$}{half_on}", ""),
        false => String::new(),
    };
    let room = columns.saturating_sub(from.width() + middle.width());
    lines.push(format!("{:beside$}  {from}{middle}{to:>room$}", ""));
    lines.extend(named(&curve.names, width));
    lines
}

/// What is what, a line each; a longer one goes on below.
fn named(names: &[String], width: usize) -> Vec<String> {
    let lines = names.iter().flat_map(|line| of_signs(line, width));
    lines.map(|line| line.trim_end().to_string()).collect()
}

fn of_plane(plane: &Plane, width: usize) -> Vec<String> {
    let (least, most) = plane.range;
    let ends = [most, 0.0, least].map(|value| format!("{value:.0}"));
    let wide = ends.iter().map(|end| end.chars().count()).max().unwrap_or(0);
    let last = format!("{} {}", ends[0], plane.unit);
    // the last label begins below the edge and ends past it
    let columns = 44
        .min(width.saturating_sub(wide + 2 + plane.unit.width() + 1))
        .max(1);
    let rows = (columns * 5).div_ceil(11);
    let place = |value: f64| (value - least) / (most - least).max(f64::MIN_POSITIVE);
    let places = |line: &Vec<(f64, f64)>| -> Vec<(f64, f64)> {
        line.iter().map(|(x, y)| (place(*x), place(*y))).collect()
    };
    let mut canvas = Canvas::new(columns, rows);
    for line in &plane.thin {
        canvas.line(&places(line), THIN);
    }
    for line in &plane.lines {
        canvas.line(&places(line), 1);
    }
    for ((x, y), sign) in &plane.marks {
        canvas.mark((place(*x), place(*y)), *sign);
    }
    let zero = canvas.cell((place(0.0), place(0.0)));
    let mut lines: Vec<String> = canvas
        .lines()
        .into_iter()
        .enumerate()
        .map(|(n, line)| {
            let line = with_axes(&line, n, zero, columns);
            let label = match n {
                0 => &ends[0],
                n if n == rows - 1 => &ends[2],
                n if n == zero.1 => &ends[1],
                _ => "",
            };
            format!("{label:>wide$} │{line}")
        })
        .collect();
    lines.push(format!("{:wide$} └{}", "", "─".repeat(columns)));
    let mut foot = vec![' '; columns + 8];
    for (at, words) in [
        (0, ends[2].as_str()),
        (zero.0, ends[1].as_str()),
        (columns.saturating_sub(ends[0].chars().count()), last.as_str()),
    ] {
        for (place, sign) in foot.iter_mut().skip(at).zip(words.chars()) {
            *place = sign;
        }
    }
    let foot: String = foot.into_iter().collect();
    lines.push(format!("{:wide$}  {}", "", foot.trim_end()));
    lines.extend(named(&plane.names, width));
    lines
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

    fn curve(line: &Places, thin: &Places, marks: &Places) -> String {
        let of = |places: &Places| places.to_vec();
        let curve = Curve {
            line: of(line),
            thin: of(thin),
            marks: of(marks),
            beside: ["100 %", "0 %"].map(String::from),
            below: ["0 %", "100 %"].map(String::from),
            ..Curve::default()
        };
        drawn(&Picture::Curve(curve), 80)
    }

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
    fn uprights_middles_and_names_are_drawn_where_there_is_room() {
        let curve = Picture::Curve(Curve {
            uprights: vec![0.5],
            beside: ["100 %", "0 %"].map(String::from),
            below: ["0 %", "100 %"].map(String::from),
            middles: ["50 %", "50 % throttle"].map(String::from),
            names: vec!["upright: from here on a wheel spins".to_string()],
            ..Curve::default()
        });
        let text = drawn(&curve, 80);
        let lines: Vec<&str> = text.lines().collect();
        // half of 32 dots, in one column of dots
        assert_eq!(
            dots(&text)
                .iter()
                .map(Vec::len)
                .collect::<Vec<_>>()
                .iter()
                .sum::<usize>(),
            16
        );
        assert!(lines[4].starts_with(" 50 % │"), "{text}");
        assert!(lines[9].contains("  50 % throttle  "), "{text}");
        assert_eq!(lines[10], "upright: from here on a wheel spins");
        let narrow = drawn(&curve, 24);
        assert!(!narrow.contains("50 % throttle"), "{narrow}");
        assert!(narrow.lines().all(|line| line.chars().count() <= 24), "{narrow}");
    }

    #[test]
    fn what_lies_past_the_edges_of_a_plane_is_left_out() {
        let far = vec![
            vec![(-900.0, -900.0), (900.0, 900.0)],
            vec![(500.0, 500.0), (900.0, 500.0)],
        ];
        let plane = Picture::Plane(Plane {
            range: (-100.0, 100.0),
            lines: far,
            thin: vec![],
            marks: vec![((400.0, 0.0), 'x'), ((0.0, 0.0), '+')],
            unit: "N·m",
            names: vec![],
        });
        for width in [20, 40] {
            let narrow = drawn(&plane, width);
            assert!(
                narrow.lines().all(|line| line.chars().count() <= width),
                "{narrow}"
            );
        }
        let drawn = drawn(&plane, 80);
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
