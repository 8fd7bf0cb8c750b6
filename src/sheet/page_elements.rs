//! What pages are furnished with: title, frame, heads, paragraphs, lines to sign on.

use super::blocks::{Document, SignLine, Style};
use super::flow::{Flow, Piece};
use super::measure::{ASCENT, DESCENT, Face, POINT, fit, font_in_use, in_face, width, wrap};
use super::numbers::capital;
use super::page::{Item, Page};
use super::tags::{Role, Tag};

/// What the small code is to whoever can not see it.
pub(super) const SMALL_CODE: &str =
    "Code for a phone: the build, its lines and the first digits of its digest, for shimwright check --code";

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
        text: in_face(words, face).into_owned(),
        grey,
    }
}

/// Items that are one part of this role.
pub(super) fn tagged(role: Role, items: impl IntoIterator<Item = Item>) -> Vec<Item> {
    std::iter::once(Item::begins(&Tag::of(role)))
        .chain(items)
        .collect()
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

/// The large word behind the text of a build that is not finished, from corner to corner.
pub(super) fn mark(page: &Page) -> Item {
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
        x: over / 2.0 + size * ASCENT * POINT * sin,
        y: high - under / 2.0,
        size,
        turn: TURN,
        text: WORD.to_string(),
        grey: 0.88,
    }
}

/// What stands at the top and the foot of a page; `before` pages of something else lie before the document's own `number`, and
/// `count` is how many there are of all. In the corner of
/// every page but the first stands the code, with the room it takes.
pub(super) fn frame(
    document: &Document,
    page: &Page,
    number: usize,
    (before, count): (usize, usize),
    code: Option<&(f64, Item)>,
) -> Vec<Item> {
    const SIZE: f64 = 8.0;
    let room = page.width - page.margins.left - page.margins.right;
    let mut items = Vec::new();
    if number > 1 {
        let y = ASCENT * SIZE * POINT;
        let whole = room;
        let room = room - code.map_or(0.0, |(side, _)| side + 1.0);
        items.extend(code.map(|(_, item)| item.clone().moved(whole, 0.0)));
        let right = fit(&capital(&document.sheet), Face::Regular, SIZE, room * 0.28);
        let left = fit(&document.unit, Face::Bold, SIZE, room * 0.7);
        items.push(text(0.0, y, SIZE, Face::Bold, &left, 0.3));
        let x = room - width(&right, Face::Regular, SIZE);
        items.push(text(x, y, SIZE, Face::Regular, &right, 0.3));
        items.push(rule(0.0, 4.2, room, 0.3, 0.0));
    }
    let floor = page.height - page.margins.top - page.margins.bottom;
    let digest = if document.digest.is_empty() {
        "no digest".to_string()
    } else {
        format!("digest {}", document.digest)
    };
    let left = format!("{} · {digest}", document.id);
    items.extend(foot(room, floor, &left, 0.62, before + number, count));
    if !document.finished {
        let y = floor - DESCENT * SIZE * POINT;
        items.push(text(room * 0.7, y, SIZE, Face::Bold, "UNFINISHED", 0.0));
    }
    items
}

/// The foot of a page over the whole `room`: words at the left, in no more than a share of it, and which page it is.
pub(super) fn foot(room: f64, floor: f64, words: &str, share: f64, number: usize, count: usize) -> Vec<Item> {
    const SIZE: f64 = 8.0;
    let y = floor - DESCENT * SIZE * POINT;
    let left = fit(words, Face::Regular, SIZE, room * share);
    let of = format!("page {number} of {count}");
    let x = room - width(&of, Face::Regular, SIZE);
    vec![
        rule(0.0, floor - 4.4, room, 0.12, 0.4),
        text(0.0, y, SIZE, Face::Regular, &left, 0.2),
        text(x, y, SIZE, Face::Regular, &of, 0.2),
    ]
}

/// The top of the first page; a code stands beside the names in the corner below the band.
pub(super) fn title(flow: &mut Flow, document: &Document, code: Option<&(f64, Item)>) {
    const BAND: f64 = 8.0;
    let room = flow.room;
    let sheet = fit(&document.sheet.to_uppercase(), Face::Bold, 10.0, room * 0.42);
    let id = fit(&document.id, Face::Bold, 10.0, room * 0.5);
    let y = 5.3;
    let right = room - 3.0 - width(&id, Face::Bold, 10.0);
    let mut band = vec![bar(0.0, 0.0, room, BAND, 0.0)];
    for (x, words) in [(3.0, &sheet), (right, &id)] {
        band.extend(tagged(
            Role::Paragraph,
            [text(x, y, 10.0, Face::Bold, words, 1.0)],
        ));
    }
    flow.push(Piece::new(0.0, BAND + 2.0, band).glued());
    let taken = code.map_or(0.0, |(side, _)| side + 1.0);
    flow.room -= taken;
    let name = Tag::of(Role::Title);
    for (n, line) in wrap(&document.unit, Face::Bold, 15.0, flow.room)
        .iter()
        .enumerate()
    {
        let y = ASCENT * 15.0 * POINT;
        let mut items = vec![Item::begins(&name), text(0.0, y, 15.0, Face::Bold, line, 0.0)];
        if let Some((_, item)) = code.filter(|_| n == 0) {
            let corner = item.clone().moved(room, 0.0);
            items.extend(tagged(Role::Figure(SMALL_CODE.to_string()), [corner]));
        }
        flow.push(Piece::new(0.0, line_height(15.0), items));
    }
    lines(flow, &document.under, Face::Regular, 9.5, 0.25, 0.0, |_| None);
    flow.room += taken;
}

