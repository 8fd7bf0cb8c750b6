use super::planes::Plane;
use super::ranking::{Frame, Key, Range, Region, Slack, between, less, meet, steps};
use super::shims::{Drawer, Shims};
use std::collections::BTreeSet;
use std::ops::ControlFlow;

/// A walk over heights of shims and plates that gathers the smallest keys.
pub(super) struct Sweep<'a> {
    pub frame: &'a Frame,
    pub drawer: &'a Drawer,
    /// The greatest common step of the plates' thicknesses, nm.
    pub step: i64,
    /// Plates of each side with every free one as thin as the thinnest, nm.
    pub base: [i64; 2],
    pub plates: &'a Plane,
    pub slack: Slack,
    pub after: Option<Key>,
    pub wanted: usize,
    pub any: bool,
    pub keys: BTreeSet<Key>,
}

impl Sweep<'_> {
    /// The key that a new one has to come before, once there are enough.
    pub fn last(&self) -> Option<Key> {
        if self.keys.len() < self.wanted {
            None
        } else {
            self.keys.last().copied()
        }
    }

    fn region(&self, shims: u32) -> Region {
        let frame = self.frame;
        let deviation = self
            .last()
            .map_or(i64::MAX, |last| frame.deviation_before(last, shims));
        frame.region(self.slack, deviation)
    }

    pub fn divide(&mut self, division: [u32; 2]) -> ControlFlow<()> {
        let (base, step, drawer) = (self.base, self.step, self.drawer);
        let extent = self.plates.extent();
        let nm = |range: Range, base: i64| (base + range.0 * step, base + range.1 * step);
        let [plates_left, plates_right] = [nm(extent.left, base[0]), nm(extent.right, base[1])];
        let plates_both = nm(extent.both, base[0] + base[1]);
        let shims = division[0] + division[1];
        for left in drawer.heights(division[0]) {
            let region = self.region(shims);
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
                self.pair([(division[0], *left), (division[1], *right)])?;
            }
        }
        ControlFlow::Continue(())
    }

    /// Gathers the keys of one pair of shim heights, from the middle of the region outwards.
    fn pair(&mut self, sides: [Shims; 2]) -> ControlFlow<()> {
        let (base, step) = (self.base, self.step);
        let (frame, drawer) = (self.frame, self.drawer);
        let shims = sides[0].0 + sides[1].0;
        let lift = [sides[0].1 + base[0], sides[1].1 + base[1]];
        let extent = self.plates.extent();
        // what the region leaves for the plates, in steps above their base
        let limits = |region: &Region| {
            let x = steps(less(region.heights[0], lift[0]), step);
            let y = steps(less(region.heights[1], lift[1]), step);
            let t = steps(less(region.both, lift[0] + lift[1]), step);
            (meet(x, extent.left), meet(y, extent.right), meet(t, extent.both))
        };
        let mut region = self.region(shims);
        let (mut x, mut y, mut t) = limits(&region);
        let span = meet(t, (x.0 + y.0, x.1 + y.1));
        let mut possible = None;
        let middle = span.0 + (span.1 - span.0) / 2;
        for index in 0..=(span.1 - span.0) {
            let both = if index % 2 == 0 {
                middle - index / 2
            } else {
                middle + index / 2 + 1
            };
            if !(t.0..=t.1).contains(&both) {
                continue;
            }
            // left less right of the plates is twice the left less both
            let apart = less(region.apart, lift[0] - lift[1] - both * step);
            let from_apart = steps(apart, 2 * step);
            let range = meet(meet(x, (both - y.1, both - y.0)), from_apart);
            let mut gained = false;
            let _ = self.plates.points_in_row(both, range.0, range.1, &mut |left| {
                let heights = [lift[0] + left * step, lift[1] + (both - left) * step];
                let key = frame.key(shims, &frame.weigh(heights));
                let known = self.after.is_some_and(|after| key <= after)
                    || (self.keys.len() == self.wanted && self.keys.last().is_some_and(|last| key >= *last))
                    || self.keys.contains(&key);
                if known {
                    return ControlFlow::Continue(());
                }
                if !*possible.get_or_insert_with(|| drawer.both_possible(sides[0], sides[1])) {
                    return ControlFlow::Break(());
                }
                self.keys.insert(key);
                if self.keys.len() > self.wanted {
                    self.keys.pop_last();
                }
                gained = true;
                if self.any {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                }
            });
            if possible == Some(false) {
                return ControlFlow::Continue(());
            }
            if gained && self.any {
                return ControlFlow::Break(());
            }
            if gained {
                region = self.region(shims);
                (x, y, t) = limits(&region);
            }
        }
        ControlFlow::Continue(())
    }
}
