//! One disc spring: force over deflection.

use super::whole_nm;
use crate::mechanics::error::{MechanicsError, above, within};
use crate::quantity::{Force, Length, Pressure, Ratio, SpringRate};

/// One disc (coned) spring, by the equations of Almen and László in the form of DIN EN 16984 (formerly DIN 2092):
///
/// ```text
/// F(s) = 4E/(1−ν²) · t⁴/(K1 De²) · K4² · (s/t) · [ K4² (h0/t − s/t)(h0/t − s/2t) + 1 ]
/// K1   = (1/π) · ((δ−1)/δ)² / ( (δ+1)/(δ−1) − 2/ln δ ),   δ = De/Di,   h0 = l0 − t
/// ```
///
/// K4 = 1 for a spring without contact flats. With flats the thickness is reduced to t', which takes the place of t
/// also in h0, and with q = t'/t
///
/// ```text
/// C1 = q² / ( (l0/4t − q + 3/4)(5 l0/8t − q + 3/8) ),   C2 = C1/q³ · ( 5/32 (l0/t − 1)² + 1 )
/// K4 = √( −C1/2 + √( (C1/2)² + C2 ) )
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | F | [`DiscSpring::force_at`] | N |
/// | s | `travel` from free | mm, 0 to h0 |
/// | E, ν | `modulus`, `poisson` | MPa, above 0; ratio, 0 to 0.5 |
/// | De, Di | `outside`, `inside` diameter | mm, Di above 0; De/Di 1.05 and above |
/// | t | `thickness` | mm, above 0, at most (De − Di)/2 |
/// | l0 | `height`, free | mm, above t, at most t + (De − Di)/2 |
/// | t' | `reduced` thickness, with contact flats | mm, 0.9 t to t |
/// | K1, K4 | [`DiscSpring::k1`], [`DiscSpring::k4`] | ratio |
///
/// The equations leave out friction and the stiffening of a real spring that is nearly flat; a maker may deliver a force
/// up to 7.5 % less and 25 % more, by thickness (DIN EN 16983), so a computed preload is not a measured one. The older form
/// of K1, 6/(π ln δ)·((δ−1)/δ)², which textbooks print, is 0.8 % less at δ = 2. From the strain energy the first term
/// wants the one and the second the other; each source uses its own for both, and force tables follow the form above.
///
/// Source: DIN EN 16984.
///
/// # Example
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
    /// Follows from the diameters, and takes a logarithm.
    k1: f64,
}

/// The numbers of the force equation, in millimetres and newtons.
pub(super) struct Shape {
    pub(super) factor: f64,
    thickness: f64,
    slope: f64,
    k4_squared: f64,
}

impl Shape {
    pub(super) fn force(&self, travel: f64) -> f64 {
        let x = travel / self.thickness;
        let (h, q) = (self.slope, self.k4_squared);
        self.factor * q * x * (q * (h - x) * (h - x / 2.0) + 1.0)
    }

    pub(super) fn rate(&self, travel: f64) -> f64 {
        let x = travel / self.thickness;
        let (h, q) = (self.slope, self.k4_squared);
        self.factor * q / self.thickness * (q * (1.5 * x * x - 3.0 * h * x + h * h) + 1.0)
    }

    /// Travel at which dF/ds = 0 between free and flat.
    pub(super) fn peak(&self) -> Option<f64> {
        let (h, q) = (self.slope, self.k4_squared);
        let under_root = h * h / 3.0 - 2.0 / (3.0 * q);
        (under_root > 0.0).then(|| (h - under_root.sqrt()) * self.thickness)
    }
}

