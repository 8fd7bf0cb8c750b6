use super::args::Work;
use super::blank::form_of;
use super::exit::Exit;
use super::failure::Failure;
use super::load::{Sources, Text, book_dir, digest_of, open_build, read_text};
use super::reports::{build_json, write_out};
use crate::bench::{
    Answers, BenchError, Front, Interactive, Lines, Paper as PaperFront, colour_wanted, interactive_possible,
    terminal_width,
};
use crate::book::{BookError, BuildId, Journal, Shelf, write_whole};
use crate::procedure::{Reply, Session};
use crate::quantity::Units;
use crate::record::{Entry, take_from_drawer};
use crate::sheet::{Paper, pdf, terminal_summary};
use jiff::{Timestamp, ZonedDateTime};
use std::path::PathBuf;

/// Where the time of an entry comes from.
pub(super) enum Clock {
    Fixed(String),
    Now,
}

impl Clock {
    /// A clock that stands still at a given time, or the machine's own.
    pub fn new(at: Option<&str>) -> Result<Clock, Failure> {
        match at {
            None => Ok(Clock::Now),
            Some(text) => text
                .parse::<Timestamp>()
                .map(|_| Clock::Fixed(text.to_string()))
                .map_err(|_| Failure::Time(text.to_string())),
        }
    }

    /// The time to the second, as RFC 3339 text.
    pub fn time(&self) -> String {
        match self {
            Clock::Fixed(text) => text.clone(),
            Clock::Now => ZonedDateTime::now().strftime("%Y-%m-%dT%H:%M:%S%:z").to_string(),
        }
    }
}

/// Does a job on a unit.
pub(super) fn work(arguments: &Work) -> Result<Exit, Failure> {
    let clock = Clock::new(arguments.at.as_deref())?;
    let sources = Sources::gather(
        &arguments.procedure,
        &arguments.unit,
        arguments.drawer.as_deref(),
        arguments.instruments.as_deref(),
    )?;
    // every fault of every file is told before anything is begun
    let job = sources.job()?;
    let mut front = front(arguments, &sources)?;
    let shelf = Shelf::open(&book_dir(arguments.book.dir.as_ref())?)?;
    let unfinished = if arguments.new {
        None
    } else {
        unfinished(&shelf, &job.unit.id, &sources)?
    };
    let resumed = match unfinished {
        Some(id) if front.confirm(&format!("{id} is not finished. Go on with it?"), true)? => Some(id),
        _ => None,
    };
    let (mut journal, mut session) = match resumed {
        Some(id) => {
            let mut journal = shelf.resume(&id)?;
            for repair in journal.repairs() {
                write_out(&format!("{repair}\n"), true)?;
            }
            let session = resume(&shelf, &mut journal, &sources, arguments.units.into(), &clock)?;
            (journal, session)
        }
        None => {
            let (journal, session) = begin(&shelf, &sources, arguments.units.into(), &clock)?;
            (journal, session)
        }
    };
    let quiet = arguments.json;
    let begun = if quiet {
        Ok(())
    } else {
        write_out(
            &format!("Build {} in {}\n", journal.id(), journal.folder().display()),
            false,
        )
    };
    let marked = begun.and_then(|()| match arguments.from_paper {
        true => mark_paper(&mut session, &mut journal, &clock, quiet),
        false => Ok(()),
    });
    let gone_on = marked.and_then(|()| go_on(&mut *front, &mut session, &mut journal, &clock));
    let paused = match gone_on {
        // nobody listens any more: what was answered is kept, and the build is not done
        Err(failure) if failure.is_closed_pipe() => return Ok(Exit::Paused),
        other => other?,
    };
    if paused && arguments.from_paper {
        note(
            &mut session,
            &mut journal,
            &clock,
            "typed in from paper up to here",
        )?;
    }
    front.finish()?;
    let id = journal.id().to_string();
    let build = session.build(&id, &digest_of(journal.entries()));
    let folder: PathBuf = journal.folder().join("sheet.pdf");
    let mut drawer_words = String::new();
    if !paused {
        write_whole(&folder, &pdf(&build, Paper::A4)?)?;
        drawer_words = empty_drawer(&sources.drawer, &session)?;
    }
    if quiet {
        write_out(&build_json(&build)?, false)?;
    } else if paused {
        write_out(&format!("\nBuild {id} is kept.\n"), false)?;
    } else {
        let summary = terminal_summary(&build, 80);
        write_out(
            &format!(
                "\n{summary}\n{drawer_words}The sheet: {}\nAnother copy: shimwright sheet {id} --paper letter\n",
                folder.display()
            ),
            false,
        )?;
    }
    Ok(if paused { Exit::Paused } else { Exit::Done })
}

/// Takes what a finished build used out of the drawer's file, and says so.
fn empty_drawer(drawer: &Text, session: &Session) -> Result<String, Failure> {
    let (shims, spares) = session.used_from_drawer();
    let (Some(path), false) = (&drawer.path, shims.is_empty() && spares.is_empty()) else {
        return Ok(String::new());
    };
    // the file may have changed while the work went on: what is in it now counts
    let now = read_text(path)?;
    let less = take_from_drawer(&now.name, &now.text, &shims, &spares)?;
    write_whole(path, less.text.as_bytes())?;
    let names: Vec<String> = shims
        .iter()
        .map(ToString::to_string)
        .chain(spares.iter().cloned())
        .collect();
    let mut words = format!("Taken out of {}: {}\n", now.name, names.join(", "));
    for missing in &less.missing {
        words.push_str(&format!("It was not in the drawer's file any more: {missing}\n"));
    }
    Ok(words)
}

