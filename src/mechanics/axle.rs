//! The driven axle in the car: loads on its tyres, torque at the case over throttle, and what a lock makes of them.

use super::error::{MechanicsError, above, within};
use super::lock::LockModel;
use super::ramp::case_torque_within;
use super::setup::{Direction, LockSetup};
use crate::quantity::{Datum, Force, Length, Mass, RampAngle, Ratio, Torque};

/// Standard gravity in m/s², exact by definition.
const GRAVITY: f64 = 9.806_65;

/// Which axle the unit sits in.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Axle {
    /// The front axle, which loses load under acceleration.
    Front,
    /// The rear axle, which gains it.
    Rear,
}

/// Loads on the two tyres of an axle in a corner, neither below 0.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WheelLoads {
    /// On the wheel inside the corner.
    pub inside: Force,
    /// On the wheel outside.
    pub outside: Force,
}

/// The torques at the wheels that the two tyres of an axle can react, neither below 0.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reaction {
    /// On the side that can react less, R μ_lo N_lo.
    pub low: Torque,
    /// On the other, R μ_hi N_hi.
    pub high: Torque,
}

/// What the road gives, and how hard the car corners on it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Surface {
    /// Grip that is left for driving on the inside wheel, μ_lo, 0 to 3.
    pub low_grip: Ratio,
    /// Grip that is left for driving on the outside wheel, μ_hi, 0 to 3 and not below μ_lo.
    pub high_grip: Ratio,
    /// Cornering as a multiple of standard gravity, 0 to 3.
    pub cornering: Ratio,
}

/// What the axle's part in the car follows from.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CarSetup {
    /// Mass of the car, above 0.
    pub mass: Mass,
    /// Mass that rests on this axle, above 0 and at most all of it.
    pub axle_mass: Mass,
    /// Which axle it is.
    pub axle: Axle,
    /// Distance between its wheels, above 0.
    pub track: Length,
    /// Distance between the axles, above 0.
    pub wheelbase: Length,
    /// Height of the centre of mass, not below 0.
    pub height: Length,
    /// Share of the roll stiffness that this axle has, 0 to 1.
    pub roll_share: Ratio,
    /// Radius of the rolling tyre, above 0.
    pub tyre_radius: Length,
    /// Share of the drive that goes to this axle, above 0 and at most 1.
    pub drive_share: Ratio,
    /// Torque at the case at full throttle, before the tyres cap it; not below 0.
    pub full_torque: Torque,
    /// Torque at the case with the throttle closed, as a size; not below 0.
    pub coast_torque: Torque,
}

/// The axle at one moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AxleState {
    /// Torque at the case, as a size: what the engine gives or takes, at most what both tyres can react.
    pub case_torque: Torque,
    /// Whether the tyres have capped it.
    pub capped: bool,
    /// Loads on the tyres.
    pub loads: WheelLoads,
    /// What the tyres can react.
    pub reaction: Reaction,
}

/// The ramp that meets a wanted lock.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum RampFor {
    /// This ramp meets it.
    Ramp(RampAngle),
    /// The preload, and gear thrust where it counts, hold as much or more whatever the ramp.
    HeldWithout,
    /// No ramp that still releases spreads so much.
    OutOfReach,
}

/// Load that goes from the front axle to the rear under acceleration; below 0 where the car slows down.
///
/// ```text
/// ΔN = m a_x h / L
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | ΔN | the result | N |
/// | m | `mass` | kg, above 0 |
/// | a_x | `acceleration` | multiples of standard gravity, 9.80665 m/s² |
/// | h | `height` of the centre of mass | m, 0 and above |
/// | L | `wheelbase` | m, above 0 |
///
/// Source: balance of moments about a contact line; worked example in `tests/references/drivetrain.toml`.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::transfer_along;
/// use shimwright::quantity::{Length, Mass, Ratio};
/// let (mass, height) = (Mass::from_kilograms(1000.0)?, Length::from_um(500_000));
/// let gained = transfer_along(mass, Ratio::new(0.5)?, height, Length::from_um(2_500_000))?;
/// assert!((gained.newtons() - 980.665).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn transfer_along(
    mass: Mass,
    acceleration: Ratio,
    height: Length,
    wheelbase: Length,
) -> Result<Force, MechanicsError> {
    let mass = mass_within("the mass of the car", mass)?;
    let height = within("the height of the centre of mass", height, Length::ZERO..)?;
    let wheelbase = within("the wheelbase", wheelbase, above(Length::ZERO))?;
    let transfer = mass * GRAVITY * acceleration.value() * height.metres() / wheelbase.metres();
    Ok(Force::from_newtons(transfer)?)
}

