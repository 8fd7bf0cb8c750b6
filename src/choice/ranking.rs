//! The layout in whole nanometres: what is admissible, what it is worth, and what comes first.

use super::request::{First, Layout, Request, Window};
use crate::mechanics::Side;
use crate::metrology::{Limits, probability_inside};
use crate::quantity::Length;
use std::cmp::Ordering;

/// A closed range of nanometres.
pub(super) type Range = (i64, i64);

const ALL: Range = (-EVER, EVER);
const EVER: i64 = i64::MAX / 8;

pub(super) fn meet(a: Range, b: Range) -> Range {
    (a.0.max(b.0), a.1.min(b.1))
}

pub(super) fn less(range: Range, by: i64) -> Range {
    (range.0 - by, range.1 - by)
}

/// The whole steps that lie in a range of nanometres.
pub(super) fn steps(range: Range, step: i64) -> Range {
    (-(-range.0).div_euclid(step), range.1.div_euclid(step))
}

/// The heights that lie in a range.
pub(super) fn between(heights: &[i64], range: Range) -> &[i64] {
    let from = heights.partition_point(|height| *height < range.0);
    let to = heights.partition_point(|height| *height <= range.1);
    heights.get(from..to).unwrap_or(&[])
}

/// By how much choices may fail and still be looked at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Slack {
    /// Every closing outside its window, and the difference over its limit, by so much.
    All(i64),
    /// One side is so much too low at the most, or too high: what is still to be got for it may make it fit.
    Lacks {
        /// Which.
        side: usize,
        /// Whether it is too low; else too high.
        low: bool,
        /// By how much.
        by: i64,
    },
}

impl Slack {
    pub const NONE: Slack = Slack::All(0);
}

/// What a pair of heights (plates and shims) comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighed {
    pub closings: [i64; 2],
    pub deviation: i64,
    pub difference: i64,
    /// By how much it fails and on which side; 0 where it is admissible.
    pub short_by: i64,
    pub side: Option<Side>,
}

/// Where the heights of plates and shims must lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Region {
    pub heights: [Range; 2],
    pub both: Range,
    /// Left less right.
    pub apart: Range,
}

impl Region {
    /// The same with each range narrowed to what the others leave of it.
    pub fn closed(mut self) -> Region {
        let sum = |a: Range, b: Range| (a.0 + b.0, a.1 + b.1);
        let difference = |a: Range, b: Range| (a.0 - b.1, a.1 - b.0);
        for _ in 0..2 {
            let [left, right] = self.heights;
            self.both = meet(self.both, sum(left, right));
            self.apart = meet(self.apart, difference(left, right));
            let left = meet(left, steps(sum(self.both, self.apart), 2));
            let right = meet(right, steps(difference(self.both, self.apart), 2));
            self.heights = [left, right];
        }
        self
    }

    /// What lies in both.
    pub fn met(&self, other: &Region) -> Region {
        Region {
            heights: [0, 1].map(|side| meet(self.heights[side], other.heights[side])),
            both: meet(self.both, other.both),
            apart: meet(self.apart, other.apart),
        }
    }

    /// Whether no heights lie in it.
    pub fn is_empty(&self) -> bool {
        let [left, right] = self.heights;
        [left, right, self.both, self.apart]
            .iter()
            .any(|range| range.0 > range.1)
    }
}

/// What a choice is ranked by before new parts and the fixed order: smallest first.
pub(super) type Key = [i64; 4];

#[derive(Clone, Copy)]
pub(super) struct Frame {
    through: bool,
    rooms: [i64; 2],
    offsets: [i64; 2],
    windows: [Window; 2],
    guard: i64,
    match_within: Option<i64>,
    uncertainty: f64,
    first: First,
    /// The grade that no choice betters.
    surest: i64,
}

/// Heights of a side lie on a common step of plates and shims, counted from a base.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lattice {
    pub base: [i64; 2],
    pub step: i64,
}

impl Lattice {
    /// The heights of the lattice next to one, below and above, where one lies on it twice the same.
    fn beside(&self, base: i64, height: i64) -> [i64; 2] {
        let off = (height - base).rem_euclid(self.step);
        [height - off, height - off + if off == 0 { 0 } else { self.step }]
    }
}

/// How far a length is from a multiple of a step.
fn distance(length: i64, step: i64) -> i64 {
    let off = length.rem_euclid(step);
    off.min(step - off)
}

