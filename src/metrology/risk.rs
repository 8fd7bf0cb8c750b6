//! The risks of a decision by measurement, over all the parts that are made and measured.

use super::decision::{Limits, probability_inside};
use super::distribution::normal_below;
use super::error::{MetrologyError, finite, not_negative};

/// How far out from its middle the spread of the parts is followed, in standard deviations.
const FAR: f64 = 9.0;
/// Steps of the sum between two bends of what is summed up.
const STEPS: usize = 2000;

/// What comes of accepting parts by a measurement.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Risk {
    /// Share of parts that are within the limits, measured or not.
    pub conforming: f64,
    /// Consumer's risk, false accept: share of all parts that are accepted and are not within the limits.
    pub consumer: f64,
    /// Producer's risk, false reject: share of all parts that are rejected and are within the limits.
    pub producer: f64,
}

/// The global risks of accepting what is measured to lie in `accepted`, where parts spread normally about `mean`.
///
/// ```text
/// R_C = ∫ outside the limits g(η) · P(accepted | η) dη
/// R_P = ∫ within the limits  g(η) · (1 − P(accepted | η)) dη
/// P(accepted | η) = Φ((A_U − η)/u_m) − Φ((A_L − η)/u_m)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | R_C, R_P | the result: consumer's and producer's risk | shares |
/// | g | normal about `mean` with the standard deviation `spread`: the parts as they are made | any one; spread 0 and above |
/// | u_m | `uncertainty`, standard, of one measurement | as the mean, 0 and above |
/// | the limits | `limits` | as the mean; one at least, not upside down |
/// | A_L, A_U | `accepted.least`, `accepted.most`, which a guard band moves inwards | as the mean; one at least, not upside down |
///
/// Source: JCGM 106:2012, 9.5.2 to 9.5.4, both distributions normal.
///
/// # Errors
///
/// NaN or infinity; a spread or an uncertainty below 0; limits upside down or absent.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{risk, Limits};
/// // parts that spread by half of their limits, measured four times as well: 0.8 % are accepted and should not be
/// let limits = Limits::new(Some(-2.0), Some(2.0))?;
/// let found = risk(0.0, 1.0, 0.25, &limits, &limits)?;
/// assert!((found.consumer - 0.0080).abs() < 5e-5 && (found.producer - 0.0149).abs() < 5e-5);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn risk(
    mean: f64,
    spread: f64,
    uncertainty: f64,
    limits: &Limits,
    accepted: &Limits,
) -> Result<Risk, MetrologyError> {
    finite("the mean", mean)?;
    not_negative("the standard deviation of the parts", spread)?;
    not_negative("the standard uncertainty", uncertainty)?;
    limits.check()?;
    accepted.check()?;
    let accepts = |value: f64| {
        if uncertainty > 0.0 {
            let upper = accepted
                .most
                .map_or(1.0, |most| normal_below((most - value) / uncertainty));
            let lower = accepted
                .least
                .map_or(0.0, |least| normal_below((least - value) / uncertainty));
            (upper - lower).max(0.0)
        } else {
            f64::from(u8::from(accepted.contains(value)))
        }
    };
    if spread <= 0.0 {
        let inside = limits.contains(mean);
        let share = accepts(mean);
        return Ok(Risk {
            conforming: f64::from(u8::from(inside)),
            consumer: if inside { 0.0 } else { share },
            producer: if inside { 1.0 - share } else { 0.0 },
        });
    }
    // between bends the integrand is smooth: at the limits it jumps, at those of acceptance it is steep
    let ends = [mean - FAR * spread, mean + FAR * spread];
    let mut bends = ends.to_vec();
    let reach = 8.0 * uncertainty;
    for limit in [accepted.least, accepted.most].into_iter().flatten() {
        bends.extend([limit - reach, limit, limit + reach]);
    }
    bends.extend([limits.least, limits.most].into_iter().flatten());
    bends.retain(|bend| (ends[0]..=ends[1]).contains(bend));
    bends.sort_by(f64::total_cmp);
    let density = |value: f64| {
        let z = (value - mean) / spread;
        (-0.5 * z * z).exp() / (spread * std::f64::consts::TAU.sqrt())
    };
    let mut found = Risk {
        conforming: probability_inside(mean, spread, limits)?,
        consumer: 0.0,
        producer: 0.0,
    };
    for pair in bends.windows(2) {
        let [from, to] = [pair[0], pair[1]];
        let inside = limits.contains(0.5 * (from + to));
        // inside a piece, so that a jump at its very end belongs to the piece that it ends
        let wide = to - from;
        let share = simpson(from, to, |value| {
            let within = value.clamp(from + 1e-12 * wide, to - 1e-12 * wide);
            density(value) * accepts(within)
        });
        if inside {
            found.producer += simpson(from, to, density) - share;
        } else {
            found.consumer += share;
        }
    }
    Ok(found)
}

/// Simpson's rule.
fn simpson(from: f64, to: f64, of: impl Fn(f64) -> f64) -> f64 {
    let step = (to - from) / STEPS as f64;
    let weight = |n: usize| match n {
        0 | STEPS => 1.0,
        odd if odd % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=STEPS).map(|n| weight(n) * of(from + step * n as f64)).sum();
    sum * step / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::probability_inside;
    use proptest::prelude::*;

    #[test]
    fn without_a_spread_the_part_is_what_it_is() {
        let limits = Limits::new(Some(0.0), Some(1.0)).unwrap();
        let good = risk(0.5, 0.0, 0.5, &limits, &limits).unwrap();
        assert!((good.producer - (1.0 - 0.682_689_492_137)).abs() < 1e-9 && good.consumer.abs() < 1e-15);
        let bad = risk(1.5, 0.0, 0.0, &limits, &limits).unwrap();
        assert_eq!((bad.conforming, bad.consumer, bad.producer), (0.0, 0.0, 0.0));
    }

    #[test]
    fn senseless_inputs_are_refused() {
        let limits = Limits::new(Some(0.0), Some(1.0)).unwrap();
        let upside_down = Limits {
            least: Some(1.0),
            most: Some(0.0),
        };
        assert!(risk(f64::NAN, 1.0, 1.0, &limits, &limits).is_err());
        assert!(risk(0.0, -1.0, 1.0, &limits, &limits).is_err());
        assert!(risk(0.0, 1.0, f64::INFINITY, &limits, &limits).is_err());
        assert!(risk(0.0, 1.0, 1.0, &limits, &upside_down).is_err());
        assert!(risk(0.0, 1.0, 1.0, &Limits::default(), &limits).is_err());
    }

    proptest! {
        #[test]
        fn accepted_and_rejected_add_up(
            mean in -2.0..2.0_f64, spread in 0.05..3.0_f64, u in 0.0..1.0_f64, least in -3.0..-0.2_f64,
            most in 0.2..3.0_f64, guard in -0.1..0.15_f64,
        ) {
            let limits = Limits::new(Some(least), Some(most)).unwrap();
            let accepted = Limits::new(Some(least + guard), Some(most - guard)).unwrap();
            let found = risk(mean, spread, u, &limits, &accepted).unwrap();
            let conforming = probability_inside(mean, spread, &limits).unwrap();
            prop_assert!((found.conforming - conforming).abs() < 1e-9);
            // of what is measured, normal about the mean as well, the accepted share is known in closed form
            let measured = (spread * spread + u * u).sqrt();
            let share = probability_inside(mean, measured, &accepted).unwrap();
            prop_assert!((conforming - found.producer + found.consumer - share).abs() < 1e-8);
        }
    }
}