/// Load that one wheel of an axle gains in a corner and the other loses. (Some sources call twice this the transfer.)
///
/// ```text
/// ΔN = m a_y h / w · q
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | ΔN | the result | N |
/// | m | `mass` | kg, above 0 |
/// | a_y | `cornering` | multiples of standard gravity, 9.80665 m/s², 0 and above |
/// | h | `height` of the centre of mass | m, 0 and above |
/// | w | `track` | m, above 0 |
/// | q | `roll_share`, what the axle has of the roll stiffness | share, 0 to 1 |
///
/// Source: balance of moments about the outer contact line; worked examples in `tests/references/drivetrain.toml`.
/// That the axles share it by roll stiffness leaves out the heights of the roll centres: common practice, no source.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::transfer_across;
/// use shimwright::quantity::{Length, Mass, Ratio};
/// let (mass, one) = (Mass::from_kilograms(1000.0)?, Ratio::new(1.0)?);
/// let (height, track) = (Length::from_um(500_000), Length::from_um(1_500_000));
/// let all = transfer_across(mass, one, height, track, one)?;
/// let half = transfer_across(mass, one, height, track, Ratio::new(0.5)?)?;
/// assert!((all.newtons() - 2.0 * half.newtons()).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn transfer_across(
    mass: Mass,
    cornering: Ratio,
    height: Length,
    track: Length,
    roll_share: Ratio,
) -> Result<Force, MechanicsError> {
    let mass = mass_within("the mass of the car", mass)?;
    let cornering = within("the cornering", cornering, Ratio::new(0.0)?..)?.value();
    let height = within("the height of the centre of mass", height, Length::ZERO..)?;
    let track = within("the track", track, above(Length::ZERO))?;
    let share = share_within("the share of roll stiffness", roll_share)?;
    let transfer = mass * GRAVITY * cornering * height.metres() / track.metres() * share;
    Ok(Force::from_newtons(transfer)?)
}

/// Loads on the two tyres of an axle; where the inside wheel lifts, the outside one carries all.
///
/// ```text
/// N_in = max(0, N/2 − ΔN),   N_out = N − N_in
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | N_in, N_out | the result | N |
/// | N | `axle_load` | N, 0 and above |
/// | ΔN | `transfer`, of [`transfer_across`] | N, 0 and above |
///
/// Source: balance of forces.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::wheel_loads;
/// use shimwright::quantity::Force;
/// let loads = wheel_loads(Force::from_newtons(5000.0)?, Force::from_newtons(1000.0)?)?;
/// assert_eq!((loads.inside.newtons(), loads.outside.newtons()), (1500.0, 3500.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn wheel_loads(axle_load: Force, transfer: Force) -> Result<WheelLoads, MechanicsError> {
    let none = Force::from_newtons(0.0)?;
    let load = within("the load on the axle", axle_load, none..)?.newtons();
    let transfer = within("the load that goes across", transfer, none..)?.newtons();
    let inside = (load / 2.0 - transfer).max(0.0);
    Ok(WheelLoads {
        inside: Force::from_newtons(inside)?,
        outside: Force::from_newtons(load - inside)?,
    })
}

