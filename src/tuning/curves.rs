//! What the pictures of a settled setting show: figures only, nothing has a place yet.

use super::course::{Course, Shown};
use super::rated::MomentResult;
use super::settled::{Proposal, Settled};
use crate::mechanics::{Direction, LockModel, LockSetup, MechanicsError, Reaction};
use crate::quantity::{NotFinite, Ratio, Torque};
use crate::workshop::moment::Want;

/// Into how many steps the throttle is divided.
const STEPS: u32 = 100;

/// One setting as it is drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Curves {
    /// What the packs could hold of the difference between the tyres over throttle, evenly spaced from 0 to 1; without the
    /// throttles at which both tyres can take the same.
    pub share: Vec<(Ratio, Ratio)>,
    /// The same with the throttle closed; `None` where both tyres can take the same.
    pub shut: Option<Ratio>,
    /// Torques at the wheel that gets more and at the one that gets less while the packs slip on drive, as
    /// [`LockModel::edge`].
    pub drive: Vec<(Torque, Torque)>,
    /// The same on coast, as sizes.
    pub coast: Vec<(Torque, Torque)>,
    /// What the tyres can take at full throttle.
    pub drive_tyres: Reaction,
    /// What they can take with the throttle closed.
    pub coast_tyres: Reaction,
}

/// The present and a proposed setting with what is wanted, as they are drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Pictures {
    /// The unit as it is.
    pub now: Curves,
    /// The proposal.
    pub taken: Curves,
    /// What a use of version 1 wants: throttle and share.
    pub points: Vec<(Ratio, Ratio)>,
    /// The throttle from which the tyres cap the proposal at the moment that is drawn.
    pub caps_from: Option<Ratio>,
}

fn tyres(shown: &Shown) -> Reaction {
    let [one, two] = shown.limits;
    let (low, high) = if one <= two { (one, two) } else { (two, one) };
    Reaction { low, high }
}

impl Curves {
    fn new(course: &Course, setup: &LockSetup) -> Result<Curves, MechanicsError> {
        let model = LockModel::new(setup.clone())?;
        let throttles: Vec<Ratio> = (0..=STEPS)
            .map(|step| Ratio::new(f64::from(step) / f64::from(STEPS)))
            .collect::<Result<_, _>>()?;
        let opened = course.shown(setup, Some(&throttles))?;
        let full = opened.last().copied().ok_or(NotFinite)?;
        let shut = course.shown_shut(setup)?;
        let shares = throttles.into_iter().zip(opened);
        let share = shares
            .filter_map(|(throttle, shown)| Some((throttle, shown.share?)))
            .collect();
        // further than the tyres can take, so that the edges leave the picture
        let far = |shown: &Shown| {
            let Reaction { low, high } = tyres(shown);
            Torque::from_newton_metres((2.5 * (low.newton_metres() + high.newton_metres())).max(1.0))
        };
        Ok(Curves {
            share,
            shut: shut.share,
            drive_tyres: tyres(&full),
            coast_tyres: tyres(&shut),
            drive: model.edge(Direction::Drive, far(&full)?, STEPS as usize + 1)?,
            coast: model.edge(Direction::Coast, far(&shut)?, STEPS as usize + 1)?,
        })
    }
}

/// What a proposal does at the moment with an open throttle that is drawn.
fn opened_result<'s>(settled: &Settled, proposal: &'s Proposal) -> Option<&'s MomentResult> {
    let [opened, _] = settled.course.drawn();
    let opened = opened?;
    let mut stages = settled.course.stages.iter().zip(&proposal.rated.results);
    stages
        .find(|(stage, _)| std::ptr::eq(*stage, opened))
        .map(|(_, result)| result)
}

impl Settled {
    /// What is drawn of the unit as it is and of a proposal.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn pictures(&self, proposal: &Proposal) -> Result<Pictures, MechanicsError> {
        let setup = &proposal.rated.setup;
        let wants = self.course.stages.iter().flat_map(|stage| &stage.moment.wants);
        let points = wants.filter_map(|want| match want {
            Want::Holds { throttle, share } if throttle.value() > 0.0 => Some((*throttle, *share)),
            _ => None,
        });
        Ok(Pictures {
            now: Curves::new(&self.course, &self.now.setup)?,
            taken: Curves::new(&self.course, setup)?,
            points: points.collect(),
            caps_from: opened_result(self, proposal).and_then(|result| result.caps_from),
        })
    }
}
