//! Bolts: stress area, proof load, tension from torque, and the check of a torque for slips of unit.

use super::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Force, Length, Pressure, Ratio, Torque, unit_named};
use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

/// ISO metric threads for bolts: diameter, coarse pitch, fine pitches, in micrometres. Coarse pitches are those of
/// ISO 261; fine ones those in use with bolts.
const THREADS: &[(i64, i64, &[i64])] = &[
    (3_000, 500, &[350]),
    (4_000, 700, &[500]),
    (5_000, 800, &[500]),
    (6_000, 1_000, &[750]),
    (7_000, 1_000, &[750]),
    (8_000, 1_250, &[1_000, 750]),
    (9_000, 1_250, &[1_000, 750]),
    (10_000, 1_500, &[1_250, 1_000, 750]),
    (11_000, 1_500, &[1_250, 1_000, 750]),
    (12_000, 1_750, &[1_500, 1_250, 1_000]),
    (14_000, 2_000, &[1_500, 1_250, 1_000]),
    (16_000, 2_000, &[1_500, 1_000]),
    (18_000, 2_500, &[2_000, 1_500, 1_000]),
    (20_000, 2_500, &[2_000, 1_500, 1_000]),
    (22_000, 2_500, &[2_000, 1_500, 1_000]),
    (24_000, 3_000, &[2_000, 1_500, 1_000]),
    (27_000, 3_000, &[2_000, 1_500, 1_000]),
    (30_000, 3_500, &[3_000, 2_000, 1_500, 1_000]),
    (33_000, 3_500, &[3_000, 2_000, 1_500]),
    (36_000, 4_000, &[3_000, 2_000, 1_500]),
    (39_000, 4_000, &[3_000, 2_000, 1_500]),
];

/// The stress area of a thread.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct StressArea(f64);

impl StressArea {
    /// Square millimetres.
    pub fn mm2(self) -> f64 {
        self.0
    }
}

impl fmt::Display for StressArea {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.1} mm²", self.0))
    }
}

/// An ISO metric bolt size, M3 to M39, coarse or fine.
///
/// Read from text: `M10` has the coarse pitch, `M10x1.25`, `M10 × 1,25` and `m10*1.25` are the same. A pitch that does
/// not exist in the size is refused.
///
/// ```
/// use shimwright::mechanics::{BoltSize, MechanicsError};
/// let fine: BoltSize = "M10 × 1,25".parse()?;
/// assert_eq!(fine.to_string(), "M10x1.25");
/// assert_eq!("M10".parse::<BoltSize>()?.pitch().mm(), 1.5);
/// assert!(matches!("M10x125".parse::<BoltSize>(), Err(MechanicsError::SizeUnknown { .. })));
/// # Ok::<(), MechanicsError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BoltSize {
    diameter: Length,
    pitch: Length,
    coarse: bool,
}

impl BoltSize {
    /// Nominal diameter d.
    pub fn diameter(self) -> Length {
        self.diameter
    }

    /// Pitch P.
    pub fn pitch(self) -> Length {
        self.pitch
    }

    /// Pitch diameter `d2 = d − 3√3/8 · P` (ISO 724).
    pub fn pitch_diameter(self) -> Length {
        self.less_pitch(0.375 * 3.0_f64.sqrt())
    }

    /// Root diameter `d3 = d − 17√3/24 · P`: the minor diameter of ISO 724 less a sixth of the thread's triangle.
    pub fn root_diameter(self) -> Length {
        self.less_pitch(17.0 / 24.0 * 3.0_f64.sqrt())
    }

    /// Stress area `A_s = π/4 · ((d2 + d3)/2)²` (ISO 898-1, 9.1.6.1; its tables round it to three figures).
    ///
    /// ```
    /// use shimwright::mechanics::BoltSize;
    /// // M16: 156.7 mm² (Jindal, Machine Design, example 9-1)
    /// assert!(("M16".parse::<BoltSize>()?.stress_area().mm2() - 156.7).abs() < 0.05);
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    pub fn stress_area(self) -> StressArea {
        let mean = (self.pitch_diameter().mm() + self.root_diameter().mm()) / 2.0;
        StressArea(PI / 4.0 * mean * mean)
    }

