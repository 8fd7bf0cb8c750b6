//! Locking and breakaway against force and power balances that are solved numerically, with none of the closed forms.

use crate::reference::{mm, newton_metres, newtons, ratio};
use proptest::prelude::*;
use shimwright::mechanics::chain::{installed_height_per_side, installed_height_through};
use shimwright::mechanics::{
    Bench, Direction::Drive, DiscSpring, Held, Holding, LockModel, LockSetup, Sense, SpringPlace,
    SpringStack, Turned,
};
use shimwright::quantity::{Datum, Length, RampAngle};

/// Stiffness of a contact in N/mm: so stiff that what a spring of the unit loses over a contact's travel is nothing.
const CONTACT: f64 = 1e10;
/// Rate of the preload spring in N/mm.
const SPRING: f64 = 500.0;

/// A stop: pushes when pressed, never pulls.
fn stop(pressed: f64) -> f64 {
    CONTACT * pressed.max(0.0)
}

/// Where a falling function crosses nothing.
fn bisect(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if function(middle) > 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}

/// Force through the pack with the spring behind it. The ring, at x outwards, is pushed out by the ramp and by the
/// stop inside it, and in by the pack, behind which spring and pack plates stand in a row against the wall.
fn behind_the_pack(ramp_force: f64, preload: f64) -> f64 {
    // pack and spring in a row, as one: the pack is a stiff stop upon the spring, which is set to press with F0 at x = 0
    let pack = |x: f64| {
        let plates = bisect(-1.0, 1e3, |y| stop(x - y) - (preload + SPRING * y).max(0.0));
        stop(x - plates)
    };
    // the stop is made so long that it carries F0 at x = 0
    let seated = preload / CONTACT;
    let x = bisect(-1.0, 1e3, |x| ramp_force + stop(seated - x) - pack(x));
    pack(x)
}

/// Force through the pack with the spring between the rings: the rings mirror each other, so a ring at x outwards
/// lengthens the spring by 2x.
fn between_the_rings(ramp_force: f64, preload: f64) -> f64 {
    let spring = |x: f64| (preload - SPRING * 2.0 * x).max(0.0);
    let x = bisect(-1.0, 1e3, |x| ramp_force + spring(x) - stop(x));
    stop(x)
}

/// Force through the pack for a ring seated in a V on its pin with the spring behind the pack, from the two flanks: no
/// ramp formula. A ring at x outwards, the pin at y along the ring; a flank of θ from the face is pressed by
/// ±y sin θ − x cos θ.
fn seated_in_a_v(tangential: f64, theta: f64, preload: f64) -> f64 {
    let (sine, cosine) = theta.sin_cos();
    let flanks = |x: f64| {
        // the pin settles where the flanks balance the tangential force
        let normal = |y: f64| (stop(y * sine - x * cosine), stop(-y * sine - x * cosine));
        let y = bisect(-1e4, 1e4, |y| tangential - (normal(y).0 - normal(y).1) * sine);
        let (one, other) = normal(y);
        (one + other) * cosine
    };
    let pack = |x: f64| (preload + SPRING * x).max(0.0);
    let x = bisect(-1.0, 1e3, |x| flanks(x) - pack(x));
    pack(x)
}

fn setup(degrees: f64, preload: f64, spring_place: SpringPlace) -> LockSetup {
    LockSetup {
        faces: [8, 8],
        friction: ratio(0.1),
        friction_radius: mm(50.0),
        pin_radius: mm(40.0),
        drive: RampAngle::new(degrees, Datum::RingFace).unwrap(),
        coast: RampAngle::NONE,
        ramp_friction: ratio(0.0),
        preload: [newtons(preload); 2],
        spring_place,
        gear_thrust: None,
        tab_friction: None,
    }
}

fn stack(thickness: f64, height: f64) -> SpringStack {
    let disc = DiscSpring::new(mm(100.0), mm(60.0), mm(thickness), mm(height), None).unwrap();
    SpringStack::discs(disc, 1, 1).unwrap()
}

/// Net force to the right on floating rings between two like springs, the left one at `left`, both together at `both`.
fn net_on_rings(spring: &SpringStack, left: Length, both: Length) -> f64 {
    let force = |height| spring.force_at_height(height).unwrap().newtons();
    force(left) - force(both - left)
}

