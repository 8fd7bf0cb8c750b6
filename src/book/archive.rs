//! The file that a backup is: a tar archive in one strict form, with every byte of it under a digest.
//!
//! It is a tar archive of the old portable form (POSIX.1-1988, *ustar*), so it opens without this program too: `tar -xf FILE`,
//! then `sha256sum -c SHA256SUMS`. Its entries, in this order:
//!
//! ```text
//! shimwright-backup.txt        the format, and how to read the file without the program
//! book/allowed_signers, ...    files that lie in the book itself, by name
//! book/gt-rear-0001/journal.jsonl, ...   each build: its journal, then its other files by name
//! SHA256SUMS                   the digest of every file of the book, as sha256sum writes it
//! shimwright-backup-end.txt    how much there is, and the digest of all bytes before this entry
//! ```
//!
//! Nothing in it is left to choice: mode, owner and time are the same for every file, so the same book gives the same bytes.
//! Reading is as strict: each head must be, byte for byte, the one that would be written for its name and size. So a link, a
//! folder, a path that leads out, a name that stands twice or out of its order is no such archive, and nothing is unpacked
//! that is larger than what lies there.

use super::archive_fault::ArchiveFault;
use super::files::{JOURNAL, MOST_SNAPSHOT};
use super::id::BuildId;
use super::tail::MOST_JOURNAL;
use crate::record::formats::BACKUP;
use crate::seal::{Digest, RunningDigest};
use std::io::{self, ErrorKind, Read, Write};

/// The size of a head, and what every file is filled up to.
const BLOCK: usize = 512;
/// The folder in the archive that the book lies in.
const FOLDER: &str = "book/";
const FIRST: &str = "shimwright-backup.txt";
const SUMS: &str = "SHA256SUMS";
const LAST: &str = "shimwright-backup-end.txt";
/// The most files of a book: a hundred thousand builds with ten files each.
pub(super) const MOST_FILES: usize = 1_000_000;
/// The most bytes of the first and the last entry.
const MOST_WORDS: u64 = 4 << 10;
/// The most bytes of the list of digests: a long line for each of the files.
const MOST_SUMS: u64 = MOST_FILES as u64 * 256;

/// Where a file of a book lies: in the book itself, or in one of its builds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Where {
    pub build: Option<BuildId>,
    pub name: String,
}

impl Where {
    /// The path from the book's folder, with `/` between.
    pub fn path(&self) -> String {
        match &self.build {
            Some(build) => format!("{build}/{}", self.name),
            None => self.name.clone(),
        }
    }

    /// The place in an archive: what lies in the book itself comes first, of a build its journal.
    fn order(&self) -> (Option<&str>, bool, &str) {
        (
            self.build.as_ref().map(BuildId::as_str),
            self.name != JOURNAL,
            &self.name,
        )
    }

    /// The file of a path in an archive; nothing where a book has no such file.
    fn read(path: &str) -> Option<Where> {
        let path = path.strip_prefix(FOLDER)?;
        let (build, name) = match path.split_once('/') {
            Some((build, name)) => (Some(build.parse().ok()?), name),
            None => (None, path),
        };
        let named = Where {
            build,
            name: name.to_string(),
        };
        named.fits().then_some(named)
    }

    /// Whether a file may have this name in a book that is unpacked: one that leads nowhere else on any system.
    pub fn fits(&self) -> bool {
        let name = &self.name;
        let hidden = name.starts_with('.') && !(self.build.is_none() && name == ".gitattributes");
        !name.is_empty()
            && name.len() <= 100
            && !hidden
            && !name.ends_with(['.', ' '])
            && !name.chars().any(|c| c.is_control() || "/\\:*?\"<>|".contains(c))
    }

    /// The most bytes of this file.
    pub fn most(&self) -> u64 {
        match &self.build {
            Some(_) if self.name != JOURNAL => MOST_SNAPSHOT,
            _ => MOST_JOURNAL,
        }
    }
}

/// What is in an archive.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Totals {
    pub builds: usize,
    pub files: usize,
    /// The bytes of these files.
    pub bytes: u64,
    /// The digest of all of the archive before its last entry.
    pub digest: Digest,
}

impl Totals {
    fn words(&self) -> String {
        let Totals {
            builds,
            files,
            bytes,
            digest,
        } = self;
        format!(
            "shimwright backup {}\nbuilds {builds}\nfiles {files}\nbytes {bytes}\nall before this entry {digest}\n",
            BACKUP.newest()
        )
    }
}

/// What the first entry says.
fn first_words() -> String {
    format!(
        "shimwright backup {}\n\
         A book of build records. With the program: shimwright restore FILE FOLDER\n\
         Without it: tar -xf FILE, then sha256sum -c SHA256SUMS; the folder book is the book.\n\
         {LAST} has the digest of all bytes of this file before that entry: SHA-256.\n\
         Private keys are not in it.\n",
        BACKUP.newest()
    )
}

