//! A unit: what the formulas and the procedures know of a differential.

use super::gears::Gears;
use super::tolerance::SpringTolerance;
use crate::mechanics::pack::{active_faces, friction_radius};
use crate::mechanics::tune::Options;
use crate::mechanics::{
    Bench, BoltSize, DiscSpring, Expansion, GearThrust, Held, Holding, Keying, LockSetup, MechanicsError,
    PressurePattern, PropertyClass, Sense, Side, SpringPlace, SpringStack, TabFriction, Turned,
};
use crate::quantity::{Angle, Force, Length, RampAngle, Ratio, SpringRate, Temperature, Torque, Volume};

/// A differential as its file describes it: parts, setting, limits and windows.
#[derive(Clone, PartialEq, Debug)]
pub struct Unit {
    /// A short name for the book: small letters, digits and dashes.
    pub id: String,
    /// The name for people.
    pub name: String,
    /// The car that it usually is in.
    pub car: Option<String>,
    /// The depth or depths that the packs must fill.
    pub depth: Depth,
    /// The side on which the case opens, where its file says; see [`Unit::cover`].
    pub cover: Option<Cover>,
    /// What the case is made of, where its file says.
    pub metal: Option<CaseMetal>,
    /// The temperature at which the unit runs; 80 °C where its file does not say (*common practice, no source*).
    pub warm: Temperature,
    /// The ramps.
    pub ramp: Ramp,
    /// The rubbing faces.
    pub friction: Friction,
    /// Heights of the pressure rings, left and right.
    pub rings: [Length; 2],
    /// The preload springs, where it has them.
    pub spring: Option<Spring>,
    /// What the build aims at.
    pub aim: Aim,
    /// The window of the proof.
    pub proof: Proof,
    /// The most that the two sides may differ.
    pub sides_match: Length,
    /// The most shims on one side.
    pub most_shims: u32,
    /// The torque at the case up to which the lock curve is drawn.
    pub curve_to: Torque,
    /// Limits for used parts.
    pub limits: Limits,
    /// Every plate.
    pub plates: Vec<Plate>,
    /// Left and right pack.
    pub packs: [PackPlan; 2],
    /// Bolt groups in the order in which they are tightened.
    pub bolts: Vec<Bolts>,
    /// What the gears between the rings may have of play, and their washers, where the file says.
    pub gears: Option<Gears>,
    /// The oil that the unit runs in.
    pub oil: Option<Oil>,
    /// The drawer's file, beside this one.
    pub drawer: Option<String>,
    /// The instruments' file, beside this one.
    pub instruments: Option<String>,
    /// What else it can be built with; empty where nothing is said.
    pub offer: Options,
}

/// What must be filled.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Depth {
    /// One depth spans both packs; the rings float.
    Through(Length),
    /// Each pack has its own depth, left and right.
    PerSide([Length; 2]),
}

/// What a case is made of. The parts in it are steel.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CaseMetal {
    /// Steel.
    Steel,
    /// Grey or ductile iron.
    Iron,
    /// An aluminium alloy.
    Aluminium,
}

impl CaseMetal {
    /// By how much it grows for each degree.
    pub fn expansion(self) -> Expansion {
        match self {
            CaseMetal::Steel => Expansion::STEEL,
            CaseMetal::Iron => Expansion::CAST_IRON,
            CaseMetal::Aluminium => Expansion::ALUMINIUM,
        }
    }
}

impl std::fmt::Display for CaseMetal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(match self {
            CaseMetal::Steel => "steel",
            CaseMetal::Iron => "iron",
            CaseMetal::Aluminium => "aluminium",
        })
    }
}

/// The side on which a case opens.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Cover {
    /// The left pack lies under the cover.
    Left,
    /// The right pack lies under the cover.
    Right,
    /// Each pack has an opening of its own.
    Both,
}

/// The ramps of the pressure rings.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ramp {
    /// The ramp that works on drive.
    pub drive: RampAngle,
    /// The ramp that works on coast.
    pub coast: RampAngle,
    /// Friction between pin and ramp.
    pub friction: Ratio,
    /// Radius at which the pins push.
    pub pin_radius: Length,
    /// Thrust of the side gears on their packs, where the unit has it.
    pub gear: Option<GearThrust>,
    /// Friction of the ring's tabs in the slots of the case, where it is reckoned with.
    pub tabs: Option<TabFriction>,
}

/// The rubbing faces.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Friction {
    /// At first movement.
    pub still: Ratio,
    /// While turning slowly.
    pub turning: Ratio,
    /// Outer diameter of the rubbing face.
    pub outside: Length,
    /// Inner diameter of the rubbing face.
    pub inside: Length,
    /// Standard uncertainty of the friction while turning: a tenth of it where the file does not say (common practice,
    /// no source).
    pub doubt: Ratio,
    /// How the pressure spreads over it.
    pub pattern: PressurePattern,
    /// The mean radius that follows.
    pub radius: Length,
    /// Whether a friction plate may rub on the case wall itself.
    pub wall_is_face: bool,
}

