//! `runs` and `plan`: two settings compared by what was driven, and the order of the next day drawn.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering, PaperWord, Speaking, UnitsWord, whole};
use crate::app::day::DayOf;
use crate::app::drive_plan::{AskedPlan, AskedRuns, compared_settings, plan_day};
use crate::app::font::printed;
use crate::app::look;
use crate::app::output::{Laid, Over, lay_down, text_of, told, write_out};
use crate::history::driven::WORTH_HAVING;
use crate::quantity::{Ratio, parse};
use crate::sheet::{runs_pdf, runs_picture};
use clap::Args;
use std::path::PathBuf;

/// Compare two settings by what was driven with them: times, drift, feel
#[derive(Args)]
pub(super) struct Runs {
    /// A setting that was driven: a build's name, or the word for a setting's file
    #[arg(value_name = "SETTING")]
    pub first: String,
    /// The other one
    #[arg(value_name = "OTHER")]
    pub second: String,
    /// Only this drive day; may be given several times
    #[arg(long, value_name = "NAME")]
    pub day: Vec<String>,
    /// The difference in seconds that is worth having; 0.2 if not given
    #[arg(long, value_name = "NUMBER")]
    pub show: Option<String>,
    /// Write one page with the pictures to this file, as PDF; a name that ends in .svg is written as a picture
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    /// Write over a file that is there
    #[arg(long, requires = "sheet")]
    pub replace: bool,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Compares two settings.
pub(super) fn runs(asked: &Runs) -> Result<Exit, Failure> {
    let worth = match &asked.show {
        None => WORTH_HAVING,
        Some(text) => {
            let read = |why| Failure::Argument { name: "--show", why };
            parse::<Ratio>(text).map_err(read)?.value()
        }
    };
    let shelf = look(asked.book.dir.as_ref())?;
    let compared = compared_settings(
        &shelf,
        &AskedRuns {
            settings: [&asked.first, &asked.second],
            days: &asked.day,
            worth,
        },
    )?;
    let mut text = text_of(&compared.report(), asked.json)?;
    let mut laid = Laid::default();
    if let Some(path) = &asked.sheet {
        let paper = asked.paper.into();
        let is_svg = path
            .extension()
            .is_some_and(|ending| ending.eq_ignore_ascii_case("svg"));
        let page = match is_svg {
            true => runs_picture(&compared, paper).into_bytes(),
            false => printed(asked.lettering.given()?.as_ref(), || runs_pdf(&compared, paper))?,
        };
        laid = lay_down(path, &page, Over::Nothing.or(asked.replace))?;
        if !asked.json {
            text.push_str(&format!("\nThe runs sheet: {}\n", told(path)));
        }
    }
    laid.say(&text)?;
    Ok(Exit::Done)
}

/// Draw the order in which two or three settings are driven, and begin that drive day
#[derive(Args)]
pub(super) struct Plan {
    /// The car's TOML file
    pub car: PathBuf,
    /// Two or three settings: builds, or the words for files given by --setting
    #[arg(value_name = "SETTING", required = true, num_args = 2..=3)]
    pub settings: Vec<String>,
    /// How many runs: a multiple of 4 for two settings, of 6 for three
    #[arg(long, value_name = "N", value_parser = whole(4_usize, Some(72)))]
    pub runs: usize,
    /// In blocks of four runs, each A-B-B-A or B-A-A-B, instead of any order that a steady drift falls out of
    #[arg(long)]
    pub blocks: bool,
    /// Change the setting so often at the most; what it costs in p is said
    #[arg(long, value_name = "N", value_parser = whole(1_usize, Some(71)))]
    pub changes: Option<usize>,
    /// Draw again the order of this number; else one that nobody can foretell
    #[arg(long, value_name = "N", value_parser = whole(0_u64, None))]
    pub seed: Option<u64>,
    /// The id of the unit in the car; by default that of the builds that name this car
    #[arg(long = "unit-id", alias = "unit", value_name = "ID")]
    pub unit: Option<String>,
    /// A setting that `settle --write` wrote; may be given several times
    #[arg(long, value_name = "FILE")]
    pub setting: Vec<PathBuf>,
    #[command(flatten)]
    pub speaking: Speaking,
    /// How bare numbers will be read that day
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// The time to write down, as 2026-05-01T10:00:00Z or 2026-05-01; by default now
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Draws the order of a day and begins the day with it.
pub(super) fn plan(asked: &Plan) -> Result<Exit, Failure> {
    let report = plan_day(&AskedPlan {
        of: DayOf {
            car: asked.car.clone(),
            unit: asked.unit.clone(),
            settings: asked.setting.clone(),
            procedure: None,
            language: asked.speaking.code(),
            at: asked.at.clone(),
            book: asked.book.dir.clone(),
        },
        settings: asked.settings.clone(),
        runs: asked.runs,
        blocks: asked.blocks,
        changes: asked.changes,
        seed: asked.seed,
        units: asked.units.into(),
    })?;
    write_out(&text_of(&report, asked.json)?, false)?;
    Ok(Exit::Done)
}
