//! What is in doubt of a setting's figures, and which guess matters most.

use super::course::{Course, CourseError, Others, Tried};
use super::rated::{MomentResult, Rated};
use crate::mechanics::{LockSetup, MechanicsError};
use crate::quantity::{Distance, Force, Ratio, Torque, significant};
use crate::workshop::{Car, CarFigure, UnitFile, Use};

/// What is not known well.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Guess {
    /// Friction of the plates.
    Friction,
    /// Grip of the tyres.
    Grip,
    /// Height of the centre of mass.
    Height,
    /// Preload of the springs.
    Preload,
    /// What a unit is worn by over a distance: what comes, and not what is not known.
    Wear,
}

/// What a unit loses over a distance, by what is known of its past.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Worn {
    /// The distance.
    pub over: Distance,
    /// Of the preload on each pack, not below 0.
    pub preload: Force,
    /// Of the friction, not below 0.
    pub friction: Ratio,
}

impl Worn {
    /// A setting when it is worn so.
    fn of(self, setup: &LockSetup) -> Result<LockSetup, MechanicsError> {
        let left = |force: Force| Force::from_newtons((force.newtons() - self.preload.newtons()).max(0.0));
        let [one, other] = setup.preload.map(left);
        Ok(LockSetup {
            friction: Ratio::new((setup.friction.value() - self.friction.value()).max(0.0))?,
            preload: [one?, other?],
            ..setup.clone()
        })
    }

    /// It in words: the distance, what each pack loses of its preload, and the friction.
    pub fn words(self) -> String {
        format!(
            "wear over {} km (− {:.0} N, − {} friction)",
            significant(self.over.kilometres(), 4),
            self.preload.newtons(),
            significant(self.friction.value(), 2)
        )
    }
}

impl Guess {
    /// It in words.
    pub fn words(self) -> &'static str {
        match self {
            Guess::Friction => "friction of the plates",
            Guess::Grip => "grip of the tyres",
            Guess::Height => "height of the centre of mass",
            Guess::Preload => "preload",
            Guess::Wear => "wear over the distance",
        }
    }
}

/// How far the grip of a use and the height of the centre of mass may be off, as a share: common practice, no source.
const SOME_DOUBT: f64 = 0.10;

/// A guess with how far it may be off, each way, as shares.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Doubt {
    /// What is not known well.
    pub guess: Guess,
    /// By how much less, as a share below 0, and by how much more. Of wear, what the unit as it is loses of its preload, or of
    /// its friction where that is more.
    pub apart: [f64; 2],
    /// What it is, of wear.
    pub worn: Option<Worn>,
}

impl Doubt {
    /// It in words, such as "friction of the plates ± 20 %".
    pub fn words(&self) -> String {
        if let Some(worn) = self.worn {
            return worn.words();
        }
        let [less, more] = self.apart.map(|share| significant(100.0 * share.abs(), 2));
        if less == more {
            format!("{} ± {more} %", self.guess.words())
        } else {
            format!("{} − {less} % + {more} %", self.guess.words())
        }
    }
}

/// A figure with its band; at the ends `None` is never, of a throttle.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Band {
    /// The least.
    pub least: Option<f64>,
    /// The most.
    pub most: Option<f64>,
}

/// The bands of what a setting does at one moment: shares, and newton metres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MomentBands {
    /// As one from this throttle.
    pub one_from: Option<Band>,
    /// What is put down of what both tyres could.
    pub puts_down: Option<Band>,
    /// The moment against the turn, N·m.
    pub against: Band,
}

/// How much a guess moves what a setting does.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Moves {
    /// The guess.
    pub doubt: Doubt,
    /// By how much the figures move between its ends, as shares, weighted over the moments.
    pub by: Ratio,
}

/// The same car and use with what is not known well tried otherwise.
#[derive(Clone, PartialEq, Debug)]
pub struct Doubts {
    doubts: Vec<Doubt>,
    /// The course with less and with more grip, lower and higher; `None` where the bend can then not be driven.
    grip: [Option<Course>; 2],
    height: [Option<Course>; 2],
}

/// Stands for never, past every throttle.
const NEVER: f64 = 2.0;

