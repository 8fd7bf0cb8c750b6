//! The packs drawn in order, cut through, with the case wall at the top and the ring at the bottom.

use super::blocks::Style;
use super::flow::{Flow, Piece};
use super::measure::{Face, fit, width};
use super::numbers::{Lengths, capital, unit};
use super::page::Item;
use super::page_elements::{bar, paragraph, tagged, text};
use super::tags::{Role, Tag};
use crate::quantity::{Length, Units};
use crate::record::{Layer, LayerKind, Pack};
use crate::report::FIRM;

/// Size of the labels.
const SIZE: f64 = 8.0;
/// From label to label.
const PITCH: f64 = 3.5;
/// Width of the drawing of one pack.
const DRAWN: f64 = 27.0;
/// How far a plate stands out on its keyed side.
const KEYED: f64 = 4.0;
/// Where the labels begin.
const LABELS: f64 = DRAWN + 7.0;
/// Height of the case wall.
const WALL: f64 = 2.6;
/// A ring is cut short past this height.
const RING: f64 = 9.0;
/// Nothing is drawn thinner, or it could not be seen.
const THINNEST: f64 = 0.6;
/// More layers than this go into the next drawing.
const MOST: usize = 44;
/// Scales that are easily read.
const SCALES: [f64; 13] = [0.1, 0.2, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 5.0];

/// What the drawings of some packs share: their scale, their numbers, and how they are read.
struct Shared {
    scale: f64,
    numbers: Lengths,
    symbol: &'static str,
    how: String,
}

impl Shared {
    fn of(packs: &[Pack], units: Units) -> Shared {
        let layers = || packs.iter().flat_map(|pack| &pack.layers);
        let scale = scale(packs);
        let short = layers().any(|layer| {
            let full = layer.thickness.mm() * scale;
            full > RING && layer.kind == LayerKind::Ring || full < THINNEST
        });
        let plates = if layers().any(|layer| layer.kind == LayerKind::Pressed) {
            "All plates of a pack in one block, as they were measured, pressed together"
        } else {
            "Friction plates grey, keyed to the side gear on the right; case plates white, keyed to the case on the left"
        };
        let mut how = format!("{plates}; shims black. Thickness is drawn {scale}{FIRM}:{FIRM}1");
        how.push_str(if short {
            "; a thick ring is cut short, and what is very thin is drawn thick enough to be seen."
        } else {
            "."
        });
        Shared {
            scale,
            numbers: Lengths::of(units, layers().map(|layer| layer.thickness)),
            symbol: unit::<Length>(units),
            how,
        }
    }
}

/// In how many parts a pack is drawn.
fn parts(pack: &Pack) -> usize {
    pack.layers.len().div_ceil(MOST).max(1)
}

/// Puts the drawings of the packs into the flow, two side by side.
pub(super) fn draw(flow: &mut Flow, packs: &[Pack], units: Units) {
    let shared = Shared::of(packs, units);
    for two in packs.chunks(2) {
        for part in 0..two.iter().map(parts).max().unwrap_or(1) {
            let wide = (flow.room - 8.0) / 2.0;
            let mut height: f64 = 0.0;
            let mut items = Vec::new();
            for (n, pack) in two.iter().enumerate() {
                let drawing = Drawing {
                    pack,
                    from: part * MOST,
                    left: n as f64 * (wide + 8.0),
                    wide,
                    shared: &shared,
                };
                height = height.max(drawing.draw(&mut items));
            }
            flow.push(Piece::new(1.5, height, items));
        }
    }
    paragraph(flow, Style::Small, &shared.how);
}

/// A drawing by itself: its height, and its items from its upper left corner.
type Apart<'a> = (&'a Pack, (f64, Vec<Item>));

/// The drawings of the packs, each by itself and `wide` millimetres, and how they are read.
pub(super) fn apart(packs: &[Pack], units: Units, wide: f64) -> (Vec<Apart<'_>>, String) {
    let shared = Shared::of(packs, units);
    let mut drawings = Vec::new();
    for pack in packs {
        for part in 0..parts(pack) {
            let drawing = Drawing {
                pack,
                from: part * MOST,
                left: 0.0,
                wide,
                shared: &shared,
            };
            let mut items = Vec::new();
            drawings.push((pack, (drawing.draw(&mut items), items)));
        }
    }
    (drawings, shared.how)
}

fn drawn(layer: &Layer, scale: f64) -> f64 {
    let full = layer.thickness.mm() * scale;
    if layer.kind == LayerKind::Ring {
        full.clamp(THINNEST, RING)
    } else {
        full.max(THINNEST)
    }
}

