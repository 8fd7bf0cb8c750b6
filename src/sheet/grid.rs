//! Tables and lists of pairs become pieces: rows that are placed one below the other.

use super::blocks::halved;
use super::flow::{Flow, Piece, Spacing};
use super::measure::{ASCENT, Face, POINT, on_paper, widest_word, width, wrap};
use super::page::Item;
use super::page_elements::{line_height, rule, text};
use super::tags::{Role, Tag};
use crate::report::{Cell, Holds, Table};

/// Size of type in tables.
const BODY: f64 = 8.5;
/// Size of type in the heads of tables.
const HEAD: f64 = 8.0;
/// Size of type in pairs.
const PAIRS: f64 = 9.0;
/// Space between columns.
const GUTTER: f64 = 3.0;
/// A row of more lines than this may be broken over two pages.
const MOST_KEPT: usize = 8;
/// So many rows stay with the head of a table, and with its end: two alone are no table.
const TOGETHER: usize = 4;
/// As high as that in millimetres, fewer are enough: four of many lines leave a page half empty.
const ENOUGH: f64 = 30.0;
/// A hair of slack, so that rounding does not break what was measured to fit.
const SLACK: f64 = 1e-6;
/// Grey of the lines under rows.
const HAIR: f64 = 0.72;

fn face(cell: &Cell) -> Face {
    if cell.strong { Face::Bold } else { Face::Regular }
}

/// The widths of the columns, gutters included; together they are `room`.
///
/// Columns get what their widest cell needs if there is room, and share what is over. If not, each has at least its
/// longest word, and numbers have all that they need as long as that is possible.
fn widths(table: &Table, room: f64, spacing: &Spacing) -> Vec<f64> {
    let (body, head_size) = (spacing.size(BODY), spacing.size(HEAD));
    let column = |i: usize| table.rows.iter().filter_map(move |row| row.get(i));
    let full = |c: &Cell| width(&on_paper(&c.text()), face(c), body);
    let cells: Vec<Vec<f64>> = table
        .rows
        .iter()
        .map(|row| row.iter().map(full).collect())
        .collect();
    let mut natural = Vec::new();
    let mut least = Vec::new();
    let mut titled = Vec::new();
    for (i, col) in table.columns.iter().enumerate() {
        let head = widest_word(&col.title(), Face::Bold, head_size);
        let need = cells
            .iter()
            .filter_map(|row| row.get(i))
            .copied()
            .fold(head, f64::max);
        let word = column(i)
            .map(|c| widest_word(&c.text(), face(c), body))
            .fold(head, f64::max);
        titled.push(need.max(width(&on_paper(&col.title()), Face::Bold, head_size)) + GUTTER);
        natural.push(need + GUTTER);
        least.push(
            if col.holds != Holds::Words {
                need.min(42.0)
            } else {
                word.min(26.0).max(head)
            } + GUTTER,
        );
    }
    let count = natural.len().max(1) as f64;
    // titles in one line if there is room for that, else broken at their spaces
    for widths in [&titled, &natural] {
        let wanted: f64 = widths.iter().sum();
        if wanted <= room {
            return widths.iter().map(|w| w + (room - wanted) / count).collect();
        }
    }
    let floor: f64 = least.iter().sum();
    if floor >= room {
        // the wide ones give way: a number of one digit under a short head has nothing to give
        let (mut low, mut high) = (0.0, room);
        let capped = |cap: f64| least.iter().map(move |l| l.min(cap));
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if capped(middle).sum::<f64>() > room {
                high = middle;
            } else {
                low = middle;
            }
        }
        return capped(low).collect();
    }
    // two ways to share what is left: cut down the widest columns to a common width, or give most where most is
    // missing; of these and of what lies between, the one with the fewest lines is taken
    let (mut low, mut high) = (0.0, room);
    let capped = |cap: f64| natural.iter().zip(&least).map(move |(n, l)| n.min(cap).max(*l));
    for _ in 0..30 {
        let middle = (low + high) / 2.0;
        if capped(middle).sum::<f64>() > room {
            high = middle;
        } else {
            low = middle;
        }
    }
    let missing = |i: usize| (natural[i].min(room) - least[i]).max(0.0);
    let share = (room - floor) / (0..natural.len()).map(missing).sum::<f64>().max(1e-9);
    let mut best = (f64::INFINITY, least.clone());
    for step in 0..=4 {
        let part = f64::from(step) / 4.0;
        let mixed: Vec<f64> = capped(low)
            .enumerate()
            .map(|(i, cap)| cap * (1.0 - part) + (least[i] + missing(i) * share) * part)
            .collect();
        let lines = |row: &Vec<f64>| {
            let each = row
                .iter()
                .zip(&mixed)
                .map(|(cell, wide)| (cell / (wide - GUTTER)).ceil());
            each.fold(1.0, f64::max)
        };
        let deep: f64 = cells.iter().map(lines).sum();
        if deep < best.0 {
            best = (deep, mixed);
        }
    }
    best.1
}

