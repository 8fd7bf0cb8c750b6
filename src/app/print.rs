//! The sheet of a build that lies in the book.

use super::failure::Failure;
use super::load::{known_build, look, open_build};
use super::output::{Over, lay_down, told, write_out};
use super::seals::summed_up;
use crate::quantity::visible;
use crate::report::to_json;
use crate::sheet::{Paper, pdf, picture};
use std::path::PathBuf;

/// A sheet, as it is asked for.
pub(crate) struct Print {
    /// The build's name in the book.
    pub build: String,
    /// The paper.
    pub paper: Paper,
    /// Where to write it, as a picture of its first page where the name ends in `.svg`; by default BUILD.pdf in this folder.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over, whatever it is.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object.
    pub json: bool,
}

/// Prints the sheet of a build.
pub(crate) fn print(asked: &Print) -> Result<(), Failure> {
    let shelf = look(asked.book.as_ref())?;
    let id = known_build(&shelf, &asked.build)?;
    let opened = open_build(&shelf, &id)?;
    let mut build = summed_up(&shelf, &id, &opened.session)?;
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
    let out = asked
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(format!("{id}.pdf")));
    let drawn = out
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("svg"));
    let bytes = match drawn {
        true => picture(&build, asked.paper).into_bytes(),
        false => pdf(&build, asked.paper)?,
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
        if let Some(otherwise) = opened.session.reckoned_otherwise() {
            laid.say(&format!("Reckoned {otherwise}.\n"))?;
        }
        for problem in &not_whole {
            write_out(&format!("warning: {}\n", visible(problem)), true)?;
        }
    }
    Ok(())
}
