//! The questions of the breakaway: what they show beside the words of their step.

use super::ask::{Ask, Table};
use super::definition::Field;
use super::facts::Facts;
use super::proof::NEARLY_WEDGED;
use super::way::{Way, held_words};
use crate::mechanics::Held;
use crate::quantity::{Length, Torque, significant};
use crate::record::Slot;

impl Facts<'_> {
    pub(super) fn enrich_breakaway(&self, ask: &mut Ask, slot: &Slot, field: Field, last_round: u32) {
        let units = self.state.units;
        let facts = self;
        // as received it is still what it was
        let proof = match (&self.job.rework, field) {
            (Some(rework), Field::FoundBreakaway) => &rework.before.proof,
            _ => &self.job.unit.proof,
        };
        ask.limits.push(self.window_words(proof, field, last_round));
        ask.why.formula.push(
            "M_pack = n · μ · F · r;  one output held: M = (M_left + M_right + D)/2;  case held: M = M_left + M_right, and more \
             where the ramps press too"
                .to_string(),
        );
        if field == Field::FoundBreakaway {
            return;
        }
        let round = slot.round;
        let Some(bench) = facts.bench_of(round) else {
            return;
        };
        let held = facts.held().unwrap_or(proof.held);
        if field == Field::Held {
            self.enrich_held(ask);
            return;
        }
        let way = slot.item.as_deref().and_then(Way::named);
        if let Some(way) = way.filter(|_| field == Field::Breakaway) {
            self.enrich_reading(ask, round, held, way);
        }
        if self.state.chosen(round).is_some()
            && let Some(expected) = facts.expected_of(&bench)
        {
            let friction = &self.job.unit.friction;
            ask.why.formula.push(format!(
                "left {} faces, {}; right {} faces, {}; μ {} turning, r {}: {} {}",
                bench.setup.faces[0],
                bench.setup.preload[0],
                bench.setup.faces[1],
                bench.setup.preload[1],
                friction.turning.value(),
                friction.radius.show(units),
                expected.show(units),
                held_words(proof.held),
            ));
        }
        if field == Field::Breakaway && facts.extension() > Length::ZERO {
            ask.limits
                .push("give what the wrench shows; the extension is taken into account".to_string());
        }
    }

    /// What a reading should be, and where to stop pulling.
    fn enrich_reading(&self, ask: &mut Ask, round: u32, held: Held, way: Way) {
        let units = self.state.units;
        let facts = self;
        if let Some(expected) = facts.should_show(round, held, way)
            && expected.newton_metres() > 1.0
        {
            ask.limits.push(format!(
                "expected about {} on the wrench, {}",
                facts.on_the_wrench(expected).show(units),
                held_words(held)
            ));
        }
        if held == Held::Case {
            match facts.stop_at(round, way) {
                Some(stop) => ask
                    .limits
                    .push(format!("stop pulling at {}: then it is wedged", stop.show(units))),
                None => ask.limits.push(format!(
                    "do NOT pull: held so these packs wedge on the {} ramp; go back and hold one output",
                    way.ramp
                )),
            }
        }
    }

    /// What speaks against holding the case.
    fn enrich_held(&self, ask: &mut Ask) {
        let facts = self;
        let wedging = facts.listed_bench().and_then(|bench| facts.wedging(&bench));
        ask.why.formula.push(
            "S = n μ r (k/r_pin + gear thrust) of the pack that is not turned; with the case held M grows as 1/(1 − S), and from \
             S = 1 it wedges"
                .to_string(),
        );
        let Some((share, sense)) = wedging.filter(|(share, _)| share.value() >= NEARLY_WEDGED) else {
            return;
        };
        let ramp = sense.ramp();
        ask.limits.push(if share.value() >= 1.0 {
            format!(
                "with the case held these packs wedge (share {:.2} on the {ramp} ramp): hold one output",
                share.value()
            )
        } else {
            format!(
                "with the case held these packs are near to wedging (share {:.2} on the {ramp} ramp, from 1 on they do): one \
                 output held is the surer way",
                share.value()
            )
        });
    }

    /// What the drag is in the way in which the unit is held.
    pub(super) fn enrich_drag(&self, ask: &mut Ask) {
        ask.limits.push(match self.held() {
            Some(Held::Case) => "case held: what one output drags of itself, seal and bearing, its gear out or its pack slack; \
                 what turns with the case stands still and counts nothing"
                .to_string(),
            _ => "one output held: what turns an output when nothing is held and all turns together; half of it is in each \
                 reading"
                .to_string(),
        });
    }

    pub(super) fn enrich_proof(&self, ask: &mut Ask, round: u32) {
        let units = self.state.units;
        let facts = self;
        let Some(proof) = facts.proof(round) else {
            return;
        };
        let window = &self.job.unit.proof;
        if let (Some(mean), Some(u), Some(verdict)) = (proof.by_file, proof.uncertainty, proof.verdict) {
            let u2 = Torque::from_newton_metres(2.0 * u.newton_metres()).unwrap_or(u);
            ask.limits.push(format!(
                "turning, {}: {} ± {}; window {} to {}: {}{}",
                held_words(window.held),
                mean.show(units),
                u2.show(units),
                window.least.show(units),
                window.most.show(units),
                verdict.to_string().to_uppercase(),
                proof.probability.map_or(String::new(), |p| format!(
                    " (P inside {:.0} %)",
                    (100.0 * p).floor()
                ))
            ));
        }
        if let Some(mu) = self.shown_friction(round) {
            ask.limits.push(format!(
                "friction that these plates show: {} turning (unit file {})",
                significant(mu.value(), 2),
                self.job.unit.friction.turning.value()
            ));
        }
        ask.limits.extend(self.advice(round));
        ask.table = Some(Table {
            head: ["", "1", "2", "3"].map(str::to_string).to_vec(),
            rows: Way::ALL
                .iter()
                .map(|(way, _)| {
                    let mut row = vec![way.brief()];
                    row.extend(
                        proof
                            .readings
                            .iter()
                            .filter(|reading| reading.way == *way)
                            .take(3)
                            .map(|reading| reading.reckoned.unwrap_or(reading.corrected).show(units)),
                    );
                    row.resize(4, String::new());
                    row
                })
                .collect(),
        });
    }
}
