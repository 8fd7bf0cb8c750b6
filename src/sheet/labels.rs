//! Labels from the same record as the sheet: a tag for the unit, and one for each bag of plates that are not in it.

use super::code::Symbol;
use super::glance;
use super::measure::{ASCENT, Face, POINT, fit, width, wrap};
use super::page::{Item, Margins, Page, Paper};
use super::page_elements::{SMALL_CODE, bar, line_height, tagged, text};
use super::tags::{Role, Tag};
use crate::quantity::Units;
use crate::record::{Build, Disposition, PlateLine};

/// What labels are printed on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LabelStock {
    /// A sheet of paper, to be cut along the lines.
    Sheet(Paper),
    /// An endless roll that is 62 mm wide, a page a label.
    Roll,
}

/// The width of the roll in millimetres.
const ROLL: f64 = 62.0;
/// Labels beside each other on a sheet.
const COLUMNS: usize = 2;
/// Room between the edge of a label and what stands on it.
const PAD: f64 = 3.0;
/// Between one label and the next.
const BETWEEN: f64 = 4.0;
const HEAD: f64 = 11.0;
const BODY: f64 = 9.0;
const SMALL: f64 = 8.0;
/// The side of a module of the code, in millimetres.
const MODULE: f64 = 0.5;

/// A label before it has a size.
struct Label {
    /// What lies behind it, in capitals.
    head: &'static str,
    /// The unit, and under it the build.
    unit: String,
    build: String,
    lines: Vec<String>,
    code: Option<Symbol>,
}

/// The labels of a build on pages.
pub(super) fn pages(build: &Build, stock: LabelStock) -> Vec<Page> {
    let labels = of(build);
    match stock {
        LabelStock::Roll => labels
            .iter()
            .map(|label| {
                let (height, items) = drawn(label, ROLL);
                Page {
                    width: ROLL,
                    height,
                    margins: Margins {
                        left: PAD,
                        right: PAD,
                        top: 0.0,
                        bottom: 0.0,
                    },
                    items,
                }
            })
            .collect(),
        LabelStock::Sheet(paper) => on_sheets(&labels, paper),
    }
}

fn on_sheets(labels: &[Label], paper: Paper) -> Vec<Page> {
    let (wide, high) = paper.size();
    let margins = Margins::SHEET;
    let room = (wide - margins.left - margins.right - BETWEEN) / COLUMNS as f64;
    let bottom = high - margins.bottom;
    let mut pages: Vec<Page> = Vec::new();
    let mut y = f64::INFINITY;
    for row in labels.chunks(COLUMNS) {
        let row: Vec<(f64, Vec<Item>)> = row.iter().map(|label| drawn(label, room)).collect();
        let tallest = row.iter().map(|(height, _)| *height).fold(0.0, f64::max);
        if y + tallest > bottom {
            y = margins.top;
            pages.push(Page {
                width: wide,
                height: high,
                margins,
                items: Vec::new(),
            });
        }
        let Some(page) = pages.last_mut() else {
            continue;
        };
        for (n, (height, items)) in row.into_iter().enumerate() {
            let x = margins.left + n as f64 * (room + BETWEEN);
            page.items.push(Item::Tag(None));
            page.items.push(Item::Line {
                points: vec![
                    (x, y),
                    (x + room, y),
                    (x + room, y + height),
                    (x, y + height),
                    (x, y),
                ],
                thickness: 0.2,
                grey: 0.4,
                dash: 1.5,
            });
            page.items.extend(items.into_iter().map(|item| item.moved(x, y)));
        }
        y += tallest + BETWEEN;
    }
    pages
}

