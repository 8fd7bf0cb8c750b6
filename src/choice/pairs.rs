//! Groups of friction plates with groups of case plates.

use super::classes::Tally;
use super::groups::{Groups, Set};
use super::planes::{Extent, Footprint, Plane};
use std::cell::RefCell;
use std::collections::{BTreeMap, VecDeque};
use std::rc::Rc;

/// Pairs of groups are looked up by squares of this side, nm.
const CELL: i64 = 200_000;

/// So many spread planes of a group are kept.
const MOST_SPREAD: usize = 6;

/// A group of friction plates and one of case plates, as places in their lists.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub gear: usize,
    pub case: usize,
    pub extent: Extent,
    pub weight: f64,
}

/// What a group was spread over, the latest last.
type Spread = VecDeque<(Footprint, Rc<Plane>)>;

/// For each square that was asked for the pairs that reach into it.
type Cells = BTreeMap<(i64, i64), Vec<usize>>;

/// Every group of friction plates of one tally with every group of case plates of another.
pub(super) struct Pairs {
    pub tallies: (Tally, Tally),
    pub gear: Groups,
    pub case: Groups,
    pub pairs: Vec<Pair>,
    pub extent: Option<Extent>,
    /// As wide each way as any pair, from zero.
    pub widest: Extent,
    /// For each group of case plates what it was spread over last, spread from its negative.
    spread: RefCell<Vec<Spread>>,
    cell: i64,
    cells: RefCell<Cells>,
}

impl Pairs {
    pub fn new(gear: Groups, case: Groups, tallies: (Tally, Tally), step: i64) -> Pairs {
        let mut pairs = Vec::with_capacity(gear.len() * case.len());
        for (gear_index, gear) in gear.iter().enumerate() {
            for (case_index, case) in case.iter().enumerate() {
                pairs.push(Pair {
                    gear: gear_index,
                    case: case_index,
                    extent: gear.extent.added(case.extent),
                    weight: gear.weight() + case.weight(),
                });
            }
        }
        let widest = pairs.iter().fold(Extent::ORIGIN, |widest, pair| {
            let wide = |range: (i64, i64)| (0, range.1 - range.0);
            let Extent { left, right, both } = pair.extent;
            widest.joined(Extent {
                left: wide(left),
                right: wide(right),
                both: wide(both),
            })
        });
        Pairs {
            spread: RefCell::new(vec![Spread::new(); case.len()]),
            widest,
            tallies,
            extent: pairs.iter().map(|pair| pair.extent).reduce(Extent::joined),
            gear,
            case,
            pairs,
            cell: (CELL / step).max(1),
            cells: RefCell::default(),
        }
    }

    /// The negative of a group of case plates, spread.
    pub fn spread(&self, case: usize, set: &Set, footprint: Footprint) -> Rc<Plane> {
        let mut spread = self.spread.borrow_mut();
        let known = &mut spread[case];
        if let Some((_, plane)) = known.iter().find(|(known, _)| *known == footprint) {
            return plane.clone();
        }
        let plane = Rc::new(set.negated().spread(&footprint));
        if known.len() == MOST_SPREAD {
            known.pop_front();
        }
        known.push_back((footprint, plane.clone()));
        plane
    }

    /// The pairs whose box holds the point.
    pub fn at(&self, left: i64, both: i64) -> Vec<&Pair> {
        let cell = (left.div_euclid(self.cell), both.div_euclid(self.cell));
        let mut cells = self.cells.borrow_mut();
        let near = cells.entry(cell).or_insert_with(|| {
            let overlaps = |range: (i64, i64), cell: i64| {
                range.0 < (cell + 1) * self.cell && range.1 >= cell * self.cell
            };
            let near =
                self.pairs.iter().enumerate().filter(|(_, pair)| {
                    overlaps(pair.extent.left, cell.0) && overlaps(pair.extent.both, cell.1)
                });
            near.map(|(index, _)| index).collect()
        });
        near.iter()
            .map(|index| &self.pairs[*index])
            .filter(|pair| pair.extent.holds(left, both))
            .collect()
    }
}
