//! The tables that paper and terminal share.

use super::numbers::{COVERAGE, Lengths, firm, moment, torque, unit};
use crate::mechanics::Direction;
use crate::metrology::Verdict;
use crate::quantity::{Length, Torque, Units};
use crate::record::{BreakawayLine, Build, PlateLine, ProofRound, Remark, RemarkKind, SettingOutcome};
use crate::report::{Cell, Column, FIRM, NOTHING, Table};

/// A verdict; one that wants a second look is in bold.
fn verdict(verdict: Option<Verdict>) -> Cell {
    verdict.map_or(NOTHING.into(), |verdict| {
        Cell::strong_if(verdict != Verdict::Inside, verdict.to_string())
    })
}

/// What a setting asked for and what was reached.
pub(super) fn asked(asked: &SettingOutcome, units: Units) -> Table {
    Table {
        columns: vec![
            Column::words("What"),
            Column::words("Settled"),
            Column::words("Reached"),
        ],
        rows: asked
            .rows
            .iter()
            .map(|row| {
                let reached = row.reached.as_ref().map(|figure| firm(&figure.show(units)));
                vec![
                    row.what.as_str().into(),
                    firm(&row.asked.show(units)).into(),
                    reached.unwrap_or_else(|| NOTHING.to_string()).into(),
                ]
            })
            .collect(),
    }
}

/// How the reached figures came about.
pub(super) fn how_reached() -> String {
    "Reached: ramps as they were looked at when the rings went in; preload and lock are reckoned from what was built, with \
     the friction of the unit file; breakaway is what was read. Lock: the share of the difference between the tyres that \
     the packs hold, at the settled torque."
        .to_string()
}

/// Which column of [`plates`] has the readings.
pub(super) const READINGS: usize = 2;

/// Every plate.
pub(super) fn plates(build: &Build) -> Table {
    let all = &build.plates;
    let mm = unit::<Length>(build.units);
    let readings = Lengths::of(build.units, all.iter().flat_map(|p| p.readings.iter().copied()));
    let means = Lengths::of(build.units, all.iter().filter_map(|p| p.mean));
    let rest = Lengths::of(
        build.units,
        all.iter()
            .flat_map(|p| p.least.into_iter().chain(p.spread).chain(p.flatness)),
    );
    Table {
        columns: vec![
            Column::words("Plate"),
            Column::words("Kind"),
            Column::lists("Readings").of_unit(mm),
            Column::figures("Mean ± U").of_unit(mm),
            Column::figures("Least"),
            Column::figures("Spread"),
            Column::figures("Flatness"),
            Column::words("Verdict"),
            Column::words("Fate"),
        ],
        rows: all
            .iter()
            .map(|plate| {
                // the table's head says that these are plates
                let short = plate.kind.trim_end_matches(" plate");
                let kind = if plate.spare {
                    format!("{short}, spare")
                } else {
                    short.to_string()
                };
                let read: Vec<String> = plate.readings.iter().map(|r| readings.number(*r)).collect();
                vec![
                    Cell::strong_if(true, &*plate.name),
                    kind.into(),
                    if read.is_empty() {
                        NOTHING.into()
                    } else {
                        read.join(" ").into()
                    },
                    means.with(plate.mean, plate.uncertainty).into(),
                    rest.maybe(plate.least).into(),
                    rest.maybe(plate.spread).into(),
                    rest.maybe(plate.flatness).into(),
                    verdict(plate.verdict),
                    Cell::strong_if(plate.is_rejected(), became(plate)),
                ]
            })
            .collect(),
    }
}

/// What became of a plate, with a look that it was kept with; a look that threw it out is the reason beside it.
fn became(plate: &PlateLine) -> String {
    match plate.look.as_str() {
        "" | "good" => plate.disposition.to_string(),
        _ if plate.is_rejected() => plate.disposition.to_string(),
        look => format!("{}, {look}", plate.disposition),
    }
}

/// The plates that were thrown out, and those that there is something to say about: the name, and what.
pub(super) fn rejected(build: &Build) -> Vec<(String, String)> {
    let told = build
        .plates
        .iter()
        .filter(|plate| plate.is_rejected() || !plate.reason.is_empty());
    told.map(|plate| {
        let words = match plate.reason.as_str() {
            "" => became(plate),
            reason => format!("{}: {reason}", became(plate)),
        };
        (plate.name.clone(), words)
    })
    .collect()
}

