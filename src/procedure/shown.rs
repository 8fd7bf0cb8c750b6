//! What proofs have shown of this unit's friction: those of its earlier builds, and that of this one for the next.

use super::derived::Derived;
use super::field::Field;
use super::whole::Whole;
use crate::mechanics::friction::{KnownFriction, ShownFriction, TradeFriction, known_friction};
use crate::mechanics::{Bench, Side};
use crate::metrology::Summary;
use crate::quantity::Ratio;
use crate::workshop::left_proofs::LeftProof;

/// So much of a pack must be the plates that were proved, and so much of it may be glazed, for proofs to count on (*common
/// practice, no source*).
const STILL_THE_SAME: f64 = 0.5;
/// The standard uncertainty of a single reading, as a share: dial and hand (*common practice, no source*).
const ONE_READING: f64 = 0.02;

/// What the friction is known by.
pub(super) enum KnownBy {
    /// Nothing but the unit's file, with why earlier proofs do not count; empty where there are none.
    Trade(&'static str),
    /// Proofs of this unit.
    Proofs(KnownFriction),
}

impl Derived<'_> {
    /// What is known of the friction now. Proofs count back to where other oil was in, or mostly other plates, or a glazed pack.
    pub fn friction_known(&self) -> KnownBy {
        let unit = &self.job.unit;
        let Some(spring) = unit.spring.as_ref().filter(|_| self.state.counts_doubts()) else {
            return KnownBy::Trade("");
        };
        let all = self.job.last.as_ref().map_or(&[][..], |last| &last.proofs);
        let Some(newest) = all.last() else {
            return KnownBy::Trade("");
        };
        let plates = self.plates_now();
        if let Some(why) = self.begins_anew(newest, &plates) {
            return KnownBy::Trade(why);
        }
        let back = all.iter().rev();
        let mut proofs: Vec<ShownFriction> = back
            .take_while(|proof| same_oil(&proof.oil, &newest.oil) && mostly(&proof.plates, &newest.plates))
            .map(|proof| proof.shown.clone())
            .collect();
        proofs.reverse();
        let anew = self
            .springs()
            .iter()
            .any(|item| self.spring_is_new(item.map(Side::word)));
        let set = newest.shown.springs + u32::from(anew);
        let known = (|| {
            let trade = TradeFriction {
                friction: unit.friction.turning,
                doubt: unit.friction.doubt,
                springs: spring.tolerance.times(),
                radius: unit.friction.radius_between().ok()?,
            };
            known_friction(&trade, &proofs, set).ok()
        })();
        known.map_or(KnownBy::Trade(""), KnownBy::Proofs)
    }

    fn begins_anew(&self, newest: &LeftProof, plates: &[String]) -> Option<&'static str> {
        let glazed = plates.iter().filter(|name| {
            let look = self.state.word(Field::PLATE_LOOK, 1, Some(name));
            look.is_some_and(|(look, _)| look == "glazed")
        });
        let oil = self.state.text(Field::OIL).unwrap_or("");
        if !same_oil(oil, &newest.oil) {
            Some("another oil is in since the proofs")
        } else if !mostly(plates, &newest.plates) {
            Some("most plates are others since the proofs")
        } else if glazed.count() as f64 > STILL_THE_SAME * plates.len() as f64 {
            Some("most plates are glazed")
        } else {
            None
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
                by_proofs(known.proofs)
            ),
        }
    }
}

/// How many proofs, in words.
pub(super) fn by_proofs(count: usize) -> String {
    match count {
        1 => "by one proof of this unit".to_string(),
        count => format!("by {count} proofs of this unit"),
    }
}

/// Whether two oils are one, as far as somebody said.
fn same_oil(one: &str, other: &str) -> bool {
    let plain = |oil: &str| {
        oil.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase()
    };
    one.is_empty() || other.is_empty() || plain(one) == plain(other)
}

/// Whether enough of some plates are among others.
fn mostly(plates: &[String], others: &[String]) -> bool {
    let known = plates.iter().filter(|name| others.contains(name)).count();
    known as f64 >= STILL_THE_SAME * plates.len() as f64
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
        let by_height = derived.force_uncertainty(round)?.newtons() / force;
        let (wrench, _) = self.state.last_word(Field::WRENCH)?;
        let (relative, _) = derived.wrench()?;
        let chosen = self.state.chosen(round)?;
        let left = LeftProof {
            build: id.to_string(),
            shown: ShownFriction {
                friction,
                own: Ratio::new(scatter.hypot(by_height)).ok()?,
                wrench: wrench.to_string(),
                calibration: Ratio::new(relative / 2.0).ok()?,
                springs: 0,
            },
            oil: self.state.text(Field::OIL).unwrap_or("").to_string(),
            plates: chosen.sides.iter().flat_map(|side| side.plates.clone()).collect(),
        };
        let anew = derived
            .springs()
            .iter()
            .any(|item| derived.spring_is_new(item.map(Side::word)));
        Some((left, anew))
    }
}
