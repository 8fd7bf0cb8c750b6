//! The walk over plates that are known as pairs of groups: whole regions are excluded by one look.

use super::groups::Set;
use super::pairs::{Pair, Pairs};
use super::planes::{Extent, Footprint};
use super::ranking::{Range, Region, less, meet, steps};
use super::shims::Shims;
use super::stacks::Stacks;
use super::sweep::{Left, Sweep, from_the_middle};
use std::ops::{ControlFlow, RangeInclusive};
use std::rc::Rc;

/// Plates of both keyings, group by group.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    pub gear: &'a Stacks,
    pub case: &'a Stacks,
    pub sets: &'a [Rc<Pairs>],
}

/// How many of the likeliest pairs are looked at first, at the best heights that there can be.
const LIKELIEST: usize = 24;

/// So many sums are always few.
const FEW_SUMS: u64 = 1_000;

/// The least deviation of a pair is looked for until it is known to so many common steps.
const FINE: i64 = 4;

/// A pair of groups, and the list that it stands in.
pub(super) type Near<'a> = (&'a Pairs, &'a Pair);

/// A pair with the pair of shim heights that brings its middle nearest to where it should be.
struct Scored<'a> {
    score: f64,
    set: &'a Pairs,
    pair: &'a Pair,
    sides: [Shims; 2],
}

/// Where a footprint of `places` begins that holds what a range and the plates have in common.
fn start(range: Range, plates: Range, places: i64) -> i64 {
    if range.0 >= plates.0 {
        range.0
    } else {
        range.1.min(plates.1) - places + 1
    }
}

fn width(range: Range) -> i64 {
    range.1 - range.0
}

