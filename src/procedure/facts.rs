use super::definition::Field;
use super::session::Job;
use super::state::State;
use crate::choice::{Candidate, First, Layout, Need, Request, ShimSize, Window};
use crate::mechanics::breakaway::reading;
use crate::mechanics::pack::{active_faces, order_for_faces, pack_torque};
use crate::mechanics::wrench::true_torque;
use crate::mechanics::{Held, Keying, MechanicsError, SpringPlace, SpringStack};
use crate::metrology::{
    Agreement, Budget, Instrument, LengthSummary, Measured, Summary, Verdict, compare, judge, judge_length,
    measure, reading_uncertainty,
};
use crate::quantity::{Angle, Force, Length, Torque};
use crate::record::{Aim, Chosen, ChosenSide, Depth, Gauge, Measures, Side, Value};

/// Everything that follows from the answers so far. It is worked out anew from the state whenever it is wanted, so a
/// corrected answer can not leave a stale figure behind.
pub(super) struct Facts<'a> {
    pub job: &'a Job,
    pub state: &'a State,
}

/// What is asked of the choice beyond the unit file: what comes first, and what is fixed by hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wish {
    /// What comes first in the ranking.
    pub first: First,
    /// Plates that must go in on a side.
    pub keep: Vec<(String, Side)>,
    /// Shim thicknesses that are not to be used.
    pub without_shims: Vec<Length>,
    /// Plates that are not to be used.
    pub without_plates: Vec<String>,
    /// How many choices are wanted.
    pub alternatives: usize,
}

impl Default for Wish {
    fn default() -> Wish {
        Wish {
            first: First::Fewest,
            keep: Vec::new(),
            without_shims: Vec::new(),
            without_plates: Vec::new(),
            alternatives: 10,
        }
    }
}

/// The words for what may come first.
pub(super) const FIRST: [(First, &str); 4] = [
    (First::Fewest, "fewest"),
    (First::Closest, "closest"),
    (First::Surest, "surest"),
    (First::Reuse, "reuse"),
];

/// What is known of a plate.
pub(super) struct PlateFacts {
    pub measured: Option<Measured>,
    pub figures: Option<LengthSummary>,
    pub readings: Vec<Length>,
    pub flatness: Option<Length>,
    pub look: Option<String>,
    pub verdict: Option<Verdict>,
    pub probability: Option<f64>,
    pub reason: String,
    pub rejected: bool,
}

/// One round of proof.
pub(super) struct ProofFacts {
    pub held: Held,
    pub readings: Vec<ProofReading>,
    /// At first movement, as it would be read in the way that the unit file names.
    pub still: Option<Torque>,
    pub turning: Option<Torque>,
    /// The turning torque as it would be read in the way that the unit file names.
    pub by_file: Option<Torque>,
    pub uncertainty: Option<Torque>,
    pub probability: Option<f64>,
    pub verdict: Option<Verdict>,
}

/// One breakaway reading.
pub(super) struct ProofReading {
    pub way: Way,
    pub position: u32,
    pub read: Torque,
    pub corrected: Torque,
}

/// Which way a breakaway is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Way {
    pub drive: bool,
    pub still: bool,
}

impl Way {
    pub const ALL: [(Way, &'static str); 4] = [
        (
            Way {
                drive: true,
                still: true,
            },
            "drive-still",
        ),
        (
            Way {
                drive: true,
                still: false,
            },
            "drive-turning",
        ),
        (
            Way {
                drive: false,
                still: true,
            },
            "coast-still",
        ),
        (
            Way {
                drive: false,
                still: false,
            },
            "coast-turning",
        ),
    ];

    pub fn words(self) -> &'static str {
        match (self.drive, self.still) {
            (true, true) => "drive way round, first movement",
            (true, false) => "drive way round, turning steadily",
            (false, true) => "coast way round, first movement",
            (false, false) => "coast way round, turning steadily",
        }
    }
}

