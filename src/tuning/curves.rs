//! What the pictures of a settled setting show: figures only, nothing has a place yet.

use crate::mechanics::tune::{Target, TargetPoint, Trial};
use crate::mechanics::{AxleState, Direction, LockModel, LockSetup, MechanicsError, Reaction};
use crate::quantity::{Ratio, Torque};

/// Into how many steps the throttle is divided.
const STEPS: u32 = 100;

/// One setting as it is drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Curves {
    /// Lock share over throttle, evenly spaced from 0 to 1; without the throttles at which both tyres react the same.
    pub share: Vec<(Ratio, Ratio)>,
    /// Lock share with the throttle closed; `None` where both tyres react the same.
    pub shut: Option<Ratio>,
    /// Torques at the wheel that gets more and at the one that gets less while the packs slip on drive, as
    /// [`LockModel::edge`].
    pub drive: Vec<(Torque, Torque)>,
    /// The same on coast, as sizes.
    pub coast: Vec<(Torque, Torque)>,
}

/// The present and a proposed setting with what is wanted, as they are drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Pictures {
    /// The unit as it is.
    pub now: Curves,
    /// The proposal.
    pub taken: Curves,
    /// Lock wanted over throttle.
    pub points: Vec<TargetPoint>,
    /// Lock wanted with the throttle closed.
    pub shut: Ratio,
    /// The points as torques at the wheel that gets more and at the one that gets less.
    pub wanted: Vec<(Torque, Torque)>,
    /// The same with the throttle closed, as sizes.
    pub wanted_shut: (Torque, Torque),
    /// What the tyres can react at full throttle.
    pub drive_tyres: Reaction,
    /// What they can react with the throttle closed.
    pub coast_tyres: Reaction,
}

impl Curves {
    fn new(trial: &Trial, setup: &LockSetup) -> Result<Curves, MechanicsError> {
        let model = LockModel::new(setup.clone())?;
        let axle = trial.axle();
        let mut share = Vec::new();
        for step in 0..=STEPS {
            let throttle = Ratio::new(f64::from(step) / f64::from(STEPS))?;
            if let Some(one) = axle.share_at(&model, Direction::Drive, throttle)? {
                share.push((throttle, one));
            }
        }
        // further than the tyres can react, so that the edges leave the picture
        let far = |state: &AxleState| {
            let Reaction { low, high } = state.reaction;
            let most = 2.5 * (low.newton_metres() + high.newton_metres());
            Torque::from_newton_metres(most.max(1.0))
        };
        Ok(Curves {
            share,
            shut: axle.share_at(&model, Direction::Coast, Ratio::new(0.0)?)?,
            drive: model.edge(Direction::Drive, far(trial.full())?, STEPS as usize + 1)?,
            coast: model.edge(Direction::Coast, far(trial.coast())?, STEPS as usize + 1)?,
        })
    }
}

/// The torques at the wheels that hold a wanted share of the difference between the tyres.
fn held(state: &AxleState, share: Ratio) -> Result<(Torque, Torque), MechanicsError> {
    let between = state.reaction.high.newton_metres() - state.reaction.low.newton_metres();
    let (torque, difference) = (state.case_torque.newton_metres(), share.value() * between);
    Ok((
        Torque::from_newton_metres((torque + difference) / 2.0)?,
        Torque::from_newton_metres((torque - difference) / 2.0)?,
    ))
}

impl Pictures {
    /// What is drawn of a unit as it is and of a proposal.
    ///
    /// Errors: none but those of the formulas.
    pub(super) fn new(trial: &Trial, now: &LockSetup, taken: &LockSetup) -> Result<Pictures, MechanicsError> {
        let Target { drive, coast } = trial.target();
        let axle = trial.axle();
        Ok(Pictures {
            now: Curves::new(trial, now)?,
            taken: Curves::new(trial, taken)?,
            points: drive.clone(),
            shut: *coast,
            wanted: drive
                .iter()
                .map(|point| held(&axle.at(Direction::Drive, point.throttle)?, point.share))
                .collect::<Result<_, _>>()?,
            wanted_shut: held(trial.coast(), *coast)?,
            drive_tyres: trial.full().reaction,
            coast_tyres: trial.coast().reaction,
        })
    }
}
