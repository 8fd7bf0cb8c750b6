//! Each plate from build to build, with how far the unit had run.

use super::account::{Account, PlateAccount};
use super::measure::{InstrumentRole, Word};
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::collections::HashMap;
use std::fmt;

/// So many joint standard uncertainties must a plate be thicker than before to be another one: a false alarm would cut its
/// history, and a new plate is thicker by far more.
const SURELY: f64 = 5.0;

/// A distance that has been gone since some beginning. Two of one run can be subtracted; two of different runs can not,
/// because somewhere between them no distance was written down.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
pub struct Gone {
    /// Which run, from 0.
    pub run: u32,
    /// How far in it.
    pub at: f64,
    /// Whether it went further than that, and nobody wrote down how far.
    pub at_least: bool,
}

/// How far a plate has gone by the last build of the unit that it is in, along the run of its last sighting.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Here {
    /// How far in that run.
    pub at: f64,
    /// Whether it went further than that, and nobody wrote down how far.
    pub at_least: bool,
}

/// One build of the unit in the row of its builds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WearBuild<'a> {
    /// What the build says.
    pub account: &'a Account,
    /// How far the unit had gone.
    pub gone: Gone,
    /// How far it went since the build before.
    pub distance: Option<f64>,
}

/// A plate as one build measured it.
#[derive(Clone, PartialEq, Debug)]
pub struct Sighting<'a> {
    /// The build.
    pub build: &'a str,
    /// The unit that it was in, or that its drawer served.
    pub unit: &'a str,
    /// When the build was begun.
    pub begun: &'a str,
    /// How far the plate had gone, of its own.
    pub gone: Gone,
    /// Mean thickness.
    pub mean: Length,
    /// Its standard uncertainty.
    pub uncertainty: Length,
    /// What it does not share with other readings of that micrometer: its own standard uncertainty, and that of the zero.
    pub own: Length,
    /// Of that, what the zero of the micrometer leaves.
    pub zero: Length,
    /// The least reading.
    pub least: Length,
    /// The micrometer; empty where none is known.
    pub instrument: &'a str,
}

/// One plate through all builds and units that it was seen in.
#[derive(Clone, PartialEq, Debug)]
pub struct Track<'a> {
    /// What it is called across units.
    pub part: &'a str,
    /// Its name in the unit that saw it last.
    pub name: &'a str,
    /// What it is keyed to.
    pub keyed: Keying,
    /// Its thickness as new, by its file.
    pub nominal: Option<Length>,
    /// The least that the unit which saw it last allows it.
    pub limit: Option<Length>,
    /// The unit that it is in; `None` where it lies outside.
    pub unit: Option<&'a str>,
    /// The side that it is in; `None` outside.
    pub side: Option<Side>,
    /// Why it was thrown out, with the build; `None` where it was not.
    pub rejected: Option<(&'a str, &'a str)>,
    /// Where it was measured, in order of time.
    pub sightings: Vec<Sighting<'a>>,
    gone: Gone,
    /// How far its unit had gone when it was last seen there.
    unit_gone: Gone,
    /// Whether it was more than that by what nobody wrote down when the plate's way was last counted from it.
    is_loose: bool,
    /// How far it went since it was last measured, as far as that is known.
    since: f64,
    /// Whether it went further since, by what nobody wrote down.
    lacks: bool,
    /// Whether another plate has its name now.
    ended: bool,
}

impl<'a> Track<'a> {
    /// How far the plate had gone by the last build of the unit that it is in.
    pub fn here(&self) -> Here {
        Here {
            at: self
                .sightings
                .last()
                .map_or(self.gone.at, |last| last.gone.at + self.since),
            at_least: self.lacks || self.gone.at_least,
        }
    }

    /// The sightings whose distances can be compared with the last one's.
    pub fn last_run(&self) -> &[Sighting<'a>] {
        let run = self.sightings.last().map_or(0, |last| last.gone.run);
        let from = self
            .sightings
            .iter()
            .position(|one| one.gone.run == run)
            .unwrap_or(0);
        &self.sightings[from..]
    }
}

/// Something that had to be told of a build.
#[derive(Clone, PartialEq, Debug)]
pub struct Notice<'a> {
    /// The build.
    pub build: &'a str,
    /// Its unit.
    pub unit: &'a str,
    /// The parts that it is about; none where it is about the build.
    pub parts: Vec<&'a str>,
    /// The words, with the build's name in front.
    pub words: String,
}

impl<'a> Notice<'a> {
    fn new(account: &'a Account, parts: Vec<&'a str>, words: impl fmt::Display) -> Notice<'a> {
        Notice {
            build: &account.build,
            unit: &account.unit,
            parts,
            words: format!("{}: {words}", account.build),
        }
    }
}

