//! What is asked of the choice, and what it answers.

use crate::mechanics::{Keying, Side};
use crate::quantity::Length;

/// Where a closing must lie.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Window {
    /// The least closing that is allowed.
    pub least: Length,
    /// The closing that is wanted.
    pub target: Length,
    /// The greatest closing that is allowed.
    pub most: Length,
}

/// How the rooms of the unit close.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Layout {
    /// Each pack has its own room: closing = room − plates − shims, on each side.
    PerSide {
        /// The room of each side.
        rooms: [Length; 2],
        /// The window of each side's closing.
        windows: [Window; 2],
        /// How far apart the two closings may be, where that matters.
        match_within: Option<Length>,
    },
    /// One room spans both packs: closing = room − plates and shims of both sides.
    Through {
        /// The room that both packs share.
        room: Length,
        /// What is added to each side's plates and shims before the two heights are compared (the pressure ring).
        offsets: [Length; 2],
        /// The window of the closing.
        window: Window,
        /// How far apart the two heights may be.
        match_within: Length,
    },
}

/// How many plates one side takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Need {
    /// Friction plates, keyed to the side gear.
    pub gear: usize,
    /// Case plates, keyed to the case.
    pub case: usize,
}

/// A measured plate that passed. A plate that must not be used is left out of the request.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Candidate {
    /// Its name, unique among all plates.
    pub name: String,
    /// Its measured thickness.
    pub thickness: Length,
    /// A new part, which costs money.
    pub spare: bool,
    /// It has to go in, on this side.
    pub fixed: Option<Side>,
    /// The side on which it ran before; none for a new part, and where that is not known.
    pub ran: Option<Side>,
}

impl Candidate {
    /// Whether it changes side where it goes in on this one.
    pub(super) fn moves_to(&self, side: Side) -> bool {
        !self.spare && self.ran.is_some_and(|ran| ran != side)
    }
}

/// Shims of one thickness in the drawer. A size that must not be used is left out of the request.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ShimSize {
    /// Their thickness.
    pub thickness: Length,
    /// How many there are.
    pub count: u32,
}

/// What comes first when admissible choices are ranked.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default, Debug)]
pub enum First {
    /// Fewest shims, then least worst deviation from target, least difference of the sides, fewest new parts.
    #[default]
    Fewest,
    /// Least worst deviation from target, then fewest shims, least difference of the sides, fewest new parts.
    Closest,
    /// Highest probability of landing inside, in steps of 0.1 %, then as `Fewest`.
    Surest,
    /// Fewest new parts, then as `Fewest`.
    Reuse,
    /// Highest probability of landing inside, in whole percent, all from 99 up alike; then fewest new parts; then fewest
    /// plates that change side; then as `Fewest`.
    LeastChange,
}

/// Everything that a choice depends on.
#[derive(Clone, PartialEq, Debug)]
pub struct Request {
    /// How the rooms close.
    pub layout: Layout,
    /// How many plates each side takes.
    pub needs: [Need; 2],
    /// The friction plates to choose from.
    pub gear: Vec<Candidate>,
    /// The case plates to choose from.
    pub case: Vec<Candidate>,
    /// The drawer.
    pub shims: Vec<ShimSize>,
    /// The least number of shims on each side.
    pub least_shims: u32,
    /// The greatest number of shims on each side.
    pub most_shims: u32,
    /// Taken off both ends of every window before anything is admitted; zero for none.
    pub guard: Length,
    /// Standard uncertainty of a closing, µm; zero for none.
    pub uncertainty: f64,
    /// What comes first in the ranking.
    pub first: First,
    /// Whether no plate may change side; one that is fixed to a side goes there all the same.
    pub keep_in_place: bool,
    /// How many choices are wanted, the best included; 0 counts as 1.
    pub alternatives: usize,
}

impl Request {
    /// How many plates of one keying each side takes.
    pub(super) fn needed(&self, keying: Keying) -> [usize; 2] {
        self.needs.map(|need| match keying {
            Keying::Gear => need.gear,
            Keying::Case => need.case,
        })
    }

    /// The candidates of one keying.
    pub(super) fn plates(&self, keying: Keying) -> &[Candidate] {
        match keying {
            Keying::Gear => &self.gear,
            Keying::Case => &self.case,
        }
    }
}

/// What goes in on one side, thickest first.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct SideChoice {
    /// Names of the friction plates.
    pub gear: Vec<String>,
    /// Names of the case plates.
    pub case: Vec<String>,
    /// Thicknesses of the shims.
    pub shims: Vec<Length>,
}

/// A way to fill the unit, and what comes of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Choice {
    /// What goes in, left and right.
    pub sides: [SideChoice; 2],
    /// The closing of each side; both the same in a through unit.
    pub closings: [Length; 2],
    /// Plates and shims of each side, with the side's offset in a through unit.
    pub heights: [Length; 2],
    /// The larger distance of a closing from its target.
    pub worst_deviation: Length,
    /// How far the sides are apart: their closings in a per-side unit, their heights in a through unit.
    pub difference: Length,
    /// Shims on both sides.
    pub shims: u32,
    /// New parts among the plates.
    pub spares: u32,
    /// Plates that ran on the other side before.
    pub moved: u32,
    /// Probability that every closing truly lies in its window (without the guard), the closings taken as independent.
    pub probability: f64,
}

/// Something to get, which would make the choice possible on its own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Order {
    /// Shims of one thickness, added to the drawer.
    Shim {
        /// Their thickness.
        thickness: Length,
        /// How many.
        count: u32,
        /// Whether the thickness is one of the standard series.
        is_standard: bool,
    },
    /// One new plate, added to the candidates.
    Plate {
        /// What it is keyed to.
        keying: Keying,
        /// Its thickness.
        thickness: Length,
    },
}

/// What comes nearest when nothing is admissible.
#[derive(Clone, PartialEq, Debug)]
pub struct Miss {
    /// The nearest that plates and drawer allow.
    pub nearest: Choice,
    /// By how much it fails: the largest distance of a closing outside its window, or of the difference over its limit.
    pub short_by: Length,
    /// The side whose closing fails by that much; none for the one closing of a through unit or for the difference.
    pub side: Option<Side>,
    /// What to get; each entry alone makes a choice possible. Empty where no single thickness does.
    pub order: Vec<Order>,
}

/// The answer to a request.
#[derive(Clone, PartialEq, Debug)]
pub struct Outcome {
    /// The admissible choices, best first; empty where nothing fits.
    pub choices: Vec<Choice>,
    /// What comes nearest, where nothing fits.
    pub miss: Option<Miss>,
}
