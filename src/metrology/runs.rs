//! Two settings driven in turn: which is faster, and in which order to drive them so that it can be told.

use super::distribution::t_quantile;
use super::error::{MetrologyError, confidence_from, finite, not_negative};

/// The most runs of one day: up to here every order that could have been drawn is looked at.
pub const MOST_RUNS: usize = 24;

/// One run: a time that stands for it, such as the median of its laps.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Run {
    /// Which day; runs of one day stand together, in the order in which they were driven.
    pub day: u32,
    /// Whether it had the second of the two settings.
    pub second: bool,
    /// Its time in seconds.
    pub seconds: f64,
}

impl Run {
    /// From the numbers of a table: the setting is 1 or 2, the day a number that tells it from others.
    ///
    /// # Errors
    ///
    /// Another setting.
    pub fn of(day: f64, setting: f64, seconds: f64) -> Result<Run, MetrologyError> {
        let second = if (setting - 1.0).abs() < f64::EPSILON {
            false
        } else if (setting - 2.0).abs() < f64::EPSILON {
            true
        } else {
            return Err(MetrologyError::NoSetting { setting });
        };
        Ok(Run {
            day: day.round().clamp(0.0, f64::from(u32::MAX)) as u32,
            second,
            seconds,
        })
    }
}

/// What two settings differ by.
#[derive(Clone, PartialEq, Debug)]
pub struct RunComparison {
    /// Time with the second setting less time with the first, in seconds, drift taken out.
    pub difference: f64,
    /// Its standard error in seconds.
    pub standard_error: f64,
    /// Degrees of freedom.
    pub freedom: usize,
    /// Interval of the difference at the confidence asked for, in seconds.
    pub interval: (f64, f64),
    /// Drift of each day in seconds from run to run; `None` for a day of one run.
    pub drift: Vec<Option<f64>>,
    /// Standard deviation of one run about setting and drift, in seconds.
    pub scatter: f64,
}

/// Compares two settings by their runs, with a line in the order of the runs for each day taken out.
///
/// ```text
/// t = a_day + b_day · order + d · (second setting)
/// d̂ = Σ x̃ t̃/Σ x̃²,   s² = Σ(t̃ − d̂ x̃)²/ν,   u = s/√Σ x̃²,   d̂ ± t((1 + p)/2; ν) u
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | d̂, u, s, b_day | the result: difference, its standard error, scatter of one run, drift | s |
/// | t | `seconds` of the `runs` | s, above 0; 4 runs at least |
/// | day, second setting | `day`, `second` | – |
/// | x̃, t̃ | setting and time less their own line of that day | –; s |
/// | ν | n − 2·days − 1, a day of one run counting once | count, 1 and above |
/// | p | `confidence` | share, 0.5 to below 1 |
///
/// The run is the unit and not the lap: laps of one run share its tyres and its air.
///
/// Source: least squares by parts (Frisch and Waugh), JCGM 100:2008, H.3 for the interval; the drift as in the
/// NIST/SEMATECH e-Handbook, 2.3.3.1.2.
///
/// # Errors
///
/// A time that is not finite or not above 0; confidence out of range; fewer runs than 4; too few for a degree of
/// freedom; settings that go with the order, so that drift and setting can not be told apart.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{compare_runs, Run};
/// // A-B-B-A with a drift of 0.1 s a run: 70.0, 69.1 - 0.9 …
/// let run = |second, seconds| Run { day: 1, second, seconds };
/// let day = [run(false, 70.0), run(true, 69.1), run(true, 69.2), run(false, 70.3)];
/// let found = compare_runs(&day, 0.95)?;
/// assert!((found.difference + 1.0).abs() < 1e-9);
/// assert!((found.drift[0].unwrap() - 0.1).abs() < 1e-9);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn compare_runs(runs: &[Run], confidence: f64) -> Result<RunComparison, MetrologyError> {
    confidence_from(0.5, confidence)?;
    for run in runs {
        finite("a time in seconds", run.seconds)?;
        if run.seconds <= 0.0 {
            return Err(MetrologyError::Negative {
                what: "a time in seconds",
                value: run.seconds,
            });
        }
    }
    enough("runs", runs.len(), 4)?;
    let days: Vec<&[Run]> = runs.chunk_by(|one, next| one.day == next.day).collect();
    let (mut cross, mut square) = (0.0, 0.0);
    let mut rest = Vec::new();
    for day in &days {
        let setting: Vec<f64> = day.iter().map(|run| f64::from(u8::from(run.second))).collect();
        let time: Vec<f64> = day.iter().map(|run| run.seconds).collect();
        for (x, t) in off_line(&setting).0.into_iter().zip(off_line(&time).0) {
            cross += x * t;
            square += x * x;
            rest.push((x, t));
        }
    }
    // what is left of a setting that goes with the order is rounding
    if square <= 1e-9 * runs.len() as f64 {
        return Err(MetrologyError::NoSpread);
    }
    let taken: usize = days.iter().map(|day| day.len().min(2)).sum::<usize>() + 1;
    enough("runs", runs.len(), taken + 1)?;
    let freedom = runs.len() - taken;
    let difference = cross / square;
    let squares: f64 = rest.iter().map(|(x, t)| (t - difference * x).powi(2)).sum();
    let scatter = (squares / freedom as f64).sqrt();
    let standard_error = scatter / square.sqrt();
    let half = t_quantile(0.5 + 0.5 * confidence, freedom as f64) * standard_error;
    let drift = days
        .iter()
        .map(|day| {
            let cleared: Vec<f64> = day
                .iter()
                .map(|run| run.seconds - difference * f64::from(u8::from(run.second)))
                .collect();
            off_line(&cleared).1
        })
        .collect();
    Ok(RunComparison {
        difference,
        standard_error,
        freedom,
        interval: (difference - half, difference + half),
        drift,
        scatter,
    })
}

