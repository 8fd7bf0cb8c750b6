//! Settings of a unit that were driven: the one that it has now, where steps start from, and what was felt of each.

use super::clock::Clock;
use super::days::{AllDays, OpenedDay, all_days, kept_setting};
use super::failure::Failure;
use super::load::{book_dir, open_build};
use crate::book::{BuildId, Shelf, is_taken, slug};
use crate::history::driven::{is_same_setting, median_step};
use crate::mechanics::{LockSetup, MechanicsError};
use crate::procedure::Session;
use crate::quantity::{Force, seconds_of};
use crate::record::driven::{Day, DayRun, Driven};
use std::path::PathBuf;

/// A unit's lock as it was driven last, or as a finished build left it.
pub(crate) struct LastDriven {
    /// Which that is, such as "the unit as moor-rear-0002 left it on 2026-05-09".
    pub words: String,
    /// Ramps, faces and preload, plates turning.
    pub setup: LockSetup,
}

/// A setting of the unit on one drive day of the car.
pub(crate) struct DrivenSetting {
    /// The drive day.
    pub day: String,
    /// A build's name, or the word for a setting's file.
    pub called: String,
    /// In how many runs it was driven.
    pub runs: usize,
    /// The median of what was felt in each phase, -2 to 2.
    pub felt: [Option<f64>; 5],
    /// Ramps, faces and preload; nothing where the book does not know them any more.
    pub setup: Option<LockSetup>,
}

/// What the book knows of how a unit was driven.
#[derive(Default)]
pub(crate) struct DrivenSoFar {
    /// As it is since; nothing where the book has no finished build of it and no drive day with it.
    pub last: Option<LastDriven>,
    /// What was felt, in the order of the days; those of which nothing was said are left out.
    pub settings: Vec<DrivenSetting>,
}

/// The unit, as a build left it.
fn setup_left(session: &Session, build: &str, digest: &str) -> Result<LockSetup, Failure> {
    let account = session.account(build, digest);
    let mut setup = session.job().unit.lock_setup()?;
    for (n, pack) in account.packs.iter().enumerate().take(2) {
        setup.faces[n] = pack.faces_left.unwrap_or(setup.faces[n]);
        setup.preload[n] = pack.preload_left.unwrap_or(setup.preload[n]);
    }
    // one value for both, as settings have it
    let mean = setup.preload.map(Force::newtons).iter().sum::<f64>() / 2.0;
    setup.preload = [Force::from_newtons(mean).map_err(MechanicsError::from)?; 2];
    Ok(setup)
}

/// The unit as a finished build left it.
struct Left {
    /// When it was finished, in seconds, and its number: what comes last is greatest.
    place: (i64, u16),
    build: String,
    finished: String,
    setup: LockSetup,
}

/// The unit as its last finished build left it that was not voided.
fn last_left(shelf: &Shelf, unit: &str) -> Result<Option<Left>, Failure> {
    let slug = slug(unit);
    let now = seconds_of(&Clock::Now.time());
    let mut last: Option<Left> = None;
    let marks = shelf.marks()?;
    for id in shelf.list()?.into_iter().filter(|id| id.is_of(&slug, &marks)) {
        // one that can not be read is told where builds are listed
        let Ok(opened) = open_build(shelf, &id) else {
            continue;
        };
        let session = &opened.session;
        let (Some(left), Some(finished)) = (session.left(id.as_str()), session.finished()) else {
            continue;
        };
        let Some(seconds) = seconds_of(finished) else {
            continue;
        };
        let place = (seconds, id.number());
        let later = now.is_some_and(|now| seconds > now);
        let older = last.as_ref().is_some_and(|known| known.place > place);
        if later || older || session.is_voided() || !opened.newer.is_empty() {
            continue;
        }
        last = Some(Left {
            place,
            build: left.build,
            finished: left.finished,
            setup: setup_left(session, id.as_str(), &opened.digest)?,
        });
    }
    Ok(last)
}

/// Looks settings up that were driven.
struct Lookup<'a> {
    shelf: &'a Shelf,
    /// The id of the unit.
    unit: &'a str,
    /// The unit as its file has it: what a setting does not say is taken from it.
    by_file: &'a LockSetup,
}

