//! What a zero error does, and with which sign.

use super::card::{Card, Kind, Wanted};
use super::pick::{mm, one_of, signed, whole};
use crate::mechanics::chain::closing;
use crate::metrology::{Instrument, Stream, measure};
use crate::procedure::AnswerOption;
use crate::quantity::Length;
use std::cmp::Ordering;

/// An instrument on its standard.
struct Gauge {
    name: &'static str,
    decimals: usize,
    /// All in micrometres.
    step: i64,
    standard: i64,
    off: i64,
}

impl Gauge {
    fn drawn(random: &mut Stream) -> Gauge {
        // some are right
        let sign = *one_of(random, &[1, 1, -1, -1, 0]).unwrap_or(&1);
        if random.chance(0.6) {
            Gauge {
                name: "micrometer",
                decimals: 3,
                step: 1,
                standard: *one_of(random, &[25_000, 20_000, 10_000]).unwrap_or(&25_000),
                off: sign * whole(random, 4, 38),
            }
        } else {
            Gauge {
                name: "depth gauge",
                decimals: 2,
                step: 10,
                standard: *one_of(random, &[50_000, 30_000]).unwrap_or(&50_000),
                off: sign * 10 * whole(random, 3, 30),
            }
        }
    }

    fn shown(&self, um: i64) -> String {
        mm(um, self.decimals)
    }

    fn told(&self) -> String {
        format!(
            "The {} shows {} on its standard of {}.",
            self.name,
            self.shown(self.standard + self.off),
            self.shown(self.standard)
        )
    }

    /// What a reading comes to when the zero error is taken off, by the same way as every reading of a build.
    fn corrected(&self, reading: i64) -> Option<i64> {
        let instrument = Instrument {
            id: self.name.to_string(),
            resolution: Length::from_um(self.step),
            calibration: Length::ZERO,
            repeatability: Length::ZERO,
            zero: Length::ZERO,
        };
        let zero = Length::from_um(self.off);
        let (measured, _) = measure(&instrument, zero, &[Length::from_um(reading)]).ok()?;
        Some(measured.value.nm() / 1_000)
    }
}

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    let gauge = Gauge::drawn(random);
    match random.below(3) {
        0 => sign(&gauge),
        1 => part(random, &gauge),
        _ => room(random, &gauge),
    }
}

fn way(key: &str, words: &str) -> AnswerOption {
    AnswerOption {
        key: key.to_string(),
        words: words.to_string(),
    }
}

fn sign(gauge: &Gauge) -> Option<Card> {
    let shows = gauge.standard + gauge.off;
    let right = match gauge.corrected(shows)?.cmp(&shows) {
        Ordering::Less => "off",
        Ordering::Greater => "on",
        Ordering::Equal => "nothing",
    };
    Some(Card {
        topic: "sign",
        words: vec![gauge.told()],
        drawing: Vec::new(),
        prompt: "What is done with each of its readings?".to_string(),
        wanted: Wanted::One {
            options: vec![
                way("off", "so much is taken off"),
                way("on", "so much is put on"),
                way("nothing", "they are right as they are"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            "zero error = shown − standard; part = reading − zero error".to_string(),
            format!(
                "{} − {} = {}: {}",
                gauge.shown(shows),
                gauge.shown(gauge.standard),
                signed(gauge.off, gauge.decimals),
                match gauge.off {
                    0 => "it shows what is there, and its readings stay as they are.".to_string(),
                    off => format!(
                        "it shows too {}, on the standard and on every part, so {} is {} every reading.",
                        much(off),
                        gauge.shown(off.abs()),
                        if off > 0 { "taken off" } else { "put on" }
                    ),
                }
            ),
        ],
        slips: Vec::new(),
    })
}

/// Whether an error shows too much or too little.
fn much(off: i64) -> &'static str {
    if off > 0 { "much" } else { "little" }
}

fn part(random: &mut Stream, gauge: &Gauge) -> Option<Card> {
    let (what, reading) = match gauge.step {
        1 => ("a plate", whole(random, 1_880, 2_040)),
        _ => ("the depth of a case", 10 * whole(random, 2_600, 4_800)),
    };
    let right = gauge.corrected(reading)?;
    Some(Card {
        topic: "zero",
        words: vec![
            gauge.told(),
            format!("On {what} it shows {}.", gauge.shown(reading)),
        ],
        drawing: Vec::new(),
        prompt: "What is it really?".to_string(),
        wanted: Wanted::Number {
            kind: Kind::Length,
            unit: "mm",
            right: right as f64 / 1e3,
            near: 0.4 * gauge.step as f64 / 1e3,
            shown: gauge.shown(right),
            example: "1.234",
        },
        reason: vec![
            "part = reading − (shown on the standard − standard)".to_string(),
            format!(
                "{} − ({} − {}) = {}",
                gauge.shown(reading),
                gauge.shown(gauge.standard + gauge.off),
                gauge.shown(gauge.standard),
                gauge.shown(right)
            ),
        ],
        slips: vec![
            (
                (reading + gauge.off) as f64 / 1e3,
                "The sign is the wrong way round.".to_string(),
            ),
            (
                reading as f64 / 1e3,
                "That is what it shows, zero error and all.".to_string(),
            ),
        ],
    })
}

/// How many plates and rings there are in the chain of a side.
const CHAIN: [i64; 3] = [5, 7, 9];

/// What of a chain is read by the gauge that is off.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Touches {
    Parts,
    Depth,
    /// The depth, and the pack pressed together in one reading.
    Both,
    /// Neither: another gauge was taken.
    Neither,
}

