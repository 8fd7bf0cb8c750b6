//! Every combination that a unit offers, ranked by what it does on a course.

use super::course::Course;
use super::rated::Rated;
use crate::mechanics::tune::{Combination, Options, combinations};
use crate::mechanics::{LockSetup, MechanicsError};

/// A combination with how far it is off.
#[derive(Clone, PartialEq, Debug)]
pub struct Ranked {
    /// The combination.
    pub combination: Combination,
    /// How far its worst moment is off, 0 to 1.
    pub worst: f64,
    /// The mean of all moments by their weights.
    pub mean: f64,
    /// What its packs can hold, in N·m over all states: with all else alike the milder one comes first, since more lock is
    /// wear.
    lock: f64,
}

/// What differs by less than a thousandth of the way from met to as far off as can be differs by rounding.
pub(super) fn step(short: f64) -> i64 {
    (short * 1e3).round() as i64
}

/// Every combination, ranked, with which wants any of them meets.
#[derive(Clone, PartialEq, Debug)]
pub struct Ranking {
    /// The best first: by the worst moment, then the mean, then fewest changes, then the milder lock.
    pub all: Vec<Ranked>,
    /// Moment by moment and want by want.
    pub met: Vec<Vec<bool>>,
}

impl Ranking {
    /// Ranks what a unit offers.
    ///
    /// # Errors
    ///
    /// Too many combinations; a setup out of range.
    pub fn new(course: &Course, unit: &LockSetup, options: &Options) -> Result<Ranking, MechanicsError> {
        let wants = course
            .stages
            .iter()
            .map(|stage| vec![false; stage.moment.wants.len()]);
        let mut met: Vec<Vec<bool>> = wants.collect();
        let mut all = Vec::new();
        for combination in combinations(unit, options)? {
            let rated = course.rated(&combination.setup)?;
            for (known, result) in met.iter_mut().zip(&rated.results) {
                for (known, met) in known.iter_mut().zip(&result.met) {
                    *known |= met.short.value() <= 0.0;
                }
            }
            all.push(Ranked {
                worst: rated.worst.value(),
                mean: rated.mean.value(),
                lock: lock_of(course, &rated),
                combination,
            });
        }
        all.sort_by(|a, b| {
            step(a.worst)
                .cmp(&step(b.worst))
                .then(step(a.mean).cmp(&step(b.mean)))
                .then(a.combination.changes.cmp(&b.combination.changes))
                .then(a.lock.total_cmp(&b.lock))
        });
        Ok(Ranking { all, met })
    }
}

/// The torque that the packs can hold, summed over all states, in N·m.
pub(super) fn lock_of(course: &Course, rated: &Rated) -> f64 {
    let states = rated.results.iter().flat_map(|result| &result.states);
    states.filter_map(|(_, found)| course.capacity(found)).sum()
}
