//! Between what a lock lies, by propagation: over the torque at the case, slipping, breaking loose and letting go.

use super::derived::Derived;
use crate::mechanics::prediction::{Packs, Predicted, Prediction};
use crate::mechanics::{Direction, MechanicsError};
use crate::metrology::propagate;
use crate::quantity::{Ratio, Torque};
use crate::record::Interval;
use crate::record::lock_bands::{LockAt, LockBand, LockBands};

impl Derived<'_> {
    /// Between what the lock lies on drive and on coast.
    pub fn lock_bands(&self, round: u32) -> Option<LockBands> {
        self.state.chosen(round).filter(|_| self.state.counts_doubts())?;
        let sprung = self.prediction(round);
        let unit = match sprung {
            Some(unit) => unit,
            // a unit that is set to a gap has no preload
            None => {
                let sides = &self.state.chosen(round)?.sides;
                self.in_doubt(sides.each_ref().map(|side| self.faces(side)), Vec::new())?
            }
        };
        let of = |direction| {
            let band = lock_band(&unit, direction, self.job.unit.curve_to).ok()?;
            let share = Predicted::Share(direction, Packs::Slipping);
            Some(LockBand {
                // with what would narrow it most
                slipping: self.interval(&unit, share, &|share| Ratio::new(share.max(0.0)).ok())?,
                ..band
            })
        };
        Some(LockBands {
            drive: of(Direction::Drive)?,
            coast: of(Direction::Coast)?,
        })
    }
}

/// Into how many parts the torque up to which a lock is told is parted.
const PARTS: usize = 12;

/// Between what the lock of a unit lies in one direction, up to a torque at the case.
///
/// # Errors
///
/// A unit or a doubt out of range.
pub fn lock_band(unit: &Prediction, direction: Direction, up_to: Torque) -> Result<LockBand, MechanicsError> {
    let impossible = || MechanicsError::from(crate::quantity::NotFinite);
    let share = |unit: &Prediction, packs| {
        let of = Predicted::Share(direction, packs);
        let all = propagate(&unit.inputs(of), unit.follows(of)).ok()?;
        let (low, high) = all.interval(0.95).ok()?;
        let parts = all.parts.iter().take(3);
        Some(Interval {
            low: Ratio::new(low.max(0.0)).ok()?,
            high: Ratio::new(high.max(0.0)).ok()?,
            parts: parts.map(|part| (part.name.to_string(), part.share)).collect(),
            narrower: None,
        })
    };
    // one friction for both says nothing of breaking loose
    let sticks = unit.bench.setup.friction > unit.bench.turning;
    let without_thrust = unit.bench.setup.gear_thrust.is_some().then(|| {
        let mut without = unit.clone();
        without.bench.setup.gear_thrust = None;
        share(&without, Packs::Slipping)
    });
    let ends = |case: Torque, packs: Packs| -> Option<[Torque; 2]> {
        let of = Predicted::Difference(direction, case, packs);
        let held = propagate(&unit.inputs(of), unit.follows(of)).ok()?;
        let (low, high) = held.interval(0.95).ok()?;
        let torque = |newton_metres: f64| Torque::from_newton_metres(newton_metres.max(0.0)).ok();
        Some([torque(low)?, torque(high)?])
    };
    let at = |part: usize| -> Result<LockAt, MechanicsError> {
        let case = Torque::from_newton_metres(up_to.newton_metres() * part as f64 / PARTS as f64)?;
        Ok(LockAt {
            case,
            slipping: ends(case, Packs::Slipping).ok_or_else(impossible)?,
            at_rest: sticks.then(|| ends(case, Packs::AtRest)).flatten(),
            unloading: ends(case, Packs::Unloading),
        })
    };
    Ok(LockBand {
        slipping: share(unit, Packs::Slipping).ok_or_else(impossible)?,
        without_thrust: without_thrust.flatten(),
        at_rest: sticks.then(|| share(unit, Packs::AtRest)).flatten(),
        unloading: share(unit, Packs::Unloading),
        over_torque: (0..=PARTS).map(at).collect::<Result<_, _>>()?,
    })
}