/// The height of a row of `lines` lines.
fn row_height(lines: usize, size: f64, pad: f64) -> f64 {
    2.0 * pad + line_height(size) * lines.max(1) as f64
}

/// Puts a table into the flow, its second half beside the first where that takes fewer lines.
pub(super) fn halves(flow: &mut Flow, whole: &Table) {
    let body = flow.spacing.size(BODY);
    let lines = |of: &Table| -> usize {
        let widths = widths(of, flow.room, &flow.spacing);
        let deep = |row: &Vec<Cell>| {
            let cells = row.iter().zip(&widths);
            let lines =
                cells.map(|(cell, wide)| wrap(&cell.text(), face(cell), body, wide - GUTTER + SLACK).len());
            lines.max().unwrap_or(1)
        };
        of.rows.iter().map(deep).sum()
    };
    let halved = halved(whole);
    if lines(&halved) < lines(whole) {
        table(flow, &halved);
    } else {
        table(flow, whole);
    }
}

/// Puts a table into the flow. Its head is repeated on every page that it runs on to.
pub(super) fn table(flow: &mut Flow, table: &Table) {
    let (body, head_size) = (flow.spacing.size(BODY), flow.spacing.size(HEAD));
    let pad = flow.spacing.row;
    let widths = widths(table, flow.room, &flow.spacing);
    let lefts: Vec<f64> = widths
        .iter()
        .scan(0.0, |x, w| {
            let left = *x;
            *x += w;
            Some(left)
        })
        .collect();
    let inset = GUTTER / 2.0;
    let place = |items: &mut Vec<Item>, i: usize, line: usize, size: f64, face: Face, words: &str| {
        let right = table.columns.get(i).is_some_and(|c| c.holds == Holds::Figures);
        let x = if right {
            lefts[i] + widths[i] - inset - width(words, face, size)
        } else {
            lefts[i] + inset
        };
        let y = pad + ASCENT * size * POINT + line as f64 * line_height(size);
        items.push(text(x, y, size, face, words, 0.0));
    };

    let room = |i: usize| widths[i] - GUTTER + SLACK;
    let titles: Vec<Vec<String>> = table
        .columns
        .iter()
        .enumerate()
        .map(|(i, column)| wrap(&column.title(), Face::Bold, head_size, room(i)))
        .collect();
    let deep = titles.iter().map(Vec::len).max().unwrap_or(1);
    let height = row_height(deep, head_size, pad);
    let mut head = vec![Item::Polygon {
        points: vec![(0.0, 0.0), (flow.room, 0.0), (flow.room, height), (0.0, height)],
        fill: Some(0.9),
        outline: 0.0,
    }];
    let whole = Tag::of(Role::Table);
    let heads = whole.part(Role::Row);
    for (i, lines) in titles.iter().enumerate() {
        head.push(Item::begins(&heads.part(Role::ColumnHead)));
        // short titles stand on the last line, next to the numbers
        for (k, line) in lines.iter().enumerate() {
            place(&mut head, i, deep - lines.len() + k, head_size, Face::Bold, line);
        }
    }
    head.push(rule(0.0, height, flow.room, 0.3, 0.0));
    let repeat = flow.push_table_head(Piece::new(1.2, height, head).glued());

    let rows: Vec<Vec<(Tag, Face, Vec<String>)>> = table
        .rows
        .iter()
        .map(|row| {
            let of_row = whole.part(Role::Row);
            // as many cells as columns, whoever gave fewer
            let missing = Cell::from("");
            (0..widths.len())
                .map(|i| {
                    let cell = row.get(i).unwrap_or(&missing);
                    let lines = wrap(&cell.text(), face(cell), body, room(i));
                    (of_row.part(Role::Cell), face(cell), lines)
                })
                .collect()
        })
        .collect();
    let deeps: Vec<usize> = rows.iter().map(|cells| deepest(cells)).collect();
    let heights: Vec<f64> = deeps.iter().map(|deep| row_height(*deep, body, pad)).collect();
    let glued = stay_together(&heights);
    for ((cells, deep), glue) in rows.iter().zip(deeps).zip(glued) {
        let step = if deep > MOST_KEPT { 1 } else { deep };
        let mut from = 0;
        while from < deep {
            let to = (from + step).min(deep);
            let mut items = Vec::new();
            for (i, (cell, face, lines)) in cells.iter().enumerate() {
                items.push(Item::begins(cell));
                for (k, line) in lines.iter().enumerate().take(to).skip(from) {
                    place(&mut items, i, k - from, body, *face, line);
                }
            }
            let height = if to == deep || step > 1 {
                row_height(to - from, body, pad)
            } else {
                line_height(body)
            };
            if to == deep {
                items.push(rule(0.0, height, flow.room, 0.12, HAIR));
            }
            let mut piece = Piece::new(0.0, height, items).under(repeat);
            piece.glue = if step == deep {
                glue
            } else {
                from == 0 || to + 1 == deep
            };
            flow.push(piece);
            from = to;
        }
    }
}

