//! What a car needs of its unit, for machines.

use super::bands::{Band, MomentBands};
use super::beside::beside_json;
use super::felt::felt_json;
use super::rated::{Found, MomentResult, Rated};
use super::settled::{Proposal, Settled};
use super::settled_report::Telling;
use super::together::Together;
use crate::mechanics::whole_car::CarBalance;
use crate::mechanics::{LockSetup, MechanicsError, ramp};
use crate::quantity::{Ratio, Torque};
use crate::report::Summary;
use crate::workshop::moment::{Against, Throttle};
use serde_json::{Value, json};

fn number(ratio: Option<Ratio>) -> Value {
    ratio.map_or(Value::Null, |ratio| json!(ratio.value()))
}

pub(super) fn built(setup: &LockSetup) -> Value {
    json!({
        "drive_deg_from_ring_face": setup.drive.degrees_from_ring_face(),
        "coast_deg_from_ring_face": setup.coast.degrees_from_ring_face(),
        "faces_left": setup.faces[0], "faces_right": setup.faces[1],
        "preload_n": setup.preload[0].newtons(),
        "class": ramp::class(setup.drive, setup.coast).to_string(),
    })
}

/// One state of the car.
pub fn state(throttle: Option<Ratio>, found: &CarBalance) -> Value {
    let axle = |axle: usize| {
        let part = &found.axles[axle];
        let wheel = |side: usize| {
            let wheel = &part.wheels[side];
            json!({
                "nm": wheel.torque.newton_metres(), "load_n": wheel.load.newtons(), "slip": number(wheel.slip),
                "state": wheel.state.to_string(),
            })
        };
        json!({
            "turns": part.turns.map(|turns| turns.to_string()), "case_nm": part.torque.newton_metres(),
            "held_nm": part.held.newton_metres(), "capacity_nm": part.capacity.map(Torque::newton_metres),
            "inside": wheel(0), "outside": wheel(1), "runs_wide": part.runs_wide(),
        })
    };
    json!({
        "throttle": number(throttle), "asked_nm": found.asked.newton_metres(), "through_nm": found.through.newton_metres(),
        "front": axle(0), "rear": axle(1),
        "centre": found.centre.map(|centre| json!({
            "turns": centre.turns.to_string(), "moved_nm": centre.moved.newton_metres(),
            "most_moved_nm": centre.most_moved.map(Torque::newton_metres),
        })),
        "ahead_g": found.ahead.value(), "yaw_nm": found.yaw.newton_metres(),
        "yaw_share_of_front_grip": number(found.front_grip), "tug_nm": found.tug.map(Torque::newton_metres),
        "second_answer": found.second,
    })
}

fn against(against: Against) -> Value {
    match against {
        Against::Torque(torque) => json!({ "nm": torque.newton_metres() }),
        Against::FrontGrip(share) => json!({ "front_grip_share": share.value() }),
    }
}

fn result(name: &str, result: &MomentResult) -> Value {
    let met: Vec<Value> = result
        .met
        .iter()
        .map(|met| {
            json!({
                "want": met.want.words(), "short_share": met.short.value(),
                "found": match met.found {
                    Found::One { from, to } => json!({ "one_from_throttle": number(from), "one_to_throttle": number(to) }),
                    Found::Share(share) => json!({ "share": number(share) }),
                    Found::Against(found) => found.map_or(Value::Null, against),
                },
            })
        })
        .collect();
    json!({
        "moment": name, "one_from_throttle": number(result.one_from), "one_to_throttle": number(result.one_to),
        "tyres_cap_from_throttle": number(result.caps_from),
        "puts_down_share": number(result.puts_down), "against_nm": result.against.newton_metres(),
        "against_share_of_front_grip": number(result.against_share), "short_share": result.short.value(), "wants": met,
        "states": result.states.iter().map(|(throttle, found)| state(Some(*throttle), found)).collect::<Vec<_>>(),
    })
}

