//! A job on a unit: begun or gone on with, question after question, closed and signed.

use super::arguments::{Asking, Beside, Ended, Signing};
use super::as_left::{differences, kept, last_left, offer};
use super::book_log::BookLog;
use super::clock::Clock;
use super::close::{self, PrintedOn};
use super::failure::Failure;
use super::font::given_font;
use super::form::form_of;
use super::front::{front, goes_on, plain, put, say_language, tell_opening};
use super::histories::each_shelved;
use super::load::{Sources, book_dir, left_alone, open_build, stock_texts, to_write};
use super::output::{width, write_out};
use super::same_unit::other_jobs;
use super::seals::{seal, signers, summed_up, unlock};
use super::sign;
use super::stored::{SHEET, lines_of};
use crate::bench::{Front, Lines, Paper as PaperFront, terminal_width};
use crate::book::{BuildId, Journal, Shelf, slug};
use crate::procedure::{Refusal, Reply, Session};
use crate::quantity::{Units, seconds_of, visible, visible_lines};
use crate::record::{Entry, GeneratedFrom, Slot};
use crate::report::Table;
use crate::report::to_json;
use crate::screen::{filled, lines, table};
use crate::sheet::{Paper, in_short};
use crate::workshop::{LastLeft, Rework, Unit, rows_beyond};
use std::path::{Path, PathBuf};

/// The most people whose names are offered: as many as have a number of one digit.
const MOST_PEOPLE: usize = 9;

/// A job on a unit, as it is asked for.
pub(crate) struct Work {
    /// The name of a stock procedure, or the path of a TOML file.
    pub procedure: String,
    /// The unit's TOML file.
    pub unit: PathBuf,
    /// The language of the stock procedure, where it is not English.
    pub language: Option<String>,
    /// How questions are put.
    pub asking: Asking,
    /// A form that was filled in by hand is typed in: short prompts with the numbers of its boxes.
    pub from_paper: bool,
    /// Another drawer or other instruments than the unit file names.
    pub beside: Beside,
    /// The file of a setting: what the unit is to be rebuilt to.
    pub setting: Option<PathBuf>,
    /// A new build, even where an unfinished one could be gone on with.
    pub new: bool,
    /// From what the unit's file lists, not from what the last build left in the unit.
    pub as_listed: bool,
    /// The time to write down, for paper notes that are typed in later; else the clock's.
    pub at: Option<String>,
    /// The paper of its sheet.
    pub paper: Paper,
    /// The font for what the built-in typeface lacks, by its path.
    pub font: Option<PathBuf>,
    /// What it is signed with when it is finished.
    pub signing: Signing,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object at the end, and nothing else.
    pub json: bool,
}

