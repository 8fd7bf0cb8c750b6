use super::clock::Clock;
use super::exit::Exit;
use super::failure::Failure;
use super::load::{known_build, open_build, there, to_write};
use super::options::{Book, whole};
use super::output::write_out;
use super::work::append;
use crate::book::{BuildId, Journal, Shelf};
use crate::procedure::Correction;
use crate::record::Entry;
use crate::sheet::filled;
use clap::Args;

/// Correct an answer of a finished build by a new entry that names the old one.
#[derive(Args)]
pub(super) struct Correct {
    /// The build's name in the book
    pub build: String,
    /// The question, by its name in answers files, such as plate-thickness/G3/1
    pub question: String,
    /// The right answer
    pub answer: String,
    /// Why it was wrong
    #[arg(long, value_name = "WORDS")]
    pub reason: String,
    /// Who corrects it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// The round, where the question was asked in several; by default the last
    #[arg(long, value_name = "NUMBER", value_parser = whole(1_u32, None))]
    pub round: Option<u32>,
    /// Take the answer although it looks odd
    #[arg(long)]
    pub sure: bool,
    #[command(flatten)]
    pub book: Book,
}

/// Corrects an answer of a finished build.
pub(super) fn correct(arguments: &Correct) -> Result<Exit, Failure> {
    let shelf = Shelf::open(&there(&arguments.book)?)?;
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
fn tell(id: &BuildId, entry: &Entry, already: &str) -> Result<Exit, Failure> {
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
        write_out(&filled(&said, 80), false)?;
    }
    Ok(Exit::Done)
}
