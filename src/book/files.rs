//! Whole files: written beside, synced and renamed; read up to a size.

use super::error::BookError;
use std::fs::{self, File, Metadata};
use std::io::{ErrorKind, Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::SystemTime;
use tempfile::{Builder, NamedTempFile, TempDir};

/// What the name of every temporary file and folder starts with.
pub(super) const TEMPORARY: &str = ".tmp-shimwright-";
/// What the names of those began with that version 0.1.0 made in a book, and how many letters and digits followed.
const OLD_TEMPORARY: (&str, usize) = (".tmp-", 6);
/// The folder that could not be synced, once one could not.
static UNSYNCED: OnceLock<PathBuf> = OnceLock::new();

/// The name of every journal.
pub(super) const JOURNAL: &str = "journal.jsonl";
/// The files that a build may be begun with.
const SNAPSHOT: [&str; 6] = [
    "unit.toml",
    "drawer.toml",
    "instruments.toml",
    "procedure.toml",
    "setting.toml",
    "found.toml",
];
/// A snapshot file is a page or two of text; this is room for a scanned sheet.
pub(super) const MOST_SNAPSHOT: u64 = 16 << 20;

/// What the name of a folder starts with in which a build is laid down with all of its lines: whoever does that has them and
/// can do it again.
pub(super) const LAID_IN: &str = ".tmp-shimwright-laid-in-";

/// Reads a text file of at most `most` bytes.
///
/// # Errors
///
/// [`BookError::Missing`], [`BookError::IsFolder`], [`BookError::TooLarge`] with size and limit,
/// [`BookError::NotUtf8`] with the byte and the line, [`BookError::NotAFile`] for a pipe with a name on the disk,
/// [`BookError::Io`] for the rest. A pipe that a shell made for this program may be read too.
pub fn read_bounded(path: &Path, most: u64) -> Result<String, BookError> {
    as_text(path, read_bytes(path, most)?)
}

/// What was read, as text. Fails with [`BookError::NotUtf8`].
pub(super) fn as_text(path: &Path, bytes: Vec<u8>) -> Result<String, BookError> {
    String::from_utf8(bytes).map_err(|fault| {
        let offset = fault.utf8_error().valid_up_to();
        let line = 1 + fault.as_bytes()[..offset].iter().filter(|&&b| b == b'\n').count();
        BookError::NotUtf8 {
            path: path.to_path_buf(),
            offset,
            line,
        }
    })
}

/// Replaces a file, or makes it, so that after a power cut it is either the old or the new one, whole. A file that is
/// replaced keeps its mode; where `path` is a symbolic link, the file that it leads to is replaced.
///
/// # Errors
///
/// [`BookError::IsFolder`]; [`BookError::Io`] for what the system refuses, and the old file stays.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), BookError> {
    let old = match fs::symlink_metadata(path) {
        Ok(found) if found.is_symlink() => {
            let target = fs::canonicalize(path).map_err(BookError::io("followed", path))?;
            return write_whole(&target, bytes);
        }
        Ok(found) if found.is_dir() => {
            return Err(BookError::IsFolder {
                path: path.to_path_buf(),
            });
        }
        Ok(found) => Some(found),
        Err(_) => None, // what is really wrong shows when the temporary file is made beside it
    };
    let temporary = temporary_file(path, bytes, true)?;
    if let Some(old) = old {
        let kept = temporary.as_file().set_permissions(old.permissions());
        kept.map_err(BookError::io("given its mode", path))?;
    }
    let placed = temporary.persist(path).map_err(|fault| fault.error);
    placed.map_err(BookError::io("written", path))?;
    sync_folder(parent(path))
}

/// Makes a file, whole, where none is.
///
/// # Errors
///
/// [`BookError::Exists`], and the file that is there stays as it is; what the system refuses.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), BookError> {
    let temporary = temporary_file(path, bytes, true)?;
    let placed = temporary.persist_noclobber(path).map_err(|fault| fault.error);
    placed.map_err(|fault| match fault.kind() {
        ErrorKind::AlreadyExists => BookError::Exists {
            path: path.to_path_buf(),
        },
        _ => BookError::io("written", path)(fault),
    })?;
    sync_folder(parent(path))
}

/// Replaces a file, or makes it, whole for whoever reads it. It is not made safe against a power cut: for what can be
/// worked out again, and is checked when it is read.
pub(super) fn replace_unsynced(path: &Path, bytes: &[u8]) -> Result<(), BookError> {
    let temporary = temporary_file(path, bytes, false)?;
    let placed = temporary.persist(path).map_err(|fault| fault.error);
    placed.map_err(BookError::io("written", path))?;
    Ok(())
}

