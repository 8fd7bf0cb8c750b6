//! The parts of a form: a number, words and limits, and boxes large enough for a pen in an oily hand.

use super::flow::Piece;
use super::measure::{ASCENT, Face, POINT, fit, width, wrap};
use super::page::Item;
use super::page_elements::{bar, line_height, tagged, text};
use super::tags::{Role, Tag};
use crate::record::form::{Fill, FormBox, FormPart, FormTable, OpenRows};
use crate::record::phrase::{Phrase, Spoken};

/// Height of a box.
pub(super) const BOX: f64 = 7.5;
/// Size of type of what is to be done.
pub(super) const WORDS: f64 = 9.0;
/// Size of type of limits and tools.
pub(super) const SMALL: f64 = 8.0;
/// Size of type of the number in a box.
pub(super) const NUMBER: f64 = 8.0;
/// How far below the top of a box the words in it stand.
pub(super) const INSIDE: f64 = 2.9;
/// Room at the left for the number of a part.
const MARGIN: f64 = 10.5;
/// Width of a tick box.
const TICK: f64 = 9.0;
/// Width of a box for a reading.
const READING: f64 = 27.0;
/// Space between parts.
const BETWEEN: f64 = 1.4;

/// A box that is drawn but not filled.
pub(super) fn outline(x: f64, y: f64, wide: f64, high: f64) -> Item {
    Item::Polygon {
        points: vec![(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)],
        fill: None,
        outline: 0.25,
    }
}

/// Lines of text one below the other.
pub(super) fn place(lines: &[String], x: f64, top: f64, size: f64, face: Face, grey: f64) -> Vec<Item> {
    lines
        .iter()
        .enumerate()
        .map(|(n, line)| {
            let y = top + ASCENT * size * POINT + n as f64 * line_height(size);
            text(x, y, size, face, line, grey)
        })
        .collect()
}

/// A box with its number and what is printed in it; the unit of measure stands at its right end.
fn numbered(one: &FormBox, x: f64, y: f64, wide: f64) -> Vec<Item> {
    tagged(Role::Paragraph, inside(one, x, y, wide))
}

/// The same, as a cell of a row or whatever it is a part of.
fn inside(one: &FormBox, x: f64, y: f64, wide: f64) -> Vec<Item> {
    let mut items = vec![outline(x, y, wide, BOX)];
    let head = [one.number.to_string(), one.caption.clone()];
    let head = head
        .iter()
        .filter(|text| !text.is_empty())
        .cloned()
        .collect::<Vec<_>>()
        .join(" · ");
    let head = fit(&head, Face::Regular, NUMBER, wide - 1.6);
    items.push(text(x + 0.8, y + INSIDE, NUMBER, Face::Regular, &head, 0.2));
    if !one.unit.is_empty() {
        let unit = width(&one.unit, Face::Regular, NUMBER);
        items.push(text(
            x + wide - 0.8 - unit,
            y + BOX - 1.0,
            NUMBER,
            Face::Regular,
            &one.unit,
            0.2,
        ));
    }
    items
}

/// The words of a part set into a column: what to do, with what, what to mind.
fn column(part: &FormPart, spoken: &Spoken, room: f64) -> (f64, Vec<Item>) {
    let mut items = Vec::new();
    let mut y = 0.0;
    let mut set = |words: &str, size: f64, face: Face, grey: f64, y: &mut f64| {
        let lines = wrap(words, face, size, room);
        items.push(Item::begins(&Tag::of(Role::Paragraph)));
        items.extend(place(&lines, MARGIN, *y, size, face, grey));
        *y += line_height(size) * lines.len() as f64;
    };
    let caution = matches!(part.fill, Fill::Caution(_));
    for (n, words) in part.words.iter().enumerate() {
        let words = if caution && n == 0 {
            format!("{}: {words}", spoken.say(Phrase::Caution))
        } else {
            words.clone()
        };
        set(
            &words,
            WORDS,
            if caution { Face::Bold } else { Face::Regular },
            0.0,
            &mut y,
        );
    }
    if !part.tools.is_empty() {
        set(
            &spoken.fill(Phrase::With, &[&part.tools.join(", ")]),
            SMALL,
            Face::Regular,
            0.25,
            &mut y,
        );
    }
    for limit in &part.limits {
        set(limit, SMALL, Face::Bold, 0.0, &mut y);
    }
    if part.may_skip {
        set(
            spoken.say(Phrase::MayBeLeftOut),
            SMALL,
            Face::Regular,
            0.25,
            &mut y,
        );
    }
    if caution {
        items.push(bar(MARGIN - 2.2, 0.2, 1.1, y.max(BOX) - 0.2, 0.0));
    }
    (y, items)
}

