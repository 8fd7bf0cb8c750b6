//! The whole book, unit by unit: read by several threads, through the index.

use super::days::is_day;
use super::failure::Failure;
use super::load::{KEPT, Reader, SETTING, left_alone};
use super::output::write_out;
use super::progress::{BETWEEN_WORDS, Progress};
use crate::book::{BookError, BuildId, Index, Shelf, WorkedOut, slug};
use crate::history::{Account, Parts, Shelved, UnitBrief};
use crate::quantity::{seconds_of, visible};
use crate::record::formats::ACCOUNT;
use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;

/// What the index holds of a run of practice.
const NO_BUILD: &str = "null";
/// The most threads that read.
const MOST_THREADS: usize = 8;
/// The builds of one unit, from the first to the last by the time at which they were begun.
pub(crate) struct UnitHistory {
    /// The front part of the builds' names.
    pub slug: String,
    /// What each build says. One that is damaged has its problems with it, and ends where it can no longer be trusted;
    /// of one that can not be read at all there is nothing else, and it stands in front.
    pub accounts: Vec<Account>,
}

/// Which builds are read, and how.
#[derive(Clone, Copy, Default)]
pub(crate) struct Wanted<'a> {
    /// Only this unit, by its id; all where `None`.
    pub unit: Option<&'a str>,
    /// Only builds of other units than the one, and of these only units of which a build has one of the parts.
    pub elsewhere: Option<(&'a str, &'a Parts)>,
    /// Take nothing from the index, and write it anew.
    pub afresh: bool,
}

impl Wanted<'_> {
    fn takes_unit(&self, id: &BuildId, marks: &[String]) -> bool {
        self.unit.is_none_or(|unit| id.is_of(&slug(unit), marks))
            && self
                .elsewhere
                .is_none_or(|(unit, _)| !id.is_of(&slug(unit), marks))
    }

    /// Whether a unit is taken for a build, by the line that its account is kept as.
    fn takes(&self, shelf: &Shelf, id: &BuildId, line: &str) -> bool {
        let Some((_, parts)) = self.elsewhere else {
            return true;
        };
        // of a build that can not be read the files say which plates it had
        let files = || {
            ["unit.toml", "drawer.toml"]
                .iter()
                .any(|name| match shelf.file(id, name) {
                    Ok(bytes) => parts.are_named_in(&String::from_utf8_lossy(&bytes)),
                    // what may not be read may have them
                    Err(BookError::Io { .. }) => true,
                    Err(_) => false,
                })
        };
        parts.are_in(line) || (Account::is_unread(line) && files())
    }
}

/// What the builds of a unit say, and those of other units that had a plate which has been in it, in order of time.
pub(crate) fn with_its_plates(shelf: &Shelf, unit: &str, afresh: bool) -> Result<Vec<Account>, Failure> {
    let own = Wanted {
        unit: Some(unit),
        afresh,
        ..Wanted::default()
    };
    let builds = shelf.contents()?.named();
    let mut accounts: Vec<Account> = each_unit_of(shelf, &builds, own, |history| history.accounts)?
        .into_iter()
        .flatten()
        .collect();
    let parts = Parts::of(&accounts);
    if !parts.is_empty() {
        let elsewhere = Wanted {
            elsewhere: Some((unit, &parts)),
            afresh,
            ..Wanted::default()
        };
        accounts.extend(
            each_unit_of(shelf, &builds, elsewhere, |history| history.accounts)?
                .into_iter()
                .flatten(),
        );
        // by what the clock said, wherever that was; the book's own order where two are the same
        accounts.sort_by_key(|account| seconds_of(&account.begun));
    }
    Ok(accounts)
}

/// What the builds of the book say, or those of one unit.
pub(crate) fn every_account(shelf: &Shelf, unit: Option<&str>) -> Result<Vec<Account>, Failure> {
    let wanted = Wanted {
        unit,
        ..Wanted::default()
    };
    let builds = shelf.contents()?.named();
    let all = each_unit_of(shelf, &builds, wanted, |history| history.accounts)?;
    Ok(all.into_iter().flatten().collect())
}

