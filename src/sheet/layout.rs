//! Blocks become pieces, pieces are placed on pages.

use super::blocks::{Block, Document, Section, SignLine, Style};
use super::grid;
use super::measure::{ASCENT, DESCENT, Face, POINT, fit, width, wrap};
use super::page::{Item, Margins, Page, Paper};
use super::plot;
use super::stack;
use super::visible::on_paper;

/// A piece of a page that is not broken. Its items are placed from its upper left corner.
#[derive(Clone)]
pub(super) struct Piece {
    /// Space above it, left out at the top of a page.
    pub before: f64,
    pub height: f64,
    pub items: Vec<Item>,
    /// Whether it stays on one page with the piece that follows.
    pub glue: bool,
    /// The head of its table, to be repeated above it where it begins a page.
    pub head: Option<usize>,
}

impl Piece {
    pub fn new(before: f64, height: f64, items: Vec<Item>) -> Piece {
        Piece {
            before,
            height,
            items,
            glue: false,
            head: None,
        }
    }

    pub fn glued(mut self) -> Piece {
        self.glue = true;
        self
    }

    pub fn under(mut self, head: usize) -> Piece {
        self.head = Some(head);
        self
    }

    fn whole(&self) -> f64 {
        self.before + self.height
    }
}

/// Pieces in order, for pages of a certain width.
pub(super) struct Flow {
    /// Width in millimetres.
    pub room: f64,
    sections: Vec<Vec<Piece>>,
    heads: Vec<Piece>,
}

impl Flow {
    fn new(room: f64) -> Flow {
        Flow {
            room,
            sections: Vec::new(),
            heads: Vec::new(),
        }
    }

    /// Adds a piece to the section that is being built.
    pub fn push(&mut self, piece: Piece) {
        match self.sections.last_mut() {
            Some(section) => section.push(piece),
            None => self.sections.push(vec![piece]),
        }
    }

    /// Adds the head of a table and returns its number for [`Piece::under`].
    pub fn push_table_head(&mut self, head: Piece) -> usize {
        self.heads.push(head.clone());
        self.push(head);
        self.heads.len() - 1
    }

    /// Keeps the last piece on one page with the next.
    fn keep(&mut self) {
        if let Some(piece) = self.sections.last_mut().and_then(|section| section.last_mut()) {
            piece.glue = true;
        }
    }
}

/// The distance from line to line.
pub(super) fn line_height(size: f64) -> f64 {
    size * POINT * 1.2
}

/// A line of text, made visible.
pub(super) fn text(x: f64, y: f64, size: f64, face: Face, words: &str, grey: f64) -> Item {
    Item::Text {
        x,
        y,
        size,
        face,
        text: on_paper(words).into_owned(),
        grey,
    }
}

/// A level line.
pub(super) fn rule(x: f64, y: f64, length: f64, thickness: f64, grey: f64) -> Item {
    Item::Line {
        points: vec![(x, y), (x + length, y)],
        thickness,
        grey,
        dash: 0.0,
    }
}

/// A filled rectangle.
pub(super) fn bar(x: f64, y: f64, wide: f64, high: f64, fill: f64) -> Item {
    Item::Polygon {
        points: vec![(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)],
        fill: Some(fill),
        outline: 0.0,
    }
}

/// Height that the foot of a page takes.
const FOOT: f64 = 6.0;
/// Height that the running head takes on every page but the first.
const RUNNING: f64 = 7.0;
/// A gap at the foot of a page that is worth filling with a later section.
const WORTH_FILLING: f64 = 35.0;

