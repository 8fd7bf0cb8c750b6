//! What comes nearest when nothing fits, and what to get.

use super::error::ChoiceError;
use super::problem::Problem;
use super::ranking::{Key, Range, Slack, less};
use super::request::{Choice, Miss, Order};
use super::sweep::Got;
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::collections::BTreeSet;

/// Thicknesses of shim rings to DIN 988. From memory, only 0.1, 0.5 and 1.0 mm seen in use: measure every shim.
pub const STANDARD_SHIMS: [Length; 16] = {
    const fn um(um: i64) -> Length {
        Length::from_um(um)
    }
    [
        um(100),
        um(150),
        um(200),
        um(300),
        um(500),
        um(1000),
        um(1100),
        um(1200),
        um(1300),
        um(1400),
        um(1500),
        um(1600),
        um(1700),
        um(1800),
        um(1900),
        um(2000),
    ]
};

/// How many things to get are named at most.
const MOST_ORDERS: usize = 5;

/// How many parts a common step of thicknesses is divided into at most.
const MOST_PARTS: i64 = 1_000;

/// How much a part that is got may make up for, so that another one need not lie in: 2 mm.
const A_PART: i64 = 2_000_000;

/// The slack that is tried first: 64 µm.
const FIRST_SLACK: i64 = 64_000;

/// Past this no unit of the workshop is: 1 km.
const NEVER: i64 = 1_000_000_000_000;

/// The nearest miss of a problem that has no admissible choice.
pub(super) fn miss(mut problem: Problem) -> Result<Miss, ChoiceError> {
    let nearest = nearest(&problem, Slack::All)?.ok_or(ChoiceError::NothingNeeded)?;
    let weighed = problem.frame.weigh(stacks(&problem, &nearest));
    problem.tell_sides_apart();
    let mut order = standard(&problem);
    if order.is_empty() {
        order = exact(&problem)?;
        order.extend(plates(&problem)?);
    }
    Ok(Miss {
        nearest,
        short_by: Length::from_nm(weighed.short_by),
        side: weighed.side,
        order,
    })
}

/// Plates and shims of each side of a choice.
fn stacks(problem: &Problem, choice: &Choice) -> [i64; 2] {
    [0, 1].map(|side: usize| choice.heights[side].nm() - problem.frame.height(side, 0))
}

/// The best choice with the least slack of one kind; none where no slack of that kind is enough.
fn nearest(problem: &Problem, kind: impl Fn(i64) -> Slack) -> Result<Option<Choice>, ChoiceError> {
    match least_slack(problem, &kind, Got::default()) {
        Some(by) => Ok(problem.best(kind(by), Got::default(), 1)?.pop()),
        None => Ok(None),
    }
}

/// Choices that a part would make fit: with the least slack of one kind, and the best of all that one part makes up for.
fn bases(problem: &Problem, kind: impl Fn(i64) -> Slack, got: Got) -> Result<Vec<Choice>, ChoiceError> {
    let Some(least) = least_slack(problem, &kind, got) else {
        return Ok(Vec::new());
    };
    let mut bases = problem.best(kind(least), got, 1)?;
    if least < A_PART {
        bases.extend(problem.best(kind(A_PART), got, 1)?);
    }
    Ok(bases)
}

/// The least slack of a kind that is enough; none where no slack is.
fn least_slack(problem: &Problem, kind: &impl Fn(i64) -> Slack, got: Got) -> Option<i64> {
    let needs = |heights: [i64; 2], enough: i64| {
        let (mut fails, mut works) = (0, enough);
        while fails + 1 < works {
            let middle = fails + (works - fails) / 2;
            if problem.frame.admits(heights, kind(middle)) {
                works = middle;
            } else {
                fails = middle;
            }
        }
        works
    };
    let (mut fails, mut tried) = (0, FIRST_SLACK);
    let mut works = loop {
        if let Some(heights) = problem.possible(kind(tried), got) {
            break needs(heights, tried);
        }
        (fails, tried) = (tried, tried * 8);
        if tried > NEVER {
            return None;
        }
    };
    // what is found needs less than was tried; where little is left between, only that is tried which is just less
    while fails + 1 < works {
        let middle = if works - fails > 2 * problem.step {
            fails + (works - fails) / 2
        } else {
            works - 1
        };
        match problem.possible(kind(middle), got) {
            Some(heights) => works = needs(heights, middle),
            None => fails = middle,
        }
    }
    Some(works)
}

