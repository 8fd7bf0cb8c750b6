//! `fleet`: what is due of all units, in words.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, UnitsWord};
use super::settle::day;
use crate::app::days::{AllDays, all_days};

use crate::app::output::{Laid, Over, lay_down, text_of, told, write_out};
use crate::app::{each_brief, each_shelved, many, there, warn_of};
use crate::book::Shelf;
use crate::history::due_days::{BY_DISTANCE, DueDays};
use crate::history::{Fleet, FleetState, FleetUnit};
use crate::quantity::visible;
use crate::record::driven::Day;
use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct FleetArguments {
    /// Only this unit; may be given several times
    #[arg(long = "unit-id", alias = "unit", value_name = "ID")]
    pub unit: Vec<String>,
    /// Only units whose car has these words in it
    #[arg(long = "car-words", alias = "car", value_name = "WORDS")]
    pub car: Option<String>,
    /// Only units in this state; may be given several times
    #[arg(long, value_name = "STATE", value_parser = PossibleValuesParser::new(FleetState::ALL.map(typed)))]
    pub state: Vec<String>,
    /// Only units that need work: damaged, not finished, past a limit or near it
    #[arg(long)]
    pub due: bool,
    /// Open jobs by the day that they are promised for, and all days on which something is due
    #[arg(long)]
    pub open: bool,
    /// Write the days on which something is due to this file, as a calendar (RFC 5545) for other programs; - for the standard
    /// output
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub calendar: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "calendar")]
    pub replace: bool,
    /// The day on which instruments are held against their due days, as 2027-03-31; today if not given
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Read every journal again instead of what was kept of it
    #[arg(long)]
    pub afresh: bool,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// A state as it is typed; it used to be typed by its words, and may be still.
fn typed(state: FleetState) -> PossibleValue {
    let value = PossibleValue::new(state.key());
    match state.words() {
        words if words == state.key() => value,
        words => value.alias(words),
    }
}

impl FleetArguments {
    fn takes(&self, unit: &FleetUnit) -> bool {
        let car = self.car.as_ref().is_none_or(|words| {
            let known = unit.car.to_lowercase();
            known.contains(&words.to_lowercase())
        });
        car && (self.unit.is_empty() || self.unit.contains(&unit.unit))
            && (self.state.is_empty()
                || FleetState::ALL.iter().any(|state| {
                    unit.is_in(*state)
                        && self
                            .state
                            .iter()
                            .any(|word| [state.key(), state.words()].contains(&word.as_str()))
                }))
            && (!self.due || unit.needs_work())
    }
}

/// Lists all units of the book.
pub(super) fn fleet(arguments: &FleetArguments) -> Result<Exit, Failure> {
    let today = day(arguments.date.as_deref())?;
    let dir = there(arguments.book.dir.as_ref())?;
    let shelf = Shelf::look(&dir)?;
    let only = match &arguments.unit[..] {
        [one] => Some(one.as_str()),
        _ => None,
    };
    let all = each_brief(&shelf, only, arguments.afresh)?;
    let count = all.len();
    let units: Vec<FleetUnit> = all
        .into_iter()
        .map(|brief| brief.unit)
        .filter(|unit| arguments.takes(unit))
        .collect();
    if arguments.open || arguments.calendar.is_some() {
        return open_jobs(arguments, &shelf, &units, &today);
    }
    let damaged: Vec<(String, String)> = units.iter().flat_map(|unit| unit.damaged.clone()).collect();
    let newer: Vec<(String, String)> = units
        .iter()
        .flat_map(|unit| unit.newer.clone())
        .map(|(build, why)| (build, format!("a newer program made it: {why}")))
        .collect();
    let not_whole = [damaged, newer].concat();
    let AllDays { days, .. } = all_days(&shelf)?;
    let days: Vec<&Day> = days.iter().map(|opened| &opened.day).collect();
    let fleet = Fleet::of(units, &days, &today);
    let text = if arguments.json || !fleet.units.is_empty() {
        text_of(&fleet.report(arguments.units.into()), arguments.json)?
    } else if count == 0 && only.is_none() {
        format!(
            "No units yet in {}.\nA unit is in the book from its first build on: shimwright work full-rebuild UNIT.toml\n",
            visible(&dir.display().to_string())
        )
    } else {
        "No unit of the book is like that; `shimwright fleet` without filters shows all.\n".to_string()
    };
    write_out(&text, false)?;
    warn_of(&not_whole)?;
    Ok(Exit::Done)
}

/// Open jobs and due days, on the screen and as a calendar.
fn open_jobs(
    arguments: &FleetArguments,
    shelf: &Shelf,
    units: &[FleetUnit],
    today: &str,
) -> Result<Exit, Failure> {
    let mut builds = each_shelved(shelf, &shelf.contents()?.named())?;
    builds.retain(|build| units.iter().any(|unit| unit.unit == build.unit));
    let due = DueDays::of(builds, units, today);
    let mut laid = Laid::default();
    let mut said = String::new();
    if let Some(path) = &arguments.calendar {
        said = match due.calendar() {
            None => "Nothing is due on a day: no calendar was written.\n".to_string(),
            Some(calendar) => {
                laid = lay_down(path, calendar.as_bytes(), Over::Nothing.or(arguments.replace))?;
                format!("{} in {}\n", many(due.days.len(), "due day"), told(path))
            }
        };
    }
    if arguments.open {
        said = text_of(&due.report(), arguments.json)? + &said;
    } else {
        said.push_str(BY_DISTANCE);
        said.push('\n');
    }
    laid.say(&said)?;
    Ok(Exit::Done)
}
