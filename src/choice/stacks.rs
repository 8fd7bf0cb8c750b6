//! The plates of one keying: which heights a number of plates left and right can make, and the ways to make them.
//!
//! Plates of several nominals make far fewer heights than the plane that holds them has points. So the plates are cut
//! by thickness into clusters, and what goes left and right from each cluster is gone through number by number.

use super::classes::{Class, Cost, Split, Tally};
use super::clusters::Cluster;
use super::error::ChoiceError;
use super::groups::{Composition, Group, Groups};
use super::planes::Extent;
use crate::quantity::Length;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::rc::Rc;

/// Bits that all planes of the clusters of one keying may take: 80 MB.
const MOST_POINTS: u64 = 640_000_000;

/// Bits that the planes of all groups of one keying and tally may take: 320 MB, of which a few are ever built.
const MOST_GROUPED: u64 = 2_560_000_000;

/// Shares of the plates over the clusters that are gone through without cutting into fewer clusters, nm.
const MANY_SHARES: u64 = 50_000;

/// Shares of the plates over the clusters that may be gone through.
const MOST_SHARES: u64 = 2_000_000;

/// How far the plates of a cluster lie apart at most, nm: each is tried where the one before makes too many shares.
pub(super) const SPANS: [i64; 8] = [
    200_000, 260_000, 340_000, 450_000, 600_000, 800_000, 1_100_000, 1_500_000,
];

/// A number of clusters left out from the thickest, plates left and right, and a tally.
type State = (usize, Split, Tally);

pub(super) struct Stacks {
    pub clusters: Rc<Vec<Cluster>>,
    need: [usize; 2],
    cost: Cost,
    /// The greatest common step of the thicknesses.
    step: Length,
    /// For each number of clusters left out from the thickest, left and right: whether the rest can make it.
    fits: Vec<Vec<bool>>,
    /// For each number of clusters left out: the most new parts and changes of side of the rest.
    beyond: Vec<Cost>,
    groups: RefCell<BTreeMap<State, Groups>>,
}

/// Cuts classes, thickest first, at their widest gaps until no run spans more than `span` steps.
fn cut(classes: Vec<Class>, span: i64) -> Vec<Vec<Class>> {
    let spanned = match (classes.first(), classes.last()) {
        (Some(first), Some(last)) => first.steps - last.steps,
        _ => return Vec::new(),
    };
    if spanned <= span {
        return vec![classes];
    }
    let gaps = classes.windows(2).map(|pair| pair[0].steps - pair[1].steps);
    // the first of the widest
    let mut widest = (0, 0);
    for (index, gap) in gaps.enumerate() {
        if gap > widest.1 {
            widest = (index + 1, gap);
        }
    }
    let mut thick = classes;
    let thin = thick.split_off(widest.0);
    let mut runs = cut(thick, span);
    runs.extend(cut(thin, span));
    runs
}

impl Stacks {
    /// Of classes whose steps count from their thinnest, cut where that makes them cheap to go through.
    pub fn new(
        classes: &[Class],
        need: [usize; 2],
        step: Length,
        spans: &[i64],
    ) -> Result<Stacks, ChoiceError> {
        let mut best: Option<(u64, Stacks)> = None;
        for span in spans {
            let stacks = Stacks::cut_at(classes, need, step, *span);
            let shares = stacks.shares();
            // wider clusters have larger planes
            if best.is_some() && stacks.bits() > MOST_POINTS {
                break;
            }
            if best.as_ref().is_none_or(|best| shares < best.0) {
                best = Some((shares, stacks));
            }
            if shares <= MANY_SHARES {
                break;
            }
        }
        match best {
            Some((shares, stacks)) if shares <= MOST_SHARES => Ok(stacks),
            best => Err(ChoiceError::TooLarge {
                what: "the ways to share out plates of so many thicknesses",
                needed: best.map_or(u64::MAX, |best| best.0),
                most: MOST_SHARES,
                step,
            }),
        }
    }

    /// Cut so that no cluster spans more than `span` nanometres.
    fn cut_at(classes: &[Class], need: [usize; 2], step: Length, span: i64) -> Stacks {
        let clusters: Vec<Cluster> = cut(classes.to_vec(), span / step.nm())
            .into_iter()
            .map(|classes| Cluster::new(classes, need))
            .collect();
        Stacks::of_clusters(Rc::new(clusters), need, step)
    }

    /// The same plates for another need, which is no greater.
    pub fn for_need(&self, need: [usize; 2]) -> Stacks {
        Stacks::of_clusters(self.clusters.clone(), need, self.step)
    }