/// The torque at a wheel that its tyre can react.
///
/// ```text
/// T = R μ N
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | T | the result | N·m |
/// | R | `tyre_radius`, rolling | m, above 0 |
/// | μ | `grip` | ratio, 0 to 3 |
/// | N | `load` | N, 0 and above |
///
/// Source: friction, F ≤ μ N, at the radius.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::tyre_torque;
/// use shimwright::quantity::{Force, Length, Ratio};
/// let most = tyre_torque(Force::from_newtons(3000.0)?, Ratio::new(0.2)?, Length::from_um(300_000))?;
/// assert!((most.newton_metres() - 180.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn tyre_torque(load: Force, grip: Ratio, tyre_radius: Length) -> Result<Torque, MechanicsError> {
    let load = within("the load on the tyre", load, Force::from_newtons(0.0)?..)?;
    let grip = grip_within("the grip", grip)?;
    let radius = within("the radius of the tyre", tyre_radius, above(Length::ZERO))?;
    Ok(Torque::from_newton_metres(
        load.newtons() * grip * radius.metres(),
    )?)
}

/// Torque at the case that an engine's torque gives through the gears.
///
/// ```text
/// T = T_engine · i_gear · i_final · share · η
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | T | the result | N·m |
/// | T_engine | `engine` | N·m, 0 and above |
/// | i_gear | `gear` | ratio, above 0 |
/// | i_final | `final_drive` | ratio, above 0 |
/// | share | `share` of the axle | share, above 0, at most 1 |
/// | η | `efficiency` | share, above 0, at most 1 |
///
/// Source: balance of power; worked examples in `tests/references/drivetrain.toml`.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::case_torque;
/// use shimwright::quantity::{Ratio, Torque};
/// let (engine, one) = (Torque::from_newton_metres(115.0)?, Ratio::new(1.0)?);
/// let torque = case_torque(engine, Ratio::new(2.5)?, Ratio::new(4.0)?, one, one)?;
/// assert!((torque.newton_metres() - 1150.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn case_torque(
    engine: Torque,
    gear: Ratio,
    final_drive: Ratio,
    share: Ratio,
    efficiency: Ratio,
) -> Result<Torque, MechanicsError> {
    let none = Ratio::new(0.0)?;
    let engine = within(
        "the torque of the engine",
        engine,
        Torque::from_newton_metres(0.0)?..,
    )?;
    let gear = within("the ratio of the gear", gear, above(none))?.value();
    let final_drive = within("the ratio of the final drive", final_drive, above(none))?.value();
    let share = above_none("the share of the axle", share)?;
    let efficiency = above_none("the efficiency", efficiency)?;
    Ok(Torque::from_newton_metres(
        engine.newton_metres() * gear * final_drive * share * efficiency,
    )?)
}

/// The greatest torque at the case that the axle can use: the tyre with less grip must not spin, and no tyre gives
/// more than it can react.
///
/// ```text
/// (T − ΔT(T))/2 ≤ R μ_lo N_lo,   T ≤ R (μ_lo N_lo + μ_hi N_hi);   with c = 2 R μ_lo N_lo and equal packs
/// spring between the rings   T = (c + ΔT0)/(1 − S)
/// spring behind the pack     T = max(c + ΔT0, c/(1 − S))
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | T | the result | N·m |
/// | ΔT(T) | `model`, [`LockModel::torque_difference`] in the `direction` | N·m |
/// | ΔT0 | `model`, [`LockModel::preload_torque`] | N·m |
/// | S | `model`, [`LockModel::share`] in the `direction` | share |
/// | R μ_lo N_lo | `reaction.low` | N·m, 0 and above |
/// | R μ_hi N_hi | `reaction.high` | N·m, not below the low one |
///
/// Where the packs differ it is that of the side that slips sooner.
///
/// Source: the split of [`LockModel::split`] with the low side at its limit.
///
/// # Errors
///
/// A reaction below 0, or the low one above the high one.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::{usable_torque, Reaction};
/// use shimwright::mechanics::{Direction, LockModel, LockSetup, SpringPlace};
/// use shimwright::quantity::{Force, Length, RampAngle, Ratio, Torque};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// // an open unit: no face rubs, so each wheel gets what the weaker one can react
/// let open = LockModel::new(LockSetup {
///     faces: [0, 0], friction: Ratio::new(0.1)?, friction_radius: mm(40), pin_radius: mm(30),
///     drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
///     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// })?;
/// let nm = Torque::from_newton_metres;
/// let used = usable_torque(&open, Direction::Drive, Reaction { low: nm(180.0)?, high: nm(810.0)? })?;
/// assert!((used.newton_metres() - 360.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn usable_torque(
    model: &LockModel,
    direction: Direction,
    reaction: Reaction,
) -> Result<Torque, MechanicsError> {
    let (low, high) = reaction_within(reaction)?;
    let cap = low + high;
    let most = model.slips_at(direction, low).unwrap_or(cap);
    Ok(Torque::from_newton_metres(most.min(cap))?)
}

