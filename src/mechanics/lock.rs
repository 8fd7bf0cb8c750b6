//! Locking: preload, ramps and packs together.

use super::error::{MechanicsError, above, friction_within, within};
use super::pack::pack_torque;
use super::ramp::{case_torque_within, gain, side_gear_thrust};
use crate::quantity::{Angle, Force, Length, RampAngle, Ratio, Torque};
use std::fmt;

/// Where the preload spring sits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SpringPlace {
    /// Between case wall and pack: wall, spring, pack, ring.
    BehindPack,
    /// Between the two pressure rings, pushing them apart.
    BetweenRings,
}

impl fmt::Display for SpringPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            SpringPlace::BehindPack => "behind the pack",
            SpringPlace::BetweenRings => "between the rings",
        })
    }
}

/// Which way torque goes through the case.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Direction {
    /// The engine drives the wheels.
    Drive,
    /// The wheels drive the engine.
    Coast,
}

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Direction::Drive => "drive",
            Direction::Coast => "coast",
        })
    }
}

/// The bevel side gears of a unit where their thrust presses on the packs; see [`side_gear_thrust`].
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct GearThrust {
    /// Mean pitch radius of the side gear.
    pub gear_radius: Length,
    /// Pressure angle of the teeth.
    pub pressure_angle: Angle,
    /// Pitch-cone angle of the side gear.
    pub pitch_angle: Angle,
}

/// Friction of the ring's tabs in the slots of the case, which holds the ring back.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TabFriction {
    /// Coefficient of friction, 0 to 1.
    pub friction: Ratio,
    /// Radius at which the tabs bear, above 0.
    pub radius: Length,
}

/// What the locking of a unit follows from. Pairs are left, right.
#[derive(Clone, PartialEq, Debug)]
pub struct LockSetup {
    /// Active faces of each pack.
    pub faces: [u32; 2],
    /// Friction of the plates, 0 to 1.
    pub friction: Ratio,
    /// Radius at which the friction acts, above 0.
    pub friction_radius: Length,
    /// Radius of the contact of pin and ramp, above 0.
    pub pin_radius: Length,
    /// Ramp that works on drive.
    pub drive: RampAngle,
    /// Ramp that works on coast.
    pub coast: RampAngle,
    /// Friction between pin and ramp, 0 to 1.
    pub ramp_friction: Ratio,
    /// Force of the preload spring on each pack, not below 0. In a unit whose rings float along one depth both are the
    /// same, by axial equilibrium.
    pub preload: [Force; 2],
    /// Where the preload spring sits.
    pub spring_place: SpringPlace,
    /// Side-gear thrust, where the unit says that it presses on the packs.
    pub gear_thrust: Option<GearThrust>,
    /// Friction of the ring's tabs, where it is counted.
    pub tab_friction: Option<TabFriction>,
}