/// The time by the clock that stamps the files of a folder, which may be another machine's.
pub(super) fn clock_of(folder: &Path) -> Result<SystemTime, BookError> {
    let made = Builder::new().prefix(TEMPORARY).tempfile_in(folder);
    let told = made.and_then(|file| file.as_file().metadata()?.modified());
    told.map_err(BookError::io("written to", folder))
}

/// A temporary file beside `path`, on the disk where `synced`. It is locked while it is in use, so that [`sweep`]
/// leaves it alone.
pub(super) fn temporary_file(path: &Path, bytes: &[u8], synced: bool) -> Result<NamedTempFile, BookError> {
    let folder = parent(path);
    let mut builder = Builder::new();
    builder.prefix(TEMPORARY);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666)); // less the user's umask
    let made = builder.tempfile_in(folder);
    let mut file = made.map_err(BookError::io("written to", folder))?;
    // on a disk without locks a sweep may take it while it is written, and then the writing fails
    let locked = match file.as_file().lock() {
        Err(fault) if is_unsupported(&fault) => Ok(()),
        other => other,
    };
    let filled = locked
        .and_then(|()| file.write_all(bytes))
        .and_then(|()| if synced { file.as_file().sync_all() } else { Ok(()) });
    filled.map_err(BookError::io("written", path))?;
    Ok(file)
}

/// Reads a file of at most `most` bytes.
pub(super) fn read_bytes(path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    if is_named_pipe(path) {
        // whoever opens it waits until somebody writes, which may be for ever
        return Err(BookError::NotAFile {
            path: path.to_path_buf(),
        });
    }
    let file = File::open(path).map_err(BookError::io("opened", path))?;
    let about = file.metadata().map_err(BookError::io("read", path))?;
    if about.is_dir() {
        return Err(BookError::IsFolder {
            path: path.to_path_buf(),
        });
    }
    read_up_to(&file, path, most)
}

fn read_up_to(file: &File, path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    let too_large = |size| BookError::TooLarge {
        path: path.to_path_buf(),
        size,
        most,
    };
    let about = file.metadata().map_err(BookError::io("read", path))?;
    if about.len() > most {
        return Err(too_large(about.len()));
    }
    let mut bytes = Vec::new();
    let read = file.take(most.saturating_add(1)).read_to_end(&mut bytes);
    read.map_err(BookError::io("read", path))?;
    if bytes.len() as u64 > most {
        return Err(too_large(bytes.len() as u64));
    }
    Ok(bytes)
}

/// Reads what is held, up to `most` bytes, through the handle that holds it.
pub(super) fn read_held(file: &File, path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    let mut held = file;
    held.rewind().map_err(BookError::io("read", path))?;
    read_up_to(held, path, most)
}

/// Whether a path leads to a pipe that has a name on the disk. One that a shell made for this program has none.
#[cfg(unix)]
fn is_named_pipe(path: &Path) -> bool {
    use std::os::unix::fs::FileTypeExt;
    let real = fs::canonicalize(path).and_then(fs::symlink_metadata);
    real.is_ok_and(|about| about.file_type().is_fifo())
}

#[cfg(not(unix))]
fn is_named_pipe(_: &Path) -> bool {
    false
}

/// Makes sure that `path` is a folder and no link to one.
pub(super) fn real_folder(path: &Path) -> Result<(), BookError> {
    let about = real(path)?;
    if about.is_dir() {
        Ok(())
    } else {
        Err(BookError::NotAFolder {
            path: path.to_path_buf(),
        })
    }
}

/// Makes sure that `path` is a plain file and no link to one.
pub(super) fn real_file(path: &Path) -> Result<(), BookError> {
    let about = real(path)?;
    if about.is_file() {
        Ok(())
    } else if about.is_dir() {
        Err(BookError::IsFolder {
            path: path.to_path_buf(),
        })
    } else {
        Err(BookError::NotAFile {
            path: path.to_path_buf(),
        })
    }
}

fn real(path: &Path) -> Result<Metadata, BookError> {
    let about = fs::symlink_metadata(path).map_err(BookError::io("read", path))?;
    if about.is_symlink() {
        Err(BookError::Link {
            path: path.to_path_buf(),
        })
    } else {
        Ok(about)
    }
}

/// The folder that a path stands in.
pub(super) fn parent(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Makes the names in a folder durable, where the system needs that. A disk that can not do it for folders, as some that
/// are reached over a network, is no error: [`unsynced`] tells of it.
pub(super) fn sync_folder(path: &Path) -> Result<(), BookError> {
    if cfg!(unix) {
        let folder = File::open(path).map_err(BookError::io("synced", path))?;
        match folder.sync_all() {
            Err(fault) if is_unsupported(&fault) => {
                UNSYNCED.get_or_init(|| path.to_path_buf());
            }
            other => other.map_err(BookError::io("synced", path))?,
        }
    }
    Ok(())
}

/// A folder whose disk can not make names durable, if this program came upon one: after a power cut a file that was made
/// there just before may be missing.
pub fn unsynced() -> Option<&'static Path> {
    UNSYNCED.get().map(PathBuf::as_path)
}

