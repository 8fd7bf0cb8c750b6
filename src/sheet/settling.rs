//! The two pictures of the settings sheet: lock over throttle, and torque at one wheel against torque at the other.

use super::measure::{Face, width};
use super::numbers::{torque_value, unit};
use super::page::{Item, Margins, Page};
use super::page_elements::{bar, rule, text};
use super::plot::{Axis, dot, line};
use crate::quantity::{Torque, Units};
use crate::tuning::{Curves, Pictures};

const SIZE: f64 = 8.0;
/// From the top of a picture to its frame: the title of the axis.
const TOP: f64 = 5.5;
/// Below the frame: ticks and title.
const FOOT: f64 = 9.5;
/// The most lock share that is drawn.
const MOST: f64 = 1.2;

/// A frame: left, top, right, bottom.
#[derive(Clone, Copy)]
pub(super) struct Frame {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Frame {
    pub fn outline(self, thickness: f64, grey: f64) -> Item {
        let corners = vec![
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
            (self.left, self.top),
        ];
        line(corners, thickness, grey, 0.0)
    }

    /// How far a point lies inside each of the four sides.
    fn inwards(self, (x, y): (f64, f64)) -> [f64; 4] {
        [x - self.left, self.right - x, y - self.top, self.bottom - y]
    }

    /// The part of an area that lies inside, side by side (Sutherland and Hodgman).
    pub fn area(self, mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
        for side in 0..4 {
            let mut kept = Vec::new();
            for n in 0..points.len() {
                let (from, to) = (points[n], points[(n + 1) % points.len()]);
                let (a, b) = (self.inwards(from)[side], self.inwards(to)[side]);
                if a >= 0.0 {
                    kept.push(from);
                }
                if (a >= 0.0) != (b >= 0.0) {
                    kept.push(between(from, to, a / (a - b)));
                }
            }
            points = kept;
        }
        points
    }

    /// The part of a line that lies inside, up to where it leaves for good.
    pub fn line(self, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for pair in points.windows(2) {
            let (mut start, mut end) = (0.0_f64, 1.0_f64);
            for (a, b) in self.inwards(pair[0]).into_iter().zip(self.inwards(pair[1])) {
                if a < 0.0 && b < 0.0 {
                    end = -1.0;
                } else if a < 0.0 {
                    start = start.max(a / (a - b));
                } else if b < 0.0 {
                    end = end.min(a / (a - b));
                }
            }
            if start <= end {
                if kept.is_empty() {
                    kept.push(between(pair[0], pair[1], start));
                }
                kept.push(between(pair[0], pair[1], end));
            }
        }
        kept
    }
}

fn between(from: (f64, f64), to: (f64, f64), part: f64) -> (f64, f64) {
    (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1))
}

/// How a setting is drawn: thickness and dashes.
const NOW: (f64, f64) = (0.35, 1.3);
const TAKEN: (f64, f64) = (0.7, 0.0);

fn stroke(points: Vec<(f64, f64)>, (thickness, dash): (f64, f64)) -> Item {
    line(points, thickness, 0.0, dash)
}

/// Both pictures beside each other, `room` wide and `high` with all that belongs to them.
pub(super) fn draw(pictures: &Pictures, units: Units, room: f64, high: f64) -> Vec<Item> {
    let side = high - TOP - FOOT;
    // the plane is square; the curve has what is left
    let plane_from = room - side - 1.0;
    let mut items = curve(pictures, plane_from - 16.0, high - FOOT);
    items.extend(plane(pictures, units, plane_from, side));
    items
}

