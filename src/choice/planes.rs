//! Sets of points on a common step: a plane of bits, one row for each height of both sides, one bit for each height of
//! the left side.

use super::ranking::Range;
use std::ops::ControlFlow;

/// The box that a set lies in: left, right and both heights, in steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Extent {
    pub left: Range,
    pub right: Range,
    pub both: Range,
}

fn join(a: Range, b: Range) -> Range {
    (a.0.min(b.0), a.1.max(b.1))
}

impl Extent {
    pub const ORIGIN: Extent = Extent {
        left: (0, 0),
        right: (0, 0),
        both: (0, 0),
    };

    pub fn joined(self, other: Extent) -> Extent {
        Extent {
            left: join(self.left, other.left),
            right: join(self.right, other.right),
            both: join(self.both, other.both),
        }
    }

    pub fn moved(self, left: i64, right: i64) -> Extent {
        let by = |range: Range, d| (range.0 + d, range.1 + d);
        Extent {
            left: by(self.left, left),
            right: by(self.right, right),
            both: by(self.both, left + right),
        }
    }

    pub fn added(self, other: Extent) -> Extent {
        let sum = |a: Range, b: Range| (a.0 + b.0, a.1 + b.1);
        Extent {
            left: sum(self.left, other.left),
            right: sum(self.right, other.right),
            both: sum(self.both, other.both),
        }
    }

    /// Whether the point lies in the box.
    pub fn holds(&self, left: i64, both: i64) -> bool {
        (self.left.0..=self.left.1).contains(&left)
            && (self.both.0..=self.both.1).contains(&both)
            && (self.right.0..=self.right.1).contains(&(both - left))
    }

    /// Bits that a plane of this extent takes.
    pub fn bits(self) -> u64 {
        let rows = (self.both.1 - self.both.0) as u64 + 1;
        rows.saturating_mul(64 * words_for(self) as u64)
    }
}

/// One word more than the bits need, so that a shifted word may spill.
fn words_for(extent: Extent) -> usize {
    ((extent.left.1 - extent.left.0) as usize + 1).div_ceil(64) + 1
}

/// Places in a slanted box: so many across, each `slant` rows above the one before, and above each so many along.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Footprint {
    /// Places in left height, one or more.
    pub across: i64,
    /// Rows at each of them, one or more.
    pub along: i64,
    /// Rows that the next place across lies higher: 0, 1 or 2.
    pub slant: i64,
}

/// A set of points.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    extent: Extent,
    words: usize,
    bits: Vec<u64>,
}

/// With fewer points than these in a row, on the average, each is set by itself.
const SPARSE_ROW: u64 = 8;

/// Adds every bit again, so many bits further on. Whoever calls it has left room at the ends of the rows.
fn add_itself_moved(bits: &mut [u64], by: usize) {
    let (jump, bit) = (by / 64, by % 64);
    if jump == 0 {
        for index in (0..bits.len()).rev() {
            let below = if index > 0 { bits[index - 1] } else { 0 };
            bits[index] |= bits[index] << bit | below >> (64 - bit);
        }
        return;
    }
    // from the end, in runs that lie behind all that they are made of
    let mut end = bits.len();
    while end > jump {
        let start = end.saturating_sub(jump).max(jump);
        let (before, run) = bits.split_at_mut(start);
        let from = &before[start - jump..end - jump];
        if bit == 0 {
            for (to, from) in run.iter_mut().zip(from) {
                *to |= from;
            }
        } else {
            run[0] |= from[0] << bit;
            if start > jump {
                run[0] |= before[start - jump - 1] >> (64 - bit);
            }
            for (to, pair) in run[1..].iter_mut().zip(from.windows(2)) {
                *to |= pair[1] << bit | pair[0] >> (64 - bit);
            }
        }
        end = start;
    }
}

impl Plane {
    pub fn empty(extent: Extent) -> Plane {
        let words = words_for(extent);
        let rows = (extent.both.1 - extent.both.0) as usize + 1;
        Plane {
            extent,
            words,
            bits: vec![0; rows * words],
        }
    }

    pub fn origin() -> Plane {
        let mut plane = Plane::empty(Extent::ORIGIN);
        plane.bits[0] = 1;
        plane
    }

    pub fn extent(&self) -> Extent {
        self.extent
    }

    fn row(&self, both: i64) -> Option<&[u64]> {
        let (least, most) = self.extent.both;
        (least..=most).contains(&both).then(|| {
            let start = (both - least) as usize * self.words;
            &self.bits[start..start + self.words]
        })
    }

