//! Breakaway: what the wrench reads at the bench or on the car, and the friction that a reading shows.

use super::error::{MechanicsError, above, friction_within, within};
use super::first_met::{PARTS, ReadAt, halved};
use super::pins::{Load, Pins};
use super::setup::{Direction, LockSetup};
use crate::quantity::{Force, Ratio, Torque};
use std::fmt;

/// What is held still while the wrench turns one output.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Held {
    /// The case is held; the other output is free and turns backwards.
    Case,
    /// The other output is held; the case is free. On the car this is one wheel held with the gearbox in neutral.
    Output,
}

impl fmt::Display for Held {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Held::Case => "case held",
            Held::Output => "one output held",
        })
    }
}

/// The output that the wrench turns.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Turned {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

impl fmt::Display for Turned {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Turned::Left => "left",
            Turned::Right => "right",
        })
    }
}

/// Which way an output is turned, as the wheel on it turns when the car drives.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Sense {
    /// As when the car drives forwards.
    Forwards,
    /// The other way.
    Backwards,
}

impl Sense {
    /// The ramp that works when an output is turned so, left or right alike: forwards the coast ramp, since the pin is pushed
    /// ahead of the rings as in engine braking; backwards the drive ramp.
    pub fn ramp(self) -> Direction {
        match self {
            Sense::Forwards => Direction::Coast,
            Sense::Backwards => Direction::Drive,
        }
    }

    /// The sense that loads a ramp. Source: [`Sense::ramp`], read backwards.
    ///
    /// ```
    /// use shimwright::mechanics::{Direction, Sense};
    /// assert_eq!(Sense::that_loads(Direction::Drive), Sense::Backwards);
    /// assert_eq!(Sense::Forwards.ramp(), Direction::Coast);
    /// ```
    pub fn that_loads(ramp: Direction) -> Sense {
        match ramp {
            Direction::Coast => Sense::Forwards,
            Direction::Drive => Sense::Backwards,
        }
    }
}

impl fmt::Display for Sense {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Sense::Forwards => "forwards",
            Sense::Backwards => "backwards",
        })
    }
}

/// How a unit is held, which output is turned, and which way.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Holding {
    /// What is held still.
    pub held: Held,
    /// The output that the wrench turns.
    pub turned: Turned,
    /// Which way.
    pub sense: Sense,
}

impl Holding {
    /// Left is 0, right 1.
    fn turned_side(self) -> usize {
        match self.turned {
            Turned::Left => 0,
            Turned::Right => 1,
        }
    }
}

/// When a breakaway is read.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Movement {
    /// At first movement.
    First,
    /// While the output turns slowly and steadily.
    Turning,
}

