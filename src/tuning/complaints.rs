//! What a driver says, the figure that stands for it, and which steps move that figure.

use super::rated::Rated;
use super::settled::Settled;
use crate::mechanics::tune::Change;
use crate::mechanics::{LockModel, MechanicsError};
use crate::quantity::Ratio;

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
    /// The most moment against the turn with the throttle shut, in N·m.
    CoastMoment,
    /// The most moment against the turn with the throttle open, in N·m.
    DriveMoment,
    /// The least that is put down of what both tyres could.
    PutsDown,
    /// Torque that the preload holds, in N·m.
    Preload,
}

/// What drivers say, in the words that are typed.
pub const COMPLAINTS: &[(Complaint, &str)] = &[
    (Complaint::PushesOnEntry, "pushes on entry"),
    (Complaint::PushesOnPower, "pushes on power"),
    (Complaint::InsideWheelSpins, "inside wheel spins"),
    (Complaint::SnapsOnLift, "snaps on lift"),
    (Complaint::Chatters, "chatters when turning slowly"),
    (Complaint::DoesNothing, "does nothing"),
];

/// The words of a complaint.
pub fn complaint_words(complaint: Complaint) -> &'static str {
    let found = COMPLAINTS.iter().find(|(one, _)| *one == complaint);
    found.map_or("", |(_, words)| words)
}

impl Complaint {
    /// What it is measured by, and whether that should rise. Common practice, no source.
    pub fn measure(self) -> (Measure, bool) {
        match self {
            Complaint::PushesOnEntry => (Measure::CoastMoment, false),
            Complaint::PushesOnPower => (Measure::DriveMoment, false),
            Complaint::InsideWheelSpins | Complaint::DoesNothing => (Measure::PutsDown, true),
            Complaint::SnapsOnLift => (Measure::CoastMoment, true),
            Complaint::Chatters => (Measure::Preload, false),
        }
    }
}

impl Rated {
    /// The value of a measure; `None` where no moment of the use shows it.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn value(&self, measure: Measure) -> Result<Option<f64>, MechanicsError> {
        let against = |shut: bool| {
            let results = self.results.iter();
            results
                .filter(|result| result.puts_down.is_none() == shut)
                .map(|result| result.against.newton_metres())
                .reduce(f64::max)
        };
        Ok(match measure {
            Measure::CoastMoment => against(true),
            Measure::DriveMoment => against(false),
            Measure::PutsDown => {
                let shares = self.results.iter().filter_map(|result| result.puts_down);
                shares.map(Ratio::value).reduce(f64::min)
            }
            Measure::Preload => Some(
                LockModel::new(self.setup.clone())?
                    .preload_torque()
                    .newton_metres(),
            ),
        })
    }
}

/// What acts on a complaint.
#[derive(Clone, PartialEq, Debug)]
pub struct Acting {
    /// What is said.
    pub complaint: Complaint,
    /// The figure that stands for it as the unit is; `None` where no moment of the use shows it.
    pub now: Option<f64>,
    /// Steps from the unit as it is that move the figure the wanted way, with what it then is.
    pub helps: Vec<(Change, f64)>,
}

impl Settled {
    /// What acts on a complaint, from the unit as it is.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn acting(&self, complaint: Complaint) -> Result<Acting, MechanicsError> {
        let (measure, up) = complaint.measure();
        let now = self.now.value(measure)?;
        let mut helps = Vec::new();
        if let Some(now) = now {
            for (change, rated) in self.steps_from(&self.now.setup)? {
                let Some(then) = rated.value(measure)? else {
                    continue;
                };
                let moved = if up { then - now } else { now - then };
                // wear is what happens, not what is done; less than this is no help
                if !matches!(change, Change::Worn(_)) && moved > 1e-3 * now.abs().max(1e-3) {
                    helps.push((change, then));
                }
            }
        }
        Ok(Acting {
            complaint,
            now,
            helps,
        })
    }
}
