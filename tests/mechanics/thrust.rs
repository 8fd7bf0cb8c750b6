//! A lock with bevel side gears, rubbing ramps, tabs and splines, from the free bodies of tooth, pin, ring and plates: vectors,
//! trial and bisection, and none of the closed forms. The torque is raised step by step and let down again.

use crate::reference::{mm, newton_metres, newtons, ratio};
use shimwright::mechanics::tabs::PlateTabs;
use shimwright::mechanics::{Direction::Drive, GearThrust, LockModel, LockSetup, SpringPlace, TabFriction};
use shimwright::quantity::{Angle, Datum, RampAngle};

/// What one newton metre on a side gear pushes it outwards with: the tooth's normal at the pitch point, as a vector.
fn tooth_thrust(radius: f64, pressure: f64, cone: f64) -> f64 {
    let (pressure, cone) = (pressure.to_radians(), cone.to_radians());
    // axis z, pitch point on x; the cone's line runs along (sin, 0, cos), so its face looks along (cos, 0, -sin)
    let (tangent, out_of_face) = ([0.0, 1.0, 0.0], [cone.cos(), 0.0, -cone.sin()]);
    let normal: Vec<f64> = (0..3)
        .map(|n| pressure.cos() * tangent[n] + pressure.sin() * out_of_face[n])
        .collect();
    let torque = radius * normal[1];
    normal[2].abs() / torque
}

/// What one newton along the ring makes along the shaft: a flank at `degrees` to the ring's face, its normal and the friction
/// along it, which points against the sliding.
fn ramp_thrust(degrees: f64, friction: f64, falling: bool) -> f64 {
    let theta = degrees.to_radians();
    let sense = if falling { -1.0 } else { 1.0 };
    let normal = [theta.sin(), theta.cos()];
    let along = [theta.cos(), -theta.sin()];
    let force: Vec<f64> = (0..2).map(|n| normal[n] + sense * friction * along[n]).collect();
    force[1] / force[0]
}

/// A unit in plain numbers: newtons, metres.
struct Plain {
    faces: [usize; 2],
    mu: f64,
    radius: f64,
    pins: f64,
    ramp: f64,
    ramp_friction: f64,
    ring_tabs: (f64, f64),
    gears: Option<(f64, f64, f64)>,
    preload: f64,
    behind: bool,
    keys: [f64; 2],
    steel: f64,
}

/// The force on each face of both packs.
type Faces = [Vec<f64>; 2];

impl Plain {
    fn at_rest(&self) -> Faces {
        self.faces.map(|faces| vec![self.preload; faces])
    }

    /// The force of one ring on its pack under a torque on either side gear.
    fn presses(&self, torque: f64, falling: bool) -> f64 {
        let along = torque / self.pins;
        // the ring's own tabs hold against its moving
        let rubs = self.ring_tabs.0 * torque / self.ring_tabs.1;
        let ramp = along * ramp_thrust(self.ramp, self.ramp_friction, falling);
        let ring = if falling {
            ramp + rubs
        } else {
            (ramp - rubs).max(0.0)
        };
        ring + self.gears.map_or(0.0, |(radius, pressure, cone)| {
            torque * tooth_thrust(radius, pressure, cone)
        })
    }

    /// The faces of one pack after its ring presses with `ring`: each plate stays where it is while its tabs can hold it.
    fn settle(&self, faces: &[f64], ring: f64) -> Vec<f64> {
        let first = match self.behind {
            true => ring.max(self.preload),
            false => ring,
        };
        // the springs between the rings pressed before any torque, and nothing rubbed then
        let mut faces: Vec<f64> = match self.behind {
            true => faces.to_vec(),
            false => faces.iter().map(|face| face - self.preload).collect(),
        };
        if let Some(face) = faces.first_mut() {
            *face = first;
        }
        for _ in 0..400 {
            for plate in 1..faces.len() {
                let (over, under) = (faces[plate - 1], faces[plate]);
                let a = self.steel * self.mu * self.radius / self.keys[(plate - 1) % 2];
                let holds = a * (over + under);
                let lacks = over - under;
                // it creeps by what its tabs can not hold
                let slips = lacks.signum() * (lacks.abs() - holds).max(0.0);
                let least = if self.behind { self.preload } else { 0.0 };
                faces[plate] = (under + 0.7 * slips).max(least);
            }
        }
        match self.behind {
            true => faces,
            false => faces.iter().map(|face| face + self.preload).collect(),
        }
    }

    fn torque(&self, faces: &[f64]) -> f64 {
        faces.iter().map(|force| self.mu * self.radius * force).sum()
    }

