//! Good texts, for faults to be put into: the demonstration's, which are invented.

pub const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");
pub const DRAWER: &str = include_str!("../../demo-units/moor-drawer.toml");
pub const INSTRUMENTS: &str = include_str!("../../demo-units/instruments.toml");
pub const PROCEDURE: &str = include_str!("../../procedures/full-rebuild.toml");
pub const ANSWERS: &str = include_str!("../../demo-units/moor-rear.answers");
