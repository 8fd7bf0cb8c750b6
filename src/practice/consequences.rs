//! Why a fault matters, with what it costs in newtons, newton metres and millimetres.

use super::fault::{Fault, told};
use super::generated::GeneratedUnit;
use super::indication::LBF_FT;
use super::truth::{CRACKED_SHARE, Truth, WANDER, face_torque, keyed};
use crate::mechanics::{Held, Keying, Movement, Sense, Side};
use crate::quantity::{Force, Length};
use crate::record::ChosenSide;
use crate::workshop::Aim;

impl GeneratedUnit {
    /// Why a fault matters, and where it shows.
    pub(super) fn why(&self, fault: &Fault) -> String {
        let unit = &self.job.unit;
        let limits = &unit.limits;
        match fault {
            Fault::Warped { .. } => format!(
                "At most {} is allowed. It measures the right thickness and shows only under a feeler on the surface plate. \
                 In use it binds in one place and slips in the next: here the breakaway would come and go by about {:.1} N·m \
                 (an eighth; common practice, no source).",
                limits.flatness,
                WANDER * self.proof_torque()
            ),
            Fault::Thin { plate, least } => {
                let limit = match keyed(unit, plate) {
                    Some(Keying::Case) => limits.case_least,
                    _ => limits.gear_least,
                };
                let lost = unit.plate(plate).map_or(Length::ZERO, |plate| told(plate.nominal - *least));
                format!(
                    "The limit is {limit}. It has lost {lost}; left in, it lets the spring out by that: {}. \
                     Its lining or hard skin is through before the next rebuild.",
                    self.cost(self.on_the_side_of(plate, lost))
                )
            }
            Fault::Tapered { plate, spread } => {
                let half = told(Length::from_nm(spread.nm() / 2));
                format!(
                    "At most {} is allowed. Read in one place only it passes: its first place is {half} thicker than its \
                     mean, and the stack would be reckoned wrong by that: {}. It presses on one side only and wears itself hot.",
                    limits.spread,
                    self.cost(self.on_the_side_of(plate, half))
                )
            }
            Fault::Spoilt { plate, look } => self.why_spoilt(plate, look),
            Fault::Swapped { left, right } => self.why_swapped(left, right),
            Fault::DeadFace { lost, .. } => format!(
                "Two neighbours that are keyed to the same part turn together and do not rub. The pack has the right height \
                 and {lost} of {} faces too few: {:.1} N·m of breakaway were lost.",
                unit.packs[0].faces,
                f64::from(*lost) * self.part() * self.face()
            ),
            Fault::MicrometerZero { by } => {
                let links = Side::BOTH.map(|side| self.micrometer_links(side));
                let each = links.map(|links| *by * links);
                let (chain, wrong) = if unit.is_through() {
                    ("one chain", each[0] + each[1])
                } else {
                    ("the chain of each side", each[0])
                };
                let count = if unit.is_through() { links[0] + links[1] } else { links[0] };
                format!(
                    "It is on every reading with the same sign. {count} plates and rings are in {chain}: the room for the \
                     springs comes out wrong by {}, which is {}. Every verdict on a plate is out by {} as well.",
                    wrong.abs(),
                    self.cost(each),
                    by.abs()
                )
            }
            Fault::DepthGaugeZero { by } if unit.is_through() => format!(
                "One depth is read by it and two springs: of the three errors one is left over, and the springs stand wrong by \
                 {}: {}. The dry build, read by the same gauge, would not show it.",
                by.abs(),
                self.cost([*by, Length::ZERO])
            ),
            Fault::DepthGaugeZero { by } => format!(
                "Every depth and height is wrong by {}. In this unit depth and spring are both read by it and the error falls \
                 out of their difference; in one that is set to a gap, or with one depth over both packs, it would not, and \
                 the dry build, read by the same gauge, would not show it.",
                by.abs()
            ),
            Fault::SpringCracked { side } => format!(
                "A cracked disc holds about six tenths (common practice, no source): {}. It breaks in use. Its height need not \
                 tell: the crack is to be looked for.",
                self.told(self.against_sound(|build| build.truth.springs[side.index()].share = CRACKED_SHARE))
            ),
            Fault::SpringUpsideDown { side } => self.why_upside_down(*side),
            Fault::SteppedRamp => "The pin hangs in the step: the ring spreads late, then suddenly, and lets go late \
                 (common practice, no source). No measurement of the packs shows it, and the proof at the bench does not turn \
                 the pins on the ramps."
                .to_string(),
            Fault::WrenchScale => format!(
                "One pound-force foot is {LBF_FT:.4} N·m. The window of {} to {} is {:.1} to {:.1} on that scale: typed as N·m, a \
                 sound unit is condemned, or one is shimmed up until it holds a third too much.",
                unit.proof.least,
                unit.proof.most,
                unit.proof.least.newton_metres() / LBF_FT,
                unit.proof.most.newton_metres() / LBF_FT
            ),
            Fault::OtherMethod => format!(
                "With the case held both packs slip at full speed and the wrench reads their sum, here about {:.1} N·m. With one \
                 output held it reads half of it, {:.1} N·m. {}",
                self.both_packs(),
                self.both_packs() / 2.0,
                match self.truth.held {
                    Held::Case => "Taken for the half, the sum makes a weak unit look twice as strong as wanted.",
                    Held::Output => "Taken for the sum, the half has a good unit shimmed up to double.",
                }
            ),
            Fault::Extension { length } => format!(
                "The output, or the bolt, gets the reading times (L + E)/L = {:.3}. With {length} that nobody wrote down, every \
                 bolt is {:.0} % tighter than it should be and the proof reads {:.0} % low.",
                self.leverage(&self.truth),
                100.0 * (self.leverage(&self.truth) - 1.0),
                100.0 * (1.0 - 1.0 / self.leverage(&self.truth))
            ),
            Fault::OtherMaker { .. }
            | Fault::PinFlat
            | Fault::RingWedged { .. }
            | Fault::TabsStick { .. }
            | Fault::WasherMissing
            | Fault::ShimDoubled { .. }
            | Fault::WrenchOverdue { .. }
            | Fault::Drag { .. }
            | Fault::WrongOil
            | Fault::NoModifier => self.why_later(fault),
        }
    }

