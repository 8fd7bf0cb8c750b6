//! A car on its course: the moments of a use as states of the whole car, and what a unit does in each of them.

use super::rated::{Found, Met, MomentResult, Rated};
use crate::mechanics::whole_car::{
    CarBalance, CarBody, CarMoment, Centre, Coupling, Drivetrain, EndsTurn, Raised, SidesTurn, WholeCar,
};
use crate::mechanics::{LockModel, LockSetup, MechanicsError};
use crate::quantity::{Force, Length, NotFinite, Ratio, Torque, Velocity};
use crate::workshop::car_layout::{AtWheels, CentreKind, Place};
use crate::workshop::moment::{Against, Throttle, UseMoment, Want};
use crate::workshop::{Car, Use};

/// At how many throttles a moment is looked at.
pub const THROTTLES: usize = 11;
/// How often the throttle from which the axle turns as one is halved between two of them.
const HALVINGS: usize = 7;
/// The speed of a use without one in a car whose engine has no revolutions, in km/h: common practice, no source.
const SOME_SPEED: f64 = 50.0;

/// Why a car can not be put on a course.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum CourseError {
    /// A formula gives nothing at a moment.
    #[error("at the moment \"{moment}\": {source}")]
    Moment {
        /// The moment.
        moment: String,
        /// Why.
        source: MechanicsError,
    },
    /// The car has no such gear.
    #[error("the moment \"{moment}\" is driven in gear {gear}, but the car has {count}")]
    Gear {
        /// The moment.
        moment: String,
        /// The gear that is wanted.
        gear: u32,
        /// How many there are.
        count: usize,
    },
    /// No moment is for a unit at this place.
    #[error("no moment of the use \"{wanted}\" is for a unit in the {place}")]
    NoMoment {
        /// The use.
        wanted: String,
        /// The place.
        place: &'static str,
    },
    /// No second unit can be settled at this place.
    #[error("no unit in the {place} can be settled together with it: {why}")]
    NoSecond {
        /// The place.
        place: &'static str,
        /// Why not.
        why: &'static str,
    },
    /// A use of version 1 says nothing of a unit between the axles.
    #[error(
        "the use \"{wanted}\" is of version 1, which speaks of the two tyres of an axle and not of a unit in the centre; \
         take one with moments"
    )]
    NotForTheCentre {
        /// The use.
        wanted: String,
    },
    /// A formula gives nothing.
    #[error(transparent)]
    Mechanics(#[from] MechanicsError),
}

impl From<NotFinite> for CourseError {
    fn from(error: NotFinite) -> CourseError {
        CourseError::Mechanics(MechanicsError::NotFinite(error))
    }
}

/// The units at the other places, which stay as they are.
#[derive(Clone, PartialEq, Debug)]
pub struct Others {
    /// In the front axle.
    pub front: Coupling,
    /// Between the axles.
    pub centre: Coupling,
    /// In the rear axle.
    pub rear: Coupling,
}

impl Others {
    /// What a car has where no unit is named: open axles, and the centre of its file.
    pub fn of(car: &Car) -> Others {
        Others {
            front: Coupling::Open,
            centre: match car.layout.centre {
                CentreKind::Open => Coupling::Open,
                CentreKind::Solid => Coupling::Solid,
            },
            rear: Coupling::Open,
        }
    }

    /// The same with another one at a place.
    #[must_use]
    pub fn with(&self, place: Place, coupling: Coupling) -> Others {
        let mut others = self.clone();
        *match place {
            Place::Front => &mut others.front,
            Place::Centre => &mut others.centre,
            Place::Rear => &mut others.rear,
        } = coupling;
        others
    }

    /// The drivetrain of a car with them.
    ///
    /// # Errors
    ///
    /// A number past its range.
    pub fn train(&self, car: &Car) -> Result<Drivetrain, MechanicsError> {
        if !car.both_driven {
            return Ok(match car.place {
                Place::Rear => Drivetrain::Rear(self.rear.clone()),
                Place::Front | Place::Centre => Drivetrain::Front(self.front.clone()),
            });
        }
        Ok(Drivetrain::Both {
            front: self.front.clone(),
            centre: Centre {
                coupling: self.centre.clone(),
                front_share: car.front_share,
                ratio: behind_the_centre(car)?,
            },
            rear: self.rear.clone(),
        })
    }
}

/// The ratio that lies behind the centre.
fn behind_the_centre(car: &Car) -> Result<Ratio, NotFinite> {
    match car.layout.before_final {
        true => Ok(car.final_drive),
        false => Ratio::new(1.0),
    }
}

