//! Generalised least squares: what readings say of quantities that several of them share.

use super::error::{MetrologyError, finite, not_negative};

/// What is known of a quantity before anything was read.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Prior {
    /// The best estimate.
    pub mean: f64,
    /// Its standard uncertainty.
    pub standard: f64,
}

/// A reading of a sum of quantities.
#[derive(Clone, PartialEq, Debug)]
pub struct Observation {
    /// Which quantities are in it, by number, each once.
    pub of: Vec<usize>,
    /// What was read.
    pub value: f64,
    /// The standard uncertainty that no other reading shares; above 0.
    pub standard: f64,
}

/// Quantities as prior knowledge and readings leave them, with what they have in common.
#[derive(Clone, PartialEq, Debug)]
pub struct Estimate {
    means: Vec<f64>,
    covariance: Vec<Vec<f64>>,
}

impl Estimate {
    /// The best estimate of a sum of quantities, and its standard uncertainty; what two of them share counts as shared. A number
    /// that no quantity has counts as nothing.
    pub fn sum(&self, of: &[usize]) -> (f64, f64) {
        let mean = of.iter().filter_map(|one| self.means.get(*one)).sum();
        let pairs = of
            .iter()
            .flat_map(|one| of.iter().map(move |other| (*one, *other)));
        let variance: f64 = pairs
            .filter_map(|(one, other)| self.covariance.get(one)?.get(other))
            .sum();
        (mean, variance.max(0.0).sqrt())
    }
}