/// The largest scale at which no drawing is much taller than its list of labels.
fn scale(packs: &[Pack]) -> f64 {
    let parts: Vec<&[Layer]> = packs.iter().flat_map(|p| p.layers.chunks(MOST)).collect();
    let fits = |scale: f64| {
        parts.iter().all(|layers| {
            let high: f64 = layers.iter().map(|layer| drawn(layer, scale)).sum();
            high <= (layers.len() as f64 * PITCH * 1.07).max(24.0)
        })
    };
    let most = SCALES.iter().rev().copied().find(|s| fits(*s));
    // past the list only for parts of absurd size
    most.unwrap_or_else(|| (1..9).map(|n| 10_f64.powi(-n)).find(|s| fits(*s)).unwrap_or(1e-9))
}

struct Drawing<'a> {
    pack: &'a Pack,
    from: usize,
    left: f64,
    wide: f64,
    shared: &'a Shared,
}

impl Drawing<'_> {
    /// Draws and returns the height.
    fn draw(&self, items: &mut Vec<Item>) -> f64 {
        let Shared { scale, symbol, .. } = self.shared;
        let all = &self.pack.layers;
        let to = (self.from + MOST).min(all.len());
        let Some(layers) = all.get(self.from..to).filter(|l| self.from == 0 || !l.is_empty()) else {
            return 0.0;
        };
        let x = self.left;
        let mut top = 4.4;
        let go_on = if self.from > 0 { ", continued" } else { "" };
        let faces = match self.pack.active_faces {
            1 => "1 face rubs".to_string(),
            n => format!("{n} faces rub"),
        };
        let head = fit(
            &format!("{} pack{go_on}: {faces}", capital(self.pack.side.word())),
            Face::Bold,
            9.0,
            self.wide - 12.0,
        );
        items.extend(tagged(
            Role::Paragraph,
            [text(x, 3.0, 9.0, Face::Bold, &head, 0.0)],
        ));
        let right = x + self.wide;
        let wide = width(symbol, Face::Regular, SIZE);
        items.extend(tagged(
            Role::Paragraph,
            [text(right - wide, 3.0, SIZE, Face::Regular, symbol, 0.35)],
        ));
        if self.from == 0 {
            hatched(items, x, top, DRAWN, WALL);
            let wall = text(x + LABELS, top + 2.4, SIZE, Face::Regular, "case wall", 0.35);
            items.extend(tagged(Role::Paragraph, [wall]));
            top += WALL;
        }
        let labels = layers.len() as f64 * PITCH;
        let high: f64 = layers.iter().map(|layer| drawn(layer, *scale)).sum();
        let deep = high.max(labels);
        let mut y = top;
        let mut middles = Vec::new();
        for layer in layers {
            let thick = drawn(layer, *scale);
            slab(items, layer.kind, x, y, thick);
            middles.push(y + thick / 2.0);
            y += thick;
        }
        let layers_told = Tag::of(Role::Table);
        let first = top + PITCH / 2.0 + 0.5;
        for ((n, layer), (middle, at)) in layers.iter().enumerate().zip(middles.iter().zip(spread(
            &middles,
            first,
            top + deep - PITCH / 2.0 + 0.5,
        ))) {
            let row = layers_told.part(Role::Row);
            self.label(items, &row, self.from + n + 1, layer, (*middle, at));
        }
        top + deep + 1.2
    }

    fn label(
        &self,
        items: &mut Vec<Item>,
        row: &Tag,
        number: usize,
        layer: &Layer,
        (middle, at): (f64, f64),
    ) {
        let x = self.left;
        let right = x + self.wide;
        let thickness = self.shared.numbers.number(layer.thickness);
        let baseline = at + 1.0;
        let number = number.to_string();
        let edge = match layer.kind {
            LayerKind::CasePlate | LayerKind::Shim | LayerKind::Spring => DRAWN - KEYED,
            _ => DRAWN,
        };
        items.push(Item::Line {
            points: vec![
                (x + edge, middle),
                (x + DRAWN + 1.2, middle),
                (x + LABELS - 1.8, at),
                (x + LABELS - 0.8, at),
            ],
            thickness: 0.12,
            grey: 0.45,
            dash: 0.0,
        });
        let wide = width(&thickness, Face::Regular, SIZE);
        let from = x + LABELS + 4.6;
        let room = right - wide - 2.0 - from;
        let kind = layer.kind.word();
        let kind_wide = width(kind, Face::Regular, SIZE);
        let name = fit(&layer.name, Face::Bold, SIZE, (room - kind_wide - 2.0).max(8.0));
        let after = if name.is_empty() {
            0.0
        } else {
            width(&name, Face::Bold, SIZE) + 2.0
        };
        // kinds stand below each other where the names leave them room
        let column = from + after.max(12.0_f64.min(room - kind_wide));
        let kind = fit(kind, Face::Regular, SIZE, (right - wide - 1.5 - column).max(0.0));
        let number_at = from - 1.2 - width(&number, Face::Regular, SIZE);
        for (role, x, face, words, grey) in [
            (Role::Cell, number_at, Face::Regular, &number, 0.35),
            (Role::RowHead, from, Face::Bold, &name, 0.0),
            (Role::Cell, column, Face::Regular, &kind, 0.0),
            (Role::Cell, right - wide, Face::Regular, &thickness, 0.0),
        ] {
            items.push(Item::begins(&row.part(role)));
            items.push(text(x, baseline, SIZE, face, words, grey));
        }
        items.retain(|item| !matches!(item, Item::Text { text, .. } if text.is_empty()));
    }
}