    /// The difference that is held at a case torque, coming from `before`: the torque on a side gear is bisected until the case
    /// is in balance. A ring presses no more than the `peak` from which the torque fell, since it stays where it is until then.
    fn held(&self, before: &Faces, case: f64, peak: Option<f64>, slower: usize) -> (f64, Faces) {
        let settled = |torque: f64| -> Faces {
            let ring = match peak {
                Some(peak) => self.presses(torque, true).min(peak),
                None => self.presses(torque, false),
            };
            [0, 1].map(|side| self.settle(&before[side], ring))
        };
        let lacks = |torque: f64| {
            let faces = settled(torque);
            case - self.torque(&faces[slower]) + self.torque(&faces[1 - slower]) - 2.0 * torque
        };
        let (mut low, mut high) = (0.0, 4.0 * case + 100.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if lacks(middle) > 0.0 {
                low = middle
            } else {
                high = middle
            }
        }
        let faces = settled(0.5 * (low + high));
        (self.torque(&faces[0]) + self.torque(&faces[1]), faces)
    }

    fn model(&self) -> LockModel {
        let degrees = |value| Angle::from_degrees(value).unwrap();
        let metres = |metres: f64| mm(1e3 * metres);
        let model = LockModel::new(LockSetup {
            faces: self.faces.map(|faces| faces as u32),
            friction: ratio(self.mu),
            friction_radius: metres(self.radius),
            pin_radius: metres(self.pins),
            drive: RampAngle::new(self.ramp, Datum::RingFace).unwrap(),
            coast: RampAngle::NONE,
            ramp_friction: ratio(self.ramp_friction),
            preload: [newtons(self.preload); 2],
            spring_place: match self.behind {
                true => SpringPlace::BehindPack,
                false => SpringPlace::BetweenRings,
            },
            gear_thrust: self.gears.map(|(radius, pressure, cone)| GearThrust {
                gear_radius: metres(radius),
                pressure_angle: degrees(pressure),
                pitch_angle: degrees(cone),
            }),
            tab_friction: Some(TabFriction {
                friction: ratio(self.ring_tabs.0),
                radius: metres(self.ring_tabs.1),
            }),
        });
        model
            .unwrap()
            .with_tabs(PlateTabs {
                inside: metres(self.keys[0]),
                outside: metres(self.keys[1]),
                friction: ratio(self.steel),
            })
            .unwrap()
    }
}

fn units() -> Vec<Plain> {
    let mut units = Vec::new();
    for behind in [true, false] {
        for (faces, gears) in [
            ([8, 8], Some((0.028, 22.5, 60.0))),
            ([8, 8], None),
            ([10, 8], Some((0.030, 20.0, 55.0))),
        ] {
            units.push(Plain {
                faces,
                mu: 0.09,
                radius: 0.040,
                pins: 0.031,
                ramp: 55.0,
                ramp_friction: 0.06,
                ring_tabs: (0.08, 0.055),
                gears,
                preload: 1100.0,
                behind,
                keys: [0.028, 0.052],
                steel: 0.12,
            });
        }
    }
    units
}

#[test]
fn a_lock_with_gear_thrust_and_tabs_is_that_of_its_free_bodies() {
    for unit in units() {
        let model = unit.model();
        let mut faces = [unit.at_rest(), unit.at_rest()];
        let (mut peak, mut ring) = ([0.0; 2], [0.0; 2]);
        for case in [20.0, 90.0, 140.0, 170.0, 220.0, 300.0, 450.0, 600.0] {
            let found = model.torque_differences(Drive, newton_metres(case)).unwrap();
            for slower in [0, 1] {
                let (held, now) = unit.held(&faces[slower], case, None, slower);
                let found = found[slower].newton_metres();
                assert!(
                    (found - held).abs() < 1e-3 * held,
                    "{:?} {case}: {found} {held}",
                    unit.faces
                );
                // the face beside the ring has all of its force
                ring[slower] = now[0][0] - if unit.behind { 0.0 } else { unit.preload };
                (faces[slower], peak[slower]) = (now, held);
            }
        }
        // down again: far below the peak all of it has turned round, and just below it nothing has let go yet
        let falling = model.falling(Drive).unwrap().unwrap();
        for case in [590.0, 200.0, 170.0] {
            let found = falling.torque_differences(Drive, newton_metres(case)).unwrap();
            let rising = model.torque_differences(Drive, newton_metres(case)).unwrap();
            for slower in [0, 1] {
                let (held, now) = unit.held(&faces[slower], case, Some(ring[slower]), slower);
                let found = found[slower].newton_metres();
                if case > 500.0 {
                    assert!(
                        (held / peak[slower] - 1.0).abs() < 0.01 && found > held,
                        "{found} {held}"
                    );
                } else {
                    assert!(
                        (found - held).abs() < 1e-3 * held,
                        "{:?} {case} down: {found} {held}",
                        unit.faces
                    );
                    assert!(held > rising[slower].newton_metres());
                }
                faces[slower] = now;
            }
        }
    }
}
