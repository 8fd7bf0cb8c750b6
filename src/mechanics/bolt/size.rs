//! Sizes of bolts and their property classes.

use crate::mechanics::MechanicsError;
use crate::quantity::{Force, Length, Pressure};
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

    /// Pitch diameter.
    ///
    /// ```text
    /// d2 = d − 3√3/8 · P
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | d2 | the result | mm |
    /// | d | `diameter`, nominal | mm |
    /// | P | `pitch` | mm |
    ///
    /// Source: ISO 724.
    pub fn pitch_diameter(self) -> Length {
        self.less_pitch(0.375 * 3.0_f64.sqrt())
    }

    /// Root diameter: the minor diameter of ISO 724 less a sixth of the thread's triangle.
    ///
    /// ```text
    /// d3 = d − 17√3/24 · P
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | d3 | the result | mm |
    /// | d | `diameter`, nominal | mm |
    /// | P | `pitch` | mm |
    ///
    /// Source: ISO 898-1, 9.1.6.1.
    pub fn root_diameter(self) -> Length {
        self.less_pitch(17.0 / 24.0 * 3.0_f64.sqrt())
    }

    /// Stress area.
    ///
    /// ```text
    /// A_s = π/4 · ((d2 + d3)/2)²
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | A_s | the result | mm² |
    /// | d2 | [`BoltSize::pitch_diameter`] | mm |
    /// | d3 | [`BoltSize::root_diameter`] | mm |
    ///
    /// Source: ISO 898-1, 9.1.6.1; its tables round it to three figures.
    ///
    /// # Example
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

    /// Proof load, the tension that the bolt must stand without lasting stretch.
    ///
    /// ```text
    /// F_p = A_s · S_p
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | F_p | the result | N |
    /// | A_s | [`BoltSize::stress_area`] | mm² |
    /// | S_p | `class`, [`PropertyClass::proof_stress`] in this size | MPa |
    ///
    /// Source: ISO 898-1.
    ///
    /// # Errors
    ///
    /// [`MechanicsError::ClassUnknown`] where the class is not made in this size (9.8 above M16).
    ///
    /// # Example
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

impl BoltSize {
    /// A regular expression of every size that is read, in its usual spellings. Source: the table that sizes are read by.
    ///
    /// ```
    /// assert!(shimwright::mechanics::BoltSize::pattern().contains("10(?:[.,]0*)?"));
    /// ```
    pub fn pattern() -> String {
        let millimetres = |um: i64| {
            let (whole, rest) = (um / 1000, format!("{:03}", um % 1000));
            match (whole, rest.trim_end_matches('0')) {
                (_, "") => format!("0*{whole}(?:[.,]0*)?"),
                (0, rest) => format!("0*[.,]{rest}0*"),
                (_, rest) => format!("0*{whole}[.,]{rest}0*"),
            }
        };
        let sizes: Vec<String> = THREADS
            .iter()
            .map(|(diameter, coarse, fine)| {
                let pitches: Vec<String> = [coarse]
                    .into_iter()
                    .chain(*fine)
                    .map(|pitch| millimetres(*pitch))
                    .collect();
                format!(
                    r"{}(?:\s*[xX×*]\s*(?:{}))?",
                    millimetres(*diameter),
                    pitches.join("|")
                )
            })
            .collect();
        format!(r"^\s*[mM]\s*(?:{})\s*$", sizes.join("|"))
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
    /// ```
    /// use shimwright::mechanics::{BoltSize, PropertyClass};
    /// let class: PropertyClass = "8.8".parse()?;
    /// assert_eq!(class.proof_stress("M10".parse()?)?.megapascals(), 580.0);
    /// assert_eq!(class.proof_stress("M20".parse()?)?.megapascals(), 600.0);
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// [`MechanicsError::ClassUnknown`] where the class is not made in this size.
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

impl PropertyClass {
    /// A regular expression of every class that is read. Source: the table that classes are read by.
    ///
    /// ```
    /// assert!(shimwright::mechanics::PropertyClass::pattern().contains("10[.,]9"));
    /// ```
    pub fn pattern() -> String {
        let classes = PropertyClass::ALL.map(|class| class.to_string().replace('.', "[.,]"));
        format!(r"^\s*(?:{})\s*$", classes.join("|"))
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

#[cfg(test)]
mod tests {
    use super::*;

    fn size(text: &str) -> BoltSize {
        text.parse().unwrap()
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
}
