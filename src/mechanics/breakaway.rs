//! Breakaway: what the wrench reads at the bench or on the car, and the friction that a reading shows.

use super::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Force, Length, Ratio, Torque};
use std::fmt;

/// What is held still while the wrench turns one output.
///
/// Call M_L and M_R the torques of the two packs, ω the speed of the turned output, right, and τ the torque that the
/// pinions put on either side gear (the same on both, since a pinion is a balance).
///
/// *The case is held*, the left output is free and turns backwards at ω. The free left gear: τ = M_L. The turned gear:
/// M = M_R + τ = M_L + M_R. By power: M ω = M_R ω + M_L ω.
///
/// *The left output is held*, the case is free and turns at ω/2. Both packs slip at ω/2: the right pack drags the case on
/// with M_R, the left holds it with M_L, and the pinions hold it with 2τ. The free case: M_R − M_L − 2τ = 0. The turned
/// gear: M = M_R − τ = (M_L + M_R)/2, also where the packs differ. By power: M ω = (M_L + M_R) ω/2. On the car this is
/// one wheel held with the gearbox in neutral.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Held {
    /// The case is held; the other output is free. The wrench reads the sum of both packs.
    Case,
    /// The other output is held; the case is free. The wrench reads half the sum.
    Output,
}

impl Held {
    /// The part of the packs' sum that the wrench reads.
    fn part(self) -> f64 {
        match self {
            Held::Case => 1.0,
            Held::Output => 0.5,
        }
    }
}

impl fmt::Display for Held {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Held::Case => "case held",
            Held::Output => "one output held",
        })
    }
}

/// What the wrench will read: `M_L + M_R + drag` with the case held, `(M_L + M_R)/2 + drag` with one output held.
///
/// `left`, `right` torques of the packs, `drag` what else turns along (bearings, seals, gears; on the car all that the
/// case drags), as the same wrench reads it at the same output; none below 0. Source: see [`Held`].
///
/// Errors: a torque below 0.
///
/// ```
/// use shimwright::mechanics::breakaway::{reading, Held};
/// use shimwright::quantity::Torque;
/// let nm = Torque::from_newton_metres;
/// assert_eq!(reading(Held::Case, nm(40.0)?, nm(50.0)?, nm(0.0)?)?.newton_metres(), 90.0);
/// assert_eq!(reading(Held::Output, nm(40.0)?, nm(50.0)?, nm(3.0)?)?.newton_metres(), 48.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn reading(held: Held, left: Torque, right: Torque, drag: Torque) -> Result<Torque, MechanicsError> {
    let none = Torque::from_newton_metres(0.0)?;
    let left = within("the torque of the left pack", left, none..)?;
    let right = within("the torque of the right pack", right, none..)?;
    let drag = within("the drag", drag, none..)?;
    let sum = left.newton_metres() + right.newton_metres();
    Ok(Torque::from_newton_metres(
        sum * held.part() + drag.newton_metres(),
    )?)
}

/// What the drag of all that turns with the case takes of a reading: nothing with the case held, which stands still;
/// `D/2` with one output held.
///
/// `whole` is D, what turns the whole axle from one output when nothing is held: the case then turns as fast as the
/// output. With one output held it turns half as fast, and the free case has to be kept going: in the words of [`Held`],
/// M_R − M_L − 2τ = D, so M = M_R − τ = (M_L + M_R)/2 + D/2. By power: M ω = (M_L + M_R + D) ω/2. Wheel bearings and pads
/// are counted with D, which is right where they are small beside it. Source: the balance of the free case, as in
/// [`Held`].
///
/// Errors: a drag below 0.
///
/// ```
/// use shimwright::mechanics::breakaway::{driveline_drag, Held};
/// use shimwright::quantity::Torque;
/// let whole = Torque::from_newton_metres(7.0)?;
/// assert_eq!(driveline_drag(Held::Output, whole)?.newton_metres(), 3.5);
/// assert_eq!(driveline_drag(Held::Case, whole)?.newton_metres(), 0.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn driveline_drag(held: Held, whole: Torque) -> Result<Torque, MechanicsError> {
    let none = Torque::from_newton_metres(0.0)?;
    let whole = within("the drag of the driveline", whole, none..)?;
    match held {
        Held::Case => Ok(none),
        Held::Output => Ok(Torque::from_newton_metres(whole.newton_metres() / 2.0)?),
    }
}

