//! A journal that is open to be written to.

use super::error::BookError;
use super::files::{
    JOURNAL, read_bytes, read_held, real_file, real_folder, sweep, sync_folder, write_new, write_whole,
};
use super::frame::{Problem, Reading, Scan, Second, line, refusal, scan};
use super::holder::Holder;
use super::id::BuildId;
use super::lock::{Lock, try_own};
use super::names::file_name_fits;
use super::tail::{MOST_JOURNAL, OnDisk, Store, Tail, same};
use crate::seal::Digest;
use std::fmt;
use std::fs::{OpenOptions, TryLockError};
use std::io::Write;
use std::path::{Path, PathBuf};

/// An open journal. As long as it lives, it holds the lock on its build.
///
/// ```
/// use shimwright::book::Shelf;
/// let dir = tempfile::tempdir()?;
/// let shelf = Shelf::open(dir.path())?;
/// let mut journal = shelf.begin("GT rear", &[("unit.toml", b"name = \"invented\"")])?;
/// journal.append(r#"{"read":"1.98 mm"}"#)?;
/// assert_eq!(journal.id().as_str(), "gt-rear-0001");
/// assert_eq!(shelf.read(journal.id())?.entries, [r#"{"read":"1.98 mm"}"#]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Journal {
    id: BuildId,
    folder: PathBuf,
    repairs: Vec<Repair>,
    tail: Tail<OnDisk>,
}

/// What was found and put right when a build was opened.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Repair {
    /// A torn last line was moved, whole, to a file of its own.
    Torn {
        /// How many bytes it had.
        bytes: u64,
        /// Where it is now.
        aside: PathBuf,
    },
    /// The last line was whole and got the newline that it lacked.
    Completed {
        /// The line, counted from 1.
        line: usize,
    },
    /// A temporary leftover was removed.
    Swept {
        /// What was removed.
        path: PathBuf,
    },
}

impl fmt::Display for Repair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Repair::Torn { bytes, aside } => write!(
                f,
                "the last line was torn; its {bytes} bytes were set aside in {}",
                aside.display()
            ),
            Repair::Completed { line } => {
                write!(f, "line {line} was whole but lacked its newline, which it got")
            }
            Repair::Swept { path } => write!(f, "the leftover {} was removed", path.display()),
        }
    }
}

impl Journal {
    /// Locks the build of the book whose folder this is.
    pub(super) fn lock(id: &BuildId, book: &Path, folder: &Path) -> Result<Lock, BookError> {
        Lock::take(book, id.as_str())?.ok_or_else(|| held(id, folder))
    }

    /// Opens the journal in `folder` with its build's lock, and repairs what a power cut left.
    pub(super) fn open(id: &BuildId, folder: &Path, lock: Lock, name: &str) -> Result<Journal, BookError> {
        real_folder(folder)?;
        let path = folder.join(JOURNAL);
        real_file(&path)?;
        let opened = OpenOptions::new().read(true).append(true).open(&path);
        let file = opened.map_err(BookError::io("opened for writing", &path))?;
        match try_own(&file) {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(held(id, folder)),
            Err(TryLockError::Error(fault)) => return Err(BookError::io("locked", &path)(fault)),
        }
        let bytes = read_held(&file, &path, MOST_JOURNAL)?;
        let found = scan(&bytes);
        let mut store = OnDisk {
            file,
            path: path.clone(),
            _lock: lock,
        };
        if !store
            .is_ours(bytes.len() as u64)
            .map_err(BookError::io("read", &path))?
        {
            return Err(BookError::Disturbed { path });
        }
        may_be_written(&path, &found)?;
        if let Some(second) = seconds(folder, &found.entries).into_iter().next() {
            return Err(BookError::Second(second));
        }
        // what a killed program wrote may still be in memory only, and more is about to be built on it
        store.sync().map_err(BookError::io("synced", &path))?;
        Holder::write(folder, name);
        let mut repairs: Vec<Repair> = sweep(folder)
            .into_iter()
            .map(|path| Repair::Swept { path })
            .collect();
        let (end, mended) = mend(&mut store, &found, &bytes, &|torn| {
            set_aside(folder, "journal", torn)
        })?;
        repairs.extend(mended);
        let Scan { entries, tip, .. } = found;
        let tail = Tail::new(store, entries, end, tip);
        Ok(Journal {
            id: id.clone(),
            folder: folder.to_path_buf(),
            repairs,
            tail,
        })
    }

