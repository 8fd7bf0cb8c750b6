//! Plates of one thickness, and what it costs to take so many of them left and right.

use super::request::Candidate;
use crate::quantity::Length;

/// What counts of plates that ran on a side before.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Moves {
    /// Nothing.
    Free,
    /// How many change side.
    Counted,
    /// None may change side.
    Refused,
}

/// Which choices of plates belong to a set.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Tally {
    /// All.
    Any,
    /// Those with just so many new parts.
    New(usize),
    /// Those with just so many new parts and so many plates that change side.
    Both(usize, usize),
}

impl Tally {
    /// The tally of nothing at all.
    pub fn is_spent(self) -> bool {
        matches!(self, Tally::Any | Tally::New(0) | Tally::Both(0, 0))
    }

    /// What is left of it for the rest, where these are taken; none where they are too many.
    pub fn less(self, other: Cost) -> Option<Tally> {
        match self {
            Tally::Any => Some(Tally::Any),
            Tally::New(new) => Some(Tally::New(new.checked_sub(other.new)?)),
            Tally::Both(new, moved) => Some(Tally::Both(
                new.checked_sub(other.new)?,
                moved.checked_sub(other.moved)?,
            )),
        }
    }

    /// The ways to part it in two, of which the first has at most so much.
    pub fn parted(self, most: Cost) -> Vec<(Tally, Tally)> {
        match self {
            Tally::Any => vec![(Tally::Any, Tally::Any)],
            Tally::New(new) => (0..=new.min(most.new))
                .map(|first| (Tally::New(first), Tally::New(new - first)))
                .collect(),
            Tally::Both(new, moved) => (0..=new.min(most.new))
                .flat_map(|first| (0..=moved.min(most.moved)).map(move |second| (first, second)))
                .map(|(first, second)| {
                    (
                        Tally::Both(first, second),
                        Tally::Both(new - first, moved - second),
                    )
                })
                .collect(),
        }
    }

    /// Its place in a list of all tallies of at most so much.
    pub fn index(self, most: Cost) -> usize {
        match self {
            Tally::Any => 0,
            Tally::New(new) => 1 + new,
            Tally::Both(new, moved) => 2 + most.new + new * (most.moved + 1) + moved,
        }
    }

    /// The length of such a list.
    pub fn count(most: Cost) -> usize {
        2 + most.new + (most.new + 1) * (most.moved + 1)
    }

    /// Whether it is at most so much.
    pub fn is_within(self, most: Cost) -> bool {
        match self {
            Tally::Any => true,
            Tally::New(new) => new <= most.new,
            Tally::Both(new, moved) => new <= most.new && moved <= most.moved,
        }
    }
}

/// New parts, and plates that change side where that counts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Cost {
    pub new: usize,
    pub moved: usize,
}

/// How many of one class go left and right.
pub(super) type Split = (usize, usize);

/// Free plates of one thickness.
#[derive(Clone, Debug)]
pub(super) struct Class {
    pub thickness: Length,
    pub steps: i64,
    /// Names of used plates that ran on the left, on the right and on neither side, as far as that counts, and of new
    /// ones, each in order.
    ran: [Vec<String>; 2],
    elsewhere: Vec<String>,
    new: Vec<String>,
    moves: Moves,
}

impl Class {
    pub fn count(&self) -> usize {
        self.ran[0].len() + self.ran[1].len() + self.elsewhere.len() + self.new.len()
    }

    /// New parts among them.
    pub fn spares(&self) -> usize {
        self.new.len()
    }

    /// Plates among them that may change side.
    pub fn movable(&self) -> usize {
        if self.moves == Moves::Counted {
            self.ran[0].len() + self.ran[1].len()
        } else {
            0
        }
    }

    /// What a split costs at the least: new parts first, then changes of side. None where it can not be.
    pub fn cost(&self, (left, right): Split) -> Option<Cost> {
        let lacking = left.saturating_sub(self.ran[0].len()) + right.saturating_sub(self.ran[1].len());
        let beside = lacking.saturating_sub(self.elsewhere.len());
        let (new, moved) = if self.moves == Moves::Refused {
            (beside, 0)
        } else {
            let new = (left + right + self.new.len()).saturating_sub(self.count());
            (new, beside.saturating_sub(new))
        };
        let moved = if self.moves == Moves::Counted { moved } else { 0 };
        (new <= self.new.len()).then_some(Cost { new, moved })
    }

    /// The ways to split this class, most on the left first, then most on the right.
    pub fn splits(&self, most: [usize; 2], tally: Tally) -> impl Iterator<Item = (Split, Tally)> {
        let count = self.count();
        (0..=most[0].min(count)).rev().flat_map(move |left| {
            (0..=most[1].min(count - left)).rev().filter_map(move |right| {
                let rest = tally.less(self.cost((left, right))?)?;
                Some(((left, right), rest))
            })
        })
    }

    /// The plates of a split: on each side those that ran there, then those that ran nowhere, then those of the other
    /// side, then new ones; of each kind by name, left first.
    pub fn picked(&self, (left, right): Split) -> [Vec<&String>; 2] {
        let wanted = [left, right];
        let mut picked =
            [0, 1].map(|side: usize| self.ran[side].iter().take(wanted[side]).collect::<Vec<_>>());
        let stayed = [picked[0].len(), picked[1].len()];
        let mut elsewhere = self.elsewhere.iter();
        let mut new = self.new.iter();
        for side in [0, 1] {
            let mut changing = if self.moves == Moves::Refused {
                [].iter()
            } else {
                self.ran[1 - side][stayed[1 - side]..].iter()
            };
            while picked[side].len() < wanted[side] {
                let next = elsewhere
                    .next()
                    .or_else(|| changing.next())
                    .or_else(|| new.next());
                let Some(name) = next else { break };
                picked[side].push(name);
            }
        }
        picked
    }
}

/// Groups the plates that are not fixed to a side by thickness, thickest first. `steps` is left at zero.
pub(super) fn classes(plates: &[Candidate], moves: Moves) -> Vec<Class> {
    let mut free: Vec<&Candidate> = plates.iter().filter(|plate| plate.fixed.is_none()).collect();
    free.sort_by(|a, b| b.thickness.cmp(&a.thickness).then(a.name.cmp(&b.name)));
    let mut classes: Vec<Class> = Vec::new();
    for plate in free {
        if classes
            .last()
            .is_none_or(|last| last.thickness != plate.thickness)
        {
            classes.push(Class {
                thickness: plate.thickness,
                steps: 0,
                ran: [Vec::new(), Vec::new()],
                elsewhere: Vec::new(),
                new: Vec::new(),
                moves,
            });
        }
        let Some(class) = classes.last_mut() else { continue };
        let list = match plate.ran {
            _ if plate.spare => &mut class.new,
            Some(side) if moves != Moves::Free => &mut class.ran[side.index()],
            _ => &mut class.elsewhere,
        };
        list.push(plate.name.clone());
    }
    classes
}
