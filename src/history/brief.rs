//! What all builds of a unit say together, in short: what a list of units needs, and which parts they have.

use super::account::{Account, Parts};
use super::fleet::FleetUnit;
use crate::report::ReportError;
use serde::{Deserialize, Serialize};

/// A unit in short.
///
/// It follows from the accounts of its builds and is never the record itself: one that was kept may be thrown away and
/// made again.
///
/// ```
/// use shimwright::history::{Account, UnitBrief};
/// let account = Account { build: "moor-rear-0001".into(), unit: "moor-rear".into(), ..Account::default() };
/// let brief = UnitBrief::of("moor-rear", &[account]);
/// assert_eq!((brief.unit.builds, &*brief.unit.unit), (1, "moor-rear"));
/// assert_eq!(UnitBrief::from_json(&brief.to_json()?)?, brief);
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitBrief {
    /// The unit as the list of all units shows it.
    pub unit: FleetUnit,
    /// The parts of its plates.
    pub parts: Parts,
    /// Whether a build says nothing of any plate, so that it can not be told which parts it has.
    pub untold: bool,
}

impl UnitBrief {
    /// Sums a unit up from its builds, the first to be begun first.
    pub fn of(unit: &str, accounts: &[Account]) -> UnitBrief {
        UnitBrief {
            unit: FleetUnit::of(unit, accounts),
            parts: Parts::of(accounts),
            untold: accounts.iter().any(|account| account.plates.is_empty()),
        }
    }

    /// Whether a build of it may have one of some parts.
    pub fn may_have(&self, parts: &Parts) -> bool {
        self.untold || self.parts.meet(parts)
    }

    /// The brief as one line of JSON, without a newline.
    ///
    /// # Errors
    ///
    /// It can not be written.
    pub fn to_json(&self) -> Result<String, ReportError> {
        serde_json::to_string(self).map_err(ReportError::of)
    }

    /// Reads a brief from a line of JSON.
    ///
    /// # Errors
    ///
    /// A line that is none, such as one of another version.
    pub fn from_json(line: &str) -> Result<UnitBrief, ReportError> {
        serde_json::from_str(line).map_err(ReportError::of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::history::{Along, Due, DueWhat, FleetState, Forecast, PlateAccount, UsedInstrument, Wearing};
    use crate::metrology::Verdict;
    use crate::quantity::{Length, Torque};

    fn with(part: &str) -> Account {
        Account {
            plates: vec![PlateAccount {
                part: part.to_string(),
                ..PlateAccount::default()
            }],
            ..Account::default()
        }
    }

    #[test]
    fn a_brief_comes_back_as_it_was_written() {
        let torque = |nm| Torque::from_newton_metres(nm).unwrap();
        for verdict in [Verdict::Inside, Verdict::TooCloseToCall, Verdict::Outside] {
            for (state, along) in FleetState::ALL
                .iter()
                .zip([Along::Kilometres, Along::Hours].iter().cycle())
            {
                let mut brief = UnitBrief::of("a", &[with("P-17"), with("P \"18\"")]);
                brief.unit.state = *state;
                brief.unit.since = Some((0.1 + 0.2, *along));
                brief.unit.forecast = Some(Forecast {
                    what: Wearing::Plate("G2".to_string()),
                    earliest: 1e6 / 3.0,
                    along: *along,
                    or_sooner: true,
                });
                let plate = DueWhat::Plate {
                    name: "G2".to_string(),
                    least: Length::from_nm(1_873_301),
                    limit: Length::from_um(1850),
                };
                let breakaway = DueWhat::Breakaway {
                    torque: torque(61.3),
                    window: [torque(55.0), torque(75.1)],
                };
                brief.unit.due = [plate, breakaway]
                    .map(|what| Due {
                        what,
                        build: "a-0001".to_string(),
                        left: -0.123_456_789_012_345_67,
                        verdict,
                    })
                    .to_vec();
                brief.unit.damaged = vec![("a-0002".to_string(), "\u{1b} \"line\"\n3".to_string())];
                brief.unit.instruments = vec![UsedInstrument {
                    id: "M1".to_string(),
                    ..UsedInstrument::default()
                }];
                assert_eq!(UnitBrief::from_json(&brief.to_json().unwrap()).unwrap(), brief);
            }
        }
    }

    #[test]
    fn a_brief_is_passed_over_only_where_no_build_can_have_the_part() {
        let wanted = Parts::of(&[with("P-17")]);
        let brief = |accounts: &[Account]| UnitBrief::of("a", accounts).may_have(&wanted);
        assert!(brief(&[with("P-16"), with("P-17")]));
        assert!(!brief(&[with("P-16"), with("P-171")]));
        assert!(brief(&[with("P-16"), Account::default()]));
    }
}
