//! Orders of runs that are drawn before a day, and what they allow to be said after it.

use super::error::{MetrologyError, finite};
use super::runs::{MOST_RUNS, OrderScheme, blocks, changes, orders};
use super::stream::Stream;

/// The most orders of all days together that are looked at one by one; past it they are sampled.
const MOST_ORDERS: usize = 300_000;
/// How many orders are sampled where there are too many to look at.
pub const SAMPLED_ORDERS: usize = 20_000;
/// The most runs of a day whose order is drawn.
pub const MOST_DRAWN_RUNS: usize = 72;

/// From which orders one is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct OrderPlan {
    /// How they are balanced.
    pub scheme: OrderScheme,
    /// How many runs there are: a multiple of 4.
    pub runs: usize,
    /// Only those that change the setting so often at the most, where that is wanted.
    pub most_changes: Option<usize>,
}

impl OrderPlan {
    /// The orders, where they are few enough to be listed; `None` where they are drawn without a list.
    ///
    /// ```
    /// use shimwright::metrology::{OrderScheme, drawn::OrderPlan};
    /// let plan = |most_changes| OrderPlan { scheme: OrderScheme::Balanced, runs: 8, most_changes };
    /// assert_eq!(plan(None).orders()?.map(|all| all.len()), Some(8));
    /// // A-A-B-B-B-B-A-A and its mirror: two changes cost all that p could tell
    /// assert_eq!(plan(Some(2)).orders()?.map(|all| all.len()), Some(2));
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// A number of runs that can not be balanced; no order with so few changes; a limit of changes with more runs than are
    /// listed.
    pub fn orders(&self) -> Result<Option<Vec<Vec<bool>>>, MetrologyError> {
        let OrderPlan {
            scheme,
            runs,
            most_changes,
        } = *self;
        let refused = MetrologyError::NoBalance {
            runs,
            most: MOST_DRAWN_RUNS,
        };
        if runs == 0 || !runs.is_multiple_of(4) || runs > MOST_DRAWN_RUNS {
            return Err(refused);
        }
        let mut all = match scheme {
            _ if runs <= MOST_RUNS => orders(scheme, runs)?,
            OrderScheme::Blocks if runs <= 4 * 18 => blocks(runs),
            OrderScheme::Balanced | OrderScheme::Blocks if most_changes.is_some() => return Err(refused),
            OrderScheme::Balanced | OrderScheme::Blocks => return Ok(None),
        };
        if let Some(most) = most_changes {
            all.retain(|order| changes(order) <= most);
            if all.is_empty() {
                return Err(MetrologyError::TooFew {
                    what: "changes of the setting",
                    have: most,
                    need: 2,
                });
            }
        }
        Ok(Some(all))
    }

    /// The order that a seed draws, each as likely as another.
    ///
    /// # Errors
    ///
    /// As [`OrderPlan::orders`].
    pub fn draw(&self, seed: u64) -> Result<Vec<bool>, MetrologyError> {
        let mut stream = Stream::new(seed, 0);
        Ok(match self.orders()? {
            Some(all) => all.get(stream.below(all.len())).cloned().unwrap_or_default(),
            None => sampled(self.runs, &mut stream),
        })
    }

    /// The least p that a permutation over these orders can reach.
    ///
    /// # Errors
    ///
    /// As [`OrderPlan::orders`].
    pub fn least_p(&self) -> Result<f64, MetrologyError> {
        let count = self.orders()?.map_or(SAMPLED_ORDERS, |all| all.len());
        Ok((2.0 / count as f64).min(1.0))
    }
}

/// One of all balanced orders: orders of as many runs of each are drawn until the sums of their numbers are equal.
fn sampled(runs: usize, stream: &mut Stream) -> Vec<bool> {
    let sum = runs * (runs + 1) / 4;
    loop {
        let mut order: Vec<bool> = (0..runs).map(|n| n < runs / 2).collect();
        for n in (1..runs).rev() {
            order.swap(n, stream.below(n + 1));
        }
        let numbers = order.iter().zip(1_usize..).filter(|(second, _)| **second);
        if numbers.map(|(_, number)| number).sum::<usize>() == sum {
            return order;
        }
    }
}

/// An order of three settings, 0 to 2: blocks of six, each an order of the three and the same backwards, so that a steady
/// drift falls out of each difference.
///
/// Source: enumeration; without the runs of one setting, a block is A-B-B-A or B-A-A-B of the other two.
///
/// ```
/// use shimwright::metrology::drawn::draw_three;
/// let order = draw_three(6, 1)?;
/// assert_eq!(order[..3], [order[5], order[4], order[3]]);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
///
/// # Errors
///
/// A number of runs that is no multiple of 6, or above 72.
pub fn draw_three(runs: usize, seed: u64) -> Result<Vec<usize>, MetrologyError> {
    if runs == 0 || !runs.is_multiple_of(6) || runs > MOST_DRAWN_RUNS {
        return Err(MetrologyError::NoThree {
            runs,
            most: MOST_DRAWN_RUNS,
        });
    }
    const WAYS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    let mut stream = Stream::new(seed, 0);
    let mut order = Vec::with_capacity(runs);
    for _ in 0..runs / 6 {
        let way = WAYS[stream.below(WAYS.len())];
        order.extend(way);
        order.extend(way.iter().rev());
    }
    Ok(order)
}

