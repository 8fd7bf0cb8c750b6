//! Blocks become pieces, pieces are placed on pages.

use super::blocks::{Block, Document, Section, Style};
use super::code::{MODULE, Symbol};
use super::flow::{DENSEST, Flow, Piece, ROOMY, TIGHT, TIGHTEST};
use super::glance;
use super::grid;
use super::measure::font_in_use;
use super::page::{Item, Margins, Page, Paper};
use super::page_elements::{frame, mark, paragraph, section_head, sign, tagged, title};
use super::plot;
use super::runs_plots;
use super::settling;
use super::stack;
use super::tags::Role;
use super::wear_plots;

/// What the large code is to whoever can not see it.
const SAME_AS_CODE: &str = "Code for a phone: the build, its figures and its digest as the text that shimwright check takes with --code";
/// How the words of a font that was handed in begin.
pub(super) const FONT_WORDS: &str = "Signs that the sheet's own typeface lacks are set in";
/// Height that the foot of a page takes.
pub(super) const FOOT: f64 = 6.0;
/// Height that the running head takes on every page but the first.
pub(super) const RUNNING: f64 = 7.0;
/// The side of a module of the code at the top of a page, in millimetres: what a phone reads off clean paper.
const SMALLER: f64 = 0.33;
/// No sheet should have more pages.
const MOST_PAGES: usize = 3;
/// A gap at the foot of a page that is worth filling with a later section.
const WORTH_FILLING: f64 = 35.0;

/// The pages of a document.
pub(super) fn pages(document: &Document, paper: Paper) -> Vec<Page> {
    one_after_another(std::slice::from_ref(document), paper)
}

/// Documents one behind the other, each from a page of its own on, with their pages numbered through.
pub(super) fn one_after_another(documents: &[Document], paper: Paper) -> Vec<Page> {
    let all: Vec<Vec<Vec<Item>>> = documents.iter().map(|document| placed(document, paper)).collect();
    let count = all.iter().map(Vec::len).sum();
    let mut pages = Vec::new();
    for (document, bodies) in documents.iter().zip(all) {
        let before = pages.len();
        let code = corner(document);
        pages.extend(assemble(bodies, paper, |page, number, _| {
            let mut around = frame(document, page, number, (before, count), code.as_ref());
            if !document.finished {
                around.insert(0, mark(page));
            }
            around
        }));
    }
    pages
}

/// What a document says of the font that was handed in, where anything before is set in it.
pub(super) fn font_words() -> Option<String> {
    let font = font_in_use()?;
    Some(format!(
        "{FONT_WORDS} {}, SHA-256 {}.",
        font.name(),
        font.digest()
    ))
}

/// The code in the corner of a document's pages, with the room it takes.
fn corner(document: &Document) -> Option<(f64, Item)> {
    document.code.as_ref().map(|code| code.in_corner(SMALLER))
}

/// What stands inside the margins of a document's pages.
fn placed(document: &Document, paper: Paper) -> Vec<Vec<Item>> {
    let (wide, high) = paper.size();
    let margins = Margins::SHEET;
    let bottom = high - margins.top - margins.bottom - FOOT;
    let code = corner(document);
    let running = code.as_ref().map_or(RUNNING, |(deep, _)| RUNNING.max(deep + 0.8));
    let bodies = |spacing| {
        let mut flow = Flow::new(wide - margins.left - margins.right, spacing);
        flow.sections.push(Vec::new());
        // the box on top has its own
        let beside = code.as_ref().filter(|_| document.glance.is_none());
        title(&mut flow, document, beside);
        if let Some(glance) = &document.glance {
            glance::lay(&mut flow, glance);
        }
        for section in &document.sections {
            flow.sections.push(Vec::new());
            lay(&mut flow, section);
        }
        if let Some(words) = font_words() {
            paragraph(&mut flow, Style::Small, &words);
        }
        fill(flow.sections, &flow.heads, running, bottom)
    };
    let (roomy, used) = bodies(ROOMY);
    // a last page that has little on it is saved, and one beyond what a door pocket holds, where less air or slightly
    // smaller type does it
    let saved = (roomy.len() > MOST_PAGES || roomy.len() > 1 && used < bottom * 0.6)
        .then(|| {
            let mut closer = [TIGHT, TIGHTEST, DENSEST]
                .into_iter()
                .map(|spacing| bodies(spacing).0);
            closer.find(|closer| closer.len() < roomy.len())
        })
        .flatten();
    saved.unwrap_or(roomy)
}

