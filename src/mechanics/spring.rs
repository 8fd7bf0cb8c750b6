//! Disc and coil springs, alone and in stacks.

use super::error::{MechanicsError, above, within};
use crate::quantity::{Force, Length, Pressure, Ratio, SpringRate};
use std::fmt;

/// One disc (coned) spring, by the equations of Almen and László in the form of DIN EN 16984 (formerly DIN 2092):
///
/// ```text
/// F(s) = 4E/(1−ν²) · t⁴/(K1 De²) · K4² · (s/t) · [ K4² (h0/t − s/t)(h0/t − s/2t) + 1 ]
/// K1   = (1/π) · ((δ−1)/δ)² / ( (δ+1)/(δ−1) − 2/ln δ ),   δ = De/Di,   h0 = l0 − t
/// ```
///
/// De outside and Di inside diameter, t thickness, l0 free height, s travel from free. K4 = 1 for a spring without
/// contact flats. With flats the thickness is reduced to t', which takes the place of t also in h0, and with
/// q = t'/t
///
/// ```text
/// C1 = q² / ( (l0/4t − q + 3/4)(5 l0/8t − q + 3/8) ),   C2 = C1/q³ · ( 5/32 (l0/t − 1)² + 1 )
/// K4 = √( −C1/2 + √( (C1/2)² + C2 ) )
/// ```
///
/// The equations leave out friction and the stiffening of a real spring that is nearly flat; a maker may deliver a
/// force some 7.5 % less to 25 % more (DIN EN 16983), so a computed preload is not a measured one. (The older form of
/// K1, 6/(π ln δ)·((δ−1)/δ)², which textbooks print, is 0.8 % less at δ = 2; force tables follow the form above.)
///
/// ```
/// use shimwright::mechanics::DiscSpring;
/// use shimwright::quantity::Length;
/// // 50 x 25.4 x 3: a maker's table for DIN EN 16983 gives 2692 lbf (11 974.6 N) at three quarters of its travel
/// let mm = |mm| Length::from_mm(mm);
/// let spring = DiscSpring::new(mm(50.0)?, mm(25.4)?, mm(3.0)?, mm(4.1)?, None)?;
/// assert!((spring.force_at(mm(0.825)?)?.newtons() - 11_974.6).abs() < 2.3);
/// assert!(spring.force_at(mm(1.2)?).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct DiscSpring {
    outside: Length,
    inside: Length,
    thickness: Length,
    height: Length,
    reduced: Option<Length>,
    modulus: Pressure,
    poisson: Ratio,
}

/// The numbers of the force equation, in millimetres and newtons.
struct Shape {
    factor: f64,
    thickness: f64,
    slope: f64,
    k4_squared: f64,
}

impl Shape {
    fn force(&self, travel: f64) -> f64 {
        let x = travel / self.thickness;
        let (h, q) = (self.slope, self.k4_squared);
        self.factor * q * x * (q * (h - x) * (h - x / 2.0) + 1.0)
    }

    fn rate(&self, travel: f64) -> f64 {
        let x = travel / self.thickness;
        let (h, q) = (self.slope, self.k4_squared);
        self.factor * q / self.thickness * (q * (1.5 * x * x - 3.0 * h * x + h * h) + 1.0)
    }

    /// Travel at which dF/ds = 0 between free and flat.
    fn peak(&self) -> Option<f64> {
        let (h, q) = (self.slope, self.k4_squared);
        let under_root = h * h / 3.0 - 2.0 / (3.0 * q);
        (under_root > 0.0).then(|| (h - under_root.sqrt()) * self.thickness)
    }
}

impl DiscSpring {
    /// A disc spring of steel (E = 206 GPa, ν = 0.3, as in DIN EN 16984) from its outside and inside diameter,
    /// thickness, free height l0 and, where it has contact flats, its reduced thickness.
    ///
    /// Errors: a diameter or thickness not above 0; De/Di below 1.05; thickness or cone height above half the
    /// difference of the diameters; free height not above the thickness; reduced thickness below 0.9 of the thickness
    /// (the standard's sizes have 0.94 to 0.96, a figure from memory) or above it.
    pub fn new(
        outside: Length,
        inside: Length,
        thickness: Length,
        height: Length,
        reduced: Option<Length>,
    ) -> Result<DiscSpring, MechanicsError> {
        within(
            "the inside diameter of the disc spring",
            inside,
            above(Length::ZERO),
        )?;
        within(
            "outside over inside diameter of the disc spring",
            Ratio::new(outside.mm() / inside.mm())?,
            Ratio::new(1.05)?..,
        )?;
        let width = Length::from_nm((outside - inside).nm() / 2);
        within(
            "the thickness of the disc spring",
            thickness,
            Length::from_nm(1)..=width,
        )?;
        within(
            "the free height of the disc spring",
            height,
            Length::from_nm(thickness.nm().saturating_add(1))..=thickness + width,
        )?;
        if let Some(reduced) = reduced {
            let least = Length::from_nm(thickness.nm() / 10 * 9);
            within(
                "the reduced thickness of the disc spring",
                reduced,
                least..=thickness,
            )?;
        }
        Ok(DiscSpring {
            outside,
            inside,
            thickness,
            height,
            reduced,
            modulus: Pressure::from_megapascals(206_000.0)?,
            poisson: Ratio::new(0.3)?,
        })
    }

