//! A line through what was lost, with its band, and where it meets a limit.

use crate::metrology::{Line, MetrologyError, coverage_factor};

/// Where a value that wears meets the least that it may have.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Meets {
    /// The line is at the least already.
    Already,
    /// It falls beyond doubt: met at a distance, and with the confidence asked for between two others.
    Within {
        /// Where the line itself meets it.
        at: f64,
        /// The earliest.
        from: f64,
        /// The latest.
        to: f64,
    },
    /// Falling is not told from standing still: not met before a distance, and perhaps never. Fieller's band has no
    /// second end.
    NotBefore {
        /// Where the line itself meets it; `None` where the line rises.
        at: Option<f64>,
        /// The earliest.
        from: f64,
    },
    /// It does not fall, or it rises beyond doubt: what wears does neither.
    Never,
}

/// A value over distance as a straight line: `y = a + b·x`, loss per distance `−b`.
///
/// By ordinary least squares, with its intervals by Student's t; see [`Line`]. Wear that goes evenly with distance is
/// the steady state of Archard's law (wear depth = k·p·L); the running in of new faces is not. Each point counts alike.
/// Source: Line's (JCGM 100:2008, H.3); J. F. Archard, J. Appl. Phys. 24 (1953) 981, from memory.
///
/// ```
/// use shimwright::mechanics::wear::{Meets, Trend, CONFIDENCE};
/// // a plate in millimetres over kilometres
/// let plate = Trend::of(&[(0.0, 1.998), (1200.0, 1.986), (2150.0, 1.979), (3990.0, 1.958)])?;
/// assert!((plate.rate() * 1e6 - 9.93).abs() < 0.01); // nanometres a kilometre
/// let Meets::Within { at, from, to } = plate.meets(1.90, CONFIDENCE)? else { panic!() };
/// assert!((at - 9914.0).abs() < 1.0 && (from - 8376.0).abs() < 1.0 && (to - 12351.0).abs() < 1.0);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Trend {
    /// The line.
    pub line: Line,
    /// The least and greatest distance that a point stands at.
    pub span: (f64, f64),
}

impl Trend {
    /// The line through points of distance and value.
    ///
    /// # Errors
    ///
    /// Fewer than three; all at one distance; NaN or infinity.
    pub fn of(points: &[(f64, f64)]) -> Result<Trend, MetrologyError> {
        let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let line = Line::fit(&x, &y)?;
        Ok(Trend { line, span: ends(&x) })
    }

    /// The same with values that each have at least this standard uncertainty; see [`Line::with_doubt`].
    ///
    /// # Errors
    ///
    /// [`MetrologyError`]: an uncertainty below 0, NaN or infinity.
    pub fn with_doubt(self, uncertainty: f64) -> Result<Trend, MetrologyError> {
        let line = self.line.with_doubt(uncertainty)?;
        Ok(Trend { line, ..self })
    }

    /// What is lost per distance; below 0 where the value rises.
    pub fn rate(&self) -> f64 {
        -self.line.slope
    }

    /// Between which rates the true one lies.
    ///
    /// # Errors
    ///
    /// A confidence less than 0.5 or not less than 1.
    pub fn rate_interval(&self, confidence: f64) -> Result<(f64, f64), MetrologyError> {
        let (low, high) = self.line.slope_interval(confidence)?;
        Ok((-high, -low))
    }

    /// Where the line meets the least, with its band (Fieller's).
    ///
    /// A bounded band needs a slope that is told from level. Where it is not, the band has only a lower end past the
    /// points: where the lower edge of the line's band meets the least. It says where the true line meets it; a single
    /// plate's reading scatters about the line besides. Source: [`Line::crossing`].
    ///
    /// # Errors
    ///
    /// NaN or infinity; a confidence less than 0.5 or not less than 1.
    pub fn meets(&self, least: f64, confidence: f64) -> Result<Meets, MetrologyError> {
        let last = self.span.1;
        if self.line.at(last)? <= least {
            return Ok(Meets::Already);
        }
        let (_, steepest) = self.rate_interval(confidence)?;
        if steepest <= 0.0 {
            return Ok(Meets::Never);
        }
        let crossing = self.line.crossing(least, confidence);
        if self.line.slope < 0.0
            && let Ok(crossing) = crossing
            && let Some((from, to)) = crossing.band
        {
            return Ok(Meets::Within {
                at: crossing.x,
                from,
                to,
            });
        }
        let at = (self.line.slope < 0.0).then(|| crossing.map(|crossing| crossing.x).ok());
        let below = |x: f64| Ok::<bool, MetrologyError>(self.line.mean_interval(x, confidence)?.0 <= least);
        Ok(match first_at(last, self.span.1 - self.span.0, below)? {
            Some(from) => Meets::NotBefore {
                at: at.flatten(),
                from,
            },
            None => Meets::Never,
        })
    }
}

