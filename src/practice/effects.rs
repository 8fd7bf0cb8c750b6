//! What a fault does to every later figure: the reading as received, the prediction, the proof. Each is the difference of two
//! builds, with the fault and without it.

use super::fault::Fault;
use super::generated::GeneratedUnit;
use super::truth::{Truth, WANDER};
use crate::mechanics::{Movement, Sense, Side, SpringStack};
use crate::quantity::{Length, Torque};
use crate::record::ChosenSide;
use crate::workshop::Aim;

/// One figure with a fault and without it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WithAndWithout {
    /// With it.
    pub with: f64,
    /// Without it.
    pub without: f64,
}

impl WithAndWithout {
    /// By how much it is more with the fault.
    pub fn difference(self) -> f64 {
        self.with - self.without
    }

    /// The same between the two as they are printed, to so much.
    pub fn printed_difference(self, step: f64) -> f64 {
        ((self.with / step).round() - (self.without / step).round()) * step
    }

    /// Whether it differs by so much that a digit after the point, or a whole one, shows it.
    fn shows(self, step: f64) -> bool {
        self.printed_difference(step).abs() > 0.5 * step
    }
}

/// What a fault does, had nobody seen it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Effect {
    /// The number on the wrench's scale as received, turning, its scatter aside; all other faults stand.
    pub received: WithAndWithout,
    /// What each pack is really pressed with, in newtons, where the prediction says its target: left and right.
    pub pressed: [WithAndWithout; 2],
    /// The number on the scale at the proof, turned forwards, its scatter aside, where the fault stays in the unit.
    pub proof: WithAndWithout,
    /// By how much that comes and goes from place to place, in the same unit.
    pub wander: f64,
}

/// What a made-up unit truly is, in the figures that effects are reckoned from: so that they can be reckoned once more.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TrueFigures {
    /// Friction while it turns, in its own oil.
    pub friction: f64,
    /// What drags beside the packs, with whatever fault there is in it.
    pub drag: Torque,
    /// What the wrench in use shows for each newton metre, its unit and an extension aside.
    pub wrench: f64,
    /// The springs without a fault.
    pub springs: [SpringStack; 2],
    /// The share of a pack's force that tabs hold back, left and right.
    pub held_back: [f64; 2],
}

/// What the wrench shows for what a unit was really put together to, and what presses its packs.
struct Built {
    forces: [f64; 2],
    shown: f64,
}

impl GeneratedUnit {
    /// The same unit without one of its faults; all the others stay.
    pub fn without(&self, fault: &Fault) -> GeneratedUnit {
        let mut other = self.clone();
        other.truth = self.truth.without(fault, &self.job.unit);
        other
    }

    /// What it truly is; nothing where its drag is no torque.
    pub fn true_figures(&self) -> Option<TrueFigures> {
        let truth = &self.truth;
        Some(TrueFigures {
            friction: truth.turning,
            drag: Torque::from_newton_metres(truth.drag).ok()?,
            wrench: truth.overdue,
            springs: truth.mended.map(|spring| spring.stack),
            held_back: truth.held_back,
        })
    }

    /// How thick a plate truly is at its three places; nothing where there is none of that name.
    pub fn true_thickness(&self, plate: &str) -> Option<[Length; 3]> {
        self.truth.plates.get(plate).map(|plate| plate.points)
    }

    /// What a fault does to the figures.
    pub fn effect(&self, fault: &Fault) -> Effect {
        let unit = &self.job.unit;
        let sound = self.faultless();
        // the fault alone: all the others taken out
        let others = self.truth.faults.iter().rev().filter(|other| *other != fault);
        let alone = others.fold(self.truth.clone(), |truth, other| truth.without(other, unit));
        let (with, without) = (self.built(&alone), self.built(&sound));
        let pair = |with: f64, without: f64| WithAndWithout { with, without };
        let without_it = self.without(fault);
        let wander = match fault {
            Fault::Warped { .. } => WANDER * with.shown,
            _ => 0.0,
        };
        Effect {
            received: pair(self.shown_as_received(), without_it.shown_as_received()),
            pressed: [0, 1].map(|n| pair(with.forces[n], without.forces[n])),
            proof: pair(with.shown, without.shown),
            wander,
        }
    }

    /// The number on the wrench's scale as received, turning, its scatter aside.
    pub fn shown_as_received(&self) -> f64 {
        self.read_as_received(&self.truth, Movement::Turning) / self.unit_of_scale()
    }