    /// Proof load `F_p = A_s · S_p` (ISO 898-1), the tension that the bolt must stand without lasting stretch.
    ///
    /// Errors: [`MechanicsError::ClassUnknown`] where the class is not made in this size (9.8 above M16).
    ///
    /// ```
    /// use shimwright::mechanics::BoltSize;
    /// // M10 of class 10.9: 48 100 N in the table of ISO 898-1, which rounds to three figures
    /// let load = "M10".parse::<BoltSize>()?.proof_load("10.9".parse()?)?;
    /// assert!((load.newtons() - 48_100.0).abs() < 50.0);
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    pub fn proof_load(self, class: PropertyClass) -> Result<Force, MechanicsError> {
        let stress = class.proof_stress(self)?.megapascals();
        Ok(Force::from_newtons(self.stress_area().0 * stress)?)
    }

    fn less_pitch(self, times: f64) -> Length {
        Length::from_nm(self.diameter.nm() - (self.pitch.nm() as f64 * times).round() as i64)
    }
}

impl fmt::Display for BoltSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let diameter = self.diameter.mm();
        if self.coarse {
            f.pad(&format!("M{diameter}"))
        } else {
            f.pad(&format!("M{diameter}x{}", self.pitch.mm()))
        }
    }
}

impl FromStr for BoltSize {
    type Err = MechanicsError;

    fn from_str(text: &str) -> Result<BoltSize, MechanicsError> {
        let unknown = |known: String| MechanicsError::SizeUnknown {
            text: text.trim().to_string(),
            known,
        };
        let plain: String = text
            .chars()
            .filter(|c| !c.is_whitespace())
            .map(|c| if c == ',' { '.' } else { c.to_ascii_lowercase() })
            .collect();
        let micrometres = |number: &str| {
            let digits = !number.is_empty() && number.chars().all(|c| c.is_ascii_digit() || c == '.');
            let mm = number.parse::<f64>().ok().filter(|mm| digits && *mm < 1000.0)?;
            // not a whole number of micrometres: no thread has that
            let um = (mm * 1000.0).round();
            ((mm * 1000.0 - um).abs() < 1e-6).then_some(um as i64)
        };
        let numbers = plain
            .strip_prefix('m')
            .ok_or_else(|| unknown("write M10 or M10x1.25".to_string()))?;
        let (diameter, pitch) = match numbers.split_once(['x', '×', '*']) {
            Some((diameter, pitch)) => (diameter, Some(pitch)),
            None => (numbers, None),
        };
        let row = micrometres(diameter).and_then(|d| THREADS.iter().find(|row| row.0 == d));
        let &(diameter, coarse, fine) = row.ok_or_else(|| {
            let sizes: Vec<String> = THREADS.iter().map(|row| format!("M{}", row.0 / 1000)).collect();
            unknown(format!("known are {}", sizes.join(", ")))
        })?;
        let pitch = match pitch {
            None => coarse,
            Some(written) => micrometres(written)
                .filter(|pitch| *pitch == coarse || fine.contains(pitch))
                .ok_or_else(|| {
                    let pitches: Vec<String> = [coarse]
                        .iter()
                        .chain(fine)
                        .map(|um| (*um as f64 / 1000.0).to_string())
                        .collect();
                    let name = diameter / 1000;
                    unknown(format!("the pitches of M{name} are {} mm", pitches.join(", ")))
                })?,
        };
        Ok(BoltSize {
            diameter: Length::from_um(diameter),
            pitch: Length::from_um(pitch),
            coarse: pitch == coarse,
        })
    }
}

/// The strength that is marked on a bolt's head.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PropertyClass {
    /// 4.6
    C4_6,
    /// 4.8
    C4_8,
    /// 5.6
    C5_6,
    /// 5.8
    C5_8,
    /// 6.8
    C6_8,
    /// 8.8
    C8_8,
    /// 9.8, up to M16
    C9_8,
    /// 10.9
    C10_9,
    /// 12.9
    C12_9,
}

impl PropertyClass {
    /// Every class, weakest first.
    pub const ALL: [PropertyClass; 9] = [
        PropertyClass::C4_6,
        PropertyClass::C4_8,
        PropertyClass::C5_6,
        PropertyClass::C5_8,
        PropertyClass::C6_8,
        PropertyClass::C8_8,
        PropertyClass::C9_8,
        PropertyClass::C10_9,
        PropertyClass::C12_9,
    ];

