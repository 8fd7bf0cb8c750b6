use super::account::{Account, Doubted, PackAccount, SpringAccount};
use super::known::Known;
use super::shown::{Shown, for_machines, number};
use super::tracks::Tracks;
use super::wear::Along;
use crate::quantity::{Force, Length, Torque, Units};
use crate::report::Summary;
use serde_json::{Value, json};

/// An uncertainty is told with this factor: about 95 %.
const COVERAGE: f64 = 2.0;

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
    /// Its unit of measure; empty for words.
    pub measure: &'static str,
    /// How many decimals it is shown with.
    pub decimals: usize,
    /// In the earlier build.
    pub before: f64,
    /// In the later.
    pub after: f64,
    /// Expanded uncertainty of the difference (k = 2); `None` where it can not be said.
    pub doubt: Option<f64>,
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
pub struct Between {
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

/// How far a unit went from one of its builds to another, by its accounts in order of time, and what that is counted in;
/// `None` where a distance on the way is not known. One that is not finished counts where it is one of the two.
///
/// ```
/// use shimwright::quantity::Distance;
/// use shimwright::history::{Account, Along, gone_between};
/// let build = |n: u32| Account {
///     build: format!("moor-000{n}"),
///     unit: "moor".into(),
///     finished: Some("2026-05-01T10:00:00Z".into()),
///     distance: Distance::from_kilometres(1000.0).ok(),
///     packs: vec![shimwright::history::PackAccount { plates_left: Some(vec![]), ..Default::default() }],
///     ..Account::default()
/// };
/// let builds = [build(1), build(2), build(3)];
/// let gone = gone_between(&builds, "moor-0001", "moor-0003");
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

impl Between {
    /// Compares two builds. Plates are as found, the rest as left, but what is called so.
    ///
    /// A difference is called a change when it is more than twice its standard uncertainty. What all readings of one
    /// instrument share falls out of it as long as its calibration is the same; the two checks of its zero do not. An
    /// instrument that was out of date, and another way of holding, are not compared. `gone` is what [`gone_between`] says
    /// of the builds of the unit.
    pub fn of(before: &Account, after: &Account, gone: Option<(f64, Along)>) -> Between {
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
        Between {
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

    /// What the plates of one keying lost: how many were measured both times, of how many the loss can be told, the mean
    /// loss, the least and the greatest, in micrometres. `None` where none was.
    pub fn lost(&self, keyed: &str) -> Option<(usize, usize, [f64; 3])> {
        let losses: Vec<f64> = self
            .of_keying(keyed)
            .map(|plate| -plate.difference() * 1e3)
            .collect();
        if losses.is_empty() {
            return None;
        }
        let changed = self
            .of_keying(keyed)
            .filter(|plate| plate.judged == Judged::Changed);
        let mean = losses.iter().sum::<f64>() / losses.len() as f64;
        let low = losses.iter().copied().fold(f64::INFINITY, f64::min);
        let high = losses.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some((losses.len(), changed.count(), [mean, low, high]))
    }

    fn of_keying(&self, keyed: &str) -> impl Iterator<Item = &Change> {
        let what = format!(", {keyed}");
        self.plates
            .iter()
            .filter(move |plate| plate.what.ends_with(&what) && plate.judged != Judged::NotComparable)
    }

    /// How far the unit went from the one to the other, where that is known: `1840 km after`.
    pub fn distance(&self, units: Units) -> Option<String> {
        let (far, along) = self.gone?;
        let shown = Shown { units, along };
        let when = if far < 0.0 { "before" } else { "after" };
        Some(format!(
            "{} {} {when}",
            shown.far(far.abs()),
            shown.distance_symbol()
        ))
    }

    /// What the plates of one keying lost, as [`Between::lost`], in words: mean, least and greatest.
    pub fn lost_words(&self, keyed: &str, units: Units) -> Option<String> {
        let (count, changed, losses) = self.lost(keyed)?;
        let shown = Shown {
            units,
            along: Along::Kilometres,
        };
        let decimals = usize::from(units == Units::Inch);
        let [mean, low, high] = losses.map(|um| number(shown.small(um / 1e3), decimals));
        let symbol = shown.small_symbol();
        Some(match (count, changed) {
            (1, 1) => format!("lost {mean} {symbol} (one plate)"),
            (1, _) => format!("lost {mean} {symbol} (one plate), within what can be told"),
            _ => format!(
                "lost {mean} {symbol} on the mean, {low} to {high} {symbol}; beyond doubt on {changed} of {count}"
            ),
        })
    }

    /// The comparison in a few lines: a label and a text each.
    pub fn brief(&self, units: Units) -> Vec<(String, String)> {
        let mut lines: Vec<(String, String)> = self
            .changes
            .iter()
            .map(|change| (change.what.clone(), change.words(units)))
            .collect();
        for (keyed, label) in [("gear", "Friction plates"), ("case", "Case plates")] {
            lines.extend(
                self.lost_words(keyed, units)
                    .map(|words| (label.to_string(), words)),
            );
        }
        lines
    }

    /// The same for machines.
    pub fn summary(&self) -> Summary {
        let change = |change: &Change| {
            let (measure, times) = for_machines(change.measure);
            json!({
                "what": change.what, "measure": measure, "before": times * change.before, "after": times * change.after,
                "difference": times * change.difference(), "doubt_95": change.doubt.map(|doubt| times * doubt),
                "judged": change.judged.words(),
                "why": change.why,
            })
        };
        let gone = |wanted| {
            self.gone
                .filter(|(_, along)| *along == wanted)
                .map(|(far, _)| far)
        };
        Summary(json!({
            "before": self.before, "after": self.after, "distance_km": gone(Along::Kilometres),
            "running_h": gone(Along::Hours),
            "changes": self.changes.iter().map(change).collect::<Vec<Value>>(),
            "plates_um": self.plates.iter().map(change).collect::<Vec<Value>>(),
            "differs": self.differs.iter().map(|one| json!({"what": one.what, "before": one.before, "after": one.after})).collect::<Vec<_>>(),
            "alone": self.alone.iter().map(|(build, plates)| json!({"build": build, "plates": plates})).collect::<Vec<_>>(),
            "told": self.told,
        }))
    }
}

impl Change {
    /// The numbers of a change in some units of measure: before, after, change, doubt.
    pub fn numbers(&self, units: Units) -> [String; 4] {
        let shown = Shown {
            units,
            along: Along::Kilometres,
        };
        let decimals = self.decimals(units);
        let of = |value: f64| number(shown.of(self.measure, value).0, decimals);
        let difference = of(self.difference());
        let sign = if difference.starts_with('-') { "" } else { "+" };
        [
            of(self.before),
            of(self.after),
            format!("{sign}{difference}"),
            self.doubt.map_or("-".to_string(), of),
        ]
    }

    /// The unit of measure that it is shown in.
    pub fn symbol(&self, units: Units) -> &'static str {
        let shown = Shown {
            units,
            along: Along::Kilometres,
        };
        shown.of(self.measure, 0.0).1
    }

    fn decimals(&self, units: Units) -> usize {
        let shown = Shown {
            units,
            along: Along::Kilometres,
        };
        match units {
            Units::Metric => self.decimals,
            Units::Inch => shown.of(self.measure, 0.0).2,
        }
    }

    /// `93.5, now 83.5 N·m: −10.0 ± 5.1, changed`.
    pub fn words(&self, units: Units) -> String {
        let [before, after, change, doubt] = self.numbers(units);
        let symbol = self.symbol(units);
        let measure = if symbol.is_empty() {
            String::new()
        } else {
            format!(" {symbol}")
        };
        let judged = match (self.judged, self.doubt) {
            (Judged::NotComparable, _) => format!("not comparable: {}", self.why),
            (judged, Some(_)) => format!("{change} ± {doubt}, {}", judged.words()),
            (judged, None) => format!("{change}, {}", judged.words()),
        };
        format!("{before}, now {after}{measure}: {judged}")
    }
}

struct Pair<'a> {
    before: &'a Account,
    after: &'a Account,
}

impl Pair<'_> {
    /// Why what an instrument measured can not be compared.
    fn out_of_date(&self, role: &str) -> Option<String> {
        let late = [self.before, self.after].into_iter().find(|account| {
            account
                .instrument(role)
                .is_some_and(|one| !one.overdue.is_empty())
        })?;
        Some(format!("the {role} was out of date at {}", late.build))
    }