/// The best first.
fn ranked(mut orders: Vec<(Key, Order)>) -> Vec<Order> {
    orders.sort_by_key(|(key, _)| *key);
    orders.truncate(MOST_ORDERS);
    orders.into_iter().map(|(_, order)| order).collect()
}

/// What the best choice ranks with these shims added to the drawer: nothing fits without them, so they all lie in.
fn with_shims(problem: &Problem, thickness: Length, count: u32) -> Option<Key> {
    (0..=count)
        .filter_map(|left| {
            let shims = [left, count - left];
            let heights = shims.map(|shims| i64::from(shims) * thickness.nm());
            problem.best_key(Got { shims, heights })
        })
        .min()
}

/// Shims of the standard series: one, or else two of a size.
fn standard(problem: &Problem) -> Vec<Order> {
    for count in [1, 2] {
        let mut orders = Vec::new();
        for thickness in STANDARD_SHIMS {
            if let Some(key) = with_shims(problem, thickness, count) {
                orders.push((
                    key,
                    Order::Shim {
                        thickness,
                        count,
                        is_standard: true,
                    },
                ));
            }
        }
        if !orders.is_empty() {
            return ranked(orders);
        }
    }
    Vec::new()
}

/// How much higher a side may become with the other as it is, and how much is best.
struct Change {
    range: Range,
    best: i64,
}

impl Change {
    /// Of a choice that fits but for one side.
    fn of(problem: &Problem, base: &Choice, side: usize) -> Option<Change> {
        let stacks = stacks(problem, base);
        let range = less(problem.frame.place(side, stacks[1 - side]), stacks[side]);
        let best = problem.frame.aim(side, stacks[1 - side]) - stacks[side];
        (range.0 <= range.1).then(|| Change {
            range,
            best: best.clamp(range.0, range.1),
        })
    }

    /// Thicknesses of what comes in the place of a part, or in none's for 0: just as computed, and in whole hundredths of
    /// a millimetre.
    fn thicknesses(&self, in_place_of: i64) -> impl Iterator<Item = i64> {
        let range = less(self.range, -in_place_of);
        let exact = in_place_of + self.best;
        let round = (exact + 5_000).div_euclid(10_000) * 10_000;
        [round, exact]
            .into_iter()
            .filter(move |nm| (range.0..=range.1).contains(nm))
    }

    /// The same in whole steps from what is there, where a step lies in the range: a thickness off the common step of the
    /// others only makes the problem larger.
    fn thicknesses_in_steps(&self, in_place_of: i64, step: i64) -> Vec<i64> {
        let fits = |by: &i64| (self.range.0..=self.range.1).contains(by);
        // else in the coarsest part of a step that lies in it
        let parts = (1..=MOST_PARTS)
            .filter(|parts| step % parts == 0)
            .map(|parts| step / parts);
        let found = parts.into_iter().find_map(|step| {
            let down = self.best.div_euclid(step) * step;
            let nearest = (self.best + step / 2).div_euclid(step) * step;
            let by = [nearest, down, down + step].into_iter().find(fits)?;
            Some((by, step))
        });
        let Some((by, step)) = found else {
            return self.thicknesses(in_place_of).collect();
        };
        let exact = in_place_of + by;
        let round = (exact + 5_000).div_euclid(10_000) * 10_000;
        let rounded = Some(round).filter(|nm| (nm - in_place_of) % step == 0 && fits(&(nm - in_place_of)));
        rounded.into_iter().chain([exact]).collect()
    }
}

