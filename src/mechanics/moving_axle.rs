//! A driven axle at one moment of the car's way: which wheel gets what, and whether the axle turns as one.

use super::axle::{Axle, WheelLoads};
use super::error::{MechanicsError, above, within};
use super::lock::LockModel;
use super::setup::Direction;
use crate::quantity::{Force, Length, Mass, Ratio, Torque, Velocity};
use std::fmt;

/// Standard gravity in m/s², exact by definition.
const GRAVITY: f64 = 9.806_65;
/// Into how many parts the way from no torque to the one that is asked for is cut, to find where a tyre gives up.
const PARTS: usize = 200;
/// Past full sliding a tyre is given a rise of this share of the car's weight per unit of slip, so that each torque has
/// one speed. It is far below what is shown.
const RISE: f64 = 1e-6;

/// What is given of one axle at one moment. Pairs are inside, outside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AxleMoment {
    /// Mass of the car, above 0.
    pub mass: Mass,
    /// Mass that rests on this axle, above 0 and at most all of it.
    pub axle_mass: Mass,
    /// Which axle it is.
    pub axle: Axle,
    /// Distance between its wheels, above 0.
    pub track: Length,
    /// Distance between the axles, above 0.
    pub wheelbase: Length,
    /// Height of the centre of mass, 0 to the track.
    pub height: Length,
    /// Share of the roll stiffness that this axle has, 0 to 1.
    pub roll_share: Ratio,
    /// Radius of the rolling tyre, above 0.
    pub tyre_radius: Length,
    /// Share of the drive that goes to this axle, above 0 and at most 1.
    pub drive_share: Ratio,
    /// Speed of the middle of the axle, above 0.
    pub speed: Velocity,
    /// Cornering as a multiple of standard gravity, 0 to 3.
    pub cornering: Ratio,
    /// Grip of the inside and the outside tyre as a whole, 0 to 3.
    pub grip: [Ratio; 2],
    /// Slip from which on a tyre slides fully, above 0 and at most 1.
    pub slide_slip: Ratio,
    /// Force of the air on this axle, not below 0.
    pub downforce: Force,
    /// Torque that is asked for at the case; below 0 with the throttle shut.
    pub torque: Torque,
}

/// The state that an axle is in.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum AxleTurns {
    /// Both wheels turn at one speed.
    AsOne,
    /// The packs slip, and the outside wheel is the faster one: the moment is against the turn.
    OutsideFaster,
    /// The packs slip, and the inside wheel is the faster one, both tyres still gripping.
    InsideFaster,
    /// The inside tyre is at its limit: on drive it spins, with the throttle shut it slides.
    InsideSpins,
    /// The outside tyre is at its limit.
    OutsideSpins,
    /// Both tyres are at their limit.
    BothSpin,
}

impl fmt::Display for AxleTurns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            AxleTurns::AsOne => "one",
            AxleTurns::OutsideFaster => "outside-faster",
            AxleTurns::InsideFaster => "inside-faster",
            AxleTurns::InsideSpins => "inside-spins",
            AxleTurns::OutsideSpins => "outside-spins",
            AxleTurns::BothSpin => "both-spin",
        })
    }
}

/// What comes out of the balance. Pairs are inside, outside.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AxleBalance {
    /// The state that follows.
    pub turns: AxleTurns,
    /// Torque that goes through the case, with the sign of what is asked for and at most as large.
    pub case_torque: Torque,
    /// Torque at each wheel.
    pub wheels: [Torque; 2],
    /// Difference of the two, as a size: what the packs hold.
    pub held: Torque,
    /// Difference that the packs can hold at this torque.
    pub capacity: Torque,
    /// Slip of each tyre along; `None` for one that spins or slides, which has no speed of its own.
    pub slip: [Option<Ratio>; 2],
    /// Loads on the tyres.
    pub loads: WheelLoads,
    /// How the drive of the whole car pushes it, as a multiple of standard gravity.
    pub ahead: Ratio,
    /// Moment about the upright axis of the difference between left and right; above 0 it turns the car in.
    pub yaw: Torque,
    /// That moment over the wheelbase, as a share of the grip of the front tyres; `None` where they carry nothing.
    pub front_grip: Option<Ratio>,
    /// Whether the whole torque could go through as well once it had been carried over: a stab of the throttle does that
    /// where the inside wheel hangs in the air until the car leans back on it.
    pub second: bool,
}

