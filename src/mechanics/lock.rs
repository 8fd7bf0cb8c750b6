//! Locking: preload, ramps and packs together.

use super::error::{MechanicsError, within};
use super::pins::{Load, Pins};
use super::ramp::case_torque_within;
use super::setup::{Direction, LockSetup};
use crate::quantity::{Force, NotFinite, Ratio, Torque};

/// The locking of a unit over the torque at its case.
///
/// With s the pack of the wheel that turns slower and f the other one, τ what the pinions put on either side gear, F_a the
/// axial force of ramp and gear thrust on one pack and F0 its preload,
///
/// ```text
/// spring behind the pack     F_pack = max(F0, F_a)
/// spring between the rings   F_pack = F0 + F_a
/// F_a   = τ q,   q = max(0, k/r_p − μ_tab/r_tab) + tan α sin δ/r_g
/// 2τ    = T − M_s + M_f,   M_x = c_x F_x,   c_x = n_x μ r_f        what the pins carry
/// ΔT(T) = M_s + M_f;   ΔT0 = (c_s + c_f) F0
/// S     = (S_s + S_f)/(2 + S_s − S_f),   S_x = c_x q          the share of the torque that the ramps lock
/// ```
///
/// Two packs alike: 2τ = T and S = S_x. Source: the balance of one ring and its pack, and that of the case. Why the place of
/// the spring matters: take one ring and its pack free. Outwards the ring is pushed by the ramp, F_a,
/// and by whatever it rests on inside (the other ring or the pins), N, which can push and not pull; inwards by the pack,
/// F_pack. So F_pack = F_a + N with N ≥ 0. *Behind the pack* the spring reaches the ring only through the pack. At rest
/// F_pack = F0 and N = F0. As F_a grows the ring does not move, so spring and F_pack stay as they are and N falls, until
/// at F_a = F0 the ring lifts off: N = 0 and F_pack = F_a from there on. (Seated in a V on the pin the two flanks do the
/// same: with normal forces N1 and N2 the torque fixes the difference, (N1 − N2) sin θ = F_t, and the axial sum is
/// (N1 + N2) cos θ = F_t cot θ + 2 N2 cos θ with N2 ≥ 0.) *Between the rings* the spring pushes on the ring itself, with
/// the pack against the wall as a stop that takes all: F_pack = F0 + F_a. So a curve with the spring behind the pack
/// has a flat floor and a corner; the other starts at the same floor and rises at once.
///
/// What the pins carry: the case is driven by T. The slower wheel's pack takes M_s of it, the faster wheel's gives M_f back,
/// and the pins carry the rest, 2τ = T − M_s + M_f. So a unit with unequal packs locks differently to left and to right, and
/// it is solid from S_f = 1: the pack of the faster wheel decides alone. Where a function gives one figure it is that of the
/// side that locks less; [`LockModel::shares`] and [`LockModel::torque_differences`] give both. At little torque the pins
/// of a unit whose slower pack holds more carry a torque the other way, on the other ramp.
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
/// let model = LockModel::new(setup.clone())?;
/// assert!((model.share(Drive).value() - 1.0).abs() < 1e-12 && model.share(Coast).value() == 0.0);
/// assert!((model.preload_torque().newton_metres() - 80.0).abs() < 1e-9);
/// // 1000 N of preload are overcome where 45 degree ramps at 40 mm give 1000 N
/// assert!((model.corner(Drive).unwrap().newton_metres() - 80.0).abs() < 1e-9);
/// // S_x is 1 and 0.75: (1 + 0.75)/(2 ± 0.25), by which wheel turns slower
/// let [left_slower, right_slower] = LockModel::new(LockSetup { faces: [8, 6], ..setup })?.shares(Drive).map(Option::unwrap);
/// assert!((left_slower.value() - 1.75 / 2.25).abs() < 1e-12 && (right_slower.value() - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct LockModel {
    setup: LockSetup,
    pins: Pins,
    drive: Slope,
    coast: Slope,
    preload_torque: Torque,
}

/// What one direction's ramp does.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Slope {
    share: Ratio,
    bias_ratio: Option<Ratio>,
    corner: Option<Torque>,
    locked_up_to: Option<Torque>,
}

/// The difference that stands for one without end, in newton metres: no torque makes those packs slip, and no shaft holds it.
const WITHOUT_END: f64 = 1e6;

