//! What fades from build to build: preload, friction, breakaway, and gaps that grow.

use super::account::{Account, UncertainLength};
use super::doubts::{Doubt, springs_differ};
use super::joint_doubts::{Doubts, of_length};
use super::measure::{BuiltValue, Measure, stored};
use super::outlook::{Outlook, from_here};
use super::tracks::WearBuild;
use crate::mechanics::Side;
use crate::mechanics::wear::{CONFIDENCE, Fade};
use crate::quantity::Torque;

/// A value that each build sets and the distance after it changes: breakaway and preload fall, a gap grows.
#[derive(Clone, PartialEq, Debug)]
pub struct Fading {
    /// What it is.
    pub what: BuiltValue,
    /// Its unit of measure.
    pub measure: Measure,
    /// The builds that set it, with what was found after it: build, value as left, distance, value as found.
    pub stretches: Vec<Stretch>,
    /// As last left, with its standard uncertainty.
    pub now: Option<(f64, f64)>,
    /// How far the unit has gone since, as far as that is known.
    pub since: f64,
    /// The build that left it, where the unit went further since than that, and nobody wrote down how far.
    pub since_at_least: Option<String>,
    /// What it may not pass: the least that is wanted, or the most of a gap.
    pub limit: Option<f64>,
    /// Whether wear makes it greater, as a gap; then what is called loss is growth.
    pub grows: bool,
    /// What can be said.
    pub outlook: Outlook,
    /// What leaves each loss in doubt, on the mean of them.
    pub doubts: Doubts,
}

impl Fading {
    /// What it will have come to so far after the last build: the value, and between which two at 95 %, where there are
    /// builds enough.
    pub fn after(&self, distance: f64) -> Option<(f64, Option<(f64, f64)>)> {
        let (now, u) = self.now?;
        let gone = self.since + distance;
        let sign = if self.grows { -1.0 } else { 1.0 };
        match self.outlook {
            Outlook::Told { line, .. } => {
                let (value, (low, high)) = Fade { line }.after(sign * now, u, gone, CONFIDENCE).ok()?;
                let ends = if self.grows { (-high, -low) } else { (low, high) };
                Some((sign * value, Some(ends)))
            }
            Outlook::TooFew { rate: Some(rate), .. } => Some((now - sign * rate * gone, None)),
            Outlook::TooFew { .. } => None,
        }
    }
}

/// A value as one build left it and a later one found it.
#[derive(Clone, PartialEq, Debug)]
pub struct Stretch {
    /// The build that left it.
    pub from: String,
    /// The build that found it.
    pub to: String,
    /// How far it went between.
    pub distance: f64,
    /// As left.
    pub left: f64,
    /// As found.
    pub found: f64,
    /// What leaves in doubt what was lost, by the two readings; empty where nothing is known of that.
    pub doubts: Doubts,
}

/// What the last build that put the unit together left.
struct Left<'a> {
    value: f64,
    /// Its standard uncertainty.
    u: f64,
    /// How far it has gone since, as far as that is known.
    since: f64,
    /// The build, where it went further.
    since_at_least: Option<&'a str>,
}

fn fading(
    what: BuiltValue,
    measure: Measure,
    stretches: Vec<Stretch>,
    now: Option<Left<'_>>,
    limit: Option<f64>,
    grows: bool,
) -> Fading {
    // what grows falls when it is turned round
    let sign = if grows { -1.0 } else { 1.0 };
    let points: Vec<(f64, f64)> = stretches
        .iter()
        .map(|one| (one.distance, sign * (one.left - one.found)))
        .collect();
    let doubts = doubts_of(&stretches);
    let outlook = match Fade::of(&points).and_then(|fade| fade.with_doubt(doubts.whole())) {
        Ok(fade) => Outlook::Told {
            points: points.len(),
            rate: fade.rate(),
            interval: fade.rate_interval(CONFIDENCE).unwrap_or((0.0, 0.0)),
            meets: now.as_ref().zip(limit).and_then(|(now, limit)| {
                let meets = fade
                    .meets(sign * now.value, now.u, sign * limit, CONFIDENCE)
                    .ok()?;
                Some(from_here(meets, now.since))
            }),
            line: fade.line,
        },
        Err(_) => Outlook::TooFew {
            points: points.len(),
            rate: match points.first() {
                Some((distance, lost)) if *distance > 0.0 => Some(lost / distance),
                _ => None,
            },
        },
    };
    Fading {
        what,
        measure,
        stretches,
        now: now.as_ref().map(|now| (now.value, now.u)),
        since: now.as_ref().map_or(0.0, |now| now.since),
        since_at_least: now.and_then(|now| now.since_at_least.map(str::to_string)),
        limit,
        grows,
        outlook,
        doubts,
    }
}

