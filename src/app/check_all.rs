//! The check of a whole book: every build, the logs, the numbers, who may write to it, and what has run out.

use super::book_log::read_logs;
use super::check::{logged_rotations, not_revoked, told_of_book};
use super::clock::Clock;
use super::close::still_to_do;
use super::failure::Failure;
use super::load::look;
use super::progress::{BETWEEN_WORDS, Progress};
use super::seals::{moment, rules, signers, told_of_rotations};
use super::sheet_check::sheet_check;
use super::stored::{SHEET, stored};
use super::time_tokens::{TokenCount, time_certificates, told_of_all, told_of_tokens};
use crate::book::{BookError, BuildId, Remembered, Shelf, others_may_write};
use crate::quantity::minute;
use crate::record::book_check::{BookCheck, BuildChecked};
use crate::record::log_check::Logs;
use crate::record::{Certainty, Finding, Rules};
use crate::seal::{Signers, TimeCertificates};
use crate::sheet::{GivenFont, PAGE_FORM};
use crate::workshop::read_instruments;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// The most threads that read.
const MOST_THREADS: usize = 8;
/// So many names are told of what may be many.
const MOST_NAMED: usize = 20;

/// A book that is to be checked as a whole.
pub(crate) struct CheckAll {
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Who is who, instead of the file in the book.
    pub signers: Option<PathBuf>,
    /// Certificates that are trusted to give times.
    pub time_certificate: Option<PathBuf>,
    /// Whether each sheet is printed anew and compared.
    pub sheets: bool,
    /// A font that was handed in, for sheets that were printed with it.
    pub font: Option<GivenFont>,
}

/// What every build of a book is held against.
struct Lists<'a> {
    shelf: &'a Shelf,
    logs: &'a Logs,
    signers: &'a Signers,
    rules: &'a Rules,
    certificates: Option<&'a TimeCertificates>,
    font: Option<&'a GivenFont>,
    remembered: Option<&'a Remembered>,
}

/// Checks a whole book, with the sheets in it where they are asked for; nothing is written to it but, into the index, which
/// sheets were found to be their records'.
pub(crate) fn check_all(asked: &CheckAll) -> Result<BookCheck, Failure> {
    let CheckAll {
        book,
        signers: given,
        time_certificate,
        sheets,
        font,
    } = asked;
    let shelf = look(book.as_ref())?;
    let (signers_path, signers) = signers(given.as_deref(), &shelf)?;
    let certificates = time_certificates(time_certificate.as_deref())?;
    let rules = rules(shelf.dir())?;
    let logs = read_logs(&shelf)?;
    let contents = shelf.contents()?;
    let ids = contents.named();
    let holds = format!(
        "sheets compared by shimwright {}, page form {PAGE_FORM}",
        env!("CARGO_PKG_VERSION")
    );
    let remembered = sheets.then(|| Remembered::of(&shelf, "sheets", &holds));
    let lists = Lists {
        shelf: &shelf,
        logs: &logs,
        signers: &signers,
        rules: &rules,
        certificates: certificates.as_ref(),
        font: font.as_ref(),
        remembered: remembered.as_ref(),
    };
    let (builds, tokens): (Vec<BuildChecked>, Vec<TokenCount>) = each(&lists, &ids)?.into_iter().unzip();
    if let Some(remembered) = remembered {
        remembered.keep();
    }
    let mut checked = BookCheck {
        book: shelf.dir().display().to_string(),
        builds,
        findings: logs.findings.clone(),
    };
    let names: BTreeSet<String> = ids.iter().map(ToString::to_string).collect();
    for name in logs.builds().filter(|name| !names.contains(*name)) {
        let found = told_of_book(logs.judge_missing(name).into_iter().collect());
        checked
            .builds
            .extend(found.into_iter().map(|finding| BuildChecked {
                findings: vec![finding.clone()],
                removed: logs.removed(name),
                ..BuildChecked::unread(name, finding.certainty, "")
            }));
    }
    let of_lists = [
        told_of_rotations(&shelf, &signers, true)?,
        logged_rotations(&shelf, &logs)?,
        rules.unread().collect(),
    ];
    checked.findings.extend(of_lists.into_iter().flatten());
    checked.findings.extend(not_revoked(&signers));
    checked
        .findings
        .extend(told_of_all(&tokens, time_certificate.as_deref()));
    checked.builds.sort_by(|a, b| a.build.cmp(&b.build));
    let said = sheets.then(|| checked.sheets_words());
    let mut say = |certainty, words: String| checked.findings.push(Finding::new(certainty, words));
    match logs.since() {
        Some((at, 0)) => say(Certainty::Holds, format!("its log counts from {} on, when the book was begun", minute(at))),
        Some((at, before)) => say(
            Certainty::Holds,
            format!(
                "its log counts from {} on; what was taken away of {} before can not be found",
                minute(at),
                match before {
                    1 => "the 1 build".to_string(),
                    before => format!("the {before} builds"),
                }
            ),
        ),
        // a log that can not be read is told for itself
        None if ids.is_empty() || !logs.is_empty() => {}
        None => say(
            Certainty::Open,
            "it has no log, so a build that was taken away, or an older book, can not be found; the next thing that is written \
             begins one, or `shimwright adopt`"
                .to_string(),
        ),
    }
    if let Some(words) = said {
        say(Certainty::Holds, words);
    }
    say_gaps(&logs, &names, &mut say);
    for path in contents.nameless() {
        let words = format!(
            "{} is no build; `shimwright adopt` looks whether it is a copy of one",
            path.display()
        );
        say(Certainty::Note, words);
    }
    for path in [shelf.dir(), &signers_path]
        .into_iter()
        .filter(|path| others_may_write(path))
    {
        say(
            Certainty::Open,
            format!(
                "everyone on this machine may write to {}: take that right away (chmod o-w)",
                path.display()
            ),
        );
    }
    let now = Clock::Now.time();
    say_run_out(&shelf, &ids, &signers, &now, &mut say);
    say(
        Certainty::Note,
        "what can not be found: a whole book put back with its log, where no paper, no seal elsewhere and no other machine's log \
         is newer; a change inside the last line of a log that nothing has followed"
            .to_string(),
    );
    Ok(checked)
}

