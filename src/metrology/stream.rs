//! Random numbers from a seed, the same on every machine.

use super::random::Generator;

/// Random numbers one after another, for what is made up rather than simulated. The same seed and name of the stream
/// give the same numbers on every machine, so what was drawn can be drawn again.
///
/// ```
/// use shimwright::metrology::Stream;
/// let mut one = Stream::new(7, 1);
/// let mut same = Stream::new(7, 1);
/// assert_eq!(one.below(1000), same.below(1000));
/// assert!((-9.0..9.0).contains(&one.normal()));
/// let share = Stream::new(7, 2).between(0.2, 0.3);
/// assert!((0.2..0.3).contains(&share));
/// ```
pub struct Stream(Generator);

impl Stream {
    /// Stream `number` of a seed. Streams of one seed do not follow from each other.
    pub fn new(seed: u64, number: u64) -> Stream {
        Stream(Generator::new(seed, number))
    }

    /// Between two ends, each value as likely as another.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.unit()
    }

    /// One value of the standard normal distribution.
    pub fn normal(&mut self) -> f64 {
        self.0.normal()
    }

    /// A whole number from 0 up to, but not including, `count`; 0 where `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        // the product of a number below 1 with a count of this size rounds up to the count too seldom to be seen
        ((self.0.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// True as often as `share` says.
    pub fn chance(&mut self, share: f64) -> bool {
        self.0.unit() < share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_below_a_count_comes_about_as_often() {
        let mut stream = Stream::new(3, 0);
        let mut counts = [0_u32; 5];
        for _ in 0..50_000 {
            counts[stream.below(5)] += 1;
        }
        // binomial: 10 000 with a standard deviation of 89; five of them allowed
        assert!(
            counts.iter().all(|count| count.abs_diff(10_000) < 450),
            "{counts:?}"
        );
        assert_eq!(stream.below(0), 0);
    }
}