    /// Why one of the faults matters that came with the second edition of the draw.
    fn why_later(&self, fault: &Fault) -> String {
        let unit = &self.job.unit;
        match fault {
            Fault::OtherMaker { plate, mean } => {
                let more = unit.plate(plate).map_or(Length::ZERO, |plate| told(*mean - plate.nominal));
                format!(
                    "It is {more} thicker than a plate of this unit: counted as one of them the springs are pressed in by that. \
                     Its lining is another one, too, and holds otherwise than the file says."
                )
            }
            Fault::PinFlat => "The pin rolls off its hollow before it spreads the rings: the lock comes late, then suddenly \
                 (common practice, no source). The proof at the bench does not turn the pins on the ramps."
                .to_string(),
            Fault::RingWedged { side } => format!(
                "The ramps push the ring, and it stays: on the {side} the pack has its spring and nothing more, however much torque \
                 comes. The proof reads the springs, and does not show it."
            ),
            Fault::TabsStick { .. } => "A tab that hangs in a notch holds its plate back: the pack is pressed, and its far plates are \
                 not. The notches are dressed, or the case is finished (common practice, no source)."
                .to_string(),
            Fault::WasherMissing => "The side gear moves out by the washer's thickness, meshes at the edge of its teeth, and runs on \
                 the case. Nothing of the packs shows it."
                .to_string(),
            Fault::ShimDoubled { side, by } => format!(
                "Stuck together they look like one. With {by} more on the {side} the spring stands shorter and presses harder."
            ),
            Fault::WrenchOverdue { reads } => format!(
                "It reads {:.0} % too much: bolts are that much looser than they should be, and a unit that reads inside its window \
                 lies below it.",
                100.0 * (reads - 1.0)
            ),
            Fault::Drag { by } => format!(
                "Of {:.1} N·m {}. Not taken off, a weak unit looks strong.",
                by.newton_metres(),
                match unit.proof.held {
                    Held::Case => "twice as much is in the reading, since with the case held both outputs drag",
                    Held::Output => "half is in the reading, since the case turns at half the speed",
                }
            ),
            Fault::WrongOil => "Friction is that of plates in their oil. In another one the same springs hold less or more, and no \
                 shim puts that right."
                .to_string(),
            _ => "Without its modifier the oil lets the plates stick before they slip: it jerks at walking pace, and the breakaway at \
                 first movement says nothing of the one that turns (common practice, no source)."
                .to_string(),
        }
    }

