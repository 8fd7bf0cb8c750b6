//! All units of a book, and what is due of each.

use super::account::{Account, PlateAccount};
use super::driven::DrivenFar;
use super::measure::{InstrumentRole, Wearing, word};
use super::wear::{Along, UnitWear};
use crate::metrology::{Limits, Verdict, judge};
use crate::quantity::{Length, Torque};
use crate::quantity::{is_day, seconds_of};
use crate::record::driven::Day;
use serde::{Deserialize, Serialize};
use std::fmt;

/// How sure a verdict must be where only a reading and its window are known: the confidence that a unit file has where
/// it says nothing.
const CONFIDENCE: f64 = 0.95;
/// Below this share of what there was to wear, a part is told as due (common practice, no source).
const NEARLY_WORN: f64 = 0.1;

/// A unit as the list of all units shows it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FleetUnit {
    /// Its id, and the front part of its builds' names.
    pub unit: String,
    /// Its name; empty where no build of it can be read.
    pub name: String,
    /// The car that it was last in.
    pub car: String,
    /// How many builds there are, readable or not.
    pub builds: usize,
    /// The last finished build, and when it was finished.
    pub last: Option<(String, String)>,
    /// The build after it that is not finished.
    pub open: Option<String>,
    /// How far it has gone since, or how long it ran, as far as a later record says, and what that is counted in.
    pub since: Option<(f64, Along)>,
    /// Whether the newest record since says nothing of it, so that it went further or as far.
    pub since_at_least: bool,
    /// How it stands by its newest build.
    pub state: FleetState,
    /// What has to be looked at, the most pressing first.
    pub due: Vec<Due>,
    /// What meets its least first if it wears on as it did, where enough builds say so.
    pub forecast: Option<Forecast>,
    /// Builds that are not as they were written, with why.
    pub damaged: Vec<(String, String)>,
    /// Builds that a newer program made, with how that shows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub newer: Vec<(String, String)>,
    /// What its open build waits for, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waiting: Vec<String>,
    /// The shop's number of the job of its open build; empty where none was given.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub job_number: String,
    /// For whom that is; empty where that was not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub customer: String,
    /// By which day it is promised, as `2027-03-31`; empty where that was not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub promised: String,
    /// When it is to be looked at next, where a day was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_look: Option<NextLook>,
    /// Instruments that were last used on it: name, what for, the last day of its calibration, and when it was used.
    pub instruments: Vec<UsedInstrument>,
}

/// A day on which a unit is to be looked at.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NextLook {
    /// The day, as `2027-03-31`.
    pub day: String,
    /// The build that says so.
    pub build: String,
    /// When that was finished, as RFC 3339 text.
    pub said: String,
}

impl NextLook {
    /// What the newest finished build says of it that was asked; a day in its words, such as `2027-03-31 or 600 km`.
    fn of(whole: &[&Account]) -> Option<NextLook> {
        let mut newest = whole.iter().rev();
        let account = newest.find(|account| account.finished.is_some() && !account.next_look.is_empty())?;
        let words = account.next_look.split(|c: char| !c.is_ascii_digit() && c != '-');
        let day = words.into_iter().find(|word| is_day(word))?;
        Some(NextLook {
            day: day.to_string(),
            build: account.build.clone(),
            said: account.finished.clone().unwrap_or_default(),
        })
    }
}

/// When something of a unit meets its least at the earliest, by [`UnitWear`] over the builds of this unit alone: what a
/// plate wore in another unit before does not count here.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Forecast {
    /// What.
    pub what: Wearing,
    /// How far it may go from the unit's newest record, in the unit of `along`; 0 where it is there already.
    pub earliest: f64,
    /// What distances are counted in.
    pub along: Along,
    /// Whether the unit went further than its records say, so that it may come sooner.
    pub or_sooner: bool,
}

impl Forecast {
    fn of(unit: &str, accounts: &[Account]) -> Option<Forecast> {
        let wear = UnitWear::of(unit, accounts)?;
        let first = wear.first()?;
        let since = run_since(&wear, accounts);
        Some(Forecast {
            earliest: (first.earliest() - since.unwrap_or(0.0)).max(0.0),
            along: wear.along,
            or_sooner: first.lacks.is_some() && since.is_none(),
            what: first.what,
        })
    }
}

/// How far the unit has gone after the last finished build, as a build that was begun since says; `None` where none does.
fn run_since(wear: &UnitWear<'_>, accounts: &[Account]) -> Option<f64> {
    let last = wear.builds.last()?;
    // both ways count from the build that put the unit together
    let then = match wear.built() {
        Some(built) if !last.account.is_built() && built.gone.run == last.gone.run => {
            last.gone.at - built.gone.at
        }
        None => wear.along.of(last.account).unwrap_or(0.0),
        Some(_) => 0.0,
    };
    accounts
        .iter()
        .rev()
        .take_while(|account| account.build != last.account.build)
        .filter(|account| account.counts() && account.unit == wear.unit)
        .find_map(|account| wear.along.of(account))
        .map(|now| (now - then).max(0.0))
}

