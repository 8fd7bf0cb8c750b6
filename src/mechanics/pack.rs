//! Packs: which faces rub, where their friction acts, and the torque that they hold.

use super::error::{MechanicsError, above, friction_within, within};
use crate::quantity::{Force, Length, Ratio, Torque};
use std::fmt;

/// What a plate turns with.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Keying {
    /// Splined to a side gear: a friction plate.
    Gear,
    /// Tabbed to the case: a case plate.
    Case,
}

impl fmt::Display for Keying {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Keying::Gear => "friction plate",
            Keying::Case => "case plate",
        })
    }
}

/// The rubbing faces of a pack: pairs of neighbours that turn with different things.
///
/// The plates are named from the case wall to the pressure ring, which turns with the case, so a gear-keyed plate
/// beside the ring rubs on it. Whether the wall counts is for the unit to say, in `wall_is_face`: a gear-keyed plate
/// that lies directly on the plain wall rubs on it; with a disc spring, a shim or a thrust washer between there is no
/// face. Two neighbours with the same key make a dead face. Source: the definition, a face rubs where its two sides turn
/// with different things.
///
/// ```
/// use shimwright::mechanics::pack::{active_faces, Keying::{Case, Gear}};
/// // the same five plates, in two orders
/// assert_eq!(active_faces(&[Case, Gear, Case, Gear, Case], false), 4);
/// assert_eq!(active_faces(&[Case, Case, Case, Gear, Gear], false), 2);
/// // a friction plate on the wall rubs only where there is no spring or shim between
/// assert_eq!(active_faces(&[Gear, Case, Gear], false), 3);
/// assert_eq!(active_faces(&[Gear, Case, Gear], true), 4);
/// ```
pub fn active_faces(order_from_wall: &[Keying], wall_is_face: bool) -> u32 {
    let wall = wall_is_face.then_some(Keying::Case);
    let keys = wall
        .into_iter()
        .chain(order_from_wall.iter().copied())
        .chain([Keying::Case]);
    let next = keys.clone().skip(1);
    keys.zip(next).fold(0, |faces, (a, b)| faces + u32::from(a != b))
}

/// The face counts that some order of these plates gives, smallest first. Every plate is used.
///
/// With no gear-keyed plate that is 0 only. Otherwise r groups of gear-keyed plates, each with case plates between,
/// give 2r faces, or 2r − 1 where the first group lies at a wall that is no face. Source: counting by [`active_faces`].
///
/// ```
/// use shimwright::mechanics::pack::faces_possible;
/// assert_eq!(faces_possible(2, 3, false), [1, 2, 3, 4]);
/// assert_eq!(faces_possible(2, 3, true), [2, 4]);
/// ```
pub fn faces_possible(gear: u32, case: u32, wall_is_face: bool) -> Vec<u32> {
    let most = gear.min(case.saturating_add(1)).saturating_mul(2);
    (0..=most)
        .filter(|&faces| groups(gear, case, faces, wall_is_face).is_some())
        .collect()
}

/// An order, from the case wall, of `gear` gear-keyed and `case` case-keyed plates with just this many faces; `None`
/// where there is none.
///
/// Of all such orders it is the one whose dead faces lie nearest the wall, where plates that do not rub do least harm:
/// the full heat and wear then stay beside the ring, and the order there is the usual one (common practice, no source).
///
/// ```
/// use shimwright::mechanics::pack::{active_faces, order_for_faces, Keying::{Case, Gear}};
/// let order = order_for_faces(3, 3, 4, false);
/// assert_eq!(order, Some(vec![Case, Case, Gear, Gear, Case, Gear]));
/// assert_eq!(order_for_faces(1, 3, 4, false), None);
/// ```
pub fn order_for_faces(gear: u32, case: u32, faces: u32, wall_is_face: bool) -> Option<Vec<Keying>> {
    let (groups, gear_first) = groups(gear, case, faces, wall_is_face)?;
    if groups == 0 {
        return Some(vec![Keying::Case; case as usize]);
    }
    let spare_gear = (gear - groups) as usize;
    let mut order = Vec::with_capacity(gear as usize + case as usize);
    let mut separators = groups - 1;
    if gear_first {
        order.extend(vec![Keying::Gear; spare_gear + 1]);
        // what case plates are spare come next, as near the wall as this count of faces allows
        order.extend(vec![Keying::Case; (case - separators) as usize]);
        if separators > 0 {
            order.extend([Keying::Case, Keying::Gear]);
            separators -= 1;
        }
    } else {
        order.extend(vec![Keying::Case; (case - separators) as usize]);
        order.extend(vec![Keying::Gear; spare_gear + 1]);
    }
    for _ in 0..separators {
        order.extend([Keying::Case, Keying::Gear]);
    }
    Some(order)
}