impl DiscSpring {
    /// A disc spring of steel (E = 206 GPa, ν = 0.3, as in DIN EN 16984) from its outside and inside diameter,
    /// thickness, free height l0 and, where it has contact flats, its reduced thickness.
    ///
    /// # Errors
    ///
    /// A diameter or thickness not above 0; De/Di below 1.05; thickness or cone height above half the difference of
    /// the diameters; free height not above the thickness; reduced thickness below 0.9 of the thickness (the
    /// standard's sizes have 0.94 to 0.96, a figure from memory) or above it.
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
        let spring = DiscSpring {
            outside,
            inside,
            thickness,
            height,
            reduced,
            modulus: Pressure::from_megapascals(206_000.0)?,
            poisson: Ratio::new(0.3)?,
            k1: k1(outside, inside),
        };
        spring.resized(thickness, height, reduced)
    }

    /// The same spring with another thickness, free height and reduced thickness.
    pub(super) fn resized(
        self,
        thickness: Length,
        height: Length,
        reduced: Option<Length>,
    ) -> Result<DiscSpring, MechanicsError> {
        let width = Length::from_nm((self.outside - self.inside).nm() / 2);
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
            thickness,
            height,
            reduced,
            ..self
        })
    }

    /// The same spring of another material: modulus of elasticity above 0, Poisson's ratio 0 to 0.5.
    ///
    /// # Errors
    ///
    /// [`MechanicsError`]: a modulus or a ratio outside of these limits.
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
    /// # Errors
    ///
    /// Travel out of range.
    pub fn force_at(&self, travel: Length) -> Result<Force, MechanicsError> {
        let travel = self.checked(travel)?;
        Ok(Force::from_newtons(self.shape().force(travel.mm()))?)
    }

    /// Rate dF/ds at a travel from free, 0 to [`DiscSpring::cone_height`]; negative past the peak.
    ///
    /// # Errors
    ///
    /// Travel out of range.
    pub fn rate_at(&self, travel: Length) -> Result<SpringRate, MechanicsError> {
        let travel = self.checked(travel)?;
        Ok(SpringRate::from_newtons_per_mm(self.shape().rate(travel.mm()))?)
    }

    /// Force that presses the spring flat.
    ///
    /// # Errors
    ///
    /// The force is past what a number can hold.
    pub fn flat_force(&self) -> Result<Force, MechanicsError> {
        self.force_at(self.cone_height())
    }

    /// Travel at which the force is greatest, where there is such a point before the spring is flat. Past it more
    /// travel gives less force.
    ///
    /// ```text
    /// s = t · ( h0/t − √( (h0/t)²/3 − 2/(3 K4²) ) ),   where h0/t is above √2 (with contact flats: K4 h0'/t' above √2)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | s | the result | mm |
    /// | t | [`DiscSpring::thickness`]; [`DiscSpring::reduced_thickness`] in its place with contact flats | mm |
    /// | h0 | [`DiscSpring::cone_height`] | mm |
    /// | K4 | [`DiscSpring::k4`] | ratio |
    ///
    /// Source: dF/ds = 0 of the force of [`DiscSpring`].
    pub fn peak_travel(&self) -> Option<Length> {
        self.shape().peak().map(whole_nm)
    }

    /// The coefficient K1 of the force equation, which depends on De/Di alone.
    ///
    /// ```
    /// use shimwright::{mechanics::DiscSpring, quantity::Length};
    /// // De/Di = 2: 0.694 (DIN EN 16984's table of coefficients, from memory)
    /// let um = Length::from_um;
    /// let spring = DiscSpring::new(um(50_000), um(25_000), um(2_000), um(3_400), None)?;
    /// assert!((spring.k1() - 0.694).abs() < 0.001);
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    pub fn k1(&self) -> f64 {
        self.k1
    }

    /// The coefficient K4 of the force equation: 1 without contact flats.
    pub fn k4(&self) -> f64 {
        self.k4_squared().sqrt()
    }

    /// The thickness that the equation works with: t, or t' with contact flats.
    pub(super) fn worked_thickness(&self) -> Length {
        self.reduced.unwrap_or(self.thickness)
    }

    fn checked(&self, travel: Length) -> Result<Length, MechanicsError> {
        within("travel", travel, Length::ZERO..=self.cone_height())
    }

    pub(super) fn shape(&self) -> Shape {
        let (outside, thickness) = (self.outside.mm(), self.worked_thickness().mm());
        let poisson = self.poisson.value();
        let modulus = self.modulus.megapascals();
        Shape {
            factor: 4.0 * modulus / (1.0 - poisson * poisson) * thickness.powi(4)
                / (self.k1 * outside * outside),
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

fn k1(outside: Length, inside: Length) -> f64 {
    let delta = outside.mm() / inside.mm();
    ((delta - 1.0) / delta).powi(2)
        / (std::f64::consts::PI * ((delta + 1.0) / (delta - 1.0) - 2.0 / delta.ln()))
}

/// How much less and more than the reckoned force at three quarters of its travel a maker may deliver a disc spring
/// with, as shares, both as sizes.
///
/// ```text
/// t < 1.25 mm       7.5 % less to 25 % more
/// 1.25 to 3 mm      7.5 % less to 15 % more
/// over 3 to 6 mm    5 % less to 10 % more
/// over 6 mm         5 % less to 5 % more
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | t | `thickness`; with contact flats the one before it was reduced | mm, above 0, at most 16 |
/// | less, more | the result | shares |
///
/// Over 16 mm the tables say nothing.
///
/// Source: DIN EN 16983 (formerly DIN 2093), permissible deviation of the spring force at l0 − 0.75 h0, as three
/// makers of disc springs print it in their tables of tolerances, which agree; the standard itself was not read.
///
/// # Errors
///
/// A thickness out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::spring::delivered_force;
/// use shimwright::quantity::Length;
/// let [less, more] = delivered_force(Length::from_um(1750))?;
/// assert_eq!((less.value(), more.value()), (0.075, 0.15));
/// assert!(delivered_force(Length::from_um(16_001)).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn delivered_force(thickness: Length) -> Result<[Ratio; 2], MechanicsError> {
    within("the thickness of a disc", thickness, above(Length::ZERO))?;
    within("the thickness of a disc", thickness, ..=Length::from_um(16_000))?;
    let (less, more) = if thickness < Length::from_um(1250) {
        (0.075, 0.25)
    } else if thickness <= Length::from_um(3000) {
        (0.075, 0.15)
    } else if thickness <= Length::from_um(6000) {
        (0.05, 0.10)
    } else {
        (0.05, 0.05)
    };
    Ok([Ratio::new(less)?, Ratio::new(more)?])
}

/// What discs that lie in each other press with when they are let go a little, and when they are pressed on, as shares of the force
/// without friction, the less first.
///
/// ```text
/// F = n F_1 / (1 ± w_M (n − 1) ± w_R)        + while it is let go, − while it is pressed on
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | n | `nested`, the discs that lie the same way round | count, 1 to 20 |
/// | F_1 | the force of one, [`DiscSpring::force_at`] | N |
/// | w_M, w_R | friction between two discs, 0.02, and at the edges, 0.03: oiled discs, both from memory | ratio |
///
/// So a stack presses more as it is built in than once it has settled, or has followed plates that wore. A single disc rubs at its
/// edges only, which lies within what its tolerance leaves.
///
/// Source: DIN EN 16984 has the form; the coefficients are from memory.
///
/// # Errors
///
/// A count out of range.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::spring::nested_force;
/// let [less, more] = nested_force(2)?;
/// assert!((less.value() - 1.0 / 1.05).abs() < 1e-12 && (more.value() - 1.0 / 0.95).abs() < 1e-12);
/// assert!(nested_force(0).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn nested_force(nested: u32) -> Result<[Ratio; 2], MechanicsError> {
    within("the number of discs that lie in each other", nested, 1..=20)?;
    let rubs = 0.02 * f64::from(nested - 1) + 0.03;
    Ok([Ratio::new(1.0 / (1.0 + rubs))?, Ratio::new(1.0 / (1.0 - rubs))?])
}
