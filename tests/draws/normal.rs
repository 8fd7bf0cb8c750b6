//! Draws that are normally distributed, for those who need them.

use super::draws::Draws;

impl Draws {
    /// Normal, of standard deviation 1 (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.even(), self.even());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}
