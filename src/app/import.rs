//! Old paper records taken into the book, a build a day.

use super::arguments::Beside;
use super::book_log::BookLog;
use super::clock::Clock;
use super::failure::Failure;
use super::histories::{Wanted, each_unit};
use super::load::{KEPT, Sources, book_dir, name_of, read_large};
use super::output::{width, write_out};
use super::progress::Progress;
use super::work::begun;
use crate::book::{BuildId, Shelf, slug};
use crate::history::{
    Account, Imported, ImportedDay, PAPER_COLUMNS, PaperRecord, PaperRecords, RowFault, odd_among, or_sure,
};
use crate::mechanics::{Held, SpringPlace};
use crate::procedure::{Job, Reply, Session};
use crate::quantity::{Units, seconds_of, visible};
use crate::record::Entry;
use crate::report::{Table, to_json};
use crate::screen::table;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The procedure that an old record is typed in by.
const PROCEDURE: &str = "paper-record";
/// The most faults that are told.
const MOST_TOLD: usize = 200;

/// A table of old records, as it is asked for.
pub(crate) struct Import {
    /// The table, a CSV file with a head.
    pub file: PathBuf,
    /// The unit's TOML file.
    pub unit: PathBuf,
    /// Only what would be taken is said, and what not.
    pub check: bool,
    /// The days that are without fault are taken, though others are not.
    pub partly: bool,
    /// How bare numbers are read.
    pub units: Units,
    /// Another drawer or other instruments than the unit file names.
    pub beside: Beside,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object: days with their builds, faults with line and column.
    pub json: bool,
}

/// What is in the book of a day already.
enum There {
    /// Nothing.
    Not,
    /// All of it.
    Whole(String),
    /// Its beginning: an older program was ended while it wrote.
    Half { build: String, has: usize, of: usize },
    /// Something else.
    Other(String),
}

/// A day that can be taken.
struct Ready<'r> {
    record: &'r PaperRecord,
    entries: Vec<Entry>,
    account: Account,
}

/// Says which columns a table of old records may have.
pub(crate) fn columns() -> Result<(), Failure> {
    let rows: Vec<Vec<String>> = PAPER_COLUMNS
        .iter()
        .map(|(name, means)| vec![(*name).to_string(), (*means).to_string()])
        .collect();
    write_out(
        &table(&Table::of_words(["column", "means"], rows), width()),
        false,
    )
}

