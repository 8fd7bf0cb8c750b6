//! The whole sheet of a build as a report, for a terminal: what stands on paper, section by section.

use super::blocks::{Block, Style};
use super::content::document;
use super::numbers::firm;
use super::short::{layers, without};
use super::tables;
use crate::quantity::{Torque, Units};
use crate::record::phrase::Phrase;
use crate::record::{Build, Curve};
use crate::report::{Column, Picture, Report, Section, Table};

/// The most points of the lock curve that are told in numbers.
const POINTS: usize = 7;

/// The most columns that fit a terminal: only the plates have more, and their readings get a table of their own.
const MOST_COLUMNS: usize = 8;

/// The whole sheet of a build for a terminal, in the order of the paper: its words, its tables, the packs as layers and the lock
/// curve in numbers. What only paper has is left out: codes, and room to sign.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { spoken: Default::default(), id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new(), sheet: "build sheet".into(), builds: true }, unit: "demo".into(), unit_name: "Demo".into(), copied: None, glance: None, identity: vec![], started: "2026-05-09T08:00:00Z".into(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![], warm: None, not_warm: String::new(),
/// #   preload: None, curve: None, proofs: vec![], bolts: vec![], oil: vec![], checks: vec![], remarks: vec![],
/// #   cautions: vec![], signatures: vec![], open: vec![], digest: String::new(), on_paper: Default::default() };
/// use shimwright::{screen::lines, sheet::whole};
/// assert!(lines(&whole(&build), 80).contains("has not been finished"));
/// ```
pub fn whole(build: &Build) -> Report {
    let sheet = document(build);
    let first = Section::new()
        .words(format!("{}: {}", sheet.id, sheet.unit))
        .words(sheet.under);
    let sections = sheet.sections.into_iter().map(|section| {
        let begun = Section::under(section.head);
        section.blocks.into_iter().fold(begun, told)
    });
    Report::of(build.summary()).with(first).with_all(sections)
}

/// A section with one more block of the sheet.
fn told(section: Section, block: Block) -> Section {
    match block {
        Block::Pairs(pairs) => pairs
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .fold(section, |section, (label, text)| {
                section.item(format!("{label}: "), text)
            }),
        Block::Table(table) if table.columns.len() > MOST_COLUMNS => {
            let readings = Table {
                columns: [0, tables::READINGS].map(|at| table.columns[at].clone()).into(),
                rows: table
                    .rows
                    .iter()
                    .map(|row| [0, tables::READINGS].map(|at| row[at].clone()).into())
                    .collect(),
            };
            section.table(without(table, tables::READINGS)).table(readings)
        }
        Block::Table(table) | Block::Halves(table) => section.table(table),
        Block::Text(Style::Caution, words) => {
            section.words(format!("{}: {words}", Phrase::Caution.english()))
        }
        Block::Text(Style::Framed, words) => section.warning(words),
        Block::Text(Style::Item, words) => section.item("- ", words),
        Block::Text(Style::Plain | Style::Small | Style::Digest, words) => section.words(words),
        Block::Packs(packs, units) => packs.iter().fold(section, |section, pack| {
            section.picture(Picture::Layers(layers(pack, units)))
        }),
        Block::Curve(curve, units) => section.table(curve_table(&curve, units)),
        Block::Sign(line) if line.name.is_empty() => section.item(format!("{}: ", line.role), "not signed"),
        Block::Sign(line) => section.item(format!("{}: ", line.role), format!("{}, {}", line.name, line.at)),
        Block::Beside(_, blocks) => blocks.into_iter().fold(section, told),
        // the readings stand in the table below it; the others are of no build
        Block::Strip(_) | Block::Settling(..) | Block::Wear(_) | Block::Runs(_) => section,
    }
}

/// Some points of the lock curve, the first and the last among them.
fn curve_table(curve: &Curve, units: Units) -> Table {
    let torque = |torque: Torque| firm(&torque.show(units));
    let last = curve.points.len().saturating_sub(1);
    let step = last.div_ceil(POINTS - 1).max(1);
    let rows = curve
        .points
        .iter()
        .enumerate()
        .filter(|(at, _)| at % step == 0 || *at == last);
    let head = [
        Column::figures("torque at the case"),
        Column::figures("difference on drive"),
        Column::figures("on coast"),
    ];
    rows.fold(Table::new(head), |table, (_, &(case, drive, coast))| {
        table.row([torque(case), torque(drive), torque(coast)])
    })
}