/// Reads the builds of the book, unit by unit, and gives what `make` makes of each unit, in the order of their names.
/// Only one unit a thread is in memory at a time. What a build comes to is taken from the index where it is there and
/// the build is as it was; a book that can not be written to is read without.
pub(crate) fn each_unit<T: Send>(
    shelf: &Shelf,
    wanted: Wanted<'_>,
    make: impl Fn(UnitHistory) -> T + Sync,
) -> Result<Vec<T>, Failure> {
    each_unit_of(shelf, &all_named(shelf, wanted)?, wanted, make)
}

/// All that has the name of a build; of what is left out of a look at the whole book for its name, that is said.
fn all_named(shelf: &Shelf, wanted: Wanted<'_>) -> Result<Vec<BuildId>, Failure> {
    let contents = shelf.contents()?;
    if wanted.unit.is_none() {
        for path in contents.nameless() {
            write_out(&left_alone(path), true)?;
        }
    }
    Ok(contents.named())
}

fn each_unit_of<T: Send>(
    shelf: &Shelf,
    builds: &[BuildId],
    wanted: Wanted<'_>,
    make: impl Fn(UnitHistory) -> T + Sync,
) -> Result<Vec<T>, Failure> {
    each_group(shelf, builds, wanted, |index, group, count| {
        if let Some((_, parts)) = wanted.elsewhere
            && !brief(shelf, index, group, count)?.may_have(parts)
        {
            return None;
        }
        let history = read_unit(shelf, index, group, wanted, count);
        (!history.accounts.is_empty()).then(|| make(history))
    })
}

/// What there is to say in short of each unit, or of the one with an id, in the order of their names. A unit of which no
/// build was written to is not worked out again.
pub(crate) fn each_brief(shelf: &Shelf, unit: Option<&str>, afresh: bool) -> Result<Vec<UnitBrief>, Failure> {
    let wanted = Wanted {
        unit,
        afresh,
        ..Wanted::default()
    };
    let builds = all_named(shelf, wanted)?;
    each_group(shelf, &builds, wanted, |index, group, count| {
        brief(shelf, index, group, count)
    })
}

/// What a list of the book says of each build, unit by unit; one that can not be read is a state, not an error.
pub(crate) fn each_shelved(shelf: &Shelf, builds: &[BuildId]) -> Result<Vec<Shelved>, Failure> {
    let each = each_group(shelf, builds, Wanted::default(), |index, group, count| {
        let mut listed = Vec::with_capacity(group.len());
        read_each(shelf, index, group, count, &|_, _| true, &mut |id, account| {
            match account {
                Some(account) => listed.push(Shelved::of(&account)),
                // a drive day is no build, and has a list of its own
                None if is_day(shelf, id) => {}
                None => {
                    let why = Failure::Practice(id.to_string()).to_string();
                    listed.push(Shelved::unread(id.as_str(), &why));
                }
            }
        });
        Some(listed)
    })?;
    Ok(each.into_iter().flatten().collect())
}

/// All builds of one unit in short; `None` where they are practice.
fn brief(shelf: &Shelf, index: &Index<'_>, group: &[BuildId], count: &Count<'_>) -> Option<UnitBrief> {
    let work = || {
        let history = read_unit(shelf, index, group, Wanted::default(), count);
        let whole = history.accounts.iter().all(Account::is_whole);
        let brief = (!history.accounts.is_empty()).then(|| UnitBrief::of(&history.slug, &history.accounts));
        (brief, whole)
    };
    let worked = Cell::new(None);
    let text = index.text_of_all(group, || {
        let (brief, whole) = work();
        let text = brief
            .as_ref()
            .map_or(Ok(NO_BUILD.to_string()), UnitBrief::to_json);
        worked.set(Some(brief));
        match text {
            // what is wrong with a build is looked at each time
            Ok(text) if whole => WorkedOut::Kept(text),
            _ => WorkedOut::Once(String::new()),
        }
    });
    match worked.into_inner() {
        Some(brief) => brief,
        None if text == NO_BUILD => None,
        None => UnitBrief::from_json(&text).map_or_else(|_| work().0, Some),
    }
}

