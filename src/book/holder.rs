//! Who has a build open, in words.

use crate::quantity::utc;
use std::fmt;
use std::time::{SystemTime, UNIX_EPOCH};

/// Who has a build open. These are words for people: the lock decides, so words left behind by a
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
            words_of(self.since)
        )
    }
}

/// Date and time in UTC, to the second.
fn words_of(time: SystemTime) -> String {
    let seconds = time.duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let words = i64::try_from(seconds).ok().and_then(utc);
    words.unwrap_or_else(|| "a time past all calendars".to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_time_is_told_in_utc() {
        let time = |seconds| words_of(UNIX_EPOCH + Duration::from_secs(seconds));
        assert_eq!(time(951_868_799), "2000-02-29 23:59:59 UTC");
        assert_eq!(time(u64::from(u32::MAX) << 20), "a time past all calendars");
    }
}
