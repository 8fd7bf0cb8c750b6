//! Ramps: how torque becomes axial force, and the class that two ramps make.

use super::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Angle, Force, Length, RampAngle, Ratio, Torque};
use std::fmt;

/// Sine and cosine of the angle from the ring's face, exact at 90°.
fn sine_cosine(ramp: RampAngle) -> (f64, f64) {
    (
        ramp.radians_from_ring_face().sin(),
        ramp.degrees_from_shaft_axis().to_radians().sin(),
    )
}

/// Axial force over tangential force at the pin while the load rises and the pin climbs the ramp.
///
/// ```text
/// k = (cos θ − μ sin θ) / (sin θ + μ cos θ) = cot(θ + atan μ),   not below 0
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | k | the result | ratio |
/// | θ | `ramp` | ° from the ring's face |
/// | μ | `friction` between pin and ramp | ratio, 0 to 1 |
///
/// Without friction k = cot θ; at and past tan θ = 1/μ it is 0 and the ramp never spreads.
///
/// Source: equilibrium on an inclined plane with friction, as in any textbook of statics (Beer and Johnston, sample
/// problem 8.2).
///
/// # Errors
///
/// Friction out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::ramp::gain;
/// use shimwright::quantity::{Datum, RampAngle, Ratio};
/// // a block of 800 N starts up a 25 degree plane with a friction of 0.35 under 780 N from the side
/// let k = gain(RampAngle::new(25.0, Datum::RingFace)?, Ratio::new(0.35)?)?;
/// assert!((800.0 / k.value() - 780.0).abs() < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn gain(ramp: RampAngle, friction: Ratio) -> Result<Ratio, MechanicsError> {
    let friction = friction_within("friction at the ramp", friction)?;
    let (sine, cosine) = sine_cosine(ramp);
    let gain = (cosine - friction * sine) / (sine + friction * cosine);
    Ok(Ratio::new(gain.max(0.0))?)
}

/// Axial force over tangential force while the load falls and the pin slides back down the ramp; friction holds the
/// other way.
///
/// ```text
/// k = (cos θ + μ sin θ) / (sin θ − μ cos θ)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | k | the result | ratio |
/// | θ | `ramp` | ° from the ring's face, tan θ above μ |
/// | μ | `friction` between pin and ramp | ratio, 0 to 1 |
///
/// It is never less than [`gain`]; the difference is felt as the unit hanging on after the throttle is closed.
///
/// Source: the balance of [`gain`] with friction reversed.
///
/// # Errors
///
/// Friction out of range; [`MechanicsError::SelfLocking`] where tan θ is not above μ: such a ramp stays wedged with
/// no tangential force left, and there is no ratio to give.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::{ramp::release_gain, MechanicsError};
/// use shimwright::quantity::{Datum, RampAngle, Ratio};
/// let friction = Ratio::new(0.1)?;
/// // the angle of friction of 0.1 is 5.711 degrees
/// assert!(release_gain(RampAngle::new(5.72, Datum::RingFace)?, friction).is_ok());
/// let stuck = release_gain(RampAngle::new(5.70, Datum::RingFace)?, friction);
/// assert!(matches!(stuck, Err(MechanicsError::SelfLocking { .. })));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn release_gain(ramp: RampAngle, friction: Ratio) -> Result<Ratio, MechanicsError> {
    let mu = friction_within("friction at the ramp", friction)?;
    let (sine, cosine) = sine_cosine(ramp);
    let below = sine - mu * cosine;
    if below > 0.0 {
        Ok(Ratio::new((cosine + mu * sine) / below)?)
    } else {
        Err(MechanicsError::SelfLocking {
            ramp,
            friction,
            least_degrees: mu.atan().to_degrees(),
        })
    }
}

/// The trade's word for how drive and coast ramps compare.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum RampClass {
    /// Only one direction spreads the rings.
    OneWay,
    /// Coast spreads the rings, but less than drive.
    OneAndAHalfWay,
    /// Coast spreads the rings as much as drive, or more.
    TwoWay,
}

impl fmt::Display for RampClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            RampClass::OneWay => "one-way",
            RampClass::OneAndAHalfWay => "one-and-a-half-way",
            RampClass::TwoWay => "two-way",
        })
    }
}