/// A unit at the bench: what its breakaway follows from, and how it is read.
///
/// Call t the pack of the output that is turned, f the other one, ω the speed of the turned output, and τ the torque
/// that the pinions put on either side gear (the same on both, since a pinion is a balance). The pins carry both, 2τ,
/// into the rings, and load the ramp of [`Sense::ramp`]: on either pack they press with F_a = τ q, so that F = max(F0,
/// F_a) with the spring behind the pack and F0 + F_a between the rings, M_x = c_x F_x, c_x = n_x μ r_f (the free body
/// of ring and pack, and q, are those of [`LockModel`](super::LockModel)).
///
/// *The case is held*, output f is free and turns backwards at ω; the pins stand still. The pinions push both side gears
/// backwards, so by reaction the pins are pushed forwards, 2τ, into rings that the held case keys. The free gear: its pack
/// holds it back, and so does what drags at its output, d: τ = M_f + d. The turned gear: M = M_t + d + τ. So
///
/// ```text
/// τ = d + c_f F_f(τ),   M = τ + d + c_t F_t(τ)
/// between the rings     τ = (d + c_f F0)/(1 − S_f),   S_f = c_f q;   two packs alike: 2 (c F0 + d)/(1 − S)
/// behind the pack       two packs alike and S < 1: 2 (c F0 + d)
/// ```
///
/// At S_f = 1 and above it *wedges*, wherever the spring sits and whatever the other pack: what the wrench pulls comes through
/// the free side and presses for more than it pulls. By power where it turns: M ω = (M_t + d) ω + (M_f + d) ω.
///
/// *The other output is held*, the case is free and turns at ω/2. Pack t drags the case on, pack f and the drag D of all that
/// turns with the case hold it, and the pins push it on: M_t − M_f − D + 2τ = 0. The turned gear: M = M_t + τ. So
///
/// ```text
/// 2τ = D + M_f(τ) − M_t(τ),   M = (M_t + M_f + D)/2
/// two packs alike: 2τ = D; behind the pack (ΔT0 + D)/2 while D k/(2 r_p) < F0, between the rings (ΔT0 + (1 + S) D)/2
/// no drag, between the rings: F = F0/(1 − |S_t − S_f|/2)
/// ```
///
/// Where M_t is more than D + M_f the pins are pushed the other way and load the other ramp. By power: M ω = (M_t + M_f + D) ω/2.
///
/// *Turning* (slow and steady) after first movement, with one output held: as above with the turning friction. With the case
/// held the load on the ramps falls when the plates let go, and a ramp's friction then holds the ring where it was: F stays
/// as at first movement while τ q_release ≥ τ_first q, which is M_first · μ_turning/μ_still with two packs alike; else the ring
/// comes back to τ = d + c_f F_f(τ) with q_release.
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | M | [`Bench::first_movement`] or [`Bench::turning`] | N·m |
/// | d, D | `drag`, with the case and with one output held | N·m, 0 and above |
/// | F0 | `setup.preload` | N, 0 and above |
/// | n | `setup.faces` | count, at most 1000 |
/// | μ | `setup.friction` of the plates | ratio, 0 to 1 |
/// | r_f | `setup.friction_radius` | m, above 0 |
/// | r_p | `setup.pin_radius` | m, above 0 |
/// | k | [`gain`](super::ramp::gain) of `setup.drive` or `setup.coast` with `setup.ramp_friction` | ratio; friction 0 to 1 |
/// | μ_tab, r_tab | `setup.tab_friction` | ratio, 0 to 1; m, above 0 |
/// | r_g, α, δ | `setup.gear_thrust` | m, above 0; °, 0 to 45; °, 0 to 90 |
/// | k_release | [`release_gain`](super::ramp::release_gain) of the same: q_release = k_release/r_p + μ_tab/r_tab + tan α sin δ/r_g | ratio; below the angle of friction the ring hangs on |
/// | behind, between | `setup.spring_place` | – |
/// | μ_turning | `turning` | ratio, 0 to 1 |
/// | case or output held, t and f, the ramp | `holding.held`, `holding.turned`, `holding.sense` | – |
///
/// Source: the balance of the free bodies named.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::{Bench, Held, Holding, LockSetup, Sense, SpringPlace, Turned};
/// use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};
/// // 2 packs of 8 faces at 40 mm under 1000 N, friction 0.1: 32 N·m each; a drive ramp of 60 degrees on pins at 30 mm
/// let unit = Bench {
///     setup: LockSetup {
///         faces: [8, 8],
///         friction: Ratio::new(0.1)?,
///         friction_radius: Length::from_um(40_000),
///         pin_radius: Length::from_um(30_000),
///         drive: RampAngle::new(60.0, Datum::RingFace)?,
///         coast: RampAngle::NONE,
///         ramp_friction: Ratio::new(0.0)?,
///         preload: [Force::from_newtons(1000.0)?; 2],
///         spring_place: SpringPlace::BetweenRings,
///         gear_thrust: None,
///         tab_friction: None,
///     },
///     turning: Ratio::new(0.1)?,
///     holding: Holding { held: Held::Output, turned: Turned::Right, sense: Sense::Backwards },
/// };
/// let none = Torque::from_newton_metres(0.0)?;
/// assert!((unit.first_movement(none)?.reading.newton_metres() - 32.0).abs() < 1e-9);
/// // with the case held the drive ramp works: S = 3.2/30 · cot 60° = 0.616, and 64 N·m become 64/(1 − S)
/// let case = unit.read(Holding { held: Held::Case, ..unit.holding });
/// assert!((case.share()?.value() - 0.6158).abs() < 1e-4);
/// assert!((case.first_movement(none)?.reading.newton_metres() - 166.59).abs() < 0.01);
/// // turned forwards the coast ramp works, and there is none
/// let forwards = case.read(Holding { sense: Sense::Forwards, ..case.holding });
/// assert!((forwards.first_movement(none)?.reading.newton_metres() - 64.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct Bench {
    /// Packs, ramps and springs; its friction is the one at first movement.
    pub setup: LockSetup,
    /// Friction of the plates while they turn slowly, 0 to 1.
    pub turning: Ratio,
    /// How it is read.
    pub holding: Holding,
}

/// What the wrench reads, and what makes it up.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WrenchReading {
    /// At the output that is turned.
    pub reading: Torque,
    /// Force through the left and the right pack.
    pub forces: [Force; 2],
    /// What these packs hold.
    pub packs: [Torque; 2],
}

