//! What springs, friction and readings leave in doubt of preload and breakaway: propagated at once, and simulated.

use super::derived::Derived;
use super::reading_mode::held_words;
use crate::history::doubts::Doubt;
use crate::mechanics::prediction::{
    DISCS, FREE_HEIGHT, FRICTION, FrictionDoubt, GAUGE, Predicted, Prediction, RADIUS, ROOM, ReadForce,
    SPRING, StackDoubt, THICKNESS, TabsDoubt,
};
use crate::mechanics::spring::nested_force;
use crate::mechanics::{Held, Side, SpringStack};
use crate::metrology::{
    Budget, Draw, Limits, Measured, Simulation, propagate, reading_uncertainty, simulate,
};
use crate::quantity::{Force, Length, Ratio, Torque, significant};
use crate::record::interval::ShouldRead;
use crate::record::{Interval, Simulated};
use crate::workshop::shown_friction::KnownBy;
use crate::workshop::{Aim, Proof, Spring};

/// How many draws a simulation has: enough for the last digit that is shown, and few enough not to be waited for.
const DRAWS: usize = 100_000;
/// The seed, the same for ever: a record gives the same numbers each time it is opened.
const SEED: u64 = 0x5348_494D;

/// What preload and breakaway scatter by.
pub(super) struct Spread {
    pub force: Simulated<Force>,
    /// `None` where some of the draws would wedge in the way of the unit file's window.
    pub breakaway: Option<Simulated<Torque>>,
}

