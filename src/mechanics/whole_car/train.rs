//! The units of the drivetrain under a torque: which side, and which end, turns faster. No iteration on what the packs hold:
//! everything is asked as a function of torque.

use super::frame::{Frame, Limits, Tyres};
use super::inputs::{Coupling, Drivetrain};
use super::outputs::{EndsTurn, SidesTurn};
use super::root::crossing;
use super::wheel::Wheel;
use crate::mechanics::Direction;

/// How finely it is looked whether an axle turns faster the more torque it gets, and for several answers where not.
const LOOKS: usize = 160;
/// In how many steps the torque is raised to find the answer that is come to from no torque.
const STEPS: usize = 40;

/// One axle under a torque at its case. Pairs are inside, outside.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sides {
    pub turns: Option<SidesTurn>,
    pub torque: f64,
    pub shafts: [f64; 2],
    pub speeds: [f64; 2],
}

/// The whole drivetrain under a torque. Pairs are front, rear.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turned {
    pub axles: [Sides; 2],
    /// How the centre turns, what it moves, and the most that it can.
    pub centre: Option<(EndsTurn, f64, f64)>,
    pub second: bool,
}

impl Coupling {
    /// The difference of torques that it holds at a torque through it, which may be below 0.
    pub(super) fn holds(&self, torque: f64) -> f64 {
        match self {
            Coupling::Open => 0.0,
            Coupling::Solid => f64::INFINITY,
            Coupling::Plates(lock) => lock.holds(direction_of(torque), torque.abs()),
        }
    }

    /// The most torque that goes through it, as a size, where its two shafts take `both` together and the weaker one `weaker`.
    pub(super) fn most(&self, direction: Direction, both: f64, weaker: f64) -> f64 {
        match self {
            Coupling::Open => both.min(2.0 * weaker),
            Coupling::Solid => both,
            Coupling::Plates(lock) => lock
                .slips_at(direction, weaker)
                .map_or(both, |most| most.min(both)),
        }
    }

    /// Whether its ramps alone hold as much as they get, one way or the other.
    fn can_be_solid(&self) -> bool {
        match self {
            Coupling::Open | Coupling::Solid => false,
            Coupling::Plates(lock) => {
                let shares = [Direction::Drive, Direction::Coast].map(|way| lock.share(way).value());
                shares[0] >= 1.0 || shares[1] >= 1.0
            }
        }
    }
}

/// Which ramps work at a torque.
pub(super) fn direction_of(torque: f64) -> Direction {
    if torque < 0.0 {
        Direction::Coast
    } else {
        Direction::Drive
    }
}

/// An axle with a unit that holds a difference.
fn sides(wheels: &[Wheel; 2], torque: f64, holds: f64) -> Sides {
    let with = |turns, shafts: [f64; 2], speeds| Sides {
        turns: Some(turns),
        torque,
        shafts,
        speeds,
    };
    let speeds = |shafts: [f64; 2]| [wheels[0].speed(shafts[0]), wheels[1].speed(shafts[1])];
    if holds.is_finite() {
        let inside_faster = [0.5 * (torque - holds), 0.5 * (torque + holds)];
        let found = speeds(inside_faster);
        if found[1] < found[0] {
            return with(SidesTurn::InsideFaster, inside_faster, found);
        }
        let outside_faster = [0.5 * (torque + holds), 0.5 * (torque - holds)];
        let found = speeds(outside_faster);
        if found[1] > found[0] {
            return with(SidesTurn::OutsideFaster, outside_faster, found);
        }
    }
    let [inside, outside] = speeds([0.5 * torque; 2]);
    let speed = crossing(
        |speed| wheels[0].torque(speed) + wheels[1].torque(speed) - torque,
        inside,
        outside,
    );
    let inside = wheels[0].torque(speed);
    with(SidesTurn::AsOne, [inside, torque - inside], [speed; 2])
}

