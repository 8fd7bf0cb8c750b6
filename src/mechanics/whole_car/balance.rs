//! The balance of the whole car: what goes through, and what each wheel does then.

use super::frame::{Frame, Limits, Tyres};
use super::inputs::{CarBody, CarMoment, Drivetrain};
use super::outputs::{AxlePart, CarBalance, CentrePart, SidesTurn, WheelBalance, WheelState};
use super::root::crossing;
use super::train::{Turned, direction_of};
use crate::mechanics::error::{MechanicsError, above, within};
use crate::quantity::{Force, Ratio, Torque};

/// Into how many parts the way from no torque to the one that is asked for is cut, to find where a wheel gives up.
const PARTS: usize = 200;
/// How often what locked brakes take of the force along is corrected.
const CORRECTIONS: usize = 20;
/// In how many steps the force along is looked for where brakes lock wheels.
const FORCES: usize = 60;
/// What a shaft may be short of its limit and still be at it, as a share: the rise past full sliding is of this size.
const AT_LIMIT: f64 = 1e-5;

/// A car at one moment of its way: four wheels, a unit in each driven axle and one between the axles. Which state each
/// is in follows; it is not chosen.
///
/// ```text
/// r   = v²/(a_y g);  paths: rear v (1 ∓ w_r/2r),  front v √(L² + (r ∓ w_f/2)²)/r;  straight on all v
/// N_f = m_f g + A_f − F h/L, between 0 and m g + A;  N_r = the rest       F the force along of all wheels
/// ΔN  = m a_y g h/w · q,   N_in = max(0, N/2 − ΔN),   N_out = N − N_in      for each axle
/// u   = m_a a_y g/(μ_in N_in + μ_out N_out),   P = μ N √(1 − u²)
/// κ   = ω R/path − 1,   F_x = sign(κ) P (1 − (1 − min(|κ|/κ_s, 1))³)
/// τ   = R F_x + B                                    shaft and brake; B between −B and B where the wheel stands
/// axle    T_a = τ_in + τ_out,   |τ_out − τ_in| ≤ C_a(T_a)
/// centre  T_f = σ T − K,   T_r = (1 − σ) T + K,   |K| ≤ C_c/2,   C_c = i C(T/i)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | m, m_f | `body.mass`, `body.front_mass` | kg, above 0; m_f below m |
/// | w_f, w_r | `body.tracks` | m, above 0 |
/// | L | `body.wheelbase` | m, above 0 |
/// | h | `body.height` | m, 0 to the lesser track |
/// | q | `body.front_roll_share`, at the rear the rest | share, 0 to 1 |
/// | R | `body.tyre_radius` | m, above 0 |
/// | v | `moment.speed` of the middle of the rear axle | m/s, above 0 |
/// | a_y | `moment.cornering` | multiples of g, 0 to 3; u below 1 with no torque |
/// | g | standard gravity | 9.80665 m/s² |
/// | μ | `moment.grip` | ratio, 0 to 3 |
/// | κ_s | `moment.slide_slip` | share, above 0, at most 1 |
/// | A | `moment.downforce` | N, 0 and above |
/// | B | `moment.brakes` | N·m, 0 and above |
/// | T | the `torque` that is asked for, counted at the wheels | N·m, below 0 with the throttle shut |
/// | C_a, C_c | `train`: 0 open, without end in one piece, else [`LockModel`](crate::mechanics::LockModel) | N·m |
/// | σ, i | `train`, what its centre gives to the front and the ratio behind it | share, above 0, below 1; ratio, above 0, at most 30 |
///
/// What goes through is the first torque on the way from 0 at which a wheel gives up, with the loads of that torque. An axle
/// whose ramps hold as much as they get can have several answers; the one that is come to from no torque is told, and that
/// there is another.
///
/// Left out: what [`moving_axle`](crate::mechanics::moving_axle::balance) leaves out, forces along steered wheels, drift
/// angles, and what the moment itself takes of the front's cornering.
///
/// Source: balance of forces as in [`moving_axle`](crate::mechanics::moving_axle::balance), the paths by plane geometry.
///
/// # Errors
///
/// An input out of range; a bend that asks more of an axle than it has with no torque.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::whole_car::{CarBody, CarMoment, Coupling, Drivetrain, WheelState, WholeCar};
/// use shimwright::quantity::{Force, Length, Mass, Ratio, Torque, Velocity};
/// let (ratio, mm) = (Ratio::new, |mm: i64| Length::from_um(1000 * mm));
/// let body = CarBody {
///     mass: Mass::from_kilograms(1250.0)?, front_mass: Mass::from_kilograms(650.0)?, tracks: [mm(1500); 2],
///     wheelbase: mm(2600), height: mm(480), front_roll_share: ratio(0.55)?, tyre_radius: mm(310), kingpin_offset: None,
/// };
/// let moment = CarMoment {
///     speed: Velocity::from_km_per_hour(50.0)?, cornering: ratio(0.0)?, grip: [[ratio(1.0)?; 2], [ratio(0.2)?, ratio(1.0)?]],
///     slide_slip: ratio(0.1)?, downforce: [Force::from_newtons(0.0)?; 2], brakes: [Torque::from_newton_metres(0.0)?; 2],
/// };
/// let car = WholeCar::new(&body, &moment)?;
/// // an open rear axle gives both wheels the same, so the one on ice spins and sets what goes through
/// let found = car.at(&Drivetrain::Rear(Coupling::Open), Torque::from_newton_metres(2000.0)?)?;
/// let [inside, outside] = found.axles[1].wheels;
/// assert_eq!((inside.state, outside.state), (WheelState::Spins, WheelState::Grips));
/// assert!((inside.torque.newton_metres() - outside.torque.newton_metres()).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct WholeCar {
    frame: Frame,
    /// What the shafts take on the way to a torque, where that was looked up beforehand.
    way: Option<Way>,
}

