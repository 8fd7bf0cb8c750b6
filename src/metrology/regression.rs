//! A straight line through points, with its bands.

use super::distribution::{normal_quantile, t_quantile};
use super::error::{MetrologyError, confidence_from, finite, not_negative};
use super::summary::{ExactSum, mean_of};

/// A straight line through points by ordinary least squares, with what it is uncertain by.
///
/// ```text
/// slope = Σ(x − x̄)(y − ȳ)/Sxx    intercept = ȳ − slope·x̄    Sxx = Σ(x − x̄)²
/// s² = Σ(y − ŷ)²/ν    se(slope) = s/√Sxx    se(intercept) = s·√(1/n + x̄²/Sxx)    ν = n − 2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | x, y | `x`, `y` | any one each, finite; 3 points at least, 2 through the origin |
/// | slope, se(slope) | `slope`, `slope_se` | y per x |
/// | intercept, se(intercept) | `intercept`, `intercept_se` | as y |
/// | s | `residual_sd` | as y |
/// | ν | `dof` | count |
///
/// Through the origin x̄ and ȳ count as 0, 1/n falls away and ν = n − 1. The scatter of y is taken to be the same
/// everywhere, and x to be exact.
///
/// Source: GUM H.3 (JCGM 100:2008) and the NIST Statistical Reference Datasets.
///
/// # Example
///
/// ```
/// use shimwright::metrology::Line;
/// let wear = Line::fit(&[0.0, 1.0, 2.0, 3.0], &[2.000, 1.991, 1.979, 1.970])?;
/// assert!((wear.slope + 0.0102).abs() < 1e-12);
/// let worn_out = wear.crossing(1.900, 0.95)?;
/// assert!((worn_out.x - 9.83).abs() < 0.01);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    /// Change of y for one unit of x.
    pub slope: f64,
    /// y at x = 0.
    pub intercept: f64,
    /// Standard error of the slope.
    pub slope_se: f64,
    /// Standard error of the intercept; 0 through the origin.
    pub intercept_se: f64,
    /// Standard deviation of the points about the line.
    pub residual_sd: f64,
    /// Share of the scatter of y that the line takes up (through the origin: of the sum of y²); 0 where there is none.
    pub r_squared: f64,
    /// Degrees of freedom.
    pub dof: usize,
    /// The standard uncertainty that each y is known to have at the least; 0 where none is known.
    doubt: f64,
    /// 1/n, or 0 through the origin.
    inverse_count: f64,
    x_mean: f64,
    y_mean: f64,
    sxx: f64,
}

/// Where a line meets a limit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Crossing {
    /// Where the line itself meets it.
    pub x: f64,
    /// Between which x the true line meets it. `None` when the slope is not told from level with this confidence: the
    /// limit may then be met at any distance, or never.
    pub band: Option<(f64, f64)>,
}

/// A value in two parts, so that a mean does not cost digits.
type Mean = (f64, f64);

fn columns(x: &[f64], y: &[f64], need: usize) -> Result<(), MetrologyError> {
    if x.len() != y.len() {
        return Err(MetrologyError::ColumnsDiffer {
            x: x.len(),
            y: y.len(),
        });
    }
    if x.len() < need {
        return Err(MetrologyError::TooFew {
            what: "points",
            have: x.len(),
            need,
        });
    }
    for &value in x {
        finite("an x", value)?;
    }
    for &value in y {
        finite("a y", value)?;
    }
    Ok(())
}

impl Line {
    /// The line through the points.
    ///
    /// # Errors
    ///
    /// Columns of different length; fewer than three points; NaN or infinity; all x the same; numbers so large that
    /// their squares overflow.
    pub fn fit(x: &[f64], y: &[f64]) -> Result<Line, MetrologyError> {
        columns(x, y, 3)?;
        Line::about(x, y, mean_of(x), mean_of(y), 1.0 / x.len() as f64, x.len() - 2)
    }

    /// The line through the points and the origin.
    ///
    /// # Errors
    ///
    /// As [`Line::fit`], but two points are enough and all x must not be 0.
    pub fn through_origin(x: &[f64], y: &[f64]) -> Result<Line, MetrologyError> {
        columns(x, y, 2)?;
        Line::about(x, y, (0.0, 0.0), (0.0, 0.0), 0.0, x.len() - 1)
    }

