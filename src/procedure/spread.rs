//! The simulation of what springs and readings leave in doubt.

use super::derived::Derived;
use crate::mechanics::Side;
use crate::metrology::{Draw, Limits, Measured, Simulation, simulate};
use crate::quantity::{Force, Length, Torque};
use crate::record::Simulated;
use crate::workshop::Aim;

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

    /// Preload and breakaway drawn at random (JCGM 101): installed heights and free heights are normal with the
    /// uncertainty of their measurement, the friction is normal with the doubt of the unit file.
    pub fn spread(&self, round: u32) -> Option<Spread> {
        let unit = &self.job.unit;
        let spring = unit.spring.as_ref()?;
        let Aim::Preload { least, most, .. } = unit.aim else {
            return None;
        };
        let sides = &self.state.chosen(round)?.sides;
        let faces = [self.faces(&sides[0]), self.faces(&sides[1])];
        let chains = self.chains();
        let mut inputs = vec![Draw::Normal {
            mean: unit.friction.turning.value(),
            sd: unit.friction.doubt.value(),
        }];
        for chain in &chains {
            let closing = self.best_closing(round, *chain)?;
            let times = self.stacks_a_chain() as f64;
            inputs.push(Draw::Normal {
                mean: closing.value.mm() / times,
                sd: closing.budget.combined().um() / 1e3 / times,
            });
            inputs.push(Draw::Normal {
                mean: self.stack(*chain)?.free_height().mm(),
                sd: self.free_height_uncertainty() / 1e3,
            });
        }
        // the draws of the left pack, or of both where one chain spans both
        let force_of = |chain: usize, drawn: &[f64]| -> Option<Force> {
            let height = Length::from_mm(*drawn.get(1 + 2 * chain)?).ok()?;
            let free = Length::from_mm(*drawn.get(2 + 2 * chain)?).ok()?;
            spring.settled(free).ok()?.force_at_height(height).ok()
        };
        let forces = simulate(SEED, DRAWS, &inputs, |drawn| Some(force_of(0, drawn)?.newtons())).ok()?;
        let last = chains.len() - 1;
        let none = Torque::from_newton_metres(0.0).ok()?;
        let bench = unit.bench([Force::from_newtons(0.0).ok()?; 2], faces);
        let breakaways = simulate(SEED, DRAWS, &inputs, |drawn| {
            let force = |side: Side| force_of(side.index().min(last), drawn);
            let pressed = bench.pressed([force(Side::Left)?, force(Side::Right)?]);
            let rubbing = pressed
                .rubbing(drawn.first()? / unit.friction.turning.value())
                .ok()?;
            Some(rubbing.turning(none).ok()?.reading.newton_metres())
        })
        .ok();
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
