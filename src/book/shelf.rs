//! The folder of the book and the builds in it.

use super::error::BookError;
use super::files::{
    JOURNAL, LAID_IN, MOST_SNAPSHOT, TEMPORARY, parent, read_bytes, real_file, real_folder, sweep,
    sync_folder, write_whole,
};
use super::frame::{Reading, with_own_ends};
use super::held_by;
use super::id::{BuildId, marked, slug};
use super::journal::{self, Journal};
use super::names::file_name_fits;
use super::tail::MOST_JOURNAL;
use std::fs::{self, DirEntry, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::Builder;

pub(super) const LOCK: &str = ".lock";
/// The folder in the book for what is still to be done for a build, a note each.
const TO_DO: &str = ".to-do";
/// A note is a few lines.
const MOST_NOTE: u64 = 64 << 10;

/// The folder in which builds are kept. Several programs may use one shelf at a time.
#[derive(Debug)]
pub struct Shelf {
    dir: PathBuf,
    holder: String,
    writable: bool,
    swept: Vec<PathBuf>,
}

/// After what a build is named.
#[derive(Clone, Copy, Debug)]
pub struct NamedAfter<'a> {
    /// Its owner's words, of which [`slug`] makes the front part.
    pub words: &'a str,
    /// The mark of the machine; nothing for the first of a book.
    pub mark: &'a str,
    /// Names that were given before, whether or not they are still there.
    pub used: &'a [BuildId],
}

impl<'a> NamedAfter<'a> {
    /// After words alone.
    pub fn words(words: &'a str) -> NamedAfter<'a> {
        NamedAfter {
            words,
            mark: "",
            used: &[],
        }
    }
}

/// What stands on a shelf.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Contents {
    /// The builds, by name.
    pub builds: Vec<BuildId>,
    /// Folders and links that are no builds, by name. Plain files are not looked at.
    pub foreign: Vec<PathBuf>,
}

impl Contents {
    /// The names of the builds and of what is none but has the name of one, such as a folder without a journal, or one that
    /// may not be read: [`Shelf::read`] says what is wrong with it.
    ///
    /// ```
    /// use shimwright::book::Shelf;
    /// let dir = tempfile::tempdir()?;
    /// std::fs::create_dir(dir.path().join("gt-rear-0001"))?;
    /// std::fs::create_dir(dir.path().join("letters"))?;
    /// let contents = Shelf::look(dir.path())?.contents()?;
    /// assert_eq!((contents.builds.len(), contents.named().len()), (0, 1));
    /// assert!(contents.nameless().eq([&dir.path().join("letters")]));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn named(&self) -> Vec<BuildId> {
        let others = self.foreign.iter().filter_map(|path| id_of(path));
        self.builds.iter().cloned().chain(others).collect()
    }

    /// What is no build and has not the name of one.
    pub fn nameless(&self) -> impl Iterator<Item = &PathBuf> {
        self.foreign.iter().filter(|path| id_of(path).is_none())
    }
}

fn id_of(path: &Path) -> Option<BuildId> {
    path.file_name()?.to_str()?.parse().ok()
}