impl Doubts {
    /// What is in doubt of a car with a unit on a use: the friction by the unit's doubt (95 %), the springs by their
    /// tolerance, grip and height by a tenth, a height that was guessed by a fifth (common practice, no source).
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn new(car: &Car, wanted: &Use, unit: &UnitFile, others: &Others) -> Result<Doubts, CourseError> {
        let friction = 2.0 * unit.friction().doubt.value() / unit.friction().turning.value();
        // what nobody knew is in more doubt than what somebody measured
        let height = match car.guessed.contains(&CarFigure::Height) {
            true => 2.0 * SOME_DOUBT,
            false => SOME_DOUBT,
        };
        let mut doubts = vec![
            Doubt {
                guess: Guess::Friction,
                apart: [-friction.min(1.0), friction],
                worn: None,
            },
            Doubt {
                guess: Guess::Grip,
                apart: [-SOME_DOUBT, SOME_DOUBT],
                worn: None,
            },
            Doubt {
                guess: Guess::Height,
                apart: [-height, height],
                worn: None,
            },
        ];
        if let Some(apart) = unit.preload_doubt() {
            doubts.push(Doubt {
                guess: Guess::Preload,
                apart,
                worn: None,
            });
        }
        let tried = |grip: f64, height: f64| match Course::new(car, wanted, others, Tried { grip, height }) {
            Ok(course) => Ok(Some(course)),
            Err(CourseError::Moment {
                source: MechanicsError::TooFast { .. } | MechanicsError::OutOfRange { .. },
                ..
            }) => Ok(None),
            Err(other) => Err(other),
        };
        Ok(Doubts {
            doubts,
            grip: [tried(1.0 - SOME_DOUBT, 1.0)?, tried(1.0 + SOME_DOUBT, 1.0)?],
            height: [tried(1.0, 1.0 - height)?, tried(1.0, 1.0 + height)?],
        })
    }

    /// The same with what the unit is worn by over a distance, which is between nothing and all of it.
    #[must_use]
    pub fn with_wear(mut self, worn: Worn, unit: &LockSetup) -> Doubts {
        let share = |lost: f64, of: f64| if of > 0.0 { (lost / of).min(1.0) } else { 0.0 };
        let preload = share(worn.preload.newtons(), unit.preload[0].newtons());
        let friction = share(worn.friction.value(), unit.friction.value());
        self.doubts.push(Doubt {
            guess: Guess::Wear,
            apart: [-preload.max(friction), 0.0],
            worn: Some(worn),
        });
        self
    }

    /// What a setting does with a guess at one of its ends; `None` where the car can then not be driven so.
    fn at_end(
        &self,
        course: &Course,
        setup: &LockSetup,
        doubt: &Doubt,
        end: usize,
    ) -> Result<Option<Rated>, MechanicsError> {
        let times = 1.0 + doubt.apart[end];
        let mut setup = setup.clone();
        let course = match doubt.guess {
            Guess::Grip => self.grip[end].as_ref(),
            Guess::Height => self.height[end].as_ref(),
            Guess::Friction => {
                setup.friction = Ratio::new((setup.friction.value() * times).clamp(0.0, 1.0))?;
                Some(course)
            }
            Guess::Preload => {
                let [left, right] = setup
                    .preload
                    .map(|force| Force::from_newtons(force.newtons() * times));
                setup.preload = [left?, right?];
                Some(course)
            }
            Guess::Wear => {
                if let (Some(worn), 0) = (doubt.worn, end) {
                    setup = worn.of(&setup)?;
                }
                Some(course)
            }
        };
        course.map(|course| course.rated(&setup)).transpose()
    }

