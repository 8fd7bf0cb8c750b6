//! `wear`: how a unit wears, and what to do about it.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering, PaperWord, UnitsWord};
use crate::app;
use crate::app::days::driven_words;
use crate::app::font::printed;
use crate::app::output::{Laid, Over, lay_down, text_of, told, write_out};
use crate::app::{friction_now, look, open_build, read_text, with_its_plates};
use crate::book::{BuildId, STANDARD, Shelf, slug};
use crate::history::remedies::Remedies;
use crate::history::{Along, UnitWear, WearTables};
use crate::mechanics::MechanicsError;
use crate::quantity::{Distance, Duration, parse, visible};
use crate::sheet::wear_pdf;
use crate::workshop::{Drawer, Unit};
use clap::Args;
use std::path::{Path, PathBuf};

/// The longest way that anything is reckoned for, in kilometres or hours.
const FARTHEST: f64 = 1e6;

#[derive(Args)]
pub(super) struct Wear {
    /// The unit's id in the book, or the path of its TOML file
    pub unit: String,
    /// Say what to do about wear so far after the last build, such as "1500 km" or "20 h"; by default where a limit may be met
    /// at the earliest
    #[arg(long, value_name = "DISTANCE", conflicts_with = "csv")]
    pub after: Option<String>,
    /// The drawer of shims and spares, instead of the one that the last build was begun with
    #[arg(long, value_name = "FILE", conflicts_with = "csv")]
    pub drawer: Option<PathBuf>,
    /// Write all of it on one page to this file, as PDF
    #[arg(long, value_name = "FILE", conflicts_with = "csv")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
    /// Report every measured value as a line of CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Read every journal again instead of what was kept of it
    #[arg(long)]
    pub afresh: bool,
}

/// Says how a unit wears, by all of its builds.
pub(super) fn wear(arguments: &Wear) -> Result<Exit, Failure> {
    let unit = unit_id(&arguments.unit)?;
    let shelf = look(arguments.book.dir.as_ref())?;
    let accounts = with_its_plates(&shelf, &unit, arguments.afresh)?;
    if !accounts.iter().any(|account| slug(&account.unit) == slug(&unit)) {
        return Err(app::Failure::NoUnit(unit).into());
    }
    let Some(mut wear) = UnitWear::of(&unit, &accounts) else {
        return Err(Failure::NothingFinished(unit));
    };
    let last = wear.builds.last().map(|build| build.account.build.clone());
    let units = arguments.units.of_words(arguments.json);
    if let Some(words) = last.map(|last| driven_words(&shelf, &last, units)).transpose()? {
        wear.told.extend(words);
    }
    let after = after(arguments, wear.along)?;
    let remedies = remedies(&shelf, arguments, &mut wear, after)?;
    let shown = WearTables::new(&wear, &remedies, arguments.units.into());
    let mut written = String::new();
    let mut laid = Laid::default();
    if let Some(path) = &arguments.sheet {
        let font = arguments.lettering.given()?;
        let page = printed(font.as_ref(), || wear_pdf(&shown, arguments.paper.into()))?;
        laid = lay_down(path, &page, Over::Nothing.or(arguments.replace))?;
        written = format!("\nThe wear sheet: {}\n", told(path));
    }
    let text = match arguments.csv {
        true => wear.csv()?,
        false => text_of(&shown.report(), arguments.json)?,
    };
    let text = match arguments.json || arguments.csv {
        true => text,
        false => text + &written,
    };
    laid.say(&text)?;
    if arguments.json || arguments.csv {
        for told in &wear.told {
            write_out(&format!("note: {}\n", visible(told)), true)?;
        }
    }
    Ok(Exit::Done)
}

/// How far after the last build remedies are wanted for, in what the unit counts in.
fn after(arguments: &Wear, along: Along) -> Result<Option<f64>, Failure> {
    let Some(text) = &arguments.after else {
        return Ok(None);
    };
    let refused = |why| Failure::Argument { name: "--after", why };
    let after = match along {
        Along::Kilometres => parse::<Distance>(text).map_err(refused)?.kilometres(),
        Along::Hours => parse::<Duration>(text).map_err(refused)?.hours(),
    };
    if (0.0..=FARTHEST).contains(&after) {
        return Ok(Some(after));
    }
    let symbol = along.symbol();
    Err(MechanicsError::OutOfRange {
        what: "--after",
        value: format!("{after} {symbol}"),
        limits: format!("at least 0 {symbol} and at most {FARTHEST} {symbol}"),
    }
    .into())
}

/// What to do about wear, with the unit and the drawer that the last build was begun with.
fn remedies(
    shelf: &Shelf,
    arguments: &Wear,
    wear: &mut UnitWear,
    after: Option<f64>,
) -> Result<Remedies, Failure> {
    let build = wear.built().or(wear.builds.last());
    let id: BuildId = build.map_or("", |build| build.account.build.as_str()).parse()?;
    let opened = open_build(shelf, &id)?;
    let job = opened.session.job();
    let other = match &arguments.drawer {
        Some(path) => {
            let text = read_text(path)?;
            Some(Drawer::read(&text.name, &text.text)?)
        }
        None => None,
    };
    let drawer = other.as_ref().unwrap_or(&job.drawer);
    wear.proved = job
        .unit
        .spring
        .is_some()
        .then(|| friction_now(shelf, &job.unit))
        .transpose()?;
    Ok(Remedies::of(wear, &job.unit, drawer, after))
}

/// The id of a unit, given by itself or by the path of its file.
fn unit_id(given: &str) -> Result<String, Failure> {
    if !given.ends_with(".toml") && given != STANDARD {
        return Ok(given.to_string());
    }
    let text = read_text(Path::new(given))?;
    Ok(Unit::read(&text.name, &text.text)?.id)
}