/// How far a unit has gone at each of its builds.
#[derive(Clone, Default)]
struct UnitClock {
    begun: bool,
    /// The greatest run that was given out.
    runs: u32,
    /// Where it was last built; the distance that a build writes down counts from there.
    built: Option<Gone>,
    /// How far it is known to have gone since.
    seen: f64,
}

/// All plates of some builds, followed from build to build and from unit to unit.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Tracks<'a> {
    /// Every plate.
    pub plates: Vec<Track<'a>>,
    /// How far its unit had gone at each build, in the order of the builds.
    pub gone: Vec<Gone>,
    /// What had to be told: distances that are lacking, names that clash.
    pub told: Vec<Notice<'a>>,
    /// Plates of the build at hand that no build put where they are: their names and parts.
    strangers: Vec<(&'a str, &'a str)>,
}

impl<'a> Tracks<'a> {
    /// Follows the plates of builds that stand in order of time, by `distance` of a build. What was measured before a build
    /// that `lost` names, with the reason, can not be set against what it found.
    ///
    /// A plate is known by its part. It goes as far as the unit that it is in; in a drawer it goes nowhere. Two plates of
    /// one part are not merged: one that is thicker than before beyond doubt, keyed otherwise, or in another unit by the
    /// book, is told and counted as another.
    pub fn follow(
        accounts: &[&'a Account],
        distance: impl Fn(&Account) -> Option<f64>,
        lost: &HashMap<&str, String>,
    ) -> Tracks<'a> {
        let mut tracks = Tracks::default();
        let mut clocks: HashMap<&str, UnitClock> = HashMap::new();
        for account in accounts {
            let clock = clocks.entry(&account.unit).or_default();
            let why = lost.get(account.build.as_str()).map(String::as_str);
            let gone = tracks.clock(clock, account, distance(account), why);
            tracks.gone.push(gone);
            tracks.see(account, gone);
        }
        tracks
    }

    fn clock(
        &mut self,
        clock: &mut UnitClock,
        account: &'a Account,
        distance: Option<f64>,
        lost: Option<&str>,
    ) -> Gone {
        if lost.is_some() {
            clock.built = None;
        }
        let gone = match (clock.built, distance) {
            (Some(built), Some(distance)) => {
                clock.seen = clock.seen.max(distance);
                Gone {
                    at: built.at + distance,
                    at_least: false,
                    ..built
                }
            }
            // what is not built anew goes on from where it was built, and how far is not known
            (Some(built), None) if !account.is_built() => {
                let words =
                    "no distance is written down, so what was found can not be set against what was left";
                self.told.push(Notice::new(account, Vec::new(), words));
                Gone {
                    at: built.at + clock.seen,
                    at_least: true,
                    ..built
                }
            }
            _ if !clock.begun => Gone::default(),
            _ => {
                let why = match lost {
                    Some(why) => format!("{why}, and what was done then is not known"),
                    None => "no distance is written down".to_string(),
                };
                let words =
                    format!("{why}, so what was measured before can not be set against it by distance");
                self.told.push(Notice::new(account, Vec::new(), words));
                clock.runs += 1;
                Gone {
                    run: clock.runs,
                    ..Gone::default()
                }
            }
        };
        clock.begun = true;
        if account.is_built() {
            (clock.built, clock.seen) = (Some(gone), 0.0);
        } else if clock.built.is_none() {
            clock.built = distance.map(|distance| Gone {
                at: gone.at - distance,
                ..gone
            });
            clock.seen = distance.unwrap_or(0.0);
        }
        gone
    }

    fn see(&mut self, account: &'a Account, gone: Gone) {
        let mut seen = Vec::new();
        let mut parts: Vec<&str> = Vec::new();
        for plate in &account.plates {
            if parts.contains(&plate.part.as_str()) {
                let words = format!("two plates are part {}; only the first is followed", plate.part);
                self.told
                    .push(Notice::new(account, vec![plate.part.as_str()], words));
                continue;
            }
            parts.push(&plate.part);
            seen.push(self.sight(account, plate, gone));
        }
        if !self.strangers.is_empty() {
            let (names, found): (Vec<&str>, Vec<&str>) = self.strangers.drain(..).unzip();
            let words = format!(
                "found in the unit, though no build put it there: {}; how far it ran is not known",
                names.join(", ")
            );
            self.told.push(Notice::new(account, found, words));
        }
        // what the unit's file does not list any more is outside
        for (n, track) in self.plates.iter_mut().enumerate() {
            if track.unit == Some(account.unit.as_str()) && !seen.contains(&n) {
                track.unit = None;
                track.side = None;
            }
        }
    }