/// Does a job on a unit.
pub(crate) fn work(arguments: &Work) -> Result<Ended, Failure> {
    let clock = Clock::new(arguments.at.as_deref())?;
    // a key or a font that can not be used is told before the work is begun
    let key = arguments.signing.looked_at()?;
    let font = given_font(arguments.font.as_ref())?;
    let on = PrintedOn {
        paper: arguments.paper,
        font: font.as_ref(),
    };
    let mut sources = Sources::gather(
        &arguments.procedure,
        &arguments.unit,
        arguments.beside.drawer.as_deref(),
        arguments.beside.instruments.as_deref(),
        arguments.setting.as_deref(),
        arguments.language.as_deref(),
    )?;
    // every fault of every file is told before anything is begun
    let job = sources.job()?;
    if let Some(condition) = job.unmet().first() {
        return Err(Failure::Unit(format!(
            "{} is for {} units only, and {} is none: take another procedure; `shimwright procedures` lists them",
            job.procedure.id,
            condition.word(),
            job.unit.name
        )));
    }
    // an old paper is of a day before
    if !arguments.as_listed && !job.copies_paper() {
        let shelf = Shelf::look(&book_dir(arguments.book.as_ref())?)?;
        sources.found = last_left(&shelf, &job.unit.id, &clock.time())?.as_ref().map(kept);
        sources.job()?;
    }
    let mut front: Box<dyn Front> = if arguments.from_paper && arguments.asking.answers.is_none() {
        let lines = Lines::on_standard(terminal_width(), arguments.asking.in_colours())?;
        Box::new(PaperFront::new(lines, form_of(&sources, arguments.asking.units)?))
    } else {
        front(&arguments.asking, arguments.json)?
    };
    let shelf = Shelf::open(&book_dir(arguments.book.as_ref())?)?;
    for leftover in shelf.swept() {
        write_out(
            &format!(
                "the leftover {} was removed\n",
                visible(&leftover.display().to_string())
            ),
            true,
        )?;
    }
    arguments.signing.may_sign(&shelf)?;
    let slug = slug(&job.unit.id);
    let mut log = BookLog::of(&shelf);
    let marks = shelf.marks()?;
    for caught_up in close::catch_up(&mut log, &sources.drawer, on, &mut *front)? {
        // the one that this command would have finished when the program was ended: nothing more is to be done
        if !arguments.new && caught_up.journal.id().is_of(&slug, &marks) {
            report(
                &shelf,
                &caught_up.journal,
                &caught_up.session,
                Some(&caught_up.drawer),
                arguments.json,
            )?;
            close::told(&shelf, caught_up.journal.id())?;
            return Ok(Ended::Done);
        }
        write_out(&visible_lines(&caught_up.drawer), true)?;
        close::told(&shelf, caught_up.journal.id())?;
    }
    let unfinished = if arguments.new {
        None
    } else {
        unfinished(&shelf, &slug, &sources, &stock_texts(&arguments.procedure))?
    };
    let resumed = match unfinished {
        Some(id) => {
            let spoken = open_build(&shelf, &id)?.session.job().procedure.spoken.clone();
            goes_on(&mut *front, &spoken, id.as_str())?.then_some(id)
        }
        None => None,
    };
    let is_new = resumed.is_none();
    if let Some(id) = &resumed {
        go_on_as_begun(&shelf, id, &mut sources, arguments)?;
    }
    let (mut journal, mut session) = match resumed {
        Some(id) => {
            let mut journal = to_write(&shelf, &id)?;
            for repair in journal.repairs() {
                write_out(&format!("{}\n", visible(&repair.to_string())), true)?;
            }
            let session = resume(
                &mut log,
                &mut journal,
                &sources,
                arguments.asking.units,
                &clock,
                None,
            )?;
            (journal, session)
        }
        None => {
            let (journal, session) = begin(&mut log, &sources, arguments.asking.units, &clock, None)?;
            (journal, session)
        }
    };
    let quiet = arguments.json;
    let begun = if quiet {
        Ok(())
    } else {
        write_out(
            &format!(
                "Build {} in {}\n",
                journal.id(),
                visible(&journal.folder().display().to_string())
            ),
            false,
        )
    };
    let begun = begun.and_then(|()| match quiet {
        true => Ok(()),
        false => tell_opening(&session.job().procedure.spoken),
    });
    let begun = begun.and_then(|()| match is_new && !quiet {
        true => write_out(&which_unit(&shelf, &session), false),
        false => Ok(()),
    });
    let begun = begun.and_then(|()| match quiet {
        true => Ok(()),
        false => write_out(&other_jobs(&shelf, journal.id().as_str(), &session)?, false),
    });
    let begun = begun.and_then(|()| match &session.job().last {
        Some(last) if !quiet => write_out(&starts_from(last, &sources)?, false),
        _ => Ok(()),
    });
    let begun = begun.and_then(|()| match &session.job().rework {
        Some(rework) if !quiet => write_out(&rework_words(rework), false),
        _ => Ok(()),
    });
    let begun = begun.and_then(|()| match arguments.from_paper {
        true => mark_paper(&mut session, &mut journal, &clock, quiet),
        false => Ok(()),
    });
    let closing = |journal: &Journal| close::note(&shelf, journal, &sources.drawer);
    if arguments.asking.answers.is_none() {
        session.offer_people(people(&shelf)?);
    }
    session.by_hand(!arguments.from_paper && arguments.asking.answers.is_none());
    let gone_on = begun.and_then(|()| {
        ask_all(
            &mut *front,
            &mut session,
            &mut journal,
            (&clock, &mut log),
            &closing,
            &mut no_practice,
            &mut |_, _, _| Ok(()),
        )
    });
    let paused = match gone_on {
        // nobody listens any more: what was answered is kept, and the build is not done
        Err(failure) if failure.is_closed_pipe() => return Ok(Ended::Paused),
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
    let ended = front.finish();
    let mut sealed = None;
    if let (Some(path), false) = (key, paused) {
        // the build is finished and kept, whatever becomes of its signature
        sealed = Some(sign_off(arguments, path, &mut log, &mut journal, &session));
    }
    let drawer = if paused {
        None
    } else {
        Some(close::finish(&shelf, &journal, &session, on)?)
    };
    // answers that were left over are told after the finished build has been seen to
    ended?;
    report(&shelf, &journal, &session, drawer.as_deref(), quiet)?;
    if let (Some(left), false) = (session.left(journal.id().as_str()), quiet) {
        let rows = left.listed_otherwise(&Unit::read(&sources.unit.name, &sources.unit.text)?);
        if !rows.is_empty() {
            let words = differences(&left, &rows) + &offer(&arguments.unit);
            write_out(&visible_lines(&words), false)?;
        }
    }
    if !paused {
        close::told(&shelf, journal.id())?;
    }
    match sealed {
        Some(Ok(words)) if !quiet => write_out(&words, false)?,
        Some(Err(failure)) => {
            let id = journal.id();
            let words = format!("The build is finished, but not signed: shimwright sign {id} --key FILE\n");
            write_out(&words, true)?;
            return Err(failure);
        }
        _ => {}
    }
    Ok(if paused { Ended::Paused } else { Ended::Done })
}

/// Who worked on the builds of the book, the last first.
fn people(shelf: &Shelf) -> Result<Vec<String>, Failure> {
    let mut builds = each_shelved(shelf, &shelf.contents()?.named())?;
    builds.retain(|build| build.counts() && !build.by.is_empty());
    builds.sort_by_key(|build| std::cmp::Reverse(seconds_of(&build.begun)));
    let mut people: Vec<String> = Vec::new();
    for build in builds {
        if people.len() < MOST_PEOPLE && !people.contains(&build.by) {
            people.push(build.by);
        }
    }
    Ok(people)
}

/// Signs a build that has just been finished, with the name that was typed where the key has no other. The time is the
/// clock's, though the entries may have that of a paper: a key signs when it is used.
fn sign_off(
    arguments: &Work,
    key: &Path,
    log: &mut BookLog<'_>,
    journal: &mut Journal,
    session: &Session,
) -> Result<String, Failure> {
    let signing = &arguments.signing;
    let (path, signers) = signers(None, log.shelf())?;
    let key = unlock(key, signing.passphrase_file.as_deref())?;
    let (name, typed) = (signing.name.as_deref(), Some(session.built_by()));
    let sealed = seal(log, journal, &key, name, typed, &signers, &Clock::Now)?;
    Ok(sign::words(&sealed, journal, &path))
}

/// The unit in a few lines, with the car that it was last built for, so that a wrong file is seen at once.
fn which_unit(shelf: &Shelf, session: &Session) -> String {
    let mut lines = session.unit_in_short();
    let last = session.job().last.as_ref();
    if let Some((last, id)) = last.and_then(|last| Some((last, last.build.parse::<BuildId>().ok()?)))
        && let Ok(opened) = open_build(shelf, &id)
        && let Some(car) = opened.session.car()
    {
        lines.push(format!("Last built for {car}: {}, {}", last.build, last.finished));
    }
    lines.iter().map(|line| format!("{}\n", visible(line))).collect()
}

/// From what the job starts, where the last build left something else in the unit than its file lists.
fn starts_from(last: &LastLeft, sources: &Sources) -> Result<String, Failure> {
    let rows = last.listed_otherwise(&Unit::read(&sources.unit.name, &sources.unit.text)?);
    let mut words = differences(last, &rows);
    if !rows.is_empty() {
        let from = "The job starts from what was left; with --new --as-listed, from what the file lists.";
        words.push_str(&filled(from, width()));
    }
    Ok(visible_lines(&words))
}

/// What a setting changes in the unit, before it is opened.
fn rework_words(rework: &Rework) -> String {
    let setting = &rework.setting;
    let mut text = filled(
        &format!(
            "It aims at the setting of {} for {}, {}: {}.",
            setting.date,
            setting.from.car.name,
            setting.from.wanted.name,
            setting.class()
        ),
        width(),
    );
    if rework.differs.is_empty() {
        text.push_str("The unit file has it so already.\n");
    } else {
        text.push_str("The unit as its file has it differs from that:\n");
        let rows: Vec<Vec<String>> = rework
            .differs
            .iter()
            .map(|row| vec![row.what.clone(), row.fitted.clone(), row.asked.clone()])
            .collect();
        text.push_str(&table(
            &Table::of_words(["", "unit file", "setting"], rows),
            width(),
        ));
    }
    if rework.unit_changed {
        text.push_str(&filled(
            "The unit's file has changed since the setting was settled: see whether it still holds.",
            width(),
        ));
    }
    text
}

/// Tells what a build came to; where it is finished, with what was taken out of the drawer.
fn report(
    shelf: &Shelf,
    journal: &Journal,
    session: &Session,
    drawer: Option<&str>,
    quiet: bool,
) -> Result<(), Failure> {
    let id = journal.id();
    let build = summed_up(shelf, id, session)?;
    if quiet {
        write_out(&to_json(&build.summary())?, false)?;
    } else if let Some(drawer) = drawer {
        let summary = lines(&in_short(&build), width());
        write_out(
            &format!(
                "\n{summary}\n{}The sheet: {}\nAnother copy: shimwright sheet {id} --paper letter\n",
                visible_lines(drawer),
                visible(&journal.folder().join(SHEET).display().to_string())
            ),
            false,
        )?;
    } else {
        write_out(
            &format!(
                "\nBuild {id} is kept.\nWhat it waits for, if it does: shimwright parts {id} --wait-for WORDS\n"
            ),
            false,
        )?;
    }
    Ok(())
}

/// Begins a build in the book.
pub(crate) fn begin(
    log: &mut BookLog<'_>,
    sources: &Sources,
    units: Units,
    clock: &Clock,
    practice: Option<GeneratedFrom>,
) -> Result<(Journal, Session), Failure> {
    let job = sources.job()?;
    let mut begun = [begun(sources, units, clock, practice)];
    log.mark_begun(&mut begun[0])?;
    let shelf = log.shelf();
    let name = log.named(&job.unit.id, &clock.time())?;
    let mut journal = shelf.lay_in_as(&name, &sources.files(), &[])?;
    log.append(&mut journal, &mut begun)?;
    let [begun] = begun;
    let session = Session::start(job, begun).0;
    if let Some(words) = session.window_that_wedges() {
        write_out(&filled(&format!("note: {words}"), width()), true)?;
    }
    Ok((journal, session))
}

pub(crate) fn begun(
    sources: &Sources,
    units: Units,
    clock: &Clock,
    practice: Option<GeneratedFrom>,
) -> Entry {
    let [unit, drawer, instruments, procedure] = sources.digests();
    Entry::Begun {
        at: clock.time(),
        program: env!("CARGO_PKG_VERSION").to_string(),
        unit,
        procedure,
        drawer,
        instruments,
        setting: sources.setting_digest(),
        found: sources.found_digest(),
        units: units.into(),
        practice,
        id: None,
    }
}

/// Takes a build up again.
pub(crate) fn resume(
    log: &mut BookLog<'_>,
    journal: &mut Journal,
    now: &Sources,
    units: Units,
    clock: &Clock,
    practice: Option<GeneratedFrom>,
) -> Result<Session, Failure> {
    let kept = Sources::kept(log.shelf(), journal.id())?;
    let job = kept.job()?;
    if journal.entries().is_empty() {
        // the power went between the folder and its first entry
        let mut begun = [begun(&kept, units, clock, practice)];
        log.mark_begun(&mut begun[0])?;
        log.append(journal, &mut begun)?;
    }
    if let Some(words) = log.against(journal.id(), &clock.time())? {
        return Err(Failure::NotAsLogged(format!("{}: {words}", journal.id())));
    }
    log.write(journal.id(), true, &clock.time())?;
    if now.setting.is_some() && kept.setting_digest() != now.setting_digest() {
        write_out(
            "note: this build was begun without this setting; it goes on as it was begun. --new begins one that aims at it\n",
            true,
        )?;
    }
    let names = ["its unit's file", "", "the file of instruments", "its procedure"];
    let digests = kept.digests().into_iter().zip(now.digests());
    // what the drawer has more or fewer of is told below
    let changed = names
        .into_iter()
        .zip(digests)
        .filter(|(name, (then, now))| !name.is_empty() && then != now);
    let changed: Vec<&str> = changed.map(|(name, _)| name).collect();
    if !changed.is_empty() {
        let words = format!(
            "note: changed since this build was begun: {}; it goes on as they were then",
            changed.join(", ")
        );
        write_out(&filled(&words, width()), true)?;
    }
    let entries: Vec<Entry> = journal
        .entries()
        .iter()
        .map(|text| Entry::from_json(text))
        .collect::<Result<_, _>>()?;
    if let Some(changed) = kept.changed_since(&entries).first() {
        return Err(Failure::Snapshot(format!("{}/{changed}", journal.id())));
    }
    let session = Session::resume(job, &entries);
    if kept.drawer.text != now.drawer.text
        && let Some(rows) = rows_beyond(&now.drawer.name, &now.drawer.text, &session.job().drawer)?
    {
        let (spares, sizes) = (
            rows.matches("[[spare]]").count(),
            rows.matches("[[shim]]").count(),
        );
        let words = format!(
            "note: the drawer has more than this build knows of ({spares} spare plates, {sizes} sizes of shims); to take them in: \
             shimwright parts {} --take-in {}",
            journal.id(),
            visible(&now.drawer.name)
        );
        write_out(&filled(&words, width()), true)?;
    }
    let gone = session
        .job()
        .drawer
        .gone_from(&now.drawer.name, &now.drawer.text)?;
    if !gone.is_empty() {
        let words = format!(
            "note: the drawer has no longer what this build knows of: {}. Another job may have taken it; what is not there any more: \
             shimwright parts {} --strike PART --reason WORDS",
            gone.join(", "),
            journal.id()
        );
        write_out(&filled(&words, width()), true)?;
    }
    Ok(session)
}

/// A build goes on in the language in which it was begun.
fn go_on_as_begun(
    shelf: &Shelf,
    id: &BuildId,
    sources: &mut Sources,
    arguments: &Work,
) -> Result<(), Failure> {
    let kept = shelf.file(id, "procedure.toml")?;
    if kept == sources.procedure.text.as_bytes() {
        return Ok(());
    }
    sources.procedure.text = String::from_utf8_lossy(&kept).into_owned();
    say_language(arguments.language.as_deref(), &sources.job()?.procedure.spoken)
}

/// The newest unfinished build of this unit by this procedure, or by one of the `texts` that the same has in other languages.
fn unfinished(
    shelf: &Shelf,
    slug: &str,
    sources: &Sources,
    texts: &[String],
) -> Result<Option<BuildId>, Failure> {
    let (contents, marks) = (shelf.contents()?, shelf.marks()?);
    let named = |path: &Path| path.file_name()?.to_str()?.to_lowercase().parse::<BuildId>().ok();
    for foreign in &contents.foreign {
        // what may be a build of this unit is not passed over without a word
        if named(foreign).is_some_and(|id| id.is_of(slug, &marks)) {
            write_out(&left_alone(foreign), true)?;
        }
    }
    let mut builds = contents.builds;
    builds.sort_by_key(BuildId::number);
    for id in builds.into_iter().rev().filter(|id| id.is_of(slug, &marks)) {
        match open_build(shelf, &id) {
            Ok(opened) => {
                let kept = shelf.file(&id, "procedure.toml")?;
                let same = kept == sources.procedure.text.as_bytes()
                    || texts.iter().any(|text| text.as_bytes() == kept);
                let open = same && !opened.session.is_finished() && !opened.session.is_voided();
                match opened.newer.into_iter().next() {
                    Some(why) if open && !seems_finished(shelf, &id) => {
                        return Err(Failure::Newer {
                            build: id.to_string(),
                            why,
                        });
                    }
                    None if open => return Ok(Some(id)),
                    _ => {}
                }
            }
            Err(newer @ Failure::Newer { .. }) => {
                if !seems_finished(shelf, &id) {
                    return Err(newer);
                }
            }
            Err(failure) => {
                let why = visible_lines(&failure.to_string());
                write_out(
                    &format!("warning: {id} can not be read and is left alone: {why}\n"),
                    true,
                )?;
            }
        }
    }
    Ok(None)
}

/// Whether a journal has the entry that finishes a build, or puts it away, wherever a newer program wrote in it.
fn seems_finished(shelf: &Shelf, id: &BuildId) -> bool {
    let ends = |entry: Option<&Entry>| matches!(entry, Some(Entry::Finished { .. } | Entry::Voided { .. }));
    shelf
        .read(id)
        .is_ok_and(|reading| lines_of(&reading).all().any(ends))
}

/// Puts question after question until none is left or the person stops; whether the person stopped. Every answer is on
/// the disk before the next question is put.
pub(crate) fn go_on(
    front: &mut dyn Front,
    session: &mut Session,
    journal: &mut Journal,
    clock: &Clock,
    log: &mut BookLog<'_>,
) -> Result<bool, Failure> {
    let kept = (clock, log);
    let given = &mut |_: &mut Session, _: &mut Journal, _: &mut BookLog<'_>| Ok(());
    ask_all(
        front,
        session,
        journal,
        kept,
        &|_| Ok(()),
        &mut no_practice,
        given,
    )
}

/// What the part that is asked for tells in practice, and the hint that it is, where it is one.
pub(crate) struct FromThePart {
    /// The words.
    pub words: String,
    /// Of which fault, and which rung.
    pub hint: Option<(u32, u32)>,
}

/// What is answered to `!take`, `!look` and `!hint` where the unit is a real one.
fn no_practice(_: &Session, _: &Slot, _: &Reply) -> FromThePart {
    FromThePart {
        words: "!take, !look and !hint are for practice (shimwright practise); here the part in your hands is measured"
            .to_string(),
        hint: None,
    }
}

/// [`go_on`], with what is done before the entry that finishes the build is written, what tells how the part that is
/// asked for measures and looks, and what is given.
pub(crate) fn ask_all(
    front: &mut dyn Front,
    session: &mut Session,
    journal: &mut Journal,
    (clock, log): (&Clock, &mut BookLog<'_>),
    closing: &dyn Fn(&Journal) -> Result<(), Failure>,
    part: &mut dyn FnMut(&Session, &Slot, &Reply) -> FromThePart,
    given: &mut dyn FnMut(&mut Session, &mut Journal, &mut BookLog<'_>) -> Result<(), Failure>,
) -> Result<bool, Failure> {
    if front.is_by_fewest() {
        session.put_fewest_first();
    }
    loop {
        given(session, journal, log)?;
        let Some(ask) = session.ask() else { break };
        if !who_again(front, session, journal, clock)? {
            return Ok(true);
        }
        let (slot, reply) = put(front, ask)?;
        // whoever comes back to a question that stood there overnight says so before the answer counts
        if reply != Reply::Pause && !who_again(front, session, journal, clock)? {
            return Ok(true);
        }
        match &reply {
            Reply::Pause => return Ok(true),
            Reply::Take | Reply::Look | Reply::Hint => {
                let told = part(session, &slot, &reply);
                // what it cost is on the disk before it is read
                if let Some((fault, rung)) = told.hint
                    && let Some(entry) = session.hint(fault, rung, &clock.time())
                {
                    append(journal, &entry)?;
                    session.apply(&[entry]);
                }
                front.say(&plain(told.words))?;
            }
            _ => match session.answer(&reply, &clock.time()) {
                Ok(mut taken) => {
                    if taken
                        .entries
                        .iter()
                        .any(|entry| matches!(entry, Entry::Finished { .. }))
                    {
                        closing(journal)?;
                    }
                    log.append(journal, &mut taken.entries)?;
                    front.say(&session.take(&taken))?;
                    if let Some(refusal) = &taken.refused {
                        front.refuse(refusal)?;
                    }
                }
                Err(refusal) => front.refuse(&refusal)?,
            },
        }
    }
    if let Some(entry) = session.closing_entry(&clock.time()) {
        closing(journal)?;
        let mut entries = [entry];
        log.append(journal, &mut entries)?;
        session.apply(&entries);
    }
    Ok(false)
}

/// Asks who works from here on, where nobody has answered for long and a hand types; whether the person goes on.
fn who_again(
    front: &mut dyn Front,
    session: &mut Session,
    journal: &mut Journal,
    clock: &Clock,
) -> Result<bool, Failure> {
    while let Some(ask) = session.who_again(&clock.time()) {
        let before = ask.before.clone().unwrap_or_default();
        let name = match put(front, ask)?.1 {
            Reply::Pause => return Ok(false),
            Reply::Answer(name) | Reply::Who(name) => name,
            _ => {
                front.say(&plain(
                    "first the name of who works; then the question comes".to_string(),
                ))?;
                continue;
            }
        };
        if name.trim().is_empty() || name.trim() == before {
            session.stays(&clock.time());
            continue;
        }
        // a gauge that is pressed, or what was meant for the question
        if !name.chars().any(char::is_alphabetic) {
            front.refuse(&Refusal {
                words: "a name is wanted, or Enter alone".to_string(),
                sure: false,
                suggests: false,
            })?;
            continue;
        }
        match session.answer(&Reply::Who(name), &clock.time()) {
            Ok(taken) => {
                append_all(journal, &taken.entries)?;
                front.say(&session.take(&taken))?;
            }
            Err(refusal) => front.refuse(&refusal)?,
        }
    }
    Ok(true)
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

pub(crate) fn append(journal: &mut Journal, entry: &Entry) -> Result<(), Failure> {
    append_all(journal, std::slice::from_ref(entry))
}

/// Writes entries that belong together in one go: when this returns, all of them are on the disk.
pub(crate) fn append_all(journal: &mut Journal, entries: &[Entry]) -> Result<(), Failure> {
    let texts: Vec<(u32, String)> = entries
        .iter()
        .map(|entry| Ok((entry.line_version(), entry.to_json()?)))
        .collect::<Result<_, Failure>>()?;
    Ok(journal.append_all(&texts)?)
}