/// The balance in plain SI numbers, with what stays the same while the torque rises.
struct Frame<'l> {
    lock: &'l LockModel,
    direction: Direction,
    /// −1 with the throttle shut.
    sense: f64,
    weight: f64,
    axle_weight: f64,
    downforce: f64,
    /// Newtons of load that the axle gains per newton of drive force of the car.
    gain_along: f64,
    across: f64,
    sideways: f64,
    grip: [f64; 2],
    radius: f64,
    share: f64,
    slide: f64,
    /// Speeds of the paths against that of the middle.
    paths: [f64; 2],
    rise: f64,
}

/// The tyres at one torque.
#[derive(Clone, Copy)]
struct Tyres {
    loads: [f64; 2],
    /// Share of the grip that cornering takes.
    cornering: f64,
    /// Force that each has left along.
    left: [f64; 2],
}

impl Frame<'_> {
    fn tyres(&self, size: f64) -> Tyres {
        let along = self.sense * size / self.radius / self.share * self.gain_along;
        let load = (self.axle_weight + self.downforce + along).clamp(0.0, self.weight + self.downforce);
        let inside = (load / 2.0 - self.across).max(0.0);
        let loads = [inside, load - inside];
        let grips = [0, 1].map(|i| self.grip[i] * loads[i]);
        let cornering = if self.sideways > 0.0 {
            self.sideways / (grips[0] + grips[1])
        } else {
            0.0
        };
        let rest = (1.0 - cornering * cornering).max(0.0).sqrt();
        Tyres {
            loads,
            cornering,
            left: grips.map(|grip| grip * rest),
        }
    }

    fn capacity(&self, size: f64) -> Result<f64, MechanicsError> {
        let torque = Torque::from_newton_metres(size)?;
        Ok(self
            .lock
            .torque_difference(self.direction, torque)?
            .newton_metres())
    }

    /// What is left before both tyres, and before the weaker one, give up; below 0 past it.
    fn slack(&self, size: f64) -> Result<[f64; 2], MechanicsError> {
        let left = self.tyres(size).left.map(|force| self.radius * force);
        let weaker = left[0].min(left[1]);
        Ok([
            left[0] + left[1] - size,
            2.0 * weaker + self.capacity(size)? - size,
        ])
    }

    /// The first size of torque, up to the one asked for, at which a tyre gives up; and whether all of it goes through
    /// again further on.
    fn through(&self, asked: f64) -> Result<(f64, bool), MechanicsError> {
        let goes = |size: f64| -> Result<bool, MechanicsError> {
            let [both, weaker] = self.slack(size)?;
            Ok(both >= 0.0 && weaker >= 0.0)
        };
        let mut low = 0.0;
        for part in 1..=PARTS {
            let mut high = asked * part as f64 / PARTS as f64;
            if goes(high)? {
                low = high;
                continue;
            }
            for _ in 0..80 {
                let middle = 0.5 * (low + high);
                if goes(middle)? {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            return Ok((low, goes(asked)?));
        }
        Ok((asked, false))
    }

    /// Slip at which a tyre gives a force along.
    fn slip(&self, force: f64, most: f64) -> f64 {
        let size = force.abs();
        let slip = if size > most {
            self.slide + (size - most) / self.rise
        } else if most > 0.0 {
            self.slide * (1.0 - (1.0 - size / most).cbrt())
        } else {
            0.0
        };
        slip.copysign(force)
    }

    /// Force along of a tyre at a slip.
    fn force(&self, slip: f64, most: f64) -> f64 {
        let part = 1.0 - (slip.abs() / self.slide).min(1.0);
        let past = (slip.abs() - self.slide).max(0.0) * self.rise;
        (most * (1.0 - part * part * part) + past).copysign(slip)
    }

    /// Speed of a wheel's tread against that of the axle's middle, at a torque on the wheel.
    fn speed(&self, wheel: usize, torque: f64, tyres: &Tyres) -> f64 {
        self.paths[wheel] * (1.0 + self.slip(torque / self.radius, tyres.left[wheel]))
    }

    /// Torques at the wheels, inside and outside, where no tyre has given up, with the state.
    fn gripping(&self, torque: f64, capacity: f64, tyres: &Tyres) -> (AxleTurns, [f64; 2]) {
        let with = |difference: f64| [0.5 * (torque - difference), 0.5 * (torque + difference)];
        let speeds = |wheels: [f64; 2]| [0, 1].map(|i| self.speed(i, wheels[i], tyres));
        let inside_faster = with(capacity);
        let [inside, outside] = speeds(inside_faster);
        if outside < inside {
            return (AxleTurns::InsideFaster, inside_faster);
        }
        let outside_faster = with(-capacity);
        let [inside, outside] = speeds(outside_faster);
        if outside > inside {
            return (AxleTurns::OutsideFaster, outside_faster);
        }
        // one speed: between those at which each would take half
        let ends = speeds(with(0.0));
        let (mut low, mut high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        let at =
            |speed: f64| [0, 1].map(|i| self.radius * self.force(speed / self.paths[i] - 1.0, tyres.left[i]));
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            let [inside, outside] = at(middle);
            if inside + outside < torque {
                low = middle;
            } else {
                high = middle;
            }
        }
        let [inside, _] = at(0.5 * (low + high));
        (AxleTurns::AsOne, [inside, torque - inside])
    }
}

/// Which state the axle is in at one moment, and what goes where. The state follows; it is not chosen.
///
/// ```text
/// F  = T/R                                       drive force of the axle; F/s that of the car
/// N  = m_a g + A ± (F/s) h/L                     + rear, − front; between 0 and m g + A
/// ΔN = m a_y g h/w · q,   N_in = max(0, N/2 − ΔN),   N_out = N − N_in
/// u  = m_a a_y g/(μ_in N_in + μ_out N_out)       share of the grip that cornering takes
/// P  = μ N √(1 − u²)                             what a tyre has left along
/// δ  = w a_y g/(2 v²)                            half the difference of the paths' speeds
/// κ  = c/(1 ∓ δ) − 1,   c = ω R/v                slip, inside and outside
/// F_x = sign(κ) P (1 − (1 − min(|κ|/κ_s, 1))³)   brush tyre, parabolic pressure
/// ΔT = R (F_x,out − F_x,in),   |ΔT| ≤ C(T)       what the packs hold
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | m, m_a | `moment.mass`, `moment.axle_mass` | kg, above 0; m_a at most m |
/// | +, − | `moment.axle` | – |
/// | w | `moment.track` | m, above 0 |
/// | L | `moment.wheelbase` | m, above 0 |
/// | h | `moment.height` | m, 0 to w |
/// | q | `moment.roll_share` | share, 0 to 1 |
/// | R | `moment.tyre_radius` | m, above 0 |
/// | s | `moment.drive_share` | share, above 0, at most 1 |
/// | v | `moment.speed` | m/s, above 0; δ below 1 |
/// | a_y | `moment.cornering` | multiples of g, 0 to 3; u below 1 with no torque |
/// | g | standard gravity | 9.80665 m/s² |
/// | μ_in, μ_out | `moment.grip` | ratio, 0 to 3 |
/// | κ_s | `moment.slide_slip` | share, above 0, at most 1 |
/// | A | `moment.downforce` | N, 0 and above |
/// | T | `moment.torque` | N·m, below 0 with the throttle shut |
/// | C(T) | `lock`, [`LockModel::torque_difference`], which is never capped at T | N·m |
///
/// *As one*: one speed fits T, and the ΔT that it needs is at most C. *Outside faster*: ΔT = −C. *Inside faster*: ΔT
/// = +C. *Spins*: a tyre is at its limit, and only the T' goes through that is found by raising the torque from 0,
/// with the loads of T'; what the engine gives more only spins the wheel.
///
/// Left out: suspension, transients, temperature of the tyres, grip that falls past its peak, roll centres, and the
/// sideways grip that a spinning tyre loses.
///
/// Source: balance of forces; the friction circle with both tyres used alike sideways (common practice, no source);
/// the brush tyre after S. Gäfvert and J. Svendenius, *Construction of novel semi-empirical tire models for combined
/// braking and cornering*, TFRT-7606, Lund 2003, and H. B. Pacejka, *Tyre and Vehicle Dynamics*, ch. 3.
///
/// # Errors
///
/// An input out of range; a bend that asks more of the tyres than they have, or that is tighter than half the track.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::{Axle, AxleMoment, AxleTurns, LockModel, LockSetup, SpringPlace, moving_axle::balance};
/// use shimwright::quantity::{Force, Length, Mass, RampAngle, Ratio, Torque, Velocity};
/// let (ratio, mm) = (Ratio::new, |mm: i64| Length::from_um(1000 * mm));
/// // an open unit: no face rubs, so both wheels get the same, and the inside one gives up first
/// let open = LockModel::new(LockSetup {
///     faces: [0, 0], friction: ratio(0.1)?, friction_radius: mm(40), pin_radius: mm(30),
///     drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: ratio(0.0)?,
///     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// })?;
/// let moment = AxleMoment {
///     mass: Mass::from_kilograms(1250.0)?, axle_mass: Mass::from_kilograms(600.0)?, axle: Axle::Rear,
///     track: mm(1500), wheelbase: mm(2600), height: mm(480), roll_share: ratio(0.45)?, tyre_radius: mm(310),
///     drive_share: ratio(1.0)?, speed: Velocity::from_km_per_hour(50.4)?, cornering: ratio(0.44)?,
///     grip: [ratio(0.4)?, ratio(1.1)?], slide_slip: ratio(0.1)?, downforce: Force::from_newtons(0.0)?,
///     torque: Torque::from_newton_metres(2000.0)?,
/// };
/// let found = balance(&moment, &open)?;
/// assert_eq!(found.turns, AxleTurns::InsideSpins);
/// assert!(found.case_torque < moment.torque && found.yaw.newton_metres().abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn balance(moment: &AxleMoment, lock: &LockModel) -> Result<AxleBalance, MechanicsError> {
    let frame = frame(moment, lock)?;
    let asked = moment.torque.newton_metres().abs();
    let at_rest = frame.tyres(0.0);
    if frame.sideways > 0.0 && at_rest.cornering >= 1.0 {
        let has: f64 = [0, 1].map(|i| frame.grip[i] * at_rest.loads[i]).iter().sum();
        return Err(MechanicsError::TooFast {
            wanted: Force::from_newtons(frame.sideways)?,
            has: Force::from_newtons(has)?,
        });
    }
    let (size, second) = frame.through(asked)?;
    let tyres = frame.tyres(size);
    let capacity = frame.capacity(size)?;
    let torque = frame.sense * size;
    let (turns, wheels) = if size < asked {
        let [both, weaker] = frame.slack(size)?;
        let limits = tyres.left.map(|force| frame.sense * frame.radius * force);
        if both <= weaker {
            (AxleTurns::BothSpin, [limits[0], torque - limits[0]])
        } else if tyres.left[0] <= tyres.left[1] {
            (AxleTurns::InsideSpins, [limits[0], torque - limits[0]])
        } else {
            (AxleTurns::OutsideSpins, [torque - limits[1], limits[1]])
        }
    } else {
        frame.gripping(torque, capacity, &tyres)
    };
    let spins = [
        matches!(turns, AxleTurns::InsideSpins | AxleTurns::BothSpin),
        matches!(turns, AxleTurns::OutsideSpins | AxleTurns::BothSpin),
    ];
    let slip = |wheel: usize| {
        (!spins[wheel])
            .then(|| Ratio::new(frame.slip(wheels[wheel] / frame.radius, tyres.left[wheel])))
            .transpose()
    };
    let difference = wheels[1] - wheels[0];
    let yaw = difference / frame.radius * moment.track.metres() / 2.0;
    let front = front_grip(moment, &frame, &tyres, size);
    Ok(AxleBalance {
        turns,
        case_torque: Torque::from_newton_metres(torque)?,
        wheels: [
            Torque::from_newton_metres(wheels[0])?,
            Torque::from_newton_metres(wheels[1])?,
        ],
        held: Torque::from_newton_metres(difference.abs())?,
        capacity: Torque::from_newton_metres(capacity)?,
        slip: [slip(0)?, slip(1)?],
        loads: WheelLoads {
            inside: Force::from_newtons(tyres.loads[0])?,
            outside: Force::from_newtons(tyres.loads[1])?,
        },
        ahead: Ratio::new(torque / frame.radius / frame.share / frame.weight)?,
        yaw: Torque::from_newton_metres(yaw)?,
        front_grip: (front > 0.0)
            .then(|| Ratio::new(yaw.abs() / moment.wheelbase.metres() / front))
            .transpose()?,
        second,
    })
}