/// How much of the difference between the two tyres the packs can hold; at 1 and above the axle turns as one. `None`
/// where both tyres can react the same: there is nothing to hold.
///
/// ```text
/// ΔT(T) / (R (μ_hi N_hi − μ_lo N_lo))
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | ΔT(T) | `model`, [`LockModel::torque_difference`] in the `direction` | N·m |
/// | T | `case_torque` | N·m, 0 and above |
/// | R μ_lo N_lo | `reaction.low` | N·m, 0 and above |
/// | R μ_hi N_hi | `reaction.high` | N·m, not below the low one |
///
/// Source: balance of torques with both tyres at their limit.
///
/// # Errors
///
/// Torque or reaction out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::{lock_share, Reaction};
/// use shimwright::mechanics::{Direction, LockModel, LockSetup, SpringPlace};
/// use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// let unit = LockModel::new(LockSetup {
///     faces: [8, 8], friction: Ratio::new(0.1)?, friction_radius: mm(40), pin_radius: mm(40),
///     drive: RampAngle::new(45.0, Datum::RingFace)?, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
///     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// })?;
/// let nm = Torque::from_newton_metres;
/// // S is 0.8: 400 N·m at the case hold 320 of the 640 N·m between the tyres
/// let share = lock_share(&unit, Direction::Drive, nm(400.0)?, Reaction { low: nm(60.0)?, high: nm(700.0)? })?;
/// assert!((share.unwrap().value() - 0.5).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn lock_share(
    model: &LockModel,
    direction: Direction,
    case_torque: Torque,
    reaction: Reaction,
) -> Result<Option<Ratio>, MechanicsError> {
    let (low, high) = reaction_within(reaction)?;
    let held = model.torque_difference(direction, case_torque)?.newton_metres();
    (high > low)
        .then(|| Ratio::new(held / (high - low)))
        .transpose()
        .map_err(MechanicsError::from)
}

/// The moment by which a difference of wheel torques resists the turn of the car.
///
/// ```text
/// M = ΔT/R · w/2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | M | the result | N·m |
/// | ΔT | `difference` of the wheel torques | N·m, 0 and above |
/// | R | `tyre_radius` | m, above 0 |
/// | w | `track` | m, above 0 |
///
/// Source: the two drive forces differ by ΔT/R and stand w/2 off the middle.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::yaw_moment;
/// use shimwright::quantity::{Length, Torque};
/// let moment = yaw_moment(Torque::from_newton_metres(300.0)?, Length::from_um(300_000), Length::from_um(1_500_000))?;
/// assert!((moment.newton_metres() - 750.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn yaw_moment(difference: Torque, tyre_radius: Length, track: Length) -> Result<Torque, MechanicsError> {
    let none = Torque::from_newton_metres(0.0)?;
    let difference = within("the difference of the torques", difference, none..)?.newton_metres();
    let radius = within("the radius of the tyre", tyre_radius, above(Length::ZERO))?;
    let track = within("the track", track, above(Length::ZERO))?;
    Ok(Torque::from_newton_metres(
        difference / radius.metres() * track.metres() / 2.0,
    )?)
}

