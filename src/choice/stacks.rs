//! The plates of one keying: which heights a number of plates left and right can make, and the ways to make them.

use super::error::ChoiceError;
use super::planes::{Extent, Plane};
use super::request::Candidate;
use crate::quantity::Length;
use std::ops::ControlFlow;

/// Bits that all planes of one keying may take: 20 MB.
pub(super) const MOST_POINTS: u64 = 160_000_000;

/// Free plates of one thickness; used ones first, each by name.
pub(super) struct Class {
    pub thickness: Length,
    pub steps: i64,
    pub used: usize,
    pub names: Vec<String>,
}

/// How many of one class go left and right.
pub(super) type Split = (usize, usize);

impl Class {
    fn new_parts(&self, (left, right): Split) -> usize {
        (left + right).saturating_sub(self.used)
    }

    /// The ways to split this class, most on the left first, then most on the right.
    fn splits(&self, most: [usize; 2], most_new: usize) -> impl Iterator<Item = (Split, usize)> {
        let count = self.names.len();
        (0..=most[0].min(count)).rev().flat_map(move |left| {
            (0..=most[1].min(count - left)).rev().filter_map(move |right| {
                let new = self.new_parts((left, right));
                (new <= most_new).then_some(((left, right), new))
            })
        })
    }
}

/// Groups the plates that are not fixed to a side by thickness, thickest first. `steps` is left at zero.
pub(super) fn classes(plates: &[Candidate]) -> Vec<Class> {
    let mut free: Vec<&Candidate> = plates.iter().filter(|plate| plate.fixed.is_none()).collect();
    free.sort_by(|a, b| {
        b.thickness
            .cmp(&a.thickness)
            .then(a.spare.cmp(&b.spare))
            .then(a.name.cmp(&b.name))
    });
    let mut classes: Vec<Class> = Vec::new();
    for plate in free {
        match classes.last_mut() {
            Some(last) if last.thickness == plate.thickness => {
                last.names.push(plate.name.clone());
                last.used += usize::from(!plate.spare);
            }
            _ => classes.push(Class {
                thickness: plate.thickness,
                steps: 0,
                used: usize::from(!plate.spare),
                names: vec![plate.name.clone()],
            }),
        }
    }
    classes
}

/// For each number of classes left out from the thickest, each count left and right, and each number of new parts:
/// the heights that the remaining classes can make.
pub(super) struct Stacks {
    pub classes: Vec<Class>,
    need: [usize; 2],
    most_new: usize,
    levels: Vec<Vec<Option<Plane>>>,
    mirrors: Vec<Option<Plane>>,
}

impl Stacks {
    pub fn new(classes: Vec<Class>, need: [usize; 2], step: Length) -> Result<Stacks, ChoiceError> {
        let most_new = classes
            .iter()
            .map(|class| class.names.len() - class.used)
            .sum::<usize>()
            .min(need[0] + need[1]);
        let mut stacks = Stacks {
            classes,
            need,
            most_new,
            levels: Vec::new(),
            mirrors: Vec::new(),
        };
        let too_large = |needed| ChoiceError::TooLarge {
            what: "the heights that the plates can make",
            needed,
            most: MOST_POINTS,
            step,
        };
        // a word for every plane, even for an empty one
        let planes = [stacks.classes.len() + 1, need[0] + 1, need[1] + 1, most_new + 1]
            .iter()
            .fold(64_u64, |product, count| product.saturating_mul(*count as u64));
        if planes > MOST_POINTS {
            return Err(too_large(planes));
        }
        let extents = stacks.extents();
        let needed: u64 = extents
            .iter()
            .flatten()
            .flatten()
            .fold(0, |sum, extent| extent.bits().saturating_add(sum));
        if needed > MOST_POINTS {
            return Err(too_large(needed));
        }
        stacks.levels = extents.iter().map(|level| vec![None; level.len()]).collect();
        let last = stacks.classes.len();
        stacks.levels[last][0] = Some(Plane::origin());
        for level in (0..last).rev() {
            let class = &stacks.classes[level];
            for (index, extent) in extents[level].iter().enumerate() {
                let Some(extent) = extent else { continue };
                let (left, right, new) = stacks.counts(index);
                let mut plane = Plane::empty(*extent);
                for ((l, r), n) in class.splits([left, right], new) {
                    let from = stacks.index(left - l, right - r, new - n);
                    if let Some(from) = &stacks.levels[level + 1][from] {
                        plane.add_moved(from, l as i64 * class.steps, r as i64 * class.steps);
                    }
                }
                stacks.levels[level][index] = Some(plane);
            }
        }
        stacks.mirrors = (0..=most_new)
            .map(|new| stacks.plane(new).map(Plane::mirrored))
            .collect();
        Ok(stacks)
    }

