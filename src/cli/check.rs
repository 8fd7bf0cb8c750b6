//! `check`: its arguments, its words, and the exit code of its verdict.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, Lettering};
use crate::app::check::{Checked, check as checked};
use crate::app::output::{text_of, width, write_out};
use crate::app::record_pdf::{check_pdf, is_pdf};
use crate::app::{CheckAll, check_all};
use crate::record::{Certainty, SealCheck};
use crate::report::to_json;
use crate::screen::hanging;
use clap::Args;
use std::path::{Path, PathBuf};

/// Check the seals of a build: whether its record is as it was signed, and by whom.
#[derive(Args)]
pub(super) struct Check {
    /// The build's name in the book; not needed with --code or --photo, which say it or have it looked for; or FILE.pdf, a sheet
    /// that has its record in it
    #[arg(required_unless_present_any = ["code", "photo", "all"])]
    pub build: Option<String>,
    /// Check the whole book: every build, the book's log, the numbers, who may write, what has run out
    #[arg(long, conflicts_with_all = ["build", "code", "photo"])]
    pub all: bool,
    /// With --all: print each finished build's sheet anew and compare it with the one that lies there
    #[arg(long, requires = "all")]
    pub sheets: bool,
    /// Hold a printed sheet against the record: the text of its code as a phone reads it, or the groups of its digest
    /// as they are read out; - takes it from the standard input
    #[arg(long, alias = "paper", value_name = "TEXT")]
    pub code: Option<String>,
    /// The same by a picture of the sheet, in JPEG or PNG: its code is read
    #[arg(long, value_name = "FILE", conflicts_with = "code")]
    pub photo: Option<PathBuf>,
    /// Who is who, instead of the file allowed_signers in the book
    #[arg(long, value_name = "FILE")]
    pub signers: Option<PathBuf>,
    /// Check the time-stamp tokens (RFC 3161) that lie beside seals as seal-1.tsr by the X.509 certificates in this file, PEM
    /// or DER: of whoever gave the time, or of who vouches for that
    #[arg(long, value_name = "FILE")]
    pub time_certificate: Option<PathBuf>,
    #[command(flatten)]
    pub lettering: Lettering,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Checks the seals of a build.
pub(super) fn check(arguments: &Check) -> Result<Exit, Failure> {
    if arguments.all {
        let book = check_all(&CheckAll {
            book: arguments.book.dir.clone(),
            signers: arguments.signers.clone(),
            time_certificate: arguments.time_certificate.clone(),
            sheets: arguments.sheets,
            font: arguments.lettering.given()?,
        })?;
        write_out(&text_of(&book.report(), arguments.json)?, false)?;
        return Ok(of(book.verdict()));
    }
    let (exit, text, aside) = text(arguments)?;
    write_out(&text, false)?;
    write_out(&aside, true)?;
    Ok(exit)
}

/// What is printed, and what is warned of beside it.
pub(super) fn text(arguments: &Check) -> Result<(Exit, String, String), Failure> {
    let asked = crate::app::check::Check {
        build: arguments.build.clone(),
        paper: arguments.code.clone(),
        photo: arguments.photo.clone(),
        signers: arguments.signers.clone(),
        font: arguments.lettering.given()?,
        time_certificate: arguments.time_certificate.clone(),
        book: arguments.book.dir.clone(),
    };
    let pdf = arguments
        .build
        .as_deref()
        .map(Path::new)
        .filter(|file| is_pdf(file));
    let Checked { examined, aside } = match pdf {
        Some(file) => check_pdf(&asked, file)?,
        None => checked(&asked)?,
    };
    let text = if arguments.json {
        to_json(&examined.summary())?
    } else {
        words(&examined)
    };
    Ok((of(examined.verdict()), text, aside))
}

/// The exit code of what was found.
fn of(verdict: Certainty) -> Exit {
    match verdict {
        Certainty::Note | Certainty::Holds => Exit::Done,
        Certainty::Open => Exit::NotProven,
        Certainty::Broken => Exit::SealBroken,
    }
}

fn words(examined: &SealCheck) -> String {
    let verdict = match examined.verdict() {
        Certainty::Note | Certainty::Holds if !examined.paper.is_empty() => "paper and record agree",
        Certainty::Open if examined.newer => "a newer program wrote of it, and not all can be judged here",
        Certainty::Open if examined.missing => {
            "its record was taken away on purpose, so the paper can be held against the log alone"
        }
        Certainty::Open if !examined.paper.is_empty() => "the paper is of an earlier state of the record",
        Certainty::Broken
            if examined.missing && examined.book.iter().any(|one| one.certainty == Certainty::Broken) =>
        {
            "IT WAS TAKEN AWAY"
        }
        Certainty::Broken if examined.missing => "THE PAPER AND THE BOOK'S LOG DIFFER",
        Certainty::Broken
            if examined
                .paper
                .iter()
                .any(|one| one.certainty == Certainty::Broken) =>
        {
            "PAPER AND RECORD DIFFER"
        }
        Certainty::Broken
            if !examined
                .findings
                .iter()
                .chain(&examined.book)
                .any(|one| one.certainty == Certainty::Broken) =>
        {
            "THE SHEET BESIDE THE RECORD IS NOT THE RECORD'S"
        }
        Certainty::Broken
            if !examined
                .findings
                .iter()
                .any(|one| one.certainty == Certainty::Broken) =>
        {
            "THE BOOK'S LOG SAYS OTHERWISE"
        }
        Certainty::Note | Certainty::Holds if examined.missing => "it was taken away, and that was meant",
        Certainty::Note | Certainty::Holds => "the record is as it was signed",
        Certainty::Open if examined.seals.is_empty() => "nothing is signed yet",
        Certainty::Open => "nothing is found that does not hold, but not all is proved",
        Certainty::Broken => "THE RECORD IS NOT AS IT WAS SIGNED, or a signature does not hold",
    };
    let mut text = hanging("", &format!("{}: {verdict}", examined.build), width());
    for finding in examined.all() {
        let word = format!("  {:<7}", finding.certainty.word());
        text.push_str(&hanging(&word, &finding.words, width()));
    }
    if examined.lines == 0 {
        return text;
    }
    let digest = format!(
        "lines 1 to {} of the journal: {}",
        examined.lines,
        examined.digest.groups()
    );
    text.push_str(&hanging("  digest ", &digest, width()));
    text
}
