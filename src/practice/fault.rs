//! What can be wrong with a made-up unit or with what it is measured by.

use crate::mechanics::Side;
use crate::quantity::{Length, Torque};
use crate::record::diagnosis::FaultKind;

/// One thing that is wrong with a made-up unit, or with what it is measured by.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// A plate that is out of flat; its thickness is right.
    Warped {
        /// Which.
        plate: String,
        /// By how much.
        by: Length,
    },
    /// A plate worn below its limit.
    Thin {
        /// Which.
        plate: String,
        /// Its true least thickness.
        least: Length,
    },
    /// A plate worn out of parallel: one place of three tells nothing.
    Tapered {
        /// Which.
        plate: String,
        /// Thickest less thinnest.
        spread: Length,
    },
    /// A plate that is finished by its looks, though it measures well.
    Spoilt {
        /// Which.
        plate: String,
        /// The word for it: `burnt`, `torn`, `cracked`.
        look: &'static str,
    },
    /// Two plates that lie in each other's pack.
    Swapped {
        /// The plate that belongs on the left and lies on the right.
        left: String,
        /// The plate that belongs on the right and lies on the left.
        right: String,
    },
    /// Two neighbours of one pack in each other's place, so that faces are dead.
    DeadFace {
        /// Where.
        side: Side,
        /// How many faces are lost.
        lost: u32,
        /// The place of the first of the two, from the wall, counted from 0.
        at: usize,
    },
    /// The micrometer is off zero.
    MicrometerZero {
        /// What it shows too much.
        by: Length,
    },
    /// The depth gauge is off zero.
    DepthGaugeZero {
        /// What it shows too much.
        by: Length,
    },
    /// A cracked spring disc.
    SpringCracked {
        /// Where.
        side: Side,
    },
    /// A spring disc that lies the other way round.
    SpringUpsideDown {
        /// Where.
        side: Side,
    },
    /// A step worn into a ramp face.
    SteppedRamp,
    /// The wrench's scale is marked in pound-force feet.
    WrenchScale,
    /// The unit is held for the proof in another way than its file says.
    OtherMethod,
    /// An extension on the wrench.
    Extension {
        /// Its length.
        length: Length,
    },
    /// A plate of another maker, of another thickness.
    OtherMaker {
        /// Which.
        plate: String,
        /// Its true mean thickness.
        mean: Length,
    },
    /// A flat worn on a cross pin.
    PinFlat,
    /// A pressure ring that hangs in the case and does not slide.
    RingWedged {
        /// Where.
        side: Side,
    },
    /// Plate tabs that hang in worn slots of the case.
    TabsStick {
        /// Where.
        side: Side,
    },
    /// A thrust washer that nobody put in.
    WasherMissing,
    /// Two shims that stick together where one belongs.
    ShimDoubled {
        /// Where.
        side: Side,
        /// The thickness of the second one.
        by: Length,
    },
    /// The wrench is past its day, and reads wrong.
    WrenchOverdue {
        /// What it reads for each newton metre.
        reads: f64,
    },
    /// What drags beside the packs is much, and in the reading.
    Drag {
        /// How much.
        by: Torque,
    },
    /// Another oil than the file's was in it.
    WrongOil,
    /// The oil that was in it lacks its modifier.
    NoModifier,
}

impl Fault {
    /// The plate that ought to be thrown out for it.
    pub(super) fn plate(&self) -> Option<&str> {
        match self {
            Fault::Warped { plate, .. }
            | Fault::Thin { plate, .. }
            | Fault::Tapered { plate, .. }
            | Fault::Spoilt { plate, .. }
            | Fault::OtherMaker { plate, .. } => Some(plate),
            _ => None,
        }
    }

    /// The word that a diagnosis has for it.
    pub fn kind(&self) -> FaultKind {
        match self {
            Fault::Warped { .. } => FaultKind::Warped,
            Fault::Thin { .. } => FaultKind::Thin,
            Fault::Tapered { .. } => FaultKind::Tapered,
            Fault::Spoilt { look: "burnt", .. } => FaultKind::Burnt,
            Fault::Spoilt { look: "torn", .. } => FaultKind::Torn,
            Fault::Spoilt { .. } => FaultKind::Cracked,
            Fault::OtherMaker { .. } => FaultKind::OtherMaker,
            Fault::Swapped { .. } => FaultKind::Swapped,
            Fault::DeadFace { .. } => FaultKind::DeadFace,
            Fault::MicrometerZero { .. } | Fault::DepthGaugeZero { .. } => FaultKind::Zero,
            Fault::SpringCracked { .. } => FaultKind::SpringCracked,
            Fault::SpringUpsideDown { .. } => FaultKind::SpringTurned,
            Fault::SteppedRamp => FaultKind::RampStep,
            Fault::PinFlat => FaultKind::PinFlat,
            Fault::RingWedged { .. } => FaultKind::RingWedged,
            Fault::TabsStick { .. } => FaultKind::TabsStick,
            Fault::WasherMissing => FaultKind::WasherMissing,
            Fault::ShimDoubled { .. } => FaultKind::ShimDoubled,
            Fault::WrenchScale => FaultKind::WrenchScale,
            Fault::WrenchOverdue { .. } => FaultKind::WrenchOverdue,
            Fault::OtherMethod => FaultKind::HeldOtherwise,
            Fault::Extension { .. } => FaultKind::Extension,
            Fault::Drag { .. } => FaultKind::Drag,
            Fault::WrongOil => FaultKind::WrongOil,
            Fault::NoModifier => FaultKind::NoModifier,
        }
    }