/// A day whose order was drawn, as it was driven.
#[derive(Clone, PartialEq, Debug)]
pub struct DrawnDay {
    /// From which orders.
    pub plan: OrderPlan,
    /// The times of the runs in seconds.
    pub seconds: Vec<f64>,
    /// Which runs had the second setting.
    pub driven: Vec<bool>,
}

/// What a permutation over the orders that could have been drawn comes to.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct DrawnP {
    /// The two-sided p.
    pub p: f64,
    /// The least that it could have been.
    pub least: f64,
    /// How many orders there were, or how many were sampled.
    pub orders: usize,
    /// Whether they were sampled, so that p is not exact.
    pub sampled: bool,
}

/// The two-sided p of a difference as large as the one seen over several days, each permuted over the orders that could have
/// been drawn for it; `None` where an order was driven that could not.
///
/// ```text
/// S = Σ second − Σ first,   p = share of the orders with |S| ≥ |S of the orders driven|
/// sampled: p = (1 + number of such draws)/(1 + draws)
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | p | the result | share |
/// | second, first | `seconds` of the runs of all `days` with either setting | s |
/// | draws | 20 000 | count |
/// | the seed of the sample | `seed` | – |
///
/// Exact up to 300 000 orders of all days together, so that 12 runs of each setting are, and sampled past that; which of both
/// is said.
///
/// Source: permutation of the randomisation that was made (R. A. Fisher); the sampled p as B. Phipson and G. K. Smyth, 2010,
/// have it, which is never 0.
///
/// # Errors
///
/// A time that is not finite; numbers that differ; as [`OrderPlan::orders`].
///
/// # Example
///
/// ```
/// use shimwright::metrology::{OrderScheme, drawn::{DrawnDay, OrderPlan, drawn_p}};
/// let plan = OrderPlan { scheme: OrderScheme::Balanced, runs: 8, most_changes: None };
/// let day = DrawnDay {
///     plan,
///     seconds: vec![70.0, 69.0, 69.0, 70.0, 69.0, 70.0, 70.0, 69.0],
///     driven: vec![false, true, true, false, true, false, false, true],
/// };
/// let found = drawn_p(&[day.clone(), day], 1)?.unwrap();
/// assert_eq!((found.p, found.orders), (2.0 / 64.0, 64));
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn drawn_p(days: &[DrawnDay], seed: u64) -> Result<Option<DrawnP>, MetrologyError> {
    let mut lists: Vec<Option<Vec<f64>>> = Vec::new();
    let (mut seen, mut scale, mut count) = (0.0, 0.0, 1_usize);
    for day in days {
        for value in &day.seconds {
            finite("a time in seconds", *value)?;
            scale += value.abs();
        }
        if day.seconds.len() != day.driven.len() || day.seconds.len() != day.plan.runs {
            return Ok(None);
        }
        seen += signed(&day.driven, &day.seconds);
        let all = day.plan.orders()?;
        if let Some(all) = &all
            && !all.contains(&day.driven)
        {
            return Ok(None);
        }
        if all.is_none() && !is_balanced(&day.driven) {
            return Ok(None);
        }
        count = count.saturating_mul(all.as_ref().map_or(usize::MAX, Vec::len));
        lists.push(all.map(|all| all.iter().map(|order| signed(order, &day.seconds)).collect()));
    }
    // sums in another order may differ in their last digit
    let far = |sum: f64| sum.abs() >= seen.abs() - 1e-12 * scale;
    if days.is_empty() {
        return Ok(None);
    }
    if count > MOST_ORDERS {
        let mut stream = Stream::new(seed, 0);
        let mut as_far = 0_usize;
        for _ in 0..SAMPLED_ORDERS {
            let drawn = days.iter().zip(&lists).map(|(day, list)| match list {
                Some(list) => list.get(stream.below(list.len())).copied().unwrap_or(0.0),
                None => signed(&sampled(day.plan.runs, &mut stream), &day.seconds),
            });
            as_far += usize::from(far(drawn.sum()));
        }
        let all = (1 + SAMPLED_ORDERS) as f64;
        return Ok(Some(DrawnP {
            p: (1 + as_far) as f64 / all,
            least: 1.0 / all,
            orders: SAMPLED_ORDERS,
            sampled: true,
        }));
    }
    let mut sums = vec![0.0];
    for list in lists.iter().flatten() {
        sums = sums
            .iter()
            .flat_map(|sum| list.iter().map(move |more| sum + more))
            .collect();
    }
    let as_far = sums.iter().filter(|sum| far(**sum)).count();
    Ok(Some(DrawnP {
        p: as_far as f64 / sums.len() as f64,
        least: (2.0 / sums.len() as f64).min(1.0),
        orders: sums.len(),
        sampled: false,
    }))
}