impl Friction {
    /// The friction radius with either way in which the pressure may spread, the shorter first, as shares of the radius that
    /// the file's way gives: plates run in by and by, and nobody sees how far they have.
    ///
    /// # Errors
    /// Diameters that are no ring.
    pub fn radius_between(&self) -> Result<[f64; 2], MechanicsError> {
        // the file gives diameters, as a plate is measured; the formula wants radii
        let half = |diameter: Length| Length::from_nm(diameter.nm() / 2);
        let (outside, inside) = (half(self.outside), half(self.inside));
        let share = |pattern| -> Result<f64, MechanicsError> {
            let radius = friction_radius(outside, inside, pattern)?;
            Ok(radius.mm() / self.radius.mm())
        };
        Ok([share(PressurePattern::RunIn)?, share(PressurePattern::Even)?])
    }
}

/// Preload springs.
#[derive(Clone, PartialEq, Debug)]
pub struct Spring {
    /// Where they sit.
    pub place: SpringPlace,
    /// One stack, as new.
    pub stack: SpringStack,
    /// The least free height of a used stack.
    pub least_height: Option<Length>,
    /// What one stack is made of.
    pub kind: SpringKind,
    /// By how much its force may differ from the reckoned one.
    pub tolerance: SpringTolerance,
    /// Whether the thickness of its discs is asked for, so that they are reckoned as measured.
    pub thickness_measured: bool,
}

/// What a stack of springs is made of.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum SpringKind {
    /// Disc springs.
    Discs {
        /// One disc.
        disc: DiscSpring,
        /// Discs that lie the same way round.
        parallel: u32,
        /// Packets that lie one against the next.
        series: u32,
    },
    /// Coil springs side by side.
    Coils {
        /// Height at which one is solid.
        solid: Length,
        /// The rate of one.
        rate: SpringRate,
        /// How many.
        count: u32,
    },
}

impl SpringKind {
    /// The thickness of one disc; `None` of coils.
    pub fn thickness(&self) -> Option<Length> {
        match self {
            SpringKind::Discs { disc, .. } => Some(disc.thickness()),
            SpringKind::Coils { .. } => None,
        }
    }
}

impl Spring {
    /// The most that one stack gives, in words.
    pub(super) fn most_words(&self) -> String {
        self.most_force()
            .map_or_else(|| "less".to_string(), |force| force.to_string())
    }

    /// The most that one stack gives as new, pressed flat or, where it gives more before that, at its peak.
    pub fn most_force(&self) -> Option<Force> {
        let stack = &self.stack;
        let height = stack.peak_height().unwrap_or(stack.solid_height());
        stack.force_at_height(height).ok()
    }

    /// The stack as it is with a measured free height: a spring that has settled.
    ///
    /// # Errors
    ///
    /// A free height at which it could not be a spring, such as below solid.
    pub fn settled(&self, free_height: Length) -> Result<SpringStack, MechanicsError> {
        self.stack.with_free_height(free_height)
    }
}

/// What the build aims at.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Aim {
    /// A gap in each chain.
    Gap {
        /// Least.
        least: Length,
        /// Target.
        target: Length,
        /// Most.
        most: Length,
    },
    /// A spring force on each pack.
    Preload {
        /// Least.
        least: Force,
        /// Target.
        target: Force,
        /// Most.
        most: Force,
    },
}

/// The window of the proof at the bench.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Proof {
    /// How the unit is held when it is proved by the book.
    pub held: Held,
    /// Least torque while turning.
    pub least: Torque,
    /// Most torque while turning.
    pub most: Torque,
}

/// Limits for used parts.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// Least thickness of a plate keyed to the gear.
    pub gear_least: Length,
    /// Least thickness of a plate keyed to the case.
    pub case_least: Length,
    /// Most difference between the readings on one plate.
    pub spread: Length,
    /// Most out of flat.
    pub flatness: Length,
    /// How sure a verdict must be.
    pub confidence: f64,
}

/// A plate of the unit or of the drawer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Plate {
    /// Its name, written on it or on its place on the rail.
    pub name: String,
    /// What it is keyed to.
    pub keyed: Keying,
    /// Its thickness when new.
    pub nominal: Length,
    /// What it is called across units, where its file says: it keeps its history when it goes into another unit.
    pub part: Option<String>,
}

/// Words that mean something where plates are typed in rows, besides those that say how a plate looks.
const ROW_WORDS: [&str; 4] = ["all", "flat", "under", "sure"];
/// Words that say how a plate looks.
const LOOK_WORDS: [&str; 5] = ["good", "glazed", "burnt", "torn", "cracked"];

impl Plate {
    /// Whether a word means something of its own where plates are typed in rows, so that no plate can be called that; in
    /// any case of letters.
    pub fn is_row_word(word: &str) -> bool {
        let mut words = ROW_WORDS.iter().chain(&LOOK_WORDS);
        words.any(|known| word.eq_ignore_ascii_case(known))
    }