impl Derived<'_> {
    /// Standard uncertainty of the force on the left pack by propagation of the uncertainties of installed and free
    /// height.
    ///
    /// The free height does not act by the spring rate: a disc spring that stands taller is also a steeper cone, and
    /// its force at the same height grows by more than rate × height. Its sensitivity is the slope of the force over
    /// ten micrometres each way.
    pub fn force_uncertainty(&self, round: u32) -> Option<Force> {
        let chain = self.chains().first().copied()?;
        self.force_uncertainty_in(&self.best_closing(round, chain)?, chain)
    }

    /// The same as found, by how the parts added up.
    pub fn found_force_uncertainty(&self) -> Option<Force> {
        let chain = self.chains().first().copied()?;
        self.force_uncertainty_in(&self.closing(&self.found(), chain)?, chain)
    }

    /// By what the force as left is in doubt, in newtons, source by source: [`Derived::force_uncertainty`] is the root of the sum of
    /// their squares.
    pub fn force_doubts(&self, round: u32) -> Option<Vec<Doubt>> {
        let chain = self.chains().first().copied()?;
        self.force_doubts_in(&self.best_closing(round, chain)?, chain)
    }

    /// The same as found.
    pub fn found_force_doubts(&self) -> Option<Vec<Doubt>> {
        let chain = self.chains().first().copied()?;
        self.force_doubts_in(&self.closing(&self.found(), chain)?, chain)
    }

    fn force_doubts_in(&self, closing: &Measured, chain: Option<Side>) -> Option<Vec<Doubt>> {
        let stack = self.stack(chain)?;
        let height = self.spring_height(closing.value);
        let [by_height, by_free] = self.force_by_heights(&stack, height, chain)?;
        let free = self
            .depth_gauge()
            .and_then(|(gauge, _)| reading_uncertainty(&gauge, 1).ok());
        let mut free = scaled(&free.unwrap_or_default(), by_free);
        if !self.state.counts_shared_and_nested() {
            for component in &mut free.components {
                component.name += ", free height";
            }
        }
        // a spring that has more room presses less
        let room = scaled(&closing.budget, -by_height / self.stacks_a_chain() as f64);
        let heights = crate::metrology::stack(&[(room, 1), (free, 1)]);
        let mut doubts = Doubt::of_budget(&heights, 1.0);
        doubts.extend(self.press_doubts(chain, stack.force_at_height(height).ok()?));
        if let Some(discs) = self.disc_thickness(chain) {
            let by_thickness = stack.thickness_rate_at(height).ok()?.newtons_per_mm();
            match self.micrometer().filter(|_| discs.here) {
                Some((gauge, _)) => {
                    let budget = reading_uncertainty(&gauge, 1).ok()?;
                    let of_discs = Doubt::of_budget(&budget, by_thickness).into_iter();
                    doubts.extend(of_discs.map(|one| Doubt {
                        source: format!("{}, {THICKNESS}", one.source),
                        ..one
                    }));
                }
                None => doubts.push(Doubt::own(THICKNESS, by_thickness * discs.standard)),
            }
        }
        Some(doubts)
    }

    /// How far the force of a stack at a height goes for a millimetre of that height, and of its free height.
    fn force_by_heights(&self, stack: &SpringStack, height: Length, chain: Option<Side>) -> Option<[f64; 2]> {
        let by_height = stack.rate_at_height(height).ok()?.newtons_per_mm();
        let law = self.stack_by_law(chain)?;
        let step = Length::from_um(10);
        let at = |free: Length| {
            let settled = self.pressed_as_read(law.with_free_height(free).ok()?, chain);
            Some(settled.force_at_height(height).ok()?.newtons())
        };
        let free = stack.free_height();
        let by_free = (at(free + step)? - at(free - step)?) / (2.0 * step.mm());
        Some([by_height, by_free])
    }

    fn force_uncertainty_in(&self, closing: &Measured, chain: Option<Side>) -> Option<Force> {
        let stack = self.stack(chain)?;
        let height = self.spring_height(closing.value);
        let [by_height, by_free] = self.force_by_heights(&stack, height, chain)?;
        let (own, [height_off, free_off]) = self.doubts_of_heights(closing);
        // a spring that has more room presses less
        let shared = by_free * free_off - by_height * height_off;
        let by_chain = (by_height * own[0]).hypot(by_free * own[1]).hypot(shared);
        let by_press =
            self.press_uncertainty(chain).unwrap_or(0.0) * stack.force_at_height(height).ok()?.newtons();
        let by_thickness = match self.disc_thickness(chain) {
            Some(discs) => stack.thickness_rate_at(height).ok()?.newtons_per_mm() * discs.standard,
            None => 0.0,
        };
        Force::from_newtons(by_chain.hypot(by_press).hypot(by_thickness)).ok()
    }

    /// What is in doubt of the height of a spring stack in its room and of its free height, in millimetres: standard uncertainties of their
    /// own, and by how much both are off where their gauge is off by one standard uncertainty. The sign counts: a gauge that reads too
    /// much makes the room too large and the spring too long.
    fn doubts_of_heights(&self, closing: &Measured) -> ([f64; 2], [f64; 2]) {
        let stacks = self.stacks_a_chain() as f64;
        let mm = |um: f64| um / 1e3;
        let room = mm(closing.budget.combined().um()) / stacks;
        let Some((gauge, budget)) = self.depth_gauge().and_then(|(gauge, _)| {
            let budget = reading_uncertainty(&gauge, 1).ok()?;
            Some((gauge, budget))
        }) else {
            return ([room, 0.0], [0.0; 2]);
        };
        let free = mm(budget.combined().um());
        if !self.state.counts_shared_and_nested() {
            return ([room, free], [0.0; 2]);
        }
        let off = |budget: &Budget| {
            let of_it = budget.components.iter();
            let of_it = of_it.filter(|one| one.shared.as_deref() == Some(gauge.id.as_str()));
            let (sum, square) = of_it.fold((0.0, 0.0), |(sum, square), one| {
                (sum + one.standard, square + one.standard * one.standard)
            });
            mm(f64::copysign(square.sqrt(), sum))
        };
        let shared = [off(&closing.budget) / stacks, off(&budget)];
        let own = |all: f64, shared: f64| (all * all - shared * shared).max(0.0).sqrt();
        ([own(room, shared[0]), own(free, shared[1])], shared)
    }

    /// Between what friction leaves the force of discs that lie in each other, as a share of the force without it, or of what a press
    /// has read while it pressed them on; `None` where none do.
    fn nested_between(&self, stack: &SpringStack, read: bool) -> Option<[f64; 2]> {
        if stack.nested() < 2 || !self.state.counts_shared_and_nested() {
            return None;
        }
        let [less, more] = nested_force(stack.nested()).ok()?.map(Ratio::value);
        Some(if read { [less / more, 1.0] } else { [less, more] })
    }

    /// Standard uncertainty of the expected breakaway by propagation, in the way of holding of the unit file.
    pub fn breakaway_uncertainty(&self, round: u32) -> Option<Torque> {
        let unit = &self.job.unit;
        let closings = self.closings(round)?;
        let bench = self.bench(&self.state.chosen(round)?.sides, closings)?;
        let expected = self.expected_of(&bench)?;
        let force = self.forces(closings).ok()?[0].newtons();
        let by_force = self.force_uncertainty(round)?.newtons() / force;
        // a friction that is higher by its doubt presses harder too, where the ramps work
        let doubt = unit.friction.doubt.value() / unit.friction.turning.value();
        let rubbing = self.expected_of(&bench.rubbing(1.0 + doubt).ok()?)?;
        let by_friction = rubbing.newton_metres() / expected.newton_metres() - 1.0;
        Torque::from_newton_metres(expected.newton_metres() * by_force.hypot(by_friction)).ok()
    }

    /// What a tenth of a millimetre of wear on each pack takes off the force of its spring, and off the breakaway in the
    /// way of holding of the unit file: the spring stands longer by what the plates have lost.
    pub fn loss_by_wear(&self, round: u32) -> Option<(Force, Torque)> {
        let wear = Length::from_um(100);
        let chain = self.chains().first().copied()?;
        let sides = &self.state.chosen(round)?.sides;
        let closings = self.closings(round)?;
        // one spring between the rings takes up what both packs lose
        let longer = wear * if self.springs().len() == 1 { 2 } else { 1 };
        let height = self.spring_height(closings[0]);
        let force = self.stack(chain)?.loss_for_wear(height, longer).ok()?;
        let worn = closings.map(|closing| closing + longer * self.stacks_a_chain());
        let before = self.expected(sides, closings)?.newton_metres();
        let after = self.expected(sides, worn)?.newton_metres();
        // discs that lie in each other follow with the less
        let law = self.stack_by_law(chain)?;
        let follows = self.nested_between(&law, false).map_or(1.0, |[less, _]| less);
        let torque = Torque::from_newton_metres(follows * (before - after)).ok()?;
        Some((Force::from_newtons(follows * force.newtons()).ok()?, torque))
    }

    /// The springs in their room as they were measured in this build.
    fn stacks_measured(&self, round: u32) -> Option<Vec<StackDoubt>> {
        let times = self.stacks_a_chain();
        let stacks = self.chains().into_iter().map(|chain| {
            let closing = self.best_closing(round, chain)?;
            let (own, shared) = self.doubts_of_heights(&closing);
            let stack = self.stack_by_law(chain)?;
            let read = self.read_force(chain);
            Some(StackDoubt {
                stack,
                height: Length::from_nm(closing.value.nm() / times),
                height_standard: own[0],
                free_standard: own[1],
                gauge: shared,
                nested: self.nested_between(&stack, read.is_some()),
                thickness_standard: self.disc_thickness(chain).map(|discs| discs.standard),
                read,
            })
        });
        stacks.collect()
    }

    /// The springs as the last build left them; `None` where it did not say so of each of them.
    fn stacks_left(&self) -> Option<Vec<StackDoubt>> {
        let (last, spring) = (self.job.last.as_ref()?, self.job.unit.spring.as_ref()?);
        // other ramps or faces are built to other heights
        if self.job.rework.is_some() {
            return None;
        }
        let (chains, times) = (self.chains().len(), self.stacks_a_chain());
        if last.closings.len() != chains || last.springs.is_empty() {
            return None;
        }
        let each = last.springs.len() / chains;
        let stacks = last.closings.iter().enumerate().map(|(chain, closing)| {
            let springs = last.springs.get(chain * each..(chain + 1) * each)?;
            let sum: Length = springs.iter().copied().sum();
            let free = Length::from_nm(sum.nm() / springs.len().max(1) as i64);
            let read = last.read.get(chain).copied();
            let discs = self.disc_thickness_left(*self.chains().get(chain)?);
            let stack = match discs {
                Some(discs) => spring.stack.with_thickness(discs.thickness).ok()?,
                None => spring.stack,
            };
            Some(StackDoubt {
                stack: stack.with_free_height(free).ok()?,
                height: Length::from_nm(closing.nm() / times),
                height_standard: AS_LEFT,
                free_standard: AS_LEFT,
                gauge: [0.0; 2],
                nested: self.nested_between(&spring.stack, read.is_some()),
                thickness_standard: discs.map(|discs| discs.standard),
                read,
            })
        });
        stacks.collect()
    }

    /// The forces on the packs as the last build left them.
    pub fn forces_left(&self) -> Option<[Force; 2]> {
        let stacks = self.stacks_left()?;
        let force = |known: &StackDoubt| {
            let stack = match known.read {
                Some(read) => known.stack.as_read(read.height, read.force).ok()?,
                None => known.stack,
            };
            stack.force_at_height(known.height).ok()
        };
        Some([force(stacks.first()?)?, force(stacks.last()?)?])
    }

    /// The unit as it was built, else as it was left by the last build, with all that is in doubt of it; `None` without springs.
    pub(super) fn prediction(&self, round: u32) -> Option<Prediction> {
        self.job.unit.spring.as_ref()?;
        let unit = &self.job.unit;
        let (faces, stacks) = match self.state.chosen(round) {
            Some(chosen) => (
                chosen.sides.each_ref().map(|side| self.faces(side)),
                self.stacks_measured(round)?,
            ),
            None => (unit.packs.each_ref().map(|pack| pack.faces), self.stacks_left()?),
        };
        self.in_doubt(faces, stacks)
    }

    /// A unit with all that is in doubt of it but its springs in their room.
    pub(super) fn in_doubt(&self, faces: [u32; 2], stacks: Vec<StackDoubt>) -> Option<Prediction> {
        let unit = &self.job.unit;
        let counts = self.state.counts_doubts();
        let half = |diameter: Length| Length::from_nm(diameter.nm() / 2);
        Some(Prediction {
            bench: unit.bench([Force::from_newtons(0.0).ok()?; 2], faces),
            stacks,
            // an earlier edition knew none of these; a record of it keeps its figures
            springs: unit
                .spring
                .as_ref()
                .filter(|_| counts)
                .map(|spring| spring.tolerance.times()),
            radius: match counts {
                true => Some(unit.friction.radius_between().ok()?),
                false => None,
            },
            friction: match self.friction_known() {
                KnownBy::Proofs(known) => FrictionDoubt::Shown(known),
                KnownBy::Trade(_) => FrictionDoubt::Trade(unit.friction.turning, unit.friction.doubt),
            },
            tabs: counts.then_some(TabsDoubt {
                inside: half(unit.friction.inside),
                outside: half(unit.friction.outside),
                most: Ratio::new(OILED_STEEL).ok()?,
            }),
        })
    }

    /// Preload and breakaway as what may be off leaves them, by propagation: at once, where a simulation would be waited for.
    /// The breakaway is `None` where the packs would wedge in the way of the unit file's window.
    pub fn intervals(&self, round: u32) -> Option<(Interval<Force>, Option<Interval<Torque>>)> {
        let prediction = self.prediction(round).filter(|_| self.state.counts_doubts())?;
        let force = self.interval(&prediction, Predicted::Force, &|newtons| {
            Force::from_newtons(newtons).ok()
        })?;
        let breakaway = self.interval(&prediction, Predicted::Breakaway, &|newton_metres| {
            Torque::from_newton_metres(newton_metres).ok()
        });
        Some((force, breakaway))
    }

    /// Between what the wrench should read while turning, on its own scale, in the way in which the unit is held and with the drag
    /// in it, in words: of the unit as it was built, else as it was left.
    pub fn should_read_between(&self, round: u32, held: Held) -> Option<String> {
        let (_, breakaway) = self.intervals(round)?;
        let breakaway = breakaway?;
        let proof = Proof {
            held: self.job.unit.proof.held,
            least: breakaway.low,
            most: breakaway.high,
        };
        let none = Torque::from_newton_metres(0.0).ok()?;
        let drag = self.drag();
        let ends = match held == proof.held && drag.is_none_or(|drag| drag <= none) {
            true => [proof.least, proof.most],
            false => self.window_for(&self.bench_of(round)?, &proof, held, drag.unwrap_or(none))?,
        };
        let units = self.state.units;
        let [low, high] = ends.map(|end| self.on_the_wrench(end).show(units));
        let left = match self.state.chosen(round) {
            Some(_) => "",
            None => "as it was left, with no wear since: ",
        };
        let extended = match self.extension() > Length::ZERO {
            true => " on the wrench with its extension",
            false => "",
        };
        let dragged = match drag {
            Some(drag) if drag > none => format!("{} of drag with it", drag.show(units)),
            Some(_) => "no drag".to_string(),
            None => "the drag, which is not known here, on top".to_string(),
        };
        Some(format!(
            "{left}it should read {low} to {high}{extended} turning (95 % sure), {}, {dragged}; the doubt comes from {}; friction {}",
            held_words(held),
            breakaway.from_what(),
            self.friction_in_words()
        ))
    }

    /// What the proof of a round reads beside what the unit should read; `None` where one of them is not known.
    pub fn beside_what_it_should(&self, round: u32) -> Option<ShouldRead> {
        let read = self.proof(round)?.by_file?;
        let (_, interval) = self.intervals(round)?;
        let interval = interval?;
        let lies = if read < interval.low {
            "lower than this unit should read: preload that was lost, another oil, or a slip of the reading"
        } else if read > interval.high {
            "higher than this unit should read: drag, dirt, a pack that binds, or a slip of the reading"
        } else {
            "within what this unit should read"
        };
        let left = match (self.state.chosen(round), &self.job.last) {
            (None, Some(last)) => format!("as {} left it, with no wear since", last.build),
            _ => "as it was built".to_string(),
        };
        let units = self.state.units;
        Some(ShouldRead {
            words: format!(
                "{} is {lies}: 95 % {} to {}, turning, {}, no drag, {left}; by {}; friction {}{}",
                read.show(units),
                interval.low.show(units),
                interval.high.show(units),
                held_words(self.job.unit.proof.held),
                interval.from_what(),
                self.friction_in_words(),
                self.oil_apart(round)
                    .map_or(String::new(), |words| format!("; {words}"))
            ),
            interval,
        })
    }

    /// What was taken for granted in [`Derived::intervals`], in words.
    pub fn assumed(&self) -> Vec<String> {
        let spring = self.job.unit.spring.as_ref();
        let spring = spring.filter(|_| self.state.counts_doubts());
        let assumed = |spring: &Spring| {
            let friction = format!("friction {}", self.friction_in_words());
            let springs = self
                .read_in_words()
                .or_else(|| self.measured_in_words())
                .unwrap_or_else(|| spring.tolerance.words());
            let nested = self.nested_between(&spring.stack, false).map(|[less, more]| {
                let percent = |times: f64| significant(100.0 * (times - 1.0).abs(), 2);
                format!(
                    "{} discs in each other: {} % more as they are pressed on, {} % less once they have settled (form of DIN EN 16984, \
                     coefficients from memory)",
                    spring.stack.nested(),
                    percent(more),
                    percent(less)
                )
            });
            let all = std::iter::once(springs).chain(nested);
            all.chain([friction]).collect()
        };
        spring.map(assumed).unwrap_or_default()
    }

    /// Preload and breakaway drawn at random (JCGM 101): installed heights and free heights are normal with the
    /// uncertainty of their measurement, the friction is normal with the doubt of the unit file; the force of the springs is what a
    /// press has read, normal with its doubt, else that of measured discs with theirs, else anywhere in their tolerance; the friction radius lies between that of run-in and
    /// that of new plates.
    pub fn spread(&self, round: u32) -> Option<Spread> {
        let unit = &self.job.unit;
        let Aim::Preload { least, most, .. } = unit.aim else {
            return None;
        };
        let prediction = self.prediction(round)?;
        let drawn = |of: Predicted| {
            let inputs: Vec<Draw> = prediction.inputs(of).iter().map(|input| input.draw).collect();
            simulate(SEED, DRAWS, &inputs, prediction.follows(of)).ok()
        };
        let forces = drawn(Predicted::Force)?;
        let force = simulated(&forces, least.newtons(), most.newtons(), |newtons| {
            Force::from_newtons(newtons).ok()
        })?;
        let window = (unit.proof.least.newton_metres(), unit.proof.most.newton_metres());
        let breakaway = drawn(Predicted::Breakaway).and_then(|breakaways| {
            simulated(&breakaways, window.0, window.1, |newton_metres| {
                Torque::from_newton_metres(newton_metres).ok()
            })
        });
        Some(Spread { force, breakaway })
    }
}

