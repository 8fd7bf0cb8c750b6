//! The checked car at one moment in plain SI numbers: its loads and tyres under a force along.

use super::inputs::{CarBody, CarMoment};
use super::wheel::Wheel;
use crate::mechanics::error::{MechanicsError, above, within};
use crate::quantity::{Force, Length, Mass, Ratio, Torque, Velocity};

/// Standard gravity in m/s², exact by definition.
const GRAVITY: f64 = 9.806_65;
/// Past full sliding a tyre is given a rise of this share of the car's weight per unit of slip, so that each torque has
/// one speed; and a wheel in the air a grip of a thousandth of that. Both are far below what is shown.
const RISE: f64 = 1e-6;
/// A brake counts as holding a wheel under this share of its speed.
const STILL: f64 = 1e-4;

/// Pairs are front, rear; inner ones inside, outside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Frame {
    pub weight: f64,
    pub radius: f64,
    pub wheelbase: f64,
    pub tracks: [f64; 2],
    pub offset: Option<f64>,
    axle_weights: [f64; 2],
    downforce: [f64; 2],
    /// Newtons that leave the front for each newton of force along.
    along: f64,
    across: [f64; 2],
    sideways: [f64; 2],
    grip: [[f64; 2]; 2],
    slide: f64,
    paths: [[f64; 2]; 2],
    pub brakes: [f64; 2],
    /// Turns in rad/s of a wheel that rolls freely straight on.
    pub turns: f64,
}

/// Of each axle the most torque that both shafts take together, and that the weaker one takes.
pub(super) type Limits = [(f64, f64); 2];

/// The tyres under one force along.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tyres {
    pub loads: [[f64; 2]; 2],
    /// Share of each axle's grip that cornering takes.
    pub cornering: [f64; 2],
    pub wheels: [[Wheel; 2]; 2],
}

impl Tyres {
    /// What the shafts of each axle take, as [`Tyres::most`].
    pub(super) fn limits(&self) -> Limits {
        [self.most(0), self.most(1)]
    }

    /// The most torque that the two shafts of an axle take, and that the weaker one takes.
    pub(super) fn most(&self, axle: usize) -> (f64, f64) {
        let [inside, outside] = &self.wheels[axle];
        let (inside, outside) = (inside.most(), outside.most());
        (inside + outside, inside.min(outside))
    }
}

impl Frame {
    /// Checks what is given and brings it into SI.
    pub(super) fn new(body: &CarBody, moment: &CarMoment) -> Result<Frame, MechanicsError> {
        let (none, one, three) = (Ratio::new(0.0)?, Ratio::new(1.0)?, Ratio::new(3.0)?);
        let no_mass = Mass::from_kilograms(0.0)?;
        let mass = within("the mass of the car", body.mass, above(no_mass))?.kilograms();
        within("the mass on the front axle", body.front_mass, above(no_mass))?;
        let front = within("the mass on the front axle", body.front_mass, ..body.mass)?.kilograms();
        let track = |what, track| within(what, track, above(Length::ZERO)).map(Length::metres);
        let tracks = [
            track("the front track", body.tracks[0])?,
            track("the rear track", body.tracks[1])?,
        ];
        let wheelbase = within("the wheelbase", body.wheelbase, above(Length::ZERO))?.metres();
        let [front_track, rear_track] = body.tracks;
        let height = within(
            "the height of the centre of mass",
            body.height,
            Length::ZERO..=front_track.min(rear_track),
        )?
        .metres();
        let roll = within(
            "the front share of roll stiffness",
            body.front_roll_share,
            none..=one,
        )?
        .value();
        let radius = within("the radius of the tyre", body.tyre_radius, above(Length::ZERO))?.metres();
        let still = Velocity::from_km_per_hour(0.0)?;
        let speed = within("the speed", moment.speed, above(still))?.km_per_hour() / 3.6;
        let cornering = within("the cornering", moment.cornering, none..=three)?.value();
        for grip in moment.grip.iter().flatten() {
            within("the grip of a tyre", *grip, none..=three)?;
        }
        within("the slip of full sliding", moment.slide_slip, above(none))?;
        let slide = within("the slip of full sliding", moment.slide_slip, ..=one)?.value();
        for force in moment.downforce {
            within("the downforce", force, Force::from_newtons(0.0)?..)?;
        }
        for brake in moment.brakes {
            within("the torque of a brake", brake, Torque::from_newton_metres(0.0)?..)?;
        }
        let weight = mass * GRAVITY;
        let sideways = cornering * GRAVITY;
        let paths = if cornering > 0.0 {
            let bend = speed * speed / sideways;
            let widest = tracks[0].max(tracks[1]);
            within(
                "half the track over the radius of the bend",
                Ratio::new(widest / 2.0 / bend)?,
                ..one,
            )?;
            let front = |side: f64| speed * wheelbase.hypot(bend + side * tracks[0] / 2.0) / bend;
            let rear = |side: f64| speed * (1.0 + side * tracks[1] / 2.0 / bend);
            [[front(-1.0), front(1.0)], [rear(-1.0), rear(1.0)]]
        } else {
            [[speed; 2]; 2]
        };
        let masses = [front, mass - front];
        let shares = [roll, 1.0 - roll];
        Ok(Frame {
            weight,
            radius,
            wheelbase,
            tracks,
            offset: body.kingpin_offset.map(Length::metres),
            axle_weights: masses.map(|mass| mass * GRAVITY),
            downforce: moment.downforce.map(Force::newtons),
            along: height / wheelbase,
            across: [0, 1].map(|axle| weight * cornering * height / tracks[axle] * shares[axle]),
            sideways: masses.map(|mass| mass * sideways),
            grip: moment.grip.map(|grips| grips.map(Ratio::value)),
            slide,
            paths,
            brakes: moment.brakes.map(Torque::newton_metres),
            turns: speed / radius,
        })
    }