/// What a value loses over stretches of distance that each begin anew: `loss = b·distance`, a line through the origin.
///
/// For breakaway and preload: a build sets them, the stretch to the next opening takes some off. By ordinary least
/// squares through the origin, see [`Line::through_origin`]. Source: as [`Trend`].
///
/// ```
/// use shimwright::mechanics::wear::{Fade, Meets, CONFIDENCE};
/// // three stretches of kilometres, and the newton metres that each took off the breakaway
/// let fade = Fade::of(&[(1200.0, 17.0), (950.0, 12.5), (1840.0, 27.0)])?;
/// assert!((fade.rate() - 0.014308).abs() < 1e-6);
/// // 95 ± 1.5 N·m now and at least 75 N·m wanted
/// let Meets::Within { at, from, to } = fade.meets(95.0, 1.5, 75.0, CONFIDENCE)? else { panic!() };
/// assert!((at - 1398.0).abs() < 1.0 && (from - 1153.0).abs() < 1.0 && (to - 1680.0).abs() < 1.0);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fade {
    /// The line through the origin.
    pub line: Line,
}

impl Fade {
    /// From stretches: how far, and what was lost.
    ///
    /// # Errors
    ///
    /// Fewer than two; no distance at all; NaN or infinity.
    pub fn of(stretches: &[(f64, f64)]) -> Result<Fade, MetrologyError> {
        let (x, y): (Vec<f64>, Vec<f64>) = stretches.iter().copied().unzip();
        Ok(Fade {
            line: Line::through_origin(&x, &y)?,
        })
    }

    /// The same with losses that each have at least this standard uncertainty; see [`Line::with_doubt`].
    ///
    /// # Errors
    ///
    /// [`MetrologyError`]: an uncertainty below 0, NaN or infinity.
    pub fn with_doubt(self, uncertainty: f64) -> Result<Fade, MetrologyError> {
        let line = self.line.with_doubt(uncertainty)?;
        Ok(Fade { line })
    }

    /// What is lost per distance.
    pub fn rate(&self) -> f64 {
        self.line.slope
    }

    /// Between which rates the true one lies.
    ///
    /// # Errors
    ///
    /// As [`Trend::rate_interval`].
    pub fn rate_interval(&self, confidence: f64) -> Result<(f64, f64), MetrologyError> {
        self.line.slope_interval(confidence)
    }

    /// What a value has come to after a distance, and between which two it lies.
    ///
    /// ```text
    /// now − b·x ± √((k·u)² + (t·se(b)·x)²)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | now | `now` | as the value |
    /// | u | `uncertainty` of `now`, standard | as the value, 0 and above |
    /// | x | `distance` | as the distances, 0 and above |
    /// | b, se(b) | `line`, its slope and the standard error of it | value per distance |
    /// | k, t | of the normal and of Student's distribution, for `confidence` | ratio; confidence 0.5 to below 1 |
    ///
    /// The second term is wider by [`Fade::with_doubt`]. It says where the true value goes; a single reading scatters
    /// about it besides.
    ///
    /// Source: JCGM 100:2008, 5.1.2, with the two factors of [`Line::run`].
    ///
    /// # Errors
    ///
    /// NaN or infinity; a distance or an uncertainty below 0; a confidence less than 0.5 or not less than 1.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::mechanics::wear::{Fade, CONFIDENCE};
    /// let fade = Fade::of(&[(1200.0, 17.0), (950.0, 12.5), (1840.0, 27.0)])?;
    /// let (value, (low, high)) = fade.after(95.0, 1.5, 1000.0, CONFIDENCE)?;
    /// assert!((value - 80.692).abs() < 1e-3 && (low - 77.323).abs() < 1e-3 && (high - 84.062).abs() < 1e-3);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn after(
        &self,
        now: f64,
        uncertainty: f64,
        distance: f64,
        confidence: f64,
    ) -> Result<(f64, (f64, f64)), MetrologyError> {
        for (what, value) in [("the distance", distance), ("the uncertainty", uncertainty)] {
            if !(0.0..f64::INFINITY).contains(&value) {
                return Err(MetrologyError::Negative { what, value });
            }
        }
        let (_, steepest) = self.rate_interval(confidence)?;
        let value = now - self.line.slope * distance;
        let k = coverage_factor(confidence, f64::INFINITY)?;
        let half = (k * uncertainty).hypot((steepest - self.line.slope) * distance);
        if !value.is_finite() || !half.is_finite() {
            return Err(MetrologyError::NotFinite {
                what: "the value after the distance",
                value,
            });
        }
        Ok((value, (value - half, value + half)))
    }

    /// After how far a value that stands at `now`, known with a standard uncertainty, comes down to `least`.
    ///
    /// Source: [`Line::run`].
    ///
    /// # Errors
    ///
    /// As [`Trend::meets`]; an uncertainty below 0.
    pub fn meets(
        &self,
        now: f64,
        uncertainty: f64,
        least: f64,
        confidence: f64,
    ) -> Result<Meets, MetrologyError> {
        let left = now - least;
        if left <= 0.0 {
            return Ok(Meets::Already);
        }
        let (_, steepest) = self.rate_interval(confidence)?;
        if steepest <= 0.0 {
            return Ok(Meets::Never);
        }
        let run = self.line.run(left, uncertainty, confidence);
        if self.line.slope > 0.0
            && let Ok(run) = run
            && let Some((from, to)) = run.band
        {
            return Ok(Meets::Within {
                at: run.x,
                from: from.max(0.0),
                to,
            });
        }
        let at = (self.line.slope > 0.0).then(|| run.map(|run| run.x).ok());
        // the steepest fall that the stretches allow, from the lowest that the value may stand at
        let from = ((left - 2.0 * uncertainty) / steepest).max(0.0);
        Ok(Meets::NotBefore {
            at: at.flatten(),
            from,
        })
    }
}