    pub fn contains(&self, left: i64, both: i64) -> bool {
        let (least, most) = self.extent.left;
        (least..=most).contains(&left)
            && self.row(both).is_some_and(|row| {
                let bit = (left - least) as usize;
                row[bit / 64] >> (bit % 64) & 1 == 1
            })
    }

    /// Adds every point of `other`, moved; the moved points must lie in this plane's extent.
    pub fn add_moved(&mut self, other: &Plane, left: i64, right: i64) {
        for from in other.extent.both.0..=other.extent.both.1 {
            self.add_row(from + left + right, other, from, left);
        }
    }

    /// Adds row `from` of `other`, moved by `left`, to row `both`.
    fn add_row(&mut self, both: i64, other: &Plane, from: i64, left: i64) {
        let offset = (other.extent.left.0 + left - self.extent.left.0) as usize;
        let (word, bit) = (offset / 64, offset % 64);
        let taken = other.words - 1;
        let start = (both - self.extent.both.0) as usize * self.words + word;
        let begin = (from - other.extent.both.0) as usize * other.words;
        let row = &other.bits[begin..begin + other.words];
        if bit == 0 {
            for (to, from) in self.bits[start..start + taken].iter_mut().zip(row) {
                *to |= from;
            }
        } else {
            let to = &mut self.bits[start..=start + taken];
            to[0] |= row[0] << bit;
            for (to, pair) in to[1..].iter_mut().zip(row.windows(2)) {
                *to |= pair[1] << bit | pair[0] >> (64 - bit);
            }
        }
    }

    /// Calls `f` with each point of the row between two left heights, lowest first.
    pub fn points_in_row(
        &self,
        both: i64,
        from: i64,
        to: i64,
        f: &mut impl FnMut(i64) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let base = self.extent.left.0;
        let (from, to) = (from.max(base), to.min(self.extent.left.1));
        let (Some(row), true) = (self.row(both), from <= to) else {
            return ControlFlow::Continue(());
        };
        let (first, last) = ((from - base) as usize, (to - base) as usize);
        for (word, bits) in row.iter().enumerate().take(last / 64 + 1).skip(first / 64) {
            let mut bits = *bits;
            if word == first / 64 {
                bits &= u64::MAX << (first % 64);
            }
            if word == last / 64 {
                bits &= u64::MAX >> (63 - last % 64);
            }
            while bits != 0 {
                f(base + (word * 64) as i64 + i64::from(bits.trailing_zeros()))?;
                bits &= bits - 1;
            }
        }
        ControlFlow::Continue(())
    }

    /// Adds every sum of a point of `a` and a point of `b`, moved; the sums must lie in this plane's extent.
    pub fn add_sums_moved(&mut self, a: &Plane, b: &Plane, left: i64, right: i64) {
        let (few, many) = if a.points() <= b.points() { (a, b) } else { (b, a) };
        let rows = (many.extent.both.1 - many.extent.both.0) as u64 + 1;
        if many.points() < SPARSE_ROW * rows {
            // where a point comes to lie in this plane, counted in bits: those of a sum are the sum of those
            let stride = 64 * self.words as i64;
            let origin = (left + right - self.extent.both.0) * stride + left - self.extent.left.0;
            let many = many.places(stride);
            for first in few.places(stride) {
                for second in &many {
                    let bit = (origin + first + second) as usize;
                    self.bits[bit / 64] |= 1 << (bit % 64);
                }
            }
            return;
        }
        // a copy of the other one for each point
        let Extent {
            left: lefts, both, ..
        } = few.extent;
        for row in both.0..=both.1 {
            let _ = few.points_in_row(row, lefts.0, lefts.1, &mut |x| {
                self.add_moved(many, left + x, right + row - x);
                ControlFlow::Continue(())
            });
        }
    }

    /// Every point as its place in rows of `stride` bits, counted from the point of no height.
    fn places(&self, stride: i64) -> Vec<i64> {
        let Extent { left, both, .. } = self.extent;
        let mut places = Vec::new();
        for row in both.0..=both.1 {
            let _ = self.points_in_row(row, left.0, left.1, &mut |x| {
                places.push(row * stride + x);
                ControlFlow::Continue(())
            });
        }
        places
    }

    /// Every point counted the other way: the set of (−left, −both).
    pub fn negated(&self) -> Plane {
        let minus = |range: Range| (-range.1, -range.0);
        let Extent { left, right, both } = self.extent;
        let mut negated = Plane::empty(Extent {
            left: minus(left),
            right: minus(right),
            both: minus(both),
        });
        // bit i of a row becomes bit last − i: its words turned round, then moved down past what was spare
        let spare = 64 * self.words - (left.1 - left.0) as usize - 1;
        let (jump, bit) = (spare / 64, spare % 64);
        let rows = negated.bits.chunks_exact_mut(self.words).rev();
        for (to, from) in rows.zip(self.bits.chunks_exact(self.words)) {
            let turned = |index: usize| from[self.words - 1 - index].reverse_bits();
            for (index, word) in to.iter_mut().enumerate().take(self.words - jump) {
                *word = turned(index + jump) >> bit;
                if bit != 0 && index + jump + 1 < self.words {
                    *word |= turned(index + jump + 1) << (64 - bit);
                }
            }
        }
        negated
    }

