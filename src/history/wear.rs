//! How the plates and packs of a unit wear, by all of its builds.

use super::account::Account;
use super::doubts::READINGS;
use super::fading::{Fading, breakaway, friction, grown, preload};
use super::joint_doubts::Doubts;
use super::known::Known;
use super::measure::{InstrumentRole, Wearing};
use super::outlook::{Outlook, outlook, sooner};
use super::tracks::{Notice, Sighting, Track, Tracks, WearBuild};
use crate::mechanics::Side;
use crate::quantity::Length;
use crate::workshop::shown_friction::FrictionNow;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// What the distances of a unit are counted in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Along {
    /// Kilometres driven.
    Kilometres,
    /// Hours run.
    Hours,
}

impl Along {
    /// Its symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            Along::Kilometres => "km",
            Along::Hours => "h",
        }
    }

    /// How much of it a rate is told for, so that it is a handy number.
    pub fn usual(self) -> f64 {
        match self {
            Along::Kilometres => 1000.0,
            Along::Hours => 10.0,
        }
    }

    /// What the distances of these builds are counted in: hours where none has kilometres and one has hours.
    pub(super) fn by<'a, 'b: 'a>(accounts: impl Iterator<Item = &'a &'b Account> + Clone) -> Along {
        let by_hours = accounts.clone().all(|account| account.distance.is_none())
            && accounts.into_iter().any(|account| account.running.is_some());
        if by_hours { Along::Hours } else { Along::Kilometres }
    }

    pub(super) fn of(self, account: &Account) -> Option<f64> {
        match self {
            Along::Kilometres => account.distance.map(|distance| distance.kilometres()),
            Along::Hours => account.running.map(|running| running.hours()),
        }
    }
}

/// A plate with its outlook.
#[derive(Clone, PartialEq, Debug)]
pub struct PlateWear<'a> {
    /// Where it was measured.
    pub track: Track<'a>,
    /// Mean thickness lost between the first and the last sighting.
    pub lost: Length,
    /// Of the mean thickness, in millimetres.
    pub mean: Outlook,
    /// Of the least reading, which is what the limit holds for, in millimetres.
    pub least: Outlook,
    /// What leaves each of its readings in doubt, on the mean of them, in millimetres.
    pub doubts: Doubts,
}

/// A pack: what its plates lost together, whichever they were.
#[derive(Clone, PartialEq, Debug)]
pub struct PackWear {
    /// Which.
    pub side: Side,
    /// How far the unit had gone, and what the pack had lost by then, in millimetres, since the first build of the run.
    pub points: Vec<(f64, f64)>,
    /// Of what is left, in millimetres; a pack has no least.
    pub outlook: Outlook,
    /// What leaves each point in doubt, on the mean of them, in millimetres.
    pub doubts: Doubts,
}

/// What meets its least first.
#[derive(Clone, PartialEq, Debug)]
pub struct First<'a> {
    /// What.
    pub what: Wearing,
    /// What can be said of it.
    pub outlook: Outlook,
    /// Where nobody wrote down how far it went: the build that last knew it, and how far it went since at the least. Its
    /// outlook counts from there, so that less may be left.
    pub lacks: Option<(&'a str, f64)>,
}

impl First<'_> {
    /// How far it may go at the earliest, from as far as it is known to have gone.
    pub fn earliest(&self) -> f64 {
        self.outlook.earliest().unwrap_or(0.0)
    }
}

/// How a unit wears, by all of its builds.
#[derive(Clone, PartialEq, Debug)]
pub struct UnitWear<'a> {
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub name: String,
    /// What distances are counted in.
    pub along: Along,
    /// Its builds in order of time.
    pub builds: Vec<WearBuild<'a>>,
    /// Every plate that was in it or is, those that are in it first.
    pub plates: Vec<PlateWear<'a>>,
    /// Left, then right.
    pub packs: Vec<PackWear>,
    /// The breakaway.
    pub breakaway: Fading,
    /// The preload on each pack; empty for a unit that is set to a gap.
    pub preload: Vec<Fading>,
    /// The gap of each chain; empty for a unit with preload.
    pub gaps: Vec<Fading>,
    /// The room for the springs of each chain, which grows as the packs wear; empty for a unit that is set to a gap.
    pub rooms: Vec<Fading>,
    /// The friction that the plates showed.
    pub friction: Fading,
    /// The friction as it is known now, by all proofs that count; `None` where that was not looked up.
    pub proved: Option<FrictionNow>,
    /// What had to be told.
    pub told: Vec<String>,
}

