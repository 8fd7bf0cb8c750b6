//! Instruments drawn in lines of text.

use std::ops::Range;

/// A row of signs at their columns; a later sign covers an earlier one.
pub(super) fn row(signs: &[(usize, &str)]) -> String {
    let mut cells: Vec<char> = Vec::new();
    for (at, sign) in signs {
        for (n, letter) in sign.chars().enumerate() {
            if cells.len() <= at + n {
                cells.resize(at + n + 1, ' ');
            }
            cells[at + n] = letter;
        }
    }
    cells.into_iter().collect::<String>().trim_end().to_string()
}

/// From so many hundredths past a line on, the next line of a barrel begins to show beside the edge.
pub(super) const SHOWS_FROM: usize = 47;

/// A micrometer's barrel, half millimetres below the line, and its thimble of fifty hundredths, whose edge stands where the
/// number is and covers what is not reached yet. `halves` half millimetres are passed; `hundredths` of the thimble stand at the
/// line. Just before a line is passed it begins to show, as lines have a width.
pub(super) fn micrometer(halves: usize, hundredths: usize) -> Vec<String> {
    const LEFT: usize = 4;
    // columns of half a millimetre
    const HALF: usize = 4;
    let column = |half: usize| LEFT + half * HALF;
    let edge = column(halves) + 1 + (hundredths + 50 - SHOWS_FROM) * HALF / 50;
    let shown = halves + usize::from(hundredths >= SHOWS_FROM);
    let thimble = |above: i64| {
        let at = (hundredths as i64 + above).rem_euclid(50);
        match at % 5 {
            0 => format!("|--- {at}"),
            _ => "|-".to_string(),
        }
    };
    let mut lines = Vec::new();
    for above in (-4..=4).rev() {
        let mut signs: Vec<(usize, String)> = Vec::new();
        match above {
            2 => {
                let tens = (0..=shown).step_by(10);
                signs.extend(tens.map(|half| (column(half), (half / 2).to_string())));
            }
            1 => {
                let whole = (0..=shown).step_by(2);
                signs.extend(whole.map(|half| (column(half), "|".to_string())));
            }
            0 => signs.push((0, "=".repeat(edge))),
            -1 => {
                let half = (1..=shown).step_by(2);
                signs.extend(half.map(|half| (column(half), "|".to_string())));
            }
            _ => {}
        }
        signs.push((edge, thimble(above)));
        let signs: Vec<(usize, &str)> = signs.iter().map(|(at, sign)| (*at, sign.as_str())).collect();
        lines.push(row(&signs));
    }
    lines
}

/// Columns from line to line of a vernier; the lines of its scale stand one column further apart.
const VERNIER: usize = 8;
/// The most lines of a vernier that stand in one picture, so that no two coincide.
pub(super) const SEEN: usize = VERNIER + 1;

/// Some lines of a vernier with those of the scale across from them, each row evenly spaced: only line `right` stands straight
/// above one of the scale. `lines` are those that are seen; every `named`th has its number.
pub(super) fn vernier(lines: Range<usize>, right: usize, named: usize) -> [String; 3] {
    const LEFT: usize = 2;
    let from = lines.start;
    let column = |line: usize| LEFT + (line - from) * VERNIER;
    let last = column(lines.end.saturating_sub(1));
    // the scale's lines, from the one that stands straight across to both sides
    let first = column(right) % (VERNIER + 1);
    let scale = (first..=last + 1).step_by(VERNIER + 1);
    let numbers: Vec<(usize, String)> = lines
        .clone()
        .filter(|line| line % named == 0)
        .map(|line| (column(line), (line / named).to_string()))
        .collect();
    let numbers: Vec<(usize, &str)> = numbers
        .iter()
        .map(|(at, number)| (*at, number.as_str()))
        .collect();
    let bars = |columns: Vec<usize>| -> String {
        let bars: Vec<(usize, &str)> = columns.into_iter().map(|at| (at, "|")).collect();
        row(&bars)
    };
    [
        row(&numbers),
        bars(lines.map(column).collect()),
        bars(scale.collect()),
    ]
}

/// A rule in millimetres, with the nought of a vernier under it. `first` is the number at its left end, a ten; the nought
/// stands behind `whole` millimetres by `twentieths` of one.
pub(super) fn rule(first: usize, whole: usize, twentieths: usize) -> Vec<String> {
    const LONG: usize = 12;
    // columns of a millimetre
    const MM: usize = 6;
    let marks: Vec<(usize, &str)> = (0..=LONG)
        .map(|n| (n * MM, if n % 5 == 0 { "|" } else { "'" }))
        .collect();
    let tens: Vec<(usize, String)> = (0..=LONG)
        .step_by(10)
        .map(|n| (n * MM, (first + n).to_string()))
        .collect();
    let tens: Vec<(usize, &str)> = tens.iter().map(|(at, ten)| (*at, ten.as_str())).collect();
    let nought = (whole - first) * MM + 1 + twentieths * (MM - 1) / 20;
    vec![row(&tens), row(&marks), row(&[(nought, "^")])]
}

/// A scale from nought, one column a division, ten divisions a number, each worth `worth`; hands at divisions, below it.
pub(super) fn scale(longest: usize, worth: usize, hands: &[(usize, &str)]) -> Vec<String> {
    const LEFT: usize = 2;
    let marks: Vec<(usize, &str)> = (0..=longest)
        .map(|n| {
            let sign = match n % 10 {
                0 => "|",
                5 => ":",
                _ => ".",
            };
            (LEFT + n, sign)
        })
        .collect();
    let numbers: Vec<(usize, String)> = (0..=longest)
        .step_by(10)
        .map(|n| {
            let number = (n * worth).to_string();
            (LEFT + n - number.len() / 2, number)
        })
        .collect();
    let numbers: Vec<(usize, &str)> = numbers
        .iter()
        .map(|(at, number)| (*at, number.as_str()))
        .collect();
    let hands: Vec<(usize, &str)> = hands.iter().map(|(at, sign)| (LEFT + at, *sign)).collect();
    vec![row(&numbers), row(&marks), row(&hands)]
}
