use super::history::Account;
use super::wear::{Outlook, WearBuild, from_here};
use crate::mechanics::wear::{CONFIDENCE, Fade};

/// A value that each build sets and the distance after it changes: breakaway and preload fall, a gap grows.
#[derive(Clone, PartialEq, Debug)]
pub struct Fading {
    /// `breakaway`, `preload left`, `gap right`.
    pub what: String,
    /// Its unit of measure.
    pub symbol: &'static str,
    /// The builds that set it, with what was found after it: build, value as left, distance, value as found.
    pub stretches: Vec<Stretch>,
    /// As last left, with its standard uncertainty.
    pub now: Option<(f64, f64)>,
    /// How far the unit has gone since.
    pub since: f64,
    /// What it may not pass: the least that is wanted, or the most of a gap.
    pub limit: Option<f64>,
    /// Whether wear makes it greater, as a gap; then what is called loss is growth.
    pub grows: bool,
    /// What can be said.
    pub outlook: Outlook,
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
}

fn fading(
    what: String,
    symbol: &'static str,
    stretches: Vec<Stretch>,
    now: Option<(f64, f64, f64)>,
    limit: Option<f64>,
    grows: bool,
) -> Fading {
    // what grows falls when it is turned round
    let sign = if grows { -1.0 } else { 1.0 };
    let points: Vec<(f64, f64)> = stretches
        .iter()
        .map(|one| (one.distance, sign * (one.left - one.found)))
        .collect();
    let outlook = match Fade::of(&points) {
        Ok(fade) => Outlook::Told {
            points: points.len(),
            rate: fade.rate(),
            interval: fade.rate_interval(CONFIDENCE).unwrap_or((0.0, 0.0)),
            meets: now.zip(limit).and_then(|((now, u, since), limit)| {
                let meets = fade.meets(sign * now, u, sign * limit, CONFIDENCE).ok()?;
                Some(from_here(meets, since))
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
        symbol,
        stretches,
        now: now.map(|(now, u, _)| (now, u)),
        since: now.map_or(0.0, |(_, _, since)| since),
        limit,
        grows,
        outlook,
    }
}

/// What the last build that put the unit together left: value, standard uncertainty, and how far it has gone since.
fn last_left(builds: &[WearBuild], left: impl Fn(&Account) -> Option<(f64, f64)>) -> Option<(f64, f64, f64)> {
    let built = builds.iter().rev().find(|build| build.account.is_built())?;
    let last = builds.last().filter(|last| last.gone.run == built.gone.run)?;
    let (value, u) = left(built.account)?;
    Some((value, u, last.gone.at - built.gone.at))
}

/// The stretches of a value between the build that left it and those that found it.
fn stretches(
    builds: &[WearBuild],
    left: impl Fn(&Account) -> Option<f64>,
    found: impl Fn(&Account) -> Option<f64>,
) -> Vec<Stretch> {
    let mut all = Vec::new();
    let mut built: Option<(&WearBuild, f64)> = None;
    for build in builds {
        if let Some((from, left)) = built
            && from.gone.run == build.gone.run
            && build.gone.at > from.gone.at
            && let Some(found) = found(build.account)
        {
            all.push(Stretch {
                from: from.account.build.clone(),
                to: build.account.build.clone(),
                distance: build.gone.at - from.gone.at,
                left,
                found,
            });
        }
        if build.account.is_built() {
            built = left(build.account).map(|left| (build, left));
        }
    }
    all
}

/// The breakaway, by the builds that mean it held alike; the others are told.
pub(super) fn breakaway(builds: &[WearBuild], told: &mut Vec<String>) -> Fading {
    let last = builds.last().map(|build| &build.account.breakaway);
    let held = last.map_or("", |last| last.held.as_str());
    // a reading by another way of holding is another quantity
    let comparable: Vec<WearBuild> = builds
        .iter()
        .filter(|build| {
            let same = build.account.breakaway.held == held;
            if !same {
                told.push(format!(
                    "{}: its breakaway is meant {} held, not {held} held, and is not compared",
                    build.account.build, build.account.breakaway.held
                ));
            }
            same
        })
        .cloned()
        .collect();
    let nm = |torque: Option<crate::quantity::Torque>| torque.map(|torque| torque.newton_metres());
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
        "breakaway".to_string(),
        "N·m",
        stretches(&comparable, left, found),
        now,
        least,
        false,
    )
}

/// The gap of one chain, or its room for the springs, in millimetres.
pub(super) fn grown(chain: &str, most: Option<f64>, builds: &[WearBuild]) -> Fading {
    let of = |account: &Account, left: bool| {
        let closing = account.closings.iter().find(|one| one.chain == chain)?;
        let closing = if left { &closing.left } else { &closing.found };
        let closing = closing.as_ref()?;
        Some((closing.value.mm(), closing.uncertainty.mm()))
    };
    let left = |account: &Account| of(account, true).map(|(left, _)| left);
    let found = |account: &Account| of(account, false).map(|(found, _)| found);
    let kind = if most.is_some() { "gap" } else { "room" };
    let what = match chain {
        "through" => kind.to_string(),
        side => format!("{kind} {side}"),
    };
    let now = last_left(builds, |account| of(account, true));
    fading(what, "mm", stretches(builds, left, found), now, most, true)
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
    fading(
        "friction".to_string(),
        "",
        stretches(builds, left, found),
        now,
        None,
        false,
    )
}

/// The preload on one pack, or on both where one depth spans them.
pub(super) fn preload(side: usize, through: bool, builds: &[WearBuild]) -> Fading {
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
    let what = match (through, side) {
        (true, _) => "preload".to_string(),
        (false, 0) => "preload left".to_string(),
        (false, _) => "preload right".to_string(),
    };
    fading(what, "N", stretches(builds, left, found), now, least, false)
}