    /// The same spring of another material: modulus of elasticity above 0, Poisson's ratio 0 to 0.5.
    pub fn with_material(self, modulus: Pressure, poisson: Ratio) -> Result<DiscSpring, MechanicsError> {
        within(
            "the modulus of elasticity",
            modulus,
            above(Pressure::from_megapascals(0.0)?),
        )?;
        within("Poisson's ratio", poisson, Ratio::new(0.0)?..=Ratio::new(0.5)?)?;
        Ok(DiscSpring {
            modulus,
            poisson,
            ..self
        })
    }

    /// Outside diameter De.
    pub fn outside(&self) -> Length {
        self.outside
    }

    /// Inside diameter Di.
    pub fn inside(&self) -> Length {
        self.inside
    }

    /// Thickness t before any reduction.
    pub fn thickness(&self) -> Length {
        self.thickness
    }

    /// Free height l0.
    pub fn free_height(&self) -> Length {
        self.height
    }

    /// Reduced thickness t' of a spring with contact flats.
    pub fn reduced_thickness(&self) -> Option<Length> {
        self.reduced
    }

    /// The height of the cone and so the travel from free to flat: l0 − t, or l0 − t' with contact flats.
    pub fn cone_height(&self) -> Length {
        self.height - self.worked_thickness()
    }

    /// Three quarters of l0 − t: the travel up to which tables give forces. With contact flats too the standard
    /// counts it from the thickness before reduction.
    pub fn table_travel(&self) -> Length {
        Length::from_nm((self.height - self.thickness).nm().saturating_mul(3) / 4)
    }

    /// Force at a travel from free, 0 to [`DiscSpring::cone_height`].
    ///
    /// Errors: travel out of range.
    pub fn force_at(&self, travel: Length) -> Result<Force, MechanicsError> {
        let travel = self.checked(travel)?;
        Ok(Force::from_newtons(self.shape().force(travel.mm()))?)
    }

    /// Rate dF/ds at a travel from free, 0 to [`DiscSpring::cone_height`]; negative past the peak.
    ///
    /// Errors: travel out of range.
    pub fn rate_at(&self, travel: Length) -> Result<SpringRate, MechanicsError> {
        let travel = self.checked(travel)?;
        Ok(SpringRate::from_newtons_per_mm(self.shape().rate(travel.mm()))?)
    }

    /// Force that presses the spring flat.
    ///
    /// Errors: the force is past what a number can hold.
    pub fn flat_force(&self) -> Result<Force, MechanicsError> {
        self.force_at(self.cone_height())
    }

    /// Travel at which the force is greatest, where there is such a point before the spring is flat: h0/t above √2
    /// (with contact flats: K4 h0'/t' above √2). Past it more travel gives less force.
    ///
    /// `s = t · ( h0/t − √( (h0/t)²/3 − 2/(3 K4²) ) )`, from dF/ds = 0.
    pub fn peak_travel(&self) -> Option<Length> {
        self.shape().peak().map(whole_nm)
    }

    /// The thickness that the equation works with: t, or t' with contact flats.
    fn worked_thickness(&self) -> Length {
        self.reduced.unwrap_or(self.thickness)
    }

    fn checked(&self, travel: Length) -> Result<Length, MechanicsError> {
        within("travel", travel, Length::ZERO..=self.cone_height())
    }