/// What the shafts take on the way from no torque to one, without brakes: the same for every drivetrain.
#[derive(Clone, PartialEq, Debug)]
struct Way {
    to: f64,
    limits: Vec<Limits>,
}

/// A car under a torque that is raised from 0, as [`WholeCar::raised`] makes it.
///
/// Source: [`WholeCar`].
///
/// ```
/// # use shimwright::mechanics::whole_car::{CarBody, CarMoment, Coupling, Drivetrain, WholeCar};
/// # use shimwright::quantity::{Force, Length, Mass, Ratio, Torque, Velocity};
/// # let (ratio, mm) = (Ratio::new, |mm: i64| Length::from_um(1000 * mm));
/// # let body = CarBody {
/// #     mass: Mass::from_kilograms(1250.0)?, front_mass: Mass::from_kilograms(650.0)?, tracks: [mm(1500); 2],
/// #     wheelbase: mm(2600), height: mm(480), front_roll_share: ratio(0.55)?, tyre_radius: mm(310), kingpin_offset: None,
/// # };
/// # let moment = CarMoment {
/// #     speed: Velocity::from_km_per_hour(50.0)?, cornering: ratio(0.0)?, grip: [[ratio(1.0)?; 2]; 2],
/// #     slide_slip: ratio(0.1)?, downforce: [Force::from_newtons(0.0)?; 2], brakes: [Torque::from_newton_metres(0.0)?; 2],
/// # };
/// let (car, train) = (WholeCar::new(&body, &moment)?, Drivetrain::Rear(Coupling::Open));
/// let raised = car.raised(&train, Torque::from_newton_metres(9000.0)?)?;
/// let [half, full] = [4500.0, 9000.0].map(|nm| raised.at(Torque::from_newton_metres(nm).unwrap()).unwrap());
/// assert_eq!((half.through, half.gives_up()), (full.through, true));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Raised<'c> {
    car: &'c WholeCar,
    train: &'c Drivetrain,
    through: Through,
}

impl Raised<'_> {
    /// The car at a torque of the same sign that is at most as large.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn at(&self, torque: Torque) -> Result<CarBalance, MechanicsError> {
        self.car
            .balance(self.train, torque.newton_metres(), &self.through)
    }
}

/// What goes through, with the force along there.
#[derive(Clone, Copy, Debug)]
struct Through {
    /// As a size.
    size: f64,
    /// What the brakes take of the force along, in newtons.
    braked: f64,
    /// Whether it is less than what was looked up to.
    short: bool,
}

impl WholeCar {
    /// Checks car and moment.
    ///
    /// # Errors
    ///
    /// An input out of range; a bend that can not be driven.
    pub fn new(body: &CarBody, moment: &CarMoment) -> Result<WholeCar, MechanicsError> {
        let frame = Frame::new(body, moment)?;
        frame.can_be_driven()?;
        Ok(WholeCar { frame, way: None })
    }

    /// The same car, ready to be raised to this torque with many drivetrains: what the tyres take on the way is the same for
    /// all of them.
    pub fn ready_for(mut self, torque: Torque) -> WholeCar {
        let to = torque.newton_metres();
        let limits = (1..=PARTS).map(|part| {
            let force = to * part as f64 / PARTS as f64 / self.frame.radius;
            self.frame.tyres(force).limits()
        });
        let limits = limits.collect();
        self.way = Some(Way { to, limits });
        self
    }

    /// The car under a torque, which is counted at the wheels and below 0 with the throttle shut.
    ///
    /// # Errors
    ///
    /// A split or ratio of the centre out of range.
    pub fn at(&self, train: &Drivetrain, torque: Torque) -> Result<CarBalance, MechanicsError> {
        self.raised(train, torque)?.at(torque)
    }

