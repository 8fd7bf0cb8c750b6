//! Settings that were driven, compared over the drive days of the book, and the plan of the next day.

use super::book_log::BookLog;
use super::chance::drawn_number;
use super::day::DayOf;
use super::days::{AllDays, all_days};
use super::driven::driven_by_name;
use super::failure::Failure;
use super::histories::every_account;
use crate::book::Shelf;
use crate::history::driven::{
    DayPlan, FeltLast, SettingsCompared, WORTH_HAVING, claimed_twice, felt_last, is_same_setting, order_of,
};
use crate::metrology::runs_to_show;
use crate::procedure::DaySession;
use crate::quantity::Units;
use crate::record::driven::{Day, DrawnOrder, Driven};
use crate::report::Report;

/// Why two builds may be one setting under two names: their packs were left the same.
fn alike(shelf: &Shelf, settings: [&Driven; 2]) -> Result<Option<String>, Failure> {
    let [Driven::Record(first), Driven::Record(second)] = settings else {
        return Ok(None);
    };
    let accounts = every_account(shelf, None)?;
    let packs = |build: &str| {
        let account = accounts.iter().find(|account| account.build == build)?;
        let packs = account
            .packs
            .iter()
            .map(|pack| (pack.plates_left.clone(), pack.shims_left.clone()));
        Some((account.unit.clone(), packs.collect::<Vec<_>>()))
    };
    let same = packs(&first.build).is_some_and(|one| packs(&second.build) == Some(one));
    Ok(same.then(|| {
        format!(
            "{} and {} were left with the same plates and shims: what is compared may be one setting under two names",
            first.build, second.build
        )
    }))
}

/// A comparison, as it is asked for.
pub(crate) struct AskedRuns<'a> {
    /// The two settings by name.
    pub settings: [&'a str; 2],
    /// Only these days; all where there are none.
    pub days: &'a [String],
    /// The difference in seconds that is worth having.
    pub worth: f64,
}

/// Compares two settings over the days of the book.
pub(crate) fn compared_settings(shelf: &Shelf, asked: &AskedRuns<'_>) -> Result<SettingsCompared, Failure> {
    let AllDays { days, .. } = all_days(shelf)?;
    if let Some(missing) = asked
        .days
        .iter()
        .find(|name| !days.iter().any(|opened| opened.day.name == **name))
    {
        return Err(Failure::NoDay(missing.clone()));
    }
    let wanted: Vec<&Day> = days
        .iter()
        .filter(|opened| asked.days.is_empty() || asked.days.contains(&opened.day.name))
        .filter(|opened| !opened.session.is_voided())
        .map(|opened| &opened.day)
        .collect();
    let find = |name: &str| driven_by_name(&wanted, name).ok_or_else(|| Failure::NotDriven(name.to_string()));
    let [(first, first_called), (second, second_called)] =
        [find(asked.settings[0])?, find(asked.settings[1])?];
    if is_same_setting(&first, &second) {
        return Err(Failure::Unit(format!(
            "{} and {} are one setting: there is nothing to compare",
            asked.settings[0], asked.settings[1]
        )));
    }
    let mut compared = SettingsCompared::of(
        &wanted,
        [&first, &second],
        [first_called, second_called],
        asked.worth,
    );
    compared.told.extend(alike(shelf, [&first, &second])?);
    compared.told.extend(claimed_twice(&wanted));
    for opened in &days {
        let counts = compared.days.contains(&opened.day.name);
        let problems = opened.problems.iter().chain(&opened.newer);
        compared.told.extend(
            problems
                .filter(|_| counts)
                .map(|why| format!("{}: {why}", opened.day.name)),
        );
    }
    Ok(compared)
}

/// The plan of a day, as it is asked for.
pub(crate) struct AskedPlan {
    /// What the day is of.
    pub of: DayOf,
    /// Two or three settings by name: builds, or the words for the files of the day.
    pub settings: Vec<String>,
    /// How many runs.
    pub runs: usize,
    /// In blocks of four.
    pub blocks: bool,
    /// So many changes of the setting at the most.
    pub changes: Option<usize>,
    /// The seed, to draw an order again; else one that nobody can foretell.
    pub seed: Option<u64>,
    /// How bare numbers will be read.
    pub units: Units,
}

/// Draws the order of a day, begins the day with it in the book, and says what it can tell.
pub(crate) fn plan_day(asked: &AskedPlan) -> Result<Report, Failure> {
    let clock = asked.of.clock()?;
    let (shelf, sources) = asked.of.gather(&clock)?;
    let mut settings: Vec<Driven> = Vec::new();
    for name in &asked.settings {
        let known = sources
            .job
            .settings
            .iter()
            .find(|setting| setting.key.eq_ignore_ascii_case(name));
        let Some(known) = known else {
            return Err(Failure::NotDriven(name.clone()));
        };
        if settings.iter().any(|one| is_same_setting(one, &known.driven)) {
            return Err(Failure::Unit(format!(
                "{name} is planned twice: settings to compare are different ones"
            )));
        }
        settings.push(known.driven.clone());
    }
    if !(2..=3).contains(&settings.len()) {
        return Err(Failure::Unit(format!(
            "{} settings are given; a day compares two or three",
            settings.len()
        )));
    }
    let three = settings.len() == 3;
    let mut drawn = DrawnOrder {
        from: match (three, asked.blocks) {
            (true, _) => "mirrored",
            (false, true) => "blocks",
            (false, false) => "balanced",
        }
        .to_string(),
        changes: asked.changes.filter(|_| !three),
        seed: asked.seed.unwrap_or_else(|| drawn_number() >> 12),
        settings,
        order: vec![0; asked.runs],
    };
    drawn.order = order_of(&drawn)?;
    let called: Vec<String> = drawn
        .settings
        .iter()
        .map(|setting| sources.job.called(setting))
        .collect();
    let AllDays { days, .. } = all_days(&shelf)?;
    let of_car: Vec<&Day> = days
        .iter()
        .map(|opened| &opened.day)
        .filter(|day| day.car == sources.job.car)
        .collect();
    let scatter = scatter_of(&of_car, &drawn.settings);
    let needed = scatter.and_then(|scatter| runs_to_show(scatter, WORTH_HAVING, 0.95).ok().flatten());
    let first: Vec<String> = felt_last(&of_car)
        .map(|(_, felt)| felt.iter().filter_map(FeltLast::words).collect())
        .unwrap_or_default();
    let entry = drawn.entry(&sources.job, &clock.time(), "");
    let (journal, _): (_, DaySession) =
        sources.begin(&mut BookLog::of(&shelf), asked.units, &clock, &[entry])?;
    let plan = DayPlan {
        day: journal.id().as_str(),
        drawn: &drawn,
        called: &called,
        scatter,
        needed,
        first: &first,
    };
    Ok(plan.report()?)
}

/// How much a run scattered on the days of a car that had two of these settings, or else of any two.
fn scatter_of(days: &[&Day], settings: &[Driven]) -> Option<f64> {
    let of = |first: &Driven, second: &Driven| {
        let found = SettingsCompared::of(days, [first, second], ["", ""], WORTH_HAVING);
        found.times.ok().map(|times| times.scatter)
    };
    let planned = settings.windows(2).find_map(|pair| of(&pair[0], &pair[1]));
    planned.or_else(|| {
        let last = days.last()?.settings();
        let (first, second) = (last.first()?, last.get(1)?);
        of(&first.0, &second.0)
    })
}