impl<'a> UnitWear<'a> {
    /// How `unit` wears, by accounts that stand in order of time. Those of other units count only for plates that came
    /// from there. Builds that are not finished are told and left out. `None` where no finished build is of the unit.
    pub fn of(unit: &str, accounts: &'a [Account]) -> Option<UnitWear<'a>> {
        let Known {
            accounts: known,
            lost,
            mut told,
        } = Known::of(unit, accounts, &[]);
        let of_unit = || known.iter().filter(|account| account.unit == unit);
        let last = of_unit().next_back()?;
        let along = Along::by(of_unit());
        told.extend(
            of_unit()
                .filter(|account| account.running.is_some() && along == Along::Kilometres)
                .map(|account| {
                    format!(
                        "{} counts in hours, other builds in km: its hours are not taken for a distance",
                        account.build
                    )
                }),
        );
        let copied: Vec<&str> = of_unit()
            .filter(|account| account.copied)
            .map(|account| account.build.as_str())
            .collect();
        if let Some((first, more)) = copied.split_first() {
            let which = match more.len() {
                0 => format!("{first} is a copy of an old paper"),
                more => format!("{first} and {more} more are copies of old papers"),
            };
            told.push(format!(
                "{which}: the one thickness of a plate there, its least, counts as its mean, too"
            ));
        }
        let tracks = Tracks::follow(&known, |account| along.of(account), &lost);
        let builds: Vec<WearBuild> = known
            .iter()
            .zip(&tracks.gone)
            .filter(|(account, _)| account.unit == unit)
            .map(|(account, gone)| WearBuild {
                account,
                gone: *gone,
                distance: along.of(account),
            })
            .collect();
        let mut plates: Vec<PlateWear<'a>> = tracks
            .plates
            .into_iter()
            .filter(|track| track.sightings.iter().any(|one| one.unit == unit))
            .map(PlateWear::of)
            .collect();
        // what else went on in another unit that a plate was in is told there
        let concerns = |notice: &Notice| {
            let of_it = |track: &Track| match notice.parts.is_empty() {
                true => track.sightings.iter().any(|one| one.build == notice.build),
                false => notice.parts.contains(&track.part),
            };
            notice.unit == unit || plates.iter().any(|plate| of_it(&plate.track))
        };
        let notices = tracks.told.into_iter().filter(concerns);
        told.extend(notices.map(|notice| notice.words));
        let order = |plate: &PlateWear<'a>| {
            let inside = plate.track.unit == Some(unit);
            let place = last
                .plate(plate.track.name)
                .and_then(|plate| plate.place_left.or(plate.place_found));
            (!inside, plate.track.side, place)
        };
        plates.sort_by_key(order);
        let packs = Side::BOTH.map(|side| PackWear::of(side, &builds)).to_vec();
        let is_open = builds.last().is_some_and(|last| last.gone.at_least);
        if let Some(built) = builds
            .iter()
            .rev()
            .find(|build| is_open && build.account.is_built())
        {
            told.push(format!(
                "how far it went since {} is not known: what is said to be left counts from as far as is known, and less may \
                 be left",
                built.account.build
            ));
        }
        let breakaway = breakaway(&builds, &mut told);
        let preload = if last.preload_wanted.is_some() {
            let through = last.through;
            let sides: &[usize] = if through { &[0] } else { &[0, 1] };
            sides
                .iter()
                .map(|side| preload(*side, through, &builds, &mut told))
                .collect()
        } else {
            Vec::new()
        };
        let friction = friction(&builds);
        let most = last.gap_wanted.map(|wanted| wanted[2].mm());
        let closings: Vec<Fading> = last
            .closings
            .iter()
            .map(|closing| grown(closing.chain, most, &builds))
            .collect();
        let (gaps, rooms) = match most {
            Some(_) => (closings, Vec::new()),
            None => (Vec::new(), closings),
        };
        Some(UnitWear {
            unit: unit.to_string(),
            name: last.unit_name.clone(),
            along,
            builds,
            plates,
            packs,
            breakaway,
            preload,
            gaps,
            rooms,
            friction,
            proved: None,
            told,
        })
    }