fn rated(settled: &Settled, rated: &Rated) -> Value {
    let names = settled
        .course
        .stages
        .iter()
        .map(|stage| stage.moment.name.as_str());
    json!({
        "setting": built(&rated.setup), "worst_share": rated.worst.value(), "mean_share": rated.mean.value(),
        "moments": names.zip(&rated.results).map(|(name, one)| result(name, one)).collect::<Vec<_>>(),
    })
}

fn bands(bands: &[MomentBands]) -> Value {
    let band = |band: &Band| json!({ "least": band.least, "most": band.most });
    let all = bands.iter().map(|bands| {
        json!({
            "one_from_throttle": bands.one_from.as_ref().map(band),
            "puts_down_share": bands.puts_down.as_ref().map(band), "against_nm": band(&bands.against),
        })
    });
    Value::Array(all.collect())
}

fn proposal(settled: &Settled, one: &Proposal) -> Value {
    json!({
        "rated": rated(settled, &one.rated), "bands": bands(&one.bands), "differs": one.differs,
        "changes": one.cost.changes, "faces_in_all": one.cost.faces,
        "heat_a_face_w": one.cost.heat_a_face.kilowatts() * 1000.0,
        "alike": one.alike.iter().map(built).collect::<Vec<_>>(),
    })
}

impl Settled {
    /// All of it, with what steps change of what was said.
    pub(super) fn summary(&self, told: &Telling<'_>) -> Result<Summary, MechanicsError> {
        let [car, wanted, unit] = &self.names;
        let moments: Vec<Value> = self
            .course
            .stages
            .iter()
            .map(|stage| {
                json!({
                    "moment": stage.moment.name, "weight": stage.moment.weight.value(),
                    "shut": stage.moment.throttle == Throttle::Shut, "gear": stage.at.gear, "engine_rpm": stage.at.rpm,
                    "torque_known_at_rpm": stage.at.within, "speed_km_per_h": stage.speed.km_per_hour(),
                    "cornering_g": stage.moment.cornering.value(), "full_at_wheels_nm": stage.at.full.newton_metres(),
                    "shut_at_wheels_nm": -stage.at.drag.newton_metres(), "both_could_nm": stage.could.newton_metres(),
                })
            })
            .collect();
        let unmet: Vec<Value> = self
            .unmet
            .iter()
            .map(|(n, want)| {
                let moment = self.course.stages.get(*n).map(|stage| stage.moment.name.as_str());
                json!({ "moment": moment, "want": want.words() })
            })
            .collect();
        let [steps, pairs, complaints] = told.steps.json();
        let [felt, agreement] = felt_json(&self.course, told.felt)?;
        Ok(Summary::told(
            "settle",
            json!({
                "car": car, "use": wanted, "unit": self.unit_id, "unit_name": unit, "unit_in": self.course.place.word(),
                "taken_as": self.taken_as, "compared": self.compared, "moments": moments,
                "now": rated(self, &self.now), "now_bands": bands(&self.now_bands),
                "proposals": self.proposals.iter().map(|one| proposal(self, one)).collect::<Vec<_>>(),
                "taken": told.take, "met_by_nothing_offered": unmet,
                "guesses": self.moves.iter().map(|moves| json!({
                    "guess": moves.doubt.guess.words(), "least_share": moves.doubt.apart[0],
                    "most_share": moves.doubt.apart[1], "moves_share": moves.by.value(),
                })).collect::<Vec<_>>(),
                "cars": beside_json(told.cars), "season": beside_json(told.season),
                "together": told.together.map(Together::json),
                "guessed": self.guessed.iter().map(|figure| figure.key()).collect::<Vec<_>>(),
                "guessed_unit": self.guessed_unit.iter().map(|figure| figure.key()).collect::<Vec<_>>(),
                "driven": told.driven.map(|driven| rated(self, &driven.rated)),
                "driven_words": told.driven.map(|driven| driven.words.as_str()),
                "steps_from": built(&told.steps.from), "steps": steps, "two_steps": pairs, "complaints": complaints,
                "felt": felt, "felt_as_predicted": agreement,
            }),
        ))
    }
}
