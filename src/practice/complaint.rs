//! What the driver says: it follows from what the faults do to the unit, reckoned with and without them.

use super::fault::Fault;
use super::generated::GeneratedUnit;
use super::truth::Truth;
use crate::mechanics::{Direction, LockModel, Movement, Side};
use crate::quantity::{Force, Ratio, Torque};

/// The torque at the case at which a driver feels whether it locks, in newton metres (made up for teaching).
const ON_THE_THROTTLE: f64 = 400.0;
/// By which share something must differ before a driver feels it (common practice, no source).
const FELT: f64 = 0.12;

/// What a driver feels of a unit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Felt {
    /// What both packs hold with the throttle shut, in newton metres.
    pub at_rest: f64,
    /// What both hold on the throttle.
    pub on_drive: f64,
    /// How much more it takes to let go than to turn, as a ratio.
    pub jump: f64,
    /// How many plates bind in one place and slip in the next.
    pub warped: usize,
    /// Whether the ramps begin late, and then suddenly.
    pub late: bool,
    /// Whether a gear has play along its shaft.
    pub clonks: bool,
}

impl GeneratedUnit {
    /// The truth with none of its faults.
    pub(super) fn faultless(&self) -> Truth {
        // in the order in which they came in they are taken out again
        let faults = self.truth.faults.iter().rev();
        faults.fold(self.truth.clone(), |truth, fault| {
            truth.without(fault, &self.job.unit)
        })
    }

    /// What a driver feels of a unit as it came in.
    pub(super) fn felt(&self, truth: &Truth) -> Felt {
        let unit = &self.job.unit;
        let found = self.found_in(truth);
        let forces = truth.forces(unit, &found, &truth.springs);
        let friction = truth.turning * truth.oil[1];
        let each = |n: usize| {
            (1.0 - truth.held_back[n])
                * truth.rubbing(unit, &found[n])
                * friction
                * unit.friction.radius.metres()
        };
        let on_drive = (|| {
            let preload = [
                Force::from_newtons(forces[0]).ok()?,
                Force::from_newtons(forces[1]).ok()?,
            ];
            let mut setup = unit
                .bench(preload, unit.packs.each_ref().map(|pack| pack.faces))
                .setup;
            setup.friction = Ratio::new(friction).ok()?;
            let model = LockModel::new(setup).ok()?;
            let torque = Torque::from_newton_metres(ON_THE_THROTTLE).ok()?;
            let [spread, _] = model.pack_forces(Direction::Drive, torque).ok()?;
            // a ring that does not slide presses no harder than its spring
            Some(Side::BOTH.map(|side| {
                let n = side.index();
                forces[n] + truth.rings_slide[n] * (spread[n].newtons() - forces[n]).max(0.0)
            }))
        })()
        .unwrap_or(forces);
        let read = |movement| self.read_as_received(truth, movement);
        Felt {
            at_rest: each(0) * forces[0] + each(1) * forces[1],
            on_drive: each(0) * on_drive[0] + each(1) * on_drive[1],
            jump: read(Movement::First) / read(Movement::Turning).max(1e-9),
            warped: truth
                .faults
                .iter()
                .filter(|fault| matches!(fault, Fault::Warped { .. }))
                .count(),
            late: truth.has(|fault| matches!(fault, Fault::SteppedRamp | Fault::PinFlat)),
            clonks: truth.has(|fault| *fault == Fault::WasherMissing),
        }
    }

    /// What the driver says of it. It is that of the unit with its faults against the same without them.
    pub fn complaint(&self) -> String {
        let (now, before) = (self.felt(&self.truth), self.felt(&self.faultless()));
        let less = |now: f64, before: f64| now < (1.0 - FELT) * before;
        let more = |now: f64, before: f64| now > (1.0 + FELT) * before;
        let mut said = Vec::new();
        if less(now.at_rest, before.at_rest) {
            said.push("On the way in, off the throttle, the two wheels do as they like.");
        }
        if more(now.at_rest, before.at_rest) {
            said.push("It pushes wide on the way in, and hops round the paddock.");
        }
        if less(now.on_drive, before.on_drive) {
            said.push("Out of slow corners the inside wheel spins up.");
        }
        if now.late {
            said.push("On the throttle nothing happens at first; then it grabs all at once.");
        }
        if more(now.jump, before.jump) {
            said.push("At walking pace it groans and lets go in jerks.");
        }
        if now.warped > before.warped {
            said.push("It is never twice the same: in one corner it holds, in the next it lets go.");
        }
        if now.clonks {
            said.push("There is a clonk each time I go on and off the throttle.");
        }
        match said.is_empty() {
            true => "The driver has nothing to complain of; the unit is due.".to_string(),
            false => format!("The driver says: \"{}\"", said.join(" ")),
        }
    }
}
