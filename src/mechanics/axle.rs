//! The driven axle in the car: which it is, the torque at its case, and how much of the difference between its tyres a lock holds.

use super::error::{MechanicsError, above, within};
use super::lock::LockModel;
use super::ramp::case_torque_within;
use super::setup::Direction;
use crate::quantity::{Force, Ratio, Torque};

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

fn above_none(what: &'static str, share: Ratio) -> Result<f64, MechanicsError> {
    within(what, share, above(Ratio::new(0.0)?))?;
    within(what, share, ..=Ratio::new(1.0)?).map(Ratio::value)
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