/// The class that two ramps make, from their angles alone; the datums may differ.
///
/// One-way: just one of the two is at 90° from the ring's face, so only one direction spreads. One-and-a-half-way: both
/// spread, coast less. Two-way: both the same. The trade has no word for a coast ramp that locks harder than drive;
/// it counts as two-way here, since coast has all that drive has. Two rings without any ramp are two-way as well:
/// preload acts alike both ways. Source: words of the trade (common practice, no source).
///
/// ```
/// use shimwright::mechanics::ramp::{class, RampClass};
/// use shimwright::quantity::{Datum, RampAngle};
/// let drive = RampAngle::new(45.0, Datum::RingFace)?;
/// assert_eq!(class(drive, RampAngle::NONE), RampClass::OneWay);
/// assert_eq!(class(drive, RampAngle::new(30.0, Datum::ShaftAxis)?), RampClass::OneAndAHalfWay);
/// assert_eq!(class(drive, RampAngle::new(45.0, Datum::ShaftAxis)?).to_string(), "two-way");
/// # Ok::<(), shimwright::quantity::QuantityError>(())
/// ```
pub fn class(drive: RampAngle, coast: RampAngle) -> RampClass {
    // written angles have a few decimals; a datum turned into the other leaves only rounding
    const SAME: f64 = 1e-9;
    let (drive, coast) = (drive.degrees_from_ring_face(), coast.degrees_from_ring_face());
    let spreads = |degrees: f64| degrees < 90.0 - SAME;
    match (spreads(drive), spreads(coast)) {
        (true, false) | (false, true) => RampClass::OneWay,
        _ if coast > drive + SAME => RampClass::OneAndAHalfWay,
        _ => RampClass::TwoWay,
    }
}

/// Axial force of one pressure ring.
///
/// ```text
/// F = T / (2 r_p) · k
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F | the result | N |
/// | T | `case_torque`, which the two rings share | N·m, 0 and above |
/// | r_p | `pin_radius`, of the pin's contact | m, above 0 |
/// | k | [`gain`] of `ramp` and `friction` | ratio |
///
/// Source: equilibrium of the ring.
///
/// # Errors
///
/// Torque, radius or friction out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::ramp::ring_force;
/// use shimwright::quantity::{Datum, Length, RampAngle, Ratio, Torque};
/// let ramp = RampAngle::new(45.0, Datum::RingFace)?;
/// let force = ring_force(Torque::from_newton_metres(400.0)?, Length::from_um(40_000), ramp, Ratio::new(0.0)?)?;
/// assert!((force.newtons() - 5_000.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ring_force(
    case_torque: Torque,
    pin_radius: Length,
    ramp: RampAngle,
    friction: Ratio,
) -> Result<Force, MechanicsError> {
    let torque = case_torque_within(case_torque)?;
    let radius = within("the radius of the pins", pin_radius, above(Length::ZERO))?;
    let gain = gain(ramp, friction)?;
    Ok(Force::from_newtons(
        torque / (2.0 * radius.metres()) * gain.value(),
    )?)
}

/// Axial thrust of one bevel side gear.
///
/// ```text
/// F = (T/2) / r_g · tan α · sin δ
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F | the result | N |
/// | T | `case_torque` | N·m, 0 and above |
/// | r_g | `gear_radius`, mean pitch radius of the side gear | m, above 0 |
/// | α | `pressure_angle` | °, 0 to 45 |
/// | δ | `pitch_angle` of the cone of the side gear | °, 0 to 90 |
///
/// It presses on the pack only in units that are built so.
///
/// Source: tooth forces of a straight bevel gear, as in any textbook of machine elements.
///
/// # Errors
///
/// Torque, radius or an angle out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::ramp::side_gear_thrust;
/// use shimwright::quantity::{Angle, Length, Torque};
/// let deg = Angle::from_degrees;
/// let thrust = side_gear_thrust(Torque::from_newton_metres(400.0)?, Length::from_um(25_000), deg(45.0)?, deg(90.0)?)?;
/// assert!((thrust.newtons() - 8_000.0).abs() < 1e-8);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn side_gear_thrust(
    case_torque: Torque,
    gear_radius: Length,
    pressure_angle: Angle,
    pitch_angle: Angle,
) -> Result<Force, MechanicsError> {
    let torque = case_torque_within(case_torque)?;
    let radius = within(
        "the pitch radius of the side gear",
        gear_radius,
        above(Length::ZERO),
    )?;
    let zero = Angle::from_degrees(0.0)?;
    let pressure = within(
        "the pressure angle of the side gear",
        pressure_angle,
        zero..=Angle::from_degrees(45.0)?,
    )?;
    let pitch = within(
        "the pitch-cone angle of the side gear",
        pitch_angle,
        zero..=Angle::from_degrees(90.0)?,
    )?;
    let share = pressure.degrees().to_radians().tan() * pitch.degrees().to_radians().sin();
    Ok(Force::from_newtons(torque / 2.0 / radius.metres() * share)?)
}

