//! The check of a build: its seals, and a paper that is held against its record.

use super::book_log::read_logs;
use super::close::still_to_do;
use super::failure::Failure;
use super::load::{Sources, known_build, look};
use super::quiet::quietly;
use super::rotation_files::{RotationFiles, rotation_files};
use super::seals::{REVOKED, moment, rules, signers, told_of_rotations, who_is_who};
use super::sheet_check::sheet_check;
use super::stored::stored;
use super::time_tokens::{time_certificates, told_of_tokens};
use crate::book::{BuildId, Shelf, read_input_bytes};
use crate::procedure::Session;
use crate::quantity::visible;
use crate::record::log_check::Logs;
use crate::record::log_rotations::RotationThere;
use crate::record::{Certainty, Finding, OffPaper, PaperError, PaperText, SealCheck, SmallCode, Stored};
use crate::seal::Signers;
use crate::sheet::GivenFont;
use crate::sheet::photo::{PhotoCode, PhotoError, code_in_photo};
use std::io::Read;
use std::path::{Path, PathBuf};

/// The most bytes that are read of what comes in for a sheet.
const MOST_PAPER: u64 = 4_000;
/// The most bytes of a picture of a sheet.
const MOST_PHOTO: u64 = 64 << 20;

/// A build whose seals are to be checked, or a paper that is held against its record.
pub(crate) struct Check {
    /// The build's name in the book; not needed where a paper says it, or has it looked for.
    pub build: Option<String>,
    /// The text of a sheet's code, or groups of its digest; - takes it from the standard input.
    pub paper: Option<String>,
    /// A picture of a sheet, whose code is read.
    pub photo: Option<PathBuf>,
    /// Who is who, instead of the file in the book.
    pub signers: Option<PathBuf>,
    /// A font that was handed in, for a sheet that was printed with it.
    pub font: Option<GivenFont>,
    /// Certificates that are trusted to give times.
    pub time_certificate: Option<PathBuf>,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// What was found, and what is warned of beside it.
pub(crate) struct Checked {
    pub examined: SealCheck,
    pub aside: String,
}

/// Checks the seals of a build.
pub(crate) fn check(asked: &Check) -> Result<Checked, Failure> {
    let shelf = look(asked.book.as_ref())?;
    let (path, signers) = signers(asked.signers.as_deref(), &shelf)?;
    let read = match (&asked.paper, &asked.photo) {
        (Some(text), _) => off_paper(text).map(Some),
        (None, Some(photo)) => off_photo(photo).map(Some),
        (None, None) => Ok(None),
    };
    let (paper, newer) = match read {
        // what a newer program printed is told beside what can be said of its build
        Err(Failure::Paper(error @ PaperError::Newer { .. })) => (None, Some(error)),
        other => (other?, None),
    };
    let logs = read_logs(&shelf)?;
    let id = match (&asked.build, &paper, newer.as_ref()) {
        (Some(build), _, _) => known_build(&shelf, build),
        (None, Some(paper), _) => find(&shelf, &logs, paper),
        (None, None, Some(PaperError::Newer { build: Some(of), .. })) => known_build(&shelf, of),
        (None, None, Some(error)) => return Err(error.clone().into()),
        (None, None, None) => return Err(Failure::NoBuild(String::new())),
    };
    let id = match id {
        Err(Failure::NoBuild(name)) => return missing(&logs, &name, paper.as_ref(), newer),
        other => other?,
    };
    let mut stored = stored(&shelf, &id)?;
    let mut examined = by_lists_of(&shelf, &signers, &logs, &stored, asked)?;
    examined
        .book
        .splice(0..0, told_of_book(logs.judge_build(&stored)));
    // a record that does not hold gives no sheet to hold another against
    if paper.is_none() && newer.is_none() && examined.verdict() != Certainty::Broken {
        examined.sheet = sheet_check(&shelf, &id, &stored, asked.font.as_ref(), None)?;
    }
    if let Some(words) = still_to_do(&shelf, &id)? {
        examined.findings.push(Finding::new(Certainty::Note, words));
    }
    examined.paper.extend(newer.as_ref().map(newer_paper));
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
        examined.paper.extend(book_line(&logs, paper));
    }
    let mut aside = String::new();
    for fault in signers.faults() {
        let path = path.display().to_string();
        let words = format!("warning: {path}, line {}: {}", fault.line, fault.words);
        aside.push_str(&format!("{}\n", visible(&words)));
    }
    Ok(Checked { examined, aside })
}

/// What the logs of a book say of the rotations in it.
pub(crate) fn logged_rotations(book: &Shelf, logs: &Logs) -> Result<Vec<Finding>, Failure> {
    let there = rotation_files(book)?;
    let there: Vec<RotationThere> = there.iter().map(RotationFiles::there).collect();
    Ok(logs.judge_rotations(&there))
}