/// A shim of any thickness, added to a side or in place of one that is there. A side that a shim would make fit is one
/// shim short and too low; so there is advice wherever one shim does.
fn exact(problem: &Problem) -> Result<Vec<Order>, ChoiceError> {
    if problem.request.most_shims == 0 {
        return Ok(Vec::new());
    }
    let mut tries = BTreeSet::new();
    for side in [0, 1] {
        let mut got = Got::default();
        got.shims[side] = 1;
        for base in bases(problem, |by| Slack::Lacks { side, low: true, by }, got)? {
            let Some(change) = Change::of(problem, &base, side) else {
                continue;
            };
            let removed = base.sides[side].shims.iter().map(|shim| shim.nm());
            tries.extend(removed.chain([0]).flat_map(|removed| change.thicknesses(removed)));
            if change.best <= 0 {
                // the best is none at all, and a thin one would do
                tries.insert(change.range.1);
            }
        }
    }
    let mut orders = Vec::new();
    for thickness in tries.into_iter().filter(|nm| *nm > 0).map(Length::from_nm) {
        if let Some(key) = with_shims(problem, thickness, 1) {
            orders.push((
                key,
                Order::Shim {
                    thickness,
                    count: 1,
                    is_standard: false,
                },
            ));
        }
    }
    Ok(ranked(orders))
}

/// A plate in place of one that is there, from half to twice as thick. A plate that would make all fit takes the place of
/// one that is left over then; so there is advice wherever one plate does.
fn plates(problem: &Problem) -> Result<Vec<Order>, ChoiceError> {
    let mut tries = BTreeSet::new();
    for (side, low) in [(0, true), (0, false), (1, true), (1, false)] {
        for base in bases(problem, |by| Slack::Lacks { side, low, by }, Got::default())? {
            let Some(change) = Change::of(problem, &base, side) else {
                continue;
            };
            let chosen = &base.sides[side];
            for (keying, names) in [(Keying::Gear, &chosen.gear), (Keying::Case, &chosen.case)] {
                let removed = problem
                    .request
                    .plates(keying)
                    .iter()
                    .filter(|plate| plate.fixed.is_none() && names.contains(&plate.name))
                    .map(|plate| plate.thickness.nm());
                let ends = [removed.clone().min(), removed.max()];
                for removed in ends.into_iter().flatten() {
                    let sensible = |nm: &i64| (removed / 2..=removed * 2).contains(nm);
                    let near = change.thicknesses_in_steps(removed, problem.step);
                    tries.extend(near.into_iter().filter(sensible).map(|nm| (keying, nm)));
                }
            }
        }
    }
    let mut orders = Vec::new();
    for keying in [Keying::Gear, Keying::Case] {
        let tries = tries.iter().filter(|(of, _)| *of == keying).map(|(_, nm)| *nm);
        for (nm, key) in with_plates(problem, keying, tries)? {
            let thickness = Length::from_nm(nm);
            orders.push((key, Order::Plate { keying, thickness }));
        }
    }
    Ok(ranked(orders))
}

/// What the best choice ranks with one plate added to the candidates, for each of its thicknesses with which there is
/// one. Nothing fits without it, so it goes in: on a side that takes one plate less besides.
fn with_plates(
    problem: &Problem,
    keying: Keying,
    thicknesses: impl Iterator<Item = i64>,
) -> Result<Vec<(i64, Key)>, ChoiceError> {
    let mut beside = Vec::new();
    for side in Side::BOTH {
        if let Some(problem) = problem.with_one_less(keying, side)? {
            beside.push((side.index(), problem));
        }
    }
    let best = |nm: i64| {
        let keys = beside.iter().filter_map(|(side, problem)| {
            let mut got = Got::default();
            got.heights[*side] = nm;
            problem.best_key(got)
        });
        Some((nm, keys.min()?))
    };
    Ok(thicknesses.filter_map(best).collect())
}
