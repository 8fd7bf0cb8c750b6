//! The verdict on a measured value against its limits.

use super::distribution::{normal_below, normal_quantile};
use super::error::{MetrologyError, confidence_from, finite, not_negative};
use super::standard::StandardUncertainty;
use crate::quantity::Length;
use std::fmt;

/// What can be said of a true value and its limits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Verdict {
    /// The true value lies within the limits, with the confidence that was asked for.
    Inside,
    /// Neither can be said: measure again, or better.
    TooCloseToCall,
    /// The true value lies past a limit, with the confidence that was asked for.
    Outside,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Verdict::Inside => "inside",
            Verdict::TooCloseToCall => "too close to call",
            Verdict::Outside => "outside",
        })
    }
}

/// Limits of a number; either may be absent, and both belong to the inside.
#[derive(Clone, Copy, PartialEq, Default, Debug)]
pub struct Limits {
    /// The least that is allowed.
    pub least: Option<f64>,
    /// The most that is allowed.
    pub most: Option<f64>,
}

impl Limits {
    /// Limits that are finite and the right way up.
    ///
    /// # Errors
    ///
    /// NaN or infinity; upside down; neither given.
    pub fn new(least: Option<f64>, most: Option<f64>) -> Result<Limits, MetrologyError> {
        let limits = Limits { least, most };
        limits.check().map(|()| limits)
    }

    /// Whether a value lies within the limits; NaN never does.
    pub fn contains(&self, value: f64) -> bool {
        !value.is_nan()
            && self.least.is_none_or(|least| value >= least)
            && self.most.is_none_or(|most| value <= most)
    }

    pub(super) fn check(&self) -> Result<(), MetrologyError> {
        for limit in [self.least, self.most].into_iter().flatten() {
            finite("a limit", limit)?;
        }
        match (self.least, self.most) {
            (None, None) => Err(MetrologyError::NoLimit),
            (Some(least), Some(most)) if least > most => {
                Err(MetrologyError::LimitsUpsideDown { least, most })
            }
            _ => Ok(()),
        }
    }
}

/// Probabilities that the true value is below, within and above the limits; checked input only.
fn shares(value: f64, u: f64, limits: &Limits) -> (f64, f64) {
    if u <= 0.0 {
        return if limits.contains(value) {
            (1.0, 0.0)
        } else {
            (0.0, 1.0)
        };
    }
    // each tail by itself, so that a small one keeps its digits
    let below = limits
        .least
        .map_or(0.0, |least| normal_below((least - value) / u));
    let above = limits.most.map_or(0.0, |most| normal_below((value - most) / u));
    let inside = if below > 0.5 {
        normal_below(limits.least.map_or(f64::INFINITY, |least| (value - least) / u)) - above
    } else if above > 0.5 {
        normal_below(limits.most.map_or(f64::INFINITY, |most| (most - value) / u)) - below
    } else {
        1.0 - below - above
    };
    (inside.clamp(0.0, 1.0), (below + above).clamp(0.0, 1.0))
}

/// The probability that the true value lies within the limits.
///
/// ```text
/// p = Φ((most − y)/u) − Φ((least − y)/u)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | y | `value` | any one, finite |
/// | u | `standard_uncertainty` | as y, 0 and above |
/// | least, most | `limits.least`, `limits.most` | as y; one at least, not upside down |
/// | Φ | the normal distribution | – |
///
/// A missing limit counts as infinitely far. `u = 0` is a step: 1 within the limits (which belong to the inside),
/// else 0.
///
/// Source: JCGM 106:2012, 7.2 to 7.4, for a normal distribution.
///
/// # Errors
///
/// NaN or infinity; negative `u`; limits upside down or absent.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{probability_inside, Limits};
/// let p = probability_inside(10.0, 0.4, &Limits::new(Some(9.0), Some(11.0))?)?;
/// assert!((1.0 - p - 0.01242).abs() < 5e-6);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn probability_inside(
    value: f64,
    standard_uncertainty: f64,
    limits: &Limits,
) -> Result<f64, MetrologyError> {
    checked_shares(value, standard_uncertainty, limits).map(|(inside, _)| inside)
}

fn checked_shares(value: f64, u: f64, limits: &Limits) -> Result<(f64, f64), MetrologyError> {
    finite("the value", value)?;
    not_negative("the standard uncertainty", u)?;
    limits.check()?;
    Ok(shares(value, u, limits))
}

