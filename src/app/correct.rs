//! A correction of a finished build, as an entry that names the old one.

use super::book_log::BookLog;
use super::clock::Clock;
use super::days::{is_day, open_day};
use super::failure::Failure;
use super::load::{known_build, open_build, there, to_write_any};
use super::output::{width, write_out};
use crate::book::{BuildId, Journal, Shelf};
use crate::procedure::{Correction, DaySession, Session};
use crate::quantity::visible;
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
    let mut journal = to_write_any(&shelf, &id)?;
    let (record, problems, newer) = match is_day(&shelf, &id) {
        true => {
            let opened = open_day(&shelf, &id)?;
            (
                Record::Day(Box::new(opened.session)),
                opened.problems,
                opened.newer,
            )
        }
        false => {
            let opened = open_build(&shelf, &id)?;
            (
                Record::Build(Box::new(opened.session)),
                opened.problems,
                opened.newer,
            )
        }
    };
    if let Some(problem) = problems.first() {
        return Err(Failure::Snapshot(format!("{id} ({problem})")));
    }
    if let Some(why) = newer.into_iter().next() {
        return Err(Failure::Newer {
            build: id.to_string(),
            why,
        });
    }
    let prints = matches!(record, Record::Build(_));
    let mut log = BookLog::of(&shelf);
    log.write(&id, true, &Clock::Now.time())?;
    if let Some(entry) = on_record(&journal, arguments) {
        return tell(&id, &entry, "on record already: ", prints);
    }
    let correction = Correction {
        question: &arguments.question,
        round: arguments.round,
        text: &arguments.answer,
        reason: &arguments.reason,
        by: &arguments.by,
        sure: arguments.sure,
    };
    let at = Clock::Now.time();
    let entry = match &record {
        Record::Build(session) => session.correct(&correction, &at),
        Record::Day(session) => session.correct(&correction, &at),
    };
    let entry = entry.map_err(|refusal| {
        let how = if refusal.sure {
            "; --sure takes it as it stands"
        } else {
            ""
        };
        Failure::Correction(format!("{}{how}", refusal.words))
    })?;
    let mut entries = [entry];
    log.append(&mut journal, &mut entries)?;
    tell(&id, &entries[0], "", prints)?;
    let Record::Build(mut session) = record else {
        return Ok(());
    };
    // a figure may be corrected past a limit, and then the unit is not what it was taken for
    let before = session.open_points();
    session.apply(&entries);
    let opened = session
        .open_points()
        .into_iter()
        .filter(|point| !before.contains(point));
    for point in opened {
        write_out(&filled(&format!("open now: {}", visible(&point)), width()), false)?;
    }
    Ok(())
}

/// What is corrected.
enum Record {
    Build(Box<Session>),
    Day(Box<DaySession>),
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
fn tell(id: &BuildId, entry: &Entry, already: &str, prints: bool) -> Result<(), Failure> {
    if let Entry::Corrected {
        slot,
        line,
        was,
        text,
        ..
    } = entry
    {
        let again = match prints {
            true => format!("; and print it again: shimwright sheet {id}"),
            false => String::new(),
        };
        let said = format!(
            "{id}: {already}{slot} was {was} (line {line} of the journal) and is now {text}. Both stay on record. Sign it as it is now: \
             shimwright sign {id}{again}"
        );
        write_out(&filled(&said, width()), false)?;
    }
    Ok(())
}
