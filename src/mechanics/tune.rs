//! Settling what the car needs: every combination that a unit offers held against a target, and what one step changes.

use super::axle::{AxleState, DrivenAxle, RampFor, lock_share, ramp_for, usable_torque, yaw_moment};
use super::error::{MechanicsError, within};
use super::lock::LockModel;
use super::setup::{Direction, LockSetup};
use crate::quantity::{Datum, Force, RampAngle, Ratio, Torque};

/// The most combinations that are compared.
const MOST_COMBINATIONS: usize = 100_000;

/// A wanted lock share at a throttle.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TargetPoint {
    /// Throttle, 0 to 1.
    pub throttle: Ratio,
    /// Lock share there, 0 to 1.
    pub share: Ratio,
}

/// What is wanted of the lock over throttle, and on coast.
#[derive(Clone, PartialEq, Debug)]
pub struct Target {
    /// Points on drive, at least one.
    pub drive: Vec<TargetPoint>,
    /// Lock share with the throttle closed, 0 to 1.
    pub coast: Ratio,
}

/// What a unit can be built with. The setup that is compared with is always tried too.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Options {
    /// Ramps of the rings, drive and coast.
    pub ramps: Vec<[RampAngle; 2]>,
    /// Faces that rub, in each pack.
    pub faces: Vec<u32>,
    /// Forces of the preload on each pack.
    pub preload: Vec<Force>,
}

/// One combination with what it does.
#[derive(Clone, PartialEq, Debug)]
pub struct Proposal {
    /// Faces, ramps and preload are what counts in it.
    pub setup: LockSetup,
    /// Root of the mean square of what the lock shares are off the target, drive points and coast alike; a share above 1
    /// counts as 1, since the axle turns as one from there.
    pub distance: Ratio,
    /// Rings, faces, preload: how many of the three are other than they were.
    pub changes: u32,
    /// What it does.
    pub effect: Effect,
}

/// What a unit does in the car.
#[derive(Clone, PartialEq, Debug)]
pub struct Effect {
    /// Lock shares at the target's points, [`None`] where both tyres can react the same.
    pub drive: Vec<Option<Ratio>>,
    /// Lock share on coast.
    pub coast: Option<Ratio>,
    /// The torque that the preload alone holds between the wheels.
    pub preload: Torque,
    /// The greatest torque at the case that the axle can use at full throttle.
    pub usable: Torque,
    /// That as a share of what both tyres can react; `None` where they can react nothing.
    pub grip_used: Option<Ratio>,
    /// The most by which the packs resist the turn while both tyres grip, at full throttle and on coast.
    pub yaw: [Torque; 2],
}

/// One thing that can be changed by one step.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Change {
    /// So many faces in each pack.
    Faces(u32),
    /// Another ramp on drive.
    Drive(RampAngle),
    /// Another ramp on coast.
    Coast(RampAngle),
    /// 10 N·m more or less between the wheels, held by so much force on each pack.
    Preload(Force),
    /// Plates worn to their limits, which leaves so much force on each pack.
    Worn(Force),
    /// Another friction of the plates, by their facing or the oil.
    Friction(Ratio),
}

/// A step and what it makes.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// The step.
    pub change: Change,
    /// What the unit does with it.
    pub effect: Effect,
    /// The least throttle at which it then turns the axle as one.
    pub locks_at: Option<Ratio>,
}

/// What a unit can be stepped to.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Near {
    /// Every count of faces that the plates can make in both packs.
    pub faces: Vec<u32>,
    /// Every ramp that is offered on drive; 5° more and less where there is none.
    pub drive: Vec<RampAngle>,
    /// Every ramp that is offered on coast; likewise.
    pub coast: Vec<RampAngle>,
    /// The force that worn plates leave on each pack, where there is a spring.
    pub worn: Option<Force>,
}

/// What a driver says about the car.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Complaint {
    /// The front runs wide before the throttle is opened.
    PushesOnEntry,
    /// The front runs wide with the throttle open.
    PushesOnPower,
    /// The inside wheel spins.
    InsideWheelSpins,
    /// The rear steps out as the throttle is closed.
    SnapsOnLift,
    /// It chatters at walking pace in a tight turn.
    Chatters,
    /// It drives as if there were no lock.
    DoesNothing,
}

