//! Worn packs: what is left of their force.

use crate::mechanics::breakaway::Bench;
use crate::mechanics::error::{MechanicsError, above, within};
use crate::mechanics::spring::SpringStack;
use crate::quantity::{Force, Length, Ratio, Torque};

/// How wear of the two packs lets the springs out.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Lengthens {
    /// Each pack has a spring and a depth of its own: its spring stands longer by its own wear.
    OwnPack,
    /// One depth spans both packs, a spring behind each: they press alike, and each takes half of the sum.
    HalfOfBoth,
    /// One spring between the rings takes the sum.
    Both,
}

/// A spring-loaded unit as it was built, to be worn in thought.
///
/// ```text
/// height after wear   h + w of the own pack, h + (w_L + w_R)/2, or h + w_L + w_R   (Lengthens)
/// breakaway           as the bench reads it with F0 = F(height)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | h | `heights` as built | mm |
/// | w, w_L, w_R | `wear` of the own, of the left and of the right pack | mm |
/// | which of the three | `lengthens` | – |
/// | F | `stacks`, [`SpringStack::force_at_height`] | N |
/// | as the bench reads it | `bench` | – |
///
/// Source: the chain of the packs; [`Bench::turning`].
///
/// # Example
///
/// ```
/// use shimwright::mechanics::wear::{Lengthens, Worn};
/// use shimwright::mechanics::{Bench, CoilSpring, Held, Holding, LockSetup, Sense, SpringPlace, SpringStack, Turned};
/// use shimwright::quantity::{Force, Length, RampAngle, Ratio, SpringRate, Torque};
/// // 1000 N at 50 mm and 100 N/mm; 2 × 8 faces at 50 mm with a friction of 0.1: 80 N·m
/// let coil = CoilSpring::new(Length::from_um(60_000), Length::from_um(30_000), SpringRate::from_newtons_per_mm(100.0)?)?;
/// let unit = Worn {
///     stacks: [SpringStack::coils(coil, 1)?; 2],
///     heights: [Length::from_um(50_000); 2],
///     lengthens: Lengthens::OwnPack,
///     bench: Bench {
///         setup: LockSetup {
///             faces: [8; 2], friction: Ratio::new(0.12)?, friction_radius: Length::from_um(50_000),
///             pin_radius: Length::from_um(40_000), drive: RampAngle::NONE, coast: RampAngle::NONE,
///             ramp_friction: Ratio::new(0.0)?, preload: [Force::from_newtons(0.0)?; 2],
///             spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
///         },
///         turning: Ratio::new(0.1)?,
///         holding: Holding { held: Held::Case, turned: Turned::Right, sense: Sense::Forwards },
///     },
/// };
/// assert!((unit.breakaway([Length::ZERO; 2])?.newton_metres() - 80.0).abs() < 1e-9);
/// // half a millimetre off each pack takes 50 N of each spring, 1 mm in 20 000 km
/// assert!((unit.breakaway([Length::from_um(500); 2])?.newton_metres() - 76.0).abs() < 1e-9);
/// let least = Torque::from_newton_metres(76.0)?;
/// assert!((unit.lasts([5e-5; 2], 0.0, least)?.unwrap() - 10_000.0).abs() < 1.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct Worn {
    /// The springs that press on the left and the right pack.
    pub stacks: [SpringStack; 2],
    /// Their installed heights as built.
    pub heights: [Length; 2],
    /// How wear lets them out.
    pub lengthens: Lengthens,
    /// Packs, ramps and frictions, and how the breakaway is read. The springs above press, not its preload.
    pub bench: Bench,
}

impl Worn {
    /// The heights of the springs when the packs have lost `wear`, left and right; less than nothing where a pack was
    /// made thicker.
    pub fn heights_after(&self, wear: [Length; 2]) -> [Length; 2] {
        let [left, right] = wear;
        let both = left + right;
        let [l, r] = match self.lengthens {
            Lengthens::OwnPack => [left, right],
            Lengthens::HalfOfBoth => [Length::from_nm(both.nm() / 2); 2],
            Lengthens::Both => [both; 2],
        };
        [self.heights[0] + l, self.heights[1] + r]
    }