impl Lookup<'_> {
    /// What was driven on a day, if it is of the unit: its lock, where that is still known.
    fn of(&self, opened: &OpenedDay, driven: &Driven) -> Result<Option<Option<LockSetup>>, Failure> {
        match driven {
            Driven::Record(build) => {
                let Ok(id) = build.build.parse::<BuildId>() else {
                    return Ok(None);
                };
                if !id.is_of(&slug(self.unit), &self.shelf.marks()?) {
                    return Ok(None);
                }
                let Ok(found) = open_build(self.shelf, &id) else {
                    return Ok(Some(None));
                };
                Ok(Some(Some(setup_left(
                    &found.session,
                    id.as_str(),
                    &found.digest,
                )?)))
            }
            Driven::Setting(digest) => {
                let Ok(id) = opened.day.name.parse::<BuildId>() else {
                    return Ok(None);
                };
                let Some(setting) = kept_setting(self.shelf, &id, digest)? else {
                    return Ok(None);
                };
                Ok((setting.unit_id == self.unit).then(|| {
                    Some(LockSetup {
                        drive: setting.drive,
                        coast: setting.coast,
                        faces: setting.faces,
                        preload: setting
                            .spring
                            .map_or(self.by_file.preload, |spring| [spring.target; 2]),
                        ..self.by_file.clone()
                    })
                }))
            }
        }
    }
}

/// The median of what was felt of a setting in each phase, and in how many runs it was driven.
fn felt_of(day: &Day, driven: &Driven) -> ([Option<f64>; 5], usize) {
    let is_of = |run: &&DayRun| {
        run.setting
            .as_ref()
            .is_some_and(|one| is_same_setting(one, driven))
    };
    let runs: Vec<&DayRun> = day.runs.iter().filter(is_of).collect();
    let felt = [0, 1, 2, 3, 4].map(|phase: usize| {
        let answers: Vec<i8> = runs.iter().filter_map(|run| run.felt[phase]).collect();
        median_step(&answers)
    });
    (felt, runs.len())
}

/// What the book knows of how a unit was driven; `car` is the name of the car whose drivers are asked, `by_file` the unit as its
/// file has it.
///
/// A drive day is newer than a build that was finished before it, or on it where it drove that build.
pub(crate) fn driven_so_far(
    book: Option<&PathBuf>,
    unit: &str,
    car: &str,
    by_file: &LockSetup,
) -> Result<DrivenSoFar, Failure> {
    let dir = match book_dir(book) {
        Err(Failure::NoHome) => return Ok(DrivenSoFar::default()),
        other => other?,
    };
    if !is_taken(&dir) {
        return Ok(DrivenSoFar::default());
    }
    let shelf = Shelf::look(&dir)?;
    let lookup = Lookup {
        shelf: &shelf,
        unit,
        by_file,
    };
    let left = last_left(&shelf, unit)?;
    let AllDays { days, .. } = all_days(&shelf)?;
    let mut settings = Vec::new();
    let mut driven_last = None;
    for opened in days.iter().filter(|opened| !opened.session.is_voided()) {
        let day = &opened.day;
        let mut known: Vec<(Driven, Option<LockSetup>)> = Vec::new();
        for (driven, called) in day.settings() {
            if known.iter().any(|(one, _)| is_same_setting(one, &driven)) {
                continue;
            }
            let Some(setup) = lookup.of(opened, &driven)? else {
                continue;
            };
            let (felt, runs) = felt_of(day, &driven);
            if day.car == car && felt.iter().any(Option::is_some) {
                settings.push(DrivenSetting {
                    day: day.name.clone(),
                    called: called.to_string(),
                    runs,
                    felt,
                    setup: setup.clone(),
                });
            }
            known.push((driven, setup));
        }
        let newer = left.as_ref().is_none_or(|left| {
            let drove = |driven: &Driven| matches!(driven, Driven::Record(one) if one.build == left.build);
            let finished = left.finished.get(..10).unwrap_or(&left.finished);
            day.driven_on.as_str() > finished
                || (day.driven_on == finished && known.iter().any(|(driven, _)| drove(driven)))
        });
        let last = day.runs.iter().rev().find_map(|run| {
            let driven = run.setting.as_ref()?;
            let (_, setup) = known.iter().find(|(one, _)| is_same_setting(one, driven))?;
            Some((run, setup.clone()?))
        });
        if let (true, Some((run, setup))) = (newer, last) {
            driven_last = Some(LastDriven {
                words: format!(
                    "the unit as {} was driven last, on {} ({})",
                    run.called, day.driven_on, day.name
                ),
                setup,
            });
        }
    }
    let as_left = left.map(|left| LastDriven {
        words: format!("the unit as {} left it on {}", left.build, left.finished),
        setup: left.setup,
    });
    Ok(DrivenSoFar {
        last: driven_last.or(as_left),
        settings,
    })
}
