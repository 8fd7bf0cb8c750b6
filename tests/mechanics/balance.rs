//! Locking and breakaway against force and power balances that are solved numerically, with none of the closed forms.

use crate::reference::{mm, newton_metres, newtons, ratio};
use proptest::prelude::*;
use shimwright::mechanics::breakaway::reading;
use shimwright::mechanics::chain::{installed_height_per_side, installed_height_through};
use shimwright::mechanics::{
    Direction::Drive, DiscSpring, Held, LockModel, LockSetup, SpringPlace, SpringStack,
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
            model.pack_force(Drive, newton_metres(torque)).unwrap().map(|force| force.newtons())
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
    fn the_wrench_does_the_work_of_the_packs(left in 0.0..200.0_f64, right in 0.0..200.0_f64, speed in 0.1..3.0_f64) {
        // speeds of left output, right output (turned), case
        for (held, speeds) in [(Held::Case, [-speed, speed, 0.0]), (Held::Output, [0.0, speed, speed / 2.0])] {
            let [left_speed, right_speed, case_speed] = speeds;
            prop_assert!((case_speed - (left_speed + right_speed) / 2.0).abs() < 1e-12);
            let read = reading(held, newton_metres(left), newton_metres(right), newton_metres(0.0)).unwrap();
            let read = read.newton_metres();
            let slip = left * (left_speed - case_speed).abs() + right * (right_speed - case_speed).abs();
            prop_assert!((read * speed - slip).abs() <= 1e-9 * (1.0 + slip));

            // Equilibrium. A pack's torque on its output points from the output's speed to the case's. The pinions put t on
            // either output and −2t on the case. Unknown: t, the wrench's torque on the right output, the holder's torque.
            let on_left = left * (case_speed - left_speed).signum();
            let on_right = right * (case_speed - right_speed).signum();
            let (pinions, holder_on_left, holder_on_case) = match held {
                // left output free: t + on_left = 0
                Held::Case => (-on_left, 0.0, on_left + on_right - 2.0 * on_left),
                // case free: −on_left − on_right − 2t = 0
                Held::Output => {
                    let t = -(on_left + on_right) / 2.0;
                    (t, -(t + on_left), 0.0)
                }
            };
            let wrench = -(pinions + on_right);
            prop_assert!((wrench - read).abs() <= 1e-9 * (1.0 + read), "{held}: {wrench} {read}");
            // the unit as a whole is balanced too
            let whole = wrench + holder_on_left + holder_on_case;
            prop_assert!(whole.abs() <= 1e-9 * (1.0 + read));
        }
    }
}