    /// The force on each pack after wear.
    ///
    /// # Errors
    ///
    /// Springs that would be pressed past solid.
    pub fn forces(&self, wear: [Length; 2]) -> Result<[Force; 2], MechanicsError> {
        let [left, right] = self.heights_after(wear);
        Ok([
            self.stacks[0].force_at_height(left)?,
            self.stacks[1].force_at_height(right)?,
        ])
    }

    /// The breakaway while turning after wear, without drag.
    ///
    /// # Errors
    ///
    /// As [`Worn::forces`]; those of [`Bench::turning`].
    pub fn breakaway(&self, wear: [Length; 2]) -> Result<Torque, MechanicsError> {
        let pressed = self.bench.pressed(self.forces(wear)?);
        Ok(pressed.turning(Torque::from_newton_metres(0.0)?)?.reading)
    }

    /// The same unit with another friction while turning; the one at first movement changes with it.
    ///
    /// # Errors
    ///
    /// A friction that is no number, or less than nothing.
    pub fn with_friction(&self, turning: Ratio) -> Result<Worn, MechanicsError> {
        within("the friction of the plates", turning, Ratio::new(0.0)?..)?;
        let times = turning.value() / self.bench.turning.value();
        Ok(Worn {
            bench: self.bench.rubbing(times)?,
            ..self.clone()
        })
    }

    /// The same unit when its packs have lost `wear`, to be worn on from there.
    pub fn worn_by(&self, wear: [Length; 2]) -> Worn {
        Worn {
            heights: self.heights_after(wear),
            ..self.clone()
        }
    }