    /// The car with its drivetrain under torques from 0 to `most`, of which the first at which a wheel gives up is looked for
    /// once.
    ///
    /// # Errors
    ///
    /// As [`WholeCar::at`].
    pub fn raised<'c>(&'c self, train: &'c Drivetrain, most: Torque) -> Result<Raised<'c>, MechanicsError> {
        checked(train)?;
        Ok(Raised {
            car: self,
            train,
            through: self.through(train, most.newton_metres()),
        })
    }

    /// The first size of torque, up to the one asked for, at which a wheel gives up.
    fn through(&self, train: &Drivetrain, asked: f64) -> Through {
        let brakes: f64 = self.frame.brakes.iter().map(|brake| 2.0 * brake).sum();
        let mut braked = brakes / self.frame.radius;
        let mut found = self.through_with(train, asked, braked);
        if brakes > 0.0 {
            for _ in 0..CORRECTIONS {
                let torque = found.size.copysign(asked);
                let force = self.force_along(train, torque, found.braked);
                let before = braked;
                braked = torque / self.frame.radius - force;
                found = Through { braked, ..found };
                if (braked - before).abs() <= 1e-9 * self.frame.weight {
                    break;
                }
                found = self.through_with(train, asked, braked);
            }
        }
        found
    }

    fn slack(&self, train: &Drivetrain, asked: f64, size: f64, braked: f64) -> f64 {
        let torque = size.copysign(asked);
        let tyres = self.frame.tyres(torque / self.frame.radius - braked);
        self.slack_within(train, asked, size, &tyres.limits())
    }

    fn slack_within(&self, train: &Drivetrain, asked: f64, size: f64, limits: &Limits) -> f64 {
        let torque = size.copysign(asked);
        train.slack(limits, direction_of(asked), size, train.centre_holds(torque))
    }

    /// Whether all of one part of the way goes through.
    fn goes_on_the_way(&self, train: &Drivetrain, asked: f64, part: usize, braked: f64) -> bool {
        let size = asked.abs() * part as f64 / PARTS as f64;
        let known = self.way.as_ref().filter(|way| {
            way.to.to_bits() == asked.to_bits() && self.frame.brakes.iter().all(|brake| brake.abs() == 0.0)
        });
        match known.and_then(|way| way.limits.get(part - 1)) {
            Some(limits) => self.slack_within(train, asked, size, limits) >= 0.0,
            None => self.slack(train, asked, size, braked) >= 0.0,
        }
    }

    fn through_with(&self, train: &Drivetrain, asked: f64, braked: f64) -> Through {
        let goes = |size: f64| self.slack(train, asked, size, braked) >= 0.0;
        let mut low = 0.0;
        for part in 1..=PARTS {
            let mut high = asked.abs() * part as f64 / PARTS as f64;
            if self.goes_on_the_way(train, asked, part, braked) {
                low = high;
                continue;
            }
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if goes(middle) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            return Through {
                size: low,
                braked,
                short: true,
            };
        }
        Through {
            size: asked.abs(),
            braked,
            short: false,
        }
    }

    /// The force along at a torque: the brakes take what they hold, but for wheels that they lock, whose tyres give what the
    /// loads let them.
    fn force_along(&self, train: &Drivetrain, torque: f64, braked: f64) -> f64 {
        let first = torque / self.frame.radius - braked;
        let lack = |torque: f64, force: f64| {
            let turned = train.turned(&self.frame, torque, force);
            let tyres = self.frame.tyres(force);
            let road: f64 = roads(&turned, &tyres).iter().flatten().sum();
            road - force
        };
        if lack(torque, first).abs() <= 1e-9 * self.frame.weight {
            return first;
        }
        // the brakes first, then the torque
        let most = self.frame.most_along();
        let step = most / FORCES as f64;
        let walk = |torque: f64, from: f64| {
            let way = lack(torque, from).signum();
            let mut at = from;
            for _ in 0..2 * FORCES {
                let next = at + way * step;
                if lack(torque, next) * way <= 0.0 {
                    return crossing(|force| lack(torque, force), at, next);
                }
                at = next;
            }
            at
        };
        walk(torque, walk(0.0, 0.0))
    }