/// What a complaint is measured by.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Measure {
    /// Moment that resists the turn on coast, in N·m.
    CoastMoment,
    /// Moment that resists the turn at full throttle, in N·m.
    DriveMoment,
    /// Torque that the axle can use, in N·m.
    Usable,
    /// Torque that the preload holds, in N·m.
    Preload,
    /// Lock share at the last of the target's points.
    DriveShare,
}

impl Complaint {
    /// What it is measured by, and whether that should rise.
    ///
    /// Source: common practice, no source.
    ///
    /// ```
    /// use shimwright::mechanics::tune::{Complaint, Measure};
    /// assert_eq!(Complaint::Chatters.measure(), (Measure::Preload, false));
    /// ```
    pub fn measure(self) -> (Measure, bool) {
        match self {
            Complaint::PushesOnEntry => (Measure::CoastMoment, false),
            Complaint::PushesOnPower => (Measure::DriveMoment, false),
            Complaint::InsideWheelSpins => (Measure::Usable, true),
            Complaint::SnapsOnLift => (Measure::CoastMoment, true),
            Complaint::Chatters => (Measure::Preload, false),
            Complaint::DoesNothing => (Measure::DriveShare, true),
        }
    }
}

impl Effect {
    /// The value of a measure; the lock share is 0 where there is nothing to hold.
    ///
    /// Source: the fields themselves.
    ///
    /// ```
    /// use shimwright::mechanics::tune::{Effect, Measure};
    /// use shimwright::quantity::Torque;
    /// let nm = Torque::from_newton_metres;
    /// let effect = Effect {
    ///     drive: vec![None], coast: None, preload: nm(40.0)?, usable: nm(900.0)?, grip_used: None,
    ///     yaw: [nm(700.0)?, nm(90.0)?],
    /// };
    /// assert_eq!((effect.value(Measure::CoastMoment), effect.value(Measure::DriveShare)), (90.0, 0.0));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn value(&self, measure: Measure) -> f64 {
        let [drive, coast] = self.yaw.map(Torque::newton_metres);
        match measure {
            Measure::CoastMoment => coast,
            Measure::DriveMoment => drive,
            Measure::Usable => self.usable.newton_metres(),
            Measure::Preload => self.preload.newton_metres(),
            Measure::DriveShare => self.drive.last().copied().flatten().map_or(0.0, Ratio::value),
        }
    }
}

/// A car on a surface with a target: what units are held against.
///
/// The distance of a unit is the root of the mean square of (share − wanted) over the drive points and the coast, shares
/// above 1 counted as 1; points where both tyres can react the same do not count. Source: least squares; that drive points
/// and coast count alike is common practice, no source.
///
/// ```
/// use shimwright::mechanics::tune::{Options, Target, TargetPoint, Trial};
/// use shimwright::mechanics::{Axle, CarSetup, DrivenAxle, LockSetup, SpringPlace, Surface};
/// use shimwright::quantity::{Datum, Force, Length, Mass, RampAngle, Ratio, Torque};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// # let (nm, ratio) = (Torque::from_newton_metres, Ratio::new);
/// # let car = CarSetup {
/// #     mass: Mass::from_kilograms(1000.0)?, axle_mass: Mass::from_kilograms(500.0)?, axle: Axle::Rear,
/// #     track: mm(1500), wheelbase: mm(2500), height: mm(500), roll_share: ratio(0.5)?, tyre_radius: mm(300),
/// #     drive_share: ratio(1.0)?, full_torque: nm(1500.0)?, coast_torque: nm(200.0)?,
/// # };
/// # let gravel = Surface { low_grip: ratio(0.3)?, high_grip: ratio(0.6)?, cornering: ratio(0.3)? };
/// # let unit = LockSetup {
/// #     faces: [8, 8], friction: ratio(0.1)?, friction_radius: mm(40), pin_radius: mm(31),
/// #     drive: RampAngle::new(60.0, Datum::RingFace)?, coast: RampAngle::NONE, ramp_friction: ratio(0.06)?,
/// #     preload: [Force::from_newtons(1000.0)?; 2], spring_place: SpringPlace::BehindPack,
/// #     gear_thrust: None, tab_friction: None,
/// # };
/// let wanted = Target {
///     drive: vec![TargetPoint { throttle: ratio(1.0)?, share: ratio(0.9)? }],
///     coast: ratio(0.2)?,
/// };
/// let trial = Trial::new(DrivenAxle::new(car, gravel)?, wanted)?;
/// let offered = Options { faces: vec![6, 8, 10, 12], ..Options::default() };
/// let best = trial.best(&unit, &offered, 10)?;
/// assert_eq!(best.len(), 4);
/// assert!(best.windows(2).all(|pair| pair[0].distance <= pair[1].distance));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct Trial {
    axle: DrivenAxle,
    target: Target,
    points: Vec<AxleState>,
    full: AxleState,
    coast: AxleState,
}

