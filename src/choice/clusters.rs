//! Plates that are near in thickness: the heights that each number of them left and right can make.

use super::classes::{Class, Cost, Split, Tally};
use super::planes::{Extent, Plane};
use std::cell::OnceCell;

/// What is known of each level, count left and right, for one tally.
type Table<T> = OnceCell<Vec<OnceCell<Option<T>>>>;

/// A run of classes. Everything of it is worked out when it is first asked for, and kept.
pub(super) struct Cluster {
    /// Thickest first; their steps count from the thinnest of the run.
    pub classes: Vec<Class>,
    /// The thinnest of the run, in steps above the thinnest plate of its keying.
    pub lowest: i64,
    /// More than these go on no side.
    most: [usize; 2],
    /// More than these it has not.
    cost: Cost,
    extents: Vec<Table<Extent>>,
    planes: Vec<Table<Plane>>,
}

impl Cluster {
    /// Of classes whose steps count from the thinnest plate of their keying.
    pub fn new(mut classes: Vec<Class>, need: [usize; 2]) -> Cluster {
        let lowest = classes.last().map_or(0, |class| class.steps);
        for class in &mut classes {
            class.steps -= lowest;
        }
        let count = classes.iter().map(Class::count).sum::<usize>();
        let most = need.map(|need| need.min(count));
        let sum = |of: fn(&Class) -> usize| classes.iter().map(of).sum::<usize>().min(need[0] + need[1]);
        let cost = Cost {
            new: sum(Class::spares),
            moved: sum(Class::movable),
        };
        let tallies = Tally::count(cost);
        Cluster {
            classes,
            lowest,
            most,
            cost,
            extents: (0..tallies).map(|_| OnceCell::new()).collect(),
            planes: (0..tallies).map(|_| OnceCell::new()).collect(),
        }
    }

    pub fn most(&self) -> [usize; 2] {
        self.most
    }

    /// The most new parts and changes of side.
    pub fn cost(&self) -> Cost {
        self.cost
    }

    fn cell<'a, T>(
        &self,
        tables: &'a [Table<T>],
        level: usize,
        (left, right): Split,
        tally: Tally,
    ) -> Option<&'a OnceCell<Option<T>>> {
        if left > self.most[0] || right > self.most[1] || !tally.is_within(self.cost) {
            return None;
        }
        let states = (self.most[0] + 1) * (self.most[1] + 1);
        let table = tables.get(tally.index(self.cost))?.get_or_init(|| {
            let cells = states * (self.classes.len() + 1);
            (0..cells).map(|_| OnceCell::new()).collect()
        });
        table.get(level * states + left * (self.most[1] + 1) + right)
    }

    /// The box of what the classes from `level` on can make, counted from their thinnest; none where they can make
    /// nothing of this kind.
    pub fn extent(&self, level: usize, split: Split, tally: Tally) -> Option<Extent> {
        let cell = self.cell(&self.extents, level, split, tally)?;
        *cell.get_or_init(|| {
            let Some(class) = self.classes.get(level) else {
                return (split == (0, 0) && tally.is_spent()).then_some(Extent::ORIGIN);
            };
            let ways = class.splits([split.0, split.1], tally);
            ways.filter_map(|((l, r), rest)| {
                let extent = self.extent(level + 1, (split.0 - l, split.1 - r), rest)?;
                Some(extent.moved(l as i64 * class.steps, r as i64 * class.steps))
            })
            .reduce(Extent::joined)
        })
    }

    /// The heights of what the classes from `level` on can make, counted from their thinnest.
    pub fn plane(&self, level: usize, split: Split, tally: Tally) -> Option<&Plane> {
        let extent = self.extent(level, split, tally)?;
        let cell = self.cell(&self.planes, level, split, tally)?;
        cell.get_or_init(|| {
            let Some(class) = self.classes.get(level) else {
                return Some(Plane::origin());
            };
            let mut plane = Plane::empty(extent);
            for ((l, r), rest) in class.splits([split.0, split.1], tally) {
                if let Some(from) = self.plane(level + 1, (split.0 - l, split.1 - r), rest) {
                    plane.add_moved(from, l as i64 * class.steps, r as i64 * class.steps);
                }
            }
            Some(plane)
        })
        .as_ref()
    }

    /// Bits of all planes that are known to be there, built or not.
    pub fn bits(&self) -> u64 {
        let known = self.extents.iter().filter_map(OnceCell::get).flatten();
        known
            .filter_map(|cell| cell.get().and_then(Option::as_ref))
            .fold(0, |sum, extent| extent.bits().saturating_add(sum))
    }
}
