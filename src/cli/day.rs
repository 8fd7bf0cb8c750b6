//! `day` and `days`: a drive day by questions, and what the drive days of the book say.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Asking, Book, Lettering, PaperWord, Speaking, UnitsWord, whole};
use crate::app;
use crate::app::day_import::{DayImport, import_day};
use crate::app::days::{AllDays, all_days, known_day, open_day};
use crate::app::output::{Over, text_of, write_out};
use crate::app::run_form::run_sheet;
use crate::app::{look, there, warn_of};
use crate::history::driven::{DayReport, ListedDay, claimed_twice};
use crate::quantity::visible;
use crate::record::driven;
use clap::Args;
use std::path::PathBuf;

/// Write a drive day down: which setting, which times, how it felt
#[derive(Args)]
pub(super) struct Day {
    /// The car's TOML file
    pub car: PathBuf,
    /// The id of the unit in it; by default that of the builds that name this car
    #[arg(long = "unit-id", alias = "unit", value_name = "ID")]
    pub unit: Option<String>,
    /// A setting that `settle --write` wrote and that is driven; may be given several times
    #[arg(long, value_name = "FILE")]
    pub setting: Vec<PathBuf>,
    /// A procedure of your own instead of the stock drive-day
    #[arg(long, value_name = "FILE")]
    pub procedure: Option<PathBuf>,
    #[command(flatten)]
    pub asking: Asking,
    #[command(flatten)]
    pub speaking: Speaking,
    /// Take the day out of this TOML file instead of asking
    #[arg(long, value_name = "FILE", conflicts_with_all = ["answers", "json"])]
    pub import: Option<PathBuf>,
    /// With --import: the times out of this table with a row a lap; [laps] of the file says what its columns are called
    #[arg(long, value_name = "FILE", requires = "import")]
    pub laps: Option<PathBuf>,
    /// With --import: take what looks odd as it stands
    #[arg(long, requires = "import")]
    pub sure: bool,
    /// Begin a new day even where an unfinished one could be gone on with
    #[arg(long)]
    pub new: bool,
    /// The time to write down, as 2026-05-01T10:00:00Z or 2026-05-01: for paper notes that are typed in later
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object at the end, and nothing else
    #[arg(long, requires = "answers")]
    pub json: bool,
}

/// Begins a drive day, or goes on with one.
pub(super) fn day(asked: &Day) -> Result<Exit, Failure> {
    let for_job = app::day::AskedDay {
        of: app::day::DayOf {
            car: asked.car.clone(),
            unit: asked.unit.clone(),
            settings: asked.setting.clone(),
            procedure: asked.procedure.clone(),
            language: asked.speaking.code(),
            at: asked.at.clone(),
            book: asked.book.dir.clone(),
        },
        asking: asked.asking.for_job(),
        new: asked.new,
        json: asked.json,
    };
    if let Some(file) = &asked.import {
        let import = DayImport {
            file,
            laps: asked.laps.as_deref(),
            sure: asked.sure,
        };
        import_day(&for_job, &import)?;
        return Ok(Exit::Done);
    }
    Ok(app::day::day(&for_job)?.into())
}

/// List the drive days of the book, or show one
#[derive(Args)]
pub(super) struct Days {
    /// A drive day's name in the book; without it all are listed
    pub day: Option<String>,
    /// Write a run sheet of that day to this file, to print and fill in by hand, as PDF
    #[arg(long, value_name = "FILE", requires = "day", conflicts_with = "json")]
    pub sheet: Option<PathBuf>,
    /// How many runs the run sheet has room for where no order was drawn
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = whole(1_usize, Some(100)), requires = "sheet")]
    pub runs: usize,
    /// Paper size of the run sheet
    #[arg(long, value_enum, default_value = "a4", requires = "sheet")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    /// Write over a file that is there
    #[arg(long, requires = "sheet")]
    pub replace: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Lists the drive days, or shows one.
pub(super) fn days(asked: &Days) -> Result<Exit, Failure> {
    let shelf = look(asked.book.dir.as_ref())?;
    if let Some(name) = &asked.day {
        let id = known_day(&shelf, name)?;
        let opened = open_day(&shelf, &id)?;
        if let Some(file) = &asked.sheet {
            let over = Over::Nothing.or(asked.replace);
            let font = asked.lettering.given()?;
            run_sheet(&opened, asked.runs, asked.paper.into(), font.as_ref(), file, over)?;
            return Ok(Exit::Done);
        }
        let report = DayReport::of(&opened.day).report(asked.units.into());
        write_out(&text_of(&report, asked.json)?, false)?;
        let problems = opened.problems.into_iter().chain(opened.newer);
        warn_of(&problems.map(|why| (id.to_string(), why)).collect::<Vec<_>>())?;
        return Ok(Exit::Done);
    }
    let AllDays { days, unread } = all_days(&shelf)?;
    let listed: Vec<ListedDay<'_>> = days
        .iter()
        .map(|opened| ListedDay {
            day: &opened.day,
            state: match (opened.problems.is_empty(), opened.newer.is_empty()) {
                (false, _) => "damaged".to_string(),
                (true, false) => "newer".to_string(),
                (true, true) => String::new(),
            },
            digest: &opened.digest,
        })
        .collect();
    let text = match listed.is_empty() && !asked.json {
        true => format!(
            "No drive days yet in {}.\nOne is written down by: shimwright day CAR.toml\n",
            visible(&there(asked.book.dir.as_ref())?.display().to_string())
        ),
        false => text_of(&ListedDay::report(&listed), asked.json)?,
    };
    write_out(&text, false)?;
    let all: Vec<&driven::Day> = days.iter().map(|opened| &opened.day).collect();
    for words in claimed_twice(&all) {
        write_out(&format!("note: {}\n", visible(&words)), true)?;
    }
    warn_of(&unread)?;
    Ok(Exit::Done)
}