/// Takes old paper records of a unit into the book; whether they were without fault, where faults are no failure.
pub(crate) fn import(asked: &Import) -> Result<bool, Failure> {
    let (file, unit) = (&asked.file, &asked.unit);
    let sources = Sources::gather(
        PROCEDURE,
        unit,
        asked.beside.drawer.as_deref(),
        asked.beside.instruments.as_deref(),
        None,
        None,
    )?;
    let job = sources.job()?;
    let text = read_large(file)?;
    let name = visible(&name_of(file)).into_owned();
    let read = match PaperRecords::read(&text) {
        Ok(read) => read,
        Err(fault) if asked.json => {
            return tell_json(&Imported {
                file: name,
                unit: job.unit.id.clone(),
                unit_name: job.unit.name.clone(),
                days: Vec::new(),
                faults: vec![fault],
            });
        }
        Err(fault) => return Err(Failure::Rows(format!("{name}, {fault}"))),
    };
    let dir = book_dir(asked.book.as_ref())?;
    let known = known(&dir, &job.unit.id)?;
    tell_empty(&dir, &sources, &known)?;
    let now = Clock::Now.time();
    let mut faults = read.faults;
    // a day of which a row can not be read is not taken at all: half a record would look like a whole one
    let spoilt: BTreeSet<u64> = faults.iter().map(|fault| fault.line).collect();
    let mut ready = Vec::new();
    let mut there: BTreeMap<u64, String> = BTreeMap::new();
    let mut times: BTreeMap<Option<i64>, u64> = BTreeMap::new();
    let mut progress = Progress::new("looking through the table", read.records.len(), "days");
    for (n, record) in read.records.iter().enumerate() {
        progress.at(n)?;
        let clock = when(record, &now).and_then(|clock| {
            let line = record.lines.0;
            match times.insert(seconds_of(&clock.time()), line) {
                Some(other) => {
                    let words = format!("line {other} is of the same time, written in another way");
                    Err(RowFault::new(line, "day", words))
                }
                None => Ok(clock),
            }
        });
        let found = match clock {
            Err(fault) => vec![fault],
            Ok(clock) => match played(&sources, &job, record, &clock, asked, &name, &now) {
                day if known.iter().any(|one| is_of(record, &clock, one)) => {
                    let entries = day.map(|(entries, _)| entries).unwrap_or_default();
                    match already(&dir, record, &clock, &known, &entries)? {
                        There::Whole(build) => {
                            there.insert(record.lines.0, build);
                            Vec::new()
                        }
                        other => other.fault(&dir, record, &clock).into_iter().collect(),
                    }
                }
                Ok((entries, account)) if is_whole(record, &read.records, &spoilt) => {
                    ready.push(Ready {
                        record,
                        entries,
                        account,
                    });
                    Vec::new()
                }
                Ok(_) => Vec::new(),
                Err(found) => found,
            },
        };
        faults.extend(found);
    }
    progress.end()?;
    let days: Vec<(&PaperRecord, &Account)> = ready.iter().map(|one| (one.record, &one.account)).collect();
    let (odd, told): (BTreeSet<usize>, Vec<RowFault>) = odd_among(&known, &days).into_iter().unzip();
    faults.extend(told);
    faults.sort();
    let fitting = ready.into_iter().enumerate().filter(|(n, _)| !odd.contains(n));
    let mut ready: Vec<Ready> = fitting.map(|(_, one)| one).collect();
    ready.sort_by_key(|one| seconds_of(&one.account.begun));
    if !asked.json {
        tell_faults(&name, &faults)?;
    }
    let fit: BTreeSet<u64> = ready.iter().map(|one| one.record.lines.0).collect();
    if !asked.json {
        for record in &read.records {
            if let Some(build) = there.get(&record.lines.0) {
                write_out(&format!("{build}  {}  there already\n", record.day), false)?;
            }
        }
    }
    let write = !asked.check && (faults.is_empty() || asked.partly);
    let builds = match write {
        true => {
            let builds = there.values().map(String::as_str).collect();
            written(&dir, &sources, &job, (&ready, builds), asked.json)?
        }
        false => BTreeMap::new(),
    };
    let mut days: Vec<ImportedDay> = read
        .records
        .iter()
        .map(|record| ImportedDay {
            day: record.day.clone(),
            lines: record.lines,
            fits: fit.contains(&record.lines.0) || there.contains_key(&record.lines.0),
            build: builds
                .get(&record.lines.0)
                .or(there.get(&record.lines.0))
                .cloned(),
            there: there.contains_key(&record.lines.0),
        })
        .collect();
    // what is no day stands first
    days.sort_by_cached_key(|one| seconds_of(&Clock::new(Some(&one.day)).ok()?.time()));
    let imported = Imported {
        file: name,
        unit: job.unit.id.clone(),
        unit_name: job.unit.name.clone(),
        days,
        faults,
    };
    match asked.json {
        true => tell_json(&imported),
        false => tell(&imported, write),
    }
}

