//! Why a job was not done. What a person can do about it, and the exit code, is for `cli` to say.

use crate::bench::BenchError;
use crate::book::BookError;
use crate::document::Faults;
use crate::mechanics::MechanicsError;
use crate::metrology::MetrologyError;
use crate::practice::MakeError;
use crate::record::{EntryError, PaperError, SignError, StatementError};
use crate::report::ReportError;
use crate::seal::{SealError, TokenError};
use crate::sheet::photo::PhotoError;
use crate::sheet::{AttachedError, FontError, SheetError};
use crate::workshop::SettingError;
use std::io;
use std::path::PathBuf;

/// Why a job was not done.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
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
    #[error("{}: {why}", .path.display())]
    Attached { path: PathBuf, why: AttachedError },
    #[error("{} is checked by the record in it, and not with --code or --photo", .0.display())]
    PdfWithPaper(PathBuf),
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
    #[error("{0} is the record of a drive day and no build")]
    Day(String),
    #[error("there is no drive day \"{0}\" in the book")]
    NoDay(String),
    #[error("nothing called \"{0}\" was driven on these days, nor is it a build or a setting that can be")]
    NotDriven(String),
    #[error("there is no build of a unit \"{0}\" in the book")]
    NoUnit(String),
    #[error("{0}")]
    Rows(String),
    #[error("{0} is practice on an invented unit, and no record of a real one")]
    Practice(String),
    #[error("the book's folder is itself called practice, which is where practice would go")]
    PracticeIsBook,
    #[error("{0} was made up by another version of the program and can not be gone on with")]
    OtherPractice(String),
    #[error(transparent)]
    GeneratedUnit(#[from] MakeError),
    #[error("there is no stock procedure \"{name}\", and no file of that name; stock procedures: {known}")]
    NoProcedure { name: String, known: String },
    #[error("there is no stock use \"{name}\", and no file of that name; stock uses: {known}")]
    NoUse { name: String, known: String },
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
    #[error(
        "\"{0}\" is no time from 1950 to 2199; write it as 2026-05-01T10:00:00Z, or 2026-05-01 where only the day is known"
    )]
    Time(String),
    #[error("{}: {why}", path.display())]
    Key { path: PathBuf, why: SealError },
    #[error("{}: {why}", path.display())]
    Certificate { path: PathBuf, why: TokenError },
    #[error("{} is shut by a passphrase, or is to be, and there is no terminal to type it at unseen", .0.display())]
    NoPassphrase(PathBuf),
    #[error("{} has no passphrase: its first line is empty or blank", .0.display())]
    EmptyPassphrase(PathBuf),
    #[error("{}: {why}", path.display())]
    Font { path: PathBuf, why: FontError },
    #[error("no key to sign with is given")]
    NoKey,
    #[error("no name to sign with is given, and the allowed signers have none for this key")]
    NoName,
    #[error("{} is there already; it was left as it is", .0.display())]
    KeyExists(PathBuf),
    #[error("{0}")]
    Log(String),
    #[error("nothing was written: {0}")]
    NotAsLogged(String),
    #[error("{0} was not signed")]
    NotSigned(String),
    #[error("{0} is not finished; it is signed when it is")]
    NotFinished(String),
    #[error("this key has signed this record already: seal {number}, by {name}")]
    SignedAlready { number: u32, name: String },
    #[error("nothing was signed, because the record is not as it was:\n  {0}")]
    RecordAltered(String),
    #[error("nothing is signed as {name}: {words}")]
    NotAllowed { name: String, words: String },
    #[error("the key was not rotated: {0}")]
    NotRotated(String),
    #[error("{0} stand where the next seal goes, and the journal does not name them; nothing was signed")]
    SealInTheWay(String),
    #[error(transparent)]
    Name(#[from] StatementError),
    #[error(transparent)]
    Sign(#[from] SignError),
    #[error(transparent)]
    Paper(#[from] PaperError),
    #[error("nothing was read off {}: {why}", path.display())]
    Photo { path: PathBuf, why: PhotoError },
    #[error("no build in the book ever had a digest that begins with these digits")]
    NoSuchPaper,
    #[error("the answer was not corrected: {0}")]
    Correction(String),
    #[error("nothing was written: {0}")]
    NotSaid(String),
    #[error("{0}")]
    Default(String),
    #[error("no folder for the book is known on this machine; give one with --book")]
    NoHome,
    #[error("the sheet could not be made: {0}")]
    Sheet(#[from] SheetError),
    #[error("writing to the output or reading from the input failed: {0}")]
    Out(#[from] io::Error),
    #[error(transparent)]
    Mechanics(#[from] MechanicsError),
    #[error(transparent)]
    Metrology(#[from] MetrologyError),
    #[error("the report could not be written: {0}")]
    Json(#[from] ReportError),
}

impl Failure {
    /// Whether somebody closed the pipe that we wrote into.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Failure::Out(error) | Failure::Bench(BenchError::Io(error)) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}
