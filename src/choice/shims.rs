//! The drawer: which heights a number of shims can make, and the ways to make them.

use super::error::ChoiceError;
use super::request::ShimSize;
use crate::quantity::Length;
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// Bits that the heights of shims may take: 4 MB.
const MOST_BITS: u64 = 32_000_000;

/// Pairs of heights that may be gone through.
const MOST_PAIRS: u64 = 400_000_000;

/// A choice of shims for one side: how many and how high.
pub(super) type Shims = (u32, i64);

pub(super) struct Drawer {
    /// Thicknesses and counts, thickest first.
    pub sizes: Vec<(Length, u32)>,
    step: i64,
    /// For each number of sizes left out from the thickest and each number of shims: the heights as bits, in steps.
    levels: Vec<Vec<Vec<u64>>>,
    /// For each number of shims the heights in nanometres, lowest first.
    heights: Vec<Vec<i64>>,
}

/// The greatest common divisor; 0 with 0 is 0.
pub(super) fn common(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { common(b, a % b) }
}

fn has(bits: &[u64], at: i64) -> bool {
    usize::try_from(at)
        .ok()
        .and_then(|at| bits.get(at / 64).map(|word| word >> (at % 64) & 1 == 1))
        .unwrap_or(false)
}

fn add_shifted(to: &mut Vec<u64>, from: &[u64], by: usize) {
    let (word, bit) = (by / 64, by % 64);
    let length = from.len() + word + 1;
    if to.len() < length {
        to.resize(length, 0);
    }
    for (index, bits) in from.iter().enumerate() {
        to[index + word] |= bits << bit;
        if bit != 0 {
            to[index + word + 1] |= bits >> (64 - bit);
        }
    }
}

impl Drawer {
    /// The drawer for at most so many shims a side.
    pub fn new(shims: &[ShimSize], most: u32) -> Result<Drawer, ChoiceError> {
        let mut counts: BTreeMap<Length, u32> = BTreeMap::new();
        for size in shims.iter().filter(|size| size.count > 0) {
            let count = counts.entry(size.thickness).or_default();
            *count = count.saturating_add(size.count);
        }
        let sizes: Vec<(Length, u32)> = counts.into_iter().rev().collect();
        let all = sizes.iter().fold(0_u32, |sum, size| sum.saturating_add(size.1));
        let most = most.min(all) as usize;
        let step = sizes
            .iter()
            .fold(0, |step, size| common(step, size.0.nm()))
            .max(1);
        let thickest = sizes.first().map_or(0, |size| size.0.nm() / step) as u64;
        let needed = (sizes.len() as u64 + 1)
            .saturating_mul(most as u64 + 1)
            .saturating_mul(thickest.saturating_mul(most as u64) + 64);
        if needed > MOST_BITS {
            return Err(ChoiceError::TooLarge {
                what: "the heights that the shims can make",
                needed,
                most: MOST_BITS,
                step: Length::from_nm(step),
            });
        }
        let mut levels = vec![vec![Vec::new(); most + 1]; sizes.len() + 1];
        levels[sizes.len()][0] = vec![1];
        for level in (0..sizes.len()).rev() {
            let (thickness, count) = sizes[level];
            let (here, below) = levels.split_at_mut(level + 1);
            for shims in 0..=most {
                for taken in 0..=shims.min(count as usize) {
                    let by = (thickness.nm() / step) as usize * taken;
                    if !below[0][shims - taken].is_empty() {
                        add_shifted(&mut here[level][shims], &below[0][shims - taken], by);
                    }
                }
            }
        }
        let heights: Vec<Vec<i64>> = levels[0]
            .iter()
            .map(|bits| {
                (0..bits.len() as i64 * 64)
                    .filter(|at| has(bits, *at))
                    .map(|at| at * step)
                    .collect()
            })
            .collect();
        // every height on the left may have to be tried with every height on the right
        let each: u64 = heights.iter().map(|heights| heights.len() as u64).sum();
        if each * each > MOST_PAIRS {
            return Err(ChoiceError::TooLarge {
                what: "the pairs of heights that the shims can make",
                needed: each * each,
                most: MOST_PAIRS,
                step: Length::from_nm(step),
            });
        }
        Ok(Drawer {
            sizes,
            step,
            levels,
            heights,
        })
    }

    /// The heights that so many shims can make, lowest first; none where there are not so many.
    pub fn heights(&self, shims: u32) -> &[i64] {
        self.heights.get(shims as usize).map_or(&[], Vec::as_slice)
    }

    /// The greatest common step of the shims and `step`.
    pub fn common_step(&self, step: i64) -> i64 {
        self.sizes
            .iter()
            .fold(step, |step, size| common(step, size.0.nm()))
    }

    /// The greatest number of shims on one side.
    pub fn most(&self) -> u32 {
        self.heights.len() as u32 - 1
    }

    /// Calls `f` with every way to make the height from what `taken` leaves: how many of each size, most of the
    /// thickest first.
    pub fn each_way(
        &self,
        shims: u32,
        height: i64,
        taken: &[u32],
        f: &mut dyn FnMut(&[u32]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        if height % self.step != 0 {
            return ControlFlow::Continue(());
        }
        self.descend(
            &mut Vec::with_capacity(self.sizes.len()),
            shims,
            height / self.step,
            taken,
            f,
        )
    }

    fn descend(
        &self,
        way: &mut Vec<u32>,
        shims: u32,
        height: i64,
        taken: &[u32],
        f: &mut dyn FnMut(&[u32]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let level = way.len();
        let here = self.levels[level].get(shims as usize);
        if !here.is_some_and(|bits| has(bits, height)) {
            return ControlFlow::Continue(());
        }
        let Some((thickness, count)) = self.sizes.get(level) else {
            return f(way);
        };
        let left = count - taken.get(level).copied().unwrap_or(0);
        for used in (0..=shims.min(left)).rev() {
            way.push(used);
            let rest = height - i64::from(used) * (thickness.nm() / self.step);
            self.descend(way, shims - used, rest, taken, f)?;
            way.pop();
        }
        ControlFlow::Continue(())
    }

    /// Whether both sides can have their height from the one drawer.
    pub fn both_possible(&self, left: (u32, i64), right: (u32, i64)) -> bool {
        if self.sizes.iter().all(|size| size.1 >= left.0 + right.0) {
            return true;
        }
        self.each_way(left.0, left.1, &[], &mut |taken| {
            self.each_way(right.0, right.1, taken, &mut |_| ControlFlow::Break(()))
        })
        .is_break()
    }
}