/// Does something for the builds of each unit that is wanted, and gives what came of it in the order of their names.
fn each_group<T: Send>(
    shelf: &Shelf,
    builds: &[BuildId],
    wanted: Wanted<'_>,
    work: impl Fn(&Index<'_>, &[BuildId], &Count<'_>) -> Option<T> + Sync,
) -> Result<Vec<T>, Failure> {
    let marks = shelf.marks()?;
    let mut builds: Vec<BuildId> = builds
        .iter()
        .filter(|id| wanted.takes_unit(id, &marks))
        .cloned()
        .collect();
    // those of one unit stand together, whichever machine began them
    let place = |id: &BuildId| {
        (
            id.without_mark(&marks).to_string(),
            id.slug().to_string(),
            id.number(),
        )
    };
    builds.sort_by_cached_key(place);
    let groups: Vec<&[BuildId]> = builds
        .chunk_by(|a, b| a.without_mark(&marks) == b.without_mark(&marks))
        .collect();
    let [unit, drawer, instruments, procedure] = KEPT;
    let files = [unit, drawer, instruments, procedure, SETTING];
    // an account or a brief of another number may come out otherwise for the same builds
    let holds = format!(
        "account {} of shimwright {}",
        ACCOUNT.newest(),
        env!("CARGO_PKG_VERSION")
    );
    let index = Index::of(shelf, &holds, &files).afresh(wanted.afresh);
    let next = AtomicUsize::new(0);
    let done = AtomicUsize::new(0);
    let (at_work, all_done) = channel();
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let threads = threads.min(MOST_THREADS).min(groups.len());
    let mut made: Vec<(usize, T)> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                let (at_work, done, next, groups, index, work) =
                    (at_work.clone(), &done, &next, &groups, &index, &work);
                scope.spawn(move || {
                    let _at_work = at_work;
                    let mut made = Vec::new();
                    while let Some((n, group)) = take(next, groups) {
                        let count = Count {
                            done,
                            left: Cell::new(group.len()),
                        };
                        made.extend(work(index, group, &count).map(|one| (n, one)));
                        count.all();
                    }
                    made
                })
            })
            .collect();
        drop(at_work);
        show_progress(&done, &all_done, builds.len())?;
        let mut made = Vec::new();
        for worker in workers {
            match worker.join() {
                Ok(some) => made.extend(some),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok::<_, Failure>(made)
    })?;
    made.sort_by_key(|(n, _)| *n);
    Ok(made.into_iter().map(|(_, one)| one).collect())
}

/// Counts the builds of one unit as they are read, each once.
struct Count<'a> {
    /// How many builds of all units are done.
    done: &'a AtomicUsize,
    /// How many of this unit are not counted yet.
    left: Cell<usize>,
}

impl Count<'_> {
    fn one(&self) {
        if let Some(left) = self.left.get().checked_sub(1) {
            self.left.set(left);
            self.done.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn all(&self) {
        self.done.fetch_add(self.left.take(), Ordering::Relaxed);
    }
}

/// Says on the error stream which builds could not be read whole.
pub(crate) fn warn_of(damaged: &[(String, String)]) -> Result<(), Failure> {
    for (build, why) in damaged {
        write_out(&format!("warning: {build}: {}\n", visible(why)), true)?;
    }
    Ok(())
}

fn take<'g>(next: &AtomicUsize, groups: &[&'g [BuildId]]) -> Option<(usize, &'g [BuildId])> {
    let n = next.fetch_add(1, Ordering::Relaxed);
    Some((n, *groups.get(n)?))
}