/// Grip of the front tyres together, in newtons: of this axle, or of the other one with the same track and grip and the
/// rest of the roll stiffness.
fn front_grip(moment: &AxleMoment, frame: &Frame<'_>, tyres: &Tyres, size: f64) -> f64 {
    let loads = match moment.axle {
        Axle::Front => tyres.loads,
        Axle::Rear => {
            let along = frame.sense * size / frame.radius / frame.share * frame.gain_along;
            let load = (frame.weight - frame.axle_weight - along).max(0.0);
            let q = moment.roll_share.value();
            let all = moment.mass.kilograms() * moment.cornering.value() * GRAVITY * moment.height.metres()
                / moment.track.metres();
            let inside = (load / 2.0 - all * (1.0 - q)).max(0.0);
            [inside, load - inside]
        }
    };
    frame.grip[0] * loads[0] + frame.grip[1] * loads[1]
}

/// Checks what is given and brings it into SI.
fn frame<'l>(moment: &AxleMoment, lock: &'l LockModel) -> Result<Frame<'l>, MechanicsError> {
    let (none, one) = (Ratio::new(0.0)?, Ratio::new(1.0)?);
    let no_mass = Mass::from_kilograms(0.0)?;
    let mass = within("the mass of the car", moment.mass, above(no_mass))?;
    let axle_mass = within("the mass on the axle", moment.axle_mass, above(no_mass))?;
    within("the mass on the axle", axle_mass, ..=mass)?;
    let track = within("the track", moment.track, above(Length::ZERO))?.metres();
    let wheelbase = within("the wheelbase", moment.wheelbase, above(Length::ZERO))?.metres();
    let height = within(
        "the height of the centre of mass",
        moment.height,
        Length::ZERO..=moment.track,
    )?
    .metres();
    let roll_share = within("the share of roll stiffness", moment.roll_share, none..=one)?.value();
    let radius = within("the radius of the tyre", moment.tyre_radius, above(Length::ZERO))?.metres();
    within("the share of the axle", moment.drive_share, above(none))?;
    let share = within("the share of the axle", moment.drive_share, ..=one)?.value();
    let still = Velocity::from_km_per_hour(0.0)?;
    let speed = within("the speed", moment.speed, above(still))?.km_per_hour() / 3.6;
    let three = Ratio::new(3.0)?;
    let cornering = within("the cornering", moment.cornering, none..=three)?.value();
    let inside = within("the grip of the inside tyre", moment.grip[0], none..=three)?.value();
    let outside = within("the grip of the outside tyre", moment.grip[1], none..=three)?.value();
    within("the slip of full sliding", moment.slide_slip, above(none))?;
    let slide = within("the slip of full sliding", moment.slide_slip, ..=one)?.value();
    let downforce = within("the downforce", moment.downforce, Force::from_newtons(0.0)?..)?.newtons();
    let weight = mass.kilograms() * GRAVITY;
    let turn = track * cornering * GRAVITY / (2.0 * speed * speed);
    within(
        "half the track over the radius of the bend",
        Ratio::new(turn)?,
        ..one,
    )?;
    let along = height / wheelbase;
    let sense = if moment.torque.newton_metres() < 0.0 {
        -1.0
    } else {
        1.0
    };
    Ok(Frame {
        lock,
        direction: if sense < 0.0 {
            Direction::Coast
        } else {
            Direction::Drive
        },
        sense,
        weight,
        axle_weight: axle_mass.kilograms() * GRAVITY,
        downforce,
        gain_along: match moment.axle {
            Axle::Front => -along,
            Axle::Rear => along,
        },
        across: weight * cornering * height / track * roll_share,
        sideways: axle_mass.kilograms() * GRAVITY * cornering,
        grip: [inside, outside],
        radius,
        share,
        slide,
        paths: [1.0 - turn, 1.0 + turn],
        rise: RISE * weight,
    })
}
