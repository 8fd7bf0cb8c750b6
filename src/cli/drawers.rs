//! `drawers`: what all drawers hold, what is taken of it and what will be wanted.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, UnitsWord};
use crate::app::output::{text_of, write_out};
use crate::app::{
    self, each_brief, each_shelved, friction_now, look, open_build, read_text, with_its_plates,
};
use crate::book::{BuildId, Shelf};
use crate::history::UnitWear;
use crate::history::drawers::{Stock, stock_csv, stock_report};
use crate::history::remedies::Remedies;
use crate::mechanics::Keying;
use crate::quantity::{Length, visible};
use crate::workshop::{Drawer, DrawerPart, FileKind, Unit};
use clap::Args;
use std::path::{Path, PathBuf};

/// Say what the drawers hold, what open builds have chosen of it, what the next builds will want, and what to order
#[derive(Args)]
pub(super) struct DrawersArguments {
    /// Units' files, each with the drawer that it names, or drawers' files; without any, the drawers of all units of the book as
    /// their newest builds have them
    #[arg(value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
    /// Report as a table of CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
}

/// A drawer with the units that it is for.
struct Looked {
    drawer: Drawer,
    stock: Stock,
}

/// Says what the drawers hold and what is wanted of it.
pub(super) fn drawers(asked: &DrawersArguments) -> Result<Exit, Failure> {
    let shelf = look(asked.book.dir.as_ref())?;
    let mut looked = match asked.files.is_empty() {
        true => of_book(&shelf)?,
        false => of_files(&asked.files)?,
    };
    let builds = each_shelved(&shelf, &shelf.contents()?.named())?;
    for one in &mut looked {
        let mut chosen = Vec::new();
        for build in builds.iter().filter(|build| build.is_open()) {
            if one.stock.units.contains(&build.unit)
                && reserve(&shelf, &build.build.parse()?, &mut one.stock)?
            {
                chosen.push(build.unit.clone());
            }
        }
        // one that is being put together has what it wants
        for unit in one
            .stock
            .units
            .clone()
            .iter()
            .filter(|unit| !chosen.contains(unit))
        {
            want(&shelf, unit, one)?;
        }
    }
    let stocks: Vec<Stock> = looked.into_iter().map(|one| one.stock).collect();
    if stocks.is_empty() && !asked.json && !asked.csv {
        write_out(
            "No unit of the book has a drawer yet: shimwright drawers UNIT.toml\n",
            false,
        )?;
        return Ok(Exit::Done);
    }
    let text = match asked.csv {
        true => stock_csv(&stocks)?,
        false => text_of(&stock_report(&stocks, asked.units.into()), asked.json)?,
    };
    write_out(&text, false)?;
    if asked.csv {
        for told in stocks.iter().flat_map(|stock| &stock.told) {
            write_out(&format!("note: {}\n", visible(told)), true)?;
        }
    }
    Ok(Exit::Done)
}

/// The drawers of some files, each once.
fn of_files(files: &[PathBuf]) -> Result<Vec<Looked>, Failure> {
    let mut looked: Vec<Looked> = Vec::new();
    for path in files {
        let text = read_text(path)?;
        let (path, unit) = match FileKind::of(&text.name, &text.text) {
            Ok(FileKind::Drawer) => (path.clone(), None),
            _ => {
                let unit = Unit::read(&text.name, &text.text)?;
                let Some(named) = &unit.drawer else {
                    let words = format!("{} names no drawer; write drawer = \"…\" into it", text.name);
                    return Err(app::Failure::Unit(words).into());
                };
                (path.parent().unwrap_or(Path::new("")).join(named), Some(unit.id))
            }
        };
        let text = read_text(&path)?;
        let drawer = Drawer::read(&text.name, &text.text)?;
        let at = match looked.iter().position(|one| one.stock.drawer == text.name) {
            Some(at) => at,
            None => {
                let stock = Stock::of(&text.name, &drawer);
                looked.push(Looked { drawer, stock });
                looked.len() - 1
            }
        };
        if let Some(unit) = unit
            && !looked[at].stock.units.contains(&unit)
        {
            looked[at].stock.units.push(unit);
        }
    }
    for one in looked.iter_mut().filter(|one| one.stock.units.is_empty()) {
        let words =
            "No file of a unit was given with it, so nothing can be said of what is reserved and wanted.";
        one.stock.told.push(words.to_string());
    }
    Ok(looked)
}

/// The drawers of the units of the book: as the newest build of each has it, without what a finished one used.
fn of_book(shelf: &Shelf) -> Result<Vec<Looked>, Failure> {
    let builds = each_shelved(shelf, &shelf.contents()?.named())?;
    let mut looked = Vec::new();
    for brief in each_brief(shelf, None, false)? {
        let unit = brief.unit.unit;
        let mine = builds.iter().filter(|build| build.unit == unit && build.counts());
        let Some(newest) = mine.max_by(|a, b| a.begun.cmp(&b.begun)) else {
            continue;
        };
        let opened = open_build(shelf, &newest.build.parse()?)?;
        let mut drawer = opened.session.job().drawer.clone();
        if opened.session.is_finished() {
            let (shims, spares) = opened.session.used_from_drawer();
            let shims = shims.iter().map(|shim| DrawerPart::Shim(shim.nm()));
            for part in shims.chain(spares.into_iter().map(DrawerPart::Spare)) {
                drawer = drawer.without(&part).unwrap_or(drawer);
            }
        }
        let mut stock = Stock::of(&format!("the drawer of {}", newest.build), &drawer);
        stock.told.push(
            "By the record alone: what was bought since is not in it, and a drawer that two units share is told twice. With the \
             units' files it is the drawer as it is."
                .to_string(),
        );
        stock.units.push(unit);
        looked.push(Looked { drawer, stock });
    }
    Ok(looked)
}

/// What an open build has chosen; whether it has chosen anything yet.
fn reserve(shelf: &Shelf, id: &BuildId, stock: &mut Stock) -> Result<bool, Failure> {
    let opened = open_build(shelf, id)?;
    let (shims, spares) = opened.session.used_from_drawer();
    let drawer = &opened.session.job().drawer;
    let plates: Vec<(Keying, Length)> = spares
        .iter()
        .filter_map(|name| drawer.spares.iter().find(|spare| spare.name == *name))
        .map(|spare| (spare.keyed, spare.nominal))
        .collect();
    stock.reserve(id.as_str(), &shims, &plates);
    Ok(opened.session.chosen().is_some())
}

/// What the next build of a unit will want, by the builds before it.
fn want(shelf: &Shelf, unit: &str, looked: &mut Looked) -> Result<(), Failure> {
    let accounts = with_its_plates(shelf, unit, false)?;
    let Some(mut wear) = UnitWear::of(unit, &accounts) else {
        let words = format!(
            "{unit}: no build of it is finished and whole, so nothing is known of what it will want."
        );
        looked.stock.told.push(words);
        return Ok(());
    };
    let Some(built) = wear.built().map(|built| built.account.build.clone()) else {
        let words = format!("{unit}: no build put it together, so nothing is known of what it will want.");
        looked.stock.told.push(words);
        return Ok(());
    };
    let opened = open_build(shelf, &built.parse()?)?;
    let job = opened.session.job();
    if job.unit.spring.is_some() {
        wear.proved = Some(friction_now(shelf, &job.unit)?);
    }
    let remedies = Remedies::of(&wear, &job.unit, &looked.drawer, None);
    looked.stock.want(&wear, &job.unit, &job.drawer, &remedies);
    Ok(())
}