impl Trial {
    /// Checks the target and works out the axle at its points.
    ///
    /// # Errors
    ///
    /// A throttle or a share outside 0 to 1, no point.
    pub fn new(axle: DrivenAxle, target: Target) -> Result<Trial, MechanicsError> {
        let (none, one) = (Ratio::new(0.0)?, Ratio::new(1.0)?);
        within("the number of target points", target.drive.len(), 1..=100)?;
        within("the wanted share on coast", target.coast, none..=one)?;
        let mut points = Vec::new();
        for point in &target.drive {
            within("the wanted lock share", point.share, none..=one)?;
            points.push(axle.at(Direction::Drive, point.throttle)?);
        }
        Ok(Trial {
            points,
            full: axle.at(Direction::Drive, one)?,
            coast: axle.at(Direction::Coast, none)?,
            axle,
            target,
        })
    }

    /// The axle that it was made from.
    pub fn axle(&self) -> &DrivenAxle {
        &self.axle
    }

    /// The target that it was made from.
    pub fn target(&self) -> &Target {
        &self.target
    }

    /// The axle at full throttle.
    pub fn full(&self) -> &AxleState {
        &self.full
    }

    /// The axle on coast.
    pub fn coast(&self) -> &AxleState {
        &self.coast
    }

    /// What a unit does here.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn effect(&self, model: &LockModel) -> Result<Effect, MechanicsError> {
        let usable = usable_torque(model, Direction::Drive, self.full.reaction)?;
        let both = self.full.reaction.low.newton_metres() + self.full.reaction.high.newton_metres();
        Ok(Effect {
            drive: self
                .points
                .iter()
                .map(|state| lock_share(model, Direction::Drive, state.case_torque, state.reaction))
                .collect::<Result<_, _>>()?,
            coast: self.coast_share(model)?,
            preload: model.preload_torque(),
            usable,
            grip_used: (both > 0.0)
                .then(|| Ratio::new(usable.newton_metres() / both))
                .transpose()?,
            yaw: [
                self.moment(model, Direction::Drive, &self.full)?,
                self.moment(model, Direction::Coast, &self.coast)?,
            ],
        })
    }

    /// What a unit does that differs by its coast ramp alone from one whose effect is known.
    fn with_coast(&self, known: &Effect, model: &LockModel) -> Result<Effect, MechanicsError> {
        Ok(Effect {
            coast: self.coast_share(model)?,
            yaw: [known.yaw[0], self.moment(model, Direction::Coast, &self.coast)?],
            ..known.clone()
        })
    }

    fn coast_share(&self, model: &LockModel) -> Result<Option<Ratio>, MechanicsError> {
        let state = &self.coast;
        lock_share(model, Direction::Coast, state.case_torque, state.reaction)
    }

    /// The moment by which the packs resist the turn.
    fn moment(
        &self,
        model: &LockModel,
        direction: Direction,
        state: &AxleState,
    ) -> Result<Torque, MechanicsError> {
        // at most one tyre at its limit forwards and the other backwards
        let held = model.torque_difference(direction, state.case_torque)?;
        let most = state.reaction.high.newton_metres() + state.reaction.low.newton_metres();
        let held = Torque::from_newton_metres(held.newton_metres().min(most))?;
        let car = self.axle.car();
        yaw_moment(held, car.tyre_radius, car.track)
    }

    /// The best combinations of what is offered and what the unit has, at most `most`, the nearest to the target first;
    /// then fewest changes, then least lock past 1, then the order of the offer.
    ///
    /// # Errors
    ///
    /// More than 100 000 combinations; a setup out of range.
    pub fn best(
        &self,
        unit: &LockSetup,
        options: &Options,
        most: usize,
    ) -> Result<Vec<Proposal>, MechanicsError> {
        let ramps = with_own([unit.drive, unit.coast], &options.ramps);
        let faces = with_own(
            unit.faces,
            &options.faces.iter().map(|n| [*n; 2]).collect::<Vec<_>>(),
        );
        let preload = with_own(
            unit.preload,
            &options.preload.iter().map(|f| [*f; 2]).collect::<Vec<_>>(),
        );
        let combinations = ramps
            .len()
            .saturating_mul(faces.len())
            .saturating_mul(preload.len());
        within("the number of combinations", combinations, ..=MOST_COMBINATIONS)?;
        let mut ranked: Vec<(_, LockSetup, Effect)> = Vec::with_capacity(combinations);
        for (n, [drive, coast]) in ramps.iter().enumerate() {
            // most of the work is the drive side, which is the same for all that have this drive ramp
            let same = ramps
                .iter()
                .position(|ramp| ramp[0] == *drive)
                .filter(|first| *first < n);
            let mut known = same.map(|first| first * faces.len() * preload.len());
            for count in &faces {
                for force in &preload {
                    let setup = LockSetup {
                        drive: *drive,
                        coast: *coast,
                        faces: *count,
                        preload: *force,
                        ..unit.clone()
                    };
                    let changes = [
                        (*drive, *coast) != (unit.drive, unit.coast),
                        *count != unit.faces,
                        *force != unit.preload,
                    ];
                    let model = LockModel::new(setup.clone())?;
                    let effect = match &mut known {
                        Some(at) => {
                            *at += 1;
                            self.with_coast(&ranked[*at - 1].2, &model)?
                        }
                        None => self.effect(&model)?,
                    };
                    let distance = self.off(&effect, 1.0);
                    let key = (
                        // what differs by less than a millionth of a share differs by rounding
                        (distance * 1e6).round(),
                        changes.iter().filter(|changed| **changed).count() as u32,
                        self.off(&effect, f64::INFINITY),
                    );
                    ranked.push((key, setup, effect));
                }
            }
        }
        ranked.sort_by(|(a, ..), (b, ..)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.total_cmp(&b.2)));
        ranked
            .into_iter()
            .take(most)
            .map(|((_, changes, _), setup, effect)| {
                Ok(Proposal {
                    distance: Ratio::new(self.off(&effect, 1.0))?,
                    setup,
                    changes,
                    effect,
                })
            })
            .collect()
    }

    /// The ramps that would meet each of the target's points exactly, and the one for coast, all else as in `unit`.
    ///
    /// # Errors
    ///
    /// A setup out of range.
    pub fn exact(&self, unit: &LockSetup) -> Result<(Vec<RampFor>, RampFor), MechanicsError> {
        let drive = self
            .points
            .iter()
            .zip(&self.target.drive)
            .map(|(state, point)| {
                ramp_for(
                    unit,
                    Direction::Drive,
                    state.case_torque,
                    state.reaction,
                    point.share,
                )
            })
            .collect::<Result<_, _>>()?;
        let coast = ramp_for(
            unit,
            Direction::Coast,
            self.coast.case_torque,
            self.coast.reaction,
            self.target.coast,
        )?;
        Ok((drive, coast))
    }

    /// What one step of each thing makes of `unit`: a face, a ramp, 10 N·m of preload, worn plates, a friction that is 0.02
    /// other (common practice, no source). Steps that the unit can not take are left out.
    ///
    /// # Errors
    ///
    /// A setup out of range.
    pub fn steps(&self, unit: &LockSetup, near: &Near) -> Result<Vec<Step>, MechanicsError> {
        let mut changes = Vec::new();
        let [left, right] = unit.faces;
        changes.extend(
            near.faces
                .iter()
                .rev()
                .find(|n| **n < left.min(right) && **n > 0)
                .map(|n| Change::Faces(*n)),
        );
        changes.extend(
            near.faces
                .iter()
                .find(|n| **n > left.max(right))
                .map(|n| Change::Faces(*n)),
        );
        changes.extend(neighbours(unit.drive, &near.drive).into_iter().map(Change::Drive));
        changes.extend(neighbours(unit.coast, &near.coast).into_iter().map(Change::Coast));
        let lever = f64::from(left + right) * unit.friction.value() * unit.friction_radius.metres();
        let mean = 0.5 * (unit.preload[0].newtons() + unit.preload[1].newtons());
        if lever > 0.0 && mean > 0.0 {
            for step in [-10.0, 10.0] {
                let force = mean + step / lever;
                if force >= 0.0 {
                    changes.push(Change::Preload(Force::from_newtons(force)?));
                }
            }
        }
        changes.extend(near.worn.map(Change::Worn));
        for step in [-0.02, 0.02] {
            let friction = unit.friction.value() + step;
            if friction > 0.0 && friction <= 1.0 {
                changes.push(Change::Friction(Ratio::new(friction)?));
            }
        }
        changes
            .into_iter()
            .map(|change| {
                let mut setup = unit.clone();
                match change {
                    Change::Faces(faces) => setup.faces = [faces; 2],
                    Change::Drive(ramp) => setup.drive = ramp,
                    Change::Coast(ramp) => setup.coast = ramp,
                    Change::Preload(force) | Change::Worn(force) => setup.preload = [force; 2],
                    Change::Friction(friction) => setup.friction = friction,
                }
                let model = LockModel::new(setup)?;
                Ok(Step {
                    change,
                    effect: self.effect(&model)?,
                    locks_at: self.axle.locks_at(&model)?,
                })
            })
            .collect()
    }

    /// How far an effect is off the target, as in [`Proposal::distance`].
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn distance(&self, effect: &Effect) -> Result<Ratio, MechanicsError> {
        Ok(Ratio::new(self.off(effect, 1.0))?)
    }

    /// Root of the mean square of what the shares, counted as at most `most`, are off the target.
    fn off(&self, effect: &Effect, most: f64) -> f64 {
        let wanted = self.target.drive.iter().map(|point| point.share);
        let squares: Vec<f64> = effect
            .drive
            .iter()
            .copied()
            .zip(wanted)
            .chain([(effect.coast, self.target.coast)])
            .filter_map(|(share, wanted)| Some((share?.value().min(most) - wanted.value()).powi(2)))
            .collect();
        if squares.is_empty() {
            return 0.0;
        }
        (squares.iter().sum::<f64>() / squares.len() as f64).sqrt()
    }
}

