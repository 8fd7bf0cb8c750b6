//! What a unit can be built with, and what it can be stepped to.

use super::error::{MechanicsError, within};
use super::setup::LockSetup;
use crate::quantity::{Datum, Force, RampAngle, Ratio};

/// The most combinations that are compared.
const MOST_COMBINATIONS: usize = 100_000;

/// What a unit can be built with. The setup that is compared with is always tried too.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Options {
    /// Ramps of the rings, drive and coast.
    pub ramps: Vec<[RampAngle; 2]>,
    /// Faces that rub, in each pack.
    pub faces: Vec<u32>,
    /// Forces of the preload on each pack.
    pub preload: Vec<Force>,
}

/// One combination of what is offered.
#[derive(Clone, PartialEq, Debug)]
pub struct Combination {
    /// The setup that it makes.
    pub setup: LockSetup,
    /// Rings, faces, preload: how many of the three are other than they were.
    pub changes: u32,
}

/// One thing that can be changed by one step.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Change {
    /// So many faces in each pack.
    Faces(u32),
    /// Another ramp on drive.
    Drive(RampAngle),
    /// Another ramp on coast.
    Coast(RampAngle),
    /// 10 N·m more or less between the wheels, held by so much force on each pack.
    Preload(Force),
    /// Plates worn to their limits, which leaves so much force on each pack.
    Worn(Force),
    /// Another friction of the plates, by their facing or the oil.
    Friction(Ratio),
}

/// What a unit can be stepped to.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Near {
    /// Every count of faces that the plates can make in both packs.
    pub faces: Vec<u32>,
    /// Every ramp that is offered on drive; 5° more and less where there is none.
    pub drive: Vec<RampAngle>,
    /// Every ramp that is offered on coast; likewise.
    pub coast: Vec<RampAngle>,
    /// The force that worn plates leave on each pack, where there is a spring.
    pub worn: Option<Force>,
}

/// Every combination of what is offered and what the unit has, in the order of the offer.
///
/// Source: counting.
///
/// # Errors
///
/// More than 100 000 combinations.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::tune::{Options, combinations};
/// use shimwright::mechanics::{LockSetup, SpringPlace};
/// use shimwright::quantity::{Force, Length, RampAngle, Ratio};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// let unit = LockSetup {
///     faces: [8, 8], friction: Ratio::new(0.1)?, friction_radius: mm(40), pin_radius: mm(31),
///     drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.06)?,
///     preload: [Force::from_newtons(1000.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// };
/// let offered = Options { faces: vec![6, 8, 10, 12], ..Options::default() };
/// let found = combinations(&unit, &offered)?;
/// assert_eq!(found.len(), 4);
/// assert_eq!(found.iter().filter(|one| one.changes == 0).count(), 1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn combinations(unit: &LockSetup, options: &Options) -> Result<Vec<Combination>, MechanicsError> {
    let ramps = with_own([unit.drive, unit.coast], &options.ramps);
    let faces: Vec<[u32; 2]> = options.faces.iter().map(|n| [*n; 2]).collect();
    let faces = with_own(unit.faces, &faces);
    let preload: Vec<[Force; 2]> = options.preload.iter().map(|f| [*f; 2]).collect();
    let preload = with_own(unit.preload, &preload);
    let count = ramps
        .len()
        .saturating_mul(faces.len())
        .saturating_mul(preload.len());
    within("the number of combinations", count, ..=MOST_COMBINATIONS)?;
    let mut all = Vec::with_capacity(count);
    for [drive, coast] in ramps {
        for faces in &faces {
            for preload in &preload {
                let changes = [
                    (drive, coast) != (unit.drive, unit.coast),
                    *faces != unit.faces,
                    *preload != unit.preload,
                ];
                all.push(Combination {
                    setup: LockSetup {
                        drive,
                        coast,
                        faces: *faces,
                        preload: *preload,
                        ..unit.clone()
                    },
                    changes: changes.iter().filter(|changed| **changed).count() as u32,
                });
            }
        }
    }
    Ok(all)
}

