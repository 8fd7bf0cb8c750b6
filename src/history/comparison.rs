//! Two builds side by side: what changed, and whether it did.

use super::account::{Account, PackAccount, SpringAccount, UncertainLength};
use super::display_units::MICROMETRES;
use super::doubts::{Doubt, springs_differ};
use super::joint_doubts::{Doubts, of_length};
use super::known::Known;
use super::measure::{InstrumentRole, Measure, Word, place_word, sprung_words, stored};
use super::tracks::Tracks;
use super::wear::Along;
use crate::mechanics::{Held, Keying};
use crate::quantity::{Force, Length, Torque};

/// An uncertainty is told with this factor: about 95 %.
pub(super) const COVERAGE: f64 = 2.0;

/// What can be said of a change between two builds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Judged {
    /// It is more than the doubt of both values allows, or it is no measured value and differs.
    Changed,
    /// It is within what can be told.
    Within,
    /// The two were not come by alike.
    NotComparable,
}

impl Judged {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Judged::Changed => "changed",
            Judged::Within => "within what can be told",
            Judged::NotComparable => "not comparable",
        }
    }
}

/// One thing in two builds.
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// What.
    pub what: String,
    /// What the plate is keyed to; `None` where it is no plate.
    pub keyed: Option<Keying>,
    /// What it measures, and so what its numbers are of.
    pub measure: Measure,
    /// How many decimals it is shown with.
    pub decimals: usize,
    /// In the earlier build.
    pub before: f64,
    /// In the later.
    pub after: f64,
    /// Expanded uncertainty of the difference (k = 2); `None` where it can not be said.
    pub doubt: Option<f64>,
    /// The standard uncertainties that it is made of; empty where it can not be said.
    pub doubts: Doubts,
    /// What can be said of it.
    pub judged: Judged,
    /// Why it can not be compared, or what is to be minded; empty where there is nothing.
    pub why: String,
}

impl Change {
    /// The later less the earlier.
    pub fn difference(&self) -> f64 {
        self.after - self.before
    }
}

/// What plates lost between two builds, in micrometres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lost {
    /// How many were measured both times.
    pub plates: usize,
    /// Of how many the loss can be told.
    pub told: usize,
    /// On the mean.
    pub mean: f64,
    /// The least of them.
    pub least: f64,
    /// The greatest of them.
    pub most: f64,
}

/// Words in two builds that are not the same.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unlike {
    /// What.
    pub what: String,
    /// In the earlier build.
    pub before: String,
    /// In the later.
    pub after: String,
}

/// Two builds side by side.
#[derive(Clone, PartialEq, Debug)]
pub struct Comparison {
    /// The earlier build.
    pub before: String,
    /// The later one.
    pub after: String,
    /// How far the unit went from the one to the other, and what that is counted in, where it is the same unit and each
    /// build between them says it; below 0 where the second is the earlier one.
    pub gone: Option<(f64, Along)>,
    /// Measured values that both have.
    pub changes: Vec<Change>,
    /// The plates that both measured, by their part.
    pub plates: Vec<Change>,
    /// What is said in words and differs.
    pub differs: Vec<Unlike>,
    /// Plates that only one of the two has: the build, and their names.
    pub alone: Vec<(String, Vec<String>)>,
    /// What is to be minded.
    pub told: Vec<String>,
}

impl Comparison {
    /// How far a unit went from one of its builds to another, by its accounts in order of time, and what that is counted in;
    /// `None` where a distance on the way is not known. One that is not finished counts where it is one of the two.
    ///
    /// ```
    /// use shimwright::quantity::Distance;
    /// use shimwright::history::{Account, Along, Comparison};
    /// let build = |n: u32| Account {
    ///     build: format!("moor-000{n}"),
    ///     unit: "moor".into(),
    ///     finished: Some("2026-05-01T10:00:00Z".into()),
    ///     distance: Distance::from_kilometres(1000.0).ok(),
    ///     packs: vec![shimwright::history::PackAccount { plates_left: Some(vec![]), ..Default::default() }],
    ///     ..Account::default()
    /// };
    /// let builds = [build(1), build(2), build(3)];
    /// let gone = Comparison::gone_between(&builds, "moor-0001", "moor-0003");
    /// assert_eq!(gone, Some((2000.0, Along::Kilometres)));
    /// ```
    pub fn gone_between(accounts: &[Account], before: &str, after: &str) -> Option<(f64, Along)> {
        let unit = &accounts.iter().find(|account| account.build == before)?.unit;
        let known = Known::of(unit, accounts, &[before, after]);
        let along = Along::by(known.accounts.iter());
        let tracks = Tracks::follow(&known.accounts, |account| along.of(account), &known.lost);
        let gone = |build: &str| {
            let at = known.accounts.iter().position(|account| account.build == build)?;
            tracks.gone.get(at).copied()
        };
        let (from, to) = (gone(before)?, gone(after)?);
        let is_known = from.run == to.run && !from.at_least && !to.at_least;
        is_known.then_some((to.at - from.at, along))
    }

