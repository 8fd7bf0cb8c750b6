//! Which shim, which plate: the engine's own choice leaves one.

use super::card::{Card, Wanted};
use super::pick::{mm, one_of, shuffled, whole};
use crate::choice::{Candidate, First, Layout, Need, Request, ShimSize, Window, choose};
use crate::metrology::Stream;
use crate::procedure::AnswerOption;
use crate::quantity::Length;

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    if random.chance(0.5) {
        shim(random)
    } else {
        plate(random)
    }
}

fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// A request of which only the left side is in question: the right one closes on its target with nothing in it.
fn request(
    room: i64,
    window: [i64; 3],
    gear: Vec<Candidate>,
    shims: Vec<ShimSize>,
    most_shims: u32,
) -> Request {
    let [least, target, most] = window.map(um);
    let window = Window { least, target, most };
    let need = Need {
        gear: usize::from(!gear.is_empty()),
        case: 1,
    };
    let closed = Window {
        least: um(4_999),
        target: um(5_000),
        most: um(5_001),
    };
    // the one case plate of each side is all that is not in question there
    let case = [
        ("left", crate::mechanics::Side::Left),
        ("right", crate::mechanics::Side::Right),
    ];
    Request {
        layout: Layout::PerSide {
            rooms: [um(room + 2_000), um(7_000)],
            windows: [window, closed],
            match_within: None,
        },
        needs: [need, Need { gear: 0, case: 1 }],
        gear,
        case: case
            .into_iter()
            .map(|(name, side)| Candidate {
                name: name.to_string(),
                thickness: um(2_000),
                spare: false,
                fixed: Some(side),
                ran: None,
            })
            .collect(),
        shims,
        least_shims: 0,
        most_shims,
        guard: Length::ZERO,
        uncertainty: 0.0,
        first: First::Fewest,
        keep_in_place: false,
        alternatives: 5,
    }
}

/// What a side is told by, in micrometres.
struct Told {
    depth: i64,
    ring: i64,
    plates: i64,
    window: [i64; 3],
}

impl Told {
    fn drawn(random: &mut Stream, plates: i64) -> Told {
        let target = 10 * whole(random, 470, 560);
        let half = 10 * whole(random, 4, 9);
        let ring = whole(random, 10_985, 11_015);
        let shim = 10 * whole(random, 20, 50);
        // somewhere inside the window, and on no whole figure
        let inside = target + whole(random, 12 - half, half - 12);
        Told {
            depth: 10 * ((ring + plates + shim + inside + 5) / 10),
            ring,
            plates,
            window: [target - half, target, target + half],
        }
    }

    fn spring(&self) -> String {
        let [least, target, most] = self.window;
        format!(
            "The spring is to stand between {} and {}, best at {}.",
            mm(least, 2),
            mm(most, 2),
            mm(target, 2)
        )
    }
}

/// A line of what one option would come to.
fn line(key: &str, closing: i64, window: [i64; 3]) -> String {
    let [least, _, most] = window;
    let verdict = if closing < least {
        format!("{} too tight", mm(least - closing, 3))
    } else if closing > most {
        format!("{} too loose", mm(closing - most, 3))
    } else {
        "inside".to_string()
    };
    format!("{key}: the spring stands at {}: {verdict}", mm(closing, 3))
}

