//! Plates and gauges as they were measured.

use super::derived::Derived;
use super::field::Field;
use super::judged_plate::PlateFacts;
use super::looks::plate_goes;
use super::rounding::{MICROMETRE, Rounding, rounded};
use crate::mechanics::{Keying, Side};
use crate::metrology::{
    Agreement, Budget, Instrument, LengthSummary, Measured, Verdict, compare, judge_length, measure,
    reading_uncertainty,
};
use crate::quantity::{Length, Torque};
use crate::workshop::{Gauge, Measures};

/// How far shims may be from their marks before they are other ones.
pub(super) const OTHER_SHIMS: Length = Length::from_um(30);

/// What an instrument for lengths is known by.
pub(super) fn gauge_of(measures: &Measures) -> Option<&Gauge> {
    match measures {
        Measures::Thickness(gauge) | Measures::Depth(gauge) => Some(gauge),
        Measures::Torque { .. } | Measures::Force(_) => None,
    }
}

/// An instrument by its file and its certificate. Its zero is one reading: it has the step and the repeatability of one, and what
/// the certificate doubts is in the readings themselves.
pub(super) fn as_instrument(id: &str, gauge: &Gauge) -> Instrument {
    let step = gauge.resolution.um() / 12_f64.sqrt();
    let zero = step.hypot(gauge.repeatability.um());
    Instrument {
        id: id.to_string(),
        resolution: gauge.resolution,
        // the certificate gives the expanded uncertainty with k = 2
        calibration: Length::from_nm(gauge.calibration.nm() / 2),
        repeatability: gauge.repeatability,
        zero: Length::from_nm((zero * 1e3).round() as i64),
    }
}