/// The locking of a unit over the torque at its case.
///
/// With F_a the axial force of ramp and gear thrust on one pack and F0 its preload,
///
/// ```text
/// spring behind the pack     F_pack = max(F0, F_a)
/// spring between the rings   F_pack = F0 + F_a
/// F_a   = T · c,   c = max(0, k/(2 r_p) − μ_tab/(2 r_tab)) + tan α sin δ/(2 r_g)
/// ΔT(T) = Σ n μ r_f F_pack          over both packs
/// S     = Σ n μ r_f c               the share of the torque that the ramps lock;  ΔT0 = Σ n μ r_f F0
/// ```
///
/// Source: the balance of one ring and its pack. Why the place of the spring matters: take one ring and its pack free. Outwards the ring is pushed by the ramp, F_a,
/// and by whatever it rests on inside (the other ring or the pins), N, which can push and not pull; inwards by the pack,
/// F_pack. So F_pack = F_a + N with N ≥ 0. *Behind the pack* the spring reaches the ring only through the pack. At rest
/// F_pack = F0 and N = F0. As F_a grows the ring does not move, so spring and F_pack stay as they are and N falls, until
/// at F_a = F0 the ring lifts off: N = 0 and F_pack = F_a from there on. (Seated in a V on the pin the two flanks do the
/// same: with normal forces N1 and N2 the torque fixes the difference, (N1 − N2) sin θ = F_t, and the axial sum is
/// (N1 + N2) cos θ = F_t cot θ + 2 N2 cos θ with N2 ≥ 0.) *Between the rings* the spring pushes on the ring itself, with
/// the pack against the wall as a stop that takes all: F_pack = F0 + F_a. So a curve with the spring behind the pack
/// has a flat floor and a corner; the other starts at the same floor and rises at once.
///
/// The two rings are taken to share the torque at the case evenly. That is exact for equal packs; where they differ the
/// pins carry T less the difference of the two packs' torques, which is left out.
///
/// ```
/// use shimwright::mechanics::{Direction::{Coast, Drive}, LockModel, LockSetup, SpringPlace};
/// use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};
/// let setup = LockSetup {
///     faces: [8, 8],
///     friction: Ratio::new(0.1)?,
///     friction_radius: Length::from_um(50_000),
///     pin_radius: Length::from_um(40_000),
///     drive: RampAngle::new(45.0, Datum::RingFace)?,
///     coast: RampAngle::NONE,
///     ramp_friction: Ratio::new(0.0)?,
///     preload: [Force::from_newtons(1000.0)?; 2],
///     spring_place: SpringPlace::BehindPack,
///     gear_thrust: None,
///     tab_friction: None,
/// };
/// let model = LockModel::new(setup)?;
/// assert!((model.share(Drive).value() - 1.0).abs() < 1e-12 && model.share(Coast).value() == 0.0);
/// assert!((model.preload_torque().newton_metres() - 80.0).abs() < 1e-9);
/// // 1000 N of preload are overcome where 45 degree ramps at 40 mm give 1000 N
/// assert!((model.corner(Drive).unwrap().newton_metres() - 80.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct LockModel {
    setup: LockSetup,
    drive: Slope,
    coast: Slope,
    preload_torque: Torque,
}

/// What one direction's ramp does.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Slope {
    /// Axial force on one pack per torque at the case, in 1/m.
    force_per_torque: f64,
    share: Ratio,
    bias_ratio: Option<Ratio>,
    corner: Option<Torque>,
    locked_up_to: Option<Torque>,
}

impl LockModel {
    /// Checks the setup and works out what does not depend on the torque.
    ///
    /// Errors: a field of the setup outside the limits that it names.
    pub fn new(setup: LockSetup) -> Result<LockModel, MechanicsError> {
        within("the radius of the pins", setup.pin_radius, above(Length::ZERO))?;
        for faces in setup.faces {
            within("the number of faces", faces, ..=1000)?;
        }
        let mut preload_torque = 0.0;
        for (faces, preload) in setup.faces.into_iter().zip(setup.preload) {
            preload_torque +=
                pack_torque(faces, setup.friction, preload, setup.friction_radius)?.newton_metres();
        }
        let drive = Slope::new(&setup, setup.drive)?;
        let coast = Slope::new(&setup, setup.coast)?;
        Ok(LockModel {
            setup,
            drive,
            coast,
            preload_torque: Torque::from_newton_metres(preload_torque)?,
        })
    }

    /// The setup that the model was made from.
    pub fn setup(&self) -> &LockSetup {
        &self.setup
    }

