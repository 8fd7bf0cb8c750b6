//! The whole car at one moment of its way: front, centre and rear units together on four wheels.
//!
//! `inputs` is what is given and `outputs` what comes out; `frame` has the loads, `wheel` a tyre with its brake, `train`
//! the units, `balance` what goes through and what each wheel does then; `root` finds crossings. Something new about the
//! road goes into `frame`, something new in a drivetrain into `train`.

mod balance;
mod frame;
mod inputs;
mod outputs;
mod root;
mod train;
mod wheel;

pub use balance::{Raised, WholeCar};
pub use inputs::{CarBody, CarMoment, Centre, Coupling, Drivetrain};
pub use outputs::{AxlePart, CarBalance, CentrePart, EndsTurn, SidesTurn, WheelBalance, WheelState};
