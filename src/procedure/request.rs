//! What is asked of the choice.

use super::derived::Derived;
use super::rounding::{MICROMETRE, Rounding, in_steps, rounded};
use crate::choice::{Candidate, First, Layout, Need, Request, ShimSize};
use crate::mechanics::pack::order_for_faces;
use crate::mechanics::{Keying, Side};
use crate::metrology::{Budget, Measured, guard_band, reading_uncertainty};
use crate::quantity::Length;
use crate::record::{Chosen, ChosenSide};
use crate::workshop::Depth;

/// What is asked of the choice beyond the unit file: what comes first, and what is fixed by hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Preferences {
    /// What comes first in the ranking.
    pub first: First,
    /// Plates that must go in on a side.
    pub keep: Vec<(String, Side)>,
    /// Whether no plate may change side.
    pub keep_in_place: bool,
    /// Shim thicknesses that are not to be used.
    pub without_shims: Vec<Length>,
    /// Plates that are not to be used.
    pub without_plates: Vec<String>,
    /// Whether the windows are drawn in by a guard band, so that what is chosen is called inside once it is measured.
    pub guarded: bool,
    /// How many choices are wanted.
    pub alternatives: usize,
}

impl Preferences {
    /// Nothing but what comes first.
    pub fn putting_first(first: First) -> Preferences {
        Preferences {
            first,
            keep: Vec::new(),
            keep_in_place: false,
            without_shims: Vec::new(),
            without_plates: Vec::new(),
            guarded: false,
            alternatives: 10,
        }
    }
}

