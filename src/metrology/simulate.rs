//! Monte Carlo: the distribution of what is reckoned from uncertain inputs.

use super::decision::Limits;
use super::distribution::{density, normal_below, normal_quantile, t_quantile};
use super::error::{MetrologyError, coverage, finite, not_negative};
use super::random::Generator;
use super::summary::mean_of;

/// The most draws that one simulation may have; each kept value takes eight bytes.
pub const MOST_DRAWS: usize = 10_000_000;

/// Draws that share one stream of random numbers; part of what makes a recorded seed repeat its result.
const CHUNK: usize = 16_384;

/// What is known of one input of a model. Source: JCGM 101:2008, 6.4.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Draw {
    /// Best estimate and standard uncertainty; normal.
    Normal {
        /// The best estimate.
        mean: f64,
        /// The standard uncertainty, not negative.
        sd: f64,
    },
    /// Between two limits, each value as likely as another.
    Uniform {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
    /// Between two limits, most likely in the middle: the sum of two equally wide uniform inputs.
    Triangular {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
    /// Between two limits that are themselves in doubt by ± `doubt` (a curvilinear trapezoid).
    UniformWithDoubt {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
        /// Half-width of the doubt about each limit; at most half of `high − low`.
        doubt: f64,
    },
    /// Swinging between two limits as a sine does (an arc sine distribution), such as a room's temperature.
    Cyclic {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
    /// A mean of a few readings: Student's t, moved and scaled. Its standard deviation is `√(ν/(ν − 2))·scale`.
    StudentT {
        /// The mean of the readings.
        mean: f64,
        /// Their standard error, not negative.
        scale: f64,
        /// Degrees of freedom, at least 1.
        dof: f64,
    },
    /// Normal, and nothing of it below one end or above another. Source: its closed form (N. L. Johnson, S. Kotz, Continuous
    /// univariate distributions, from memory).
    TruncatedNormal {
        /// The mean of the normal before it is cut, between the ends.
        mean: f64,
        /// Its standard deviation before it is cut, not negative.
        sd: f64,
        /// The lower end.
        low: f64,
        /// The upper end.
        high: f64,
    },
}

impl Draw {
    /// The mean of the distribution; of Student's t its middle, also where one degree of freedom leaves no mean.
    ///
    /// ```
    /// use shimwright::metrology::Draw;
    /// let band = Draw::Uniform { low: 0.925, high: 1.15 };
    /// assert!((band.mean() - 1.0375).abs() < 1e-12);
    /// assert!((band.standard() - 0.225 / 12_f64.sqrt()).abs() < 1e-12);
    /// ```
    pub fn mean(&self) -> f64 {
        match *self {
            Draw::Normal { mean, .. } | Draw::StudentT { mean, .. } => mean,
            Draw::Uniform { low, high }
            | Draw::Triangular { low, high }
            | Draw::Cyclic { low, high }
            | Draw::UniformWithDoubt { low, high, .. } => 0.5 * (low + high),
            Draw::TruncatedNormal { mean, sd, low, high } => {
                let [shift, _] = truncated((low - mean) / sd, (high - mean) / sd);
                mean + sd * shift
            }
        }
    }

    /// The standard uncertainty that stands for it where results are propagated: the standard deviation (JCGM 101:2008, 6.4);
    /// of Student's t the scale times t(0.975; ν)/1.96, so that 95 % of a normal are as wide, with few degrees of freedom too.
    pub fn standard(&self) -> f64 {
        match *self {
            Draw::Normal { sd, .. } => sd,
            Draw::Uniform { low, high } => (high - low) / 12_f64.sqrt(),
            Draw::Triangular { low, high } => (high - low) / 24_f64.sqrt(),
            Draw::UniformWithDoubt { low, high, doubt } => {
                ((high - low) * (high - low) / 12.0 + doubt * doubt / 9.0).sqrt()
            }
            Draw::Cyclic { low, high } => (high - low) / 8_f64.sqrt(),
            Draw::StudentT { scale, dof, .. } => scale * t_quantile(0.975, dof) / normal_quantile(0.975),
            Draw::TruncatedNormal { mean, sd, low, high } => {
                let [_, left] = truncated((low - mean) / sd, (high - mean) / sd);
                sd * left
            }
        }
    }

    /// Errors: NaN or infinity; a negative width; ends upside down; less than one degree of freedom.
    pub(super) fn check(&self) -> Result<(), MetrologyError> {
        match *self {
            Draw::Normal { mean, sd } => {
                finite("a mean", mean)?;
                not_negative("a standard deviation", sd)?;
            }
            Draw::Uniform { low, high } | Draw::Triangular { low, high } | Draw::Cyclic { low, high } => {
                ends(low, high)?;
            }
            Draw::UniformWithDoubt { low, high, doubt } => {
                let half_width = ends(low, high)? / 2.0;
                if not_negative("a doubt", doubt)? > half_width {
                    return Err(MetrologyError::DoubtTooWide { doubt, half_width });
                }
            }
            Draw::StudentT { mean, scale, dof } => {
                finite("a mean", mean)?;
                not_negative("a scale", scale)?;
                if !(1.0..f64::INFINITY).contains(&dof) {
                    return Err(MetrologyError::DegreesOfFreedom { dof });
                }
            }
            Draw::TruncatedNormal { mean, sd, low, high } => {
                ends(low, mean)?;
                ends(mean, high)?;
                not_negative("a standard deviation", sd)?;
            }
        }
        Ok(())
    }

    /// The probabilities below the ends of a normal that is cut; the same at each draw.
    fn below_ends(&self) -> [f64; 2] {
        match *self {
            Draw::TruncatedNormal { mean, sd, low, high } if sd > 0.0 => {
                [low, high].map(|end| normal_below((end - mean) / sd))
            }
            _ => [0.5; 2],
        }
    }

    /// One value; `below` is [`Draw::below_ends`].
    #[inline]
    fn next(&self, below: [f64; 2], random: &mut Generator) -> f64 {
        match *self {
            Draw::Normal { mean, sd } => mean + sd * random.normal(),
            Draw::Uniform { low, high } => low + (high - low) * random.unit(),
            Draw::Triangular { low, high } => low + (high - low) * 0.5 * (random.unit() + random.unit()),
            Draw::UniformWithDoubt { low, high, doubt } => {
                // JCGM 101:2008, 6.4.3.4: draw the lower limit, mirror it, then draw between the two
                let from = (low - doubt) + 2.0 * doubt * random.unit();
                let to = (low + high) - from;
                from + (to - from) * random.unit()
            }
            Draw::Cyclic { low, high } => {
                // JCGM 101:2008, 6.4.6.4
                0.5 * (low + high) + 0.5 * (high - low) * libm::sin(std::f64::consts::TAU * random.unit())
            }
            Draw::StudentT { mean, scale, dof } => mean + scale * random.student_t(dof),
            Draw::TruncatedNormal { mean, sd, low, high } => {
                let probability = below[0] + (below[1] - below[0]) * random.unit();
                (mean + sd * normal_quantile(probability)).clamp(low, high)
            }
        }
    }
}

/// Mean and standard deviation of a standard normal that is cut at two ends; nothing is left of either where no width is.
fn truncated(from: f64, to: f64) -> [f64; 2] {
    let inside = normal_below(to) - normal_below(from);
    // without a standard deviation an end is no number, or lies at infinity
    if !(inside > 0.0 && from.is_finite() && to.is_finite()) {
        return [0.0; 2];
    }
    let mean = (density(from) - density(to)) / inside;
    let square = 1.0 + (from * density(from) - to * density(to)) / inside - mean * mean;
    [mean, square.max(0.0).sqrt()]
}

/// The width between two ends that are finite and the right way up.
fn ends(low: f64, high: f64) -> Result<f64, MetrologyError> {
    finite("a lower end", low)?;
    finite("an upper end", high)?;
    if low > high {
        return Err(MetrologyError::DrawUpsideDown { low, high });
    }
    finite("the width of a distribution", high - low)
}

/// What came out of a simulation.
#[derive(Clone, PartialEq, Debug)]
pub struct Simulation {
    /// Mean of the values that the model gave.
    pub mean: f64,
    /// Their standard deviation: the standard uncertainty of the result.
    pub sd: f64,
    /// How many draws there were.
    pub draws: usize,
    /// Draws for which the model gave no value, or none that is finite. All other figures are of the rest.
    pub refused: usize,
    values: Vec<f64>,
}

impl Simulation {
    /// The values that the model gave, in rising order.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// How many values an interval spans that covers `p`. Source: JCGM 101:2008, 7.7.1.
    fn span(&self, p: f64) -> Result<usize, MetrologyError> {
        let have = self.values.len();
        let span = (coverage(p)? * have as f64).round() as usize;
        if span < have {
            Ok(span)
        } else {
            Err(MetrologyError::TooFew {
                what: "values for an interval this wide",
                have,
                need: (0.5 / (1.0 - p)).ceil() as usize + 1,
            })
        }
    }

    /// The interval that covers the share `p`, with as much left over below as above.
    ///
    /// Source: JCGM 101:2008, 7.7.2.
    ///
    /// # Errors
    ///
    /// P not between 0 and 1; too few values for it.
    pub fn interval(&self, p: f64) -> Result<(f64, f64), MetrologyError> {
        let span = self.span(p)?;
        // the standard counts from 1: r = (M − q)/2, or (M − q + 1)/2 rounded down
        let first = (self.values.len() - span).div_ceil(2) - 1;
        Ok((self.values[first], self.values[first + span]))
    }

    /// The shortest interval that covers the share `p`; the better of the two where the values are lopsided.
    ///
    /// Source: JCGM 101:2008, 7.7.3.
    ///
    /// # Errors
    ///
    /// P not between 0 and 1; too few values for it.
    pub fn shortest_interval(&self, p: f64) -> Result<(f64, f64), MetrologyError> {
        let span = self.span(p)?;
        let mut best = (self.values[0], self.values[span]);
        for (&low, &high) in self.values.iter().zip(&self.values[span..]) {
            if high - low < best.1 - best.0 {
                best = (low, high);
            }
        }
        Ok(best)
    }

    /// The share of the values that lies within the limits, which belong to the inside.
    ///
    /// # Errors
    ///
    /// Limits that are NaN, infinite, upside down or absent.
    pub fn share_within(&self, limits: &Limits) -> Result<f64, MetrologyError> {
        limits.check()?;
        let below = limits
            .least
            .map_or(0, |least| self.values.partition_point(|&value| value < least));
        let within = limits.most.map_or(self.values.len(), |most| {
            self.values.partition_point(|&value| value <= most)
        });
        Ok(within.saturating_sub(below) as f64 / self.values.len() as f64)
    }
}

/// Draws every input at random, works out the model each time, and says how the results scatter.
///
/// `inputs` are independent; the model gets one number for each, in the same order, and may refuse a draw with
/// `None`, such as one past the end of a spring's travel. The same seed gives the same numbers on every machine and
/// with any number of processors, as far as the model itself does: `libm` and the four operations do, the functions
/// of `std` may differ in the last digit. Seed, draws and order of inputs together fix the result.
/// Source: JCGM 101:2008, clause 7; generator xoshiro256++; normal draws by the ziggurat.
///
/// ```
/// use shimwright::metrology::{simulate, Draw};
/// let inputs = [Draw::Normal { mean: 2.0, sd: 0.1 }, Draw::Uniform { low: 2.9, high: 3.1 }];
/// let product = simulate(7, 100_000, &inputs, |x| Some(x[0] * x[1]))?;
/// assert!((product.mean - 6.0).abs() < 0.01);
/// let again = simulate(7, 100_000, &inputs, |x| Some(x[0] * x[1]))?;
/// assert_eq!(product, again);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
///
/// # Errors
///
/// Fewer than two draws or more than [`MOST_DRAWS`]; an input with NaN, infinity, a negative width or ends upside
/// down; a model that gave no value, or a single one.
pub fn simulate(
    seed: u64,
    draws: usize,
    inputs: &[Draw],
    model: impl Fn(&[f64]) -> Option<f64> + Sync,
) -> Result<Simulation, MetrologyError> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    simulate_on(threads, seed, draws, inputs, model)
}

/// [`simulate`] on a number of threads, on which the result does not depend.
fn simulate_on(
    threads: usize,
    seed: u64,
    draws: usize,
    inputs: &[Draw],
    model: impl Fn(&[f64]) -> Option<f64> + Sync,
) -> Result<Simulation, MetrologyError> {
    if draws < 2 {
        return Err(MetrologyError::TooFew {
            what: "draws",
            have: draws,
            need: 2,
        });
    }
    if draws > MOST_DRAWS {
        return Err(MetrologyError::TooManyDraws {
            draws,
            most: MOST_DRAWS,
        });
    }
    for input in inputs {
        input.check()?;
    }
    let chunks = draws.div_ceil(CHUNK);
    let each = chunks.div_ceil(threads.max(1));
    let model = &model;
    let parts: Vec<Vec<f64>> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..chunks)
            .step_by(each)
            .map(|first| {
                scope.spawn(move || run(seed, draws, first..chunks.min(first + each), inputs, model))
            })
            .collect();
        workers
            .into_iter()
            .map(|worker| {
                worker
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    });
    // in rising order the values, and sums over them, do not depend on which thread drew them
    let values = parts
        .into_iter()
        .reduce(|done, part| merge(&done, &part))
        .unwrap_or_default();
    let count = values.len();
    if count == 0 {
        return Err(MetrologyError::AllRefused { draws });
    }
    if count == 1 {
        return Err(MetrologyError::TooFew {
            what: "values from the model",
            have: 1,
            need: 2,
        });
    }
    let (mean, rest) = mean_of(&values);
    let squares: f64 = values
        .iter()
        .map(|value| ((value - mean) - rest) * ((value - mean) - rest))
        .sum();
    Ok(Simulation {
        mean: finite("the mean", mean)?,
        sd: finite("the standard deviation", (squares / (count - 1) as f64).sqrt())?,
        draws,
        refused: draws - count,
        values,
    })
}