    /// Force through the left and the right pack at a torque at the case, which is not below 0.
    ///
    /// Errors: torque out of range.
    pub fn pack_force(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<[Force; 2], MechanicsError> {
        let torque = case_torque_within(case_torque)?;
        let axial = self.slope(direction).force_per_torque * torque;
        let [left, right] = self.setup.preload.map(|preload| {
            let preload = preload.newtons();
            Force::from_newtons(match self.setup.spring_place {
                SpringPlace::BehindPack => preload.max(axial),
                SpringPlace::BetweenRings => preload + axial,
            })
        });
        Ok([left?, right?])
    }

    /// Difference of the torques left and right that the packs can hold at a torque at the case, which is not below 0.
    ///
    /// It may be more than the torque itself; then the axle turns as one and [`LockModel::split`] says what comes out.
    ///
    /// Errors: torque out of range.
    pub fn torque_difference(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<Torque, MechanicsError> {
        let forces = self.pack_force(direction, case_torque)?;
        let mut sum = 0.0;
        for (faces, force) in self.setup.faces.into_iter().zip(forces) {
            sum +=
                pack_torque(faces, self.setup.friction, force, self.setup.friction_radius)?.newton_metres();
        }
        Ok(Torque::from_newton_metres(sum)?)
    }

    /// S, the share of the torque that the ramps lock: the trade's locking percentage without preload,
    /// (T_slow − T_fast)/(T_slow + T_fast). At 1 and above the axle is solid under load.
    pub fn share(&self, direction: Direction) -> Ratio {
        self.slope(direction).share
    }

    /// ΔT0, the difference that the preload alone holds.
    pub fn preload_torque(&self) -> Torque {
        self.preload_torque
    }

    /// Bias ratio of the ramps, T_slow/T_fast = (1 + S)/(1 − S); `None` where S is 1 or more and there is no end to it.
    pub fn bias_ratio(&self, direction: Direction) -> Option<Ratio> {
        self.slope(direction).bias_ratio
    }

    /// Torques that come out at the slower and the faster wheel when the packs slip, or when the whole torque goes to
    /// one side: (T + ΔT)/2 and (T − ΔT)/2 with ΔT at most T.
    ///
    /// Errors: torque out of range.
    pub fn split(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<(Torque, Torque), MechanicsError> {
        let torque = case_torque.newton_metres();
        let difference = self
            .torque_difference(direction, case_torque)?
            .newton_metres()
            .min(torque);
        Ok((
            Torque::from_newton_metres(0.5 * (torque + difference))?,
            Torque::from_newton_metres(0.5 * (torque - difference))?,
        ))
    }

    /// The edge of what the packs hold: torques at the wheel that gets more and at the one that gets less while they slip,
    /// (T + ΔT)/2 and (T − ΔT)/2, at `points` torques T at the case from 0 to `most`.
    ///
    /// Between this edge and its mirror image the axle turns as one. Unlike [`LockModel::split`] the second is below 0 where
    /// the packs hold more than the case gives: one wheel is then dragged. Errors: torque out of range; less than 2 or more
    /// than 100 000 points.
    pub fn edge(
        &self,
        direction: Direction,
        most: Torque,
        points: usize,
    ) -> Result<Vec<(Torque, Torque)>, MechanicsError> {
        self.curve(direction, most, points)?
            .into_iter()
            .map(|(torque, difference)| {
                let (torque, difference) = (torque.newton_metres(), difference.newton_metres());
                Ok((
                    Torque::from_newton_metres(0.5 * (torque + difference))?,
                    Torque::from_newton_metres(0.5 * (torque - difference))?,
                ))
            })
            .collect()
    }

    /// The torque at the case from which the ramps add to a spring behind the pack, F0/c; the lower of the two where the
    /// packs differ. `None` without such a corner: spring between the rings, no preload, or a ramp that does not spread.
    pub fn corner(&self, direction: Direction) -> Option<Torque> {
        self.slope(direction).corner
    }

    /// The torque at the case up to which the packs hold all of it, ΔT(T) ≥ T, and the axle turns as one; `None` where
    /// that is so at any torque.
    pub fn locked_up_to(&self, direction: Direction) -> Option<Torque> {
        self.slope(direction).locked_up_to
    }

    /// Points of the lock curve, (T, ΔT), evenly spaced from 0 to `most`.
    ///
    /// Errors: `most` below 0; fewer than 2 or more than 100 000 points.
    pub fn curve(
        &self,
        direction: Direction,
        most: Torque,
        points: usize,
    ) -> Result<Vec<(Torque, Torque)>, MechanicsError> {
        within("the number of points", points, 2..=100_000)?;
        let most = case_torque_within(most)?;
        let last = (points - 1) as f64;
        (0..points)
            .map(|i| {
                let torque = Torque::from_newton_metres(most * (i as f64 / last))?;
                Ok((torque, self.torque_difference(direction, torque)?))
            })
            .collect()
    }

    fn slope(&self, direction: Direction) -> &Slope {
        match direction {
            Direction::Drive => &self.drive,
            Direction::Coast => &self.coast,
        }
    }
}

impl Slope {
    fn new(setup: &LockSetup, ramp: RampAngle) -> Result<Slope, MechanicsError> {
        let mut force_per_torque =
            gain(ramp, setup.ramp_friction)?.value() / (2.0 * setup.pin_radius.metres());
        if let Some(tabs) = setup.tab_friction {
            let friction = friction_within("friction of the ring's tabs", tabs.friction)?;
            let radius = within("the radius of the ring's tabs", tabs.radius, above(Length::ZERO))?;
            force_per_torque = (force_per_torque - friction / (2.0 * radius.metres())).max(0.0);
        }
        if let Some(gears) = setup.gear_thrust {
            let one = Torque::from_newton_metres(1.0)?;
            let thrust = side_gear_thrust(one, gears.gear_radius, gears.pressure_angle, gears.pitch_angle)?;
            force_per_torque += thrust.newtons();
        }
        // per pack: torque held per axial force (m), and preload (N)
        let lever = |faces: u32| f64::from(faces) * setup.friction.value() * setup.friction_radius.metres();
        let packs = [0, 1].map(|i| (lever(setup.faces[i]), setup.preload[i].newtons()));
        let share: f64 = packs.iter().map(|(lever, _)| lever * force_per_torque).sum();
        let behind = setup.spring_place == SpringPlace::BehindPack;
        let corner = packs
            .iter()
            .filter(|(_, preload)| behind && *preload > 0.0 && force_per_torque > 0.0)
            .map(|(_, preload)| preload / force_per_torque)
            .min_by(f64::total_cmp)
            .map(Torque::from_newton_metres)
            .transpose()?;
        let bias_ratio = (share < 1.0)
            .then(|| Ratio::new((1.0 + share) / (1.0 - share)))
            .transpose()?;
        let locked_up_to = (share < 1.0)
            .then(|| Torque::from_newton_metres(end_of_lock(packs, force_per_torque, behind)))
            .transpose()?;
        Ok(Slope {
            force_per_torque,
            share: Ratio::new(share)?,
            bias_ratio,
            corner,
            locked_up_to,
        })
    }
}

/// Where ΔT(T) = T, for a share below 1: each pack counts either by its preload or by its ramp (behind the pack), and
/// of the four ways to choose, each a straight line, the upper hull crosses last.
fn end_of_lock(packs: [(f64, f64); 2], force_per_torque: f64, behind: bool) -> f64 {
    let [left, right] = packs.map(|(lever, preload)| (lever * preload, lever * force_per_torque));
    if !behind {
        return (left.0 + right.0) / (1.0 - left.1 - right.1);
    }
    [
        left.0 + right.0,
        left.0 / (1.0 - right.1),
        right.0 / (1.0 - left.1),
        0.0,
    ]
    .into_iter()
    .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Datum;
    use Direction::{Coast, Drive};
    use proptest::prelude::*;

    fn nm(value: f64) -> Torque {
        Torque::from_newton_metres(value).unwrap()
    }

    fn newtons(value: f64) -> Force {
        Force::from_newtons(value).unwrap()
    }

    fn ratio(value: f64) -> Ratio {
        Ratio::new(value).unwrap()
    }

    fn setup() -> LockSetup {
        LockSetup {
            faces: [6, 6],
            friction: ratio(0.1),
            friction_radius: Length::from_um(50_000),
            pin_radius: Length::from_um(40_000),
            drive: RampAngle::new(45.0, Datum::RingFace).unwrap(),
            coast: RampAngle::new(30.0, Datum::ShaftAxis).unwrap(),
            ramp_friction: ratio(0.05),
            preload: [newtons(1500.0); 2],
            spring_place: SpringPlace::BehindPack,
            gear_thrust: None,
            tab_friction: None,
        }
    }

    fn held(model: &LockModel, direction: Direction, torque: f64) -> f64 {
        model
            .torque_difference(direction, nm(torque))
            .unwrap()
            .newton_metres()
    }

    #[test]
    fn a_field_out_of_range_is_refused_by_name() {
        let named = |change: fn(&mut LockSetup)| {
            let mut setup = setup();
            change(&mut setup);
            match LockModel::new(setup) {
                Err(MechanicsError::OutOfRange { what, .. }) => what,
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(named(|s| s.faces = [6, 1001]), "the number of faces");
        assert_eq!(named(|s| s.friction = ratio(-0.1)), "friction of the plates");
        assert_eq!(named(|s| s.friction_radius = Length::ZERO), "the friction radius");
        assert_eq!(named(|s| s.pin_radius = Length::ZERO), "the radius of the pins");
        assert_eq!(named(|s| s.ramp_friction = ratio(1.5)), "friction at the ramp");
        assert_eq!(
            named(|s| s.preload = [newtons(1.0), newtons(-1.0)]),
            "the force through the pack"
        );
        let tabs = |friction, radius| TabFriction {
            friction: ratio(friction),
            radius: Length::from_um(radius),
        };
        let with_tabs = |tabs| {
            LockModel::new(LockSetup {
                tab_friction: Some(tabs),
                ..setup()
            })
        };
        assert!(matches!(
            with_tabs(tabs(-0.1, 50_000)),
            Err(MechanicsError::OutOfRange {
                what: "friction of the ring's tabs",
                ..
            })
        ));
        assert!(matches!(
            with_tabs(tabs(0.1, 0)),
            Err(MechanicsError::OutOfRange {
                what: "the radius of the ring's tabs",
                ..
            })
        ));
        let model = LockModel::new(setup()).unwrap();
        let torque = "the torque at the case";
        assert!(
            matches!(model.pack_force(Drive, nm(-1.0)), Err(MechanicsError::OutOfRange { what, .. }) if what == torque)
        );
        assert!(
            matches!(model.split(Drive, nm(-1.0)), Err(MechanicsError::OutOfRange { what, .. }) if what == torque)
        );
        assert!(matches!(
            model.curve(Drive, nm(100.0), 1),
            Err(MechanicsError::OutOfRange {
                what: "the number of points",
                ..
            })
        ));
        assert!(matches!(
            model.torque_difference(Drive, nm(f64::MAX)),
            Err(MechanicsError::NotFinite(_))
        ));
    }

    #[test]
    fn a_share_of_one_is_a_solid_axle_and_has_no_bias_ratio() {
        let model = LockModel::new(LockSetup {
            faces: [20, 20],
            ..setup()
        })
        .unwrap();
        assert!(model.share(Drive).value() > 1.0);
        assert_eq!((model.bias_ratio(Drive), model.locked_up_to(Drive)), (None, None));
        let (slow, fast) = model.split(Drive, nm(500.0)).unwrap();
        assert_eq!((slow, fast), (nm(500.0), nm(0.0)));
    }

    #[test]
    fn a_ramp_that_does_not_spread_leaves_the_preload_alone() {
        let model = LockModel::new(LockSetup {
            coast: RampAngle::NONE,
            ..setup()
        })
        .unwrap();
        // 12 faces at 0.1 and 50 mm under 1500 N
        for torque in [0.0, 10.0, 1000.0] {
            assert!((held(&model, Coast, torque) - 90.0).abs() < 1e-9);
        }
        assert_eq!((model.corner(Coast), model.share(Coast)), (None, ratio(0.0)));
        assert_eq!(model.bias_ratio(Coast), Some(ratio(1.0)));
        assert!((model.locked_up_to(Coast).unwrap().newton_metres() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn tabs_take_from_the_ramp_and_never_below_nothing() {
        let tabs = |friction| {
            Some(TabFriction {
                friction: ratio(friction),
                radius: Length::from_um(60_000),
            })
        };
        let plain = LockModel::new(setup()).unwrap();
        let held_back = LockModel::new(LockSetup {
            tab_friction: tabs(0.1),
            ..setup()
        })
        .unwrap();
        // S falls by Σ n μ r_f · μ_tab/(2 r_tab) = 12 · 0.1 · 0.05 · 0.1/0.12
        let fall = plain.share(Drive).value() - held_back.share(Drive).value();
        assert!((fall - 0.05).abs() < 1e-12);
        let stuck = LockModel::new(LockSetup {
            tab_friction: tabs(1.0),
            coast: RampAngle::NONE,
            ..setup()
        })
        .unwrap();
        assert_eq!(stuck.share(Coast), ratio(0.0));
    }

    #[test]
    fn gear_thrust_adds_its_own_share() {
        let degrees = |value| Angle::from_degrees(value).unwrap();
        let thrust = GearThrust {
            gear_radius: Length::from_um(30_000),
            pressure_angle: degrees(22.5),
            pitch_angle: degrees(60.0),
        };
        let plain = LockModel::new(setup()).unwrap();
        let with = LockModel::new(LockSetup {
            gear_thrust: Some(thrust),
            ..setup()
        })
        .unwrap();
        // n μ r_f tan α sin δ / r_g
        let expected = 6.0 * 0.1 * 0.05 * 22.5_f64.to_radians().tan() * 60.0_f64.to_radians().sin() / 0.03;
        assert!((with.share(Drive).value() - plain.share(Drive).value() - expected).abs() < 1e-12);
    }

    #[test]
    fn the_curve_starts_at_the_preload_and_ends_at_the_last_torque() {
        let model = LockModel::new(setup()).unwrap();
        let curve = model.curve(Drive, nm(900.0), 10).unwrap();
        assert_eq!(curve.len(), 10);
        assert_eq!(curve[0], (nm(0.0), model.preload_torque()));
        assert_eq!(
            curve[9],
            (nm(900.0), model.torque_difference(Drive, nm(900.0)).unwrap())
        );
        assert!(
            curve
                .windows(2)
                .all(|pair| pair[0].0 < pair[1].0 && pair[0].1 <= pair[1].1)
        );
    }

    prop_compose! {
        fn any_setup()(
            faces in (0_u32..14, 0_u32..14), mu in 0.02..0.2_f64, ramps in (20.0..=90.0_f64, 20.0..=90.0_f64),
            ramp_friction in 0.0..0.2_f64, preload in (0.0..4000.0_f64, 0.0..4000.0_f64), behind in any::<bool>(),
            tabs in prop::option::of(0.0..0.2_f64), gears in any::<bool>(),
        ) -> LockSetup {
            let degrees = |value| Angle::from_degrees(value).unwrap();
            LockSetup {
                faces: [faces.0, faces.1],
                friction: ratio(mu),
                drive: RampAngle::new(ramps.0, Datum::RingFace).unwrap(),
                coast: RampAngle::new(ramps.1, Datum::RingFace).unwrap(),
                ramp_friction: ratio(ramp_friction),
                preload: [newtons(preload.0), newtons(preload.1)],
                spring_place: if behind { SpringPlace::BehindPack } else { SpringPlace::BetweenRings },
                tab_friction: tabs.map(|mu| TabFriction { friction: ratio(mu), radius: Length::from_um(60_000) }),
                gear_thrust: gears.then(|| GearThrust {
                    gear_radius: Length::from_um(30_000), pressure_angle: degrees(20.0), pitch_angle: degrees(55.0),
                }),
                ..setup()
            }
        }
    }

    proptest! {
        #[test]
        fn left_and_right_may_be_swapped(setup in any_setup(), torque in 0.0..3000.0_f64) {
            let mut mirrored = setup.clone();
            mirrored.faces.reverse();
            mirrored.preload.reverse();
            let (model, mirror) = (LockModel::new(setup).unwrap(), LockModel::new(mirrored).unwrap());
            for direction in [Drive, Coast] {
                let (a, b) = (held(&model, direction, torque), held(&mirror, direction, torque));
                prop_assert!((a - b).abs() <= 1e-9 * (1.0 + a));
                prop_assert_eq!(model.corner(direction), mirror.corner(direction));
                let mut forces = mirror.pack_force(direction, nm(torque)).unwrap();
                forces.reverse();
                prop_assert_eq!(model.pack_force(direction, nm(torque)).unwrap(), forces);
            }
        }

        #[test]
        fn more_of_anything_that_locks_never_locks_less(setup in any_setup(), torque in 0.0..3000.0_f64, more in 1.0..500.0_f64) {
            let model = LockModel::new(setup.clone()).unwrap();
            let before = held(&model, Drive, torque);
            let slack = 1e-9 * (1.0 + before);
            prop_assert!(held(&model, Drive, torque + more) >= before - slack);
            let changed = |change: &dyn Fn(&mut LockSetup)| {
                let mut setup = setup.clone();
                change(&mut setup);
                held(&LockModel::new(setup).unwrap(), Drive, torque)
            };
            prop_assert!(changed(&|s| s.faces[0] += 1) >= before - slack);
            prop_assert!(changed(&|s| s.preload[1] = newtons(s.preload[1].newtons() + more)) >= before - slack);
            prop_assert!(changed(&|s| s.friction = ratio(s.friction.value() + 0.05)) >= before - slack);
            // an angle that spreads less, and more friction at the ramp, never lock more
            let flatter = |s: &mut LockSetup| {
                let degrees = (s.drive.degrees_from_ring_face() + more / 50.0).min(90.0);
                s.drive = RampAngle::new(degrees, Datum::RingFace).unwrap();
            };
            prop_assert!(changed(&flatter) <= before + slack);
            prop_assert!(changed(&|s| s.ramp_friction = ratio(s.ramp_friction.value() + 0.05)) <= before + slack);
            // the same spring between the rings locks at least as much as behind the pack, at most twice as much
            let behind = changed(&|s| s.spring_place = SpringPlace::BehindPack);
            let between = changed(&|s| s.spring_place = SpringPlace::BetweenRings);
            prop_assert!(between >= behind - slack && between <= 2.0 * behind + slack);
        }

        #[test]
        fn the_split_adds_up_and_keeps_to_the_torque(setup in any_setup(), torque in 0.0..3000.0_f64) {
            let model = LockModel::new(setup).unwrap();
            for direction in [Drive, Coast] {
                let (slow, fast) = model.split(direction, nm(torque)).unwrap();
                let (slow, fast) = (slow.newton_metres(), fast.newton_metres());
                prop_assert!((slow + fast - torque).abs() <= 1e-9 * (1.0 + torque));
                prop_assert!(fast >= 0.0 && slow >= fast && slow <= torque);
                prop_assert!(slow - fast <= held(&model, direction, torque) + 1e-9 * (1.0 + torque));
            }
        }

        #[test]
        fn the_end_of_lock_is_where_the_curve_meets_the_torque(setup in any_setup()) {
            let model = LockModel::new(setup).unwrap();
            for direction in [Drive, Coast] {
                match model.locked_up_to(direction) {
                    Some(end) => {
                        let end = end.newton_metres();
                        prop_assert!((held(&model, direction, end) - end).abs() <= 1e-9 * (1.0 + end));
                        let past = end * 1.01 + 1.0;
                        prop_assert!(held(&model, direction, past) < past);
                        prop_assert!(held(&model, direction, 0.99 * end) >= 0.99 * end * (1.0 - 1e-12));
                    }
                    None => {
                        prop_assert!(model.share(direction).value() >= 1.0);
                        for torque in [0.0, 1.0, 50.0, 5000.0] {
                            prop_assert!(held(&model, direction, torque) >= torque * (1.0 - 1e-12));
                        }
                    }
                }
            }
        }

        #[test]
        fn the_corner_is_where_the_ramps_begin_to_add(setup in any_setup()) {
            let model = LockModel::new(setup).unwrap();
            if let Some(corner) = model.corner(Drive) {
                let floor = model.preload_torque().newton_metres();
                let corner = corner.newton_metres();
                prop_assert!((held(&model, Drive, 0.999 * corner) - floor).abs() <= 1e-9 * (1.0 + floor));
                let forces = model.pack_force(Drive, nm(corner * 1.001)).unwrap();
                prop_assert!(forces[0] > model.setup().preload[0] || forces[1] > model.setup().preload[1]);
            }
        }

        #[test]
        fn a_unit_of_twice_the_size_holds_the_same_share(setup in any_setup()) {
            let mut twice = setup.clone();
            twice.friction_radius = setup.friction_radius * 2;
            twice.pin_radius = setup.pin_radius * 2;
            twice.tab_friction = setup.tab_friction.map(|tabs| TabFriction { radius: tabs.radius * 2, ..tabs });
            twice.gear_thrust = setup.gear_thrust.map(|gears| GearThrust { gear_radius: gears.gear_radius * 2, ..gears });
            let (one, other) = (LockModel::new(setup).unwrap(), LockModel::new(twice).unwrap());
            prop_assert!((one.share(Drive).value() - other.share(Drive).value()).abs() <= 1e-9);
            let (a, b) = (one.preload_torque().newton_metres(), other.preload_torque().newton_metres());
            prop_assert!((2.0 * a - b).abs() <= 1e-9 * (1.0 + b));
        }

        #[test]
        fn without_preload_split_and_bias_ratio_agree(setup in any_setup(), torque in 1.0..3000.0_f64) {
            let model = LockModel::new(LockSetup { preload: [newtons(0.0); 2], ..setup }).unwrap();
            let (slow, fast) = model.split(Drive, nm(torque)).unwrap();
            let share = (slow.newton_metres() - fast.newton_metres()) / torque;
            prop_assert!((share - model.share(Drive).value().min(1.0)).abs() <= 1e-9);
            if let Some(bias) = model.bias_ratio(Drive) {
                prop_assert!((slow.newton_metres() / fast.newton_metres() - bias.value()).abs() <= 1e-6 * bias.value());
            }
        }
    }
}