/// A head of the archive for a plain file.
fn head(path: &str, size: u64) -> [u8; BLOCK] {
    let mut head = [0; BLOCK];
    let mut put = |at: usize, bytes: &[u8]| head[at..at + bytes.len()].copy_from_slice(bytes);
    // the name is at most 100 bytes long, and the folders before it, at most 155, stand in a place of their own
    let (folders, name) = path.rsplit_once('/').unwrap_or(("", path));
    put(0, name.as_bytes());
    put(100, b"0000644\0");
    put(108, b"0000000\0");
    put(116, b"0000000\0");
    put(124, format!("{size:011o}\0").as_bytes());
    put(136, b"00000000000\0");
    put(148, b"        ");
    put(156, b"0");
    put(257, b"ustar\x0000");
    put(345, folders.as_bytes());
    let sum: u32 = head.iter().map(|byte| u32::from(*byte)).sum();
    head[148..156].copy_from_slice(format!("{sum:06o}\0 ").as_bytes());
    head
}

/// How many bytes follow a file of this size, to fill its last block.
fn filling(size: u64) -> usize {
    (BLOCK - (size % BLOCK as u64) as usize) % BLOCK
}

/// What was put into an archive so far: its list of digests, and how much it is.
struct Sum {
    sums: String,
    builds: usize,
    files: usize,
    bytes: u64,
    last: Option<Where>,
}

impl Sum {
    fn new() -> Sum {
        Sum {
            sums: String::new(),
            builds: 0,
            files: 0,
            bytes: 0,
            last: None,
        }
    }

    /// Counts a file. False where it does not come after the one before, or is one too many.
    fn add(&mut self, at: &Where, digest: &Digest, size: u64) -> bool {
        let follows = self.last.as_ref().is_none_or(|last| last.order() < at.order());
        if !follows || self.files == MOST_FILES {
            return false;
        }
        let is_first_of_build = at.build.is_some()
            && self.last.as_ref().and_then(|last| last.build.as_ref()) != at.build.as_ref();
        self.builds += usize::from(is_first_of_build);
        self.files += 1;
        self.bytes += size;
        self.sums.push_str(&format!("{digest}  {FOLDER}{}\n", at.path()));
        self.last = Some(at.clone());
        true
    }

    fn totals(&self, digest: Digest) -> Totals {
        Totals {
            builds: self.builds,
            files: self.files,
            bytes: self.bytes,
            digest,
        }
    }
}

/// An archive that is being written.
pub(super) struct Writer<W: Write> {
    out: W,
    running: RunningDigest,
    sum: Sum,
}

impl<W: Write> Writer<W> {
    pub fn begin(out: W) -> io::Result<Writer<W>> {
        let mut writer = Writer {
            out,
            running: RunningDigest::default(),
            sum: Sum::new(),
        };
        writer.entry(FIRST, first_words().as_bytes())?;
        Ok(writer)
    }

    /// Adds a file. They come in the order of the archive; one that does not is refused, which is a fault of the caller.
    pub fn file(&mut self, at: &Where, bytes: &[u8]) -> io::Result<()> {
        if !at.fits() || !self.sum.add(at, &Digest::of(bytes), bytes.len() as u64) {
            return Err(io::Error::new(
                ErrorKind::InvalidInput,
                format!("{} can not stand there", at.path()),
            ));
        }
        self.entry(&format!("{FOLDER}{}", at.path()), bytes)
    }

    /// Writes what is left, and gives what all of it is.
    pub fn end(mut self) -> io::Result<Totals> {
        let sums = std::mem::take(&mut self.sum.sums);
        self.entry(SUMS, sums.as_bytes())?;
        let totals = self.sum.totals(self.running.digest());
        self.entry(LAST, totals.words().as_bytes())?;
        self.out.write_all(&[0; 2 * BLOCK])?;
        self.out.flush()?;
        Ok(totals)
    }

    fn entry(&mut self, path: &str, bytes: &[u8]) -> io::Result<()> {
        let size = bytes.len() as u64;
        for part in [&head(path, size)[..], bytes, &[0; BLOCK][..filling(size)]] {
            self.running.add(part);
            self.out.write_all(part)?;
        }
        Ok(())
    }
}

/// Reads an archive to its end, and hands on each file of the book with its bytes. Only when this has returned is it known
/// that the archive is whole.
pub(super) fn read<E: From<ArchiveFault>>(
    input: impl Read,
    mut each: impl FnMut(&Where, &[u8]) -> Result<(), E>,
) -> Result<Totals, E> {
    let mut reader = Reader {
        input,
        running: RunningDigest::default(),
        at: 0,
    };
    match reader.entry(MOST_WORDS) {
        Ok(entry) if entry.path == FIRST => is_ours(&entry.bytes)?,
        Ok(_) | Err(ArchiveFault::Altered { .. } | ArchiveFault::Cut(_)) => {
            return Err(ArchiveFault::Other.into());
        }
        Err(fault) => return Err(fault.into()),
    }
    let mut sum = Sum::new();
    loop {
        let entry = reader.entry_of_book()?;
        match entry.place {
            Some(place) => {
                if !sum.add(&place, &Digest::of(&entry.bytes), entry.bytes.len() as u64) {
                    return Err(altered("a file that stands out of its order", entry.at).into());
                }
                each(&place, &entry.bytes)?;
            }
            None if entry.bytes == sum.sums.as_bytes() => break,
            None => return Err(altered("the list of digests is of other files", entry.at).into()),
        }
    }
    let totals = sum.totals(reader.running.digest());
    let entry = reader.entry(MOST_WORDS)?;
    if entry.path != LAST || entry.bytes != totals.words().as_bytes() {
        return Err(altered("its digest is another", entry.at).into());
    }
    reader.ends()?;
    Ok(totals)
}