    fn about(
        x: &[f64],
        y: &[f64],
        x_mean: Mean,
        y_mean: Mean,
        inverse_count: f64,
        dof: usize,
    ) -> Result<Line, MetrologyError> {
        let off = |value: f64, mean: Mean| (value - mean.0) - mean.1;
        let sxx = ExactSum::of(x.iter().map(|&x| off(x, x_mean) * off(x, x_mean)));
        let syy = ExactSum::of(y.iter().map(|&y| off(y, y_mean) * off(y, y_mean)));
        let sxy = ExactSum::of(x.iter().zip(y).map(|(&x, &y)| off(x, x_mean) * off(y, y_mean)));
        for sum in [sxx, syy, sxy] {
            finite("a sum of squares", sum)?;
        }
        if sxx <= 0.0 {
            return Err(MetrologyError::NoSpread);
        }
        let slope = sxy / sxx;
        let residuals = ExactSum::of(x.iter().zip(y).map(|(&x, &y)| {
            let residual = off(y, y_mean) - slope * off(x, x_mean);
            residual * residual
        }));
        let residual_sd = (residuals / dof as f64).sqrt();
        let (x_mean, y_mean) = (x_mean.0 + x_mean.1, y_mean.0 + y_mean.1);
        Ok(Line {
            slope: finite("the slope", slope)?,
            intercept: finite("the intercept", y_mean - slope * x_mean)?,
            slope_se: residual_sd / sxx.sqrt(),
            intercept_se: residual_sd * (inverse_count + x_mean * x_mean / sxx).sqrt(),
            residual_sd: finite("the scatter about the line", residual_sd)?,
            r_squared: if syy > 0.0 { 1.0 - residuals / syy } else { 0.0 },
            dof,
            doubt: 0.0,
            inverse_count,
            x_mean,
            y_mean,
            sxx,
        })
    }

    /// The same line through points of which each y has at least this standard uncertainty of its own. Its bands are then
    /// never narrower than `k·u` makes them, with the normal k: few points may lie on a line by chance, or because they were
    /// rounded, closer than they were read. Slope and standard errors stay as they are.
    ///
    /// ```
    /// use shimwright::metrology::Line;
    /// let line = Line::fit(&[0.0, 1.0, 2.0], &[2.000, 1.990, 1.980])?;
    /// let (low, high) = line.slope_interval(0.95)?;
    /// assert!(high - low < 1e-9);
    /// let (low, high) = line.with_doubt(0.001)?.slope_interval(0.95)?;
    /// assert!((high - low - 2.0 * 1.96 * 0.001 / 2.0_f64.sqrt()).abs() < 1e-7);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// NaN or infinity; an uncertainty below 0.
    pub fn with_doubt(self, u: f64) -> Result<Line, MetrologyError> {
        let doubt = not_negative("the uncertainty of the readings", u)?;
        Ok(Line { doubt, ..self })
    }

    /// The line's y at x.
    ///
    /// # Errors
    ///
    /// NaN or infinity.
    pub fn at(&self, x: f64) -> Result<f64, MetrologyError> {
        // from the middle of the points, where the digits are
        finite(
            "the y",
            self.y_mean + self.slope * (finite("the x", x)? - self.x_mean),
        )
    }

    fn band(&self, x: f64, confidence: f64, one_more: f64) -> Result<(f64, f64), MetrologyError> {
        let off = finite("the x", x)? - self.x_mean;
        let half = self.reach(confidence)? * (one_more + self.inverse_count + off * off / self.sxx).sqrt();
        let y = self.at(x)?;
        finite("the width of the band", half)?;
        Ok((y - half, y + half))
    }

    /// How far a point may lie from the true line: by its scatter with Student's t, or by what it is known to be in doubt.
    fn reach(&self, confidence: f64) -> Result<f64, MetrologyError> {
        let two_sided = two_sided(confidence)?;
        let scatter = t_quantile(two_sided, self.dof as f64) * self.residual_sd;
        Ok(scatter.max(normal_quantile(two_sided) * self.doubt))
    }

