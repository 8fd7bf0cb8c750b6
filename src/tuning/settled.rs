//! What a car needs of its unit for a use: the unit as it is, and up to three settings that can be told apart.

use super::bands::{Doubts, MomentBands, Moves, Reach, Worn};
use super::course::{Course, CourseError, Others, Tried};
use super::ranking::Ranking;
use super::rated::Rated;
use super::said::Complaint;
use super::step_table::StepTable;
use crate::mechanics::tune::Near;
use crate::mechanics::{LockSetup, MechanicsError};
use crate::quantity::Power;
use crate::workshop::moment::Want;
use crate::workshop::{Car, CarFigure, UnitFigure, UnitFile, Use, ramp_words};

/// How many proposals are kept: three that differ beat ten that do not.
const MOST_PROPOSALS: usize = 3;
/// How far down the ranking they are looked for.
const LOOKED_AT: usize = 200;
/// How many that can not be told apart from a proposal are listed with it.
const MOST_ALIKE: usize = 9;

/// What a car needs of its unit for a use, worked out before the unit is opened.
#[derive(Clone, PartialEq, Debug)]
pub struct Settled {
    /// Names of car, use and unit.
    pub names: [String; 3],
    /// The unit's id.
    pub unit_id: String,
    /// How the use is taken, where its file is of version 1.
    pub taken_as: Option<String>,
    /// The car on the moments of the use.
    pub course: Course,
    /// The unit as it is.
    pub now: Rated,
    /// What is in doubt of it, moment by moment.
    pub now_bands: Vec<MomentBands>,
    /// The best settings that can be told apart, the best first; never empty.
    pub proposals: Vec<Proposal>,
    /// How many combinations were compared.
    pub compared: usize,
    /// What none of them meets: the moment, counted from 0, and the want.
    pub unmet: Vec<(usize, Want)>,
    /// Which guess moves the first proposal's figures how much, the most first.
    pub moves: Vec<Moves>,
    /// What the unit can be stepped to.
    pub near: Near,
    /// The figures of the car that are estimates.
    pub guessed: Vec<CarFigure>,
    /// The figures of the unit that are estimates.
    pub guessed_unit: Vec<UnitFigure>,
}

/// A setting that is proposed.
#[derive(Clone, PartialEq, Debug)]
pub struct Proposal {
    /// What it does.
    pub rated: Rated,
    /// What is in doubt of it, moment by moment.
    pub bands: Vec<MomentBands>,
    /// How it differs from the unit as it is, in words; empty where it is the unit as it is.
    pub differs: Vec<String>,
    /// What it costs.
    pub cost: Cost,
    /// Settings that can not be told apart from it, given the friction's doubt.
    pub alike: Vec<LockSetup>,
}

/// What a setting costs.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Cost {
    /// Rings, faces, preload: how many of the three must be changed.
    pub changes: u32,
    /// Faces that rub, in both packs together.
    pub faces: u32,
    /// The most heat that goes into one face in a steady state, where the packs slip and no wheel spins.
    pub heat_a_face: Power,
}

impl Settled {
    /// Settles a unit for a car and a use, the other units of the car as they are.
    ///
    /// # Errors
    ///
    /// A car that can not drive the use; too many combinations.
    pub fn new(car: &Car, wanted: &Use, unit: &UnitFile, others: &Others) -> Result<Settled, CourseError> {
        Settled::with_wear(car, wanted, unit, others, None)
    }