/// Angle by which the case turns against the pins before a clearance pack bites.
///
/// ```text
/// φ = gap / (r_p tan θ)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | φ | the result | rad; an [`Angle`] has it in ° |
/// | gap | `gap` of that pack | mm, 0 and above |
/// | r_p | `pin_radius`, of the pin's contact | mm, above 0 |
/// | θ | `ramp` | ° from the ring's face |
///
/// At 90° from the ring's face it is 0: the pin meets the ramp at once, and the pack never bites.
///
/// Source: virtual work, F_t · r_p · φ = F_a · gap with the frictionless ramp.
///
/// # Errors
///
/// Gap or radius out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::ramp::lash;
/// use shimwright::quantity::{Datum, Length, RampAngle};
/// let ramp = RampAngle::new(45.0, Datum::RingFace)?;
/// let angle = lash(Length::from_um(400), Length::from_um(40_000), ramp)?;
/// assert!((angle.degrees() - 0.01_f64.to_degrees()).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn lash(gap: Length, pin_radius: Length, ramp: RampAngle) -> Result<Angle, MechanicsError> {
    let gap = within("the gap", gap, Length::ZERO..)?;
    let radius = within("the radius of the pins", pin_radius, above(Length::ZERO))?;
    let (sine, cosine) = sine_cosine(ramp);
    let radians = gap.mm() / radius.mm() * cosine / sine;
    Ok(Angle::from_degrees(radians.to_degrees())?)
}

