//! Uncertainty budgets with named sources.

use super::distribution::{normal_quantile, t_quantile};
use super::error::{MetrologyError, coverage, finite, not_negative};
use super::standard::StandardUncertainty;
use super::summary::Summary;
use crate::quantity::Length;

/// What is known of a measuring instrument.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Instrument {
    /// Which instrument it is: readings with the same id share their calibration error.
    pub id: String,
    /// The step of its scale or display.
    pub resolution: Length,
    /// Standard uncertainty of its calibration: the U of the certificate over its k.
    pub calibration: Length,
    /// Standard deviation of one reading repeated at one place.
    pub repeatability: Length,
    /// Standard uncertainty of its zero, which was read once and is taken off all that is read with it.
    pub zero: Length,
}

/// One source of uncertainty.
#[derive(Clone, PartialEq, Debug)]
pub struct Component {
    /// What it comes from, such as `resolution`.
    pub name: String,
    /// Contribution to the result, in micrometres: sensitivity times standard uncertainty. Its sign matters only
    /// where it is shared: it says which way the result moves when the source moves up.
    pub standard: f64,
    /// The instrument whose readings all carry this same error; `None` where each reading has its own.
    pub shared: Option<String>,
    /// Degrees of freedom; infinite where the standard uncertainty is taken as known.
    pub dof: f64,
}

impl Component {
    /// A source that each reading has for itself, taken as known.
    ///
    /// # Errors
    ///
    /// Negative, NaN or infinite.
    pub fn own(name: &str, standard_um: f64) -> Result<Component, MetrologyError> {
        Ok(Component {
            name: name.to_string(),
            standard: StandardUncertainty::from_um(standard_um)?.um(),
            shared: None,
            dof: f64::INFINITY,
        })
    }

    /// A source that all readings of `instrument` have together.
    ///
    /// # Errors
    ///
    /// Negative, NaN or infinite.
    pub fn shared(name: &str, instrument: &str, standard_um: f64) -> Result<Component, MetrologyError> {
        Ok(Component {
            shared: Some(instrument.to_string()),
            ..Component::own(name, standard_um)?
        })
    }

    /// The standard uncertainty of the mean of readings that were repeated at one place.
    ///
    /// ```text
    /// u = s/√n
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | u | the result, with n − 1 degrees of freedom | µm |
    /// | s | the standard deviation of the `readings` | µm |
    /// | n | how many `readings` | count, 2 and above |
    ///
    /// Source: JCGM 100:2008, 4.2.3.
    ///
    /// # Errors
    ///
    /// Fewer than two readings.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::metrology::Component;
    /// use shimwright::quantity::Length;
    /// // three readings with a standard deviation of 2 µm
    /// let readings = [1978, 1980, 1982].map(Length::from_um);
    /// let source = Component::repeated("repeatability", &readings)?;
    /// assert!((source.standard - 2.0 / 3_f64.sqrt()).abs() < 1e-9);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn repeated(name: &str, readings: &[Length]) -> Result<Component, MetrologyError> {
        let um: Vec<f64> = readings.iter().map(|reading| reading.um()).collect();
        match Summary::of(&um)?.standard_error {
            Some(standard) => Ok(Component {
                dof: (um.len() - 1) as f64,
                ..Component::own(name, standard)?
            }),
            None => Err(MetrologyError::TooFew {
                what: "readings",
                have: um.len(),
                need: 2,
            }),
        }
    }

    /// The standard uncertainty of a source of which only the limits are known, each value between them as likely as
    /// another.
    ///
    /// ```text
    /// u = a/√3
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | u | the result | µm |
    /// | a | `half_width`: the limits are ±a | µm, 0 and above |
    ///
    /// Source: JCGM 100:2008, 4.3.7.
    ///
    /// # Errors
    ///
    /// A negative half-width.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::metrology::Component;
    /// use shimwright::quantity::Length;
    /// let source = Component::within("flatness", Length::from_um(3))?;
    /// assert!((source.standard - 3_f64.sqrt()).abs() < 1e-12);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn within(name: &str, half_width: Length) -> Result<Component, MetrologyError> {
        Component::own(
            name,
            at_least_zero("the half-width", half_width)?.um() / 3_f64.sqrt(),
        )
    }
}

