//! The sheet of a build that lies in the book: on paper, and on the screen.

use super::failure::Failure;
use super::font::{given_font, printed};
use super::load::{known_build, look, open_build};
use super::output::{Over, lay_down, told, width, write_out};
use super::seals::{by_itself, summed_up};
use super::stored::record_files;
use crate::book::{BuildId, Shelf};
use crate::quantity::visible;
use crate::record::Build;
use crate::report::to_json;
use crate::screen::{filled, lines};
use crate::sheet::{Paper, RecordFiles, html, pdf, pdf_with_record, picture, whole};
use std::path::PathBuf;

/// A sheet, as it is asked for.
pub(crate) struct Print {
    /// The build's name in the book.
    pub build: String,
    /// The paper.
    pub paper: Paper,
    /// The font for what the built-in typeface lacks, by its path.
    pub font: Option<PathBuf>,
    /// Where to write it, as a picture of its first page where the name ends in `.svg`; by default BUILD.pdf in this folder.
    pub out: Option<PathBuf>,
    /// Where to write it as a page of HTML, and nothing else.
    pub html: Option<PathBuf>,
    /// Whether the record is put into it.
    pub with_record: bool,
    /// Whether a file that is there is written over, whatever it is.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object.
    pub json: bool,
}

/// A build as its sheet tells it, with what is to be said of the record beside it.
pub(crate) struct Told {
    id: BuildId,
    pub build: Build,
    /// What is wrong with the journal, and what a newer program wrote.
    not_whole: Vec<String>,
    /// By which other model its figures were reckoned.
    otherwise: Option<String>,
}

fn as_told(name: &str, book: Option<&PathBuf>) -> Result<Told, Failure> {
    let shelf = look(book)?;
    let id = known_build(&shelf, name)?;
    told_from(&shelf, &id, false)
}

/// A build of a shelf; `alone` is from its record and nothing beside it.
pub(crate) fn told_from(shelf: &Shelf, id: &BuildId, alone: bool) -> Result<Told, Failure> {
    let opened = open_build(shelf, id)?;
    let mut build = match alone {
        true => by_itself(shelf, id, &opened.session)?,
        false => summed_up(shelf, id, &opened.session)?,
    };
    let newer = opened
        .newer
        .iter()
        .map(|words| format!("a newer program made it: {words}"));
    let not_whole: Vec<String> = opened.problems.iter().cloned().chain(newer).collect();
    if !not_whole.is_empty() {
        // what can not be trusted to the end is not printed as finished
        build.finished = None;
        build.open.splice(
            0..0,
            not_whole.iter().map(|problem| format!("JOURNAL: {problem}")),
        );
    }
    Ok(Told {
        id: id.clone(),
        build,
        not_whole,
        otherwise: opened
            .session
            .reckoned_otherwise()
            .map(|words| format!("Reckoned {words}.\n")),
    })
}

/// Shows a build on the screen as its sheet has it, or as one JSON object; nothing is written anywhere.
pub(crate) fn show(name: &str, book: Option<&PathBuf>, json: bool) -> Result<(), Failure> {
    let told = as_told(name, book)?;
    let report = whole(&told.build);
    if json {
        return write_out(&report.to_json()?, false);
    }
    write_out(&lines(&report, width()), false)?;
    if let Some(otherwise) = &told.otherwise {
        write_out(&filled(otherwise, width()), false)?;
    }
    warn(&told.not_whole)
}

fn warn(not_whole: &[String]) -> Result<(), Failure> {
    for problem in not_whole {
        write_out(&format!("warning: {}\n", visible(problem)), true)?;
    }
    Ok(())
}

/// What lies in a sheet with its record, and what was left out of it.
fn words_inside(files: &RecordFiles, keys: &[String]) -> String {
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    let mut words = format!(
        "In it is the whole record: {}. Whoever gets the file gets every reading, name and remark.",
        names.join(", ")
    );
    for name in keys {
        let left_out = format!(" Left out, because it holds a private key: {}.", visible(name));
        words.push_str(&left_out);
    }
    words
}

/// Prints the sheet of a build.
pub(crate) fn print(asked: &Print) -> Result<(), Failure> {
    let font = given_font(asked.font.as_ref())?;
    let shelf = look(asked.book.as_ref())?;
    let id = known_build(&shelf, &asked.build)?;
    let Told {
        id,
        build,
        not_whole,
        otherwise,
    } = told_from(&shelf, &id, asked.with_record)?;
    let out = asked
        .html
        .clone()
        .or_else(|| asked.out.clone())
        .unwrap_or_else(|| PathBuf::from(format!("{id}.pdf")));
    let drawn = out
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("svg"));
    let mut inside = String::new();
    let bytes = match (&asked.html, drawn) {
        (Some(_), _) => html(&build, asked.paper).into_bytes(),
        (None, true) => picture(&build, asked.paper).into_bytes(),
        (None, false) if asked.with_record => {
            let (files, keys) = record_files(&shelf, &id)?;
            inside = words_inside(&files, &keys);
            printed(font.as_ref(), || pdf_with_record(&build, asked.paper, &files))?
        }
        (None, false) => printed(font.as_ref(), || pdf(&build, asked.paper))?,
    };
    let laid = lay_down(&out, &bytes, Over::Own.or(asked.replace))?;
    if asked.json {
        laid.say(&to_json(&build.summary())?)?;
    } else {
        let state = if build.finished.is_some() {
            "finished"
        } else {
            "UNFINISHED"
        };
        laid.say(&format!("{}: {} bytes, {state}\n", told(&out), bytes.len()))?;
        if !inside.is_empty() {
            laid.say(&filled(&inside, width()))?;
        }
        if let Some(otherwise) = otherwise {
            laid.say(&otherwise)?;
        }
        warn(&not_whole)?;
    }
    Ok(())
}
