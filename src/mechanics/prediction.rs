//! What preload, breakaway and locking of a unit will be, each input with its doubt.

use super::breakaway::Bench;
use super::friction::{Known, KnownFriction};
use super::pins::Pins;
use super::setup::Direction;
use super::side::Side;
use super::spring::SpringStack;
use super::tabs::PlateTabs;
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
/// The name of how far discs may press otherwise than their measured height and thickness make them, which then counts instead
/// of [`SPRING`].
pub const DISCS: &str = "spring force of measured discs";
/// The name of the measured thickness of discs.
pub const THICKNESS: &str = "thickness of the discs";
/// The name of a force that was read in a press, which then counts instead of [`SPRING`].
pub const PRESS: &str = "force read in the press";
/// The name of the height to which a spring was pressed there.
pub const PRESS_HEIGHT: &str = "height in the press";
/// The name of what room and free height have in common that one gauge has read.
pub const GAUGE: &str = "zero and calibration of the depth gauge";
/// The name of what discs that lie in each other rub.
pub const NESTED: &str = "friction between nested discs";
/// The name of the radius at which the friction acts.
pub const RADIUS: &str = "friction radius";
/// The name of what tabs and splines of the plates hold back.
pub const TABS: &str = "tabs and splines";

/// The standard uncertainty of the force of discs by their measured height and thickness, as a share (*common practice, no source*).
const MEASURED_DISCS: f64 = 0.03;

