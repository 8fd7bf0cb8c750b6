//! The wear sheet: how a unit wears and what to do about it, on one page.

use super::blocks::{Block, Document, Section, Style, WearPictures};
use super::content::first_word;
use super::layout;
use super::measure::{Face, fit};
use super::numbers::{capital, first_groups, moment};
use super::page::{Margins, Page, Paper};
use crate::history::WearTables;
use crate::mechanics::Side;
use crate::report::Table;
use crate::workshop::Safety;

/// How much is said, so that it stays one page.
#[derive(Clone, Copy)]
struct Much {
    plates: usize,
    notes: usize,
    pictures: bool,
}

/// What is told of the builds themselves, at most.
const MOST_TOLD: usize = 2;
/// The most characters of a paragraph that came from a file.
const LONG: usize = 400;
/// No page has room for more rows.
const MOST_PLATES: usize = 60;
/// So many plates are kept before notes are left out.
const KEPT_PLATES: usize = 5;

const CAUTION: &str = "This is reckoned from readings and straight lines. Heat, dirt, other oil or a broken part bring a limit \
sooner: what is measured with the unit open counts, and plates are judged there.";

/// Its one page, with as much as it has room for.
pub(super) fn pages(shown: &WearTables<'_>, paper: Paper) -> (Vec<Page>, String) {
    let (plates, notes) = (shown.soonest().len().min(MOST_PLATES), shown.remedy_words().len());
    let few = plates.min(KEPT_PLATES);
    // fewer plates first, then fewer notes, then no plates, no pictures
    let steps = (few..=plates)
        .rev()
        .map(|plates| (plates, notes, true))
        .chain((0..notes).rev().map(|notes| (few, notes, true)))
        .chain((0..few).rev().map(|plates| (plates, 0, true)))
        .chain([(0, 0, false)]);
    let mut made = (Vec::new(), String::new());
    for (plates, notes, pictures) in steps {
        let much = Much {
            plates,
            notes,
            pictures,
        };
        let document = document(shown, much, paper);
        made = (layout::pages(&document, paper), document.title);
        if made.0.len() == 1 {
            break;
        }
    }
    made
}

fn document(shown: &WearTables<'_>, much: Much, paper: Paper) -> Document {
    let wear = shown.wear;
    let margins = Margins::SHEET;
    let room = paper.size().0 - margins.left - margins.right;
    let last = wear.builds.last().map(|build| &build.account);
    let car = last.map_or("", |account| account.car.as_str());
    let under = [
        format!("unit {}", wear.unit),
        car.to_string(),
        shown.headline(),
        last.map_or(String::new(), |account| {
            format!("the last of {}", moment(&account.begun))
        }),
    ];
    let under: Vec<String> = under.into_iter().filter(|part| !part.is_empty()).collect();
    let mut sections = vec![plates(shown, much)];
    sections.extend(over_distance(shown, much));
    sections.push(remedies(shown, much));
    Document {
        sheet: "wear sheet".to_string(),
        id: last.map_or(String::new(), |account| format!("after {}", account.build)),
        title: format!("{}: wear sheet", wear.name),
        // a name of two thousand characters must not push everything else off the page
        unit: fit(&wear.name, Face::Bold, 17.0, room * 1.8),
        under: fit(&under.join(" · "), Face::Regular, 9.5, room * 1.9),
        digest: last.map_or(String::new(), |account| first_groups(&account.digest)),
        finished: true,
        code: None,
        glance: None,
        sections,
    }
}

/// A table whose cells are not more than there is room for.
fn shortened(mut table: Table) -> Table {
    for cell in table.rows.iter_mut().flatten() {
        if cell.text().chars().count() > LONG {
            *cell = short(&cell.text()).into();
        }
    }
    table
}

/// Not more than a cell or a paragraph has room for.
fn short(words: &str) -> String {
    if words.chars().count() <= LONG {
        return words.to_string();
    }
    let kept: String = words.chars().take(LONG).collect();
    format!("{kept}…")
}

