//! What preload, breakaway and locking of a unit will be, each input with its doubt.

use super::breakaway::Bench;
use super::error::MechanicsError;
use super::friction::{Known, KnownFriction};
use super::lock::LockModel;
use super::setup::Direction;
use super::side::Side;
use super::spring::SpringStack;
use super::tabs::force_behind_tabs;
use crate::metrology::{Draw, Input};
use crate::quantity::{Force, Length, Ratio, Torque};

/// The name of the friction of the plates among the inputs.
pub const FRICTION: &str = "friction";
/// The name of the room in which a spring stack stands.
pub const ROOM: &str = "room for the springs";
/// The name of the height of a spring stack without load.
pub const FREE_HEIGHT: &str = "free height";
/// The name of how far springs may press otherwise than reckoned.
pub const SPRING: &str = "spring force";
/// The name of a force that was read in a press, which then counts instead of [`SPRING`].
pub const PRESS: &str = "force read in the press";
/// The name of the height to which a spring was pressed there.
pub const PRESS_HEIGHT: &str = "height in the press";
/// The name of the radius at which the friction acts.
pub const RADIUS: &str = "friction radius";
/// The name of what tabs and splines of the plates hold back.
pub const TABS: &str = "tabs and splines";

/// A spring stack in its room.
#[derive(Clone, PartialEq, Debug)]
pub struct StackDoubt {
    /// The stack as it is reckoned, with its free height.
    pub stack: SpringStack,
    /// The height that it has room for.
    pub height: Length,
    /// The standard uncertainty of that, in millimetres.
    pub height_standard: f64,
    /// The standard uncertainty of its free height, in millimetres.
    pub free_standard: f64,
    /// What a press has read of it, where one has; the stack itself is by its law all the same.
    pub read: Option<ReadForce>,
}

/// The force of a spring stack at a height, as a press has read it. What all stacks of a unit share is one press.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ReadForce {
    /// The height to which it was pressed.
    pub height: Length,
    /// The force of the whole stack there.
    pub force: Force,
    /// The standard uncertainty of that, as a share: certificate and step of the press.
    pub force_standard: f64,
    /// The standard uncertainty of the height, in millimetres.
    pub height_standard: f64,
}

/// What is known of the friction.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum FrictionDoubt {
    /// What the unit's file says, with its standard uncertainty.
    Trade(Ratio, Ratio),
    /// What proofs of this unit have shown.
    Shown(KnownFriction),
}

/// Tabs and splines of the plates, which hold back what the ring presses with while torque passes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TabsDoubt {
    /// Radius of the splines of the plates that are keyed to the gear.
    pub inside: Length,
    /// Radius of the tabs of those keyed to the case.
    pub outside: Length,
    /// The most that the friction between steel and steel may be there; the least is nothing.
    pub most: Ratio,
}

/// What is asked of a unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Predicted {
    /// The force on the left pack, in newtons; on both where one chain spans both.
    Force,
    /// What the wrench reads while turning, in the way of [`Prediction::bench`] and without drag, in newton metres.
    Breakaway,
    /// The locking share of the side that locks less.
    Share(Direction),
}

/// A unit with all that is in doubt of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Prediction {
    /// The unit at the bench with the friction of its file, in the way that is asked; its forces are not looked at.
    pub bench: Bench,
    /// One stack where one chain spans both packs, else left and right.
    pub stacks: Vec<StackDoubt>,
    /// Ends of the band in which springs press, as shares of their reckoned force; `None` where that is not counted.
    pub springs: Option<[f64; 2]>,
    /// Ends of the band in which the friction radius lies, as shares of the reckoned one; `None` where that is not counted.
    pub radius: Option<[f64; 2]>,
    /// The friction.
    pub friction: FrictionDoubt,
    /// Tabs and splines, where they are counted.
    pub tabs: Option<TabsDoubt>,
}

