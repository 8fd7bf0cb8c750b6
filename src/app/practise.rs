//! Practice on a made-up unit.

use super::arguments::{Asking, Ended};
use super::book_log::BookLog;
use super::clock::Clock;
use super::debrief;
use super::failure::Failure;
use super::front::{front, goes_on, say_language, tell_opening};
use super::half_job::{self, HalfJob};
use super::load::{Opened, Sources, language_of, practice_dir, to_write};
use super::output::{to_copy, width, write_out};
use super::practice_shelf::{is_same, runs, sources};
use super::practised::practised;
use super::stored::{SHEET, stored};
use super::work::{FromThePart, ask_all, begin, resume};
use crate::bench::Front;
use crate::book::{BuildId, Shelf, write_whole};
use crate::practice::{GeneratedUnit, StartAt};
use crate::procedure::{Reply, Session};
use crate::record::practised::Practised;
use crate::record::{GeneratedFrom, Slot};
use crate::report::to_json;
use crate::screen::filled;
use crate::sheet::{Paper, practice_pdf};
use std::collections::HashMap;
use std::path::PathBuf;

/// What is to be practised.
pub(crate) struct Practise {
    /// Which of the made-up units; without it the next of the level that has not been begun.
    pub seed: Option<u64>,
    /// How hard, 1 to 4; without it as the last time.
    pub level: Option<u32>,
    /// What is given; without it what the level says, and with an answers file nothing.
    pub start_at: Option<StartAt>,
    /// Who practises.
    pub by: Option<String>,
    /// How questions are put.
    pub asking: Asking,
    /// The language of cautions, steps and their reasons, where it is not English.
    pub language: Option<String>,
    /// A new run, even where an unfinished one could be gone on with.
    pub new: bool,
    /// The time to write down; else the clock's.
    pub at: Option<String>,
    /// The book beside which practice lies, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object at the end, and nothing else.
    pub json: bool,
}

/// Practises on a made-up unit.
pub(crate) fn practise(arguments: &Practise) -> Result<Ended, Failure> {
    let dir = practice_dir(arguments.book.as_ref())?;
    let clock = Clock::new(arguments.at.as_deref())?;
    let language = language_of(arguments.language.as_deref())?;
    let mut front = front(&arguments.asking, arguments.json)?;
    let shelf = Shelf::open(&dir)?;
    let runs = runs(&shelf)?;
    let units = arguments.asking.units;
    let mut log = BookLog::none(&shelf);
    let (made, mut journal, mut session) = match unfinished(&runs, arguments, &mut *front)? {
        Some((id, from)) => {
            let made = GeneratedUnit::new(from)?;
            let kept = Sources::kept(&shelf, id)?;
            if !is_same(&kept, &sources(&made, None)) {
                return Err(Failure::OtherPractice(id.to_string()));
            }
            let mut journal = to_write(&shelf, id)?;
            for repair in journal.repairs() {
                write_out(&format!("{repair}\n"), true)?;
            }
            // it goes on by the procedure that it was begun with
            let session = resume(&mut log, &mut journal, &kept, units, &clock, Some(from))?;
            say_language(arguments.language.as_deref(), &session.job().procedure.spoken)?;
            (made.walked_by(&session.job().procedure), journal, session)
        }
        None => {
            let made = GeneratedUnit::new(next(&runs, arguments))?;
            let (mut journal, mut session) = begin(
                &mut log,
                &sources(&made, language),
                units,
                &clock,
                Some(made.made()),
            )?;
            let by_level = match arguments.asking.answers {
                Some(_) => StartAt::Begin,
                None => StartAt::of_level(made.made().level),
            };
            let start = arguments.start_at.unwrap_or(by_level);
            half_job::mark(&mut session, &mut journal, (&clock, &mut log), start)?;
            (made.walked_by(&session.job().procedure), journal, session)
        }
    };
    let quiet = arguments.json;
    if !quiet {
        write_out(&opening(&made, journal.id()), false)?;
        tell_opening(&session.job().procedure.spoken)?;
        write_out(&half_job::told(&made, half_job::start_of(&journal)), false)?;
    }
    let mut taken: HashMap<String, u32> = HashMap::new();
    let mut part = |session: &Session, slot: &Slot, reply: &Reply| {
        if *reply == Reply::Hint {
            return hint(&made, session);
        }
        // a row speaks of all that is open of the thing in hand
        let open = session.open_places();
        if *reply == Reply::Look {
            let seen = open.iter().find_map(|slot| made.sight(session, slot));
            return plainly(seen.unwrap_or_else(|| made.look(session, slot)));
        }
        let mut shown: Vec<(String, String)> = Vec::new();
        for slot in &open {
            let attempt = taken.entry(format!("{}/{slot}", slot.round)).or_default();
            *attempt += 1;
            if let Some(reading) = made.reading(session, slot, *attempt) {
                shown.push((slot.in_words(), reading));
            }
        }
        plainly(match shown.len() {
            0 => made.take(session, slot, 1),
            1 => shown.into_iter().map(|(_, reading)| reading).collect(),
            _ => {
                let lines = shown.iter().map(|(place, reading)| format!("{place}: {reading}"));
                lines.collect::<Vec<_>>().join("\n")
            }
        })
    };
    let by_hand = arguments.asking.answers.is_none();
    session.by_hand(by_hand);
    let half = HalfJob {
        made: &made,
        start: half_job::start_of(&journal),
        by: arguments.by.as_deref(),
        by_hand,
        quiet,
        clock: &clock,
    };
    let gone_on = ask_all(
        &mut *front,
        &mut session,
        &mut journal,
        (&clock, &mut log),
        &|_| Ok(()),
        &mut part,
        &mut |session, journal, log| half.give(session, journal, log),
    );
    let paused = match gone_on {
        Err(failure) if failure.is_closed_pipe() => return Ok(Ended::Paused),
        other => other?,
    };
    front.finish()?;
    let digest = stored(&shelf, journal.id())?.record().1.to_string();
    if paused {
        if quiet {
            report(&practised(journal.id(), &session, &made, &digest))?;
        } else {
            write_out(&format!("\nPractice {} is kept.\n", journal.id()), false)?;
        }
        return Ok(Ended::Paused);
    }
    let sheet = journal.folder().join(SHEET);
    let outcome = made.outcome(&session);
    let told = debrief::sections(&made, &session, &outcome);
    let build = session.build(journal.id().as_str(), &digest);
    write_whole(&sheet, &practice_pdf(&build, &told, Paper::A4)?)?;
    if quiet {
        report(&practised(journal.id(), &session, &made, &digest))?;
    } else {
        let summary = practised(journal.id(), &session, &made, &digest).summary();
        write_out(&debrief::on_screen(&made, &session, &outcome, summary), false)?;
        write_out(
            &format!(
                "The sheet, marked as practice: {}\nAll runs so far: {}\n",
                sheet.display(),
                to_copy("shimwright practise --past", None, arguments.book.as_ref())
            ),
            false,
        )?;
    }
    Ok(Ended::Done)
}