/// What both pictures show, for whoever can not see them.
pub(super) fn says(pictures: &Pictures, units: Units) -> String {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let symbol = unit::<Torque>(units);
    let of = |name: &str, drawn: &Curves| {
        let ends = [drawn.share.first(), drawn.share.last()];
        let open: Vec<String> = ends
            .into_iter()
            .flatten()
            .map(|(throttle, share)| {
                let [throttle, share] = [throttle, share].map(|one| percent(one.value()));
                format!("{share} at {throttle} throttle")
            })
            .collect();
        let shut = drawn
            .shut
            .map(|shut| format!("{} with it shut", percent(shut.value())));
        let edge = |way: &str, edge: &[(Torque, Torque)]| {
            let (more, less) = edge.last()?;
            let [more, less] = [more, less].map(|torque| torque_value(*torque, units));
            Some(format!(
                "on {way} {less:.0} {symbol} at the one wheel while the other has {more:.0}"
            ))
        };
        let all = open.into_iter().chain(shut);
        let all = all
            .chain(edge("drive", &drawn.drive))
            .chain(edge("coast", &drawn.coast));
        format!("{name}: {}", all.collect::<Vec<_>>().join(", "))
    };
    format!(
        "Two pictures: the share of the difference between the tyres that is held, over the throttle; and the torque at one wheel \
         over that at the other while the packs slip. {}. {}.",
        of("As it is", &pictures.now),
        of("Proposed", &pictures.taken)
    )
}

