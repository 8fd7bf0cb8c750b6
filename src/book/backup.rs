//! The whole book in one file, and out of it again into a new folder.

use super::archive::{self, Totals, Where, Writer};
use super::archive_fault::ArchiveFault;
use super::error::BookError;
use super::files::{
    JOURNAL, TEMPORARY, parent, read_bytes, real_file, real_folder, sync_folder, temporary_file,
};
use super::held_by;
use super::id::BuildId;
use super::names::file_name_fits;
use super::outside::{Place, STANDARD};
use super::shelf::{LOCK, Shelf};
use crate::seal::Digest;
use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufReader, BufWriter, Read, Seek, Write};
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

/// What the name of a folder begins with in which a book is unpacked before it stands in its place.
const UNPACKED: &str = ".tmp-shimwright-restored-";
/// How far a file is looked into for the mark of a private key.
const LOOKED_INTO: usize = 4 << 10;
/// What stands in the first line of a private key's file.
const PRIVATE_KEY: &[u8] = b"PRIVATE KEY-----";
/// The most bytes of a backup that comes in where it can be read only once.
const MOST_SPOOLED: u64 = 64 << 30;

/// What a backup holds, and what of the book it does not.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Backup {
    /// How many builds and drive days.
    pub builds: usize,
    /// How many files.
    pub files: usize,
    /// How many bytes these have.
    pub bytes: u64,
    /// The digest of the backup, but for its last entry, which has it.
    pub digest: Digest,
    /// What lies in the book and was not taken.
    pub left_out: Vec<LeftOut>,
}

/// Something that lies in the book and was not taken into a backup.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LeftOut {
    /// Where it lies.
    pub path: PathBuf,
    /// Why it was not taken.
    pub why: String,
    /// Whether the backup lacks a part of the record for it.
    pub is_lack: bool,
}

impl Backup {
    fn of(totals: Totals, left_out: Vec<LeftOut>) -> Backup {
        Backup {
            builds: totals.builds,
            files: totals.files,
            bytes: totals.bytes,
            digest: totals.digest,
            left_out,
        }
    }

    /// Whether everything that belongs to the record is in it.
    pub fn is_whole(&self) -> bool {
        !self.left_out.iter().any(|one| one.is_lack)
    }
}

/// A backup that was written and read back, and does not stand in its place yet: dropped, it is gone.
#[derive(Debug)]
pub struct MadeBackup {
    /// What is in it.
    pub holds: Backup,
    file: NamedTempFile,
}

impl MadeBackup {
    /// Puts it where it is wanted; over what is there only where that is said.
    ///
    /// # Errors
    ///
    /// [`BookError::Exists`], and what is there stays; what the system refuses.
    pub fn put(self, path: &Path, over: bool) -> Result<(), BookError> {
        let placed = match over {
            true => self.file.persist(path),
            false => self.file.persist_noclobber(path),
        };
        placed.map_err(|fault| match fault.error.kind() {
            io::ErrorKind::AlreadyExists => BookError::Exists {
                path: path.to_path_buf(),
            },
            _ => BookError::io("written", path)(fault.error),
        })?;
        sync_folder(parent(path))
    }

    /// It, through the handle that holds it: another may be barred from reading.
    fn rewound(&self) -> io::Result<&File> {
        let mut file = self.file.as_file();
        file.rewind()?;
        Ok(file)
    }

    /// Whether a file holds the same already.
    pub fn is_at(&self, path: &Path) -> bool {
        self.same(path).unwrap_or(false)
    }

    fn same(&self, path: &Path) -> io::Result<bool> {
        let (mut one, other) = (self.rewound()?, File::open(path)?);
        if one.metadata()?.len() != other.metadata()?.len() {
            return Ok(false);
        }
        let (mut here, mut there) = (Vec::new(), Vec::new());
        loop {
            here.clear();
            there.clear();
            Read::by_ref(&mut one).take(1 << 20).read_to_end(&mut here)?;
            (&other).take(1 << 20).read_to_end(&mut there)?;
            if here != there {
                return Ok(false);
            }
            if here.is_empty() {
                return Ok(true);
            }
        }
    }

    /// Writes it into something that takes bytes one after the other.
    ///
    /// # Errors
    ///
    /// The system's.
    pub fn write_to(&self, out: &mut impl Write) -> io::Result<()> {
        io::copy(&mut self.rewound()?, out)?;
        out.flush()
    }

    /// Writes it into a device, a pipe or a file that is open already.
    ///
    /// # Errors
    ///
    /// [`BookError::Io`]: what the system refuses.
    pub fn write_into(&self, path: &Path) -> Result<(), BookError> {
        let opened = OpenOptions::new().append(true).open(path);
        let written = opened.and_then(|mut file| self.write_to(&mut file));
        written.map_err(BookError::io("written to", path))
    }
}

