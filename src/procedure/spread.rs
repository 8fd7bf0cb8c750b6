//! What springs, friction and readings leave in doubt of preload and breakaway: propagated at once, and simulated.

use super::derived::Derived;
use crate::mechanics::{Bench, Side};
use crate::metrology::{Draw, Input, Limits, Measured, Simulation, propagate, simulate};
use crate::quantity::{Force, Length, Torque};
use crate::record::{Interval, Simulated};
use crate::workshop::{Aim, Spring};

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

    fn force_uncertainty_in(&self, closing: &Measured, chain: Option<Side>) -> Option<Force> {
        let stack = self.stack(chain)?;
        let height = self.spring_height(closing.value);
        let by_height = stack.rate_at_height(height).ok()?.newtons_per_mm();
        let spring = self.job.unit.spring.as_ref()?;
        let step = Length::from_um(10);
        let at = |free: Length| {
            let settled = spring.settled(free).ok()?;
            Some(settled.force_at_height(height).ok()?.newtons())
        };
        let free = stack.free_height();
        let by_free = (at(free + step)? - at(free - step)?) / (2.0 * step.mm());
        let u_height = closing.budget.combined().um() / 1e3 / self.stacks_a_chain() as f64;
        let u_free = self.free_height_uncertainty() / 1e3;
        Force::from_newtons((by_height * u_height).hypot(by_free * u_free)).ok()
    }

    /// Standard uncertainty of the free height of a spring stack, in micrometres.
    fn free_height_uncertainty(&self) -> f64 {
        self.depth_gauge()
            .and_then(|(gauge, _)| crate::metrology::reading_uncertainty(&gauge, 1).ok())
            .map_or(0.0, |budget| budget.combined().um())
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
        Some((force, Torque::from_newton_metres(before - after).ok()?))
    }

    /// Everything that preload and breakaway follow from and that may be off; `None` without springs or a choice.
    fn doubts(&self, round: u32) -> Option<Doubts<'_>> {
        let unit = &self.job.unit;
        let spring = unit.spring.as_ref()?;
        let sides = &self.state.chosen(round)?.sides;
        let faces = [self.faces(&sides[0]), self.faces(&sides[1])];
        let chains = self.chains();
        let known = |name, mean, sd| Input {
            name,
            draw: Draw::Normal { mean, sd },
        };
        let turning = unit.friction.turning.value();
        let mut inputs = vec![known(FRICTION, turning, unit.friction.doubt.value())];
        for chain in &chains {
            let closing = self.best_closing(round, *chain)?;
            let times = self.stacks_a_chain() as f64;
            let sd = closing.budget.combined().um() / 1e3 / times;
            inputs.push(known(ROOM, closing.value.mm() / times, sd));
            let free = self.stack(*chain)?.free_height().mm();
            inputs.push(known(FREE_HEIGHT, free, self.free_height_uncertainty() / 1e3));
        }
        let shared = inputs.len();
        // an earlier edition knew neither; a record of it keeps its figures
        if self.state.edition() >= SPRINGS_IN_DOUBT {
            let between = |name, ends: [f64; 2]| Input {
                name,
                draw: Draw::Uniform {
                    low: ends[0],
                    high: ends[1],
                },
            };
            let [least, most] = [spring.tolerance.least, spring.tolerance.most];
            inputs.push(between(SPRING, [1.0 + least.value(), 1.0 + most.value()]));
            inputs.push(between(RADIUS, unit.friction.radius_between().ok()?));
        }
        Some(Doubts {
            spring,
            turning,
            bench: unit.bench([Force::from_newtons(0.0).ok()?; 2], faces),
            last: chains.len() - 1,
            shared,
            inputs,
        })
    }

    /// Preload and breakaway as what may be off leaves them, by propagation: at once, where a simulation would be waited for.
    /// The breakaway is `None` where the packs would wedge in the way of the unit file's window.
    pub fn intervals(&self, round: u32) -> Option<(Interval<Force>, Option<Interval<Torque>>)> {
        if self.state.edition() < SPRINGS_IN_DOUBT {
            return None;
        }
        let doubts = self.doubts(round)?;
        let force = doubts.interval(&|drawn| doubts.newtons(drawn), &|newtons| {
            Force::from_newtons(newtons).ok()
        })?;
        let breakaway = doubts.interval(&|drawn| doubts.newton_metres(drawn), &|newton_metres| {
            Torque::from_newton_metres(newton_metres).ok()
        });
        Some((force, breakaway))
    }

    /// What was taken for granted in [`Derived::intervals`], in words.
    pub fn assumed(&self) -> Vec<String> {
        let spring = self.job.unit.spring.as_ref();
        let spring = spring.filter(|_| self.state.edition() >= SPRINGS_IN_DOUBT);
        spring
            .map(|spring| spring.tolerance.words())
            .into_iter()
            .collect()
    }

    /// Preload and breakaway drawn at random (JCGM 101): installed heights and free heights are normal with the
    /// uncertainty of their measurement, the friction is normal with the doubt of the unit file; the force of the springs lies
    /// anywhere in their tolerance, and the friction radius between that of run-in and that of new plates.
    pub fn spread(&self, round: u32) -> Option<Spread> {
        let unit = &self.job.unit;
        let Aim::Preload { least, most, .. } = unit.aim else {
            return None;
        };
        let doubts = self.doubts(round)?;
        let inputs: Vec<Draw> = doubts.inputs.iter().map(|input| input.draw).collect();
        let forces = simulate(SEED, DRAWS, &inputs, |drawn| doubts.newtons(drawn)).ok()?;
        let breakaways = simulate(SEED, DRAWS, &inputs, |drawn| doubts.newton_metres(drawn)).ok();
        let force = simulated(&forces, least.newtons(), most.newtons(), |newtons| {
            Force::from_newtons(newtons).ok()
        })?;
        let window = (unit.proof.least.newton_metres(), unit.proof.most.newton_metres());
        let breakaway = breakaways.and_then(|breakaways| {
            simulated(&breakaways, window.0, window.1, |newton_metres| {
                Torque::from_newton_metres(newton_metres).ok()
            })
        });
        Some(Spread { force, breakaway })
    }
}