/// A spring stack in its room.
#[derive(Clone, PartialEq, Debug)]
pub struct StackDoubt {
    /// The stack as it is reckoned, with its free height.
    pub stack: SpringStack,
    /// The height that it has room for.
    pub height: Length,
    /// The standard uncertainty of that, in millimetres, without what `gauge` has of it.
    pub height_standard: f64,
    /// The standard uncertainty of its free height, in millimetres, likewise.
    pub free_standard: f64,
    /// By how many millimetres room and free height are off, with their signs, where the gauge that has read both is off by one standard
    /// uncertainty of its zero and its calibration; nothing where that is told with the others.
    pub gauge: [f64; 2],
    /// Ends of the band in which friction between discs that lie in each other leaves the force, as shares of it; `None` where none do, or
    /// it is not counted.
    pub nested: Option<[f64; 2]>,
    /// The standard uncertainty of the thickness of its discs, in millimetres, where that was measured and the stack is reckoned by
    /// it. One instrument reads all stacks.
    pub thickness_standard: Option<f64>,
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

/// Tabs and splines of the plates, which hold back what the ring presses with while torque rises.
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
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Predicted {
    /// The force on the left pack, in newtons; on both where one chain spans both.
    Force,
    /// What the wrench reads while turning, in the way of [`Prediction::bench`] and without drag, in newton metres.
    Breakaway,
    /// The locking share of the side that locks less.
    Share(Direction, Packs),
    /// The difference of torques that the side that locks less holds at a torque at the case, in newton metres.
    Difference(Direction, Torque, Packs),
}

/// What the packs do while a lock is looked at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Packs {
    /// They slip, and the torque rises.
    Slipping,
    /// They are about to break loose, by the friction at first movement.
    AtRest,
    /// They slip, and the torque falls: ramps, tabs and splines hold on.
    Unloading,
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
    ///     stacks: vec![StackDoubt { stack, height: um(15_000), height_standard: 0.01, free_standard: 0.02,
    ///         gauge: [0.0; 2], nested: None, thickness_standard: None, read: None }],
    ///     springs: Some([0.9, 1.1]),
    ///     radius: Some([1.0, 1.017]),
    ///     friction: FrictionDoubt::Trade(Ratio::new(0.1)?, Ratio::new(0.01)?),
    ///     tabs: None,
    /// };
    /// let names: Vec<&str> = unit.inputs(Predicted::Force).iter().map(|input| input.name).collect();
    /// assert_eq!(names, ["friction", "room for the springs", "free height", "spring force", "friction radius"]);
    /// // 8 springs of 25 N/mm, 5 mm shorter than free, a tenth stiffer than reckoned
    /// let newtons = unit.follows(Predicted::Force)(&[0.1, 15.0, 20.0, 1.1, 1.0]).ok_or("past solid")?;
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
        let student = |name, mean, scale, dof: f64| match dof.is_finite() {
            true => Input {
                name,
                draw: Draw::StudentT { mean, scale, dof },
            },
            false => normal(name, mean, scale),
        };
        let known = |known: Known| {
            let mean = known.friction.value();
            student(FRICTION, mean, mean * known.relative.value(), known.dof)
        };
        let mut inputs = vec![match (self.friction, of) {
            (FrictionDoubt::Trade(mean, doubt), _) => normal(FRICTION, mean.value(), doubt.value()),
            (FrictionDoubt::Shown(shown), Predicted::Share(..)) => known(shown.plates),
            (FrictionDoubt::Shown(shown), Predicted::Difference(..)) => {
                let mean = shown.plates.friction.value();
                normal(FRICTION, mean, mean * shown.read_together().plates)
            }
            (FrictionDoubt::Shown(shown), _) => known(shown.breakaway),
        }];
        if !matches!(of, Predicted::Share(..)) {
            for stack in &self.stacks {
                inputs.push(normal(ROOM, stack.height.mm(), stack.height_standard));
                inputs.push(normal(
                    FREE_HEIGHT,
                    stack.stack.free_height().mm(),
                    stack.free_standard,
                ));
            }
        }
        let counted = self.counted(of);
        if let Some(read) = counted.press {
            inputs.push(normal(PRESS, 1.0, read.force_standard));
            inputs.push(normal(PRESS_HEIGHT, 0.0, read.height_standard));
        }
        inputs.extend(counted.springs.and_then(|_| self.spring_input()));
        if let Some(known) = counted.apart {
            let best = known.springs[0].value();
            let name = if self.read().is_some() { PRESS } else { SPRING };
            inputs.push(normal(name, best, best * known.read_together().springs));
            inputs.push(student(FRICTION, 1.0, known.scatter.value(), known.scatter_dof));
        }
        inputs.extend(counted.radius.map(|ends| between(RADIUS, ends)));
        inputs.extend(counted.tabs.map(|most| between(TABS, [0.0, most])));
        inputs.extend(counted.gauge.then(|| normal(GAUGE, 0.0, 1.0)));
        inputs.extend(counted.nested.map(|ends| between(NESTED, ends)));
        inputs.extend(counted.thickness.then(|| normal(THICKNESS, 0.0, 1.0)));
        inputs
    }

    /// How far springs may press otherwise than reckoned, as a share of that: discs whose height and thickness were measured by 3 %
    /// (*common practice, no source*), no further than the ends of their band; others anywhere in it. `None` where that is not
    /// counted.
    ///
    /// Source of the band: DIN EN 16983, at three quarters of the height of the cone.
    pub fn spring_input(&self) -> Option<Input> {
        let [low, high] = self.springs?;
        Some(match self.discs_are_measured() {
            true => Input {
                name: DISCS,
                draw: Draw::TruncatedNormal {
                    mean: 1.0,
                    sd: MEASURED_DISCS,
                    low,
                    high,
                },
            },
            false => Input {
                name: SPRING,
                draw: Draw::Uniform { low, high },
            },
        })
    }

    /// Whether the discs of each stack are reckoned by a measured thickness.
    fn discs_are_measured(&self) -> bool {
        let mut known = self.stacks.iter().map(|stack| stack.thickness_standard);
        !self.stacks.is_empty() && known.all(|thickness| thickness.is_some())
    }

    /// What counts besides friction and heights.
    fn counted(&self, of: Predicted) -> Counted {
        // a proof read friction, these springs (or what the press says of them) and this radius together, and they are the same again
        let trade = match self.friction {
            FrictionDoubt::Trade(..) => true,
            FrictionDoubt::Shown(_) => of == Predicted::Force,
        };
        let (lock, difference) = match of {
            Predicted::Force | Predicted::Breakaway => (false, false),
            Predicted::Share(..) => (true, false),
            Predicted::Difference(..) => (true, true),
        };
        let sprung = difference || !lock;
        let press = self.read().filter(|_| trade && sprung);
        Counted {
            press,
            springs: self.springs.filter(|_| trade && sprung && press.is_none()),
            apart: match self.friction {
                FrictionDoubt::Shown(known) if difference => Some(known),
                _ => None,
            },
            radius: self.radius.filter(|_| trade),
            tabs: self.tabs.filter(|_| lock).map(|tabs| tabs.most.value()),
            gauge: sprung
                && self
                    .stacks
                    .iter()
                    .any(|stack| stack.gauge.iter().any(|off| off.abs() > 0.0)),
            nested: self
                .stacks
                .iter()
                .find_map(|stack| stack.nested)
                .filter(|_| trade && sprung),
            thickness: trade && sprung && self.discs_are_measured(),
        }
    }

    /// The model of something: what follows from values of [`Prediction::inputs`], or `None` where that can not be, such as springs past solid or packs that
    /// wedge. What no value changes is worked out once. Source: [`SpringStack`], [`Bench`] and [`LockModel`](super::LockModel), each input times what it may be
    /// off by.
    ///
    /// ```
    /// # use shimwright::mechanics::prediction::{FrictionDoubt, Packs, Predicted, Prediction};
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
    /// let share = unit.follows(Predicted::Share(Direction::Drive, Packs::Slipping))(&[0.09]).ok_or("none")?;
    /// assert!((share - 0.72).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn follows(&self, of: Predicted) -> impl Fn(&[f64]) -> Option<f64> + Sync + use<'_> {
        let counted = self.counted(of);
        // ramps are the same in each draw, and a fault in them is one in each
        let bare = Pins::bare(&self.bench.setup).ok();
        move |values| self.follows_from(&counted, bare.as_ref()?, of, values)
    }

    fn follows_from(&self, counted: &Counted, bare: &Pins, of: Predicted, values: &[f64]) -> Option<f64> {
        let heights = match of {
            Predicted::Share(..) => 0,
            _ => 2 * self.stacks.len(),
        };
        // in the order of the inputs
        let mut rest = values.iter().skip(1 + heights).copied();
        let mut next = |is_there: bool| is_there.then(|| rest.next()).flatten();
        // by how much the springs, or the press, are off
        let drawn = counted.press.is_some() || counted.springs.is_some() || counted.apart.is_some();
        let springs = next(drawn).unwrap_or(1.0);
        let pressed = next(counted.press.is_some()).unwrap_or(0.0);
        let scatter = next(counted.apart.is_some()).unwrap_or(1.0);
        let radius = next(counted.radius.is_some()).unwrap_or(1.0);
        let tabs = next(counted.tabs.is_some());
        let gauge = next(counted.gauge).unwrap_or(0.0);
        let nested = next(counted.nested.is_some()).unwrap_or(1.0);
        let thickness = next(counted.thickness);
        let off = Off {
            times: springs * nested,
            pressed,
            gauge,
            thickness,
        };
        let times = radius * scatter * self.times_the_files(values)?;
        match of {
            Predicted::Force => self.newtons(0, values, off),
            Predicted::Breakaway => {
                // a longer radius does to every pack what more friction does
                let more = |friction: Ratio| Ratio::new(friction.value() * times).ok();
                let still = bare
                    .rubbing(more(self.bench.setup.friction)?, self.forces(values, off)?)
                    .ok()?;
                let none = Torque::from_newton_metres(0.0).ok()?;
                let turning = self
                    .bench
                    .turning_at(&still, more(self.bench.turning)?, none)
                    .ok()?;
                Some(turning.reading.newton_metres())
            }
            Predicted::Share(direction, packs) => {
                let none = self.bench.setup.preload;
                Some(
                    self.pins(bare, direction, packs, times, none, tabs)?
                        .least_share(direction),
                )
            }
            Predicted::Difference(direction, torque, packs) => {
                // what proofs read is friction times force: more of the one is less of the other
                let by_plates = counted.apart.map(|known| {
                    let more = values
                        .first()
                        .map(|friction| friction / known.plates.friction.value());
                    more.map_or(1.0, |more| more.powf(known.read_together().by_plates))
                });
                let springs = Off {
                    times: off.times * by_plates.unwrap_or(1.0),
                    ..off
                };
                let preload = self.forces(values, springs).unwrap_or(self.bench.setup.preload);
                let pins = self.pins(bare, direction, packs, times, preload, tabs)?;
                Some(pins.holds(direction, torque.newton_metres()))
            }
        }
    }

    /// The unit with so many times the friction of its file, pressed by its springs, and with so much friction in its tabs.
    fn pins(
        &self,
        bare: &Pins,
        direction: Direction,
        packs: Packs,
        times: f64,
        preload: [Force; 2],
        tabs: Option<f64>,
    ) -> Option<Pins> {
        let friction = match packs {
            Packs::Slipping | Packs::Unloading => self.bench.turning,
            Packs::AtRest => self.bench.setup.friction,
        };
        let friction = Ratio::new(times * friction.value()).ok()?;
        let mut pins = bare.rubbing(friction, preload).ok()?;
        if let Some(tabs) = self.plate_tabs(tabs) {
            pins = pins.with_tabs(tabs.passed(friction, self.bench.setup.friction_radius).ok()?);
        }
        match packs {
            Packs::Slipping | Packs::AtRest => Some(pins),
            Packs::Unloading => pins.falling(direction),
        }
    }

    /// Tabs and splines with so much friction.
    fn plate_tabs(&self, friction: Option<f64>) -> Option<PlateTabs> {
        let (radii, friction) = self.tabs.zip(friction)?;
        Some(PlateTabs {
            inside: radii.inside,
            outside: radii.outside,
            friction: Ratio::new(friction).ok()?,
        })
    }

    /// The forces on both packs; `None` without springs.
    fn forces(&self, values: &[f64], off: Off) -> Option<[Force; 2]> {
        let force = |stack: usize| Force::from_newtons(self.newtons(stack, values, off)?).ok();
        let left = force(Side::Left.index())?;
        // one stack presses on both
        let right = match self.stacks.len() {
            1 => left,
            _ => force(Side::Right.index())?,
        };
        Some([left, right])
    }

    /// By how much the friction is that of the unit's file.
    fn times_the_files(&self, values: &[f64]) -> Option<f64> {
        Some(values.first()? / self.bench.turning.value())
    }

    /// The force of a stack.
    fn newtons(&self, stack: usize, values: &[f64], off: Off) -> Option<f64> {
        let known = self.stacks.get(stack)?;
        let read = |place: usize| {
            let value = values.get(1 + 2 * stack + place)?;
            Length::from_mm(value + off.gauge * known.gauge[place]).ok()
        };
        let mut stack = known.stack;
        if let (Some(off), Some(doubt)) = (off.thickness, known.thickness_standard) {
            let thickness = Length::from_mm(stack.thickness()?.mm() + off * doubt).ok()?;
            stack = stack.with_thickness(thickness).ok()?;
        }
        let mut settled = stack.with_free_height(read(1)?).ok()?;
        if let Some(read) = known.read.filter(|_| self.read().is_some()) {
            let beside = Length::from_mm(off.pressed).ok()?;
            settled = settled.as_read(read.height + beside, read.force).ok()?;
        }
        Some(off.times * settled.force_at_height(read(0)?).ok()?.newtons())
    }

    /// What a press has read, with the doubt that all stacks share; `None` where it has not read each of them.
    fn read(&self) -> Option<ReadForce> {
        // asked for each draw, so nothing is collected
        let first = self.stacks.first()?.read;
        first.filter(|_| self.stacks.iter().all(|stack| stack.read.is_some()))
    }
}

/// What counts of a prediction besides friction and heights.
struct Counted {
    press: Option<ReadForce>,
    springs: Option<[f64; 2]>,
    /// What proofs read of springs and plates together, where both are wanted apart.
    apart: Option<KnownFriction>,
    radius: Option<[f64; 2]>,
    tabs: Option<f64>,
    gauge: bool,
    nested: Option<[f64; 2]>,
    thickness: bool,
}

/// How springs stand beside what is reckoned of them.
#[derive(Clone, Copy)]
struct Off {
    /// How many times as hard they press.
    times: f64,
    /// By how many millimetres the press read them beside the height that it was set to.
    pressed: f64,
    /// By how many standard uncertainties the gauge of their heights is off.
    gauge: f64,
    /// By how many the thickness of discs is, where it was measured.
    thickness: Option<f64>,
}