    fn why_spoilt(&self, plate: &str, look: &'static str) -> String {
        let (_, lost) = self.against_sound(|build| {
            if let Some(plate) = build.truth.plates.get_mut(plate) {
                plate.look = look;
            }
        });
        match look {
            "burnt" => format!(
                "Its lining is cooked: its two faces hold about seven tenths (common practice, no source), {lost:.1} N·m of \
                 breakaway less, and less still when it is hot. It can have its full thickness."
            ),
            "torn" => format!(
                "A plate that hangs on a torn tab can not slide. Its two faces take no part: {lost:.1} N·m of breakaway, and \
                 what tears off goes through the gears."
            ),
            _ => "A crack at the root of a tab grows until the tab is off; then the plate turns with its neighbours and its \
                 pieces go through the gears (common practice, no source)."
                .to_string(),
        }
    }

    fn why_swapped(&self, left: &String, right: &String) -> String {
        let thickness = |name: &String| {
            self.truth
                .plates
                .get(name)
                .map_or(Length::ZERO, |plate| plate.mean())
        };
        // what the left pack grew by, and the right one shrank by
        let grown = told(thickness(right)) - told(thickness(left));
        let (lost, torque) = self.lost([Length::ZERO - grown, grown]);
        let springs = if self.job.unit.is_through() {
            "One depth spans both packs in this unit, and together they are as thick as before: neither preload nor breakaway \
             changes."
                .to_string()
        } else {
            let [gained, lost] = if lost[0] < 0.0 {
                [-lost[0], lost[1]]
            } else {
                [-lost[1], lost[0]]
            };
            format!(
                "One is pressed with {gained:.0} N more and the other with {lost:.0} N less. The wrench reads both together: {}.",
                match torque.abs() {
                    least if least < 0.05 =>
                        "the breakaway does not change, and the proof does not show it".to_string(),
                    _ => format!("{}, which the proof hardly shows", torque_words(torque)),
                }
            )
        };
        format!(
            "Faces that had run in against each other were parted, and the packs' heights moved apart by {}. {springs} It shows \
             only to someone who reads the marks on the plates as they come out.",
            grown.abs() * 2
        )
    }

    fn why_upside_down(&self, side: Side) -> String {
        let found = self.found();
        let sound = self.truth.mended;
        let mut turned = sound;
        turned[side.index()] = self.truth.springs[side.index()];
        let unit = &self.job.unit;
        let (with, without) = (
            self.truth.forces(unit, &found, &turned),
            self.truth.forces(unit, &found, &sound),
        );
        let n = side.index();
        let mut truth = self.truth.clone();
        truth.held = unit.proof.held;
        let lost = self.reads(&truth, &found, without) - self.reads(&truth, &found, with);
        let way = if lost < 0.0 { "more" } else { "less" };
        format!(
            "Two discs one in the other press twice as hard as one at the same travel. Rim to rim they press as one, over twice \
             the travel, and stand higher: {:.0} N on that pack instead of {:.0} N as it was found, {:.1} N·m of breakaway {way}. \
             Shims that are right for the one are wrong for the other.",
            with[n],
            without[n],
            lost.abs()
        )
    }

    /// The share of both packs' sum that the proof reads in the way that the unit file names.
    fn part(&self) -> f64 {
        match self.job.unit.proof.held {
            Held::Case => 1.0,
            Held::Output => 0.5,
        }
    }

    fn target(&self) -> f64 {
        match self.job.unit.aim {
            Aim::Preload { target, .. } => target.newtons(),
            Aim::Gap { .. } => 0.0,
        }
    }

    /// What one face holds at the target, with the friction of the unit file.
    fn face(&self) -> f64 {
        face_torque(
            &self.job.unit,
            self.job.unit.friction.turning.value(),
            self.target(),
        )
    }

    fn both_packs(&self) -> f64 {
        let faces: u32 = self.job.unit.packs.iter().map(|pack| pack.faces).sum();
        f64::from(faces) * self.face()
    }

    fn proof_torque(&self) -> f64 {
        self.part() * self.both_packs()
    }

    /// How many links of a side's chain the micrometer measures: its plates and its ring.
    fn micrometer_links(&self, side: Side) -> i64 {
        self.job.unit.packs[side.index()].order.len() as i64 + 1
    }

