//! What the logs of a book say of it and of its builds, in words.

use super::entry::Entry;
use super::finding::{Certainty, Finding};
use super::log::{Happened, LogFile, LogLine, LoggedBuild, logged};
use super::log_head::Head;
use super::log_settled::{Forks, Settlements};
use super::seal_check::Stored;
use super::statement::{Statement, seal_number};
use std::collections::{BTreeMap, BTreeSet};

/// The logs of a book: of each machine the one that counts, and what is to be said of them.
#[derive(Clone, Debug, Default)]
pub struct Logs {
    logs: Vec<LogFile>,
    /// What was found about the files themselves.
    pub findings: Vec<Finding>,
    /// Files that were gone on with otherwise than the log of their machine that counts.
    forks: Forks,
    /// Where each build is spoken of: which log, which line.
    builds: BTreeMap<String, Vec<(usize, usize)>>,
    /// The name of each build by what tells it from every other.
    ids: BTreeMap<String, String>,
}

impl Logs {
    /// Puts the files of a book together. Of several of one mark the longer that continues the shorter counts.
    pub fn of(mut files: Vec<LogFile>) -> Logs {
        let mut logs = Logs::default();
        // of two that are the same the one with the plain name counts
        files.sort_by(|a, b| (a.file.len(), &a.file).cmp(&(b.file.len(), &b.file)));
        for file in files {
            logs.findings.extend(of_file(&file));
            let Some((mark, book, _)) = file.opened() else {
                continue;
            };
            if let Some(other) = logs
                .logs
                .iter()
                .find(|one| one.opened().is_some_and(|(_, of, _)| of != book))
            {
                let words = format!("{} is the log of another book than {}", file.file, other.file);
                logs.findings.push(Finding::new(Certainty::Broken, words));
                continue;
            }
            let same = logs
                .logs
                .iter()
                .position(|one| one.opened().is_some_and(|(of, ..)| of == mark));
            match same {
                None => logs.logs.push(file),
                Some(at) => logs.two(at, file),
            }
        }
        for (n, log) in logs.logs.iter().enumerate() {
            for (line, _, build) in log.events() {
                logs.builds
                    .entry(build.build.clone())
                    .or_default()
                    .push((n, line));
                if let Some(id) = &build.id {
                    logs.ids.entry(id.clone()).or_insert(build.build.clone());
                }
            }
        }
        logs.findings.extend(logs.forks.judge(&logs.logs));
        let seen = logs.judge_seen();
        logs.findings.extend(seen);
        logs
    }

    /// Two files of one machine.
    fn two(&mut self, at: usize, file: LogFile) {
        let known = &self.logs[at];
        let goes_on = |long: &LogFile, short: &LogFile| long.bytes.starts_with(&short.bytes);
        let (kept, other) = match (goes_on(known, &file), goes_on(&file, known)) {
            (true, _) => (known, &file),
            (false, true) => (&file, known),
            (false, false) => {
                self.forks.add(at, file);
                return;
            }
        };
        let words = format!(
            "{} is a copy of {}, which goes on from it; it says nothing more",
            other.file, kept.file
        );
        self.findings.push(Finding::new(Certainty::Note, words));
        if kept.file == file.file {
            self.logs[at] = file;
        }
    }

    /// The two files of one machine that were gone on with in two places, where a file is one of them.
    pub fn forked(&self, file: &str) -> Option<[&str; 2]> {
        self.forks.pair(&self.logs, file)
    }

    /// The mark of a machine whose log went on in two places, and the last line of each, where a file is one of them and nobody
    /// has said that this is known.
    pub fn unsettled_fork(&self, file: &str) -> Option<(String, [(usize, String); 2])> {
        self.forks.unsettled(&self.logs, file)
    }

    /// Whether the book has no log.
    pub fn is_empty(&self) -> bool {
        self.logs.is_empty() && self.findings.is_empty()
    }

    /// The log that counts of each machine.
    pub fn each(&self) -> &[LogFile] {
        &self.logs
    }

    /// The names of all builds that the logs speak of.
    pub fn builds(&self) -> impl Iterator<Item = &str> {
        self.builds.keys().map(String::as_str)
    }

