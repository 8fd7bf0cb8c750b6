//! Instruments drawn in lines of text.

/// Columns of one millimetre on a barrel or a rule.
const MM: usize = 4;

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

/// A micrometer's barrel, half millimetres below the line, and its thimble of fifty hundredths, whose edge covers what is not
/// reached yet. `halves` half millimetres are uncovered; `hundredths` of the thimble stand at the line.
pub(super) fn micrometer(halves: usize, hundredths: usize) -> Vec<String> {
    const LEFT: usize = 4;
    let column = |half: usize| LEFT + half * MM / 2;
    let edge = column(halves) + 1;
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
                let tens = (0..=halves).step_by(10);
                signs.extend(tens.map(|half| (column(half), (half / 2).to_string())));
            }
            1 => {
                let whole = (0..=halves).step_by(2);
                signs.extend(whole.map(|half| (column(half), "|".to_string())));
            }
            0 => signs.push((0, "=".repeat(edge))),
            -1 => {
                let half = (1..=halves).step_by(2);
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

/// The lines of a vernier and what stands across from each, as through a glass, one after the other: only one stands
/// straight across. `wide` columns a line; every `named`th has its number.
pub(super) fn vernier(count: usize, right: usize, wide: usize, named: usize) -> [String; 3] {
    let middle = wide / 2;
    let mut rows = [const { String::new() }; 3];
    for line in 0..count {
        // the rule's lines fall behind by one division over the whole vernier
        let off = right as i64 - line as i64;
        let near = if off.unsigned_abs() as usize > count / 2 {
            off - off.signum() * count as i64
        } else {
            off
        };
        let shift = near.clamp(-(middle as i64), middle as i64);
        let across = (middle as i64 + shift) as usize;
        let number = if line % named == 0 {
            (line / named).to_string()
        } else {
            String::new()
        };
        rows[0].push_str(&format!("{number:^wide$}"));
        rows[1].push_str(&format!(
            "{}|{}",
            " ".repeat(middle),
            " ".repeat(wide - middle - 1)
        ));
        rows[2].push_str(&format!(
            "{}|{}",
            " ".repeat(across),
            " ".repeat(wide - across - 1)
        ));
    }
    rows.map(|row| row.trim_end().to_string())
}

/// A rule in millimetres, with the nought of a vernier under it. `first` is the number at its left end, a ten; the nought
/// stands behind `whole` millimetres by `twentieths` of one.
pub(super) fn rule(first: usize, whole: usize, twentieths: usize) -> Vec<String> {
    const LONG: usize = 16;
    let marks: Vec<(usize, &str)> = (0..=LONG)
        .map(|n| (n * MM, if n % 5 == 0 { "|" } else { "'" }))
        .collect();
    let tens: Vec<(usize, String)> = (0..=LONG)
        .step_by(10)
        .map(|n| (n * MM, (first + n).to_string()))
        .collect();
    let tens: Vec<(usize, &str)> = tens.iter().map(|(at, ten)| (*at, ten.as_str())).collect();
    let nought = (whole - first) * MM + 1 + twentieths * 2 / 20;
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
