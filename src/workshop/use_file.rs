//! What a car is used for: moments with what is wanted of the lock in each.

use super::moment::{UseMoment, VersionOne, read_moments};
use crate::document::{Document, Faults, Section};
use crate::quantity::Ratio;

/// What a car is used for.
#[derive(Clone, PartialEq, Debug)]
pub struct Use {
    /// Its name.
    pub name: String,
    /// What is wanted, in words.
    pub words: String,
    /// Its moments, at least one.
    pub moments: Vec<UseMoment>,
    /// How its file is taken, where it is of version 1.
    pub taken_as: Option<String>,
}

/// Which version a file is of.
#[derive(Clone, Copy)]
enum Version {
    /// One surface, and the share of the tyres' difference that is wanted over the throttle.
    One,
    /// Moments.
    Two,
}

/// How a file of version 1 is taken.
const TAKEN_AS: &str = "This use is of version 1, without moments. It is taken as two, on the throttle and with it shut, at the \
speed of the gear that the car is settled in (50 km/h where that is not known). Its grips are what is left for driving; \
\"lock\" is what the packs can hold of the difference between the two tyres, at the loads of what is really put down, and 1 is \
\"turns as one\".";

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
        let known = [
            (Version::One, "shimwright use 1"),
            (Version::Two, "shimwright use 2"),
        ];
        let version = top.format_of(&known)?;
        let name = top.text("name");
        let words = top.text("words");
        let (moments, taken_as) = match version {
            Version::One => (read_version_1(top), Some(TAKEN_AS.to_string())),
            Version::Two => (read_moments(top), None),
        };
        top.finish();
        Some(Use {
            name: name?,
            words: words?,
            moments: moments?,
            taken_as,
        })
    }
}

