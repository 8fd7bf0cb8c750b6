//! The settings sheet: what a car needs of its unit, on one page that a driver can read.

use super::blocks::{Block, Document, Section, Style};
use super::content::first_word;
use super::numbers::{firm, first_groups, torque_value, unit};
use crate::mechanics::{Direction, Held, LockModel, LockSetup, ramp};
use crate::quantity::{RampAngle, Ratio, Torque, Units, significant};
use crate::record::Figure;
use crate::report::{Cell, Column, NOTHING, Table};
use crate::tuning::{Band, MomentBands, MomentResult, Pictures, Proposal, Rated, Settled};
use crate::workshop::{Safety, Setting};

/// A settled setting with all that its sheet shows.
pub struct Settling<'a> {
    /// What was settled.
    pub settled: &'a Settled,
    /// The proposal that was taken.
    pub proposal: &'a Proposal,
    /// What is drawn of it.
    pub pictures: &'a Pictures,
    /// The setting that it makes.
    pub setting: &'a Setting,
    /// The words of the use.
    pub words: &'a str,
    /// The digest of the setting as a file, as hex.
    pub digest: &'a str,
    /// The units of measure.
    pub units: Units,
}

const CAUTION: &str = "Grip, cornering and wants of a stock use are common practice, no source: a start, to be driven and corrected, \
     first slowly and where there is room. A car with another lock pushes or turns at other moments than before. Not in it: suspension, \
     transients, tyre temperature, grip that falls past its peak, roll centres, the sideways grip that a spinning tyre loses.";

/// The whole sheet.
pub(super) fn document(sheet: &Settling<'_>) -> Document {
    let setting = sheet.setting;
    let sections = [
        Section {
            head: "The setting".to_string(),
            blocks: [
                Block::Text(Style::Plain, sheet.settled.first_words(sheet.proposal).join(" ")),
                Block::Table(compared(sheet)),
            ]
            .into_iter()
            .chain(sheet.settled.guesses().map(|words| Block::Text(Style::Caution, words)))
            .collect(),
        },
        Section {
            head: "What the packs could hold over throttle, and torque from wheel to wheel in a bend to the left".to_string(),
            blocks: vec![
                Block::Settling(Box::new(sheet.pictures.clone()), sheet.units),
                Block::Text(
                    Style::Small,
                    "Whole line: proposed. Dashed: as it is. ○: wanted (a use of version 1). Upright: from here the tyres cap the proposal. Grey: here \
                     the axle turns as one by the proposal. Dotted: what the tyres can take, left inside the bend; ●: both at their limit. \
                     Below 0 the throttle is closed. Throttle: the share of the engine's torque at that speed, and not the pedal."
                        .to_string(),
                ),
            ],
        },
        Section {
            head: "At each moment, in brackets the band".to_string(),
            blocks: [Block::Table(moments(sheet))]
                .into_iter()
                .chain([CAUTION, Safety::Running.words()].map(|words| Block::Text(Style::Caution, words.to_string())))
                .chain([Block::Text(
                    Style::Framed,
                    first_word("This sheet is a target and no proof. It does"),
                )])
                .collect(),
        },
    ];
    Document {
        sheet: "settings sheet".to_string(),
        id: format!("{}, proposal {}", setting.unit_id, setting.take),
        title: format!("{}: settings sheet", setting.from.unit.name),
        unit: setting.from.unit.name.clone(),
        under: format!(
            "{} · {}: {} · {} · {}",
            setting.from.car.name,
            setting.from.wanted.name,
            sheet.words.trim_end_matches('.'),
            setting.class(),
            setting.date
        ),
        digest: first_groups(sheet.digest),
        finished: true,
        code: None,
        glance: None,
        sections: sections.into_iter().collect(),
    }
}

fn percent(share: Ratio) -> String {
    firm(&format!("{:.0} %", share.value() * 100.0))
}

fn degrees(angle: RampAngle) -> String {
    firm(&Figure::Ramp(angle).show(Units::Metric))
}

fn torque(newton_metres: f64, units: Units) -> String {
    Torque::from_newton_metres(newton_metres).map_or_else(
        |_| NOTHING.to_string(),
        |torque| {
            let symbol = unit::<Torque>(units);
            firm(&format!("{:.0} {symbol}", torque_value(torque, units)))
        },
    )
}

