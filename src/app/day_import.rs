//! A drive day out of a file, laid into the book whole or not at all.

use super::book_log::BookLog;
use super::clock::Clock;
use super::day::AskedDay;
use super::failure::Failure;
use super::load::{read_large, read_text};
use super::output::write_out;
use crate::history::driven::DayFile;
use crate::procedure::{DaySession, Reply, SURE};
use crate::record::Entry;
use std::path::Path;

/// A file, as it is asked for beside what a day is told.
pub(crate) struct DayImport<'a> {
    /// The day's file.
    pub file: &'a Path,
    /// A table with a row a lap.
    pub laps: Option<&'a Path>,
    /// Whether what looks odd is taken.
    pub sure: bool,
}

/// Takes a day out of a file into the book.
pub(crate) fn import_day(asked: &AskedDay, import: &DayImport<'_>) -> Result<(), Failure> {
    let clock = asked.of.clock()?;
    let text = read_text(import.file)?;
    let mut file = DayFile::read(&text.name, &text.text)?;
    if let Some(path) = import.laps {
        file = file
            .with_laps(&read_large(path)?)
            .map_err(|error| Failure::NotSaid(error.to_string()))?;
    } else if file.columns.is_some() {
        return Err(Failure::NotSaid(format!(
            "{} has [laps]: give its table with --laps FILE",
            text.name
        )));
    }
    let (shelf, sources) = asked.of.gather(&clock)?;
    let begun = Entry::DayBegun {
        at: clock.time(),
        program: String::new(),
        id: String::new(),
        car: String::new(),
        procedure: String::new(),
        units: asked.asking.units.into(),
    };
    let mut session = DaySession::resume(sources.job.clone(), &[begun]);
    let entries = played(&mut session, &file, import.sure, &clock)?;
    let (journal, session) = sources.begin(&mut BookLog::of(&shelf), asked.asking.units, &clock, &entries)?;
    let day = session.day(journal.id().as_str());
    write_out(
        &format!(
            "Drive day {}: {}. What it says: shimwright days {}\n",
            day.name,
            day.count_words(),
            day.name
        ),
        false,
    )
}

/// The entries that the answers of a file lead to; nothing is written before all of them are taken.
fn played(
    session: &mut DaySession,
    file: &DayFile,
    sure: bool,
    clock: &Clock,
) -> Result<Vec<Entry>, Failure> {
    let mut answers = file.answers();
    let mut entries = Vec::new();
    while let Some(ask) = session.ask() {
        let slot = ask.slot.to_string();
        let said = answers
            .get_mut(&slot)
            .filter(|texts| !texts.is_empty())
            .map(|texts| texts.remove(0));
        let Some(text) = said.or_else(|| ask.before.is_some().then(String::new)) else {
            return Err(Failure::NotSaid(format!("the file has no answer to {slot}")));
        };
        let at = clock.time();
        let taken = session.answer(&Reply::Answer(text), &at);
        let taken = match taken {
            Err(refusal) if refusal.sure && sure => session.answer(&Reply::Answer(SURE.to_string()), &at),
            other => other,
        };
        let taken = taken.map_err(|refusal| {
            let how = if refusal.sure {
                "; --sure takes it as it stands"
            } else {
                ""
            };
            Failure::NotSaid(format!("{slot}: {}{how}", refusal.words))
        })?;
        session.apply(&taken.entries);
        entries.extend(taken.entries);
    }
    let left = answers.iter().find(|(_, texts)| !texts.is_empty());
    match left {
        Some((slot, _)) => Err(Failure::NotSaid(format!(
            "{slot} is not asked on this day: see tyres, and the questions of the procedure"
        ))),
        None => Ok(entries),
    }
}