    /// By how much each pack must be made thicker, by shims or plates, for the springs to press with a force again;
    /// less than nothing where they press harder now. `None` where the springs do not reach that force.
    ///
    /// ```text
    /// H(F)     the height at which the spring presses F, on its rising branch
    /// s        h − H(F) of the own pack; of one depth or one spring between, half of what both lack, on each side
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | s | the result | mm |
    /// | F | `force` | N, 0 and above |
    /// | H | `stacks` | mm |
    /// | h | `heights` as they stand | mm |
    ///
    /// Source: the chain of [`Worn::heights_after`], read backwards.
    ///
    /// # Errors
    ///
    /// A force below 0.
    ///
    /// # Example
    ///
    /// ```
    /// # use shimwright::mechanics::wear::{Lengthens, Worn};
    /// # use shimwright::mechanics::{Bench, CoilSpring, Held, Holding, LockSetup, Sense, SpringPlace, SpringStack, Turned};
    /// # use shimwright::quantity::{Force, Length, RampAngle, Ratio, SpringRate};
    /// # let coil = CoilSpring::new(Length::from_um(60_000), Length::from_um(30_000), SpringRate::from_newtons_per_mm(100.0)?)?;
    /// # let unit = Worn { stacks: [SpringStack::coils(coil, 1)?; 2], heights: [Length::from_um(50_000); 2],
    /// #     lengthens: Lengthens::OwnPack, bench: Bench { setup: LockSetup { faces: [8; 2], friction: Ratio::new(0.1)?,
    /// #     friction_radius: Length::from_um(50_000), pin_radius: Length::from_um(40_000), drive: RampAngle::NONE,
    /// #     coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?, preload: [Force::from_newtons(0.0)?; 2],
    /// #     spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None }, turning: Ratio::new(0.1)?,
    /// #     holding: Holding { held: Held::Case, turned: Turned::Right, sense: Sense::Forwards } } };
    /// // the unit of the example above: 1000 N at 50 mm and 100 N/mm, 0.5 and 0.2 mm off its packs
    /// let wear = [Length::from_um(500), Length::from_um(200)];
    /// let lacking = unit.worn_by(wear).lacks(Force::from_newtons(1000.0)?)?;
    /// assert_eq!(lacking, Some(wear));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn lacks(&self, force: Force) -> Result<Option<[Length; 2]>, MechanicsError> {
        within("the force wanted", force, Force::from_newtons(0.0)?..)?;
        let lack = |side: usize| {
            let height = self.stacks[side].heights_for_force(force).first().copied()?;
            Some(self.heights[side] - height)
        };
        let halves = |both: Length| {
            let half = Length::from_nm(both.nm().div_euclid(2));
            [both - half, half]
        };
        Ok((|| {
            Some(match self.lengthens {
                Lengthens::OwnPack => [lack(0)?, lack(1)?],
                // each spring lacks half of what the two packs lack together
                Lengthens::HalfOfBoth => [lack(0)?; 2],
                Lengthens::Both => halves(lack(0)?),
            })
        })())
    }

    /// How far it goes until the breakaway has come down to `least`, with packs that lose `rates` millimetres per
    /// distance each and a friction that loses `fades` per distance; 0 where it is there already, `None` where neither
    /// brings it there.
    ///
    /// Springs past their peak gain force from wear at first: the first meeting is given.
    ///
    /// # Errors
    ///
    /// A rate below 0; those of [`Worn::breakaway`].
    pub fn lasts(&self, rates: [f64; 2], fades: f64, least: Torque) -> Result<Option<f64>, MechanicsError> {
        within("the loss of friction per distance", fades, 0.0..f64::INFINITY)?;
        self.first_met(rates, fades, |distance, wear| {
            let friction = Ratio::new((self.bench.turning.value() - fades * distance).max(0.0))?;
            Ok(self.with_friction(friction)?.breakaway(wear)? <= least)
        })
    }

    /// The same until the force on one of the packs has come down to `least`.
    ///
    /// ```
    /// # use shimwright::mechanics::wear::{Lengthens, Worn};
    /// # use shimwright::mechanics::{Bench, CoilSpring, Held, Holding, LockSetup, Sense, SpringPlace, SpringStack, Turned};
    /// # use shimwright::quantity::{Force, Length, RampAngle, Ratio, SpringRate};
    /// # let coil = CoilSpring::new(Length::from_um(60_000), Length::from_um(30_000), SpringRate::from_newtons_per_mm(100.0)?)?;
    /// # let unit = Worn { stacks: [SpringStack::coils(coil, 1)?; 2], heights: [Length::from_um(50_000); 2],
    /// #     lengthens: Lengthens::OwnPack, bench: Bench { setup: LockSetup { faces: [8; 2], friction: Ratio::new(0.1)?,
    /// #     friction_radius: Length::from_um(50_000), pin_radius: Length::from_um(40_000), drive: RampAngle::NONE,
    /// #     coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?, preload: [Force::from_newtons(0.0)?; 2],
    /// #     spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None }, turning: Ratio::new(0.1)?,
    /// #     holding: Holding { held: Held::Case, turned: Turned::Right, sense: Sense::Forwards } } };
    /// // 1000 N at 100 N/mm: 950 N after half a millimetre, which a pack loses in 10 000 km at 0.05 µm a kilometre
    /// let far = unit.presses([5e-5, 1e-5], Force::from_newtons(950.0)?)?.unwrap();
    /// assert!((far - 10_000.0).abs() < 1.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// A rate below 0; those of [`Worn::forces`].
    pub fn presses(&self, rates: [f64; 2], least: Force) -> Result<Option<f64>, MechanicsError> {
        self.first_met(rates, 0.0, |_, wear| {
            Ok(self.forces(wear)?.iter().any(|force| *force <= least))
        })
    }

    /// The first distance at which something holds that wear, or a friction that fades, brings about.
    fn first_met(
        &self,
        rates: [f64; 2],
        fades: f64,
        holds: impl Fn(f64, [Length; 2]) -> Result<bool, MechanicsError>,
    ) -> Result<Option<f64>, MechanicsError> {
        for rate in rates {
            within("the wear of a pack per distance", rate, 0.0..)?;
        }
        let total = rates[0] + rates[1];
        if holds(0.0, [Length::ZERO; 2])? {
            return Ok(Some(0.0));
        }
        if total <= 0.0 && fades <= 0.0 {
            return Ok(None);
        }
        let at = |distance: f64| {
            let wear = rates.map(|rate| Length::from_mm(rate * distance));
            holds(distance, [wear[0]?, wear[1]?])
        };
        // until both springs are loose nothing more is to come
        let own = match self.lengthens {
            Lengthens::OwnPack => rates,
            Lengthens::HalfOfBoth => [total / 2.0; 2],
            Lengthens::Both => [total; 2],
        };
        let mut far = 0.0_f64;
        for (side, rate) in own.into_iter().enumerate().filter(|(_, rate)| *rate > 0.0) {
            let room = self.stacks[side].free_height() - self.heights[side];
            far = far.max((room.max(Length::ZERO).mm() + 0.01) / rate);
        }
        if fades > 0.0 {
            let gone = self.bench.turning.value() / fades;
            far = if far > 0.0 { far.min(gone) } else { gone };
        }
        const STEPS: u32 = 400;
        let mut before = 0.0;
        for step in 1..=STEPS {
            let here = far * f64::from(step) / f64::from(STEPS);
            if at(here)? {
                let (mut low, mut high) = (before, here);
                for _ in 0..60 {
                    let middle = 0.5 * (low + high);
                    if at(middle)? {
                        high = middle;
                    } else {
                        low = middle;
                    }
                }
                return Ok(Some(high));
            }
            before = here;
        }
        Ok(None)
    }
}

