//! What a build comes to, for machines.

use super::build::{Build, Copied, Figure, LayerKind};
use super::interval::{Interval, parts_json};
use super::lock_bands::LockBand;
use crate::metrology::Verdict;
use crate::quantity::{Force, Ratio, Torque};
use crate::report::{Summary, um};
use serde_json::{Map, Value, json};

fn newton_metres(torque: Option<Torque>) -> Value {
    torque.map_or(Value::Null, |torque| json!(torque.newton_metres()))
}

fn figure(figure: &Figure) -> Value {
    match figure {
        Figure::Ramp(ramp) => json!(ramp.degrees_from_ring_face()),
        Figure::Count(count) => json!(count),
        Figure::Force(force) => json!(force.newtons()),
        Figure::Torque(torque) => json!(torque.newton_metres()),
        Figure::Share(share) => json!(share.value()),
        Figure::Words(words) => json!(words),
    }
}

/// A verdict as machines have it: empty where there is none.
fn word(verdict: Option<Verdict>) -> String {
    verdict.map_or(String::new(), |verdict| verdict.to_string())
}

/// An interval by propagation, its parts with their shares, and what would narrow it most.
fn interval<Q: Copy>(interval: &Interval<Q>, unit: &str, number: fn(Q) -> f64) -> Value {
    let ends = |low: Q, high: Q| json!([number(low), number(high)]);
    let key = format!("propagated_{unit}");
    let narrower = interval
        .narrower
        .as_ref()
        .map(|(by, low, high)| json!({ "by": by, key.as_str(): ends(*low, *high) }));
    json!({
        key.as_str(): ends(interval.low, interval.high),
        "parts": parts_json(&interval.parts),
        "narrower": narrower,
    })
}

/// Between what a lock lies in one direction.
fn lock_band(band: &LockBand) -> Value {
    let share = |of: &Interval<Ratio>| interval(of, "share", Ratio::value);
    let ends = |[low, high]: [Torque; 2]| [low.newton_metres(), high.newton_metres()];
    let over: Vec<Value> = band
        .over_torque
        .iter()
        .map(|at| {
            json!({
                "case_nm": at.case.newton_metres(), "slipping_nm": ends(at.slipping), "at_rest_nm": at.at_rest.map(ends),
                "unloading_nm": at.unloading.map(ends),
            })
        })
        .collect();
    let mut all = share(&band.slipping);
    if let Some(all) = all.as_object_mut() {
        all.insert(
            "without_thrust".into(),
            json!(band.without_thrust.as_ref().map(share)),
        );
        all.insert("at_rest".into(), json!(band.at_rest.as_ref().map(share)));
        all.insert("unloading".into(), json!(band.unloading.as_ref().map(share)));
        all.insert("over_torque".into(), json!(over));
    }
    all
}

