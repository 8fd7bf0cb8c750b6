//! What can be wrong with a made-up unit or with what it is measured by.

use crate::mechanics::Side;
use crate::quantity::Length;

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
}

impl Fault {
    /// The plate that ought to be thrown out for it.
    pub(super) fn plate(&self) -> Option<&str> {
        match self {
            Fault::Warped { plate, .. }
            | Fault::Thin { plate, .. }
            | Fault::Tapered { plate, .. }
            | Fault::Spoilt { plate, .. } => Some(plate),
            _ => None,
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
            Fault::DeadFace { side, lost } => {
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
