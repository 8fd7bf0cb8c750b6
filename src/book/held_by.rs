//! The file in a build's folder that says who has it open: written, read and removed.

use super::error::BookError;
use super::files::read_bounded;
use super::holder::Holder;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::Path;

pub(super) const NAME: &str = "held-by";
const MOST: u64 = 1024;

impl Holder {
    /// Writes the words beside the journal. A failure is no error: the lock is what counts.
    pub(super) fn write(folder: &Path, name: &str) {
        let path = folder.join(NAME);
        let _ = fs::remove_file(&path); // so that a link left there is not followed
        if let Ok(mut file) = OpenOptions::new().write(true).create_new(true).open(&path) {
            let _ = file.write_all(format!("{} {}\n", std::process::id(), plain(name)).as_bytes());
        }
    }

    /// Takes the words away.
    pub(super) fn remove(folder: &Path) {
        let _ = fs::remove_file(folder.join(NAME));
    }

    /// Reads the words, if they are there and whole.
    pub(super) fn read(folder: &Path) -> Option<Holder> {
        let path = folder.join(NAME);
        let since = fs::symlink_metadata(&path).ok()?.modified().ok()?;
        let text: Result<String, BookError> = read_bounded(&path, MOST);
        let text = text.ok()?;
        let (pid, name) = text.strip_suffix('\n')?.split_once(' ')?;
        Some(Holder {
            pid: pid.parse().ok()?,
            name: plain(name),
            since,
        })
    }
}

/// A name on one line, short enough for a message.
fn plain(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(60)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_are_not_whole_name_nobody() {
        let dir = tempfile::tempdir().unwrap();
        assert_eq!(Holder::read(dir.path()), None);
        for text in ["", "12", "12 name", "x name\n", "-3 name\n"] {
            fs::write(dir.path().join(NAME), text).unwrap();
            assert_eq!(Holder::read(dir.path()), None, "{text:?}");
        }
        fs::write(dir.path().join(NAME), vec![b' '; 5000]).unwrap();
        assert_eq!(Holder::read(dir.path()), None);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_the_place_of_the_words_is_not_written_through() {
        let dir = tempfile::tempdir().unwrap();
        let other = dir.path().join("other");
        fs::write(&other, "mine").unwrap();
        std::os::unix::fs::symlink(&other, dir.path().join(NAME)).unwrap();
        Holder::write(dir.path(), "bench\none");
        assert_eq!(fs::read_to_string(&other).unwrap(), "mine");
        let holder = Holder::read(dir.path()).unwrap();
        assert_eq!(
            (holder.pid, holder.name.as_str()),
            (std::process::id(), "bench one")
        );
    }
}