/// The ramp with which a unit holds a wanted share of the difference between the tyres, all else as it is.
///
/// ```text
/// ΔT(T, θ) = s R (μ_hi N_hi − μ_lo N_lo),   solved for θ
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | θ | the result | ° from the ring's face |
/// | ΔT(T, θ) | [`LockModel::torque_difference`] of `setup` with that ramp in the `direction` | N·m |
/// | T | `case_torque` | N·m, 0 and above |
/// | s | `wanted` | share, 0 and above |
/// | R μ_lo N_lo | `reaction.low` | N·m, 0 and above |
/// | R μ_hi N_hi | `reaction.high` | N·m, not below the low one |
///
/// It is found by halving an interval of angles, from where the ramp just still releases by itself (but at least 1°
/// from the ring's face) to 90°, through [`LockModel`].
///
/// Source: [`lock_share`], which falls as the angle grows.
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::{ramp_for, Reaction, RampFor};
/// use shimwright::mechanics::{Direction, LockSetup, SpringPlace};
/// use shimwright::quantity::{Force, Length, RampAngle, Ratio, Torque};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// let unit = LockSetup {
///     faces: [8, 8], friction: Ratio::new(0.1)?, friction_radius: mm(40), pin_radius: mm(40),
///     drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.0)?,
///     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// };
/// let nm = Torque::from_newton_metres;
/// let tyres = Reaction { low: nm(60.0)?, high: nm(700.0)? };
/// let Ok(RampFor::Ramp(ramp)) = ramp_for(&unit, Direction::Drive, nm(400.0)?, tyres, Ratio::new(0.5)?) else { panic!() };
/// assert!((ramp.degrees_from_ring_face() - 45.0).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ramp_for(
    setup: &LockSetup,
    direction: Direction,
    case_torque: Torque,
    reaction: Reaction,
    wanted: Ratio,
) -> Result<RampFor, MechanicsError> {
    within("the wanted lock share", wanted, Ratio::new(0.0)?..)?;
    let (low, high) = reaction_within(reaction)?;
    let target = wanted.value() * (high - low);
    let held = |degrees: f64| -> Result<f64, MechanicsError> {
        let ramp = RampAngle::new(degrees, Datum::RingFace).unwrap_or(RampAngle::NONE);
        let mut setup = setup.clone();
        match direction {
            Direction::Drive => setup.drive = ramp,
            Direction::Coast => setup.coast = ramp,
        }
        let difference = LockModel::new(setup)?.torque_difference(direction, case_torque)?;
        Ok(difference.newton_metres())
    };
    let mut least = setup.ramp_friction.value().atan().to_degrees().max(1.0);
    let mut most = 90.0;
    if held(most)? >= target {
        return Ok(RampFor::HeldWithout);
    }
    if held(least)? < target {
        return Ok(RampFor::OutOfReach);
    }
    for _ in 0..60 {
        let middle = 0.5 * (least + most);
        if held(middle)? >= target {
            least = middle;
        } else {
            most = middle;
        }
    }
    Ok(RampAngle::new(least, Datum::RingFace).map_or(RampFor::OutOfReach, RampFor::Ramp))
}

