//! A standard uncertainty of a length.

use super::error::{MetrologyError, not_negative};
use crate::quantity::Length;
use std::fmt;

/// An uncertainty of a length given as a standard deviation (JCGM 100:2008, 2.3.1); finite and not negative.
///
/// ```
/// use shimwright::metrology::StandardUncertainty;
/// assert_eq!(StandardUncertainty::from_um(2.8868)?.to_string(), "2.9 µm");
/// assert!(StandardUncertainty::from_um(-1.0).is_err());
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Debug)]
pub struct StandardUncertainty(pub(super) f64);

impl StandardUncertainty {
    /// No uncertainty at all.
    pub const ZERO: StandardUncertainty = StandardUncertainty(0.0);

    /// From micrometres.
    ///
    /// # Errors
    ///
    /// Negative, NaN or infinite.
    pub fn from_um(um: f64) -> Result<StandardUncertainty, MetrologyError> {
        not_negative("a standard uncertainty in micrometres", um).map(StandardUncertainty)
    }

    /// Micrometres.
    pub fn um(self) -> f64 {
        self.0
    }
}

impl From<Length> for StandardUncertainty {
    /// The size of `length`, exactly as far as `f64` goes.
    fn from(length: Length) -> StandardUncertainty {
        StandardUncertainty(length.um().abs())
    }
}

impl fmt::Display for StandardUncertainty {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} µm", crate::quantity::significant(self.0, 2)))
    }
}