/// What is found of a record and its seals by the lists of a book: who is who, who is revoked, which keys took the place of
/// others, what the book asks of its seals.
pub(crate) fn by_lists_of(
    book: &Shelf,
    signers: &Signers,
    logs: &Logs,
    stored: &Stored,
    asked: &Check,
) -> Result<SealCheck, Failure> {
    let mut examined = stored.examine(signers, &moment);
    let rules = rules(book.dir())?;
    examined.findings.extend(rules.unread());
    let asked_of_seals = rules.findings(stored, &examined);
    examined.findings.extend(asked_of_seals);
    // a file that can not be read is no reason where another one is given
    if let Ok(now) = who_is_who(book.dir()) {
        let others = stored.other_signers(&examined, now);
        examined.findings.extend(others);
    }
    examined.findings.extend(not_revoked(signers));
    examined.findings.extend(told_of_rotations(book, signers, false)?);
    // whose a key is is asked of seals, and not of a paper
    if !examined.unsigned && asked.paper.is_none() && asked.photo.is_none() {
        let broken = logged_rotations(book, logs)?
            .into_iter()
            .filter(|finding| finding.certainty == Certainty::Broken);
        examined.book.extend(told_of_book(broken.collect()));
    }
    let trusted = time_certificates(asked.time_certificate.as_deref())?;
    let tokens = told_of_tokens(stored, &examined, trusted.as_ref());
    examined.findings.extend(tokens);
    Ok(examined)
}

/// The lines of the book's revoked keys that revoke none.
pub(crate) fn not_revoked(signers: &Signers) -> impl Iterator<Item = Finding> {
    signers.revoked_faults().iter().map(|fault| {
        let words = format!("{REVOKED}, line {}: {}", fault.line, fault.words);
        Finding::new(Certainty::Open, words)
    })
}

/// What the log says of the line of it that stands on a sheet.
fn book_line(logs: &Logs, paper: &OffPaper) -> Option<Finding> {
    let OffPaper::Code(PaperText { log: Some(head), .. }) = paper else {
        return None;
    };
    let words = format!("paper: {head} is in the book's log");
    let found = logs.judge(head, "paper: it");
    Some(found.unwrap_or_else(|| Finding::new(Certainty::Holds, words)))
}

/// Findings of the book's logs, told as those.
pub(crate) fn told_of_book(found: Vec<Finding>) -> Vec<Finding> {
    let told = |finding: Finding| Finding {
        words: format!("book: {}", finding.words),
        ..finding
    };
    found.into_iter().map(told).collect()
}

/// What is said of a paper that a newer program printed.
fn newer_paper(error: &PaperError) -> Finding {
    Finding::new(Certainty::Open, format!("paper: {error}"))
}

/// What is known of a build that is not there.
fn missing(
    logs: &Logs,
    name: &str,
    paper: Option<&OffPaper>,
    newer: Option<PaperError>,
) -> Result<Checked, Failure> {
    let book = told_of_book(logs.judge_missing(name).into_iter().collect());
    let mut on_paper: Vec<Finding> = paper
        .and_then(|paper| book_line(logs, paper))
        .into_iter()
        .collect();
    if book.is_empty()
        && !on_paper
            .iter()
            .any(|finding| finding.certainty == Certainty::Broken)
    {
        return Err(Failure::NoBuild(name.to_string()));
    }
    let of_record = paper.map(|paper| logs.judge_paper_of_missing(name, paper));
    on_paper.splice(0..0, of_record.into_iter().flatten());
    on_paper.extend(newer.as_ref().map(newer_paper));
    Ok(Checked {
        examined: SealCheck::missing(name, book, on_paper, logs.removed(name)),
        aside: String::new(),
    })
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

/// What is read off a picture of a sheet: the text of its code, through the same reader.
fn off_photo(path: &Path) -> Result<OffPaper, Failure> {
    let bytes = read_input_bytes(path, MOST_PHOTO).map_err(Failure::File)?;
    let kind_of = |text: &str| match OffPaper::read(text) {
        Err(PaperError::Neither) => PhotoCode::Other,
        Ok(OffPaper::Small(_)) => PhotoCode::Small,
        _ => PhotoCode::Large,
    };
    let read = quietly(|| code_in_photo(&bytes, &kind_of)).unwrap_or(Err(PhotoError::Damaged));
    let text = read.map_err(|why| Failure::Photo {
        path: path.to_path_buf(),
        why,
    })?;
    Ok(OffPaper::read(&text)?)
}

/// The build that a sheet is of.
fn find(shelf: &Shelf, logs: &Logs, paper: &OffPaper) -> Result<BuildId, Failure> {
    match paper {
        OffPaper::Code(PaperText { build, .. }) | OffPaper::Small(SmallCode { build, .. }) => {
            known_build(shelf, build)
        }
        OffPaper::Digits(digits) => {
            for id in shelf.list()? {
                if stored(shelf, &id).is_ok_and(|stored| stored.lines_with(digits).is_some()) {
                    return Ok(id);
                }
            }
            // of one that was taken away the log has some
            Err(match logs.with_digest(digits) {
                Some(build) => Failure::NoBuild(build.to_string()),
                None => Failure::NoSuchPaper,
            })
        }
    }
}