/// The moments of a file of version 1.
fn read_version_1(top: &Section<'_>) -> Option<Vec<UseMoment>> {
    let limits = "at least 0 and at most 1";
    let grips = "at least 0 and at most 3";
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
    let mut drive: Vec<(Ratio, Ratio)> = Vec::new();
    for section in top.sections_some(
        "drive",
        "sense",
        "at least one [[drive]] point with throttle and lock is wanted",
    ) {
        let throttle = section.quantity_where("throttle", limits);
        let lock = section.quantity_where("lock", limits);
        section.finish();
        if let (Some(throttle), Some(share)) = (throttle, lock) {
            if drive.last().is_some_and(|(before, _)| throttle <= *before) {
                section.fault_at("throttle", "the points must rise in throttle");
            }
            drive.push((throttle, share));
        }
    }
    UseMoment::of_version_1(&VersionOne {
        low_grip: low?,
        high_grip: high?,
        cornering: cornering?,
        drive,
        coast: coast?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workshop::car_layout::Place;

    #[test]
    fn every_stock_use_is_without_fault_and_says_that_it_has_no_source() {
        for (id, source) in STOCK_USES {
            let read = Use::read(id, source).unwrap_or_else(|faults| panic!("{faults}"));
            assert!(read.taken_as.is_none(), "{id}");
            // for a unit in front and for one in the rear there is something to do
            for place in [Place::Front, Place::Rear] {
                let theirs = |moment: &&UseMoment| moment.unit_in.is_none_or(|other| other == place);
                assert!(read.moments.iter().filter(theirs).count() >= 2, "{id} {place:?}");
            }
            let named = ["name", "words", "format", "unit_in", "throttle ="];
            let values = source.lines().filter(|line| {
                let value = line.contains(" = ") && !line.starts_with('#');
                value && !named.iter().any(|name| line.starts_with(name))
            });
            for line in values {
                assert!(line.contains("# common practice, no source"), "{id}: {line}");
            }
        }
    }

    fn told(text: &str) -> String {
        Use::read("x.toml", text).unwrap_err().to_string()
    }

    const MOMENT: &str = "[[moment]]\nname = \"a\"\nspeed = \"40 km/h\"\ncornering = 0.3\ninside_grip = 0.5\noutside_grip = 0.6\n";
    const HEAD: &str = "format = \"shimwright use 2\"\nname = \"X\"\nwords = \"w\"\n";

    #[test]
    fn a_file_of_version_1_comes_to_moments_and_says_how() {
        let old = "format = \"shimwright use 1\"\nname = \"X\"\nwords = \"w\"\nhigh_grip = 0.6\nlow_grip = 0.4\n\
                   cornering = 0.4\ncoast = 0.15\n[[drive]]\nthrottle = 0.3\nlock = 0.35\n[[drive]]\nthrottle = 0.8\n\
                   lock = 1.0\n[[drive]]\nthrottle = 1.0\nlock = 1.0\n";
        let read = Use::read("x.toml", old).unwrap_or_else(|faults| panic!("{faults}"));
        assert!(read.taken_as.is_some_and(|words| words.contains("of version 1")));
        let [open, shut] = &read.moments[..] else {
            panic!("two moments");
        };
        let words: Vec<String> = open.wants.iter().map(|want| want.words()).collect();
        assert_eq!(
            words,
            [
                "holds 35.0 % of the difference between the tyres at 30.0 %",
                "turns as one from 80.0 %"
            ]
        );
        assert_eq!(
            shut.wants[0].words(),
            "holds 15.0 % of the difference between the tyres"
        );
        // what is left beside the cornering is the grip of the file: √(1 − u²) of the whole, u = 0.4 over the mean
        let whole = open.grip.map(|grip| grip.value());
        let left = (1.0 - (0.4 / (0.5 * (whole[0] + whole[1]))).powi(2)).sqrt();
        assert!((whole[0] * left - 0.4).abs() < 1e-12 && (whole[1] * left - 0.6).abs() < 1e-12);
    }

    #[test]
    fn moments_are_refused_by_what_is_wrong_in_them() {
        let one = |more: &str| told(&format!("{HEAD}{MOMENT}{more}"));
        for (more, says) in [
            ("", "nothing is wanted at this moment"),
            (
                "one_from = 0.5\nnever_one = true\n",
                "\"turns as one from 50.0 %\" of \"a\" and \"never one\" of \"a\"",
            ),
            (
                "one_from = 0.3\nnot_one_before = 0.5\n",
                "no lock meets both at one state",
            ),
            (
                "throttle = \"shut\"\none_from = 0.5\n",
                "with the throttle shut only a moment against the turn",
            ),
            (
                "throttle_from = 0.6\nthrottle_to = 0.5\none_from = 0.5\n",
                "but it must rise",
            ),
            (
                "one_from = 1.5\n",
                "one_from is 1.50, but it must be at least 0 and at most 1",
            ),
            ("gear = 0\none_from = 0.5\n", "gear"),
        ] {
            let text = one(more);
            assert!(text.contains(says), "{more}: {text}");
        }
        let still = told(&format!(
            "{HEAD}{}one_from = 0.5\n",
            MOMENT.replace("40 km/h", "0 km/h")
        ));
        assert!(
            still.contains("speed is 0.0 km/h, but it must be more than 0 km/h"),
            "{still}"
        );
        // two moments of one state, of which each alone could be met
        let least = "against_at_least = \"300 N·m\"\n";
        let most = "against_at_most = \"100 N·m\"\n";
        let text = told(&format!(
            "{HEAD}{MOMENT}{least}{}{most}",
            MOMENT.replace("\"a\"", "\"b\"")
        ));
        assert!(text.contains("\"at most 100.0 N·m against the turn\" of \"b\" and \"at least 300.0 N·m against the turn\" of \"a\""), "{text}");
    }

    #[test]
    fn two_hundred_moments_are_read_and_one_more_is_not() {
        let with = |count: usize| {
            let moments: String = (0..count)
                .map(|n| MOMENT.replace("\"a\"", &format!("\"{n}\"")) + "one_from = 0.5\n")
                .collect();
            format!("{HEAD}{moments}")
        };
        assert_eq!(Use::read("x.toml", &with(200)).unwrap().moments.len(), 200);
        let text = told(&with(201));
        assert!(text.contains("201 moments are too many; at most 200"), "{text}");
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
        let text = told("format = \"shimwright use 1\"\nhigh_grip = -0.5\n");
        assert!(
            text.contains("high_grip is -0.500, but it must be at least 0 and at most 3"),
            "{text}"
        );
        assert!(text.contains("at least one [[drive]] point"), "{text}");
    }
}