/// How a unit stands in the book.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub enum FleetState {
    /// The newest record of it is not as it was written, or can not be read.
    Damaged,
    /// The newest record of it was made by a newer program.
    Newer,
    /// No build of it was ever finished.
    NeverFinished,
    /// A build was begun after the last finished one.
    Unfinished,
    /// Its newest build is finished.
    Finished,
}

impl FleetState {
    /// Every state.
    pub const ALL: [FleetState; 5] = [
        FleetState::Damaged,
        FleetState::Newer,
        FleetState::NeverFinished,
        FleetState::Unfinished,
        FleetState::Finished,
    ];

    /// How it is typed: one word, so that a shell can complete it.
    pub fn key(self) -> &'static str {
        match self {
            FleetState::NeverFinished => "never-finished",
            other => other.words(),
        }
    }

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            FleetState::Damaged => "damaged",
            FleetState::Newer => "newer",
            FleetState::NeverFinished => "never finished",
            FleetState::Unfinished => "unfinished",
            FleetState::Finished => "finished",
        }
    }
}

impl fmt::Display for FleetState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}

/// Something that comes due: how near a part or a reading is to its limit, as it was last measured.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Due {
    /// What.
    pub what: DueWhat,
    /// The build that says so.
    pub build: String,
    /// How much is left, as a share: of a plate what may still wear off, of what could when it was new; of a breakaway
    /// how far it is from the nearer end of its window, in halves of the window. Below 0 past the limit.
    pub left: f64,
    /// Whether it is inside its limit.
    #[serde(with = "word")]
    pub verdict: Verdict,
}

/// What comes due.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum DueWhat {
    /// The plate with least left to wear.
    Plate {
        /// Its name.
        name: String,
        /// Its least reading.
        #[serde(rename = "least_um")]
        least: Length,
        /// Its limit.
        #[serde(rename = "limit_um")]
        limit: Length,
    },
    /// The breakaway.
    Breakaway {
        /// The reading.
        #[serde(rename = "torque_nm")]
        torque: Torque,
        /// The least and the most that are wanted.
        #[serde(rename = "window_nm")]
        window: [Torque; 2],
    },
}

impl Due {
    /// Whether it needs work: past its limit, too close to call, or with little left.
    pub fn is_pressing(&self) -> bool {
        self.verdict != Verdict::Inside || self.left < NEARLY_WORN
    }

    fn rank(&self) -> u8 {
        match self.verdict {
            Verdict::Outside => 0,
            Verdict::TooCloseToCall => 1,
            Verdict::Inside => 2,
        }
    }
}

/// An instrument as a build has used it.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsedInstrument {
    /// Its name.
    pub id: String,
    /// What it was used for.
    #[serde(with = "word")]
    pub role: InstrumentRole,
    /// The last day of its calibration, as `2027-03-31`.
    pub due: String,
    /// When the build that says so was begun, as RFC 3339 text.
    pub used: String,
}

