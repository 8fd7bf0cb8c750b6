//! A derived index: for each build a text that was worked out from it, and one for all builds of a slug together, kept
//! beside the builds so that they need not be worked out again. It may be thrown away at any time.

use super::files::{JOURNAL, clock_of, read_bytes, real_file, real_folder, replace_unsynced, sweep};
use super::id::BuildId;
use super::shelf::Shelf;
use crate::record::formats::INDEX;
use crate::seal::Digest;
use std::borrow::Cow;
use std::collections::HashMap;
use std::fs::{self, Metadata};
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::{Duration, SystemTime};

/// The folder in the book. A slug has one file with a line a build, and one with a line for all of them.
pub(super) const FOLDER: &str = ".index";
/// The most that one file of it may hold.
const MOST: u64 = 1 << 30;
/// The coarsest clock of a file system in use is that of FAT, two seconds. A file that was written less than that
/// before it was looked at may be written again without its time showing it.
const COARSEST_CLOCK: Duration = Duration::from_secs(2);

/// What is kept of the builds of one shelf: a text each, whose meaning the book does not know.
///
/// A text is taken from the index only where the build's folder, its journal and the files that it was worked out from have
/// the length, the times and the place on the disk that they had then, and where the line of the index has the digest that
/// it was written with. Whatever else is found there is worked out again: a stale line, a damaged one, one of another
/// version, none. A shelf that can not be written to is read without it.
///
/// ```
/// use shimwright::book::{Index, WorkedOut, Shelf};
/// let dir = tempfile::tempdir()?;
/// let shelf = Shelf::open(dir.path())?;
/// shelf.begin("GT rear", &[("unit.toml", b"")])?;
/// let index = Index::of(&shelf, "lengths 1", &["unit.toml"]);
/// let mut told = Vec::new();
/// index.texts(&shelf.list()?, &|_| WorkedOut::Kept("{}".to_string()), &mut |id, text| told.push(format!("{id} {text}")));
/// assert_eq!(told, ["gt-rear-0001 {}"]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Index<'a> {
    shelf: &'a Shelf,
    folder: PathBuf,
    head: String,
    files: Vec<String>,
    afresh: bool,
    /// How long a file must have been left alone.
    settles: Duration,
    /// The file system's own time before the first build was read; `None` where nothing can be written.
    began: OnceLock<Option<SystemTime>>,
}

/// What was worked out for a build.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum WorkedOut {
    /// A text on one line, to be kept.
    Kept(String),
    /// A text for this once, such as one about a build that is damaged.
    Once(String),
}

/// What tells that nothing was written to a build since: length, times and place of its files.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Stamp {
    of: Digest,
    newest: SystemTime,
}

impl<'a> Index<'a> {
    /// The index of a shelf. `version` names what the texts hold and how it is worked out: texts of another version are
    /// not taken. `files` are the files of a build that the texts rest on, besides the journal.
    pub fn of(shelf: &'a Shelf, version: &str, files: &[&str]) -> Index<'a> {
        Index {
            shelf,
            folder: shelf.dir().join(FOLDER),
            head: format!(
                "{{\"format\":\"shimwright index {}\",\"holds\":{version:?}}}",
                INDEX.newest()
            ),
            files: files.iter().map(ToString::to_string).collect(),
            afresh: false,
            settles: COARSEST_CLOCK,
            began: OnceLock::new(),
        }
    }

    /// Takes nothing from what was kept, and writes it anew.
    pub fn afresh(mut self, afresh: bool) -> Index<'a> {
        self.afresh = afresh;
        self
    }

