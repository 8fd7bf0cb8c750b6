//! A request made ready to be searched, and the search.

use super::classes::{Cost, Moves, Tally, classes};
use super::error::ChoiceError;
use super::pair_sweep::Ground;
use super::pairs::Pairs;
use super::ranking::{Frame, Key, Slack, between};
use super::request::{Choice, First, Request};
use super::shims::{Drawer, common};
use super::stacks::{SPANS, Stacks};
use super::sweep::{Got, Sweep, Wanted};
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::{ControlFlow, RangeInclusive};
use std::rc::Rc;

/// So many choices with one number of new parts are looked at before they are told apart by plates that change side.
const FEW_CHOICES: usize = 40;

/// Plates that change side, shims, deviation and difference; shims on the left, heights of shims and of plates; shims,
/// thickest first, new friction plates and those that change side.
type LeastChange = (
    (u32, u32, Length, Length),
    (usize, [Length; 2], [Length; 2]),
    ([Reverse<Vec<Length>>; 2], usize, usize),
);

/// The heights of the plates of both keyings, in steps above the base of each side.
#[derive(Clone, Copy)]
pub(super) struct Point {
    pub left: i64,
    pub both: i64,
}

/// Pairs of groups of all ways to part a tally between the keyings.
pub(super) type Sets = Rc<Vec<Rc<Pairs>>>;

pub(super) struct Problem<'a> {
    pub request: &'a Request,
    pub frame: Frame,
    /// The greatest common step of the plates' thicknesses, nm.
    pub step: i64,
    /// Plates of each side with every free one as thin as the thinnest, nm.
    pub base: [i64; 2],
    pub gear: Rc<Stacks>,
    pub case: Rc<Stacks>,
    pub drawer: Rc<Drawer>,
    /// The heights of the plates with any number of new parts.
    any: Sets,
    sets: RefCell<BTreeMap<Tally, Sets>>,
    /// So many choices with one number of new parts are put in order as they are.
    few: usize,
    pub symmetric: bool,
}

/// What counts of plates that ran on a side.
fn moves(request: &Request) -> Moves {
    if request.keep_in_place {
        Moves::Refused
    } else if request.first == First::LeastChange {
        Moves::Counted
    } else {
        Moves::Free
    }
}

