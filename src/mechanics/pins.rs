//! What the cross pins carry, and what they press on the packs with: the balance that locking and breakaway share.

use super::error::{MechanicsError, above, friction_within, within};
use super::ramp::{gain, release_gain, side_gear_thrust};
use super::setup::{Direction, LockSetup, SpringPlace};
use super::tabs::on_faces;
use crate::quantity::{Force, Length, Ratio, Torque};

/// The two packs, and what their rings get from the pins.
///
/// The pinions put a torque τ on either side gear, the same on both, since a pinion is a balance. The pins carry both, 2τ,
/// and hand them to the ramps. On either pack they press with
///
/// ```text
/// F_a = τ q,   q = max(0, k/r_p − μ_tab/r_tab) + tan α sin δ/r_g
/// M   = c F,   c = n μ r_f;   F = max(F0, F_a) behind the pack, F0 + F_a between the rings
/// ```
///
/// where τ below 0 presses with |τ| and the q of the other ramp. Both q are 0 or more. Where plates hold back some of it by
/// their tabs and splines, F is the mean of that over the faces, each with its share of F_a ([`on_faces`]).
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Pins {
    /// n r_f of the left and the right pack, in metres.
    arms: [f64; 2],
    /// μ of the plates.
    friction: f64,
    /// How many faces rub in either pack.
    faces: [u32; 2],
    /// What plates hand on of the force under which they lie: keyed to the gear, to the case; 1 where all of it.
    passed: [f64; 2],
    /// The share of the ring's force on the mean of the faces of either pack; `None` where tabs hold nothing back.
    mean_shares: [Option<f64>; 2],
    /// F0 of both, in newtons.
    preload: [f64; 2],
    behind: bool,
    drive: Ramp,
    coast: Ramp,
}

/// What one ramp gives for each newton metre of τ.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Ramp {
    /// q while the torque rises, in 1/m.
    pub rising: f64,
    /// The same while it falls; `None` where the ring does not let go by itself.
    pub falling: Option<f64>,
}

/// τ in newton metres, never below 0, and the q that it presses with.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Load {
    pub torque: f64,
    pub q: f64,
}

impl Pins {
    /// Checks a setup and takes from it what the balance needs.
    pub(super) fn of(setup: &LockSetup) -> Result<Pins, MechanicsError> {
        Pins::bare(setup)?.rubbing(setup.friction, setup.preload)
    }

    /// The same without friction of the plates and without springs, which are not looked at.
    pub(super) fn bare(setup: &LockSetup) -> Result<Pins, MechanicsError> {
        within("the radius of the pins", setup.pin_radius, above(Length::ZERO))?;
        for faces in setup.faces {
            within("the number of faces", faces, ..=1000)?;
        }
        let radius = within("the friction radius", setup.friction_radius, above(Length::ZERO))?;
        Ok(Pins {
            arms: setup.faces.map(|faces| f64::from(faces) * radius.metres()),
            friction: 0.0,
            faces: setup.faces,
            passed: [1.0; 2],
            mean_shares: [None; 2],
            preload: [0.0; 2],
            behind: setup.spring_place == SpringPlace::BehindPack,
            drive: Ramp::new(setup, Direction::Drive)?,
            coast: Ramp::new(setup, Direction::Coast)?,
        })
    }

    /// The same unit with this friction of its plates and these forces of its springs, which are checked.
    pub(super) fn rubbing(&self, friction: Ratio, preload: [Force; 2]) -> Result<Pins, MechanicsError> {
        let none = Force::from_newtons(0.0)?;
        let pressed = |side: usize| -> Result<f64, MechanicsError> {
            Ok(within("the force through the pack", preload[side], none..)?.newtons())
        };
        Ok(Pins {
            friction: friction_within("friction of the plates", friction)?,
            preload: [pressed(0)?, pressed(1)?],
            ..*self
        })
    }

    /// The same unit with another friction of its plates.
    pub(super) fn with_friction(&self, friction: f64) -> Pins {
        Pins { friction, ..*self }
    }

