//! Pictures of drive days in signs: times over the order of the runs, and what was felt as a strip.

use super::compared::{FeltApart, SettingsCompared};
use super::day_report::time;
use crate::report::Picture;

/// How many lines the picture of the times is high.
const HIGH: usize = 11;
/// The most runs that stand beside each other.
const MOST: usize = 60;

/// Times over the order of the runs, `A` and `B` for the two settings, `·` where the line of the drift runs.
pub(super) fn times(compared: &SettingsCompared) -> Option<Picture> {
    let runs = compared.runs.get(..compared.runs.len().min(MOST))?;
    let all = runs.iter().flat_map(|run| [run.seconds, run.on_line]);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    if runs.is_empty() || !low.is_finite() {
        return None;
    }
    let span = (high - low).max(0.001);
    let row = |seconds: f64| ((high - seconds) / span * (HIGH - 1) as f64).round() as usize;
    let days = runs.last().map_or(0, |run| run.day);
    let wide = 2 * (runs.len() + days);
    let mut signs = vec![vec![' '; wide]; HIGH];
    let mut numbers = vec![' '; wide];
    for (at, run) in runs.iter().enumerate() {
        // a gap from day to day
        let column = 2 * (at + run.day);
        signs[row(run.on_line).min(HIGH - 1)][column] = '·';
        signs[row(run.seconds).min(HIGH - 1)][column] = if run.second { 'B' } else { 'A' };
        numbers[column] = char::from_digit((run.number % 10) as u32, 10).unwrap_or(' ');
    }
    let mut lines: Vec<String> = signs
        .iter()
        .enumerate()
        .map(|(at, row)| {
            let edge = match at {
                0 => time(Some(high)),
                _ if at == HIGH - 1 => time(Some(low)),
                _ => String::new(),
            };
            format!("{edge:>10} │ {}", row.iter().collect::<String>().trim_end())
        })
        .collect();
    lines.push(format!("{:>10} └{}", "", "─".repeat(wide + 1)));
    lines.push(format!(
        "{:>10}   {}",
        "run",
        numbers.iter().collect::<String>().trim_end()
    ));
    Some(Picture::Signs(lines))
}

/// What was felt, a line a phase: the answers of both settings over the five steps.
pub(super) fn felt(felt: &[FeltApart]) -> Option<Picture> {
    if felt.iter().all(|phase| phase.answers.iter().all(Vec::is_empty)) {
        return None;
    }
    let mut lines = vec![format!(
        "{:<10}{:<12}{:<12}{:<12}{:<12}{}",
        "", "--", "-", "0", "+", "++"
    )];
    for phase in felt {
        let cells = (-2..=2).map(|step| {
            let of = |which: usize, sign: &str| {
                let count = phase.answers[which]
                    .iter()
                    .filter(|answer| **answer == step)
                    .count();
                match count {
                    0..6 => sign.repeat(count),
                    more => format!("{sign}x{more}"),
                }
            };
            let cell = of(0, "A") + &of(1, "B");
            format!("{:<12}", if cell.is_empty() { "." } else { &cell })
        });
        let line = format!("{:<10}{}", phase.phase.word(), cells.collect::<String>());
        lines.push(line.trim_end().to_string());
    }
    Some(Picture::Signs(lines))
}
