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

/// A set of points.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    extent: Extent,
    words: usize,
    bits: Vec<u64>,
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
            let mut spill = 0;
            for (to, from) in self.bits[start..=start + taken].iter_mut().zip(row) {
                *to |= from << bit | spill;
                spill = from >> (64 - bit);
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

    /// The runs of neighbouring points of a row, as first and last left height.
    fn runs(&self, index: usize) -> Vec<Range> {
        let row = &self.bits[index * self.words..(index + 1) * self.words];
        let mut runs: Vec<Range> = Vec::new();
        for (word, bits) in row.iter().enumerate() {
            let (mut bits, mut at) = (*bits, (word * 64) as i64 + self.extent.left.0);
            while bits != 0 {
                let gap = bits.trailing_zeros();
                bits >>= gap;
                let length = bits.trailing_ones();
                let from = at + i64::from(gap);
                let to = from + i64::from(length) - 1;
                match runs.last_mut() {
                    Some(last) if last.1 + 1 == from => last.1 = to,
                    _ => runs.push((from, to)),
                }
                at = to + 1;
                bits = if length == 64 { 0 } else { bits >> length };
            }
        }
        runs
    }

    fn fill(&mut self, both: i64, from: i64, to: i64) {
        let start = (both - self.extent.both.0) as usize * self.words;
        let (first, last) = (
            (from - self.extent.left.0) as usize,
            (to - self.extent.left.0) as usize,
        );
        let (low, high) = (u64::MAX << (first % 64), u64::MAX >> (63 - last % 64));
        let row = &mut self.bits[start..start + self.words];
        if first / 64 == last / 64 {
            row[first / 64] |= low & high;
        } else {
            row[first / 64] |= low;
            row[first / 64 + 1..last / 64].fill(u64::MAX);
            row[last / 64] |= high;
        }
    }

    fn is_full(&self, both: i64, from: i64, to: i64) -> bool {
        let start = (both - self.extent.both.0) as usize * self.words;
        let (first, last) = (
            (from - self.extent.left.0) as usize,
            (to - self.extent.left.0) as usize,
        );
        let (low, high) = (u64::MAX << (first % 64), u64::MAX >> (63 - last % 64));
        let row = &self.bits[start..start + self.words];
        if first / 64 == last / 64 {
            return row[first / 64] | !(low & high) == u64::MAX;
        }
        row[first / 64] | !low == u64::MAX
            && row[last / 64] | !high == u64::MAX
            && row[first / 64 + 1..last / 64]
                .iter()
                .all(|word| *word == u64::MAX)
    }

    /// The rows that have points, with their runs.
    fn rows(&self) -> Vec<(i64, Vec<Range>)> {
        (0..self.bits.len() / self.words)
            .map(|index| (self.extent.both.0 + index as i64, self.runs(index)))
            .filter(|(_, runs)| !runs.is_empty())
            .collect()
    }

    /// The steps that [`Plane::add_sums`] takes at most.
    pub fn cost_of_sums(a: &Plane, b: &Plane) -> u64 {
        let (rows_a, rows_b) = (a.rows(), b.rows());
        let runs = |rows: &[(i64, Vec<Range>)]| rows.iter().map(|row| row.1.len() as u64).sum::<u64>();
        let points: u64 = a.bits.iter().map(|word| u64::from(word.count_ones())).sum();
        let pairs = rows_a.len() as u64 * rows_b.len() as u64;
        let by_runs = runs(&rows_a).saturating_mul(runs(&rows_b));
        let by_words = points.saturating_mul(rows_b.len() as u64 * b.words as u64);
        pairs.saturating_add(by_runs.min(by_words))
    }

    /// Adds every sum of a point of `a` and a point of `b`; the sums must lie in this plane's extent.
    pub fn add_sums(&mut self, a: &Plane, b: &Plane) {
        let (rows_a, rows_b) = (a.rows(), b.rows());
        for (both_a, runs_a) in &rows_a {
            for (both_b, runs_b) in &rows_b {
                let both = both_a + both_b;
                let first = runs_a[0].0 + runs_b[0].0;
                let last = runs_a[runs_a.len() - 1].1 + runs_b[runs_b.len() - 1].1;
                if self.is_full(both, first, last) {
                    continue;
                }
                // many short runs are laid over each other faster as whole words, one copy of b for each point of a
                let points: i64 = runs_a.iter().map(|run| run.1 - run.0 + 1).sum();
                if points as usize * b.words <= runs_a.len() * runs_b.len() {
                    for left in runs_a.iter().flat_map(|run| run.0..=run.1) {
                        self.add_row(both, b, *both_b, left);
                    }
                    continue;
                }
                for run_a in runs_a {
                    for run_b in runs_b {
                        self.fill(both, run_a.0 + run_b.0, run_a.1 + run_b.1);
                    }
                }
            }
        }
    }

    /// The same set with every left height and every height of both sides counted down from the top of the extent.
    pub fn mirrored(&self) -> Plane {
        let mut mirror = Plane::empty(self.extent);
        let Extent { left, both, .. } = self.extent;
        for row in both.0..=both.1 {
            let _ = self.points_in_row(row, left.0, left.1, &mut |x| {
                let to = left.0 + left.1 - x;
                mirror.fill(both.0 + both.1 - row, to, to);
                ControlFlow::Continue(())
            });
        }
        mirror
    }

    /// Calls `f` with each point of this set whose complement to (`left`, `both`) lies in the set that `mirror` is the
    /// mirror of: lowest height of both sides first, then lowest left.
    pub fn parts_of(
        &self,
        mirror: &Plane,
        left: i64,
        both: i64,
        f: &mut impl FnMut(i64, i64) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        // a point x here and left − x there: the mirror has it at m.0 + m.1 − (left − x) = x + shift
        let shift = mirror.extent.left.0 + mirror.extent.left.1 - left;
        let rise = mirror.extent.both.0 + mirror.extent.both.1 - both;
        let from = self.extent.both.0.max(mirror.extent.both.0 - rise);
        let to = self.extent.both.1.min(mirror.extent.both.1 - rise);
        // bit i here lies at bit i + offset of the mirror
        let offset = self.extent.left.0 + shift - mirror.extent.left.0;
        let (jump, bit) = (offset.div_euclid(64), offset.rem_euclid(64) as u32);
        for row in from..=to {
            let (Some(mine), Some(theirs)) = (self.row(row), mirror.row(row + rise)) else {
                continue;
            };
            let word_at = |index: i64| {
                usize::try_from(index)
                    .ok()
                    .and_then(|index| theirs.get(index))
                    .copied()
                    .unwrap_or(0)
            };
            for (index, word) in mine.iter().enumerate() {
                if *word == 0 {
                    continue;
                }
                let at = index as i64 + jump;
                let mut there = word_at(at) >> bit;
                if bit != 0 {
                    there |= word_at(at + 1) << (64 - bit);
                }
                let mut hits = word & there;
                while hits != 0 {
                    f(
                        self.extent.left.0 + (index * 64) as i64 + i64::from(hits.trailing_zeros()),
                        row,
                    )?;
                    hits &= hits - 1;
                }
            }
        }
        ControlFlow::Continue(())
    }
}