    /// Between which slopes the true one lies.
    ///
    /// ```text
    /// slope ± t·se(slope)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | slope | `slope` | y per x |
    /// | se(slope) | `slope_se` | y per x |
    /// | t | Student's for `confidence` and `dof` degrees of freedom | ratio; confidence 0.5 to below 1 |
    ///
    /// It is wider where [`Line::with_doubt`] makes it so.
    ///
    /// Source: as [`Line`].
    ///
    /// # Errors
    ///
    /// A confidence less than 0.5 or not less than 1.
    pub fn slope_interval(&self, confidence: f64) -> Result<(f64, f64), MetrologyError> {
        let half = finite(
            "the width of the interval",
            self.reach(confidence)? / self.sxx.sqrt(),
        )?;
        Ok((self.slope - half, self.slope + half))
    }

    /// How far the line runs while it rises by some height, itself known with a standard uncertainty.
    ///
    /// ```text
    /// x = rise/slope
    /// (slope·x − rise)² = t²·se(slope)²·x² + k²·u²     at the ends of its band
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | x | the result | as x |
    /// | rise | `rise` | as y |
    /// | slope, se(slope) | `slope`, `slope_se` | y per x, slope not 0 |
    /// | u | `uncertainty` of the rise | as y, 0 and above |
    /// | t, k | Student's, for the scatter about the line, and the normal one, for u, which is not taken from that scatter; for `confidence` | ratio; confidence 0.5 to below 1 |
    ///
    /// The band is Fieller's for a ratio of two independent values, each with the factor of its own. Where the slope
    /// is not told from level it has no two ends.
    ///
    /// Source: as [`Line::crossing`]; the two factors: held against draws by the tests.
    ///
    /// # Errors
    ///
    /// NaN or infinity; an uncertainty below 0; a confidence less than 0.5 or not less than 1; a line that is exactly
    /// level.
    pub fn run(&self, rise: f64, uncertainty: f64, confidence: f64) -> Result<Crossing, MetrologyError> {
        let rise = finite("the rise", rise)?;
        let u = not_negative("the uncertainty of the rise", uncertainty)?;
        let x = rise / self.slope;
        if !x.is_finite() {
            return Err(MetrologyError::NeverMeets { limit: rise });
        }
        let k = normal_quantile(two_sided(confidence)?);
        let (t_se, k_u) = (self.reach(confidence)? / self.sxx.sqrt(), k * u);
        let lead = self.slope * self.slope - t_se * t_se;
        let middle = self.slope * rise;
        let root = (middle * middle - lead * (rise * rise - k_u * k_u))
            .max(0.0)
            .sqrt();
        let (a, b) = ((middle - root) / lead, (middle + root) / lead);
        let bounded = lead > 0.0 && a.is_finite() && b.is_finite();
        Ok(Crossing {
            x,
            band: bounded.then_some((a, b)),
        })
    }

    /// Between which y the true line passes at x.
    ///
    /// ```text
    /// ŷ ± t·s·√(1/n + (x − x̄)²/Sxx)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | ŷ | [`Line::at`] the `x` | as y |
    /// | t | Student's for `confidence` and `dof` degrees of freedom | ratio; confidence 0.5 to below 1 |
    /// | s | `residual_sd` | as y |
    /// | x | `x` | as x |
    /// | n, x̄, Sxx | of the points, as in [`Line`] | count; as x; as x² |
    ///
    /// It is wider where [`Line::with_doubt`] makes it so.
    ///
    /// Source: the uncertainty of GUM H.3.4 times t.
    ///
    /// # Errors
    ///
    /// NaN or infinity; a confidence less than 0.5 or not less than 1.
    pub fn mean_interval(&self, x: f64, confidence: f64) -> Result<(f64, f64), MetrologyError> {
        self.band(x, confidence, 0.0)
    }

    /// Between which y the next point will lie at x.
    ///
    /// ```text
    /// ŷ ± t·s·√(1 + 1/n + (x − x̄)²/Sxx)
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | ŷ | [`Line::at`] the `x` | as y |
    /// | t | Student's for `confidence` and `dof` degrees of freedom | ratio; confidence 0.5 to below 1 |
    /// | s | `residual_sd` | as y |
    /// | x | `x` | as x |
    /// | n, x̄, Sxx | of the points, as in [`Line`] | count; as x; as x² |
    ///
    /// It is wider where [`Line::with_doubt`] makes it so.
    ///
    /// Source: as [`Line::mean_interval`], with the scatter of one more point.
    ///
    /// # Errors
    ///
    /// As [`Line::mean_interval`].
    pub fn prediction_interval(&self, x: f64, confidence: f64) -> Result<(f64, f64), MetrologyError> {
        self.band(x, confidence, 1.0)
    }