/// Lays a build of each day into the book, each whole or not at all, and gives their names by the first line of the day.
fn written(
    dir: &Path,
    sources: &Sources,
    job: &Job,
    (ready, there): (&[Ready<'_>], Vec<&str>),
    quiet: bool,
) -> Result<BTreeMap<u64, String>, Failure> {
    let shelf = Shelf::open(dir)?;
    for leftover in shelf.swept() {
        let name = visible(&leftover.display().to_string()).into_owned();
        write_out(&format!("the leftover {name} was removed\n"), true)?;
    }
    let (mut builds, mut log) = (BTreeMap::new(), BookLog::of(&shelf));
    let now = Clock::Now.time();
    // a day whose line in the log the power kept from being written
    for build in there {
        log.imported(&build.parse()?, true, &now)?;
    }
    for one in ready {
        // it is a copy of an old paper, the same whenever it is taken: so it says nothing of the log
        let line = |entry: &Entry| Ok((entry.line_version(), entry.to_json()?));
        let entries: Vec<(u32, String)> = one.entries.iter().map(line).collect::<Result<_, Failure>>()?;
        let name = log.named(&job.unit.id, &now)?;
        let journal = shelf.lay_in_as(&name, &sources.files(), &entries)?;
        log.imported(journal.id(), false, &now)?;
        // told as it is done: what comes after may fail
        if !quiet {
            write_out(&format!("{}  {}\n", journal.id(), one.record.day), false)?;
        }
        builds.insert(one.record.lines.0, journal.id().to_string());
    }
    Ok(builds)
}

fn tell_json(imported: &Imported) -> Result<bool, Failure> {
    let text = to_json(&imported.summary())?;
    write_out(&text, false)?;
    Ok(imported.faults.is_empty())
}

fn tell_faults(name: &str, faults: &[RowFault]) -> Result<(), Failure> {
    for fault in faults.iter().take(MOST_TOLD) {
        write_out(&format!("{name}, {fault}\n"), true)?;
    }
    if faults.len() > MOST_TOLD {
        let more = faults.len() - MOST_TOLD;
        write_out(&format!("and {more} more faults in {name}\n"), true)?;
    }
    Ok(())
}

fn tell(imported: &Imported, write: bool) -> Result<bool, Failure> {
    let name = &imported.file;
    let there = imported.days.iter().filter(|one| one.there).count();
    let fit = imported.days.iter().filter(|one| one.fits).count() - there;
    let before = match there {
        0 => String::new(),
        1 => "; 1 was there already".to_string(),
        count => format!("; {count} were there already"),
    };
    let (days, were) = match imported.days.len() {
        1 => ("1 day".to_string(), "was"),
        count => (format!("{count} days"), "were"),
    };
    let words = match write {
        true => format!("{fit} of {days} {were} taken{before}\n"),
        false => format!("{fit} of {days} can be taken{before}; nothing was written\n"),
    };
    write_out(&words, false)?;
    match (imported.faults.len(), write) {
        (0, _) => Ok(true),
        (count, true) => Err(Failure::Rows(format!(
            "{name} has {}; the rest was taken",
            many(count)
        ))),
        (count, false) => Err(Failure::Rows(format!("{name} has {}", many(count)))),
    }
}

fn many(faults: usize) -> String {
    match faults {
        1 => "a fault".to_string(),
        count => format!("{count} faults"),
    }
}

/// Whether no row that can not be read may be one of this day: none between its first and its last, and none between it
/// and the rows of other days before and after.
fn is_whole(record: &PaperRecord, all: &[PaperRecord], spoilt: &BTreeSet<u64>) -> bool {
    if spoilt.is_empty() {
        return true;
    }
    let (first, last) = record.lines;
    let before = all.iter().flat_map(|other| [other.lines.0, other.lines.1]);
    let from = before.filter(|line| *line < first).max().unwrap_or(0);
    let after = all.iter().flat_map(|other| [other.lines.0, other.lines.1]);
    let to = after.filter(|line| *line > last).min().unwrap_or(u64::MAX);
    spoilt.range(from..=to).next().is_none()
}

/// What the builds of the unit say that are in the book.
fn known(dir: &Path, unit: &str) -> Result<Vec<Account>, Failure> {
    let shelf = Shelf::look(dir)?;
    let wanted = Wanted {
        unit: Some(unit),
        ..Wanted::default()
    };
    let builds = each_unit(&shelf, wanted, |history| history.accounts)?;
    Ok(builds
        .into_iter()
        .flatten()
        .filter(|account| slug(&account.unit) == slug(unit))
        .collect())
}

/// Tells of builds that were begun by an import of an older program and have no entry.
fn tell_empty(dir: &Path, sources: &Sources, known: &[Account]) -> Result<(), Failure> {
    let shelf = Shelf::look(dir)?;
    for account in known.iter().filter(|account| account.begun.is_empty()) {
        let Ok(id) = account.build.parse::<BuildId>() else {
            continue;
        };
        let of_import = |bytes: &Vec<u8>| *bytes == sources.procedure.text.as_bytes();
        let empty = shelf.read(&id).is_ok_and(|read| read.bytes.is_empty());
        if empty && shelf.file(&id, KEPT[3]).as_ref().is_ok_and(of_import) {
            let folder = shelf.folder(&id).display().to_string();
            let words = format!(
                "note: {id} in the book is empty: an older program was ended while it imported. Remove its folder, {}\n",
                visible(&folder)
            );
            write_out(&words, true)?;
        }
    }
    Ok(())
}

/// The time of a record. Errors: it is none, or lies ahead.
fn when(record: &PaperRecord, now: &str) -> Result<Clock, RowFault> {
    let fault = |words: String| RowFault::new(record.lines.0, "day", words);
    let clock = Clock::new(Some(&record.day))
        .map_err(|_| fault(format!("\"{}\" is no day; write it as 2019-04-12", record.day)))?;
    if seconds_of(&clock.time()) > seconds_of(now) {
        return Err(fault(format!("{} has not come yet", record.day)));
    }
    Ok(clock)
}

/// Whether a build of the book is of the day of a record, or of its time where it has one.
fn is_of(record: &PaperRecord, clock: &Clock, account: &Account) -> bool {
    let (at, begun) = (clock.time(), &account.begun);
    match record.day.len() == 10 {
        true => begun.get(..10) == at.get(..10),
        false => seconds_of(begun) == seconds_of(&at),
    }
}

/// What is in the book of a day, which would have these entries; none where the day has faults.
fn already(
    dir: &Path,
    record: &PaperRecord,
    clock: &Clock,
    known: &[Account],
    entries: &[Entry],
) -> Result<There, Failure> {
    // when it was taken, and by which program and files, is no part of what the paper says
    let said = |entries: Vec<Entry>| -> Vec<Entry> {
        let is_said = |entry: &Entry| match entry {
            Entry::Begun { .. } => false,
            Entry::Noted { text, .. } => PaperRecord::came_from(text).is_none(),
            _ => true,
        };
        entries.into_iter().filter(is_said).collect()
    };
    let wanted = said(entries.to_vec());
    let shelf = Shelf::look(dir)?;
    let mut there = There::Not;
    for account in known.iter().filter(|account| is_of(record, clock, account)) {
        let id: BuildId = account.build.parse()?;
        let stored = shelf.read(&id)?;
        let stored: Result<Vec<Entry>, _> =
            stored.entries.iter().map(|text| Entry::from_json(text)).collect();
        let stored = said(stored.unwrap_or_default());
        let build = id.to_string();
        if !wanted.is_empty() && stored == wanted {
            return Ok(There::Whole(build));
        }
        there = match stored.len() < wanted.len() && wanted.starts_with(&stored) {
            true => There::Half {
                build,
                has: stored.len(),
                of: wanted.len(),
            },
            false => There::Other(build),
        };
    }
    Ok(there)
}

impl There {
    /// Why the day is not taken.
    fn fault(&self, dir: &Path, record: &PaperRecord, clock: &Clock) -> Option<RowFault> {
        let words = match self {
            There::Not | There::Whole(_) => return None,
            There::Half { build, has, of } => format!(
                "{build} in the book is this day cut short, with {has} of {of} entries: an older program was ended while it \
                 imported. All that is in it stands in this table: remove its folder, {}, and import again",
                dir.join(build).display()
            ),
            There::Other(build) => format!(
                "{build} in the book is of {} already, and says something else; another one of that day has its time behind \
                 it, as {}T14:00:00Z",
                record.day,
                clock.time().get(..10).unwrap_or_default()
            ),
        };
        Some(RowFault::new(record.lines.0, "day", words))
    }
}

/// What a day says without what it rests on: a reading without its instrument, a breakaway without what was held.
fn lacking(job: &Job, record: &PaperRecord) -> Vec<RowFault> {
    let mut faults = Vec::new();
    let measured = record.answers.values().find(|cell| cell.column == "thickness");
    if let (Some(cell), None) = (measured, record.answers.get("micrometer")) {
        let words =
            "a day with thicknesses says which micrometer in the instruments file is like the one of then";
        faults.push(RowFault::new(cell.line, "micrometer", words));
    }
    let read = ["found-breakaway", "left-breakaway"];
    let Some(read) = read.iter().find_map(|slot| record.answers.get(*slot)) else {
        return faults;
    };
    if !record.answers.contains_key("wrench") {
        let words =
            "a day with a breakaway says which torque wrench in the instruments file is like the one of then";
        faults.push(RowFault::new(read.line, "wrench", words));
    }
    // with springs between the rings the ramps work, too, and there is no plain factor
    let between = job
        .unit
        .spring
        .as_ref()
        .is_some_and(|spring| spring.place == SpringPlace::BetweenRings);
    let (meant, other) = match (job.unit.proof.held, between) {
        (Held::Case, false) => ("case", "reads twice as much, without any drag"),
        (Held::Output, false) => ("output", "reads half as much, without any drag"),
        (Held::Case, true) => (
            "case",
            "reads at least twice as much; `reckon breakaway` reckons it over",
        ),
        (Held::Output, true) => (
            "output",
            "reads half as much or less; `reckon breakaway` reckons it over",
        ),
    };
    let held = record.answers.get("held");
    match held.map(|cell| (cell, cell.text.to_lowercase())) {
        Some((_, text)) if text == meant => {}
        Some((cell, text)) if ["case", "output"].contains(&text.as_str()) => {
            let words = format!(
                "the unit's file means its breakaway with {meant} held, which {other}: write it so, with {meant} here"
            );
            faults.push(RowFault::new(cell.line, "held", words));
        }
        Some((cell, _)) => faults.push(RowFault::new(cell.line, "held", "case or output is wanted")),
        None => {
            let words = "a day with a breakaway says what was held: case or output";
            faults.push(RowFault::new(read.line, "held", words));
        }
    }
    faults
}

/// The plates of a day that the unit's file does not have.
fn strangers(job: &Job, record: &PaperRecord) -> Vec<RowFault> {
    let of_plates = record.answers.iter().filter_map(|(slot, cell)| {
        let (_, plate) = slot.split_once('/')?;
        Some((plate, cell.line))
    });
    let remarked = record
        .remarks
        .iter()
        .filter_map(|(plate, cell)| Some((plate.as_deref()?, cell.line)));
    let unknown: BTreeSet<(u64, &str)> = of_plates
        .chain(remarked)
        .filter(|(plate, _)| job.unit.plate(plate).is_none())
        .map(|(plate, line)| (line, plate))
        .collect();
    let told = unknown.into_iter().map(|(line, plate)| {
        let near = job
            .unit
            .plates
            .iter()
            .find(|one| one.name.eq_ignore_ascii_case(plate));
        let near = near.map_or(String::new(), |near| format!("; did you mean {}?", near.name));
        let words = format!("the unit's file has no plate {plate}{near}");
        RowFault::new(line, "plate", words)
    });
    told.collect()
}

/// The entries of a record, as the engine takes them, and what they come to; what it does not take, with its place in the file.
fn played(
    sources: &Sources,
    job: &Job,
    record: &PaperRecord,
    clock: &Clock,
    asked: &Import,
    file: &str,
    now: &str,
) -> Result<(Vec<Entry>, Account), Vec<RowFault>> {
    let at = clock.time();
    let mut faults = Vec::new();
    faults.extend(strangers(job, record));
    faults.extend(lacking(job, record));
    let (mut session, first) = Session::start(job.clone(), begun(sources, asked.units, clock, None));
    let mut entries = vec![first];
    let file = Path::new(file)
        .file_name()
        .map_or(file.into(), |name| name.to_string_lossy());
    let from = record.note(&file, now.get(..10).unwrap_or(now));
    let of_the_day = record.remarks.iter().filter(|(plate, _)| plate.is_none());
    let mut notes: Vec<String> = std::iter::once(from)
        .chain(of_the_day.map(|(_, cell)| cell.text.clone()))
        .collect();
    while let Some(ask) = session.ask() {
        if ask.slot.step == "plate-look" {
            let of_it = record
                .remarks
                .iter()
                .filter(|(plate, _)| plate.is_some() && *plate == ask.slot.item);
            notes.extend(of_it.map(|(_, cell)| cell.text.clone()));
        }
        // after the first answer, so that each has the name of who did the work
        if session.answered() > 0 {
            for note in notes.drain(..) {
                match session.answer(&Reply::Note(note), &at) {
                    Ok(taken) => {
                        session.apply(&taken.entries);
                        entries.extend(taken.entries);
                    }
                    Err(refusal) => faults.push(RowFault::new(record.lines.0, "remark", refusal.words)),
                }
            }
        }
        let slot = ask.slot.to_string();
        let cell = match slot.as_str() {
            // the hand that is written there, as far as the paper says
            "sign-built" => record.answers.get("who"),
            slot => record.answers.get(slot),
        };
        let reply = match (cell, slot.as_str()) {
            (Some(cell), _) => Reply::Answer(cell.text.clone()),
            (None, _) => Reply::Skip("not on the paper".to_string()),
        };
        let mut taken = session.answer(&reply, &at);
        if let (Err(refusal), Some(cell)) = (&taken, cell)
            && refusal.sure
            && cell.sure
        {
            taken = session.answer(&Reply::Answer(crate::procedure::SURE.to_string()), &at);
        }
        match taken {
            Ok(taken) => {
                session.apply(&taken.entries);
                entries.extend(taken.entries);
            }
            Err(refusal) => {
                let column = match slot.as_str() {
                    "who" => "by",
                    "rebuilt" => "rebuilt",
                    _ => "",
                };
                let here = (record.lines.0, column);
                let (line, column) = cell.map_or(here, |cell| (cell.line, cell.column));
                let words = match cell {
                    Some(_) if refusal.sure => or_sure(refusal.words.clone()),
                    Some(_) => refusal.words.clone(),
                    None if slot == "who" => "a record says who did the work".to_string(),
                    None if slot == "rebuilt" => {
                        "write yes where the unit was put together anew then, no where it was only looked at"
                            .to_string()
                    }
                    None => format!("{slot} is wanted: {}", refusal.words),
                };
                faults.push(RowFault::new(line, column, words));
                // the rest is looked at all the same; nothing of this day is written down any more
                let instead = match slot.as_str() {
                    "rebuilt" => Reply::Answer("no".to_string()),
                    "who" | "sign-built" => Reply::Answer("nobody".to_string()),
                    _ => Reply::Skip("not taken".to_string()),
                };
                match session.answer(&instead, &at) {
                    Ok(taken) => drop(session.apply(&taken.entries)),
                    Err(_) => break,
                }
            }
        }
    }
    if faults.is_empty() && session.is_finished() {
        Ok((entries, session.account("", "")))
    } else {
        Err(faults)
    }
}
