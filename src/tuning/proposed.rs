//! A proposal as a setting: what the rebuild is to aim at.

use super::course::Shown;
use super::settled::Settled;
use crate::mechanics::{Direction, Held, LockModel, LockSetup, MechanicsError};
use crate::quantity::{Force, Ratio, Torque};
use crate::workshop::{Origins, Proof, Setting, SettingPoint, SettingSpring, UnitFile};

fn times(force: Force, factor: f64) -> Result<Force, MechanicsError> {
    // to whole newtons: the window of a spring is not known better
    Ok(Force::from_newtons((force.newtons() * factor).round())?)
}

/// The breakaway while turning, without drag, and how it is held for that: as the unit file says, or with one output held
/// where the packs would wedge with the case held, one way round or the other.
fn breakaway_of(setup: &LockSetup, unit: &UnitFile) -> Result<(Held, Torque), MechanicsError> {
    let mut bench = unit.bench(setup);
    if bench.wedges_with_the_case_held()?.is_some() {
        bench.holding.held = Held::Output;
    }
    let none = Torque::from_newton_metres(0.0)?;
    Ok((bench.holding.held, bench.turning(none)?.reading))
}

/// The throttles at which a setting says what it holds.
const POINTS: [f64; 3] = [0.3, 0.6, 1.0];

impl Settled {
    /// The setting of one of the proposals, counted from 1; `None` where there is no such proposal.
    ///
    /// What it is to hold at its points is what the proposal holds there, of the difference between the tyres. The windows of
    /// preload and breakaway are those of the unit file, stretched by what their targets are changed by.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn setting(
        &self,
        take: u32,
        unit: &UnitFile,
        date: &str,
        from: Origins,
    ) -> Result<Option<Setting>, MechanicsError> {
        let Some(proposal) = self.proposal(take) else {
            return Ok(None);
        };
        let setup = &proposal.rated.setup;
        let model = LockModel::new(setup.clone())?;
        let spring = match unit.aim()? {
            None => None,
            Some([least, target, most]) => {
                let factor = setup.preload[0].newtons() / target.newtons();
                Some(SettingSpring {
                    place: setup.spring_place,
                    least: times(least, factor)?,
                    target: setup.preload[0],
                    most: times(most, factor)?,
                })
            }
        };
        // the window of the file is meant as the file says, also where nobody could read it so
        let proof = unit.proof()?;
        let before = match breakaway_of(&unit.lock_setup()?, unit)? {
            (held, torque) if held == proof.held => torque,
            (_, half) => Torque::from_newton_metres(2.0 * half.newton_metres())?,
        };
        let (held, after) = breakaway_of(setup, unit)?;
        let stretched = |torque: Torque| {
            // without preload there is only drag, which a setting does not change
            let factor = if before.newton_metres() > 0.0 {
                after.newton_metres() / before.newton_metres()
            } else {
                1.0
            };
            Torque::from_newton_metres((torque.newton_metres() * factor * 10.0).round() / 10.0)
        };
        let point = |throttle: Ratio, shown: &Shown| -> Result<SettingPoint, MechanicsError> {
            let [one, two] = shown.limits.map(Torque::newton_metres);
            let share = shown.share.map_or(0.0, Ratio::value);
            Ok(SettingPoint {
                throttle,
                wanted: Ratio::new(share.min(1.0))?,
                expected: shown.share,
                case_torque: shown.through,
                between_tyres: Torque::from_newton_metres((two - one).abs())?,
            })
        };
        let throttles: Vec<Ratio> = POINTS.into_iter().map(Ratio::new).collect::<Result<_, _>>()?;
        let opened = self.course.shown(setup, Some(&throttles))?;
        let shut = self.course.shown_shut(setup)?;
        Ok(Some(Setting {
            date: date.to_string(),
            take,
            unit_id: unit.id().to_string(),
            from,
            drive: setup.drive,
            coast: setup.coast,
            faces: setup.faces,
            spring,
            locking: [model.share(Direction::Drive), model.share(Direction::Coast)],
            points: throttles
                .iter()
                .zip(&opened)
                .map(|(throttle, shown)| point(*throttle, shown))
                .collect::<Result<_, _>>()?,
            on_coast: point(Ratio::new(0.0)?, &shut)?,
            proof: Proof {
                held,
                least: stretched(proof.least)?,
                most: stretched(proof.most)?,
            },
            breakaway: after,
        }))
    }
}
