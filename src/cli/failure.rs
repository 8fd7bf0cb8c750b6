//! What a person is told when something was not done, what to do next, and the exit code that goes with it.

use super::exit::Exit;
use crate::app::Failure as JobFailure;
use crate::bench::BenchError;
use crate::book::{ArchiveFault, BookError, names_beside};
use crate::document::nearest;
use crate::mechanics::MechanicsError;
use crate::metrology::MetrologyError;
use crate::practice::MakeError;
use crate::quantity::{QuantityError, visible, visible_lines};
use crate::record::PaperError;
use crate::report::Figures;
use crate::sheet::{AttachedError, FontError};
use crate::tuning::CourseError;
use crate::workshop::SettingError;
use std::io;
use std::path::Path;

/// Why the program did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    #[error(transparent)]
    Job(JobFailure),
    #[error("no build of {0} in the book is finished and whole, so nothing can be said of its wear")]
    NothingFinished(String),
    #[error("--complaint: {0}")]
    Complaint(String),
    #[error(transparent)]
    Course(Box<CourseError>),
    #[error("--take {take}: there are {count} proposals")]
    Take { take: u32, count: usize },
    #[error("--date: \"{0}\" is no day; write it as 2026-05-01")]
    Date(String),
    #[error("\"{0}\" is not understood; write --keep G1=left")]
    Keep(String),
    #[error("no choice can be made: {0}")]
    Choice(String),
    #[error("{name}: {why}")]
    Argument { name: &'static str, why: QuantityError },
    #[error("{name}: \"{text}\" is no whole number")]
    NotWhole { name: &'static str, text: String },
    #[error("{name} is needed: {why}; give {what}")]
    Needed {
        name: &'static str,
        why: &'static str,
        what: &'static str,
    },
    #[error("{name}: {why}")]
    Bolt { name: &'static str, why: MechanicsError },
    #[error("there is no command \"{name}\"{}", meant_is(.near))]
    NoCommand { name: String, near: Option<String> },
    #[error("{file}: {why}")]
    Data { file: String, why: MetrologyError },
}

/// What may have been meant, behind a refusal.
fn meant_is(near: &Option<String>) -> String {
    near.as_ref()
        .map_or(String::new(), |near| format!("; did you mean {near}?"))
}

/// What machines are told where something was not done.
pub(super) fn failed(why: &str, next: &str, exit: Exit) -> Figures {
    Figures::new()
        .text("error", why)
        .text("next", next)
        .count("exit", usize::from(exit as u8))
        .told("error")
}

impl<E> From<E> for Failure
where
    JobFailure: From<E>,
{
    fn from(why: E) -> Failure {
        Failure::Job(why.into())
    }
}

impl Failure {
    /// The exit code that goes with it.
    pub fn exit(&self) -> Exit {
        match self {
            Failure::Job(why) => job_exit(why),
            Failure::Choice(_) => Exit::BadFile,
            Failure::NothingFinished(_) => Exit::NotFound,
            Failure::Argument {
                why: QuantityError::TooLarge { .. } | QuantityError::RampAngleOutOfRange { .. },
                ..
            } => Exit::OutOfRange,
            Failure::Date(_)
            | Failure::Take { .. }
            | Failure::NoCommand { .. }
            | Failure::Keep(_)
            | Failure::Complaint(_)
            | Failure::Argument { .. }
            | Failure::NotWhole { .. }
            | Failure::Needed { .. }
            | Failure::Bolt { .. } => Exit::Usage,
            Failure::Data { .. } | Failure::Course(_) => Exit::OutOfRange,
        }
    }

    /// What a person is told, with what to do next.
    pub fn report(&self) -> String {
        match self {
            Failure::Job(JobFailure::Faults(faults)) => {
                format!(
                    "error: {}\n  {}; nothing was begun",
                    faults.shown(MOST_SHOWN),
                    self.hint()
                )
            }
            Failure::Job(JobFailure::Paper(why)) => format!(
                "error: --code: {}\n  {}",
                visible_lines(&why.to_string()),
                self.hint()
            ),
            Failure::Job(JobFailure::File(BookError::Missing { path })) => format!(
                "error: {}\n  {}{}",
                visible_lines(&self.to_string()),
                meant(path).map_or(String::new(), |meant| format!(
                    "did you mean {}?\n  ",
                    visible(&meant)
                )),
                self.hint()
            ),
            other => format!("error: {}\n  {}", visible_lines(&other.to_string()), other.hint()),
        }
    }

    /// What machines are told: why it was not done, what to do next, and the exit code.
    pub fn for_machines(&self) -> Figures {
        let why = match self {
            Failure::Job(JobFailure::Faults(faults)) => faults.shown(usize::MAX),
            other => other.to_string(),
        };
        failed(&why, self.hint(), self.exit())
    }

    /// What to do next. Every failure has its own line, so that a new one can not go without.
    fn hint(&self) -> &'static str {
        match self {
            Failure::Job(why) => job_hint(why),
            Failure::NothingFinished(_) => "`shimwright builds` lists what is there",
            Failure::Take { .. } => "`shimwright settle` without --take lists them",
            Failure::NoCommand { .. } => "`shimwright --help` lists them",
            Failure::Date(_) => "year, month and day, such as 2026-05-01",
            Failure::Complaint(_) => "`--complaint list` lists them, with the words by which they are found",
            Failure::Course(why) if matches!(**why, CourseError::NoSecond { .. }) => {
                "give the other place of a car that drives both axles, or leave --together out"
            }
            Failure::Course(_) => "change the moment in the use's file, or what the car's file says of it",
            Failure::Keep(_) => "a plate and the side that it is to stay on, left or right",
            Failure::Choice(_) => "mend what it names, in the readings or in the unit file, and run it again",
            Failure::Needed { .. } => {
                "add it and run it again; `--help` behind the command says what each option is"
            }
            Failure::Argument { .. } | Failure::NotWhole { .. } | Failure::Bolt { .. } => {
                "write it again with its unit; `--help` behind the command has an example of each"
            }
            Failure::Data { .. } => "mend the readings in that file and run it again",
        }
    }
}

/// The exit code of a job that was not done.
fn job_exit(why: &JobFailure) -> Exit {
    match why {
        // they have seen enough
        closed if closed.is_closed_pipe() => Exit::Done,
        JobFailure::Faults(_)
        | JobFailure::Rows(_)
        | JobFailure::Attached { .. }
        | JobFailure::File(_)
        | JobFailure::NoProcedure { .. }
        | JobFailure::NoUse { .. }
        | JobFailure::Unit(_)
        | JobFailure::Key { .. }
        | JobFailure::Certificate { .. }
        | JobFailure::Font { .. }
        | JobFailure::Photo { .. }
        | JobFailure::Setting(_) => Exit::BadFile,
        JobFailure::Book(BookError::Held { .. }) => Exit::Held,
        JobFailure::Book(BookError::NotAnId { .. }) => Exit::NotFound,
        JobFailure::Book(_)
        | JobFailure::Entry(_)
        | JobFailure::Newer { .. }
        | JobFailure::NotNoted(_)
        | JobFailure::OtherDrawer(_)
        | JobFailure::NoBook(_)
        | JobFailure::Snapshot(_) => Exit::BadBook,
        JobFailure::Paper(PaperError::Newer { .. }) => Exit::NotProven,
        JobFailure::Bench(BenchError::Stopped) => Exit::Paused,
        JobFailure::Bench(BenchError::Io(_) | BenchError::NoTerminal) => Exit::Failed,
        JobFailure::Bench(_) => Exit::BadAnswers,
        JobFailure::NoBuild(_)
        | JobFailure::Day(_)
        | JobFailure::NoDay(_)
        | JobFailure::NotDriven(_)
        | JobFailure::NoSuchPaper
        | JobFailure::NoUnit(_)
        | JobFailure::Practice(_) => Exit::NotFound,
        JobFailure::Correction(_) | JobFailure::NotSaid(_) => Exit::BadAnswers,
        JobFailure::PracticeIsBook | JobFailure::GeneratedUnit(MakeError::Level { .. }) => Exit::Usage,
        JobFailure::OtherPractice(_) => Exit::BadBook,
        JobFailure::Log(_) | JobFailure::NotAsLogged(_) => Exit::BadBook,
        JobFailure::NotFinished(_) | JobFailure::NotSigned(_) => Exit::Paused,
        JobFailure::RecordAltered(_) => Exit::SealBroken,
        JobFailure::NotAllowed { .. }
        | JobFailure::NotRotated(_)
        | JobFailure::SealInTheWay(_)
        | JobFailure::SignedAlready { .. }
        | JobFailure::KeyExists(_) => Exit::Failed,
        JobFailure::Time(_)
        | JobFailure::Default(_)
        | JobFailure::NoKey
        | JobFailure::NoName
        | JobFailure::PdfWithPaper(_)
        | JobFailure::NoPassphrase(_)
        | JobFailure::EmptyPassphrase(_)
        | JobFailure::Name(_)
        | JobFailure::Sign(_)
        | JobFailure::Paper(_)
        | JobFailure::OutputTaken
        | JobFailure::OutputAsked => Exit::Usage,
        JobFailure::Mechanics(_) | JobFailure::Metrology(_) => Exit::OutOfRange,
        JobFailure::NoHome
        | JobFailure::GeneratedUnit(_)
        | JobFailure::Exists(_)
        | JobFailure::Written(_)
        | JobFailure::Sheet(_)
        | JobFailure::Out(_)
        | JobFailure::Json(_) => Exit::Failed,
    }
}

/// What to do next when a job was not done.
fn job_hint(why: &JobFailure) -> &'static str {
    match why {
        JobFailure::Book(error) => book_hint(error),
        JobFailure::File(error) => file_hint(error),
        JobFailure::Bench(error) => bench_hint(error),
        JobFailure::Faults(_) => "mend the file and run it again",
        JobFailure::Rows(_) => {
            "mend these cells and run it again; --partly takes the days that are without fault, --columns says what there is"
        }
        JobFailure::Attached { why, .. } => match why {
            AttachedError::None => {
                "print it anew with --with-record, or take the build out of a backup; whether its pages are the record's is told \
                 by `shimwright check --code` with the groups of the digest on them"
            }
            AttachedError::Encrypted => "take the encryption off with the program that put it on",
            _ => "nothing was taken out of it: get the file once more from whoever printed it",
        },
        JobFailure::PdfWithPaper(_) => {
            "run it once without them, and once with the build's name in its place"
        }
        JobFailure::NoBuild(_) => {
            "`shimwright builds` lists what is there; `shimwright check BUILD` says of one that was taken away by whom, and why"
        }
        JobFailure::NoUnit(_) => "`shimwright builds` lists what is there",
        JobFailure::Day(_) => "`shimwright days NAME` shows it, `shimwright days` lists all",
        JobFailure::NotDriven(_) => "`shimwright days` has what was driven, `shimwright builds` what may be",
        JobFailure::NoDay(_) => "`shimwright days` lists what is there",
        JobFailure::NotNoted(_) => "look whether the drawer was counted down for it",
        JobFailure::OtherDrawer(_) => "`shimwright work` on that unit with that drawer does it",
        JobFailure::NoBook(_) => {
            "look at the path behind --book, or in SHIMWRIGHT_BOOK; `shimwright work` makes a book where there is none"
        }
        JobFailure::Snapshot(_) => {
            "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished"
        }
        JobFailure::Newer { .. } => {
            "take that program for it; `shimwright sheet` prints what can be read here, as unfinished, and \
                 `shimwright work` with --new begins another build"
        }
        JobFailure::Practice(_) => "`shimwright practise --past` lists practice",
        JobFailure::PracticeIsBook => "give another book with --book DIR",
        JobFailure::OtherPractice(_) => "begin another with --new",
        JobFailure::GeneratedUnit(_) => "take another seed, or a level from 1 to 4",
        JobFailure::Entry(_) => {
            "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished"
        }
        JobFailure::Key { .. } => {
            "look whether it is the right file; `shimwright key new` makes a key that fits"
        }
        JobFailure::Certificate { .. } => {
            "give the certificate that whoever gives the times has published, in PEM or DER"
        }
        JobFailure::Font {
            why: FontError::Collection(_) | FontError::NoFace { .. },
            ..
        } => "name one of its faces by its number behind the path, such as --font FILE#1",
        JobFailure::Font { .. } => {
            "take another font; without --font, and a default for it, such signs stand as their code points"
        }
        JobFailure::NoKey => "give --key FILE, or set SHIMWRIGHT_KEY; `shimwright key new` makes one",
        JobFailure::NoPassphrase(_) => "--passphrase-file FILE gives the passphrase in its first line",
        JobFailure::EmptyPassphrase(_) => {
            "the program that was to give it may have failed; a key without a passphrase is made with --no-passphrase"
        }
        JobFailure::NoName => "give --as NAME",
        JobFailure::KeyExists(_) => "give a name that is free",
        JobFailure::Log(_) => {
            "see what `shimwright check --all` says of the book; `shimwright adopt` mends what can be mended"
        }
        JobFailure::NotAsLogged(_) => {
            "get what is lacking from the other machine, from what sync left aside or from a backup, before anything more is written"
        }
        JobFailure::NotSigned(_) => "run it again when what it shows is what you mean to sign",
        JobFailure::NotFinished(_) => "go on with it: the same `shimwright work` again",
        JobFailure::SignedAlready { .. } => "another person's key countersigns it",
        JobFailure::RecordAltered(_) => "`shimwright check` says all that was found",
        JobFailure::NotAllowed { .. } => {
            "sign with a key that is valid now, under the name that the allowed signers have for it"
        }
        JobFailure::NotRotated(_) => {
            "`shimwright check --all` says which rotations the book has; a line of allowed_signers makes any key known without one"
        }
        JobFailure::SealInTheWay(_) => {
            "`shimwright check` says what they are; move them out of the build's folder, and sign again"
        }
        JobFailure::Paper(PaperError::Newer { .. }) => "the record itself: `shimwright check BUILD`",
        JobFailure::Paper(_) => {
            "give the whole text that the phone shows, in quotes; or at least four groups of the digest"
        }
        JobFailure::Photo { .. } => {
            "type the digest: its groups stand beside the code, and four of them at least are enough: `--code \"5e03 7fb9 6aea d1a1\"`; or \
             take the picture again, sharp, from above, in even light, the code as large as it gets"
        }
        JobFailure::NoSuchPaper => "read the groups again, and see whether it is the right book (--book DIR)",
        JobFailure::Correction(_) => {
            "nothing was written; the names of the questions are those of the answers files"
        }
        JobFailure::NotSaid(_) => {
            "`shimwright parts BUILD` says what it waits for; `shimwright builds` lists which are open"
        }
        JobFailure::Name(_) | JobFailure::Sign(_) => "give another name with --as NAME",
        JobFailure::Setting(SettingError::OtherUnit { .. }) => {
            "give this unit's own setting, or settle one with `shimwright settle ... --write FILE`"
        }
        JobFailure::Setting(SettingError::CanNot(_)) => {
            "take another proposal (--take), or write what can be had into the unit's [offer] and settle again"
        }
        JobFailure::Exists(_) => "give another name; where the command has --replace, that writes over it",
        JobFailure::OutputAsked => "give the file a name, or the answers with --answers FILE",
        JobFailure::OutputTaken => "give the other one a name",
        JobFailure::Written(BookError::Missing { .. }) => {
            "make the folder first, or give a path in one that is there"
        }
        JobFailure::Written(error) => book_hint(error),
        JobFailure::NoProcedure { .. } | JobFailure::NoUse { .. } => {
            "take one of these, or give the path of a TOML file of your own"
        }
        JobFailure::Unit(_) => "mend the unit file, or give the file with its option, and run it again",
        JobFailure::Time(_) => {
            "the time of a paper note: date, T, time of day, Z for UTC or an offset such as +01:00"
        }
        JobFailure::Default(_) => "`shimwright defaults` lists what there is, what it may be and who says so",
        JobFailure::NoHome => "any folder that can be written to will do, such as --book my-book",
        JobFailure::Sheet(_) => "the record is whole; `shimwright sheet BUILD` makes the sheet again",
        JobFailure::Out(_) => {
            "see that the disk is not full and the file or pipe can be written to, and run it again"
        }
        JobFailure::Mechanics(_) | JobFailure::Metrology(_) => {
            "look whether a figure is in the wrong unit or at the wrong option, and run it again"
        }
        JobFailure::Json(_) => "run it without --json, --csv or --format to see it otherwise",
    }
}