    /// The lines about a build, each with its log and its number.
    pub fn events(&self, build: &str) -> impl Iterator<Item = (&LogFile, usize, Happened, &LoggedBuild)> {
        let places = self.builds.get(build).map_or(&[][..], Vec::as_slice);
        places.iter().filter_map(|(log, line)| {
            let log = self.logs.get(*log)?;
            let (happened, build) = log.lines.get(line - 1)?.happened()?;
            Some((log, *line, happened, build))
        })
    }

    /// The name under which the logs have the build that an id tells from every other.
    pub fn known_as(&self, id: &str) -> Option<&str> {
        self.ids.get(id).map(String::as_str)
    }

    /// Whether the logs say what happened in a line of a build's journal.
    pub fn covers(&self, build: &str, happened: Happened, line: usize) -> bool {
        self.events(build).any(|(_, _, said, of)| match said {
            Happened::Adopted | Happened::Imported => of.lines >= line,
            said => said == happened && of.lines == line,
        })
    }

    /// Holds a line of a log that something knows against the logs; nothing where it is there.
    pub fn judge(&self, head: &Head, who: &str) -> Option<Finding> {
        let log = self
            .logs
            .iter()
            .find(|log| log.opened().is_some_and(|(mark, ..)| mark == head.mark));
        if self.forks.settled_have(head) {
            return None;
        }
        let here = match log {
            None => "and no such log is here: this book is older, or another".to_string(),
            Some(log) if head.line > log.count() => {
                let certainty = match log.newer.is_empty() {
                    true => Certainty::Broken,
                    false => Certainty::Open,
                };
                let words = format!(
                    "{who} knows {head}, and {} has {} lines that hang together: this book is older than that",
                    log.file,
                    log.count()
                );
                return Some(Finding::new(certainty, words));
            }
            Some(log) => match log.tip(head.line) {
                Some(tip) if tip.to_string().starts_with(&head.tip) => return None,
                _ => format!(
                    "and line {} of {} is another: an older state of this book was gone on with, or it is another book",
                    head.line, log.file
                ),
            },
        };
        Some(Finding::new(
            Certainty::Broken,
            format!("{who} knows {head}, {here}"),
        ))
    }

    /// What the logs know of each other.
    fn judge_seen(&self) -> Vec<Finding> {
        let mut found = Vec::new();
        for log in &self.logs {
            // a later line of a log rests on the earlier ones, so the last that was seen of each machine says all
            let mut last: BTreeMap<&str, (usize, Head)> = BTreeMap::new();
            let seen = log.lines.iter().enumerate();
            let seen = seen.filter_map(|(at, line)| Some((at + 1, line.seen()?)));
            for (line, seen) in seen {
                for (mark, (number, tip)) in seen {
                    let head = Head {
                        mark: mark.clone(),
                        line: *number,
                        tip: tip.clone(),
                    };
                    last.insert(mark, (line, head));
                }
            }
            for (line, head) in last.values() {
                found.extend(self.judge(head, &format!("line {line} of {}", log.file)));
            }
        }
        found
    }

    /// What the logs say of a build that is there.
    pub fn judge_build(&self, stored: &Stored) -> Vec<Finding> {
        let build = &stored.build;
        let mut found = Vec::new();
        let mut broken = |words: String| found.push(Finding::new(Certainty::Broken, words));
        let id = stored.lines.entries.first().and_then(Entry::id);
        let mut ids: BTreeMap<Option<&str>, (&LogFile, usize)> = BTreeMap::new();
        let mut begun = 0;
        for (log, line, happened, of) in self.events(build) {
            ids.entry(of.id.as_deref()).or_insert((log, line));
            begun += usize::from(matches!(happened, Happened::Begun | Happened::Imported));
        }
        let known: Vec<(&str, &(&LogFile, usize))> = ids
            .iter()
            .filter_map(|(id, place)| Some(((*id)?, place)))
            .collect();
        if known.len() > 1 || begun > 1 {
            broken("its number was given twice: the log has more than one build of this name".to_string());
        }
        if let (Some(id), Some((_, (log, line)))) = (id, known.first())
            && !known.iter().any(|(of, _)| *of == id)
        {
            broken(format!(
                "it is another build than the one that line {line} of {} has under its name",
                log.file
            ));
        }
        let (contradicted, settled) = self.contradicted(stored);
        if let Some(contradicted) = contradicted {
            broken(contradicted.words(build));
        }
        let elsewhere = self.finished_elsewhere(stored);
        if elsewhere.is_none() {
            for (who, head) in heads_of(stored) {
                found.extend(self.judge(&head, &who));
            }
        }
        found.extend(elsewhere);
        if let Some((log, line, _)) = self.removal(build) {
            let words = format!(
                "line {line} of {} says that it was taken away on purpose, and it is here: it was put back",
                log.file
            );
            found.push(Finding::new(Certainty::Open, words));
        }
        if found.is_empty() {
            found.extend(self.lacking(stored));
        }
        found.extend(settled);
        found
    }

