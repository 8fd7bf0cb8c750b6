//! Mean, spread and band of some readings.

use super::error::{MetrologyError, finite};
use super::standard::StandardUncertainty;
use crate::quantity::Length;

/// A sum that keeps what rounding would lose (Neumaier's form of Kahan's summation).
#[derive(Clone, Copy, Default)]
pub(super) struct ExactSum {
    sum: f64,
    lost: f64,
}

impl ExactSum {
    pub(super) fn of(values: impl IntoIterator<Item = f64>) -> f64 {
        let mut total = ExactSum::default();
        for value in values {
            total.add(value);
        }
        total.value()
    }

    pub(super) fn add(&mut self, value: f64) {
        let sum = self.sum + value;
        self.lost += if self.sum.abs() >= value.abs() {
            (self.sum - sum) + value
        } else {
            (value - sum) + self.sum
        };
        self.sum = sum;
    }

    pub(super) fn value(self) -> f64 {
        self.sum + self.lost
    }
}

/// The mean in two parts: the nearest number, and what is left over below its last digit.
pub(super) fn mean_of(values: &[f64]) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = ExactSum::of(values.iter().copied()) / count;
    let rest = ExactSum::of(values.iter().map(|value| value - mean)) / count;
    (mean, rest)
}

/// The usual figures of a row of numbers.
///
/// ```text
/// mean = Σx/n    sd² = Σ(x − mean)²/(n − 1)    standard error = sd/√n
/// lag1 = Σ(xᵢ − mean)(xᵢ₊₁ − mean) / Σ(x − mean)²
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | x | `values` | any one, finite; 1 at least |
/// | n | `count` | count |
/// | mean, sd | `mean`, `sd` | as x |
/// | standard error | `standard_error` | as x |
/// | lag1 | `lag1` | ratio |
///
/// `sd`, `standard_error` and `lag1` are `None` for a single value, `lag1` also where all values are equal. Sums
/// are compensated and in two passes, so the digits that the numbers have are not lost.
///
/// Source: JCGM 100:2008, 4.2; lag 1 as in the NIST Statistical Reference Datasets.
///
/// # Example
///
/// ```
/// use shimwright::metrology::Summary;
/// let summary = Summary::of(&[10.02, 10.03, 10.01, 10.02, 10.02])?;
/// assert!((summary.mean - 10.02).abs() < 1e-12);
/// assert!((summary.sd.unwrap() - 0.0070711).abs() < 1e-7);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Summary {
    /// How many values.
    pub count: usize,
    /// The arithmetic mean.
    pub mean: f64,
    /// Standard deviation of one value, with n − 1.
    pub sd: Option<f64>,
    /// Standard deviation of the mean.
    pub standard_error: Option<f64>,
    /// Autocorrelation of each value with the next: far from 0, the readings drift or come in pairs.
    pub lag1: Option<f64>,
}

impl Summary {
    /// The figures of `values`.
    ///
    /// # Errors
    ///
    /// No value at all; NaN or infinity among them; values so large that their squares overflow.
    pub fn of(values: &[f64]) -> Result<Summary, MetrologyError> {
        if values.is_empty() {
            return Err(MetrologyError::TooFew {
                what: "values",
                have: 0,
                need: 1,
            });
        }
        for &value in values {
            finite("a value", value)?;
        }
        let (mean, rest) = mean_of(values);
        finite("the mean", mean)?;
        let count = values.len();
        if count == 1 {
            return Ok(Summary {
                count,
                mean,
                sd: None,
                standard_error: None,
                lag1: None,
            });
        }
        let off = |value: f64| (value - mean) - rest;
        let squares = ExactSum::of(values.iter().map(|&value| off(value) * off(value)));
        let products = ExactSum::of(values.iter().zip(&values[1..]).map(|(&a, &b)| off(a) * off(b)));
        let sd = finite("the standard deviation", (squares / (count - 1) as f64).sqrt())?;
        let lag1 = products / squares;
        Ok(Summary {
            count,
            mean,
            sd: Some(sd),
            standard_error: Some(sd / (count as f64).sqrt()),
            lag1: lag1.is_finite().then_some(lag1),
        })
    }
}

/// The usual figures of several readings of a length; nothing is lost in the sum.
///
/// ```
/// use shimwright::metrology::LengthSummary;
/// use shimwright::quantity::Length;
/// let plate = LengthSummary::of(&[Length::from_um(1980), Length::from_um(1981), Length::from_um(1981)])?;
/// assert_eq!(plate.mean, Length::from_nm(1_980_667));
/// assert_eq!(plate.spread, Length::from_um(1));
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LengthSummary {
    /// How many readings.
    pub count: usize,
    /// The arithmetic mean, to the nearest nanometre; a half is rounded away from zero.
    pub mean: Length,
    /// The smallest reading.
    pub least: Length,
    /// The largest reading.
    pub most: Length,
    /// Largest less smallest; over one plate, how far it is from parallel.
    pub spread: Length,
    /// Standard deviation of one reading, with n − 1; `None` for a single reading.
    pub sd: Option<StandardUncertainty>,
}