/// The pages of a document.
pub(super) fn pages(document: &Document, paper: Paper) -> Vec<Page> {
    let (wide, high) = paper.size();
    let margins = Margins::SHEET;
    let mut flow = Flow::new(wide - margins.left - margins.right);
    flow.sections.push(Vec::new());
    title(&mut flow, document);
    for section in &document.sections {
        flow.sections.push(Vec::new());
        lay(&mut flow, section);
    }
    let bottom = high - margins.top - margins.bottom - FOOT;
    let bodies = fill(flow.sections, &flow.heads, bottom);
    let count = bodies.len();
    bodies
        .into_iter()
        .enumerate()
        .map(|(n, body)| {
            let mut page = Page {
                width: wide,
                height: high,
                margins,
                items: Vec::new(),
            };
            if !document.finished {
                page.items.push(mark(&page));
            }
            let inner = frame(document, &page, n + 1, count);
            page.items.extend(
                inner
                    .into_iter()
                    .chain(body)
                    .map(|item| item.moved(margins.left, margins.top)),
            );
            page
        })
        .collect()
}

/// The large word behind the text of a build that is not finished, from corner to corner.
fn mark(page: &Page) -> Item {
    const WORD: &str = "UNFINISHED";
    const TURN: f64 = 52.0;
    let (sin, cos) = TURN.to_radians().sin_cos();
    let wide = page.width - page.margins.left - page.margins.right;
    let high = page.height - page.margins.top - page.margins.bottom;
    // the turned word and its height fill the page within the margins
    let long = width(WORD, Face::Bold, 1.0);
    let size = (wide / (long * cos + ASCENT * POINT * sin)).min(high / (long * sin + ASCENT * POINT * cos));
    let over = wide - size * (long * cos + ASCENT * POINT * sin);
    let under = high - size * (long * sin + ASCENT * POINT * cos);
    Item::Mark {
        x: page.margins.left + over / 2.0 + size * ASCENT * POINT * sin,
        y: page.height - page.margins.bottom - under / 2.0,
        size,
        turn: TURN,
        text: WORD.to_string(),
        grey: 0.88,
    }
}

/// What stands at the top and the foot of a page.
fn frame(document: &Document, page: &Page, number: usize, count: usize) -> Vec<Item> {
    const SIZE: f64 = 8.0;
    let room = page.width - page.margins.left - page.margins.right;
    let mut items = Vec::new();
    if number > 1 {
        let y = ASCENT * SIZE * POINT;
        let right = "Build sheet";
        let left = fit(&document.unit, Face::Bold, SIZE, room * 0.7);
        items.push(text(0.0, y, SIZE, Face::Bold, &left, 0.3));
        let x = room - width(right, Face::Regular, SIZE);
        items.push(text(x, y, SIZE, Face::Regular, right, 0.3));
        items.push(rule(0.0, 4.2, room, 0.3, 0.0));
    }
    let floor = page.height - page.margins.top - page.margins.bottom;
    let y = floor - DESCENT * SIZE * POINT;
    let of = format!("page {number} of {count}");
    let digest = if document.digest.is_empty() {
        "no digest".to_string()
    } else {
        format!("digest {}", document.digest)
    };
    items.push(rule(0.0, floor - 4.4, room, 0.12, 0.4));
    let left = fit(
        &format!("{} · {digest}", document.id),
        Face::Regular,
        SIZE,
        room * 0.62,
    );
    items.push(text(0.0, y, SIZE, Face::Regular, &left, 0.2));
    if !document.finished {
        let x = room * 0.7;
        items.push(text(x, y, SIZE, Face::Bold, "UNFINISHED", 0.0));
    }
    items.push(text(
        room - width(&of, Face::Regular, SIZE),
        y,
        SIZE,
        Face::Regular,
        &of,
        0.2,
    ));
    items
}