/// By how much what is not known well is tried otherwise.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tried {
    /// How many times the grip of every tyre.
    pub grip: f64,
    /// How many times the height of the centre of mass.
    pub height: f64,
}

impl Tried {
    /// As it is given.
    pub const AS_GIVEN: Tried = Tried {
        grip: 1.0,
        height: 1.0,
    };
}

/// The unit at one state, as it is told in a setting.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Shown {
    /// The share of the difference between its two sides that the packs could hold; `None` where both can take the same.
    pub share: Option<Ratio>,
    /// Torque through it, as a size.
    pub through: Torque,
    /// What its two sides can take: inside and outside, of a centre front and rear.
    pub limits: [Torque; 2],
}

/// A moment of a use as this car comes to it.
#[derive(Clone, PartialEq, Debug)]
pub struct Stage {
    /// The moment.
    pub moment: UseMoment,
    /// The speed.
    pub speed: Velocity,
    /// The gear, and what is at the wheels in it.
    pub at: AtWheels,
    /// The throttles that are looked at, rising; one, 0, where it is shut.
    pub throttles: Vec<Ratio>,
    /// What one piece in the unit's place puts down at the last of them: what both tyres could.
    pub could: Torque,
    car: WholeCar,
}

impl Stage {
    /// Torque at the wheels at a throttle: as much of the engine's as the throttle is open (common practice, no source);
    /// below 0 where it is shut.
    fn torque(&self, throttle: Ratio) -> Result<Torque, NotFinite> {
        match self.moment.throttle {
            Throttle::Shut => Torque::from_newton_metres(-self.at.drag.newton_metres()),
            Throttle::Opened { .. } => {
                Torque::from_newton_metres(throttle.value() * self.at.full.newton_metres())
            }
        }
    }

    /// The last throttle.
    fn most(&self) -> Result<Ratio, NotFinite> {
        self.throttles.last().copied().ok_or(NotFinite)
    }
}

/// A car with a unit at one place on the moments of a use.
#[derive(Clone, PartialEq, Debug)]
pub struct Course {
    /// Where the unit sits.
    pub place: Place,
    /// The moments that are for a unit there, at least one.
    pub stages: Vec<Stage>,
    others: Others,
    both_driven: bool,
    front_share: Ratio,
    ratio: Ratio,
}

impl Course {
    /// Puts a car on the moments of a use.
    ///
    /// # Errors
    ///
    /// A moment that can not be driven, or in a gear that the car has not; no moment for this place.
    pub fn new(car: &Car, wanted: &Use, others: &Others, tried: Tried) -> Result<Course, CourseError> {
        Course::at(car, car.place, wanted, others, tried)
    }

    /// The same with the unit at another place of a car that drives both axles.
    pub(super) fn at(
        car: &Car,
        place: Place,
        wanted: &Use,
        others: &Others,
        tried: Tried,
    ) -> Result<Course, CourseError> {
        if place == Place::Centre && wanted.taken_as.is_some() {
            return Err(CourseError::NotForTheCentre {
                wanted: wanted.name.clone(),
            });
        }
        let mut course = Course {
            place,
            stages: Vec::new(),
            others: others.clone(),
            both_driven: car.both_driven,
            front_share: car.front_share,
            ratio: behind_the_centre(car)?,
        };
        let mut body = car.body()?;
        body.height = Length::from_metres(body.height.metres() * tried.height)?;
        for moment in &wanted.moments {
            if moment.unit_in.is_some_and(|other| other != place) {
                continue;
            }
            let stage = course
                .stage(car, &body, moment, tried)
                .map_err(|error| match error {
                    CourseError::Mechanics(source) => CourseError::Moment {
                        moment: moment.name.clone(),
                        source,
                    },
                    other => other,
                })?;
            course.stages.push(stage);
        }
        if course.stages.is_empty() {
            return Err(CourseError::NoMoment {
                wanted: wanted.name.clone(),
                place: place.word(),
            });
        }
        Ok(course)
    }