impl FleetUnit {
    /// Sums a unit up from its builds, the first to be begun first.
    pub fn of(unit: &str, accounts: &[Account]) -> FleetUnit {
        let not_whole = |words: fn(&Account) -> &Vec<String>| -> Vec<(String, String)> {
            let those = accounts.iter().filter(|account| !words(account).is_empty());
            those
                .map(|account| (account.build.clone(), words(account).join("; ")))
                .collect()
        };
        let damaged = not_whole(|account| &account.problems);
        let newer = not_whole(|account| &account.newer);
        let whole: Vec<&Account> = accounts.iter().filter(|account| account.counts()).collect();
        let is_finished = |account: &&&Account| account.finished.is_some();
        // a later look at the bench or the car is a record of the unit, but the packs are as the build left them
        let last = whole
            .iter()
            .rev()
            .filter(is_finished)
            .find(|account| account.packs.iter().any(|pack| pack.plates_left.is_some()))
            .or_else(|| whole.iter().rev().find(is_finished));
        let standing: Vec<&Account> = accounts
            .iter()
            .filter(|account| account.voided.is_none())
            .collect();
        let newest = standing.last();
        let open = whole.last().filter(|account| account.finished.is_none());
        // one that can not be read has no time: its number says when it was begun
        let is_newest = |those: &[(String, String)]| {
            newest.is_some_and(|newest| those.iter().any(|(build, _)| *build >= newest.build))
        };
        let after_last = whole
            .iter()
            .rev()
            .take_while(|account| last.is_some_and(|last| last.build != account.build));
        let newest_since = after_last.clone().next();
        let mut due: Vec<Due> = least_plate(&whole).into_iter().chain(breakaway(&whole)).collect();
        due.sort_by(|a, b| a.rank().cmp(&b.rank()).then(a.left.total_cmp(&b.left)));
        FleetUnit {
            unit: whole
                .last()
                .map_or(unit.to_string(), |account| account.unit.clone()),
            name: newest.map_or(String::new(), |account| account.unit_name.clone()),
            car: whole
                .iter()
                .rev()
                .map(|account| account.car.clone())
                .find(|car| !car.is_empty())
                .unwrap_or_default(),
            builds: standing.len(),
            last: last.map(|account| {
                let when = account.finished.clone().unwrap_or_default();
                (account.build.clone(), when)
            }),
            open: open.map(|account| account.build.clone()),
            since: after_last.into_iter().find_map(|account| since(account)),
            since_at_least: newest_since.is_some_and(|account| since(account).is_none()),
            state: if is_newest(&damaged) {
                FleetState::Damaged
            } else if is_newest(&newer) {
                FleetState::Newer
            } else if last.is_none() {
                FleetState::NeverFinished
            } else if open.is_some() {
                FleetState::Unfinished
            } else {
                FleetState::Finished
            },
            due,
            forecast: whole
                .last()
                .and_then(|account| Forecast::of(&account.unit, accounts)),
            damaged,
            newer,
            waiting: open.map_or(Vec::new(), |account| account.waiting.clone()),
            job_number: open.map_or(String::new(), |account| account.job_number.clone()),
            customer: open.map_or(String::new(), |account| account.customer.clone()),
            promised: open.map_or(String::new(), |account| account.promised.clone()),
            next_look: NextLook::of(&whole),
            instruments: instruments(&whole),
        }
    }

    /// Whether it is in a state. A unit of which an older build is damaged, or of a newer program, is so beside the state of
    /// its newest one.
    ///
    /// ```
    /// use shimwright::history::{Account, FleetState, FleetUnit};
    /// let of = |build: &str, problems: &[&str]| Account {
    ///     build: build.into(),
    ///     begun: "2026-03-14T09:00:00Z".into(),
    ///     finished: Some("2026-03-14T17:00:00Z".into()),
    ///     problems: problems.iter().map(ToString::to_string).collect(),
    ///     ..Account::default()
    /// };
    /// let unit = FleetUnit::of("a", &[of("a-0001", &["line 3 is torn"]), of("a-0002", &[])]);
    /// assert!(unit.is_in(FleetState::Damaged) && unit.is_in(FleetState::Finished) && unit.needs_work());
    /// assert_eq!(unit.standing(), "finished, 0001 damaged");
    /// ```
    pub fn is_in(&self, state: FleetState) -> bool {
        self.state == state
            || (state == FleetState::Damaged && !self.damaged.is_empty())
            || (state == FleetState::Newer && !self.newer.is_empty())
    }

    /// Whether somebody has to do something about it: it is not finished, not whole, or something presses.
    pub fn needs_work(&self) -> bool {
        self.state != FleetState::Finished
            || self.is_in(FleetState::Damaged)
            || self.due.iter().any(Due::is_pressing)
    }

    /// What needs work first comes first: past a limit, damaged, not finished, too close to call, then the least left.
    fn urgency(&self) -> (u8, f64) {
        let first = self.due.first();
        let left = first.map_or(f64::INFINITY, |due| due.left);
        let rank = match (first.map(|due| due.verdict), self.state) {
            (Some(Verdict::Outside), _) => 0,
            _ if self.is_in(FleetState::Damaged) => 1,
            (_, FleetState::NeverFinished | FleetState::Unfinished) => 2,
            (Some(Verdict::TooCloseToCall), _) => 3,
            _ => 4,
        };
        (rank, left)
    }
}

/// What a record says of the way since the last build.
fn since(account: &Account) -> Option<(f64, Along)> {
    [Along::Kilometres, Along::Hours]
        .into_iter()
        .find_map(|along| Some((along.of(account)?, along)))
}

/// The plate with least left to wear in the newest build that measured any.
fn least_plate(whole: &[&Account]) -> Option<Due> {
    let account = whole
        .iter()
        .rev()
        .find(|account| account.plates.iter().any(|plate| plate.least.is_some()))?;
    let chosen = account.packs.iter().any(|pack| pack.plates_left.is_some());
    let is_in = |plate: &&PlateAccount| match chosen {
        true => plate.side_left.is_some(),
        false => plate.side_found.is_some() && !plate.rejected,
    };
    account
        .plates
        .iter()
        .filter(is_in)
        .filter_map(|plate| {
            let (least, limit, new) = (plate.least?, plate.limit?, plate.nominal?);
            let left = (least - limit).um() / (new - limit).um();
            let verdict = plate.verdict?;
            left.is_finite().then(|| Due {
                what: DueWhat::Plate {
                    name: plate.name.clone(),
                    least,
                    limit,
                },
                build: account.build.clone(),
                left,
                verdict: if least < limit { Verdict::Outside } else { verdict },
            })
        })
        .min_by(|a, b| a.rank().cmp(&b.rank()).then(a.left.total_cmp(&b.left)))
}