    /// The line of the logs that says most against the journal of a build, and which of two machines' states was said to count.
    fn contradicted(&self, stored: &Stored) -> (Option<Contradicted>, Option<Finding>) {
        let settlements = Settlements::of(self.events(&stored.build), stored);
        let mut settled = None;
        let mut worst: Option<(usize, &LogFile, String)> = None;
        // how far each log agrees with the journal
        let mut agrees: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        for (log, line, _, of) in self.events(&stored.build) {
            let words = match stored.digest_of(of.lines) {
                Some(digest) if digest.to_string() == of.journal => {
                    let reached = agrees.entry(&log.file).or_insert((of.lines, line));
                    *reached = (*reached).max((of.lines, line));
                    continue;
                }
                None => format!(
                    "line {line} of {} has {} lines of its journal, and {} are here: an older state of it was put back, or \
                     its end was taken away",
                    log.file,
                    of.lines,
                    stored.ends.len()
                ),
                Some(_) => format!(
                    "the first {} lines of its journal are not those that line {line} of {} has",
                    of.lines, log.file
                ),
            };
            if let Some(said) = settlements.settled(log, line) {
                settled = Some(said);
                continue;
            }
            if worst.as_ref().is_none_or(|(lines, ..)| of.lines > *lines) {
                worst = Some((of.lines, log, words));
            }
        }
        let (_, log, words) = match worst {
            Some(worst) => worst,
            None => return (None, settled),
        };
        let own = agrees.get(log.file.as_str()).map_or(0, |(lines, _)| *lines);
        let elsewhere = agrees.iter().find(|(_, (lines, _))| *lines > own);
        let elsewhere = elsewhere.map(|(other, (lines, line))| {
            format!("its first {lines} lines are those that line {line} of {other} has")
        });
        (Some(Contradicted { words, elsewhere }), settled)
    }

    /// What the lines of the logs say against the journal of a build, in words: that it goes further than is here, or otherwise.
    pub fn against(&self, stored: &Stored) -> Option<String> {
        let (contradicted, _) = self.contradicted(stored);
        contradicted.map(|contradicted| contradicted.words(&stored.build))
    }

    /// Whether two machines went on with a build, as far as nobody has said which of the two counts.
    pub fn two_went_on(&self, stored: &Stored) -> bool {
        let (contradicted, _) = self.contradicted(stored);
        contradicted.is_some_and(|contradicted| contradicted.elsewhere.is_some())
    }

    /// That a build was finished in another book, if it was: its seals and its paper speak of the log of that one.
    fn finished_elsewhere(&self, stored: &Stored) -> Option<Finding> {
        let (_, book, _) = self.logs.first()?.opened()?;
        let other = stored.lines.entries.iter().find_map(|entry| match entry {
            Entry::Finished { log: Some(log), .. } if log.book != book => Some(log),
            _ => None,
        })?;
        let digits: String = other.book.chars().take(8).collect();
        let words = format!(
            "it was finished in another book, {digits}…, at {}, whose log is not here: it was copied from there, or the log of this \
             book was taken away and begun anew",
            other.head()
        );
        Some(Finding::new(Certainty::Open, words))
    }

    /// What is not in the logs of a build.
    fn lacking(&self, stored: &Stored) -> Option<Finding> {
        // what of them can not be read is told for itself
        if self.logs.is_empty() {
            return None;
        }
        if self.events(&stored.build).next().is_none() {
            let id = stored.lines.entries.first().and_then(Entry::id);
            let words = match id.and_then(|id| self.known_as(id)) {
                Some(name) => copy_words(name),
                None => "the log has no line of it: an older program began it, or its folder was copied here; `shimwright adopt` \
                         takes it into the log"
                    .to_string(),
            };
            return Some(Finding::new(Certainty::Open, words));
        }
        let lines = logged(&stored.lines.entries);
        let (_, line) = lines
            .into_iter()
            .find(|(happened, line)| !self.covers(&stored.build, *happened, *line))?;
        let words = format!(
            "the log has no line of what line {line} of its journal says: the power went, or an older program wrote it; the \
             next that is written to it makes up for that, or `shimwright adopt`"
        );
        Some(Finding::new(Certainty::Open, words))
    }

