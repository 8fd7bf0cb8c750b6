//! The book's log on the disk: one file a machine, in the frame of a journal, so that folders are merged by laying them together.

use super::error::BookError;
use super::files::{parent, read_bytes, read_held, real_file, write_new, write_whole};
use super::frame::{Reading, line, refusal, scan};
use super::journal::{Repair, mend, set_aside};
use super::lock::{Lock, wait_for_own};
use super::shelf::Shelf;
use super::tail::{OnDisk, Store, Tail};
use crate::seal::Digest;
use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};

/// The most that a log may hold: some hundred thousand builds.
const MOST_LOG: u64 = 512 << 20;
/// What the name of every log begins with, and ends with.
const NAMED: (&str, &str) = ("log", ".jsonl");
/// The file by which git leaves the bytes of the book as they are.
const ATTRIBUTES: &str = ".gitattributes";
/// What stands in it: no line end is changed, and no two journals are woven into one.
const AS_WRITTEN: &str = "# digests are of bytes: nothing here may get other line ends, and no journal is merged line by line\n\
                          * -text\n*.jsonl -merge\n";

/// A machine's log of a book, to be written to. It is locked only while a line is written, so that several programs of one
/// machine may have it.
///
/// ```
/// use shimwright::book::{Log, Shelf};
/// let dir = tempfile::tempdir()?;
/// let shelf = Shelf::open(dir.path())?;
/// let mut log = Log::make(&shelf, "k7", &[r#"{"kind":"opened"}"#.to_string()])?;
/// log.append(1, r#"{"kind":"begun"}"#)?;
/// assert_eq!(log.head()?.0, 2);
/// assert_eq!(shelf.log_files()?, ["log-K7.jsonl"]);
/// assert_eq!(shelf.read_log("log-K7.jsonl")?.entries.len(), 2);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Log {
    path: PathBuf,
    /// How many lines there are, where they end, and the digest of the last, when this program last looked.
    known: Option<(usize, u64, Digest)>,
    repairs: Vec<Repair>,
}

impl Log {
    /// The name of the log of a machine: by its mark, which the first machine of a book lacks.
    pub fn name_of(mark: &str) -> String {
        let (begins, ends) = NAMED;
        match mark {
            "" => format!("{begins}{ends}"),
            mark => format!("{begins}-{}{ends}", mark.to_ascii_uppercase()),
        }
    }

    /// Makes the log of a machine with its first lines, and beside it the file by which git leaves the book's bytes alone.
    ///
    /// # Errors
    ///
    /// [`BookError::Exists`], [`BookError::NotAnEntry`], [`BookError::ReadingOnly`], [`BookError::Io`].
    pub fn make(shelf: &Shelf, mark: &str, entries: &[String]) -> Result<Log, BookError> {
        let name = Log::name_of(mark);
        let path = shelf.dir().join(&name);
        let (mut text, mut was) = (String::new(), Digest::of(b""));
        for (n, entry) in entries.iter().enumerate() {
            if let Some(why) = refusal(entry) {
                return Err(BookError::NotAnEntry { path, why });
            }
            let line = line(1, n + 1, was, entry);
            was = Digest::of(line.trim_end_matches('\n').as_bytes());
            text.push_str(&line);
        }
        match write_new(&shelf.dir().join(ATTRIBUTES), AS_WRITTEN.as_bytes()) {
            // whoever has one may have reasons
            Ok(()) | Err(BookError::Exists { .. }) => {}
            Err(fault) => return Err(fault),
        }
        write_new(&path, text.as_bytes())?;
        Log::open(shelf, &name)
    }

    /// Opens a log, and repairs what a power cut left.
    ///
    /// # Errors
    ///
    /// [`BookError::Missing`], [`BookError::Link`], [`BookError::Altered`], [`BookError::Newer`], [`BookError::Io`].
    pub fn open(shelf: &Shelf, name: &str) -> Result<Log, BookError> {
        let mut log = Log {
            path: shelf.dir().join(name),
            known: None,
            repairs: Vec::new(),
        };
        log.head()?;
        Ok(log)
    }

    /// Adds a line, one JSON object, of a version. When this returns, it is on the disk.
    ///
    /// # Errors
    ///
    /// As [`Journal::append`](super::Journal::append), and those of [`Log::open`]: another program may have been at it.
    pub fn append(&mut self, version: u32, entry: &str) -> Result<(), BookError> {
        let (store, (count, end, tip)) = self.locked()?;
        let mut tail = Tail::after(store, count, end, tip);
        self.known = None;
        tail.append(&[(version, entry)])?;
        self.known = Some(tail.reached());
        Ok(())
    }