    /// Stress under proof load S_p in this size (ISO 898-1, table 3): 225, 310, 280, 380, 440, 580 or above M16 600,
    /// 650, 830, 970 MPa.
    ///
    /// Errors: [`MechanicsError::ClassUnknown`] where the class is not made in this size.
    pub fn proof_stress(self, size: BoltSize) -> Result<Pressure, MechanicsError> {
        let large = size.diameter > Length::from_um(16_000);
        let megapascals = match self {
            PropertyClass::C4_6 => 225.0,
            PropertyClass::C4_8 => 310.0,
            PropertyClass::C5_6 => 280.0,
            PropertyClass::C5_8 => 380.0,
            PropertyClass::C6_8 => 440.0,
            PropertyClass::C8_8 if large => 600.0,
            PropertyClass::C8_8 => 580.0,
            PropertyClass::C9_8 if large => {
                return Err(MechanicsError::ClassUnknown {
                    text: format!("{self} in {size}"),
                    known: "another class: 9.8 is made up to M16".to_string(),
                });
            }
            PropertyClass::C9_8 => 650.0,
            PropertyClass::C10_9 => 830.0,
            PropertyClass::C12_9 => 970.0,
        };
        Ok(Pressure::from_megapascals(megapascals)?)
    }
}

impl fmt::Display for PropertyClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            PropertyClass::C4_6 => "4.6",
            PropertyClass::C4_8 => "4.8",
            PropertyClass::C5_6 => "5.6",
            PropertyClass::C5_8 => "5.8",
            PropertyClass::C6_8 => "6.8",
            PropertyClass::C8_8 => "8.8",
            PropertyClass::C9_8 => "9.8",
            PropertyClass::C10_9 => "10.9",
            PropertyClass::C12_9 => "12.9",
        })
    }
}

impl FromStr for PropertyClass {
    type Err = MechanicsError;

    /// ```
    /// use shimwright::mechanics::{MechanicsError, PropertyClass};
    /// assert_eq!("10,9".parse::<PropertyClass>()?.to_string(), "10.9");
    /// assert!(matches!("11.9".parse::<PropertyClass>(), Err(MechanicsError::ClassUnknown { .. })));
    /// # Ok::<(), MechanicsError>(())
    /// ```
    fn from_str(text: &str) -> Result<PropertyClass, MechanicsError> {
        let plain = text.trim().replace(',', ".");
        PropertyClass::ALL
            .into_iter()
            .find(|class| class.to_string() == plain)
            .ok_or_else(|| MechanicsError::ClassUnknown {
                text: text.trim().to_string(),
                known: PropertyClass::ALL.map(|class| class.to_string()).join(", "),
            })
    }
}

/// Tension from torque by the nut factor: `F = M / (K d)`.
///
/// M not below 0; K above 0, at most 1 (dry steel about 0.2: *common practice, no source*); d the nominal diameter.
/// Source: any textbook of machine elements (Jindal, Machine Design, examples 9-5 and 9-6). Good to some 30 %.
///
/// Errors: torque or factor out of range.
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
        torque / (nut_factor.value() * size.diameter.metres()),
    )?)
}

/// Tension from torque by the friction in the thread and under the head:
///
/// ```text
/// F = M / ( P/(2π) + d2 μ_th/(2 cos 30°) + D_km μ_head/2 )      (0.159 P + 0.577 d2 μ_th + D_km μ_head/2)
/// ```
///
/// M not below 0; P pitch; d2 pitch diameter; D_km mean diameter of the bearing face, above d; friction 0 to 1. Source:
/// Kellermann and Klein's formula, as VDI 2230 has it with the factors rounded up to 0.16 and 0.58; it leaves out the
/// factor 1/(1 − μ_th/cos 30° · tan of the lead angle) on the thread's part, which is under 1 %.
///
/// Errors: an input out of range.
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
        above(size.diameter),
    )?;
    let lever = size.pitch.metres() / (2.0 * PI)
        + size.pitch_diameter().metres() * thread / 3.0_f64.sqrt()
        + bearing.metres() * head / 2.0;
    Ok(Force::from_newtons(torque / lever)?)
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