/// The name of what the zero of an instrument leaves in doubt.
const ZERO: &str = "zero";

/// All sources of the uncertainty of one result.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Budget {
    /// The sources; those of one name are already joined.
    pub components: Vec<Component>,
}

impl Budget {
    /// A budget of these sources.
    pub fn new(components: Vec<Component>) -> Budget {
        let alone = Budget { components };
        stack(&[(alone, 1)])
    }

    /// The same without what the zeros of the instruments leave in doubt: for who sets two builds side by side, each with a zero
    /// of its own.
    ///
    /// ```
    /// use shimwright::metrology::{Budget, Component};
    /// let budget = Budget::new(vec![Component::shared("zero", "mic 1", 3.0)?, Component::own("resolution", 1.0)?]);
    /// assert!((budget.without_zeros().combined().um() - 1.0).abs() < 1e-12);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn without_zeros(&self) -> Budget {
        let others = self.components.iter().filter(|component| component.name != ZERO);
        Budget {
            components: others.cloned().collect(),
        }
    }

    /// The combined standard uncertainty.
    ///
    /// ```text
    /// u = √Σ(cᵢuᵢ)²
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | u | the result | µm |
    /// | cᵢuᵢ | `components`, each already summed over what is shared | µm |
    ///
    /// A component put together by hand with NaN in it is refused where the result is judged or expanded.
    ///
    /// Source: JCGM 100:2008, 5.1.2.
    pub fn combined(&self) -> StandardUncertainty {
        let squares: f64 = self.components.iter().map(|c| c.standard * c.standard).sum();
        StandardUncertainty(squares.sqrt())
    }

    /// The expanded uncertainty, to the nearest nanometre.
    ///
    /// ```text
    /// U = k·u
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | U | the result | nm |
    /// | k | `k` | ratio, 0 and above |
    /// | u | [`Budget::combined`] | µm |
    ///
    /// Source: JCGM 100:2008, 6.2.1.
    ///
    /// # Errors
    ///
    /// K negative, NaN or infinite; a result past what a length can hold.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::metrology::{Budget, Component};
    /// use shimwright::quantity::Length;
    /// let budget = Budget::new(vec![Component::own("repeatability", 3.0)?, Component::own("resolution", 4.0)?]);
    /// assert!((budget.combined().um() - 5.0).abs() < 1e-12);
    /// assert_eq!(budget.expanded(2.0)?, Length::from_um(10));
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn expanded(&self, k: f64) -> Result<Length, MetrologyError> {
        let um = not_negative("the coverage factor", k)? * self.combined().um();
        Length::from_mm(um / 1e3).map_err(|_| MetrologyError::NotFinite {
            what: "the expanded uncertainty in micrometres",
            value: um,
        })
    }

    /// Effective degrees of freedom of the combined uncertainty, see [`welch_satterthwaite`].
    ///
    /// # Errors
    ///
    /// A source with less than one degree of freedom.
    pub fn degrees_of_freedom(&self) -> Result<f64, MetrologyError> {
        let parts: Vec<(f64, f64)> = self
            .components
            .iter()
            .map(|c| (c.standard.abs(), c.dof))
            .collect();
        welch_satterthwaite(&parts)
    }
}

fn at_least_zero(what: &'static str, value: Length) -> Result<Length, MetrologyError> {
    if value >= Length::ZERO {
        Ok(value)
    } else {
        Err(MetrologyError::NegativeLength { what, value })
    }
}

