//! Plates changed one by one: what each brings back.

use super::{Ground, Lasts, Rate, Swap, micrometres};
use crate::history::measure::Wearing;
use crate::history::outlook::Outlook;
use crate::mechanics::Side;
use crate::mechanics::wear::Meets;
use crate::quantity::Length;

impl Ground<'_> {
    /// The plate of the unit that is at its limit first, after the distance, when it wears `times` as fast from there on;
    /// those in `without` are out.
    pub(super) fn first_plate(&self, times: f64, without: &[String]) -> Option<Lasts> {
        let inside = self
            .wear
            .plates
            .iter()
            .filter(|plate| self.wear.has(plate) && !without.iter().any(|name| name == plate.track.name));
        inside
            .filter_map(|plate| {
                let Outlook::Told {
                    meets: Some(meets), ..
                } = plate.least
                else {
                    return None;
                };
                let on = |at: f64| ((at - self.after) / times).max(0.0);
                let (at, from, to) = match meets {
                    Meets::Already => (Some(0.0), 0.0, Some(0.0)),
                    Meets::Within { at, from, to } => (Some(on(at)), on(from), Some(on(to))),
                    Meets::NotBefore { at, from } => (at.map(on), on(from), None),
                    Meets::Never => return None,
                };
                let lasts = Lasts {
                    what: Wearing::Plate(plate.track.name.to_string()),
                    at,
                    from,
                    to,
                };
                Some(lasts)
            })
            .min_by(Lasts::sooner)
    }

    /// The mean thickness of a plate after the distance: by its own line, else as last measured.
    fn thickness(&self, name: &str) -> Option<Length> {
        let plate = self
            .wear
            .plates
            .iter()
            .find(|plate| self.wear.has(plate) && plate.track.name == name)?;
        let last = plate.track.sightings.last()?;
        let rate = Rate::of(&plate.mean).unwrap_or(Rate::NONE);
        let run = plate.track.here().at + self.after - last.gone.at;
        Length::from_mm(last.mean.mm() - rate.middle * run.max(0.0)).ok()
    }

    /// What changing the plate that is first at its limit for a thicker one brings, for the packs that lack so much.
    /// `both` where one depth spans both packs, so that one plate is enough.
    pub(super) fn swaps(&self, lacking: [Length; 2], both: bool) -> Vec<Swap> {
        let sides: Vec<(Option<Side>, Length)> = if both {
            vec![(None, lacking[0] + lacking[1])]
        } else {
            vec![(Some(Side::Left), lacking[0]), (Some(Side::Right), lacking[1])]
        };
        let mut taken: Vec<String> = Vec::new();
        let mut swaps = Vec::new();
        for (side, lack) in sides.into_iter().filter(|(_, lack)| *lack > Length::ZERO) {
            let inside = self
                .wear
                .plates
                .iter()
                .filter(|plate| self.wear.has(plate) && (side.is_none() || plate.track.side == side));
            let Some(first) = inside.min_by(|a, b| a.sooner(b)) else {
                continue;
            };
            let out = first.track.name;
            let account = &self.built.account;
            let known = account.plate(out);
            let (Some(thickness), Some(known)) = (self.thickness(out), known) else {
                continue;
            };
            let whole = thickness + lack;
            // no thicker than what is lacking, so that nothing is pressed past what is wanted
            let in_drawer = self.drawer.spares.iter().filter(|spare| {
                let used = account
                    .plate(&spare.name)
                    .is_some_and(|plate| plate.place_left.is_some() || plate.rejected);
                spare.keyed == known.keyed
                    && !used
                    && !taken.contains(&spare.name)
                    && spare.nominal > thickness
            });
            let best = in_drawer.min_by_key(|spare| (spare.nominal.apart(whole), spare.name.clone()));
            let (spare, into) = match best {
                Some(spare) => (Some(spare.name.clone()), spare.nominal),
                None => match known.nominal.filter(|nominal| *nominal > thickness) {
                    Some(nominal) => (None, nominal),
                    None => (None, micrometres(whole)),
                },
            };
            taken.extend(spare.clone());
            swaps.push(Swap {
                side: first.track.side,
                out: out.to_string(),
                thickness: micrometres(thickness),
                spare,
                into,
                whole: micrometres(whole),
            });
        }
        swaps
    }
}

/// What each swap makes a pack thicker by.
pub(super) fn thicker(swaps: &[Swap]) -> [Length; 2] {
    Side::BOTH.map(|side| {
        let of_side = swaps.iter().filter(|swap| swap.side == Some(side));
        of_side.map(|swap| swap.into - swap.thickness).sum()
    })
}