impl LockModel {
    /// Checks the setup and works out what does not depend on the torque.
    ///
    /// # Errors
    ///
    /// A field of the setup outside the limits that it names.
    pub fn new(setup: LockSetup) -> Result<LockModel, MechanicsError> {
        let pins = Pins::of(&setup)?;
        Ok(LockModel {
            drive: Slope::new(&pins, Direction::Drive)?,
            coast: Slope::new(&pins, Direction::Coast)?,
            preload_torque: Torque::from_newton_metres(pins.at_rest(0) + pins.at_rest(1))?,
            pins,
            setup,
        })
    }

    /// The setup that the model was made from.
    pub fn setup(&self) -> &LockSetup {
        &self.setup
    }

    /// Forces through the left and the right pack while they slip, at a torque at the case, which is not below 0: with the left
    /// wheel as the slower one, and with the right.
    ///
    /// # Errors
    ///
    /// Torque out of range; a side that no torque makes slower.
    pub fn pack_forces(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<[[Force; 2]; 2], MechanicsError> {
        let torque = case_torque_within(case_torque)?;
        let of = |slower: usize| -> Result<[Force; 2], MechanicsError> {
            let load = self.pins.slipping(direction, torque, slower).ok_or(NotFinite)?;
            Ok([
                Force::from_newtons(self.pins.force(0, load))?,
                Force::from_newtons(self.pins.force(1, load))?,
            ])
        };
        Ok([of(0)?, of(1)?])
    }

    /// Difference of the torques left and right that the packs can hold at a torque at the case, which is not below 0; of the
    /// two sides the one that holds less.
    ///
    /// It may be more than the torque itself; then the axle turns as one and [`LockModel::split`] says what comes out.
    ///
    /// # Errors
    ///
    /// Torque out of range.
    pub fn torque_difference(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<Torque, MechanicsError> {
        let [left, right] = self.torque_differences(direction, case_torque)?;
        Ok(if right < left { right } else { left })
    }

    /// The same with the left, and with the right wheel as the one that turns slower. Where no difference makes the packs slip,
    /// each newton metre pressing for more than one, it is 1e6 N·m, which no shaft holds.
    ///
    /// # Errors
    ///
    /// Torque out of range.
    pub fn torque_differences(
        &self,
        direction: Direction,
        case_torque: Torque,
    ) -> Result<[Torque; 2], MechanicsError> {
        let torque = case_torque_within(case_torque)?;
        let held = |slower: usize| {
            let load = self.pins.slipping(direction, torque, slower);
            Torque::from_newton_metres(load.map_or(WITHOUT_END.max(torque), |load| {
                self.pins.torque(0, load) + self.pins.torque(1, load)
            }))
        };
        Ok([held(0)?, held(1)?])
    }

    /// S, the share of the torque that the ramps lock: the trade's locking percentage without preload,
    /// (T_slow − T_fast)/(T_slow + T_fast); of the two sides the lesser. At 1 and above the axle is solid under load.
    pub fn share(&self, direction: Direction) -> Ratio {
        self.slope(direction).share
    }

    /// S with the left, and with the right wheel as the one that turns slower; `None` where it has no end.
    pub fn shares(&self, direction: Direction) -> [Option<Ratio>; 2] {
        [0, 1].map(|slower| Ratio::new(self.pins.share_of_both(direction, slower)?).ok())
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
    /// # Errors
    ///
    /// Torque out of range.
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
    /// the packs hold more than the case gives: one wheel is then dragged.
    ///
    /// # Errors
    ///
    /// Torque out of range; less than 2 or more than 100 000 points.
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

    /// The torque at the case from which the ramps add to a spring behind the pack, 2 F0/q for packs alike; where they differ, the
    /// one from which they add whichever wheel turns slower. `None` without such a corner: spring between the rings, no preload,
    /// or a ramp that does not spread.
    pub fn corner(&self, direction: Direction) -> Option<Torque> {
        self.slope(direction).corner
    }

    /// The torque at the case up to which the packs hold all of it, ΔT(T) ≥ T, and the axle turns as one, whichever wheel is
    /// slower; `None` where that is so at any torque.
    pub fn locked_up_to(&self, direction: Direction) -> Option<Torque> {
        self.slope(direction).locked_up_to
    }

    /// Points of the lock curve, (T, ΔT), evenly spaced from 0 to `most`.
    ///
    /// # Errors
    ///
    /// `most` below 0; fewer than 2 or more than 100 000 points.
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

    /// The torque at the case at which the packs slip with `low` at the wheel that gets less, in newton metres; of the two
    /// sides the one that slips sooner. `None` where they never slip so.
    ///
    /// The faster wheel gets low = τ − M_f, and so τ = low + c_f F_f(τ); the slower one gets τ + M_s.
    pub(super) fn slips_at(&self, direction: Direction, low: f64) -> Option<f64> {
        let sooner = |slower| self.pins.slips_at(direction, low, slower);
        [sooner(0), sooner(1)]
            .into_iter()
            .flatten()
            .min_by(f64::total_cmp)
    }
}

impl Pins {
    /// What the pins carry while the packs slip, 2τ = T − M_s + M_f.
    fn slipping(&self, direction: Direction, torque: f64, slower: usize) -> Option<Load> {
        let mut weights = [1.0; 2];
        weights[slower] = -1.0;
        self.balance(2.0, torque, weights, direction)
    }

    fn share_of_both(&self, direction: Direction, slower: usize) -> Option<f64> {
        let (slow, fast) = (self.share(slower, direction), self.share(1 - slower, direction));
        let below = 2.0 + slow - fast;
        (below > 0.0).then(|| (slow + fast) / below)
    }

    fn slips_at(&self, direction: Direction, low: f64, slower: usize) -> Option<f64> {
        let mut weights = [1.0; 2];
        weights[slower] = 0.0;
        let load = self.balance(1.0, low, weights, direction)?;
        // at a share of just 1 the two lines lie on each other: that has no end
        let faster = self.share(1 - slower, direction);
        (faster < 1.0).then(|| low + load.torque + self.torque(slower, load))
    }
}

impl Slope {
    fn new(pins: &Pins, direction: Direction) -> Result<Slope, MechanicsError> {
        let share = [0, 1]
            .into_iter()
            .filter_map(|slower| pins.share_of_both(direction, slower))
            .fold(f64::INFINITY, f64::min);
        let q = pins.ramp(direction).rising;
        let first = [0, 1]
            .map(|side| pins.preload(side))
            .into_iter()
            .filter(|preload| pins.is_behind() && *preload > 0.0 && q > 0.0)
            .min_by(f64::total_cmp);
        let corner = first
            .map(|preload| 2.0 * preload / q + (pins.at_rest(0) - pins.at_rest(1)).abs())
            .map(Torque::from_newton_metres)
            .transpose()?;
        let bias_ratio = (share < 1.0)
            .then(|| Ratio::new((1.0 + share) / (1.0 - share)))
            .transpose()?;
        let locked_up_to = [0, 1]
            .into_iter()
            .filter_map(|slower| pins.slips_at(direction, 0.0, slower))
            .min_by(f64::total_cmp)
            .map(Torque::from_newton_metres)
            .transpose()?;
        Ok(Slope {
            share: Ratio::new(share)?,
            bias_ratio,
            corner,
            locked_up_to,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::setup::{GearThrust, SpringPlace, TabFriction};
    use crate::quantity::{Angle, Datum, Length, RampAngle};
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
            matches!(model.pack_forces(Drive, nm(-1.0)), Err(MechanicsError::OutOfRange { what, .. }) if what == torque)
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

    /// From the rule S = (S_s + S_f)/(2 + S_s − S_f) by hand: S_x is n · 0.1 · 40 mm · 0.8868/31 mm = 0.11443 n.
    #[test]
    fn unequal_packs_lock_differently_to_left_and_right() {
        let shares = |faces: [u32; 2]| {
            let model = LockModel::new(LockSetup {
                faces,
                friction_radius: Length::from_um(40_000),
                pin_radius: Length::from_um(31_000),
                ramp_friction: ratio(0.06),
                ..setup()
            })
            .unwrap();
            (
                model.shares(Drive).map(|share| share.unwrap().value()),
                model.share(Drive).value(),
            )
        };
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 5e-4, "{found} {wanted}");
        let ([left_slower, right_slower], lesser) = shares([8, 6]);
        near(left_slower, 0.719);
        near(right_slower, 0.904);
        near(lesser, 0.719);
        let ([left_slower, _], _) = shares([8, 10]);
        near(left_slower, 1.163);
        // the faster wheel's pack alone decides from where on it is solid
        let model = LockModel::new(LockSetup {
            faces: [40, 6],
            friction_radius: Length::from_um(40_000),
            pin_radius: Length::from_um(31_000),
            ramp_friction: ratio(0.06),
            ..setup()
        })
        .unwrap();
        assert!(model.share(Drive).value() < 1.0 && model.locked_up_to(Drive).is_some());
        assert!(model.shares(Drive)[1].is_none_or(|share| share.value() > 1.0));
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
        /// Packs alike.
        fn any_setup()(setup in any_uneven()) -> LockSetup {
            LockSetup { faces: [setup.faces[0]; 2], preload: [setup.preload[0]; 2], ..setup }
        }
    }

    prop_compose! {
        fn any_uneven()(
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
        fn left_and_right_may_be_swapped(setup in any_uneven(), torque in 0.0..3000.0_f64) {
            let mut mirrored = setup.clone();
            mirrored.faces.reverse();
            mirrored.preload.reverse();
            let (model, mirror) = (LockModel::new(setup).unwrap(), LockModel::new(mirrored).unwrap());
            for direction in [Drive, Coast] {
                let (a, b) = (held(&model, direction, torque), held(&mirror, direction, torque));
                prop_assert!((a - b).abs() <= 1e-9 * (1.0 + a));
                prop_assert_eq!(model.corner(direction), mirror.corner(direction));
                // no torque may make a side slip, and then neither that of the mirror
                let (Ok(ours), Ok([left, right])) =
                    (model.pack_forces(direction, nm(torque)), mirror.pack_forces(direction, nm(torque)))
                else {
                    continue;
                };
                // the balance adds the left side first, so the last bit of a force may differ
                let theirs = [right, left].map(|[left, right]| [right, left]);
                for (one, other) in ours.into_iter().flatten().zip(theirs.into_iter().flatten()) {
                    let off = (one.newtons() - other.newtons()).abs();
                    prop_assert!(off <= 1e-12 * one.newtons().max(1.0), "{one} {other}");
                }
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
            prop_assert!(changed(&|s| s.faces = s.faces.map(|faces| faces + 1)) >= before - slack);
            let pressed = |force: Force| newtons(force.newtons() + more);
            prop_assert!(changed(&|s| s.preload = s.preload.map(pressed)) >= before - slack);
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

        /// The case: T into it, M_s out of it to the slower wheel, M_f back from the faster one, the rest through the pins.
        #[test]
        fn unequal_packs_slip_where_the_case_is_balanced(setup in any_uneven(), torque in 0.0..3000.0_f64) {
            let model = LockModel::new(setup).unwrap();
            let pins = Pins::of(model.setup()).unwrap();
            let both = model.torque_differences(Drive, nm(torque)).unwrap();
            for slower in [0, 1] {
                let Some(load) = pins.slipping(Drive, torque, slower) else {
                    prop_assert!(both[slower].newton_metres() >= WITHOUT_END);
                    continue;
                };
                let (slow, fast) = (pins.torque(slower, load), pins.torque(1 - slower, load));
                let carried = torque - slow + fast;
                let slack = 1e-9 * (1.0 + torque + slow + fast);
                prop_assert!((carried.abs() - 2.0 * load.torque).abs() <= slack);
                // pushed the other way, the other ramp works
                let ramp = if carried >= -slack { Drive } else { Coast };
                prop_assert!(carried.abs() <= slack || (load.q - pins.ramp(ramp).rising).abs() < 1e-12);
                prop_assert!((both[slower].newton_metres() - slow - fast).abs() <= slack);
                prop_assert!(model.torque_difference(Drive, nm(torque)).unwrap() <= both[slower]);
            }
            // where one wheel hangs free the case-held reading is that same balance
            if let Some(end) = model.locked_up_to(Drive).filter(|_| pins.share(0, Drive).max(pins.share(1, Drive)) < 0.99) {
                let end = end.newton_metres();
                prop_assert!((held(&model, Drive, end) - end).abs() <= 1e-6 * (1.0 + end));
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
                let [forces, _] = model.pack_forces(Drive, nm(corner * 1.001)).unwrap();
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
