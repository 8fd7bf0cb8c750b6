//! Tests for answers that have an order and no size: signs and ranks, every way counted.

use super::error::MetrologyError;

/// The exact two-sided p of a sign test: of pairs that differ, so many one way and so many the other.
///
/// ```text
/// p = min(1, 2·P(X ≤ min(more, less)))
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | more | `more` pairs that differ one way | count |
/// | less | `less`, those the other way | count |
/// | X | binomial of all of them with one half | count |
///
/// For felt answers in words, which have an order and no size.
///
/// Source: binomial distribution.
///
/// # Example
///
/// ```
/// let p = shimwright::metrology::sign_test(7, 1);
/// assert!((p - 0.0703125).abs() < 1e-12);
/// ```
pub fn sign_test(more: usize, less: usize) -> f64 {
    let count = more + less;
    let mut term = 0.5_f64.powi(i32::try_from(count).unwrap_or(i32::MAX));
    let mut sum = 0.0;
    for n in 0..=more.min(less) {
        sum += term;
        term *= (count - n) as f64 / (n + 1) as f64;
    }
    (2.0 * sum).min(1.0)
}

/// The exact interval of a share by what was counted: so many hits of so many.
///
/// ```text
/// low: P(X ≥ hits; n, low) = (1 − c)/2        high: P(X ≤ hits; n, high) = (1 − c)/2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | low, high | the result; 0 without a hit, 1 with hits alone | share |
/// | hits | `hits` | count, of n at most |
/// | n | `count` | count |
/// | c | `confidence` | share, between 0 and 1 |
///
/// Source: C. J. Clopper and E. S. Pearson, 1934.
///
/// # Example
///
/// ```
/// let (low, high) = shimwright::metrology::share_interval(7, 10, 0.95);
/// assert!((low - 0.3475).abs() < 1e-4 && (high - 0.9333).abs() < 1e-4);
/// ```
pub fn share_interval(hits: usize, count: usize, confidence: f64) -> (f64, f64) {
    let tail = (1.0 - confidence) / 2.0;
    // P(X ≤ hits) falls as the share rises
    let upto = |hits: usize, share: f64| -> f64 {
        let (mut ways, mut sum) = (0.0_f64, 0.0);
        for n in 0..=hits {
            let rest = count - n;
            sum += (ways + n as f64 * share.ln() + rest as f64 * (1.0 - share).ln()).exp();
            ways += (rest as f64 / (n + 1) as f64).ln();
        }
        sum
    };
    let share_at = |hits: usize, wanted: f64| -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            match upto(hits, middle) > wanted {
                true => low = middle,
                false => high = middle,
            }
        }
        (low + high) / 2.0
    };
    let low = match hits.min(count).checked_sub(1) {
        None => 0.0,
        Some(below) => share_at(below, 1.0 - tail),
    };
    let high = match hits >= count {
        true => 1.0,
        false => share_at(hits, tail),
    };
    (low, high)
}

/// The exact two-sided p that two groups of ordered answers are alike, ties and all, by the sum of ranks.
///
/// ```text
/// p = share of all ways to part the answers into groups of these sizes whose sum of ranks lies as far from its mean
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | the answers | `first`, `second` | whole steps of a scale; 1 in each at least, 60 together at most |
///
/// Ranks of ties are their mean.
///
/// Source: F. Wilcoxon, 1945; every way is counted.
///
/// # Errors
///
/// An empty group; more than 60 answers.
///
/// # Example
///
/// ```
/// // five steps of a scale, 1 to 5: two of ten answers in twenty lie as far apart
/// let p = shimwright::metrology::rank_sum(&[1, 2, 2], &[3, 4, 5])?;
/// assert!((p - 0.1).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn rank_sum(first: &[i64], second: &[i64]) -> Result<f64, MetrologyError> {
    rank_sum_of_days(&[(first.to_vec(), second.to_vec())])
}

