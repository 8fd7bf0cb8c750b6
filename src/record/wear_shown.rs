//! How wear is told: the tables and sentences that the terminal and the sheet both show.

use super::remedies::{FAR, Lasts, Reckoned, Remedies, Remedy, What};
use super::wear::{Along, Fading, Outlook, PackWear, PlateWear, UnitWear, WearBuild};
use crate::mechanics::wear::Meets;
use crate::quantity::{Dimension, Units, unit_named, visible};

/// In which units of measure values are shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shown {
    /// Of lengths, forces and torques, and of distances.
    pub units: Units,
    /// What distances are counted in.
    pub along: Along,
}

/// A table before it is laid out. The first column is words, the others are numbers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Grid {
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows.
    pub rows: Vec<Vec<String>>,
}

/// Values over distance, for a picture.
#[derive(Clone, PartialEq, Debug)]
pub struct Trace {
    /// What is read upwards.
    pub what: String,
    /// Its unit of measure.
    pub measure: &'static str,
    /// What is read to the right.
    pub along: &'static str,
    /// The points, in the order of time.
    pub points: Vec<(f64, f64)>,
    /// The limit.
    pub limit: Option<f64>,
}

impl Shown {
    fn value(dimension: Dimension, units: Units, si: f64) -> f64 {
        unit_named(dimension.usual_unit(units)).map_or(si, |row| row.from_si(si))
    }

    /// Newton metres.
    pub fn torque(self, newton_metres: f64) -> f64 {
        Shown::value(Dimension::Torque, self.units, newton_metres)
    }

    /// Newtons.
    pub fn force(self, newtons: f64) -> f64 {
        Shown::value(Dimension::Force, self.units, newtons)
    }

    /// Millimetres.
    pub fn length(self, mm: f64) -> f64 {
        Shown::value(Dimension::Length, self.units, mm / 1e3)
    }

    /// Millimetres, where they are few.
    pub fn small(self, mm: f64) -> f64 {
        unit_named(self.small_symbol()).map_or(mm, |row| row.from_si(mm / 1e3))
    }

    /// The unit of measure of lengths that are few.
    pub fn small_symbol(self) -> &'static str {
        match self.units {
            Units::Metric => "µm",
            Units::Inch => "thou",
        }
    }

    fn symbol(self, dimension: Dimension) -> &'static str {
        dimension.usual_unit(self.units)
    }

    /// The unit of measure of distances.
    pub fn distance_symbol(self) -> &'static str {
        match self.along {
            Along::Kilometres => self.symbol(Dimension::Distance),
            Along::Hours => self.along.symbol(),
        }
    }

    /// A distance of the unit's own counting.
    pub fn distance(self, along: f64) -> f64 {
        match self.along {
            Along::Kilometres => Shown::value(Dimension::Distance, self.units, along * 1e3),
            Along::Hours => along,
        }
    }

    /// How much of its own counting is in one of the unit of measure that is shown.
    fn one(self) -> f64 {
        1.0 / self.distance(1.0)
    }

    /// A value of `mm`, `N` or `N·m` in the unit of measure that is shown, with that unit and the decimals that it has; one
    /// without a measure as it is.
    pub fn of(self, measure: &str, value: f64) -> (f64, &'static str, usize) {
        match measure {
            "N·m" => (self.torque(value), self.symbol(Dimension::Torque), 1),
            "N" => match self.units {
                Units::Metric => (value, "N", 0),
                Units::Inch => (self.force(value), "lbf", 1),
            },
            "mm" => (self.length(value), self.symbol(Dimension::Length), self.fine()),
            _ => (value, "", 3),
        }
    }

    /// Decimals of a length.
    fn fine(self) -> usize {
        match self.units {
            Units::Metric => 3,
            Units::Inch => 4,
        }
    }

    /// A distance to two digits: a band is no surer.
    pub fn rough(self, along: f64) -> String {
        let shown = self.distance(along);
        let step = 10_f64.powf((shown.abs().max(1.0).log10().floor() - 1.0).max(0.0));
        let decimals = usize::from(shown.abs() < 10.0 && self.along == Along::Hours);
        if decimals > 0 {
            return format!("{shown:.1}");
        }
        format!("{:.0}", (shown / step).round() * step)
    }

    /// The middle, and its band where there is one; nothing past what was seen by far.
    fn band(self, at: Option<f64>, from: f64, to: Option<f64>, seen: f64) -> String {
        let far = FAR * seen;
        if from > far {
            return format!("over {}", self.rough(far));
        }
        let Some(at) = at else {
            return if from > 0.0 {
                format!("not before {}", self.rough(from))
            } else {
                "can not be told".to_string()
            };
        };
        let (at, from) = (at.max(0.0), from.max(0.0));
        let to = match to {
            Some(to) if to <= far => self.rough(to.max(0.0)),
            _ => format!("over {}", self.rough(far)),
        };
        format!("{} ({} to {to})", self.rough(at), self.rough(from))
    }
}

fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(nothing) if nothing.chars().all(|c| "0.".contains(c)) => nothing.to_string(),
        _ => text,
    }
}

/// A unit's wear and its remedies, to be told in some units of measure.
#[derive(Clone, Copy)]
pub struct WearShown<'a> {
    /// How it wears.
    pub wear: &'a UnitWear,
    /// What to do about it.
    pub remedies: &'a Remedies,
    /// How values are shown.
    pub shown: Shown,
}

impl<'a> WearShown<'a> {
    /// For these units of measure.
    pub fn new(wear: &'a UnitWear, remedies: &'a Remedies, units: Units) -> WearShown<'a> {
        let along = wear.along;
        WearShown {
            wear,
            remedies,
            shown: Shown { units, along },
        }
    }

    /// How many builds there are, and how far they lie apart.
    pub fn headline(&self) -> String {
        let count = self.wear.builds.len();
        // each distance counts from where the unit was last built, so that they can not simply be added
        let gone: f64 = self
            .wear
            .builds
            .windows(2)
            .filter(|pair| pair[0].gone.run == pair[1].gone.run)
            .map(|pair| pair[1].gone.at - pair[0].gone.at)
            .sum();
        format!(
            "{count} finished {}, {} {} between them",
            if count == 1 { "build" } else { "builds" },
            number(self.shown.distance(gone), 0),
            self.shown.distance_symbol()
        )
    }

    /// Its builds.
    pub fn builds(&self) -> Grid {
        let shown = self.shown;
        let (torque, force) = (shown.symbol(Dimension::Torque), shown.symbol(Dimension::Force));
        let mut head: Vec<String> = ["build", "begun", shown.distance_symbol()]
            .map(String::from)
            .to_vec();
        let sprung = !self.wear.preload.is_empty();
        head.extend([format!("{torque} found"), format!("{torque} left")]);
        if sprung {
            head.extend([format!("{force} found"), format!("{force} left")]);
        }
        if !self.wear.gaps.is_empty() {
            let length = shown.symbol(Dimension::Length);
            head.extend([format!("gap found {length}"), format!("gap left {length}")]);
        }
        if sprung {
            head.push("friction".to_string());
        }
        let rows = self
            .wear
            .builds
            .iter()
            .map(|build| self.build(build, sprung))
            .collect();
        Grid { head, rows }
    }

    fn build(&self, build: &WearBuild, sprung: bool) -> Vec<String> {
        let shown = self.shown;
        let account = &build.account;
        let breakaway = &account.breakaway;
        let maybe =
            |value: Option<f64>, decimals| value.map_or("-".to_string(), |value| number(value, decimals));
        let torque = |torque: Option<crate::quantity::Torque>| {
            maybe(torque.map(|torque| shown.torque(torque.newton_metres())), 1)
        };
        let mut row = vec![
            // all builds of a unit begin with the same words
            account
                .build
                .rsplit('-')
                .next()
                .unwrap_or(&account.build)
                .to_string(),
            account.begun.chars().take(10).collect(),
            maybe(build.distance.map(|distance| shown.distance(distance)), 0),
            torque(breakaway.found),
            torque(breakaway.left),
        ];
        let joined = |values: Vec<String>| match values.as_slice() {
            [] => "-".to_string(),
            [one, ..] if account.through => one.clone(),
            all => all.join("/"),
        };
        if sprung {
            let of = |force: fn(&crate::record::PackAccount) -> Option<crate::quantity::Force>| {
                let forces = account.packs.iter().filter_map(force);
                joined(
                    forces
                        .map(|force| number(shown.force(force.newtons()), 0))
                        .collect(),
                )
            };
            row.push(of(|pack| pack.preload_found));
            row.push(of(|pack| pack.preload_left));
        }
        if !self.wear.gaps.is_empty() {
            let of = |gap: fn(&crate::record::ClosingAccount) -> Option<&crate::record::Doubted>| {
                let gaps = account.closings.iter().filter_map(gap);
                joined(
                    gaps.map(|gap| number(shown.length(gap.value.mm()), shown.fine()))
                        .collect(),
                )
            };
            row.push(of(|closing| closing.found.as_ref()));
            row.push(of(|closing| closing.left.as_ref()));
        }
        if sprung {
            row.push(maybe(breakaway.friction.map(|friction| friction.value()), 3));
        }
        row
    }

    /// What is said of a distance until a limit.
    fn until(&self, meets: Option<Meets>) -> String {
        let seen = self.wear.seen();
        match meets {
            None => "-".to_string(),
            Some(Meets::Already) => "now".to_string(),
            Some(Meets::Never) => "does not wear".to_string(),
            Some(Meets::Within { at, from, to }) => self.shown.band(Some(at), from, Some(to), seen),
            Some(Meets::NotBefore { from, .. }) => self.shown.band(None, from, None, seen),
        }
    }

    /// A rate with its band, for the usual distance; `scale` makes the value that is shown of it.
    fn rate(&self, outlook: &Outlook, decimals: usize, scale: impl Fn(f64) -> f64) -> String {
        let for_usual = self.wear.along.usual() * self.shown.one();
        let rated = |rate: f64| number(scale(rate * for_usual), decimals);
        match outlook {
            Outlook::Told { rate, interval, .. } => {
                format!(
                    "{} ({} to {})",
                    rated(*rate),
                    rated(interval.0),
                    rated(interval.1)
                )
            }
            Outlook::TooFew { rate: Some(rate), .. } => format!("{} (from two)", rated(*rate)),
            Outlook::TooFew { .. } => "-".to_string(),
        }
    }

    fn usual(&self) -> String {
        format!("{:.0} {}", self.wear.along.usual(), self.shown.distance_symbol())
    }

    /// Breakaway, preload and gap: as left, what they lose, and when they will be at their limits. `None` where the last
    /// build says nothing of them.
    pub fn fadings(&self) -> Option<Grid> {
        let shown = self.shown;
        let rows: Vec<Vec<String>> = self
            .wear
            .fadings()
            // what is set to a gap has no breakaway to lose
            .filter(|fading| self.wear.gaps.is_empty() || fading.grows)
            .filter_map(|fading| {
                let (now, _) = fading.now?;
                let (now, symbol, decimals) = shown.of(fading.symbol, now);
                let scale = |value: f64| {
                    if fading.grows {
                        shown.small(value)
                    } else {
                        shown.of(fading.symbol, value).0
                    }
                };
                let meets = match fading.outlook {
                    Outlook::Told { meets, .. } => self.until(meets),
                    Outlook::TooFew { .. } => "too few builds".to_string(),
                };
                let limit = fading.limit.map_or("-".to_string(), |limit| {
                    let limit = shown.of(fading.symbol, limit).0;
                    number(
                        limit,
                        if fading.grows {
                            decimals
                        } else {
                            usize::from(shown.units == Units::Inch)
                        },
                    )
                });
                Some(vec![
                    format!("{}, {symbol}", fading.what),
                    number(now, decimals),
                    self.rate(&fading.outlook, 1, scale),
                    limit,
                    meets,
                ])
            })
            .collect();
        let gap = !self.wear.gaps.is_empty();
        let (moves, limit) = if gap {
            (
                format!("grows in {}, {}", self.usual(), shown.small_symbol()),
                "most",
            )
        } else {
            (format!("lost in {}", self.usual()), "least")
        };
        let to_go = format!("{} to the {limit}", shown.distance_symbol());
        let head = [
            String::new(),
            "as left".to_string(),
            moves,
            limit.to_string(),
            to_go,
        ];
        (!rows.is_empty()).then(|| Grid {
            head: head.to_vec(),
            rows,
        })
    }

    /// The breakaway, or each gap, from build to build: as left, and what was found. One of fewer than three points is no
    /// picture.
    pub fn saws(&self) -> Vec<Trace> {
        let fadings: Vec<&Fading> = match self.wear.gaps.as_slice() {
            [] => vec![&self.wear.breakaway],
            gaps => gaps.iter().collect(),
        };
        fadings
            .into_iter()
            .filter_map(|fading| self.saw(fading))
            .collect()
    }

    fn saw(&self, fading: &Fading) -> Option<Trace> {
        let shown = self.shown;
        let value = |value: f64| shown.of(fading.symbol, value).0;
        let mut points = Vec::new();
        let mut at = 0.0;
        for stretch in &fading.stretches {
            points.push((shown.distance(at), value(stretch.left)));
            at += stretch.distance;
            points.push((shown.distance(at), value(stretch.found)));
        }
        if let Some((now, _)) = fading.now.filter(|_| !points.is_empty()) {
            points.push((shown.distance(at), value(now)));
        }
        (points.len() >= 3 && at > 0.0).then(|| Trace {
            what: fading.what.clone(),
            measure: shown.of(fading.symbol, 0.0).1,
            along: shown.distance_symbol(),
            points,
            limit: fading.limit.map(value),
        })
    }

    /// The plates of a pack, from the case wall, below what the pack is called and loses; `None` where it has none.
    pub fn pack(&self, pack: &PackWear) -> Option<(String, Grid)> {
        let shown = self.shown;
        let rows: Vec<Vec<String>> = self
            .inside(&pack.side)
            .filter_map(|plate| self.plate(plate))
            .collect();
        let together = match pack.outlook.rate() {
            Some(_) => format!(
                ", {} {} in {} together",
                self.rate(&pack.outlook, self.few(), |mm| shown.small(mm)),
                shown.small_symbol(),
                self.usual()
            ),
            None => String::new(),
        };
        (!rows.is_empty()).then(|| {
            let grid = Grid {
                head: self.plate_head(),
                rows,
            };
            (format!("The {} pack{together}", pack.side), grid)
        })
    }

    /// The plates that are in a pack.
    pub fn inside(&self, side: &str) -> impl Iterator<Item = &'a PlateWear> {
        let wear = self.wear;
        let side = side.to_string();
        wear.plates
            .iter()
            .filter(move |plate| wear.has(plate) && plate.track.side == side)
    }

    /// Decimals of what a whole pack loses.
    fn few(&self) -> usize {
        usize::from(self.shown.units == Units::Inch)
    }

    /// The heads of the columns of plates.
    pub fn plate_head(&self) -> Vec<String> {
        let shown = self.shown;
        let (length, small) = (shown.symbol(Dimension::Length), shown.small_symbol());
        vec![
            "plate".to_string(),
            format!("least {length}"),
            format!("lost {small}"),
            format!("{small} in {}", self.usual()),
            "limit".to_string(),
            format!("{} to the limit", shown.distance_symbol()),
        ]
    }

    /// One plate.
    pub fn plate(&self, plate: &PlateWear) -> Option<Vec<String>> {
        let shown = self.shown;
        let last = plate.track.sightings.last()?;
        let meets = match plate.least {
            Outlook::Told { meets, .. } => self.until(meets),
            Outlook::TooFew { points, .. } => format!("too few ({points})"),
        };
        let limit = plate.track.limit.map(|limit| shown.length(limit.mm()));
        let inch = usize::from(shown.units == Units::Inch);
        Some(vec![
            plate.track.name.clone(),
            number(shown.length(last.least.mm()), shown.fine()),
            number(shown.small(plate.lost.mm()), inch),
            self.rate(&plate.mean, 1 + inch, |mm| shown.small(mm)),
            limit.map_or("-".to_string(), |limit| number(limit, 2 + 2 * inch)),
            meets,
        ])
    }

    /// Where the plates are that are not in the unit any more; `None` where there are none.
    pub fn outside(&self) -> Option<String> {
        let whereabouts = |plate: &PlateWear| {
            let track = &plate.track;
            let words = match (&track.rejected, &track.unit) {
                (Some((build, why)), _) => format!("{}, thrown out at {build} ({why})", track.name),
                (None, Some(unit)) => format!("{}, now in {unit}", track.name),
                (None, None) => format!("{}, outside", track.name),
            };
            visible(&words).into_owned()
        };
        let outside: Vec<String> = self
            .wear
            .plates
            .iter()
            .filter(|plate| !self.wear.has(plate))
            .map(whereabouts)
            .collect();
        (!outside.is_empty()).then(|| format!("Not in the unit: {}.", outside.join("; ")))
    }

    /// What will be at a limit first.
    pub fn first(&self) -> String {
        match self.wear.first() {
            Some((what, earliest)) if earliest > 0.0 => format!(
                "First to come, at the earliest: {what}, {} {} after the last build.",
                self.shown.rough(earliest),
                self.shown.distance_symbol()
            ),
            Some((what, _)) => format!("First to come: {what}, which may be there already."),
            None if self.wear.builds.len() < 3 => {
                "When a limit will be met is not said from fewer than three builds: a line through two has no band."
                    .to_string()
            }
            None => "When a limit will be met can not be said from these builds.".to_string(),
        }
    }

    /// For which distance the remedies are reckoned, and what the unit will be like by its own trends.
    pub fn by_then(&self) -> String {
        let shown = self.shown;
        let remedies = self.remedies;
        let after = shown.distance(remedies.after);
        let after = match (remedies.reckoned, self.wear.along) {
            (Reckoned::Asked, Along::Kilometres) => number(after, 0),
            (Reckoned::Asked, Along::Hours) => number(after, 1),
            _ => shown.rough(remedies.after),
        };
        let distance = format!("{after} {}", shown.distance_symbol());
        let mut words = match remedies.reckoned {
            Reckoned::Asked => format!("{distance} after the last build"),
            Reckoned::AtTheEarliest if remedies.after > 0.0 => {
                format!("{distance} after the last build, where a limit may be met at the earliest")
            }
            Reckoned::AtTheEarliest => "As it was last left, since a limit may be met already".to_string(),
            Reckoned::Now => "As it was last left".to_string(),
        };
        let gap = !self.wear.gaps.is_empty();
        let trends: Vec<String> = remedies
            .by_trend
            .iter()
            .filter(|trend| !gap || trend.symbol == "mm")
            .map(|trend| {
                let of = |value: f64| shown.of(trend.symbol, value).0;
                let (value, symbol, decimals) = shown.of(trend.symbol, trend.value);
                let band = trend.band.map_or(String::new(), |(low, high)| {
                    let [low, high] = [low, high].map(|end| number(of(end), decimals));
                    format!(" ({low} to {high})")
                });
                format!("{} {}{band} {symbol}", trend.what, number(value, decimals))
            })
            .collect();
        if !trends.is_empty() {
            words.push_str(&format!("; by the trends themselves: {}", trends.join(", ")));
        }
        words.push('.');
        words
    }

    /// What each remedy brings; `None` where there is nothing to reckon from.
    pub fn remedies(&self) -> Option<Grid> {
        let shown = self.shown;
        let gap = !self.wear.gaps.is_empty();
        let distance = shown.distance_symbol();
        let plate = format!("{distance} to a plate's limit");
        let head: Vec<String> = if gap {
            let length = shown.symbol(Dimension::Length);
            vec![
                "done".to_string(),
                format!("gap {length}"),
                format!("{distance} to the most gap"),
                plate,
            ]
        } else {
            let torque = shown.symbol(Dimension::Torque);
            vec![
                "done".to_string(),
                shown.symbol(Dimension::Force).to_string(),
                torque.to_string(),
                format!("brings {torque}"),
                format!("{distance} to the least"),
                plate,
            ]
        };
        let rows: Vec<Vec<String>> = self
            .remedies
            .list
            .iter()
            .map(|remedy| self.remedy(remedy, gap))
            .collect();
        (!rows.is_empty()).then_some(Grid { head, rows })
    }

    fn remedy(&self, remedy: &Remedy, gap: bool) -> Vec<String> {
        let shown = self.shown;
        let through = self.wear.builds.last().is_some_and(|build| build.account.through);
        let pair = |values: [String; 2]| match values {
            [left, right] if through || left == right => left,
            [left, right] => format!("{left}/{right}"),
        };
        let lasts = |lasts: &Option<Lasts>, named: &str| {
            lasts.as_ref().map_or("-".to_string(), |lasts| {
                let band = if lasts.at.is_some_and(|at| at <= 0.0) {
                    "now".to_string()
                } else {
                    shown.band(lasts.at, lasts.from, lasts.to, self.wear.seen())
                };
                let name = lasts.what.strip_prefix(named).unwrap_or(&lasts.what);
                format!("{band}, {name}")
            })
        };
        let mut row = vec![remedy.short(shown.units)];
        if gap {
            let gaps: Vec<String> = remedy
                .stands
                .gaps
                .iter()
                .map(|(_, gap)| number(shown.length(gap.mm()), shown.fine()))
                .collect();
            row.push(gaps.join("/"));
        } else {
            let force = remedy
                .stands
                .preload
                .map(|forces| pair(forces.map(|force| number(shown.force(force.newtons()), 0))));
            row.push(force.unwrap_or_else(|| "-".to_string()));
            let doubted = |doubt: Option<f64>| {
                doubt.map_or(String::new(), |doubt| {
                    format!(" ± {}", number(shown.torque(doubt), 1))
                })
            };
            row.push(remedy.stands.breakaway.map_or("-".to_string(), |one| {
                format!(
                    "{}{}",
                    number(shown.torque(one.value.newton_metres()), 1),
                    doubted(one.doubt)
                )
            }));
            row.push(match (&remedy.brings, &remedy.what) {
                (Some(brings), what) => {
                    let sign = if brings.value >= 0.05 { "+" } else { "" };
                    let doubt = match (brings.doubt, what) {
                        (None, What::Oil { .. }) => ", one build".to_string(),
                        (doubt, _) => doubted(doubt),
                    };
                    format!("{sign}{}{doubt}", number(shown.torque(brings.value), 1))
                }
                (None, _) => String::new(),
            });
        }
        row.push(lasts(&remedy.holds, ""));
        row.push(lasts(&remedy.plate, "plate "));
        row
    }

    /// What each remedy takes and costs, a paragraph each, then what had to be told.
    pub fn remedy_words(&self) -> Vec<String> {
        let long = self.remedies.list.iter().map(|remedy| remedy.long(self.shown));
        long.filter(|words| !words.is_empty())
            .chain(self.remedies.told.iter().cloned())
            .collect()
    }

    /// What stands behind the remedies.
    pub fn assumed(&self) -> &'static str {
        if self.wear.gaps.is_empty() {
            "Remedies are reckoned with plates worn by the lines of their packs and, but for oil, the friction of the last \
             proof; ± is at 95 %. Distances count from there on; the bands of the trends are wider, since they rest on fewer \
             values. Wear is taken to go with the pressure of the springs (Archard's \
             law): the ramps press besides, under power, and not harder for more preload, so what more preload costs is the most \
             that it can cost."
        } else {
            "Remedies are reckoned with gaps that grow by their lines. Distances count from there on. What presses the plates \
             is the thrust of the ramps, which a gap does not change, so other shims cost the plates nothing and bring back no \
             thickness."
        }
    }

    /// How bands are to be read.
    pub fn bands(&self) -> &'static str {
        "In brackets stands a 95 % band, of a straight line by least squares: where the line itself meets the limit; single \
         readings scatter about it besides. Distances count from the last build. A limit that has only a \"not before\" is one \
         that may never be met: the loss is not told from none. The maker's manual and its intervals come first."
    }
}
