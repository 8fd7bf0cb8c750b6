//! Where a disc spring stands on its curve, and what wear and shims do to its force there.

use super::card::{Card, Kind, Wanted};
use super::pick::{mm, one_of, whole};
use crate::mechanics::{DiscSpring, SpringStack, SpringTrap};
use crate::metrology::Stream;
use crate::procedure::AnswerOption;
use crate::quantity::Length;

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    match random.below(4) {
        0 => changed(random, true),
        1 => changed(random, false),
        2 => lost(random),
        _ => arranged(random),
    }
}

/// Outside, inside, thickness and free height in micrometres; the first ones have a peak before they are flat.
const DISCS: [[i64; 4]; 8] = [
    [100_000, 51_000, 1_250, 3_750],
    [92_000, 64_000, 1_000, 3_000],
    [100_000, 70_000, 1_200, 3_100],
    [92_000, 64_000, 1_000, 2_700],
    [110_000, 76_000, 1_300, 3_500],
    [100_000, 70_000, 1_750, 2_900],
    [92_000, 64_000, 1_750, 3_100],
    [92_000, 64_000, 1_500, 2_600],
];

fn stack(random: &mut Stream) -> Option<SpringStack> {
    let [outside, inside, thickness, height] = one_of(random, &DISCS)?.map(Length::from_um);
    let disc = DiscSpring::new(outside, inside, thickness, height, None).ok()?;
    SpringStack::discs(disc, *one_of(random, &[1, 2])?, 1).ok()
}

fn round_um(length: Length) -> i64 {
    10 * ((length.um() / 10.0).round() as i64)
}

fn force(stack: &SpringStack, um: i64) -> Option<f64> {
    let force = stack.force_at_height(Length::from_um(um)).ok()?;
    Some(force.newtons())
}

/// Newtons as a press shows them.
fn tens(newtons: f64) -> i64 {
    10 * (newtons / 10.0).round() as i64
}

fn option(key: &str, words: &str) -> AnswerOption {
    AnswerOption {
        key: key.to_string(),
        words: words.to_string(),
    }
}

/// The heights at which a spring was pressed, from its free height to nearly flat.
fn curve(stack: &SpringStack) -> Option<Vec<(i64, i64)>> {
    let (free, solid) = (round_um(stack.free_height()), round_um(stack.solid_height()));
    let step = 10 * ((free - solid) / 90).max(1);
    let heights = (0..9).map(|n| free - step * n).filter(|height| *height > solid);
    heights
        .map(|height| Some((height, tens(force(stack, height)?))))
        .collect()
}

fn drawn(curve: &[(i64, i64)]) -> Vec<String> {
    let most = curve.iter().map(|(_, force)| *force).max().unwrap_or(1).max(1);
    let mut lines = vec!["height      force".to_string()];
    lines.extend(curve.iter().map(|(height, force)| {
        let bar = "-".repeat((40 * force / most) as usize);
        format!("{:>8}  {force:>6} N  {bar}*", mm(*height, 2))
    }));
    lines
}

