//! Wear over time: what a measured value loses over distance, where it meets its least, what a worn pack turns at, and
//! what brings it back.
//!
//! Distances are plain numbers here, in whatever the points were given in: kilometres or hours.

mod trend;
mod worn;

pub use trend::{Fade, Meets, Trend};
pub use worn::{Lengthens, Pressing, Worn, wear_under};

/// How sure a band is, unless something else is wanted.
pub const CONFIDENCE: f64 = 0.95;
