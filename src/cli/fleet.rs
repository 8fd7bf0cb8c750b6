//! `fleet`: what is due of all units, in words.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, UnitsWord};
use super::settle::day;
use crate::app::days::{AllDays, all_days};
use crate::app::output::{text_of, write_out};
use crate::app::{each_brief, there, warn_of};
use crate::book::Shelf;
use crate::history::{Fleet, FleetState, FleetUnit};
use crate::quantity::visible;
use crate::record::driven::Day;
use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};

#[derive(Args)]
pub(super) struct FleetArguments {
    /// Only this unit; may be given several times
    #[arg(long, value_name = "ID")]
    pub unit: Vec<String>,
    /// Only units whose car has these words in it
    #[arg(long, value_name = "WORDS")]
    pub car: Option<String>,
    /// Only units in this state; may be given several times
    #[arg(long, value_name = "STATE", value_parser = PossibleValuesParser::new(FleetState::ALL.map(typed)))]
    pub state: Vec<String>,
    /// Only units that need work: damaged, not finished, past a limit or near it
    #[arg(long)]
    pub due: bool,
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
