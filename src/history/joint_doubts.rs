//! What leaves the difference of two builds' values in doubt: what they share falls out of it.

use super::account::{Account, UncertainLength};
use super::doubts::{CALIBRATION, Doubt, READINGS};
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

    /// The standard uncertainty of them all.
    pub fn whole(&self) -> f64 {
        let squares = self.0.iter().map(|(_, standard)| standard * standard);
        squares.sum::<f64>().sqrt()
    }

    /// The same of a value that goes so far for each of this one.
    pub(super) fn times(mut self, times: f64) -> Doubts {
        for (_, standard) in &mut self.0 {
            *standard *= times.abs();
        }
        self
    }
}

fn component(account: &Account, doubt: &Doubt) -> Component {
    let gauge = Some(&doubt.calibration_of).filter(|gauge| !gauge.is_empty() && !account.copied);
    Component {
        name: doubt.source.clone(),
        standard: doubt.standard,
        shared: gauge.map(|gauge| {
            let used = account.instruments.iter().find(|one| one.id == *gauge);
            format!("{gauge} to {}", used.map_or("", |one| one.due.as_str()))
        }),
        dof: f64::INFINITY,
    }
}

/// Those of a length, in millimetres, with these standard uncertainties by zeros.
pub(super) fn of_length(length: &UncertainLength, zeros: f64) -> Vec<Doubt> {
    let mut doubts = vec![
        Doubt::own(READINGS, length.own(None).mm()),
        Doubt::own("zeros of the gauges", zeros),
    ];
    doubts.extend(length.shared.iter().map(|(gauge, standard)| Doubt {
        source: format!("{CALIBRATION} of {gauge}"),
        calibration_of: gauge.clone(),
        standard: standard.mm(),
    }));
    doubts
}