/// Gaps and installed heights.
pub(super) fn closings(build: &Build) -> Table {
    let mm = unit::<Length>(build.units);
    let numbers = Lengths::of(
        build.units,
        build.closings.iter().flat_map(|c| {
            [c.predicted, c.measured, c.least, c.target, c.most]
                .into_iter()
                .flatten()
        }),
    );
    Table {
        columns: vec![
            Column::words("What"),
            Column::figures("Least").of_unit(mm),
            Column::figures("Target"),
            Column::figures("Most"),
            Column::figures("Predicted ± U"),
            Column::figures("Measured"),
            Column::words("Verdict"),
        ],
        rows: build
            .closings
            .iter()
            .map(|closing| {
                vec![
                    Cell::strong_if(true, &*closing.what),
                    numbers.maybe(closing.least).into(),
                    numbers.maybe(closing.target).into(),
                    numbers.maybe(closing.most).into(),
                    numbers.with(closing.predicted, closing.uncertainty).into(),
                    numbers.maybe(closing.measured).into(),
                    verdict(closing.verdict),
                ]
            })
            .collect(),
    }
}

/// Where the uncertainty of each closing comes from, a line each.
pub(super) fn sources(build: &Build) -> Vec<String> {
    build
        .closings
        .iter()
        .filter(|closing| !closing.sources.is_empty())
        .map(|closing| {
            let sources: Vec<String> = closing
                .sources
                .iter()
                .map(|(name, u)| format!("{name} {}", firm(&u.show(build.units))))
                .collect();
            format!("± of {}, k = 1: {}.", closing.what, sources.join("; "))
        })
        .collect()
}

/// Checks that were made and answered with anything but a plain yes.
pub(super) fn checks(build: &Build) -> Table {
    Table {
        columns: vec![Column::words("Check"), Column::words("Answer")],
        rows: build
            .checks
            .iter()
            .filter(|(_, answer)| answer != "yes")
            .map(|(what, answer)| vec![what.as_str().into(), Cell::strong_if(answer == "NO", answer)])
            .collect(),
    }
}

/// Which column of [`rounds`] says how the unit was held.
pub(super) const HELD: usize = 1;

/// The rounds of proof in a line each.
pub(super) fn rounds(build: &Build) -> Table {
    let nm = unit::<Torque>(build.units);
    let maybe = |t: Option<Torque>| t.map_or_else(|| NOTHING.to_string(), |t| torque(t, build.units));
    Table {
        columns: vec![
            Column::figures("Round"),
            Column::words("Held"),
            Column::figures("Window").of_unit(nm),
            Column::figures("First movement"),
            Column::figures("Turning"),
            Column::figures("Friction shown"),
            Column::words("Verdict"),
        ],
        rows: build
            .proofs
            .iter()
            .map(|round| {
                vec![
                    round.round.to_string().into(),
                    round.method.as_str().into(),
                    window(round, build.units).into(),
                    maybe(round.still).into(),
                    maybe(round.turning).into(),
                    round
                        .friction
                        .map_or_else(|| NOTHING.to_string(), |f| f.to_string())
                        .into(),
                    verdict(round.verdict),
                ]
            })
            .collect(),
    }
}

/// The window of a round, without its unit.
pub(super) fn window(round: &ProofRound, units: Units) -> String {
    firm(&format!(
        "{} to {}",
        torque(round.window.0, units),
        torque(round.window.1, units)
    ))
}

/// The ramps of all readings, each once, in the order in which they were taken.
pub(super) fn ramps(rounds: &[ProofRound]) -> Vec<Direction> {
    let mut all = Vec::new();
    for reading in rounds.iter().flat_map(|round| &round.readings) {
        if !all.contains(&reading.ramp) {
            all.push(reading.ramp);
        }
    }
    all
}

/// Whether what the wrench showed is not what stands against the window.
fn extended(build: &Build) -> bool {
    let mut readings = build.proofs.iter().flat_map(|round| &round.readings);
    readings.any(|r| {
        r.reckoned
            .is_none_or(|it| torque(r.read, build.units) != torque(it, build.units))
    })
}

/// What the numbers in [`readings`] are.
pub(super) fn how_read(build: &Build) -> String {
    let nm = unit::<Torque>(build.units);
    if extended(build) {
        format!(
            "Readings in {nm}, in the order of positions: as the wrench showed, and after the arrow as it stands against the window, with \
             extension, drag and way of holding taken into account."
        )
    } else {
        format!("Readings in {nm}, in the order of positions.")
    }
}

