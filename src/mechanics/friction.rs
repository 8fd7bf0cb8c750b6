//! What proofs have shown of a unit's friction: what the next reading rests on.

use super::error::{MechanicsError, above, friction_within, within};
use crate::metrology::{Estimate, MetrologyError, Observation, Prior, estimate};
use crate::quantity::Ratio;

/// How far the friction of one unit differs from build to build, as a share (*common practice, no source*: oil that is fresh or
/// warm, plates more or less run in). It stands where fewer than [`ENOUGH`] proofs say how far it really does.
const BETWEEN_BUILDS: f64 = 0.06;
/// From so many proofs on their own scatter counts.
pub const ENOUGH: usize = 5;

/// What one proof has shown.
#[derive(Clone, PartialEq, Debug)]
pub struct ShownFriction {
    /// The friction while turning, back-solved with the springs and the radius as they are reckoned; above 0.
    pub friction: Ratio,
    /// The standard uncertainty that no other proof shares, as a share of it: scatter of the readings, drag, room for the springs.
    pub own: Ratio,
    /// The wrench that it was read with.
    pub wrench: String,
    /// The standard uncertainty of the wrench's calibration, as a share.
    pub calibration: Ratio,
    /// Which set of springs was in: the same number, the same springs.
    pub springs: u32,
    /// The standard uncertainty of their force, as a share, where it was read in a press: the band of springs is not in it then.
    pub press: Option<Ratio>,
}

/// Which springs are in for the reading that is asked after.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum SpringsIn {
    /// Those of a set of [`ShownFriction::springs`], by their law.
    Set(u32),
    /// Springs that a press has read, with the standard uncertainty of that, as a share; what proofs had of a press was read with the
    /// same one.
    Read(Ratio),
}

/// What is known of a unit's friction before it was proved.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TradeFriction {
    /// The friction while turning by the unit's file; above 0.
    pub friction: Ratio,
    /// Its standard uncertainty for any one build, not below 0.
    pub doubt: Ratio,
    /// Ends of the band in which springs press, as shares of their reckoned force.
    pub springs: [f64; 2],
    /// Ends of the band in which the friction radius lies, as shares of the reckoned one.
    pub radius: [f64; 2],
}

/// Friction as it is known for the next build.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct KnownFriction {
    /// The friction with which the next breakaway is reckoned: the product of friction, spring force and radius is known best, so
    /// how far these springs, or the press that has read them, and this radius are off is in it.
    pub breakaway: Known,
    /// The friction of the plates with the radius that they really rub at, without the springs: for what the ramps do.
    pub plates: Known,
    /// How many times as hard as reckoned these springs press: the best estimate, and its standard uncertainty as a share; of
    /// springs that a press has read, as hard as it says.
    pub springs: [Ratio; 2],
    /// How far the next build may lie off what is estimated, by how far builds differ: the standard uncertainty as a share.
    pub scatter: Ratio,
    /// Its degrees of freedom: infinite where how far builds differ is taken as stated.
    pub scatter_dof: f64,
    /// How many proofs it rests on.
    pub proofs: usize,
}

/// The friction of the plates and the force of the springs apart, which proofs read together: standard uncertainties as shares.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ReadTogether {
    /// Of the mean friction of the plates, without how far builds differ.
    pub plates: f64,
    /// What one more of that makes of the force, in logarithms: below 0, since more of the one is less of the other.
    pub by_plates: f64,
    /// Of the force of the springs, without what goes with the plates.
    pub springs: f64,
}

impl KnownFriction {
    /// The friction of the plates and the force of the springs apart, for what rests on both.
    ///
    /// ```text
    /// u²(m) = u²(μ) − s²,   2 cov = u²(f + μ) − u²(f) − u²(μ)
    /// β = cov/u²(m),   u² = u²(f) − cov²/u²(m)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | μ, f, f + μ | `plates`, `springs` and `breakaway` | shares |
    /// | s | `scatter` | share |
    /// | u(m), β, u | the result: `plates`, `by_plates`, `springs` | shares |
    ///
    /// Source: JCGM 100:2008, 5.2.2, solved for one of two that are correlated.
    pub fn read_together(&self) -> ReadTogether {
        let square = |relative: Ratio| relative.value() * relative.value();
        let springs = square(self.springs[1]);
        let mean = square(self.plates.relative) - square(self.scatter);
        let together = 0.5 * (square(self.breakaway.relative) - springs - square(self.plates.relative));
        if mean <= 0.0 {
            return ReadTogether {
                plates: 0.0,
                by_plates: 0.0,
                springs: springs.sqrt(),
            };
        }
        ReadTogether {
            plates: mean.sqrt(),
            by_plates: together / mean,
            springs: (springs - together * together / mean).max(0.0).sqrt(),
        }
    }
}