/// The probability that the true value lies within the limits, and the verdict at a confidence.
///
/// ```text
/// inside            p ≥ c
/// outside           1 − p ≥ c
/// too close to call else
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | [`probability_inside`] of `value`, `standard_uncertainty` and `limits` | share |
/// | c | `confidence` | share, 0.5 to below 1 |
///
/// With an uncertainty much wider than the limits every value is outside or too close to call.
///
/// Source: JCGM 106:2012, 7.2 to 7.4 and 8.3.2.
///
/// # Errors
///
/// As [`probability_inside`]; a confidence out of range.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{judge, Limits, Verdict};
/// let limits = Limits::new(Some(1.95), None)?;
/// assert_eq!(judge(1.98, 0.01, &limits, 0.95)?.1, Verdict::Inside);
/// assert_eq!(judge(1.951, 0.01, &limits, 0.95)?.1.to_string(), "too close to call");
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn judge(
    value: f64,
    standard_uncertainty: f64,
    limits: &Limits,
    confidence: f64,
) -> Result<(f64, Verdict), MetrologyError> {
    let confidence = confidence_from(0.5, confidence)?;
    let (inside, outside) = checked_shares(value, standard_uncertainty, limits)?;
    let verdict = if inside >= confidence {
        Verdict::Inside
    } else if outside >= confidence {
        Verdict::Outside
    } else {
        Verdict::TooCloseToCall
    };
    Ok((inside, verdict))
}

/// How far from a single limit a value must lie to be called inside.
///
/// ```text
/// g = z(confidence)·u
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | g | the result | as u |
/// | z | the one-sided normal quantile, 1.645 at 95 % | ratio |
/// | confidence | `confidence` | share, 0.5 to below 1 |
/// | u | `standard_uncertainty` | any one, 0 and above |
///
/// With two limits so near each other that both bite it is a little too short; [`judge`] takes both into account.
///
/// Source: JCGM 106:2012, 8.3.2 and Table 1.
///
/// # Errors
///
/// NaN or infinity; negative `u`; a confidence out of range.
///
/// # Example
///
/// ```
/// let band = shimwright::metrology::guard_band(2.0, 0.95)?;
/// assert!((band - 3.2897).abs() < 1e-4);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn guard_band(standard_uncertainty: f64, confidence: f64) -> Result<f64, MetrologyError> {
    let u = not_negative("the standard uncertainty", standard_uncertainty)?;
    finite(
        "the guard band",
        u * normal_quantile(confidence_from(0.5, confidence)?),
    )
}

/// [`judge`] for a length: the distances to the limits are exact.
///
/// ```
/// use shimwright::metrology::{judge_length, StandardUncertainty, Verdict};
/// use shimwright::quantity::Length;
/// let u = StandardUncertainty::from_um(2.0)?;
/// let (_, verdict) = judge_length(Length::from_um(1_944), u, Some(Length::from_um(1_950)), None, 0.95)?;
/// assert_eq!(verdict, Verdict::Outside);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
///
/// # Errors
///
/// Limits upside down or absent; a confidence out of range.
pub fn judge_length(
    value: Length,
    u: StandardUncertainty,
    least: Option<Length>,
    most: Option<Length>,
    confidence: f64,
) -> Result<(f64, Verdict), MetrologyError> {
    let LengthLimits { least, most } = LengthLimits::new(least, most)?;
    let from_value = |limit: Length| (limit - value).um();
    let limits = Limits {
        least: least.map(from_value),
        most: most.map(from_value),
    };
    judge(0.0, u.um(), &limits, confidence)
}

/// Limits of a length; either may be absent, and both belong to the inside.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LengthLimits {
    least: Option<Length>,
    most: Option<Length>,
}

impl LengthLimits {
    /// Limits that are the right way up.
    ///
    /// # Errors
    ///
    /// Upside down; neither given.
    pub fn new(least: Option<Length>, most: Option<Length>) -> Result<LengthLimits, MetrologyError> {
        match (least, most) {
            (None, None) => Err(MetrologyError::NoLimit),
            (Some(least), Some(most)) if least > most => {
                Err(MetrologyError::LengthLimitsUpsideDown { least, most })
            }
            _ => Ok(LengthLimits { least, most }),
        }
    }

    /// The least that is allowed.
    pub fn least(&self) -> Option<Length> {
        self.least
    }

    /// The most that is allowed.
    pub fn most(&self) -> Option<Length> {
        self.most
    }

    /// Whether a length lies within the limits, its uncertainty left aside.
    pub fn contains(&self, value: Length) -> bool {
        self.least.is_none_or(|least| value >= least) && self.most.is_none_or(|most| value <= most)
    }

