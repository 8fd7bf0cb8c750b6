//! The pictures of the runs sheet: times over the order of the runs, and what was felt in each phase as a strip.

use super::blocks::RunsPictures;
use super::measure::{Face, fit, width};
use super::page::Item;
use super::page_elements::text;
use super::plot::{Axis, dot, line};
use super::settling::Frame;
use crate::history::driven::{ComparedRun, FeltApart};

const SIZE: f64 = 8.0;
/// Left of the frame: the times.
const LABELS: f64 = 12.0;
/// Below the frame: the numbers of the runs.
const FOOT: f64 = 9.0;
/// A line of the strip.
const ROW: f64 = 6.4;
/// Left of the strip: the phases.
const PHASES: f64 = 18.0;

/// Both pictures, one above the other: `room` wide; the height with them.
pub(super) fn draw(pictures: &RunsPictures, room: f64, high: f64) -> (f64, Vec<Item>) {
    let mut items = times(&pictures.runs, room, high);
    let said = pictures
        .felt
        .iter()
        .any(|felt| felt.answers.iter().any(|answers| !answers.is_empty()));
    if !said {
        return (high, items);
    }
    let (strip_high, strip) = felt(&pictures.felt, room);
    items.extend(strip.into_iter().map(|item| item.moved(0.0, high + 3.0)));
    (high + 3.0 + strip_high, items)
}

/// What both pictures show, for whoever can not see them: the median time of each run in the order driven, and the answers of
/// each phase.
pub(super) fn says(pictures: &RunsPictures) -> String {
    let name = |second: bool| if second { "B" } else { "A" };
    let runs = pictures
        .runs
        .iter()
        .map(|run| format!("{} {} {:.2} s", run.number, name(run.second), run.seconds));
    let runs: Vec<String> = runs.collect();
    let felt = pictures.felt.iter().map(|felt| {
        let of = |which: usize| {
            let answers: Vec<String> = felt.answers[which].iter().map(i8::to_string).collect();
            format!(
                "{} {}",
                name(which == 1),
                if answers.is_empty() {
                    "unsaid".to_string()
                } else {
                    answers.join(" ")
                }
            )
        };
        format!("{}: {}, {}", felt.phase.word(), of(0), of(1))
    });
    let felt: Vec<String> = felt.collect();
    format!(
        "Median times of the runs in the order driven: {}. What was felt, from -2 far too little lock to 2 far too much: {}.",
        runs.join(", "),
        felt.join("; ")
    )
}

/// Medians over the order of the runs: a full dot is A, a ring B; a line of the drift for each of the two.
fn times(runs: &[ComparedRun], room: f64, high: f64) -> Vec<Item> {
    let frame = Frame {
        left: LABELS,
        top: 2.0,
        right: room,
        bottom: high - FOOT,
    };
    let values = runs.iter().flat_map(|run| [run.seconds, run.on_line]);
    let up = Axis::over(values, 4.0, frame.bottom, frame.top);
    let mut items = Vec::new();
    for (at, label) in up.ticks() {
        items.push(line(vec![(frame.left, at), (frame.right, at)], 0.1, 0.75, 0.0));
        let label = fit(&label, Face::Regular, SIZE, LABELS - 1.0);
        let left = frame.left - 1.0 - width(&label, Face::Regular, SIZE);
        items.push(text(left, at + 1.0, SIZE, Face::Regular, &label, 0.2));
    }
    // a place for each run, and one more from day to day
    let last = runs.last().map_or(0, |run| run.day);
    let places = (runs.len() + last).max(1) as f64;
    let along = |at: usize, run: &ComparedRun| {
        frame.left + (frame.right - frame.left) * ((at + run.day) as f64 + 0.5) / places
    };
    let mut free = f64::NEG_INFINITY;
    for (at, run) in runs.iter().enumerate() {
        let label = run.number.to_string();
        let wide = width(&label, Face::Regular, SIZE);
        let left = along(at, run) - wide / 2.0;
        if left > free + 0.8 {
            items.push(text(left, frame.bottom + 4.0, SIZE, Face::Regular, &label, 0.2));
            free = left + wide;
        }
    }
    let words = "run, in the order driven";
    let middle = (frame.left + frame.right - width(words, Face::Regular, SIZE)) / 2.0;
    items.push(text(middle, frame.bottom + 8.0, SIZE, Face::Regular, words, 0.2));
    for day in 0..=last {
        for second in [false, true] {
            let points: Vec<(f64, f64)> = runs
                .iter()
                .enumerate()
                .filter(|(_, run)| run.day == day && run.second == second)
                .map(|(at, run)| (along(at, run), up.at(run.on_line)))
                .collect();
            if points.len() > 1 {
                items.push(line(points, 0.3, 0.3, if second { 1.2 } else { 0.0 }));
            }
        }
    }
    for (at, run) in runs.iter().enumerate() {
        items.push(dot(along(at, run), up.at(run.seconds), !run.second));
    }
    items.push(frame.outline(0.25, 0.0));
    items
}

/// What was felt: a row a phase, the five steps from left to right, a full dot for each answer of A and a ring for B.
fn felt(felt: &[FeltApart], room: f64) -> (f64, Vec<Item>) {
    let wide = (room - PHASES) / 5.0;
    let mut items = Vec::new();
    for (step, label) in [
        "far too little lock",
        "too little",
        "as it should be",
        "too much",
        "far too much lock",
    ]
    .iter()
    .enumerate()
    {
        let left = PHASES + wide * step as f64;
        let label = fit(label, Face::Regular, SIZE, wide - 1.0);
        items.push(text(left + 1.0, 3.0, SIZE, Face::Regular, &label, 0.2));
    }
    for (row, phase) in felt.iter().enumerate() {
        let top = 4.4 + ROW * row as f64;
        items.push(line(vec![(0.0, top), (room, top)], 0.1, 0.6, 0.0));
        items.push(text(0.0, top + 4.2, SIZE, Face::Bold, phase.phase.word(), 0.0));
        for (which, answers) in phase.answers.iter().enumerate() {
            let line = top + if which == 0 { 2.0 } else { 4.6 };
            for step in -2..=2_i8 {
                let count = answers.iter().filter(|answer| **answer == step).count();
                let left = PHASES + wide * f64::from(step + 2);
                // as many as there is room for, and then their number
                let most = ((wide - 2.0) / 2.2).floor().max(1.0) as usize;
                if count > most {
                    items.push(dot(left + 2.0, line, which == 0));
                    items.push(text(
                        left + 3.6,
                        line + 1.0,
                        SIZE,
                        Face::Regular,
                        &format!("x {count}"),
                        0.2,
                    ));
                    continue;
                }
                for n in 0..count {
                    items.push(dot(left + 2.0 + 2.2 * n as f64, line, which == 0));
                }
            }
        }
    }
    (4.4 + ROW * felt.len() as f64, items)
}
