//! Count the faces that rub; find the pair that does not.

use super::card::{Card, Kind, Wanted};
use super::pick::{one_of, shuffled, whole};
use super::read_drawn::row;
use crate::mechanics::Keying;
use crate::mechanics::pack::active_faces;
use crate::metrology::Stream;
use crate::procedure::AnswerOption;

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    if random.chance(0.5) {
        count(random)
    } else {
        dead(random)
    }
}

/// What lies on the wall.
fn wall(random: &mut Stream) -> (bool, &'static str) {
    if random.chance(0.4) {
        (true, "The first plate lies on the plain wall of the case.")
    } else {
        (
            false,
            "Between the wall and the first plate lie a shim and the spring, drawn as ~.",
        )
    }
}

/// A section: the case above, the side gear below. A plate reaches up to the one or down to the other.
fn section(order: &[Keying], on_wall: bool) -> Vec<String> {
    const FIRST: usize = 7;
    const STEP: usize = 3;
    let long = FIRST + STEP * order.len() + 6;
    let mut rows: Vec<Vec<(usize, &str)>> = vec![vec![(2, "#")]; 5];
    for (n, keyed) in order.iter().enumerate() {
        let at = FIRST + STEP * n;
        let reaches = match keyed {
            Keying::Case => [true, true, true, true, false],
            Keying::Gear => [false, true, true, true, true],
        };
        for (row, _) in rows.iter_mut().zip(reaches).filter(|(_, reaches)| *reaches) {
            row.push((at, "|"));
        }
    }
    let ring = FIRST + STEP * order.len();
    for (n, row) in rows.iter_mut().enumerate() {
        if !on_wall && (1..4).contains(&n) {
            row.push((4, "~"));
        }
        if n < 4 {
            row.push((ring, "RRR"));
        }
    }
    let (case, gear) = ("=".repeat(long), "=".repeat(long - 4));
    let mut lines = vec![row(&[(2, &case), (long + 4, "case")])];
    lines.extend(rows.iter().map(|signs| row(signs)));
    lines.push(row(&[(4, &gear), (long + 4, "side gear")]));
    lines.push(row(&[(1, "wall"), (ring, "ring")]));
    lines
}

fn keying(random: &mut Stream, gear: usize, case: usize) -> Vec<Keying> {
    let mut all = vec![Keying::Gear; gear];
    all.extend(vec![Keying::Case; case]);
    shuffled(random, all)
}

fn count(random: &mut Stream) -> Option<Card> {
    let gear = whole(random, 2, 5) as usize;
    let case = whole(random, 2, 5) as usize;
    let order = keying(random, gear, case);
    let (on_wall, told) = wall(random);
    let faces = active_faces(&order, on_wall);
    let most = order.len() as u32 + u32::from(on_wall);
    Some(Card {
        topic: "faces",
        words: vec![
            "A pack in section: | is a plate, up to the case or down to the side gear; R is the ring, # the wall, and both turn \
             with the case."
                .to_string(),
            told.to_string(),
        ],
        drawing: section(&order, on_wall),
        prompt: "How many faces rub?".to_string(),
        wanted: Wanted::Number {
            kind: Kind::Count,
            unit: "",
            right: f64::from(faces),
            near: 0.1,
            shown: format!("{faces}"),
            example: "",
        },
        reason: vec![
            "A face rubs where its two sides turn with different things: one up, one down.".to_string(),
            format!(
                "{most} pairs of neighbours{}, {} of them alike: {most} − {} = {faces}",
                if on_wall {
                    ", the wall and the ring counted"
                } else {
                    " up to the ring; spring and shim make none"
                },
                most - faces,
                most - faces
            ),
        ],
        slips: (most > faces)
            .then(|| {
                (
                    f64::from(most),
                    "Every pair was counted, and some turn with the same thing.".to_string(),
                )
            })
            .into_iter()
            .collect(),
    })
}

/// The neighbours of a pack from the wall to the ring.
fn pairs(names: &[String]) -> Vec<String> {
    let ring = "ring".to_string();
    let next = names.iter().skip(1).chain([&ring]);
    names.iter().zip(next).map(|(a, b)| format!("{a}-{b}")).collect()
}

fn dead(random: &mut Stream) -> Option<Card> {
    let pairs_of = whole(random, 2, 4) as usize;
    let mut order: Vec<Keying> = [Keying::Case, Keying::Gear].repeat(pairs_of);
    // one plate more, anywhere: a dead pair beside it
    let extra = *one_of(random, &[Keying::Case, Keying::Gear])?;
    order.insert(random.below(order.len() + 1), extra);
    let (mut case, mut gear) = (0, 0);
    let names: Vec<String> = order
        .iter()
        .map(|keyed| {
            let (letter, count) = match keyed {
                Keying::Case => ("C", &mut case),
                Keying::Gear => ("G", &mut gear),
            };
            *count += 1;
            format!("{letter}{count}")
        })
        .collect();
    let all = pairs(&names);
    // dead is what one face of another sort would bring to life
    let faces = active_faces(&order, false);
    let dead: Vec<&String> = all
        .iter()
        .enumerate()
        .filter(|(n, _)| order.get(n + 1).unwrap_or(&Keying::Case) == &order[*n])
        .map(|(_, pair)| pair)
        .collect();
    let [one] = dead.as_slice() else {
        return None;
    };
    if faces as usize + 1 != all.len() {
        return None;
    }
    Some(Card {
        topic: "dead face",
        words: vec![
            format!(
                "From the wall to the ring, C keyed to the case and G to the side gear: spring, shim, {}, ring.",
                names.join(", ")
            ),
            "The ring turns with the case. One pair of neighbours does not rub.".to_string(),
        ],
        drawing: Vec::new(),
        prompt: "Which pair is dead?".to_string(),
        wanted: Wanted::One {
            options: all
                .iter()
                .map(|pair| AnswerOption {
                    key: pair.to_lowercase(),
                    words: pair.replace('-', " beside "),
                })
                .collect(),
            right: one.to_lowercase(),
        },
        reason: vec![
            format!("{one}: both turn with the same thing, so that nothing slips between them."),
            format!(
                "{} pairs up to the ring, one of them dead: {faces} faces rub. Whether a dead pair is meant there the unit's file \
                 and the maker's manual say.",
                all.len()
            ),
        ],
        slips: Vec::new(),
    })
}