impl Build {
    /// The figures that matter, for `--json`.
    pub fn summary(&self) -> Summary {
        let plates: Vec<Value> = self
            .plates
            .iter()
            .map(|plate| {
                json!({
                    "name": plate.name, "kind": plate.kind, "mean_um": um(plate.mean),
                    "uncertainty_um": um(plate.uncertainty), "least_um": um(plate.least),
                    "spread_um": um(plate.spread), "flatness_um": um(plate.flatness),
                    "verdict": word(plate.verdict), "fate": plate.disposition.to_string(), "look": plate.look, "reason": plate.reason,
                })
            })
            .collect();
        let closings: Vec<Value> = self
            .closings
            .iter()
            .map(|line| {
                json!({
                    "what": line.what, "predicted_um": um(line.predicted), "measured_um": um(line.measured),
                    "uncertainty_um": um(line.uncertainty),
                    "sources_um": line.sources.iter().map(|(name, u)| json!({"source": name, "standard_um": u.um()})).collect::<Vec<_>>(),
                    "least_um": um(line.least), "target_um": um(line.target),
                    "most_um": um(line.most), "verdict": word(line.verdict),
                })
            })
            .collect();
        let mut packs = Map::new();
        for pack in &self.packs {
            let layers: Vec<Value> = pack
                .layers
                .iter()
                .filter(|layer| layer.kind != LayerKind::Gap)
                .map(|layer| {
                    json!({"kind": layer.kind.word(), "name": layer.name, "thickness_um": layer.thickness.um()})
                })
                .collect();
            packs.insert(
                pack.side.word().to_string(),
                json!({"active_faces": pack.active_faces, "layers": layers}),
            );
        }
        let proofs: Vec<Value> = self
            .proofs
            .iter()
            .map(|proof| {
                json!({
                    "round": proof.round, "breakaway_nm": newton_metres(proof.turning),
                    "first_movement_nm": newton_metres(proof.still), "least_nm": proof.window.0.newton_metres(),
                    "most_nm": proof.window.1.newton_metres(), "verdict": word(proof.verdict),
                    "friction": proof.friction.map(|mu| mu.value()), "doubt": proof.doubt,
                    "oil_celsius": proof.oil_at.map(|oil| oil.celsius()),
                    "should_read": proof.should_read.as_ref().map(|should| interval(&should.interval, "nm", Torque::newton_metres)),
                })
            })
            .collect();
        Summary::told(
            "build",
            json!({
                "build": self.id,
                "unit": self.unit,
                "unit_name": self.unit_name,
                "procedure": self.procedure.id,
                "procedure_title": self.procedure.title,
                "procedure_digest": self.procedure.digest,
                "copied": self.copied.as_ref().map(Copied::words),
                "begun": self.started,
                "finished": self.finished,
                "plates": plates,
                "packs": packs,
                "closings": closings,
                "warm": self.warm.as_ref().map(|warm| json!({
                    "metal": warm.metal, "at_celsius": warm.at.celsius(),
                    "closings": warm.closings.iter().map(|(what, cold, warm)| {
                        json!({"what": what, "cold_um": cold.um(), "warm_um": warm.um()})
                    }).collect::<Vec<_>>(),
                    "force_n": warm.force.map(|forces| forces.map(Force::newtons)),
                    "breakaway_nm": warm.breakaway.map(|torques| torques.map(Torque::newton_metres)),
                    "proved": warm.proved.as_ref().map(|proved| json!({
                        "at_celsius": proved.at.celsius(),
                        "closings_um": proved.closings.iter().map(|closing| closing.um()).collect::<Vec<_>>(),
                        "force_n": proved.force.map(Force::newtons),
                        "breakaway_nm": proved.breakaway.map(Torque::newton_metres),
                    })),
                })),
                "preload_force_n": self.preload.as_ref().map(|preload| preload.force.newtons()),
                "preload_interval_n": self.preload.as_ref().and_then(|p| p.simulated.map(|s| [s.low.newtons(), s.high.newtons()])),
                "preload_inside": self.preload.as_ref().and_then(|p| p.simulated.map(|s| s.inside)),
                "breakaway_expected_nm": self.preload.as_ref().and_then(|p| p.breakaway.map(|breakaway| breakaway.newton_metres())),
                "breakaway_interval_nm": self.preload.as_ref().and_then(|p| {
                    p.breakaway_simulated.map(|s| [s.low.newton_metres(), s.high.newton_metres()])
                }),
                "breakaway_inside": self.preload.as_ref().and_then(|p| p.breakaway_simulated.map(|s| s.inside)),
                "preload_uncertainty_n": self.preload.as_ref().and_then(|p| p.uncertainty.map(|u| u.newtons())),
                "preload_from": self.preload.as_ref().and_then(|p| p.interval.as_ref().map(|i| interval(i, "n", Force::newtons))),
                "breakaway_from": self.preload.as_ref().and_then(|p| {
                    p.breakaway_interval.as_ref().map(|i| interval(i, "nm", Torque::newton_metres))
                }),
                "assumed": self.preload.as_ref().map_or(Vec::new(), |p| p.assumed.clone()),
                "drive_share": self.curve.as_ref().map(|curve| curve.drive_share.value()),
                "coast_share": self.curve.as_ref().map(|curve| curve.coast_share.value()),
                "shares_from": self.curve.as_ref().and_then(|curve| curve.bands.as_ref()).map(|bands| {
                    json!({"drive": lock_band(&bands.drive), "coast": lock_band(&bands.coast)})
                }),
                "class": self.curve.as_ref().map(|curve| curve.class.to_string()),
                "setting": self.asked.as_ref().map(|asked| {
                    let rows: Map<String, Value> = asked.rows.iter().map(|row| {
                        (row.key.clone(), json!({
                            "asked": figure(&row.asked), "reached": row.reached.as_ref().map(figure),
                        }))
                    }).collect();
                    let from: Map<String, Value> =
                        asked.from.iter().map(|(label, text)| (label.to_lowercase(), json!(text))).collect();
                    json!({ "from": from, "figures": rows })
                }),
                "proofs": proofs,
                "open_points": self.open,
                "signatures": self.signatures.iter().map(|s| json!({"role": s.role.words(), "name": s.name, "at": s.at})).collect::<Vec<_>>(),
                "digest": self.digest,
            }),
        )
    }
}