    /// Which track a plate belongs to; a new one where it belongs to none.
    fn find(&mut self, account: &'a Account, plate: &'a PlateAccount) -> usize {
        let known: Vec<usize> = (0..self.plates.len())
            .filter(|n| self.plates[*n].part == plate.part && !self.plates[*n].ended)
            .collect();
        let here = |track: &Track| track.unit == Some(account.unit.as_str());
        let found = known
            .iter()
            .copied()
            .find(|n| here(&self.plates[*n]))
            .or_else(|| known.iter().copied().find(|n| self.plates[*n].unit.is_none()));
        let told = match found {
            Some(n) => {
                let why = self.plates[n].differs(plate);
                match why {
                    None => return n,
                    Some(why) => {
                        self.plates[n].ended = true;
                        Some(format!(
                            "{} {why}; it is counted as another plate from here on",
                            plate.part
                        ))
                    }
                }
            }
            None => known.first().map(|n| {
                format!(
                    "part {} is in {} by the book, and no build took it out; the two are not merged",
                    plate.part,
                    self.plates[*n].unit.unwrap_or("another unit")
                )
            }),
        };
        self.told
            .extend(told.map(|words| Notice::new(account, vec![plate.part.as_str()], words)));
        self.plates.push(Track {
            part: &plate.part,
            name: &plate.name,
            keyed: plate.keyed,
            nominal: plate.nominal,
            limit: plate.limit,
            unit: None,
            side: None,
            rejected: None,
            sightings: Vec::new(),
            gone: Gone::default(),
            unit_gone: Gone::default(),
            is_loose: false,
            since: 0.0,
            lacks: false,
            ended: false,
        });
        self.plates.len() - 1
    }

    fn sight(&mut self, account: &'a Account, plate: &'a PlateAccount, gone: Gone) -> usize {
        let n = self.find(account, plate);
        let track = &mut self.plates[n];
        track.name = &plate.name;
        track.limit = plate.limit;
        let fresh = track.sightings.is_empty() && track.unit.is_none();
        if fresh {
            track.is_loose = gone.at_least;
        }
        if !plate.spare && !fresh {
            let stayed = track.unit == Some(account.unit.as_str());
            let step = (stayed && !track.is_loose && track.unit_gone.run == gone.run)
                .then_some(gone.at - track.unit_gone.at)
                .filter(|step| *step >= 0.0);
            // a reading at a place that nobody knows can not be set against those before it
            match step.filter(|_| !gone.at_least || plate.mean.is_none()) {
                Some(step) => {
                    track.gone.at += step;
                    track.gone.at_least = gone.at_least;
                    track.since += step;
                }
                None => {
                    // it ran, and nobody knows how far
                    if !stayed {
                        self.strangers.push((&plate.name, &plate.part));
                    }
                    track.gone = Gone {
                        run: track.gone.run + 1,
                        ..Gone::default()
                    };
                    track.is_loose = gone.at_least;
                    track.lacks = true;
                }
            }
        }
        if let Some(mean) = &plate.mean {
            (track.since, track.lacks) = (0.0, false);
            let micrometer = account.instrument(InstrumentRole::Micrometer);
            let zero = micrometer.and_then(|one| one.zero);
            track.sightings.push(Sighting {
                build: &account.build,
                unit: &account.unit,
                begun: &account.begun,
                gone: track.gone,
                mean: mean.value,
                uncertainty: mean.uncertainty,
                own: mean.own(zero),
                zero: zero.unwrap_or(Length::ZERO),
                least: plate.least.unwrap_or(mean.value),
                instrument: micrometer.map_or("", |one| one.id.as_str()),
            });
        }
        if let Some((before, _)) = track.rejected.take().filter(|_| !plate.rejected) {
            let words = format!("{} was thrown out at {before} and is back", plate.part);
            self.told
                .push(Notice::new(account, vec![plate.part.as_str()], words));
        }
        if plate.rejected {
            track.rejected = Some((&account.build, &plate.why));
        }
        let left = if account.is_built() {
            plate.side_left
        } else {
            plate.side_found
        };
        track.unit = left.map(|_| account.unit.as_str());
        track.side = left;
        track.unit_gone = gone;
        n
    }
}

impl Track<'_> {
    /// Why a plate can not be this one.
    fn differs(&self, plate: &PlateAccount) -> Option<String> {
        if self.keyed != plate.keyed {
            return Some(format!(
                "is keyed to the {}, and was to the {}",
                plate.keyed.stored(),
                self.keyed.stored()
            ));
        }
        let (last, now) = (self.sightings.last()?, plate.mean.as_ref()?);
        let grown = now.value - last.mean;
        let joint = last.uncertainty.um().hypot(now.uncertainty.um());
        (grown.um() > SURELY * joint).then(|| format!("is {grown} thicker than {} found it", last.build))
    }
}