/// The friction that a reading shows: `μ = (M − drag)/(part · r_f Σ n F)`, part 1 with the case held and 1/2 with one
/// output held.
///
/// The first movement shows static friction, slow steady turning shows kinetic friction. `faces` and `forces` are left,
/// right. The inverse of [`reading`], with its source.
///
/// Errors: drag below 0 or above the reading; radius not above 0; a force below 0; Σ n F not above 0; a friction
/// above 1, which no plate reaches.
///
/// ```
/// use shimwright::mechanics::breakaway::{friction, Held};
/// use shimwright::quantity::{Force, Length, Torque};
/// let nm = Torque::from_newton_metres;
/// let forces = [Force::from_newtons(1000.0)?; 2];
/// // 2 packs of 8 faces at 50 mm under 1000 N: 800 N·m times the friction, half of it with one output held
/// let mu = friction(Held::Output, nm(43.0)?, nm(3.0)?, [8, 8], Length::from_um(50_000), forces)?;
/// assert!((mu.value() - 0.1).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn friction(
    held: Held,
    reading: Torque,
    drag: Torque,
    faces: [u32; 2],
    radius: Length,
    forces: [Force; 2],
) -> Result<Ratio, MechanicsError> {
    within("the drag", drag, Torque::from_newton_metres(0.0)?..=reading)?;
    let radius = within("the friction radius", radius, above(Length::ZERO))?;
    let mut pressed = 0.0;
    for (faces, force) in faces.into_iter().zip(forces) {
        let force = within("the force through a pack", force, Force::from_newtons(0.0)?..)?;
        pressed += f64::from(faces) * force.newtons();
    }
    within(
        "the force on all faces",
        Force::from_newtons(pressed)?,
        above(Force::from_newtons(0.0)?),
    )?;
    let torque = reading.newton_metres() - drag.newton_metres();
    let friction = Ratio::new(torque / (held.part() * pressed * radius.metres()))?;
    friction_within("friction of the plates", friction)?;
    Ok(friction)
}

/// A reading that fits the other way of holding.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum OtherMethod {
    /// About twice what was expected: as if the case had been held.
    AboutTwice,
    /// About half of what was expected: as if one output had been held.
    AboutHalf,
}

impl fmt::Display for OtherMethod {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            OtherMethod::AboutTwice => "about twice what was expected, as if the case had been held",
            OtherMethod::AboutHalf => "about half of what was expected, as if one output had been held",
        })
    }
}

