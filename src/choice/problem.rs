//! A request made ready to be searched, and the search.

use super::error::ChoiceError;
use super::evaluate::weigh;
use super::planes::{Extent, Plane};
use super::ranking::{Frame, Key, Slack, between};
use super::request::{Candidate, Choice, First, Request, SideChoice};
use super::shims::{Drawer, Shims, common};
use super::stacks::{Class, MOST_POINTS, Split, Stacks, classes};
use super::sweep::Sweep;
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::collections::BTreeSet;
use std::ops::{ControlFlow, RangeInclusive};

/// The heights of the plates of both keyings, in steps above the base of each side.
struct Point {
    left: i64,
    both: i64,
}

pub(super) struct Problem<'a> {
    pub request: &'a Request,
    pub frame: Frame,
    /// The greatest common step of the plates' thicknesses, nm.
    pub step: i64,
    /// Plates of each side with every free one as thin as the thinnest, nm.
    pub base: [i64; 2],
    gear: Stacks,
    case: Stacks,
    pub drawer: Drawer,
    /// The heights of the plates with any number of new parts.
    any: Plane,
    symmetric: bool,
    /// The side on which a shim is still to be got.
    lacks_shim: Option<usize>,
}

impl<'a> Problem<'a> {
    /// Of a request that was checked.
    pub fn new(request: &'a Request) -> Result<Problem<'a>, ChoiceError> {
        let mut base = [0; 2];
        let mut step = 0;
        let mut kinds = [Keying::Gear, Keying::Case].map(|keying| {
            let plates = request.plates(keying);
            let mut need = request.needed(keying);
            for plate in plates {
                if let Some(side) = plate.fixed {
                    base[side as usize] += plate.thickness.nm();
                    need[side as usize] -= 1;
                }
            }
            let classes = classes(plates);
            let thinnest = classes.last().map_or(0, |class| class.thickness.nm());
            for (base, need) in base.iter_mut().zip(need) {
                *base += need as i64 * thinnest;
            }
            step = classes
                .iter()
                .fold(step, |step, class| common(step, class.thickness.nm() - thinnest));
            (classes, need, thinnest)
        });
        let step = step.max(1);
        for (classes, _, thinnest) in &mut kinds {
            for class in classes {
                class.steps = (class.thickness.nm() - *thinnest) / step;
            }
        }
        let shown = Length::from_nm(step);
        let [gear, case] = kinds;
        let gear = Stacks::new(gear.0, gear.1, shown)?;
        let case = Stacks::new(case.0, case.1, shown)?;
        let mut any = Plane::origin();
        if let (Some(a), Some(b)) = (gear.any(), case.any()) {
            any = sums(&[(&a, &b)], step)?;
        }
        let no_fixed = request
            .gear
            .iter()
            .chain(&request.case)
            .all(|plate| plate.fixed.is_none());
        let frame = Frame::new(request);
        let symmetric = frame.is_symmetric() && no_fixed && request.needs[0] == request.needs[1];
        let drawer = Drawer::new(&request.shims, request.most_shims)?;
        Ok(Problem {
            request,
            frame,
            step,
            base,
            gear,
            case,
            drawer,
            any,
            symmetric,
            lacks_shim: None,
        })
    }

    /// Leaves room for one shim more on a side, or no such room.
    pub fn lacking(&mut self, lacks_shim: Option<usize>) {
        self.lacks_shim = lacks_shim;
    }

    /// Looks at the two sides as unlike, so that a choice and the same with its sides changed over are two.
    pub fn tell_sides_apart(&mut self) {
        self.symmetric = false;
    }

    /// The best choices among those that fail by no more than the slack.
    pub fn best(&self, slack: Slack, wanted: usize) -> Result<Vec<Choice>, ChoiceError> {
        let mut found = Vec::new();
        let most_new = self.gear.most_new() + self.case.most_new();
        if self.request.first == First::Reuse {
            for new in 0..=most_new {
                let pairs: Vec<(&Plane, &Plane)> = (0..=new)
                    .filter(|gear| *gear <= self.gear.most_new() && new - gear <= self.case.most_new())
                    .filter_map(|gear| Some((self.gear.plane(gear)?, self.case.plane(new - gear)?)))
                    .collect();
                if !pairs.is_empty() {
                    let plates = sums(&pairs, self.step)?;
                    self.best_of(&plates, new..=new, slack, wanted, &mut found);
                }
            }
        } else {
            self.best_of(&self.any, 0..=most_new, slack, wanted, &mut found);
        }
        Ok(found)
    }

    /// Whether anything fails by no more than the slack.
    pub fn is_possible(&self, slack: Slack) -> bool {
        !self.keys(&self.any, slack, None, 1, true).is_empty()
    }

    /// What the best admissible choice ranks, new parts apart.
    pub fn best_key(&self) -> Option<Key> {
        self.keys(&self.any, Slack::NONE, None, 1, false).first().copied()
    }

    /// Goes through the ranks, best first. One rank is most often enough, so it starts with one.
    fn best_of(
        &self,
        plates: &Plane,
        new: RangeInclusive<usize>,
        slack: Slack,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) {
        let (mut after, mut ranks) = (None, 1);
        while found.len() < wanted {
            let keys = self.keys(plates, slack, after, ranks, false);
            for key in &keys {
                if self
                    .choices_of(plates, *key, new.clone(), slack, wanted, found)
                    .is_break()
                {
                    return;
                }
            }
            if keys.len() < ranks {
                return;
            }
            after = keys.last().copied();
            ranks = (ranks * 4).min(wanted);
        }
    }

    /// The ways to divide a number of shims between the sides.
    fn divisions(&self, shims: u32) -> impl Iterator<Item = [u32; 2]> {
        let [of_left, of_right] = [0, 1].map(|side| self.shims_of(side));
        of_left.filter_map(move |left| {
            let right = shims.checked_sub(left)?;
            of_right.contains(&right).then_some([left, right])
        })
    }

    /// How many shims may lie on a side; fewer by one where one is still to be got for it.
    fn shims_of(&self, side: usize) -> RangeInclusive<u32> {
        let (least, most) = (self.request.least_shims, self.drawer.most());
        if self.lacks_shim == Some(side) {
            let limit = self.request.most_shims.saturating_sub(1);
            return least.saturating_sub(1)..=limit.min(most);
        }
        least..=most
    }

    /// The smallest keys after `after`, at most `wanted`; with `any` one that need not be the smallest.
    fn keys(
        &self,
        plates: &Plane,
        slack: Slack,
        after: Option<Key>,
        wanted: usize,
        any: bool,
    ) -> BTreeSet<Key> {
        let mut sweep = Sweep {
            frame: &self.frame,
            drawer: &self.drawer,
            base: self.base,
            step: self.step,
            plates,
            slack,
            after,
            wanted,
            any,
            keys: BTreeSet::new(),
        };
        let [left, right] = [0, 1].map(|side| self.shims_of(side));
        for shims in left.start() + right.start()..=left.end() + right.end() {
            if sweep
                .last()
                .is_some_and(|last| last < self.frame.least_key(shims))
            {
                break;
            }
            for division in self.divisions(shims) {
                if sweep.divide(division).is_break() {
                    return sweep.keys;
                }
            }
        }
        sweep.keys
    }

    fn point(&self, plates: [i64; 2]) -> Option<Point> {
        let [left, right] = [plates[0] - self.base[0], plates[1] - self.base[1]];
        (left % self.step == 0 && right % self.step == 0).then(|| Point {
            left: left / self.step,
            both: (left + right) / self.step,
        })
    }

    /// Adds the choices of one rank in their order until enough are found.
    fn choices_of(
        &self,
        plates: &Plane,
        key: Key,
        new: RangeInclusive<usize>,
        slack: Slack,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> ControlFlow<()> {
        let (shims, deviation, difference) = self.frame.parts(key);
        let mut points = self.frame.points(deviation, difference);
        points.retain(|point| {
            let weighed = self.frame.weigh(*point);
            self.frame.key(shims, &weighed) == key && self.frame.admits(*point, slack)
        });
        let extent = plates.extent();
        for new in new {
            for division in self.divisions(shims) {
                for left in self.drawer.heights(division[0]) {
                    let near: Vec<[i64; 2]> = points
                        .iter()
                        .filter(|point| {
                            let at = point[0] - left - self.base[0];
                            at % self.step == 0 && (extent.left.0..=extent.left.1).contains(&(at / self.step))
                        })
                        .copied()
                        .collect();
                    let (Some(lowest), Some(highest)) = (
                        near.iter().map(|point| point[1]).min(),
                        near.iter().map(|point| point[1]).max(),
                    ) else {
                        continue;
                    };
                    let range = (
                        lowest - self.base[1] - extent.right.1 * self.step,
                        highest - self.base[1] - extent.right.0 * self.step,
                    );
                    for right in between(self.drawer.heights(division[1]), range) {
                        for height in &near {
                            if let Some(point) = self.point([height[0] - left, height[1] - right])
                                && plates.contains(point.left, point.both)
                            {
                                let sides = [(division[0], *left), (division[1], *right)];
                                self.fill(sides, &point, new, wanted, found)?;
                            }
                        }
                    }
                }
            }
        }
        ControlFlow::Continue(())
    }

    /// Adds every choice with these heights of shims and plates and so many new parts until enough are found.
    fn fill(
        &self,
        sides: [Shims; 2],
        point: &Point,
        new: usize,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> ControlFlow<()> {
        let [left, right] = sides;
        if self
            .gear_parts(point, new, &mut |_, _, _| ControlFlow::Break(()))
            .is_continue()
        {
            return ControlFlow::Continue(());
        }
        self.drawer.each_way(left.0, left.1, &[], &mut |left_way| {
            self.drawer
                .each_way(right.0, right.1, left_way, &mut |right_way| {
                    self.gear_parts(point, new, &mut |new_gear, x, t| {
                        self.gear.each_way(new_gear, x, t, &mut |gear| {
                            let (case_x, case_t) = (point.left - x, point.both - t);
                            self.case.each_way(new - new_gear, case_x, case_t, &mut |case| {
                                let way = Way {
                                    shims: [(left, left_way), (right, right_way)],
                                    plates: [point.left, point.both - point.left],
                                    gear_heights: [x, t - x],
                                    gear,
                                    case,
                                };
                                if self.symmetric && way.comes_after_its_mirror() {
                                    return ControlFlow::Continue(());
                                }
                                found.extend(self.choice(&way));
                                if found.len() < wanted {
                                    ControlFlow::Continue(())
                                } else {
                                    ControlFlow::Break(())
                                }
                            })
                        })
                    })
                })
        })
    }

    /// Calls `f` with each number of new friction plates and each share of the friction plates in the heights.
    fn gear_parts(
        &self,
        point: &Point,
        new: usize,
        f: &mut impl FnMut(usize, i64, i64) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        for gear in new.saturating_sub(self.case.most_new())..=new.min(self.gear.most_new()) {
            if let (Some(plane), Some(mirror)) = (self.gear.plane(gear), self.case.mirror(new - gear)) {
                plane.parts_of(mirror, point.left, point.both, &mut |x, t| f(gear, x, t))?;
            }
        }
        ControlFlow::Continue(())
    }

    fn choice(&self, way: &Way) -> Option<Choice> {
        let mut sides = [SideChoice::default(), SideChoice::default()];
        let fixed = |plates: &[Candidate], side: Side| -> Vec<String> {
            let on_it = plates.iter().filter(|plate| plate.fixed == Some(side));
            on_it.map(|plate| plate.name.clone()).collect()
        };
        let picked = |classes: &[Class], splits: &[Split], side: Side, names: &mut Vec<String>| {
            for (class, split) in classes.iter().zip(splits) {
                let range = if side == Side::Left {
                    0..split.0
                } else {
                    split.0..split.0 + split.1
                };
                names.extend_from_slice(&class.names[range]);
            }
        };
        for side in Side::BOTH {
            let chosen = &mut sides[side as usize];
            chosen.gear = fixed(&self.request.gear, side);
            chosen.case = fixed(&self.request.case, side);
            picked(&self.gear.classes, way.gear, side, &mut chosen.gear);
            picked(&self.case.classes, way.case, side, &mut chosen.case);
            for (size, count) in self.drawer.sizes.iter().zip(way.shims[side as usize].1) {
                chosen.shims.extend(std::iter::repeat_n(size.0, *count as usize));
            }
        }
        weigh(self.request, sides).ok().map(|(choice, _)| choice)
    }
}

/// Sums of heights that may be laid over each other: some tenths of a second.
const MOST_SUMS: u64 = 400_000_000;

/// The sums of the points of each pair of planes.
fn sums(pairs: &[(&Plane, &Plane)], step: i64) -> Result<Plane, ChoiceError> {
    let extents = pairs.iter().map(|(a, b)| a.extent().added(b.extent()));
    let extent = extents.reduce(Extent::joined).unwrap_or(Extent::ORIGIN);
    let cost: u64 = pairs
        .iter()
        .fold(0, |cost, (a, b)| Plane::cost_of_sums(a, b).saturating_add(cost));
    for (needed, most) in [(extent.bits(), MOST_POINTS), (cost, MOST_SUMS)] {
        if needed > most {
            return Err(ChoiceError::TooLarge {
                what: "the heights that all plates can make",
                needed,
                most,
                step: Length::from_nm(step),
            });
        }
    }
    let mut plane = Plane::empty(extent);
    for (a, b) in pairs {
        plane.add_sums(a, b);
    }
    Ok(plane)
}

/// A choice before it has names.
struct Way<'a> {
    shims: [(Shims, &'a [u32]); 2],
    plates: [i64; 2],
    gear_heights: [i64; 2],
    gear: &'a [Split],
    case: &'a [Split],
}

impl Way<'_> {
    /// Whether the same with the sides changed over comes first in the fixed order.
    fn comes_after_its_mirror(&self) -> bool {
        let [(left, left_way), (right, right_way)] = self.shims;
        let swapped = |splits: &[Split]| splits.iter().map(|(l, r)| (*r, *l)).collect::<Vec<Split>>();
        left.cmp(&right)
            .then(self.plates[0].cmp(&self.plates[1]))
            .then_with(|| right_way.cmp(left_way))
            .then(self.gear_heights[0].cmp(&self.gear_heights[1]))
            .then_with(|| swapped(self.gear).as_slice().cmp(self.gear))
            .then_with(|| swapped(self.case).as_slice().cmp(self.case))
            .is_gt()
    }
}
