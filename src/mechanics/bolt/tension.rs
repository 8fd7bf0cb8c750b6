//! The load that a tightening torque makes, and the torque that a load needs.

use super::{BoltSize, PropertyClass};
use crate::mechanics::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Dimension, Force, Length, Ratio, Torque, UnitRow, unit_named};
use std::f64::consts::PI;
use std::fmt;

/// Tension from torque by the nut factor.
///
/// ```text
/// F = M / (K d)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F | the result | N |
/// | M | `torque` | N·m, 0 and above |
/// | K | `nut_factor` | ratio, above 0, at most 1 |
/// | d | `size`, its nominal diameter | m |
///
/// Good to some 30 %. With dry steel K is about 0.2: *common practice, no source*.
///
/// Source: any textbook of machine elements (Jindal, Machine Design, examples 9-5 and 9-6).
///
/// # Errors
///
/// Torque or factor out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::bolt::tension_from_torque;
/// use shimwright::quantity::{Ratio, Torque};
/// // M20, K = 0.18: 432 N·m give 120 kN
/// let tension = tension_from_torque(Torque::from_newton_metres(432.0)?, "M20".parse()?, Ratio::new(0.18)?)?;
/// assert!((tension.newtons() - 120_000.0).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn tension_from_torque(
    torque: Torque,
    size: BoltSize,
    nut_factor: Ratio,
) -> Result<Force, MechanicsError> {
    let torque = torque_within(torque)?;
    let zero = Ratio::new(0.0)?;
    within("the nut factor", nut_factor, above(zero))?;
    within("the nut factor", nut_factor, ..=Ratio::new(1.0)?)?;
    Ok(Force::from_newtons(
        torque / (nut_factor.value() * size.diameter().metres()),
    )?)
}

/// Tension from torque by the friction in the thread and under the head.
///
/// ```text
/// F = M / ( P/(2π) + d2 μ_th/(2 cos 30°) + D_km μ_head/2 )      (0.159 P + 0.577 d2 μ_th + D_km μ_head/2)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F | the result | N |
/// | M | `torque` | N·m, 0 and above |
/// | P | `size`, its pitch | m |
/// | d2 | `size`, its pitch diameter | m |
/// | μ_th | `thread_friction` | ratio, 0 to 1 |
/// | μ_head | `head_friction` | ratio, 0 to 1 |
/// | D_km | `bearing_diameter`, the mean one of the bearing face | m, above the nominal diameter |
///
/// Source: Kellermann and Klein's formula, as VDI 2230 has it with the factors rounded up to 0.16 and 0.58; it leaves
/// out the factor 1/(1 − μ_th/cos 30° · tan of the lead angle) on the thread's part, which is under 1 %.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::bolt::tension_with_friction;
/// use shimwright::quantity::{Length, Ratio, Torque};
/// // M8x1, friction 0.12, bearing face 11.63 to 9 mm: a table after VDI 2230 has 38.3 N·m for 29.7 kN
/// let mu = Ratio::new(0.12)?;
/// let torque = Torque::from_newton_metres(38.3)?;
/// let tension = tension_with_friction(torque, "M8x1".parse()?, mu, mu, Length::from_um(10_315))?;
/// // the table's factors are rounded up by 0.5 %
/// assert!((29_700.0..29_700.0 * 1.005).contains(&tension.newtons()));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn tension_with_friction(
    torque: Torque,
    size: BoltSize,
    thread_friction: Ratio,
    head_friction: Ratio,
    bearing_diameter: Length,
) -> Result<Force, MechanicsError> {
    let torque = torque_within(torque)?;
    let thread = friction_within("friction in the thread", thread_friction)?;
    let head = friction_within("friction under the head", head_friction)?;
    let bearing = within(
        "the mean diameter of the bearing face",
        bearing_diameter,
        above(size.diameter()),
    )?;
    let lever = size.pitch().metres() / (2.0 * PI)
        + size.pitch_diameter().metres() * thread / 3.0_f64.sqrt()
        + bearing.metres() * head / 2.0;
    Ok(Force::from_newtons(torque / lever)?)
}