    /// What the plate is called across units: its `part`, else the unit's id, a slash and its name.
    pub fn part_in(&self, unit: &str) -> String {
        self.part
            .clone()
            .unwrap_or_else(|| format!("{unit}/{}", self.name))
    }
}

/// One side's pack as the unit file lists it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PackPlan {
    /// Names of the plates from the case wall to the ring.
    pub order: Vec<String>,
    /// Shims that were in it when it was last built.
    pub shims: Vec<Length>,
    /// The faces that shall rub: those of the order, or fewer where dead faces are meant.
    pub faces: u32,
}

/// A group of like bolts.
#[derive(Clone, PartialEq, Debug)]
pub struct Bolts {
    /// Its name.
    pub name: String,
    /// The thread.
    pub size: BoltSize,
    /// The property class.
    pub class: PropertyClass,
    /// How many.
    pub count: u32,
    /// The torque of each stage, by the maker's manual.
    pub stages: Vec<Torque>,
    /// A further turn by angle after the last stage.
    pub angle: Option<Angle>,
    /// Thread-locker, by the maker's manual.
    pub locker: Option<String>,
    /// Whether the maker's manual wants new ones each time.
    pub new: bool,
}

/// The oil that a unit runs in.
#[derive(Clone, PartialEq, Debug)]
pub struct Oil {
    /// Which.
    pub kind: String,
    /// How much.
    pub amount: Volume,
}

/// The most plates in a unit; more is a slip, not a differential.
pub const MOST_PLATES: usize = 200;

impl Unit {
    /// The unit at the bench, in the way in which its window is meant: held as its file says, the right output turned forwards.
    pub fn bench(&self, preload: [Force; 2], faces: [u32; 2]) -> Bench {
        Bench {
            setup: LockSetup {
                faces,
                friction: self.friction.still,
                friction_radius: self.friction.radius,
                pin_radius: self.ramp.pin_radius,
                drive: self.ramp.drive,
                coast: self.ramp.coast,
                ramp_friction: self.ramp.friction,
                preload,
                spring_place: self
                    .spring
                    .as_ref()
                    .map_or(SpringPlace::BehindPack, |spring| spring.place),
                gear_thrust: self.ramp.gear,
                tab_friction: self.ramp.tabs,
            },
            turning: self.friction.turning,
            holding: Holding {
                held: self.proof.held,
                turned: Turned::Right,
                sense: Sense::Forwards,
            },
        }
    }

    /// The plate of a name.
    pub fn plate(&self, name: &str) -> Option<&Plate> {
        self.plates.iter().find(|plate| plate.name == name)
    }

    /// Whether one depth spans both packs.
    pub fn is_through(&self) -> bool {
        matches!(self.depth, Depth::Through(_))
    }

    /// Whether the case wall is a rubbing face of a pack: the file says that a plate may lie on it, and neither springs
    /// behind the pack nor shims lie between.
    pub fn wall_rubs(&self, has_shims: bool) -> bool {
        self.friction.wall_is_face && !has_shims && !self.spring_behind_pack()
    }

    /// The faces that rub in a pack whose plates have these keys, from the case wall.
    pub fn faces_of(&self, keys: &[Keying], has_shims: bool) -> u32 {
        active_faces(keys, self.wall_rubs(has_shims))
    }

    /// The side on which the case opens. Where its file does not say: right for a through unit, both for one with a depth for
    /// each side.
    pub fn cover(&self) -> Cover {
        self.cover.unwrap_or(match self.depth {
            Depth::Through(_) => Cover::Right,
            Depth::PerSide(_) => Cover::Both,
        })
    }

    /// The sides in the order in which their packs come out: the one under the cover first.
    pub fn opened(&self) -> [Side; 2] {
        match self.cover() {
            Cover::Right => [Side::Right, Side::Left],
            Cover::Left | Cover::Both => Side::BOTH,
        }
    }

    /// The sides in the order in which their packs go in: the one under the cover last.
    pub fn laid_in(&self) -> [Side; 2] {
        match self.cover() {
            Cover::Left => [Side::Right, Side::Left],
            Cover::Right | Cover::Both => Side::BOTH,
        }
    }

    /// Whether a spring lies between case wall and pack, on each side.
    pub fn spring_behind_pack(&self) -> bool {
        self.spring
            .as_ref()
            .is_some_and(|spring| spring.place == SpringPlace::BehindPack)
    }

    /// How many coils lie side by side in one place; 0 where the springs are none.
    pub fn coils_a_stack(&self) -> u32 {
        match self.spring.as_ref().map(|spring| spring.kind) {
            Some(SpringKind::Coils { count, .. }) => count,
            Some(SpringKind::Discs { .. }) | None => 0,
        }
    }

    /// The least free height of a used spring; `None` where there is no spring or its file names none.
    pub fn least_spring_height(&self) -> Option<Length> {
        self.spring.as_ref()?.least_height
    }
}