/// The name and digest of the font that was handed in, where anything before is set in it: for pages that have no words of
/// their own for it, in whatever language.
pub(super) fn font_piece(room: f64) -> Option<Piece> {
    const SIZE: f64 = 8.0;
    let font = font_in_use()?;
    let words = format!("{} · SHA-256 {}", font.name(), font.digest());
    let whole = Tag::of(Role::Paragraph);
    let mut items = vec![Item::begins(&whole)];
    let lines = wrap(&words, Face::Regular, SIZE, room);
    for (n, line) in lines.iter().enumerate() {
        let y = ASCENT * SIZE * POINT + n as f64 * line_height(SIZE);
        items.push(text(0.0, y, SIZE, Face::Regular, line, 0.3));
    }
    Some(Piece::new(1.4, line_height(SIZE) * lines.len() as f64, items))
}

/// A black square, the head in bold, and a line across.
pub(super) fn section_head(flow: &mut Flow, words: &str) {
    const SIZE: f64 = 11.0;
    const INDENT: f64 = 4.6;
    let room = flow.room;
    let lines = wrap(words, Face::Bold, SIZE, room - INDENT);
    let count = lines.len();
    let head = Tag::of(Role::Head);
    for (n, line) in lines.iter().enumerate() {
        let y = ASCENT * SIZE * POINT;
        let mut height = line_height(SIZE);
        let mut items = vec![Item::begins(&head), text(INDENT, y, SIZE, Face::Bold, line, 0.0)];
        if n == 0 {
            items.push(bar(0.0, y - 2.75, 2.75, 2.75, 0.0));
        }
        if n + 1 == count {
            height += 0.9;
            items.push(rule(0.0, height - 0.3, room, 0.3, 0.0));
        }
        flow.push(Piece::new(if n == 0 { flow.spacing.section } else { 0.0 }, height, items).glued());
    }
}

pub(super) fn paragraph(flow: &mut Flow, style: Style, words: &str) {
    let size = flow.spacing.size(9.0);
    match style {
        Style::Plain => lines(flow, words, Face::Regular, 9.0, 0.0, 0.0, |_| None),
        Style::Small => {
            flow.keep();
            lines(flow, words, Face::Regular, 8.0, 0.3, 0.0, |_| None);
        }
        Style::Item => lines(flow, words, Face::Regular, 9.0, 0.0, 4.6, |n| {
            let y = ASCENT * size * POINT;
            (n == 0).then(|| bar(1.2, y - 1.75, 1.2, 1.2, 0.0))
        }),
        Style::Caution => lines(flow, words, Face::Regular, 9.0, 0.0, 4.6, |_| {
            Some(bar(0.0, 0.0, 1.1, line_height(size), 0.0))
        }),
        // the whole digest stands on one line beside the code
        Style::Digest => lines(flow, words, Face::Mono, 8.0, 0.0, 0.0, |_| None),
        Style::Framed => framed(flow, words),
    }
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
    let size = flow.spacing.size(size);
    let lines = wrap(words, face, size, flow.room - indent);
    let count = lines.len();
    let whole = Tag::of(Role::Paragraph);
    for (n, line) in lines.into_iter().enumerate() {
        let y = ASCENT * size * POINT;
        let mut items = vec![Item::begins(&whole), text(indent, y, size, face, &line, grey)];
        items.extend(beside(n));
        let mut piece = Piece::new(if n == 0 { 0.9 } else { 0.0 }, line_height(size), items);
        piece.glue = n + 1 < count && (n == 0 || n + 2 == count);
        flow.push(piece);
    }
}

fn framed(flow: &mut Flow, words: &str) {
    const SIZE: f64 = 9.5;
    let pad = 2.2;
    let lines = wrap(words, Face::Bold, SIZE, flow.room - 2.0 * pad);
    let height = line_height(SIZE) * lines.len() as f64 + 2.0 * pad - 0.6;
    let edge = Item::Polygon {
        points: vec![(0.0, 0.0), (flow.room, 0.0), (flow.room, height), (0.0, height)],
        fill: None,
        outline: 0.4,
    };
    let mut items = tagged(Role::Paragraph, [edge]);
    for (n, line) in lines.iter().enumerate() {
        let y = pad + ASCENT * SIZE * POINT + n as f64 * line_height(SIZE) - 0.3;
        items.push(text(pad, y, SIZE, Face::Bold, line, 0.0));
    }
    flow.push(Piece::new(2.0, height, items).glued());
}

/// Name, signature and date on lines to be written on; printed where they are known.
pub(super) fn sign(flow: &mut Flow, line: &SignLine) {
    const SIZE: f64 = 9.0;
    const HEIGHT: f64 = 11.4;
    const LINE: f64 = 8.0;
    let room = flow.room;
    let columns = [
        (0.0, room * 0.36, "name", &line.name),
        (room * 0.39, room * 0.33, "signature", &String::new()),
        (room * 0.75, room * 0.25, "date", &line.at),
    ];
    let table = Tag::of(Role::Table);
    let mut items = Vec::new();
    for (n, (x, wide, label, value)) in columns.into_iter().enumerate() {
        let row = table.part(Role::Row);
        items.push(rule(x, LINE, wide, 0.25, 0.0));
        let label = if n == 0 {
            fit(&format!("{}: {label}", line.role), Face::Regular, 8.0, wide)
        } else {
            label.to_string()
        };
        items.push(Item::begins(&row.part(Role::RowHead)));
        items.push(text(x, LINE + 3.1, 8.0, Face::Regular, &label, 0.35));
        items.push(Item::begins(&row.part(Role::Cell)));
        if !value.is_empty() {
            let value = fit(value, Face::Regular, SIZE, wide);
            items.push(text(x, LINE - 1.0, SIZE, Face::Regular, &value, 0.0));
        }
    }
    flow.push(Piece::new(0.0, HEIGHT, items).glued());
}
