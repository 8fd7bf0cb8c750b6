//! Wear as lines for the terminal.

use crate::app::output::width;
use crate::history::{Grid, Trace, WearShown};
use crate::report::{Curve, Picture, Table};
use crate::screen::{drawn, filled, table};

/// How a unit wears, for the terminal.
pub(super) fn words(shown: &WearShown<'_>) -> String {
    let wear = shown.wear;
    let mut text = filled(
        &format!("{} ({}): {}.", wear.name, wear.unit, shown.headline()),
        width(),
    );
    for told in &wear.told {
        text.push_str(&filled(&format!("note: {told}"), width()));
    }
    text.push('\n');
    text.push_str(&laid(&shown.builds()));
    if let Some(fadings) = shown.fadings() {
        text.push_str(&laid(&fadings));
        for trace in shown.saws() {
            text.push_str(&saw(&trace));
        }
    }
    for (title, plates) in wear.packs.iter().filter_map(|pack| shown.pack(pack)) {
        text.push_str(&format!("{title}\n"));
        text.push_str(&laid(&plates));
    }
    if let Some(outside) = shown.outside() {
        text.push_str(&filled(&outside, width()));
        text.push('\n');
    }
    text.push_str(&filled(&shown.first(), width()));
    text.push_str(&filled(shown.bands(), width()));
    text.push_str(&remedies(shown));
    text
}

fn laid(grid: &Grid) -> String {
    format!("{}\n", table(&Table::of_words(&grid.head, &grid.rows), width()))
}

fn remedies(shown: &WearShown<'_>) -> String {
    let mut text = "\nWhat to do about it\n".to_string();
    if let Some(remedies) = shown.remedies() {
        text.push_str(&filled(&shown.by_then(), width()));
        text.push('\n');
        text.push_str(&laid(&remedies));
    }
    for words in shown.remedy_words() {
        text.push_str(&filled(&words, width()));
    }
    if shown.remedies().is_some() {
        text.push_str(&filled(shown.assumed(), width()));
    }
    text
}

/// Breakaway or gap over distance: as left, and what was found.
fn saw(trace: &Trace) -> String {
    let all = trace.points.iter().map(|point| point.1).chain(trace.limit);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    let far = trace.points.last().map_or(0.0, |last| last.0);
    if high <= low || far <= 0.0 {
        return String::new();
    }
    let places: Vec<(f64, f64)> = trace
        .points
        .iter()
        .map(|(x, y)| (x / far, (y - low) / (high - low)))
        .collect();
    // a gap is a part of a millimetre, or hundredths of an inch
    let decimals = match high - low {
        span if span < 0.1 => 4,
        span if span < 5.0 => 2,
        _ => 0,
    };
    let labels = [format!("{high:.decimals$}"), format!("{low:.decimals$}")];
    let mut text = filled(
        &format!(
            "The {} from build to build ({}), o where it was read:",
            trace.what, trace.measure
        ),
        width(),
    );
    let curve = Curve {
        line: places.clone(),
        thin: Vec::new(),
        marks: places,
        beside: labels,
        below: ["0".to_string(), format!("{far:.0} {}", trace.along)],
    };
    text.push_str(&drawn(&Picture::Curve(curve), width()));
    text.push('\n');
    text
}