fn book_hint(error: &BookError) -> &'static str {
    match error {
        BookError::NotAnId { .. } => "`shimwright builds` lists what is there",
        BookError::NotWritable { .. } | BookError::NotAFolder { .. } => {
            "choose another folder with --book DIR, or set SHIMWRIGHT_BOOK"
        }
        BookError::Held { .. } => "finish or pause it there first",
        BookError::Altered { .. } => {
            "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished"
        }
        BookError::Newer { .. } => {
            "take that program for it; `shimwright sheet` prints what can be read here"
        }
        BookError::Missing { .. } => {
            "a build's folder has lost a file: take it from a copy of the book, and `shimwright builds` shows the rest"
        }
        BookError::IsFolder { .. } | BookError::NotAFile { .. } => {
            "give the name of a file, with --out where it is a sheet"
        }
        BookError::InBook { .. } => "give a name outside the book, with --out where it is a sheet",
        BookError::Spent => "give the other one as a file",
        BookError::Backup { .. } => "take another backup, or another disk",
        BookError::Link { .. } => {
            "what it leads to is left alone; put the file or folder itself in its place, or take the link away"
        }
        BookError::TooLarge { .. } | BookError::NotUtf8 { .. } => {
            "it was not written by this program: take it from a copy of the book"
        }
        BookError::TooOpen { .. } => "`chmod 600 FILE` makes it so",
        BookError::Exists { .. } => "give a name that is free",
        BookError::Second(second) => second.what_to_do(),
        BookError::NoNumberLeft { .. } => "begin another book with --book DIR",
        BookError::Io { doing: "locked", .. } => {
            "if its disk knows no locks, as some that are reached over a network, choose another folder with --book DIR"
        }
        BookError::Io { source, .. } | BookError::Append { source, .. } if system_hint(source).is_some() => {
            system_hint(source).unwrap_or_default()
        }
        BookError::Io { .. } | BookError::Append { .. } => {
            "see that the disk is not full and still there, and run the same command again: it goes on where it was"
        }
        BookError::ReadingOnly { .. }
        | BookError::BadName { .. }
        | BookError::NotAnEntry { .. }
        | BookError::Stopped { .. }
        | BookError::Disturbed { .. } => "run the same command again: it goes on where it was",
    }
}

