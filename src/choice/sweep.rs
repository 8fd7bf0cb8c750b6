//! The walk over heights of shims and plates that finds the best.

use super::planes::Extent;
use super::ranking::{Frame, Key, Lattice, Range, Region, Slack, between, less, meet, steps};
use super::shims::{Drawer, Shims};
use std::collections::BTreeSet;
use std::ops::ControlFlow;

/// What is to be got besides: shims on each side, and how high what is got fills each side.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub(super) struct Got {
    pub shims: [u32; 2],
    pub heights: [i64; 2],
}

/// Which keys are looked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted {
    pub slack: Slack,
    /// What is there besides.
    pub got: Got,
    /// Only those after this one.
    pub after: Option<Key>,
    /// Only those before this one.
    pub until: Option<Key>,
    /// The smallest so many.
    pub count: usize,
    /// One at all is enough, smallest or not.
    pub any: bool,
}

impl Wanted {
    /// The smallest key of what fails by no more than the slack, beside what is to be got.
    pub fn best(slack: Slack, got: Got) -> Wanted {
        Wanted {
            slack,
            got,
            after: None,
            until: None,
            count: 1,
            any: false,
        }
    }
}

/// Heights of plates and shims, and what they rank.
#[derive(Clone, Copy, Debug)]
pub(super) struct Made {
    pub key: Key,
    pub heights: [i64; 2],
}

/// A walk over heights of shims and plates that gathers the smallest keys.
pub(super) struct Sweep<'a> {
    pub frame: &'a Frame,
    pub drawer: &'a Drawer,
    /// The greatest common step of the plates' thicknesses, nm.
    pub step: i64,
    /// Plates of each side with every free one as thin as the thinnest, and what is to be got, nm.
    pub base: [i64; 2],
    /// Shims that are to be got.
    pub got: u32,
    /// Where heights of plates and shims lie.
    pub lattice: Lattice,
    pub wanted: Wanted,
    pub keys: BTreeSet<Key>,
    /// Heights that were taken in last.
    pub taken: Option<[i64; 2]>,
    region: Option<(Option<Key>, u32, Option<Region>)>,
}

/// What a region leaves for the plates, in steps above their base.
#[derive(Clone, Copy, Debug)]
pub(super) struct Left {
    pub x: Range,
    pub y: Range,
    pub t: Range,
}

impl Left {
    pub fn is_empty(&self) -> bool {
        [self.x, self.y, self.t].iter().any(|range| range.0 > range.1)
    }
}