/// Where labels stand that belong to `wanted`: in the same order, at least a pitch apart, between `first` and `last`.
fn spread(wanted: &[f64], first: f64, last: f64) -> Vec<f64> {
    let mut at = Vec::with_capacity(wanted.len());
    let mut least = first;
    for y in wanted {
        let y = y.max(least);
        at.push(y);
        least = y + PITCH;
    }
    let mut most = last;
    for y in at.iter_mut().rev() {
        *y = y.min(most);
        most = *y - PITCH;
    }
    at
}

/// One layer, seen in section.
fn slab(items: &mut Vec<Item>, kind: LayerKind, x: f64, y: f64, thick: f64) {
    let mut area = |from: f64, to: f64, fill: f64, outline: f64| {
        items.push(Item::Polygon {
            points: vec![
                (x + from, y),
                (x + to, y),
                (x + to, y + thick),
                (x + from, y + thick),
            ],
            fill: Some(fill),
            outline,
        });
    };
    match kind {
        LayerKind::Shim => {
            area(0.0, DRAWN - KEYED, 0.0, 0.0);
            // a white edge tells it from the shim above it
            items.push(bar(x, y, DRAWN - KEYED, 0.12, 1.0));
        }
        LayerKind::GearPlate => area(KEYED, DRAWN, 0.7, 0.15),
        LayerKind::CasePlate => area(0.0, DRAWN - KEYED, 1.0, 0.15),
        LayerKind::Ring => {
            area(0.0, DRAWN, 1.0, 0.3);
            // the ramp's vee
            let depth = thick * 0.6;
            let middle = x + DRAWN / 2.0;
            items.push(Item::Line {
                points: vec![
                    (middle - depth, y + thick),
                    (middle, y + thick - depth),
                    (middle + depth, y + thick),
                ],
                thickness: 0.3,
                grey: 0.0,
                dash: 0.0,
            });
        }
        LayerKind::Spring => {
            area(KEYED, DRAWN - KEYED, 1.0, 0.15);
            let (a, b) = (x + KEYED, x + DRAWN - KEYED);
            for points in [vec![(a, y), (b, y + thick)], vec![(a, y + thick), (b, y)]] {
                items.push(Item::Line {
                    points,
                    thickness: 0.25,
                    grey: 0.0,
                    dash: 0.0,
                });
            }
        }
        LayerKind::Pressed => {
            area(0.0, DRAWN, 1.0, 0.15);
            // stripes stand for plates that nobody measured one by one
            let stripes = (thick / 1.2).floor().max(1.0);
            let pitch = thick / stripes;
            for n in 0..stripes as usize {
                let from = y + n as f64 * pitch;
                items.push(bar(
                    x + KEYED,
                    from + pitch * 0.25,
                    DRAWN - 2.0 * KEYED,
                    pitch * 0.5,
                    0.8,
                ));
            }
        }
        LayerKind::Gap => {
            for (from, to) in [(0.0, 0.0), (DRAWN, DRAWN)] {
                items.push(Item::Line {
                    points: vec![(x + from, y), (x + to, y + thick)],
                    thickness: 0.15,
                    grey: 0.0,
                    dash: 0.6,
                });
            }
        }
    }
}

/// A hatched bar: the case wall.
fn hatched(items: &mut Vec<Item>, x: f64, y: f64, wide: f64, high: f64) {
    const STEP: f64 = 1.8;
    let mut from = STEP / 2.0;
    while from + high <= wide {
        items.push(Item::Line {
            points: vec![(x + from, y + high), (x + from + high, y)],
            thickness: 0.15,
            grey: 0.0,
            dash: 0.0,
        });
        from += STEP;
    }
    items.push(bar(x, y + high - 0.25, wide, 0.25, 0.0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_keep_their_order_and_their_distance() {
        let wanted = [10.0, 10.2, 10.3, 11.0, 30.0];
        let at = spread(&wanted, 8.0, 31.0);
        for pair in at.windows(2) {
            assert!(pair[1] - pair[0] >= PITCH - 1e-9, "{at:?}");
        }
        assert!(at[0] >= 8.0 && at[4] <= 31.0);
        let tight = spread(&[20.0; 4], 1.0, 1.0 + 3.0 * PITCH);
        assert!((tight[0] - 1.0).abs() < 1e-9 && (tight[3] - 1.0 - 3.0 * PITCH).abs() < 1e-9);
    }
}