/// How a pack is pressed: the force through it, and how many of its faces rub.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pressing {
    /// The force through the pack.
    pub force: Force,
    /// The faces that rub.
    pub faces: u32,
}

/// What a pack loses per distance under another force and with another number of faces.
///
/// ```text
/// k' = k · F'/F · n'/n
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | k' | the result | as `rate` |
/// | k | `rate` | any length per distance, 0 and above |
/// | F | `was.force` | N, above 0 |
/// | n | `was.faces` | count, 1 and above |
/// | F' | `is.force` | N, 0 and above |
/// | n' | `is.faces` | count |
///
/// The thing that is worn is each face, in proportion to the pressure on it, and a pack loses what its faces lose
/// together; a plate between two faces loses `k · F'/F` whatever their number. Assumed: Archard's law with the
/// preload as the force. The thrust of the ramps under power presses besides, and does not grow with preload; so for
/// more preload this is the most that it costs.
///
/// Source: J. F. Archard, J. Appl. Phys. 24 (1953) 981, from memory.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::wear::{wear_under, Pressing};
/// use shimwright::quantity::Force;
/// let was = Pressing { force: Force::from_newtons(1000.0)?, faces: 8 };
/// let is = Pressing { force: Force::from_newtons(1250.0)?, faces: 10 };
/// // 50 µm in 1000 km become 50 · 1.25 · 1.25
/// assert!((wear_under(50.0, was, is)? - 78.125).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn wear_under(rate: f64, was: Pressing, is: Pressing) -> Result<f64, MechanicsError> {
    let none = Force::from_newtons(0.0)?;
    within("the wear of a pack per distance", rate, 0.0..)?;
    within("the force that it was worn under", was.force, above(none))?;
    within("the number of faces that wore", was.faces, 1..)?;
    within("the force through the pack", is.force, none..)?;
    let worn = rate * is.force.newtons() / was.force.newtons() * f64::from(is.faces) / f64::from(was.faces);
    within("the wear of a pack per distance", worn, 0.0..f64::INFINITY)
}
