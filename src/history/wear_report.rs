//! Wear for machines.

use super::display_units::MICROMETRES;
use super::export::{csv_line, guarded};
use super::fading::Fading;
use super::joint_doubts::Doubts;
use super::measure::{Word, chain_word, stored};
use super::outlook::Outlook;
use super::remedies::Remedies;
use super::wear::{PlateWear, UnitWear};
use crate::mechanics::wear::Meets;
use crate::record::interval::parts_json;
use crate::report::{ReportError, Summary};
use serde_json::{Value, json};

impl UnitWear<'_> {
    /// The same for machines: one object, the unit of measure in each key's name.
    pub(super) fn summary(&self, remedies: &Remedies) -> Summary {
        let builds: Vec<Value> = self
            .builds
            .iter()
            .map(|build| {
                json!({
                    "build": build.account.build, "begun": build.account.begun, "distance": build.distance,
                    "run": build.gone.run, "gone": build.gone.at, "gone_at_least": build.gone.at_least,
                    "breakaway_found_nm": build.account.breakaway.found.map(|torque| torque.newton_metres()),
                    "breakaway_left_nm": build.account.breakaway.left.map(|torque| torque.newton_metres()),
                    "preload_found_n": build.account.packs.iter().map(|pack| pack.preload_found.map(|force| force.newtons())).collect::<Vec<_>>(),
                    "preload_left_n": build.account.packs.iter().map(|pack| pack.preload_left.map(|force| force.newtons())).collect::<Vec<_>>(),
                    "friction_found": build.account.breakaway.friction_found(),
                    "friction": build.account.breakaway.friction.map(|friction| friction.value()),
                })
            })
            .collect();
        let packs: Vec<Value> = self
            .packs
            .iter()
            .map(|pack| json!({"side": pack.side.word(), "lost_um": outlook(&pack.outlook, &pack.doubts, MICROMETRES)}))
            .collect();
        let first = self.first();
        Summary::told(
            "wear",
            json!({
                "unit": self.unit, "unit_name": self.name, "distances_in": self.along.symbol(), "builds": builds,
                "plates": self.plates.iter().map(|plate| self.plate_json(plate)).collect::<Vec<_>>(),
                "packs": packs, "breakaway": fading(&self.breakaway),
                "preload": self.preload.iter().map(fading).collect::<Vec<_>>(),
                "gaps": self.gaps.iter().map(fading).collect::<Vec<_>>(),
                "friction": fading(&self.friction),
                "friction_now": self.proved.as_ref().map(|now| json!({
                    "turning": now.turning.value(), "standard_uncertainty": now.doubt.value(),
                    "breakaway": now.breakaway.value(), "breakaway_standard_uncertainty": now.breakaway_doubt.value(),
                    "proofs": now.proofs, "by": now.by,
                })),
                "rooms": self.rooms.iter().map(fading).collect::<Vec<_>>(),
                "first": first.map(|first| json!({
                    "what": first.what.to_string(), "earliest": first.earliest(), "known_to": first.lacks.map(|(build, _)| build),
                    "used_at_least": first.lacks.map(|(_, used)| used),
                })),
                "remedies": remedies.json(), "told": self.told,
            }),
        )
    }

    fn plate_json(&self, plate: &PlateWear) -> Value {
        let track = &plate.track;
        let sightings: Vec<Value> = track
            .sightings
            .iter()
            .map(|one| {
                json!({
                    "build": one.build, "unit": one.unit, "begun": one.begun, "run": one.gone.run,
                    "gone": one.gone.at, "mean_um": one.mean.um(), "uncertainty_um": one.uncertainty.um(),
                    "least_um": one.least.um(), "instrument": one.instrument,
                })
            })
            .collect();
        json!({
            "part": track.part, "name": track.name, "keyed": track.keyed.stored(), "in_the_unit": self.has(plate),
            "unit": track.unit, "side": stored(track.side), "limit_um": track.limit.map(|limit| limit.um()),
            "rejected": track.rejected.as_ref().map(|(build, why)| json!({"build": build, "why": why})),
            "lost_um": plate.lost.um(), "mean_um": outlook(&plate.mean, &plate.doubts, MICROMETRES),
            "least_um": outlook(&plate.least, &plate.doubts, MICROMETRES),
            "sightings": sightings,
        })
    }

    /// Every measured value as one line: `kind,name,part,build,unit,begun,run,gone,in,state,value,uncertainty,measure`.
    /// `gone` is the distance in the unit of `in` since the run's beginning: of the plate itself for a plate, of the
    /// unit for the rest. A name that begins as a formula does has an apostrophe before it.
    ///
    /// # Errors
    ///
    /// It can not be written.
    pub fn csv(&self) -> Result<String, ReportError> {
        let mut lines: Vec<[String; 13]> = Vec::new();
        let along = self.along.symbol();
        // the first five are names; the rest are figures, days and words of ours
        let mut line = |cells: [&str; 13]| {
            let mut cells = cells.map(str::to_string);
            for name in &mut cells[..5] {
                *name = guarded(name);
            }
            lines.push(cells);
        };
        for plate in &self.plates {
            for one in &plate.track.sightings {
                let gone = (one.gone.run.to_string(), one.gone.at.to_string());
                let (mean, u, least) = (
                    one.mean.um().to_string(),
                    one.uncertainty.um().to_string(),
                    one.least.um().to_string(),
                );
                for (state, value, u) in [("mean", &mean, u.as_str()), ("least", &least, "")] {
                    line([
                        "plate",
                        plate.track.name,
                        plate.track.part,
                        one.build,
                        one.unit,
                        one.begun,
                        &gone.0,
                        &gone.1,
                        along,
                        state,
                        value,
                        u,
                        "µm",
                    ]);
                }
            }
        }
        for build in &self.builds {
            let account = &build.account;
            let gone = (build.gone.run.to_string(), build.gone.at.to_string());
            let mut value =
                |kind: &str, name: &str, state: &str, value: Option<f64>, u: Option<f64>, measure: &str| {
                    if let Some(value) = value {
                        line([
                            kind,
                            name,
                            "",
                            &account.build,
                            &account.unit,
                            &account.begun,
                            &gone.0,
                            &gone.1,
                            along,
                            state,
                            &value.to_string(),
                            &u.map_or(String::new(), |u| u.to_string()),
                            measure,
                        ]);
                    }
                };
            let nm = |torque: Option<crate::quantity::Torque>| torque.map(|torque| torque.newton_metres());
            let newtons = |force: Option<crate::quantity::Force>| force.map(|force| force.newtons());
            let breakaway = &account.breakaway;
            value(
                "breakaway",
                "",
                "found",
                nm(breakaway.found),
                nm(breakaway.found_uncertainty),
                "N·m",
            );
            value(
                "breakaway",
                "",
                "left",
                nm(breakaway.left),
                nm(breakaway.left_uncertainty),
                "N·m",
            );
            let friction = breakaway.friction.map(|friction| friction.value());
            value("friction", "", "left", friction, None, "");
            for closing in account.closings.iter().filter(|closing| !closing.sprung) {
                for (state, gap) in [("found", &closing.found), ("left", &closing.left)] {
                    let um = gap.as_ref().map(|gap| gap.value.um());
                    let doubt = gap.as_ref().map(|gap| gap.uncertainty.um());
                    value("gap", chain_word(closing.chain), state, um, doubt, "µm");
                }
            }
            for pack in &account.packs {
                value(
                    "preload",
                    pack.side.word(),
                    "found",
                    newtons(pack.preload_found),
                    None,
                    "N",
                );
                let doubt = newtons(account.preload_uncertainty);
                value(
                    "preload",
                    pack.side.word(),
                    "left",
                    newtons(pack.preload_left),
                    doubt,
                    "N",
                );
            }
        }
        let mut text =
            "kind,name,part,build,unit,begun,run,gone,in,state,value,uncertainty,measure\n".to_string();
        for cells in lines {
            text.push_str(&csv_line(cells.into_iter())?);
        }
        Ok(text)
    }
}