impl<'a> Sweep<'a> {
    pub fn new(
        frame: &'a Frame,
        drawer: &'a Drawer,
        step: i64,
        plates: [i64; 2],
        wanted: Wanted,
    ) -> Sweep<'a> {
        let got = wanted.got;
        let base = [0, 1].map(|side: usize| plates[side] + got.heights[side]);
        Sweep {
            frame,
            drawer,
            step,
            base,
            got: got.shims[0] + got.shims[1],
            lattice: Lattice {
                base,
                step: drawer.common_step(step),
            },
            wanted,
            keys: BTreeSet::new(),
            taken: None,
            region: None,
        }
    }

    /// The key that a new one has to come before.
    pub fn last(&self) -> Option<Key> {
        if self.keys.len() < self.wanted.count {
            self.wanted.until
        } else {
            self.keys.last().copied()
        }
    }

    /// Whether nothing with so many shims from the drawer, or more, can come in any more.
    pub fn is_done(&self, shims: u32) -> bool {
        self.last()
            .is_some_and(|last| last <= self.frame.floor(shims + self.got, &self.lattice).0)
    }

    /// Where heights must lie that are still wanted; none where none are.
    pub fn region(&mut self, shims: u32) -> Option<Region> {
        let last = self.last();
        if let Some((known, count, region)) = self.region
            && (known, count) == (last, shims)
        {
            return region;
        }
        let region = self
            .frame
            .region_before(self.wanted.slack, last, shims + self.got, &self.lattice)
            .map(Region::closed)
            .filter(|region| !region.is_empty());
        self.region = Some((last, shims, region));
        region
    }

    /// Calls `f` with each pair of shim heights that may bring plates of a box into the region.
    pub fn divide(
        &mut self,
        extent: Extent,
        division: [u32; 2],
        f: &mut impl FnMut(&mut Self, [Shims; 2]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let (base, step, drawer) = (self.base, self.step, self.drawer);
        let nm = |range: Range, base: i64| (base + range.0 * step, base + range.1 * step);
        let [plates_left, plates_right] = [nm(extent.left, base[0]), nm(extent.right, base[1])];
        let plates_both = nm(extent.both, base[0] + base[1]);
        let shims = division[0] + division[1];
        let Some(region) = self.region(shims) else {
            return ControlFlow::Continue(());
        };
        let lefts = (
            region.heights[0].0 - plates_left.1,
            region.heights[0].1 - plates_left.0,
        );
        for left in between(drawer.heights(division[0]), lefts) {
            let Some(region) = self.region(shims) else { break };
            let x = meet(less(region.heights[0], *left), plates_left);
            if x.0 > x.1 {
                continue;
            }
            let y = region.heights[1];
            let by_height = (y.0 - plates_right.1, y.1 - plates_right.0);
            let by_both = (
                region.both.0 - left - plates_both.1,
                region.both.1 - left - plates_both.0,
            );
            let by_apart = (
                x.0 + left - plates_right.1 - region.apart.1,
                x.1 + left - plates_right.0 - region.apart.0,
            );
            for right in between(
                drawer.heights(division[1]),
                meet(by_height, meet(by_both, by_apart)),
            ) {
                f(self, [(division[0], *left), (division[1], *right)])?;
            }
        }
        ControlFlow::Continue(())
    }

    /// What lies below the plates on each side.
    pub fn lift(&self, sides: [Shims; 2]) -> [i64; 2] {
        [sides[0].1 + self.base[0], sides[1].1 + self.base[1]]
    }

    /// What a region leaves for plates of a box on top of the lift.
    pub fn left(&self, region: &Region, lift: [i64; 2], extent: Extent) -> Left {
        let x = steps(less(region.heights[0], lift[0]), self.step);
        let y = steps(less(region.heights[1], lift[1]), self.step);
        let t = steps(less(region.both, lift[0] + lift[1]), self.step);
        Left {
            x: meet(x, extent.left),
            y: meet(y, extent.right),
            t: meet(t, extent.both),
        }
    }

    /// The left heights of plates that a row has in a region.
    pub fn row(&self, region: &Region, lift: [i64; 2], left: &Left, both: i64) -> Range {
        // left less right of the plates is twice the left less both
        let apart = less(region.apart, lift[0] - lift[1] - both * self.step);
        let from_apart = steps(apart, 2 * self.step);
        meet(meet(left.x, (both - left.y.1, both - left.y.0)), from_apart)
    }

    /// What plates make at a place on top of the lift, where it is still wanted and deviates by more than `done`.
    pub fn made(&self, shims: u32, lift: [i64; 2], left: i64, both: i64, done: i64) -> Option<Made> {
        let heights = [lift[0] + left * self.step, lift[1] + (both - left) * self.step];
        let weighed = self.frame.weigh(heights);
        if weighed.deviation <= done {
            return None;
        }
        let key = self.frame.key(shims + self.got, &weighed);
        let is_known = self.wanted.after.is_some_and(|after| key <= after)
            || self.last().is_some_and(|last| key >= last)
            || self.keys.contains(&key);
        (!is_known).then_some(Made { key, heights })
    }

    /// Takes a key in; enough then, where one at all is.
    pub fn take(&mut self, made: Made) -> ControlFlow<()> {
        self.taken = Some(made.heights);
        self.keys.insert(made.key);
        if self.keys.len() > self.wanted.count {
            self.keys.pop_last();
        }
        if self.wanted.any {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

/// The whole numbers of a range from its middle outwards.
pub(super) fn from_the_middle(range: Range) -> impl Iterator<Item = i64> {
    let middle = range.0 + (range.1 - range.0) / 2;
    (0..=(range.1 - range.0)).map(move |index| {
        if index % 2 == 0 {
            middle - index / 2
        } else {
            middle + index / 2 + 1
        }
    })
}
