//! Numbers that look random: a seed gives the same row on every machine.

mod splitmix;

use splitmix::splitmix;

/// A row of draws.
pub struct Draws(pub u64);

impl Draws {
    /// From 0 to 1.
    pub fn even(&mut self) -> f64 {
        (splitmix(&mut self.0) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }
}