    /// A height on the side where a plate lay.
    fn on_the_side_of(&self, plate: &String, height: Length) -> [Length; 2] {
        Side::BOTH.map(|side| match self.truth.order[side.index()].contains(plate) {
            true => height,
            false => Length::ZERO,
        })
    }

    /// The unit without a fault, set to its target as its file says, and held for the proof as that says.
    fn sound(&self) -> Option<Sound> {
        let unit = &self.job.unit;
        let mut truth = self.truth.clone();
        truth.plates.values_mut().for_each(|plate| plate.look = "good");
        truth.springs = truth.mended;
        truth.springs.iter_mut().for_each(|spring| spring.share = 1.0);
        truth.held_back = [0.0; 2];
        truth.held = unit.proof.held;
        truth.turning = unit.friction.turning.value();
        let target = Force::from_newtons(self.target()).ok()?;
        let mut sides = Side::BOTH.map(|side| ChosenSide {
            plates: unit.packs[side.index()].order.clone(),
            shims_nanometres: Vec::new(),
        });
        let heights = truth
            .springs
            .map(|spring| spring.stack.heights_for_force(target).first().copied());
        let rooms = Side::BOTH.map(|side| truth.room(unit, &sides, (!unit.is_through()).then_some(side)));
        for (n, side) in sides.iter_mut().enumerate() {
            // whatever room the springs do not want at their target is filled; one room for both is filled in halves
            let over = match unit.is_through() {
                true => Length::from_nm((rooms[0] - heights[0]? - heights[1]?).nm() / 2),
                false => rooms[n] - heights[n]?,
            };
            side.shims_nanometres.push(over.nm());
        }
        Some(Sound { truth, sides })
    }

    /// What the wrench reads, turning, for packs under these forces.
    fn reads(&self, truth: &Truth, sides: &[ChosenSide; 2], forces: [f64; 2]) -> f64 {
        truth.breakaway(&self.job.unit, sides, forces, Sense::Forwards, Movement::Turning)
    }

    /// What each pack's preload and the breakaway lose where a sound build is made otherwise: two builds, reckoned by the same
    /// way as what the wrench shows. Below 0 they gain.
    fn against_sound(&self, otherwise: impl FnOnce(&mut Sound)) -> ([f64; 2], f64) {
        let unit = &self.job.unit;
        (|| {
            let sound = self.sound()?;
            let mut other = sound.clone();
            otherwise(&mut other);
            let [before, after] = [sound, other].map(|build| {
                let forces = build.truth.forces(unit, &build.sides, &build.truth.springs);
                (forces, self.reads(&build.truth, &build.sides, forces))
            });
            Some(([0, 1].map(|n| before.0[n] - after.0[n]), before.1 - after.1))
        })()
        .unwrap_or_default()
    }

    /// The same where the packs come out thinner than they should, left and right.
    fn lost(&self, thinner: [Length; 2]) -> ([f64; 2], f64) {
        self.against_sound(|build| {
            for (side, by) in build.sides.iter_mut().zip(thinner) {
                side.shims_nanometres.push(-by.nm());
            }
        })
    }

    /// What packs that come out thinner than they should cost, in words.
    fn cost(&self, thinner: [Length; 2]) -> String {
        self.told(self.lost(thinner))
    }

    fn told(&self, (forces, torque): ([f64; 2], f64)) -> String {
        let [left, right] = forces;
        let more = if left + right < 0.0 { "more" } else { "less" };
        let most = left.abs().max(right.abs());
        let on = match (left - right).abs() < 0.5 {
            true => "on each pack",
            false => "on its pack",
        };
        format!("{most:.0} N {more} preload {on}, {}", torque_words(torque))
    }
}

/// A unit as it would be, and how it is put together.
#[derive(Clone)]
struct Sound {
    truth: Truth,
    sides: [ChosenSide; 2],
}