/// What a torque does to a bolt.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BoltLoad {
    /// Tension that the torque gives.
    pub tension: Force,
    /// Proof load of the bolt.
    pub proof_load: Force,
    /// Tension over proof load.
    pub share_of_proof: Ratio,
    /// Mean diameter of the bearing face that was reckoned with.
    pub bearing_diameter: Length,
}

/// Tension from torque and its share of the proof load, for a hexagon head on a clearance hole.
///
/// ```text
/// F as in tension_with_friction,   μ_th = μ_head = μ,   D_km = 1.3 d,   share = F/F_p
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F, share | the result | N; share |
/// | M | `torque` | N·m, 0 and above |
/// | d | `size`, its nominal diameter | m |
/// | μ | `friction` in the thread and under the head | ratio, 0 to 1 |
/// | F_p | [`BoltSize::proof_load`] of `size` in its `class` | N |
///
/// Source: [`tension_with_friction`]; the bearing face of 1.3 d is *common practice, no source*.
///
/// # Errors
///
/// Torque or friction out of range; class not made in this size.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::bolt::load_from_torque;
/// use shimwright::quantity::{parse, Ratio};
/// // M10x1.25 of 10.9, friction 0.12: a table after VDI 2230 has 75 N·m for 46.4 kN; its bearing face is narrower
/// let load = load_from_torque(parse("75 N·m")?, "M10x1.25".parse()?, "10.9".parse()?, Ratio::new(0.12)?)?;
/// assert!((load.tension.newtons() / 46_400.0 - 1.0).abs() < 0.05);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn load_from_torque(
    torque: Torque,
    size: BoltSize,
    class: PropertyClass,
    friction: Ratio,
) -> Result<BoltLoad, MechanicsError> {
    let bearing_diameter = Length::from_nm(size.diameter().nm() / 10 * 13);
    let tension = tension_with_friction(torque, size, friction, friction, bearing_diameter)?;
    let proof_load = size.proof_load(class)?;
    Ok(BoltLoad {
        tension,
        proof_load,
        share_of_proof: Ratio::new(tension.newtons() / proof_load.newtons())?,
        bearing_diameter,
    })
}

/// Why a torque is questioned.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum TorqueDoubt {
    /// It would load the bolt past 90 % of its proof load.
    PastNinetyPercent,
    /// It would load the bolt to less than 20 % of its proof load.
    UnderTwentyPercent,
}

impl fmt::Display for TorqueDoubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            TorqueDoubt::PastNinetyPercent => "past 90 % of the proof load",
            TorqueDoubt::UnderTwentyPercent => "under 20 % of the proof load",
        })
    }
}

/// The units that torques of bolts are given in, and mistaken for each other.
const TORQUE_UNITS: [&str; 4] = ["N·m", "lbf·ft", "lbf·in", "kgf·m"];

/// A torque that looks like a slip. It is a question and no verdict: the maker's figure governs. Its limits are common
/// practice, no source.
///
/// ```
/// use shimwright::mechanics::bolt::{TorqueDoubt, question_torque};
/// use shimwright::quantity::{parse, Ratio};
/// let (size, class, friction) = ("M8".parse()?, "8.8".parse()?, Ratio::new(0.14)?);
/// let question = question_torque(parse("90 lbf·ft")?, size, class, friction)?.unwrap();
/// assert_eq!(question.doubt, TorqueDoubt::PastNinetyPercent);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct TorqueQuestion {
    /// Too high or too low.
    pub doubt: TorqueDoubt,
    /// Tension that the torque gives.
    pub tension: Force,
    /// Proof load of the bolt.
    pub proof_load: Force,
    /// Tension over proof load.
    pub share_of_proof: Ratio,
    torque: Torque,
}