    fn balance(
        &self,
        train: &Drivetrain,
        asked: f64,
        through: &Through,
    ) -> Result<CarBalance, MechanicsError> {
        let frame = &self.frame;
        let short = through.short && asked.abs() > through.size;
        let size = if short { through.size } else { asked.abs() };
        let torque = size.copysign(asked);
        let mut force = torque / frame.radius - through.braked;
        if frame.brakes.iter().any(|brake| *brake > 0.0) {
            force = self.force_along(train, torque, through.braked);
        }
        let turned = train.turned(frame, torque, force);
        let tyres = frame.tyres(force);
        let roads = roads(&turned, &tyres);
        let part = |axle: usize| -> Result<AxlePart, MechanicsError> {
            let sides = &turned.axles[axle];
            let coupling = train.coupling(axle);
            let gives_up = |side: usize| {
                let most = tyres.wheels[axle][side].most();
                short && coupling.is_some() && sides.shafts[side].abs() >= (1.0 - AT_LIMIT) * most
            };
            // what the engine gives more than goes through turns the one wheel that gave up away from the other
            let turns = match (gives_up(0), gives_up(1), asked < 0.0) {
                (true, false, false) | (false, true, true) => Some(SidesTurn::InsideFaster),
                (false, true, false) | (true, false, true) => Some(SidesTurn::OutsideFaster),
                _ => sides.turns,
            };
            let wheel = |side: usize| -> Result<WheelBalance, MechanicsError> {
                let (wheel, speed) = (&tyres.wheels[axle][side], sides.speeds[side]);
                let shaft = sides.shafts[side];
                let at_limit = gives_up(side);
                let state = if wheel.is_locked(speed) {
                    WheelState::Locks
                } else if at_limit && asked < 0.0 {
                    WheelState::Slides
                } else if at_limit {
                    WheelState::Spins
                } else if wheel.slip(speed).abs() > wheel.slide {
                    WheelState::Past
                } else {
                    WheelState::Grips
                };
                let own = |value: f64| (!at_limit).then(|| Ratio::new(value)).transpose();
                Ok(WheelBalance {
                    torque: Torque::from_newton_metres(shaft)?,
                    limit: Torque::from_newton_metres(frame.radius * wheel.limit)?,
                    road: Force::from_newtons(roads[axle][side])?,
                    load: Force::from_newtons(tyres.loads[axle][side])?,
                    slip: own(wheel.slip(speed))?,
                    turns: own(speed)?,
                    state,
                })
            };
            let holds = coupling.map(|coupling| coupling.holds(sides.torque));
            Ok(AxlePart {
                turns,
                torque: Torque::from_newton_metres(sides.torque)?,
                held: Torque::from_newton_metres((sides.shafts[1] - sides.shafts[0]).abs())?,
                capacity: holds
                    .filter(|holds| holds.is_finite())
                    .map(Torque::from_newton_metres)
                    .transpose()?,
                wheels: [wheel(0)?, wheel(1)?],
                cornering: Ratio::new(tyres.cornering[axle].min(MOST_CORNERING))?,
            })
        };
        let difference = |axle: usize| roads[axle][1] - roads[axle][0];
        let yaw = 0.5 * (difference(0) * frame.tracks[0] + difference(1) * frame.tracks[1]);
        let front = frame.grip_of(0, &tyres);
        let more_goes = short && self.slack(train, asked, asked.abs(), through.braked) >= 0.0;
        Ok(CarBalance {
            asked: Torque::from_newton_metres(asked)?,
            through: Torque::from_newton_metres(torque)?,
            axles: [part(0)?, part(1)?],
            centre: turned
                .centre
                .map(|(turns, moved, most)| -> Result<CentrePart, MechanicsError> {
                    Ok(CentrePart {
                        turns,
                        moved: Torque::from_newton_metres(moved)?,
                        most_moved: most
                            .is_finite()
                            .then(|| Torque::from_newton_metres(most))
                            .transpose()?,
                    })
                })
                .transpose()?,
            ahead: Ratio::new(roads.iter().flatten().sum::<f64>() / frame.weight)?,
            yaw: Torque::from_newton_metres(yaw)?,
            front_grip: (front > 0.0)
                .then(|| Ratio::new(yaw.abs() / frame.wheelbase / front))
                .transpose()?,
            tug: frame
                .offset
                .map(|offset| Torque::from_newton_metres(difference(0) * offset))
                .transpose()?,
            second: turned.second || more_goes,
        })
    }
}

/// A share of the grip past which it is not told how much more a bend asks.
const MOST_CORNERING: f64 = 1e6;

/// Force of the road on each wheel.
fn roads(turned: &Turned, tyres: &Tyres) -> [[f64; 2]; 2] {
    [0, 1].map(|axle| [0, 1].map(|side| tyres.wheels[axle][side].road(turned.axles[axle].speeds[side])))
}

/// Checks the centre.
fn checked(train: &Drivetrain) -> Result<(), MechanicsError> {
    if let Drivetrain::Both { centre, .. } = train {
        let (none, one) = (Ratio::new(0.0)?, Ratio::new(1.0)?);
        within("the front's share of the torque", centre.front_share, above(none))?;
        within("the front's share of the torque", centre.front_share, ..one)?;
        within("the ratio behind the centre", centre.ratio, above(none))?;
        within("the ratio behind the centre", centre.ratio, ..=Ratio::new(30.0)?)?;
    }
    Ok(())
}
