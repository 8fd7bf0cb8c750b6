//! The sheet in short for the terminal: plain text, no colour.

use super::blocks::Table;
use super::measure::FIRM;
use super::numbers::{Lengths, WEDGES, firm, first_groups, force_with, moment, unit};
use super::tables;
use crate::quantity::{Length, Units, visible};
use crate::record::{Build, LayerKind, Pack};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, TableStyle, Width};
use unicode_width::UnicodeWidthStr;

/// A line under the head, and no other.
const LOOK: TableStyle = TableStyle::new().header_separator(LineStyle::none().fill('─').junction('─'));

/// Narrower than this nothing is laid out.
const NARROWEST: usize = 24;

/// A table of plain text that is at most `width` columns wide (but at least 24). Control characters are made visible.
///
/// ```
/// let text = shimwright::sheet::table(&["Plate", "Mean"], &[vec!["A1".to_string(), "1.980 mm".to_string()]], 40);
/// assert!(text.contains("A1") && text.lines().all(|line| line.chars().count() <= 40));
/// ```
pub fn table(head: &[&str], rows: &[Vec<String>], width: usize) -> String {
    set(head, rows, &[], width)
}

/// A paragraph of plain text in lines that are at most `width` columns wide (but at least 24), each with its newline.
/// Control characters are made visible.
///
/// ```
/// let words = "a pack that wears lets its spring out";
/// assert_eq!(shimwright::sheet::filled(words, 24), "a pack that wears lets\nits spring out\n");
/// ```
pub fn filled(words: &str, width: usize) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", words, width);
    out
}

/// The same behind `first`, with the lines after the first set in below its end.
///
/// ```
/// use shimwright::sheet::hanging;
/// assert_eq!(hanging("- ", "a pack that wears lets its spring out", 24), "- a pack that wears lets\n  its spring out\n");
/// ```
pub fn hanging(first: &str, words: &str, width: usize) -> String {
    let mut out = String::new();
    paragraph(&mut out, first, words, width);
    out
}

fn set(head: &[&str], rows: &[Vec<String>], right: &[bool], width: usize) -> String {
    let mut table = comfy_table::Table::new();
    table
        .load_style(LOOK)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width.clamp(NARROWEST, 400) as u16)
        .force_no_tty();
    table.set_header(
        head.iter()
            .map(|title| visible(title).into_owned())
            .collect::<Vec<_>>(),
    );
    for row in rows {
        table.add_row(
            row.iter()
                .map(|cell| visible(cell).into_owned())
                .collect::<Vec<_>>(),
        );
    }
    let widest: Vec<usize> = table
        .column_max_content_widths()
        .into_iter()
        .map(usize::from)
        .collect();
    // two spaces between columns if there is room for them; numbers are not broken if that leaves the other columns
    // eight characters each
    let gap = if widest.iter().map(|w| w + 2).sum::<usize>() <= width {
        2
    } else {
        1
    };
    let number = |i: usize| right.get(i).copied().unwrap_or(false);
    let least = |(i, wide): (usize, &usize)| gap + if number(i) { *wide } else { 8 };
    let whole = widest.iter().enumerate().map(least).sum::<usize>() <= width;
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, gap as u16));
        if number(i) {
            column.set_cell_alignment(CellAlignment::Right);
            if whole {
                let wide = widest.get(i).copied().unwrap_or(0) + gap;
                column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(wide as u16)));
            }
        }
    }
    table.trim_fmt().replace(FIRM, " ")
}

fn on_terminal(table: &Table, width: usize) -> String {
    let head: Vec<&str> = table.columns.iter().map(|c| c.title.as_str()).collect();
    let right: Vec<bool> = table.columns.iter().map(|c| c.right).collect();
    let rows: Vec<Vec<String>> = table
        .rows
        .iter()
        .map(|row| row.iter().map(|cell| cell.text.clone()).collect())
        .collect();
    set(&head, &rows, &right, width)
}