/// The first edition of the mechanics that counts how far springs may be off.
const SPRINGS_IN_DOUBT: u32 = 3;

const FRICTION: &str = "friction";
const ROOM: &str = "room for the springs";
const FREE_HEIGHT: &str = "free height";
const SPRING: &str = "spring force";
const RADIUS: &str = "friction radius";

/// What preload and breakaway follow from, input by input: the friction, room and free height of each chain, and from
/// `shared` on what all packs have together.
struct Doubts<'a> {
    spring: &'a Spring,
    /// The friction by the unit's file.
    turning: f64,
    /// The unit in the way of the file's window, without a force on its packs.
    bench: Bench,
    /// The last chain: 0 where one spans both packs.
    last: usize,
    shared: usize,
    inputs: Vec<Input>,
}

impl Doubts<'_> {
    fn force_of(&self, chain: usize, drawn: &[f64]) -> Option<Force> {
        let height = Length::from_mm(*drawn.get(1 + 2 * chain)?).ok()?;
        let free = Length::from_mm(*drawn.get(2 + 2 * chain)?).ok()?;
        let reckoned = self.spring.settled(free).ok()?.force_at_height(height).ok()?;
        match drawn.get(self.shared) {
            Some(times) => Force::from_newtons(times * reckoned.newtons()).ok(),
            None => Some(reckoned),
        }
    }

    /// The force on the left pack, or on both where one chain spans both.
    fn newtons(&self, drawn: &[f64]) -> Option<f64> {
        Some(self.force_of(0, drawn)?.newtons())
    }

    fn newton_metres(&self, drawn: &[f64]) -> Option<f64> {
        let force = |side: Side| self.force_of(side.index().min(self.last), drawn);
        let pressed = self.bench.pressed([force(Side::Left)?, force(Side::Right)?]);
        // a longer radius does to every pack what more friction does
        let radius = drawn.get(self.shared + 1).copied().unwrap_or(1.0);
        let rubbing = pressed.rubbing(radius * drawn.first()? / self.turning).ok()?;
        let none = Torque::from_newton_metres(0.0).ok()?;
        Some(rubbing.turning(none).ok()?.reading.newton_metres())
    }

    fn interval<Q>(
        &self,
        model: &dyn Fn(&[f64]) -> Option<f64>,
        quantity: &dyn Fn(f64) -> Option<Q>,
    ) -> Option<Interval<Q>> {
        let all = propagate(&self.inputs, model).ok()?;
        let (low, high) = all.interval(0.95).ok()?;
        let narrowed = REMEDIES.iter().filter_map(|(name, by, narrowed)| {
            let mut inputs = self.inputs.clone();
            for input in inputs.iter_mut().filter(|input| input.name == *name) {
                input.draw = narrowed(input.draw);
            }
            let (low, high) = propagate(&inputs, model).ok()?.interval(0.95).ok()?;
            Some((*by, low, high))
        });
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
                .and_then(|(by, low, high)| Some((by.to_string(), quantity(low)?, quantity(high)?))),
        })
    }
}

/// What can be known better, by what, and what is known of it then. How much better is *common practice, no source*.
type Remedy = (&'static str, &'static str, fn(Draw) -> Draw);

const REMEDIES: [Remedy; 5] = [
    (SPRING, "a certificate of the springs (± 2 %)", |draw| {
        within(draw, 0.02)
    }),
    (FRICTION, "proofs of its friction (± 4 %)", |draw| Draw::Normal {
        mean: draw.mean(),
        sd: draw.standard().min(0.02 * draw.mean()),
    }),
    (ROOM, "a gauge for the room twice as sure", halved),
    (FREE_HEIGHT, "a gauge for free heights twice as sure", halved),
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