    /// The limits drawn in by a guard band on each side, the band rounded up to the next nanometre: what a value aimed at
    /// must meet to be called inside once it is measured.
    ///
    /// ```
    /// use shimwright::metrology::{LengthLimits, StandardUncertainty};
    /// use shimwright::quantity::Length;
    /// let gap = LengthLimits::new(Some(Length::from_um(100)), Some(Length::from_um(200)))?;
    /// let aim = gap.guarded(StandardUncertainty::from_um(10.0)?, 0.95)?;
    /// assert_eq!(aim.least(), Some(Length::from_nm(116_449)));
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// A confidence out of range; guard bands that meet.
    pub fn guarded(&self, u: StandardUncertainty, confidence: f64) -> Result<LengthLimits, MetrologyError> {
        let um = guard_band(u.um(), confidence)?;
        let band = Length::from_mm((um * 1e3).ceil() / 1e6).map_err(|_| MetrologyError::NotFinite {
            what: "the guard band in micrometres",
            value: um,
        })?;
        let guarded = LengthLimits {
            least: self.least.map(|least| least + band),
            most: self.most.map(|most| most - band),
        };
        match (self.least, self.most) {
            (Some(least), Some(most)) if guarded.least > guarded.most => {
                Err(MetrologyError::GuardBandsMeet { band, least, most })
            }
            _ => Ok(guarded),
        }
    }
}