    /// Gives the text of each build, which must be all builds of one slug: as it was kept, else as `make` works it out.
    /// What is new is kept for the next time where that is possible; where it is not, nothing is lost but time.
    pub fn texts(
        &self,
        builds: &[BuildId],
        make: &dyn Fn(&BuildId) -> WorkedOut,
        each: &mut dyn FnMut(&BuildId, &str),
    ) {
        let Some(slug) = builds.first().map(BuildId::slug) else {
            return;
        };
        let path = self.folder.join(format!("{slug}.jsonl"));
        let kept = self.read(&path);
        let lines = self.lines(&kept);
        let mut keep = Vec::new();
        let mut changed = lines.len() > builds.len();
        for id in builds {
            let stamp = self.stamp(id);
            let line = stamp.as_ref().and_then(|stamp| {
                let range = lines.get(id.as_str())?;
                let line = &kept[range.clone()];
                Some((line, text_of(line, id.as_str(), &stamp.of)?))
            });
            if let Some((line, text)) = line {
                each(id, text);
                keep.push(Cow::Borrowed(line));
                continue;
            }
            let safe = self.is_settled(stamp.as_ref());
            match make(id) {
                WorkedOut::Kept(text) => {
                    each(id, &text);
                    // a build that was written to while it was read is read again next time
                    if let Some(stamp) = stamp.filter(|stamp| safe && self.stamp(id) == Some(*stamp)) {
                        keep.push(Cow::Owned(line_of(id.as_str(), &stamp.of, &text)));
                        changed = true;
                    }
                }
                WorkedOut::Once(text) => each(id, &text),
            }
        }
        if changed {
            let mut now = self.head.clone();
            for line in keep {
                now.push('\n');
                now.push_str(&line);
            }
            now.push('\n');
            // what can not be kept is worked out again
            let _ = replace_unsynced(&path, now.as_bytes());
        }
    }

    /// Gives one text for some builds together, which must be all builds of one slug: as it was kept, else as `make` works
    /// it out. It is kept only while every build is one whose text would be.
    ///
    /// ```
    /// use shimwright::book::{Index, WorkedOut, Shelf};
    /// let dir = tempfile::tempdir()?;
    /// let shelf = Shelf::open(dir.path())?;
    /// shelf.begin("GT rear", &[("unit.toml", b"")])?;
    /// let index = Index::of(&shelf, "counts 1", &["unit.toml"]);
    /// let builds = shelf.list()?;
    /// assert_eq!(index.text_of_all(&builds, || WorkedOut::Kept(builds.len().to_string())), "1");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn text_of_all(&self, builds: &[BuildId], make: impl FnOnce() -> WorkedOut) -> String {
        let name = builds.first().map_or("", BuildId::slug);
        let path = self.folder.join(format!("{name}.json"));
        let stamp = self.stamp_of_all(builds);
        let kept = self.read(&path);
        let text = stamp.as_ref().and_then(|stamp| {
            let line = kept
                .strip_prefix(self.head.as_str())?
                .strip_prefix('\n')?
                .strip_suffix('\n')?;
            text_of(line, name, &stamp.of)
        });
        if let Some(text) = text {
            return text.to_string();
        }
        let safe = self.is_settled(stamp.as_ref());
        match make() {
            WorkedOut::Kept(text) => {
                if let Some(stamp) = stamp.filter(|stamp| safe && self.stamp_of_all(builds) == Some(*stamp)) {
                    let line = line_of(name, &stamp.of, &text);
                    // what can not be kept is worked out again
                    let _ = replace_unsynced(&path, format!("{}\n{line}\n", self.head).as_bytes());
                }
                text
            }
            WorkedOut::Once(text) => text,
        }
    }

    /// What stands in a file of the index; nothing where it can not be read or shall not be.
    fn read(&self, path: &Path) -> String {
        if self.afresh {
            return String::new();
        }
        let bytes = real_folder(&self.folder)
            .and_then(|()| real_file(path))
            .and_then(|()| read_bytes(path, MOST));
        bytes
            .ok()
            .and_then(|bytes| String::from_utf8(bytes).ok())
            .unwrap_or_default()
    }

    /// Where each build's line stands, if the file is one of ours and of this version.
    fn lines<'k>(&self, kept: &'k str) -> HashMap<&'k str, Range<usize>> {
        let mut lines = HashMap::new();
        let Some(rest) = kept
            .strip_prefix(self.head.as_str())
            .and_then(|rest| rest.strip_prefix('\n'))
        else {
            return lines;
        };
        let mut at = kept.len() - rest.len();
        for line in rest.split_inclusive('\n') {
            let end = at + line.trim_end_matches('\n').len();
            if let Some(build) = name_of(line) {
                lines.insert(build, at..end);
            }
            at += line.len();
        }
        lines
    }

    fn stamp_of_all(&self, builds: &[BuildId]) -> Option<Stamp> {
        let mut text = String::new();
        let mut newest = SystemTime::UNIX_EPOCH;
        for id in builds {
            let stamp = self.stamp(id)?;
            text.push_str(&format!("{id} {} ", stamp.of));
            newest = newest.max(stamp.newest);
        }
        Some(Stamp {
            of: Digest::of(text.as_bytes()),
            newest,
        })
    }

    fn stamp(&self, id: &BuildId) -> Option<Stamp> {
        let folder = self.shelf.folder(id);
        let mut text = String::new();
        // a file that comes, goes or is renamed, such as a second journal
        let about = fs::symlink_metadata(&folder).ok().filter(Metadata::is_dir)?;
        let mut newest = stamp_one(&about, &mut text)?;
        for name in std::iter::once(JOURNAL).chain(self.files.iter().map(String::as_str)) {
            let about = match fs::symlink_metadata(folder.join(name)) {
                Ok(about) if about.is_file() => about,
                // that it is not there is something to know, too
                Err(fault) if fault.kind() == io::ErrorKind::NotFound && name != JOURNAL => {
                    text.push_str("none ");
                    continue;
                }
                _ => return None,
            };
            newest = newest.max(stamp_one(&about, &mut text)?);
        }
        Some(Stamp {
            of: Digest::of(text.as_bytes()),
            newest,
        })
    }

    /// Whether a later change of these files would show in their times.
    fn is_settled(&self, stamp: Option<&Stamp>) -> bool {
        // by the clock that also stamps the journals, taken before the first of them is read
        let began = self.began.get_or_init(|| {
            if !self.folder.exists() && self.shelf.dir().is_dir() {
                let _ = fs::create_dir(&self.folder);
            }
            real_folder(&self.folder).ok()?;
            sweep(&self.folder);
            clock_of(&self.folder).ok()
        });
        match (began, stamp) {
            (Some(began), Some(stamp)) => stamp
                .newest
                .checked_add(self.settles)
                .is_some_and(|settled| settled < *began),
            _ => false,
        }
    }
}

