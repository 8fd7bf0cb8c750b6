//! How a unit's wear and its remedies are told as a whole.

use super::wear_tables::{Trace, WearTables};
use crate::report::{Curve, Picture, Report, Section};

impl WearTables<'_> {
    /// How the unit wears: its builds, what they lose from one to the next, its plates pack by pack, what comes first, and what
    /// to do about it.
    pub fn report(&self) -> Report {
        let wear = self.wear;
        let head = format!("{} ({}): {}.", wear.name, wear.unit, self.headline());
        let packs = wear.packs.iter().filter_map(|pack| self.pack(pack));
        let sections = [
            wear.told
                .iter()
                .fold(Section::new().words(head), Section::warning),
            Section::new().table(self.builds()),
        ];
        Report::of(wear.summary(self.remedies))
            .with_all(sections)
            .with_all(self.proved().map(|words| Section::new().words(words)))
            .with_all(self.fadings().map(|table| Section::new().table(table)))
            .with_all(self.where_from().map(|words| Section::new().words(words)))
            .with_all(self.saws().iter().filter_map(saw))
            .with_all(packs.map(|(title, plates)| Section::under(title).table(plates)))
            .with(self.outside().into_iter().fold(Section::new(), Section::words))
            .with(Section::new().words(self.first()).words(self.bands()))
            .with_all(self.what_to_do())
    }

    fn what_to_do(&self) -> Vec<Section> {
        let head = Section::under("What to do about it");
        let words = self.remedy_words();
        match self.remedies() {
            None => vec![words.into_iter().fold(head, Section::words)],
            Some(remedies) => vec![
                head.words(self.by_then()),
                Section::new().table(remedies),
                words
                    .into_iter()
                    .fold(Section::new(), Section::words)
                    .words(self.assumed()),
            ],
        }
    }
}

/// Breakaway or gap over distance: as left, and what was found; `None` where there is nothing to draw.
fn saw(trace: &Trace) -> Option<Section> {
    let all = trace.points.iter().map(|point| point.1).chain(trace.limit);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    let far = trace.points.last().map_or(0.0, |last| last.0);
    if high <= low || far <= 0.0 {
        return None;
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
    let words = format!(
        "The {} from build to build ({}), o where it was read:",
        trace.what, trace.measure
    );
    let curve = Curve {
        line: places.clone(),
        thin: Vec::new(),
        marks: places,
        beside: [high, low].map(|end| format!("{end:.decimals$}")),
        below: ["0".to_string(), format!("{far:.0} {}", trace.along)],
        ..Curve::default()
    };
    Some(Section::new().words(words).picture(Picture::Curve(curve)))
}