    /// Whether one instrument with one calibration measured both. That of an old paper is only like the one it is taken for.
    fn same(&self, role: &str) -> bool {
        if self.before.copied || self.after.copied {
            return false;
        }
        let (before, after) = (self.before.instrument(role), self.after.instrument(role));
        before
            .zip(after)
            .is_some_and(|(before, after)| before.id == after.id && before.due == after.due)
    }

    fn change(
        &self,
        what: &str,
        measure: &'static str,
        decimals: usize,
        values: (f64, f64),
        u: Option<f64>,
        why: Option<String>,
    ) -> Change {
        let (before, after) = values;
        let doubt = u.map(|u| COVERAGE * u);
        let judged = match (&why, doubt) {
            (Some(_), _) | (None, None) => Judged::NotComparable,
            (None, Some(doubt)) if (after - before).abs() > doubt => Judged::Changed,
            _ => Judged::Within,
        };
        Change {
            what: what.to_string(),
            measure,
            decimals,
            before,
            after,
            doubt,
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

    /// The standard uncertainty of a difference of two lengths by one kind of instrument, in millimetres.
    fn joint(&self, role: &str, before: &Doubted, after: &Doubted) -> f64 {
        let shared = |one: &Doubted| one.shared.iter().map(|(_, u)| u.mm() * u.mm()).sum::<f64>();
        let all = |one: &Doubted| one.uncertainty.mm() * one.uncertainty.mm();
        let mut sum = all(before) + all(after);
        if self.same(role) {
            sum -= shared(before) + shared(after);
        }
        let zeros = [self.before, self.after].map(|account| {
            let zero = account.instrument(role).and_then(|one| one.zero);
            zero.map_or(0.0, |zero| zero.mm() * zero.mm())
        });
        (sum.max(0.0) + zeros[0] + zeros[1]).sqrt()
    }

    fn length(
        &self,
        what: &str,
        role: &str,
        before: &Option<Doubted>,
        after: &Option<Doubted>,
    ) -> Option<Change> {
        let (before, after) = (before.as_ref()?, after.as_ref()?);
        Some(self.change(
            what,
            "mm",
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
            (account.breakaway.found, account.breakaway.found_uncertainty)
        }));
        changes.extend(self.torque("Breakaway as left", |account| {
            (account.breakaway.left, account.breakaway.left_uncertainty)
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
            if before.chain == after.chain && before.what == after.what && before.measured && after.measured {
                let what = match before.chain.as_str() {
                    "through" => format!("{} as left", capital(&before.what)),
                    side => format!("{} as left, {side}", capital(&before.what)),
                };
                changes.extend(self.length(&what, "depth gauge", &before.left, &after.left));
            }
        }
        for (before, after) in before.springs.iter().zip(&after.springs) {
            if before.place == after.place {
                let what = format!("Free height of spring, {}", before.place);
                let height = self.length(&what, "depth gauge", &before.height, &after.height);
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
        of: impl Fn(&Account) -> (Option<Torque>, Option<Torque>),
    ) -> Option<Change> {
        let ((before, u), (after, v)) = (of(self.before), of(self.after));
        let nm = |torque: Option<Torque>| torque.map(|torque| torque.newton_metres());
        let (was, is) = (&self.before.breakaway, &self.after.breakaway);
        let why = if was.held != is.held {
            Some(format!("meant {} held, then {} held", was.held, is.held))
        } else if !was.proved.is_empty() && !is.proved.is_empty() && was.proved != is.proved {
            Some(format!("{} held, then {} held", was.proved, is.proved))
        } else {
            self.out_of_date("torque wrench")
        };
        Some(self.change(
            what,
            "N·m",
            1,
            (nm(before)?, nm(after)?),
            nm(u).zip(nm(v)).map(|(u, v)| u.hypot(v)),
            why,
        ))
    }

    fn preload(&self, what: &str, side: usize) -> Option<Change> {
        let newtons = |force: Option<Force>| force.map(|force| force.newtons());
        let left = |account: &Account| newtons(account.packs.get(side)?.preload_left);
        let (u, v) = (self.before.preload_uncertainty, self.after.preload_uncertainty);
        Some(self.change(
            what,
            "N",
            0,
            (left(self.before)?, left(self.after)?),
            newtons(u).zip(newtons(v)).map(|(u, v)| u.hypot(v)),
            self.out_of_date("depth gauge"),
        ))
    }

    /// The friction follows from breakaway and preload, and is in doubt by both.
    fn friction(&self) -> Option<Change> {
        let of = |account: &Account| {
            let friction = account.breakaway.friction?.value();
            let (torque, u) = (account.breakaway.left?, account.breakaway.left_uncertainty?);
            let (force, v) = (account.packs.first()?.preload_left?, account.preload_uncertainty?);
            let share = (u.newton_metres() / torque.newton_metres()).hypot(v.newtons() / force.newtons());
            Some((friction, friction * share))
        };
        let ((before, u), (after, v)) = (of(self.before)?, of(self.after)?);
        let why = self
            .out_of_date("torque wrench")
            .or_else(|| self.out_of_date("depth gauge"));
        Some(self.change("Friction shown", "", 3, (before, after), Some(u.hypot(v)), why))
    }

    fn plates(&self) -> Vec<Change> {
        let mut plates = Vec::new();
        for plate in &self.after.plates {
            let Some(was) = self.before.plates.iter().find(|one| one.part == plate.part) else {
                continue;
            };
            let what = format!("{}, {}", plate.name, plate.keyed);
            let Some(mut change) = self.length(&what, "micrometer", &was.mean, &plate.mean) else {
                continue;
            };
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
                row(&format!("Spring, {}", is.place), &seen);
            }
        }
        for role in ["micrometer", "depth gauge", "torque wrench"] {
            row(&capital(role), &|account| {
                account.instrument(role).map_or(String::new(), |one| {
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