impl Frame {
    pub fn new(request: &Request) -> Frame {
        let (through, rooms, offsets, windows, match_within) = match &request.layout {
            Layout::PerSide {
                rooms,
                windows,
                match_within,
            } => (false, *rooms, [Length::ZERO; 2], *windows, *match_within),
            Layout::Through {
                room,
                offsets,
                window,
                match_within,
            } => (true, [*room; 2], *offsets, [*window; 2], Some(*match_within)),
        };
        let mut frame = Frame {
            through,
            rooms: rooms.map(Length::nm),
            offsets: offsets.map(Length::nm),
            windows,
            guard: request.guard.nm(),
            match_within: match_within.map(Length::nm),
            uncertainty: request.uncertainty,
            first: request.first,
            surest: 0,
        };
        frame.surest = frame.surest_possible();
        frame
    }

    /// The window of a side with the guard taken off.
    pub fn guarded(&self, side: usize) -> Range {
        let window = self.windows[side];
        (window.least.nm() + self.guard, window.most.nm() - self.guard)
    }

    pub fn target(&self, side: usize) -> i64 {
        self.windows[side].target.nm()
    }

    pub fn is_through(&self) -> bool {
        self.through
    }

    pub fn match_within(&self) -> Option<i64> {
        self.match_within
    }

    /// Whether the two sides may be changed over, as far as the rooms go.
    pub fn is_symmetric(&self) -> bool {
        self.rooms[0] == self.rooms[1]
            && self.offsets[0] == self.offsets[1]
            && self.windows[0] == self.windows[1]
    }

    /// Plates and shims of a side with its offset.
    pub fn height(&self, side: usize, stack: i64) -> i64 {
        stack + self.offsets[side]
    }

    pub fn weigh(&self, heights: [i64; 2]) -> Weighed {
        let closings = if self.through {
            [self.rooms[0] - heights[0] - heights[1]; 2]
        } else {
            [self.rooms[0] - heights[0], self.rooms[1] - heights[1]]
        };
        let difference = if self.through {
            (self.height(0, heights[0]) - self.height(1, heights[1])).abs()
        } else {
            (closings[0] - closings[1]).abs()
        };
        let off = |side: usize| (closings[side] - self.target(side)).abs();
        let outside = |side: usize| {
            let (least, most) = self.guarded(side);
            (least - closings[side]).max(closings[side] - most).max(0)
        };
        let mut short_by = 0;
        let mut side = None;
        for (index, name) in Side::BOTH.into_iter().enumerate() {
            if outside(index) > short_by {
                short_by = outside(index);
                side = (!self.through).then_some(name);
            }
        }
        if let Some(limit) = self.match_within
            && difference - limit > short_by
        {
            short_by = difference - limit;
            side = None;
        }
        Weighed {
            closings,
            deviation: off(0).max(off(1)),
            difference,
            short_by,
            side,
        }
    }

    /// The heights of a side at which its closing lies in its window; in a through unit of both sides together.
    fn filled(&self, side: usize) -> Range {
        let (least, most) = self.guarded(side);
        (self.rooms[side] - most, self.rooms[side] - least)
    }

    /// Where left less right must lie for the sides to match.
    fn apart(&self) -> Range {
        let level = if self.through {
            self.offsets[1] - self.offsets[0]
        } else {
            self.rooms[0] - self.rooms[1]
        };
        self.match_within
            .map_or(ALL, |limit| (level - limit, level + limit))
    }

    /// Where heights fail by at most `slack` and deviate by at most `deviation`.
    pub fn region(&self, slack: Slack, deviation: i64) -> Region {
        let wider = |range: Range, low: i64, high: i64| (range.0 - low, range.1 + high);
        let mut filled = [self.filled(0), self.filled(1)];
        let mut apart = self.apart();
        let mut heights = [ALL; 2];
        match slack {
            Slack::All(by) => {
                filled = filled.map(|range| wider(range, by, by));
                apart = wider(apart, by, by);
            }
            Slack::Lacks { side, low, by } => {
                let (under, over) = if low { (by, 0) } else { (0, by) };
                let which = if self.through { 0 } else { side };
                filled[which] = wider(filled[which], under, over);
                // left less right is less where the left is too low, and more where the right is
                let (less, more) = if side == 0 { (under, over) } else { (over, under) };
                apart = wider(apart, less, more);
                heights[1 - side] = self.leaves_a_place(side);
            }
        }
        // what is allowed as deviation counts from the target
        filled = [0, 1].map(|side| meet(filled[side], self.about_target(side, deviation)));
        if self.through {
            Region {
                heights,
                both: filled[0],
                apart,
            }
        } else {
            Region {
                heights: [0, 1].map(|side| meet(heights[side], filled[side])),
                both: ALL,
                apart,
            }
        }
    }

