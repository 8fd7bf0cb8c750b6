//! What drivers say of a car, by phase, in the words of the list and in their own; the figure that stands for it and which way
//! it should go. All of it is *common practice, no source*.

use crate::document::nearest;
use crate::mechanics::Axle;
use crate::report::Table;

/// When it is felt.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Phase {
    /// Into the bend, off the throttle or on the brakes.
    Entry,
    /// In the middle of it, on little throttle.
    Middle,
    /// Out of it on the throttle.
    Power,
    /// As the throttle is closed.
    Lift,
    /// At walking pace, with much lock of the steering.
    Slow,
    /// Heard.
    Noise,
    /// Smelt, or felt as it gets hot.
    Heat,
}

impl Phase {
    /// Every phase in the order of a bend, with its word.
    pub const ALL: [(Phase, &'static str); 7] = [
        (Phase::Entry, "entry"),
        (Phase::Middle, "middle"),
        (Phase::Power, "power"),
        (Phase::Lift, "lift"),
        (Phase::Slow, "slow"),
        (Phase::Noise, "noise"),
        (Phase::Heat, "heat"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        let found = Phase::ALL.iter().find(|(phase, _)| *phase == self);
        found.map_or("", |(_, word)| word)
    }
}

/// The figure that stands for a complaint.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Measure {
    /// The most moment against the turn with the throttle shut, N·m.
    ShutAgainst,
    /// The most moment against the turn up to a third of the throttle, N·m.
    LightAgainst,
    /// The most moment against the turn above a third of the throttle, N·m.
    PowerAgainst,
    /// The most moment that turns the car in with the throttle open, N·m.
    TurnsIn,
    /// The least that is put down of what both tyres could, as a share.
    PutsDown,
    /// The least throttle from which the unit turns as one; 1 and a bit where it never does.
    OneFrom,
    /// The most difference between the shafts of a front axle that steers, N·m: what tugs at the wheel.
    Tug,
    /// What the preload holds between the wheels, N·m.
    Held,
    /// The most heat in a face, W.
    Heat,
}

/// What a driver says.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Complaint {
    /// The words of the list.
    pub words: &'static str,
    /// When it is felt.
    pub phase: Phase,
    /// The axle that it is said of; `None` for both.
    pub axle: Option<Axle>,
    /// What stands for it; `None` where no figure of the lock does.
    pub measure: Option<Measure>,
    /// Whether that should rise.
    pub rises: bool,
    /// The same in everyday words.
    everyday: &'static [&'static str],
    /// What else gives the same.
    pub else_too: &'static str,
}

const fn said(
    phase: Phase,
    words: &'static str,
    measure: Measure,
    rises: bool,
    everyday: &'static [&'static str],
    else_too: &'static str,
) -> Complaint {
    Complaint {
        words,
        phase,
        axle: None,
        measure: Some(measure),
        rises,
        everyday,
        else_too,
    }
}

const fn of_front(complaint: Complaint) -> Complaint {
    Complaint {
        axle: Some(Axle::Front),
        ..complaint
    }
}

const fn of_rear(complaint: Complaint) -> Complaint {
    Complaint {
        axle: Some(Axle::Rear),
        ..complaint
    }
}

