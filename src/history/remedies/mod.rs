//! What to do about wear: what each remedy brings back, and what it costs in life.

mod gap;
mod plates;
mod report;
mod shims;
mod shown;
mod sprung;
mod words;

use super::measure::{BuiltValue, Measure, Wearing};
use super::outlook::{Outlook, sooner};
use super::tracks::WearBuild;
use super::wear::UnitWear;
use crate::mechanics::{Keying, Side};
use crate::quantity::{Force, Length, Torque};
use crate::workshop::{Aim, Drawer, Unit};
use std::cmp::Ordering;

/// Past so many times the distance that was seen a line says nothing any more.
pub const FAR: f64 = 5.0;

/// What is told where other shims than those that are in come no nearer.
const NEAREST: &str = "Shims: those that are in are the nearest to what is wanted that there are.";

/// How the distance came about that the remedies are reckoned for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reckoned {
    /// It was asked for.
    Asked,
    /// There the first of breakaway, preload and gap may be at its limit.
    AtTheEarliest,
    /// As the unit was last left; nothing says when a limit will be met.
    Now,
}

/// A figure with how far it may be off, at 95 %, where that can be said.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Banded<T> {
    /// The value.
    pub value: T,
    /// Half of the width of its band.
    pub doubt: Option<f64>,
}

/// What a unit is like.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Stands {
    /// The force on each pack; `None` for a unit that is set to a gap.
    pub preload: Option<[Force; 2]>,
    /// The breakaway while turning, held as the unit file says.
    pub breakaway: Option<Banded<Torque>>,
    /// The gap of each chain; `None` for the one of a through unit.
    pub gaps: Vec<(Option<Side>, Length)>,
}

/// How far it then goes until something is at its limit.
#[derive(Clone, PartialEq, Debug)]
pub struct Lasts {
    /// What is at its limit then.
    pub what: Wearing,
    /// By the middle of the rates; `None` where wear does not bring it there.
    pub at: Option<f64>,
    /// At the earliest, at 95 %; the same as `at` where there is no band.
    pub from: f64,
    /// At the latest; `None` where that can not be said, and the same as `at` where there is no band.
    pub to: Option<f64>,
}

impl Lasts {
    /// Which of two comes first.
    fn sooner(&self, other: &Lasts) -> Ordering {
        sooner((self.from, self.at), (other.from, other.at))
    }
}

/// Plates of one side changed for others.
#[derive(Clone, PartialEq, Debug)]
pub struct Swap {
    /// Which; `None` where that is not known.
    pub side: Option<Side>,
    /// The plate that comes out: the one that is at its limit first.
    pub out: String,
    /// Its mean thickness by then.
    pub thickness: Length,
    /// The spare of the drawer that goes in; `None` where a new one of the usual thickness is taken.
    pub spare: Option<String>,
    /// The thickness of what goes in, by its file.
    pub into: Length,
    /// How thick it would have to be to bring all back by itself.
    pub whole: Length,
}

/// What is done.
#[derive(Clone, PartialEq, Debug)]
pub enum What {
    /// Nothing.
    Nothing,
    /// Other shims.
    Shims {
        /// How much more on each side would be exact.
        exact: [Length; 2],
        /// How much more it is.
        more: [Length; 2],
        /// The shims on each side, where the drawer has them.
        shims: Option<[Vec<Length>; 2]>,
        /// What to get, where the drawer has none that fit: thickness and count.
        get: Option<(Length, u32)>,
    },
    /// One thicker plate in each pack, or one for both where one depth spans both.
    Plates(Vec<Swap>),
    /// Springs as high as new.
    NewSprings {
        /// Their free height as it was measured.
        measured: Length,
        /// As by the unit file.
        new: Length,
    },
    /// Springs that press so many times as hard at the same height.
    HarderSprings(f64),
    /// More faces that rub, by the order of the same plates.
    Faces {
        /// Faces of each pack as left.
        from: [u32; 2],
        /// Faces of each pack then.
        to: [u32; 2],
        /// The order of each pack from the case wall.
        order: [Vec<Keying>; 2],
    },
    /// New oil and clean plates.
    Oil {
        /// What the friction loses per distance.
        fades: f64,
        /// The friction that the plates showed as found, on the mean of the builds.
        found: f64,
        /// As left.
        left: f64,
        /// In how many builds both are known.
        builds: usize,
    },
}

/// One way to bring back what wear took.
#[derive(Clone, PartialEq, Debug)]
pub struct Remedy {
    /// What is done.
    pub what: What,
    /// What the unit is like then.
    pub stands: Stands,
    /// What it brings back of the breakaway, in newton metres.
    pub brings: Option<Banded<f64>>,
    /// How far it goes until preload, breakaway or gap are at their limit; `None` where it can not be said.
    pub holds: Option<Lasts>,
    /// How far it goes until the first plate is at its limit; `None` where it can not be said.
    pub plate: Option<Lasts>,
    /// So many times as hard are the plates pressed as without it.
    pub pressed: f64,
    /// What speaks against it: more than the unit file allows.
    pub against: Option<String>,
}

