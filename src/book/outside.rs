//! What lies outside the book: what a person hands in, and where a person wants something written.

use super::error::BookError;
use super::files::{JOURNAL, as_text, parent, read_bounded, read_bytes, real_file};
use super::id::BuildId;
use super::index;
use super::lock;
use super::shelf::LOCK;
use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Who is who, where the book has it.
const SIGNERS: &str = "allowed_signers";
/// The path that stands for the standard input where something is read, and for the standard output where something is
/// written.
pub const STANDARD: &str = "-";

/// So many names of a folder are looked at for the one that was meant.
const MOST_BESIDE: usize = 10_000;

/// What a path that something is to be written to stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// The standard output.
    Standard,
    /// A device, a pipe, or a file that the program was started with: it is written to and never replaced.
    Stream,
    /// Nothing is there.
    Free,
    /// A file is there.
    Taken,
}

impl Place {
    /// What stands at a path.
    ///
    /// ```
    /// use shimwright::book::Place;
    /// let dir = tempfile::tempdir()?;
    /// assert_eq!(Place::of("-".as_ref())?, Place::Standard);
    /// assert_eq!(Place::of(&dir.path().join("sheet.pdf"))?, Place::Free);
    /// assert!(Place::of(dir.path()).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// [`BookError::IsFolder`]; [`BookError::InBook`] for what would lie in a book, where only the program itself
    /// puts files; [`BookError::NotAFile`] for a whole disk; what the system refuses.
    pub fn of(path: &Path) -> Result<Place, BookError> {
        if path == Path::new(STANDARD) {
            return Ok(Place::Standard);
        }
        if is_open_already(path) {
            return Ok(Place::Stream);
        }
        let place = match fs::metadata(path) {
            Ok(about) if about.is_dir() => {
                return Err(BookError::IsFolder {
                    path: path.to_path_buf(),
                });
            }
            Ok(about) if about.is_file() => Place::Taken,
            Ok(about) if is_disk(&about) => {
                return Err(BookError::NotAFile {
                    path: path.to_path_buf(),
                });
            }
            Ok(_) => return Ok(Place::Stream),
            // a link that leads nowhere is a name that is taken
            Err(_) if fs::symlink_metadata(path).is_ok() => Place::Taken,
            Err(fault) if fault.kind() == io::ErrorKind::NotFound => Place::Free,
            Err(fault) => return Err(BookError::io("looked at", path)(fault)),
        };
        if is_in_book(path) {
            return Err(BookError::InBook {
                path: path.to_path_buf(),
            });
        }
        Ok(place)
    }
}

/// What a variable of the environment says; an empty one says nothing.
pub fn variable(name: &str) -> Option<String> {
    let said = std::env::var_os(name).filter(|said| !said.is_empty())?;
    Some(said.to_string_lossy().into_owned())
}

/// Whether anything stands at a path, a link that leads nowhere too.
pub fn is_taken(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Whether everyone on this machine may write to a file or folder; where a system has no such rights, nobody may.
#[cfg(unix)]
pub fn others_may_write(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    fs::metadata(path).is_ok_and(|about| about.permissions().mode() & 0o002 != 0)
}

/// Whether everyone on this machine may write to a file or folder; where a system has no such rights, nobody may.
#[cfg(not(unix))]
pub fn others_may_write(_: &Path) -> bool {
    false
}

/// Makes a folder with those above it; one that is there is left as it is.
///
/// # Errors
///
/// The system's.
pub fn make_folder(path: &Path) -> io::Result<()> {
    fs::create_dir_all(path)
}

/// The names of what lies in the folder where a path would lie; none where that can not be read.
///
/// ```
/// use shimwright::book::names_beside;
/// let dir = tempfile::tempdir()?;
/// std::fs::write(dir.path().join("moor-rear.toml"), "")?;
/// assert_eq!(names_beside(&dir.path().join("moor-raer.toml")), ["moor-rear.toml"]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn names_beside(path: &Path) -> Vec<String> {
    let entries = fs::read_dir(parent(path)).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .take(MOST_BESIDE)
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}

/// Takes a file away that is of no more use; one that is gone already does no harm, and one that stays neither.
pub fn take_away(path: &Path) {
    let _gone = fs::remove_file(path);
}

/// The bytes of a file that is there, at most `most` of them.
///
/// # Errors
///
/// As [`read_bounded`], but for the text.
pub fn read_there(path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    read_bytes(path, most)
}

/// Writes into a device, a pipe or a file that is open already.
///
/// # Errors
///
/// [`BookError::Io`]: what the system refuses.
pub fn write_into(path: &Path, bytes: &[u8]) -> Result<(), BookError> {
    let opened = OpenOptions::new().append(true).open(path);
    let written = opened.and_then(|mut file| file.write_all(bytes).and_then(|()| file.flush()));
    written.map_err(BookError::io("written to", path))
}

/// Reads a text of at most `most` bytes: of a file, or what comes in on the standard input for `-`, which is there once.
///
/// # Errors
///
/// As [`read_bounded`]; [`BookError::Spent`].
pub fn read_input(path: &Path, most: u64) -> Result<String, BookError> {
    if path != Path::new(STANDARD) {
        return read_bounded(path, most);
    }
    as_text(path, input(most)?)
}

/// Reads bytes, at most `most` of them: of a file, or what comes in on the standard input for `-`, which is there once.
///
/// # Errors
///
/// As [`read_input`], but for the text.
pub fn read_input_bytes(path: &Path, most: u64) -> Result<Vec<u8>, BookError> {
    match path == Path::new(STANDARD) {
        true => input(most),
        false => read_bytes(path, most),
    }
}

