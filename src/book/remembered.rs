//! Texts that were worked out before, each kept by the digest of all that it rests on, in a file of the index. It may be
//! thrown away at any time.

use super::files::{read_bytes, real_file, real_folder, replace_unsynced};
use super::index::FOLDER;
use super::shelf::Shelf;
use crate::record::formats::INDEX;
use crate::seal::Digest;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard};

/// The most bytes that the file may hold.
const MOST: u64 = 1 << 28;
/// So many new ones are kept at a time, so that a run that is ended has not been for nothing.
const AT_A_TIME: usize = 64;

/// What was worked out before, by the digest of everything that it was worked out from: what changed has another digest, and
/// is worked out again. A line that is damaged, one of another version and a file that can not be read are as none.
///
/// ```
/// use shimwright::book::{Remembered, Shelf};
/// use shimwright::seal::Digest;
/// let dir = tempfile::tempdir()?;
/// let shelf = Shelf::open(dir.path())?;
/// let key = Digest::of(b"all that it rests on");
/// let first = Remembered::of(&shelf, "sheets", "sheets 1");
/// assert_eq!(first.get(&key), None);
/// first.put(key, "same 0");
/// first.keep();
/// assert_eq!(Remembered::of(&shelf, "sheets", "sheets 1").get(&key).as_deref(), Some("same 0"));
/// assert_eq!(Remembered::of(&shelf, "sheets", "sheets 2").get(&key), None);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Remembered {
    path: PathBuf,
    folder: PathBuf,
    head: String,
    before: BTreeMap<String, String>,
    now: Mutex<Now>,
}

/// What was asked for or put in this run.
#[derive(Debug, Default)]
struct Now {
    texts: BTreeMap<String, String>,
    unkept: usize,
}

impl Remembered {
    /// What is remembered in the file `name` of a shelf's index. `version` names what the texts say and how they are worked out.
    pub fn of(shelf: &Shelf, name: &str, version: &str) -> Remembered {
        let folder = shelf.dir().join(FOLDER);
        // no unit's file in the index ends so
        let path = folder.join(format!("{name}.txt"));
        let head = format!(
            "{{\"format\":\"shimwright index {}\",\"holds\":{version:?}}}",
            INDEX.newest()
        );
        let bytes = real_folder(&folder)
            .and_then(|()| real_file(&path))
            .and_then(|()| read_bytes(&path, MOST));
        let text = bytes
            .ok()
            .and_then(|bytes| String::from_utf8(bytes).ok())
            .unwrap_or_default();
        let lines = text.strip_prefix(&head).and_then(|rest| rest.strip_prefix('\n'));
        let before = lines.unwrap_or("").lines().filter_map(text_of).collect();
        Remembered {
            path,
            folder,
            head,
            before,
            now: Mutex::default(),
        }
    }

    /// What was worked out from what has this digest.
    pub fn get(&self, key: &Digest) -> Option<String> {
        let key = key.to_string();
        let text = self.before.get(&key)?.clone();
        self.now().texts.insert(key, text.clone());
        Some(text)
    }

    /// Remembers a text on one line.
    pub fn put(&self, key: Digest, text: &str) {
        let mut now = self.now();
        now.texts.insert(key.to_string(), text.to_string());
        now.unkept += 1;
        if now.unkept >= AT_A_TIME {
            now.unkept = 0;
            let mut all = self.before.clone();
            all.extend(now.texts.clone());
            self.write(&all);
        }
    }

    /// Keeps what was asked for or put, and lets go of the rest.
    pub fn keep(self) {
        let now = self.now();
        if now.texts != self.before {
            self.write(&now.texts);
        }
    }

    fn now(&self) -> MutexGuard<'_, Now> {
        self.now.lock().unwrap_or_else(|poisoned| poisoned.into_inner())
    }

    /// What can not be kept is worked out again.
    fn write(&self, texts: &BTreeMap<String, String>) {
        let mut file = format!("{}\n", self.head);
        for (key, text) in texts {
            file.push_str(&format!("{key} {} {text}\n", sum_of(key, text)));
        }
        let _ = fs::create_dir(&self.folder);
        let _ = real_folder(&self.folder).and_then(|()| replace_unsynced(&self.path, file.as_bytes()));
    }
}

fn sum_of(key: &str, text: &str) -> Digest {
    Digest::of(format!("{key} {text}").as_bytes())
}

/// Key and text of a line that is whole.
fn text_of(line: &str) -> Option<(String, String)> {
    let (key, rest) = line.split_once(' ')?;
    let (sum, text) = rest.split_once(' ')?;
    (sum == sum_of(key, text).to_string()).then(|| (key.to_string(), text.to_string()))
}