/// How many groups of gear-keyed plates the face count needs, and whether the first lies at the wall.
fn groups(gear: u32, case: u32, faces: u32, wall_is_face: bool) -> Option<(u32, bool)> {
    if gear == 0 || faces == 0 {
        return (gear == 0 && faces == 0).then_some((0, false));
    }
    let groups = faces.div_ceil(2);
    // an odd count leaves the first group one-sided, at a wall that is no face
    let gear_first = faces % 2 == 1;
    if (gear_first && wall_is_face) || groups > gear {
        return None;
    }
    let case_needed = if gear_first || wall_is_face {
        groups - 1
    } else {
        groups
    };
    (case >= case_needed).then_some((groups, gear_first))
}

/// How the pressure lies on the faces.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum PressurePattern {
    /// Run-in plates: even wear, so the pressure falls with the radius.
    #[default]
    RunIn,
    /// New, flat plates: even pressure.
    Even,
}

impl fmt::Display for PressurePattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            PressurePattern::RunIn => "run-in plates",
            PressurePattern::Even => "new, flat plates",
        })
    }
}

/// The radius at which the friction of a face acts.
///
/// ```text
/// run-in  r_f = (r_o + r_i)/2                              even wear
/// even    r_f = 2/3 · (r_o³ − r_i³)/(r_o² − r_i²)          even pressure
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | r_f | the result | mm |
/// | run-in, even | `pattern` | – |
/// | r_o | `outer` radius of the rubbing ring | mm, above `inner` |
/// | r_i | `inner` radius of the rubbing ring | mm, 0 and above |
///
/// Source: plate clutches in any textbook of machine elements (Khurmi and Gupta, Theory of Machines, chapter 10).
///
/// # Errors
///
/// A radius out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::pack::{friction_radius, PressurePattern};
/// use shimwright::quantity::Length;
/// let (outer, inner) = (Length::from_um(120_000), Length::from_um(60_000));
/// assert_eq!(friction_radius(outer, inner, PressurePattern::RunIn)?.mm(), 90.0);
/// assert_eq!(friction_radius(outer, inner, PressurePattern::Even)?.nm(), 93_333_333);
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
pub fn friction_radius(
    outer: Length,
    inner: Length,
    pattern: PressurePattern,
) -> Result<Length, MechanicsError> {
    within("the inner radius of the face", inner, Length::ZERO..)?;
    within("the outer radius of the face", outer, above(inner))?;
    Ok(Length::from_mm(mean_radius(outer.mm(), inner.mm(), pattern))?)
}

/// [`friction_radius`] of a face that was measured across, as a plate is with a caliper.
///
/// ```text
/// r_o = d_o/2,   r_i = d_i/2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | r_o, r_i | the radii of [`friction_radius`] | mm |
/// | d_o | `outer` diameter of the rubbing ring | mm, above `inner` |
/// | d_i | `inner` diameter of the rubbing ring | mm, 0 and above |
/// | run-in, even | `pattern` | – |
///
/// Source: as [`friction_radius`].
///
/// # Errors
///
/// A diameter out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::pack::{friction_radius_across, PressurePattern};
/// use shimwright::quantity::Length;
/// let (outer, inner) = (Length::from_um(98_000), Length::from_um(62_000));
/// assert_eq!(friction_radius_across(outer, inner, PressurePattern::RunIn)?.mm(), 40.0);
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
pub fn friction_radius_across(
    outer: Length,
    inner: Length,
    pattern: PressurePattern,
) -> Result<Length, MechanicsError> {
    within("the inner diameter of the face", inner, Length::ZERO..)?;
    within("the outer diameter of the face", outer, above(inner))?;
    let radius = mean_radius(outer.mm() / 2.0, inner.mm() / 2.0, pattern);
    Ok(Length::from_mm(radius)?)
}