/// Every label of a build: the unit's first.
fn of(build: &Build) -> Vec<Label> {
    let label = |head, lines| Label {
        head,
        unit: build.unit_name.clone(),
        build: format!("{}, {}", build.id, day(build)),
        lines,
        code: glance::small_code(build),
    };
    let mut tag: Vec<String> = match glance::of(build) {
        Some(glance) => glance
            .cells
            .into_iter()
            .map(|(what, text)| format!("{what}: {text}"))
            .collect(),
        None => build.open.clone(),
    };
    if build.finished.is_none() {
        tag.insert(0, "NOT FINISHED: not to be fitted as it is".to_string());
    }
    let mut labels = vec![label("UNIT", tag)];
    let mut bag = |head, plates: Vec<&PlateLine>, why: bool| {
        if !plates.is_empty() {
            let lines = plates
                .into_iter()
                .map(|plate| plate_words(plate, build.units, why));
            labels.push(label(head, lines.collect()));
        }
    };
    let of = |disposition: Disposition| {
        let plates = build.plates.iter();
        plates.filter(|plate| plate.disposition == disposition).collect()
    };
    bag("REJECTED PLATES", of(Disposition::Rejected), true);
    bag("PLATES KEPT, NOT FITTED", of(Disposition::Kept), false);
    labels
}

fn day(build: &Build) -> String {
    match &build.finished {
        Some(finished) => finished.chars().take(10).collect(),
        None => "not finished".to_string(),
    }
}

fn plate_words(plate: &PlateLine, units: Units, why: bool) -> String {
    let mean = plate
        .mean
        .map_or(String::new(), |mean| format!(", {}", mean.show(units)));
    match why && !plate.reason.is_empty() {
        true => format!("{} ({}{mean}): {}", plate.name, plate.kind, plate.reason),
        false => format!("{} ({}{mean})", plate.name, plate.kind),
    }
}

/// A label of a width: how high it becomes, and what is on it from its upper left corner.
fn drawn(label: &Label, wide: f64) -> (f64, Vec<Item>) {
    let room = wide - 2.0 * PAD;
    let band = 7.0;
    // one label begins where another ended
    let mut items = vec![Item::Tag(None), bar(0.0, 0.0, wide, band, 0.0)];
    let mut put = |role: Role, y: &mut f64, size: f64, face: Face, lines: &[String], grey: f64| {
        items.push(Item::begins(&Tag::of(role)));
        for line in lines {
            let base = *y + ASCENT * size * POINT;
            items.push(text(PAD, base, size, face, line, grey));
            *y += line_height(size);
        }
    };
    let head = fit(label.head, Face::Bold, HEAD, room);
    put(Role::Title, &mut 1.3, HEAD, Face::Bold, &[head], 1.0);
    let mut y = band + 1.6;
    let unit = wrap(&label.unit, Face::Bold, HEAD, room);
    put(Role::Paragraph, &mut y, HEAD, Face::Bold, &unit, 0.0);
    let build = wrap(&label.build, Face::Regular, BODY, room);
    put(Role::Paragraph, &mut y, BODY, Face::Regular, &build, 0.0);
    y += 1.0;
    for words in &label.lines {
        let lines = wrap(words, Face::Regular, BODY, room);
        put(Role::Paragraph, &mut y, BODY, Face::Regular, &lines, 0.0);
        y += 0.4;
    }
    y += 1.0;
    let first = "The maker's manual comes first.";
    if let Some((side, item)) = label.code.as_ref().map(|code| code.placed(MODULE)) {
        let code = Role::Figure(SMALL_CODE.to_string());
        items.extend(tagged(code, [item.moved(wide - PAD - side, y)]));
        let beside = room - side - 1.0;
        items.push(Item::begins(&Tag::of(Role::Paragraph)));
        for (n, line) in wrap(first, Face::Regular, SMALL, beside).iter().enumerate() {
            let base = y + 2.0 + ASCENT * SMALL * POINT + n as f64 * line_height(SMALL);
            items.push(text(PAD, base, SMALL, Face::Regular, line, 0.3));
        }
        y += side;
    } else if width(first, Face::Regular, SMALL) <= room {
        let base = y + ASCENT * SMALL * POINT;
        let words = text(PAD, base, SMALL, Face::Regular, first, 0.3);
        items.extend(tagged(Role::Paragraph, [words]));
        y += line_height(SMALL);
    }
    (y + PAD, items)
}