fn ends(values: &[f64]) -> (f64, f64) {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low, high)
}

/// The first place past `from` at which `holds` is true and stays so: steps that double, then halving.
fn first_at(
    from: f64,
    step: f64,
    holds: impl Fn(f64) -> Result<bool, MetrologyError>,
) -> Result<Option<f64>, MetrologyError> {
    if holds(from)? {
        return Ok(Some(from));
    }
    let (mut low, mut step) = (from, step.max(f64::MIN_POSITIVE));
    for _ in 0..200 {
        let next = low + step;
        if !next.is_finite() {
            return Ok(None);
        }
        if holds(next)? {
            let mut high = next;
            for _ in 0..100 {
                let middle = 0.5 * (low + high);
                if holds(middle)? {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            return Ok(Some(high));
        }
        low = next;
        step *= 2.0;
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::super::CONFIDENCE;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_plate_that_grows_never_meets_its_least_and_a_thin_one_has() {
        let grows = Trend::of(&[(0.0, 1.95), (1000.0, 1.96), (2000.0, 1.97), (3000.0, 1.98)]).unwrap();
        assert_eq!(grows.meets(1.9, CONFIDENCE), Ok(Meets::Never));
        let thin = Trend::of(&[(0.0, 1.93), (1000.0, 1.91), (2000.0, 1.89)]).unwrap();
        assert_eq!(thin.meets(1.9, CONFIDENCE), Ok(Meets::Already));
    }

    #[test]
    fn a_slope_that_is_not_told_from_level_has_no_latest() {
        let doubtful = Trend::of(&[(0.0, 1.99), (1000.0, 1.98), (2000.0, 1.985)]).unwrap();
        let Meets::NotBefore { at: Some(at), from } = doubtful.meets(1.9, CONFIDENCE).unwrap() else {
            panic!("a band");
        };
        assert!(from < at && from > 2000.0, "{from} {at}");
        let edge = doubtful.line.mean_interval(from, CONFIDENCE).unwrap().0;
        assert!((edge - 1.9).abs() < 1e-9);
        let rising = Trend::of(&[(0.0, 1.98), (1000.0, 1.99), (2000.0, 1.983)]).unwrap();
        assert!(matches!(
            rising.meets(1.9, CONFIDENCE),
            Ok(Meets::NotBefore { at: None, .. })
        ));
    }

    proptest! {
        #[test]
        fn the_earliest_is_where_the_lower_edge_of_the_band_meets_the_least(
            noise in prop::collection::vec(-0.004_f64..0.004, 3..8), rate in 0.0_f64..2e-5, least in 1.6_f64..1.9,
        ) {
            let points: Vec<(f64, f64)> = noise.iter().enumerate().map(|(n, e)| (1000.0 * n as f64, 2.0 - rate * 1000.0 * n as f64 + e)).collect();
            let trend = Trend::of(&points).unwrap();
            if let Ok(Meets::Within { from, .. } | Meets::NotBefore { from, .. }) = trend.meets(least, CONFIDENCE)
                && from > trend.span.1
            {
                let edge = trend.line.mean_interval(from, CONFIDENCE).unwrap().0;
                prop_assert!((edge - least).abs() < 1e-7, "{edge} {least}");
            }
        }
    }
}