/// Whether what the environment names as the time zone is no file without an end: the library of time zones reads it whole.
pub fn time_zone_ends() -> bool {
    let named = std::env::var_os("TZ").unwrap_or_default();
    let named = named.to_string_lossy();
    let path = Path::new(named.trim_start_matches(':'));
    !path.is_absolute() || fs::metadata(path).map_or(true, |about| about.is_file())
}

/// Whether the system says that it can not do such a thing at all.
fn is_unsupported(fault: &std::io::Error) -> bool {
    matches!(fault.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported)
}

/// Removes temporary leftovers that can be nobody else's: files with our name that nobody holds, and folders with our name,
/// or the one of version 0.1.0, that hold nothing but a build that was not begun yet. The caller must know that no other
/// program makes one there now. What can not be removed stays; it does no harm.
pub(super) fn sweep(folder: &Path) -> Vec<PathBuf> {
    let mut swept = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let (path, name) = (entry.path(), entry.file_name());
        let name = name.to_string_lossy();
        let ours = name.starts_with(TEMPORARY);
        let removed = match entry.file_type() {
            Ok(kind) if kind.is_dir() && (ours || is_old_name(&name)) => {
                is_half_begun(&path, ours, name.starts_with(LAID_IN)) && fs::remove_dir_all(&path).is_ok()
            }
            Ok(kind) if kind.is_file() && ours => match File::open(&path).map(|file| (file.try_lock(), file))
            {
                Ok((Ok(()), _held)) => fs::remove_file(&path).is_ok(),
                _ => false,
            },
            _ => false,
        };
        if removed {
            swept.push(path);
        }
    }
    swept
}

/// Removes what a program that was killed in [`write_whole`] left beside a file outside the book; the caller must know
/// that no other program writes there now.
pub fn sweep_beside(path: &Path) -> Vec<PathBuf> {
    sweep(parent(path))
}

fn is_old_name(name: &str) -> bool {
    let (before, count) = OLD_TEMPORARY;
    name.strip_prefix(before)
        .is_some_and(|rest| rest.len() == count && rest.bytes().all(|b| b.is_ascii_alphanumeric()))
}

/// Whether a folder holds only what one holds that was to become a build: files of a snapshot, and perhaps a journal
/// without a line, or with those that were `laid_in`. Where its name does not say that it is ours, the files have to: one
/// that holds nothing says nothing.
fn is_half_begun(folder: &Path, ours: bool, laid_in: bool) -> bool {
    let Ok(entries) = fs::read_dir(folder) else {
        return false;
    };
    let is_one = |entry: std::io::Result<fs::DirEntry>| {
        let Ok(entry) = entry else { return false };
        let path = entry.path();
        real_file(&path).is_ok()
            && match entry.file_name().to_str() {
                Some(JOURNAL) => laid_in || fs::metadata(&path).is_ok_and(|about| about.len() == 0),
                Some(name) if SNAPSHOT.contains(&name) => ours || is_of_a_snapshot(&path),
                _ => false,
            }
    };
    let mut entries = entries.peekable();
    (ours || entries.peek().is_some()) && entries.all(is_one)
}

fn is_of_a_snapshot(path: &Path) -> bool {
    let text = read_bytes(path, MOST_SNAPSHOT);
    text.is_ok_and(|text| {
        text.is_empty() || String::from_utf8_lossy(&text).contains("format = \"shimwright ")
    })
}