    /// Reads the journal in `folder` without locking it.
    pub(super) fn read(folder: &Path) -> Result<Reading, BookError> {
        real_folder(folder)?;
        let path = folder.join(JOURNAL);
        real_file(&path)?;
        let mut reading = Reading::of(read_bytes(&path, MOST_JOURNAL)?);
        let seconds = seconds(folder, &reading.entries).into_iter().map(Problem::Second);
        reading.problems.extend(seconds);
        Ok(reading)
    }

    /// The build's name.
    pub fn id(&self) -> &BuildId {
        &self.id
    }

    /// The build's folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// All entries so far, in order, as raw JSON texts.
    pub fn entries(&self) -> &[String] {
        &self.tail.entries
    }

    /// What was found and put right on opening.
    pub fn repairs(&self) -> &[Repair] {
        &self.repairs
    }

    /// Adds an entry, one JSON object on one line, in a line of version 1. When this returns, the entry is on the disk.
    ///
    /// # Errors
    ///
    /// [`BookError::NotAnEntry`] for another text, [`BookError::Disturbed`] when another program touched the journal,
    /// [`BookError::TooLarge`] when it is full; after [`BookError::Append`] (a full disk) the journal is cut back
    /// where possible and takes nothing more until it is opened again ([`BookError::Stopped`]).
    pub fn append(&mut self, entry: &str) -> Result<(), BookError> {
        self.append_as(1, entry)
    }

    /// [`Journal::append`] in a line of this version: the lowest whose readers understand the entry.
    ///
    /// # Errors
    ///
    /// As [`Journal::append`].
    pub fn append_as(&mut self, version: u32, entry: &str) -> Result<(), BookError> {
        self.tail.append(&[(version, entry)])
    }

    /// [`Journal::append_as`] for several that belong together, in one write. Of a write that is cut off in the middle, the
    /// lines that are whole stand.
    ///
    /// # Errors
    ///
    /// As [`Journal::append`].
    pub fn append_all(&mut self, entries: &[(u32, String)]) -> Result<(), BookError> {
        let entries: Vec<(u32, &str)> = entries
            .iter()
            .map(|(version, text)| (*version, text.as_str()))
            .collect();
        self.tail.append(&entries)
    }
}

impl Journal {
    /// Writes a file, whole, into the build's folder, over one of that name that is there.
    ///
    /// # Errors
    ///
    /// [`BookError::BadName`] for a name that leaves the folder or is the book's own, [`BookError::Link`] where a
    /// link has the name: what it leads to may lie anywhere.
    pub fn put(&self, name: &str, bytes: &[u8]) -> Result<(), BookError> {
        let path = self.named(name)?;
        match real_file(&path) {
            Ok(()) | Err(BookError::Missing { .. }) => write_whole(&path, bytes),
            Err(fault) => Err(fault),
        }
    }

    /// Takes a file out of the build's folder; one that is not there is none to take.
    ///
    /// # Errors
    ///
    /// [`BookError::BadName`] for a name that leaves the folder or is the book's own; [`BookError::Io`].
    pub fn take_out(&self, name: &str) -> Result<(), BookError> {
        let path = self.named(name)?;
        match std::fs::remove_file(&path).map_err(BookError::io("removed", &path)) {
            Ok(()) => sync_folder(&self.folder),
            Err(BookError::Missing { .. }) => Ok(()),
            Err(fault) => Err(fault),
        }
    }

    fn named(&self, name: &str) -> Result<PathBuf, BookError> {
        file_name_fits(name)?;
        Ok(self.folder.join(name))
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        Holder::remove(&self.folder);
    }
}

fn held(id: &BuildId, folder: &Path) -> BookError {
    BookError::Held {
        id: id.clone(),
        path: folder.join(JOURNAL),
        holder: Holder::read(folder),
    }
}