/// How many lines a row of a table takes.
fn deepest(cells: &[(Tag, Face, Vec<String>)]) -> usize {
    let lines = cells.iter().map(|(_, _, lines)| lines.len());
    lines.max().unwrap_or(1)
}

/// Which rows of these heights stay on one page with the next one.
fn stay_together(heights: &[f64]) -> Vec<bool> {
    let enough = |rows: &mut dyn Iterator<Item = &f64>| {
        let mut high = 0.0;
        let few = rows.take(TOGETHER).take_while(|row| {
            let wanted = high < ENOUGH;
            high += **row;
            wanted
        });
        few.count()
    };
    let first = enough(&mut heights.iter());
    let last = enough(&mut heights.iter().rev());
    let count = heights.len();
    (1..=count)
        .map(|n| n < count && (n < first || n + last > count))
        .collect()
}

/// Puts labels and texts into the flow, two to a row; a long text gets the whole width.
///
/// `before` is the space above them.
pub(super) fn pairs(flow: &mut Flow, pairs: &[(String, String)], mut before: f64) {
    const BETWEEN: f64 = 7.0;
    let size = flow.spacing.size(PAIRS);
    let half = (flow.room - BETWEEN) / 2.0;
    let label = pairs
        .iter()
        .map(|(label, _)| width(&on_paper(label), Face::Regular, size))
        .fold(0.0, f64::max)
        .min(half * 0.42)
        + 2.5;
    let lines = |(name, value): &(String, String), room: f64| {
        (
            wrap(name, Face::Regular, size, label - 2.5 + 1e-6),
            wrap(value, Face::Regular, size, room - label),
        )
    };
    let whole = Tag::of(Role::Table);
    let mut row = |flow: &mut Flow, columns: &[(Vec<String>, Vec<String>)], wide: f64| {
        pair_row(flow, &whole, columns, wide, label, std::mem::take(&mut before));
    };
    let before_all = flow.sections.last().map_or(0, Vec::len);
    let mut waiting: Option<(Vec<String>, Vec<String>)> = None;
    for (n, pair) in pairs.iter().enumerate() {
        let narrow = lines(pair, half);
        let alone = waiting.is_none() && n + 1 == pairs.len();
        if narrow.1.len() > if alone { 1 } else { 2 } {
            if let Some(left) = waiting.take() {
                row(flow, &[left], half);
            }
            row(flow, &[lines(pair, flow.room)], flow.room);
            continue;
        }
        match waiting.take() {
            Some(left) => row(flow, &[left, narrow], half),
            None if n + 1 == pairs.len() => row(flow, &[narrow], half),
            None => waiting = Some(narrow),
        }
    }
    // no row of several stands alone at the foot or at the top of a page
    let rows = flow.sections.last_mut().and_then(|all| all.get_mut(before_all..));
    if let Some([first, .., last_but_one, _]) = rows {
        first.glue = true;
        last_but_one.glue = true;
    }
}