    /// No heights of a region that is closed deviate by more.
    pub fn greatest_deviation(&self, region: &Region) -> i64 {
        let off = |range: Range, side: usize| {
            let height = self.rooms[side] - self.target(side);
            (range.0 - height).abs().max((range.1 - height).abs())
        };
        if self.through {
            off(region.both, 0)
        } else {
            off(region.heights[0], 0).max(off(region.heights[1], 1))
        }
    }

    fn about_target(&self, side: usize, deviation: i64) -> Range {
        let height = self.rooms[side] - self.target(side);
        let deviation = deviation.min(EVER);
        (height - deviation, height + deviation)
    }

    /// The heights of the other side at which some height of `side` is admissible.
    fn leaves_a_place(&self, side: usize) -> Range {
        let (filled, apart) = (self.filled(side), self.apart());
        if apart == ALL {
            return ALL;
        }
        // as heights of the side less those of the other
        let apart = if side == 0 { apart } else { (-apart.1, -apart.0) };
        if self.through {
            // the side lies in filled − other and in apart + other
            let twice = (filled.0 - apart.1, filled.1 - apart.0);
            steps(twice, 2)
        } else {
            (filled.0 - apart.1, filled.1 - apart.0)
        }
    }

    /// The heights of `side` that are admissible where the other side has this height; the first more than the last where
    /// none is.
    pub fn place(&self, side: usize, other: i64) -> Range {
        let apart = self.apart();
        let apart = if side == 0 { apart } else { (-apart.1, -apart.0) };
        let beside = (apart.0 + other, apart.1 + other);
        let filled = self.filled(side);
        if self.through {
            return meet(less(filled, other), beside);
        }
        let of_other = self.filled(1 - side);
        if (of_other.0..=of_other.1).contains(&other) {
            meet(filled, beside)
        } else {
            (1, 0)
        }
    }

    /// The height of `side` at its target, where the other side has this height.
    pub fn aim(&self, side: usize, other: i64) -> i64 {
        let height = self.rooms[side] - self.target(side);
        if self.through { height - other } else { height }
    }

    /// Whether heights fail by no more than the slack.
    pub fn admits(&self, heights: [i64; 2], slack: Slack) -> bool {
        let within = |range: Range, value: i64| (range.0..=range.1).contains(&value);
        let region = self.region(slack, EVER);
        within(region.heights[0], heights[0])
            && within(region.heights[1], heights[1])
            && within(region.both, heights[0] + heights[1])
            && within(region.apart, heights[0] - heights[1])
    }

    /// Probability that every closing lies in its window.
    pub fn probability(&self, closings: [i64; 2]) -> f64 {
        self.probability_at(closings.map(|closing| closing as f64 / 1e3))
    }

    fn probability_at(&self, closings: [f64; 2]) -> f64 {
        let first = self.probability_of(0, closings[0]);
        if self.through {
            first
        } else {
            first * self.probability_of(1, closings[1])
        }
    }

    fn probability_of(&self, side: usize, closing: f64) -> f64 {
        let Window { least, most, .. } = self.windows[side];
        Limits::new(Some(least.um()), Some(most.um()))
            .and_then(|limits| probability_inside(closing, self.uncertainty, &limits))
            // windows and uncertainty were checked, so this is not reached
            .unwrap_or(0.0)
    }

    /// What the probability counts for in the ranking: tenths of a percent; or whole ones as they are shown, all from 99
    /// up alike; or nothing.
    fn graded(&self, probability: f64) -> i64 {
        match self.first {
            First::Surest => (probability * 1e3).round() as i64,
            First::LeastChange => (probability * 1e2).floor().min(99.0) as i64,
            First::Fewest | First::Closest | First::Reuse => 0,
        }
    }

