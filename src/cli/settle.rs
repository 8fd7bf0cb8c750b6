//! `settle`: what a car needs of its unit.

use super::coupling::{OtherUnits, PlaceWord};
use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering, PaperWord, UnitsWord, whole};
use super::settle_beside::{Season, in_cars};
use crate::app::font::printed;
use crate::app::last_driven::{DrivenSoFar, driven_so_far};
use crate::app::output::{Laid, Over, lay_down, may_lay_down, text_of, told, width, write_out};
use crate::app::{Clock, Failure as JobFailure, Text, digest_text, find_use, read_text};
use crate::book::{STANDARD, make_folder};
use crate::document::DAY;
use crate::mechanics::{Axle, LockSetup};
use crate::screen::{filled, table};
use crate::seal::Digest;
use crate::sheet::{Settling, settings_pdf, settings_pictures};
use crate::tuning::{Complaint, Driven, FeltSetting, Others, Settled, Telling, Together, complaints_listed};
use crate::workshop::car_layout::Place;
use crate::workshop::{Car, Origin, Origins, UnitFile, Use};
use clap::Args;
use std::path::{Path, PathBuf};

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
    #[command(flatten)]
    pub others: OtherUnits,
    /// Settle the unit at this place together with that of --unit; its file stands at --front, --centre or --rear
    #[arg(long, value_enum, value_name = "PLACE")]
    pub together: Option<PlaceWord>,
    /// Another car to see the same unit in; may be given several times
    #[arg(long = "car", value_name = "FILE")]
    pub cars: Vec<PathBuf>,
    /// Say also what the unit does as the last build left it and at the end of a season, by the friction and the wear that the
    /// book knows
    #[arg(long)]
    pub season: bool,
    /// How far: the bands of the proposals reach to the wear that the book knows until then, and with --season that is its end,
    /// which is else 1500 km
    #[arg(long, value_name = "DISTANCE")]
    pub after: Option<String>,
    /// What the driver says, such as "pushes on entry", "spins one wheel" or "tugs": in words of the list or in your own; may be
    /// given several times. `list` lists them
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
    /// Write the pictures of that page into this folder, as SVG
    #[arg(long, value_name = "FOLDER")]
    pub svg: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
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
    #[command(flatten)]
    pub book: Book,
}