/// An axle that nothing drives.
fn rolling(wheels: &[Wheel; 2]) -> Sides {
    Sides {
        turns: None,
        torque: 0.0,
        shafts: [0.0; 2],
        speeds: [wheels[0].speed(0.0), wheels[1].speed(0.0)],
    }
}

impl Sides {
    fn case(&self) -> f64 {
        0.5 * (self.speeds[0] + self.speeds[1])
    }
}

/// Two driven axles at one moment.
struct Ends<'a> {
    couplings: [&'a Coupling; 2],
    tyres: Tyres,
    share: f64,
    /// Speeds are compared as x/(1 + |x|/scale): those of a spinning wheel are huge.
    scale: f64,
}

impl Ends<'_> {
    fn axle(&self, axle: usize, torque: f64) -> Sides {
        sides(
            &self.tyres.wheels[axle],
            torque,
            self.couplings[axle].holds(torque),
        )
    }

    fn both(&self, torque: f64, moved: f64) -> [Sides; 2] {
        [
            self.axle(0, self.share * torque - moved),
            self.axle(1, (1.0 - self.share) * torque + moved),
        ]
    }

    /// Above 0 where the front is the faster one.
    fn lead(&self, torque: f64, moved: f64) -> f64 {
        let near = |speed: f64| speed / (1.0 + speed.abs() / self.scale);
        let [front, rear] = self.both(torque, moved);
        near(front.case()) - near(rear.case())
    }

    /// The most that can be moved where nothing holds it back.
    fn span(&self, torque: f64, most: f64) -> f64 {
        let shafts = self.tyres.most(0).0 + self.tyres.most(1).0;
        most.min(2.0 * (torque.abs() + shafts))
    }

    /// The one answer where each axle turns faster the more torque it gets.
    fn moved(&self, torque: f64, most: f64) -> (EndsTurn, f64) {
        let span = self.span(torque, most);
        if most.is_finite() {
            if self.lead(torque, most) > 0.0 {
                return (EndsTurn::FrontFaster, most);
            }
            if self.lead(torque, -most) < 0.0 {
                return (EndsTurn::RearFaster, -most);
            }
        }
        let moved = crossing(|moved| self.lead(torque, moved), -span, span);
        (EndsTurn::AsOne, moved)
    }

    /// Whether each axle turns faster the more torque it gets, over all that the centre can give it.
    fn rises(&self, torque: f64, most: f64) -> bool {
        let span = self.span(torque, most);
        [self.share * torque, (1.0 - self.share) * torque]
            .into_iter()
            .enumerate()
            .all(|(axle, middle)| {
                if !self.couplings[axle].can_be_solid() {
                    return true;
                }
                let mut before = f64::NEG_INFINITY;
                (0..=LOOKS).all(|n| {
                    let part = 2.0 * n as f64 / LOOKS as f64 - 1.0;
                    let speed = self.axle(axle, middle + part * span).case();
                    let rises = speed >= before;
                    before = speed;
                    rises
                })
            })
    }

    /// Every answer, where there may be several.
    fn answers(&self, torque: f64, most: f64) -> Vec<(EndsTurn, f64)> {
        let span = self.span(torque, most);
        let mut found = Vec::new();
        if most.is_finite() && self.lead(torque, -most) < 0.0 {
            found.push((EndsTurn::RearFaster, -most));
        }
        let place = |n: usize| span * (2.0 * n as f64 / LOOKS as f64 - 1.0);
        let mut before = self.lead(torque, place(0));
        for n in 1..=LOOKS {
            let here = self.lead(torque, place(n));
            if before.signum() * here.signum() < 0.0 {
                let moved = crossing(|moved| self.lead(torque, moved), place(n - 1), place(n));
                found.push((EndsTurn::AsOne, moved));
            }
            before = here;
        }
        if most.is_finite() && before > 0.0 {
            found.push((EndsTurn::FrontFaster, most));
        }
        found
    }
}