/// Whether a file begins as a backup does.
pub fn is_backup(path: &Path) -> bool {
    File::open(path).is_ok_and(|file| {
        !matches!(
            archive::read(file.take(4 << 10), |_, _| Ok(())),
            Err(ArchiveFault::Other | ArchiveFault::Io(_))
        )
    })
}

/// Writes the whole book beside the place where it is wanted, or among the machine's temporary files, and reads it back.
/// `told` is called with how many builds are done.
///
/// The book may be in use: a build is in it as it was at one moment, and what was worked out (`.index`), who has a build
/// open and what is still to be done on this machine (`.to-do`) are not in it. Nor is any file that holds a private key.
///
/// ```
/// use shimwright::book::{Place, Shelf, make_backup, restore};
/// let dir = tempfile::tempdir()?;
/// let shelf = Shelf::open(&dir.path().join("book"))?;
/// let id = shelf.begin("GT rear", &[("unit.toml", b"name = \"invented\"")])?.id().clone();
/// let made = make_backup(&shelf, None, |_| {})?;
/// assert_eq!((made.holds.builds, made.holds.files), (1, 2));
/// let file = dir.path().join("book.backup");
/// made.put(&file, false)?;
/// restore(&file, &dir.path().join("again"), |_, _| {})?;
/// let again = Shelf::look(&dir.path().join("again"))?;
/// assert_eq!(again.file(&id, "unit.toml")?, b"name = \"invented\"");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// [`BookError::Io`]: the book can not be listed, or the file not be written; [`BookError::Backup`]: what was read back is
/// not what was written.
pub fn make_backup(
    shelf: &Shelf,
    beside: Option<&Path>,
    told: impl FnMut(usize),
) -> Result<MadeBackup, BookError> {
    let mut file = match beside {
        Some(path) => temporary_file(path, &[], false)?,
        None => {
            let folder = std::env::temp_dir();
            Builder::new()
                .prefix(TEMPORARY)
                .tempfile()
                .map_err(BookError::io("written to", &folder))?
        }
    };
    let path = file.path().to_path_buf();
    let written = |fault| BookError::io("written", &path)(fault);
    let mut writer = Writer::begin(BufWriter::new(file.as_file_mut())).map_err(written)?;
    let left_out = put_book(shelf, &mut writer, &path, told)?;
    let totals = writer.end().map_err(written)?;
    file.as_file()
        .sync_all()
        .map_err(BookError::io("written", &path))?;
    let mut read_back = file.as_file();
    read_back.rewind().map_err(BookError::io("read", &path))?;
    let found = archive::read(BufReader::new(read_back), |_, _| Ok(()));
    let found = found.map_err(|why| BookError::Backup {
        path: path.clone(),
        why,
    })?;
    if found != totals {
        let why = ArchiveFault::Altered {
            what: "another was read back than was written",
            at: 0,
        };
        return Err(BookError::Backup { path, why });
    }
    Ok(MadeBackup {
        holds: Backup::of(totals, left_out),
        file,
    })
}

/// Puts every file of the book into an archive, which lies in `file` for now, and gives what was left out.
fn put_book(
    shelf: &Shelf,
    writer: &mut Writer<impl Write>,
    file: &Path,
    mut told: impl FnMut(usize),
) -> Result<Vec<LeftOut>, BookError> {
    let mut left_out = Vec::new();
    let mut put = |path: &Path, at: Where, left_out: &mut Vec<LeftOut>| {
        put_file(writer, path, &at, left_out).map_err(BookError::io("written", file))
    };
    // what lies in the book itself first: a log must not know more of a build than the backup has of it
    for (name, entry) in shelf.names()? {
        let is_folder = !entry.file_type().is_ok_and(|kind| kind.is_file());
        let at = Where { build: None, name };
        let is_own = at.name.starts_with('.') && !at.fits();
        if is_own || (is_folder && at.name.parse::<BuildId>().is_ok()) {
            continue;
        }
        put(&entry.path(), at, &mut left_out)?;
    }
    let mut builds = shelf.contents()?.named();
    builds.sort_by(|one, other| one.as_str().cmp(other.as_str()));
    for (done, id) in builds.into_iter().enumerate() {
        told(done);
        let folder = shelf.folder(&id);
        match names_in(&folder) {
            Ok(names) => {
                for name in names {
                    let build = Some(id.clone());
                    put(&folder.join(&name), Where { build, name }, &mut left_out)?;
                }
            }
            Err(fault) => left_out.push(LeftOut {
                path: folder,
                why: fault.to_string(),
                is_lack: true,
            }),
        }
    }
    Ok(left_out)
}