/// The other journals in a build's folder: whatever begins with the word, but what the book itself puts there.
fn seconds(folder: &Path, own: &[String]) -> Vec<Second> {
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            let torn = name
                .strip_prefix("journal.torn-")
                .is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()));
            name != JOURNAL && !torn && name.to_lowercase().starts_with("journal")
        })
        .map(|entry| entry.path())
        .collect();
    names.sort();
    let this = std::fs::symlink_metadata(folder.join(JOURNAL)).ok();
    names
        .into_iter()
        .filter(|path| {
            // where capitals do not count, another spelling of the name is the same file
            let other = std::fs::symlink_metadata(path).ok();
            !this.as_ref().zip(other.as_ref()).is_some_and(|(a, b)| same(a, b))
        })
        .map(|path| {
            // a link is not followed, and what can not be read has no entry in common
            let bytes = real_file(&path).and_then(|()| read_bytes(&path, MOST_JOURNAL));
            let entries = bytes.map(|bytes| scan(&bytes).entries).unwrap_or_default();
            let alike = |(one, other): &(&String, &String)| one == other;
            Second {
                shared: own.iter().zip(&entries).take_while(alike).count(),
                entries: entries.len(),
                own: own.len(),
                path,
            }
        })
        .collect()
}

/// Refuses to write to what was altered, or written by a newer program.
fn may_be_written(path: &Path, found: &Scan) -> Result<(), BookError> {
    let path = path.to_path_buf();
    for problem in &found.problems {
        match *problem {
            Problem::Altered { line, why } => return Err(BookError::Altered { path, line, why }),
            Problem::Newer { line, version } => return Err(BookError::Newer { path, line, version }),
            Problem::Torn { .. } | Problem::Unfinished { .. } | Problem::Second(_) => {}
        }
    }
    Ok(())
}

/// Repairs the end of a journal or of a log, and gives where it ends then and what was put right.
pub(super) fn mend(
    store: &mut OnDisk,
    found: &Scan,
    bytes: &[u8],
    aside: &dyn Fn(&[u8]) -> Result<PathBuf, BookError>,
) -> Result<(u64, Vec<Repair>), BookError> {
    let path = store.path().to_path_buf();
    may_be_written(&path, found)?;
    let (mut end, mut repairs) = (found.end as u64, Vec::new());
    for problem in &found.problems {
        match *problem {
            Problem::Torn { bytes: torn, .. } => {
                let aside = aside(&bytes[found.end..])?;
                store.cut(end).map_err(BookError::io("cut back", &path))?;
                repairs.push(Repair::Torn { bytes: torn, aside });
            }
            Problem::Unfinished { line } => {
                let completed = store.put(b"\n").and_then(|_| store.sync());
                completed.map_err(BookError::io("completed", &path))?;
                end += 1;
                repairs.push(Repair::Completed { line });
            }
            Problem::Altered { .. } | Problem::Newer { .. } | Problem::Second(_) => {}
        }
    }
    Ok((end, repairs))
}

/// Moves torn bytes to the next free `<name>.torn-<n>`.
pub(super) fn set_aside(folder: &Path, name: &str, torn: &[u8]) -> Result<PathBuf, BookError> {
    let mut n = 1;
    loop {
        let path = folder.join(format!("{name}.torn-{n}"));
        match write_new(&path, torn) {
            Ok(()) => return Ok(path),
            Err(BookError::Exists { .. }) => n += 1,
            Err(fault) => return Err(fault),
        }
    }
}

/// Makes the journal of a new build, with these entries, each in a line of its version.
pub(super) fn create(folder: &Path, entries: &[(u32, String)]) -> Result<(), BookError> {
    let path = folder.join(JOURNAL);
    let made = OpenOptions::new().append(true).create_new(true).open(&path);
    let mut file = made.map_err(BookError::io("made", &path))?;
    let (mut text, mut was) = (String::new(), Digest::of(b""));
    for (n, (version, entry)) in entries.iter().enumerate() {
        if let Some(why) = refusal(entry) {
            return Err(BookError::NotAnEntry { path, why });
        }
        let line = line(*version, n + 1, was, entry);
        was = Digest::of(line.trim_end_matches('\n').as_bytes());
        text.push_str(&line);
    }
    file.write_all(text.as_bytes())
        .and_then(|()| file.sync_all())
        .map_err(BookError::io("written", &path))?;
    sync_folder(folder)
}