/// As it is and proposed beside each other.
fn compared(sheet: &Settling<'_>) -> Table {
    let (settled, units) = (sheet.settled, sheet.units);
    let (unit, setup) = (&settled.now.setup, &sheet.proposal.rated.setup);
    let faces = |setup: &LockSetup| {
        let [left, right] = setup.faces;
        format!("{left} left, {right} right")
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = |what: &str, now: String, taken: String| {
        let changed = now != taken;
        rows.push(vec![what.into(), now.into(), Cell::strong_if(changed, taken)]);
    };
    let class = |setup: &LockSetup| ramp::class(setup.drive, setup.coast).to_string();
    row("Drive ramp", degrees(unit.drive), degrees(setup.drive));
    row("Coast ramp", degrees(unit.coast), degrees(setup.coast));
    row("Active faces", faces(unit), faces(setup));
    if unit.preload[0].newtons() > 0.0 || setup.preload[0].newtons() > 0.0 {
        let force = |setup: &LockSetup| firm(&setup.preload[0].show(units));
        row("Preload on each pack", force(unit), force(setup));
    }
    row("Class", class(unit), class(setup));
    row("Lock of the ramps S, drive / coast", locks(unit), locks(setup));
    row(
        "Bias ratio of the ramps on drive, slow over fast",
        bias(unit),
        bias(setup),
    );
    let off = |rated: &Rated| format!("{}, {}", percent(rated.worst), percent(rated.mean));
    row(
        "Off what is wanted: worst moment, mean",
        off(&settled.now),
        off(&sheet.proposal.rated),
    );
    let proof = &sheet.setting.proof;
    row(
        match proof.held {
            Held::Case => "Breakaway, case held",
            Held::Output => "Breakaway, output held, case free",
        },
        NOTHING.to_string(),
        firm(&format!(
            "{} (window {} to {})",
            torque(sheet.setting.breakaway.newton_metres(), units),
            proof.least.show(units),
            proof.most.show(units)
        )),
    );
    Table {
        columns: vec![
            Column::words(""),
            Column::words("As it is"),
            Column::words("Proposed"),
        ],
        rows,
    }
}

/// A figure without its unit, where the unit stands behind the other end.
fn number_of(figure: &str) -> &str {
    figure.split(['\u{a0}', ' ']).next().unwrap_or(figure)
}

/// The trade's lock of the ramps.
fn locks(setup: &LockSetup) -> String {
    LockModel::new(setup.clone()).map_or_else(
        |_| NOTHING.to_string(),
        |model| {
            let [drive, coast] = [Direction::Drive, Direction::Coast].map(|way| percent(model.share(way)));
            format!("{drive} / {coast}")
        },
    )
}

fn bias(setup: &LockSetup) -> String {
    let ratio = LockModel::new(setup.clone()).map(|model| model.bias_ratio(Direction::Drive));
    match ratio {
        Ok(Some(ratio)) => significant(ratio.value(), 2),
        Ok(None) => "no end: solid under load".to_string(),
        Err(_) => NOTHING.to_string(),
    }
}

fn banded(value: String, band: Option<&Band>, show: impl Fn(f64) -> String) -> String {
    let Some(Band { least, most }) = band else {
        return value;
    };
    let end = |end: &Option<f64>| end.map_or_else(|| "never".to_string(), &show);
    let (least, most) = (end(least), end(most));
    match least == most {
        true => value,
        false => format!("{value} ({}–{most})", number_of(&least)),
    }
}

/// What is wanted at each moment, and what comes of it.
fn moments(sheet: &Settling<'_>) -> Table {
    let (settled, units) = (sheet.settled, sheet.units);
    let share = |share: f64| firm(&format!("{} %", significant(100.0 * share, 2)));
    let cells = |result: &MomentResult, bands: Option<&MomentBands>| {
        let newton_metres = |value: f64| torque(value, units);
        if result.puts_down.is_some() {
            let one = result.one_from.map_or_else(|| "never".to_string(), percent);
            let one = banded(one, bands.and_then(|bands| bands.one_from.as_ref()), share);
            let down = result.puts_down.map_or_else(String::new, percent);
            return format!("one from {one}; puts down {down}");
        }
        banded(
            newton_metres(result.against.newton_metres()),
            bands.map(|bands| &bands.against),
            newton_metres,
        )
    };
    let rows = settled.course.stages.iter().enumerate().map(|(n, stage)| {
        let wants: Vec<String> = stage.moment.wants.iter().map(|want| want.words()).collect();
        let of = |rated: &Rated, bands: &[MomentBands]| {
            let result = rated.results.get(n);
            result.map_or_else(String::new, |result| cells(result, bands.get(n)))
        };
        vec![
            stage.moment.name.clone().into(),
            wants.join("; ").into(),
            of(&settled.now, &[]).into(),
            of(&sheet.proposal.rated, &sheet.proposal.bands).into(),
        ]
    });
    Table {
        columns: vec![
            Column::words("Moment"),
            Column::words("Wanted"),
            Column::words("As it is"),
            Column::words("Proposed"),
        ],
        rows: rows.collect(),
    }
}