/// The standard uncertainty of a height that another build measured, in millimetres (*common practice, no source*).
const AS_LEFT: f64 = 0.01;
/// The most that oiled steel rubs on steel in tabs and splines (*common practice, no source*).
const OILED_STEEL: f64 = 0.15;

/// What a usual press leaves in doubt of a force, as a standard uncertainty (*common practice, no source*).
const USUAL_PRESS: f64 = 0.01;
/// The standard uncertainty of the height to which it brings a spring, in millimetres (*common practice, no source*).
const USUAL_STOP: f64 = 0.01;

impl Derived<'_> {
    /// The 95 % interval of something by propagation, where it comes from, and what would narrow it most.
    pub(super) fn interval<Q>(
        &self,
        prediction: &Prediction,
        of: Predicted,
        quantity: &dyn Fn(f64) -> Option<Q>,
    ) -> Option<Interval<Q>> {
        let known = prediction.inputs(of);
        let follows = prediction.follows(of);
        let all = propagate(&known, &follows).ok()?;
        let (low, high) = all.interval(0.95).ok()?;
        let by_remedies = REMEDIES.iter().filter_map(|(name, by, narrowed)| {
            let mut inputs = known.clone();
            for input in inputs.iter_mut().filter(|input| input.name == *name) {
                input.draw = narrowed(input.draw);
            }
            let (low, high) = propagate(&inputs, &follows).ok()?.interval(0.95).ok()?;
            Some(((*by).to_string(), low, high))
        });
        let by_press = || {
            let (press, read) = self.as_if_read(prediction)?;
            let (low, high) = propagate(&read.inputs(of), read.follows(of))
                .ok()?
                .interval(0.95)
                .ok()?;
            Some((format!("measuring the springs in {press}"), low, high))
        };
        let is_drawn = known.iter().any(|input| [SPRING, DISCS].contains(&input.name));
        let narrowed = by_remedies.chain(is_drawn.then(by_press).flatten());
        let narrowest = narrowed.min_by(|one, other| (one.2 - one.1).total_cmp(&(other.2 - other.1)));
        let wide = high - low;
        Some(Interval {
            low: quantity(low)?,
            high: quantity(high)?,
            parts: all
                .parts
                .iter()
                .take(3)
                .map(|part| (part.name.to_string(), part.share))
                .collect(),
            // what wins less than a tenth is not worth its while
            narrower: narrowest
                .filter(|(_, low, high)| high - low < 0.9 * wide)
                .and_then(|(by, low, high)| Some((by, quantity(low)?, quantity(high)?))),
        })
    }

    /// The unit as it would be known with its springs read at the height where they stand: in the surest press of the job, else in a
    /// usual one. What they would press with there is the middle of their band.
    fn as_if_read(&self, prediction: &Prediction) -> Option<(String, Prediction)> {
        let middle = prediction.spring_input()?.draw.mean();
        let first = prediction.stacks.first()?;
        let by_law = first.stack.force_at_height(first.height).ok()?.newtons();
        let of_one = Force::from_newtons(by_law / f64::from(self.forces_a_place())).ok()?;
        let known = self
            .presses()
            .map(|(id, press)| (id, press.standard(of_one), 0.5 * press.height.mm()));
        let surest = known.min_by(|one, other| one.1.total_cmp(&other.1));
        let (press, force_standard, height_standard) = surest.unwrap_or(("a press", USUAL_PRESS, USUAL_STOP));
        let mut read = prediction.clone();
        for stack in &mut read.stacks {
            let by_law = stack.stack.force_at_height(stack.height).ok()?.newtons();
            stack.read = Some(ReadForce {
                height: stack.height,
                force: Force::from_newtons(middle * by_law).ok()?,
                force_standard,
                height_standard,
            });
        }
        Some((
            format!("{press} (± {} %)", significant(200.0 * force_standard, 2)),
            read,
        ))
    }
}