/// Begins a build in the book.
pub(super) fn begin(
    shelf: &Shelf,
    sources: &Sources,
    units: Units,
    clock: &Clock,
) -> Result<(Journal, Session), Failure> {
    let job = sources.job()?;
    let mut journal = shelf.begin(&job.unit.id, &sources.files())?;
    let begun = begun(sources, units, clock);
    append(&mut journal, &begun)?;
    Ok((journal, Session::start(job, begun).0))
}

fn begun(sources: &Sources, units: Units, clock: &Clock) -> Entry {
    let [unit, drawer, instruments, procedure] = sources.digests();
    Entry::Begun {
        at: clock.time(),
        program: env!("CARGO_PKG_VERSION").to_string(),
        unit,
        procedure,
        drawer,
        instruments,
        units: units.into(),
    }
}

fn resume(
    shelf: &Shelf,
    journal: &mut Journal,
    now: &Sources,
    units: Units,
    clock: &Clock,
) -> Result<Session, Failure> {
    let kept = Sources::kept(shelf, journal.id())?;
    let job = kept.job()?;
    if journal.entries().is_empty() {
        // the power went between the folder and its first entry
        append(journal, &begun(&kept, units, clock))?;
    }
    if kept.digests() != now.digests() {
        write_out(
            "note: a file has changed since this build was begun; it goes on with those that it began with\n",
            true,
        )?;
    }
    let entries: Vec<Entry> = journal
        .entries()
        .iter()
        .map(|text| Entry::from_json(text))
        .collect::<Result<_, _>>()?;
    if let Some(changed) = kept.changed_since(&entries).first() {
        return Err(Failure::Snapshot(format!("{}/{changed}", journal.id())));
    }
    Ok(Session::resume(job, &entries))
}

/// The newest unfinished build of this unit by this procedure.
fn unfinished(shelf: &Shelf, unit: &str, sources: &Sources) -> Result<Option<BuildId>, Failure> {
    let slug = crate::book::slug(unit);
    let mut builds = shelf.list()?;
    builds.sort_by_key(BuildId::number);
    for id in builds.into_iter().rev().filter(|id| id.slug() == slug) {
        let same = shelf
            .file(&id, "procedure.toml")
            .is_ok_and(|kept| kept == sources.procedure.text.as_bytes());
        if same && open_build(shelf, &id).is_ok_and(|opened| !opened.session.is_finished()) {
            return Ok(Some(id));
        }
    }
    Ok(None)
}

fn front(arguments: &Work, sources: &Sources) -> Result<Box<dyn Front>, Failure> {
    if let Some(path) = &arguments.answers {
        let text = read_text(path)?;
        let answers = Answers::parse(&text.text, &text.name)?;
        return Ok(if arguments.json {
            Box::new(answers)
        } else {
            Box::new(answers.telling(std::io::stdout()))
        });
    }
    let lines = || Lines::on_standard(terminal_width(), colour_wanted(arguments.plain));
    if arguments.from_paper {
        let form = form_of(sources, arguments.units.into())?;
        return Ok(Box::new(PaperFront::new(lines()?, form)));
    }
    if !arguments.plain && interactive_possible() {
        return Ok(Box::new(Interactive::new(!colour_wanted(false))?));
    }
    Ok(Box::new(lines()?))
}

/// Puts question after question until none is left or the person stops. Every answer is on the disk before the next
/// question is put.
pub(super) fn go_on(
    front: &mut dyn Front,
    session: &mut Session,
    journal: &mut Journal,
    clock: &Clock,
) -> Result<bool, Failure> {
    while let Some(ask) = session.ask() {
        let reply = match front.ask(&ask) {
            Ok(reply) => reply,
            Err(BenchError::Stopped) => Reply::Pause,
            Err(error) => return Err(error.into()),
        };
        match &reply {
            Reply::Pause => return Ok(true),
            Reply::Why => front.why(&ask)?,
            _ => match session.answer(&reply, &clock.time()) {
                Ok(taken) => {
                    for entry in &taken.entries {
                        append(journal, entry)?;
                    }
                    front.say(&taken.said)?;
                    let said = session.apply(&taken.entries);
                    front.say(&said)?;
                }
                Err(refusal) => front.refuse(&refusal)?,
            },
        }
    }
    if let Some(entry) = session.closing_entry(&clock.time()) {
        append(journal, &entry)?;
        session.apply(&[entry]);
    }
    Ok(false)
}

/// Writes into the record that what follows was typed in from paper, and when that was; the entries themselves have
/// the time of the paper where `--at` gives it. Tells which form it must be.
fn mark_paper(
    session: &mut Session,
    journal: &mut Journal,
    clock: &Clock,
    quiet: bool,
) -> Result<(), Failure> {
    note(
        session,
        journal,
        clock,
        &format!("from here on typed in from paper, on {}", Clock::Now.time()),
    )?;
    if quiet {
        return Ok(());
    }
    write_out(
        "A line a box, in the order of the numbers. x is a tick; Enter alone: the box is empty; !help has more words.\n",
        false,
    )
}

/// Writes a note at the open question.
fn note(session: &mut Session, journal: &mut Journal, clock: &Clock, words: &str) -> Result<(), Failure> {
    if let Ok(taken) = session.answer(&Reply::Note(words.to_string()), &clock.time()) {
        for entry in &taken.entries {
            append(journal, entry)?;
        }
        session.apply(&taken.entries);
    }
    Ok(())
}

fn append(journal: &mut Journal, entry: &Entry) -> Result<(), Failure> {
    let text = entry.to_json()?;
    journal.append(&text).map_err(|error: BookError| error.into())
}
