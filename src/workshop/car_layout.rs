//! The parts of a car as its file has them: where the unit sits, what the engine gives, and what lies beyond the unit's own axle.

use crate::document::Section;
use crate::quantity::{Force, Length, Torque, Velocity};

/// Where a unit sits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Place {
    /// In the front axle.
    Front,
    /// Between the axles.
    Centre,
    /// In the rear axle.
    Rear,
}

impl Place {
    /// Every place with the word for it.
    pub const WORDS: &[(Place, &str)] = &[
        (Place::Front, "front"),
        (Place::Centre, "centre"),
        (Place::Rear, "rear"),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Place::Front => "front",
            Place::Centre => "centre",
            Place::Rear => "rear",
        }
    }
}

/// What a car has at its wheels in a gear at a speed, at full throttle and with the throttle shut.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AtWheels {
    /// Which gear, from 1.
    pub gear: u32,
    /// Revolutions of the engine in a minute that follow, without slip.
    pub rpm: f64,
    /// Whether the file gives torque at these revolutions; else that of the nearest that it gives is taken.
    pub within: bool,
    /// Torque at all driven wheels together at full throttle.
    pub full: Torque,
    /// Torque of the engine's drag there, as a size.
    pub drag: Torque,
}

/// The engine's torque at full throttle.
#[derive(Clone, PartialEq, Debug)]
pub enum Engine {
    /// One figure for every speed.
    One(Torque),
    /// Torque over revolutions in a minute, rising in these.
    Points(Vec<(u32, Torque)>),
}

impl Engine {
    /// Torque at a speed, that of the nearest end beyond the points, and whether it lies between them; one torque is that of
    /// every speed.
    pub(super) fn near(&self, rpm: f64) -> Option<(Torque, bool)> {
        let points = match self {
            Engine::One(torque) => return Some((*torque, true)),
            Engine::Points(points) => points,
        };
        let (first, last) = (points.first()?, points.last()?);
        let within = (f64::from(first.0)..=f64::from(last.0)).contains(&rpm);
        let rpm = rpm.clamp(f64::from(first.0), f64::from(last.0));
        let beyond = points.iter().position(|(speed, _)| f64::from(*speed) >= rpm)?;
        let after = points.get(beyond)?;
        let before = points.get(beyond.saturating_sub(1))?;
        let span = f64::from(after.0 - before.0);
        let part = if span > 0.0 {
            (rpm - f64::from(before.0)) / span
        } else {
            0.0
        };
        let (low, high) = (before.1.newton_metres(), after.1.newton_metres());
        let torque = Torque::from_newton_metres(low + part * (high - low)).ok()?;
        Some((torque, within))
    }

    /// Torque at a speed, on straight lines between the points, with that speed; without a speed the greatest torque.
    pub(super) fn at(&self, rpm: Option<u32>) -> Option<(Torque, Option<u32>)> {
        let points = match (self, rpm) {
            (Engine::One(torque), None) => return Some((*torque, None)),
            (Engine::One(_), Some(_)) => return None,
            (Engine::Points(points), _) => points,
        };
        let Some(rpm) = rpm else {
            let best = points
                .iter()
                .max_by(|a, b| a.1.newton_metres().total_cmp(&b.1.newton_metres()))?;
            return Some((best.1, Some(best.0)));
        };
        if let Some((_, torque)) = points.iter().find(|(speed, _)| *speed == rpm) {
            return Some((*torque, Some(rpm)));
        }
        let pair = points
            .windows(2)
            .find(|pair| (pair[0].0..=pair[1].0).contains(&rpm))?;
        let part = f64::from(rpm - pair[0].0) / f64::from(pair[1].0 - pair[0].0);
        let (low, high) = (pair[0].1.newton_metres(), pair[1].1.newton_metres());
        let torque = Torque::from_newton_metres(low + part * (high - low)).ok()?;
        Some((torque, Some(rpm)))
    }
}

/// Force of the air on the axles at a speed; it grows with the square of it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Air {
    /// The speed, above 0.
    pub at: Velocity,
    /// On the front and on the rear axle, not below 0.
    pub downforce: [Force; 2],
}

/// What joins the axles where the centre has no plate unit.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CentreKind {
    /// Gears that split the torque and hold nothing.
    Open,
    /// One piece.
    Solid,
}

/// What is known of the whole car; all of it may be left out of the file.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Layout {
    /// Track of the axle that the unit does not sit in; `None`: the same.
    pub other_track: Option<Length>,
    /// What joins the axles.
    pub centre: CentreKind,
    /// Whether the centre sits before the final drives, so that they multiply what it holds.
    pub before_final: bool,
    /// From the steering axis to the middle of the front wheel.
    pub kingpin_offset: Option<Length>,
    /// The air.
    pub air: Option<Air>,
}

/// Reads it from the top of a car's file.
pub(super) fn read_layout(top: &Section<'_>) -> Layout {
    let other_track = top.quantity_maybe_where("other_track", "at least 0.5 m and at most 3 m");
    let kinds = [(CentreKind::Open, "open"), (CentreKind::Solid, "solid")];
    let centre = top.word_maybe("centre", &kinds).unwrap_or(CentreKind::Open);
    let places = [
        (true, "before the final drives"),
        (false, "behind the final drives"),
    ];
    let before_final = top.word_maybe("centre_place", &places).unwrap_or(true);
    let kingpin_offset = top.quantity_maybe_where("kingpin_offset", "at least -0.3 m and at most 0.3 m");
    let air = top.section_maybe("air").and_then(|section| {
        let at = section.quantity_where("at", "more than 0 km/h and at most 500 km/h");
        let force = "at least 0 N and at most 100000 N";
        let front = section.quantity_where("front", force);
        let rear = section.quantity_where("rear", force);
        section.finish();
        Some(Air {
            at: at?,
            downforce: [front?, rear?],
        })
    });
    Layout {
        other_track,
        centre,
        before_final,
        kingpin_offset,
        air,
    }
}