/// What drivers say, in the order of a bend.
#[rustfmt::skip] // a complaint a few lines
pub const COMPLAINTS: &[Complaint] = &[
    said(Phase::Entry, "pushes on entry", Measure::ShutAgainst, false,
        &["understeers on entry", "runs wide on entry", "will not turn in", "does not turn in", "ploughs into the bend"],
        "front tyres, toe, brake balance to the front, too stiff a front anti-roll bar"),
    said(Phase::Entry, "loose on entry", Measure::ShutAgainst, true,
        &["oversteers on entry", "nervous on the brakes", "rear steps out on entry", "unstable under braking", "rear swings round on entry"],
        "brake balance to the rear, rear toe-out, rear rebound damping, cold rear tyres"),
    said(Phase::Middle, "pushes in the middle", Measure::LightAgainst, false,
        &["understeers in the middle", "runs wide mid corner", "washes out at the apex", "pushes on light throttle", "understeers on constant throttle"],
        "front camber, too much front roll stiffness, tyre pressures"),
    said(Phase::Power, "pushes on power", Measure::PowerAgainst, false,
        &["understeers on power", "runs wide on the throttle", "pushes out of the bend", "understeers on exit", "ploughs on power"],
        "front camber, ride height, too soft a rear under power, tyre pressures"),
    of_rear(said(Phase::Power, "rear steps out on power", Measure::TurnsIn, false,
        &["oversteers on power", "oversteers on exit", "snaps on power", "swings round on the throttle", "loose on power", "spins round on power"],
        "rear tyres, rear roll stiffness, too much rear camber, throttle that opens too quickly")),
    of_front(said(Phase::Power, "tugs at the wheel", Measure::Tug, false,
        &["torque steers", "pulls at the steering", "steering tugs on power", "fights the wheel", "darts to one side", "wheel kicks"],
        "offset of kingpin and wheel, shafts of unequal length, toe, tyre pressures, bump steer")),
    said(Phase::Power, "inside wheel spins", Measure::PutsDown, true,
        &["spins one wheel", "one wheel spins", "no traction out of the bend", "wheelspin inside", "lights up the inside tyre", "can not put the power down"],
        "too stiff an anti-roll bar at this axle, too little droop, a worn pack"),
    said(Phase::Power, "locks too early", Measure::OneFrom, true,
        &["both wheels spin at once", "too much lock", "breaks away all at once", "locked too soon", "like a spool"],
        "worn ramps that bite, too little oil, glazed plates that grab"),
    said(Phase::Power, "does nothing", Measure::OneFrom, false,
        &["like an open differential", "no lock", "does not lock", "feels open", "locks too late", "too little lock", "has gone soft"],
        "the wrong oil, plates in an order with dead faces, a broken preload spring"),
    said(Phase::Lift, "snaps on lift", Measure::ShutAgainst, true,
        &["oversteers on lift", "rear steps out on lift", "lift-off oversteer", "swings round when I lift", "loose off the throttle"],
        "rear toe-out, rear rebound damping, brake balance to the rear, a worn bush"),
    said(Phase::Lift, "pushes on lift", Measure::ShutAgainst, false,
        &["does not tuck in on lift", "understeers on lift", "runs wide off the throttle", "will not rotate on lift"],
        "too much front roll stiffness, engine that drags little, front toe"),
    said(Phase::Slow, "chatters when turning slowly", Measure::Held, false,
        &["chatters", "judders in tight turns", "hops when parking", "skips in the paddock", "groans at walking pace"],
        "oil without friction modifier or too old, glazed plates, a dry pack after a rebuild"),
    said(Phase::Slow, "binds when turning slowly", Measure::Held, false,
        &["hard to push round", "scrubs when parking", "heavy steering at walking pace", "drags its tyres in hairpins", "will not turn in the paddock"],
        "a case that is shimmed too tightly, a bent plate, plates that are laid in the wrong way round"),
    Complaint { words: "clunks on and off the throttle", phase: Phase::Noise, axle: None, measure: None, rises: false,
        everyday: &["clunks", "knocks on lift", "bangs when the throttle opens", "clonks between gears"],
        else_too: "backlash of crown wheel and pinion, worn ramps and pins, worn shaft splines, mounts: play is measured, not settled" },
    said(Phase::Heat, "runs hot", Measure::Heat, false,
        &["oil is burnt", "smells burnt", "oil gets too hot", "overheats"],
        "too little oil, the wrong oil, tyres of unequal size on one axle, a unit that is driven too far on the road"),
    said(Phase::Heat, "fades over the stage", Measure::Heat, false,
        &["gets weaker when hot", "goes off after a few laps", "goes off when hot", "stops locking when hot", "goes away over the run"],
        "oil that thins, glazed plates, springs that have set"),
];

/// Less in common, in thousandths, is a guess.
const LEAST_IN_COMMON: usize = 400;

/// Words that say nothing by themselves.
const EMPTY: [&str; 28] = [
    "wont", "cant", "doesnt", "dont", "the", "a", "an", "on", "in", "at", "of", "it", "is", "my", "car",
    "when", "i", "to", "and", "with", "too", "not", "do", "out", "no", "will", "can", "its",
];

