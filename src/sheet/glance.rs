//! The box on top of the sheet of a unit that was built: what a person at the open bonnet must know, in ten seconds.

use super::blocks::Glance;
use super::code::Symbol;
use super::flow::{Flow, Piece};
use super::measure::{ASCENT, Face, POINT, fit, width, wrap};
use super::numbers::{firm, preload_said, torque, unit};
use super::page::Item;
use super::page_elements::{SMALL_CODE, line_height, tagged, text};
use super::tags::{Role, Tag};
use crate::quantity::{Length, RampAngle, Torque, significant};
use crate::record::{Build, ProofRound, SmallCode};
use crate::report::NOTHING;

/// The side of a module of the small code in millimetres: its few modules leave room for large ones.
const MODULE: f64 = 0.5;
/// Cells in a row.
const COLUMNS: usize = 4;
/// Room between the frame and what it holds, and between cells.
const PAD: f64 = 2.0;
/// Size of the labels.
const LABEL: f64 = 8.0;
/// Size of what they name.
const VALUE: f64 = 9.0;
/// No cell has more lines than this: what is longer stands whole further down.
const MOST_LINES: usize = 2;

/// What the box says; nothing of a build in which nothing was built.
pub(super) fn of(build: &Build) -> Option<Glance> {
    let glance = build.glance.as_ref()?;
    let units = build.units;
    let [drive, coast] = glance.ramps.map(ramp);
    let [left, right] = &glance.faces;
    let shims = glance.shims.each_ref().map(|shims| {
        added(
            &shims
                .iter()
                .map(|shim| firm(&shim.show(units)))
                .collect::<Vec<_>>(),
        )
    });
    let mut cells = vec![
        (
            "Ramps, drive / coast".to_string(),
            format!("{drive} / {coast} from the ring face"),
        ),
        (
            "Active faces, left / right".to_string(),
            format!("{left} / {right}"),
        ),
        (
            "Shims, left / right".to_string(),
            format!("{} / {}", shims[0], shims[1]),
        ),
    ];
    cells.push(match &build.preload {
        Some(preload) => ("Preload on each pack".to_string(), preload_said(preload, units)),
        None => gap(build),
    });
    let held = glance
        .held
        .as_deref()
        .map_or(String::new(), |held| format!(", {held}"));
    cells.push((
        format!("Breakaway{held}"),
        build.proofs.last().map_or_else(
            || "not proved".to_string(),
            |proof| read(proof, |read| torque(read, units), unit::<Torque>(units)),
        ),
    ));
    cells.push(("Oil".to_string(), glance.oil.clone().unwrap_or_else(nothing)));
    let day: String = match &build.finished {
        Some(finished) => finished.chars().take(10).collect(),
        None => "not finished".to_string(),
    };
    cells.push((
        "Built".to_string(),
        match &glance.distance {
            Some(distance) => format!("{day}, {} after the last build", firm(distance)),
            None => day,
        },
    ));
    let due = "Next look due".to_string();
    cells.push((due, glance.next_look.clone().unwrap_or_else(nothing)));
    Some(Glance {
        cells,
        open: match &build.open[..] {
            [] => "nothing".to_string(),
            [one] => one.clone(),
            all => format!("{} points, told below", all.len()),
        },
        code: small_code(build),
    })
}

/// The small code of a build, which stands on each of its pages and labels.
pub(super) fn small_code(build: &Build) -> Option<Symbol> {
    SmallCode::of(build).and_then(|code| Symbol::of(&code.to_text()))
}

fn nothing() -> String {
    NOTHING.to_string()
}

fn ramp(ramp: RampAngle) -> String {
    match ramp.degrees_from_ring_face() {
        degrees if degrees >= 90.0 => "no ramp".to_string(),
        degrees => format!("{}°", significant(degrees, 3)),
    }
}

/// Shims as a sum: two of them on one line, so that nobody takes the second for the other side's.
fn added(shims: &[String]) -> String {
    match shims {
        [] => "none".to_string(),
        [_] | [_, _] => firm(&shims.join(" + ")),
        shims => shims.join(" + "),
    }
}