impl Shelf {
    /// Opens a shelf for writing: makes the folder where there is none, makes sure that it can be written to, and
    /// removes what a killed program left half-made.
    ///
    /// # Errors
    ///
    /// [`BookError::NotAFolder`], [`BookError::NotWritable`], [`BookError::Io`].
    pub fn open(dir: &Path) -> Result<Shelf, BookError> {
        let refused = |source: io::Error| match source.kind() {
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => BookError::NotWritable {
                path: dir.to_path_buf(),
                source,
            },
            io::ErrorKind::AlreadyExists => BookError::NotAFolder {
                path: dir.to_path_buf(),
            },
            _ => BookError::io("made", dir)(source),
        };
        if !dir.is_dir() {
            // each folder that is made is a name in the one above it, which is synced as well
            let missing: Vec<&Path> = dir
                .ancestors()
                .take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists())
                .collect();
            fs::create_dir_all(dir).map_err(refused)?;
            for folder in missing {
                sync_folder(parent(folder))?;
            }
        }
        Builder::new()
            .prefix(TEMPORARY)
            .tempfile_in(dir)
            .map_err(refused)?;
        let mut shelf = Shelf {
            dir: dir.to_path_buf(),
            holder: "shimwright".to_string(),
            writable: true,
            swept: Vec::new(),
        };
        let lock = shelf.lock_file()?;
        match lock.try_lock() {
            Ok(()) => {
                shelf.swept = sweep(dir);
                if real_folder(&dir.join(TO_DO)).is_ok() {
                    shelf.swept.extend(sweep(&dir.join(TO_DO)));
                }
            }
            // a build is being begun just now, so a folder that looks half-made may be on its way
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(fault)) => return Err(BookError::io("locked", &dir.join(LOCK))(fault)),
        }
        // an explicit unlock counts even where a child process being started has a copy of the handle
        lock.unlock()
            .map_err(BookError::io("unlocked", &dir.join(LOCK)))?;
        Ok(shelf)
    }

    /// Looks at a shelf for reading only: nothing is made, locked or swept, and a missing folder is an empty shelf.
    ///
    /// # Errors
    ///
    /// [`BookError::NotAFolder`], [`BookError::Io`].
    pub fn look(dir: &Path) -> Result<Shelf, BookError> {
        match fs::metadata(dir) {
            Ok(about) if !about.is_dir() => {
                return Err(BookError::NotAFolder {
                    path: dir.to_path_buf(),
                });
            }
            Err(fault) if fault.kind() != io::ErrorKind::NotFound => {
                return Err(BookError::io("read", dir)(fault));
            }
            _ => {}
        }
        Ok(Shelf {
            dir: dir.to_path_buf(),
            holder: String::new(),
            writable: false,
            swept: Vec::new(),
        })
    }

    /// The name that others read when they want a build that this program has open; `shimwright` if none is given.
    pub fn held_as(mut self, name: &str) -> Shelf {
        self.holder = name.to_string();
        self
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// The temporary leftovers that were removed on opening.
    pub fn swept(&self) -> &[PathBuf] {
        &self.swept
    }

    /// The folder of a build, whether it is there or not.
    pub fn folder(&self, id: &BuildId) -> PathBuf {
        self.dir.join(id.as_str())
    }

    /// Begins a build named after `words` (see [`slug`]) with the number after the highest in use, so that a number
    /// is not used twice while its build is there. `files` are kept beside the journal as they are now. After a power
    /// cut the build is there whole or not at all.
    ///
    /// # Errors
    ///
    /// As [`Shelf::lay_in`].
    pub fn begin(&self, words: &str, files: &[(&str, &[u8])]) -> Result<Journal, BookError> {
        self.lay_in(words, files, &[])
    }

    /// [`begin`](Shelf::begin) with all that there is to write down, each entry with the version of its line
    /// ([`Journal::append_as`]): after a power cut the build is there with every entry, or not at all.
    ///
    /// ```
    /// use shimwright::book::Shelf;
    /// let dir = tempfile::tempdir()?;
    /// let shelf = Shelf::open(dir.path())?;
    /// let entries = [(1, r#"{"day":1}"#.to_string()), (1, r#"{"day":2}"#.to_string())];
    /// let journal = shelf.lay_in("gt-rear", &[("unit.toml", b"name = \"invented\"")], &entries)?;
    /// assert_eq!(shelf.read(journal.id())?.entries, entries.map(|(_, text)| text));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`]; [`BookError::BadName`] for a name that leaves the folder, is the book's own or
    /// stands twice; those of [`Journal::append`]; [`BookError::Io`]. Then no build was begun.
    pub fn lay_in(
        &self,
        words: &str,
        files: &[(&str, &[u8])],
        entries: &[(u32, String)],
    ) -> Result<Journal, BookError> {
        self.lay_in_as(&NamedAfter::words(words), files, entries)
    }

    /// [`Shelf::lay_in`] with a name that no other machine gives, and no number that was given before.
    ///
    /// # Errors
    ///
    /// As [`Shelf::lay_in`].
    pub fn lay_in_as(
        &self,
        name: &NamedAfter<'_>,
        files: &[(&str, &[u8])],
        entries: &[(u32, String)],
    ) -> Result<Journal, BookError> {
        self.for_writing()?;
        for (i, (name, _)) in files.iter().enumerate() {
            file_name_fits(name)?;
            if files[..i]
                .iter()
                .any(|(other, _)| other.eq_ignore_ascii_case(name))
            {
                return Err(BookError::BadName {
                    name: name.to_string(),
                    why: "it is given twice",
                });
            }
        }
        self.alone(|| self.begin_locked(name, files, entries))?
    }

    /// Does something while no other program begins a build, or does such a thing, on this shelf.
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`]; [`BookError::Io`] where it can not be locked, and nothing was done.
    pub fn alone<T>(&self, work: impl FnOnce() -> T) -> Result<T, BookError> {
        self.for_writing()?;
        let lock = self.lock_file()?;
        lock.lock()
            .map_err(BookError::io("locked", &self.dir.join(LOCK)))?;
        let done = work();
        lock.unlock()
            .map_err(BookError::io("unlocked", &self.dir.join(LOCK)))?;
        Ok(done)
    }

    fn begin_locked(
        &self,
        name: &NamedAfter<'_>,
        files: &[(&str, &[u8])],
        entries: &[(u32, String)],
    ) -> Result<Journal, BookError> {
        let id = self.next(&marked(&slug(name.words), name.mark), name.used)?;
        let mut builder = Builder::new();
        builder.prefix(if entries.is_empty() { TEMPORARY } else { LAID_IN });
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777)); // less the user's umask
        let made = builder.tempdir_in(&self.dir);
        let mut temporary = made.map_err(BookError::io("written to", &self.dir))?;
        for (name, bytes) in files {
            let path = temporary.path().join(name);
            let written = OpenOptions::new()
                .write(true)
                .create_new(true)
                .open(&path)
                .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()));
            written.map_err(BookError::io("written", &path))?;
        }
        journal::create(temporary.path(), entries)?;
        let folder = self.folder(&id);
        // nothing in it is open now: a folder in which something is can not be renamed everywhere
        let lock = Journal::lock(&id, &self.dir, &folder)?;
        fs::rename(temporary.path(), &folder).map_err(BookError::io("put in its place", &folder))?;
        temporary.disable_cleanup(true);
        sync_folder(&self.dir)?;
        Journal::open(&id, &folder, lock, &self.holder)
    }

    /// Opens a build and locks it until the journal is dropped.
    ///
    /// # Errors
    ///
    /// [`BookError::Held`] when another program, or this one, has it open; [`BookError::Altered`] and
    /// [`BookError::Newer`], in which case nothing was written; [`BookError::Link`].
    pub fn resume(&self, id: &BuildId) -> Result<Journal, BookError> {
        self.for_writing()?;
        let folder = self.folder(id);
        real_folder(&folder)?;
        let lock = Journal::lock(id, &self.dir, &folder)?;
        Journal::open(id, &folder, lock, &self.holder)
    }

    /// Reads a build without locking it.
    ///
    /// # Errors
    ///
    /// [`BookError::Missing`], [`BookError::Link`], [`BookError::Altered`], [`BookError::Newer`], [`BookError::Io`].
    pub fn read(&self, id: &BuildId) -> Result<Reading, BookError> {
        Journal::read(&self.folder(id))
    }

    /// The builds, by name; [`Shelf::contents`] tells also what else is there.
    ///
    /// # Errors
    ///
    /// As [`Shelf::contents`].
    pub fn list(&self) -> Result<Vec<BuildId>, BookError> {
        Ok(self.contents()?.builds)
    }

    /// The builds, and the folders that are none.
    ///
    /// # Errors
    ///
    /// [`BookError::Io`]: the folder can not be read.
    pub fn contents(&self) -> Result<Contents, BookError> {
        let mut contents = Contents {
            builds: Vec::new(),
            foreign: Vec::new(),
        };
        for (name, entry) in self.names()? {
            // as the folder itself knows it, without following a link
            let Ok(kind) = entry.file_type() else { continue };
            if name.starts_with('.') || !(kind.is_dir() || kind.is_symlink()) {
                continue;
            }
            let path = entry.path();
            match name.parse() {
                Ok(id) if kind.is_dir() && real_file(&path.join(JOURNAL)).is_ok() => contents.builds.push(id),
                _ => contents.foreign.push(path),
            }
        }
        Ok(contents)
    }

    /// Reads a file of a build as it is: one of its snapshot, or one written since.
    ///
    /// # Errors
    ///
    /// [`BookError::BadName`], [`BookError::Missing`], [`BookError::Link`], [`BookError::TooLarge`],
    /// [`BookError::Io`].
    pub fn file(&self, id: &BuildId, name: &str) -> Result<Vec<u8>, BookError> {
        file_name_fits(name)?;
        let folder = self.folder(id);
        real_folder(&folder)?;
        let path = folder.join(name);
        real_file(&path)?;
        read_bytes(&path, MOST_SNAPSHOT)
    }

    /// The files that a build keeps beside its journal, by name, each as it is now; and the names of what is no such
    /// file: a folder, a link, a name that the book would not give.
    ///
    /// # Errors
    ///
    /// [`BookError::Missing`], [`BookError::Link`], [`BookError::Io`].
    pub fn beside(&self, id: &BuildId) -> Result<(Vec<String>, Vec<String>), BookError> {
        let folder = self.folder(id);
        real_folder(&folder)?;
        let (mut files, mut others) = (Vec::new(), Vec::new());
        for entry in fs::read_dir(&folder).map_err(BookError::io("read", &folder))? {
            let entry = entry.map_err(BookError::io("read", &folder))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let own = name == JOURNAL || name == held_by::NAME || name.starts_with(TEMPORARY);
            if own {
                continue;
            }
            let plain = file_name_fits(&name).is_ok() && real_file(&entry.path()).is_ok();
            if plain { &mut files } else { &mut others }.push(name);
        }
        files.sort();
        others.sort();
        Ok((files, others))
    }

    /// What the book notes of a build as still to be done; nothing where it notes nothing. The note lies in the book and not
    /// in the build's folder: so it comes and goes with no copy of the build.
    ///
    /// ```
    /// use shimwright::book::Shelf;
    /// let dir = tempfile::tempdir()?;
    /// let shelf = Shelf::open(dir.path())?;
    /// let id = shelf.begin("GT rear", &[("unit.toml", b"")])?.id().clone();
    /// assert_eq!(shelf.to_do(&id)?, None);
    /// shelf.put_to_do(&id, b"the sheet")?;
    /// assert_eq!(shelf.to_do(&id)?.as_deref(), Some(&b"the sheet"[..]));
    /// shelf.done(&id)?;
    /// assert_eq!(shelf.to_do(&id)?, None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    ///
    /// A note that can not be read, or is a link.
    pub fn to_do(&self, id: &BuildId) -> Result<Option<Vec<u8>>, BookError> {
        let folder = self.dir.join(TO_DO);
        let path = folder.join(id.as_str());
        let read = real_folder(&folder)
            .and_then(|()| real_file(&path))
            .and_then(|()| read_bytes(&path, MOST_NOTE));
        match read {
            Ok(bytes) => Ok(Some(bytes)),
            Err(BookError::Missing { .. }) => Ok(None),
            Err(fault) => Err(fault),
        }
    }

    /// Notes what is still to be done for a build, in the place of what was noted before. It is on the disk when this
    /// returns.
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`], [`BookError::Link`], [`BookError::Io`].
    pub fn put_to_do(&self, id: &BuildId, note: &[u8]) -> Result<(), BookError> {
        self.for_writing()?;
        let folder = self.dir.join(TO_DO);
        match fs::create_dir(&folder) {
            Ok(()) => sync_folder(&self.dir)?,
            Err(fault) if fault.kind() == io::ErrorKind::AlreadyExists => real_folder(&folder)?,
            Err(fault) => return Err(BookError::io("made", &folder)(fault)),
        }
        let path = folder.join(id.as_str());
        match real_file(&path) {
            Ok(()) | Err(BookError::Missing { .. }) => write_whole(&path, note),
            Err(fault) => Err(fault),
        }
    }

    /// Takes the note of a build away; the folder goes with the last one.
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`], [`BookError::Io`].
    pub fn done(&self, id: &BuildId) -> Result<(), BookError> {
        self.for_writing()?;
        let folder = self.dir.join(TO_DO);
        let path = folder.join(id.as_str());
        match fs::remove_file(&path).map_err(BookError::io("removed", &path)) {
            Ok(()) => sync_folder(&folder)?,
            Err(BookError::Missing { .. }) => {}
            Err(fault) => return Err(fault),
        }
        // it stays where there are others
        let _ = fs::remove_dir(&folder);
        Ok(())
    }

    /// Gives the journal of a build the line ends that it was written with, where another program changed just these; whether
    /// it did.
    ///
    /// # Errors
    ///
    /// What the system refuses.
    pub fn put_back_ends(&self, id: &BuildId) -> Result<bool, BookError> {
        real_folder(&self.folder(id))?;
        self.put_ends_back_in(&self.folder(id).join(JOURNAL), MOST_JOURNAL)
    }

    pub(super) fn put_ends_back_in(&self, path: &Path, most: u64) -> Result<bool, BookError> {
        self.for_writing()?;
        real_file(path)?;
        let Some(own) = with_own_ends(&read_bytes(path, most)?) else {
            return Ok(false);
        };
        if !Reading::of(own.clone()).problems.is_empty() {
            return Ok(false);
        }
        write_whole(path, &own)?;
        Ok(true)
    }

    /// Reads a folder beside the builds as one, whatever its name.
    ///
    /// # Errors
    ///
    /// As [`Shelf::read`].
    pub fn read_beside(&self, folder: &Path) -> Result<Reading, BookError> {
        Journal::read(folder)
    }

    /// Lays a folder beside the builds in the place of a build, and the build's own beside it under a name that is free, which it
    /// gives.
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`], [`BookError::Held`] and the others of [`Shelf::resume`], [`BookError::Io`].
    pub fn swap(&self, id: &BuildId, folder: &Path) -> Result<PathBuf, BookError> {
        // whoever writes in it is not disturbed
        drop(self.resume(id)?);
        let own = self.folder(id);
        let free = (1..)
            .map(|n| self.dir.join(format!("{id} (before {n})")))
            .find(|path| !path.exists());
        let aside = free.unwrap_or_else(|| self.dir.join(format!("{id} (before)")));
        fs::rename(&own, &aside).map_err(BookError::io("put aside", &own))?;
        fs::rename(folder, &own).map_err(BookError::io("put in its place", &own))?;
        sync_folder(&self.dir)?;
        Ok(aside)
    }

    /// Gives a folder beside the builds the next name after those of a build, and gives that.
    ///
    /// # Errors
    ///
    /// [`BookError::ReadingOnly`], [`BookError::NoNumberLeft`], [`BookError::Io`].
    pub fn take_in(&self, folder: &Path, like: &BuildId) -> Result<BuildId, BookError> {
        self.alone(|| {
            let id = self.next(like.slug(), &[])?;
            let place = self.folder(&id);
            fs::rename(folder, &place).map_err(BookError::io("put in its place", &place))?;
            sync_folder(&self.dir)?;
            Ok(id)
        })?
    }

    /// The plain files on the shelf, by name.
    ///
    /// # Errors
    ///
    /// [`BookError::Io`]: the folder can not be read.
    pub fn files(&self) -> Result<Vec<String>, BookError> {
        let entries = match fs::read_dir(&self.dir) {
            Err(fault) if fault.kind() == io::ErrorKind::NotFound && !self.writable => return Ok(Vec::new()),
            other => other.map_err(BookError::io("read", &self.dir))?,
        };
        let mut names = Vec::new();
        for entry in entries {
            let entry = entry.map_err(BookError::io("read", &self.dir))?;
            if entry.file_type().is_ok_and(|kind| kind.is_file()) {
                names.push(entry.file_name().to_string_lossy().into_owned());
            }
        }
        names.sort();
        Ok(names)
    }

    fn for_writing(&self) -> Result<(), BookError> {
        if self.writable {
            Ok(())
        } else {
            Err(BookError::ReadingOnly {
                path: self.dir.clone(),
            })
        }
    }

    fn lock_file(&self) -> Result<File, BookError> {
        let path = self.dir.join(LOCK);
        match real_file(&path) {
            Ok(()) | Err(BookError::Missing { .. }) => {}
            Err(fault) => return Err(fault),
        }
        let opened = OpenOptions::new().create(true).append(true).open(&path);
        opened.map_err(BookError::io("opened for writing", &path))
    }

    /// All names on the shelf, in order.
    pub(super) fn names(&self) -> Result<Vec<(String, DirEntry)>, BookError> {
        let entries = match fs::read_dir(&self.dir) {
            Err(fault) if fault.kind() == io::ErrorKind::NotFound && !self.writable => return Ok(Vec::new()),
            other => other.map_err(BookError::io("read", &self.dir))?,
        };
        let mut names = Vec::new();
        for entry in entries {
            let entry = entry.map_err(BookError::io("read", &self.dir))?;
            names.push((entry.file_name().to_string_lossy().into_owned(), entry));
        }
        names.sort_by(|a, b| a.0.cmp(&b.0));
        Ok(names)
    }

    /// The first name after the highest number that anything on the shelf has with this slug, in capitals or not, or had.
    fn next(&self, slug: &str, used: &[BuildId]) -> Result<BuildId, BookError> {
        let there = self.names()?;
        let there = there
            .iter()
            .filter_map(|(name, _)| name.to_ascii_lowercase().parse::<BuildId>().ok());
        let taken = there.chain(used.iter().cloned()).filter(|id| id.slug() == slug);
        match taken.map(|id| id.number()).max().unwrap_or(0) {
            highest @ 0..9999 => Ok(BuildId::new(slug, highest + 1)),
            _ => Err(BookError::NoNumberLeft {
                path: self.dir.clone(),
                slug: slug.to_string(),
            }),
        }
    }
}