impl TorqueQuestion {
    /// The units in which the same number would be in order, given the unit that it was written in: "75 lbf·ft" may
    /// have been meant as 75 N·m. Empty where no other unit helps, or `written_unit` is no unit of torque in use.
    pub fn units_that_fit(&self, written_unit: &str) -> Vec<&'static str> {
        let Some(written) = torque_unit(written_unit) else {
            return Vec::new();
        };
        let number = written.from_si(self.torque.newton_metres());
        TORQUE_UNITS
            .into_iter()
            .filter(|symbol| {
                torque_unit(symbol).is_some_and(|unit| {
                    // tension goes with torque
                    let share =
                        self.share_of_proof.value() * unit.to_si(number) / self.torque.newton_metres();
                    IN_ORDER.contains(&share)
                })
            })
            .collect()
    }
}

/// Share of the proof load that a bolt's torque is expected to give.
const IN_ORDER: std::ops::RangeInclusive<f64> = 0.2..=0.9;

fn torque_unit(text: &str) -> Option<&'static UnitRow> {
    unit_named(text).filter(|row| row.dimension() == Dimension::Torque)
}

/// Questions a torque that would load the bolt past 90 % or under 20 % of its proof load; `None` where it is in order.
///
/// The tension is that of [`load_from_torque`]. Tightening tables that use
/// 90 % of the yield stress come out a little above 90 % of the proof load with little friction and are questioned too.
/// Source of the two limits: common practice, no source.
///
/// ```
/// use shimwright::mechanics::bolt::question_torque;
/// use shimwright::quantity::{parse, Ratio};
/// let (size, class, friction) = ("M10x1.25".parse()?, "8.8".parse()?, Ratio::new(0.14)?);
/// let question = question_torque(parse("50 lbf·ft")?, size, class, friction)?.unwrap();
/// assert_eq!(question.units_that_fit("lbf·ft"), ["N·m"]);
/// assert!(question_torque(parse("50 N·m")?, size, class, friction)?.is_none());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// Torque not above 0; friction out of range; class not made in this size.
pub fn question_torque(
    torque: Torque,
    size: BoltSize,
    class: PropertyClass,
    friction: Ratio,
) -> Result<Option<TorqueQuestion>, MechanicsError> {
    within(
        "the torque of the bolt",
        torque,
        above(Torque::from_newton_metres(0.0)?),
    )?;
    let BoltLoad {
        tension,
        proof_load,
        share_of_proof,
        ..
    } = load_from_torque(torque, size, class, friction)?;
    let share = share_of_proof.value();
    let doubt = if IN_ORDER.contains(&share) {
        return Ok(None);
    } else if share > *IN_ORDER.end() {
        TorqueDoubt::PastNinetyPercent
    } else {
        TorqueDoubt::UnderTwentyPercent
    };
    Ok(Some(TorqueQuestion {
        doubt,
        tension,
        proof_load,
        share_of_proof,
        torque,
    }))
}