/// What helps where the system refuses a path and no disk is full.
fn system_hint(source: &io::Error) -> Option<&'static str> {
    match source.kind() {
        io::ErrorKind::PermissionDenied => {
            Some("see whose the file and its folder are and who may write there, or give another place")
        }
        io::ErrorKind::InvalidFilename => {
            Some("the name or the path is too long for this disk: give a shorter one")
        }
        io::ErrorKind::NotADirectory => {
            Some("a part of that path is a file and no folder: give another path")
        }
        _ => None,
    }
}

/// The file beside a path that a slip of the pen may have meant.
fn meant(path: &Path) -> Option<String> {
    let names = names_beside(path);
    let known: Vec<&str> = names.iter().map(String::as_str).collect();
    let meant = nearest(path.file_name()?.to_str()?, &known)?;
    Some(path.with_file_name(meant).display().to_string())
}

/// For a file that somebody named.
fn file_hint(error: &BookError) -> &'static str {
    match error {
        BookError::Missing { .. } => {
            "look at the path; a file that a unit file names lies beside the unit file"
        }
        BookError::IsFolder { .. } | BookError::NotAFile { .. } => "give the name of a plain file",
        BookError::TooOpen { .. } => "`chmod 600 FILE` makes it so",
        BookError::Exists { .. } => "give a name that is free",
        BookError::Spent => "give the other one as a file",
        BookError::Backup {
            why: ArchiveFault::Newer(_),
            ..
        } => "take that program for it; nothing was unpacked",
        BookError::Backup { .. } => {
            "nothing was unpacked: take another copy of it, or an older one; tar shows what of it can still be read"
        }
        BookError::TooLarge { .. } => "what is read here is a few pages at most: is it the right file?",
        BookError::Io { source, .. } if system_hint(source).is_some() => {
            system_hint(source).unwrap_or_default()
        }
        BookError::NotUtf8 { .. } => "save it as UTF-8 text in an editor and run it again",
        _ => "see that it can be read, and run it again",
    }
}

