//! What was measured of a unit's discs, as a build keeps it beside what was left in its unit.

use crate::document::{Section, quoted};
use crate::quantity::Length;

/// The discs of a unit as a micrometer has read them.
#[derive(Clone, PartialEq, Debug)]
pub struct LeftDiscs {
    /// Their thickness in each place, its zero taken off: one a side, or one between the rings.
    pub thickness: Vec<Length>,
    /// The standard uncertainty of each, in millimetres.
    pub standard: f64,
    /// What the unit's file listed then: where it lists another, they are no longer these.
    pub listed: Length,
}

impl LeftDiscs {
    /// Reads them from a file.
    pub(super) fn read(top: &Section<'_>) -> Option<LeftDiscs> {
        let part = "at least 0.01 mm and at most 50 mm";
        let thickness = top.quantities_where::<Length>("discs", part, 1..=2);
        let standard = top.quantity_where::<Length>("discs_doubt", "at least 0 mm and at most 1 mm");
        let listed = top.quantity_where::<Length>("discs_listed", part);
        Some(LeftDiscs {
            thickness: thickness?,
            standard: standard?.mm(),
            listed: listed?,
        })
    }

    /// They as [`LeftDiscs::read`] reads them back: lengths to the last nanometre.
    pub(super) fn text(&self) -> String {
        let exact = |length: &Length| format!("{:.6} mm", length.mm());
        let thickness: Vec<String> = self.thickness.iter().map(|one| quoted(&exact(one))).collect();
        format!(
            "discs = [{}]\ndiscs_doubt = \"{:.6} mm\"\ndiscs_listed = \"{}\"\n",
            thickness.join(", "),
            self.standard,
            exact(&self.listed)
        )
    }
}
