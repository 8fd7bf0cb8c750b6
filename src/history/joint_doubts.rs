//! What leaves the difference of two builds' values in doubt: what they share falls out of it.

use super::account::{Account, UncertainLength};
use super::doubts::{Doubt, READINGS};
use crate::metrology::{Budget, Component, stack};

/// The sources of the difference of two builds' values, by name, with their standard uncertainties.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Doubts(pub Vec<(String, f64)>);

impl Doubts {
    /// Of what a later build has more than an earlier one. A calibration counts as it is in the difference, unless the instrument was
    /// calibrated between, or is only the one that an old paper is taken to mean.
    pub(super) fn between(before: (&Account, &[Doubt]), after: (&Account, &[Doubt])) -> Doubts {
        let budget = |(account, doubts): (&Account, &[Doubt])| Budget {
            components: doubts.iter().map(|doubt| component(account, doubt)).collect(),
        };
        let joined = stack(&[(budget(after), 1), (budget(before), -1)]);
        let mut all: Vec<(String, f64)> = Vec::new();
        for one in joined.components {
            match all.iter_mut().find(|(name, _)| *name == one.name) {
                Some((_, standard)) => *standard = standard.hypot(one.standard),
                None => all.push((one.name, one.standard.abs())),
            }
        }
        Doubts(all)
    }

    /// The three largest by name, each a share of the whole variance.
    ///
    /// ```
    /// use shimwright::history::joint_doubts::Doubts;
    /// let doubts = Doubts(vec![("wrench".into(), 3.0), ("drag".into(), 4.0)]);
    /// assert_eq!(doubts.parts(), [("drag".to_string(), 0.64), ("wrench".to_string(), 0.36)]);
    /// ```
    pub fn parts(&self) -> Vec<(String, f64)> {
        largest(self.shares().collect())
    }

    /// Every source as a share of the whole variance.
    pub(super) fn shares(&self) -> impl Iterator<Item = (String, f64)> {
        let square = self.whole() * self.whole();
        let sources = self.0.iter();
        sources.map(move |(name, standard)| (name.clone(), standard * standard / square))
    }

    /// The largest of them half as much, in words, and the whole standard uncertainty that is left then.
    pub fn halved(&self) -> Option<(String, f64)> {
        let (name, standard) = self.0.iter().max_by(|one, other| one.1.total_cmp(&other.1))?;
        let left = self.whole() * self.whole() - 0.75 * standard * standard;
        Some((format!("{name} half as much"), left.max(0.0).sqrt()))
    }

    /// The standard uncertainty of them all.
    pub fn whole(&self) -> f64 {
        let squares = self.0.iter().map(|(_, standard)| standard * standard);
        squares.sum::<f64>().sqrt()
    }

    /// The root mean square of several, source by source, each with its weight.
    pub(super) fn mean(weighed: &[(f64, &Doubts)]) -> Doubts {
        let weights: f64 = weighed.iter().map(|(weight, _)| weight * weight).sum();
        let mut all: Vec<(String, f64)> = Vec::new();
        for (weight, doubts) in weighed {
            for (name, standard) in &doubts.0 {
                let part = weight * standard / weights.sqrt();
                match all.iter_mut().find(|(known, _)| known == name) {
                    Some((_, sum)) => *sum = sum.hypot(part),
                    None => all.push((name.clone(), part)),
                }
            }
        }
        // what weighs nothing draws no line, and has no doubt
        all.retain(|(_, standard)| standard.is_finite());
        Doubts(all)
    }

    /// The same of a value that goes so far for each of this one.
    pub(super) fn times(mut self, times: f64) -> Doubts {
        for (_, standard) in &mut self.0 {
            *standard *= times.abs();
        }
        self
    }
}

/// The three largest shares, the largest first; what is no share at all is left out.
pub(super) fn largest(mut shares: Vec<(String, f64)>) -> Vec<(String, f64)> {
    shares.retain(|(_, share)| *share > 0.0);
    shares.sort_by(|one, other| other.1.total_cmp(&one.1));
    shares.truncate(3);
    shares
}

fn component(account: &Account, doubt: &Doubt) -> Component {
    let gauge = Some(&doubt.calibration_of).filter(|gauge| !gauge.is_empty() && !account.copied);
    Component {
        name: doubt.source.clone(),
        standard: doubt.standard,
        shared: gauge.and_then(|gauge| {
            let used = account.instruments.iter().find(|one| one.id == *gauge)?;
            Some(format!("{gauge} to {}", used.due))
        }),
        dof: f64::INFINITY,
    }
}

/// Those of a length, in millimetres, with these standard uncertainties by zeros.
pub(super) fn of_length(length: &UncertainLength, zeros: f64) -> Vec<Doubt> {
    let mut doubts = vec![
        Doubt::own(READINGS, length.own_mm()),
        Doubt::own("zeros of the gauges", zeros),
    ];
    let shared = length.shared.iter();
    doubts.extend(shared.map(|(gauge, standard)| Doubt::calibration(gauge, standard.mm())));
    doubts
}