fn torque_words(lost: f64) -> String {
    let more = if lost < 0.0 { "more" } else { "less" };
    format!("{:.1} N·m {more} breakaway", lost.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::GeneratedFrom;

    fn all() -> impl Iterator<Item = GeneratedUnit> {
        (1..=4).flat_map(|level| {
            (1..=40).map(move |seed| GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap())
        })
    }

    #[test]
    fn a_sound_build_stands_at_its_target() {
        for made in all() {
            let sound = made.sound().unwrap();
            let forces = sound
                .truth
                .forces(&made.job.unit, &sound.sides, &sound.truth.springs);
            for force in forces {
                assert!((force - made.target()).abs() < 0.5, "{:?}: {force}", made.made());
            }
        }
    }

    /// By hand, from the slope of the spring at its target: what each spring stands longer, left and right, times its rate, and
    /// faces, friction and radius of each pack.
    fn by_hand(made: &GeneratedUnit, longer: [f64; 2]) -> ([f64; 2], f64) {
        let unit = &made.job.unit;
        let stack = unit.spring.as_ref().unwrap().stack;
        let target = Force::from_newtons(made.target()).unwrap();
        let height = stack.heights_for_force(target)[0];
        let lost = longer.map(|mm| {
            let at = Length::from_nm(height.nm() + (mm * 1e6) as i64);
            target.newtons() - stack.force_at_height(at).unwrap().newtons()
        });
        let part = match unit.proof.held {
            Held::Case => 1.0,
            Held::Output => 0.5,
        };
        let each = unit.friction.turning.value() * unit.friction.radius.metres() * part;
        let torque = [0, 1].map(|n| f64::from(unit.packs[n].faces) * lost[n] * each);
        (lost, torque[0] + torque[1])
    }

    #[test]
    fn the_micrometer_counts_in_both_packs_and_parted_plates_give_to_one_what_they_take_from_the_other() {
        let (mut per_side, mut through) = (0, 0);
        for made in all() {
            let unit = &made.job.unit;
            if unit
                .spring
                .as_ref()
                .is_some_and(|spring| spring.stack != made.truth.mended[0].stack)
            {
                continue;
            }
            let um = |um: i64| Length::from_um(um);
            let near = |told: ([f64; 2], f64), hand: ([f64; 2], f64), what: &str| {
                for (a, b) in told.0.into_iter().zip(hand.0) {
                    assert!(
                        (a - b).abs() < 0.02 * b.abs() + 0.5,
                        "{what} {:?}: {told:?} {hand:?}",
                        made.made()
                    );
                }
                assert!(
                    (told.1 - hand.1).abs() < 0.02 * hand.1.abs() + 0.05,
                    "{what} {:?}: {told:?} {hand:?}",
                    made.made()
                );
            };
            // each pack comes out 0.1 mm thinner: each spring stands that much longer, also where both share one room
            near(made.lost([um(100), um(100)]), by_hand(&made, [0.1, 0.1]), "both");
            match unit.is_through() {
                true => {
                    through += 1;
                    // what one pack loses both springs share
                    near(
                        made.lost([um(100), Length::ZERO]),
                        by_hand(&made, [0.05, 0.05]),
                        "one",
                    );
                    near(made.lost([um(50), um(-50)]), ([0.0, 0.0], 0.0), "parted");
                }
                false => {
                    per_side += 1;
                    near(
                        made.lost([um(100), Length::ZERO]),
                        by_hand(&made, [0.1, 0.0]),
                        "one",
                    );
                    near(
                        made.lost([um(50), um(-50)]),
                        by_hand(&made, [0.05, -0.05]),
                        "parted",
                    );
                    let (forces, torque) = made.lost([um(20), um(-20)]);
                    assert!(forces[0] > 0.0 && forces[1] < 0.0, "{forces:?}");
                    assert!(torque.abs() < 0.02 * made.proof_torque(), "{torque}");
                }
            }
        }
        assert!(per_side > 20 && through > 20, "{per_side} {through}");
    }

    #[test]
    fn the_words_of_a_parted_pair_do_not_say_that_preload_is_lost() {
        let mut seen = 0;
        for made in all() {
            for fault in made
                .truth
                .faults
                .iter()
                .filter(|fault| matches!(fault, Fault::Swapped { .. }))
            {
                let words = made.why(fault);
                let right = match made.job.unit.is_through() {
                    true => words.contains("neither preload nor breakaway changes"),
                    false => {
                        words.contains(" N more and the other with ")
                            && words.contains("The wrench reads both together")
                    }
                };
                assert!(right, "{words}");
                seen += 1;
            }
        }
        assert!(seen > 10, "{seen}");
    }
}