    /// The parts that a diagnosis has to name for it.
    pub(super) fn parts(&self) -> Vec<String> {
        let word = |word: &str| vec![word.to_string()];
        match self {
            Fault::Warped { plate, .. }
            | Fault::Thin { plate, .. }
            | Fault::Tapered { plate, .. }
            | Fault::Spoilt { plate, .. }
            | Fault::OtherMaker { plate, .. } => word(plate),
            Fault::Swapped { left, right } => vec![left.clone(), right.clone()],
            Fault::DeadFace { side, .. }
            | Fault::SpringCracked { side }
            | Fault::SpringUpsideDown { side }
            | Fault::RingWedged { side }
            | Fault::TabsStick { side }
            | Fault::ShimDoubled { side, .. } => word(side.word()),
            Fault::MicrometerZero { .. } => word("micrometer"),
            Fault::DepthGaugeZero { .. } => word("depth-gauge"),
            Fault::SteppedRamp
            | Fault::PinFlat
            | Fault::WasherMissing
            | Fault::WrenchScale
            | Fault::WrenchOverdue { .. }
            | Fault::OtherMethod
            | Fault::Extension { .. }
            | Fault::Drag { .. }
            | Fault::WrongOil
            | Fault::NoModifier => Vec::new(),
        }
    }

    /// The fault in a few words, with its figure.
    pub(super) fn words(&self) -> String {
        match self {
            Fault::Warped { plate, by } => format!("plate {plate} is out of flat by {by}"),
            Fault::Thin { plate, least } => format!("plate {plate} is worn thin: least {}", told(*least)),
            Fault::Tapered { plate, spread } => {
                format!("plate {plate} is worn out of parallel: spread {spread}")
            }
            Fault::Spoilt { plate, look } => format!("plate {plate} is {look}"),
            Fault::Swapped { left, right } => {
                format!("plates {left} and {right} lay in each other's pack")
            }
            Fault::DeadFace { side, lost, .. } => {
                let faces = if *lost == 1 { "one face" } else { "two faces" };
                format!("two neighbours lay in each other's place on the {side}: {faces} dead")
            }
            Fault::MicrometerZero { by } => format!("the micrometer is off zero by {}", signed(*by)),
            Fault::DepthGaugeZero { by } => format!("the depth gauge is off zero by {}", signed(*by)),
            Fault::SpringCracked { side } => format!("the {side} spring has a cracked disc"),
            Fault::SpringUpsideDown { side } => {
                format!("the {side} spring has a disc that lay the other way round")
            }
            Fault::SteppedRamp => "a step is worn into a ramp face".to_string(),
            Fault::WrenchScale => "the wrench's scale is marked in lbf·ft, not in N·m".to_string(),
            Fault::OtherMethod => {
                "the unit was held in the other way than its file says for the proof".to_string()
            }
            Fault::Extension { length } => format!("an extension of {length} sat on the wrench"),
            Fault::OtherMaker { plate, mean } => {
                format!("plate {plate} is another maker's: {} thick", told(*mean))
            }
            Fault::PinFlat => "a flat is worn on a cross pin".to_string(),
            Fault::RingWedged { side } => format!("the {side} pressure ring hangs in the case"),
            Fault::TabsStick { side } => format!("the tabs of the {side} pack hang in worn slots"),
            Fault::WasherMissing => "a thrust washer is missing behind a side gear".to_string(),
            Fault::ShimDoubled { side, by } => {
                format!("a second shim of {by} lay with the one on the {side}")
            }
            Fault::WrenchOverdue { reads } => {
                format!(
                    "the wrench is past its day and reads {:.0} % too much",
                    100.0 * (reads - 1.0)
                )
            }
            Fault::Drag { by } => format!("{:.1} N·m of drag are no part of the packs", by.newton_metres()),
            Fault::WrongOil => "another oil than the unit's was in it".to_string(),
            Fault::NoModifier => "the oil in it had no modifier".to_string(),
        }
    }
}

/// To the whole micrometre, as an instrument would have it.
pub(super) fn told(length: Length) -> Length {
    Length::from_nm((length.nm() + 500).div_euclid(1_000) * 1_000)
}

fn signed(length: Length) -> String {
    if length < Length::ZERO {
        length.to_string()
    } else {
        format!("+{length}")
    }
}