/// Places pieces on pages. `bottom` is where the room for them ends, from the top margin.
fn fill(sections: Vec<Vec<Piece>>, heads: &[Piece], bottom: f64) -> Vec<Vec<Item>> {
    let mut pages: Vec<Vec<Item>> = vec![Vec::new()];
    let mut y = 0.0;
    let mut fresh = true;
    let mut waiting: Vec<Vec<Piece>> = sections;
    waiting.reverse();
    while let Some(mut section) = waiting.pop() {
        let gap = bottom - y;
        let first: f64 = group(&section).iter().map(Piece::whole).sum();
        if !fresh && first > gap && gap > WORTH_FILLING {
            // the signatures and the digest stay last, so two are left out of the search
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
            let fits_on_one = RUNNING + head + need <= bottom;
            if !fresh && y + need > bottom && fits_on_one {
                turn(&mut pages, &mut y, repeated);
                fresh = true;
            }
            for piece in now {
                if !fresh && y + piece.whole() > bottom {
                    turn(&mut pages, &mut y, piece.head.and_then(|i| heads.get(i)));
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
    pages
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
fn turn(pages: &mut Vec<Vec<Item>>, y: &mut f64, head: Option<&Piece>) {
    pages.push(Vec::new());
    *y = RUNNING;
    if let Some(head) = head {
        set(pages, head, *y);
        *y += head.height;
    }
}

fn set(pages: &mut [Vec<Item>], piece: &Piece, y: f64) {
    if let Some(page) = pages.last_mut() {
        page.extend(piece.items.iter().cloned().map(|item| item.moved(0.0, y)));
    }
}

/// The top of the first page.
fn title(flow: &mut Flow, document: &Document) {
    const BAND: f64 = 8.0;
    let room = flow.room;
    let id = fit(&document.id, Face::Bold, 10.0, room * 0.65);
    let y = 5.3;
    flow.push(
        Piece::new(
            0.0,
            BAND + 2.0,
            vec![
                bar(0.0, 0.0, room, BAND, 0.0),
                text(3.0, y, 10.0, Face::Bold, "BUILD SHEET", 1.0),
                text(
                    room - 3.0 - width(&id, Face::Bold, 10.0),
                    y,
                    10.0,
                    Face::Bold,
                    &id,
                    1.0,
                ),
            ],
        )
        .glued(),
    );
    for line in wrap(&document.unit, Face::Bold, 17.0, room) {
        let y = ASCENT * 17.0 * POINT;
        flow.push(Piece::new(
            0.0,
            line_height(17.0),
            vec![text(0.0, y, 17.0, Face::Bold, &line, 0.0)],
        ));
    }
    lines(flow, &document.under, Face::Regular, 9.5, 0.25, 0.0, |_| None);
}

/// Lines of text, a piece each; the first two and the last two stay together.
fn lines(
    flow: &mut Flow,
    words: &str,
    face: Face,
    size: f64,
    grey: f64,
    indent: f64,
    beside: impl Fn(usize) -> Option<Item>,
) {
    let lines = wrap(words, face, size, flow.room - indent);
    let count = lines.len();
    for (n, line) in lines.into_iter().enumerate() {
        let y = ASCENT * size * POINT;
        let mut items = vec![text(indent, y, size, face, &line, grey)];
        items.extend(beside(n));
        let mut piece = Piece::new(if n == 0 { 0.9 } else { 0.0 }, line_height(size), items);
        piece.glue = n + 1 < count && (n == 0 || n + 2 == count);
        flow.push(piece);
    }
}

fn lay(flow: &mut Flow, section: &Section) {
    section_head(flow, &section.head);
    for block in &section.blocks {
        match block {
            Block::Pairs(pairs) => grid::pairs(flow, pairs),
            Block::Table(table) => grid::table(flow, table),
            Block::Text(style, words) => paragraph(flow, *style, words),
            Block::Packs(packs, units) => stack::draw(flow, packs, *units),
            Block::Curve(curve, units) => {
                let (height, items) = plot::curve(curve, *units, flow.room);
                flow.push(Piece::new(1.0, height, items));
            }
            Block::Strip(strip) => {
                let (height, items) = plot::strip(strip, flow.room);
                flow.push(Piece::new(1.0, height, items).glued());
            }
            Block::Sign(line) => sign(flow, line),
        }
    }
}

/// A black square, the head in bold, and a line across.
fn section_head(flow: &mut Flow, words: &str) {
    const SIZE: f64 = 11.0;
    const INDENT: f64 = 4.6;
    let room = flow.room;
    let lines = wrap(words, Face::Bold, SIZE, room - INDENT);
    let count = lines.len();
    for (n, line) in lines.iter().enumerate() {
        let y = ASCENT * SIZE * POINT;
        let mut height = line_height(SIZE);
        let mut items = vec![text(INDENT, y, SIZE, Face::Bold, line, 0.0)];
        if n == 0 {
            items.push(bar(0.0, y - 2.75, 2.75, 2.75, 0.0));
        }
        if n + 1 == count {
            height += 0.9;
            items.push(rule(0.0, height - 0.3, room, 0.3, 0.0));
        }
        flow.push(Piece::new(if n == 0 { 3.8 } else { 0.0 }, height, items).glued());
    }
}

pub(super) fn paragraph(flow: &mut Flow, style: Style, words: &str) {
    match style {
        Style::Plain => lines(flow, words, Face::Regular, 9.0, 0.0, 0.0, |_| None),
        Style::Small => {
            flow.keep();
            lines(flow, words, Face::Regular, 8.0, 0.3, 0.0, |_| None);
        }
        Style::Item => lines(flow, words, Face::Regular, 9.0, 0.0, 4.6, |n| {
            let y = ASCENT * 9.0 * POINT;
            (n == 0).then(|| bar(1.2, y - 1.75, 1.2, 1.2, 0.0))
        }),
        Style::Caution => lines(flow, words, Face::Regular, 9.0, 0.0, 4.6, |_| {
            Some(bar(0.0, 0.0, 1.1, line_height(9.0), 0.0))
        }),
        Style::Digest => lines(flow, words, Face::Mono, 9.0, 0.0, 0.0, |_| None),
        Style::Framed => framed(flow, words),
    }
}

fn framed(flow: &mut Flow, words: &str) {
    const SIZE: f64 = 9.5;
    let pad = 2.2;
    let lines = wrap(words, Face::Bold, SIZE, flow.room - 2.0 * pad);
    let height = line_height(SIZE) * lines.len() as f64 + 2.0 * pad - 0.6;
    let mut items = vec![Item::Polygon {
        points: vec![(0.0, 0.0), (flow.room, 0.0), (flow.room, height), (0.0, height)],
        fill: None,
        outline: 0.4,
    }];
    for (n, line) in lines.iter().enumerate() {
        let y = pad + ASCENT * SIZE * POINT + n as f64 * line_height(SIZE) - 0.3;
        items.push(text(pad, y, SIZE, Face::Bold, line, 0.0));
    }
    flow.push(Piece::new(2.0, height, items).glued());
}

/// Name, signature and date on lines to be written on; printed where they are known.
fn sign(flow: &mut Flow, line: &SignLine) {
    const SIZE: f64 = 9.0;
    const HEIGHT: f64 = 13.5;
    let room = flow.room;
    let columns = [
        (0.0, room * 0.36, "name", &line.name),
        (room * 0.39, room * 0.33, "signature", &String::new()),
        (room * 0.75, room * 0.25, "date", &line.at),
    ];
    let mut items = Vec::new();
    for (n, (x, wide, label, value)) in columns.into_iter().enumerate() {
        items.push(rule(x, 10.0, wide, 0.25, 0.0));
        let label = if n == 0 {
            fit(&format!("{}: {label}", line.role), Face::Regular, 8.0, wide)
        } else {
            label.to_string()
        };
        items.push(text(x, 10.0 + 3.1, 8.0, Face::Regular, &label, 0.35));
        if !value.is_empty() {
            let value = fit(value, Face::Regular, SIZE, wide);
            items.push(text(x, 10.0 - 1.0, SIZE, Face::Regular, &value, 0.0));
        }
    }
    flow.push(Piece::new(0.0, HEIGHT, items).glued());
}
