//! What brings the preload of a sprung unit back.

use super::plates::thicker;
use super::{Banded, Ground, Lasts, Rate, Remedy, Stands, What, lasts};
use crate::history::BuiltValue;
use crate::mechanics::pack::{faces_possible, order_for_faces};
use crate::mechanics::wear::{Lengthens, Pressing, Worn, wear_under};
use crate::mechanics::{Keying, MechanicsError, Side, SpringPlace, SpringStack};
use crate::quantity::{Force, Length, Ratio, Torque};
use crate::workshop::{Aim, Spring};

/// A unit with springs as it was left, to be worn and mended in thought.
struct Sprung<'g> {
    ground: &'g Ground<'g>,
    /// As left, not worn.
    left: Worn,
    /// What the packs lose by the distance: by the middle of the rates, their low and their high ends.
    wear: [[Length; 2]; 3],
    /// The standard uncertainty of the friction as left, as a share.
    friction_doubt: f64,
    /// The same once the unit was opened again: what proofs say of its next build.
    doubt_when_opened: f64,
    /// What the friction loses per distance.
    fades: Rate,
    wanted: [Force; 3],
    /// The force on each pack by the distance, when nothing is done.
    then: [Force; 2],
}

/// Springs that press so many times as hard as they do are another sort; less is within what springs of one sort differ.
const HARDER: f64 = 1.02;

/// A unit after a remedy, `times` being what its springs press more at the same height.
struct Mended {
    worn: Worn,
    times: f64,
}

impl Ground<'_> {
    pub(super) fn sprung(&self, told: &mut Vec<String>) -> Vec<Remedy> {
        match Sprung::of(self, told) {
            Some(sprung) => sprung.list(told),
            None => {
                told.push(format!(
                    "{} does not hold all that remedies are reckoned from: the room for the springs, and the faces.",
                    self.built.account.build
                ));
                Vec::new()
            }
        }
    }

    /// The springs' free height as measured, left and right; `None` for a side that was not measured.
    fn measured_heights(&self) -> [Option<Length>; 2] {
        let springs = &self.built.account.springs;
        let of = |place: Option<Side>| {
            let spring = springs.iter().find(|spring| spring.place == place)?;
            Some(spring.height.as_ref()?.value)
        };
        let own = Side::BOTH.map(|side| of(Some(side)));
        match (of(None), own) {
            (Some(middle), _) => [Some(middle); 2],
            // over one depth both press alike, by the mean of their heights
            (None, [Some(left), Some(right)]) if self.unit.is_through() => {
                [Some(Length::from_nm((left.nm() + right.nm()) / 2)); 2]
            }
            _ => own,
        }
    }

    /// The friction while turning that is reckoned with, its doubt as a share, and whether it was shown at the bench.
    fn friction(&self) -> (Ratio, f64, bool) {
        let breakaway = &self.built.account.breakaway;
        let file = &self.unit.friction;
        match (breakaway.friction, breakaway.left, breakaway.left_uncertainty) {
            (Some(shown), Some(left), Some(u)) if left.newton_metres() > 0.0 => {
                (shown, u.newton_metres() / left.newton_metres(), true)
            }
            _ => (file.turning, file.doubt.value() / file.turning.value(), false),
        }
    }
}