    /// Compares two builds. Plates are as found, the rest as left, but what is called so.
    ///
    /// A difference is called a change when it is more than twice its standard uncertainty. What all readings of one
    /// instrument share falls out of it as long as its calibration is the same; the two checks of its zero do not. An
    /// instrument that was out of date, and another way of holding, are not compared. `gone` is what [`Comparison::gone_between`] says
    /// of the builds of the unit.
    pub fn of(before: &Account, after: &Account, gone: Option<(f64, Along)>) -> Comparison {
        let mut told = Vec::new();
        let same_unit = before.unit == after.unit;
        if !same_unit {
            told.push(format!(
                "these are two units, {} and {}: what differs may be the units and no change",
                before.unit, after.unit
            ));
        }
        for account in [before, after] {
            if account.finished.is_none() {
                told.push(format!("{} is not finished", account.build));
            }
            told.extend(
                account
                    .newer
                    .iter()
                    .map(|words| format!("{} was made by a newer program: {words}", account.build)),
            );
            let voided = account.voided.iter();
            told.extend(voided.map(|reason| format!("{} was voided: {reason}", account.build)));
            told.extend(
                account
                    .problems
                    .iter()
                    .map(|problem| format!("{} is damaged: {problem}", account.build)),
            );
        }
        let pair = Pair { before, after };
        Comparison {
            before: before.build.clone(),
            after: after.build.clone(),
            gone: gone.filter(|_| same_unit),
            changes: pair.changes(),
            plates: pair.plates(),
            differs: pair.differs(),
            alone: pair.alone(),
            told,
        }
    }

    /// What the plates of one keying lost; `None` where none was measured both times.
    pub fn lost(&self, keyed: Keying) -> Option<Lost> {
        let of_keying = |plate: &&Change| plate.keyed == Some(keyed) && plate.judged != Judged::NotComparable;
        let plates: Vec<&Change> = self.plates.iter().filter(of_keying).collect();
        if plates.is_empty() {
            return None;
        }
        let losses = plates.iter().map(|plate| -plate.difference() * MICROMETRES);
        let changed = plates.iter().filter(|plate| plate.judged == Judged::Changed);
        Some(Lost {
            plates: plates.len(),
            told: changed.count(),
            mean: losses.clone().sum::<f64>() / plates.len() as f64,
            least: losses.clone().fold(f64::INFINITY, f64::min),
            most: losses.fold(f64::NEG_INFINITY, f64::max),
        })
    }
}

struct Pair<'a> {
    before: &'a Account,
    after: &'a Account,
}

