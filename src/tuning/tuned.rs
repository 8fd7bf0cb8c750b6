//! What a car needs of its unit for a use: the best settings, ranked, and one of them looked at closely.

use super::curves::{Curves, Pictures};
use crate::mechanics::tune::{Change, Complaint, Effect, Measure, Near, Proposal, Step, Trial};
use crate::mechanics::{DrivenAxle, LockModel, LockSetup, MechanicsError, RampFor, ramp};
use crate::quantity::{RampAngle, Ratio, Torque};
use crate::report::Summary;
use crate::workshop::{Car, CarFigure, OperatingPoint, UnitFigure, UnitFile, Use};
use serde_json::{Value, json};

/// How many proposals are kept.
const BEST: usize = 10;

/// What a car needs of its unit for a use, worked out before the unit is opened.
#[derive(Clone, PartialEq, Debug)]
pub struct Tuned {
    /// Names of car, use and unit.
    pub names: [String; 3],
    /// The gear and the speed that were settled for.
    pub at: OperatingPoint,
    /// The car on its surface, with the target.
    pub trial: Trial,
    /// The unit's id.
    pub unit_id: String,
    /// The unit as it is.
    pub unit: LockSetup,
    /// What it does.
    pub now: Effect,
    /// How far it is off the target.
    pub off: Ratio,
    /// The least throttle at which it turns the axle as one.
    pub now_locks_at: Option<Ratio>,
    /// The best combinations, the nearest to the target first; never empty.
    pub best: Vec<Proposal>,
    /// The least throttle at which each of them turns the axle as one.
    pub locks_at: Vec<Option<Ratio>>,
    /// What it can be stepped to.
    pub near: Near,
    /// The figures of the car that are estimates.
    pub guessed: Vec<CarFigure>,
    /// The figures of the unit that are estimates.
    pub guessed_unit: Vec<UnitFigure>,
    /// What acts on each complaint, from the unit as it is: steps that move its measure the wanted way.
    pub complaints: Vec<(Complaint, Vec<Step>)>,
}

/// One of the proposals, looked at closely.
#[derive(Clone, PartialEq, Debug)]
pub struct Picked {
    /// Which, from 1.
    pub take: u32,
    /// The proposal.
    pub proposal: Proposal,
    /// The least throttle at which it turns the axle as one.
    pub locks_at: Option<Ratio>,
    /// With its faces and its preload: the ramp for each of the target's points, and for coast.
    pub exact: (Vec<RampFor>, RampFor),
    /// What one step from it makes.
    pub steps: Vec<Step>,
    /// What is drawn of it.
    pub pictures: Pictures,
}

