//! The arguments of `parts` and `void`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app::{self, Of};
use clap::Args;
use std::path::PathBuf;

/// Say what a build waits for, and take in parts that came
#[derive(Args)]
#[group(id = "what", multiple = false)]
pub(super) struct Parts {
    /// The build's name in the book
    pub build: String,
    /// It waits for this, in words; once for each thing
    #[arg(long = "wait-for", value_name = "WORDS", group = "what")]
    pub wait_for: Vec<String>,
    /// It waits no longer
    #[arg(long, group = "what")]
    pub here: bool,
    /// Take in what this drawer's file has more than the build knows of: spare plates and shims
    #[arg(long = "take-in", value_name = "FILE", group = "what")]
    pub take_in: Option<PathBuf>,
    /// A part that the drawer lists is not there: a spare plate by its name, or one shim by its thickness
    #[arg(long, value_name = "PART", group = "what", requires = "reason")]
    pub strike: Option<String>,
    /// Why it is struck off
    #[arg(long, value_name = "WORDS", requires = "strike")]
    pub reason: Option<String>,
    /// Who says so; by default who works at it
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    #[command(flatten)]
    pub book: Book,
}

/// Put a build away that was begun by mistake
#[derive(Args)]
pub(super) struct Void {
    /// The build's name in the book
    pub build: String,
    /// Why
    #[arg(long, value_name = "WORDS")]
    pub reason: String,
    /// Who says so; by default who works at it
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    #[command(flatten)]
    pub book: Book,
}

/// Says what a build waits for, and takes in parts that came.
pub(super) fn parts(arguments: &Parts) -> Result<Exit, Failure> {
    let of = match arguments {
        Parts { here: true, .. } => Of::WaitFor(Vec::new()),
        Parts {
            take_in: Some(file), ..
        } => Of::TakeIn(file.clone()),
        Parts {
            strike: Some(part),
            reason,
            ..
        } => Of::Strike {
            part: part.clone(),
            reason: reason.clone().unwrap_or_default(),
        },
        Parts { wait_for, .. } if !wait_for.is_empty() => Of::WaitFor(wait_for.clone()),
        _ => Of::Nothing,
    };
    done(&arguments.build, of, &arguments.by, &arguments.book)
}

/// Puts a build away.
pub(super) fn void(arguments: &Void) -> Result<Exit, Failure> {
    let of = Of::Void {
        reason: arguments.reason.clone(),
    };
    done(&arguments.build, of, &arguments.by, &arguments.book)
}

fn done(build: &str, of: Of, by: &Option<String>, book: &Book) -> Result<Exit, Failure> {
    app::parts(&app::Parts {
        build: build.to_string(),
        of,
        by: by.clone(),
        book: book.dir.clone(),
    })?;
    Ok(Exit::Done)
}
