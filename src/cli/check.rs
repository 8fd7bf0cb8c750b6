use super::args::Book;
use super::exit::Exit;
use super::failure::Failure;
use super::load::book_dir;
use super::reports::write_out;
use super::seals::{moment, signers, stored};
use crate::bench::visible;
use crate::book::{BuildId, Shelf};
use crate::record::{Certainty, Examined, to_json};
use crate::sheet::hanging;
use clap::Args;
use std::path::PathBuf;

/// Check the seals of a build: whether its record is as it was signed, and by whom.
#[derive(Args)]
pub(super) struct Check {
    /// The build's name in the book
    pub build: String,
    /// Who is who, instead of the file allowed_signers in the book
    #[arg(long, value_name = "FILE")]
    pub signers: Option<PathBuf>,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Checks the seals of a build.
pub(super) fn check(arguments: &Check) -> Result<Exit, Failure> {
    let (exit, text, aside) = text(arguments)?;
    write_out(&text, false)?;
    write_out(&aside, true)?;
    Ok(exit)
}

/// What is printed, and what is warned of beside it.
pub(super) fn text(arguments: &Check) -> Result<(Exit, String, String), Failure> {
    let (path, signers) = signers(arguments.signers.as_deref(), arguments.book.dir.as_ref())?;
    let shelf = Shelf::look(&book_dir(arguments.book.dir.as_ref())?)?;
    let id: BuildId = arguments.build.parse()?;
    if !shelf.list()?.contains(&id) {
        return Err(Failure::NoBuild(arguments.build.clone()));
    }
    let examined = stored(&shelf, &id)?.examine(&signers, &moment);
    let text = if arguments.json {
        to_json(&examined.summary()).map_err(|error| Failure::Json(error.to_string()))?
    } else {
        words(&examined)
    };
    let mut aside = String::new();
    for fault in signers.faults() {
        let path = path.display().to_string();
        let words = format!("warning: {path}, line {}: {}", fault.line, fault.words);
        aside.push_str(&format!("{}\n", visible(&words)));
    }
    let exit = match examined.verdict() {
        Certainty::Note | Certainty::Holds => Exit::Done,
        Certainty::Open => Exit::NotProven,
        Certainty::Broken => Exit::SealBroken,
    };
    Ok((exit, text, aside))
}

fn words(examined: &Examined) -> String {
    const WIDTH: usize = 80;
    let verdict = match examined.verdict() {
        Certainty::Note | Certainty::Holds => "the record is as it was signed",
        Certainty::Open if examined.seals.is_empty() => "nothing is signed yet",
        Certainty::Open => "nothing is found that does not hold, but not all is proved",
        Certainty::Broken => "THE RECORD IS NOT AS IT WAS SIGNED, or a signature does not hold",
    };
    let mut text = hanging("", &format!("{}: {verdict}", examined.build), WIDTH);
    for finding in &examined.findings {
        let word = format!("  {:<7}", finding.certainty.word());
        text.push_str(&hanging(&word, &finding.words, WIDTH));
    }
    let digest = format!(
        "lines 1 to {} of the journal: {}",
        examined.lines,
        examined.digest.groups()
    );
    text.push_str(&hanging("  digest ", &digest, WIDTH));
    text
}