/// A word without its ending: pushes, pushing and push are one.
fn stem(word: &str) -> &str {
    let hissing = ["shes", "ches", "sses", "xes"]
        .iter()
        .any(|end| word.ends_with(end));
    let endings = if hissing { &["es"][..] } else { &["ing", "ed", "s"] };
    endings
        .iter()
        .filter_map(|ending| word.strip_suffix(ending))
        .find(|stem| stem.chars().count() >= 3)
        .unwrap_or(word)
}

/// The words of a text that say something; all of them where none does.
fn telling(text: &str) -> Vec<String> {
    let lower = text.to_lowercase().replace(['\'', '’'], "");
    let all = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty());
    let (full, empty): (Vec<&str>, Vec<&str>) = all.partition(|word| !EMPTY.contains(word));
    let kept = if full.is_empty() { empty } else { full };
    kept.into_iter().map(|word| stem(word).to_string()).collect()
}

/// Why words are no complaint of the list.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum NotSaid {
    /// Several would fit.
    #[error("\"{typed}\" may be any of these, say which: {}", .fit.join(", "))]
    Several {
        /// What was typed.
        typed: String,
        /// Those that fit.
        fit: Vec<&'static str>,
    },
    /// It is said of the other axle.
    #[error("\"{words}\" is said of a driven {axle} axle")]
    OtherAxle {
        /// The words of the list.
        words: &'static str,
        /// The axle.
        axle: &'static str,
    },
    /// Nothing fits.
    #[error("\"{typed}\" is no complaint that is known here{}; known are, {}", .near.map_or_else(String::new, |near| format!("; did you mean \"{near}\"?")), by_phase())]
    Unknown {
        /// What was typed.
        typed: String,
        /// What it is near to.
        near: Option<&'static str>,
    },
}

/// The whole list, a phase after the other.
pub fn by_phase() -> String {
    let phases = Phase::ALL.iter().map(|(phase, word)| {
        let of = COMPLAINTS.iter().filter(|one| one.phase == *phase);
        let words: Vec<&str> = of.map(|one| one.words).collect();
        format!("{word}: {}", words.join(", "))
    });
    phases.collect::<Vec<_>>().join("; ")
}

/// The list as a table: when it is felt, the words, and what else they are found by.
pub fn complaints_listed() -> Table {
    let rows = COMPLAINTS.iter().map(|one| {
        let of = match one.axle {
            Some(Axle::Front) => ", of a driven front axle",
            Some(Axle::Rear) => ", of a driven rear axle",
            None => "",
        };
        [
            one.phase.word().to_string(),
            format!("{}{of}", one.words),
            one.everyday.join(", "),
        ]
    });
    Table::of_words(["when", "what drivers say", "also in words such as"], rows)
}

impl Complaint {
    /// The complaint of the list that is meant: by its words, or by a driver's own. `axle` is the one that the unit sits in;
    /// `None` for a unit between the axles.
    ///
    /// ```
    /// use shimwright::mechanics::Axle;
    /// use shimwright::tuning::Complaint;
    /// let found = |text| Complaint::find(text, Some(Axle::Front)).map(|one| one.words);
    /// assert_eq!(found("It spins one wheel"), Ok("inside wheel spins"));
    /// assert_eq!(found("understeer on exit"), Ok("pushes on power"));
    /// assert_eq!(found("torque steer"), Ok("tugs at the wheel"));
    /// assert!(found("understeer").unwrap_err().to_string().contains("pushes on entry, pushes in the middle"));
    /// ```
    ///
    /// # Errors
    ///
    /// [`NotSaid`]: nothing fits, or several do, or it is said of the other axle.
    pub fn find(text: &str, axle: Option<Axle>) -> Result<Complaint, NotSaid> {
        let typed = text.trim().to_string();
        let lower = typed.to_lowercase();
        let exact = COMPLAINTS.iter().filter(|one| one.words == lower);
        let mut fit: Vec<&Complaint> = exact.collect();
        if fit.is_empty() {
            fit = Complaint::nearest_to(&telling(&typed));
        }
        let here = |one: &&&Complaint| axle.is_none() || one.axle.is_none() || one.axle == axle;
        let of_axle: Vec<&&Complaint> = fit.iter().filter(here).collect();
        match (of_axle.as_slice(), fit.as_slice()) {
            ([one], _) => Ok(***one),
            ([], [one, ..]) => Err(NotSaid::OtherAxle {
                words: one.words,
                axle: match one.axle {
                    Some(Axle::Front) => "front",
                    _ => "rear",
                },
            }),
            ([], []) => {
                let known: Vec<&'static str> = COMPLAINTS.iter().map(|one| one.words).collect();
                let near = nearest(&lower, &known);
                let near = near.and_then(|near| known.iter().find(|known| **known == near).copied());
                Err(NotSaid::Unknown { typed, near })
            }
            (several, _) => Err(NotSaid::Several {
                typed,
                fit: several.iter().map(|one| one.words).collect(),
            }),
        }
    }

