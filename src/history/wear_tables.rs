//! How wear is told: the tables and sentences that the terminal and the sheet both show.

use super::display_units::DisplayUnits;
use super::fading::Fading;
use super::outlook::Outlook;
use super::remedies::Remedies;
use super::tracks::WearBuild;
use super::wear::{First, PackWear, PlateWear, UnitWear};
use crate::mechanics::Side;
use crate::mechanics::wear::Meets;
use crate::quantity::{Dimension, Units, visible};
use crate::record::Interval;
use crate::report::{Cell, Column, Holds, NOTHING, Table, number};

/// So many builds, or readings of a plate, make a line with a band.
const FEWEST: usize = 3;

/// A table whose first column is words and whose others are numbers.
pub(super) fn grid(heads: Vec<String>, rows: Vec<Vec<Cell>>) -> Table {
    let column = |(n, head)| match n {
        0 => Column::words(head),
        _ => Column::figures(head),
    };
    Table {
        columns: heads.into_iter().enumerate().map(column).collect(),
        rows,
    }
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

/// A unit's wear and its remedies, to be told in some units of measure.
#[derive(Clone, Copy)]
pub struct WearTables<'a> {
    /// How it wears.
    pub wear: &'a UnitWear<'a>,
    /// What to do about it.
    pub remedies: &'a Remedies,
    /// How values are shown.
    pub shown: DisplayUnits,
}

