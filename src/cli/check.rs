use super::close::still_to_do;
use super::exit::Exit;
use super::failure::Failure;
use super::load::{Sources, known_build, look};
use super::options::Book;
use super::output::write_out;
use super::seals::{moment, signers};
use super::stored::stored;
use crate::book::{BuildId, Shelf};
use crate::procedure::Session;
use crate::quantity::visible;
use crate::record::{Certainty, Examined, Finding, OffPaper, PaperError, PaperText};
use crate::report::to_json;
use crate::sheet::hanging;
use clap::Args;
use std::io::Read;
use std::path::PathBuf;

/// The most bytes that are read of what comes in for a sheet.
const MOST_PAPER: u64 = 4_000;

/// Check the seals of a build: whether its record is as it was signed, and by whom.
#[derive(Args)]
pub(super) struct Check {
    /// The build's name in the book; not needed with --paper, which says it or has it looked for
    #[arg(required_unless_present = "paper")]
    pub build: Option<String>,
    /// Hold a printed sheet against the record: the text of its code as a phone reads it, or the groups of its digest
    /// as they are read out; - takes it from the standard input
    #[arg(long, value_name = "TEXT")]
    pub paper: Option<String>,
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
    let shelf = look(&arguments.book)?;
    let (path, signers) = signers(arguments.signers.as_deref(), shelf.dir())?;
    let (paper, newer) = match arguments.paper.as_deref().map(off_paper).transpose() {
        // what a newer program printed is told beside what can be said of its build
        Err(Failure::Paper(error @ PaperError::Newer { .. })) => (None, Some(error)),
        other => (other?, None),
    };
    let id = match (&arguments.build, &paper, newer.as_ref()) {
        (Some(build), _, _) => known_build(&shelf, build)?,
        (None, Some(paper), _) => find(&shelf, paper)?,
        (None, None, Some(PaperError::Newer { build: Some(of), .. })) => known_build(&shelf, of)?,
        (None, None, Some(error)) => return Err(error.clone().into()),
        (None, None, None) => return Err(Failure::NoBuild(String::new())),
    };
    let mut stored = stored(&shelf, &id)?;
    let mut examined = stored.examine(&signers, &moment);
    if let Some(words) = still_to_do(&shelf, &id)? {
        examined.findings.push(Finding {
            certainty: Certainty::Note,
            words,
        });
    }
    if let Some(error) = newer {
        examined.paper.push(Finding {
            certainty: Certainty::Open,
            words: format!("paper: {error}"),
        });
    }
    if let Some(paper) = &paper {
        let job = match Sources::kept(&shelf, &id).and_then(|kept| kept.job()) {
            Err(Failure::Newer { why, .. }) => {
                stored.lines.newer.push(why);
                None
            }
            other => Some(other?),
        };
        if let Some(job) = &job {
            let session = Session::resume(job.clone(), &stored.lines.entries);
            stored.lines.newer.extend(session.not_folded().cloned());
        }
        examined.paper = stored.held_against(paper, &|lines| {
            let session = Session::resume(job.clone()?, stored.lines.entries.get(..lines)?);
            if session.not_folded().next().is_some() {
                return None;
            }
            let unit = &session.job().unit.name;
            let digest = stored.digest_of(lines)?;
            let text = PaperText::new(id.as_str(), unit, session.finished(), digest, &session.on_paper())?;
            Some((text, session.is_reckoned_as_then()))
        });
    }
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

/// What is read off a sheet: the argument itself, or what comes in.
fn off_paper(text: &str) -> Result<OffPaper, Failure> {
    if text != "-" {
        return Ok(OffPaper::read(text)?);
    }
    let mut input = Vec::new();
    std::io::stdin().take(MOST_PAPER).read_to_end(&mut input)?;
    // what is no text is no text of a sheet either, and is refused as that
    Ok(OffPaper::read(&String::from_utf8_lossy(&input))?)
}

/// The build that a sheet is of.
fn find(shelf: &Shelf, paper: &OffPaper) -> Result<BuildId, Failure> {
    match paper {
        OffPaper::Code(code) => known_build(shelf, &code.build),
        OffPaper::Digits(digits) => {
            for id in shelf.list()? {
                if stored(shelf, &id).is_ok_and(|stored| stored.lines_with(digits).is_some()) {
                    return Ok(id);
                }
            }
            Err(Failure::NoSuchPaper)
        }
    }
}

fn words(examined: &Examined) -> String {
    const WIDTH: usize = 80;
    let verdict = match examined.verdict() {
        Certainty::Note | Certainty::Holds if !examined.paper.is_empty() => "paper and record agree",
        Certainty::Open if examined.newer => "a newer program wrote of it, and not all can be judged here",
        Certainty::Open if !examined.paper.is_empty() => "the paper is of an earlier state of the record",
        Certainty::Broken
            if examined
                .paper
                .iter()
                .any(|one| one.certainty == Certainty::Broken) =>
        {
            "PAPER AND RECORD DIFFER"
        }
        Certainty::Note | Certainty::Holds => "the record is as it was signed",
        Certainty::Open if examined.seals.is_empty() => "nothing is signed yet",
        Certainty::Open => "nothing is found that does not hold, but not all is proved",
        Certainty::Broken => "THE RECORD IS NOT AS IT WAS SIGNED, or a signature does not hold",
    };
    let mut text = hanging("", &format!("{}: {verdict}", examined.build), WIDTH);
    for finding in examined.all() {
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
