use super::args::Wear;
use super::exit::Exit;
use super::failure::Failure;
use super::histories::with_its_plates;
use super::load::{book_dir, read_text};
use super::reports::write_out;
use super::wear_words::words;
use crate::book::{Shelf, slug};
use crate::record::{Unit, UnitWear, to_json};
use std::path::Path;

/// Says how a unit wears, by all of its builds.
pub(super) fn wear(arguments: &Wear) -> Result<Exit, Failure> {
    let shelf = Shelf::look(&book_dir(arguments.book.dir.as_ref())?)?;
    let unit = unit_id(&arguments.unit)?;
    let accounts = with_its_plates(&shelf, &unit, arguments.afresh)?;
    if !accounts.iter().any(|account| slug(&account.unit) == slug(&unit)) {
        return Err(Failure::NoUnit(unit));
    }
    let Some(wear) = UnitWear::of(&unit, &accounts) else {
        return Err(Failure::NothingFinished(unit));
    };
    let text = if arguments.json {
        to_json(&wear.summary()).map_err(|error| Failure::Json(error.to_string()))?
    } else if arguments.csv {
        wear.csv()
    } else {
        words(&wear)
    };
    write_out(&text, false)?;
    if arguments.json || arguments.csv {
        for told in &wear.told {
            write_out(&format!("note: {}\n", crate::quantity::visible(told)), true)?;
        }
    }
    Ok(Exit::Done)
}

/// The id of a unit, given by itself or by the path of its file.
fn unit_id(given: &str) -> Result<String, Failure> {
    if !given.ends_with(".toml") {
        return Ok(given.to_string());
    }
    let text = read_text(Path::new(given))?;
    Ok(Unit::read(&text.name, &text.text)?.id)
}