/// The doubts that, if every loss had them, would leave the rate as much in doubt as their own do.
fn doubts_of(stretches: &[Stretch]) -> Doubts {
    let weighed: Vec<(f64, &Doubts)> = stretches.iter().map(|one| (one.distance, &one.doubts)).collect();
    Doubts::mean(&weighed)
}

/// What the last build that put the unit together left: `left` gives value and standard uncertainty.
fn last_left<'a>(
    builds: &[WearBuild<'a>],
    left: impl Fn(&Account) -> Option<(f64, f64)>,
) -> Option<Left<'a>> {
    let built = builds.iter().rev().find(|build| build.account.is_built())?;
    let last = builds.last().filter(|last| last.gone.run == built.gone.run)?;
    let (value, u) = left(built.account)?;
    Some(Left {
        value,
        u,
        since: last.gone.at - built.gone.at,
        since_at_least: last.gone.at_least.then_some(built.account.build.as_str()),
    })
}

/// The stretches of a value between the build that left it and those that found it.
fn stretches(
    builds: &[WearBuild],
    left: impl Fn(&Account) -> Option<f64>,
    found: impl Fn(&Account) -> Option<f64>,
    doubts: impl Fn(&Account, &Account) -> Doubts,
) -> Vec<Stretch> {
    let mut all = Vec::new();
    let mut built: Option<(&WearBuild, f64)> = None;
    for build in builds {
        if let Some((from, left)) = built
            && from.gone.run == build.gone.run
            && build.gone.at > from.gone.at
            && !build.gone.at_least
            && let Some(found) = found(build.account)
        {
            all.push(Stretch {
                from: from.account.build.clone(),
                to: build.account.build.clone(),
                distance: build.gone.at - from.gone.at,
                left,
                found,
                doubts: doubts(from.account, build.account),
            });
        }
        if build.account.is_built() {
            built = left(build.account).map(|left| (build, left));
        }
    }
    all
}

/// What leaves in doubt what is between two torques, in newton metres: one as a build left it, one as another found it.
fn torque_doubts(before: &Account, after: &Account) -> Doubts {
    let nm = |torque: Option<Torque>| torque.map(|torque| torque.newton_metres());
    let (left, found) = (&before.breakaway, &after.breakaway);
    let by_proof = |one: &super::BreakawayAccount| Doubt::known(&one.left_doubts, nm(one.left_uncertainty));
    // a check that builds nothing finds what it proves
    let as_found = match found.found {
        Some(_) => Doubt::known(&found.found_doubts, nm(found.found_uncertainty)),
        None => by_proof(found),
    };
    Doubts::between((before, &by_proof(left)), (after, &as_found))
}

/// The same, in millimetres, of what is between the closings of one chain as left and as found.
fn closing_doubts(before: (&Account, &UncertainLength), after: (&Account, &UncertainLength)) -> Doubts {
    let of = |length: &UncertainLength| of_length(length, length.zeros.mm());
    Doubts::between((before.0, &of(before.1)), (after.0, &of(after.1)))
}

/// The breakaway, by the builds that mean it held alike; the others are told.
pub(super) fn breakaway(builds: &[WearBuild], told: &mut Vec<String>) -> Fading {
    let last = builds.last().map(|build| &build.account.breakaway);
    let held = last.and_then(|last| last.held);
    // a reading by another way of holding is another quantity
    let comparable: Vec<WearBuild> = builds
        .iter()
        .filter(|build| {
            let same = build.account.breakaway.held == held;
            if !same {
                told.push(format!(
                    "{}: its breakaway is meant {} held, not {} held, and is not compared",
                    build.account.build,
                    stored(build.account.breakaway.held),
                    stored(held)
                ));
            }
            same
        })
        .cloned()
        .collect();
    let nm = |torque: Option<Torque>| torque.map(|torque| torque.newton_metres());
    let left = |account: &Account| nm(account.breakaway.left);
    // a check that builds nothing finds what it proves
    let found = |account: &Account| {
        nm(account.breakaway.found).or_else(|| left(account).filter(|_| !account.is_built()))
    };
    let now = last_left(&comparable, |account| {
        let doubt = nm(account.breakaway.left_uncertainty).unwrap_or(0.0);
        Some((left(account)?, doubt))
    });
    let least = last.and_then(|last| nm(last.least));
    fading(
        BuiltValue::Breakaway,
        Measure::Torque,
        stretches(&comparable, left, found, torque_doubts),
        now,
        least,
        false,
    )
}