impl Bench {
    /// The same unit, read in another way.
    pub fn read(&self, holding: Holding) -> Bench {
        Bench {
            holding,
            ..self.clone()
        }
    }

    /// The same unit with other forces on its packs.
    pub fn pressed(&self, preload: [Force; 2]) -> Bench {
        let mut pressed = self.clone();
        pressed.setup.preload = preload;
        pressed
    }

    /// The same unit with both frictions multiplied.
    ///
    /// # Errors
    ///
    /// A number that is none.
    pub fn rubbing(&self, times: f64) -> Result<Bench, MechanicsError> {
        let mut rubbing = self.clone();
        rubbing.setup.friction = Ratio::new(self.setup.friction.value() * times)?;
        rubbing.turning = Ratio::new(self.turning.value() * times)?;
        Ok(rubbing)
    }

    /// S of the pack that the pins are loaded through, which decides alone whether the case can be held: that of the output
    /// that is not turned, with the friction at first movement.
    ///
    /// # Errors
    ///
    /// The setup out of range.
    pub fn share(&self) -> Result<Ratio, MechanicsError> {
        let pins = Pins::of(&self.setup)?;
        Ok(Ratio::new(pins.share(self.other(), self.ramp()))?)
    }

    /// Whether the packs would wedge if the case were held, with either output turned and either way round: the share that is
    /// 1 or more, and how it would be turned for that; `None` where they turn all four ways.
    ///
    /// # Errors
    ///
    /// The setup out of range.
    pub fn wedges_with_the_case_held(&self) -> Result<Option<(Ratio, Holding)>, MechanicsError> {
        Ok(self.tightest()?.filter(|(share, _)| share.value() >= 1.0))
    }

    /// With the case held, the way of turning of the four that loads the packs the most, with its share.
    ///
    /// # Errors
    ///
    /// The setup out of range.
    pub fn tightest(&self) -> Result<Option<(Ratio, Holding)>, MechanicsError> {
        let mut tightest: Option<(Ratio, Holding)> = None;
        for turned in [Turned::Right, Turned::Left] {
            for sense in [Sense::Forwards, Sense::Backwards] {
                let holding = Holding {
                    held: Held::Case,
                    turned,
                    sense,
                };
                let share = self.read(holding).share()?;
                if tightest.is_none_or(|(most, _)| most < share) {
                    tightest = Some((share, holding));
                }
            }
        }
        Ok(tightest)
    }

    /// What the wrench reads at first movement.
    ///
    /// `drag`, not below 0: with one output held, D, what turns an output when nothing is held and all turns together (on
    /// the car all that the case drags along); with the case held, d, what each output drags of itself.
    ///
    /// # Errors
    ///
    /// The drag or the setup out of range; [`MechanicsError::Wedges`].
    pub fn first_movement(&self, drag: Torque) -> Result<WrenchReading, MechanicsError> {
        let pins = Pins::of(&self.setup)?;
        let drag = drag_within(drag)?;
        self.shown(&pins, self.rising(&pins, drag)?, drag)
    }

    /// [`Bench::first_movement`] or [`Bench::turning`].
    ///
    /// # Errors
    ///
    /// As the function that is meant.
    pub fn reads(&self, movement: Movement, drag: Torque) -> Result<WrenchReading, MechanicsError> {
        match movement {
            Movement::First => self.first_movement(drag),
            Movement::Turning => self.turning(drag),
        }
    }

    /// What the wrench reads while the output turns slowly and steadily, after it has broken away.
    ///
    /// # Errors
    ///
    /// As [`Bench::first_movement`]; friction out of range.
    pub fn turning(&self, drag: Torque) -> Result<WrenchReading, MechanicsError> {
        self.turning_at(&Pins::of(&self.setup)?, self.turning, drag)
    }