/// One step of each thing from a unit: a face, a ramp, 10 N·m of preload, worn plates, a friction that is 0.02 other. Steps
/// that the unit can not take are left out.
///
/// Source: common practice, no source.
///
/// # Errors
///
/// A number past its range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::tune::{Change, Near, steps};
/// use shimwright::mechanics::{LockSetup, SpringPlace};
/// use shimwright::quantity::{Force, Length, RampAngle, Ratio};
/// # let mm = |mm: i64| Length::from_um(1000 * mm);
/// let unit = LockSetup {
///     faces: [8, 8], friction: Ratio::new(0.1)?, friction_radius: mm(40), pin_radius: mm(31),
///     drive: RampAngle::NONE, coast: RampAngle::NONE, ramp_friction: Ratio::new(0.06)?,
///     preload: [Force::from_newtons(0.0)?; 2], spring_place: SpringPlace::BehindPack, gear_thrust: None, tab_friction: None,
/// };
/// let near = Near { faces: vec![6, 8, 10], ..Near::default() };
/// let found = steps(&unit, &near)?;
/// assert_eq!((found[0].0, found[1].0), (Change::Faces(6), Change::Faces(10)));
/// assert_eq!(found[0].1.faces, [6, 6]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn steps(unit: &LockSetup, near: &Near) -> Result<Vec<(Change, LockSetup)>, MechanicsError> {
    let mut changes = Vec::new();
    let [left, right] = unit.faces;
    changes.extend(
        near.faces
            .iter()
            .rev()
            .find(|n| **n < left.min(right) && **n > 0)
            .map(|n| Change::Faces(*n)),
    );
    changes.extend(
        near.faces
            .iter()
            .find(|n| **n > left.max(right))
            .map(|n| Change::Faces(*n)),
    );
    changes.extend(neighbours(unit.drive, &near.drive).into_iter().map(Change::Drive));
    changes.extend(neighbours(unit.coast, &near.coast).into_iter().map(Change::Coast));
    let lever = f64::from(left + right) * unit.friction.value() * unit.friction_radius.metres();
    let mean = 0.5 * (unit.preload[0].newtons() + unit.preload[1].newtons());
    if lever > 0.0 && mean > 0.0 {
        for step in [-10.0, 10.0] {
            let force = mean + step / lever;
            if force >= 0.0 {
                changes.push(Change::Preload(Force::from_newtons(force)?));
            }
        }
    }
    changes.extend(near.worn.map(Change::Worn));
    for step in [-0.02, 0.02] {
        let friction = unit.friction.value() + step;
        if friction > 0.0 && friction <= 1.0 {
            changes.push(Change::Friction(Ratio::new(friction)?));
        }
    }
    let stepped = changes.into_iter().map(|change| {
        let mut setup = unit.clone();
        match change {
            Change::Faces(faces) => setup.faces = [faces; 2],
            Change::Drive(ramp) => setup.drive = ramp,
            Change::Coast(ramp) => setup.coast = ramp,
            Change::Preload(force) | Change::Worn(force) => setup.preload = [force; 2],
            Change::Friction(friction) => setup.friction = friction,
        }
        (change, setup)
    });
    Ok(stepped.collect())
}

/// What the unit has, and then what else is offered, each once.
fn with_own<T: PartialEq + Copy>(own: T, offered: &[T]) -> Vec<T> {
    let mut all = vec![own];
    for one in offered {
        if !all.contains(one) {
            all.push(*one);
        }
    }
    all
}

/// The next ramp that spreads more and the next that spreads less; 5° away where none is offered.
fn neighbours(ramp: RampAngle, offered: &[RampAngle]) -> Vec<RampAngle> {
    // a datum turned into the other leaves only rounding
    const SAME: f64 = 1e-9;
    let own = ramp.degrees_from_ring_face();
    let mut degrees: Vec<RampAngle> = offered.to_vec();
    if !offered
        .iter()
        .any(|one| (one.degrees_from_ring_face() - own).abs() > SAME)
    {
        degrees.extend(
            [own - 5.0, own + 5.0]
                .iter()
                .filter_map(|d| RampAngle::new(*d, Datum::RingFace).ok()),
        );
    }
    degrees.sort_by(|a, b| a.degrees_from_ring_face().total_cmp(&b.degrees_from_ring_face()));
    let more = degrees
        .iter()
        .rev()
        .find(|one| one.degrees_from_ring_face() < own - SAME);
    let less = degrees
        .iter()
        .find(|one| one.degrees_from_ring_face() > own + SAME);
    more.into_iter().chain(less).copied().collect()
}