/// One driven axle of a car on a surface.
///
/// Over throttle x the engine's torque is taken as x times its torque at full throttle: common practice, no source. Tyres
/// cap it. With F the drive of the axle and F/s that of the whole car,
///
/// ```text
/// N = m_axle g ± F/s · h/L,   between 0 and m g        + at the rear, − at the front; the other way on coast
/// N_in, N_out as in wheel_loads;   F ≤ μ_lo N_in + μ_hi N_out
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | m, m_axle | `car.mass`, `car.axle_mass` | kg, above 0; m_axle at most m |
/// | g | standard gravity | 9.80665 m/s² |
/// | F | `throttle` times `car.full_torque`, on coast `car.coast_torque`, over `car.tyre_radius`, until the tyres cap it | N; 0 to 1; N·m, 0 and above; m, above 0 |
/// | s | `car.drive_share` | share, above 0, at most 1 |
/// | h, L | `car.height`, `car.wheelbase` | m, 0 and above; above 0 |
/// | +, − | `car.axle`, `direction` | – |
/// | N_in, N_out | [`wheel_loads`] with [`transfer_across`] of `car.track`, `car.roll_share` and `surface.cornering` | N; m, above 0; share, 0 to 1; multiples of g, 0 to 3 |
/// | μ_lo, μ_hi | `surface.low_grip`, `surface.high_grip` | ratio, 0 to 3; μ_hi not below μ_lo |
///
/// The low grip is taken on the inside wheel, where it does most harm. On a car that drives both axles the other one is
/// taken to hold its share.
///
/// Source: the balances of the functions of this module; worked example in `tests/references/drivetrain.toml`.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::axle::{Axle, CarSetup, DrivenAxle, Surface};
/// use shimwright::mechanics::Direction;
/// use shimwright::quantity::{Length, Mass, Ratio, Torque};
/// let mm = |mm: i64| Length::from_um(1000 * mm);
/// let car = CarSetup {
///     mass: Mass::from_kilograms(1000.0)?, axle_mass: Mass::from_kilograms(500.0)?, axle: Axle::Rear,
///     track: mm(1500), wheelbase: mm(2500), height: mm(500), roll_share: Ratio::new(0.5)?, tyre_radius: mm(300),
///     drive_share: Ratio::new(1.0)?, full_torque: Torque::from_newton_metres(5000.0)?,
///     coast_torque: Torque::from_newton_metres(200.0)?,
/// };
/// let one = Ratio::new(1.0)?;
/// let flat = Surface { low_grip: one, high_grip: one, cornering: Ratio::new(0.0)? };
/// let state = DrivenAxle::new(car, flat)?.at(Direction::Drive, one)?;
/// // F = μ (m_axle g + F h/L): 4903.325/(1 − 0.2) N at 0.3 m
/// assert!(state.capped && (state.case_torque.newton_metres() - 1838.747).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct DrivenAxle {
    car: CarSetup,
    surface: Surface,
    across: Force,
}

impl DrivenAxle {
    /// Checks car and surface.
    ///
    /// # Errors
    ///
    /// A field outside the limits that it names.
    pub fn new(car: CarSetup, surface: Surface) -> Result<DrivenAxle, MechanicsError> {
        let none = Torque::from_newton_metres(0.0)?;
        mass_within("the mass of the car", car.mass)?;
        mass_within("the mass on the axle", car.axle_mass)?;
        within("the mass on the axle", car.axle_mass, ..=car.mass)?;
        within("the wheelbase", car.wheelbase, above(Length::ZERO))?;
        within("the radius of the tyre", car.tyre_radius, above(Length::ZERO))?;
        above_none("the share of the axle", car.drive_share)?;
        within("the torque at full throttle", car.full_torque, none..)?;
        within("the torque on coast", car.coast_torque, none..)?;
        grip_within("the low-side grip", surface.low_grip)?;
        grip_within("the high-side grip", surface.high_grip)?;
        within("the low-side grip", surface.low_grip, ..=surface.high_grip)?;
        within("the cornering", surface.cornering, ..=Ratio::new(3.0)?)?;
        let across = transfer_across(car.mass, surface.cornering, car.height, car.track, car.roll_share)?;
        Ok(DrivenAxle { car, surface, across })
    }

    /// The car that it was made from.
    pub fn car(&self) -> &CarSetup {
        &self.car
    }

    /// The surface that it was made from.
    pub fn surface(&self) -> &Surface {
        &self.surface
    }

    /// The axle at a throttle, 0 to 1; on coast the throttle is closed and does not count.
    ///
    /// # Errors
    ///
    /// Throttle out of range.
    pub fn at(&self, direction: Direction, throttle: Ratio) -> Result<AxleState, MechanicsError> {
        let throttle = share_within("the throttle", throttle)?;
        let radius = self.car.tyre_radius.metres();
        let (asked, sign) = match direction {
            Direction::Drive => (throttle * self.car.full_torque.newton_metres(), 1.0),
            Direction::Coast => (self.car.coast_torque.newton_metres(), -1.0),
        };
        // grip less force is above 0 up to one crossing and below it from there: the tyres cap the force at the crossing
        let asked = asked / radius;
        let capped = self.grip(sign * asked)? < asked;
        let mut force = asked;
        if capped {
            let (mut held, mut spins) = (0.0, asked);
            for _ in 0..60 {
                let middle = 0.5 * (held + spins);
                if self.grip(sign * middle)? >= middle {
                    held = middle;
                } else {
                    spins = middle;
                }
            }
            force = held;
        }
        let loads = self.loads(sign * force)?;
        let low = tyre_torque(loads.inside, self.surface.low_grip, self.car.tyre_radius)?;
        let high = tyre_torque(loads.outside, self.surface.high_grip, self.car.tyre_radius)?;
        Ok(AxleState {
            case_torque: Torque::from_newton_metres(force * radius)?,
            capped,
            loads,
            reaction: Reaction { low, high },
        })
    }