/// The number at the left of a part.
fn label(number: u32) -> Vec<Item> {
    let base = ASCENT * WORDS * POINT;
    let number = text(0.0, base, WORDS, Face::Bold, &number.to_string(), 0.0);
    tagged(Role::Paragraph, [number])
}

/// Puts a part into pieces.
pub(super) fn lay(part: &FormPart, spoken: &Spoken, room: f64, heads: &mut Vec<Piece>) -> Vec<Piece> {
    match &part.fill {
        Fill::Caution(one) => beside(part, spoken, one, room, 30.0, |x| {
            let mut items = numbered(one, x, 0.0, 30.0);
            let words = fit(
                spoken.say(Phrase::ReadInitials),
                Face::Regular,
                NUMBER,
                30.0 - 6.8,
            );
            items.push(text(x + 6.0, INSIDE, NUMBER, Face::Regular, &words, 0.2));
            items
        }),
        Fill::Tick(one) => beside(part, spoken, one, room, TICK, |x| numbered(one, x, 0.0, TICK)),
        Fill::Value(one) => beside(part, spoken, one, room, READING + 8.0, |x| {
            numbered(one, x, 0.0, READING + 8.0)
        }),
        Fill::Words(one) => {
            let wide = room * 0.5;
            beside(part, spoken, one, room, wide, |x| numbered(one, x, 0.0, wide))
        }
        Fill::YesNo(one) => beside(part, spoken, one, room, 34.0, |x| {
            let mut items = Vec::new();
            for (n, word) in ["yes", "no"].map(|word| spoken.answer(word)).iter().enumerate() {
                let left = x + n as f64 * 17.0;
                items.extend(if n == 0 {
                    numbered(one, left + 7.0, 0.0, TICK)
                } else {
                    vec![outline(left + 7.0, 0.0, TICK, BOX)]
                });
                items.extend(tagged(
                    Role::Paragraph,
                    [text(left, 4.8, SMALL, Face::Regular, word, 0.0)],
                ));
            }
            items
        }),
        Fill::OneOf(one, ways, reason) => one_of(part, spoken, one, ways, *reason, room),
        Fill::Table(table) => {
            let mut pieces = vec![heading(part, spoken, None, room).glued()];
            pieces.extend(rows(table, room, heads));
            pieces
        }
        Fill::Open(one, open) => {
            let head = heading(part, spoken, Some(one.number), room);
            if open.labels.is_empty() {
                // its boxes stand in the table of the choice
                return beside(part, spoken, one, room, TICK, |x| numbered(one, x, 0.0, TICK));
            }
            let mut pieces = vec![head.glued()];
            pieces.extend(open_rows(one, open, room, heads));
            pieces
        }
        Fill::Sign(one) => {
            let mut pieces = vec![heading(part, spoken, Some(one.number), room).glued()];
            let inner = room - MARGIN;
            let mut items = Vec::new();
            let mut x = MARGIN;
            for (label, share) in [
                (Phrase::Name, 0.38),
                (Phrase::Signature, 0.37),
                (Phrase::Date, 0.25),
            ] {
                let wide = inner * share - 1.5;
                items.push(outline(x, 0.0, wide, 11.0));
                let label = text(x + 0.8, INSIDE, NUMBER, Face::Regular, spoken.say(label), 0.2);
                items.extend(tagged(Role::Paragraph, [label]));
                x += inner * share;
            }
            pieces.push(Piece::new(0.6, 11.0, items));
            pieces
        }
    }
}

/// Words at the left and boxes at the right.
fn beside(
    part: &FormPart,
    spoken: &Spoken,
    one: &FormBox,
    room: f64,
    wide: f64,
    boxes: impl Fn(f64) -> Vec<Item>,
) -> Vec<Piece> {
    let (height, words) = column(part, spoken, room - MARGIN - wide - 3.0);
    let mut items = label(one.number);
    items.extend(words);
    items.extend(boxes(room - wide));
    vec![Piece::new(BETWEEN, height.max(BOX), items)]
}

/// Words over the whole width, above what follows.
fn heading(part: &FormPart, spoken: &Spoken, number: Option<u32>, room: f64) -> Piece {
    let (height, words) = column(part, spoken, room - MARGIN);
    let mut items = number.map_or(Vec::new(), label);
    items.extend(words);
    Piece::new(BETWEEN, height, items)
}