/// What can be known better, by what, and what is known of it then. How much better is *common practice, no source*.
type Remedy = (&'static str, &'static str, fn(Draw) -> Draw);

const REMEDIES: [Remedy; 5] = [
    (FRICTION, "proofs of its friction (± 4 %)", |draw| Draw::Normal {
        mean: draw.mean(),
        sd: draw.standard().min(0.02 * draw.mean()),
    }),
    (ROOM, "a gauge for the room twice as sure", halved),
    (FREE_HEIGHT, "a gauge for free heights twice as sure", halved),
    (GAUGE, "a depth gauge twice as sure", halved),
    (RADIUS, "measuring where the faces rub (± 0.5 %)", |draw| {
        within(draw, 0.005)
    }),
];

/// A band about its middle that is no wider than this share of it either way.
fn within(draw: Draw, share: f64) -> Draw {
    let middle = draw.mean();
    let half = (3_f64.sqrt() * draw.standard()).min(share * middle);
    Draw::Uniform {
        low: middle - half,
        high: middle + half,
    }
}

/// A budget of lengths times how far another quantity goes for each of them.
fn scaled(budget: &Budget, times: f64) -> Budget {
    let mut scaled = budget.clone();
    for component in &mut scaled.components {
        component.standard *= times;
    }
    scaled
}

fn halved(draw: Draw) -> Draw {
    Draw::Normal {
        mean: draw.mean(),
        sd: 0.5 * draw.standard(),
    }
}

fn simulated<Q>(
    simulation: &Simulation,
    least: f64,
    most: f64,
    quantity: impl Fn(f64) -> Option<Q>,
) -> Option<Simulated<Q>> {
    let (low, high) = simulation.interval(0.95).ok()?;
    let limits = Limits::new(Some(least), Some(most)).ok()?;
    Some(Simulated {
        low: quantity(low)?,
        high: quantity(high)?,
        inside: simulation.share_within(&limits).ok()?,
        draws: simulation.draws,
    })
}

/// The sources of an uncertainty by name, with the instrument where they share it.
pub(super) fn sources(measured: &Measured) -> Vec<(String, Length)> {
    measured
        .budget
        .components
        .iter()
        .filter_map(|component| {
            let size = Length::from_mm(component.standard.abs() / 1e3).ok()?;
            Some((
                match &component.shared {
                    Some(instrument) => format!("{} of {instrument}", component.name),
                    None => component.name.clone(),
                },
                size,
            ))
        })
        .collect()
}
