//! The pictures of the wear sheet: least readings of each pack over distance, and the breakaway or gap from build to build.

use super::blocks::WearPictures;
use super::measure::{Face, fit, width};
use super::page::Item;
use super::page_elements::{bar, text};
use super::plot::{Axis, dot, line};
use super::settling::Frame;
use crate::history::{PlatePicture, Trace};
use crate::quantity::significant;

const SIZE: f64 = 8.0;
/// From the top of a picture to its frame.
const TOP: f64 = 6.2;
/// What is left beside the first and the last reading, by how far these are apart.
const BESIDE: f64 = 0.03;
/// Below the frame: ticks and title.
const FOOT: f64 = 8.6;
/// Left of the frame: the numbers.
const LABELS: f64 = 9.5;
/// Between two pictures.
const GAP: f64 = 4.0;

/// The pictures, `room` wide and `high` with all that belongs to them.
pub(super) fn draw(pictures: &WearPictures, room: f64, high: f64) -> Vec<Item> {
    let count = pictures.packs.len() + pictures.traces.len();
    let wide = (room + GAP) / count.max(1) as f64 - GAP;
    let mut items = Vec::new();
    let mut left = 0.0;
    for pack in &pictures.packs {
        items.extend(
            plates(pack, wide, high)
                .into_iter()
                .map(|item| item.moved(left, 0.0)),
        );
        left += wide + GAP;
    }
    for trace in &pictures.traces {
        items.extend(
            saw(trace, wide, high)
                .into_iter()
                .map(|item| item.moved(left, 0.0)),
        );
        left += wide + GAP;
    }
    items
}

/// What the pictures show, for whoever can not see them.
pub(super) fn says(pictures: &WearPictures) -> String {
    let ends = |points: &[(f64, f64)]| {
        let told: Vec<String> = [points.first(), points.last()]
            .into_iter()
            .flatten()
            .map(|(at, value)| format!("{} at {}", significant(*value, 4), significant(*at, 3)))
            .collect();
        told.join(", then ")
    };
    let limit = |limit: Option<f64>| {
        limit.map_or(String::new(), |limit| {
            format!("; limit {}", significant(limit, 4))
        })
    };
    let packs = pictures.packs.iter().map(|pack| {
        format!(
            "{}, {} over {} from the last build: {}{}",
            pack.title,
            pack.measure,
            pack.along,
            ends(&pack.own),
            limit(pack.limit)
        )
    });
    let traces = pictures.traces.iter().map(|trace| {
        format!(
            "{}, {} over {} from the first build: {}{}",
            trace.what,
            trace.measure,
            trace.along,
            ends(&trace.points),
            limit(trace.limit)
        )
    });
    let all: Vec<String> = packs.chain(traces).collect();
    format!("Wear over distance. {}.", all.join(". "))
}

/// An empty picture: its axes, and its items.
fn axes(
    title: &str,
    along: &str,
    x: [f64; 2],
    y: impl Iterator<Item = f64> + Clone,
    (wide, high): (f64, f64),
) -> (Axis, Axis, Frame, Vec<Item>) {
    let frame = Frame {
        left: LABELS,
        top: TOP,
        right: wide,
        bottom: high - FOOT,
    };
    // no reading stands on the frame
    let beside = BESIDE * (x[1] - x[0]);
    let across = Axis::within(x[0] - beside, x[1] + beside, 4.0, frame.left, frame.right);
    let up = Axis::over(y, 4.0, frame.bottom, frame.top);
    let title = fit(title, Face::Bold, SIZE, wide);
    let mut items = vec![text(0.0, 3.0, SIZE, Face::Bold, &title, 0.0)];
    for (at, label) in up.ticks() {
        items.push(line(vec![(frame.left, at), (frame.right, at)], 0.1, 0.75, 0.0));
        let label = fit(&label, Face::Regular, SIZE, LABELS - 1.0);
        let left = frame.left - 1.0 - width(&label, Face::Regular, SIZE);
        items.push(text(left, at + 1.0, SIZE, Face::Regular, &label, 0.2));
    }
    let mut free = f64::NEG_INFINITY;
    for (at, label) in across.ticks() {
        let label_wide = width(&label, Face::Regular, SIZE);
        let left = (at - label_wide / 2.0).min(wide - label_wide);
        items.push(line(
            vec![(at, frame.bottom), (at, frame.bottom + 0.8)],
            0.2,
            0.0,
            0.0,
        ));
        if left > free + 0.8 {
            items.push(text(left, frame.bottom + 4.0, SIZE, Face::Regular, &label, 0.2));
            free = left + label_wide;
        }
    }
    let middle = (frame.left + frame.right - width(along, Face::Regular, SIZE)) / 2.0;
    items.push(text(middle, frame.bottom + 7.4, SIZE, Face::Regular, along, 0.2));
    (across, up, frame, items)
}

