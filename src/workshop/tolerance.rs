//! By how much springs may press otherwise than they are reckoned, and who says so.

use crate::mechanics::MechanicsError;
use crate::mechanics::spring::delivered_force;
use crate::quantity::{Length, Ratio};

/// By how much a maker may deliver springs softer and stiffer than they are reckoned, each share between as likely as another.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SpringTolerance {
    /// The least, as a share of the reckoned force: −0.075 for 7.5 % less.
    pub least: Ratio,
    /// The most, likewise.
    pub most: Ratio,
    /// Who says so.
    pub by: ToleranceBy,
}

/// Where a tolerance comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ToleranceBy {
    /// The unit's file, such as from a certificate.
    File,
    /// The groups of DIN EN 16983: [`delivered_force`](crate::mechanics::spring::delivered_force).
    Standard,
    /// What is usual for coils, 10 % either way (*common practice, no source*).
    Trade,
}

impl SpringTolerance {
    /// The tolerance of springs of which the unit's file says nothing: of discs by their thickness, of coils, which have none, ± 10 %.
    /// Source: DIN EN 16983 for discs; *common practice, no source* for coils and for discs over 16 mm.
    ///
    /// # Errors
    /// A share that is no number.
    ///
    /// ```
    /// use shimwright::quantity::Length;
    /// use shimwright::workshop::tolerance::SpringTolerance;
    /// let one = SpringTolerance::default_for(Some(Length::from_um(1_750)))?;
    /// assert_eq!((one.least.value(), one.most.value()), (-0.075, 0.15));
    /// assert_eq!(SpringTolerance::default_for(None)?.most.value(), 0.1);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn default_for(thickness: Option<Length>) -> Result<SpringTolerance, MechanicsError> {
        let (less, more, by) = match thickness.map(delivered_force) {
            Some(Ok([less, more])) => (less.value(), more.value(), ToleranceBy::Standard),
            Some(Err(_)) | None => (0.1, 0.1, ToleranceBy::Trade),
        };
        Ok(SpringTolerance {
            least: Ratio::new(-less)?,
            most: Ratio::new(more)?,
            by,
        })
    }

    /// Its ends as shares of the reckoned force, such as 0.925 and 1.15.
    pub fn times(&self) -> [f64; 2] {
        [self.least, self.most].map(|share| 1.0 + share.value())
    }

    /// What was assumed of the springs, in words.
    pub fn words(&self) -> String {
        let [least, most] = [self.least, self.most].map(|share| 100.0 * share.value());
        let sure = least.abs().max(most.abs()) <= 0.0;
        let by = match self.by {
            ToleranceBy::File if sure => "by the unit's file, taken as sure, as it says",
            ToleranceBy::File => "by the unit's file",
            ToleranceBy::Standard => "by DIN EN 16983; the unit's file says nothing",
            ToleranceBy::Trade => "common practice, no source; the unit's file says nothing",
        };
        format!("springs {least:+.1} to {most:+.1} % of the reckoned force, {by}").replace('-', "−")
    }
}