    /// The x at which the line meets a limit, with its band.
    ///
    /// ```text
    /// x = x̄ + D/slope,   D = limit − ȳ
    /// (slope·d − D)² = t²s²(1/n + d²/Sxx),   d = x − x̄     at the ends of its band
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | x | the result | as x |
    /// | limit | `limit` | as y |
    /// | slope | `slope` | y per x, not 0 |
    /// | t | Student's for `confidence` and `dof` degrees of freedom | ratio; confidence 0.5 to below 1 |
    /// | s | `residual_sd` | as y |
    /// | n, x̄, ȳ, Sxx | of the points, as in [`Line`] | count; as x; as y; as x² |
    ///
    /// The band is Fieller's: the two x at which an edge of [`Line::mean_interval`] meets the limit. Where
    /// t²s²/(slope²·Sxx) is 1 or more it has no two ends. It is wider where [`Line::with_doubt`] makes it so. It says
    /// where the true line meets the limit; a single part scatters about the line by `residual_sd` besides.
    ///
    /// Source: E. C. Fieller, JRSS B 16 (1954), from memory; held against the edges of the band by the tests.
    ///
    /// # Errors
    ///
    /// NaN or infinity; a confidence less than 0.5 or not less than 1; a line that is exactly level.
    pub fn crossing(&self, limit: f64, confidence: f64) -> Result<Crossing, MetrologyError> {
        let above = finite("the limit", limit)? - self.y_mean;
        let ts = self.reach(confidence)?;
        let x = self.x_mean + above / self.slope;
        if !x.is_finite() {
            return Err(MetrologyError::NeverMeets { limit });
        }
        let lead = self.slope * self.slope - ts * ts / self.sxx;
        let middle = self.slope * above;
        let root = ts
            * (lead * self.inverse_count + above * above / self.sxx)
                .max(0.0)
                .sqrt();
        let (a, b) = ((middle - root) / lead, (middle + root) / lead);
        let bounded = lead > 0.0 && a.is_finite() && b.is_finite();
        Ok(Crossing {
            x,
            band: bounded.then_some((self.x_mean + a, self.x_mean + b)),
        })
    }
}

