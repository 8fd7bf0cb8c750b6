//! What a car is used for: the lock that is wanted over the throttle.

use crate::document::{Document, Faults, Section};
use crate::mechanics::Surface;
use crate::mechanics::tune::{Target, TargetPoint};

/// What a car is used for: the surface, and the lock that is wanted on it.
#[derive(Clone, PartialEq, Debug)]
pub struct Use {
    /// Its name.
    pub name: String,
    /// What is wanted, in words.
    pub words: String,
    /// Grip and cornering.
    pub surface: Surface,
    /// Lock wanted over throttle, and on coast.
    pub target: Target,
}

/// The uses that the program carries: id and source.
pub const STOCK_USES: &[(&str, &str)] = &[
    (
        "gravel-stage",
        include_str!("../../procedures/uses/gravel-stage.toml"),
    ),
    (
        "tarmac-stage",
        include_str!("../../procedures/uses/tarmac-stage.toml"),
    ),
    (
        "snow-and-ice",
        include_str!("../../procedures/uses/snow-and-ice.toml"),
    ),
    ("hillclimb", include_str!("../../procedures/uses/hillclimb.toml")),
    ("slalom", include_str!("../../procedures/uses/slalom.toml")),
    ("circuit", include_str!("../../procedures/uses/circuit.toml")),
    ("drift", include_str!("../../procedures/uses/drift.toml")),
];

impl Use {
    /// Reads a use from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Use, Faults> {
        Document::read(file, source, Use::read_top)
    }

    /// Reads it from the top of its document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<Use> {
        let limits = "at least 0 and at most 1";
        let grips = "at least 0 and at most 3";
        top.format("shimwright use 1");
        let name = top.text("name");
        let words = top.text("words");
        let high = top.quantity_where("high_grip", grips);
        let low = top.quantity_where("low_grip", grips);
        if let (Some(low), Some(high)) = (low, high)
            && low > high
        {
            top.fault_at(
                "low_grip",
                format!("the low side has a grip of {low}, which is more than the {high} of the high side"),
            );
        }
        let cornering = top.quantity_where("cornering", grips);
        let coast = top.quantity_where("coast", limits);
        let mut points: Vec<TargetPoint> = Vec::new();
        for section in top.sections_some(
            "drive",
            "sense",
            "at least one [[drive]] point with throttle and lock is wanted",
        ) {
            let throttle = section.quantity_where("throttle", limits);
            let lock = section.quantity_where("lock", limits);
            section.finish();
            if let (Some(throttle), Some(share)) = (throttle, lock) {
                if points.last().is_some_and(|before| throttle <= before.throttle) {
                    section.fault_at("throttle", "the points must rise in throttle");
                }
                points.push(TargetPoint { throttle, share });
            }
        }
        top.finish();
        Some(Use {
            name: name?,
            words: words?,
            surface: Surface {
                low_grip: low?,
                high_grip: high?,
                cornering: cornering?,
            },
            target: Target {
                drive: points,
                coast: coast?,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stock_use_is_without_fault_and_says_that_it_has_no_source() {
        for (id, source) in STOCK_USES {
            let read = Use::read(id, source).unwrap_or_else(|faults| panic!("{faults}"));
            assert!(!read.target.drive.is_empty(), "{id}");
            let values = source
                .lines()
                .filter(|line| line.contains("= 0") || line.contains("= 1"));
            for line in values {
                assert!(line.contains("# common practice, no source"), "{id}: {line}");
            }
        }
    }

    #[test]
    fn all_faults_of_a_use_are_told_at_once() {
        let text = Use::read(
            "x.toml",
            "format = \"shimwright use 1\"\nname = \"X\"\nwords = \"w\"\nhigh_grip = 0.5\nlow_grip = 0.6\n\
             cornering = -1\ncoast = 2\n[[drive]]\nthrottle = 0.5\nlock = 0.5\n[[drive]]\nthrottle = 0.4\nlock = 0.5\n",
        )
        .unwrap_err()
        .to_string();
        assert!(
            text.contains("x.toml, line 5, at low_grip\n    low_grip = 0.6\n  the low side has a grip of 0.600, which is more than the 0.500"),
            "{text}"
        );
        assert!(
            text.contains("cornering is -1.00, but it must be at least 0"),
            "{text}"
        );
        assert!(
            text.contains("coast is 2.00, but it must be at least 0 and at most 1"),
            "{text}"
        );
        assert!(text.contains("the points must rise in throttle"), "{text}");
        let text = Use::read("x.toml", "high_grip = -0.5\n").unwrap_err().to_string();
        assert!(
            text.contains("high_grip is -0.500, but it must be at least 0 and at most 3"),
            "{text}"
        );
        assert!(text.contains("at least one [[drive]] point"), "{text}");
    }
}