pub(super) fn enough(what: &'static str, have: usize, need: usize) -> Result<(), MetrologyError> {
    if have >= need {
        Ok(())
    } else {
        Err(MetrologyError::TooFew { what, have, need })
    }
}

/// Values less the straight line through them in their order, and the line's slope.
fn off_line(values: &[f64]) -> (Vec<f64>, Option<f64>) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let middle = (count - 1.0) / 2.0;
    let place = |n: usize| n as f64 - middle;
    let square: f64 = (0..values.len()).map(|n| place(n) * place(n)).sum();
    let slope = (square > 0.0).then(|| {
        let cross: f64 = values
            .iter()
            .enumerate()
            .map(|(n, value)| place(n) * (value - mean))
            .sum();
        cross / square
    });
    let off = values
        .iter()
        .enumerate()
        .map(|(n, value)| value - mean - slope.unwrap_or(0.0) * place(n))
        .collect();
    (off, slope)
}

/// How the order of a day is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum OrderScheme {
    /// From all orders in which both settings have as many runs and the same sum of order numbers, so that a steady drift
    /// falls out of the difference.
    Balanced,
    /// In blocks of four, each A-B-B-A or B-A-A-B.
    Blocks,
}

/// The orders that could have been drawn for a number of runs: `true` where the second setting is driven.
///
/// 2, 8, 58 and 526 balanced ones for 4, 8, 12 and 16 runs; 2 to the number of blocks. Input: a multiple of 4 up to
/// [`MOST_RUNS`]. Source: enumeration.
///
/// ```
/// use shimwright::metrology::{orders, OrderScheme};
/// assert_eq!(orders(OrderScheme::Balanced, 12)?.len(), 58);
/// assert_eq!(orders(OrderScheme::Blocks, 12)?.len(), 8);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
///
/// # Errors
///
/// Another number of runs.
pub fn orders(drawn: OrderScheme, runs: usize) -> Result<Vec<Vec<bool>>, MetrologyError> {
    if runs == 0 || !runs.is_multiple_of(4) || runs > MOST_RUNS {
        return Err(MetrologyError::NoBalance {
            runs,
            most: MOST_RUNS,
        });
    }
    Ok(match drawn {
        OrderScheme::Blocks => blocks(runs),
        OrderScheme::Balanced => {
            let mut found = Vec::new();
            let sum = runs * (runs + 1) / 4;
            extend(&mut Vec::new(), runs, runs / 2, sum, &mut found);
            found
        }
    })
}

/// Blocks of four, each A-B-B-A or B-A-A-B.
pub(super) fn blocks(runs: usize) -> Vec<Vec<bool>> {
    let block = |ways: usize, n: usize| matches!(n % 4, 1 | 2) != (ways >> (n / 4) & 1 == 1);
    (0..1_usize << (runs / 4))
        .map(|ways| (0..runs).map(|n| block(ways, n)).collect())
        .collect()
}