/// A torque at the case in newton metres, not below 0: the direction is told apart.
pub(super) fn case_torque_within(case_torque: Torque) -> Result<f64, MechanicsError> {
    let zero = Torque::from_newton_metres(0.0)?;
    within("the torque at the case", case_torque, zero..).map(Torque::newton_metres)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Datum;
    use proptest::prelude::*;

    fn face(degrees: f64) -> RampAngle {
        RampAngle::new(degrees, Datum::RingFace).unwrap()
    }

    fn ratio(value: f64) -> Ratio {
        Ratio::new(value).unwrap()
    }

    #[test]
    fn a_ramp_past_the_friction_limit_never_spreads() {
        // tan 60 degrees is above 1/0.6
        assert!(gain(face(60.0), ratio(0.6)).unwrap().value() <= 0.0);
        assert!(gain(RampAngle::NONE, ratio(0.0)).unwrap().value() <= 0.0);
        assert!(gain(face(58.0), ratio(0.6)).unwrap().value() > 0.0);
    }

    #[test]
    fn negative_and_too_large_inputs_are_refused_by_name() {
        let out = |result: Result<f64, MechanicsError>, name: &str| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => assert_eq!(what, name),
            other => panic!("{other:?}"),
        };
        let nm = |value| Torque::from_newton_metres(value).unwrap();
        let (mm, degrees) = (Length::from_um(40_000), |value| {
            Angle::from_degrees(value).unwrap()
        });
        out(
            gain(face(45.0), ratio(-0.1)).map(Ratio::value),
            "friction at the ramp",
        );
        out(
            gain(face(45.0), ratio(1.1)).map(Ratio::value),
            "friction at the ramp",
        );
        out(
            release_gain(face(45.0), ratio(-0.1)).map(Ratio::value),
            "friction at the ramp",
        );
        let force =
            |torque, radius| ring_force(nm(torque), radius, face(45.0), ratio(0.1)).map(Force::newtons);
        out(force(-1.0, mm), "the torque at the case");
        out(force(1.0, Length::ZERO), "the radius of the pins");
        out(force(1.0, -mm), "the radius of the pins");
        let thrust = |pressure, pitch| {
            side_gear_thrust(nm(1.0), mm, degrees(pressure), degrees(pitch)).map(Force::newtons)
        };
        out(thrust(-1.0, 45.0), "the pressure angle of the side gear");
        out(thrust(46.0, 45.0), "the pressure angle of the side gear");
        out(thrust(20.0, 91.0), "the pitch-cone angle of the side gear");
        let play = |gap, radius| lash(gap, radius, face(45.0)).map(Angle::degrees);
        out(play(-mm, mm), "the gap");
        out(play(mm, Length::ZERO), "the radius of the pins");
        assert!(matches!(
            ring_force(nm(f64::MAX), Length::from_nm(1), face(1.0), ratio(0.0)),
            Err(MechanicsError::NotFinite(_))
        ));
    }

    #[test]
    fn a_coast_ramp_that_locks_harder_counts_as_two_way() {
        assert_eq!(class(face(60.0), face(45.0)), RampClass::TwoWay);
        assert_eq!(class(RampAngle::NONE, face(45.0)), RampClass::OneWay);
        assert_eq!(class(RampAngle::NONE, RampAngle::NONE), RampClass::TwoWay);
        assert_eq!(class(face(45.0), face(45.1)), RampClass::OneAndAHalfWay);
        assert_eq!(RampClass::OneAndAHalfWay.to_string(), "one-and-a-half-way");
    }

    #[test]
    fn a_ramp_along_the_axis_has_no_lash() {
        let angle = lash(Length::from_um(500), Length::from_um(40_000), RampAngle::NONE).unwrap();
        assert!(angle.degrees().abs() <= 0.0);
    }

    proptest! {
        #[test]
        fn a_steeper_ramp_and_more_friction_spread_less(
            degrees in 1.0..89.0_f64, more in 0.01..0.9_f64, mu in 0.0..0.5_f64, extra in 0.001..0.4_f64,
        ) {
            let k = |degrees, mu| gain(face(degrees), ratio(mu)).unwrap().value();
            prop_assert!(k(degrees + more, mu) <= k(degrees, mu));
            prop_assert!(k(degrees, mu + extra) <= k(degrees, mu));
            prop_assert!(k(degrees, mu) >= 0.0);
        }

        #[test]
        fn gain_is_the_cotangent_of_ramp_and_friction_angle(degrees in 1.0..89.0_f64, mu in 0.0..1.0_f64) {
            let tangent = (degrees.to_radians() + mu.atan()).tan();
            let expected = if tangent > 0.0 { 1.0 / tangent } else { 0.0 };
            let k = gain(face(degrees), ratio(mu)).unwrap().value();
            prop_assert!((k - expected).abs() <= 1e-12 * (1.0 + expected));
        }

        #[test]
        fn a_ramp_holds_on_more_than_it_spreads(degrees in 1.0..89.0_f64, mu in 0.0..0.9_f64) {
            let ramp = face(degrees);
            match release_gain(ramp, ratio(mu)) {
                Ok(release) => prop_assert!(release.value() >= gain(ramp, ratio(mu)).unwrap().value()),
                Err(MechanicsError::SelfLocking { least_degrees, .. }) => {
                    prop_assert!(degrees <= least_degrees + 1e-9);
                }
                Err(other) => prop_assert!(false, "{other}"),
            }
        }

        #[test]
        fn the_datum_does_not_change_the_physics(degrees in 1.0..89.0_f64, mu in 0.0..1.0_f64) {
            let shaft = RampAngle::new(90.0 - degrees, Datum::ShaftAxis).unwrap();
            let a = gain(face(degrees), ratio(mu)).unwrap().value();
            let b = gain(shaft, ratio(mu)).unwrap().value();
            prop_assert!((a - b).abs() <= 1e-9 * (1.0 + a));
        }

        #[test]
        fn twice_the_size_halves_force_and_lash_stays(
            torque in 0.0..2000.0_f64, radius in 20_000_i64..80_000, degrees in 5.0..85.0_f64, gap in 0_i64..1000,
        ) {
            let force = |um| {
                ring_force(Torque::from_newton_metres(torque).unwrap(), Length::from_um(um), face(degrees), ratio(0.1))
                    .unwrap()
                    .newtons()
            };
            prop_assert!((force(radius) - 2.0 * force(2 * radius)).abs() <= 1e-9 * (1.0 + force(radius)));
            let play = |times: i64| {
                lash(Length::from_um(gap * times), Length::from_um(radius * times), face(degrees)).unwrap().degrees()
            };
            prop_assert!((play(1) - play(2)).abs() < 1e-12);
        }

        #[test]
        fn lash_and_gain_do_the_same_work(degrees in 5.0..85.0_f64, torque in 1.0..2000.0_f64, gap in 1_i64..1000) {
            let (radius, gap) = (Length::from_um(40_000), Length::from_um(gap));
            let torque = Torque::from_newton_metres(torque).unwrap();
            let force = ring_force(torque, radius, face(degrees), ratio(0.0)).unwrap().newtons();
            let turned = lash(gap, radius, face(degrees)).unwrap().degrees().to_radians();
            // half the torque goes into each ring
            let (put_in, got) = (torque.newton_metres() / 2.0 * turned, force * gap.metres());
            prop_assert!((put_in - got).abs() <= 1e-9 * got);
        }
    }
}
