//! Locking: preload, ramps and packs together.

use super::error::{MechanicsError, within};
use super::pins::{Load, Pins};
use super::ramp::case_torque_within;
use super::setup::{Direction, LockSetup};
use super::tabs::PlateTabs;
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
/// | symbol | parameter | unit |
/// |---|---|---|
/// | T | `case_torque` | N·m, 0 and above |
/// | F0 | `setup.preload` | N, 0 and above |
/// | n | `setup.faces` | count, at most 1000 |
/// | μ | `setup.friction` of the plates | ratio, 0 to 1 |
/// | r_f | `setup.friction_radius` | m, above 0 |
/// | r_p | `setup.pin_radius` | m, above 0 |
/// | k | [`gain`](super::ramp::gain) of `setup.drive` or `setup.coast` with `setup.ramp_friction` | ratio; friction 0 to 1 |
/// | μ_tab, r_tab | `setup.tab_friction` | ratio, 0 to 1; m, above 0 |
/// | r_g, α, δ | `setup.gear_thrust` | m, above 0; °, 0 to 45; °, 0 to 90 |
/// | behind, between | `setup.spring_place` | – |
/// | ΔT(T), ΔT0, S | [`LockModel::torque_difference`], [`LockModel::preload_torque`], [`LockModel::share`] | N·m; N·m; share |
///
/// Two packs alike: 2τ = T and S = S_x.
///
/// Source: the balance of one ring and its pack, and that of the case.
///
/// Why the place of the spring matters: take one ring and its pack free. Outwards the ring is pushed by the ramp,
/// F_a, and by whatever it rests on inside (the other ring or the pins), N, which can push and not pull; inwards by
/// the pack, F_pack. So F_pack = F_a + N with N ≥ 0. *Behind the pack* the spring reaches the ring only through the
/// pack. At rest F_pack = F0 and N = F0. As F_a grows the ring does not move, so spring and F_pack stay as they are
/// and N falls, until at F_a = F0 the ring lifts off: N = 0 and F_pack = F_a from there on. (Seated in a V on the pin
/// the two flanks do the same: with normal forces N1 and N2 the torque fixes the difference, (N1 − N2) sin θ = F_t,
/// and the axial sum is (N1 + N2) cos θ = F_t cot θ + 2 N2 cos θ with N2 ≥ 0.) *Between the rings* the spring pushes
/// on the ring itself, with the pack against the wall as a stop that takes all: F_pack = F0 + F_a. So a curve with
/// the spring behind the pack has a flat floor and a corner; the other starts at the same floor and rises at once.
///
/// What the pins carry: the case is driven by T. The slower wheel's pack takes M_s of it, the faster wheel's gives M_f back,
/// and the pins carry the rest, 2τ = T − M_s + M_f. So a unit with unequal packs locks differently to left and to right, and
/// it is solid from S_f = 1: the pack of the faster wheel decides alone. Where a function gives one figure it is that of the
/// side that locks less; [`LockModel::shares`] and [`LockModel::torque_differences`] give both. At little torque the pins
/// of a unit whose slower pack holds more carry a torque the other way, on the other ramp.
///
/// # Example
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
        LockModel::of(setup, pins)
    }

    fn of(setup: LockSetup, pins: Pins) -> Result<LockModel, MechanicsError> {
        Ok(LockModel {
            drive: Slope::new(&pins, Direction::Drive)?,
            coast: Slope::new(&pins, Direction::Coast)?,
            preload_torque: Torque::from_newton_metres(pins.at_rest(0) + pins.at_rest(1))?,
            pins,
            setup,
        })
    }

    /// The same with plates whose tabs and splines hold some of it back while the torque rises, F then being its mean over the
    /// faces: each has its share of F_a as [`force_behind_tabs`] marches, and a spring behind the pack holds each at F0 at the least.
    ///
    /// # Errors
    ///
    /// A radius or a friction out of range; so much friction that a plate holds all of it.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::mechanics::{tabs::PlateTabs, Direction::Drive, LockModel, LockSetup, SpringPlace};
    /// use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};
    /// # let setup = LockSetup {
    /// #     faces: [10, 10], friction: Ratio::new(0.1)?, friction_radius: Length::from_um(40_000),
    /// #     pin_radius: Length::from_um(31_000), drive: RampAngle::new(45.0, Datum::RingFace)?, coast: RampAngle::NONE,
    /// #     ramp_friction: Ratio::new(0.05)?, preload: [Force::from_newtons(1000.0)?; 2],
    /// #     spring_place: SpringPlace::BetweenRings, gear_thrust: None, tab_friction: None,
    /// # };
    /// let tabs = PlateTabs { inside: Length::from_um(28_000), outside: Length::from_um(55_000), friction: Ratio::new(0.1)? };
    /// let plain = LockModel::new(setup)?;
    /// let behind = plain.clone().with_tabs(tabs)?;
    /// // the preload was there before any torque; of the ramps' share 0.91 is left
    /// assert_eq!(behind.preload_torque(), plain.preload_torque());
    /// assert!((behind.share(Drive).value() / plain.share(Drive).value() - 0.91).abs() < 0.005);
    /// // and while the torque falls the packs hold on
    /// assert!(behind.falling(Drive)?.unwrap().share(Drive) > plain.share(Drive));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// [`force_behind_tabs`]: super::tabs::force_behind_tabs
    pub fn with_tabs(self, tabs: PlateTabs) -> Result<LockModel, MechanicsError> {
        let passed = tabs.passed(self.setup.friction, self.setup.friction_radius)?;
        LockModel::of(self.setup, self.pins.with_tabs(passed))
    }

    /// The same unit in one direction while the torque falls: ramp, ring and plates hold on, by the friction that held back while it
    /// rose. `None` where the ring does not let go by itself. What it gives is held at the most, and never more than at the
    /// torque from which it fell.
    ///
    /// # Errors
    ///
    /// A result past a number's range.
    pub fn falling(&self, direction: Direction) -> Result<Option<LockModel>, MechanicsError> {
        let falling = self.pins.falling(direction);
        falling
            .map(|pins| LockModel::of(self.setup.clone(), pins))
            .transpose()
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
        let held = |slower: usize| Torque::from_newton_metres(self.pins.held(direction, torque, slower));
        Ok([held(0)?, held(1)?])
    }

    /// [`LockModel::torque_difference`] in newton metres, for a torque that is known to be in range.
    pub(super) fn holds(&self, direction: Direction, torque: f64) -> f64 {
        self.pins.holds(direction, torque)
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

    /// Bias ratio of the ramps; `None` where S is 1 or more and there is no end to it.
    ///
    /// ```text
    /// T_slow/T_fast = (1 + S)/(1 − S)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | T_slow/T_fast | the result | ratio |
    /// | S | [`LockModel::share`] in the `direction` | share, below 1 |
    ///
    /// Source: the torques of [`LockModel::split`] without preload.
    pub fn bias_ratio(&self, direction: Direction) -> Option<Ratio> {
        self.slope(direction).bias_ratio
    }

    /// Torques that come out at the slower and the faster wheel when the packs slip, or when the whole torque goes to
    /// one side.
    ///
    /// ```text
    /// T_slow = (T + ΔT)/2,   T_fast = (T − ΔT)/2,   ΔT at most T
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | T_slow, T_fast | the result | N·m |
    /// | T | `case_torque` | N·m, 0 and above |
    /// | ΔT | [`LockModel::torque_difference`] at T in the `direction` | N·m |
    ///
    /// Source: as [`LockModel`].
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

    /// The edge of what the packs hold: torques at the wheel that gets more and at the one that gets less while they
    /// slip.
    ///
    /// ```text
    /// (T + ΔT)/2,   (T − ΔT)/2
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | T | `points` torques at the case from 0 to `most` | N·m, `most` 0 and above; 2 to 100 000 points |
    /// | ΔT | [`LockModel::torque_difference`] at T in the `direction` | N·m |
    ///
    /// Between this edge and its mirror image the axle turns as one. Unlike [`LockModel::split`] the second is below
    /// 0 where the packs hold more than the case gives: one wheel is then dragged.
    ///
    /// Source: as [`LockModel`].
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
        let sides = self.pins.sides().iter();
        sides
            .filter_map(|slower| self.pins.slips_at(direction, low, *slower))
            .min_by(f64::total_cmp)
    }
}