    /// Every point laid down at each place of the footprint, counted from the point.
    pub fn spread(&self, footprint: &Footprint) -> Plane {
        let Footprint { across, along, slant } = *footprint;
        let Extent { left, both, .. } = self.extent;
        let left = (left.0, left.1 + across - 1);
        let both = (both.0, both.1 + slant * (across - 1) + along - 1);
        let mut plane = Plane::empty(Extent {
            left,
            right: (both.0 - left.1, both.1 - left.0),
            both,
        });
        let rows = plane.bits.chunks_exact_mut(plane.words);
        for (to, from) in rows.zip(self.bits.chunks_exact(self.words)) {
            to[..self.words].copy_from_slice(from);
        }
        // by doubling: what is laid down at so many places is laid down again behind them
        let row = 64 * plane.words;
        let mut rows = self.bits.len() / self.words;
        for (places, rise, stride) in [
            (across as usize, slant as usize, slant as usize * row + 1),
            (along as usize, 1, row),
        ] {
            let mut laid = 1;
            while laid < places {
                let more = laid.min(places - laid);
                rows += more * rise;
                let end = rows * plane.words;
                add_itself_moved(&mut plane.bits[..end], more * stride);
                laid += more;
            }
        }
        plane
    }

    /// The rows that have points, from the middle one outwards.
    pub fn rows_from_the_middle(&self) -> Vec<i64> {
        let (least, most) = self.extent.both;
        let mut rows: Vec<i64> = (least..=most)
            .filter(|both| {
                self.row(*both)
                    .is_some_and(|row| row.iter().any(|word| *word != 0))
            })
            .collect();
        let middle = rows.get(rows.len() / 2).copied().unwrap_or(0);
        rows.sort_by_key(|both| (both - middle).abs());
        rows
    }

    /// The points that the set has.
    pub fn points(&self) -> u64 {
        self.bits.iter().map(|word| u64::from(word.count_ones())).sum()
    }

    /// Whether a point of this set has its complement to (`left`, `both`) in the set that `negated` is the negative of.
    /// `rows` are those of this set that are looked at.
    pub fn meets(&self, rows: &[i64], negated: &Plane, left: i64, both: i64) -> bool {
        rows.iter().any(|row| {
            self.shared(negated, left, both, *row, &mut |_, _| ControlFlow::Break(()))
                .is_break()
        })
    }

    /// Calls `f` with each left height in a row of this set whose complement to (`left`, `both`) lies in the set that
    /// `negated` is the negative of, lowest first.
    pub fn parts_in_row(
        &self,
        negated: &Plane,
        left: i64,
        both: i64,
        row: i64,
        f: &mut impl FnMut(i64) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        self.shared(negated, left, both, row, &mut |index, mut bits| {
            let start = self.extent.left.0 + (index * 64) as i64;
            while bits != 0 {
                f(start + i64::from(bits.trailing_zeros()))?;
                bits &= bits - 1;
            }
            ControlFlow::Continue(())
        })
    }

    /// Calls `f` with each word of a row that shares bits with the other set moved to (`left`, `both`), and those bits.
    fn shared(
        &self,
        negated: &Plane,
        left: i64,
        both: i64,
        row: i64,
        f: &mut impl FnMut(usize, u64) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let (Some(mine), Some(theirs)) = (self.row(row), negated.row(row - both)) else {
            return ControlFlow::Continue(());
        };
        // bit i here is bit i + offset there
        let offset = self.extent.left.0 - left - negated.extent.left.0;
        let (jump, bit) = (offset.div_euclid(64), offset.rem_euclid(64) as u32);
        let from = (-jump - 1).max(0);
        let to = (mine.len() as i64).min(theirs.len() as i64 - jump);
        for index in from..to {
            let word = mine[index as usize];
            if word == 0 {
                continue;
            }
            let at = index + jump;
            let mut there = if at < 0 { 0 } else { theirs[at as usize] >> bit };
            if bit != 0 && at + 1 < theirs.len() as i64 {
                there |= theirs[(at + 1) as usize] << (64 - bit);
            }
            if word & there != 0 {
                f(index as usize, word & there)?;
            }
        }
        ControlFlow::Continue(())
    }
}