impl Tuned {
    /// One of the proposals, counted from 1; `None` where there is no such proposal.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn pick(&self, take: u32) -> Result<Option<Picked>, MechanicsError> {
        let index = (take as usize).wrapping_sub(1);
        let (Some(proposal), Some(locks_at)) = (self.best.get(index), self.locks_at.get(index)) else {
            return Ok(None);
        };
        let setup = &proposal.setup;
        Ok(Some(Picked {
            take,
            proposal: proposal.clone(),
            locks_at: *locks_at,
            exact: self.trial.exact(setup)?,
            steps: self.trial.steps(setup, &self.near)?,
            pictures: Pictures::new(&self.trial, &self.unit, setup)?,
        }))
    }

    /// Settles a unit for a car and a use.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn new(
        car: &Car,
        wanted: &Use,
        unit: &UnitFile,
        complaints: &[Complaint],
    ) -> Result<Tuned, MechanicsError> {
        let axle = DrivenAxle::new(car.setup()?, wanted.surface)?;
        let trial = Trial::new(axle, wanted.target.clone())?;
        let (setup, near) = (unit.lock_setup()?, unit.near());
        let model = LockModel::new(setup.clone())?;
        let now = trial.effect(&model)?;
        let now_locks_at = trial.axle().locks_at(&model)?;
        let best = trial.best(&setup, unit.offer(), BEST)?;
        let locks_at = best
            .iter()
            .map(|one| trial.axle().locks_at(&LockModel::new(one.setup.clone())?))
            .collect::<Result<_, _>>()?;
        let from_now = trial.steps(&setup, &near)?;
        let complaints = complaints
            .iter()
            .map(|complaint| {
                let (measure, up) = complaint.measure();
                let helps = |step: &&Step| {
                    let moved = step.effect.value(measure) - now.value(measure);
                    // wear is what happens, not what is done; less than this is no help
                    let enough = 1e-3 * now.value(measure).abs().max(1e-3);
                    !matches!(step.change, Change::Worn(_))
                        && if up { moved > enough } else { -moved > enough }
                };
                (*complaint, from_now.iter().filter(helps).cloned().collect())
            })
            .collect();
        Ok(Tuned {
            names: [car.name.clone(), wanted.name.clone(), unit.name().to_string()],
            unit_id: unit.id().to_string(),
            at: car.at,
            guessed: car.guessed.clone(),
            guessed_unit: unit.guessed().to_vec(),
            near,
            off: trial.distance(&now)?,
            now_locks_at,
            unit: setup,
            trial,
            now,
            best,
            locks_at,
            complaints,
        })
    }

    /// What is guessed of the car, in a sentence; `None` where nothing is.
    pub fn guesses(&self) -> Option<String> {
        let car = self.guessed.iter().map(|figure| figure.words());
        let unit = self.guessed_unit.iter().map(|figure| figure.words());
        let words: Vec<&str> = car.chain(unit).collect();
        (!words.is_empty()).then(|| {
            format!(
                "Guess, nobody knew: {}. All that follows rests on it too.",
                words.join(", ")
            )
        })
    }

    /// The same for machines, with one of the proposals looked at closely.
    pub(super) fn summary(&self, picked: &Picked) -> Summary {
        let [car, wanted, unit] = &self.names;
        let state = self.trial.full();
        let proposals: Vec<Value> = self
            .best
            .iter()
            .zip(&self.locks_at)
            .map(|(one, locks_at)| {
                json!({
                    "drive_deg_from_ring_face": one.setup.drive.degrees_from_ring_face(),
                    "coast_deg_from_ring_face": one.setup.coast.degrees_from_ring_face(),
                    "faces_left": one.setup.faces[0], "faces_right": one.setup.faces[1],
                    "preload_n": one.setup.preload[0].newtons(), "changes": one.changes,
                    "class": ramp::class(one.setup.drive, one.setup.coast).to_string(),
                    "off_target_share": one.distance.value(), "locks_at_throttle": number(*locks_at),
                    "effect": effect(&one.effect),
                })
            })
            .collect();
        let points: Vec<Value> = self
            .trial
            .target()
            .drive
            .iter()
            .zip(&picked.exact.0)
            .map(|(point, asked)| {
                json!({
                    "throttle": point.throttle.value(), "lock_share": point.share.value(), "exact": asked_for(asked),
                })
            })
            .collect();
        let complaints: Vec<Value> = self
            .complaints
            .iter()
            .map(|(complaint, helps)| {
                let (measure, up) = complaint.measure();
                json!({
                    "complaint": complaint_words(*complaint), "measure": measure_key(measure), "should_rise": up,
                    "now": self.now.value(measure),
                    "helps": helps.iter().map(|step| {
                        json!({ "change": change(&step.change), "then": step.effect.value(measure) })
                    }).collect::<Vec<_>>(),
                })
            })
            .collect();
        Summary(json!({
            "car": car, "use": wanted, "unit": self.unit_id, "unit_name": unit,
            "gear": self.at.gear, "engine_rpm": self.at.rpm, "speed_km_per_h": self.at.kilometres_an_hour,
            "full_throttle": {
                "case_torque_nm": state.case_torque.newton_metres(), "capped_by_tyres": state.capped,
                "inside_load_n": state.loads.inside.newtons(), "outside_load_n": state.loads.outside.newtons(),
                "low_side_nm": state.reaction.low.newton_metres(), "high_side_nm": state.reaction.high.newton_metres(),
            },
            "coast_case_torque_nm": self.trial.coast().case_torque.newton_metres(),
            "now": {
                "off_target_share": self.off.value(), "locks_at_throttle": number(self.now_locks_at),
                "effect": effect(&self.now),
            },
            "guessed_unit": self.guessed_unit.iter().map(|figure| figure.key()).collect::<Vec<_>>(),
            "guessed": self.guessed.iter().map(|figure| figure.key()).collect::<Vec<_>>(),
            "best": proposals,
            "taken": picked.take,
            "curve": picked.pictures.taken.share.iter().map(|(throttle, share)| {
                json!({ "throttle": throttle.value(), "lock_share": share.value() })
            }).collect::<Vec<_>>(),
            "edges": json!({ "now": edges(&picked.pictures.now), "taken": edges(&picked.pictures.taken) }),
            "target": {
                "drive": points,
                "coast": { "lock_share": self.trial.target().coast.value(), "exact": asked_for(&picked.exact.1) },
            },
            "steps": picked.steps.iter().map(|step| {
                json!({
                    "change": change(&step.change), "effect": effect(&step.effect),
                    "locks_at_throttle": number(step.locks_at),
                })
            }).collect::<Vec<_>>(),
            "complaints": complaints,
        }))
    }
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

