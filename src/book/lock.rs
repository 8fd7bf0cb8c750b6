//! Locks that lie apart from what they guard, so that it can be read while it is written, on every system.

use super::error::BookError;
use super::files::{real_file, real_folder};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// The folder in the book for the locks: an empty file for each build that was open, and for each log. The files stay, because a
/// program may be waiting for one.
pub(super) const FOLDER: &str = ".locks";

/// A lock that is held. It ends with the program that holds it, however that ends.
#[derive(Debug)]
pub(super) struct Lock {
    file: File,
}

impl Lock {
    /// Takes the lock of this name; nothing where another program, or this one, has it.
    pub(super) fn take(book: &Path, name: &str) -> Result<Option<Lock>, BookError> {
        let (path, file) = opened(book, name)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Lock { file })),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(fault)) => Err(BookError::io("locked", &path)(fault)),
        }
    }

    /// Waits until the lock of this name is free, and takes it.
    pub(super) fn wait_for(book: &Path, name: &str) -> Result<Lock, BookError> {
        let (path, file) = opened(book, name)?;
        file.lock().map_err(BookError::io("locked", &path))?;
        Ok(Lock { file })
    }
}

impl Drop for Lock {
    /// Unlocks at once, even where a child process that is just being started still has a copy of the handle.
    fn drop(&mut self) {
        let _ = self.file.unlock();
    }
}

fn opened(book: &Path, name: &str) -> Result<(PathBuf, File), BookError> {
    let folder = book.join(FOLDER);
    match fs::create_dir(&folder) {
        Ok(()) => {}
        Err(fault) if fault.kind() == ErrorKind::AlreadyExists => real_folder(&folder)?,
        Err(fault) => return Err(BookError::io("made", &folder)(fault)),
    }
    let path = folder.join(name);
    match real_file(&path) {
        Ok(()) | Err(BookError::Missing { .. }) => {}
        Err(fault) => return Err(fault),
    }
    let file = OpenOptions::new().create(true).append(true).open(&path);
    let file = file.map_err(BookError::io("opened for writing", &path))?;
    Ok((path, file))
}

/// Locks what is written too where that bars nobody from reading it: it is the lock of programs that know no other.
pub(super) fn try_own(file: &File) -> Result<(), TryLockError> {
    if cfg!(unix) { file.try_lock() } else { Ok(()) }
}

/// [`try_own`], and waits for it.
pub(super) fn wait_for_own(file: &File) -> io::Result<()> {
    if cfg!(unix) { file.lock() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_is_had_once_until_it_is_let_go() {
        let dir = tempfile::tempdir().unwrap();
        let held = Lock::take(dir.path(), "a-0001").unwrap().unwrap();
        assert!(Lock::take(dir.path(), "a-0001").unwrap().is_none());
        assert!(Lock::take(dir.path(), "a-0002").unwrap().is_some());
        drop(held);
        drop(Lock::wait_for(dir.path(), "a-0001").unwrap());
        assert!(Lock::take(dir.path(), "a-0001").unwrap().is_some());
    }

    #[cfg(unix)]
    #[test]
    fn a_lock_is_not_taken_through_a_link() {
        use std::os::unix::fs::symlink;
        let dir = tempfile::tempdir().unwrap();
        let (book, other) = (dir.path().join("book"), dir.path().join("other"));
        for folder in [&book, &other] {
            fs::create_dir(folder).unwrap();
        }
        symlink(&other, book.join(FOLDER)).unwrap();
        assert!(matches!(Lock::take(&book, "a"), Err(BookError::Link { .. })));
        fs::remove_file(book.join(FOLDER)).unwrap();
        fs::create_dir(book.join(FOLDER)).unwrap();
        symlink(&other, book.join(FOLDER).join("a")).unwrap();
        assert!(matches!(Lock::take(&book, "a"), Err(BookError::Link { .. })));
    }
}