/// The gap of one chain, or its room for the springs, in millimetres.
pub(super) fn grown(chain: Option<Side>, most: Option<f64>, builds: &[WearBuild]) -> Fading {
    fn of(chain: Option<Side>, account: &Account, left: bool) -> Option<&UncertainLength> {
        let closing = account.closings.iter().find(|one| one.chain == chain)?;
        if left {
            closing.left.as_ref()
        } else {
            closing.found.as_ref()
        }
    }
    let left = |account: &Account| Some(of(chain, account, true)?.value.mm());
    let found = |account: &Account| Some(of(chain, account, false)?.value.mm());
    let doubt = |before: &Account, after: &Account| {
        of(chain, before, true)
            .zip(of(chain, after, false))
            .map_or_else(Doubts::default, |(left, found)| {
                closing_doubts((before, left), (after, found))
            })
    };
    let what = match most {
        Some(_) => BuiltValue::Gap(chain),
        None => BuiltValue::Room(chain),
    };
    let now = last_left(builds, |account| {
        let left = of(chain, account, true)?;
        Some((left.value.mm(), left.with_zeros()))
    });
    fading(
        what,
        Measure::Length,
        stretches(builds, left, found, doubt),
        now,
        most,
        true,
    )
}

/// The friction that the plates showed while turning, where a build shows it: as left, and as found.
pub(super) fn friction(builds: &[WearBuild]) -> Fading {
    let left = |account: &Account| Some(account.breakaway.friction?.value());
    let found = |account: &Account| account.breakaway.friction_found();
    let now = last_left(builds, |account| {
        let breakaway = &account.breakaway;
        let share = breakaway.left_uncertainty?.newton_metres() / breakaway.left?.newton_metres();
        let left = left(account)?;
        Some((left, left * share))
    });
    // friction goes as the torque that shows it
    let doubt = |before: &Account, after: &Account| {
        let per_torque = left(before)
            .zip(before.breakaway.left)
            .map_or(0.0, |(friction, torque)| friction / torque.newton_metres());
        match per_torque.is_finite() {
            true => torque_doubts(before, after).times(per_torque),
            false => Doubts::default(),
        }
    };
    fading(
        BuiltValue::Friction,
        Measure::Friction,
        stretches(builds, left, found, doubt),
        now,
        None,
        false,
    )
}

/// The preload on one pack, or on both where one depth spans them.
pub(super) fn preload(side: usize, through: bool, builds: &[WearBuild], told: &mut Vec<String>) -> Fading {
    let newtons = |force: Option<crate::quantity::Force>| force.map(|force| force.newtons());
    let left = |account: &Account| newtons(account.packs.get(side)?.preload_left);
    let found = |account: &Account| newtons(account.packs.get(side)?.preload_found);
    let now = last_left(builds, |account| {
        let doubt = newtons(account.preload_uncertainty).unwrap_or(0.0);
        Some((left(account)?, doubt))
    });
    let least = builds
        .last()
        .and_then(|build| build.account.preload_wanted)
        .map(|wanted| wanted[0].newtons());
    let what = BuiltValue::Preload((!through).then(|| Side::BOTH[side.min(1)]));
    let doubt = |before: &Account, after: &Account| {
        let left = Doubt::known(&before.preload_doubts, newtons(before.preload_uncertainty));
        let found = Doubt::known(
            &after.preload_found_doubts,
            newtons(after.preload_found_uncertainty),
        );
        Doubts::between((before, &left), (after, &found))
    };
    let mut stretches = stretches(builds, left, found, doubt);
    stretches.retain(|stretch| {
        let of = |name: &str| {
            let mut all = builds.iter().map(|build| build.account);
            all.find(|account| account.build == name)
        };
        let differ = of(&stretch.from)
            .zip(of(&stretch.to))
            .and_then(|(from, to)| springs_differ(&from.preload_doubts, &to.preload_found_doubts));
        if let Some(differ) = &differ {
            let words = format!(
                "{} to {}: its preload goes {differ}, and is not compared",
                stretch.from, stretch.to
            );
            // it is the same for both sides
            if !told.contains(&words) {
                told.push(words);
            }
        }
        differ.is_none()
    });
    fading(what, Measure::Force, stretches, now, least, false)
}
