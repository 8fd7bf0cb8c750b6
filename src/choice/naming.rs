//! From heights to the plates and shims that make them.

use super::classes::{Class, Split, Tally};
use super::evaluate::weigh;
use super::pairs::Pairs;
use super::problem::{Point, Problem};
use super::request::{Candidate, Choice, SideChoice};
use super::shims::Shims;
use crate::mechanics::Side;
use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::rc::Rc;

/// A share of the friction plates in the heights: the tallies of both keyings, their height on the left and on both sides.
struct Share {
    tallies: (Tally, Tally),
    left: i64,
    both: i64,
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

impl Problem<'_> {
    /// Adds every choice with these heights of shims and plates until enough are found.
    pub fn fill(
        &self,
        sides: [Shims; 2],
        point: Point,
        sets: &[Rc<Pairs>],
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> ControlFlow<()> {
        let [left, right] = sides;
        if self
            .shares(sets, point, &mut |_| ControlFlow::Break(()))
            .is_continue()
        {
            return ControlFlow::Continue(());
        }
        self.drawer.each_way(left.0, left.1, &[], &mut |left_way| {
            self.drawer
                .each_way(right.0, right.1, left_way, &mut |right_way| {
                    self.shares(sets, point, &mut |share| {
                        let Share {
                            tallies,
                            left: x,
                            both: t,
                        } = share;
                        self.gear.each_way(tallies.0, x, t, &mut |gear| {
                            let (case_x, case_t) = (point.left - x, point.both - t);
                            self.case.each_way(tallies.1, case_x, case_t, &mut |case| {
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

    /// Calls `f` with each share of the friction plates in the heights: those with the least of the tally first, then the
    /// lowest on both sides, then on the left.
    fn shares(
        &self,
        sets: &[Rc<Pairs>],
        point: Point,
        f: &mut impl FnMut(Share) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        for set in sets {
            let ground = self.ground(sets);
            let near: Vec<_> = set
                .at(point.left, point.both)
                .into_iter()
                .map(|pair| {
                    let (gear, case) = (set.gear[pair.gear].extent.both, set.case[pair.case].extent.both);
                    let rows = (gear.0.max(point.both - case.1), gear.1.min(point.both - case.0));
                    (pair, rows)
                })
                .collect();
            let (Some(first), Some(last)) = (
                near.iter().map(|(_, rows)| rows.0).min(),
                near.iter().map(|(_, rows)| rows.1).max(),
            ) else {
                continue;
            };
            for both in first..=last {
                let mut lefts = BTreeSet::new();
                for (pair, rows) in &near {
                    if (rows.0..=rows.1).contains(&both) {
                        let (gear, case) = ground.sets_of(set, pair);
                        let _ = gear.plane.parts_in_row(
                            case.negated(),
                            point.left,
                            point.both,
                            both,
                            &mut |left| {
                                lefts.insert(left);
                                ControlFlow::Continue(())
                            },
                        );
                    }
                }
                for left in lefts {
                    f(Share {
                        tallies: set.tallies,
                        left,
                        both,
                    })?;
                }
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
        for side in Side::BOTH {
            let chosen = &mut sides[side as usize];
            chosen.gear = fixed(&self.request.gear, side);
            chosen.case = fixed(&self.request.case, side);
            for (size, count) in self.drawer.sizes.iter().zip(way.shims[side as usize].1) {
                chosen.shims.extend(std::iter::repeat_n(size.0, *count as usize));
            }
        }
        let picked = |class: &Class, split: &Split| {
            class
                .picked(*split)
                .map(|names| names.into_iter().cloned().collect::<Vec<_>>())
        };
        for (class, split) in self.gear.classes().zip(way.gear) {
            for (side, names) in sides.iter_mut().zip(picked(class, split)) {
                side.gear.extend(names);
            }
        }
        for (class, split) in self.case.classes().zip(way.case) {
            for (side, names) in sides.iter_mut().zip(picked(class, split)) {
                side.case.extend(names);
            }
        }
        weigh(self.request, sides).ok().map(|(choice, _)| choice)
    }
}