/// Checks every build, with as many threads as there are processors.
fn each(lists: &Lists<'_>, ids: &[BuildId]) -> Result<Vec<(BuildChecked, TokenCount)>, Failure> {
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let threads = thread::available_parallelism()
        .map_or(1, usize::from)
        .min(MOST_THREADS);
    let doing = match lists.remembered {
        Some(_) => "checking the book and printing its sheets anew",
        None => "checking the book",
    };
    let mut progress = Progress::new(doing, ids.len(), "builds");
    thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                scope.spawn(|| {
                    let mut checked = Vec::new();
                    while let Some(id) = ids.get(next.fetch_add(1, Ordering::Relaxed)) {
                        checked.push(one(lists, id));
                        done.fetch_add(1, Ordering::Relaxed);
                    }
                    checked
                })
            })
            .collect();
        while workers.iter().any(|worker| !worker.is_finished()) && done.load(Ordering::Relaxed) < ids.len() {
            progress.at(done.load(Ordering::Relaxed))?;
            thread::park_timeout(BETWEEN_WORDS.min(std::time::Duration::from_millis(20)));
        }
        progress.end()?;
        let mut checked = Vec::new();
        for worker in workers {
            match worker.join() {
                Ok(some) => checked.extend(some),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(checked)
    })
}

fn one(lists: &Lists<'_>, id: &BuildId) -> (BuildChecked, TokenCount) {
    let Lists {
        shelf,
        logs,
        signers,
        rules,
        certificates,
        font,
        remembered,
    } = *lists;
    let stored = match stored(shelf, id) {
        Ok(stored) => stored,
        Err(failure) => {
            let certainty = match failure {
                // it says nothing of the record
                Failure::Book(BookError::Io { .. }) => Certainty::Open,
                _ => Certainty::Broken,
            };
            let unread = BuildChecked::unread(id.as_str(), certainty, &failure.to_string());
            return (unread, TokenCount::default());
        }
    };
    let mut examined = stored.examine(signers, &moment);
    examined.book = told_of_book(logs.judge_build(&stored));
    let asked_of_seals = rules.findings(&stored, &examined);
    examined.findings.extend(asked_of_seals);
    let of_tokens = told_of_tokens(&stored, &examined, certificates);
    let tokens = TokenCount::of(&stored, &examined, &of_tokens);
    examined.findings.extend(of_tokens);
    // a record that does not hold gives no sheet to hold another against
    if remembered.is_some() && examined.verdict() != Certainty::Broken {
        examined.sheet = match sheet_check(shelf, id, &stored, font, remembered) {
            Ok(found) => found,
            Err(failure) => Some(Finding::new(Certainty::Open, format!("{SHEET}: {failure}"))),
        };
    }
    match still_to_do(shelf, id) {
        Ok(None) => {}
        Ok(Some(words)) => examined.findings.push(Finding::new(Certainty::Open, words)),
        Err(failure) => examined
            .findings
            .push(Finding::new(Certainty::Open, failure.to_string())),
    }
    (BuildChecked::of(&examined), tokens)
}

/// Numbers that were passed over.
fn say_gaps(logs: &Logs, names: &BTreeSet<String>, say: &mut dyn FnMut(Certainty, String)) {
    let gaps = logs.gaps(names);
    if gaps.is_empty() {
        return;
    }
    let named: Vec<&str> = gaps.iter().take(MOST_NAMED).map(String::as_str).collect();
    let more = match gaps.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    say(
        Certainty::Open,
        format!(
            "numbers that no build has, though later ones were given, and that no log knows: {}{more}; they were taken away before \
             the log began, or laid away by hand",
            named.join(", ")
        ),
    );
}

/// Instruments and keys that have run out.
fn say_run_out(
    shelf: &Shelf,
    ids: &[BuildId],
    signers: &Signers,
    now: &str,
    say: &mut dyn FnMut(Certainty, String),
) {
    // what the last build of each unit was measured with is what lies on the bench
    let mut last: BTreeMap<&str, &BuildId> = BTreeMap::new();
    for id in ids {
        last.insert(id.slug(), id);
    }
    let mut out: BTreeSet<(String, String)> = BTreeSet::new();
    for id in last.values() {
        let Ok(bytes) = shelf.file(id, "instruments.toml") else {
            continue;
        };
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let all = read_instruments("instruments.toml", &text).unwrap_or_default();
        let over = all
            .into_iter()
            .filter(|one| one.due.as_str() < now.get(..10).unwrap_or(now));
        out.extend(over.map(|one| (one.id, one.due)));
    }
    for (instrument, due) in out {
        say(
            Certainty::Open,
            format!("{instrument} was due to be calibrated on {due}, by the files of the last builds"),
        );
    }
    if let Some(now) = moment(now) {
        for (name, words) in signers.run_out(&now) {
            say(Certainty::Note, format!("the key of {name}: {words}"));
        }
    }
}