    /// Breakaway, preload and gaps: what each build sets.
    pub fn fadings(&self) -> impl Iterator<Item = &Fading> {
        std::iter::once(&self.breakaway)
            .chain(&self.preload)
            .chain(&self.gaps)
    }

    /// The last build that put the unit together.
    pub fn built(&self) -> Option<&WearBuild<'a>> {
        self.builds.iter().rev().find(|build| build.account.is_built())
    }

    /// How far the builds of the last run lie apart: as far as anything was seen.
    pub fn seen(&self) -> f64 {
        let run = self.builds.last().map(|last| last.gone.run);
        let mut of_run = self.builds.iter().filter(|build| Some(build.gone.run) == run);
        match (of_run.next(), self.builds.last()) {
            (Some(first), Some(last)) => last.gone.at - first.gone.at,
            _ => 0.0,
        }
    }

    /// Whether a plate is in the unit as it was last left.
    pub fn has(&self, plate: &PlateWear<'_>) -> bool {
        plate.track.unit == Some(self.unit.as_str())
    }

    /// What meets its least first, of what can be said.
    pub fn first(&self) -> Option<First<'_>> {
        let plates = self
            .plates
            .iter()
            .filter(|plate| self.has(plate))
            .map(|plate| First {
                what: Wearing::Plate(plate.track.name.to_string()),
                outlook: plate.least,
                lacks: plate.used_at_least(),
            });
        let fading = self.fadings().map(|fading| First {
            what: Wearing::Value(fading.what),
            outlook: fading.outlook,
            lacks: fading
                .since_at_least
                .as_deref()
                .map(|build| (build, fading.since)),
        });
        let due = |first: &First<'_>| Some((first.outlook.earliest()?, first.outlook.middle()));
        plates
            .chain(fading)
            .filter_map(|first| Some((due(&first)?, first)))
            .min_by(|a, b| sooner(a.0, b.0))
            .map(|(_, first)| first)
    }
}

impl<'a> PlateWear<'a> {
    /// Which of two may be at its limit first; those of which that is not known come last, by what they have left.
    pub(super) fn sooner(&self, other: &PlateWear<'_>) -> Ordering {
        sooner(
            (self.soon(), self.least.middle()),
            (other.soon(), other.least.middle()),
        )
    }

    /// The build that measured it last and how far it went since at the least, where nobody wrote down how far that is.
    pub(super) fn used_at_least(&self) -> Option<(&'a str, f64)> {
        let (last, here) = (self.track.sightings.last()?, self.track.here());
        here.at_least.then_some((last.build, here.at - last.gone.at))
    }

    fn soon(&self) -> f64 {
        // past any distance that can be told
        const UNKNOWN: f64 = 1e12;
        let last = self.track.sightings.last();
        let left = last
            .zip(self.track.limit)
            .map(|(last, limit)| (last.least - limit).mm());
        self.least
            .earliest()
            .unwrap_or_else(|| UNKNOWN + left.unwrap_or(UNKNOWN))
    }

