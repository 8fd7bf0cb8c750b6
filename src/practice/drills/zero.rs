//! What a zero error does, and with which sign.

use super::card::{Card, Kind, Wanted};
use super::pick::{mm, one_of, whole};
use crate::mechanics::chain::closing;
use crate::metrology::{Instrument, Stream, measure};
use crate::procedure::AnswerOption;
use crate::quantity::Length;

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
        let sign = if random.chance(0.5) { 1 } else { -1 };
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
    let right = if gauge.corrected(shows)? < shows {
        "off"
    } else {
        "on"
    };
    Some(Card {
        topic: "sign",
        words: vec![gauge.told()],
        drawing: Vec::new(),
        prompt: "What is done with each of its readings?".to_string(),
        wanted: Wanted::One {
            options: vec![
                way("off", "the difference is taken off"),
                way("on", "the difference is put on"),
                way("nothing", "they are right as they are"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            "zero error = shown − standard; part = reading − zero error".to_string(),
            format!(
                "{} − {} = {:+.*} mm: it shows too {}, on the standard and on every part.",
                gauge.shown(shows),
                gauge.shown(gauge.standard),
                gauge.decimals,
                gauge.off as f64 / 1e3,
                if gauge.off > 0 { "much" } else { "little" }
            ),
        ],
        slips: Vec::new(),
    })
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

fn room(random: &mut Stream, gauge: &Gauge) -> Option<Card> {
    let parts = *one_of(random, &CHAIN)?;
    // the same chain twice: as it is read, and as it is
    let (thick, deep) = (2_000, 30_000);
    let by_micrometer = gauge.step == 1;
    let room = |off: i64| {
        let (part, depth) = match by_micrometer {
            true => (thick + off, deep),
            false => (thick, deep + off),
        };
        let parts = vec![Length::from_um(part); parts as usize];
        closing(Length::from_um(depth), &parts)
    };
    let (read, is) = (room(gauge.off), room(0));
    let right = if read > is { "large" } else { "small" };
    let times = if by_micrometer { parts } else { 1 };
    let taken = match (by_micrometer, gauge.off > 0) {
        (true, true) => "the parts are taken for thicker than they are",
        (true, false) => "the parts are taken for thinner than they are",
        (false, true) => "the case is taken for deeper than it is",
        (false, false) => "the case is taken for shallower than it is",
    };
    let touches = match by_micrometer {
        true => format!("It measures all {parts} plates and rings of a side; the depth is right."),
        false => {
            format!("It measures the depth of the case; the {parts} plates and rings of a side are right.")
        }
    };
    Some(Card {
        topic: "chain",
        words: vec![
            gauge.told(),
            touches,
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
        reason: vec![
            "room = depth − parts".to_string(),
            format!(
                "It shows too {}, so {taken}: the room comes out too {right} by {times} · {} = {}",
                if gauge.off > 0 { "much" } else { "little" },
                gauge.shown(gauge.off.abs()),
                gauge.shown(times * gauge.off.abs())
            ),
        ],
        slips: Vec::new(),
    })
}
