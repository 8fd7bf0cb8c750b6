use crate::history::{Grid, Trace, WearShown};
use crate::sheet::{filled, labelled, table};

const WIDTH: usize = 80;

/// How a unit wears, for the terminal.
pub(super) fn words(shown: &WearShown<'_>) -> String {
    let wear = shown.wear;
    let mut text = filled(
        &format!("{} ({}): {}.", wear.name, wear.unit, shown.headline()),
        WIDTH,
    );
    for told in &wear.told {
        text.push_str(&filled(&format!("note: {told}"), WIDTH));
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
        text.push_str(&filled(&outside, WIDTH));
        text.push('\n');
    }
    text.push_str(&filled(&shown.first(), WIDTH));
    text.push_str(&filled(shown.bands(), WIDTH));
    text.push_str(&remedies(shown));
    text
}

fn laid(grid: &Grid) -> String {
    let head: Vec<&str> = grid.head.iter().map(String::as_str).collect();
    format!("{}\n\n", table(&head, &grid.rows, WIDTH))
}

fn remedies(shown: &WearShown<'_>) -> String {
    let mut text = "\nWhat to do about it\n".to_string();
    if let Some(remedies) = shown.remedies() {
        text.push_str(&filled(&shown.by_then(), WIDTH));
        text.push('\n');
        text.push_str(&laid(&remedies));
    }
    for words in shown.remedy_words() {
        text.push_str(&filled(&words, WIDTH));
    }
    if shown.remedies().is_some() {
        text.push_str(&filled(shown.assumed(), WIDTH));
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
    let drawn: Vec<(f64, f64)> = trace
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
        WIDTH,
    );
    text.push_str(&labelled(
        &drawn,
        &drawn,
        [&labels[0], &labels[1]],
        ["0", &format!("{far:.0} {}", trace.along)],
    ));
    text.push_str("\n\n");
    text
}