/// What the unit has, and then what else is offered, each once.
fn with_own<T: PartialEq + Copy>(own: T, offered: &[T]) -> Vec<T> {
    let mut all = vec![own];
    for one in offered {
        if !all.contains(one) {
            all.push(*one);
        }
    }
    all
}

/// The next ramp that spreads more and the next that spreads less; 5° away where none is offered.
fn neighbours(ramp: RampAngle, offered: &[RampAngle]) -> Vec<RampAngle> {
    // a datum turned into the other leaves only rounding
    const SAME: f64 = 1e-9;
    let own = ramp.degrees_from_ring_face();
    let mut degrees: Vec<RampAngle> = offered.to_vec();
    if !offered
        .iter()
        .any(|one| (one.degrees_from_ring_face() - own).abs() > SAME)
    {
        degrees.extend(
            [own - 5.0, own + 5.0]
                .iter()
                .filter_map(|d| RampAngle::new(*d, Datum::RingFace).ok()),
        );
    }
    degrees.sort_by(|a, b| a.degrees_from_ring_face().total_cmp(&b.degrees_from_ring_face()));
    let more = degrees
        .iter()
        .rev()
        .find(|one| one.degrees_from_ring_face() < own - SAME);
    let less = degrees
        .iter()
        .find(|one| one.degrees_from_ring_face() > own + SAME);
    more.into_iter().chain(less).copied().collect()
}
