//! Tabs and splines of the plates: what they hold back of the ring's force while torque passes.

use super::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Length, Ratio};

/// Tabs and splines of the plates, and what rubs there.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlateTabs {
    /// Radius of the splines of the plates that are keyed to the gear, above 0.
    pub inside: Length,
    /// Radius of the tabs of those keyed to the case, above 0.
    pub outside: Length,
    /// Friction of steel on steel there, 0 to 1.
    pub friction: Ratio,
}

impl PlateTabs {
    /// What share of the force on one face a plate hands on to the next, (1 − a)/(1 + a): plates keyed to the gear, then those to
    /// the case.
    pub(super) fn passed(
        &self,
        friction: Ratio,
        friction_radius: Length,
    ) -> Result<[f64; 2], MechanicsError> {
        let friction = friction_within("friction of the plates", friction)?;
        let tabs = friction_within("friction of tabs and splines", self.friction)?;
        within("the friction radius", friction_radius, above(Length::ZERO))?;
        let held = |radius: Length| -> Result<f64, MechanicsError> {
            within("the radius of tabs or splines", radius, above(Length::ZERO))?;
            let a = tabs * friction * friction_radius.mm() / radius.mm();
            within("what one plate holds back", Ratio::new(a)?, ..Ratio::new(1.0)?)?;
            Ok((1.0 - a) / (1.0 + a))
        };
        Ok([held(self.inside)?, held(self.outside)?])
    }
}

/// What share of the ring's force each face of a pack gets, from the ring on, where plates hand on `passed` of theirs.
pub(super) fn on_faces(faces: u32, passed: [f64; 2]) -> impl Iterator<Item = f64> {
    (0..faces as usize).scan(1.0, move |force, face| {
        let here = *force;
        *force *= passed[face % 2];
        Some(here)
    })
}

/// The share of the ring's force that acts on a face of a pack on average, because tabs and splines hold some of it
/// back.
///
/// ```text
/// a  = μ_t μ r_f/r_key
/// F' = F (1 − a)/(1 + a)      plate by plate, from the ring on; the first plate is keyed to the gear
/// share = Σ F/(n F_ring)      over the n faces
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | share | the result | share |
/// | n | `faces` that rub | count, 1 to 1000 |
/// | μ | `friction` of the plates | ratio, 0 to 1 |
/// | r_f | `friction_radius` | mm, above 0 |
/// | r_key | `inside`, splines of the plates keyed to the gear, and `outside`, tabs of those keyed to the case, in turn | mm, above 0; a below 1 |
/// | μ_t | `tabs`, friction of steel on steel there | ratio, 0 to 1 |
///
/// The torque of its faces leaves a plate through its splines (inside) or tabs (outside), and what rubs there holds
/// the plate along the shaft: a plate between faces under F and F' holds back a (F + F'). It acts on what the ramps
/// press with, which rises under torque, and not on the preload, which was there before any torque.
///
/// Source: the balance of one plate along the shaft.
///
/// # Errors
///
/// An input out of range; so much friction that a plate holds all of it, a ≥ 1.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::tabs::force_behind_tabs;
/// use shimwright::quantity::{Length, Ratio};
/// let mm = |mm: i64| Length::from_um(1000 * mm);
/// let share = force_behind_tabs(10, Ratio::new(0.10)?, mm(40), [mm(28), mm(55)], Ratio::new(0.10)?)?;
/// assert!((share.value() - 0.91).abs() < 0.005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn force_behind_tabs(
    faces: u32,
    friction: Ratio,
    friction_radius: Length,
    [inside, outside]: [Length; 2],
    tabs: Ratio,
) -> Result<Ratio, MechanicsError> {
    within("the number of faces", faces, 1..=1000)?;
    let plates = PlateTabs {
        inside,
        outside,
        friction: tabs,
    };
    let passed = plates.passed(friction, friction_radius)?;
    let sum: f64 = on_faces(faces, passed).sum();
    Ok(Ratio::new(sum / f64::from(faces))?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: i64) -> Length {
        Length::from_um(1000 * mm)
    }

    fn share(faces: u32, tabs: f64) -> f64 {
        let ratio = |value| Ratio::new(value).unwrap();
        force_behind_tabs(faces, ratio(0.10), mm(40), [mm(28), mm(55)], ratio(tabs))
            .unwrap()
            .value()
    }

    #[test]
    fn a_march_through_the_plates_by_trial_comes_to_the_same() {
        // the second way: nothing solved, each plate's own balance is met by letting forces creep until nothing moves
        for (faces, tabs) in [(1, 0.1), (2, 0.1), (7, 0.05), (10, 0.15), (14, 0.3)] {
            let a = |plate: usize| tabs * 0.10 * 40.0 / if plate.is_multiple_of(2) { 28.0 } else { 55.0 };
            let mut force = vec![1.0; faces];
            for _ in 0..20_000 {
                for plate in 1..faces {
                    let out_of_balance =
                        force[plate - 1] - force[plate] - a(plate - 1) * (force[plate - 1] + force[plate]);
                    force[plate] += 0.3 * out_of_balance;
                }
            }
            let mean = force.iter().sum::<f64>() / faces as f64;
            assert!(
                (share(faces as u32, tabs) - mean).abs() < 1e-9,
                "{faces} {tabs}: {mean}"
            );
        }
    }

    #[test]
    fn no_friction_holds_nothing_and_more_holds_more() {
        assert!((share(10, 0.0) - 1.0).abs() < 1e-15);
        // 10 faces, μ 0.10, r_f 40, radii 28 and 55 mm: worked by hand plate by plate
        for (tabs, want) in [(0.05, 0.95), (0.10, 0.91), (0.15, 0.86)] {
            assert!(
                (share(10, tabs) - want).abs() < 0.006,
                "{tabs}: {}",
                share(10, tabs)
            );
        }
        let ratio = |value| Ratio::new(value).unwrap();
        assert!(force_behind_tabs(0, ratio(0.1), mm(40), [mm(28), mm(55)], ratio(0.1)).is_err());
        assert!(force_behind_tabs(4, ratio(0.9), mm(40), [mm(28), mm(55)], ratio(0.9)).is_err());
        assert!(force_behind_tabs(4, ratio(0.1), mm(40), [mm(0), mm(55)], ratio(0.1)).is_err());
    }
}
