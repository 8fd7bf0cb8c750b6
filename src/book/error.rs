//! Why the book could not be read or written.

use super::archive_fault::ArchiveFault;
use super::frame::Second;
use super::holder::Holder;
use super::id::BuildId;
use crate::record::formats::JOURNAL_LINE;
use std::io;
use std::path::{Path, PathBuf};

/// What can go wrong with files and journals. Each message names the path that it is about.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// There is nothing there.
    #[error("{} is not there", path.display())]
    Missing {
        /// What was looked for.
        path: PathBuf,
    },
    /// A folder stands where a file is wanted.
    #[error("{} is a folder, but a file is wanted", path.display())]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// Something else stands where a folder is wanted.
    #[error("{} is not a folder, but a folder is wanted", path.display())]
    NotAFolder {
        /// What stands there.
        path: PathBuf,
    },
    /// A device or a pipe stands where a plain file is wanted.
    #[error("{} is not a plain file", path.display())]
    NotAFile {
        /// What stands there.
        path: PathBuf,
    },
    /// A symbolic link inside the book.
    #[error("{} is a symbolic link; a build must be a real folder with real files", path.display())]
    Link {
        /// The link.
        path: PathBuf,
    },
    /// A file that is larger than it may be.
    #[error("{} holds {size} bytes or more, but at most {most} may be read", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// How many bytes it is known to hold.
        size: u64,
        /// The limit.
        most: u64,
    },
    /// A file that is not text.
    #[error("{} is not UTF-8 text: byte {offset} (in line {line}) is no character", path.display())]
    NotUtf8 {
        /// The file.
        path: PathBuf,
        /// How many bytes stand before the first that is wrong.
        offset: usize,
        /// The line that it is in, counted from 1.
        line: usize,
    },
    /// The folder can be read but not written to.
    #[error("{} can not be written to: {source}", path.display())]
    NotWritable {
        /// The folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The shelf was opened for reading only.
    #[error("{} was opened for reading only", path.display())]
    ReadingOnly {
        /// The shelf.
        path: PathBuf,
    },
    /// A private file that others may read.
    #[error("{} can be read by others (mode {mode:04o}); a private key or passphrase must be its owner's alone", path.display())]
    TooOpen {
        /// The file.
        path: PathBuf,
        /// Its mode.
        mode: u32,
    },
    /// A file that would have been overwritten.
    #[error("{} is there already; it was left as it is", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// A place inside a book, where a person wants something written.
    #[error("{} would lie in a book, where only the program itself puts files; nothing was written", path.display())]
    InBook {
        /// The place.
        path: PathBuf,
    },
    /// A file that is no whole backup.
    #[error("{}: {why}", path.display())]
    Backup {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        why: ArchiveFault,
    },
    /// `-` is given a second time.
    #[error("the standard input was read to its end already: - can stand for one file only")]
    Spent,
    /// Any other refusal of the system.
    #[error("{} could not be {doing}: {source}", path.display())]
    Io {
        /// What was wanted: "read", "written".
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A text that is no build's name.
    #[error("\"{text}\" is not the name of a build; a name looks like gt-rear-0001")]
    NotAnId {
        /// The text.
        text: String,
    },
    /// A name that a file of the snapshot may not have.
    #[error("\"{name}\" can not be the name of a file in a build: {why}")]
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// All four-digit numbers of this slug are taken.
    #[error("{} has no number left for \"{slug}\": 9999 is taken", path.display())]
    NoNumberLeft {
        /// The shelf.
        path: PathBuf,
        /// The slug.
        slug: String,
    },
    /// Someone else has the build open.
    #[error("{id} ({}) is open elsewhere, {}", path.display(), Holder::words(holder.as_ref()))]
    Held {
        /// The build.
        id: BuildId,
        /// Its journal.
        path: PathBuf,
        /// Who holds it, if that could be read.
        holder: Option<Holder>,
    },
    /// A line of the journal is not what was written.
    #[error("line {line} of {} is not as it was written: {why}; nothing was changed", path.display())]
    Altered {
        /// The journal.
        path: PathBuf,
        /// The first line that can not be trusted, counted from 1.
        line: usize,
        /// How that shows.
        why: &'static str,
    },
    /// A journal that a newer program wrote.
    #[error(
        "a newer program wrote line {line} of {} (version {version}, and up to {} is known here); nothing was changed",
        path.display(),
        JOURNAL_LINE.newest()
    )]
    Newer {
        /// The journal.
        path: PathBuf,
        /// The first line of that version, counted from 1.
        line: usize,
        /// The version.
        version: u32,
    },
    /// Another journal lies beside a build's own.
    #[error("{0}; nothing was changed")]
    Second(Second),
    /// A text that is no entry.
    #[error("the entry for {} was not written: {why}", path.display())]
    NotAnEntry {
        /// The journal.
        path: PathBuf,
        /// What is wrong with it.
        why: &'static str,
    },
    /// The entry could not be written; the journal takes no more until it is opened again.
    #[error("the entry could not be written to {}: {source}; {}", path.display(), Self::cut_words(*cut_back))]
    Append {
        /// The journal.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
        /// True when the journal was cut back to the last whole entry.
        cut_back: bool,
    },
    /// An earlier entry could not be written.
    #[error("{} takes no more entries since a write failed; open it again", path.display())]
    Stopped {
        /// The journal.
        path: PathBuf,
    },
    /// Another program changed, replaced or removed the journal while it was open.
    #[error("{} was changed by another program while it was open; nothing was written; open it again", path.display())]
    Disturbed {
        /// The journal.
        path: PathBuf,
    },
}

impl BookError {
    /// Turns a refusal of the system into an error that names the path.
    pub(super) fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> BookError {
        let path = path.to_path_buf();
        move |source| match source.kind() {
            io::ErrorKind::NotFound => BookError::Missing { path },
            io::ErrorKind::IsADirectory => BookError::IsFolder { path },
            _ => BookError::Io { doing, path, source },
        }
    }

    fn cut_words(cut_back: bool) -> &'static str {
        if cut_back {
            "the journal ends at the entry before it; open it again"
        } else {
            "part of it may be left at the end of the journal and is set aside when it is opened again"
        }
    }
}
