//! What warmth does to gap and preload, as plain data.

use crate::quantity::{Force, Length, Temperature, Torque, Units};

/// A unit at 20 °C, as it is reckoned and measured, and warm.
#[derive(Clone, PartialEq, Debug)]
pub struct Warm {
    /// What the case is made of.
    pub metal: String,
    /// How warm.
    pub at: Temperature,
    /// Gap, or room for the springs, of each chain: what, at 20 °C, warm.
    pub closings: Vec<(String, Length, Length)>,
    /// The force on the left pack at 20 °C and warm; `None` without springs.
    pub force: Option<[Force; 2]>,
    /// The breakaway that it gives, likewise; `None` where the packs would wedge.
    pub breakaway: Option<[Torque; 2]>,
}

impl Warm {
    /// It in words: what is warm beside what is cold, and what was taken for granted.
    pub fn words(&self, units: Units) -> String {
        let mut all: Vec<String> = self
            .closings
            .iter()
            .map(|(what, cold, warm)| format!("{what} {} (at 20 °C {})", warm.show(units), cold.show(units)))
            .collect();
        all.extend(
            self.force.map(|[cold, warm]| {
                format!("force on each pack {} ({})", warm.show(units), cold.show(units))
            }),
        );
        all.extend(
            self.breakaway
                .map(|[cold, warm]| format!("breakaway {} ({})", warm.show(units), cold.show(units))),
        );
        format!(
            "Warm, at {} throughout, {} case and steel in it: {}. Taken for granted: all of it as warm, springs and friction as at \
             20 °C.",
            self.at.show(units),
            self.metal,
            all.join(", ")
        )
    }
}
