use super::failure::Failure;
use super::load::{KEPT, Reader, SETTING};
use super::reports::write_out;
use crate::book::{BuildId, Index, Made, Shelf, slug};
use crate::quantity::visible;
use crate::record::{Account, seconds_of};
use std::cell::RefCell;
use std::io::IsTerminal;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

/// What the index holds, and how it is worked out: raise the number when an account comes out otherwise for the same
/// build, so that what was kept by the program before is not taken.
const HOLDS: &str = concat!("account 1 of shimwright ", env!("CARGO_PKG_VERSION"));
/// What the index holds of a run of practice.
const NO_BUILD: &str = "null";
/// The most threads that read.
const MOST_THREADS: usize = 8;
/// Nothing is said of a reading that takes less than this.
const PATIENCE: Duration = Duration::from_secs(1);
const BETWEEN_WORDS: Duration = Duration::from_millis(200);

/// The builds of one unit, from the first to the last by the time at which they were begun.
pub(super) struct UnitHistory {
    /// The front part of the builds' names.
    pub slug: String,
    /// What each build says. One that is damaged has its problems with it, and ends where it can no longer be trusted;
    /// of one that can not be read at all there is nothing else, and it stands in front.
    pub accounts: Vec<Account>,
}

/// Which builds are read, and how.
#[derive(Clone, Copy, Default)]
pub(super) struct Wanted<'a> {
    /// Only this unit, by its id; all where `None`.
    pub unit: Option<&'a str>,
    /// Take nothing from the index, and write it anew.
    pub afresh: bool,
}

/// Reads the builds of the book, unit by unit, and gives what `make` makes of each unit, in the order of their names.
/// Only one unit a thread is in memory at a time. What a build comes to is taken from the index where it is there and
/// the build is as it was; a book that can not be written to is read without.
pub(super) fn each_unit<T: Send>(
    shelf: &Shelf,
    wanted: Wanted<'_>,
    make: impl Fn(UnitHistory) -> T + Sync,
) -> Result<Vec<T>, Failure> {
    let mut builds = shelf.list()?;
    if let Some(unit) = wanted.unit {
        let wanted = slug(unit);
        builds.retain(|id| id.slug() == wanted);
    }
    builds.sort_by(|a, b| (a.slug(), a.number()).cmp(&(b.slug(), b.number())));
    let groups: Vec<&[BuildId]> = builds.chunk_by(|a, b| a.slug() == b.slug()).collect();
    let [unit, drawer, instruments, procedure] = KEPT;
    let files = [unit, drawer, instruments, procedure, SETTING];
    let index = Index::of(shelf, HOLDS, &files).afresh(wanted.afresh);
    let next = AtomicUsize::new(0);
    let (tell, told) = channel();
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let threads = threads.min(MOST_THREADS).min(groups.len());
    let mut made: Vec<(usize, T)> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                let (tell, next, groups, index, make) = (tell.clone(), &next, &groups, &index, &make);
                scope.spawn(move || {
                    let mut made = Vec::new();
                    while let Some((n, group)) = take(next, groups) {
                        let history = read_unit(shelf, index, group, &tell);
                        if !history.accounts.is_empty() {
                            made.push((n, make(history)));
                        }
                    }
                    made
                })
            })
            .collect();
        drop(tell);
        show_progress(&told, builds.len())?;
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

/// Says on the error stream which builds could not be read whole.
pub(super) fn warn_of(damaged: &[(String, String)]) -> Result<(), Failure> {
    for (build, why) in damaged {
        write_out(&format!("warning: {build}: {}\n", visible(why)), true)?;
    }
    Ok(())
}

fn take<'g>(next: &AtomicUsize, groups: &[&'g [BuildId]]) -> Option<(usize, &'g [BuildId])> {
    let n = next.fetch_add(1, Ordering::Relaxed);
    Some((n, *groups.get(n)?))
}

fn read_unit(shelf: &Shelf, index: &Index<'_>, builds: &[BuildId], tell: &Sender<()>) -> UnitHistory {
    let reader = RefCell::new(Reader::default());
    let mut accounts = Vec::with_capacity(builds.len());
    let make = |id: &BuildId| {
        let Some(account) = account(&mut reader.borrow_mut(), shelf, id) else {
            return Made::Kept(NO_BUILD.to_string());
        };
        match account.to_json() {
            Ok(text) if account.problems.is_empty() => Made::Kept(text),
            Ok(text) => Made::Once(text),
            Err(_) => Made::Once(String::new()),
        }
    };
    index.texts(builds, &make, &mut |id, text| {
        // when nobody listens any more, nobody waits for the words
        let _ = tell.send(());
        if text != NO_BUILD {
            // a text that is whole and of this version and yet can not be read: the build itself is asked
            let kept = Account::from_json(text).ok();
            accounts.extend(kept.or_else(|| account(&mut reader.borrow_mut(), shelf, id)));
        }
    });
    accounts.sort_by_cached_key(|account| seconds_of(&account.begun));
    UnitHistory {
        slug: builds.first().map_or(String::new(), |id| id.slug().to_string()),
        accounts,
    }
}

/// What one build says; only what is wrong with it where it can not be read, and nothing where it is practice.
fn account(reader: &mut Reader, shelf: &Shelf, id: &BuildId) -> Option<Account> {
    match reader.open_build(shelf, id) {
        Ok(opened) => Some(Account {
            problems: opened.problems,
            ..opened.session.account(id.as_str(), &opened.digest)
        }),
        Err(Failure::Practice(_)) => None,
        Err(failure) => Some(Account {
            build: id.to_string(),
            unit: id.slug().to_string(),
            problems: vec![failure.to_string().lines().next().unwrap_or_default().to_string()],
            ..Account::default()
        }),
    }
}

/// Counts the builds that are read, and says how far it has come on anything longer than a second.
fn show_progress(told: &Receiver<()>, of: usize) -> Result<(), Failure> {
    let begun = Instant::now();
    let shown = std::io::stderr().is_terminal();
    let (mut count, mut wrote) = (0_usize, false);
    let mut next = PATIENCE;
    loop {
        match told.recv_timeout(BETWEEN_WORDS) {
            Ok(()) => count += 1 + told.try_iter().count(),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => break,
        }
        if shown && begun.elapsed() >= next {
            write_out(&format!("\rreading the book: {count} of {of} builds"), true)?;
            wrote = true;
            next = begun.elapsed() + BETWEEN_WORDS;
        }
    }
    if wrote {
        // the line goes away again
        write_out(&format!("\r{:60}\r", ""), true)?;
    }
    Ok(())
}
