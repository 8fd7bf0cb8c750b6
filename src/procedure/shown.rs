//! What proofs have shown of this unit's friction: those of its earlier builds, and that of this one for the next.

use super::derived::Derived;
use super::field::Field;
use super::proof::ONE_READING;
use super::whole::Whole;
use crate::mechanics::friction::ShownFriction;
use crate::mechanics::{Bench, Side};
use crate::metrology::Summary;
use crate::quantity::{Ratio, Torque};
use crate::workshop::left_proofs::LeftProof;
use crate::workshop::shown_friction::{KnownBy, NowInside, SpringsNow, by_proofs};

impl Derived<'_> {
    /// What is known of the friction now.
    pub fn friction_known(&self) -> KnownBy {
        let unit = &self.job.unit;
        if !self.state.counts_doubts() {
            return KnownBy::Trade("");
        }
        let proofs = self.job.last.as_ref().map_or(&[][..], |last| &last.proofs);
        if proofs.is_empty() {
            return KnownBy::Trade("");
        }
        let plates = self.plates_now();
        let glazed = plates.iter().filter(|name| {
            let look = self.state.word(Field::PLATE_LOOK, 1, Some(name));
            look.is_some_and(|(look, _)| look == "glazed")
        });
        let inside = NowInside {
            oil: self.state.text(Field::OIL).unwrap_or(""),
            glazed: glazed.count(),
            springs: self.springs_now(),
            plates,
        };
        unit.friction_known(proofs, &inside)
    }

    /// Which springs lie there, beside those of the newest proof.
    fn springs_now(&self) -> SpringsNow {
        let read = self
            .chains()
            .first()
            .and_then(|chain| self.press_uncertainty(*chain));
        let new = |item: &Option<Side>| self.spring_is_new(item.map(Side::word));
        if let Some(doubt) = read.and_then(|doubt| Ratio::new(doubt).ok()) {
            SpringsNow::Read(doubt)
        } else if self.springs().iter().any(new) {
            SpringsNow::Others
        } else {
            SpringsNow::Same
        }
    }

    /// The plates as chosen, else as the unit lists them.
    fn plates_now(&self) -> Vec<String> {
        match self.state.chosen(self.state.last_round()) {
            Some(chosen) => chosen.sides.iter().flat_map(|side| side.plates.clone()).collect(),
            None => self
                .job
                .unit
                .packs
                .iter()
                .flat_map(|pack| pack.order.clone())
                .collect(),
        }
    }

    /// A unit at the bench with the friction that its proofs have shown, by how much it is that of the unit file.
    pub fn as_shown(&self, bench: Bench) -> (Bench, f64) {
        let KnownBy::Proofs(known) = self.friction_known() else {
            return (bench, 1.0);
        };
        let times = known.breakaway.friction.value() / self.job.unit.friction.turning.value();
        match bench.rubbing(times) {
            Ok(rubbing) => (rubbing, times),
            Err(_) => (bench, 1.0),
        }
    }

    /// The friction of the plates while turning, for what the ramps do.
    pub fn plates_rub(&self) -> Ratio {
        match self.friction_known() {
            KnownBy::Proofs(known) => known.plates.friction,
            KnownBy::Trade(_) => self.job.unit.friction.turning,
        }
    }

    /// The friction while turning with which a breakaway is reckoned, and by what it is known, in words.
    pub fn friction_in_words(&self) -> String {
        let friction = self.job.unit.friction;
        let sure = match friction.doubt.value() > 0.0 {
            true => "",
            false => ", taken as sure, as it says",
        };
        let file = format!("{} of the unit file{sure}", friction.turning.value());
        match self.friction_known() {
            KnownBy::Trade("") => file,
            KnownBy::Trade(why) => format!("{file}, because {why}"),
            KnownBy::Proofs(known) => format!(
                "{} {}",
                crate::quantity::significant(known.breakaway.friction.value(), 3),
                by_proofs(
                    known.proofs,
                    self.job.last.as_ref().map_or(&[], |last| &last.proofs)
                )
            ),
        }
    }
}

impl Whole<'_> {
    /// What the proof of this build has shown, and whether new springs came in with it; `None` where it has shown no friction, or
    /// the build is not finished. The number of its springs is for who knows the builds before.
    pub(super) fn proof_left(&self, id: &str) -> Option<(LeftProof, bool)> {
        self.state.finished.as_deref()?;
        let unit = &self.job.unit;
        unit.spring.as_ref()?;
        let round = self.state.last_round();
        let derived = self.derived.at(round);
        let friction = derived.shown_friction(round)?;
        let proof = derived.proof(round)?;
        let still = derived.by_first_movement(proof.held);
        let of_kind = proof.readings.iter().filter(|reading| reading.way.still == still);
        let read: Vec<f64> = of_kind.map(|reading| reading.corrected.newton_metres()).collect();
        let scatter = Summary::of(&read).ok()?;
        let scatter = scatter
            .standard_error
            .map_or(ONE_READING, |error| error / scatter.mean);
        let force = derived.forces(derived.closings(round)?).ok()?[0].newtons();
        // the press is told by itself, because other proofs share it
        let chain = derived.chains().first().copied()?;
        let press = derived.press_uncertainty(chain);
        let by_force = derived.force_uncertainty(round)?.newtons() / force;
        let by_height = (by_force.powi(2) - press.unwrap_or(0.0).powi(2)).max(0.0).sqrt();
        let (wrench, _) = self.state.last_word(Field::WRENCH)?;
        let (relative, _) = derived.wrench()?;
        let drag = proof.doubts.iter().find(|(name, _)| *name == "drag");
        let by_drag =
            drag.map_or(0.0, |(_, part)| *part) / proof.by_file.map_or(f64::INFINITY, Torque::newton_metres);
        let chosen = self.state.chosen(round)?;
        let left = LeftProof {
            build: id.to_string(),
            shown: ShownFriction {
                friction,
                own: Ratio::new(scatter.hypot(by_height).hypot(by_drag)).ok()?,
                wrench: wrench.to_string(),
                calibration: Ratio::new((relative / 2.0).hypot(derived.adaptor_standard())).ok()?,
                springs: 0,
                press: press.map(Ratio::new).transpose().ok()?,
            },
            oil: self.state.text(Field::OIL).unwrap_or("").to_string(),
            oil_at: derived.oil_at(round),
            plates: chosen.sides.iter().flat_map(|side| side.plates.clone()).collect(),
        };
        let anew = derived
            .springs()
            .iter()
            .any(|item| derived.spring_is_new(item.map(Side::word)));
        Some((left, anew))
    }
}