/// What a value comes to by its own trend.
#[derive(Clone, PartialEq, Debug)]
pub struct ByTrend {
    /// What it is.
    pub what: BuiltValue,
    /// What it measures.
    pub measure: Measure,
    /// The value then.
    pub value: f64,
    /// Between which two it lies at 95 %, where that can be said.
    pub band: Option<(f64, f64)>,
}

/// What to do about the wear of a unit.
#[derive(Clone, PartialEq, Debug)]
pub struct Remedies {
    /// How far after the last build, in what the unit counts in.
    pub after: f64,
    /// How that distance came about.
    pub reckoned: Reckoned,
    /// By the trends of breakaway, preload and gap themselves.
    pub by_trend: Vec<ByTrend>,
    /// Nothing first, then what can be done.
    pub list: Vec<Remedy>,
    /// What had to be told.
    pub told: Vec<String>,
}

/// A rate with its band.
#[derive(Clone, Copy, Debug)]
struct Rate {
    middle: f64,
    low: f64,
    high: f64,
    banded: bool,
}

impl Rate {
    const NONE: Rate = Rate {
        middle: 0.0,
        low: 0.0,
        high: 0.0,
        banded: false,
    };

    /// What is lost per distance; wear does not make anything thicker.
    fn of(outlook: &Outlook) -> Option<Rate> {
        let rate = match outlook {
            Outlook::Told { rate, interval, .. } => Rate {
                middle: *rate,
                low: interval.0,
                high: interval.1,
                banded: true,
            },
            Outlook::TooFew { rate: Some(rate), .. } => Rate {
                middle: *rate,
                low: *rate,
                high: *rate,
                banded: false,
            },
            Outlook::TooFew { .. } => return None,
        };
        Some(Rate {
            middle: rate.middle.max(0.0),
            low: rate.low.max(0.0),
            high: rate.high.max(0.0),
            ..rate
        })
    }
}

/// What the remedies are reckoned from.
struct Ground<'a> {
    wear: &'a UnitWear<'a>,
    unit: &'a Unit,
    drawer: &'a Drawer,
    /// The last build that put the unit together.
    built: &'a WearBuild<'a>,
    /// How far after the last build.
    after: f64,
    /// How far after the build that put it together.
    gone: f64,
    /// What each pack loses per distance, in millimetres.
    rates: Option<[Rate; 2]>,
}

impl Remedies {
    /// What can be done about the wear of a unit, `after` so far from its last build, in what the unit counts in: where it
    /// is not given, at the earliest distance at which breakaway, preload or gap may be at their limit.
    ///
    /// `unit` and `drawer` are those of the last build that put the unit together. Plates wear by the lines of their
    /// packs, the friction stays as it was shown at the last proof, and wear goes with the pressure ([`wear_under`]).
    /// Nothing is said where no build put the unit together.
    ///
    /// [`wear_under`]: crate::mechanics::wear::wear_under
    pub fn of(wear: &UnitWear, unit: &Unit, drawer: &Drawer, after: Option<f64>) -> Remedies {
        let mut told = Vec::new();
        let earliest = wear
            .fadings()
            .filter_map(|fading| fading.outlook.earliest())
            .min_by(f64::total_cmp)
            .filter(|earliest| *earliest <= FAR * wear.seen());
        let (after, reckoned) = match (after, earliest) {
            (Some(after), _) => (after, Reckoned::Asked),
            (None, Some(earliest)) => (earliest, Reckoned::AtTheEarliest),
            (None, None) => (0.0, Reckoned::Now),
        };
        let by_trend = wear
            .fadings()
            .chain([&wear.friction])
            .filter_map(|fading| {
                let (value, band) = fading.after(after)?;
                Some(ByTrend {
                    what: fading.what,
                    measure: fading.measure,
                    value,
                    band,
                })
            })
            .collect();
        let mut remedies = Remedies {
            after,
            reckoned,
            by_trend,
            list: Vec::new(),
            told: Vec::new(),
        };
        let Some(built) = wear.built() else {
            told.push(
                "No build in the book put the unit together, so remedies can not be reckoned.".to_string(),
            );
            remedies.told = told;
            return remedies;
        };
        let last = wear.builds.last().unwrap_or(built);
        let since = if last.gone.run == built.gone.run {
            if last.gone.at_least {
                told.push(format!(
                    "How far it has gone since {} is not known: remedies count from what is, so a limit may come sooner.",
                    built.account.build
                ));
            }
            last.gone.at - built.gone.at
        } else {
            told.push(format!(
                "How far it has gone since {} is not written down; remedies count from the last build.",
                built.account.build
            ));
            0.0
        };
        let rates = pack_rates(wear);
        let gone = since + after;
        match rates {
            None if gone > 0.0 => told.push(
                "How fast the packs wear can not be told from these builds: the remedies are reckoned as the unit was last \
                 left."
                    .to_string(),
            ),
            Some(rates) if rates.iter().any(|rate| !rate.banded) => told.push(
                "The wear of the packs is known from too few builds for a band: none stands at what is reckoned from it."
                    .to_string(),
            ),
            _ => {}
        }
        let seen = wear.seen();
        if gone > FAR * seen && seen > 0.0 && rates.is_some() {
            told.push(format!(
                "That is more than {FAR:.0} times as far as the unit was seen to wear: a straight line says little there."
            ));
        }
        // where the wear is not known everything stays as it was left
        let (after, gone) = if rates.is_some() {
            (after, gone)
        } else {
            (0.0, 0.0)
        };
        let ground = Ground {
            wear,
            unit,
            drawer,
            built,
            after,
            gone,
            rates,
        };
        remedies.list = match unit.aim {
            Aim::Preload { .. } => ground.sprung(&mut told),
            Aim::Gap { .. } => ground.set_to_a_gap(&mut told),
        };
        if !remedies.list.is_empty() && remedies.list.iter().all(|remedy| remedy.plate.is_none()) {
            told.push(
                "How far the plates have to their limits can not be told from these builds.".to_string(),
            );
        }
        remedies.told = told;
        remedies
    }
}