    fn shape(&self) -> Shape {
        let (outside, thickness) = (self.outside.mm(), self.worked_thickness().mm());
        let delta = outside / self.inside.mm();
        let k1 = ((delta - 1.0) / delta).powi(2)
            / (std::f64::consts::PI * ((delta + 1.0) / (delta - 1.0) - 2.0 / delta.ln()));
        let poisson = self.poisson.value();
        let modulus = self.modulus.megapascals();
        Shape {
            factor: 4.0 * modulus / (1.0 - poisson * poisson) * thickness.powi(4) / (k1 * outside * outside),
            thickness,
            slope: self.cone_height().mm() / thickness,
            k4_squared: self.k4_squared(),
        }
    }

    fn k4_squared(&self) -> f64 {
        let Some(reduced) = self.reduced else {
            return 1.0;
        };
        let q = reduced.mm() / self.thickness.mm();
        let l = self.height.mm() / self.thickness.mm();
        let c1 = q * q / ((l / 4.0 - q + 0.75) * (0.625 * l - q + 0.375));
        let c2 = c1 / q.powi(3) * (5.0 / 32.0 * (l - 1.0).powi(2) + 1.0);
        (c1 * c1 / 4.0 + c2).sqrt() - c1 / 2.0
    }
}

/// One coil spring with a constant rate.
///
/// ```
/// use shimwright::mechanics::{CoilSpring, SpringStack};
/// use shimwright::quantity::{Length, SpringRate};
/// let coil = CoilSpring::new(Length::from_um(20_000), Length::from_um(12_000), SpringRate::from_newtons_per_mm(13.0)?)?;
/// let six = SpringStack::coils(coil, 6)?;
/// assert_eq!(six.force_at_height(Length::from_um(15_000))?.newtons(), 6.0 * 13.0 * 5.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CoilSpring {
    free: Length,
    solid: Length,
    rate: SpringRate,
}

impl CoilSpring {
    /// A coil spring from its free height, its solid height and its rate.
    ///
    /// Errors: solid height not above 0 or not below the free height; rate not above 0.
    pub fn new(free: Length, solid: Length, rate: SpringRate) -> Result<CoilSpring, MechanicsError> {
        within("the free height of the coil spring", free, above(Length::ZERO))?;
        within(
            "the solid height of the coil spring",
            solid,
            Length::from_nm(1)..free,
        )?;
        within(
            "the rate of the coil spring",
            rate,
            above(SpringRate::from_newtons_per_mm(0.0)?),
        )?;
        Ok(CoilSpring { free, solid, rate })
    }

    /// Rate of one spring.
    pub fn rate(&self) -> SpringRate {
        self.rate
    }
}

/// Millimetres to the nearest nanometre; they lie within a spring, so nothing can be cut off.
fn whole_nm(mm: f64) -> Length {
    Length::from_nm((mm * 1e6).round() as i64)
}

/// What a mechanic must know about a spring at the height that it would be fitted at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SpringTrap {
    /// The spring is no shorter than free and presses nothing.
    Loose {
        /// Height at which the spring is free.
        free_height: Length,
    },
    /// Past the greatest force, where more shim gives less preload.
    FallingBranch {
        /// Height at which the force is greatest.
        peak_height: Length,
    },
    /// Past three quarters of the cone height, where the tables end.
    PastThreeQuarters {
        /// Height at three quarters.
        height: Length,
    },
    /// Shorter than solid.
    PastSolid {
        /// Height at which the spring is solid.
        solid_height: Length,
    },
}

impl fmt::Display for SpringTrap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SpringTrap::Loose { free_height } => {
                write!(
                    f,
                    "the spring is loose: it is free at {free_height} and presses nothing"
                )
            }
            SpringTrap::FallingBranch { peak_height } => write!(
                f,
                "the spring is past its greatest force, which is at {peak_height}: more shim now gives less preload"
            ),
            SpringTrap::PastThreeQuarters { height } => write!(
                f,
                "the spring is pressed past three quarters of its cone, which is at {height}: force tables end \
                 there, and a real spring is stiffer than computed"
            ),
            SpringTrap::PastSolid { solid_height } => write!(
                f,
                "the spring is solid at {solid_height}: tightening the cover on it bends something"
            ),
        }
    }
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Kind {
    Discs {
        spring: DiscSpring,
        parallel: u32,
        series: u32,
    },
    Coils {
        spring: CoilSpring,
        count: u32,
    },
}

