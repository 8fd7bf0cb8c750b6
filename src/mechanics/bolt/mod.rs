//! Bolts: stress area, proof load, tension from torque, and the check of a torque for slips of unit.

mod size;
mod tension;

pub use size::{BoltSize, PropertyClass, StressArea};
pub use tension::{
    BoltLoad, TorqueDoubt, TorqueQuestion, load_from_torque, question_torque, tension_from_torque,
    tension_with_friction,
};