    /// The same unit with plates whose tabs and splines rub while the torque rises.
    pub(super) fn with_tabs(&self, passed: [f64; 2]) -> Pins {
        let rubs = passed.iter().any(|passed| (passed - 1.0).abs() > 0.0);
        let mean_shares = self.faces.map(|faces| {
            let share = || on_faces(faces, passed).sum::<f64>() / f64::from(faces);
            (rubs && faces > 0).then(share)
        });
        Pins {
            passed,
            mean_shares,
            ..*self
        }
    }

    /// The same unit while the torque falls: what held back holds on. `None` where a ring does not let go by itself.
    pub(super) fn falling(&self, direction: Direction) -> Option<Pins> {
        let turned = |ramp: Ramp| {
            Some(Ramp {
                rising: ramp.falling?,
                ..ramp
            })
        };
        let mut pins = self.with_tabs(self.passed.map(f64::recip));
        match direction {
            Direction::Drive => pins.drive = turned(self.drive)?,
            Direction::Coast => pins.coast = turned(self.coast)?,
        }
        Some(pins)
    }

    pub(super) fn friction(&self) -> f64 {
        self.friction
    }

    /// c of one pack, in metres.
    fn lever(&self, side: usize) -> f64 {
        self.arms[side] * self.friction
    }

    pub(super) fn ramp(&self, direction: Direction) -> Ramp {
        match direction {
            Direction::Drive => self.drive,
            Direction::Coast => self.coast,
        }
    }

    pub(super) fn preload(&self, side: usize) -> f64 {
        self.preload[side]
    }

    /// Whether both packs are the same.
    pub(super) fn are_alike(&self) -> bool {
        let same = |[left, right]: [f64; 2]| left.to_bits() == right.to_bits();
        same(self.arms) && same(self.preload)
    }

    pub(super) fn is_behind(&self) -> bool {
        self.behind
    }

    /// Force through a pack, on the mean of its faces.
    pub(super) fn force(&self, side: usize, load: Load) -> f64 {
        let (preload, axial) = (self.preload[side], load.torque * load.q);
        match (self.behind, self.mean_shares[side]) {
            (true, None) => preload.max(axial),
            (false, None) => preload + axial,
            (false, Some(share)) => preload + share * axial,
            (true, Some(_)) => {
                let shares = on_faces(self.faces[side], self.passed);
                let sum: f64 = shares.map(|share| preload.max(share * axial)).sum();
                sum / f64::from(self.faces[side])
            }
        }
    }

    /// Torque that a pack holds under a force.
    pub(super) fn under(&self, side: usize, force: f64) -> f64 {
        self.lever(side) * force
    }

    /// Torque that a pack holds.
    pub(super) fn torque(&self, side: usize, load: Load) -> f64 {
        self.under(side, self.force(side, load))
    }

    /// The torque that a pack holds by its preload alone.
    pub(super) fn at_rest(&self, side: usize) -> f64 {
        self.lever(side) * self.preload[side]
    }

    /// S_x = c_x q of one pack.
    pub(super) fn share(&self, side: usize, direction: Direction) -> f64 {
        let all = self.lever(side) * self.ramp(direction).rising;
        self.mean_shares[side].map_or(all, |share| share * all)
    }

    /// Where the balance `rate · τ = base + Σ weight_x c_x F_x(τ)` is first met when τ moves away from 0, to whichever side it
    /// must; `None` where it never is: each newton metre then presses for more than one.
    ///
    /// Both forces are straight lines of τ with a corner for each face at the most, so the way is walked from corner to corner.
    pub(super) fn balance(
        &self,
        rate: f64,
        base: f64,
        weights: [f64; 2],
        direction: Direction,
    ) -> Option<Load> {
        let at_rest = base + weights[0] * self.at_rest(0) + weights[1] * self.at_rest(1);
        if at_rest < 0.0 {
            let other = match direction {
                Direction::Drive => Direction::Coast,
                Direction::Coast => Direction::Drive,
            };
            return self.first(
                rate,
                -base,
                weights.map(|weight| -weight),
                self.ramp(other).rising,
            );
        }
        self.first(rate, base, weights, self.ramp(direction).rising)
    }