impl Sweep<'_> {
    /// The pairs that shims from the drawer, so many on each side, may bring into what is wanted.
    pub fn reached<'b>(&mut self, ground: Ground<'b>, counts: [&RangeInclusive<u32>; 2]) -> Vec<Near<'b>> {
        let ends = counts.map(|counts| {
            let heights = counts.clone().map(|shims| self.drawer.heights(shims));
            let ends = heights.filter_map(|heights| Some((*heights.first()?, *heights.last()?)));
            ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        });
        let ([Some(lefts), Some(rights)], Some(region)) = (ends, self.region(0)) else {
            return Vec::new();
        };
        let mut near = Vec::new();
        for set in ground.sets {
            let pairs = set.pairs.iter();
            let pairs = pairs.filter(|pair| self.reaches(&region, pair.extent, [lefts, rights]));
            near.extend(pairs.map(|pair| (&**set, pair)));
        }
        near
    }

    /// Whether plates of a box come into the region on shims of these heights.
    fn reaches(&self, region: &Region, extent: Extent, shims: [Range; 2]) -> bool {
        let [left, right] = self.base;
        let reaches = |range: Range, base: i64, plates: Range, shims: Range| {
            base + plates.0 * self.step + shims.0 <= range.1
                && base + plates.1 * self.step + shims.1 >= range.0
        };
        let both = (shims[0].0 + shims[1].0, shims[0].1 + shims[1].1);
        reaches(region.heights[0], left, extent.left, shims[0])
            && reaches(region.heights[1], right, extent.right, shims[1])
            && reaches(region.both, left + right, extent.both, both)
    }

    /// Gathers the keys of so many shims.
    pub fn pairs(
        &mut self,
        ground: Ground,
        near: &[Near],
        shims: u32,
        divisions: &[[u32; 2]],
    ) -> ControlFlow<()> {
        let scored = self.scored(near, shims, divisions);
        if self.wanted.after.is_none() {
            self.probe(ground, shims, &scored)?;
        }
        for Scored { set, pair, .. } in scored {
            if self.is_done(shims) {
                break;
            }
            for division in divisions {
                self.divide(pair.extent, *division, &mut |sweep, sides| {
                    sweep.pair(ground, set, pair, sides)
                })?;
            }
        }
        ControlFlow::Continue(())
    }

    /// The pairs that so many shims may bring into the region, likeliest first. The order decides what is found first,
    /// and nothing else.
    fn scored<'b>(&mut self, near: &[Near<'b>], shims: u32, divisions: &[[u32; 2]]) -> Vec<Scored<'b>> {
        let Some(region) = self.region(shims) else {
            return Vec::new();
        };
        let (base, step, drawer) = (self.base, self.step, self.drawer);
        let aims = [0, 1].map(|side: usize| {
            let heights = region.heights[side];
            heights.0 + width(heights) / 2 - base[side]
        });
        let divisions: Vec<_> = divisions
            .iter()
            .filter_map(|division| {
                let heights = division.map(|shims| drawer.heights(shims));
                let ends = heights.map(|heights| Some((*heights.first()?, *heights.last()?)));
                let [Some(lefts), Some(rights)] = ends else {
                    return None;
                };
                Some((*division, heights, [lefts, rights]))
            })
            .collect();
        let mut scored = Vec::new();
        for (set, pair) in near {
            let Extent { left, right, .. } = pair.extent;
            let mut best: Option<Scored> = None;
            for (division, heights, ends) in &divisions {
                if !self.reaches(&region, pair.extent, *ends) {
                    continue;
                }
                let mut score = pair.weight;
                let mut sides = [(0, 0); 2];
                for (side, range) in [left, right].into_iter().enumerate() {
                    let wanted = aims[side] - (range.0 + range.1) * step / 2;
                    let height = nearest(heights[side], wanted);
                    let off = (height - wanted) as f64;
                    let spread = (width(range) * step) as f64 / 5.0 + step as f64;
                    score -= (off / spread).powi(2) / 2.0;
                    sides[side] = (division[side], height);
                }
                if best.as_ref().is_none_or(|best| score > best.score) {
                    best = Some(Scored {
                        score,
                        set,
                        pair,
                        sides,
                    });
                }
            }
            scored.extend(best);
        }
        scored.sort_by(|a, b| b.score.total_cmp(&a.score));
        scored
    }

    /// Looks whether one of the likeliest pairs has a key that nothing can be under.
    fn probe(&mut self, ground: Ground, shims: u32, scored: &[Scored]) -> ControlFlow<()> {
        let (floor, points) = self.frame.floor(shims + self.got, &self.lattice);
        for Scored { set, pair, sides, .. } in scored.iter().take(LIKELIEST) {
            if self.last().is_some_and(|last| floor >= last) {
                break;
            }
            let lift = self.lift(*sides);
            for point in &points {
                let [left, right] = [point[0] - lift[0], point[1] - lift[1]];
                if left % self.step != 0
                    || right % self.step != 0
                    || !self.frame.admits(*point, self.wanted.slack)
                {
                    continue;
                }
                let (left, both) = (left / self.step, (left + right) / self.step);
                if pair.extent.holds(left, both)
                    && let Some(made) = self.made(shims, lift, left, both, -1)
                    && ground.makes(set, pair, left, both)
                    && self.drawer.both_possible(sides[0], sides[1])
                {
                    self.take(made)?;
                }
            }
        }
        ControlFlow::Continue(())
    }

    /// Gathers the keys of one pair of groups on one pair of shim heights, from small deviations to great ones.
    fn pair(&mut self, ground: Ground, set: &Pairs, pair: &Pair, sides: [Shims; 2]) -> ControlFlow<()> {
        let shims = sides[0].0 + sides[1].0;
        let lift = self.lift(sides);
        if ground.is_sparse(set, pair) {
            let Some(region) = self.region(shims) else {
                return ControlFlow::Continue(());
            };
            return self.sums(ground, set, pair, &region, sides);
        }
        // all up to this deviation have been looked at
        let mut done = -1;
        let mut is_near = false;
        let mut possible = None;
        while let Some(region) = self.region(shims) {
            if !self.meeting(ground, set, pair, &region, lift) {
                break;
            }
            if !*possible.get_or_insert_with(|| self.drawer.both_possible(sides[0], sides[1])) {
                break;
            }
            let within = |sweep: &Self, deviation: i64| {
                region
                    .met(&sweep.frame.region(sweep.wanted.slack, deviation))
                    .closed()
            };
            let meets = |sweep: &Self, deviation: i64| {
                let region = within(sweep, deviation);
                !region.is_empty() && sweep.meeting(ground, set, pair, &region, lift)
            };
            let step = self.lattice.step;
            let most = self.frame.greatest_deviation(&region);
            let mut reach = if done < 0 { 0 } else { 4 * done + step };
            if !is_near {
                while reach < most && !meets(self, reach) {
                    done = reach;
                    reach = 4 * reach + step;
                }
                // one at all need not be near
                while !self.wanted.any && reach.min(most) - done > FINE * step {
                    let half = done + (reach.min(most) - done) / 2;
                    if meets(self, half) {
                        reach = half;
                    } else {
                        done = half;
                    }
                }
                // from here on what was looked at would be found again
                is_near = true;
            }
            reach = reach.min(most);
            self.points(ground, set, pair, &within(self, reach), done, sides)?;
            if reach >= most {
                break;
            }
            done = reach;
        }
        ControlFlow::Continue(())
    }

    /// Whether the pair makes heights in the region, or just beside it.
    fn meeting(&self, ground: Ground, set: &Pairs, pair: &Pair, region: &Region, lift: [i64; 2]) -> bool {
        let Left { x, y, t } = self.left(region, lift, pair.extent);
        // each narrowed by the others
        let x = (x.0.max(t.0 - y.1), x.1.min(t.1 - y.0));
        let t = (t.0.max(x.0 + y.0), t.1.min(x.1 + y.1));
        if (Left { x, y, t }).is_empty() {
            return false;
        }
        let footprint_of = |range: Range, widest: i64| (width(range) / self.step).min(widest) + 1;
        let widest = set.widest;
        let across = footprint_of(region.heights[0], width(widest.left));
        let by_right = footprint_of(region.heights[1], width(widest.right));
        let by_both = footprint_of(region.both, width(widest.both));
        let by_apart = footprint_of(region.apart, i64::MAX - 1);
        let along = by_right.min(by_both).min(by_apart);
        let steps_of = |range: Range, lift: i64| steps(less(range, lift), self.step);
        let left = start(steps_of(region.heights[0], lift[0]), pair.extent.left, across);
        let (slant, both) = if along == by_apart {
            let apart = steps_of(region.apart, lift[0] - lift[1]);
            (2, 2 * left - apart.1)
        } else if along == by_both {
            let range = steps_of(region.both, lift[0] + lift[1]);
            (0, start(range, pair.extent.both, along))
        } else {
            let range = steps_of(region.heights[1], lift[1]);
            (1, left + start(range, pair.extent.right, along))
        };
        let footprint = Footprint { across, along, slant };
        let (gear, case) = ground.sets_of(set, pair);
        if across * along == 1 {
            gear.plane.meets(&gear.rows, case.negated(), left, both)
        } else {
            let spread = set.spread(pair.case, case, footprint);
            gear.plane.meets(&gear.rows, &spread, left, both)
        }
    }

    /// Gathers the keys of the points of a region that deviate by more than `done`.
    fn points(
        &mut self,
        ground: Ground,
        set: &Pairs,
        pair: &Pair,
        region: &Region,
        done: i64,
        sides: [Shims; 2],
    ) -> ControlFlow<()> {
        let shims = sides[0].0 + sides[1].0;
        let lift = self.lift(sides);
        let (gear, case) = ground.sets_of(set, pair);
        let left = self.left(region, lift, pair.extent);
        let span = meet(left.t, (left.x.0 + left.y.0, left.x.1 + left.y.1));
        for both in from_the_middle(span) {
            for x in from_the_middle(self.row(region, lift, &left, both)) {
                if let Some(made) = self.made(shims, lift, x, both, done)
                    && gear.plane.meets(&gear.rows, case.negated(), x, both)
                {
                    self.take(made)?;
                }
            }
        }
        ControlFlow::Continue(())
    }
}