/// The names of what is kept in a build's folder, its journal first: a line of it that names a seal comes after the seal.
fn names_in(folder: &Path) -> Result<Vec<String>, BookError> {
    real_folder(folder)?;
    let mut names = Vec::new();
    for entry in fs::read_dir(folder).map_err(BookError::io("read", folder))? {
        let entry = entry.map_err(BookError::io("read", folder))?;
        names.push(entry.file_name().to_string_lossy().into_owned());
    }
    names.retain(|name| name != held_by::NAME && !name.starts_with(TEMPORARY));
    names.sort_by_key(|name| (name != JOURNAL, name.clone()));
    Ok(names)
}

/// Puts a file into an archive, or says why not; an error is one of writing.
fn put_file(
    writer: &mut Writer<impl Write>,
    path: &Path,
    at: &Where,
    left_out: &mut Vec<LeftOut>,
) -> io::Result<()> {
    let mut leave = |why: String, is_lack: bool| {
        left_out.push(LeftOut {
            path: path.to_path_buf(),
            why,
            is_lack,
        });
    };
    let is_record = at.build.is_some();
    match real_file(path) {
        Ok(()) if !at.fits() => {
            leave("its name would not fit on every disk".to_string(), false);
            return Ok(());
        }
        Ok(()) => {}
        Err(BookError::IsFolder { .. }) => {
            leave("a folder that is no build".to_string(), false);
            return Ok(());
        }
        Err(BookError::Link { .. }) => {
            leave("a link".to_string(), is_record);
            return Ok(());
        }
        Err(fault) => {
            leave(fault.to_string(), is_record);
            return Ok(());
        }
    }
    match read_bytes(path, at.most()) {
        Ok(bytes) if is_private_key(&bytes) => {
            leave("it holds a private key".to_string(), false);
            Ok(())
        }
        Ok(bytes) => writer.file(at, &bytes),
        Err(fault) => {
            leave(fault.to_string(), true);
            Ok(())
        }
    }
}

/// Whether a file is a private key, which goes into nothing that is handed on.
pub fn is_private_key(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(LOOKED_INTO)];
    head.windows(PRIVATE_KEY.len())
        .any(|window| window == PRIVATE_KEY)
}

/// Makes a backup of a single build out of its files, for [`restore`]: what was found elsewhere comes into a book by the way of
/// every backup, through its limits. It is gone when the value is dropped.
///
/// ```
/// use shimwright::book::{Shelf, backup_of, restore};
/// let dir = tempfile::tempdir()?;
/// let files = [("journal.jsonl".to_string(), Vec::new()), ("unit.toml".to_string(), b"name = \"invented\"".to_vec())];
/// let made = backup_of(&"gt-rear-0001".parse()?, &files.into())?;
/// restore(made.path(), &dir.path().join("again"), |_, _| {})?;
/// assert_eq!(Shelf::look(&dir.path().join("again"))?.list()?.len(), 1);
/// assert!(backup_of(&"gt-rear-0001".parse()?, &[("../unit.toml".to_string(), Vec::new())].into()).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// [`BookError::BadName`] for a name that no file of a build has; [`BookError::Io`].
pub fn backup_of(build: &BuildId, files: &BTreeMap<String, Vec<u8>>) -> Result<NamedTempFile, BookError> {
    let folder = std::env::temp_dir();
    let written = |fault| BookError::io("written to", &folder)(fault);
    let mut file = Builder::new().prefix(TEMPORARY).tempfile().map_err(written)?;
    let mut writer = Writer::begin(BufWriter::new(file.as_file_mut())).map_err(written)?;
    let journal = files.get_key_value(JOURNAL);
    let beside = files.iter().filter(|(name, _)| *name != JOURNAL);
    for (name, bytes) in journal.into_iter().chain(beside) {
        if name != JOURNAL {
            file_name_fits(name)?;
        }
        let at = Where {
            build: Some(build.clone()),
            name: name.clone(),
        };
        writer.file(&at, bytes).map_err(written)?;
    }
    writer.end().map_err(written)?;
    Ok(file)
}

