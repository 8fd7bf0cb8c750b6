//! What proofs have shown of a unit's friction, as a build keeps it beside what was left in its unit.

use crate::document::{Section, quoted};
use crate::mechanics::friction::ShownFriction;
use crate::quantity::{Ratio, Temperature};
use std::fmt::Write as _;

/// The most proofs that are kept: the newest.
pub const MOST_PROOFS: usize = 50;

/// What the proof of one build has shown.
#[derive(Clone, PartialEq, Debug)]
pub struct LeftProof {
    /// The build's name in the book.
    pub build: String,
    /// The friction, its doubt, wrench and springs.
    pub shown: ShownFriction,
    /// The oil that was in; empty where nobody said.
    pub oil: String,
    /// How warm it was; `None` where nobody said.
    pub oil_at: Option<Temperature>,
    /// The plates that were in.
    pub plates: Vec<String>,
}

/// Reads the proofs of a file.
pub(super) fn read_proofs(top: &Section<'_>) -> Vec<LeftProof> {
    let mut proofs = Vec::new();
    for section in top.sections_up_to("proof", MOST_PROOFS) {
        let build = section.text("build");
        let friction = section.quantity_where::<Ratio>("friction", "more than 0 and at most 1");
        let own = section.quantity_where::<Ratio>("own", "at least 0 and at most 1");
        let wrench = section.text("wrench");
        let calibration = section.quantity_where::<Ratio>("calibration", "at least 0 and at most 1");
        let springs = section.count("springs", 0..1_000_000);
        let press = section.quantity_maybe_where::<Ratio>("press", "at least 0 and at most 1");
        let oil = section.text_maybe("oil");
        let oil_at = section.quantity_maybe::<Temperature>("oil_at");
        let plates = section.texts("plates").into_iter().map(|(name, _)| name);
        let plates = plates.collect();
        section.finish();
        proofs.extend((|| {
            Some(LeftProof {
                build: build?,
                shown: ShownFriction {
                    friction: friction?,
                    own: own?,
                    wrench: wrench?,
                    calibration: calibration?,
                    springs: springs?,
                    press,
                },
                oil: oil.unwrap_or_default(),
                oil_at,
                plates,
            })
        })());
    }
    proofs
}

/// The proofs as [`read_proofs`] reads them back.
pub(super) fn proofs_text(proofs: &[LeftProof]) -> String {
    let mut out = String::new();
    for proof in proofs {
        let shown = &proof.shown;
        let plates: Vec<String> = proof.plates.iter().map(|name| quoted(name)).collect();
        // writing to a text can not fail
        let _ = writeln!(
            out,
            "\n[[proof]]\nbuild = {}\nfriction = {:.6}\nown = {:.6}\nwrench = {}\ncalibration = {:.6}\nsprings = {}",
            quoted(&proof.build),
            shown.friction.value(),
            shown.own.value(),
            quoted(&shown.wrench),
            shown.calibration.value(),
            shown.springs
        );
        if let Some(press) = shown.press {
            let _ = writeln!(out, "press = {:.6}", press.value());
        }
        if !proof.oil.is_empty() {
            let _ = writeln!(out, "oil = {}", quoted(&proof.oil));
        }
        if let Some(oil_at) = proof.oil_at {
            let _ = writeln!(out, "oil_at = \"{:.1} °C\"", oil_at.celsius());
        }
        let _ = writeln!(out, "plates = [{}]", plates.join(", "));
    }
    out
}
