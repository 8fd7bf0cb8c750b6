//! The settings sheet: what a car needs of its unit, on one page that a driver can read.

use super::blocks::{Block, Document, Section, Style};
use super::content::first_word;
use super::numbers::{capital, firm, first_groups, torque_value, unit};
use crate::mechanics::tune::{Change, Effect, Measure};
use crate::mechanics::{Held, LockSetup, RampFor};
use crate::quantity::{Datum, RampAngle, Ratio, Torque, Units, Velocity, unit_named};
use crate::record::Figure;
use crate::report::{Cell, Column, NOTHING, Table};
use crate::tuning::{Picked, Tuned};
use crate::workshop::{Safety, Setting};

/// A settled setting with all that its sheet shows.
pub struct Settling<'a> {
    /// What was settled.
    pub settled: &'a Tuned,
    /// The proposal that was taken.
    pub picked: &'a Picked,
    /// The setting that it makes.
    pub setting: &'a Setting,
    /// The words of the use.
    pub words: &'a str,
    /// The digest of the setting as a file, as hex.
    pub digest: &'a str,
    /// The units of measure.
    pub units: Units,
}

const CAUTION: &str = "Grip, cornering and wanted lock of a stock use are common practice, no source: a start, to be driven and corrected, \
     first slowly and where there is room. A car with another lock pushes or turns at other moments than before.";