/// Pages of what was placed inside the margins. `around` gives what else stands on a page, its number and how many there
/// are, counted from the same corner.
pub(super) fn assemble(
    bodies: Vec<Vec<Item>>,
    paper: Paper,
    around: impl Fn(&Page, usize, usize) -> Vec<Item>,
) -> Vec<Page> {
    let (width, height) = paper.size();
    let margins = Margins::SHEET;
    let count = bodies.len();
    let page = |(n, body): (usize, Vec<Item>)| {
        let mut page = Page {
            width,
            height,
            margins,
            items: Vec::new(),
        };
        let items = around(&page, n + 1, count).into_iter().chain(body);
        page.items = items.map(|item| item.moved(margins.left, margins.top)).collect();
        page
    };
    bodies.into_iter().enumerate().map(page).collect()
}

/// Places pieces on pages; gives the pages and how far down the last one is used. `bottom` is where the room for pieces
/// ends, from the top margin; `running` is what the head of every page but the first takes of it.
pub(super) fn fill(
    sections: Vec<Vec<Piece>>,
    heads: &[Piece],
    running: f64,
    bottom: f64,
) -> (Vec<Vec<Item>>, f64) {
    let mut pages: Vec<Vec<Item>> = vec![Vec::new()];
    let mut y = 0.0;
    let mut fresh = true;
    let mut waiting: Vec<Vec<Piece>> = sections;
    waiting.reverse();
    while let Some(mut section) = waiting.pop() {
        let gap = bottom - y;
        let first: f64 = group(&section).iter().map(Piece::whole).sum();
        if !fresh && first > gap && gap > WORTH_FILLING {
            // cautions and signatures stay last, so they are left out of the search
            let fits = (2..waiting.len()).rev().find(|i| {
                let whole: f64 = waiting[*i].iter().map(Piece::whole).sum();
                whole <= gap
            });
            if let Some(i) = fits {
                let later = waiting.remove(i);
                waiting.push(section);
                section = later;
            }
        }
        let mut rest = section.as_slice();
        while !rest.is_empty() {
            let now = group(rest);
            let need: f64 = now.iter().map(Piece::whole).sum();
            let repeated = repeated(now, heads);
            let head = repeated.map_or(0.0, |head| head.height);
            let fits_on_one = running + head + need <= bottom;
            if !fresh && y + need > bottom && fits_on_one {
                turn(&mut pages, &mut y, running, repeated);
                fresh = true;
            }
            for piece in now {
                if !fresh && y + piece.whole() > bottom {
                    turn(&mut pages, &mut y, running, piece.head.and_then(|i| heads.get(i)));
                    fresh = true;
                }
                y += if fresh { 0.0 } else { piece.before };
                set(&mut pages, piece, y);
                y += piece.height;
                fresh = false;
            }
            rest = &rest[now.len()..];
        }
    }
    (pages, y)
}

/// The pieces at the beginning that stay together.
fn group(pieces: &[Piece]) -> &[Piece] {
    let end = pieces.iter().position(|piece| !piece.glue);
    &pieces[..end.map_or(pieces.len(), |i| i + 1)]
}

fn repeated<'a>(group: &[Piece], heads: &'a [Piece]) -> Option<&'a Piece> {
    group
        .first()
        .and_then(|piece| piece.head)
        .and_then(|i| heads.get(i))
}

/// Begins a page, with the head of the table that goes on there.
fn turn(pages: &mut Vec<Vec<Item>>, y: &mut f64, running: f64, head: Option<&Piece>) {
    pages.push(Vec::new());
    *y = running;
    if let Some(head) = head {
        // nobody has it read out once more
        let mut again = head.clone();
        again.items.retain(|item| !matches!(item, Item::Tag(_)));
        set(pages, &again, *y);
        *y += head.height;
    }
}

fn set(pages: &mut [Vec<Item>], piece: &Piece, y: f64) {
    if let Some(page) = pages.last_mut() {
        page.push(Item::Tag(None));
        page.extend(piece.items.iter().cloned().map(|item| item.moved(0.0, y)));
    }
}

fn lay(flow: &mut Flow, section: &Section) {
    section_head(flow, &section.head);
    lay_blocks(flow, &section.blocks);
}

/// Blocks in a narrower room, as one piece, with a code at their right.
fn lay_beside(flow: &mut Flow, symbol: &Symbol, blocks: &[Block]) {
    let (side, item) = symbol.placed(MODULE);
    let room = flow.room - side;
    let mut narrow = Flow::new(room, flow.spacing);
    lay_blocks(&mut narrow, blocks);
    let mut items = Vec::new();
    let mut y = 0.0;
    for piece in narrow.sections.into_iter().flatten() {
        y += piece.before;
        items.extend(piece.items.into_iter().map(|item| item.moved(0.0, y)));
        y += piece.height;
    }
    items.extend(tagged(
        Role::Figure(SAME_AS_CODE.to_string()),
        [item.moved(room, 0.0)],
    ));
    flow.push(Piece::new(0.9, y.max(side), items));
}