impl Pair<'_> {
    /// Why what an instrument measured can not be compared.
    fn out_of_date(&self, role: InstrumentRole) -> Option<String> {
        let late = [self.before, self.after].into_iter().find(|account| {
            account
                .instrument(role)
                .is_some_and(|one| !one.overdue.is_empty())
        })?;
        Some(format!("the {role} was out of date at {}", late.build))
    }

    fn change(
        &self,
        what: &str,
        measure: Measure,
        decimals: usize,
        values: (f64, f64),
        doubts: Option<Doubts>,
        why: Option<String>,
    ) -> Change {
        let (before, after) = values;
        let doubt = doubts.as_ref().map(|doubts| COVERAGE * doubts.whole());
        let judged = match (&why, doubt) {
            (Some(_), _) | (None, None) => Judged::NotComparable,
            (None, Some(doubt)) if (after - before).abs() > doubt => Judged::Changed,
            _ => Judged::Within,
        };
        Change {
            what: what.to_string(),
            keyed: None,
            measure,
            decimals,
            before,
            after,
            doubt,
            doubts: doubts.unwrap_or_default(),
            judged,
            why: why.unwrap_or_else(|| {
                if doubt.is_none() {
                    "its uncertainty is not known".to_string()
                } else {
                    String::new()
                }
            }),
        }
    }

    /// What leaves a difference of two lengths by one kind of instrument in doubt, in millimetres.
    fn joint(&self, role: InstrumentRole, before: &UncertainLength, after: &UncertainLength) -> Doubts {
        let of = |account: &Account, one: &UncertainLength| {
            // an account of a paper, or one that was made by hand, says no more than which instrument it was
            let zero = account.instrument(role).and_then(|one| one.zero);
            of_length(one, zero.unwrap_or(Length::ZERO).max(one.zeros).mm())
        };
        self.between(&of(self.before, before), &of(self.after, after))
    }

    fn between(&self, before: &[Doubt], after: &[Doubt]) -> Doubts {
        Doubts::between((self.before, before), (self.after, after))
    }

    fn length(
        &self,
        what: &str,
        role: InstrumentRole,
        before: &Option<UncertainLength>,
        after: &Option<UncertainLength>,
    ) -> Option<Change> {
        let (before, after) = (before.as_ref()?, after.as_ref()?);
        Some(self.change(
            what,
            Measure::Length,
            3,
            (before.value.mm(), after.value.mm()),
            Some(self.joint(role, before, after)),
            self.out_of_date(role),
        ))
    }

    fn changes(&self) -> Vec<Change> {
        let (before, after) = (self.before, self.after);
        let mut changes = Vec::new();
        changes.extend(self.torque("Breakaway as received", |account| {
            let one = &account.breakaway;
            (one.found, one.found_uncertainty, &one.found_doubts)
        }));
        changes.extend(self.torque("Breakaway as left", |account| {
            let one = &account.breakaway;
            (one.left, one.left_uncertainty, &one.left_doubts)
        }));
        for (n, side) in ["left", "right"].into_iter().enumerate() {
            // over one depth both springs press alike
            if n == 1 && before.through && after.through {
                break;
            }
            let what = if before.through && after.through {
                "Preload as left".to_string()
            } else {
                format!("Preload as left, {side}")
            };
            changes.extend(self.preload(&what, n));
        }
        changes.extend(self.friction());
        for (before, after) in before.closings.iter().zip(&after.closings) {
            if before.chain == after.chain
                && before.sprung == after.sprung
                && before.measured
                && after.measured
            {
                let mut what = format!("{} as left", capital(sprung_words(before.sprung)));
                if let Some(side) = before.chain {
                    what.push_str(&format!(", {side}"));
                }
                changes.extend(self.length(&what, InstrumentRole::DepthGauge, &before.left, &after.left));
            }
        }
        for (before, after) in before.springs.iter().zip(&after.springs) {
            if before.place == after.place {
                let what = format!("Free height of spring, {}", place_word(before.place));
                let height = self.length(&what, InstrumentRole::DepthGauge, &before.height, &after.height);
                changes.extend(height.map(|mut change| {
                    if after.another {
                        change.judged = Judged::NotComparable;
                        change.why = "another spring was put in".to_string();
                    }
                    change
                }));
            }
        }
        changes
    }

    fn torque(
        &self,
        what: &str,
        of: impl Fn(&Account) -> (Option<Torque>, Option<Torque>, &[Doubt]),
    ) -> Option<Change> {
        let ((before, u, of_before), (after, v, of_after)) = (of(self.before), of(self.after));
        let nm = |torque: Option<Torque>| torque.map(|torque| torque.newton_metres());
        let (was, is) = (&self.before.breakaway, &self.after.breakaway);
        let why = if was.held != is.held {
            let [was, is] = [was.held, is.held].map(stored);
            Some(format!("meant {was} held, then {is} held"))
        } else if let (Some(was), Some(is)) = (was.proved, is.proved)
            && was != is
        {
            let [was, is] = [was, is].map(Held::stored);
            Some(format!("{was} held, then {is} held"))
        } else {
            self.out_of_date(InstrumentRole::TorqueWrench)
        };
        Some(self.change(
            what,
            Measure::Torque,
            1,
            (nm(before)?, nm(after)?),
            nm(u).zip(nm(v)).map(|(u, v)| {
                self.between(
                    &Doubt::known(of_before, Some(u)),
                    &Doubt::known(of_after, Some(v)),
                )
            }),
            why,
        ))
    }

    fn preload(&self, what: &str, side: usize) -> Option<Change> {
        let newtons = |force: Option<Force>| force.map(|force| force.newtons());
        let left = |account: &Account| newtons(account.packs.get(side)?.preload_left);
        let (u, v) = (self.before.preload_uncertainty, self.after.preload_uncertainty);
        Some(self.change(
            what,
            Measure::Force,
            0,
            (left(self.before)?, left(self.after)?),
            newtons(u).zip(newtons(v)).map(|(u, v)| {
                self.between(
                    &Doubt::known(&self.before.preload_doubts, Some(u)),
                    &Doubt::known(&self.after.preload_doubts, Some(v)),
                )
            }),
            self.no_like_springs(),
        ))
    }

    /// Why a preload can not be compared.
    fn no_like_springs(&self) -> Option<String> {
        springs_differ(&self.before.preload_doubts, &self.after.preload_doubts)
            .or_else(|| self.out_of_date(InstrumentRole::DepthGauge))
            .or_else(|| self.out_of_date(InstrumentRole::Press))
    }

    /// The friction follows from breakaway and preload, and is in doubt by both.
    fn friction(&self) -> Option<Change> {
        let of = |account: &Account| {
            let friction = account.breakaway.friction?.value();
            let (torque, u) = (account.breakaway.left?, account.breakaway.left_uncertainty?);
            let (force, v) = (account.packs.first()?.preload_left?, account.preload_uncertainty?);
            let (u, v) = (Some(u.newton_metres()), Some(v.newtons()));
            let by_torque = Doubt::known(&account.breakaway.left_doubts, u).into_iter();
            let by_force = Doubt::known(&account.preload_doubts, v).into_iter();
            let by_torque = by_torque.map(|one| one.times(friction / torque.newton_metres()));
            // a force that is higher than it is taken for makes the friction look higher
            let by_force = by_force.map(|one| one.times(-friction / force.newtons()));
            Some((friction, by_torque.chain(by_force).collect::<Vec<_>>()))
        };
        let ((before, u), (after, v)) = (of(self.before)?, of(self.after)?);
        let why = self
            .out_of_date(InstrumentRole::TorqueWrench)
            .or_else(|| self.no_like_springs());
        Some(self.change(
            "Friction shown",
            Measure::Friction,
            3,
            (before, after),
            Some(self.between(&u, &v)),
            why,
        ))
    }

    fn plates(&self) -> Vec<Change> {
        let mut plates = Vec::new();
        for plate in &self.after.plates {
            let Some(was) = self.before.plates.iter().find(|one| one.part == plate.part) else {
                continue;
            };
            let what = format!("{}, {}", plate.name, plate.keyed.stored());
            let Some(mut change) = self.length(&what, InstrumentRole::Micrometer, &was.mean, &plate.mean)
            else {
                continue;
            };
            change.keyed = Some(plate.keyed);
            if was.keyed != plate.keyed {
                change.judged = Judged::NotComparable;
                change.why = "keyed otherwise: not the same plate".to_string();
            } else if change.judged == Judged::Changed && change.difference() > 0.0 {
                change.why = "thicker: another plate under its name, or a misread one".to_string();
            }
            plates.push(change);
        }
        plates
    }

    fn alone(&self) -> Vec<(String, Vec<String>)> {
        let missing = |here: &Account, there: &Account| -> Vec<String> {
            here.plates
                .iter()
                .filter(|plate| {
                    plate.mean.is_some() && !there.plates.iter().any(|one| one.part == plate.part)
                })
                .map(|plate| plate.name.clone())
                .collect()
        };
        [(self.before, self.after), (self.after, self.before)]
            .into_iter()
            .map(|(here, there)| (here.build.clone(), missing(here, there)))
            .filter(|(_, plates)| !plates.is_empty())
            .collect()
    }

    fn differs(&self) -> Vec<Unlike> {
        let mut differs = Vec::new();
        let mut row = |what: &str, of: &dyn Fn(&Account) -> String| {
            let (before, after) = (of(self.before), of(self.after));
            if before != after {
                differs.push(Unlike {
                    what: what.to_string(),
                    before,
                    after,
                });
            }
        };
        row("Procedure", &|account| account.procedure.clone());
        row("Car", &|account| account.car.clone());
        for (n, side) in ["left", "right"].into_iter().enumerate() {
            let pack = |account: &Account, of: &dyn Fn(&PackAccount) -> String| {
                account.packs.get(n).map_or(String::new(), of)
            };
            row(&format!("Shims as left, {side}"), &|account| {
                pack(account, &|pack| match &pack.shims_left {
                    Some(shims) => shims
                        .iter()
                        .map(Length::to_string)
                        .collect::<Vec<_>>()
                        .join(" + "),
                    None => String::new(),
                })
            });
            row(&format!("Faces as left, {side}"), &|account| {
                pack(account, &|pack| {
                    pack.faces_left.map_or(String::new(), |faces| faces.to_string())
                })
            });
            row(&format!("Plates as left, {side}"), &|account| {
                pack(account, &|pack| {
                    pack.plates_left.as_deref().unwrap_or_default().join(" ")
                })
            });
        }
        row("Oil", &|account| account.oil.clone());
        for (was, is) in self.before.springs.iter().zip(&self.after.springs) {
            // where nobody looked there is nothing to compare
            let looked = [was, is].iter().all(|spring| !spring.looks.is_empty());
            if looked && was.place == is.place {
                let seen = |account: &Account| {
                    let spring = account.springs.iter().find(|one| one.place == is.place);
                    spring.map_or(String::new(), SpringAccount::seen)
                };
                row(&format!("Spring, {}", place_word(is.place)), &seen);
            }
        }
        for role in <InstrumentRole as Word>::ALL {
            row(&capital(&role.to_string()), &|account| {
                account.instrument(*role).map_or(String::new(), |one| {
                    format!("{}, calibrated to {}", one.id, one.due)
                })
            });
        }
        differs
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}