fn report(run: &Practised) -> Result<(), Failure> {
    let text = to_json(&run.summary())?;
    write_out(&text, false)
}

fn plainly(words: String) -> FromThePart {
    FromThePart { words, hint: None }
}

/// The next hint, with its price.
fn hint(made: &GeneratedUnit, session: &Session) -> FromThePart {
    match made.hint(session) {
        Some(hint) => FromThePart {
            words: hint.words,
            hint: Some((hint.fault, hint.rung)),
        },
        None => plainly("There is no hint left: every fault has been named, or told.".to_string()),
    }
}

/// The newest unfinished run of what is asked for, where the person wants to go on with it.
fn unfinished<'r>(
    runs: &'r [(BuildId, GeneratedFrom, Opened)],
    arguments: &Practise,
    front: &mut dyn Front,
) -> Result<Option<(&'r BuildId, GeneratedFrom)>, Failure> {
    if arguments.new {
        return Ok(None);
    }
    let open = runs.iter().rev().find(|(_, made, opened)| {
        !opened.session.is_finished()
            && arguments.seed.is_none_or(|seed| seed == made.seed)
            && arguments.level.is_none_or(|level| level == made.level)
    });
    let Some((id, made, opened)) = open else {
        return Ok(None);
    };
    let spoken = &opened.session.job().procedure.spoken;
    let wanted = goes_on(front, spoken, &format!("Practice {id}"))?;
    Ok(wanted.then_some((id, *made)))
}

/// What is asked for; the level that was last worked, and the seed after the highest one there, where nothing is said.
fn next(runs: &[(BuildId, GeneratedFrom, Opened)], arguments: &Practise) -> GeneratedFrom {
    let last = runs.last().map(|(_, made, _)| made.level);
    let level = arguments.level.or(last).unwrap_or(1);
    let highest = runs
        .iter()
        .filter(|(_, made, _)| made.level == level)
        .map(|(_, made, _)| made.seed)
        .max();
    let seed = arguments
        .seed
        .unwrap_or_else(|| highest.unwrap_or(0).saturating_add(1));
    GeneratedFrom::newest(level, seed)
}

fn opening(made: &GeneratedUnit, id: &BuildId) -> String {
    let GeneratedFrom { level, seed, .. } = made.made();
    let wrong = match made.faults().len() {
        1 => "One thing is wrong".to_string(),
        2 if level < 4 => "Two things are wrong".to_string(),
        3 if level < 4 => "Three things are wrong".to_string(),
        count if level < 4 => format!("{count} things are wrong"),
        _ => "Several things are wrong".to_string(),
    };
    let mut text = filled(
        &format!(
            "PRACTICE, level {level}, seed {seed}. This unit does not exist: it was made up, and nothing that is written here \
             is a record of a real one. {wrong} with it, or with what it is measured by."
        ),
        width(),
    );
    text.push_str(&filled(
        "!take shows what the instrument shows on the part that is asked for, each time anew. !look shows what there is to \
         see. You type what you make of it. !hint helps on, at its price.",
        width(),
    ));
    if made.made().has_diagnosis() {
        text.push_str(&filled(&made.complaint(), width()));
    }
    text.push_str(&format!("Run {id}\n"));
    text
}