    /// How much of the difference between the tyres the packs hold at a throttle, as [`lock_share`].
    ///
    /// # Errors
    ///
    /// Throttle out of range.
    pub fn share_at(
        &self,
        model: &LockModel,
        direction: Direction,
        throttle: Ratio,
    ) -> Result<Option<Ratio>, MechanicsError> {
        let state = self.at(direction, throttle)?;
        lock_share(model, direction, state.case_torque, state.reaction)
    }

    /// The least throttle at which the axle turns as one, looked for in steps of 1 % and then between two of them; `None`
    /// where it never does. It is 0 where the preload alone does it, or where both tyres can react the same.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn locks_at(&self, model: &LockModel) -> Result<Option<Ratio>, MechanicsError> {
        let locked = |throttle: f64| -> Result<bool, MechanicsError> {
            let share = self.share_at(model, Direction::Drive, Ratio::new(throttle)?)?;
            Ok(share.is_none_or(|share| share.value() >= 1.0))
        };
        if locked(0.0)? {
            return Ok(Some(Ratio::new(0.0)?));
        }
        for step in 1..=100_u32 {
            let mut most = f64::from(step) / 100.0;
            if locked(most)? {
                let mut least = f64::from(step - 1) / 100.0;
                for _ in 0..40 {
                    let middle = 0.5 * (least + most);
                    if locked(middle)? {
                        most = middle;
                    } else {
                        least = middle;
                    }
                }
                return Ok(Some(Ratio::new(most)?));
            }
        }
        Ok(None)
    }

    /// Loads under a drive force of this axle, below 0 on coast.
    fn loads(&self, force: f64) -> Result<WheelLoads, MechanicsError> {
        let weight = self.car.mass.kilograms() * GRAVITY;
        let acceleration = Ratio::new(force / self.car.drive_share.value() / weight)?;
        let along =
            transfer_along(self.car.mass, acceleration, self.car.height, self.car.wheelbase)?.newtons();
        let gained = match self.car.axle {
            Axle::Front => -along,
            Axle::Rear => along,
        };
        let load = (self.car.axle_mass.kilograms() * GRAVITY + gained).clamp(0.0, weight);
        wheel_loads(Force::from_newtons(load)?, self.across)
    }

    fn grip(&self, force: f64) -> Result<f64, MechanicsError> {
        let loads = self.loads(force)?;
        Ok(self.surface.low_grip.value() * loads.inside.newtons()
            + self.surface.high_grip.value() * loads.outside.newtons())
    }
}

fn mass_within(what: &'static str, mass: Mass) -> Result<f64, MechanicsError> {
    within(what, mass, above(Mass::from_kilograms(0.0)?)).map(Mass::kilograms)
}

fn share_within(what: &'static str, share: Ratio) -> Result<f64, MechanicsError> {
    within(what, share, Ratio::new(0.0)?..=Ratio::new(1.0)?).map(Ratio::value)
}

fn above_none(what: &'static str, share: Ratio) -> Result<f64, MechanicsError> {
    within(what, share, above(Ratio::new(0.0)?))?;
    share_within(what, share)
}

fn grip_within(what: &'static str, grip: Ratio) -> Result<f64, MechanicsError> {
    within(what, grip, Ratio::new(0.0)?..=Ratio::new(3.0)?).map(Ratio::value)
}

/// Low and high, checked.
fn reaction_within(reaction: Reaction) -> Result<(f64, f64), MechanicsError> {
    let low = case_torque_within(reaction.low)?;
    let high = within(
        "the torque that the high side can react",
        reaction.high,
        reaction.low..,
    )?;
    Ok((low, high.newton_metres()))
}