    /// The same for packs that rub and are pressed as `still` has them, and rub with `friction` while they turn.
    pub(super) fn turning_at(
        &self,
        still: &Pins,
        friction: Ratio,
        drag: Torque,
    ) -> Result<WrenchReading, MechanicsError> {
        let drag = drag_within(drag)?;
        let friction = friction_within("friction of the plates while turning", friction)?;
        let turning = still.with_friction(friction);
        if self.holding.held == Held::Output {
            let load = self.rising(&turning, drag)?;
            return self.shown(&turning, load, drag);
        }
        let first = self.rising(still, drag)?;
        let free = self.other();
        let lifted = still.force(free, first) > still.preload(free);
        if !lifted || friction >= still.friction() {
            let load = self.rising(&turning, drag)?;
            return self.shown(&turning, load, drag);
        }
        let hung = drag + turning.torque(free, first);
        match turning.ramp(self.ramp()).falling {
            Some(falling) if hung * falling < first.torque * first.q => {
                let load = turning
                    .first(1.0, drag, self.free(), falling)
                    .ok_or(MechanicsError::Wedges {
                        share: Ratio::new(still.share(free, self.ramp()))?,
                    })?;
                self.shown(&turning, load, drag)
            }
            // the forces stay as they were
            _ => {
                let held = turning.torque(1 - free, first);
                Ok(WrenchReading {
                    reading: Torque::from_newton_metres(hung + drag + held)?,
                    ..self.shown(&turning, first, drag)?
                })
            }
        }
    }

    /// The friction that a reading shows at first movement, or while turning with one output held: the one with which
    /// [`Bench::first_movement`] would read so.
    ///
    /// Where more than one friction gives that reading it is the least, which is reached first.
    ///
    /// ```
    /// # use shimwright::mechanics::{Bench, Held, Holding, LockSetup, Sense, SpringPlace, Turned};
    /// # use shimwright::quantity::{Force, Length, RampAngle, Ratio, Torque};
    /// # let unit = Bench { setup: LockSetup { faces: [8, 8], friction: Ratio::new(0.12)?, friction_radius: Length::from_um(50_000),
    /// #     pin_radius: Length::from_um(40_000), drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
    /// #     preload: [Force::from_newtons(1000.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None },
    /// #     turning: Ratio::new(0.1)?, holding: Holding { held: Held::Output, turned: Turned::Right, sense: Sense::Forwards } };
    /// // 2 packs of 8 faces at 50 mm under 1000 N: 800 N·m times the friction, and half of that and of the drag with one
    /// // output held
    /// let nm = Torque::from_newton_metres;
    /// assert!((unit.friction(nm(41.5)?, nm(3.0)?)?.value() - 0.1).abs() < 1e-12);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// The drag alone reads more than that; no force on any face; a friction above 1, which no plate reaches;
    /// [`MechanicsError::Wedges`] where the packs would wedge before they read so much.
    pub fn friction(&self, reading: Torque, drag: Torque) -> Result<Ratio, MechanicsError> {
        let pins = Pins::of(&self.setup)?;
        let drag = drag_within(drag)?;
        let pressed: f64 = [0, 1]
            .map(|side| f64::from(self.setup.faces[side]) * pins.preload(side))
            .iter()
            .sum();
        within(
            "the force on all faces",
            Force::from_newtons(pressed)?,
            above(Force::from_newtons(0.0)?),
        )?;
        let reads = |friction: f64| -> Result<ReadAt, MechanicsError> {
            let pins = pins.with_friction(friction);
            match self.rising(&pins, drag) {
                Ok(load) => Ok(Some(read_at(&self.shown(&pins, load, drag)?))),
                Err(MechanicsError::Wedges { .. }) => Ok(None),
                Err(other) => Err(other),
            }
        };
        match halved(reading, 1.0, self.parts(), reads)? {
            Ok(friction) => Ok(Ratio::new(friction)?),
            Err(friction) => {
                if let Some((most, _)) = reads(1.0)?
                    && most < reading.newton_metres()
                {
                    let too_much = Ratio::new(reading.newton_metres() / most)?;
                    friction_within("friction of the plates", too_much)?;
                }
                let share = pins.with_friction(friction).share(self.other(), self.ramp());
                Err(MechanicsError::Wedges {
                    share: Ratio::new(share)?,
                })
            }
        }
    }

    /// By how much both frictions would have to be multiplied for a reading: 1 where it is what is expected.
    ///
    /// # Errors
    ///
    /// As [`Bench::friction`].
    pub fn factor(&self, movement: Movement, reading: Torque, drag: Torque) -> Result<f64, MechanicsError> {
        let highest = self.setup.friction.value().max(self.turning.value());
        within(
            "friction of the plates",
            self.setup.friction,
            above(Ratio::new(0.0)?),
        )?;
        let reads = |factor: f64| match self.rubbing(factor)?.reads(movement, drag) {
            Ok(read) => Ok(Some(read_at(&read))),
            Err(MechanicsError::Wedges { .. }) => Ok(None),
            Err(other) => Err(other),
        };
        // rounding must not take it past a friction of 1
        let most = (1.0 - 1e-9) / highest;
        let wedges = |factor: f64| -> Result<MechanicsError, MechanicsError> {
            Ok(MechanicsError::Wedges {
                share: self.rubbing(factor)?.share()?,
            })
        };
        match halved(reading, most, self.parts(), reads)? {
            Ok(factor) => Ok(factor),
            Err(factor) => {
                if let Some((there, _)) = reads(most)?
                    && there < reading.newton_metres()
                {
                    friction_within(
                        "friction of the plates",
                        Ratio::new(reading.newton_metres() / there)?,
                    )?;
                }
                Err(wedges(factor)?)
            }
        }
    }

