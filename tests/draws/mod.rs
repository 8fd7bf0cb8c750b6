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

    /// Normal, of standard deviation 1 (Box and Muller).
    #[allow(dead_code)]
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.even(), self.even());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}
