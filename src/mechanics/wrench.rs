//! The torque wrench with an extension across its drive.

use super::error::{MechanicsError, above, within};
use crate::quantity::{Angle, Length, Torque};

/// Torque at the bolt when the wrench reads or clicks at `reading`.
///
/// ```text
/// M = M_read · (L + E cos φ)/L
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | M | the result | N·m |
/// | M_read | `reading` | N·m, 0 and above |
/// | L | `length` from the wrench's drive to the mark on the grip where the hand pulls | mm, above 0 |
/// | E | `extension` from that drive to the bolt | mm, 0 and above; L + E cos φ above 0 |
/// | φ | `bend` between extension and wrench: 0 in line with it, 90 square to it, 180 folded back | °, 0 to 180 |
///
/// Source: moments of the hand's force, square to the wrench, about its drive and about the bolt.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::wrench::true_torque;
/// use shimwright::quantity::{Angle, Length, Torque};
/// let (length, extension) = (Length::from_um(400_000), Length::from_um(100_000));
/// let reading = Torque::from_newton_metres(60.0)?;
/// assert_eq!(true_torque(reading, length, extension, Angle::from_degrees(0.0)?)?.newton_metres(), 75.0);
/// let square = true_torque(reading, length, extension, Angle::from_degrees(90.0)?)?;
/// assert!((square.newton_metres() - 60.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn true_torque(
    reading: Torque,
    length: Length,
    extension: Length,
    bend: Angle,
) -> Result<Torque, MechanicsError> {
    let reading = within("the reading", reading, Torque::from_newton_metres(0.0)?..)?;
    let factor = factor(length, extension, bend)?;
    Ok(Torque::from_newton_metres(reading.newton_metres() * factor)?)
}

/// What to set the wrench to for a torque at the bolt: the inverse of [`true_torque`].
///
/// ```text
/// M_read = M · L/(L + E cos φ)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | M_read | the result | N·m |
/// | M | `wanted` | N·m, 0 and above |
/// | L | `length` from the wrench's drive to the mark on the grip where the hand pulls | mm, above 0 |
/// | E | `extension` from that drive to the bolt | mm, 0 and above; L + E cos φ above 0 |
/// | φ | `bend` between extension and wrench: 0 in line with it, 90 square to it, 180 folded back | °, 0 to 180 |
///
/// Source: as [`true_torque`].
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::wrench::setting_for;
/// use shimwright::quantity::{parse, Angle, Length, Torque};
/// // a 12 inch wrench with a 9 inch extension in line: set 57.14 for 100
/// let setting = setting_for(parse("100 lbf·ft")?, parse("12 in")?, parse("9 in")?, Angle::from_degrees(0.0)?)?;
/// let wanted: Torque = parse("57.142857 lbf·ft")?;
/// assert!((setting.newton_metres() - wanted.newton_metres()).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn setting_for(
    wanted: Torque,
    length: Length,
    extension: Length,
    bend: Angle,
) -> Result<Torque, MechanicsError> {
    let wanted = within("the wanted torque", wanted, Torque::from_newton_metres(0.0)?..)?;
    let factor = factor(length, extension, bend)?;
    Ok(Torque::from_newton_metres(wanted.newton_metres() / factor)?)
}

fn factor(length: Length, extension: Length, bend: Angle) -> Result<f64, MechanicsError> {
    within("the length of the wrench", length, above(Length::ZERO))?;
    within("the extension", extension, Length::ZERO..)?;
    within(
        "the angle of the extension",
        bend,
        Angle::from_degrees(0.0)?..=Angle::from_degrees(180.0)?,
    )?;
    let reach = extension.mm() * bend.degrees().to_radians().cos();
    // a bolt at or behind the hand can not be turned by it
    within(
        "the reach from hand to bolt along the wrench",
        Length::from_mm(length.mm() + reach)?,
        above(Length::ZERO),
    )?;
    Ok((length.mm() + reach) / length.mm())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn nm(value: f64) -> Torque {
        Torque::from_newton_metres(value).unwrap()
    }

    fn degrees(value: f64) -> Angle {
        Angle::from_degrees(value).unwrap()
    }

    #[test]
    fn senseless_inputs_are_refused_by_name() {
        let named = |result: Result<Torque, MechanicsError>| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        let mm = Length::from_um(400_000);
        assert_eq!(named(true_torque(nm(-1.0), mm, mm, degrees(0.0))), "the reading");
        assert_eq!(
            named(setting_for(nm(-1.0), mm, mm, degrees(0.0))),
            "the wanted torque"
        );
        assert_eq!(
            named(setting_for(nm(1.0), Length::ZERO, mm, degrees(0.0))),
            "the length of the wrench"
        );
        assert_eq!(
            named(setting_for(nm(1.0), mm, -mm, degrees(0.0))),
            "the extension"
        );
        assert_eq!(
            named(setting_for(nm(1.0), mm, mm, degrees(181.0))),
            "the angle of the extension"
        );
        assert_eq!(
            named(setting_for(nm(1.0), mm, mm, degrees(180.0))),
            "the reach from hand to bolt along the wrench"
        );
    }

    proptest! {
        #[test]
        fn setting_and_true_torque_undo_each_other(
            wanted in 0.1..500.0_f64, length in 150_i64..900, extension in 0_i64..149, bend in 0.0..180.0_f64,
        ) {
            let (length, extension) = (Length::from_um(length * 1000), Length::from_um(extension * 1000));
            let setting = setting_for(nm(wanted), length, extension, degrees(bend)).unwrap();
            let back = true_torque(setting, length, extension, degrees(bend)).unwrap();
            prop_assert!((back.newton_metres() - wanted).abs() <= 1e-12 * wanted);
            // an extension ahead of the wrench asks for a lower setting, one folded back for a higher
            prop_assert_eq!(bend < 90.0 && extension > Length::ZERO, setting < nm(wanted));
            let twice = setting_for(nm(wanted), length * 2, extension * 2, degrees(bend)).unwrap();
            prop_assert!((twice.newton_metres() - setting.newton_metres()).abs() <= 1e-9 * wanted);
        }
    }
}