    fn stage(
        &self,
        car: &Car,
        body: &CarBody,
        moment: &UseMoment,
        tried: Tried,
    ) -> Result<Stage, CourseError> {
        let own = car.at.kilometres_an_hour.unwrap_or(SOME_SPEED);
        let speed = match moment.speed {
            Some(speed) => speed,
            None => Velocity::from_km_per_hour(own)?,
        };
        let at = car.at_wheels(moment.gear, speed).ok_or(CourseError::Gear {
            moment: moment.name.clone(),
            gear: moment.gear.unwrap_or(car.at.gear),
            count: car.ratios.len(),
        })?;
        let none = Force::from_newtons(0.0)?;
        let of_the_air = match car.layout.air {
            None => [none; 2],
            Some(air) => {
                let times = (speed.km_per_hour() / air.at.km_per_hour()).powi(2);
                let [front, rear] = air
                    .downforce
                    .map(|force| Force::from_newtons(force.newtons() * times));
                [front?, rear?]
            }
        };
        let grip = |grip: Ratio| Ratio::new((grip.value() * tried.grip).min(3.0));
        let sides = [grip(moment.grip[0])?, grip(moment.grip[1])?];
        let whole = WholeCar::new(
            body,
            &CarMoment {
                speed,
                cornering: moment.cornering,
                grip: [sides; 2],
                slide_slip: moment.slide_slip,
                downforce: moment.downforce.unwrap_or(of_the_air),
                brakes: moment.brakes,
            },
        )?;
        let throttles = match moment.throttle {
            Throttle::Shut => vec![Ratio::new(0.0)?],
            Throttle::Opened { from, to } => (0..THROTTLES)
                .map(|n| {
                    let part = n as f64 / (THROTTLES - 1) as f64;
                    Ratio::new(from.value() + part * (to.value() - from.value()))
                })
                .collect::<Result<_, _>>()?,
        };
        let mut stage = Stage {
            moment: moment.clone(),
            speed,
            at,
            throttles,
            could: Torque::from_newton_metres(0.0)?,
            car: whole,
        };
        let most = stage.torque(stage.most()?)?;
        stage.car = stage.car.ready_for(most);
        stage.could = self.could(&stage)?;
        Ok(stage)
    }

    /// What one piece in the unit's place puts down at the last throttle of a stage.
    fn could(&self, stage: &Stage) -> Result<Torque, MechanicsError> {
        let most = stage.torque(stage.most()?)?;
        Ok(stage.car.at(&self.train(Coupling::Solid), most)?.through)
    }

    /// The same course with other units at the other places.
    pub(super) fn among(&self, others: Others) -> Result<Course, MechanicsError> {
        let mut course = self.clone();
        course.others = others;
        for n in 0..course.stages.len() {
            course.stages[n].could = course.could(&course.stages[n])?;
        }
        Ok(course)
    }

    /// The drivetrain with a coupling in the unit's place.
    fn train(&self, coupling: Coupling) -> Drivetrain {
        let others = &self.others;
        if !self.both_driven {
            return match self.place {
                Place::Rear => Drivetrain::Rear(coupling),
                Place::Front | Place::Centre => Drivetrain::Front(coupling),
            };
        }
        let centre = |coupling| Centre {
            coupling,
            front_share: self.front_share,
            ratio: self.ratio,
        };
        let (front, middle, rear) = match self.place {
            Place::Front => (coupling, others.centre.clone(), others.rear.clone()),
            Place::Centre => (others.front.clone(), coupling, others.rear.clone()),
            Place::Rear => (others.front.clone(), others.centre.clone(), coupling),
        };
        Drivetrain::Both {
            front,
            centre: centre(middle),
            rear,
        }
    }

    /// What a unit does at every moment, and how far it is off what is wanted.
    ///
    /// # Errors
    ///
    /// A setup out of range.
    pub fn rated(&self, setup: &LockSetup) -> Result<Rated, MechanicsError> {
        let train = self.train(Coupling::Plates(Box::new(LockModel::new(setup.clone())?)));
        let results: Vec<MomentResult> = self
            .stages
            .iter()
            .map(|stage| self.result(stage, &train))
            .collect::<Result<_, _>>()?;
        let weights = self.stages.iter().map(|stage| stage.moment.weight.value());
        let (mut all, mut sum, mut worst) = (0.0, 0.0, 0.0_f64);
        for (result, weight) in results.iter().zip(weights) {
            all += weight;
            sum += weight * result.short.value();
            worst = worst.max(result.short.value());
        }
        Ok(Rated {
            setup: setup.clone(),
            worst: Ratio::new(worst)?,
            mean: Ratio::new(sum / all)?,
            results,
        })
    }

    /// Whether the unit turns as one.
    fn is_one(&self, found: &CarBalance) -> bool {
        let axle = match self.place {
            Place::Front => 0,
            Place::Rear => 1,
            Place::Centre => return found.centre.is_some_and(|centre| centre.turns == EndsTurn::AsOne),
        };
        found.axles[axle].turns == Some(SidesTurn::AsOne)
    }