fn finish(items: &mut Vec<Item>, frame: Frame, limit: Option<f64>) {
    if let Some(at) = limit {
        items.push(line(vec![(frame.left, at), (frame.right, at)], 0.45, 0.0, 1.2));
    }
    items.push(frame.outline(0.25, 0.0));
}

/// Readings of a pack, and the line of the plate that is first at its limit.
fn plates(picture: &PlatePicture, wide: f64, high: f64) -> Vec<Item> {
    let all = picture.own.iter().chain(&picture.others);
    let ends = all
        .clone()
        .map(|point| point.0)
        .chain(picture.line.iter().map(|line| line[0]));
    let (low, far) = ends.fold((0.0_f64, 0.0_f64), |(low, far), x| (low.min(x), far.max(x)));
    let far = if far > low { far } else { low + 1.0 };
    let values = all
        .map(|point| point.1)
        .chain(picture.limit)
        .chain(picture.line.iter().map(|line| line[1]));
    let along = format!("{} from the last build", picture.along);
    let title = format!("{} ({})", picture.title, picture.measure);
    let (x, y, frame, mut items) = axes(&title, &along, [low, far], values, (wide, high));
    let edge = |n: usize| picture.line.iter().map(move |line| (line[0], line[n]));
    let placed = |points: &mut dyn Iterator<Item = (f64, f64)>| -> Vec<(f64, f64)> {
        points.map(|(at, value)| (x.at(at), y.at(value))).collect()
    };
    if picture.line.len() > 1 {
        let mut band = placed(&mut edge(2));
        band.extend(placed(&mut edge(3)).into_iter().rev());
        let area = frame.area(band);
        if area.len() > 2 {
            items.push(Item::Polygon {
                points: area,
                fill: Some(0.86),
                outline: 0.0,
            });
        }
    }
    for (at, value) in &picture.others {
        let (left, top) = (x.at(*at), y.at(*value));
        items.push(bar(left - 0.35, top - 0.35, 0.7, 0.7, 0.55));
    }
    if picture.line.len() > 1 {
        let through = frame.line(&placed(&mut edge(1)));
        if through.len() > 1 {
            items.push(line(through, 0.45, 0.0, 0.0));
        }
    }
    for (at, value) in &picture.own {
        items.push(dot(x.at(*at), y.at(*value), true));
    }
    finish(&mut items, frame, picture.limit.map(|limit| y.at(limit)));
    items
}

/// As left and as found, from build to build.
fn saw(trace: &Trace, wide: f64, high: f64) -> Vec<Item> {
    let far = trace.points.last().map_or(1.0, |last| last.0.max(1e-9));
    let values = trace.points.iter().map(|point| point.1).chain(trace.limit);
    let title = format!("{} ({})", trace.what, trace.measure);
    let along = format!("{} from the first build", trace.along);
    let (x, y, frame, mut items) = axes(&title, &along, [0.0, far], values, (wide, high));
    let placed: Vec<(f64, f64)> = trace
        .points
        .iter()
        .map(|(at, value)| (x.at(*at), y.at(*value)))
        .collect();
    items.push(line(placed.clone(), 0.35, 0.0, 0.0));
    for (n, (left, top)) in placed.into_iter().enumerate() {
        items.push(dot(left, top, n % 2 == 0));
    }
    finish(&mut items, frame, trace.limit.map(|limit| y.at(limit)));
    items
}