impl Drivetrain {
    /// What its units do at a torque with the loads of a force along.
    pub(super) fn turned(&self, frame: &Frame, torque: f64, force: f64) -> Turned {
        let tyres = frame.tyres(force);
        let one =
            |coupling: &Coupling, axle: usize| sides(&tyres.wheels[axle], torque, coupling.holds(torque));
        let axles = match self {
            Drivetrain::Front(coupling) => [one(coupling, 0), rolling(&tyres.wheels[1])],
            Drivetrain::Rear(coupling) => [rolling(&tyres.wheels[0]), one(coupling, 1)],
            Drivetrain::Both { front, centre, rear } => {
                let ends = |tyres: Tyres| Ends {
                    couplings: [front, rear],
                    tyres,
                    share: centre.front_share.value(),
                    scale: frame.turns,
                };
                return self.turned_both(frame, torque, force, ends);
            }
        };
        Turned {
            axles,
            centre: None,
            second: false,
        }
    }

    /// The same with both axles driven: where an axle could turn slower the more it gets, the answer that is come to from no
    /// torque.
    fn turned_both<'a>(
        &self,
        frame: &Frame,
        torque: f64,
        force: f64,
        ends: impl Fn(Tyres) -> Ends<'a>,
    ) -> Turned {
        let most_at = |torque: f64| 0.5 * self.centre_holds(torque);
        let (here, most) = (ends(frame.tyres(force)), most_at(torque));
        let mut second = false;
        let (turns, moved) = if most > 0.0 && !here.rises(torque, most) {
            let mut found = (EndsTurn::AsOne, 0.0);
            for step in 0..=STEPS {
                let part = step as f64 / STEPS as f64;
                let at = ends(frame.tyres(force * part));
                let answers = at.answers(torque * part, most_at(torque * part));
                second = answers.len() > 1;
                let away = |answer: &(EndsTurn, f64)| (answer.1 - found.1).abs();
                if let Some(nearest) = answers.iter().min_by(|a, b| away(a).total_cmp(&away(b))) {
                    found = *nearest;
                }
            }
            found
        } else {
            here.moved(torque, most)
        };
        Turned {
            axles: here.both(torque, moved),
            centre: Some((turns, moved, most)),
            second,
        }
    }

    /// The difference that the centre holds between the axles, at the wheels.
    pub(super) fn centre_holds(&self, torque: f64) -> f64 {
        match self {
            Drivetrain::Both { centre, .. } => {
                let ratio = centre.ratio.value();
                ratio * centre.coupling.holds(torque / ratio)
            }
            Drivetrain::Front(_) | Drivetrain::Rear(_) => 0.0,
        }
    }

    /// What is left at a size of torque before a wheel gives up; below 0 past it.
    pub(super) fn slack(&self, limits: &Limits, direction: Direction, size: f64, centre_holds: f64) -> f64 {
        let most = |coupling: &Coupling, axle: usize| {
            let (both, weaker) = limits[axle];
            coupling.most(direction, both, weaker)
        };
        match self {
            Drivetrain::Front(coupling) => most(coupling, 0) - size,
            Drivetrain::Rear(coupling) => most(coupling, 1) - size,
            Drivetrain::Both { front, centre, rear } => {
                let (front, rear) = (most(front, 0), most(rear, 1));
                let share = centre.front_share.value();
                let moved = 0.5 * centre_holds;
                (front + rear - size)
                    .min(front + moved - share * size)
                    .min(rear + moved - (1.0 - share) * size)
            }
        }
    }
}

impl Drivetrain {
    /// The unit in an axle; `None` where it is not driven.
    pub(super) fn coupling(&self, axle: usize) -> Option<&Coupling> {
        match (self, axle) {
            (Drivetrain::Front(coupling), 0) | (Drivetrain::Rear(coupling), 1) => Some(coupling),
            (Drivetrain::Both { front, .. }, 0) => Some(front),
            (Drivetrain::Both { rear, .. }, 1) => Some(rear),
            _ => None,
        }
    }
}