/// Writes down what tells one file from another, and gives its newest time.
fn stamp_one(about: &Metadata, text: &mut String) -> Option<SystemTime> {
    use std::fmt::Write;
    let modified = about.modified().ok()?;
    let since = modified.duration_since(SystemTime::UNIX_EPOCH).ok()?;
    write!(text, "{} {} ", about.len(), since.as_nanos()).ok()?;
    #[cfg(unix)]
    let modified = {
        use std::os::unix::fs::MetadataExt;
        write!(text, "{} {} {} ", about.ino(), about.ctime(), about.ctime_nsec()).ok()?;
        let changed = Duration::new(
            about.ctime().try_into().ok()?,
            about.ctime_nsec().try_into().ok()?,
        );
        modified.max(SystemTime::UNIX_EPOCH + changed)
    };
    Some(modified)
}

const BEFORE_NAME: &str = "{\"of\":\"";
const BEFORE_SUM: &str = "\",\"sum\":\"";
const BEFORE_TEXT: &str = "\",\"text\":";

/// The line for the text of a build or a slug, without its newline. What tells the state of the files is not written out:
/// it goes into the digest, so that one look says whether the line is whole and whether it is about the files as they are.
fn line_of(name: &str, files: &Digest, text: &str) -> String {
    let sum = sum_of(name, files, text);
    format!("{BEFORE_NAME}{name}{BEFORE_SUM}{sum}{BEFORE_TEXT}{text}}}")
}

fn sum_of(name: &str, files: &Digest, text: &str) -> Digest {
    let files = files.to_string();
    Digest::of_all(&[name.as_bytes(), b" ", files.as_bytes(), b" ", text.as_bytes()])
}