/// The edges of what the packs hold, in the plane of torques at the two wheels.
fn edges(drawn: &Curves) -> Value {
    let pairs = |points: &[(Torque, Torque)]| -> Vec<Value> {
        points
            .iter()
            .map(|(more, less)| json!({ "more_nm": more.newton_metres(), "less_nm": less.newton_metres() }))
            .collect()
    };
    json!({ "drive": pairs(&drawn.drive), "coast": pairs(&drawn.coast) })
}

fn number(ratio: Option<Ratio>) -> Value {
    ratio.map_or(Value::Null, |ratio| json!(ratio.value()))
}

fn effect(effect: &Effect) -> Value {
    json!({
        "drive_lock_shares": effect.drive.iter().map(|share| number(*share)).collect::<Vec<_>>(),
        "coast_lock_share": number(effect.coast), "preload_nm": effect.preload.newton_metres(),
        "usable_case_torque_nm": effect.usable.newton_metres(), "grip_used_share": number(effect.grip_used),
        "drive_yaw_moment_nm": effect.yaw.first().copied().map(Torque::newton_metres),
        "coast_yaw_moment_nm": effect.yaw.last().copied().map(Torque::newton_metres),
    })
}

fn asked_for(asked: &RampFor) -> Value {
    match asked {
        RampFor::Ramp(ramp) => json!({ "deg_from_ring_face": ramp.degrees_from_ring_face() }),
        RampFor::HeldWithout => json!("held without a ramp"),
        RampFor::OutOfReach => json!("out of reach"),
    }
}

fn change(change: &Change) -> Value {
    let degrees = |ramp: &RampAngle| ramp.degrees_from_ring_face();
    match change {
        Change::Faces(faces) => json!({ "faces": faces }),
        Change::Drive(ramp) => json!({ "drive_deg_from_ring_face": degrees(ramp) }),
        Change::Coast(ramp) => json!({ "coast_deg_from_ring_face": degrees(ramp) }),
        Change::Preload(force) => json!({ "preload_n": force.newtons() }),
        Change::Worn(force) => json!({ "worn_preload_n": force.newtons() }),
        Change::Friction(friction) => json!({ "plate_friction": friction.value() }),
    }
}

fn measure_key(measure: Measure) -> &'static str {
    match measure {
        Measure::CoastMoment => "coast_yaw_moment_nm",
        Measure::DriveMoment => "drive_yaw_moment_nm",
        Measure::Usable => "usable_case_torque_nm",
        Measure::Preload => "preload_nm",
        Measure::DriveShare => "last_drive_lock_share",
    }
}
