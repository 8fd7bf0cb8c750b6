//! What an unfinished build waits for, parts that came or are not there, and a build that is put away.

use super::book_log::BookLog;
use super::clock::Clock;
use super::failure::Failure;
use super::load::{known_build, open_build, read_text, there, to_write};
use super::output::{width, write_out};
use crate::book::{BuildId, Shelf};
use crate::procedure::{Refusal, Session};
use crate::record::Entry;
use crate::screen::filled;
use crate::workshop::rows_beyond;
use std::path::PathBuf;

/// What is said of an unfinished build.
pub(crate) enum Of {
    /// Only asked what it waits for.
    Nothing,
    /// It waits for these from now on; for nothing where there are none.
    WaitFor(Vec<String>),
    /// What the drawer's file has more than the build knows of is taken in.
    TakeIn(PathBuf),
    /// A part that the drawer lists is not there.
    Strike { part: String, reason: String },
    /// It is put away.
    Void { reason: String },
}

/// Something said of an unfinished build, as it is asked for.
pub(crate) struct Parts {
    /// The build's name in the book.
    pub build: String,
    /// What is said of it.
    pub of: Of,
    /// By whom; whoever works at it where nobody is named.
    pub by: Option<String>,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Writes down what is said of an unfinished build, and tells it.
pub(crate) fn parts(asked: &Parts) -> Result<(), Failure> {
    let shelf = Shelf::open(&there(asked.book.as_ref())?)?;
    let id = known_build(&shelf, &asked.build)?;
    if matches!(asked.of, Of::Nothing) {
        let opened = open_build(&shelf, &id)?;
        return tell(&waits(&id, &opened.session));
    }
    let mut journal = to_write(&shelf, &id)?;
    let mut opened = open_build(&shelf, &id)?;
    if let Some(problem) = opened.problems.first() {
        return Err(Failure::Snapshot(format!("{id} ({problem})")));
    }
    if let Some(why) = opened.newer.into_iter().next() {
        return Err(Failure::Newer {
            build: id.to_string(),
            why,
        });
    }
    let session = &mut opened.session;
    let by = asked.by.as_deref().unwrap_or(session.built_by()).to_string();
    let at = Clock::Now.time();
    let entry = match &asked.of {
        Of::Nothing => return Ok(()),
        Of::WaitFor(parts) => session.wait_for(parts, &by, &at),
        Of::TakeIn(path) => {
            let drawer = read_text(path)?;
            match rows_beyond(&drawer.name, &drawer.text, &session.job().drawer)? {
                Some(rows) => session.take_in(&rows, &by, &at),
                None => {
                    return tell(&format!(
                        "{id}: {} has nothing that the build does not know of. Nothing was written.",
                        drawer.name
                    ));
                }
            }
        }
        Of::Strike { part, reason } => session.strike(part, reason, &by, &at),
        Of::Void { reason } => session.void(reason, &by, &at),
    };
    let entry = entry.map_err(|Refusal { words, .. }| Failure::NotSaid(words))?;
    let mut entries = [entry];
    BookLog::of(&shelf).append(&mut journal, &mut entries)?;
    session.apply(&entries);
    let [entry] = entries;
    tell(&match &entry {
        Entry::Voided { reason, by, .. } => {
            format!("{id} is put away by {by}: {reason}. It is kept and listed, and counts for nothing.")
        }
        Entry::PartAdded { rows, .. } => {
            let spares = rows.matches("[[spare]]").count();
            let sizes = rows.matches("[[shim]]").count();
            format!(
                "{id}: taken in: {spares} spare plates, {sizes} sizes of shims. The same `work` command goes on with it. {}",
                waits(&id, session)
            )
        }
        Entry::PartStruck { reason, .. } => {
            format!("{id}: struck off, it needs no reading: {reason}.")
        }
        _ => waits(&id, session),
    })
}

fn waits(id: &BuildId, session: &Session) -> String {
    if let Some(at) = session.finished() {
        return format!("{id} was finished at {at} and waits for nothing.");
    }
    match session.waiting() {
        [] => format!("{id} waits for nothing."),
        parts => format!("{id} waits for: {}.", parts.join("; ")),
    }
}

fn tell(words: &str) -> Result<(), Failure> {
    write_out(&filled(words, width()), false)
}