/// Goes on with an order in which the second setting still has `left` runs whose numbers add up to `sum`.
fn extend(order: &mut Vec<bool>, runs: usize, left: usize, sum: usize, found: &mut Vec<Vec<bool>>) {
    let next = order.len() + 1;
    if left == 0 {
        if sum == 0 {
            let mut whole = order.clone();
            whole.resize(runs, false);
            found.push(whole);
        }
        return;
    }
    // the least and the most that the rest can add up to
    let least = left * (2 * next + left - 1) / 2;
    let most = left * (2 * runs + 1 - left) / 2;
    if next + left > runs + 1 || sum < least || sum > most {
        return;
    }
    for second in [false, true] {
        if second && sum < next {
            continue;
        }
        order.push(second);
        let (left, sum) = if second {
            (left - 1, sum - next)
        } else {
            (left, sum)
        };
        extend(order, runs, left, sum, found);
        order.pop();
    }
}

/// The most orders of several days together that are looked at.
const MOST_ORDERS: usize = 300_000;

/// The orders that could have been drawn on several days, one after another, each day by itself.
///
/// Input: how many runs each day has, as [`orders`] takes them. Source: every day's order with every other day's.
///
/// ```
/// use shimwright::metrology::{orders_of_days, OrderScheme};
/// assert_eq!(orders_of_days(OrderScheme::Balanced, &[8, 4])?.len(), 8 * 2);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
///
/// # Errors
///
/// As [`orders`]; more than 300 000 orders together.
pub fn orders_of_days(drawn: OrderScheme, days: &[usize]) -> Result<Vec<Vec<bool>>, MetrologyError> {
    let mut from: Vec<Vec<bool>> = vec![Vec::new()];
    for runs in days {
        let of_day = orders(drawn, *runs)?;
        if from.len().saturating_mul(of_day.len()) > MOST_ORDERS {
            return Err(MetrologyError::TooManyOrders { most: MOST_ORDERS });
        }
        from = from
            .iter()
            .flat_map(|before| of_day.iter().map(|order| [before.as_slice(), order].concat()))
            .collect();
    }
    Ok(from)
}

/// How often the setting changes from run to run.
pub fn changes(order: &[bool]) -> usize {
    order.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

/// The least p that a permutation over these orders can reach. An order and the one with both settings exchanged say the
/// same, so it is two of them. Source: enumeration.
///
/// ```
/// use shimwright::metrology::{least_p, orders, OrderScheme};
/// assert!((least_p(&orders(OrderScheme::Balanced, 12)?) - 0.034).abs() < 5e-4);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn least_p(from: &[Vec<bool>]) -> f64 {
    (2.0 / from.len() as f64).min(1.0)
}

/// The exact two-sided p of a difference as large as the one seen, over the orders that could have been drawn; `None`
/// where the order that was driven is none of them, since then there is no exact p.
///
/// ```text
/// p = share of the orders with |Σ second − Σ first| ≥ that of the order driven
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | second, first | `seconds` of the runs with either setting, in their order | s |
/// | the order driven | `driven`, true for the second setting | –; as many as times |
/// | the orders | `from`, those that it was drawn from | –; each as many as times |
///
/// With as many runs of each setting, as [`orders`] has them, that is the difference of the means. Labels may only be
/// exchanged within what could have been drawn: exchanged freely after a line was taken out they give false alarms of
/// 29 %.
///
/// Source: permutation of the randomisation that was made (R. A. Fisher).
///
/// # Errors
///
/// Numbers of times and of the orders that differ; a time that is not finite.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{exact_p, orders, OrderScheme};
/// let from = orders(OrderScheme::Balanced, 8)?;
/// let times = [70.0, 69.0, 69.0, 70.0, 69.0, 70.0, 70.0, 69.0];
/// let order = [false, true, true, false, true, false, false, true];
/// assert_eq!(exact_p(&times, &order, &from)?, Some(0.25));
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn exact_p(seconds: &[f64], driven: &[bool], from: &[Vec<bool>]) -> Result<Option<f64>, MetrologyError> {
    for value in seconds {
        finite("a time in seconds", *value)?;
    }
    if seconds.len() != driven.len() || from.iter().any(|order| order.len() != driven.len()) {
        return Err(MetrologyError::ColumnsDiffer {
            x: driven.len(),
            y: seconds.len(),
        });
    }
    if !from.iter().any(|order| order == driven) {
        return Ok(None);
    }
    let statistic = |order: &[bool]| -> f64 {
        let signed = |(second, value): (&bool, &f64)| if *second { *value } else { -*value };
        order.iter().zip(seconds).map(signed).sum::<f64>().abs()
    };
    let seen = statistic(driven);
    // sums in another order may differ in their last digit
    let scale: f64 = seconds.iter().map(|value| value.abs()).sum();
    let as_large = from
        .iter()
        .filter(|order| statistic(order) >= seen - 1e-12 * scale)
        .count();
    Ok(Some(as_large as f64 / from.len() as f64))
}

