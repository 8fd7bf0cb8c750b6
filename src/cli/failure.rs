use super::exit::Exit;
use crate::bench::BenchError;
use crate::book::BookError;
use crate::document::Faults;
use crate::mechanics::MechanicsError;
use crate::metrology::MetrologyError;
use crate::practice::MakeError;
use crate::quantity::{QuantityError, visible_lines};
use crate::record::{EntryError, PaperError, SignError, StatementError};
use crate::seal::SealError;
use crate::workshop::SettingError;
use std::io;
use std::path::PathBuf;

/// Why the program did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    #[error(transparent)]
    Book(#[from] BookError),
    #[error(transparent)]
    Bench(#[from] BenchError),
    #[error("the file has faults")]
    Faults(#[from] Faults),
    #[error(transparent)]
    File(BookError),
    #[error("{0}")]
    Entry(#[from] EntryError),
    #[error("{build} was made by a newer program, and nothing was changed: {why}")]
    Newer { build: String, why: String },
    #[error("the journal of {0} is not the one that this was noted for")]
    NotNoted(String),
    #[error("its drawer is {}, and this job's is another", .0.display())]
    OtherDrawer(PathBuf),
    #[error("there is no book in {}", .0.display())]
    NoBook(PathBuf),
    #[error("{0} is not as it was when the build was begun; nothing was changed")]
    Snapshot(String),
    #[error("there is no build \"{0}\" in the book")]
    NoBuild(String),
    #[error("there is no build of a unit \"{0}\" in the book")]
    NoUnit(String),
    #[error("no build of {0} in the book is finished and whole, so nothing can be said of its wear")]
    NothingFinished(String),
    #[error("{0}")]
    Rows(String),
    #[error("{0} is practice on an invented unit, and no record of a real one")]
    Practice(String),
    #[error("the book's folder is itself called practice, which is where practice would go")]
    PracticeIsBook,
    #[error("{0} was made up by another version of the program and can not be gone on with")]
    OtherPractice(String),
    #[error(transparent)]
    MadeUp(#[from] MakeError),
    #[error("there is no stock procedure \"{name}\", and no file of that name; stock procedures: {known}")]
    NoProcedure { name: String, known: String },
    #[error("there is no stock use \"{name}\", and no file of that name; stock uses: {known}")]
    NoUse { name: String, known: String },
    #[error("--complaint: {0}")]
    Complaint(String),
    #[error("{0}")]
    Unit(String),
    #[error("{0}")]
    Setting(#[from] SettingError),
    #[error("{0} is there already; nothing was written")]
    Exists(String),
    #[error(transparent)]
    Written(BookError),
    #[error("questions are put on the standard output, so no file can stand there")]
    OutputAsked,
    #[error("the standard output is taken already: - can stand for one file only")]
    OutputTaken,
    #[error("--take {take}: there are {count} proposals")]
    Take { take: u32, count: usize },
    #[error("--date: \"{0}\" is no day; write it as 2026-05-01")]
    Date(String),
    #[error("\"{0}\" is not understood; write --keep G1=left")]
    Keep(String),
    #[error("no choice can be made: {0}")]
    Choice(String),
    #[error(
        "\"{0}\" is no time from 1950 to 2199; write it as 2026-05-01T10:00:00Z, or 2026-05-01 where only the day is known"
    )]
    Time(String),
    #[error("{}: {why}", path.display())]
    Key { path: PathBuf, why: SealError },
    #[error("{} is shut by a passphrase, or is to be, and there is no terminal to type it at unseen", .0.display())]
    NoPassphrase(PathBuf),
    #[error("{} has no passphrase: its first line is empty or blank", .0.display())]
    EmptyPassphrase(PathBuf),
    #[error("no key to sign with is given")]
    NoKey,
    #[error("no name to sign with is given, and the allowed signers have none for this key")]
    NoName,
    #[error("{} is there already; it was left as it is", .0.display())]
    KeyExists(PathBuf),
    #[error("{0} is not finished; it is signed when it is")]
    NotFinished(String),
    #[error("this key has signed this record already: seal {number}, by {name}")]
    SignedAlready { number: u32, name: String },
    #[error("nothing was signed, because the record is not as it was:\n  {0}")]
    RecordAltered(String),
    #[error("nothing is signed as {name}: {words}")]
    NotAllowed { name: String, words: String },
    #[error("{0} stand where the next seal goes, and the journal does not name them; nothing was signed")]
    SealInTheWay(String),
    #[error(transparent)]
    Name(#[from] StatementError),
    #[error(transparent)]
    Sign(#[from] SignError),
    #[error("--paper: {0}")]
    Paper(#[from] PaperError),
    #[error("no build in the book ever had a digest that begins with these digits")]
    NoSuchPaper,
    #[error("the answer was not corrected: {0}")]
    Correction(String),
    #[error("no folder for the book is known on this machine; give one with --book")]
    NoHome,
    #[error("the sheet could not be made: {0}")]
    Sheet(#[from] crate::sheet::SheetError),
    #[error("writing to the output or reading from the input failed: {0}")]
    Out(#[from] io::Error),
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
    #[error(transparent)]
    Mechanics(#[from] MechanicsError),
    #[error(transparent)]
    Metrology(#[from] MetrologyError),
    #[error("{file}: {why}")]
    Data { file: String, why: MetrologyError },
    #[error("the report could not be written: {0}")]
    Json(String),
}

impl Failure {
    /// Whether somebody closed the pipe that we wrote into.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Failure::Out(error) | Failure::Bench(BenchError::Io(error)) if error.kind() == io::ErrorKind::BrokenPipe)
    }

    /// The exit code that goes with it.
    pub fn exit(&self) -> Exit {
        match self {
            // they have seen enough
            closed if closed.is_closed_pipe() => Exit::Done,
            Failure::Faults(_)
            | Failure::Rows(_)
            | Failure::File(_)
            | Failure::NoProcedure { .. }
            | Failure::NoUse { .. }
            | Failure::Unit(_)
            | Failure::Key { .. }
            | Failure::Setting(_)
            | Failure::Choice(_) => Exit::BadFile,
            Failure::Book(BookError::Held { .. }) => Exit::Held,
            Failure::Book(BookError::NotAnId { .. }) => Exit::NotFound,
            Failure::Book(_)
            | Failure::Entry(_)
            | Failure::Newer { .. }
            | Failure::NotNoted(_)
            | Failure::OtherDrawer(_)
            | Failure::NoBook(_)
            | Failure::Snapshot(_) => Exit::BadBook,
            Failure::Paper(PaperError::Newer { .. }) => Exit::NotProven,
            Failure::Bench(BenchError::Stopped) => Exit::Paused,
            Failure::Bench(BenchError::Io(_) | BenchError::NoTerminal) => Exit::Failed,
            Failure::Bench(_) => Exit::BadAnswers,
            Failure::NoBuild(_)
            | Failure::NoSuchPaper
            | Failure::NoUnit(_)
            | Failure::NothingFinished(_)
            | Failure::Practice(_) => Exit::NotFound,
            Failure::Correction(_) => Exit::BadAnswers,
            Failure::PracticeIsBook | Failure::MadeUp(MakeError::Level { .. }) => Exit::Usage,
            Failure::OtherPractice(_) => Exit::BadBook,
            Failure::Argument {
                why: QuantityError::TooLarge { .. } | QuantityError::RampAngleOutOfRange { .. },
                ..
            } => Exit::OutOfRange,
            Failure::NotFinished(_) => Exit::Paused,
            Failure::RecordAltered(_) => Exit::SealBroken,
            Failure::NotAllowed { .. }
            | Failure::SealInTheWay(_)
            | Failure::SignedAlready { .. }
            | Failure::KeyExists(_) => Exit::Failed,
            Failure::Time(_)
            | Failure::NoKey
            | Failure::NoName
            | Failure::NoPassphrase(_)
            | Failure::EmptyPassphrase(_)
            | Failure::Name(_)
            | Failure::Sign(_)
            | Failure::Paper(_)
            | Failure::Date(_)
            | Failure::Take { .. }
            | Failure::OutputTaken
            | Failure::OutputAsked
            | Failure::Keep(_)
            | Failure::Complaint(_)
            | Failure::Argument { .. }
            | Failure::NotWhole { .. }
            | Failure::Needed { .. }
            | Failure::Bolt { .. } => Exit::Usage,
            Failure::Mechanics(_) | Failure::Metrology(_) | Failure::Data { .. } => Exit::OutOfRange,
            Failure::NoHome
            | Failure::MadeUp(_)
            | Failure::Exists(_)
            | Failure::Written(_)
            | Failure::Sheet(_)
            | Failure::Out(_)
            | Failure::Json(_) => Exit::Failed,
        }
    }

    /// What a person is told, with what to do next.
    pub fn report(&self) -> String {
        match self {
            Failure::Faults(faults) => {
                format!(
                    "error: {}\n  {}; nothing was begun",
                    faults.shown(MOST_SHOWN),
                    self.hint()
                )
            }
            other => format!("error: {}\n  {}", visible_lines(&other.to_string()), other.hint()),
        }
    }

    /// What to do next. Every failure has its own line here, so that a new one can not go without.
    fn hint(&self) -> &'static str {
        match self {
            Failure::Book(error) => book_hint(error),
            Failure::File(error) => file_hint(error),
            Failure::Bench(error) => bench_hint(error),
            Failure::Faults(_) => "mend the file and run it again",
            Failure::Rows(_) => {
                "mend these cells and run it again; --partly takes the days that are without fault, --columns says what there is"
            }
            Failure::NoBuild(_) | Failure::NoUnit(_) | Failure::NothingFinished(_) => {
                "`shimwright builds` lists what is there"
            }
            Failure::NotNoted(_) => "look whether the drawer was counted down for it",
            Failure::OtherDrawer(_) => "`shimwright work` on that unit with that drawer does it",
            Failure::NoBook(_) => {
                "look at the path behind --book, or in SHIMWRIGHT_BOOK; `shimwright work` makes a book where there is none"
            }
            Failure::Snapshot(_) => {
                "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished"
            }
            Failure::Newer { .. } => {
                "take that program for it; `shimwright sheet` prints what can be read here, as unfinished, and \
                 `shimwright work` with --new begins another build"
            }
            Failure::Practice(_) => "`shimwright practise --past` lists practice",
            Failure::PracticeIsBook => "give another book with --book DIR",
            Failure::OtherPractice(_) => "begin another with --new",
            Failure::MadeUp(_) => "take another seed, or a level from 1 to 4",
            Failure::Entry(_) => {
                "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished"
            }
            Failure::Key { .. } => {
                "look whether it is the right file; `shimwright key new` makes a key that fits"
            }
            Failure::NoKey => "give --key FILE, or set SHIMWRIGHT_KEY; `shimwright key new` makes one",
            Failure::NoPassphrase(_) => "--passphrase-file FILE gives the passphrase in its first line",
            Failure::EmptyPassphrase(_) => {
                "the program that was to give it may have failed; a key without a passphrase is made with --no-passphrase"
            }
            Failure::NoName => "give --as NAME",
            Failure::KeyExists(_) => "give a name that is free",
            Failure::NotFinished(_) => "go on with it: the same `shimwright work` again",
            Failure::SignedAlready { .. } => "another person's key countersigns it",
            Failure::RecordAltered(_) => "`shimwright check` says all that was found",
            Failure::NotAllowed { .. } => {
                "sign with a key that is valid now, under the name that the allowed signers have for it"
            }
            Failure::SealInTheWay(_) => {
                "`shimwright check` says what they are; move them out of the build's folder, and sign again"
            }
            Failure::Paper(PaperError::Newer { .. }) => "the record itself: `shimwright check BUILD`",
            Failure::Paper(_) => {
                "give the whole text that the phone shows, in quotes; or at least four groups of the digest"
            }
            Failure::NoSuchPaper => {
                "read the groups again, and see whether it is the right book (--book DIR)"
            }
            Failure::Correction(_) => {
                "nothing was written; the names of the questions are those of the answers files"
            }
            Failure::Name(_) | Failure::Sign(_) => "give another name with --as NAME",
            Failure::Setting(SettingError::OtherUnit { .. }) => {
                "give this unit's own setting, or settle one with `shimwright settle ... --write FILE`"
            }
            Failure::Setting(SettingError::CanNot(_)) => {
                "take another proposal (--take), or write what can be had into the unit's [offer] and settle again"
            }
            Failure::Exists(_) => "give another name, or --replace to write over it",
            Failure::OutputAsked => "give the file a name, or the answers with --answers FILE",
            Failure::OutputTaken => "give the other one a name",
            Failure::Written(BookError::Missing { .. }) => {
                "make the folder first, or give a path in one that is there"
            }
            Failure::Written(error) => book_hint(error),
            Failure::Take { .. } => "`shimwright settle` without --take lists them",
            Failure::Date(_) => "year, month and day, such as 2026-05-01",
            Failure::NoProcedure { .. } | Failure::NoUse { .. } => {
                "take one of these, or give the path of a TOML file of your own"
            }
            Failure::Complaint(_) => "`shimwright settle --help` has the words",
            Failure::Unit(_) => "mend the unit file, or give the file with its option, and run it again",
            Failure::Keep(_) => "a plate and the side that it is to stay on, left or right",
            Failure::Choice(_) => "mend what it names, in the readings or in the unit file, and run it again",
            Failure::Time(_) => {
                "the time of a paper note: date, T, time of day, Z for UTC or an offset such as +01:00"
            }
            Failure::NoHome => "any folder that can be written to will do, such as --book my-book",
            Failure::Sheet(_) => "the record is whole; `shimwright sheet BUILD` makes the sheet again",
            Failure::Out(_) => {
                "see that the disk is not full and the file or pipe can be written to, and run it again"
            }
            Failure::Needed { .. } => {
                "add it and run it again; `--help` behind the command says what each option is"
            }
            Failure::Argument { .. } | Failure::NotWhole { .. } | Failure::Bolt { .. } => {
                "write it again with its unit; `--help` behind the command has an example of each"
            }
            Failure::Mechanics(_) | Failure::Metrology(_) => {
                "look whether a figure is in the wrong unit or at the wrong option, and run it again"
            }
            Failure::Data { .. } => "mend the readings in that file and run it again",
            Failure::Json(_) => "run it without --json, --csv or --format to see it otherwise",
        }
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
        BookError::Link { .. } => {
            "what it leads to is left alone; put the file or folder itself in its place, or take the link away"
        }
        BookError::TooLarge { .. } | BookError::NotUtf8 { .. } => {
            "it was not written by this program: take it from a copy of the book"
        }
        BookError::TooOpen { .. } => "`chmod 600 FILE` makes it so",
        BookError::Exists { .. } => "give a name that is free",
        BookError::Second(_) => {
            "compare the two, keep the right one as journal.jsonl, move the other out of the folder, and run it again"
        }
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
    use crate::document::Fault;
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