    /// Numbers that no build has, though a later one of the same machine and unit was given: by the names of what is there.
    pub fn gaps(&self, there: &BTreeSet<String>) -> Vec<String> {
        let known: BTreeSet<&str> = there.iter().map(String::as_str).chain(self.builds()).collect();
        let mut last: BTreeMap<&str, usize> = BTreeMap::new();
        let mut gaps = Vec::new();
        for name in known {
            let Some((front, number)) = name.rsplit_once('-') else {
                continue;
            };
            let Ok(number) = number.parse::<usize>() else {
                continue;
            };
            let before = last.insert(front, number).unwrap_or(0);
            gaps.extend((before + 1..number).map(|missing| format!("{front}-{missing:04}")));
        }
        gaps
    }

    /// From when on the log counts, and how many builds were there before.
    pub fn since(&self) -> Option<(&str, usize)> {
        let first = self.logs.iter().filter_map(|log| match log.lines.first() {
            Some(LogLine::Opened { at, .. }) => Some((at.as_str(), log)),
            _ => None,
        });
        let (at, log) = first.min_by_key(|(_, log)| log.opened().map_or("", |(mark, ..)| mark))?;
        let before = log
            .lines
            .iter()
            .skip(1)
            .take_while(|line| matches!(line, LogLine::Adopted(_)))
            .count();
        Some((at, before))
    }
}

/// What the logs say against a journal.
struct Contradicted {
    /// The line that says most, in words.
    words: String,
    /// The line of another log that agrees with what is here, in words; it is there where two machines went on with a build.
    elsewhere: Option<String>,
}

impl Contradicted {
    fn words(&self, build: &str) -> String {
        match &self.elsewhere {
            None => self.words.clone(),
            Some(elsewhere) => format!(
                "{}; {elsewhere}: it was gone on with on two machines, and this is what the one wrote. What the other wrote is in git \
                 or in a copy that sync left: what is right in it is put in by `shimwright correct`, and `shimwright adopt --settled \
                 {build}` says in the log that this counts",
                self.words
            ),
        }
    }
}

/// What is said of a folder that holds the build which the logs have under another name.
pub fn copy_words(name: &str) -> String {
    format!(
        "it is {name} by what tells builds apart: its folder was copied, or got another name; give it that name again, or take the \
         copy away"
    )
}

/// What is to be said of one file.
fn of_file(file: &LogFile) -> Vec<Finding> {
    let problems = file
        .problems
        .iter()
        .map(|problem| (Certainty::Broken, problem.clone()));
    let newer = file.newer.iter().map(|newer| {
        (
            Certainty::Open,
            format!("a newer program wrote in it ({newer}); take that program"),
        )
    });
    let is_empty = file.lines.is_empty() && file.problems.is_empty() && file.newer.is_empty();
    problems
        .chain(newer)
        .chain(is_empty.then(|| (Certainty::Broken, "it has no line".to_string())))
        .map(|(certainty, words)| Finding::new(certainty, format!("{}: {words}", file.file)))
        .collect()
}

/// The lines of the book's logs that a build and its seals know.
fn heads_of(stored: &Stored) -> Vec<(String, Head)> {
    let mut heads = Vec::new();
    for entry in &stored.lines.entries {
        if let Entry::Finished { log: Some(log), .. } = entry {
            heads.push(("the entry that finished it".to_string(), log.head()));
        }
    }
    for (name, bytes) in &stored.files {
        let number = seal_number(name).filter(|_| name.ends_with(".txt"));
        let statement = std::str::from_utf8(bytes)
            .ok()
            .and_then(|text| Statement::read(text).ok());
        if let (Some(number), Some(head)) = (number, statement.and_then(|statement| statement.log)) {
            heads.push((format!("seal {number}"), head));
        }
    }
    heads
}