fn bench_hint(error: &BenchError) -> &'static str {
    match error {
        BenchError::Malformed { .. } => "mend these lines and run it again; nothing was begun",
        BenchError::Refused { sure: true, .. } => {
            "what was answered before is kept in the book; if it is right, write sure behind it"
        }
        BenchError::OutOfStep { .. }
        | BenchError::TooShort { .. }
        | BenchError::Refused { .. }
        | BenchError::LeftOver { .. } => {
            "what was answered before is kept in the book; with the answers from there on it goes on"
        }
        BenchError::Io(_) => "every answer so far is kept: run the same command again to go on",
        BenchError::NoTerminal => "use --plain, or --answers FILE",
        BenchError::Stopped => "run it again to go on",
    }
}

/// The most faults that are shown of one file.
const MOST_SHOWN: usize = 20;
#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Fault, Faults};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_fault_at_any_place_of_any_text_is_shown(
            source in "[ab=é漢\\[\"\t\u{1b}\r\n]{0,40}|\\PC{0,60}", start in 0_usize..80, length in 0_usize..80, message in "\\PC{0,20}",
        ) {
            let faults = Faults {
                file: "unit.toml".into(),
                source,
                faults: vec![Fault { rule: "sense", span: start..start + length, message }],
            };
            let shown = Failure::from(faults).report();
            prop_assert!(shown.starts_with("error: unit.toml"), "{}", shown);
            prop_assert!(shown.contains("\n  rule: sense"), "{}", shown);
            prop_assert!(!shown.contains('\u{1b}'), "{}", shown);
        }
    }
}
