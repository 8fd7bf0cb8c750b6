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
    /// The unit as warm as it was proved; `None` where nobody said how warm that was.
    pub proved: Option<Proved>,
}

/// A unit as warm as it was proved.
#[derive(Clone, PartialEq, Debug)]
pub struct Proved {
    /// How warm its oil was.
    pub at: Temperature,
    /// Gap, or room for the springs, of each chain.
    pub closings: Vec<Length>,
    /// The force on the left pack; `None` without springs.
    pub force: Option<Force>,
    /// The breakaway that it gives; `None` where the packs would wedge.
    pub breakaway: Option<Torque>,
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
        let proved = self.proved.as_ref().map(|proved| {
            let closings = self.closings.iter().zip(&proved.closings);
            let mut all: Vec<String> = closings
                .map(|((what, ..), closing)| format!("{what} {}", closing.show(units)))
                .collect();
            all.extend(
                proved
                    .force
                    .map(|force| format!("force on each pack {}", force.show(units))),
            );
            all.extend(
                proved
                    .breakaway
                    .map(|torque| format!("breakaway {}", torque.show(units))),
            );
            format!(
                " As warm as it was proved, {}: {}.",
                proved.at.show(units),
                all.join(", ")
            )
        });
        format!(
            "Warm, at {} throughout, {} case and steel in it: {}.{} Taken for granted: all of it as warm, springs and friction as at \
             20 °C.",
            self.at.show(units),
            self.metal,
            all.join(", "),
            proved.unwrap_or_default()
        )
    }
}
