//! What comes nearest when nothing fits, and what to get.

use super::error::ChoiceError;
use super::problem::Problem;
use super::ranking::{Key, Slack};
use super::request::{Candidate, Choice, Miss, Order, Request, ShimSize, Side};
use super::shims::Drawer;
use crate::mechanics::Keying;
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

/// Past this no unit of the workshop is: 1 km.
const NEVER: i64 = 1_000_000_000_000;

/// The nearest miss of a problem that has no admissible choice.
pub(super) fn miss(mut problem: Problem) -> Result<Miss, ChoiceError> {
    let nearest = nearest(&problem, Slack::all)?.ok_or(ChoiceError::NothingNeeded)?;
    let weighed = problem.frame.weigh(stacks(&problem, &nearest));
    let mut bases = vec![nearest.clone()];
    for closings in [[1, 0], [0, 1]] {
        let one_side = |by: i64| Slack {
            closings: closings.map(|side: i64| side * by),
            apart: by,
        };
        bases.extend(self::nearest(&problem, one_side)?);
    }
    let mut order = standard(&mut problem);
    if order.is_empty() {
        order = exact(&mut problem, &bases);
        order.extend(plates(&problem, &bases));
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
    let (mut fails, mut works) = (0, 1_000);
    while !problem.is_possible(kind(works)) {
        (fails, works) = (works, works * 4);
        if works > NEVER {
            return Ok(None);
        }
    }
    while fails + 1 < works {
        let middle = fails + (works - fails) / 2;
        if problem.is_possible(kind(middle)) {
            works = middle;
        } else {
            fails = middle;
        }
    }
    Ok(problem.best(kind(works), 1)?.pop())
}

/// The best first.
fn ranked(mut orders: Vec<(Key, Order)>) -> Vec<Order> {
    orders.sort_by_key(|(key, _)| *key);
    orders.truncate(MOST_ORDERS);
    orders.into_iter().map(|(_, order)| order).collect()
}

/// What the best choice ranks with these shims added to the drawer.
fn with_shims(problem: &mut Problem, thickness: Length, count: u32) -> Option<Key> {
    let mut shims = problem.request.shims.clone();
    shims.push(ShimSize { thickness, count });
    problem.drawer = Drawer::new(&shims, problem.request.most_shims).ok()?;
    problem.best_key()
}

/// Shims of the standard series: one, or else two of a size.
fn standard(problem: &mut Problem) -> Vec<Order> {
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

/// How much thicker a side has to become: to its target, or else to an end of its window.
fn changes(problem: &Problem, base: &Choice, side: usize) -> [i64; 3] {
    let closing = base.closings[side].nm();
    let (least, most) = problem.frame.guarded(side);
    [
        closing - problem.frame.target(side),
        closing - most,
        closing - least,
    ]
}

/// A thickness in whole hundredths of a millimetre, or else just as computed.
fn rounded(nm: i64) -> [i64; 2] {
    [(nm + 5_000).div_euclid(10_000) * 10_000, nm]
}

/// A shim of any thickness, added to a side or in place of one that is there.
fn exact(problem: &mut Problem, bases: &[Choice]) -> Vec<Order> {
    for aim in 0..3 {
        let mut tries = BTreeSet::new();
        for (base, side) in bases.iter().flat_map(|base| [(base, 0), (base, 1)]) {
            let change = changes(problem, base, side)[aim];
            let removed = base.sides[side].shims.iter().map(|shim| shim.nm());
            tries.extend(removed.chain([0]).flat_map(|removed| rounded(removed + change)));
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
        if !orders.is_empty() {
            return ranked(orders);
        }
    }
    Vec::new()
}

/// A plate in place of one that is there, from half to twice as thick.
fn plates(problem: &Problem, bases: &[Choice]) -> Vec<Order> {
    for aim in 0..3 {
        let mut tries = BTreeSet::new();
        for (base, side) in bases.iter().flat_map(|base| Side::BOTH.map(|side| (base, side))) {
            let change = changes(problem, base, side as usize)[aim];
            let chosen = &base.sides[side as usize];
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
                    // a thickness off the common step of the others would only make the problem larger
                    let whole = removed + (change + problem.step / 2).div_euclid(problem.step) * problem.step;
                    let on_step = |nm: &i64| (nm - removed) % problem.step == 0;
                    let near = rounded(whole).into_iter().filter(on_step).filter(sensible);
                    tries.extend(near.map(|nm| (keying, nm)));
                }
            }
        }
        let mut orders = Vec::new();
        for (keying, thickness) in tries {
            let thickness = Length::from_nm(thickness);
            if let Some(key) = with_plate(problem.request, keying, thickness) {
                orders.push((key, Order::Plate { keying, thickness }));
            }
        }
        if !orders.is_empty() {
            return ranked(orders);
        }
    }
    Vec::new()
}

/// What the best choice ranks with this plate added to the candidates.
fn with_plate(request: &Request, keying: Keying, thickness: Length) -> Option<Key> {
    let mut request = request.clone();
    let plates = match keying {
        Keying::Gear => &mut request.gear,
        Keying::Case => &mut request.case,
    };
    plates.push(Candidate {
        name: String::new(),
        thickness,
        spare: true,
        fixed: None,
    });
    Problem::new(&request).ok()?.best_key()
}