    /// Those that have most of the words, in the words of the list or in one everyday way of saying it.
    fn nearest_to(words: &[String]) -> Vec<&'static Complaint> {
        // of all words of both the share that they have in common, in thousandths
        let score = |one: &Complaint| {
            let ways = one.everyday.iter().chain([&one.words]);
            let counted = ways.map(|way| {
                let way = telling(way);
                let common = words.iter().filter(|word| way.contains(word)).count();
                2000 * common / (words.len() + way.len()).max(1)
            });
            counted.max().unwrap_or(0)
        };
        let most = COMPLAINTS.iter().map(score).max().unwrap_or(0);
        if most < LEAST_IN_COMMON {
            return Vec::new();
        }
        COMPLAINTS.iter().filter(|one| score(one) == most).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str, axle: Axle) -> String {
        Complaint::find(text, Some(axle)).map_or_else(|error| error.to_string(), |one| one.words.to_string())
    }

    #[test]
    fn everyday_words_find_their_complaint() {
        for (text, words) in [
            ("pushes on entry", "pushes on entry"),
            ("  Pushes On Entry ", "pushes on entry"),
            ("understeer on entry", "pushes on entry"),
            ("won't turn in", "pushes on entry"),
            ("oversteer on lift-off", "snaps on lift"),
            ("spins one wheel", "inside wheel spins"),
            ("chatters", "chatters when turning slowly"),
            ("it judders in tight turns", "chatters when turning slowly"),
            ("hard to push round the paddock", "binds when turning slowly"),
            ("clunk", "clunks on and off the throttle"),
            ("burnt oil", "runs hot"),
            ("goes off when hot", "fades over the stage"),
            ("no lock", "does nothing"),
            ("feels like an open diff", "does nothing"),
            ("like a spool", "locks too early"),
            ("understeer mid-corner", "pushes in the middle"),
        ] {
            assert_eq!(found(text, Axle::Rear), words, "{text}");
        }
        assert_eq!(found("tugs", Axle::Front), "tugs at the wheel");
        assert_eq!(
            found("oversteers on power", Axle::Rear),
            "rear steps out on power"
        );
    }

    #[test]
    fn what_is_unclear_unknown_or_of_the_other_axle_is_told() {
        assert!(
            found("understeers", Axle::Rear)
                .contains("pushes on entry, pushes in the middle, pushes on power, pushes on lift")
        );
        assert_eq!(
            found("tugs", Axle::Rear),
            "\"tugs at the wheel\" is said of a driven front axle"
        );
        let words = found("blue paint", Axle::Rear);
        assert!(
            words.contains("no complaint") && words.contains("heat: runs hot, fades over the stage"),
            "{words}"
        );
        assert!(found("", Axle::Rear).contains("no complaint"));
    }

    #[test]
    fn every_way_of_saying_it_finds_its_own_complaint() {
        for one in COMPLAINTS {
            for way in one.everyday {
                assert_eq!(
                    Complaint::find(way, one.axle).map(|found| found.words),
                    Ok(one.words),
                    "{way}"
                );
            }
        }
    }
}