    /// The grade that no closing can better: that of the middle of the windows.
    fn surest_possible(&self) -> i64 {
        // a little above, so that rounding in the last digits can not put a choice over it
        self.graded(self.highest(0) * if self.through { 1.0 } else { self.highest(1) } + 1e-9)
    }

    /// The probability of one side alone in the middle of its window.
    fn highest(&self, side: usize) -> f64 {
        let Window { least, most, .. } = self.windows[side];
        self.probability_of(side, (least.um() + most.um()) / 2.0)
    }

    /// Where a closing must lie for a grade, at the least: the other side's is then as good as can be.
    fn closings_of(&self, side: usize, grade: i64) -> Range {
        let others = if self.through { 1.0 } else { self.highest(1 - side) };
        // a little below, for the same reason
        let enough = |probability: f64| self.graded(probability * others + 1e-9) >= grade;
        let Window { least, most, .. } = self.windows[side];
        let middle = (least.nm() + most.nm()).div_euclid(2);
        let at = |off: i64| self.probability_of(side, (middle + off) as f64 / 1e3);
        // it falls to both sides of the middle
        let (mut inside, mut outside) = (0, 1);
        while enough(at(outside)) || enough(at(-outside)) {
            (inside, outside) = (outside, outside * 2);
            if outside > EVER / 4 {
                return ALL;
            }
        }
        while inside + 1 < outside {
            let half = inside + (outside - inside) / 2;
            if enough(at(half)) || enough(at(-half)) {
                inside = half;
            } else {
                outside = half;
            }
        }
        // the middle is half a nanometre off at the most
        (middle - outside, middle + outside)
    }

    /// What a choice of so many shims is ranked by.
    pub fn key(&self, shims: u32, weighed: &Weighed) -> Key {
        let (shims, deviation, difference) = (i64::from(shims), weighed.deviation, weighed.difference);
        match self.first {
            First::Fewest | First::Reuse => [shims, deviation, difference, 0],
            First::Closest => [deviation, shims, difference, 0],
            First::Surest | First::LeastChange => [
                -self.graded(self.probability(weighed.closings)),
                shims,
                deviation,
                difference,
            ],
        }
    }

    /// The grade of a key, counted so that less is better.
    pub fn grade(key: Key) -> i64 {
        key[0]
    }

    /// The first key that is worse in grade.
    pub fn worse_in_grade(grade: i64) -> Key {
        [grade + 1, i64::MIN, i64::MIN, i64::MIN]
    }

    /// A key that no choice of so many shims can be under, and heights that have it, if any has.
    pub fn floor(&self, shims: u32, lattice: &Lattice) -> (Key, Vec<[i64; 2]>) {
        let mut points: Vec<[i64; 2]> = Vec::with_capacity(4);
        if self.through {
            let both = self.rooms[0] - self.target(0);
            for both in lattice.beside(lattice.base[0] + lattice.base[1], both) {
                let right = (both + self.offsets[0] - self.offsets[1]).div_euclid(2);
                let [below, above] = lattice.beside(lattice.base[1], right);
                points.extend([below, above, below + lattice.step].map(|right| [both - right, right]));
            }
        } else {
            let [left, right] =
                [0, 1].map(|side| lattice.beside(lattice.base[side], self.rooms[side] - self.target(side)));
            points.extend(left.into_iter().flat_map(|left| right.map(|right| [left, right])));
        }
        let keyed = |point: &[i64; 2]| {
            let weighed = self.weigh(*point);
            let key = self.key(shims, &weighed);
            ([weighed.deviation, weighed.difference], key)
        };
        let Some((nearest, key)) = points.iter().map(keyed).min() else {
            return (self.least_key(shims), points);
        };
        if self.by_grade() && Self::grade(key) != -self.surest {
            return (self.least_key(shims), Vec::new());
        }
        points.retain(|point| keyed(point).0 == nearest);
        points.dedup();
        (key, points)
    }

    fn by_grade(&self) -> bool {
        matches!(self.first, First::Surest | First::LeastChange)
    }

    fn least_key(&self, shims: u32) -> Key {
        let shims = i64::from(shims);
        match self.first {
            First::Fewest | First::Reuse => [shims, 0, 0, 0],
            First::Closest => [0, shims, 0, 0],
            First::Surest | First::LeastChange => [-self.surest, shims, 0, 0],
        }
    }