/// The whole sheet.
pub(super) fn document(sheet: &Settling<'_>) -> Document {
    let setting = sheet.setting;
    let sections = [
        Section {
            head: "The setting".to_string(),
            blocks: [
                Block::Table(compared(sheet)),
                Block::Text(Style::Small, moment_and_ramps(sheet)),
            ]
            .into_iter()
            .chain(sheet.settled.guesses().map(|words| Block::Text(Style::Caution, words)))
            .collect(),
        },
        Section {
            head: "Lock over throttle, and torque from wheel to wheel in a bend to the left".to_string(),
            blocks: vec![
                Block::Settling(Box::new(sheet.picked.pictures.clone()), sheet.units),
                Block::Text(
                    Style::Small,
                    "Whole line: proposed. Dashed: as it is. ○: wanted. Grey: here the axle turns as one by the proposal. Dotted: \
                     what the tyres can react, left inside the bend; ●: both at their limit. Below 0 the throttle is closed."
                        .to_string(),
                ),
            ],
        },
        Section {
            head: "What one step changes, from the proposal".to_string(),
            blocks: [Block::Table(steps(sheet))]
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
        glance: None,
        sections: sections.into_iter().collect(),
    }
}

fn percent(share: Ratio) -> String {
    firm(&format!("{:.0} %", share.value() * 100.0))
}

fn share(share: Option<Ratio>) -> String {
    match share {
        None => "even".to_string(),
        Some(share) if share.value() >= 1.0 => "as one".to_string(),
        Some(share) => percent(share),
    }
}

fn throttle(locks_at: Option<Ratio>) -> String {
    locks_at.map_or_else(|| "never".to_string(), percent)
}

fn degrees(angle: RampAngle) -> String {
    firm(&Figure::Ramp(angle).show(Units::Metric))
}

/// Two torques with their unit once.
fn both(first: f64, second: f64, units: Units) -> String {
    let second = torque(second, units);
    let first = torque(first, units);
    let number: String = first
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == '-')
        .collect();
    format!("{number} / {second}")
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

/// A speed of kilometres an hour, to whole ones.
fn speed_words(kilometres_an_hour: f64, units: Units) -> String {
    let speed = Velocity::from_km_per_hour(kilometres_an_hour).ok();
    let row = unit_named(unit::<Velocity>(units));
    speed.zip(row).map_or_else(
        || NOTHING.to_string(),
        |(speed, row)| format!("{:.0} {}", row.from_si(speed.km_per_hour() / 3.6), row.symbol()),
    )
}

/// For which moment it was settled, and the ramps that would meet the points exactly.
fn moment_and_ramps(sheet: &Settling<'_>) -> String {
    let (settled, units) = (sheet.settled, sheet.units);
    let full = settled.trial.full();
    let speed = match (settled.at.rpm, settled.at.kilometres_an_hour) {
        (Some(rpm), Some(speed)) => format!(
            " at {} ({})",
            firm(&format!("{rpm} rpm")),
            firm(&speed_words(speed, units))
        ),
        _ => String::new(),
    };
    // the datum once, behind the last
    let datum = sheet.picked.proposal.setup.drive.datum();
    let ramp = |ramp: &RampFor| match ramp {
        RampFor::Ramp(ramp) => match datum {
            Datum::RingFace => format!("{:.1}°", ramp.degrees_from_ring_face()),
            Datum::ShaftAxis => format!("{:.1}°", ramp.degrees_from_shaft_axis()),
        },
        RampFor::HeldWithout => "none".to_string(),
        RampFor::OutOfReach => "out of reach".to_string(),
    };
    let target = settled.trial.target();
    let mut ramps: Vec<String> = target
        .drive
        .iter()
        .zip(&sheet.picked.exact.0)
        .map(|(point, exact)| format!("{} at {} throttle", ramp(exact), percent(point.throttle)))
        .collect();
    ramps.push(format!("on coast {}", ramp(&sheet.picked.exact.1)));
    format!(
        "Settled for gear {}{speed}: full throttle gives {} at the case{}. With these faces and this preload the wanted lock \
         would be met by ramps, from the {datum}, of {}.",
        settled.at.gear,
        torque(full.case_torque.newton_metres(), units),
        if full.capped {
            ", as much as the tyres take"
        } else {
            ""
        },
        ramps.join(", ")
    )
}

/// As it is, proposed and wanted beside each other.
fn compared(sheet: &Settling<'_>) -> Table {
    let (settled, units) = (sheet.settled, sheet.units);
    let (setup, effect) = (&sheet.picked.proposal.setup, &sheet.picked.proposal.effect);
    let locks_at = sheet.picked.locks_at;
    let faces = |setup: &LockSetup| {
        let [left, right] = setup.faces;
        format!("{left} left, {right} right")
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = |what: &str, now: String, taken: String, wanted: String| {
        let changed = now != taken;
        rows.push(vec![
            what.into(),
            now.into(),
            Cell::strong_if(changed, taken),
            wanted.into(),
        ]);
    };
    let none = || NOTHING.to_string();
    let unit = &settled.unit;
    row("Drive ramp", degrees(unit.drive), degrees(setup.drive), none());
    row("Coast ramp", degrees(unit.coast), degrees(setup.coast), none());
    row("Active faces", faces(unit), faces(setup), none());
    if unit.preload[0].newtons() > 0.0 || setup.preload[0].newtons() > 0.0 {
        let held = |setup: &LockSetup, effect: &Effect| {
            let held = torque(effect.value(Measure::Preload), units);
            format!("{}, holds {held}", firm(&setup.preload[0].show(units)))
        };
        row(
            "Preload on each pack",
            held(unit, &settled.now),
            held(setup, effect),
            none(),
        );
    }
    let target = settled.trial.target();
    for (n, point) in target.drive.iter().enumerate() {
        let of = |effect: &Effect| share(effect.drive.get(n).copied().flatten());
        row(
            &format!("Lock at {} throttle", percent(point.throttle)),
            of(&settled.now),
            of(effect),
            percent(point.share),
        );
    }
    row(
        "Lock with the throttle closed",
        share(settled.now.coast),
        share(effect.coast),
        percent(target.coast),
    );
    row(
        "Turns as one from throttle",
        throttle(settled.now_locks_at),
        throttle(locks_at),
        none(),
    );
    let grip = |effect: &Effect| {
        format!(
            "{}, {}",
            effect.grip_used.map_or_else(none, percent),
            torque(effect.usable.newton_metres(), units)
        )
    };
    row(
        "Grip used at full throttle",
        grip(&settled.now),
        grip(effect),
        none(),
    );
    let moments = |effect: &Effect| {
        let of = |measure| effect.value(measure);
        both(of(Measure::DriveMoment), of(Measure::CoastMoment), units)
    };
    row(
        "Resists the turn, full throttle / closed",
        moments(&settled.now),
        moments(effect),
        none(),
    );
    let proof = &sheet.setting.proof;
    row(
        match proof.held {
            Held::Case => "Breakaway, case held",
            Held::Output => "Breakaway, output held, case free",
        },
        none(),
        torque(sheet.setting.breakaway.newton_metres(), units),
        firm(&format!(
            "window {} to {}",
            proof.least.show(units),
            proof.most.show(units)
        )),
    );
    Table {
        columns: vec![
            Column::words(""),
            Column::words("As it is"),
            Column::words("Proposed"),
            Column::words("Wanted"),
        ],
        rows,
    }
}

fn change(change: &Change, units: Units) -> String {
    match change {
        Change::Faces(faces) => format!("{faces} faces in each pack"),
        Change::Drive(ramp) => format!("drive ramp {}", degrees(*ramp)),
        Change::Coast(ramp) => format!("coast ramp {}", degrees(*ramp)),
        Change::Preload(force) => format!("preload {}", firm(&force.show(units))),
        Change::Worn(force) => format!("plates worn to their limits, {} left", firm(&force.show(units))),
        Change::Friction(friction) => format!("oil or facing, friction {:.3}", friction.value()),
    }
}

fn steps(sheet: &Settling<'_>) -> Table {
    let (settled, units) = (sheet.settled, sheet.units);
    let last = settled.trial.target().drive.last();
    let at = last.map_or_else(String::new, |point| percent(point.throttle));
    let rows = sheet.picked.steps.iter().map(|step| {
        let effect = &step.effect;
        let of = |measure| effect.value(measure);
        vec![
            capital(&change(&step.change, units)).into(),
            share(effect.drive.last().copied().flatten()).into(),
            share(effect.coast).into(),
            throttle(step.locks_at).into(),
            effect
                .grip_used
                .map_or_else(|| NOTHING.to_string(), percent)
                .into(),
            both(of(Measure::DriveMoment), of(Measure::CoastMoment), units).into(),
            torque(of(Measure::Preload), units).into(),
        ]
    });
    Table {
        columns: vec![
            Column::words("Step"),
            Column::figures(format!("Lock at {at}")),
            Column::figures("Closed"),
            Column::figures("As one from"),
            Column::figures("Grip used"),
            Column::figures("Resists the turn"),
            Column::figures("Held"),
        ],
        rows: rows.collect(),
    }
}