fn shim(random: &mut Stream) -> Option<Card> {
    let plates = whole(random, 7_820, 8_060);
    let told = Told::drawn(random, plates);
    let room = told.depth - told.ring - told.plates;
    let step = *one_of(random, &[50, 100, 150])?;
    let first = 50 * whole(random, 2, 7);
    let sizes: Vec<i64> = (0..6).map(|n| first + step * n).collect();
    let shims = sizes
        .iter()
        .map(|size| ShimSize {
            thickness: um(*size),
            count: 1,
        })
        .collect();
    let outcome = choose(&request(room, told.window, Vec::new(), shims, 1)).ok()?;
    let [choice] = outcome.choices.as_slice() else {
        return None;
    };
    let [right] = choice.sides[0].shims.as_slice() else {
        return None;
    };
    let key = |size: i64| format!("{:.2}", size as f64 / 1e3);
    let mut reason = vec![
        "room = depth − ring − plates; the spring stands at room − shim".to_string(),
        format!(
            "{} − {} − {} = {}",
            mm(told.depth, 3),
            mm(told.ring, 3),
            mm(told.plates, 3),
            mm(room, 3)
        ),
    ];
    reason.extend(
        sizes
            .iter()
            .map(|size| line(&mm(*size, 2), room - size, told.window)),
    );
    Some(Card {
        topic: "shim",
        words: vec![
            format!(
                "One side: the case is {} deep, the ring is {} high, the plates measure {} together. One shim goes in.",
                mm(told.depth, 3),
                mm(told.ring, 3),
                mm(told.plates, 3)
            ),
            told.spring(),
        ],
        drawing: Vec::new(),
        prompt: "Which shim?".to_string(),
        wanted: Wanted::One {
            options: sizes
                .iter()
                .map(|size| AnswerOption {
                    key: key(*size),
                    words: mm(*size, 2),
                })
                .collect(),
            right: key(right.nm() / 1_000),
        },
        reason,
        slips: Vec::new(),
    })
}

/// Names of the plates on offer.
const NAMES: [&str; 5] = ["SG1", "SG2", "SG3", "SG4", "SG5"];

fn plate(random: &mut Stream) -> Option<Card> {
    let others = whole(random, 5_840, 6_040);
    let told = Told::drawn(random, others + 1_980);
    let shim = 50 * whole(random, 4, 10);
    let room = told.depth - told.ring - others - shim;
    let limit = 1_900;
    let step = whole(random, 70, 130);
    let first = whole(random, 1_800, 1_890);
    let thick: Vec<i64> = (0..NAMES.len() as i64)
        .map(|n| first + step * n + whole(random, -9, 9))
        .collect();
    let offered: Vec<(&str, i64)> = NAMES.into_iter().zip(shuffled(random, thick)).collect();
    // what is under its limit is left out of a request
    let gear: Vec<Candidate> = offered
        .iter()
        .filter(|(_, thickness)| *thickness >= limit)
        .map(|(name, thickness)| Candidate {
            name: (*name).to_string(),
            thickness: um(*thickness),
            spare: true,
            fixed: None,
            ran: None,
        })
        .collect();
    let outcome = choose(&request(room, told.window, gear, Vec::new(), 0)).ok()?;
    let [choice] = outcome.choices.as_slice() else {
        return None;
    };
    let [right] = choice.sides[0].gear.as_slice() else {
        return None;
    };
    let mut reason = vec![
        "room = depth − ring − other plates − shim; the spring stands at room − plate".to_string(),
        format!(
            "{} − {} − {} − {} = {}",
            mm(told.depth, 3),
            mm(told.ring, 3),
            mm(others, 3),
            mm(shim, 2),
            mm(room, 3)
        ),
    ];
    reason.extend(offered.iter().map(|(name, thickness)| {
        if *thickness < limit {
            return format!(
                "{name}: under its limit of {}, whatever it would come to",
                mm(limit, 2)
            );
        }
        line(name, room - thickness, told.window)
    }));
    let list: Vec<String> = offered
        .iter()
        .map(|(name, thickness)| format!("{name} {}", mm(*thickness, 3)))
        .collect();
    Some(Card {
        topic: "plate",
        words: vec![
            format!(
                "One side: the case is {} deep, the ring is {} high, a shim of {} stays, and the plates that stay measure {} \
                 together. One friction plate is still to go in.",
                mm(told.depth, 3),
                mm(told.ring, 3),
                mm(shim, 2),
                mm(others, 3)
            ),
            told.spring(),
            format!(
                "On the rail: {}. Least for a friction plate: {}.",
                list.join(", "),
                mm(limit, 2)
            ),
        ],
        drawing: Vec::new(),
        prompt: "Which plate?".to_string(),
        wanted: Wanted::One {
            options: offered
                .iter()
                .map(|(name, thickness)| AnswerOption {
                    key: name.to_lowercase(),
                    words: mm(*thickness, 3),
                })
                .collect(),
            right: right.to_lowercase(),
        },
        reason,
        slips: Vec::new(),
    })
}