    /// The least difference that heights of the lattice have at a deviation, or less.
    fn least_difference(&self, deviation: i64, lattice: &Lattice) -> i64 {
        let Lattice { base, step } = *lattice;
        if self.through {
            let both = [-deviation, deviation].map(|off| self.rooms[0] - self.target(0) - off);
            return both
                .into_iter()
                .filter(|both| (both - base[0] - base[1]) % step == 0)
                .map(|both| distance(both - 2 * base[1] + self.offsets[0] - self.offsets[1], 2 * step))
                .min()
                .unwrap_or(0);
        }
        let apart = (self.target(0) - self.target(1)).abs();
        distance(self.rooms[0] - self.rooms[1] - base[0] + base[1], step).max(apart - 2 * deviation)
    }

    /// Where heights must lie that fail by at most `slack` and have so many shims, to come before `key`: all that do lie
    /// there, and some others too. None where no heights do.
    pub fn region_before(
        &self,
        slack: Slack,
        key: Option<Key>,
        shims: u32,
        lattice: &Lattice,
    ) -> Option<Region> {
        let Some(key) = key else {
            return Some(self.region(slack, i64::MAX));
        };
        let count = i64::from(shims);
        // not above this deviation, with which the last part of the key may still be less
        let closer = |deviation: i64, difference: i64| {
            if difference <= self.least_difference(deviation, lattice) {
                deviation - 1
            } else {
                deviation
            }
        };
        match self.first {
            First::Fewest | First::Reuse => match key[0].cmp(&count) {
                Ordering::Less => None,
                Ordering::Equal => Some(self.region(slack, closer(key[1], key[2]))),
                Ordering::Greater => Some(self.region(slack, i64::MAX)),
            },
            First::Closest => {
                let deviation = match key[1].cmp(&count) {
                    Ordering::Less => key[0] - 1,
                    Ordering::Equal => closer(key[0], key[2]),
                    Ordering::Greater => key[0],
                };
                Some(self.region(slack, deviation))
            }
            First::Surest | First::LeastChange => {
                let best = key[0] == -self.surest;
                let (grade, deviation) = match key[1].cmp(&count) {
                    Ordering::Less if best => return None,
                    Ordering::Less => (1 - key[0], i64::MAX),
                    Ordering::Equal if best => (-key[0], closer(key[2], key[3])),
                    Ordering::Equal | Ordering::Greater => (-key[0], i64::MAX),
                };
                let mut region = self.region(slack, deviation);
                let fills = |side: usize| {
                    let closings = self.closings_of(side, grade);
                    (self.rooms[side] - closings.1, self.rooms[side] - closings.0)
                };
                if self.through {
                    region.both = meet(region.both, fills(0));
                } else {
                    region.heights = [0, 1].map(|side| meet(region.heights[side], fills(side)));
                }
                Some(region)
            }
        }
    }

    /// Shims, deviation and difference of a key.
    pub fn parts(&self, key: Key) -> (u32, i64, i64) {
        let (shims, deviation, difference) = match self.first {
            First::Fewest | First::Reuse => (key[0], key[1], key[2]),
            First::Closest => (key[1], key[0], key[2]),
            First::Surest | First::LeastChange => (key[1], key[2], key[3]),
        };
        (shims as u32, deviation, difference)
    }

    /// The pairs of heights that have just this deviation and difference, lowest first.
    pub fn points(&self, deviation: i64, difference: i64) -> Vec<[i64; 2]> {
        let mut points = Vec::with_capacity(8);
        if self.through {
            for closing in [-deviation, deviation].map(|off| self.windows[0].target.nm() + off) {
                let both = self.rooms[0] - closing;
                for apart in [-difference, difference].map(|apart| apart + self.offsets[1] - self.offsets[0])
                {
                    if (both + apart) % 2 == 0 {
                        points.push([(both + apart) / 2, (both - apart) / 2]);
                    }
                }
            }
        } else {
            for (side, other) in [(0, 1), (1, 0)] {
                for closing in [-deviation, deviation].map(|off| self.windows[side].target.nm() + off) {
                    for opposite in [closing - difference, closing + difference] {
                        let mut point = [self.rooms[side] - closing; 2];
                        point[other] = self.rooms[other] - opposite;
                        points.push(point);
                    }
                }
            }
        }
        points.retain(|point| {
            let weighed = self.weigh(*point);
            weighed.deviation == deviation && weighed.difference == difference
        });
        points.sort_unstable();
        points.dedup();
        points
    }
}