    /// How many lines it has now, and the digest of the last.
    ///
    /// # Errors
    ///
    /// As [`Log::open`].
    pub fn head(&mut self) -> Result<(usize, Digest), BookError> {
        let (_store, (count, _, tip)) = self.locked()?;
        Ok((count, tip))
    }

    /// What was found and put right.
    pub fn repairs(&self) -> &[Repair] {
        &self.repairs
    }

    /// The file, locked, and how far it goes; what was known before is looked at again only where another program wrote.
    fn locked(&mut self) -> Result<(OnDisk, (usize, u64, Digest)), BookError> {
        let path = &self.path;
        real_file(path)?;
        let lock = Lock::wait_for(
            parent(path),
            &path.file_name().unwrap_or_default().to_string_lossy(),
        )?;
        let opened = OpenOptions::new().read(true).append(true).open(path);
        let file: File = opened.map_err(BookError::io("opened for writing", path))?;
        wait_for_own(&file).map_err(BookError::io("locked", path))?;
        let size = file.metadata().map_err(BookError::io("read", path))?.len();
        let mut store = OnDisk {
            file,
            path: path.clone(),
            _lock: lock,
        };
        if let Some(known) = self.known.filter(|(_, end, _)| *end == size) {
            return Ok((store, known));
        }
        let bytes = read_held(&store.file, path, MOST_LOG)?;
        let found = scan(&bytes);
        let aside = path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        store.sync().map_err(BookError::io("synced", path))?;
        let (end, repairs) = mend(&mut store, &found, &bytes, &|torn| {
            set_aside(parent(path), &aside, torn)
        })?;
        self.repairs.extend(repairs);
        let known = (found.entries.len(), end, found.tip);
        self.known = Some(known);
        Ok((store, known))
    }
}

impl Shelf {
    /// The names of the logs in the book, in order: of each machine that wrote in it, and of copies that lie beside them.
    ///
    /// # Errors
    ///
    /// [`BookError::Io`]: the folder can not be read.
    pub fn log_files(&self) -> Result<Vec<String>, BookError> {
        let (begins, ends) = NAMED;
        let mut names = self.files()?;
        names.retain(|name| {
            let lower = name.to_lowercase();
            lower.starts_with(begins) && lower.ends_with(ends)
        });
        Ok(names)
    }

    /// The marks of the machines that have a log in the book, in small letters; the first machine has none.
    ///
    /// # Errors
    ///
    /// [`BookError::Io`]: the folder can not be read.
    pub fn marks(&self) -> Result<Vec<String>, BookError> {
        let (begins, ends) = NAMED;
        let mark = |name: &String| {
            let mark = name.strip_prefix(begins)?.strip_prefix('-')?.strip_suffix(ends)?;
            let mark = mark.to_ascii_lowercase();
            (Log::name_of(&mark) == *name && mark.len() == 2).then_some(mark)
        };
        Ok(self.log_files()?.iter().filter_map(mark).collect())
    }

    /// Gives a log the line ends that it was written with, where another program changed just these; whether it did.
    ///
    /// # Errors
    ///
    /// What the system refuses.
    pub fn put_back_log_ends(&self, name: &str) -> Result<bool, BookError> {
        let path = self.dir().join(name);
        self.put_ends_back_in(&path, MOST_LOG)
    }

    /// Lays a file that goes on from the log of a mark in its place; the log's name where it did.
    ///
    /// # Errors
    ///
    /// [`BookError::TooLarge`], [`BookError::Io`].
    pub fn put_log_in_place(&self, mark: &str, file: &str) -> Result<Option<String>, BookError> {
        let name = Log::name_of(mark);
        let path = self.dir().join(&name);
        let longer = read_bytes(&self.dir().join(file), MOST_LOG)?;
        let shorter = match real_file(&path) {
            Ok(()) => read_bytes(&path, MOST_LOG)?,
            Err(BookError::Missing { .. }) => Vec::new(),
            Err(fault) => return Err(fault),
        };
        if name == file || !longer.starts_with(&shorter) {
            return Ok(None);
        }
        write_whole(&path, &longer)?;
        Ok(Some(name))
    }

    /// Reads a log without locking it.
    ///
    /// # Errors
    ///
    /// [`BookError::Missing`], [`BookError::Link`], [`BookError::TooLarge`], [`BookError::Io`].
    pub fn read_log(&self, name: &str) -> Result<Reading, BookError> {
        let path: &Path = &self.dir().join(name);
        real_file(path)?;
        Ok(Reading::of(read_bytes(path, MOST_LOG)?))
    }
}
