//! Disc and coil springs, alone and in stacks.

mod disc;
mod stack;
#[cfg(test)]
mod tests;

pub use disc::{DiscSpring, delivered_force, nested_force};
pub use stack::{CoilSpring, SpringStack, SpringTrap};

use crate::quantity::Length;

/// Millimetres to the nearest nanometre; they lie within a spring, so nothing can be cut off.
fn whole_nm(mm: f64) -> Length {
    Length::from_nm((mm * 1e6).round() as i64)
}
