//! What is given of a car, of its units, and of a moment.

use crate::mechanics::LockModel;
use crate::quantity::{Force, Length, Mass, Ratio, Torque, Velocity};

/// What stays the same of a car from moment to moment. Pairs are front, rear.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CarBody {
    /// Mass of the car, above 0.
    pub mass: Mass,
    /// Mass that rests on the front axle, above 0 and below that of the car.
    pub front_mass: Mass,
    /// Distance between the wheels of each axle, above 0.
    pub tracks: [Length; 2],
    /// Distance between the axles, above 0.
    pub wheelbase: Length,
    /// Height of the centre of mass, 0 to the lesser track.
    pub height: Length,
    /// Share of the roll stiffness that the front axle has, 0 to 1.
    pub front_roll_share: Ratio,
    /// Radius of the rolling tyre, above 0.
    pub tyre_radius: Length,
    /// From the steering axis to the middle of the front wheel, for the tug at the steering; may be below 0.
    pub kingpin_offset: Option<Length>,
}

/// A moment of the car's way. Outer pairs are front, rear; inner ones inside, outside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CarMoment {
    /// Speed of the middle of the rear axle, above 0.
    pub speed: Velocity,
    /// Cornering as a multiple of standard gravity, 0 to 3.
    pub cornering: Ratio,
    /// Grip of each tyre as a whole, 0 to 3.
    pub grip: [[Ratio; 2]; 2],
    /// Slip from which on a tyre slides fully, above 0 and at most 1.
    pub slide_slip: Ratio,
    /// Force of the air on each axle, not below 0.
    pub downforce: [Force; 2],
    /// Torque that the brake of each wheel of an axle holds, not below 0.
    pub brakes: [Torque; 2],
}

/// What joins two shafts.
#[derive(Clone, PartialEq, Debug)]
pub enum Coupling {
    /// Gears alone: both get the same.
    Open,
    /// A plate unit.
    Plates(Box<LockModel>),
    /// One piece.
    Solid,
}

/// What lies between the axles of a car that drives both.
#[derive(Clone, PartialEq, Debug)]
pub struct Centre {
    /// What joins the two propeller shafts.
    pub coupling: Coupling,
    /// Share of the torque that its gears give to the front, above 0 and below 1.
    pub front_share: Ratio,
    /// Ratio of the final drives behind it; 1 where it sits behind them. Above 0 and at most 30.
    pub ratio: Ratio,
}

/// What drives the car.
#[derive(Clone, PartialEq, Debug)]
pub enum Drivetrain {
    /// The front axle alone.
    Front(Coupling),
    /// The rear axle alone.
    Rear(Coupling),
    /// Both axles.
    Both {
        /// The unit in the front axle.
        front: Coupling,
        /// What lies between the axles.
        centre: Centre,
        /// The unit in the rear axle.
        rear: Coupling,
    },
}
