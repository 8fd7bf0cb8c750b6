//! Bolts: what a stage brings them to, what the wrench is set to for it, and what speaks against it.

use super::ask::Ask;
use super::facts::Facts;
use crate::mechanics::bolt::{question_torque, tension_with_friction};
use crate::mechanics::wrench::setting_for;
use crate::quantity::{Angle, Length, Ratio, Torque};
use crate::record::Slot;
use crate::workshop::Bolts;

/// Thread and head friction that a bolt's tension is estimated with (*common practice, no source*: clean, lightly oiled).
const BOLT_FRICTION: f64 = 0.12;
impl Facts<'_> {
    /// A torque that the procedure gives itself.
    pub fn enrich_own_torque(&self, ask: &mut Ask, torque: Torque) {
        let units = self.state.units;
        ask.limits.push(format!("bring it to {}", torque.show(units)));
        if let Some(setting) = self.wrench_setting(torque) {
            ask.limits.push(format!(
                "set the wrench to {} (extension taken off)",
                setting.show(units)
            ));
        }
    }

    /// The torque or the angle of a bolt group's stage.
    pub fn stage_words(&self, slot: &Slot) -> Option<String> {
        let bolts = self.bolts(slot)?;
        let stage = slot.point? as usize - 1;
        match (bolts.stages.get(stage), bolts.angle) {
            (Some(torque), _) => Some(torque.show(self.state.units)),
            (None, Some(angle)) => Some(format!("a further {angle:.0}")),
            (None, None) => None,
        }
    }

    pub fn bolts(&self, slot: &Slot) -> Option<&Bolts> {
        self.job
            .unit
            .bolts
            .iter()
            .find(|bolts| Some(bolts.name.as_str()) == slot.item.as_deref())
    }

    pub fn enrich_bolts(&self, ask: &mut Ask, slot: &Slot) {
        let Some(bolts) = self.bolts(slot) else {
            return;
        };
        let units = self.state.units;
        ask.limits
            .push(format!("{} × {}, class {}", bolts.count, bolts.size, bolts.class));
        if let Some(locker) = &bolts.locker {
            ask.limits
                .push(format!("thread-locker by the maker's manual: {locker}"));
        }
        let Some(torque) = slot.point.and_then(|point| bolts.stages.get(point as usize - 1)) else {
            return;
        };
        if let Some(setting) = self.wrench_setting(*torque) {
            ask.limits.push(format!(
                "set the wrench to {} (extension taken off)",
                setting.show(units)
            ));
            if let Some((_, length)) = self.wrench() {
                let extension = self.extension();
                ask.why.formula.push(format!(
                    "M_set = M · L/(L + E) = {} · {}/({} + {}) = {}",
                    torque.show(units),
                    length.show(units),
                    length.show(units),
                    extension.show(units),
                    setting.show(units)
                ));
            }
        }
        let bearing = Length::from_nm(bolts.size.diameter().nm() / 10 * 13);
        if let Ok(mu) = Ratio::new(BOLT_FRICTION)
            && let Ok(tension) = tension_with_friction(*torque, bolts.size, mu, mu, bearing)
            && let Ok(proof) = bolts.size.proof_load(bolts.class)
        {
            ask.why.formula.extend([
                "F = M / (0.159 P + 0.578 d2 μ + D/2 · μ)".to_string(),
                format!(
                    "{torque}: {tension} with μ {BOLT_FRICTION} (common practice, no source), {:.0} % of the proof load {proof}",
                    100.0 * tension.newtons() / proof.newtons()
                ),
            ]);
        }
        if let Some(doubt) = self.doubted_torque(bolts, slot) {
            ask.limits.push(doubt);
        }
    }

    /// What speaks against a bolt group's last torque, where something does.
    pub fn doubted_torque(&self, bolts: &Bolts, slot: &Slot) -> Option<String> {
        // earlier stages are meant to be low
        if slot.point != Some(bolts.stages.len() as u32) {
            return None;
        }
        let torque = *bolts.stages.last()?;
        let question =
            question_torque(torque, bolts.size, bolts.class, Ratio::new(BOLT_FRICTION).ok()?).ok()??;
        if bolts.angle.is_some() && question.share_of_proof.value() < 0.5 {
            return None;
        }
        let fits = question.units_that_fit("N·m");
        let meant = if fits.is_empty() {
            String::new()
        } else {
            format!("; was it meant in {}?", fits.join(" or "))
        };
        Some(format!(
            "{} on {} {} would be {}: look it up in the maker's manual{meant}",
            torque.show(self.state.units),
            bolts.size,
            bolts.class,
            question.doubt
        ))
    }

    /// What the wrench is set to for a torque, where an extension is on it.
    pub fn wrench_setting(&self, torque: Torque) -> Option<Torque> {
        let facts = self;
        let extension = facts.extension();
        if extension == Length::ZERO {
            return None;
        }
        let (_, length) = facts.wrench()?;
        setting_for(torque, length, extension, Angle::from_degrees(0.0).ok()?).ok()
    }
}