/// The readings of all rounds: a row for each, with those of one ramp and way of moving in the order of positions.
pub(super) fn readings(build: &Build) -> Table {
    let ramps = ramps(&build.proofs);
    let extended = extended(build);
    let show = |r: &BreakawayLine| {
        let reckoned = r.reckoned.map_or("–".to_string(), |it| torque(it, build.units));
        if extended {
            format!("{}{FIRM}→{FIRM}{reckoned}", torque(r.read, build.units))
        } else {
            reckoned
        }
    };
    let mut columns = vec![Column::figures("Round")];
    for ramp in &ramps {
        columns.push(Column::figures(format!("{ramp} ramp: first movement")));
        columns.push(Column::figures(format!("{ramp} ramp: steady turning")));
    }
    let mut rows = Vec::new();
    for round in build.proofs.iter().filter(|round| !round.readings.is_empty()) {
        let last = round.readings.iter().map(|r| r.position).max().unwrap_or(0);
        let mut row = vec![round.round.to_string().into()];
        for ramp in &ramps {
            for first in [true, false] {
                let of = |position: u32| {
                    let read = round.readings.iter().filter(move |r| r.position == position);
                    let read = read.filter(|r| r.first_movement == first && r.ramp == *ramp);
                    let read: Vec<String> = read.map(show).collect();
                    match read.is_empty() {
                        true => NOTHING.to_string(),
                        false => read.join(" and "),
                    }
                };
                let read: Vec<String> = (1..=last).map(of).collect();
                row.push(match read.iter().all(|one| one == NOTHING) {
                    true => NOTHING.into(),
                    false => read.join(", ").into(),
                });
            }
        }
        rows.push(row);
    }
    Table { columns, rows }
}

/// Which column of [`bolts`] has what the wrench was set to.
const SET_TO: usize = 3;

/// The bolts.
pub(super) fn bolts(build: &Build) -> Table {
    // without an adaptor the wrench is set to the stages as they stand
    let set_otherwise = build.bolts.iter().any(|bolt| bolt.setting.is_some());
    let table = Table {
        columns: vec![
            Column::words("Bolts"),
            Column::words("Count, size, class, locker"),
            Column::words("Stages, in order"),
            Column::figures("Wrench set to"),
            Column::words("Wrench"),
            Column::words("Done by"),
        ],
        rows: build
            .bolts
            .iter()
            .map(|bolt| {
                let stages: Vec<String> = bolt.stages.iter().map(|stage| firm(stage)).collect();
                vec![
                    Cell::strong_if(true, &*bolt.group),
                    bolt.what.as_str().into(),
                    if stages.is_empty() {
                        NOTHING.into()
                    } else {
                        stages.join(", ").into()
                    },
                    bolt.setting
                        .map_or_else(|| NOTHING.to_string(), |t| firm(&t.show(build.units)))
                        .into(),
                    bolt.wrench.as_str().into(),
                    Cell::strong_if(
                        bolt.by.is_empty(),
                        if bolt.by.is_empty() { "not done" } else { &bolt.by },
                    ),
                ]
            })
            .collect(),
    };
    if set_otherwise {
        return table;
    }
    let kept = |row: Vec<Cell>| {
        let cells = row.into_iter().enumerate();
        cells
            .filter(|(n, _)| *n != SET_TO)
            .map(|(_, cell)| cell)
            .collect()
    };
    let columns = table.columns.into_iter().enumerate();
    Table {
        columns: columns
            .filter(|(n, _)| *n != SET_TO)
            .map(|(_, column)| column)
            .collect(),
        rows: table.rows.into_iter().map(kept).collect(),
    }
}

/// The remarks, each with its place. What an old paper does not say is one row, and not one a question.
fn joined(build: &Build) -> Vec<(String, &Remark)> {
    let mut rows: Vec<(String, &Remark, usize)> = Vec::new();
    for remark in &build.remarks {
        let same = |other: &Remark| {
            build.copied.is_some()
                && remark.kind == RemarkKind::Skipped
                && other.kind == RemarkKind::Skipped
                && other.text == remark.text
        };
        match rows.iter_mut().find(|(_, other, _)| same(other)) {
            Some((place, _, count)) => {
                *count += 1;
                *place = format!("{count} questions");
            }
            None => rows.push((remark.place.clone(), remark, 1)),
        }
    }
    rows.into_iter()
        .map(|(place, remark, _)| (place, remark))
        .collect()
}

/// Notes, skips, overrides and corrections.
pub(super) fn remarks(build: &Build) -> Table {
    Table {
        columns: vec![
            Column::words("What"),
            Column::words("Where"),
            Column::words("Words"),
            Column::words("Who and when"),
        ],
        rows: joined(build)
            .into_iter()
            .map(|(place, remark)| {
                vec![
                    Cell::strong_if(remark.kind != RemarkKind::Note, remark.kind.word()),
                    place.as_str().into(),
                    remark.text.as_str().into(),
                    format!("{} {}", remark.by, moment(&remark.at)).trim().into(),
                ]
            })
            .collect(),
    }
}

/// How the uncertainties are to be read.
pub(super) fn how_uncertain() -> String {
    format!(
        "± U is the expanded uncertainty, k = {COVERAGE}, about 95 %. The instrument's zero error is taken off where it was checked. \
         A mean is rounded to 0.001 mm, or to the instrument's step where that is finer, before anything is added up; U is rounded up."
    )
}
