//! What follows from the answers: chains, windows and the proof.

use super::field::Field;
use super::job::Job;
use super::judged_plate::KnownPlates;
use super::looks::{TURNED, spring_goes};
use super::rounding::{MICROMETRE, Rounding, rounded};
use super::state::State;
use crate::choice::Window;
use crate::mechanics::pack::faces_possible;
use crate::mechanics::{Keying, MechanicsError, Side, SpringPlace, SpringStack};
use crate::metrology::{Agreement, Measured, compare};
use crate::quantity::{Force, Length};
use crate::record::{ChosenSide, Value};
use crate::workshop::{Aim, Depth};

/// Everything that follows from the answers so far. It is worked out anew from the state whenever it is wanted, so a
/// corrected answer can not leave a stale figure behind.
#[derive(Clone, Copy)]
pub(super) struct Derived<'a> {
    pub job: &'a Job,
    pub state: &'a State,
    /// Plates that have been judged since the last answer.
    pub known: &'a KnownPlates,
    /// The round at which what is asked anew in each round is looked at: its own answer, else the one before.
    pub until: u32,
}

impl<'a> Derived<'a> {
    /// The same as it stood at a round.
    pub fn at(&self, round: u32) -> Derived<'a> {
        Derived {
            until: round,
            ..*self
        }
    }

    /// The chains of the unit: `None` for the one of a through unit.
    pub fn chains(&self) -> Vec<Option<Side>> {
        match self.job.unit.depth {
            Depth::Through(_) => vec![None],
            Depth::PerSide(_) => vec![Some(Side::Left), Some(Side::Right)],
        }
    }

    /// Which spring stacks there are: one a side, or one between the rings.
    pub fn springs(&self) -> Vec<Option<Side>> {
        match self.job.unit.spring.as_ref().map(|spring| spring.place) {
            None => Vec::new(),
            Some(SpringPlace::BehindPack) => vec![Some(Side::Left), Some(Side::Right)],
            Some(SpringPlace::BetweenRings) => vec![None],
        }
    }

    /// How the spring of one place looked, look by look: after one that can not stay, the place is looked at again.
    pub fn spring_looks(&self, item: Option<&str>) -> Vec<&str> {
        let mut looks = Vec::new();
        for look in 1.. {
            let answer = self
                .state
                .answer(Field::SPRING_LOOK, 1, item, (look > 1).then_some(look));
            let Some(Value::Word { word, .. }) = answer.map(|answer| &answer.value) else {
                break;
            };
            looks.push(word.as_str());
            if !spring_goes(word) {
                break;
            }
        }
        looks
    }

    /// Whether a new spring took the place of the one that was found there.
    pub fn spring_is_new(&self, item: Option<&str>) -> bool {
        self.spring_looks(item)
            .iter()
            .any(|look| spring_goes(look) && *look != TURNED)
    }

    /// The depth of a chain less its ring or rings.
    pub fn room(&self, chain: Option<Side>) -> Option<Measured> {
        let depth = self.depth(chain)?;
        let mut parts = vec![(depth, 1)];
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                parts.push((self.ring(side)?, -1));
            }
        }
        Some(Measured::sum(&parts))
    }

    /// What plates and shims leave of a chain.
    pub fn closing(&self, sides: &[ChosenSide; 2], chain: Option<Side>) -> Option<Measured> {
        self.closing_with(sides, chain, |side, shims| self.shims_measured(side, shims))
    }

    /// The same with every shim as it is marked.
    pub fn closing_by_marks(&self, sides: &[ChosenSide; 2], chain: Option<Side>) -> Option<Measured> {
        self.closing_with(sides, chain, |_, _| None)
    }

    fn closing_with(
        &self,
        sides: &[ChosenSide; 2],
        chain: Option<Side>,
        measured: impl Fn(Side, &[i64]) -> Option<Measured>,
    ) -> Option<Measured> {
        let mut parts = vec![(self.room(chain)?, 1)];
        for side in Side::BOTH {
            if chain.is_some_and(|one| one != side) {
                continue;
            }
            let pack = &sides[side.index()];
            if self.packs_are_whole() {
                parts.push((self.whole_pack(side)?, -1));
            } else {
                for name in &pack.plates {
                    parts.push((self.plate(name, true).measured?, -1));
                }
            }
            if let Some(together) = measured(side, &pack.shims_nanometres) {
                parts.push((together, -1));
                continue;
            }
            for nm in &pack.shims_nanometres {
                parts.push((self.shim(Length::from_nm(*nm))?, -1));
            }
        }
        Some(Measured::sum(&parts))
    }

    /// The packs as they were found.
    pub fn found(&self) -> [ChosenSide; 2] {
        Side::BOTH.map(|side| {
            let plan = &self.job.unit.packs[side.index()];
            let order = self.state.answer(Field::FOUND_ORDER, 1, Some(side.word()), None);
            let plates = match order.map(|answer| &answer.value) {
                Some(Value::Names(names)) => names.clone(),
                _ => plan.order.clone(),
            };
            ChosenSide {
                plates,
                shims_nanometres: self.shims_found(side),
            }
        })
    }

    /// The spring stack of a chain: as a press has read it, where one has, else by its law.
    pub fn stack(&self, chain: Option<Side>) -> Option<SpringStack> {
        Some(self.pressed_as_read(self.stack_by_law(chain)?, chain))
    }

    /// The spring stack as its measured free height, and thickness where that is asked, make it; both sides' mean where one depth spans both.
    pub fn stack_by_law(&self, chain: Option<Side>) -> Option<SpringStack> {
        let spring = self.job.unit.spring.as_ref()?;
        let items: Vec<Option<Side>> = self
            .springs()
            .into_iter()
            .filter(|item| chain.is_none() || *item == chain)
            .collect();
        let (instrument_zero, mut total, mut count) =
            (self.depth_gauge().map(|(_, zero)| zero), Length::ZERO, 0);
        for item in items {
            for reading in self.spring_heights(item.map(Side::word)) {
                total += reading - instrument_zero.unwrap_or(Length::ZERO);
                count += 1;
            }
        }
        let stack = match self.disc_thickness(chain) {
            Some(discs) => spring.stack.with_thickness(discs.thickness).ok()?,
            None => spring.stack,
        };
        if count == 0 {
            return Some(stack);
        }
        stack.with_free_height(Length::from_nm(total.nm() / count)).ok()
    }

    /// The free heights of the springs in one place as they were read: one, or one a coil.
    pub fn spring_heights(&self, item: Option<&str>) -> Vec<Length> {
        let coils = self.state.lengths(Field::SPRING_FREE, 1, item);
        match coils.is_empty() {
            true => self.state.lengths(Field::SPRING_HEIGHT, 1, item),
            false => coils,
        }
    }

    /// Whether the coils of a place are not measured one by one, though that was asked.
    pub fn coils_left_out(&self, item: Option<&str>) -> bool {
        let skipped = self.state.skipped.keys();
        let step = self.job.step_that_fills(Field::SPRING_FREE);
        let mut mine = skipped.filter(|slot| step.is_some_and(|step| step.id == slot.step));
        mine.any(|slot| slot.item.as_deref() == item && slot.point == Some(1))
    }

    /// How many spring stacks share one chain.
    pub fn stacks_a_chain(&self) -> i64 {
        match (&self.job.unit.spring, self.job.unit.is_through()) {
            (Some(spring), true) if spring.place == SpringPlace::BehindPack => 2,
            _ => 1,
        }
    }

    /// Which closing a chain aims at: the gap, or the height of its springs for the wanted force.
    pub fn window(&self, chain: Option<Side>) -> Result<Window, String> {
        match self.job.unit.aim {
            Aim::Gap { least, target, most } => Ok(Window { least, target, most }),
            Aim::Preload { least, target, most } => {
                let stack = self
                    .stack(chain)
                    .ok_or("a spring with this free height can not be computed")?;
                let height = |force: Force, what: &str| {
                    stack.heights_for_force(force).first().copied().ok_or_else(|| {
                        format!(
                            "the springs as measured do not reach the {what} preload of {force} before they are solid: \
                             other springs are wanted"
                        )
                    })
                };
                let times = self.stacks_a_chain();
                // to whole micrometres, the ends inwards
                Ok(Window {
                    least: rounded(height(most, "greatest")? * times, MICROMETRE, Rounding::Up),
                    target: rounded(height(target, "target")? * times, MICROMETRE, Rounding::Nearest),
                    most: rounded(height(least, "least")? * times, MICROMETRE, Rounding::Down),
                })
            }
        }
    }

    /// The faces that rub in a pack.
    pub fn faces(&self, side: &ChosenSide) -> u32 {
        let keys: Vec<Keying> = side.plates.iter().filter_map(|name| self.keyed(name)).collect();
        self.job.unit.faces_of(&keys, !side.shims_nanometres.is_empty())
    }

    /// The faces that these plates could make in another order: as many at the most.
    pub fn most_faces(&self, side: &ChosenSide) -> u32 {
        let keyed = |keying| {
            let of = side.plates.iter().filter(|name| self.keyed(name) == Some(keying));
            of.count() as u32
        };
        let wall = self.job.unit.wall_rubs(!side.shims_nanometres.is_empty());
        let possible = faces_possible(keyed(Keying::Gear), keyed(Keying::Case), wall);
        possible.last().copied().unwrap_or(0)
    }

    /// The faces that rub in a pack, with what they could be where some are dead, and where those lie.
    pub fn faces_words(&self, side: &ChosenSide) -> String {
        match (self.faces(side), self.most_faces(side)) {
            (faces, most) if faces < most => {
                let dead = self.dead_faces(side);
                let at = if dead.is_empty() {
                    String::new()
                } else {
                    format!(": {}", dead.join(", "))
                };
                format!("{faces} ({most} without dead ones{at})")
            }
            (faces, _) => faces.to_string(),
        }
    }

    /// Where two faces lie on each other that turn alike, in words.
    fn dead_faces(&self, side: &ChosenSide) -> Vec<String> {
        let alike = |pair: &&[String]| self.keyed(&pair[0]) == self.keyed(&pair[1]);
        let pairs = side.plates.windows(2).filter(alike);
        let mut dead: Vec<String> = pairs.map(|pair| format!("{} on {}", pair[0], pair[1])).collect();
        // the ring is keyed to the case
        let last = side.plates.last();
        dead.extend(
            last.filter(|name| self.keyed(name) == Some(Keying::Case))
                .map(|name| format!("{name} on the ring")),
        );
        dead
    }

    /// What was measured at the dry build.
    pub fn dry(&self, round: u32, chain: Option<Side>) -> Option<Measured> {
        let readings = self
            .state
            .lengths(Field::DRY_CLOSING, round, chain.map(Side::word));
        self.by_depth_gauge(&readings)
            .filter(|_| !readings.is_empty())
            .map(|(measured, _)| measured)
    }

    /// Prediction against dry build.
    pub fn dry_agreement(&self, round: u32, chain: Option<Side>) -> Option<(Agreement, Measured, Measured)> {
        let measured = self.dry(round, chain)?;
        let predicted = self.closing(&self.state.chosen(round)?.sides, chain)?;
        let agreement = compare(
            predicted.value,
            &predicted.budget,
            measured.value,
            &measured.budget,
        )
        .ok()?;
        Some((agreement, predicted, measured))
    }

    /// The chains of a round whose dry build does not agree with the prediction.
    pub fn dry_disagreements(&self, round: u32) -> Vec<Option<Side>> {
        self.chains()
            .into_iter()
            .filter(|chain| {
                self.dry_agreement(round, *chain)
                    .is_some_and(|(agreement, _, _)| !agreement.agrees)
            })
            .collect()
    }

    /// The closing that counts: measured at the dry build, else predicted.
    pub fn best_closing(&self, round: u32, chain: Option<Side>) -> Option<Measured> {
        self.dry(round, chain)
            .or_else(|| self.closing(&self.state.chosen(round)?.sides, chain))
    }

    /// Height of one spring stack, from the closing of its chain.
    pub fn spring_height(&self, closing: Length) -> Length {
        Length::from_nm(closing.nm() / self.stacks_a_chain())
    }

    /// Force on each pack at closings left and right (the same for a through unit); 0 N without springs.
    pub fn forces(&self, closings: [Length; 2]) -> Result<[Force; 2], MechanicsError> {
        let mut forces = [Force::from_newtons(0.0)?; 2];
        if self.job.unit.spring.is_some() {
            for side in Side::BOTH {
                let chain = (!self.job.unit.is_through()).then_some(side);
                if let Some(stack) = self.stack(chain) {
                    forces[side.index()] =
                        stack.force_at_height(self.spring_height(closings[side.index()]))?;
                }
            }
        }
        Ok(forces)
    }

    /// Closings left and right that count for a round.
    pub fn closings(&self, round: u32) -> Option<[Length; 2]> {
        let of = |side| {
            let chain = (!self.job.unit.is_through()).then_some(side);
            self.best_closing(round, chain).map(|closing| closing.value)
        };
        Some([of(Side::Left)?, of(Side::Right)?])
    }

    /// Closings as found, to reckon with the springs that lay there: `None` where one of them was not the one that was
    /// measured, or lay otherwise.
    pub fn found_pressed(&self) -> Option<[Length; 2]> {
        let stayed = |item: Option<Side>| {
            let looks = self.spring_looks(item.map(Side::word));
            looks.first().is_none_or(|look| !spring_goes(look))
        };
        if !self.springs().into_iter().all(stayed) {
            return None;
        }
        let found = self.found();
        let of = |side| {
            let chain = (!self.job.unit.is_through()).then_some(side);
            self.closing(&found, chain).map(|closing| closing.value)
        };
        Some([of(Side::Left)?, of(Side::Right)?])
    }
}