    fn of_clusters(clusters: Rc<Vec<Cluster>>, need: [usize; 2], step: Length) -> Stacks {
        let sum = |of: fn(Cost) -> usize| {
            let all = clusters.iter().map(|cluster| of(cluster.cost())).sum::<usize>();
            all.min(need[0] + need[1])
        };
        let cost = Cost {
            new: sum(|cost| cost.new),
            moved: sum(|cost| cost.moved),
        };
        let mut stacks = Stacks {
            clusters,
            need,
            cost,
            step,
            fits: Vec::new(),
            beyond: vec![Cost { new: 0, moved: 0 }],
            groups: RefCell::default(),
        };
        for cluster in stacks.clusters.iter().rev() {
            let rest = stacks.beyond[0];
            let here = cluster.cost();
            let sum = Cost {
                new: rest.new + here.new,
                moved: rest.moved + here.moved,
            };
            stacks.beyond.insert(0, sum);
        }
        stacks.fits = stacks
            .counted()
            .iter()
            .map(|level| level.iter().map(|ways| *ways > 0).collect())
            .collect();
        stacks
    }

    fn index(&self, (left, right): Split) -> usize {
        left * (self.need[1] + 1) + right
    }

    /// The number of shares over the clusters, for each number of clusters left out, left and right.
    fn counted(&self) -> Vec<Vec<u64>> {
        let states = (self.need[0] + 1) * (self.need[1] + 1);
        let last = self.clusters.len();
        let mut ways = vec![vec![0_u64; states]; last + 1];
        ways[last][0] = 1;
        for level in (0..last).rev() {
            for left in 0..=self.need[0] {
                for right in 0..=self.need[1] {
                    let here = self.takes(level, (left, right)).fold(0, |sum: u64, (l, r)| {
                        sum.saturating_add(ways[level + 1][self.index((left - l, right - r))])
                    });
                    ways[level][self.index((left, right))] = here;
                }
            }
        }
        ways
    }

    fn shares(&self) -> u64 {
        self.counted()[0][self.index((self.need[0], self.need[1]))]
    }

    /// What a cluster may take of a need.
    fn takes(&self, level: usize, (left, right): Split) -> impl Iterator<Item = Split> {
        let cluster = &self.clusters[level];
        let [l, r] = cluster.most();
        (0..=l.min(left))
            .flat_map(move |l| (0..=r.min(right)).map(move |r| (l, r)))
            .filter(|split| cluster.extent(0, *split, Tally::Any).is_some())
    }

    fn bits(&self) -> u64 {
        self.clusters
            .iter()
            .fold(0, |sum, cluster| cluster.bits().saturating_add(sum))
    }

    pub fn need(&self) -> [usize; 2] {
        self.need
    }

    /// The thickness of the thinnest plate that is not fixed to a side; zero where there is none.
    pub fn thinnest(&self) -> Length {
        self.classes()
            .last()
            .map_or(Length::ZERO, |class| class.thickness)
    }

    /// The most new parts and changes of side.
    pub fn cost(&self) -> Cost {
        self.cost
    }

    /// All classes, thickest first.
    pub fn classes(&self) -> impl Iterator<Item = &Class> {
        self.clusters.iter().flat_map(|cluster| &cluster.classes)
    }

    /// The groups of the whole need, counted before any plane of theirs is built.
    pub fn whole(&self, tally: Tally) -> Result<Groups, ChoiceError> {
        let need = (self.need[0], self.need[1]);
        if let Some(known) = self.groups.borrow().get(&(0, need, tally)) {
            return Ok(known.clone());
        }
        let groups = self.groups(0, need, tally);
        let grouped = groups
            .iter()
            .fold(0, |sum, group| group.extent.bits().saturating_add(sum));
        for (needed, most) in [(self.bits(), MOST_POINTS), (grouped, MOST_GROUPED)] {
            if needed > most {
                return Err(ChoiceError::TooLarge {
                    what: "the heights that the plates can make",
                    needed,
                    most,
                    step: self.step,
                });
            }
        }
        Ok(groups)
    }

    /// What the clusters from `level` on can make of a need, near by near.
    fn groups(&self, level: usize, need: Split, tally: Tally) -> Groups {
        let state = (level, need, tally);
        if let Some(known) = self.groups.borrow().get(&state) {
            return known.clone();
        }
        let mut compositions = Vec::new();
        self.compose(
            level,
            need,
            tally,
            Extent::ORIGIN,
            &mut Vec::new(),
            &mut compositions,
        );
        let groups: Groups = Rc::new(Group::near_by_near(level, compositions, self.step));
        self.groups.borrow_mut().insert(state, groups.clone());
        groups
    }