/// Two rows in rising order, made one.
fn merge(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut merged = Vec::with_capacity(a.len() + b.len());
    let (mut i, mut j) = (0, 0);
    while let (Some(&from_a), Some(&from_b)) = (a.get(i), b.get(j)) {
        // no branch on the comparison: it can not be foreseen
        let first = from_a <= from_b;
        merged.push(if first { from_a } else { from_b });
        i += usize::from(first);
        j += usize::from(!first);
    }
    merged.extend_from_slice(&a[i..]);
    merged.extend_from_slice(&b[j..]);
    merged
}

/// The model's values for some chunks, in rising order.
fn run(
    seed: u64,
    draws: usize,
    chunks: std::ops::Range<usize>,
    inputs: &[Draw],
    model: &(impl Fn(&[f64]) -> Option<f64> + Sync),
) -> Vec<f64> {
    let mut values: Vec<i64> = Vec::with_capacity(chunks.len() * CHUNK);
    let known: Vec<(Draw, [f64; 2])> = inputs.iter().map(|input| (*input, input.below_ends())).collect();
    let mut drawn = vec![0.0; inputs.len()];
    for chunk in chunks {
        let mut random = Generator::new(seed, chunk as u64);
        for _ in 0..CHUNK.min(draws - chunk * CHUNK) {
            for (value, (input, below)) in drawn.iter_mut().zip(&known) {
                *value = input.next(*below, &mut random);
            }
            // adding 0 turns −0 into 0, so that equal values have equal bits
            values.extend(
                model(&drawn)
                    .filter(|value| value.is_finite())
                    .map(|value| ordered((value + 0.0).to_bits().cast_signed())),
            );
        }
    }
    values.sort_unstable();
    values
        .into_iter()
        .map(|value| f64::from_bits(ordered(value).cast_unsigned()))
        .collect()
}

