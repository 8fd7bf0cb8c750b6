//! Bolts: what a stage brings them to, what the wrench is set to for it, and what speaks against it.

use super::derived::Derived;
use super::figures::capital;
use crate::mechanics::bolt::{question_torque, tension_with_friction};
use crate::mechanics::wrench::setting_for;
use crate::quantity::{Angle, Length, Ratio, Torque};
use crate::record::Slot;
use crate::workshop::Bolts;

/// Thread and head friction that a bolt's tension is estimated with (*common practice, no source*: clean, lightly oiled).
const BOLT_FRICTION: f64 = 0.12;
impl Derived<'_> {
    /// A torque that the procedure gives itself.
    pub fn own_torque_limits(&self, torque: Torque) -> Vec<String> {
        let bring = format!("bring it to {}", torque.show(self.state.units));
        std::iter::once(bring).chain(self.setting_words(torque)).collect()
    }

    fn setting_words(&self, torque: Torque) -> Option<String> {
        let setting = self.wrench_setting(torque)?;
        Some(format!(
            "for {} set the wrench to {} (extension taken off)",
            torque.show(self.state.units),
            setting.show(self.state.units)
        ))
    }

    /// The torque or the angle of a bolt group's stage.
    pub fn stage_words(&self, slot: &Slot) -> Option<String> {
        let bolts = self.bolts(slot)?;
        let stage = slot.point? as usize - 1;
        match (bolts.stages.get(stage), bolts.angle) {
            (Some(torque), _) => Some(torque.show(self.state.units)),
            (None, Some(angle)) => Some(format!("a further {angle:.0} by an angle gauge")),
            (None, None) => None,
        }
    }

    /// What a stage brings its group to: a torque, or else a further angle.
    pub fn stage(&self, slot: &Slot) -> Option<Result<Torque, Angle>> {
        let bolts = self.bolts(slot)?;
        match (stage_of(bolts, slot), bolts.angle) {
            (Some(torque), _) => Some(Ok(torque)),
            (None, angle) => angle.map(Err),
        }
    }

    /// All stages of a group in one prompt.
    pub fn stages_prompt(&self, slots: &[Slot]) -> String {
        let stages: Vec<String> = slots.iter().filter_map(|slot| self.stage_words(slot)).collect();
        let group = slots.first().and_then(|slot| slot.item.as_deref()).unwrap_or("");
        format!("{}: {}", capital(group), stages.join(", then "))
    }

    /// What the group is, and what the wrench is set to for each of its stages.
    pub fn stages_limits(&self, slots: &[Slot]) -> Vec<String> {
        let mut limits: Vec<String> = Vec::new();
        for slot in slots {
            for limit in self.bolt_limits(slot) {
                if !limits.contains(&limit) {
                    limits.push(limit);
                }
            }
        }
        limits
    }

    /// The bolt group that a question is about.
    pub fn bolts(&self, slot: &Slot) -> Option<&Bolts> {
        self.job
            .unit
            .bolts
            .iter()
            .find(|bolts| Some(bolts.name.as_str()) == slot.item.as_deref())
    }

    /// What a bolt group is, and what the wrench is set to for the stage.
    pub fn bolt_limits(&self, slot: &Slot) -> Vec<String> {
        let Some(bolts) = self.bolts(slot) else {
            return Vec::new();
        };
        let what = format!("{} × {}, class {}", bolts.count, bolts.size, bolts.class);
        let locker = bolts.locker.iter();
        let locker = locker.map(|locker| format!("thread-locker by the maker's manual: {locker}"));
        let new = bolts.new.then(|| "new bolts by the maker's manual".to_string());
        let mut limits: Vec<String> = std::iter::once(what).chain(new).chain(locker).collect();
        if let Some(torque) = stage_of(bolts, slot) {
            limits.extend(self.setting_words(torque));
            limits.extend(self.doubted_torque(bolts, slot));
        }
        limits
    }

    /// What the wrench is set to, and what tension the stage comes to.
    pub fn bolt_formula(&self, slot: &Slot) -> Vec<String> {
        let mut lines = Vec::new();
        let Some((bolts, torque)) = self
            .bolts(slot)
            .and_then(|bolts| Some((bolts, stage_of(bolts, slot)?)))
        else {
            return lines;
        };
        let units = self.state.units;
        if let Some(setting) = self.wrench_setting(torque)
            && let Some((_, length)) = self.wrench()
        {
            lines.push(format!(
                "M_set = M · L/(L + E) = {} · {}/({} + {}) = {}",
                torque.show(units),
                length.show(units),
                length.show(units),
                self.extension().show(units),
                setting.show(units)
            ));
        }
        let bearing = Length::from_nm(bolts.size.diameter().nm() / 10 * 13);
        if let Ok(mu) = Ratio::new(BOLT_FRICTION)
            && let Ok(tension) = tension_with_friction(torque, bolts.size, mu, mu, bearing)
            && let Ok(proof) = bolts.size.proof_load(bolts.class)
        {
            lines.extend([
                "F = M / (0.159 P + 0.578 d2 μ + D/2 · μ)".to_string(),
                format!(
                    "{torque}: {tension} with μ {BOLT_FRICTION} (common practice, no source), {:.0} % of the proof load {proof}",
                    100.0 * tension.newtons() / proof.newtons()
                ),
            ]);
        }
        lines
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
        let derived = self;
        let extension = derived.extension();
        if extension == Length::ZERO {
            return None;
        }
        let (_, length) = derived.wrench()?;
        setting_for(torque, length, extension, Angle::from_degrees(0.0).ok()?).ok()
    }
}

/// The torque of a group's stage; the stage by an angle has none.
fn stage_of(bolts: &Bolts, slot: &Slot) -> Option<Torque> {
    bolts.stages.get(slot.point? as usize - 1).copied()
}