fn lay_blocks(flow: &mut Flow, blocks: &[Block]) {
    for (n, block) in blocks.iter().enumerate() {
        match block {
            Block::Pairs(pairs) => grid::pairs(flow, pairs, if n == 0 { 0.0 } else { 1.4 }),
            Block::Table(table) => grid::table(flow, table),
            Block::Halves(table) => grid::halves(flow, table),
            Block::Text(style, words) => paragraph(flow, *style, words),
            Block::Packs(packs, units) => stack::draw(flow, packs, *units),
            Block::Curve(curve, units) => {
                let (height, items) = plot::curve(curve, *units, flow.room, flow.spacing.curve);
                let items = tagged(
                    Role::Figure(format!("Lock curve. {}", plot::curve_says(curve, *units))),
                    items,
                );
                flow.push(Piece::new(1.0, height, items));
            }
            Block::Settling(pictures, units) => {
                let high = flow.spacing.settling;
                let items = settling::draw(pictures, *units, flow.room, high);
                let items = tagged(Role::Figure(settling::says(pictures, *units)), items);
                flow.push(Piece::new(1.0, high, items));
            }
            Block::Wear(pictures) => {
                let high = flow.spacing.wear;
                let items = wear_plots::draw(pictures, flow.room, high);
                let items = tagged(Role::Figure(wear_plots::says(pictures)), items);
                flow.push(Piece::new(1.0, high, items));
            }
            Block::Runs(pictures) => {
                let (height, items) = runs_plots::draw(pictures, flow.room, flow.spacing.wear);
                let items = tagged(Role::Figure(runs_plots::says(pictures)), items);
                flow.push(Piece::new(1.0, height, items));
            }
            Block::Strip(strip) => {
                let (height, items) = plot::strip(strip, flow.room);
                let items = tagged(
                    Role::Figure(format!(
                        "Breakaway readings over their windows. {}",
                        plot::strip_says(strip)
                    )),
                    items,
                );
                flow.push(Piece::new(1.0, height, items));
            }
            Block::Sign(line) => sign(flow, line),
            Block::Beside(symbol, blocks) => lay_beside(flow, symbol, blocks),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::measure::Face;
    use super::super::page_elements::text;
    use super::*;

    fn piece(height: f64, words: &str) -> Piece {
        Piece::new(0.0, height, vec![text(0.0, 0.0, 9.0, Face::Regular, words, 0.0)])
    }

    fn words(pages: &[Vec<Item>]) -> Vec<Vec<String>> {
        let word = |item: &Item| match item {
            Item::Text { text, .. } => Some(text.clone()),
            _ => None,
        };
        pages
            .iter()
            .map(|page| page.iter().filter_map(word).collect())
            .collect()
    }

    #[test]
    fn a_head_goes_to_the_next_page_with_what_it_heads() {
        let sections = vec![
            vec![piece(80.0, "first")],
            vec![piece(10.0, "head").glued(), piece(20.0, "body")],
        ];
        let (pages, used) = fill(sections, &[], RUNNING, 100.0);
        assert_eq!(words(&pages), [vec!["first"], vec!["head", "body"]]);
        assert!((used - RUNNING - 30.0).abs() < 1e-9);
    }

    #[test]
    fn a_later_section_fills_a_large_gap_but_the_last_two_stay_last() {
        let sections = vec![
            vec![piece(50.0, "first")],
            vec![piece(70.0, "too tall")],
            vec![piece(30.0, "fits")],
            vec![piece(5.0, "last but one")],
            vec![piece(5.0, "last")],
        ];
        let (pages, _) = fill(sections, &[], RUNNING, 100.0);
        assert_eq!(
            words(&pages),
            [vec!["first", "fits"], vec!["too tall", "last but one", "last"]]
        );
    }

    #[test]
    fn what_is_glued_and_taller_than_a_page_is_parted_all_the_same() {
        let long: Vec<Piece> = (0..5).map(|_| piece(40.0, "part").glued()).collect();
        let (pages, _) = fill(vec![long], &[], RUNNING, 100.0);
        assert_eq!(words(&pages).iter().map(Vec::len).collect::<Vec<_>>(), [2, 2, 1]);
    }

    #[test]
    fn a_table_that_runs_on_begins_with_its_head() {
        let head = piece(10.0, "head");
        let mut section = vec![head.clone().glued()];
        section.extend((0..12).map(|n| piece(10.0, &n.to_string()).under(0)));
        let (pages, _) = fill(vec![section], &[head], RUNNING, 100.0);
        let words = words(&pages);
        assert_eq!(words[1], ["head", "9", "10", "11"]);
    }
}
