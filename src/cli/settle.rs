//! `settle`: what a car needs of its unit.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{PaperWord, UnitsWord, whole};
use crate::app::output::{Laid, Over, lay_down, text_of, told, width};
use crate::app::{Clock, Text, digest_text, find_use, read_text};
use crate::document::{DAY, nearest};
use crate::screen::filled;
use crate::seal::Digest;
use crate::sheet::{Settling, settings_pdf};
use crate::tuning::{COMPLAINTS, Complaint, Others, Settled};
use crate::workshop::{Car, Origin, Origins, UnitFile, Use};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Settle {
    /// The car's TOML file
    pub car: PathBuf,
    /// A use: gravel-stage, tarmac-stage, snow-and-ice, hillclimb, slalom, circuit, drift, or the path of a TOML file
    #[arg(long = "use", value_name = "USE")]
    pub wanted: String,
    /// The unit's TOML file; what else it can be built with stands in its [offer]
    #[arg(long, value_name = "FILE")]
    pub unit: PathBuf,
    /// What the driver says: "pushes on entry", "pushes on power", "inside wheel spins", "snaps on lift", "chatters when
    /// turning slowly", "does nothing"; may be given several times
    #[arg(long, value_name = "WORDS")]
    pub complaint: Vec<String>,
    /// Which of the proposals is taken for --write and --sheet
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole(1_u32, None))]
    pub take: u32,
    /// Write the setting that was taken to this file, for `work --setting`
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Write a page for the driver to this file, as PDF
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// How values are shown on that page
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// The day that is written down, as 2026-05-01; by default today
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Settles what the car needs of its unit.
pub(super) fn settle(arguments: &Settle) -> Result<Exit, Failure> {
    let car = read_text(&arguments.car)?;
    let unit = read_text(&arguments.unit)?;
    let wanted = find_use(&arguments.wanted)?;
    let complaints = arguments
        .complaint
        .iter()
        .map(|words| complaint(words))
        .collect::<Result<Vec<_>, _>>()?;
    let texts = (car, unit, wanted);
    let car = Car::read(&texts.0.name, &texts.0.text)?;
    let wanted = Use::read(&texts.2.name, &texts.2.text)?;
    let unit = UnitFile::read(&texts.1.name, &texts.1.text)?;
    let settled = Settled::new(&car, &wanted, &unit, &Others::of(&car))
        .map_err(|why| Failure::Course(Box::new(why)))?;
    let origin = |name: &str, text: &Text| Origin {
        name: name.to_string(),
        digest: digest_text(text),
    };
    let from = Origins {
        unit: origin(unit.name(), &texts.1),
        car: origin(&car.name, &texts.0),
        wanted: origin(&wanted.name, &texts.2),
    };
    let date = day(arguments.date.as_deref())?;
    let no_such = || Failure::Take {
        take: arguments.take,
        count: settled.proposals.len(),
    };
    let proposal = settled.proposal(arguments.take).ok_or_else(no_such)?;
    let setting = settled
        .setting(arguments.take, &unit, &date, from)?
        .ok_or_else(no_such)?;
    let acting = complaints
        .into_iter()
        .map(|complaint| settled.acting(complaint))
        .collect::<Result<Vec<_>, _>>()?;
    let mut written = String::new();
    let mut laid = Laid::default();
    let over = Over::Nothing.or(arguments.replace);
    if let Some(path) = &arguments.write {
        // what the unit can not be built to is told now, and not when it lies on the bench
        if let Some(unit) = unit.opened() {
            let digest = setting.from.unit.digest.clone();
            unit.clone().rework(setting.clone(), &digest)?;
        }
        laid = lay_down(path, setting.to_toml().as_bytes(), over)?;
        let next = match unit.opened() {
            Some(_) => format!(
                "To build to it: shimwright work full-rebuild {} --setting {}",
                arguments.unit.display(),
                path.display()
            ),
            None => {
                "To build to it describe the unit whole, with the same id: shimwright new-unit".to_string()
            }
        };
        written = format!(
            "\nProposal {} is written to {}. {next}\n",
            arguments.take,
            told(path)
        );
    }
    if let Some(path) = &arguments.sheet {
        let digest = Digest::of(setting.to_toml().as_bytes()).to_string();
        let sheet = Settling {
            settled: &settled,
            proposal,
            pictures: &settled.pictures(proposal)?,
            setting: &setting,
            words: &wanted.words,
            digest: &digest,
            units: arguments.units.into(),
        };
        let bytes = settings_pdf(&sheet, arguments.paper.into())?;
        laid = laid.and(lay_down(path, &bytes, over)?);
        written.push_str(&format!("\nThe settings sheet: {}\n", told(path)));
    }
    let text = text_of(
        &settled.report(arguments.take, proposal, &wanted, &acting)?,
        arguments.json,
    )?;
    let text = match arguments.json {
        true => text,
        false => text + &filled_lines(&written),
    };
    laid.say(&text)?;
    Ok(Exit::Done)
}

/// The day that was given, or today.
pub(super) fn day(given: Option<&str>) -> Result<String, Failure> {
    match given {
        Some(day) if DAY.fits(day) => Ok(day.to_string()),
        Some(day) => Err(Failure::Date(day.to_string())),
        None => Ok(Clock::new(None)?.time().chars().take(10).collect()),
    }
}

/// Paragraphs in lines for the terminal.
fn filled_lines(words: &str) -> String {
    words.lines().map(|line| filled(line, width())).collect()
}

fn complaint(words: &str) -> Result<Complaint, Failure> {
    let known: Vec<&str> = COMPLAINTS.iter().map(|(_, words)| *words).collect();
    let typed = words.trim().to_lowercase();
    let found = COMPLAINTS.iter().find(|(_, known)| *known == typed);
    found.map(|(complaint, _)| *complaint).ok_or_else(|| {
        let near = nearest(&typed, &known).map(|near| format!("; did you mean \"{near}\"?"));
        Failure::Complaint(format!(
            "\"{words}\" is no complaint that is known here; known: {}{}",
            known.join(", "),
            near.unwrap_or_default()
        ))
    })
}