impl Prediction {
    /// The inputs that something follows from. Those that springs, friction and radius share between packs are one input. Source: JCGM
    /// 101:2008, 6.4: what lies in a band is rectangular, what was measured normal, a mean of a few proofs Student's t.
    ///
    /// ```
    /// use shimwright::mechanics::prediction::{FrictionDoubt, Predicted, Prediction, StackDoubt};
    /// # use shimwright::mechanics::{Bench, CoilSpring, Held, Holding, LockSetup, Sense, SpringPlace, SpringStack, Turned};
    /// # use shimwright::quantity::{Force, Length, RampAngle, Ratio, SpringRate};
    /// # let um = Length::from_um;
    /// # let bench = Bench { setup: LockSetup { faces: [8, 8], friction: Ratio::new(0.12)?, friction_radius: um(50_000),
    /// #     pin_radius: um(40_000), drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
    /// #     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None },
    /// #     turning: Ratio::new(0.1)?, holding: Holding { held: Held::Output, turned: Turned::Right, sense: Sense::Forwards } };
    /// # let coil = CoilSpring::new(um(20_000), um(12_000), SpringRate::from_newtons_per_mm(25.0)?)?;
    /// let stack = SpringStack::coils(coil, 8)?;
    /// let unit = Prediction {
    ///     bench,
    ///     stacks: vec![StackDoubt { stack, height: um(15_000), height_standard: 0.01, free_standard: 0.02, read: None }],
    ///     springs: Some([0.9, 1.1]),
    ///     radius: Some([1.0, 1.017]),
    ///     friction: FrictionDoubt::Trade(Ratio::new(0.1)?, Ratio::new(0.01)?),
    ///     tabs: None,
    /// };
    /// let names: Vec<&str> = unit.inputs(Predicted::Force).iter().map(|input| input.name).collect();
    /// assert_eq!(names, ["friction", "room for the springs", "free height", "spring force", "friction radius"]);
    /// // 8 springs of 25 N/mm, 5 mm shorter than free, a tenth stiffer than reckoned
    /// let newtons = unit.follows(Predicted::Force, &[0.1, 15.0, 20.0, 1.1, 1.0]).ok_or("past solid")?;
    /// assert!((newtons - 1100.0).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn inputs(&self, of: Predicted) -> Vec<Input> {
        let normal = |name, mean, sd| Input {
            name,
            draw: Draw::Normal { mean, sd },
        };
        let between = |name, [low, high]: [f64; 2]| Input {
            name,
            draw: Draw::Uniform { low, high },
        };
        let known = |known: Known| {
            let (mean, scale) = (
                known.friction.value(),
                known.friction.value() * known.relative.value(),
            );
            match known.dof.is_finite() {
                true => Input {
                    name: FRICTION,
                    draw: Draw::StudentT {
                        mean,
                        scale,
                        dof: known.dof,
                    },
                },
                false => normal(FRICTION, mean, scale),
            }
        };
        let mut inputs = vec![match (self.friction, of) {
            (FrictionDoubt::Trade(mean, doubt), _) => normal(FRICTION, mean.value(), doubt.value()),
            (FrictionDoubt::Shown(shown), Predicted::Share(_)) => known(shown.plates),
            (FrictionDoubt::Shown(shown), _) => known(shown.breakaway),
        }];
        let shown = matches!(self.friction, FrictionDoubt::Shown(_));
        if let Predicted::Share(_) = of {
            // the proofs were read at the radius that is there
            inputs.extend(self.radius.filter(|_| !shown).map(|ends| between(RADIUS, ends)));
            inputs.extend(self.tabs.and_then(|tabs| {
                let least = self.behind_tabs(&tabs).ok()?;
                Some(between(TABS, [least, 1.0]))
            }));
            return inputs;
        }
        for stack in &self.stacks {
            inputs.push(normal(ROOM, stack.height.mm(), stack.height_standard));
            inputs.push(normal(
                FREE_HEIGHT,
                stack.stack.free_height().mm(),
                stack.free_standard,
            ));
        }
        // a proof read friction, these springs and this radius together, and they are the same again
        let again = shown && of == Predicted::Breakaway;
        match self.read() {
            Some(read) => {
                inputs.push(normal(PRESS, 1.0, read.force_standard));
                inputs.push(normal(PRESS_HEIGHT, 0.0, read.height_standard));
            }
            None => inputs.extend(self.springs.filter(|_| !again).map(|ends| between(SPRING, ends))),
        }
        inputs.extend(self.radius.filter(|_| !again).map(|ends| between(RADIUS, ends)));
        inputs
    }

    /// What a press has read, with the doubt that all stacks share; `None` where it has not read each of them.
    fn read(&self) -> Option<ReadForce> {
        let read = self.stacks.iter().map(|stack| stack.read);
        read.collect::<Option<Vec<_>>>()?.first().copied()
    }

    /// What follows from values of [`Prediction::inputs`]; `None` where that can not be, such as springs past solid or packs that
    /// wedge. Source: [`SpringStack`], [`Bench`] and [`LockModel`], each input times what it may be off by.
    ///
    /// ```
    /// # use shimwright::mechanics::prediction::{FrictionDoubt, Predicted, Prediction};
    /// # use shimwright::mechanics::{Bench, Direction, Held, Holding, LockSetup, Sense, SpringPlace, Turned};
    /// # use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio};
    /// # let um = Length::from_um;
    /// # let bench = Bench { setup: LockSetup { faces: [8, 8], friction: Ratio::new(0.12)?, friction_radius: um(40_000),
    /// #     pin_radius: um(40_000), drive: RampAngle::new(45.0, Datum::RingFace)?, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
    /// #     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None },
    /// #     turning: Ratio::new(0.1)?, holding: Holding { held: Held::Output, turned: Turned::Right, sense: Sense::Forwards } };
    /// // 8 faces at the pins' own radius under ramps of 45 degrees: S = 8 · 0.1 = 0.8; with a tenth less friction 0.72
    /// let friction = FrictionDoubt::Trade(Ratio::new(0.1)?, Ratio::new(0.01)?);
    /// let unit = Prediction { bench, stacks: vec![], springs: None, radius: None, friction, tabs: None };
    /// let share = unit.follows(Predicted::Share(Direction::Drive), &[0.09]).ok_or("none")?;
    /// assert!((share - 0.72).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn follows(&self, of: Predicted, values: &[f64]) -> Option<f64> {
        let share = |at: usize| values.get(at).copied().unwrap_or(1.0);
        match of {
            Predicted::Force => self.newtons(0, values),
            Predicted::Breakaway => {
                let last = self.stacks.len().checked_sub(1)?;
                let force = |side: Side| {
                    let newtons = self.newtons(side.index().min(last), values)?;
                    Force::from_newtons(newtons).ok()
                };
                let pressed = self.bench.pressed([force(Side::Left)?, force(Side::Right)?]);
                // a longer radius does to every pack what more friction does
                let radius = self.shared() + if self.read().is_some() { 2 } else { 1 };
                let times = share(radius) * self.times_the_files(values)?;
                let rubbing = pressed.rubbing(times).ok()?;
                let none = Torque::from_newton_metres(0.0).ok()?;
                Some(rubbing.turning(none).ok()?.reading.newton_metres())
            }
            Predicted::Share(direction) => {
                let times = share(1) * share(2) * self.times_the_files(values)?;
                let mut setup = self.bench.setup.clone();
                setup.friction = Ratio::new(times * self.bench.turning.value()).ok()?;
                Some(LockModel::new(setup).ok()?.share(direction).value())
            }
        }
    }

    /// By how much the friction is that of the unit's file.
    fn times_the_files(&self, values: &[f64]) -> Option<f64> {
        Some(values.first()? / self.bench.turning.value())
    }

    /// Where the values begin that all stacks share.
    fn shared(&self) -> usize {
        1 + 2 * self.stacks.len()
    }

    fn newtons(&self, stack: usize, values: &[f64]) -> Option<f64> {
        let height = Length::from_mm(*values.get(1 + 2 * stack)?).ok()?;
        let free = Length::from_mm(*values.get(2 + 2 * stack)?).ok()?;
        let known = self.stacks.get(stack)?;
        let mut settled = known.stack.with_free_height(free).ok()?;
        if let Some(read) = known.read.filter(|_| self.read().is_some()) {
            let off = Length::from_mm(*values.get(self.shared() + 1)?).ok()?;
            settled = settled.as_read(read.height + off, read.force).ok()?;
        }
        // by how much the springs, or the press, are off
        let times = values.get(self.shared()).copied().unwrap_or(1.0);
        Some(times * settled.force_at_height(height).ok()?.newtons())
    }

    fn behind_tabs(&self, tabs: &TabsDoubt) -> Result<f64, MechanicsError> {
        let setup = &self.bench.setup;
        let of = |faces: u32| {
            let radius = setup.friction_radius;
            force_behind_tabs(
                faces,
                self.bench.turning,
                radius,
                [tabs.inside, tabs.outside],
                tabs.most,
            )
        };
        let [left, right] = [of(setup.faces[0])?.value(), of(setup.faces[1])?.value()];
        Ok(left.min(right))
    }
}