impl<'g> Sprung<'g> {
    fn of(ground: &'g Ground<'g>, told: &mut Vec<String>) -> Option<Sprung<'g>> {
        let unit = ground.unit;
        let account = &ground.built.account;
        let spring = unit.spring.as_ref()?;
        let Aim::Preload { least, target, most } = unit.aim else {
            return None;
        };
        let lengthens = match (unit.is_through(), spring.place) {
            (true, SpringPlace::BehindPack) => Lengthens::HalfOfBoth,
            (true, SpringPlace::BetweenRings) => Lengthens::Both,
            (false, _) => Lengthens::OwnPack,
        };
        let room = |chain: Option<Side>| {
            let closing = account.closings.iter().find(|one| one.chain == chain)?;
            Some(closing.left.as_ref()?.value)
        };
        let heights = match lengthens {
            Lengthens::OwnPack => [room(Some(Side::Left))?, room(Some(Side::Right))?],
            Lengthens::HalfOfBoth => [Length::from_nm(room(None)?.nm() / 2); 2],
            Lengthens::Both => [room(None)?; 2],
        };
        let measured = ground.measured_heights();
        let stack = |side: usize| stack_of(spring, measured[side]);
        let faces = |side: usize| account.packs.get(side)?.faces_left;
        let (friction, friction_doubt, shown) = ground.friction();
        if !shown {
            told.push(
                "The last build does not show the friction of the plates: that of the unit file is reckoned with."
                    .to_string(),
            );
        }
        let proved = ground.wear.proved.as_ref().filter(|now| now.proofs > 0);
        let doubt_when_opened = proved.map_or(friction_doubt, |now| {
            told.push(format!(
                "Friction: ± of nothing is that of the last proof; of what opens the unit again it is what proofs say of its next \
                 build, {}.",
                now.by
            ));
            (now.breakaway_doubt.value() / now.breakaway.value()).max(friction_doubt)
        });
        let none = Force::from_newtons(0.0).ok()?;
        let left = Worn {
            stacks: [stack(0)?, stack(1)?],
            heights,
            lengthens,
            bench: unit.bench([none; 2], [faces(0)?, faces(1)?]),
        };
        let left = left.with_friction(friction).ok()?;
        let wear = ground.worn();
        let fades = Rate::of(&ground.wear.friction.outlook);
        match fades {
            None => told.push(
                "How the friction falls from build to build is not known: it is taken to stay as it is."
                    .to_string(),
            ),
            Some(rate) if !rate.banded => told.push(
                "How the friction falls is known from one stretch only: it adds nothing to the bands."
                    .to_string(),
            ),
            Some(_) => {}
        }
        Some(Sprung {
            then: left.forces(wear[0]).ok()?,
            ground,
            left,
            wear,
            friction_doubt,
            doubt_when_opened,
            fades: fades.unwrap_or(Rate::NONE),
            wanted: [least, target, most],
        })
    }

    /// The unit with packs that have lost `wear`, and a friction that has lost `fades` per distance.
    fn worn(&self, wear: [Length; 2], fades: f64) -> Worn {
        let worn = self.left.worn_by(wear);
        let friction = (worn.bench.turning.value() - fades * self.ground.gone).max(0.0);
        Ratio::new(friction)
            .ok()
            .and_then(|friction| worn.with_friction(friction).ok())
            .unwrap_or(worn)
    }

    fn list(&self, told: &mut Vec<String>) -> Vec<Remedy> {
        let now = self.worn(self.wear[0], self.fades.middle);
        let same = |worn: Worn| Some(Mended { worn, times: 1.0 });
        let mut list: Vec<Remedy> = Vec::new();
        list.extend(self.remedy(What::Nothing, &[], same));
        let lacking = match now.lacks(self.wanted[1]) {
            Ok(Some(lacking)) => lacking,
            _ => {
                told.push(format!(
                    "The springs do not reach the preload of {} that is wanted: no shim and no plate brings it.",
                    self.wanted[1]
                ));
                [Length::ZERO; 2]
            }
        };
        let past_peak = [0, 1].into_iter().any(|side: usize| {
            let peak = now.stacks[side].peak_height();
            peak.is_some_and(|peak| now.heights[side] < peak)
        });
        if past_peak {
            told.push(
                "The springs stand past their greatest force, where more shim gives less preload: shims and plates are not \
                 reckoned here, measure the springs and choose anew."
                    .to_string(),
            );
        } else if lacking.iter().any(|lack| *lack > Length::from_um(1)) {
            let shims = self.ground.shims(self.wear[0], lacking, self.windows());
            match &shims {
                What::Shims {
                    more: [Length::ZERO, Length::ZERO],
                    ..
                } => told.push(super::NEAREST.to_string()),
                What::Shims { more, .. } => {
                    let less = more.map(|more| -more);
                    list.extend(self.remedy(shims, &[], |worn| same(worn.worn_by(less))));
                }
                _ => {}
            }
            let swaps = self.ground.swaps(lacking, self.ground.unit.is_through());
            if !swaps.is_empty() {
                let less = thicker(&swaps).map(|more| -more);
                let out: Vec<String> = swaps.iter().map(|swap| swap.out.clone()).collect();
                list.extend(self.remedy(What::Plates(swaps), &out, |worn| same(worn.worn_by(less))));
            }
        } else {
            told.push(
                "Shims and plates lack nothing: the springs press as the unit file wants them to."
                    .to_string(),
            );
        }
        list.extend(self.springs(&now));
        match self.faces() {
            Some(faces) => list.push(faces),
            None => told.push(
                "All faces that the plates of the packs can have rub already: one more would take one more plate."
                    .to_string(),
            ),
        }
        match self.oil() {
            Some(oil) => list.push(oil),
            None => told.push(
                "Oil: from what the builds show, no friction has been lost that new oil could bring back."
                    .to_string(),
            ),
        }
        list
    }

    /// Springs as new where they have sagged, and springs that press harder.
    fn springs(&self, now: &Worn) -> Vec<Remedy> {
        let mut list = Vec::new();
        let Some(spring) = &self.ground.unit.spring else {
            return list;
        };
        let new = spring.stack.free_height();
        let measured = self.ground.measured_heights();
        if let Some(low) = measured.into_iter().flatten().min().filter(|low| *low < new) {
            let what = What::NewSprings { measured: low, new };
            list.extend(self.remedy(what, &[], |worn| {
                Some(Mended {
                    worn: Worn {
                        stacks: [spring.stack; 2],
                        ..worn
                    },
                    times: 1.0,
                })
            }));
        }
        let weakest = now.forces([Length::ZERO; 2]).ok().and_then(|forces| {
            let [left, right] = forces.map(Force::newtons);
            Some(left.min(right)).filter(|least| *least > 0.0)
        });
        if let Some(weakest) = weakest {
            let times = self.wanted[1].newtons() / weakest;
            if times > HARDER {
                list.extend(self.remedy(What::HarderSprings(times), &[], |worn| {
                    Some(Mended { worn, times })
                }));
            }
        }
        list
    }

    /// The next number of faces that the same plates can have, on both sides.
    fn faces(&self) -> Option<Remedy> {
        let unit = self.ground.unit;
        let account = &self.ground.built.account;
        let wall = |side: usize| unit.wall_rubs(!self.ground.shims_left()[side].is_empty());
        let more = |side: usize| -> Option<(u32, Vec<Keying>)> {
            let names = account.packs.get(side)?.plates_left.as_ref()?;
            let keyed = |keyed: Keying| {
                let of = names.iter().filter_map(|name| account.plate(name));
                of.filter(|plate| plate.keyed == keyed).count() as u32
            };
            let (gear, case) = (keyed(Keying::Gear), keyed(Keying::Case));
            let now = self.left.bench.setup.faces[side];
            let faces = faces_possible(gear, case, wall(side))
                .into_iter()
                .find(|faces| *faces > now)?;
            Some((faces, order_for_faces(gear, case, faces, wall(side))?))
        };
        let ((left, left_order), (right, right_order)) = (more(0)?, more(1)?);
        let what = What::Faces {
            from: self.left.bench.setup.faces,
            to: [left, right],
            order: [left_order, right_order],
        };
        self.remedy(what, &[], |worn| {
            let mut worn = worn;
            worn.bench.setup.faces = [left, right];
            Some(Mended { worn, times: 1.0 })
        })
    }

    /// Friction as it was last left. What the plates showed as found and as left at the builds where both are known is what
    /// oil and cleaning did, with whatever else was done.
    fn oil(&self) -> Option<Remedy> {
        let pairs: Vec<(f64, f64)> = self
            .ground
            .wear
            .builds
            .iter()
            .filter_map(|build| {
                let breakaway = &build.account.breakaway;
                Some((breakaway.friction_found()?, breakaway.friction?.value()))
            })
            .collect();
        if pairs.is_empty() || self.fades.middle <= 0.0 || self.ground.gone <= 0.0 {
            return None;
        }
        let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / pairs.len() as f64;
        let what = What::Oil {
            fades: self.fades.middle,
            found: mean(|pair| pair.0),
            left: mean(|pair| pair.1),
            builds: pairs.len(),
        };
        self.remedy(what, &[], |worn| {
            let worn = worn.with_friction(self.left.bench.turning).ok()?;
            Some(Mended { worn, times: 1.0 })
        })
    }

    /// The closings that the unit file's preload allows: least, target and most of each chain.
    fn windows(&self) -> Option<Vec<[Length; 3]>> {
        let times = if self.left.lengthens == Lengthens::HalfOfBoth {
            2
        } else {
            1
        };
        let window = |side: usize| -> Option<[Length; 3]> {
            let [least, target, most] = self.wanted;
            let height = |force| {
                let heights = self.left.stacks[side].heights_for_force(force);
                heights.first().map(|height| *height * times)
            };
            Some([height(most)?, height(target)?, height(least)?])
        };
        match self.left.lengthens {
            Lengthens::OwnPack => Some(vec![window(0)?, window(1)?]),
            _ => Some(vec![window(0)?]),
        }
    }

    /// What a remedy does, `mend` being what it makes of a worn unit. The plates in `out` come out.
    fn remedy(&self, what: What, out: &[String], mend: impl Fn(Worn) -> Option<Mended>) -> Option<Remedy> {
        let friction_doubt = self.doubt_after(&what);
        let mended = |wear: [Length; 2], fades: f64| mend(self.worn(wear, fades));
        let torque = |wear: [Length; 2], fades: f64| -> Option<(f64, f64)> {
            let before = self.worn(wear, fades).breakaway([Length::ZERO; 2]).ok()?;
            let after = mended(wear, fades)?;
            let torque = after.worn.breakaway([Length::ZERO; 2]).ok()?;
            Some((before.newton_metres(), torque.newton_metres() * after.times))
        };
        let [middle, low, high] = self.wear;
        let (before, after) = torque(middle, self.fades.middle)?;
        let by_wear = [torque(low, self.fades.middle), torque(high, self.fades.middle)];
        let by_fading = [torque(middle, self.fades.low), torque(middle, self.fades.high)];
        let doubt = |value: f64, of: fn((f64, f64)) -> f64| {
            let spread = |[low, high]: [Option<(f64, f64)>; 2]| {
                let ends = low.map(of).zip(high.map(of));
                ends.map_or(0.0, |(low, high)| (low - high).abs() / 2.0)
            };
            // that of the friction with k = 2, those of the rates by their bands
            let rates = spread(by_wear).hypot(spread(by_fading));
            Some((2.0 * friction_doubt * value).hypot(rates))
        };
        let done = mended(middle, self.fades.middle)?;
        let preload = done
            .worn
            .forces([Length::ZERO; 2])
            .ok()?
            .map(|force| Force::from_newtons(force.newtons() * done.times));
        let preload = [preload[0].ok()?, preload[1].ok()?];
        let brings = match what {
            What::Nothing => None,
            _ => Some(Banded {
                value: after - before,
                doubt: doubt(after - before, |(before, after)| after - before),
            }),
        };
        let pressed = [0, 1].map(|side| preload[side].newtons() / self.then[side].newtons());
        let pressed = pressed[0].max(pressed[1]);
        let most = self.wanted[2];
        let proof = &self.ground.unit.proof;
        let against = if preload.iter().any(|force| *force > most) {
            Some(format!("more preload than the {most} that the unit file allows"))
        } else if after > proof.most.newton_metres() {
            Some(format!(
                "more breakaway than the {} that the unit file allows",
                proof.most
            ))
        } else {
            None
        };
        let plate = pressed
            .is_finite()
            .then(|| self.ground.first_plate(pressed.max(f64::MIN_POSITIVE), out))
            .flatten();
        Some(Remedy {
            holds: self.holds(&done, preload, friction_doubt),
            stands: Stands {
                preload: Some(preload),
                breakaway: Some(Banded {
                    value: Torque::from_newton_metres(after).ok()?,
                    doubt: doubt(after, |(_, after)| after),
                }),
                gaps: Vec::new(),
            },
            what,
            brings,
            plate,
            pressed,
            against,
        })
    }

    /// The standard uncertainty of the friction after a remedy, as a share.
    fn doubt_after(&self, what: &What) -> f64 {
        match what {
            What::Nothing => self.friction_doubt,
            _ => self.doubt_when_opened,
        }
    }

    /// How far it goes until the least preload or breakaway.
    fn holds(&self, done: &Mended, preload: [Force; 2], friction_doubt: f64) -> Option<Lasts> {
        let rates = self.ground.rates?;
        let far = |of: fn(&Rate) -> f64, fades: f64, least: Least| -> Option<f64> {
            let under = |side: usize| -> Result<f64, MechanicsError> {
                let was = Pressing {
                    force: self.then[side],
                    faces: self.left.bench.setup.faces[side],
                };
                let is = Pressing {
                    force: preload[side],
                    faces: done.worn.bench.setup.faces[side],
                };
                wear_under(of(&rates[side]), was, is)
            };
            let rates = [under(0).ok()?, under(1).ok()?];
            match least {
                Least::Breakaway(least) => {
                    let least = Torque::from_newton_metres(least / done.times).ok()?;
                    done.worn.lasts(rates, fades, least).ok()?
                }
                Least::Preload(least) => {
                    let least = Force::from_newtons(least / done.times).ok()?;
                    done.worn.presses(rates, least).ok()?
                }
            }
        };
        let (torque, force) = (
            self.ground.unit.proof.least.newton_metres(),
            self.wanted[0].newtons(),
        );
        // what the value is in doubt by, with k = 2, is taken for a limit that lies higher or lower
        let torque_doubt = 2.0 * friction_doubt * torque;
        let force_doubt = self
            .ground
            .built
            .account
            .preload_uncertainty
            .map_or(0.0, |u| 2.0 * u.newtons());
        let until = |what: BuiltValue, least: fn(f64) -> Least, value: f64, doubt: f64| {
            let fades = self.fades;
            let middle = |least: Least| far(|rate| rate.middle, fades.middle, least);
            let ends = [
                [
                    far(|rate| rate.high, fades.middle, least(value)),
                    far(|rate| rate.low, fades.middle, least(value)),
                ],
                [
                    far(|rate| rate.middle, fades.high, least(value)),
                    far(|rate| rate.middle, fades.low, least(value)),
                ],
                [
                    middle(least(value + doubt)),
                    middle(least((value - doubt).max(0.0))),
                ],
            ];
            lasts(what, middle(least(value)), &rates, &ends)
        };
        [
            until(BuiltValue::Breakaway, Least::Breakaway, torque, torque_doubt),
            until(BuiltValue::Preload(None), Least::Preload, force, force_doubt),
        ]
        .into_iter()
        .flatten()
        .min_by(Lasts::sooner)
    }
}

/// What must not be passed.
enum Least {
    /// In newton metres.
    Breakaway(f64),
    /// In newtons.
    Preload(f64),
}

/// The stack as its measured free height makes it.
fn stack_of(spring: &Spring, measured: Option<Length>) -> Option<SpringStack> {
    match measured {
        Some(height) => spring.settled(height).ok(),
        None => Some(spring.stack),
    }
}