/// The bits of a number as a whole number that stands in the order of [`f64::total_cmp`], in which whole numbers are sorted in half
/// the time; the same again gives the bits back.
fn ordered(bits: i64) -> i64 {
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn numbers_stand_as_whole_numbers_in_their_own_order(mut values in proptest::collection::vec(proptest::num::f64::ANY, 0..40)) {
            let mut keys: Vec<i64> = values.iter().map(|value| ordered(value.to_bits().cast_signed())).collect();
            keys.sort_unstable();
            values.sort_unstable_by(f64::total_cmp);
            let back = keys.iter().map(|key| ordered(*key).cast_unsigned());
            let bits = values.iter().map(|value| value.to_bits());
            prop_assert!(back.eq(bits));
        }
    }

    /// An invented model with five inputs and a refusal: enough to move every draw.
    fn model(x: &[f64]) -> Option<f64> {
        (x[0] > -1.5).then(|| x[0] + x[1] * x[2] - x[3] + x[4] * x[5])
    }

    const INPUTS: [Draw; 6] = [
        Draw::Normal { mean: 0.0, sd: 1.0 },
        Draw::Uniform { low: 1.0, high: 2.0 },
        Draw::Triangular { low: 0.0, high: 1.0 },
        Draw::UniformWithDoubt {
            low: -1.0,
            high: 1.0,
            doubt: 0.5,
        },
        Draw::Cyclic { low: -1.0, high: 1.0 },
        Draw::StudentT {
            mean: 3.0,
            scale: 1.0,
            dof: 5.0,
        },
    ];

    const PINNED_STREAM: [u64; 4] = [
        10_008_427_264_562_130_909,
        5_955_205_694_836_469_942,
        3_599_831_801_161_074_901,
        8_724_431_903_304_119_914,
    ];
    /// Bits of 0.072705…, 1.5426…, 0.43270…, −0.33926…, −0.26422…, 3.5822….
    const PINNED_DRAWS: [u64; 6] = [
        4_589_903_371_242_469_371,
        4_609_625_882_487_654_646,
        4_601_466_362_573_862_268,
        13_823_155_141_050_647_900,
        13_821_803_495_218_608_446,
        4_615_248_716_244_849_759,
    ];
    const PINNED_REFUSED: usize = 1404;
    /// Bits of the mean 0.86558…, the standard deviation 2.54502… and the value number 10 000, 1.12802….
    const PINNED_RUN: [u64; 3] = [
        4_605_971_664_191_677_023,
        4_612_913_301_078_245_205,
        4_607_758_970_839_653_023,
    ];

    #[test]
    fn a_recorded_seed_gives_the_same_numbers_for_ever() {
        // recorded from this code when it was written, not published: they must never change, because a stored build
        // would show other numbers
        let mut random = Generator::new(20, 1);
        let stream: Vec<u64> = (0..4).map(|_| random.next()).collect();
        assert_eq!(stream, PINNED_STREAM);
        let bits = |draw: Draw| draw.next(draw.below_ends(), &mut Generator::new(20, 1)).to_bits();
        assert_eq!(INPUTS.map(bits), PINNED_DRAWS);
        let run = simulate(20, 20_000, &INPUTS, model).unwrap();
        assert_eq!(run.refused, PINNED_REFUSED);
        assert_eq!(
            [run.mean.to_bits(), run.sd.to_bits(), run.values[10_000].to_bits()],
            PINNED_RUN
        );
    }

    #[test]
    fn the_spread_of_every_input_is_what_its_distribution_says() {
        // JCGM 101:2008, 6.4: variances of the distributions, and four standard errors of 100 000 draws
        let quarter = 0.25_f64;
        for (draw, variance) in [
            (Draw::Normal { mean: 1.0, sd: 0.5 }, quarter),
            (Draw::Uniform { low: 0.0, high: 2.0 }, 4.0 / 12.0),
            (Draw::Triangular { low: 0.0, high: 2.0 }, 4.0 / 24.0),
            (
                Draw::UniformWithDoubt {
                    low: 0.0,
                    high: 2.0,
                    doubt: 0.5,
                },
                4.0 / 12.0 + quarter / 9.0,
            ),
            (Draw::Cyclic { low: 0.0, high: 2.0 }, 4.0 / 8.0),
            (
                Draw::StudentT {
                    mean: 1.0,
                    scale: 0.5,
                    dof: 10.0,
                },
                quarter * 10.0 / 8.0,
            ),
        ] {
            let run = simulate(3, 100_000, &[draw], |x| Some(x[0])).unwrap();
            assert!(
                (run.mean - 1.0).abs() < 4.0 * (variance / 1e5).sqrt(),
                "{draw:?}: {}",
                run.mean
            );
            let fourth: f64 = run.values.iter().map(|v| (v - 1.0).powi(4)).sum::<f64>() / 1e5;
            let error = ((fourth / variance.powi(2) - 1.0) / 1e5).sqrt();
            assert!(
                (run.sd.powi(2) / variance - 1.0).abs() < 4.0 * error,
                "{draw:?}: {}",
                run.sd
            );
        }
    }

    #[test]
    fn the_shares_of_the_values_follow_the_distribution_function() {
        // the largest gap between drawn and true shares, held to 1.95/√n (Kolmogorov, 0.1 %, from memory)
        use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
        let (normal, t) = (
            Normal::new(0.0, 1.0).unwrap(),
            StudentsT::new(0.0, 1.0, 5.0).unwrap(),
        );
        let gap = |draw, below: &dyn Fn(f64) -> f64| {
            let run = simulate(11, 100_000, &[draw], |x| Some(x[0])).unwrap();
            let shares = run.values.iter().zip(1_u32..);
            shares
                .map(|(&v, i)| (below(v) - f64::from(i) / 1e5).abs())
                .fold(0.0, f64::max)
        };
        let most = 1.95 / 1e5_f64.sqrt();
        assert!(gap(INPUTS[0], &|v| normal.cdf(v)) < most);
        assert!(
            gap(
                Draw::StudentT {
                    mean: 0.0,
                    scale: 1.0,
                    dof: 5.0
                },
                &|v| t.cdf(v)
            ) < most
        );
        assert!(gap(INPUTS[4], &|v| v.asin() / std::f64::consts::PI + 0.5) < most);
        assert!(gap(INPUTS[1], &|v| v - 1.0) < most);
    }

    #[test]
    fn refused_draws_are_counted_and_left_out() {
        let run = simulate(5, 40_000, &INPUTS[..1], |x| (x[0] > 0.0).then_some(x[0])).unwrap();
        assert_eq!(run.draws, 40_000);
        assert_eq!(run.values().len() + run.refused, 40_000);
        assert!(
            (run.refused as f64 - 20_000.0).abs() < 4.0 * 100.0,
            "{}",
            run.refused
        );
        let half = simulate(5, 40_000, &INPUTS[..1], |x| Some((-x[0]).sqrt())).unwrap();
        assert_eq!(
            half.refused + run.refused,
            40_000,
            "a value that is not finite counts as refused"
        );
        assert_eq!(
            simulate(5, 100, &INPUTS[..1], |_| None),
            Err(MetrologyError::AllRefused { draws: 100 })
        );
    }

    #[test]
    fn intervals_are_counted_as_the_standard_counts_them() {
        // the values 1 to 1000: q = 950, r = 25, so the 25th and the 975th
        let ranked = Simulation {
            mean: 0.0,
            sd: 0.0,
            draws: 1000,
            refused: 0,
            values: (1..=1000).map(f64::from).collect(),
        };
        assert_eq!(ranked.interval(0.95), Ok((25.0, 975.0)));
        assert_eq!(ranked.shortest_interval(0.95), Ok((1.0, 951.0)));
        let limits = Limits::new(Some(100.5), Some(200.0)).unwrap();
        assert_eq!(ranked.share_within(&limits), Ok(0.1));
        assert!(matches!(
            ranked.interval(1.0 - 1.0 / 4096.0),
            Err(MetrologyError::TooFew {
                have: 1000,
                need: 2049,
                ..
            })
        ));
        for bad in [0.0, 1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                ranked.interval(bad),
                Err(MetrologyError::CoverageOutOfRange { .. })
            ));
            assert!(matches!(
                ranked.shortest_interval(bad),
                Err(MetrologyError::CoverageOutOfRange { .. })
            ));
        }
        assert_eq!(
            ranked.share_within(&Limits::default()),
            Err(MetrologyError::NoLimit)
        );
    }

    #[test]
    fn inputs_that_are_no_distribution_are_refused() {
        let with = |draw| simulate(1, 10, &[draw], |x| Some(x[0])).unwrap_err();
        assert_eq!(
            with(Draw::Uniform { low: 2.0, high: 1.0 }),
            MetrologyError::DrawUpsideDown { low: 2.0, high: 1.0 }
        );
        assert_eq!(
            with(Draw::Normal { mean: 0.0, sd: -1.0 }),
            MetrologyError::Negative {
                what: "a standard deviation",
                value: -1.0
            }
        );
        assert_eq!(
            with(Draw::UniformWithDoubt {
                low: 0.0,
                high: 1.0,
                doubt: 0.75
            }),
            MetrologyError::DoubtTooWide {
                doubt: 0.75,
                half_width: 0.5
            }
        );
        assert_eq!(
            with(Draw::StudentT {
                mean: 0.0,
                scale: 1.0,
                dof: 0.5
            }),
            MetrologyError::DegreesOfFreedom { dof: 0.5 }
        );
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for draw in [
                Draw::Normal { mean: bad, sd: 1.0 },
                Draw::Normal { mean: 0.0, sd: bad },
                Draw::Uniform { low: bad, high: 1.0 },
                Draw::Triangular { low: 0.0, high: bad },
                Draw::Cyclic { low: bad, high: bad },
                Draw::UniformWithDoubt {
                    low: 0.0,
                    high: 1.0,
                    doubt: bad,
                },
                Draw::StudentT {
                    mean: 0.0,
                    scale: bad,
                    dof: 5.0,
                },
            ] {
                assert!(matches!(with(draw), MetrologyError::NotFinite { .. }), "{draw:?}");
            }
            assert!(matches!(
                with(Draw::StudentT {
                    mean: 0.0,
                    scale: 1.0,
                    dof: bad
                }),
                MetrologyError::DegreesOfFreedom { .. }
            ));
        }
        assert_eq!(
            simulate(1, 1, &INPUTS, model),
            Err(MetrologyError::TooFew {
                what: "draws",
                have: 1,
                need: 2
            })
        );
        assert_eq!(
            simulate(1, MOST_DRAWS + 1, &INPUTS, model),
            Err(MetrologyError::TooManyDraws {
                draws: MOST_DRAWS + 1,
                most: MOST_DRAWS
            })
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]
        #[test]
        fn the_number_of_threads_does_not_matter(seed in any::<u64>(), draws in 2_usize..50_000, threads in 2_usize..9) {
            let one = simulate_on(1, seed, draws, &INPUTS, model);
            let many = simulate_on(threads, seed, draws, &INPUTS, model);
            prop_assert_eq!(&one, &many);
            if let Ok(run) = one {
                prop_assert_eq!(run.values.len() + run.refused, draws);
            }
        }

        #[test]
        fn the_shortest_interval_is_no_longer_than_the_even_one(seed in any::<u64>(), p in 0.1_f64..0.99) {
            let run = simulate(seed, 2_000, &INPUTS, model).unwrap();
            let (even, short) = (run.interval(p).unwrap(), run.shortest_interval(p).unwrap());
            prop_assert!(short.1 - short.0 <= even.1 - even.0);
            let within = run.share_within(&Limits::new(Some(short.0), Some(short.1)).unwrap()).unwrap();
            prop_assert!(within >= p - 1e-3);
        }
    }
}