/// What each pack loses per distance: by its plates, else by how the gap or the room for the springs grows.
fn pack_rates(wear: &UnitWear) -> Option<[Rate; 2]> {
    let packs = wear.packs.iter().map(|pack| Rate::of(&pack.outlook));
    let packs: Option<Vec<Rate>> = packs.collect();
    if let Some([left, right]) = packs.as_deref() {
        return Some([*left, *right]);
    }
    let closings = wear.gaps.iter().chain(&wear.rooms);
    let grown: Option<Vec<Rate>> = closings.map(|fading| Rate::of(&fading.outlook)).collect();
    match grown.as_deref() {
        Some([both]) => {
            let half = Rate {
                middle: both.middle / 2.0,
                low: both.low / 2.0,
                high: both.high / 2.0,
                ..*both
            };
            Some([half; 2])
        }
        Some([left, right]) => Some([*left, *right]),
        _ => None,
    }
}

impl Ground<'_> {
    /// What the packs have lost, by the middle of the rates, their low and their high ends.
    fn worn(&self) -> [[Length; 2]; 3] {
        let at = |of: fn(&Rate) -> f64| {
            [0, 1].map(|side| {
                let rate = self.rates.as_ref().map_or(0.0, |rates| of(&rates[side]));
                Length::from_mm(rate * self.gone).unwrap_or(Length::MOST)
            })
        };
        [at(|rate| rate.middle), at(|rate| rate.low), at(|rate| rate.high)]
    }

    /// The shims of each side as left.
    fn shims_left(&self) -> [Vec<Length>; 2] {
        let of = |n: usize| {
            let pack = self.built.account.packs.get(n);
            pack.and_then(|pack| pack.shims_left.clone()).unwrap_or_default()
        };
        [of(0), of(1)]
    }
}

/// How far it goes, from how far each source of doubt takes it by itself: `far` by the middle of all, and pairs of the
/// early and the late end by one of them. What they take off and put on is added in quadrature. A rate without a band leaves what
/// is reckoned from it without one: the doubt of the value alone would be far too narrow.
fn lasts(what: BuiltValue, far: Option<f64>, rates: &[Rate], ends: &[[Option<f64>; 2]]) -> Option<Lasts> {
    let at = far?;
    if !rates.iter().all(|rate| rate.banded) {
        return Some(Lasts {
            what: Wearing::Value(what),
            at: Some(at),
            from: at,
            to: Some(at),
        });
    }
    let (mut early, mut late) = (0.0_f64, Some(0.0_f64));
    for [from, to] in ends {
        early = early.hypot(at - (*from)?);
        late = late.zip(*to).map(|(late, to)| late.hypot(to - at));
    }
    Some(Lasts {
        what: Wearing::Value(what),
        at: Some(at),
        from: (at - early).max(0.0),
        to: late.map(|late| at + late),
    })
}

/// To whole micrometres: nobody makes a shim to less.
fn micrometres(length: Length) -> Length {
    Length::from_um((length.nm() + 500).div_euclid(1000))
}