/// Springs that act together: disc springs in parallel packets set in series, or coil springs side by side.
///
/// Packets of n discs the same way round, i packets one against the next: force n·F(s) at a travel of i·s, free height
/// i·(l0 + (n−1)·t), solid height i·n·t (t' for t with contact flats); no friction between the discs (stacking rules of
/// DIN EN 16984). Coils: count · rate · travel.
///
/// ```
/// use shimwright::mechanics::{DiscSpring, SpringStack};
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// let spring = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None)?;
/// let stack = SpringStack::discs(spring, 2, 3)?;
/// assert_eq!(stack.free_height(), um(16_200));
/// let force = stack.force_at_height(um(16_200 - 3_150))?;
/// assert!((force.newtons() - 9_524.2).abs() < 0.05);
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SpringStack {
    kind: Kind,
}

/// Most springs that a stack may have: a limit against slips of typing.
const MOST_SPRINGS: u32 = 200;

impl SpringStack {
    /// `series` packets, one against the next, of `parallel` discs the same way round.
    ///
    /// Errors: a count of 0 or above 200.
    pub fn discs(spring: DiscSpring, parallel: u32, series: u32) -> Result<SpringStack, MechanicsError> {
        within(
            "the number of disc springs in parallel",
            parallel,
            1..=MOST_SPRINGS,
        )?;
        within("the number of packets in series", series, 1..=MOST_SPRINGS)?;
        Ok(SpringStack {
            kind: Kind::Discs {
                spring,
                parallel,
                series,
            },
        })
    }

    /// `count` coil springs side by side.
    ///
    /// Errors: a count of 0 or above 200.
    pub fn coils(spring: CoilSpring, count: u32) -> Result<SpringStack, MechanicsError> {
        within("the number of coil springs", count, 1..=MOST_SPRINGS)?;
        Ok(SpringStack {
            kind: Kind::Coils { spring, count },
        })
    }

