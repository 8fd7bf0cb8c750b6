//! Springs as they stand in a unit: coils, and discs in parallel and in series.

use super::{DiscSpring, whole_nm};
use crate::mechanics::error::{MechanicsError, above, within};
use crate::quantity::{Force, Length, Ratio, SpringRate};
use std::fmt;

/// One coil spring with a constant rate: F = rate · travel. Source: Hooke's law.
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
    /// # Errors
    ///
    /// Solid height not above 0 or not below the free height; rate not above 0.
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
/// i·(l0 + (n−1)·t), solid height i·n·t (t' for t with contact flats); no friction between the discs (source: stacking
/// rules of DIN EN 16984). Coils: count · rate · travel.
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
    /// What it presses with, as a share of its law: 1 where nobody has measured that.
    times: f64,
}

fn without_flats(spring: &DiscSpring) -> Result<(), MechanicsError> {
    let worked = spring.worked_thickness();
    within(
        "the reduced thickness of a disc that is measured",
        worked,
        spring.thickness()..=spring.thickness(),
    )?;
    Ok(())
}

/// Most springs that a stack may have: a limit against slips of typing.
const MOST_SPRINGS: u32 = 200;

impl SpringStack {
    /// `series` packets, one against the next, of `parallel` discs the same way round.
    ///
    /// # Errors
    ///
    /// A count of 0 or above 200.
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
            times: 1.0,
        })
    }

    /// `count` coil springs side by side.
    ///
    /// # Errors
    ///
    /// A count of 0 or above 200.
    pub fn coils(spring: CoilSpring, count: u32) -> Result<SpringStack, MechanicsError> {
        within("the number of coil springs", count, 1..=MOST_SPRINGS)?;
        Ok(SpringStack {
            kind: Kind::Coils { spring, count },
            times: 1.0,
        })
    }

    /// The stack with another free height: springs that have settled, or that were measured.
    ///
    /// # Errors
    ///
    /// A free height at which they could not be springs, such as below solid.
    ///
    /// ```
    /// use shimwright::mechanics::{CoilSpring, SpringStack};
    /// use shimwright::quantity::{Length, SpringRate};
    /// let um = Length::from_um;
    /// let coil = CoilSpring::new(um(20_000), um(12_000), SpringRate::from_newtons_per_mm(13.0)?)?;
    /// let settled = SpringStack::coils(coil, 6)?.with_free_height(um(19_000))?;
    /// assert_eq!(settled.force_at_height(um(15_000))?.newtons(), 6.0 * 13.0 * 4.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn with_free_height(&self, free_height: Length) -> Result<SpringStack, MechanicsError> {
        let settled = match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => {
                let packet = Length::from_nm(free_height.nm() / i64::from(series.max(1)));
                let height = packet - spring.thickness() * i64::from(parallel.saturating_sub(1));
                let disc = spring.resized(spring.thickness(), height, spring.reduced_thickness())?;
                SpringStack::discs(disc, parallel, series)
            }
            Kind::Coils { spring, count } => {
                SpringStack::coils(CoilSpring::new(free_height, spring.solid, spring.rate)?, count)
            }
        }?;
        Ok(SpringStack {
            times: self.times,
            ..settled
        })
    }

    /// The thickness of its discs, before any reduction; `None` of coils.
    pub fn thickness(&self) -> Option<Length> {
        match self.kind {
            Kind::Discs { spring, .. } => Some(spring.thickness()),
            Kind::Coils { .. } => None,
        }
    }

    /// The stack with discs of another thickness that stand together as high as before: discs that were measured. Coils stay.
    ///
    /// # Errors
    ///
    /// A thickness with which they could not be discs; discs with contact flats, whose thickness was reduced for their force.
    ///
    /// ```
    /// use shimwright::mechanics::{DiscSpring, SpringStack};
    /// use shimwright::quantity::Length;
    /// let um = Length::from_um;
    /// let spring = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None)?;
    /// let measured = SpringStack::discs(spring, 2, 3)?.with_thickness(um(2_020))?;
    /// assert_eq!((measured.free_height(), measured.solid_height()), (um(16_200), um(12_120)));
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    pub fn with_thickness(&self, thickness: Length) -> Result<SpringStack, MechanicsError> {
        let Kind::Discs {
            spring,
            parallel,
            series,
        } = self.kind
        else {
            return Ok(*self);
        };
        without_flats(&spring)?;
        let height = spring.free_height() + (spring.thickness() - thickness) * (i64::from(parallel) - 1);
        let disc = spring.resized(thickness, height, None)?;
        let kind = Kind::Discs {
            spring: disc,
            parallel,
            series,
        };
        Ok(SpringStack { kind, ..*self })
    }

    /// Force gained per thickness of its discs, where height and free height of the stack stay; 0 above the free height and of
    /// coils.
    ///
    /// ```text
    /// dF/dt = n · 4E/(1−ν²) / (K1 De²) · s · [ (h0 − s)(h0 − s/2) + 3t² − n t (2 h0 − 3s/2) ]
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | dF/dt | the result | N/mm |
    /// | n | discs the same way round in a packet | count |
    /// | s | travel of one disc at `height` | mm |
    /// | h0, t, K1, De, E, ν | as for [`DiscSpring`] | mm, MPa |
    ///
    /// A disc that is thicker is a flatter cone, too, so the force grows by a power of the thickness below the third.
    ///
    /// Source: the force of [`DiscSpring`] by the thickness, the height of the cone being what is left.
    ///
    /// # Errors
    ///
    /// [`MechanicsError::PastSolid`]; discs with contact flats.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::mechanics::{DiscSpring, SpringStack};
    /// use shimwright::quantity::Length;
    /// let um = Length::from_um;
    /// let spring = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None)?;
    /// let stack = SpringStack::discs(spring, 1, 1)?;
    /// let force = |thickness| stack.with_thickness(thickness)?.force_at_height(um(2_500));
    /// let gained = force(um(2_001))?.newtons() - force(um(1_999))?.newtons();
    /// assert!((stack.thickness_rate_at(um(2_500))?.newtons_per_mm() - gained / 0.002).abs() < 0.01);
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    pub fn thickness_rate_at(&self, height: Length) -> Result<SpringRate, MechanicsError> {
        let travel = self.travel(height)?;
        let Kind::Discs {
            spring,
            parallel,
            series,
        } = self.kind
        else {
            return Ok(SpringRate::from_newtons_per_mm(0.0)?);
        };
        without_flats(&spring)?;
        let (n, s) = (f64::from(parallel), travel.max(0.0) / f64::from(series));
        let (cone, t) = (spring.cone_height().mm(), spring.thickness().mm());
        let rest = (cone - s) * (cone - s / 2.0) + 3.0 * t * t - n * t * (2.0 * cone - 1.5 * s);
        let rate = n * spring.shape().factor / t.powi(4) * s * rest;
        Ok(SpringRate::from_newtons_per_mm(self.times * rate)?)
    }

    /// The stack as a press has read it at one height: it presses with that there, and elsewhere with as much more or less than
    /// its law.
    ///
    /// ```text
    /// F(h) = F_read · F_law(h) / F_law(h_read)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | F | [`SpringStack::force_at_height`] of the result | N |
    /// | F_law | [`SpringStack::force_at_height`] without a reading | N |
    /// | h_read | `height` | mm, not below the solid height, below the free height |
    /// | F_read | `force` of the whole stack | N, above 0, a tenth to ten times F_law |
    ///
    /// The nearer the height to that at which the stack is built in, the less of the law is left in the result.
    ///
    /// Source: the law of [`SpringStack`], in proportion (*common practice, no source*).
    ///
    /// # Errors
    ///
    /// [`MechanicsError::PastSolid`]; a height at which the stack is free; a force out of range.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::mechanics::{CoilSpring, SpringStack};
    /// use shimwright::quantity::{Force, Length, SpringRate};
    /// let um = Length::from_um;
    /// let coil = CoilSpring::new(um(20_000), um(12_000), SpringRate::from_newtons_per_mm(13.0)?)?;
    /// // six of 13 N/mm should press with 390 N at 5 mm of travel, and do with 429 N: a tenth more everywhere
    /// let read = SpringStack::coils(coil, 6)?.as_read(um(15_000), Force::from_newtons(429.0)?)?;
    /// assert!((read.force_at_height(um(16_000))?.newtons() - 1.1 * 6.0 * 13.0 * 4.0).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn as_read(&self, height: Length, force: Force) -> Result<SpringStack, MechanicsError> {
        within("the height in the press", height, ..self.free_height())?;
        let law = SpringStack { times: 1.0, ..*self };
        let share = Ratio::new(force.newtons() / law.force_at_height(height)?.newtons())?;
        let share = within(
            "the force read in the press as a share of the reckoned one",
            share,
            Ratio::new(0.1)?..=Ratio::new(10.0)?,
        )?;
        Ok(SpringStack {
            times: share.value(),
            ..law
        })
    }

    /// How many discs lie in each other the same way round; 1 of coils.
    pub fn nested(&self) -> u32 {
        match self.kind {
            Kind::Discs { parallel, .. } => parallel,
            Kind::Coils { .. } => 1,
        }
    }

    /// One of its springs by itself: one disc, or one coil.
    pub fn one(&self) -> SpringStack {
        let kind = match self.kind {
            Kind::Discs { spring, .. } => Kind::Discs {
                spring,
                parallel: 1,
                series: 1,
            },
            Kind::Coils { spring, .. } => Kind::Coils { spring, count: 1 },
        };
        SpringStack { kind, ..*self }
    }

    /// The stack of springs of which one gives this force at this height: see [`SpringStack::as_read`].
    ///
    /// ```
    /// use shimwright::mechanics::{DiscSpring, SpringStack};
    /// use shimwright::quantity::{Force, Length};
    /// let um = Length::from_um;
    /// let spring = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None)?;
    /// // two the same way round, three against each other: twice the force at a height of 3 (2.35 mm + 2 mm)
    /// let force = Force::from_newtons(5_000.0)?;
    /// let stack = SpringStack::discs(spring, 2, 3)?.one_read(um(2_350), force)?;
    /// assert!((stack.force_at_height(um(13_050))?.newtons() - 10_000.0).abs() < 1e-6);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// As [`SpringStack::as_read`].
    pub fn one_read(&self, height: Length, force: Force) -> Result<SpringStack, MechanicsError> {
        let one = self.one().as_read(height, force)?;
        Ok(SpringStack {
            times: one.times,
            ..*self
        })
    }

    /// Height without load.
    pub fn free_height(&self) -> Length {
        match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => {
                (spring.free_height() + spring.worked_thickness() * (i64::from(parallel) - 1))
                    * i64::from(series)
            }
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
    /// # Errors
    ///
    /// [`MechanicsError::PastSolid`] below the solid height.
    pub fn force_at_height(&self, height: Length) -> Result<Force, MechanicsError> {
        let travel = self.travel(height)?;
        Ok(Force::from_newtons(self.force(travel))?)
    }

    /// Force gained per height lost; 0 above the free height, negative past the peak.
    ///
    /// # Errors
    ///
    /// [`MechanicsError::PastSolid`] below the solid height.
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
        Ok(SpringRate::from_newtons_per_mm(self.times * rate)?)
    }

    /// Height at which the force is greatest, where that is before the stack is solid; `None` where the force rises
    /// all the way.
    pub fn peak_height(&self) -> Option<Length> {
        Some(self.free_height() - self.peak_travel()?)
    }

    /// Travel of the whole stack from free to [`SpringStack::peak_height`].
    pub fn peak_travel(&self) -> Option<Length> {
        self.peak().map(whole_nm)
    }

    /// Travel of the whole stack from free to solid.
    pub fn full_travel(&self) -> Length {
        self.free_height() - self.solid_height()
    }

    /// The height of the stack after a travel from free.
    ///
    /// ```
    /// use shimwright::mechanics::{DiscSpring, SpringStack};
    /// use shimwright::quantity::Length;
    /// let um = Length::from_um;
    /// let spring = DiscSpring::new(um(50_000), um(25_400), um(2_000), um(3_400), None)?;
    /// let stack = SpringStack::discs(spring, 1, 2)?;
    /// assert_eq!(stack.height_after(um(2_100))?, um(4_700));
    /// assert!(stack.height_after(um(2_801)).is_err());
    /// # Ok::<(), shimwright::mechanics::MechanicsError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// Travel below 0 or above [`SpringStack::full_travel`].
    pub fn height_after(&self, travel: Length) -> Result<Length, MechanicsError> {
        let travel = within("travel", travel, Length::ZERO..=self.full_travel())?;
        Ok(self.free_height() - travel)
    }

    /// The heights at which the stack presses with `force`: none, one, or two, the one on the rising branch first.
    ///
    /// Rounded to the nanometre. Where the force hardly changes with height the answer is not sharp: see
    /// [`SpringStack::rate_at_height`].
    pub fn heights_for_force(&self, force: Force) -> Vec<Length> {
        let wanted = force.newtons();
        let solid_travel = (self.free_height() - self.solid_height()).mm();
        let top = self.peak().unwrap_or(solid_travel);
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

    /// Force that is lost when a pack has worn since the stack stood at a height, because the springs are that much
    /// longer then. Negative where wear takes the spring back up to its peak.
    ///
    /// ```text
    /// F(h) − F(h + w)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | F | [`SpringStack::force_at_height`] | N |
    /// | h | `height` | mm, not below the solid height |
    /// | w | `wear` of the pack | mm, 0 and above |
    ///
    /// Source: as [`SpringStack`].
    ///
    /// # Errors
    ///
    /// Negative wear; [`MechanicsError::PastSolid`].
    ///
    /// # Example
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
        let law = match self.kind {
            Kind::Discs {
                spring,
                parallel,
                series,
            } => f64::from(parallel) * spring.shape().force(travel / f64::from(series)),
            Kind::Coils { spring, count } => f64::from(count) * spring.rate.newtons_per_mm() * travel,
        };
        self.times * law
    }

    /// Travel in millimetres to the greatest force.
    fn peak(&self) -> Option<f64> {
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