/// In millimetres, for radii that are in order.
fn mean_radius(outer: f64, inner: f64, pattern: PressurePattern) -> f64 {
    match pattern {
        PressurePattern::RunIn => (outer + inner) / 2.0,
        // divided out by r_o − r_i, so that a narrow face loses no digits
        PressurePattern::Even => {
            2.0 / 3.0 * (outer * outer + outer * inner + inner * inner) / (outer + inner)
        }
    }
}

/// Torque that a pack holds.
///
/// ```text
/// M = n · μ · F · r_f
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | M | the result | N·m |
/// | n | `faces` that rub | count |
/// | μ | `friction`, static or kinetic as the case is | ratio, 0 to 1 |
/// | F | `force` through the pack | N, 0 and above |
/// | r_f | `radius`, as [`friction_radius`] gives it | m, above 0 |
///
/// In oil μ is about 0.06 to 0.15: *common practice, no source*.
///
/// Source: as [`friction_radius`].
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::pack::pack_torque;
/// use shimwright::quantity::{Force, Length, Ratio};
/// // 5 steel and 4 bronze plates, 150 by 75 mm, 2650.72 N, friction 0.1: 119.28 N·m (design of machine elements, 11.8)
/// let torque = pack_torque(8, Ratio::new(0.1)?, Force::from_newtons(2650.7188)?, Length::from_um(56_250))?;
/// assert!((torque.newton_metres() - 119.2823).abs() < 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn pack_torque(
    faces: u32,
    friction: Ratio,
    force: Force,
    radius: Length,
) -> Result<Torque, MechanicsError> {
    let friction = friction_within("friction of the plates", friction)?;
    let force = within("the force through the pack", force, Force::from_newtons(0.0)?..)?;
    let radius = within("the friction radius", radius, above(Length::ZERO))?;
    let torque = f64::from(faces) * friction * force.newtons() * radius.metres();
    Ok(Torque::from_newton_metres(torque)?)
}

