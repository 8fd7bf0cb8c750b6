//! The formulas of the differential, one subject a file.
//!
//! Everything takes and returns the typed quantities of [`crate::quantity`]; inside, the formulas work in millimetres,
//! newtons and newton metres. Limits are enforced, not only described: the same check makes the refusal and its
//! message ([`MechanicsError`]). Functions are called by their subject (`ramp::gain`, `pack::active_faces`); the types
//! are named here as well.
//!
//! A new formula goes into the file of its subject, with symbols, units, limits, source and an example whose number has a
//! pedigree; what it is checked against goes into `tests/mechanics`. What several subjects balance on lies in `pins`.

pub mod axle;
pub mod bolt;
pub mod breakaway;
pub mod chain;
mod error;
mod first_met;
pub mod friction;
pub mod lock;
pub mod moving_axle;
pub mod pack;
mod pins;
pub mod prediction;
pub mod ramp;
pub mod rated;
mod setup;
mod side;
pub mod spring;
pub mod tabs;
pub mod tune;
pub mod wear;
pub mod whole_car;
pub mod wrench;

pub use axle::{Axle, Reaction, WheelLoads};
pub use bolt::{BoltSize, PropertyClass, StressArea, TorqueDoubt, TorqueQuestion};
pub use breakaway::{Bench, Held, Holding, Movement, Sense, Turned, WrenchReading};
pub use chain::{Expansion, TemperatureChange};
pub use error::MechanicsError;
pub use lock::LockModel;
pub use moving_axle::{AxleBalance, AxleMoment, AxleTurns};
pub use pack::{Keying, PressurePattern};
pub use ramp::RampClass;
pub use setup::{Direction, GearThrust, LockSetup, SpringPlace, TabFriction};
pub use side::Side;
pub use spring::{CoilSpring, DiscSpring, SpringStack, SpringTrap};