impl Pins {
    /// The difference that the packs hold at a torque at the case, in newton metres, of the side that holds less.
    pub(super) fn holds(&self, direction: Direction, torque: f64) -> f64 {
        let held = self
            .sides()
            .iter()
            .map(|slower| self.held(direction, torque, *slower));
        held.fold(f64::INFINITY, f64::min)
    }

    /// The sides that may be the slower one: of packs alike one stands for both.
    fn sides(&self) -> &'static [usize] {
        match self.are_alike() {
            true => &[0],
            false => &[0, 1],
        }
    }

    /// The same with one side as the slower.
    fn held(&self, direction: Direction, torque: f64, slower: usize) -> f64 {
        let load = self.slipping(direction, torque, slower);
        load.map_or(WITHOUT_END.max(torque), |load| {
            self.torque(0, load) + self.torque(1, load)
        })
    }

    /// What the pins carry while the packs slip, 2τ = T − M_s + M_f.
    fn slipping(&self, direction: Direction, torque: f64, slower: usize) -> Option<Load> {
        let mut weights = [1.0; 2];
        weights[slower] = -1.0;
        self.balance(2.0, torque, weights, direction)
    }

    /// S of the side that locks less.
    pub(super) fn least_share(&self, direction: Direction) -> f64 {
        [0, 1]
            .into_iter()
            .filter_map(|slower| self.share_of_both(direction, slower))
            .fold(f64::INFINITY, f64::min)
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
        let share = pins.least_share(direction);
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
mod tests;
