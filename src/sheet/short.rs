//! The sheet in short, for a terminal.

use super::numbers::{Lengths, WEDGES, firm, first_groups, moment, preload_said, unit};
use super::tables;
use crate::quantity::{Length, Units};
use crate::record::{Build, LayerKind, Pack};
use crate::report::{Layer, Layers, Picture, Report, Section, Table};

/// A pack in order, from the case wall to the pressure ring.
pub(super) fn layers(pack: &Pack, units: Units) -> Layers {
    let numbers = Lengths::of(units, pack.layers.iter().map(|layer| layer.thickness));
    let symbol = unit::<Length>(units);
    let faces = match pack.active_faces {
        1 => "1 face rubs".to_string(),
        n => format!("{n} faces rub"),
    };
    let layers = pack.layers.iter().map(|layer| {
        let signs = match layer.kind {
            LayerKind::Shim => "########  ",
            LayerKind::Spring => " /\\/\\/\\/\\ ",
            LayerKind::GearPlate => "  ::::::::",
            LayerKind::CasePlate => "[======]  ",
            LayerKind::Ring => "[___/\\___]",
            LayerKind::Gap => "          ",
            LayerKind::Pressed => "[=:=:=:=:]",
        };
        let kind = layer.kind.word();
        Layer {
            signs: signs.to_string(),
            words: match layer.name.as_str() {
                "" => kind.to_string(),
                name => format!("{name}  {kind}"),
            },
            size: format!("{} {symbol}", numbers.number(layer.thickness)),
        }
    });
    Layers {
        above: vec![
            format!("{}: {faces}", pack.side),
            "  //////////  case wall".to_string(),
        ],
        layers: layers.collect(),
    }
}

/// A table without one of its columns.
pub(super) fn without(mut table: Table, column: usize) -> Table {
    table.columns.remove(column);
    for row in &mut table.rows {
        row.remove(column);
    }
    table
}

/// The build in short, for a terminal: identity, open points, plates, packs, closings, preload, proof, bolts and remarks.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { spoken: Default::default(), id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new(), sheet: "build sheet".into(), builds: true }, unit: "demo".into(), unit_name: "Demo".into(), copied: None, glance: None, identity: vec![], started: String::new(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![], warm: None, not_warm: String::new(),
/// #   preload: None, curve: None, proofs: vec![], bolts: vec![], oil: vec![], checks: vec![], remarks: vec![],
/// #   cautions: vec![], signatures: vec![], open: vec![], digest: String::new(), on_paper: Default::default() };
/// use shimwright::{screen::lines, sheet::in_short};
/// assert_eq!(lines(&in_short(&build), 80), "demo-0001: Demo, UNFINISHED\n");
/// ```
pub fn in_short(build: &Build) -> Report {
    let units = build.units;
    Report::of(build.summary())
        .with(identity(build))
        .with(listed("Open points", &build.open))
        .with_all(build.asked.as_ref().map(|asked| {
            Section::under("Settled for the car, and reached").table(tables::asked(asked, units))
        }))
        .with(plates(build))
        .with_all(
            build
                .packs
                .iter()
                .map(|pack| Section::under("Pack").picture(Picture::Layers(layers(pack, units)))),
        )
        .with(Section::under("Gaps and heights").table(tables::closings(build)))
        .with_all(preload(build))
        .with(proof(build))
        .with(Section::under("Bolts").table(tables::bolts(build)))
        .with(listed(
            "Notes, skips, overrides, corrections",
            build
                .remarks
                .iter()
                .map(|remark| format!("{}, {}: {}", remark.kind.word(), remark.place, remark.text)),
        ))
}

fn listed(head: &str, items: impl IntoIterator<Item = impl Into<String>>) -> Section {
    items
        .into_iter()
        .fold(Section::under(head), |section, words| section.item("- ", words))
}

fn identity(build: &Build) -> Section {
    let state = match &build.finished {
        Some(at) => format!("finished {}", moment(at)),
        None => "UNFINISHED".to_string(),
    };
    let mut section = Section::new().words(format!("{}: {}, {state}", build.id, build.unit_name));
    if !build.digest.is_empty() {
        section = section.words(format!("digest {}", first_groups(&build.digest)));
    }
    match &build.copied {
        Some(copied) => section.words(copied.words()),
        None => section,
    }
}

fn plates(build: &Build) -> Section {
    let section = Section::under("Plates");
    if build.plates.is_empty() {
        return section;
    }
    // the readings are for paper: nine columns do not fit a terminal
    let plates = without(tables::plates(build), tables::READINGS);
    section.table(plates).words(tables::how_uncertain())
}

fn preload(build: &Build) -> Option<Section> {
    let (preload, units) = (build.preload.as_ref()?, build.units);
    let mut section = Section::under("Preload").words(format!(
        "{} on each pack at {}, breakaway: {}.",
        preload_said(preload, units),
        firm(&preload.height.show(units)),
        preload
            .breakaway
            .map_or_else(|| WEDGES.to_string(), |it| firm(&it.show(units))),
    ));
    if let (Some(force), Some(breakaway)) = (&preload.simulated, &preload.breakaway_simulated) {
        section = section.words(format!(
            "By simulation, 95 %: {} to {} ({:.1} % inside its window); {} to {} ({:.1} % inside).",
            firm(&force.low.show(units)),
            firm(&force.high.show(units)),
            force.inside * 100.0,
            firm(&breakaway.low.show(units)),
            firm(&breakaway.high.show(units)),
            breakaway.inside * 100.0
        ));
    }
    if let Some(force) = &preload.interval {
        let breakaway = preload.breakaway_interval.as_ref();
        let breakaway = breakaway.map_or(String::new(), |it| format!("; breakaway by {}", it.from_what()));
        section = section.words(format!(
            "Where that comes from: preload by {}{breakaway}. Taken for granted: {}.",
            force.from_what(),
            preload.assumed.join("; ")
        ));
    }
    let traps = preload.traps.iter();
    Some(traps.fold(section, |section, trap| section.item("- ", trap)))
}

fn proof(build: &Build) -> Section {
    let rounds = without(tables::rounds(build), tables::HELD);
    let section = Section::under("Proof by breakaway torque").table(rounds);
    build.proofs.iter().fold(section, |section, round| {
        let doubt = match round.doubt.as_str() {
            "" => String::new(),
            doubt => format!("; {doubt}"),
        };
        let section = section.words(format!("Round {}: {}{doubt}.", round.round, round.method));
        let should = round.should_read.iter();
        let section = should.fold(section, |section, should| {
            section.item("- ", should.words.as_str())
        });
        let advice = round.advice.iter();
        advice.fold(section, |section, advice| section.item("- ", advice))
    })
}
