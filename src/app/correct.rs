//! A correction of a finished build, as an entry that names the old one.

use super::clock::Clock;
use super::failure::Failure;
use super::load::{known_build, open_build, there, to_write};
use super::output::{width, write_out};
use super::work::append;
use crate::book::{BuildId, Journal, Shelf};
use crate::procedure::Correction;
use crate::record::Entry;
use crate::screen::filled;
use std::path::PathBuf;

/// A correction, as it is asked for.
pub(crate) struct Correct {
    /// The build's name in the book.
    pub build: String,
    /// The question, by its name in answers files.
    pub question: String,
    /// The right answer.
    pub answer: String,
    /// Why it was wrong.
    pub reason: String,
    /// Who corrects it.
    pub by: String,
    /// The round, where the question was asked in several; by default the last.
    pub round: Option<u32>,
    /// Whether the answer is taken although it looks odd.
    pub sure: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Corrects an answer of a finished build.
pub(crate) fn correct(arguments: &Correct) -> Result<(), Failure> {
    let shelf = Shelf::open(&there(arguments.book.as_ref())?)?;
    let id = known_build(&shelf, &arguments.build)?;
    let mut journal = to_write(&shelf, &id)?;
    let opened = open_build(&shelf, &id)?;
    if let Some(problem) = opened.problems.first() {
        return Err(Failure::Snapshot(format!("{id} ({problem})")));
    }
    if let Some(why) = opened.newer.into_iter().next() {
        return Err(Failure::Newer {
            build: id.to_string(),
            why,
        });
    }
    if let Some(entry) = on_record(&journal, arguments) {
        return tell(&id, &entry, "on record already: ");
    }
    let correction = Correction {
        question: &arguments.question,
        round: arguments.round,
        text: &arguments.answer,
        reason: &arguments.reason,
        by: &arguments.by,
        sure: arguments.sure,
    };
    let entry = opened
        .session
        .correct(&correction, &Clock::Now.time())
        .map_err(|refusal| {
            let how = if refusal.sure {
                "; --sure takes it as it stands"
            } else {
                ""
            };
            Failure::Correction(format!("{}{how}", refusal.words))
        })?;
    append(&mut journal, &entry)?;
    tell(&id, &entry, "")
}

/// The last correction of the answer, where it is just the one that is asked for: the power went before it was told.
fn on_record(journal: &Journal, asked: &Correct) -> Option<Entry> {
    let mut entries = journal.entries().iter().rev();
    let last = entries.find_map(|text| {
        Entry::from_json(text).ok().filter(|entry| match entry {
            Entry::Corrected { slot, .. } => {
                slot.to_string() == asked.question && asked.round.is_none_or(|round| round == slot.round)
            }
            _ => false,
        })
    })?;
    match &last {
        Entry::Corrected { text, reason, by, .. } => {
            let same = [(text, &asked.answer), (reason, &asked.reason), (by, &asked.by)];
            same.iter()
                .all(|(known, now)| known.trim() == now.trim())
                .then_some(last)
        }
        _ => None,
    }
}

/// Says what a correction did.
fn tell(id: &BuildId, entry: &Entry, already: &str) -> Result<(), Failure> {
    if let Entry::Corrected {
        slot,
        line,
        was,
        text,
        ..
    } = entry
    {
        let said = format!(
            "{id}: {already}{slot} was {was} (line {line} of the journal) and is now {text}. Both stay on record. Sign it again: \
             shimwright sign {id}; and print it again: shimwright sheet {id}"
        );
        write_out(&filled(&said, width()), false)?;
    }
    Ok(())
}