/// A shim more, or wear of the pack: does the preload rise or fall?
fn changed(random: &mut Stream, by_shim: bool) -> Option<Card> {
    let stack = stack(random)?;
    let curve = curve(&stack)?;
    let (free, solid) = (stack.free_height(), stack.solid_height());
    let height = whole(random, round_um(solid) / 10 + 8, round_um(free) / 10 + 12) * 10;
    let by = if by_shim { 100 } else { 10 * whole(random, 8, 25) };
    let after = if by_shim { height - by } else { height + by };
    if Length::from_um(after) < solid {
        return None;
    }
    let (before, then) = (force(&stack, height)?, force(&stack, after)?);
    // loose before and after, or so near that a press would not tell
    let loose = stack
        .traps_at_height(Length::from_um(height))
        .iter()
        .any(|trap| matches!(trap, SpringTrap::Loose { .. }));
    if loose || (before - then).abs() < 0.04 * before.max(then) {
        return None;
    }
    // each way is as likely, so that neither is guessed right
    if random.chance(0.5) != (then > before) {
        return None;
    }
    let right = if then > before { "more" } else { "less" };
    let past = stack
        .peak_height()
        .is_some_and(|peak| Length::from_um(height) < peak);
    let what = match by_shim {
        true => format!(
            "A shim of {} more is to go in: the spring will stand that much lower.",
            mm(by, 2)
        ),
        false => format!(
            "Since then the pack has worn by {}: the spring has that much more room.",
            mm(by, 2)
        ),
    };
    Some(Card {
        topic: if by_shim { "branch" } else { "worn pack" },
        words: vec![
            format!(
                "A disc spring in the press. It was built in at {}; * is its force.",
                mm(height, 2)
            ),
            what,
        ],
        drawing: drawn(&curve),
        prompt: "What becomes of the preload?".to_string(),
        wanted: Wanted::One {
            options: vec![
                option("more", "it rises"),
                option("less", "it falls"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            match stack.peak_height() {
                Some(peak) if past => format!(
                    "It stands past its peak, which is at {}: there a lower spring presses less, and a higher one more.",
                    mm(round_um(peak), 2)
                ),
                _ => "It stands between free and its greatest force: there a lower spring presses more, and a higher one less."
                    .to_string(),
            },
            format!(
                "{} N at {}, {} N at {}",
                tens(before),
                mm(height, 2),
                tens(then),
                mm(after, 2)
            ),
        ],
        slips: Vec::new(),
    })
}

/// How much a worn pack loses, out of the table of the press.
fn lost(random: &mut Stream) -> Option<Card> {
    let stack = stack(random)?;
    let curve = curve(&stack)?;
    let low = 2 + random.below(curve.len().saturating_sub(4));
    let up = 1 + random.below(2);
    let ((height, before), (after, then)) = (*curve.get(low)?, *curve.get(low.checked_sub(up)?)?);
    let wear = after - height;
    let loss = before - then;
    let right = stack
        .loss_for_wear(Length::from_um(height), Length::from_um(wear))
        .ok()?
        .newtons();
    // a loss, and one that the table gives to a newton or two of the ten it is rounded to
    if loss < 60 || (right - loss as f64).abs() > 10.0 {
        return None;
    }
    Some(Card {
        topic: "worn pack",
        words: vec![format!(
            "A disc spring in the press; * is its force. It was built in at {}, and the pack has worn by {} since.",
            mm(height, 2),
            mm(wear, 2)
        )],
        drawing: drawn(&curve),
        prompt: "How many newtons of preload are lost?".to_string(),
        wanted: Wanted::Number {
            kind: Kind::Force,
            unit: "N",
            right: loss as f64,
            near: 12.0,
            shown: format!("{loss} N"),
            example: "35",
        },
        reason: vec![
            "What the pack loses in height the spring gets: it stands higher and presses less.".to_string(),
            format!(
                "{} + {} = {}: {before} N − {then} N = {loss} N",
                mm(height, 2),
                mm(wear, 2),
                mm(after, 2)
            ),
        ],
        slips: vec![(then as f64, "That is what is left of it.".to_string())],
    })
}

/// Two discs, laid one in the other or one against the other.
fn arranged(random: &mut Stream) -> Option<Card> {
    let [outside, inside, thickness, height] = one_of(random, &DISCS)?.map(Length::from_um);
    let disc = DiscSpring::new(outside, inside, thickness, height, None).ok()?;
    let travel = 10 * whole(random, 15, 60);
    let alone = disc.force_at(Length::from_um(travel)).ok()?.newtons();
    let nested = random.chance(0.5);
    let (parallel, series) = if nested { (2, 1) } else { (1, 2) };
    let two = SpringStack::discs(disc, parallel, series).ok()?;
    let pressed = two.free_height() - Length::from_um(travel);
    let together = two.force_at_height(pressed).ok()?.newtons();
    if (together - alone).abs() < 0.1 * alone {
        return None;
    }
    let right = if together > alone { "more" } else { "less" };
    Some(Card {
        topic: "arrangement",
        words: vec![
            format!(
                "One disc, pressed by {} from free, presses with {} N.",
                mm(travel, 2),
                tens(alone)
            ),
            format!(
                "Now two of them lie {}, and the two together are pressed by {} from free.",
                if nested {
                    "one in the other, both cones the same way"
                } else {
                    "rim to rim, like a closed shell"
                },
                mm(travel, 2)
            ),
        ],
        drawing: Vec::new(),
        prompt: "Do they press with more or with less than the one?".to_string(),
        wanted: Wanted::One {
            options: vec![
                option("more", "more than the one disc"),
                option("less", "less than the one disc"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            if nested {
                format!(
                    "Discs in parallel: each goes the whole way, and their forces add: 2 · {} N = {} N (rubbing left out)",
                    tens(alone),
                    2 * tens(alone)
                )
            } else {
                format!(
                    "Discs in series: each goes half the way, {}, and one force goes through both: {} N",
                    mm(travel / 2, 3),
                    tens(together)
                )
            },
            "Turn one of two discs over, and discs in parallel become discs in series, or the other way round: look how they lie \
             before the cover goes on.".to_string(),
        ],
        slips: Vec::new(),
    })
}
