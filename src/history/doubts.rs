//! What a value of a build is in doubt by, source by source.

use crate::mechanics::prediction::THICKNESS;
use crate::metrology::Budget;
use serde::{Deserialize, Serialize};

/// One source of the doubt of a value.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Doubt {
    /// What it comes from, in words, such as `zero of depth-1`.
    pub source: String,
    /// The instrument whose calibration it is: it is one and the same in all that is read with it until it is calibrated
    /// anew. Empty where no other build has it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub calibration_of: String,
    /// Its standard uncertainty, in the unit of measure of the value. Its sign says which way the value goes when the
    /// source goes up, and matters only for a calibration.
    pub standard: f64,
}

impl Doubt {
    /// One that no other build has.
    pub fn own(source: &str, standard: f64) -> Doubt {
        Doubt {
            source: source.to_string(),
            calibration_of: String::new(),
            standard,
        }
    }

    /// What the calibration of an instrument leaves.
    pub fn calibration(of: &str, standard: f64) -> Doubt {
        Doubt {
            source: format!("{CALIBRATION} of {of}"),
            calibration_of: of.to_string(),
            standard,
        }
    }

    /// The sources of a budget of lengths, each times how far the value goes for a millimetre.
    pub fn of_budget(budget: &Budget, for_a_millimetre: f64) -> Vec<Doubt> {
        let components = budget.components.iter();
        components
            .filter(|one| one.standard != 0.0)
            .map(|one| {
                let standard = one.standard / 1e3 * for_a_millimetre;
                match &one.shared {
                    Some(gauge) if one.name == CALIBRATION => Doubt::calibration(gauge, standard),
                    // a zero is read anew for each build
                    Some(gauge) => Doubt::own(&format!("{} of {gauge}", one.name), standard),
                    None => Doubt::own(&one.name, standard),
                }
            })
            .collect()
    }

    /// The same of a value that goes so far for each of this one.
    pub(super) fn times(mut self, times: f64) -> Doubt {
        self.standard *= times;
        self
    }

    /// What is known of the sources; where nothing is, all of it is the readings' own.
    pub(super) fn known(sources: &[Doubt], whole: Option<f64>) -> Vec<Doubt> {
        match whole {
            Some(whole) if sources.is_empty() => vec![Doubt::own(READINGS, whole)],
            _ => sources.to_vec(),
        }
    }
}

/// What a press leaves in doubt of a force besides its calibration.
pub const PRESS_READING: &str = "step and height of the press";

/// By what a preload is reckoned, in words, as its sources say; `None` where they are not told. What springs press with by their law may be
/// another tenth than what a press reads of them, so that no change follows from one beside the other.
pub(super) fn springs_by(sources: &[Doubt]) -> Option<&'static str> {
    let any = |is: &dyn Fn(&str) -> bool| sources.iter().any(|one| is(&one.source));
    match () {
        () if sources.is_empty() => None,
        () if any(&|source| source == PRESS_READING) => Some("what a press has read"),
        () if any(&|source| source.ends_with(THICKNESS)) => Some("discs as measured"),
        () => Some("the springs' law"),
    }
}

/// Why two preloads with these sources can not be compared.
pub(super) fn springs_differ(before: &[Doubt], after: &[Doubt]) -> Option<String> {
    let (was, is) = (springs_by(before)?, springs_by(after)?);
    (was != is).then(|| format!("by {was}, then by {is}"))
}

/// The name of a calibration in a budget.
pub(super) const CALIBRATION: &str = "calibration";
/// What is not told apart further.
pub(super) const READINGS: &str = "readings";