    /// Packs that are alike read more with every bit of friction; so does the case held, whatever the packs.
    fn parts(&self) -> u32 {
        let [left, right] = &self.setup.preload;
        let alike = left == right && self.setup.faces[0] == self.setup.faces[1];
        if alike || self.holding.held == Held::Case {
            1
        } else {
            PARTS
        }
    }

    fn other(&self) -> usize {
        1 - self.holding.turned_side()
    }

    fn ramp(&self) -> Direction {
        self.holding.sense.ramp()
    }

    /// The pack of the free output alone.
    fn free(&self) -> [f64; 2] {
        let mut weights = [0.0; 2];
        weights[self.other()] = 1.0;
        weights
    }

    /// What the pins carry while the packs slip and the torque has only risen.
    fn rising(&self, pins: &Pins, drag: f64) -> Result<Load, MechanicsError> {
        let share = pins.share(self.other(), self.ramp());
        let load = match self.holding.held {
            // at a share of just 1 the two lines lie on each other, and that has no end
            Held::Case if share >= 1.0 => None,
            Held::Case => pins.balance(1.0, drag, self.free(), self.ramp()),
            Held::Output => {
                let mut weights = [-1.0; 2];
                weights[self.other()] = 1.0;
                pins.balance(2.0, drag, weights, self.ramp())
            }
        };
        match load {
            Some(load) => Ok(load),
            None => Err(MechanicsError::Wedges {
                share: Ratio::new(share)?,
            }),
        }
    }

    fn shown(&self, pins: &Pins, load: Load, drag: f64) -> Result<WrenchReading, MechanicsError> {
        let forces = [pins.force(0, load), pins.force(1, load)];
        let packs = [pins.under(0, forces[0]), pins.under(1, forces[1])];
        let reading = match self.holding.held {
            Held::Case => load.torque + drag + packs[self.holding.turned_side()],
            Held::Output => (packs[0] + packs[1] + drag) / 2.0,
        };
        Ok(WrenchReading {
            reading: Torque::from_newton_metres(reading)?,
            forces: [Force::from_newtons(forces[0])?, Force::from_newtons(forces[1])?],
            packs: [
                Torque::from_newton_metres(packs[0])?,
                Torque::from_newton_metres(packs[1])?,
            ],
        })
    }
}

fn read_at(read: &WrenchReading) -> (f64, bool) {
    let [left, right] = read.packs.map(Torque::newton_metres);
    // alike but for rounding is alike
    (read.reading.newton_metres(), left > right * (1.0 + 1e-9))
}

fn drag_within(drag: Torque) -> Result<f64, MechanicsError> {
    within("the drag", drag, Torque::from_newton_metres(0.0)?..).map(Torque::newton_metres)
}

/// Whether a reading is about what another way of reading would give, and not what this one should.
///
/// `expected` and `other` are what the wrench should show in this way and in the other; about means within 15 %, *common
/// practice, no source*: the spread of breakaway readings. Ways that read less than 1.4 times apart are not told apart by that.
///
/// ```
/// use shimwright::mechanics::breakaway::looks_like;
/// use shimwright::quantity::Torque;
/// let nm = |value| Torque::from_newton_metres(value);
/// assert!(looks_like(nm(42.0)?, nm(80.0)?, nm(40.0)?));
/// assert!(!looks_like(nm(70.0)?, nm(80.0)?, nm(64.0)?));
/// # Ok::<(), shimwright::quantity::NotFinite>(())
/// ```
pub fn looks_like(reading: Torque, expected: Torque, other: Torque) -> bool {
    let about = |wanted: Torque| {
        let ratio = reading.newton_metres() / wanted.newton_metres();
        (0.85..=1.15).contains(&ratio)
    };
    let apart = other.newton_metres() / expected.newton_metres();
    about(other) && !about(expected) && !(1.0 / 1.4..=1.4).contains(&apart)
}

#[cfg(test)]
mod tests;