/// How many runs, both settings together, would show a difference: the least multiple of 4 whose interval is no wider
/// than it to either side. `None` where 10 000 runs would not.
///
/// ```text
/// t((1 + p)/2; n − 3) · s · √(4/n) ≤ difference
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | n | the result | count, a multiple of 4 |
/// | s | `scatter` of one run | s, 0 and above |
/// | difference | `difference` | s, 0 and above |
/// | p | `confidence` | share, 0.5 to below 1 |
///
/// It holds in a balanced order.
///
/// Source: as [`compare_runs`].
///
/// # Errors
///
/// An input out of range.
///
/// # Example
///
/// ```
/// let needed = shimwright::metrology::runs_to_show(0.3, 0.2, 0.95)?;
/// assert_eq!(needed, Some(40));
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn runs_to_show(scatter: f64, difference: f64, confidence: f64) -> Result<Option<usize>, MetrologyError> {
    not_negative("the scatter of a run", scatter)?;
    not_negative("the difference to show", difference)?;
    confidence_from(0.5, confidence)?;
    Ok((1..=2500).map(|blocks| 4 * blocks).find(|runs| {
        let count = *runs as f64;
        let half = t_quantile(0.5 + 0.5 * confidence, count - 3.0) * scatter * (4.0 / count).sqrt();
        half <= difference
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(day: u32, second: bool, seconds: f64) -> Run {
        Run { day, second, seconds }
    }

    #[test]
    fn senseless_runs_are_refused() {
        let some = |seconds: f64| {
            let runs = [true, false, false, true, false, true].map(|second| run(1, second, 70.0));
            let mut runs = runs.to_vec();
            runs[0].seconds = seconds;
            compare_runs(&runs, 0.95)
        };
        assert!(matches!(some(f64::NAN), Err(MetrologyError::NotFinite { .. })));
        assert!(matches!(some(0.0), Err(MetrologyError::Negative { .. })));
        let one_setting: Vec<Run> = (0..8).map(|n| run(1, true, 70.0 + f64::from(n))).collect();
        assert_eq!(compare_runs(&one_setting, 0.95), Err(MetrologyError::NoSpread));
        assert!(matches!(
            compare_runs(&one_setting[..3], 0.95),
            Err(MetrologyError::TooFew { need: 4, .. })
        ));
        // two days of two runs each: a line a day and the setting leave nothing over
        let two: Vec<Run> = [(1, false), (1, true), (2, true), (2, false)]
            .map(|(day, second)| run(day, second, 70.0))
            .to_vec();
        assert!(compare_runs(&two, 0.95).is_err());
        assert!(compare_runs(&one_setting, 1.0).is_err());
    }

    #[test]
    fn only_multiples_of_four_can_be_balanced() {
        assert!(matches!(
            orders_of_days(OrderScheme::Balanced, &[16, 16, 4]),
            Err(MetrologyError::TooManyOrders { .. })
        ));
        assert_eq!(
            Run::of(1.0, 3.0, 70.0),
            Err(MetrologyError::NoSetting { setting: 3.0 })
        );
        for runs in [0, 2, 6, 10, 28] {
            assert!(matches!(
                orders(OrderScheme::Balanced, runs),
                Err(MetrologyError::NoBalance { .. })
            ));
        }
        let counts = [4, 8, 12, 16].map(|runs| orders(OrderScheme::Balanced, runs).unwrap().len());
        assert_eq!(counts, [2, 8, 58, 526]);
        for order in orders(OrderScheme::Balanced, 12).unwrap() {
            let sum: usize = (1..=12).filter(|n| order[n - 1]).sum();
            assert_eq!((order.iter().filter(|second| **second).count(), sum), (6, 39));
        }
    }

    #[test]
    fn an_order_that_could_not_have_been_drawn_has_no_exact_p() {
        let from = orders(OrderScheme::Balanced, 8).unwrap();
        let driven = [false, false, false, false, true, true, true, true];
        assert_eq!(exact_p(&[70.0; 8], &driven, &from), Ok(None));
        assert!(exact_p(&[70.0; 7], &driven, &from).is_err());
    }
}