/// The gap of a unit without springs, as it was measured, else as its parts add up.
fn gap(build: &Build) -> (String, String) {
    let of = |closing: &crate::record::GapLine| closing.measured.or(closing.predicted);
    let shown = |gap: Option<Length>| gap.map_or_else(nothing, |gap| firm(&gap.show(build.units)));
    match &build.closings[..] {
        [both] => ("Gap over both packs".to_string(), shown(of(both))),
        sides => (
            "Gap, left / right".to_string(),
            sides
                .iter()
                .map(|side| shown(of(side)))
                .collect::<Vec<_>>()
                .join(" / "),
        ),
    }
}

/// What the last proof read, as it stands against the window.
fn read(proof: &ProofRound, number: impl Fn(Torque) -> String, unit: &str) -> String {
    let first = proof.still.map(|still| format!("{} {unit} first", number(still)));
    let turning = proof
        .turning
        .map(|turning| format!("{} {unit} turning", number(turning)));
    let parts: Vec<String> = [turning, first]
        .into_iter()
        .flatten()
        .map(|part| firm(&part))
        .collect();
    match &parts[..] {
        [] => nothing(),
        parts => parts.join(", "),
    }
}

/// Draws the box.
pub(super) fn lay(flow: &mut Flow, glance: &Glance) {
    let code = glance.code.as_ref().map(|code| code.placed(MODULE));
    let side = code.as_ref().map_or(0.0, |(side, _)| *side);
    let wide = (flow.room - side - PAD * (COLUMNS as f64 + 1.0)) / COLUMNS as f64;
    let table = Tag::of(Role::Table);
    let pair = || {
        let row = table.part(Role::Row);
        [Role::RowHead, Role::Cell].map(|role| Item::begins(&row.part(role)))
    };
    let mut items = Vec::new();
    let mut y = PAD;
    for row in glance.cells.chunks(COLUMNS) {
        let mut most = 0;
        for (n, (label, value)) in row.iter().enumerate() {
            let x = PAD + n as f64 * (wide + PAD);
            let base = y + ASCENT * LABEL * POINT;
            let label = fit(label, Face::Regular, LABEL, wide);
            let [names, says] = pair();
            items.extend([names, text(x, base, LABEL, Face::Regular, &label, 0.3), says]);
            let lines = wrap(value, Face::Bold, VALUE, wide);
            let kept = match lines.get(MOST_LINES - 1..) {
                Some([_, _, ..]) => {
                    let rest = lines[MOST_LINES - 1..].join(" ");
                    let mut kept = lines[..MOST_LINES - 1].to_vec();
                    kept.push(fit(&rest, Face::Bold, VALUE, wide));
                    kept
                }
                _ => lines,
            };
            for (line, words) in kept.iter().enumerate() {
                let base = y + line_height(LABEL) + ASCENT * VALUE * POINT + line as f64 * line_height(VALUE);
                items.push(text(x, base, VALUE, Face::Bold, words, 0.0));
            }
            most = most.max(kept.len());
        }
        y += line_height(LABEL) + most as f64 * line_height(VALUE) + PAD * 0.6;
    }
    // what is open may need the whole width
    let base = y + ASCENT * VALUE * POINT;
    let label = "Open ";
    let [names, says] = pair();
    items.extend([names, text(PAD, base, LABEL, Face::Regular, label, 0.3), says]);
    let from = PAD + width(label, Face::Regular, LABEL) + 1.0;
    let open = fit(&glance.open, Face::Bold, VALUE, flow.room - side - PAD - from);
    items.push(text(from, base, VALUE, Face::Bold, &open, 0.0));
    y += line_height(VALUE);
    let high = (y + PAD * 0.6).max(side);
    if let Some((side, item)) = code {
        let placed = item.moved(flow.room - side, (high - side) / 2.0);
        items.extend(tagged(Role::Figure(SMALL_CODE.to_string()), [placed]));
    }
    items.push(Item::Tag(None));
    items.push(Item::Polygon {
        points: vec![(0.0, 0.0), (flow.room, 0.0), (flow.room, high), (0.0, high)],
        fill: None,
        outline: 0.6,
    });
    flow.push(Piece::new(1.2, high, items));
}