fn room(random: &mut Stream, gauge: &Gauge) -> Option<Card> {
    let parts = *one_of(random, &CHAIN)?;
    let by_micrometer = gauge.step == 1;
    let touches = match by_micrometer {
        true => *one_of(random, &[Touches::Parts, Touches::Parts, Touches::Neither])?,
        false => *one_of(random, &[Touches::Depth, Touches::Both])?,
    };
    // the same chain twice: as it is read, and as it is
    let (thick, deep) = (2_000, 30_000);
    let room = |off: i64| {
        let (part, pack, depth) = match touches {
            Touches::Parts => (thick + off, 0, deep),
            Touches::Depth => (thick, 0, deep + off),
            Touches::Both => (thick, off, deep + off),
            Touches::Neither => (thick, 0, deep),
        };
        let mut parts = vec![Length::from_um(part); parts as usize];
        parts.push(Length::from_um(pack));
        closing(Length::from_um(depth), &parts)
    };
    let right = match room(gauge.off).cmp(&room(0)) {
        Ordering::Greater => "large",
        Ordering::Less => "small",
        Ordering::Equal => "right",
    };
    let off = gauge.off;
    let reason = match touches {
        _ if off == 0 => "The gauge is right on its standard: nothing is to be corrected.".to_string(),
        Touches::Neither => {
            "It has measured nothing of this chain: the room does not know of it.".to_string()
        }
        Touches::Both => format!(
            "It shows too {0} on the depth and too {0} on the pack, each by {1}: in their difference it falls out.",
            much(off),
            gauge.shown(off.abs())
        ),
        Touches::Depth => format!(
            "It shows too {}, so the case is taken for {} than it is: the room comes out too {right} by {}.",
            much(off),
            if off > 0 { "deeper" } else { "shallower" },
            gauge.shown(off.abs())
        ),
        Touches::Parts => format!(
            "It shows too {}, so the parts are taken for {} than they are: the room comes out too {right} by {parts} · {} = {}",
            much(off),
            if off > 0 { "thicker" } else { "thinner" },
            gauge.shown(off.abs()),
            gauge.shown(parts * off.abs())
        ),
    };
    let told = match touches {
        Touches::Parts => format!("It measures all {parts} plates and rings of a side; the depth is right."),
        Touches::Depth => {
            format!("It measures the depth of the case; the {parts} plates and rings of a side are right.")
        }
        Touches::Both => format!(
            "It measures the depth of the case, and the {parts} plates and rings of a side pressed together, in one reading."
        ),
        Touches::Neither => format!(
            "The {parts} plates and rings of a side are measured by another one that is right, and so is the depth."
        ),
    };
    Some(Card {
        topic: "chain",
        words: vec![
            gauge.told(),
            told,
            "Nothing is corrected, and the room that is left for spring and shims is reckoned.".to_string(),
        ],
        drawing: Vec::new(),
        prompt: "How does the room come out?".to_string(),
        wanted: Wanted::One {
            options: vec![
                way("large", "larger than it is"),
                way("small", "smaller than it is"),
                way("right", "as it is"),
            ],
            right: right.to_string(),
        },
        reason: vec!["room = depth − parts".to_string(), reason],
        slips: Vec::new(),
    })
}