/// How a plate may look, and whether that throws it out.
pub(super) const LOOKS: &[(&str, &str, bool)] = &[
    ("good", "even, no damage", false),
    ("glazed", "shiny, hard face", false),
    ("burnt", "blue or brown from heat", true),
    ("torn", "a tab or spline torn, bent or stepped", true),
    ("cracked", "a crack anywhere", true),
];

impl Facts<'_> {
    /// The chains of the unit: `None` for the one of a through unit.
    pub fn chains(&self) -> Vec<Option<Side>> {
        match self.job.unit.depth {
            Depth::Through(_) => vec![None],
            Depth::PerSide(_) => vec![Some(Side::Left), Some(Side::Right)],
        }
    }

    /// Which spring stacks there are: one a side, or one between the rings.
    pub fn springs(&self) -> Vec<Option<Side>> {
        match self.job.unit.spring.as_ref().map(|spring| spring.place) {
            None => Vec::new(),
            Some(SpringPlace::BehindPack) => vec![Some(Side::Left), Some(Side::Right)],
            Some(SpringPlace::BetweenRings) => vec![None],
        }
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
        Some((as_instrument(&instrument.id, gauge), zero_error))
    }

    /// The micrometer with its zero error.
    pub fn micrometer(&self) -> Option<(Instrument, Length)> {
        self.gauge(Field::Micrometer, Field::MicrometerZero)
    }

    /// The depth gauge with its zero error.
    pub fn depth_gauge(&self) -> Option<(Instrument, Length)> {
        self.gauge(Field::DepthGauge, Field::DepthGaugeZero)
    }

    /// The torque wrench: expanded uncertainty as a share, length.
    pub fn wrench(&self) -> Option<(f64, Length)> {
        let (id, _) = self.state.word(Field::Wrench, 1, None)?;
        match self
            .job
            .instruments
            .iter()
            .find(|instrument| instrument.id == id)?
            .measures
        {
            Measures::Torque { relative, length } => Some((relative.value(), length)),
            _ => None,
        }
    }

    /// The extension in line with the wrench; none where the procedure does not ask.
    pub fn extension(&self) -> Length {
        self.state
            .lengths(Field::WrenchExtension, 1, None)
            .first()
            .copied()
            .unwrap_or(Length::ZERO)
    }

    fn by_micrometer(&self, readings: &[Length]) -> Option<(Measured, LengthSummary)> {
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

    fn by_depth_gauge(&self, readings: &[Length]) -> Option<(Measured, LengthSummary)> {
        let (instrument, zero) = self.depth_gauge()?;
        self.measured(&instrument, zero, readings)
    }

    /// Whether the look of a plate throws it out.
    pub fn look_rejects(&self, name: &str) -> bool {
        self.state
            .word(Field::PlateLook, 1, Some(name))
            .is_some_and(|(look, _)| LOOKS.iter().any(|(word, _, rejects)| *word == look && *rejects))
    }

    /// What is known of a plate; `again` takes the readings of a second measurement in.
    pub fn plate(&self, name: &str, again: bool) -> PlateFacts {
        let spare = self.job.unit.plate(name).is_none();
        let (thickness, flat) = if spare {
            (Field::SpareThickness, Field::SpareFlatness)
        } else {
            (Field::PlateThickness, Field::PlateFlatness)
        };
        let mut readings = self.state.lengths(thickness, 1, Some(name));
        if again {
            readings.extend(self.state.lengths(Field::Remeasured, 1, Some(name)));
        }
        let flatness = self.state.lengths(flat, 1, Some(name)).first().copied();
        let look = self
            .state
            .word(Field::PlateLook, 1, Some(name))
            .map(|(word, _)| word.to_string());
        let known = self.by_micrometer(&readings).filter(|_| !readings.is_empty());
        let zero = self.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
        let mut facts = PlateFacts {
            measured: known.as_ref().map(|(measured, _)| measured.clone()),
            figures: known.map(|(_, figures)| figures),
            readings: readings.iter().map(|reading| *reading - zero).collect(),
            flatness,
            look,
            verdict: None,
            probability: None,
            reason: String::new(),
            rejected: false,
        };
        self.judge_plate(name, &mut facts);
        facts
    }

    fn judge_plate(&self, name: &str, facts: &mut PlateFacts) {
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
        if let (Some(figures), Some((instrument, _))) = (facts.figures, self.micrometer())
            && let Ok(single) = reading_uncertainty(&instrument, 1)
        {
            let u = single.combined();
            if let Ok((p, verdict)) =
                judge_length(figures.least, u, Some(least_limit), None, limits.confidence)
            {
                facts.probability = Some(p);
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
            if figures.count > 1
                && let Ok((_, verdict)) = judge_length(
                    figures.spread,
                    spread_budget.combined(),
                    None,
                    Some(limits.spread),
                    limits.confidence,
                )
            {
                if verdict != Verdict::Inside {
                    reasons.push(format!("spread {} against {}", figures.spread, limits.spread));
                }
                take(verdict);
            }
        }
        if let Some(flatness) = facts.flatness {
            // a feeler goes under or it does not: the limit is held as it stands
            if flatness > limits.flatness {
                reasons.push(format!("out of flat by {flatness}, at most {}", limits.flatness));
                take(Verdict::Outside);
            }
        }
        if self.look_rejects(name) {
            reasons.push(format!("looks {}", facts.look.as_deref().unwrap_or("")));
            take(Verdict::Outside);
        }
        facts.rejected = worst == Some(Verdict::Outside);
        if let Some((word, why)) = self.state.word(Field::Fate, 1, Some(name)) {
            facts.rejected = word == "reject";
            reasons.push(if why.is_empty() {
                format!("{word} by hand")
            } else {
                format!("{word} by hand: {why}")
            });
        }
        facts.verdict = worst;
        facts.reason = reasons.join("; ");
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
    pub fn doubtful(&self, again: bool) -> Vec<&str> {
        self.job
            .unit
            .plates
            .iter()
            .filter(|plate| self.plate(&plate.name, again).verdict == Some(Verdict::TooCloseToCall))
            .map(|plate| plate.name.as_str())
            .collect()
    }

    fn ring(&self, side: Side) -> Option<Measured> {
        let readings = self.state.lengths(Field::RingHeight, 1, Some(side.word()));
        self.by_micrometer(&readings).map(|(measured, _)| measured)
    }

    fn depth(&self, chain: Option<Side>) -> Option<Measured> {
        let readings = self.state.lengths(Field::CaseDepth, 1, chain.map(Side::word));
        self.by_depth_gauge(&readings).map(|(measured, _)| measured)
    }

    /// The depth of a chain less its ring or rings.
    pub fn room(&self, chain: Option<Side>) -> Option<Measured> {
        let depth = self.depth(chain)?;
        let mut parts = vec![(depth, 1)];
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                parts.push((self.ring(side)?, -1));
            }
        }
        Some(Measured::sum(&parts))
    }

    /// A shim by its mark: it is one reading of the micrometer, by whoever marked it.
    fn shim(&self, thickness: Length) -> Option<Measured> {
        let (instrument, _) = self.micrometer()?;
        Some(Measured {
            value: thickness,
            budget: reading_uncertainty(&instrument, 1).ok()?,
        })
    }

    /// What plates and shims leave of a chain.
    pub fn closing(&self, sides: &[ChosenSide; 2], chain: Option<Side>) -> Option<Measured> {
        let mut parts = vec![(self.room(chain)?, 1)];
        for side in Side::BOTH {
            if chain.is_some_and(|one| one != side) {
                continue;
            }
            let pack = &sides[side.index()];
            for name in &pack.plates {
                parts.push((self.plate(name, true).measured?, -1));
            }
            for nm in &pack.shims_nanometres {
                parts.push((self.shim(Length::from_nm(*nm))?, -1));
            }
        }
        Some(Measured::sum(&parts))
    }

    /// The packs as they were found.
    pub fn found(&self) -> [ChosenSide; 2] {
        Side::BOTH.map(|side| {
            let plan = &self.job.unit.packs[side.index()];
            let order = self.state.answer(Field::FoundOrder, 1, Some(side.word()), None);
            let plates = match order.map(|answer| &answer.value) {
                Some(Value::Names(names)) => names.clone(),
                _ => plan.order.clone(),
            };
            ChosenSide {
                plates,
                shims_nanometres: plan.shims.iter().map(|shim| shim.nm()).collect(),
            }
        })
    }

    /// Sum of a side's plates as found, against its height pressed together.
    pub fn pressed(&self, side: Side) -> Option<(Agreement, Measured, Measured)> {
        let readings = self.state.lengths(Field::PressedHeight, 1, Some(side.word()));
        let (pressed, _) = self.by_depth_gauge(&readings).filter(|_| !readings.is_empty())?;
        let parts: Option<Vec<_>> = self.found()[side.index()]
            .plates
            .iter()
            .map(|name| self.plate(name, false).measured.map(|measured| (measured, 1)))
            .collect();
        let sum = Measured::sum(&parts?);
        let agreement = compare(sum.value, &sum.budget, pressed.value, &pressed.budget).ok()?;
        Some((agreement, sum, pressed))
    }

    /// The spring stack as its measured free height makes it; both sides' mean where one depth spans both.
    pub fn stack(&self, chain: Option<Side>) -> Option<SpringStack> {
        let spring = self.job.unit.spring.as_ref()?;
        let items: Vec<Option<Side>> = self
            .springs()
            .into_iter()
            .filter(|item| chain.is_none() || *item == chain)
            .collect();
        let (instrument_zero, mut total, mut count) =
            (self.depth_gauge().map(|(_, zero)| zero), Length::ZERO, 0);
        for item in items {
            for reading in self.state.lengths(Field::SpringHeight, 1, item.map(Side::word)) {
                total += reading - instrument_zero.unwrap_or(Length::ZERO);
                count += 1;
            }
        }
        if count == 0 {
            return Some(spring.stack);
        }
        spring.settled(Length::from_nm(total.nm() / count)).ok()
    }

    /// How many spring stacks share one chain.
    pub fn stacks_a_chain(&self) -> i64 {
        match (&self.job.unit.spring, self.job.unit.is_through()) {
            (Some(spring), true) if spring.place == SpringPlace::BehindPack => 2,
            _ => 1,
        }
    }

    /// Which closing a chain aims at: the gap, or the height of its springs for the wanted force.
    pub fn window(&self, chain: Option<Side>) -> Result<Window, String> {
        match self.job.unit.aim {
            Aim::Gap { least, target, most } => Ok(Window { least, target, most }),
            Aim::Preload { least, target, most } => {
                let stack = self
                    .stack(chain)
                    .ok_or("a spring with this free height can not be computed")?;
                let height = |force: Force, what: &str| {
                    stack.heights_for_force(force).first().copied().ok_or_else(|| {
                        format!(
                            "the springs as measured do not reach the {what} preload of {force} before they are solid: \
                             other springs are wanted"
                        )
                    })
                };
                let times = self.stacks_a_chain();
                // to whole micrometres, the ends inwards
                Ok(Window {
                    least: rounded(height(most, "greatest")? * times, MICROMETRE, Rounding::Up),
                    target: rounded(height(target, "target")? * times, MICROMETRE, Rounding::Nearest),
                    most: rounded(height(least, "least")? * times, MICROMETRE, Rounding::Down),
                })
            }
        }
    }

    /// The question that is put to the choice.
    pub fn request(&self, wish: &Wish) -> Result<Request, String> {
        let unit = &self.job.unit;
        let missing = |what: &str| format!("{what} has not been measured");
        let rings: Vec<Length> = Side::BOTH
            .iter()
            .map(|side| self.ring(*side).map(|ring| ring.value))
            .collect::<Option<_>>()
            .ok_or_else(|| missing("a ring"))?;
        let layout = match unit.depth {
            Depth::Through(_) => Layout::Through {
                room: self.room(None).ok_or_else(|| missing("the depth"))?.value,
                offsets: [rings[0], rings[1]],
                window: self.window(None)?,
                match_within: unit.sides_match,
            },
            Depth::PerSide(_) => {
                let room = |side| {
                    self.room(Some(side))
                        .map(|room| room.value)
                        .ok_or_else(|| missing("the depth"))
                };
                Layout::PerSide {
                    rooms: [room(Side::Left)?, room(Side::Right)?],
                    windows: [self.window(Some(Side::Left))?, self.window(Some(Side::Right))?],
                    match_within: Some(unit.sides_match),
                }
            }
        };
        let mut candidates: [Vec<Candidate>; 2] = [Vec::new(), Vec::new()];
        for name in self.all_plates() {
            let facts = self.plate(name, true);
            let Some(measured) = facts.measured.filter(|_| !facts.rejected) else {
                continue;
            };
            if wish.without_plates.iter().any(|known| known == name) {
                continue;
            }
            let index = usize::from(self.keyed(name) == Some(Keying::Case));
            candidates[index].push(Candidate {
                name: name.to_string(),
                thickness: measured.value,
                spare: unit.plate(name).is_none(),
                fixed: wish
                    .keep
                    .iter()
                    .find(|(known, _)| known == name)
                    .map(|(_, side)| *side),
            });
        }
        let needs = Side::BOTH.map(|side| {
            let order = &unit.packs[side.index()].order;
            let gear = order
                .iter()
                .filter(|name| self.keyed(name) == Some(Keying::Gear))
                .count();
            Need {
                gear,
                case: order.len() - gear,
            }
        });
        let [gear, case] = candidates;
        Ok(Request {
            layout,
            needs,
            gear,
            case,
            shims: self.shims_in_steps(wish),
            least_shims: 0,
            most_shims: unit.most_shims,
            guard: Length::ZERO,
            uncertainty: self.typical_uncertainty().unwrap_or(0.0),
            first: wish.first,
            alternatives: wish.alternatives,
        })
    }

    /// The shims that can be had: the drawer's and those that came out of the unit.
    fn shims(&self) -> Vec<ShimSize> {
        let mut shims: Vec<ShimSize> = self
            .job
            .drawer
            .shims
            .iter()
            .map(|(thickness, count)| ShimSize {
                thickness: *thickness,
                count: *count,
            })
            .collect();
        for thickness in self.job.unit.packs.iter().flat_map(|pack| &pack.shims) {
            match shims.iter_mut().find(|shim| shim.thickness == *thickness) {
                Some(shim) => shim.count += 1,
                None => shims.push(ShimSize {
                    thickness: *thickness,
                    count: 1,
                }),
            }
        }
        shims
    }

    /// The shims as the choice takes them: whole micrometres, which an inch shim is not.
    fn shims_in_steps(&self, wish: &Wish) -> Vec<ShimSize> {
        let mut shims: Vec<ShimSize> = Vec::new();
        for shim in self.shims() {
            if wish.without_shims.contains(&shim.thickness) {
                continue;
            }
            let thickness = in_steps(shim.thickness);
            match shims.iter_mut().find(|known| known.thickness == thickness) {
                Some(known) => known.count += shim.count,
                None => shims.push(ShimSize {
                    thickness,
                    count: shim.count,
                }),
            }
        }
        shims
    }

    /// The real thickness of a shim that the choice took in whole micrometres.
    fn shim_of_step(&self, step: Length) -> Length {
        self.shims()
            .iter()
            .map(|shim| shim.thickness)
            .find(|thickness| in_steps(*thickness) == step)
            .unwrap_or(step)
    }

    /// Standard uncertainty, in micrometres, of the closing of the packs as found: every choice has as many plates.
    fn typical_uncertainty(&self) -> Option<f64> {
        let chain = self.chains().first().copied()?;
        let mut parts = vec![(self.room(chain)?, 1)];
        let (instrument, _) = self.micrometer()?;
        let plate = Measured {
            value: Length::ZERO,
            budget: reading_uncertainty(&instrument, 3).ok()?,
        };
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                let count = self.job.unit.packs[side.index()].order.len();
                parts.extend(std::iter::repeat_n((plate.clone(), -1), count));
            }
        }
        Some(Measured::sum(&parts).budget.combined().um())
    }

    /// Puts the plates of one side in an order that has the wanted faces. The order as found is kept where it has.
    pub fn arrange(&self, side: Side, gear: &[String], case: &[String]) -> Option<Vec<String>> {
        let plan = &self.job.unit.packs[side.index()];
        let wall = self.job.unit.friction.wall_is_face;
        let as_listed: Vec<Keying> = plan.order.iter().filter_map(|name| self.keyed(name)).collect();
        let keys = if active_faces(&as_listed, wall) == plan.faces {
            as_listed
        } else {
            order_for_faces(gear.len() as u32, case.len() as u32, plan.faces, wall)?
        };
        // a plate stays as near its old place as can be, so that run-in faces stay together
        let sorted = |names: &[String]| {
            let mut names = names.to_vec();
            names.sort_by_key(|name| {
                plan.order
                    .iter()
                    .position(|known| known == name)
                    .unwrap_or(usize::MAX)
            });
            names.into_iter()
        };
        let (mut gear, mut case) = (sorted(gear), sorted(case));
        keys.iter()
            .map(|key| match key {
                Keying::Gear => gear.next(),
                Keying::Case => case.next(),
            })
            .collect()
    }

    /// The faces that rub in a pack.
    pub fn faces(&self, side: &ChosenSide) -> u32 {
        let keys: Vec<Keying> = side.plates.iter().filter_map(|name| self.keyed(name)).collect();
        // a shim or spring at the wall end lies between the wall and the first plate
        let spring_there = self
            .job
            .unit
            .spring
            .as_ref()
            .is_some_and(|spring| spring.place == SpringPlace::BehindPack);
        let wall = self.job.unit.friction.wall_is_face && side.shims_nanometres.is_empty() && !spring_there;
        active_faces(&keys, wall)
    }

    /// What was measured at the dry build.
    pub fn dry(&self, round: u32, chain: Option<Side>) -> Option<Measured> {
        let readings = self
            .state
            .lengths(Field::DryClosing, round, chain.map(Side::word));
        self.by_depth_gauge(&readings)
            .filter(|_| !readings.is_empty())
            .map(|(measured, _)| measured)
    }

    /// Prediction against dry build.
    pub fn dry_agreement(&self, round: u32, chain: Option<Side>) -> Option<(Agreement, Measured, Measured)> {
        let measured = self.dry(round, chain)?;
        let predicted = self.closing(&self.state.chosen(round)?.sides, chain)?;
        let agreement = compare(
            predicted.value,
            &predicted.budget,
            measured.value,
            &measured.budget,
        )
        .ok()?;
        Some((agreement, predicted, measured))
    }

    /// The chains of a round whose dry build does not agree with the prediction.
    pub fn dry_disagreements(&self, round: u32) -> Vec<Option<Side>> {
        self.chains()
            .into_iter()
            .filter(|chain| {
                self.dry_agreement(round, *chain)
                    .is_some_and(|(agreement, _, _)| !agreement.agrees)
            })
            .collect()
    }

    /// The closing that counts: measured at the dry build, else predicted.
    pub fn best_closing(&self, round: u32, chain: Option<Side>) -> Option<Measured> {
        self.dry(round, chain)
            .or_else(|| self.closing(&self.state.chosen(round)?.sides, chain))
    }

    /// Height of one spring stack, from the closing of its chain.
    pub fn spring_height(&self, closing: Length) -> Length {
        Length::from_nm(closing.nm() / self.stacks_a_chain())
    }

    /// Force on each pack at closings left and right (the same for a through unit); 0 N without springs.
    pub fn forces(&self, closings: [Length; 2]) -> Result<[Force; 2], MechanicsError> {
        let mut forces = [Force::from_newtons(0.0)?; 2];
        if self.job.unit.spring.is_some() {
            for side in Side::BOTH {
                let chain = (!self.job.unit.is_through()).then_some(side);
                if let Some(stack) = self.stack(chain) {
                    forces[side.index()] =
                        stack.force_at_height(self.spring_height(closings[side.index()]))?;
                }
            }
        }
        Ok(forces)
    }

    /// Closings left and right that count for a round.
    pub fn closings(&self, round: u32) -> Option<[Length; 2]> {
        let of = |side| {
            let chain = (!self.job.unit.is_through()).then_some(side);
            self.best_closing(round, chain).map(|closing| closing.value)
        };
        Some([of(Side::Left)?, of(Side::Right)?])
    }

    /// Closings as found.
    pub fn found_closings(&self) -> Option<[Length; 2]> {
        let found = self.found();
        let of = |side| {
            let chain = (!self.job.unit.is_through()).then_some(side);
            self.closing(&found, chain).map(|closing| closing.value)
        };
        Some([of(Side::Left)?, of(Side::Right)?])
    }

    /// The force that pushes the cover off, from the unit file and its target, before anything has been measured.
    pub fn cover_force(&self) -> Option<(Force, Force)> {
        let Aim::Preload { target, most, .. } = self.job.unit.aim else {
            return None;
        };
        Some((target, most))
    }

    /// What a side's pack holds at a force, with the friction of the unit file.
    pub fn pack_torque(
        &self,
        side: &ChosenSide,
        force: Force,
        turning: bool,
    ) -> Result<Torque, MechanicsError> {
        let friction = &self.job.unit.friction;
        let mu = if turning { friction.turning } else { friction.still };
        pack_torque(self.faces(side), mu, force, friction.radius)
    }

    /// The breakaway that a build should show while turning, read in a way of holding, without drag.
    pub fn expected(
        &self,
        sides: &[ChosenSide; 2],
        closings: [Length; 2],
        held: Held,
        turning: bool,
    ) -> Option<Torque> {
        let forces = self.forces(closings).ok()?;
        let left = self.pack_torque(&sides[0], forces[0], turning).ok()?;
        let right = self.pack_torque(&sides[1], forces[1], turning).ok()?;
        let none = Torque::from_newton_metres(0.0).ok()?;
        reading(held, left, right, none).ok()
    }

    /// How the unit is held for the proof.
    pub fn held(&self) -> Option<Held> {
        match self.state.word(Field::Held, 1, None)?.0 {
            "case" => Some(Held::Case),
            "output" => Some(Held::Output),
            _ => None,
        }
    }

    /// Drag that is no part of the breakaway. It is read with the same wrench, and so through the same extension.
    pub fn drag(&self) -> f64 {
        self.state
            .torque(Field::Drag, 1, None, None)
            .map_or(0.0, |read| self.corrected(read).newton_metres())
    }

    /// A wrench reading with its extension taken into account.
    pub fn corrected(&self, read: Torque) -> Torque {
        let straight = Angle::from_degrees(0.0);
        match (self.wrench(), straight) {
            (Some((_, length)), Ok(straight)) => {
                true_torque(read, length, self.extension(), straight).unwrap_or(read)
            }
            _ => read,
        }
    }

    /// A round of proof, as far as it is read.
    pub fn proof(&self, round: u32) -> Option<ProofFacts> {
        let held = self.held()?;
        let mut readings = Vec::new();
        for (way, item) in Way::ALL {
            for (n, answer) in self
                .state
                .points(Field::Breakaway, round, Some(item))
                .iter()
                .enumerate()
            {
                if let Value::Torque(value) = answer.value
                    && let Ok(read) = Torque::from_newton_metres(value)
                {
                    readings.push(ProofReading {
                        way,
                        position: n as u32 + 1,
                        read,
                        corrected: self.corrected(read),
                    });
                }
            }
        }
        let mean = |still: bool| {
            let values: Vec<f64> = readings
                .iter()
                .filter(|reading| reading.way.still == still)
                .map(|reading| reading.corrected.newton_metres())
                .collect();
            Summary::of(&values).ok()
        };
        let turning = mean(false);
        let proof = &self.job.unit.proof;
        let to_file = |torque: f64| {
            let sum = match held {
                Held::Case => torque - self.drag(),
                Held::Output => 2.0 * (torque - self.drag()),
            };
            match proof.held {
                Held::Case => sum,
                Held::Output => sum / 2.0,
            }
        };
        let by_file = turning.as_ref().map(|summary| to_file(summary.mean));
        let scale = match (held, proof.held) {
            (Held::Output, Held::Case) => 2.0,
            (Held::Case, Held::Output) => 0.5,
            _ => 1.0,
        };
        let uncertainty = turning.as_ref().map(|summary| {
            let own = summary.standard_error.unwrap_or(0.0);
            let wrench = self.wrench().map_or(0.0, |(relative, _)| relative / 2.0) * summary.mean;
            scale * own.hypot(wrench)
        });
        let judged = by_file.zip(uncertainty).and_then(|(value, u)| {
            let limits = crate::metrology::Limits::new(
                Some(proof.least.newton_metres()),
                Some(proof.most.newton_metres()),
            )
            .ok()?;
            judge(value, u, &limits, self.job.unit.limits.confidence).ok()
        });
        let torque = |value: Option<f64>| value.and_then(|value| Torque::from_newton_metres(value).ok());
        Some(ProofFacts {
            held,
            still: torque(mean(true).map(|summary| to_file(summary.mean))),
            turning: torque(turning.as_ref().map(|summary| summary.mean)),
            by_file: torque(by_file),
            uncertainty: torque(uncertainty),
            probability: judged.map(|(p, _)| p),
            verdict: judged.map(|(_, verdict)| verdict),
            readings,
        })
    }

    /// A choice as it goes into the record, from names without an order.
    pub fn chosen(&self, sides: &[crate::choice::SideChoice; 2], how: String) -> Option<Chosen> {
        let side = |side: Side| {
            let choice = &sides[side.index()];
            Some(ChosenSide {
                plates: self.arrange(side, &choice.gear, &choice.case)?,
                shims_nanometres: choice
                    .shims
                    .iter()
                    .map(|shim| self.shim_of_step(*shim).nm())
                    .collect(),
            })
        };
        Some(Chosen {
            sides: [side(Side::Left)?, side(Side::Right)?],
            how,
            reason: String::new(),
        })
    }
}

