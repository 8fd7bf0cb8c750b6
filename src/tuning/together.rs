//! Two units of one car settled together.

use super::course::{Course, CourseError, Others, Tried};
use super::ranking::{lock_of, step};
use super::rated::Rated;
use super::settled::differs;
use crate::mechanics::tune::combinations;
use crate::mechanics::whole_car::Coupling;
use crate::mechanics::{LockModel, LockSetup, MechanicsError};
use crate::quantity::{NotFinite, Ratio};
use crate::workshop::car_layout::Place;
use crate::workshop::{Car, UnitFile, Use};

/// How many of the best of each unit are tried with as many of the other.
pub const BEST_OF_EACH: usize = 12;
/// How many pairs are told.
const MOST_PAIRS: usize = 3;

/// Settings of two units with what they do together.
#[derive(Clone, PartialEq, Debug)]
pub struct Pair {
    /// What each does at the moments that are for it, the other as it is in this pair.
    pub rated: [Rated; 2],
    /// How far the worst of all these moments is off, 0 to 1.
    pub worst: Ratio,
    /// The mean over all of them by their weights.
    pub mean: Ratio,
    /// Rings, faces, preload of both: how many of the six must be changed.
    pub changes: u32,
}

/// Two units of one car, each with what it is best changed to.
#[derive(Clone, PartialEq, Debug)]
pub struct Together {
    /// Where the two sit.
    pub places: [Place; 2],
    /// Their names.
    pub names: [String; 2],
    /// Both as they are.
    pub now: Pair,
    /// The best where only the first, and where only the second is changed.
    pub alone: [Pair; 2],
    /// The best pairs, the best first; never empty.
    pub pairs: Vec<Pair>,
    /// How many combinations each offers by itself.
    pub offered: [usize; 2],
    /// How many pairs were tried in all.
    pub tried: usize,
}

/// The settings of both with their rank: worst, mean, changes, lock.
struct Ranked {
    setups: [LockSetup; 2],
    changes: [u32; 2],
    rank: (i64, i64, u32, f64),
}

/// The car on the moments of either unit.
struct Two {
    places: [Place; 2],
    courses: [Course; 2],
    others: Others,
}

fn plates(setup: &LockSetup) -> Result<Coupling, MechanicsError> {
    Ok(Coupling::Plates(Box::new(LockModel::new(setup.clone())?)))
}

impl Two {
    /// Worst, mean and what each does, with what the packs of both can hold.
    fn rated(&self, setups: [&LockSetup; 2]) -> Result<(Pair, f64), MechanicsError> {
        let (mut sum, mut all, mut lock) = (0.0, 0.0, 0.0);
        let mut one = |n: usize| -> Result<Rated, MechanicsError> {
            let other = 1 - n;
            let others = self.others.with(self.places[other], plates(setups[other])?);
            let course = self.courses[n].among(others)?;
            let rated = course.rated(setups[n])?;
            for (stage, result) in course.stages.iter().zip(&rated.results) {
                let weight = stage.moment.weight.value();
                all += weight;
                sum += weight * result.short.value();
            }
            lock += lock_of(&course, &rated);
            Ok(rated)
        };
        let rated = [one(0)?, one(1)?];
        let [first, second] = &rated;
        let worst = match first.worst > second.worst {
            true => first.worst,
            false => second.worst,
        };
        let pair = Pair {
            worst,
            mean: Ratio::new(sum / all)?,
            changes: 0,
            rated,
        };
        Ok((pair, lock))
    }

    fn ranked(&self, setups: [LockSetup; 2], changes: [u32; 2]) -> Result<Ranked, MechanicsError> {
        let [first, second] = &setups;
        let (pair, lock) = self.rated([first, second])?;
        let rank = (
            step(pair.worst.value()),
            step(pair.mean.value()),
            changes.iter().sum(),
            lock,
        );
        Ok(Ranked {
            setups,
            changes,
            rank,
        })
    }

    fn told(&self, ranked: &Ranked) -> Result<Pair, MechanicsError> {
        let [first, second] = &ranked.setups;
        let (pair, _) = self.rated([first, second])?;
        Ok(Pair {
            changes: ranked.changes.iter().sum(),
            ..pair
        })
    }
}