    fn of(track: Track<'a>) -> PlateWear<'a> {
        let run = track.last_run();
        let points = |value: fn(&Sighting<'_>) -> Length| -> Vec<(f64, f64)> {
            run.iter().map(|one| (one.gone.at, value(one).mm())).collect()
        };
        let limit = track.limit.map(|limit| limit.mm());
        let each: Vec<Doubts> = run
            .iter()
            .map(|one| {
                let (own, zero) = (one.own.mm(), one.zero.mm());
                by_micrometer((own * own - zero * zero).max(0.0).sqrt(), zero)
            })
            .collect();
        let doubts = on_the_mean(&each);
        let doubt = doubts.whole();
        let (mean, least) = (
            outlook(&points(|one| one.mean), doubt, None, track.here().at),
            outlook(&points(|one| one.least), doubt, limit, track.here().at),
        );
        let lost = match (track.sightings.first(), track.sightings.last()) {
            (Some(first), Some(last)) => first.mean - last.mean,
            _ => Length::ZERO,
        };
        PlateWear {
            track,
            lost,
            mean,
            least,
            doubts,
        }
    }
}

impl PackWear {
    /// What one side's plates lose from build to build: each plate by its own two readings, so that new plates do not
    /// count as growth.
    fn of(side: Side, builds: &[WearBuild]) -> PackWear {
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut run = None;
        let mut lost = 0.0;
        let mut before: Option<&WearBuild> = None;
        let mut doubts: Vec<Doubts> = Vec::new();
        for build in builds {
            if build.account.plates.iter().all(|plate| plate.mean.is_none()) {
                continue;
            }
            if run != Some(build.gone.run) {
                (points, lost) = (Vec::new(), 0.0);
                run = Some(build.gone.run);
            } else if let Some(before) = before {
                match loss(side, before.account, build.account) {
                    Some(loss) => lost += loss,
                    None => (points, lost) = (Vec::new(), 0.0),
                }
            }
            points.push((build.gone.at, lost));
            doubts.push(pack_doubts(side, build.account));
            before = Some(build);
        }
        // as a value that falls, like the others
        let doubts = on_the_mean(&doubts.split_off(doubts.len() - points.len()));
        let falling: Vec<(f64, f64)> = points.iter().map(|(at, lost)| (*at, -lost)).collect();
        PackWear {
            side,
            outlook: outlook(&falling, doubts.whole(), None, 0.0),
            points,
            doubts,
        }
    }
}

/// What readings and the zero of their micrometer leave in doubt.
fn by_micrometer(readings: f64, zero: f64) -> Doubts {
    Doubts(vec![
        (READINGS.to_string(), readings),
        ("zero of the micrometer".to_string(), zero),
    ])
}

/// The root mean square of several.
fn on_the_mean(all: &[Doubts]) -> Doubts {
    let weighed: Vec<(f64, &Doubts)> = all.iter().map(|one| (1.0, one)).collect();
    Doubts::mean(&weighed)
}

/// What leaves in doubt, in millimetres, what the plates of a pack measure together, without what their readings share
/// with those of other builds. The zero of the micrometer counts in all of them.
fn pack_doubts(side: Side, account: &Account) -> Doubts {
    let of_side = account
        .plates
        .iter()
        .filter(|plate| plate.side_found == Some(side));
    let readings: Vec<f64> = of_side
        .filter_map(|plate| Some(plate.mean.as_ref()?.own(None).mm()))
        .collect();
    let zero = account
        .instrument(InstrumentRole::Micrometer)
        .and_then(|one| one.zero);
    let zeros = readings.len() as f64 * zero.map_or(0.0, |zero| zero.mm());
    let own: f64 = readings.iter().map(|own| own * own).sum();
    by_micrometer(own.sqrt(), zeros)
}

/// What the plates that a build left in a pack have lost when the next build finds them; `None` where one of them was not
/// measured both times.
fn loss(side: Side, before: &Account, after: &Account) -> Option<f64> {
    let pack = before.packs.iter().find(|pack| pack.side == side)?;
    let names = pack.plates_left.as_ref().unwrap_or(&pack.plates_found);
    names
        .iter()
        .map(|name| {
            let was = before.plate(name)?;
            let is = after.plates.iter().find(|plate| plate.part == was.part)?;
            Some((was.mean.as_ref()?.value - is.mean.as_ref()?.value).mm())
        })
        .sum()
}
