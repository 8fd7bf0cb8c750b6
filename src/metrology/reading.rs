//! A reading with what it is in doubt by.

use super::error::MetrologyError;
use super::summary::LengthSummary;
use super::uncertainty::{Budget, Instrument, reading_uncertainty, stack};
use crate::quantity::Length;

/// A length with the sources of its uncertainty.
#[derive(Clone, PartialEq, Debug)]
pub struct Measured {
    /// The best estimate.
    pub value: Length,
    /// What it is uncertain by.
    pub budget: Budget,
}

impl Measured {
    /// A sum of measured lengths, each taken `sensitivity` times (−1 for one that is subtracted): the value is exact,
    /// the uncertainty that of [`stack`].
    ///
    /// ```
    /// use shimwright::metrology::{measure, Instrument, Measured};
    /// use shimwright::quantity::Length;
    /// let gauge = Instrument {
    ///     id: "depth gauge".to_string(),
    ///     resolution: Length::from_um(10),
    ///     calibration: Length::from_um(5),
    ///     repeatability: Length::from_um(5),
    ///     zero: Length::ZERO,
    /// };
    /// let depth = measure(&gauge, Length::ZERO, &[Length::from_um(24_030)])?.0;
    /// let pack = measure(&gauge, Length::ZERO, &[Length::from_um(23_880)])?.0;
    /// let gap = Measured::sum(&[(depth, 1), (pack, -1)]);
    /// assert_eq!(gap.value, Length::from_um(150));
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn sum(parts: &[(Measured, i64)]) -> Measured {
        let budgets: Vec<(Budget, i64)> = parts.iter().map(|(part, c)| (part.budget.clone(), *c)).collect();
        Measured {
            value: parts.iter().map(|(part, c)| part.value * *c).sum(),
            budget: stack(&budgets),
        }
    }
}

/// What the readings of one part by one instrument say: the measured mean, and the figures of the corrected readings.
///
/// ```text
/// value = mean(reading) − zero error
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | value | the result | nm |
/// | reading | `readings` | nm, one at least |
/// | zero error | `zero_error`, as the instrument shows it on its closed jaws or its standard, sign and all | nm |
///
/// The readings may be taken at different places of the part: their spread is then the part's own shape, and the
/// uncertainty is that of the `instrument` alone, see [`reading_uncertainty`].
///
/// Source: JCGM 100:2008, 4.2.1 and 3.2.3.
///
/// # Errors
///
/// No reading; an instrument with a negative figure.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{measure, Instrument};
/// use shimwright::quantity::Length;
/// let micrometer = Instrument {
///     id: "mic 1".to_string(),
///     resolution: Length::from_um(1),
///     calibration: Length::from_um(1),
///     repeatability: Length::from_um(1),
///     zero: Length::ZERO,
/// };
/// let readings = [Length::from_um(1_978), Length::from_um(1_982), Length::from_um(1_980)];
/// let (plate, figures) = measure(&micrometer, Length::from_um(-2), &readings)?;
/// assert_eq!(plate.value, Length::from_um(1_982));
/// assert_eq!(figures.least, Length::from_um(1_980));
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn measure(
    instrument: &Instrument,
    zero_error: Length,
    readings: &[Length],
) -> Result<(Measured, LengthSummary), MetrologyError> {
    let corrected: Vec<Length> = readings.iter().map(|&reading| reading - zero_error).collect();
    let figures = LengthSummary::of(&corrected)?;
    let measured = Measured {
        value: figures.mean,
        budget: reading_uncertainty(instrument, readings.len())?,
    };
    Ok((measured, figures))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn instrument() -> Instrument {
        Instrument {
            id: "mic 1".to_string(),
            resolution: Length::from_um(1),
            calibration: Length::from_um(3),
            repeatability: Length::ZERO,
            zero: Length::ZERO,
        }
    }

    #[test]
    fn a_zero_error_is_subtracted_with_its_sign() {
        let value = |zero| {
            measure(&instrument(), Length::from_um(zero), &[Length::from_um(2_000)])
                .unwrap()
                .0
                .value
        };
        assert_eq!(
            (value(5), value(-5)),
            (Length::from_um(1_995), Length::from_um(2_005))
        );
    }

    #[test]
    fn a_gap_by_one_instrument_carries_the_calibration_of_what_is_left_over() {
        let part = measure(&instrument(), Length::ZERO, &[Length::from_um(2_000)])
            .unwrap()
            .0;
        let gap = Measured::sum(&[(part.clone(), 1), (part.clone(), -1), (part, -1)]);
        assert_eq!(gap.value, Length::from_um(-2_000));
        let want = (9.0_f64 + 3.0 / 12.0).sqrt();
        assert!((gap.budget.combined().um() - want).abs() < 1e-12);
    }

    #[test]
    fn no_reading_is_no_measurement() {
        assert_eq!(
            measure(&instrument(), Length::ZERO, &[]),
            Err(MetrologyError::TooFew {
                what: "readings",
                have: 0,
                need: 1
            })
        );
    }
}
