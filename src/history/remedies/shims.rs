//! Shims that close a worn pack, by the exact choice.

use super::{Ground, What, micrometres};
use crate::choice::{Candidate, First, Layout, Need, Order, Request, ShimSize, Window, choose};
use crate::mechanics::Side;
use crate::quantity::Length;

impl Ground<'_> {
    /// The shims that come nearest to what the packs lack, of the drawer and of those that are in the unit, by the same
    /// exact choice that a build is made by. `wear` is what each pack has lost, `windows` what each chain may close to.
    pub(super) fn shims(
        &self,
        wear: [Length; 2],
        exact: [Length; 2],
        windows: Option<Vec<[Length; 3]>>,
    ) -> What {
        let left = self.shims_left();
        let exact = exact.map(micrometres);
        let without = What::Shims {
            exact,
            more: exact,
            shims: None,
            get: None,
        };
        let sum = |shims: &[Length]| shims.iter().copied().sum::<Length>();
        let Some(request) = windows.and_then(|windows| self.request(wear, &left, &windows)) else {
            return without;
        };
        let Ok(outcome) = choose(&request) else {
            return without;
        };
        let Some(best) = outcome.choices.first() else {
            let get = outcome.miss.and_then(|miss| {
                miss.order.into_iter().find_map(|order| match order {
                    Order::Shim { thickness, count, .. } => Some((thickness, count)),
                    Order::Plate { .. } => None,
                })
            });
            return What::Shims {
                exact,
                more: exact,
                shims: None,
                get,
            };
        };
        let sizes: Vec<Length> = self
            .sizes(&left)
            .into_iter()
            .map(|(thickness, _)| thickness)
            .collect();
        let real = |step: &Length| {
            let size = sizes.iter().find(|thickness| micrometres(**thickness) == *step);
            size.copied().unwrap_or(*step)
        };
        let chosen = [0, 1].map(|side: usize| best.sides[side].shims.iter().map(real).collect::<Vec<_>>());
        What::Shims {
            exact,
            more: [0, 1].map(|side: usize| sum(&chosen[side]) - sum(&left[side])),
            shims: Some(chosen),
            get: None,
        }
    }

    /// Every shim that can be had: the drawer's and those that are in the unit.
    fn sizes(&self, left: &[Vec<Length>; 2]) -> Vec<(Length, u32)> {
        let mut sizes = self.drawer.shims.clone();
        for thickness in left.iter().flatten() {
            match sizes.iter_mut().find(|(known, _)| known == thickness) {
                Some((_, count)) => *count += 1,
                None => sizes.push((*thickness, 1)),
            }
        }
        sizes
    }

    fn request(
        &self,
        wear: [Length; 2],
        left: &[Vec<Length>; 2],
        windows: &[[Length; 3]],
    ) -> Option<Request> {
        let account = &self.built.account;
        // a pack that stays together is one part, as thick as its plates are by then
        let pack = |side: usize| -> Option<Length> {
            let names = account.packs.get(side)?.plates_left.as_ref()?;
            let plates: Option<Vec<Length>> = names
                .iter()
                .map(|name| {
                    let plate = account.plate(name)?;
                    plate.mean.as_ref().map(|mean| mean.value).or(plate.nominal)
                })
                .collect();
            Some(micrometres(plates?.into_iter().sum::<Length>() - wear[side]))
        };
        let packs = [pack(0)?, pack(1)?];
        let room = |chain: Option<Side>, sides: &[usize]| -> Option<Length> {
            let closing = account.closings.iter().find(|one| one.chain == chain)?;
            let closing = closing.left.as_ref()?.value;
            let filled: Length = sides
                .iter()
                .map(|side| packs[*side] + left[*side].iter().copied().sum() + wear[*side])
                .sum();
            Some(micrometres(closing + filled))
        };
        let window = |n: usize| {
            let [least, target, most] = (*windows.get(n)?).map(micrometres);
            Some(Window { least, target, most })
        };
        let match_within = self.unit.sides_match;
        let layout = if self.unit.is_through() {
            Layout::Through {
                room: room(None, &[0, 1])?,
                offsets: self.unit.rings.map(micrometres),
                window: window(0)?,
                match_within,
            }
        } else {
            Layout::PerSide {
                rooms: [room(Some(Side::Left), &[0])?, room(Some(Side::Right), &[1])?],
                windows: [window(0)?, window(1)?],
                match_within: Some(match_within),
            }
        };
        let candidate = |side: Side| Candidate {
            name: side.word().to_string(),
            thickness: packs[side.index()],
            spare: false,
            fixed: Some(side),
            ran: None,
        };
        let mut shims: Vec<ShimSize> = Vec::new();
        for (thickness, count) in self.sizes(left) {
            let thickness = micrometres(thickness);
            match shims.iter_mut().find(|known| known.thickness == thickness) {
                Some(known) => known.count += count,
                None => shims.push(ShimSize { thickness, count }),
            }
        }
        Some(Request {
            layout,
            needs: [Need { gear: 0, case: 1 }; 2],
            gear: Vec::new(),
            case: Side::BOTH.map(candidate).to_vec(),
            shims,
            least_shims: 0,
            most_shims: self.unit.most_shims,
            guard: Length::ZERO,
            uncertainty: 0.0,
            first: First::Closest,
            keep_in_place: false,
            alternatives: 1,
        })
    }
}