/// What comes in on the standard input, at most `most` bytes of it.
pub(super) fn input(most: u64) -> Result<Vec<u8>, BookError> {
    static READ: AtomicBool = AtomicBool::new(false);
    if READ.swap(true, Ordering::Relaxed) {
        return Err(BookError::Spent);
    }
    let path = PathBuf::from(STANDARD);
    // all of the room at once where it may be a secret: a buffer that grows leaves its contents behind
    let mut bytes = Vec::with_capacity(usize::try_from(most.min(64 << 10)).unwrap_or(0) + 1);
    let read = io::stdin()
        .lock()
        .take(most.saturating_add(1))
        .read_to_end(&mut bytes);
    read.map_err(BookError::io("read", &path))?;
    let size = bytes.len() as u64;
    if size > most {
        return Err(BookError::TooLarge { path, size, most });
    }
    Ok(bytes)
}

/// Whether a path is a name for a file that the program was started with. To such a one is added: the shell has made it
/// anew, or means it to grow.
fn is_open_already(path: &Path) -> bool {
    let Some(path) = path.to_str().filter(|_| cfg!(unix)) else {
        return false;
    };
    let number = ["/dev/fd/", "/proc/self/fd/"]
        .iter()
        .find_map(|folder| path.strip_prefix(folder));
    ["/dev/stdout", "/dev/stderr"].contains(&path)
        || number.is_some_and(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
}

/// Whether it is a disk, on which what is written has no place of its own.
#[cfg(unix)]
fn is_disk(about: &Metadata) -> bool {
    std::os::unix::fs::FileTypeExt::is_block_device(&about.file_type())
}

#[cfg(not(unix))]
fn is_disk(_: &Metadata) -> bool {
    false
}

/// Whether a file at this path would lie in a book: on the shelf itself, in a build, or in the index.
fn is_in_book(path: &Path) -> bool {
    // a link may lead into one
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    // folders that are not there yet would be made
    let above = parent(&path).ancestors().chain([Path::new(".")]);
    let Some(folder) = above
        .filter(|folder| !folder.as_os_str().is_empty())
        .find_map(|folder| fs::canonicalize(folder).ok())
    else {
        return false;
    };
    is_book(&folder)
        || folder.ancestors().any(|inside| {
            let name = inside.file_name().and_then(|name| name.to_str()).unwrap_or("");
            is_build(inside, name)
                || ([index::FOLDER, lock::FOLDER].contains(&name) && inside.parent().is_some_and(is_book))
        })
}

fn is_build(folder: &Path, name: &str) -> bool {
    name.parse::<BuildId>().is_ok() && fs::symlink_metadata(folder.join(JOURNAL)).is_ok()
}

/// Whether builds are kept in a folder. Other programs may have a file of the lock's name as well.
fn is_book(folder: &Path) -> bool {
    let lock = folder.join(LOCK);
    let is_ours = real_file(&lock).is_ok() && fs::metadata(&lock).is_ok_and(|about| about.len() == 0);
    is_ours
        && fs::read_dir(folder).into_iter().flatten().flatten().any(|entry| {
            let name = entry.file_name();
            let name = name.to_str().unwrap_or("");
            name == SIGNERS || name == index::FOLDER || is_build(&entry.path(), name)
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Shelf, write_new};

    #[test]
    fn nothing_is_put_into_a_book_by_its_path() {
        let dir = tempfile::tempdir().unwrap();
        let book = dir.path().join("book");
        let shelf = Shelf::open(&book).unwrap();
        let build = shelf.begin("gt rear", &[("unit.toml", b"x")]).unwrap();
        fs::create_dir_all(build.folder().join("photographs")).unwrap();
        fs::create_dir_all(book.join(".index")).unwrap();
        let inside = [
            "journal.jsonl",
            "sheet.pdf",
            "new.pdf",
            "photographs/x.pdf",
            "../new.pdf",
            "../.index/x",
            "not-there/x",
            "../not/there/x",
        ];
        for name in inside {
            let place = Place::of(&build.folder().join(name));
            assert!(
                matches!(place, Err(BookError::InBook { .. })),
                "{name}: {place:?}"
            );
        }
        assert_eq!(Place::of(&dir.path().join("new.pdf")).unwrap(), Place::Free);
        // a lock of somebody else's makes no book
        fs::create_dir(dir.path().join("docs")).unwrap();
        fs::write(dir.path().join("docs/.lock"), "").unwrap();
        assert_eq!(Place::of(&dir.path().join("docs/new.pdf")).unwrap(), Place::Free);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_what_it_leads_to_and_one_that_leads_nowhere_is_taken() {
        use std::os::unix::fs::symlink;
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        let shelf = Shelf::open(&at("book")).unwrap();
        let build = shelf.begin("gt rear", &[("unit.toml", b"x")]).unwrap();
        symlink(build.folder().join("journal.jsonl"), at("in")).unwrap();
        symlink(at("nothing"), at("nowhere")).unwrap();
        symlink("/dev/null", at("device")).unwrap();
        assert!(matches!(Place::of(&at("in")), Err(BookError::InBook { .. })));
        assert_eq!(Place::of(&at("nowhere")).unwrap(), Place::Taken);
        assert!(matches!(
            write_new(&at("nowhere"), b""),
            Err(BookError::Exists { .. })
        ));
        assert_eq!(Place::of(&at("device")).unwrap(), Place::Stream);
        for name in ["/dev/null", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/12"] {
            assert_eq!(Place::of(Path::new(name)).unwrap(), Place::Stream, "{name}");
        }
        write_into(Path::new("/dev/null"), b"x").unwrap();
    }
}