/// Estimates quantities from what was known of them and from readings of their sums.
///
/// ```text
/// S = h P hᵀ + r²,   K = P hᵀ/S,   x → x + K (y − h x),   P → P − K S Kᵀ        for each reading in turn
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | x, P | the result: estimates and their covariance; at first `prior`, the `mean` of each and the square of its `standard` | as what is read; standard 0 and above |
/// | y | `readings`, the `value` of each | as what is read |
/// | h | `of`, the quantities in a reading, 1 for each | –; those of `prior` |
/// | r | `standard` of a reading, which no other shares | as what is read, 0 and above; S above 0 |
///
/// After the last this is the generalised least squares estimate with the covariance `R + H P₀ Hᵀ` of all readings
/// together, so what readings share is one draw for all of them.
///
/// Source: C. F. Gauss, in the form of R. E. Kalman, 1960, without a step of time; JCGM 100:2008, 5.2.2 for what is
/// shared.
///
/// # Errors
///
/// A number that is not finite; a standard uncertainty below 0; a reading that is sure and of which nothing was in doubt; a
/// reading of a quantity that is not listed.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{Observation, Prior, estimate};
/// // three readings of one thing by one gauge: their own 3 averages out to √3, the gauge's 2 stays
/// let prior = [Prior { mean: 0.0, standard: 1e6 }, Prior { mean: 0.0, standard: 2.0 }];
/// let readings = [9.0, 10.0, 11.0].map(|value| Observation { of: vec![0, 1], value, standard: 3.0 });
/// let (mean, standard) = estimate(&prior, &readings)?.sum(&[0]);
/// assert!((mean - 10.0).abs() < 1e-6);
/// assert!((standard - (3.0_f64 + 4.0).sqrt()).abs() < 1e-6);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn estimate(prior: &[Prior], readings: &[Observation]) -> Result<Estimate, MetrologyError> {
    let count = prior.len();
    let mut means = Vec::with_capacity(count);
    let mut covariance = vec![vec![0.0; count]; count];
    for (n, known) in prior.iter().enumerate() {
        means.push(finite("a mean", known.mean)?);
        covariance[n][n] = not_negative("a standard uncertainty", known.standard)?.powi(2);
    }
    for reading in readings {
        let own = not_negative("a standard uncertainty", reading.standard)?;
        finite("a reading", reading.value)?;
        if reading.of.iter().any(|one| *one >= count) {
            return Err(MetrologyError::TooFew {
                what: "quantities",
                have: count,
                need: reading.of.iter().max().map_or(1, |most| most + 1),
            });
        }
        let gains: Vec<f64> = covariance
            .iter()
            .map(|row| reading.of.iter().map(|one| row[*one]).sum())
            .collect();
        let variance = reading.of.iter().map(|one| gains[*one]).sum::<f64>() + own * own;
        if variance <= 0.0 {
            return Err(MetrologyError::NotFinite {
                what: "the weight of a reading",
                value: f64::INFINITY,
            });
        }
        let off = reading.value - reading.of.iter().map(|one| means[*one]).sum::<f64>();
        for (n, gain) in gains.iter().enumerate() {
            means[n] += gain * off / variance;
            for (m, other) in gains.iter().enumerate() {
                covariance[n][m] -= gain * other / variance;
            }
        }
    }
    Ok(Estimate { means, covariance })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_reading_and_what_was_known_are_weighted_by_their_doubts() {
        // the weighted mean of two: (10/4 + 16/1)/(1/4 + 1/1) with 1/√(1/4 + 1)
        let prior = [Prior {
            mean: 10.0,
            standard: 2.0,
        }];
        let reading = Observation {
            of: vec![0],
            value: 16.0,
            standard: 1.0,
        };
        let (mean, standard) = estimate(&prior, &[reading]).unwrap().sum(&[0]);
        assert!((mean - 18.5 / 1.25).abs() < 1e-12);
        assert!((standard - 1.25_f64.sqrt().recip()).abs() < 1e-12);
    }

    #[test]
    fn readings_in_turn_are_those_of_the_covariance_of_all_together() {
        // the second way: x = P Hᵀ (R + H P Hᵀ)⁻¹ y with the inverse of two by two written out
        let prior = [
            Prior {
                mean: 0.0,
                standard: 3.0,
            },
            Prior {
                mean: 0.0,
                standard: 1.0,
            },
        ];
        let readings = [
            Observation {
                of: vec![0, 1],
                value: 2.0,
                standard: 0.5,
            },
            Observation {
                of: vec![0],
                value: 1.0,
                standard: 2.0,
            },
        ];
        let known = estimate(&prior, &readings).unwrap();
        let (a, b, d) = (9.0 + 1.0 + 0.25, 9.0, 9.0 + 4.0);
        let det = a * d - b * b;
        let weigh = |p: [f64; 2]| ((p[0] * d - p[1] * b) / det, (p[1] * a - p[0] * b) / det);
        for (of, p, own) in [(0, [9.0, 9.0], 9.0), (1, [1.0, 0.0], 1.0)] {
            let (one, other) = weigh(p);
            let (mean, standard) = known.sum(&[of]);
            assert!((mean - (2.0 * one + other)).abs() < 1e-12);
            assert!((standard.powi(2) - (own - one * p[0] - other * p[1])).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_known_best_is_the_sum_that_was_read() {
        let prior = [
            Prior {
                mean: 0.0,
                standard: 0.1,
            },
            Prior {
                mean: 0.0,
                standard: 0.1,
            },
        ];
        let readings = vec![
            Observation {
                of: vec![0, 1],
                value: 0.05,
                standard: 0.01
            };
            4
        ];
        let known = estimate(&prior, &readings).unwrap();
        assert!(known.sum(&[0, 1]).1 < 0.0051);
        assert!(known.sum(&[0]).1 > 0.07);
    }

    #[test]
    fn what_can_not_be_weighed_is_refused() {
        let sure = [Prior {
            mean: 0.0,
            standard: 0.0,
        }];
        let reading = |of, standard| Observation {
            of,
            value: 1.0,
            standard,
        };
        assert!(estimate(&sure, &[reading(vec![0], 0.0)]).is_err());
        assert!(estimate(&sure, &[reading(vec![1], 1.0)]).is_err());
        assert!(estimate(&sure, &[reading(vec![0], f64::NAN)]).is_err());
        assert!(
            estimate(
                &[Prior {
                    mean: 0.0,
                    standard: -1.0
                }],
                &[]
            )
            .is_err()
        );
    }
}
