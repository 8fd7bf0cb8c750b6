//! A sheet that was printed before, held against the one that the record gives now.

use super::given_font::{GivenFont, named_in};
use super::layout::FONT_WORDS;
use super::measure::{in_built_in, with_font};
use super::page::{Item, Page};
use super::tags::Tag;
use super::{
    Paper, RecordFiles, SheetError, content, layout, pages, pdf, pdf_mark, pdf_reader, pdf_with_record,
};
use crate::record::Build;
use std::collections::{BTreeSet, HashMap};

/// The form of the pages and of the file, which goes up whenever the same record gives other bytes than before: 1 had no tags, 2 told
/// in English what a cover is under, whatever the language of its caution, 3 told a breakaway at the top under the way in which it
/// was read, not under that in which it is meant.
pub const PAGE_FORM: u32 = 4;

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
    /// It has the same words as what is printed from this state, part by part, and was printed with a font that was handed in
    /// then and is not at hand now. Drawings are not compared.
    SameWords {
        /// The state, the how many-th of those that were given.
        state: usize,
        /// The font's name and digest, as the sheet says.
        font: (String, String),
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
/// that it is of; a sheet that was printed with its record, with that `record`; one that names a font that was handed in, with that
/// `font` where it is the same, else by its words. `since` and `seals` of a state may have been others when the sheet was printed.
///
/// # Errors
///
/// As [`pdf`](super::pdf).
pub fn held_sheet(
    old: &[u8],
    states: &[(Build, &[u8])],
    record: Option<&RecordFiles>,
    font: Option<&GivenFont>,
) -> Result<HeldSheet, SheetError> {
    if !pdf_mark::is_as_written(old) {
        return Ok(HeldSheet::Touched);
    }
    let named = pdf_reader::keywords(old).and_then(|words| named_in(&words));
    let font = font.filter(|font| named.as_ref().is_some_and(|(_, digest)| digest == font.digest()));
    for (n, (build, _)) in states.iter().enumerate() {
        for paper in [Paper::A4, Paper::Letter] {
            let (printed, _) = with_font(font, || match record {
                None => pdf(build, paper),
                Some(files) => pdf_with_record(build, paper, files),
            });
            if printed? == old {
                return Ok(HeldSheet::Same(n));
            }
        }
    }
    let Some(words) = pdf_reader::text(old) else {
        return Ok(HeldSheet::NotRead);
    };
    if let Some(font) = named
        && let Some(state) = same_words(old, states, record)
    {
        return Ok(HeldSheet::SameWords { state, font });
    }
    let text = without_spaces(&in_built_in(&words));
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

/// The first of the states that is told in the very words of a file, whatever fonts either is set in: what stands in each part of
/// the sheet, without its spaces, each sign that the built-in faces lack as its code point, and what was cut for want of room
/// as far as it goes. That is what a sheet says; how wide its signs are is not.
fn same_words(old: &[u8], states: &[(Build, &[u8])], record: Option<&RecordFiles>) -> Option<usize> {
    let parts = pdf_reader::parts(old)?;
    let (of_font, told): (Vec<String>, Vec<String>) =
        parts.into_iter().partition(|part| part.starts_with(FONT_WORDS));
    if of_font.len() != 1 {
        return None;
    }
    let told = plain(told);
    states.iter().position(|(build, _)| {
        let document = match record {
            None => content::document(build),
            Some(files) => content::with_record(build, files),
        };
        [Paper::A4, Paper::Letter]
            .into_iter()
            .any(|paper| are_same(&plain(parts_of(&layout::pages(&document, paper))), &told))
    })
}

/// Parts as any font would have them, in the order of their letters.
fn plain(parts: Vec<String>) -> Vec<String> {
    let parts = parts.iter().map(|part| without_spaces(&in_built_in(part)));
    let mut plain: Vec<String> = parts.filter(|part| !part.is_empty()).collect();
    plain.sort();
    plain
}

/// Whether two lists have the same parts, one by one; a part that was cut is the same as far as it goes.
fn are_same(one: &[String], other: &[String]) -> bool {
    let mut left: Vec<&String> = other.iter().collect();
    let rest: Vec<&String> = one
        .iter()
        .filter(|part| match left.iter().position(|known| known == part) {
            Some(at) => {
                left.remove(at);
                false
            }
            None => true,
        })
        .collect();
    rest.len() == left.len()
        && rest.into_iter().all(|part| {
            let known = left.iter().position(|known| agree(part, known));
            known.map(|at| left.remove(at)).is_some()
        })
}

/// Whether one of two texts was cut, and the other begins with what is left of it.
fn agree(one: &str, other: &str) -> bool {
    let begins = |cut: &str, whole: &str| {
        cut.strip_suffix('…').is_some_and(|stem| {
            // a code point that was cut is none
            let stem = match (stem.rfind('['), stem.rfind(']')) {
                (Some(opens), closes) if closes.is_none_or(|closes| closes < opens) => &stem[..opens],
                _ => stem,
            };
            !stem.is_empty() && whole.starts_with(stem)
        })
    };
    begins(one, other) || begins(other, one)
}

/// What stands in each part of pages, in the order in which the parts begin.
fn parts_of(pages: &[Page]) -> Vec<String> {
    let (mut words, mut places): (Vec<String>, HashMap<usize, usize>) = (Vec::new(), HashMap::new());
    for page in pages {
        let mut part = None;
        for item in &page.items {
            match (item, part) {
                (Item::Tag(tag), _) => part = tag.as_ref().map(Tag::key),
                (Item::Text { text, .. }, Some(key)) => {
                    let place = *places.entry(key).or_insert(words.len());
                    match words.get_mut(place) {
                        Some(before) => before.push_str(text),
                        None => words.push(text.clone()),
                    }
                }
                _ => {}
            }
        }
    }
    words
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
