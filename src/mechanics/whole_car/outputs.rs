//! What comes out of the balance of a whole car.

use crate::quantity::{Force, Ratio, Torque};
use std::fmt;

/// How a unit in an axle turns.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SidesTurn {
    /// Both wheels at one speed.
    AsOne,
    /// The packs slip, the inside wheel the faster one.
    InsideFaster,
    /// The packs slip, the outside wheel the faster one: the moment is against the turn.
    OutsideFaster,
}

/// How the centre turns.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum EndsTurn {
    /// Both axles at one speed.
    AsOne,
    /// The packs slip, the front axle the faster one.
    FrontFaster,
    /// The packs slip, the rear axle the faster one.
    RearFaster,
}

/// What a wheel does.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum WheelState {
    /// Its tyre grips.
    Grips,
    /// Its tyre is past full sliding, but the packs hold it to its partner and all the torque goes through.
    Past,
    /// It is at its limit on drive: what the engine gives more only spins it.
    Spins,
    /// It is at its limit with the throttle shut.
    Slides,
    /// Its brake holds it still.
    Locks,
}

impl fmt::Display for SidesTurn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            SidesTurn::AsOne => "one",
            SidesTurn::InsideFaster => "inside-faster",
            SidesTurn::OutsideFaster => "outside-faster",
        })
    }
}

impl fmt::Display for EndsTurn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            EndsTurn::AsOne => "one",
            EndsTurn::FrontFaster => "front-faster",
            EndsTurn::RearFaster => "rear-faster",
        })
    }
}

impl fmt::Display for WheelState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            WheelState::Grips => "grips",
            WheelState::Past => "past",
            WheelState::Spins => "spins",
            WheelState::Slides => "slides",
            WheelState::Locks => "locks",
        })
    }
}

/// One wheel.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WheelBalance {
    /// Torque on its shaft.
    pub torque: Torque,
    /// Torque that its tyre can take beside the cornering.
    pub limit: Torque,
    /// Force of the road along.
    pub road: Force,
    /// Load on its tyre.
    pub load: Force,
    /// Slip along; `None` where it spins or slides, and so has no speed of its own.
    pub slip: Option<Ratio>,
    /// Turns of the wheel, in rad/s; `None` as the slip.
    pub turns: Option<Ratio>,
    /// What it does.
    pub state: WheelState,
}

/// One axle. Pairs are inside, outside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AxlePart {
    /// How its unit turns; `None` where the axle is not driven.
    pub turns: Option<SidesTurn>,
    /// Torque at its case.
    pub torque: Torque,
    /// Difference of the torques on its shafts, as a size.
    pub held: Torque,
    /// Difference that its packs can hold at this torque; `None` where it has no end or no meaning: one piece, not driven.
    pub capacity: Option<Torque>,
    /// Its wheels.
    pub wheels: [WheelBalance; 2],
    /// Share of its grip that cornering takes; at 1 and above it runs wide.
    pub cornering: Ratio,
}

impl AxlePart {
    /// Whether the bend asks more of this axle than its tyres have at these loads.
    pub fn runs_wide(&self) -> bool {
        self.cornering.value() >= 1.0
    }
}

/// The centre.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CentrePart {
    /// How it turns.
    pub turns: EndsTurn,
    /// What its packs move to the slower axle, against the split of its gears, at the wheels; above 0 where it takes from
    /// the front.
    pub moved: Torque,
    /// The most that they can move; `None` where that has no end.
    pub most_moved: Option<Torque>,
}

/// The whole car at one moment. Pairs are front, rear.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CarBalance {
    /// Torque asked for, at the wheels; below 0 with the throttle shut.
    pub asked: Torque,
    /// Torque that goes through, with the sign of what is asked for and at most as large.
    pub through: Torque,
    /// The axles.
    pub axles: [AxlePart; 2],
    /// The centre, where both axles are driven.
    pub centre: Option<CentrePart>,
    /// Force along on the whole car over its weight.
    pub ahead: Ratio,
    /// Moment about the upright axis of the differences between left and right; above 0 it turns the car in.
    pub yaw: Torque,
    /// That moment over the wheelbase as a share of the grip of the front tyres; `None` where they carry nothing.
    pub front_grip: Option<Ratio>,
    /// Moment of the front tyres' difference about their steering axes, where the offset is given.
    pub tug: Option<Torque>,
    /// Whether a second answer is real as well: more would go through once carried over, or an axle of a unit that is solid
    /// under load could turn at another speed. What is told is what is come to from no torque.
    pub second: bool,
}

impl CarBalance {
    /// Whether a wheel spins or slides, so that less goes through than is asked for.
    pub fn gives_up(&self) -> bool {
        self.through != self.asked
    }
}