    /// The unit put together by somebody who sees nothing: what the gauges show is taken as it stands, a plate for a new one
    /// where it is to be measured, and shims fill what is left to the target.
    fn built(&self, truth: &Truth) -> Built {
        let unit = &self.job.unit;
        (|| {
            let Aim::Preload { target, .. } = unit.aim else {
                return None;
            };
            let listed = unit.spring.as_ref()?.stack;
            let height = listed.heights_for_force(target).first().copied()?;
            let (mic, depth) = (truth.micrometer.zero, truth.depth_gauge.zero);
            let read = |name: &String| -> Length {
                let Some(plate) = truth.plates.get(name) else {
                    return Length::ZERO;
                };
                let misread = truth.faults.iter().any(|fault| {
                    fault.plate() == Some(name)
                        && matches!(fault, Fault::Thin { .. } | Fault::OtherMaker { .. })
                });
                let taper = truth
                    .faults
                    .iter()
                    .any(|fault| fault.plate() == Some(name) && matches!(fault, Fault::Tapered { .. }));
                match (misread, taper) {
                    (true, _) => unit.plate(name).map_or(plate.mean(), |plate| plate.nominal),
                    (_, true) => plate.points[0] + mic,
                    (false, false) => plate.mean() + mic,
                }
            };
            let mut sides = Side::BOTH.map(|side| ChosenSide {
                plates: truth.order[side.index()].clone(),
                shims_nanometres: Vec::new(),
            });
            let chain = |n: usize| -> Length {
                let plates: Length = sides[n].plates.iter().map(read).sum();
                truth.rings[n] + mic + plates
            };
            // what the spring's free height is measured as moves the height that is aimed at
            let wanted: Vec<Length> = truth
                .springs
                .iter()
                .map(|spring| height + (spring.stack.free_height() + depth - listed.free_height()))
                .collect();
            let over: [Length; 2] = if unit.is_through() {
                let room = truth.depths[0] + depth - chain(0) - chain(1) - wanted[0] - wanted[1];
                let half = Length::from_nm(room.nm() / 2);
                [half, room - half]
            } else {
                [0, 1].map(|n| truth.depths[n] + depth - chain(n) - wanted[n])
            };
            for (side, over) in sides.iter_mut().zip(over) {
                side.shims_nanometres.push(over.nm());
            }
            let forces = truth.forces(unit, &sides, &truth.springs);
            let read = truth.breakaway(unit, &sides, forces, Sense::Forwards, Movement::Turning);
            let scale = match truth.has(|fault| *fault == Fault::WrenchScale) {
                true => super::indication::LBF_FT,
                false => 1.0,
            };
            Some(Built {
                forces,
                shown: read * truth.overdue / self.leverage(truth) / scale,
            })
        })()
        .unwrap_or(Built {
            forces: [0.0; 2],
            shown: 0.0,
        })
    }

    /// What a fault does to every later figure, a sentence each; those that it does nothing to are said in one.
    pub(super) fn effect_words(&self, fault: &Fault) -> Vec<String> {
        let effect = self.effect(fault);
        let mut words = Vec::new();
        let mut same = Vec::new();
        // the number on a scale, each with what that scale is marked in
        let moved = |figure: WithAndWithout, what: &str, [with, without]: [&str; 2]| {
            let by = signed(figure.printed_difference(0.1), 1);
            let by = match with == without {
                true => format!("{by} {with}"),
                false => format!("the number moves by {by}"),
            };
            format!(
                "{what} {:.1} {with} in the place of {:.1} {without}: {by}",
                figure.with, figure.without
            )
        };
        let scales = [self.scale(), self.without(fault).scale()];
        let at_proof = match fault {
            Fault::WrenchScale => scales,
            _ => ["N·m"; 2],
        };
        match effect.received.shows(0.1) {
            true => words.push(moved(effect.received, "As received the wrench shows", scales)),
            false => same.push("as received"),
        }
        let pressed: Vec<String> = Side::BOTH
            .into_iter()
            .filter(|side| effect.pressed[side.index()].shows(1.0))
            .map(|side| {
                let figure = effect.pressed[side.index()];
                format!(
                    "{:.0} N on the {side} where {:.0} N are meant: {} N",
                    figure.with,
                    figure.without,
                    signed(figure.printed_difference(1.0), 0)
                )
            })
            .collect();
        match pressed.is_empty() {
            false => words.push(format!(
                "Not seen, the prediction is not kept: {}",
                pressed.join("; ")
            )),
            true => same.push("prediction"),
        }
        match effect.proof.shows(0.1) {
            true => words.push(moved(effect.proof, "Not seen, the proof shows", at_proof)),
            false => same.push("proof"),
        }
        if effect.wander > 0.0 {
            words.push(format!(
                "The proof comes and goes by {:.1} N·m from place to place",
                effect.wander
            ));
        }
        if !same.is_empty() {
            words.push(format!("No change: {}", same.join(", ")));
        }
        words
    }

    /// How much harm a fault does that nobody sees, as a share of the proof: what is hidden from the proof and wrong in the car
    /// counts by what presses the packs.
    pub(super) fn harm(&self, fault: &Fault) -> f64 {
        let effect = self.effect(fault);
        let share = |figure: WithAndWithout| figure.difference().abs() / figure.without.abs().max(1.0);
        let target = match self.job.unit.aim {
            Aim::Preload { target, .. } => target.newtons(),
            Aim::Gap { .. } => 0.0,
        };
        let pressed = effect
            .pressed
            .map(|figure| figure.difference().abs() / target.max(1.0));
        share(effect.proof)
            .max(pressed[0])
            .max(pressed[1])
            .max(effect.wander / effect.proof.without.max(1.0))
    }
}

fn signed(value: f64, decimals: usize) -> String {
    let sign = if value < 0.0 { "−" } else { "+" };
    format!("{sign}{:.decimals$}", value.abs())
}