/// Whether a reading lies within 15 % of twice or of half the expected one, so that the way of holding is in question.
///
/// Both without drag. The 15 % are *common practice, no source*: about the spread of breakaway readings.
///
/// ```
/// use shimwright::mechanics::breakaway::{other_method_suspected, OtherMethod};
/// use shimwright::quantity::Torque;
/// let nm = |value| Torque::from_newton_metres(value);
/// assert_eq!(other_method_suspected(nm(80.0)?, nm(42.0)?), Some(OtherMethod::AboutHalf));
/// assert_eq!(other_method_suspected(nm(80.0)?, nm(155.0)?), Some(OtherMethod::AboutTwice));
/// assert_eq!(other_method_suspected(nm(80.0)?, nm(70.0)?), None);
/// # Ok::<(), shimwright::quantity::NotFinite>(())
/// ```
pub fn other_method_suspected(expected: Torque, reading: Torque) -> Option<OtherMethod> {
    let ratio = reading.newton_metres() / expected.newton_metres();
    let about = |multiple: f64| (0.85..=1.15).contains(&(ratio / multiple));
    if about(2.0) {
        Some(OtherMethod::AboutTwice)
    } else if about(0.5) {
        Some(OtherMethod::AboutHalf)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn nm(value: f64) -> Torque {
        Torque::from_newton_metres(value).unwrap()
    }

    fn newtons(value: f64) -> Force {
        Force::from_newtons(value).unwrap()
    }

    const RADIUS: Length = Length::from_um(50_000);

    #[test]
    fn senseless_inputs_are_refused_by_name() {
        let named = |result: Result<f64, MechanicsError>| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        let read =
            |left, right, drag| reading(Held::Case, nm(left), nm(right), nm(drag)).map(Torque::newton_metres);
        assert_eq!(named(read(-1.0, 1.0, 1.0)), "the torque of the left pack");
        assert_eq!(named(read(1.0, -1.0, 1.0)), "the torque of the right pack");
        assert_eq!(named(read(1.0, 1.0, -1.0)), "the drag");
        let mu = |read, drag, faces, radius, forces: [f64; 2]| {
            friction(Held::Case, nm(read), nm(drag), faces, radius, forces.map(newtons)).map(Ratio::value)
        };
        assert_eq!(named(mu(10.0, 11.0, [8, 8], RADIUS, [1e3, 1e3])), "the drag");
        assert_eq!(named(mu(10.0, -1.0, [8, 8], RADIUS, [1e3, 1e3])), "the drag");
        assert_eq!(
            named(mu(10.0, 1.0, [8, 8], Length::ZERO, [1e3, 1e3])),
            "the friction radius"
        );
        assert_eq!(
            named(mu(10.0, 1.0, [8, 8], RADIUS, [1e3, -1.0])),
            "the force through a pack"
        );
        assert_eq!(
            named(mu(10.0, 1.0, [0, 8], RADIUS, [1e3, 0.0])),
            "the force on all faces"
        );
        assert_eq!(
            named(mu(1e4, 1.0, [8, 8], RADIUS, [1e3, 1e3])),
            "friction of the plates"
        );
    }

    #[test]
    fn a_reading_of_no_expectation_suspects_nothing() {
        assert_eq!(other_method_suspected(nm(0.0), nm(0.0)), None);
        assert_eq!(other_method_suspected(nm(0.0), nm(10.0)), None);
        assert_eq!(other_method_suspected(nm(10.0), nm(-20.0)), None);
    }

    proptest! {
        #[test]
        fn friction_comes_back_from_its_reading(
            faces in (1_u32..14, 0_u32..14), forces in (1.0..5e3_f64, 0.0..5e3_f64), mu in 0.01..0.5_f64,
            drag in 0.0..20.0_f64, case in any::<bool>(),
        ) {
            let held = if case { Held::Case } else { Held::Output };
            let faces = [faces.0, faces.1];
            let forces = [newtons(forces.0), newtons(forces.1)];
            let torque = |i: usize| {
                crate::mechanics::pack::pack_torque(faces[i], Ratio::new(mu).unwrap(), forces[i], RADIUS).unwrap()
            };
            let read = reading(held, torque(0), torque(1), nm(drag)).unwrap();
            let back = friction(held, read, nm(drag), faces, RADIUS, forces).unwrap().value();
            // a drag far above the packs' torque leaves few digits
            let digits = 1e-14 * (1.0 + drag / read.newton_metres().max(1e-3)) * (1.0 + drag / torque(0).newton_metres());
            prop_assert!((back - mu).abs() <= 1e-12 + digits, "{back} {mu}");
        }

        #[test]
        fn the_other_way_of_holding_is_always_noticed(left in 1.0..200.0_f64, right in 1.0..200.0_f64) {
            let read = |held| reading(held, nm(left), nm(right), nm(0.0)).unwrap();
            let (case, output) = (read(Held::Case), read(Held::Output));
            prop_assert_eq!(other_method_suspected(case, output), Some(OtherMethod::AboutHalf));
            prop_assert_eq!(other_method_suspected(output, case), Some(OtherMethod::AboutTwice));
            prop_assert_eq!(other_method_suspected(case, case), None);
        }
    }
}