    /// The same for a q of its own.
    pub(super) fn first(&self, rate: f64, base: f64, weights: [f64; 2], q: f64) -> Option<Load> {
        let lack = |torque: f64| {
            let load = Load { torque, q };
            base + weights[0] * self.torque(0, load) + weights[1] * self.torque(1, load) - rate * torque
        };
        let corners = [0, 1].map(|side| self.corner(side, q, 1.0));
        let mut from = 0.0;
        loop {
            // what each newton metre adds up to the next corner
            let rising: f64 = [0, 1]
                .into_iter()
                .map(|side| {
                    weights[side] * self.lever(side) * q * self.added_from(side, q, corners[side], from)
                })
                .sum();
            let end = [0, 1]
                .into_iter()
                .filter_map(|side| self.next_corner(side, q, corners[side], from))
                .min_by(f64::total_cmp);
            let slope = rate - rising;
            if slope > 0.0 {
                let torque = from + lack(from).max(0.0) / slope;
                if end.is_none_or(|end| torque <= end) {
                    return Some(Load { torque, q });
                }
            }
            from = end?;
        }
    }

    /// The τ from which on a face adds that gets this share of the ring's force.
    fn corner(&self, side: usize, q: f64, share: f64) -> f64 {
        match self.behind && q > 0.0 {
            true => self.preload[side] / (q * share),
            false => 0.0,
        }
    }

    /// The share of the ring's force that presses on the mean of the faces, of those that add from this τ on; `whole` is the corner
    /// of a face with all of it.
    fn added_from(&self, side: usize, q: f64, whole: f64, from: f64) -> f64 {
        let adds = |share: f64| {
            if self.corner(side, q, share) <= from {
                share
            } else {
                0.0
            }
        };
        match self.mean_shares[side] {
            None if whole <= from => 1.0,
            None => 0.0,
            Some(_) => {
                let shares = on_faces(self.faces[side], self.passed);
                shares.map(adds).sum::<f64>() / f64::from(self.faces[side])
            }
        }
    }

    /// The next τ from which on a face of a pack adds.
    fn next_corner(&self, side: usize, q: f64, whole: f64, from: f64) -> Option<f64> {
        let ahead = |share: f64| Some(self.corner(side, q, share)).filter(|at| *at > from);
        match self.mean_shares[side] {
            None => Some(whole).filter(|at| *at > from),
            Some(_) => on_faces(self.faces[side], self.passed)
                .filter_map(ahead)
                .min_by(f64::total_cmp),
        }
    }
}

impl Ramp {
    fn new(setup: &LockSetup, direction: Direction) -> Result<Ramp, MechanicsError> {
        let angle = match direction {
            Direction::Drive => setup.drive,
            Direction::Coast => setup.coast,
        };
        let pins = setup.pin_radius.metres();
        let tabs = match setup.tab_friction {
            None => 0.0,
            Some(tabs) => {
                let friction = friction_within("friction of the ring's tabs", tabs.friction)?;
                let radius = within("the radius of the ring's tabs", tabs.radius, above(Length::ZERO))?;
                friction / radius.metres()
            }
        };
        let gears = match setup.gear_thrust {
            None => 0.0,
            Some(gears) => {
                // the thrust of a torque of 1 N·m on one side gear, which is 2 N·m at the case
                let two = Torque::from_newton_metres(2.0)?;
                side_gear_thrust(two, gears.gear_radius, gears.pressure_angle, gears.pitch_angle)?.newtons()
            }
        };
        let rising = gain(angle, setup.ramp_friction)?.value() / pins;
        let falling = match release_gain(angle, setup.ramp_friction) {
            Ok(release) => Some(release.value() / pins + tabs + gears),
            Err(MechanicsError::SelfLocking { .. }) => None,
            Err(other) => return Err(other),
        };
        // past a number's range is told, not carried on
        Ok(Ramp {
            rising: Ratio::new((rising - tabs).max(0.0) + gears)?.value(),
            falling,
        })
    }
}