impl Derived<'_> {
    /// The day of the newest entry, as `2026-11-25`.
    pub fn today(&self) -> String {
        let state = self.state;
        let newest = state
            .trail
            .iter()
            .filter_map(|slot| state.answers.get(slot).map(|answer| answer.at.as_str()))
            .max()
            .unwrap_or(&state.started);
        newest.chars().take(10).collect()
    }

    fn gauge(&self, field: Field, zero: Field) -> Option<(Instrument, Length)> {
        let (id, _) = self.state.word(field, 1, None)?;
        let instrument = self
            .job
            .instruments
            .iter()
            .find(|instrument| instrument.id == id)?;
        let gauge = gauge_of(&instrument.measures)?;
        let shown = self.state.lengths(zero, 1, None).first().copied();
        let zero_error = shown.map_or(Length::ZERO, |shown| shown - gauge.standard);
        let mut known = as_instrument(&instrument.id, gauge);
        if !self.state.counts_doubts() {
            known.zero = Length::ZERO;
        }
        Some((known, zero_error))
    }

    /// The micrometer with its zero error.
    pub fn micrometer(&self) -> Option<(Instrument, Length)> {
        self.gauge(Field::MICROMETER, Field::MICROMETER_ZERO)
    }

    /// The depth gauge with its zero error.
    pub fn depth_gauge(&self) -> Option<(Instrument, Length)> {
        self.gauge(Field::DEPTH_GAUGE, Field::DEPTH_GAUGE_ZERO)
    }

    /// The torque wrench: expanded uncertainty as a share, length.
    pub fn wrench(&self) -> Option<(f64, Length)> {
        let round = self.state.standing(Field::WRENCH, self.until);
        let (id, _) = self.state.word(Field::WRENCH, round, None)?;
        match self
            .job
            .instruments
            .iter()
            .find(|instrument| instrument.id == id)?
            .measures
        {
            Measures::Torque { relative, length, .. } => Some((relative.value(), length)),
            _ => None,
        }
    }

    /// The least and the most that the wrench reads, as far as its file says.
    pub fn wrench_range(&self) -> [Option<Torque>; 2] {
        let round = self.state.standing(Field::WRENCH, self.until);
        let known = self
            .state
            .word(Field::WRENCH, round, None)
            .and_then(|(id, _)| self.job.instruments.iter().find(|instrument| instrument.id == id));
        match known.map(|instrument| &instrument.measures) {
            Some(Measures::Torque { reads, .. }) => *reads,
            _ => [None; 2],
        }
    }

    /// The extension in line with the wrench; none where the procedure does not ask.
    pub fn extension(&self) -> Length {
        let round = self.state.standing(Field::WRENCH_EXTENSION, self.until);
        self.state
            .lengths(Field::WRENCH_EXTENSION, round, None)
            .first()
            .copied()
            .unwrap_or(Length::ZERO)
    }

    pub fn by_micrometer(&self, readings: &[Length]) -> Option<(Measured, LengthSummary)> {
        let (instrument, zero) = self.micrometer()?;
        self.measured(&instrument, zero, readings)
    }

    /// The mean of some readings, to the whole micrometre, or to the instrument's step where that is finer: the
    /// choice works on whole steps, and digits past the reading's own say nothing.
    fn measured(
        &self,
        instrument: &Instrument,
        zero: Length,
        readings: &[Length],
    ) -> Option<(Measured, LengthSummary)> {
        let (measured, figures) = measure(instrument, zero, readings).ok()?;
        let step = instrument.resolution.min(MICROMETRE);
        let value = rounded(measured.value, step, Rounding::Nearest);
        Some((Measured { value, ..measured }, figures))
    }

    pub fn by_depth_gauge(&self, readings: &[Length]) -> Option<(Measured, LengthSummary)> {
        let (instrument, zero) = self.depth_gauge()?;
        self.measured(&instrument, zero, readings)
    }

    /// Whether the look of a plate throws it out.
    pub fn look_rejects(&self, name: &str) -> bool {
        self.state
            .word(Field::PLATE_LOOK, 1, Some(name))
            .is_some_and(|(look, _)| plate_goes(look))
    }

    /// What is known of a plate; `again` takes the readings of a second measurement in.
    pub fn plate(&self, name: &str, again: bool) -> PlateFacts {
        let key = (name.to_string(), again);
        if let Some(known) = self.known.borrow().get(&key) {
            return known.clone();
        }
        let derived = self.judged(name, again);
        self.known.borrow_mut().insert(key, derived.clone());
        derived
    }

    fn judged(&self, name: &str, again: bool) -> PlateFacts {
        let spare = self.job.unit.plate(name).is_none();
        let (thickness, flat) = if spare {
            (Field::SPARE_THICKNESS, Field::SPARE_FLATNESS)
        } else {
            (Field::PLATE_THICKNESS, Field::PLATE_FLATNESS)
        };
        let mut readings = self.state.lengths(thickness, 1, Some(name));
        if again {
            readings.extend(self.state.lengths(Field::REMEASURED, 1, Some(name)));
        }
        let flatness = self.state.lengths(flat, 1, Some(name)).first().copied();
        let look = self
            .state
            .word(Field::PLATE_LOOK, 1, Some(name))
            .map(|(word, _)| word.to_string());
        let known = self.by_micrometer(&readings).filter(|_| !readings.is_empty());
        let zero = self.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
        let mut derived = PlateFacts {
            measured: known.as_ref().map(|(measured, _)| measured.clone()),
            figures: known.map(|(_, figures)| figures),
            readings: readings.iter().map(|reading| *reading - zero).collect(),
            flatness,
            look,
            verdict: None,
            probability: None,
            thickness: None,
            reason: String::new(),
            rejected: false,
        };
        self.judge_plate(name, &mut derived);
        derived
    }

    fn judge_plate(&self, name: &str, derived: &mut PlateFacts) {
        let limits = &self.job.unit.limits;
        let keyed = self.keyed(name);
        let least_limit = match keyed {
            Some(Keying::Case) => limits.case_least,
            _ => limits.gear_least,
        };
        let mut reasons = Vec::new();
        let mut worst: Option<Verdict> = None;
        let mut take = |verdict: Verdict| {
            let rank = |verdict| match verdict {
                Verdict::Inside => 0,
                Verdict::TooCloseToCall => 1,
                Verdict::Outside => 2,
            };
            if worst.is_none_or(|known| rank(known) < rank(verdict)) {
                worst = Some(verdict);
            }
        };
        if let (Some(figures), Some((instrument, _))) = (derived.figures, self.micrometer())
            && let Ok(single) = reading_uncertainty(&instrument, 1)
        {
            let u = single.combined();
            if let Ok((p, verdict)) =
                judge_length(figures.least, u, Some(least_limit), None, limits.confidence)
            {
                derived.probability = Some(p);
                derived.thickness = Some(verdict);
                if verdict != Verdict::Inside {
                    reasons.push(format!("least {} against {least_limit}", figures.least));
                }
                take(verdict);
            }
            // the calibration is common to both readings of a spread and falls out of their difference
            let own: Vec<_> = single
                .components
                .iter()
                .filter(|component| component.shared.is_none())
                .cloned()
                .collect();
            let spread_budget =
                crate::metrology::stack(&[(Budget::new(own.clone()), 1), (Budget::new(own), 1)]);
            if let Some(spread) = derived.spread()
                && let Ok((_, verdict)) = judge_length(
                    spread,
                    spread_budget.combined(),
                    None,
                    Some(limits.spread),
                    limits.confidence,
                )
            {
                if verdict != Verdict::Inside {
                    let over = if spread > limits.spread {
                        "is over"
                    } else {
                        "against"
                    };
                    reasons.push(format!("spread {spread} {over} {}", limits.spread));
                }
                take(verdict);
            }
        }
        if let Some(flatness) = derived.flatness {
            // a feeler goes under or it does not: the limit is held as it stands
            if flatness > limits.flatness {
                reasons.push(format!("out of flat by {flatness}, at most {}", limits.flatness));
                take(Verdict::Outside);
            }
        }
        if self.look_rejects(name) {
            reasons.push(format!("looks {}", derived.look.as_deref().unwrap_or("")));
            take(Verdict::Outside);
        }
        derived.rejected = worst == Some(Verdict::Outside);
        if let Some((word, why)) = self.state.word(Field::FATE, 1, Some(name)) {
            derived.rejected = word == "reject";
            reasons.push(if why.is_empty() {
                format!("{word} by hand")
            } else {
                format!("{word} by hand: {why}")
            });
        }
        derived.verdict = worst;
        derived.reason = reasons.join("; ");
    }

    /// What a plate of the unit or the drawer is keyed to.
    pub fn keyed(&self, name: &str) -> Option<Keying> {
        self.job
            .unit
            .plate(name)
            .or_else(|| self.job.drawer.spares.iter().find(|plate| plate.name == name))
            .map(|plate| plate.keyed)
    }

    /// Names of all plates: the unit's, then the drawer's.
    pub fn all_plates(&self) -> Vec<&str> {
        let unit = self.job.unit.plates.iter().map(|plate| plate.name.as_str());
        unit.chain(self.job.drawer.spares.iter().map(|plate| plate.name.as_str()))
            .collect()
    }

    /// Plates of the unit that are too close to call; with the second measurement taken in where `again`.
    /// The plates that are measured again: those that are too close to call, and where an apprentice says so first, only those
    /// that they called so.
    pub fn measured_again(&self) -> Vec<&str> {
        let mut names = self.doubtful(false);
        if self.asks_own_verdict() {
            names.retain(|name| self.own_verdict(name) == Some(Verdict::TooCloseToCall));
        }
        names
    }

    pub fn doubtful(&self, again: bool) -> Vec<&str> {
        self.job
            .unit
            .plates
            .iter()
            .filter(|plate| self.plate(&plate.name, again).verdict == Some(Verdict::TooCloseToCall))
            .map(|plate| plate.name.as_str())
            .collect()
    }

    pub fn ring(&self, side: Side) -> Option<Measured> {
        let readings = self.state.lengths(Field::RING_HEIGHT, 1, Some(side.word()));
        self.by_micrometer(&readings).map(|(measured, _)| measured)
    }

    pub fn depth(&self, chain: Option<Side>) -> Option<Measured> {
        let readings = self.state.lengths(Field::CASE_DEPTH, 1, chain.map(Side::word));
        self.by_depth_gauge(&readings).map(|(measured, _)| measured)
    }

    /// A shim by its mark: it is one reading of the micrometer, by whoever marked it.
    pub fn shim(&self, thickness: Length) -> Option<Measured> {
        let (instrument, _) = self.micrometer()?;
        Some(Measured {
            value: thickness,
            budget: reading_uncertainty(&instrument, 1).ok()?,
        })
    }

    /// The shims of a side as they were found: those of the list, or, where what was measured is something else, that.
    pub fn shims_found(&self, side: Side) -> Vec<i64> {
        let listed: Vec<i64> = self.job.unit.packs[side.index()]
            .shims
            .iter()
            .map(|shim| shim.nm())
            .collect();
        let Some(measured) = self.shims_read(Field::SHIMS_FOUND, 1, side) else {
            return listed;
        };
        let total = Length::from_nm(listed.iter().sum());
        match measured.value {
            value if value.apart(total) <= OTHER_SHIMS => listed,
            value if value < OTHER_SHIMS => Vec::new(),
            value => vec![value.nm()],
        }
    }

    fn shims_read(&self, field: Field, round: u32, side: Side) -> Option<Measured> {
        let readings = self.state.lengths(field, round, Some(side.word()));
        self.by_micrometer(&readings)
            .filter(|_| !readings.is_empty())
            .map(|(measured, _)| measured)
    }

    /// The shims of a side as they were measured together: those that were chosen last, else those that were found there.
    pub fn shims_measured(&self, side: Side, shims: &[i64]) -> Option<Measured> {
        if shims.is_empty() {
            return None;
        }
        let rounds = (1..=self.until).take_while(|round| self.state.chosen(*round).is_some());
        let chosen = rounds.filter_map(|round| {
            let chosen = &self.state.chosen(round)?.sides[side.index()];
            let measured = self.shims_read(Field::SHIMS_IN, round, side)?;
            (chosen.shims_nanometres == shims).then_some(measured)
        });
        chosen.last().or_else(|| {
            let found = self.shims_read(Field::SHIMS_FOUND, 1, side)?;
            (self.shims_found(side) == shims).then_some(found)
        })
    }

    /// Whether each pack is one part: the procedure takes its height pressed together, and measures no single plate.
    pub fn packs_are_whole(&self) -> bool {
        self.job.asks(Field::PRESSED_HEIGHT) && !self.job.asks(Field::PLATE_THICKNESS)
    }

    /// The height of a pack that was pressed together.
    pub fn whole_pack(&self, side: Side) -> Option<Measured> {
        let readings = self.state.lengths(Field::PRESSED_HEIGHT, 1, Some(side.word()));
        self.by_depth_gauge(&readings)
            .filter(|_| !readings.is_empty())
            .map(|(measured, _)| measured)
    }

    /// Sum of a side's plates as found, against its height pressed together.
    pub fn pressed(&self, side: Side) -> Option<(Agreement, Measured, Measured)> {
        let pressed = self.whole_pack(side)?;
        let parts: Option<Vec<_>> = self.found()[side.index()]
            .plates
            .iter()
            .map(|name| self.plate(name, false).measured.map(|measured| (measured, 1)))
            .collect();
        let sum = Measured::sum(&parts?);
        let agreement = compare(sum.value, &sum.budget, pressed.value, &pressed.budget).ok()?;
        Some((agreement, sum, pressed))
    }
}