/// A tick for each of some words.
fn one_of(
    part: &FormPart,
    spoken: &Spoken,
    one: &FormBox,
    ways: &[(String, String)],
    reason: bool,
    room: f64,
) -> Vec<Piece> {
    let mut pieces = vec![heading(part, spoken, Some(one.number), room).glued()];
    let inner = room - MARGIN;
    let line = |key: &str, words: &str| {
        if words.is_empty() {
            key.to_string()
        } else {
            format!("{key}: {words}")
        }
    };
    let widest = ways
        .iter()
        .map(|(key, words)| width(&line(key, words), Face::Regular, SMALL))
        .fold(0.0, f64::max);
    let across = ((inner / (widest + TICK + 5.0)).floor() as usize).clamp(1, 3);
    let each = inner / across as f64;
    for row in ways.chunks(across) {
        let mut items = Vec::new();
        let mut deep = 1;
        for (n, (key, words)) in row.iter().enumerate() {
            let x = MARGIN + n as f64 * each;
            items.push(outline(x, 0.0, TICK, BOX));
            let lines = wrap(&line(key, words), Face::Regular, SMALL, each - TICK - 3.0);
            let top = ((BOX - line_height(SMALL) * lines.len() as f64) / 2.0).max(0.0);
            items.push(Item::begins(&Tag::of(Role::Paragraph)));
            items.extend(place(&lines, x + TICK + 1.5, top, SMALL, Face::Regular, 0.0));
            deep = deep.max(lines.len());
        }
        let height = (line_height(SMALL) * deep as f64).max(BOX);
        pieces.push(Piece::new(0.7, height, items).glued());
    }
    if reason {
        let because = spoken.say(Phrase::Because);
        let items = tagged(
            Role::Paragraph,
            [
                outline(MARGIN, 0.0, inner, BOX),
                text(MARGIN + 0.8, INSIDE, NUMBER, Face::Regular, because, 0.2),
            ],
        );
        pieces.push(Piece::new(0.7, BOX, items));
    } else if let Some(last) = pieces.last_mut() {
        last.glue = false;
    }
    pieces
}

/// Rows of numbered boxes under their heads.
fn rows(table: &FormTable, room: f64, heads: &mut Vec<Piece>) -> Vec<Piece> {
    let inner = room - MARGIN;
    let widest = table
        .rows
        .iter()
        .map(|row| width(&row.label, Face::Bold, WORDS))
        .fold(0.0, f64::max);
    let said = table.rows.iter().any(|row| !row.limits.is_empty());
    let columns = table.columns.len().max(1);
    if columns == 1 && !said {
        return packed(table, inner, widest);
    }
    let wordy = columns == 1 && table.columns.iter().all(|column| column.unit.is_empty());
    let left = if said {
        (widest + 3.0).max(inner * 0.30)
    } else {
        widest + 4.0
    };
    let wide = if wordy {
        inner - left
    } else {
        ((inner - left) / columns as f64).min(READING)
    };
    let whole = Tag::of(Role::Table);
    let (head, repeated) = repeating(column_heads(&whole, table, left, wide), heads);
    let mut pieces = vec![head];
    for row in &table.rows {
        let of_row = whole.part(Role::Row);
        let mut items = vec![Item::begins(&of_row.part(Role::RowHead))];
        items.extend(place(
            std::slice::from_ref(&row.label),
            MARGIN,
            1.4,
            WORDS,
            Face::Bold,
            0.0,
        ));
        let name = width(&row.label, Face::Bold, WORDS) + 2.0;
        let limits = wrap(&row.limits.join("; "), Face::Regular, SMALL, left - name - 1.0);
        let deep = line_height(SMALL) * limits.len() as f64;
        let top = ((BOX - deep) / 2.0).max(0.0);
        items.extend(place(&limits, MARGIN + name, top, SMALL, Face::Regular, 0.0));
        for n in 0..columns {
            items.push(Item::begins(&of_row.part(Role::Cell)));
            if let Some(one) = row.boxes.get(n) {
                items.extend(inside(one, MARGIN + left + n as f64 * wide, 0.0, wide));
            }
        }
        pieces.push(Piece::new(0.0, deep.max(BOX), items).under(repeated));
    }
    // the heads stay with two rows
    for piece in pieces.iter_mut().take(2) {
        piece.glue = true;
    }
    if let Some(last) = pieces.last_mut() {
        last.glue = false;
    }
    pieces
}

/// A head that is set again where its table runs on to another page, with its number.
fn repeating(head: Piece, heads: &mut Vec<Piece>) -> (Piece, usize) {
    heads.push(head.clone());
    (head, heads.len() - 1)
}