    /// Height without load.
    pub fn free_height(&self) -> Length {
        match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => (spring.height + spring.worked_thickness() * (i64::from(parallel) - 1)) * i64::from(series),
            Kind::Coils { spring, .. } => spring.free,
        }
    }

    /// Height at which the stack is solid.
    pub fn solid_height(&self) -> Length {
        match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => spring.worked_thickness() * i64::from(parallel) * i64::from(series),
            Kind::Coils { spring, .. } => spring.solid,
        }
    }

    /// Force at a height: 0 N at and above the free height.
    ///
    /// Errors: [`MechanicsError::PastSolid`] below the solid height.
    pub fn force_at_height(&self, height: Length) -> Result<Force, MechanicsError> {
        let travel = self.travel(height)?;
        Ok(Force::from_newtons(self.force(travel))?)
    }

    /// Force gained per height lost; 0 above the free height, negative past the peak.
    ///
    /// Errors: [`MechanicsError::PastSolid`] below the solid height.
    pub fn rate_at_height(&self, height: Length) -> Result<SpringRate, MechanicsError> {
        let travel = self.travel(height)?;
        if height > self.free_height() {
            return Ok(SpringRate::from_newtons_per_mm(0.0)?);
        }
        let rate = match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => {
                let series = f64::from(series);
                f64::from(parallel) / series * spring.shape().rate(travel / series)
            }
            Kind::Coils { spring, count } => f64::from(count) * spring.rate.newtons_per_mm(),
        };
        Ok(SpringRate::from_newtons_per_mm(rate)?)
    }

    /// Height at which the force is greatest, where that is before the stack is solid; `None` where the force rises
    /// all the way.
    pub fn peak_height(&self) -> Option<Length> {
        Some(self.free_height() - whole_nm(self.peak_travel()?))
    }

    /// The heights at which the stack presses with `force`: none, one, or two, the one on the rising branch first.
    ///
    /// Rounded to the nanometre. Where the force hardly changes with height the answer is not sharp: see
    /// [`SpringStack::rate_at_height`].
    pub fn heights_for_force(&self, force: Force) -> Vec<Length> {
        let wanted = force.newtons();
        let solid_travel = (self.free_height() - self.solid_height()).mm();
        let top = self.peak_travel().unwrap_or(solid_travel);
        // forces are the same to the last bits only if they were reached by the same way
        let slack = 1e-12 * self.force(top);
        if !(0.0..=self.force(top) + slack).contains(&wanted) {
            return Vec::new();
        }
        let mut heights = vec![self.solve(wanted, 0.0, top)];
        if top < solid_travel && wanted >= self.force(solid_travel) - slack {
            heights.push(self.solve(wanted, solid_travel, top));
        }
        heights.dedup();
        heights
    }

    /// What a mechanic must be told about this height; empty where all is well.
    pub fn traps_at_height(&self, height: Length) -> Vec<SpringTrap> {
        let (free_height, solid_height) = (self.free_height(), self.solid_height());
        if height >= free_height {
            return vec![SpringTrap::Loose { free_height }];
        }
        if height < solid_height {
            return vec![SpringTrap::PastSolid { solid_height }];
        }
        let mut traps = Vec::new();
        if let Some(peak_height) = self.peak_height().filter(|&peak| height < peak) {
            traps.push(SpringTrap::FallingBranch { peak_height });
        }
        if let Kind::Discs { spring, series, .. } = self.kind {
            let last = free_height - spring.table_travel() * i64::from(series);
            if height < last {
                traps.push(SpringTrap::PastThreeQuarters { height: last });
            }
        }
        traps
    }

    /// Force that is lost when the pack has worn by `wear` since the stack stood at `height`, because the springs are
    /// that much longer then: F(height) − F(height + wear). Negative where wear takes the spring back up to its peak.
    ///
    /// Errors: negative wear; [`MechanicsError::PastSolid`].
    ///
    /// ```
    /// use shimwright::mechanics::{CoilSpring, SpringStack};
    /// use shimwright::quantity::{Length, SpringRate};
    /// // six springs of 13 N/mm lose 780 N when eight faces wear 1.25 mm each
    /// let coil = CoilSpring::new(Length::from_um(60_000), Length::from_um(30_000), SpringRate::from_newtons_per_mm(13.0)?)?;
    /// let stack = SpringStack::coils(coil, 6)?;
    /// assert_eq!(stack.loss_for_wear(Length::from_um(40_000), Length::from_um(8 * 1_250))?.newtons(), 780.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn loss_for_wear(&self, height: Length, wear: Length) -> Result<Force, MechanicsError> {
        within("wear", wear, Length::ZERO..)?;
        let before = self.force_at_height(height)?.newtons();
        let after = self.force_at_height(height + wear)?.newtons();
        Ok(Force::from_newtons(before - after)?)
    }

    /// Travel in millimetres from the free height, not below 0.
    fn travel(&self, height: Length) -> Result<f64, MechanicsError> {
        let solid_height = self.solid_height();
        if height < solid_height {
            return Err(MechanicsError::PastSolid { height, solid_height });
        }
        Ok((self.free_height() - height).max(Length::ZERO).mm())
    }

    /// Force in newtons at a travel in millimetres of the whole stack.
    fn force(&self, travel: f64) -> f64 {
        match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => f64::from(parallel) * spring.shape().force(travel / f64::from(series)),
            Kind::Coils { spring, count } => f64::from(count) * spring.rate.newtons_per_mm() * travel,
        }
    }

    fn peak_travel(&self) -> Option<f64> {
        match self.kind {
            Kind::Discs { spring, series, .. } => Some(spring.shape().peak()? * f64::from(series)),
            Kind::Coils { .. } => None,
        }
    }

    /// The height for a force between the travels `low`, with no more force than wanted, and `high`, with no less.
    fn solve(&self, wanted: f64, mut low: f64, mut high: f64) -> Length {
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            if self.force(middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        (self.free_height() - whole_nm(high)).max(self.solid_height())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn um(um: i64) -> Length {
        Length::from_um(um)
    }

    fn b50() -> DiscSpring {
        DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None).unwrap()
    }

    /// Tall for its thickness: h0/t = 2.2, with a peak.
    fn tall() -> DiscSpring {
        DiscSpring::new(um(100_000), um(60_000), um(1_500), um(4_800), None).unwrap()
    }

    fn named(result: Result<impl fmt::Debug, MechanicsError>) -> &'static str {
        match result {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn sizes_that_make_no_spring_are_refused_by_name() {
        let new = |outside, inside, thickness, height, reduced: Option<i64>| {
            DiscSpring::new(
                um(outside),
                um(inside),
                um(thickness),
                um(height),
                reduced.map(um),
            )
        };
        assert_eq!(
            named(new(50_000, 0, 2_000, 3_400, None)),
            "the inside diameter of the disc spring"
        );
        assert_eq!(
            named(new(50_000, -1, 2_000, 3_400, None)),
            "the inside diameter of the disc spring"
        );
        let diameters = "outside over inside diameter of the disc spring";
        assert_eq!(named(new(25_400, 50_000, 2_000, 3_400, None)), diameters);
        assert_eq!(named(new(50_000, 50_000, 2_000, 3_400, None)), diameters);
        assert_eq!(
            named(new(50_000, 25_400, 0, 3_400, None)),
            "the thickness of the disc spring"
        );
        assert_eq!(
            named(new(50_000, 25_400, 20_000, 23_400, None)),
            "the thickness of the disc spring"
        );
        assert_eq!(
            named(new(50_000, 25_400, 2_000, 2_000, None)),
            "the free height of the disc spring"
        );
        assert_eq!(
            named(new(50_000, 25_400, 2_000, 34_000, None)),
            "the free height of the disc spring"
        );
        let reduced = "the reduced thickness of the disc spring";
        assert_eq!(named(new(50_000, 25_400, 2_000, 3_400, Some(2_001))), reduced);
        assert_eq!(named(new(50_000, 25_400, 2_000, 3_400, Some(200))), reduced);
        let pascals = |mpa| Pressure::from_megapascals(mpa).unwrap();
        let ratio = |value| Ratio::new(value).unwrap();
        assert_eq!(
            named(b50().with_material(pascals(0.0), ratio(0.3))),
            "the modulus of elasticity"
        );
        assert_eq!(
            named(b50().with_material(pascals(2e5), ratio(0.6))),
            "Poisson's ratio"
        );
        assert_eq!(
            named(SpringStack::discs(b50(), 0, 1)),
            "the number of disc springs in parallel"
        );
        assert_eq!(
            named(SpringStack::discs(b50(), 1, 201)),
            "the number of packets in series"
        );
        let rate = |n| SpringRate::from_newtons_per_mm(n).unwrap();
        assert_eq!(
            named(CoilSpring::new(um(0), um(0), rate(1.0))),
            "the free height of the coil spring"
        );
        assert_eq!(
            named(CoilSpring::new(um(20), um(20), rate(1.0))),
            "the solid height of the coil spring"
        );
        assert_eq!(
            named(CoilSpring::new(um(20), um(10), rate(0.0))),
            "the rate of the coil spring"
        );
        let coil = CoilSpring::new(um(20), um(10), rate(1.0)).unwrap();
        assert_eq!(named(SpringStack::coils(coil, 0)), "the number of coil springs");
    }

    #[test]
    fn travel_past_flat_is_refused_with_its_limits() {
        let refused = b50().force_at(um(1_500)).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "travel is 1.500 mm but must be at least 0.000 mm and at most 1.400 mm"
        );
        assert_eq!(named(b50().rate_at(um(-1))), "travel");
        assert!(b50().force_at(um(1_400)).is_ok());
        let stack = SpringStack::discs(b50(), 2, 1).unwrap();
        assert_eq!(
            stack.force_at_height(um(3_999)),
            Err(MechanicsError::PastSolid {
                height: um(3_999),
                solid_height: um(4_000)
            })
        );
        assert_eq!(
            stack.rate_at_height(um(3_999)).unwrap_err(),
            stack.force_at_height(um(3_999)).unwrap_err()
        );
        assert_eq!(named(stack.loss_for_wear(um(5_000), um(-1))), "wear");
    }

    #[test]
    fn a_force_past_any_number_is_refused() {
        let big = |size: i64| um(size * 1_000_000);
        let huge = DiscSpring::new(big(50_000), big(25_400), big(2_000), big(3_400), None).unwrap();
        let hard = Pressure::from_megapascals(1e302).unwrap();
        let huge = huge.with_material(hard, Ratio::new(0.3).unwrap()).unwrap();
        assert!(matches!(huge.flat_force(), Err(MechanicsError::NotFinite(_))));
    }

    #[test]
    fn the_peak_appears_at_the_root_of_two() {
        let of = |height| {
            DiscSpring::new(um(100_000), um(60_000), um(1_000), Length::from_nm(height), None).unwrap()
        };
        // h0/t just below and just above 1.414213562
        assert_eq!(of(2_414_213).peak_travel(), None);
        assert!(of(2_414_300).peak_travel().is_some());
    }

    #[test]
    fn past_the_peak_more_travel_gives_less_force() {
        let stack = SpringStack::discs(tall(), 1, 2).unwrap();
        let peak = stack.peak_height().unwrap();
        assert!(stack.solid_height() < peak && peak < stack.free_height());
        let at = |h| stack.force_at_height(h).unwrap();
        assert!(at(peak) > at(peak - um(500)) && at(peak) > at(peak + um(500)));
        assert!(stack.rate_at_height(peak - um(500)).unwrap().newtons_per_mm() < 0.0);
        assert!(stack.rate_at_height(peak + um(500)).unwrap().newtons_per_mm() > 0.0);
        let heights = stack.heights_for_force(at(peak - um(500)));
        assert_eq!(heights.len(), 2);
        assert!(heights[0] > peak && heights[1] == peak - um(500));
        assert!(
            stack
                .heights_for_force(Force::from_newtons(at(peak).newtons() * 1.001).unwrap())
                .is_empty()
        );
        assert!(
            stack
                .heights_for_force(Force::from_newtons(-1.0).unwrap())
                .is_empty()
        );
        assert_eq!(
            stack.heights_for_force(Force::from_newtons(0.0).unwrap()),
            [stack.free_height()]
        );
        // on the way back up to the peak a worn pack presses harder
        assert!(stack.loss_for_wear(peak - um(500), um(400)).unwrap().newtons() < 0.0);
    }

    #[test]
    fn every_trap_is_told() {
        let stack = SpringStack::discs(tall(), 1, 1).unwrap();
        let (free_height, solid_height) = (um(4_800), um(1_500));
        let peak_height = stack.peak_height().unwrap();
        let last = SpringTrap::PastThreeQuarters {
            height: um(4_800 - 2_475),
        };
        assert_eq!(
            stack.traps_at_height(free_height),
            [SpringTrap::Loose { free_height }]
        );
        assert_eq!(stack.traps_at_height(um(4_500)), []);
        assert_eq!(stack.traps_at_height(peak_height), []);
        assert_eq!(
            stack.traps_at_height(peak_height - um(1)),
            [SpringTrap::FallingBranch { peak_height }]
        );
        assert_eq!(
            stack.traps_at_height(solid_height),
            [SpringTrap::FallingBranch { peak_height }, last]
        );
        assert_eq!(
            stack.traps_at_height(um(1_499)),
            [SpringTrap::PastSolid { solid_height }]
        );
        assert!(
            SpringTrap::FallingBranch { peak_height }
                .to_string()
                .contains("more shim now gives less preload")
        );
        let rate = SpringRate::from_newtons_per_mm(10.0).unwrap();
        let coils = SpringStack::coils(CoilSpring::new(um(20_000), um(12_000), rate).unwrap(), 6).unwrap();
        assert_eq!(coils.traps_at_height(um(12_000)), []);
        assert_eq!(coils.peak_height(), None);
        assert!((coils.rate_at_height(um(15_000)).unwrap().newtons_per_mm() - 60.0).abs() < 1e-12);
        assert!(coils.rate_at_height(um(20_001)).unwrap().newtons_per_mm().abs() <= 0.0);
    }

    #[test]
    fn flats_of_full_thickness_change_nothing() {
        let flats = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), Some(um(2_000))).unwrap();
        for travel in [0, 300, 700, 1_050, 1_400] {
            let (a, b) = (
                flats.force_at(um(travel)).unwrap(),
                b50().force_at(um(travel)).unwrap(),
            );
            assert!((a.newtons() - b.newtons()).abs() <= 1e-12 * b.newtons());
        }
    }

    #[test]
    fn the_accessors_give_back_what_was_put_in() {
        let spring =
            DiscSpring::new(um(125_000), um(64_000), um(8_000), um(10_600), Some(um(7_500))).unwrap();
        assert_eq!((spring.outside(), spring.inside()), (um(125_000), um(64_000)));
        assert_eq!(
            (spring.thickness(), spring.free_height()),
            (um(8_000), um(10_600))
        );
        assert_eq!(spring.reduced_thickness(), Some(um(7_500)));
        assert_eq!(
            (spring.cone_height(), spring.table_travel()),
            (um(3_100), um(1_950))
        );
    }

    prop_compose! {
        fn any_spring()(inside in 15_000_i64..80_000, delta in 1.3..2.5_f64, part in 0.03..0.12_f64, slope in 0.3..2.6_f64,
            flats in prop::option::of(0.93..1.0_f64)) -> DiscSpring {
            let outside = inside as f64 * delta;
            let thickness = outside * part * 0.5;
            let whole = |um: f64| Length::from_um(um as i64);
            let slope = slope.min(0.9 * (outside - inside as f64) / 2.0 / thickness);
            DiscSpring::new(whole(outside), um(inside), whole(thickness), whole(thickness * (1.0 + slope)),
                flats.map(|q| whole(thickness * q))).unwrap()
        }
    }

    proptest! {
        #[test]
        fn force_is_the_integral_of_rate(spring in any_spring(), part in 0.0..1.0_f64) {
            let end = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
            let steps = 60;
            // Simpson's rule is exact for the rate, which is a parabola in s
            let at = |i: i64| spring.shape().rate(end.mm() * i as f64 / f64::from(steps));
            let inner: f64 = (1..i64::from(steps)).map(|i| at(i) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
            let integral = (at(0) + inner + at(i64::from(steps))) * end.mm() / f64::from(steps) / 3.0;
            let force = spring.force_at(end).unwrap().newtons();
            let scale = spring.shape().factor;
            prop_assert!((integral - force).abs() <= 1e-9 * (force.abs() + scale), "{integral} {force}");
        }

        #[test]
        fn force_rises_up_to_the_peak_and_falls_after_it(spring in any_spring(), a in 0.0..1.0_f64, b in 0.0..1.0_f64) {
            let whole = |part: f64| Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
            let (low, high) = (whole(a.min(b)), whole(a.max(b)));
            let (at_low, at_high) = (spring.force_at(low).unwrap(), spring.force_at(high).unwrap());
            let same = 1e-9 * spring.shape().factor;
            let change = at_high.newtons() - at_low.newtons();
            match spring.peak_travel() {
                Some(peak) if low >= peak => prop_assert!(change <= same),
                Some(peak) if high > peak => {
                    let most = spring.force_at(peak).unwrap().newtons() + same;
                    prop_assert!(at_low.newtons() <= most && at_high.newtons() <= most);
                }
                _ => prop_assert!(change >= -same),
            }
            prop_assert!(at_low.newtons() >= 0.0);
        }

        #[test]
        fn twice_the_size_presses_four_times(spring in any_spring(), part in 0.0..1.0_f64) {
            let twice = DiscSpring::new(spring.outside * 2, spring.inside * 2, spring.thickness * 2, spring.height * 2,
                spring.reduced.map(|t| t * 2)).unwrap();
            let travel = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
            let (one, other) = (spring.force_at(travel).unwrap(), twice.force_at(travel * 2).unwrap());
            prop_assert!((other.newtons() - 4.0 * one.newtons()).abs() <= 1e-9 * other.newtons().abs());
        }

        #[test]
        fn heights_found_for_a_force_give_that_force(
            spring in any_spring(), parallel in 1_u32..4, series in 1_u32..5, part in 0.0..1.0_f64,
        ) {
            let stack = SpringStack::discs(spring, parallel, series).unwrap();
            let room = (stack.free_height() - stack.solid_height()).nm() as f64;
            let height = stack.solid_height() + Length::from_nm((room * part) as i64);
            let force = stack.force_at_height(height).unwrap();
            let heights = stack.heights_for_force(force);
            prop_assert!(!heights.is_empty() && heights.len() <= 2);
            // one nanometre of height changes the force by no more than the steepest rate, that of the free spring
            let steepest = f64::from(parallel) / f64::from(series) * spring.shape().rate(0.0) * 1e-6;
            for found in &heights {
                let back = stack.force_at_height(*found).unwrap().newtons();
                prop_assert!((back - force.newtons()).abs() <= steepest + 1e-9 * force.newtons(), "{back} {force}");
            }
            // one of them is where we came from, as far as the slope there tells heights apart
            let slope = stack.rate_at_height(height).unwrap().newtons_per_mm().abs();
            if slope > 1e-2 * steepest * 1e6 {
                prop_assert!(heights.iter().any(|h| h.apart(height).nm() <= 2), "{heights:?} {height}");
            }
            prop_assert!(heights.windows(2).all(|pair| pair[0] > pair[1]));
        }

        #[test]
        fn packets_multiply_force_and_stacks_multiply_travel(
            spring in any_spring(), parallel in 1_u32..4, series in 1_u32..5, part in 0.0..1.0_f64,
        ) {
            let travel = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
            let stack = SpringStack::discs(spring, parallel, series).unwrap();
            let height = stack.free_height() - travel * i64::from(series);
            let one = spring.force_at(travel).unwrap().newtons();
            let all = stack.force_at_height(height).unwrap().newtons();
            prop_assert!((all - f64::from(parallel) * one).abs() <= 1e-9 * all.abs());
            let rate = spring.rate_at(travel).unwrap().newtons_per_mm() * f64::from(parallel) / f64::from(series);
            let found = stack.rate_at_height(height).unwrap().newtons_per_mm();
            // at free the stack has its first rate as well
            prop_assert!((found - rate).abs() <= 1e-9 * (rate.abs() + spring.shape().rate(0.0)));
        }
    }
}
