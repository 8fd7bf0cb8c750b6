//! The formula behind a question, with the numbers put in, beside what a question shows on its own account.

use super::definition::Field;
use super::facts::Facts;
use super::figures::bare;
use super::way::held_words;
use crate::mechanics::{Held, Side, SpringPlace};
use crate::metrology::reading_uncertainty;
use crate::quantity::{Length, significant};
use crate::record::Slot;
use crate::workshop::{Aim, Depth, Measures};

impl Facts<'_> {
    /// The formula with its numbers, one a line; nothing where a question rests on none.
    pub(super) fn formula_of(&self, slot: &Slot, field: Field) -> Vec<String> {
        match field {
            Field::FoundOrder => self.faces_formula(slot),
            Field::Micrometer | Field::DepthGauge => self.gauges_formula(field == Field::Micrometer),
            Field::PlateFlatness | Field::SpareFlatness => {
                let most = self.job.unit.limits.flatness.show(self.state.units);
                vec![
                    "a feeler goes under or it does not: the limit is held as it stands".to_string(),
                    format!("inside when the feeler ≤ {most}"),
                ]
            }
            Field::Fate => self.fate_formula(slot.item.as_deref().unwrap_or("")),
            Field::SpringHeight => self.spring_formula(),
            Field::RingHeight | Field::CaseDepth => self.listed_chain(slot),
            Field::Wrench => self.wrench_formula(),
            Field::Drag => self.drag_formula(),
            Field::ProofDecision => self.friction_formula(slot.round),
            Field::FoundBreakaway => self.listed_breakaway().into_iter().collect(),
            Field::MicrometerZero => self.zero_formula(),
            Field::DepthGaugeZero => self.depth_zero_formula(),
            Field::PressedHeight => self.pressed_formula(slot),
            _ => Vec::new(),
        }
    }

    /// The faces of the order that the unit file lists.
    fn faces_formula(&self, slot: &Slot) -> Vec<String> {
        let side = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() == Some(side.word()));
        let Some(plan) = side.and_then(|side| self.job.unit.packs.get(side.index())) else {
            return Vec::new();
        };
        let facts = self;
        let keys: Vec<_> = plan.order.iter().filter_map(|name| facts.keyed(name)).collect();
        vec![
            "faces = neighbours that are keyed to different parts, the ring counted as the last".to_string(),
            format!(
                "{} plates in the listed order: {} faces; without a dead one there would be no two of a kind side by side",
                keys.len(),
                self.job.unit.faces_of(&keys, !plan.shims.is_empty())
            ),
        ]
    }

    /// What the unit should show by its file: listed faces, target, friction.
    fn listed_breakaway(&self) -> Option<String> {
        let unit = &self.job.unit;
        let Aim::Preload { target, .. } = unit.aim else {
            return None;
        };
        let turning = unit.friction.turning;
        let facts = self;
        let read = facts.expected_of(&facts.listed_bench()?)?;
        Some(format!(
            "by the unit file: {} and {} faces, {target}, μ {} turning, r {}: {} {}",
            unit.packs[0].faces,
            unit.packs[1].faces,
            turning.value(),
            unit.friction.radius.show(self.state.units),
            read.show(self.state.units),
            held_words(unit.proof.held)
        ))
    }

    /// How often a zero error counts in one chain.
    fn zero_formula(&self) -> Vec<String> {
        let unit = &self.job.unit;
        let links = |side: Side| unit.packs[side.index()].order.len() + 1;
        let count = if unit.is_through() {
            links(Side::Left) + links(Side::Right)
        } else {
            links(Side::Left)
        };
        let one = Length::from_um(10);
        vec![format!(
            "{count} plates and rings are in one chain: {} that is not taken off makes {}",
            one.show(self.state.units),
            (one * count as i64).show(self.state.units)
        )]
    }

    /// What a zero error of the depth gauge leaves in one chain: it is on the depth, and on each spring's height, from
    /// which the wanted room follows.
    fn depth_zero_formula(&self) -> Vec<String> {
        let units = self.state.units;
        let stacks = match self.job.unit.spring {
            Some(_) => self.stacks_a_chain(),
            None => 0,
        };
        let one = Length::from_um(10);
        vec![
            "room − wanted room = zero error · (N − 1), with N spring stacks in the chain".to_string(),
            format!(
                "{} that is not taken off: · ({stacks} − 1) = {}",
                one.show(units),
                (one * (stacks - 1)).show(units)
            ),
        ]
    }

    fn pressed_formula(&self, slot: &Slot) -> Vec<String> {
        let units = self.state.units;
        let side = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() == Some(side.word()));
        let (Some(side), Some((micrometer, _)), Some((gauge, _))) =
            (side, self.micrometer(), self.depth_gauge())
        else {
            return Vec::new();
        };
        let count = self.found()[side.index()].plates.len() as i64;
        vec![format!(
            "N = {count}: {} of calibration in the sum, {} in the pack pressed together",
            (micrometer.calibration * count).show(units),
            gauge.calibration.show(units)
        )]
    }

    /// What one reading of each instrument is worth.
    fn gauges_formula(&self, thickness: bool) -> Vec<String> {
        let units = self.state.units;
        let mut lines = vec!["u² = (step/√12)² + s² + u_cal²  for one reading".to_string()];
        for one in &self.job.instruments {
            let gauge = match (&one.measures, thickness) {
                (Measures::Thickness(gauge), true) | (Measures::Depth(gauge), false) => gauge,
                _ => continue,
            };
            let instrument = super::measured::as_instrument(&one.id, gauge);
            if let Ok(budget) = reading_uncertainty(&instrument, 1) {
                lines.push(format!(
                    "{}: step {}, s {}, u_cal {}: u = {} µm",
                    one.id,
                    bare(gauge.resolution, units),
                    bare(gauge.repeatability, units),
                    instrument.calibration.show(units),
                    significant(budget.combined().um(), 2)
                ));
            }
        }
        lines
    }

    fn fate_formula(&self, name: &str) -> Vec<String> {
        let facts = self;
        let plate = facts.plate(name, true);
        let limits = &self.job.unit.limits;
        let units = self.state.units;
        let (Some(figures), Some(p)) = (plate.figures, plate.probability) else {
            return Vec::new();
        };
        vec![
            "P(least ≥ limit) = Φ((least − limit)/u)".to_string(),
            format!(
                "least {}: P = {:.0} %; inside from {:.0} %, outside under {:.0} %",
                figures.least.show(units),
                100.0 * p,
                100.0 * limits.confidence,
                100.0 * (1.0 - limits.confidence)
            ),
        ]
    }

    /// What a spring that has settled costs at the height for the target.
    fn spring_formula(&self) -> Vec<String> {
        let (Some(spring), Aim::Preload { target, .. }) = (&self.job.unit.spring, self.job.unit.aim) else {
            return Vec::new();
        };
        let units = self.state.units;
        let Some(height) = spring.stack.heights_for_force(target).first().copied() else {
            return Vec::new();
        };
        let mut lines = vec![
            "F at the installed height follows from the travel: free height − installed height".to_string(),
        ];
        let settled = Length::from_um(100);
        // a spring that is lower by so much travels less by so much
        if let Ok(lost) = spring.stack.loss_for_wear(height, settled) {
            lines.push(format!(
                "{} − {} = {} for {target}; {} lower and the same room: about {lost} less",
                spring.stack.free_height().show(units),
                height.show(units),
                (spring.stack.free_height() - height).show(units),
                settled.show(units)
            ));
        }
        lines
    }

    /// The chain with the figures of the unit file.
    fn listed_chain(&self, slot: &Slot) -> Vec<String> {
        let unit = &self.job.unit;
        let units = self.state.units;
        let chain = match unit.depth {
            Depth::Through(_) => None,
            Depth::PerSide(_) => Side::BOTH
                .into_iter()
                .find(|side| slot.item.as_deref() == Some(side.word())),
        };
        let depth = match (unit.depth, chain) {
            (Depth::Through(depth), _) => depth,
            (Depth::PerSide(depths), Some(side)) => depths[side.index()],
            (Depth::PerSide(_), None) => return Vec::new(),
        };
        let sides: Vec<Side> = Side::BOTH
            .into_iter()
            .filter(|side| chain.is_none_or(|one| one == *side))
            .collect();
        let rings: Length = sides.iter().map(|side| unit.rings[side.index()]).sum();
        let packs = || sides.iter().map(|side| &unit.packs[side.index()]);
        let plates: Length = packs()
            .flat_map(|pack| &pack.order)
            .filter_map(|name| unit.plate(name))
            .map(|plate| plate.nominal)
            .sum();
        let shims: Length = packs().flat_map(|pack| &pack.shims).copied().sum();
        vec![
            "what is left = depth − rings − Σ plates − Σ shims".to_string(),
            format!(
                "by the unit file: {} − {} − {} − {} = {}",
                bare(depth, units),
                bare(rings, units),
                bare(plates, units),
                bare(shims, units),
                (depth - rings - plates - shims).show(units)
            ),
        ]
    }

    /// What the wrench's certificate makes of the middle of the window.
    fn wrench_formula(&self) -> Vec<String> {
        let proof = &self.job.unit.proof;
        let middle = (proof.least.newton_metres() + proof.most.newton_metres()) / 2.0;
        let mut lines =
            vec!["u = U/2 · M, with U the certificate's share of the reading (k = 2)".to_string()];
        for one in &self.job.instruments {
            if let Measures::Torque { relative, .. } = one.measures {
                lines.push(format!(
                    "{}: U = {:.1} %; at {middle:.0} N·m u = {} N·m",
                    one.id,
                    100.0 * relative.value(),
                    significant(relative.value() / 2.0 * middle, 2)
                ));
            }
        }
        lines
    }

    fn drag_formula(&self) -> Vec<String> {
        let held = self.held().unwrap_or(self.job.unit.proof.held);
        let between =
            self.job.unit.spring.as_ref().map(|spring| spring.place) == Some(SpringPlace::BetweenRings);
        let (formula, each) = match (held, between) {
            (Held::Case, false) => ("M = M_left + M_right + 2 d, d of each output", "2 N·m"),
            (Held::Case, true) => (
                "M = (M_left + M_right + 2 d)/(1 − S), d of each output",
                "2/(1 − S) N·m",
            ),
            (Held::Output, false) => (
                "M = (M_left + M_right + D)/2, D of all that turns with the case",
                "0.5 N·m",
            ),
            (Held::Output, true) => (
                "M = (M_left + M_right + (1 + S) D)/2, D of all that turns with the case",
                "(1 + S)/2 N·m",
            ),
        };
        vec![
            format!("{formula}  ({})", held_words(held)),
            format!("each 1 N·m of it is {each} of the reading"),
        ]
    }

    /// The friction that the proof shows, by what it follows from.
    fn friction_formula(&self, round: u32) -> Vec<String> {
        let facts = self.at(round);
        let units = self.state.units;
        let numbers = (|| {
            let proof = facts.proof(round)?;
            let still = facts.by_first_movement(proof.held);
            let (read, word) = match still {
                true => (
                    proof.readings.iter().find(|reading| reading.way.still)?.corrected,
                    "first movement",
                ),
                false => (proof.turning?, "turning, mean"),
            };
            let chosen = self.state.chosen(round)?;
            let forces = facts.forces(facts.closings(round)?).ok()?;
            let mu = self.shown_friction(round)?;
            Some(format!(
                "{} {word}, drag {:.1} N·m, {} and {} faces under {} and {}, r {}: {} turning",
                read.show(units),
                facts.drag()?.newton_metres(),
                facts.faces(&chosen.sides[0]),
                facts.faces(&chosen.sides[1]),
                forces[0],
                forces[1],
                self.job.unit.friction.radius.show(units),
                significant(mu.value(), 2)
            ))
        })();
        let without = || {
            "F = 0 N in a unit that is set to a gap: what is read is drag, and shows no friction".to_string()
        };
        let sprung = self.job.unit.spring.is_some();
        let formula = match self.held().unwrap_or(self.job.unit.proof.held) {
            Held::Output => "μ with which M_left + M_right = 2 M − D, M_pack = n μ F r_f",
            Held::Case if self.by_first_movement(Held::Case) => {
                "μ = M/(2 n r_f F0 + M S/μ) for two packs alike, of first movement; after it the ring hangs on its ramp"
            }
            Held::Case => "μ with which M_left + M_right = M − 2 d, M_pack = n μ F r_f",
        };
        std::iter::once(formula.to_string())
            .chain(numbers.or_else(|| (!sprung).then(without)))
            .collect()
    }
}
