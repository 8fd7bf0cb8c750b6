use super::error::BookError;
use super::files::read_bounded;
use std::fmt;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

pub(super) const NAME: &str = "held-by";
const MOST: u64 = 1024;

/// Who has a build open. These are words for people: the lock on the journal decides, so words left behind by a
/// program that was killed do no harm.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Holder {
    /// The number of the process.
    pub pid: u32,
    /// The name that it goes by.
    pub name: String,
    /// Since when: the time at which the system wrote the words.
    pub since: SystemTime,
}

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

    /// The words, or that nobody left any.
    pub(super) fn words(holder: Option<&Holder>) -> String {
        match holder {
            Some(holder) => holder.to_string(),
            None => "by a program that left no name".to_string(),
        }
    }
}

impl fmt::Display for Holder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "by {} (process {}) since {}",
            self.name,
            self.pid,
            utc(self.since)
        )
    }
}

/// A name on one line, short enough for a message.
fn plain(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(60)
        .collect()
}

/// Date and time in UTC, to the second.
///
/// The days of a month are counted from 1 March, so that the leap day comes last: month lengths from March on are
/// 31 30 31 30 31, repeated, which is the whole part of (153 m + 2) / 5.
fn utc(time: SystemTime) -> String {
    let seconds = time.duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let (days, of_day) = (seconds / 86_400, seconds % 86_400);
    let since_march_0000 = days + 719_468;
    let (era, day) = (since_march_0000 / 146_097, since_march_0000 % 146_097);
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day + 2) / 153;
    let date = day - (153 * month + 2) / 5 + 1;
    let (month, carry) = if month < 10 {
        (month + 3, 0)
    } else {
        (month - 9, 1)
    };
    let year = era * 400 + year + carry;
    let (hour, minute, second) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
    format!("{year:04}-{month:02}-{date:02} {hour:02}:{minute:02}:{second:02} UTC")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn dates_agree_with_a_general_tool() {
        let table = include_str!("../../tests/references/book_utc.csv");
        let mut rows = 0;
        for row in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let (seconds, text) = row.split_once(',').unwrap();
            let time = UNIX_EPOCH + Duration::from_secs(seconds.parse().unwrap());
            assert_eq!(utc(time), text);
            rows += 1;
        }
        assert!(rows > 100);
    }

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
