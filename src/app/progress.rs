//! How far something has come, in a line of the terminal that goes away again.

use super::failure::Failure;
use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

/// Nothing is said of what takes less than this.
const PATIENCE: Duration = Duration::from_secs(1);
/// How long a line stands before the next.
pub(crate) const BETWEEN_WORDS: Duration = Duration::from_millis(200);
/// The longest line.
const WIDTH: usize = 60;

/// Says on a terminal how far something has come that takes longer than a second, in a line that goes away again.
pub(crate) struct Progress {
    doing: &'static str,
    what: &'static str,
    of: usize,
    begun: Instant,
    wrote: Option<Instant>,
}

impl Progress {
    /// Of so many; "reading the book", "builds".
    pub(crate) fn new(doing: &'static str, of: usize, what: &'static str) -> Progress {
        Progress {
            doing,
            what,
            of,
            begun: Instant::now(),
            wrote: None,
        }
    }

    /// So many are done. May be called as often as one likes.
    pub(crate) fn at(&mut self, done: usize) -> Result<(), Failure> {
        let waits = match self.wrote {
            Some(wrote) => wrote.elapsed() < BETWEEN_WORDS,
            None => self.begun.elapsed() < PATIENCE || !std::io::stderr().is_terminal(),
        };
        if waits {
            return Ok(());
        }
        self.wrote = Some(Instant::now());
        let Progress { doing, what, of, .. } = self;
        line(&format!("\r{doing}: {done} of {of} {what}"))
    }

    /// The line goes away.
    pub(crate) fn end(self) -> Result<(), Failure> {
        match self.wrote {
            Some(_) => line(&format!("\r{:WIDTH$}\r", "")),
            None => Ok(()),
        }
    }
}

/// Writes in the place of the line before, which [`write_out`](super::output::write_out) would not.
fn line(text: &str) -> Result<(), Failure> {
    Ok(std::io::stderr().write_all(text.as_bytes())?)
}