    fn compose(
        &self,
        level: usize,
        need: Split,
        tally: Tally,
        extent: Extent,
        taken: &mut Vec<(Split, Tally)>,
        compositions: &mut Vec<Composition>,
    ) {
        let Some(cluster) = self.clusters.get(level) else {
            if need == (0, 0) && tally.is_spent() {
                compositions.push(Composition {
                    taken: taken.clone(),
                    extent,
                });
            }
            return;
        };
        for (l, r) in self.takes(level, need) {
            let rest = (need.0 - l, need.1 - r);
            if !self.fits[level + 1][self.index(rest)] {
                continue;
            }
            let lift = (l as i64 * cluster.lowest, r as i64 * cluster.lowest);
            for (first, second) in tally.parted(cluster.cost()) {
                if !second.is_within(self.beyond[level + 1]) {
                    continue;
                }
                if let Some(here) = cluster.extent(0, (l, r), first) {
                    taken.push(((l, r), first));
                    let extent = extent.added(here.moved(lift.0, lift.1));
                    self.compose(level + 1, rest, second, extent, taken, compositions);
                    taken.pop();
                }
            }
        }
    }

    /// Calls `f` with every way to make the heights with just this tally: for each class its split.
    pub fn each_way(
        &self,
        tally: Tally,
        left: i64,
        both: i64,
        f: &mut dyn FnMut(&[Split]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let place = Place {
            cluster: 0,
            level: 0,
            need: (self.need[0], self.need[1]),
            tally,
            left,
            both,
        };
        self.descend(&mut Vec::with_capacity(self.classes().count()), place, f)
    }

    fn descend(
        &self,
        way: &mut Vec<Split>,
        place: Place,
        f: &mut dyn FnMut(&[Split]) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        if !self.can(&place) {
            return ControlFlow::Continue(());
        }
        let Some(cluster) = self.clusters.get(place.cluster) else {
            return f(way);
        };
        let Some(class) = cluster.classes.get(place.level) else {
            let next = Place {
                cluster: place.cluster + 1,
                level: 0,
                ..place
            };
            return self.descend(way, next, f);
        };
        let steps = cluster.lowest + class.steps;
        for ((l, r), tally) in class.splits([place.need.0, place.need.1], place.tally) {
            way.push((l, r));
            let next = Place {
                cluster: place.cluster,
                level: place.level + 1,
                need: (place.need.0 - l, place.need.1 - r),
                tally,
                left: place.left - l as i64 * steps,
                both: place.both - (l + r) as i64 * steps,
            };
            self.descend(way, next, f)?;
            way.pop();
        }
        ControlFlow::Continue(())
    }

    /// Whether the classes from a place on can make what is wanted there.
    fn can(&self, place: &Place) -> bool {
        let Place {
            cluster: index,
            level,
            need,
            tally,
            left,
            both,
        } = *place;
        let Some(cluster) = self.clusters.get(index) else {
            return (need, left, both) == ((0, 0), 0, 0) && tally.is_spent();
        };
        let [most_left, most_right] = cluster.most();
        let last = index + 1 == self.clusters.len();
        for l in 0..=need.0.min(most_left) {
            for r in 0..=need.1.min(most_right) {
                let rest = (need.0 - l, need.1 - r);
                if !self.fits[index + 1][self.index(rest)] {
                    continue;
                }
                let (x, t) = (
                    left - l as i64 * cluster.lowest,
                    both - (l + r) as i64 * cluster.lowest,
                );
                for (first, second) in tally.parted(cluster.cost()) {
                    if last && !second.is_spent() {
                        continue;
                    }
                    let Some(extent) = cluster.extent(level, (l, r), first) else {
                        continue;
                    };
                    if last {
                        if extent.holds(x, t)
                            && cluster
                                .plane(level, (l, r), first)
                                .is_some_and(|plane| plane.contains(x, t))
                        {
                            return true;
                        }
                        continue;
                    }
                    for tail in self.groups(index + 1, rest, second).iter() {
                        if extent.added(tail.extent).holds(x, t)
                            && let Some(plane) = cluster.plane(level, (l, r), first)
                            && tail.set(&self.clusters).meets(plane, x, t)
                        {
                            return true;
                        }
                    }
                }
            }
        }
        false
    }
}

/// Where a search for the ways to make heights has come.
#[derive(Clone, Copy)]
struct Place {
    cluster: usize,
    level: usize,
    need: Split,
    tally: Tally,
    left: i64,
    both: i64,
}