/// The uncertainty of the mean of readings by one instrument.
///
/// ```text
/// resolution     a/√3 with a half of the step      JCGM 100:2008, F.2.2.1
/// repeatability  s/√k with k repeats               JCGM 100:2008, 4.2.3
/// calibration    as certified, shared by all readings of the instrument
/// zero           as it was read, shared likewise
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | step | `instrument.resolution` | µm, 0 and above |
/// | s | `instrument.repeatability` | µm, 0 and above |
/// | calibration | `instrument.calibration` | µm, 0 and above |
/// | zero | `instrument.zero` | µm, 0 and above |
/// | k | `repeats` | count, 1 and above |
///
/// The resolution is not divided by √k: readings that all round the same way do not average it out.
///
/// Source: the clauses beside the formulas.
///
/// # Errors
///
/// No reading; a negative step, repeatability, calibration or uncertainty of the zero.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{reading_uncertainty, Instrument};
/// use shimwright::quantity::Length;
/// let micrometer = Instrument {
///     id: "mic 1".to_string(),
///     resolution: Length::from_um(1),
///     calibration: Length::from_um(1),
///     repeatability: Length::from_um(2),
///     zero: Length::ZERO,
/// };
/// let budget = reading_uncertainty(&micrometer, 4)?;
/// assert!((budget.combined().um() - (1.0_f64 / 12.0 + 1.0 + 1.0).sqrt()).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn reading_uncertainty(instrument: &Instrument, repeats: usize) -> Result<Budget, MetrologyError> {
    if repeats == 0 {
        return Err(MetrologyError::TooFew {
            what: "readings",
            have: 0,
            need: 1,
        });
    }
    let step = at_least_zero("the resolution", instrument.resolution)?.um();
    let repeatability = at_least_zero("the repeatability", instrument.repeatability)?.um();
    let calibration = at_least_zero("the calibration uncertainty", instrument.calibration)?.um();
    let zero = at_least_zero("the uncertainty of the zero", instrument.zero)?.um();
    let mut components = vec![
        Component::own("resolution", step / 12_f64.sqrt())?,
        Component::own("repeatability", repeatability / (repeats as f64).sqrt())?,
        Component::shared("calibration", &instrument.id, calibration)?,
    ];
    if zero > 0.0 {
        components.push(Component::shared(ZERO, &instrument.id, zero)?);
    }
    Ok(Budget { components })
}

/// The uncertainty of a sum of results, each taken so many times (−1 for one that is subtracted).
///
/// ```text
/// shared by one instrument   Σ cᵢuᵢ, with sign
/// everything else            √Σ(cᵢuᵢ)²
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | uᵢ | `parts`, the components of each budget | µm |
/// | cᵢ | `parts`, the sensitivity of each | whole number |
///
/// So N plates measured by one micrometer carry N times its calibration uncertainty, and a difference of two readings
/// by one instrument carries none. Sources are joined by name; two sources of one instrument with different names are
/// independent of each other.
///
/// Source: JCGM 100:2008, 5.2.2 with correlation 1 for what is shared.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{stack, Budget, Component};
/// let plate = Budget::new(vec![
///     Component::own("repeatability", 1.0)?,
///     Component::shared("calibration", "mic 1", 1.0)?,
/// ]);
/// let pack = stack(&[(plate.clone(), 1), (plate.clone(), 1), (plate.clone(), 1), (plate, 1)]);
/// assert!((pack.combined().um() - (4.0_f64 + 16.0).sqrt()).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn stack(parts: &[(Budget, i64)]) -> Budget {
    let mut joined: Vec<Component> = Vec::new();
    for (budget, sensitivity) in parts {
        for component in &budget.components {
            let standard = component.standard * *sensitivity as f64;
            let same = joined
                .iter_mut()
                .find(|have| have.name == component.name && have.shared == component.shared);
            match same {
                None => joined.push(Component {
                    standard,
                    ..component.clone()
                }),
                Some(have) if have.shared.is_some() => {
                    have.standard += standard;
                    have.dof = have.dof.min(component.dof);
                }
                Some(have) => {
                    let joint = have.standard.hypot(standard);
                    have.dof = effective(joint, &[(have.standard, have.dof), (standard, component.dof)]);
                    have.standard = joint;
                }
            }
        }
    }
    Budget { components: joined }
}

/// Degrees of freedom of a combined uncertainty.
fn effective(combined: f64, parts: &[(f64, f64)]) -> f64 {
    if combined > 0.0 {
        let share: f64 = parts.iter().map(|(u, dof)| (u / combined).powi(4) / dof).sum();
        1.0 / share
    } else {
        f64::INFINITY
    }
}

