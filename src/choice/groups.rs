//! What several clusters of plates make together: a plane for each neighbourhood of heights, built when it is asked
//! for.

use super::classes::{Split, Tally};
use super::clusters::Cluster;
use super::planes::{Extent, Plane};
use crate::quantity::Length;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::rc::Rc;

/// Compositions whose middles lie in one square of this side make a group, nm.
const SQUARE: i64 = 400_000;

pub(super) type Groups = Rc<Vec<Rc<Group>>>;

/// What is taken from each cluster.
#[derive(Debug)]
pub(super) struct Composition {
    pub taken: Vec<(Split, Tally)>,
    pub extent: Extent,
}

/// Compositions that make heights near each other.
#[derive(Debug)]
pub(super) struct Group {
    pub extent: Extent,
    /// The first cluster.
    level: usize,
    compositions: Vec<Composition>,
    set: OnceCell<Set>,
}

/// The heights of a group.
#[derive(Debug)]
pub(super) struct Set {
    pub plane: Plane,
    /// Rows that have points, from the middle outwards.
    pub rows: Vec<i64>,
    /// Points.
    pub count: u64,
    negated: OnceCell<Plane>,
}

impl Set {
    pub fn of(plane: Plane) -> Set {
        let rows = plane.rows_from_the_middle();
        Set {
            count: plane.points(),
            plane,
            rows,
            negated: OnceCell::new(),
        }
    }

    pub fn negated(&self) -> &Plane {
        self.negated.get_or_init(|| self.plane.negated())
    }

    /// Calls `f` with each point, from the middle row outwards.
    pub fn each_point(&self, f: &mut impl FnMut(i64, i64) -> ControlFlow<()>) -> ControlFlow<()> {
        let Extent { left, .. } = self.plane.extent();
        self.rows.iter().try_for_each(|row| {
            self.plane
                .points_in_row(*row, left.0, left.1, &mut |x| f(x, *row))
        })
    }

    /// Whether a point of this set and one of `other` come to these heights.
    pub fn meets(&self, other: &Plane, left: i64, both: i64) -> bool {
        // the rows of the other one that have a complement here
        let Extent { both: here, .. } = self.plane.extent();
        let Extent { both: there, .. } = other.extent();
        let (from, to) = (there.0.max(both - here.1), there.1.min(both - here.0));
        let middle = from + (to - from) / 2;
        (0..=(to - from).max(-1)).any(|index| {
            let row = if index % 2 == 0 {
                middle - index / 2
            } else {
                middle + index / 2 + 1
            };
            (from..=to).contains(&row) && other.meets(&[row], self.negated(), left, both)
        })
    }
}

impl Group {
    /// Compositions of the clusters from `level` on, sorted into groups by the middles of their boxes.
    pub fn near_by_near(level: usize, compositions: Vec<Composition>, step: Length) -> Vec<Rc<Group>> {
        let square = (SQUARE / step.nm()).max(1);
        let mut squares: BTreeMap<(i64, i64), Vec<Composition>> = BTreeMap::new();
        for composition in compositions {
            let Extent { left, both, .. } = composition.extent;
            let middle = |range: (i64, i64)| (range.0 + range.1).div_euclid(2 * square);
            squares
                .entry((middle(both), middle(left)))
                .or_default()
                .push(composition);
        }
        squares
            .into_values()
            .filter_map(|compositions| {
                let extents = compositions.iter().map(|composition| composition.extent);
                Some(Rc::new(Group {
                    extent: extents.reduce(Extent::joined)?,
                    level,
                    compositions,
                    set: OnceCell::new(),
                }))
            })
            .collect()
    }

    /// The logarithm of about how many points it has, to look at the likeliest first.
    pub fn weight(&self) -> f64 {
        let Extent { left, both, .. } = self.extent;
        ((left.1 - left.0 + 1) as f64 * (both.1 - both.0 + 1) as f64).ln()
    }

    /// Whether its heights were worked out.
    pub fn is_built(&self) -> bool {
        self.set.get().is_some()
    }

    /// The heights that it can make.
    pub fn set(&self, clusters: &[Cluster]) -> &Set {
        self.set.get_or_init(|| {
            let mut plane = Plane::empty(self.extent);
            // what the clusters but the last come to together, for the composition before
            let mut before: Vec<((Split, Tally), Plane)> = Vec::new();
            for composition in &self.compositions {
                self.add(&mut plane, &mut before, clusters, composition);
            }
            Set::of(plane)
        })
    }

    fn add(
        &self,
        plane: &mut Plane,
        before: &mut Vec<((Split, Tally), Plane)>,
        clusters: &[Cluster],
        composition: &Composition,
    ) {
        let Some((last, first)) = composition.taken.split_last() else {
            plane.add_moved(&Plane::origin(), 0, 0);
            return;
        };
        let of = |index: usize, (split, tally): (Split, Tally)| {
            let cluster = &clusters[self.level + index];
            let moved = (split.0 as i64 * cluster.lowest, split.1 as i64 * cluster.lowest);
            Some((cluster.plane(0, split, tally)?, moved))
        };
        let same = before
            .iter()
            .zip(first)
            .take_while(|((known, _), taken)| known == *taken)
            .count();
        before.truncate(same);
        for (index, taken) in first.iter().enumerate().skip(same) {
            let Some((here, (left, right))) = of(index, *taken) else {
                return;
            };
            let origin = Plane::origin();
            let sums = before.last().map_or(&origin, |(_, sums)| sums);
            let mut sum = Plane::empty(sums.extent().added(here.extent()).moved(left, right));
            sum.add_sums_moved(sums, here, left, right);
            before.push((*taken, sum));
        }
        let Some((here, (left, right))) = of(first.len(), *last) else {
            return;
        };
        match before.last() {
            Some((_, sums)) => plane.add_sums_moved(sums, here, left, right),
            None => plane.add_moved(here, left, right),
        }
    }
}
