//! Figures as they stand in tables, sums and sentences.

use crate::metrology::Measured;
use crate::quantity::{Length, Units};

/// A length without its unit, for tables and sums.
pub(super) fn bare(length: Length, units: Units) -> String {
    let text = length.show(units);
    text.split_once(' ')
        .map_or(text.clone(), |(number, _)| number.to_string())
}

/// The expanded uncertainty, k = 2.
pub(super) fn expanded(measured: &Measured) -> Length {
    measured.budget.expanded(2.0).unwrap_or(Length::ZERO)
}

pub(super) fn signed(length: Length, units: Units) -> String {
    if length >= Length::ZERO {
        format!("+{}", length.show(units))
    } else {
        length.show(units)
    }
}
