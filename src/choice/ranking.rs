//! The layout in whole nanometres: what is admissible, what it is worth, and what comes first.

use super::request::{First, Layout, Request, Window};
use crate::mechanics::Side;
use crate::metrology::{Limits, probability_inside};
use crate::quantity::Length;

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

/// What a choice is ranked by before new parts and the fixed order: smallest first.
pub(super) type Key = [i64; 4];

pub(super) struct Frame {
    through: bool,
    rooms: [i64; 2],
    offsets: [i64; 2],
    windows: [Window; 2],
    guard: i64,
    match_within: Option<i64>,
    uncertainty: f64,
    first: First,
    /// The probability that no choice betters, in tenths of a percent.
    surest: i64,
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
        let inside = |side: usize| {
            let Window { least, most, .. } = self.windows[side];
            Limits::new(Some(least.um()), Some(most.um()))
                .and_then(|limits| probability_inside(closings[side], self.uncertainty, &limits))
                // windows and uncertainty were checked, so this is not reached
                .unwrap_or(0.0)
        };
        if self.through {
            inside(0)
        } else {
            inside(0) * inside(1)
        }
    }

    fn tenths_of_a_percent(&self, closings: [i64; 2]) -> i64 {
        (self.probability(closings) * 1e3).round() as i64
    }

    /// The probability that no closing can better: in the middle of the windows; in tenths of a percent.
    fn surest_possible(&self) -> i64 {
        let middle = |window: &Window| (window.least.um() + window.most.um()) / 2.0;
        let best = self.probability_at([middle(&self.windows[0]), middle(&self.windows[1])]);
        // a little above, so that rounding in the last digits can not put a choice over it
        (best * 1e3 + 1e-6).round() as i64
    }

    /// What a choice of so many shims is ranked by.
    pub fn key(&self, shims: u32, weighed: &Weighed) -> Key {
        let (
            shims,
            Weighed {
                deviation,
                difference,
                ..
            },
        ) = (i64::from(shims), *weighed);
        match self.first {
            First::Fewest | First::Reuse => [shims, deviation, difference, 0],
            First::Closest => [deviation, shims, difference, 0],
            First::Surest => [
                -self.tenths_of_a_percent(weighed.closings),
                shims,
                deviation,
                difference,
            ],
        }
    }

    /// A key that no choice of so many shims can be under.
    pub fn least_key(&self, shims: u32) -> Key {
        let shims = i64::from(shims);
        match self.first {
            First::Fewest | First::Reuse => [shims, 0, 0, 0],
            First::Closest => [0, shims, 0, 0],
            First::Surest => [-self.surest, shims, 0, 0],
        }
    }

    /// Shims, deviation and difference of a key.
    pub fn parts(&self, key: Key) -> (u32, i64, i64) {
        let (shims, deviation, difference) = match self.first {
            First::Fewest | First::Reuse => (key[0], key[1], key[2]),
            First::Closest => (key[1], key[0], key[2]),
            First::Surest => (key[1], key[2], key[3]),
        };
        (shims as u32, deviation, difference)
    }

    /// The greatest deviation that a choice of so many shims may have to come before `key`.
    pub fn deviation_before(&self, key: Key, shims: u32) -> i64 {
        match self.first {
            First::Fewest | First::Reuse if key[0] == i64::from(shims) => key[1],
            First::Closest => key[0],
            First::Surest if key[0] == -self.surest && key[1] == i64::from(shims) => key[2],
            _ => EVER,
        }
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