impl LengthSummary {
    /// The figures of `readings`.
    ///
    /// # Errors
    ///
    /// No reading at all.
    pub fn of(readings: &[Length]) -> Result<LengthSummary, MetrologyError> {
        let (Some(&least), Some(&most)) = (readings.iter().min(), readings.iter().max()) else {
            return Err(MetrologyError::TooFew {
                what: "readings",
                have: 0,
                need: 1,
            });
        };
        let count = readings.len();
        let n = count as i128;
        let sum: i128 = readings.iter().map(|reading| i128::from(reading.nm())).sum();
        let half = if sum < 0 { -n } else { n };
        // the mean lies between two 64-bit numbers, so it is one
        let mean = Length::from_nm(((2 * sum + half) / (2 * n)) as i64);
        // n·x − Σx is exact in whole numbers; only its square is rounded
        let squares = ExactSum::of(readings.iter().map(|reading| {
            let off = (i128::from(reading.nm()) * n - sum) as f64;
            off * off
        }));
        let sd = if count > 1 {
            let nm = (squares / (count - 1) as f64).sqrt() / count as f64;
            Some(StandardUncertainty::from_um(nm / 1e3)?)
        } else {
            None
        };
        Ok(LengthSummary {
            count,
            mean,
            least,
            most,
            spread: most - least,
            sd,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_value_has_a_mean_and_no_spread() {
        let one = Summary::of(&[3.5]).unwrap();
        assert_eq!(
            (one.count, one.sd, one.standard_error, one.lag1),
            (1, None, None, None)
        );
        let one = LengthSummary::of(&[Length::from_um(7)]).unwrap();
        assert_eq!(
            (one.mean, one.sd, one.spread),
            (Length::from_um(7), None, Length::ZERO)
        );
    }

    #[test]
    fn nothing_has_no_summary() {
        let none = |what| MetrologyError::TooFew {
            what,
            have: 0,
            need: 1,
        };
        assert_eq!(Summary::of(&[]), Err(none("values")));
        assert_eq!(LengthSummary::of(&[]), Err(none("readings")));
    }

    #[test]
    fn nan_infinity_and_overflow_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(matches!(
                Summary::of(&[1.0, bad]),
                Err(MetrologyError::NotFinite { what: "a value", .. })
            ));
        }
        assert!(matches!(
            Summary::of(&[1e308, -1e308]),
            Err(MetrologyError::NotFinite { .. })
        ));
        assert!(matches!(
            Summary::of(&[f64::MAX, f64::MAX]),
            Err(MetrologyError::NotFinite { .. })
        ));
    }

    #[test]
    fn equal_values_have_no_autocorrelation() {
        let level = Summary::of(&[0.1, 0.1, 0.1]).unwrap();
        assert_eq!((level.sd, level.lag1), (Some(0.0), None));
    }

    #[test]
    fn a_half_nanometre_is_rounded_away_from_zero() {
        let mean = |a, b| {
            LengthSummary::of(&[Length::from_nm(a), Length::from_nm(b)])
                .unwrap()
                .mean
                .nm()
        };
        assert_eq!(
            (mean(1, 2), mean(-1, -2), mean(-1, 0), mean(0, 0)),
            (2, -2, -1, 0)
        );
    }

    #[test]
    fn the_ends_of_the_range_do_not_overflow() {
        let ends = LengthSummary::of(&[Length::from_nm(i64::MAX), Length::from_nm(i64::MIN)]).unwrap();
        assert_eq!(ends.mean.nm(), -1);
    }

    proptest! {
        #[test]
        fn a_shift_moves_the_mean_and_nothing_else(
            values in prop::collection::vec(-1000_i32..1000, 2..30), shift in -1_000_000_i32..1_000_000,
        ) {
            let plain: Vec<f64> = values.iter().map(|&v| f64::from(v)).collect();
            let moved: Vec<f64> = plain.iter().map(|v| v + f64::from(shift)).collect();
            let (a, b) = (Summary::of(&plain).unwrap(), Summary::of(&moved).unwrap());
            prop_assert!((a.mean + f64::from(shift) - b.mean).abs() < 1e-9);
            prop_assert!((a.sd.unwrap() - b.sd.unwrap()).abs() < 1e-9);
            prop_assert!((a.lag1.unwrap_or(0.0) - b.lag1.unwrap_or(0.0)).abs() < 1e-9);
        }

        #[test]
        fn a_scale_scales_mean_and_sd_and_leaves_the_correlation(
            values in prop::collection::vec(-1e3_f64..1e3, 2..30), scale in 1e-3_f64..1e3,
        ) {
            let scaled: Vec<f64> = values.iter().map(|v| v * scale).collect();
            let (a, b) = (Summary::of(&values).unwrap(), Summary::of(&scaled).unwrap());
            prop_assert!((a.mean * scale - b.mean).abs() <= 1e-12 * scale * 1e3);
            prop_assert!((a.sd.unwrap() * scale - b.sd.unwrap()).abs() <= 1e-12 * scale * 1e3);
            prop_assert!((a.lag1.unwrap_or(0.0) - b.lag1.unwrap_or(0.0)).abs() < 1e-6);
        }

        #[test]
        fn lengths_and_plain_numbers_agree(values in prop::collection::vec(-1_000_000_i64..1_000_000, 2..30)) {
            let lengths: Vec<Length> = values.iter().map(|&nm| Length::from_nm(nm)).collect();
            let plain: Vec<f64> = values.iter().map(|&nm| nm as f64).collect();
            let (a, b) = (LengthSummary::of(&lengths).unwrap(), Summary::of(&plain).unwrap());
            prop_assert!((a.mean.nm() as f64 - b.mean).abs() <= 0.5 + 1e-9);
            prop_assert!((a.sd.unwrap().um() * 1e3 - b.sd.unwrap()).abs() < 1e-6);
            prop_assert!(a.least <= a.mean && a.mean <= a.most);
        }
    }
}
