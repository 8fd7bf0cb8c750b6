//! The formulas of the differential, one subject a file.
//!
//! Everything takes and returns the typed quantities of [`crate::quantity`]; inside, the formulas work in millimetres,
//! newtons and newton millimetres. Limits are enforced, not only described: the same check makes the refusal and its
//! message ([`MechanicsError`]).

mod error;
mod pack;
mod ramp;
mod spring;

pub use error::MechanicsError;
pub use pack::{
    Keying, PressurePattern, active_faces, faces_possible, friction_from_torque, friction_radius,
    order_for_faces, pack_torque,
};
pub use ramp::{RampClass, class, gain, lash, release_gain, ring_force, side_gear_thrust};
pub use spring::{CoilSpring, DiscSpring, SpringStack, SpringTrap};