    /// Refuses a bend that asks more of an axle than it has with no force along.
    pub(super) fn can_be_driven(&self) -> Result<(), MechanicsError> {
        let tyres = self.tyres(0.0);
        for axle in [0, 1] {
            if tyres.cornering[axle] >= 1.0 {
                return Err(MechanicsError::TooFast {
                    wanted: Force::from_newtons(self.sideways[axle])?,
                    has: Force::from_newtons(self.grip_of(axle, &tyres))?,
                });
            }
        }
        Ok(())
    }

    /// What the tyres of an axle hold in any one direction, in newtons.
    pub(super) fn grip_of(&self, axle: usize, tyres: &Tyres) -> f64 {
        let [inside, outside] = tyres.loads[axle];
        self.grip[axle][0] * inside + self.grip[axle][1] * outside
    }

    /// The most force along that any loads could give.
    pub(super) fn most_along(&self) -> f64 {
        let best = self.grip.iter().flatten().copied().fold(0.0, f64::max);
        best * (self.weight + self.downforce[0] + self.downforce[1])
    }

    /// The tyres under a force along on the whole car.
    pub(super) fn tyres(&self, force: f64) -> Tyres {
        let all = self.weight + self.downforce[0] + self.downforce[1];
        let front = (self.axle_weights[0] + self.downforce[0] - force * self.along).clamp(0.0, all);
        let still = STILL * self.turns;
        let rise = RISE * self.weight;
        let mut cornering = [0.0; 2];
        let mut loads = [[0.0; 2]; 2];
        let wheels = [0, 1].map(|axle| {
            let load = if axle == 0 { front } else { all - front };
            let inside = (load / 2.0 - self.across[axle]).max(0.0);
            loads[axle] = [inside, load - inside];
            let grips = [0, 1].map(|side| self.grip[axle][side] * loads[axle][side]);
            if self.sideways[axle] > 0.0 {
                cornering[axle] = self.sideways[axle] / (grips[0] + grips[1]).max(f64::MIN_POSITIVE);
            }
            let rest = (1.0 - cornering[axle] * cornering[axle]).max(0.0).sqrt();
            [0, 1].map(|side| Wheel {
                path: self.paths[axle][side],
                limit: (grips[side] * rest).max(1e-3 * rise),
                brake: self.brakes[axle],
                radius: self.radius,
                slide: self.slide,
                rise,
                still,
            })
        });
        Tyres {
            loads,
            cornering,
            wheels,
        }
    }
}