    /// The bands of a setting, and how much each guess moves it, the most first. Guesses are taken as independent: what
    /// they move adds up by its squares.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn of(
        &self,
        course: &Course,
        rated: &Rated,
    ) -> Result<(Vec<MomentBands>, Vec<Moves>), MechanicsError> {
        let figures = |rated: &Rated| -> Vec<[f64; 3]> { rated.results.iter().map(figures_of).collect() };
        let middle = figures(rated);
        let mut less = vec![[0.0_f64; 3]; middle.len()];
        let mut more = less.clone();
        let mut moves = Vec::new();
        for doubt in &self.doubts {
            let mut span = vec![[[0.0_f64; 2]; 3]; middle.len()];
            for end in [0, 1] {
                let Some(other) = self.at_end(course, &rated.setup, doubt, end)? else {
                    continue;
                };
                for (n, figures) in figures(&other).iter().enumerate() {
                    for (k, figure) in figures.iter().enumerate() {
                        span[n][k][end] = figure - middle[n][k];
                    }
                }
            }
            let (mut by, mut all) = (0.0, 0.0);
            for (n, stage) in course.stages.iter().enumerate() {
                let weight = stage.moment.weight.value();
                all += weight;
                for (k, ends) in span[n].iter().enumerate() {
                    let (down, up) = (ends[0].min(ends[1]).min(0.0), ends[0].max(ends[1]).max(0.0));
                    less[n][k] = less[n][k].hypot(down);
                    more[n][k] = more[n][k].hypot(up);
                    if k < 2 {
                        by += weight * (up - down).min(1.0);
                    } else if let Some(front) = front_moment(&rated.results[n]) {
                        by += weight * (up - down) / front;
                    }
                }
            }
            moves.push(Moves {
                doubt: *doubt,
                by: Ratio::new(by / all)?,
            });
        }
        moves.sort_by(|a, b| b.by.value().total_cmp(&a.by.value()));
        let bands = rated.results.iter().enumerate().map(|(n, result)| {
            let [one, down, against] =
                [0, 1, 2].map(|k| (middle[n][k] - less[n][k], middle[n][k] + more[n][k]));
            let throttle = |value: f64| (value < 1.0 + 1e-9).then_some(value.max(0.0));
            MomentBands {
                one_from: result.puts_down.map(|_| Band {
                    least: throttle(one.0),
                    most: throttle(one.1),
                }),
                puts_down: result.puts_down.map(|_| Band {
                    least: Some(down.0.max(0.0)),
                    most: Some(down.1.min(1.0)),
                }),
                against: Band {
                    least: Some(against.0.max(0.0)),
                    most: Some(against.1),
                },
            }
        });
        Ok((bands.collect(), moves))
    }

    /// Between what the figures of a setting lie, given the friction's doubt.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn reach(&self, course: &Course, one: &Rated) -> Result<Reach, MechanicsError> {
        let mut ends = vec![one.clone()];
        if let Some(friction) = self.doubts.first() {
            for end in [0, 1] {
                ends.extend(self.at_end(course, &one.setup, friction, end)?);
            }
        }
        let all: Vec<Vec<[f64; 3]>> = ends
            .iter()
            .map(|rated| rated.results.iter().map(figures_of).collect())
            .collect();
        let moments = (0..one.results.len()).map(|n| {
            [0, 1, 2].map(|k| {
                let figures = || all.iter().filter_map(|one| one.get(n)).map(|figures| figures[k]);
                (
                    figures().fold(f64::INFINITY, f64::min),
                    figures().fold(f64::NEG_INFINITY, f64::max),
                )
            })
        });
        Ok(Reach {
            moments: moments.collect(),
        })
    }
}

/// Between what the figures of a setting lie, moment by moment.
#[derive(Clone, PartialEq, Debug)]
pub struct Reach {
    moments: Vec<[(f64, f64); 3]>,
}

impl Reach {
    /// Whether another setting can be told apart from it: a figure of that one lies beyond.
    pub fn tells_apart(&self, other: &Rated) -> bool {
        self.moments.iter().zip(&other.results).any(|(reach, result)| {
            let figures = figures_of(result).into_iter().zip(reach).enumerate();
            figures
                .into_iter()
                .any(|(k, (figure, (least, most)))| figure < least - SMALL[k] || figure > most + SMALL[k])
        })
    }
}

/// What nobody can feel: as shares of the throttle and of what is put down, and in N·m against the turn. Common practice, no
/// source.
const SMALL: [f64; 3] = [0.01, 0.01, 5.0];

/// As one from, puts down, against the turn.
fn figures_of(result: &MomentResult) -> [f64; 3] {
    [
        result.one_from.map_or(NEVER, Ratio::value),
        result.puts_down.map_or(0.0, Ratio::value),
        result.against.newton_metres(),
    ]
}

/// The moment that is worth all the grip of the front tyres.
fn front_moment(result: &MomentResult) -> Option<f64> {
    let share = result.against_share?.value();
    (share > 0.0).then(|| Torque::newton_metres(result.against) / share)
}