/// A row of one or two pairs; in the table that is read out each pair is a row by itself.
fn pair_row(
    flow: &mut Flow,
    whole: &Tag,
    columns: &[(Vec<String>, Vec<String>)],
    wide: f64,
    label: f64,
    before: f64,
) {
    let size = flow.spacing.size(PAIRS);
    let pad = flow.spacing.row;
    let deep = columns
        .iter()
        .map(|(l, v)| l.len().max(v.len()))
        .max()
        .unwrap_or(1);
    let step = if deep > MOST_KEPT { 1 } else { deep };
    let tags: Vec<[Tag; 2]> = columns
        .iter()
        .map(|_| whole.part(Role::Row))
        .map(|pair| [Role::RowHead, Role::Cell].map(|role| pair.part(role)))
        .collect();
    let mut from = 0;
    while from < deep {
        let to = (from + step).min(deep);
        let ends = to == deep;
        let height = line_height(size) * (to - from) as f64 + if ends { 2.0 * pad } else { 0.0 };
        let mut items = Vec::new();
        for (n, (labels, values)) in columns.iter().enumerate() {
            let x = n as f64 * (flow.room - wide);
            let parts = [(labels, x, 0.35), (values, x + label, 0.0)];
            for ((lines, x, grey), tag) in parts.into_iter().zip(&tags[n]) {
                items.push(Item::begins(tag));
                for k in from..to {
                    let y = pad + ASCENT * size * POINT + (k - from) as f64 * line_height(size);
                    if let Some(words) = lines.get(k) {
                        items.push(text(x, y, size, Face::Regular, words, grey));
                    }
                }
            }
            if ends {
                items.push(Item::Line {
                    points: vec![(x, height), (x + wide, height)],
                    thickness: 0.12,
                    grey: HAIR,
                    dash: 0.0,
                });
            }
        }
        let mut piece = Piece::new(if from == 0 { before } else { 0.0 }, height, items);
        piece.glue = step < deep && (from == 0 || to + 1 == deep);
        flow.push(piece);
        from = to;
    }
}

#[cfg(test)]
mod tests {
    use super::super::flow::ROOMY;
    use super::*;
    use proptest::prelude::*;

    fn rows(glued: &[bool]) -> String {
        glued.iter().map(|glue| if *glue { '+' } else { '/' }).collect()
    }

    #[test]
    fn four_low_rows_stay_together_at_either_end_and_of_tall_ones_fewer() {
        assert_eq!(rows(&stay_together(&[4.0; 10])), "+++///+++/");
        assert_eq!(rows(&stay_together(&[28.0; 6])), "+///+/");
        assert_eq!(rows(&stay_together(&[4.0; 3])), "++/");
        assert_eq!(rows(&stay_together(&[])), "");
    }

    proptest! {
        #[test]
        fn what_stays_together_is_less_than_half_a_page(lines in proptest::collection::vec(1..=MOST_KEPT, 0..14)) {
            let heights: Vec<f64> = lines.iter().map(|deep| row_height(*deep, BODY, ROOMY.row)).collect();
            let mut together = 0.0;
            for (height, glue) in heights.iter().zip(stay_together(&heights)) {
                together += height;
                prop_assert!(together < 95.0, "{together}");
                together = if glue { together } else { 0.0 };
            }
        }
    }
}