/// The newest breakaway against its window: as left, else as received. What was read before a unit was put together anew says nothing
/// of it any more.
fn breakaway(whole: &[&Account]) -> Option<Due> {
    let newest_built = whole.iter().rposition(|account| account.is_built()).unwrap_or(0);
    let since = whole.get(newest_built..).unwrap_or_default();
    since.iter().rev().find_map(|account| {
        let read = &account.breakaway;
        let (torque, doubt) = match (read.left, read.found) {
            (Some(left), _) => (left, read.left_uncertainty),
            (None, Some(found)) if !account.is_built() => (found, read.found_uncertainty),
            (None, _) => return None,
        };
        let (least, most) = (read.least?, read.most?);
        let (low, high) = (least.newton_metres(), most.newton_metres());
        let value = torque.newton_metres();
        let limits = Limits::new(Some(low), Some(high)).ok()?;
        let doubt = doubt.map_or(0.0, |doubt| doubt.newton_metres());
        let (_, verdict) = judge(value, doubt, &limits, CONFIDENCE).ok()?;
        let left = (value - low).min(high - value) * 2.0 / (high - low);
        left.is_finite().then(|| Due {
            what: DueWhat::Breakaway {
                torque,
                window: [least, most],
            },
            build: account.build.clone(),
            left,
            verdict,
        })
    })
}

fn instruments(whole: &[&Account]) -> Vec<UsedInstrument> {
    let Some(account) = whole.iter().rev().find(|account| !account.instruments.is_empty()) else {
        return Vec::new();
    };
    account
        .instruments
        .iter()
        .map(|one| UsedInstrument {
            id: one.id.clone(),
            role: one.role,
            due: one.due.clone(),
            used: account.begun.clone(),
        })
        .collect()
}

/// An instrument whose calibration is out of date.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Overdue {
    /// Its name.
    pub id: String,
    /// What for.
    pub role: InstrumentRole,
    /// The last day of its calibration.
    pub due: String,
    /// The units that were last measured with it.
    pub units: Vec<String>,
}

/// All units of a book.
#[derive(Clone, PartialEq, Debug)]
pub struct Fleet {
    /// The units, what needs work first.
    pub units: Vec<FleetUnit>,
    /// Instruments that are out of date, the longest first.
    pub overdue: Vec<Overdue>,
    /// For each unit in the order of `units`, how far the drive days say that it was driven.
    pub driven: Vec<DrivenFar>,
}

impl Fleet {
    /// Puts the units in order, and finds the instruments that are out of date on a day, written as `2027-03-31`. What
    /// the newest build says of an instrument holds for all. `days` are the drive days of the book.
    pub fn of(mut units: Vec<FleetUnit>, days: &[&Day], today: &str) -> Fleet {
        units.sort_by(|a, b| {
            let (rank, left) = a.urgency();
            let (other_rank, other_left) = b.urgency();
            rank.cmp(&other_rank)
                .then(left.total_cmp(&other_left))
                .then_with(|| a.unit.cmp(&b.unit))
        });
        let mut known: Vec<(&UsedInstrument, Vec<String>)> = Vec::new();
        for unit in &units {
            for used in &unit.instruments {
                match known.iter_mut().find(|(one, _)| one.id == used.id) {
                    Some((newest, of)) => {
                        if seconds_of(&used.used) > seconds_of(&newest.used) {
                            *newest = used;
                        }
                        of.push(unit.unit.clone());
                    }
                    None => known.push((used, vec![unit.unit.clone()])),
                }
            }
        }
        let mut overdue: Vec<Overdue> = known
            .into_iter()
            .filter(|(used, _)| !used.due.is_empty() && used.due.as_str() < today)
            .map(|(used, mut units)| {
                units.sort();
                Overdue {
                    id: used.id.clone(),
                    role: used.role,
                    due: used.due.clone(),
                    units,
                }
            })
            .collect();
        overdue.sort_by(|a, b| (&a.due, &a.id).cmp(&(&b.due, &b.id)));
        let driven = units.iter().map(|unit| DrivenFar::of_unit(days, &unit.unit));
        Fleet {
            driven: driven.collect(),
            units,
            overdue,
        }
    }
}
