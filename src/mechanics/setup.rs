//! What the locking and the breakaway of a unit follow from.

use crate::quantity::{Angle, Force, Length, RampAngle, Ratio};
use std::fmt;

/// Where the preload spring sits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SpringPlace {
    /// Between case wall and pack: wall, spring, pack, ring.
    BehindPack,
    /// Between the two pressure rings, pushing them apart.
    BetweenRings,
}

impl fmt::Display for SpringPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            SpringPlace::BehindPack => "behind the pack",
            SpringPlace::BetweenRings => "between the rings",
        })
    }
}

/// Which way torque goes through the case.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Direction {
    /// The engine drives the wheels.
    Drive,
    /// The wheels drive the engine.
    Coast,
}

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Direction::Drive => "drive",
            Direction::Coast => "coast",
        })
    }
}

/// The bevel side gears of a unit where their thrust presses on the packs; see [`side_gear_thrust`](super::ramp::side_gear_thrust).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct GearThrust {
    /// Mean pitch radius of the side gear.
    pub gear_radius: Length,
    /// Pressure angle of the teeth.
    pub pressure_angle: Angle,
    /// Pitch-cone angle of the side gear.
    pub pitch_angle: Angle,
}

/// Friction of the ring's tabs in the slots of the case, which holds the ring back.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TabFriction {
    /// Coefficient of friction, 0 to 1.
    pub friction: Ratio,
    /// Radius at which the tabs bear, above 0.
    pub radius: Length,
}

/// What the locking of a unit follows from. Pairs are left, right.
#[derive(Clone, PartialEq, Debug)]
pub struct LockSetup {
    /// Active faces of each pack.
    pub faces: [u32; 2],
    /// Friction of the plates, 0 to 1.
    pub friction: Ratio,
    /// Radius at which the friction acts, above 0.
    pub friction_radius: Length,
    /// Radius of the contact of pin and ramp, above 0.
    pub pin_radius: Length,
    /// Ramp that works on drive.
    pub drive: RampAngle,
    /// Ramp that works on coast.
    pub coast: RampAngle,
    /// Friction between pin and ramp, 0 to 1.
    pub ramp_friction: Ratio,
    /// Force of the preload spring on each pack, not below 0. In a unit whose rings float along one depth both are the
    /// same, by axial equilibrium.
    pub preload: [Force; 2],
    /// Where the preload spring sits.
    pub spring_place: SpringPlace,
    /// Side-gear thrust, where the unit says that it presses on the packs.
    pub gear_thrust: Option<GearThrust>,
    /// Friction of the ring's tabs, where it is counted.
    pub tab_friction: Option<TabFriction>,
}