impl Derived<'_> {
    /// The question that is put to the choice.
    pub fn request(&self, wish: &Preferences) -> Result<Request, String> {
        let unit = &self.job.unit;
        let missing = |what: &str| format!("{what} has not been measured");
        let rings: Vec<Length> = Side::BOTH
            .iter()
            .map(|side| self.ring(*side).map(|ring| ring.value))
            .collect::<Option<_>>()
            .ok_or_else(|| missing("a ring"))?;
        let layout = match unit.depth {
            Depth::Through(_) => Layout::Through {
                room: self.room(None).ok_or_else(|| missing("the depth"))?.value,
                offsets: [rings[0], rings[1]],
                window: self.window(None)?,
                match_within: unit.sides_match,
            },
            Depth::PerSide(_) => {
                let room = |side| {
                    self.room(Some(side))
                        .map(|room| room.value)
                        .ok_or_else(|| missing("the depth"))
                };
                Layout::PerSide {
                    rooms: [room(Side::Left)?, room(Side::Right)?],
                    windows: [self.window(Some(Side::Left))?, self.window(Some(Side::Right))?],
                    match_within: Some(unit.sides_match),
                }
            }
        };
        let mut candidates: [Vec<Candidate>; 2] = [Vec::new(), Vec::new()];
        let whole = self.packs_are_whole();
        if whole {
            // a pack that stays together is one part, which has its side
            for side in Side::BOTH {
                let measured = self.whole_pack(side).ok_or_else(|| missing("a pack"))?;
                candidates[1].push(Candidate {
                    name: side.word().to_string(),
                    thickness: measured.value,
                    spare: false,
                    fixed: Some(side),
                    ran: None,
                });
            }
        }
        for name in self.all_plates().into_iter().filter(|_| !whole) {
            let derived = self.plate(name, true);
            let Some(measured) = derived.measured.filter(|_| !derived.rejected) else {
                continue;
            };
            if wish.without_plates.iter().any(|known| known == name) {
                continue;
            }
            let index = usize::from(self.keyed(name) == Some(Keying::Case));
            candidates[index].push(Candidate {
                name: name.to_string(),
                thickness: measured.value,
                spare: unit.plate(name).is_none(),
                fixed: wish
                    .keep
                    .iter()
                    .find(|(known, _)| known == name)
                    .map(|(_, side)| *side),
                ran: Side::BOTH
                    .into_iter()
                    .find(|side| unit.packs[side.index()].order.iter().any(|known| known == name)),
            });
        }
        let needs = Side::BOTH.map(|side| {
            if whole {
                return Need { gear: 0, case: 1 };
            }
            let order = &unit.packs[side.index()].order;
            let gear = order
                .iter()
                .filter(|name| self.keyed(name) == Some(Keying::Gear))
                .count();
            Need {
                gear,
                case: order.len() - gear,
            }
        });
        let uncertainty = self.typical_uncertainty().unwrap_or(0.0);
        let guard = if wish.guarded {
            let band = guard_band(uncertainty, unit.limits.confidence).map_err(|error| error.to_string())?;
            rounded(
                Length::from_mm(band / 1e3).unwrap_or(Length::ZERO),
                MICROMETRE,
                Rounding::Up,
            )
        } else {
            Length::ZERO
        };
        let [gear, case] = candidates;
        Ok(Request {
            layout,
            needs,
            gear,
            case,
            shims: self.shims_in_steps(wish),
            least_shims: 0,
            most_shims: unit.most_shims,
            guard,
            uncertainty,
            first: wish.first,
            keep_in_place: wish.keep_in_place,
            alternatives: wish.alternatives,
        })
    }

    /// The shims that can be had: the drawer's and those that came out of the unit.
    fn shims(&self) -> Vec<ShimSize> {
        let mut shims: Vec<ShimSize> = self
            .job
            .drawer
            .shims
            .iter()
            .map(|(thickness, count)| ShimSize {
                thickness: *thickness,
                count: *count,
            })
            .collect();
        for thickness in self.job.unit.packs.iter().flat_map(|pack| &pack.shims) {
            match shims.iter_mut().find(|shim| shim.thickness == *thickness) {
                Some(shim) => shim.count += 1,
                None => shims.push(ShimSize {
                    thickness: *thickness,
                    count: 1,
                }),
            }
        }
        shims
    }

    /// The shims as the choice takes them: whole micrometres, which an inch shim is not.
    fn shims_in_steps(&self, wish: &Preferences) -> Vec<ShimSize> {
        let mut shims: Vec<ShimSize> = Vec::new();
        for shim in self.shims() {
            if wish.without_shims.contains(&shim.thickness) {
                continue;
            }
            let thickness = in_steps(shim.thickness);
            match shims.iter_mut().find(|known| known.thickness == thickness) {
                Some(known) => known.count += shim.count,
                None => shims.push(ShimSize {
                    thickness,
                    count: shim.count,
                }),
            }
        }
        shims
    }

    /// The real thickness of a shim that the choice took in whole micrometres.
    fn shim_of_step(&self, step: Length) -> Length {
        self.shims()
            .iter()
            .map(|shim| shim.thickness)
            .find(|thickness| in_steps(*thickness) == step)
            .unwrap_or(step)
    }

    /// Standard uncertainty, in micrometres, of the closing of the packs as found: every choice has as many plates.
    pub fn typical_uncertainty(&self) -> Option<f64> {
        Some(self.typical_budget()?.combined().um())
    }

    /// The sources of [`Derived::typical_uncertainty`].
    pub fn typical_budget(&self) -> Option<Budget> {
        let chain = self.chains().first().copied()?;
        let mut parts = vec![(self.room(chain)?, 1)];
        let (instrument, _) = self.micrometer()?;
        let plate = Measured {
            value: Length::ZERO,
            budget: reading_uncertainty(&instrument, 3).ok()?,
        };
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                if self.packs_are_whole() {
                    parts.push((self.whole_pack(side)?, -1));
                    continue;
                }
                let count = self.job.unit.packs[side.index()].order.len();
                parts.extend(std::iter::repeat_n((plate.clone(), -1), count));
            }
        }
        Some(Measured::sum(&parts).budget)
    }

    /// Puts the plates of one side in an order that has the wanted faces. The order as found is kept where it has, and
    /// where no order has them because shims lie between the wall and the plate that would rub on it.
    pub fn arrange(
        &self,
        side: Side,
        gear: &[String],
        case: &[String],
        has_shims: bool,
    ) -> Option<Vec<String>> {
        let unit = &self.job.unit;
        let plan = unit.packs.get(side.index())?;
        let as_listed: Vec<Keying> = plan.order.iter().filter_map(|name| self.keyed(name)).collect();
        let wall = unit.wall_rubs(has_shims);
        let (gears, cases) = (gear.len() as u32, case.len() as u32);
        let keys = if unit.faces_of(&as_listed, has_shims) == plan.faces {
            as_listed
        } else {
            match order_for_faces(gears, cases, plan.faces, wall) {
                None if unit.friction.wall_is_face && !wall => as_listed,
                order => order?,
            }
        };
        // a plate stays as near its old place as can be, so that run-in faces stay together
        let sorted = |names: &[String]| {
            let mut names = names.to_vec();
            names.sort_by_key(|name| {
                plan.order
                    .iter()
                    .position(|known| known == name)
                    .unwrap_or(usize::MAX)
            });
            names.into_iter()
        };
        let (mut gear, mut case) = (sorted(gear), sorted(case));
        keys.iter()
            .map(|key| match key {
                Keying::Gear => gear.next(),
                Keying::Case => case.next(),
            })
            .collect()
    }

    /// A choice as it goes into the record, from names without an order.
    pub fn chosen(&self, sides: &[crate::choice::SideChoice; 2], how: String) -> Option<Chosen> {
        let side = |side: Side| {
            let choice = &sides[side.index()];
            let plates = if self.packs_are_whole() {
                self.found()[side.index()].plates.clone()
            } else {
                self.arrange(side, &choice.gear, &choice.case, !choice.shims.is_empty())?
            };
            Some(ChosenSide {
                plates,
                shims_nanometres: choice
                    .shims
                    .iter()
                    .map(|shim| self.shim_of_step(*shim).nm())
                    .collect(),
            })
        };
        Some(Chosen {
            sides: [side(Side::Left)?, side(Side::Right)?],
            how,
            reason: String::new(),
        })
    }
}