/// A torque that looks like a slip. It is a question and no verdict: the maker's figure governs.
#[derive(Clone, PartialEq, Debug)]
pub struct TorqueQuestion {
    /// Too high or too low.
    pub doubt: TorqueDoubt,
    /// Tension that the torque gives.
    pub tension: Force,
    /// Proof load of the bolt.
    pub proof_load: Force,
    torque: Torque,
}

impl TorqueQuestion {
    /// Tension over proof load.
    pub fn share_of_proof(&self) -> f64 {
        self.tension.newtons() / self.proof_load.newtons()
    }

    /// The units in which the same number would be in order, given the unit that it was written in: "75 lbf·ft" may
    /// have been meant as 75 N·m. Empty where no other unit helps, or `written_unit` is no unit of torque in use.
    pub fn units_that_fit(&self, written_unit: &str) -> Vec<&'static str> {
        let Some(written) = torque_unit(written_unit) else {
            return Vec::new();
        };
        let number = written.from_si(self.torque.newton_metres());
        TORQUE_UNITS
            .into_iter()
            .filter(|symbol| *symbol != written.symbol())
            .filter(|symbol| {
                torque_unit(symbol).is_some_and(|unit| {
                    // tension goes with torque
                    let share = self.share_of_proof() * unit.to_si(number) / self.torque.newton_metres();
                    IN_ORDER.contains(&share)
                })
            })
            .collect()
    }
}

/// Share of the proof load that a bolt's torque is expected to give.
const IN_ORDER: std::ops::RangeInclusive<f64> = 0.2..=0.9;

fn torque_unit(text: &str) -> Option<&'static crate::quantity::UnitRow> {
    unit_named(text).filter(|row| row.dimension() == crate::quantity::Dimension::Torque)
}

/// Questions a torque that would load the bolt past 90 % or under 20 % of its proof load; `None` where it is in order.
///
/// The tension is that of [`tension_with_friction`] with the same friction in the thread and under the head and a bearing
/// face of 1.3 d, that of a hexagon head on a clearance hole (*common practice, no source*). Tightening tables that use
/// 90 % of the yield stress come out a little above 90 % of the proof load with little friction and are questioned too.
///
/// Errors: torque not above 0; friction out of range; class not made in this size.
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
    let bearing = Length::from_nm(size.diameter.nm() / 10 * 13);
    let tension = tension_with_friction(torque, size, friction, friction, bearing)?;
    let proof_load = size.proof_load(class)?;
    let share = tension.newtons() / proof_load.newtons();
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
    fn a_size_is_read_in_every_usual_spelling() {
        for text in ["M10x1.25", "m10X1,25", " M 10 × 1.25 ", "M10*1.250"] {
            assert_eq!(size(text), size("M10x1.25"), "{text}");
        }
        assert_eq!(size("M10x1.5"), size("M10"));
        assert_eq!(size("M10x1.5").to_string(), "M10");
        assert_eq!(size("M12x1.25").to_string(), "M12x1.25");
    }

    #[test]
    fn a_size_that_does_not_exist_is_refused_with_those_that_do() {
        for text in [
            "",
            "10",
            "M",
            "M10x",
            "Mx1",
            "M10x2",
            "M10x-1.25",
            "M1e1",
            "M10x1.2501",
            "M13",
            "MNaN",
            "Minf",
            "M10x1x1",
        ] {
            let refused = text.parse::<BoltSize>().unwrap_err();
            assert!(matches!(refused, MechanicsError::SizeUnknown { .. }), "{text}");
        }
        assert_eq!(
            "M10x2".parse::<BoltSize>().unwrap_err().to_string(),
            "\"M10x2\" is no ISO metric thread size that is known here; the pitches of M10 are 1.5, 1.25, 1, 0.75 mm"
        );
    }

    #[test]
    fn every_class_is_read_back_and_9_8_ends_at_m16() {
        for class in PropertyClass::ALL {
            assert_eq!(class.to_string().parse::<PropertyClass>(), Ok(class));
        }
        assert!(size("M16").proof_load(PropertyClass::C9_8).is_ok());
        assert!(matches!(
            size("M18").proof_load(PropertyClass::C9_8),
            Err(MechanicsError::ClassUnknown { .. })
        ));
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
            row in 0..THREADS.len(), torque in 1.0..500.0_f64, mu in 0.01..0.5_f64, more in 0.001..0.4_f64,
        ) {
            let size = size(&format!("M{}", THREADS[row].0 / 1000));
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