fn fading(fading: &Fading) -> Value {
    let (measure, times) = fading.measure.for_machines();
    let stretches: Vec<Value> = fading
        .stretches
        .iter()
        .map(|one| {
            json!({
                "from": one.from, "to": one.to, "distance": one.distance, "left": times * one.left, "found": times * one.found,
            })
        })
        .collect();
    json!({
        "what": fading.what.to_string(), "measure": measure, "now": fading.now.map(|(now, _)| times * now),
        "now_uncertainty": fading.now.map(|(_, u)| times * u),
        "least": fading.limit.filter(|_| !fading.grows).map(|limit| times * limit),
        "most": fading.limit.filter(|_| fading.grows).map(|limit| times * limit), "stretches": stretches,
        "outlook": outlook(&fading.outlook, &fading.doubts, times),
    })
}

/// `times` is what one of the loss's unit of measure is in the one that is told.
fn outlook(outlook: &Outlook, doubts: &Doubts, times: f64) -> Value {
    let band = outlook.band(doubts);
    match outlook {
        Outlook::TooFew { points, rate } => {
            json!({"points": points, "loss_per_distance": rate.map(|rate| times * rate), "interval": null, "meets": null})
        }
        Outlook::Told {
            points,
            rate,
            interval,
            meets,
            ..
        } => json!({
            "points": points, "loss_per_distance": times * rate,
            "interval": [times * interval.0, times * interval.1],
            "parts": parts_json(band.as_ref().map_or(&[], |band| &band.parts)),
            "narrower": band.as_ref().and_then(|band| band.narrower.as_ref()).map(|(by, low, high)| {
                json!({"by": by, "interval": [times * low, times * high]})
            }),
            "meets": meets.map(|meets| match meets {
                Meets::Already => json!({"how": "already"}),
                Meets::Within { at, from, to } => json!({"how": "within", "at": at, "from": from, "to": to}),
                Meets::NotBefore { at, from } => json!({"how": "not before", "at": at, "from": from}),
                Meets::Never => json!({"how": "never"}),
            }),
        }),
    }
}