/// A pack drawn in order, a line a layer, from the case wall to the pressure ring; each line is at most `width`
/// columns wide (but at least 24).
///
/// ```
/// use shimwright::{quantity::{Length, Units}, record::{Layer, LayerKind, Pack}, sheet::pack_lines};
/// let plate = |kind, name: &str| Layer { kind, name: name.into(), thickness: Length::from_um(2000) };
/// let pack = Pack { side: "left".into(), active_faces: 2,
///     layers: vec![plate(LayerKind::CasePlate, "C1"), plate(LayerKind::GearPlate, "F1")] };
/// let lines = pack_lines(&pack, Units::Metric, 80);
/// assert!(lines[1].contains("case wall") && lines[2].contains("C1") && lines[3].contains("2.000 mm"));
/// ```
pub fn pack_lines(pack: &Pack, units: Units, width: usize) -> Vec<String> {
    let width = width.max(NARROWEST);
    let numbers = Lengths::of(units, pack.layers.iter().map(|layer| layer.thickness));
    let symbol = unit::<Length>(units);
    let faces = match pack.active_faces {
        1 => "1 face rubs".to_string(),
        n => format!("{n} faces rub"),
    };
    let mut lines = vec![
        cut(&format!("{}: {faces}", visible(&pack.side)), width),
        cut("  //////////  case wall", width),
    ];
    for (n, layer) in pack.layers.iter().enumerate() {
        let drawn = match layer.kind {
            LayerKind::Shim => "########  ",
            LayerKind::Spring => " /\\/\\/\\/\\ ",
            LayerKind::GearPlate => "  ::::::::",
            LayerKind::CasePlate => "[======]  ",
            LayerKind::Ring => "[___/\\___]",
            LayerKind::Gap => "          ",
            LayerKind::Pressed => "[=:=:=:=:]",
        };
        let thickness = format!("{} {symbol}", numbers.number(layer.thickness));
        let name = visible(&layer.name);
        let words = if name.is_empty() {
            layer.kind.word().to_string()
        } else {
            format!("{name}  {}", layer.kind.word())
        };
        let left = cut(
            &format!("  {drawn} {:>3}  {words}", n + 1),
            width.saturating_sub(thickness.width() + 2),
        );
        // the numbers stand below each other, not at the far edge of a wide terminal
        let column = width.min(60).saturating_sub(thickness.width());
        let gap = column.saturating_sub(left.width()).max(2);
        lines.push(format!("{left}{}{thickness}", " ".repeat(gap)));
    }
    lines
}

/// Cuts a line with `…` where it is too wide.
fn cut(line: &str, width: usize) -> String {
    if line.width() <= width {
        return line.to_string();
    }
    let mut out = String::new();
    for c in line.chars() {
        let mut next = out.clone();
        next.push(c);
        if next.width() + 1 > width {
            break;
        }
        out = next;
    }
    out.push('…');
    out
}

fn paragraph(out: &mut String, first: &str, text: &str, width: usize) {
    let indent = " ".repeat(first.width());
    // the other algorithm would rather let a line stick out than leave a very short one
    let options = textwrap::Options::new(width.max(NARROWEST))
        .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit)
        .initial_indent(first)
        .subsequent_indent(&indent);
    out.push_str(&textwrap::fill(&visible(text), options).replace(FIRM, " "));
    out.push('\n');
}

fn head(out: &mut String, words: &str, width: usize) {
    out.push('\n');
    paragraph(out, "", words, width);
}

/// A table without one of its columns.
fn without(mut table: Table, column: usize) -> Table {
    table.columns.remove(column);
    for row in &mut table.rows {
        row.remove(column);
    }
    table
}

/// A table under a head, if it has rows.
fn titled(out: &mut String, words: &str, table: &Table, width: usize) {
    if !table.rows.is_empty() {
        head(out, words, width);
        out.push_str(&on_terminal(table, width));
        out.push('\n');
    }
}