fn torque_within(torque: Torque) -> Result<f64, MechanicsError> {
    within(
        "the torque of the bolt",
        torque,
        Torque::from_newton_metres(0.0)?..,
    )
    .map(Torque::newton_metres)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse;
    use proptest::prelude::*;

    fn size(text: &str) -> BoltSize {
        text.parse().unwrap()
    }

    fn ratio(value: f64) -> Ratio {
        Ratio::new(value).unwrap()
    }

    fn nm(value: f64) -> Torque {
        Torque::from_newton_metres(value).unwrap()
    }

    #[test]
    fn senseless_inputs_are_refused_by_name() {
        let named = |result: Result<Force, MechanicsError>| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        let (m10, mu) = (size("M10"), ratio(0.12));
        assert_eq!(
            named(tension_from_torque(nm(-1.0), m10, mu)),
            "the torque of the bolt"
        );
        assert_eq!(
            named(tension_from_torque(nm(1.0), m10, ratio(0.0))),
            "the nut factor"
        );
        assert_eq!(
            named(tension_from_torque(nm(1.0), m10, ratio(1.1))),
            "the nut factor"
        );
        let with = |torque, thread, head, bearing| {
            named(tension_with_friction(
                nm(torque),
                m10,
                ratio(thread),
                ratio(head),
                Length::from_um(bearing),
            ))
        };
        assert_eq!(with(-1.0, 0.1, 0.1, 13_000), "the torque of the bolt");
        assert_eq!(with(1.0, -0.1, 0.1, 13_000), "friction in the thread");
        assert_eq!(with(1.0, 0.1, 1.1, 13_000), "friction under the head");
        assert_eq!(
            with(1.0, 0.1, 0.1, 10_000),
            "the mean diameter of the bearing face"
        );
        assert!(matches!(
            question_torque(nm(0.0), m10, PropertyClass::C8_8, mu),
            Err(MechanicsError::OutOfRange {
                what: "the torque of the bolt",
                ..
            })
        ));
    }

    #[test]
    fn a_slip_of_unit_is_named() {
        let ask = |text: &str| {
            question_torque(parse(text).unwrap(), size("M8"), PropertyClass::C8_8, ratio(0.14)).unwrap()
        };
        // 25 N·m is usual for M8 of 8.8 (common practice, no source)
        assert_eq!(ask("25 N·m"), None);
        let high = ask("25 kgf·m").unwrap();
        assert_eq!(
            (high.doubt, high.units_that_fit("kgf·m")),
            (TorqueDoubt::PastNinetyPercent, vec!["N·m"])
        );
        let low = ask("18 lbf·in").unwrap();
        assert_eq!(low.doubt, TorqueDoubt::UnderTwentyPercent);
        assert_eq!(low.units_that_fit("in-lb"), ["N·m", "lbf·ft"]);
        assert_eq!(ask("2.5 N·m").unwrap().units_that_fit("Nm"), ["kgf·m"]);
        assert_eq!(ask("500 N·m").unwrap().units_that_fit("mm"), Vec::<&str>::new());
        assert_eq!(low.doubt.to_string(), "under 20 % of the proof load");
    }

    proptest! {
        #[test]
        fn tension_goes_with_torque_and_falls_with_friction(
            d in prop::sample::select(vec![6, 8, 10, 12, 14, 16, 20, 24, 30, 39]), torque in 1.0..500.0_f64, mu in 0.01..0.5_f64, more in 0.001..0.4_f64,
        ) {
            let size = size(&format!("M{d}"));
            let bearing = Length::from_nm(size.diameter().nm() / 10 * 13);
            let tension = |torque, mu| {
                tension_with_friction(nm(torque), size, ratio(mu), ratio(mu), bearing).unwrap().newtons()
            };
            prop_assert!((tension(2.0 * torque, mu) - 2.0 * tension(torque, mu)).abs() <= 1e-9 * tension(torque, mu));
            prop_assert!(tension(torque, mu + more) < tension(torque, mu));
            // the work of the wrench over one turn is that of the tension and of both frictions
            let pushed = tension(torque, mu);
            let work = pushed * size.pitch().metres()
                + pushed / 30.0_f64.to_radians().cos() * mu * PI * size.pitch_diameter().metres()
                + pushed * mu * PI * bearing.metres();
            prop_assert!((work - 2.0 * PI * torque).abs() <= 1e-9 * work);
        }

        #[test]
        fn a_question_asks_just_outside_its_window(torque in 0.1..400.0_f64, mu in 0.05..0.3_f64, class in 0..9_usize) {
            let (size, class) = (size("M12x1.5"), PropertyClass::ALL[class]);
            let bearing = Length::from_um(15_600);
            let tension = tension_with_friction(nm(torque), size, ratio(mu), ratio(mu), bearing).unwrap();
            let share = tension.newtons() / size.proof_load(class).unwrap().newtons();
            let asked = question_torque(nm(torque), size, class, ratio(mu)).unwrap();
            prop_assert_eq!(asked.is_some(), !(0.2..=0.9).contains(&share));
            for written in TORQUE_UNITS {
                for unit in asked.iter().flat_map(|question| question.units_that_fit(written)) {
                    let number = torque_unit(written).unwrap().from_si(torque);
                    let meant = parse(&format!("{number:.9} {unit}")).unwrap();
                    prop_assert_eq!(question_torque(meant, size, class, ratio(mu)).unwrap(), None);
                }
            }
        }
    }
}