impl<'a> Problem<'a> {
    /// Of a request that was checked.
    pub fn new(request: &'a Request) -> Result<Problem<'a>, ChoiceError> {
        Problem::cut_at(request, &SPANS)
    }

    /// With clusters that span no more than the first of these that is cheap enough, nm.
    fn cut_at(request: &'a Request, spans: &[i64]) -> Result<Problem<'a>, ChoiceError> {
        let mut base = [0; 2];
        let mut step = 0;
        let moves = moves(request);
        let mut kinds = [Keying::Gear, Keying::Case].map(|keying| {
            let plates = request.plates(keying);
            let mut need = request.needed(keying);
            for plate in plates {
                if let Some(side) = plate.fixed {
                    base[side as usize] += plate.thickness.nm();
                    need[side as usize] -= 1;
                }
            }
            let classes = classes(plates, moves);
            let thinnest = classes.last().map_or(0, |class| class.thickness.nm());
            for (base, need) in base.iter_mut().zip(need) {
                *base += need as i64 * thinnest;
            }
            step = classes
                .iter()
                .fold(step, |step, class| common(step, class.thickness.nm() - thinnest));
            (classes, need, thinnest)
        });
        let step = step.max(1);
        for (classes, _, thinnest) in &mut kinds {
            for class in classes {
                class.steps = (class.thickness.nm() - *thinnest) / step;
            }
        }
        let shown = Length::from_nm(step);
        let [gear, case] = kinds;
        let gear = Rc::new(Stacks::new(&gear.0, gear.1, shown, spans)?);
        let case = Rc::new(Stacks::new(&case.0, case.1, shown, spans)?);
        let mut plates = request.gear.iter().chain(&request.case);
        let is_even = plates.all(|plate| {
            let stays = moves != Moves::Free && !plate.spare && plate.ran.is_some();
            plate.fixed.is_none() && !stays
        });
        let frame = Frame::new(request);
        let symmetric = frame.is_symmetric() && is_even && request.needs[0] == request.needs[1];
        let drawer = Rc::new(Drawer::new(&request.shims, request.most_shims)?);
        let mut problem = Problem {
            request,
            frame,
            step,
            base,
            gear,
            case,
            drawer,
            any: Sets::default(),
            sets: RefCell::default(),
            few: FEW_CHOICES,
            symmetric,
        };
        problem.any = problem.sets(Tally::Any)?;
        Ok(problem)
    }

    /// The same with one plate of a keying less on a side; none where the side takes no such plate beside those that are
    /// fixed to it.
    pub fn with_one_less(&self, keying: Keying, side: Side) -> Result<Option<Problem<'a>>, ChoiceError> {
        let stacks = match keying {
            Keying::Gear => &self.gear,
            Keying::Case => &self.case,
        };
        let mut need = stacks.need();
        let Some(less) = need[side.index()].checked_sub(1) else {
            return Ok(None);
        };
        need[side.index()] = less;
        let less = Rc::new(stacks.for_need(need));
        let mut problem = Problem {
            request: self.request,
            frame: self.frame,
            step: self.step,
            base: self.base,
            gear: self.gear.clone(),
            case: self.case.clone(),
            drawer: self.drawer.clone(),
            any: Sets::default(),
            sets: RefCell::default(),
            few: self.few,
            symmetric: false,
        };
        problem.base[side.index()] -= stacks.thinnest().nm();
        match keying {
            Keying::Gear => problem.gear = less,
            Keying::Case => problem.case = less,
        }
        problem.any = problem.sets(Tally::Any)?;
        Ok(Some(problem))
    }

    /// Looks at the two sides as unlike, so that a choice and the same with its sides changed over are two.
    pub fn tell_sides_apart(&mut self) {
        self.symmetric = false;
    }

    /// The most new parts and changes of side.
    fn cost(&self) -> Cost {
        let (gear, case) = (self.gear.cost(), self.case.cost());
        Cost {
            new: gear.new + case.new,
            moved: gear.moved + case.moved,
        }
    }

    /// The pairs of groups of a tally, friction plates with the least of it first.
    pub fn sets(&self, tally: Tally) -> Result<Sets, ChoiceError> {
        if let Some(known) = self.sets.borrow().get(&tally) {
            return Ok(known.clone());
        }
        let mut sets = Vec::new();
        for (gear, case) in tally.parted(self.gear.cost()) {
            if !case.is_within(self.case.cost()) {
                continue;
            }
            let pairs = Pairs::new(
                self.gear.whole(gear)?,
                self.case.whole(case)?,
                (gear, case),
                self.step,
            );
            if !pairs.pairs.is_empty() {
                sets.push(Rc::new(pairs));
            }
        }
        let sets = Rc::new(sets);
        self.sets.borrow_mut().insert(tally, sets.clone());
        Ok(sets)
    }

    pub fn ground<'b>(&'b self, sets: &'b [Rc<Pairs>]) -> Ground<'b> {
        Ground {
            gear: &self.gear,
            case: &self.case,
            sets,
        }
    }

    /// The best choices among those that fail by no more than the slack, beside what is to be got.
    pub fn best(&self, slack: Slack, got: Got, wanted: usize) -> Result<Vec<Choice>, ChoiceError> {
        let mut found = Vec::new();
        let of_new: Vec<Tally> = (0..=self.cost().new).map(Tally::New).collect();
        let all = Wanted::best(slack, got);
        match self.request.first {
            First::Reuse => {
                for tally in of_new {
                    let plates = self.sets(tally)?;
                    self.best_of(&plates, &[tally], all, wanted, &mut found)?;
                }
            }
            First::LeastChange => {
                let mut after = None;
                while found.len() < wanted
                    && let Some(key) = self.keys(&self.any, Wanted { after, ..all }).first()
                {
                    let grade = Frame::grade(*key);
                    let of_grade = Wanted {
                        after,
                        until: Some(Frame::worse_in_grade(grade)),
                        ..all
                    };
                    for tally in &of_new {
                        self.best_of_new(*tally, of_grade, wanted, &mut found)?;
                    }
                    after = of_grade.until;
                }
            }
            First::Fewest | First::Closest | First::Surest => {
                self.best_of(&self.any, &of_new, all, wanted, &mut found)?;
            }
        }
        Ok(found)
    }

    /// Goes through the choices with just so many new parts by how many plates change side.
    fn best_of_new(
        &self,
        tally: Tally,
        which: Wanted,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> Result<(), ChoiceError> {
        let plates = self.sets(tally)?;
        let Tally::New(new) = tally else { return Ok(()) };
        if self.cost().moved == 0 {
            return self.best_of(&plates, &[tally], which, wanted, found);
        }
        if found.len() == wanted {
            return Ok(());
        }
        // where they are few they are put in order as they are
        let mut few = Vec::new();
        self.best_of(&plates, &[tally], which, self.few, &mut few)?;
        if few.len() < self.few {
            few.sort_by_cached_key(|choice| self.least_change(choice));
            few.truncate(wanted - found.len());
            found.extend(few);
            return Ok(());
        }
        for moved in 0..=self.cost().moved {
            let tally = Tally::Both(new, moved);
            self.best_of(&self.sets(tally)?, &[tally], which, wanted, found)?;
        }
        Ok(())
    }

    /// The order of choices that are alike in grade and new parts: by plates that change side, and then as everywhere.
    fn least_change(&self, choice: &Choice) -> LeastChange {
        let shims = [0, 1].map(|side: usize| choice.sides[side].shims.clone());
        let heights = [0, 1].map(|side: usize| shims[side].iter().copied().sum::<Length>());
        let plates = [0, 1].map(|side: usize| choice.heights[side] - heights[side]);
        let gear = Side::BOTH.map(|side| {
            let names = &choice.sides[side.index()].gear;
            let plates = self.request.gear.iter();
            plates
                .filter(|plate| names.contains(&plate.name))
                .collect::<Vec<_>>()
        });
        let new = gear.iter().flatten().filter(|plate| plate.spare).count();
        let moved = Side::BOTH.map(|side| {
            let on_it = gear[side.index()].iter();
            on_it
                .filter(|plate| plate.fixed.is_none() && plate.moves_to(side))
                .count()
        });
        (
            (
                choice.moved,
                choice.shims,
                choice.worst_deviation,
                choice.difference,
            ),
            (shims[0].len(), heights, plates),
            (shims.map(Reverse), new, moved[0] + moved[1]),
        )
    }

    /// Some heights that fail by no more than the slack, beside what is to be got.
    pub fn possible(&self, slack: Slack, got: Got) -> Option<[i64; 2]> {
        let wanted = Wanted {
            any: true,
            ..Wanted::best(slack, got)
        };
        self.swept(&self.any, wanted).taken
    }

    /// What the best admissible choice ranks beside what is to be got, new parts and changes of side apart.
    pub fn best_key(&self, got: Got) -> Option<Key> {
        self.keys(&self.any, Wanted::best(Slack::NONE, got))
            .first()
            .copied()
    }

    /// Goes through the ranks, best first. One rank is most often enough, so it starts with one.
    fn best_of(
        &self,
        plates: &[Rc<Pairs>],
        tallies: &[Tally],
        which: Wanted,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> Result<(), ChoiceError> {
        let mut which = which;
        while found.len() < wanted {
            let keys = self.keys(plates, which);
            for key in &keys {
                if self
                    .choices_of(plates, *key, tallies, which, wanted, found)?
                    .is_break()
                {
                    return Ok(());
                }
            }
            if keys.len() < which.count {
                break;
            }
            which.after = keys.last().copied();
            which.count = (which.count * 4).min(wanted);
        }
        Ok(())
    }

    /// The ways to divide a number of shims from the drawer between the sides.
    fn divisions(&self, shims: u32, got: Got) -> Vec<[u32; 2]> {
        let [of_left, of_right] = self.shims_of(got);
        of_left
            .filter_map(|left| {
                let right = shims.checked_sub(left)?;
                of_right.contains(&right).then_some([left, right])
            })
            .collect()
    }

    /// How many shims from the drawer may lie on each side, beside those that are to be got.
    fn shims_of(&self, got: Got) -> [RangeInclusive<u32>; 2] {
        let (least, most) = (self.request.least_shims, self.request.most_shims);
        got.shims.map(|got| match most.checked_sub(got) {
            Some(most) => least.saturating_sub(got)..=most.min(self.drawer.most()),
            None => RangeInclusive::new(1, 0),
        })
    }

    /// The keys that are wanted.
    fn keys(&self, plates: &[Rc<Pairs>], wanted: Wanted) -> BTreeSet<Key> {
        self.swept(plates, wanted).keys
    }

    fn swept(&self, plates: &[Rc<Pairs>], wanted: Wanted) -> Sweep<'_> {
        let mut sweep = Sweep::new(&self.frame, &self.drawer, self.step, self.base, wanted);
        let [left, right] = self.shims_of(wanted.got);
        if left.is_empty() || right.is_empty() || plates.is_empty() {
            return sweep;
        }
        let ground = self.ground(plates);
        let near = sweep.reached(ground, [&left, &right]);
        for shims in left.start() + right.start()..=left.end() + right.end() {
            if sweep.is_done(shims) {
                break;
            }
            let divisions = self.divisions(shims, wanted.got);
            if sweep.pairs(ground, &near, shims, &divisions).is_break() {
                break;
            }
        }
        sweep
    }

    fn point(&self, plates: [i64; 2]) -> Option<Point> {
        let [left, right] = [plates[0] - self.base[0], plates[1] - self.base[1]];
        (left % self.step == 0 && right % self.step == 0).then(|| Point {
            left: left / self.step,
            both: (left + right) / self.step,
        })
    }

    /// Adds the choices of one rank in their order until enough are found.
    fn choices_of(
        &self,
        plates: &[Rc<Pairs>],
        key: Key,
        tallies: &[Tally],
        which: Wanted,
        wanted: usize,
        found: &mut Vec<Choice>,
    ) -> Result<ControlFlow<()>, ChoiceError> {
        let (shims, deviation, difference) = self.frame.parts(key);
        let mut points = self.frame.points(deviation, difference);
        points.retain(|point| {
            let weighed = self.frame.weigh(*point);
            self.frame.key(shims, &weighed) == key && self.frame.admits(*point, which.slack)
        });
        let ground = self.ground(plates);
        let Some(extent) = ground.extent() else {
            return Ok(ControlFlow::Continue(()));
        };
        // each tally asks for the same points again
        let mut made: BTreeMap<(i64, i64), bool> = BTreeMap::new();
        let mut is_made = |point: &Point| {
            *made
                .entry((point.left, point.both))
                .or_insert_with(|| ground.contains(point.left, point.both))
        };
        let drawn = shims - which.got.shims[0] - which.got.shims[1];
        for tally in tallies {
            let sets = self.sets(*tally)?;
            for division in self.divisions(drawn, which.got) {
                for left in self.drawer.heights(division[0]) {
                    let near: Vec<[i64; 2]> = points
                        .iter()
                        .filter(|point| {
                            let at = point[0] - left - self.base[0];
                            at % self.step == 0 && (extent.left.0..=extent.left.1).contains(&(at / self.step))
                        })
                        .copied()
                        .collect();
                    let (Some(lowest), Some(highest)) = (
                        near.iter().map(|point| point[1]).min(),
                        near.iter().map(|point| point[1]).max(),
                    ) else {
                        continue;
                    };
                    let range = (
                        lowest - self.base[1] - extent.right.1 * self.step,
                        highest - self.base[1] - extent.right.0 * self.step,
                    );
                    for right in between(self.drawer.heights(division[1]), range) {
                        for height in &near {
                            if let Some(point) = self.point([height[0] - left, height[1] - right])
                                && is_made(&point)
                            {
                                let sides = [(division[0], *left), (division[1], *right)];
                                if self.fill(sides, point, &sets, wanted, found).is_break() {
                                    return Ok(ControlFlow::Break(()));
                                }
                            }
                        }
                    }
                }
            }
        }
        Ok(ControlFlow::Continue(()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choice::{Candidate, Layout, Need, ShimSize, Window};
    use proptest::prelude::*;

    fn plates(prefix: &str, thicknesses: &[(i64, u8)]) -> Vec<Candidate> {
        let named = thicknesses.iter().enumerate();
        named
            .map(|(index, (um, kind))| Candidate {
                name: format!("{prefix}{index}"),
                thickness: Length::from_um(*um),
                spare: kind % 4 == 0,
                fixed: (kind / 16 == 0).then_some(Side::Left),
                ran: [None, Some(Side::Left), Some(Side::Right)][usize::from(kind % 3)],
            })
            .collect()
    }

    prop_compose! {
        fn plate()(nominal in 0_i64..3, off in 0_i64..40, kind in 0_u8..255) -> (i64, u8) {
            (1_500 + 310 * nominal + off, kind)
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn where_the_plates_are_cut_changes_nothing(
            gear in prop::collection::vec(plate(), 5..7),
            case in prop::collection::vec(plate(), 4..6),
            room in 8_000_i64..9_500,
            off in -30_i64..30,
            first in 0_usize..5,
            through in any::<bool>(),
            keep_in_place in any::<bool>(),
        ) {
            let window = Window {
                least: Length::from_um(100),
                target: Length::from_um(180),
                most: Length::from_um(300),
            };
            let layout = if through {
                Layout::Through {
                    room: Length::from_um(2 * room),
                    offsets: [Length::ZERO, Length::from_um(off)],
                    window,
                    match_within: Length::from_um(90),
                }
            } else {
                Layout::PerSide {
                    rooms: [room, room + off].map(Length::from_um),
                    windows: [window; 2],
                    match_within: Some(Length::from_um(60)),
                }
            };
            let request = Request {
                layout,
                needs: [Need { gear: 2, case: 2 }; 2],
                gear: plates("F", &gear),
                case: plates("C", &case),
                shims: vec![
                    ShimSize { thickness: Length::from_um(100), count: 2 },
                    ShimSize { thickness: Length::from_um(370), count: 3 },
                ],
                least_shims: 0,
                most_shims: 2,
                guard: Length::ZERO,
                uncertainty: 9.0,
                first: [First::Fewest, First::Closest, First::Surest, First::Reuse, First::LeastChange][first],
                keep_in_place,
                alternatives: 12,
            };
            if crate::choice::check::check(&request).is_ok() {
                let best = |span: i64, few: usize| {
                    let mut problem = Problem::cut_at(&request, &[span]).unwrap();
                    problem.few = few;
                    problem.best(Slack::NONE, Got::default(), 12).unwrap()
                };
                let wanted = best(200_000, FEW_CHOICES);
                for (span, few) in [(10_000, FEW_CHOICES), (30_000, 1), (5_000_000, 1), (350_000, 7)] {
                    prop_assert_eq!(&best(span, few), &wanted, "{} {}", span, few);
                }
            }
        }
    }
}