fn sorted(mut all: Vec<Ranked>) -> Vec<Ranked> {
    all.sort_by(|a, b| {
        let (worst, mean, changes, lock) = a.rank;
        let other = b.rank;
        (worst, mean, changes)
            .cmp(&(other.0, other.1, other.2))
            .then(lock.total_cmp(&other.3))
    });
    all
}

impl Together {
    /// Whether a second unit can sit at a place of a car.
    ///
    /// # Errors
    ///
    /// It can not.
    pub fn can(car: &Car, place: Place) -> Result<(), CourseError> {
        let refused = |why| {
            Err(CourseError::NoSecond {
                place: place.word(),
                why,
            })
        };
        if place == car.place {
            return refused("that is where the unit itself sits");
        }
        if !car.both_driven {
            return refused("the car drives one axle alone");
        }
        Ok(())
    }

    /// Settles the unit of a car with a second one, at another place of it: first every combination of each with the other
    /// as it is, then the 12 best of each with those of the other. Ranked by the worst of the moments that are for either,
    /// then by their mean, then fewest changes, then the milder lock.
    ///
    /// # Errors
    ///
    /// A second place that is the unit's own or has no unit in this car; a car that can not drive the use; no moment for a
    /// place; too many combinations.
    pub fn new(
        car: &Car,
        wanted: &Use,
        unit: &UnitFile,
        (place, second): (Place, &UnitFile),
        others: &Others,
    ) -> Result<Together, CourseError> {
        Together::can(car, place)?;
        let units = [unit, second];
        let now = [unit.lock_setup()?, second.lock_setup()?];
        let [first, other] = &now;
        let others = others.with(car.place, plates(first)?).with(place, plates(other)?);
        let places = [car.place, place];
        let two = Two {
            places,
            courses: [
                Course::at(car, car.place, wanted, &others, Tried::AS_GIVEN)?,
                Course::at(car, place, wanted, &others, Tried::AS_GIVEN)?,
            ],
            others,
        };
        let alone = |n: usize| -> Result<Vec<Ranked>, MechanicsError> {
            let mut all = Vec::new();
            for combination in combinations(&now[n], units[n].offer())? {
                let (mut setups, mut changes) = (now.clone(), [0; 2]);
                setups[n] = combination.setup;
                changes[n] = combination.changes;
                all.push(two.ranked(setups, changes)?);
            }
            Ok(sorted(all))
        };
        let by_itself = [alone(0)?, alone(1)?];
        let offered = [by_itself[0].len(), by_itself[1].len()];
        // each as it is with the other is among those by themselves
        let best = |n: usize| {
            by_itself[n]
                .iter()
                .filter(move |one| one.changes[n] > 0)
                .take(BEST_OF_EACH)
        };
        let mut all = Vec::new();
        for one in best(0) {
            for other in best(1) {
                let setups = [one.setups[0].clone(), other.setups[1].clone()];
                all.push(two.ranked(setups, [one.changes[0], other.changes[1]])?);
            }
        }
        let best_alone = |n: usize| by_itself[n].first().ok_or(NotFinite);
        let alone = [two.told(best_alone(0)?)?, two.told(best_alone(1)?)?];
        // both as they are are among either
        let tried = all.len() + offered[0] + offered[1] - 1;
        let [one, other] = by_itself;
        all.extend(one);
        all.extend(other.into_iter().filter(|pair| pair.changes != [0; 2]));
        let pairs = sorted(all);
        let pairs = pairs.iter().take(MOST_PAIRS).map(|pair| two.told(pair));
        let [first, other] = &now;
        Ok(Together {
            places,
            names: units.map(|unit| unit.name().to_string()),
            now: two.rated([first, other])?.0,
            alone,
            pairs: pairs.collect::<Result<_, _>>()?,
            offered,
            tried,
        })
    }

    /// How the units of a pair differ from what they are, in words, first and second; empty where one is as it is.
    pub fn differs(&self, pair: &Pair) -> [Vec<String>; 2] {
        [0, 1].map(|n| differs(&self.now.rated[n].setup, &pair.rated[n].setup))
    }
}
