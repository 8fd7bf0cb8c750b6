//! A sheet that was printed before, held against the one that the record gives now.

use super::page::{Item, Page};
use super::{Paper, RecordFiles, SheetError, pages, pdf, pdf_mark, pdf_reader, pdf_with_record};
use crate::record::Build;
use std::collections::BTreeSet;

/// The form of the pages and of the file, which goes up whenever the same record gives other bytes than before: 1 had no tags.
pub const PAGE_FORM: u32 = 2;

/// The fewest digits behind the point of a figure that is looked for: a thickness, a height or a gap.
const DECIMALS: usize = 3;

/// What a sheet that was printed before is, against a record.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum HeldSheet {
    /// Byte for byte what is printed from this state of the record: the how many-th of those that were given.
    Same(usize),
    /// It is not as the program wrote it.
    Touched,
    /// Its words can not be read.
    NotRead,
    /// It has no digest of a state that was given: it is of another record.
    Other,
    /// It has the digest of this state, but these figures that were typed do not stand on it.
    Lacks {
        /// The state, the how many-th of those that were given.
        state: usize,
        /// The figures.
        figures: Vec<String>,
    },
    /// It has the digest of this state, and every figure that was typed, and otherwise reads as another model or another form
    /// of the page.
    OtherForm {
        /// The state, the how many-th of those that were given.
        state: usize,
        /// How many figures that were typed stand on it.
        figures: usize,
        /// How many lines of today's sheet do not stand on it.
        lines: usize,
    },
}

/// Holds a sheet that was printed before against states of a record, the likeliest first, each with the lines of the journal
/// that it is of; a sheet that was printed with its record, with that `record`. `since` and `seals` of a state may have been others when the sheet was printed.
///
/// # Errors
///
/// As [`pdf`](super::pdf).
pub fn held_sheet(
    old: &[u8],
    states: &[(Build, &[u8])],
    record: Option<&RecordFiles>,
) -> Result<HeldSheet, SheetError> {
    if !pdf_mark::is_as_written(old) {
        return Ok(HeldSheet::Touched);
    }
    for (n, (build, _)) in states.iter().enumerate() {
        for paper in [Paper::A4, Paper::Letter] {
            let printed = match record {
                None => pdf(build, paper)?,
                Some(files) => pdf_with_record(build, paper, files)?,
            };
            if printed == old {
                return Ok(HeldSheet::Same(n));
            }
        }
    }
    let Some(words) = pdf_reader::text(old) else {
        return Ok(HeldSheet::NotRead);
    };
    let text = without_spaces(&words);
    let with_digest = |(build, _): &&(Build, &[u8])| !build.digest.is_empty() && text.contains(&build.digest);
    let Some(state) = states.iter().position(|state| with_digest(&state)) else {
        return Ok(HeldSheet::Other);
    };
    let (build, journal) = &states[state];
    let bare = Build {
        since: None,
        ..build.clone()
    };
    let lines = lines_of(&pages(&bare, Paper::A4));
    let journal = figures_in(&String::from_utf8_lossy(journal));
    let there = figures_in(&words);
    let typed: BTreeSet<String> = lines
        .iter()
        .flat_map(|line| figures_in(line))
        .filter(|figure| journal.contains(figure))
        .collect();
    let lacking: Vec<String> = typed.difference(&there).cloned().collect();
    if !lacking.is_empty() {
        return Ok(HeldSheet::Lacks {
            state,
            figures: lacking,
        });
    }
    let otherwise = lines.iter().filter(|line| !text.contains(&without_spaces(line)));
    Ok(HeldSheet::OtherForm {
        state,
        figures: typed.len(),
        lines: otherwise.count(),
    })
}

/// A text without the spaces between its words, which on a page are places and no characters.
fn without_spaces(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// The texts on pages, without their numbers.
fn lines_of(pages: &[Page]) -> BTreeSet<String> {
    let items = pages.iter().flat_map(|page| &page.items);
    items
        .filter_map(|item| match item {
            Item::Text { text, .. } if !text.starts_with("page ") => Some(text.clone()),
            _ => None,
        })
        .collect()
}

/// The figures in a text that have a point and so many digits behind it.
fn figures_in(text: &str) -> BTreeSet<String> {
    let parts = text.split(|c: char| !c.is_ascii_digit() && c != '.');
    parts
        .filter(|part| {
            part.split_once('.').is_some_and(|(whole, rest)| {
                !whole.is_empty() && rest.len() >= DECIMALS && rest.bytes().all(|b| b.is_ascii_digit())
            })
        })
        .map(str::to_string)
        .collect()
}
