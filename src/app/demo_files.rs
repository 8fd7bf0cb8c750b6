//! The invented unit that the demonstration and its history are played with, as texts that lie in the program.

use super::load::Text;

/// The invented unit of the demonstration, as it lies in `demo-units/`.
pub(crate) const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");
pub(crate) const DRAWER: &str = include_str!("../../demo-units/moor-drawer.toml");
pub(crate) const INSTRUMENTS: &str = include_str!("../../demo-units/instruments.toml");
pub(crate) const ANSWERS: &str = include_str!("../../demo-units/moor-rear.answers");

/// The car of its drive days, and a setting that was driven.
pub(crate) const CAR: &str = include_str!("../../demo-units/moor-car.toml");
pub(crate) const MILDER: &str = include_str!("../../demo-units/moor-milder.toml");

/// A text of the demonstration: it lies in the program and is never written to.
pub(crate) fn text(name: &str, text: &str) -> Text {
    Text {
        path: None,
        name: name.to_string(),
        text: text.to_string(),
    }
}