/// The exact two-sided p that two groups of ordered answers are alike, over several days: answers are only exchanged within
/// their day, and the sums of ranks within each are added.
///
/// ```text
/// W = Σ over the days of (sum of ranks of the first group − its mean),   p = share of all ways with |W| as large
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | the answers of a day | `days`: first group, second group | whole steps of a scale; a day without answers of both counts for nothing; 60 a day at most |
///
/// With one day it is the rank sum test with ties.
///
/// Source: F. Wilcoxon, 1945; stratified as P. van Elteren, 1960, with equal weights; every way is counted.
///
/// # Errors
///
/// No day with answers of both groups; more than 60 answers in one.
///
/// # Example
///
/// ```
/// use shimwright::metrology::rank_sum_of_days;
/// let day = (vec![1, 2, 2], vec![3, 4, 5]);
/// assert!((rank_sum_of_days(&[day.clone()])? - 0.1).abs() < 1e-12);
/// assert!((rank_sum_of_days(&[day.clone(), day])? - 0.005).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn rank_sum_of_days(days: &[(Vec<i64>, Vec<i64>)]) -> Result<f64, MetrologyError> {
    // how likely each sum of doubled ranks is, less its mean, from the least
    let mut all = (0_i64, vec![1.0]);
    let (mut seen, mut compared) = (0_i64, false);
    for (first, second) in days {
        if first.is_empty() || second.is_empty() {
            continue;
        }
        let (least, shares, off) = ranks_of(first, second)?;
        let mut joined = vec![0.0; all.1.len() + shares.len() - 1];
        for (at, one) in all.1.iter().enumerate() {
            for (more, share) in shares.iter().enumerate() {
                joined[at + more] += one * share;
            }
        }
        all = (all.0 + least, joined);
        seen += off;
        compared = true;
    }
    if !compared {
        return Err(MetrologyError::TooFew {
            what: "answers in a group",
            have: 0,
            need: 1,
        });
    }
    let far = all
        .1
        .iter()
        .zip(all.0..)
        .filter(|(_, off)| off.abs() >= seen.abs());
    Ok(far.map(|(share, _)| share).sum::<f64>().min(1.0))
}

/// The least doubled sum of ranks of the first group less its mean, how likely each from there on is, and the one seen.
fn ranks_of(first: &[i64], second: &[i64]) -> Result<(i64, Vec<f64>, i64), MetrologyError> {
    let count = first.len() + second.len();
    if count > 60 {
        return Err(MetrologyError::TooManyDraws {
            draws: count,
            most: 60,
        });
    }
    let mut all: Vec<i64> = first.iter().chain(second).copied().collect();
    all.sort_unstable();
    // twice the mean rank of ties is a whole number
    let twice = |value: i64| {
        let below = all.partition_point(|other| *other < value);
        let upto = all.partition_point(|other| *other <= value);
        below + upto + 1
    };
    let ranks: Vec<usize> = all.iter().map(|value| twice(*value)).collect();
    let seen: usize = first.iter().map(|value| twice(*value)).sum();
    let most: usize = ranks.iter().sum();
    // ways[k][s]: how many ways to take k answers whose doubled ranks add up to s
    let mut ways = vec![vec![0.0_f64; most + 1]; first.len() + 1];
    ways[0][0] = 1.0;
    for rank in ranks {
        for taken in (1..=first.len()).rev() {
            for sum in (rank..=most).rev() {
                ways[taken][sum] += ways[taken - 1][sum - rank];
            }
        }
    }
    let total: f64 = ways[first.len()].iter().sum();
    let mean = (first.len() * (count + 1)) as i64;
    let shares = ways[first.len()].iter().map(|ways| ways / total).collect();
    Ok((-mean, shares, seen as i64 - mean))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_answers_are_alike() {
        assert!((rank_sum(&[3, 3, 3], &[3, 3]).unwrap() - 1.0).abs() < 1e-12);
        assert!(rank_sum(&[], &[1]).is_err());
        assert!(rank_sum_of_days(&[(vec![1], vec![])]).is_err());
        assert!((sign_test(0, 0) - 1.0).abs() < 1e-12 && (sign_test(4, 4) - 1.0).abs() < 1e-12);
    }
}