impl<'a> WearTables<'a> {
    /// For these units of measure.
    pub fn new(wear: &'a UnitWear, remedies: &'a Remedies, units: Units) -> WearTables<'a> {
        let along = wear.along;
        WearTables {
            wear,
            remedies,
            shown: DisplayUnits { units, along },
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
            self.shown.far(gone),
            self.shown.distance_symbol()
        )
    }

    /// Its builds.
    pub fn builds(&self) -> Table {
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
            head.extend(["friction found", "friction left"].map(String::from));
        }
        let rows = self
            .wear
            .builds
            .iter()
            .map(|build| self.build(build, sprung))
            .collect();
        grid(head, rows)
    }

    fn build(&self, build: &WearBuild, sprung: bool) -> Vec<Cell> {
        let shown = self.shown;
        let account = &build.account;
        let breakaway = &account.breakaway;
        let torque = |torque: Option<crate::quantity::Torque>| {
            Cell::maybe(torque.map(|torque| shown.torque(torque.newton_metres())), 1)
        };
        let mut row: Vec<Cell> = vec![
            // all builds of a unit begin with the same words
            account.build.rsplit('-').next().unwrap_or(&account.build).into(),
            account.begun.chars().take(10).collect::<String>().into(),
            build
                .distance
                .map_or_else(Cell::default, |far| shown.far(far).into()),
            torque(breakaway.found),
            torque(breakaway.left),
        ];
        let joined = |values: Vec<String>| match values.as_slice() {
            [] => Cell::default(),
            [one, ..] if account.through => one.as_str().into(),
            all => all.join("/").into(),
        };
        if sprung {
            let of = |force: fn(&crate::history::PackAccount) -> Option<crate::quantity::Force>| {
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
            let of = |gap: fn(&crate::history::GapAccount) -> Option<&crate::history::UncertainLength>| {
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
            row.push(Cell::maybe(breakaway.friction_found(), 3));
            row.push(Cell::maybe(
                breakaway.friction.map(|friction| friction.value()),
                3,
            ));
        }
        row
    }

    /// The friction as it is known now, and by what; `None` where that was not looked up.
    pub fn proved(&self) -> Option<String> {
        let proved = self.wear.proved.as_ref()?;
        Some(format!(
            "The friction of the plates while turning, for what is built next: {}. As found it is shown by what was read as \
             received; that is no proof.",
            proved.words()
        ))
    }

    /// What is said of a distance until a limit.
    fn until(&self, meets: Option<Meets>) -> String {
        let seen = self.wear.seen();
        match meets {
            None => NOTHING.to_string(),
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
            Outlook::TooFew { .. } => NOTHING.to_string(),
        }
    }

    fn usual(&self) -> String {
        format!("{:.0} {}", self.wear.along.usual(), self.shown.distance_symbol())
    }

    /// Breakaway, preload and gap: as left, what they lose, and when they will be at their limits. `None` where the last
    /// build says nothing of them.
    pub fn fadings(&self) -> Option<Table> {
        let shown = self.shown;
        let rows: Vec<Vec<Cell>> = self
            .wear
            .fadings()
            // what is set to a gap has no breakaway to lose
            .filter(|fading| self.wear.gaps.is_empty() || fading.grows)
            .filter_map(|fading| {
                let (now, _) = fading.now?;
                let (now, symbol, decimals) = shown.of(fading.measure, now);
                let scale = |value: f64| {
                    if fading.grows {
                        shown.small(value)
                    } else {
                        shown.of(fading.measure, value).0
                    }
                };
                let meets = match fading.outlook {
                    Outlook::Told { meets, .. } => self.until(meets),
                    Outlook::TooFew { .. } => "too few builds".to_string(),
                };
                let limit = fading.limit.map(|limit| shown.of(fading.measure, limit).0);
                let of_limit = match fading.grows {
                    true => decimals,
                    false => usize::from(shown.units == Units::Inch),
                };
                Some(vec![
                    format!("{}, {symbol}", fading.what).into(),
                    Cell::number(now, decimals),
                    self.rate(&fading.outlook, 1, scale).into(),
                    Cell::maybe(limit, of_limit),
                    meets.into(),
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
        (!rows.is_empty()).then(|| grid(head.to_vec(), rows))
    }

    /// Where the bands come from of what [`WearTables::fadings`] shows and of the plate that is first at its limit, and what would
    /// narrow each most; `None` where there is no band.
    pub fn where_from(&self) -> Option<String> {
        let shown = self.shown;
        let fadings = self.wear.fadings();
        let fadings =
            fadings.filter(|fading| fading.now.is_some() && (self.wear.gaps.is_empty() || fading.grows));
        let mut told: Vec<String> = fadings
            .filter_map(|fading| {
                let scale = |value: f64| match fading.grows {
                    true => shown.small(value),
                    false => shown.of(fading.measure, value).0,
                };
                let from = self.band_words(fading.outlook.band(&fading.doubts)?, 1, &scale);
                Some(format!("{} by {from}", fading.what))
            })
            .collect();
        let plate = self.soonest().first().and_then(|plate| {
            let from = self.band_words(plate.mean.band(&plate.doubts)?, 1 + self.few(), &|mm| {
                shown.small(mm)
            });
            Some(format!("plate {} by {from}", visible(plate.track.name)))
        });
        told.extend(plate);
        (!told.is_empty()).then(|| format!("Where the bands come from: {}.", told.join("; ")))
    }

    /// What a band of a rate comes from, and what would narrow it most, for the usual distance.
    fn band_words(&self, band: Interval<f64>, decimals: usize, scale: &dyn Fn(f64) -> f64) -> String {
        let for_usual = self.wear.along.usual() * self.shown.one();
        let narrowed = band.narrowed_by(|rate| rate, &|half| {
            Some(number(scale(half * for_usual), decimals))
        });
        let narrowed = narrowed.map_or_else(String::new, |words| format!(" ({words})"));
        format!("{}{narrowed}", band.from_what())
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
        let value = |value: f64| shown.of(fading.measure, value).0;
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
            what: fading.what.to_string(),
            measure: shown.of(fading.measure, 0.0).1,
            along: shown.distance_symbol(),
            points,
            limit: fading.limit.map(value),
        })
    }

    /// The plates of a pack, from the case wall, below what the pack is called and loses; `None` where it has none.
    pub fn pack(&self, pack: &PackWear) -> Option<(String, Table)> {
        let shown = self.shown;
        let rows: Vec<Vec<Cell>> = self
            .inside(pack.side)
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
            let title = format!("The {} pack{together}", pack.side);
            (title, grid(self.plate_head(), rows))
        })
    }

    /// The plates that are in a pack.
    pub fn inside(&self, side: Side) -> impl Iterator<Item = &'a PlateWear<'a>> {
        let wear = self.wear;
        wear.plates
            .iter()
            .filter(move |plate| wear.has(plate) && plate.track.side == Some(side))
    }

    /// Decimals of what a whole pack loses.
    fn few(&self) -> usize {
        usize::from(self.shown.units == Units::Inch)
    }

    /// The heads of the columns of plates.
    fn plate_head(&self) -> Vec<String> {
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
    fn plate(&self, plate: &PlateWear) -> Option<Vec<Cell>> {
        let shown = self.shown;
        let last = plate.track.sightings.last()?;
        let meets = match plate.least {
            Outlook::Told { meets, .. } => self.until(meets),
            // three at one place are no line
            Outlook::TooFew { points, .. } if points >= FEWEST => "all at one distance".to_string(),
            Outlook::TooFew { points, .. } => format!("too few ({points})"),
        };
        let limit = plate.track.limit.map(|limit| shown.length(limit.mm()));
        let inch = usize::from(shown.units == Units::Inch);
        Some(vec![
            plate.track.name.into(),
            Cell::number(shown.length(last.least.mm()), shown.fine()),
            Cell::number(shown.small(plate.lost.mm()), inch),
            self.rate(&plate.mean, 1 + inch, |mm| shown.small(mm)).into(),
            Cell::maybe(limit, 2 + 2 * inch),
            meets.into(),
        ])
    }

    /// Those plates that are in the unit, of any pack, in this order.
    pub fn plates(&self, plates: &[&PlateWear]) -> Table {
        let mut head = self.plate_head();
        head.insert(1, "pack".to_string());
        let rows = plates.iter().filter_map(|plate| {
            let mut row = self.plate(plate)?;
            row.insert(1, plate.track.side.map_or("", Side::word).into());
            Some(row)
        });
        let mut table = grid(head, rows.collect());
        table.columns[1].holds = Holds::Words;
        table
    }

    /// Where the plates are that are not in the unit any more; `None` where there are none.
    pub fn outside(&self) -> Option<String> {
        let whereabouts = |plate: &PlateWear| {
            let track = &plate.track;
            let words = match (&track.rejected, &track.unit) {
                (Some((build, why)), _) => format!("{}, thrown out at {build} ({why})", track.name),
                (None, Some(unit)) => format!("{}, now in {unit}", track.name),
                (None, None) => format!("{}, in no pack", track.name),
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
        let shown = self.shown;
        let first = self.wear.first();
        match first.map(|first| (first.earliest(), first.outlook.middle(), first)) {
            Some((earliest, _, First { what, lacks: None, .. })) if earliest > 0.0 => format!(
                "First to come, at the earliest: {what}, {} {} after the last build.",
                shown.rough_at_most(earliest),
                shown.distance_symbol()
            ),
            Some((earliest, _, First { what, lacks: Some((build, used)), .. })) if earliest > 0.0 => format!(
                "First to come, at the earliest: {what}, {} {} after {build}, of which at least {} are used up; since when is \
                 unknown.",
                shown.rough_at_most(earliest + used),
                shown.distance_symbol(),
                shown.far(used)
            ),
            Some((_, Some(at), first)) if at <= 0.0 => {
                format!("First to come: {}, which is there already.", first.what)
            }
            Some((.., first)) => format!("First to come: {}, which may be there already.", first.what),
            None if self.wear.builds.len() < FEWEST => {
                "When a limit will be met is not said from fewer than three builds: a line through two has no band."
                    .to_string()
            }
            None => "When a limit will be met can not be said from these builds.".to_string(),
        }
    }

    /// How bands are to be read.
    pub fn bands(&self) -> &'static str {
        "In brackets stands a 95 % band, of a straight line by least squares: where the line itself meets the limit; single \
         readings scatter about it besides. Distances count from the last build. A limit that has only a \"not before\" is one \
         that may never be met: the loss is not told from none. The maker's manual and its intervals come first."
    }
}