fn plates(shown: &WearTables<'_>, much: Much) -> Section {
    let soonest = shown.soonest();
    let table = shown.plates(&soonest[..much.plates.min(soonest.len())]);
    let mut blocks = Vec::new();
    for told in shown.wear.told.iter().take(MOST_TOLD) {
        blocks.push(Block::Text(Style::Item, short(told)));
    }
    let untold = shown.wear.told.len().saturating_sub(MOST_TOLD);
    if untold > 0 {
        blocks.push(Block::Text(
            Style::Item,
            format!("{untold} more notes stand on the screen: shimwright wear."),
        ));
    }
    if !table.rows.is_empty() {
        blocks.push(Block::Table(shortened(table)));
    }
    let more = soonest.len().saturating_sub(much.plates);
    let more = match more {
        0 => String::new(),
        1 => "1 more plate will be at its limit later, or it can not be told when. ".to_string(),
        more => format!("{more} more plates will be at their limits later, or it can not be told when. "),
    };
    let measured = soonest.iter().any(|plate| !plate.track.sightings.is_empty());
    let read = if measured {
        BANDS
    } else {
        "No plate was measured in these builds."
    };
    blocks.push(Block::Text(
        Style::Small,
        format!("{more}{} {read}", shown.first()),
    ));
    Section {
        head: "Plates, first at their limits first".to_string(),
        blocks,
    }
}

const BANDS: &str =
    "In brackets: where the line itself is at the limit, at 95 %; single readings scatter about it.";

fn over_distance(shown: &WearTables<'_>, much: Much) -> Option<Section> {
    let mut blocks = Vec::new();
    let pictures = WearPictures {
        packs: Side::BOTH
            .into_iter()
            .filter_map(|side| shown.picture(side))
            .map(|mut picture| {
                picture.title = capital(&picture.title);
                picture
            })
            .collect(),
        traces: shown
            .saws()
            .into_iter()
            .map(|mut trace| {
                trace.what = capital(&trace.what);
                trace
            })
            .collect(),
    };
    let packs = (!pictures.packs.is_empty()).then_some(
        "Packs: ● least readings of the plate that is first at its limit, with its line; grey the band of the line, and \
         readings of the other plates like it.",
    );
    let traces = (!pictures.traces.is_empty()).then_some("From build to build: ● as left, ○ as found.");
    let read: Vec<&str> = packs.into_iter().chain(traces).collect();
    if much.pictures && !read.is_empty() {
        blocks.push(Block::Wear(Box::new(pictures)));
        blocks.push(Block::Text(
            Style::Small,
            format!("{} Dashed: limit.", read.join(" ")),
        ));
    }
    if let Some(table) = shown.fadings() {
        blocks.push(Block::Table(shortened(table)));
    }
    blocks.extend(shown.where_from().map(|words| Block::Text(Style::Small, words)));
    blocks.extend(shown.proved().map(|words| Block::Text(Style::Small, words)));
    (!blocks.is_empty()).then(|| Section {
        head: "Over distance".to_string(),
        blocks,
    })
}

fn remedies(shown: &WearTables<'_>, much: Much) -> Section {
    let mut blocks = Vec::new();
    let notes = shown.remedy_words();
    if let Some(table) = shown.remedies() {
        blocks.push(Block::Text(Style::Plain, shown.by_then()));
        blocks.push(Block::Table(shortened(table)));
    }
    for words in notes.iter().take(much.notes) {
        blocks.push(Block::Text(Style::Small, short(words)));
    }
    let more = notes.len().saturating_sub(much.notes);
    if more > 0 {
        blocks.push(Block::Text(
            Style::Small,
            format!("{more} more notes stand on the screen: shimwright wear."),
        ));
    }
    if shown.remedies().is_some() {
        blocks.push(Block::Text(Style::Small, shown.assumed().to_string()));
    }
    let cover = (!shown.wear.preload.is_empty()).then(|| Safety::Cover.words());
    let cautions = std::iter::once(CAUTION).chain(cover);
    blocks.extend(cautions.map(|words| Block::Text(Style::Caution, words.to_string())));
    blocks.push(Block::Text(
        Style::Framed,
        first_word("This sheet is an outlook and no proof. It does"),
    ));
    Section {
        head: "What to do about it".to_string(),
        blocks,
    }
}