    /// At which of the states it turns as one. One between two at which it does not is none: on the way from the outside wheel
    /// being the faster one to the inside one every unit passes through it.
    fn one_at(&self, states: &[CarBalance]) -> Vec<bool> {
        let one: Vec<bool> = states.iter().map(|found| self.is_one(found)).collect();
        let alone = |n: usize| n > 0 && n + 1 < one.len() && !one[n - 1] && !one[n + 1];
        (0..one.len()).map(|n| one[n] && !alone(n)).collect()
    }

    /// The throttles from which and to which it turns as one: the longest stretch on which it does. Without an end where it
    /// lasts to the most throttle.
    fn one_from(
        &self,
        stage: &Stage,
        raised: &Raised<'_>,
        one: &[bool],
    ) -> Result<Option<(Ratio, Option<Ratio>)>, MechanicsError> {
        let mut longest: Option<(usize, usize)> = None;
        let mut begun = None;
        for (n, one) in one.iter().enumerate() {
            if !one {
                begun = None;
                continue;
            }
            let from = *begun.get_or_insert(n);
            if longest.is_none_or(|(first, last)| n - from > last - first) {
                longest = Some((from, n));
            }
        }
        let Some((first, last)) = longest else {
            return Ok(None);
        };
        let to = (last + 1 < one.len()).then(|| stage.throttles[last]);
        let Some(before) = first.checked_sub(1) else {
            return Ok(stage.throttles.first().map(|from| (*from, to)));
        };
        let (mut low, mut high) = (stage.throttles[before].value(), stage.throttles[first].value());
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            let found = raised.at(stage.torque(Ratio::new(middle)?)?)?;
            if self.is_one(&found) {
                high = middle;
            } else {
                low = middle;
            }
        }
        Ok(Some((Ratio::new(high)?, to)))
    }

    /// The difference of torques that the unit's packs can hold at a state, in N·m.
    pub(super) fn capacity(&self, found: &CarBalance) -> Option<f64> {
        match self.place {
            Place::Front => found.axles[0].capacity.map(Torque::newton_metres),
            Place::Rear => found.axles[1].capacity.map(Torque::newton_metres),
            Place::Centre => found.centre?.most_moved.map(|most| 2.0 * most.newton_metres()),
        }
    }

    /// The heat of the unit's packs at a state, in watts: half of the difference that they hold times that of the speeds;
    /// `None` where a wheel spins, and so has no speed of its own.
    pub(super) fn heat(&self, found: &CarBalance) -> Option<f64> {
        let turns = |axle: usize| -> Option<[f64; 2]> {
            let [inside, outside] = found.axles[axle].wheels.map(|wheel| wheel.turns);
            Some([inside?.value(), outside?.value()])
        };
        let of_an_axle = |axle: usize| {
            let [inside, outside] = turns(axle)?;
            Some(0.5 * found.axles[axle].held.newton_metres() * (inside - outside).abs())
        };
        match self.place {
            Place::Front => of_an_axle(0),
            Place::Rear => of_an_axle(1),
            Place::Centre => {
                let case = |axle: usize| turns(axle).map(|[inside, outside]| 0.5 * (inside + outside));
                Some(found.centre?.moved.newton_metres().abs() * (case(0)? - case(1)?).abs())
            }
        }
    }

    /// What the two sides of the unit can take, inside and outside, of a centre front and rear, in N·m.
    fn limits(&self, found: &CarBalance) -> [f64; 2] {
        let wheels = |axle: usize| found.axles[axle].wheels.map(|wheel| wheel.limit.newton_metres());
        match self.place {
            Place::Front => wheels(0),
            Place::Rear => wheels(1),
            Place::Centre => [0, 1].map(|axle| wheels(axle).iter().sum()),
        }
    }

    /// The share of the difference between the two sides that the packs could hold; `None` where both can take the same.
    fn holds(&self, found: &CarBalance) -> Option<f64> {
        let [inside, outside] = self.limits(found);
        let between = (outside - inside).abs();
        let capacity = self.capacity(found)?;
        (between > 0.0).then_some(capacity / between)
    }

    /// The moments that are drawn: the first with an open throttle, and the first with it shut.
    pub fn drawn(&self) -> [Option<&Stage>; 2] {
        let opened = |stage: &&Stage| matches!(stage.moment.throttle, Throttle::Opened { .. });
        [
            self.stages.iter().find(opened),
            self.stages.iter().find(|stage| !opened(stage)),
        ]
    }

    /// A setting on the first moment with an open throttle, or with a shut one, whatever throttles the moment itself has: what a
    /// setting's points and its pictures show. One state for each throttle, 0 to 1; where it is shut, for none of them but one.
    ///
    /// # Errors
    ///
    /// A setup out of range.
    pub fn shown(
        &self,
        setup: &LockSetup,
        throttles: Option<&[Ratio]>,
    ) -> Result<Vec<Shown>, MechanicsError> {
        let first = self.stages.first().ok_or(NotFinite)?;
        let [opened, shut] = self.drawn();
        let stage = match throttles {
            Some(_) => opened,
            None => shut,
        };
        let stage = stage.unwrap_or(first);
        let full = stage.at.full.newton_metres();
        let torques = match throttles {
            Some(throttles) => throttles.iter().map(|throttle| throttle.value() * full).collect(),
            None => vec![-stage.at.drag.newton_metres()],
        };
        let most = match throttles {
            Some(_) => full,
            None => -stage.at.drag.newton_metres(),
        };
        let train = self.train(Coupling::Plates(Box::new(LockModel::new(setup.clone())?)));
        let raised = stage.car.raised(&train, Torque::from_newton_metres(most)?)?;
        let states = torques.into_iter().map(|torque| {
            let found = raised.at(Torque::from_newton_metres(torque)?)?;
            let [one, two] = self.limits(&found);
            let through = match self.place {
                Place::Front => found.axles[0].torque,
                Place::Rear => found.axles[1].torque,
                Place::Centre => found.through,
            };
            Ok(Shown {
                share: self.holds(&found).map(Ratio::new).transpose()?,
                through: Torque::from_newton_metres(through.newton_metres().abs())?,
                limits: [Torque::from_newton_metres(one)?, Torque::from_newton_metres(two)?],
            })
        });
        states.collect()
    }

    /// The same with the throttle shut.
    ///
    /// # Errors
    ///
    /// A setup out of range.
    pub fn shown_shut(&self, setup: &LockSetup) -> Result<Shown, MechanicsError> {
        let shown = self.shown(setup, None)?;
        Ok(shown.first().copied().ok_or(NotFinite)?)
    }

    fn result(&self, stage: &Stage, train: &Drivetrain) -> Result<MomentResult, MechanicsError> {
        let raised = stage.car.raised(train, stage.torque(stage.most()?)?)?;
        let states: Vec<CarBalance> = stage
            .throttles
            .iter()
            .map(|throttle| raised.at(stage.torque(*throttle)?))
            .collect::<Result<_, _>>()?;
        let opened = matches!(stage.moment.throttle, Throttle::Opened { .. });
        let one = self.one_at(&states);
        let stretch = match opened {
            true => self.one_from(stage, &raised, &one)?,
            false => None,
        };
        let caps_from = stage
            .throttles
            .iter()
            .zip(&states)
            .find(|(_, found)| opened && found.gives_up())
            .map(|(throttle, _)| *throttle);
        let could = stage.could.newton_metres().abs();
        let last = states.last().ok_or(NotFinite)?;
        let puts_down = (opened && could > 0.0)
            .then(|| Ratio::new((last.through.newton_metres().abs() / could).min(1.0)))
            .transpose()?;
        let worst = states
            .iter()
            .min_by(|a, b| a.yaw.newton_metres().total_cmp(&b.yaw.newton_metres()))
            .ok_or(NotFinite)?;
        let against = Torque::from_newton_metres((-worst.yaw.newton_metres()).max(0.0))?;
        let none = Ratio::new(0.0)?;
        let against_share = match against.newton_metres() > 0.0 {
            true => worst.front_grip,
            false => Some(none),
        };
        let mut result = MomentResult {
            one,
            states: stage.throttles.iter().copied().zip(states).collect(),
            one_from: stretch.map(|(from, _)| from),
            one_to: stretch.and_then(|(_, to)| to),
            caps_from,
            puts_down,
            against,
            against_share,
            met: Vec::new(),
            short: none,
        };
        for want in &stage.moment.wants {
            let found = match *want {
                Want::Holds { throttle, .. } => {
                    let at = raised.at(stage.torque(throttle)?)?;
                    Found::Share(self.holds(&at).map(Ratio::new).transpose()?)
                }
                Want::PutsDown(_) => Found::Share(result.puts_down),
                Want::OneFrom(_) | Want::NotOneBefore(_) | Want::NeverOne => Found::One {
                    from: result.one_from,
                    to: result.one_to,
                },
                Want::AgainstAtMost(by) | Want::AgainstAtLeast(by) => Found::Against(match by {
                    Against::Torque(_) => Some(Against::Torque(result.against)),
                    Against::FrontGrip(_) => result.against_share.map(Against::FrontGrip),
                }),
            };
            let met = Met {
                short: Ratio::new(result.short_of(*want, &found))?,
                want: *want,
                found,
            };
            if met.short > result.short {
                result.short = met.short;
            }
            result.met.push(met);
        }
        Ok(result)
    }
}