fn is_balanced(order: &[bool]) -> bool {
    let numbers = order.iter().zip(1_usize..).filter(|(second, _)| **second);
    let (count, sum) = numbers.fold((0, 0), |(count, sum), (_, number)| (count + 1, sum + number));
    2 * count == order.len() && 4 * sum == order.len() * (order.len() + 1)
}

/// The times with the second setting less those with the first.
fn signed(order: &[bool], seconds: &[f64]) -> f64 {
    let one = |(second, value): (&bool, &f64)| if *second { *value } else { -*value };
    order.iter().zip(seconds).map(one).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(scheme: OrderScheme, runs: usize, most_changes: Option<usize>) -> OrderPlan {
        OrderPlan {
            scheme,
            runs,
            most_changes,
        }
    }

    #[test]
    fn an_order_is_drawn_again_by_its_seed_and_is_one_of_those_it_was_drawn_from() {
        for (scheme, runs) in [
            (OrderScheme::Balanced, 12),
            (OrderScheme::Blocks, 12),
            (OrderScheme::Blocks, 40),
            (OrderScheme::Balanced, 40),
        ] {
            let plan = plan(scheme, runs, None);
            for seed in 0..5 {
                let order = plan.draw(seed).unwrap();
                assert_eq!(order, plan.draw(seed).unwrap());
                assert!(is_balanced(&order), "{order:?}");
                if let Some(all) = plan.orders().unwrap() {
                    assert!(all.contains(&order));
                }
            }
        }
        assert_eq!(
            plan(OrderScheme::Blocks, 40, None)
                .orders()
                .unwrap()
                .map(|all| all.len()),
            Some(1024)
        );
    }

    #[test]
    fn fewer_changes_leave_fewer_orders() {
        let counts: Vec<usize> = [2, 3, 4, 5, 6, 11]
            .map(|most| {
                plan(OrderScheme::Balanced, 12, Some(most))
                    .orders()
                    .unwrap()
                    .unwrap()
                    .len()
            })
            .to_vec();
        assert!(
            counts.is_sorted() && counts[0] == 2 && counts[5] == 58,
            "{counts:?}"
        );
        assert!(plan(OrderScheme::Balanced, 12, Some(1)).orders().is_err());
        assert!(plan(OrderScheme::Balanced, 28, Some(4)).orders().is_err());
        for runs in [0, 6, 76] {
            assert!(plan(OrderScheme::Balanced, runs, None).draw(1).is_err());
        }
    }

    #[test]
    fn three_settings_are_balanced_pair_by_pair() {
        for seed in 0..20 {
            let order = draw_three(12, seed).unwrap();
            for out in 0..3 {
                let pair: Vec<bool> = order
                    .iter()
                    .filter(|setting| **setting != out)
                    .map(|setting| *setting == (out + 1) % 3)
                    .collect();
                assert!(orders(OrderScheme::Blocks, 8).unwrap().contains(&pair));
            }
        }
        assert!(draw_three(8, 1).is_err());
    }

    #[test]
    fn a_sample_comes_to_what_all_orders_come_to() {
        let plan = plan(OrderScheme::Balanced, 12, None);
        let driven = plan.draw(3).unwrap();
        let mut stream = Stream::new(5, 1);
        let seconds: Vec<f64> = driven
            .iter()
            .map(|second| 70.0 + 0.15 * f64::from(u8::from(*second)) + 0.2 * stream.normal())
            .collect();
        let day = DrawnDay {
            plan,
            seconds,
            driven,
        };
        let exact = drawn_p(&[day.clone(), day.clone(), day.clone()], 1)
            .unwrap()
            .unwrap();
        assert!(!exact.sampled && exact.orders == 58 * 58 * 58);
        let four = vec![day; 4];
        let sampled = drawn_p(&four, 1).unwrap().unwrap();
        assert!(sampled.sampled && sampled.least < sampled.p && sampled.p < exact.p + 0.02);
        assert_eq!(drawn_p(&[], 1), Ok(None));
    }

    #[test]
    fn what_was_not_drawn_has_no_p() {
        let plan = plan(OrderScheme::Balanced, 4, None);
        let day = |driven: [bool; 4]| DrawnDay {
            plan,
            seconds: vec![70.0; 4],
            driven: driven.to_vec(),
        };
        assert!(drawn_p(&[day([true, false, false, true])], 1).unwrap().is_some());
        assert_eq!(drawn_p(&[day([true, true, false, false])], 1), Ok(None));
        let mut short = day([true, false, false, true]);
        short.seconds.pop();
        assert_eq!(drawn_p(&[short], 1), Ok(None));
    }
}