/// The heads of columns: a step over its readings.
fn column_heads(whole: &Tag, table: &FormTable, left: f64, wide: f64) -> Piece {
    let heads = whole.part(Role::Row);
    // the first stands over what the rows are called
    let mut items = vec![Item::begins(&heads.part(Role::ColumnHead))];
    let y = ASCENT * SMALL * POINT;
    let mut last = "";
    for (n, column) in table.columns.iter().enumerate() {
        let x = MARGIN + left + n as f64 * wide;
        items.push(Item::begins(&heads.part(Role::ColumnHead)));
        if column.step != last {
            let span = table.columns[n..]
                .iter()
                .take_while(|next| next.step == column.step)
                .count();
            let head = fit(&column.step, Face::Bold, SMALL, span as f64 * wide - 1.0);
            items.push(text(x + 0.5, y, SMALL, Face::Bold, &head, 0.0));
        }
        last = &column.step;
    }
    Piece::new(0.8, line_height(SMALL) + 0.4, items)
}

/// One box an item, as many across as there is room for.
fn packed(table: &FormTable, inner: f64, widest: f64) -> Vec<Piece> {
    let label = widest + 2.0;
    let across = ((inner / (label + READING + 2.0)).floor() as usize)
        .clamp(1, 5)
        .min(table.rows.len().max(1));
    let each = (inner / across as f64).min(label + 2.0 * READING);
    let mut pieces = Vec::new();
    for row in table.rows.chunks(across) {
        let mut items = Vec::new();
        for (n, item) in row.iter().enumerate() {
            let x = MARGIN + n as f64 * each;
            items.push(Item::begins(&Tag::of(Role::Paragraph)));
            items.extend(place(
                std::slice::from_ref(&item.label),
                x,
                1.8,
                WORDS,
                Face::Bold,
                0.0,
            ));
            for one in &item.boxes {
                items.extend(numbered(one, x + label, 0.0, each - label - 2.0));
            }
        }
        pieces.push(Piece::new(0.7, BOX, items));
    }
    if let Some(first) = pieces.first_mut() {
        first.glue = table.rows.len() > across;
    }
    pieces
}

/// Rows that are named at the bench.
fn open_rows(one: &FormBox, open: &OpenRows, room: f64, heads: &mut Vec<Piece>) -> Vec<Piece> {
    let inner = room - MARGIN;
    let firm = |head: &str| match head {
        "in" => Some(TICK),
        "from the wall" => Some(24.0),
        "plate" => Some(24.0),
        "keep or reject" => Some(30.0),
        _ if head.contains(", ") => Some(READING),
        _ => None,
    };
    let taken: f64 = open.heads.iter().filter_map(|head| firm(head)).sum();
    let loose = open
        .heads
        .iter()
        .filter(|head| firm(head).is_none())
        .count()
        .max(1);
    let rest = (inner - taken) / loose as f64;
    let whole = Tag::of(Role::Table);
    let heads_row = whole.part(Role::Row);
    let mut head = Vec::new();
    let mut lefts = Vec::new();
    let mut x = MARGIN;
    for words in &open.heads {
        let wide = firm(words).unwrap_or(rest);
        head.push(Item::begins(&heads_row.part(Role::ColumnHead)));
        head.push(text(
            x + 0.5,
            ASCENT * SMALL * POINT,
            SMALL,
            Face::Bold,
            words,
            0.0,
        ));
        lefts.push((x, wide));
        x += wide;
    }
    let (head, repeated) = repeating(Piece::new(0.8, line_height(SMALL) + 0.4, head), heads);
    let mut pieces = vec![head.glued()];
    for (n, label) in open.labels.iter().enumerate() {
        let of_row = whole.part(Role::Row);
        let mut items = Vec::new();
        for (k, (x, wide)) in lefts.iter().enumerate() {
            items.push(Item::begins(&of_row.part(Role::Cell)));
            if k == 0 && !label.is_empty() {
                items.push(text(*x, 4.9, WORDS, Face::Regular, label, 0.0));
                continue;
            }
            items.push(outline(*x, 0.0, *wide, BOX));
            if k == 1 || k == 0 && label.is_empty() {
                items.push(text(
                    x + 0.8,
                    INSIDE,
                    NUMBER,
                    Face::Regular,
                    &one.number.to_string(),
                    0.2,
                ));
            }
        }
        let piece = Piece::new(0.0, BOX, items).under(repeated);
        pieces.push(if n == 0 && open.labels.len() > 1 {
            piece.glued()
        } else {
            piece
        });
    }
    pieces
}