/// The probability below the upper end of a band.
fn two_sided(confidence: f64) -> Result<f64, MetrologyError> {
    Ok(1.0 - 0.5 * (1.0 - confidence_from(0.5, confidence)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn three_points_are_the_fewest_and_two_through_the_origin() {
        assert_eq!(
            Line::fit(&[1.0, 2.0], &[1.0, 2.0]),
            Err(MetrologyError::TooFew {
                what: "points",
                have: 2,
                need: 3
            })
        );
        assert_eq!(
            Line::through_origin(&[1.0], &[1.0]),
            Err(MetrologyError::TooFew {
                what: "points",
                have: 1,
                need: 2
            })
        );
        assert_eq!(
            Line::fit(&[1.0], &[]),
            Err(MetrologyError::ColumnsDiffer { x: 1, y: 0 })
        );
    }

    #[test]
    fn one_place_draws_no_line() {
        assert_eq!(
            Line::fit(&[2.0; 4], &[1.0, 2.0, 3.0, 4.0]),
            Err(MetrologyError::NoSpread)
        );
        assert_eq!(
            Line::through_origin(&[0.0; 2], &[1.0, 2.0]),
            Err(MetrologyError::NoSpread)
        );
    }

    #[test]
    fn nan_and_infinity_are_refused() {
        let line = Line::fit(&[0.0, 1.0, 2.0, 3.0], &[0.0, 1.1, 1.9, 3.0]).unwrap();
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let not_finite = |result: MetrologyError| matches!(result, MetrologyError::NotFinite { .. });
            assert!(not_finite(
                Line::fit(&[0.0, 1.0, bad], &[0.0, 1.0, 2.0]).unwrap_err()
            ));
            assert!(not_finite(
                Line::fit(&[0.0, 1.0, 2.0], &[0.0, 1.0, bad]).unwrap_err()
            ));
            assert!(not_finite(
                Line::through_origin(&[0.0, bad], &[0.0, 1.0]).unwrap_err()
            ));
            assert!(not_finite(line.at(bad).unwrap_err()));
            assert!(not_finite(line.mean_interval(bad, 0.95).unwrap_err()));
            assert!(not_finite(line.prediction_interval(bad, 0.95).unwrap_err()));
            assert!(not_finite(line.crossing(bad, 0.95).unwrap_err()));
            assert!(matches!(
                line.crossing(5.0, bad),
                Err(MetrologyError::ConfidenceOutOfRange { .. })
            ));
        }
        assert!(matches!(
            Line::fit(&[0.0, 1e200, 2e200], &[0.0, 1.0, 2.0]),
            Err(MetrologyError::NotFinite { .. })
        ));
    }

    #[test]
    fn a_level_line_never_meets_a_limit_and_a_doubtful_one_has_no_band() {
        let level = Line::fit(&[0.0, 1.0, 2.0], &[1.0, 1.0, 1.0]).unwrap();
        assert_eq!(
            level.crossing(2.0, 0.95),
            Err(MetrologyError::NeverMeets { limit: 2.0 })
        );
        assert!(level.r_squared.abs() < 1e-15 && level.residual_sd.abs() < 1e-15);
        let doubtful = Line::fit(&[0.0, 1.0, 2.0, 3.0], &[1.0, 1.4, 0.7, 1.2]).unwrap();
        assert_eq!(doubtful.crossing(0.5, 0.95).unwrap().band, None);
    }

    proptest! {
        #[test]
        fn the_edges_of_the_band_meet_the_limit(
            noise in prop::collection::vec(-0.3_f64..0.3, 4..12), slope in 0.5_f64..3.0, limit in -10.0_f64..30.0,
            origin in any::<bool>(),
        ) {
            let x: Vec<f64> = (1..=noise.len()).map(|i| i as f64).collect();
            let y: Vec<f64> = x.iter().zip(&noise).map(|(x, e)| slope * x + e).collect();
            let line = if origin { Line::through_origin(&x, &y) } else { Line::fit(&x, &y) }.unwrap();
            let crossing = line.crossing(limit, 0.95).unwrap();
            prop_assert!((line.at(crossing.x).unwrap() - limit).abs() < 1e-9);
            if let Some((low, high)) = crossing.band {
                prop_assert!(low <= crossing.x && crossing.x <= high);
                for edge in [low, high] {
                    let (a, b) = line.mean_interval(edge, 0.95).unwrap();
                    prop_assert!((a - limit).abs().min((b - limit).abs()) < 1e-7, "{edge}: {a} {b} {limit}");
                }
            }
        }

        #[test]
        fn a_shift_and_a_scale_move_the_line_with_the_points(
            y in prop::collection::vec(-10.0_f64..10.0, 3..12), shift in -100.0_f64..100.0, scale in 0.1_f64..10.0,
        ) {
            let x: Vec<f64> = (0..y.len()).map(|i| i as f64).collect();
            let moved: Vec<f64> = y.iter().map(|y| y * scale + shift).collect();
            let (a, b) = (Line::fit(&x, &y).unwrap(), Line::fit(&x, &moved).unwrap());
            prop_assert!((a.slope * scale - b.slope).abs() < 1e-9);
            prop_assert!((a.intercept * scale + shift - b.intercept).abs() < 1e-9);
            prop_assert!((a.residual_sd * scale - b.residual_sd).abs() < 1e-9);
            prop_assert!((a.slope_se * scale - b.slope_se).abs() < 1e-9);
            let elsewhere: Vec<f64> = x.iter().map(|x| x + shift).collect();
            let c = Line::fit(&elsewhere, &y).unwrap();
            prop_assert!((a.slope - c.slope).abs() < 1e-9 && (a.at(1.0).unwrap() - c.at(1.0 + shift).unwrap()).abs() < 1e-9);
        }

        #[test]
        fn a_prediction_is_wider_than_the_line_and_both_are_narrowest_in_the_middle(
            y in prop::collection::vec(-10.0_f64..10.0, 3..12), x in -20.0_f64..20.0,
        ) {
            let xs: Vec<f64> = (0..y.len()).map(|i| i as f64).collect();
            let line = Line::fit(&xs, &y).unwrap();
            let wide = |interval: (f64, f64)| interval.1 - interval.0;
            let middle = (y.len() - 1) as f64 / 2.0;
            let mean = wide(line.mean_interval(x, 0.9).unwrap());
            prop_assert!(wide(line.prediction_interval(x, 0.9).unwrap()) >= mean);
            prop_assert!(wide(line.mean_interval(middle, 0.9).unwrap()) <= mean + 1e-12);
        }
    }
}