impl Sweep<'_> {
    /// Gathers the keys of a pair that has few points, each laid on each.
    fn sums(
        &mut self,
        ground: Ground,
        set: &Pairs,
        pair: &Pair,
        region: &Region,
        sides: [Shims; 2],
    ) -> ControlFlow<()> {
        let shims = sides[0].0 + sides[1].0;
        let lift = self.lift(sides);
        let (gear, case) = ground.sets_of(set, pair);
        let left = self.left(region, lift, pair.extent);
        let mut possible = None;
        let drawer = self.drawer;
        gear.each_point(&mut |x, t| {
            case.rows.iter().try_for_each(|u| {
                let both = t + u;
                if !(left.t.0..=left.t.1).contains(&both) {
                    return ControlFlow::Continue(());
                }
                let range = self.row(region, lift, &left, both);
                case.plane
                    .points_in_row(*u, range.0 - x, range.1 - x, &mut |y| match self.made(
                        shims,
                        lift,
                        x + y,
                        both,
                        -1,
                    ) {
                        Some(made)
                            if *possible.get_or_insert_with(|| drawer.both_possible(sides[0], sides[1])) =>
                        {
                            self.take(made)
                        }
                        _ => ControlFlow::Continue(()),
                    })
            })
        })
    }
}

impl Ground<'_> {
    /// Whether the points of a pair are so few that to lay each on each is less work than to spread one of the sets.
    fn is_sparse(&self, set: &Pairs, pair: &Pair) -> bool {
        let (gear, case) = self.sets_of(set, pair);
        gear.count.saturating_mul(case.count) <= FEW_SUMS + pair.extent.bits() / 64
    }

    /// The friction plates and the case plates of a pair.
    pub fn sets_of<'b>(&self, set: &'b Pairs, pair: &Pair) -> (&'b Set, &'b Set) {
        (
            set.gear[pair.gear].set(&self.gear.clusters),
            set.case[pair.case].set(&self.case.clusters),
        )
    }

    /// Whether the pair makes the point.
    fn makes(&self, set: &Pairs, pair: &Pair, left: i64, both: i64) -> bool {
        let (gear, case) = self.sets_of(set, pair);
        gear.plane.meets(&gear.rows, case.negated(), left, both)
    }

    /// Whether any pair makes the point: those are asked first that are built already, then the likeliest.
    pub fn contains(&self, left: i64, both: i64) -> bool {
        let mut unbuilt = Vec::new();
        for set in self.sets {
            for pair in set.at(left, both) {
                if !set.gear[pair.gear].is_built() || !set.case[pair.case].is_built() {
                    unbuilt.push((set, pair));
                } else if self.makes(set, pair, left, both) {
                    return true;
                }
            }
        }
        unbuilt.sort_by(|a, b| b.1.weight.total_cmp(&a.1.weight));
        unbuilt
            .into_iter()
            .any(|(set, pair)| self.makes(set, pair, left, both))
    }

    /// The box of all that they can make.
    pub fn extent(&self) -> Option<Extent> {
        self.sets
            .iter()
            .filter_map(|set| set.extent)
            .reduce(Extent::joined)
    }
}

/// The height that is nearest to one, of heights that rise.
fn nearest(heights: &[i64], wanted: i64) -> i64 {
    let above = heights.partition_point(|height| *height < wanted);
    let near = [above.checked_sub(1), Some(above)];
    near.into_iter()
        .flatten()
        .filter_map(|index| heights.get(index).copied())
        .min_by_key(|height| (height - wanted).abs())
        .unwrap_or(0)
}