    /// The same with what every setting is worn by over a distance, which widens its bands.
    ///
    /// # Errors
    ///
    /// As [`Settled::new`].
    pub fn with_wear(
        car: &Car,
        wanted: &Use,
        unit: &UnitFile,
        others: &Others,
        worn: Option<Worn>,
    ) -> Result<Settled, CourseError> {
        let course = Course::new(car, wanted, others, Tried::AS_GIVEN)?;
        let mut doubts = Doubts::new(car, wanted, unit, others)?;
        let setup = unit.lock_setup()?;
        if let Some(worn) = worn {
            doubts = doubts.with_wear(worn, &setup);
        }
        let now = course.rated(&setup)?;
        let (now_bands, _) = doubts.of(&course, &now)?;
        let Ranking { all, met } = Ranking::new(&course, &setup, unit.offer())?;
        let mut proposals: Vec<Proposal> = Vec::new();
        let mut reaches: Vec<Reach> = Vec::new();
        let mut moves = Vec::new();
        'next: for one in all.iter().take(LOOKED_AT) {
            let rated = course.rated(&one.combination.setup)?;
            for (proposal, reach) in proposals.iter_mut().zip(&reaches) {
                if !reach.tells_apart(&rated) {
                    if proposal.alike.len() < MOST_ALIKE {
                        proposal.alike.push(rated.setup);
                    }
                    continue 'next;
                }
            }
            if proposals.len() == MOST_PROPOSALS {
                continue;
            }
            let (bands, moved) = doubts.of(&course, &rated)?;
            reaches.push(doubts.reach(&course, &rated)?);
            if proposals.is_empty() {
                moves = moved;
            }
            proposals.push(Proposal {
                bands,
                differs: differs(&setup, &rated.setup),
                cost: cost(&course, &rated, one.combination.changes)?,
                alike: Vec::new(),
                rated,
            });
        }
        Ok(Settled {
            names: [car.name.clone(), wanted.name.clone(), unit.name().to_string()],
            unit_id: unit.id().to_string(),
            taken_as: wanted.taken_as.clone(),
            unmet: unmet(&course, &met),
            course,
            now,
            now_bands,
            proposals,
            compared: all.len(),
            moves,
            near: unit.near(),
            guessed: car.guessed.clone(),
            guessed_unit: unit.guessed().to_vec(),
        })
    }

    /// What is guessed of car and unit, in a sentence; `None` where nothing is.
    pub fn guesses(&self) -> Option<String> {
        let car = self.guessed.iter().map(|figure| figure.words());
        let unit = self.guessed_unit.iter().map(|figure| figure.words());
        let words: Vec<&str> = car.chain(unit).collect();
        (!words.is_empty()).then(|| {
            format!(
                "Guess, nobody knew: {}. All that follows rests on it too.",
                words.join(", ")
            )
        })
    }

    /// One of the proposals, counted from 1.
    pub fn proposal(&self, take: u32) -> Option<&Proposal> {
        self.proposals.get((take as usize).checked_sub(1)?)
    }

    /// What a setting does that is none of the proposals, such as the one that was last driven.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn rated(&self, setup: &LockSetup) -> Result<Rated, MechanicsError> {
        self.course.rated(setup)
    }

    /// What steps change from a setting, and of what was said.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn steps_from(&self, setup: &LockSetup, said: &[Complaint]) -> Result<StepTable, MechanicsError> {
        StepTable::new(&self.course, setup, &self.near, said)
    }
}

/// What no combination meets.
fn unmet(course: &Course, met: &[Vec<bool>]) -> Vec<(usize, Want)> {
    let mut unmet = Vec::new();
    for (n, (stage, met)) in course.stages.iter().zip(met).enumerate() {
        let wants = stage.moment.wants.iter().zip(met);
        unmet.extend(wants.filter(|(_, met)| !**met).map(|(want, _)| (n, *want)));
    }
    unmet
}

/// How a setting differs from another, in words.
pub fn differs(from: &LockSetup, to: &LockSetup) -> Vec<String> {
    let mut words = Vec::new();
    for (what, from, to) in [
        ("drive ramp", from.drive, to.drive),
        ("coast ramp", from.coast, to.coast),
    ] {
        if from != to {
            words.push(format!(
                "{what} {} instead of {}",
                ramp_words(to),
                ramp_words(from)
            ));
        }
    }
    if from.faces != to.faces {
        let faces = |[left, right]: [u32; 2]| match left == right {
            true => format!("{left}"),
            false => format!("{left} left, {right} right"),
        };
        words.push(format!(
            "{} faces a pack instead of {}",
            faces(to.faces),
            faces(from.faces)
        ));
    }
    if from.preload != to.preload {
        words.push(format!(
            "{} on each pack instead of {}",
            to.preload[0], from.preload[0]
        ));
    }
    words
}

fn cost(course: &Course, rated: &Rated, changes: u32) -> Result<Cost, MechanicsError> {
    let faces: u32 = rated.setup.faces.iter().sum();
    let states = rated.results.iter().flat_map(|result| &result.states);
    let most = states
        .filter_map(|(_, found)| course.heat(found))
        .fold(0.0, f64::max);
    Ok(Cost {
        changes,
        faces,
        heat_a_face: Power::from_kilowatts(most / 1000.0 / f64::from(faces.max(1)))?,
    })
}