/// The friction that a measured torque shows, the inverse of [`pack_torque`].
///
/// ```text
/// μ = M / (n F r_f)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | μ | the result | ratio, at most 1 |
/// | M | `torque` of the pack | N·m, 0 and above |
/// | n | `faces` that rub | count, 1 and above |
/// | F | `force` through the pack | N, above 0 |
/// | r_f | `radius`, as [`friction_radius`] gives it | m, above 0 |
///
/// Source: as [`pack_torque`].
///
/// # Errors
///
/// Torque below 0; no face; force or radius not above 0; a result above 1, which no plate reaches.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::pack::friction_from_torque;
/// use shimwright::quantity::{Force, Length, Torque};
/// let (torque, force) = (Torque::from_newton_metres(48.0)?, Force::from_newtons(1000.0)?);
/// let friction = friction_from_torque(torque, 8, force, Length::from_um(60_000))?;
/// assert!((friction.value() - 0.1).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn friction_from_torque(
    torque: Torque,
    faces: u32,
    force: Force,
    radius: Length,
) -> Result<Ratio, MechanicsError> {
    within(
        "the torque of the pack",
        torque,
        Torque::from_newton_metres(0.0)?..,
    )?;
    within("the number of faces", faces, 1..)?;
    within(
        "the force through the pack",
        force,
        above(Force::from_newtons(0.0)?),
    )?;
    within("the friction radius", radius, above(Length::ZERO))?;
    let friction = torque.newton_metres() / (f64::from(faces) * force.newtons() * radius.metres());
    let friction = Ratio::new(friction)?;
    friction_within("friction of the plates", friction)?;
    Ok(friction)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    #[test]
    fn a_face_measured_across_has_the_radius_of_its_halves() {
        for pattern in [PressurePattern::RunIn, PressurePattern::Even] {
            let across =
                friction_radius_across(Length::from_um(98_000), Length::from_um(62_000), pattern).unwrap();
            let halves = friction_radius(Length::from_um(49_000), Length::from_um(31_000), pattern).unwrap();
            assert_eq!(across, halves);
        }
        let refused = friction_radius_across(
            Length::from_um(62_000),
            Length::from_um(98_000),
            PressurePattern::RunIn,
        );
        assert!(matches!(
            refused,
            Err(MechanicsError::OutOfRange {
                what: "the outer diameter of the face",
                ..
            })
        ));
    }

    /// Every order of these plates, by counting through the bits.
    fn all_orders(gear: u32, case: u32) -> Vec<Vec<Keying>> {
        let plates = gear + case;
        (0..1_u32 << plates)
            .filter(|bits| bits.count_ones() == gear)
            .map(|bits| {
                let keying = |i: u32| {
                    if bits >> i & 1 == 1 {
                        Keying::Gear
                    } else {
                        Keying::Case
                    }
                };
                (0..plates).map(keying).collect()
            })
            .collect()
    }

    /// Distances of the dead faces from the wall, summed: counted apart from the code under test.
    fn dead_faces_from_wall(order: &[Keying], wall_is_face: bool) -> usize {
        let mut keys = order.to_vec();
        keys.push(Keying::Case);
        if wall_is_face {
            keys.insert(0, Keying::Case);
        }
        (1..keys.len()).filter(|&i| keys[i] == keys[i - 1]).sum()
    }

    #[test]
    fn alternating_plates_rub_on_both_sides() {
        use Keying::{Case, Gear};
        assert_eq!(active_faces(&[], true), 0);
        assert_eq!(active_faces(&[Case, Case], true), 0);
        assert_eq!(active_faces(&[Gear], true), 2);
        assert_eq!(active_faces(&[Gear], false), 1);
        assert_eq!(
            active_faces(&[Case, Gear, Case, Gear, Case, Gear, Case, Gear, Case], false),
            8
        );
    }

    #[test]
    fn negative_and_senseless_inputs_are_refused_by_name() {
        let out = |result: Result<f64, MechanicsError>, name: &str| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => assert_eq!(what, name),
            other => panic!("{other:?}"),
        };
        let (mm, none) = (Length::from_um(1000), Length::ZERO);
        let mu = |value| Ratio::new(value).unwrap();
        let newtons = |value| Force::from_newtons(value).unwrap();
        let nm = |value| Torque::from_newton_metres(value).unwrap();
        let radius = |outer, inner| friction_radius(outer, inner, PressurePattern::RunIn).map(Length::mm);
        out(radius(mm, -mm), "the inner radius of the face");
        out(radius(mm, mm), "the outer radius of the face");
        let torque = |m, f, r| pack_torque(4, m, f, r).map(Torque::newton_metres);
        out(torque(mu(-0.1), newtons(1.0), mm), "friction of the plates");
        out(torque(mu(0.1), newtons(-1.0), mm), "the force through the pack");
        out(torque(mu(0.1), newtons(1.0), none), "the friction radius");
        let back = |t, n, f, r| friction_from_torque(t, n, f, r).map(Ratio::value);
        out(back(nm(-1.0), 4, newtons(1e3), mm), "the torque of the pack");
        out(back(nm(1.0), 0, newtons(1e3), mm), "the number of faces");
        out(back(nm(1.0), 4, newtons(0.0), mm), "the force through the pack");
        out(back(nm(1.0), 4, newtons(1e3), -mm), "the friction radius");
        out(back(nm(100.0), 4, newtons(1e3), mm), "friction of the plates");
        assert!(matches!(
            pack_torque(u32::MAX, mu(1.0), newtons(f64::MAX), mm),
            Err(MechanicsError::NotFinite(_))
        ));
    }

    proptest! {
        #[test]
        fn an_order_exists_just_where_brute_force_finds_one(gear in 0_u32..6, case in 0_u32..6, wall in any::<bool>()) {
            let orders = all_orders(gear, case);
            let found: BTreeSet<u32> = orders.iter().map(|order| active_faces(order, wall)).collect();
            prop_assert_eq!(faces_possible(gear, case, wall), found.iter().copied().collect::<Vec<_>>());
            for faces in 0..=14 {
                let Some(order) = order_for_faces(gear, case, faces, wall) else {
                    prop_assert!(!found.contains(&faces));
                    continue;
                };
                prop_assert_eq!(active_faces(&order, wall), faces);
                let count = |key| order.iter().filter(|&&k| k == key).count() as u32;
                prop_assert_eq!((count(Keying::Gear), count(Keying::Case)), (gear, case));
                let least = orders.iter().filter(|order| active_faces(order, wall) == faces)
                    .map(|order| dead_faces_from_wall(order, wall)).min();
                prop_assert_eq!(Some(dead_faces_from_wall(&order, wall)), least);
            }
        }

        #[test]
        fn every_neighbour_is_a_live_face_or_a_dead_one(
            gears in prop::collection::vec(any::<bool>(), 0..20), wall in any::<bool>(),
        ) {
            let order: Vec<Keying> =
                gears.iter().map(|&gear| if gear { Keying::Gear } else { Keying::Case }).collect();
            let mut keys = vec![Keying::Case; usize::from(wall)];
            keys.extend(&order);
            keys.push(Keying::Case);
            let dead = keys.windows(2).filter(|pair| pair[0] == pair[1]).count();
            prop_assert_eq!(active_faces(&order, wall) as usize + dead, keys.len() - 1);
        }

        #[test]
        fn new_plates_hold_a_little_more_than_run_in_ones(inner in 1_i64..80_000, width in 1_i64..60_000) {
            let (inner, outer) = (Length::from_um(inner), Length::from_um(inner + width));
            let even = friction_radius(outer, inner, PressurePattern::Even).unwrap();
            let run_in = friction_radius(outer, inner, PressurePattern::RunIn).unwrap();
            prop_assert!(run_in <= even && inner < run_in && even < outer);
            // the difference is (r_o − r_i)²/(6 (r_o + r_i)): subtract one formula from the other
            let (o, i) = (outer.mm(), inner.mm());
            let expected = (o - i).powi(2) / (6.0 * (o + i));
            prop_assert!((even.mm() - run_in.mm() - expected).abs() <= 1.0e-6);
        }

        #[test]
        fn the_even_radius_is_the_integral_over_the_face(inner in 0_i64..80_000, width in 1000_i64..60_000) {
            let (inner, outer) = (Length::from_um(inner), Length::from_um(inner + width));
            let strips = 2000;
            let (mut moment, mut area) = (0.0, 0.0);
            for strip in 0..strips {
                let r = inner.mm() + (outer.mm() - inner.mm()) * (f64::from(strip) + 0.5) / f64::from(strips);
                area += r;
                moment += r * r;
            }
            let even = friction_radius(outer, inner, PressurePattern::Even).unwrap().mm();
            // the midpoint rule errs by about one part in strips², the length by half a nanometre
            prop_assert!((even - moment / area).abs() <= even * 1e-6);
        }

        #[test]
        fn friction_comes_back_from_its_torque(
            faces in 1_u32..30, mu in 0.001..1.0_f64, force in 1.0..1e5_f64, radius in 1_i64..200_000,
        ) {
            let (force, radius) = (Force::from_newtons(force).unwrap(), Length::from_um(radius));
            let torque = pack_torque(faces, Ratio::new(mu).unwrap(), force, radius).unwrap();
            let back = friction_from_torque(torque, faces, force, radius).unwrap().value();
            prop_assert!((back - mu).abs() <= 1e-12);
            let more = pack_torque(faces + 1, Ratio::new(mu).unwrap(), force, radius).unwrap();
            prop_assert!(more > torque);
            let twice = pack_torque(faces, Ratio::new(mu).unwrap(), force, radius * 2).unwrap();
            prop_assert!((twice.newton_metres() - 2.0 * torque.newton_metres()).abs() <= 1e-12 * twice.newton_metres());
        }
    }
}