/// The build in short: identity, open points, plates, packs, closings, preload, proof, bolts and remarks, at most
/// `width` columns wide (but at least 24). Plain text without colour; control characters are made visible.
pub fn terminal_summary(build: &Build, width: usize) -> String {
    let mut out = String::new();
    let state = match &build.finished {
        Some(at) => format!("finished {}", moment(at)),
        None => "UNFINISHED".to_string(),
    };
    paragraph(
        &mut out,
        "",
        &format!("{}: {}, {state}", build.id, build.unit_name),
        width,
    );
    if !build.digest.is_empty() {
        paragraph(
            &mut out,
            "",
            &format!("digest {}", first_groups(&build.digest)),
            width,
        );
    }
    if let Some(copied) = &build.copied {
        paragraph(&mut out, "", &copied.words(), width);
    }
    if !build.open.is_empty() {
        head(&mut out, "Open points", width);
        for open in &build.open {
            paragraph(&mut out, "- ", open, width);
        }
    }
    if let Some(asked) = &build.asked {
        titled(
            &mut out,
            "Settled for the car, and reached",
            &tables::asked(asked, build.units),
            width,
        );
    }
    if !build.plates.is_empty() {
        // the readings are for paper: nine columns do not fit a terminal
        let mut plates = without(tables::plates(build), tables::READINGS);
        for kind in plates.rows.iter_mut().filter_map(|row| row.get_mut(1)) {
            kind.text = kind.text.replace(" plate", "");
        }
        titled(&mut out, "Plates", &plates, width);
        paragraph(&mut out, "", &tables::how_uncertain(), width);
    }
    for pack in &build.packs {
        head(&mut out, "Pack", width);
        for line in pack_lines(pack, build.units, width) {
            out.push_str(&line);
            out.push('\n');
        }
    }
    titled(&mut out, "Gaps and heights", &tables::closings(build), width);
    if let Some(preload) = &build.preload {
        head(&mut out, "Preload", width);
        paragraph(
            &mut out,
            "",
            &format!(
                "{} on each pack at {}, breakaway: {}.",
                force_with(preload.force, preload.uncertainty, build.units),
                firm(&preload.height.show(build.units)),
                preload
                    .breakaway
                    .map_or_else(|| WEDGES.to_string(), |it| firm(&it.show(build.units))),
            ),
            width,
        );
        if let (Some(force), Some(breakaway)) = (&preload.simulated, &preload.breakaway_simulated) {
            paragraph(
                &mut out,
                "",
                &format!(
                    "By simulation, 95 %: {} to {} ({:.1} % inside its window); {} to {} ({:.1} % inside).",
                    firm(&force.low.show(build.units)),
                    firm(&force.high.show(build.units)),
                    force.inside * 100.0,
                    firm(&breakaway.low.show(build.units)),
                    firm(&breakaway.high.show(build.units)),
                    breakaway.inside * 100.0
                ),
                width,
            );
        }
        for trap in &preload.traps {
            paragraph(&mut out, "- ", trap, width);
        }
    }
    let rounds = without(tables::rounds(build), tables::HELD);
    titled(&mut out, "Proof by breakaway torque", &rounds, width);
    for round in &build.proofs {
        let held = format!("Round {}: {}.", round.round, round.method);
        paragraph(&mut out, "", &held, width);
        for advice in &round.advice {
            paragraph(&mut out, "- ", advice, width);
        }
    }
    titled(&mut out, "Bolts", &tables::bolts(build), width);
    if !build.remarks.is_empty() {
        head(&mut out, "Notes, skips, overrides, corrections", width);
        for remark in &build.remarks {
            paragraph(
                &mut out,
                "- ",
                &format!("{}, {}: {}", remark.kind, remark.place, remark.text),
                width,
            );
        }
    }
    out
}
