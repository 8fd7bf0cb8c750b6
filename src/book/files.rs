use super::error::BookError;
use std::fs::{self, File, Metadata};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use tempfile::{Builder, NamedTempFile, TempDir};

/// What the name of every temporary file and folder starts with.
pub(super) const TEMPORARY: &str = ".tmp-";
/// What the name of one that is made outside the book, beside a file of the user's, starts with.
const OURS: &str = ".tmp-shimwright-";

/// Reads a text file of at most `most` bytes.
///
/// Errors: [`BookError::Missing`], [`BookError::IsFolder`], [`BookError::TooLarge`] with size and limit,
/// [`BookError::NotUtf8`] with the byte and the line, [`BookError::Io`] for the rest. A pipe may be read too.
pub fn read_bounded(path: &Path, most: u64) -> Result<String, BookError> {
    String::from_utf8(read_bytes(path, most)?).map_err(|fault| {
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

/// Makes a file, whole, where none is. Errors: [`BookError::Exists`], and the file that is there stays as it is; what the
/// system refuses.
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
fn temporary_file(path: &Path, bytes: &[u8], synced: bool) -> Result<NamedTempFile, BookError> {
    let folder = parent(path);
    let mut builder = Builder::new();
    builder.prefix(OURS);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666)); // less the user's umask
    let made = builder.tempfile_in(folder);
    let mut file = made.map_err(BookError::io("written to", folder))?;
    let filled = file.as_file().lock();
    let filled = filled
        .and_then(|()| file.write_all(bytes))
        .and_then(|()| if synced { file.as_file().sync_all() } else { Ok(()) });
    filled.map_err(BookError::io("written", path))?;
    Ok(file)
}

/// Reads a file of at most `most` bytes.
pub(super) fn read_bytes(path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    let too_large = |size| BookError::TooLarge {
        path: path.to_path_buf(),
        size,
        most,
    };
    let file = File::open(path).map_err(BookError::io("opened", path))?;
    let about = file.metadata().map_err(BookError::io("read", path))?;
    if about.is_dir() {
        return Err(BookError::IsFolder {
            path: path.to_path_buf(),
        });
    }
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

/// Makes the names in a folder durable, where the system needs that.
pub(super) fn sync_folder(path: &Path) -> Result<(), BookError> {
    if cfg!(unix) {
        let synced = File::open(path).and_then(|folder| folder.sync_all());
        synced.map_err(BookError::io("synced", path))?;
    }
    Ok(())
}

/// Removes temporary leftovers: files that nobody holds, and folders, which the caller must know to be nobody's. What
/// can not be removed stays; it does no harm.
pub(super) fn sweep(folder: &Path) -> Vec<PathBuf> {
    sweep_named(folder, TEMPORARY)
}

/// Removes what a program that was killed in [`write_whole`] left beside a file outside the book; the caller must know
/// that no other program writes there now.
pub fn sweep_beside(path: &Path) -> Vec<PathBuf> {
    sweep_named(parent(path), OURS)
}

fn sweep_named(folder: &Path, prefix: &str) -> Vec<PathBuf> {
    let mut swept = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if !entry.file_name().to_string_lossy().starts_with(prefix) {
            continue;
        }
        let removed = match entry.file_type() {
            Ok(kind) if kind.is_dir() => fs::remove_dir_all(&path).is_ok(),
            Ok(kind) if kind.is_file() => match File::open(&path).map(|file| (file.try_lock(), file)) {
                Ok((Ok(()), _held)) => fs::remove_file(&path).is_ok(),
                _ => false,
            },
            Ok(_) => fs::remove_file(&path).is_ok(), // a link or a pipe: only its name goes
            Err(_) => false,
        };
        if removed {
            swept.push(path);
        }
    }
    swept
}

/// A folder of its own under the machine's temporary folder; it is removed when the value is dropped.
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
    fn a_sweep_leaves_what_is_in_use_and_what_is_not_temporary() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        fs::create_dir(at(".tmp-build")).unwrap();
        for name in [
            ".tmp-build/journal.jsonl",
            ".tmp-old",
            ".tmp-used",
            "kept",
            ".lock",
        ] {
            fs::write(at(name), "").unwrap();
        }
        let used = File::open(at(".tmp-used")).unwrap();
        used.lock().unwrap();
        let mut swept = sweep(dir.path());
        swept.sort();
        assert_eq!(swept, [at(".tmp-build"), at(".tmp-old")]);
        assert!(at(".tmp-used").exists() && at("kept").exists() && at(".lock").exists());
    }
}