/// Unpacks a backup into a new folder. It is read to its end before the first file is made; and the folder has its name only
/// when all of it is on the disk. `told` is called with how many files are done, and of
/// how many.
///
/// # Errors
///
/// [`BookError::Exists`] where something is there; [`BookError::InBook`]; [`BookError::Backup`] for what is no whole backup;
/// what the system refuses. Then nothing is there.
pub fn restore(from: &Path, into: &Path, mut told: impl FnMut(usize, usize)) -> Result<Backup, BookError> {
    match Place::of(into) {
        Ok(Place::Free) => {}
        Ok(_) | Err(BookError::IsFolder { .. }) => {
            return Err(BookError::Exists {
                path: into.to_path_buf(),
            });
        }
        Err(fault) => return Err(fault),
    }
    let mut file = opened(from)?;
    let broken = |why| match why {
        ArchiveFault::Io(fault) => BookError::io("read", from)(fault),
        why => BookError::Backup {
            path: from.to_path_buf(),
            why,
        },
    };
    let totals = archive::read(BufReader::new(&file), |_, _| Ok(())).map_err(broken)?;
    file.rewind().map_err(BookError::io("read", from))?;
    let folder = parent(into);
    let mut builder = Builder::new();
    builder.prefix(UNPACKED);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777)); // less the user's umask
    let made = builder.tempdir_in(folder);
    let mut temporary = made.map_err(BookError::io("written to", folder))?;
    let lock = new_file(&temporary.path().join(LOCK))?;
    // on a disk without locks a sweep may take it while it is unpacked, and then that fails
    let _ = lock.lock();
    let (mut done, mut last) = (0, None);
    let again = archive::read(BufReader::new(&file), |at: &Where, bytes| {
        let path = temporary.path().join(at.path());
        let folder = parent(&path);
        if !folder.exists() {
            fs::create_dir(folder).map_err(BookError::io("made", folder))?;
            if let Some(last) = last.replace(folder.to_path_buf()) {
                sync_folder(&last)?;
            }
        }
        let written = new_file(&path)?;
        let filled = (&written).write_all(bytes).and_then(|()| written.sync_all());
        filled.map_err(BookError::io("written", &path))?;
        done += 1;
        told(done, totals.files);
        Ok::<(), Unpacking>(())
    });
    match again {
        Ok(found) if found == totals => {}
        Ok(_) => {
            return Err(broken(ArchiveFault::Altered {
                what: "it was changed while it was read",
                at: 0,
            }));
        }
        Err(Unpacking::Backup(why)) => return Err(broken(why)),
        Err(Unpacking::Book(fault)) => return Err(fault),
    }
    if let Some(last) = last {
        sync_folder(&last)?;
    }
    sync_folder(temporary.path())?;
    // a folder in which something is open can be renamed on some systems only; there it is held until it has its name
    let _held = cfg!(unix).then_some(lock);
    fs::rename(temporary.path(), into).map_err(BookError::io("put in its place", into))?;
    temporary.disable_cleanup(true);
    sync_folder(folder)?;
    Ok(Backup::of(totals, Vec::new()))
}

/// What ends the unpacking.
enum Unpacking {
    Backup(ArchiveFault),
    Book(BookError),
}

impl From<ArchiveFault> for Unpacking {
    fn from(why: ArchiveFault) -> Unpacking {
        Unpacking::Backup(why)
    }
}

impl From<BookError> for Unpacking {
    fn from(why: BookError) -> Unpacking {
        Unpacking::Book(why)
    }
}

fn new_file(path: &Path) -> Result<File, BookError> {
    let made = OpenOptions::new().write(true).create_new(true).open(path);
    made.map_err(BookError::io("written", path))
}

/// A backup to be read, more than once: what can be read only once is kept in a temporary file.
fn opened(from: &Path) -> Result<File, BookError> {
    let input: Box<dyn Read> = if from == Path::new(STANDARD) {
        Box::new(io::stdin())
    } else {
        let file = File::open(from).map_err(BookError::io("opened", from))?;
        let about = file.metadata().map_err(BookError::io("read", from))?;
        if about.is_dir() {
            return Err(BookError::IsFolder {
                path: from.to_path_buf(),
            });
        }
        if about.is_file() {
            return Ok(file);
        }
        Box::new(file)
    };
    let mut kept = tempfile::tempfile().map_err(BookError::io("written to", &std::env::temp_dir()))?;
    let copied = io::copy(&mut input.take(MOST_SPOOLED), &mut kept).and_then(|_| kept.rewind());
    copied.map_err(BookError::io("read", from))?;
    Ok(kept)
}

/// Removes what a program left that was ended while it unpacked a backup beside this path: folders with that name that nobody
/// holds, and gives them.
pub fn sweep_unpacked(path: &Path) -> Vec<PathBuf> {
    let mut swept = Vec::new();
    for entry in fs::read_dir(parent(path)).into_iter().flatten().flatten() {
        let is_one = entry.file_name().to_string_lossy().starts_with(UNPACKED)
            && entry.file_type().is_ok_and(|kind| kind.is_dir());
        let path = entry.path();
        let lock = path.join(LOCK);
        let is_free = || File::open(&lock).is_ok_and(|lock| lock.try_lock().is_ok());
        // what can not be removed stays; it does no harm
        let is_gone = is_one
            && match real_file(&lock) {
                Ok(()) => is_free() && fs::remove_dir_all(&path).is_ok(),
                Err(_) => fs::remove_dir(&path).is_ok(), // where it is empty
            };
        if is_gone {
            swept.push(path);
        }
    }
    swept
}