/// With h0/t = 2.2, past the greatest force: the rings stand in the middle only as long as nothing touches them.
#[test]
fn floating_rings_do_not_stay_between_springs_past_their_peak() {
    let tall = stack(1.5, 4.8);
    let both = (tall.peak_height().unwrap() - mm(0.4)) * 2;
    let height = installed_height_through(both, &[]).unwrap();
    assert!(net_on_rings(&tall, height, both).abs() < 1e-6);
    // pushed to the right, the rings are pushed on to the right
    assert!(net_on_rings(&tall, height + mm(0.05), both) > 0.0);
    let rising = (tall.peak_height().unwrap() + mm(0.4)) * 2;
    assert!(net_on_rings(&tall, Length::from_nm(rising.nm() / 2) + mm(0.05), rising) < 0.0);
}

proptest! {
    #[test]
    fn floating_rings_settle_where_like_springs_stand_alike(
        left in 10.0..30.0_f64, right in 10.0..30.0_f64, room in 0.1..0.9_f64,
    ) {
        let spring = stack(2.5, 4.8);
        let each = spring.solid_height().mm() + room * (spring.free_height() - spring.solid_height()).mm();
        let parts = [mm(left), mm(right)];
        let depth = parts[0] + parts[1] + mm(2.0 * each);
        let both = installed_height_per_side(depth, &parts).unwrap();
        let (mut low, mut high) = (spring.solid_height(), both - spring.solid_height());
        while high.nm() - low.nm() > 1 {
            let middle = Length::from_nm((low.nm() + high.nm()) / 2);
            if net_on_rings(&spring, middle, both) > 0.0 { low = middle } else { high = middle }
        }
        let found = installed_height_through(depth, &parts).unwrap();
        prop_assert!(found.apart(low).nm() <= 2, "{found} {low}");
    }

    #[test]
    fn pack_force_is_that_of_the_balanced_contacts(
        degrees in 20.0..80.0_f64, preload in 100.0..4000.0_f64, torque in 0.0..600.0_f64,
    ) {
        // the tangential force at the pin, of which each ring takes half
        let tangential = torque / 0.040 / 2.0;
        let theta = degrees.to_radians();
        let ramp_force = tangential / theta.tan();
        let force = |place| {
            let model = LockModel::new(setup(degrees, preload, place)).unwrap();
            model.pack_forces(Drive, newton_metres(torque)).unwrap()[0].map(|force| force.newtons())
        };
        // a contact gives by 4000 N/CONTACT, over which the spring changes by next to nothing; bisection adds its last
        // bits of travel, 1e-13 mm, times the stiffness of the contact
        let allowed = 0.01;
        for found in force(SpringPlace::BehindPack) {
            let balanced = behind_the_pack(ramp_force, preload);
            prop_assert!((found - balanced).abs() <= allowed, "behind: {found} {balanced}");
            let in_v = seated_in_a_v(tangential, theta, preload);
            prop_assert!((found - in_v).abs() <= allowed, "in a V: {found} {in_v}");
        }
        for found in force(SpringPlace::BetweenRings) {
            let balanced = between_the_rings(ramp_force, preload);
            prop_assert!((found - balanced).abs() <= allowed, "between: {found} {balanced}");
        }
    }

    /// The wrench's power goes into the packs and the drag, whatever the speeds; the speeds are those of a bevel
    /// differential, case = mean of the outputs. The unknowns are found by solving the equilibrium of all bodies.
    #[test]
    fn the_wrench_does_the_work_of_the_packs(
        left in 1_u32..12, right in 1_u32..12, speed in 0.1..3.0_f64, drag in 0.0..20.0_f64, degrees in 30.0..90.0_f64,
        between in any::<bool>(), backwards in any::<bool>(),
    ) {
        let place = if between { SpringPlace::BetweenRings } else { SpringPlace::BehindPack };
        let sense = if backwards { Sense::Backwards } else { Sense::Forwards };
        // speeds of left output, right output (turned), case
        for (held, speeds) in [(Held::Case, [-speed, speed, 0.0]), (Held::Output, [0.0, speed, speed / 2.0])] {
            let [left_speed, right_speed, case_speed] = speeds;
            prop_assert!((case_speed - (left_speed + right_speed) / 2.0).abs() < 1e-12);
            let mut unit = bench(degrees, 1500.0, place, [left, right], 0.06);
            unit.holding = Holding { held, turned: Turned::Right, sense };
            let Ok(read) = unit.first_movement(newton_metres(drag)) else { continue };
            let [left, right] = read.packs.map(|pack| pack.newton_metres());
            let read = read.reading.newton_metres();
            let slip = left * (left_speed - case_speed).abs() + right * (right_speed - case_speed).abs();
            // with the case held the drag is that of each output, else that of all that turns with the case
            let dragged = match held {
                Held::Case => drag * (left_speed.abs() + right_speed.abs()),
                Held::Output => drag * case_speed,
            };
            prop_assert!((read * speed - slip - dragged).abs() <= 1e-9 * (1.0 + slip));

            // Equilibrium. A pack's torque on its output points from the output's speed to the case's, and so does the drag of
            // an output where the case is held. The pinions put t on either output and −2t on the case. Unknown: t, the
            // wrench's torque on the right output, the holder's torque.
            let on_left = left * (case_speed - left_speed).signum();
            let on_right = right * (case_speed - right_speed).signum();
            let (pinions, wrench) = match held {
                // left output free: t + on_left + drag = 0
                Held::Case => {
                    let t = -(on_left + drag);
                    (t, -(t + on_right - drag))
                }
                // case free: −on_left − on_right − 2t − drag = 0
                Held::Output => {
                    let t = -(on_left + on_right + drag) / 2.0;
                    (t, -(t + on_right))
                }
            };
            prop_assert!((wrench - read).abs() <= 1e-9 * (1.0 + read), "{held}: {wrench} {read}");
            prop_assert!(held == Held::Output || pinions <= 0.0);
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]
    /// Against a solution that knows no closed form: the torque is raised step by step from nothing until both packs slip.
    #[test]
    fn breakaway_is_where_both_packs_slip_when_the_torque_is_raised(
        left in 1_u32..12, right in 1_u32..12, degrees in 40.0..90.0_f64, other in 40.0..90.0_f64, between in any::<bool>(),
        case in any::<bool>(), turn_left in any::<bool>(), forwards in any::<bool>(), drag in prop_oneof![Just(0.0), 0.0..15.0_f64],
        alike in any::<bool>(),
    ) {
        let place = if between { SpringPlace::BetweenRings } else { SpringPlace::BehindPack };
        let faces = [left, if alike { left } else { right }];
        let mut unit = bench(degrees, 1200.0, place, faces, 0.06);
        unit.setup.coast = RampAngle::new(other, Datum::RingFace).unwrap();
        unit.holding = Holding {
            held: if case { Held::Case } else { Held::Output },
            turned: if turn_left { Turned::Left } else { Turned::Right },
            sense: if forwards { Sense::Forwards } else { Sense::Backwards },
        };
        let raised = Raised::until_it_slips(&unit, drag);
        match (unit.first_movement(newton_metres(drag)), raised) {
            (Ok(read), Some(raised)) => {
                let read = read.reading.newton_metres();
                // a step is half a per cent
                prop_assert!((read - raised).abs() <= 6e-3 * (1.0 + read), "{unit:?}: {read} {raised}");
            }
            (Err(_), None) => {}
            // where it only just slips, the steps end before it does
            (Ok(read), None) => prop_assert!(read.reading.newton_metres() > 0.5 * Raised::MOST, "{unit:?}: {read:?} wedged"),
            (Err(error), Some(raised)) => prop_assert!(false, "{unit:?}: {error} {raised}"),
        }
    }
}

fn bench(degrees: f64, preload: f64, place: SpringPlace, faces: [u32; 2], ramp_friction: f64) -> Bench {
    Bench {
        setup: LockSetup {
            faces,
            ramp_friction: ratio(ramp_friction),
            ..setup(degrees, preload, place)
        },
        turning: ratio(0.1),
        holding: Holding {
            held: Held::Case,
            turned: Turned::Right,
            sense: Sense::Backwards,
        },
    }
}

/// A unit at the bench whose wrench is pulled a little further each time. Each pack is an elastic clutch: it holds the torque
/// of its wind-up until that is more than friction can hold, and then slips so far. The pins are pushed through a stiff ramp
/// contact that has the force of the inclined plane, and the ring is balanced by its contacts. Nothing here divides by 1 − S.
struct Raised {
    /// Wind-up of the left and the right pack in radians: output against case.
    wound: [f64; 2],
    slipped: [bool; 2],
}

impl Raised {
    /// Past this it is wedged, in newton metres: sixty times what the preload of the largest pack here holds.
    const MOST: f64 = 4e3;
    /// Stiffness of a pack's wind-up, in newton metres a radian.
    const STIFF: f64 = 1e4;

    fn until_it_slips(unit: &Bench, drag: f64) -> Option<f64> {
        let turned = usize::from(unit.holding.turned == Turned::Right);
        let other = 1 - turned;
        let forwards = unit.holding.sense == Sense::Forwards;
        let mut at = Raised {
            wound: [0.0; 2],
            slipped: [false; 2],
        };
        // torque of both packs for what the pins carry, as far as friction lets them
        let friction = unit.setup.friction.value() * unit.setup.friction_radius.metres();
        let most = |pins: f64, pack: usize| {
            // pins forwards load the coast ramp when the output is turned forwards, and the drive ramp when backwards
            let ramp = if (pins >= 0.0) == forwards {
                unit.setup.coast
            } else {
                unit.setup.drive
            };
            // a plane with friction, the pin climbing: forces along and across it
            let theta = ramp.degrees_from_ring_face().to_radians();
            let mu = unit.setup.ramp_friction.value();
            let tangential = pins.abs() / 2.0 / unit.setup.pin_radius.metres();
            let normal = tangential / (theta.sin() + mu * theta.cos());
            let axial = (normal * theta.cos() - mu * normal * theta.sin()).max(0.0);
            let preload = unit.setup.preload[pack].newtons();
            let force = match unit.setup.spring_place {
                SpringPlace::BehindPack => {
                    if axial > preload {
                        axial
                    } else {
                        preload
                    }
                }
                SpringPlace::BetweenRings => preload + axial,
            };
            f64::from(unit.setup.faces[pack]) * friction * force
        };
        let mut angle = 0.0;
        let mut pins = 0.0;
        let mut step = 1e-5;
        loop {
            angle += step;
            // the outputs wind up against each other: in equal parts with the case held; with the other output held the case
            // settles between them where it is balanced
            let torque = |wound: f64, limit: f64| (Raised::STIFF * wound).min(limit);
            // what the pins carry changes with what the packs hold, which is found by going there in small steps
            for _ in 0..400 {
                let limits = [most(pins, 0), most(pins, 1)];
                let next = match unit.holding.held {
                    Held::Case => {
                        2.0 * (torque(angle, limits[other]) + drag * f64::from(u8::from(angle > 0.0)))
                    }
                    Held::Output => {
                        // case at an angle between: each pack wound by its part, both to the limit in the end
                        drag + torque(angle, limits[other]) - torque(angle, limits[turned])
                    }
                };
                if (next - pins).abs() < 1e-9 * (1.0 + next.abs()) {
                    break;
                }
                pins += 0.5 * (next - pins);
                if pins.abs() > 4.0 * Raised::MOST {
                    return None;
                }
            }
            let limits = [most(pins, 0), most(pins, 1)];
            for pack in [0, 1] {
                at.wound[pack] = angle;
                at.slipped[pack] = Raised::STIFF * angle >= limits[pack];
            }
            let reading = match unit.holding.held {
                Held::Case => pins / 2.0 + drag + torque(angle, limits[turned]),
                Held::Output => (torque(angle, limits[turned]) + torque(angle, limits[other]) + drag) / 2.0,
            };
            if at.slipped == [true; 2] {
                return Some(reading);
            }
            if reading > Raised::MOST {
                return None;
            }
            // finer where little is wound up, coarser later
            step = (angle * 5e-3).max(2e-6);
        }
    }
}
