//! The figures that stand in the code of a sheet.

use super::field::Field;
use super::whole::Whole;
use crate::mechanics::Side;
use crate::quantity::RampAngle;
use crate::record::OnPaper;

impl Whole<'_> {
    /// What ties a printed sheet to its record: how far the record goes, and the figures that matter, each in one
    /// fixed unit of measure and with one number of decimals. No simulation is among them.
    pub(super) fn on_paper(&self) -> OnPaper {
        OnPaper {
            lines: self.state.record,
            log: self.state.log.clone(),
            figures: self.paper_figures(),
            seals: Vec::new(),
        }
    }

    fn paper_figures(&self) -> Vec<(String, String)> {
        let derived = self.derived;
        let unit = &self.job.unit;
        let round = self.round;
        let mut figures = Vec::new();
        let mut put = |key: &str, value: String| figures.push((key.to_string(), value));
        put("DRIVE", angle(unit.ramp.drive));
        put("COAST", angle(unit.ramp.coast));
        let Some(chosen) = self.state.chosen(round) else {
            return figures;
        };
        let faces = Side::BOTH.map(|side| derived.faces(&chosen.sides[side.index()]));
        put("FACES", format!("{}/{}", faces[0], faces[1]));
        for chain in derived.chains() {
            if let Some(closing) = derived.best_closing(round, chain) {
                let side = chain.map_or("", |side| match side {
                    Side::Left => "L",
                    Side::Right => "R",
                });
                let what = if unit.spring.is_some() { "ROOM" } else { "GAP" };
                put(&format!("{what}{side}"), format!("{:.3}MM", closing.value.mm()));
            }
        }
        if let Some((force, breakaway)) = self.preload_figures(round) {
            put("FORCE", format!("{:.0}N", force.newtons()));
            if let Some(breakaway) = breakaway {
                put("BREAK", format!("{:.1}NM", breakaway.newton_metres()));
            }
        }
        if let Some(proof) = derived.proof(round) {
            if let Some(still) = proof.still {
                put("STILL", format!("{:.1}NM", still.newton_metres()));
            }
            if let Some(turning) = proof.by_file {
                put("TURN", format!("{:.1}NM", turning.newton_metres()));
            }
        }
        if let Some((held, _)) = self.state.last_word(Field::HELD) {
            put("HELD", held.to_ascii_uppercase());
        }
        figures
    }
}

/// Degrees with what they are counted from: the ring's face, as everywhere else.
fn angle(angle: RampAngle) -> String {
    let degrees = angle.degrees_from_ring_face();
    if degrees >= 90.0 {
        "NONE".to_string()
    } else {
        format!("{degrees:.1}RING")
    }
}
