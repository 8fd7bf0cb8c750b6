//! `settle` beside itself: the same unit in several cars, and over a season.

use super::failure::Failure;
use crate::app;
use crate::app::{friction_now, look, read_text, with_its_plates};
use crate::history::{Fading, UnitWear};
use crate::mechanics::{LockSetup, MechanicsError};
use crate::quantity::{Distance, Force, Ratio, parse, significant};
use crate::tuning::{Beside, Course, Others, Tried, Worn};
use crate::workshop::{Car, UnitFile, Use};
use std::path::PathBuf;

/// The longest way that a season may have, in kilometres.
const FARTHEST: f64 = 1e6;
/// How far a season goes where nobody says: common practice, no source.
const SOME_SEASON: &str = "1500 km";

/// The unit as it is in each of several cars.
pub(super) fn in_cars(
    first: &Car,
    more: &[PathBuf],
    wanted: &Use,
    setup: &LockSetup,
) -> Result<Vec<Beside>, Failure> {
    if more.is_empty() {
        return Ok(Vec::new());
    }
    let mut cars = vec![first.clone()];
    for path in more {
        let text = read_text(path)?;
        cars.push(Car::read(&text.name, &text.text)?);
    }
    let beside = cars.into_iter().map(|car| {
        let rated = Course::new(&car, wanted, &Others::of(&car), Tried::AS_GIVEN)
            .and_then(|course| Ok(course.rated(setup)?))
            .map_err(|why| why.to_string());
        Beside {
            name: car.name,
            setup: setup.clone(),
            rated,
        }
    });
    Ok(beside.collect())
}

/// What the book knows of a unit over a season.
pub(super) struct Season {
    /// The friction that it has shown.
    pub friction: Ratio,
    /// Its standard uncertainty.
    pub doubt: Ratio,
    /// Both in words.
    pub words: String,
    /// Preload on each pack as last left, and what it loses a kilometre.
    preload: Option<(f64, f64)>,
    /// What the friction loses a kilometre.
    fades: f64,
    /// How far the season goes, in kilometres.
    after: f64,
}

impl Season {
    /// Looks a unit up in a book.
    pub fn of(unit: &UnitFile, book: Option<&PathBuf>, after: Option<&str>) -> Result<Season, Failure> {
        let Some(unit) = unit.opened() else {
            return Err(Failure::NothingFinished(unit.id().to_string()));
        };
        let refused = |why| Failure::Argument { name: "--after", why };
        let after = parse::<Distance>(after.unwrap_or(SOME_SEASON))
            .map_err(refused)?
            .kilometres();
        if !(0.0..=FARTHEST).contains(&after) {
            return Err(MechanicsError::OutOfRange {
                what: "--after",
                value: format!("{after} km"),
                limits: format!("at least 0 km and at most {FARTHEST} km"),
            }
            .into());
        }
        let shelf = look(book)?;
        let accounts = with_its_plates(&shelf, &unit.id, false)?;
        if accounts.is_empty() {
            return Err(app::Failure::NoUnit(unit.id.clone()).into());
        }
        let wear =
            UnitWear::of(&unit.id, &accounts).ok_or_else(|| Failure::NothingFinished(unit.id.clone()))?;
        let known = friction_now(&shelf, unit)?;
        let loses = |fading: &Fading| fading.outlook.rate().unwrap_or(0.0).max(0.0);
        let left: Vec<(f64, f64)> = wear
            .preload
            .iter()
            .filter_map(|fading| Some((fading.now?.0, loses(fading))))
            .collect();
        let count = left.len() as f64;
        let mean = |pick: fn(&(f64, f64)) -> f64| left.iter().map(pick).sum::<f64>() / count;
        Ok(Season {
            friction: known.turning,
            doubt: known.doubt,
            words: known.words(),
            preload: (!left.is_empty()).then(|| (mean(|one| one.0), mean(|one| one.1))),
            fades: loses(&wear.friction),
            after,
        })
    }

    /// What it loses until the end of the season.
    pub fn worn(&self) -> Result<Worn, Failure> {
        let lost = self.preload.map_or(0.0, |(_, loses)| loses * self.after);
        Ok(Worn {
            over: Distance::from_kilometres(self.after).map_err(MechanicsError::from)?,
            preload: Force::from_newtons(lost).map_err(MechanicsError::from)?,
            friction: Ratio::new(self.fades * self.after).map_err(MechanicsError::from)?,
        })
    }

    /// The unit as its file has it, as last left, and at the end of the season.
    pub fn beside(&self, course: &Course, setup: &LockSetup) -> Result<Vec<Beside>, Failure> {
        let at = |kilometres: f64| -> Result<LockSetup, Failure> {
            let friction = (self.friction.value() - self.fades * kilometres).max(0.0);
            let preload = match self.preload {
                Some((left, loses)) => {
                    [Force::from_newtons((left - loses * kilometres).max(0.0))
                        .map_err(MechanicsError::from)?; 2]
                }
                None => setup.preload,
            };
            Ok(LockSetup {
                friction: Ratio::new(friction).map_err(MechanicsError::from)?,
                preload,
                ..setup.clone()
            })
        };
        let rows = [
            ("as its file has it".to_string(), setup.clone()),
            ("as last left".to_string(), at(0.0)?),
            (format!("at {} km", significant(self.after, 4)), at(self.after)?),
        ];
        let beside = rows.into_iter().map(|(name, setup)| Beside {
            name,
            rated: course.rated(&setup).map_err(|why| why.to_string()),
            setup,
        });
        Ok(beside.collect())
    }
}
