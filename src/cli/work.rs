//! The arguments of `work`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Asking, Beside, Book, Lettering, PaperWord, Signing, Speaking};
use crate::app;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Work {
    /// A procedure, as `shimwright procedures` lists them, or the path of a TOML file
    pub procedure: String,
    /// The unit's TOML file
    pub unit: PathBuf,
    #[command(flatten)]
    pub asking: Asking,
    #[command(flatten)]
    pub speaking: Speaking,
    /// Type in a form that was filled in by hand: short prompts with the numbers of its boxes
    #[arg(long)]
    pub from_paper: bool,
    #[command(flatten)]
    pub beside: Beside,
    /// A setting that `settle --write` wrote: what the unit is to be rebuilt to
    #[arg(long, value_name = "FILE")]
    pub setting: Option<PathBuf>,
    /// Begin a new build even where an unfinished one could be gone on with
    #[arg(long)]
    pub new: bool,
    /// Start a new build from what the unit's file lists, not from what the last build left in the unit
    #[arg(long)]
    pub as_listed: bool,
    /// The time to write down, as 2026-05-01T10:00:00Z or 2026-05-01: for paper notes that are typed in later
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Paper size of the sheet that is laid into the build's folder
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    #[command(flatten)]
    pub signing: Signing,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object at the end, and nothing else
    #[arg(long, requires = "answers")]
    pub json: bool,
}

/// Does a job on a unit.
pub(super) fn work(arguments: &Work) -> Result<Exit, Failure> {
    let ended = app::work(&app::Work {
        procedure: arguments.procedure.clone(),
        unit: arguments.unit.clone(),
        language: arguments.speaking.code(),
        asking: arguments.asking.for_job(),
        from_paper: arguments.from_paper,
        beside: arguments.beside.for_job(),
        setting: arguments.setting.clone(),
        new: arguments.new,
        as_listed: arguments.as_listed,
        at: arguments.at.clone(),
        paper: arguments.paper.into(),
        font: arguments.lettering.font.clone(),
        signing: arguments.signing.for_job(),
        book: arguments.book.dir.clone(),
        json: arguments.json,
    })?;
    Ok(ended.into())
}