fn read_unit(
    shelf: &Shelf,
    index: &Index<'_>,
    builds: &[BuildId],
    wanted: Wanted<'_>,
    count: &Count<'_>,
) -> UnitHistory {
    let mut accounts = Vec::with_capacity(builds.len());
    let taken = Cell::new(false);
    let takes = |id: &BuildId, line: &str| {
        let is_build = line != NO_BUILD;
        taken.set(taken.get() || (is_build && wanted.takes(shelf, id, line)));
        is_build
    };
    read_each(shelf, index, builds, count, &takes, &mut |_, account| {
        accounts.extend(account)
    });
    // a part is taken out by a build that does not name it: of a unit that had one all builds count
    if !taken.get() {
        accounts.clear();
    }
    accounts.sort_by_cached_key(|account| seconds_of(&account.begun));
    UnitHistory {
        slug: builds.first().map_or(String::new(), |id| id.slug().to_string()),
        accounts,
    }
}

/// Gives what each build of one unit says that `takes` takes by the line that its account is kept as; nothing of practice.
/// Of two finished ones with one journal the second has that among its problems, so that no wear is counted twice.
fn read_each(
    shelf: &Shelf,
    index: &Index<'_>,
    builds: &[BuildId],
    count: &Count<'_>,
    takes: &dyn Fn(&BuildId, &str) -> bool,
    each: &mut dyn FnMut(&BuildId, Option<Account>),
) {
    let reader = RefCell::new(Reader::default());
    let make = |id: &BuildId| {
        let Some(account) = read_account(&mut reader.borrow_mut(), shelf, id) else {
            return WorkedOut::Kept(NO_BUILD.to_string());
        };
        match account.to_json() {
            Ok(text) if account.is_whole() => WorkedOut::Kept(text),
            Ok(text) => WorkedOut::Once(text),
            Err(_) => WorkedOut::Once(String::new()),
        }
    };
    let mut journals: HashMap<String, String> = HashMap::new();
    index.texts(builds, &make, &mut |id, text| {
        count.one();
        if !takes(id, text) {
            return;
        }
        if text == NO_BUILD {
            return each(id, None);
        }
        // a text that is whole and of this version and yet can not be read: the build itself is asked
        let kept = Account::from_json(text).ok();
        let mut account = kept.or_else(|| read_account(&mut reader.borrow_mut(), shelf, id));
        // two that a program begins within one second say the same for a while; what is not finished counts nowhere yet
        if let Some(account) = account.as_mut().filter(|account| account.finished.is_some()) {
            match journals.entry(account.digest.clone()) {
                Entry::Occupied(first) => account.problems.push(format!(
                    "it has the same journal as {first}, as a copied folder has; only {first} is counted",
                    first = first.get()
                )),
                Entry::Vacant(place) => {
                    place.insert(account.build.clone());
                }
            }
        }
        each(id, account);
    });
}

/// What one build says, read from its journal; only what is wrong with it where it can not be read, and nothing where it
/// is practice.
pub(crate) fn account(shelf: &Shelf, id: &BuildId) -> Option<Account> {
    read_account(&mut Reader::default(), shelf, id)
}

fn read_account(reader: &mut Reader, shelf: &Shelf, id: &BuildId) -> Option<Account> {
    match reader.open_build(shelf, id) {
        Ok(opened) => Some(Account {
            problems: opened.problems,
            newer: opened.newer,
            ..opened.session.account(id.as_str(), &opened.digest)
        }),
        Err(Failure::Practice(_) | Failure::Day(_)) => None,
        Err(Failure::Newer { why, .. }) => Some(Account {
            build: id.to_string(),
            unit: id.slug().to_string(),
            newer: vec![why],
            ..Account::default()
        }),
        Err(failure) => Some(Account {
            build: id.to_string(),
            unit: id.slug().to_string(),
            problems: vec![failure.to_string().lines().next().unwrap_or_default().to_string()],
            ..Account::default()
        }),
    }
}

/// Says how far the reading has come, on anything longer than a second, until all that are at work have let go of their
/// end of the channel: nothing is sent over it, so that nobody is woken for a count.
fn show_progress(done: &AtomicUsize, all_done: &Receiver<()>, of: usize) -> Result<(), Failure> {
    let mut progress = Progress::new("reading the book", of, "builds");
    while all_done.recv_timeout(BETWEEN_WORDS) == Err(RecvTimeoutError::Timeout) {
        progress.at(done.load(Ordering::Relaxed))?;
    }
    progress.end()
}