/// Settles what the car needs of its unit.
pub(super) fn settle(arguments: &Settle) -> Result<Exit, Failure> {
    if arguments.complaint.iter().any(|words| words.trim() == "list") {
        write_out(&table(&complaints_listed(), width()), false)?;
        return Ok(Exit::Done);
    }
    let car = read_text(&arguments.car)?;
    let unit = read_text(&arguments.unit)?;
    let wanted = find_use(&arguments.wanted)?;
    let texts = (car, unit, wanted);
    let car = Car::read(&texts.0.name, &texts.0.text)?;
    let wanted = Use::read(&texts.2.name, &texts.2.text)?;
    let mut unit = UnitFile::read(&texts.1.name, &texts.1.text)?;
    let by_file = unit.lock_setup()?;
    let known = (arguments.season || arguments.after.is_some())
        .then(|| Season::of(&unit, arguments.book.dir.as_ref(), arguments.after.as_deref()))
        .transpose()?;
    let worn = match (&known, &arguments.after) {
        (Some(season), Some(_)) => Some(season.worn()?),
        _ => None,
    };
    let from_book = known.filter(|_| arguments.season);
    if let (Some(season), UnitFile::Opened(unit)) = (&from_book, &mut unit) {
        unit.friction.turning = season.friction;
        unit.friction.doubt = season.doubt;
    }
    let others = arguments.others.of(&car)?;
    let settled = Settled::with_wear(&car, &wanted, &unit, &others, worn)
        .map_err(|why| Failure::Course(Box::new(why)))?;
    let together = together(arguments, (&car, &wanted, &unit), &others)?;
    let cars = in_cars(&car, &arguments.cars, &wanted, &settled.now.setup)?;
    let season = match &from_book {
        Some(season) => season.beside(&settled.course, &by_file)?,
        None => Vec::new(),
    };
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
    let axle = match settled.course.place {
        Place::Front => Some(Axle::Front),
        Place::Centre => None,
        Place::Rear => Some(Axle::Rear),
    };
    let complaints = arguments
        .complaint
        .iter()
        .map(|words| Complaint::find(words, axle));
    let complaints: Vec<Complaint> = complaints
        .collect::<Result<_, _>>()
        .map_err(|why| Failure::Complaint(why.to_string()))?;
    let so_far = driven_so_far(
        arguments.book.dir.as_ref(),
        &settled.unit_id,
        &car.name,
        &settled.now.setup,
    )?;
    let driven = driven(&so_far, &settled)?;
    let felt = felt(so_far, &settled)?;
    let from = driven
        .as_ref()
        .map_or(&settled.now.setup, |driven| &driven.rated.setup);
    let steps = settled.steps_from(from, &complaints)?;
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
    let digest = Digest::of(setting.to_toml().as_bytes()).to_string();
    let pictures = settled.pictures(proposal)?;
    let sheet = Settling {
        settled: &settled,
        proposal,
        pictures: &pictures,
        setting: &setting,
        words: &wanted.words,
        digest: &digest,
        units: arguments.units.into(),
    };
    if let Some(path) = &arguments.sheet {
        let font = arguments.lettering.given()?;
        let bytes = printed(font.as_ref(), || settings_pdf(&sheet, arguments.paper.into()))?;
        laid = laid.and(lay_down(path, &bytes, over)?);
        written.push_str(&format!("\nThe settings sheet: {}\n", told(path)));
    }
    if let Some(folder) = &arguments.svg {
        // two pictures are no one file
        if folder == Path::new(STANDARD) {
            return Err(JobFailure::OutputTaken.into());
        }
        for (name, picture) in settings_pictures(&sheet) {
            may_lay_down(&folder.join(name), picture.as_bytes(), over)?;
        }
        make_folder(folder)?;
        for (name, picture) in settings_pictures(&sheet) {
            let path = folder.join(name);
            laid = laid.and(lay_down(&path, picture.as_bytes(), over)?);
            written.push_str(&format!("\nPicture: {}\n", told(&path)));
        }
    }
    if let Some(season) = &from_book {
        written.push_str(&format!(
            "\nReckoned with the friction that is known: {}.\n",
            season.words
        ));
    }
    let text = text_of(
        &settled.report(&Telling {
            take: arguments.take,
            proposal,
            wanted: &wanted,
            driven: driven.as_ref(),
            steps: &steps,
            felt: &felt,
            cars: &cars,
            season: &season,
            together: together.as_ref(),
        })?,
        arguments.json,
    )?;
    let text = match arguments.json {
        true => text,
        false => text + &filled_lines(&written),
    };
    laid.say(&text)?;
    Ok(Exit::Done)
}

/// The unit settled with a second one, where that is asked for.
fn together(
    arguments: &Settle,
    (car, wanted, unit): (&Car, &Use, &UnitFile),
    others: &Others,
) -> Result<Option<Together>, Failure> {
    let Some(word) = arguments.together else {
        return Ok(None);
    };
    let place = Place::from(word);
    let refused = |why| Failure::Course(Box::new(why));
    Together::can(car, place).map_err(refused)?;
    let second = arguments.others.file_at(word)?;
    let together = Together::new(car, wanted, unit, (place, &second), others).map_err(refused)?;
    Ok(Some(together))
}

/// A lock that was driven, with friction and radii of the file that is settled.
fn as_settled(settled: &Settled, setup: LockSetup) -> LockSetup {
    LockSetup {
        drive: setup.drive,
        coast: setup.coast,
        faces: setup.faces,
        preload: setup.preload,
        ..settled.now.setup.clone()
    }
}

/// The unit as it was driven last by the book; `None` where the book does not know, or that is how its file has it.
fn driven(so_far: &DrivenSoFar, settled: &Settled) -> Result<Option<Driven>, Failure> {
    let Some(last) = &so_far.last else {
        return Ok(None);
    };
    if last.setup == settled.now.setup {
        return Ok(None);
    }
    Ok(Some(Driven {
        words: last.words.clone(),
        rated: settled.rated(&as_settled(settled, last.setup.clone()))?,
    }))
}

/// What was felt of each setting that was driven, with what it does here.
fn felt(so_far: DrivenSoFar, settled: &Settled) -> Result<Vec<FeltSetting>, Failure> {
    let felt = so_far.settings.into_iter().map(|one| {
        let rated = match one.setup {
            Some(setup) => Some(settled.rated(&as_settled(settled, setup))?),
            None => None,
        };
        Ok(FeltSetting {
            day: one.day,
            called: one.called,
            runs: one.runs,
            felt: one.felt,
            rated,
        })
    });
    felt.collect()
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