/// A friction with its doubt.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Known {
    /// The best estimate.
    pub friction: Ratio,
    /// Its standard uncertainty, as a share.
    pub relative: Ratio,
    /// Degrees of freedom: infinite where how far builds differ is taken as stated.
    pub dof: f64,
}

/// What proofs of a unit say of the friction of its next build, with these springs.
///
/// ```text
/// ln μ = m + r + f + w + b + e        one proof, in logarithms
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | μ | `proofs`, the `friction` of each | ratio, above 0, at most 1 |
/// | m | logarithm of the mean friction of the unit; before its proofs `trade.friction`, with `trade.doubt` | ratios, the friction above 0, at most 1 |
/// | r | how far the radius is off: one draw, in the band `trade.radius` | share |
/// | f | how far the springs are off: one draw for each set of `springs`, in the band `trade.springs`; one for all that a press has read, with the doubt of it | share |
/// | w | the wrench's `calibration`: one draw for each `wrench` | share |
/// | b | how far one build differs from the mean | share |
/// | e | its `own` readings | share |
///
/// [`estimate`] weighs all proofs together; taken as independent, four would hold the truth in 66 % where 95 are
/// said. The next build has a b of its own. With fewer than five proofs b is 6 %, or as much less as the file's doubt
/// is (*common practice, no source*); from five on it is the scatter of the proofs about their estimate, with
/// Student's t of n − 1, more by Welch and Satterthwaite where what is shared leaves more in doubt. What a band
/// between two ends leaves is taken with its mean and its standard deviation.
///
/// Source: JCGM 100:2008, 5.2.2, G.3 and G.4.
///
/// # Errors
///
/// Friction out of range; a doubt that is no number or below 0.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::friction::{ShownFriction, SpringsIn, TradeFriction, known_friction};
/// use shimwright::quantity::Ratio;
/// let trade = TradeFriction {
///     friction: Ratio::new(0.10)?,
///     doubt: Ratio::new(0.01)?,
///     springs: [0.925, 1.15],
///     radius: [1.0, 1.017],
/// };
/// let proof = ShownFriction {
///     friction: Ratio::new(0.12)?,
///     own: Ratio::new(0.02)?,
///     wrench: "wrench-60".into(),
///     calibration: Ratio::new(0.02)?,
///     springs: 1,
///     press: None,
/// };
/// let four = vec![proof; 4];
/// let known = known_friction(&trade, &four, SpringsIn::Set(1))?;
/// // the next reading is known better than the plates: springs and radius are the same again
/// assert!(known.breakaway.relative.value() < known.plates.relative.value());
/// assert!((known.breakaway.friction.value() - 0.12).abs() < 0.002);
/// // with other springs what these four had in common falls out
/// assert!(known_friction(&trade, &four, SpringsIn::Set(2))?.breakaway.relative > known.breakaway.relative);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn known_friction(
    trade: &TradeFriction,
    proofs: &[ShownFriction],
    springs: SpringsIn,
) -> Result<KnownFriction, MechanicsError> {
    let log = |friction: Ratio| -> Result<f64, MechanicsError> {
        within("friction", friction, above(Ratio::new(0.0)?))?;
        Ok(friction_within("friction", friction)?.ln())
    };
    let no_less = |doubt: Ratio| within("the doubt of a friction", doubt, Ratio::new(0.0)?..);
    no_less(trade.doubt)?;
    for proof in proofs {
        no_less(proof.own)?;
        no_less(proof.calibration)?;
        proof.press.map(no_less).transpose()?;
    }
    let file = log(trade.friction)?;
    let doubt = trade.doubt.value() / trade.friction.value();
    let between = BETWEEN_BUILDS.min(doubt / std::f64::consts::SQRT_2);
    let unit = (doubt * doubt - between * between).max(0.0).sqrt();
    let mut prior = vec![
        Prior {
            mean: file,
            standard: unit,
        },
        banded(trade.radius),
    ];
    let mut sets: Vec<u32> = Vec::new();
    let mut wrenches: Vec<&str> = Vec::new();
    for proof in proofs {
        if proof.press.is_none() && !sets.contains(&proof.springs) {
            sets.push(proof.springs);
        }
        if !wrenches.contains(&proof.wrench.as_str()) {
            wrenches.push(&proof.wrench);
        }
    }
    let read = match springs {
        SpringsIn::Set(set) => {
            if !sets.contains(&set) {
                sets.push(set);
            }
            None
        }
        SpringsIn::Read(doubt) => Some(no_less(doubt)?),
    };
    prior.extend(sets.iter().map(|_| banded(trade.springs)));
    let of_set = |set: u32| 2 + sets.iter().position(|known| *known == set).unwrap_or(0);
    for wrench in &wrenches {
        let of_it = proofs.iter().filter(|proof| proof.wrench == *wrench);
        let standard = of_it.map(|proof| proof.calibration.value()).fold(0.0, f64::max);
        prior.push(Prior { mean: 0.0, standard });
    }
    let by_press = prior.len();
    let press = proofs
        .iter()
        .filter_map(|proof| proof.press)
        .chain(read)
        .map(Ratio::value);
    prior.push(Prior {
        mean: 0.0,
        standard: press.fold(0.0, f64::max),
    });
    let mut readings = Vec::with_capacity(proofs.len());
    for proof in proofs {
        let wrench = wrenches
            .iter()
            .position(|known| *known == proof.wrench)
            .unwrap_or(0);
        let springs = match proof.press {
            Some(_) => by_press,
            None => of_set(proof.springs),
        };
        readings.push(Observation {
            of: vec![0, 1, springs, 2 + sets.len() + wrench],
            value: log(proof.friction)?,
            // a reading that leaves nothing in doubt would leave nothing to weigh it by
            standard: between.hypot(proof.own.value()).max(1e-9),
        });
    }
    let weighed = |readings: &[Observation]| estimate(&prior, readings).map_err(no_number);
    let mut posterior = weighed(&readings)?;
    let (mut scatter, mut dof) = (between, f64::INFINITY);
    if readings.len() >= ENOUGH {
        let squares = |known: &Estimate| -> f64 {
            let off = readings
                .iter()
                .map(|reading| reading.value - known.sum(&reading.of).0);
            off.map(|off| off * off).sum()
        };
        dof = (readings.len() - 1) as f64;
        scatter = (squares(&posterior) / dof).sqrt().max(1e-9);
        for reading in &mut readings {
            reading.standard = scatter;
        }
        posterior = weighed(&readings)?;
    }
    // only the scatter is estimated from so few; what is shared is known as it is stated (JCGM 100:2008, G.4.1)
    let estimated = scatter * (1.0 + 1.0 / readings.len().max(1) as f64).sqrt();
    let of = |quantities: &[usize]| -> Result<Known, MechanicsError> {
        let (mean, standard) = posterior.sum(quantities);
        let relative = standard.hypot(scatter);
        Ok(Known {
            friction: Ratio::new(mean.exp())?,
            relative: Ratio::new(relative)?,
            dof: dof * (relative / estimated).max(1.0).powi(4),
        })
    };
    let of_these = match springs {
        SpringsIn::Set(set) => of_set(set),
        SpringsIn::Read(_) => by_press,
    };
    Ok(KnownFriction {
        breakaway: of(&[0, 1, of_these])?,
        plates: of(&[0, 1])?,
        springs: {
            let (mean, standard) = posterior.sum(&[of_these]);
            [Ratio::new(mean.exp())?, Ratio::new(standard)?]
        },
        scatter: Ratio::new(if dof.is_finite() { estimated } else { scatter })?,
        scatter_dof: dof,
        proofs: proofs.len(),
    })
}

/// The logarithm of what lies in a band.
fn banded([low, high]: [f64; 2]) -> Prior {
    let mean = 0.5 * (low + high);
    let relative = (high - low) / (12_f64.sqrt() * mean);
    Prior {
        mean: mean.ln() - 0.5 * relative * relative,
        standard: relative,
    }
}

fn no_number(_: MetrologyError) -> MechanicsError {
    MechanicsError::from(crate::quantity::NotFinite)
}