/// Effective degrees of freedom of independent parts.
///
/// ```text
/// ν = u⁴ / Σ(uᵢ⁴/νᵢ),   u² = Σuᵢ²
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | ν | the result | count, not whole |
/// | uᵢ | `parts`, the standard uncertainty of each | all one unit, 0 and above |
/// | νᵢ | `parts`, the degrees of freedom of each | count, 1 to infinite |
///
/// The GUM rounds the result down before it looks up t; this gives it unrounded.
///
/// Source: JCGM 100:2008, G.4.1, Welch–Satterthwaite.
///
/// # Errors
///
/// A negative or not finite uncertainty; less than one degree of freedom.
///
/// # Example
///
/// ```
/// let dof = shimwright::metrology::welch_satterthwaite(&[(1.0, 4.0), (1.0, 4.0)])?;
/// assert!((dof - 8.0).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn welch_satterthwaite(parts: &[(f64, f64)]) -> Result<f64, MetrologyError> {
    for &(standard, dof) in parts {
        not_negative("a standard uncertainty", standard)?;
        at_least_one(dof)?;
    }
    let combined = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
    finite("the combined standard uncertainty", combined)?;
    Ok(effective(combined, parts))
}

fn at_least_one(dof: f64) -> Result<f64, MetrologyError> {
    if dof >= 1.0 {
        Ok(dof)
    } else {
        Err(MetrologyError::DegreesOfFreedom { dof })
    }
}

/// The factor k for which ±k·u covers the true value with a probability.
///
/// ```text
/// k = t((1 + p)/2; ν)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | k | the result | ratio |
/// | p | `p` | share, above 0, below 1 |
/// | ν | `dof`; infinite gives the normal distribution | count, 1 to infinite |
///
/// Source: JCGM 100:2008, G.3.2 and Table G.2.
///
/// # Errors
///
/// P not between 0 and 1; less than one degree of freedom.
///
/// # Example
///
/// ```
/// let k = shimwright::metrology::coverage_factor(0.99, 16.0)?;
/// assert!((k - 2.92).abs() < 0.005);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn coverage_factor(p: f64, dof: f64) -> Result<f64, MetrologyError> {
    let probability = 1.0 - 0.5 * (1.0 - coverage(p)?);
    at_least_one(dof)?;
    let k = if dof.is_finite() {
        t_quantile(probability, dof)
    } else {
        normal_quantile(probability)
    };
    finite("the coverage factor", k)
}

/// How a sum of single readings and one reading of the whole agree.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Agreement {
    /// Sum less pressed reading.
    pub difference: Length,
    /// Expanded uncertainty of the difference, k = 2.
    pub joint: Length,
    /// Whether the difference is within the joint uncertainty.
    pub agrees: bool,
}

/// Compares the sum of the plates, read one by one, with one reading of the pack pressed together.
///
/// ```text
/// |sum − pressed| ≤ 2·u(sum − pressed)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | sum | `sum` | nm |
/// | pressed | `pressed` | nm |
/// | u(sum − pressed) | [`stack`] of `u_sum` and `u_pressed` | µm |
///
/// What both share, because the same instrument read both, counts with its sign: N plates carry its calibration N
/// times and the pressed pack once, so the difference carries it N − 1 times. A difference above the joint
/// uncertainty means a misread plate, dirt or a burr.
///
/// Source: JCGM 100:2008, 5.2.2; k = 2.
///
/// # Errors
///
/// A joint uncertainty past what a length can hold.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{compare, Budget, Component};
/// use shimwright::quantity::Length;
/// let u = Budget::new(vec![Component::own("repeatability", 3.0)?]);
/// let v = Budget::new(vec![Component::own("repeatability", 4.0)?]);
/// let agreement = compare(Length::from_um(20_011), &u, Length::from_um(20_000), &v)?;
/// assert_eq!(agreement.joint, Length::from_um(10));
/// assert!(!agreement.agrees);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn compare(
    sum: Length,
    u_sum: &Budget,
    pressed: Length,
    u_pressed: &Budget,
) -> Result<Agreement, MetrologyError> {
    let difference = sum - pressed;
    let joint = stack(&[(u_sum.clone(), 1), (u_pressed.clone(), -1)]).expanded(2.0)?;
    Ok(Agreement {
        difference,
        joint,
        agrees: difference.abs() <= joint,
    })
}

#[cfg(test)]
mod tests;