/// A folder of its own under the machine's temporary folder; it is removed when the value is dropped.
///
/// # Errors
///
/// [`BookError::Io`]: what the system refuses.
pub fn temporary_folder() -> Result<TempDir, BookError> {
    let base = std::env::temp_dir();
    Builder::new()
        .prefix("shimwright-")
        .tempdir()
        .map_err(BookError::io("written to", &base))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reading_says_what_is_wrong() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("unit.toml");
        assert!(matches!(read_bounded(&path, 9), Err(BookError::Missing { path: p }) if p == path));
        assert!(matches!(
            read_bounded(dir.path(), 9),
            Err(BookError::IsFolder { .. })
        ));
        fs::write(&path, "0123456789").unwrap();
        assert_eq!(read_bounded(&path, 10).unwrap(), "0123456789");
        let fault = read_bounded(&path, 9).unwrap_err();
        assert!(
            matches!(
                fault,
                BookError::TooLarge {
                    size: 10,
                    most: 9,
                    ..
                }
            ),
            "{fault}"
        );
        fs::write(&path, b"a\nb\nc\xff").unwrap();
        let fault = read_bounded(&path, 10).unwrap_err();
        assert!(
            matches!(
                fault,
                BookError::NotUtf8 {
                    offset: 5,
                    line: 3,
                    ..
                }
            ),
            "{fault}"
        );
        assert!(fault.to_string().contains("unit.toml"), "{fault}");
        let fault = read_bounded(&path.join("x"), 9).unwrap_err();
        assert!(matches!(fault, BookError::Io { doing: "opened", .. }), "{fault}");
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_file_without_an_end_is_read_only_to_the_limit() {
        let fault = read_bounded(Path::new("/dev/zero"), 1000).unwrap_err();
        assert!(
            matches!(
                fault,
                BookError::TooLarge {
                    size: 1001,
                    most: 1000,
                    ..
                }
            ),
            "{fault}"
        );
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("sheet.pdf");
        write_whole(&path, b"one").unwrap();
        write_whole(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
        assert!(matches!(
            write_whole(dir.path(), b""),
            Err(BookError::IsFolder { .. })
        ));
        assert!(matches!(
            write_whole(&dir.path().join("no/x"), b""),
            Err(BookError::Missing { .. })
        ));
        let fault = write_new(&path, b"three").unwrap_err();
        assert!(matches!(fault, BookError::Exists { path: ref there } if *there == path));
        assert_eq!(fs::read(&path).unwrap(), b"two");
    }

    #[cfg(unix)]
    #[test]
    fn a_replaced_file_keeps_its_mode_and_a_link_stays_a_link() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let dir = tempfile::tempdir().unwrap();
        let (path, link) = (dir.path().join("a"), dir.path().join("b"));
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        write_whole(&link, b"new").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        // a new file gets the mode that a plain write would give it
        fs::write(dir.path().join("plain"), "").unwrap();
        write_whole(&dir.path().join("whole"), b"").unwrap();
        let mode = |name| fs::metadata(dir.path().join(name)).unwrap().permissions().mode();
        assert_eq!(mode("plain"), mode("whole"));
    }

    #[test]
    fn a_sweep_takes_only_what_can_be_nobody_elses() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        let unit = "format = \"shimwright unit 1\"\n";
        let files = [
            // half-begun builds of this version and of the one before, and a file that was being written
            (".tmp-shimwright-aB3dE5/journal.jsonl", ""),
            (".tmp-shimwright-aB3dE5/unit.toml", unit),
            (".tmp-aB3dE5/unit.toml", unit),
            (".tmp-aB3dE5/procedure.toml", ""),
            (".tmp-shimwright-x1y2z3", "half"),
            // one that was laid in with its lines, which are had again
            (".tmp-shimwright-laid-in-aB3dE5/journal.jsonl", "{}\n"),
            // everything else is somebody's
            (".tmp-notes.odt", ""),
            (".tmp-aB3dE6", ""),
            (".tmp-mine/letter.txt", ""),
            (".tmp-abcdef/letter.txt", ""),
            (".tmp-abcdeg/unit.toml", "mine"),
            (".tmp-abcdeh/unit.toml", unit),
            (".tmp-abcdeh/more/letter.txt", ""),
            (".tmp-shimwright-letter/letter.txt", ""),
            (".tmp-shimwright-laid-in-aB3dE6/letter.txt", ""),
            (".tmp-shimwright-lines1/journal.jsonl", "{}\n"),
            (".tmp-shimwright-inuse1", ""),
            ("kept", ""),
            (".lock", ""),
        ];
        for (name, text) in files {
            fs::create_dir_all(at(name).parent().unwrap()).unwrap();
            fs::write(at(name), text).unwrap();
        }
        let used = File::open(at(".tmp-shimwright-inuse1")).unwrap();
        used.lock().unwrap();
        let mut swept = sweep(dir.path());
        swept.sort();
        let gone = [
            ".tmp-aB3dE5",
            ".tmp-shimwright-aB3dE5",
            ".tmp-shimwright-laid-in-aB3dE5",
            ".tmp-shimwright-x1y2z3",
        ];
        assert_eq!(swept, gone.map(at));
        for (name, _) in &files[6..] {
            assert!(at(name).exists(), "{name}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_that_nobody_writes_to_is_refused_and_not_waited_for() {
        let dir = tempfile::tempdir().unwrap();
        let (pipe, link) = (dir.path().join("pipe"), dir.path().join("link"));
        let made = std::process::Command::new("mkfifo").arg(&pipe).status();
        assert!(made.unwrap().success());
        std::os::unix::fs::symlink(&pipe, &link).unwrap();
        for path in [&pipe, &link] {
            let fault = read_bounded(path, 9).unwrap_err();
            assert!(matches!(fault, BookError::NotAFile { .. }), "{fault}");
        }
    }
}
