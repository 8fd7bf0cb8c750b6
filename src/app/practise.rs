//! Practice on a made-up unit, and what was practised so far.

use super::arguments::{Asking, Ended};
use super::clock::Clock;
use super::failure::Failure;
use super::load::{Opened, Sources, Text, find_procedure, open_any, practice_dir, to_write};
use super::output::{width, write_out};
use super::stored::{SHEET, stored};
use super::work::{ask_all, begin, front, resume};
use crate::bench::Front;
use crate::book::{BuildId, Shelf, write_whole};
use crate::metrology::Verdict;
use crate::practice::{GeneratedUnit, Line, Outcome, PROCEDURE};
use crate::procedure::{Reply, Session};
use crate::quantity::Units;
use crate::record::{GeneratedFrom, Practised, Slot};
use crate::report::{Table, to_json};
use crate::screen::{filled, table};
use crate::sheet::{Paper, pdf};
use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;

/// What is to be practised.
pub(crate) struct Practise {
    /// Which of the made-up units; without it the next of the level that has not been begun.
    pub seed: Option<u64>,
    /// How hard, 1 to 4; without it as the last time.
    pub level: Option<u32>,
    /// How questions are put.
    pub asking: Asking,
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
    let mut front = front(&arguments.asking, arguments.json)?;
    let shelf = Shelf::open(&dir)?;
    let runs = runs(&shelf)?;
    let units = arguments.asking.units;
    let (made, mut journal, mut session) = match unfinished(&runs, arguments, &mut *front)? {
        Some((id, from)) => {
            let made = GeneratedUnit::new(from)?;
            let sources = sources(&made)?;
            if Sources::kept(&shelf, id)?.digests() != sources.digests() {
                return Err(Failure::OtherPractice(id.to_string()));
            }
            let mut journal = to_write(&shelf, id)?;
            for repair in journal.repairs() {
                write_out(&format!("{repair}\n"), true)?;
            }
            let session = resume(&shelf, &mut journal, &sources, units, &clock, Some(from))?;
            (made, journal, session)
        }
        None => {
            let made = GeneratedUnit::new(next(&runs, arguments))?;
            let (journal, session) = begin(&shelf, &sources(&made)?, units, &clock, Some(made.made()))?;
            (made, journal, session)
        }
    };
    let quiet = arguments.json;
    if !quiet {
        write_out(&opening(&made, journal.id()), false)?;
    }
    let mut taken: HashMap<String, u32> = HashMap::new();
    let mut part = |session: &Session, slot: &Slot, reply: &Reply| {
        // a row speaks of all that is open of the thing in hand
        let open = session.open_places();
        if *reply == Reply::Look {
            let seen = open.iter().find_map(|slot| made.sight(session, slot));
            return seen.unwrap_or_else(|| made.look(session, slot));
        }
        let mut shown: Vec<(String, String)> = Vec::new();
        for slot in &open {
            let attempt = taken.entry(format!("{}/{slot}", slot.round)).or_default();
            *attempt += 1;
            if let Some(reading) = made.reading(session, slot, *attempt) {
                shown.push((slot.to_string(), reading));
            }
        }
        match shown.len() {
            0 => made.take(session, slot, 1),
            1 => shown.into_iter().map(|(_, reading)| reading).collect(),
            _ => {
                let lines = shown.iter().map(|(place, reading)| format!("{place}: {reading}"));
                lines.collect::<Vec<_>>().join("\n")
            }
        }
    };
    session.by_hand(arguments.asking.answers.is_none());
    let gone_on = ask_all(
        &mut *front,
        &mut session,
        &mut journal,
        &clock,
        &|_| Ok(()),
        &mut part,
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
    write_whole(
        &sheet,
        &pdf(&session.build(journal.id().as_str(), &digest), Paper::A4)?,
    )?;
    if quiet {
        report(&practised(journal.id(), &session, &made, &digest))?;
    } else {
        write_out(&told(&made, &made.outcome(&session)), false)?;
        write_out(
            &format!(
                "The sheet, marked as practice: {}\nAll runs so far: shimwright practise --past\n",
                sheet.display()
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

fn sources(made: &GeneratedUnit) -> Result<Sources, Failure> {
    let text = |name: &str, text: &str| Text {
        path: None,
        name: name.to_string(),
        text: text.to_string(),
    };
    Ok(Sources {
        unit: text("unit.toml", made.unit_text()),
        drawer: text("drawer.toml", made.drawer_text()),
        instruments: text("instruments.toml", made.instruments_text()),
        procedure: find_procedure(PROCEDURE, None)?,
        setting: None,
        found: None,
    })
}

/// The runs of a shelf that can be read, in the order in which they were begun.
fn runs(shelf: &Shelf) -> Result<Vec<(BuildId, GeneratedFrom, Opened)>, Failure> {
    let mut runs = Vec::new();
    for id in shelf.list()? {
        if let Ok(opened) = open_any(shelf, &id)
            && let Some(made) = opened.session.practice()
        {
            runs.push((id, made, opened));
        }
    }
    runs.sort_by(|(a, _, one), (b, _, other)| {
        (one.session.started(), a.as_str()).cmp(&(other.session.started(), b.as_str()))
    });
    Ok(runs)
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
    let Some((id, made, _)) = open else {
        return Ok(None);
    };
    let wanted = front.confirm(&format!("Practice {id} is not finished. Go on with it?"), true)?;
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
    GeneratedFrom { level, seed }
}

fn opening(made: &GeneratedUnit, id: &BuildId) -> String {
    let GeneratedFrom { level, seed } = made.made();
    let wrong = match made.faults().len() {
        1 => "One thing is wrong".to_string(),
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
         see. You type what you make of it.",
        width(),
    ));
    text.push_str(&format!("Run {id}\n"));
    text
}

/// What a run came to, in words.
fn told(made: &GeneratedUnit, outcome: &Outcome) -> String {
    let GeneratedFrom { level, seed } = made.made();
    let mut text = format!("\nPRACTICE, no real unit: level {level}, seed {seed}\n\n");
    let there = outcome.found.len() + outcome.missed.len();
    text.push_str(&filled(
        &format!(
            "Found {} of {there}, missed {}, wrongly accused {}, misread {}.",
            outcome.found.len(),
            outcome.missed.len(),
            outcome.accused.len(),
            outcome.misread.len()
        ),
        width(),
    ));
    text.push_str(&filled(&proof_words(made, outcome), width()));
    for (head, lines) in [
        ("FOUND", &outcome.found),
        ("MISSED", &outcome.missed),
        ("WRONGLY ACCUSED", &outcome.accused),
        ("MISREAD", &outcome.misread),
    ] {
        for (n, line) in lines.iter().enumerate() {
            // a stack of plates that nobody measured would fill the screen with one thing
            if n == MOST_MISREAD && head == "MISREAD" {
                text.push_str(&format!("\nMISREAD: {} more like these\n", lines.len() - n));
                break;
            }
            text.push('\n');
            text.push_str(&filled(&format!("{head}: {}", line.what), width()));
            for row in filled(&line.why, width() - 4).lines() {
                text.push_str(&format!("    {row}\n"));
            }
        }
    }
    text.push('\n');
    text
}

/// How many misreadings are told one by one.
const MOST_MISREAD: usize = 5;

fn proof_words(made: &GeneratedUnit, outcome: &Outcome) -> String {
    let window = &made.job().unit.proof;
    match outcome.proof {
        None => "The unit was not proved.".to_string(),
        Some((torque, verdict)) => format!(
            "The proof as you wrote it down: {} against {} to {}: {verdict}.{}",
            torque.show(Units::Metric),
            window.least.show(Units::Metric),
            window.most.show(Units::Metric),
            if verdict == Verdict::Inside && !outcome.missed.is_empty() {
                " A proof inside its window does not say that nothing is wrong."
            } else {
                ""
            }
        ),
    }
}

fn practised(id: &BuildId, session: &Session, made: &GeneratedUnit, digest: &str) -> Practised {
    let outcome = made.outcome(session);
    let finished = session.finished().map(str::to_string);
    // an unfinished run keeps its secrets
    let told = finished.is_some();
    let lines = |lines: Vec<Line>| -> Vec<(String, String)> {
        lines
            .into_iter()
            .filter(|_| told)
            .map(|line| (line.what, line.why))
            .collect()
    };
    Practised {
        build: id.to_string(),
        made: made.made(),
        begun: session.started().to_string(),
        finished,
        found: lines(outcome.found),
        missed: lines(outcome.missed),
        accused: lines(outcome.accused),
        misread: lines(outcome.misread),
        proof: outcome
            .proof
            .map(|(torque, verdict)| (torque, verdict.to_string())),
        digest: digest.to_string(),
    }
}

/// Lists what was practised, oldest first, so that the way one goes is seen.
pub(crate) fn past(book: Option<&PathBuf>, json: bool) -> Result<(), Failure> {
    let shelf = &Shelf::look(&practice_dir(book)?)?;
    let mut listed = Vec::new();
    for (id, from, opened) in runs(shelf)? {
        let made = GeneratedUnit::new(from)?;
        let same = Sources::kept(shelf, &id)?.digests() == sources(&made)?.digests();
        listed.push((
            practised(&id, &opened.session, &made, &opened.digest),
            same && opened.problems.is_empty() && opened.newer.is_empty(),
        ));
    }
    if json {
        let runs: Vec<Practised> = listed.into_iter().map(|(run, _)| run).collect();
        let text = to_json(&Practised::summary_of(&runs))?;
        write_out(&text, false)?;
        return Ok(());
    }
    if listed.is_empty() {
        let words = format!(
            "Nothing has been practised yet in {}. Begin with: shimwright practise\n",
            shelf.dir().display()
        );
        write_out(&words, false)?;
        return Ok(());
    }
    let mut text = "PRACTICE, no real units\n\n".to_string();
    let mut levels: BTreeMap<u32, (usize, usize, usize)> = BTreeMap::new();
    let rows: Vec<Vec<String>> = listed
        .iter()
        .map(|(run, sound)| {
            let there = run.found.len() + run.missed.len();
            let mut row = vec![
                run.begun.chars().take(10).collect(),
                run.made.level.to_string(),
                run.made.seed.to_string(),
            ];
            match (&run.finished, sound) {
                (_, false) => row.push("damaged, or of another version".to_string()),
                (None, _) => row.push("not finished".to_string()),
                (Some(_), true) => {
                    let sum = levels.entry(run.made.level).or_default();
                    sum.0 += 1;
                    sum.1 += run.found.len();
                    sum.2 += there;
                    row.push(format!("{} of {there}", run.found.len()));
                    row.push(run.accused.len().to_string());
                    row.push(run.misread.len().to_string());
                    let verdict = run.proof.as_ref().map(|(_, verdict)| verdict.clone());
                    row.push(verdict.unwrap_or_else(|| "none".to_string()));
                }
            }
            row.resize(7, String::new());
            row
        })
        .collect();
    let head = [
        "day",
        "level",
        "seed",
        "found",
        "wrongly accused",
        "misread",
        "proof",
    ];
    text.push_str(&format!("{}\n", table(&Table::of_words(head, rows), width())));
    for (level, (count, found, there)) in levels {
        text.push_str(&format!(
            "Level {level}: {found} of {there} faults found in {count} finished {}\n",
            if count == 1 { "run" } else { "runs" }
        ));
    }
    write_out(&text, false)?;
    Ok(())
}