    fn index(&self, left: usize, right: usize, new: usize) -> usize {
        (left * (self.need[1] + 1) + right) * (self.most_new + 1) + new
    }

    fn counts(&self, index: usize) -> (usize, usize, usize) {
        let (pair, new) = (index / (self.most_new + 1), index % (self.most_new + 1));
        (pair / (self.need[1] + 1), pair % (self.need[1] + 1), new)
    }

    /// The extent of every plane that the classes before it leave a use for.
    fn extents(&self) -> Vec<Vec<Option<Extent>>> {
        let states = (self.need[0] + 1) * (self.need[1] + 1) * (self.most_new + 1);
        let last = self.classes.len();
        let mut levels = vec![vec![None; states]; last + 1];
        levels[last][0] = Some(Extent::ORIGIN);
        for level in (0..last).rev() {
            let before: usize = self.classes[..level].iter().map(|class| class.names.len()).sum();
            let class = &self.classes[level];
            for index in 0..states {
                let (left, right, new) = self.counts(index);
                if self.need[0] + self.need[1] - left - right > before {
                    continue;
                }
                let mut joined: Option<Extent> = None;
                for ((l, r), n) in class.splits([left, right], new) {
                    if let Some(from) = levels[level + 1][self.index(left - l, right - r, new - n)] {
                        let moved = from.moved(l as i64 * class.steps, r as i64 * class.steps);
                        joined = Some(joined.map_or(moved, |extent| extent.joined(moved)));
                    }
                }
                levels[level][index] = joined;
            }
        }
        levels
    }

    pub fn most_new(&self) -> usize {
        self.most_new
    }

    /// The heights of the whole need with just so many new parts.
    pub fn plane(&self, new: usize) -> Option<&Plane> {
        self.levels[0][self.index(self.need[0], self.need[1], new)].as_ref()
    }

    pub fn mirror(&self, new: usize) -> Option<&Plane> {
        self.mirrors[new].as_ref()
    }

    /// The heights of the whole need with any number of new parts.
    pub fn any(&self) -> Option<Plane> {
        let planes: Vec<&Plane> = (0..=self.most_new).filter_map(|new| self.plane(new)).collect();
        let extent = planes.iter().map(|plane| plane.extent()).reduce(Extent::joined)?;
        let mut any = Plane::empty(extent);
        for plane in planes {
            any.add_moved(plane, 0, 0);
        }
        Some(any)
    }

    /// Calls `f` with every way to make the heights with just so many new parts: for each class its split.
    pub fn each_way(
        &self,
        new: usize,
        left: i64,
        both: i64,
        f: &mut dyn FnMut(&[Split]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let mut way = Vec::with_capacity(self.classes.len());
        self.descend(&mut way, self.need, new, (left, both), f)
    }

    fn descend(
        &self,
        way: &mut Vec<Split>,
        need: [usize; 2],
        new: usize,
        (left, both): (i64, i64),
        f: &mut dyn FnMut(&[Split]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let level = way.len();
        let here = self.levels[level][self.index(need[0], need[1], new)].as_ref();
        if !here.is_some_and(|plane| plane.contains(left, both)) {
            return ControlFlow::Continue(());
        }
        let Some(class) = self.classes.get(level) else {
            return f(way);
        };
        for ((l, r), n) in class.splits(need, new) {
            way.push((l, r));
            let rest = (left - l as i64 * class.steps, both - (l + r) as i64 * class.steps);
            self.descend(way, [need[0] - l, need[1] - r], new - n, rest, f)?;
            way.pop();
        }
        ControlFlow::Continue(())
    }
}
