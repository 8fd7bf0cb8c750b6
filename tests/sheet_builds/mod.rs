//! Invented builds to lay out.

mod full;
mod others;

pub use full::*;
pub use others::*;