impl fmt::Display for LengthLimits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match (self.least, self.most) {
            (Some(least), Some(most)) => format!("{least} to {most}"),
            (Some(least), None) => format!("at least {least}"),
            (None, Some(most)) => format!("at most {most}"),
            (None, None) => "no limit".to_string(),
        };
        f.pad(&text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn limits(least: f64, most: f64) -> Limits {
        Limits::new(Some(least), Some(most)).unwrap()
    }

    #[test]
    fn the_verdicts_have_their_words() {
        let words = [Verdict::Inside, Verdict::TooCloseToCall, Verdict::Outside].map(|v| v.to_string());
        assert_eq!(words, ["inside", "too close to call", "outside"]);
    }

    #[test]
    fn without_uncertainty_a_limit_is_a_step_and_belongs_to_the_inside() {
        let at = |value| judge(value, 0.0, &limits(1.0, 2.0), 0.95).unwrap();
        assert_eq!(at(1.0), (1.0, Verdict::Inside));
        assert_eq!(at(2.0), (1.0, Verdict::Inside));
        assert_eq!(at(2.0 + 1e-12), (0.0, Verdict::Outside));
        assert_eq!(at(1.0 - 1e-12), (0.0, Verdict::Outside));
    }

    #[test]
    fn limits_upside_down_or_absent_are_refused() {
        assert_eq!(
            Limits::new(Some(2.0), Some(1.0)),
            Err(MetrologyError::LimitsUpsideDown {
                least: 2.0,
                most: 1.0
            })
        );
        let unchecked = Limits {
            least: Some(2.0),
            most: Some(1.0),
        };
        assert_eq!(
            judge(1.5, 0.1, &unchecked, 0.95),
            Err(MetrologyError::LimitsUpsideDown {
                least: 2.0,
                most: 1.0
            })
        );
        assert_eq!(
            probability_inside(1.0, 0.1, &Limits::default()),
            Err(MetrologyError::NoLimit)
        );
        let (low, high) = (Length::from_um(1), Length::from_um(2));
        assert_eq!(
            judge_length(low, StandardUncertainty::ZERO, Some(high), Some(low), 0.95),
            Err(MetrologyError::LengthLimitsUpsideDown {
                least: high,
                most: low
            })
        );
        assert_eq!(
            judge_length(low, StandardUncertainty::ZERO, None, None, 0.95),
            Err(MetrologyError::NoLimit)
        );
    }

    #[test]
    fn nan_and_infinity_are_refused_everywhere() {
        let fine = limits(1.0, 2.0);
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(matches!(
                judge(bad, 0.1, &fine, 0.95),
                Err(MetrologyError::NotFinite { .. })
            ));
            assert!(matches!(
                judge(1.5, bad, &fine, 0.95),
                Err(MetrologyError::NotFinite { .. })
            ));
            assert!(matches!(
                judge(1.5, 0.1, &fine, bad),
                Err(MetrologyError::ConfidenceOutOfRange { .. })
            ));
            assert!(matches!(
                Limits::new(Some(bad), None),
                Err(MetrologyError::NotFinite { .. })
            ));
            assert!(matches!(
                Limits::new(None, Some(bad)),
                Err(MetrologyError::NotFinite { .. })
            ));
            assert!(matches!(
                guard_band(bad, 0.95),
                Err(MetrologyError::NotFinite { .. })
            ));
            assert!(matches!(
                guard_band(1.0, bad),
                Err(MetrologyError::ConfidenceOutOfRange { .. })
            ));
        }
        assert!(!fine.contains(f64::NAN));
        assert!(matches!(
            judge(1.5, -0.1, &fine, 0.95),
            Err(MetrologyError::Negative { .. })
        ));
        assert_eq!(
            judge(1.5, 0.1, &fine, 0.49),
            Err(MetrologyError::ConfidenceOutOfRange {
                confidence: 0.49,
                least: 0.5
            })
        );
        assert_eq!(
            judge(1.5, 0.1, &fine, 1.0),
            Err(MetrologyError::ConfidenceOutOfRange {
                confidence: 1.0,
                least: 0.5
            })
        );
    }

    #[test]
    fn guarded_limits_that_meet_are_refused() {
        let narrow = LengthLimits::new(Some(Length::from_um(10)), Some(Length::from_um(12))).unwrap();
        assert!(matches!(
            narrow.guarded(StandardUncertainty::from_um(1.0).unwrap(), 0.95),
            Err(MetrologyError::GuardBandsMeet { .. })
        ));
        assert_eq!(narrow.guarded(StandardUncertainty::ZERO, 0.95), Ok(narrow));
        assert_eq!(narrow.to_string(), "0.010 mm to 0.012 mm");
    }

    #[test]
    fn a_tiny_tail_keeps_its_digits() {
        // Φ(−10) = 7.619853e-24, Abramowitz and Stegun Table 26.2 (from memory)
        let far = Limits::new(Some(10.0), None).unwrap();
        let p = probability_inside(0.0, 1.0, &far).unwrap();
        assert!((p / 7.619_853e-24 - 1.0).abs() < 1e-6, "{p}");
    }

    proptest! {
        #[test]
        fn more_confidence_never_makes_a_verdict_firmer(
            value in -5.0_f64..5.0, u in 0.0_f64..3.0, least in -3.0_f64..0.0, width in 0.0_f64..4.0,
            low in 0.5_f64..0.999, more in 0.0_f64..0.4,
        ) {
            let range = limits(least, least + width);
            let high = (low + more).min(0.9999);
            let (p, first) = judge(value, u, &range, low).unwrap();
            let (q, second) = judge(value, u, &range, high).unwrap();
            prop_assert_eq!(p.to_bits(), q.to_bits());
            prop_assert!(second == first || second == Verdict::TooCloseToCall);
        }

        #[test]
        fn inside_and_both_tails_make_one(
            value in -5.0_f64..5.0, u in 0.01_f64..3.0, least in -3.0_f64..0.0, width in 0.0_f64..4.0,
        ) {
            let inside = probability_inside(value, u, &limits(least, least + width)).unwrap();
            let below = probability_inside(value, u, &Limits::new(None, Some(least)).unwrap()).unwrap();
            let above = probability_inside(value, u, &Limits::new(Some(least + width), None).unwrap()).unwrap();
            prop_assert!((inside + below + above - 1.0).abs() < 1e-14);
        }

        #[test]
        fn a_value_on_the_guarded_limit_is_just_inside(
            least_um in 0_i64..10_000, u in 0.01_f64..50.0, confidence in 0.5_f64..0.999,
        ) {
            let least = Length::from_um(least_um);
            let u = StandardUncertainty::from_um(u).unwrap();
            let aim = LengthLimits::new(Some(least), None).unwrap().guarded(u, confidence).unwrap();
            let at = |value| judge_length(value, u, Some(least), None, confidence).unwrap().1;
            let edge = aim.least().unwrap();
            prop_assert_eq!(at(edge + Length::from_nm(1)), Verdict::Inside);
            prop_assert_ne!(at(edge - Length::from_nm(2)), Verdict::Inside);
        }

        #[test]
        fn scale_and_shift_leave_the_probability(
            value in -5.0_f64..5.0, u in 0.01_f64..3.0, scale in 0.01_f64..100.0, shift in -50.0_f64..50.0,
        ) {
            let p = probability_inside(value, u, &limits(-1.0, 1.5)).unwrap();
            let to = |x: f64| x * scale + shift;
            let q = probability_inside(to(value), u * scale, &limits(to(-1.0), to(1.5))).unwrap();
            prop_assert!((p - q).abs() < 1e-9);
        }
    }
}
