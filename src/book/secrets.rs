//! Files that nobody else may read.

use super::error::BookError;
use super::files::{parent, sync_folder};
use super::outside::{STANDARD, input};
use crate::seal::Secret;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;

/// Reads a private file of at most `most` bytes. A pipe is read too, and the standard input for `-`.
///
/// # Errors
///
/// [`BookError::TooOpen`] for a file that its group or others may read (where the system has such modes),
/// [`BookError::Missing`], [`BookError::IsFolder`], [`BookError::TooLarge`], [`BookError::Io`].
pub fn read_secret(path: &Path, most: u64) -> Result<Secret, BookError> {
    if path == Path::new(STANDARD) {
        return Ok(Secret::new(input(most)?));
    }
    let file = File::open(path).map_err(BookError::io("opened", path))?;
    let about = file.metadata().map_err(BookError::io("read", path))?;
    if about.is_dir() {
        return Err(BookError::IsFolder {
            path: path.to_path_buf(),
        });
    }
    if let Some(mode) = open_mode(&about) {
        return Err(BookError::TooOpen {
            path: path.to_path_buf(),
            mode,
        });
    }
    // all of the room at once: a buffer that grows leaves its contents behind
    let mut bytes = Vec::with_capacity(most as usize + 1);
    let read = file.take(most.saturating_add(1)).read_to_end(&mut bytes);
    let secret = Secret::new(bytes);
    read.map_err(BookError::io("read", path))?;
    let size = secret.bytes().len() as u64;
    if size > most {
        return Err(BookError::TooLarge {
            path: path.to_path_buf(),
            size,
            most,
        });
    }
    Ok(secret)
}

/// The mode of a plain file that others than its owner may read or write.
#[cfg(unix)]
fn open_mode(about: &Metadata) -> Option<u32> {
    use std::os::unix::fs::PermissionsExt;
    let mode = about.permissions().mode() & 0o777;
    (about.is_file() && mode & 0o077 != 0).then_some(mode)
}

#[cfg(not(unix))]
fn open_mode(_: &Metadata) -> Option<u32> {
    None
}

/// Makes a private file (mode 0600) where none is. One that could not be written whole is removed again.
///
/// # Errors
///
/// [`BookError::Exists`], and the file that is there stays as it is; [`BookError::Missing`] where its folder is not
/// there; [`BookError::Io`].
pub fn write_secret(path: &Path, secret: &Secret) -> Result<(), BookError> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(path).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => BookError::Exists {
            path: path.to_path_buf(),
        },
        _ => BookError::io("made", path)(error),
    })?;
    let written = file.write_all(secret.bytes()).and_then(|()| file.sync_all());
    if let Err(error) = written {
        drop(file);
        let _ = fs::remove_file(path); // the error that counts is the first
        return Err(BookError::io("written", path)(error));
    }
    sync_folder(parent(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_written_once_and_for_its_owner() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("key");
        let secret = Secret::new(b"invented".to_vec());
        write_secret(&path, &secret).unwrap();
        assert_eq!(read_secret(&path, 8).unwrap(), secret);
        assert!(matches!(
            read_secret(&path, 7),
            Err(BookError::TooLarge { size: 8, most: 7, .. })
        ));
        let other = Secret::new(b"another".to_vec());
        assert!(matches!(
            write_secret(&path, &other),
            Err(BookError::Exists { .. })
        ));
        assert_eq!(read_secret(&path, 8).unwrap(), secret);
        assert!(matches!(
            read_secret(dir.path(), 8),
            Err(BookError::IsFolder { .. })
        ));
        assert!(matches!(
            write_secret(&dir.path().join("no/key"), &secret),
            Err(BookError::Missing { .. })
        ));
    }

    #[cfg(unix)]
    #[test]
    fn a_secret_that_others_may_read_is_refused() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("key");
        write_secret(&path, &Secret::new(b"invented".to_vec())).unwrap();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        for mode in [0o640, 0o604, 0o620, 0o601, 0o644, 0o777] {
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
            assert!(
                matches!(read_secret(&path, 9), Err(BookError::TooOpen { mode: found, .. }) if found == mode),
                "{mode:o}"
            );
        }
        fs::set_permissions(&path, fs::Permissions::from_mode(0o400)).unwrap();
        assert!(read_secret(&path, 9).is_ok());
    }
}