/// Each of the two pictures as a page of its own, with the name of its file.
pub(super) fn apart(pictures: &Pictures, units: Units) -> [(&'static str, Page); 2] {
    const WIDE: f64 = 120.0;
    const HIGH: f64 = 80.0;
    // an edge around, and on the left of the plane its numbers
    const EDGE: f64 = 5.0;
    const LEFT: f64 = 16.0;
    let side = HIGH - TOP - FOOT;
    let page = |width: f64, items: Vec<Item>, left: f64| Page {
        width,
        height: HIGH + 2.0 * EDGE,
        margins: Margins {
            left: 0.0,
            right: 0.0,
            top: 0.0,
            bottom: 0.0,
        },
        items: items.into_iter().map(|item| item.moved(left, EDGE)).collect(),
    };
    [
        (
            "lock-over-throttle",
            page(WIDE + 2.0 * EDGE, curve(pictures, WIDE, HIGH - FOOT), EDGE),
        ),
        (
            "torque-at-the-wheels",
            page(
                side + LEFT + 3.0 * EDGE,
                plane(pictures, units, 0.0, side),
                LEFT + EDGE,
            ),
        ),
    ]
}

/// Lock over throttle, with the closed throttle in a strip of its own.
fn curve(pictures: &Pictures, room: f64, bottom: f64) -> Vec<Item> {
    const STRIP: f64 = 9.0;
    let y = Axis::of(0.0, MOST, 0.2, bottom, TOP);
    let (strip, from, to) = (9.0, 9.0 + STRIP + 3.0, room - 15.0);
    let x = Axis::of(0.0, 1.0, 0.2, from, to);
    let mut items = vec![text(
        0.0,
        3.0,
        SIZE,
        Face::Regular,
        "Lock: share of the difference between the tyres that is held, %",
        0.2,
    )];
    for n in 0..=6 {
        let value = f64::from(n) * 0.2;
        let at = y.at(value);
        let label = format!("{:.0}", value * 100.0);
        let wide = width(&label, Face::Regular, SIZE);
        items.push(text(
            strip - 1.5 - wide,
            at + 1.0,
            SIZE,
            Face::Regular,
            &label,
            0.2,
        ));
        if n != 5 {
            items.push(rule(strip, at, STRIP, 0.1, 0.75));
            items.push(rule(from, at, to - from, 0.1, 0.75));
        }
    }
    let one = y.at(1.0);
    items.push(rule(strip, one, STRIP, 0.3, 0.0));
    items.push(rule(from, one, to - from, 0.3, 0.0));
    let words = "turns as one from here";
    let wide = width(words, Face::Regular, SIZE);
    items.push(text(to - wide - 2.6, one + 3.4, SIZE, Face::Regular, words, 0.2));
    for (left, right) in [(strip, strip + STRIP), (from, to)] {
        items.push(rule(left, bottom, right - left, 0.25, 0.0));
        items.push(line(vec![(left, TOP), (left, bottom)], 0.25, 0.0, 0.0));
    }
    let mut label = |at: f64, words: &str| {
        let wide = width(words, Face::Regular, SIZE);
        items.push(text(
            at - wide / 2.0,
            bottom + 4.5,
            SIZE,
            Face::Regular,
            words,
            0.2,
        ));
    };
    label(strip + STRIP / 2.0, "shut");
    for n in 0..=5 {
        label(x.at(f64::from(n) * 0.2), &format!("{}", n * 20));
    }
    let title = "Throttle, %";
    let middle = (from + to - width(title, Face::Regular, SIZE)) / 2.0;
    items.push(text(middle, bottom + 8.5, SIZE, Face::Regular, title, 0.2));

    let frame = Frame {
        left: from,
        top: TOP,
        right: to,
        bottom,
    };
    let trace = |drawn: &Curves| -> Vec<(f64, f64)> {
        let points = drawn.share.iter();
        let points: Vec<(f64, f64)> = points.map(|(t, s)| (x.at(t.value()), y.at(s.value()))).collect();
        frame.line(&points)
    };
    let mut ends = Vec::new();
    for (drawn, style, name) in [
        (&pictures.now, NOW, "as it is"),
        (&pictures.taken, TAKEN, "proposed"),
    ] {
        let points = trace(drawn);
        if let Some(end) = points.last() {
            ends.push((*end, name));
        }
        if points.len() > 1 {
            items.push(stroke(points, style));
        }
        if let Some(shut) = drawn.shut {
            let at = y.at(shut.value().min(MOST));
            let ends = vec![(strip + 1.2, at), (strip + STRIP - 1.2, at)];
            items.push(stroke(ends, style));
        }
    }
    if let Some(caps) = pictures.caps_from {
        let at = x.at(caps.value());
        items.push(line(vec![(at, TOP), (at, bottom)], 0.3, 0.0, 0.4));
        let words = format!("tyres cap from {:.0} %", 100.0 * caps.value());
        let wide = width(&words, Face::Regular, SIZE);
        // on the side of it where there is room, as low as no curve runs through it
        let left = if at - wide - 1.2 > from {
            at - wide - 1.2
        } else {
            at + 1.2
        };
        let runs = |drawn: &Curves, low: f64| {
            let within = |t: f64| (left - 1.0..=left + wide + 1.0).contains(&x.at(t));
            let mut shares = drawn.share.iter().filter(|(t, _)| within(t.value()));
            shares.any(|(_, s)| (low - 0.03..=low + 0.13).contains(&s.value()))
        };
        let free = |low: &f64| !runs(&pictures.now, *low) && !runs(&pictures.taken, *low);
        let low = [0.03, 0.23, 0.43, 0.63, 0.83]
            .into_iter()
            .find(free)
            .unwrap_or(0.03);
        items.push(text(left, y.at(low), SIZE, Face::Regular, &words, 0.2));
    }
    items.extend(end_labels(&ends, to, bottom));
    for (n, (at_throttle, share)) in pictures.points.iter().enumerate() {
        let (at, share) = (x.at(at_throttle.value()), share.value());
        items.push(dot(at, y.at(share), false));
        if n == 0 {
            // on the side of it where the curve is not
            let shares = &pictures.taken.share;
            let curve = shares.iter().find(|(throttle, _)| throttle >= at_throttle);
            let above = curve.is_some_and(|(_, curve)| curve.value() < share);
            let wide = width("wanted", Face::Regular, SIZE);
            let (left, base) = if above {
                ((at - wide - 1.4).max(from + 0.8), y.at(share) - 1.4)
            } else {
                (at + 1.4, y.at(share) + 3.6)
            };
            items.push(text(left, base, SIZE, Face::Regular, "wanted", 0.0));
        }
    }
    items
}

/// The names of curves beside their ends, apart from each other; a curve that leaves by the top is named inside of it.
fn end_labels(ends: &[((f64, f64), &str)], right: f64, bottom: f64) -> Vec<Item> {
    const APART: f64 = 3.8;
    let mut placed: Vec<(f64, f64, &str)> = ends
        .iter()
        .map(|((x, y), name)| {
            let leaves = *y < TOP + 0.1 && *x < right - 0.1;
            let wide = width(name, Face::Regular, SIZE);
            match leaves {
                // beside the line, where it goes out
                true if x + 2.0 + wide < right => (x + 2.0, TOP + 3.2, *name),
                true => (x - wide - 3.0, TOP + 3.2, *name),
                false => (right + 1.2, (y + 1.0).clamp(TOP + 2.5, bottom), *name),
            }
        })
        .collect();
    if let [first, second] = placed.as_mut_slice()
        && (first.0 - second.0).abs() < 16.0
        && (first.1 - second.1).abs() < APART
    {
        let middle = ((first.1 + second.1) / 2.0).clamp(TOP + 2.5 + APART / 2.0, bottom - APART / 2.0);
        let sign = if first.1 <= second.1 { -1.0 } else { 1.0 };
        first.1 = middle + sign * APART / 2.0;
        second.1 = middle - sign * APART / 2.0;
    }
    placed
        .into_iter()
        .map(|(x, y, name)| {
            let face = if name == "proposed" {
                Face::Bold
            } else {
                Face::Regular
            };
            text(x, y, SIZE, face, name, 0.0)
        })
        .collect()
}

/// Torque at the left wheel against torque at the right one, in a bend to the left.
fn plane(pictures: &Pictures, units: Units, from: f64, side: f64) -> Vec<Item> {
    let value = |torque: Torque| torque_value(torque, units);
    let [drive, coast] = [&pictures.taken.drive_tyres, &pictures.taken.coast_tyres];
    let most = value(drive.high).max(1.0) * 1.18;
    // the coast is smaller, and needs less room
    let least = 0.6 * most;
    let symbol = unit::<Torque>(units);
    let frame = Frame {
        left: from,
        top: TOP,
        right: from + side,
        bottom: TOP + side,
    };
    let x = Axis::within(-least, most, 6.0, frame.left, frame.right);
    let y = Axis::within(-least, most, 6.0, frame.bottom, frame.top);
    let mut items = Vec::new();
    let edge = |points: &[(Torque, Torque)], sign: f64, mirrored: bool| -> Vec<(f64, f64)> {
        let place = |(more, less): &(Torque, Torque)| {
            let (more, less) = (sign * value(*more), sign * value(*less));
            if mirrored {
                (x.at(more), y.at(less))
            } else {
                (x.at(less), y.at(more))
            }
        };
        points.iter().map(place).collect()
    };
    let back = |mut points: Vec<(f64, f64)>| {
        points.reverse();
        points
    };
    // where the axle turns as one, by the proposal
    let taken = &pictures.taken;
    let mut band = back(edge(&taken.coast, -1.0, true));
    band.extend(edge(&taken.drive, 1.0, false));
    band.extend(back(edge(&taken.drive, 1.0, true)));
    band.extend(edge(&taken.coast, -1.0, false));
    let band = frame.area(band);
    if band.len() > 2 {
        items.push(Item::Polygon {
            points: band,
            fill: Some(0.9),
            outline: 0.0,
        });
    }
    for (at, label) in x.ticks() {
        let wide = width(&label, Face::Regular, SIZE);
        items.push(line(
            vec![(at, frame.bottom), (at, frame.bottom + 1.0)],
            0.2,
            0.0,
            0.0,
        ));
        let left = (at - wide / 2.0).clamp(frame.left - 4.0, frame.right + 1.0 - wide);
        items.push(text(left, frame.bottom + 4.5, SIZE, Face::Regular, &label, 0.2));
    }
    for (at, label) in y.ticks() {
        let wide = width(&label, Face::Regular, SIZE);
        items.push(line(
            vec![(frame.left - 1.0, at), (frame.left, at)],
            0.2,
            0.0,
            0.0,
        ));
        items.push(text(
            frame.left - 1.8 - wide,
            at + 1.0,
            SIZE,
            Face::Regular,
            &label,
            0.2,
        ));
    }
    items.push(frame.outline(0.15, 0.5));
    let (zero_x, zero_y) = (x.at(0.0), y.at(0.0));
    items.push(line(
        vec![(frame.left, zero_y), (frame.right, zero_y)],
        0.2,
        0.0,
        0.0,
    ));
    items.push(line(
        vec![(zero_x, frame.top), (zero_x, frame.bottom)],
        0.2,
        0.0,
        0.0,
    ));
    items.push(text(
        frame.left - 14.0,
        3.0,
        SIZE,
        Face::Regular,
        &format!("Torque at the right wheel, {symbol}"),
        0.2,
    ));
    let title = format!("Torque at the left wheel, {symbol}");
    let middle = (frame.left + frame.right - width(&title, Face::Regular, SIZE)) / 2.0;
    items.push(text(middle, frame.bottom + 8.5, SIZE, Face::Regular, &title, 0.2));
    // what the tyres can react in a bend to the left
    let (low, high) = (x.at(value(drive.low)), y.at(value(drive.high)));
    items.push(line(vec![(low, zero_y), (low, high)], 0.3, 0.0, 0.6));
    items.push(line(vec![(zero_x, high), (low, high)], 0.3, 0.0, 0.6));
    let (low_shut, high_shut) = (x.at(-value(coast.low)), y.at(-value(coast.high)));
    let dragged = frame.line(&[(low_shut, zero_y), (low_shut, high_shut), (zero_x, high_shut)]);
    if dragged.len() > 1 {
        items.push(line(dragged, 0.3, 0.0, 0.6));
    }
    for (drawn, style) in [(&pictures.now, NOW), (taken, TAKEN)] {
        for (points, sign) in [(&drawn.drive, 1.0), (&drawn.coast, -1.0)] {
            for mirrored in [false, true] {
                let points = frame.line(&edge(points, sign, mirrored));
                if points.len() > 1 {
                    items.push(stroke(points, style));
                }
            }
        }
    }
    // both tyres at their limit
    items.push(dot(low, high, true));
    // what the areas mean, where there is room
    let middle = (x.at(0.74 * most), y.at(0.74 * most));
    let words = "turns as one";
    let wide = width(words, Face::Regular, SIZE);
    let crossed = edge(&taken.drive, 1.0, false)
        .windows(2)
        .find(|pair| pair[1].1 <= middle.1)
        .map(|pair| pair[1].0);
    if crossed.is_some_and(|edge| edge < middle.0 - wide / 2.0 - 1.0) {
        items.push(text(
            middle.0 - wide / 2.0,
            middle.1 + 1.0,
            SIZE,
            Face::Regular,
            words,
            0.0,
        ));
    }
    items.extend(slips("right gets", zero_x - 1.5, frame.top + 1.5, frame.left));
    items.extend(slips("left gets", frame.right - 2.0, zero_y + 1.5, frame.left));
    items
}

/// The words for an area where the packs slip, set to the right, on white; nothing where there is no room.
fn slips(who: &str, right: f64, top: f64, least: f64) -> Vec<Item> {
    let lines = ["packs slip,", who, "more"].map(|words| (words, width(words, Face::Regular, SIZE)));
    let widest = lines.iter().map(|(_, wide)| *wide).fold(0.0, f64::max);
    if right - widest - 0.8 < least {
        return Vec::new();
    }
    let mut items = vec![bar(right - widest - 0.5, top, widest + 1.0, 11.4, 1.0)];
    for (n, (words, wide)) in lines.into_iter().enumerate() {
        let y = top + 3.0 + 3.7 * n as f64;
        items.push(text(right - wide, y, SIZE, Face::Regular, words, 0.2));
    }
    items
}