/// The step that the choice works in, where no reading is finer.
const MICROMETRE: Length = Length::from_um(1);

enum Rounding {
    Up,
    Down,
    Nearest,
}

/// A shim's thickness as the choice takes it.
pub(super) fn in_steps(thickness: Length) -> Length {
    rounded(thickness, MICROMETRE, Rounding::Nearest)
}

/// A length as a whole number of steps.
fn rounded(length: Length, step: Length, rounding: Rounding) -> Length {
    let (nm, step) = (length.nm(), step.nm().max(1));
    let below = nm.div_euclid(step);
    let past = nm.rem_euclid(step);
    let steps = match rounding {
        Rounding::Up => below + i64::from(past > 0),
        Rounding::Down => below,
        Rounding::Nearest => below + i64::from(2 * past >= step),
    };
    Length::from_nm(steps * step)
}

/// What an instrument for lengths is known by.
pub(super) fn gauge_of(measures: &Measures) -> Option<&Gauge> {
    match measures {
        Measures::Thickness(gauge) | Measures::Depth(gauge) => Some(gauge),
        Measures::Torque { .. } => None,
    }
}

fn as_instrument(id: &str, gauge: &Gauge) -> Instrument {
    Instrument {
        id: id.to_string(),
        resolution: gauge.resolution,
        // the certificate gives the expanded uncertainty with k = 2
        calibration: Length::from_nm(gauge.calibration.nm() / 2),
        repeatability: gauge.repeatability,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_length_is_never_moved_by_more_than_half_a_step(nm in -50_000_000_i64..50_000_000, step in 1_i64..5_000) {
            let (length, step) = (Length::from_nm(nm), Length::from_nm(step));
            let nearest = rounded(length, step, Rounding::Nearest);
            prop_assert!(2 * nearest.apart(length).nm() <= step.nm());
            prop_assert!(rounded(length, step, Rounding::Down) <= length);
            prop_assert!(rounded(length, step, Rounding::Up) >= length);
            prop_assert_eq!(nearest.nm() % step.nm(), 0);
        }
    }
}
