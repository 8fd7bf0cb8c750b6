//! A whole report as lines.

use super::picture::drawn;
use super::table::table;
use super::text::{filled, hanging};
use crate::report::{Part, Report, Section};

/// A whole report as lines that are at most `width` columns wide (but at least 20), each with its newline.
///
/// ```
/// use shimwright::{report::{Figures, Report, Section}, screen::lines};
/// let report = Report::of(Figures::new())
///     .with(Section::new().words("Two builds."))
///     .with(Section::under("Open points").item("- ", "the proof is not done"));
/// assert_eq!(lines(&report, 80), "Two builds.\n\nOpen points\n- the proof is not done\n");
/// ```
pub fn lines(report: &Report, width: usize) -> String {
    let sections: Vec<String> = report
        .sections
        .iter()
        .map(|section| of_section(section, width))
        .collect();
    sections.join("\n")
}

fn of_section(section: &Section, width: usize) -> String {
    let mut out = String::new();
    if !section.head.is_empty() {
        out.push_str(&filled(&section.head, width));
    }
    for part in &section.parts {
        out.push_str(&match part {
            Part::Words(words) => filled(words, width),
            Part::Item(mark, words) => hanging(mark, words, width),
            Part::Warning(words) => filled(&format!("note: {words}"), width),
            Part::Table(wanted) => table(wanted, width),
            Part::Picture(picture) => drawn(picture, width),
        });
    }
    out
}
