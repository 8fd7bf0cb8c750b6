//! The arguments of `practise`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Asking, Book, Lettering, PaperWord, Speaking, whole};
use crate::app;
use crate::practice::StartAt;
use crate::practice::drills::Drill;
use clap::Args;
use clap::builder::PossibleValuesParser;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Practise {
    /// Which of the made-up units; without it the next of the level that has not been begun
    #[arg(long, value_name = "N", value_parser = whole(0_u64, None))]
    pub seed: Option<u64>,
    /// How hard: at 1 one gross fault, at 4 several small ones
    #[arg(long, value_name = "1..4", value_parser = whole(1_u32, Some(4)))]
    pub level: Option<u32>,
    /// Where to begin; what comes before is given. Levels 1 and 2 begin at signs, higher ones at begin
    #[arg(long, value_name = "STAGE", value_parser = starts(), conflicts_with_all = ["drill", "past"])]
    pub start_at: Option<String>,
    /// Ten cards of one thing in some five minutes, in place of a unit
    #[arg(long, value_name = "NAME", value_parser = drill_names(), conflicts_with_all = ["level", "new", "past"])]
    pub drill: Option<String>,
    /// Who practises: the name is on the record, and is asked for where it is not said
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// List what has been practised so far, and how far that is by kind of fault; with --by of one person
    #[arg(long, conflicts_with_all = ["seed", "level", "answers", "new", "plain", "at"])]
    pub past: bool,
    /// With --past: write how far that is on a page to this file, as PDF
    #[arg(long, value_name = "FILE", requires = "past")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    #[command(flatten)]
    pub lettering: Lettering,
    /// Write over a file that is there
    #[arg(long, requires = "past")]
    pub replace: bool,
    #[command(flatten)]
    pub asking: Asking,
    #[command(flatten)]
    pub speaking: Speaking,
    /// Begin a new run even where an unfinished one could be gone on with
    #[arg(long)]
    pub new: bool,
    /// The time to write down, as 2026-05-01T10:00:00Z
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object at the end, and nothing else
    #[arg(long)]
    pub json: bool,
}

/// Where a job may begin.
fn starts() -> PossibleValuesParser {
    PossibleValuesParser::new(StartAt::ALL.map(|(_, word, _)| word))
}

/// The names of the drills.
fn drill_names() -> PossibleValuesParser {
    PossibleValuesParser::new(Drill::ALL.map(|(_, word, _)| word))
}

/// Practises on a made-up unit, or lists what was practised.
pub(super) fn practise(arguments: &Practise) -> Result<Exit, Failure> {
    if arguments.past {
        app::practised::past(&app::practised::Past {
            book: arguments.book.dir.as_ref(),
            by: arguments.by.as_deref(),
            sheet: arguments
                .sheet
                .as_ref()
                .map(|path| (path, arguments.paper.into(), arguments.lettering.font.as_ref())),
            replace: arguments.replace,
            json: arguments.json,
        })?;
        return Ok(Exit::Done);
    }
    if let Some(drill) = arguments.drill.as_deref().and_then(Drill::named) {
        let ended = app::drill::drill(&app::drill::Drilling {
            drill,
            seed: arguments.seed,
            by: arguments.by.clone(),
            language: arguments.speaking.code(),
            asking: arguments.asking.for_job(),
            at: arguments.at.clone(),
            book: arguments.book.dir.clone(),
            json: arguments.json,
        })?;
        return Ok(ended.into());
    }
    let ended = app::practise::practise(&app::practise::Practise {
        seed: arguments.seed,
        level: arguments.level,
        start_at: arguments.start_at.as_deref().and_then(StartAt::named),
        by: arguments.by.clone(),
        asking: arguments.asking.for_job(),
        language: arguments.speaking.code(),
        new: arguments.new,
        at: arguments.at.clone(),
        book: arguments.book.dir.clone(),
        json: arguments.json,
    })?;
    Ok(ended.into())
}