/// What a line is about.
fn name_of(line: &str) -> Option<&str> {
    Some(line.strip_prefix(BEFORE_NAME)?.split_once('"')?.0)
}

/// The text of a line, where the line is whole and the files are as they were then.
fn text_of<'l>(line: &'l str, name: &str, files: &Digest) -> Option<&'l str> {
    let rest = line
        .strip_prefix(BEFORE_NAME)?
        .strip_prefix(name)?
        .strip_prefix(BEFORE_SUM)?;
    let (sum, rest) = rest.split_once('"')?;
    let text = rest.strip_prefix(&BEFORE_TEXT[1..])?.strip_suffix('}')?;
    (sum.parse() == Ok(sum_of(name, files, text))).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;
    use tempfile::TempDir;

    struct Place {
        dir: TempDir,
        shelf: Shelf,
        made: Cell<usize>,
    }

    impl Place {
        /// A shelf with two builds of one slug.
        fn new() -> Place {
            let dir = tempfile::tempdir().unwrap();
            let shelf = Shelf::open(dir.path()).unwrap();
            for _ in 0..2 {
                shelf.begin("a", &[("unit.toml", b"x")]).unwrap();
            }
            Place {
                dir,
                shelf,
                made: Cell::new(0),
            }
        }

        fn path(&self, name: &str) -> PathBuf {
            self.dir.path().join(name)
        }

        /// Reads all texts, and gives them with how many had to be worked out.
        fn read(&self, version: &str, settles: Duration) -> (Vec<String>, usize) {
            let mut index = Index::of(&self.shelf, version, &["unit.toml"]);
            index.settles = settles;
            self.made.set(0);
            let mut told = Vec::new();
            let make = |id: &BuildId| {
                self.made.set(self.made.get() + 1);
                let entries = self.shelf.read(id).unwrap().entries.len();
                let unit = self.shelf.file(id, "unit.toml").unwrap().len();
                WorkedOut::Kept(format!(
                    "{{\"of\":\"{id}\",\"entries\":{entries},\"unit\":{unit}}}"
                ))
            };
            index.texts(&self.shelf.list().unwrap(), &make, &mut |_, text| {
                told.push(text.to_string())
            });
            (told, self.made.get())
        }

        /// Reads until the clock has gone on past the last change.
        fn settled(&self) {
            while self.read("1", Duration::ZERO).1 > 0 {}
        }

        fn kept(&self) -> String {
            fs::read_to_string(self.path(".index/a.jsonl")).unwrap()
        }
    }

    #[test]
    fn a_text_is_worked_out_once() {
        let place = Place::new();
        let (first, made) = place.read("1", Duration::ZERO);
        assert_eq!(made, 2);
        assert_eq!(first[1], r#"{"of":"a-0002","entries":0,"unit":1}"#);
        place.settled();
        assert_eq!(place.read("1", COARSEST_CLOCK), (first, 0));
    }

    #[test]
    fn a_build_that_was_written_to_just_now_is_not_kept() {
        let place = Place::new();
        for _ in 0..2 {
            assert_eq!(place.read("1", Duration::from_secs(3600)).1, 2);
        }
        assert!(!place.path(".index/a.jsonl").exists());
    }

    #[test]
    fn a_build_that_changed_is_worked_out_again() {
        let place = Place::new();
        place.settled();
        let id = "a-0001".parse().unwrap();
        place.shelf.resume(&id).unwrap().append("{}").unwrap();
        let (texts, made) = place.read("1", Duration::ZERO);
        assert_eq!((made, texts[0].contains("\"entries\":1")), (1, true));
        place.settled();
        // a file of the snapshot counts too, also where it is put in place with its old time
        let unit = place.path("a-0002/unit.toml");
        let then = fs::metadata(&unit).unwrap().modified().unwrap();
        fs::write(&unit, "y").unwrap();
        fs::File::options()
            .write(true)
            .open(&unit)
            .unwrap()
            .set_modified(then)
            .unwrap();
        assert_eq!(place.read("1", Duration::ZERO).1, 1);
    }

    #[test]
    fn no_byte_of_the_index_can_be_changed_unseen() {
        let place = Place::new();
        place.settled();
        let (right, whole) = (place.read("1", Duration::ZERO).0, place.kept());
        let mut made = 0;
        for at in 0..whole.len() {
            let mut bytes = whole.clone().into_bytes();
            bytes[at] = bytes[at].wrapping_add(1);
            fs::write(place.path(".index/a.jsonl"), &bytes).unwrap();
            let (texts, again) = place.read("1", Duration::ZERO);
            assert_eq!(texts, right, "byte {at}");
            made += again;
            if at % 7 == 0 {
                fs::write(place.path(".index/a.jsonl"), &whole[..at]).unwrap();
                assert_eq!(place.read("1", Duration::ZERO).0, right, "cut at {at}");
            }
        }
        assert!(made >= whole.len() - 1, "{made} of {}", whole.len());
    }

    #[test]
    fn another_version_takes_nothing_and_a_build_that_went_leaves_no_line() {
        let place = Place::new();
        place.settled();
        assert_eq!(place.read("2", Duration::ZERO).1, 2);
        assert!(place.kept().contains("\"holds\":\"2\""));
        place.settled();
        fs::remove_dir_all(place.path("a-0002")).unwrap();
        assert_eq!(place.read("1", Duration::ZERO).1, 0);
        assert_eq!(place.kept().lines().count(), 2);
    }

    #[test]
    fn a_text_for_all_builds_is_kept_while_none_of_them_changes() {
        let place = Place::new();
        let read = |settles: Duration, version: &str| {
            let mut index = Index::of(&place.shelf, version, &["unit.toml"]);
            index.settles = settles;
            let builds = place.shelf.list().unwrap();
            let made = Cell::new(false);
            let text = index.text_of_all(&builds, || {
                made.set(true);
                let entries = |id: &BuildId| place.shelf.read(id).unwrap().entries.len().to_string();
                WorkedOut::Kept(builds.iter().map(entries).collect::<Vec<_>>().join(" "))
            });
            (text, made.get())
        };
        let path = place.path(".index/a.json");
        read(Duration::from_secs(3600), "1");
        assert!(!path.exists(), "what was written just now is not kept");
        let settled = |version: &str| while read(Duration::ZERO, version).1 {};
        settled("1");
        assert_eq!(read(COARSEST_CLOCK, "1"), ("0 0".to_string(), false));
        assert_eq!(read(Duration::ZERO, "2"), ("0 0".to_string(), true));
        settled("1");
        place.shelf.begin("a", &[("unit.toml", b"x")]).unwrap();
        assert_eq!(read(Duration::ZERO, "1"), ("0 0 0".to_string(), true));
        settled("1");
        let id = "a-0002".parse().unwrap();
        place.shelf.resume(&id).unwrap().append("{}").unwrap();
        assert_eq!(read(Duration::ZERO, "1"), ("0 1 0".to_string(), true));
        settled("1");
        fs::remove_dir_all(place.path("a-0001")).unwrap();
        assert_eq!(read(Duration::ZERO, "1"), ("1 0".to_string(), true));
        settled("1");
        let whole = fs::read(&path).unwrap();
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] = bytes[at].wrapping_add(1);
            fs::write(&path, &bytes).unwrap();
            assert_eq!(read(Duration::ZERO, "1"), ("1 0".to_string(), true), "byte {at}");
            fs::write(&path, &whole[..at]).unwrap();
            assert_eq!(
                read(Duration::ZERO, "1"),
                ("1 0".to_string(), true),
                "cut at {at}"
            );
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_the_place_of_the_index_is_not_written_through() {
        let place = Place::new();
        let other = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(other.path(), place.path(".index")).unwrap();
        for _ in 0..2 {
            assert_eq!(place.read("1", Duration::ZERO).1, 2);
        }
        assert_eq!(fs::read_dir(other.path()).unwrap().count(), 0);
    }
}