/// Whether the first entry is that of a backup that can be read here.
fn is_ours(bytes: &[u8]) -> Result<(), ArchiveFault> {
    let text = std::str::from_utf8(bytes).map_err(|_| ArchiveFault::Other)?;
    let number = text.lines().next().and_then(|line| BACKUP.number_in(line));
    match number {
        Some(newer) if newer > BACKUP.newest() => Err(ArchiveFault::Newer(newer)),
        Some(_) if text == first_words() => Ok(()),
        Some(_) => Err(altered("its first words are others", 0)),
        None => Err(ArchiveFault::Other),
    }
}

fn altered(what: &'static str, at: u64) -> ArchiveFault {
    ArchiveFault::Altered { what, at }
}

struct FileRead {
    path: String,
    bytes: Vec<u8>,
    /// Where it begins.
    at: u64,
}

struct OfBook {
    /// Where it lies; nothing for the list of digests.
    place: Option<Where>,
    bytes: Vec<u8>,
    at: u64,
}

struct Reader<R: Read> {
    input: R,
    running: RunningDigest,
    /// How many bytes were read.
    at: u64,
}

impl<R: Read> Reader<R> {
    fn entry(&mut self, most: u64) -> Result<FileRead, ArchiveFault> {
        let at = self.at;
        let (path, size) = self.head()?;
        if size > most {
            return Err(altered("a file that is larger than it may be", at));
        }
        let bytes = self.body(size, at)?;
        Ok(FileRead { path, bytes, at })
    }

    fn entry_of_book(&mut self) -> Result<OfBook, ArchiveFault> {
        let at = self.at;
        let (path, size) = self.head()?;
        let (place, most) = match path.as_str() {
            SUMS => (None, MOST_SUMS),
            path => {
                let place = Where::read(path).ok_or_else(|| altered("a file that no book has", at))?;
                let most = place.most();
                (Some(place), most)
            }
        };
        if size > most {
            return Err(altered("a file that is larger than it may be", at));
        }
        let bytes = self.body(size, at)?;
        Ok(OfBook { place, bytes, at })
    }

    /// The path and the size that a head has.
    fn head(&mut self) -> Result<(String, u64), ArchiveFault> {
        let at = self.at;
        let mut read = [0; BLOCK];
        self.fill(&mut read)?;
        let text = |from: usize, to: usize| {
            let field = &read[from..to];
            let end = field.iter().position(|byte| *byte == 0).unwrap_or(field.len());
            std::str::from_utf8(&field[..end]).ok()
        };
        let path = match (text(345, 500), text(0, 100)) {
            (Some(""), Some(name)) => name.to_string(),
            (Some(folders), Some(name)) => format!("{folders}/{name}"),
            _ => return Err(altered("a head that is none", at)),
        };
        let size = text(124, 136).and_then(|digits| u64::from_str_radix(digits, 8).ok());
        match size {
            // a name of ours has at most one folder above the book's
            Some(size) if path.len() <= 255 && head(&path, size) == read => Ok((path, size)),
            _ => Err(altered("a head that is none", at)),
        }
    }

    fn body(&mut self, size: u64, at: u64) -> Result<Vec<u8>, ArchiveFault> {
        let mut bytes = Vec::new();
        let read = self.input.by_ref().take(size).read_to_end(&mut bytes)? as u64;
        self.running.add(&bytes);
        self.at += read;
        if read < size {
            return Err(ArchiveFault::Cut(self.at));
        }
        let mut rest = [0; BLOCK];
        let rest = &mut rest[..filling(size)];
        self.fill(rest)?;
        match rest.iter().all(|byte| *byte == 0) {
            true => Ok(bytes),
            false => Err(altered("something stands behind a file", at)),
        }
    }

    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), ArchiveFault> {
        let mut filled = 0;
        while filled < bytes.len() {
            match self.input.read(&mut bytes[filled..]) {
                Ok(0) => return Err(ArchiveFault::Cut(self.at + filled as u64)),
                Ok(more) => filled += more,
                Err(fault) if fault.kind() == ErrorKind::Interrupted => {}
                Err(fault) => return Err(fault.into()),
            }
        }
        self.at += filled as u64;
        self.running.add(bytes);
        Ok(())
    }

    /// Two empty blocks, and nothing behind them.
    fn ends(&mut self) -> Result<(), ArchiveFault> {
        let at = self.at;
        let mut empty = [0; 2 * BLOCK];
        self.fill(&mut empty)?;
        let more = self.input.read(&mut [0])?;
        match empty.iter().all(|byte| *byte == 0) && more == 0 {
            true => Ok(()),
            false => Err(altered("something stands behind its end", at)),
        }
    }
}
