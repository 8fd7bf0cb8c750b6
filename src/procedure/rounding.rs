//! Lengths as the choice takes them: a whole number of steps.

use crate::quantity::Length;

/// The step that the choice works in, where no reading is finer.
pub(super) const MICROMETRE: Length = Length::from_um(1);

pub(super) enum Rounding {
    Up,
    Down,
    Nearest,
}

/// A shim's thickness as the choice takes it.
pub(super) fn in_steps(thickness: Length) -> Length {
    rounded(thickness, MICROMETRE, Rounding::Nearest)
}

/// A length as a whole number of steps.
pub(super) fn rounded(length: Length, step: Length, rounding: Rounding) -> Length {
    let (nm, step) = (length.nm(), step.nm().max(1));
    let below = nm.div_euclid(step);
    let past = nm.rem_euclid(step);
    let steps = match rounding {
        Rounding::Up => below + i64::from(past > 0),
        Rounding::Down => below,
        Rounding::Nearest => below + i64::from(2 * past >= step),
    };
    Length::from_nm(steps * step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_length_is_never_moved_by_more_than_half_a_step(nm in -50_000_000_i64..50_000_000, step in 1_i64..5_000) {
            let (length, step) = (Length::from_nm(nm), Length::from_nm(step));
            let nearest = rounded(length, step, Rounding::Nearest);
            prop_assert!(2 * nearest.apart(length).nm() <= step.nm());
            prop_assert!(rounded(length, step, Rounding::Down) <= length);
            prop_assert!(rounded(length, step, Rounding::Up) >= length);
            prop_assert_eq!(nearest.nm() % step.nm(), 0);
        }
    }
}
